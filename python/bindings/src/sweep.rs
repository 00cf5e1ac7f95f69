//! Tables of places swept over builds.

use arrow_array::{RecordBatch, StructArray};
use arrow_buffer::{BooleanBuffer, ScalarBuffer};
use numpy::{PyArray1, PyArrayMethods};
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyDict, PyTuple};

use crate::arguments::count;
use crate::capsule::{array_capsules, buffer_of, stream_capsule};
use crate::columns::{batches_of, empty, filled};
use crate::documents::{Brief, Catalog, builds_of, catalog_or_default};
use overcoat::atmosphere::Category;
use overcoat::sweep::{CheckedTable, CodedSlices, OutputSlices, Reason, ResultBuffers, Sweep};

/// The results of a sweep, one row per row of the table and build, as columns of NumPy and of Arrow.
///
/// Any library that reads Arrow's PyCapsule interface takes it: `pyarrow.table(swept)`,
/// `polars.DataFrame(swept)`. Where a row has no result the columns of Arrow are null, those of NumPy NaN.
#[pyclass(frozen, module = "overcoat")]
struct SweptTable {
    builds: Vec<String>,
    row: Py<PyArray1<u32>>,
    build: Py<PyArray1<u16>>,
    first_year_loss_um: Py<PyArray1<f64>>,
    category: Py<PyArray1<u8>>,
    median_years: Py<PyArray1<f64>>,
    p10_years: Py<PyArray1<f64>>,
    p90_years: Py<PyArray1<f64>>,
    probability_ok: Py<PyArray1<f64>>,
    score: Py<PyArray1<f64>>,
    blocked: Py<PyArray1<bool>>,
    reason: Py<PyArray1<u8>>,
}

impl SweptTable {
    fn batch(&self, py: Python<'_>) -> PyResult<RecordBatch> {
        let numbers = |column: &Py<PyArray1<f64>>| -> PyResult<ScalarBuffer<f64>> {
            Ok(buffer_of(column.bind(py))?.into())
        };
        let blocked = self.blocked.bind(py).try_readonly()?;
        let buffers = ResultBuffers {
            row: buffer_of(self.row.bind(py))?.into(),
            build: buffer_of(self.build.bind(py))?.into(),
            first_year_loss_um: numbers(&self.first_year_loss_um)?,
            category: buffer_of(self.category.bind(py))?.into(),
            median_years: numbers(&self.median_years)?,
            p10_years: numbers(&self.p10_years)?,
            p90_years: numbers(&self.p90_years)?,
            probability_ok: numbers(&self.probability_ok)?,
            score: numbers(&self.score)?,
            blocked: BooleanBuffer::from(blocked.as_slice()?),
            reason: buffer_of(self.reason.bind(py))?.into(),
        };
        Ok(buffers.into_batch(&self.builds)?)
    }
}

#[pymethods]
impl SweptTable {
    /// The builds, in the order of their codes.
    #[getter]
    fn builds(&self) -> Vec<String> {
        self.builds.clone()
    }

    /// The categories and the reasons, in the order of their codes.
    #[staticmethod]
    fn words() -> (Vec<&'static str>, Vec<&'static str>) {
        (Category::ALL.iter().map(|c| c.name()).collect(), Reason::ALL.iter().map(|r| r.name()).collect())
    }

    /// Columns of NumPy by name; `build`, `category` and `reason` as codes.
    fn columns<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let columns = PyDict::new(py);
        columns.set_item("row", &self.row)?;
        columns.set_item("build", &self.build)?;
        columns.set_item("first_year_loss_um", &self.first_year_loss_um)?;
        columns.set_item("category", &self.category)?;
        columns.set_item("median_years", &self.median_years)?;
        columns.set_item("p10_years", &self.p10_years)?;
        columns.set_item("p90_years", &self.p90_years)?;
        columns.set_item("probability_ok", &self.probability_ok)?;
        columns.set_item("score", &self.score)?;
        columns.set_item("blocked", &self.blocked)?;
        columns.set_item("reason", &self.reason)?;
        Ok(columns)
    }

    fn __len__(&self, py: Python<'_>) -> PyResult<usize> {
        self.row.bind(py).len()
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!("SweptTable({} rows, {} builds)", self.__len__(py)?, self.builds.len()))
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

/// Sweeps a table: an object that exports an Arrow stream, or a dictionary of columns.
#[pyfunction]
#[pyo3(signature = (brief, table, builds, catalog, threads))]
fn sweep_table(
    py: Python<'_>,
    brief: Brief,
    table: &Bound<'_, PyAny>,
    builds: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
    threads: &Bound<'_, PyAny>,
) -> PyResult<SweptTable> {
    let threads = count("threads", threads)?;
    let catalog = catalog_or_default(catalog);
    let builds = builds_of(builds)?;
    let batches = batches_of(table)?;
    let (sweep, table) = py.detach(|| -> overcoat::Result<_> {
        Ok((Sweep::new(&brief.0, builds.as_deref(), &catalog)?, CheckedTable::of(&batches)?))
    })?;
    let results = sweep.results_of(table.rows())?;
    let (mut row, mut build) = (empty::<u32>(py, results)?, empty::<u16>(py, results)?);
    let (mut category, mut reason) = (empty::<u8>(py, results)?, empty::<u8>(py, results)?);
    let (mut first_year_loss_um, mut median_years) = (empty::<f64>(py, results)?, empty::<f64>(py, results)?);
    let (mut p10_years, mut p90_years) = (empty::<f64>(py, results)?, empty::<f64>(py, results)?);
    let (mut probability_ok, mut score) = (empty::<f64>(py, results)?, empty::<f64>(py, results)?);
    let mut blocked = empty::<bool>(py, results)?;
    let out = CodedSlices {
        row: row.as_slice_mut()?,
        category: category.as_slice_mut()?,
        reason: reason.as_slice_mut()?,
        others: OutputSlices {
            build: build.as_slice_mut()?,
            first_year_loss_um: first_year_loss_um.as_slice_mut()?,
            median_years: median_years.as_slice_mut()?,
            p10_years: p10_years.as_slice_mut()?,
            p90_years: p90_years.as_slice_mut()?,
            probability_ok: probability_ok.as_slice_mut()?,
            score: score.as_slice_mut()?,
            blocked: blocked.as_slice_mut()?,
            ..OutputSlices::default()
        },
    };
    py.detach(|| sweep.run_table(&table, out, threads));
    Ok(SweptTable {
        builds: sweep.builds().iter().map(ToString::to_string).collect(),
        row: filled(&row),
        build: filled(&build),
        first_year_loss_um: filled(&first_year_loss_um),
        category: filled(&category),
        median_years: filled(&median_years),
        p10_years: filled(&p10_years),
        p90_years: filled(&p90_years),
        probability_ok: filled(&probability_ok),
        score: filled(&score),
        blocked: filled(&blocked),
        reason: filled(&reason),
    })
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<SweptTable>()?;
    module.add_function(wrap_pyfunction!(sweep_table, module)?)
}
