//! What measured sites say of the dose-response function for steel: its bias and spread by temperature.
//!
//! [`first_year_loss_um()`](super::first_year_loss_um()) is the standard's. An outlook takes it times the bias, so that
//! as many measured sites lie above its median as below, with a spread by which a tenth of them lie on each side of
//! its 80% band:
//!
//! | annual mean temperature (°C) | -5 and below | 5 | 11 | 23 and above |
//! | --- | --- | --- | --- | --- |
//! | ln(measured/computed) | 0.32 | 0.50 | -0.12 | 0.24 |
//! | ln SD of sites | 0.42 | 0.36 | 0.38 | 0.54 |
//!
//! Between these both are straight lines. The function peaks about 10 °C; sites do so less.

use crate::source::Source;

/// Where bias and spread come from.
pub const BIAS_SOURCE: Source = Source::derived(
    "95 steel sites of ISO CORRAG (24 of 26 with humidity estimated from wetness), ICP Materials, MICAT and the \
     Russian network of Mikhailov, Strekalov & Panchenko (2008), years of a site averaged: straight lines over \
     temperature fitted to ln(measured/computed) and to the residuals, each drawn towards its mean over all sites; 8% \
     of the sites lie above the 80% band and 6% below",
);

/// Annual mean temperature (°C), bias, ln SD.
const KNOTS: [(f64, f64, f64); 4] =
    [(-5.0, 0.32, 0.42), (5.0, 0.50, 0.36), (11.0, -0.12, 0.38), (23.0, 0.24, 0.54)];

/// Bias of the dose-response function for steel at an annual mean temperature (°C): ln(measured/computed). Source:
/// [`BIAS_SOURCE`].
///
/// ```
/// use overcoat::atmosphere::steel_loss_bias_ln;
/// assert_eq!((steel_loss_bias_ln(-20.0), steel_loss_bias_ln(5.0)), (0.32, 0.5));
/// assert!(steel_loss_bias_ln(11.0) < 0.0);
/// ```
pub fn steel_loss_bias_ln(temperature_c: f64) -> f64 {
    at(temperature_c, |knot| knot.1)
}

/// Spread of measured sites around the dose-response function with its bias taken out, at an annual mean temperature
/// (°C): standard deviation of the logarithm of the first-year loss of steel. Source: [`BIAS_SOURCE`].
///
/// ```
/// use overcoat::atmosphere::steel_loss_log_sd;
/// assert!(steel_loss_log_sd(27.0) > steel_loss_log_sd(8.0));
/// ```
pub fn steel_loss_log_sd(temperature_c: f64) -> f64 {
    at(temperature_c, |knot| knot.2)
}

fn at(temperature_c: f64, of: impl Fn(&(f64, f64, f64)) -> f64) -> f64 {
    let [first, .., last] = &KNOTS;
    if temperature_c <= first.0 {
        return of(first);
    }
    for pair in KNOTS.windows(2) {
        if let [low, high] = pair
            && temperature_c <= high.0
        {
            let share = (temperature_c - low.0) / (high.0 - low.0);
            return of(low) + share * (of(high) - of(low));
        }
    }
    of(last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_meet_at_the_knots() {
        for (temperature, bias, spread) in KNOTS {
            for step in [-1e-9, 0.0, 1e-9] {
                assert!((steel_loss_bias_ln(temperature + step) - bias).abs() < 1e-8);
                assert!((steel_loss_log_sd(temperature + step) - spread).abs() < 1e-8);
            }
        }
        assert!((steel_loss_bias_ln(8.0) - 0.19).abs() < 1e-12);
        assert_eq!((steel_loss_bias_ln(-60.0), steel_loss_bias_ln(40.0)), (0.32, 0.24));
    }
}
