//! A test in which nothing failed: no estimate, but a lower bound.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::fit::{Fit, fit, open_share};
use super::record::{Outcome, Record, check_records};
use super::sample::Sample;
use crate::Result;
use crate::error::{table_error, within};
use crate::evidence::Source;

/// Where the bound comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const ZERO_FAILURE: Source = Source::from_memory(
    "Nelson, W.: Weibull analysis of reliability data with few or no failures. J. Quality Technology 17 (1985) \
     140-146; success run: reliability (1 - confidence)^(1/n)",
);

/// What a test without failures shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ZeroFailureBound {
    /// Which distribution is assumed.
    pub distribution: Distribution,
    /// The spread that is assumed: `σ` of the logarithm of hours, of a Weibull distribution 1/shape.
    pub assumed_scale: f64,
    /// One-sided confidence of both bounds.
    pub confidence: f64,
    /// The median is at least this, h, if the spread is as assumed; never more than was tested.
    pub median_at_least_hours: f64,
    /// The share that lasts `shortest_hours` is at least this, whatever the distribution.
    pub reliability_at_least: f64,
    /// The shortest test among the records, h.
    pub shortest_hours: f64,
    /// How many records.
    pub rows: usize,
    /// Says in words that this is a bound and no estimate.
    pub remark: String,
}

/// The one-sided lower bound that intact panels set.
///
/// With the spread `σ` known, `n` panels intact at `t_i` are less likely than `1 - confidence` for any median below
/// the one that solves `Π S((ln t_i - μ)/σ) = 1 - confidence`; that is the bound. Of a Weibull distribution it is
/// `η = (Σ t_i^β / -ln(1 - confidence))^(1/β)`. It is cut at the longest test: what no panel was tested for, none
/// shows. Without any assumption on the distribution the success run gives
/// the share that lasts the shortest test. Source: `ZERO_FAILURE`.
///
/// # Errors
/// A record that failed; an assumed scale outside 0.01 to 3; a confidence outside 0 to 1.
///
/// ```
/// use overcoat::records::{zero_failure_bound, Distribution, Record};
/// let log = vec![Record::intact(96.0); 22];
/// let bound = zero_failure_bound(&log, Distribution::Lognormal, 0.5, 0.9)?;
/// assert_eq!(bound.median_at_least_hours, 96.0);
/// // Success run: 22 of 22 show 90% reliability with 90% confidence.
/// assert!((bound.reliability_at_least - 0.9006).abs() < 1e-4);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn zero_failure_bound(
    records: &[Record],
    distribution: Distribution,
    assumed_scale: f64,
    confidence: f64,
) -> Result<ZeroFailureBound> {
    check_records(records)?;
    open_share("confidence", confidence)?;
    within(
        "assumed_scale",
        assumed_scale,
        0.01,
        3.0,
        "",
        "Enter the spread of the logarithm of hours, as the log_sd of the film in the catalog.",
    )?;
    if let Some(row) = records.iter().position(|r| r.outcome != Outcome::Intact) {
        return Err(table_error(
            "outcome",
            Some(row + 1),
            "a failure in a zero-failure bound",
            "Fit the records instead.",
        ));
    }
    let sample = Sample::of(records)?;
    let alpha = 1.0 / assumed_scale;
    let wanted = (-confidence).ln_1p();
    let chance = |mu: f64| sample.likelihood(distribution, alpha, alpha * mu).value;
    // The chance of no failure grows with the location.
    let (mut low, mut high) = (-1.0, 1.0);
    while chance(low) > wanted {
        low *= 2.0;
    }
    while chance(high) < wanted {
        high *= 2.0;
    }
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if chance(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    let location = sample.origin + f64::midpoint(low, high);
    let longest_hours = records.iter().map(|r| r.hours).fold(0.0, f64::max);
    let median_at_least_hours =
        (location + assumed_scale * distribution.standard_quantile(0.5)).exp().min(longest_hours);
    Ok(ZeroFailureBound {
        distribution,
        assumed_scale,
        confidence,
        median_at_least_hours,
        reliability_at_least: (wanted / sample.weight).exp(),
        shortest_hours: records.iter().map(|r| r.hours).fold(f64::INFINITY, f64::min),
        rows: records.len(),
        remark: format!(
            "no failure in {} records: a lower bound at {:.0}% confidence with an assumed {distribution} scale of \
             {assumed_scale}, no estimate",
            records.len(),
            100.0 * confidence
        ),
    })
}

/// What records show: an estimate, or where nothing failed a lower bound.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Fitted {
    /// A fitted distribution.
    Estimate(Fit),
    /// Nothing failed.
    LowerBound(ZeroFailureBound),
}

/// [`fit`](super::fit()), or where no record failed [`zero_failure_bound`].
///
/// # Errors
/// See these two.
///
/// ```
/// use overcoat::records::{fit_or_bound, Distribution, Fitted, Record};
/// let log = vec![Record::intact(96.0); 5];
/// assert!(matches!(fit_or_bound(&log, Distribution::Lognormal, 0.5, 0.9)?, Fitted::LowerBound(_)));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn fit_or_bound(
    records: &[Record],
    distribution: Distribution,
    assumed_scale: f64,
    confidence: f64,
) -> Result<Fitted> {
    if !records.is_empty() && records.iter().all(|r| r.outcome == Outcome::Intact) {
        return zero_failure_bound(records, distribution, assumed_scale, confidence).map(Fitted::LowerBound);
    }
    fit(records, distribution).map(Fitted::Estimate)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The closed form of the Weibull bound.
    #[test]
    fn the_weibull_bound_has_the_closed_form() {
        let hours = [48.0_f64, 72.0, 96.0, 96.0];
        let shape = 2.0;
        let bound =
            zero_failure_bound(&hours.map(Record::intact), Distribution::Weibull, 1.0 / shape, 0.9).unwrap();
        let eta = (hours.iter().map(|t| t.powf(shape)).sum::<f64>() / -(0.1_f64.ln())).powf(1.0 / shape);
        let median = eta * 2.0_f64.ln().powf(1.0 / shape);
        assert!((bound.median_at_least_hours / median - 1.0).abs() < 1e-12);
    }

    /// One panel: the median bound is `t · exp(-σ z)` with `z` the normal quantile of the confidence.
    #[test]
    fn one_panel_gives_a_bound_below_its_hours() {
        let bound = zero_failure_bound(&[Record::intact(96.0)], Distribution::Lognormal, 0.5, 0.9).unwrap();
        let expected = 96.0 * (-0.5 * 1.281_551_565_544_600_4_f64).exp();
        assert!((bound.median_at_least_hours - expected).abs() < 1e-9);
        assert!(bound.remark.contains("no estimate"));
    }

    /// Success run: 22 of 22 show 0.1^(1/22) = 0.9006; a weight counts for as many.
    #[test]
    fn the_success_run_has_its_root() {
        for log in [vec![Record::intact(96.0); 22], vec![Record::intact(96.0).weighing(22.0)]] {
            let bound = zero_failure_bound(&log, Distribution::Lognormal, 0.5, 0.9).unwrap();
            assert!((bound.reliability_at_least - 0.1_f64.powf(1.0 / 22.0)).abs() < 1e-12);
        }
    }

    /// `n` panels alike: the median is `t · exp(-σ z)` with `z` the quantile of `1 - (1 - confidence)^(1/n)` short of 1,
    /// however far below the hours that lies; never above them.
    #[test]
    fn bounds_far_from_the_hours_are_found() {
        for (panels, confidence) in [(1.0, 0.999_999), (1.0, 0.5), (1e4, 0.5), (1e6, 0.9)] {
            let log = [Record::intact(96.0).weighing(panels)];
            let bound = zero_failure_bound(&log, Distribution::Lognormal, 3.0, confidence).unwrap();
            let z = crate::math::normal_quantile(-((-confidence).ln_1p() / panels).exp_m1());
            let expected = (96.0_f64.ln() - 3.0 * z).min(96.0_f64.ln());
            assert!((bound.median_at_least_hours.ln() - expected).abs() < 1e-6, "{panels} {confidence}");
        }
    }

    #[test]
    fn a_bound_is_given_only_where_nothing_failed() {
        let of = |log: &[Record]| fit_or_bound(log, Distribution::Lognormal, 0.5, 0.9);
        assert!(matches!(of(&[Record::intact(96.0)]).unwrap(), Fitted::LowerBound(_)));
        let log = [Record::failed(50.0), Record::failed(80.0), Record::intact(96.0)];
        assert!(matches!(of(&log).unwrap(), Fitted::Estimate(_)));
        assert!(of(&[]).unwrap_err().to_string().contains("no record"));
    }

    #[test]
    fn a_failure_is_refused_by_row() {
        let error =
            zero_failure_bound(&[Record::intact(1.0), Record::failed(2.0)], Distribution::Weibull, 0.5, 0.9)
                .unwrap_err();
        assert!(error.to_string().contains("row 2"));
    }
}
