//! A life of two terms that answer differently to the rate: films and treatment, which follow it, and either
//! the class margin of a stainless grade, which does not, or the growth of the loss after first rust.
//!
//! The sum is taken as lognormal with its mean and variance, as in [`sum_of`](crate::outlook::sum_of). With m1
//! and m2 the means of the two, q and h their shares of the sum, σ the spread of the rate and a the answer of
//! the growth to it (the spread of the growth's exponent is in s2):
//!
//! ```text
//! E(t²)/E(t)² = q²·e1 + 2·q·h·exp(-a·σ²) + h²·exp(s2²)
//! ```
//!
//! where e1 is the same ratio of the first term alone and s2 the spread of the second.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::{LN_2, LOG2_E};

use crate::atmosphere::growth::LINEAR_AFTER_YEARS;
use crate::outlook::{BuildLife, Growth, Term, Z90};
use crate::sweep::kernel::{exp2, log2, mul_add};
use crate::sweep::plan::follows_rate;

/// Constants of a mixture under one shelter and class.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Mixture {
    /// Mean of the first term at 1 µm in the first year.
    first_mean: f64,
    /// E(t²)/E(t)² of the first term.
    first_moment: f64,
    /// Variance that the first term's own factors carry, and the same weighted with their confidence.
    first_variance: f64,
    first_firm: f64,
    /// Mean of the second term where it is a class margin.
    margin_mean: f64,
}

/// What the second term is; the same under every shelter and class.
#[derive(Debug, Clone, Copy)]
pub(super) struct Second {
    growth: Option<GrowthConstants>,
    /// Variance and confidence of the factor that the second term alone has: class margin or growth exponent; 0
    /// where there is no second term.
    own_variance: f64,
    own_confidence: f64,
    rate_variance: f64,
    rate_confidence: f64,
}

#[derive(Debug, Clone, Copy)]
struct GrowthConstants {
    loss_um: f64,
    inverse_exponent: f64,
    /// 20^b and the slope after 20 years, for a first-year loss of 1 µm.
    multiple_at_20: f64,
    inverse_slope: f64,
    /// 1 + b·ln 20, and 20·ln 20.
    line_factor: f64,
    twenty_ln_20: f64,
}

/// The life of a row.
#[derive(Debug, Clone, Copy)]
pub(super) struct MixedLife {
    pub(super) log2_median: f64,
    pub(super) median_years: f64,
    pub(super) p10_years: f64,
    pub(super) p90_years: f64,
    /// 1 over the spread of log2 of the years.
    pub(super) inverse_log2_sd: f64,
    pub(super) confidence: f64,
}

impl Mixture {
    /// The constants of a life of two kinds of terms, taken at 1 µm in the first year.
    pub(super) fn of(life: &BuildLife) -> (Self, Second) {
        let factors = &life.life.factors;
        let variance = |j: usize| factors.get(j).map_or(0.0, |f| f.log_sd * f.log_sd);
        let confidence = |j: usize| factors.get(j).map_or(0.0, |f| f.source.firmness.confidence());
        // where the loss grows after first rust its term comes last, else the margin is what does not follow
        let terms = life.life.terms.iter().enumerate();
        let last = life.life.terms.len().saturating_sub(1);
        let (first, rest): (Vec<_>, Vec<_>) =
            terms.partition(|(i, term)| if life.growth.is_some() { *i < last } else { follows_rate(term) });
        let first: Vec<&Term> = first.into_iter().map(|(_, term)| term).collect();
        let rest: Vec<&Term> = rest.into_iter().map(|(_, term)| term).collect();
        let covariance = |a: &Term, b: &Term| -> f64 {
            a.exponents
                .iter()
                .flat_map(|(j, x)| {
                    b.exponents.iter().filter(move |(k, _)| k == j).map(move |(_, y)| (*j, x * y))
                })
                .map(|(j, product)| product * variance(j))
                .sum()
        };
        let mean_of = |term: &Term| (term.ln_median + 0.5 * covariance(term, term)).exp();
        let means: Vec<f64> = first.iter().map(|term| mean_of(term)).collect();
        let first_mean: f64 = means.iter().sum();
        let mut mixture = Self { first_mean, ..Self::default() };
        if first_mean > 0.0 {
            for (a, mean_a) in first.iter().zip(&means) {
                for (b, mean_b) in first.iter().zip(&means) {
                    mixture.first_moment +=
                        mean_a / first_mean * (mean_b / first_mean) * covariance(a, b).exp();
                }
            }
            for j in 1..factors.len() {
                let response: f64 = first
                    .iter()
                    .zip(&means)
                    .flat_map(|(t, m)| {
                        t.exponents.iter().filter(move |(k, _)| *k == j).map(move |(_, x)| m * x)
                    })
                    .sum();
                let carried = (response / first_mean).powi(2) * variance(j);
                mixture.first_variance += carried;
                mixture.first_firm += carried * confidence(j);
            }
        }
        // the growth answers to the rate first, then to its own factor
        let own = rest.first().and_then(|term| term.exponents.last()).map(|(j, _)| *j);
        let margin = rest.first().filter(|_| life.growth.is_none());
        mixture.margin_mean = margin.map_or(0.0, |term| mean_of(term));
        let second = Second {
            growth: life.growth.map(GrowthConstants::of),
            own_variance: own.map_or(0.0, variance),
            own_confidence: own.map_or(0.0, confidence),
            rate_variance: variance(0),
            rate_confidence: confidence(0),
        };
        (mixture, second)
    }

    /// The life at a loss of `rate_um` in the first year.
    #[inline(always)]
    pub(super) fn life<const FUSED: bool>(&self, second: &Second, rate_um: f64) -> MixedLife {
        // the answer of the second term to the rate, the variance by its own factor, all of it, and its mean
        let (answer, own_variance, variance, second_mean) = match &second.growth {
            Some(growth) => {
                let (years, answer, to_exponent) = growth.years::<FUSED>(rate_um);
                let own_variance = to_exponent * to_exponent * second.own_variance;
                let variance = mul_add::<FUSED>(answer * answer, second.rate_variance, own_variance);
                (answer, own_variance, variance, years * exp2::<FUSED>(0.5 * LOG2_E * variance))
            }
            None => (0.0, second.own_variance, second.own_variance, self.margin_mean),
        };
        let first_mean = self.first_mean / rate_um;
        let mean = first_mean + second_mean;
        let (q, h) = (first_mean / mean, second_mean / mean);
        let common = exp2::<FUSED>(-LOG2_E * answer * second.rate_variance);
        let own = exp2::<FUSED>(LOG2_E * variance);
        let moment =
            mul_add::<FUSED>(q * q, self.first_moment, h * mul_add::<FUSED>(2.0 * q, common, h * own));
        let log2_moment = log2::<FUSED>(moment);
        let log2_moment = if log2_moment > 0.0 { log2_moment } else { 0.0 };
        let log2_median = mul_add::<FUSED>(-0.5, log2_moment, log2::<FUSED>(mean));
        // the variance of ln t is ln of the moment; that of log2 t is it times (log2 e)²
        let log2_sd = (log2_moment * LOG2_E).sqrt();
        let factor = exp2::<FUSED>(Z90 * log2_sd);
        let median_years = exp2::<FUSED>(log2_median);

        let response = mul_add::<FUSED>(answer, h, -q);
        let rate = response * response * second.rate_variance;
        let own_part = h * h * own_variance;
        let total = mul_add::<FUSED>(q * q, self.first_variance, own_part + rate);
        let firm = mul_add::<FUSED>(
            q * q,
            self.first_firm,
            mul_add::<FUSED>(own_part, second.own_confidence, rate * second.rate_confidence),
        );
        MixedLife {
            log2_median,
            median_years,
            p10_years: median_years / factor,
            p90_years: median_years * factor,
            inverse_log2_sd: if log2_sd > 0.0 { 1.0 / log2_sd } else { 1e6 },
            confidence: firm / total,
        }
    }
}

impl GrowthConstants {
    fn of(growth: Growth) -> Self {
        let Growth { exponent: b, loss_um } = growth;
        Self {
            loss_um,
            inverse_exponent: b.recip(),
            multiple_at_20: LINEAR_AFTER_YEARS.powf(b),
            inverse_slope: (b * LINEAR_AFTER_YEARS.powf(b - 1.0)).recip(),
            line_factor: 1.0 + b * LINEAR_AFTER_YEARS.ln(),
            twenty_ln_20: LINEAR_AFTER_YEARS * LINEAR_AFTER_YEARS.ln(),
        }
    }

    /// Years from first rust to the loss, and how their logarithm answers to that of the rate and to that of the
    /// exponent.
    #[inline(always)]
    fn years<const FUSED: bool>(&self, rate_um: f64) -> (f64, f64, f64) {
        let multiple = self.loss_um / rate_um;
        let log2_power = log2::<FUSED>(multiple) * self.inverse_exponent;
        let power = exp2::<FUSED>(log2_power);
        let line = mul_add::<FUSED>(multiple - self.multiple_at_20, self.inverse_slope, LINEAR_AFTER_YEARS);
        let inverse_line = 1.0 / line;
        let on_line_answer = -multiple * self.inverse_slope * inverse_line;
        let on_line_to_exponent =
            -mul_add::<FUSED>(line - LINEAR_AFTER_YEARS, self.line_factor, self.twenty_ln_20) * inverse_line;
        if multiple <= self.multiple_at_20 {
            (power, -self.inverse_exponent, -log2_power * LN_2)
        } else {
            (line, on_line_answer, on_line_to_exponent)
        }
    }
}
