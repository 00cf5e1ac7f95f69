//! The fastener rules against whole tables.

#![allow(clippy::unwrap_used, clippy::panic)] // the readers below are test code too

use overcoat::fastener::{
    EmbrittlementEdition, FrictionClass, Thread, TorsionModel, assembly_preload_kn, baking, coating_room,
    fundamental_deviation, mean_bearing_diameter, nut_factor, pitch_diameter_tolerance, tightening_torque_nm,
};

use super::{Row, table};

fn number(row: &Row, column: &str) -> Option<f64> {
    let cell = row.get(column).unwrap_or_else(|| panic!("no column {column}"));
    if cell.is_empty() { None } else { Some(cell.parse().unwrap_or_else(|_| panic!("{column}: {cell}"))) }
}

fn deviation_um(thread: &Thread, tolerance: &str) -> f64 {
    fundamental_deviation(thread, &tolerance.parse().unwrap()).unwrap().deviation_um
}

/// A thread of this pitch; the fundamental deviation does not depend on the diameter.
fn thread_of_pitch(pitch_mm: f64) -> Thread {
    format!("M{}x{pitch_mm}", if pitch_mm < 1.0 { 6.0 } else { 63.5 }).parse().unwrap()
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn fundamental_deviations() {
    for row in table("iso965_es.csv") {
        let thread = thread_of_pitch(number(&row, "pitch_mm").unwrap());
        for (column, tolerance) in
            [("es_e_um", "6e"), ("es_f_um", "6f"), ("es_g_um", "6g"), ("es_h_um", "6h")]
        {
            if let Some(expected) = number(&row, column) {
                assert_eq!(deviation_um(&thread, tolerance), expected, "{thread} {tolerance}");
            }
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn pitch_diameter_tolerances() {
    for row in table("iso965_td2_grade6.csv") {
        let (to, pitch) = (number(&row, "d_to_mm").unwrap(), number(&row, "pitch_mm").unwrap());
        let thread = format!("M{to}x{pitch}").parse().unwrap();
        let width = pitch_diameter_tolerance(&thread, &"6g".parse().unwrap()).unwrap();
        assert_eq!(Some(width.width_um), number(&row, "Td2_ext_grade6_um"), "{thread}");
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn coating_limits_by_pitch() {
    for row in table("coating_limit_by_pitch.csv") {
        let thread = thread_of_pitch(number(&row, "pitch_mm").unwrap());
        for position in ["e", "f", "g"] {
            let tolerance = format!("6{position}").parse().unwrap();
            let room = coating_room(&thread, &tolerance, None).unwrap();
            if let Some(quarter) = number(&row, &format!("{position}_es_over_4_um")) {
                assert_eq!(room.max_local_thickness_um, quarter, "{thread} {tolerance}");
                assert_eq!(
                    room.preferred_step_um,
                    number(&row, &format!("{position}_step_um")),
                    "{thread} {tolerance}"
                );
            }
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn deviations_that_a_thickness_needs() {
    let (thread, tolerance) = ("M20".parse().unwrap(), "6g".parse().unwrap());
    for row in table("iso4042_1999_min_deviation.csv") {
        let thickness = number(&row, "coating_um").unwrap();
        for (column, length) in [
            ("batch_mean_l_le_5d_um", 100.0),
            ("batch_mean_5d_10d_um", 200.0),
            ("batch_mean_10d_15d_um", 300.0),
        ] {
            let room = coating_room(&thread, &tolerance, Some(length)).unwrap();
            let factor = room.deviation_um.abs() / room.max_batch_mean_thickness_um.unwrap();
            assert!(
                (factor * thickness - number(&row, column).unwrap()).abs() < 1e-9,
                "{thickness} {column}"
            );
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn inch_allowances() {
    for row in table("un_2a_allowance.csv") {
        let thread: Thread = row["thread"].parse().unwrap();
        let width = pitch_diameter_tolerance(&thread, &"2A".parse().unwrap()).unwrap().width_um;
        assert!((width / 25_400.0 - number(&row, "Td2_2A_in").unwrap()).abs() < 1e-6, "{thread}");
        assert!(
            (deviation_um(&thread, "2A") + number(&row, "allowance_um").unwrap()).abs() < 0.06,
            "{thread}"
        );
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn thread_geometry() {
    for row in table("vdi_inputs.csv") {
        let thread: Thread = format!("M{}", row["d_mm"]).parse().unwrap();
        for (column, value, within) in [
            ("P_coarse_mm", thread.pitch_mm(), 1e-12),
            ("d2_mm", thread.pitch_diameter_mm(), 1e-3),
            ("d3_mm", thread.root_diameter_mm(), 1e-3),
            ("As_mm2", thread.stress_area_mm2(), 1e-2),
            ("DKm_mm", mean_bearing_diameter(&thread).bearing_diameter_mm, 1e-9),
        ] {
            assert!((value - number(&row, column).unwrap()).abs() < within, "{thread} {column}: {value}");
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn preloads_and_torques() {
    for row in table("vdi_torque.csv") {
        let thread: Thread = row["thread"].parse().unwrap();
        let friction = number(&row, "mu").unwrap();
        let bearing = mean_bearing_diameter(&thread).bearing_diameter_mm;
        let class_8_8 = if thread.diameter_mm() > 16.0 { 660.0 } else { 640.0 };
        for (class, rp02) in [("8.8", class_8_8), ("10.9", 940.0), ("12.9", 1100.0)] {
            let preload =
                assembly_preload_kn(&thread, rp02, friction, 0.9, TorsionModel::FullyPlastic).unwrap();
            let torque = tightening_torque_nm(preload, &thread, friction, friction, bearing).unwrap();
            let near = |value: f64, column: &str, share: f64| {
                let expected = number(&row, column).unwrap();
                // half a unit of the last printed digit counts as rounding
                let rounding = if expected < 100.0 { 0.051 } else { 0.51 };
                assert!(
                    (value - expected).abs() < share * expected + rounding,
                    "{thread} {friction} {column}: {value}"
                );
            };
            near(preload, &format!("FM_{class}_kN"), 0.005);
            near(torque, &format!("MA_{class}_Nm"), 0.0115);
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn nut_factors() {
    for row in table("k_from_mu.csv") {
        let thread: Thread = format!("M{}", row["d_mm"]).parse().unwrap();
        let bearing = mean_bearing_diameter(&thread).bearing_diameter_mm;
        let k = nut_factor(&thread, number(&row, "mu").unwrap(), bearing).unwrap();
        assert!((k - number(&row, "K=MA/(FM*d)").unwrap()).abs() < 1e-4, "{thread}: {k}");
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn friction_classes() {
    for row in table("friction_classes.csv") {
        let range = row["class"].parse::<FrictionClass>().unwrap().range();
        assert_eq!((Some(range.lowest), range.highest), (number(&row, "mu_min"), number(&row, "mu_max")));
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn bake_times() {
    for row in table("bake_b850.csv") {
        for end in ["Rm_MPa_from", "Rm_MPa_to"] {
            let bake = baking(number(&row, end).unwrap()).unwrap();
            assert_eq!(bake.map(|bake| bake.hours), number(&row, "min_hours_at_190_220C"));
        }
    }
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn hardness_limits() {
    for row in table("hydrogen_embrittlement.csv") {
        let edition = match row["rule"].as_str() {
            "ISO 4042:2018" => EmbrittlementEdition::Iso4042Edition2018,
            "ISO 4042:1999" => EmbrittlementEdition::Iso4042Edition1999,
            _ => continue,
        };
        let (first, second) = edition.limits_hv();
        let numbers = row["hardness"].split([' ', '-']).filter_map(|word| word.parse::<f64>().ok());
        for hv in numbers.filter(|hv| *hv > 300.0 && *hv < 500.0) {
            assert!(hv == first || Some(hv) == second, "{edition}: {hv}");
        }
    }
}
