//! What a brief leaves out of its duty, filled in: worked out by hand from the standards and from words of the brief.

#![allow(clippy::unwrap_used)] // test code, outside of test functions
#![allow(clippy::result_large_err)] // the error of the crate as it is

use crate::common::brief;
use overcoat::atmosphere::Category;
use overcoat::brief::{Exposure, Failure};
use overcoat::catalog::Catalog;

/// A duty of five years, the inside of a JSON object.
fn exposure(duty: &str) -> Exposure {
    let duty = format!(r#""required_years": 5, {duty}"#);
    Exposure::of(&brief(r#""form": "bracket""#, &duty, ""), Catalog::built_in()).unwrap()
}

/// The four inputs in mild air with these depositions.
fn inputs(so2: f64, chloride: f64) -> String {
    format!(
        r#""temperature_c": 10, "relative_humidity_pct": 75, "so2_mg_m2_day": {so2}, "chloride_mg_m2_day": {chloride}"#
    )
}

/// EN 1993-1-4, annex A: F1 by the distance to the sea that a deposition stands for (classes of ISO 9223 with ends at
/// 3, 60 and 300; ours), F2 by the sulphur dioxide in the air, 0.8 of which in µg/m³ is the deposition (ISO 9223).
#[test]
fn depositions_ask_for_a_class_of_stainless_steel() {
    for (so2, chloride, f1, f2) in [
        (0.0, 3.0, 0, 0),
        (0.0, 3.1, -3, 0),
        (0.0, 60.0, -3, 0),
        (0.0, 60.1, -7, 0),
        (0.0, 300.0, -7, 0),
        (0.0, 301.0, -15, 0),
        (7.9, 3.0, 0, 0),
        (8.0, 3.0, 0, -5),
        (71.9, 3.0, 0, -5),
        (72.0, 3.0, 0, -10),
    ] {
        let found = exposure(&inputs(so2, chloride)).stainless.unwrap();
        assert_eq!((found.f1, found.f2, found.total), (f1, f2, f1 + f2), "{so2} {chloride}");
    }
    // not washed by rain: F3 is -7
    let found = exposure(&format!(r#"{}, "rain_washed": false"#, inputs(8.0, 4.0))).stainless.unwrap();
    assert_eq!((found.f1, found.f2, found.f3, found.total), (-3, -5, -7, -15));
}

/// A deposition stands for a distance only where no distance is given and the room is not controlled.
#[test]
fn what_stands_for_the_distance_to_the_sea_is_said() {
    let says = |duty: &str| {
        exposure(duty).assumed.iter().any(|words| words.contains("distance to the sea is estimated"))
    };
    assert!(says(r#""place": "coastal""#));
    assert!(!says(r#""place": "coastal", "sea_distance_m": 400"#));
    assert!(!says(r#""place": "indoor_heated""#));
    assert!(!says(r#""first_year_steel_loss_um": 20, "road_salt": {"months_per_year": 5, "distance_m": 5}"#));
}

/// The dose response is one of outdoor air, so it speaks up indoors; an outdoor place with a loss of its own takes
/// single inputs, an indoor one refuses them.
#[test]
fn indoors_the_outdoor_function_is_not_trusted() {
    let says = |duty: &str| exposure(duty).remarks.iter().any(|words| words.contains("is for outdoor air"));
    assert!(says(&format!(r#"{}, "shelter": "indoor""#, inputs(3.0, 3.0))));
    assert!(!says(&format!(r#"{}, "shelter": "open""#, inputs(3.0, 3.0))));
    assert!(!says(&inputs(3.0, 3.0)));

    let at = |place: &str, shelter: &str| {
        let duty = format!(
            r#""required_years": 5, "place": "{place}", "shelter": "{shelter}", "temperature_c": 12"#
        );
        Exposure::of(&brief(r#""form": "bracket""#, &duty, ""), Catalog::built_in())
    };
    assert!(at("offshore", "open").is_ok() && at("offshore", "sheltered").is_ok());
    let remarks = at("offshore", "indoor").unwrap().remarks;
    assert!(remarks.iter().any(|words| words.contains("is for outdoor air")), "{remarks:?}");
    for shelter in ["indoor", "open"] {
        assert_eq!(at("indoor_heated", shelter).unwrap_err().field(), "duty.place");
    }
}

/// Table C.1 of ISO 9223:2012 puts the coast outside spray into C4 and contact with salt spray into CX. What a single
/// input moves, it moves from there: 160 for 80 mg/(m²·d) of chloride at the coast's 12 °C and 79% raises the chloride
/// term 0.102·80^0.62·exp(0.033·79 + 0.040·12) = 33.80 by 2^0.62, the SO2 term 1.77·3^0.52·exp(0.020·79 - 0.054·2) =
/// 13.69 stays.
#[test]
fn coast_and_spray_are_as_severe_as_the_standard_says() {
    let of = |duty: &str| exposure(duty).atmosphere;
    let coast = of(r#""place": "coastal""#);
    assert_eq!((coast.category, of(r#""place": "splash""#).category), (Category::C4, Category::Cx));
    assert!((coast.first_year_steel_loss_um - 4000.0_f64.sqrt()).abs() < 1e-9);
    // the range is one of the kind of place: a single one scatters as any described place does
    assert_eq!(coast.log_sd, of(r#""place": "rural""#).log_sd);
    let same = of(r#""place": "coastal", "temperature_c": 12"#);
    assert!((same.first_year_steel_loss_um / coast.first_year_steel_loss_um - 1.0).abs() < 1e-12);
    let saltier = of(r#""place": "coastal", "chloride_mg_m2_day": 160"#);
    let ratio = saltier.first_year_steel_loss_um / coast.first_year_steel_loss_um;
    assert!((ratio - (33.80 * 2.0_f64.powf(0.62) + 13.69) / (33.80 + 13.69)).abs() < 0.002, "{ratio}");
}

#[test]
fn what_was_assumed_of_the_shelter_says_why() {
    assert!(
        exposure(r#""place": "rural""#)
            .assumed
            .contains(&"shelter: open, as usual in such a place".to_owned())
    );
    assert!(exposure(&inputs(3.0, 3.0)).assumed.contains(&"shelter: open".to_owned()));
}

/// A peak equal to the lasting temperature is no contradiction.
#[test]
fn the_peak_may_equal_the_lasting_temperature() {
    let found = exposure(r#""place": "rural", "heat_continuous_c": 150, "heat_peak_c": 150"#);
    assert_eq!((found.heat_continuous_c, found.heat_peak_c), (150.0, 150.0));
}

/// A weight without a range of its own goes from half to twice; the usual weights are those of the brief.
#[test]
fn weights_reach_from_half_to_twice() {
    let wants = r#""weights": {"durability": 4, "cost": 2, "appearance": 1, "heat": 1, "assembly": 1, "confidence": 1},
        "weight_ranges": {"cost": {"low": 1.5, "high": 2.5}}"#;
    let brief = brief(r#""form": "bracket""#, r#""place": "rural", "required_years": 5"#, wants);
    let [durability, cost, appearance, ..] = brief.wants.weight_ends();
    assert_eq!(durability, (2.0, 8.0));
    assert_eq!(cost, (1.5, 2.5));
    assert_eq!(appearance, (0.5, 2.0));
}

#[test]
fn ends_are_said_in_words() {
    for (failure, words) in [
        (Failure::FirstRust, "first rust"),
        (Failure::RustedAreaPct(5.0), "5% of the surface rusted"),
        (Failure::LossUm(80.0), "80 µm of metal lost"),
        (Failure::StrengthLossPct(10.0), "10% of the thread's strength lost"),
    ] {
        assert_eq!(failure.to_string(), words);
    }
}
