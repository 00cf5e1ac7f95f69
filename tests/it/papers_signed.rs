//! What stood between papers and a signature: masks and inspections in the wrong order, holds that nobody can release, and
//! answers that contradict the route.

use overcoat::papers::{BearsOn, DefectClass, Papers, SampleRule, StepKind};
use serde_json::Value as Json;

use crate::papers::{brief, for_every_build, order_text, treated};

/// An inquiry in words that a papers test can put together: part and treatment with films.
fn run_on(papers: &Papers) -> String {
    papers.to_text().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn place(papers: &Papers, kind: StepKind) -> Option<usize> {
    papers.route.steps.iter().position(|step| step.kind == kind)
}

fn said_at(papers: &Papers, kind: StepKind) -> String {
    let steps = papers.route.steps.iter().filter(|step| step.kind == kind);
    let said = steps.flat_map(|step| step.instructions.iter().chain(&step.measure).chain(&step.hold));
    said.map(|said| said.text.clone()).collect::<Vec<_>>().join(" ")
}

const EYEBOLT: &str = r#"{"form": "other", "thread": "3/4-10 UNC", "base_metal": "steel_8_8", "mass_g": 500, "surface_dm2": 3, "condition": "rust", "lot_pieces": 200, "safety_critical": true, "maker_consent": true}"#;

/// safety.csv SF03: cracks show on clean, bare metal. Nothing shows beneath a mask, and nothing beneath one is bared later.
#[test]
fn no_mask_is_on_when_cracks_are_looked_for() {
    for_every_build(|_, option, papers| {
        let inspected = place(papers, StepKind::CrackTest);
        let masked = papers.route.steps.iter().position(|s| s.title.starts_with("Mask"));
        if let (Some(inspected), Some(masked)) = (inspected, masked) {
            assert!(inspected < masked, "{}", option.build);
        }
    });
    for (part, treatment) in [
        (EYEBOLT.to_owned(), "zinc_plate_black"),
        (EYEBOLT.replace("rust", "heavy_scale").replace("3/4-10 UNC", "M16"), "zinc_plate_black_12"),
    ] {
        let papers = treated(&part, treatment, &["displacing_oil"]);
        let at = |kind| place(&papers, kind).unwrap();
        let order = [
            StepKind::Clean,
            StepKind::Blast,
            StepKind::CrackTest,
            StepKind::MaskThread,
            StepKind::Electroclean,
        ];
        assert!(order.is_sorted_by_key(|kind| at(*kind)), "{:?}", papers.route.steps);
        assert!(said_at(&papers, StepKind::Blast).contains("Blast the threads too"));
        let inspections = said_at(&papers, StepKind::CrackTest);
        assert!(!inspections.contains("Take the masks off") && inspections.contains("The masks stay on"));
        assert!(said_at(&papers, StepKind::MaskThread).contains("Dry the parts first"));
    }
}

/// Rust and scale that a mask covers are delivered: the thread is bared first.
#[test]
fn no_rust_is_masked() {
    let bolt = r#"{"form": "other", "thread": "M16", "base_metal": "steel_8_8", "mass_g": 500, "surface_dm2": 3, "condition": "heavy_scale"}"#;
    let papers = treated(bolt, "zinc_plate_black_12", &[]);
    assert!(place(&papers, StepKind::Blast) < place(&papers, StepKind::MaskThread));
    for_every_build(|brief, option, papers| {
        let rusty = brief.part.condition.is_some_and(|condition| {
            !matches!(condition, overcoat::brief::Condition::Clean | overcoat::brief::Condition::Oiled)
        });
        let early = papers.route.steps.iter().find(|step| {
            step.kind == StepKind::MaskThread && !step.before.is_empty() && step.before != [StepKind::Coat]
        });
        if let Some(mask) = early.filter(|_| rusty) {
            let said =
                mask.instructions.iter().any(|said| said.text.contains("No rust or scale beneath a mask"));
            assert!(said, "{}: {mask:?}", option.build);
        }
    });
}

/// A mask meets a blast only where the card says that it bears one.
#[test]
fn masks_that_are_blasted_are_rated_for_it() {
    for_every_build(|_, option, papers| {
        let steps = &papers.route.steps;
        let Some(at) = steps.iter().position(|step| step.kind == StepKind::MaskThread) else { return };
        let blasted = steps.iter().skip(at).any(|step| step.has_hazard("blast"));
        let rated = steps[at].instructions.iter().any(|said| said.text.contains("withstand the blast"));
        assert_eq!(blasted, rated, "{}: {}", option.build, steps[at].title);
    });
}

/// A thread that stays free of a film of tens of micrometers is masked until the film is dry, and its GO gauge passes.
#[test]
fn a_mask_stays_on_through_a_film_that_fills_the_thread() {
    let hinge = r#"{"form": "bracket", "thread": "M5", "base_metal": "aluminium", "mass_g": 100, "surface_dm2": 1.5}"#;
    let anodized = treated(hinge, "black_anodize", &["hard_preservative_film"]);
    let mask = said_at(&anodized, StepKind::MaskThread);
    assert!(mask.contains("mask anew for the film, and remove these once it is dry"), "{mask}");
    let film = said_at(&anodized, StepKind::Coat);
    assert!(film.contains("no film beneath the masks") && !film.contains("wax on every thread"), "{film}");
    let bare = treated(hinge, "black_anodize", &[]);
    assert!(!said_at(&bare, StepKind::MaskThread).contains("anew"));
}

/// Two coats and one mask: it comes off after the last.
#[test]
fn a_mask_comes_off_after_the_last_coat() {
    let pin = r#"{"form": "bracket", "base_metal": "steel_5_8", "mass_g": 300, "surface_dm2": 2.5, "functional_surfaces": ["fit"]}"#;
    for treatment in ["hot_alkaline", "zinc_phosphate_light"] {
        let papers = treated(pin, treatment, &["zinc_phosphate_primer", "air_dry_paint"]);
        let mask = said_at(&papers, StepKind::MaskThread);
        assert!(mask.contains("after the last coat, before it is hard"), "{mask}");
    }
}

/// What the order names as joined to the part does not stop the lot, and is said to stay without the treatment.
#[test]
fn a_metal_that_the_order_names_does_not_stop_the_lot() {
    let part = r#"{"form": "bracket", "base_metal": "steel_5_8", "mass_g": 800, "surface_dm2": 6, "joined_metals": ["stainless_304"]}"#;
    for (treatment, films) in [
        ("zinc_phosphate_light", &["epoxy_electrocoat", "polyester_powder"][..]),
        ("zinc_phosphate", &["heavy_oil"]),
    ] {
        let papers = treated(part, treatment, films);
        let stop = said_at(&papers, StepKind::Receive);
        assert!(stop.contains("stainless steel, other than stainless 304"), "{stop}");
        let order = order_text(&papers);
        assert!(order.contains("None of it forms on stainless 304"), "{order}");
    }
    let alone = treated(
        &part.replace(r#", "joined_metals": ["stainless_304"]"#, ""),
        "zinc_phosphate",
        &["heavy_oil"],
    );
    assert!(said_at(&alone, StepKind::Receive).contains("or if the lot contains stainless steel."));
}

/// The route that leaches a casting is not stopped by its pores: holes that do not drain still stop it.
#[test]
fn the_pores_of_a_casting_do_not_stop_it() {
    let salt = |metal: &str| {
        let part =
            format!(r#"{{"form": "bracket", "base_metal": "{metal}", "mass_g": 300, "surface_dm2": 2.5}}"#);
        said_at(&treated(&part, "nitrocarburize_oxidize", &["heavy_oil"]), StepKind::Receive)
    };
    for metal in ["malleable_iron", "steel_4_6"] {
        assert!(salt(metal).contains("STOP if the part has holes or laps that do not drain"));
    }
    assert!(salt("malleable_iron").contains("The pores of a casting alone do not stop it"));
    assert!(!salt("steel_4_6").contains("pores"));
}

/// Threads of galvanized bolts are cut undersize: NO-GO on each, once, on dry parts.
#[test]
fn every_stripped_galvanized_thread_is_gauged_once() {
    let bolt = r#"{"form": "hexagon_head_screw", "thread": "M12", "length_mm": 60, "base_metal": "steel_8_8", "lot_pieces": 300, "present_finish": "hot_dip_zinc"}"#;
    for part in [bolt.to_owned(), bolt.replace("lot_pieces", r#"condition": "rust", "lot_pieces"#)] {
        let papers = treated(&part, "hot_alkaline", &["displacing_oil"]);
        let gauged: Vec<_> = papers
            .acceptance
            .characteristics
            .iter()
            .filter(|c| c.name == "thread before finishing")
            .collect();
        assert_eq!(gauged.len(), 1, "{gauged:?}");
        // each is gauged, and the lot goes on without those that are too loose
        assert_eq!((gauged[0].class, gauged[0].sample), (DefectClass::Major, SampleRule::All));
        assert!(gauged[0].test.contains("the rest goes on"), "{}", gauged[0].test);
        let steps: Vec<_> = papers.route.steps.iter().filter(|s| s.kind == StepKind::Gauge).collect();
        assert_eq!(steps.len(), 1);
        assert!(steps[0].instructions[0].text.starts_with("Every piece, dry"), "{:?}", steps[0]);
        let strip = papers.route.first(StepKind::Strip).unwrap();
        assert!(strip.rinse.as_deref().unwrap().contains("dry at once"), "{strip:?}");
        assert!(!said_at(&papers, StepKind::Strip).contains("auge the bare thread"));
    }
    // zinc plating is no reason to cut a thread undersize: a sample is gauged
    let plated = treated(&bolt.replace("hot_dip_zinc", "zinc_plate"), "hot_alkaline", &["displacing_oil"]);
    let gauged =
        plated.acceptance.characteristics.iter().find(|c| c.name == "thread before finishing").unwrap();
    assert_eq!(gauged.class, DefectClass::Major);
}

/// New parts make the parts at hand no looser: what releases them is their own gauge trial.
#[test]
fn parts_at_hand_wait_for_their_own_trial() {
    let bolt = r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_8_8", "condition": "oiled", "tolerance": "6g"}"#;
    let papers = treated(bolt, "zinc_flake_black", &[]);
    let hold = said_at(&papers, StepKind::Consent);
    assert!(
        hold.contains(
            "Parts at hand are not coated unless a gauge trial on coated pieces is accepted in writing. New parts: new papers."
        ),
        "{hold}"
    );
    assert!(!hold.contains("before new parts are ordered"));
}

/// The first article shows what decides: the hold of coats on black oxide, and not a shade that they hide.
#[test]
fn the_first_article_shows_what_decides() {
    let bracket = r#"{"form": "bracket", "base_metal": "METAL", "mass_g": 300, "surface_dm2": 2.5}"#;
    let coats = ["epoxy_electrocoat", "polyester_powder"];
    for (metal, treatment) in [("steel_5_8", "hot_alkaline"), ("stainless_316", "stainless_alkaline")] {
        let papers = treated(&bracket.replace("METAL", metal), treatment, &coats);
        let trial = said_at(&papers, StepKind::TrialPiece);
        assert!(
            trial.contains("adhesion and scribe creep") && !trial.contains("gree the shade"),
            "{metal}: {trial}"
        );
        assert!(trial.contains("Do not start the lot before the first article is approved"));
        assert!(!run_on(&papers).contains("run a trial"));
        let order = order_text(&papers);
        assert!(order.contains("as many for the first article"), "{order}");
        assert!(order.contains("Open, scribe creep on black oxide: 1.5 mm"), "{order}");
    }
    let seen = treated(&bracket.replace("METAL", "stainless_316"), "stainless_alkaline", &["soft_wax"]);
    assert!(said_at(&seen, StepKind::TrialPiece).contains("gree the shade on it"));
    let phosphated = treated(&bracket.replace("METAL", "steel_5_8"), "zinc_phosphate_light", &coats);
    assert!(!order_text(&phosphated).contains("scribe creep on black oxide"));
}

/// A lot that ships on the result of the lot before is certified with that result, by name; the first lot waits.
#[test]
fn a_lot_that_ships_ahead_is_certified_for_what_is_known() {
    for_every_build(|brief, option, papers| {
        let ahead = papers.order.open.iter().find(|open| open.question.starts_with("shipment ahead of"));
        let waits = said_at(papers, StepKind::Inspect).contains("Do not ship the first lot before");
        assert_eq!(ahead.is_some(), waits, "{}", option.build);
        if let Some(ahead) = ahead {
            let certificate = papers.order.open.iter().find(|open| open.question == "certificate").unwrap();
            let named = certificate.proposed.contains("by name of the last passed lot");
            assert!(named || !certificate.proposed.starts_with("EN 10204 3.1"), "{}", option.build);
            // whatever the answer
            assert!(ahead.question.contains("recalled if it fails"), "{}", option.build);
        }
        assert!(!(waits && brief.part.safety_critical), "{}", option.build);
    });
    let anodized = treated(
        r#"{"form": "bracket", "base_metal": "aluminium", "mass_g": 100, "surface_dm2": 1.5}"#,
        "black_anodize",
        &[],
    );
    assert!(
        order_text(&anodized).contains("shipment ahead of pits in salt spray"),
        "{}",
        order_text(&anodized)
    );
}

/// One degree is no window: an oven holds some, the order and the route state the same, and the tempering still limits it.
#[test]
fn a_cure_has_a_window() {
    for_every_build(|_, option, papers| {
        for cure in papers.route.steps.iter().filter(|step| step.kind == StepKind::Cure) {
            if let Some(t) = &cure.temperature_c {
                assert!(t.low < t.high, "{}: {} °C alone", option.build, t.low);
                // one film, one range
                // that of silicone is the maker's
                let stated =
                    cure.title.contains("Cure at metal temperature") && cure.process != "silicone_heat_paint";
                if stated && papers.units == overcoat::papers::Units::Metric {
                    let range = format!("cure {} to {} °C or per sheet", t.low, t.high);
                    assert!(
                        order_text(papers).contains(&range),
                        "{}: {range} in {}",
                        option.build,
                        order_text(papers)
                    );
                }
            }
        }
    });
}

/// Galvanized and sweep-blasted: the coat counts from the zinc that the sweep leaves.
#[test]
fn the_coat_counts_from_the_zinc_that_is_left() {
    let bracket = r#"{"form": "bracket", "base_metal": "steel_4_6", "present_finish": "hot_dip_zinc", "mass_g": 300, "surface_dm2": 2.5}"#;
    let papers = treated(bracket, "none", &["zinc_phosphate_primer", "air_dry_paint"]);
    let (cleaned, swept) = (said_at(&papers, StepKind::Clean), said_at(&papers, StepKind::Blast));
    assert!(
        swept.contains("the thickness of the coat counts from it") && !cleaned.contains("counts from"),
        "{cleaned}"
    );
}

/// An insert stands neither a strip nor an oven, and only the maker of a rated part consents: no price of a second pass.
#[test]
fn what_is_scrapped_has_no_price_of_a_second_pass() {
    let nut = r#"{"form": "lock_nut", "thread": "M6", "base_metal": "steel_8_8", "polymer_insert": true, "condition": "clean"}"#;
    let papers = treated(nut, "zinc_plate_black_5", &[]);
    let off = &papers.acceptance.off_shade;
    assert!(off.reprocess.text.starts_with("Scrap") && off.second_pass.is_none(), "{off:?}");
    assert!(order_text(&papers).contains("Open, rejected pieces: scrap"));
    let mut rated = crate::papers::asked_for(EYEBOLT, "zinc_plate_black", &["displacing_oil"]);
    rated.remarks = Some("lifting eyebolt".to_owned());
    let ranking = crate::papers::ranking(&rated);
    let option = crate::papers::option(&ranking, "zinc_plate_black", &["displacing_oil"]);
    let catalog = overcoat::catalog::Catalog::built_in();
    let papers = overcoat::papers::papers(&rated, option, catalog, overcoat::papers::Units::Inch).unwrap();
    assert!(papers.acceptance.off_shade.second_pass.is_none());
    assert!(
        !run_on(&papers).contains("COST OF A SECOND PASS")
            && !run_on(&papers).contains("cost of a second pass")
    );
}

fn filled(papers: &Papers, question: &str, answer: &str) -> Result<Papers, overcoat::Error> {
    let mut document: Json = serde_json::from_str(&papers.to_json()).unwrap();
    let open = document["order"]["open"].as_array_mut().unwrap();
    let asked = open.iter_mut().find(|open| open["question"].as_str().unwrap().starts_with(question));
    asked.unwrap_or_else(|| panic!("no question {question}"))["answer"] = Json::from(answer);
    Papers::from_json(&document.to_string())
}

/// Used parts need their own route, a rated joint its owner, a route its preservative, a test its pieces.
#[test]
fn an_answer_that_contradicts_the_route_is_refused() {
    let stem = treated(
        r#"{"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9", "safety_critical": true, "maker_consent": true, "lot_pieces": 300}"#,
        "zinc_flake_black",
        &[],
    );
    let oiled = treated(
        r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_8_8", "lot_pieces": 500}"#,
        "manganese_phosphate",
        &["heavy_oil"],
    );
    let zinc = treated(
        r#"{"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 500}"#,
        "zinc_plate_black",
        &[],
    );
    let pin = treated(
        r#"{"form": "pin", "mass_g": 40, "surface_dm2": 0.4, "base_metal": "steel_12_9", "functional_surfaces": [], "hydrogen_consent": true, "lot_pieces": 500}"#,
        "zinc_phosphate_light",
        &["zinc_phosphate_primer", "air_dry_paint"],
    );
    for (papers, question, wrong, right) in [
        (&stem, "new or used", "used, kept in the open yard", "new, kept in the store"),
        (&zinc, "new or used", "used", "new"),
        (&stem, "rejected pieces", "refinish", "scrap"),
        (&oiled, "class", "class 3, no supplementary coat", "class 1"),
        (&oiled, "preservative", "none", "MIL-PRF-16173 grade 3"),
        (&zinc, "sealer", "none", "inorganic post-dip C, without lubricant"),
        (&zinc, "extra pieces", "2", "40 pieces"),
        (&oiled, "limits of the coating weight", "16 to 60 g/m²", "as proposed"),
        (&oiled, "limits of the coating weight", "3 to 10 g/m²", "16 to 18 g/m²"),
        (&oiled, "limits of the coating weight", "heavy", "1500 to 1650 mg/ft²"),
        (&stem, "highest temperature that the maker permits", "200 °C", "320 °C"),
        (&stem, "highest temperature that the maker permits", "320", "650 °F"),
        (&pin, "notched bars", "none", "6 with each load"),
        (&pin, "notched bars", "2 with each load", "as proposed"),
        (&pin, "notched bars", "4 type 1c rings", "5 with each load, ASTM F519 type 1a.1"),
    ] {
        let error = filled(papers, question, wrong).expect_err(wrong);
        assert!(error.field().starts_with("order.open["), "{error}");
        filled(papers, question, right).unwrap_or_else(|error| panic!("{question}: {error}"));
    }
}

/// Where the parties agree on scrap, no second pass is described or priced; a weight that they agree on is the one tested.
#[test]
fn what_is_agreed_is_what_the_plan_says() {
    let zinc = treated(
        r#"{"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_8_8", "lot_pieces": 500}"#,
        "zinc_plate_black",
        &[],
    );
    assert!(run_on(&zinc).contains("Reprocess, with written consent"));
    let scrapped = run_on(&filled(&zinc, "rejected pieces", "scrap").unwrap());
    assert!(
        !scrapped.contains("Reprocess, with written consent")
            && !scrapped.to_lowercase().contains("cost of a second pass")
    );
    let phosphated = treated(
        r#"{"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "steel_8_8", "lot_pieces": 500}"#,
        "manganese_phosphate",
        &["heavy_oil"],
    );
    let open =
        phosphated.order.open.iter().find(|open| open.bears_on == Some(BearsOn::CoatingWeight)).unwrap();
    let weight = filled(&phosphated, "limits of the coating weight", "16 to 18 g/m²").unwrap();
    let text = run_on(&weight);
    assert!(text.contains("Coating weight: the order differs from the proposal and governs."), "{text}");
    assert!(text.matches("16 to 18 g/m²").count() >= 2, "{text}");
    let limits = open.proposed.split(',').next().unwrap();
    assert!(!text.contains(&format!("Accept: {limits}")), "{text}");
}

/// Two cautions on one danger, with two remedies, are one too many.
#[test]
fn hydrogen_in_service_is_warned_of_once() {
    let stud = brief(r#"{"form": "socket_cap_screw", "thread": "M10", "base_metal": "steel_12_9"}"#);
    let mut outdoors = stud.clone();
    outdoors.duty.place = Some("coastal".to_owned());
    outdoors.wants.builds = crate::papers::asked_for(
        r#"{"form": "socket_cap_screw", "thread": "M10", "base_metal": "steel_12_9"}"#,
        "zinc_flake_black",
        &[],
    )
    .wants
    .builds;
    let ranking = crate::papers::ranking(&outdoors);
    let option = crate::papers::option(&ranking, "zinc_flake_black", &[]);
    let catalog = overcoat::catalog::Catalog::built_in();
    let papers =
        overcoat::papers::papers(&outdoors, option, catalog, overcoat::papers::Units::Metric).unwrap();
    let of_hydrogen = |text: &&str| text.contains("390 HV") || text.contains("In wet service");
    let cautions: Vec<&str> = papers.cautions.iter().map(|c| c.text.as_str()).filter(of_hydrogen).collect();
    assert_eq!(cautions.len(), 1, "{cautions:?}");
}

/// A hold is signed once: what lets the lot go on is not released by a result that comes days later.
#[test]
fn a_hold_is_released_when_it_stands() {
    for_every_build(|_, option, papers| {
        for step in &papers.route.steps {
            let ships = step.hold.iter().any(|said| said.text.contains("ship"));
            assert!(!ships || step.kind == StepKind::Inspect, "{}: {step:?}", option.build);
        }
        let names = papers.acceptance.names(false);
        let (taken, shipped) = (said_at(papers, StepKind::Sample), said_at(papers, StepKind::Inspect));
        for (test, word) in [
            ("residual alkali", "residual alkali"),
            ("hexavalent chromium", "hexavalent chromium"),
            ("surface attack", "surface attack"),
        ] {
            if names.contains(&test) && place(papers, StepKind::Blacken).is_some() {
                assert!(taken.contains(word), "{}: {taken}", option.build);
                let later = test != "surface attack";
                assert!(
                    !later || shipped.contains(&format!("the result of {word}")),
                    "{}: {shipped}",
                    option.build
                );
            }
        }
    });
    for (metal, tested_at) in [("malleable_iron", StepKind::SoakOut), ("steel_4_6", StepKind::Rinse)] {
        let part =
            format!(r#"{{"form": "bracket", "base_metal": "{metal}", "mass_g": 300, "surface_dm2": 2.5}}"#);
        let papers = treated(&part, "nitrocarburize_oxidize", &["heavy_oil"]);
        let tests: Vec<StepKind> = papers
            .route
            .steps
            .iter()
            .filter(|step| {
                step.hold
                    .iter()
                    .any(|said| said.text.contains("before the spot test of the load is negative"))
            })
            .map(|step| step.kind)
            .collect();
        assert_eq!(tests, [tested_at]);
        let plan = papers.acceptance.characteristics.iter().find(|c| c.name == "residual cyanide").unwrap();
        assert_eq!(
            plan.test.contains("last water of the leach"),
            tested_at == StepKind::SoakOut,
            "{}",
            plan.test
        );
    }
}

/// What the plan examines on arrival has its step, with its pieces, ahead of the first bath.
#[test]
fn a_thread_that_is_gauged_on_arrival_has_its_step() {
    for_every_build(|brief, option, papers| {
        let due = papers
            .acceptance
            .characteristics
            .iter()
            .any(|c| c.name.starts_with("thread") && c.moment == overcoat::papers::Moment::Incoming);
        let step = papers.route.steps.iter().find(|step| step.title == "Gauge the thread on arrival");
        assert_eq!(step.is_some(), due, "{}", option.build);
        if let Some(step) = step {
            let every = step.measure[0].text.starts_with("Every piece");
            assert_eq!(every, brief.part.safety_critical, "{}: {step:?}", option.build);
            assert!(
                !step.hold.is_empty() && step.number < papers.route.first(StepKind::Clean).unwrap().number
            );
        }
    });
}

/// Parts are flashed off in warm air wet with solvent: the hazard says which dryer takes them and does not forbid it.
#[test]
fn a_flash_off_has_its_dryer() {
    for_every_build(|_, option, papers| {
        let text = run_on(papers);
        assert!(!text.contains("no solvent-wet parts into an oven"), "{}", option.build);
        assert!(!text.contains("Protect threads"), "{}", option.build);
        let flashed = papers.route.steps.iter().filter(|step| {
            step.title == "Flash off"
                || step.rinse.as_deref().is_some_and(|rinse| rinse.contains("flash off 10"))
        });
        for step in flashed {
            let rated =
                step.hazards.iter().any(|caution| caution.text.contains("rated for solvent (exhaust proved"));
            assert!(rated, "{}: {}", option.build, step.title);
        }
    });
}

/// Weights are taken on each load, other tests on the panels of the first.
#[test]
fn an_order_counts_the_panels_of_each_load() {
    let bracket = r#"{"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5}"#;
    let papers = treated(bracket, "zinc_phosphate_light", &["zinc_phosphate_primer", "air_dry_paint"]);
    let order = order_text(&papers);
    assert!(order.contains("3 for coating weight with each load"), "{order}");
    let rinsed = said_at(&papers, StepKind::Rinse);
    assert!(
        rinsed.contains("Take out the dry panels")
            && rinsed.contains("No coat on the lot before these panels"),
        "{rinsed}"
    );
}

/// What the maker of a safety-critical part is asked for has its place in the order.
#[test]
fn the_heat_that_the_maker_permits_is_asked_for() {
    for_every_build(|_, option, papers| {
        let warned = papers
            .cautions
            .iter()
            .any(|caution| caution.text.contains("The route heats a safety-critical part"));
        let asked = order_text(papers).contains("Open, highest temperature that the maker permits");
        assert_eq!(asked, warned, "{}", option.build);
    });
}

/// No mask stays on in a barrel or a basket that is turned or spun: what is masked is racked, blasted on hangers, and not
/// dipped and spun (common practice).
#[test]
fn nothing_that_is_masked_is_tumbled() {
    let mut screws = 0;
    for_every_build(|_, option, papers| {
        let asked = option.findings.iter().any(|finding| {
            matches!(
                finding.step,
                Some(overcoat::check::Step::MaskThread | overcoat::check::Step::MaskSurface)
            )
        });
        if !asked {
            return;
        }
        let mut steps = papers.route.steps.iter().skip_while(|step| step.kind != StepKind::MaskThread);
        assert!(steps.next().is_some(), "{}", option.build);
        for step in steps {
            let said = step.instructions.iter().map(|said| said.text.as_str());
            let means = step.bath.as_deref().into_iter().chain(step.rinse.as_deref()).chain(said);
            for text in means.map(|text| text.replace("no tumbling", "").replace("dip-spin topcoat", "")) {
                let text = text.replace("tumbling does not replace it", "").to_lowercase();
                let in_bulk =
                    ["barrel", "tumbl", "vibratory", "dip-spin", "spin in", "spin dryer", "in a basket"];
                let met = in_bulk.iter().find(|words| text.contains(**words));
                assert_eq!(met, None, "{}: {}: {text}", option.build, step.title);
            }
        }
    });
    for part in [
        r#"{"form": "hexagon_head_screw", "thread": "M12", "base_metal": "steel_8_8", "functional_surfaces": ["seat"]}"#,
        r#"{"form": "socket_cap_screw", "thread": "M12", "base_metal": "steel_8_8", "functional_surfaces": ["port"]}"#,
    ] {
        for (treatment, bulk) in [("zinc_plate_black", "In barrels"), ("zinc_flake_black", "tumble")] {
            let plain = r#"{"form": "hexagon_head_screw", "thread": "M12", "base_metal": "steel_8_8"}"#;
            assert!(run_on(&treated(plain, treatment, &[])).contains(bulk), "{treatment}");
            let text = run_on(&treated(part, treatment, &[]));
            assert!(!text.contains(bulk) && text.contains("Racked"), "{treatment}: {text}");
            screws += 1;
        }
    }
    assert_eq!(screws, 4);
}

/// A surface that the blast leaves out and the coat goes over holds no coat: only what is masked later is covered.
#[test]
fn what_is_covered_in_a_blast_is_masked_later() {
    for_every_build(|_, option, papers| {
        let steps = &papers.route.steps;
        for (at, step) in steps.iter().enumerate() {
            let covered = step.instructions.iter().any(|said| said.text.starts_with("Cover the fits"));
            let later = steps.iter().skip(at).any(|step| step.kind == StepKind::MaskThread);
            assert!(!covered || later, "{}: {}", option.build, step.title);
        }
    });
    let pin = r#"{"form": "pin", "base_metal": "steel_8_8", "functional_surfaces": ["fit"]}"#;
    for treatment in ["zinc_flake_black", "zinc_phosphate"] {
        let blast = said_at(&treated(pin, treatment, &[]), StepKind::Blast);
        assert!(
            blast.contains("fine bead at low pressure") && !blast.contains("Cover"),
            "{treatment}: {blast}"
        );
    }
}

/// The plan tests by the revision that the order names, and cites the one whose clauses were read as such.
#[test]
fn the_plan_goes_by_the_revision_of_the_order() {
    let seen = std::cell::Cell::new(0);
    for_every_build(|_, option, papers| {
        for test in papers.acceptance.characteristics.iter().filter(|c| c.standard.contains("13924")) {
            assert!(test.standard.contains("revision of the order"), "{}: {}", option.build, test.standard);
            seen.set(seen.get() + 1);
        }
    });
    assert!(seen.get() > 100, "{seen:?}");
}

/// A test that destroys pieces or is void after a day does not wait: no adhesion on arrival without pieces, and the pieces of
/// the embrittlement test of a safety-critical lot go ahead of its holds.
#[test]
fn tests_that_cannot_wait_are_not_held() {
    for_every_build(|brief, option, papers| {
        for step in papers.route.steps.iter().filter(|step| step.kind == StepKind::Receive) {
            assert!(step.measure.iter().all(|said| !said.text.contains("adhesion")), "{}", option.build);
        }
        let tests = papers.acceptance.characteristics.iter().filter(|c| c.name == "hydrogen embrittlement");
        for test in
            tests.filter(|test| brief.part.safety_critical && test.sample == SampleRule::Embrittlement)
        {
            assert!(test.test.contains("go ahead and wait neither"), "{}: {}", option.build, test.test);
        }
    });
}

/// Temperatures of a bath are not rounded like those of an oven: 18 to 25 °C are 64 to 77 °F in every step of zinc flake.
#[test]
fn a_bath_is_no_oven() {
    let screw = r#"{"form": "hexagon_head_screw", "thread": "3/8-16 UNC", "length_mm": 50, "base_metal": "steel_8_8"}"#;
    let text = run_on(&treated(screw, "zinc_flake_black", &[]));
    assert!(text.contains("64 to 77 °F") && !text.contains("65 to 75 °F"), "{text}");
}
