//! Each demo brief in `demo-data/blocked/` is named after the rule that blocks a build of it.

#![allow(clippy::unwrap_used)] // test code, outside of test functions

use crate::common::ranked;
use overcoat::brief::Brief;
use overcoat::check::FindingKind;

fn blocking_rules(name: &str) -> Vec<String> {
    let path = format!("{}/demo-data/blocked/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let brief = Brief::from_json(&std::fs::read_to_string(path).unwrap()).unwrap();
    let ranking = ranked(&brief);
    let blocking = ranking.options.iter().flat_map(|o| &o.findings).filter(|f| f.kind == FindingKind::Blocks);
    blocking.map(|f| f.rule.to_string()).collect()
}

#[test]
fn every_blocking_rule_has_a_demo_brief_that_it_blocks() {
    for rule in [
        "substrate.class",
        "substrate.specification",
        "substrate.tempering",
        "preparation.joined_metals",
        "preparation.trapped_liquid",
        "heat.tempering",
        "heat.bath",
        "heat.layer",
        "heat.treatment",
        "heat.zinc",
        "heat.metal",
        "heat.colour",
        "welding.hardened",
        "embrittlement.cure",
        "heat.polymer_insert",
        "heat.oven",
        "safety.consent",
        "safety.lifting",
        "strength.not_stated",
        "strength.weaker",
        "substrate.film_base",
        "welding.cadmium",
        "embrittlement.electroplate",
        "embrittlement.acid_bath",
        "heat.scaling",
        "thread.room",
        "fit.pin",
        "safety.structural",
        "welding.cracking",
        "strength.in_words",
        "appearance.black",
        "cost.limit",
    ] {
        assert!(blocking_rules(rule).iter().any(|found| found == rule), "{rule}");
    }
}

#[test]
fn no_blocking_rule_is_without_a_demo_brief() {
    let folder = format!("{}/src", env!("CARGO_MANIFEST_DIR"));
    let files = ["check", "rank"].iter().flat_map(|f| std::fs::read_dir(format!("{folder}/{f}")).unwrap());
    for path in files.map(|file| file.unwrap().path()).filter(|path| path.is_file()) {
        let text = std::fs::read_to_string(path).unwrap();
        let words: Vec<&str> = text.split('"').collect();
        for pair in words.windows(2) {
            if pair[0].trim_end().ends_with("FindingKind::Blocks,") {
                let demo = format!("{}/demo-data/blocked/{}.json", env!("CARGO_MANIFEST_DIR"), pair[1]);
                assert!(std::path::Path::new(&demo).exists(), "no demo brief for {}", pair[1]);
            }
        }
    }
}
