//! Numbers of the catalog computed from the observations: hours, field factors, aging lives and holds.
//!
//! Every such number is a [`Parameter`] with a prior, wide and an assumption, and says which entries of the catalog it
//! sets. Every observation that is marked as fitted has a likelihood: its logarithm is normal about what the model says
//! of its build, test and duty, or lies beyond a bound (censored). The top of likelihood times prior is climbed over all
//! parameters at once, by the derivatives of [`Row::likelihood`]; the curvature there gives the spread of each.
//!
//! A range is taken as the 10 and 90% points of products of the kind, a bound as one of its middle with an ln SD of 0.5
//! unless the observation gives another.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::sample::Row;
use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::evidence::Source;
use crate::evidence::Value;
use crate::evidence::{Observation, Preparation, Test, observations};
use crate::finish::{Build, Film, Treatment};
use crate::life::{Curves, Lives, Site, THICKNESS_EXPONENT, dose_um_per_hour, site_of};
use crate::math::cubic::{LogCubic, WEIGHTS};
use crate::math::{Z90, linear, normal_cdf_of};

/// How observations become numbers of the catalog.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const DERIVATION: Source = Source::derived(
    "top of a likelihood of censored observations times wide lognormal priors, over all numbers at once; spreads by the \
     curvature at the top",
);

/// What a bound is worth where its observation does not say: ln SD of the middle of the kind about it.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const BOUND_SPREAD: Source =
    Source::assumption("a bound without its own spread gives the middle of its kind with an ln SD of 0.5");
const BOUND_LOG_SD: f64 = 0.5;
/// The same of a single value.
const VALUE_LOG_SD: f64 = 0.3;
/// Thickness at which the numbers of the paint family are stated, µm.
const FAMILY_UM: f64 = 100.0;
/// Step of a logarithm by which the model is differentiated.
const STEP: f64 = 0.05;
/// A number counts as observed where its observations leave at most this share of the spread of its prior.
pub const INFORMED: f64 = 0.7;

/// A number that observations may move.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Parameter {
    key: String,
    what: String,
    prior_median: f64,
    prior_log_sd: f64,
    /// Why the prior is what it is.
    why: String,
    #[serde(default)]
    sets: Vec<Setting>,
}

/// One number of the catalog that a parameter sets.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Setting {
    /// Film or treatment.
    entry: String,
    field: Target,
    #[serde(default = "one")]
    times: f64,
    /// Whether it follows from the number by a separate assumption, such as that alkyd lasts half as long as acrylic.
    #[serde(default)]
    assumed: bool,
}

fn one() -> f64 {
    1.0
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Target {
    CapacityH,
    FieldFactor,
    IndoorYears,
    RainYears,
    SunYears,
    FilmHold,
    PaintHold,
    /// Years in the weather at [`FAMILY_UM`].
    FamilyWeather,
    /// Loss of thickness in full sun, µm/a.
    Erosion,
    /// Dose at [`FAMILY_UM`], µm; last, since hours and factor share it.
    FamilyDose,
}

impl Target {
    const fn path(self) -> &'static str {
        match self {
            Self::CapacityH => "capacity_h.median",
            Self::FieldFactor | Self::FamilyDose => "field_factor.median",
            Self::IndoorYears => "ageing.indoor_years.value",
            Self::RainYears => "ageing.rain_years.value",
            Self::SunYears | Self::Erosion => "ageing.sun_years.value",
            Self::FamilyWeather => "ageing.weather_years.value",
            Self::FilmHold => "film_hold_factor.value",
            Self::PaintHold => "paint_hold_factor.value",
        }
    }
}

static PARAMETERS: LazyLock<Vec<Parameter>> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "our own data, checked by a test; no user input reaches this")]
    serde_json::from_str(include_str!("../evidence/data/parameters.json")).expect("the parameters are sound")
});

/// A number of the model as observations leave it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DerivedNumber {
    /// Its name.
    pub key: &'static str,
    /// What it is.
    pub what: &'static str,
    /// Its median, and how well that is known: standard deviation of its logarithm.
    pub median: f64,
    /// See [`median`](Self::median).
    pub log_sd: f64,
    /// The same before any observation.
    pub prior_median: f64,
    /// See [`prior_median`](Self::prior_median).
    pub prior_log_sd: f64,
    /// Why the prior is what it is.
    pub why: &'static str,
    /// Keys of the observations that move it.
    pub observations: Vec<&'static str>,
    /// Numbers of the catalog that it sets.
    pub sets: Vec<DerivedValue>,
}

/// A number of the catalog as observations leave it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DerivedValue {
    /// Its path, for example `films.hard_wax.capacity_h.median`.
    pub path: String,
    /// What the observations make of it.
    pub value: f64,
    /// Whether it follows from what was observed by a separate assumption.
    pub assumed: bool,
}

impl DerivedNumber {
    /// Whether the number is based on observations rather than on its prior.
    pub fn is_informed(&self) -> bool {
        self.log_sd <= INFORMED * self.prior_log_sd
    }
}

/// An observation predicted from all others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// The observation.
    pub observation: &'static Observation,
    /// Middle of the prediction, in the unit of the observation.
    pub predicted: f64,
    /// ln SD of the prediction, that of the observation within its kind included.
    pub log_sd: f64,
    /// Where the observation, or its bound, is in the prediction: 0 to 1.
    pub place: f64,
}

impl LeftOut {
    /// Whether it is a bound.
    pub fn is_bound(&self) -> bool {
        self.observation.low.is_none() || self.observation.high.is_none()
    }

    /// Whether the observation agrees with the 80% interval of the prediction; a bound where the interval reaches
    /// beyond it.
    pub fn is_within_80(&self) -> bool {
        match (self.observation.low, self.observation.high) {
            (None, _) => self.place >= 0.1,
            (_, None) => self.place <= 0.9,
            _ => (0.1..=0.9).contains(&self.place),
        }
    }
}

/// What the observations make of the catalog.
#[derive(Debug, Clone, PartialEq)]
pub struct Derivation {
    /// The numbers.
    pub numbers: Vec<DerivedNumber>,
    /// Each fitted observation predicted from the others, by one Newton step from the fit of all.
    pub left_out: Vec<LeftOut>,
}

/// An observation ready to be predicted.
struct Subject<'a> {
    observation: &'static Observation,
    build: Build,
    place: Option<(Brief, Exposure)>,
    catalog: &'a Catalog,
    row: Row,
    log_sd: f64,
}

/// A prediction, its derivatives and the derivatives of the likelihood there.
struct Linear {
    value: f64,
    by_parameter: Vec<f64>,
    slope: f64,
    bend: f64,
}

impl<'a> Subject<'a> {
    fn of(observation: &'static Observation, catalog: &'a Catalog) -> Result<Self> {
        let build: Build = observation.build.parse()?;
        let scale = match observation.unit.as_str() {
            "months" => 1.0 / 12.0,
            _ => 1.0,
        };
        let ln = |figure: Option<f64>, none: f64| figure.map_or(none, |figure| (figure * scale).ln());
        let (low, high) = (ln(observation.low, f64::NEG_INFINITY), ln(observation.high, f64::INFINITY));
        let (row, log_sd) = if low.is_finite() && high.is_finite() {
            let middle = f64::midpoint(low, high);
            let of_range = if high > low { (high - low) / (2.0 * Z90) } else { VALUE_LOG_SD };
            (Row { low: middle, high: middle, weight: 1.0 }, of_range)
        } else {
            (Row { low, high, weight: 1.0 }, BOUND_LOG_SD)
        };
        let place = match &observation.duty {
            Some(duty) => {
                let mut duty = duty.clone();
                duty.insert("required_years".into(), 1.0.into());
                if let Some(share) = observation.rusted_area_pct {
                    duty.insert("failure".into(), serde_json::json!({ "rusted_area_pct": share }));
                }
                let brief = serde_json::json!({
                    "schema": crate::brief::BRIEF_SCHEMA, "name": observation.key,
                    "part": {"form": "bracket"}, "duty": duty,
                });
                let brief = Brief::from_json(&brief.to_string())?;
                let exposure = Exposure::of(&brief, catalog)?;
                Some((brief, exposure))
            }
            None => None,
        };
        Ok(Self { observation, build, place, catalog, row, log_sd: observation.log_sd.unwrap_or(log_sd) })
    }

    /// Whether a parameter can move it.
    fn depends_on(&self, parameter: &Parameter) -> bool {
        let named = |setting: &Setting| {
            setting.entry == self.build.treatment || self.build.films.contains(&setting.entry)
        };
        self.preparation() == Some(parameter.key.as_str()) || parameter.sets.iter().any(named)
    }

    /// The parameter of its preparation, none for small parts finished in a shop.
    fn preparation(&self) -> Option<&'static str> {
        match self.observation.preparation? {
            Preparation::Hand => Some("preparation_hand"),
            Preparation::Blasted => Some("preparation_blasted"),
            Preparation::Shop => None,
        }
    }

    /// Logarithm of what the model says of it where the logarithms of the parameters are these.
    fn predicted(&self, values: &[f64]) -> Result<f64> {
        let Self { observation, build, catalog, .. } = self;
        let mut treatment = catalog.treatment(&build.treatment)?.clone();
        let mut films = Vec::with_capacity(build.films.len());
        for name in &build.films {
            films.push((name.as_str(), catalog.film(name)?.clone()));
        }
        for (parameter, value) in PARAMETERS.iter().zip(values) {
            for setting in &parameter.sets {
                if setting.entry == build.treatment {
                    set_treatment(&mut treatment, setting, value.exp());
                }
                for (_, film) in films.iter_mut().filter(|(name, _)| *name == setting.entry) {
                    set_film(film, setting, value.exp());
                }
            }
            if self.preparation() == Some(parameter.key.as_str()) {
                treatment.paint_hold_factor.value *= value.exp();
            }
        }
        let rate_of_erosion = films.last().and_then(|(_, film)| {
            Some(film.reference_thickness_um.value / film.ageing.sun_years.as_ref()?.value)
        });
        if let (Some(thickness), Some((_, film))) = (observation.thickness_um, films.last_mut()) {
            (film.thickness_um.low, film.thickness_um.high) = (thickness, thickness);
        }
        if observation.film_alone {
            treatment.capacity_h.median = 1e-6;
            treatment.ageing.indoor_years.value = 1e-6;
        }
        let films: Vec<(&str, &Film)> = films.iter().map(|(name, film)| (*name, film)).collect();
        match (observation.test, &self.place) {
            (Test::Erosion, _) => Ok(rate_of_erosion.unwrap_or(1.0).ln()),
            (_, None) => Ok(cabinet_hours(&treatment, &films).ln()),
            (_, Some((brief, exposure))) => {
                let metal = catalog.base_metal(&build.base_metal)?;
                let resolved = ResolvedBuild { metal, treatment: &treatment, films };
                let life = Lives::new(exposure, &brief.part, catalog).of(&resolved)?;
                let site = Site::of(&site_of(exposure));
                let curve = Curves::new(&life, WEIGHTS).at_one(&life, &site).curve;
                Ok(curve.quantile(observation.quantile.unwrap_or(0.5)).ln())
            }
        }
    }

    /// Slope and bend of the logarithm of the likelihood by the logarithm of the prediction, and its value.
    fn likelihood(&self, predicted: f64) -> (f64, f64, f64) {
        let alpha = self.log_sd.recip();
        let found = self.row.likelihood(Distribution::Lognormal, alpha, alpha * predicted);
        let [_, by_location] = found.gradient;
        let [_, _, bend] = found.hessian;
        (alpha * by_location, alpha * alpha * bend, found.value)
    }

    fn linear(&self, values: &[f64]) -> Result<Linear> {
        let value = self.predicted(values)?;
        let mut by_parameter = vec![0.0; values.len()];
        for (place, parameter) in PARAMETERS.iter().enumerate() {
            if !self.depends_on(parameter) {
                continue;
            }
            let at = |step: f64| {
                let mut moved = values.to_vec();
                moved.iter_mut().skip(place).take(1).for_each(|value| *value += step);
                self.predicted(&moved)
            };
            let slope = (at(STEP)? - at(-STEP)?) / (2.0 * STEP);
            by_parameter.iter_mut().skip(place).take(1).for_each(|found| *found = slope);
        }
        let (slope, bend, _) = self.likelihood(value);
        Ok(Linear { value, by_parameter, slope, bend })
    }
}

/// Hours in the cabinet to first red rust: those of the layers one after the other.
fn cabinet_hours(treatment: &Treatment, films: &[(&str, &Film)]) -> f64 {
    let mut hours = vec![(treatment.capacity_h.median, treatment.capacity_h.log_sd)];
    for (place, (_, film)) in films.iter().enumerate() {
        let thick = film.usual_thickness_um() / film.reference_thickness_um.value;
        let held = film.capacity_h.median * treatment.hold_on(place, film) * thick.powf(THICKNESS_EXPONENT);
        hours.push((held, film.capacity_h.log_sd));
    }
    LogCubic::of_sum(&hours).quantile(0.5)
}

fn set_treatment(treatment: &mut Treatment, setting: &Setting, value: f64) {
    let value = value * setting.times;
    match setting.field {
        Target::CapacityH => treatment.capacity_h.median = value,
        Target::FieldFactor => treatment.field_factor.median = value,
        Target::IndoorYears => treatment.ageing.indoor_years.value = value,
        Target::FilmHold => treatment.film_hold_factor.value = value,
        Target::PaintHold => treatment.paint_hold_factor.value = value,
        _ => {}
    }
}

fn set_film(film: &mut Film, setting: &Setting, value: f64) {
    let value = value * setting.times;
    let thickness = film.reference_thickness_um.value;
    let of_family = value * (thickness / FAMILY_UM).powf(THICKNESS_EXPONENT);
    let set = |life: &mut Option<Value>, years: f64| {
        if let Some(life) = life {
            life.value = years;
        }
    };
    match setting.field {
        Target::CapacityH => film.capacity_h.median = value,
        Target::FieldFactor => film.field_factor.median = value,
        Target::IndoorYears => film.ageing.indoor_years.value = value,
        Target::RainYears => set(&mut film.ageing.rain_years, value),
        Target::SunYears => set(&mut film.ageing.sun_years, value),
        Target::Erosion => set(&mut film.ageing.sun_years, thickness / value),
        Target::FamilyWeather => set(&mut film.ageing.weather_years, of_family),
        Target::FamilyDose => {
            film.field_factor.median = of_family / (film.capacity_h.median * dose_um_per_hour());
        }
        Target::FilmHold | Target::PaintHold => {}
    }
}

/// The number of the catalog that a setting names, where it is `value` times what the setting says.
fn setting_value(catalog: &Catalog, values: &[f64], setting: &Setting) -> Result<f64> {
    let all = || PARAMETERS.iter().zip(values).flat_map(|(p, v)| p.sets.iter().map(move |s| (s, v.exp())));
    let of_entry = |s: &&(&Setting, f64)| s.0.entry == setting.entry;
    if let Ok(film) = catalog.film(&setting.entry) {
        let mut film = film.clone();
        let sets: Vec<(&Setting, f64)> = all().collect();
        sets.iter().filter(of_entry).for_each(|(s, v)| set_film(&mut film, s, *v));
        let years = |life: &Option<Value>| life.as_ref().map_or(f64::NAN, |life| life.value);
        return Ok(match setting.field {
            Target::CapacityH => film.capacity_h.median,
            Target::FieldFactor | Target::FamilyDose => film.field_factor.median,
            Target::IndoorYears => film.ageing.indoor_years.value,
            Target::RainYears => years(&film.ageing.rain_years),
            Target::SunYears | Target::Erosion => years(&film.ageing.sun_years),
            Target::FamilyWeather => years(&film.ageing.weather_years),
            Target::FilmHold | Target::PaintHold => f64::NAN,
        });
    }
    let mut treatment = catalog.treatment(&setting.entry)?.clone();
    let sets: Vec<(&Setting, f64)> = all().collect();
    sets.iter().filter(of_entry).for_each(|(s, v)| set_treatment(&mut treatment, s, *v));
    Ok(match setting.field {
        Target::CapacityH => treatment.capacity_h.median,
        Target::FieldFactor => treatment.field_factor.median,
        Target::IndoorYears => treatment.ageing.indoor_years.value,
        Target::FilmHold => treatment.film_hold_factor.value,
        Target::PaintHold => treatment.paint_hold_factor.value,
        _ => f64::NAN,
    })
}

/// Likelihood times prior at some values, its logarithm.
fn objective(subjects: &[Subject<'_>], values: &[f64]) -> Result<f64> {
    let mut sum = 0.0;
    for subject in subjects {
        sum += subject.likelihood(subject.predicted(values)?).2;
    }
    for (parameter, value) in PARAMETERS.iter().zip(values) {
        let away = (value - parameter.prior_median.ln()) / parameter.prior_log_sd;
        sum -= 0.5 * away * away;
    }
    Ok(sum)
}

/// Minus the second derivatives of likelihood times prior, and its gradient.
fn curvature(linear: &[Linear], values: &[f64]) -> (Vec<Vec<f64>>, Vec<f64>) {
    let count = values.len();
    let (mut bends, mut slopes) = (vec![vec![0.0; count]; count], vec![0.0; count]);
    for (place, (parameter, value)) in PARAMETERS.iter().zip(values).enumerate() {
        let precision = parameter.prior_log_sd.powi(-2);
        if let (Some(row), Some(slope)) = (bends.get_mut(place), slopes.get_mut(place)) {
            row.iter_mut().skip(place).take(1).for_each(|bend| *bend += precision);
            *slope -= precision * (value - parameter.prior_median.ln());
        }
    }
    for of in linear {
        for (row, (slope, a)) in bends.iter_mut().zip(slopes.iter_mut().zip(&of.by_parameter)) {
            *slope += a * of.slope;
            for (bend, b) in row.iter_mut().zip(&of.by_parameter) {
                *bend -= a * b * of.bend;
            }
        }
    }
    (bends, slopes)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Computes what the observations make of the numbers of a catalog.
///
/// # Errors
/// An observation of a build or a duty that the catalog does not know.
pub fn derive(catalog: &Catalog) -> Result<Derivation> {
    let fitted = observations().iter().filter(|observation| observation.fitted);
    let subjects: Vec<Subject<'_>> =
        fitted.map(|observation| Subject::of(observation, catalog)).collect::<Result<_>>()?;
    let mut values: Vec<f64> = PARAMETERS.iter().map(|parameter| parameter.prior_median.ln()).collect();
    let mut best = objective(&subjects, &values)?;
    for _ in 0..40 {
        let linear: Vec<Linear> = subjects.iter().map(|s| s.linear(&values)).collect::<Result<_>>()?;
        let (bends, slopes) = curvature(&linear, &values);
        let step = linear::solve(&bends, &slopes);
        let largest = step.iter().fold(0.0_f64, |most, s| most.max(s.abs()));
        let mut share = (1.0 / largest).min(1.0);
        let tried = loop {
            let moved: Vec<f64> = values.iter().zip(&step).map(|(value, s)| value + share * s).collect();
            let reached = objective(&subjects, &moved)?;
            if reached >= best || share < 1e-3 {
                break (moved, reached);
            }
            share *= 0.5;
        };
        (values, best) = tried;
        if largest < 1e-5 {
            break;
        }
    }
    let linear: Vec<Linear> = subjects.iter().map(|s| s.linear(&values)).collect::<Result<_>>()?;
    let (bends, slopes) = curvature(&linear, &values);
    let mut numbers = Vec::with_capacity(values.len());
    for (place, (parameter, value)) in PARAMETERS.iter().zip(&values).enumerate() {
        let unit: Vec<f64> = (0..values.len()).map(|i| if i == place { 1.0 } else { 0.0 }).collect();
        let variance = dot(&linear::solve(&bends, &unit), &unit);
        let moves = |of: &&(&Subject<'_>, &Linear)| dot(&of.1.by_parameter, &unit).abs() > 0.05;
        let pairs: Vec<(&Subject<'_>, &Linear)> = subjects.iter().zip(&linear).collect();
        let sets = parameter.sets.iter().map(|setting| {
            let section = if catalog.film(&setting.entry).is_ok() { "films" } else { "treatments" };
            let path = format!("{section}.{}.{}", setting.entry, setting.field.path());
            Ok(DerivedValue {
                path,
                value: setting_value(catalog, &values, setting)?,
                assumed: setting.assumed,
            })
        });
        numbers.push(DerivedNumber {
            key: &parameter.key,
            what: &parameter.what,
            median: value.exp(),
            log_sd: variance.sqrt(),
            prior_median: parameter.prior_median,
            prior_log_sd: parameter.prior_log_sd,
            why: &parameter.why,
            observations: pairs.iter().filter(moves).map(|(s, _)| s.observation.key.as_str()).collect(),
            sets: sets.collect::<Result<_>>()?,
        });
    }
    let left_out = subjects.iter().zip(&linear).map(|(subject, of)| {
        // the fit without it, by one Newton step: its own share taken out of curvature and gradient
        let mut without = bends.clone();
        for (row, a) in without.iter_mut().zip(&of.by_parameter) {
            for (bend, b) in row.iter_mut().zip(&of.by_parameter) {
                *bend += a * b * of.bend;
            }
        }
        let rest: Vec<f64> = slopes.iter().zip(&of.by_parameter).map(|(s, a)| s - a * of.slope).collect();
        let moved = dot(&linear::solve(&without, &rest), &of.by_parameter);
        let knowledge = dot(&linear::solve(&without, &of.by_parameter), &of.by_parameter);
        let log_sd = knowledge.sqrt().hypot(subject.log_sd);
        let middle = of.value + moved;
        let seen = if subject.row.low.is_finite() { subject.row.low } else { subject.row.high };
        let scale = if subject.observation.unit == "months" { 12.0 } else { 1.0 };
        LeftOut {
            observation: subject.observation,
            predicted: middle.exp() * scale,
            log_sd,
            place: normal_cdf_of((seen - middle) / log_sd),
        }
    });
    Ok(Derivation { numbers, left_out: left_out.collect() })
}
