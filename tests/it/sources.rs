//! Every source that an answer rests on is given with it: of those that the code cites for the years, the air, the score
//! and the cost, each is among the sources of some ranking, and so is every source of the catalog's numbers.

#![allow(clippy::unwrap_used)] // test code, outside of test functions

use std::collections::BTreeSet;
use std::path::Path;

use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::evidence::Source;
use overcoat::evidence::{SourceInCode, sources_in_code};
use overcoat::rank::rank;

fn emitted(brief: &str, found: &mut BTreeSet<Source>) {
    let brief = Brief::from_json(brief).unwrap_or_else(|error| panic!("{error}: {brief}"));
    found.extend(rank(&brief, Catalog::built_in()).unwrap().sources);
}

fn ask(part: &str, duty: &str, wants: &str) -> String {
    format!(
        r#"{{"schema": "overcoat.brief.v1", "name": "x", "part": {{{part}}}, "duty": {{{duty}}}, "wants": {{{wants}}}}}"#
    )
}

/// Briefs that reach every formula: each way to the air, each shelter, heat, each failure, stainless and weathering steel.
fn all_emitted() -> BTreeSet<Source> {
    let mut found = BTreeSet::new();
    let screw = r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30"#;
    let grades = r#""other_base_metals": ["weathering_steel", "stainless_303", "stainless_316", "stainless_410"],
        "outside_blackening": true, "black": false"#;
    let inputs = r#""temperature_c": 12, "relative_humidity_pct": 78, "so2_mg_m2_day": 5"#;
    for duty in [
        r#""place": "coastal", "shelter": "sheltered", "required_years": 5"#.to_owned(),
        r#""place": "rural", "required_years": 50, "failure": {"rusted_area_pct": 2}"#.to_owned(),
        r#""place": "urban", "required_years": 20, "failure": {"loss_um": 100}"#.to_owned(),
        r#""place": "indoor_condensation", "required_years": 5"#.to_owned(),
        r#""first_year_steel_loss_um": 30, "required_years": 20, "failure": {"strength_loss_pct": 5}"#
            .to_owned(),
        r#""place": "rural", "heat_continuous_c": 90, "required_years": 2"#.to_owned(),
        r#""place": "rural", "heat_peak_c": 500, "required_years": 2"#.to_owned(),
        format!(r#"{inputs}, "sea_distance_m": 800, "required_years": 10"#),
        format!(
            r#"{inputs}, "chloride_mg_m2_day": 3, "road_salt": {{"months_per_year": 5, "distance_m": 5}}, "required_years": 10"#
        ),
    ] {
        emitted(&ask(screw, &duty, grades), &mut found);
    }
    for place in Catalog::built_in().content().places.keys() {
        emitted(&ask(screw, &format!(r#""place": "{place}", "required_years": 3"#), ""), &mut found);
    }
    found
}

/// Files whose sources go with the years, the air, the score or the cost of an answer.
const OF_AN_ANSWER: [&str; 6] = [
    "src/life/",
    "src/atmosphere/",
    "src/metal/staining.rs",
    "src/brief/",
    "src/rank/score.rs",
    "src/rank/cost.rs",
];

/// Sources there that no ranking rests on, and what shows them.
const ELSEWHERE: [(&str, &str); 8] = [
    ("src/atmosphere/wetness_class.rs", "classes of wetness: the function that gives a class"),
    ("src/atmosphere/climate_record.rs", "the reading of a climate record: `wetness`"),
    ("of a grade of unknown composition", "a grade of a user's own catalog"),
    ("equation 2", "zinc: `first_year_loss` of zinc"),
    ("equations 3 and 4", "copper and aluminium: `first_year_loss` of them"),
    ("ISO 9223:2012, table 2, read", "category of copper and aluminium"),
    ("annual mean temperature outside", "refuses an impossible temperature"),
    ("table A.1; its levels", "one of the ways to the air, given with a measured loss"),
];

fn marks(cited: &SourceInCode, mark: &str) -> bool {
    cited.file.starts_with(mark) || cited.source.citation.contains(mark)
}

#[test]
fn every_source_of_an_answer_is_given_with_it() {
    let found = all_emitted();
    let missing: Vec<String> = sources_in_code()
        .iter()
        .filter(|cited| OF_AN_ANSWER.iter().any(|start| cited.file.starts_with(start)))
        .filter(|cited| !found.contains(&cited.source))
        .filter(|cited| !ELSEWHERE.iter().any(|(mark, _)| marks(cited, mark)))
        .map(|cited| format!("{}: {}", cited.file, cited.source))
        .collect();
    assert!(missing.is_empty(), "never given with an answer:\n{}", missing.join("\n"));
}

/// No exception is kept that is none.
#[test]
fn every_exception_has_a_source() {
    for (mark, why) in ELSEWHERE {
        assert!(sources_in_code().iter().any(|cited| marks(cited, mark)), "{mark} ({why})");
    }
}

/// A ranking of an entry gives the sources of its numbers; those of processes and hazards go with the papers.
#[test]
fn every_source_of_the_catalog_is_given_by_a_ranking_or_the_papers() {
    let catalog = Catalog::built_in();
    let mut found = all_emitted();
    let content = catalog.content();
    for (name, metal) in &content.base_metals {
        let treatments: Vec<String> =
            content.treatments.keys().map(|t| format!(r#"{{"treatment": "{t}", "films": []}}"#)).collect();
        let wants =
            format!(r#""builds": [{}], "black": false, "outside_blackening": true"#, treatments.join(", "));
        let part = format!(r#""form": "bracket", "base_metal": "{name}""#);
        emitted(&ask(&part, r#""place": "rural", "required_years": 2"#, &wants), &mut found);
        assert!(!metal.name.is_empty());
    }
    let films: Vec<String> = content
        .films
        .keys()
        .map(|film| {
            // a primer needs a paint over it
            let over = if film.ends_with("_primer") { r#", "air_dry_paint""# } else { "" };
            format!(r#"{{"treatment": "hot_alkaline", "films": ["{film}"{over}]}}"#)
        })
        .collect();
    let wants = format!(r#""builds": [{}], "black": false, "outside_blackening": true"#, films.join(", "));
    emitted(&ask(r#""form": "bracket""#, r#""place": "rural", "required_years": 2"#, &wants), &mut found);
    let of_papers: BTreeSet<String> = {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/catalog/data");
        let mut text = String::new();
        for file in ["stacks.json", "prices.json"] {
            text += &std::fs::read_to_string(folder.join(file)).unwrap();
        }
        for entry in std::fs::read_dir(folder.join("processes")).unwrap() {
            text += &std::fs::read_to_string(entry.unwrap().path()).unwrap();
        }
        let keys = content.sources.keys();
        keys.filter(|key| text.contains(&format!("\"{key}\""))).cloned().collect()
    };
    let missing: Vec<String> = content
        .sources
        .iter()
        .filter(|(key, source)| !found.contains(*source) && !of_papers.contains(*key))
        .map(|(key, source)| format!("{key}: {source}"))
        .collect();
    assert!(missing.is_empty(), "in the catalog and never given:\n{}", missing.join("\n"));
}
