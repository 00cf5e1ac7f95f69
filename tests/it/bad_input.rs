//! Everything that can be wrong with a brief or a catalog: each is refused with a typed error that names the
//! field, the value, what is allowed and what to do, and nothing panics.

#![allow(clippy::unwrap_used, clippy::panic)] // test code, outside of test functions
#![allow(clippy::result_large_err)] // the error of the crate as it is

use crate::common::{brief_text, catalog_text};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::rank::{Ranking, rank};
use overcoat::{Error, Result};
use proptest::prelude::*;

const DUTY: &str = r#""place": "rural", "required_years": 5"#;

fn answer(text: &str) -> Result<Ranking> {
    rank(&Brief::from_json(text)?, Catalog::built_in())
}

/// The error of a brief that must be refused.
fn refused(text: &str) -> Error {
    match answer(text) {
        Err(error) => error,
        Ok(_) => panic!("accepted: {text}"),
    }
}

fn refused_catalog(sections: &str) -> Error {
    match Catalog::from_json(&catalog_text(sections)) {
        Err(error) => error,
        Ok(_) => panic!("accepted: {sections}"),
    }
}

/// Checks kind and field, that the message holds every one of `words` (the value, what is allowed), and that
/// it ends with a remedy.
#[track_caller]
fn check(error: &Error, kind: &str, field: &str, words: &[&str]) {
    let text = error.to_string();
    assert_eq!(error.kind(), kind, "{text}");
    assert_eq!(error.field(), field, "{text}");
    assert!(text.contains(field), "{text}");
    for word in words {
        assert!(text.contains(word), "no {word:?} in: {text}");
    }
    let remedy = error.remedy();
    assert!(remedy.len() > 5 && text.trim_end().ends_with(remedy.trim_end()), "{text}");
}

#[track_caller]
fn check_part(part: &str, kind: &str, field: &str, words: &[&str]) {
    check(&refused(&brief_text(part, DUTY, "")), kind, field, words);
}

#[track_caller]
fn check_duty(duty: &str, kind: &str, field: &str, words: &[&str]) {
    check(&refused(&brief_text("", duty, "")), kind, field, words);
}

#[track_caller]
fn check_wants(wants: &str, kind: &str, field: &str, words: &[&str]) {
    check(&refused(&brief_text("", DUTY, wants)), kind, field, words);
}

// The document

#[test]
fn a_missing_field_is_named() {
    check(&refused("{}"), "document", "schema", &["missing field `schema`", "overcoat.brief.v1"]);
    check_duty(
        r#""place": "rural""#,
        "document",
        "duty",
        &["missing field `required_years`", "Add the field"],
    );
    let no_duty = r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {}}"#;
    check(&refused(no_duty), "document", ".", &["missing field `duty`"]);
}

#[test]
fn an_unknown_field_is_refused_with_the_nearest_known_one() {
    for (text, field, nearest) in [
        (brief_text(r#""thred": "M8""#, DUTY, ""), "part.thred", "`thread`"),
        (
            brief_text("", r#""place": "rural", "requierd_years": 5"#, ""),
            "duty.requierd_years",
            "`required_years`",
        ),
        (brief_text("", DUTY, r#""uniform_shadow": true"#), "wants.uniform_shadow", "`uniform_shade`"),
        (brief_text("", DUTY, r#""builds": [{"film": []}]"#), "wants.builds[0].film", "`films`"),
        (brief_text("", DUTY, r#""weights": {"costs": 1}"#), "wants.weights.costs", "`cost`"),
    ] {
        check(&refused(&text), "document", field, &["unknown field", "Did you mean", nearest]);
    }
}

#[test]
fn an_unknown_word_is_refused_with_the_nearest_known_one() {
    check_part(
        r#""form": "socket_capscrew""#,
        "document",
        "part.form",
        &["Did you mean `socket_cap_screw`?"],
    );
    check_part(r#""condition": "rusty""#, "document", "part.condition", &["rusty", "`rust`"]);
    check_duty(
        r#""place": "rural", "required_years": 5, "shelter": "indoors""#,
        "document",
        "duty.shelter",
        &["indoors", "Did you mean `indoor`?"],
    );
    check_wants(r#""gloss": "mat""#, "document", "wants.gloss", &["Did you mean `matte`?"]);
}

#[test]
fn a_wrong_type_is_named() {
    check_duty(
        r#""place": "rural", "required_years": "five""#,
        "document",
        "duty.required_years",
        &["string \"five\"", "expected a number", "of that kind"],
    );
    check_part(r#""thread": 8"#, "document", "part.thread", &["number `8`", "expected a string"]);
    check_wants(r#""builds": {}"#, "document", "wants.builds", &["expected a sequence"]);
    let braces = "Write the fields with their names in braces";
    check(&refused("[]"), "document", ".", &["brief: a list where named fields belong", braces]);
    check(&refused("3"), "document", ".", &["brief: number `3` where named fields belong", braces]);
}

#[test]
fn json_has_no_nan_and_no_infinity() {
    for number in ["NaN", "Infinity", "-Infinity", "1e999", "+5", "05", ".5", "0x10"] {
        let error = refused(&brief_text("", &format!(r#""place": "rural", "required_years": {number}"#), ""));
        assert!(error.field().starts_with("duty"), "{error}");
        check(&error, "document", error.field(), &["Correct the JSON"]);
    }
}

#[test]
fn a_repeated_key_is_refused() {
    let twice = r#""place": "rural", "required_years": 5, "required_years": 50"#;
    check_duty(twice, "document", "duty", &["repeated key `required_years`", "Keep one of the two"]);
}

#[test]
fn another_schema_is_refused() {
    let text = brief_text("", DUTY, "").replace("brief.v1", "brief.v9");
    check(&refused(&text), "value", "schema", &["overcoat.brief.v9", "overcoat.brief.v1"]);
    let error = Catalog::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x"}"#).unwrap_err();
    check(
        &error,
        "value",
        "schema",
        &["overcoat.brief.v1", "overcoat.catalog.v1", "of the kind \"brief\", not \"catalog\""],
    );
    assert_eq!(Ranking::from_json("{}").unwrap_err().field(), "schema");
}

#[test]
fn hostile_documents_are_refused_and_do_not_exhaust_the_stack() {
    let bomb = format!("{}{}", "[".repeat(200_000), "]".repeat(200_000));
    let object_bomb = "{\"a\":".repeat(200_000);
    for text in [bomb.as_str(), object_bomb.as_str(), &brief_text(&format!("\"thread\": {bomb}"), DUTY, "")] {
        let error = refused(text);
        assert_eq!(error.kind(), "document");
        assert!(error.to_string().contains("recursion limit"), "{error}");
    }
    let spaces = " ".repeat(5_000_000);
    assert_eq!(refused(&spaces).kind(), "document");
    assert!(refused(&" ".repeat(20_000_000)).to_string().contains("more than 16777216 bytes"));
    assert!(answer(&format!("{spaces}{}{spaces}", brief_text("", DUTY, ""))).is_ok());
    for text in ["", "\u{feff}", "null", "\"brief\"", "{\"schema\"", "{} {}", "\0", "{'a': 1}"] {
        assert_eq!(refused(text).kind(), "document", "{text:?}");
    }
}

#[test]
fn a_byte_order_mark_is_forgiven() {
    assert!(answer(&format!("\u{feff}{}", brief_text("", DUTY, ""))).is_ok());
}

// The duty

#[test]
fn years_must_be_positive_and_human() {
    for (years, word) in [("-5", "-5"), ("0", "is 0"), ("1e9", "1000000000")] {
        check_duty(
            &format!(r#""place": "rural", "required_years": {years}"#),
            "value",
            "duty.required_years",
            &[word, "0.01 to 100 years", "Enter the years"],
        );
    }
}

/// A brief that is built in Rust can hold what JSON cannot.
#[test]
fn nan_in_a_brief_built_in_code_is_refused() {
    let sound = Brief::from_json(&brief_text("", DUTY, "")).unwrap();
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut brief = sound.clone();
        brief.duty.required_years = bad;
        check(&brief.check().unwrap_err(), "value", "duty.required_years", &["0.01 to 100 years"]);
        let mut brief = sound.clone();
        brief.duty.temperature_c = Some(bad);
        check(&rank(&brief, Catalog::built_in()).unwrap_err(), "value", "duty.temperature_c", &["°C"]);
        let mut brief = sound.clone();
        brief.part.hardness_hv = Some(bad);
        check(&brief.check().unwrap_err(), "value", "part.hardness_hv", &["HV"]);
    }
}

#[test]
fn fahrenheit_given_as_celsius_is_recognised() {
    for more in ["", r#", "first_year_steel_loss_um": 20"#] {
        check_duty(
            &format!(r#""place": "rural", "temperature_c": 60, "required_years": 5{more}"#),
            "value",
            "duty.temperature_c",
            &["60", "°C", "Fahrenheit", "15.6 °C"],
        );
    }
    let kelvin = r#""place": "rural", "temperature_c": 285, "required_years": 5"#;
    check_duty(kelvin, "value", "duty.temperature_c", &["kelvin"]);
}

#[test]
fn air_that_no_place_has_is_refused() {
    for (field, value, allowed) in [
        ("relative_humidity_pct", "140", "0 to 100%"),
        ("relative_humidity_pct", "-1", "0 to 100%"),
        ("so2_mg_m2_day", "-3", "0 to 5000 mg/(m²·d)"),
        ("chloride_mg_m2_day", "-3", "0 to 20000 mg/(m²·d)"),
        ("first_year_steel_loss_um", "0", "µm"),
        ("sea_distance_m", "-10", "0 to 5000000 m"),
        ("mating_area_ratio", "0", "0.000001"),
    ] {
        let duty = format!(r#""place": "rural", "required_years": 5, "{field}": {value}"#);
        check_duty(&duty, "value", &format!("duty.{field}"), &[value, allowed]);
    }
    let salt = r#""place": "urban", "required_years": 5, "road_salt": {"months_per_year": 13}"#;
    check_duty(salt, "value", "duty.road_salt.months_per_year", &["13", "0 to 12 months"]);
    let surf = r#""place": "coastal", "required_years": 5, "sea_distance_m": 2"#;
    check_duty(surf, "value", "duty.sea_distance_m", &["is 2", "10 m or more", "measured chloride"]);
}

#[test]
fn control_characters_are_refused_wherever_they_come_from() {
    let text = r#"{"schema": "overcoat.brief.v1", "name": "NAME", "part": {},
        "duty": {"place": "rural", "required_years": 5}}"#;
    let error = refused(&text.replace("NAME", "\\u001b[2J"));
    assert!(error.to_string().contains("control character"), "{error}");
    let mut brief = Brief::from_json(text).unwrap();
    brief.remarks = Some("bell \u{7}".to_owned());
    assert_eq!(rank(&brief, Catalog::built_in()).unwrap_err().field(), "remarks");
}

#[test]
fn a_list_is_no_object() {
    let duty = format!("{{{DUTY}}}");
    let text = |part: &str| {
        format!(r#"{{"schema": "overcoat.brief.v1", "name": "n", "part": {part}, "duty": {duty}}}"#)
    };
    for part in ["[]", r#"["bracket"]"#] {
        assert_eq!(refused(&text(part)).field(), "part");
    }
    let wax = r#""films": {"hard_wax": {"capacity_h": [120, 0.3, "hours_wax"]}}"#;
    assert_eq!(refused_catalog(wax).field(), "films.hard_wax.capacity_h");
}

#[test]
fn inverted_heat_is_refused() {
    check_duty(
        r#""place": "rural", "required_years": 5, "heat_continuous_c": 200, "heat_peak_c": 150"#,
        "value",
        "duty.heat_peak_c",
        &["150", "200 °C", "swap"],
    );
}

#[test]
fn a_duty_without_air_says_what_is_missing() {
    let some = r#""temperature_c": 10, "chloride_mg_m2_day": 5, "required_years": 5"#;
    check_duty(
        some,
        "value",
        "duty.place",
        &["missing", "first_year_steel_loss_um", "Name a place or add relative_humidity_pct, so2_mg_m2_day"],
    );
    let indoors = r#""place": "indoor_heated", "chloride_mg_m2_day": 5, "required_years": 5"#;
    check_duty(indoors, "value", "duty.place", &["indoor_heated", "outdoor place", "leave them out"]);
}

#[test]
fn impossible_failures_are_refused() {
    let failing = |failure: &str| format!(r#"{DUTY}, "failure": {failure}"#);
    check_duty(
        &failing(r#"{"strength_loss_pct": 10}"#),
        "value",
        "duty.failure.strength_loss_pct",
        &["10", "only with part.thread", "loss_um"],
    );
    check_duty(&failing(r#"{"loss_um": -5}"#), "value", "duty.failure.loss_um", &["-5", "µm"]);
    check_duty(
        &failing(r#"{"rusted_area_pct": 80}"#),
        "value",
        "duty.failure.rusted_area_pct",
        &["80", "0.05 to 50%"],
    );
    check_duty(&failing(r#"{"loss_mm": 1}"#), "document", "duty.failure", &["`loss_um`"]);
}

// Names

#[test]
fn unknown_names_come_with_the_nearest_known_one() {
    for (text, field, nearest) in [
        (brief_text(r#""base_metal": "steel_88""#, DUTY, ""), "part.base_metal", "steel_8_8"),
        (brief_text(r#""joined_metals": ["aluminim"]"#, DUTY, ""), "part.joined_metals[0]", "aluminium"),
        (brief_text("", r#""place": "costal", "required_years": 5"#, ""), "duty.place", "coastal"),
        (
            brief_text(
                "",
                r#""place": "rural", "required_years": 5, "mating_metals": ["copper", "galvanised_stel"]"#,
                "",
            ),
            "duty.mating_metals[1]",
            "galvanized_steel",
        ),
        (
            brief_text("", DUTY, r#""other_base_metals": ["stainless_316", "stainless_306"]"#),
            "wants.other_base_metals[1]",
            "stainless_30",
        ),
        (
            brief_text("", DUTY, r#""builds": [{"base_metal": "titan"}]"#),
            "wants.builds[0].base_metal",
            "titanium",
        ),
        (
            brief_text("", DUTY, r#""builds": [{}, {"treatment": "hot-alkalin"}]"#),
            "wants.builds[1].treatment",
            "hot_alkaline",
        ),
        (
            brief_text("", DUTY, r#""builds": [{"films": ["air_dry_paint", "hardwax"]}]"#),
            "wants.builds[0].films[1]",
            "hard_wax",
        ),
    ] {
        check(&refused(&text), "name", field, &["unknown", "did you mean", nearest, "known:"]);
    }
    check_part(r#""base_metal": "unobtainium""#, "name", "part.base_metal", &["unobtainium", "steel_4_6"]);
}

#[test]
fn an_unknown_joined_metal_is_refused_even_where_nothing_is_blackened() {
    let text = brief_text(r#""joined_metals": ["x"]"#, DUTY, r#""builds": [{"treatment": "none"}]"#);
    check(&refused(&text), "name", "part.joined_metals[0]", &["\"x\""]);
}

// The part

#[test]
fn a_malformed_thread_is_refused() {
    for thread in ["M", "8 mm", "M8x", "M8,5", "", "x", "M8x1x1", "M-8", "Mnan", "M８", "1/0-20 UNC"] {
        let text = brief_text(&format!(r#""thread": "{thread}""#), DUTY, "");
        let error = refused(&text);
        assert!(error.field().starts_with("part.thread"), "{thread}: {error}");
        assert_eq!(error.kind(), "value", "{thread}: {error}");
    }
    check_part(
        r#""thread": "M8x""#,
        "value",
        "part.thread",
        &["M8x", "for example M8 or M8x1", "decimals with a point"],
    );
    check_part(r#""thread": "M5000x2""#, "value", "part.thread.diameter_mm", &["5000", "1 to 300 mm"]);
    check_part(r#""thread": "M8x7""#, "value", "part.thread.pitch_mm", &["7"]);
}

#[test]
fn an_unknown_tolerance_is_refused() {
    check_part(r#""thread": "M8", "tolerance": "6q""#, "name", "part.tolerance", &["6q", "6g"]);
    check_part(r#""thread": "M8", "tolerance": "2A""#, "value", "part.tolerance", &["2A", "M8"]);
}

#[test]
fn sizes_must_be_positive() {
    for field in ["length_mm", "surface_dm2", "mass_g", "hardness_hv", "tempering_temperature_c"] {
        for value in ["0", "-1", "1e300"] {
            check_part(&format!(r#""{field}": {value}"#), "value", &format!("part.{field}"), &["positive"]);
        }
    }
    check_part(r#""lot_pieces": 0"#, "value", "part.lot_pieces", &["0", "1 to 1000000000 pieces"]);
    check_part(r#""lot_pieces": -3"#, "document", "part.lot_pieces", &["-3", "expected a whole number"]);
}

// The wants

#[test]
fn an_empty_list_of_builds_is_refused() {
    check_wants(
        r#""builds": []"#,
        "value",
        "wants.builds",
        &["[]", "at least one build", "leave the field out"],
    );
}

#[test]
fn ranges_of_weights_lie_above_zero_and_the_right_way_round() {
    let range =
        |low: &str, high: &str| format!(r#""weight_ranges": {{"cost": {{"low": {low}, "high": {high}}}}}"#);
    check_wants(&range("0", "1"), "value", "wants.weight_ranges.cost.low", &["0.000001 to 1000000"]);
    check_wants(&range("1", "1e9"), "value", "wants.weight_ranges.cost.high", &["1000000000"]);
    check_wants(&range("2", "1"), "value", "wants.weight_ranges.cost", &["2 to 1", "Swap"]);
}

#[test]
fn weights_must_weigh_something() {
    let zero = r#""weights": {"durability": 0, "cost": 0, "appearance": 0, "heat": 0, "assembly": 0, "confidence": 0}"#;
    check_wants(zero, "value", "wants.weights", &["all zero", "at least one above 0"]);
    check_wants(r#""weights": {"cost": -1}"#, "value", "wants.weights.cost", &["-1", "0 to 1000000"]);
    check_wants(r#""target_probability": 90"#, "value", "wants.target_probability", &["90", "0.9 for 90%"]);
    check_wants(r#""cost_limit_per_thousand": 0"#, "value", "wants.cost_limit_per_thousand", &["positive"]);
}

#[test]
fn films_that_cannot_be_made_in_this_order_are_refused() {
    for (films, why) in [
        (r#"["displacing_oil", "air_dry_paint"]"#, "does not hold on displacing_oil"),
        (r#"["heavy_oil", "polyester_powder"]"#, "does not hold on heavy_oil"),
        (r#"["hard_wax", "acrylic_lacquer"]"#, "does not hold on hard_wax"),
        (r#"["air_dry_paint", "epoxy_electrocoat"]"#, "is electrodeposited"),
        (r#"["zinc_phosphate_primer"]"#, "no outermost layer"),
        (r#"["epoxy_electrocoat", "zinc_phosphate_primer"]"#, "no outermost layer"),
        (r#"["air_dry_paint", "polyester_powder"]"#, "cured at 190 °C and air_dry_paint withstands 120 °C"),
        (r#"["acrylic_lacquer", "stoved_epoxy"]"#, "cured at 180 °C"),
    ] {
        let text = brief_text("", DUTY, &format!(r#""builds": [{{"films": {films}}}]"#));
        check(&refused(&text), "build", "wants.builds[0].films", &[" cannot be made", why]);
    }
    for layers in [21, 22] {
        let films = vec![r#""air_dry_paint""#; layers].join(", ");
        let text = brief_text("", DUTY, &format!(r#""builds": [{{"films": [{films}]}}]"#));
        check(&refused(&text), "build", "wants.builds[0].films", &["more than 20 films"]);
    }
    let twenty = vec![r#""air_dry_paint""#; 20].join(", ");
    assert!(answer(&brief_text("", DUTY, &format!(r#""builds": [{{"films": [{twenty}]}}]"#))).is_ok());
}

/// A layer that withstands just what the stove has is not burnt.
#[test]
fn a_layer_may_bear_just_the_stove() {
    let catalog = |bears: f64| {
        Catalog::from_json(&catalog_text(&format!(
            r#""films": {{"air_dry_paint": {{"short_limit_c": {{"value": {bears}, "source": "usual_stack"}}}}}},
               "stacks": {{"cured": {{"films": ["air_dry_paint", "polyester_powder"], "source": "usual_stack"}}}}"#
        )))
    };
    assert!(catalog(190.0).is_ok());
    assert_eq!(catalog(189.0).unwrap_err().field(), "stacks.cured");
}

/// The stove heats all that lies beneath, also under a layer that withstands it.
#[test]
fn the_stove_burns_a_layer_further_down() {
    let error = refused_catalog(
        r#""films": {"air_dry_paint": {"continuous_limit_c": {"value": 250}, "short_limit_c": {"value": 300}}},
           "stacks": {"burnt": {"films": ["zinc_phosphate_primer", "air_dry_paint", "polyester_powder"],
                                "source": "usual_stack"}}"#,
    );
    check(&error, "build", "stacks.burnt", &["zinc_phosphate_primer withstands 150 °C"]);
}

// The catalog

#[test]
fn a_catalog_is_checked_like_a_brief() {
    let error = refused_catalog(r#""films": {"tar": {}, "tar": {}}"#);
    check(&error, "document", "films", &["repeated key `tar`", "Keep one"]);
    let error = refused_catalog(r#""films": {"hard_wax": {"capacity_hours": 1}}"#);
    check(&error, "document", "films.hard_wax.capacity_hours", &["Did you mean `capacity_h`?"]);
    let error = refused_catalog(r#""filmz": {}"#);
    check(&error, "document", "filmz", &["Did you mean `films`?"]);
    let error = refused_catalog(r#""films": {"tar": {"name": "tar"}}"#);
    check(&error, "document", "films.tar", &["missing field"]);
    for (capacity, field, word) in [
        (r#"{"median": -5}"#, "films.hard_wax.capacity_h.median", "-5"),
        (r#"{"log_sd": 9}"#, "films.hard_wax.capacity_h.log_sd", "9"),
    ] {
        let error = refused_catalog(&format!(r#""films": {{"hard_wax": {{"capacity_h": {capacity}}}}}"#));
        check(&error, "value", field, &[word]);
    }
    let error = refused_catalog(r#""films": {"hard_wax": {"friction": {"low": 0.5, "high": 0.1}}}"#);
    check(&error, "value", "films.hard_wax.friction", &["0.5 to 0.1", "Swap"]);
    let error = refused_catalog(r#""prices": {"blank_per_kg": {"value": 1e308}}"#);
    check(&error, "value", "prices.blank_per_kg", &["0 to"]);
    assert_eq!(Catalog::from_json("[]").unwrap_err().field(), ".");
    assert_eq!(Catalog::from_json(r#"{"schema": "overcoat.catalog.v1"}"#).unwrap_err().field(), "name");
}

#[test]
fn an_unknown_source_key_is_refused_with_the_nearest_known_one() {
    let error = refused_catalog(r#""films": {"hard_wax": {"capacity_h": {"source": "hours_waxx"}}}"#);
    check(&error, "name", "films.hard_wax (source)", &["hours_waxx", "did you mean \"hours_wax\"?"]);
    let error = refused_catalog(r#""sources": {"log": {"firmness": "own_record", "citation": "cabinet 2"}}"#);
    check(&error, "document", "sources.log.firmness", &["Did you mean `own_records`?"]);
}

/// Each number of an entry has its range, and each of its sources must be there.
#[test]
fn every_part_of_an_entry_is_checked() {
    for (entry, field) in [
        (
            r#""base_metals": {"steel_8_8": {"darkness": {"value": 1.5, "source": "usual_stack"}}}"#,
            "base_metals.steel_8_8.darkness",
        ),
        (
            r#""base_metals": {"steel_8_8": {"price_factor": {"value": -1, "source": "usual_stack"}}}"#,
            "base_metals.steel_8_8.price_factor",
        ),
        (
            r#""films": {"hard_wax": {"field_factors": {"sheltered": {"median": -1, "log_sd": 0.5, "source": "usual_stack"}}}}"#,
            "films.hard_wax.field_factors.sheltered.median",
        ),
        (
            r#""films": {"hard_wax": {"continuous_limit_c": {"value": -51, "source": "usual_stack"}}}"#,
            "films.hard_wax.continuous_limit_c",
        ),
        (
            r#""treatments": {"hot_alkaline": {"film_hold_factor": {"value": 4, "source": "usual_stack"}}}"#,
            "treatments.hot_alkaline.film_hold_factor",
        ),
    ] {
        let error = refused_catalog(entry);
        assert_eq!((error.kind(), error.field()), ("value", field), "{error}");
    }
    for (entry, field) in [
        (
            r#""base_metals": {"steel_8_8": {"darkness": {"source": "nowhere"}}}"#,
            "base_metals.steel_8_8 (source)",
        ),
        (
            r#""films": {"hard_wax": {"field_factors": {"indoor": {"median": 1, "log_sd": 0.5, "source": "nowhere"}}}}"#,
            "films.hard_wax (source)",
        ),
        (
            r#""treatments": {"hot_alkaline": {"capacity_h": {"source": "nowhere"}}}"#,
            "treatments.hot_alkaline (source)",
        ),
    ] {
        check(&refused_catalog(entry), "name", field, &["nowhere"]);
    }
    // grease for the cold: softer than anything that the catalog has, but a film
    let cold = r#""films": {"soft_wax": {"continuous_limit_c": {"value": -20, "source": "usual_stack"}}}"#;
    assert!(Catalog::from_json(&catalog_text(cold)).is_ok());
}

#[test]
fn an_unknown_film_in_a_stack_is_refused() {
    let error = refused_catalog(r#""stacks": {"mine": {"films": ["soft_waxx"], "source": "usual_stack"}}"#);
    check(&error, "name", "stacks.mine.films[0]", &["did you mean \"soft_wax\"?"]);
}

// Anything at all

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_panics(text in "\\PC{0,60}") {
        prop_assert!(Brief::from_json(&text).is_err());
        prop_assert!(Catalog::from_json(&text).is_err());
        let _ = answer(&brief_text(&format!("\"thread\": {text:?}"), DUTY, ""));
    }

    /// A number that is refused is refused by the name of its own field; one that is taken gives an answer.
    #[test]
    fn any_number_in_any_field_is_taken_or_refused_by_name(
        field in 0..NUMBERS.len(),
        number in prop_oneof![
            prop::num::f64::ANY.prop_filter("JSON", |x| x.is_finite()),
            -10.0..2000.0_f64,
            0.0..1.0_f64,
            Just(0.0),
            Just(f64::MIN_POSITIVE),
        ],
    ) {
        let (section, name) = NUMBERS.get(field).copied().unwrap();
        let number = format!("\"{name}\": {number:e}");
        let nested = |object: &str, more: &str| format!("\"{object}\": {{{more}{number}}}");
        let (mut part, mut duty, mut wants) = (SCREW.to_owned(), DUTY.to_owned(), FEW_BUILDS.to_owned());
        match section {
            "part" => part = format!("{part}, {number}"),
            "duty" if name == "required_years" => duty = format!("\"place\": \"rural\", {number}"),
            "duty" => duty = format!("{duty}, {number}"),
            "duty.failure" => duty = format!("{duty}, {}", nested("failure", "")),
            "duty.road_salt" if name == "months_per_year" => duty = format!("{duty}, {}", nested("road_salt", "")),
            "duty.road_salt" => duty = format!("{duty}, {}", nested("road_salt", "\"months_per_year\": 5, ")),
            "wants.weights" => wants = format!("{wants}, {}", nested("weights", "")),
            _ => wants = format!("{wants}, {number}"),
        }
        let text = brief_text(&part, &duty, &wants);
        match answer(&text) {
            Ok(ranking) => prop_assert_eq!(Ranking::from_json(&ranking.to_json()).unwrap(), ranking),
            Err(error) => prop_assert_eq!(error.field(), format!("{section}.{name}"), "{}", error),
        }
    }
}

const SCREW: &str =
    r#""form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_12_9", "condition": "rust""#;
const FEW_BUILDS: &str =
    r#""builds": [{}, {"films": []}, {"films": ["zinc_phosphate_primer", "air_dry_paint"]}]"#;

/// Every field of a brief that takes a number, by section.
const NUMBERS: [(&str, &str); 28] = [
    ("part", "length_mm"),
    ("part", "surface_dm2"),
    ("part", "mass_g"),
    ("part", "hardness_hv"),
    ("part", "tempering_temperature_c"),
    ("duty", "required_years"),
    ("duty", "first_year_steel_loss_um"),
    ("duty", "temperature_c"),
    ("duty", "relative_humidity_pct"),
    ("duty", "so2_mg_m2_day"),
    ("duty", "chloride_mg_m2_day"),
    ("duty", "sea_distance_m"),
    ("duty", "heat_continuous_c"),
    ("duty", "heat_peak_c"),
    ("duty", "mating_area_ratio"),
    ("duty.road_salt", "months_per_year"),
    ("duty.road_salt", "distance_m"),
    ("duty.road_salt", "season_chloride_mg_m2_day"),
    ("duty.failure", "rusted_area_pct"),
    ("duty.failure", "loss_um"),
    ("duty.failure", "strength_loss_pct"),
    ("wants", "cost_limit_per_thousand"),
    ("wants", "target_probability"),
    ("wants.weights", "durability"),
    ("wants.weights", "cost"),
    ("wants.weights", "appearance"),
    ("wants.weights", "heat"),
    ("wants.weights", "confidence"),
];

/// An open bound is said in words: the least positive number has 308 zeros.
#[test]
fn bounds_are_printed_plainly() {
    for (field, value) in [("hardness_hv", 2000), ("length_mm", 6000), ("tempering_temperature_c", 0)] {
        let error = refused(&brief_text(
            &format!(r#""form": "bracket", "{field}": {value}"#),
            r#""place": "rural", "required_years": 5"#,
            "",
        ));
        let text = error.to_string();
        assert!(text.contains("more than 0, at most") && !text.contains("000000"), "{text}");
    }
}

/// The same in every numeric column of a log of tests or of the field.
#[test]
fn a_point_that_may_part_thousands_is_refused_in_every_column() {
    use overcoat::records::{parts_from_csv, records_from_csv};
    for (column, text) in [
        ("until_hours", "hours,until_hours,failed\n200,250,yes\n900,1.200,yes\n"),
        ("weight", "hours,failed,weight\n20,yes,4\n30,no,1.200\n"),
    ] {
        let error = records_from_csv(text).unwrap_err();
        assert!(error.to_string().contains(column) && error.to_string().contains("1.200"), "{error}");
    }
    let field = |header: &str, first: &str, second: &str| {
        let rows = [first, second].map(|row| format!("steel_4_6,hot_alkaline,hard_wax,yes,{row}\n")).concat();
        parts_from_csv(&format!("base_metal,treatment,films,failed,{header}\n{rows}"))
    };
    for (column, header, first, second) in [
        ("years", "place,years", "urban,3", "urban,1.200"),
        ("sea_distance_m", "place,years,sea_distance_m", "coastal,3,150", "coastal,4,1.200"),
        ("first_year_steel_loss_um", "years,first_year_steel_loss_um", "3,20", "4,1.200"),
    ] {
        let error = field(header, first, second).unwrap_err();
        assert!(error.to_string().contains(column) && error.to_string().contains("1.200"), "{error}");
    }
    assert!(field("place,years", "urban,3.5", "urban,1.200").is_ok());
}

/// 1.200 beside 250 is 1200 or 1.2; beside 250.5 the point is decimal.
#[test]
fn a_point_that_may_part_thousands_is_refused_in_a_log() {
    use overcoat::records::records_from_csv;
    let error = records_from_csv("hours,failed\n250,yes\n1.200,yes\n").unwrap_err();
    assert!(error.to_string().contains("row 2") && error.to_string().contains("1.200"), "{error}");
    for sound in [
        "hours,failed\n1.200,yes\n250.5,yes\n",
        "hours,failed\n1.250,yes\n0.875,yes\n",
        "hours,failed\n1.2,yes\n250,no\n",
    ] {
        assert!(records_from_csv(sound).is_ok(), "{sound}");
    }
}
