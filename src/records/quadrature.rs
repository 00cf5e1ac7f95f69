//! Integrals over one unknown whose logarithm of density is concave.
//!
//! The trapezoidal rule on evenly spaced points between places where the density is nothing converges faster than
//! any power of the spacing, needs no tables, and cannot miss a narrow peak since it is laid around it.

/// Points of the rule.
const POINTS: u32 = 96;
/// Drop of the logarithm of the density at both ends, `exp(-30) ≈ 1e-13`.
const DROP: f64 = 30.0;

/// Evenly spaced points that carry a density, with its logarithm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Density {
    pub(super) points: Vec<(f64, f64)>,
    spacing: f64,
}

/// Lays points over a density given as logarithm, slope and bend (negative), from a first guess of its top.
pub(super) fn lay(density: impl Fn(f64) -> (f64, f64, f64), guess: f64) -> Density {
    let mut x = guess;
    let mut here = density(x);
    for _ in 0..200 {
        let (value, slope, bend) = here;
        let mut step = -slope / bend;
        if !step.is_finite() || slope * step < 1e-12 {
            break;
        }
        let mut next = density(x + step);
        while (next.0.is_nan() || next.0 < value) && step.abs() > 1e-13 * (1.0 + x.abs()) {
            step *= 0.5;
            next = density(x + step);
        }
        x += step;
        here = next;
    }
    let (top, _, bend) = here;
    let width = (-1.0 / bend).sqrt();
    let edge = |direction: f64| {
        let (mut inside, mut outside) = (0.0, 8.0 * width);
        while density(x + direction * outside).0 > top - DROP && outside < 1e6 * width {
            inside = outside;
            outside *= 2.0;
        }
        // Shrinks what is too wide; a few steps do, the rule only needs to be near.
        for _ in 0..8 {
            let middle = f64::midpoint(inside, outside);
            if density(x + direction * middle).0 > top - DROP { inside = middle } else { outside = middle }
        }
        x + direction * outside
    };
    let (low, high) = (edge(-1.0), edge(1.0));
    let spacing = (high - low) / f64::from(POINTS);
    let points = (0..=POINTS)
        .map(|i| {
            let x = low + spacing * f64::from(i);
            (x, density(x).0)
        })
        .collect();
    Density { points, spacing }
}

impl Density {
    /// Logarithm of the integral.
    pub(super) fn ln_integral(&self) -> f64 {
        let peak = self.peak();
        let sum: f64 = self.points.iter().map(|(_, ln)| (ln - peak).exp()).sum();
        peak + (sum * self.spacing).ln()
    }

    fn peak(&self) -> f64 {
        self.points.iter().map(|(_, ln)| *ln).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Mean of functions under the density, normalised.
    pub(super) fn mean<const N: usize>(&self, f: impl Fn(f64) -> [f64; N]) -> [f64; N] {
        let peak = self.peak();
        let mut sums = [0.0; N];
        let mut total = 0.0;
        for (x, ln) in &self.points {
            let weight = (ln - peak).exp();
            total += weight;
            for (sum, value) in sums.iter_mut().zip(f(*x)) {
                *sum += weight * value;
            }
        }
        sums.map(|sum| sum / total)
    }

    /// Mean and variance of the unknown.
    pub(super) fn mean_and_variance(&self) -> (f64, f64) {
        let [mean] = self.mean(|x| [x]);
        let [variance] = self.mean(|x| [(x - mean).powi(2)]);
        (mean, variance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::normal_cdf_of as normal_cdf;

    #[test]
    fn a_normal_density_is_exact() {
        let (m, s) = (3.0, 0.02);
        let d = lay(|x| (-0.5 * ((x - m) / s).powi(2), -(x - m) / (s * s), -1.0 / (s * s)), 0.0);
        assert!((d.ln_integral() - (s * std::f64::consts::TAU.sqrt()).ln()).abs() < 1e-11);
        let (mean, variance) = d.mean_and_variance();
        assert!((mean - m).abs() < 1e-12 && (variance / (s * s) - 1.0).abs() < 1e-9);
    }

    /// A normal prior with one right-censored observation: the integral is the normal distribution function.
    #[test]
    fn a_lopsided_density_is_exact() {
        let d = lay(
            |x| {
                let curve = crate::records::Distribution::Lognormal.ln_survival(2.0 - x);
                (curve.value - 0.5 * x * x, -curve.slope - x, curve.bend - 1.0)
            },
            0.0,
        );
        let expected = std::f64::consts::TAU.sqrt() * normal_cdf(-2.0 / 2.0_f64.sqrt());
        assert!((d.ln_integral() - expected.ln()).abs() < 1e-11);
    }
}
