//! What the life of a build in an exposure is made of: its layers, what is uncertain about them, what ends it.

use std::borrow::Cow;
use std::ops::{Deref, Range};
use std::sync::{Arc, Mutex, PoisonError};

use super::growth::{GROWTH_HORIZON, GROWTH_HORIZON_YEARS, Growth, Later, growth_exponents, later};
use super::heat::hot_ageing;
use super::layers::{layers_left, treatment_is_lost};
use super::stain::{self, Stain};
use super::{
    ATMOSPHERE, BARE_STEEL, Basis, CABINET_LOG_SD, CABINET_RATE, THICKNESS_EXPONENT, UncertainFactor,
    dose_um_per_hour, field_factor_under,
};
use crate::Result;
use crate::atmosphere::Shelter;
use crate::atmosphere::growth::{GROWTH_EXPONENT_LOG_SD, GROWTH_SPREAD_SOURCE};
use crate::atmosphere::{
    salt_character, sheltered_growth_exponent, weather_share, weathering_growth_exponent,
};
use crate::brief::{Exposure, Part};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::evidence::{Source, Spread, Value};
use crate::finish::{Ageing, Film, Treatment};
use crate::math::sum::RateTerm;

/// What kind of uncertain factor it is; builds share those of the same kind and layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FactorKind {
    /// Loss of steel at the place.
    Air,
    /// Loss of steel in the cabinet.
    Cabinet,
    /// Cabinet hours of a layer.
    Capacity(Layer),
    /// Life of a layer against attack over what equal dose promises.
    FieldFactor(Layer),
    /// Life of a layer by age alone.
    Ageing(Layer),
    /// Exponent of the growth of the loss at the place.
    Growth,
    /// Salt that a stainless grade withstands, against the salt on its surface.
    Salt,
    /// Years to the stain of a stainless surface that stains.
    StainYears,
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

/// An uncertain factor of the model, which the lives of many builds share.
#[derive(Debug, Clone)]
pub(crate) struct Factor {
    pub(crate) kind: FactorKind,
    pub(crate) of: Arc<UncertainFactor>,
}

impl PartialEq for Factor {
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind && (Arc::ptr_eq(&self.of, &other.of) || self.of == other.of)
    }
}

impl Deref for Factor {
    type Target = UncertainFactor;

    fn deref(&self) -> &UncertainFactor {
        &self.of
    }
}

impl Factor {
    /// With another spread, in this life alone.
    pub(crate) fn set_log_sd(&mut self, log_sd: f64) {
        if self.log_sd != log_sd {
            Arc::make_mut(&mut self.of).log_sd = log_sd;
        }
    }
}

/// Places of the two factors of every life among its factors.
pub(crate) const AIR: usize = 0;
pub(crate) const CABINET: usize = 1;

/// One layer: a dose that it withstands, µm of loss of bare steel, and an age.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LifeLayer {
    /// One over the dose, 1/µm; 0 where nothing uses it up.
    pub(crate) per_um: f64,
    /// Rate of aging, 1/a: of itself, and by weather where it has all of it.
    fixed_age: f64,
    weather_age: f64,
    heat_continuous_c: f64,
    limit_c: Option<f64>,
    /// Factors of the dose, and of the age.
    pub(crate) dose_factors: Range<usize>,
    pub(crate) age_factor: usize,
}

impl LifeLayer {
    /// Rate of aging, 1/a, where so much of the weather reaches it.
    pub(crate) fn age(&self, weather: f64) -> f64 {
        hot_ageing(self.fixed_age + weather * self.weather_age, self.heat_continuous_c, self.limit_c)
    }
}

/// The life of a build in an exposure.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Life {
    pub(crate) factors: Vec<Factor>,
    /// Films that are left, innermost first, then what is beneath them.
    pub(crate) layers: Vec<LifeLayer>,
    /// Loss that counts as failure, and exponents of growth away from salt in the open: of the metal, of plain steel.
    growth: Option<(f64, [f64; 2])>,
    growth_factor: usize,
    /// Natural logarithm of what the failure adds to first rust.
    pub(crate) ln_later: f64,
    pub(crate) shelter: Shelter,
    pub(crate) stain: Option<Stain>,
    pub(crate) basis: Basis,
    /// Longest life that anyone has observed; of a stainless grade away from salt, and how much less in salt.
    pub(crate) horizon_years: f64,
    pub(crate) horizon_lost_to_salt: f64,
    pub(crate) horizon_source: Source,
    pub(crate) lost: Vec<String>,
}

/// Uncertain factors of most builds, or fewer.
const USUAL_FACTORS: usize = 12;

/// The lives of builds in one exposure, whose layers and factors are made once for all of them.
#[derive(Debug)]
pub(crate) struct Lives<'a> {
    exposure: &'a Exposure,
    part: &'a Part,
    catalog: &'a Catalog,
    made: Mutex<Made>,
}

/// What lives share.
#[derive(Debug, Default)]
pub(super) struct Made {
    factors: Vec<Factor>,
    /// By the place of film or treatment in the catalog, and the hold on what is beneath.
    layers: Vec<((usize, u64), MadeLayer)>,
}

/// A layer with its factors, among which its own count from 0, and the longest observed life.
#[derive(Debug, Clone)]
struct MadeLayer {
    layer: LifeLayer,
    factors: [Factor; 3],
    horizon_years: f64,
    horizon_source: Source,
}

impl Made {
    /// A factor, the same in memory for all lives that have it.
    pub(super) fn factor(
        &mut self,
        kind: FactorKind,
        factor: impl Into<Cow<'static, str>>,
        log_sd: f64,
        source: Source,
    ) -> Factor {
        let factor = UncertainFactor { factor: factor.into(), log_sd, source };
        if let Some(known) = self.factors.iter().find(|known| known.kind == kind && *known.of == factor) {
            return known.clone();
        }
        let factor = Factor { kind, of: Arc::new(factor) };
        self.factors.push(factor.clone());
        factor
    }
}

impl<'a> Lives<'a> {
    pub(crate) fn new(exposure: &'a Exposure, part: &'a Part, catalog: &'a Catalog) -> Self {
        Self { exposure, part, catalog, made: Mutex::default() }
    }

    /// The life of a build.
    ///
    /// # Errors
    /// A failure criterion that does not fit the part, as a loss of strength without a thread.
    pub(crate) fn of(&self, build: &ResolvedBuild) -> Result<Life> {
        let Self { exposure, part, .. } = *self;
        let made = &mut *self.made.lock().unwrap_or_else(PoisonError::into_inner);
        let ResolvedBuild { metal, treatment, films } = build;
        let layers = layers_left(films, exposure.heat_continuous_c, exposure.heat_peak_c);
        let mut life = Life {
            factors: Vec::with_capacity(USUAL_FACTORS),
            layers: Vec::with_capacity(layers.left.len() + 1),
            growth: None,
            growth_factor: 0,
            ln_later: 0.0,
            shelter: exposure.shelter,
            stain: None,
            basis: Basis::DoseAndAge,
            horizon_years: 0.0,
            horizon_lost_to_salt: 0.0,
            horizon_source: BARE_STEEL,
            lost: layers.lost.iter().map(|(name, _)| (*name).to_owned()).collect(),
        };
        let air = &exposure.atmosphere;
        life.factor(made.factor(FactorKind::Air, ATMOSPHERE, air.log_sd, air.determination.source()));
        life.factor(made.factor(
            FactorKind::Cabinet,
            "loss rate in the cabinet",
            CABINET_LOG_SD,
            CABINET_RATE,
        ));
        let lost = treatment_is_lost(treatment, exposure.heat_peak_c);
        for (place, (name, film)) in layers.left.iter().enumerate() {
            // what is beneath the innermost film is the treatment, where it is left
            let hold = if lost { 1.0 } else { treatment.hold_on(place, film) };
            life.add_layer(made, *film, hold, |made| self.film(made, name, film, hold));
        }
        if metal.family.is_stainless() {
            stain::add(&mut life, made, exposure, metal, treatment);
            return Ok(life);
        }
        if lost {
            life.add_bare_steel(made, exposure);
        } else {
            life.add_layer(made, *treatment, 1.0, |made| self.treatment(made, treatment));
        }
        match later(exposure.failure, part)? {
            Later::Factor(factor) => life.ln_later = factor.ln(),
            Later::Loss(loss_um) => {
                life.growth = Some((loss_um, growth_exponents(metal)));
                life.reach(GROWTH_HORIZON_YEARS, &GROWTH_HORIZON);
                life.growth_factor = life.factor(made.factor(
                    FactorKind::Growth,
                    "growth exponent",
                    GROWTH_EXPONENT_LOG_SD,
                    GROWTH_SPREAD_SOURCE,
                ));
            }
        }
        Ok(life)
    }

    fn film(&self, made: &mut Made, name: &str, film: &Film, hold: f64) -> MadeLayer {
        let Self { exposure, catalog, .. } = self;
        let field = field_factor_under(film, exposure.shelter);
        let thickness = film.usual_thickness_um() / film.reference_thickness_um.value;
        let thicker = thickness.powf(THICKNESS_EXPONENT);
        let weather_hold = if film.kind.is_paint() { hold } else { 1.0 };
        let age = AgeRates::of(&film.ageing, exposure, thicker * weather_hold, thickness);
        let factors =
            self.factors(made, Layer::Film, name, (&film.capacity_h, field), (&film.ageing, age.fastest));
        MadeLayer {
            layer: LifeLayer {
                per_um: 1.0 / (film.capacity_h.median * field.median * dose_um_per_hour() * thicker * hold),
                fixed_age: age.fixed,
                weather_age: age.weather,
                heat_continuous_c: exposure.heat_continuous_c,
                limit_c: Some(film.continuous_limit_c.value),
                dose_factors: 0..2,
                age_factor: 2,
            },
            factors,
            horizon_years: film.horizon_years.value,
            horizon_source: catalog.source(&film.horizon_years.source),
        }
    }

    fn treatment(&self, made: &mut Made, treatment: &Treatment) -> MadeLayer {
        let Self { exposure, catalog, .. } = self;
        let (hours, field) = (&treatment.capacity_h, &treatment.field_factor);
        let age = AgeRates::of(&treatment.ageing, exposure, 1.0, 1.0);
        let ageing = (&treatment.ageing, age.fastest);
        MadeLayer {
            layer: LifeLayer {
                per_um: 1.0 / (hours.median * field.median * dose_um_per_hour()),
                fixed_age: age.fixed,
                weather_age: age.weather,
                heat_continuous_c: exposure.heat_continuous_c,
                limit_c: treatment.heat_limit_c.as_ref().map(|limit| limit.value),
                dose_factors: 0..2,
                age_factor: 2,
            },
            factors: self.factors(made, Layer::Treatment, "the treatment", (hours, field), ageing),
            horizon_years: treatment.horizon_years.value,
            horizon_source: catalog.source(&treatment.horizon_years.source),
        }
    }

    /// The factors of a layer: its hours, its field factor, its age.
    fn factors(
        &self,
        made: &mut Made,
        layer: Layer,
        name: &str,
        (hours, field): (&Spread, &Spread),
        (ageing, fastest): (&Ageing, &Value),
    ) -> [Factor; 3] {
        [
            (FactorKind::Capacity(layer), "capacity of ", hours.log_sd, &hours.source),
            (FactorKind::FieldFactor(layer), "field factor of ", field.log_sd, &field.source),
            (FactorKind::Ageing(layer), "aging of ", ageing.log_sd.value, &fastest.source),
        ]
        .map(|(kind, of, log_sd, source)| {
            made.factor(kind, [of, name].concat(), log_sd, self.catalog.source(source))
        })
    }
}

impl Life {
    /// Adds the layer of an entry of the catalog, made where it was not yet.
    fn add_layer<T>(
        &mut self,
        made: &mut Made,
        entry: &T,
        hold: f64,
        layer: impl FnOnce(&mut Made) -> MadeLayer,
    ) {
        let key = (std::ptr::from_ref(entry).addr(), hold.to_bits());
        if !made.layers.iter().any(|(known, _)| *known == key) {
            let layer = layer(made);
            made.layers.push((key, layer));
        }
        let Some((_, known)) = made.layers.iter().find(|(known, _)| *known == key) else { return };
        let first = self.factors.len();
        self.factors.extend_from_slice(&known.factors);
        let LifeLayer { dose_factors, age_factor, .. } = &known.layer;
        self.layers.push(LifeLayer {
            dose_factors: first + dose_factors.start..first + dose_factors.end,
            age_factor: first + age_factor,
            ..known.layer.clone()
        });
        self.reach(known.horizon_years, &known.horizon_source);
    }

    /// Adds a factor, and gives its place.
    pub(super) fn factor(&mut self, factor: Factor) -> usize {
        self.factors.push(factor);
        self.factors.len() - 1
    }

    /// The same number for equal lives, and mostly another for others.
    pub(crate) fn digest(&self) -> u64 {
        let of_stain = self.stain.map_or(0.0, |stain| stain.ln_threshold);
        let of_layers =
            self.layers.iter().flat_map(|layer| [layer.per_um, layer.fixed_age, layer.weather_age]);
        of_layers.fold(of_stain.to_bits(), |digest, number| digest.rotate_left(7) ^ number.to_bits())
    }

    /// The same in the atmosphere of another exposure, where nothing else differs.
    pub(crate) fn move_to(&mut self, exposure: &Exposure) {
        let air = &exposure.atmosphere;
        if let Some(factor) = self.factors.get_mut(AIR) {
            let own = Arc::make_mut(&mut factor.of);
            (own.log_sd, own.source) = (air.log_sd, air.determination.source());
        }
        if let Some(stain) = &mut self.stain {
            stain.salt_log_sd = exposure.chloride_log_sd;
            if let Some(factor) = self.factors.get_mut(stain.factor) {
                factor.set_log_sd(stain::spread_with_salt(exposure.chloride_log_sd));
            }
        }
    }

    fn add_bare_steel(&mut self, made: &mut Made, exposure: &Exposure) {
        const HOURS: f64 = 0.1;
        const INDOOR_YEARS: f64 = 0.5;
        const HANDLED_YEARS: f64 = 0.1;
        const HORIZON_YEARS: f64 = 5.0;
        let capacity = FactorKind::Capacity(Layer::BareSteel);
        let capacity = self.factor(made.factor(capacity, "capacity of bare steel", 0.7, BARE_STEEL));
        let ageing = FactorKind::Ageing(Layer::BareSteel);
        let age_factor = self.factor(made.factor(ageing, "aging of bare steel", 0.8, BARE_STEEL));
        self.layers.push(LifeLayer {
            per_um: 1.0 / (HOURS * dose_um_per_hour()),
            fixed_age: 1.0 / INDOOR_YEARS + exposure.handling.share() / HANDLED_YEARS,
            weather_age: 0.0,
            heat_continuous_c: exposure.heat_continuous_c,
            limit_c: None,
            dose_factors: capacity..capacity + 1,
            age_factor,
        });
        self.reach(HORIZON_YEARS, &BARE_STEEL);
    }

    /// Extends the horizon to the longest observed life of a layer.
    pub(super) fn reach(&mut self, years: f64, source: &Source) {
        if years > self.horizon_years {
            (self.horizon_years, self.horizon_source) = (years, source.clone());
        }
    }

    /// A stain as the last layer: it ages and nothing uses it up.
    pub(super) fn add_stain(&mut self, stain: Stain, years: f64, factor: Factor) {
        let age_factor = self.factor(factor);
        self.layers.push(LifeLayer {
            per_um: 0.0,
            fixed_age: 1.0 / years,
            weather_age: 0.0,
            heat_continuous_c: 0.0,
            limit_c: None,
            dose_factors: 0..0,
            age_factor,
        });
        self.stain = Some(stain);
        self.basis = Basis::Staining;
    }

    /// The factor of the exponent of growth, where a loss grows.
    pub(crate) fn growth_factor(&self) -> Option<usize> {
        self.growth.map(|_| self.growth_factor)
    }

    /// Standard deviation of the logarithm of the rate at the place over that in the cabinet.
    pub(crate) fn rate_log_sd(&self) -> f64 {
        self.log_sd(AIR).hypot(self.log_sd(CABINET))
    }

    pub(crate) fn log_sd(&self, factor: usize) -> f64 {
        self.factors.get(factor).map_or(0.0, |f| f.log_sd)
    }

    /// Confidence in what the share that ever stains is based on; 1 where nothing stains.
    pub(crate) fn confidence_of_salt(&self) -> f64 {
        self.stain.map_or(1.0, |stain| stain.confidence)
    }

    /// Whether salt moves more than the rate: weather under a roof, and growth.
    pub(crate) fn depends_on_salt(&self) -> bool {
        self.shelter == Shelter::Sheltered && self.layers.iter().any(|layer| layer.weather_age > 0.0)
            || self.growth.is_some() && self.shelter != Shelter::Indoor
    }

    /// Terms of the sum where so much chloride falls, mg/(m²·d).
    pub(crate) fn terms(&self, chloride_mg_m2_day: f64) -> Terms {
        let weather = weather_share(self.shelter, chloride_mg_m2_day);
        let layers = self.layers.iter().map(|layer| {
            let squares: f64 = layer.dose_factors.clone().map(|f| self.log_sd(f).powi(2)).sum();
            RateTerm::new(layer.per_um, layer.age(weather), squares.sqrt(), self.log_sd(layer.age_factor))
        });
        let growth = self.growth.map(|(loss_um, [own, plain])| {
            let exponent = weathering_growth_exponent(own, plain, chloride_mg_m2_day);
            let b = sheltered_growth_exponent(exponent, self.shelter, chloride_mg_m2_day);
            Growth::new(loss_um, b, self.log_sd(self.growth_factor))
        });
        Terms { layers: layers.collect(), growth, ln_later: self.ln_later }
    }

    /// Horizon where so much chloride falls, years.
    pub(crate) fn horizon_years(&self, chloride_mg_m2_day: f64) -> f64 {
        self.horizon_years_at(salt_character(chloride_mg_m2_day))
    }

    /// The same where salt rules the place so far, 0 to 1.
    #[inline]
    pub(crate) fn horizon_years_at(&self, salt_character: f64) -> f64 {
        self.horizon_years - self.horizon_lost_to_salt * salt_character
    }

    /// Share of the variance of the logarithm of the years that each factor carries, at the medians; the shares sum to
    /// 1, or are all 0 where nothing is uncertain. Squared answers to one spread of each factor.
    pub(crate) fn variance_shares(&self, terms: &Terms, rate_um: f64) -> Vec<f64> {
        let mut shares = Vec::new();
        self.write_variance_shares(terms, rate_um, &mut shares);
        shares
    }

    /// [`variance_shares`](Self::variance_shares) in memory that is used again.
    pub(super) fn write_variance_shares(&self, terms: &Terms, rate_um: f64, shares: &mut Vec<f64>) {
        shares.clear();
        shares.resize(self.factors.len(), 0.0);
        let mut add = |factor: usize, answer: f64| {
            if let Some(share) = shares.get_mut(factor) {
                *share += answer;
            }
        };
        let total = terms.years(rate_um, |_, _| (1.0, 1.0), 1.0);
        let mut to_rate = 0.0;
        for (layer, term) in self.layers.iter().zip(&terms.layers) {
            let q = term.per_rate * rate_um;
            let years = 1.0 / (q + term.age);
            let (p, v) = (years / total, q * years);
            to_rate -= p * v;
            for factor in layer.dose_factors.clone() {
                add(factor, p * v * self.log_sd(factor));
            }
            add(layer.age_factor, p * (1.0 - v) * self.log_sd(layer.age_factor));
        }
        if let Some(growth) = &terms.growth {
            let (years, answer, by_exponent) = growth.years_and_answers(rate_um);
            to_rate += years / total * answer;
            add(self.growth_factor, years / total * by_exponent);
        }
        add(AIR, to_rate * self.log_sd(AIR));
        add(CABINET, to_rate * self.log_sd(CABINET));
        for share in shares.iter_mut() {
            *share *= *share;
        }
        let sum: f64 = shares.iter().sum();
        if sum > 0.0 {
            for share in shares.iter_mut() {
                *share /= sum;
            }
        }
    }

    /// Moves the median of each factor by the logarithm that `moved` gives; that of the rate moves all doses, that of
    /// the stain its threshold.
    pub(crate) fn shift(&mut self, moved: impl Fn(usize) -> f64) {
        let of_rate = moved(AIR) - moved(CABINET);
        for layer in &mut self.layers {
            let of_dose: f64 = layer.dose_factors.clone().map(&moved).sum();
            layer.per_um *= (of_rate - of_dose).exp();
            let faster = (-moved(layer.age_factor)).exp();
            layer.fixed_age *= faster;
            layer.weather_age *= faster;
        }
        if let Some((loss_um, exponents)) = &mut self.growth {
            *loss_um *= (-moved(AIR)).exp();
            *exponents = exponents.map(|exponent| exponent * moved(self.growth_factor).exp());
        }
        if let Some(stain) = &mut self.stain {
            stain.ln_threshold += moved(stain.factor);
        }
    }

    /// Years to failure of one part whose factors are so many times their medians; of a stainless part, of one that
    /// stains.
    pub(crate) fn years_where(&self, terms: &Terms, rate_um: f64, multiple: impl Fn(usize) -> f64) -> f64 {
        let moved = |place: usize, _: &RateTerm| {
            self.layers.get(place).map_or((1.0, 1.0), |layer| {
                let dose: f64 = layer.dose_factors.clone().map(&multiple).product();
                (dose, multiple(layer.age_factor))
            })
        };
        let rate = rate_um * multiple(AIR) / multiple(CABINET);
        terms.years(rate, moved, multiple(self.growth_factor))
    }
}

/// Rate of aging of a film as innermost layer in an exposure, 1/a, at the medians.
pub(crate) fn ageing_of_film(film: &Film, treatment: &Treatment, exposure: &Exposure) -> f64 {
    let thickness = film.usual_thickness_um() / film.reference_thickness_um.value;
    let hold = if film.kind.is_paint() { treatment.paint_hold_factor.value } else { 1.0 };
    let age = AgeRates::of(&film.ageing, exposure, thickness.powf(THICKNESS_EXPONENT) * hold, thickness);
    let weather = weather_share(exposure.shelter, exposure.salt_mg_m2_day);
    hot_ageing(
        age.fixed + weather * age.weather,
        exposure.heat_continuous_c,
        Some(film.continuous_limit_c.value),
    )
}

/// Rates of aging by cause in an exposure, 1/a.
struct AgeRates<'a> {
    fixed: f64,
    weather: f64,
    /// The life behind the fastest of them.
    fastest: &'a Value,
}

impl<'a> AgeRates<'a> {
    /// `in_weather` and `in_sun` are what thickness and hold make of the lives in weather and in the sun.
    fn of(ageing: &'a Ageing, exposure: &Exposure, in_weather: f64, in_sun: f64) -> Self {
        let rain = if exposure.rain_washed { 1.0 } else { 0.0 };
        let causes = [
            (Some(&ageing.indoor_years), 1.0),
            (ageing.rain_years.as_ref(), rain),
            (ageing.sun_years.as_ref(), exposure.sunlight.share() / in_sun),
            (ageing.handling_years.as_ref(), exposure.handling.share()),
        ];
        let mut rates = Self { fixed: 0.0, weather: 0.0, fastest: &ageing.indoor_years };
        let mut fastest = 0.0;
        for (life, share) in causes {
            let Some(life) = life else { continue };
            let rate = share / life.value;
            rates.fixed += rate;
            if rate > fastest {
                (fastest, rates.fastest) = (rate, life);
            }
        }
        if let Some(life) = &ageing.weather_years {
            rates.weather = 1.0 / (life.value * in_weather);
            if exposure.shelter != Shelter::Indoor && rates.weather > fastest {
                rates.fastest = life;
            }
        }
        rates
    }
}

/// The terms of a life at one deposition of salt, ready to be summed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Terms {
    pub(crate) layers: Vec<RateTerm>,
    pub(crate) growth: Option<Growth>,
    pub(crate) ln_later: f64,
}

impl Terms {
    /// Years where dose and age of each layer, and the exponent of growth, are so many times their medians.
    fn years(&self, rate_um: f64, moved: impl Fn(usize, &RateTerm) -> (f64, f64), growth: f64) -> f64 {
        let layers = self.layers.iter().enumerate().map(|(place, term)| {
            let (dose, age) = moved(place, term);
            1.0 / (term.per_rate * rate_um / dose + term.age / age)
        });
        let grown = self.growth.map_or(0.0, |curve| curve.years_moved(rate_um, growth));
        (layers.sum::<f64>() + grown) * self.ln_later.exp()
    }
}
