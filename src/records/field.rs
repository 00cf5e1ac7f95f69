//! Parts in the field teach the field factor of a film, apart from its salt-spray hours.

use serde::{Deserialize, Serialize};

use super::distribution::Distribution;
use super::quadrature::lay;
use super::record::Outcome;
use super::sample::Row;
use super::shop_log::CONFLICT_SPREADS;
use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::Exposure;
use crate::error::{invalid, within};
use crate::evidence::Source;
use crate::evidence::Spread;
use crate::finish::{Film, Treatment};
use crate::life::{
    CABINET_LOG_SD, THICKNESS_EXPONENT, ageing_of_film, dose_um_per_hour, field_factor_under, rate_um,
    site_of,
};
use crate::math::Lognormal;

/// How years in the field are turned into what is known of a film.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FIELD_UPDATE: Source = Source::derived(
    "logarithm of the life by dose: ln years = ln salt-spray hours + ln field factor + ln cabinet rate - ln rate of the place, \
     all normal with the catalog's spreads, once what the film ages by is taken off at the catalog's median; updated by the first two moments of each place's likelihood \
     (assumed-density filtering: Minka, Uncertainty in AI 17 (2001), from memory)",
);

/// Spread between parts of one place where nothing else is known.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const PART_SPREAD: Source =
    Source::assumption("parts alike at one place rust at lognormal times with an ln SD of 0.5");

/// `PART_SPREAD` as a number.
pub(crate) const DEFAULT_PART_LOG_SD: f64 = 0.5;

/// One part, or parts alike, in the field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FieldRecord {
    /// Years to first rust; of an intact part, years in service; else the last look without rust.
    pub years: f64,
    /// The look at which rust was found, of a part that failed between two.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_years: Option<f64>,
    /// What was seen.
    pub outcome: Outcome,
    /// How many parts it counts for.
    #[serde(default = "one")]
    pub weight: f64,
}

fn one() -> f64 {
    1.0
}

impl FieldRecord {
    /// Rusted after `years`.
    pub fn failed(years: f64) -> Self {
        Self { years, until_years: None, outcome: Outcome::Failed, weight: 1.0 }
    }

    /// Without rust after `years`.
    pub fn intact(years: f64) -> Self {
        Self { outcome: Outcome::Intact, ..Self::failed(years) }
    }

    /// Without rust after `years`, with rust after `until_years`.
    pub fn between(years: f64, until_years: f64) -> Self {
        Self { until_years: Some(until_years), outcome: Outcome::Between, ..Self::failed(years) }
    }

    pub(super) fn row(&self) -> Result<Row> {
        let zero_allowed = self.outcome == Outcome::Between;
        let low = if zero_allowed { 0.0 } else { 1e-3 };
        within("years", self.years, low, 200.0, "years", "Enter the years in service.")?;
        within("weight", self.weight, 1e-6, 1e9, "parts", "Say how many parts the record counts for.")?;
        let high = match (self.outcome, self.until_years) {
            (Outcome::Failed, None) => self.years,
            (Outcome::Intact, None) => f64::INFINITY,
            (Outcome::Between, Some(until)) if until > self.years && until <= 200.0 => until,
            (outcome, until) => {
                return Err(invalid(
                    "until_years",
                    until.map_or("missing".to_owned(), |u| u.to_string()),
                    "with `between` alone, more than `years`, up to 200 a",
                    &format!("The outcome is `{outcome}`; correct it or the years."),
                ));
            }
        };
        Ok(Row { low: self.years.ln(), high: high.ln(), weight: self.weight })
    }
}

/// Parts alike in one place. Parts of the same place belong together: their air is one and the same unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldPlace<'a> {
    /// What the parts meet.
    pub exposure: &'a Exposure,
    /// What became of them.
    pub records: &'a [FieldRecord],
}

/// A film as it is known before the field speaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmBelief<'a> {
    /// The film, outermost on the part.
    pub film: &'a Film,
    /// The treatment under it.
    pub treatment: &'a Treatment,
    /// Its salt-spray hours: the catalog's, or what the shop's salt-spray records gave.
    pub capacity_h: Lognormal,
    /// Its field factor: the catalog's.
    pub field_factor: Lognormal,
    /// Spread between parts of one place, as `DEFAULT_PART_LOG_SD`.
    pub part_log_sd: f64,
}

impl<'a> FilmBelief<'a> {
    /// What the catalog says of the film, its field factor wherever it lies.
    pub fn of(film: &'a Film, treatment: &'a Treatment) -> Self {
        Self::with(film, treatment, &film.field_factor)
    }

    /// What the catalog says of the film under a shelter.
    pub fn under(film: &'a Film, treatment: &'a Treatment, shelter: Shelter) -> Self {
        Self::with(film, treatment, field_factor_under(film, shelter))
    }

    fn with(film: &'a Film, treatment: &'a Treatment, field_factor: &Spread) -> Self {
        let lognormal = |median: f64, log_sd: f64| Lognormal { ln_median: median.ln(), log_sd };
        Self {
            film,
            treatment,
            capacity_h: lognormal(film.capacity_h.median, film.capacity_h.log_sd),
            field_factor: lognormal(field_factor.median, field_factor.log_sd),
            part_log_sd: DEFAULT_PART_LOG_SD,
        }
    }
}

/// A median with its spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Belief {
    /// The median.
    pub median: f64,
    /// Standard deviation of the natural logarithm.
    pub log_sd: f64,
}

/// What the field taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FieldUpdate {
    /// Field factor of the film, after.
    pub field_factor: Belief,
    /// Salt-spray hours after; use them only where they include your salt-spray records.
    pub capacity_h: Belief,
    /// Correlation of the logarithms of both: what the field shows is their product.
    pub correlation: f64,
    /// Each place.
    pub places: Vec<PlaceFinding>,
    /// How many records.
    pub rows: usize,
    /// How many of them failed.
    pub failed: usize,
    /// What to keep in mind, one sentence each.
    #[serde(default)]
    pub remarks: Vec<String>,
}

/// What one place shows by itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PlaceFinding {
    /// Its class: shelter and corrosivity category, for example `sheltered C3`.
    pub environment: String,
    /// Years that equal dose promises the film there with a field factor of 1 and without aging.
    pub equal_dose_years: f64,
    /// Spread that the place adds: its air and the parts.
    pub place_log_sd: f64,
    /// Years by dose over equal-dose years, median of the records that failed at a known time.
    pub implied_field_factor: Option<f64>,
}

/// The class of an environment that field factors are gathered by: shelter and corrosivity category.
///
/// ```
/// use overcoat::{brief::{Brief, Exposure}, catalog::Catalog, records::environment_class};
/// let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
///     "part": {"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"},
///     "duty": {"first_year_steel_loss_um": 30, "shelter": "sheltered", "required_years": 5}}"#)?;
/// let exposure = Exposure::of(&brief, Catalog::built_in())?;
/// assert_eq!(environment_class(&exposure), "sheltered C3");
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn environment_class(exposure: &Exposure) -> String {
    let shelter: Shelter = exposure.shelter;
    format!("{shelter} {}", exposure.atmosphere.category)
}

/// Years that equal dose promises a film as outermost layer with a field factor of 1 and without aging:
/// `H · hold · k · (d/d0)^0.75 / (c·s·r)`, from the medians. The treatment beneath (under one) is left out.
fn equal_dose_years(belief: &FilmBelief, exposure: &Exposure) -> f64 {
    let film = belief.film;
    let hold = belief.treatment.hold_on(0, film);
    let thicker = (film.usual_thickness_um() / film.reference_thickness_um.value).powf(THICKNESS_EXPONENT);
    belief.capacity_h.median() * hold * thicker * dose_um_per_hour() / rate_um(&site_of(exposure))
}

/// Share of its age alone from which the dose of a film can no longer be told from what was seen (assumption).
const ALL_AGE: f64 = 0.9;

/// A record without what the film aged by: 1/t = 1/t_dose + a. A part that failed near the age itself says of the dose
/// only that it withstood more.
fn without_age(row: &Row, ageing_per_year: f64) -> Row {
    let by_dose = |ln_years: f64| {
        let left = 1.0 - ln_years.exp() * ageing_per_year;
        ln_years - left.max(1.0 - ALL_AGE).ln()
    };
    let told = row.high.exp() * ageing_per_year < ALL_AGE;
    Row {
        low: by_dose(row.low),
        high: if told { by_dose(row.high) } else { f64::INFINITY },
        weight: row.weight,
    }
}

/// Updates field factor and salt-spray hours of a film from what became of its parts in the field.
///
/// The logarithm of a life by dose is `h + f + k - r`: salt-spray hours, field factor, cabinet rate, rate of the place; what the
/// film ages by is taken off each record first. The parts of
/// one place share all four, so a thousand of them show their sum and no more; only places apart average `r` out.
/// Each place's records, with the spread between parts, update the sum by its exact posterior mean and variance
/// (censored records integrated numerically), and the rest follows by correlation (`FIELD_UPDATE`). A surprise is
/// thus shared out by variance: mostly to the field factor, which is known least.
///
/// - *Field factor apart from salt-spray hours*: take `field_factor`; the spread of the hours has entered as doubt.
/// - *Both given*: put what [`fit_with_prior`](super::fit_with_prior) learned of the salt-spray records into
///   `capacity_h` (median and `median_log_sd`) and take both results.
///
/// The order of places matters only in the last digits, with censored records and where one contradicts the catalog: a
/// place counts no farther than `CONFLICT_SPREADS`, and a remark says so.
///
/// # Errors
/// No place or no record; years or weights out of range, an interval without end; a spread out of range.
///
/// ```
/// use overcoat::{brief::{Brief, Exposure}, catalog::Catalog};
/// use overcoat::records::{update_field_factor, FieldPlace, FieldRecord, FilmBelief};
/// let catalog = Catalog::built_in();
/// let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
///     "part": {"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"},
///     "duty": {"first_year_steel_loss_um": 10, "shelter": "sheltered", "required_years": 5}}"#)?;
/// let exposure = Exposure::of(&brief, catalog)?;
/// let belief = FilmBelief::of(catalog.film("hard_wax")?, catalog.treatment("hot_alkaline")?);
/// let seen = [FieldRecord::failed(1.5), FieldRecord::intact(2.0), FieldRecord::between(1.0, 1.5)];
/// let update = update_field_factor(&belief, &[FieldPlace { exposure: &exposure, records: &seen }])?;
/// assert!(update.field_factor.median > belief.field_factor.median());
/// assert!(update.field_factor.log_sd < belief.field_factor.log_sd);
/// assert!(update.correlation < 0.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn update_field_factor(belief: &FilmBelief, places: &[FieldPlace]) -> Result<FieldUpdate> {
    for (field, spread) in
        [("capacity_h.log_sd", belief.capacity_h.log_sd), ("field_factor.log_sd", belief.field_factor.log_sd)]
    {
        within(field, spread, 0.0, 3.0, "", "Enter the spread of the logarithm.")?;
    }
    within("part_log_sd", belief.part_log_sd, 0.01, 3.0, "", "Enter the spread between parts of one place.")?;
    if places.is_empty() {
        return Err(no_place());
    }
    // Deviations of ln salt-spray hours, ln field factor and ln cabinet rate from their medians before.
    let mut means = [0.0, belief.field_factor.ln_median, 0.0];
    let spreads = [belief.capacity_h.log_sd, belief.field_factor.log_sd, CABINET_LOG_SD];
    let mut covariance = [[0.0; 3]; 3];
    for (i, (line, spread)) in covariance.iter_mut().zip(spreads).enumerate() {
        if let Some(entry) = line.get_mut(i) {
            *entry = spread * spread;
        }
    }
    let (mut findings, mut remarks) = (Vec::new(), Vec::new());
    let (mut rows, mut failed) = (0, 0);
    for (i, place) in places.iter().enumerate() {
        let path = format!("places[{i}]");
        if place.records.is_empty() {
            return Err(invalid(
                &format!("{path}.records"),
                "none",
                "one record or more",
                "Leave the place out.",
            ));
        }
        let years = equal_dose_years(belief, place.exposure);
        let ageing = ageing_of_film(belief.film, belief.treatment, place.exposure);
        let observed: Vec<Row> = place
            .records
            .iter()
            .enumerate()
            .map(|(j, record)| {
                let row = record.row().map_err(|e| e.within(&format!("{path}.records[{j}]")))?;
                let row = without_age(&row, ageing);
                Ok(Row { low: row.low - years.ln(), high: row.high - years.ln(), weight: row.weight })
            })
            .collect::<Result<_>>()?;
        let air = place.exposure.atmosphere.log_sd;
        if absorb(&mut means, &mut covariance, &observed, belief.part_log_sd, air) {
            remarks.push(format!(
                "{}: the records contradict the catalog by more than {CONFLICT_SPREADS} spreads and count no farther than \
                 that; check years, film and place",
                environment_class(place.exposure)
            ));
        }
        rows += observed.len();
        failed += place.records.iter().filter(|r| r.outcome != Outcome::Intact).count();
        findings.push(PlaceFinding {
            environment: environment_class(place.exposure),
            equal_dose_years: years,
            place_log_sd: air.hypot(belief.part_log_sd),
            implied_field_factor: median_of_exact(&observed).map(f64::exp),
        });
    }
    if places.iter().flat_map(|place| place.records).map(|record| record.weight).sum::<f64>() <= 1.0 {
        remarks.push("one part alone: watch more of them before the factor is used".to_owned());
    }
    let [[hh, hf, _], [_, ff, _], _] = covariance;
    Ok(FieldUpdate {
        field_factor: Belief { median: means[1].exp(), log_sd: ff.max(0.0).sqrt() },
        capacity_h: Belief {
            median: (belief.capacity_h.ln_median + means[0]).exp(),
            log_sd: hh.max(0.0).sqrt(),
        },
        correlation: if hh > 0.0 && ff > 0.0 { hf / (hh * ff).sqrt() } else { 0.0 },
        places: findings,
        rows,
        failed,
        remarks,
    })
}

/// What the field taught of a film under one shelter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ShelterUpdate {
    /// The shelter.
    pub shelter: Shelter,
    /// What was taught.
    pub update: FieldUpdate,
}

/// Updates the field factor of a film apart for each shelter that places have, from the catalog's for that shelter.
///
/// Records under a roof say nothing of the film in the rain: each class learns from its own places, and starts from
/// the film's common field factor where the catalog has none for it. `capacity_h` replaces the catalog's where the
/// shop's salt-spray records gave one.
///
/// # Errors
/// As [`update_field_factor`].
///
/// ```
/// use overcoat::{brief::{Brief, Exposure}, atmosphere::Shelter, catalog::Catalog};
/// use overcoat::records::{update_by_shelter, FieldPlace, FieldRecord};
/// let catalog = Catalog::built_in();
/// let under = |shelter: &str| {
///     let text = format!(r#"{{"schema": "overcoat.brief.v1", "name": "x", "part": {{}},
///         "duty": {{"first_year_steel_loss_um": 10, "shelter": "{shelter}", "required_years": 5}}}}"#);
///     Exposure::of(&Brief::from_json(&text)?, catalog)
/// };
/// let (roof, rain) = (under("sheltered")?, under("open")?);
/// let (long, short) = ([FieldRecord::failed(1.5)], [FieldRecord::failed(0.1)]);
/// let places =
///     [FieldPlace { exposure: &roof, records: &long }, FieldPlace { exposure: &rain, records: &short }];
/// let (film, treatment) = (catalog.film("hard_wax")?, catalog.treatment("hot_alkaline")?);
/// let updates = update_by_shelter(film, treatment, None, 0.5, &places)?;
/// assert_eq!([updates[0].shelter, updates[1].shelter], [Shelter::Open, Shelter::Sheltered]);
/// assert!(updates[0].update.field_factor.median < updates[1].update.field_factor.median);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn update_by_shelter(
    film: &Film,
    treatment: &Treatment,
    capacity_h: Option<Lognormal>,
    part_log_sd: f64,
    places: &[FieldPlace],
) -> Result<Vec<ShelterUpdate>> {
    if places.is_empty() {
        return Err(no_place());
    }
    let mut updates = Vec::new();
    for &shelter in Shelter::ALL {
        let here: Vec<FieldPlace> =
            places.iter().filter(|place| place.exposure.shelter == shelter).cloned().collect();
        if here.is_empty() {
            continue;
        }
        let known = FilmBelief::under(film, treatment, shelter);
        let belief = FilmBelief { part_log_sd, capacity_h: capacity_h.unwrap_or(known.capacity_h), ..known };
        updates.push(ShelterUpdate { shelter, update: update_field_factor(&belief, &here)? });
    }
    Ok(updates)
}

fn no_place() -> crate::Error {
    invalid("places", "none", "one place or more", "Enter the places with their records.")
}

/// Takes in the records of one place. Their location is the sum of the three unknowns and of the place's own error;
/// its posterior mean and variance are exact, and the three follow by regression on it. Whether its mean was moved by no more
/// than `CONFLICT_SPREADS` of its spread before, though the records ask for more: one place is one observation of the
/// film, however far off it lies.
fn absorb(
    means: &mut [f64; 3],
    covariance: &mut [[f64; 3]; 3],
    rows: &[Row],
    part_log_sd: f64,
    air_log_sd: f64,
) -> bool {
    let with_sum: [f64; 3] = covariance.map(|line| line.iter().sum());
    let mean: f64 = means.iter().sum();
    let variance = with_sum.iter().sum::<f64>() + air_log_sd * air_log_sd;
    let alpha = 1.0 / part_log_sd;
    let density = lay(
        |location| {
            let away = location - mean;
            let (mut ln, mut slope, mut bend) =
                (-0.5 * away * away / variance, -away / variance, -1.0 / variance);
            for row in rows {
                let s = row.likelihood(Distribution::Lognormal, alpha, alpha * location);
                ln += row.weight * s.value;
                slope += row.weight * alpha * s.gradient[1];
                bend += row.weight * alpha * alpha * s.hessian[2];
            }
            (ln, slope, bend)
        },
        mean,
    );
    let (new_mean, new_variance) = density.mean_and_variance();
    let most = CONFLICT_SPREADS * variance.sqrt();
    let asked = new_mean - mean;
    let moved = asked.clamp(-most, most);
    for (value, shared) in means.iter_mut().zip(with_sum) {
        *value += shared / variance * moved;
    }
    let shrink = (new_variance - variance) / (variance * variance);
    for (line, a) in covariance.iter_mut().zip(with_sum) {
        for (entry, b) in line.iter_mut().zip(with_sum) {
            *entry += a * b * shrink;
        }
    }
    asked.abs() > most
}

fn median_of_exact(rows: &[Row]) -> Option<f64> {
    let mut known: Vec<f64> = rows.iter().filter(|r| r.is_exact()).map(|r| r.low).collect();
    known.sort_by(f64::total_cmp);
    let half = known.len() / 2;
    let upper = known.get(half).copied()?;
    if known.len() % 2 == 1 {
        Some(upper)
    } else {
        known.get(half.checked_sub(1)?).map(|low| f64::midpoint(*low, upper))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::Brief;
    use crate::catalog::Catalog;

    fn exposure(loss_um: f64) -> Exposure {
        let text = format!(
            r#"{{"schema": "overcoat.brief.v1", "name": "x",
            "part": {{"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"}},
            "duty": {{"first_year_steel_loss_um": {loss_um}, "shelter": "sheltered", "required_years": 5}}}}"#
        );
        Exposure::of(&Brief::from_json(&text).unwrap(), Catalog::built_in()).unwrap()
    }

    fn belief() -> FilmBelief<'static> {
        let catalog = Catalog::built_in();
        FilmBelief::of(catalog.film("hard_wax").unwrap(), catalog.treatment("hot_alkaline").unwrap())
    }

    fn ageing(exposure: &Exposure) -> f64 {
        ageing_of_film(belief().film, belief().treatment, exposure)
    }

    /// Years by dose of years in the field: 1/(1/t - a), by hand.
    fn by_dose(years: f64, exposure: &Exposure) -> f64 {
        1.0 / (1.0 / years - ageing(exposure))
    }

    /// Hard wax lasts 2.61 years by age under a roof without handling. Nine tenths of that and more say of the dose
    /// only that it withstood ten times as long.
    #[test]
    fn what_age_alone_explains_bounds_the_dose() {
        let exposure = exposure(20.0);
        assert!((ageing(&exposure) - 1.0 / 2.61).abs() < 1e-12);
        let row = |record: FieldRecord| without_age(&record.row().unwrap(), ageing(&exposure));
        let told = row(FieldRecord::failed(1.0));
        assert!((told.low.exp() - 1.0 / (1.0 - 1.0 / 2.61)).abs() < 1e-12 && told.is_exact());
        let bound = row(FieldRecord::failed(2.6));
        assert!((bound.low.exp() - 26.0).abs() < 1e-9 && bound.high == f64::INFINITY);
        let between = row(FieldRecord::between(1.0, 3.0));
        assert!(between.low == told.low && between.high == f64::INFINITY);
    }

    /// The years are those of the outlook, but for those of the bare treatment.
    #[test]
    fn equal_dose_years_are_those_of_the_outlook() {
        let catalog = Catalog::built_in();
        let exposure = exposure(20.0);
        let text = r#"{"schema": "overcoat.brief.v1", "name": "x",
            "part": {"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"},
            "duty": {"first_year_steel_loss_um": 20, "shelter": "sheltered", "required_years": 5}}"#;
        let brief = Brief::from_json(text).unwrap();
        let build = crate::finish::Build::new("steel_8_8", "hot_alkaline", ["hard_wax"]);
        let outlook =
            crate::life::outlook(&exposure, &brief.part, &catalog.resolve(&build).unwrap(), catalog).unwrap();
        let by_dose = equal_dose_years(&belief(), &exposure) * belief().field_factor.median();
        let years = 1.0 / (1.0 / by_dose + ageing(&exposure));
        assert!((years / outlook.median_years - 1.0).abs() < 0.05, "{years} {}", outlook.median_years);
    }

    /// Complete data: the linear update of three independent normals, by hand.
    #[test]
    fn complete_records_have_the_closed_form() {
        let (belief, exposure) = (belief(), exposure(20.0));
        let records = [0.2, 0.3, 0.45].map(FieldRecord::failed);
        let update =
            update_field_factor(&belief, &[FieldPlace { exposure: &exposure, records: &records }]).unwrap();
        let base = equal_dose_years(&belief, &exposure).ln();
        let mean = records.iter().map(|r| by_dose(r.years, &exposure).ln() - base).sum::<f64>() / 3.0;
        let f2 = belief.field_factor.log_sd.powi(2);
        let h2 = belief.capacity_h.log_sd.powi(2);
        let total = f2
            + h2
            + CABINET_LOG_SD.powi(2)
            + exposure.atmosphere.log_sd.powi(2)
            + belief.part_log_sd.powi(2) / 3.0;
        let surprise = mean - belief.field_factor.ln_median;
        let expected = belief.field_factor.ln_median + f2 / total * surprise;
        assert!((update.field_factor.median.ln() - expected).abs() < 1e-9);
        assert!((update.field_factor.log_sd - (f2 - f2 * f2 / total).sqrt()).abs() < 1e-9);
        assert!((update.capacity_h.log_sd - (h2 - h2 * h2 / total).sqrt()).abs() < 1e-9);
        let correlation = -f2 * h2 / total / (update.field_factor.log_sd * update.capacity_h.log_sd);
        assert!((update.correlation - correlation).abs() < 1e-9);
    }

    /// Two places: what is counted over both, and what each implies. Of 0.2, 0.3 and 0.45 years the middle one is 0.3,
    /// of these and 0.9 the middle is that between 0.3 and 0.45; a place where nothing failed at a known time implies nothing.
    #[test]
    fn places_are_counted_and_say_what_they_imply() {
        let (belief, exposure) = (belief(), exposure(20.0));
        let odd = [0.2, 0.45, 0.3].map(FieldRecord::failed);
        let mut even = [0.9, 0.2, 0.45, 0.3].map(FieldRecord::failed).to_vec();
        even.push(FieldRecord::intact(1.0));
        let looked_at = [FieldRecord::between(0.1, 0.2), FieldRecord::intact(0.3)];
        let places = [&odd[..], &even, &looked_at].map(|records| FieldPlace { exposure: &exposure, records });
        let update = update_field_factor(&belief, &places).unwrap();
        assert_eq!((update.rows, update.failed), (10, 8));
        let years = equal_dose_years(&belief, &exposure);
        let implied: Vec<Option<f64>> =
            update.places.iter().map(|place| place.implied_field_factor).collect();
        let of = |t: f64| by_dose(t, &exposure);
        assert!((implied[0].unwrap() - of(0.3) / years).abs() < 1e-12);
        assert!((implied[1].unwrap() - (of(0.3) * of(0.45)).sqrt() / years).abs() < 1e-12);
        assert_eq!(implied[2], None);
        let five = [0.2, 0.3, 0.4, 0.8, 0.9].map(FieldRecord::failed);
        for (seen, middle) in
            [(&odd[..1], of(0.2)), (&odd[..2], (of(0.2) * of(0.45)).sqrt()), (&five, of(0.4))]
        {
            let place = FieldPlace { exposure: &exposure, records: seen };
            let update = update_field_factor(&belief, &[place]).unwrap();
            assert!((update.places[0].implied_field_factor.unwrap() - middle / years).abs() < 1e-12);
        }
        assert_eq!(update.places[0].environment, "sheltered C2");
        assert_eq!(update.places[0].equal_dose_years, years);
    }

    /// A capacity of one's own and a spread between parts replace those of the catalog, under each shelter.
    #[test]
    fn an_update_by_shelter_takes_capacity_and_spread_of_its_own() {
        let catalog = Catalog::built_in();
        let (film, treatment) =
            (catalog.film("hard_wax").unwrap(), catalog.treatment("hot_alkaline").unwrap());
        let exposure = exposure(20.0);
        let records = [0.2, 0.3, 0.45].map(FieldRecord::failed);
        let places = [FieldPlace { exposure: &exposure, records: &records }];
        let own = Lognormal { ln_median: 90.0_f64.ln(), log_sd: 0.1 };
        let found = update_by_shelter(film, treatment, Some(own), 0.3, &places).unwrap();
        let known = FilmBelief::under(film, treatment, Shelter::Sheltered);
        let belief = FilmBelief { part_log_sd: 0.3, capacity_h: own, ..known };
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].shelter, Shelter::Sheltered);
        assert_eq!(found[0].update, update_field_factor(&belief, &places).unwrap());
        assert_ne!(found[0].update, update_field_factor(&known, &places).unwrap());
    }

    /// What is known for sure learns nothing and goes with nothing.
    #[test]
    fn what_is_without_doubt_has_no_correlation() {
        let exposure = exposure(20.0);
        let mut sure = belief();
        sure.capacity_h.log_sd = 0.0;
        let records = [FieldRecord::failed(0.9)];
        let update =
            update_field_factor(&sure, &[FieldPlace { exposure: &exposure, records: &records }]).unwrap();
        assert_eq!((update.correlation, update.capacity_h.log_sd), (0.0, 0.0));
        sure = FilmBelief { capacity_h: belief().capacity_h, ..sure };
        sure.field_factor.log_sd = 0.0;
        let update =
            update_field_factor(&sure, &[FieldPlace { exposure: &exposure, records: &records }]).unwrap();
        assert_eq!((update.correlation, update.field_factor.log_sd), (0.0, 0.0));
    }

    /// The surprise is shared out by variance, so the capacity moves by its share of it too.
    #[test]
    fn the_capacity_takes_its_share_of_the_surprise() {
        let (belief, exposure) = (belief(), exposure(20.0));
        let records = [FieldRecord::failed(0.9)];
        let update =
            update_field_factor(&belief, &[FieldPlace { exposure: &exposure, records: &records }]).unwrap();
        let by_factor = update.field_factor.median.ln() - belief.field_factor.ln_median;
        let by_capacity = update.capacity_h.median.ln() - belief.capacity_h.ln_median;
        let (f2, h2) = (belief.field_factor.log_sd.powi(2), belief.capacity_h.log_sd.powi(2));
        assert!(by_factor > 0.0 && (by_capacity / by_factor - h2 / f2).abs() < 1e-9);
    }

    /// By hand: 70/48 g/(m²·h) over the hours that hold, in g/m² a year at 7.86 g/cm³. Unphosphated steel holds 0.6 of
    /// them.
    #[test]
    fn equal_dose_years_are_a_dose_over_a_rate() {
        let catalog = Catalog::built_in();
        let film = catalog.film("hard_wax").unwrap();
        let belief = FilmBelief::of(film, catalog.treatment("none").unwrap());
        let dose = 48.1 * 0.6 * 70.0 / 48.0 / (20.0 * 7.86);
        assert!((equal_dose_years(&belief, &exposure(20.0)) / dose - 1.0).abs() < 1e-12);
        // rain ages it and uses up none of the dose
        let open = Exposure { rain_washed: true, ..exposure(20.0) };
        assert!((equal_dose_years(&belief, &open) / dose - 1.0).abs() < 1e-12);
        assert!((ageing(&open) - 1.0 / 2.61 - 1.0 / 1.19).abs() < 1e-12);
    }

    #[test]
    fn a_record_counts_for_one_part_unless_it_says_otherwise() {
        let record: FieldRecord = serde_json::from_str(r#"{"years": 3, "outcome": "failed"}"#).unwrap();
        assert_eq!(record, FieldRecord::failed(3.0));
        let twenty: FieldRecord =
            serde_json::from_str(r#"{"years": 3, "outcome": "failed", "weight": 20}"#).unwrap();
        assert_eq!(twenty.weight, 20.0);
    }

    #[test]
    fn a_capacity_known_well_leaves_the_surprise_to_the_field_factor() {
        let exposure = exposure(20.0);
        let records = [FieldRecord::failed(0.8); 5];
        let place = [FieldPlace { exposure: &exposure, records: &records }];
        let loose = update_field_factor(&belief(), &place).unwrap();
        let mut known = belief();
        known.capacity_h.log_sd = 0.05;
        let firm = update_field_factor(&known, &place).unwrap();
        assert!(firm.field_factor.median > loose.field_factor.median);
        assert!(firm.field_factor.log_sd < loose.field_factor.log_sd);
    }

    #[test]
    fn many_parts_of_one_place_leave_the_air_in_doubt() {
        let exposure = exposure(20.0);
        let records = [FieldRecord { weight: 1e6, ..FieldRecord::failed(0.3) }];
        let update =
            update_field_factor(&belief(), &[FieldPlace { exposure: &exposure, records: &records }]).unwrap();
        assert!(update.field_factor.log_sd > 0.3, "{}", update.field_factor.log_sd);
    }

    #[test]
    fn intact_parts_raise_and_never_lower() {
        let exposure = exposure(20.0);
        let mut last = belief().field_factor.median();
        for years in [0.5, 3.0, 10.0, 30.0] {
            let records = [FieldRecord::intact(years); 4];
            let update =
                update_field_factor(&belief(), &[FieldPlace { exposure: &exposure, records: &records }])
                    .unwrap();
            assert!(update.field_factor.median >= last);
            last = update.field_factor.median;
        }
    }

    /// One part without rust after two centuries is one observation: the sum moves by 2.5 of its spreads, and the factor by
    /// its share of them.
    #[test]
    fn one_part_moves_the_film_by_no_more_than_one_observation_can() {
        let (belief, exposure) = (belief(), exposure(20.0));
        let update = |records: &[FieldRecord]| {
            update_field_factor(&belief, &[FieldPlace { exposure: &exposure, records }]).unwrap()
        };
        let far = update(&[FieldRecord::intact(200.0)]);
        let f2 = belief.field_factor.log_sd.powi(2);
        let total = f2
            + belief.capacity_h.log_sd.powi(2)
            + CABINET_LOG_SD.powi(2)
            + exposure.atmosphere.log_sd.powi(2);
        let moved = far.field_factor.median.ln() - belief.field_factor.ln_median;
        assert!((moved - 2.5 * f2 / total.sqrt()).abs() < 1e-9, "{moved}");
        assert!(far.remarks.iter().any(|remark| remark.contains("contradict the catalog")));
        assert!(far.remarks.iter().any(|remark| remark.starts_with("one part alone")));
        assert!(update(&[0.2, 0.3, 0.45].map(FieldRecord::failed)).remarks.is_empty());
    }

    #[test]
    fn records_out_of_range_are_named() {
        let exposure = exposure(20.0);
        for record in [
            FieldRecord::failed(f64::NAN),
            FieldRecord::failed(0.0),
            FieldRecord::between(3.0, 2.0),
            FieldRecord::between(3.0, 3.0),
            FieldRecord { until_years: Some(3.0), ..FieldRecord::failed(2.0) },
        ] {
            let records = [FieldRecord::failed(1.0), record];
            let error =
                update_field_factor(&belief(), &[FieldPlace { exposure: &exposure, records: &records }])
                    .unwrap_err();
            assert!(error.field().starts_with("places[0].records[1]."), "{error}");
        }
    }
}
