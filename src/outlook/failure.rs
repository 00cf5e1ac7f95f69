//! From first rust to what the brief counts as failure.

use crate::Result;
use crate::atmosphere::growth::LINEAR_AFTER_YEARS;
use crate::atmosphere::{
    GrowthCase, StandardMetal, SteelComposition, exponent, steel_exponent_from_composition, years_to_loss,
};
use crate::brief::{Exposure, Failure, Part};
use crate::error::invalid;
use crate::metal::{BaseMetal, Family};
use crate::outlook::dose::LEAST_LOSS_UM;
use crate::outlook::{Basis, FactorKind, Life, Term, normal_quantile};
use crate::source::Source;

/// Share of the surface that counts as first visible rust.
pub const RUST_VISIBLE: Source =
    Source::from_memory("ISO 4628-3, degree of rusting Ri 1: 0.05 % of the area");

/// Spread of the time to rust between patches of one part.
pub const PATCH_SPREAD: Source = Source::assumption(
    "patches of one part rust at lognormal times with a log spread of 0.5; the rusted share is their \
     distribution function",
);

/// Spread of the exponent of growth from place to place.
pub const GROWTH_EXPONENT_SPREAD: Source = Source::assumption(
    "exponents of steel at single places lie mostly between 0.35 and 0.8 (published exposure series of several \
     years), about the average of ISO 9224: log spread 0.3, the same for weathering steels",
);

const GROWTH_EXPONENT_LOG_SD: f64 = 0.3;
const RUST_VISIBLE_PCT: f64 = 0.05;
const PATCH_LOG_SD: f64 = 0.5;

/// Growth of the loss from first rust to the one that counts as failure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Growth {
    /// Exponent b of ISO 9224.
    pub(crate) exponent: f64,
    /// Loss that counts as failure, µm.
    pub(crate) loss_um: f64,
}

/// Years to a loss, and how their logarithm answers to the logarithms of rate and exponent.
#[derive(Debug, Clone, Copy)]
struct GrowthYears {
    years: f64,
    to_rate: f64,
    to_exponent: f64,
}

impl Growth {
    /// Years to the loss at a first-year loss. On the power law their logarithm answers by -1/b to the rate and by
    /// -ln years to the exponent, on the line after 20 years by the slopes of the line.
    fn years(self, first_year_loss_um: f64) -> Result<GrowthYears> {
        let Self { exponent: b, loss_um } = self;
        let years = years_to_loss(first_year_loss_um, loss_um, b)?;
        if years <= LINEAR_AFTER_YEARS {
            return Ok(GrowthYears { years, to_rate: -1.0 / b, to_exponent: -years.ln() });
        }
        // years = 20 + (loss/rate - 20^b)/slope
        let slope = b * LINEAR_AFTER_YEARS.powf(b - 1.0);
        let ln_20 = LINEAR_AFTER_YEARS.ln();
        Ok(GrowthYears {
            years,
            to_rate: -loss_um / (first_year_loss_um * slope * years),
            to_exponent: -(LINEAR_AFTER_YEARS * ln_20 + (years - LINEAR_AFTER_YEARS) * (1.0 + b * ln_20))
                / years,
        })
    }
}

/// Extends a life to first rust to the failure that the brief names. Where this adds a growth, its term comes
/// last.
pub(super) fn extend(
    life: &mut Life,
    rate: usize,
    exposure: &Exposure,
    part: &Part,
    metal: &BaseMetal,
    basis: Basis,
) -> Result<Option<Growth>> {
    match exposure.failure {
        Failure::FirstRust => Ok(None),
        Failure::RustedAreaPct(share) => {
            let later =
                PATCH_LOG_SD * (normal_quantile(share / 100.0) - normal_quantile(RUST_VISIBLE_PCT / 100.0));
            for term in &mut life.terms {
                term.ln_median += later;
            }
            Ok(None)
        }
        Failure::LossUm(loss_um) => add_growth(life, rate, exposure, metal, basis, loss_um),
        Failure::StrengthLossPct(share) => {
            let Some(thread) = part.thread_size()? else {
                return Err(invalid(
                    "duty.failure.strength_loss_pct",
                    share,
                    "only with part.thread",
                    "Name the thread, or give the loss as loss_um.",
                ));
            };
            // Strength goes with the stress area, that with the square of its diameter.
            let stress_diameter_mm = (4.0 * thread.stress_area_mm2() / std::f64::consts::PI).sqrt();
            let loss_mm = stress_diameter_mm / 2.0 * (1.0 - (1.0 - share / 100.0).sqrt());
            add_growth(life, rate, exposure, metal, basis, loss_mm * 1000.0)
        }
    }
}

/// Name of the factor that stands for how the loss grows at the place.
const GROWTH_EXPONENT: &str = "growth exponent";

/// Adds the years from first rust to a loss, growing from the bare rate (ISO 9224). Stainless steel pits
/// instead of thinning, so for it first rust counts.
fn add_growth(
    life: &mut Life,
    rate: usize,
    exposure: &Exposure,
    metal: &BaseMetal,
    basis: Basis,
    loss_um: f64,
) -> Result<Option<Growth>> {
    if basis == Basis::ResistanceClass {
        return Ok(None);
    }
    let growth = Growth { exponent: growth_exponent(metal), loss_um };
    let found = growth.years(exposure.atmosphere.first_year_steel_loss_um.max(LEAST_LOSS_UM))?;
    let exponent =
        life.factor(FactorKind::Growth, GROWTH_EXPONENT, GROWTH_EXPONENT_LOG_SD, GROWTH_EXPONENT_SPREAD);
    let exponents = vec![(rate, found.to_rate), (exponent, found.to_exponent)];
    life.terms.push(Term { ln_median: found.years.ln(), exponents });
    Ok(Some(growth))
}

/// Exponent of growth: from the composition of a weathering steel where the rule takes it, else that of plain
/// steel.
fn growth_exponent(metal: &BaseMetal) -> f64 {
    let plain = exponent(StandardMetal::Steel, GrowthCase::Average);
    match &metal.composition_pct {
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
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_answers_are_the_slopes_on_the_logarithmic_scale() {
        let growth = Growth { exponent: 0.523, loss_um: 300.0 };
        let step = f64::ln_1p(1e-6);
        for rate_um in [5.0, 40.0, 62.0, 64.0, 200.0] {
            let GrowthYears { years, to_rate, to_exponent } = growth.years(rate_um).unwrap();
            let faster = growth.years(rate_um * (1.0 + 1e-6)).unwrap().years;
            assert!(((faster / years).ln() / step / to_rate - 1.0).abs() < 1e-5, "{rate_um}");
            let steeper = Growth { exponent: 0.523 * (1.0 + 1e-6), ..growth };
            let sooner = steeper.years(rate_um).unwrap().years;
            assert!(((sooner / years).ln() / step / to_exponent - 1.0).abs() < 1e-5, "{rate_um}");
        }
    }
}
