//! What an answer hangs on: each uncertain factor and each range alone, and all of them together.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::Catalog;
use crate::check::counted_of;
use crate::error::{invalid, unknown, within};
use crate::evidence::Source;
use crate::finish::Build;
use crate::life::{Life, Lives, SiteInputs, Terms, VarianceShare, rate_um, site_of};
use crate::math::normal_quantile;
use crate::rank::{Lot, Question, RankedOption, check_wants};
use crate::study::input::{Input, with_inputs};
use crate::study::measure::Measure;
use crate::study::sobol::{SobolIndices, sobol_indices};

/// Source of how a range of the duty is filled.
pub(crate) const EVEN_RANGE: Source =
    Source::assumption("a range of an input without its own distribution is taken as evenly filled");

/// Runs of the model between two looks at the watch.
const RUNS_UNWATCHED: u32 = 1000;

/// A build of a brief, with what is uncertain about its answer.
///
/// Uncertain are the lognormal factors of the [outlook](crate::life), each with the spread of its source
/// (salt-spray hours `H`, field factor `φ` and aging of each film and of the treatment, cabinet rate `k`, rate `r` of the
/// atmosphere, salt that a stainless grade withstands), and what of the duty is given as a range.
///
/// ```
/// use std::collections::BTreeMap;
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build};
/// use overcoat::study::{Input, Measure, Study, SobolOutput, USUAL_POINTS};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1",
///     "name": "brackets in town",
///     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
///     "duty": {"place": "urban", "required_years": 2}
/// }"#)?;
/// let build = Build::new("steel_4_6", "hot_alkaline", ["hard_wax"]);
/// let study = Study::new(
///     &brief, Catalog::built_in(), &build, &[(Input::Chloride, 2.0, 40.0)], &BTreeMap::new(),
/// )?;
/// let bars = study.tornado(Measure::MedianYears)?;
/// assert!(bars[0].reach() >= bars[1].reach());
/// let found = study.sobol(SobolOutput::LogYears, USUAL_POINTS)?;
/// assert_eq!(found.indices.len(), study.names().len());
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Study<'a> {
    brief: Cow<'a, Brief>,
    catalog: &'a Catalog,
    build: &'a Build,
    ranges: Vec<(Input, f64, f64)>,
    log_sds: BTreeMap<String, f64>,
    factors: Vec<UncertainFactor>,
}

/// A lognormal factor of the outlook.
#[derive(Debug, Clone, PartialEq)]
struct UncertainFactor {
    name: String,
    log_sd: f64,
    source: Source,
}

/// One bar of a tornado: an uncertain factor or a range moved alone.
#[derive(Debug, Clone, PartialEq)]
pub struct TornadoBar {
    /// The factor, for example `capacity of hard_wax`, or the input, for example `chloride_mg_m2_day`.
    pub name: String,
    /// What it is moved to: for a factor the multiples e^-σ and e^σ of its median, for an input the ends of its
    /// range.
    pub low: f64,
    /// The other end.
    pub high: f64,
    /// The measure at the low end, all else as ranked.
    pub at_low: f64,
    /// The measure at the high end, all else as ranked.
    pub at_high: f64,
    /// Where the spread comes from.
    pub source: Source,
}

impl TornadoBar {
    /// How far apart the two ends are.
    pub fn reach(&self) -> f64 {
        (self.at_high - self.at_low).abs()
    }
}

/// What the Sobol indices are of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SobolOutput {
    /// Natural logarithm of the years to failure of one part, every factor as it falls; of a stainless part, of one
    /// that stains.
    LogYears,
    /// A number of the answer, where the median of each factor falls as its source allows while the spread that
    /// the answer itself reckons with stays: how far the catalog's uncertainty reaches into it.
    Answer(Measure),
}

impl SobolOutput {
    /// The output of a word: `log_years` or that of a measure.
    ///
    /// # Errors
    /// A word that is none.
    pub fn of(name: &str) -> Result<Self> {
        if name == "log_years" {
            return Ok(Self::LogYears);
        }
        Measure::of(name).map(Self::Answer).map_err(|_| {
            let words = Measure::ALL.iter().map(|measure| measure.name()).chain(["log_years"]);
            unknown("output", name, words, "Name one of them.")
        })
    }
}

impl<'a> Study<'a> {
    /// The study of one build. `ranges` are inputs of the duty with the ends of their range, taken as evenly filled
    /// (`EVEN_RANGE`); `log_sds` replace log standard deviations of factors by name, as after your own
    /// measurement.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) rejects in the brief, also at the ends of a range; ends that are not in
    /// order; an input named twice; a factor that the outlook does not have; a spread that is negative or not
    /// finite.
    pub fn new(
        brief: &'a Brief,
        catalog: &'a Catalog,
        build: &'a Build,
        ranges: &[(Input, f64, f64)],
        log_sds: &BTreeMap<String, f64>,
    ) -> Result<Self> {
        let brief = brief.checked_in(catalog)?;
        check_wants(&brief, catalog)?;
        for (place, (input, low, high)) in ranges.iter().enumerate() {
            let ordered = low.is_finite() && high.is_finite() && low < high;
            let twice = ranges.iter().take(place).any(|(other, ..)| other == input);
            if !ordered || twice {
                return Err(invalid(
                    input.name(),
                    format!("{low} to {high}{}", if twice { ", named twice" } else { "" }),
                    "one range of two finite numbers, the lower first",
                    "Enter the ends of the range in order.",
                ));
            }
        }
        let mut study = Self {
            brief,
            catalog,
            build,
            ranges: ranges.to_vec(),
            log_sds: BTreeMap::new(),
            factors: Vec::new(),
        };
        // heat at one end of a range may take a layer that another end leaves: its factors count too
        let ends = ranges.iter().flat_map(|(input, low, high)| [(*input, *low), (*input, *high)]);
        let mut factors: Vec<UncertainFactor> = Vec::new();
        for settings in std::iter::once(Vec::new()).chain(ends.map(|end| vec![end])) {
            let brief = with_inputs(&study.brief, &settings)?;
            let exposure = Exposure::of(&brief, catalog)?;
            for factor in study.life(&brief, &exposure)?.1 {
                if !factors.iter().any(|known| known.name == factor.name) {
                    factors.push(factor);
                }
            }
        }
        for (name, log_sd) in log_sds {
            let Some(factor) = factors.iter_mut().find(|factor| factor.name == *name) else {
                let known = factors.iter().map(|factor| factor.name.as_str());
                return Err(unknown("log_sds", name, known, "Name a factor of this build's outlook."));
            };
            let field = format!("log_sds.{name}");
            factor.log_sd = within(&field, *log_sd, 0.0, 10.0, "", "Enter a log standard deviation.")?;
            factor.source = Source::assumption("spread given for this study");
        }
        study.log_sds.clone_from(log_sds);
        study.factors = factors;
        Ok(study)
    }

    /// What is uncertain, in the order of the indices of [`sobol`](Self::sobol): the factors of the outlook, then
    /// the ranges.
    pub fn names(&self) -> Vec<String> {
        let ranges = self.ranges.iter().map(|(input, ..)| input.name().to_owned());
        self.factors.iter().map(|factor| factor.name.clone()).chain(ranges).collect()
    }

    /// What a ranking says of the build, with the spreads of the study.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) rejects.
    pub fn option(&self) -> Result<RankedOption> {
        self.moved(&[], &[])
    }

    /// Share of each factor in the variance of the logarithm of the years, in closed form (first order); ranges do
    /// not count.
    ///
    /// # Errors
    /// Those of [`option`](Self::option).
    pub fn variance_shares(&self) -> Result<Vec<VarianceShare>> {
        Ok(self.option()?.outlook.variance_shares.clone())
    }

    /// Each factor moved by one log standard deviation either way and each input to the ends of its range, all else
    /// as ranked; the longest bar first.
    ///
    /// A factor that moves keeps its spread: this is the answer if the catalog had named another median.
    ///
    /// # Errors
    /// Those of [`option`](Self::option).
    pub fn tornado(&self, measure: Measure) -> Result<Vec<TornadoBar>> {
        let mut bars = Vec::with_capacity(self.factors.len() + self.ranges.len());
        for (place, factor) in self.factors.iter().enumerate() {
            let at = |spreads: f64| -> Result<f64> {
                let mut deviates = vec![0.0; self.factors.len()];
                if let Some(deviate) = deviates.get_mut(place) {
                    *deviate = spreads;
                }
                Ok(measure.value(&self.moved(&[], &deviates)?))
            };
            bars.push(TornadoBar {
                name: factor.name.clone(),
                low: (-factor.log_sd).exp(),
                high: factor.log_sd.exp(),
                at_low: at(-1.0)?,
                at_high: at(1.0)?,
                source: factor.source.clone(),
            });
        }
        for &(input, low, high) in &self.ranges {
            let at = |value: f64| -> Result<f64> { Ok(measure.value(&self.moved(&[(input, value)], &[])?)) };
            bars.push(TornadoBar {
                name: input.name().to_owned(),
                low,
                high,
                at_low: at(low)?,
                at_high: at(high)?,
                source: EVEN_RANGE,
            });
        }
        bars.sort_by(|a, b| b.reach().total_cmp(&a.reach()));
        Ok(bars)
    }

    /// Sobol indices of an output with respect to all that is uncertain, in the order of [`names`](Self::names);
    /// see [`sobol_indices`].
    ///
    /// # Errors
    /// Those of [`option`](Self::option) and of [`sobol_indices`].
    pub fn sobol(&self, output: SobolOutput, points: u32) -> Result<SobolIndices> {
        self.sobol_watched(output, points, || Ok(()))
    }

    /// As [`sobol`](Self::sobol), asking `watch` every thousand runs of the model whether to go on.
    ///
    /// # Errors
    /// Those of [`sobol`](Self::sobol) and of `watch`.
    pub fn sobol_watched(
        &self,
        output: SobolOutput,
        points: u32,
        mut watch: impl FnMut() -> Result<()>,
    ) -> Result<SobolIndices> {
        let spread_count = self.factors.len();
        let inverse = |place: usize, share: f64| match self.ranges.get(place.wrapping_sub(spread_count)) {
            Some((_, low, high)) if place >= spread_count => low + share * (high - low),
            _ => normal_quantile(share),
        };
        // without ranges the terms of the life are the same at every point
        let still = if self.ranges.is_empty() { Some(self.moving(&[])?) } else { None };
        let mut runs = 0_u32;
        sobol_indices(spread_count + self.ranges.len(), points, inverse, |values| {
            runs += 1;
            if runs == RUNS_UNWATCHED {
                runs = 0;
                watch()?;
            }
            let (deviates, inputs) = values.split_at_checked(spread_count).unwrap_or((values, &[]));
            let settings: Vec<(Input, f64)> =
                self.ranges.iter().zip(inputs).map(|((input, ..), value)| (*input, *value)).collect();
            match (output, &still) {
                (SobolOutput::LogYears, Some(moving)) => Ok(self.log_years(moving, deviates)),
                (SobolOutput::LogYears, None) => Ok(self.log_years(&self.moving(&settings)?, deviates)),
                (SobolOutput::Answer(measure), _) => Ok(measure.value(&self.moved(&settings, deviates)?)),
            }
        })
    }

    /// What a ranking says with inputs set and factors moved by so many spreads.
    fn moved(&self, settings: &[(Input, f64)], deviates: &[f64]) -> Result<RankedOption> {
        let brief = with_inputs(&self.brief, settings)?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let question = Question::new(&brief, &exposure, lot, self.catalog)?;
        let factors = self.life(&brief, &exposure)?.1;
        question.option_with(self.build.clone(), |life| {
            for (factor, of_study) in life.factors.iter_mut().zip(&factors) {
                factor.set_log_sd(of_study.log_sd);
            }
            life.shift(|factor| self.multiple(&factors, factor, deviates).ln());
        })
    }

    /// The life with inputs set.
    fn moving(&self, settings: &[(Input, f64)]) -> Result<Moving> {
        let brief = with_inputs(&self.brief, settings)?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let (life, factors) = self.life(&brief, &exposure)?;
        let inputs = site_of(&exposure);
        Ok(Moving { terms: life.terms(inputs.chloride_mg_m2_day), life, factors, inputs })
    }

    /// ln of the years of one part whose factors lie so many spreads from their medians.
    fn log_years(&self, moving: &Moving, deviates: &[f64]) -> f64 {
        let Moving { life, terms, factors, inputs } = moving;
        let multiple = |factor: usize| self.multiple(factors, factor, deviates);
        life.years_where(terms, rate_um(inputs), multiple).ln()
    }

    /// How many times its median a factor of a life is.
    fn multiple(&self, factors: &[UncertainFactor], factor: usize, deviates: &[f64]) -> f64 {
        let deviation = factors.get(factor).and_then(|factor| {
            let place = self.factors.iter().position(|known| known.name == factor.name)?;
            Some(factor.log_sd * deviates.get(place)?)
        });
        deviation.unwrap_or_default().exp()
    }

    /// The life of the build with the spreads of the study, and its factors by name; a name that comes twice gets
    /// a number.
    fn life(&self, brief: &Brief, exposure: &Exposure) -> Result<(Life, Vec<UncertainFactor>)> {
        let resolved = self.catalog.resolve(self.build)?;
        let resolved = counted_of(&brief.part, &resolved, self.catalog)?;
        let mut life = Lives::new(exposure, &brief.part, self.catalog).of(&resolved)?;
        let mut factors: Vec<UncertainFactor> = Vec::with_capacity(life.factors.len());
        let plain: Vec<Cow<str>> = life.factors.iter().map(|factor| factor.factor.clone()).collect();
        for (place, factor) in life.factors.iter_mut().enumerate() {
            let earlier = plain.iter().take(place).filter(|name| **name == factor.factor).count();
            let name = match earlier {
                0 => factor.factor.to_string(),
                _ => format!("{} ({})", factor.factor, earlier + 1),
            };
            if let Some(log_sd) = self.log_sds.get(&name) {
                factor.set_log_sd(*log_sd);
            }
            factors.push(UncertainFactor { name, log_sd: factor.log_sd, source: factor.source.clone() });
        }
        Ok((life, factors))
    }
}

/// A life whose factors move.
struct Moving {
    life: Life,
    terms: Terms,
    factors: Vec<UncertainFactor>,
    inputs: SiteInputs,
}
