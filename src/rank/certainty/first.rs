//! How often each build comes first.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::catalog::Catalog;
use crate::evidence::Source;
use crate::finish::Build;
use crate::rank::Ranking;
use crate::rank::certainty::contest::{Contest, ln_score};
use crate::rank::certainty::points::{POINTS, SHIFTS, even_points, normal};

/// The points at which the truth is tried.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const LATTICE: Source = Source::from_memory(
    "Sloan, I. H., Joe, S.: Lattice Methods for Multiple Integration (1994); shifted copies for the error: Cranley, \
     R., Patterson, T. N. L., SIAM J. Numer. Anal. 13 (1976) 904-914",
);

/// How sure it is which build is first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TrulyFirst {
    /// The open builds in the order of the ranking; both probabilities sum to 1.
    pub shares: Vec<FirstShare>,
    /// Points at which the truth was tried.
    pub points: usize,
}

/// How sure it is that one build is first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FirstShare {
    /// The build.
    pub build: Build,
    /// The build in the words of an order.
    pub name: String,
    /// Probability that it is truly first, all spreads and the weights moving.
    pub probability: f64,
    /// Standard error of the computation.
    pub probability_se: f64,
    /// The same at the weights as given.
    pub probability_at_given_weights: f64,
}

impl Ranking {
    /// Probability that each open build is truly first: has the highest score, if every uncertain value were known.
    ///
    /// Every uncertain factor is given a true value, the same for all builds that share it; see the
    /// [module](crate::rank::certainty) for what stays from part to part. Each weight moves over its range (`wants.weight_ranges`),
    /// evenly on a logarithmic scale; without one between half and twice its value (assumption). The values are
    /// taken at 4084 points of a fixed lattice (`LATTICE`), so the figure is the same every time; its error comes
    /// from the four parts that the points fall into. Of equals the one ranked higher counts.
    ///
    /// It takes 15 to 150 ms, more than the ranking itself, and is therefore no part of it. A build that
    /// hedges, as one with two coats, is often first though hindsight would seldom choose it: the probability is then
    /// low, and right so.
    ///
    /// # Errors
    /// A catalog other than that of the ranking.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    /// #     "duty": {"place": "urban", "required_years": 5}}"#)?;
    /// let ranking = rank(&brief, Catalog::built_in())?;
    /// let first = ranking.truly_first(Catalog::built_in())?;
    /// let total: f64 = first.shares.iter().map(|share| share.probability).sum();
    /// assert!((total - 1.0).abs() < 1e-12);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn truly_first(&self, catalog: &Catalog) -> Result<TrulyFirst> {
        let contest = Contest::of(self, catalog, usize::MAX)?;
        let ends = self.brief.wants.weight_ends();
        let dimensions = ends.len() + contest.doubts.len();
        let counts: Vec<Counts> =
            (0..SHIFTS).map(|shift| count(&contest, &ends, &even_points(shift, dimensions))).collect();
        let open = self.options.iter().filter(|option| !option.blocked);
        let shares = open
            .enumerate()
            .map(|(contestant, option)| {
                let share = |counted: &[u32]| {
                    f64::from(counted.get(contestant).copied().unwrap_or(0)) / f64::from(POINTS)
                };
                let copies: Vec<f64> = counts.iter().map(|c| share(&c.moved)).collect();
                let mean = copies.iter().sum::<f64>() / f64::from(SHIFTS);
                let square: f64 = copies.iter().map(|copy| (copy - mean).powi(2)).sum();
                FirstShare {
                    build: option.build.clone(),
                    name: option.name.clone(),
                    probability: mean,
                    probability_se: (square / f64::from(SHIFTS * (SHIFTS - 1))).sqrt(),
                    probability_at_given_weights: counts.iter().map(|c| share(&c.given)).sum::<f64>()
                        / f64::from(SHIFTS),
                }
            })
            .collect();
        Ok(TrulyFirst { shares, points: (POINTS * SHIFTS) as usize })
    }
}

/// How often each option came first, with moved weights and with those given.
struct Counts {
    moved: Vec<u32>,
    given: Vec<u32>,
}

fn count(contest: &Contest, ends: &[(f64, f64); 6], points: &[Vec<f64>]) -> Counts {
    let mut counts = Counts { moved: vec![0; contest.len()], given: vec![0; contest.len()] };
    let ln_ends = ends.map(|(low, high)| (low.ln(), high.ln()));
    let mut weights = Vec::with_capacity(points.len());
    let mut deviations = Vec::with_capacity(points.len());
    for point in points {
        let (for_weights, for_doubts) = point.split_at_checked(ends.len()).unwrap_or((point, &[]));
        let mut moved = [0.0; 6];
        for ((weight, (low, high)), even) in moved.iter_mut().zip(ln_ends).zip(for_weights) {
            // a weight of 0 stays 0
            if high > f64::NEG_INFINITY {
                *weight = (low + (high - low) * even).exp();
            }
        }
        weights.push(moved);
        let doubts = for_doubts.iter().zip(&contest.doubts);
        deviations.push(doubts.map(|(even, doubt)| doubt.log_sd * normal(*even)).collect::<Vec<f64>>());
    }
    let mut best = vec![[(f64::NEG_INFINITY, 0); 2]; points.len()];
    for contestant in 0..contest.len() {
        let found = contest.ln_desirabilities(contestant, &deviations);
        for ((best, ln_desirabilities), moved) in best.iter_mut().zip(&found).zip(&weights) {
            for ((highest, first), weights) in best.iter_mut().zip([moved, &contest.weights]) {
                let score = ln_score(ln_desirabilities, weights);
                if score > *highest {
                    (*highest, *first) = (score, contestant);
                }
            }
        }
    }
    for best in best {
        for (counted, (_, first)) in [&mut counts.moved, &mut counts.given].into_iter().zip(best) {
            if let Some(counter) = counted.get_mut(first) {
                *counter += 1;
            }
        }
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::normal_cdf_of as normal_cdf;
    use crate::rank::certainty::contest::tests::{duel, open_duel, ranking, ranking_of_two_open_builds};

    /// Two builds of one term each, by durability alone: what they share cancels, and the first is first with
    /// `Φ(ln(t1/t2) / √(s1² + s2²))`, whatever the shared spread. Chance would
    /// err by 0.008.
    #[test]
    fn two_builds_have_the_closed_form() {
        let ends = [(1.0, 1.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)];
        for medians in [[5.0, 5.0], [6.0, 4.0], [8.0, 2.0]] {
            for log_sds in [[0.6, 0.7, 0.7], [0.2, 1.0, 0.0], [0.9, 0.3, 1.5]] {
                let contest = open_duel(medians, log_sds);
                let [own, other, _] = log_sds;
                let expected = normal_cdf((medians[0] / medians[1]).ln() / own.hypot(other));
                let first: u32 =
                    (0..SHIFTS).map(|s| count(&contest, &ends, &even_points(s, 9)).moved[0]).sum();
                let found = f64::from(first) / f64::from(POINTS * SHIFTS);
                assert!((found - expected).abs() < 0.003, "{medians:?} {log_sds:?}: {found} {expected}");
            }
        }
    }

    #[test]
    fn the_same_bits_every_time_and_a_sum_of_one() {
        let ranking = ranking("");
        let first = ranking.truly_first(Catalog::built_in()).unwrap();
        assert_eq!(first, ranking.truly_first(Catalog::built_in()).unwrap());
        let total: f64 = first.shares.iter().map(|s| s.probability_at_given_weights).sum();
        assert!((total - 1.0).abs() < 1e-12);
        assert!(first.shares.iter().all(|s| s.probability_se < 0.02));
    }

    /// Two builds whose lives are known, one less by e^-1 in appearance, the other in heat: the first is first where
    /// its weight is below the other's, 1. From ½ to 4 on a logarithmic scale that is ln 2/ln 8 = a third; equals
    /// count for the one ranked higher, and a weight of 0 for nothing.
    #[test]
    fn weights_move_evenly_on_a_logarithmic_scale() {
        let mut contest = duel([5.0, 5.0], [0.0, 0.0, 0.0]);
        contest.set_ln_fixed(0, [-1.0, 0.0, 0.0, 0.0]);
        contest.set_ln_fixed(1, [0.0, -1.0, 0.0, 0.0]);
        let still = (1.0, 1.0);
        let first = |appearance: (f64, f64), heat: (f64, f64)| {
            let ends = [still, still, appearance, heat, still, still];
            (0..SHIFTS).map(|s| count(&contest, &ends, &even_points(s, 9)).moved[0]).sum::<u32>()
        };
        let points = f64::from(POINTS * SHIFTS);
        assert!((f64::from(first((0.5, 4.0), still)) / points - 1.0 / 3.0).abs() < 0.002);
        assert_eq!(first((0.0, 0.0), still), 4084);
        assert_eq!(first(still, still), 4084);
        assert_eq!(first(still, (0.0, 0.0)), 0);
    }

    /// The open builds in their order, each with the standard error of the mean of four parts: the root of the
    /// squares of their deviations over 4·3.
    #[test]
    fn shares_are_of_the_open_builds_with_the_error_of_four_parts() {
        let (ranking, open) = ranking_of_two_open_builds();
        let first = ranking.truly_first(Catalog::built_in()).unwrap();
        assert_eq!(first.shares.iter().map(|share| share.build.clone()).collect::<Vec<_>>(), open);
        assert_eq!(first.points, 4084);
        let contest = Contest::of(&ranking, Catalog::built_in(), usize::MAX).unwrap();
        let ends = ranking.brief.wants.weight_ends();
        let dimensions = 6 + contest.doubts.len();
        let parts: Vec<f64> = (0..SHIFTS)
            .map(|s| f64::from(count(&contest, &ends, &even_points(s, dimensions)).moved[0]) / 1021.0)
            .collect();
        let mean = (parts[0] + parts[1] + parts[2] + parts[3]) / 4.0;
        let squares: f64 = parts.iter().map(|part| (part - mean) * (part - mean)).sum();
        assert!(squares > 0.0);
        assert!((first.shares[0].probability - mean).abs() < 1e-12);
        assert!((first.shares[0].probability_se - (squares / 12.0).sqrt()).abs() < 1e-12);
    }

    /// With weights that cannot move both figures are one.
    #[test]
    fn fixed_weights_leave_the_spreads() {
        let ranking = ranking(
            r#""weights": {"durability": 1, "cost": 1, "appearance": 0, "heat": 0, "assembly": 0, "confidence": 0},
            "weight_ranges": {"durability": {"low": 1, "high": 1}, "cost": {"low": 1, "high": 1}}"#,
        );
        let first = ranking.truly_first(Catalog::built_in()).unwrap();
        assert!(first.shares.iter().all(|s| (s.probability - s.probability_at_given_weights).abs() < 1e-12));
    }
}
