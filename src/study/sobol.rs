//! Shares of variance of a model with independent inputs: first-order and total Sobol indices.

use crate::Result;
use crate::error::{invalid, within};
use crate::evidence::Source;
use crate::math::lattice::Lattice;

/// Source of the estimators.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const SOBOL_ESTIMATORS: Source = Source::from_memory(
    "first order: Saltelli, A. et al.: Variance based sensitivity analysis of model output. Comput. Phys. Commun. \
     181 (2010) 259-270, table 2 (b); total: Jansen, M. J. W.: Analysis of variance designs for model output. \
     Comput. Phys. Commun. 117 (1999) 35-43",
);

/// Shifts of the points; each gives its own estimate.
const SHIFTS: u32 = 16;
/// Points of each shift where the caller names none: errors of about 0.01.
pub const USUAL_POINTS: u32 = 512;
const MOST_POINTS: u32 = 1 << 16;

/// The indices of a model.
#[derive(Debug, Clone, PartialEq)]
pub struct SobolIndices {
    /// Mean of the output.
    pub mean: f64,
    /// Variance of the output.
    pub variance: f64,
    /// One per input, in their order.
    pub indices: Vec<SobolIndex>,
    /// How often the model was run.
    pub runs: u64,
}

/// Indices of one input, each with its standard error. They are estimates: small ones may be below 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SobolIndex {
    /// Share of the variance that goes if this input alone becomes known.
    pub first_order: f64,
    /// Standard error of it.
    pub first_order_error: f64,
    /// Share of the variance that stays if all inputs but this one become known.
    pub total: f64,
    /// Standard error of it.
    pub total_error: f64,
}

/// First-order and total Sobol indices of `model`, a function of `inputs` independent inputs.
///
/// `inverse(i, u)` gives the value of input `i` that a share `u` of the cases stays below; `model` uses a value of
/// each. With A and B two independent samples of N points, A_B^i the sample A with input i from B, and f̄ the mean,
///
/// ```text
/// S_i  = 1/N Σ (f(B) - f̄)·(f(A_B^i) - f(A)) / V        T_i = 1/(2N) Σ (f(A) - f(A_B^i))² / V
/// ```
///
/// (`SOBOL_ESTIMATORS`) on 16 random shifts of a fixed lattice (`QUASI_RANDOM`);
/// the error is the standard deviation of the 16 estimates over √16. The same call gives the same bits. `points` is
/// N of each shift, 2 or more ([`USUAL_POINTS`]); the model runs 16·N·(inputs + 2) times. Where the output does not
/// vary, all indices are 0.
///
/// # Errors
/// No inputs, too few or too many points; an output that is not finite; errors of the model.
///
/// ```
/// use overcoat::study::{USUAL_POINTS, sobol_indices};
/// // variances of x and 2y are as 1 to 4; they do not work together
/// let found = sobol_indices(2, USUAL_POINTS, |_, u| u, |x| Ok(x[0] + 2.0 * x[1]))?;
/// assert!((found.indices[0].first_order - 0.2).abs() < 0.02);
/// assert!((found.indices[1].total - 0.8).abs() < 0.02);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn sobol_indices(
    inputs: usize,
    points: u32,
    inverse: impl Fn(usize, f64) -> f64,
    mut model: impl FnMut(&[f64]) -> Result<f64>,
) -> Result<SobolIndices> {
    if inputs == 0 {
        return Err(invalid("inputs", 0, "1 or more", "Give something that is uncertain."));
    }
    within(
        "points",
        f64::from(points),
        2.0,
        f64::from(MOST_POINTS),
        "points",
        "Enter a number of points; errors fall with about its square root.",
    )?;
    let mut run = |values: &[f64]| -> Result<f64> {
        let output = model(values)?;
        within("output", output, f64::NEG_INFINITY, f64::INFINITY, "", "Narrow the ranges of the inputs.")
    };
    let mut sums = Vec::with_capacity(SHIFTS as usize);
    let lattice = Lattice::new(points, 2 * inputs);
    for number in 0..SHIFTS {
        sums.push(Shift::run(lattice.shifted(number), inputs, &inverse, &mut run)?);
    }
    let count = f64::from(SHIFTS);
    let mean = sums.iter().map(|shift| shift.mean).sum::<f64>() / count;
    let variance = sums.iter().map(|shift| shift.variance).sum::<f64>() / count;
    let index = |input: usize| {
        let estimate = |of: fn(&Shift) -> &[f64]| {
            let each: Vec<f64> = sums
                .iter()
                .map(|s| of(s).get(input).copied().unwrap_or_default() / s.variance.max(f64::MIN_POSITIVE))
                .collect();
            let mean = each.iter().sum::<f64>() / count;
            let scatter = each.iter().map(|share| (share - mean).powi(2)).sum::<f64>() / (count - 1.0);
            (mean, (scatter / count).sqrt())
        };
        let (first_order, first_order_error) = estimate(|shift| &shift.first_order);
        let (total, total_error) = estimate(|shift| &shift.total);
        SobolIndex { first_order, first_order_error, total, total_error }
    };
    let runs = u64::from(SHIFTS) * u64::from(points) * (inputs as u64 + 2);
    Ok(SobolIndices { mean, variance, indices: (0..inputs).map(index).collect(), runs })
}

/// What one shift of the sequence gives.
struct Shift {
    mean: f64,
    variance: f64,
    /// Variance of the expectation given each input, and expectation of the variance given all others.
    first_order: Vec<f64>,
    total: Vec<f64>,
}

impl Shift {
    fn run(
        points: impl Iterator<Item = Vec<f64>>,
        inputs: usize,
        inverse: &impl Fn(usize, f64) -> f64,
        run: &mut impl FnMut(&[f64]) -> Result<f64>,
    ) -> Result<Self> {
        let mut of_a = Vec::new();
        let mut of_b = Vec::new();
        let mut of_mixed: Vec<Vec<f64>> = vec![Vec::new(); inputs];
        for mut both in points {
            for (place, coordinate) in both.iter_mut().enumerate() {
                *coordinate = inverse(place % inputs, *coordinate);
            }
            let (a, b) = both.split_at_mut(inputs);
            of_a.push(run(a)?);
            of_b.push(run(b)?);
            for ((value_a, value_b), outputs) in (0..inputs).zip(b.iter()).zip(&mut of_mixed) {
                let Some(slot) = a.get_mut(value_a) else { continue };
                let kept = std::mem::replace(slot, *value_b);
                let output = run(a)?;
                outputs.push(output);
                if let Some(slot) = a.get_mut(value_a) {
                    *slot = kept;
                }
            }
        }
        let count = of_a.len() as f64;
        let mean = (of_a.iter().sum::<f64>() + of_b.iter().sum::<f64>()) / (2.0 * count);
        let squares = of_a.iter().chain(&of_b).map(|output| (output - mean).powi(2)).sum::<f64>();
        let first_order = of_mixed.iter().map(|mixed| {
            let products = of_a.iter().zip(&of_b).zip(mixed).map(|((a, b), m)| (b - mean) * (m - a));
            products.sum::<f64>() / count
        });
        let total = of_mixed.iter().map(|mixed| {
            let squares = of_a.iter().zip(mixed).map(|(a, m)| (a - m).powi(2));
            squares.sum::<f64>() / (2.0 * count)
        });
        Ok(Self {
            mean,
            variance: squares / (2.0 * count),
            first_order: first_order.collect(),
            total: total.collect(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn check(found: &SobolIndices, first_order: &[f64], total: &[f64], bound: f64) {
        for (input, index) in found.indices.iter().enumerate() {
            // five standard errors, and a fixed bound so that a large error is no excuse
            let apart = |value: f64, wanted: f64, error: f64| {
                assert!(
                    (value - wanted).abs() < (5.0 * error + 2e-3).min(bound),
                    "{input}: {value} {wanted} {error}"
                );
            };
            apart(index.first_order, first_order[input], index.first_order_error);
            apart(index.total, total[input], index.total_error);
        }
    }

    /// Ishigami & Homma (1990), sin x1 + a sin² x2 + b x3⁴ sin x1 with a = 7, b = 0.1, each within ±π: variances
    /// in closed form.
    #[test]
    fn the_ishigami_function_has_its_known_indices() {
        let (a, b) = (7.0_f64, 0.1_f64);
        let v1 = 0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2);
        let v2 = a * a / 8.0;
        let v13 = b * b * PI.powi(8) * 8.0 / 225.0;
        let v = v1 + v2 + v13;
        let found = sobol_indices(
            3,
            1024,
            |_, u| PI * (2.0 * u - 1.0),
            |x| Ok(x[0].sin() + a * x[1].sin().powi(2) + b * x[2].powi(4) * x[0].sin()),
        )
        .unwrap();
        assert!((found.variance / v - 1.0).abs() < 0.02 && (found.mean - a / 2.0).abs() < 0.05);
        check(&found, &[v1 / v, v2 / v, 0.0], &[(v1 + v13) / v, v2 / v, v13 / v], 0.02);
        assert_eq!(found.runs, 16 * 1024 * 5);
    }

    /// Sobol's g-function, Π (|4x - 2| + a)/(1 + a), with a = 0, 1, 4.5, 9, 99, 99, 99, 99.
    #[test]
    fn the_g_function_has_its_known_indices() {
        let a = [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0];
        let v: Vec<f64> = a.iter().map(|a| 1.0 / (3.0 * (1.0 + a) * (1.0 + a))).collect();
        let product: f64 = v.iter().map(|v| 1.0 + v).product();
        let total = product - 1.0;
        let found = sobol_indices(
            8,
            1024,
            |_, u| u,
            |x| Ok(x.iter().zip(a).map(|(x, a)| ((4.0 * x - 2.0).abs() + a) / (1.0 + a)).product()),
        )
        .unwrap();
        let first: Vec<f64> = v.iter().map(|v| v / total).collect();
        let totals: Vec<f64> = v.iter().map(|v| v * product / (1.0 + v) / total).collect();
        check(&found, &first, &totals, 0.02);
    }

    /// Each input is drawn by its own number: the third of three lies between 2 and 3, in both samples.
    #[test]
    fn each_input_has_its_own_distribution() {
        let found = sobol_indices(
            3,
            64,
            |input, u| input as f64 + u,
            |x| {
                for (place, value) in x.iter().enumerate() {
                    assert!((place as f64..=place as f64 + 1.0).contains(value), "{x:?}");
                }
                Ok(x.iter().sum())
            },
        );
        assert!((found.unwrap().mean - 4.5).abs() < 1e-2);
    }

    /// A mean far from 0 does no harm: of 1000 + x + 2y the variances are 1/12 and 4/12.
    #[test]
    fn a_large_mean_leaves_the_indices_alone() {
        let found = sobol_indices(2, 512, |_, u| u, |x| Ok(1000.0 + x[0] + 2.0 * x[1])).unwrap();
        assert!((found.mean - 1001.5).abs() < 1e-2 && (found.variance - 5.0 / 12.0).abs() < 1e-2);
        check(&found, &[0.2, 0.8], &[0.2, 0.8], 0.01);
    }

    /// The standard error of a mean of n estimates is the root of Σ (xᵢ - x̄)²/(n·(n - 1)).
    #[test]
    fn errors_are_those_of_the_mean_over_the_shifts() {
        let model = |x: &[f64]| Ok((3.0 * x[0]).sin() * x[1] + x[0]);
        let found = sobol_indices(2, 64, |_, u| u, model).unwrap();
        let lattice = Lattice::new(64, 4);
        let shifts: Vec<Shift> = (0..16)
            .map(|number| Shift::run(lattice.shifted(number), 2, &|_, u| u, &mut { model }).unwrap())
            .collect();
        let error = |of: fn(&Shift) -> f64| {
            let shares: Vec<f64> = shifts.iter().map(|shift| of(shift) / shift.variance).collect();
            let mean = shares.iter().sum::<f64>() / 16.0;
            (shares.iter().map(|share| (share - mean).powi(2)).sum::<f64>() / (16.0 * 15.0)).sqrt()
        };
        assert!((found.indices[0].first_order_error / error(|s| s.first_order[0]) - 1.0).abs() < 1e-12);
        assert!((found.indices[1].total_error / error(|s| s.total[1]) - 1.0).abs() < 1e-12);
    }

    /// The same bits in every call, and an error that shrinks as points are added.
    #[test]
    fn a_call_is_repeatable_and_its_error_falls_with_the_points() {
        let model =
            |points| sobol_indices(2, points, |_, u| u, |x| Ok((3.0 * x[0]).sin() * x[1] + x[0])).unwrap();
        assert_eq!(model(128), model(128));
        assert!(model(4096).indices[0].first_order_error < 0.5 * model(128).indices[0].first_order_error);
    }

    #[test]
    fn what_cannot_be_estimated_is_refused() {
        let constant = sobol_indices(2, 64, |_, u| u, |_| Ok(4.0)).unwrap();
        assert!(constant.indices.iter().all(|i| i.first_order == 0.0 && i.total == 0.0));
        assert_eq!(sobol_indices(0, 64, |_, u| u, |_| Ok(4.0)).unwrap_err().field(), "inputs");
        assert_eq!(sobol_indices(1, 1, |_, u| u, |_| Ok(4.0)).unwrap_err().field(), "points");
        assert_eq!(sobol_indices(1, 64, |_, u| u, |_| Ok(f64::NAN)).unwrap_err().field(), "output");
    }
}
