//! Predictions against what became of the parts: are the spreads honest, and which of several predictions is best?

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::field::FieldRecord;
use crate::error::{invalid, within};
use crate::evidence::Source;
use crate::math::cubic::LogCubic;
use crate::math::normal_cdf_of;
use crate::{Error, Result};

/// How predictions are judged.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const SCORING: Source = Source::from_memory(
    "Gneiting, T., Raftery, A. E.: Strictly proper scoring rules. J. Am. Stat. Assoc. 102 (2007) 359-378; probability \
     integral transform of censored outcomes spread evenly: Czado, Gneiting & Held, Biometrics 65 (2009) 1254-1261",
);

/// A prediction and what became of the part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PredictedRecord {
    /// The natural logarithm of the years of those that fail, as an [`Outlook`](crate::life::Outlook) gives it;
    /// [`LogCubic::of_lognormal`] where they are lognormal.
    pub predicted: LogCubic,
    /// Share that never fails.
    pub never_fails: f64,
    /// What was seen.
    pub seen: FieldRecord,
}

/// How one way to predict did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Backtest {
    /// How many records.
    pub rows: usize,
    /// How many of them failed.
    pub failed: usize,
    /// Share of outcomes within the 10 to 90% range; 0.8 is honest, more is timid, less is rash.
    pub coverage_80: f64,
    /// Standard error of that share.
    pub coverage_80_se: f64,
    /// Predicted probability of failure against the share that failed.
    pub calibration: Vec<CalibrationPoint>,
    /// Mean logarithm of the likelihood of what was seen, years on a logarithmic scale; the higher the better. Compare
    /// it between predictions of the same records.
    pub log_score: f64,
}

/// A point of the calibration curve; on the diagonal where the prediction is honest.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CalibrationPoint {
    /// Predicted share failed.
    pub predicted: f64,
    /// Share that had failed when this was predicted of each.
    pub observed: f64,
}

/// Judges one way to predict by records of parts in the field.
///
/// Each outcome is placed in its own prediction, `u = F(years)`: evenly spread over 0 to 1 if the predictions are
/// honest. A censored outcome lies somewhere in `F(from)` to `F(until)` and is spread evenly over it, so that mostly
/// censored records look honest whatever was predicted: the log score then tells more. Run it for each way to predict,
/// naive ones included, on the same records. Source: `SCORING`.
///
/// # Errors
/// No case; years or weights out of range; a prediction without a finite median and a spread above 0, or a share that
/// never fails outside 0 to 1.
///
/// ```
/// use overcoat::life::LogCubic;
/// use overcoat::records::{backtest, FieldRecord, Lognormal, PredictedRecord};
/// let with = |log_sd: f64| -> Vec<PredictedRecord> {
///     [2.0, 4.0, 5.0, 6.0, 12.0]
///         .map(|years| PredictedRecord {
///             predicted: LogCubic::of_lognormal(Lognormal { ln_median: 5.0_f64.ln(), log_sd }),
///             never_fails: 0.0,
///             seen: FieldRecord::failed(years),
///         })
///         .to_vec()
/// };
/// let (honest, rash) = (backtest(&with(0.6))?, backtest(&with(0.05))?);
/// assert!(honest.log_score > rash.log_score);
/// assert!(rash.coverage_80 < honest.coverage_80);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn backtest(cases: &[PredictedRecord]) -> Result<Backtest> {
    judge(cases, &(0..cases.len()).collect::<Vec<_>>())
}

/// The same where cases of one group share what they do not owe to their prediction: the error of the coverage
/// counts each group as one.
pub(super) fn judge(cases: &[PredictedRecord], groups: &[usize]) -> Result<Backtest> {
    if cases.is_empty() {
        return Err(invalid("cases", "none", "one case or more", "Give records with their predictions."));
    }
    let placed: Vec<Placed> = cases
        .iter()
        .enumerate()
        .map(|(i, case)| place(case).map_err(|e: Error| e.within(&format!("cases[{i}]"))))
        .collect::<Result<_>>()?;
    let total: f64 = placed.iter().map(|p| p.weight).sum();
    let failed_by = |level: f64| placed.iter().map(|p| p.weight * p.share_below(level)).sum::<f64>() / total;
    let coverage = failed_by(0.9) - failed_by(0.1);
    let mut away: BTreeMap<usize, f64> = BTreeMap::new();
    for (p, group) in placed.iter().zip(groups) {
        *away.entry(*group).or_default() += p.weight * (p.share_below(0.9) - p.share_below(0.1) - coverage);
    }
    let spread: f64 = away.values().map(|sum| sum * sum).sum();
    Ok(Backtest {
        rows: cases.len(),
        failed: cases.iter().filter(|c| c.seen.outcome != super::Outcome::Intact).count(),
        coverage_80: coverage,
        coverage_80_se: spread.sqrt() / total,
        calibration: (1..10)
            .map(|i| f64::from(i) / 10.0)
            .map(|predicted| CalibrationPoint { predicted, observed: failed_by(predicted) })
            .collect(),
        log_score: placed.iter().map(|p| p.weight * p.log_score).sum::<f64>() / total,
    })
}

/// An outcome in its own prediction.
struct Placed {
    low: f64,
    high: f64,
    weight: f64,
    log_score: f64,
}

impl Placed {
    /// Share of the outcome below a level.
    fn share_below(&self, level: f64) -> f64 {
        if level >= self.high {
            1.0
        } else if level <= self.low {
            0.0
        } else {
            (level - self.low) / (self.high - self.low)
        }
    }
}

fn place(case: &PredictedRecord) -> Result<Placed> {
    let PredictedRecord { predicted, never_fails, .. } = case;
    let median = "Enter the logarithm of the median years.";
    within("predicted.constant", predicted.constant, -50.0, 50.0, "", median)?;
    within(
        "predicted.linear",
        predicted.linear,
        1e-3,
        10.0,
        "",
        "Enter the spread of the prediction, above 0.",
    )?;
    within("never_fails", *never_fails, 0.0, 1.0 - 1e-9, "", "Enter the share that never fails.")?;
    let row = case.seen.row()?;
    let normal = Distribution::Lognormal;
    let fails = 1.0 - never_fails;
    let [low, high] = [row.low, row.high].map(|y| if y.is_finite() { predicted.deviate_of(y) } else { y });
    let below = |z: f64| fails * normal_cdf_of(z);
    let log_score = if row.is_exact() {
        fails.ln() + normal.ln_density(low).value - predicted.slope(low).ln()
    } else if row.high == f64::INFINITY {
        // intact: has not failed yet, or never does
        if *never_fails > 0.0 { (1.0 - below(low)).ln() } else { normal.ln_survival(low).value }
    } else if row.low == f64::NEG_INFINITY {
        fails.ln() + normal.ln_failure(high).value
    } else {
        fails.ln() + normal.ln_between(low, high)
    };
    Ok(Placed {
        low: if row.low == f64::NEG_INFINITY { 0.0 } else { below(low) },
        high: if row.high == f64::INFINITY { 1.0 } else { below(high) },
        weight: row.weight,
        log_score,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::{Lognormal, normal_quantile};

    fn predicted(ln_median: f64, log_sd: f64) -> LogCubic {
        LogCubic::of_lognormal(Lognormal { ln_median, log_sd })
    }

    fn cases(log_sd: f64, truth: f64) -> Vec<PredictedRecord> {
        (0..200)
            .map(|i| {
                let z = normal_quantile((f64::from(i) + 0.5) / 200.0);
                PredictedRecord {
                    predicted: predicted(1.0, log_sd),
                    never_fails: 0.0,
                    seen: FieldRecord::failed((1.0 + truth * z).exp()),
                }
            })
            .collect()
    }

    #[test]
    fn an_honest_prediction_lies_on_the_diagonal() {
        let result = backtest(&cases(0.5, 0.5)).unwrap();
        assert!((result.coverage_80 - 0.8).abs() < 0.006);
        assert!(result.calibration.iter().all(|p| (p.predicted - p.observed).abs() < 0.006));
    }

    /// The log score is proper: the true spread scores best.
    #[test]
    fn the_true_spread_scores_best() {
        let score = |log_sd| backtest(&cases(log_sd, 0.5)).unwrap().log_score;
        assert!(score(0.5) > score(0.4) && score(0.5) > score(0.65));
    }

    #[test]
    fn a_rash_prediction_covers_less_and_a_timid_one_more() {
        let covers = |log_sd| backtest(&cases(log_sd, 0.5)).unwrap().coverage_80;
        assert!(covers(0.25) < 0.6 && covers(1.0) > 0.95);
    }

    /// By hand: intact at the median, `u` anywhere from 0.5 to 1, so 4/5 of it below 0.9.
    #[test]
    fn an_intact_part_is_spread_over_what_may_come() {
        let case = PredictedRecord {
            predicted: predicted(0.0, 0.7),
            never_fails: 0.0,
            seen: FieldRecord::intact(1.0),
        };
        let result = backtest(&[case]).unwrap();
        assert!((result.coverage_80 - 0.8).abs() < 1e-12);
        assert!((result.log_score - 0.5_f64.ln()).abs() < 1e-12);
    }

    /// By hand: weights 1 and 2 within the range, 1 below it, 1 above it, so 3/5 within. About that they lie 0.4, 0.8,
    /// -0.6 and -0.6 of a weight away: the error is √1.52/5, and √2.88/5 where the first two and the last two belong
    /// together. At z = 0, 0, -2 and 2 the mean of -z²/2 - ln σ - ln √2π is -8/10 - ln σ - ln √2π.
    #[test]
    fn weights_and_groups_count_in_the_error_and_the_score() {
        let log_sd = 0.5_f64;
        let seen = |z: f64, weight: f64| PredictedRecord {
            predicted: predicted(1.0, log_sd),
            never_fails: 0.0,
            seen: FieldRecord { weight, ..FieldRecord::failed((1.0 + z * log_sd).exp()) },
        };
        let cases = [seen(0.0, 1.0), seen(0.0, 2.0), seen(-2.0, 1.0), seen(2.0, 1.0)];
        let alone = backtest(&cases).unwrap();
        assert!((alone.coverage_80 - 0.6).abs() < 1e-12);
        assert!((alone.coverage_80_se - 1.52_f64.sqrt() / 5.0).abs() < 1e-12);
        assert!((alone.log_score - (-0.8 - log_sd.ln() - 0.918_938_533_204_672_7)).abs() < 1e-12);
        let grouped = judge(&cases, &[0, 0, 1, 1]).unwrap();
        assert!((grouped.coverage_80_se - 2.88_f64.sqrt() / 5.0).abs() < 1e-12);
    }

    #[test]
    fn parts_that_stand_have_not_failed() {
        let predicted = predicted(1.0, 0.5);
        let cases = [FieldRecord::failed(2.0), FieldRecord::intact(3.0), FieldRecord::between(1.0, 2.0)]
            .map(|seen| PredictedRecord { predicted, never_fails: 0.0, seen });
        let found = backtest(&cases).unwrap();
        assert_eq!((found.rows, found.failed), (3, 2));
    }

    #[test]
    fn what_is_wrong_is_named_by_case() {
        let mut wrong = cases(0.5, 0.5);
        wrong[3].predicted.linear = 0.0;
        assert_eq!(backtest(&wrong).unwrap_err().field(), "cases[3].predicted.linear");
        assert!(backtest(&[]).is_err());
    }
}
