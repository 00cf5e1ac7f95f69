//! A lognormal quantity.

use super::{Z90, normal_cdf_of};

/// A lognormal quantity.
///
/// ```
/// use overcoat::records::Lognormal;
/// let years = Lognormal { ln_median: 5.0_f64.ln(), log_sd: 0.8 };
/// assert!((years.median() - 5.0).abs() < 1e-12);
/// assert!((years.probability_beyond(5.0) - 0.5).abs() < 1e-12);
/// assert!(years.quantile_90() > years.median() && years.median() > years.quantile_10());
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lognormal {
    /// Natural logarithm of the median.
    pub ln_median: f64,
    /// Standard deviation of the natural logarithm, 0 or more.
    pub log_sd: f64,
}

impl Lognormal {
    /// The value that half of the cases exceed.
    pub fn median(self) -> f64 {
        self.ln_median.exp()
    }

    /// The value that 90% of the cases exceed.
    pub fn quantile_10(self) -> f64 {
        (self.ln_median - Z90 * self.log_sd).exp()
    }

    /// The value that 10% of the cases exceed.
    pub fn quantile_90(self) -> f64 {
        (self.ln_median + Z90 * self.log_sd).exp()
    }

    /// Probability that the quantity exceeds `threshold` (> 0).
    pub fn probability_beyond(self, threshold: f64) -> f64 {
        let distance = self.ln_median - threshold.ln();
        if self.log_sd <= 0.0 {
            return if distance > 0.0 { 1.0 } else { 0.0 };
        }
        normal_cdf_of(distance / self.log_sd)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is certain exceeds all that is less than it and nothing else.
    #[test]
    fn without_spread_a_quantity_is_its_median() {
        let years = Lognormal { ln_median: 0.0, log_sd: 0.0 };
        assert_eq!([0.5, 1.0, 2.0].map(|threshold| years.probability_beyond(threshold)), [1.0, 0.0, 0.0]);
    }
}
