//! Desirability: each criterion becomes 0 to 1, the whole is their weighted geometric mean, so that a zero
//! kills (G. Derringer and R. Suich, J. Quality Technology 12, 1980, 214-219).
//!
//! No criterion looks at the other builds: adding or removing a build never changes the score of another.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::{Brief, Criterion};
use crate::catalog::Prices;
use crate::check::{
    Case, appearance_desirability, fit_desirability, friction_desirability, heat_desirability,
    thread_desirability,
};
use crate::evidence::Source;
use crate::life::Found;
use crate::life::UNLIKELY;
use crate::math::{exp2, fused, log2_of_normal, mul_add, replacements};
use crate::rank::log2_growth;

/// Source of the form of the score: the weighted geometric mean of six desirabilities.
///
/// | criterion | desirability |
/// | --- | --- |
/// | durability | probability of the required years, 0.01 at least, over the target (0.9 unless given), at most 1 |
/// | cost | 1 to the yardstick ([`cost`](crate::rank::cost())), then ln(limit/cost)/ln(limit/yardstick), 0 beyond the limit; without one the limit is 20 times the yardstick and 0.05 the floor |
/// | appearance | [`appearance_desirability`] |
/// | heat | [`heat_desirability`] |
/// | assembly | [`thread_desirability`] times [`friction_desirability`] times [`fit_desirability`] |
/// | confidence | confidence of each source ([`Firmness`](crate::Firmness)), weighted by its share of the variance |
pub(crate) const DESIRABILITY: Source = Source::paper(
    "Derringer, G.; Suich, R.: Simultaneous optimization of several response variables. J. Quality Technology \
     12 (1980) 214-219; the limits of each criterion and the default weights are assumptions",
);

/// Probability taken as the aim where the brief names none (assumption).
pub(crate) const USUAL_TARGET: f64 = 0.9;
/// Cost over the usual default at which the criterion reaches its floor (assumption).
const COST_SPAN: f64 = 20.0;
/// Floor of the cost criterion where the brief sets no limit (assumption).
const COST_FLOOR: f64 = 0.05;

/// Score of one build.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Score {
    /// Weighted geometric mean of the desirabilities, 0 to 1.
    pub value: f64,
    /// The criteria.
    pub shares: Vec<Share>,
}

/// One criterion of a score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Share {
    /// Which.
    pub criterion: Criterion,
    /// Desirability, 0 to 1.
    pub desirability: f64,
    /// Weight, the weights of a score summing to 1.
    pub weight: f64,
    /// Share of what the score lacks to 1, on the logarithmic scale on which criteria add; the shares sum to
    /// 1, or are all 0 for a perfect or a zero score.
    pub share: f64,
}

/// What is the same at all places of a build: criteria that neither the outlook nor the cost moves, and what it
/// costs to buy.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Fixed {
    /// Weighted log2 of appearance, heat and assembly; -∞ for a blocked build.
    pub(crate) log2: f64,
    /// Cost of a thousand pieces, delivered once.
    pub(crate) purchase: f64,
}

impl Fixed {
    pub(crate) fn new(desirabilities: [f64; 3], scale: &ScoreScale, purchase: f64, blocked: bool) -> Self {
        let [_, _, fixed @ .., _] = scale.weights;
        let weighted = desirabilities.iter().zip(fixed).filter(|(_, weight)| *weight > 0.0);
        let log2: f64 = weighted.map(|(desirability, weight)| weight * desirability.log2()).sum();
        Self { log2: if blocked { f64::NEG_INFINITY } else { log2 }, purchase }
    }
}

/// Constants of the score and the cost of a brief.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ScoreScale {
    pub(crate) weights: [f64; 6],
    pub(crate) target: f64,
    inverse_target: f64,
    /// log2(1 + rate) of the yearly discount rate.
    log2_growth: f64,
    /// Labor to replace a thousand pieces.
    labor: f64,
    cost: CostScale,
    /// 1 / log2 of the limit over the reference.
    inverse_cost_span: f64,
    /// Least desirability of a cost up to the limit.
    cost_floor: f64,
    /// Whether a cost beyond the limit blocks.
    limited: bool,
}

/// Cost and score of a build at a place.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Scored {
    /// Replacements within the required years, and the sum of their discount factors.
    pub(crate) replacements: f64,
    pub(crate) discounted: f64,
    /// Cost of a thousand pieces over the required years.
    pub(crate) cost: f64,
    /// Whether it is beyond the limit of the brief.
    pub(crate) beyond_limit: bool,
    pub(crate) durability: f64,
    pub(crate) cost_desirability: f64,
    pub(crate) score: f64,
}

/// Stands for the logarithm of nothing, so that a weight of 0 leaves even that out.
const LOG2_OF_NOTHING: f64 = -1e300;

/// log2 of 0 or of a normal number.
#[inline(always)]
fn log2_floored<const FUSED: bool>(x: f64) -> f64 {
    if x > 0.0 { log2_of_normal::<FUSED>(x) } else { LOG2_OF_NOTHING }
}

impl ScoreScale {
    /// `reference_cost` is what the usual default costs to buy on the brief's first base metal.
    pub(crate) fn of(brief: &Brief, reference_cost: f64, prices: &Prices) -> Self {
        let cost = CostScale::of(brief, reference_cost);
        let target = brief.wants.target_probability.unwrap_or(USUAL_TARGET);
        Self {
            weights: brief.wants.weights.clone().unwrap_or_default().normalised(),
            target,
            inverse_target: target.recip(),
            log2_growth: log2_growth(prices),
            labor: 1000.0 * prices.replacement_labour_per_piece.value,
            cost,
            inverse_cost_span: (cost.limit / cost.reference).log2().recip(),
            // a limit below the reference leaves nothing to weigh: within it the cost is no matter
            cost_floor: if cost.reference >= cost.limit { 1.0 } else { cost.floor },
            limited: brief.wants.cost_limit_per_thousand.is_some(),
        }
    }

    /// The same where another probability is aimed at.
    #[cfg(test)]
    pub(crate) fn aiming_at(self, target: f64) -> Self {
        Self { target, inverse_target: target.recip(), ..self }
    }

    /// Cost and score of a build at a place, the one code for a ranking and for tables.
    #[inline(always)]
    pub(crate) fn scored<const FUSED: bool>(
        &self,
        fixed: &Fixed,
        found: &Found,
        required_years: f64,
    ) -> Scored {
        let lives = required_years / found.median_years;
        let (count, numerator, denominator) =
            replacements::<FUSED>(lives, found.median_years * self.log2_growth);
        let discounted = numerator / denominator;
        let cost = mul_add::<FUSED>(discounted, fixed.purchase + self.labor, fixed.purchase);
        let beyond_limit = cost > self.cost.limit;
        let desirability = log2_of_normal::<FUSED>(self.cost.limit / cost) * self.inverse_cost_span;
        let desirability = if desirability > self.cost_floor { desirability } else { self.cost_floor };
        let desirability = if desirability < 1.0 { desirability } else { 1.0 };
        let desirability = if beyond_limit { self.cost.floor } else { desirability };
        // below it builds are equally hopeless, and findings and cost tell them apart
        let likely = if found.probability_ok > UNLIKELY { found.probability_ok } else { UNLIKELY };
        let durability = likely * self.inverse_target;
        let durability = if durability < 1.0 { durability } else { 1.0 };
        let [of_durability, of_cost, .., of_confidence] = self.weights;
        let log2 = mul_add::<FUSED>(of_confidence, log2_floored::<FUSED>(found.confidence), fixed.log2);
        let log2 = mul_add::<FUSED>(of_cost, log2_floored::<FUSED>(desirability), log2);
        let log2 = mul_add::<FUSED>(of_durability, log2_floored::<FUSED>(durability), log2);
        let score = exp2::<FUSED>(log2);
        let blocked = beyond_limit && self.limited;
        Scored {
            replacements: count,
            discounted,
            cost,
            beyond_limit: blocked,
            durability,
            cost_desirability: desirability,
            score: if blocked { 0.0 } else { score },
        }
    }

    /// Whether a build meets the brief: open, as likely as requested to last the required years, which lie within the
    /// evidence.
    #[inline(always)]
    pub(crate) fn meets(&self, blocked: bool, found: &Found, required_years: f64) -> bool {
        !blocked && found.probability_ok >= self.target && required_years <= found.horizon_years
    }

    /// [`scored`](Self::scored) of one build, with the bits of tables.
    pub(crate) fn scored_one(&self, fixed: &Fixed, found: &Found, required_years: f64) -> Scored {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(scale: &ScoreScale, fixed: &Fixed, found: &Found, required_years: f64) -> Scored {
            scale.scored::<{ fused!() }>(fixed, found, required_years)
        }
        dispatch(self, fixed, found, required_years)
    }
}

/// Score of a build from its six desirabilities and the value that the columns work out.
pub(super) fn score(scored: &Scored, fixed: [f64; 3], confidence: f64, scale: &ScoreScale) -> Score {
    let [appearance, heat, assembly] = fixed;
    let desirabilities =
        [scored.durability, scored.cost_desirability, appearance, heat, assembly, confidence];
    Score { value: scored.score, ..combine(desirabilities, scale.weights) }
}

/// Appearance, heat and assembly: the criteria that neither the outlook nor the cost moves.
pub(crate) fn fixed_desirabilities(case: &Case) -> Result<[f64; 3]> {
    Ok([
        appearance_desirability(case),
        heat_desirability(case.films, case.exposure.heat_continuous_c, case.exposure.heat_peak_c),
        thread_desirability(case)? * friction_desirability(case)? * fit_desirability(case),
    ])
}

/// Weighted geometric mean with the share of each criterion.
pub(super) fn combine(desirabilities: [f64; 6], weights: [f64; 6]) -> Score {
    let mut lacks = [0.0; 6];
    for (lack, (d, weight)) in lacks.iter_mut().zip(desirabilities.iter().zip(weights)) {
        *lack = if weight > 0.0 { -weight * d.ln() } else { 0.0 };
    }
    let total: f64 = lacks.iter().sum();
    let shares = Criterion::ALL
        .iter()
        .zip(desirabilities)
        .zip(weights)
        .zip(&lacks)
        .map(|(((criterion, desirability), weight), lack)| Share {
            criterion: *criterion,
            desirability,
            weight,
            // The sum with 0 turns a negative zero into a plain one.
            share: if total > 0.0 && total.is_finite() { lack / total + 0.0 } else { 0.0 },
        })
        .collect();
    Score { value: (-total).exp(), shares }
}

/// Desirability of a cost: 1 at or below the reference, falling with the logarithm of the cost to 0 at the
/// brief's limit, or to a floor at 20 times the reference where it sets none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct CostScale {
    /// Cost up to which the desirability is 1.
    pub(crate) reference: f64,
    /// Cost at which the floor is reached.
    pub(crate) limit: f64,
    /// Least desirability.
    pub(crate) floor: f64,
}

impl CostScale {
    pub(crate) fn of(brief: &Brief, reference: f64) -> Self {
        let (limit, floor) = match brief.wants.cost_limit_per_thousand {
            Some(limit) => (limit, 0.0),
            None => (COST_SPAN * reference, COST_FLOOR),
        };
        Self { reference, limit, floor }
    }

    /// The cost that has this desirability; none at or below the floor, which every greater cost has.
    pub(crate) fn cost_at(self, desirability: f64) -> Option<f64> {
        let Self { reference, limit, floor } = self;
        let falls = limit > reference && desirability > floor && desirability < 1.0;
        falls.then(|| limit * (reference / limit).powf(desirability))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Derringer & Suich (1980), equation 4: the overall desirability of equal weights is the geometric mean.
    #[test]
    fn equal_weights_give_the_geometric_mean_and_a_zero_kills() {
        let sixth = [1.0 / 6.0; 6];
        let score = combine([0.5, 1.0, 1.0, 1.0, 1.0, 0.5], sixth);
        assert!((score.value - 0.25_f64.powf(1.0 / 6.0)).abs() < 1e-12);
        assert!((score.shares[0].share - 0.5).abs() < 1e-12);
        assert_eq!(combine([0.0, 1.0, 1.0, 1.0, 1.0, 1.0], sixth).value, 0.0);
        let mut without_first = [0.2; 6];
        without_first[0] = 0.0;
        assert!(combine([0.0, 1.0, 1.0, 1.0, 1.0, 1.0], without_first).value > 0.99);
    }

    /// A perfect score lacks nothing that could be shared out, and a criterion without fault has no share, not even
    /// one of minus zero, which would be shown.
    #[test]
    fn what_lacks_nothing_has_no_share() {
        let sixth = [1.0 / 6.0; 6];
        for d in [[1.0; 6], [0.5, 1.0, 1.0, 1.0, 1.0, 1.0]] {
            for share in combine(d, sixth).shares.iter().skip(1) {
                assert_eq!((share.share, share.share.is_sign_negative()), (0.0, false));
            }
        }
        assert_eq!(combine([1.0; 6], sixth).shares[0].share, 0.0);
    }

    /// Half as much again as the yardstick on a scale to twice it: ln(2/1.5)/ln 2 = 0.287682/0.693147 = 0.415037.
    #[test]
    fn the_desirability_of_a_cost() {
        use crate::catalog::Catalog;
        let desirability = |limit: Option<f64>, reference: f64, cost: f64| {
            let limit = limit.map_or(String::new(), |l| format!(r#""cost_limit_per_thousand": {l}"#));
            let text = format!(
                r#"{{"schema": "overcoat.brief.v1", "name": "x", "part": {{}},
                    "duty": {{"place": "rural", "required_years": 1}}, "wants": {{{limit}}}}}"#
            );
            let brief = Brief::from_json(&text).unwrap();
            let scale = ScoreScale::of(&brief, reference, &Catalog::built_in().content().prices);
            let found =
                Found { median_years: 10.0, probability_ok: 1.0, confidence: 1.0, ..Found::default() };
            scale.scored_one(&Fixed { log2: 0.0, purchase: cost }, &found, 1.0)
        };
        for (cost, expected) in [(50.0, 1.0), (100.0, 1.0), (150.0, 0.415_037), (200.0, 0.0), (201.0, 0.0)] {
            let found = desirability(Some(200.0), 100.0, cost);
            assert!((found.cost_desirability - expected).abs() < 1e-6, "{cost}");
            assert_eq!(found.beyond_limit, cost > 200.0);
        }
        // a limit below the yardstick: all that it allows is as cheap as can be wished
        let strict = |cost| desirability(Some(50.0), 100.0, cost).cost_desirability;
        assert_eq!((strict(50.0), strict(50.1)), (1.0, 0.0));
        // without a limit the floor of 0.05 lies at 20 times the yardstick and beyond
        let open = |cost| desirability(None, 100.0, cost);
        assert_eq!((open(1990.0).cost_desirability, open(1e9).cost_desirability), (0.05, 0.05));
        assert!(!open(1e9).beyond_limit);
    }

    #[test]
    fn the_cost_of_a_desirability_has_it() {
        let scale = CostScale { reference: 100.0, limit: 2000.0, floor: 0.05 };
        for cost in [101.0, 300.0, 1600.0] {
            let desirability = (2000.0_f64 / cost).ln() / 20.0_f64.ln();
            let found = scale.cost_at(desirability).unwrap();
            assert!((found / cost - 1.0).abs() < 1e-12, "{cost} {found}");
        }
        for desirability in [0.05, 0.01, 1.0] {
            assert_eq!(scale.cost_at(desirability), None);
        }
    }

    proptest! {
        #[test]
        fn shares_sum_to_one_and_the_score_lies_between_its_criteria(
            d in prop::array::uniform6(0.01..0.99_f64), w in prop::array::uniform6(0.01..1.0_f64),
        ) {
            let sum: f64 = w.iter().sum();
            let score = combine(d, w.map(|x| x / sum));
            let total: f64 = score.shares.iter().map(|s| s.share).sum();
            prop_assert!((total - 1.0).abs() < 1e-9);
            let low = d.iter().copied().fold(1.0, f64::min);
            let high = d.iter().copied().fold(0.0, f64::max);
            prop_assert!(score.value >= low - 1e-12 && score.value <= high + 1e-12);
        }
    }
}
