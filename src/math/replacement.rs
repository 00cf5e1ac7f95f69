//! How often parts are replaced within the required years, and what that weighs today.

use super::exp2::exp2_minus_one;

/// A life that ends with the last year needs no replacement; this much beyond counts as ending with it.
const ROUNDING: f64 = 1.0 - 1e-12;
/// Replacements that are counted at most: what is replaced more often fails at once, and no one buys it for that.
pub(crate) const MOST_REPLACEMENTS: f64 = 100.0;
/// Power of two that stands for any larger one, so that products with it stay finite.
const LARGEST_POWER: f64 = 500.0;

/// Replacements at the end of each of `lives` median lives within the required years (the required years over
/// the median), and the sum of the discount factors of these times as a numerator and a denominator;
/// `log2_growth` = log2(1 + rate) · median years.
///
/// With m the median life and n the count, Σ (1 + rate)^(-i·m), i = 1 to n, is
/// (1 - (1 + rate)^(-n·m)) / ((1 + rate)^m - 1).
#[inline(always)]
pub(crate) fn replacements<const FUSED: bool>(lives: f64, log2_growth: f64) -> (f64, f64, f64) {
    let count = (lives * ROUNDING).ceil() - 1.0;
    let count = if count > 0.0 { count } else { 0.0 };
    let count = if count < MOST_REPLACEMENTS { count } else { MOST_REPLACEMENTS };
    let power = if log2_growth < LARGEST_POWER { log2_growth } else { LARGEST_POWER };
    let numerator = -exp2_minus_one::<FUSED>(-count * power);
    let denominator = exp2_minus_one::<FUSED>(power);
    // without growth each replacement weighs one
    if power > 0.0 { (count, numerator, denominator) } else { (count, count, 1.0) }
}
