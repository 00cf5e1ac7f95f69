//! Climate records as EnergyPlus weather files.

use super::calendar::{days_in_month, is_leap};
use super::{ClimateRecord, MAX_ROWS, Readings, Result, table_error, too_many_rows};
use crate::error::InvalidDocument;

const HEADER_LINES: usize = 8;
const TEMPERATURE_MISSING_FROM: f64 = 99.9;
const HUMIDITY_MISSING_FROM: f64 = 999.0;

/// An hour of a year, as a row names it; ordered within the year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Slot {
    month: u8,
    day: u8,
    hour: u8,
}

impl Slot {
    fn next(self, leap: bool) -> Self {
        let Self { month, day, hour } = self;
        if hour < 24 {
            Self { month, day, hour: hour + 1 }
        } else if day < days_in_month(month, leap) {
            Self { month, day: day + 1, hour: 1 }
        } else {
            Self { month: month % 12 + 1, day: 1, hour: 1 }
        }
    }
}

pub(super) fn read(text: &str) -> Result<ClimateRecord> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    check_header(text)?;

    let mut readings = Readings::default();
    let mut hours: Vec<(i64, Slot)> = Vec::new();
    let rows = text.lines().skip(HEADER_LINES).filter(|line| !line.trim().is_empty());
    for (i, line) in rows.enumerate() {
        let row = i + 1;
        let fields: Vec<&str> = line.split(',').map(str::trim).take(9).collect();
        hours.push(parse_hour(row, &fields)?);
        let number = |column: &str, field: usize, missing_from: f64| -> Result<f64> {
            let value: f64 = parse(row, column, &fields, field)?;
            Ok(if value >= missing_from { f64::NAN } else { value })
        };
        readings.push(
            number("temperature_c", 7, TEMPERATURE_MISSING_FROM)?,
            number("relative_humidity_pct", 9, HUMIDITY_MISSING_FROM)?,
            number("dew_point_c", 8, TEMPERATURE_MISSING_FROM)?,
        )?;
    }
    readings.check()?;
    spread(&readings, &hours)
}

fn check_header(text: &str) -> Result<()> {
    let refuse = |field: &str, reason: String, remedy: &str| {
        Err(InvalidDocument {
            document: "EPW weather file".to_owned(),
            field: field.to_owned(),
            reason,
            nearest: None,
            remedy: remedy.to_owned(),
        }
        .into())
    };
    let mut lines = text.lines();
    if !lines.next().is_some_and(|line| line.trim_start().starts_with("LOCATION")) {
        return refuse(
            "LOCATION",
            "the first line does not begin with LOCATION".to_owned(),
            "Enter the EPW file with its eight header lines, or read the table as CSV.",
        );
    }
    let periods = lines.nth(HEADER_LINES - 2).unwrap_or_default();
    let mut fields = periods.split(',').map(str::trim);
    if fields.next() != Some("DATA PERIODS") {
        return refuse(
            "DATA PERIODS",
            "line 8 does not begin with DATA PERIODS".to_owned(),
            "Enter the EPW file with its eight header lines.",
        );
    }
    match fields.nth(1) {
        Some("1") => Ok(()),
        other => refuse(
            "DATA PERIODS",
            format!("{:?} rows per hour, only 1 is read", other.unwrap_or_default()),
            "Give an hourly file, or the rows as CSV with a `time` column.",
        ),
    }
}

/// Field `field`, counted from 1 like the file's description.
fn parse<T: std::str::FromStr>(row: usize, column: &str, fields: &[&str], field: usize) -> Result<T> {
    let text = fields.get(field.saturating_sub(1)).copied().unwrap_or_default();
    text.parse().map_err(|_| {
        table_error(
            column,
            Some(row),
            format!("field {field} is {text:?}, not a number as expected"),
            "Check that the file is a complete EPW file.",
        )
    })
}

fn parse_hour(row: usize, fields: &[&str]) -> Result<(i64, Slot)> {
    let year: i64 = parse(row, "year", fields, 1)?;
    let month: u8 = parse(row, "month", fields, 2)?;
    let day: u8 = parse(row, "day", fields, 3)?;
    let hour: u8 = parse(row, "hour", fields, 4)?;
    // Years are joined at will in typical years, so 29 February is accepted whatever the year.
    let valid = (1..=12).contains(&month)
        && (1..=days_in_month(month, true)).contains(&day)
        && (1..=24).contains(&hour);
    if !valid {
        return Err(table_error(
            "hour",
            Some(row),
            format!("month {month}, day {day}, hour {hour} is not an hour of the year"),
            "EPW counts months from 1 and hours from 1 to 24.",
        ));
    }
    Ok((year, Slot { month, day, hour }))
}

/// Puts a gap for every hour missing between rows, walking the calendar from row to row.
fn spread(readings: &Readings, hours: &[(i64, Slot)]) -> Result<ClimateRecord> {
    let leap_day = |hour: &Slot| (hour.month, hour.day) == (2, 29);
    let has_leap_day = hours.iter().any(|(_, hour)| leap_day(hour));
    let mut total = hours.len();
    let mut missing: Vec<(usize, Vec<u8>)> = Vec::new();
    for (i, ((year, from), (_, to))) in hours.iter().zip(hours.iter().skip(1)).enumerate() {
        let new_year = from.month == 12 && to.month == 1;
        if to <= from && !new_year {
            return Err(table_error(
                "hour",
                Some(i + 2),
                format!(
                    "month {}, day {}, hour {} repeats or precedes the row above",
                    to.month, to.day, to.hour
                ),
                "Sort the rows by time and keep one per hour.",
            ));
        }
        let leap = leap_day(from) || leap_day(to) || (has_leap_day && is_leap(*year));
        let mut skipped = Vec::new();
        let mut at = from.next(leap);
        while at != *to {
            skipped.push(at.month);
            at = at.next(leap);
        }
        if !skipped.is_empty() {
            total += skipped.len();
            missing.push((i + 1, skipped));
        }
        if total > MAX_ROWS {
            return Err(too_many_rows());
        }
    }
    let months: Vec<u8> = hours.iter().map(|(_, hour)| hour.month).collect();
    let mut missing = missing.into_iter().peekable();
    ClimateRecord::with_times(readings, 1.0, &months, |i| {
        missing.next_if(|(at, _)| *at == i).map(|(_, months)| months).unwrap_or_default()
    })
}
