//! The native command and the chart of choices.

use std::ffi::CString;

use pyo3::exceptions::PyUserWarning;
use pyo3::prelude::*;

use overcoat::finish::Build;

use crate::arguments::{list, number};
use crate::documents::{Brief, Catalog, catalog_or_default};
use crate::error::Result;

/// Runs a command line, its first word being the program, and returns the exit code.
#[pyfunction]
fn run_command(py: Python<'_>, words: Vec<std::ffi::OsString>) -> u8 {
    py.detach(|| overcoat::command::run(words))
}

/// The chart of choices as columns: finishes times places for given years.
type ChartColumns = (Vec<String>, Vec<String>, Vec<String>, Vec<f64>, Vec<f64>, Vec<bool>, Vec<bool>);

/// Build, place, category, probability, median years, whether blocked and whether beyond the evidence, a row per finish and place.
#[pyfunction]
#[pyo3(signature = (brief, required_years, builds, places, catalog=None))]
fn chart_columns(
    py: Python<'_>,
    brief: Option<Brief>,
    required_years: Option<&Bound<'_, PyAny>>,
    builds: Option<&Bound<'_, PyAny>>,
    places: Option<&Bound<'_, PyAny>>,
    catalog: Option<Catalog>,
) -> Result<ChartColumns> {
    let names = |field: &str, value: &Bound<'_, PyAny>| -> Result<Vec<String>> {
        list(field, value, "a list of names", "Put them in brackets.")
    };
    let builds = builds.map(|builds| names("builds", builds)).transpose()?;
    let builds = builds
        .map(|builds| builds.iter().map(|build| build.parse()).collect::<overcoat::Result<Vec<Build>>>())
        .transpose()?;
    let places = places.map(|places| names("places", places)).transpose()?;
    let required_years = required_years.map(|years| number("required_years", years)).transpose()?;
    let catalog = catalog_or_default(catalog);
    let found = py.detach(|| -> overcoat::Result<_> {
        let mut brief = match brief {
            Some(brief) => brief.0,
            None => overcoat::study::plain_brief(required_years.unwrap_or(5.0))?,
        };
        if let Some(years) = required_years {
            brief.duty.required_years = years;
            brief.check()?;
        }
        overcoat::study::chart(&brief, builds.as_deref(), places.as_deref(), &catalog)
    })?;
    for remark in &found.remarks {
        let remark = CString::new(remark.as_str()).unwrap_or_default();
        PyErr::warn(py, &py.get_type::<PyUserWarning>(), &remark, 2)?;
    }
    let mut columns = ChartColumns::default();
    for (build, cells) in found.builds.iter().zip(&found.cells) {
        for (cell, place) in cells.iter().zip(&found.places) {
            columns.0.push(build.to_string());
            columns.1.push(place.name.clone());
            columns.2.push(place.category.to_string());
            columns.3.push(cell.probability_ok);
            columns.4.push(cell.median_years);
            columns.5.push(cell.blocked);
            columns.6.push(cell.beyond_evidence);
        }
    }
    Ok(columns)
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(run_command, module)?)?;
    module.add_function(wrap_pyfunction!(chart_columns, module)?)
}
