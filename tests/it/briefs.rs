//! Briefs that contradict themselves are refused at every door, and their honest neighbors are answered.

use overcoat::brief::Brief;
use overcoat::catalog::{Catalog, Shelter};
use overcoat::finish::Build;
use overcoat::papers::{Units, papers};
use overcoat::rank::rank;
use overcoat::sweep::{MovedColumns, Reason, Rows, Sweep};
use overcoat::whatif::{Contest, Input, Measure, chart};

use crate::common::{brief_text, ranked};

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
    let builds = [Build::new(metal.clone(), "hot_alkaline", ["hard_wax"]), Build::new(metal, "none", ["hard_wax"])];
    let ranked = rank(&brief, catalog);
    let field = ranked.as_ref().err().map(|error| error.field().to_owned());
    let plain = read(r#""form": "bracket", "base_metal": "steel_4_6""#, RURAL).unwrap();
    let option = rank(&plain, catalog).unwrap().best().unwrap().clone();
    let contest = Contest { brief: &brief, catalog, first: &builds[0], second: &builds[1], measure: Measure::Score };
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
        (r#""first_year_steel_loss_um": 0.1, "shelter": "indoor", "sunlight": "full""#, Some("duty.sunlight")),
        (r#""first_year_steel_loss_um": 0.1, "shelter": "indoor", "rain_washed": true"#, Some("duty.rain_washed")),
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
    let air = r#""temperature_c": 12, "relative_humidity_pct": 60, "so2_mg_m2_day": 3, "chloride_mg_m2_day": 5"#;
    for (duty, field) in [
        (r#""place": "coastal", "shelter": "indoor""#.to_owned(), Some("duty.shelter")),
        (r#""place": "coastal", "shelter": "indoor", "chloride_mg_m2_day": 5"#.to_owned(), Some("duty.shelter")),
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
    let air = r#""temperature_c": 10, "relative_humidity_pct": 77, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 3"#;
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
    let air = r#""temperature_c": 10, "relative_humidity_pct": 77, "so2_mg_m2_day": 5, "chloride_mg_m2_day": 3"#;
    let build: Build = WAX.parse().unwrap();
    let reasons = |duty: &str, columns: &MovedColumns| {
        let brief = read(BRACKET, duty).unwrap();
        let rows = Rows::new(&brief, Some(std::slice::from_ref(&build)), Catalog::built_in()).unwrap();
        rows.run(columns, 1).map(|found| found.output.reason)
    };
    let humidity = MovedColumns { rows: 3, relative_humidity_pct: Some(&[0.75, 75.0, 1.2]), ..Default::default() };
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
