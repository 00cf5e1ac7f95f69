//! The words of a chart of choices, which terminal and page share.

use std::collections::BTreeMap;

use crate::catalog::Catalog;
use crate::finish::Build;
use crate::rank::verdict::NOT_STATED;
use crate::rank::words::{BuildWords, sentence};
use crate::study::{Chart, ChartCell};

/// Mark a finish on a metal that is weaker than the one asked for, one mark for each that is said of it.
const WEAKER: [&str; 4] = ["†", "‡", "§", "¶"];

fn mark(place: usize) -> &'static str {
    WEAKER.get(place).or(WEAKER.last()).copied().unwrap_or_default()
}

/// The names of the rows, and what must be said beneath them.
pub(crate) struct ChartWords {
    pub(crate) rows: Vec<String>,
    pub(crate) notes: Vec<String>,
}

impl ChartWords {
    pub(crate) fn of(chart: &Chart, catalog: &Catalog) -> Self {
        let beneath = |build: &Build| (build.base_metal.clone(), build.treatment.clone());
        let mut counted: BTreeMap<(String, String), usize> = BTreeMap::new();
        for build in &chart.builds {
            *counted.entry(beneath(build)).or_default() += 1;
        }
        // of several with as many rows the first by name
        let usual = counted.iter().rev().max_by_key(|(_, rows)| **rows).map(|(one, _)| one);
        // what is said of metals that are weaker, each once
        let mut told: Vec<&str> = Vec::new();
        for weaker in chart.weaker.iter().flatten() {
            if !told.contains(&weaker.as_str()) {
                told.push(weaker);
            }
        }
        let name = |(build, weaker): (&Build, &Option<String>)| {
            let words = BuildWords::of(build, catalog);
            let name = match () {
                () if Some(&beneath(build)) != usual => words.line(),
                () if words.coats == "none" => "no coat".to_owned(),
                () => words.coats,
            };
            match weaker.as_ref().and_then(|weaker| told.iter().position(|said| said == weaker)) {
                Some(place) => format!("{name} {}", mark(place)),
                None => name,
            }
        };
        let mut notes = Vec::new();
        if let Some((metal, treatment)) = usual {
            let line = BuildWords::of(&Build::new(metal, treatment, [""; 0]), catalog).line();
            notes.push(format!("Rows that name no metal are on {}.", line.trim_end_matches(", no coat")));
        }
        let said = told.iter().enumerate().filter(|(_, weaker)| !weaker.is_empty());
        notes.extend(said.map(|(place, weaker)| format!("{} Weaker: {}", mark(place), sentence(weaker))));
        let beyond = |cell: &ChartCell| cell.beyond_evidence && !cell.blocked;
        if chart.cells.iter().flatten().any(beyond) {
            notes.push(format!(
                "{NOT_STATED}: the years are beyond what was observed of such a finish, and no probability can be stated."
            ));
        }
        notes.extend(chart.ruled_out_by.iter().chain(&chart.remarks).map(|text| sentence(text)));
        Self { rows: chart.builds.iter().zip(&chart.weaker).map(name).collect(), notes }
    }
}
