//! The two life distributions, both a location and a scale on the logarithm of the hours.

use serde::{Deserialize, Serialize};

use crate::error::words;
use crate::math::normal_quantile;

/// A distribution of hours `t` whose logarithm is `μ + σ z`.
///
/// | | `z` | median | hours at `z = 0` |
/// | --- | --- | --- | --- |
/// | lognormal | standard normal | `exp(μ)` | median |
/// | Weibull | smallest extreme value, `P(z) = 1 - exp(-exp(z))` | `exp(μ) · (ln 2)^σ` | characteristic life, shape `1/σ` |
///
/// ```
/// use overcoat::records::Distribution;
/// assert!(Distribution::Lognormal.standard_quantile(0.5).abs() < 1e-12);
/// assert!((Distribution::Weibull.standard_quantile(0.5) - 2.0_f64.ln().ln()).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Distribution {
    /// The logarithm is normal; what the catalog's spreads are.
    Lognormal,
    /// The weakest of many spots decides.
    Weibull,
}

/// `ln √(2π)`.
const LN_ROOT_TWO_PI: f64 = 0.918_938_533_204_672_7;

/// A logarithm with its first and second derivative by `z`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    pub(super) value: f64,
    pub(super) slope: f64,
    pub(super) bend: f64,
}

words! {
    Distribution, "distribution", "Name one of the two.";
    Lognormal = "lognormal",
    Weibull = "weibull",
}

impl Distribution {
    /// The `z` below which the share `probability` of all cases lies, for a probability between 0 and 1.
    pub fn standard_quantile(self, probability: f64) -> f64 {
        match self {
            Self::Lognormal => normal_quantile(probability),
            Self::Weibull => (-(-probability).ln_1p()).ln(),
        }
    }

    /// Standard deviation of `z`: 1, and `π/√6` of the smallest extreme value.
    pub fn standard_deviation(self) -> f64 {
        match self {
            Self::Lognormal => 1.0,
            Self::Weibull => std::f64::consts::PI / 6.0_f64.sqrt(),
        }
    }

    pub(super) fn ln_density(self, z: f64) -> Curve {
        match self {
            Self::Lognormal => Curve { value: -0.5 * z * z - LN_ROOT_TWO_PI, slope: -z, bend: -1.0 },
            Self::Weibull => {
                let e = z.exp();
                Curve { value: z - e, slope: 1.0 - e, bend: -e }
            }
        }
    }

    /// Logarithm of the probability to last beyond `z`.
    pub(super) fn ln_survival(self, z: f64) -> Curve {
        match self {
            Self::Lognormal => {
                let value = ln_normal_survival(z);
                let hazard = (self.ln_density(z).value - value).exp();
                Curve { value, slope: -hazard, bend: -hazard * (hazard - z) }
            }
            Self::Weibull => {
                let e = z.exp();
                Curve { value: -e, slope: -e, bend: -e }
            }
        }
    }

    /// Logarithm of the probability to fail before `z`.
    pub(super) fn ln_failure(self, z: f64) -> Curve {
        match self {
            Self::Lognormal => {
                let mirror = self.ln_survival(-z);
                Curve { slope: -mirror.slope, ..mirror }
            }
            Self::Weibull => {
                let e = z.exp();
                let slope = if e > 700.0 { 0.0 } else { e / e.exp_m1() };
                Curve { value: (-(-e).exp_m1()).ln(), slope, bend: slope * (1.0 - e - slope) }
            }
        }
    }

    /// Logarithm of the probability between `low` and `high`, kept exact in both tails.
    pub(super) fn ln_between(self, low: f64, high: f64) -> f64 {
        let difference = |near: f64, far: f64| near + (-(far - near).exp_m1()).ln();
        match self {
            Self::Weibull => {
                let e = low.exp();
                -e + (-(-e * (high - low).exp_m1()).exp_m1()).ln()
            }
            Self::Lognormal if low > 0.0 => difference(ln_normal_survival(low), ln_normal_survival(high)),
            Self::Lognormal if high < 0.0 => difference(ln_normal_survival(-high), ln_normal_survival(-low)),
            Self::Lognormal => (-(ln_normal_survival(high).exp() + ln_normal_survival(-low).exp())).ln_1p(),
        }
    }
}

/// Logarithm of the upper tail of the standard normal distribution; beyond the range of `erfc` by its asymptotic
/// series (Abramowitz & Stegun 1964, 26.2.12).
fn ln_normal_survival(z: f64) -> f64 {
    if z < -1.0 {
        return (-0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)).ln_1p();
    }
    if z < 36.0 {
        return (0.5 * libm::erfc(z * std::f64::consts::FRAC_1_SQRT_2)).ln();
    }
    let r = 1.0 / (z * z);
    -0.5 * z * z - LN_ROOT_TWO_PI - z.ln() + (-r * (1.0 - 3.0 * r * (1.0 - 5.0 * r))).ln_1p()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Independent: mpmath 1.3, `log(erfc(z/sqrt(2))/2)` with 40 digits.
    #[test]
    fn the_normal_tail_is_exact_where_erfc_ends() {
        for (z, expected) in [
            (-8.0, -6.220_960_574_271_785e-16),
            (0.0, -std::f64::consts::LN_2),
            (10.0, -53.231_285_150_512_47),
            (35.0, -616.975_101_261_922_5),
            (40.0, -804.608_442_013_753_8),
        ] {
            let value = ln_normal_survival(z);
            assert!((value / expected - 1.0_f64).abs() < 1e-12, "{z}: {value}");
        }
    }

    /// Independent: mpmath 1.3, `log((erfc(a/sqrt(2)) - erfc(b/sqrt(2)))/2)` with 30 digits; far out in either tail the
    /// difference of two probabilities near 1 would leave nothing.
    #[test]
    fn an_interval_keeps_its_figures_in_both_tails() {
        let normal = Distribution::Lognormal;
        for (low, high, expected) in [
            (10.0, 11.0, -53.231_310_225_583_12),
            (3.0, 4.0, -6.631_467_786_538_226),
            (0.5, 0.6, -3.373_064_226_942_796),
            (-1.0, 2.0, -0.200_166_294_324_462_6),
        ] {
            assert!((normal.ln_between(low, high) / expected - 1.0).abs() < 1e-12, "{low}");
            assert!((normal.ln_between(-high, -low) / expected - 1.0).abs() < 1e-12, "{low}");
        }
    }

    /// Beyond the range of the exponential all have failed: the probability is 1, and nothing moves it.
    #[test]
    fn far_beyond_the_end_all_have_failed() {
        let end = Distribution::Weibull.ln_failure(800.0);
        assert_eq!((end.value, end.slope), (0.0, 0.0));
    }

    #[test]
    fn both_have_their_word_and_their_spread() {
        for (distribution, word, spread) in [
            (Distribution::Lognormal, "lognormal", 1.0),
            (Distribution::Weibull, "weibull", 1.282_549_830_161_864),
        ] {
            assert_eq!((distribution.word(), distribution.to_string().as_str()), (word, word));
            assert_eq!(word.parse::<Distribution>().unwrap(), distribution);
            assert!((distribution.standard_deviation() - spread).abs() < 1e-14);
        }
    }

    proptest! {
        #[test]
        fn derivatives_match_differences(z in -6.0..3.0_f64, weibull in any::<bool>()) {
            let d = if weibull { Distribution::Weibull } else { Distribution::Lognormal };
            let h = 1e-5;
            for curve in [Distribution::ln_density, Distribution::ln_survival, Distribution::ln_failure] {
                let (low, here, high) = (curve(d, z - h), curve(d, z), curve(d, z + h));
                prop_assert!(((high.value - low.value) / (2.0 * h) - here.slope).abs() < 1e-6 * (1.0 + here.slope.abs()));
                prop_assert!(((high.slope - low.slope) / (2.0 * h) - here.bend).abs() < 1e-6 * (1.0 + here.bend.abs()));
            }
        }

        #[test]
        fn an_interval_is_the_difference_of_two_tails(low in -5.0..2.0_f64, width in 0.01..3.0_f64, weibull in any::<bool>()) {
            let d = if weibull { Distribution::Weibull } else { Distribution::Lognormal };
            let p = d.ln_survival(low).value.exp() - d.ln_survival(low + width).value.exp();
            prop_assert!((d.ln_between(low, low + width).exp() - p).abs() < 1e-14 + 1e-12 * p);
        }
    }
}
