//! Logarithms to base two: log2 x = k + log2 m with m between √½ and √2.
//!
//! With s = (m - 1)/(m + 1), log2 m = s·p(s²); p is the polynomial of degree 6 whose largest relative error
//! over the interval is least (Remez exchange at 50 digits): 1.7e-16.

use super::{mul_add, polynomial};

/// Bits of √½, where the interval of m begins.
const BEGIN: u64 = 0x3fe6_a09e_667f_3bcd;
const FRACTION: u64 = 0x000f_ffff_ffff_ffff;
/// 1.5 · 2^52, whose low bits hold an integer of either sign.
const ROUND: f64 = 6_755_399_441_055_744.0;
/// 2^54 lifts a subnormal number into the normal range.
const LIFT: f64 = 18_014_398_509_481_984.0;

const P: [f64; 7] = [
    2.885_390_081_777_927,
    0.961_796_693_924_323_7,
    0.577_078_017_250_735_8,
    0.412_198_401_400_741_43,
    0.320_616_431_120_207_27,
    0.261_442_934_356_292_9,
    0.242_931_166_346_666_28,
];

/// log2 of a normal positive finite number, unchecked. Error under 4e-16 of the larger of the result and 1; the
/// result near x = 1 keeps its relative accuracy.
#[inline(always)]
pub(crate) fn log2_of_normal<const FUSED: bool>(x: f64) -> f64 {
    let from_begin = x.to_bits().wrapping_sub(BEGIN);
    let exponent = from_begin.cast_signed() >> 52;
    let k = f64::from_bits(ROUND.to_bits().wrapping_add_signed(exponent)) - ROUND;
    let m = f64::from_bits((from_begin & FRACTION).wrapping_add(BEGIN));
    let s = (m - 1.0) / (m + 1.0);
    mul_add::<FUSED>(polynomial::<FUSED, 7>(s * s, &P), s, k)
}

/// log2 x for finite x; -∞ for 0, and for what has no logarithm.
#[inline(always)]
pub(crate) fn log2<const FUSED: bool>(x: f64) -> f64 {
    let subnormal = x < f64::MIN_POSITIVE;
    let log = log2_of_normal::<FUSED>(if subnormal { x * LIFT } else { x });
    let log = if subnormal { log - 54.0 } else { log };
    if x > 0.0 { log } else { f64::NEG_INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_agrees_with_the_standard_library_over_the_whole_range() {
        let mut worst = 0.0_f64;
        for i in 0..200_000_u32 {
            let u = (f64::from(i) * 0.618_033_988_749_894_9).fract();
            for x in [(2046.0 * u - 1022.9).exp2(), 0.5 + u, 1.0 + (u - 0.5) * 1e-6] {
                let exact = x.log2();
                for found in [log2::<true>(x), log2::<false>(x)] {
                    worst = worst.max((found - exact).abs() / exact.abs().max(1e-300));
                }
            }
        }
        assert!(worst < 2e-15, "{worst:e}");
    }

    #[test]
    fn powers_are_exact_and_the_ends_are_kept() {
        for k in -1074..=1023 {
            assert_eq!(log2::<true>(f64::from(k).exp2()), f64::from(k));
        }
        assert_eq!(log2::<true>(0.0), f64::NEG_INFINITY);
        assert!((log2::<true>(f64::MAX) - 1024.0).abs() < 1e-12);
    }
}
