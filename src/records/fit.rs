//! A life distribution fitted to records by maximum likelihood.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::record::{Outcome, Record};
use super::sample::{Peak, Sample};
use crate::Result;
use crate::error::within;
use crate::evidence::Source;
use crate::math::normal_quantile;

/// Below how many failures the bounds are only rough.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FEW_FAILURES: Source = Source::assumption(
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
/// (`CONCAVE`), so the maximum is the only one, and Newton's method ends at a relative change
/// under 1e-10. Weights multiply the logarithms.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects; records that have no maximum: none failed, all
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
            "{}: the bounds are rough and too narrow; use the catalog as prior",
            failures_in_words(failed + between)
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

fn failures_in_words(count: usize) -> String {
    if count == 1 { "1 failure".to_owned() } else { format!("{count} failures") }
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

/// Rejects what is not strictly between 0 and 1.
pub(super) fn open_share(field: &str, share: f64) -> Result<f64> {
    within(field, share, 1e-9, 1.0 - 1e-9, "", "Enter a share between 0 and 1, both excluded.")
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

    /// The rest of complete lognormal data in closed form. With `Σz² = n` at the top, `ln L = -n/2 - n ln σ - n ln √2π -
    /// Σ ln t`; the criteria are `4 - 2 ln L` and `2 ln n - 2 ln L`; the 90% quantile lies at `μ + 1.2816 σ`, and its
    /// variance is `σ²/n + (1.2816 σ)²/(2n)`.
    #[test]
    fn likelihood_criteria_and_quantiles_have_the_closed_form() {
        let hours = [31.0, 40.0, 44.0, 52.0, 70.0, 71.0, 96.0];
        let fitted = fit(&hours.map(Record::failed), Distribution::Lognormal).unwrap();
        let n = 7.0;
        let (mean, sd) = (fitted.location, fitted.scale);
        let logs: f64 = hours.iter().map(|h: &f64| h.ln()).sum();
        let ln_likelihood = -0.5 * n - n * sd.ln() - n * 0.918_938_533_204_672_7 - logs;
        assert!((fitted.log_likelihood - ln_likelihood).abs() < 1e-10);
        assert!((fitted.aic - (4.0 - 2.0 * ln_likelihood)).abs() < 1e-10);
        assert!((fitted.bic - (2.0 * n.ln() - 2.0 * ln_likelihood)).abs() < 1e-10);
        let z = 1.281_551_565_544_600_4 * sd;
        assert!((fitted.quantile_hours(0.9).unwrap().ln() - mean - z).abs() < 1e-12);
        let se = (sd * sd / n + z * z / (2.0 * n)).sqrt();
        assert!((fitted.quantile_log_se(0.9).unwrap() - se).abs() < 1e-12);
        let bounds = fitted.wald_bounds(0.9, 0.9).unwrap();
        let away = 1.644_853_626_951_472_2 * se;
        assert!((bounds.lower_hours.unwrap().ln() - (mean + z - away)).abs() < 1e-12);
        assert!((bounds.upper_hours.unwrap().ln() - (mean + z + away)).abs() < 1e-12);
    }

    /// `var(μ) + 2 σz cov(μ, ln σ) + (σz)² var(ln σ)` for numbers set by hand, and `σ π/√6` of a Weibull fit.
    #[test]
    fn the_error_of_a_quantile_adds_up_and_the_spread_is_of_single_panels() {
        let hours = [31.0, 40.0, 44.0, 52.0].map(Record::failed);
        let mut fitted = fit(&hours, Distribution::Weibull).unwrap();
        (fitted.scale, fitted.covariance) = (0.5, [[0.04, 0.01], [0.01, 0.09]]);
        // ln(-ln(1 - 0.9)) = 0.834 032 445 247 956
        let response = 0.5 * 0.834_032_445_247_956;
        let variance: f64 = 0.04 + 2.0 * response * 0.01 + response * response * 0.09;
        assert!((fitted.quantile_log_se(0.9).unwrap() - variance.sqrt()).abs() < 1e-12);
        assert!((fitted.log_sd() - 0.5 * 1.282_549_830_161_864).abs() < 1e-12);
        assert_eq!(fitted.weibull_shape(), Some(2.0));
        // 0.366 512 920 581 664 3 = -ln ln 2
        assert!(
            (fitted.median_hours().ln() - (fitted.location - 0.5 * 0.366_512_920_581_664_3)).abs() < 1e-12
        );
    }

    /// The information of Weibull data in the long run: `n var(μ)/σ² = 1 + 6(1 - γ)²/π²`, `n var(ln σ) = 6/π²`, and
    /// `n cov(μ, ln σ)/σ = -6(1 - γ)/π²`, with Euler's γ. Records spread evenly over their distribution come near it.
    #[test]
    fn many_weibull_records_have_the_covariance_of_theory() {
        let sigma = 0.5;
        let log: Vec<Record> = (0..2000)
            .map(|i| {
                let z = Distribution::Weibull.standard_quantile((f64::from(i) + 0.5) / 2000.0);
                Record::failed((4.0 + sigma * z).exp())
            })
            .collect();
        let covariance = fit(&log, Distribution::Weibull).unwrap().covariance;
        for (found, wanted) in [
            (covariance[0][0] / (sigma * sigma), 1.108_665),
            (covariance[0][1] / sigma, -0.257_022),
            (covariance[1][1], 0.607_927),
        ] {
            assert!((2000.0 * found / wanted - 1.0).abs() < 0.02, "{found} {wanted}");
        }
    }

    /// Fewer than six failures, known or between two looks, are few.
    #[test]
    fn few_failures_are_remarked() {
        let remarked = |exact: usize, between: usize, intact: usize| {
            let mut log: Vec<Record> = (0..exact).map(|i| Record::failed(30.0 + 7.0 * i as f64)).collect();
            log.extend((0..between).map(|i| Record::between(50.0 + 9.0 * i as f64, 60.0 + 9.0 * i as f64)));
            log.extend((0..intact).map(|_| Record::intact(90.0)));
            let fitted = fit(&log, Distribution::Lognormal).unwrap();
            assert_eq!((fitted.failed, fitted.between, fitted.intact), (exact, between, intact));
            !fitted.remarks.is_empty()
        };
        assert!(remarked(2, 3, 4));
        assert!(!remarked(3, 3, 1));
        assert!(!remarked(1, 5, 0));
        assert!(!remarked(6, 0, 9));
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
