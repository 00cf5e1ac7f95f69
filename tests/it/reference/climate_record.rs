//! Time of wetness against hours counted independently in nine weather files.
//!
//! The counts, not the files, are read: each file is rebuilt as a record with as many hours of each kind.

use super::table;
use overcoat::atmosphere::{RecordFinding, time_of_wetness};

#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn wetness_follows_independent_counts() {
    let rows = table("measured/time_of_wetness_reference.csv");
    for row in &rows {
        let text = |name: &str| row[name].as_str();
        let count = |name: &str| -> usize { text(name).parse().unwrap() };
        let wet = count("hours_T_gt_0_RH_gt_80");
        let just_80 = count("hours_T_gt_0_RH_ge_80") - wet;
        let freezing = count("hours_T_ge_0_RH_ge_80") - count("hours_T_gt_0_RH_ge_80");
        let fraction: f64 = text("fraction_T_gt_0_RH_gt_80").parse().unwrap();
        let valid = count("n_valid");
        let kinds = [
            (wet, 5.0, 93.0),
            (just_80, 5.0, 80.0),
            (freezing, 0.0, 93.0),
            (valid - wet - just_80 - freezing, 5.0, 50.0),
            (count("n_records") - valid, 5.0, f64::NAN),
        ];
        let (t, humidity): (Vec<f64>, Vec<f64>) =
            kinds.iter().flat_map(|&(n, t, humidity)| std::iter::repeat_n((t, humidity), n)).unzip();
        let found = time_of_wetness(&t, &humidity).unwrap();
        assert_eq!(found.counted_wet_hours, wet as f64);
        assert!((found.hours_per_year / 8760.0 - fraction).abs() < 1e-6);
        let short = found.findings.iter().any(|f| matches!(f, RecordFinding::ShorterThanYear { .. }));
        assert_eq!(short, t.len() < 8760);
    }
}
