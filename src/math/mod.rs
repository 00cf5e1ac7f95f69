//! Numerics, each once: elementary functions for many rows at a time, the normal distribution, sums of lognormal
//! quantities, evenly spread points.
//!
//! | file | idea |
//! | --- | --- |
//! | `exp2` | powers of two |
//! | `log2` | logarithms to base two |
//! | `lognormal` | a lognormal quantity |
//! | `normal` | normal distribution function, accurate in both tails, and its inverse |
//! | `sum` | moments of the logarithm of a sum of lognormal quantities |
//! | `cubic` | a quantity whose logarithm is a cubic in a normal deviate: quantiles and probabilities |
//! | `lattice` | points that fill a cube evenly |
//! | `linear` | linear equations |
//! | `root` | where a function changes its sign, where a state ends, least values |
//! | `replacement` | replacements within the required years, discounted |
//!
//! Base two throughout: it spares the step between e and 2 on the way in and out, and lets every lognormal
//! constant be folded once. Each function is free of branches, so that loops over them become vector code
//! without any platform intrinsic. The loops are compiled for several instruction sets and the best one that
//! the machine has is taken when they are first called.
//!
//! **Same bits.** Only additions, multiplications, divisions, square roots and fused multiply-adds are used,
//! all of which round the same way whether they act on one number or on eight. A row alone, a row among a
//! million, and any number of threads therefore give the same bits on one machine. Between machines with and
//! without a fused multiply-add the last bits differ.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

/// Whether a·b + c is one instruction on the target for which the calling function is compiled.
macro_rules! fused {
    () => {
        target_cfg_f!(target_feature = "fma") || cfg!(target_arch = "aarch64")
    };
}

pub(crate) use fused;

pub(crate) mod cubic;
mod exp2;
pub(crate) mod lattice;
pub(crate) mod linear;
mod log2;
mod lognormal;
mod normal;
mod replacement;
pub(crate) mod root;
pub(crate) mod sum;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

pub(crate) use exp2::{exp2, exp2_within};
pub(crate) use log2::{log2, log2_of_normal};
pub use lognormal::Lognormal;
pub(crate) use normal::{Z90, normal_cdf, normal_quantile};
pub(crate) use replacement::{MOST_REPLACEMENTS, replacements};

/// a·b + c, in one rounding where the machine does it in one instruction.
#[inline(always)]
pub(crate) fn mul_add<const FUSED: bool>(a: f64, b: f64, c: f64) -> f64 {
    if FUSED { a.mul_add(b, c) } else { a * b + c }
}

/// Polynomial with the constant term first.
#[inline(always)]
fn polynomial<const FUSED: bool, const N: usize>(x: f64, coefficients: &[f64; N]) -> f64 {
    let mut rest = coefficients.iter().rev();
    let mut sum = rest.next().copied().unwrap_or(0.0);
    // a closure would not take the instruction set of the caller
    for &coefficient in rest {
        sum = mul_add::<FUSED>(sum, x, coefficient);
    }
    sum
}

/// [`normal_cdf`] of one number, with the bits of the columns; not a number gives not a number.
pub(crate) fn normal_cdf_of(z: f64) -> f64 {
    #[multiversion(targets(
        "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
        "x86_64+avx+avx2+fma+bmi1+bmi2"
    ))]
    fn dispatch(z: f64) -> f64 {
        normal_cdf::<{ fused!() }>(z)
    }
    if z.is_nan() { z } else { dispatch(z) }
}

/// [`replacements`] of one build, with the bits of the columns: the count and the discounted sum.
pub(crate) fn replacements_of(lives: f64, log2_growth: f64) -> (f64, f64) {
    #[multiversion(targets(
        "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
        "x86_64+avx+avx2+fma+bmi1+bmi2"
    ))]
    fn dispatch(lives: f64, log2_growth: f64) -> (f64, f64) {
        let (count, numerator, denominator) = replacements::<{ fused!() }>(lives, log2_growth);
        (count, numerator / denominator)
    }
    dispatch(lives, log2_growth)
}
