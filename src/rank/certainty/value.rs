//! What each measurement is worth for the choice.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::catalog::Catalog;
use crate::error::invalid;
use crate::evidence::Source;
use crate::finish::Build;
use crate::rank::Ranking;
use crate::rank::certainty::contest::{Contest, ln_score};
use crate::rank::certainty::measurement::{Design, Effort, Measurable, designs};
use crate::rank::certainty::points::{POINTS, even_points, normal};
use crate::rank::percent_in_words;

/// What a measurement is worth before it is made.
#[allow(dead_code, reason = "cited by documentation, read by the registry; a test uses it")]
pub(crate) const INFORMATION: Source = Source::from_memory(
    "expected value of sample information: Raiffa, H., Schlaifer, R.: Applied Statistical Decision Theory (1961)",
);

/// Outcomes of a measurement that are tried: from -5 to 5 standard deviations.
const OUTCOMES: i32 = 20;
const OUTCOME_STEP: f64 = 0.25;
/// Share of what is at stake below which a measurement is not worth naming (assumption).
const LEAST_SHARE: f64 = 0.02;
/// Score below which nothing is at stake (assumption: a tenth of what a ranking prints).
const LEAST_STAKE: f64 = 0.001;

/// What to measure so that one knows better which build to order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct MeasureNext {
    /// The builds to choose from, in the order of the ranking.
    pub choice: Vec<Build>,
    /// Probability that each of them is truly the best of them, at the weights as given.
    pub probability_best: Vec<f64>,
    /// Probability that the likeliest of them is not.
    pub chance_wrong: f64,
    /// Score that would be gained on average if every uncertain value were known.
    pub score_at_stake: f64,
    /// What could be measured, the most valuable first.
    pub measurements: Vec<Measurement>,
}

/// A measurement and what it is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// Its kind.
    pub kind: Measurable,
    /// What is measured, in words.
    pub what: String,
    /// Spread of the logarithm of what is measured, doubt alone, before.
    pub log_sd_before: f64,
    /// The same after it.
    pub log_sd_after: f64,
    /// Score gained on average by choosing after it instead of now.
    pub score_gain: f64,
    /// The same over [`MeasureNext::score_at_stake`], 0 where nothing is at stake.
    pub share_of_stake: f64,
    /// Probability, on average, that the likeliest build is not the best after it.
    pub chance_wrong_after: f64,
    /// What its error is based on.
    pub source: Source,
}

impl MeasureNext {
    /// All of it as JSON.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    /// The most valuable measurement in words; says so where nothing is worth measuring: where the best of all
    /// gains less than 2% of what is at stake, or hardly anything is.
    pub fn sentence(&self) -> String {
        let Some(first) = self.probability_best.first().filter(|_| self.choice.len() > 1) else {
            return "nothing: there is no second build to choose".to_owned();
        };
        let builds = self.choice.len();
        let sure = format!(
            "#1 is truly the best of the first {builds} with a probability of {}",
            percent_in_words(*first)
        );
        let worth = |m: &&Measurement| m.share_of_stake >= LEAST_SHARE && self.score_at_stake >= LEAST_STAKE;
        match self.measurements.first().filter(worth) {
            Some(best) => format!(
                "{}; of all that knowing more can gain for the choice among the first {builds}, this gains {:.0}%; {sure}",
                best.what,
                100.0 * best.share_of_stake
            ),
            None => format!("nothing would move the choice among the first {builds} by much; {sure}"),
        }
    }
}

impl Ranking {
    /// What to measure next: the value of each measurement for the choice among the first `among` open builds.
    ///
    /// A measurement sees a sum of uncertain logarithms with an error, `y = Σ a·x + e`. For each outcome of it, the
    /// scores of the builds are averaged over what is still uncertain; one then orders the best. The gain over
    /// ordering now what is best on average is its value (`INFORMATION`):
    ///
    /// `gain = E_y max_i E(S_i | y) - max_i E(S_i)`, never negative, and at most `E max_i S_i - max_i E(S_i)`.
    ///
    /// In the same way the probability that the likeliest build is truly the best. All doubts being normal,
    /// `x = c·w + x'` with `w` the standardised outcome, `c = cov(x, y)/sd(y)` and `x'` independent of it; `w` runs
    /// over 41 values, `x'` over the 1021 points of a fixed lattice. What one truth is and what stays from part to
    /// part: [module](crate::rank::certainty). The weights are those given, for they are not a matter of measurement.
    ///
    /// | measurement | tells | with an error of the logarithm of |
    /// | --- | --- | --- |
    /// | annual means at the place | its loss | what leaves the spread of [`Determination::DoseResponse`](crate::atmosphere::Determination) |
    /// | steel specimens for one year | its loss | what leaves that of specimens and 0.17 between years |
    /// | reference specimens | the cabinet's attack | 0.1/√n (`REFERENCE_SPECIMENS`) |
    /// | panels in the cabinet | salt-spray hours of a layer | spread between parts/√n |
    /// | years of parts elsewhere | salt-spray hours, field factor and cabinet together; aging; salt that a grade withstands | 0.17 and that of specimens; spread between parts/√n |
    ///
    /// # Errors
    /// Fewer than two builds asked for; an effort of nothing; a catalog other than that of the ranking.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
    /// use overcoat::rank::certainty::Effort;
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    /// #     "duty": {"place": "urban", "required_years": 5}}"#)?;
    /// let ranking = rank(&brief, Catalog::built_in())?;
    /// let next = ranking.what_to_measure(2, Effort::default(), Catalog::built_in())?;
    /// let gains: Vec<f64> = next.measurements.iter().map(|m| m.score_gain).collect();
    /// assert!(gains.is_sorted_by(|a, b| a >= b) && gains.iter().all(|gain| *gain >= 0.0));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn what_to_measure(&self, among: usize, effort: Effort, catalog: &Catalog) -> Result<MeasureNext> {
        if among < 2 {
            return Err(invalid("among", among, "2 builds or more", "There is nothing to choose from."));
        }
        effort.check()?;
        let contest = Contest::of(self, catalog, among)?;
        let choice =
            self.options.iter().filter(|o| !o.blocked).take(among).map(|o| o.build.clone()).collect();
        Ok(values(&contest, choice, &designs(&contest, effort)))
    }
}

/// The doubts at every point of a lattice, and one number more for the error of a measurement.
struct Draws {
    deviations: Vec<Vec<f64>>,
    errors: Vec<f64>,
}

impl Draws {
    fn of(contest: &Contest) -> Self {
        let mut deviations = Vec::with_capacity(POINTS as usize);
        let mut errors = Vec::with_capacity(POINTS as usize);
        for point in even_points(0, contest.doubts.len() + 1) {
            let mut normals = point.into_iter().map(normal);
            errors.push(normals.next().unwrap_or_default());
            deviations.push(normals.zip(&contest.doubts).map(|(z, doubt)| doubt.log_sd * z).collect());
        }
        Self { deviations, errors }
    }
}

/// What is expected of each build: its score, and how often it is the best.
#[derive(Debug, Clone, PartialEq)]
struct Expected {
    scores: Vec<f64>,
    best: Vec<f64>,
    /// Mean of the highest score.
    highest: f64,
}

impl Expected {
    fn nothing(builds: usize) -> Self {
        Self { scores: vec![0.0; builds], best: vec![0.0; builds], highest: 0.0 }
    }

    /// Means over truths.
    fn over(contest: &Contest, truths: &[Vec<f64>]) -> Self {
        let mut expected = Self::nothing(contest.len());
        let mut best = vec![(f64::NEG_INFINITY, 0); truths.len()];
        for (contestant, sum) in expected.scores.iter_mut().enumerate() {
            let found = contest.ln_desirabilities(contestant, truths);
            for (ln_desirabilities, (highest, first)) in found.iter().zip(&mut best) {
                let score = ln_score(ln_desirabilities, &contest.weights).exp();
                *sum += score;
                if score > *highest {
                    (*highest, *first) = (score, contestant);
                }
            }
        }
        for (highest, first) in best {
            expected.highest += highest.max(0.0);
            if let Some(best) = expected.best.get_mut(first) {
                *best += 1.0;
            }
        }
        // a count divided once is never beyond 1
        let sums = expected.scores.iter_mut().chain(&mut expected.best).chain([&mut expected.highest]);
        for sum in sums {
            *sum /= truths.len() as f64;
        }
        expected
    }

    fn add_all(&mut self, other: &Self, weight: f64) {
        let pairs = [(&mut self.scores, &other.scores), (&mut self.best, &other.best)];
        for (sums, terms) in pairs {
            for (sum, term) in sums.iter_mut().zip(terms) {
                *sum += weight * term;
            }
        }
    }
}

fn largest(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}

fn values(contest: &Contest, choice: Vec<Build>, designs: &[Design]) -> MeasureNext {
    if contest.len() < 2 {
        let probability_best = vec![1.0; contest.len()];
        return MeasureNext {
            choice,
            probability_best,
            chance_wrong: 0.0,
            score_at_stake: 0.0,
            measurements: Vec::new(),
        };
    }
    let draws = Draws::of(contest);
    let now = Expected::over(contest, &draws.deviations);
    let chance_wrong = (1.0 - largest(&now.best)).max(0.0);
    let score_at_stake = (now.highest - largest(&now.scores)).max(0.0);
    let mut measurements: Vec<Measurement> =
        designs.iter().map(|design| value(contest, &draws, design, chance_wrong, score_at_stake)).collect();
    measurements.sort_by(|a, b| b.score_gain.total_cmp(&a.score_gain).then_with(|| a.what.cmp(&b.what)));
    MeasureNext { choice, probability_best: now.best, chance_wrong, score_at_stake, measurements }
}

fn value(
    contest: &Contest,
    draws: &Draws,
    design: &Design,
    chance_wrong: f64,
    score_at_stake: f64,
) -> Measurement {
    let mut answers = vec![0.0; contest.doubts.len()];
    for (place, answer) in &design.answers {
        if let Some(slot) = answers.get_mut(*place) {
            *slot = *answer;
        }
    }
    let variances = contest.doubts.iter().map(|doubt| doubt.log_sd * doubt.log_sd);
    let doubt: f64 = answers.iter().zip(variances.clone()).map(|(a, v)| a * a * v).sum();
    let seen_sd = doubt.sqrt().hypot(design.error_log_sd);
    let shifts: Vec<f64> = answers.iter().zip(variances).map(|(a, v)| a * v / seen_sd).collect();
    // What is left of each point once the outcome that it would have given is taken out of it.
    let left: Vec<Vec<f64>> = draws
        .deviations
        .iter()
        .zip(&draws.errors)
        .map(|(deviations, error)| {
            let sum: f64 = answers.iter().zip(deviations).map(|(a, x)| a * x).sum();
            let outcome = (sum + design.error_log_sd * error) / seen_sd;
            deviations.iter().zip(&shifts).map(|(x, shift)| x - shift * outcome).collect()
        })
        .collect();

    let mut before = Expected::nothing(contest.len());
    let (mut score_after, mut right_after) = (0.0, 0.0);
    let density = |w: f64| (-0.5 * w * w).exp();
    let outcomes = || (-OUTCOMES..=OUTCOMES).map(|i| f64::from(i) * OUTCOME_STEP);
    let total: f64 = outcomes().map(density).sum();
    let mut truths = left.clone();
    for outcome in outcomes() {
        for (truth, point) in truths.iter_mut().zip(&left) {
            for ((x, rest), shift) in truth.iter_mut().zip(point).zip(&shifts) {
                *x = rest + shift * outcome;
            }
        }
        let given = Expected::over(contest, &truths);
        let weight = density(outcome) / total;
        score_after += weight * largest(&given.scores);
        right_after += weight * largest(&given.best);
        before.add_all(&given, weight);
    }
    let score_gain = (score_after - largest(&before.scores)).max(0.0);
    let chance_gain = (right_after - largest(&before.best)).max(0.0);
    Measurement {
        kind: design.kind,
        what: design.what.clone(),
        log_sd_before: doubt.sqrt(),
        log_sd_after: doubt.sqrt() * design.error_log_sd / seen_sd,
        score_gain,
        share_of_stake: if score_at_stake > 0.0 { (score_gain / score_at_stake).min(1.0) } else { 0.0 },
        chance_wrong_after: (chance_wrong - chance_gain).max(0.0),
        source: design.source.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::normal_cdf_of as normal_cdf;
    use crate::rank::certainty::contest::tests::{duel, open_duel, ranking, ranking_of_two_open_builds};

    fn design(answers: Vec<(usize, f64)>, error_log_sd: f64) -> Design {
        Design {
            kind: Measurable::Panels,
            what: format!("{answers:?} {error_log_sd}"),
            answers,
            error_log_sd,
            source: INFORMATION,
        }
    }

    fn only(contest: &Contest, design: Design) -> (MeasureNext, Measurement) {
        let next = values(contest, Vec::new(), &[design]);
        let measurement = next.measurements[0].clone();
        (next, measurement)
    }

    /// Two builds alike, decided by the difference of their lives: with `d` normal of mean 0, a measurement that
    /// leaves a share `1 - ρ²` of its variance makes the choice right with probability `½ + asin(ρ)/π` (the sign of
    /// two normal numbers of correlation ρ, Sheppard 1899, from memory).
    #[test]
    fn the_chance_of_choosing_rightly_has_the_closed_form() {
        let contest = open_duel([5.0, 5.0], [0.6, 0.8, 0.7]);
        for error in [0.1, 0.6, 2.0] {
            let (next, measurement) = only(&contest, design(vec![(0, 1.0)], error));
            let rho = 0.6 / 1.0 * 0.6 / 0.6_f64.hypot(error);
            let expected = 0.5 - rho.asin() / std::f64::consts::PI;
            assert!((next.chance_wrong - 0.5).abs() < 0.01);
            let found = measurement.chance_wrong_after;
            assert!((found - expected).abs() < 0.015, "{error}: {found} {expected}");
            let left = 0.6 * error / 0.6_f64.hypot(error);
            assert!((measurement.log_sd_after - left).abs() < 1e-12);
        }
    }

    /// What both builds share cancels in the choice, though it carries much of the outlook.
    #[test]
    fn what_both_share_decides_nothing() {
        let contest = duel([5.0, 4.0], [0.5, 0.5, 1.0]);
        let (next, shared) = only(&contest, design(vec![(2, 1.0)], 0.01));
        assert!(next.chance_wrong > 0.3);
        assert!((shared.chance_wrong_after - next.chance_wrong).abs() < 0.01, "{shared:?}");
        let (_, own) = only(&contest, design(vec![(0, 1.0)], 0.01));
        assert!(own.chance_wrong_after < next.chance_wrong - 0.05);
    }

    #[test]
    fn a_firmer_measurement_is_worth_more_and_knowing_all_the_most() {
        let contest = duel([6.0, 5.0], [0.5, 0.7, 0.3]);
        let mut last = 0.0;
        for error in [3.0, 1.0, 0.3, 0.1, 0.01] {
            let (next, measurement) = only(&contest, design(vec![(0, 1.0), (1, -1.0)], error));
            assert!(measurement.score_gain >= last, "{error}");
            assert!(measurement.score_gain <= next.score_at_stake * 1.02, "{measurement:?}");
            last = measurement.score_gain;
        }
        // the difference of the two is all that matters, so knowing it leaves little
        assert!(last > 0.9 * only(&contest, design(vec![(0, 1.0)], 1.0)).0.score_at_stake);
    }

    /// Where the score is the probability alone, its mean over normal doubts is again a normal distribution function,
    /// so that only the outcome is left to integrate: here by the trapezoidal rule on 4001 points.
    #[test]
    fn the_gain_has_a_closed_form_but_for_one_integral() {
        let (medians, own, other, shared, between) = ([6.0, 5.0], 0.6_f64, 0.8_f64, 0.4_f64, 0.5_f64);
        let contest = duel(medians, [own, other, shared]);
        for error in [0.1, 0.3, 1.0] {
            let (_, measurement) = only(&contest, design(vec![(0, 1.0)], error));
            let left = own * error / own.hypot(error);
            let told = (own * own - left * left).sqrt();
            let score = |median: f64, mean: f64, sd: f64| {
                normal_cdf(((median / 5.0).ln() + mean) / between.hypot(sd).hypot(shared))
            };
            let (mut after, mut sums, mut total) = (0.0, [0.0; 2], 0.0);
            for i in -2000..=2000 {
                let w = f64::from(i) * 0.004;
                let weight = (-0.5 * w * w).exp();
                let given = [score(medians[0], told * w, left), score(medians[1], 0.0, other)];
                total += weight;
                after += weight * given[0].max(given[1]);
                for (sum, of_build) in sums.iter_mut().zip(given) {
                    *sum += weight * of_build;
                }
            }
            let expected = (after - sums[0].max(sums[1])) / total;
            let found = measurement.score_gain;
            assert!((found / expected - 1.0).abs() < 0.04, "{error}: {found} {expected}");
        }
    }

    /// Two alike in all are equals of which the first counts as the best; nothing is at stake, and no measurement has
    /// a share of it. Where they differ, a measurement has that of its gain.
    #[test]
    fn equals_put_nothing_at_stake() {
        let (next, alike) = only(&duel([5.0, 5.0], [0.0, 0.0, 0.7]), design(vec![(2, 1.0)], 0.1));
        assert_eq!((next.probability_best, next.chance_wrong), (vec![1.0, 0.0], 0.0));
        assert_eq!((next.score_at_stake, alike.score_gain, alike.share_of_stake), (0.0, 0.0, 0.0));
        let (next, own) = only(&duel([6.0, 5.0], [0.5, 0.7, 0.3]), design(vec![(0, 1.0)], 0.5));
        assert!(own.score_gain > 0.0 && own.score_gain < next.score_at_stake);
        assert_eq!(own.share_of_stake, own.score_gain / next.score_at_stake);
    }

    /// Named from 2% of the stake on, where at least 0.001 of the score is at stake.
    #[test]
    fn the_sentence_names_what_is_worth_measuring() {
        let said = |share_of_stake: f64, score_at_stake: f64| {
            let build = |film: &str| Build::new("steel_4_6", "hot_alkaline", [film]);
            let next = MeasureNext {
                choice: vec![build("hard_wax"), build("soft_wax")],
                probability_best: vec![0.7, 0.3],
                chance_wrong: 0.3,
                score_at_stake,
                measurements: vec![Measurement {
                    kind: Measurable::Panels,
                    what: "10 panels".to_owned(),
                    log_sd_before: 0.5,
                    log_sd_after: 0.2,
                    score_gain: share_of_stake * score_at_stake,
                    share_of_stake,
                    chance_wrong_after: 0.2,
                    source: INFORMATION,
                }],
            };
            assert_eq!(serde_json::from_str::<MeasureNext>(&next.to_json()).unwrap(), next);
            next.sentence()
        };
        let sure = "#1 is truly the best of the first 2 with a probability of 70%";
        let nothing = format!("nothing would move the choice among the first 2 by much; {sure}");
        let worth = |percent: u32| {
            format!(
                "10 panels; of all that knowing more can gain for the choice among the first 2, this gains {percent}%; {sure}"
            )
        };
        assert_eq!(said(0.4, 0.01), worth(40));
        assert_eq!(said(0.02, 0.001), worth(2));
        assert_eq!(said(0.019, 0.01), nothing);
        assert_eq!(said(0.4, 0.000_9), nothing);
    }

    #[test]
    fn the_choice_is_among_open_builds() {
        let (ranking, open) = ranking_of_two_open_builds();
        let next = ranking.what_to_measure(3, Effort::default(), Catalog::built_in()).unwrap();
        assert_eq!(next.choice, open);
        assert_eq!(next.probability_best.len(), open.len());
    }

    #[test]
    fn one_build_leaves_no_choice_and_a_sentence_says_so() {
        let ranking = ranking(
            r#""builds": [{"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": ["hard_wax"]}]"#,
        );
        let next = ranking.what_to_measure(2, Effort::default(), Catalog::built_in()).unwrap();
        assert!(next.measurements.is_empty() && next.sentence().contains("no second build"));
        assert_eq!(
            ranking.what_to_measure(1, Effort::default(), Catalog::built_in()).unwrap_err().field(),
            "among"
        );
        let nothing = Effort { panels: 0, ..Effort::default() };
        assert_eq!(ranking.what_to_measure(2, nothing, Catalog::built_in()).unwrap_err().field(), "panels");
    }

    /// Years elsewhere tell of capacity and field factor together, and the atmosphere of the place can be measured twice.
    #[test]
    fn what_can_be_measured_follows_from_what_is_doubtful() {
        let ranking = ranking(
            r#""builds": [{"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": ["hard_wax"]},
                {"base_metal": "steel_8_8", "treatment": "hot_alkaline", "films": ["soft_wax"]}]"#,
        );
        let next = ranking.what_to_measure(2, Effort::default(), Catalog::built_in()).unwrap();
        let kinds = |kind| next.measurements.iter().filter(|m| m.kind == kind).count();
        assert_eq!(kinds(Measurable::Panels), 3);
        // dose and age of each of three layers
        assert_eq!(kinds(Measurable::FieldYears), 6);
        assert_eq!((kinds(Measurable::YearlyMeans), kinds(Measurable::SteelSpecimens)), (1, 1));
        let specimens = next.measurements.iter().find(|m| m.kind == Measurable::SteelSpecimens).unwrap();
        assert!((specimens.log_sd_after - 1.02_f64.ln().hypot(0.17)).abs() < 1e-12);
        let years = next.measurements.iter().find(|m| m.what.contains("field factor of hard_wax")).unwrap();
        assert!((years.log_sd_before - 0.18_f64.sqrt().hypot(0.7).hypot(0.149_945_577_781)).abs() < 1e-6);
    }
}
