//! The records without a distribution: where they are on a probability plot, and how well a fit goes through them.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::fit::Fit;
use super::record::Record;
use super::sample::{Row, Sample};
use crate::Result;
use crate::evidence::Source;

/// Where the points come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const PLOTTING_POSITIONS: Source = Source::from_memory(
    "Kaplan, E. L., Meier, P.: J. Am. Stat. Assoc. 53 (1958) 457-481; with intervals Turnbull, B. W.: J. R. Stat. \
     Soc. B 38 (1976) 290-295; points at the middle of each step following Meeker & Escobar, Statistical Methods for \
     Reliability Data (1998), 6.4",
);

/// Where the statistic of complete data and its probability come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const ANDERSON_DARLING: Source = Source::from_memory(
    "D'Agostino, R. B., Stephens, M. A.: Goodness-of-Fit Techniques (1986), chapter 4: both parameters estimated; \
     normal: tables 4.7 and 4.9, extreme value: table 4.17 with a fitted probability",
);

/// A step of the distribution function that needs no model, ready to be drawn.
///
/// On axes of `ln hours` and `standard_quantile` a fitted distribution is the line `ln hours = μ + σ z`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PlotPoint {
    /// Start of the stretch in which the step lies, h; equal to `hours` where the time is known.
    pub from_hours: f64,
    /// End of it, h; infinite stretches are left out.
    pub hours: f64,
    /// Share failed before the step.
    pub before: f64,
    /// Share failed after it.
    pub after: f64,
    /// The middle of both: the plotting position.
    pub probability: f64,
    /// `z` of the distribution at that position.
    pub standard_quantile: f64,
}

/// How well a fit goes through the records.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum GoodnessOfFit {
    /// Complete data: the Anderson-Darling statistic, corrected for the number of records and for the two
    /// estimated parameters, and the probability of one as large if the distribution is right.
    AndersonDarling {
        /// `A²`, corrected.
        statistic: f64,
        /// Under 0.05 the data do not support the distribution.
        probability: f64,
    },
    /// Censored or weighted data: the largest distance between the fitted distribution and the steps of the plot.
    /// No probability goes with it: compare it between distributions.
    LargestDistance {
        /// The distance, 0 to 1.
        statistic: f64,
    },
}

/// Points of a probability plot: steps of the Kaplan-Meier estimate, with intervals of Turnbull's.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects.
///
/// ```
/// use overcoat::records::{probability_plot, Distribution, Record};
/// let log = [Record::failed(24.0), Record::intact(48.0), Record::failed(72.0)];
/// let points = probability_plot(&log, Distribution::Weibull)?;
/// assert_eq!(points.len(), 2);
/// assert!((points[0].after - 1.0 / 3.0).abs() < 1e-12);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn probability_plot(records: &[Record], distribution: Distribution) -> Result<Vec<PlotPoint>> {
    let sample = Sample::of(records)?;
    let steps = if sample.rows.iter().all(|r| r.is_exact() || r.high == f64::INFINITY) {
        kaplan_meier(&sample)
    } else {
        turnbull(&sample)
    };
    let mut before = 0.0;
    let mut points = Vec::new();
    for Step { low, high, mass } in steps {
        let after = (before + mass).min(1.0);
        let probability = f64::midpoint(before, after);
        if high.is_finite() && mass > 0.0 {
            points.push(PlotPoint {
                from_hours: (low + sample.origin).exp(),
                hours: (high + sample.origin).exp(),
                before,
                after,
                probability,
                standard_quantile: distribution.standard_quantile(probability),
            });
        }
        before = after;
    }
    Ok(points)
}

/// Mass of failures in a stretch of logarithms of hours.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Step {
    low: f64,
    high: f64,
    mass: f64,
}

/// The product-limit estimate; rows come sorted by `low`, at equal times failures before intact ones.
fn kaplan_meier(sample: &Sample) -> Vec<Step> {
    let mut at_risk = sample.weight;
    let mut surviving = 1.0;
    let mut steps = Vec::new();
    for row in &sample.rows {
        if row.is_exact() {
            let left = surviving * (1.0 - row.weight / at_risk).max(0.0);
            steps.push(Step { low: row.low, high: row.high, mass: surviving - left });
            surviving = left;
        }
        at_risk -= row.weight;
    }
    steps
}

/// An end of a stretch: where, and what. At the same time a known failure opens, an interval closes, a later
/// interval opens, since an interval contains its end and not its start.
#[derive(Debug, Clone, Copy, PartialEq)]
enum End {
    OpensAt,
    Closes,
    OpensAfter,
}

/// Most rounds of sharing out.
const ROUNDS: u32 = 3000;

/// Turnbull's estimate: mass only on stretches that open and close without another end between, shared out by
/// self-consistency until nothing moves by more than 1e-10, or [`ROUNDS`] are over; a drawing needs no more.
fn turnbull(sample: &Sample) -> Vec<Step> {
    let mut ends: Vec<(f64, End)> = Vec::new();
    for row in &sample.rows {
        ends.push((row.low, if row.is_exact() { End::OpensAt } else { End::OpensAfter }));
        ends.push((row.high, End::Closes));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1 as u8).cmp(&(b.1 as u8))));
    let mut steps: Vec<Step> = Vec::new();
    let mut opened = None;
    for (y, end) in ends {
        match (end, opened) {
            (End::Closes, Some(low)) => {
                steps.push(Step { low, high: y, mass: 0.0 });
                opened = None;
            }
            (End::Closes, None) => {}
            _ => opened = Some(y),
        }
    }
    let even = 1.0 / steps.len() as f64;
    for step in &mut steps {
        step.mass = even;
    }
    let holds = |row: &Row, step: &Step| {
        row.low <= step.low && step.high <= row.high && (row.is_exact() || row.low < step.high)
    };
    for _ in 0..ROUNDS {
        let mut next = vec![0.0; steps.len()];
        for row in &sample.rows {
            let total: f64 = steps.iter().filter(|s| holds(row, s)).map(|s| s.mass).sum();
            if total > 0.0 {
                for (mass, step) in next.iter_mut().zip(&steps).filter(|(_, s)| holds(row, s)) {
                    *mass += row.weight * step.mass / total / sample.weight;
                }
            }
        }
        let moved = next.iter().zip(&steps).map(|(mass, s)| (mass - s.mass).abs()).fold(0.0, f64::max);
        for (step, mass) in steps.iter_mut().zip(next) {
            step.mass = mass;
        }
        if moved < 1e-10 {
            break;
        }
    }
    steps
}

/// How well a fit goes through the records: [`GoodnessOfFit`]. Source: `ANDERSON_DARLING`.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects.
///
/// ```
/// use overcoat::records::{fit, goodness_of_fit, Distribution, GoodnessOfFit, Record};
/// let log: Vec<Record> = [24.0, 30.0, 36.0, 41.0, 55.0, 70.0, 99.0, 120.0].map(Record::failed).to_vec();
/// let fitted = fit(&log, Distribution::Lognormal)?;
/// let GoodnessOfFit::AndersonDarling { probability, .. } = goodness_of_fit(&log, &fitted)? else { panic!() };
/// assert!(probability > 0.5);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn goodness_of_fit(records: &[Record], fit: &Fit) -> Result<GoodnessOfFit> {
    let sample = Sample::of(records)?;
    let complete = records.iter().all(|r| r.weight == 1.0) && sample.rows.iter().all(|r| r.is_exact());
    if complete && records.len() >= 3 {
        return Ok(anderson_darling(records, fit));
    }
    let below = |hours: f64| {
        let z = (hours.ln() - fit.location) / fit.scale;
        -fit.distribution.ln_survival(z).value.exp_m1()
    };
    let distance = probability_plot(records, fit.distribution)?
        .iter()
        .flat_map(|p| [(below(p.from_hours) - p.before).abs(), (below(p.hours) - p.after).abs()])
        .fold(0.0, f64::max);
    Ok(GoodnessOfFit::LargestDistance { statistic: distance })
}

fn anderson_darling(records: &[Record], fit: &Fit) -> GoodnessOfFit {
    let n = records.len() as f64;
    // The tables of the normal distribution are for the standard deviation with n - 1.
    let scale = match fit.distribution {
        Distribution::Lognormal => fit.scale * (n / (n - 1.0)).sqrt(),
        Distribution::Weibull => fit.scale,
    };
    let mut z: Vec<f64> = records.iter().map(|r| (r.hours.ln() - fit.location) / scale).collect();
    z.sort_by(f64::total_cmp);
    let sum: f64 = z
        .iter()
        .zip(z.iter().rev())
        .enumerate()
        .map(|(i, (&up, &down))| {
            let rank = 2.0 * i as f64 + 1.0;
            rank * (fit.distribution.ln_failure(up).value + fit.distribution.ln_survival(down).value)
        })
        .sum();
    let plain = -n - sum / n;
    let (statistic, probability) = match fit.distribution {
        Distribution::Lognormal => {
            let a = plain * (1.0 + 0.75 / n + 2.25 / (n * n));
            (a, normal_probability(a))
        }
        Distribution::Weibull => {
            let a = plain * (1.0 + 0.2 / n.sqrt());
            (a, extreme_value_probability(a))
        }
    };
    GoodnessOfFit::AndersonDarling { statistic, probability }
}

/// Probability of an adjusted statistic `a` at least as large where the logarithms are normal, mean and spread
/// estimated (D'Agostino & Stephens 1986, table 4.9, from memory).
fn normal_probability(a: f64) -> f64 {
    if a < 0.2 {
        1.0 - (-13.436 + 101.14 * a - 223.73 * a * a).exp()
    } else if a < 0.34 {
        1.0 - (-8.318 + 42.796 * a - 59.938 * a * a).exp()
    } else if a < 0.6 {
        (0.9177 - 4.279 * a - 1.38 * a * a).exp()
    } else if a <= 13.0 {
        (1.2937 - 5.709 * a + 0.0186 * a * a).exp()
    } else {
        // The last formula is fitted up to 13; beyond, its square would turn it up again.
        0.0
    }
}

/// The same for the extreme value distribution, as of the logarithms of Weibull hours (table 4.17, from memory).
fn extreme_value_probability(a: f64) -> f64 {
    1.0 / (1.0 + (-0.1 + 1.24 * a.ln() + 4.48 * a).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::fit;

    /// Turnbull's estimate is Kaplan and Meier's where no interval is: two ways to the same number.
    #[test]
    fn without_intervals_both_estimates_agree() {
        let log = [
            Record::failed(10.0),
            Record::failed(10.0),
            Record::intact(10.0),
            Record::failed(14.0),
            Record::intact(15.0),
            Record::failed(20.0),
            Record::intact(31.0),
        ];
        let sample = Sample::of(&log).unwrap();
        let (a, b) = (kaplan_meier(&sample), turnbull(&sample));
        for step in a {
            let other = b.iter().find(|s| s.low == step.low && s.high == step.high).unwrap();
            assert!((step.mass - other.mass).abs() < 1e-8);
        }
    }

    /// Kaplan & Meier (1958), the example of their section 2 as commonly quoted, deaths 0.8, 3.1, 5.4, 9.2 and
    /// losses 1.0, 2.7, 7.0, 12.1: 7/8, 7/10, 21/40, 21/80 surviving. Printed (from memory).
    #[test]
    fn the_example_of_kaplan_and_meier_comes_out() {
        let mut log: Vec<Record> = [0.8, 3.1, 5.4, 9.2].map(Record::failed).to_vec();
        log.extend([1.0, 2.7, 7.0, 12.1].map(Record::intact));
        let points = probability_plot(&log, Distribution::Lognormal).unwrap();
        for (point, surviving) in points.iter().zip([7.0 / 8.0, 7.0 / 10.0, 21.0 / 40.0, 21.0 / 80.0]) {
            assert!((1.0 - point.after - surviving).abs() < 1e-12);
        }
    }

    /// By hand: of three panels one failed at 10 h, then one of two at 40 h, so a third and two thirds. A lognormal
    /// distribution with median 20 h and a spread of ln 2 has Φ(-1) = 0.158655 and Φ(1) = 0.841345 there; the farthest
    /// apart are 0.841345 and the third that had failed just before 40 h.
    #[test]
    fn the_largest_distance_is_that_before_or_after_a_step() {
        let log = [Record::failed(10.0), Record::failed(40.0), Record::intact(40.0)];
        let mut fitted = fit(&[Record::failed(10.0), Record::failed(40.0)], Distribution::Lognormal).unwrap();
        (fitted.location, fitted.scale) = (20.0_f64.ln(), 2.0_f64.ln());
        let GoodnessOfFit::LargestDistance { statistic } = goodness_of_fit(&log, &fitted).unwrap() else {
            unreachable!()
        };
        assert!((statistic - (0.841_344_746_068_543 - 1.0 / 3.0)).abs() < 1e-12, "{statistic}");
        // and after a step: with a median of 80 h, a spread of ln 2 and two thirds failed at 40 h, 2/3 - Φ(-1)
        fitted.location = 80.0_f64.ln();
        let GoodnessOfFit::LargestDistance { statistic } = goodness_of_fit(&log, &fitted).unwrap() else {
            unreachable!()
        };
        assert!((statistic - (2.0 / 3.0 - 0.158_655_253_931_457)).abs() < 1e-12, "{statistic}");
    }

    /// The tables are for three complete records or more, each counting once.
    #[test]
    fn the_table_serves_complete_records_alone() {
        let exact: Vec<Record> = [10.0, 22.0, 40.0].map(Record::failed).to_vec();
        let fitted = fit(&exact, Distribution::Lognormal).unwrap();
        let by_table = |log: &[Record]| {
            matches!(goodness_of_fit(log, &fitted).unwrap(), GoodnessOfFit::AndersonDarling { .. })
        };
        assert!(by_table(&exact));
        assert!(!by_table(&exact[..2]));
        assert!(!by_table(&[exact.clone(), vec![Record::intact(40.0)]].concat()));
        assert!(!by_table(&[exact[..2].to_vec(), vec![Record::failed(40.0).weighing(2.0)]].concat()));
    }

    /// Far out: `exp(1.2937 - 5.709·10 + 0.0186·100)` of the last piece.
    #[test]
    fn the_last_piece_of_the_probability_has_its_square() {
        assert!((normal_probability(10.0).ln() + 53.9363).abs() < 1e-9);
    }

    /// Mass lies on the innermost interval, from its one end to the other; what never failed has no point.
    #[test]
    fn a_step_has_two_ends_and_none_lies_at_infinity() {
        let nested = [Record::between(10.0, 40.0), Record::between(20.0, 30.0), Record::between(5.0, 60.0)];
        let points = probability_plot(&nested, Distribution::Lognormal).unwrap();
        assert_eq!(points.len(), 1, "{points:?}");
        assert!((points[0].from_hours - 20.0).abs() < 1e-12 && (points[0].hours - 30.0).abs() < 1e-12);
        let open = [Record::between(0.0, 24.0), Record::intact(24.0)];
        let points = probability_plot(&open, Distribution::Lognormal).unwrap();
        assert_eq!(points.len(), 1, "{points:?}");
        assert!((points[0].hours - 24.0).abs() < 1e-12 && (points[0].after - 0.5).abs() < 1e-9);
        let exact =
            probability_plot(&[Record::failed(9.0), Record::failed(30.0)], Distribution::Weibull).unwrap();
        assert!(exact.iter().all(|point| point.from_hours == point.hours), "{exact:?}");
    }

    #[test]
    fn touching_intervals_share_no_mass() {
        let log = [Record::between(0.0, 24.0), Record::between(24.0, 48.0), Record::between(0.0, 48.0)];
        let points = probability_plot(&log, Distribution::Lognormal).unwrap();
        assert_eq!(points.len(), 2);
        assert!((points[0].after - 0.5).abs() < 1e-9 && (points[1].after - 1.0).abs() < 1e-9);
    }

    /// Critical values of D'Agostino & Stephens (1986), tables 4.7 (normal) and 4.17 (extreme value); printed, from
    /// memory. They lie in three of the four pieces of the normal formula.
    #[test]
    fn probabilities_at_the_critical_values_are_those_of_the_tables() {
        for (a, p) in [(0.341, 0.5), (0.470, 0.25), (0.561, 0.15), (0.631, 0.1), (0.752, 0.05), (1.035, 0.01)]
        {
            assert!((normal_probability(a) - p).abs() < 0.01 * p.sqrt(), "{a}: {}", normal_probability(a));
        }
        for (a, p) in [(0.474, 0.25), (0.637, 0.1), (0.757, 0.05), (0.877, 0.025), (1.038, 0.01)] {
            assert!((extreme_value_probability(a) - p).abs() < 0.01 * p.sqrt());
        }
    }

    /// The pieces meet, so a wrong coefficient of any of them shows; and none turns up again.
    #[test]
    fn the_pieces_of_the_probability_meet_and_fall() {
        for joint in [0.2, 0.34, 0.6] {
            let step = normal_probability(joint - 1e-9) - normal_probability(joint);
            assert!(step.abs() < 0.005, "{joint}: {step}");
        }
        let falling: Vec<f64> = (1..2000).map(|i| normal_probability(0.01 * f64::from(i))).collect();
        assert!(falling.windows(2).all(|pair| pair[1] <= pair[0] + 0.005));
        assert!(falling[0] > 0.999 && falling[1998] == 0.0);
    }

    #[test]
    fn a_wrong_distribution_is_found_out() {
        let two_heaps: Vec<Record> = (0..15)
            .flat_map(|i| [Record::failed(10.0 + 0.1 * f64::from(i)), Record::failed(900.0 + f64::from(i))])
            .collect();
        let fitted = fit(&two_heaps, Distribution::Lognormal).unwrap();
        let GoodnessOfFit::AndersonDarling { probability, .. } =
            goodness_of_fit(&two_heaps, &fitted).unwrap()
        else {
            unreachable!()
        };
        assert!(probability < 0.001);
    }
}
