//! Powers of two: 2^y = 2^k · 2^r with k the integer next to y and r in -½ to ½.
//!
//! 2^r - 1 = r·q(r), with q the polynomial of degree 9 whose largest relative error over the interval is least
//! (Remez exchange at 50 digits): 1.2e-15.

use super::{mul_add, polynomial};

/// 1.5 · 2^52: adding it rounds to an integer, which then is in the low bits.
const ROUND: f64 = 6_755_399_441_055_744.0;

const Q: [f64; 10] = [
    0.693_147_180_559_946_2,
    0.240_226_506_959_098_56,
    0.055_504_108_664_653_29,
    0.009_618_129_107_735_969,
    0.001_333_355_820_047_253_5,
    0.000_154_035_302_556_085_8,
    1.525_267_313_086_464_9e-5,
    1.321_554_195_167_643_8e-6,
    1.020_586_422_047_117_6e-7,
    7.054_908_501_207_394e-9,
];

/// The integer next to `y` as a number whose low bits hold it, and the rest.
#[inline(always)]
fn split(y: f64) -> (f64, f64) {
    let rounded = y + ROUND;
    (rounded, y - (rounded - ROUND))
}

/// 2^y for -1022 ≤ y ≤ 1023, unchecked. Relative error under 2e-15 plus that of `y` itself.
#[inline(always)]
pub(crate) fn exp2_within<const FUSED: bool>(y: f64) -> f64 {
    let (rounded, r) = split(y);
    let power = mul_add::<FUSED>(polynomial::<FUSED, 10>(r, &Q), r, 1.0);
    // adding to the exponent multiplies by a power of two and leaves the multipliers to the polynomial
    f64::from_bits(power.to_bits().wrapping_add(rounded.to_bits() << 52))
}

/// 2^y; exactly 0 below -1022 and for not a number, infinite above 1023.
#[inline(always)]
pub(crate) fn exp2<const FUSED: bool>(y: f64) -> f64 {
    let power = exp2_within::<FUSED>(y);
    let power = if y <= 1023.0 { power } else { f64::INFINITY };
    if y >= -1022.0 { power } else { 0.0 }
}

/// 2^y - 1 for y up to 1022, accurate near y = 0 too; -1 for y below -60.
#[inline(always)]
pub(super) fn exp2_minus_one<const FUSED: bool>(y: f64) -> f64 {
    let y = if y > -60.0 { y } else { -60.0 };
    let (rounded, r) = split(y);
    let scale = f64::from_bits(rounded.to_bits().wrapping_add(1023) << 52);
    mul_add::<FUSED>(scale, polynomial::<FUSED, 10>(r, &Q) * r, scale - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steps of an irrational length over the whole range, so that all bits are met.
    fn points(low: f64, high: f64, count: u32) -> impl Iterator<Item = f64> {
        (0..count).map(move |i| low + (high - low) * (f64::from(i) * 0.618_033_988_749_894_9).fract())
    }

    #[test]
    fn it_agrees_with_the_standard_library_over_the_whole_range() {
        let mut worst = 0.0_f64;
        for y in points(-1022.0, 1023.0, 100_000).chain(points(-2.0, 2.0, 100_000)) {
            let exact = y.exp2();
            worst = worst.max((exp2::<true>(y) / exact - 1.0).abs());
            worst = worst.max((exp2::<false>(y) / exact - 1.0).abs());
        }
        assert!(worst < 2e-15, "{worst:e}");
    }

    #[test]
    fn integers_are_exact_and_the_ends_are_kept() {
        for k in -1022..=1023 {
            assert_eq!(exp2::<true>(f64::from(k)), f64::from(k).exp2());
        }
        assert_eq!(exp2::<true>(f64::NEG_INFINITY), 0.0);
        assert_eq!(exp2::<true>(-1022.1), 0.0);
        assert_eq!(exp2::<true>(f64::INFINITY), f64::INFINITY);
    }

    #[test]
    fn minus_one_keeps_its_figures_near_zero() {
        for y in points(-1.0, 1.0, 50_000).chain(points(-1e-9, 1e-9, 10_000)).filter(|y| *y != 0.0) {
            let exact = libm::expm1(y * std::f64::consts::LN_2);
            for found in [exp2_minus_one::<true>(y), exp2_minus_one::<false>(y)] {
                assert!((found / exact - 1.0).abs() < 3e-15, "{y}");
            }
        }
        assert_eq!(exp2_minus_one::<true>(0.0), 0.0);
        assert_eq!(exp2_minus_one::<true>(-2000.0), -1.0);
    }
}
