//! The logarithm of a sum of times, each of them one over a sum of rates that depend on separate lognormal
//! numbers: its mean, variance and third cumulant.
//!
//! ```text
//! t   = Σ t_i          t_i = 1/(q_i + a_i)          q_i = rate/D_i
//! p_i = t_i/t          v_i = q_i·t_i
//! ```
//!
//! with ln D_i and ln A_i = -ln a_i independent and normal. Each is moved by ±√3 of its standard deviations, the
//! points of the three-point Gauss-Hermite rule, with f± = ln(1 + (t_i± - t_i)/t):
//!
//! ```text
//! M = ln t + Σ (f+ + f-)/6
//! V = Σ [(f+² + f-²)/6 - ((f+ + f-)/6)²] + Σ_{j≠k} H_jk²/2
//! K = Σ b²·(f+ + f-) + 3·Σ_{j≠k} g_j·H_jk·g_k·Σ b²/Σ g²        b = (f+ - f-)/(2√3)
//! ```
//!
//! where g and H are gradient and Hessian of ln t in standard deviations: g_D = σ_D·p·v, g_A = σ_A·p·(1 - v), and
//! H_jk = B_jk - g_j·g_k with B_DA = 2·σ_D·σ_A·p·v·(1 - v) for the two numbers of one layer and 0 between layers.
//! Off the diagonal the sums run over layers alone, so that the work grows with the number of layers and not with
//! its square. One number alone is exact.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LN_2;

use super::{log2, mul_add};
use crate::evidence::Source;

/// Source of the moments of a sum.
pub(crate) const SUM_OF_LIVES: Source = Source::derived(
    "moments of the logarithm of a sum of lives: three-point Gauss-Hermite rule along each uncertain number, second \
     order between them, five points along the rate of the place (Abramowitz & Stegun 1964, table 25.10); checked \
     against 200 000 samples",
);

/// √3: how many standard deviations the three-point rule moves by.
pub(crate) const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// Points that are worked out together: five points of the rate for each of four steps of it. So many make loops that a
/// compiler turns into vectors, which it does not do of four.
pub(crate) const LANES: usize = 20;

/// A number for each of the points.
pub(crate) type Lanes = [f64; LANES];

/// One term of the sum at some points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TermLanes {
    /// The term, and with either of its numbers moved up and down.
    pub(crate) years: Lanes,
    pub(crate) moved: [Lanes; 4],
    /// How the logarithm of the term answers to the first and to the second number, times their spreads.
    pub(crate) answers: [Lanes; 2],
    /// B_DA over p: how both numbers work together, times their spreads.
    pub(crate) together: Lanes,
}

impl TermLanes {
    /// A term of no years.
    pub(crate) const fn nothing() -> Self {
        let zero = [0.0; LANES];
        Self { years: zero, moved: [zero; 4], answers: [zero; 2], together: zero }
    }
}

/// Mean, variance and third cumulant at some points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct MomentLanes {
    pub(crate) mean: Lanes,
    pub(crate) variance: Lanes,
    pub(crate) third: Lanes,
}

/// A term 1/(rate/D + a): one over D, a, and what moving ln D and ln A by √3 standard deviations multiplies q and a
/// by.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct RateTerm {
    pub(crate) per_rate: f64,
    pub(crate) age: f64,
    pub(crate) dose_log_sd: f64,
    pub(crate) age_log_sd: f64,
    pub(crate) dose_factors: [f64; 2],
    pub(crate) age_factors: [f64; 2],
}

impl RateTerm {
    pub(crate) fn new(per_rate: f64, age: f64, dose_log_sd: f64, age_log_sd: f64) -> Self {
        let factors = |log_sd: f64| [(-SQRT_3 * log_sd).exp(), (SQRT_3 * log_sd).exp()];
        Self {
            per_rate,
            age,
            dose_log_sd,
            age_log_sd,
            dose_factors: factors(dose_log_sd),
            age_factors: factors(age_log_sd),
        }
    }

    /// The term where q is `per_rate`·rate and a is `age`, each times a factor of the point.
    #[inline(always)]
    #[expect(clippy::indexing_slicing, reason = "lanes of arrays of one length")]
    pub(crate) fn at(&self, rates: &Lanes, dose: &Lanes, aged: &Lanes) -> TermLanes {
        let mut term = TermLanes::nothing();
        let both = 2.0 * self.dose_log_sd * self.age_log_sd;
        for i in 0..LANES {
            let (q, a) = (self.per_rate * rates[i] * dose[i], self.age * aged[i]);
            let years = 1.0 / (q + a);
            term.years[i] = years;
            term.moved[0][i] = 1.0 / (q * self.dose_factors[0] + a);
            term.moved[1][i] = 1.0 / (q * self.dose_factors[1] + a);
            term.moved[2][i] = 1.0 / (q + a * self.age_factors[0]);
            term.moved[3][i] = 1.0 / (q + a * self.age_factors[1]);
            let (v, rest) = (q * years, a * years);
            term.answers[0][i] = self.dose_log_sd * v;
            term.answers[1][i] = self.age_log_sd * rest;
            term.together[i] = both * v * rest;
        }
        term
    }
}

/// Moments of the logarithm of the sum of terms; `term` gives each of `terms` of them, and is asked twice.
#[inline(always)]
#[expect(clippy::indexing_slicing, clippy::needless_range_loop, reason = "lanes of arrays of one length")]
pub(crate) fn moments<const FUSED: bool>(terms: usize, term: impl Fn(usize) -> TermLanes) -> MomentLanes {
    let zero = [0.0; LANES];
    let mut total = zero;
    for number in 0..terms {
        let of_term = term(number);
        for i in 0..LANES {
            total[i] += of_term.years[i];
        }
    }
    let mut inverse = zero;
    let mut found = MomentLanes { mean: zero, variance: zero, third: zero };
    for i in 0..LANES {
        inverse[i] = 1.0 / total[i];
        found.mean[i] = log2::<FUSED>(total[i]) * LN_2;
    }
    // Σ g², Σ g⁴, Σ over layers of 2(B² - 2·B·g·g'), the same of 2·g·g'·B, and Σ b²
    let (mut square, mut fourth, mut pairs, mut crossed, mut slopes) = (zero, zero, zero, zero, zero);
    for number in 0..terms {
        let of_term = term(number);
        for (up, down) in [(0, 1), (2, 3)] {
            for i in 0..LANES {
                let years = of_term.years[i];
                let more = mul_add::<FUSED>(of_term.moved[up][i] - years, inverse[i], 1.0);
                let less = mul_add::<FUSED>(of_term.moved[down][i] - years, inverse[i], 1.0);
                let (f_up, f_down) = (log2::<FUSED>(more) * LN_2, log2::<FUSED>(less) * LN_2);
                let sum = f_up + f_down;
                let sixth = sum / 6.0;
                let slope = (f_up - f_down) / (2.0 * SQRT_3);
                found.mean[i] += sixth;
                found.variance[i] += (f_up * f_up + f_down * f_down) / 6.0 - sixth * sixth;
                found.third[i] += slope * slope * sum;
                slopes[i] += slope * slope;
            }
        }
        for i in 0..LANES {
            let p = of_term.years[i] * inverse[i];
            let (g, other) = (p * of_term.answers[0][i], p * of_term.answers[1][i]);
            let (of_g, of_other) = (g * g, other * other);
            let both = p * of_term.together[i];
            square[i] += of_g + of_other;
            fourth[i] += of_g * of_g + of_other * of_other;
            pairs[i] += 2.0 * (both * both - 2.0 * both * (g * other));
            crossed[i] += 2.0 * g * other * both;
        }
    }
    for i in 0..LANES {
        let outer = square[i] * square[i] - fourth[i];
        let norm = pairs[i] + outer;
        let norm = if norm > 0.0 { norm } else { 0.0 };
        let share = slopes[i] / square[i];
        let share = if square[i] > 0.0 { share } else { 0.0 };
        found.variance[i] += 0.5 * norm;
        found.third[i] += 3.0 * (crossed[i] - outer) * share;
    }
    found
}
