//! Papers that the parties have filled in, papers of processes of one's own, and threads that exist already.

use overcoat::catalog::Catalog;
use overcoat::check::FindingKind::{Blocks, Needs};
use overcoat::papers::{BearsOn, Papers, StepKind, Units, papers};
use overcoat::rank::rank;
use serde_json::{Value as Json, json};

use crate::papers::{asked_for, brief, option, order_text, ranking, treated, treated_in};

const ZINC_M8: &str = r#"{"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 2000}"#;
const FLAKE_12_9: &str = r#"{"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9", "safety_critical": true, "maker_consent": true, "lot_pieces": 300}"#;

fn answer(papers: &mut Papers, question: &str, answer: &str) {
    let open = papers.order.open.iter_mut().find(|open| open.question.starts_with(question));
    open.unwrap_or_else(|| panic!("no question {question}")).answer = Some(answer.to_owned());
}

/// Lines of a text put together again.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_torque_goes_with_the_friction_it_was_made_for() {
    let torque = |papers: &Papers| flowing(&papers.to_text()).contains("N·m");
    let mut papers = treated(ZINC_M8, "zinc_plate_black", &[]);
    // a sealer decides about the friction: none is given before it is named
    assert!(!torque(&papers));
    for text in [papers.to_text(), papers.to_html()] {
        assert_eq!(flowing(&text).matches("Open, torque: none").count(), 2, "in the order and at the step");
    }
    answer(&mut papers, "lubricant (friction", "none in this build");
    answer(&mut papers, "sealer", "inorganic post-dip C, without lubricant");
    assert!(torque(&papers), "nothing that it rests on has changed");
    assert!(
        flowing(&papers.to_text()).contains("tighten by torque and angle"),
        "who tightens reads the lower end"
    );
    for (question, said) in [
        ("lubricant (friction", "wax Y, at the plater"),
        ("sealer", "with PTFE lubricant"),
        ("sealer", "post-dip C"),
        ("total coefficient of friction", "0.09 to 0.14"),
    ] {
        let mut changed = papers.clone();
        answer(&mut changed, question, said);
        let changed = Papers::from_json(&changed.to_json()).unwrap();
        for text in [changed.to_text(), changed.to_html()] {
            let text = flowing(&text);
            assert!(!text.contains("N·m") && text.contains("No torque:"), "{said}");
            assert!(!text.contains("0.14 to 0.39") || question != "total coefficient of friction", "{said}");
        }
        let friction = changed.to_text();
        let friction = flowing(friction.split_once("Friction").unwrap().1);
        assert!(friction.contains(&format!(": {said}.")), "{friction}");
    }
}

/// Where a coat goes over the sealer, its friction is that of the joint: naming the sealer takes neither window nor torque.
#[test]
fn a_sealer_beneath_a_coat_leaves_the_window() {
    let mut papers = treated(ZINC_M8, "zinc_plate_black", &["dry_touch_oil"]);
    let text = |papers: &Papers| flowing(&papers.to_text());
    let before = text(&papers);
    answer(&mut papers, "sealer", "post-dip C");
    let after = text(&Papers::from_json(&papers.to_json()).unwrap());
    let window = "total coefficient of friction within 0.08 to 0.16";
    assert!(before.contains(window) && after.contains(window), "{after}");
    assert!(!before.contains("Open, torque") && !after.contains("No torque:"), "{after}");
    let mut not_named = papers.clone();
    answer(&mut not_named, "sealer", "none");
    assert!(Papers::from_json(&not_named.to_json()).is_err());
    // nothing is tightened by a bracket
    let bracket = r#"{"form": "bracket", "base_metal": "steel_8_8", "mass_g": 300, "surface_dm2": 2.5}"#;
    let mut bracket = treated(bracket, "zinc_plate_black", &[]);
    answer(&mut bracket, "sealer", "post-dip C");
    assert!(!text(&bracket).contains("torque"), "{}", text(&bracket));
}

/// ISO 3506-1: C1-110 has 350 to 440 HV, and yields at twice the stress of C1-70. What is ordered by its hardness has no
/// torque of the softer class.
#[test]
fn no_torque_is_given_before_the_class_is_entered() {
    let part = |more: &str| {
        format!(
            r#"{{"form": "hexagon_head_screw", "thread": "M6", "length_mm": 25, "base_metal": "stainless_410", "lot_pieces": 500{more}}}"#
        )
    };
    let torque = |more: &str| {
        let papers = treated(&part(more), "alkaline_chromate", &["hard_wax"]);
        (flowing(&papers.to_text()).contains("N·m"), order_text(&papers))
    };
    let (given, order) = torque(r#", "hardness_hv": 420"#);
    assert!(!given && order.contains("State the property class: the torque goes by it"), "{order}");
    assert!(!order.contains("part.") && !order.contains("lowest preload"), "{order}");
    let (given, order) = torque(r#", "hardness_hv": 420, "property_class": "C1-110""#);
    assert!(given, "{order}");
    let (given, order) = torque(r#", "hardness_hv": 280"#);
    assert!(given, "only C1-70 has this hardness: {order}");
}

/// Threads that are lubricated at assembly have the torque of that lubricant: nothing is said of another.
#[test]
fn no_torque_is_spoken_of_where_none_is_given() {
    let screw = r#"{"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "stainless_17_4ph", "tempering_temperature_c": 482, "lot_pieces": 500}"#;
    let papers = treated(screw, "stainless_alkaline", &["displacing_oil"]);
    let cautions: Vec<&str> = papers.cautions.iter().map(|caution| caution.text.as_str()).collect();
    assert!(cautions.iter().any(|said| said.contains("raise none")), "{cautions:?}");
    for said in ["that torque", "lowest preload"] {
        assert!(!cautions.iter().any(|caution| caution.contains(said)), "{said}: {cautions:?}");
    }
}

/// ISO 16047 measures at 0.75 of the proof load. At M12 10.9 (622 MPa), friction 0.43 twists with 537 MPa: 1119 MPa by von
/// Mises, against 1040 MPa tensile strength.
#[test]
fn a_steep_window_has_its_own_test_force() {
    let friction = |treatment: &str, films: &[&str]| {
        let part = r#"{"form": "hexagon_head_screw", "thread": "M12", "length_mm": 50, "base_metal": "steel_10_9", "tolerance": "6e", "lot_pieces": 2000}"#;
        let papers = treated(part, treatment, films);
        let test = papers.acceptance.characteristics.iter().find(|c| c.name == "friction").unwrap();
        test.test.contains("Test force agreed")
    };
    assert!(friction("zinc_nickel_black", &[]));
    assert!(!friction("hot_alkaline", &["dry_touch_oil"]));
}

/// What another part of the papers says is not answered otherwise.
#[test]
fn an_answer_agrees_with_the_rest_of_the_papers() {
    let aluminum = r#"{"form": "bracket", "base_metal": "aluminium", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 500}"#;
    let bracket = r#"{"form": "bracket", "base_metal": "steel_5_8", "mass_g": 300, "surface_dm2": 2.5, "lot_pieces": 500}"#;
    let hard = r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_10_9", "tolerance": "6e", "lot_pieces": 500}"#;
    let anodized = || treated(aluminum, "black_anodize", &[]);
    let flaked = || treated(hard, "zinc_flake_black", &[]);
    let phosphated = || treated(bracket, "zinc_phosphate", &["zinc_phosphate_primer", "air_dry_paint"]);
    let plated = || treated(hard, "zinc_plate_black", &[]);
    let coated = || treated(bracket, "hot_alkaline", &["epoxy_electrocoat", "polyester_powder"]);
    let hours = flaked().acceptance.salt_spray.hours.unwrap();
    let other = format!("ISO 10683 - flZn/nc/{:.0}h", hours / 3.0);
    let same = format!("ISO 10683:2018 - flZnL/nc/TL(black)/{hours:.0}h/C, maker's base coat");
    for (papers, question, wrong, right) in [
        (anodized(), "seal", "cold nickel fluoride, 30 °C", "nickel acetate"),
        (anodized(), "dye", "none", "organic black M, by maker D"),
        (flaked(), "edition and designation", other.as_str(), same.as_str()),
        (flaked(), "edition and designation", "ASTM F1941 zinc electroplated", "edition 2018"),
        (plated(), "edition and designation", "ISO 4042, zinc 12 µm", "ISO 4042:2022, class by its table"),
        (phosphated(), "revision", "class 3, no supplementary coat", "G"),
        (coated(), "revision", "AMS 2485", "ISO 11408:1999"),
        (plated(), "heat-treat lot", "three lots mixed", "lot 4711, one heat"),
        (plated(), "sampling", "none", "C=0 by ASME B18.18"),
        (flaked(), "shipment ahead", "every lot ahead of the result", "none"),
    ] {
        let filled = |said: &str| {
            let mut filled = papers.clone();
            answer(&mut filled, question, said);
            Papers::from_json(&filled.to_json())
        };
        let error = filled(wrong).map(|_| wrong).unwrap_err();
        assert!(error.field().ends_with(".answer") && error.to_string().contains(wrong), "{error}");
        filled(right).unwrap();
        filled("as proposed").unwrap();
    }
}

#[test]
fn tests_and_samples_go_by_the_order() {
    let mut papers = treated(ZINC_M8, "zinc_plate_black", &["dry_touch_oil"]);
    let plan = |papers: &Papers| {
        let text = flowing(&papers.to_text());
        text.split_once("ACCEPTANCE PLAN").unwrap().1.split_once("SOURCES").unwrap().0.to_owned()
    };
    let hours = papers.acceptance.salt_spray.hours.unwrap();
    let (proposed, red_rust) = (plan(&papers), format!("{hours:.0} h to first red rust"));
    assert!(proposed.contains("accept on 3") && proposed.contains(&red_rust), "{proposed}");
    answer(&mut papers, "salt spray", "480 h to first red rust");
    answer(&mut papers, "sampling", "C=0 by ASME B18.18");
    let plan = plan(&Papers::from_json(&papers.to_json()).unwrap());
    assert!(plan.contains("480 h to first red rust.") && !plan.contains(&red_rust), "{plan}");
    assert!(plan.contains("C=0 by ASME B18.18.") && !plan.contains("accept on 3"), "{plan}");
    assert!(!plan.contains("Producer's risk"), "{plan}");
    assert!(flowing(&papers.to_text()).contains("Samples: the order differs from the proposal and governs."));
}

/// What the route was made for is a fact of the inquiry: the answer names its field, and nothing of the papers is printed.
#[test]
fn papers_for_another_thread_surface_or_class_are_refused() {
    let screw =
        r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "stainless_316"}"#;
    for (papers, question, said, field) in [
        (treated(ZINC_M8, "zinc_plate_black", &[]), "tolerance before", "6g, made before", "part.tolerance"),
        (treated(ZINC_M8, "zinc_plate_black", &[]), "surface on arrival", "red rust", "part.condition"),
        (
            treated(screw, "stainless_alkaline", &["soft_wax"]),
            "property class",
            "A4-80",
            "part.property_class",
        ),
        (treated(screw, "stainless_alkaline", &["soft_wax"]), "lot size", "90", "part.lot_pieces"),
    ] {
        let mut filled = papers.clone();
        answer(&mut filled, question, said);
        let error = Papers::from_json(&filled.to_json()).unwrap_err();
        let at = filled.order.open.iter().position(|open| open.answer.is_some()).unwrap();
        assert_eq!(error.field(), format!("order.open[{at}].answer"));
        assert!(error.to_string().contains(field) && error.to_string().contains(said), "{error}");
        let text = flowing(&filled.to_text());
        assert!(text.contains(field) && !text.contains("ROUTE CARD"), "{text}");
        // the proposal itself fits, in full or in two words
        let proposed = papers.order.open[at].proposed.clone();
        for agreed in ["as proposed", "As proposed.", proposed.as_str()] {
            answer(&mut filled, question, agreed);
            Papers::from_json(&filled.to_json()).unwrap();
        }
    }
}

/// The cure is 180 to 320 °C at most here: an oven stays 25 °C below the tempering.
#[test]
fn a_tempering_below_the_ovens_is_refused() {
    let papers = treated(FLAKE_12_9, "zinc_flake_black", &[]);
    let hottest_c = papers.route.steps.iter().filter(|step| step.kind == StepKind::ZincFlake);
    let hottest_c = hottest_c.filter_map(|s| s.temperature_c.as_ref()).map(|t| t.high).fold(0.0, f64::max);
    assert!(hottest_c > 230.0);
    let filled = |said: &str| {
        let mut filled = papers.clone();
        answer(&mut filled, "lowest tempering temperature", said);
        Papers::from_json(&filled.to_json())
    };
    for wrong in ["230 °C", "446 °F", "see certificate 4711", "425", "425 to 300 °C"] {
        let error = filled(wrong).unwrap_err();
        assert!(error.field().ends_with(".answer"), "{error}");
    }
    for right in ["425 °C, not underlined", "797 °F", "410 to 425 °C by certificate 230"] {
        filled(right).unwrap();
    }
}

#[test]
fn an_answer_cannot_take_a_ban_away() {
    let mut papers = treated(FLAKE_12_9, "zinc_flake_black", &[]);
    for open in &mut papers.order.open {
        let free = matches!(open.bears_on, None | Some(BearsOn::SaltSpray | BearsOn::Sampling));
        open.answer =
            Some(if free { "used, from the old crane, kept outdoors" } else { "as proposed" }.to_owned());
    }
    let text = flowing(&papers.to_text());
    assert!(text.contains("used, from the old crane"));
    let bans = text.matches("Used or pitted pieces are not refinished.").count();
    assert!(
        bans == 2 && text.contains("STOP if the lot is used"),
        "in the order and on the route card: {text}"
    );
}

/// The catalog of a user: a copy of a built-in treatment and its process, changed.
fn own(treatment: &str, process: &str, change: impl Fn(&mut Json)) -> Result<Catalog, overcoat::Error> {
    let built_in: Json = serde_json::from_str(&Catalog::built_in().to_json()).unwrap();
    let mut own_treatment = built_in["treatments"][treatment].clone();
    own_treatment["process"] = json!("own_process");
    own_treatment["name"] = json!("finish of our own");
    let mut own_process = built_in["processes"][process].clone();
    change(&mut own_process);
    let document = json!({
        "schema": "overcoat.catalog.v1", "name": "ours",
        "sources": {"mine": {"firmness": "own_records", "citation": "our own trial"}},
        "treatments": {"own_finish": own_treatment}, "processes": {"own_process": own_process},
    });
    Catalog::from_json(&document.to_string())
}

/// Papers of the user's finish on a screw.
fn of_own(catalog: &Catalog, metal: &str) -> Result<Papers, overcoat::Error> {
    let mut asked = brief(&format!(
        r#"{{"form": "hexagon_head_screw", "thread": "M8", "tolerance": "6e", "length_mm": 30, "base_metal": "{metal}", "lot_pieces": 500}}"#
    ));
    asked.wants.outside_blackening = Some(true);
    let ranking = rank(&asked, catalog).unwrap();
    let mut option = option(&ranking, "own_finish", &[]).clone();
    option.findings.retain(|f| f.kind != Blocks);
    option.blocked = false;
    papers(&asked, &option, catalog, Units::Metric)
}

fn steps(process: &mut Json) -> &mut Vec<Json> {
    process["steps"].as_array_mut().unwrap()
}

#[test]
fn a_process_of_ones_own_keeps_the_order_of_its_steps() {
    let sound = own("zinc_plate_black", "zinc_electroplate_black", |_| {}).unwrap();
    assert!(of_own(&sound, "steel_10_9").unwrap().route.order_breaks().is_empty());
    for keep_order in [true, false] {
        let moved = own("zinc_plate_black", "zinc_electroplate_black", |process| {
            let steps = steps(process);
            let at = steps.iter().position(|step| step["kind"] == "bake").unwrap();
            let mut bake = steps.remove(at);
            if !keep_order {
                bake["after"] = json!([]);
            }
            steps.insert(0, bake);
        })
        .unwrap();
        let error = of_own(&moved, "steel_10_9").unwrap_err();
        assert!(
            error.field().starts_with("processes.") && error.to_string().contains("hydrogen relief"),
            "{error}"
        );
    }
}

#[test]
fn acid_in_a_process_of_ones_own_has_its_hazard_and_stays_off_hard_steel() {
    let pickle = |hazards: Json, kind: &str| json!({"kind": kind, "title": "Etch", "bath": "Hydrochloric acid 15%", "hazards": hazards, "source": "mine"});
    for kind in ["pickle", "clean"] {
        let silent = own("zinc_flake_black", "zinc_flake_black", |process| {
            steps(process).insert(1, pickle(json!([]), kind));
        });
        let error = silent.unwrap_err();
        assert_eq!(error.field(), "processes.own_process.steps[1].hazards");
    }
    let named = own("zinc_flake_black", "zinc_flake_black", |process| {
        steps(process).insert(1, pickle(json!(["acid", "hydrogen"]), "pickle"));
    })
    .unwrap();
    of_own(&named, "steel_8_8").unwrap();
    let error = of_own(&named, "steel_12_9").unwrap_err();
    assert!(
        error.field() == "processes.own_process.steps" && error.to_string().contains("390 HV"),
        "{error}"
    );
}

#[test]
fn a_cure_of_ones_own_stays_below_the_tempering() {
    let hot = own("zinc_flake_black", "zinc_flake_black", |process| {
        for step in steps(process)
            .iter_mut()
            .filter(|step| step["kind"] == "cure" || step["title"] == "Second base coat, flash off and cure")
        {
            step["temperature_c"] = json!({"low": 400, "high": 450, "source": "mine"});
        }
    })
    .unwrap();
    let error = of_own(&hot, "steel_12_9").unwrap_err();
    assert!(
        error.field() == "processes.own_process.steps" && error.to_string().contains("400 °C"),
        "{error}"
    );
    of_own(&hot, "steel_4_6").unwrap();
}

/// ISO 965-1: es of 6e is 50 + 11·P µm, 71.5 µm at 13 threads per inch; ASME B1.1: the allowance of 2A is 0.3 of its
/// tolerance, 0.0015 in at 1/2-13. Four times 14 µm is 56 µm.
#[test]
fn zinc_flake_is_open_on_inch_threads_where_it_is_on_metric_ones() {
    for (thread, metal) in [
        ("1/4-20 UNC", "steel_8_8"),
        ("3/8-16 UNC", "steel_10_9"),
        ("1/2-13 UNC", "steel_10_9"),
        ("5/8-11 UNC", "steel_10_9"),
    ] {
        for tolerance in ["2A", "3A"] {
            let part = format!(
                r#"{{"form": "hexagon_head_screw", "thread": "{thread}", "tolerance": "{tolerance}", "length_mm": 50, "base_metal": "{metal}"}}"#
            );
            let asked = asked_for(&part, "zinc_flake_black", &[]);
            let ranking = ranking(&asked);
            let option = option(&ranking, "zinc_flake_black", &[]);
            assert!(!option.findings.iter().any(|f| f.kind == Blocks), "{thread}: {:?}", option.findings);
            let found = option.findings.iter().find(|f| f.rule == "thread.by_agreement").unwrap();
            assert_eq!(found.kind, Needs);
            let remedy = found.remedy.as_deref().unwrap();
            assert!(remedy.contains("undersize by agreement") && remedy.contains("3A GO gauge"), "{remedy}");
            let papers = papers(&asked, option, Catalog::built_in(), Units::Inch).unwrap();
            let order = order_text(&papers);
            assert!(
                order.contains("2A with the pitch diameter") && order.contains("GO gauge 3A after"),
                "{order}"
            );
            assert!(papers.order.drawing_note.contains("undersize by agreement"));
            assert!(papers.route.first(StepKind::CutThread).is_some());
        }
    }
    // 4 · 14 µm - 38 µm of the allowance of 2A is 18 µm, 0.7 mil
    let half = treated_in(
        Units::Inch,
        r#"{"form": "hexagon_head_screw", "thread": "1/2-13 UNC", "tolerance": "2A", "base_metal": "steel_10_9"}"#,
        "zinc_flake_black",
        &[],
    );
    assert!(order_text(&half).contains("2A with the pitch diameter 0.7"), "{}", order_text(&half));
}

/// A joint has one finish: a nut takes zinc flake where its screw does.
#[test]
fn a_nut_takes_the_finish_of_its_screw() {
    for (thread, tolerance) in [("M10", "6H"), ("M8", "6G"), ("3/8-16 UNC", "2B")] {
        let part = format!(
            r#"{{"form": "hexagon_nut", "thread": "{thread}", "tolerance": "{tolerance}", "base_metal": "steel_8_8"}}"#
        );
        let asked = asked_for(&part, "zinc_flake_black", &[]);
        let ranking = ranking(&asked);
        let option = option(&ranking, "zinc_flake_black", &[]);
        assert!(!option.findings.iter().any(|f| f.kind == Blocks), "{thread}: {:?}", option.findings);
        let found = option.findings.iter().find(|f| f.rule == "thread.by_agreement").unwrap();
        let remedy = found.remedy.as_deref().unwrap();
        assert!(
            remedy.contains("oversize by agreement") && remedy.contains("stripping strength"),
            "{remedy}"
        );
    }
}

#[test]
fn parts_whose_surface_and_tolerance_are_stated_are_at_hand() {
    let part = |more: &str| {
        format!(
            r#"{{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_8_8"{more}}}"#
        )
    };
    let flake = |more: &str| treated(&part(more), "zinc_flake_black", &[]);
    for at_hand in
        [r#", "condition": "clean", "tolerance": "6g""#, r#", "condition": "oiled", "tolerance": "6g""#]
    {
        let papers = flake(at_hand);
        assert!(papers.route.first(StepKind::CutThread).is_none(), "{at_hand}");
        let buyer = papers.route.first(StepKind::Consent).unwrap();
        assert!(buyer.hold[0].text.contains("gauge trial"), "{buyer:?}");
        assert!(order_text(&papers).contains("Parts at hand (6g) have too little allowance"));
    }
    // nobody says whether they exist: both ways are named
    let open = flake(r#", "tolerance": "6g""#);
    let cut = open.route.first(StepKind::CutThread).unwrap();
    assert!(cut.hold[0].text.starts_with("STOP for parts that exist already"), "{cut:?}");
}

#[test]
fn new_parts_are_not_stripped() {
    let part = r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "tolerance": "6g", "base_metal": "steel_8_8", "present_finish": "zinc_plate"}"#;
    let papers = treated(part, "zinc_flake_black", &[]);
    assert!(papers.route.first(StepKind::Strip).is_some());
    let buyer = papers.route.first(StepKind::Consent).unwrap();
    let said: Vec<&str> = buyer.instructions.iter().map(|said| said.text.as_str()).collect();
    assert!(
        said.iter().any(|said| said.contains("New parts come unplated: leave out the stripping")),
        "{said:?}"
    );
    assert!(order_text(&papers).contains("unplated and not stripped"));
    let ranking = ranking(&asked_for(part, "zinc_flake_black", &[]));
    let found =
        option(&ranking, "zinc_flake_black", &[]).findings.iter().find(|f| f.rule.starts_with("thread."));
    let remedy = found.and_then(|f| f.remedy.as_deref()).unwrap();
    assert!(remedy.contains("they need no stripping. Or strip the parts at hand"), "{remedy}");
}

/// SAE J429 (strength.csv, from memory): Grade 8 is tempered at 427 °C (800 °F) or more; ASTM A574 at 343 °C.
#[test]
fn inch_grades_have_their_own_tempering() {
    let grade_8 = treated(
        r#"{"form": "hexagon_head_screw", "thread": "1/2-13 UNC", "base_metal": "steel_10_9"}"#,
        "zinc_plate_black_5",
        &[],
    );
    assert!(order_text(&grade_8).contains("count on 800 °F"), "{}", order_text(&grade_8));
    let socket = r#"{"form": "socket_cap_screw", "thread": "1/4-20 UNC", "base_metal": "steel_12_9"}"#;
    assert!(order_text(&treated(socket, "hot_alkaline", &["dry_touch_oil"])).contains("count on 650 °F"));
    let ranking = ranking(&brief(socket));
    let said: Vec<_> = ranking.options.iter().flat_map(|o| &o.findings).map(|f| f.message.as_ref()).collect();
    assert!(said.iter().any(|said| said.contains("650 °F")));
    assert!(!said.iter().any(|said| said.contains("716 °F")), "one tempering of one part");
}

/// ASME B1.1, table of 2A (by memory): pitch diameter 0.4435 to 0.4485 in at 1/2-13 UNC; ISO 965-2: 8.862 to 8.994 mm at M10
/// 6g, of which the zinc flake takes more than the allowance.
#[test]
fn an_undersize_thread_has_its_limits() {
    let half = treated_in(
        Units::Inch,
        r#"{"form": "hexagon_head_screw", "thread": "1/2-13 UNC", "tolerance": "2A", "base_metal": "steel_10_9"}"#,
        "zinc_flake_black",
        &[],
    );
    // 18 µm, 0.0007 in, below both
    assert!(order_text(&half).contains("by agreement (0.4428 to 0.4478 in)"), "{}", order_text(&half));
}

/// Inch papers have the scales and the sizes of the inch trade; a length that is none of it is asked for.
#[test]
fn an_inch_part_has_the_words_of_its_trade() {
    let of_length = |length_mm: f64| {
        let part = format!(
            r#"{{"form": "hexagon_head_screw", "thread": "1/2-13 UNC", "length_mm": {length_mm}, "base_metal": "steel_10_9"}}"#
        );
        treated_in(Units::Inch, &part, "zinc_plate_black_5", &[])
    };
    let (trade, metric) = (of_length(38.0), of_length(40.0));
    assert!(order_text(&trade).contains("1/2-13 UNC x 1 1/2 in"), "{}", order_text(&trade));
    assert!(!order_text(&trade).contains("length, which is none"));
    assert!(order_text(&metric).contains("length, which is none of the inch trade: 1 1/2 in or 1 5/8 in"));
    let text = trade.to_text();
    let (said, _) = text.split_once("SOURCES").unwrap();
    assert!(!said.contains(" HV"), "{said}");
    let eyebolt = r#"{"form": "other", "thread": "3/4-10 UNC", "base_metal": "steel_8_8", "mass_g": 500, "surface_dm2": 3, "safety_critical": true, "maker_consent": true}"#;
    let mut asked = asked_for(eyebolt, "zinc_plate_black", &["displacing_oil"]);
    asked.remarks = Some("lifting eyebolt".to_owned());
    let ranking = ranking(&asked);
    let hung = option(&ranking, "zinc_plate_black", &["displacing_oil"]);
    let hung = papers(&asked, hung, Catalog::built_in(), Units::Inch).unwrap();
    let order = order_text(&hung);
    // EN ISO 898-1, above M16: 255 to 335 HV, 23 to 34 HRC
    assert!(!order.contains("inside)") && order.contains("23 to 34 HRC"), "{order}");
}

/// ASTM B850 by way of the trade: 375 to 425 °F; an oven chart is critical, so one range stands in order and step.
#[test]
fn the_bake_has_one_range() {
    let papers = treated(
        r#"{"form": "hexagon_head_screw", "thread": "1/2-13 UNC", "length_mm": 50, "base_metal": "steel_10_9"}"#,
        "zinc_plate_black_5",
        &[],
    );
    let text = flowing(&papers.to_text());
    assert!(
        text.contains("at 375 to 425 °F part temperature") && text.contains("Temperature 375 to 425 °F"),
        "{text}"
    );
    assert!(!text.contains("374") && !text.contains("428 °F"));
}

/// ASTM F1941 (from memory) names ASTM B568, B571 and B117: the methods of the inch trade come first on its orders.
#[test]
fn an_inch_order_names_the_methods_of_its_trade_first() {
    let papers = |thread: &str| {
        treated(
            &format!(r#"{{"form": "hexagon_head_screw", "thread": "{thread}", "base_metal": "steel_8_8"}}"#),
            "zinc_plate_black_5",
            &[],
        )
    };
    let method = |papers: &Papers, name: &str| {
        let tests = papers.acceptance.characteristics.iter();
        tests.filter(|c| c.name == name).map(|c| c.standard.clone()).next().unwrap()
    };
    let (inch, metric) = (papers("1/2-13 UNC"), papers("M12"));
    for (name, standard) in
        [("coating thickness", "ASTM B568"), ("adhesion", "ASTM B571"), ("salt spray", "ASTM B117")]
    {
        assert!(method(&inch, name).starts_with(standard), "{}", method(&inch, name));
        assert!(method(&metric, name).starts_with("ISO "), "{}", method(&metric, name));
    }
    assert!(order_text(&inch).contains("ASTM B117 or ISO 9227") && !order_text(&metric).contains("B117"));
}

/// ISO 3613, scope: not through a sealer, oil or wax.
#[test]
fn hexavalent_chromium_is_tested_ahead_of_the_sealer() {
    for (treatment, films) in [
        ("zinc_plate_black", &[][..]),
        ("zinc_plate_black_5", &["thin_wax"]),
        ("zinc_plate_black_12", &["dry_touch_oil"]),
        ("zinc_nickel_black", &["thin_wax"]),
    ] {
        let papers = treated(ZINC_M8, treatment, films);
        let test =
            papers.acceptance.characteristics.iter().find(|c| c.name == "hexavalent chromium").unwrap();
        assert_eq!(test.moment, overcoat::papers::Moment::BeforeSupplementaryFinish, "{treatment}");
        let steps = &papers.route.steps;
        let taken =
            steps.iter().position(|s| s.hold.iter().any(|h| h.text.contains("before these pieces are out")));
        let covered = steps.iter().position(|s| matches!(s.kind, StepKind::Seal | StepKind::Coat));
        assert!(taken.is_some() && taken < covered, "{treatment}");
    }
}

#[test]
fn a_socket_that_a_coat_can_fill_is_gauged() {
    for form in ["socket_cap_screw", "button_head_screw", "countersunk_screw", "hexagon_head_screw"] {
        let part =
            format!(r#"{{"form": "{form}", "thread": "M8", "tolerance": "6e", "base_metal": "steel_8_8"}}"#);
        for (treatment, films) in [
            ("zinc_flake_black", &[][..]),
            ("hot_alkaline", &["acrylic_lacquer"]),
            ("hot_alkaline", &["displacing_oil"]),
        ] {
            let papers = treated(&part, treatment, films);
            let tested = papers.acceptance.characteristics.iter().any(|c| c.name == "drive");
            let looked = papers
                .route
                .steps
                .iter()
                .any(|s| s.measure.iter().any(|m| m.text.contains("the key enters")));
            let due = form != "hexagon_head_screw" && films != ["displacing_oil"];
            assert_eq!((tested, looked), (due, due), "{form} {treatment} {films:?}");
        }
    }
}
