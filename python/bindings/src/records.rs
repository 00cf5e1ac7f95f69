//! Salt-spray hours of films fitted to records.

use std::sync::Arc;

use pyo3::prelude::*;

use crate::arguments::{cells, number, text};
use crate::documents::{Catalog, Form, catalog_or_default, text_or_file};
use crate::error::Result;
use crate::learning::{CabinetCheck, Estimate, losses_of, provenance_of};
use crate::pickling::{reduced, restored};
use overcoat::catalog::Catalog as CoreCatalog;
use overcoat::error::invalid;
use overcoat::records::{
    Distribution, Fit, Fitted, GoodnessOfFit, LearnedCapacity, LogOptions, Record, ReferenceRun,
    ZeroFailureBound, goodness_of_fit, learn_capacity, probability_plot, profile_bounds, records_from_csv,
    records_from_rows,
};

/// Lower and upper bound in hours; None is open.
type BoundsTuple = (Option<f64>, Option<f64>);

/// What records say of a film's salt-spray hours.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(PartialEq)]
pub(super) struct FittedRecords {
    learned: LearnedCapacity,
    distribution: Distribution,
    confidence: f64,
    catalog: Arc<CoreCatalog>,
}

impl FittedRecords {
    fn fit(&self) -> Option<&Fit> {
        match &self.learned.fitted {
            Fitted::Estimate(fit) => Some(fit),
            Fitted::LowerBound(_) => None,
        }
    }

    fn bound(&self) -> Option<&ZeroFailureBound> {
        match &self.learned.fitted {
            Fitted::Estimate(_) => None,
            Fitted::LowerBound(bound) => Some(bound),
        }
    }

    fn bounds_of(&self, probability: f64) -> Result<BoundsTuple> {
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
                let bounds =
                    profile_bounds(&self.learned.records, self.distribution, probability, self.confidence)?;
                Ok((bounds.lower_hours, bounds.upper_hours))
            }
        }
    }
}

/// What a pickle of fitted records holds: what was learned, the distribution, the confidence, the catalog.
type Kept = (String, String, f64, Catalog);

#[pymethods]
impl FittedRecords {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, Kept)> {
        let (read, (learned,)) = reduced::<Self>(py, &self.learned)?;
        let catalog = Catalog(Arc::clone(&self.catalog));
        Ok((read, (learned, self.distribution.to_string(), self.confidence, catalog)))
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(learned: &str, distribution: &str, confidence: f64, catalog: Catalog) -> Result<Self> {
        let distribution = distribution.parse()?;
        Ok(Self { learned: restored(learned)?, distribution, confidence, catalog: catalog.0 })
    }

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
        self.learned.records.len()
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
        match &self.learned.fitted {
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
    fn bounds_hours(&self) -> Result<BoundsTuple> {
        self.bounds_of(0.5)
    }

    /// Hours by which a share of the panels has failed.
    ///
    /// Parameters
    /// ----------
    /// probability : float
    ///     The share, above 0 and below 1.
    ///
    /// Returns
    /// -------
    /// float or None
    ///     Hours [h] by maximum likelihood; None where nothing failed.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A share outside 0 to 1.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> fitted.quantile_hours(0.1) < fitted.quantile_hours(0.5) == fitted.median_hours
    /// True
    fn quantile_hours(&self, probability: &Bound<'_, PyAny>) -> Result<Option<f64>> {
        let probability = number("probability", probability)?;
        Ok(self.fit().map(|fit| fit.quantile_hours(probability)).transpose()?)
    }

    /// Profile-likelihood bounds of `quantile_hours`, at the confidence asked for.
    ///
    /// Parameters
    /// ----------
    /// probability : float
    ///     The share of the panels that has failed, above 0 and below 1.
    ///
    /// Returns
    /// -------
    /// (float or None, float or None)
    ///     Lower and upper bound [h]; None is open.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A share outside 0 to 1.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> low, high = fitted.quantile_bounds_hours(0.5)
    /// >>> low < fitted.median_hours < high
    /// True
    fn quantile_bounds_hours(&self, probability: &Bound<'_, PyAny>) -> Result<BoundsTuple> {
        self.bounds_of(number("probability", probability)?)
    }

    /// Median with the catalog's value as prior, or None where no film was named or nothing failed. Where most panels
    /// are intact it may lie beyond what was watched: `estimate` is cut to that.
    #[getter]
    fn posterior_median_hours(&self) -> Option<f64> {
        self.learned.posterior.as_ref().map(|posterior| posterior.median_hours)
    }

    /// Spread of the next panel with the catalog's value as prior, or None.
    #[getter]
    fn posterior_log_sd(&self) -> Option<f64> {
        self.learned.posterior.as_ref().map(|posterior| posterior.predictive_log_sd)
    }

    /// Weight of the catalog in the posterior median, 0 to 1, or None.
    #[getter]
    fn prior_share(&self) -> Option<f64> {
        self.learned.posterior.as_ref().map(|posterior| posterior.prior_share)
    }

    /// Spreads (between lots, within a lot) where at least four lots are named, or None.
    #[getter]
    fn lot_log_sds(&self) -> Option<(f64, f64)> {
        self.learned.lots.as_ref().map(|lots| (lots.between_lot_log_sd, lots.within_lot_log_sd))
    }

    /// Logarithm of the likelihood, Akaike's and the Bayesian criterion, or None where nothing failed.
    #[getter]
    fn criteria(&self) -> Option<(f64, f64, f64)> {
        self.fit().map(|fit| (fit.log_likelihood, fit.aic, fit.bic))
    }

    /// (what, statistic, probability or None) of the goodness of fit, or None where nothing failed.
    #[getter]
    fn goodness_of_fit(&self) -> Result<Option<(&'static str, f64, Option<f64>)>> {
        let Some(fit) = self.fit() else { return Ok(None) };
        Ok(Some(match goodness_of_fit(&self.learned.records, fit)? {
            GoodnessOfFit::AndersonDarling { statistic, probability } => {
                ("Anderson-Darling", statistic, Some(probability))
            }
            GoodnessOfFit::LargestDistance { statistic } => ("largest distance", statistic, None),
        }))
    }

    /// The steps of a probability plot.
    ///
    /// Returns
    /// -------
    /// list of (float, float, float)
    ///     Last look without rust [h], look that found it [h], share failed; the share is that halfway up the step, and the
    ///     two looks are one where the hour of the failure is known.
    ///
    /// Raises
    /// ------
    /// OvercoatError
    ///     Records that no distribution of failures can be drawn from.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> round(fitted.probability_plot()[0][0], 6)
    /// 48.0
    fn probability_plot(&self) -> Result<Vec<(f64, f64, f64)>> {
        let points = probability_plot(&self.learned.records, self.distribution)?;
        Ok(points.iter().map(|point| (point.from_hours, point.hours, point.probability)).collect())
    }

    /// The catalog's value before the records: (median hours, standard deviation of ln hours), or None where no film was named.
    #[getter]
    fn prior(&self) -> Option<(f64, f64)> {
        self.learned.prior.as_ref().map(|prior| (prior.median_hours, prior.log_sd))
    }

    /// The film fitted: the one named, or the only one of the log.
    #[getter]
    fn film(&self) -> Option<&str> {
        self.learned.film.as_deref()
    }

    /// What to know before using the numbers.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        self.learned.remarks.clone()
    }

    /// Before and after in words.
    fn __str__(&self) -> String {
        self.learned.to_string()
    }

    /// A user catalog that gives the film named the salt-spray hours learned here: by lots where these were fitted, else with
    /// the catalog's value as prior.
    ///
    /// Parameters
    /// ----------
    /// catalog_name : str
    ///     What the user catalog is called.
    /// first_date, last_date : str
    ///     When the records were taken, first and last.
    ///
    /// Returns
    /// -------
    /// str
    ///     JSON that `Catalog.extended` takes.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     Records fitted without a film.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> from overcoat import Catalog
    /// >>> entry = fitted.catalog_entry("our cabinet", "2025-03", "2026-10")
    /// >>> Catalog.default().extended(entry).overrides[0][1]
    /// 'our cabinet'
    #[pyo3(signature = (catalog_name, first_date, last_date))]
    fn catalog_entry(
        &self,
        catalog_name: &Bound<'_, PyAny>,
        first_date: &Bound<'_, PyAny>,
        last_date: &Bound<'_, PyAny>,
    ) -> Result<String> {
        let provenance = provenance_of(catalog_name, first_date, last_date)?;
        Ok(self.learned.catalog_entry(&provenance, &self.catalog)?)
    }

    /// What to hand to another shop: by lots where these were fitted, else with the catalog's value as prior where
    /// a film was named, else the records alone.
    #[getter]
    fn estimate(&self) -> Result<Estimate> {
        Ok(Estimate(self.learned.estimate()?))
    }

    /// What reference specimens say of each cabinet.
    #[getter]
    fn cabinets(&self) -> Vec<CabinetCheck> {
        self.learned.cabinets.iter().cloned().map(CabinetCheck).collect()
    }

    fn __repr__(&self) -> String {
        format!(
            "FittedRecords({}, {}: median_hours={:.1}, {} of {} failed)",
            self.distribution,
            self.kind(),
            self.median_hours(),
            self.failed(),
            self.learned.records.len()
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
) -> Result<FittedRecords> {
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
) -> Result<FittedRecords> {
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
    ) -> Result<Self> {
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
        let catalog = catalog_or_default(self.catalog);
        let learned = learn_capacity(
            records,
            &LogOptions {
                film: self.film.as_deref(),
                distribution: self.distribution,
                confidence: self.confidence,
                cabinets: &self.runs,
                catalog: &catalog,
            },
        )?;
        Ok(FittedRecords { learned, distribution: self.distribution, confidence: self.confidence, catalog })
    }
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<FittedRecords>()?;
    module.add_function(wrap_pyfunction!(fit_records_rows, module)?)?;
    module.add_function(wrap_pyfunction!(fit_records_csv, module)?)
}
