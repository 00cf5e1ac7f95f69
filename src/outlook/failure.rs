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
    use crate::outlook::tests::life;

    /// M8 black outdoors at 30 µm in the first year.
    const SCREW: &str = r#""form": "hexagon_head_screw", "thread": "M8""#;

    /// The years of the last term and how it answers to rate and exponent, of hot alkaline black on a grade.
    fn grown(metal: &str, failure: &str) -> (f64, Vec<f64>) {
        let duty = format!(r#""first_year_steel_loss_um": 30, "failure": {failure}"#);
        let (life, growth) = life(SCREW, &duty, &format!("{metal} / hot_alkaline / no film"));
        assert!(growth.is_some() && life.terms.len() == 2 && life.factors[0].kind == FactorKind::Air);
        let last = &life.terms[1];
        assert_eq!(last.exponents[0].0, 0);
        assert_eq!(life.factors[last.exponents[1].0].kind, FactorKind::Growth);
        (last.ln_median.exp(), last.exponents.iter().map(|(_, exponent)| *exponent).collect())
    }

    fn assert_close(found: f64, expected: f64, what: &str) {
        assert!((found / expected - 1.0).abs() < 1e-9, "{what}: {found} for {expected}");
    }

    /// Ri 1 is 0.05 % of the area; the normal quantiles of 0.05 % and 1 % are -3.290527 and -2.326348 (Abramowitz &
    /// Stegun 1964, Table 26.5: 3.29053, 2.32635), so that 1 % comes exp(0.5·0.964179) = 1.61945 times as late.
    #[test]
    fn a_rusted_share_comes_later_by_the_spread_of_the_patches() {
        let median = |failure: &str| {
            let duty = format!(r#""first_year_steel_loss_um": 30, "failure": {failure}"#);
            let (life, growth) = life("", &duty, "steel_4_6 / hot_alkaline / hard_wax");
            assert!(growth.is_none());
            [life.terms[0].ln_median.exp(), life.terms[1].ln_median.exp()]
        };
        let (first, later) = (median(r#""first_rust""#), median(r#"{"rusted_area_pct": 1}"#));
        for (first, later) in first.into_iter().zip(later) {
            assert!((later / first / 1.619_45 - 1.0).abs() < 1e-5, "{later} after {first}");
        }
    }

    /// 60 µm at 30 in the first year: 2 = t^0.523. 300 µm: 10 is beyond 20^0.523 = 4.791, so that the line goes on from
    /// 20 years at 0.523·20^-0.477 a year; d ln t = -(L/r)/(s·t) d ln r.
    #[test]
    fn a_loss_takes_the_years_of_its_growth() {
        let b = 0.523_f64;
        let (years, answers) = grown("steel_4_6", r#"{"loss_um": 60}"#);
        assert_close(years, 2.0_f64.powf(1.0 / b), "years");
        assert_close(answers[0], -1.0 / b, "rate");
        assert_close(answers[1], -2.0_f64.ln() / b, "exponent");
        let (years, answers) = grown("steel_4_6", r#"{"loss_um": 300}"#);
        let slope = b * 20.0_f64.powf(b - 1.0);
        assert_close(years, 20.0 + (10.0 - 20.0_f64.powf(b)) / slope, "years on the line");
        assert_close(answers[0], -10.0 / (slope * years), "rate on the line");
    }

    /// The stress diameter of M8 is the mean of d2 = 8 - 0.64952·1.25 and d3 = 8 - 1.22687·1.25, 6.82726 mm (ISO
    /// 898-1). A strength less by 19 % is a diameter less by 10 %: 0.341363 mm from the surface; by 36 % twice that.
    #[test]
    fn a_loss_of_strength_is_a_depth_of_the_thread() {
        let b = 0.523_f64;
        let slope = b * 20.0_f64.powf(b - 1.0);
        for (share, loss_um) in [(19, 341.363), (36, 682.726)] {
            let (years, _) = grown("steel_4_6", &format!(r#"{{"strength_loss_pct": {share}}}"#));
            let expected = 20.0 + (loss_um / 30.0 - 20.0_f64.powf(b)) / slope;
            assert!((years / expected - 1.0).abs() < 1e-5, "{share} %: {years} for {expected}");
        }
    }

    /// C 0.10, P 0.02, Si 0.40, Ni 0.30, Cr 0.50, Cu 0.35 %, sulfur as in plain steel: 0.523 - 0.084·0.05 - 0.490·0.01 -
    /// 0.163·0.38 - 0.066·0.28 - 0.124·0.47 - 0.069·0.30 = 0.3545. Plain steel and cast iron keep 0.523, whatever they
    /// contain.
    #[test]
    fn weathering_steel_grows_by_its_composition() {
        for (metal, b) in [("weathering_steel", 0.3545), ("malleable_iron", 0.523)] {
            let (years, answers) = grown(metal, r#"{"loss_um": 60}"#);
            assert_close(answers[0], -1.0 / b, metal);
            assert_close(years, 2.0_f64.powf(1.0 / b), metal);
        }
    }

    /// Stainless steel pits instead of thinning.
    #[test]
    fn stainless_steel_does_not_thin() {
        let duty = r#""first_year_steel_loss_um": 30, "failure": {"loss_um": 60}"#;
        let (life, growth) = life("", duty, "stainless_304 / stainless_alkaline / no film");
        assert!(growth.is_none() && life.terms.len() == 1);
    }

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
