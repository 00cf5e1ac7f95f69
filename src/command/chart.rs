//! The chart of choices.

use std::path::PathBuf;

use serde_json::json;

use crate::catalog::Catalog;
use crate::command::answers::{brief_in, deliver, output_apart};
use crate::command::arguments::{ChartForm, ChartOf};
use crate::command::start::number_or_text;
use crate::command::{Outcome, Streams};
use crate::finish::Build;
use crate::rank::USUAL_TARGET;
use crate::rank::words::percent_beside;
use crate::report::{ChartWords, NOT_STATED, PageOptions, chart_page, today, wrapped, wrapped_to, years};
use crate::study::{Chart, chart as chart_of, plain_brief};

pub(super) fn chart(asked: &ChartOf, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    output_apart(
        asked.out.as_deref(),
        asked.brief.iter().chain(&asked.catalogs.catalog).map(PathBuf::as_path),
    )?;
    let mut brief = match &asked.brief {
        Some(path) => brief_in(path)?,
        None => plain_brief(5.0)?,
    };
    if let Some(years) = &asked.years {
        brief = brief.replaced([("required_years", number_or_text(years))])?;
    }
    let builds = asked.builds.iter().map(|build| build.parse()).collect::<crate::Result<Vec<Build>>>()?;
    let builds = (!builds.is_empty()).then_some(builds);
    let places: Vec<String> = asked
        .places
        .iter()
        .map(|typed| Ok(catalog.place_key(typed)?.map_or_else(|| typed.clone(), str::to_owned)))
        .collect::<crate::Result<_>>()?;
    let places = (!places.is_empty()).then_some(places.as_slice());
    let found = chart_of(&brief, builds.as_deref(), places, &catalog)?;
    let form = if asked.json { ChartForm::Json } else { asked.format.unwrap_or(ChartForm::Table) };
    let title = format!("Chart of choices: {}", brief.name);
    let text = match form {
        ChartForm::Table => table(&found, &title, &catalog),
        ChartForm::Html => {
            let options =
                PageOptions { date: asked.date.clone().unwrap_or_else(today), ..PageOptions::default() };
            chart_page(&found, &title, &catalog, &options)
        }
        ChartForm::Json => json_of(&found),
    };
    deliver(&text, asked.out.as_deref(), streams)
}

/// Widest name of a finish, so that ten places fit 80 columns.
const WIDEST: usize = 39;
/// Fewest columns of a name, and of a figure with the blank before it.
const LEAST: usize = 24;
const NARROWEST: usize = 4;

/// The chart as a table of percentages, its places as numbered columns with their key above; a name that is too long goes on
/// on a separate line.
fn table(chart: &Chart, title: &str, catalog: &Catalog) -> String {
    let places = chart.places.iter().zip(1..);
    let key: Vec<String> = places
        .map(|(place, number)| format!("{number} {} ({})", place.name.replace('_', " "), place.category))
        .collect();
    let mut lines = vec![
        title.to_owned(),
        format!("Probability of {} to {}, %; – is ruled out", years(chart.required_years), chart.failure),
    ];
    let key: Vec<String> = key.iter().map(|one| one.replace(' ', "\u{a0}")).collect();
    lines.extend(wrapped(&key.join(", "), "", "  "));
    let words = ChartWords::of(chart, catalog);
    words.notes.iter().for_each(|note| lines.extend(wrapped(note, "", "  ")));
    lines.push(String::new());
    let cells = chart.cells.iter().map(|cells| -> Vec<String> {
        cells
            .iter()
            .map(|cell| {
                let said = match cell {
                    cell if cell.blocked => "–".to_owned(),
                    cell if cell.beyond_evidence => NOT_STATED.to_owned(),
                    cell => percent_beside(cell.probability_ok, USUAL_TARGET),
                };
                said.trim_end_matches('%').to_owned()
            })
            .collect()
    });
    let cells: Vec<Vec<String>> = cells.collect();
    // a column is as wide as its longest figure, and the names have what is left
    let columns: Vec<usize> = (0..chart.places.len())
        .map(|at| {
            let longest = cells.iter().filter_map(|row| row.get(at)).map(|said| said.chars().count()).max();
            (longest.unwrap_or(0) + 1).max(NARROWEST)
        })
        .collect();
    let wider: usize = columns.iter().map(|wide| wide - NARROWEST).sum();
    let widest = WIDEST.saturating_sub(wider).max(LEAST);
    let in_columns = |said: &[String]| -> String {
        let each = said.iter().zip(&columns);
        each.map(|(said, wide)| " ".repeat(wide.saturating_sub(said.chars().count())) + said).collect()
    };
    let numbers: Vec<String> = (1..=chart.places.len()).map(|number| number.to_string()).collect();
    lines.push(format!("{:widest$}{}", "", in_columns(&numbers)));
    for (name, cells) in words.rows.iter().zip(&cells) {
        let mut name = wrapped_to(widest, name, "", "  ");
        let last = name.pop().unwrap_or_default();
        lines.append(&mut name);
        lines.push(format!("{last:widest$}{}", in_columns(cells)));
    }
    lines.push(String::new());
    lines.push("Salt-spray hours are not service life. Local codes and qualified people decide.".to_owned());
    lines.join("\n") + "\n"
}

fn json_of(chart: &Chart) -> String {
    let rows: Vec<_> = chart
        .builds
        .iter()
        .zip(&chart.cells)
        .flat_map(|(build, cells)| {
            cells.iter().zip(&chart.places).map(move |(cell, place)| {
                json!({
                    "build": build.to_string(),
                    "place": place.name,
                    "category": place.category.to_string(),
                    "required_years": chart.required_years,
                    "probability_ok": cell.probability_ok,
                    "beyond_evidence": cell.beyond_evidence,
                    "median_years": cell.median_years,
                    "blocked": cell.blocked,
                })
            })
        })
        .collect();
    format!("{}\n", json!(rows))
}
