//! What measured sites say of the dose-response function for steel: its bias by temperature, and the spread about it.
//!
//! [`first_year_loss_um()`](super::first_year_loss_um()) is the standard's. An outlook takes it times the bias, so that
//! as many measured sites are above its median as below, with a spread by which about a tenth of them are on each side
//! of its 80% band:
//!
//! | annual mean temperature (°C) | -5 and below | 5 | 11 | 23 and above |
//! | --- | --- | --- | --- | --- |
//! | ln(measured/computed) | 0.31 | 0.54 | -0.11 | 0.22 |
//!
//! and straight lines between. The function peaks about 10 °C; sites do so less. The spread, an ln SD of 0.41, is one for
//! all climates: sites of 0 to 10 °C scatter less (0.30), those above 20 °C more (0.58), but 12 of these 14 are of one
//! programme, and a spread by temperature does not predict the scatter of programmes left out (`tests/validation/REPORT.md`).

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LOG2_E;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use crate::evidence::Source;
use crate::math::{exp2, fused};

/// Where bias and spread come from.
pub(crate) const BIAS_SOURCE: Source = Source::derived(
    "95 steel sites of ISO CORRAG (24 of 26 with humidity estimated from wetness), ICP Materials, MICAT and the \
     Russian network of Mikhailov, Strekalov & Panchenko (2008), years of a site averaged: straight lines over \
     temperature fitted to ln(measured/computed), their ends drawn towards the mean over all sites with an ln SD of \
     0.3; residuals of ln SD 0.40, and 0.41 is what ISO 9223:2012, table A.1, states. 7% of the sites are above the 80% \
     band and 6% below; of programmes that are left out of the fit in turn, 8% and 7%",
);

/// Spread of measured sites about the dose-response function for steel times its bias: standard deviation of the
/// logarithm of the first-year loss. Source: `BIAS_SOURCE`.
pub(crate) const SITE_LOG_SD: f64 = 0.41;

/// Annual mean temperature (°C), ln(measured/computed).
const KNOTS: [(f64, f64); 4] = [(-5.0, 0.31), (5.0, 0.54), (11.0, -0.11), (23.0, 0.22)];

/// ln(measured/computed): each stretch of temperature adds its share of the way to its end.
#[inline(always)]
fn ln_bias(temperature_c: f64) -> f64 {
    let [(_, first), ..] = KNOTS;
    KNOTS.windows(2).fold(first, |sum, pair| {
        let &[(low, from), (high, to)] = pair else { return sum };
        let inside = if temperature_c > low { temperature_c } else { low };
        let inside = if inside < high { inside } else { high };
        sum + (inside - low) / (high - low) * (to - from)
    })
}

/// [`steel_loss_bias`] in a loop over rows.
#[inline(always)]
pub(crate) fn bias<const FUSED: bool>(temperature_c: f64) -> f64 {
    exp2::<FUSED>(ln_bias(temperature_c) * LOG2_E)
}

/// Loss of steel measured at sites of an annual mean temperature (°C) over that of the dose-response function: what an
/// outlook multiplies the function by. Source: `BIAS_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::steel_loss_bias;
/// assert!((steel_loss_bias(5.0) - 0.54_f64.exp()).abs() < 1e-12);
/// assert!(steel_loss_bias(11.0) < 1.0);
/// ```
pub fn steel_loss_bias(temperature_c: f64) -> f64 {
    #[multiversion(targets(
        "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
        "x86_64+avx+avx2+fma+bmi1+bmi2"
    ))]
    fn dispatch(temperature_c: f64) -> f64 {
        bias::<{ fused!() }>(temperature_c)
    }
    dispatch(temperature_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_meet_at_the_knots() {
        for (temperature, ln) in KNOTS {
            for step in [-1e-9, 0.0, 1e-9] {
                assert!((steel_loss_bias(temperature + step).ln() - ln).abs() < 1e-8);
            }
        }
        // halfway between 5 and 11 °C
        assert!((steel_loss_bias(8.0).ln() - 0.215).abs() < 1e-12);
        assert!((steel_loss_bias(-60.0).ln() - 0.31).abs() < 1e-12);
        assert!((steel_loss_bias(40.0).ln() - 0.22).abs() < 1e-12);
    }
}
