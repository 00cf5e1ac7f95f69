//! Every published table and worked example beside what overcoat gives: one line per table with the largest
//! deviation.
//!
//! `OVERCOAT_DEVIATIONS` names a file into which the lines are written as JSON, for the validation report.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing)] // the readers here are test code too

use super::{Row, number, table_if_there};
use overcoat::atmosphere::{
    CATEGORY_BOUNDS, Category, DOSE_COEFFICIENTS, GrowthCase, StandardMetal, category_from_g_m2,
    category_from_um, exponent, loss_um,
};
use overcoat::fastener::{
    FrictionClass, Thread, TorsionModel, assembly_preload_kn, baking, coating_room, fundamental_deviation,
    mean_bearing_diameter, nut_factor, pitch_diameter_tolerance, tightening_torque_nm,
};
use overcoat::metal::{
    LowAlloyComposition, PrenForm, PropertyClass, StainlessComposition, StainlessFamily,
    atmospheric_corrosion_index, grade_class, pitting_resistance_equivalent,
};
use overcoat::papers::sampling::{
    CodeLetter, InspectionLevel, acceptance_probability_binomial, code_letter, plan,
};
use serde::Serialize;

/// How far overcoat lies from a table.
#[derive(Debug, Serialize)]
struct Deviation {
    table: &'static str,
    /// `printed`, `from memory`, or `computed elsewhere`.
    origin: &'static str,
    unit: &'static str,
    values: usize,
    largest: f64,
    at: String,
    /// What the test allows.
    allowed: f64,
}

impl Deviation {
    fn of(table: &'static str, origin: &'static str, unit: &'static str, allowed: f64) -> Self {
        Self { table, origin, unit, values: 0, largest: 0.0, at: String::new(), allowed }
    }

    fn compare(&mut self, found: f64, expected: f64, at: impl Fn() -> String) {
        self.note((found - expected).abs(), at);
    }

    /// Deviation in % of what is expected.
    fn compare_pct(&mut self, found: f64, expected: f64, at: impl Fn() -> String) {
        self.note(100.0 * (found / expected - 1.0).abs(), at);
    }

    /// Counts a miss as a deviation of 1.
    fn same(&mut self, found: &str, expected: &str, at: impl Fn() -> String) {
        self.values += 1;
        if found != expected {
            self.largest += 1.0;
            self.at = at();
        }
    }

    fn note(&mut self, deviation: f64, at: impl Fn() -> String) {
        self.values += 1;
        // a NaN is the worst deviation, not the least
        let deviation = if deviation.is_nan() { f64::INFINITY } else { deviation };
        if deviation > self.largest {
            self.largest = deviation;
            self.at = at();
        }
    }
}

fn thread_of_pitch(pitch_mm: f64) -> Thread {
    format!("M{}x{pitch_mm}", if pitch_mm < 1.0 { 6.0 } else { 63.5 }).parse().unwrap()
}

fn threads(found: &mut Vec<Deviation>) {
    let mut es = Deviation::of("thread deviations e, f, g (ISO 965-1)", "printed", "µm", 0.0);
    for row in table_if_there("iso965_es.csv") {
        let thread = thread_of_pitch(number(&row, "pitch_mm").unwrap());
        for position in ["e", "f", "g", "h"] {
            let Some(expected) = number(&row, &format!("es_{position}_um")) else { continue };
            let tolerance = format!("6{position}").parse().unwrap();
            let deviation = fundamental_deviation(&thread, &tolerance).unwrap().deviation_um;
            es.compare(deviation, expected, || format!("{thread} {tolerance}"));
        }
    }
    found.push(es);

    let mut width = Deviation::of("pitch diameter tolerances, grade 6 (ISO 965-1)", "printed", "µm", 0.0);
    for row in table_if_there("iso965_td2_grade6.csv") {
        let (to, pitch) = (number(&row, "d_to_mm").unwrap(), number(&row, "pitch_mm").unwrap());
        let thread: Thread = format!("M{to}x{pitch}").parse().unwrap();
        let own = pitch_diameter_tolerance(&thread, &"6g".parse().unwrap()).unwrap().width_um;
        width.compare(own, number(&row, "Td2_ext_grade6_um").unwrap(), || thread.to_string());
    }
    found.push(width);

    let mut room =
        Deviation::of("coating room by pitch (a quarter of the deviation)", "computed elsewhere", "µm", 0.0);
    for row in table_if_there("coating_limit_by_pitch.csv") {
        let thread = thread_of_pitch(number(&row, "pitch_mm").unwrap());
        for position in ["e", "f", "g"] {
            let Some(expected) = number(&row, &format!("{position}_es_over_4_um")) else { continue };
            let tolerance = format!("6{position}").parse().unwrap();
            let own = coating_room(&thread, &tolerance, None).unwrap().max_local_thickness_um;
            room.compare(own, expected, || format!("{thread} {tolerance}"));
        }
    }
    found.push(room);

    let mut need = Deviation::of("deviation needed by a coating (ISO 4042:1999)", "printed", "µm", 1e-9);
    let (thread, tolerance) = ("M20".parse().unwrap(), "6g".parse().unwrap());
    for row in table_if_there("iso4042_1999_min_deviation.csv") {
        let thickness = number(&row, "coating_um").unwrap();
        for (column, length) in [
            ("batch_mean_l_le_5d_um", 100.0),
            ("batch_mean_5d_10d_um", 200.0),
            ("batch_mean_10d_15d_um", 300.0),
        ] {
            let room = coating_room(&thread, &tolerance, Some(length)).unwrap();
            let factor = room.deviation_um.abs() / room.max_batch_mean_thickness_um.unwrap();
            need.compare(factor * thickness, number(&row, column).unwrap(), || {
                format!("{thickness} µm, {column}")
            });
        }
    }
    found.push(need);

    let mut inch = Deviation::of("allowances of 2A threads (ASME B1.1)", "computed elsewhere", "µm", 0.06);
    for row in table_if_there("un_2a_allowance.csv") {
        let thread: Thread = row["thread"].parse().unwrap();
        let own = fundamental_deviation(&thread, &"2A".parse().unwrap()).unwrap().deviation_um.abs();
        inch.compare(own, number(&row, "allowance_um").unwrap(), || thread.to_string());
    }
    found.push(inch);

    let mut area = Deviation::of("stress areas (VDI 2230)", "printed", "%", 0.15);
    for row in table_if_there("vdi_inputs.csv") {
        let thread: Thread = format!("M{}", row["d_mm"]).parse().unwrap();
        area.compare_pct(thread.stress_area_mm2(), number(&row, "As_mm2").unwrap(), || thread.to_string());
    }
    found.push(area);
}

fn torques(found: &mut Vec<Deviation>) {
    for (kind, preload, torque) in [
        (
            "published",
            Deviation::of("assembly preloads, fine threads (VDI 2230 form)", "printed", "%", 0.7),
            Deviation::of("tightening torques, fine threads (VDI 2230 form)", "printed", "%", 1.3),
        ),
        (
            "computed",
            Deviation::of("assembly preloads, coarse threads (same formula)", "computed elsewhere", "%", 1.2),
            Deviation::of(
                "tightening torques, coarse threads (same formula)",
                "computed elsewhere",
                "%",
                2.5,
            ),
        ),
    ] {
        let (mut preload, mut torque) = (preload, torque);
        for row in table_if_there("vdi_torque.csv").into_iter().filter(|row| row["kind"] == kind) {
            let thread: Thread = row["thread"].parse().unwrap();
            let friction = number(&row, "mu").unwrap();
            let bearing = mean_bearing_diameter(&thread).bearing_diameter_mm;
            let class_8_8 = if thread.diameter_mm() > 16.0 { 660.0 } else { 640.0 };
            for (class, yield_mpa) in [("8.8", class_8_8), ("10.9", 940.0), ("12.9", 1100.0)] {
                let kn = assembly_preload_kn(&thread, yield_mpa, friction, 0.9, TorsionModel::FullyPlastic)
                    .unwrap();
                let nm = tightening_torque_nm(kn, &thread, friction, friction, bearing).unwrap();
                let at = || format!("{thread} {class}, friction {friction}");
                preload.compare_pct(kn, number(&row, &format!("FM_{class}_kN")).unwrap(), at);
                torque.compare_pct(nm, number(&row, &format!("MA_{class}_Nm")).unwrap(), at);
            }
        }
        found.extend([preload, torque]);
    }

    let mut k = Deviation::of("nut factors K from friction", "computed elsewhere", "", 1e-4);
    for row in table_if_there("k_from_mu.csv") {
        let thread: Thread = format!("M{}", row["d_mm"]).parse().unwrap();
        let friction = number(&row, "mu").unwrap();
        let own = nut_factor(&thread, friction, mean_bearing_diameter(&thread).bearing_diameter_mm).unwrap();
        k.compare(own, number(&row, "K=MA/(FM*d)").unwrap(), || format!("{thread}, friction {friction}"));
    }
    found.push(k);

    let mut classes = Deviation::of("friction classes A to E (VDI 2230)", "printed", "misses", 0.0);
    for row in table_if_there("friction_classes.csv") {
        let range = row["class"].parse::<FrictionClass>().unwrap().range();
        let own = format!("{} {:?}", range.lowest, range.highest);
        let expected = format!("{} {:?}", number(&row, "mu_min").unwrap(), number(&row, "mu_max"));
        classes.same(&own, &expected, || row["class"].clone());
    }
    found.push(classes);
}

fn steels(found: &mut Vec<Deviation>) {
    let mut properties = Deviation::of("property classes (ISO 898-1)", "printed", "misses", 0.0);
    for row in table_if_there("property_classes.csv") {
        let (class, diameter_mm) = match row["class"].split_once(" d") {
            Some((class, "<=16")) => (class, Some(16.0)),
            Some((class, _)) => (class, Some(17.0)),
            None => (row["class"].as_str(), None),
        };
        let m = class.parse::<PropertyClass>().unwrap().mechanical(diameter_mm).unwrap();
        for (column, own) in [
            ("Rm_min_MPa", m.tensile_strength_min_mpa),
            ("Rp02_min_MPa", m.yield_strength_min_mpa),
            ("Sp_MPa", m.proof_stress_mpa),
            ("HV_min", m.hardness_min_hv),
            ("HV_max", m.hardness_max_hv),
        ] {
            let expected: f64 = row[column].split(' ').next().unwrap().parse().unwrap();
            properties.same(&own.to_string(), &expected.to_string(), || format!("{class} {column}"));
        }
    }
    found.push(properties);

    let mut bakes = Deviation::of("bake times by tensile strength (ASTM B850)", "printed", "h", 0.0);
    for row in table_if_there("bake_b850.csv") {
        for end in ["Rm_MPa_from", "Rm_MPa_to"] {
            let Some(tensile) = number(&row, end) else { continue };
            let own = baking(tensile).unwrap().map_or(0.0, |bake| bake.hours);
            let expected = number(&row, "min_hours_at_190_220C").unwrap_or(0.0);
            bakes.compare(own, expected, || format!("{tensile} MPa"));
        }
    }
    found.push(bakes);

    let mut index =
        Deviation::of("atmospheric corrosion index (ASTM G101)", "computed elsewhere", "", 5.1e-5);
    for row in table_if_there("g101_examples.csv") {
        let of = |element: &str| number(&row, element).unwrap();
        let own = atmospheric_corrosion_index(&LowAlloyComposition {
            copper_pct: of("Cu"),
            nickel_pct: of("Ni"),
            chromium_pct: of("Cr"),
            silicon_pct: of("Si"),
            phosphorus_pct: of("P"),
        });
        index.compare(own.unwrap().index, of("index_LL"), || row["label"].clone());
    }
    found.push(index);

    // Compositions and numbers as the stainless steel trade prints them, to one decimal.
    let mut pren = Deviation::of("pitting resistance equivalent numbers", "printed", "", 0.05);
    for (grade, family, chromium_pct, molybdenum_pct, nitrogen_pct, printed) in [
        ("316", StainlessFamily::Austenitic, 17.2, 2.1, 0.0, 24.1),
        ("317L", StainlessFamily::Austenitic, 18.2, 3.1, 0.0, 28.4),
        ("317LMN", StainlessFamily::Austenitic, 17.8, 4.1, 0.14, 33.6),
        ("2304", StainlessFamily::Duplex, 23.0, 0.3, 0.10, 25.6),
        ("2205", StainlessFamily::Duplex, 22.0, 3.1, 0.17, 35.0),
        ("2507", StainlessFamily::Duplex, 25.0, 4.0, 0.27, 42.5),
    ] {
        let steel =
            StainlessComposition { family, chromium_pct, molybdenum_pct, tungsten_pct: 0.0, nitrogen_pct };
        let own = pitting_resistance_equivalent(&steel, PrenForm::Nitrogen16).unwrap();
        pren.compare(own, printed, || grade.to_owned());
    }
    // the trade's last digit is rounded: 34.95 prints as 35.0
    pren.allowed = 0.05 + 1e-9;
    found.push(pren);

    let mut grades =
        Deviation::of("stainless grades by class (EN 1993-1-4, Annex A)", "from memory", "misses", 0.0);
    for row in table_if_there("en1993_1_4_crf.csv") {
        let Some(class) = row["factor"].strip_prefix("CRC ") else { continue };
        for grade in row["condition"].split(' ') {
            let own = grade_class(grade).map_or_else(|| "none".to_owned(), |class| class.to_string());
            grades.same(&own, class, || grade.to_owned());
        }
    }
    found.push(grades);
}

fn sampling(found: &mut Vec<Deviation>) {
    let mut letters = Deviation::of("code letters (ISO 2859-1, Table 1)", "printed", "misses", 0.0);
    let range_column = |row: &Row| row.keys().find(|k| k.contains("lot")).cloned().unwrap();
    for row in table_if_there("iso2859_code_letters.csv") {
        let sizes = row[&range_column(&row)].clone();
        let (first, last) = match sizes.split_once('-') {
            Some((first, last)) => (first.parse().unwrap(), last.parse().unwrap()),
            None => (sizes.trim_end_matches('+').parse().unwrap(), u32::MAX),
        };
        for level in InspectionLevel::ALL {
            let Some(expected) =
                row.get(&level.to_string()).or_else(|| row.get(&level.to_string().replace('-', "")))
            else {
                continue;
            };
            for lot in [first, last] {
                let own = code_letter(lot, *level).unwrap().to_string();
                letters.same(&own, expected, || format!("{lot} {level}"));
            }
        }
    }
    found.push(letters);

    let sizes = [8, 15, 25, 50, 90, 150, 280, 500, 1_200, 3_200, 10_000, 35_000, 150_000, 500_000, u32::MAX];
    let lot_for = |letter: CodeLetter| {
        let pairs =
            sizes.into_iter().rev().flat_map(|size| InspectionLevel::ALL.iter().map(move |l| (size, *l)));
        pairs.into_iter().find(|(size, level)| code_letter(*size, *level).unwrap() == letter).unwrap()
    };
    let mut plans =
        Deviation::of("single normal plans n, Ac, Re (ISO 2859-1, Table 2-A)", "printed", "misses", 0.0);
    for row in table_if_there("iso2859_single_normal.csv") {
        let letter = CodeLetter::ALL.iter().copied().find(|l| l.to_string() == row["code"]).unwrap();
        let (lot, level) = lot_for(letter);
        let own = plan(lot, level, number(&row, "AQL").unwrap()).unwrap();
        for (own, column) in [(own.sample_size, "n"), (own.accept, "Ac"), (own.reject, "Re")] {
            plans.same(&own.to_string(), &row[column], || format!("{letter}, AQL {}", row["AQL"]));
        }
    }
    found.push(plans);

    let mut operating =
        Deviation::of("acceptance probabilities (binomial)", "computed elsewhere", "", 0.51e-6);
    for row in table_if_there("oc_binomial.csv") {
        let n = row["n"].parse().unwrap();
        let accept = row["Ac"].parse().unwrap();
        let share = number(&row, "p").unwrap();
        let own = acceptance_probability_binomial(n, accept, share).unwrap();
        operating.compare(own, number(&row, "P_accept_binomial").unwrap(), || format!("n {n}, Ac {accept}"));
    }
    found.push(operating);
}

fn air(found: &mut Vec<Deviation>) {
    let mut dose = Deviation::of(
        "dose-response coefficients (ISO 9223:2012, 8.2)",
        "steel printed, zinc in a code, the others from memory",
        "misses",
        0.0,
    );
    for row in table_if_there("iso9223_drf.csv") {
        let metal: StandardMetal = row["metal"].parse().unwrap();
        let c = DOSE_COEFFICIENTS.iter().find(|c| c.metal == metal).unwrap();
        for (column, own) in [
            ("A", c.so2_factor),
            ("a_Pd_exp", c.so2_exponent),
            ("b_RH", c.so2_humidity_per_pct),
            ("k_T_le10", c.so2_cold_per_c),
            ("k_T_gt10", c.so2_warm_per_c),
            ("B", c.chloride_factor),
            ("c_Sd_exp", c.chloride_exponent),
            ("d_RH", c.chloride_humidity_per_pct),
            ("e_T", c.chloride_temperature_per_c),
        ] {
            let expected = number(&row, column).unwrap();
            dose.same(&own.to_string(), &expected.to_string(), || format!("{metal} {column}"));
        }
    }
    found.push(dose);

    let mut bounds =
        Deviation::of("category bounds, µm and g/m² (ISO 9223:2012, Table 2)", "printed", "misses", 0.0);
    for row in table_if_there("iso9223_categories.csv") {
        let metal: StandardMetal = row["metal"].parse().unwrap();
        let own = CATEGORY_BOUNDS.iter().find(|b| b.metal == metal).unwrap();
        let category: Category = row["category"].parse().unwrap();
        let index = Category::ALL.iter().position(|&c| c == category).unwrap();
        if let (Some(upper), Some(um)) = (number(&row, "hi_um_a_inclusive"), own.um) {
            bounds.same(&um[index].to_string(), &upper.to_string(), || format!("{metal} {category} µm"));
            bounds.same(&category_from_um(metal, upper).unwrap().to_string(), &row["category"], || {
                format!("{metal} at {upper} µm")
            });
        }
        if let Some(upper) = number(&row, "hi_g_m2a_inclusive") {
            bounds.same(&category_from_g_m2(metal, upper).unwrap().to_string(), &row["category"], || {
                format!("{metal} at {upper} g/m²")
            });
        }
    }
    found.push(bounds);

    let mut sites =
        Deviation::of("categories of exposure sites from their losses", "computed elsewhere", "misses", 0.0);
    for row in table_if_there("isocorrag_measured.csv") {
        for metal in [StandardMetal::Steel, StandardMetal::Zinc, StandardMetal::Copper] {
            let (Some(loss), Some(expected)) =
                (number(&row, &format!("{metal}_um_a")), row.get(&format!("{metal}_cat")))
            else {
                continue;
            };
            let own = category_from_um(metal, loss).unwrap().to_string();
            sites.same(&own, expected, || metal.to_string());
        }
    }
    found.push(sites);

    let mut multiples = Deviation::of(
        "multiples of the first year, 1 to 100 a (ISO 9224:2012)",
        "computed elsewhere",
        "%",
        0.006,
    );
    for row in table_if_there("iso9224_tb_multipliers.csv") {
        let years = number(&row, "years").unwrap();
        for &metal in StandardMetal::ALL {
            for (case, suffix) in [(GrowthCase::Average, "b1"), (GrowthCase::Conservative, "b2")] {
                let own = loss_um(1.0, years, exponent(metal, case)).unwrap();
                let expected = number(&row, &format!("{metal}_{suffix}")).unwrap();
                multiples.compare_pct(own, expected, || format!("{metal}, {years} a, {case}"));
            }
        }
    }
    found.push(multiples);
}

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn every_table_is_reproduced() {
    let mut found = Vec::new();
    air(&mut found);
    steels(&mut found);
    threads(&mut found);
    torques(&mut found);
    sampling(&mut found);
    // a table that is not there says nothing
    found.retain(|deviation| deviation.values > 0);
    if let Some(path) = std::env::var_os("OVERCOAT_DEVIATIONS") {
        std::fs::write(path, serde_json::to_string_pretty(&found).unwrap()).unwrap();
    }
    for deviation in &found {
        assert!(deviation.largest <= deviation.allowed, "{deviation:?}");
    }
}
