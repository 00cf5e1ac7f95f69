//! Catalog numbers: each carries the key of its source, so none can stand alone.

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, within};

/// Key of a [`crate::Source`] in a catalog's `sources`.
pub type SourceKey = String;

/// Price beyond which an entry is taken for a mistake; it keeps sums finite, and JSON has no infinity.
pub(crate) const GREATEST_PRICE: f64 = 1e12;

/// One number with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// The number, in the unit that ends the field's name.
    pub value: f64,
    /// Key of its source.
    pub source: SourceKey,
}

/// A lognormal quantity: its median and the standard deviation of its natural logarithm.
///
/// A `log_sd` of 0.5 means that 80% of cases lie within a factor `exp(1.28 · 0.5) = 1.9` of the median.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Spread {
    /// The median, in the unit that ends the field's name.
    pub median: f64,
    /// Standard deviation of the natural logarithm.
    pub log_sd: f64,
    /// Key of the source of both.
    pub source: SourceKey,
}

/// A closed range with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Range {
    /// Lower end, in the unit that ends the field's name.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Key of the source of both.
    pub source: SourceKey,
}

impl Value {
    pub(crate) fn check(&self, field: &str, low: f64, high: f64, unit: &str) -> Result<()> {
        within(field, self.value, low, high, unit, "Correct the catalog entry.").map(|_| ())
    }
}

impl Spread {
    pub(crate) fn check(&self, field: &str, low: f64, high: f64, unit: &str) -> Result<()> {
        within(&format!("{field}.median"), self.median, low, high, unit, "Correct the catalog entry.")?;
        within(
            &format!("{field}.log_sd"),
            self.log_sd,
            0.0,
            3.0,
            "",
            "Enter the standard deviation of the natural logarithm.",
        )
        .map(|_| ())
    }
}

impl Range {
    pub(crate) fn check(&self, field: &str, low: f64, high: f64, unit: &str) -> Result<()> {
        within(&format!("{field}.low"), self.low, low, high, unit, "Correct the catalog entry.")?;
        within(&format!("{field}.high"), self.high, low, high, unit, "Correct the catalog entry.")?;
        if self.low > self.high {
            return Err(invalid(
                field,
                format!("{} to {}", self.low, self.high),
                "low at or below high",
                "Swap the ends of the range.",
            ));
        }
        Ok(())
    }

    /// Middle of the range.
    pub fn middle(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }
}
