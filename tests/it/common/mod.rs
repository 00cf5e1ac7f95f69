//! What several integration tests need: briefs, rankings, and the way to an option or a finding.

#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used)] // test code, outside of test functions

use std::path::Path;

use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::{Finding, FindingKind, Step};
use overcoat::life::Basis;
use overcoat::rank::{RankedOption, Ranking, rank};

/// The demo briefs.
pub(crate) const DEMO_BRIEFS: [&str; 6] =
    ["boat-cap-screws", "deck-fitting", "furnace-bracket", "gate-hinge", "indoor-machine", "trailer-bracket"];

/// A demo brief by file name without extension.
pub(crate) fn demo(name: &str) -> Brief {
    let directory = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data/briefs");
    Brief::from_json(&std::fs::read_to_string(directory.join(name).with_extension("json")).unwrap()).unwrap()
}

/// The text of a brief with these sections, each the inside of a JSON object.
pub(crate) fn brief_text(part: &str, duty: &str, wants: &str) -> String {
    format!(
        r#"{{"schema": "overcoat.brief.v1", "name": "test", "part": {{{part}}}, "duty": {{{duty}}}, "wants": {{{wants}}}}}"#
    )
}

/// The inside of a JSON object: what is usual, unless `own` says otherwise, and `own`.
pub(crate) fn usual_and(usual: &[(&str, &str)], own: &str) -> String {
    let kept = usual.iter().filter(|(key, _)| !own.contains(&format!("\"{key}\"")));
    let mut all: Vec<String> = kept.map(|(key, value)| format!("\"{key}\": {value}")).collect();
    all.extend((!own.is_empty()).then(|| own.to_owned()));
    all.join(", ")
}

/// A brief with these sections, each the inside of a JSON object.
pub(crate) fn brief(part: &str, duty: &str, wants: &str) -> Brief {
    Brief::from_json(&brief_text(part, duty, wants)).unwrap()
}

/// The text of a user catalog with these sections.
pub(crate) fn catalog_text(sections: &str) -> String {
    format!(r#"{{"schema": "overcoat.catalog.v1", "name": "test", {sections}}}"#)
}

/// The ranking of a brief with the built-in catalog.
pub(crate) fn ranked(brief: &Brief) -> Ranking {
    rank(brief, Catalog::built_in()).unwrap()
}

/// A bracket of low-carbon steel indoors, with more of the part, the duty and the wants.
pub(crate) fn bracket(part: &str, duty: &str, wants: &str) -> Ranking {
    let more = |own: &str, more: &str| {
        [own, more].into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", ")
    };
    ranked(&brief(
        &more(r#""form": "bracket", "mass_g": 300, "surface_dm2": 2.5"#, part),
        &more(r#""place": "indoor_condensation", "required_years": 5"#, duty),
        wants,
    ))
}

/// The option of this build, written as `metal / treatment / film + film`.
pub(crate) fn option<'a>(ranking: &'a Ranking, build: &str) -> &'a RankedOption {
    ranking
        .options
        .iter()
        .find(|o| o.build.to_string() == build)
        .unwrap_or_else(|| panic!("no build {build}"))
}

/// The first finding of a rule on an option.
pub(crate) fn finding<'a>(option: &'a RankedOption, rule: &str) -> Option<&'a Finding> {
    option.findings.iter().find(|f| f.rule == rule)
}

/// The kind of the first finding of a rule on an option.
pub(crate) fn kind(option: &RankedOption, rule: &str) -> Option<FindingKind> {
    finding(option, rule).map(|f| f.kind)
}

/// Whether a finding of the option adds this step.
pub(crate) fn needs_step(option: &RankedOption, step: Step) -> bool {
    option.findings.iter().any(|f| f.kind == FindingKind::Needs && f.step == Some(step))
}

/// Whether the outlook rests on dose and age.
pub(crate) fn by_dose(option: &RankedOption) -> bool {
    option.outlook.basis == Basis::DoseAndAge
}

/// Cumulative distribution function of the standard normal distribution, by the complementary error function.
pub(crate) fn normal_cdf(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Its inverse, by bisection.
pub(crate) fn normal_quantile(p: f64) -> f64 {
    let (mut low, mut high) = (-40.0, 40.0);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if normal_cdf(middle) < p { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}
