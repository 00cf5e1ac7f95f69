//! How long until first rust, and how sure that is.
//!
//! | file | idea |
//! | --- | --- |
//! | `layers` | which layers the heat leaves |
//! | `dose` | equal-dose transfer: cabinet hours as a dose, the dose used up at the rate of the place |
//! | `resistance` | stainless steel: class of the grade against the class asked for |
//! | `failure` | from first rust to a rusted share, a loss, a loss of strength |
//! | `lognormal` | spreads, their sums, probabilities, in closed form |
//!
//! **Equal-dose transfer.** The trade measures a film in hours of neutral salt spray to first red rust, `H`.
//! Such hours are no service life (ISO 9227:2017, introduction and clause 1; ASTM B117, 3.2). They are used
//! here as the dose of bare-steel attack that the film withstands, `H · k` with `k` the loss rate of reference
//! steel in the cabinet, and the dose is used up at the bare-steel rate of the place:
//!
//! `t50 = Σ H_i · k · φ_i / r`
//!
//! with `φ` the field factor of each film: how much better or worse it does outdoors than its hours promise.
//!
//! - `k` is 70 g/m² in 48 h; `r` the first-year loss of steel in g/m² (density 7.86 g/cm³), at least 0.0009 µm.
//! - Films: those that the heat leaves ([`layers_left`]). `H` is the film's hours times the film hold of the
//!   treatment beneath. `φ` is the film's, or that of the shelter where the catalog has one
//!   ([`field_factor_under`]). `φ` of the outermost film left is multiplied by its rain wash factor where rain washes
//!   the part, its sunlight factor to the power 0, ½ or 1 (no, partial, full sun) and its handling factor to the
//!   power 0, ⅓ or 1 (none, occasional, frequent) ([`exposed_field_factor`]).
//! - The treatment is a term of its own with its own `H` and `φ`; where the peak heat exceeds its limit, bare
//!   steel stands in for it: 0.1 h, log spread 0.7, `φ` = 1 without spread.
//! - Stainless steel with a resistance class has in place of the treatment's term the years of its class margin,
//!   `50·exp(1.2816)·20^m` with log spread 1 and `m` = class of the grade - classes lost by the treatment - class
//!   asked for ([`CLASS_MARGIN`], [`required_class`]). The air is no factor of it.
//! - `r` and `k` are one uncertain factor each, shared by all terms with exponents -1 and 1; every `H` and `φ` is
//!   one of its own.
//! - A loss that counts as failure grows after first rust by `r·t^b` (ISO 9224); `b` is an uncertain factor of its
//!   own, log spread 0.3 ([`GROWTH_EXPONENT_SPREAD`]).
//!
//! `H`, `φ`, `k`, `r` and `b` are lognormal, hence `t` is; see [`Lognormal`] and [`sum_of`].

mod dose;
mod failure;
mod layers;
mod lognormal;
mod resistance;

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

pub(crate) use dose::exposure_share;
pub use dose::{
    BARE_STEEL, CABINET_RATE, FILM_EXPOSURE, cabinet_rate_g_m2_h, exposed_field_factor, field_factor_under,
};
pub(crate) use dose::{CABINET_LOG_SD, CABINET_LOSS_G_M2, LEAST_LOSS_UM, treatment_is_lost};
pub(crate) use failure::Growth;
pub use failure::{GROWTH_EXPONENT_SPREAD, PATCH_SPREAD, RUST_VISIBLE};
pub use layers::{Layers, layers_left};
pub(crate) use lognormal::Z90;
pub use lognormal::{Lognormal, MOMENT_MATCHING, Term, normal_cdf, normal_quantile, sum_of};
pub use resistance::{CLASS_MARGIN, RESISTANCE_BY_CATEGORY, required_class};

use crate::Result;
use crate::brief::{Exposure, Part};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::error::within;
use crate::finish::Film;
use crate::source::{Firmness, Source};

/// Salt-spray hours are no service life: said with every outlook.
pub const NO_SERVICE_LIFE: Source = Source::standard(
    "ISO 9227:2017, introduction and clause 1; ASTM B117, 3.2: salt-spray hours are no measure of life in \
     service; they enter here only as a film's capacity for dose, with a field factor and wide spreads",
);

/// Name of the factor that stands for the air at the place.
pub const ATMOSPHERE: &str = "atmosphere";

/// Time to failure of one build in one duty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Outlook {
    /// Years that half of the cases exceed.
    pub median_years: f64,
    /// Years that 90 % of the cases exceed.
    pub p10_years: f64,
    /// Years that 10 % of the cases exceed.
    pub p90_years: f64,
    /// Standard deviation of the natural logarithm of the years.
    pub log_sd: f64,
    /// Probability of no failure within the required years.
    pub probability_ok: f64,
    /// What carries how much of the variance; the shares sum to 1.
    pub variance_shares: Vec<VarianceShare>,
    /// Layers that the heat of the duty destroys; the years are those of what remains.
    pub lost_layers: Vec<String>,
    /// What the years rest on.
    pub basis: Basis,
    /// The least firm source among those that carry a tenth of the variance or more.
    pub weakest: Firmness,
}

impl Outlook {
    /// Probability of no failure within `years`.
    ///
    /// # Errors
    /// Years that are negative or not a number.
    pub fn survival(&self, years: f64) -> Result<f64> {
        within("years", years, 0.0, f64::INFINITY, "a", "Give a time of 0 or more.")?;
        let life = Lognormal { ln_median: self.median_years.ln(), log_sd: self.log_sd };
        Ok(life.probability_beyond(years))
    }
}

/// What an outlook rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Equal-dose transfer of salt-spray hours.
    EqualDose,
    /// Corrosion resistance class of stainless steel, plus the dose of its films.
    ResistanceClass,
}

/// One uncertain factor and its share of the variance of the outlook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct VarianceShare {
    /// The factor in words, as in `capacity of hard_wax`.
    pub factor: Cow<'static, str>,
    /// Its share, 0 to 1.
    pub share: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// Where its value comes from.
    pub source: Source,
}

/// What kind of uncertain factor it is; builds share those of the same kind and layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FactorKind {
    /// Loss of steel at the place.
    Air,
    /// Loss of steel in the cabinet.
    Cabinet,
    /// Cabinet hours of a layer.
    Capacity(Layer),
    /// Field life of a layer over what equal dose promises.
    FieldFactor(Layer),
    /// Years of a stainless grade.
    ClassMargin,
    /// Exponent of the growth of the loss at the place.
    Growth,
}

/// The layer that a factor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layer {
    /// A film, which the factor names.
    Film,
    /// The treatment of the build.
    Treatment,
    /// What is left without it.
    BareSteel,
}

/// An uncertain factor of the model.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Factor {
    pub(crate) kind: FactorKind,
    pub(crate) name: Cow<'static, str>,
    pub(crate) log_sd: f64,
    pub(crate) source: Source,
}

/// Terms of a life and the factors that they share.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Life {
    pub(crate) terms: Vec<Term>,
    pub(crate) factors: Vec<Factor>,
}

impl Life {
    pub(crate) fn factor(
        &mut self,
        kind: FactorKind,
        name: impl Into<Cow<'static, str>>,
        log_sd: f64,
        source: Source,
    ) -> usize {
        let name = name.into();
        self.factors.push(Factor { kind, name, log_sd, source });
        self.factors.len() - 1
    }
}

/// A life with what it rests on; the first factor is the rate of the atmosphere.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BuildLife<'a> {
    pub(crate) life: Life,
    pub(crate) basis: Basis,
    /// Growth after first rust, whose term comes last, where the failure asks for it.
    pub(crate) growth: Option<Growth>,
    lost: Vec<(&'a str, &'a Film)>,
}

/// Uncertain factors of most builds, or fewer.
const USUAL_FACTORS: usize = 8;

/// The terms of the life of a treatment and films on a base metal in an exposure.
pub(crate) fn build_life<'a>(
    exposure: &Exposure,
    part: &Part,
    build: &ResolvedBuild<'a>,
    catalog: &Catalog,
) -> Result<BuildLife<'a>> {
    let ResolvedBuild { metal, treatment, films } = build;
    let layers = layers_left(films, exposure.heat_continuous_c, exposure.heat_peak_c);
    let mut life = Life { terms: Vec::with_capacity(4), factors: Vec::with_capacity(USUAL_FACTORS) };
    let rate = life.factor(
        FactorKind::Air,
        ATMOSPHERE,
        exposure.atmosphere.log_sd,
        exposure.atmosphere.determination.source(),
    );
    dose::add_films(&mut life, rate, exposure, treatment, layers.left, catalog);
    let basis = match &metal.resistance_class {
        Some(class) if metal.family.is_stainless() => {
            resistance::add_margin(&mut life, exposure, class, treatment);
            Basis::ResistanceClass
        }
        _ => {
            dose::add_treatment(&mut life, rate, exposure, treatment, catalog);
            Basis::EqualDose
        }
    };
    let growth = failure::extend(&mut life, rate, exposure, part, metal, basis)?;
    Ok(BuildLife { life, basis, growth, lost: layers.lost.to_vec() })
}

/// The outlook of a treatment and films on a base metal in an exposure.
///
/// # Errors
/// A failure criterion that does not fit the part, as a loss of strength without a thread.
pub fn outlook(
    exposure: &Exposure,
    part: &Part,
    build: &ResolvedBuild,
    catalog: &Catalog,
) -> Result<Outlook> {
    Ok(outlook_of(build_life(exposure, part, build, catalog)?, exposure.required_years))
}

/// The outlook of a life.
pub(crate) fn outlook_of(life: BuildLife<'_>, required_years: f64) -> Outlook {
    let BuildLife { life, basis, lost, .. } = life;
    let spreads: Vec<f64> = life.factors.iter().map(|f| f.log_sd).collect();
    let (years, shares) = sum_of(&life.terms, &spreads);
    let mut variance_shares: Vec<VarianceShare> = life
        .factors
        .into_iter()
        .zip(shares)
        .filter(|(_, share)| *share > 0.0)
        .map(|(f, share)| VarianceShare { factor: f.name, share, log_sd: f.log_sd, source: f.source })
        .collect();
    variance_shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    let weakest = variance_shares
        .iter()
        .filter(|v| v.share >= 0.1)
        .map(|v| v.source.firmness)
        .max()
        .unwrap_or(Firmness::Assumption);
    Outlook {
        median_years: years.median(),
        p10_years: years.quantile_10(),
        p90_years: years.quantile_90(),
        log_sd: years.log_sd,
        probability_ok: years.probability_beyond(required_years),
        variance_shares,
        lost_layers: lost.iter().map(|(name, _)| (*name).to_owned()).collect(),
        basis,
        weakest,
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::brief::Brief;
    use crate::finish::Build;
    use crate::metal::BaseMetal;
    use crate::quantity::Value;

    fn asked(part: &str, duty: &str) -> (Brief, Exposure) {
        let part = if part.is_empty() { r#""form": "bracket""# } else { part };
        let brief = Brief::from_json(&format!(
            r#"{{"schema": "overcoat.brief.v1", "name": "x", "part": {{{part}}}, "duty": {{"required_years": 1, {duty}}}}}"#
        ))
        .unwrap();
        let exposure = Exposure::of(&brief, Catalog::built_in()).unwrap();
        (brief, exposure)
    }

    /// The life of a build, with its growth.
    pub(crate) fn life(part: &str, duty: &str, build: &str) -> (Life, Option<Growth>) {
        let (brief, exposure) = asked(part, duty);
        let build: Build = build.parse().unwrap();
        let catalog = Catalog::built_in();
        let found = build_life(&exposure, &brief.part, &catalog.resolve(&build).unwrap(), catalog).unwrap();
        (found.life, found.growth)
    }

    fn outlook_on(metal: &BaseMetal, duty: &str, build: &str) -> Outlook {
        let (brief, exposure) = asked("", duty);
        let (catalog, build) = (Catalog::built_in(), build.parse::<Build>().unwrap());
        let build = ResolvedBuild { metal, ..catalog.resolve(&build).unwrap() };
        outlook(&exposure, &brief.part, &build, catalog).unwrap()
    }

    /// A class says something of stainless grades; on another metal, as a catalog of one's own may have it, dose counts.
    #[test]
    fn a_class_counts_for_stainless_steel_alone() {
        let steel = Catalog::built_in().base_metal("steel_4_6").unwrap();
        let classed = BaseMetal {
            resistance_class: Some(Value { value: 5.0, source: "darkness".into() }),
            ..steel.clone()
        };
        let duty = r#""first_year_steel_loss_um": 30"#;
        let build = "steel_4_6 / hot_alkaline / hard_wax";
        assert_eq!(outlook_on(&classed, duty, build), outlook_on(steel, duty, build));
        assert_eq!(outlook_on(steel, duty, build).basis, Basis::EqualDose);
    }

    /// The loss of the first year is reached in a year whatever the exponent (1^b = 1), so that nothing hangs on it and
    /// it is not listed; twice that loss does.
    #[test]
    fn what_carries_nothing_is_not_listed() {
        let steel = Catalog::built_in().base_metal("steel_4_6").unwrap();
        let listed = |loss_um: u32| {
            let duty = format!(r#""first_year_steel_loss_um": 30, "failure": {{"loss_um": {loss_um}}}"#);
            let outlook = outlook_on(steel, &duty, "steel_4_6 / hot_alkaline / no film");
            outlook.variance_shares.iter().any(|share| share.factor == "growth exponent")
        };
        assert!(!listed(30) && listed(60));
    }

    #[test]
    fn the_weakest_source_is_one_that_carries_a_tenth() {
        let life = |capacity_log_sd: f64| {
            let factors =
                [("firm", 1.0, Firmness::Standard), ("weak", capacity_log_sd, Firmness::Assumption)];
            let mut life = Life::default();
            for (name, log_sd, firmness) in factors {
                let source = Source { firmness, ..CABINET_RATE };
                life.factor(FactorKind::Cabinet, name, log_sd, source);
            }
            life.terms.push(Term { ln_median: 0.0, exponents: vec![(0, 1.0), (1, 1.0)] });
            outlook_of(BuildLife { life, basis: Basis::EqualDose, growth: None, lost: Vec::new() }, 1.0)
        };
        // 0.3² of 1.09 are 8 %, 0.35² of 1.1225 are 11 %
        assert_eq!(life(0.3).weakest, Firmness::Standard);
        assert_eq!(life(0.35).weakest, Firmness::Assumption);
    }
}
