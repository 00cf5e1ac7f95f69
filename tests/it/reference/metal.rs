//! The metal rules against whole tables of published or independently computed values.

use super::rows;
use overcoat::metal::{
    Coast, LowAlloyComposition, PropertyClass, StainlessExposure, Washing, atmospheric_corrosion_index,
    corrosion_resistance_factor, grade_class,
};

// Independent arithmetic from remembered coefficients: tests the arithmetic, not the coefficients.
#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn the_atmospheric_corrosion_index() {
    for row in rows("g101_examples.csv") {
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        let result = atmospheric_corrosion_index(&LowAlloyComposition {
            copper_pct: number(1),
            nickel_pct: number(2),
            chromium_pct: number(3),
            silicon_pct: number(4),
            phosphorus_pct: number(5),
        })
        .unwrap();
        assert!((result.index - number(6)).abs() < 5.1e-5, "{}: {}", row[0], result.index);
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn property_classes() {
    for row in rows("property_classes.csv") {
        let (class, diameter_mm) = match row[0].split_once(" d") {
            Some((class, "<=16")) => (class, Some(16.0)),
            Some((class, _)) => (class, Some(17.0)),
            None => (row[0].as_str(), None),
        };
        let m = class.parse::<PropertyClass>().unwrap().mechanical(diameter_mm).unwrap();
        let found = [
            m.tensile_strength_min_mpa,
            m.yield_strength_min_mpa,
            m.proof_stress_mpa,
            m.hardness_min_hv,
            m.hardness_max_hv,
            m.hardness_min_hrc.unwrap(),
            m.hardness_max_hrc.unwrap(),
            m.tempering_min_c.unwrap(),
        ];
        let first_number = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
        let expected: Vec<f64> = row[1..=8].iter().map(|text| first_number(text)).collect();
        assert_eq!(found.to_vec(), expected, "{}", row[0]);
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn corrosion_resistance_factors_and_classes() {
    let inland = StainlessExposure {
        sea_distance_m: None,
        coast: Coast::Other,
        salted_road_distance_m: None,
        road_tunnel: false,
        indoor_controlled: false,
        so2_ug_m3: 5.0,
        washing: Washing::Rain,
    };
    // With some SO2, F1 + F2 is below 0 and F3 counts.
    let smoky = StainlessExposure { so2_ug_m3: 50.0, ..inland };
    let sea = |m| StainlessExposure { sea_distance_m: Some(m), ..inland };
    let road = |m| StainlessExposure { salted_road_distance_m: Some(m), ..inland };
    for row in rows("en1993_1_4_crf.csv") {
        let [factor, value, condition] = &row[..3] else { panic!("short row") };
        if let Some(class) = factor.strip_prefix("CRC ") {
            for grade in condition.split(' ') {
                assert_eq!(grade_class(grade).unwrap().to_string(), class, "{grade}");
            }
            continue;
        }
        let places = match (factor.as_str(), condition.split([' ', ':']).next().unwrap()) {
            ("F1", "internally") => vec![StainlessExposure { indoor_controlled: true, ..inland }],
            ("F1", "low") => vec![inland, sea(10_500.0), road(101.0)],
            ("F1", "medium") => vec![sea(10_000.0), sea(1_001.0), road(100.0), road(11.0)],
            ("F1", "high") => vec![sea(1_000.0), sea(251.0), road(10.0), road(0.0)],
            ("F1", _) if condition.contains("tunnels") => {
                vec![StainlessExposure { road_tunnel: true, ..inland }]
            }
            ("F1", _) if condition.contains("Baltic") => {
                vec![StainlessExposure { coast: Coast::NorthSeaGermanOrBaltic, ..sea(250.0) }]
            }
            ("F1", _) => vec![sea(250.0)],
            ("F2", _) => {
                let so2 = match value.as_str() {
                    "0" => [0.0, 9.0],
                    "-5" => [11.0, 89.0],
                    _ => [91.0, 250.0],
                };
                so2.map(|so2_ug_m3| StainlessExposure { so2_ug_m3, ..inland }).to_vec()
            }
            ("F3", "fully") => vec![smoky],
            ("F3", "specified") => vec![StainlessExposure { washing: Washing::CleaningRegime, ..smoky }],
            ("F3", _) => vec![StainlessExposure { washing: Washing::None, ..smoky }],
            _ => vec![StainlessExposure { washing: Washing::None, ..inland }],
        };
        for place in places {
            let found = corrosion_resistance_factor(&place).unwrap();
            let found = match factor.as_str() {
                "F1" => found.f1,
                "F2" => found.f2,
                _ => found.f3,
            };
            assert_eq!(found.to_string(), *value, "{factor}: {condition}");
        }
    }
}
