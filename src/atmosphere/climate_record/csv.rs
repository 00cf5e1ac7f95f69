//! Climate records as comma-separated text.

use super::calendar::{Moment, month_of, parse_iso_8601};
use super::{ClimateRecord, MAX_ROWS, Readings, Result, STEP_RANGE_HOURS, too_many_rows};
use crate::error::table_error;
use crate::table::csv::{next_fields, parse_number, position};

const MILLISECONDS_PER_HOUR: f64 = 3_600_000.0;
const SEPARATORS: &str = "Save the file with commas between fields and a point as decimal mark.";

pub(super) fn read(text: &str) -> Result<ClimateRecord> {
    let mut rest = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = next_fields(&mut rest, 0)?.unwrap_or_default();
    let columns = Columns::find(&header)?;

    let mut readings = Readings::default();
    let mut moments: Vec<Moment> = Vec::new();
    let mut row = 0;
    while let Some(fields) = next_fields(&mut rest, row + 1)? {
        row += 1;
        let blank = fields.len() == 1 && fields.iter().all(|f| f.trim().is_empty());
        if blank && rest.trim().is_empty() {
            break;
        }
        if fields.len() != header.len() {
            return Err(table_error(
                "record",
                Some(row),
                format!("{} fields, the header has {}", fields.len(), header.len()),
                "Give every row one field per column; quote a field that holds a comma.",
            ));
        }
        let number = |column: &str, at: Option<usize>| match at.and_then(|at| fields.get(at)) {
            Some(text) => parse_number(column, row, text),
            None => Ok(f64::NAN),
        };
        readings.push(
            number("temperature_c", Some(columns.temperature))?,
            number("relative_humidity_pct", columns.humidity)?,
            number("dew_point_c", columns.dew_point)?,
        )?;
        if let Some(text) = columns.time.and_then(|at| fields.get(at)) {
            moments.push(parse_time(row, text, moments.last())?);
        }
    }
    if columns.time.is_none() {
        return ClimateRecord::without_times(readings);
    }
    readings.check()?;
    spread(&readings, &moments)
}

struct Columns {
    time: Option<usize>,
    temperature: usize,
    humidity: Option<usize>,
    dew_point: Option<usize>,
}

impl Columns {
    fn find(header: &[String]) -> Result<Self> {
        let position = |name: &str| position(header, name);
        let missing = |name: &str, what: &str| {
            let header = header.join(",");
            let shown: String = header.chars().take(120).collect();
            if header.contains([';', '\t']) {
                return table_error(name, None, "fields are separated by semicolons or tabs", SEPARATORS);
            }
            table_error(
                name,
                None,
                format!("the header row has no {what}: {shown:?}"),
                "Name the columns `temperature_c`, `relative_humidity_pct` or `dew_point_c`, and `time`.",
            )
        };
        let columns = Self {
            time: position("time")?,
            temperature: position("temperature_c")?
                .ok_or_else(|| missing("temperature_c", "column `temperature_c`"))?,
            humidity: position("relative_humidity_pct")?,
            dew_point: position("dew_point_c")?,
        };
        if columns.humidity.is_none() && columns.dew_point.is_none() {
            return Err(missing(
                "relative_humidity_pct",
                "column `relative_humidity_pct` and no `dew_point_c`",
            ));
        }
        Ok(columns)
    }
}

fn parse_time(row: usize, text: &str, previous: Option<&Moment>) -> Result<Moment> {
    let moment = parse_iso_8601(text).ok_or_else(|| {
        table_error(
            "time",
            Some(row),
            format!("{text:?} is not an ISO 8601 date and time"),
            "Write it as 2024-03-31T05:00Z; `Z` or an offset is optional.",
        )
    })?;
    let Some(previous) = previous else { return Ok(moment) };
    if moment.offset_minutes.is_some() != previous.offset_minutes.is_some() {
        return Err(table_error(
            "time",
            Some(row),
            "some times have an offset from UTC and some have none",
            "Write all times with `Z` or an offset, or none.",
        ));
    }
    if moment.milliseconds <= previous.milliseconds {
        let what = if moment.milliseconds == previous.milliseconds { "repeats" } else { "is before" };
        return Err(table_error(
            "time",
            Some(row),
            format!("{text:?} {what} the time of the row above"),
            "Sort by time and keep one row per time; local time repeats an hour in autumn, so use UTC.",
        ));
    }
    Ok(moment)
}

/// Puts the readings on a regular step, with gaps where rows are missing.
fn spread(readings: &Readings, moments: &[Moment]) -> Result<ClimateRecord> {
    let differences: Vec<i64> =
        moments.iter().zip(moments.iter().skip(1)).map(|(a, b)| b.milliseconds - a.milliseconds).collect();
    let step = commonest(&differences).unwrap_or(3_600_000);
    let step_hours = step as f64 / MILLISECONDS_PER_HOUR;
    let (low, high) = STEP_RANGE_HOURS;
    if !(low..=high).contains(&step_hours) {
        return Err(table_error(
            "time",
            None,
            format!("rows are mostly {step_hours} h apart; allowed: one minute to {high} h"),
            "Give hourly readings; daily or monthly means hide the wet nights.",
        ));
    }
    let mut rows = moments.len();
    for (i, &difference) in differences.iter().enumerate() {
        if 2 * difference < step {
            return Err(table_error(
                "time",
                Some(i + 2),
                format!("it follows the row above by less than half of the usual {step_hours} h"),
                "Resample to a regular step first, so that every row stands for the same time.",
            ));
        }
        rows = rows.saturating_add(missing_rows(difference, step));
        if rows > MAX_ROWS {
            return Err(too_many_rows());
        }
    }

    let month_at = |moment: &Moment, milliseconds: i64| {
        month_of(milliseconds + moment.offset_minutes.unwrap_or(0) * 60_000)
    };
    let months: Vec<u8> = moments.iter().map(|m| month_at(m, m.milliseconds)).collect();
    ClimateRecord::with_times(readings, step_hours, &months, |i| {
        let earlier = i.checked_sub(1);
        let (Some(from), Some(&difference)) =
            (earlier.and_then(|j| moments.get(j)), earlier.and_then(|j| differences.get(j)))
        else {
            return Vec::new();
        };
        (1_i64..)
            .take(missing_rows(difference, step))
            .map(|n| month_at(from, from.milliseconds + n * step))
            .collect()
    })
}

/// Rows missing between two that are `difference` apart. Counting from row to row, not from the start, keeps a
/// logger whose clock drifts from losing rows.
fn missing_rows(difference: i64, step: i64) -> usize {
    let steps = (difference + step / 2) / step;
    usize::try_from(steps - 1).unwrap_or(0)
}

/// The value that occurs most, the smallest of several.
fn commonest(values: &[i64]) -> Option<i64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable();
    let mut best: Option<(usize, i64)> = None;
    for run in sorted.chunk_by(|a, b| a == b) {
        if let Some(&value) = run.first()
            && best.is_none_or(|(count, _)| run.len() > count)
        {
            best = Some((run.len(), value));
        }
    }
    best.map(|(_, value)| value)
}
