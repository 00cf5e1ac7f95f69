//! Years in the words of a reader, and what lies beyond the evidence.

use super::Outlook;

const MONTHS: f64 = 12.0;
const DAYS: f64 = 365.25;

/// A time in the unit that a reader would use, with two significant digits.
struct Span {
    digits: String,
    unit: Unit,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Years,
    Months,
    Days,
}

impl Span {
    fn of(years: f64) -> Self {
        let (number, unit) = match years {
            y if y >= 0.995 => (y, Unit::Years),
            y if y * MONTHS >= 1.5 => (y * MONTHS, Unit::Months),
            y => ((y * DAYS).max(1.0), Unit::Days),
        };
        let digits = match unit {
            Unit::Years if number < 9.95 => format!("{number:.1}"),
            _ => format!("{number:.0}"),
        };
        let digits = digits.strip_suffix(".0").unwrap_or(&digits).to_owned();
        Self { digits, unit }
    }

    fn words(&self) -> String {
        let one = self.digits == "1";
        let unit = match (self.unit, one) {
            (Unit::Years, true) => "year",
            (Unit::Years, false) => "years",
            (Unit::Months, true) => "month",
            (Unit::Months, false) => "months",
            (Unit::Days, true) => return "1 day or less".to_owned(),
            (Unit::Days, false) => "days",
        };
        format!("{} {unit}", self.digits)
    }

    fn short(&self) -> String {
        let unit = match self.unit {
            Unit::Years => "yr",
            Unit::Months => "mo",
            Unit::Days => "d",
        };
        format!("{} {unit}", self.digits)
    }
}

/// Years as one would say them: "16 years", "5 months", "6 days".
///
/// ```
/// use overcoat::report::years;
/// assert_eq!([years(16.2), years(1.0), years(0.4)], ["16 years", "1 year", "5 months"]);
/// ```
pub fn years(years: f64) -> String {
    Span::of(years).words()
}

/// Years for a column of a table: "16 yr", "5 mo", "6 d".
pub fn years_short(years: f64) -> String {
    Span::of(years).short()
}

/// A factor of an outlook in the words of a reader: its hours and its life in place of the names in the model.
pub(crate) fn factor_in_words(factor: &str) -> String {
    factor.replace("capacity of", "salt-spray hours of").replace("field factor of", "field life of")
}

/// Said after years beyond any observed.
const BEYOND: &str = " (beyond the evidence)";

impl Outlook {
    fn more_than_the_horizon(&self) -> String {
        format!("more than {}", years(self.horizon_years))
    }

    /// Years of this outlook in words; at the horizon "more than 30 years (beyond the evidence)".
    pub fn in_words(&self, time: f64) -> String {
        if self.is_beyond_evidence(time) {
            return self.more_than_the_horizon() + BEYOND;
        }
        years(time)
    }

    /// The 10 and 90% points in words, their unit once where both have the same: "5 to 56 years".
    pub fn range_in_words(&self) -> String {
        let (low, high) = (self.p10_years, self.p90_years);
        if self.is_beyond_evidence(low) {
            return self.in_words(low);
        }
        let (from, to) = (Span::of(low), Span::of(high));
        if from.words() == self.in_words(high) {
            return from.words();
        }
        let from = if from.unit == to.unit && from.digits != "1" { from.digits } else { from.words() };
        format!("{from} to {}", self.in_words(high))
    }

    /// Median and 80% range in words; that they are beyond the evidence is said once.
    pub(crate) fn median_and_range_in_words(&self) -> String {
        let median = self.in_words(self.median_years);
        if self.is_beyond_evidence(self.p10_years) {
            return format!("median {median}");
        }
        let range = self.range_in_words();
        match median.strip_suffix(BEYOND) {
            Some(before) if range.ends_with(BEYOND) => format!("median {before}, 80% range {range}"),
            _ => format!("median {median}, 80% range {range}"),
        }
    }

    /// Years of this outlook for a column of a table: "16 yr", ">30 yr" at the horizon.
    #[cfg(any(test, feature = "report"))]
    pub(crate) fn short(&self, time: f64) -> String {
        let beyond = self.is_beyond_evidence(time);
        format!("{}{}", if beyond { ">" } else { "" }, years_short(time.min(self.horizon_years)))
    }

    /// The 10 and 90% points for a column of a table: "5–56 yr".
    #[cfg(any(test, feature = "report"))]
    pub(crate) fn range_short(&self) -> String {
        let (low, high) = (self.p10_years, self.p90_years);
        if self.is_beyond_evidence(low) {
            return self.short(low);
        }
        let (from, to) = (Span::of(low), Span::of(high));
        if from.unit == to.unit {
            return format!("{}–{}", from.digits, self.short(high));
        }
        format!("{} – {}", self.short(low), self.short(high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::{Firmness, Source};
    use crate::life::{Basis, LogCubic};

    /// The thresholds of the style guide: months from 1.5 months on, days from 1.5 days on, whole years from 10 on.
    #[test]
    fn a_time_is_said_in_the_unit_that_fits() {
        for (value, long, short) in [
            (0.001, "1 day or less", "1 d"),
            (0.0165, "6 days", "6 d"),
            (0.13, "2 months", "2 mo"),
            (0.99, "12 months", "12 mo"),
            (1.0, "1 year", "1 yr"),
            (1.53, "1.5 years", "1.5 yr"),
            (9.94, "9.9 years", "9.9 yr"),
            (9.96, "10 years", "10 yr"),
            (56.4, "56 years", "56 yr"),
        ] {
            assert_eq!((years(value).as_str(), years_short(value).as_str()), (long, short));
        }
    }

    #[test]
    fn a_range_has_its_unit_once_and_ends_at_the_horizon() {
        let outlook = |p10_years: f64, p90_years: f64| Outlook {
            median_years: 5.0,
            p10_years,
            p90_years,
            log_sd: 0.7,
            probability_ok: 0.5,
            never_fails: 0.0,
            horizon_years: 30.0,
            horizon_source: Source::assumption("a guess"),
            ln_years: LogCubic::default(),
            confidence: 0.5,
            variance_shares: Vec::new(),
            lost_layers: Vec::new(),
            basis: Basis::DoseAndAge,
            weakest: Firmness::Assumption,
        };
        for (low, high, long, short) in [
            (4.9, 26.0, "4.9 to 26 years", "4.9–26 yr"),
            (0.5, 3.0, "6 months to 3 years", "6 mo – 3 yr"),
            (20.0, 30.0, "20 to more than 30 years (beyond the evidence)", "20–>30 yr"),
            (30.0, 30.0, "more than 30 years (beyond the evidence)", ">30 yr"),
            (0.5, 30.0, "6 months to more than 30 years (beyond the evidence)", "6 mo – >30 yr"),
        ] {
            let found = outlook(low, high);
            assert_eq!((found.range_in_words().as_str(), found.range_short().as_str()), (long, short));
        }
    }
}
