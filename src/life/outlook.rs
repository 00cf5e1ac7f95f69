//! What is said of one build in one duty.

use std::borrow::Cow;
use std::f64::consts::LN_2;
use std::ops::Deref;
use std::sync::Arc;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use serde::{Deserialize, Serialize};

use super::curve::{Curves, Found, Point, Site, SiteInputs, rate_um, said, share_of_salt};
use super::heat::wet_share;
use super::terms::{Life, Lives};
use crate::Result;
use crate::brief::{Exposure, Part};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::error::within;
use crate::evidence::{Firmness, Source};
use crate::math::cubic::{LogCubic, NODES, WEIGHTS};
use crate::math::{Z90, fused, log2, normal_quantile};

/// Time to failure of one build in one duty.
///
/// No years lie beyond [`horizon_years`](Self::horizon_years): a median, a 10 or a 90% point that is the horizon says
/// "more than that, beyond the evidence", or never.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Outlook {
    /// Years that half of the cases exceed.
    pub median_years: f64,
    /// Years that 90% of the cases exceed.
    pub p10_years: f64,
    /// Years that 10% of the cases exceed.
    pub p90_years: f64,
    /// Standard deviation of the natural logarithm of the years of those that fail.
    pub log_sd: f64,
    /// Probability of no failure within the required years. Where they lie beyond the horizon it orders builds and is
    /// no statement about them.
    pub probability_ok: f64,
    /// Share that never fails: of stainless steel, the surfaces that never stain.
    pub never_fails: f64,
    /// Longest life of such a build that anyone has observed, years.
    pub horizon_years: f64,
    /// Where that comes from.
    pub horizon_source: Source,
    /// The natural logarithm of the years of those that fail.
    pub ln_years: LogCubic,
    /// Confidence in the sources, each by its share of the variance, 0 to 1.
    pub confidence: f64,
    /// What carries how much of the variance; the shares sum to 1.
    pub variance_shares: Vec<VarianceShare>,
    /// Layers that the heat of the duty destroys; the years are those of what remains.
    pub lost_layers: Vec<String>,
    /// What the years rest on.
    pub basis: Basis,
    /// The least supported source among those that carry a tenth of the variance or more.
    pub weakest: Firmness,
}

impl Outlook {
    /// Years that a share `p` of the cases stays below (0 < p < 1), at most the horizon.
    ///
    /// # Errors
    /// A share outside 0 to 1.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket"}, "duty": {"place": "urban", "required_years": 2}}"#)?;
    /// let ranking = rank(&brief, Catalog::built_in())?;
    /// let outlook = &ranking.options[0].outlook;
    /// assert_eq!(outlook.quantile(0.5)?, outlook.median_years);
    /// assert!(outlook.quantile(0.02)? < outlook.p10_years);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn quantile(&self, p: f64) -> Result<f64> {
        within("p", p, 0.0, 1.0, "", "Enter a share of the cases, 0 to 1.")?;
        let fails = 1.0 - self.never_fails;
        let years = if p < fails { self.ln_years.quantile(p / fails) } else { f64::INFINITY };
        Ok(years.min(self.horizon_years))
    }

    /// Probability of no failure within `years`; none beyond the horizon, where no evidence reaches.
    ///
    /// # Errors
    /// Years that are negative or not a number.
    pub fn survival(&self, years: f64) -> Result<Option<f64>> {
        within("years", years, 0.0, f64::INFINITY, "years", "Enter a time of 0 or more.")?;
        let fails = 1.0 - self.never_fails;
        let kept = self.never_fails + fails * self.ln_years.probability_beyond(years);
        Ok((years <= self.horizon_years).then_some(kept.min(1.0)))
    }

    /// The numbers that cost and score go by.
    pub(crate) fn found(&self) -> Found {
        Found {
            median_years: self.median_years,
            p10_years: self.p10_years,
            p90_years: self.p90_years,
            probability_ok: self.probability_ok,
            confidence: self.confidence,
            never_fails: self.never_fails,
            horizon_years: self.horizon_years,
        }
    }

    /// Whether nothing is known of so many years: they are at or beyond the longest life that anyone has observed.
    pub fn is_beyond_evidence(&self, years: f64) -> bool {
        years >= self.horizon_years
    }

    /// Share of the variance that is based on assumptions, 0 to 1.
    pub fn assumed_share(&self) -> f64 {
        let shares = self.variance_shares.iter();
        shares.filter(|v| v.source.firmness == Firmness::Assumption).map(|v| v.share).sum()
    }
}

/// What an outlook is based on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Dose and age of the layers.
    DoseAndAge,
    /// The share of stainless surfaces that ever stains, under the dose and age of its films.
    Staining,
}

impl Basis {
    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::DoseAndAge => "dose and age",
            Self::Staining => "staining",
        }
    }
}

/// One uncertain factor and its share of the variance of the outlook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(from = "ShareDocument", into = "ShareDocument")]
#[non_exhaustive]
pub struct VarianceShare {
    /// Its share, 0 to 1.
    pub share: f64,
    /// The factor, one in memory for all outlooks that have it.
    pub of: Arc<UncertainFactor>,
}

/// An uncertain factor of an outlook.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct UncertainFactor {
    /// The factor in words, for example `capacity of hard_wax`.
    pub factor: Cow<'static, str>,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// Where its value comes from.
    pub source: Source,
}

impl Deref for VarianceShare {
    type Target = UncertainFactor;

    fn deref(&self) -> &UncertainFactor {
        &self.of
    }
}

/// One uncertain factor and its share of the variance of the outlook.
#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(rename = "VarianceShare"))]
#[serde(deny_unknown_fields)]
struct ShareDocument {
    /// The factor in words, for example `capacity of hard_wax`.
    factor: Cow<'static, str>,
    /// Its share, 0 to 1.
    share: f64,
    /// Standard deviation of its natural logarithm.
    log_sd: f64,
    /// Where its value comes from.
    source: Source,
}

impl From<ShareDocument> for VarianceShare {
    fn from(document: ShareDocument) -> Self {
        let ShareDocument { factor, share, log_sd, source } = document;
        Self { share, of: Arc::new(UncertainFactor { factor, log_sd, source }) }
    }
}

impl From<VarianceShare> for ShareDocument {
    fn from(share: VarianceShare) -> Self {
        let UncertainFactor { factor, log_sd, source } = share.of.as_ref().clone();
        Self { factor, share: share.share, log_sd, source }
    }
}

/// That of its document.
#[cfg(feature = "schema")]
impl schemars::JsonSchema for VarianceShare {
    fn schema_name() -> Cow<'static, str> {
        ShareDocument::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        ShareDocument::schema_id()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        ShareDocument::json_schema(generator)
    }
}

/// What of the place of an exposure counts.
pub(crate) fn site_of(exposure: &Exposure) -> SiteInputs {
    let air = &exposure.atmosphere;
    SiteInputs {
        loss_um: air.first_year_steel_loss_um * air.measured_over_computed,
        measured: air.determination == crate::atmosphere::Determination::Specimens,
        chloride_mg_m2_day: exposure.salt_mg_m2_day,
        shelter: exposure.shelter,
        wet_share: wet_share(exposure.heat_continuous_c, exposure.cold_share),
        washed: if exposure.rain_washed { 1.0 } else { 0.0 },
    }
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
    let life = Lives::new(exposure, part, catalog).of(build)?;
    let inputs = site_of(exposure);
    Ok(outlook_of(&life, &inputs, &Site::of(&inputs), exposure.required_years))
}

/// Median years of two places of one part, each with its own layers.
///
/// # Errors
/// A failure criterion that does not fit the part, as a loss of strength without a thread.
pub(crate) fn years_of_places(
    exposure: &Exposure,
    part: &Part,
    catalog: &Catalog,
    places: [&ResolvedBuild; 2],
) -> Result<[f64; 2]> {
    let lives = Lives::new(exposure, part, catalog);
    let inputs = site_of(exposure);
    let site = Site::of(&inputs);
    let years = |build| -> Result<f64> {
        Ok(found_of(&lives.of(build)?, &inputs, &site, exposure.required_years).median_years)
    };
    let [first, second] = places;
    Ok([years(first)?, years(second)?])
}

/// What is found of a life at a place.
struct AtSite {
    /// The share that ever stains; 1 where nothing stains.
    stains: f64,
    point: Point,
    horizon_years: f64,
    found: Found,
}

impl AtSite {
    fn of(life: &Life, inputs: &SiteInputs, site: &Site, required_years: f64) -> Self {
        let (stains, weights) = match &life.stain {
            Some(stain) => stain.share(site.ln_salt(), &NODES, &WEIGHTS),
            None => (1.0, WEIGHTS),
        };
        let point = Curves::new(life, weights).at_one(life, site);
        let horizon_years = life.horizon_years(inputs.chloride_mg_m2_day);
        let found = said_of_one(&point, stains, life.confidence_of_salt(), horizon_years, required_years);
        Self { stains, point, horizon_years, found }
    }
}

/// The numbers of the outlook of a life at a place that cost and score go by.
pub(crate) fn found_of(life: &Life, inputs: &SiteInputs, site: &Site, required_years: f64) -> Found {
    AtSite::of(life, inputs, site, required_years).found
}

/// The outlook of a life at a place.
pub(crate) fn outlook_of(life: &Life, inputs: &SiteInputs, site: &Site, required_years: f64) -> Outlook {
    let AtSite { stains, point, horizon_years, found } = AtSite::of(life, inputs, site, required_years);
    let mut shares = life.variance_shares(&life.terms(inputs.chloride_mg_m2_day), rate_um(inputs));
    if let Some(stain) = &life.stain {
        let of_those = point.curve.probability_beyond(required_years);
        let of_salt = share_of_salt(stains, of_those);
        for (place, share) in shares.iter_mut().enumerate() {
            *share *= 1.0 - of_salt;
            if place == stain.factor {
                *share = of_salt;
            }
        }
    }
    let mut variance_shares: Vec<VarianceShare> = life
        .factors
        .iter()
        .zip(shares)
        .filter(|(_, share)| *share > 0.0)
        .map(|(factor, share)| VarianceShare { share, of: Arc::clone(&factor.of) })
        .collect();
    variance_shares.shrink_to_fit();
    variance_shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    let weakest = variance_shares
        .iter()
        .filter(|v| v.share >= 0.1)
        .map(|v| v.source.firmness)
        .max()
        .unwrap_or(Firmness::Assumption);
    Outlook {
        median_years: found.median_years,
        p10_years: found.p10_years,
        p90_years: found.p90_years,
        log_sd: point.curve.log_sd(),
        probability_ok: found.probability_ok,
        never_fails: found.never_fails,
        horizon_years,
        horizon_source: life.horizon_source.clone(),
        ln_years: point.curve,
        confidence: found.confidence,
        variance_shares,
        lost_layers: life.lost.clone(),
        basis: life.basis,
        weakest,
    }
}

/// [`said`] of one build, with the bits of tables.
pub(crate) fn said_of_one(
    point: &Point,
    stains: f64,
    confidence_of_salt: f64,
    horizon_years: f64,
    required_years: f64,
) -> Found {
    #[multiversion(targets(
        "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
        "x86_64+avx+avx2+fma+bmi1+bmi2"
    ))]
    fn dispatch(point: &Point, numbers: [f64; 4], deviates: [f64; 3]) -> Found {
        let [stains, confidence_of_salt, horizon_years, required_years] = numbers;
        let ln_required = log2::<{ fused!() }>(required_years) * LN_2;
        said::<{ fused!() }>(point, stains, confidence_of_salt, horizon_years, ln_required, deviates)
    }
    let numbers = [stains, confidence_of_salt, horizon_years, required_years];
    dispatch(point, numbers, deviates_of(stains))
}

/// Normal deviates at which 10, 50 and 90% of the cases have failed where a share ever stains.
#[inline]
pub(crate) fn deviates_of(stains: f64) -> [f64; 3] {
    if stains >= 1.0 {
        return [-Z90, 0.0, Z90];
    }
    [0.1, 0.5, 0.9].map(|p| if p < stains { normal_quantile(p / stains) } else { f64::INFINITY })
}
