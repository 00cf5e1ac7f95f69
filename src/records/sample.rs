//! Records as the likelihood sees them, and its maximum.
//!
//! The likelihood is climbed in `α = 1/σ` and `β = μ/σ`, in which `z = α y - β` is a line and the logarithm of
//! the likelihood of a log-concave density is concave, with exact, right-, left- and interval-censored rows
//! alike (`CONCAVE`). Newton's method with step halving then finds the one maximum from any start.

use super::distribution::{Curve, Distribution};
use super::record::{Outcome, Record, check_records};
use crate::error::table_error;
use crate::evidence::Source;
use crate::{Error, Result};

/// Why the maximum is the only one.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CONCAVE: Source = Source::from_memory(
    "Pratt, J. W.: Concavity of the log likelihood. J. Am. Stat. Assoc. 76 (1981) 103-106; Burridge, J.: A note \
     on maximum likelihood estimation for regression models using grouped data. J. R. Stat. Soc. B 43 (1981) \
     41-45",
);

/// One or more records alike: logarithms of the hours between which the failure lies, equal where it was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) weight: f64,
}

/// A value with gradient and second derivatives (11, 12, 22) by two parameters.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Surface {
    pub(super) value: f64,
    pub(super) gradient: [f64; 2],
    pub(super) hessian: [f64; 3],
}

impl Surface {
    fn add(&mut self, other: &Self, weight: f64) {
        self.value += weight * other.value;
        for (sum, term) in self.gradient.iter_mut().zip(other.gradient) {
            *sum += weight * term;
        }
        for (sum, term) in self.hessian.iter_mut().zip(other.hessian) {
            *sum += weight * term;
        }
    }

    /// A function of `z = α y - β` as one of `α` and `β`.
    fn of_line(curve: Curve, y: f64) -> Self {
        Self {
            value: curve.value,
            gradient: [curve.slope * y, -curve.slope],
            hessian: [curve.bend * y * y, -curve.bend * y, curve.bend],
        }
    }
}

impl Row {
    pub(super) fn of(record: &Record) -> Self {
        let low = record.hours.ln();
        let high = match record.outcome {
            Outcome::Failed => low,
            Outcome::Intact => f64::INFINITY,
            Outcome::Between => record.until_hours.map_or(f64::INFINITY, f64::ln),
        };
        Self { low, high, weight: record.weight }
    }

    pub(super) fn is_exact(self) -> bool {
        self.low == self.high
    }

    /// A single time that stands for the row in a first guess.
    pub(super) fn middle(self) -> f64 {
        match (self.low.is_finite(), self.high.is_finite()) {
            (true, true) => f64::midpoint(self.low, self.high),
            (true, false) => self.low,
            _ => self.high,
        }
    }

    /// Logarithm of the likelihood of one such record by `α` and `β`.
    pub(super) fn likelihood(self, distribution: Distribution, alpha: f64, beta: f64) -> Surface {
        let z = |y: f64| alpha * y - beta;
        if self.is_exact() {
            return exact(distribution, alpha, beta, self.low);
        }
        if self.high == f64::INFINITY {
            return Surface::of_line(distribution.ln_survival(z(self.low)), self.low);
        }
        if self.low == f64::NEG_INFINITY {
            return Surface::of_line(distribution.ln_failure(z(self.high)), self.high);
        }
        if alpha * (self.high - self.low) < NARROW {
            self.narrow(distribution, alpha, beta)
        } else {
            self.wide(distribution, alpha, beta)
        }
    }

    fn wide(self, distribution: Distribution, alpha: f64, beta: f64) -> Surface {
        let (low, high) = (alpha * self.low - beta, alpha * self.high - beta);
        let value = distribution.ln_between(low, high);
        let (at_low, at_high) = (distribution.ln_density(low), distribution.ln_density(high));
        // Density over probability at both ends, and its derivative by z there.
        let (a, b) = ((at_low.value - value).exp(), (at_high.value - value).exp());
        let (da, db) = (a * at_low.slope, b * at_high.slope);
        let (ya, yb) = (self.low, self.high);
        let gradient = [b * yb - a * ya, a - b];
        let [g1, g2] = gradient;
        Surface {
            value,
            gradient,
            hessian: [db * yb * yb - da * ya * ya - g1 * g1, da * ya - db * yb - g1 * g2, db - da - g2 * g2],
        }
    }

    /// A narrow interval by Gauss's rule of three points: the difference of its ends would lose digits.
    fn narrow(self, distribution: Distribution, alpha: f64, beta: f64) -> Surface {
        let (middle, half) = (f64::midpoint(self.low, self.high), 0.5 * (self.high - self.low));
        let points = [(-0.6_f64.sqrt(), 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.6_f64.sqrt(), 5.0 / 18.0)]
            .map(|(x, share)| (exact(distribution, alpha, beta, middle + half * x), share));
        let peak = points.iter().map(|(p, _)| p.value).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = points.iter().map(|(p, share)| share * (p.value - peak).exp()).sum();
        let mut mean = Surface::default();
        for (point, share) in &points {
            let [g1, g2] = point.gradient;
            let mut point = *point;
            point.hessian =
                [point.hessian[0] + g1 * g1, point.hessian[1] + g1 * g2, point.hessian[2] + g2 * g2];
            mean.add(&point, share * (point.value - peak).exp() / total);
        }
        let [g1, g2] = mean.gradient;
        let [h11, h12, h22] = mean.hessian;
        Surface {
            value: peak + total.ln() + (2.0 * half).ln(),
            gradient: mean.gradient,
            hessian: [h11 - g1 * g1, h12 - g1 * g2, h22 - g2 * g2],
        }
    }
}

/// Width in `z` below which an interval counts as narrow; Gauss's rule is then exact to the last digits.
const NARROW: f64 = 1e-2;

fn exact(distribution: Distribution, alpha: f64, beta: f64, y: f64) -> Surface {
    let mut surface = Surface::of_line(distribution.ln_density(alpha * y - beta), y);
    surface.value += alpha.ln();
    surface.gradient[0] += 1.0 / alpha;
    surface.hessian[0] -= 1.0 / (alpha * alpha);
    surface
}

/// Prior of location and scale, normal-inverse-gamma, about the origin of a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Penalty {
    pub(super) location: f64,
    /// How many observations the prior location counts for.
    pub(super) count: f64,
    pub(super) shape: f64,
    pub(super) rate: f64,
}

impl Penalty {
    /// Logarithm of the prior, without its constant, as a density of `μ` and `σ²`.
    fn surface(&self, alpha: f64, beta: f64) -> Surface {
        let Self { location: m, count: k, shape: a, rate: b } = *self;
        let away = beta - m * alpha;
        let power = 2.0 * a + 3.0;
        Surface {
            value: power * alpha.ln() - b * alpha * alpha - 0.5 * k * away * away,
            gradient: [power / alpha - 2.0 * b * alpha + k * m * away, -k * away],
            hessian: [-power / (alpha * alpha) - 2.0 * b - k * m * m, k * m, -k],
        }
    }
}

/// Records alike taken together, their logarithms counted from `origin`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sample {
    pub(super) rows: Vec<Row>,
    pub(super) origin: f64,
    pub(super) weight: f64,
}

/// The top of the likelihood, in `α` and `β` about the origin of the sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Peak {
    pub(super) alpha: f64,
    pub(super) beta: f64,
    pub(super) surface: Surface,
}

impl Sample {
    pub(super) fn of(records: &[Record]) -> Result<Self> {
        check_records(records)?;
        let mut rows: Vec<Row> = records.iter().map(Row::of).collect();
        rows.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
        rows.dedup_by(|next, kept| {
            let alike = next.low == kept.low && next.high == kept.high;
            if alike {
                kept.weight += next.weight;
            }
            alike
        });
        let weight: f64 = rows.iter().map(|r| r.weight).sum();
        let origin = rows.iter().map(|r| r.weight * r.middle()).sum::<f64>() / weight;
        for row in &mut rows {
            row.low -= origin;
            row.high -= origin;
        }
        Ok(Self { rows, origin, weight })
    }

    pub(super) fn likelihood(&self, distribution: Distribution, alpha: f64, beta: f64) -> Surface {
        let mut sum = Surface::default();
        for row in &self.rows {
            sum.add(&row.likelihood(distribution, alpha, beta), row.weight);
        }
        sum
    }

    /// The sum of the logarithms of the hours seen exactly: turns a density of `ln t` into one of `t`.
    pub(super) fn jacobian(&self) -> f64 {
        -self.rows.iter().filter(|r| r.is_exact()).map(|r| r.weight * (r.low + self.origin)).sum::<f64>()
    }

    /// Rejects data of which the likelihood has no top: the scale would shrink to nothing or grow without bound.
    pub(super) fn check_fit(&self) -> Result<()> {
        let refuse = |reason: &str, remedy: &str| Err(table_error("hours", None, reason, remedy));
        let all = |f: fn(&Row) -> bool| self.rows.iter().all(f);
        if all(|r| r.high == f64::INFINITY) {
            return refuse(
                "no record failed, so there is no estimate, only a lower bound",
                "Ask for the zero-failure bound, or fit with the catalog as prior.",
            );
        }
        if all(|r| r.low == f64::NEG_INFINITY) {
            return refuse(
                "every record had failed at its first inspection, so there is no estimate",
                "Inspect earlier, or fit with the catalog as prior.",
            );
        }
        let latest_start = self.rows.iter().map(|r| r.low).fold(f64::NEG_INFINITY, f64::max);
        let earliest_end = self.rows.iter().map(|r| r.high).fold(f64::INFINITY, f64::min);
        if latest_start <= earliest_end {
            return refuse(
                "one and the same time of failure would explain every record, so they say nothing of the spread",
                "Add records that failed at other times or inspect more often, or fit with the catalog as prior.",
            );
        }
        Ok(())
    }

    /// A first guess of location and scale.
    fn guess(&self, penalty: Option<&Penalty>) -> (f64, f64) {
        let square: f64 = self.rows.iter().map(|r| r.weight * r.middle() * r.middle()).sum();
        let prior = penalty.map_or((0.0, 0.0), |p| (2.0 * p.rate, 2.0 * p.shape));
        let variance = (square + prior.0) / (self.weight + prior.1);
        (0.0, variance.sqrt().max(1e-3))
    }

    /// Climbs to the top of the likelihood, or with a prior to that of the posterior.
    pub(super) fn climb(&self, distribution: Distribution, penalty: Option<&Penalty>) -> Result<Peak> {
        let objective = |alpha: f64, beta: f64| {
            let mut surface = self.likelihood(distribution, alpha, beta);
            if let Some(penalty) = penalty {
                surface.add(&penalty.surface(alpha, beta), 1.0);
            }
            surface
        };
        let (location, scale) = self.guess(penalty);
        let (mut alpha, mut beta) = (1.0 / scale, location / scale);
        let first_alpha = alpha;
        let mut here = objective(alpha, beta);
        for _ in 0..300 {
            let ([step_alpha, step_beta], decrement) = newton_step(&here)?;
            if decrement < 1e-24 {
                return Ok(Peak { alpha, beta, surface: here });
            }
            let mut share = 1.0;
            while alpha + share * step_alpha < 0.1 * alpha {
                share *= 0.5;
            }
            let next = loop {
                let next = objective(alpha + share * step_alpha, beta + share * step_beta);
                let gain = 0.1 * share * decrement;
                // Near the top the gain drowns in rounding and Newton's step is safe.
                if next.value >= here.value + gain || (decrement < 1e-9 && next.value.is_finite()) {
                    break next;
                }
                share *= 0.5;
                if share < 1e-12 {
                    return Err(no_top());
                }
            };
            alpha += share * step_alpha;
            beta += share * step_beta;
            here = next;
            if alpha < 1e-6 * first_alpha {
                return Err(no_top());
            }
            // Rounding keeps the decrement of large samples from reaching zero.
            if decrement < 1e-18 {
                return Ok(Peak { alpha, beta, surface: here });
            }
        }
        Err(no_top())
    }
}

fn no_top() -> Error {
    table_error(
        "hours",
        None,
        "the likelihood has no top: later inspections found no more rust than earlier ones, so the spread has no \
         estimate",
        "Check the outcomes, add records, or fit with the catalog as prior.",
    )
}

/// Newton's step up a concave surface, and twice the gain that it promises.
fn newton_step(surface: &Surface) -> Result<([f64; 2], f64)> {
    let [g1, g2] = surface.gradient;
    let [h11, h12, h22] = surface.hessian.map(|h| -h);
    let determinant = h11 * h22 - h12 * h12;
    if !(determinant.is_finite() && determinant > 0.0 && h11 > 0.0) {
        return Err(no_top());
    }
    let step = [(h22 * g1 - h12 * g2) / determinant, (h11 * g2 - h12 * g1) / determinant];
    Ok((step, step[0] * g1 + step[1] * g2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// By hand, a = 3.5, b = 0.75, k = 5, m = 0.1 at α = 2 and β = 0.3: (2a + 3) ln 2 - b·4 - ½·5·(0.3 - 0.2)², and its
    /// derivatives.
    #[test]
    fn the_prior_is_a_density_of_location_and_variance() {
        let prior = Penalty { location: 0.1, count: 5.0, shape: 3.5, rate: 0.75 };
        let found = prior.surface(2.0, 0.3);
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
        near(found.value, 10.0 * 2.0_f64.ln() - 3.0 - 0.025);
        near(found.gradient[0], 5.0 - 3.0 + 0.05);
        near(found.gradient[1], -0.5);
        near(found.hessian[0], -2.5 - 1.5 - 0.05);
        near(found.hessian[1], 0.5);
        near(found.hessian[2], -5.0);
    }

    proptest! {
        #[test]
        fn derivatives_of_a_row_match_differences(
            low in -1.0..1.0_f64, width in 1e-4..2.0_f64, kind in 0..4_u8,
            alpha in 0.5..4.0_f64, beta in -2.0..2.0_f64, weibull in any::<bool>(),
        ) {
            let d = if weibull { Distribution::Weibull } else { Distribution::Lognormal };
            let row = match kind {
                0 => Row { low, high: low, weight: 1.0 },
                1 => Row { low, high: f64::INFINITY, weight: 1.0 },
                2 => Row { low: f64::NEG_INFINITY, high: low, weight: 1.0 },
                _ => Row { low, high: low + width, weight: 1.0 },
            };
            let h = 1e-6;
            let here = row.likelihood(d, alpha, beta);
            let along = |da: f64, db: f64| {
                let (a, b) = (row.likelihood(d, alpha - da, beta - db), row.likelihood(d, alpha + da, beta + db));
                ((b.value - a.value) / (2.0 * h), (b.gradient[0] - a.gradient[0]) / (2.0 * h), (b.gradient[1] - a.gradient[1]) / (2.0 * h))
            };
            let size = 1.0 + here.hessian.iter().map(|x| x.abs()).fold(0.0, f64::max);
            let (value, first, second) = along(h, 0.0);
            prop_assert!((value - here.gradient[0]).abs() < 1e-7 * size);
            prop_assert!((first - here.hessian[0]).abs() < 1e-6 * size);
            prop_assert!((second - here.hessian[1]).abs() < 1e-6 * size);
            let (value, _, second) = along(0.0, h);
            prop_assert!((value - here.gradient[1]).abs() < 1e-7 * size);
            prop_assert!((second - here.hessian[2]).abs() < 1e-6 * size);
        }

        #[test]
        fn both_rules_for_an_interval_agree_where_they_meet(low in -3.0..1.5_f64, weibull in any::<bool>()) {
            let d = if weibull { Distribution::Weibull } else { Distribution::Lognormal };
            let row = Row { low, high: low + NARROW, weight: 1.0 };
            let (a, b) = (row.narrow(d, 1.0, 0.0), row.wide(d, 1.0, 0.0));
            prop_assert!((a.value - b.value).abs() < 1e-11 * (1.0 + a.value.abs()));
            for (x, y) in a.gradient.iter().chain(&a.hessian).zip(b.gradient.iter().chain(&b.hessian)) {
                prop_assert!((x - y).abs() < 1e-8 * (1.0 + x.abs()), "{} {}", x, y);
            }
        }
    }
}
