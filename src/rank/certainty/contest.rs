//! The score of each build if all that is doubtful were known.

use crate::Result;
use crate::atmosphere::Determination;
use crate::brief::Exposure;
use crate::catalog::Catalog;
use crate::error::invalid;
use crate::finish::Build;
use crate::outlook::{Factor, FactorKind, Layer, Lognormal, build_life};
use crate::rank::{CostScale, Lot, RankedOption, Ranking, USUAL_TARGET, log2_growth, reference_cost};
use crate::source::Source;
use crate::sweep::kernel::replacements_of;

/// What of a spread can be known, and what remains from part to part.
pub const BETWEEN_PARTS: Source = Source::assumption(
    "half of the variance of what a layer withstands (its capacity, or the class margin of a stainless grade) lies \
     between parts and stays however much one learns; the other half, and all of the other spreads, is doubt about \
     one number",
);
/// [`BETWEEN_PARTS`] as a number.
const SHARE_BETWEEN_PARTS: f64 = 0.5;
/// Stands for the logarithm of nothing, so that a weight of 0 leaves even that out.
const LN_OF_NOTHING: f64 = -1e300;

/// A number that is the same for all builds that share it, and that one could come to know.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Doubt {
    pub(super) kind: FactorKind,
    /// The factor in the words of an outlook; with the treatment or grade where the words leave it open.
    pub(super) name: String,
    /// Spread of its logarithm that is doubt.
    pub(super) log_sd: f64,
    /// Spread of its logarithm from part to part.
    pub(super) between_log_sd: f64,
}

/// A term of a life.
#[derive(Debug, Clone, PartialEq)]
struct DoubtfulTerm {
    ln_median: f64,
    /// Doubts and how the term answers to them.
    answers: Vec<(usize, f64)>,
    /// Mean over median, and mean square over squared mean, of what differs from part to part.
    mean_factor: f64,
    moment: f64,
}

/// A build that may come first.
#[derive(Debug, Clone, PartialEq)]
struct Contestant {
    terms: Vec<DoubtfulTerm>,
    purchase: f64,
    /// Logarithms of appearance, heat, assembly and confidence.
    ln_fixed: [f64; 4],
}

/// The open builds of a ranking with what they share.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Contest {
    pub(super) doubts: Vec<Doubt>,
    contestants: Vec<Contestant>,
    /// Weights as given, summing to one.
    pub(super) weights: [f64; 6],
    pub(super) determination: Determination,
    score: ScoreScale,
}

/// What turns a life into a score.
#[derive(Debug, Clone, Copy, PartialEq)]
struct ScoreScale {
    cost: CostScale,
    target: f64,
    required_years: f64,
    log2_growth: f64,
    labour: f64,
}

impl Contest {
    /// The first `most` open builds of a ranking.
    pub(super) fn of(ranking: &Ranking, catalog: &Catalog, most: usize) -> Result<Self> {
        if ranking.catalog != catalog.name() || ranking.overrides != catalog.overrides() {
            return Err(invalid(
                "catalog",
                catalog.name(),
                &format!("{}, with which the ranking was made", ranking.catalog),
                "Give the catalog that the ranking was made with.",
            ));
        }
        let brief = &ranking.brief;
        let exposure = Exposure::of(brief, catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let prices = &catalog.content().prices;
        let mut contest = Self {
            doubts: Vec::new(),
            contestants: Vec::new(),
            weights: brief.wants.weights.clone().unwrap_or_default().normalised(),
            determination: exposure.atmosphere.determination,
            score: ScoreScale {
                cost: CostScale::of(brief, reference_cost(brief, &lot, catalog)?),
                target: brief.wants.target_probability.unwrap_or(USUAL_TARGET),
                required_years: exposure.required_years,
                log2_growth: log2_growth(prices),
                labour: 1000.0 * prices.replacement_labour_per_piece.value,
            },
        };
        for option in ranking.options.iter().filter(|option| !option.blocked).take(most) {
            contest.add(option, ranking, &exposure, catalog)?;
        }
        Ok(contest)
    }

    fn add(
        &mut self,
        option: &RankedOption,
        ranking: &Ranking,
        exposure: &Exposure,
        catalog: &Catalog,
    ) -> Result<()> {
        let build = &option.build;
        let life = build_life(exposure, &ranking.brief.part, &catalog.resolve(build)?, catalog)?.life;
        let places: Vec<usize> = life.factors.iter().map(|factor| self.doubt(factor, build)).collect();
        let terms = life.terms.iter().map(|term| {
            let answers: Vec<(usize, f64)> = term
                .exponents
                .iter()
                .filter_map(|(local, exponent)| places.get(*local).map(|place| (*place, *exponent)))
                .collect();
            let between: f64 = answers
                .iter()
                .filter_map(|(place, exponent)| {
                    self.doubts.get(*place).map(|doubt| (exponent * doubt.between_log_sd).powi(2))
                })
                .sum();
            DoubtfulTerm {
                ln_median: term.ln_median,
                answers,
                mean_factor: (0.5 * between).exp(),
                moment: between.exp(),
            }
        });
        let terms = terms.collect();
        let mut ln_fixed = [0.0; 4];
        for (slot, share) in ln_fixed.iter_mut().zip(option.score.shares.iter().skip(2)) {
            *slot = ln(share.desirability);
        }
        self.contestants.push(Contestant { terms, purchase: option.cost.purchase_per_thousand, ln_fixed });
        Ok(())
    }

    /// The place of a factor among the doubts.
    fn doubt(&mut self, factor: &Factor, build: &Build) -> usize {
        let name = match factor.kind {
            FactorKind::Capacity(Layer::Treatment) | FactorKind::FieldFactor(Layer::Treatment) => {
                format!("{} {}", factor.name, build.treatment)
            }
            FactorKind::ClassMargin => format!("{} {}", factor.name, build.base_metal),
            _ => factor.name.to_string(),
        };
        if let Some(place) = self.doubts.iter().position(|doubt| doubt.name == name) {
            return place;
        }
        let share = match factor.kind {
            FactorKind::Capacity(_) | FactorKind::ClassMargin => SHARE_BETWEEN_PARTS,
            FactorKind::Air | FactorKind::Cabinet | FactorKind::FieldFactor(_) | FactorKind::Growth => 0.0,
        };
        self.doubts.push(Doubt {
            kind: factor.kind,
            name,
            log_sd: factor.log_sd * (1.0 - share).sqrt(),
            between_log_sd: factor.log_sd * share.sqrt(),
        });
        self.doubts.len() - 1
    }

    pub(super) fn len(&self) -> usize {
        self.contestants.len()
    }

    /// Logarithms of the six desirabilities of a build where the logarithms of the doubts deviate so.
    pub(super) fn ln_desirabilities(&self, contestant: usize, deviations: &[f64]) -> [f64; 6] {
        let Some(Contestant { terms, purchase, ln_fixed }) = self.contestants.get(contestant) else {
            return [LN_OF_NOTHING; 6];
        };
        // Parts differ by factors of their own in each term, so means and variances of the terms add.
        let (mut mean, mut variance) = (0.0, 0.0);
        for term in terms {
            let moved: f64 = term
                .answers
                .iter()
                .map(|(place, exponent)| exponent * deviations.get(*place).copied().unwrap_or(0.0))
                .sum();
            let of_term = (term.ln_median + moved).exp() * term.mean_factor;
            mean += of_term;
            variance += of_term * of_term * (term.moment - 1.0);
        }
        let log_variance = (variance / (mean * mean)).ln_1p();
        let ln_median = mean.ln() - 0.5 * log_variance;
        let [durability, cost] = self.score.ln_moved(ln_median, log_variance.sqrt(), *purchase);
        let [appearance, heat, assembly, confidence] = *ln_fixed;
        [durability, cost, appearance, heat, assembly, confidence]
    }
}

impl ScoreScale {
    /// Logarithms of durability and cost.
    fn ln_moved(&self, ln_median: f64, log_sd: f64, purchase: f64) -> [f64; 2] {
        let probability = Lognormal { ln_median, log_sd }.probability_beyond(self.required_years);
        let median_years = ln_median.exp();
        let (_, discounted) =
            replacements_of(self.required_years / median_years, self.log2_growth * median_years);
        let cost = purchase + discounted * (purchase + self.labour);
        [ln((probability / self.target).min(1.0)), ln(self.cost.desirability(cost))]
    }
}

/// Logarithm of a score: higher is better.
pub(super) fn ln_score(ln_desirabilities: &[f64; 6], weights: &[f64; 6]) -> f64 {
    ln_desirabilities.iter().zip(weights).map(|(ln, weight)| ln * weight).sum()
}

fn ln(desirability: f64) -> f64 {
    desirability.ln().max(LN_OF_NOTHING)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::brief::Brief;
    use crate::rank::rank;

    pub(in crate::rank::certainty) fn ranking(wants: &str) -> Ranking {
        let text = format!(
            r#"{{"schema": "overcoat.brief.v1", "name": "x",
            "part": {{"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"}},
            "duty": {{"place": "rural", "shelter": "sheltered", "required_years": 3}}, "wants": {{{wants}}}}}"#
        );
        rank(&Brief::from_json(&text).unwrap(), Catalog::built_in()).unwrap()
    }

    /// Three builds, of which the last is blocked, and the two that are open.
    pub(in crate::rank::certainty) fn ranking_of_two_open_builds() -> (Ranking, Vec<Build>) {
        let ranking = ranking(
            r#""builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]},
                {"base_metal": "stainless_304", "treatment": "hot_alkaline"},
                {"treatment": "hot_alkaline", "films": ["soft_wax"]}]"#,
        );
        let open: Vec<Build> =
            ranking.options.iter().filter(|o| !o.blocked).map(|o| o.build.clone()).collect();
        assert_eq!((open.len(), ranking.options.len()), (2, 3));
        (ranking, open)
    }

    /// With nothing deviating and no spread left the score is that of the medians; with the doubts averaged out the
    /// probability is that of the outlook, since both spreads together are the whole.
    #[test]
    fn the_probability_averaged_over_the_truth_is_that_of_the_outlook() {
        use crate::rank::certainty::lattice::{Lattice, POINTS, SHIFTS};
        let ranking = ranking(r#""target_probability": 0.9999"#);
        let contest = Contest::of(&ranking, Catalog::built_in(), 12).unwrap();
        for contestant in 0..contest.len() {
            let mut mean = 0.0;
            for lattice in Lattice::copies() {
                for point in 0..POINTS {
                    let x: Vec<f64> = contest
                        .doubts
                        .iter()
                        .enumerate()
                        .map(|(d, doubt)| doubt.log_sd * lattice.normal(point, d))
                        .collect();
                    mean += contest.ln_desirabilities(contestant, &x)[0].exp() * 0.9999;
                }
            }
            let mean = mean / (POINTS * SHIFTS) as f64;
            let expected = ranking.options[contestant].outlook.probability_ok;
            assert!((mean - expected).abs() < 0.01, "{contestant}: {mean} {expected}");
        }
    }

    /// Builds of one term each, scored by durability alone, with the doubts `[own, other, shared]` and a spread of
    /// 0.5 between parts.
    pub(in crate::rank::certainty) fn duel(medians: [f64; 2], log_sds: [f64; 3]) -> Contest {
        let doubt = |log_sd: f64| Doubt {
            kind: FactorKind::Air,
            name: format!("{log_sd}"),
            log_sd,
            between_log_sd: 0.0,
        };
        let contestant = |place: usize, median: f64| Contestant {
            terms: vec![DoubtfulTerm {
                ln_median: median.ln(),
                answers: vec![(place, 1.0), (2, -1.0)],
                mean_factor: 0.125_f64.exp(),
                moment: 0.25_f64.exp(),
            }],
            purchase: 1.0,
            ln_fixed: [0.0; 4],
        };
        Contest {
            doubts: log_sds.map(doubt).to_vec(),
            contestants: vec![contestant(0, medians[0]), contestant(1, medians[1])],
            weights: [1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            determination: Determination::Description,
            score: ScoreScale {
                cost: CostScale { reference: 1.0, limit: 20.0, floor: 0.05 },
                target: 1.0,
                required_years: 5.0,
                log2_growth: 0.0,
                labour: 0.0,
            },
        }
    }

    impl Contest {
        pub(in crate::rank::certainty) fn set_ln_fixed(&mut self, contestant: usize, ln_fixed: [f64; 4]) {
            self.contestants[contestant].ln_fixed = ln_fixed;
        }
    }

    #[test]
    fn builds_share_what_they_have_in_common() {
        let ranking = ranking("");
        let contest = Contest::of(&ranking, Catalog::built_in(), usize::MAX).unwrap();
        let named = |name: &str| contest.doubts.iter().filter(|doubt| doubt.name == name).count();
        assert_eq!(named("atmosphere"), 1);
        assert_eq!(named("capacity of hard_wax"), 1);
        assert_eq!(named("capacity of the treatment hot_alkaline"), 1);
        assert_eq!(named("capacity of the treatment room_temperature"), 1);
    }

    #[test]
    fn another_catalog_is_refused() {
        let ranking = ranking("");
        let other = Catalog::from_json(
            r#"{"schema": "overcoat.catalog.v1", "name": "mine", "prices": {"currency": "EUR"}}"#,
        )
        .unwrap();
        assert_eq!(Contest::of(&ranking, &other, 2).unwrap_err().field(), "catalog");
        // the name and the replaced values each tell by themselves
        let name = Catalog::built_in().name();
        for (name, more) in [("mine", ""), (name, r#", "prices": {"currency": "EUR"}"#)] {
            let text = format!(r#"{{"schema": "overcoat.catalog.v1", "name": "{name}"{more}}}"#);
            let other = Catalog::from_json(&text).unwrap();
            assert_eq!(Contest::of(&ranking, &other, 2).unwrap_err().field(), "catalog", "{text}");
        }
    }

    /// A layer's capacity twice as large is a life twice as long, twice the loss at the place half of it: of 5 years
    /// with 0.5 from part to part, 5 required are exceeded with Φ(±ln 2/0.5) = 0.917171 and 0.082829.
    #[test]
    fn a_truth_moves_the_life_by_its_exponent() {
        let contest = duel([5.0, 5.0], [0.6, 0.8, 0.7]);
        let ln_2 = std::f64::consts::LN_2;
        for (deviations, probability) in [
            ([0.0, 0.0, 0.0], 0.5),
            ([ln_2, 0.0, 0.0], 0.917_171),
            ([0.0, 0.0, ln_2], 0.082_829),
            ([ln_2, 0.0, ln_2], 0.5),
            ([0.0, ln_2, 0.0], 0.5),
        ] {
            let found = contest.ln_desirabilities(0, &deviations)[0].exp();
            assert!((found - probability).abs() < 1e-6, "{deviations:?}: {found}");
        }
        // over the probability aimed at, and no more than 1
        for (target, desirability) in [(0.95, 0.917_171 / 0.95), (0.9, 1.0)] {
            let mut contest = contest.clone();
            contest.score.target = target;
            let found = contest.ln_desirabilities(0, &[ln_2, 0.0, 0.0])[0].exp();
            assert!((found - desirability).abs() < 2e-6, "{target}: {found}");
        }
    }

    /// Plated black zinc, bare, is one term, 8.35 years by t = H·k·φ/r with k = 70/48 g/(m²·h): of 20 years it ends
    /// twice. Each replacement costs the parts once
    /// more and the labour, 1000·0.5, at 3 % a year; 1 to the price of oil over black, 0.05 at 20 times that. A loss
    /// at the place greater by a factor shortens the life by it.
    #[test]
    fn a_moved_life_costs_its_replacements() {
        let text = r#"{"schema": "overcoat.brief.v1", "name": "x",
            "part": {"form": "bracket", "mass_g": 300, "surface_dm2": 2.5, "base_metal": "steel_4_6"},
            "duty": {"first_year_steel_loss_um": 30, "required_years": 20},
            "wants": {"black": false, "builds": [{"treatment": "zinc_plate_black", "films": []},
                {"treatment": "hot_alkaline", "films": ["displacing_oil"]}]}}"#;
        let catalog = Catalog::built_in();
        let ranking = rank(&Brief::from_json(text).unwrap(), catalog).unwrap();
        let contest = Contest::of(&ranking, catalog, usize::MAX).unwrap();
        let purchase = |treatment: &str| {
            let option = ranking.options.iter().position(|o| o.build.treatment == treatment).unwrap();
            (option, ranking.options[option].cost.purchase_per_thousand)
        };
        let (zinc, bought) = purchase("zinc_plate_black");
        let (_, usual) = purchase("hot_alkaline");
        let plate = catalog.treatment("zinc_plate_black").unwrap();
        let years = plate.capacity_h.median * 70.0 / 48.0 * plate.field_factor.median / (30.0 * 7.86);
        let air = contest.doubts.iter().position(|doubt| doubt.kind == FactorKind::Air).unwrap();
        for (factor, replacements) in [(0.1, 0), (1.0, 2), (2.0, 4)] {
            let mut deviations = vec![0.0; contest.doubts.len()];
            deviations[air] = f64::ln(factor);
            let life = years / factor;
            let ends = (1..1000).map(|j| f64::from(j) * life).take_while(|end| *end < 20.0);
            assert_eq!(ends.clone().count(), replacements);
            let replaced: f64 = ends.map(|end| 1.03_f64.powf(-end)).sum();
            let cost = bought + replaced * (bought + 500.0);
            let expected = ((20.0 * usual / cost).ln() / 20.0_f64.ln()).min(1.0);
            let found = contest.ln_desirabilities(zinc, &deviations)[1].exp();
            assert!((found - expected).abs() < 1e-9, "{factor}: {found} for {expected}");
        }
    }

    /// The margin of a grade is its own, and half of its variance (log spread 1) lies between parts.
    #[test]
    fn each_stainless_grade_has_its_margin() {
        let text = r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket"},
            "duty": {"place": "rural", "required_years": 3}, "wants": {"builds": [
                {"base_metal": "stainless_304", "treatment": "stainless_alkaline"},
                {"base_metal": "stainless_316", "treatment": "stainless_alkaline"}]}}"#;
        let ranking = rank(&Brief::from_json(text).unwrap(), Catalog::built_in()).unwrap();
        let contest = Contest::of(&ranking, Catalog::built_in(), 2).unwrap();
        for grade in ["stainless_304", "stainless_316"] {
            let name = format!("class margin of the stainless grade {grade}");
            let doubt = contest.doubts.iter().find(|doubt| doubt.name == name).unwrap();
            assert!((doubt.log_sd - 0.5_f64.sqrt()).abs() < 1e-12);
            assert!((doubt.between_log_sd - 0.5_f64.sqrt()).abs() < 1e-12);
        }
    }
}
