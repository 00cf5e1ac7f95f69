//! What holds for every build that a brief lets through, of the difficult parts: rusty or scaled, safety-critical, cast, with
//! other metals joined, with a finish on them, with marked surfaces.

use std::collections::BTreeMap;

use std::sync::LazyLock;

use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::finish::TreatmentKind;
use overcoat::papers::{Moment, Papers, RouteStep, Stage, StepKind, Units, papers};
use overcoat::rank::RankedOption;

use crate::papers::{brief, order_text, ranking, treated};

const SAFETY: &str = r#""safety_critical": true, "maker_consent": true"#;

/// Parts without the braces; `SAFETY` stands for what marks a safety-critical part.
const PARTS: [&str; 26] = [
    r#""form": "hexagon_head_screw", "thread": "1/2-13 UNC", "base_metal": "steel_10_9", "present_finish": "cadmium_plate" "#,
    r#""form": "bracket", "thread": "M10", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "condition": "rust", "functional_surfaces": ["seat"], SAFETY"#,
    r#""form": "bracket", "thread": "M12", "base_metal": "malleable_iron", "mass_g": 900, "surface_dm2": 4, "condition": "heavy_scale", "traps_liquid": true, "lot_pieces": 45, "functional_surfaces": ["port", "seat"], SAFETY"#,
    r#""form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_12_9", "condition": "rust", SAFETY"#,
    r#""form": "hexagon_head_screw", "thread": "M16", "base_metal": "steel_8_8", "condition": "light_scale", SAFETY"#,
    r#""form": "hexagon_head_screw", "thread": "3/8-16 UNC", "base_metal": "steel_10_9", "condition": "rust", SAFETY"#,
    r#""form": "socket_cap_screw", "thread": "M8", "base_metal": "stainless_17_4ph", "tempering_temperature_c": 482, "condition": "rust", SAFETY"#,
    r#""form": "pin", "base_metal": "stainless_17_4ph", "tempering_temperature_c": 552, SAFETY"#,
    r#""form": "hexagon_head_screw", "thread": "M10", "base_metal": "stainless_316", "property_class": "A4-80", "condition": "rust", SAFETY"#,
    r#""form": "pin", "base_metal": "steel_12_9", "functional_surfaces": ["fit"], SAFETY"#,
    r#""form": "bracket", "base_metal": "aluminium", "mass_g": 100, "surface_dm2": 1.5, SAFETY"#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["brass"]"#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["stainless_304"]"#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["stainless_304"], "condition": "rust" "#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["aluminium"]"#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["zinc_die_casting"]"#,
    r#""form": "bracket", "base_metal": "stainless_304", "mass_g": 300, "surface_dm2": 2.5, "joined_metals": ["stainless_430"]"#,
    r#""form": "hexagon_head_screw", "thread": "M12", "base_metal": "steel_10_9", "present_finish": "zinc_plate", "condition": "rust" "#,
    r#""form": "hexagon_head_screw", "thread": "M12", "base_metal": "steel_10_9", "present_finish": "nickel_plate" "#,
    r#""form": "hexagon_head_screw", "thread": "M12", "base_metal": "steel_10_9", "present_finish": "zinc_plate" "#,
    r#""form": "hexagon_nut", "thread": "M12", "base_metal": "steel_8_8", "present_finish": "hot_dip_zinc", "lot_pieces": 3000"#,
    r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5, "present_finish": "paint", "functional_surfaces": ["seat", "port"], "traps_liquid": true"#,
    r#""form": "hexagon_head_screw", "thread": "M20", "base_metal": "steel_8_8", "present_finish": "zinc_plate" "#,
    r#""form": "bracket", "thread": "M10", "tolerance": "6H", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5"#,
    r#""form": "lock_nut", "thread": "M12", "base_metal": "steel_8_8", "condition": "rust", "polymer_insert": false"#,
    r#""form": "bracket", "base_metal": "malleable_iron", "mass_g": 300, "surface_dm2": 2.5, "traps_liquid": true"#,
];

/// Papers of a treatment on a part that are looked at: the stacks of a treatment differ in their coats alone.
const STACKS_OF_A_TREATMENT: usize = 9;

type Made = (Brief, RankedOption, Papers);

static EVERY: LazyLock<Vec<Made>> = LazyLock::new(|| {
    let mut made: Vec<Made> = Vec::new();
    for part in PARTS {
        let part = part.replace("SAFETY", SAFETY);
        let mut asked = brief(&format!("{{{part}}}"));
        asked.wants.outside_blackening = Some(true);
        let mut seen: BTreeMap<String, usize> = BTreeMap::new();
        for option in ranking(&asked).options {
            let own = option.build.base_metal == *asked.part.base_metal.as_ref().unwrap();
            if option.blocked || !own {
                continue;
            }
            let stacks = seen.entry(option.build.treatment.clone()).or_insert(0);
            *stacks += 1;
            if *stacks > STACKS_OF_A_TREATMENT {
                continue;
            }
            let papers = papers(&asked, &option, Catalog::built_in(), Units::of(&asked))
                .unwrap_or_else(|e| panic!("{}: {e}", option.build));
            made.push((asked.clone(), option, papers));
        }
    }
    made
});

fn for_every_build(rule: impl Fn(&Brief, &RankedOption, &Papers)) {
    assert!(EVERY.len() > 400, "{} builds", EVERY.len());
    EVERY.iter().for_each(|(brief, option, papers)| rule(brief, option, papers));
}

fn kind(option: &RankedOption) -> TreatmentKind {
    Catalog::built_in().treatment(&option.build.treatment).unwrap().kind
}

fn said(step: &RouteStep) -> String {
    let all = step.instructions.iter().chain(&step.measure).chain(&step.hold);
    all.map(|said| said.text.as_str()).collect::<Vec<_>>().join(" ")
}

/// Whether a finding asks the step to take rust or scale off.
fn takes_rust_off(step: &RouteStep) -> bool {
    step.asked_by.iter().any(|asked| asked.text.ends_with("must be removed before finishing."))
}

fn run_on(papers: &Papers) -> String {
    papers.to_text().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// safety.csv SF03: cracks show on clean, bare metal; a bath that asks for a fresh surface follows a blast at once.
#[test]
fn cracks_are_looked_for_when_all_rust_is_off() {
    let mut inspected = 0;
    for (_, option, papers) in EVERY.iter() {
        let steps = &papers.route.steps;
        let Some(at) = steps.iter().position(|step| step.kind == StepKind::CrackTest) else { continue };
        inspected += 1;
        let later = steps.iter().skip(at).find(|step| takes_rust_off(step));
        assert!(later.is_none(), "{}: {}", option.build, later.map_or("", |step| &step.title));
        // a surface that stands through inspection or masking is not fresh
        let last = steps.iter().rposition(|step| step.kind == StepKind::Blast).filter(|last| *last > at);
        let bath = steps.iter().position(|step| {
            matches!(step.kind, StepKind::Phosphate | StepKind::Blacken | StepKind::Electroplate)
        });
        if let (Some(last), Some(bath), TreatmentKind::Phosphate) = (last, bath, kind(option)) {
            let between = steps.iter().take(bath).skip(last + 1).map(|step| step.kind);
            let between: Vec<_> = between.filter(|kind| *kind != StepKind::Condition).collect();
            assert!(between.is_empty(), "{}: {between:?}", option.build);
        }
    }
    assert!(inspected > 100, "{inspected}");
}

/// A blast for a bath of its own comes behind the inspection where the part was blasted ahead of it for its rust.
#[test]
fn a_bath_that_needs_a_fresh_surface_has_one_behind_the_inspection() {
    for (_, option, papers) in EVERY.iter().filter(|(brief, ..)| brief.part.safety_critical) {
        let steps = &papers.route.steps;
        let Some(at) = steps.iter().position(|step| step.kind == StepKind::CrackTest) else { continue };
        let rusty = steps.iter().take(at).any(|step| step.kind == StepKind::Blast && takes_rust_off(step));
        let hard_stainless = option.build.base_metal.starts_with("stainless")
            && steps.iter().any(|step| step.kind == StepKind::Blacken)
            && !steps.iter().any(|step| step.kind == StepKind::Activate)
            && option.build.treatment != "fused_salt";
        if rusty && (kind(option) == TreatmentKind::Phosphate || hard_stainless) {
            assert!(steps.iter().skip(at).any(|step| step.kind == StepKind::Blast), "{}", option.build);
        }
    }
}

/// Rust in the root of a thread hides the crack that breaks the screw.
#[test]
fn a_blast_that_takes_rust_off_reaches_the_threads() {
    let mut blasted = 0;
    for (_, option, papers) in EVERY.iter().filter(|(brief, ..)| brief.part.thread.is_some()) {
        for step in papers.route.steps.iter().filter(|step| takes_rust_off(step)) {
            if step.kind == StepKind::Blast {
                blasted += 1;
                assert!(said(step).contains("the threads too"), "{}: {}", option.build, said(step));
            }
        }
    }
    assert!(blasted > 50, "{blasted}");
}

/// asme_b30_26: heat above the limit of its maker takes the rating of a part; baths heat it as ovens do.
#[test]
fn the_maker_is_asked_for_the_hottest_bath_or_oven_in_one_number() {
    let mut asked_for = 0;
    for_every_build(|brief, option, papers| {
        let ranges = papers.route.steps.iter().filter_map(|step| step.temperature_c.as_ref());
        let hottest_c = ranges.map(|range| range.high).reduce(f64::max).unwrap();
        let (at, open) = papers
            .order
            .open
            .iter()
            .enumerate()
            .find(|(_, open)| open.question.starts_with("highest temperature"))
            .unzip();
        let heats = |step: &&RouteStep| {
            let is_oven = matches!(
                step.kind,
                StepKind::StressRelief | StepKind::Bake | StepKind::Cure | StepKind::ZincFlake
            );
            step.temperature_c.as_ref().is_some_and(|range| range.high > 204.0 || is_oven)
        };
        let first = papers.route.steps.iter().find(heats);
        assert_eq!(open.is_some(), brief.part.safety_critical && first.is_some(), "{}", option.build);
        let (Some(at), Some(open), Some(first)) = (at, open, first) else { return };
        let shown = open.proposed.rsplit("goes to ").next().unwrap();
        let low = |said: &str| said.split(' ').next().unwrap().parse::<f64>().unwrap();
        let shown_c = if papers.units == Units::Metric { low(shown) } else { (low(shown) - 32.0) / 1.8 };
        assert!(
            (hottest_c - 5.0 / 1.8 - 0.6..hottest_c + 0.6).contains(&shown_c),
            "{}: {shown}",
            option.build
        );
        let holds: Vec<u32> = papers
            .route
            .steps
            .iter()
            .filter(|step| {
                step.hold.iter().any(|hold| hold.text.contains("that the maker of the part permits"))
            })
            .map(|step| step.number)
            .collect();
        assert_eq!(holds, [first.number], "{}", option.build);
        assert!(said(first).contains(shown), "{}: {}", option.build, said(first));
        let caution = format!("heats a safety-critical part to {shown}");
        assert!(run_on(papers).contains(&caution), "{}: {caution}", option.build);
        let with = |answer: String| {
            let mut filled = papers.clone();
            filled.order.open[at].answer = Some(answer);
            filled
        };
        let refused = with(format!("{:.0} °C", hottest_c - 10.0));
        assert!(Papers::from_json(&refused.to_json()).is_err(), "{}: {shown}", option.build);
        let agreed = Papers::from_json(&with(shown.to_owned()).to_json()).unwrap();
        assert!(!run_on(&agreed).contains("heats a safety-critical part"), "{}", option.build);
    });
    for (_, _, papers) in EVERY.iter() {
        asked_for += usize::from(order_text(papers).contains("highest temperature that the maker permits"));
    }
    assert!(asked_for > 60, "{asked_for}");
}

/// A bath lays metal on, or dissolves, whatever is joined to the part; only a reaction with steel leaves other metals alone.
#[test]
fn a_joined_metal_stays_as_it_is_only_where_nothing_touches_it() {
    let mut bare = 0;
    for (brief, option, papers) in EVERY.iter().filter(|(brief, ..)| !brief.part.joined_metals.is_empty()) {
        let joined = &brief.part.joined_metals[0];
        let said = order_text(papers);
        let treatment = kind(option);
        let plain = joined.starts_with("steel");
        if !plain {
            assert!(
                !matches!(
                    treatment,
                    TreatmentKind::Electroplate | TreatmentKind::ZincFlake | TreatmentKind::Nitrocarburize
                ),
                "{joined}: {}",
                option.build
            );
        }
        if said.contains("joined to the part, which stays as it is") {
            bare += 1;
            assert!(joined.starts_with("stainless"), "{joined}: {}", option.build);
            let acid = papers.route.steps.iter().any(|step| step.kind == StepKind::Pickle);
            assert!(!acid, "{joined}: {}", option.build);
        }
        for step in papers.route.steps.iter().filter(|step| step.kind == StepKind::Receive) {
            for hold in step.hold.iter().filter(|hold| hold.text.contains("joined to the part as ordered")) {
                let names =
                    hold.text.contains("stainless steel, other than") && joined.starts_with("stainless");
                assert!(names, "{joined}: {}", hold.text);
            }
        }
        let bath = !matches!(treatment, TreatmentKind::None);
        assert!(!(bath && joined == "aluminium"), "{}", option.build);
    }
    assert!(bare > 3, "{bare}");
}

/// A hold is released by someone who reads it: it names neither a step that the route lacks nor a finish that it strips.
#[test]
fn no_hold_and_no_bake_names_what_the_route_lacks() {
    for_every_build(|brief, option, papers| {
        let steps = &papers.route.steps;
        let has = |kind: StepKind| steps.iter().any(|step| step.kind == kind);
        let bath = [
            StepKind::Blacken,
            StepKind::Phosphate,
            StepKind::Electroplate,
            StepKind::ZincFlake,
            StepKind::Nitrocarburize,
            StepKind::Anodize,
        ];
        let stripped = has(StepKind::Strip);
        for (i, step) in steps.iter().enumerate() {
            if step.kind == StepKind::Bake && step.title.ends_with("after acid") {
                let acid = steps[..i].iter().any(|step| step.has_hazard("acid"));
                assert!(acid, "{}", option.build);
            }
            for hold in &step.hold {
                let into = hold.text.contains("into the bath");
                assert!(!into || bath.iter().any(|kind| has(*kind)), "{}: {}", option.build, hold.text);
                let plating = hold.text.starts_with("STOP")
                    && ["zinc", "plating"].iter().any(|w| hold.text.contains(w));
                let measured = hold.text.contains("on arrival") || hold.text.contains("hardness");
                if stripped && plating && !measured {
                    assert!(
                        hold.text.contains("other than a finish that this route strips"),
                        "{}",
                        hold.text
                    );
                }
            }
        }
        // hydrogen of the old plating and its strip is relieved once
        let rework = &papers.acceptance.off_shade.reprocess.text;
        let charges = steps.iter().any(|step| {
            matches!(
                step.kind,
                StepKind::Electroplate | StepKind::Phosphate | StepKind::Pickle | StepKind::Activate
            ) || step.kind == StepKind::Blacken && step.has_hazard("acid")
        });
        assert!(charges || !rework.contains("relief is due again"), "{}: {rework}", option.build);
        let hard = ["steel_8_8", "steel_10_9", "steel_12_9"].contains(&option.build.base_metal.as_str());
        let susceptible =
            hard && (brief.part.thread.as_deref() == Some("M20") || option.build.base_metal != "steel_8_8");
        assert!(!(susceptible && rework.to_lowercase().contains("strip in inhibited acid")), "{rework}");
        assert!(!(susceptible && rework.contains("zinc in inhibited acid")), "{rework}");
    });
}

/// safety.csv: the first article of a safety-critical part is tested as the lot is, whatever else it is made for.
#[test]
fn every_first_article_of_a_safety_critical_part_is_tested_in_full() {
    for_every_build(|brief, option, papers| {
        let trials: Vec<&RouteStep> = papers
            .route
            .steps
            .iter()
            .filter(|step| step.title == "Run a first article through the whole route")
            .collect();
        assert!(trials.len() <= 1, "{}", option.build);
        if brief.part.safety_critical {
            let said = said(trials.first().unwrap_or_else(|| panic!("{}", option.build)));
            assert!(said.contains("Test it as the acceptance plan says"), "{}: {said}", option.build);
        }
        let creep = papers.acceptance.characteristics.iter().any(|c| c.name == "scribe creep");
        let told = papers.route.steps.iter().any(|step| said(step).contains("scribe creep"));
        assert!(creep || !told, "{}", option.build);
    });
}

/// ISO 3613 is for a coating that is free of sealer, oil and wax: the pieces are drawn ahead of them, and the plan says so.
#[test]
fn the_plan_draws_pieces_when_the_step_takes_them_out() {
    let mut sealed = 0;
    for (_, option, papers) in EVERY.iter() {
        let tests = &papers.acceptance.characteristics;
        let text = run_on(papers);
        let plated = kind(option) == TreatmentKind::Electroplate;
        for test in
            tests.iter().filter(|c| ["hexavalent chromium", "residual salt"].contains(&c.name.as_str()))
        {
            assert_eq!(test.moment, Moment::BeforeSupplementaryFinish, "{}", option.build);
            if !plated {
                continue;
            }
            let taken = papers
                .route
                .steps
                .iter()
                .position(|step| said(step).contains(&format!("the test of {}", test.name)));
            let seal = papers
                .route
                .steps
                .iter()
                .position(|step| matches!(step.kind, StepKind::Seal | StepKind::Coat));
            assert!(
                taken.is_some() && seal.is_none_or(|seal| taken.unwrap() < seal),
                "{}: {}",
                option.build,
                test.name
            );
            if papers.route.first(StepKind::Seal).is_some() {
                sealed += 1;
                assert!(
                    !text.contains("before packing;") && text.contains("before the sealer;"),
                    "{}",
                    option.build
                );
            }
        }
        let again = papers.route.steps.iter().filter(|step| step.kind == StepKind::CrackTest).count() > 1;
        for cracks in tests.iter().filter(|c| c.name == "cracks") {
            assert_eq!(cracks.test.contains("and again"), again, "{}: {}", option.build, cracks.test);
        }
        // none is ordered where none is tested
        let units = order_text(papers).contains("gloss units of the agreed panel");
        assert!(!units || tests.iter().any(|c| c.name == "gloss"), "{}", option.build);
    }
    assert!(sealed > 10, "{sealed}");
}

/// A thread of the basic size has no room for what nitrocarburizing adds; a gauge goes up to a locking feature.
#[test]
fn a_thread_is_gauged_as_it_is_made() {
    let inside = r#"{"form": "bracket", "thread": "M10", "tolerance": "6H", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5}"#;
    let grown = treated(inside, "nitrocarburize_oxidize", &["heavy_oil"]);
    assert!(order_text(&grown).contains("made with that allowance before the treatment"));
    let outside = inside.replace("6H", "6e");
    let roomy = treated(&outside, "nitrocarburize_oxidize", &["heavy_oil"]);
    assert!(!order_text(&roomy).contains("made with that allowance"), "6e has more than 6 µm on a flank");
    for_every_build(|_, option, papers| {
        for step in papers.route.steps.iter().filter(|step| step.stage == Stage::Finishing) {
            let said = said(step);
            let lock = option.findings.iter().any(|f| f.rule == "torque.prevailing")
                && said.contains("GO and NO-GO gauges");
            assert!(!lock || said.contains("not through it"), "{}: {said}", option.build);
        }
    });
}

/// ISO 3506-1: strength of cold work does not show in a hardness within the order.
#[test]
fn steel_that_a_salt_bath_softens_is_pulled() {
    let screw = r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "stainless_316", "property_class": "A4-80"}"#;
    let salt = treated(screw, "fused_salt", &["heavy_oil"]);
    let pulled = salt.acceptance.characteristics.iter().find(|c| c.name == "tensile strength").unwrap();
    assert!(pulled.test.contains("A4-80") && pulled.destructive, "{}", pulled.test);
    assert!(salt.route.steps.iter().any(|step| said(step).contains("passed result of the tensile test")));
}

/// VDI 2230: oil on a thread whose torque was raised for dry friction takes the screw past its yield.
#[test]
fn a_torque_that_is_raised_is_for_dry_threads() {
    let mut raised = 0;
    for (_, option, papers) in EVERY.iter() {
        let text = run_on(papers);
        for said in text.split("Use ").skip(1) {
            let Some((share, _)) = said.split_once("% of the present torque") else { continue };
            let Ok(share) = share.parse::<f64>() else { continue };
            let dry = papers.order.open.iter().find(|open| open.question.starts_with("total coefficient"));
            let lowest = dry.and_then(|open| open.proposed.split(' ').next()?.parse::<f64>().ok());
            if share > 100.0 && lowest.is_some_and(|lowest| lowest > 0.10) {
                raised += 1;
                assert!(text.contains("Threads and faces dry, as delivered"), "{}", option.build);
            }
        }
    }
    assert!(raised > 0);
}

/// An answer that the route was not made for is not printed beside it.
#[test]
fn an_answer_that_the_route_contradicts_is_refused() {
    let pin = r#"{"form": "pin", "base_metal": "steel_8_8", "functional_surfaces": ["fit"], "safety_critical": true, "maker_consent": true}"#;
    let fitted = treated(pin, "hot_alkaline", &["displacing_oil"]);
    let bracket = r#"{"form": "bracket", "base_metal": "steel_8_8", "mass_g": 300, "surface_dm2": 2.5}"#;
    let painted = treated(bracket, "hot_alkaline", &["polyester_powder"]);
    for (question, wrong, right) in [
        ("size of fits", "no coat on fits: mask", "11.98 mm before, 12.00 mm h6 after"),
        ("certificate", "2.2", "3.1 by EN 10204"),
        ("limit samples", "none", "light and dark, of the trial load"),
        ("scribe creep on black oxide", "none required", "1 mm, set on the first lot"),
    ] {
        let with = |answer: &str| {
            let mut filled = if question.starts_with("scribe") { painted.clone() } else { fitted.clone() };
            let open = filled.order.open.iter_mut().find(|open| open.question.starts_with(question));
            open.unwrap_or_else(|| panic!("no question {question}")).answer = Some(answer.to_owned());
            Papers::from_json(&filled.to_json())
        };
        assert!(with(wrong).is_err(), "{question}: {wrong}");
        with(right).unwrap_or_else(|error| panic!("{question}: {error}"));
    }
}

/// The other standard that an order names opens its edition, not the thickness or the passivate of another finish.
#[test]
fn another_standard_has_the_thickness_and_passivate_of_the_build() {
    let screw = r#"{"form": "socket_cap_screw", "thread": "1/2-13 UNC", "length_mm": 50.8, "base_metal": "steel_8_8"}"#;
    let made = treated(screw, "zinc_plate_black_5", &[]);
    let with = |answer: &str| {
        let mut filled = made.clone();
        let open =
            filled.order.open.iter_mut().find(|open| open.question.starts_with("edition and designation"));
        open.unwrap().answer = Some(answer.to_owned());
        Papers::from_json(&filled.to_json())
    };
    let open =
        made.order.open.iter().find(|open| open.question.starts_with("edition and designation")).unwrap();
    assert!(open.proposed.contains("0.2 mil") && open.question.contains("ISO 4042"), "{open:?}");
    for wrong in ["ISO 4042:2022, zinc 12 µm", "ISO 4042:2022, yellow hexavalent passivate"] {
        assert!(with(wrong).is_err(), "{wrong}");
    }
    for right in ["ISO 4042:2022", "ISO 4042:2022, zinc 5 µm, black trivalent passivate"] {
        with(right).unwrap_or_else(|error| panic!("{right}: {error}"));
    }
}

/// No figure of a torque, and no share of its preload, stands in papers that give none.
#[test]
fn papers_without_a_torque_compare_with_none() {
    let without = std::cell::Cell::new(0);
    for_every_build(|_, option, papers| {
        let text = run_on(papers);
        if text.contains("Open, torque: none") {
            without.set(without.get() + 1);
            for words in ["The lowest preload is", "the lowest 0."] {
                assert!(!text.contains(words), "{}: {words}", option.build);
            }
        }
    });
    assert!(without.get() > 0);
}

/// What oil covers last needs no protection of the buyer's, and its masks are off by then.
#[test]
fn masks_are_off_ahead_of_the_oil_that_covers_every_part() {
    let nut = r#"{"form": "hexagon_nut", "property_class": "8", "thread": "M16", "tolerance": "6G", "base_metal": "steel_8_8", "functional_surfaces": ["seat"], "lot_pieces": 3000}"#;
    let papers = treated(nut, "zinc_plate_black", &["displacing_oil"]);
    let text = run_on(&papers);
    assert!(text.contains("after the last bath, ahead of oil or wax."), "{text}");
    assert!(!text.contains("protection of the masked surfaces"), "{text}");
    let dry = run_on(&treated(nut, "zinc_plate_black", &[]));
    assert!(
        dry.contains("after the last bath.") && dry.contains("protection of the masked surfaces"),
        "{dry}"
    );
}
