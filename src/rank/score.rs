//! Desirability: each criterion becomes 0 to 1, the whole is their weighted geometric mean, so that a zero
//! kills (G. Derringer and R. Suich, J. Quality Technology 12, 1980, 214-219).
//!
//! No criterion looks at the other builds: adding or removing a build never changes the score of another.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::{Brief, Criterion};
use crate::check::{
    Case, appearance_desirability, friction_desirability, heat_desirability, thread_desirability,
};
use crate::outlook::Outlook;
use crate::rank::Cost;
use crate::source::Source;

/// Source of the form of the score: the weighted geometric mean of six desirabilities.
///
/// | criterion | desirability |
/// | --- | --- |
/// | durability | probability of the required years over the target (0.9 unless given), at most 1 |
/// | cost | 1 to the yardstick ([`cost`](crate::rank::cost())), then ln(limit/cost)/ln(limit/yardstick), 0 beyond the limit; without one the limit is 20 times the yardstick and 0.05 the floor |
/// | appearance | [`appearance_desirability`] |
/// | heat | [`heat_desirability`] |
/// | assembly | [`thread_desirability`] times [`friction_desirability`] |
/// | confidence | confidence of each source ([`Firmness`](crate::Firmness)), weighted by its share of the variance |
pub const DESIRABILITY: Source = Source::paper(
    "Derringer, G.; Suich, R.: Simultaneous optimization of several response variables. J. Quality Technology \
     12 (1980) 214-219; the limits of each criterion and the default weights are assumptions",
);

/// Probability taken as the aim where the brief names none (assumption).
pub(crate) const USUAL_TARGET: f64 = 0.9;
/// Cost over the trade's default at which the criterion reaches its floor (assumption).
const COST_SPAN: f64 = 20.0;
/// Floor of the cost criterion where the brief sets no limit (assumption).
const COST_FLOOR: f64 = 0.05;

/// Score of one build.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
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

/// Scores a build. `reference_cost` is what the trade's default costs to buy on the brief's first base metal.
pub(super) fn score(
    case: &Case,
    outlook: &Outlook,
    cost: &Cost,
    reference_cost: f64,
    weights: [f64; 6],
) -> Result<Score> {
    let target = case.brief().wants.target_probability.unwrap_or(USUAL_TARGET);
    let [appearance, heat, assembly] = fixed_desirabilities(case)?;
    let desirabilities = [
        (outlook.probability_ok / target).min(1.0),
        CostScale::of(case.brief(), reference_cost).desirability(cost.per_thousand),
        appearance,
        heat,
        assembly,
        confidence(outlook),
    ];
    Ok(combine(desirabilities, weights))
}

/// Appearance, heat and assembly: the criteria that neither the outlook nor the cost moves.
pub(crate) fn fixed_desirabilities(case: &Case) -> Result<[f64; 3]> {
    Ok([
        appearance_desirability(case),
        heat_desirability(case.films, case.exposure.heat_continuous_c, case.exposure.heat_peak_c),
        thread_desirability(case)? * friction_desirability(case)?,
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

    pub(crate) fn desirability(self, per_thousand: f64) -> f64 {
        let Self { reference, limit, floor } = self;
        if per_thousand > limit {
            return floor;
        }
        if per_thousand <= reference {
            return 1.0;
        }
        ((limit / per_thousand).ln() / (limit / reference).ln()).clamp(floor, 1.0)
    }
}

/// Confidence in the sources of the outlook, weighted by the share of the variance that they carry.
fn confidence(outlook: &Outlook) -> f64 {
    if outlook.variance_shares.is_empty() {
        return outlook.weakest.confidence();
    }
    outlook.variance_shares.iter().map(|v| v.share * v.source.firmness.confidence()).sum()
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
        let scale = CostScale { reference: 100.0, limit: 200.0, floor: 0.0 };
        for (cost, expected) in [(50.0, 1.0), (100.0, 1.0), (150.0, 0.415_037), (200.0, 0.0), (201.0, 0.0)] {
            assert!((scale.desirability(cost) - expected).abs() < 1e-6, "{cost}");
        }
        // a limit below the yardstick: all that it allows is as cheap as can be wished
        let strict = CostScale { reference: 100.0, limit: 50.0, floor: 0.0 };
        assert_eq!((strict.desirability(50.0), strict.desirability(50.1)), (1.0, 0.0));
        // without a limit the floor of 0.05 lies at 20 times the yardstick and beyond
        let open = CostScale { reference: 100.0, limit: 2000.0, floor: 0.05 };
        assert_eq!((open.desirability(1990.0), open.desirability(1e9)), (0.05, 0.05));
    }

    #[test]
    fn the_cost_of_a_desirability_has_it() {
        let scale = CostScale { reference: 100.0, limit: 2000.0, floor: 0.05 };
        for cost in [101.0, 300.0, 1600.0] {
            let found = scale.cost_at(scale.desirability(cost)).unwrap();
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
