//! The exception family of the Python module: `OvercoatError(ValueError)` and one child per kind of mistake, and the
//! result in which errors of the crate and of Python meet.

use std::convert::Infallible;

use numpy::{AsSliceError, BorrowError};
use pyo3::CastError;
use pyo3::create_exception;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;

use overcoat::Error;

create_exception!(
    overcoat,
    OvercoatError,
    PyValueError,
    "Input that overcoat rejects. `kind`, `field` and `remedy` say what, where and what to do."
);
create_exception!(overcoat, InvalidValueError, OvercoatError, "A value that a field cannot take.");
create_exception!(overcoat, UnknownNameError, OvercoatError, "A name that is not known; see `nearest`.");
create_exception!(overcoat, DocumentError, OvercoatError, "A malformed JSON document; see `nearest`.");
create_exception!(overcoat, BuildError, OvercoatError, "A build that cannot be made.");
create_exception!(overcoat, TableError, OvercoatError, "A table or column that cannot be used.");

/// What a function of the module rejects with. A separate type, since neither the error of the crate nor that of Python
/// is of this crate, and `?` has to turn the one into the other.
#[derive(Debug)]
pub(crate) struct Refusal(PyErr);

/// The result of everything in this module that can reject its input.
pub(crate) type Result<T, E = Refusal> = std::result::Result<T, E>;

// what else `?` meets
macro_rules! refusal_from {
    ($($error:ty),+) => {
        $(impl From<$error> for Refusal {
            fn from(error: $error) -> Self {
                Self(error.into())
            }
        })+
    };
}

refusal_from!(PyErr, CastError<'_, '_>, AsSliceError, BorrowError, Infallible);

impl From<Refusal> for PyErr {
    fn from(refusal: Refusal) -> Self {
        refusal.0
    }
}

impl From<Error> for Refusal {
    fn from(error: Error) -> Self {
        let text = error.to_string();
        let exception = match &error {
            Error::Value(_) => InvalidValueError::new_err(text),
            Error::Name(_) => UnknownNameError::new_err(text),
            Error::Document(_) => DocumentError::new_err(text),
            Error::Build(_) => BuildError::new_err(text),
            Error::Table(_) => TableError::new_err(text),
            _ => OvercoatError::new_err(text),
        };
        // Attributes for programs; failing to set one must not hide the error itself.
        let _ = Python::attach(|py| describe(py, &exception, &error));
        Self(exception)
    }
}

fn describe(py: Python<'_>, exception: &PyErr, error: &Error) -> PyResult<()> {
    let value = exception.value(py);
    value.setattr("kind", error.kind())?;
    value.setattr("field", error.field())?;
    value.setattr("remedy", error.remedy())?;
    match error {
        Error::Value(e) => {
            value.setattr("value", &e.value)?;
            value.setattr("allowed", &e.allowed)
        }
        Error::Name(e) => {
            value.setattr("value", &e.value)?;
            value.setattr("nearest", &e.nearest)?;
            value.setattr("allowed", &e.known)
        }
        Error::Document(e) => {
            value.setattr("document", &e.document)?;
            value.setattr("nearest", &e.nearest)
        }
        Error::Build(e) => value.setattr("build", &e.build),
        Error::Table(e) => {
            value.setattr("column", &e.column)?;
            value.setattr("row", e.row)
        }
        _ => Ok(()),
    }
}

/// Adds the exceptions to the Python module.
pub(crate) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    let py = module.py();
    module.add("OvercoatError", py.get_type::<OvercoatError>())?;
    module.add("InvalidValueError", py.get_type::<InvalidValueError>())?;
    module.add("UnknownNameError", py.get_type::<UnknownNameError>())?;
    module.add("DocumentError", py.get_type::<DocumentError>())?;
    module.add("BuildError", py.get_type::<BuildError>())?;
    module.add("TableError", py.get_type::<TableError>())
}
