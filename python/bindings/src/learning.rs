//! Estimates of shops, cabinets, field factors and the backtest.

use std::sync::Arc;

use pyo3::prelude::*;

use crate::arguments::{argument, cells, list, number, text};
use crate::documents::{Catalog, Form, catalog_or_default, text_or_file};
use crate::error::Result;
use crate::pickling::{Reduced, reduced, restored};
use overcoat::catalog::{Catalog as CoreCatalog, strict_json};
use overcoat::records::{
    Backtest as CoreBacktest, CabinetCheck as CoreCheck, Estimate as CoreEstimate, FieldPart, Learned,
    Lognormal, PartsBacktest as CoreParts, Provenance, ReferenceRun, ShelterUpdate, backtest_parts,
    check_cabinet as core_check_cabinet, merge_estimates as core_merge, parts_from_csv, parts_from_rows,
    update_from_parts,
};

/// A median with what is known of it, as one shop hands it to another.
#[pyclass(frozen, eq, from_py_object, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct Estimate(pub(super) CoreEstimate);

#[pymethods]
impl Estimate {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// The estimate that `to_json` wrote.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     JSON text.
    ///
    /// Returns
    /// -------
    /// Estimate
    ///
    /// Raises
    /// ------
    /// DocumentError
    ///     A malformed document.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> estimate = fitted.estimate
    /// >>> type(estimate).from_json(estimate.to_json()).median == estimate.median
    /// True
    #[staticmethod]
    #[pyo3(signature = (text))]
    fn from_json(text: &Bound<'_, PyAny>) -> Result<Self> {
        let text: String = argument("text", text, "what `to_json` wrote", "Read the file first.")?;
        Ok(Self(strict_json::typed("estimate", strict_json::parse("estimate", &text)?)?))
    }

    /// The estimate as JSON, for another shop.
    ///
    /// Returns
    /// -------
    /// str
    ///     Text that `Estimate.from_json` reads.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> import json
    /// >>> json.loads(fitted.estimate.to_json())["rows"]
    /// 4
    fn to_json(&self) -> String {
        serde_json::to_string(&self.0).unwrap_or_default()
    }

    /// The median: in hours of salt spray, or without a unit for a field factor.
    #[getter]
    fn median(&self) -> f64 {
        self.0.median
    }

    /// Standard error of its logarithm.
    #[getter]
    fn median_log_se(&self) -> f64 {
        self.0.median_log_se
    }

    /// Spread of the logarithm between panels and lots.
    #[getter]
    fn between_log_sd(&self) -> f64 {
        self.0.between_log_sd
    }

    /// Spread that a catalog states: of the next panel, median and panels together.
    #[getter]
    fn log_sd(&self) -> f64 {
        self.0.log_sd()
    }

    /// How many records it is based on.
    #[getter]
    fn rows(&self) -> usize {
        self.0.rows
    }

    /// How many of them failed.
    #[getter]
    fn failed(&self) -> usize {
        self.0.failed
    }

    /// How many lots they came from, where known.
    #[getter]
    fn lots(&self) -> Option<usize> {
        self.0.lots
    }

    /// How it was fitted.
    #[getter]
    fn fit(&self) -> &str {
        &self.0.fit
    }

    /// A user catalog that gives a film this median of salt-spray hours.
    ///
    /// Parameters
    /// ----------
    /// film : str
    ///     Catalog name of the film.
    /// catalog_name : str
    ///     What the user catalog is called.
    /// first_date, last_date : str
    ///     When the records were taken, first and last.
    /// catalog : Catalog, optional
    ///     The catalog that has the film; the built-in one by default.
    ///
    /// Returns
    /// -------
    /// str
    ///     JSON that `Catalog.extended` takes.
    ///
    /// Raises
    /// ------
    /// UnknownNameError
    ///     A film that the catalog does not have.
    /// InvalidValueError
    ///     An estimate that a catalog cannot hold.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import fit_records
    /// >>> fitted = fit_records([48.0, 72.0, 72.0, 96.0], [True, True, True, False], film="hard_wax")
    /// >>> from overcoat import Catalog
    /// >>> entry = fitted.estimate.catalog_entry("hard_wax", "our cabinet", "2025-03", "2026-10")
    /// >>> Catalog.default().extended(entry).name
    /// 'our cabinet'
    #[pyo3(signature = (film, catalog_name, first_date, last_date, catalog=None))]
    fn catalog_entry(
        &self,
        film: &Bound<'_, PyAny>,
        catalog_name: &Bound<'_, PyAny>,
        first_date: &Bound<'_, PyAny>,
        last_date: &Bound<'_, PyAny>,
        catalog: Option<Catalog>,
    ) -> Result<String> {
        let film = text("film", film)?;
        let provenance = provenance_of(catalog_name, first_date, last_date)?;
        let catalog = catalog_or_default(catalog);
        Ok(overcoat::records::catalog_entry(&film, Learned::CapacityH, &self.0, &provenance, &catalog)?)
    }

    fn __repr__(&self) -> String {
        format!(
            "Estimate(median={:.4}, median_log_se={:.3}, between_log_sd={:.3}, {} records)",
            self.0.median, self.0.median_log_se, self.0.between_log_sd, self.0.rows
        )
    }
}

/// Where a catalog entry comes from, from the arguments that say so.
pub(super) fn provenance_of(
    catalog_name: &Bound<'_, PyAny>,
    first_date: &Bound<'_, PyAny>,
    last_date: &Bound<'_, PyAny>,
) -> PyResult<Provenance> {
    let date = |name, value| argument(name, value, "a date as text", "Write it like \"2026-03-31\".");
    Ok(Provenance {
        catalog: text("catalog_name", catalog_name)?,
        from: date("first_date", first_date)?,
        to: date("last_date", last_date)?,
    })
}

/// Merges the estimates of several shops of the same film and number, by precision.
#[pyfunction]
#[pyo3(signature = (estimates))]
fn merge_estimates(estimates: &Bound<'_, PyAny>) -> Result<Estimate> {
    let estimates: Vec<Estimate> =
        list("estimates", estimates, "two estimates or more", "Take `estimate` of fitted records.")?;
    let estimates: Vec<CoreEstimate> = estimates.into_iter().map(|estimate| estimate.0).collect();
    Ok(Estimate(core_merge(&estimates)?))
}

/// What reference specimens say of a cabinet.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct CabinetCheck(pub(super) CoreCheck);

#[pymethods]
impl CabinetCheck {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// The cabinet.
    #[getter]
    fn cabinet(&self) -> &str {
        &self.0.cabinet
    }

    /// Mean loss in 48 h, g/m².
    #[getter]
    fn mass_loss_g_m2(&self) -> f64 {
        self.0.mass_loss_g_m2
    }

    /// Its loss rate, g/(m²·h).
    #[getter]
    fn rate_g_m2_h(&self) -> f64 {
        self.0.rate_g_m2_h
    }

    /// What the hours of its records are multiplied by.
    #[getter]
    fn hours_factor(&self) -> f64 {
        self.0.hours_factor
    }

    /// Whether every specimen lies within 70 ± 20 g/m².
    #[getter]
    fn in_window(&self) -> bool {
        self.0.in_window
    }

    /// What the weight of its records is multiplied by.
    #[getter]
    fn weight_factor(&self) -> f64 {
        self.0.weight_factor
    }

    fn __repr__(&self) -> String {
        format!(
            "CabinetCheck({:?}, mass_loss_g_m2={:.1}, hours_factor={:.3}, in_window={})",
            self.0.cabinet,
            self.0.mass_loss_g_m2,
            self.0.hours_factor,
            if self.0.in_window { "True" } else { "False" }
        )
    }
}

/// Losses of the reference specimens of a cabinet.
pub(super) fn losses_of(field: &str, mass_losses_g_m2: &Bound<'_, PyAny>) -> Result<Vec<f64>> {
    list(field, mass_losses_g_m2, "a list of numbers", "Pass the loss of each specimen.")
}

/// Judges a cabinet by the losses of reference specimens in 48 h, g/m².
#[pyfunction]
#[pyo3(signature = (mass_losses_g_m2, cabinet))]
fn check_cabinet(mass_losses_g_m2: &Bound<'_, PyAny>, cabinet: &Bound<'_, PyAny>) -> Result<CabinetCheck> {
    let run = ReferenceRun {
        cabinet: text("cabinet", cabinet)?,
        mass_losses_g_m2: losses_of("mass_losses_g_m2", mass_losses_g_m2)?,
    };
    Ok(CabinetCheck(core_check_cabinet(&run)?))
}

/// Parts in the field, read from a log.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(PartialEq)]
pub(super) struct FieldLog(Vec<FieldPart>);

#[pymethods]
impl FieldLog {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    fn __len__(&self) -> usize {
        self.0.len()
    }
}

/// A field log in comma-separated text or a file.
#[pyfunction]
fn field_log_csv(text_or_path: &Bound<'_, PyAny>) -> Result<FieldLog> {
    Ok(FieldLog(parts_from_csv(&text_or_file("records", text_or_path, "field log", Form::Lines)?)?))
}

/// A field log from rows of text under a header.
#[pyfunction]
fn field_log_rows(header: &Bound<'_, PyAny>, rows: &Bound<'_, PyAny>) -> Result<FieldLog> {
    Ok(FieldLog(parts_from_rows(cells("records", header)?, cells("records", rows)?)?))
}

/// What the field taught of a film under one shelter.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct FieldUpdate {
    film: String,
    core: ShelterUpdate,
    catalog: Arc<CoreCatalog>,
}

#[pymethods]
impl FieldUpdate {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (String, String, Catalog))> {
        let (read, (core,)) = reduced::<Self>(py, &self.core)?;
        Ok((read, (core, self.film.clone(), Catalog(Arc::clone(&self.catalog)))))
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(core: &str, film: String, catalog: Catalog) -> PyResult<Self> {
        Ok(Self { film, core: restored(core)?, catalog: catalog.0 })
    }

    /// The film.
    #[getter]
    fn film(&self) -> &str {
        &self.film
    }

    /// The shelter.
    #[getter]
    fn shelter(&self) -> &'static str {
        self.core.shelter.word()
    }

    /// Field factor before rain, sun and hands, after the records: (median, spread of its logarithm).
    #[getter]
    fn field_factor(&self) -> (f64, f64) {
        let belief = self.core.update.field_factor;
        (belief.median, belief.log_sd)
    }

    /// Salt-spray hours after the records: (hours, spread of their logarithm).
    #[getter]
    fn capacity_h(&self) -> (f64, f64) {
        let belief = self.core.update.capacity_h;
        (belief.median, belief.log_sd)
    }

    /// Correlation of the logarithms of both: what the field shows is their product.
    #[getter]
    fn correlation(&self) -> f64 {
        self.core.update.correlation
    }

    /// How many records.
    #[getter]
    fn rows(&self) -> usize {
        self.core.update.rows
    }

    /// How many of them failed.
    #[getter]
    fn failed(&self) -> usize {
        self.core.update.failed
    }

    /// What to know before using the numbers.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        self.core.update.remarks.clone()
    }

    /// (environment, equal-dose years, implied field factor or None) of each site.
    #[getter]
    fn sites(&self) -> Vec<(String, f64, Option<f64>)> {
        let places = self.core.update.places.iter();
        places.map(|p| (p.environment.clone(), p.equal_dose_years, p.implied_field_factor)).collect()
    }

    /// A user catalog that gives the film this field factor under this shelter.
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
    ///     A factor that a catalog cannot hold.
    #[pyo3(signature = (catalog_name, first_date, last_date))]
    fn catalog_entry(
        &self,
        catalog_name: &Bound<'_, PyAny>,
        first_date: &Bound<'_, PyAny>,
        last_date: &Bound<'_, PyAny>,
    ) -> Result<String> {
        let estimate = CoreEstimate::of_field_factor(&self.core.update);
        let provenance = provenance_of(catalog_name, first_date, last_date)?;
        let learned = Learned::FieldFactorUnder(self.core.shelter);
        Ok(overcoat::records::catalog_entry(&self.film, learned, &estimate, &provenance, &self.catalog)?)
    }

    fn __repr__(&self) -> String {
        let belief = self.core.update.field_factor;
        format!(
            "FieldUpdate({} {}: field_factor={:.2}, log_sd={:.2}, {} records)",
            self.film, self.core.shelter, belief.median, belief.log_sd, self.core.update.rows
        )
    }
}

/// Field factors of a film, apart for each shelter, from a field log.
#[pyfunction]
fn update_field_log(
    py: Python<'_>,
    log: &FieldLog,
    film: &Bound<'_, PyAny>,
    catalog: Option<Catalog>,
    capacity: &Bound<'_, PyAny>,
    part_log_sd: &Bound<'_, PyAny>,
) -> Result<Vec<FieldUpdate>> {
    let film = text("film", film)?;
    let catalog = catalog_or_default(catalog);
    let capacity: Option<Estimate> =
        argument("capacity", capacity, "an Estimate", "Take `estimate` of fitted records, or leave it out.")?;
    let capacity =
        capacity.map(|Estimate(e)| Lognormal { ln_median: e.median.ln(), log_sd: e.median_log_se });
    let part_log_sd = number("part_log_sd", part_log_sd)?;
    let updates = py.detach(|| update_from_parts(&film, &log.0, capacity, part_log_sd, &catalog))?;
    let of_film = |core| FieldUpdate { film: film.clone(), core, catalog: Arc::clone(&catalog) };
    Ok(updates.into_iter().map(of_film).collect())
}

/// How one way to predict did.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct BacktestScore(CoreBacktest);

#[pymethods]
impl BacktestScore {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// How many records.
    #[getter]
    fn rows(&self) -> usize {
        self.0.rows
    }

    /// How many of them failed.
    #[getter]
    fn failed(&self) -> usize {
        self.0.failed
    }

    /// Share of outcomes within the 10 to 90% range.
    #[getter]
    fn coverage_80(&self) -> f64 {
        self.0.coverage_80
    }

    /// Standard error of that share, the rows of one site counted as one.
    #[getter]
    fn coverage_80_se(&self) -> f64 {
        self.0.coverage_80_se
    }

    /// (predicted share failed, share that had failed then).
    #[getter]
    fn calibration(&self) -> Vec<(f64, f64)> {
        self.0.calibration.iter().map(|point| (point.predicted, point.observed)).collect()
    }

    /// Mean logarithm of the likelihood of what was seen; the higher the better.
    #[getter]
    fn log_score(&self) -> f64 {
        self.0.log_score
    }

    fn __repr__(&self) -> String {
        format!(
            "BacktestScore(coverage_80={:.2} ± {:.2}, log_score={:.3}, {} rows)",
            self.0.coverage_80, self.0.coverage_80_se, self.0.log_score, self.0.rows
        )
    }
}

/// Three ways to predict, judged by the same parts.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct Backtest(CoreParts);

#[pymethods]
impl Backtest {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// The outlook.
    #[getter]
    fn outlook(&self) -> BacktestScore {
        BacktestScore(self.0.outlook.clone())
    }

    /// Salt-spray hours at their face value.
    #[getter]
    fn hours_at_face_value(&self) -> BacktestScore {
        BacktestScore(self.0.hours_at_face_value.clone())
    }

    /// The corrosivity category alone.
    #[getter]
    fn category_alone(&self) -> BacktestScore {
        BacktestScore(self.0.category_alone.clone())
    }

    /// How many sites.
    #[getter]
    fn sites(&self) -> usize {
        self.0.sites
    }

    /// What to know before using the numbers.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        self.0.remarks.clone()
    }

    /// All of it as JSON, each row with its prediction.
    ///
    /// Returns
    /// -------
    /// str
    ///     Scores of the three ways to predict, sites and rows.
    fn to_json(&self) -> String {
        serde_json::to_string(&self.0).unwrap_or_default()
    }

    fn __repr__(&self) -> String {
        format!("Backtest(outlook={}, {} sites)", self.outlook().__repr__(), self.0.sites)
    }
}

/// Judges the outlook by a field log.
#[pyfunction]
fn backtest_log(py: Python<'_>, log: &FieldLog, catalog: Option<Catalog>) -> Result<Backtest> {
    let catalog = catalog_or_default(catalog);
    Ok(Backtest(py.detach(|| backtest_parts(&log.0, &catalog))?))
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<Estimate>()?;
    module.add_class::<CabinetCheck>()?;
    module.add_class::<FieldLog>()?;
    module.add_class::<FieldUpdate>()?;
    module.add_class::<BacktestScore>()?;
    module.add_class::<Backtest>()?;
    module.add_function(wrap_pyfunction!(merge_estimates, module)?)?;
    module.add_function(wrap_pyfunction!(check_cabinet, module)?)?;
    module.add_function(wrap_pyfunction!(field_log_csv, module)?)?;
    module.add_function(wrap_pyfunction!(field_log_rows, module)?)?;
    module.add_function(wrap_pyfunction!(update_field_log, module)?)?;
    module.add_function(wrap_pyfunction!(backtest_log, module)?)
}
