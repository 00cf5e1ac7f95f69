//! A life distribution fitted to records by maximum likelihood.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::record::{Outcome, Record};
use super::sample::{Peak, Sample};
use crate::Result;
use crate::error::within;
use crate::outlook::normal_quantile;
use crate::source::Source;

/// Below how many failures the bounds are only rough.
pub const FEW_FAILURES: Source = Source::assumption(
    "bounds from the likelihood are for large samples; under 6 failures they are called rough, and with 2 or 3 \
     they are too narrow",
);
const FEW: usize = 6;

/// A fitted distribution: `ln t = μ + σ z` ([`Distribution`]).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Which distribution.
    pub distribution: Distribution,
    /// `μ`, on the logarithm of hours.
    pub location: f64,
    /// `σ`, on the logarithm of hours; of a Weibull distribution the inverse of its shape.
    pub scale: f64,
    /// Covariance of `μ` and `ln σ` from the observed information.
    pub covariance: [[f64; 2]; 2],
    /// Logarithm of the likelihood, as a density of hours.
    pub log_likelihood: f64,
    /// Akaike's criterion, `2 · 2 - 2 ln L`; the lower fits better.
    pub aic: f64,
    /// Bayes criterion, `2 ln n - 2 ln L`, with `n` the sum of the weights.
    pub bic: f64,
    /// How many records.
    pub rows: usize,
    /// How many failed at a known time.
    pub failed: usize,
    /// How many failed between two inspections.
    pub between: usize,
    /// How many were still intact.
    pub intact: usize,
    /// What to keep in mind, one sentence each.
    pub remarks: Vec<String>,
}

/// Bounds of a number of hours; a side on which the data set no bound is empty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Bounds {
    /// Lower end, h.
    pub lower_hours: Option<f64>,
    /// Upper end, h.
    pub upper_hours: Option<f64>,
    /// Probability that such bounds enclose the true value, half of the rest on either side.
    pub confidence: f64,
}

/// Fits a distribution by maximum likelihood.
///
/// Exact, right-, left- and interval-censored records enter with density, survival and difference of the
/// distribution function; the logarithm of the likelihood is concave in `1/σ` and `μ/σ`
/// ([`CONCAVE`](super::CONCAVE)), so the maximum is the only one, and Newton's method ends at a relative change
/// under 1e-10. Weights multiply the logarithms.
///
/// # Errors
/// Records that [`check_records`](super::check_records) refuses; records that have no maximum: none failed, all
/// had failed at the first inspection, one time would explain all of them, or early parts rusted and late ones
/// did not. The error says what to do.
///
/// ```
/// use overcoat::records::{fit, Distribution, Record};
/// let log: Vec<Record> = [40.0, 52.0, 61.0, 75.0, 90.0].map(Record::failed).to_vec();
/// let fitted = fit(&log, Distribution::Lognormal)?;
/// // With nothing censored the median is the geometric mean.
/// let mean = log.iter().map(|r| r.hours.ln()).sum::<f64>() / 5.0;
/// assert!((fitted.median_hours() - mean.exp()).abs() < 1e-9);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn fit(records: &[Record], distribution: Distribution) -> Result<Fit> {
    let sample = Sample::of(records)?;
    sample.check_fit()?;
    let peak = sample.climb(distribution, None)?;
    let count = |outcome: Outcome| records.iter().filter(|r| r.outcome == outcome).count();
    let log_likelihood = peak.surface.value + sample.jacobian();
    let (failed, between, intact) = (count(Outcome::Failed), count(Outcome::Between), count(Outcome::Intact));
    let mut remarks = Vec::new();
    if failed + between < FEW {
        remarks.push(format!(
            "{} failures: the bounds are rough and too narrow; use the catalog as prior",
            failed + between
        ));
    }
    Ok(Fit {
        distribution,
        location: sample.origin + peak.beta / peak.alpha,
        scale: 1.0 / peak.alpha,
        covariance: covariance(&peak),
        log_likelihood,
        aic: 4.0 - 2.0 * log_likelihood,
        bic: 2.0 * sample.weight.ln() - 2.0 * log_likelihood,
        rows: records.len(),
        failed,
        between,
        intact,
        remarks,
    })
}

/// Inverse of the observed information, carried from `α`, `β` to `μ`, `ln σ`. At the top the gradient is zero, so
/// the first derivatives of the change of parameters suffice.
pub(super) fn covariance(peak: &Peak) -> [[f64; 2]; 2] {
    let [h11, h12, h22] = peak.surface.hessian.map(|h| -h);
    let determinant = h11 * h22 - h12 * h12;
    let (aa, ab, bb) = (h22 / determinant, -h12 / determinant, h11 / determinant);
    let (alpha, mu) = (peak.alpha, peak.beta / peak.alpha);
    // μ = β/α, ln σ = -ln α.
    let of_mu = [-mu / alpha, 1.0 / alpha];
    let of_scale = [-1.0 / alpha, 0.0];
    let product = |x: [f64; 2], y: [f64; 2]| x[0] * (aa * y[0] + ab * y[1]) + x[1] * (ab * y[0] + bb * y[1]);
    let cross = product(of_mu, of_scale);
    [[product(of_mu, of_mu), cross], [cross, product(of_scale, of_scale)]]
}

impl Fit {
    /// Hours by which the share `probability` (between 0 and 1) has failed.
    ///
    /// # Errors
    /// A probability outside 0 to 1.
    ///
    /// ```
    /// use overcoat::records::{fit, Distribution, Record};
    /// let log: Vec<Record> = [40.0, 52.0, 61.0, 75.0, 90.0].map(Record::failed).to_vec();
    /// let fitted = fit(&log, Distribution::Weibull)?;
    /// assert!(fitted.quantile_hours(0.1)? < fitted.median_hours());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn quantile_hours(&self, probability: f64) -> Result<f64> {
        let z = standard_quantile(self.distribution, probability)?;
        Ok((self.location + self.scale * z).exp())
    }

    /// Hours by which half has failed.
    pub fn median_hours(&self) -> f64 {
        (self.location + self.scale * self.distribution.standard_quantile(0.5)).exp()
    }

    /// Standard deviation of the logarithm of the hours of single panels: `σ`, of a Weibull distribution
    /// `σ π/√6`.
    pub fn log_sd(&self) -> f64 {
        self.scale * self.distribution.standard_deviation()
    }

    /// Shape of a Weibull distribution.
    pub fn weibull_shape(&self) -> Option<f64> {
        (self.distribution == Distribution::Weibull).then(|| 1.0 / self.scale)
    }

    /// Standard error of the logarithm of a quantile, from the observed information.
    ///
    /// # Errors
    /// A probability outside 0 to 1.
    pub fn quantile_log_se(&self, probability: f64) -> Result<f64> {
        let response = self.scale * standard_quantile(self.distribution, probability)?;
        let [[mu, cross], [_, scale]] = self.covariance;
        Ok((mu + 2.0 * response * cross + response * response * scale).max(0.0).sqrt())
    }

    /// Wald bounds of a quantile: its logarithm plus and minus `z` standard errors.
    ///
    /// Quick and symmetric on the logarithm; with few failures [`profile_bounds`](super::profile_bounds) holds
    /// its confidence better.
    ///
    /// # Errors
    /// A probability or confidence outside 0 to 1.
    ///
    /// ```
    /// use overcoat::records::{fit, Distribution, Record};
    /// let log: Vec<Record> = [40.0, 52.0, 61.0, 75.0, 90.0].map(Record::failed).to_vec();
    /// let fitted = fit(&log, Distribution::Lognormal)?;
    /// let bounds = fitted.wald_bounds(0.5, 0.9)?;
    /// assert!(bounds.lower_hours < Some(fitted.median_hours()));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn wald_bounds(&self, probability: f64, confidence: f64) -> Result<Bounds> {
        let middle = self.location + self.scale * standard_quantile(self.distribution, probability)?;
        let away = two_sided(confidence)? * self.quantile_log_se(probability)?;
        Ok(Bounds {
            lower_hours: Some((middle - away).exp()),
            upper_hours: Some((middle + away).exp()),
            confidence,
        })
    }
}

pub(super) fn standard_quantile(distribution: Distribution, probability: f64) -> Result<f64> {
    open_share("probability", probability)?;
    Ok(distribution.standard_quantile(probability))
}

/// The `z` that a normal variable stays within with a probability.
pub(super) fn two_sided(confidence: f64) -> Result<f64> {
    open_share("confidence", confidence)?;
    Ok(normal_quantile(0.5 + 0.5 * confidence))
}

/// Refuses what is not strictly between 0 and 1.
pub(super) fn open_share(field: &str, share: f64) -> Result<f64> {
    within(field, share, 1e-9, 1.0 - 1e-9, "", "Give a share between 0 and 1, both excluded.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kinds(records: &[Record]) -> String {
        fit(records, Distribution::Lognormal).unwrap_err().to_string()
    }

    #[test]
    fn data_without_a_maximum_are_refused_with_what_to_do() {
        assert!(kinds(&[]).contains("no record"));
        assert!(kinds(&[Record::intact(96.0), Record::intact(48.0)]).contains("zero-failure bound"));
        assert!(kinds(&[Record::between(0.0, 24.0), Record::between(0.0, 48.0)]).contains("Inspect earlier"));
        assert!(kinds(&[Record::failed(48.0)]).contains("spread"));
        assert!(kinds(&[Record::failed(48.0), Record::failed(48.0)]).contains("spread"));
        assert!(kinds(&[Record::between(24.0, 48.0), Record::between(24.0, 48.0)]).contains("spread"));
        // Touching intervals are explained by their common end.
        assert!(kinds(&[Record::between(24.0, 48.0), Record::between(48.0, 72.0)]).contains("spread"));
        // One inspection time alone tells a share, no spread.
        assert!(kinds(&[Record::between(0.0, 48.0), Record::intact(48.0)]).contains("spread"));
        // A failure later than every intact panel.
        assert!(kinds(&[Record::failed(96.0), Record::intact(48.0)]).contains("spread"));
        // Early ones rusted, late ones did not.
        let odd = [
            Record::between(0.0, 24.0),
            Record::intact(24.0),
            Record::between(0.0, 96.0),
            Record::intact(96.0),
        ];
        assert!(kinds(&odd).contains("no top"), "{}", kinds(&odd));
        let odd = [Record::between(0.0, 24.0), Record::intact(96.0)];
        assert!(kinds(&odd).contains("no top"), "{}", kinds(&odd));
    }

    #[test]
    fn two_failures_give_an_estimate_that_says_it_is_rough() {
        let fitted = fit(&[Record::failed(40.0), Record::failed(90.0)], Distribution::Lognormal).unwrap();
        assert!((fitted.median_hours() - 60.0).abs() < 1e-9);
        assert!((fitted.scale - 0.5 * (90.0_f64 / 40.0).ln()).abs() < 1e-12);
        assert!(fitted.remarks[0].contains("rough"));
    }

    #[test]
    fn one_failure_among_intact_panels_is_enough() {
        let mut log = vec![Record::failed(50.0)];
        log.extend((0..9).map(|_| Record::intact(100.0)));
        for d in [Distribution::Lognormal, Distribution::Weibull] {
            assert!(fit(&log, d).unwrap().median_hours() > 100.0);
        }
    }

    /// Closed forms of complete lognormal data: `σ² = Σ(y - ȳ)²/n`, `var(μ) = σ²/n`, `var(ln σ) = 1/(2n)`.
    #[test]
    fn complete_lognormal_data_have_the_closed_form() {
        let hours = [31.0, 40.0, 44.0, 52.0, 70.0, 71.0, 96.0];
        let fitted = fit(&hours.map(Record::failed), Distribution::Lognormal).unwrap();
        let n = hours.len() as f64;
        let mean = hours.iter().map(|h| h.ln()).sum::<f64>() / n;
        let variance = hours.iter().map(|h| (h.ln() - mean).powi(2)).sum::<f64>() / n;
        assert!((fitted.location - mean).abs() < 1e-13);
        assert!((fitted.scale - variance.sqrt()).abs() < 1e-13);
        assert!((fitted.covariance[0][0] - variance / n).abs() < 1e-13);
        assert!((fitted.covariance[1][1] - 0.5 / n).abs() < 1e-13);
        assert!(fitted.covariance[0][1].abs() < 1e-13);
    }

    #[test]
    fn probabilities_at_the_ends_are_refused() {
        let fitted = fit(&[30.0, 40.0, 60.0].map(Record::failed), Distribution::Weibull).unwrap();
        for p in [0.0, 1.0, -1.0, f64::NAN] {
            assert!(fitted.quantile_hours(p).is_err());
            assert!(fitted.wald_bounds(0.5, p).is_err());
        }
    }

    #[test]
    fn very_narrow_intervals_are_exact_times() {
        let hours = [31.0, 40.0, 44.0, 52.0, 70.0];
        let narrow = hours.map(|h| Record::between(h * (1.0 - 1e-9), h * (1.0 + 1e-9)));
        for d in [Distribution::Lognormal, Distribution::Weibull] {
            let (a, b) = (fit(&hours.map(Record::failed), d).unwrap(), fit(&narrow, d).unwrap());
            assert!((a.location - b.location).abs() < 1e-8 && (a.scale - b.scale).abs() < 1e-8);
        }
    }

    proptest! {
        #[test]
        fn a_change_of_unit_moves_the_location_alone(
            hours in prop::collection::vec(1.0..1000.0_f64, 4..20), factor in 0.1..10.0_f64, weibull in any::<bool>(),
        ) {
            let d = if weibull { Distribution::Weibull } else { Distribution::Lognormal };
            let a: Vec<Record> = hours.iter().enumerate().map(|(i, &h)| if i % 3 == 0 { Record::intact(h) } else { Record::failed(h) }).collect();
            let b: Vec<Record> = a.iter().cloned().map(|mut r| { r.hours *= factor; r }).collect();
            if let (Ok(a), Ok(b)) = (fit(&a, d), fit(&b, d)) {
                prop_assert!((b.location - a.location - factor.ln()).abs() < 1e-8);
                prop_assert!((b.scale / a.scale - 1.0).abs() < 1e-8);
            }
        }

        #[test]
        fn a_weight_counts_for_records_alike(n in 1..5_u8) {
            let base = [Record::failed(30.0), Record::failed(47.0), Record::intact(60.0), Record::between(20.0, 40.0)];
            let mut many = base.to_vec();
            many.extend((1..n).map(|_| base[1].clone()));
            let mut weighed = base.to_vec();
            weighed[1].weight = f64::from(n);
            let (a, b) = (fit(&many, Distribution::Weibull).unwrap(), fit(&weighed, Distribution::Weibull).unwrap());
            prop_assert!((a.location - b.location).abs() < 1e-12 && (a.scale - b.scale).abs() < 1e-12);
        }
    }
}
