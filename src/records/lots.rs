//! Panels of one lot are alike: variance between lots and within them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::quadrature::{Density, lay};
use super::record::{Record, check_records};
use super::sample::{Row, Sample};
use crate::error::table_error;
use crate::evidence::Source;
use crate::math::normal_cdf_of as normal_cdf;
use crate::{Error, Result};

/// The model of lots.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const LOT_EFFECT: Source = Source::from_memory(
    "one-way random effects by maximum likelihood: Searle, Casella & McCulloch, Variance Components (1992), \
     chapters 3 and 6; likelihood ratio on the boundary, half the probability: Self & Liang, J. Am. Stat. Assoc. 82 \
     (1987) 605-610",
);

/// Fewer lots than this tell nothing of the variance between them.
pub(crate) const LEAST_LOTS: usize = 4;

/// Lognormal hours with a random effect of the lot: `ln t = μ + lot + panel`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LotEffect {
    /// Median over lots, h.
    pub median_hours: f64,
    /// Standard error of its logarithm.
    pub median_log_se: f64,
    /// Standard deviation between lots, of the logarithm.
    pub between_lot_log_sd: f64,
    /// Standard deviation between panels of a lot, of the logarithm.
    pub within_lot_log_sd: f64,
    /// Logarithm of the likelihood, as a density of hours.
    pub log_likelihood: f64,
    /// Probability of so large a gain in likelihood if lots were all alike.
    pub probability_alike: f64,
    /// How many lots.
    pub lots: usize,
    /// How many records.
    pub rows: usize,
    /// How many of them failed.
    pub failed: usize,
    /// What to keep in mind, one sentence each.
    pub remarks: Vec<String>,
}

impl LotEffect {
    /// Spread of the logarithm of the hours of a panel of the next lot: median, lot and panel together.
    pub fn predictive_log_sd(&self) -> f64 {
        (self.median_log_se.powi(2) + self.between_lot_log_sd.powi(2) + self.within_lot_log_sd.powi(2)).sqrt()
    }
}

/// Fits lognormal hours with a random lot effect by maximum likelihood.
///
/// With complete data the likelihood is maximised over the ratio of the two variances alone, mean and variance
/// within following from it in closed form. With censored data each lot's effect is integrated out numerically, and
/// Newton's method climbs in `μ`, `ln σ`, `ln τ`, its gradient being the mean of that of the complete likelihood
/// (Fisher's identity). Source: `LOT_EFFECT`. The variance between lots is underestimated with few lots, by about
/// `1/lots` of itself; the remarks say so.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects; a record without a lot; fewer than
/// `LEAST_LOTS` lots; a single record in every lot; no variance within lots; and what
/// [`fit`](super::fit()) rejects.
///
/// ```
/// use overcoat::records::{lot_effect, Record};
/// let mut log = Vec::new();
/// for (lot, hours) in [("A", 40.0), ("B", 60.0), ("C", 90.0), ("D", 130.0)] {
///     for factor in [0.9, 1.0, 1.1] {
///         log.push(Record::failed(hours * factor).in_lot(lot));
///     }
/// }
/// let effect = lot_effect(&log)?;
/// assert!(effect.between_lot_log_sd > 4.0 * effect.within_lot_log_sd);
/// assert!(effect.probability_alike < 0.001);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn lot_effect(records: &[Record]) -> Result<LotEffect> {
    check_records(records)?;
    let pooled = Sample::of(records)?;
    let mut lots: BTreeMap<&str, Vec<Row>> = BTreeMap::new();
    for (i, record) in records.iter().enumerate() {
        let Some(lot) = record.lot.as_deref() else {
            return Err(table_error(
                "lot",
                Some(i + 1),
                "no lot",
                "Name the lot of every record, or fit without lots.",
            ));
        };
        let mut row = Row::of(record);
        row.low -= pooled.origin;
        row.high -= pooled.origin;
        lots.entry(lot).or_default().push(row);
    }
    let lots: Vec<Vec<Row>> = lots.into_values().collect();
    if lots.len() < LEAST_LOTS {
        return Err(table_error(
            "lot",
            None,
            format!("{} lots, {LEAST_LOTS} or more are needed", lots.len()),
            "Fit without lots until there are more.",
        ));
    }
    if lots.iter().all(|lot| lot.len() < 2) {
        return Err(table_error(
            "lot",
            None,
            "one record in every lot",
            "Test two panels or more of some lots, or fit without lots.",
        ));
    }
    pooled.check_fit()?;
    let complete = lots.iter().flatten().all(|r| r.is_exact());
    let solution = if complete { complete_data(&lots)? } else { censored_data(&pooled, &lots)? };
    let alone = pooled.climb(Distribution::Lognormal, None)?.surface.value;
    let gain = (solution.value - alone).max(0.0);
    let mut remarks = Vec::new();
    if lots.len() < 10 {
        remarks.push(format!(
            "{} lots: the variance between lots is known roughly and is underestimated by about {:.0}%",
            lots.len(),
            100.0 / lots.len() as f64
        ));
    }
    if solution.between == 0.0 {
        remarks.push("no variance between lots beyond that of panels".to_owned());
    }
    Ok(LotEffect {
        median_hours: (pooled.origin + solution.location).exp(),
        median_log_se: solution.location_variance.sqrt(),
        between_lot_log_sd: solution.between,
        within_lot_log_sd: solution.within,
        log_likelihood: solution.value + pooled.jacobian(),
        probability_alike: if solution.between > 0.0 { normal_cdf(-(2.0 * gain).sqrt()) } else { 1.0 },
        lots: lots.len(),
        rows: records.len(),
        failed: records.iter().filter(|r| r.outcome != super::Outcome::Intact).count(),
        remarks,
    })
}

/// `μ` with its variance, `τ`, `σ`, and the logarithm of the likelihood of the logarithms.
struct Solution {
    location: f64,
    location_variance: f64,
    between: f64,
    within: f64,
    value: f64,
}

fn no_variance_within() -> Error {
    table_error(
        "hours",
        None,
        "panels of a lot do not differ, so the variance within lots has no estimate",
        "Record the hours more finely, or fit one record per lot.",
    )
}

/// Sums of one lot: weight, mean, sum of squares about it.
fn sums(lot: &[Row]) -> (f64, f64, f64) {
    let weight: f64 = lot.iter().map(|r| r.weight).sum();
    let mean = lot.iter().map(|r| r.weight * r.middle()).sum::<f64>() / weight;
    (weight, mean, lot.iter().map(|r| r.weight * (r.middle() - mean).powi(2)).sum())
}

/// Closed form in all but the ratio `λ = τ²/σ²`.
fn complete_data(lots: &[Vec<Row>]) -> Result<Solution> {
    let lots: Vec<(f64, f64, f64)> = lots.iter().map(|lot| sums(lot)).collect();
    let total: f64 = lots.iter().map(|(n, _, _)| n).sum();
    let within_squares: f64 = lots.iter().map(|(_, _, s)| s).sum();
    // Panels alike leave nothing but rounding.
    if within_squares <= 1e-24 * total {
        return Err(no_variance_within());
    }
    let at = |ratio: f64| {
        let weight = |n: f64| n / (1.0 + ratio * n);
        let all: f64 = lots.iter().map(|(n, _, _)| weight(*n)).sum();
        let location = lots.iter().map(|(n, mean, _)| weight(*n) * mean).sum::<f64>() / all;
        let squares: f64 = within_squares
            + lots.iter().map(|(n, mean, _)| weight(*n) * (mean - location).powi(2)).sum::<f64>();
        let variance = squares / total;
        let determinant: f64 = lots.iter().map(|(n, _, _)| (ratio * n).ln_1p()).sum();
        let value = -0.5 * (total * (std::f64::consts::TAU.ln() + variance.ln() + 1.0) + determinant);
        // Slope of the value by the ratio, the other two following.
        let slope: f64 = lots
            .iter()
            .map(|(n, mean, _)| {
                let w = weight(*n);
                0.5 * (w * w * (mean - location).powi(2) / variance - w)
            })
            .sum();
        let solution = Solution {
            location,
            location_variance: variance / all,
            between: (ratio * variance).sqrt(),
            within: variance.sqrt(),
            value,
        };
        (solution, slope)
    };
    // All tops of the likelihood: where the slope turns from up to down, and the boundary.
    let grid: Vec<f64> =
        std::iter::once(0.0).chain((-60..=60).map(|i| (f64::from(i) * 0.25).exp())).collect();
    let mut best = at(0.0).0;
    for pair in grid.windows(2) {
        let [mut low, mut high] = [pair.first(), pair.last()].map(|x| x.copied().unwrap_or(0.0));
        if at(low).1 <= 0.0 || at(high).1 > 0.0 {
            continue;
        }
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            if at(middle).1 > 0.0 { low = middle } else { high = middle }
        }
        let top = at(f64::midpoint(low, high)).0;
        if top.value > best.value {
            best = top;
        }
    }
    Ok(best)
}

/// Parameters `μ`, `ln σ`, `ln τ`.
type Parameters = [f64; 3];

/// Value and gradient of the likelihood with the effects of the lots integrated out.
fn marginal(lots: &[Vec<Row>], [mu, ln_within, ln_between]: Parameters) -> (f64, Parameters) {
    let alpha = (-ln_within).exp();
    let precision = (-2.0 * ln_between).exp();
    let normal = Distribution::Lognormal;
    let mut value = 0.0;
    let mut gradient = [0.0; 3];
    for lot in lots {
        let density: Density = lay(
            |effect| {
                let (mut ln, mut slope, mut bend) =
                    (-0.5 * precision * effect * effect, -precision * effect, -precision);
                for row in lot {
                    let s = row.likelihood(normal, alpha, alpha * (mu + effect));
                    ln += row.weight * s.value;
                    slope += row.weight * alpha * s.gradient[1];
                    bend += row.weight * alpha * alpha * s.hessian[2];
                }
                (ln, slope, bend)
            },
            0.0,
        );
        value += density.ln_integral() - ln_between - 0.5 * std::f64::consts::TAU.ln();
        let means = density.mean(|effect| {
            let location = mu + effect;
            let (mut by_mu, mut by_scale) = (0.0, 0.0);
            for row in lot {
                let [by_alpha, by_beta] = row.likelihood(normal, alpha, alpha * location).gradient;
                by_mu += row.weight * alpha * by_beta;
                by_scale -= row.weight * alpha * (by_alpha + location * by_beta);
            }
            [by_mu, by_scale, precision * effect * effect - 1.0]
        });
        for (sum, mean) in gradient.iter_mut().zip(means) {
            *sum += mean;
        }
    }
    (value, gradient)
}

/// Information on `ln σ` below which there is no top; one panel of complete data brings 2.
const LEAST_INFORMATION: f64 = 0.1;

fn censored_data(pooled: &Sample, lots: &[Vec<Row>]) -> Result<Solution> {
    let alone = pooled.climb(Distribution::Lognormal, None)?;
    let all_alike = || {
        let [h11, h12, h22] = alone.surface.hessian.map(|h| -h);
        let mu = alone.beta / alone.alpha;
        let determinant = h11 * h22 - h12 * h12;
        let variance = (h22 * mu * mu - 2.0 * -h12 * mu + h11) / determinant / (alone.alpha * alone.alpha);
        Solution {
            location: mu,
            location_variance: variance,
            between: 0.0,
            within: 1.0 / alone.alpha,
            value: alone.surface.value,
        }
    };
    // Start from the middles of the intervals, as if they were known times.
    let start = complete_data(lots).ok();
    let scale = 1.0 / alone.alpha;
    let (between, within) =
        start.map_or((0.5 * scale, 0.7 * scale), |s| (s.between.max(0.2 * scale), s.within.max(0.2 * scale)));
    let mut here: Parameters = [alone.beta / alone.alpha, within.ln(), between.ln()];
    let least = (1e-4 * scale).ln();
    let (mut value, mut gradient) = marginal(lots, here);
    for _ in 0..200 {
        let hessian = curvature(lots, here);
        let Some(step) = uphill(&hessian, gradient) else { break };
        let decrement: f64 = step.iter().zip(gradient).map(|(s, g)| s * g).sum();
        if decrement < 1e-18 {
            break;
        }
        let longest = step.iter().map(|s| s.abs()).fold(0.0, f64::max);
        let mut share = (1.0 / longest).min(1.0);
        let next = loop {
            let mut next = here;
            for (x, s) in next.iter_mut().zip(step) {
                *x += share * s;
            }
            let (v, g) = marginal(lots, next);
            if v >= value + 0.1 * share * decrement || (decrement < 1e-8 && v.is_finite()) {
                break Some((next, v, g));
            }
            share *= 0.5;
            if share < 1e-10 {
                break None;
            }
        };
        let Some((next, v, g)) = next else { break };
        (here, value, gradient) = (next, v, g);
        if here[2] < least {
            return Ok(all_alike());
        }
        if here[1] < least {
            return Err(no_variance_within());
        }
    }
    if gradient.iter().any(|g| g.abs() > 1e-5) {
        return Err(table_error(
            "lot",
            None,
            "the likelihood with a lot effect has no clear top",
            "Add lots or records that failed, or fit without lots.",
        ));
    }
    if value <= alone.surface.value {
        return Ok(all_alike());
    }
    let information = curvature(lots, here);
    // A likelihood flat in `ln σ` stopped somewhere on its way to nothing.
    if information[1][1] < LEAST_INFORMATION {
        return Err(no_variance_within());
    }
    let location_variance = uphill(&information, [1.0, 0.0, 0.0]).map_or(f64::NAN, |column| column[0]);
    Ok(Solution {
        location: here[0],
        location_variance,
        between: here[2].exp(),
        within: here[1].exp(),
        value,
    })
}

/// Second derivatives of the marginal likelihood, negative, by differences of its gradient.
fn curvature(lots: &[Vec<Row>], at: Parameters) -> [Parameters; 3] {
    let step = 1e-4;
    let column = |i: usize| {
        let moved = |by: f64| {
            let mut x = at;
            if let Some(x) = x.get_mut(i) {
                *x += by;
            }
            marginal(lots, x).1
        };
        let (low, high) = (moved(-step), moved(step));
        [0, 1, 2].map(|j: usize| {
            let difference = low.get(j).copied().unwrap_or(0.0) - high.get(j).copied().unwrap_or(0.0);
            difference / (2.0 * step)
        })
    };
    let [a, b, c] = [column(0), column(1), column(2)];
    let (ab, ac, bc) = (f64::midpoint(a[1], b[0]), f64::midpoint(a[2], c[0]), f64::midpoint(b[2], c[1]));
    [[a[0], ab, ac], [ab, b[1], bc], [ac, bc, c[2]]]
}

/// Solves `matrix · x = gradient` by Cholesky's method, with as much added to the diagonal as makes it work.
fn uphill(matrix: &[Parameters; 3], gradient: Parameters) -> Option<Parameters> {
    let size = matrix.iter().flatten().map(|x| x.abs()).fold(0.0, f64::max);
    let mut ridge = 0.0;
    for _ in 0..40 {
        let [[m11, m12, m13], [_, m22, m23], [_, _, m33]] = *matrix;
        let l11 = (m11 + ridge).sqrt();
        let (l21, l31) = (m12 / l11, m13 / l11);
        let l22 = (m22 + ridge - l21 * l21).sqrt();
        let l32 = (m23 - l21 * l31) / l22;
        let l33 = (m33 + ridge - l31 * l31 - l32 * l32).sqrt();
        if l11 > 0.0 && l22 > 0.0 && l33 > 0.0 {
            let y1 = gradient[0] / l11;
            let y2 = (gradient[1] - l21 * y1) / l22;
            let y3 = (gradient[2] - l31 * y1 - l32 * y2) / l33;
            let x3 = y3 / l33;
            let x2 = (y2 - l32 * x3) / l22;
            return Some([(y1 - l21 * x2 - l31 * x3) / l11, x2, x3]);
        }
        ridge = if ridge == 0.0 { 1e-4 * size } else { 4.0 * ridge };
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(lots: &[(&str, &[f64])]) -> Vec<Record> {
        lots.iter().flat_map(|(lot, hours)| hours.iter().map(|h| Record::failed(*h).in_lot(*lot))).collect()
    }

    const LOTS: [(&str, &[f64]); 5] = [
        ("A", &[40.0, 46.0, 51.0]),
        ("B", &[60.0, 66.0, 82.0]),
        ("C", &[35.0, 47.0, 58.0]),
        ("D", &[88.0, 101.0, 130.0]),
        ("E", &[55.0, 61.0, 64.0]),
    ];

    /// Searle, Casella & McCulloch (1992): with `a` lots of `n` panels, `σ² = SSE/(a(n-1))` and
    /// `τ² = (SSA/a - σ²)/n` while that is positive.
    #[test]
    fn balanced_data_have_the_closed_form() {
        let effect = lot_effect(&log(&LOTS)).unwrap();
        let means: Vec<f64> = LOTS.iter().map(|(_, h)| h.iter().map(|x| x.ln()).sum::<f64>() / 3.0).collect();
        let grand = means.iter().sum::<f64>() / 5.0;
        let sse: f64 =
            LOTS.iter().zip(&means).flat_map(|((_, h), m)| h.iter().map(move |x| (x.ln() - m).powi(2))).sum();
        let ssa: f64 = means.iter().map(|m| 3.0 * (m - grand).powi(2)).sum();
        let within = sse / 10.0;
        let between = (ssa / 5.0 - within) / 3.0;
        assert!((effect.within_lot_log_sd - within.sqrt()).abs() < 1e-10);
        assert!((effect.between_lot_log_sd - between.sqrt()).abs() < 1e-10);
        assert!((effect.median_hours.ln() - grand).abs() < 1e-10);
    }

    /// By hand for `a` lots of `n` panels: `ln L = -½(N ln 2π + N ln σ² + a ln(1 + n τ²/σ²) + N)` less the logarithms of
    /// the hours; the lots alike have `-½(N ln 2π + N ln s² + N)`. Twice the gain is a chi-square half of the time
    /// (Self & Liang), so its root is a normal deviate. The error of the median is `√((σ² + n τ²)/N)`.
    #[test]
    fn likelihood_and_probability_have_the_closed_form() {
        let effect = lot_effect(&log(&LOTS)).unwrap();
        let logs: Vec<f64> = LOTS.iter().flat_map(|(_, h)| h.iter().map(|x| x.ln())).collect();
        let grand = logs.iter().sum::<f64>() / 15.0;
        let pooled = logs.iter().map(|y| (y - grand).powi(2)).sum::<f64>() / 15.0;
        let (within, between) = (effect.within_lot_log_sd.powi(2), effect.between_lot_log_sd.powi(2));
        let tau = std::f64::consts::TAU.ln();
        let ln_likelihood =
            -0.5 * (15.0 * (tau + within.ln() + 1.0) + 5.0 * (1.0 + 3.0 * between / within).ln());
        let alike = -0.5 * 15.0 * (tau + pooled.ln() + 1.0);
        assert!((effect.log_likelihood - (ln_likelihood - 15.0 * grand)).abs() < 1e-9);
        let probability = normal_cdf(-(2.0 * (ln_likelihood - alike)).sqrt());
        assert!(probability > 1e-4 && probability < 0.05);
        assert!((effect.probability_alike / probability - 1.0).abs() < 1e-9);
        let se = ((within + 3.0 * between) / 15.0).sqrt();
        assert!((effect.median_log_se - se).abs() < 1e-10);
        let next = (se * se + within + between).sqrt();
        assert!((effect.predictive_log_sd() - next).abs() < 1e-10);
        assert_eq!((effect.lots, effect.rows, effect.failed), (5, 15, 15));
        assert!(
            effect.remarks.len() == 1 && effect.remarks[0].contains("by about 20%"),
            "{:?}",
            effect.remarks
        );
    }

    /// Ten lots are no longer few; lots without a variance between them say so; an intact panel has not failed.
    #[test]
    fn what_lots_cannot_tell_is_remarked() {
        let many: Vec<(String, [f64; 2])> = (0..10)
            .map(|i| (format!("L{i}"), [40.0 + 9.0 * f64::from(i), 45.0 + 10.0 * f64::from(i)]))
            .collect();
        let of = |lots: &[(String, [f64; 2])]| -> Vec<Record> {
            lots.iter().flat_map(|(lot, h)| h.map(|h| Record::failed(h).in_lot(lot.as_str()))).collect()
        };
        assert!(lot_effect(&of(&many)).unwrap().remarks.is_empty());
        assert!(lot_effect(&of(&many[..9])).unwrap().remarks[0].contains("9 lots"));
        let mut alike =
            log(&[("A", &[40.0, 60.0]), ("B", &[41.0, 58.0]), ("C", &[39.0, 61.0]), ("D", &[40.0, 62.0])]);
        assert!(lot_effect(&alike).unwrap().remarks[1].contains("no variance between lots"));
        alike.push(Record::intact(50.0).in_lot("A"));
        assert_eq!(lot_effect(&alike).unwrap().failed, 8);
    }

    /// By hand: the matrix times (1, -2, 3) is (1.8, -3.5, 6.6). One that is not positive gets the same added to its
    /// whole diagonal, enough that the step leads up.
    #[test]
    fn a_step_solves_its_equations_or_leads_uphill() {
        let solved = uphill(&[[4.0, 2.0, 0.6], [2.0, 5.0, 1.5], [0.6, 1.5, 3.0]], [1.8, -3.5, 6.6]).unwrap();
        for (x, wanted) in solved.iter().zip([1.0, -2.0, 3.0]) {
            assert!((x - wanted).abs() < 1e-14, "{solved:?}");
        }
        for diagonal in [[-1.0, 2.0, 3.0], [2.0, -1.0, 3.0], [2.0, 3.0, -1.0]] {
            let [a, b, c] = diagonal;
            let step = uphill(&[[a, 0.0, 0.0], [0.0, b, 0.0], [0.0, 0.0, c]], [1.0, 1.0, 1.0]).unwrap();
            let added = step[0].recip() - a;
            assert!(added > 1.0 && added < 8.0, "{step:?}");
            for (x, d) in step.iter().zip(diagonal) {
                assert!((x.recip() - d - added).abs() < 1e-12, "{step:?}");
            }
        }
    }

    /// A record that weighs two counts as two alike, with censored data too.
    #[test]
    fn a_weight_counts_for_panels_alike() {
        let mut twice = log(&LOTS);
        twice.push(Record::intact(70.0).in_lot("A"));
        let mut weighed = twice.clone();
        twice.push(twice[4].clone());
        weighed[4].weight = 2.0;
        let (a, b) = (lot_effect(&twice).unwrap(), lot_effect(&weighed).unwrap());
        for (a, b) in [
            (a.median_hours, b.median_hours),
            (a.median_log_se, b.median_log_se),
            (a.between_lot_log_sd, b.between_lot_log_sd),
            (a.within_lot_log_sd, b.within_lot_log_sd),
            (a.log_likelihood, b.log_likelihood),
        ] {
            assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
        }
    }

    /// One lot with two panels is enough beside lots of one.
    #[test]
    fn one_pair_of_panels_tells_of_the_variance_within() {
        let effect =
            lot_effect(&log(&[("A", &[40.0, 60.0]), ("B", &[90.0]), ("C", &[35.0]), ("D", &[70.0])]))
                .unwrap();
        assert!(effect.within_lot_log_sd > 0.0);
    }

    /// The quadrature against the closed form: intervals so narrow that the data are complete.
    #[test]
    fn quadrature_and_closed_form_agree() {
        let exact = lot_effect(&log(&LOTS)).unwrap();
        let narrow: Vec<Record> = log(&LOTS)
            .into_iter()
            .map(|r| {
                let lot = r.lot.unwrap();
                Record::between(r.hours * (1.0 - 1e-7), r.hours * (1.0 + 1e-7)).in_lot(lot)
            })
            .collect();
        let integrated = lot_effect(&narrow).unwrap();
        for (a, b) in [
            (exact.median_hours, integrated.median_hours),
            (exact.between_lot_log_sd, integrated.between_lot_log_sd),
            (exact.within_lot_log_sd, integrated.within_lot_log_sd),
            (exact.median_log_se, integrated.median_log_se),
        ] {
            assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
        }
    }

    #[test]
    fn lots_alike_have_no_variance_between() {
        let alike = log(&[
            ("A", &[40.0, 60.0, 90.0]),
            ("B", &[41.0, 58.0, 92.0]),
            ("C", &[39.0, 61.0, 91.0]),
            ("D", &[40.0, 62.0, 89.0]),
        ]);
        let effect = lot_effect(&alike).unwrap();
        assert_eq!(effect.between_lot_log_sd, 0.0);
        assert_eq!(effect.probability_alike, 1.0);
        let mut censored = alike;
        censored.push(Record::intact(50.0).in_lot("A"));
        let effect = lot_effect(&censored).unwrap();
        assert_eq!(effect.between_lot_log_sd, 0.0);
        let pooled = crate::records::fit(&censored, Distribution::Lognormal).unwrap();
        assert!((effect.median_hours / pooled.median_hours() - 1.0).abs() < 1e-10);
        assert!((effect.within_lot_log_sd / pooled.scale - 1.0).abs() < 1e-10);
        assert!((effect.median_log_se - pooled.covariance[0][0].sqrt()).abs() < 1e-10);
    }

    #[test]
    fn too_few_lots_and_records_without_one_are_refused() {
        let error = lot_effect(&log(&LOTS[..3])).unwrap_err();
        assert!(error.to_string().contains("3 lots"), "{error}");
        let error = lot_effect(&[Record::failed(1.0).in_lot("A"), Record::failed(2.0)]).unwrap_err();
        assert!(error.to_string().contains("row 2"), "{error}");
        let singles = log(&[("A", &[1.0]), ("B", &[2.0]), ("C", &[3.0]), ("D", &[4.0])]);
        assert!(lot_effect(&singles).unwrap_err().to_string().contains("one record"));
        let equal = log(&[("A", &[1.0, 1.0]), ("B", &[2.0, 2.0]), ("C", &[3.0]), ("D", &[4.0])]);
        assert!(lot_effect(&equal).unwrap_err().to_string().contains("do not differ"));
        let alike: Vec<Record> = [("A", 24.0), ("B", 48.0), ("C", 72.0), ("D", 96.0)]
            .into_iter()
            .flat_map(|(lot, t)| {
                [Record::between(t, t + 24.0).in_lot(lot), Record::between(t, t + 24.0).in_lot(lot)]
            })
            .collect();
        // Every lot within one interval of its own: no spread within lots, and no number for it.
        assert_eq!(lot_effect(&alike).unwrap_err().kind(), "table");
    }
}
