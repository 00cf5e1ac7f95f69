//! Pickling and copying of what wraps one object of the core: its JSON and back.

use pyo3::PyTypeInfo;
use pyo3::prelude::*;
use serde::{Serialize, de::DeserializeOwned};

use crate::documents::json_error;

/// What `__reduce__` gives: `_from_json` of the class, and what it is called with.
pub(super) type Reduced = (Py<PyAny>, (String,));

pub(super) fn reduced<T: PyTypeInfo>(py: Python<'_>, core: &impl Serialize) -> PyResult<Reduced> {
    let read = py.get_type::<T>().getattr("_from_json")?.unbind();
    Ok((read, (serde_json::to_string(core).map_err(json_error)?,)))
}

pub(super) fn restored<T: DeserializeOwned>(text: &str) -> PyResult<T> {
    serde_json::from_str(text).map_err(json_error)
}
