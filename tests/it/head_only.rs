//! Paint that no tolerance of the thread holds, on the head and shank of a screw alone.

use overcoat::check::{FindingKind, Step};
use overcoat::papers::{Papers, StepKind};
use overcoat::rank::{RankedOption, Ranking};

use crate::common::{brief, demo, finding, option, ranked};
use crate::papers::treated;

const PAINTS: [&str; 3] = ["polyester_powder", "epoxy_electrocoat", "air_dry_paint"];

/// Paints and oil over black oxide on a screw outdoors.
fn asked(part: &str) -> Ranking {
    let films = PAINTS.iter().chain(&["displacing_oil", "dip_spin_topcoat"]);
    let builds: Vec<String> =
        films.map(|film| format!(r#"{{"treatment": "hot_alkaline", "films": ["{film}"]}}"#)).collect();
    ranked(&brief(
        &format!(r#""base_metal": "steel_8_8", {part}"#),
        r#""place": "coastal", "required_years": 2"#,
        &format!(r#""builds": [{}]"#, builds.join(", ")),
    ))
}

fn film<'a>(ranking: &'a Ranking, film: &str) -> &'a RankedOption {
    option(ranking, &format!("steel_8_8 / hot_alkaline / {film}"))
}

/// A bolt rusts first where nothing covers it: a painted head does not lengthen the life of the oiled thread beside it.
#[test]
fn a_painted_head_has_the_years_and_the_torque_of_its_oiled_thread() {
    for size in ["M6", "M8", "M10", "M12", "M16", "M20"] {
        let ranking =
            asked(&format!(r#""form": "hexagon_head_screw", "thread": "{size}", "tolerance": "6g""#));
        let oiled = film(&ranking, "displacing_oil");
        let torque = |option: &RankedOption| finding(option, "torque.friction").unwrap().message.to_string();
        for paint in PAINTS {
            let painted = film(&ranking, paint);
            let needs = finding(painted, "thread.head_only").unwrap();
            assert_eq!(
                (needs.kind, needs.step),
                (FindingKind::Needs, Some(Step::MaskThread)),
                "{size} {paint}"
            );
            assert!(!painted.blocked && !painted.met && painted.name.ends_with(", on head and shank only"));
            assert_eq!(painted.outlook.ln_years, oiled.outlook.ln_years, "{size} {paint}");
            assert_eq!(torque(painted), torque(oiled), "{size} {paint}");
            assert!(painted.rank > oiled.rank, "{size} {paint}");
            assert!(painted.cost.lines.iter().any(|line| &*line.item == "masking"), "{size} {paint}");
            let said = &finding(painted, "thread.masked_years").unwrap().message;
            assert!(
                said.starts_with("The masked thread counts: ") && said.contains("; the coated head has "),
                "{said}"
            );
            // paint creeps under a head that is not masked
            assert!(finding(painted, "fit.clamped_face").is_none());
        }
    }
}

/// Nothing is masked off a nut or a set screw, which are all thread, off what is dipped and spun, or off zinc that fills the
/// thread by itself.
#[test]
fn what_has_no_head_of_its_own_is_not_painted_alone() {
    for (part, film_name) in [
        (r#""form": "hexagon_nut", "thread": "M8""#, "polyester_powder"),
        (r#""form": "set_screw", "thread": "M8""#, "polyester_powder"),
        (
            r#""form": "hexagon_head_screw", "thread": "M8", "present_finish": "zinc_plate""#,
            "polyester_powder",
        ),
        (r#""form": "hexagon_head_screw", "thread": "M3""#, "dip_spin_topcoat"),
    ] {
        let ranking = asked(part);
        let found = film(&ranking, film_name);
        assert!(found.blocked && finding(found, "thread.room").is_some(), "{part}: {:#?}", found.findings);
    }
    // 40 µm of paint and more fill a part of another form too, where the thread is masked as before
    let ranking = asked(r#""form": "bracket", "thread": "M8", "mass_g": 300, "surface_dm2": 2.5"#);
    assert!(finding(film(&ranking, "polyester_powder"), "thread.mask").is_some());
}

/// On the boat of the demo: options on head and shank alone never lead, and no build is in two minds about its thread.
#[test]
fn a_painted_head_never_leads_the_screws_of_a_boat() {
    let ranking = ranked(&demo("boat-cap-screws"));
    let (mut usable, mut first_rank) = (0, u32::MAX);
    for option in ranking.options.iter().filter(|option| finding(option, "thread.head_only").is_some()) {
        assert!(finding(option, "thread.room").is_none(), "{}", option.build);
        if !option.blocked {
            (usable, first_rank) = (usable + 1, first_rank.min(option.rank.unwrap()));
        }
    }
    assert!(usable > 20 && first_rank > 1, "{usable} usable, the first at rank {first_rank}");
}

/// What reaches the target with the thread sealed in the joint is told where nothing else does.
#[test]
fn a_head_that_reaches_the_target_is_told_where_no_option_does() {
    let part = r#""form": "hexagon_head_screw", "thread": "M8", "tolerance": "6g""#;
    let told = |films: &[&str]| {
        let builds: Vec<String> = films
            .iter()
            .map(|film| format!(r#"{{"treatment": "hot_alkaline", "films": [{film}]}}"#))
            .collect();
        let ranking = ranked(&brief(
            &format!(r#""base_metal": "steel_8_8", {part}"#),
            r#""place": "urban", "required_years": 2"#,
            &format!(r#""builds": [{}]"#, builds.join(", ")),
        ));
        assert!(ranking.options.iter().all(|option| !option.met));
        ranking.remarks.into_iter().find(|line| line.starts_with("thread sealed in the joint"))
    };
    let said = told(&[r#""epoxy_electrocoat", "polyester_powder""#, r#""displacing_oil""#]).unwrap();
    assert!(
        said.contains("on head and shank only reaches the target") && said.contains("its thread fails"),
        "{said}"
    );
    assert_eq!(told(&[r#""displacing_oil""#]), None);
}

/// Masked on the rack, oiled once the coat is cured, gauged on the bare thread, tightened by the friction of the oil.
#[test]
fn the_papers_of_a_painted_head_mask_and_oil_its_thread() {
    let part = r#"{"form": "socket_cap_screw", "thread": "M8", "tolerance": "6g", "length_mm": 30, "base_metal": "steel_8_8"}"#;
    let papers = treated(part, "hot_alkaline", &["polyester_powder"]);
    let kinds: Vec<StepKind> = papers.route.steps.iter().map(|step| step.kind).collect();
    let at = |kind: StepKind| kinds.iter().position(|own| *own == kind).unwrap();
    assert!(
        at(StepKind::Blacken) < at(StepKind::MaskThread) && at(StepKind::MaskThread) < at(StepKind::Coat)
    );
    assert!(at(StepKind::Cure) < at(StepKind::Lubricate) && at(StepKind::Lubricate) < at(StepKind::Inspect));
    let order = papers.to_text().split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "on head and shank only",
        "Threads and bearing faces, then water-displacing oil, 1 to 3 µm.",
        "0.08 to 0.16",
        "the coated head has",
        "Touch up heads and drives that chip",
    ] {
        assert!(order.contains(words), "{words}: {order}");
    }
    assert!(!order.contains("protection of the masked thread"), "{order}");
    // the friction of the oil is that of thread and bearing face, so both get it
    let oil = papers.route.steps.iter().find(|step| step.kind == StepKind::Lubricate).unwrap();
    let said: Vec<&str> =
        oil.instructions.iter().chain(&oil.measure).map(|said| said.text.as_str()).collect();
    assert!(!said.join(" ").contains("threads alone"), "{said:?}");
    assert!(said.contains(&"Every masked thread and bearing face covered."), "{said:?}");
    let thread =
        papers.acceptance.characteristics.iter().find(|c| c.name == "thread after finishing").unwrap();
    assert!(
        thread.test.starts_with("Masked threads and bearing faces, no coat inside: GO gauge"),
        "{}",
        thread.test
    );
    let spray = papers.acceptance.characteristics.iter().find(|c| c.name == "salt spray").unwrap();
    assert!(spray.test.contains("the masked thread is left out"), "{}", spray.test);
}

/// The torque of a thread that comes dry is not that of an oiled one: what protects it on receipt leaves it dry, or ends
/// the torque.
#[test]
fn what_protects_a_dry_masked_thread_leaves_its_friction_or_ends_the_torque() {
    let part = r#"{"form": "hexagon_head_screw", "thread": "M16", "tolerance": "6g", "length_mm": 80, "base_metal": "steel_10_9", "lot_pieces": 240}"#;
    let made = treated(part, "zinc_phosphate_light", &["air_dry_paint"]);
    let with = |answer: &str| {
        let mut papers = made.clone();
        let open =
            papers.order.open.iter_mut().find(|open| open.question.starts_with("protection of the masked"));
        let open = open.unwrap();
        assert!(open.proposed.starts_with("caps, then a sealed joint;"), "{}", open.proposed);
        open.answer = Some(answer.to_owned());
        Papers::from_json(&papers.to_json())
            .map(|papers| papers.to_text().split_whitespace().collect::<Vec<_>>().join(" "))
    };
    for answer in ["caps", "sealed joint", "as proposed"] {
        let text = with(answer).unwrap();
        assert!(!text.contains("No torque:"), "{answer}: {text}");
    }
    for answer in ["oil (ISO VG 32) dipped on receipt", "wax", "MoS2 paste at assembly"] {
        let text = with(answer).unwrap();
        let (order, route) = text.split_once("ROUTE CARD").unwrap();
        assert!(order.contains(answer) && route.contains("No torque:"), "{answer}: {text}");
        assert!(!route.contains("By the torque for a coefficient of friction"), "{answer}: {text}");
    }
    assert!(with("none").is_err());
    let text = made.to_text();
    assert!(!text.contains("stays bare"), "it has its phosphate: {text}");
}

/// Paint on the flats of a hex is tried with the wrench, in a socket with the key.
#[test]
fn the_drive_of_a_painted_head_is_tried() {
    for (form, treatment, tool) in
        [("hexagon_head_screw", "hot_alkaline", "wrench"), ("socket_cap_screw", "hot_alkaline", "key")]
    {
        let part = format!(
            r#"{{"form": "{form}", "thread": "M12", "tolerance": "6g", "length_mm": 40, "base_metal": "steel_8_8"}}"#
        );
        let papers = treated(&part, treatment, &["polyester_powder"]);
        let drive = papers.acceptance.characteristics.iter().find(|c| c.name == "drive").unwrap();
        assert!(drive.test.contains(tool), "{form}: {}", drive.test);
        let oiled = treated(&part, treatment, &["displacing_oil"]);
        assert!(oiled.acceptance.characteristics.iter().all(|c| c.name != "drive"), "{form}");
    }
}
