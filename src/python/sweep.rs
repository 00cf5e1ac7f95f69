//! Tables of places swept over builds.

use numpy::{IntoPyArray, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::catalog::{Catalog as CoreCatalog, Shelter};
use crate::error::invalid;
use crate::finish::Build;
use crate::python::documents::{Brief, Catalog};
use crate::sweep::{Columns, Output, Reason, Sweep};

type Column<'py> = PyReadonlyArray1<'py, f64>;

/// A build written as `BASE_METAL / TREATMENT / FILM + FILM`, the last part `no film` for none.
fn build_of(text: &str) -> crate::Result<Build> {
    let parts: Vec<&str> = text.split('/').map(str::trim).collect();
    let [base_metal, treatment, films] = parts.as_slice() else {
        return Err(invalid(
            "builds",
            text,
            "BASE_METAL / TREATMENT / FILM + FILM",
            "Write it as a ranking prints it.",
        ));
    };
    let films = films.split('+').map(str::trim).filter(|film| !film.is_empty() && *film != "no film");
    Ok(Build::new(*base_metal, *treatment, films))
}

fn shelters_of(words: &[Option<String>]) -> crate::Result<Vec<Option<Shelter>>> {
    words.iter().map(|word| word.as_deref().map(str::parse).transpose()).collect()
}

/// Sweeps columns; the answer holds columns with one element per row and build, rows one after the other.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "one argument per column, named in Python")]
fn sweep_columns<'py>(
    py: Python<'py>,
    brief: Brief,
    temperature_c: Column<'py>,
    relative_humidity_pct: Column<'py>,
    so2_mg_m2_day: Column<'py>,
    chloride_mg_m2_day: Column<'py>,
    required_years: Option<Column<'py>>,
    shelter: Option<Vec<Option<String>>>,
    builds: Option<Vec<String>>,
    catalog: Option<Catalog>,
    threads: usize,
) -> PyResult<Bound<'py, PyDict>> {
    let catalog = catalog.map_or_else(CoreCatalog::default, |catalog| catalog.0);
    let builds: Option<Vec<Build>> =
        builds.map(|texts| texts.iter().map(|text| build_of(text)).collect()).transpose()?;
    let shelter = shelter.as_deref().map(shelters_of).transpose()?;
    let columns = Columns {
        temperature_c: temperature_c.as_slice()?,
        relative_humidity_pct: relative_humidity_pct.as_slice()?,
        so2_mg_m2_day: so2_mg_m2_day.as_slice()?,
        chloride_mg_m2_day: chloride_mg_m2_day.as_slice()?,
        required_years: required_years.as_ref().map(PyReadonlyArray1::as_slice).transpose()?,
        shelter: shelter.as_deref(),
    };
    let (sweep, output) = py.detach(|| -> crate::Result<_> {
        let sweep = Sweep::new(&brief.0, builds.as_deref(), &catalog)?;
        let mut output = Output::default();
        sweep.run(&columns, &mut output, threads)?;
        Ok((sweep, output))
    })?;
    let answer = PyDict::new(py);
    answer.set_item("builds", sweep.builds().iter().map(ToString::to_string).collect::<Vec<_>>())?;
    answer.set_item("build", output.build.into_pyarray(py))?;
    answer.set_item("first_year_loss_um", output.first_year_loss_um.into_pyarray(py))?;
    let categories = output.category.iter().map(|c| c.map_or(-1, |c| c as i8)).collect::<Vec<i8>>();
    answer.set_item("category", categories.into_pyarray(py))?;
    answer.set_item("median_years", output.median_years.into_pyarray(py))?;
    answer.set_item("p10_years", output.p10_years.into_pyarray(py))?;
    answer.set_item("p90_years", output.p90_years.into_pyarray(py))?;
    answer.set_item("probability_ok", output.probability_ok.into_pyarray(py))?;
    answer.set_item("score", output.score.into_pyarray(py))?;
    answer.set_item("blocked", output.blocked.into_pyarray(py))?;
    answer.set_item("reasons", Reason::ALL.iter().map(|reason| reason.name()).collect::<Vec<_>>())?;
    let reasons: Vec<u8> = output.reason.iter().map(|reason| *reason as u8).collect();
    answer.set_item("reason", reasons.into_pyarray(py))?;
    Ok(answer)
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(sweep_columns, module)?)
}
