//! What an answer hangs on: each uncertain factor and each range alone, and all of them together.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::Catalog;
use crate::error::{invalid, unknown, within};
use crate::finish::Build;
use crate::outlook::{BuildLife, VarianceShare, build_life, normal_quantile, outlook_of};
use crate::rank::{Lot, Question, RankedOption};
use crate::source::Source;
use crate::whatif::input::{Input, with_inputs};
use crate::whatif::measure::Measure;
use crate::whatif::sobol::{SobolIndices, sobol_indices};

/// Source of how a range of the duty is filled.
pub const EVEN_RANGE: Source =
    Source::assumption("a range of an input without a distribution of its own is taken as evenly filled");

/// Runs of the model between two looks at the watch.
const RUNS_UNWATCHED: u32 = 1000;

/// A build of a brief, with what is uncertain about its answer.
///
/// Uncertain are the lognormal factors of the [`outlook`](mod@crate::outlook), each with the spread of its source
/// (capacity `H` and field factor `φ` of each film and of the treatment, cabinet rate `k`, rate `r` of the
/// atmosphere, class margin), and what of the duty is given as a range.
///
/// ```
/// use std::collections::BTreeMap;
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build};
/// use overcoat::whatif::{Input, Measure, Study, SobolOutput, USUAL_POINTS};
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
    brief: &'a Brief,
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
    /// The factor, as in `capacity of hard_wax`, or the input, as in `chloride_mg_m2_day`.
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
    /// Natural logarithm of the years to failure of one part, every factor as it falls: ln Σ `H·k·φ/r`.
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
    /// ([`EVEN_RANGE`]); `log_sds` replace log standard deviations of factors by name, as after a measurement of
    /// one's own.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) refuses in the brief, also at the ends of a range; ends that are not in
    /// order; an input named twice; a factor that the outlook does not have; a spread that is negative or not
    /// finite.
    pub fn new(
        brief: &'a Brief,
        catalog: &'a Catalog,
        build: &'a Build,
        ranges: &[(Input, f64, f64)],
        log_sds: &BTreeMap<String, f64>,
    ) -> Result<Self> {
        for (place, (input, low, high)) in ranges.iter().enumerate() {
            let ordered = low.is_finite() && high.is_finite() && low < high;
            let twice = ranges.iter().take(place).any(|(other, ..)| other == input);
            if !ordered || twice {
                return Err(invalid(
                    input.name(),
                    format!("{low} to {high}{}", if twice { ", named twice" } else { "" }),
                    "one range of two finite numbers, the lower first",
                    "Give the ends of the range in order.",
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
            let brief = with_inputs(brief, &settings)?;
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
            factor.log_sd = within(&field, *log_sd, 0.0, 10.0, "", "Give a log standard deviation.")?;
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
    /// What [`rank`](crate::rank::rank()) refuses.
    pub fn option(&self) -> Result<RankedOption> {
        self.moved(&[], &[])
    }

    /// Share of each factor in the variance of the logarithm of the years, in closed form (first order); ranges do
    /// not count.
    ///
    /// # Errors
    /// Those of [`option`](Self::option).
    pub fn variance_shares(&self) -> Result<Vec<VarianceShare>> {
        Ok(self.option()?.outlook.variance_shares)
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
        let still = if self.ranges.is_empty() { Some(self.terms(&[])?) } else { None };
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
                (SobolOutput::LogYears, Some(terms)) => Ok(log_years(terms, deviates)),
                (SobolOutput::LogYears, None) => Ok(log_years(&self.terms(&settings)?, deviates)),
                (SobolOutput::Answer(measure), _) => Ok(measure.value(&self.moved(&settings, deviates)?)),
            }
        })
    }

    /// What a ranking says with inputs set and factors moved by so many spreads.
    fn moved(&self, settings: &[(Input, f64)], deviates: &[f64]) -> Result<RankedOption> {
        let brief = with_inputs(self.brief, settings)?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let question = Question::new(&brief, &exposure, lot, self.catalog)?;
        question.option_with(self.build.clone(), |_| {
            let (mut life, factors) = self.life(&brief, &exposure)?;
            for term in &mut life.life.terms {
                term.ln_median += self.shift(&factors, &term.exponents, deviates);
            }
            Ok(outlook_of(life, exposure.required_years))
        })
    }

    /// The terms of the life with inputs set: logarithm of each median, and its answer to one spread of each factor
    /// of the study.
    fn terms(&self, settings: &[(Input, f64)]) -> Result<Vec<(f64, Vec<f64>)>> {
        let brief = with_inputs(self.brief, settings)?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let (life, factors) = self.life(&brief, &exposure)?;
        let mut unit = vec![0.0; self.factors.len()];
        let mut terms = Vec::with_capacity(life.life.terms.len());
        for term in &life.life.terms {
            let mut answers = Vec::with_capacity(unit.len());
            for place in 0..unit.len() {
                unit.fill(0.0);
                if let Some(deviate) = unit.get_mut(place) {
                    *deviate = 1.0;
                }
                answers.push(self.shift(&factors, &term.exponents, &unit));
            }
            terms.push((term.ln_median, answers));
        }
        Ok(terms)
    }

    /// How far the logarithm of a term moves where the factors move by so many spreads.
    fn shift(&self, factors: &[UncertainFactor], exponents: &[(usize, f64)], deviates: &[f64]) -> f64 {
        exponents
            .iter()
            .filter_map(|(index, exponent)| {
                let factor = factors.get(*index)?;
                let place = self.factors.iter().position(|known| known.name == factor.name)?;
                Some(exponent * factor.log_sd * deviates.get(place)?)
            })
            .sum()
    }

    /// The life of the build with the spreads of the study, and its factors by name; a name that comes twice gets
    /// a number.
    fn life(&self, brief: &Brief, exposure: &Exposure) -> Result<(BuildLife<'_>, Vec<UncertainFactor>)> {
        let resolved = self.catalog.resolve(self.build)?;
        let mut life = build_life(exposure, &brief.part, &resolved, self.catalog)?;
        let mut factors: Vec<UncertainFactor> = Vec::with_capacity(life.life.factors.len());
        let plain: Vec<Cow<str>> = life.life.factors.iter().map(|factor| factor.name.clone()).collect();
        for (place, factor) in life.life.factors.iter_mut().enumerate() {
            let earlier = plain.iter().take(place).filter(|name| **name == factor.name).count();
            let name = match earlier {
                0 => factor.name.to_string(),
                _ => format!("{} ({})", factor.name, earlier + 1),
            };
            if let Some(log_sd) = self.log_sds.get(&name) {
                factor.log_sd = *log_sd;
            }
            factors.push(UncertainFactor { name, log_sd: factor.log_sd, source: factor.source.clone() });
        }
        Ok((life, factors))
    }
}

/// ln Σ of the terms, each moved by the deviates.
fn log_years(terms: &[(f64, Vec<f64>)], deviates: &[f64]) -> f64 {
    let moved: Vec<f64> = terms
        .iter()
        .map(|(ln_median, answers)| ln_median + answers.iter().zip(deviates).map(|(a, d)| a * d).sum::<f64>())
        .collect();
    let peak = moved.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    peak + moved.iter().map(|term| (term - peak).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2 and 3 years add up to 5; the first doubled, to 7.
    #[test]
    fn terms_add_up_as_years_and_not_as_logarithms() {
        let terms = [(2.0_f64.ln(), vec![1.0, 0.0]), (3.0_f64.ln(), vec![0.0, 1.0])];
        assert!((log_years(&terms, &[0.0, 0.0]) - 5.0_f64.ln()).abs() < 1e-14);
        assert!((log_years(&terms, &[2.0_f64.ln(), 0.0]) - 7.0_f64.ln()).abs() < 1e-14);
    }
}
