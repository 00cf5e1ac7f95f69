//! Lognormal quantities and their sums in closed form.
//!
//! A time to first rust is a product of uncertain factors, so its logarithm is normal and variances add. A
//! sum of such times (several films) is taken as lognormal too, with the mean and variance of the sum
//! (L. F. Fenton, IRE Trans. Commun. Syst. 8, 1960, 57-67).

use crate::source::Source;
use crate::sweep::kernel::normal_cdf_of;

/// Source of the closed form of a sum.
pub const MOMENT_MATCHING: Source = Source::paper(
    "Fenton, L. F.: The sum of log-normal probability distributions in scatter transmission systems. IRE \
     Trans. Commun. Syst. 8 (1960) 57-67",
);

/// 90 % point of the standard normal distribution.
pub(crate) const Z90: f64 = 1.281_551_565_544_600_4;

/// A lognormal quantity.
///
/// ```
/// use overcoat::outlook::Lognormal;
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

    /// The value that 90 % of the cases exceed.
    pub fn quantile_10(self) -> f64 {
        (self.ln_median - Z90 * self.log_sd).exp()
    }

    /// The value that 10 % of the cases exceed.
    pub fn quantile_90(self) -> f64 {
        (self.ln_median + Z90 * self.log_sd).exp()
    }

    /// Probability that the quantity exceeds `threshold` (> 0).
    pub fn probability_beyond(self, threshold: f64) -> f64 {
        let distance = self.ln_median - threshold.ln();
        if self.log_sd <= 0.0 {
            return if distance > 0.0 { 1.0 } else { 0.0 };
        }
        normal_cdf(distance / self.log_sd)
    }
}

/// Cumulative distribution function of the standard normal distribution, accurate in both tails.
///
/// ```
/// // Abramowitz & Stegun, Handbook of Mathematical Functions (1964), Table 26.1: P(1) = 0.841344746068543
/// assert!((overcoat::outlook::normal_cdf(1.0) - 0.841_344_746_068_543).abs() < 1e-15);
/// ```
pub fn normal_cdf(z: f64) -> f64 {
    normal_cdf_of(z)
}

/// Inverse of [`normal_cdf`] for `p` in 0..1, by bisection to the last bit of use and so without constants.
///
/// ```
/// // Abramowitz & Stegun (1964), Table 26.5: x(Q = 0.025) = 1.95996
/// assert!((overcoat::outlook::normal_quantile(0.975) - 1.959_96).abs() < 5e-6);
/// ```
pub fn normal_quantile(p: f64) -> f64 {
    if p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    if p > 0.5 {
        // 1 - p is exact; near 1 the distribution function has too few digits left to search by
        return -normal_quantile(1.0 - p);
    }
    let (mut low, mut high) = (-39.0, 0.5);
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if normal_cdf(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// One lognormal term of a sum: its median and how it answers to each uncertain factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// Natural logarithm of the term's median.
    pub ln_median: f64,
    /// Index of a factor and the exponent with which the term depends on it.
    pub exponents: Vec<(usize, f64)>,
}

/// The sum of terms that share factors, as a lognormal, with the share of each factor in its variance.
///
/// `factor_log_sd[j]` is the spread of factor `j`; factors are independent of each other. One term alone is
/// exact. The shares are first-order: the squared response of the logarithm of the sum to each factor times
/// its variance, divided by their total; they are all 0 where nothing is uncertain.
pub fn sum_of(terms: &[Term], factor_log_sd: &[f64]) -> (Lognormal, Vec<f64>) {
    let variance_of = |j: usize| factor_log_sd.get(j).map_or(0.0, |sd| sd * sd);
    let covariance = |a: &Term, b: &Term| -> f64 {
        a.exponents
            .iter()
            .flat_map(|(j, x)| b.exponents.iter().filter(move |(k, _)| k == j).map(move |(_, y)| (*j, x * y)))
            .map(|(j, product)| product * variance_of(j))
            .sum()
    };
    let peak = terms.iter().map(|t| t.ln_median).fold(f64::NEG_INFINITY, f64::max);
    if !peak.is_finite() {
        let none = Lognormal { ln_median: f64::NEG_INFINITY, log_sd: 0.0 };
        return (none, vec![0.0; factor_log_sd.len()]);
    }
    let means: Vec<f64> = terms.iter().map(|t| (t.ln_median - peak + 0.5 * covariance(t, t)).exp()).collect();
    let mean: f64 = means.iter().sum();
    let log_sd = if let [only] = terms {
        covariance(only, only).sqrt()
    } else {
        let mut second_moment = 0.0;
        for (a, mean_a) in terms.iter().zip(&means) {
            for (b, mean_b) in terms.iter().zip(&means) {
                second_moment += mean_a * mean_b * covariance(a, b).exp();
            }
        }
        (second_moment / (mean * mean)).ln().max(0.0).sqrt()
    };
    let ln_median = peak + mean.ln() - 0.5 * log_sd * log_sd;

    // first how the sum answers to each factor
    let mut shares = vec![0.0; factor_log_sd.len()];
    for (term, term_mean) in terms.iter().zip(&means) {
        for (j, exponent) in &term.exponents {
            if let Some(response) = shares.get_mut(*j) {
                *response += term_mean * exponent;
            }
        }
    }
    for (share, log_sd) in shares.iter_mut().zip(factor_log_sd) {
        *share = (*share / mean * log_sd).powi(2);
    }
    let total: f64 = shares.iter().sum();
    if total > 0.0 {
        for share in &mut shares {
            *share /= total;
        }
    }
    (Lognormal { ln_median, log_sd }, shares)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_quantile_inverts_the_distribution_function() {
        for p in [1e-12, 1e-6, 0.01, 0.1, 0.5, 0.9, 0.999] {
            assert!((normal_cdf(normal_quantile(p)) / p - 1.0).abs() < 1e-9, "{p}");
        }
        assert!((normal_quantile(0.9) - Z90).abs() < 1e-12);
    }

    /// Independent: mpmath 1.4, `sqrt(2)·erfinv(2p - 1)` of the double in 50 digits.
    #[test]
    fn the_quantile_keeps_its_digits_near_one() {
        for (p, z) in [
            (0.999_999, 4.753_424_308_817_088),
            (0.999_999_999, 5.997_807_019_601_637),
            (0.999_999_999_999, 7.034_486_910_047_835),
            (1.0 - f64::EPSILON / 2.0, 8.209_536_151_601_387),
            (1e-12, -7.034_483_825_301_132),
        ] {
            assert!((normal_quantile(p) / z - 1.0).abs() < 1e-14, "{p}: {}", normal_quantile(p));
        }
    }

    /// What is certain exceeds all that is less than it and nothing else, and has no factor to blame.
    #[test]
    fn without_spread_a_quantity_is_its_median() {
        let years = Lognormal { ln_median: 0.0, log_sd: 0.0 };
        assert_eq!([0.5, 1.0, 2.0].map(|threshold| years.probability_beyond(threshold)), [1.0, 0.0, 0.0]);
        let term = Term { ln_median: 0.0, exponents: vec![(0, 1.0), (1, -1.0)] };
        assert_eq!(sum_of(&[term], &[0.0, 0.0]), (years, vec![0.0, 0.0]));
    }

    #[test]
    fn one_term_is_exact_and_variances_add() {
        let term = Term { ln_median: 2.0, exponents: vec![(0, 1.0), (1, -1.0), (2, 0.5)] };
        let (sum, shares) = sum_of(&[term], &[0.3, 0.4, 0.2]);
        assert!((sum.ln_median - 2.0).abs() < 1e-12);
        assert!((sum.log_sd - (0.09_f64 + 0.16 + 0.01).sqrt()).abs() < 1e-12);
        assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        assert!((shares[1] - 0.16 / 0.26).abs() < 1e-12);
    }

    /// Marlow (1967) and the definition: for two independent standard lognormal terms the mean is 2·e^½ and
    /// the variance 2·(e - 1)·e; the fitted lognormal must have exactly these.
    #[test]
    fn two_terms_keep_mean_and_variance() {
        let terms = [
            Term { ln_median: 0.0, exponents: vec![(0, 1.0)] },
            Term { ln_median: 0.0, exponents: vec![(1, 1.0)] },
        ];
        let (sum, _) = sum_of(&terms, &[1.0, 1.0]);
        let e = std::f64::consts::E;
        let mean = (sum.ln_median + 0.5 * sum.log_sd.powi(2)).exp();
        let variance = (sum.log_sd.powi(2).exp() - 1.0) * mean * mean;
        assert!((mean - 2.0 * e.sqrt()).abs() < 1e-12);
        assert!((variance - 2.0 * (e - 1.0) * e).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn a_common_factor_comes_out_of_the_sum(a in -3.0..3.0_f64, b in -3.0..3.0_f64, s in 0.0..1.0_f64, c in 0.0..1.0_f64) {
            let inner = [Term { ln_median: a, exponents: vec![(0, 1.0)] }, Term { ln_median: b, exponents: vec![(1, 1.0)] }];
            let outer: Vec<Term> = inner.iter().map(|t| {
                let mut t = t.clone();
                t.exponents.push((2, -1.0));
                t
            }).collect();
            let (without, _) = sum_of(&inner, &[s, 0.5]);
            let (with, _) = sum_of(&outer, &[s, 0.5, c]);
            prop_assert!((with.ln_median - without.ln_median).abs() < 1e-9);
            prop_assert!((with.log_sd.powi(2) - without.log_sd.powi(2) - c * c).abs() < 1e-9);
        }
    }
}
