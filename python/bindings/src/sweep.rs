//! Tables of places swept over builds.

use arrow_array::{RecordBatch, StructArray};
use numpy::{Element, PyArray1, PyArrayMethods, PyReadwriteArray1};
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict, PyTuple};

use crate::arguments::count;
use crate::capsule::{array_capsules, buffer_of, stream_capsule};
use crate::columns::{batches_of, empty, filled};
use crate::documents::{Brief, Catalog, builds_of, catalog_or_default};
use crate::error::Result;
use overcoat::atmosphere::Category;
use overcoat::brief::Field;
use overcoat::study::{
    Asked, CheckedTable, NOT_BLOCKED, RESULT_COLUMNS, ResultBuffers, ResultSlices, RowRemark, RowSource,
    TableSweep, Words, chosen, has_result, in_order, known_columns, obeyed_columns, row_status_words,
};

type Array<T> = Option<Py<PyArray1<T>>>;

/// Results of a table, one row per row of it and build, as columns of NumPy and of Arrow; columns not requested are
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
    burden: Array<f32>,
    dangers: Array<f32>,
    remarks: Vec<RowRemark>,
}

impl SweptTable {
    fn batch(&self, py: Python<'_>) -> Result<RecordBatch> {
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
            burden: buffer!(burden),
            dangers: buffer!(dangers),
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

    /// What rankings of rows remark and the results do not say, the first row of each remark, and of how many.
    #[getter]
    fn remarks(&self) -> Vec<(String, usize, usize)> {
        self.remarks.iter().map(|said| (said.remark.clone(), said.row, said.rows)).collect()
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
                    let words: Vec<&str> = Category::ALL.iter().map(|c| c.word()).collect();
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
                "burden" => columns.set_item(name, &self.burden)?,
                "dangers" => columns.set_item(name, &self.dangers)?,
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
    ) -> Result<Bound<'py, PyTuple>> {
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
fn obeyed(names: Vec<String>, all: bool) -> Result<Vec<String>> {
    let places = obeyed_columns(&names, all)?;
    Ok(places.into_iter().filter_map(|place| names.get(place).cloned()).collect())
}

/// The name of a field of a brief, given with or without its section.
#[pyfunction]
fn field_name(name: &str) -> Result<String> {
    Ok(Field::of(name)?.name.clone())
}

/// The number that text with a unit is in the unit of a field.
#[pyfunction]
fn number_of_text(field: &str, text: &str) -> Result<f64> {
    Ok(Field::of(field)?.number_of_text(text)?)
}

/// The columns of results in their order; with `all`, those that are given on request too.
#[pyfunction]
#[pyo3(signature = (all=false))]
fn result_columns(all: bool) -> Vec<&'static str> {
    if all { known_columns().collect() } else { RESULT_COLUMNS.to_vec() }
}

/// Memory of NumPy for the results that are requested.
struct Memory<'py> {
    row: Option<PyReadwriteArray1<'py, u32>>,
    build: Option<PyReadwriteArray1<'py, u16>>,
    category: Option<PyReadwriteArray1<'py, u8>>,
    first_year_loss_um: Option<PyReadwriteArray1<'py, f64>>,
    median_years: Option<PyReadwriteArray1<'py, f64>>,
    p10_years: Option<PyReadwriteArray1<'py, f64>>,
    p90_years: Option<PyReadwriteArray1<'py, f64>>,
    probability_ok: Option<PyReadwriteArray1<'py, f64>>,
    cost_per_thousand: Option<PyReadwriteArray1<'py, f64>>,
    score: Option<PyReadwriteArray1<'py, f64>>,
    met: Option<PyReadwriteArray1<'py, bool>>,
    blocked: Option<PyReadwriteArray1<'py, bool>>,
    blocked_by: Option<PyReadwriteArray1<'py, u16>>,
    row_status: PyReadwriteArray1<'py, u8>,
    burden: Option<PyReadwriteArray1<'py, f32>>,
    dangers: Option<PyReadwriteArray1<'py, f32>>,
}

impl<'py> Memory<'py> {
    fn new(py: Python<'py>, names: &[&str], row: bool, results: usize) -> PyResult<Self> {
        let asks = |name: &str| names.contains(&name);
        let of_build = ["build", "base_metal", "treatment", "films"].into_iter().any(asks);
        Ok(Self {
            row: some(py, row, results)?,
            build: some(py, of_build, results)?,
            category: some(py, asks("category"), results)?,
            first_year_loss_um: some(py, asks("first_year_loss_um"), results)?,
            median_years: some(py, asks("median_years"), results)?,
            p10_years: some(py, asks("p10_years"), results)?,
            p90_years: some(py, asks("p90_years"), results)?,
            probability_ok: some(py, asks("probability_ok"), results)?,
            cost_per_thousand: some(py, asks("cost_per_thousand"), results)?,
            score: some(py, asks("score"), results)?,
            met: some(py, asks("met"), results)?,
            blocked: some(py, asks("blocked"), results)?,
            blocked_by: some(py, asks("blocked_by"), results)?,
            row_status: empty(py, results)?,
            burden: some(py, asks("burden"), results)?,
            dangers: some(py, asks("dangers"), results)?,
        })
    }

    fn slices(&mut self) -> PyResult<ResultSlices<'_>> {
        Ok(ResultSlices {
            row: slice(self.row.as_mut())?,
            build: slice(self.build.as_mut())?,
            category: slice(self.category.as_mut())?,
            first_year_loss_um: slice(self.first_year_loss_um.as_mut())?,
            median_years: slice(self.median_years.as_mut())?,
            p10_years: slice(self.p10_years.as_mut())?,
            p90_years: slice(self.p90_years.as_mut())?,
            probability_ok: slice(self.probability_ok.as_mut())?,
            cost_per_thousand: slice(self.cost_per_thousand.as_mut())?,
            score: slice(self.score.as_mut())?,
            met: slice(self.met.as_mut())?,
            blocked: slice(self.blocked.as_mut())?,
            blocked_by: slice(self.blocked_by.as_mut())?,
            row_status: self.row_status.as_slice_mut()?,
            burden: slice(self.burden.as_mut())?,
            dangers: slice(self.dangers.as_mut())?,
        })
    }

    fn table(&self, words: Words, names: Vec<&'static str>, results: usize) -> SweptTable {
        SweptTable {
            words,
            names,
            results,
            row: self.row.as_ref().map(filled),
            build: self.build.as_ref().map(filled),
            category: self.category.as_ref().map(filled),
            first_year_loss_um: self.first_year_loss_um.as_ref().map(filled),
            median_years: self.median_years.as_ref().map(filled),
            p10_years: self.p10_years.as_ref().map(filled),
            p90_years: self.p90_years.as_ref().map(filled),
            probability_ok: self.probability_ok.as_ref().map(filled),
            cost_per_thousand: self.cost_per_thousand.as_ref().map(filled),
            score: self.score.as_ref().map(filled),
            met: self.met.as_ref().map(filled),
            blocked: self.blocked.as_ref().map(filled),
            blocked_by: self.blocked_by.as_ref().map(filled),
            row_status: filled(&self.row_status),
            burden: self.burden.as_ref().map(filled),
            dangers: self.dangers.as_ref().map(filled),
            remarks: Vec::new(),
        }
    }
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
) -> Result<SweptTable> {
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
    let mut memory = Memory::new(py, &names, sweep.results_each().is_none(), results)?;
    let mut rest = memory.slices()?;
    let step = sweep.rows_at_a_time();
    for start in (0..rows).step_by(step) {
        py.check_signals()?;
        let part = start..rows.min(start + step);
        let out = rest.take(sweep.results(part.clone())?);
        py.detach(|| sweep.run(part, out, threads))?;
    }
    let blockers = match memory.blocked_by.as_mut() {
        Some(codes) => in_order(&sweep.blockers(), codes.as_slice_mut()?),
        None => Vec::new(),
    };
    let words = Words { builds: sweep.builds().to_vec(), blockers, currency: sweep.currency().to_owned() };
    let remarks = py.detach(|| sweep.remarks(|_| true));
    Ok(SweptTable { remarks, ..memory.table(words, names, results) })
}

/// What a ranking of the first row of a table says and its results do not, a line each.
#[pyfunction]
fn untold(
    py: Python<'_>,
    brief: Brief,
    table: &Bound<'_, PyAny>,
    builds: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
) -> Result<Vec<String>> {
    let catalog = catalog_or_default(catalog);
    let builds = builds_of(builds)?;
    let batches = batches_of(table)?;
    let (table, variants) = py.detach(|| CheckedTable::of(&batches, &brief.0, false))?;
    let asked = Asked { builds: builds.as_deref(), ..Asked::default() };
    Ok(py.detach(|| TableSweep::new(&brief.0, &table, variants, asked, &catalog)?.untold(0))?)
}

/// Memory for a column that is requested.
fn some<T: Element>(
    py: Python<'_>,
    asked: bool,
    results: usize,
) -> PyResult<Option<PyReadwriteArray1<'_, T>>> {
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
    module.add_function(wrap_pyfunction!(field_name, module)?)?;
    module.add_function(wrap_pyfunction!(number_of_text, module)?)?;
    module.add_function(wrap_pyfunction!(result_columns, module)?)?;
    module.add_function(wrap_pyfunction!(untold, module)?)?;
    module.add_function(wrap_pyfunction!(sweep_table, module)?)
}
