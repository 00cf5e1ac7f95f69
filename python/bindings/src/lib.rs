//! The Python module `overcoat._core`: conversion only, every number comes from the crate.

#![expect(
    clippy::doc_link_with_quotes,
    reason = "the documentation of what Python calls is in Python's format"
)]
#![expect(clippy::needless_pass_by_value, reason = "PyO3 hands arguments over by value")]

mod arguments;
mod atmosphere;
mod capsule;
mod certainty;
mod columns;
mod command;
mod documents;
mod error;
mod learning;
mod papers;
mod pickling;
mod ranking;
mod records;
mod sweep;
mod whatif;

use pyo3::prelude::*;

/// Conversion between Python and the overcoat crate; users import `overcoat`.
#[pymodule]
fn _core(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("__version__", env!("CARGO_PKG_VERSION"))?;
    error::register(module)?;
    atmosphere::register(module)?;
    documents::register(module)?;
    module.add_class::<papers::Papers>()?;
    learning::register(module)?;
    records::register(module)?;
    module.add_function(wrap_pyfunction!(columns::export_numbers, module)?)?;
    sweep::register(module)?;
    whatif::register(module)?;
    certainty::register(module)?;
    command::register(module)?;
    ranking::register(module)
}
