use std::fmt::Write;

use proptest::prelude::*;

use super::*;

const NAN: f64 = f64::NAN;
const EPW_HEADER: &str = "LOCATION,Nowhere\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n";

fn runs(runs: &[(usize, f64, f64)]) -> (Vec<f64>, Vec<f64>) {
    runs.iter().flat_map(|&(hours, t, humidity)| std::iter::repeat_n((t, humidity), hours)).unzip()
}

/// Two days with every case of the criterion; the totals below were counted by hand.
fn two_days() -> ClimateRecord {
    let (t, humidity) = runs(&[
        (6, 2.0, 90.0),  // wet
        (3, 0.0, 95.0),  // exactly 0 °C is dry
        (9, 10.0, 60.0), // dry
        (2, 5.0, 80.0),  // exactly 80% is dry
        (4, 1.0, 81.0),  // wet
        (4, -3.0, 100.0),
        (6, 0.1, 80.1), // wet
        (8, 4.0, NAN),
        (1, NAN, 90.0),
        (1, 3.0, 102.0), // wet, counts as 100%
        (3, 3.0, 50.0),
        (1, 3.0, NAN),
    ]);
    ClimateRecord::from_arrays(&t, &humidity).unwrap()
}

#[test]
fn two_days_counted_by_hand() {
    let wetness = two_days().wetness().unwrap();
    assert_eq!(wetness.counted_wet_hours, 17.0);
    assert_eq!((wetness.valid_hours, wetness.expected_hours), (38.0, 48.0));
    assert_eq!((wetness.gaps, wetness.longest_gap_hours), (2, 9.0));
    assert!((wetness.hours_per_year - 17.0 / 38.0 * 8760.0).abs() < 1e-9);
    assert_eq!(wetness.wetness_class, WetnessClass::Tau4);
    assert!((wetness.mean_temperature_c - 116.6 / 38.0).abs() < 1e-12);
    assert!((wetness.mean_relative_humidity_pct - 2979.6 / 38.0).abs() < 1e-12);
    assert_eq!(
        wetness.findings,
        [
            RecordFinding::LowCoverage { coverage: 38.0 / 48.0 },
            RecordFinding::ShorterThanYear { hours: 48.0, months_covered: None },
            RecordFinding::AboveSaturation { rows: 1 },
        ]
    );
    for finding in &wetness.findings {
        assert!(finding.to_string().len() > 20);
    }
}

#[test]
fn a_complete_year_is_reported_as_counted() {
    let (t, humidity) = runs(&[(3050, 8.0, 93.0), (5710, 8.0, 40.0)]);
    let wetness = time_of_wetness(&t, &humidity).unwrap();
    assert_eq!(wetness.hours_per_year, 3050.0);
    assert_eq!(wetness.coverage, 1.0);
    assert!(wetness.findings.is_empty());
}

// Bounds 10, 250 and 2500 h/a printed for ISO 9223:1992; 5500 from memory.
#[test]
fn a_class_includes_its_upper_bound() {
    let class = |h| wetness_class(h).unwrap().to_string();
    assert_eq!([class(0.0), class(10.0), class(10.1)], ["tau1", "tau1", "tau2"]);
    assert_eq!([class(250.0), class(2500.0), class(5500.0), class(8760.0)], ["tau2", "tau3", "tau4", "tau5"]);
}

// Independent: saturation pressures of water from steam tables, kPa: 10 °C 1.2282, 15 °C 1.7058, 20 °C 2.3393,
// 25 °C 3.1699, 30 °C 4.2470 (from memory).
#[test]
fn humidity_from_the_dew_point_matches_steam_tables() {
    for (t, dew_point, ratio) in
        [(20.0, 10.0, 1.2282 / 2.3393), (25.0, 15.0, 1.7058 / 3.1699), (30.0, 20.0, 2.3393 / 4.2470)]
    {
        let record = ClimateRecord::from_dew_point(&[t], &[dew_point]).unwrap();
        assert!((record.relative_humidity_pct()[0] - 100.0 * ratio).abs() < 0.1);
    }
}

#[test]
fn dew_points_above_the_air_temperature_are_rounding_or_refused() {
    let record = ClimateRecord::from_dew_point(&[10.0, 10.0], &[10.4, 10.0]).unwrap();
    assert_eq!(record.relative_humidity_pct(), [100.0, 100.0]);
    assert!(record.wetness().unwrap().findings.contains(&RecordFinding::AboveSaturation { rows: 1 }));
    let error = ClimateRecord::from_dew_point(&[10.0, 10.0], &[9.0, 12.0]).unwrap_err();
    assert_eq!((error.kind(), error.field()), ("table", "dew_point_c"));
    assert!(error.to_string().contains("row 2"), "{error}");
    // half a degree is rounding; the formula is given from -45 °C on
    assert_eq!(ClimateRecord::from_dew_point(&[10.0], &[10.5]).unwrap().relative_humidity_pct(), [100.0]);
    let edge = ClimateRecord::from_dew_point(&[-40.0], &[-45.0]).unwrap().wetness().unwrap();
    assert!(!edge.findings.contains(&RecordFinding::DewPointExtrapolated { rows: 1 }));
    let cold = ClimateRecord::from_dew_point(&[-50.0, 5.0], &[-55.0, 4.0]).unwrap().wetness().unwrap();
    assert!(cold.findings.contains(&RecordFinding::DewPointExtrapolated { rows: 1 }));
}

#[test]
fn impossible_readings_name_their_row_and_the_likely_unit() {
    let refusal =
        |t: &[f64], humidity: &[f64]| ClimateRecord::from_arrays(t, humidity).unwrap_err().to_string();
    assert!(refusal(&[20.0, 75.0], &[50.0, 50.0]).contains("row 2"));
    assert!(refusal(&[20.0, 75.0], &[50.0, 50.0]).contains("°F"));
    assert!(refusal(&[-999.0], &[50.0]).contains("-999"));
    assert!(refusal(&[20.0, 20.0, 20.0], &[50.0, 50.0, 105.5]).contains("row 3"));
    assert!(refusal(&[20.0], &[-1.0]).contains("row 1"));
    assert!(refusal(&[20.0], &[f64::INFINITY]).contains("row 1"));
    assert!(refusal(&[f64::NEG_INFINITY], &[50.0]).contains("row 1"));
    assert!(refusal(&[20.0, 21.0], &[0.83, 0.91]).contains("fraction"));
    assert!(refusal(&[], &[]).contains("empty"));
    assert!(refusal(&[1.0], &[]).contains("0 rows"));
}

#[test]
fn a_record_without_one_valid_hour_is_refused() {
    let record = ClimateRecord::from_arrays(&[NAN, 5.0], &[90.0, NAN]).unwrap();
    assert_eq!(record.wetness().unwrap_err().kind(), "table");
}

#[test]
fn a_step_is_minutes_to_a_few_hours() {
    for step in [0.0, -1.0, NAN, f64::INFINITY, 24.0] {
        assert!(two_days().with_step_hours(step).is_err());
    }
    let wetness = two_days().with_step_hours(3.0).unwrap().wetness().unwrap();
    assert_eq!((wetness.counted_wet_hours, wetness.longest_gap_hours), (51.0, 27.0));
    assert_eq!((wetness.valid_hours, wetness.expected_hours), (114.0, 144.0));
    assert_eq!(wetness.hours_per_year, two_days().wetness().unwrap().hours_per_year);
}

#[test]
fn csv_forgives_quotes_line_ends_order_and_other_columns() {
    let text = "\u{feff}note,\"relative_humidity_pct\",temperature_c\r\n\
                \"a, \"\"b\"\" c\",\"90\",5.0\r\n\
                ,,5\r\n\
                x,NaN,6\r\n\
                x, 70 ,1e1\r\n\r\n";
    let record = ClimateRecord::from_csv(text).unwrap();
    assert_eq!(record.temperature_c(), [5.0, 5.0, 6.0, 10.0]);
    assert_eq!(record.wetness().unwrap().counted_wet_hours, 1.0);
    assert_eq!(record.wetness().unwrap().valid_hours, 2.0);
}

#[test]
fn csv_takes_the_dew_point_where_humidity_is_missing() {
    let text = "temperature_c,relative_humidity_pct,dew_point_c\n20,55,10\n20,,10\n20,,\n";
    let record = ClimateRecord::from_csv(text).unwrap();
    assert_eq!(record.relative_humidity_pct()[0], 55.0);
    assert!((record.relative_humidity_pct()[1] - 52.5).abs() < 0.1);
    assert!(record.relative_humidity_pct()[2].is_nan());
}

#[test]
fn csv_mistakes_are_named() {
    let h = "time,temperature_c,relative_humidity_pct\n";
    for (text, expected) in [
        ("", "temperature_c"),
        ("temperature_c,relative_humidity_pct\n", "empty"),
        ("temperature_c;relative_humidity_pct\n5;90\n", "semicolons"),
        ("temperature_c,humidity\n5,90\n", "relative_humidity_pct"),
        ("temperature_c,temperature_c,dew_point_c\n5,5,4\n", "twice"),
        ("temperature_c,dew_point_c\n5,4\n5\n", "row 2"),
        ("temperature_c,dew_point_c\n5,4\n\n5,4\n", "row 2"),
        ("temperature_c,dew_point_c\n\"5,1\",4\n", "decimal point"),
        ("temperature_c,dew_point_c\n5,\"4\n5,4\n", "never closed"),
        ("temperature_c,dew_point_c\n5,4\n5,\"4\n", "row 2"),
        (
            &format!("{h}2024-01-01T00:00,5,90\n2024-01-01T00:00,5,90\n"),
            "row 2: \"2024-01-01T00:00\" repeats",
        ),
        (
            &format!("{h}2024-01-01T01:00,5,90\n2024-01-01T00:00,5,90\n"),
            "row 2: \"2024-01-01T00:00\" is before",
        ),
        (&format!("{h}1.1.2024 00:00,5,90\n"), "ISO 8601"),
        (&format!("{h}2024-01-01T00:00,5,90\n2024-01-01T01:00Z,5,90\n"), "offset"),
        (&format!("{h}2024-01-01T00:00,5,90\n2024-01-02T00:00,5,90\n"), "24 h apart"),
        (&format!("{h}2024-01-01T00:00,5,90\n2924-01-01T00:00,5,90\n2924-01-01T01:00,5,90\n"), "steps"),
        (
            &format!(
                "{h}2024-01-01T00:00,5,90\n2024-01-01T01:00,5,90\n2024-01-01T01:10,5,90\n2024-01-01T02:10,5,90\n"
            ),
            "row 3",
        ),
    ] {
        let message = ClimateRecord::from_csv(text).unwrap_err().to_string();
        assert!(message.contains(expected), "{text:?}: {message}");
    }
}

#[test]
fn csv_times_reveal_missing_rows_and_their_months() {
    // January 2023 complete, February with its first 100 hours only, then the last hour of December.
    let mut text = String::from("time,temperature_c,relative_humidity_pct\n");
    for hour in 0..744 {
        writeln!(text, "2023-01-{:02}T{:02}:00Z,5,90", hour / 24 + 1, hour % 24).unwrap();
    }
    for hour in 0..100 {
        writeln!(text, "2023-02-{:02}T{:02}:00Z,5,60", hour / 24 + 1, hour % 24).unwrap();
    }
    text += "2023-12-31T23:00Z,5,60\n";
    let wetness = ClimateRecord::from_csv(&text).unwrap().wetness().unwrap();
    assert_eq!((wetness.expected_hours, wetness.valid_hours), (8760.0, 845.0));
    assert_eq!((wetness.gaps, wetness.longest_gap_hours), (1, 8760.0 - 845.0));
    assert_eq!(
        wetness.findings,
        [
            RecordFinding::LowCoverage { coverage: 845.0 / 8760.0 },
            RecordFinding::SparseMonths { months: (2..=12).collect() },
        ]
    );
}

/// A record of 5 000 000 steps is read, one of a step more is not, however it comes by its length.
#[test]
fn a_record_has_a_longest_length() {
    let long = |rows: usize| Readings {
        temperature_c: vec![0.0; rows],
        relative_humidity_pct: vec![0.0; rows],
        ..Readings::default()
    };
    assert!(long(4_999_999).push(5.0, 70.0, NAN).is_ok());
    assert!(long(5_000_000).push(5.0, 70.0, NAN).unwrap_err().to_string().contains("5000000 steps"));
    // the first two rows are an hour apart; 4 999 999 h after the first is 2594-05-25T07:00
    for (end, fits) in [("2594-05-25T07:00", true), ("2594-05-25T08:00", false)] {
        let text = format!(
            "time,temperature_c,dew_point_c\n2024-01-01T00:00,5,4\n2024-01-01T01:00,5,4\n{end},5,4\n"
        );
        assert_eq!(ClimateRecord::from_csv(&text).is_ok(), fits, "{end}");
    }
    // 570 years of 8760 h leave 6800 h: 283 days and 8 h, to 11 October, hour 8
    for (hour, fits) in [(8, true), (9, false)] {
        let mut rows = EPW_HEADER.to_owned();
        for _ in 0..570 {
            rows += "2001,1,1,1,60,?,5,4,90\n2001,12,31,24,60,?,5,4,90\n";
        }
        write!(rows, "2001,1,1,1,60,?,5,4,90\n2001,10,11,{hour},60,?,5,4,90\n").unwrap();
        let read = ClimateRecord::from_epw(&rows);
        assert_eq!(read.is_ok(), fits, "{hour}");
        assert!(!fits || read.unwrap().temperature_c().len() == 5_000_000);
    }
}

#[test]
fn a_share_of_nine_tenths_is_enough() {
    let coverage = |valid: usize| {
        let (t, humidity) = runs(&[(valid, 5.0, 70.0), (10 - valid, 5.0, NAN)]);
        let found = time_of_wetness(&t, &humidity).unwrap().findings;
        found.iter().any(|finding| matches!(finding, RecordFinding::LowCoverage { .. }))
    };
    assert!(!coverage(9) && coverage(8));
}

/// Months are those of the local time, also of steps that are missing; a reading without its humidity is not valid.
#[test]
fn every_step_of_a_record_with_times_has_its_month() {
    let months = |rows: &str| {
        let text = format!("time,temperature_c,relative_humidity_pct\n{rows}");
        ClimateRecord::from_csv(&text).unwrap().month().unwrap().to_vec()
    };
    assert_eq!(
        months(
            "2023-01-31T21:00,5,70\n2023-01-31T22:00,5,70\n2023-02-01T01:00,5,70\n2023-02-01T02:00,5,70\n"
        ),
        [1, 1, 1, 2, 2, 2]
    );
    assert_eq!(months("2023-11-01T00:00+05:30,5,70\n2023-11-01T01:00+05:30,5,70\n"), [11, 11]);
    assert_eq!(months("2023-10-31T22:00-05:30,5,70\n2023-10-31T23:00-05:30,5,70\n"), [10, 10]);
    assert_eq!(two_days().month(), None);
    let mut text = String::from("time,temperature_c,relative_humidity_pct\n");
    for hour in 0..744 {
        let humidity = if hour < 400 { "" } else { "70" };
        writeln!(text, "2023-01-{:02}T{:02}:00,5,{humidity}", hour / 24 + 1, hour % 24).unwrap();
    }
    let found = ClimateRecord::from_csv(&text).unwrap().wetness().unwrap().findings;
    assert!(found.contains(&RecordFinding::SparseMonths { months: vec![1] }), "{found:?}");
}

/// Rows may come up to half a step early; what lies nearer to two steps than to one leaves a gap of one.
#[test]
fn csv_steps_are_rounded() {
    let steps = |minutes: u32| {
        let text = format!(
            "time,temperature_c,relative_humidity_pct\n2023-01-01T00:00,5,70\n2023-01-01T01:00,5,70\n\
             2023-01-01T02:00,5,70\n2023-01-01T{:02}:{:02},5,70\n",
            2 + minutes / 60,
            minutes % 60
        );
        ClimateRecord::from_csv(&text).map(|record| record.temperature_c().len())
    };
    for (minutes, rows) in [(30, 4), (40, 4), (80, 4), (89, 4), (91, 5), (110, 5), (149, 5), (151, 6)] {
        assert_eq!(steps(minutes).unwrap(), rows, "{minutes} min");
    }
    assert!(steps(29).unwrap_err().to_string().contains("row 4: it follows"));
}

#[test]
fn csv_says_how_many_months_a_short_record_covers() {
    let mut text = String::from("time,temperature_c,dew_point_c\n");
    for hour in 0..30 * 48 {
        // Half-hourly, November 2023 in local time of UTC+5:30.
        writeln!(
            text,
            "2023-11-{:02}T{:02}:{:02}:00+05:30,5,4",
            hour / 48 + 1,
            hour / 2 % 24,
            30 * (hour % 2)
        )
        .unwrap();
    }
    let record = ClimateRecord::from_csv(&text).unwrap();
    assert_eq!(record.step_hours(), 0.5);
    assert_eq!(
        record.wetness().unwrap().findings,
        [RecordFinding::ShorterThanYear { hours: 720.0, months_covered: Some(1) }]
    );
}

#[test]
fn a_month_is_covered_from_three_quarters_of_its_hours_on() {
    // 504 h are three quarters of February; January is whole
    for (february, covered) in [(503, 1), (504, 2)] {
        let mut text = String::from("time,temperature_c,relative_humidity_pct\n");
        for hour in 0..744 + february {
            let (month, hour) = if hour < 744 { (1, hour) } else { (2, hour - 744) };
            writeln!(text, "2023-{month:02}-{:02}T{:02}:00Z,5,70", hour / 24 + 1, hour % 24).unwrap();
        }
        let hours = f64::from(744 + february);
        assert_eq!(
            ClimateRecord::from_csv(&text).unwrap().wetness().unwrap().findings,
            [RecordFinding::ShorterThanYear { hours, months_covered: Some(covered) }]
        );
    }
}

#[test]
fn csv_follows_a_drifting_clock() {
    // A logger that mostly keeps the hour and now and then loses a second.
    let mut text = String::from("time,temperature_c,relative_humidity_pct\n");
    let mut seconds = 0;
    for row in 0..200 {
        writeln!(
            text,
            "2024-01-{:02}T{:02}:{:02}:{:02},5,90",
            seconds / 86_400 + 1,
            seconds / 3600 % 24,
            seconds / 60 % 60,
            seconds % 60
        )
        .unwrap();
        seconds += 3600 + i32::from(row % 3 == 0);
    }
    let wetness = ClimateRecord::from_csv(&text).unwrap().wetness().unwrap();
    assert_eq!((wetness.expected_hours, wetness.gaps), (200.0, 0));
}

fn epw(rows: &[&str]) -> Result<ClimateRecord> {
    ClimateRecord::from_epw(&format!("{EPW_HEADER}{}\n", rows.join("\r\n")))
}

#[test]
fn epw_reads_missing_marks_and_typical_years() {
    let record = epw(&[
        "1995,1,31,23,60,?,5.0,4.5,91,100100",
        "1995,1,31,24,60,?,5.0,5.0,999,100100", // humidity from the dew point: 100%
        "1983,2,1,1,60,?,99.9,99.9,999,100100", // gap; an earlier year in a typical year is fine
        "1983,2,1,2,60,?,5.0,99.9,999,100100",  // gap
        "1983,2,1,5,60,?,5.0,1.0,70,100100",    // hours 3 and 4 are missing
    ])
    .unwrap();
    let wetness = record.wetness().unwrap();
    assert_eq!((wetness.expected_hours, wetness.valid_hours, wetness.counted_wet_hours), (7.0, 3.0, 2.0));
    assert_eq!((wetness.gaps, wetness.longest_gap_hours), (1, 4.0));
}

#[test]
fn epw_gaps_lie_where_the_hours_are_missing() {
    let row = |time: &str, t: u32| format!("{time},60,?,{t},1,70");
    let rows = [row("2001,1,1,1", 4), row("2001,1,1,2", 5), row("2001,1,1,5", 6), row("2001,1,1,6", 7)];
    let record = epw(&rows.each_ref().map(String::as_str)).unwrap();
    let t = record.temperature_c();
    assert_eq!([t[0], t[1], t[4], t[5]], [4.0, 5.0, 6.0, 7.0]);
    assert!(t[2].is_nan() && t[3].is_nan() && t.len() == 6);
    assert_eq!(record.month().unwrap(), [1; 6]);
}

/// A file that has a leap day has one in each of its leap years.
#[test]
fn epw_a_leap_day_left_out_is_a_gap_where_others_are_there() {
    let february = |year: u32| [format!("{year},2,28,24,60,?,5,4,90"), format!("{year},3,1,1,60,?,5,4,90")];
    let until = |year: u32| format!("{year},12,31,24,60,?,5,4,90");
    let hours = |year: u32| {
        let leap_day = "1996,2,29,24,60,?,5,4,90".to_owned();
        let rows =
            [vec![leap_day, until(1996), format!("{year},1,1,1,60,?,5,4,90")], february(year).to_vec()];
        let rows: Vec<String> = rows.concat();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        epw(&rows).unwrap().temperature_c().len()
    };
    // from 29 February, hour 24, on: 306 days to the end of 1996, then 59 days, the leap day, and one hour
    assert_eq!(hours(2000), 1 + 306 * 24 + 59 * 24 + 24 + 1);
    assert_eq!(hours(2001), 1 + 306 * 24 + 59 * 24 + 1);
}

#[test]
fn epw_leap_days_and_new_years_are_no_gaps() {
    for rows in [
        ["2001,2,28,24,60,?,5,4,90", "2001,2,29,1,60,?,5,4,90"],
        ["2001,2,28,24,60,?,5,4,90", "2001,3,1,1,60,?,5,4,90"],
        ["2000,2,28,24,60,?,5,4,90", "2000,3,1,1,60,?,5,4,90"], // a typical year without its leap day
        ["2000,2,28,24,60,?,5,4,90", "2000,2,29,1,60,?,5,4,90"],
        ["2001,2,29,24,60,?,5,4,90", "2001,3,1,1,60,?,5,4,90"],
        ["2001,12,31,24,0,?,5,4,90", "2002,1,1,1,0,?,5,4,90"],
    ] {
        assert_eq!(epw(&rows).unwrap().wetness().unwrap().expected_hours, 2.0, "{rows:?}");
    }
}

#[test]
fn epw_mistakes_are_named() {
    let row = "2001,1,1,1,60,?,5,4,90";
    for (rows, expected) in [
        (vec![row, row], "row 2"),
        (vec![row, "2001,1,1,0,60,?,5,4,90"], "row 2"),
        (vec![row, "2001,2,30,1,60,?,5,4,90"], "row 2"),
        (vec!["2001,3,1,1,60,?,5,4,90", "2001,2,1,1,60,?,5,4,90"], "precedes"),
        (vec![row, "2001,1,1,2,60,?,5"], "field 9"),
        (vec![row, "2001,1,1,2,60,?,x,4,90"], "field 7"),
        (vec!["2001,1,1,1,60,?,5,4,110"], "row 1"),
        (vec![], "empty"),
    ] {
        let message = epw(&rows).unwrap_err().to_string();
        assert!(message.contains(expected), "{rows:?}: {message}");
    }
    for (text, expected) in [
        (row.to_owned(), "LOCATION"),
        ("LOCATION\n1\n2\n".to_owned(), "DATA PERIODS"),
        (EPW_HEADER.replace("S,1,1,", "S,1,4,"), "rows per hour"),
    ] {
        let error = ClimateRecord::from_epw(&text).unwrap_err();
        assert_eq!(error.kind(), "document");
        assert!(error.to_string().contains(expected), "{error}");
    }
}

#[test]
fn wetness_survives_json() {
    let wetness = two_days().wetness().unwrap();
    let json = serde_json::to_string(&wetness).unwrap();
    assert!(json.contains("\"wetness_class\":\"tau4\"") && json.contains("\"kind\":\"low_coverage\""));
    assert_eq!(serde_json::from_str::<Wetness>(&json).unwrap(), wetness);
}

fn readings() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let gap_or = |low: f64, high: f64| prop_oneof![9 => low..high, 1 => Just(NAN)];
    prop::collection::vec((gap_or(-30.0, 45.0), gap_or(2.0, 104.0)), 1..200)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_order_of_rows_does_not_matter(
        (rows, shuffled) in readings().prop_flat_map(|rows| (Just(rows.clone()), Just(rows).prop_shuffle()))
    ) {
        let of = |rows: &[(f64, f64)]| {
            let (t, humidity): (Vec<f64>, Vec<f64>) = rows.iter().copied().unzip();
            time_of_wetness(&t, &humidity)
        };
        match (of(&rows), of(&shuffled)) {
            (Ok(a), Ok(b)) => {
                prop_assert_eq!(a.hours_per_year, b.hours_per_year);
                prop_assert_eq!(a.coverage, b.coverage);
                prop_assert!((a.mean_temperature_c - b.mean_temperature_c).abs() < 1e-9);
                prop_assert!((0.0..=HOURS_PER_YEAR).contains(&a.hours_per_year));
                prop_assert!(a.counted_wet_hours <= a.valid_hours && a.valid_hours <= a.expected_hours);
            }
            (Err(_), Err(_)) => {}
            (a, b) => prop_assert!(false, "{a:?} {b:?}"),
        }
    }

    #[test]
    fn times_and_arrays_agree(rows in readings()) {
        let mut text = String::from("time,temperature_c,relative_humidity_pct\n");
        for (i, (t, humidity)) in rows.iter().enumerate() {
            writeln!(text, "2024-01-{:02}T{:02}:00,{t},{humidity}", i / 24 + 1, i % 24).unwrap();
        }
        let (t, humidity): (Vec<f64>, Vec<f64>) = rows.into_iter().unzip();
        if let Ok(expected) = time_of_wetness(&t, &humidity) {
            let found = ClimateRecord::from_csv(&text).unwrap().wetness().unwrap();
            prop_assert_eq!(found.hours_per_year, expected.hours_per_year);
            prop_assert_eq!(found.gaps, expected.gaps);
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(text in "(time|temperature_c|dew_point_c|[-0-9,:;T\"\r\n.é]){0,40}") {
        let _ = ClimateRecord::from_csv(&text);
        let _ = ClimateRecord::from_epw(&text);
        let _ = ClimateRecord::from_epw(&format!("{EPW_HEADER}{text}"));
        let _ = ClimateRecord::from_csv(&format!("time,temperature_c,dew_point_c\n{text}"));
    }
}
