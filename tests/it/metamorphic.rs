//! What must not get milder: a heavier duty is never surer, a weaker or harder part never has milder findings, and
//! leaving a field out never takes a danger away.

use crate::common::{brief_text, usual_and};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::{FindingKind, Step};
use overcoat::rank::{RankedOption, Ranking, rank};
use serde_json::{Value, json};

fn ranked(document: &Value) -> Ranking {
    rank(&Brief::from_json(&document.to_string()).unwrap(), Catalog::built_in()).unwrap()
}

fn document(part: Value, duty: Value, wants: Value) -> Value {
    json!({"schema": "overcoat.brief.v1", "name": "test", "part": part, "duty": duty, "wants": wants})
}

/// Gravity of the gravest finding whose rule starts so: 0 for none, 4 for one that blocks.
fn gravity(option: &RankedOption, rule: &str) -> u8 {
    let grave = |kind| match kind {
        FindingKind::Blocks => 4,
        FindingKind::Needs => 3,
        FindingKind::Warns => 2,
        FindingKind::Notes => 1,
    };
    option.findings.iter().filter(|f| f.rule.starts_with(rule)).map(|f| grave(f.kind)).max().unwrap_or(0)
}

fn by_build<'a>(ranking: &'a Ranking, option: &RankedOption) -> &'a RankedOption {
    ranking.options.iter().find(|other| other.build == option.build).unwrap()
}

/// The answers of steps of a duty, each heavier than the one before.
fn never_surer(steps: &[Value], stainless: bool) {
    let wants = json!({"outside_blackening": true, "other_base_metals": ["stainless_316", "stainless_410"]});
    let part = json!({"form": "bracket", "base_metal": "steel_5_8", "mass_g": 300, "surface_dm2": 2.5});
    let answers: Vec<Ranking> = steps
        .iter()
        .map(|step| {
            let mut duty =
                json!({"place": "urban", "required_years": 3, "chloride_mg_m2_day": 20, "so2_mg_m2_day": 5});
            for (key, value) in step.as_object().unwrap() {
                duty[key] = value.clone();
            }
            ranked(&document(part.clone(), duty, wants.clone()))
        })
        .collect();
    for pair in answers.windows(2) {
        for option in
            pair[0].options.iter().filter(|o| stainless || !o.build.base_metal.starts_with("stainless"))
        {
            let heavier = by_build(&pair[1], option);
            assert!(
                heavier.outlook.probability_ok <= option.outlook.probability_ok + 1e-3,
                "{steps:?} {}: {} after {}",
                option.build,
                heavier.outlook.probability_ok,
                option.outlook.probability_ok
            );
        }
    }
}

/// More years, more salt, more hands, more heat, less that may rust: no build becomes surer.
#[test]
fn a_heavier_duty_is_never_surer() {
    let measured = |loss: f64| {
        json!({"first_year_steel_loss_um": loss, "place": null, "chloride_mg_m2_day": null, "so2_mg_m2_day": null,
            "shelter": "open"})
    };
    let road = |salt: Value| json!({ "road_salt": salt });
    for steps in [
        vec![json!({"required_years": 1}), json!({"required_years": 5}), json!({"required_years": 20})],
        vec![
            json!({"chloride_mg_m2_day": 10}),
            json!({"chloride_mg_m2_day": 70}),
            json!({"chloride_mg_m2_day": 400}),
        ],
        vec![json!({"so2_mg_m2_day": 2}), json!({"so2_mg_m2_day": 30}), json!({"so2_mg_m2_day": 100})],
        vec![json!({"handling": "none"}), json!({"handling": "occasional"}), json!({"handling": "frequent"})],
        vec![json!({"sunlight": "none"}), json!({"sunlight": "partial"}), json!({"sunlight": "full"})],
        vec![
            json!({"relative_humidity_pct": 60}),
            json!({"relative_humidity_pct": 75}),
            json!({"relative_humidity_pct": 90}),
        ],
        vec![
            json!({"place": "coastal", "sea_distance_m": 3000, "chloride_mg_m2_day": null, "so2_mg_m2_day": null}),
            json!({"place": "coastal", "sea_distance_m": 300, "chloride_mg_m2_day": null, "so2_mg_m2_day": null}),
            json!({"place": "coastal", "sea_distance_m": 30, "chloride_mg_m2_day": null, "so2_mg_m2_day": null}),
        ],
        // a category stands for the air, so no input stands beside it
        ["C1", "C2", "C3", "C4", "C5", "CX"]
            .iter()
            .map(|category| {
                json!({"corrosivity": category, "place": null, "chloride_mg_m2_day": null, "so2_mg_m2_day": null,
                    "shelter": "open"})
            })
            .collect(),
        [3.0, 30.0, 75.0, 300.0].map(measured).to_vec(),
        [0, 3, 6, 12].map(|months| road(json!({"months_per_year": months}))).to_vec(),
        [500, 50, 10, 0].map(|m| road(json!({"months_per_year": 5, "distance_m": m}))).to_vec(),
        [0, 20, 200, 2000]
            .map(|chloride| road(json!({"months_per_year": 5, "season_chloride_mg_m2_day": chloride})))
            .to_vec(),
        [-20, 40, 60, 90, 120, 170, 300].map(|celsius| json!({ "heat_continuous_c": celsius })).to_vec(),
        [40, 100, 150, 210, 305, 430].map(|celsius| json!({ "heat_peak_c": celsius })).to_vec(),
        [0.0, 0.1, 0.5, 1.0]
            .map(|share| json!({"heat_continuous_c": 110, "cold_share": share}))
            .to_vec(),
        vec![
            json!({"failure": {"rusted_area_pct": 20}}),
            json!({"failure": {"rusted_area_pct": 1}}),
            json!({"failure": "first_rust"}),
        ],
        vec![
            json!({"failure": {"loss_um": 200}}),
            json!({"failure": {"loss_um": 20}}),
            json!({"failure": "first_rust"}),
        ],
    ] {
        never_surer(&steps, true);
    }
}

/// Rain and the open wash salt off stainless steel; they are heavier for what rusts by dose, away from the sea.
#[test]
fn weather_is_never_milder_for_plain_steel() {
    for steps in [
        vec![json!({"rain_washed": false}), json!({"rain_washed": true})],
        vec![
            json!({"shelter": "sheltered", "chloride_mg_m2_day": 3, "rain_washed": false, "sunlight": "none"}),
            json!({"shelter": "open", "chloride_mg_m2_day": 3, "rain_washed": false, "sunlight": "none"}),
            json!({"shelter": "open", "chloride_mg_m2_day": 3}),
        ],
    ] {
        never_surer(&steps, false);
    }
}

/// The findings of `before` that are more than notes are as grave or graver after, unless `put_aside` says that another
/// finding took over.
fn no_milder(what: &str, before: &Ranking, after: &Ranking, put_aside: impl Fn(&RankedOption, &str) -> bool) {
    for option in &before.options {
        let other = by_build(after, option);
        assert!(!option.blocked || other.blocked, "{what} opens {}", option.build);
        for finding in option.findings.iter().filter(|f| f.kind != FindingKind::Notes) {
            assert!(
                gravity(other, &finding.rule) >= gravity(option, &finding.rule)
                    || put_aside(other, &finding.rule),
                "{what} {}: {} is gone or milder",
                option.build,
                finding.rule
            );
        }
    }
}

/// What makes a part harder to finish, and what is wanted of it, never takes a finding away.
#[test]
fn a_harder_task_only_adds_findings() {
    let screw =
        json!({"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_10_9"});
    let pin = json!({"form": "pin", "mass_g": 40, "surface_dm2": 0.3, "base_metal": "steel_12_9"});
    let bracket = json!({"form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "base_metal": "steel_5_8"});
    let task = |part: &Value, more: &Value| {
        let mut document = document(
            part.clone(),
            json!({"place": "urban", "required_years": 2}),
            json!({"outside_blackening": true, "other_base_metals": ["stainless_304"]}),
        );
        for (section, fields) in more.as_object().unwrap() {
            for (key, value) in fields.as_object().unwrap() {
                document[section][key] = value.clone();
            }
        }
        ranked(&document)
    };
    for part in [&screw, &pin, &bracket] {
        let plain = task(part, &json!({}));
        for more in [
            json!({"part": {"traps_liquid": true}}),
            json!({"part": {"joined_metals": ["steel_4_6"]}}),
            json!({"part": {"joined_metals": ["steel_12_9"]}}),
            json!({"part": {"joined_metals": ["brass"]}}),
            json!({"part": {"polymer_insert": true}}),
            json!({"part": {"condition": "rust"}}),
            json!({"part": {"condition": "heavy_scale"}}),
            json!({"duty": {"welded_after_finishing": true}}),
            json!({"duty": {"mating_metals": ["aluminium"]}}),
            json!({"duty": {"mating_metals": ["stainless_316"], "mating_area_ratio": 50}}),
            json!({"duty": {"heat_peak_c": 150}}),
            json!({"duty": {"heat_continuous_c": 110}}),
            json!({"duty": {"place": "coastal"}}),
            json!({"duty": {"required_years": 60}}),
            json!({"wants": {"standard_specification": true}}),
            json!({"wants": {"uniform_shade": true}}),
            json!({"wants": {"gloss": "matte"}}),
            json!({"wants": {"cost_limit_per_thousand": 100}}),
            json!({"wants": {"target_probability": 0.99}}),
        ] {
            no_milder(&more.to_string(), &plain, &task(part, &more), |_, _| false);
        }
    }
    // steps, each harder than the one before
    for (part, section, field, steps) in [
        (&screw, "part", "condition", json!(["clean", "oiled", "rust"])),
        (&bracket, "part", "condition", json!(["clean", "oiled", "light_scale", "heavy_scale"])),
        (&screw, "part", "tolerance", json!(["6e", "6g", "6h"])),
        (&screw, "part", "property_class", json!(["4.6", "8.8", "10.9", "12.9"])),
        (&bracket, "duty", "mating_area_ratio", json!([0.1, 1, 10, 100])),
        (&bracket, "wants", "cost_limit_per_thousand", json!([100_000, 3000, 100])),
    ] {
        let answers: Vec<Ranking> = steps
            .as_array()
            .unwrap()
            .iter()
            .map(|step| {
                let mut more = json!({section: {field: step}});
                if field == "mating_area_ratio" {
                    more["duty"]["mating_metals"] = json!(["stainless_316"]);
                    more["duty"]["place"] = json!("coastal");
                }
                task(part, &more)
            })
            .collect();
        for pair in answers.windows(2) {
            no_milder(&format!("{field} {steps}"), &pair[0], &pair[1], |_, _| false);
        }
    }
}

/// More heat never opens a build or lightens what heat says of it.
#[test]
fn more_heat_is_never_milder() {
    let part = json!({"form": "bracket", "base_metal": "steel_8_8", "mass_g": 300, "surface_dm2": 2.5});
    let wants = json!({"outside_blackening": true, "other_base_metals": ["stainless_410"]});
    let peaks = [40, 90, 125, 150, 210, 305, 345, 430, 545];
    let answers: Vec<Ranking> = peaks
        .iter()
        .map(|peak| {
            let duty = json!({"place": "indoor_condensation", "required_years": 3, "heat_peak_c": peak});
            ranked(&document(part.clone(), duty, wants.clone()))
        })
        .collect();
    for (pair, peak) in answers.windows(2).zip(&peaks[1..]) {
        for option in &pair[0].options {
            let hotter = by_build(&pair[1], option);
            assert!(!option.blocked || hotter.blocked, "{} opens at {peak} °C", option.build);
            for rule in ["heat.layer", "heat.treatment", "heat.zinc", "heat.tempering"] {
                assert!(
                    gravity(hotter, rule) >= gravity(option, rule),
                    "{} {rule} at {peak} °C",
                    option.build
                );
            }
        }
    }
}

/// The option of one build on a cap screw M8 in town.
fn screw(build: [&str; 2], films: &[&str], part: &str) -> RankedOption {
    let own =
        usual_and(&[("form", r#""socket_cap_screw""#), ("thread", r#""M8""#), ("length_mm", "30")], part);
    let builds = json!([{"base_metal": build[0], "treatment": build[1], "films": films}]);
    let text = brief_text(
        &own,
        r#""place": "urban", "required_years": 2"#,
        &format!(r#""black": false, "builds": {builds}"#),
    );
    rank(&Brief::from_json(&text).unwrap(), Catalog::built_in()).unwrap().options.remove(0)
}

/// Against a stronger metal named, the same stand-in is never judged milder; and of two stand-ins for one metal the
/// weaker is never judged milder.
#[test]
fn a_weaker_part_never_has_a_milder_finding() {
    let classes = ["steel_4_6", "steel_5_8", "steel_8_8", "steel_10_9", "steel_12_9"];
    for critical in [false, true] {
        let judged = |named: &str, made_of: &str| {
            let part = format!(r#""base_metal": "{named}", "safety_critical": {critical}"#);
            gravity(&screw([made_of, "none"], &["hard_wax"], &part), "strength.weaker")
        };
        for stand_in in classes.iter().chain(&["stainless_304", "stainless_430", "stainless_410"]) {
            let named: Vec<u8> = classes.iter().map(|named| judged(named, stand_in)).collect();
            assert!(named.is_sorted(), "{stand_in} for {classes:?}: {named:?}");
        }
        for named in classes {
            let made_of: Vec<u8> = classes.iter().rev().map(|class| judged(named, class)).collect();
            assert!(made_of.is_sorted(), "{named} of {classes:?}, strongest first: {made_of:?}");
        }
    }
}

/// Of stand-ins for a stainless class, that of the lower steel group is never judged milder, nor opened where a higher one is
/// blocked.
#[test]
fn a_lower_steel_group_never_has_a_milder_finding() {
    let groups = ["stainless_2205", "stainless_316", "stainless_304", "stainless_303"];
    for critical in [false, true] {
        for asked in ["A4-70", "A4-80", "A2-70"] {
            let part = format!(
                r#""property_class": "{asked}", "safety_critical": {critical}, "maker_consent": true"#
            );
            let found: Vec<(u8, bool)> = groups
                .iter()
                .map(|metal| {
                    let option = screw([metal, "none"], &["hard_wax"], &part);
                    (gravity(&option, "substrate.grade"), option.blocked)
                })
                .collect();
            assert!(found.is_sorted(), "{asked} of {groups:?}, highest first: {found:?}");
        }
    }
}

/// A weld is never judged milder for a part that got its strength otherwise, and never takes a danger of the part away.
#[test]
fn a_weld_only_adds_dangers() {
    let welded = |metal: &str, class: &str, critical: bool, welded: bool| {
        let part = json!({"form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "property_class": class,
            "safety_critical": critical, "maker_consent": true});
        let duty = json!({"place": "urban", "required_years": 2, "welded_after_finishing": welded});
        let wants = json!({"outside_blackening": true, "other_base_metals": [metal]});
        ranked(&document(part, duty, wants))
    };
    for (metal, class) in [
        ("steel_5_8", "5.8"),
        ("steel_8_8", "8.8"),
        ("steel_10_9", "10.9"),
        ("stainless_304", "A2-70"),
        ("stainless_316", "A4-80"),
        ("stainless_2205", "D6-80"),
        ("stainless_410", "C1-70"),
    ] {
        for critical in [false, true] {
            let (before, after) =
                (welded(metal, class, critical, false), welded(metal, class, critical, true));
            for option in before.options.iter().filter(|option| option.build.base_metal == metal) {
                let other = by_build(&after, option);
                let loses = gravity(other, "welding.hardened").max(gravity(other, "welding.cold_work"));
                assert!(loses >= if critical { 4 } else { 2 }, "{class} {}", option.build);
                assert!(other.dangers() > option.dangers(), "{class} {}", option.build);
                assert!(!option.blocked || other.blocked, "{class} {}", option.build);
            }
        }
    }
}

/// Harder steel, or steel tempered lower, never has milder findings of hydrogen and ovens.
#[test]
fn a_harder_or_lower_tempered_part_is_never_judged_milder() {
    for (treatment, films) in [
        ("zinc_plate_black", vec![]),
        ("room_temperature", vec!["displacing_oil"]),
        ("zinc_phosphate", vec!["displacing_oil"]),
        ("zinc_flake_black", vec![]),
        ("hot_alkaline", vec!["epoxy_electrocoat"]),
    ] {
        let hardness = |hv: u32, rule: &str| {
            // 8.8 is tempered at 425 °C or more, 600 HV far below that
            let tempering_c = if hv > 450 { 250 } else { 450 };
            let part = format!(
                r#""base_metal": "steel_8_8", "hardness_hv": {hv}, "tempering_temperature_c": {tempering_c}"#
            );
            gravity(&screw(["steel_8_8", treatment], &films, &part), rule)
        };
        for rule in [
            "embrittlement.electroplate",
            "embrittlement.acid_bath",
            "embrittlement.in_service",
            "embrittlement.test",
        ] {
            let found: Vec<u8> = [260, 359, 360, 389, 390, 391, 480, 600].map(|hv| hardness(hv, rule)).into();
            assert!(found.is_sorted(), "{treatment} {rule}: {found:?}");
        }
        let tempered = |celsius: u32| {
            let part = format!(
                r#""form": "pin", "thread": null, "length_mm": null, "mass_g": 40, "surface_dm2": 0.3,
                "base_metal": "steel_12_9", "tempering_temperature_c": {celsius}"#
            );
            gravity(&screw(["steel_12_9", treatment], &films, &part), "heat.oven")
        };
        let found: Vec<u8> = [500, 320, 230, 200, 179, 150].map(tempered).into();
        assert!(found.is_sorted(), "{treatment} heat.oven: {found:?}");
    }
}

/// A safety-critical part has every danger of the same part that is not, as grave or graver; it is blasted where the other
/// is pickled, and then no bake is due to the acid.
#[test]
fn safety_critical_only_adds() {
    let part = |critical: bool| {
        let part = json!({"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_10_9",
            "condition": "rust", "safety_critical": critical});
        let wants = json!({"outside_blackening": true, "other_base_metals": ["stainless_304"]});
        ranked(&document(part, json!({"place": "urban", "required_years": 2}), wants))
    };
    let (free, critical) = (part(false), part(true));
    for option in &free.options {
        let other = by_build(&critical, option);
        assert!(!option.blocked || other.blocked, "{}", option.build);
        let pickled = |option: &RankedOption| option.findings.iter().any(|f| f.step == Some(Step::Pickle));
        let spared = pickled(option) && !pickled(other);
        for finding in
            option.findings.iter().filter(|f| !spared || !matches!(f.step, Some(Step::BakeHours(_))))
        {
            assert!(
                gravity(other, &finding.rule) >= gravity(option, &finding.rule),
                "{} {}",
                option.build,
                finding.rule
            );
        }
    }
}

/// Dangers whose finding may go only if another asks for the field that was left out.
const ASKED_INSTEAD: [(&str, &str); 11] = [
    ("fit.years", "fit.asked"),
    ("fit.mask", "fit.asked"),
    ("fit.pin", "fit.asked"),
    // a fit of a part that may be anything is masked
    ("fit.pin", "fit.mask"),
    ("safety.consent", "safety.consent"),
    ("torque.new_torque", "torque.asked"),
    ("torque.least_preload", "torque.asked"),
    ("torque.drive", "torque.asked"),
    ("torque.scatter", "torque.asked"),
    ("torque.galling", "torque.asked"),
    ("torque.masked", "torque.asked"),
];

/// Fields that say something about the piece; a field that states what the design asks for, as the property class, or a
/// present plating, which nothing else shows, takes its danger with it and is not among them.
#[test]
fn leaving_a_field_out_never_takes_a_danger_away() {
    let cases = [
        json!({"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9",
            "hardness_hv": 430, "tempering_temperature_c": 400, "tolerance": "6e", "lot_pieces": 500,
            "maker_consent": true, "hydrogen_consent": true, "safety_critical": true, "functional_surfaces": ["clamped_face"]}),
        json!({"form": "pin", "mass_g": 40, "surface_dm2": 0.3, "base_metal": "steel_12_9", "hardness_hv": 700,
            "tempering_temperature_c": 170, "functional_surfaces": ["fit"], "lot_pieces": 500}),
        json!({"form": "hexagon_head_screw", "thread": "M8", "length_mm": 20, "base_metal": "steel_8_8",
            "maker_consent": true, "safety_critical": true}),
        json!({"form": "lock_nut", "thread": "M8", "base_metal": "steel_8_8", "polymer_insert": true, "tolerance": "6H"}),
        json!({"form": "hexagon_head_screw", "thread": "M10", "length_mm": 40, "base_metal": "stainless_410",
            "hardness_hv": 435, "tempering_temperature_c": 200}),
        json!({"form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "base_metal": "steel_5_8",
            "functional_surfaces": ["port", "ground"]}),
        json!({"form": "button_head_screw", "thread": "M8", "length_mm": 20, "base_metal": "stainless_316",
            "maker_consent": true, "safety_critical": true}),
    ];
    let of_part = [
        "form",
        "thread",
        "mass_g",
        "surface_dm2",
        "hardness_hv",
        "tempering_temperature_c",
        "tolerance",
        "length_mm",
        "lot_pieces",
        "maker_consent",
        "hydrogen_consent",
        "functional_surfaces",
        "polymer_insert",
    ];
    for part in cases {
        let duty = json!({"place": "urban", "required_years": 2, "heat_peak_c": 60});
        let wants = json!({"outside_blackening": true, "black": false});
        keeps_dangers(&document(part, duty, wants), "part", &of_part);
    }
}

/// Each of the fields left out of a document leaves its dangers.
fn keeps_dangers(whole: &Value, section: &str, fields: &[&str]) {
    let dangerous = [
        "safety.",
        "strength.",
        "embrittlement.",
        "heat.",
        "preparation.",
        "torque.",
        "fit.",
        "thread.room",
        "couple.",
        "welding.",
    ];
    let all = ranked(whole);
    let mut gone = std::collections::BTreeSet::new();
    for field in fields.iter().filter(|field| whole[section].get(**field).is_some()) {
        let mut less = whole.clone();
        less[section].as_object_mut().unwrap().remove(*field);
        let left = ranked(&less);
        for option in &all.options {
            let other = by_build(&left, option);
            let grave = option.findings.iter().filter(|f| f.kind != FindingKind::Notes);
            for finding in grave.filter(|f| dangerous.iter().any(|family| f.rule.starts_with(family))) {
                // a torque that blocks is asked for by what blocks too, and where life depends on it more than a note asks
                let least = if finding.kind == FindingKind::Blocks && finding.rule.starts_with("torque.") {
                    4
                } else if whole["part"]["safety_critical"] == true {
                    2
                } else {
                    1
                };
                let asked = ASKED_INSTEAD
                    .iter()
                    .any(|(rule, asks)| finding.rule == *rule && gravity(other, asks) >= least);
                // what consent allowed is blocked without it, which is more than what consent asks for
                let blocked =
                    finding.rule.starts_with("embrittlement.") && gravity(other, "embrittlement.") == 4;
                if !(asked || blocked || gravity(other, &finding.rule) >= gravity(option, &finding.rule)) {
                    gone.insert(format!("without {field}: {} of {}", finding.rule, option.build));
                }
            }
        }
    }
    assert!(gone.is_empty(), "gone or milder {}: {gone:#?}", gone.len());
}

/// The same of the duty and the wants, but for a field that states what the part meets, as a mating metal, the weld or the
/// heat, or what is asked of its looks. Years do not become surer by leaving out what is credited.
#[test]
fn leaving_a_duty_or_a_want_out_never_takes_a_danger_away() {
    let part = json!({"form": "hexagon_head_screw", "thread": "M8", "length_mm": 40, "base_metal": "steel_10_9",
        "safety_critical": true, "hydrogen_consent": true});
    for metal in ["aluminium", "stainless_316"] {
        let duty = json!({"place": "coastal", "required_years": 3, "shelter": "open", "sunlight": "full",
            "rain_washed": true, "handling": "frequent", "heat_continuous_c": 90, "heat_peak_c": 150, "cold_share": 0.2,
            "mating_metals": [metal], "mating_area_ratio": 20, "welded_after_finishing": true, "sea_distance_m": 300,
            "temperature_c": 12, "relative_humidity_pct": 80, "so2_mg_m2_day": 4, "failure": {"rusted_area_pct": 2}});
        let wants = json!({"outside_blackening": true, "black": false, "gloss": "satin", "uniform_shade": true,
            "standard_specification": true, "target_probability": 0.8, "weights": {"durability": 1},
            "other_base_metals": ["stainless_316"]});
        let whole = document(part.clone(), duty, wants);
        let of_duty = [
            "shelter",
            "sunlight",
            "rain_washed",
            "handling",
            "cold_share",
            "mating_area_ratio",
            "sea_distance_m",
            "temperature_c",
            "relative_humidity_pct",
            "so2_mg_m2_day",
            "failure",
        ];
        keeps_dangers(&whole, "duty", &of_duty);
        let of_wants = ["gloss", "uniform_shade", "standard_specification", "target_probability", "weights"];
        keeps_dangers(&whole, "wants", &of_wants);
        let credited = |field: &str| {
            let mut less = whole.clone();
            less["duty"].as_object_mut().unwrap().remove(field);
            ranked(&less)
        };
        let all = ranked(&whole);
        for left in ["cold_share", "failure"].map(credited) {
            for option in &all.options {
                let other = by_build(&left, option);
                assert!(
                    other.outlook.probability_ok <= option.outlook.probability_ok + 1e-3,
                    "{}: {} after {}",
                    option.build,
                    other.outlook.probability_ok,
                    option.outlook.probability_ok
                );
            }
        }
    }
}
