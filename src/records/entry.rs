//! What was learned, as a user catalog; and what two shops learned, merged.

use serde::{Deserialize, Serialize};
use serde_json::json;

use super::fit::Fit;
use super::lots::LotEffect;
use super::prior::PriorFit;
use super::record::check_records;
use super::{FieldUpdate, Record};
use crate::Result;
use crate::atmosphere::Shelter;
use crate::catalog::{CATALOG_SCHEMA, Catalog};
use crate::error::{invalid, within};
use crate::evidence::Source;

/// How estimates of several shops are merged.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const MERGING: Source = Source::from_memory(
    "DerSimonian, R., Laird, N.: Meta-analysis in clinical trials. Controlled Clinical Trials 7 (1986) 177-188",
);

/// A median with what is known of it, as one shop hands it to another.
///
/// A catalog entry has one spread, a merge needs two: how well the median is known, and how panels differ. So shops
/// exchange estimates, and write entries from them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Estimate {
    /// The median: in hours of salt spray, or without a unit for a field factor.
    pub median: f64,
    /// Standard error of its logarithm.
    pub median_log_se: f64,
    /// Spread of the logarithm between panels and lots.
    pub between_log_sd: f64,
    /// How many records it is based on.
    pub rows: usize,
    /// How many of them failed.
    pub failed: usize,
    /// How many lots they came from, where known.
    pub lots: Option<usize>,
    /// How it was fitted.
    pub fit: String,
}

impl Estimate {
    /// The spread that a catalog states: of the next panel, median and panels together.
    ///
    /// ```
    /// use overcoat::records::{fit, Distribution, Estimate, Record};
    /// let fitted = fit(&[40.0, 60.0, 90.0].map(Record::failed), Distribution::Lognormal)?;
    /// let estimate = Estimate::from(&fitted);
    /// assert!(estimate.log_sd() > fitted.log_sd());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn log_sd(&self) -> f64 {
        self.median_log_se.hypot(self.between_log_sd)
    }

    fn check(&self) -> Result<()> {
        within("median", self.median, f64::MIN_POSITIVE, 1e6, "", "Enter a median above 0.")?;
        within("median_log_se", self.median_log_se, 1e-6, 3.0, "", "Enter the standard error of ln median.")?;
        within("between_log_sd", self.between_log_sd, 0.0, 3.0, "", "Enter the spread between panels.")
            .map(|_| ())
    }

    /// Field factor of a [`FieldUpdate`].
    pub fn of_field_factor(update: &FieldUpdate) -> Self {
        Self {
            median: update.field_factor.median,
            median_log_se: update.field_factor.log_sd,
            between_log_sd: 0.0,
            rows: update.rows,
            failed: update.failed,
            lots: None,
            fit: format!(
                "field factor updated from the catalog's by years in the field{}",
                if update.failed == 0 { ": a lower bound, since nothing failed" } else { "" }
            ),
        }
    }
}

impl From<&Fit> for Estimate {
    fn from(fit: &Fit) -> Self {
        Self {
            median: fit.median_hours(),
            median_log_se: fit.quantile_log_se(0.5).unwrap_or(f64::NAN),
            between_log_sd: fit.log_sd(),
            rows: fit.rows,
            failed: fit.failed + fit.between,
            lots: None,
            fit: format!("{} by maximum likelihood", fit.distribution),
        }
    }
}

impl From<&PriorFit> for Estimate {
    fn from(fit: &PriorFit) -> Self {
        Self {
            median: fit.median_hours,
            median_log_se: fit.median_log_sd,
            between_log_sd: fit.between_panel_log_sd,
            rows: fit.rows,
            failed: fit.failed,
            lots: None,
            fit: format!(
                "lognormal; the catalog's {} h with the weight of {} panels",
                rounded(fit.prior.median_hours),
                fit.prior.panels
            ),
        }
    }
}

impl From<&LotEffect> for Estimate {
    fn from(effect: &LotEffect) -> Self {
        Self {
            median: effect.median_hours,
            median_log_se: effect.median_log_se,
            between_log_sd: effect.between_lot_log_sd.hypot(effect.within_lot_log_sd),
            rows: effect.rows,
            failed: effect.failed,
            lots: Some(effect.lots),
            fit: "lognormal with random lot effect by maximum likelihood".to_owned(),
        }
    }
}

/// Number of lots named in records, for an estimate that does not know it.
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects.
///
/// ```
/// use overcoat::records::{lots_of, Record};
/// assert_eq!(lots_of(&[Record::failed(9.0).in_lot("A"), Record::failed(8.0).in_lot("A")])?, Some(1));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn lots_of(records: &[Record]) -> Result<Option<usize>> {
    check_records(records)?;
    let lots: std::collections::BTreeSet<&str> = records.iter().filter_map(|r| r.lot.as_deref()).collect();
    Ok((!lots.is_empty()).then_some(lots.len()))
}

/// Which number of a film an estimate is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Learned {
    /// `capacity_h`.
    CapacityH,
    /// `field_factor`.
    FieldFactor,
    /// One of `field_factors`, that of a shelter.
    FieldFactorUnder(Shelter),
}

impl Learned {
    /// The field of a film, and what the field is divided by.
    const fn path(self) -> (&'static str, Option<Shelter>) {
        match self {
            Self::CapacityH => ("capacity_h", None),
            Self::FieldFactor => ("field_factor", None),
            Self::FieldFactorUnder(shelter) => ("field_factors", Some(shelter)),
        }
    }
}

/// What the source of an entry says besides the numbers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Provenance {
    /// Name of the user catalog.
    pub catalog: String,
    /// First date of the records, as it shall be printed.
    pub from: String,
    /// Last date.
    pub to: String,
}

/// Writes an estimate as a user catalog (`overcoat.catalog.v1`) that overrides one number of a film of `catalog`.
///
/// Its source has the firmness `own_records` and the citation "own records: n, lots, dates, fit". A user catalog of
/// two numbers is two of these, one extending the other.
///
/// # Errors
/// A film that the catalog does not have; a median or spread that a catalog does not take.
///
/// ```
/// use overcoat::{catalog::Catalog, Firmness};
/// use overcoat::records::{catalog_entry, fit, Distribution, Estimate, Learned, Provenance, Record};
/// let fitted = fit(&[40.0, 60.0, 90.0].map(Record::failed), Distribution::Lognormal)?;
/// let provenance =
///     Provenance { catalog: "our cabinet".into(), from: "2025-01".into(), to: "2025-12".into() };
/// let estimate = Estimate::from(&fitted);
/// let text = catalog_entry("hard_wax", Learned::CapacityH, &estimate, &provenance, Catalog::built_in())?;
/// let catalog = Catalog::from_json(&text)?;
/// let capacity = &catalog.film("hard_wax")?.capacity_h;
/// assert_eq!(capacity.median, 60.0);
/// assert_eq!(catalog.source(&capacity.source).firmness, Firmness::OwnRecords);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn catalog_entry(
    film: &str,
    learned: Learned,
    estimate: &Estimate,
    provenance: &Provenance,
    catalog: &Catalog,
) -> Result<String> {
    estimate.check()?;
    catalog.film(film)?;
    let (field, shelter) = learned.path();
    let key = match shelter {
        None => format!("own_records_{film}_{field}"),
        Some(shelter) => format!("own_records_{film}_{field}_{shelter}"),
    };
    let lots = estimate.lots.map_or_else(|| "lots not named".to_owned(), |n| format!("{n} lots"));
    let records = if estimate.rows == 1 { "one record alone" } else { &format!("{} records", estimate.rows) };
    let citation = format!(
        "own records: {records} ({} failed), {lots}, {} to {}, {}",
        estimate.failed, provenance.from, provenance.to, estimate.fit
    );
    let mut sources = serde_json::Map::new();
    sources.insert(key.clone(), json!({"firmness": "own_records", "citation": citation}));
    let mut fields = serde_json::Map::new();
    let number =
        json!({"median": rounded(estimate.median), "log_sd": rounded(estimate.log_sd()), "source": key});
    let number = match shelter {
        None => number,
        Some(shelter) => serde_json::Map::from_iter([(shelter.word().to_owned(), number)]).into(),
    };
    fields.insert(field.to_owned(), number);
    let mut films = serde_json::Map::new();
    films.insert(film.to_owned(), fields.into());
    let document =
        json!({"schema": CATALOG_SCHEMA, "name": provenance.catalog, "sources": sources, "films": films});
    let text = format!("{document:#}\n");
    // What does not fit a catalog is rejected here and not by whoever reads it.
    catalog.extended(&text).map(|_| text)
}

/// Four digits: more would pretend.
fn rounded(x: f64) -> f64 {
    format!("{x:.3e}").parse().unwrap_or(x)
}

/// Merges the estimates of several shops of the same film and number, by precision.
///
/// Each median weighs `1/(se² + τ²)`, with `τ²` the variance between shops by the moments of DerSimonian & Laird
/// (`MERGING`): 0 while the shops agree within their errors, growing as they do not, so that a shop with many
/// records does not drown one that sees something else. The spread between panels is pooled by the number of records
/// and widened by `τ`, for the next shop may be a third one. Merging is symmetric; it is not associative where shops
/// disagree: merge all at once.
///
/// # Errors
/// Fewer than two estimates; one out of range.
///
/// ```
/// use overcoat::records::{merge_estimates, Estimate};
/// let shop = |median: f64, median_log_se: f64| Estimate {
///     median, median_log_se, between_log_sd: 0.4, rows: 10, failed: 8, lots: Some(4), fit: "lognormal".into(),
/// };
/// let merged = merge_estimates(&[shop(60.0, 0.1), shop(66.0, 0.1)])?;
/// assert!((merged.median - (60.0_f64 * 66.0).sqrt()).abs() < 1e-9);
/// assert!(merged.median_log_se < 0.1);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn merge_estimates(estimates: &[Estimate]) -> Result<Estimate> {
    if estimates.len() < 2 {
        return Err(invalid("estimates", estimates.len(), "2 or more", "There is nothing to merge."));
    }
    for (i, estimate) in estimates.iter().enumerate() {
        estimate.check().map_err(|e| e.within(&format!("estimates[{i}]")))?;
    }
    let weighted = |extra: f64| {
        let weights: Vec<f64> = estimates.iter().map(|e| 1.0 / (e.median_log_se.powi(2) + extra)).collect();
        let total: f64 = weights.iter().sum();
        let mean = estimates.iter().zip(&weights).map(|(e, w)| w * e.median.ln()).sum::<f64>() / total;
        (weights, total, mean)
    };
    let (weights, total, mean) = weighted(0.0);
    let q: f64 = estimates.iter().zip(&weights).map(|(e, w)| w * (e.median.ln() - mean).powi(2)).sum();
    let squares: f64 = weights.iter().map(|w| w * w).sum();
    let between_shops = ((q - (estimates.len() as f64 - 1.0)) / (total - squares / total)).max(0.0);
    let (_, total, mean) = weighted(between_shops);
    let rows: usize = estimates.iter().map(|e| e.rows).sum();
    let count = |e: &Estimate| e.rows.max(1) as f64;
    let panels = estimates.iter().map(|e| count(e) * e.between_log_sd.powi(2)).sum::<f64>()
        / estimates.iter().map(count).sum::<f64>();
    Ok(Estimate {
        median: mean.exp(),
        median_log_se: (1.0 / total).sqrt(),
        between_log_sd: (panels + between_shops).sqrt(),
        rows,
        failed: estimates.iter().map(|e| e.failed).sum(),
        lots: estimates.iter().map(|e| e.lots).sum(),
        fit: format!(
            "merged of {} shops by precision, ln SD between shops {:.2}",
            estimates.len(),
            between_shops.sqrt()
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Firmness;
    use crate::records::{Distribution, Prior, fit, fit_with_prior, lot_effect};
    use proptest::prelude::*;

    fn provenance() -> Provenance {
        Provenance { catalog: "our cabinet".into(), from: "2025-01-08".into(), to: "2025-12-02".into() }
    }

    fn estimate(median: f64, median_log_se: f64) -> Estimate {
        Estimate {
            median,
            median_log_se,
            between_log_sd: 0.4,
            rows: 12,
            failed: 9,
            lots: Some(5),
            fit: "lognormal by maximum likelihood".into(),
        }
    }

    #[test]
    fn an_entry_is_a_user_catalog_that_says_where_it_comes_from() {
        let text = catalog_entry(
            "soft_wax",
            Learned::CapacityH,
            &estimate(81.3, 0.12),
            &provenance(),
            Catalog::built_in(),
        )
        .unwrap();
        let catalog = Catalog::from_json(&text).unwrap();
        let capacity = &catalog.film("soft_wax").unwrap().capacity_h;
        assert_eq!(capacity.median, 81.3);
        assert!((capacity.log_sd - 0.12_f64.hypot(0.4)).abs() < 1e-4);
        let source = catalog.source(&capacity.source);
        assert_eq!(source.firmness, Firmness::OwnRecords);
        assert_eq!(
            source.citation,
            "own records: 12 records (9 failed), 5 lots, 2025-01-08 to 2025-12-02, lognormal by maximum likelihood"
        );
        assert!(catalog.overrides().iter().any(|o| o.path == "films.soft_wax.capacity_h.median"));
    }

    #[test]
    fn two_entries_extend_each_other() {
        let a = catalog_entry(
            "soft_wax",
            Learned::CapacityH,
            &estimate(81.0, 0.1),
            &provenance(),
            Catalog::built_in(),
        )
        .unwrap();
        let b = catalog_entry(
            "soft_wax",
            Learned::FieldFactor,
            &estimate(1.4, 0.3),
            &provenance(),
            Catalog::built_in(),
        )
        .unwrap();
        let catalog = Catalog::from_json(&a).unwrap().extended(&b).unwrap();
        let film = catalog.film("soft_wax").unwrap();
        assert_eq!((film.capacity_h.median, film.field_factor.median), (81.0, 1.4));
    }

    #[test]
    fn an_entry_of_a_shelter_leaves_the_others() {
        let learned = Learned::FieldFactorUnder(Shelter::Sheltered);
        let text =
            catalog_entry("soft_wax", learned, &estimate(2.0, 0.3), &provenance(), Catalog::built_in())
                .unwrap();
        let catalog = Catalog::from_json(&text).unwrap();
        let film = catalog.film("soft_wax").unwrap();
        let built_in = &Catalog::built_in().film("soft_wax").unwrap().field_factor;
        assert_eq!(crate::life::field_factor_under(film, Shelter::Sheltered).median, 2.0);
        assert_eq!(crate::life::field_factor_under(film, Shelter::Open), built_in);
        let source = catalog.source(&film.field_factors.sheltered.as_ref().unwrap().source);
        assert_eq!(source.firmness, Firmness::OwnRecords);
    }

    #[test]
    fn every_kind_of_fit_becomes_an_entry() {
        let mut log = Vec::new();
        for (i, lot) in ["A", "B", "C", "D"].into_iter().enumerate() {
            for hours in [40.0, 55.0, 70.0] {
                log.push(Record::failed(hours * (1.0 + 0.2 * i as f64)).in_lot(lot));
            }
        }
        let estimates = [
            Estimate::from(&fit(&log, Distribution::Weibull).unwrap()),
            Estimate::from(&lot_effect(&log).unwrap()),
            Estimate::from(
                &fit_with_prior(&log, &Prior { median_hours: 70.0, log_sd: 0.6, panels: 5.0 }).unwrap(),
            ),
        ];
        for estimate in estimates {
            catalog_entry("soft_wax", Learned::CapacityH, &estimate, &provenance(), Catalog::built_in())
                .unwrap();
        }
        assert_eq!(lots_of(&log).unwrap(), Some(4));
    }

    #[test]
    fn failures_between_two_looks_count_as_failures() {
        let mut log: Vec<Record> = [40.0, 55.0, 70.0].map(Record::failed).to_vec();
        log.extend([Record::between(30.0, 50.0), Record::between(60.0, 80.0), Record::intact(90.0)]);
        let estimate = Estimate::from(&fit(&log, Distribution::Lognormal).unwrap());
        assert_eq!((estimate.rows, estimate.failed), (6, 5));
    }

    #[test]
    fn one_shop_is_nothing_to_merge_and_three_are() {
        assert_eq!(merge_estimates(&[estimate(60.0, 0.1)]).unwrap_err().field(), "estimates");
        let three = [estimate(60.0, 0.1), estimate(60.0, 0.1), estimate(60.0, 0.1)];
        assert!((merge_estimates(&three).unwrap().median_log_se - 0.1 / 3.0_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn an_unknown_film_or_a_wild_estimate_is_refused() {
        let error = catalog_entry(
            "soft_waks",
            Learned::CapacityH,
            &estimate(80.0, 0.1),
            &provenance(),
            Catalog::built_in(),
        )
        .unwrap_err();
        assert!(error.to_string().contains("soft_wax"), "{error}");
        for (median, se) in [(f64::NAN, 0.1), (0.0, 0.1), (80.0, 9.0), (1e5, 0.1)] {
            assert!(
                catalog_entry(
                    "soft_wax",
                    Learned::CapacityH,
                    &estimate(median, se),
                    &provenance(),
                    Catalog::built_in()
                )
                .is_err()
            );
        }
    }

    /// Two shops that agree: the inverse variances add. Two that do not: by hand, `τ² = (d² - se₁² - se₂²)/2`.
    #[test]
    fn two_shops_have_the_closed_form() {
        let merged = merge_estimates(&[estimate(60.0, 0.1), estimate(62.0, 0.2)]).unwrap();
        assert!((merged.median_log_se - (1.0 / (100.0_f64 + 25.0)).sqrt()).abs() < 1e-12);
        assert!((merged.between_log_sd - 0.4).abs() < 1e-12);
        let merged = merge_estimates(&[estimate(50.0, 0.1), estimate(100.0, 0.2)]).unwrap();
        let tau2 = (2.0_f64.ln().powi(2) - 0.01 - 0.04) / 2.0;
        assert!((merged.between_log_sd.powi(2) - 0.16 - tau2).abs() < 1e-12);
        assert_eq!((merged.rows, merged.failed, merged.lots), (24, 18, Some(10)));
    }

    proptest! {
        #[test]
        fn merging_is_symmetric_and_lies_between(a in 10.0..500.0_f64, b in 10.0..500.0_f64, s in 0.05..0.5_f64, t in 0.05..0.5_f64) {
            let (x, y) = (estimate(a, s), estimate(b, t));
            let one = merge_estimates(&[x.clone(), y.clone()]).unwrap();
            let other = merge_estimates(&[y, x]).unwrap();
            prop_assert!((one.median / other.median - 1.0).abs() < 1e-12);
            prop_assert!(one.median >= a.min(b) * (1.0 - 1e-12) && one.median <= a.max(b) * (1.0 + 1e-12));
        }
    }
}
