//! Tables of places swept over builds.

use arrow_array::{RecordBatch, StructArray};
use numpy::{Element, PyArray1, PyArrayMethods, PyReadwriteArray1};
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict, PyTuple};

use crate::arguments::count;
use crate::capsule::{array_capsules, buffer_of, stream_capsule};
use crate::columns::{batches_of, empty, filled};
use crate::documents::{Brief, Catalog, builds_of, catalog_or_default};
use overcoat::atmosphere::Category;
use overcoat::sweep::{
    Asked, CheckedTable, NOT_BLOCKED, RESULT_COLUMNS, ResultBuffers, ResultSlices, RowSource, TableSweep, Words,
    chosen, has_result, in_order, obeyed_columns, row_status_words,
};

type Array<T> = Option<Py<PyArray1<T>>>;

/// Results of a table, one row per row of it and build, as columns of NumPy and of Arrow; what was not asked for is
/// not there.
#[pyclass(frozen, module = "overcoat._core")]
struct SweptTable {
    words: Words,
    names: Vec<&'static str>,
    results: usize,
    /// Row of each result, where it does not follow from their number.
    row: Array<u32>,
    build: Array<u16>,
    category: Array<u8>,
    first_year_loss_um: Array<f64>,
    median_years: Array<f64>,
    p10_years: Array<f64>,
    p90_years: Array<f64>,
    probability_ok: Array<f64>,
    cost_per_thousand: Array<f64>,
    score: Array<f64>,
    met: Array<bool>,
    blocked: Array<bool>,
    blocked_by: Array<u16>,
    row_status: Py<PyArray1<u8>>,
}

impl SweptTable {
    fn batch(&self, py: Python<'_>) -> PyResult<RecordBatch> {
        macro_rules! buffer {
            ($column:ident) => {
                match &self.$column {
                    Some(column) => buffer_of(column.bind(py))?.into(),
                    None => Default::default(),
                }
            };
        }
        let flags = |column: &Array<bool>| -> PyResult<Vec<bool>> {
            Ok(match column {
                Some(column) => column.bind(py).try_readonly()?.as_slice()?.to_vec(),
                None => Vec::new(),
            })
        };
        let buffers = ResultBuffers {
            results: self.results,
            build: buffer!(build),
            category: buffer!(category),
            first_year_loss_um: buffer!(first_year_loss_um),
            median_years: buffer!(median_years),
            p10_years: buffer!(p10_years),
            p90_years: buffer!(p90_years),
            probability_ok: buffer!(probability_ok),
            cost_per_thousand: buffer!(cost_per_thousand),
            score: buffer!(score),
            met: flags(&self.met)?,
            blocked: flags(&self.blocked)?,
            blocked_by: buffer!(blocked_by),
            row_status: buffer_of(self.row_status.bind(py))?.into(),
        };
        Ok(buffers.into_batch(&self.words, &self.names)?)
    }
}

#[pymethods]
impl SweptTable {
    /// The builds, in the order of their codes.
    #[getter]
    fn builds(&self) -> Vec<String> {
        self.words.builds.iter().map(ToString::to_string).collect()
    }

    /// The row of each result; none where all rows have as many results.
    #[getter]
    fn row(&self, py: Python<'_>) -> Array<u32> {
        self.row.as_ref().map(|row| row.clone_ref(py))
    }

    /// Whether each result is one: rows of some statuses have none.
    fn valid<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyArray1<bool>>> {
        let status = self.row_status.bind(py).try_readonly()?;
        Ok(PyArray1::from_iter(py, status.as_slice()?.iter().map(|code| has_result(*code))))
    }

    /// The status of the row of each result as a code, and the words of the codes.
    fn status(&self, py: Python<'_>) -> (Py<PyArray1<u8>>, Vec<String>) {
        (self.row_status.clone_ref(py), row_status_words().to_vec())
    }

    /// Columns of NumPy by name, in their order: numbers and flags; of words the codes, signed where -1 is none, and
    /// the words.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let columns = PyDict::new(py);
        let builds = self.words.builds.len();
        for &name in &self.names {
            match name {
                "build" | "base_metal" | "treatment" | "films" => {
                    let (words, of_build) = self.words.of_builds(Words::part_of(name));
                    let codes = codes_of(py, self.build.as_ref(), |build| {
                        of_build.get(usize::from(build)).filter(|_| usize::from(build) < builds).copied()
                    })?;
                    columns.set_item(name, (codes, words))?;
                }
                "category" => {
                    let words: Vec<&str> = Category::ALL.iter().map(|c| c.name()).collect();
                    let codes = codes_of(py, self.category.as_ref(), |code| Some(u16::from(code)))?;
                    columns.set_item(name, (codes, words))?;
                }
                "currency" => {
                    let codes = PyArray1::<i32>::zeros(py, self.results, false);
                    columns.set_item(name, (codes, [&self.words.currency]))?;
                }
                "blocked_by" => {
                    let codes =
                        codes_of(py, self.blocked_by.as_ref(), |code| (code != NOT_BLOCKED).then_some(code))?;
                    columns.set_item(name, (codes, &self.words.blockers))?;
                }
                "row_status" => {
                    let codes = codes_of(py, Some(&self.row_status), |code| Some(u16::from(code)))?;
                    columns.set_item(name, (codes, row_status_words()))?;
                }
                "met" => columns.set_item(name, &self.met)?,
                "blocked" => columns.set_item(name, &self.blocked)?,
                "first_year_loss_um" => columns.set_item(name, &self.first_year_loss_um)?,
                "median_years" => columns.set_item(name, &self.median_years)?,
                "p10_years" => columns.set_item(name, &self.p10_years)?,
                "p90_years" => columns.set_item(name, &self.p90_years)?,
                "probability_ok" => columns.set_item(name, &self.probability_ok)?,
                "cost_per_thousand" => columns.set_item(name, &self.cost_per_thousand)?,
                _ => columns.set_item(name, &self.score)?,
            }
        }
        Ok(columns)
    }

    /// How many results there are.
    fn __len__(&self) -> usize {
        self.results
    }

    fn __repr__(&self) -> String {
        format!("SweptTable({} results, {} builds)", self.results, self.words.builds.len())
    }

    /// The table as an Arrow stream of one batch; a requested schema is left to the caller to cast to.
    #[pyo3(signature = (requested_schema=None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyCapsule>> {
        drop(requested_schema);
        stream_capsule(py, self.batch(py)?)
    }

    /// The table as an Arrow array of records.
    #[pyo3(signature = (requested_schema=None))]
    fn __arrow_c_array__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyTuple>> {
        drop(requested_schema);
        array_capsules(py, &StructArray::from(self.batch(py)?))
    }
}

/// Codes as pandas and polars take them, -1 for none.
fn codes_of<'py, T: Element + Copy>(
    py: Python<'py>,
    column: Option<&Py<PyArray1<T>>>,
    code: impl Fn(T) -> Option<u16>,
) -> PyResult<Bound<'py, PyArray1<i32>>> {
    let Some(column) = column else { return Ok(PyArray1::zeros(py, 0, false)) };
    let column = column.bind(py).try_readonly()?;
    Ok(PyArray1::from_iter(py, column.as_slice()?.iter().map(|given| code(*given).map_or(-1, i32::from))))
}

/// Of the columns of a table, the names of those that a sweep obeys; with `all` also fields of the part and the wants.
#[pyfunction]
fn obeyed(names: Vec<String>, all: bool) -> PyResult<Vec<String>> {
    let places = obeyed_columns(&names, all)?;
    Ok(places.into_iter().filter_map(|place| names.get(place).cloned()).collect())
}

/// The columns of results in their order.
#[pyfunction]
fn result_columns() -> Vec<&'static str> {
    RESULT_COLUMNS.to_vec()
}

/// Sweeps a table: an object that exports an Arrow stream, or a dictionary of columns.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "one argument per question, named in Python")]
#[pyo3(signature = (brief, table, builds, catalog, threads, best_only=false, columns=None, all_fields=false, strict=false))]
fn sweep_table(
    py: Python<'_>,
    brief: Brief,
    table: &Bound<'_, PyAny>,
    builds: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
    threads: &Bound<'_, PyAny>,
    best_only: bool,
    columns: Option<Vec<String>>,
    all_fields: bool,
    strict: bool,
) -> PyResult<SweptTable> {
    let threads = count("threads", threads)?;
    let catalog = catalog_or_default(catalog);
    let builds = builds_of(builds)?;
    let wanted: Option<Vec<&str>> = columns.as_ref().map(|names| names.iter().map(String::as_str).collect());
    let names = chosen(wanted.as_deref())?;
    let batches = batches_of(table)?;
    let (table, variants) = py.detach(|| CheckedTable::of(&batches, &brief.0, all_fields))?;
    let asked = Asked { builds: builds.as_deref(), best_only, strict };
    let sweep = py.detach(|| TableSweep::new(&brief.0, &table, variants, asked, &catalog))?;
    let rows = table.rows();
    let results = sweep.results(0..rows)?;
    let asks = |name: &str| names.contains(&name);
    let of_build = ["build", "base_metal", "treatment", "films"].into_iter().any(asks);
    let mut row = some::<u32>(py, sweep.results_each().is_none(), results)?;
    let mut build = some::<u16>(py, of_build, results)?;
    let mut category = some::<u8>(py, asks("category"), results)?;
    let mut first_year_loss_um = some::<f64>(py, asks("first_year_loss_um"), results)?;
    let mut median_years = some::<f64>(py, asks("median_years"), results)?;
    let mut p10_years = some::<f64>(py, asks("p10_years"), results)?;
    let mut p90_years = some::<f64>(py, asks("p90_years"), results)?;
    let mut probability_ok = some::<f64>(py, asks("probability_ok"), results)?;
    let mut cost_per_thousand = some::<f64>(py, asks("cost_per_thousand"), results)?;
    let mut score = some::<f64>(py, asks("score"), results)?;
    let mut met = some::<bool>(py, asks("met"), results)?;
    let mut blocked = some::<bool>(py, asks("blocked"), results)?;
    let mut blocked_by = some::<u16>(py, asks("blocked_by"), results)?;
    let mut row_status = empty::<u8>(py, results)?;
    {
        let mut out = ResultSlices {
            row: slice(row.as_mut())?,
            build: slice(build.as_mut())?,
            category: slice(category.as_mut())?,
            first_year_loss_um: slice(first_year_loss_um.as_mut())?,
            median_years: slice(median_years.as_mut())?,
            p10_years: slice(p10_years.as_mut())?,
            p90_years: slice(p90_years.as_mut())?,
            probability_ok: slice(probability_ok.as_mut())?,
            cost_per_thousand: slice(cost_per_thousand.as_mut())?,
            score: slice(score.as_mut())?,
            met: slice(met.as_mut())?,
            blocked: slice(blocked.as_mut())?,
            blocked_by: slice(blocked_by.as_mut())?,
            row_status: row_status.as_slice_mut()?,
        };
        let step = sweep.rows_at_a_time();
        for start in (0..rows).step_by(step) {
            py.check_signals()?;
            let part = start..rows.min(start + step);
            let out = out.take(sweep.results(part.clone())?);
            py.detach(|| sweep.run(part, out, threads))?;
        }
    }
    let blockers = match blocked_by.as_mut() {
        Some(codes) => in_order(sweep.blockers(), codes.as_slice_mut()?),
        None => Vec::new(),
    };
    let words =
        Words { builds: sweep.builds().to_vec(), blockers, currency: sweep.currency().to_owned() };
    Ok(SweptTable {
        words,
        names,
        results,
        row: row.as_ref().map(filled),
        build: build.as_ref().map(filled),
        category: category.as_ref().map(filled),
        first_year_loss_um: first_year_loss_um.as_ref().map(filled),
        median_years: median_years.as_ref().map(filled),
        p10_years: p10_years.as_ref().map(filled),
        p90_years: p90_years.as_ref().map(filled),
        probability_ok: probability_ok.as_ref().map(filled),
        cost_per_thousand: cost_per_thousand.as_ref().map(filled),
        score: score.as_ref().map(filled),
        met: met.as_ref().map(filled),
        blocked: blocked.as_ref().map(filled),
        blocked_by: blocked_by.as_ref().map(filled),
        row_status: filled(&row_status),
    })
}

/// Memory for a column that is asked for.
fn some<T: Element>(py: Python<'_>, asked: bool, results: usize) -> PyResult<Option<PyReadwriteArray1<'_, T>>> {
    asked.then(|| empty(py, results)).transpose()
}

fn slice<'a, T: Element>(column: Option<&'a mut PyReadwriteArray1<'_, T>>) -> PyResult<&'a mut [T]> {
    Ok(match column {
        Some(column) => column.as_slice_mut()?,
        None => &mut [],
    })
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<SweptTable>()?;
    module.add_function(wrap_pyfunction!(obeyed, module)?)?;
    module.add_function(wrap_pyfunction!(result_columns, module)?)?;
    module.add_function(wrap_pyfunction!(sweep_table, module)?)
}
