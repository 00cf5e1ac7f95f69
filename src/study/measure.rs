//! What of an answer is compared.

use crate::Result;
use crate::error::by_word;
use crate::rank::RankedOption;

/// A number of a ranked build.
///
/// ```
/// use overcoat::study::Measure;
/// assert_eq!(Measure::of("cost_per_thousand")?, Measure::CostPerThousand);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Measure {
    /// Score, 0 to 1.
    #[default]
    Score,
    /// Probability of no failure within the required years.
    ProbabilityOk,
    /// Years that half of the cases exceed.
    MedianYears,
    /// Cost of a thousand pieces over the required years, in the catalog's currency; less is better.
    CostPerThousand,
}

impl Measure {
    /// All of them.
    pub const ALL: &'static [Self] =
        &[Self::Score, Self::ProbabilityOk, Self::MedianYears, Self::CostPerThousand];

    /// The word used in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Score => "score",
            Self::ProbabilityOk => "probability_ok",
            Self::MedianYears => "median_years",
            Self::CostPerThousand => "cost_per_thousand",
        }
    }

    /// The measure of a word.
    ///
    /// # Errors
    /// A word that is none.
    pub fn of(name: &str) -> Result<Self> {
        by_word("measure", name, Self::ALL, Self::name, "Name one of them.")
    }

    /// Its value for a ranked build.
    pub fn value(self, option: &RankedOption) -> f64 {
        match self {
            Self::Score => option.score.value,
            Self::ProbabilityOk => option.outlook.probability_ok,
            Self::MedianYears => option.outlook.median_years,
            Self::CostPerThousand => option.cost.per_thousand,
        }
    }

    /// How far the first value is better than the second: above 0 where it is, exactly 0 where the two agree to
    /// 12 figures, so that rounding makes no leader.
    pub(super) fn lead(self, first: f64, second: f64) -> f64 {
        if (first - second).abs() <= 1e-12 * first.abs().max(second.abs()) {
            return 0.0;
        }
        match self {
            Self::Score | Self::ProbabilityOk => first - second,
            // years and money run over decades: their ratio is what a search can follow
            Self::MedianYears => (first / second).ln(),
            Self::CostPerThousand => (second / first).ln(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_have_the_names_of_the_columns() {
        let names = ["score", "probability_ok", "median_years", "cost_per_thousand"];
        assert_eq!(Measure::ALL.iter().map(|measure| measure.name()).collect::<Vec<_>>(), names);
        for (measure, name) in Measure::ALL.iter().zip(names) {
            assert_eq!(Measure::of(name).unwrap(), *measure);
        }
        assert_eq!(Measure::of("points").unwrap_err().field(), "measure");
    }

    /// A score leads by its difference, years and money by the logarithm of their ratio, money the cheaper one;
    /// twelve figures alike are no lead.
    #[test]
    fn the_lead_is_a_difference_or_a_ratio() {
        assert_eq!(Measure::Score.lead(0.75, 0.5), 0.25);
        assert_eq!(Measure::ProbabilityOk.lead(0.5, 0.75), -0.25);
        assert!((Measure::MedianYears.lead(8.0, 2.0) - 4.0_f64.ln()).abs() < 1e-15);
        assert!((Measure::CostPerThousand.lead(8.0, 2.0) + 4.0_f64.ln()).abs() < 1e-15);
        for (first, second) in [(1.0, 1.0 + 1e-13), (1e6, 1e6 + 1e-7), (0.01, 0.01 + 1e-15)] {
            assert_eq!(Measure::Score.lead(first, second), 0.0);
            assert_eq!(Measure::CostPerThousand.lead(second, first), 0.0);
        }
        assert!(Measure::CostPerThousand.lead(1e6, 1e6 + 1e-5) > 0.0);
        assert!(Measure::Score.lead(0.01 + 1e-13, 0.01) > 0.0);
    }
}
