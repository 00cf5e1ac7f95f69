//! A loss known only as "from ... to ...": its geometric middle and its spread.

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, within};
use crate::evidence::Source;

/// 90% point of the standard normal distribution.
const Z_90: f64 = 1.281_551_565_544_600_4;

/// How a range becomes a distribution.
pub(crate) const LOSS_RANGE_SOURCE: Source = Source::assumption(
    "the ends of a stated range of losses are the 10 and 90% points of a log-normal distribution; a range \
     that starts at nothing starts at a tenth of its upper end",
);

/// A range of first-year losses whose ends are taken as the 10 and 90% points of a log-normal distribution
/// (source: `LOSS_RANGE_SOURCE`).
///
/// ```
/// use overcoat::atmosphere::LossRange;
/// let c3_steel = LossRange::new(25.0, 50.0).unwrap();
/// assert!((c3_steel.median_um() - 35.36).abs() < 0.01);
/// assert!((c3_steel.log_sd() - 0.270).abs() < 0.001);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct LossRange {
    /// 10% point of the first-year loss (µm); more than 0.
    pub low_um: f64,
    /// 90% point of the first-year loss (µm); at least `low_um`.
    pub high_um: f64,
}

impl LossRange {
    /// A range from its ends.
    ///
    /// # Errors
    /// An end that is not finite and more than 0, or ends in the wrong order.
    ///
    /// ```
    /// use overcoat::atmosphere::LossRange;
    /// assert!(LossRange::new(50.0, 25.0).is_err());
    /// ```
    pub fn new(low_um: f64, high_um: f64) -> Result<Self> {
        let range = Self { low_um, high_um };
        range.checked()?;
        Ok(range)
    }

    /// Rejects what [`LossRange::new`] rejects; for ranges read from a document.
    ///
    /// # Errors
    /// Those of [`LossRange::new`].
    ///
    /// ```
    /// use overcoat::atmosphere::LossRange;
    /// assert!(LossRange { low_um: 0.0, high_um: 1.3 }.checked().is_err());
    /// ```
    pub fn checked(&self) -> Result<()> {
        within(
            "high_um",
            self.high_um,
            0.0,
            f64::INFINITY,
            "um",
            "Enter the upper end in µm in the first year.",
        )?;
        if !(self.low_um > 0.0 && self.low_um <= self.high_um) {
            return Err(invalid(
                "low_um",
                self.low_um,
                &format!("more than 0 to {} um", self.high_um),
                "Enter a lower end above 0 (a tenth of the upper end where nothing is known) and below the \
                 upper.",
            ));
        }
        Ok(())
    }

    /// Geometric middle (µm): √(low·high), the median of the distribution.
    ///
    /// ```
    /// use overcoat::atmosphere::LossRange;
    /// assert_eq!(LossRange { low_um: 2.0, high_um: 8.0 }.median_um(), 4.0);
    /// ```
    pub fn median_um(&self) -> f64 {
        (self.low_um * self.high_um).sqrt()
    }

    /// Standard deviation of the natural logarithm: ln(high/low)/(2·1.2816).
    ///
    /// ```
    /// use overcoat::atmosphere::LossRange;
    /// assert_eq!(LossRange { low_um: 4.0, high_um: 4.0 }.log_sd(), 0.0);
    /// ```
    pub fn log_sd(&self) -> f64 {
        (self.high_um / self.low_um).ln() / (2.0 * Z_90)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tenth_of_each_tail_lies_outside_the_ends() {
        // independent: the normal distribution function by erfc
        let range = LossRange::new(3.0, 20.0).unwrap();
        let z = (range.high_um / range.median_um()).ln() / range.log_sd();
        let above = 0.5 * libm::erfc(z / std::f64::consts::SQRT_2);
        assert!((above - 0.1).abs() < 1e-12);
    }

    #[test]
    fn ends_that_make_no_range_are_refused() {
        for (low, high) in [(0.0, 1.0), (-1.0, 1.0), (2.0, 1.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
            assert!(LossRange::new(low, high).is_err(), "{low} {high}");
        }
    }
}
