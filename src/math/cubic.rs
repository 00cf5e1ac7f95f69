//! A quantity whose logarithm is a cubic in a standard normal deviate z (Fleishman 1978):
//!
//! ```text
//! ln t = k + l·z + q·z² + c·z³          for |z| ≤ 3, straight on outside
//! ```
//!
//! with the first four moments of a mixture over points of another deviate. It rises with z everywhere, so that
//! quantiles are explicit and a probability is one root.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::{LN_2, LOG2_E};

use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use serde::{Deserialize, Serialize};

use super::sum::{LANES, MomentLanes, RateTerm, TermLanes, moments};
use super::{Lognormal, exp2, log2, mul_add, normal_cdf, normal_quantile};
use crate::evidence::Source;

/// Source of the curve.
pub(crate) const CUBIC_IN_Z: Source = Source::from_memory(
    "Fleishman, A. I.: A method for simulating non-normal distributions. Psychometrika 43 (1978) 521-532",
);

/// Points of the five-point Gauss-Hermite rule in standard deviations, and their weights (Abramowitz & Stegun 1964,
/// table 25.10).
pub(crate) const NODES: [f64; 5] =
    [0.0, 1.355_626_179_974_266, -1.355_626_179_974_266, 2.856_970_013_872_806, -2.856_970_013_872_806];
pub(crate) const WEIGHTS: [f64; 5] = [
    0.533_333_333_333_333_3,
    0.222_075_922_005_612_6,
    0.222_075_922_005_612_6,
    0.011_257_411_327_720_69,
    0.011_257_411_327_720_69,
];

/// Deviates beyond which the curve goes on straight.
const END: f64 = 3.0;
/// Least slope of the curve, as a share of the standard deviation.
const LEAST_SLOPE: f64 = 0.1;
/// Least spread, so that what is certain has a slope too.
const LEAST_LOG_SD: f64 = 1e-9;

/// The natural logarithm of a quantity as a cubic in a standard normal deviate.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LogCubic {
    /// The logarithm of the median.
    pub constant: f64,
    /// Factor of the deviate.
    pub linear: f64,
    /// Factor of its square.
    pub square: f64,
    /// Factor of its cube.
    pub cube: f64,
}

/// Mean, variance and third cumulant of a logarithm.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Moments {
    pub(crate) mean: f64,
    pub(crate) variance: f64,
    pub(crate) third: f64,
}

impl LogCubic {
    /// The curve with the first four moments of a mixture; the weights sum to one. Only additions, multiplications,
    /// divisions and roots.
    pub(crate) fn of_mixture(parts: &[Moments], weights: &[f64]) -> Self {
        let parts: Vec<[Moments; 1]> = parts.iter().map(|part| [*part]).collect();
        let [curve] = Self::of_mixtures(&parts, weights);
        curve
    }

    /// The curves of some mixtures side by side, with the bits of each alone; `parts` are first parts of all, then second
    /// ones.
    pub(crate) fn of_mixtures<const N: usize>(parts: &[[Moments; N]], weights: &[f64]) -> [Self; N] {
        of_mixtures(parts, weights)
    }

    /// A lognormal quantity.
    pub const fn of_lognormal(quantity: Lognormal) -> Self {
        Self { constant: quantity.ln_median, linear: quantity.log_sd, square: 0.0, cube: 0.0 }
    }

    /// The deviate at which the quantity has the logarithm `ln`.
    pub(crate) fn deviate_of(&self, ln: f64) -> f64 {
        deviate_at(self, ln)
    }

    /// How the logarithm rises with the deviate there.
    pub(crate) fn slope(&self, z: f64) -> f64 {
        self.within::<false>(z.clamp(-END, END)).1
    }

    /// The sum of independent lognormal quantities, each by its median and the spread of its logarithm.
    pub(crate) fn of_sum(quantities: &[(f64, f64)]) -> Self {
        let terms: Vec<RateTerm> = quantities
            .iter()
            .map(|(median, log_sd)| RateTerm::new(0.0, 1.0 / median, 0.0, *log_sd))
            .collect();
        let MomentLanes { mean: [mean, ..], variance: [variance, ..], third: [third, ..] } =
            moments_of_sum(&terms);
        Self::of_mixture(&[Moments { mean, variance, third }], &[1.0])
    }

    /// The sum of curves, each times a weight.
    #[inline(always)]
    pub(crate) fn plus<const FUSED: bool>(&self, weight: f64, other: &Self) -> Self {
        Self {
            constant: mul_add::<FUSED>(weight, other.constant, self.constant),
            linear: mul_add::<FUSED>(weight, other.linear, self.linear),
            square: mul_add::<FUSED>(weight, other.square, self.square),
            cube: mul_add::<FUSED>(weight, other.cube, self.cube),
        }
    }

    /// The logarithm at a deviate, less the constant, and its slope, where |z| is at most 3.
    #[inline(always)]
    fn within<const FUSED: bool>(&self, z: f64) -> (f64, f64) {
        let value = z * mul_add::<FUSED>(z, mul_add::<FUSED>(z, self.cube, self.square), self.linear);
        let slope = mul_add::<FUSED>(z, mul_add::<FUSED>(z, 3.0 * self.cube, 2.0 * self.square), self.linear);
        (value, slope)
    }

    /// The quantity at a deviate.
    #[inline(always)]
    pub(crate) fn at<const FUSED: bool>(&self, z: f64) -> f64 {
        let inner = z.clamp(-END, END);
        let (value, slope) = self.within::<FUSED>(inner);
        let ln = mul_add::<FUSED>(z - inner, slope, value) + self.constant;
        exp2::<FUSED>(ln * LOG2_E)
    }

    /// The deviate at which the quantity has a logarithm.
    #[inline(always)]
    pub(crate) fn deviate<const FUSED: bool>(&self, ln: f64) -> f64 {
        let y = ln - self.constant;
        let (low, low_slope) = self.within::<FUSED>(-END);
        let (high, high_slope) = self.within::<FUSED>(END);
        let (end, slope) = if y < 0.0 { (-low, low_slope) } else { (high, high_slope) };
        // where the chord from the median to the end on this side has the value
        let mut z = (END * y / end).clamp(-END, END);
        for _ in 0..5 {
            let (value, slope) = self.within::<FUSED>(z);
            let away = value - y;
            let half_bend = mul_add::<FUSED>(3.0 * self.cube, z, self.square);
            // Halley's step: twice the slope by twice its square less value times bend
            let below = mul_add::<FUSED>(slope, slope, -away * half_bend);
            let least = 0.5 * slope * slope;
            let below = if below > least { below } else { least };
            z = (z - away * slope / below).clamp(-END, END);
        }
        let beyond = if y < 0.0 { y - low } else { y - high };
        let outside = if y < 0.0 { beyond < 0.0 } else { beyond > 0.0 };
        if outside { END.copysign(y) + beyond / slope } else { z }
    }

    /// Probability that the quantity exceeds one whose natural logarithm is `ln`.
    #[inline(always)]
    pub(crate) fn beyond<const FUSED: bool>(&self, ln: f64) -> f64 {
        normal_cdf::<FUSED>(-self.deviate::<FUSED>(ln))
    }

    /// The quantity that a share `p` of the cases stays below, 0 < p < 1.
    pub(crate) fn quantile(&self, p: f64) -> f64 {
        match p {
            p if p <= 0.0 => 0.0,
            p if p >= 1.0 => f64::INFINITY,
            p => quantity_at(self, normal_quantile(p)),
        }
    }

    /// Probability that the quantity exceeds `threshold`.
    pub(crate) fn probability_beyond(&self, threshold: f64) -> f64 {
        if threshold <= 0.0 { 1.0 } else { share_beyond(self, threshold) }
    }

    /// The same with a spread so many times as large about its median.
    pub(crate) fn widened(&self, factor: f64) -> Self {
        let Self { constant, linear, square, cube } = *self;
        Self { constant, linear: factor * linear, square: factor * square, cube: factor * cube }
    }

    /// Standard deviation of the logarithm, the ends taken as part of the curve.
    pub(crate) fn log_sd(&self) -> f64 {
        let Self { linear: b, square: c, cube: d, .. } = self;
        (b * b + 6.0 * b * d + 2.0 * c * c + 15.0 * d * d).sqrt()
    }
}

#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
fn moments_of_sum(terms: &[RateTerm]) -> MomentLanes {
    let ones = [1.0; LANES];
    moments::<{ fused!() }>(terms.len(), |number| {
        terms.get(number).map_or_else(TermLanes::nothing, |term| term.at(&ones, &ones, &ones))
    })
}

#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
fn quantity_at(curve: &LogCubic, z: f64) -> f64 {
    curve.at::<{ fused!() }>(z)
}

#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
fn deviate_at(curve: &LogCubic, ln: f64) -> f64 {
    curve.deviate::<{ fused!() }>(ln)
}

#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
fn share_beyond(curve: &LogCubic, threshold: f64) -> f64 {
    curve.beyond::<{ fused!() }>(log2::<{ fused!() }>(threshold) * LN_2)
}

/// [`LogCubic::of_mixtures`].
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
fn of_mixtures<const N: usize>(parts: &[[Moments; N]], weights: &[f64]) -> [LogCubic; N] {
    mixed(parts, weights)
}

#[inline(always)]
#[expect(clippy::indexing_slicing, reason = "lanes of arrays of one length")]
fn mixed<const N: usize>(parts: &[[Moments; N]], weights: &[f64]) -> [LogCubic; N] {
    // a sum of nothing is minus zero
    let mut mean = [-0.0; N];
    for (part, weight) in parts.iter().zip(weights) {
        for i in 0..N {
            mean[i] += weight * part[i].mean;
        }
    }
    let (mut variance, mut third, mut fourth) = ([0.0; N], [0.0; N], [0.0; N]);
    for (part, weight) in parts.iter().zip(weights) {
        for i in 0..N {
            let Moments { mean: m, variance: v, third: k } = part[i];
            let e = m - mean[i];
            let own = 3.0 * v * v + 4.0 * k * k / (3.0 * v);
            let own = if v > 0.0 { own } else { 0.0 };
            variance[i] += weight * (v + e * e);
            third[i] += weight * (k + 3.0 * v * e + e * e * e);
            fourth[i] += weight * (own + 4.0 * k * e + 6.0 * v * e * e + e * e * e * e);
        }
    }
    let (mut log_sd, mut skewness, mut excess) = ([0.0; N], [0.0; N], [0.0; N]);
    for i in 0..N {
        log_sd[i] = variance[i].max(0.0).sqrt();
        skewness[i] = third[i] / (variance[i] * log_sd[i]);
        excess[i] =
            (fourth[i] / (variance[i] * variance[i]) - 3.0).max(1.5 * skewness[i] * skewness[i] - 0.6);
    }
    let [b, c, d] = fleishman(&skewness, &excess);
    let mut curves = [LogCubic::default(); N];
    for i in 0..N {
        // bend the curve less where it would not rise enough
        let needed = b[i] - LEAST_SLOPE;
        let bend = steepest_fall(c[i], d[i]);
        let kept = if bend > needed { needed / bend } else { 1.0 };
        let (c, d) = (kept * c[i], kept * d[i]);
        curves[i] = if log_sd[i] <= LEAST_LOG_SD {
            LogCubic { constant: mean[i], linear: LEAST_LOG_SD, square: 0.0, cube: 0.0 }
        } else {
            LogCubic {
                constant: mean[i] - log_sd[i] * c,
                linear: log_sd[i] * b[i],
                square: log_sd[i] * c,
                cube: log_sd[i] * d,
            }
        };
    }
    curves
}

/// Largest fall of 2cz + 3dz² over |z| ≤ 3.
#[inline(always)]
fn steepest_fall(c: f64, d: f64) -> f64 {
    let fall = |z: f64| -(2.0 * c * z + 3.0 * d * z * z);
    let ends = fall(END).max(fall(-END)).max(0.0);
    let top = -c / (3.0 * d);
    if d != 0.0 && top.abs() < END { ends.max(fall(top)) } else { ends }
}

/// Coefficients b, c, d for which b·z + c·(z² - 1) + d·z³ has mean 0, variance 1 and the given skewness and excess
/// (`CUBIC_IN_Z`), by Newton's method.
#[inline(always)]
#[expect(clippy::indexing_slicing, reason = "lanes of arrays of one length")]
fn fleishman<const N: usize>(skewness: &[f64; N], excess: &[f64; N]) -> [[f64; N]; 3] {
    let [mut b, mut c, mut d] = [[0.0; N]; 3];
    // 1 until the equations have no solution
    let mut solvable = [1.0; N];
    for i in 0..N {
        c[i] = skewness[i] / 6.0;
        d[i] = excess[i] / 24.0 - skewness[i] * skewness[i] / 18.0;
        b[i] = 1.0 - 3.0 * d[i];
    }
    for _ in 0..6 {
        for i in 0..N {
            let (b0, c0, d0) = (b[i], c[i], d[i]);
            let (bb, cc, dd, bd) = (b0 * b0, c0 * c0, d0 * d0, b0 * d0);
            let second = bb + 24.0 * bd + 105.0 * dd + 2.0;
            let with_d = 12.0 + 48.0 * bd + 141.0 * cc + 225.0 * dd;
            let with_c = 1.0 + bb + 28.0 * bd;
            let lack = [
                1.0 - (bb + 6.0 * bd + 2.0 * cc + 15.0 * dd),
                skewness[i] - 2.0 * c0 * second,
                excess[i] - 24.0 * (bd + cc * with_c + dd * with_d),
            ];
            let of_b = [
                2.0 * b0 + 6.0 * d0,
                2.0 * c0 * (2.0 * b0 + 24.0 * d0),
                24.0 * (d0 + cc * (2.0 * b0 + 28.0 * d0) + 48.0 * dd * d0),
            ];
            let of_c = [4.0 * c0, 2.0 * second, 24.0 * (2.0 * c0 * with_c + 282.0 * c0 * dd)];
            let of_d = [
                6.0 * b0 + 30.0 * d0,
                2.0 * c0 * (24.0 * b0 + 210.0 * d0),
                24.0 * (b0 + 28.0 * b0 * cc + 2.0 * d0 * with_d + dd * (48.0 * b0 + 450.0 * d0)),
            ];
            // Cramer's rule
            let whole = determinant(&of_b, &of_c, &of_d);
            let step = whole.abs() > 1e-12 && solvable[i] > 0.0;
            solvable[i] = if step { 1.0 } else { 0.0 };
            b[i] = if step { b0 + determinant(&lack, &of_c, &of_d) / whole } else { b0 };
            c[i] = if step { c0 + determinant(&of_b, &lack, &of_d) / whole } else { c0 };
            d[i] = if step { d0 + determinant(&of_b, &of_c, &lack) / whole } else { d0 };
        }
    }
    for i in 0..N {
        let found = b[i].is_finite() && b[i] > LEAST_SLOPE && c[i].is_finite() && d[i].is_finite();
        b[i] = if found { b[i] } else { 1.0 };
        c[i] = if found { c[i] } else { 0.0 };
        d[i] = if found { d[i] } else { 0.0 };
    }
    [b, c, d]
}

/// Determinant of three columns.
#[inline(always)]
#[expect(clippy::many_single_char_names, reason = "the letters of the formula")]
fn determinant(first: &[f64; 3], second: &[f64; 3], third: &[f64; 3]) -> f64 {
    let [top, middle, bottom] = *first;
    let ([a, b, c], [x, y, z]) = (*second, *third);
    top * (b * z - c * y) - middle * (a * z - c * x) + bottom * (a * y - b * x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_points_are_those_of_the_rule() {
        // moments of the normal distribution to the eighth: 1, 1, 3, 15, 105
        for (power, moment) in [(0, 1.0), (2, 1.0), (4, 3.0), (6, 15.0), (8, 105.0)] {
            let sum: f64 = NODES.iter().zip(WEIGHTS).map(|(z, w)| w * z.powi(power)).sum();
            assert!((sum / moment - 1.0).abs() < 1e-12, "{power}: {sum}");
        }
    }

    /// Lognormal: no skewness, no excess.
    #[test]
    fn a_lognormal_quantity_is_exact() {
        let part = Moments { mean: 1.0, variance: 0.49, third: 0.0 };
        let curve = LogCubic::of_mixture(&[part], &[1.0]);
        assert!((curve.quantile(0.5) - 1.0_f64.exp()).abs() < 1e-12);
        assert!((curve.quantile(0.9) / (1.0 + 0.7 * 1.281_551_565_544_6_f64).exp() - 1.0).abs() < 1e-12);
        for z in [-0.3, -5.0, 4.5] {
            let threshold = f64::exp(1.0 - 0.7 * z);
            let expected = crate::math::normal_cdf_of(z);
            assert!((curve.probability_beyond(threshold) / expected - 1.0).abs() < 1e-9, "{z}");
        }
        assert!((curve.log_sd() - 0.7).abs() < 1e-12);
    }

    /// Fleishman (1978), equations for the moments, checked by quadrature of the curve itself.
    #[test]
    fn the_curve_has_the_moments_asked_for() {
        for (skewness, excess) in [(0.5, 0.6), (-0.8, 1.2), (0.0, -0.4), (1.2, 2.5), (-0.3, 0.0)] {
            let curve = fleishman(&[skewness], &[excess]).map(|[coefficient]| coefficient);
            let mut moments = [0.0; 4];
            let (mut total, step) = (0.0, 0.01);
            for i in -900..=900 {
                let z = f64::from(i) * step;
                let weight = (-0.5 * z * z).exp();
                let value = curve[0] * z + curve[1] * (z * z - 1.0) + curve[2] * z * z * z;
                total += weight;
                for (power, moment) in moments.iter_mut().enumerate() {
                    *moment += weight * value.powi(i32::try_from(power).unwrap() + 1);
                }
            }
            let [mean, second, third, fourth] = moments.map(|m| m / total);
            for (found, wanted) in [(mean, 0.0), (second, 1.0), (third, skewness), (fourth - 3.0, excess)] {
                assert!((found - wanted).abs() < 1e-6, "{skewness} {excess}: {found} for {wanted}");
            }
        }
    }

    /// Over curves bent as far as is let, the deviate of a value gives the value back.
    #[test]
    fn a_probability_inverts_a_quantile() {
        for skewness in [-2.0, -1.0, -0.4, 0.0, 0.3, 0.9, 1.8] {
            for more in [0.0, 0.5, 2.0, 6.0] {
                let excess = 1.5 * skewness * skewness - 0.6 + more;
                // one normal part with these moments: 4K²/3V gives the excess, so use two parts
                let parts = [
                    Moments { mean: -0.5, variance: 0.3, third: 0.1 * skewness },
                    Moments { mean: 0.5 + 0.1 * excess, variance: 0.9, third: 0.2 * skewness },
                ];
                let curve = LogCubic::of_mixture(&parts, &[0.7, 0.3]);
                let mut before = 0.0;
                for i in 1..1000 {
                    let p = f64::from(i) / 1000.0;
                    let value = curve.quantile(p);
                    assert!(value > before, "{skewness} {more} {p}");
                    before = value;
                    let back = 1.0 - curve.probability_beyond(value);
                    assert!((back - p).abs() < 1e-9, "{skewness} {more} {p}: {back}");
                }
            }
        }
    }
}
