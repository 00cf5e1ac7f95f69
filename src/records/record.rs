//! One line of a test log: how long a panel was tested and what was seen.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::error::{Error, table_error, unknown};
use crate::table::csv::parse_number;
use crate::table::named::{NamedRows, yes_or_no};

/// What was seen on a panel or part.
///
/// ```
/// use overcoat::records::Outcome;
/// assert_eq!("intact".parse::<Outcome>()?, Outcome::Intact);
/// assert_eq!("intakt".parse::<Outcome>().unwrap_err().kind(), "name");
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// First red rust at the hours given.
    Failed,
    /// Still without rust when it was last inspected (right-censored).
    Intact,
    /// Without rust at one inspection, with rust at the next (interval-censored); from 0 h where rust was found
    /// at the first inspection (left-censored).
    Between,
}

impl Outcome {
    /// All of them.
    pub const ALL: &'static [Self] = &[Self::Failed, Self::Intact, Self::Between];

    /// The word users read and write.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Failed => "failed",
            Self::Intact => "intact",
            Self::Between => "between",
        }
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FromStr for Outcome {
    type Err = Error;

    fn from_str(word: &str) -> Result<Self> {
        let wanted = word.trim().to_lowercase();
        Self::ALL.iter().copied().find(|outcome| outcome.word() == wanted).ok_or_else(|| {
            unknown(
                "outcome",
                word,
                Self::ALL.iter().map(|outcome| outcome.word()),
                "Write what was seen on the panel.",
            )
        })
    }
}

/// One panel in a salt-spray log.
///
/// ```
/// use overcoat::records::{Outcome, Record};
/// let panel = Record::between(72.0, 96.0).in_lot("L7");
/// assert_eq!(panel.outcome, Outcome::Between);
/// assert_eq!(panel.until_hours, Some(96.0));
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Hours to first red rust; of an intact panel, hours tested; else the last inspection without rust.
    pub hours: f64,
    /// The inspection at which rust was found, of a panel that failed between two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_hours: Option<f64>,
    /// What was seen.
    pub outcome: Outcome,
    /// Catalog name of the film.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub film: Option<String>,
    /// Catalog name of the treatment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub treatment: Option<String>,
    /// Lot that the panel was finished in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// Cabinet, or run of a cabinet, that it was tested in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cabinet: Option<String>,
    /// How many panels the record counts for: 1, more for panels alike, less for an uncertain one.
    #[serde(default = "one")]
    pub weight: f64,
}

fn one() -> f64 {
    1.0
}

/// Longest time that a log is believed to mean, h: above 100 years the unit is wrong.
const MOST_HOURS: f64 = 1e6;

/// Most records that are fitted together: a fit goes through all of them some hundred times.
const MOST_RECORDS: usize = 100_000;

/// Most panels that one record can count for.
const MOST_PANELS: f64 = 1e6;

impl Record {
    fn of(hours: f64, until_hours: Option<f64>, outcome: Outcome) -> Self {
        Self {
            hours,
            until_hours,
            outcome,
            film: None,
            treatment: None,
            lot: None,
            cabinet: None,
            weight: 1.0,
        }
    }

    /// Rusted at `hours`.
    pub fn failed(hours: f64) -> Self {
        Self::of(hours, None, Outcome::Failed)
    }

    /// Still without rust at `hours`.
    pub fn intact(hours: f64) -> Self {
        Self::of(hours, None, Outcome::Intact)
    }

    /// Without rust at `hours`, with rust at `until_hours`.
    pub fn between(hours: f64, until_hours: f64) -> Self {
        Self::of(hours, Some(until_hours), Outcome::Between)
    }

    /// The same record with its lot.
    #[must_use]
    pub fn in_lot(mut self, lot: impl Into<String>) -> Self {
        self.lot = Some(lot.into());
        self
    }

    /// The same record with its cabinet.
    #[must_use]
    pub fn in_cabinet(mut self, cabinet: impl Into<String>) -> Self {
        self.cabinet = Some(cabinet.into());
        self
    }

    /// The same record counting for `weight` panels.
    #[must_use]
    pub fn weighing(mut self, weight: f64) -> Self {
        self.weight = weight;
        self
    }

    /// Checks one record; `row` counts from 1.
    ///
    /// # Errors
    /// Hours that are not finite, negative, or zero where rust or its absence was seen at them; an interval
    /// that is missing, upside down, or given for another outcome; a weight that is not above 0.
    pub fn check(&self, row: usize) -> Result<()> {
        let wrong =
            |column: &str, reason: String, remedy: &str| Err(table_error(column, Some(row), reason, remedy));
        let from_zero = self.outcome == Outcome::Between;
        if !(self.hours.is_finite() && (self.hours > 0.0 || from_zero && self.hours == 0.0)) {
            return wrong(
                "hours",
                format!("{} h, {}", self.hours, self.outcome),
                "Give hours above 0; rust at the first inspection is `between` 0 and the hours of that inspection.",
            );
        }
        if self.hours.max(self.until_hours.unwrap_or(0.0)) > MOST_HOURS {
            return wrong(
                "hours",
                format!("more than {MOST_HOURS} h"),
                "Check the unit: the log is in hours.",
            );
        }
        match (self.outcome, self.until_hours) {
            (Outcome::Between, Some(until)) if until.is_finite() && until > self.hours => {}
            (Outcome::Between, until) => {
                return wrong(
                    "until_hours",
                    until.map_or("missing".to_owned(), |u| format!("{u} h, not after {} h", self.hours)),
                    "Enter the inspection at which rust was found, after the last one without.",
                );
            }
            (_, None) => {}
            (outcome, Some(until)) => {
                return wrong(
                    "until_hours",
                    format!("{until} h given for an outcome of `{outcome}`"),
                    "Leave it empty, or write the outcome as `between`.",
                );
            }
        }
        if !(self.weight > 0.0 && self.weight <= MOST_PANELS) {
            return wrong(
                "weight",
                format!("{}", self.weight),
                "Enter a number above 0, up to a million: how many panels the row counts for.",
            );
        }
        Ok(())
    }
}

/// Checks all records; the error names the row, counted from 1.
///
/// # Errors
/// See [`Record::check`]; no record at all; more than 100 000, which a weight can stand for.
///
/// ```
/// use overcoat::records::{check_records, Record};
/// let error = check_records(&[Record::failed(48.0), Record::failed(-1.0)]).unwrap_err();
/// assert!(error.to_string().contains("row 2"));
/// ```
pub fn check_records(records: &[Record]) -> Result<()> {
    if records.is_empty() {
        return Err(table_error("hours", None, "no record", "Give at least one record."));
    }
    if records.len() > MOST_RECORDS {
        return Err(table_error(
            "hours",
            None,
            format!("more than {MOST_RECORDS} records"),
            "Count panels alike in one record, with their number as weight.",
        ));
    }
    records.iter().enumerate().try_for_each(|(i, record)| record.check(i + 1))
}

/// Records by column, each empty or as long as `hours`. A missing `until_hours` is NaN, a missing text empty.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct RecordColumns<'a> {
    /// Hours of each record.
    pub hours: &'a [f64],
    /// Whether rust was seen; with a number in `until_hours`, between the two.
    pub failed: &'a [bool],
    /// The inspection that found the rust.
    pub until_hours: &'a [f64],
    /// Film names.
    pub film: &'a [String],
    /// Treatment names.
    pub treatment: &'a [String],
    /// Lots.
    pub lot: &'a [String],
    /// Cabinets.
    pub cabinet: &'a [String],
    /// Weights; 1 where the column is left out.
    pub weight: &'a [f64],
}

/// Records from columns.
///
/// # Errors
/// Columns of unequal length; see [`Record::check`].
///
/// ```
/// use overcoat::records::{records_from_columns, Outcome, RecordColumns};
/// let records = records_from_columns(&RecordColumns {
///     hours: &[48.0, 96.0, 72.0],
///     failed: &[true, false, true],
///     until_hours: &[f64::NAN, f64::NAN, 96.0],
///     ..RecordColumns::default()
/// })?;
/// assert_eq!(records[1].outcome, Outcome::Intact);
/// assert_eq!(records[2].outcome, Outcome::Between);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn records_from_columns(columns: &RecordColumns) -> Result<Vec<Record>> {
    let rows = columns.hours.len();
    let lengths = [
        ("failed", columns.failed.len(), false),
        ("until_hours", columns.until_hours.len(), true),
        ("film", columns.film.len(), true),
        ("treatment", columns.treatment.len(), true),
        ("lot", columns.lot.len(), true),
        ("cabinet", columns.cabinet.len(), true),
        ("weight", columns.weight.len(), true),
    ];
    for (name, length, optional) in lengths {
        if length != rows && !(optional && length == 0) {
            return Err(table_error(
                name,
                None,
                format!("{length} rows, `hours` has {rows}"),
                "Give all columns the same length.",
            ));
        }
    }
    let text = |column: &[String], i: usize| column.get(i).filter(|t| !t.is_empty()).cloned();
    let mut records = Vec::with_capacity(rows);
    for (i, (&hours, &failed)) in columns.hours.iter().zip(columns.failed).enumerate() {
        let until_hours = columns.until_hours.get(i).copied().filter(|u| !u.is_nan());
        let outcome = match (failed, until_hours) {
            (true, Some(_)) => Outcome::Between,
            (true, None) => Outcome::Failed,
            (false, _) => Outcome::Intact,
        };
        records.push(Record {
            hours,
            until_hours,
            outcome,
            film: text(columns.film, i),
            treatment: text(columns.treatment, i),
            lot: text(columns.lot, i),
            cabinet: text(columns.cabinet, i),
            weight: columns.weight.get(i).copied().unwrap_or(1.0),
        });
    }
    check_records(&records)?;
    Ok(records)
}

const COLUMNS: [&str; 9] =
    ["hours", "outcome", "failed", "until_hours", "film", "treatment", "lot", "cabinet", "weight"];

/// Records from comma-separated text with a header.
///
/// Columns: `hours`; `outcome` (`failed`, `intact`, `between`) or `failed` (yes/no, true/false, 1/0); and, each
/// as wanted, `until_hours`, `film`, `treatment`, `lot`, `cabinet`, `weight`. Other columns are left alone, but
/// one that looks like a slip of the pen is rejected. Where `failed` stands, a row with `until_hours` failed
/// between the two.
///
/// # Errors
/// A missing, repeated or misspelt column, a row of another length, a field that cannot be read, and what
/// [`Record::check`] rejects; all but the first name the row, counted from 1 after the header.
///
/// ```
/// use overcoat::records::records_from_csv;
/// let records = records_from_csv("hours,failed,lot\n72,yes,A\n96,no,B\n")?;
/// assert_eq!(records[0].lot.as_deref(), Some("A"));
/// assert!(records_from_csv("hours,failed\n72,perhaps\n").unwrap_err().to_string().contains("row 1"));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn records_from_csv(text: &str) -> Result<Vec<Record>> {
    records_of(&NamedRows::from_csv(text, &COLUMNS)?)
}

/// Records from rows of text under a header, as [`records_from_csv`] reads them: a table of any other kind, written
/// out. An empty field is a gap.
///
/// # Errors
/// As [`records_from_csv`].
///
/// ```
/// use overcoat::records::{records_from_rows, Record};
/// let text = |fields: [&str; 2]| fields.map(str::to_owned).to_vec();
/// let records = records_from_rows(text(["hours", "failed"]), vec![text(["72", "true"])])?;
/// assert_eq!(records, [Record::failed(72.0)]);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn records_from_rows(header: Vec<String>, rows: Vec<Vec<String>>) -> Result<Vec<Record>> {
    records_of(&NamedRows::new(header, rows, &COLUMNS)?)
}

/// The remedy where a column is missing.
const NAME_THE_COLUMNS: &str = "Name the columns `hours` and `outcome` (or `failed`), and as wanted `until_hours`, \
     `film`, `treatment`, `lot`, `cabinet`, `weight`.";

fn records_of(table: &NamedRows) -> Result<Vec<Record>> {
    let at = |name: &str| table.column(name);
    let hours_at = at("hours")?;
    if hours_at.is_none() {
        return Err(table.missing("hours", NAME_THE_COLUMNS));
    }
    table.check_points(&["hours", "until_hours", "weight"])?;
    let seen = SeenColumns::of(table, "until_hours", NAME_THE_COLUMNS)?;
    let weight_at = at("weight")?;
    let names_at = [at("film")?, at("treatment")?, at("lot")?, at("cabinet")?];
    let mut records = Vec::with_capacity(table.len());
    for i in 0..table.len() {
        let row = i + 1;
        let hours = parse_number("hours", row, table.field(i, hours_at))?;
        let (outcome, until_hours) = seen.read(table, i)?;
        let weight = parse_number("weight", row, table.field(i, weight_at))?;
        let [film, treatment, lot, cabinet] = names_at.map(|at| {
            let text = table.field(i, at);
            (!text.is_empty()).then(|| text.to_owned())
        });
        let weight = if weight.is_nan() { 1.0 } else { weight };
        let record = Record { hours, until_hours, outcome, film, treatment, lot, cabinet, weight };
        record.check(row)?;
        records.push(record);
        if records.len() > MOST_RECORDS {
            break;
        }
    }
    check_records(&records)?;
    Ok(records)
}

/// The columns that say what was seen: `outcome`, or `failed` with the end of an interval.
pub(super) struct SeenColumns {
    outcome: Option<usize>,
    failed: Option<usize>,
    until: Option<usize>,
    until_name: &'static str,
}

impl SeenColumns {
    pub(super) fn of(table: &NamedRows, until_name: &'static str, remedy: &str) -> Result<Self> {
        let (outcome, failed) = (table.column("outcome")?, table.column("failed")?);
        match (outcome, failed) {
            (None, None) => Err(table.missing("outcome", remedy)),
            (Some(_), Some(_)) => {
                Err(table_error("failed", None, "the header has `outcome` too", "Keep one of the two."))
            }
            _ => Ok(Self { outcome, failed, until: table.column(until_name)?, until_name }),
        }
    }

    pub(super) fn read(&self, table: &NamedRows, i: usize) -> Result<(Outcome, Option<f64>)> {
        let row = i + 1;
        let until = parse_number(self.until_name, row, table.field(i, self.until))?;
        let until = (!until.is_nan()).then_some(until);
        if self.outcome.is_some() {
            let outcome = table.field(i, self.outcome).parse().map_err(|e: Error| {
                table_error("outcome", Some(row), e.to_string(), "Write failed, intact or between.")
            })?;
            return Ok((outcome, until));
        }
        let outcome = match (yes_or_no("failed", row, table.field(i, self.failed))?, until) {
            (true, Some(_)) => Outcome::Between,
            (true, None) => Outcome::Failed,
            (false, _) => Outcome::Intact,
        };
        Ok((outcome, until))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_refusal_names_the_row() {
        for (text, column) in [
            ("hours,outcome\n48,failed\n-2,failed\n", "hours"),
            ("hours,outcome\n48,failed\n,failed\n", "hours"),
            ("hours,outcome\n48,failed\n0,intact\n", "hours"),
            ("hours,outcome\n48,failed\n3e9,intact\n", "hours"),
            ("hours,outcome\n48,failed\n72,rusty\n", "outcome"),
            ("hours,outcome\n48,failed\n72,between\n", "until_hours"),
            ("hours,outcome,until_hours\n48,failed,\n72,between,72\n", "until_hours"),
            ("hours,outcome,until_hours\n48,failed,\n72,intact,96\n", "until_hours"),
            ("hours,outcome,weight\n48,failed,1\n72,intact,0\n", "weight"),
            ("hours,failed\n48,yes\n72,\n", "failed"),
            ("hours,failed\n48,yes\n72\n", "hours"),
        ] {
            let error = records_from_csv(text).unwrap_err();
            assert_eq!((error.kind(), error.field()), ("table", column), "{text}: {error}");
            assert!(error.to_string().contains("row 2"), "{text}: {error}");
        }
    }

    #[test]
    fn records_built_in_code_are_checked_by_row() {
        assert_eq!(check_records(&[]).unwrap_err().field(), "hours");
        let error =
            check_records(&[Record::failed(1.0), Record::failed(2.0), Record::failed(-3.0)]).unwrap_err();
        assert!(error.to_string().contains("row 3"), "{error}");
        // the most hours that a log may have, and one more
        assert!(Record::intact(1e6).check(1).is_ok() && Record::intact(1e6 + 1.0).check(1).is_err());
        let many = vec![Record::failed(1.0); 100_002];
        for (records, is_taken) in [(100_000, true), (100_001, false), (100_002, false)] {
            assert_eq!(check_records(&many[..records]).is_ok(), is_taken, "{records}");
        }
    }

    /// A log of more rows than are taken is refused, not cut short.
    #[test]
    fn a_log_too_long_is_refused_and_not_cut() {
        let text = |rows: usize| format!("hours,failed\n{}", "1,1\n".repeat(rows));
        assert_eq!(records_from_csv(&text(100_000)).unwrap().len(), 100_000);
        for rows in [100_001, 100_002] {
            assert!(
                records_from_csv(&text(rows)).unwrap_err().to_string().contains("more than 100000"),
                "{rows}"
            );
        }
    }

    #[test]
    fn outcomes_have_their_words() {
        for (outcome, word) in
            [(Outcome::Failed, "failed"), (Outcome::Intact, "intact"), (Outcome::Between, "between")]
        {
            assert_eq!(outcome.to_string(), word);
        }
        let record: Record = serde_json::from_str(r#"{"hours": 24, "outcome": "failed"}"#).unwrap();
        assert_eq!(record, Record::failed(24.0));
    }

    #[test]
    fn text_under_a_header_is_read_as_its_file() {
        let rows =
            vec![vec!["24".to_owned(), "failed".to_owned()], vec!["48".to_owned(), "intact".to_owned()]];
        let records = records_from_rows(vec!["hours".to_owned(), "outcome".to_owned()], rows).unwrap();
        assert_eq!(records, records_from_csv("hours,outcome\n24,failed\n48,intact\n").unwrap());
        assert_eq!(records.len(), 2);
        assert_eq!(records_from_csv("hours\n1\n").unwrap_err().field(), "outcome");
    }

    #[test]
    fn a_header_is_read_or_refused() {
        for text in [
            "",
            "hours\n1\n",
            "outcome\nfailed\n",
            "hours;failed\n1;1\n",
            "hours,failed,outcome\n1,1,failed\n",
        ] {
            assert!(records_from_csv(text).is_err(), "{text:?}");
        }
        let error = records_from_csv("hours,failed,until_hour\n1,1,2\n").unwrap_err();
        assert!(error.remedy().contains("until_hours"), "{error}");
        let records = records_from_csv("remarks,hours,failed\n\"a, b\",24,1\n\n").unwrap();
        assert_eq!(records, [Record::failed(24.0)]);
    }

    #[test]
    fn columns_and_text_give_the_same_records() {
        let text = "hours,failed,until_hours,lot\n24,1,,A\n48,1,72,B\n96,0,,\n";
        let lots = ["A", "B", ""].map(str::to_owned);
        let columns = RecordColumns {
            hours: &[24.0, 48.0, 96.0],
            failed: &[true, true, false],
            until_hours: &[f64::NAN, 72.0, f64::NAN],
            lot: &lots,
            ..RecordColumns::default()
        };
        assert_eq!(records_from_csv(text).unwrap(), records_from_columns(&columns).unwrap());
    }

    #[test]
    fn unequal_columns_are_refused() {
        let columns = RecordColumns { hours: &[24.0], failed: &[true, false], ..RecordColumns::default() };
        assert_eq!(records_from_columns(&columns).unwrap_err().field(), "failed");
        let lots = ["A", "B"].map(str::to_owned);
        let columns =
            RecordColumns { hours: &[24.0], failed: &[true], lot: &lots, ..RecordColumns::default() };
        assert_eq!(records_from_columns(&columns).unwrap_err().field(), "lot");
    }
}
