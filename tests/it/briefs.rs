//! Briefs that contradict themselves are refused at every door, and their honest neighbors are answered.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // test code, outside of test functions

use std::path::PathBuf;
use std::process::Command;

use overcoat::atmosphere::Category;
use overcoat::atmosphere::Shelter;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::check::FindingKind;
use overcoat::finish::Build;
use overcoat::papers::{Units, papers};
use overcoat::rank::{RankedOption, Ranking, rank};
use overcoat::study::{Contest, Input, Measure, chart};
use overcoat::study::{MovedColumns, Reason, Rows, Sweep};

use crate::common::{DEMO_BRIEFS, brief_text, demo, ranked};

const BRACKET: &str = r#""form": "bracket", "base_metal": "steel_4_6""#;
const SCREW: &str = r#""form": "socket_cap_screw", "base_metal": "steel_8_8", "thread": "M8""#;
const RURAL: &str = r#""place": "rural""#;
const WAX: &str = "steel_4_6 / hot_alkaline / hard_wax";

fn read(part: &str, duty: &str) -> overcoat::Result<Brief> {
    Brief::from_json(&brief_text(part, &format!(r#"{duty}, "required_years": 5"#), ""))
}

/// The field of the refusal, the same at every door; none where all of them answer.
fn refused(part: &str, duty: &str) -> Option<String> {
    let brief = match read(part, duty) {
        Ok(brief) => brief,
        Err(error) => return Some(error.field().to_owned()),
    };
    let catalog = Catalog::built_in();
    let metal = brief.part.base_metal.clone().unwrap();
    let builds =
        [Build::new(metal.clone(), "hot_alkaline", ["hard_wax"]), Build::new(metal, "none", ["hard_wax"])];
    let ranked = rank(&brief, catalog);
    let field = ranked.as_ref().err().map(|error| error.field().to_owned());
    let plain = read(r#""form": "bracket", "base_metal": "steel_4_6""#, RURAL).unwrap();
    let option = rank(&plain, catalog).unwrap().best().unwrap().clone();
    let contest =
        Contest { brief: &brief, catalog, first: &builds[0], second: &builds[1], measure: Measure::Score };
    let doors = [
        ("sweep", Sweep::new(&brief, Some(&builds), catalog).err()),
        ("rows", Rows::new(&brief, Some(&builds), catalog).err()),
        ("chart", chart(&brief, Some(&builds), None, catalog).err()),
        ("break-even", contest.break_even(Input::RequiredYears, 4.0, 6.0).err()),
        ("papers", papers(&brief, &option, catalog, Units::Metric).err()),
    ];
    for (door, error) in doors {
        assert_eq!(error.map(|error| error.field().to_owned()), field, "{door}: {part} {duty}");
    }
    field
}

fn remarks(part: &str, duty: &str) -> String {
    ranked(&read(part, duty).unwrap()).remarks.join("\n")
}

#[test]
fn a_part_indoors_meets_neither_rain_nor_full_sun() {
    for (duty, field) in [
        (r#""place": "indoor_heated", "shelter": "open""#, Some("duty.shelter")),
        (r#""place": "indoor_heated", "rain_washed": true"#, Some("duty.rain_washed")),
        (r#""place": "indoor_condensation", "sunlight": "full""#, Some("duty.sunlight")),
        (
            r#""first_year_steel_loss_um": 0.1, "shelter": "indoor", "sunlight": "full""#,
            Some("duty.sunlight"),
        ),
        (
            r#""first_year_steel_loss_um": 0.1, "shelter": "indoor", "rain_washed": true"#,
            Some("duty.rain_washed"),
        ),
        (r#""place": "indoor_heated", "sunlight": "partial", "rain_washed": false"#, None),
        (r#""place": "indoor_heated", "shelter": "indoor""#, None),
        (r#""place": "indoor_condensation", "shelter": "sheltered""#, None),
        (r#""place": "rural", "shelter": "sheltered", "rain_washed": true, "sunlight": "full""#, None),
        (r#""first_year_steel_loss_um": 0.1, "shelter": "indoor", "sunlight": "partial""#, None),
    ] {
        assert_eq!(refused(BRACKET, duty).as_deref(), field, "{duty}");
    }
    let said = remarks(BRACKET, r#""place": "indoor_condensation", "shelter": "sheltered""#);
    assert!(said.contains("check place and shelter"), "{said}");
}

#[test]
fn outdoor_air_is_not_taken_for_that_of_a_room() {
    let air =
        r#""temperature_c": 12, "relative_humidity_pct": 60, "so2_mg_m2_day": 3, "chloride_mg_m2_day": 5"#;
    for (duty, field) in [
        (r#""place": "coastal", "shelter": "indoor""#.to_owned(), Some("duty.shelter")),
        (
            r#""place": "coastal", "shelter": "indoor", "chloride_mg_m2_day": 5"#.to_owned(),
            Some("duty.shelter"),
        ),
        (r#""place": "coastal", "shelter": "indoor", "first_year_steel_loss_um": 0.5"#.to_owned(), None),
        (format!(r#"{air}, "place": "coastal", "shelter": "indoor""#), None),
        (r#""place": "coastal", "shelter": "sheltered""#.to_owned(), None),
    ] {
        assert_eq!(refused(BRACKET, &duty).as_deref(), field, "{duty}");
    }
    assert!(remarks(BRACKET, &format!(r#"{air}, "shelter": "indoor""#)).contains("overstates the loss"));
}

#[test]
fn a_tolerance_belongs_to_its_form() {
    let nut = r#""form": "hexagon_nut", "base_metal": "steel_8_8", "thread": "M8""#;
    let washer = r#""form": "plain_washer", "base_metal": "steel_4_6", "thread": "M8""#;
    for (part, tolerance, field) in [
        (SCREW, "6H", Some("part.tolerance")),
        (SCREW, "6G", Some("part.tolerance")),
        (SCREW, "6g", None),
        (SCREW, "6e", None),
        (nut, "6g", Some("part.tolerance")),
        (nut, "6H", None),
        (nut, "6G", None),
        (washer, "banana", Some("part.tolerance")),
        (washer, "6g", None),
        (BRACKET, "banana", Some("part.tolerance")),
        (r#""form": "bracket", "base_metal": "steel_4_6", "thread": "M8""#, "6H", None),
    ] {
        let part = format!(r#"{part}, "tolerance": "{tolerance}""#);
        assert_eq!(refused(&part, RURAL).as_deref(), field, "{part}");
    }
    assert!(remarks(&format!(r#"{washer}, "tolerance": "6g""#), RURAL).contains("the part has no thread"));
}

/// A socket cap screw M8 x 30: 17 g and 0.2 dm² by trade charts. Of sheet 1 mm thick 1 dm² (both faces) has 39 g.
#[test]
fn mass_surface_and_length_belong_to_one_piece() {
    let m8x30 = format!(r#"{SCREW}, "length_mm": 30"#);
    let nut = r#""form": "hexagon_nut", "base_metal": "steel_8_8", "thread": "M8""#;
    let washer = r#""form": "plain_washer", "base_metal": "steel_4_6", "thread": "M8""#;
    let set = r#""form": "set_screw", "base_metal": "steel_8_8", "thread": "M8""#;
    let inch = r#""form": "hexagon_head_screw", "base_metal": "steel_8_8", "thread": "1/4-20 UNC""#;
    let (mass, surface, length) = (Some("part.mass_g"), Some("part.surface_dm2"), Some("part.length_mm"));
    for (part, own, field) in [
        (m8x30.as_str(), r#""mass_g": 17, "surface_dm2": 0.2"#, None),
        (&m8x30, r#""mass_g": 9, "surface_dm2": 0.12"#, None),
        (&m8x30, r#""mass_g": 45, "surface_dm2": 0.5"#, None),
        (&m8x30, r#""mass_g": 0.017"#, mass),
        (&m8x30, r#""mass_g": 0.6"#, mass),
        (&m8x30, r#""mass_g": 17000"#, mass),
        (&m8x30, r#""surface_dm2": 20"#, surface),
        (&m8x30, r#""surface_dm2": 0.002"#, surface),
        (nut, r#""mass_g": 5.5, "surface_dm2": 0.07"#, None),
        (nut, r#""mass_g": 0.0055"#, mass),
        (nut, r#""surface_dm2": 7.5"#, surface),
        (washer, r#""mass_g": 0.9"#, None),
        (washer, r#""mass_g": 0.0018"#, mass),
        (SCREW, r#""length_mm": 1"#, length),
        (SCREW, r#""length_mm": 3"#, length),
        (SCREW, r#""length_mm": 8"#, None),
        (SCREW, r#""length_mm": 1000"#, None),
        (set, r#""length_mm": 5, "mass_g": 0.9"#, None),
        (set, r#""length_mm": 2"#, length),
        (inch, r#""length_mm": 0.75"#, length),
        (inch, r#""length_mm": 19"#, None),
        (BRACKET, r#""mass_g": 300, "surface_dm2": 2.5"#, None),
        (BRACKET, r#""mass_g": 0.3, "surface_dm2": 2.5"#, surface),
        (BRACKET, r#""mass_g": 400, "surface_dm2": 250"#, surface),
        (BRACKET, r#""mass_g": 300, "surface_dm2": 0.025"#, surface),
        // 0.1 mm sheet, a solid ball of 100 g, and thin aluminum
        (BRACKET, r#""mass_g": 3.9, "surface_dm2": 1"#, None),
        (r#""form": "other", "base_metal": "steel_4_6""#, r#""mass_g": 100, "surface_dm2": 0.264"#, None),
        (r#""form": "bracket", "base_metal": "aluminium""#, r#""mass_g": 1.4, "surface_dm2": 1"#, None),
    ] {
        assert_eq!(refused(&format!("{part}, {own}"), RURAL).as_deref(), field, "{part}, {own}");
    }
}

/// ISO 9223 gives 18 µm for these inputs (23 µm with the bias of measured sites taken in).
#[test]
fn a_measured_loss_and_the_inputs_beside_it_agree() {
    let air =
        r#""temperature_c": 10, "relative_humidity_pct": 77, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 3"#;
    for (loss, field) in [
        (1.0, Some("duty.first_year_steel_loss_um")),
        (8.0, None),
        (20.0, None),
        (60.0, None),
        (180.0, Some("duty.first_year_steel_loss_um")),
    ] {
        let duty = format!(r#"{air}, "first_year_steel_loss_um": {loss}"#);
        assert_eq!(refused(BRACKET, &duty).as_deref(), field, "{loss}");
        // a room has far less than the function says
        let room = format!(r#"{duty}, "shelter": "indoor""#);
        assert_eq!(refused(BRACKET, &room).as_deref(), field.filter(|_| loss > 20.0), "{loss}");
    }
    let said = |loss: f64| {
        remarks(BRACKET, &format!(r#"{air}, "first_year_steel_loss_um": {loss}"#)).contains("check both")
    };
    assert!(said(95.0) && !said(20.0));
    // with the salt of a road in it the loss is no longer that of the inputs
    let road = format!(r#"{air}, "first_year_steel_loss_um": 180, "road_salt": {{"months_per_year": 4}}"#);
    assert_eq!(refused(BRACKET, &road), None);
}

#[test]
fn humidity_is_in_percent_and_no_place_is_without_any_deposition() {
    let air = |humidity: f64, so2: f64, chloride: f64| {
        format!(
            r#""temperature_c": 10, "relative_humidity_pct": {humidity}, "so2_mg_m2_day": {so2},
               "chloride_mg_m2_day": {chloride}"#
        )
    };
    for (humidity, field) in [
        (0.75, Some("duty.relative_humidity_pct")),
        (1.0, Some("duty.relative_humidity_pct")),
        (1.5, None),
        (12.0, None),
        (75.0, None),
    ] {
        assert_eq!(refused(BRACKET, &air(humidity, 3.0, 3.0)).as_deref(), field, "{humidity}");
    }
    let odd = |so2, chloride| remarks(BRACKET, &air(75.0, so2, chloride)).contains("both 0");
    assert!(odd(0.0, 0.0) && !odd(0.0, 0.5) && !odd(0.5, 0.0));
}

/// Sheet loses from both faces: 300 g with 2.5 dm² of both are 3.06 mm. M8 has 4 mm to its axis.
#[test]
fn no_part_loses_more_than_its_wall() {
    let sheet = format!(r#"{BRACKET}, "mass_g": 300, "surface_dm2": 2.5"#);
    let field = Some("duty.failure.loss_um");
    for (part, loss, refusal) in [
        (sheet.as_str(), 1600.0, field),
        (&sheet, 1450.0, None),
        (BRACKET, 1600.0, None),
        (SCREW, 4100.0, field),
        (SCREW, 1000.0, None),
        (r#""form": "plain_washer", "base_metal": "steel_4_6", "thread": "M8""#, 900.0, field),
        (r#""form": "plain_washer", "base_metal": "steel_4_6", "thread": "M8""#, 400.0, None),
    ] {
        let duty = format!(r#"{RURAL}, "failure": {{"loss_um": {loss}}}"#);
        assert_eq!(refused(part, &duty).as_deref(), refusal, "{part} {loss}");
    }
}

/// What a brief is refused for, a row is too, and is counted by its status.
#[test]
fn rows_are_judged_as_briefs_are() {
    let air =
        r#""temperature_c": 10, "relative_humidity_pct": 77, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 3"#;
    let build: Build = WAX.parse().unwrap();
    let reasons = |duty: &str, columns: &MovedColumns| {
        let brief = read(BRACKET, duty).unwrap();
        let rows = Rows::new(&brief, Some(std::slice::from_ref(&build)), Catalog::built_in()).unwrap();
        rows.run(columns, 1).map(|found| found.reason)
    };
    let humidity =
        MovedColumns { rows: 3, relative_humidity_pct: Some(&[0.75, 75.0, 1.2]), ..Default::default() };
    let found = reasons(air, &humidity).unwrap();
    assert_eq!(found, [Reason::HumidityOutOfRange, Reason::Ok, Reason::Extrapolated]);
    let shelter = [Some(Shelter::Indoor), Some(Shelter::Open)];
    let shelter = MovedColumns { rows: 2, shelter: Some(&shelter), ..Default::default() };
    let found = reasons(&format!(r#"{air}, "rain_washed": true"#), &shelter).unwrap();
    assert_eq!(found, [Reason::ShelterRefused, Reason::Ok]);
    // ranked row by row
    let error = reasons(r#""place": "coastal""#, &shelter).unwrap_err();
    assert_eq!(error.field(), "duty.shelter");
}

/// Builds by their place before the order, with rank.
fn ranks(ranking: &Ranking) -> Vec<(Option<u32>, f64)> {
    ranking.options.iter().map(|option| (option.rank, option.score.value)).collect()
}

#[test]
fn scores_within_a_percent_share_a_rank_and_findings_settle_them() {
    let burden = |option: &RankedOption| {
        let counted = |kind: FindingKind| {
            option.findings.iter().filter(|f| f.kind == kind && !f.rule.starts_with("outlook.")).count()
        };
        let bath = option.build.treatment == "alkaline_chromate" || option.build.treatment == "fused_salt";
        let needs = counted(FindingKind::Needs);
        // what can break a part or open a joint weighs most
        let dangers = (option.burden(Catalog::built_in()).unwrap() / 100_000.0).floor() % 10.0;
        (bath, dangers, needs + counted(FindingKind::Warns), needs)
    };
    let mut ties = 0;
    for name in DEMO_BRIEFS {
        let ranking = ranked(&demo(name));
        let open: Vec<&RankedOption> = ranking.options.iter().filter(|option| !option.blocked).collect();
        assert!(ranking.options[open.len()..].iter().all(|option| option.blocked && option.rank.is_none()));
        for (place, pair) in open.windows(2).enumerate() {
            let [a, b] = [pair[0], pair[1]];
            if a.rank == b.rank {
                ties += 1;
                assert!(
                    a.score.value >= 0.99 * b.score.value && b.score.value >= 0.99 * a.score.value,
                    "{name}"
                );
                // what answers print alike is alike
                let likelihood = |p: f64| if p < 0.01 { 0.0 } else { (100.0 * p).round() };
                let by = |o: &RankedOption| {
                    (burden(o), -likelihood(o.outlook.probability_ok), o.cost.per_thousand)
                };
                assert!(by(a) <= by(b), "{name}: {} before {}", a.build, b.build);
            } else {
                assert_eq!(b.rank, Some(u32::try_from(place + 2).unwrap()), "{name}");
                assert!(a.score.value > b.score.value, "{name}: {:?}", ranks(&ranking));
            }
        }
        let sharing = open.iter().filter(|option| option.rank == Some(1)).count();
        assert_eq!(ranking.sharing_first(), sharing);
        assert_eq!(ranking.stability.is_none(), sharing > 1, "{name}: no figure of firmness for a tie");
        assert_eq!(ranking.verdict.contains(" are equal within 1%"), sharing > 1, "{}", ranking.verdict);
    }
    assert!(ties > 20, "{ties}");
}

#[test]
fn the_verdict_names_the_cheapest_that_reaches_the_target() {
    let mut other = 0;
    for name in DEMO_BRIEFS {
        let ranking = ranked(&demo(name));
        let met: Vec<&RankedOption> = ranking.options.iter().filter(|option| option.met).collect();
        let Some(cheapest) = ranking.cheapest_met() else {
            assert!(met.is_empty(), "{name}");
            continue;
        };
        assert!(met.iter().all(|option| option.cost.per_thousand >= cheapest.cost.per_thousand), "{name}");
        let place = ranking.options.iter().position(|option| option.build == cheapest.build).unwrap();
        assert!(ranking.verdict.contains(&format!(": #{} ", place + 1)), "{name}: {}", ranking.verdict);
        other += usize::from(cheapest.build != ranking.options[0].build);
    }
    assert!(other > 0);
}

/// What more chloride does to each build, other air and failure even.
#[test]
fn more_chloride_never_makes_an_answer_surer() {
    let builds = [
        "weathering_steel / none / no film",
        "weathering_steel / hot_alkaline / hard_wax",
        "steel_4_6 / none / no film",
        "steel_8_8 / hot_alkaline / displacing_oil",
        "steel_4_6 / hot_alkaline / epoxy_electrocoat + polyester_powder",
        "stainless_304 / stainless_alkaline / no film",
        "stainless_316 / stainless_alkaline / hard_wax",
    ];
    let builds: Vec<Build> = builds.iter().map(|build| build.parse().unwrap()).collect();
    let chloride: Vec<f64> = (0..28).map(|step| 0.5 * 1.35_f64.powi(step)).collect();
    let mut state = 1_u64;
    let mut even = |low: f64, high: f64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let mut worst = (0.0, String::new());
    for case in 0..240 {
        let failure = match case % 4 {
            0 => r#""first_rust""#.to_owned(),
            1 => format!(r#"{{"rusted_area_pct": {}}}"#, even(0.1, 20.0)),
            2 => format!(r#"{{"loss_um": {}}}"#, even(2.0, 400.0)),
            _ => format!(r#"{{"strength_loss_pct": {}}}"#, even(1.0, 30.0)),
        };
        let shelter = ["open", "sheltered", "indoor"][case % 3];
        let duty = format!(
            r#""temperature_c": {}, "relative_humidity_pct": {}, "so2_mg_m2_day": {}, "shelter": "{shelter}",
               "required_years": {}, "failure": {failure}"#,
            even(-10.0, 28.0),
            even(40.0, 95.0),
            even(0.7, 150.0),
            even(0.2, 40.0)
        );
        let part = r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30"#;
        let brief = Brief::from_json(&brief_text(part, &duty, "")).unwrap();
        let rows = Rows::new(&brief, Some(&builds), Catalog::built_in()).unwrap();
        let columns =
            MovedColumns { rows: chloride.len(), chloride_mg_m2_day: Some(&chloride), ..Default::default() };
        let found = rows.run(&columns, 1).unwrap();
        for (build, name) in builds.iter().enumerate() {
            for (row, deposition) in chloride.iter().enumerate().skip(1) {
                let at = |row: usize| found.probability_ok[row * builds.len() + build];
                if at(row) - at(row - 1) > worst.0 {
                    worst = (at(row) - at(row - 1), format!("{name} at {deposition}: {duty}"));
                }
            }
        }
    }
    // every rate rises with chloride, and years fall with each rate: what is left is the error of the closed form,
    // which is held to 0.02 against sampling
    assert!(worst.0 < 0.002, "{worst:?}");
}

#[test]
fn a_corrosivity_category_is_a_way_to_the_air() {
    let loss = |duty: &str| ranked(&read(BRACKET, duty).unwrap()).atmosphere;
    // ISO 9223:2012, table 2: C3 is 25 to 50 µm of steel in the first year
    let c3 = loss(r#""corrosivity": "C3""#);
    assert!((c3.first_year_steel_loss_um - (25.0_f64 * 50.0).sqrt()).abs() < 1e-9);
    assert!((c3.log_sd - 2.0_f64.ln() / (2.0 * 1.281_551_565_5)).abs() < 1e-9);
    for category in Category::ALL {
        assert_eq!(loss(&format!(r#""corrosivity": "{category}""#)).category, *category);
    }
    for (duty, field) in [
        (r#""corrosivity": "C3", "chloride_mg_m2_day": 5"#, Some("duty.corrosivity")),
        (r#""corrosivity": "C3", "first_year_steel_loss_um": 30"#, Some("duty.corrosivity")),
        (r#""corrosivity": "C3", "shelter": "sheltered""#, None),
        (r#""corrosivity": "CX", "sea_distance_m": 200"#, None),
        (r#""corrosivity": "C4", "place": "urban""#, None),
    ] {
        assert_eq!(refused(BRACKET, duty).as_deref(), field, "{duty}");
    }
    assert!(read(BRACKET, r#""corrosivity": "C6""#).is_err());
    assert!(remarks(BRACKET, r#""corrosivity": "C4", "place": "urban""#).contains("C4 is used"));
}

#[test]
fn everyday_names_of_metals_are_understood() {
    let named = |word: &str| {
        let part = format!(r#""form": "bracket", "base_metal": "{word}""#);
        rank(&read(&part, RURAL).unwrap(), Catalog::built_in())
    };
    for (word, key) in [
        ("8.8", "steel_8_8"),
        ("class 10.9", "steel_10_9"),
        ("A4", "stainless_316"),
        ("A2-70", "stainless_304"),
        ("1.4401", "stainless_316"),
        ("316", "stainless_316"),
        ("AISI 304", "stainless_304"),
        ("mild steel", "steel_4_6"),
        ("Aluminum", "aluminium"),
        ("steel_4_6", "steel_4_6"),
        ("SS316", "stainless_316"),
        ("316 SS", "stainless_316"),
        ("18/8", "stainless_304"),
        ("17-4", "stainless_17_4ph"),
    ] {
        let ranking = named(word).unwrap();
        assert!(ranking.options.iter().all(|option| option.build.base_metal == key), "{word}");
        assert_eq!(ranking.brief.part.base_metal.as_deref(), Some(key));
        let said = ranking.assumed.iter().any(|line| line.contains(&format!("{word:?}")));
        // a word that is the name of the metal needs no reading
        assert_eq!(said, word != key && word != "Aluminum", "{word}: {:?}", ranking.assumed);
    }
    for (word, offered) in [
        ("stainless", "stainless_316"),
        ("carbon steel", "steel_8_8"),
        ("steel_8_9", "steel_8_8"),
        ("316x", "stainless"),
        ("4140", "steel_10_9"),
        ("1018", "steel_4_6"),
        ("cast iron", "malleable_iron"),
        ("galvanized", "a finish, not a metal"),
    ] {
        let error = named(word).unwrap_err();
        assert_eq!(error.field(), "part.base_metal");
        assert!(error.to_string().contains(offered), "{error}");
    }
    let mating = format!(r#"{RURAL}, "mating_metals": ["A2", "copper", "zinc_plated_steel"]"#);
    let ranking = ranked(&read(BRACKET, &mating).unwrap());
    assert_eq!(ranking.brief.duty.mating_metals, ["stainless_304", "copper", "zinc_plated_steel"]);
}

/// A site in everyday words is read alike at every door, told in the answer with what the place leaves out of it, asked
/// back where it stands for several, and refused where no place stands for it.
#[test]
fn everyday_words_for_a_site_are_read_alike_at_every_door() {
    for (word, key, left_out) in [
        ("suburb", "urban", ""),
        ("backyard", "urban", ""),
        ("lake", "rural", "under water is not judged"),
        ("desert", "rural", "not judged"),
        ("near the ocean", "coastal", ""),
        ("dock", "coastal", "fresh water"),
        ("highway", "road_salt", "salt"),
        ("kitchen", "indoor_heated", "steam"),
        ("basement", "indoor_condensation", ""),
    ] {
        let duty = format!(r#""place": "{word}""#);
        assert_eq!(refused(BRACKET, &duty), None, "{word}");
        let ranking = ranked(&read(BRACKET, &duty).unwrap());
        assert_eq!(ranking.brief.duty.place.as_deref(), Some(key));
        let told = ranking
            .assumed
            .iter()
            .any(|line| line.contains(&format!("{word:?} is")) && line.contains(left_out));
        assert!(told, "{word}: {:?}", ranking.assumed);
    }
    for (word, said) in [
        ("outside", "It stands for several"),
        ("on the roof", "It stands for several"),
        ("swimming pool", "Pool air is not judged"),
        ("greenhouse", "not judged"),
        ("C5-M", "C5"),
    ] {
        let duty = format!(r#""place": "{word}""#);
        assert_eq!(refused(BRACKET, &duty).as_deref(), Some("duty.place"), "{word}");
        let error = rank(&read(BRACKET, &duty).unwrap(), Catalog::built_in()).unwrap_err();
        assert!(error.remedy().contains(said), "{error}");
    }
}

/// Every metal in contact that the couples know has its words, and what is none is refused with the field.
#[test]
fn everyday_words_for_a_metal_in_contact_are_read_alike_at_every_door() {
    for (word, key) in [
        ("zinc plated", "zinc_plated_steel"),
        ("galvanized", "galvanized_steel"),
        ("copper", "copper"),
        ("nickel", "nickel_plate"),
        ("tin", "tin_plate"),
        ("lead", "lead"),
        ("silver", "silver"),
        ("magnesium alloy", "magnesium"),
        ("carbon fiber", "graphite"),
        ("steel", "steel_4_6"),
        ("SS316", "stainless_316"),
    ] {
        let duty = format!(r#"{RURAL}, "mating_metals": ["{word}"]"#);
        assert_eq!(refused(BRACKET, &duty), None, "{word}");
        let ranking = ranked(&read(BRACKET, &duty).unwrap());
        assert_eq!(ranking.brief.duty.mating_metals, [key]);
        let told = ranking.assumed.iter().any(|line| line.contains(&format!("{word:?} is")));
        assert_eq!(told, plain(word) != plain(key), "{word}: {:?}", ranking.assumed);
    }
    for word in ["stainless", "bronze"] {
        let duty = format!(r#"{RURAL}, "mating_metals": ["{word}"]"#);
        assert_eq!(refused(BRACKET, &duty).as_deref(), Some("duty.mating_metals[0]"), "{word}");
    }
}

fn plain(word: &str) -> String {
    word.replace('_', " ")
}

/// A temperature or a metal in the remarks alone is judged by nothing, which is said with the field that it belongs in.
#[test]
fn what_the_remarks_name_and_no_field_holds_is_said() {
    let said = |remarks: &str, duty: &str| -> String {
        let mut brief = read(BRACKET, duty).unwrap();
        brief.remarks = Some(remarks.to_owned());
        ranked(&brief).remarks.join("\n")
    };
    for (text, shown) in [
        ("hot, 300C", "\"300C\""),
        ("at 150 °C for hours", "\"150 °C\""),
        ("285 deg F", "\"285 deg\""),
        ("150-200°C.", "\"150-200°C\""),
    ] {
        let found = said(text, RURAL);
        assert!(found.contains(shown) && found.contains("no heat is judged"), "{text}: {found}");
        let heated = format!(r#"{RURAL}, "heat_continuous_c": 150"#);
        assert!(!said(text, &heated).contains("no heat is judged"), "{text}");
    }
    for text in ["screwed into aluminum", "beside copper pipes", "on a stainless rail"] {
        let found = said(text, RURAL);
        assert!(found.contains("no contact with it is judged"), "{text}: {found}");
        let touching = format!(r#"{RURAL}, "mating_metals": ["brass"]"#);
        assert!(!said(text, &touching).contains("no contact with it is judged"), "{text}");
    }
    for text in [
        "5 pieces, C5, lead time 3 weeks, silver shade",
        "12 cm long, 4 F-150 trucks",
        "mild steel, no zinc please",
    ] {
        let found = said(text, RURAL);
        assert!(
            !found.contains("no heat is judged") && !found.contains("no contact with it is judged"),
            "{text}: {found}"
        );
    }
}

/// The command, where it was built.
const PROGRAM: Option<&str> = option_env!("CARGO_BIN_EXE_overcoat");

/// The program, in a folder of its own.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Option<Self> {
        PROGRAM?;
        let folder = std::env::temp_dir().join(format!("overcoat-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        Some(Self(folder))
    }

    fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.join(name);
        std::fs::write(&path, text).unwrap();
        path
    }

    /// Exit code and what was said on the error stream.
    fn run(&self, words: &[&str]) -> (Option<i32>, String) {
        let program = PROGRAM.unwrap();
        let found = Command::new(program).args(words).current_dir(&self.0).output().unwrap();
        (found.status.code(), String::from_utf8(found.stderr).unwrap())
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

const SITES: &str = "site,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day";

#[test]
fn a_sweep_of_a_file_refuses_near_misses_and_obeys_every_field_of_the_duty() {
    let Some(folder) = Folder::new("columns") else { return };
    folder.file("near.csv", &format!("{SITES},required_year\na,10,77,5,3,5\n"));
    let (code, said) = folder.run(&["sweep", "near.csv", "--out", "out.csv", "--build", WAX]);
    assert_eq!(code, Some(2));
    assert!(said.contains("required_years"), "{said}");
    folder.file("heat.csv", &format!("{SITES},heat_continuous_c\na,10,77,5,3,20\nb,10,77,5,3,250\n"));
    let powder = "steel_4_6 / hot_alkaline / polyester_powder";
    assert_eq!(folder.run(&["sweep", "heat.csv", "--out", "out.csv", "--build", powder]).0, Some(0));
    let out = std::fs::read_to_string(folder.0.join("out.csv")).unwrap();
    let mut lines = out.lines();
    let at = lines.next().unwrap().split(',').position(|name| name == "probability_ok").unwrap();
    let found: Vec<f64> = lines.map(|line| line.split(',').nth(at).unwrap().parse().unwrap()).collect();
    assert!(found[0] > 0.5 && found[1] < 0.1, "{found:?}");
}

#[test]
fn a_strict_sweep_of_a_file_fails_on_rows_outside_validity() {
    let Some(folder) = Folder::new("strict") else { return };
    let run = |rows: &str| {
        folder.file("in.csv", &format!("{SITES},shelter\n{rows}"));
        folder.run(&["sweep", "in.csv", "--out", "out.csv", "--build", WAX, "--strict"])
    };
    assert_eq!(run("a,10,77,5,3,open\n").0, Some(0));
    let (code, said) = run("a,10,77,5,3,open\nb,40,77,5,3,open\n");
    assert_eq!(code, Some(3));
    assert!(said.contains("1 row outside the validity"), "{said}");
    assert_eq!(run("a,10,0.77,5,3,open\n").0, Some(3));
    // an unclosed quotation mark takes the rows behind it for one cell: refused, not swept in part
    let (code, said) = run("a,10,77,5,3,open\nb,10,77,5,3,\"open\nc,10,77,5,3,open\n");
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("never closed"), "{said}");
}

/// Two quotation marks, lines apart, make the rows between them one cell: refused at the row of the first, by every reader
/// of a table, and nothing is written.
#[test]
fn quotation_marks_swallow_no_rows() {
    let Some(folder) = Folder::new("quotes") else { return };
    let swallowing = |rows: usize, first: usize, last: usize, row: &dyn Fn(usize) -> String| {
        (0..rows)
            .map(|at| match at {
                at if at == first => format!("\"big {}", row(at)),
                at if at == last => format!("{},x\"\n", row(at).trim_end()),
                at => row(at),
            })
            .collect::<String>()
    };
    let site = |at: usize| format!("s{at},10,77,5,3\n");
    for (first, last) in [(5, 35), (5, 6), (0, 39)] {
        folder.file("sites.csv", &format!("{SITES}\n{}", swallowing(40, first, last, &site)));
        let (code, said) = folder.run(&["sweep", "sites.csv", "--out", "out.csv", "--build", WAX]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains(&format!("row {}", first + 1)) && said.contains("never closed"), "{said}");
        assert!(!folder.0.join("out.csv").exists() && !folder.0.join("out.csv.bad-rows.csv").exists());
    }
    // within its line a quotation mark harms nothing
    folder.file("sites.csv", &format!("{SITES}\n\"a, \"\"big\"\" yard\",10,77,5,3\n"));
    assert_eq!(folder.run(&["sweep", "sites.csv", "--out", "out.csv", "--build", WAX]).0, Some(0));
    let panel = |at: usize| format!("lot {at},{},yes\n", 40 + at);
    folder.file("log.csv", &format!("lot,hours,failed\n{}", swallowing(20, 3, 11, &panel)));
    let (code, said) = folder.run(&["fit", "log.csv", "--film", "hard_wax"]);
    assert!(code == Some(2) && said.contains("row 4") && said.contains("never closed"), "{said}");
    let part = |at: usize| format!("yard {at},steel_8_8,hot_alkaline,hard_wax,rural,1.5,yes\n");
    let header = "site,base_metal,treatment,films,place,years,failed";
    folder.file("parts.csv", &format!("{header}\n{}", swallowing(20, 3, 11, &part)));
    let (code, said) = folder.run(&["backtest", "parts.csv"]);
    assert!(code == Some(2) && said.contains("row 4") && said.contains("never closed"), "{said}");
}

/// What is given and not used is told of every row that gives it, not of the first alone.
#[test]
fn remarks_are_of_every_kind_of_row() {
    let Some(folder) = Folder::new("remarks") else { return };
    let header = format!("{SITES},mating_area_ratio,sea_distance_m");
    folder.file(
        "sites.csv",
        &format!("{header}\na,10,77,5,12,,\nb,10,77,5,12,50,\nc,10,77,5,12,,15\nd,10,77,5,12,50,\n"),
    );
    let (code, said) = folder.run(&["sweep", "sites.csv", "--out", "out.csv", "--build", WAX]);
    assert_eq!(code, Some(0), "{said}");
    let of = |words: &str| said.lines().find(|line| line.contains(words)).unwrap_or_default().to_owned();
    assert!(of("mating").starts_with("row 2 and 1 like it: "), "{said}");
    assert!(of("15 m from the sea").starts_with("row 3: "), "{said}");
}

/// A row that is welded, or indoors, is told wherever it stands, and counted.
#[test]
fn findings_and_remarks_of_a_later_row_are_told() {
    let Some(folder) = Folder::new("later_rows") else { return };
    let run = |header: &str, rows: &str| {
        folder.file("sites.csv", &format!("{SITES},{header}\n{rows}"));
        folder.run(&[
            "sweep",
            "sites.csv",
            "--out",
            "out.csv",
            "--build",
            "steel_5_8 / none / polyester_powder",
        ])
    };
    let (_, said) = run("welded_after_finishing", "a,9,77,5,3,no\nb,9,77,5,3,yes\nc,9,77,5,3,no\n");
    let line = said.lines().find(|line| line.contains("welding.films")).unwrap_or_default();
    assert!(line.starts_with("row 2: "), "{said}");
    for rows in ["a,9,77,5,3,indoor\nb,9,77,5,3,open\n", "b,9,77,5,3,open\na,9,77,5,3,indoor\n"] {
        let (_, said) = run("shelter", rows);
        let at = if rows.starts_with('a') { "row 1: " } else { "row 2: " };
        assert!(said.lines().any(|line| line.starts_with(at) && line.contains("indoors")), "{said}");
    }
    // inch marks swallow nothing, however many there are
    folder.file("sites.csv", &format!("{SITES}\n5\" pipe,9,77,5,3\nb,9,77,5,3\n"));
    assert_eq!(folder.run(&["sweep", "sites.csv", "--out", "out.csv", "--build", WAX]).0, Some(0));
}

/// A place that says another thing than the inputs beside it is told, as one beside a loss is.
#[test]
fn a_place_far_from_the_inputs_beside_it_is_remarked() {
    let inputs =
        r#""temperature_c": 9, "relative_humidity_pct": 77, "so2_mg_m2_day": 6, "chloride_mg_m2_day": 12"#;
    let said = |place: &str| {
        let text = brief_text(BRACKET, &format!(r#""place": "{place}", {inputs}, "required_years": 4"#), "");
        ranked(&Brief::from_json(&text).unwrap()).remarks.iter().any(|said| said.contains("check both"))
    };
    assert!(said("offshore") && !said("rural"));
}

#[cfg(unix)]
#[test]
fn no_output_is_an_input_and_what_is_replaced_keeps_mode_and_link() {
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    let Some(folder) = Folder::new("out") else { return };
    let text = brief_text(BRACKET, &format!(r#"{RURAL}, "required_years": 5"#), "");
    folder.file("brief.json", &text);
    folder.file("catalog.json", r#"{"schema": "overcoat.catalog.v1", "name": "mine"}"#);
    folder.file("sites.csv", &format!("{SITES}\na,10,77,5,3\n"));
    symlink("brief.json", folder.0.join("link.json")).unwrap();
    for (words, kept) in [
        (&["rank", "brief.json", "--out", "brief.json"][..], "brief.json"),
        (&["rank", "brief.json", "--out", "link.json"], "brief.json"),
        (&["rank", "brief.json", "--catalog", "catalog.json", "--out", "catalog.json"], "catalog.json"),
        (&["papers", "brief.json", "--out", "./brief.json"], "brief.json"),
        (&["chart", "brief.json", "--out", "brief.json"], "brief.json"),
        (&["sweep", "sites.csv", "--out", "sites.csv"], "sites.csv"),
    ] {
        let before = std::fs::read(folder.0.join(kept)).unwrap();
        let (code, said) = folder.run(words);
        assert_eq!(code, Some(2), "{words:?}: {said}");
        assert!(said.contains("Name another file"), "{words:?}: {said}");
        assert_eq!(std::fs::read(folder.0.join(kept)).unwrap(), before);
    }
    let old = folder.file("old.txt", "old");
    std::fs::set_permissions(&old, PermissionsExt::from_mode(0o640)).unwrap();
    symlink("old.txt", folder.0.join("answer.txt")).unwrap();
    assert_eq!(folder.run(&["rank", "brief.json", "--out", "answer.txt"]).0, Some(0));
    let link = std::fs::symlink_metadata(folder.0.join("answer.txt")).unwrap();
    assert!(link.file_type().is_symlink());
    assert_eq!(std::fs::metadata(&old).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(std::fs::read_to_string(&old).unwrap().contains("TARGET"));
    // a device and a pipe are written into
    assert_eq!(folder.run(&["rank", "brief.json", "--out", "/dev/null"]).0, Some(0));
    assert!(std::fs::metadata("/dev/null").unwrap().file_type().is_char_device());
    let pipe = folder.0.join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let read = std::thread::spawn({
        let pipe = pipe.clone();
        move || std::fs::read_to_string(pipe).unwrap()
    });
    assert_eq!(folder.run(&["rank", "brief.json", "--out", "pipe"]).0, Some(0));
    assert!(read.join().unwrap().contains("TARGET"));
    assert!(std::fs::metadata(&pipe).unwrap().file_type().is_fifo());
}
