//! Quantities as a reader of answers and papers sees them: metric or inch.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::Brief;
use crate::brief::customary::{fahrenheit, in_customary_units, mils};
use crate::error::{Error, unknown};
use crate::fastener::Thread;

/// The units in which papers are written. Data fields stay metric; only the words change.
///
/// ```
/// use overcoat::papers::Units;
/// assert_eq!(Units::Metric.temperature(140.6, 146.1), "141 to 146 °C");
/// assert_eq!(Units::Inch.temperature(140.6, 146.1), "285 to 295 °F");
/// assert_eq!("inch".parse::<Units>()?, Units::Inch);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// °C, µm, mm.
    #[default]
    Metric,
    /// °F, mil (0.001 inch), inch.
    Inch,
}

impl Units {
    /// Both.
    pub const ALL: &[Self] = &[Self::Metric, Self::Inch];

    /// The word users read and write.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Inch => "inch",
        }
    }

    /// A range of temperatures given in °C, rounded to whole degrees: °F = 1.8 · °C + 32.
    ///
    /// ```
    /// use overcoat::papers::Units;
    /// assert_eq!(Units::Inch.temperature(180.0, 180.0), "356 °F");
    /// ```
    pub fn temperature(self, low_c: f64, high_c: f64) -> String {
        let (unit, of): (_, fn(f64) -> f64) = match self {
            Self::Metric => ("°C", |c| c),
            Self::Inch => ("°F", fahrenheit),
        };
        between(&number(of(low_c), 0), &number(of(high_c), 0), unit)
    }

    /// A range of an oven given in °C: in °F rounded inward to 5 °F, since a chart is accepted or rejected by it.
    pub(crate) fn oven(self, low_c: f64, high_c: f64) -> String {
        let (low, high) = ((1.8 * low_c + 32.0) / 5.0, (1.8 * high_c + 32.0) / 5.0);
        if self == Self::Metric || low.ceil() >= high.floor() {
            return self.temperature(low_c, high_c);
        }
        between(&number(5.0 * low.ceil(), 0), &number(5.0 * high.floor(), 0), "°F")
    }

    /// The highest temperature of an oven given in °C: in °F rounded down to 5 °F, as the range of the chart is.
    pub(crate) fn oven_limit(self, high_c: f64) -> String {
        match self {
            Self::Metric => self.temperature(high_c, high_c),
            Self::Inch => format!("{} °F", number(5.0 * ((1.8 * high_c + 32.0) / 5.0).floor(), 0)),
        }
    }

    /// A range of film thickness given in µm: 1 mil = 25.4 µm.
    ///
    /// ```
    /// use overcoat::papers::Units;
    /// assert_eq!(Units::Metric.thickness(0.5, 2.0), "0.5 to 2 µm");
    /// assert_eq!(Units::Inch.thickness(60.0, 100.0), "2.36 to 3.94 mil");
    /// ```
    pub fn thickness(self, low_um: f64, high_um: f64) -> String {
        match self {
            Self::Metric => between(&number(low_um, 1), &number(high_um, 1), "µm"),
            Self::Inch => between(&number(mils(low_um), 2), &number(mils(high_um), 2), "mil"),
        }
    }

    /// A length of the inch trade, given in mm: a fraction where it is one in eighths of an inch.
    pub(crate) fn trade_length(length_mm: f64) -> Option<String> {
        let eighths = (8.0 * length_mm / INCH_MM).round();
        let off_mm = (eighths * INCH_MM / 8.0 - length_mm).abs();
        (eighths >= 1.0 && off_mm < TRADE_LENGTH_OFF_MM).then(|| eighths_in_words(eighths))
    }

    /// The usual lengths below and above a length, in eighths of an inch, the longer last.
    pub(crate) fn trade_lengths_around(length_mm: f64) -> (String, String) {
        let eighths = (8.0 * length_mm / INCH_MM).floor();
        (eighths_in_words(eighths.max(1.0)), eighths_in_words(eighths.max(1.0) + 1.0))
    }

    /// The units of a brief: inch where its thread is an inch thread.
    ///
    /// ```
    /// use overcoat::{brief::Brief, papers::Units};
    /// let brief = |thread| Brief::from_json(&format!(r#"{{"schema": "overcoat.brief.v1", "name": "screws",
    ///     "part": {{"form": "socket_cap_screw", "thread": "{thread}"}}, "duty": {{"required_years": 5}}}}"#));
    /// assert_eq!(Units::of(&brief("1/4-20 UNC")?), Units::Inch);
    /// assert_eq!(Units::of(&brief("M8")?), Units::Metric);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn of(brief: &Brief) -> Self {
        match brief.part.thread_size() {
            Ok(Some(Thread::Inch(_))) => Self::Inch,
            _ => Self::Metric,
        }
    }

    /// A sentence with its quantities in these units.
    pub(crate) fn sentence(self, text: &str) -> String {
        match self {
            Self::Metric => text.to_owned(),
            Self::Inch => in_customary_units(text),
        }
    }

    /// A length given in mm: 1 inch = 25.4 mm.
    ///
    /// ```
    /// use overcoat::papers::Units;
    /// assert_eq!(Units::Metric.length(25.0), "25 mm");
    /// assert_eq!(Units::Inch.length(25.4), "1 in");
    /// ```
    pub fn length(self, length_mm: f64) -> String {
        match self {
            Self::Metric => format!("{} mm", number(length_mm, 2)),
            Self::Inch => format!("{} in", number(length_mm / 25.4, 3)),
        }
    }
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FromStr for Units {
    type Err = Error;

    fn from_str(word: &str) -> Result<Self> {
        Self::ALL.iter().copied().find(|units| units.word() == word.trim()).ok_or_else(|| {
            unknown("units", word, Self::ALL.iter().map(|units| units.word()), "Name one of the two.")
        })
    }
}

/// Millimeters in an inch, exact.
const INCH_MM: f64 = 25.4;
/// How far a length in whole mm lies from the length in eighths of an inch that it is of, mm (assumption).
const TRADE_LENGTH_OFF_MM: f64 = 0.15;

/// A number of eighths of an inch as drawings have it: `1 1/2 in`.
fn eighths_in_words(eighths: f64) -> String {
    let (whole, rest) = ((eighths / 8.0).floor(), eighths % 8.0);
    let mut fraction = (rest, 8.0);
    while fraction.0 > 0.0 && fraction.0 % 2.0 == 0.0 {
        fraction = (fraction.0 / 2.0, fraction.1 / 2.0);
    }
    match (whole > 0.0, rest > 0.0) {
        (true, false) => format!("{whole:.0} in"),
        (true, true) => format!("{whole:.0} {:.0}/{:.0} in", fraction.0, fraction.1),
        (false, _) => format!("{:.0}/{:.0} in", fraction.0, fraction.1),
    }
}

fn between(low: &str, high: &str, unit: &str) -> String {
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// Minutes in words, hours from two hours on, seconds below a minute.
pub(crate) fn time(low_minutes: f64, high_minutes: f64) -> String {
    let (low, high, unit) = if low_minutes >= 120.0 {
        (low_minutes / 60.0, high_minutes / 60.0, "h")
    } else if high_minutes < 1.0 {
        (low_minutes * 60.0, high_minutes * 60.0, "s")
    } else {
        (low_minutes, high_minutes, "min")
    };
    between(&number(low, 1), &number(high, 1), unit)
}

/// A number with at most so many decimals and no idle zeros.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Digits with a comma before each third from the right.
pub(crate) fn thousands(digits: &str) -> String {
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// A count of pieces, with its noun.
pub(crate) fn pieces(count: u64) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{} pieces", thousands(&count.to_string())) }
}

/// Units that stand behind a number.
const BEHIND_A_NUMBER: [&str; 28] = [
    "%", "°C", "°F", "µm", "mil", "mm", "in", "h", "min", "s", "HV", "N·m", "kN", "V", "g", "dm²", "pieces",
    "lbf·in", "lbf·ft", "lbf", "ksi", "MPa", "HRC", "km", "kg", "years", "months", "days",
];

/// The text with a space that does not break between a number and its unit, and inside the mark of a source.
pub(crate) fn held_together(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = "";
    for word in text.split(' ') {
        if !out.is_empty() {
            let unit = word.trim_end_matches(['.', ',', ';', ':', ')']);
            let number = before.ends_with(|c: char| c.is_ascii_digit()) && BEHIND_A_NUMBER.contains(&unit);
            let mark = before.starts_with('[') && before.ends_with(',');
            out.push(if number || mark { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_read_back() {
        for units in Units::ALL {
            assert_eq!(units.to_string().parse::<Units>().unwrap(), *units);
            assert_eq!(serde_json::to_string(units).unwrap(), format!("\"{units}\""));
        }
        assert_eq!("imperial".parse::<Units>().unwrap_err().kind(), "name");
    }

    #[test]
    fn a_dip_is_in_seconds_and_a_bake_in_hours() {
        assert_eq!(time(0.1, 0.3), "6 to 18 s");
        assert_eq!(time(0.5, 2.0), "0.5 to 2 min");
        assert_eq!(time(480.0, 480.0), "8 h");
    }

    #[test]
    fn counts_have_commas_and_their_noun() {
        assert_eq!(
            [1, 2, 999, 1500, 12_500_000].map(pieces),
            ["1 piece", "2 pieces", "999 pieces", "1,500 pieces", "12,500,000 pieces"]
        );
    }

    #[test]
    fn lengths_of_the_inch_trade_are_fractions() {
        let said = [9.5, 12.7, 25.4, 38.1, 38.0, 41.275, 101.6].map(|mm| Units::trade_length(mm).unwrap());
        assert_eq!(said, ["3/8 in", "1/2 in", "1 in", "1 1/2 in", "1 1/2 in", "1 5/8 in", "4 in"]);
        assert_eq!(Units::trade_length(40.0), None);
        assert_eq!(Units::trade_lengths_around(40.0), ("1 1/2 in".to_owned(), "1 5/8 in".to_owned()));
    }

    #[test]
    fn numbers_carry_no_idle_zeros() {
        assert_eq!(number(20.0, 1), "20");
        assert_eq!(number(200.0, 0), "200");
        assert_eq!(number(7.25, 1), "7.2");
    }
}
