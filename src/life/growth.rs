//! From first rust to what the brief counts as failure.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use crate::Result;
use crate::atmosphere::growth::LINEAR_AFTER_YEARS;
use crate::atmosphere::{
    GrowthCase, StandardMetal, SteelComposition, exponent, steel_exponent_from_composition,
};
use crate::brief::{Failure, Part};
use crate::error::invalid;
use crate::evidence::Source;
use crate::math::sum::{LANES, Lanes, SQRT_3, TermLanes};
use crate::math::{exp2, log2, normal_quantile};
use crate::metal::{BaseMetal, Family};

/// Share of the surface that counts as first visible rust.
pub(crate) const RUST_VISIBLE: Source =
    Source::from_memory("ISO 4628-3, degree of rusting Ri 1: 0.05% of the area");

/// Spread of the time to rust between patches of one part.
pub(crate) const PATCH_SPREAD: Source = Source::assumption(
    "patches of one part rust at lognormal times with an ln SD of 0.5; the rusted share is their \
     distribution function",
);

/// Source of the longest growth of a loss that is tabulated.
pub(crate) const GROWTH_HORIZON: Source = Source::standard(
    "ISO 9224:2012, table 3: multiples of the first-year loss up to 100 years, by a transcription",
);
pub(super) const GROWTH_HORIZON_YEARS: f64 = 100.0;

const RUST_VISIBLE_PCT: f64 = 0.05;
const PATCH_LOG_SD: f64 = 0.5;

/// What counts as failure, beside first rust.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Later {
    /// Years to first rust times a factor.
    Factor(f64),
    /// Growth of the loss after it, to so many µm.
    Loss(f64),
}

/// What the failure of a brief adds to first rust.
pub(super) fn later(failure: Failure, part: &Part) -> Result<Later> {
    match failure {
        Failure::FirstRust => Ok(Later::Factor(1.0)),
        Failure::RustedAreaPct(share) => Ok(Later::Factor(patch_factor(share))),
        Failure::LossUm(loss_um) => Ok(Later::Loss(loss_um)),
        Failure::StrengthLossPct(share) => {
            let Some(thread) = part.thread_size()? else {
                return Err(invalid(
                    "duty.failure.strength_loss_pct",
                    share,
                    "only with part.thread",
                    "Name the thread, or enter the loss as loss_um.",
                ));
            };
            // Strength goes with the stress area, that with the square of its diameter.
            let stress_diameter_mm = (4.0 * thread.stress_area_mm2() / std::f64::consts::PI).sqrt();
            let loss_mm = stress_diameter_mm / 2.0 * (1.0 - (1.0 - share / 100.0).sqrt());
            Ok(Later::Loss(loss_mm * 1000.0))
        }
    }
}

/// Years to a rusted share of the surface, %, over those to first visible rust (`RUST_VISIBLE`, `PATCH_SPREAD`).
///
/// ```
/// assert!((overcoat::life::patch_factor(1.0) - 1.619).abs() < 1e-3);
/// ```
pub fn patch_factor(rusted_area_pct: f64) -> f64 {
    let apart = normal_quantile(rusted_area_pct / 100.0) - normal_quantile(RUST_VISIBLE_PCT / 100.0);
    (PATCH_LOG_SD * apart).exp()
}

/// Growth of the loss from first rust to the one that counts as failure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Growth {
    /// Exponent b of ISO 9224, and it moved by √3 spreads up and down.
    curves: [GrowthCurve; 3],
    log_sd: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct GrowthCurve {
    loss_um: f64,
    exponent: f64,
    inverse_exponent: f64,
    /// 20^b and one over the slope after 20 years, for a first-year loss of 1 µm.
    multiple_at_20: f64,
    inverse_slope: f64,
}

impl Growth {
    pub(super) fn new(loss_um: f64, exponent: f64, log_sd: f64) -> Self {
        let curve = |spreads: f64| GrowthCurve::new(loss_um, exponent * (spreads * log_sd).exp());
        // a larger exponent is a shorter life
        Self { curves: [curve(0.0), curve(-SQRT_3), curve(SQRT_3)], log_sd }
    }

    /// The years of growth as a term of the life, its one number the exponent.
    #[inline(always)]
    #[expect(clippy::indexing_slicing, clippy::needless_range_loop, reason = "lanes of arrays of one length")]
    pub(super) fn at<const FUSED: bool>(&self, rates: &Lanes) -> TermLanes {
        let mut term = TermLanes::nothing();
        for i in 0..LANES {
            term.years[i] = self.curves[0].years::<FUSED>(rates[i]);
            term.moved[0][i] = self.curves[1].years::<FUSED>(rates[i]);
            term.moved[1][i] = self.curves[2].years::<FUSED>(rates[i]);
            term.moved[2][i] = term.years[i];
            term.moved[3][i] = term.years[i];
            term.answers[0][i] = -self.log_sd * self.curves[0].answers(term.years[i]).1;
        }
        term
    }

    /// Years, and how their logarithm answers to that of the rate and to one spread of the exponent.
    pub(super) fn years_and_answers(&self, rate_um: f64) -> (f64, f64, f64) {
        let [curve, ..] = &self.curves;
        let years = curve.years::<false>(rate_um);
        let (to_rate, to_exponent) = curve.answers(years);
        (years, to_rate, self.log_sd * to_exponent)
    }

    /// The same where the exponent is so many times its median.
    pub(crate) fn years_moved(&self, rate_um: f64, factor: f64) -> f64 {
        let [curve, ..] = &self.curves;
        GrowthCurve::new(curve.loss_um, curve.exponent * factor).years::<false>(rate_um)
    }
}

impl GrowthCurve {
    fn new(loss_um: f64, exponent: f64) -> Self {
        Self {
            loss_um,
            exponent,
            inverse_exponent: exponent.recip(),
            multiple_at_20: LINEAR_AFTER_YEARS.powf(exponent),
            inverse_slope: (exponent * LINEAR_AFTER_YEARS.powf(exponent - 1.0)).recip(),
        }
    }

    /// Years from first rust to the loss.
    #[inline(always)]
    fn years<const FUSED: bool>(&self, rate_um: f64) -> f64 {
        let multiple = self.loss_um / rate_um;
        let power = exp2::<FUSED>(log2::<FUSED>(multiple) * self.inverse_exponent);
        let line = (multiple - self.multiple_at_20) * self.inverse_slope + LINEAR_AFTER_YEARS;
        if multiple <= self.multiple_at_20 { power } else { line }
    }

    /// How the logarithm of these years answers to that of the rate and to that of the exponent.
    #[inline(always)]
    fn answers(&self, years: f64) -> (f64, f64) {
        if years <= LINEAR_AFTER_YEARS {
            return (-self.inverse_exponent, -years.ln());
        }
        let ln_20 = LINEAR_AFTER_YEARS.ln();
        let beyond = years - LINEAR_AFTER_YEARS;
        let multiple = self.multiple_at_20 + beyond / self.inverse_slope;
        let to_exponent = -(LINEAR_AFTER_YEARS * ln_20 + beyond * (1.0 + self.exponent * ln_20)) / years;
        (-multiple * self.inverse_slope / years, to_exponent)
    }
}

/// Exponents of growth: from the composition of a weathering steel where the rule takes it, else that of plain steel;
/// and that of plain steel.
pub(super) fn growth_exponents(metal: &BaseMetal) -> [f64; 2] {
    let plain = exponent(StandardMetal::Steel, GrowthCase::Average);
    let own = match &metal.composition_pct {
        Some(composition) if metal.family == Family::WeatheringSteel => {
            let usual = SteelComposition::default();
            let content =
                |element: &str, usual: f64| composition.elements.get(element).copied().unwrap_or(usual);
            let steel = SteelComposition {
                carbon_pct: content("C", usual.carbon_pct),
                phosphorus_pct: content("P", usual.phosphorus_pct),
                sulfur_pct: content("S", usual.sulfur_pct),
                silicon_pct: content("Si", usual.silicon_pct),
                nickel_pct: content("Ni", usual.nickel_pct),
                chromium_pct: content("Cr", usual.chromium_pct),
                copper_pct: content("Cu", usual.copper_pct),
            };
            steel_exponent_from_composition(&steel).unwrap_or(plain)
        }
        _ => plain,
    };
    [own, plain]
}
