//! First-year loss of a row, and of columns of rows.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LOG2_E;
use std::sync::LazyLock;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use crate::atmosphere::{
    DOSE_COEFFICIENTS, DoseCoefficients, DoseInputs, StandardMetal, VALIDITY, ValidityInterval,
};
use crate::math::{exp2_within, fused, log2, mul_add};

/// The constants of a dose-response function on the scale of log2: each term is 2 to the power of a sum.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DoseLogs {
    so2_log2_factor: f64,
    so2_exponent: f64,
    so2_per_pct: f64,
    so2_cold_per_c: f64,
    so2_warm_per_c: f64,
    chloride_log2_factor: f64,
    chloride_exponent: f64,
    chloride_per_pct: f64,
    chloride_per_c: f64,
}

static DOSE_LOGS: LazyLock<[DoseLogs; 4]> = LazyLock::new(|| DOSE_COEFFICIENTS.map(|c| DoseLogs::new(&c)));

impl DoseLogs {
    fn new(c: &DoseCoefficients) -> Self {
        Self {
            so2_log2_factor: c.so2_factor.log2(),
            so2_exponent: c.so2_exponent,
            so2_per_pct: c.so2_humidity_per_pct * LOG2_E,
            so2_cold_per_c: c.so2_cold_per_c * LOG2_E,
            so2_warm_per_c: c.so2_warm_per_c * LOG2_E,
            chloride_log2_factor: c.chloride_factor.log2(),
            chloride_exponent: c.chloride_exponent,
            chloride_per_pct: c.chloride_humidity_per_pct * LOG2_E,
            chloride_per_c: c.chloride_temperature_per_c * LOG2_E,
        }
    }

    /// Those of one metal.
    pub(crate) fn of(metal: StandardMetal) -> &'static Self {
        let [steel, zinc, copper, aluminium] = &*DOSE_LOGS;
        match metal {
            StandardMetal::Steel => steel,
            StandardMetal::Zinc => zinc,
            StandardMetal::Copper => copper,
            StandardMetal::Aluminium => aluminium,
        }
    }
}

/// What the functions of all metals share in one row.
#[derive(Clone, Copy)]
struct Shared {
    temperature_c: f64,
    above_10_c: f64,
    relative_humidity_pct: f64,
    log2_so2: f64,
    log2_chloride: f64,
    so2_present: bool,
    chloride_present: bool,
}

impl Shared {
    #[inline(always)]
    fn new<const FUSED: bool>(
        temperature_c: f64,
        relative_humidity_pct: f64,
        so2: f64,
        chloride: f64,
    ) -> Self {
        Self {
            temperature_c,
            above_10_c: temperature_c - 10.0,
            relative_humidity_pct,
            log2_so2: log2::<FUSED>(so2),
            log2_chloride: log2::<FUSED>(chloride),
            so2_present: so2 > 0.0,
            chloride_present: chloride > 0.0,
        }
    }
}

/// The SO2 term and the chloride term. Of inputs that were checked, no power leaves the range of
/// [`exp2_within`]; a deposition of zero is set apart, since its term is exactly zero.
#[inline(always)]
fn terms<const FUSED: bool>(c: &DoseLogs, row: Shared) -> (f64, f64) {
    let per_c = if row.above_10_c > 0.0 { c.so2_warm_per_c } else { c.so2_cold_per_c };
    let so2 = mul_add::<FUSED>(per_c, row.above_10_c, c.so2_log2_factor);
    let so2 = mul_add::<FUSED>(c.so2_per_pct, row.relative_humidity_pct, so2);
    let so2 = exp2_within::<FUSED>(mul_add::<FUSED>(c.so2_exponent, row.log2_so2, so2));
    let chloride = mul_add::<FUSED>(c.chloride_per_c, row.temperature_c, c.chloride_log2_factor);
    let chloride = mul_add::<FUSED>(c.chloride_per_pct, row.relative_humidity_pct, chloride);
    let chloride = exp2_within::<FUSED>(mul_add::<FUSED>(c.chloride_exponent, row.log2_chloride, chloride));
    (if row.so2_present { so2 } else { 0.0 }, if row.chloride_present { chloride } else { 0.0 })
}

/// The loss of one row from its two terms.
#[inline(always)]
pub(crate) fn steel_loss_um<const FUSED: bool>(
    steel: &DoseLogs,
    temperature_c: f64,
    relative_humidity_pct: f64,
    so2: f64,
    chloride: f64,
) -> f64 {
    let row = Shared::new::<FUSED>(temperature_c, relative_humidity_pct, so2, chloride);
    let (so2, chloride) = terms::<FUSED>(steel, row);
    so2 + chloride
}

/// Whether a row may hold what no place can have, by comparing bits: for numbers of 0 or more they are ordered
/// as the numbers are, and negative numbers and not-a-numbers are above all of them. A negative zero is named
/// too, so the caller looks again.
#[inline(always)]
fn is_suspect(temperature_c: f64, relative_humidity_pct: f64, so2: f64, chloride: f64) -> bool {
    const INFINITE: u64 = f64::INFINITY.to_bits();
    // -60 to 40 °C lies within 50 K of -10 °C
    ((temperature_c + 10.0).abs().to_bits() > 50.0_f64.to_bits())
        | (relative_humidity_pct.to_bits() > 100.0_f64.to_bits())
        | (so2.to_bits() >= INFINITE)
        | (chloride.to_bits() >= INFINITE)
}

/// The SO2 term and the chloride term of one row (µm), of inputs that were checked before.
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
pub(crate) fn terms_um(c: &DoseLogs, inputs: &DoseInputs) -> (f64, f64) {
    const FUSED: bool = fused!();
    let row = Shared::new::<FUSED>(
        inputs.temperature_c,
        inputs.relative_humidity_pct,
        inputs.so2_mg_m2_day,
        inputs.chloride_mg_m2_day,
    );
    terms::<FUSED>(c, row)
}

/// Loss of one metal in each row (µm); whether some row is suspect, and its loss so without meaning.
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
pub(crate) fn one_metal_into(c: &DoseLogs, [t, rh, so2, cl]: [&[f64]; 4], loss_um: &mut [f64]) -> bool {
    const FUSED: bool = fused!();
    let mut suspect = 0_u64;
    for ((((&t, &rh), &so2), &cl), loss) in t.iter().zip(rh).zip(so2).zip(cl).zip(loss_um) {
        suspect |= u64::from(is_suspect(t, rh, so2, cl));
        let (so2, chloride) = terms::<FUSED>(c, Shared::new::<FUSED>(t, rh, so2, cl));
        *loss = so2 + chloride;
    }
    suspect != 0
}

/// Loss of all four metals in each row (µm), each row's logarithms taken once; otherwise as
/// [`one_metal_into`].
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
pub(crate) fn four_metals_into([t, rh, so2, cl]: [&[f64]; 4], loss_um: [&mut [f64]; 4]) -> bool {
    const FUSED: bool = fused!();
    let [steel, zinc, copper, aluminium] = *DOSE_LOGS;
    let [steel_um, zinc_um, copper_um, aluminium_um] = loss_um;
    let mut suspect = 0_u64;
    let inputs = t.iter().zip(rh).zip(so2).zip(cl);
    let outputs = steel_um.iter_mut().zip(zinc_um).zip(copper_um).zip(aluminium_um);
    for ((((&t, &rh), &so2), &cl), (((steel_um, zinc_um), copper_um), aluminium_um)) in inputs.zip(outputs) {
        suspect |= u64::from(is_suspect(t, rh, so2, cl));
        let row = Shared::new::<FUSED>(t, rh, so2, cl);
        for (c, loss) in
            [(&steel, steel_um), (&zinc, zinc_um), (&copper, copper_um), (&aluminium, aluminium_um)]
        {
            let (so2, chloride) = terms::<FUSED>(c, row);
            *loss = so2 + chloride;
        }
    }
    suspect != 0
}

/// How many rows hold an input outside the validity intervals.
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
pub(crate) fn count_outside([t, rh, so2, cl]: [&[f64]; 4]) -> u64 {
    let [for_t, for_rh, for_so2, for_cl] = VALIDITY;
    let mut count = 0;
    for (((&t, &rh), &so2), &cl) in t.iter().zip(rh).zip(so2).zip(cl) {
        let outside = is_outside(&for_t, t)
            | is_outside(&for_rh, rh)
            | is_outside(&for_so2, so2)
            | is_outside(&for_cl, cl);
        count += u64::from(outside);
    }
    count
}

#[inline(always)]
fn is_outside(interval: &ValidityInterval, value: f64) -> bool {
    !(interval.low..=interval.high).contains(&value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The formula of ISO 9223 with powers and exponentials of the standard library.
    fn by_the_library(c: &DoseCoefficients, t: f64, rh: f64, so2: f64, chloride: f64) -> f64 {
        let per_c = if t <= 10.0 { c.so2_cold_per_c } else { c.so2_warm_per_c };
        c.so2_factor * so2.powf(c.so2_exponent) * (c.so2_humidity_per_pct * rh + per_c * (t - 10.0)).exp()
            + c.chloride_factor
                * chloride.powf(c.chloride_exponent)
                * (c.chloride_humidity_per_pct * rh + c.chloride_temperature_per_c * t).exp()
    }

    #[test]
    fn losses_agree_with_the_library_over_all_that_is_accepted() {
        let at = |row: u32, step: f64| (0.5 + f64::from(row) * step).fract();
        let column = |pick: &dyn Fn(u32) -> f64| (0..100_000).map(pick).collect::<Vec<f64>>();
        let t = column(&|row| -60.0 + 100.0 * at(row, 0.856_674_883_854_502_9));
        let rh = column(&|row| 100.0 * at(row, 0.733_891_856_627_126_4));
        let so2 = column(&|row| 1e-4 * 5e7_f64.powf(at(row, 0.628_706_720_890_297_6)));
        let chloride = column(&|row| 1e-4 * 2e8_f64.powf(at(row, 0.538_597_257_217_295_3)));
        let mut losses = [(); 4].map(|()| vec![0.0; t.len()]);
        let [steel, zinc, copper, aluminium] = &mut losses;
        assert!(!four_metals_into([&t, &rh, &so2, &chloride], [steel, zinc, copper, aluminium]));
        let mut worst = 0.0_f64;
        for (c, losses) in DOSE_COEFFICIENTS.iter().zip(&losses) {
            for (row, loss) in losses.iter().enumerate() {
                let wanted = by_the_library(c, t[row], rh[row], so2[row], chloride[row]);
                worst = worst.max((loss / wanted - 1.0).abs());
            }
        }
        assert!(worst < 2e-14, "{worst:e}");
    }

    /// One bad row among good ones, and a row with two bad values, are suspect to one metal as to all four.
    #[test]
    fn a_table_with_a_bad_row_is_suspect() {
        let good = [10.0, 75.0, 5.0, 5.0];
        let suspect = |rows: &[[f64; 4]]| {
            let [t, rh, so2, chloride] =
                [0, 1, 2, 3].map(|column: usize| rows.iter().map(|row| row[column]).collect::<Vec<f64>>());
            let table = [&t[..], &rh, &so2, &chloride];
            let mut losses = [(); 5].map(|()| vec![0.0; rows.len()]);
            let [steel, zinc, copper, aluminium, alone] = &mut losses;
            let of_one = one_metal_into(DoseLogs::of(StandardMetal::Steel), table, alone);
            assert_eq!(of_one, four_metals_into(table, [steel, zinc, copper, aluminium]));
            assert_eq!(losses[0].last(), losses[4].last());
            of_one
        };
        assert!(!suspect(&[good, good]));
        for bad in [
            [f64::NAN, 75.0, 5.0, 5.0],
            [50.0, 120.0, 5.0, 5.0],
            [10.0, 120.0, -1.0, 5.0],
            [10.0, 75.0, -1.0, -1.0],
        ] {
            assert!(suspect(&[bad, good]) && suspect(&[good, bad, good]), "{bad:?}");
        }
    }

    /// A row counts once, however many of its values lie outside (ISO 9223: -17.1 to 28.7 °C, 34 to 93%, 0.7 to
    /// 150.4 of SO2, 0.4 to 760.5 mg/(m²·d) of chloride).
    #[test]
    fn a_row_outside_the_validity_counts_once() {
        let rows = [
            [28.7, 93.0, 150.4, 760.5],
            [28.8, 75.0, 5.0, 5.0],
            [10.0, 33.0, 5.0, 5.0],
            [10.0, 75.0, 0.6, 5.0],
            [10.0, 75.0, 5.0, 761.0],
            [30.0, 95.0, 5.0, 5.0],
            [10.0, 95.0, 200.0, 5.0],
            [10.0, 75.0, 200.0, 800.0],
            [30.0, 95.0, 200.0, 800.0],
        ];
        let [t, rh, so2, chloride] = [0, 1, 2, 3].map(|column: usize| rows.map(|row| row[column]));
        assert_eq!(count_outside([&t, &rh, &so2, &chloride]), 8);
    }

    #[test]
    fn suspects_are_what_no_place_can_have() {
        for (bad, suspect) in [
            ([40.0, 0.0, 0.0, 0.0], false),
            ([-60.0, 100.0, 1e300, 5e-324], false),
            ([f64::next_up(40.0), 50.0, 1.0, 1.0], true),
            ([f64::next_down(-60.0), 50.0, 1.0, 1.0], true),
            ([10.0, f64::next_up(100.0), 1.0, 1.0], true),
            ([10.0, -1e-300, 1.0, 1.0], true),
            ([10.0, 50.0, f64::NAN, 1.0], true),
            ([10.0, 50.0, 1.0, f64::INFINITY], true),
            ([f64::NAN, 50.0, 1.0, 1.0], true),
        ] {
            let [t, rh, so2, chloride] = bad;
            assert_eq!(is_suspect(t, rh, so2, chloride), suspect, "{bad:?}");
        }
    }
}
