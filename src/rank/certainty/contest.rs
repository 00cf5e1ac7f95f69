//! The score of each build if every uncertain value were known.

use std::f64::consts::LN_2;
use std::ops::Range;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use crate::Result;
use crate::atmosphere::Determination;
use crate::brief::Exposure;
use crate::catalog::Catalog;
use crate::check::counted_of;
use crate::error::invalid;
use crate::evidence::Source;
use crate::finish::Build;
use crate::life::{
    AIR, CABINET, Factor, FactorKind, Found, Growth, Layer, Lives, Point, Site, deviates_of, kept, rate_um,
    site_of, years_at,
};
use crate::math::cubic::{LogCubic, Moments};
use crate::math::sum::{LANES, Lanes, RateTerm, TermLanes, moments};
use crate::math::{fused, log2, normal_cdf_of};
use crate::rank::{Fixed, Lot, RankedOption, Ranking, ScoreScale, reference_cost};

/// What of a spread can be known, and what remains from part to part.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const BETWEEN_PARTS: Source = Source::assumption(
    "half of the variance of what a layer withstands and how it ages (its salt-spray hours, its aging, the salt that a \
     stainless surface withstands) is between parts and stays however much one learns; the other half, and all of the \
     other spreads, is doubt about one number",
);
/// `BETWEEN_PARTS` as a number.
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

/// A layer of a life, its spreads those between parts.
#[derive(Debug, Clone, PartialEq)]
struct DoubtfulLayer {
    term: RateTerm,
    /// Doubts of its dose and of its age.
    dose: Vec<usize>,
    age: Option<usize>,
}

/// The share of stainless surfaces that ever stains.
#[derive(Debug, Clone, Copy, PartialEq)]
struct DoubtfulStain {
    /// Natural logarithm of the salt on the surface over what it withstands.
    ln_over: f64,
    doubt: usize,
    between_log_sd: f64,
}

/// A build that may come first.
#[derive(Debug, Clone, PartialEq)]
struct Contestant {
    layers: Vec<DoubtfulLayer>,
    growth: Option<(Growth, usize)>,
    ln_later: f64,
    rate_um: f64,
    /// Doubts of the rate at the place and in the cabinet.
    air: usize,
    cabinet: Option<usize>,
    stain: Option<DoubtfulStain>,
    horizon_years: f64,
    fixed: Fixed,
    /// Logarithms of appearance, heat, assembly and confidence.
    ln_fixed: [f64; 4],
}

/// The open builds of a ranking with what they share.
#[derive(Debug, Clone)]
pub(super) struct Contest {
    pub(super) doubts: Vec<Doubt>,
    contestants: Vec<Contestant>,
    /// Weights as given, summing to one.
    pub(super) weights: [f64; 6],
    pub(super) determination: Determination,
    scale: ScoreScale,
    required_years: f64,
}

impl Contest {
    /// The first `most` open builds of a ranking.
    pub(super) fn of(ranking: &Ranking, catalog: &Catalog, most: usize) -> Result<Self> {
        if ranking.catalog != catalog.name() || ranking.overrides != catalog.overrides() {
            return Err(invalid(
                "catalog",
                catalog.name(),
                &format!("{}, with which the ranking was made", ranking.catalog),
                "Enter the catalog that the ranking was made with.",
            ));
        }
        let brief = &ranking.brief;
        brief.check_in(catalog)?;
        let exposure = Exposure::of(brief, catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let scale = ScoreScale::of(brief, reference_cost(brief, &lot, catalog)?, &catalog.content().prices);
        let mut contest = Self {
            doubts: Vec::new(),
            contestants: Vec::new(),
            weights: scale.weights,
            determination: exposure.atmosphere.determination,
            scale,
            required_years: exposure.required_years,
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
        let part = &ranking.brief.part;
        let counted = counted_of(part, &catalog.resolve(build)?, catalog)?;
        let life = Lives::new(exposure, part, catalog).of(&counted)?;
        let inputs = site_of(exposure);
        let places: Vec<usize> = life.factors.iter().map(|factor| self.doubt(factor, build)).collect();
        let place = |factor: usize| places.get(factor).copied();
        let between = |factors: Range<usize>| -> f64 {
            let doubts = factors.filter_map(|f| self.doubts.get(place(f)?));
            doubts.map(|doubt| doubt.between_log_sd.powi(2)).sum::<f64>().sqrt()
        };
        let terms = life.terms(inputs.chloride_mg_m2_day);
        let layers = life.layers.iter().zip(&terms.layers).map(|(layer, term)| DoubtfulLayer {
            term: RateTerm::new(
                term.per_rate,
                term.age,
                between(layer.dose_factors.clone()),
                between(layer.age_factor..layer.age_factor + 1),
            ),
            dose: layer.dose_factors.clone().filter_map(place).collect(),
            age: place(layer.age_factor),
        });
        let layers = layers.collect();
        let stain = life.stain.and_then(|stain| {
            let doubt = place(stain.factor)?;
            Some(DoubtfulStain {
                ln_over: Site::of(&inputs).ln_salt() - stain.ln_threshold,
                doubt,
                between_log_sd: between(stain.factor..stain.factor + 1),
            })
        });
        let mut ln_fixed = [0.0; 4];
        for (slot, share) in ln_fixed.iter_mut().zip(option.score.shares.iter().skip(2)) {
            *slot = ln(share.desirability);
        }
        self.contestants.push(Contestant {
            layers,
            growth: terms.growth.zip(life.growth_factor().and_then(place)),
            ln_later: life.ln_later,
            rate_um: rate_um(&inputs),
            air: place(AIR).unwrap_or_default(),
            cabinet: place(CABINET),
            stain,
            horizon_years: life.horizon_years(inputs.chloride_mg_m2_day),
            fixed: Fixed { log2: 0.0, purchase: option.cost.purchase_per_thousand },
            ln_fixed,
        });
        Ok(())
    }

    /// The place of a factor among the doubts.
    fn doubt(&mut self, factor: &Factor, build: &Build) -> usize {
        let name = match factor.kind {
            FactorKind::Capacity(Layer::Treatment)
            | FactorKind::FieldFactor(Layer::Treatment)
            | FactorKind::Ageing(Layer::Treatment) => format!("{} {}", factor.factor, build.treatment),
            FactorKind::Salt => format!("{}: {}", factor.factor, build.base_metal),
            _ => factor.factor.to_string(),
        };
        if let Some(place) = self.doubts.iter().position(|doubt| doubt.name == name) {
            return place;
        }
        let share = match factor.kind {
            FactorKind::Capacity(_) | FactorKind::Ageing(_) | FactorKind::Salt | FactorKind::StainYears => {
                SHARE_BETWEEN_PARTS
            }
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

    /// Logarithms of the six desirabilities of a build at points where the logarithms of the doubts deviate so.
    pub(super) fn ln_desirabilities(&self, contestant: usize, points: &[Vec<f64>]) -> Vec<[f64; 6]> {
        let Some(contestant) = self.contestants.get(contestant) else {
            return vec![[LN_OF_NOTHING; 6]; points.len()];
        };
        let [appearance, heat, assembly, confidence] = contestant.ln_fixed;
        let moved = points.chunks(LANES).flat_map(|points| {
            let found = contestant.ln_moved(&self.scale, self.required_years, points);
            found.into_iter().take(points.len())
        });
        moved.map(|[durability, cost]| [durability, cost, appearance, heat, assembly, confidence]).collect()
    }
}

impl Contestant {
    /// Logarithms of durability and cost at some points, by the model of the outlook with what is left between parts.
    fn ln_moved(&self, scale: &ScoreScale, required_years: f64, points: &[Vec<f64>]) -> [[f64; 2]; LANES] {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(
            of: &Contestant,
            scale: &ScoreScale,
            required_years: f64,
            rates: &Lanes,
            [doses, ages]: [&[Lanes]; 2],
            grown: &Lanes,
            stains: &Lanes,
        ) -> [[f64; 2]; LANES] {
            const FUSED: bool = fused!();
            let ones = [1.0; LANES];
            let count = of.layers.len() + usize::from(of.growth.is_some());
            let found = moments::<FUSED>(count, |number| match of.layers.get(number) {
                Some(layer) => {
                    let dose = doses.get(number).unwrap_or(&ones);
                    layer.term.at(rates, dose, ages.get(number).unwrap_or(&ones))
                }
                None => TermLanes { years: *grown, moved: [*grown; 4], ..TermLanes::nothing() },
            });
            let ln_required = log2::<FUSED>(required_years) * LN_2;
            std::array::from_fn(|lane| {
                let at = |lanes: &Lanes| lanes.get(lane).copied().unwrap_or_default();
                let moments =
                    Moments { mean: at(&found.mean), variance: at(&found.variance), third: at(&found.third) };
                let mut curve = LogCubic::of_mixture(&[moments], &[1.0]);
                curve.constant += of.ln_later;
                let point = Point { curve, confidence: 1.0 };
                let stains = at(stains);
                let [_, middle, _] = deviates_of(stains);
                let found = Found {
                    median_years: years_at::<FUSED>(&point.curve, middle, of.horizon_years),
                    probability_ok: kept(stains, point.curve.beyond::<FUSED>(ln_required)),
                    confidence: 1.0,
                    ..Found::default()
                };
                let scored = scale.scored::<FUSED>(&of.fixed, &found, required_years);
                [ln(scored.durability), ln(scored.cost_desirability)]
            })
        }
        let deviation = |lane: usize, doubt: usize| -> f64 {
            points.get(lane).and_then(|point| point.get(doubt)).copied().unwrap_or_default()
        };
        let lanes = |of: &dyn Fn(usize) -> f64| -> Lanes { std::array::from_fn(of) };
        let rates = lanes(&|lane| {
            let cabinet = self.cabinet.map_or(0.0, |doubt| deviation(lane, doubt));
            self.rate_um * (deviation(lane, self.air) - cabinet).exp()
        });
        let doses = self.layers.iter().map(|layer| {
            lanes(&|lane| (-layer.dose.iter().map(|doubt| deviation(lane, *doubt)).sum::<f64>()).exp())
        });
        let ages = self
            .layers
            .iter()
            .map(|layer| lanes(&|lane| (-layer.age.map_or(0.0, |doubt| deviation(lane, doubt))).exp()));
        let (doses, ages): (Vec<Lanes>, Vec<Lanes>) = (doses.collect(), ages.collect());
        let grown = self.growth.map_or([0.0; LANES], |(growth, doubt)| {
            let years = |lane: usize| {
                let rate = rates.get(lane).copied().unwrap_or_default();
                growth.years_moved(rate, deviation(lane, doubt).exp())
            };
            std::array::from_fn(years)
        });
        let stains = self.stain.map_or([1.0; LANES], |stain| {
            std::array::from_fn(|lane| {
                normal_cdf_of((stain.ln_over + deviation(lane, stain.doubt)) / stain.between_log_sd)
            })
        });
        dispatch(self, scale, required_years, &rates, [&doses, &ages], &grown, &stains)
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
        use crate::rank::certainty::points::{POINTS, SHIFTS, normal_points};
        let ranking = ranking(r#""target_probability": 0.9999"#);
        let contest = Contest::of(&ranking, Catalog::built_in(), 12).unwrap();
        for contestant in 0..contest.len() {
            let mut mean = 0.0;
            for shift in 0..SHIFTS {
                let points: Vec<Vec<f64>> = normal_points(shift, contest.doubts.len())
                    .into_iter()
                    .map(|z| z.iter().zip(&contest.doubts).map(|(z, doubt)| z * doubt.log_sd).collect())
                    .collect();
                let found = contest.ln_desirabilities(contestant, &points);
                mean += found.iter().map(|d| d[0].exp() * 0.9999).sum::<f64>();
            }
            let mean = mean / f64::from(POINTS * SHIFTS);
            let expected = ranking.options[contestant].outlook.probability_ok;
            assert!((mean - expected).abs() < 0.01, "{contestant}: {mean} {expected}");
        }
    }

    /// Builds of one term each, scored by durability alone, with the doubts `[own, other, shared]` and a spread of
    /// 0.5 between parts.
    pub(in crate::rank::certainty) fn duel(medians: [f64; 2], log_sds: [f64; 3]) -> Contest {
        duel_of_parts(medians, log_sds, 0.5)
    }

    /// The same with a spread of 3 between parts, so that neither is ever as good as hopeless.
    pub(in crate::rank::certainty) fn open_duel(medians: [f64; 2], log_sds: [f64; 3]) -> Contest {
        duel_of_parts(medians, log_sds, 3.0)
    }

    fn duel_of_parts(medians: [f64; 2], log_sds: [f64; 3], between_parts: f64) -> Contest {
        let doubt = |log_sd: f64| Doubt {
            kind: FactorKind::Air,
            name: format!("{log_sd}"),
            log_sd,
            between_log_sd: 0.0,
        };
        let contestant = |place: usize, median: f64| Contestant {
            layers: vec![DoubtfulLayer {
                term: RateTerm::new(1.0 / median, 0.0, between_parts, 0.0),
                dose: vec![place],
                age: None,
            }],
            growth: None,
            ln_later: 0.0,
            rate_um: 1.0,
            air: 2,
            cabinet: None,
            stain: None,
            horizon_years: 1e9,
            fixed: Fixed { log2: 0.0, purchase: 1.0 },
            ln_fixed: [0.0; 4],
        };
        let text = r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
            "duty": {"place": "rural", "required_years": 5},
            "wants": {"cost_limit_per_thousand": 1e9,
                "weights": {"durability": 1, "cost": 0, "appearance": 0, "heat": 0, "assembly": 0, "confidence": 0}}}"#;
        let brief = Brief::from_json(text).unwrap();
        Contest {
            doubts: log_sds.map(doubt).to_vec(),
            contestants: vec![contestant(0, medians[0]), contestant(1, medians[1])],
            weights: [1.0, 0.0, 0.0, 0.0, 0.0, 0.0],
            determination: Determination::Description,
            scale: ScoreScale::of(&brief, 1e9, &Catalog::built_in().content().prices).aiming_at(1.0),
            required_years: 5.0,
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
            let found = contest.ln_desirabilities(0, &[deviations.to_vec()])[0][0].exp();
            assert!((found - probability).abs() < 1e-6, "{deviations:?}: {found}");
        }
    }

    /// A doubt of a stainless grade is its own, and half of its variance lies between parts.
    #[test]
    fn each_stainless_grade_has_its_own_resistance() {
        let text = r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket"},
            "duty": {"place": "rural", "required_years": 3}, "wants": {"builds": [
                {"base_metal": "stainless_304", "treatment": "stainless_alkaline"},
                {"base_metal": "stainless_316", "treatment": "stainless_alkaline"}]}}"#;
        let ranking = rank(&Brief::from_json(text).unwrap(), Catalog::built_in()).unwrap();
        let contest = Contest::of(&ranking, Catalog::built_in(), 2).unwrap();
        let log_sd = 1.23_f64.hypot(0.7) * 0.5_f64.sqrt();
        for grade in ["stainless_304", "stainless_316"] {
            let name = format!("salt that the grade withstands without staining: {grade}");
            let doubt = contest.doubts.iter().find(|doubt| doubt.name == name).unwrap();
            assert!((doubt.log_sd - log_sd).abs() < 1e-12);
            assert!((doubt.between_log_sd - log_sd).abs() < 1e-12);
        }
    }
}
