//! How often parts are replaced within the required years, and what that weighs today.

use super::exp2::exp2_minus_one;

/// Replacements at the end of each median life within the required years, and the sum of the discount factors
/// of these times; `log2_growth` = log2(1 + rate).
///
/// With m the median life and n the count, Σ (1 + rate)^(-i·m), i = 1 to n, is
/// (1 - (1 + rate)^(-n·m)) / ((1 + rate)^m - 1). A life that ends with the last year needs no replacement;
/// beyond a million the count means "always".
#[inline(always)]
pub(crate) fn replacements<const FUSED: bool>(
    median_years: f64,
    required_years: f64,
    log2_growth: f64,
) -> (f64, f64) {
    let lives = (required_years / median_years).ceil() - 1.0;
    let count = if lives > 0.0 { lives } else { 0.0 };
    let count = if count < 1e6 { count } else { 1e6 };
    let growth = median_years * log2_growth;
    let sum = -exp2_minus_one::<FUSED>(-count * growth) / exp2_minus_one::<FUSED>(growth);
    let discounted = if growth > 0.0 { sum } else { count };
    (count, if count > 0.0 { discounted } else { 0.0 })
}
