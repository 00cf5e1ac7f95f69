//! What a shop's salt-spray log says of one film: the whole way from records to a catalog value, before and after.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use super::cabinet::{CabinetCheck, CorrectedRecords, ReferenceRun, correct_for_cabinets};
use super::distribution::Distribution;
use super::entry::{Estimate, Learned, Provenance, catalog_entry, lots_of};
use super::lots::{LEAST_LOTS, LotEffect, lot_effect};
use super::prior::{Prior, PriorFit, fit_with_prior};
use super::record::{Outcome, Record};
use super::zero_failure::{Fitted, fit_or_bound};
use crate::Result;
use crate::catalog::Catalog;
use crate::error::{invalid, nearest, table_error};
use crate::evidence::Source;

/// Spread between panels taken where nothing failed and no film is named.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const USUAL_SPREAD: Source =
    Source::assumption("ln SD of 0.6 between panels, that of most films of the catalog");
const USUAL_LOG_SD: f64 = 0.6;

/// From where on records contradict the catalog.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CONFLICT: Source = Source::assumption(
    "records contradict the catalog where their median lies more than 2.5 spreads from the catalog's, which one \
     sound log in 80 does: most such logs have hours in another unit; a place of a field log counts no farther than that",
);
/// `CONFLICT` as a number.
pub(super) const CONFLICT_SPREADS: f64 = 2.5;

/// How a log is to be fitted.
#[derive(Debug, Clone, Copy)]
pub struct LogOptions<'a> {
    /// The film, by its catalog name; left out, that of the records, if they name only one.
    pub film: Option<&'a str>,
    /// The distribution to fit.
    pub distribution: Distribution,
    /// Confidence of bounds, 0 to 1.
    pub confidence: f64,
    /// Losses of reference specimens by cabinet.
    pub cabinets: &'a [ReferenceRun],
    /// The catalog of the prior.
    pub catalog: &'a Catalog,
}

impl<'a> LogOptions<'a> {
    /// A lognormal fit with 90% bounds, no film named, cabinets not checked.
    pub const fn new(catalog: &'a Catalog) -> Self {
        Self { film: None, distribution: Distribution::Lognormal, confidence: 0.9, cabinets: &[], catalog }
    }
}

/// What a log says of a film's salt-spray hours.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LearnedCapacity {
    /// The records used, corrected for their cabinets.
    pub records: Vec<Record>,
    /// The film, where one was named and the catalog has it.
    pub film: Option<String>,
    /// By the records alone: an estimate, or where nothing failed a lower bound.
    pub fitted: Fitted,
    /// With the catalog's value as prior, where something failed and a film is named.
    pub posterior: Option<PriorFit>,
    /// The catalog's value before.
    pub prior: Option<Prior>,
    /// Lots, where at least four are named and they tell of a spread.
    pub lots: Option<LotEffect>,
    /// What reference specimens say of each cabinet.
    pub cabinets: Vec<CabinetCheck>,
    /// What to know before using the numbers, one sentence each.
    pub remarks: Vec<String>,
}

impl LearnedCapacity {
    /// The estimate that an entry is written from: by lots where these were fitted, else with the catalog's value as
    /// prior, else by the records alone; that of lots is weighed with the catalog's value too.
    ///
    /// Where nothing failed it is the catalog's median, or the lower bound where that is longer, but never longer than
    /// panels weighed with the catalog's value as prior make it; the spread stays the catalog's. Where some failed it is
    /// cut likewise, so that no film gets hours that were not watched and no failure lengthens its life; `fit` says so.
    ///
    /// # Errors
    /// Nothing failed and no film is named: there is no spread to go with the bound.
    pub fn estimate(&self) -> Result<Estimate> {
        let estimate = self.uncut()?;
        let most = self.most_hours()?;
        if estimate.median <= most {
            return Ok(estimate);
        }
        // a median that no panel was watched for leaves its spread unseen too
        let (median_log_se, between_log_sd) = match &self.prior {
            Some(prior) => (prior.median_log_se(), prior.variance().sqrt()),
            None => (estimate.median_log_se, estimate.between_log_sd),
        };
        let fit = format!(
            "a lower bound: cut to {} h, for which half of the panels were watched, from {} h of {}",
            Short(most),
            Short(estimate.median),
            estimate.fit
        );
        Ok(Estimate { median: most, median_log_se, between_log_sd, fit, ..estimate })
    }

    /// The longest median that the records allow: the time to which half of the panels were watched, or what the same
    /// records weighed with the catalog's value would make of panels that were all intact, where that is less; the
    /// catalog's own value is left alone.
    fn most_hours(&self) -> Result<f64> {
        let longest = self.hours_known_of_half();
        let Some(prior) = &self.prior else { return Ok(longest) };
        let intact = |record: &Record| Record::intact(watched(record)).weighing(record.weight);
        let intact: Vec<Record> = self.records.iter().map(intact).collect();
        Ok(fit_with_prior(&intact, prior)?.median_hours.min(longest).max(prior.median_hours))
    }

    /// The last time at which it is known of half of the panels whether they have failed: of one that failed for ever
    /// after, of one taken out intact up to then.
    fn hours_known_of_half(&self) -> f64 {
        let longest = self.records.iter().map(watched).fold(0.0, f64::max);
        let half = 0.5 * self.records.iter().map(|r| r.weight).sum::<f64>();
        let intact = |record: &&Record| record.outcome == Outcome::Intact;
        let failed: f64 = self.records.iter().filter(|r| !intact(r)).map(|r| r.weight).sum();
        // weights of a half add up to it within rounding
        let enough = |known: f64| known >= half * (1.0 - 1e-9);
        if enough(failed) {
            return longest;
        }
        let mut intact: Vec<&Record> = self.records.iter().filter(intact).collect();
        intact.sort_by(|a, b| b.hours.total_cmp(&a.hours));
        let mut known = failed;
        let reached = intact.into_iter().find(|record| {
            known += record.weight;
            enough(known)
        });
        reached.map_or(longest, |record| record.hours)
    }

    /// What the numbers alone give.
    fn uncut(&self) -> Result<Estimate> {
        let estimate = match (&self.fitted, &self.lots, &self.posterior, &self.prior) {
            (Fitted::LowerBound(bound), _, _, Some(prior)) => {
                let weighed = fit_with_prior(&self.records, prior)?.median_hours;
                Estimate {
                    median: bound.median_at_least_hours.min(weighed).max(prior.median_hours),
                    median_log_se: prior.median_log_se(),
                    between_log_sd: prior.variance().sqrt(),
                    rows: bound.rows,
                    failed: 0,
                    lots: None,
                    fit: format!(
                        "nothing failed: a lower bound of {:.0} h, weighed with {:.0} h of the catalog, which count for {} \
                         panels",
                        bound.median_at_least_hours, prior.median_hours, prior.panels
                    ),
                }
            }
            (Fitted::LowerBound(_), ..) => return Err(no_film()),
            (_, Some(lots), _, Some(prior)) => of_lots(lots, prior),
            (_, Some(lots), ..) => Estimate::from(lots),
            (_, None, Some(posterior), _) => Estimate::from(posterior),
            (Fitted::Estimate(fit), None, None, _) => Estimate::from(fit),
        };
        Ok(Estimate { lots: lots_of(&self.records)?, ..estimate })
    }

    /// A user catalog (JSON) that gives the film the salt-spray hours learned here.
    ///
    /// # Errors
    /// No film is named; what [`catalog_entry`] rejects.
    pub fn catalog_entry(&self, provenance: &Provenance, catalog: &Catalog) -> Result<String> {
        let film = self.film.as_deref().ok_or_else(no_film)?;
        catalog_entry(film, Learned::CapacityH, &self.estimate()?, provenance, catalog)
    }
}

impl fmt::Display for LearnedCapacity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let rows = self.records.len();
        match &self.film {
            Some(film) => writeln!(f, "{film}: {rows} records")?,
            None => writeln!(f, "{rows} records, no film named")?,
        }
        if let Some(prior) = &self.prior {
            writeln!(f, "before: {:.4} h, ln SD {:.2} (catalog)", Short(prior.median_hours), prior.log_sd)?;
        }
        match &self.fitted {
            Fitted::Estimate(fit) => writeln!(
                f,
                "records alone: {:.4} h, ln SD {:.2}, {} failed",
                Short(fit.median_hours()),
                fit.log_sd(),
                fit.failed + fit.between
            )?,
            Fitted::LowerBound(bound) => writeln!(
                f,
                "records alone: at least {:.4} h, none failed",
                Short(bound.median_at_least_hours)
            )?,
        }
        if let Ok(estimate) = self.estimate() {
            writeln!(
                f,
                "after: {:.4} h, ln SD {:.2} ({})",
                Short(estimate.median),
                estimate.log_sd(),
                estimate.fit
            )?;
        }
        self.remarks.iter().try_for_each(|remark| writeln!(f, "note: {remark}"))
    }
}

/// Hours up to which it is known whether a panel failed, of one that failed those at which it had.
fn watched(record: &Record) -> f64 {
    record.until_hours.unwrap_or(record.hours)
}

/// A number of at most four figures, without an exponent.
struct Short(f64);

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figures = if self.0 >= 100.0 {
            0
        } else if self.0 >= 10.0 {
            1
        } else {
            2
        };
        write!(f, "{:.figures$}", self.0)
    }
}

/// Lots with the catalog's value as prior, as [`fit_with_prior`] weighs complete panels. Panels of lots alike within count for
/// fewer: `n / (1 + (n/lots - 1)·share of the variance between lots)`, the design effect of clusters.
fn of_lots(lots: &LotEffect, prior: &Prior) -> Estimate {
    let alone = Estimate::from(lots);
    let spread = alone.between_log_sd.powi(2);
    let alike = if spread > 0.0 { lots.between_lot_log_sd.powi(2) / spread } else { 1.0 };
    let (rows, number) = (lots.rows as f64, lots.lots as f64);
    let own = rows / (1.0 + (rows / number - 1.0) * alike);
    let all = prior.panels + own;
    let away = (alone.median / prior.median_hours).ln();
    let variance =
        (prior.panels * prior.variance() + own * spread + prior.panels * own / all * away * away) / all;
    Estimate {
        median: prior.median_hours * (away * own / all).exp(),
        median_log_se: (variance / all).sqrt(),
        between_log_sd: variance.sqrt(),
        fit: format!(
            "{}, weight of {own:.0} panels; the catalog's {:.0} h with the weight of {}",
            alone.fit, prior.median_hours, prior.panels
        ),
        ..alone
    }
}

fn no_film() -> crate::Error {
    invalid("film", "none", "a film of the catalog", "Name the film of the records.")
}

/// Fits a log of one film: corrects the hours for their cabinets, leaves out the rows of other films and says so, fits
/// with the catalog's value as prior, by lots where four are named, and says where records and catalog contradict each
/// other. Films are never fitted together.
///
/// A name in the log stands for a film of the catalog whatever its capitals, blanks and hyphens: `Hard Wax` is
/// `hard_wax`.
///
/// # Errors
/// Records of several films where none is named; no record of the film; a film that the catalog does not have; what
/// [`fit_or_bound`] rejects.
///
/// ```
/// use overcoat::catalog::Catalog;
/// use overcoat::records::{LogOptions, learn_capacity, records_from_csv};
/// let log = records_from_csv("hours,failed,film\n200,no,Hard Wax\n200,no,hard_wax\n200,no,hard-wax\n200,no,hard_wax\n")?;
/// let learned = learn_capacity(&log, &LogOptions::new(Catalog::built_in()))?;
/// // none failed: a bound, and no more than was tested
/// assert!(learned.estimate()?.median <= 200.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn learn_capacity(records: &[Record], options: &LogOptions<'_>) -> Result<LearnedCapacity> {
    let LogOptions { distribution, confidence, catalog, .. } = *options;
    let CorrectedRecords { records, cabinets, unchecked_cabinets } =
        correct_for_cabinets(records, options.cabinets)?;
    let mut remarks = Vec::new();
    let (film, records) = of_one_film(records, options.film, catalog, &mut remarks)?;
    several_treatments(&records, &mut remarks);
    let capacity = film.as_deref().map(|name| catalog.film(name).map(|f| &f.capacity_h)).transpose()?;
    let prior = capacity.map(Prior::of);
    let scale = capacity.map_or(USUAL_LOG_SD, |spread| spread.log_sd);
    let fitted = fit_or_bound(&records, distribution, scale, confidence)?;
    if let [only] = records.as_slice()
        && only.weight <= 1.0
    {
        let weight = prior.map_or_else(String::new, |prior| {
            format!(": it counts as one against the {} that the catalog's value counts for", prior.panels)
        });
        remarks.push(format!("one panel{weight}; test more before the value is used"));
    }
    let (posterior, median_hours, median_log_se) = match &fitted {
        Fitted::Estimate(fit) => {
            remarks.extend(fit.remarks.iter().cloned());
            let posterior = prior.as_ref().map(|prior| fit_with_prior(&records, prior)).transpose()?;
            (posterior, fit.median_hours(), fit.quantile_log_se(0.5).unwrap_or(0.0))
        }
        Fitted::LowerBound(bound) => {
            remarks.push(bound.remark.clone());
            (None, bound.median_at_least_hours, 0.0)
        }
    };
    if let Some(prior) = &prior {
        let is_bound = posterior.is_none();
        remarks.extend(conflict(median_hours, median_log_se, prior, is_bound));
    }
    let named = lots_of(&records)?.unwrap_or(0);
    // Lots that tell nothing of a spread between them leave the rest of the answer as it is.
    let lots =
        match (named >= LEAST_LOTS && matches!(fitted, Fitted::Estimate(_))).then(|| lot_effect(&records)) {
            Some(Ok(lots)) => {
                remarks.extend(lots.remarks.iter().cloned());
                Some(lots)
            }
            Some(Err(error)) => {
                remarks.push(format!("lots were not fitted: {error}"));
                None
            }
            None => None,
        };
    remarks.extend(cabinets.iter().filter(|check| !check.in_window).map(|check| {
        format!("cabinet {}: outside 70 ± 20 g/m² in 48 h, its records count half", check.cabinet)
    }));
    let unchecked = unchecked_cabinets.iter().filter(|_| !cabinets.is_empty());
    remarks.extend(unchecked.map(|cabinet| format!("cabinet {cabinet}: no reference specimens")));
    let mut learned = LearnedCapacity { records, film, fitted, posterior, prior, lots, cabinets, remarks };
    learned.remarks.extend(cut(&learned)?);
    Ok(learned)
}

/// Says where the records alone would promise hours that were not watched.
fn cut(learned: &LearnedCapacity) -> Result<Option<String>> {
    let Fitted::Estimate(fit) = &learned.fitted else { return Ok(None) };
    let (uncut, most) = (learned.uncut()?.median, learned.most_hours()?);
    Ok((uncut > most).then(|| {
        format!(
            "{} of {} records failed: the {} h computed from them are beyond what was watched, so the value to use is \
             a lower bound of {} h. Test on until half have failed",
            fit.failed + fit.between,
            learned.records.len(),
            Short(uncut),
            Short(most)
        )
    }))
}

/// A name without what people write differently.
fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The records that name a film, where some do: one without may be of any.
fn of_any_film(mut records: Vec<Record>, remarks: &mut Vec<String>) -> Vec<Record> {
    let all = records.len();
    if records.iter().any(|record| record.film.is_some()) {
        records.retain(|record| record.film.is_some());
    }
    if records.len() < all {
        remarks.push(format!(
            "{} of {all} records name no film and are left out: name it in each, or in none",
            all - records.len()
        ));
    }
    records
}

/// The records of one film, and its catalog name.
fn of_one_film(
    records: Vec<Record>,
    asked: Option<&str>,
    catalog: &Catalog,
    remarks: &mut Vec<String>,
) -> Result<(Option<String>, Vec<Record>)> {
    let records = of_any_film(records, remarks);
    let known: Vec<&str> = catalog.content().films.keys().map(String::as_str).collect();
    let entry = |name: &str| known.iter().copied().find(|key| plain(key) == plain(name));
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for name in records.iter().filter_map(|record| record.film.as_deref()) {
        *counts.entry(entry(name).map_or_else(|| plain(name), str::to_owned)).or_default() += 1;
    }
    let film = match asked {
        Some(name) => {
            let key = entry(name).map_or_else(|| name.to_owned(), str::to_owned);
            catalog.film(&key)?;
            key
        }
        None if counts.len() > 1 => {
            let names: Vec<String> = counts.iter().map(|(name, rows)| format!("{name} ({rows})")).collect();
            return Err(table_error(
                "film",
                None,
                format!("records of several films: {}", names.join(", ")),
                "Name one of them as `film`: films are never fitted together.",
            ));
        }
        None => {
            let only = counts.keys().next().filter(|name| entry(name).is_some()).cloned();
            if let Some(name) = counts.keys().next().filter(|_| only.is_none()) {
                remarks.push(format!(
                    "the catalog has no film `{name}`, so no value of the catalog stands before the records"
                ));
            }
            return Ok((only, records));
        }
    };
    let all = records.len();
    let own = |record: &Record| {
        record
            .film
            .as_deref()
            .is_none_or(|name| entry(name).map_or_else(|| plain(name), str::to_owned) == film)
    };
    let records: Vec<Record> = records.into_iter().filter(own).collect();
    let others: Vec<String> = counts
        .iter()
        .filter(|(name, _)| **name != film)
        .map(|(name, rows)| match nearest(name, known.iter().copied()).filter(|_| entry(name).is_none()) {
            Some(close) => format!("{name} ({rows}; not in the catalog, did you mean {close}?)"),
            None => format!("{name} ({rows})"),
        })
        .collect();
    if records.is_empty() {
        return Err(table_error(
            "film",
            None,
            format!("none of {all} records is of {film}: {}", others.join(", ")),
            "Name the film that the log names.",
        ));
    }
    if !others.is_empty() {
        remarks.push(format!(
            "{} of {all} records are of other films and left out: {}",
            all - records.len(),
            others.join(", ")
        ));
    }
    Ok((Some(film), records))
}

fn several_treatments(records: &[Record], remarks: &mut Vec<String>) {
    let mut names: Vec<String> =
        records.iter().filter_map(|record| record.treatment.as_deref().map(plain)).collect();
    names.sort_unstable();
    names.dedup();
    if names.len() > 1 {
        remarks.push(format!(
            "records on several treatments are fitted together, though a film holds differently on each: {}",
            names.join(", ")
        ));
    }
}

/// Says where records and catalog cannot both be right. A lower bound can only lie too high; panels taken out intact
/// long before the catalog's median contradict nothing, but tell nothing either, and are most likely in another unit.
fn conflict(median_hours: f64, log_se: f64, prior: &Prior, is_bound: bool) -> Option<String> {
    let away = (median_hours / prior.median_hours).ln();
    if away.abs() <= CONFLICT_SPREADS * prior.log_sd.hypot(log_se) {
        return None;
    }
    let unit = |factor: f64| (away.abs() - factor.ln()).abs() < CONFLICT_SPREADS * prior.log_sd.hypot(log_se);
    let guess = match away {
        a if a < 0.0 && unit(24.0) => "; if they were typed in days, multiply by 24",
        a if a > 0.0 && unit(60.0) => "; if they were typed in minutes, divide by 60",
        _ => "",
    };
    let (times, side) = (away.abs().exp(), if away < 0.0 { "below" } else { "above" });
    let (found, catalog) = (Short(median_hours), Short(prior.median_hours));
    Some(if is_bound && away < 0.0 {
        format!(
            "no panel failed, and all were taken out by {found} h, {times:.0} times below the {catalog} h of the catalog: \
             they say nothing of the film. Check that the hours are hours{guess}, or test on until some fail"
        )
    } else {
        format!(
            "the records contradict the catalog: their median of {found} h lies {times:.0} times {side} its {catalog} h. \
             Check that the hours are hours{guess}"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn options(film: Option<&'static str>) -> LogOptions<'static> {
        LogOptions { film, ..LogOptions::new(Catalog::built_in()) }
    }

    fn named(film: &str, hours: &[f64]) -> Vec<Record> {
        hours.iter().map(|h| Record { film: Some(film.into()), ..Record::failed(*h) }).collect()
    }

    #[test]
    fn films_are_never_fitted_together() {
        let mut log = named("hard_wax", &[40.0, 60.0, 80.0]);
        log.extend(named("displacing_oil", &[20.0, 30.0]));
        let error = learn_capacity(&log, &options(None)).unwrap_err();
        assert!(
            error.to_string().contains("hard_wax (3)") && error.to_string().contains("displacing_oil (2)")
        );
        let learned = learn_capacity(&log, &options(Some("hard_wax"))).unwrap();
        assert_eq!(learned.records.len(), 3);
        assert!(
            learned.remarks.iter().any(|r| r.contains("2 of 5 records") && r.contains("displacing_oil (2)"))
        );
    }

    #[test]
    fn a_film_is_known_however_it_is_written() {
        let mut log = named("Hard_Wax", &[40.0, 60.0]);
        log.extend(named(" hard wax", &[80.0]));
        for film in [None, Some("hard_wax"), Some("Hard Wax")] {
            let learned = learn_capacity(&log, &options(film)).unwrap();
            assert_eq!((learned.film.as_deref(), learned.records.len()), (Some("hard_wax"), 3));
            assert!(learned.posterior.is_some());
        }
        log.extend(named("hard_waks", &[9.0]));
        let learned = learn_capacity(&log, &options(Some("hard_wax"))).unwrap();
        assert!(
            learned.remarks.iter().any(|r| r.contains("did you mean hard_wax?")),
            "{:?}",
            learned.remarks
        );
    }

    /// A row without a film beside rows with one may be of any: it is counted and left out.
    #[test]
    fn records_without_a_film_are_not_pooled_with_those_of_one() {
        let mut log = named("hard_wax", &[48.0, 60.0, 70.0]);
        log.extend([400.0, 420.0].map(Record::failed));
        for film in [None, Some("hard_wax")] {
            let learned = learn_capacity(&log, &options(film)).unwrap();
            assert_eq!(learned.records.len(), 3);
            assert!(learned.remarks.iter().any(|r| r.starts_with("2 of 5 records name no film")));
        }
        // where no row names one, all are of the film asked for
        let all = learn_capacity(&[48.0, 60.0].map(Record::failed), &options(Some("hard_wax"))).unwrap();
        assert_eq!((all.records.len(), all.remarks.iter().any(|r| r.contains("no film"))), (2, false));
    }

    #[test]
    fn panels_that_all_survived_promise_no_more_than_was_tested() {
        for panels in [22, 200] {
            let log = vec![Record::intact(200.0); panels];
            let learned = learn_capacity(&log, &options(Some("hard_wax"))).unwrap();
            let estimate = learned.estimate().unwrap();
            assert_eq!(estimate.median, 200.0);
            assert!(learned.posterior.is_none() && estimate.fit.contains("lower bound"));
            assert!(!learned.remarks.iter().any(|remark| remark.starts_with("one panel")));
        }
        // less than the catalog says: the catalog stays
        let catalog = Catalog::built_in().film("hard_wax").unwrap().capacity_h.median;
        let short = learn_capacity(&[Record::intact(5.0)], &options(Some("hard_wax"))).unwrap();
        assert_eq!(short.estimate().unwrap().median, catalog);
        assert!(learn_capacity(&[Record::intact(5.0)], &options(None)).unwrap().estimate().is_err());
    }

    /// By the conjugate form one panel that failed at ten times the catalog's hours, beside five of the catalog, moves the
    /// median by 10^(1/6); one that survived them says a little more.
    #[test]
    fn one_panel_moves_the_catalog_by_what_one_panel_says() {
        let catalog = Catalog::built_in().film("hard_wax").unwrap().capacity_h.median;
        let mut last = catalog;
        for times in [3.0, 10.0, 100.0, 1000.0] {
            let learned =
                learn_capacity(&[Record::intact(times * catalog)], &options(Some("hard_wax"))).unwrap();
            let estimate = learned.estimate().unwrap();
            let one_failed = catalog * f64::powf(times, 1.0 / 6.0);
            assert!(
                estimate.median >= last && estimate.median < 1.6 * one_failed,
                "{times}: {}",
                estimate.median
            );
            assert!(learned.remarks.iter().any(|remark| remark.starts_with("one panel: it counts as one")));
            assert!(learned.to_string().contains("note: one panel"));
            last = estimate.median;
        }
    }

    /// Four lots alike within, of three panels each, are four panels against the five of the catalog; without any
    /// difference between lots they are twelve.
    #[test]
    fn lots_are_weighed_with_the_catalog() {
        let prior = Prior { median_hours: 50.0, log_sd: 0.6, panels: 5.0 };
        let lots = |between: f64, within: f64| LotEffect {
            median_hours: 5000.0,
            median_log_se: 0.001,
            between_lot_log_sd: between,
            within_lot_log_sd: within,
            log_likelihood: 0.0,
            probability_alike: 0.5,
            lots: 4,
            rows: 12,
            failed: 12,
            remarks: Vec::new(),
        };
        let share = |lots: &LotEffect| (of_lots(lots, &prior).median / 50.0).ln() / 100.0_f64.ln();
        assert!((share(&lots(0.3, 0.0)) - 4.0 / 9.0).abs() < 1e-12);
        assert!((share(&lots(0.0, 0.3)) - 12.0 / 17.0).abs() < 1e-12);
        // lots that contradict the catalog leave a wide spread, however alike they are
        assert!(of_lots(&lots(0.0, 0.001), &prior).between_log_sd > 1.0);
    }

    #[test]
    fn hours_in_another_unit_are_remarked() {
        let says = |hours: &[f64], words: &str| {
            let learned = learn_capacity(&named("hard_wax", hours), &options(None)).unwrap();
            learned.remarks.iter().any(|r| r.contains("contradict") && r.contains(words))
        };
        let catalog = Catalog::built_in().film("hard_wax").unwrap().capacity_h.median;
        let hours = [0.7, 0.9, 1.0, 1.1, 1.4].map(|x| x * catalog);
        assert!(!says(&hours, ""));
        assert!(says(&hours.map(|h| h / 24.0), "days"));
        assert!(says(&hours.map(|h| h * 60.0), "minutes"));
        // half or twice the catalog's is a shop that differs
        assert!(!says(&hours.map(|h| h / 2.0), "") && !says(&hours.map(|h| h * 2.0), ""));
        let survived = vec![Record::intact(catalog * 60.0); 5];
        let learned = learn_capacity(&survived, &options(Some("hard_wax"))).unwrap();
        assert!(learned.remarks.iter().any(|r| r.contains("contradict")));
    }

    #[test]
    fn a_film_of_the_users_own_catalog_is_learned_into_it() {
        let wax = serde_json::to_value(Catalog::built_in().film("hard_wax").unwrap()).unwrap();
        let own =
            serde_json::json!({"schema": "overcoat.catalog.v1", "name": "ours", "films": {"house_wax": wax}});
        let catalog = Catalog::from_json(&own.to_string()).unwrap();
        let options = LogOptions { film: Some("house_wax"), ..LogOptions::new(&catalog) };
        let learned = learn_capacity(&[35.0, 50.0, 65.0].map(Record::failed), &options).unwrap();
        let provenance =
            Provenance { catalog: "our cabinet".into(), from: "2026-01".into(), to: "2026-03".into() };
        let entry = learned.catalog_entry(&provenance, &catalog).unwrap();
        let taught = catalog.extended(&entry).unwrap();
        assert!((taught.film("house_wax").unwrap().capacity_h.median - 50.0).abs() < 5.0);
    }
}
