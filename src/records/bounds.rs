//! Profile-likelihood bounds of a quantile.

use super::distribution::Distribution;
use super::fit::{Bounds, standard_quantile, two_sided};
use super::record::Record;
use super::sample::Sample;
use crate::Result;

/// Farther than this from the estimate, in logarithms of hours, there is no bound.
const FARTHEST: f64 = 40.0;

/// Bounds of the hours by which the share `probability` has failed, from the profile of the likelihood.
///
/// A value `t` lies within the bounds if the best fit whose quantile is `t` has a likelihood within a factor
/// `exp(-z²/2)` of the best of all, `z` being the normal quantile of the confidence (Wilks 1938, from memory).
/// Heavy censoring makes them lopsided, as it should. A side on which the likelihood never falls that far has no
/// bound.
///
/// # Errors
/// As [`fit`](super::fit()); a probability or confidence outside 0 to 1.
///
/// ```
/// use overcoat::records::{profile_bounds, Distribution, Record};
/// let mut log: Vec<Record> = [40.0, 52.0, 61.0].map(Record::failed).to_vec();
/// log.extend([Record::intact(72.0), Record::intact(72.0)]);
/// let bounds = profile_bounds(&log, Distribution::Lognormal, 0.5, 0.9)?;
/// let (low, high) = (bounds.lower_hours.unwrap().ln(), bounds.upper_hours.unwrap().ln());
/// assert!(high - 64.0_f64.ln() > 64.0_f64.ln() - low);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn profile_bounds(
    records: &[Record],
    distribution: Distribution,
    probability: f64,
    confidence: f64,
) -> Result<Bounds> {
    let z_quantile = standard_quantile(distribution, probability)?;
    let z = two_sided(confidence)?;
    let sample = Sample::of(records)?;
    sample.check_fit()?;
    let peak = sample.climb(distribution, None)?;
    let best = (peak.beta + z_quantile) / peak.alpha;
    let least = peak.surface.value - 0.5 * z * z;
    let profile = Profile { sample: &sample, distribution, z_quantile, alpha: peak.alpha };
    let bound = |direction: f64| profile.crossing(best, direction, least).map(|y| (y + sample.origin).exp());
    Ok(Bounds { lower_hours: bound(-1.0), upper_hours: bound(1.0), confidence })
}

struct Profile<'a> {
    sample: &'a Sample,
    distribution: Distribution,
    z_quantile: f64,
    alpha: f64,
}

impl Profile<'_> {
    /// Where the profile crosses `least`, from the top outwards. It falls all the way: the likelihood is concave,
    /// and a quantile is a quotient of lines, so the values that beat a level form one interval.
    fn crossing(&self, best: f64, direction: f64, least: f64) -> Option<f64> {
        let mut inside = 0.0;
        let mut outside = 0.25 / self.alpha;
        while self.at(best + direction * outside) > least {
            inside = outside;
            outside *= 2.0;
            if outside > FARTHEST {
                return None;
            }
        }
        for _ in 0..100 {
            let middle = f64::midpoint(inside, outside);
            if middle <= inside || middle >= outside {
                break;
            }
            if self.at(best + direction * middle) > least {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        Some(best + direction * outside)
    }

    /// The best likelihood with the quantile at `y`: on the line `β = α y - z` it is concave in `α`.
    fn at(&self, y: f64) -> f64 {
        let along = |alpha: f64| {
            let s = self.sample.likelihood(self.distribution, alpha, alpha * y - self.z_quantile);
            let [g1, g2] = s.gradient;
            let [h11, h12, h22] = s.hessian;
            (s.value, g1 + y * g2, h11 + 2.0 * y * h12 + y * y * h22)
        };
        let mut alpha = self.alpha;
        let mut here = along(alpha);
        // Far from the top the first guess may be out of range of the numbers.
        while !(here.0.is_finite() && here.2.is_finite()) && alpha > 1e-9 * self.alpha {
            alpha *= 0.5;
            here = along(alpha);
        }
        for _ in 0..200 {
            let (value, slope, bend) = here;
            let mut step = if bend < 0.0 { -slope / bend } else { slope.signum() * alpha };
            if (slope * step).abs() < 1e-16 || alpha < 1e-9 * self.alpha {
                break;
            }
            step = step.max(-0.75 * alpha).min(10.0 * alpha);
            let next = loop {
                let next = along(alpha + step);
                if next.0 >= value || step.abs() < 1e-14 * alpha {
                    break next;
                }
                step *= 0.5;
            };
            alpha += step;
            here = next;
        }
        here.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::fit;

    /// Closed form of complete lognormal data: the profile of the median is `-n/2 · ln(σ² + (μ - ȳ)²)`, so the
    /// bounds lie `σ √(exp(z²/n) - 1)` from the mean.
    #[test]
    fn complete_lognormal_data_have_the_closed_form() {
        let hours = [31.0, 40.0, 44.0, 52.0, 70.0, 71.0, 96.0];
        let log = hours.map(Record::failed);
        let fitted = fit(&log, Distribution::Lognormal).unwrap();
        let bounds = profile_bounds(&log, Distribution::Lognormal, 0.5, 0.9).unwrap();
        let z = two_sided(0.9).unwrap();
        let away = fitted.scale * ((z * z / 7.0).exp() - 1.0).sqrt();
        assert!((bounds.lower_hours.unwrap().ln() - (fitted.location - away)).abs() < 1e-10);
        assert!((bounds.upper_hours.unwrap().ln() - (fitted.location + away)).abs() < 1e-10);
    }

    #[test]
    fn a_side_without_a_bound_is_empty() {
        // 2 of 10 rusted at 24 h, 4 of 10 at 60 h: no growth at all is well within the bounds, and then 30% may be
        // reached never.
        let log = [
            Record::between(0.0, 24.0).weighing(2.0),
            Record::intact(24.0).weighing(8.0),
            Record::between(0.0, 60.0).weighing(4.0),
            Record::intact(60.0).weighing(6.0),
        ];
        let bounds = profile_bounds(&log, Distribution::Lognormal, 0.3, 0.95).unwrap();
        assert_eq!(bounds.upper_hours, None);
    }

    #[test]
    fn more_confidence_widens_the_bounds() {
        let mut log: Vec<Record> = [40.0, 52.0, 61.0].map(Record::failed).to_vec();
        log.extend((0..6).map(|_| Record::intact(72.0)));
        let mut last = (f64::INFINITY, 0.0);
        for confidence in [0.5, 0.8, 0.9, 0.99] {
            let b = profile_bounds(&log, Distribution::Weibull, 0.1, confidence).unwrap();
            let (low, high) = (b.lower_hours.unwrap(), b.upper_hours.unwrap_or(f64::INFINITY));
            assert!(low < last.0 && high > last.1);
            last = (low, high);
        }
    }
}
