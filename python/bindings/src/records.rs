//! Film capacity fitted to records.

use pyo3::prelude::*;

use crate::arguments::{cells, number, text};
use crate::documents::{Catalog, Form, catalog_or_default, text_or_file};
use crate::learning::{CabinetCheck, Estimate, losses_of, provenance_of};
use overcoat::error::invalid;
use overcoat::records::{
    CabinetCheck as CoreCheck, CorrectedRecords, Distribution, Estimate as CoreEstimate, Fit, Fitted,
    GoodnessOfFit, LEAST_LOTS, Learned, LotEffect, Prior, PriorFit, Record, ReferenceRun, ZeroFailureBound,
    catalog_entry, correct_for_cabinets, fit_or_bound, fit_with_prior, goodness_of_fit, lot_effect, lots_of,
    probability_plot, profile_bounds, records_from_csv, records_from_rows,
};

fn no_film() -> overcoat::Error {
    invalid("film", "none", "a film of the catalog", "Name the film of the records.")
}

/// Spread taken where nothing failed and no film names one (assumption: that of most films of the catalog).
const USUAL_LOG_SD: f64 = 0.6;

/// Lower and upper bound in hours; None is open.
type BoundsTuple = (Option<f64>, Option<f64>);

/// What records say of a film's capacity.
#[pyclass(frozen, module = "overcoat")]
pub(super) struct FittedRecords {
    records: Vec<Record>,
    distribution: Distribution,
    confidence: f64,
    film: Option<String>,
    fitted: Fitted,
    posterior: Option<PriorFit>,
    lots: Option<LotEffect>,
    without_lots: Option<String>,
    cabinets: Vec<CoreCheck>,
    unchecked_cabinets: Vec<String>,
}

impl FittedRecords {
    fn of(
        records: Vec<Record>,
        distribution: Distribution,
        film: Option<String>,
        catalog: Option<Catalog>,
        confidence: f64,
    ) -> overcoat::Result<Self> {
        let catalog = catalog_or_default(catalog);
        let capacity = film.as_deref().map(|name| catalog.film(name).map(|f| &f.capacity_h)).transpose()?;
        let scale = capacity.map_or(USUAL_LOG_SD, |spread| spread.log_sd);
        let fitted = fit_or_bound(&records, distribution, scale, confidence)?;
        let posterior = capacity.map(|spread| fit_with_prior(&records, &Prior::of(spread))).transpose()?;
        let named = lots_of(&records)?.unwrap_or(0);
        // Lots that tell nothing of a spread between them leave the rest of the answer as it is.
        let (lots, without_lots) = match (named >= LEAST_LOTS).then(|| lot_effect(&records)) {
            Some(Ok(lots)) => (Some(lots), None),
            Some(Err(error)) => (None, Some(format!("lots were not fitted: {error}"))),
            None => (None, None),
        };
        Ok(Self {
            records,
            distribution,
            confidence,
            film,
            fitted,
            posterior,
            lots,
            without_lots,
            cabinets: Vec::new(),
            unchecked_cabinets: Vec::new(),
        })
    }

    fn fit(&self) -> Option<&Fit> {
        match &self.fitted {
            Fitted::Estimate(fit) => Some(fit),
            Fitted::LowerBound(_) => None,
        }
    }

    fn bound(&self) -> Option<&ZeroFailureBound> {
        match &self.fitted {
            Fitted::Estimate(_) => None,
            Fitted::LowerBound(bound) => Some(bound),
        }
    }

    fn core_estimate(&self) -> overcoat::Result<CoreEstimate> {
        let estimate = match (&self.lots, &self.posterior, &self.fitted) {
            (Some(lots), _, _) => CoreEstimate::from(lots),
            (None, Some(posterior), _) => CoreEstimate::from(posterior),
            (None, None, Fitted::Estimate(fit)) => CoreEstimate::from(fit),
            (None, None, Fitted::LowerBound(_)) => return Err(no_film()),
        };
        Ok(CoreEstimate { lots: lots_of(&self.records)?, ..estimate })
    }

    fn bounds_of(&self, probability: f64) -> PyResult<BoundsTuple> {
        match self.bound() {
            Some(bound) if probability == 0.5 => Ok((Some(bound.median_at_least_hours), None)),
            Some(_) => Err(invalid(
                "probability",
                probability,
                "0.5 where nothing failed",
                "Test on until some panels fail, or ask for the median.",
            )
            .into()),
            None => {
                let bounds = profile_bounds(&self.records, self.distribution, probability, self.confidence)?;
                Ok((bounds.lower_hours, bounds.upper_hours))
            }
        }
    }
}

#[pymethods]
impl FittedRecords {
    /// `lognormal` or `weibull`.
    #[getter]
    fn distribution(&self) -> &'static str {
        self.distribution.word()
    }

    /// Confidence of the bounds.
    #[getter]
    fn confidence(&self) -> f64 {
        self.confidence
    }

    /// Records used.
    #[getter]
    fn rows(&self) -> usize {
        self.records.len()
    }

    /// Records of these that failed, at a known time or between two.
    #[getter]
    fn failed(&self) -> usize {
        self.fit().map_or(0, |fit| fit.failed + fit.between)
    }

    /// `estimate`, or `lower bound` where nothing failed.
    #[getter]
    fn kind(&self) -> &'static str {
        if self.fit().is_some() { "estimate" } else { "lower bound" }
    }

    /// Median hours by maximum likelihood; where nothing failed, the hours that the median reaches at least.
    #[getter]
    fn median_hours(&self) -> f64 {
        match &self.fitted {
            Fitted::Estimate(fit) => fit.median_hours(),
            Fitted::LowerBound(bound) => bound.median_at_least_hours,
        }
    }

    /// Spread of the logarithm between panels by maximum likelihood, or None where nothing failed.
    #[getter]
    fn log_sd(&self) -> Option<f64> {
        self.fit().map(Fit::log_sd)
    }

    /// Shape of a fitted Weibull distribution, or None.
    #[getter]
    fn weibull_shape(&self) -> Option<f64> {
        self.fit().and_then(Fit::weibull_shape)
    }

    /// Profile-likelihood bounds of the median (lower, upper) at the confidence asked for; None is open.
    #[getter]
    fn bounds_hours(&self) -> PyResult<BoundsTuple> {
        self.bounds_of(0.5)
    }

    /// Hours by which a share of the panels has failed.
    fn quantile_hours(&self, probability: &Bound<'_, PyAny>) -> PyResult<Option<f64>> {
        let probability = number("probability", probability)?;
        Ok(self.fit().map(|fit| fit.quantile_hours(probability)).transpose()?)
    }

    /// Profile-likelihood bounds of `quantile_hours`.
    fn quantile_bounds_hours(&self, probability: &Bound<'_, PyAny>) -> PyResult<BoundsTuple> {
        self.bounds_of(number("probability", probability)?)
    }

    /// Median with the catalog's value as prior, or None where no film was named.
    #[getter]
    fn posterior_median_hours(&self) -> Option<f64> {
        self.posterior.as_ref().map(|posterior| posterior.median_hours)
    }

    /// Spread of the next panel with the catalog's value as prior, or None.
    #[getter]
    fn posterior_log_sd(&self) -> Option<f64> {
        self.posterior.as_ref().map(|posterior| posterior.predictive_log_sd)
    }

    /// Weight of the catalog in the posterior median, 0 to 1, or None.
    #[getter]
    fn prior_share(&self) -> Option<f64> {
        self.posterior.as_ref().map(|posterior| posterior.prior_share)
    }

    /// Spreads (between lots, within a lot) where at least four lots are named, or None.
    #[getter]
    fn lot_log_sds(&self) -> Option<(f64, f64)> {
        self.lots.as_ref().map(|lots| (lots.between_lot_log_sd, lots.within_lot_log_sd))
    }

    /// Logarithm of the likelihood, Akaike's and the Bayesian criterion, or None where nothing failed.
    #[getter]
    fn criteria(&self) -> Option<(f64, f64, f64)> {
        self.fit().map(|fit| (fit.log_likelihood, fit.aic, fit.bic))
    }

    /// (what, statistic, probability or None) of the goodness of fit, or None where nothing failed.
    #[getter]
    fn goodness_of_fit(&self) -> PyResult<Option<(&'static str, f64, Option<f64>)>> {
        let Some(fit) = self.fit() else { return Ok(None) };
        Ok(Some(match goodness_of_fit(&self.records, fit)? {
            GoodnessOfFit::AndersonDarling { statistic, probability } => {
                ("Anderson-Darling", statistic, Some(probability))
            }
            GoodnessOfFit::LargestDistance { statistic } => ("largest distance", statistic, None),
        }))
    }

    /// (hours, share failed) of the steps of a probability plot.
    fn probability_plot(&self) -> PyResult<Vec<(f64, f64)>> {
        let points = probability_plot(&self.records, self.distribution)?;
        Ok(points.iter().map(|point| (point.hours, point.probability)).collect())
    }

    /// What to know before using the numbers.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        let own = match &self.fitted {
            Fitted::Estimate(fit) => fit.remarks.clone(),
            Fitted::LowerBound(bound) => vec![bound.remark.clone()],
        };
        let of_cabinets = self.cabinets.iter().filter(|check| !check.in_window).map(|check| {
            format!("cabinet {}: outside 70 ± 20 g/m² in 48 h, its records count half", check.cabinet)
        });
        let unchecked = self.unchecked_cabinets.iter().filter(|_| !self.cabinets.is_empty());
        own.into_iter()
            .chain(self.lots.iter().flat_map(|lots| lots.remarks.clone()))
            .chain(self.without_lots.clone())
            .chain(of_cabinets)
            .chain(unchecked.map(|cabinet| format!("cabinet {cabinet}: no reference specimens")))
            .collect()
    }

    /// A user catalog (JSON) that gives the film named the capacity learned here: by lots where these were
    /// fitted, else with the catalog's value as prior.
    #[pyo3(signature = (catalog_name, first_date, last_date))]
    fn catalog_entry(
        &self,
        catalog_name: &Bound<'_, PyAny>,
        first_date: &Bound<'_, PyAny>,
        last_date: &Bound<'_, PyAny>,
    ) -> PyResult<String> {
        let Some(film) = &self.film else { return Err(no_film().into()) };
        let provenance = provenance_of(catalog_name, first_date, last_date)?;
        Ok(catalog_entry(film, Learned::CapacityH, &self.core_estimate()?, &provenance)?)
    }

    /// What to hand to another shop: by lots where these were fitted, else with the catalog's value as prior where
    /// a film was named, else the records alone.
    #[getter]
    fn estimate(&self) -> PyResult<Estimate> {
        Ok(Estimate(self.core_estimate()?))
    }

    /// What reference specimens say of each cabinet.
    #[getter]
    fn cabinets(&self) -> Vec<CabinetCheck> {
        self.cabinets.iter().cloned().map(CabinetCheck).collect()
    }

    fn __repr__(&self) -> String {
        format!(
            "FittedRecords({}, {}: median_hours={:.1}, {} of {} failed)",
            self.distribution,
            self.kind(),
            self.median_hours(),
            self.failed(),
            self.records.len()
        )
    }
}

/// Fits records given as rows of text under a header.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "one argument per option, named in Python")]
fn fit_records_rows(
    py: Python<'_>,
    header: &Bound<'_, PyAny>,
    rows: &Bound<'_, PyAny>,
    cabinets: Vec<(String, Bound<'_, PyAny>)>,
    distribution: &Bound<'_, PyAny>,
    film: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
    confidence: &Bound<'_, PyAny>,
) -> PyResult<FittedRecords> {
    let asked = Asked::of(&cabinets, distribution, film, catalog, confidence)?;
    let records = records_from_rows(cells("hours", header)?, cells("hours", rows)?)?;
    Ok(py.detach(|| asked.fit(&records))?)
}

/// Fits records in comma-separated text or a file.
#[pyfunction]
fn fit_records_csv(
    py: Python<'_>,
    text_or_path: &Bound<'_, PyAny>,
    cabinets: Vec<(String, Bound<'_, PyAny>)>,
    distribution: &Bound<'_, PyAny>,
    film: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
    confidence: &Bound<'_, PyAny>,
) -> PyResult<FittedRecords> {
    let asked = Asked::of(&cabinets, distribution, film, catalog, confidence)?;
    let records = records_from_csv(&text_or_file("hours", text_or_path, "log of records", Form::Lines)?)?;
    Ok(py.detach(|| asked.fit(&records))?)
}

/// How records are to be fitted.
struct Asked {
    runs: Vec<ReferenceRun>,
    distribution: Distribution,
    film: Option<String>,
    catalog: Option<Catalog>,
    confidence: f64,
}

impl Asked {
    fn of(
        cabinets: &[(String, Bound<'_, PyAny>)],
        distribution: &Bound<'_, PyAny>,
        film: Option<&Bound<'_, PyAny>>,
        catalog: Option<Catalog>,
        confidence: &Bound<'_, PyAny>,
    ) -> PyResult<Self> {
        let run = |(cabinet, losses): &(String, Bound<'_, PyAny>)| -> PyResult<ReferenceRun> {
            Ok(ReferenceRun { cabinet: cabinet.clone(), mass_losses_g_m2: losses_of("cabinets", losses)? })
        };
        Ok(Self {
            runs: cabinets.iter().map(run).collect::<PyResult<_>>()?,
            distribution: text("distribution", distribution)?.parse()?,
            film: film.map(|film| text("film", film)).transpose()?,
            catalog,
            confidence: number("confidence", confidence)?,
        })
    }

    fn fit(self, records: &[Record]) -> overcoat::Result<FittedRecords> {
        let CorrectedRecords { records, cabinets, unchecked_cabinets } =
            correct_for_cabinets(records, &self.runs)?;
        let records = match &self.film {
            Some(name) => records.into_iter().filter(|r| r.film.as_ref().is_none_or(|f| f == name)).collect(),
            None => records,
        };
        let fitted = FittedRecords::of(records, self.distribution, self.film, self.catalog, self.confidence)?;
        Ok(FittedRecords { cabinets, unchecked_cabinets, ..fitted })
    }
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<FittedRecords>()?;
    module.add_function(wrap_pyfunction!(fit_records_rows, module)?)?;
    module.add_function(wrap_pyfunction!(fit_records_csv, module)?)
}
