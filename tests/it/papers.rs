//! Papers of the demo briefs and of parts that need more than the five basic steps.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test may stop")]

use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::FindingKind;
use overcoat::papers::sampling::{InspectionLevel, plan, risks};
use overcoat::papers::{Hazard, Papers, RouteStepKind, SampleName, Stage, Subject, Units, papers};
use overcoat::rank::{RankedOption, Ranking, rank};

const DEMO: [&str; 6] =
    ["boat-cap-screws", "deck-fitting", "furnace-bracket", "gate-hinge", "indoor-machine", "trailer-bracket"];

fn demo(name: &str) -> Brief {
    let path = format!("{}/demo-data/briefs/{name}.json", env!("CARGO_MANIFEST_DIR"));
    Brief::from_json(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn brief(part: &str) -> Brief {
    Brief::from_json(&format!(
        r#"{{"schema": "overcoat.brief.v1", "name": "a part", "part": {part},
            "duty": {{"place": "indoor_heated", "required_years": 5}}}}"#
    ))
    .unwrap()
}

fn ranking(brief: &Brief) -> Ranking {
    rank(brief, Catalog::built_in()).unwrap()
}

fn option<'a>(ranking: &'a Ranking, treatment: &str, films: &[&str]) -> &'a RankedOption {
    ranking.options.iter().find(|o| o.build.treatment == treatment && o.build.films == films).unwrap()
}

fn of(brief: &Brief, option: &RankedOption) -> Papers {
    papers(brief, option, Catalog::built_in(), Units::Metric).unwrap()
}

/// Black oxide with oil on a part.
fn oiled(part: &str) -> Papers {
    let brief = brief(part);
    let ranking = ranking(&brief);
    of(&brief, option(&ranking, "hot_alkaline", &["displacing_oil"]))
}

fn kinds(papers: &Papers) -> Vec<RouteStepKind> {
    papers.route.steps.iter().map(|step| step.kind).collect()
}

fn place(papers: &Papers, kind: RouteStepKind) -> usize {
    kinds(papers).iter().position(|k| *k == kind).unwrap_or_else(|| panic!("{kind:?} in {:?}", kinds(papers)))
}

#[test]
fn every_open_build_has_five_basic_steps_and_more_only_where_a_finding_asks() {
    for name in DEMO {
        let brief = demo(name);
        for option in ranking(&brief).options.iter().filter(|o| !o.blocked).take(40) {
            let papers = of(&brief, option);
            assert!(!papers.to_text().contains("[0"), "a source without number: {}", option.build);
            let basic = if option.build.treatment == "none" { 3 } else { 5 };
            assert_eq!(papers.route.basic_steps(), basic, "{name}: {}", option.build);
            let needed = option.findings.iter().any(|f| f.kind == FindingKind::Needs && f.step.is_some());
            assert_eq!(papers.route.steps.len() > basic, needed, "{name}: {}", option.build);
            let numbers: Vec<u32> = papers.route.steps.iter().map(|step| step.number).collect();
            assert_eq!(numbers, (1..).take(numbers.len()).collect::<Vec<u32>>());
        }
    }
}

#[test]
fn the_best_demo_builds_have_papers_that_read_back() {
    for name in DEMO {
        let brief = demo(name);
        let ranking = ranking(&brief);
        for units in Units::ALL {
            let papers = papers(&brief, ranking.best().unwrap(), Catalog::built_in(), *units).unwrap();
            assert_eq!(Papers::from_json(&papers.to_json()).unwrap(), papers);
            let text = papers.to_text();
            assert!(text.lines().all(|line| line.chars().count() <= 90), "{name}");
            let cleaner = if *units == Units::Metric { "60 to 90 °C" } else { "140 to 194 °F" };
            assert!(text.contains(&format!("Temperature   {cleaner}")), "{name} in {units}");
            assert!(papers.to_html().starts_with("<article"));
        }
    }
}

#[test]
fn an_order_speaks_of_every_subject_or_names_it_as_open() {
    for name in DEMO {
        let brief = demo(name);
        let papers = of(&brief, ranking(&brief).best().unwrap());
        for subject in Subject::ALL {
            let said = papers.order.clauses.iter().any(|clause| clause.subject == *subject);
            let open = papers.order.open.iter().any(|open| open.subject == *subject);
            assert!(said || open, "{name}: nothing on {}", subject.words());
        }
        assert!(!papers.order.is_complete());
    }
}

#[test]
fn a_base_metal_that_nobody_named_is_open() {
    let open = |name| {
        let brief = demo(name);
        let papers = of(&brief, ranking(&brief).best().unwrap());
        papers.order.open.iter().any(|open| open.subject == Subject::BaseMetal)
    };
    assert!(open("boat-cap-screws"));
    assert!(!open("indoor-machine"));
}

#[test]
fn every_named_source_is_listed() {
    let papers = oiled(
        r#"{"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_10_9", "condition": "rust"}"#,
    );
    for step in &papers.route.steps {
        assert!(papers.sources.contains(&step.source));
        assert!(step.hazards.iter().all(|caution| papers.sources.contains(&caution.source)));
    }
    assert!(papers.acceptance.characteristics.iter().all(|c| papers.sources.contains(&c.source)));
}

#[test]
fn a_pickled_screw_of_10_9_is_baked_after_the_acid_and_before_the_oil() {
    let papers = oiled(
        r#"{"form": "hexagon_head_screw", "thread": "M10", "base_metal": "steel_10_9", "condition": "rust"}"#,
    );
    let (pickle, bake) = (place(&papers, RouteStepKind::Pickle), place(&papers, RouteStepKind::Bake));
    assert!(pickle < bake && bake < place(&papers, RouteStepKind::SupplementaryFinish));
    let bake = &papers.route.steps[bake];
    // printed: ASTM B850-98(2009), 190 to 220 °C
    let temperature = bake.temperature_c.as_ref().unwrap();
    assert_eq!((temperature.low, temperature.high), (190.0, 220.0));
    assert!(bake.instructions.iter().any(|said| said.text.contains("within 1 h")));
    assert!(papers.order.drawing_note.contains("Bake"));
    assert!(papers.acceptance.characteristics.iter().any(|c| c.name == "bake"));
}

#[test]
fn a_rusty_screw_of_12_9_is_blasted_and_sees_no_acid() {
    let papers = oiled(
        r#"{"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_12_9", "condition": "rust"}"#,
    );
    assert!(kinds(&papers).contains(&RouteStepKind::Blast));
    assert!(!kinds(&papers).contains(&RouteStepKind::Pickle));
    assert!(!kinds(&papers).contains(&RouteStepKind::Bake));
    let acid =
        papers.route.steps.iter().flat_map(|step| &step.hazards).any(|c| c.hazard == Some(Hazard::Acid));
    assert!(!acid);
    assert!(papers.order.drawing_note.contains("No acid"));
    assert!(papers.acceptance.off_shade.reprocess.text.contains("without acid"));
}

#[test]
fn hard_steel_gets_no_acid_on_a_second_pass_either() {
    let papers = oiled(
        r#"{"form": "hexagon_head_screw", "thread": "M10", "base_metal": "steel_10_9", "condition": "clean"}"#,
    );
    assert!(papers.acceptance.off_shade.reprocess.text.contains("without acid"));
    let soft = oiled(
        r#"{"form": "hexagon_head_screw", "thread": "M10", "base_metal": "steel_8_8", "condition": "clean"}"#,
    );
    assert!(soft.acceptance.off_shade.reprocess.text.contains("inhibited acid"));
}

#[test]
fn only_dry_parts_go_into_a_hot_bath() {
    let brief = demo("indoor-machine");
    let ranking = ranking(&brief);
    let said = |treatment| {
        let papers = of(&brief, option(&ranking, treatment, &["displacing_oil"]));
        let step = papers.route.first(RouteStepKind::Blacken).unwrap().clone();
        (
            step.instructions.iter().any(|said| said.text.contains("dry parts")),
            step.hazards.iter().any(|c| c.hazard == Some(Hazard::HotCausticBath)),
        )
    };
    assert_eq!(said("hot_alkaline"), (true, true));
    assert_eq!(said("room_temperature"), (false, false));
}

#[test]
fn the_insert_of_a_lock_nut_is_fitted_last_at_the_finisher() {
    let papers = oiled(
        r#"{"form": "lock_nut", "thread": "M8", "base_metal": "steel_8_8", "polymer_insert": true, "condition": "clean"}"#,
    );
    let last = papers.route.steps.iter().rfind(|step| step.stage == Stage::Finishing).unwrap();
    assert_eq!(last.kind, RouteStepKind::FitInsert);
}

#[test]
fn the_spot_test_is_for_classes_one_to_three() {
    let brief = demo("boat-cap-screws");
    let ranking = ranking(&brief);
    let spot = |treatment: &str| {
        let option = ranking.options.iter().find(|o| !o.blocked && o.build.treatment == treatment).unwrap();
        let papers = of(&brief, option);
        papers.acceptance.characteristics.iter().any(|c| c.name == "oxalic acid spot")
    };
    assert!(spot("alkaline_chromate"));
    assert!(!spot("stainless_alkaline"));
}

#[test]
fn the_sample_is_that_of_the_standard() {
    let brief = demo("indoor-machine");
    let papers = of(&brief, ranking(&brief).best().unwrap());
    let sample = papers.acceptance.sample(SampleName::Attributes).unwrap();
    let expected = plan(5000, InspectionLevel::II, 1.5).unwrap();
    assert_eq!(sample.plan, expected);
    assert_eq!(sample.risks, risks(&expected).unwrap());
    assert_eq!(sample.operating_characteristic[0].lot_acceptance_probability, 1.0);
    let spot = papers.acceptance.sample(SampleName::Spot).unwrap();
    assert_eq!((spot.plan.sample_size, spot.plan.accept), (8, 0));
}

#[test]
fn a_lot_of_one_piece_is_inspected_whole() {
    let papers =
        oiled(r#"{"form": "pin", "base_metal": "steel_8_8", "condition": "clean", "lot_pieces": 1}"#);
    assert!(papers.acceptance.plans.iter().all(|sample| sample.plan.sample_size == 1));
}

#[test]
fn a_weak_film_has_no_salt_spray_test_and_a_strong_one_has_its_lower_hours() {
    let brief = demo("indoor-machine");
    let ranking = ranking(&brief);
    let weak = of(&brief, option(&ranking, "hot_alkaline", &["displacing_oil"]));
    assert_eq!(weak.acceptance.salt_spray.hours, None);
    assert!(weak.to_text().contains("No salt-spray test"));
    let hinge = demo("gate-hinge");
    let strong = of(&hinge, self::ranking(&hinge).best().unwrap());
    let spray = &strong.acceptance.salt_spray;
    assert!(spray.hours.unwrap() <= spray.lower_hours);
    assert!(strong.to_text().contains("nothing about years"));
}

#[test]
fn hostile_names_do_nothing() {
    let mut brief = demo("deck-fitting");
    brief.name = "<script>alert(1)</script>\"'&\nOPEN: nothing".to_owned();
    let ranking = ranking(&brief);
    let papers = of(&brief, ranking.best().unwrap());
    let html = papers.to_html();
    assert!(!html.contains("<script") && html.contains("&lt;script&gt;"), "{html}");
    let text = papers.to_text();
    assert!(!text.contains("\nOPEN"));
    assert_eq!(Papers::from_json(&papers.to_json()).unwrap().inquiry, brief.name);
}

#[test]
fn a_blocked_build_has_no_papers_and_the_error_says_why() {
    let brief = demo("indoor-machine");
    let ranking = ranking(&brief);
    let blocked = ranking.options.iter().find(|o| o.blocked).unwrap();
    let reason = &blocked.findings.iter().find(|f| f.kind == FindingKind::Blocks).unwrap().message;
    let error = papers(&brief, blocked, Catalog::built_in(), Units::Metric).unwrap_err();
    assert_eq!(error.field(), "option");
    assert!(error.to_string().contains(&**reason), "{error}");
}

#[test]
fn a_second_pass_costs_the_sum_of_its_lines_without_blanks() {
    let brief = demo("gate-hinge");
    let papers = of(&brief, ranking(&brief).best().unwrap());
    let pass = &papers.acceptance.off_shade.second_pass;
    let sum: f64 = pass.lines.iter().map(|line| line.per_thousand).sum();
    assert!((sum - pass.per_thousand).abs() < 1e-9);
    assert!(pass.lines.iter().all(|line| !line.item.starts_with("blanks")));
    assert!(pass.lines.iter().any(|line| line.item == "stripping"));
    assert!((pass.per_lot - pass.per_thousand * 0.8).abs() < 1e-9);
}
