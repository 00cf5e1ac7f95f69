//! The catalog as prior: few panels move its value a little, many replace it.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::fit::covariance;
use super::quadrature::{Density, lay};
use super::record::{Outcome, Record};
use super::sample::{Penalty, Sample};
use crate::Result;
use crate::error::within;
use crate::evidence::Source;
use crate::evidence::Spread;

/// How many panels a catalog value counts for.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const PRIOR_PANELS: Source = Source::assumption(
    "the salt-spray hours of the catalog count as five of the shop's panels, in median and spread: three panels \
     then have 3/8 of the answer and thirty 6/7",
);

/// Where the closed form of complete data comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CONJUGATE: Source = Source::from_memory(
    "Gelman et al.: Bayesian Data Analysis, 3rd ed. (2013), 3.3: normal data with a conjugate prior",
);

/// Panels that the catalog counts for unless told otherwise.
pub(crate) const DEFAULT_PRIOR_PANELS: f64 = 5.0;

/// What is believed before the records: a catalog value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Prior {
    /// Median, h.
    pub median_hours: f64,
    /// Spread of the logarithm of a single panel's hours, as the catalog gives it.
    pub log_sd: f64,
    /// How many panels the prior counts for.
    pub panels: f64,
}

impl Prior {
    /// The prior that a catalog spread stands for, counting for `DEFAULT_PRIOR_PANELS`.
    ///
    /// ```
    /// use overcoat::{catalog::Catalog, records::Prior};
    /// let film = Catalog::built_in().film("hard_wax")?;
    /// assert_eq!(Prior::of(&film.capacity_h).median_hours, film.capacity_h.median);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn of(spread: &Spread) -> Self {
        Self { median_hours: spread.median, log_sd: spread.log_sd, panels: DEFAULT_PRIOR_PANELS }
    }

    fn check(&self) -> Result<()> {
        within("prior.median_hours", self.median_hours, 1e-3, 1e6, "h", "Enter the catalog's median.")?;
        within("prior.log_sd", self.log_sd, 0.01, 3.0, "", "Enter the catalog's log_sd.")?;
        within(
            "prior.panels",
            self.panels,
            0.5,
            1000.0,
            "panels",
            "Say how many panels the catalog is worth.",
        )
        .map(|_| ())
    }

    /// Expected variance between panels, `s² n/(n + 1)`, so that the variance predicted for one panel, `(1 + 1/n)` times
    /// that, is the catalog's `s²`.
    pub(super) fn variance(&self) -> f64 {
        self.log_sd * self.log_sd * self.panels / (self.panels + 1.0)
    }

    /// Standard deviation of the logarithm of the median, so that it and the panels together have the catalog's `s²`.
    pub(super) fn median_log_se(&self) -> f64 {
        self.log_sd / (self.panels + 1.0).sqrt()
    }

    /// The normal-inverse-gamma prior about an origin.
    fn penalty(&self, origin: f64) -> Penalty {
        let count = self.panels;
        Penalty {
            location: self.median_hours.ln() - origin,
            count,
            shape: 0.5 * count + 1.0,
            rate: 0.5 * count * self.variance(),
        }
    }
}

/// What is believed after the records.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PriorFit {
    /// Median, h: the exponential of the posterior mean of `μ`.
    pub median_hours: f64,
    /// Posterior standard deviation of the logarithm of the median.
    pub median_log_sd: f64,
    /// Spread of the logarithm of hours between panels: the root of the posterior mean of `σ²`.
    pub between_panel_log_sd: f64,
    /// Spread of the logarithm of the hours of the next panel: both together.
    pub predictive_log_sd: f64,
    /// What was believed before.
    pub prior: Prior,
    /// Share of the prior in the median of complete data, `panels / (panels + n)`.
    pub prior_share: f64,
    /// How many records.
    pub rows: usize,
    /// How many of them failed, at a known time or between two.
    pub failed: usize,
    /// Whether the closed form or the quadrature gave it.
    pub method: PosteriorMethod,
}

/// How a posterior was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PosteriorMethod {
    /// Conjugate, exact.
    ClosedForm,
    /// Integrated over `μ` and `ln σ`.
    Quadrature,
}

/// Fits a lognormal distribution with a catalog value as prior.
///
/// Prior of `μ` and `σ²` of the logarithm of hours: normal-inverse-gamma, `μ | σ² ~ N(ln median, σ²/n₀)`,
/// `σ² ~ IG(n₀/2 + 1, n₀ σ₀²/2)`, `σ₀² = s² n₀/(n₀ + 1)`, with `n₀` panels (`PRIOR_PANELS`) and the catalog's
/// spread `s`. With complete data the posterior has the same form (`CONJUGATE`):
///
/// `μₙ = (n₀ μ₀ + n ȳ)/(n₀ + n)`, `2bₙ = n₀ σ₀² + Σ(y - ȳ)² + n₀ n/(n₀ + n) (ȳ - μ₀)²`, `aₙ = a₀ + n/2`.
///
/// With censored data the same posterior is integrated numerically (relative error under 1e-6), which is better
/// than its top alone: the top of a lopsided posterior lies off its middle. Limits: the prior ties what it knows of
/// the median to what it knows of the spread, so records that contradict the catalog widen the spread as well; only
/// the lognormal distribution; and panels of one lot count as if from as many lots (see
/// [`lot_effect`](super::lot_effect)). Nothing need have failed, and one record is enough.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects; a prior out of range.
///
/// ```
/// use overcoat::records::{fit_with_prior, Prior, Record};
/// let prior = Prior { median_hours: 70.0, log_sd: 0.6, panels: 5.0 };
/// let three = fit_with_prior(&vec![Record::failed(200.0); 3], &prior)?;
/// let thirty = fit_with_prior(&vec![Record::failed(200.0); 30], &prior)?;
/// assert!(three.median_hours < 110.0 && thirty.median_hours > 170.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn fit_with_prior(records: &[Record], prior: &Prior) -> Result<PriorFit> {
    prior.check()?;
    let sample = Sample::of(records)?;
    let penalty = prior.penalty(sample.origin);
    let complete = sample.rows.iter().all(|r| r.is_exact());
    let (location, location_variance, variance) =
        if complete { closed_form(&sample, &penalty) } else { integrate(&sample, &penalty)? };
    Ok(PriorFit {
        median_hours: (sample.origin + location).exp(),
        median_log_sd: location_variance.sqrt(),
        between_panel_log_sd: variance.sqrt(),
        predictive_log_sd: (variance + location_variance).sqrt(),
        prior: *prior,
        prior_share: prior.panels / (prior.panels + sample.weight),
        rows: records.len(),
        failed: records.iter().filter(|r| r.outcome != Outcome::Intact).count(),
        method: if complete { PosteriorMethod::ClosedForm } else { PosteriorMethod::Quadrature },
    })
}

/// Posterior mean and variance of `μ`, and posterior mean of `σ²`.
fn closed_form(sample: &Sample, prior: &Penalty) -> (f64, f64, f64) {
    let n = sample.weight;
    let mean = sample.rows.iter().map(|r| r.weight * r.low).sum::<f64>() / n;
    let square: f64 = sample.rows.iter().map(|r| r.weight * (r.low - mean).powi(2)).sum();
    let count = prior.count + n;
    let shape = prior.shape + 0.5 * n;
    let away = mean - prior.location;
    let rate = prior.rate + 0.5 * square + 0.5 * prior.count * n / count * away * away;
    let variance = rate / (shape - 1.0);
    ((prior.count * prior.location + n * mean) / count, variance / count, variance)
}

fn integrate(sample: &Sample, prior: &Penalty) -> Result<(f64, f64, f64)> {
    // The top fixes where to look for `σ`.
    let peak = sample.climb(Distribution::Lognormal, Some(prior))?;
    let top = -peak.alpha.ln();
    let guess = peak.beta / peak.alpha;
    let slice = |ln_scale: f64, guess: f64| over_location(sample, prior, ln_scale, guess);

    // Walk out from the top on both sides until the slices carry nothing.
    let (_, at_top) = moments(&slice(top, guess));
    let [_, [_, ln_scale_variance]] = covariance(&peak);
    let spacing = 0.35 * ln_scale_variance.sqrt();
    let mut slices = vec![(top, slice(top, guess))];
    for direction in [-1.0, 1.0] {
        let mut best = at_top;
        let mut guess = guess;
        for step in 1..400 {
            let ln_scale = top + direction * spacing * f64::from(step);
            let density = slice(ln_scale, guess);
            let (mean, mass) = moments(&density);
            guess = mean;
            best = best.max(mass);
            slices.push((ln_scale, density));
            if mass < best - 30.0 {
                break;
            }
        }
    }
    let peak = slices.iter().map(|(_, d)| d.ln_integral()).fold(f64::NEG_INFINITY, f64::max);
    let (mut total, mut location, mut square, mut variance) = (0.0, 0.0, 0.0, 0.0);
    for (ln_scale, density) in &slices {
        let weight = (density.ln_integral() - peak).exp();
        let (mean, spread) = density.mean_and_variance();
        total += weight;
        location += weight * mean;
        square += weight * (mean * mean + spread);
        variance += weight * (2.0 * ln_scale).exp();
    }
    let mean = location / total;
    Ok((mean, square / total - mean * mean, variance / total))
}

fn moments(density: &Density) -> (f64, f64) {
    (density.mean_and_variance().0, density.ln_integral())
}

/// Posterior of `μ` at one `ln σ`, as a density of both, without its constant.
fn over_location(sample: &Sample, prior: &Penalty, ln_scale: f64, guess: f64) -> Density {
    let alpha = (-ln_scale).exp();
    let constant = -(2.0 * prior.shape + 1.0) * ln_scale - prior.rate * alpha * alpha;
    lay(
        |mu| {
            let s = sample.likelihood(Distribution::Lognormal, alpha, alpha * mu);
            let away = alpha * (mu - prior.location);
            (
                s.value + constant - 0.5 * prior.count * away * away,
                alpha * (s.gradient[1] - prior.count * away),
                alpha * alpha * (s.hessian[2] - prior.count),
            )
        },
        guess,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRIOR: Prior = Prior { median_hours: 70.0, log_sd: 0.6, panels: 5.0 };

    #[test]
    fn three_panels_do_not_overturn_the_catalog_and_thirty_do() {
        let log = |n: usize| -> Vec<Record> {
            (0..n).map(|i| Record::failed(210.0 * (0.2 * ((i % 3) as f64 - 1.0)).exp())).collect()
        };
        let factor = |n| (fit_with_prior(&log(n), &PRIOR).unwrap().median_hours / 70.0).ln() / 3.0_f64.ln();
        assert!((factor(3) - 3.0 / 8.0).abs() < 1e-12);
        assert!((factor(30) - 6.0 / 7.0).abs() < 1e-12);
    }

    /// The quadrature against the closed form: intervals so narrow that the data are complete.
    #[test]
    fn quadrature_and_closed_form_agree() {
        let hours = [40.0, 95.0, 130.0, 180.0];
        let exact = fit_with_prior(&hours.map(Record::failed), &PRIOR).unwrap();
        let narrow = hours.map(|h| Record::between(h * (1.0 - 1e-7), h * (1.0 + 1e-7)));
        let integrated = fit_with_prior(&narrow, &PRIOR).unwrap();
        assert_eq!(integrated.method, PosteriorMethod::Quadrature);
        for (a, b) in [
            (exact.median_hours, integrated.median_hours),
            (exact.median_log_sd, integrated.median_log_sd),
            (exact.between_panel_log_sd, integrated.between_panel_log_sd),
        ] {
            assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
        }
    }

    #[test]
    fn intact_panels_raise_the_catalog_and_the_more_the_longer() {
        let mut last = PRIOR.median_hours;
        for hours in [24.0, 96.0, 240.0, 1000.0] {
            let fitted = fit_with_prior(&vec![Record::intact(hours); 6], &PRIOR).unwrap();
            assert!(fitted.median_hours > last, "{hours}");
            last = fitted.median_hours;
        }
    }

    /// Five panels of the catalog against records that count for three: 5/8 of the median stays the catalog's.
    #[test]
    fn the_share_of_the_prior_and_the_failures_are_counted() {
        let log = [
            Record::failed(80.0).weighing(1.5),
            Record::intact(90.0),
            Record::between(40.0, 60.0).weighing(0.5),
        ];
        let fitted = fit_with_prior(&log, &PRIOR).unwrap();
        assert!((fitted.prior_share - 0.625).abs() < 1e-15);
        assert_eq!((fitted.rows, fitted.failed), (3, 2));
        let both = fitted.between_panel_log_sd.hypot(fitted.median_log_sd);
        assert!((fitted.predictive_log_sd - both).abs() < 1e-14);
    }

    /// The formulas of [`fit_with_prior`] for two records of 50 and 98 h, whose mean logarithm is ln 70: μ stays, and
    /// 2bₙ = n₀·σ₀² + Σ(y - ȳ)² with σ₀² = 0.36·5/6 = 0.3 and Σ = 2·(ln 1.4)²; aₙ = 3.5 + 1.
    #[test]
    fn two_records_about_the_catalog_have_the_closed_form() {
        let fitted = fit_with_prior(&[Record::failed(50.0), Record::failed(98.0)], &PRIOR).unwrap();
        assert!((fitted.median_hours - 70.0).abs() < 1e-10);
        let variance = 0.5 * (5.0 * 0.3 + 2.0 * 1.4_f64.ln().powi(2)) / (4.5 - 1.0);
        assert!((fitted.between_panel_log_sd - variance.sqrt()).abs() < 1e-12);
        assert!((fitted.median_log_sd - (variance / 7.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn a_prior_out_of_range_is_refused() {
        for (prior, field) in [
            (Prior { median_hours: 0.0, ..PRIOR }, "prior.median_hours"),
            (Prior { log_sd: -0.5, ..PRIOR }, "prior.log_sd"),
            (Prior { panels: 0.0, ..PRIOR }, "prior.panels"),
        ] {
            assert_eq!(fit_with_prior(&[Record::failed(70.0)], &prior).unwrap_err().field(), field);
        }
    }

    #[test]
    fn one_record_is_enough() {
        for record in [Record::failed(70.0), Record::intact(70.0), Record::between(0.0, 70.0)] {
            let fitted = fit_with_prior(&[record], &PRIOR).unwrap();
            assert!(fitted.median_hours > 50.0 && fitted.median_hours < 100.0);
            assert!(fitted.predictive_log_sd < 0.75);
        }
    }

    /// A record that says nothing leaves the catalog as it is.
    #[test]
    fn the_prior_predicts_the_catalog_spread() {
        let fitted = fit_with_prior(&[Record::intact(1e-3)], &PRIOR).unwrap();
        assert!((fitted.median_hours / 70.0 - 1.0).abs() < 1e-6);
        assert!((fitted.predictive_log_sd - 0.6).abs() < 1e-5, "{}", fitted.predictive_log_sd);
    }
}
