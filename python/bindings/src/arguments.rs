//! Arguments of another type than wanted, rejected in the form of the core's own errors.

use pyo3::exceptions::{PyOverflowError, PyTypeError, PyValueError};
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::PyFloat;

use crate::error::{Refusal, Result};
use overcoat::error::invalid;

/// Entries of a list (an assumption about what no user needs).
const MOST_ENTRIES: usize = 10_000_000;

/// Characters of a value that a message shows.
const SHOWN_CHARACTERS: usize = 400;

/// The argument as `T`. What Python says of another type or of a number too large becomes an error that names
/// the field; what else may happen while a value is read, such as Ctrl-C, stays what it is.
pub(super) fn argument<'a, 'py, T>(
    field: &str,
    value: &'a Bound<'py, PyAny>,
    allowed: &str,
    remedy: &str,
) -> Result<T>
where
    T: FromPyObject<'a, 'py>,
{
    let py = value.py();
    // Python takes the real part of complex numbers of NumPy and warns
    if !value.is_exact_instance_of::<PyFloat>()
        && let Ok(Some(dtype)) = value.getattr_opt(intern!(py, "dtype"))
        && dtype.getattr(intern!(py, "kind")).is_ok_and(|kind| kind.eq("c").unwrap_or(false))
    {
        return Err(refused(field, value, allowed, remedy));
    }
    value.extract().map_err(|error| {
        let error: PyErr = T::Error::into(error);
        if error.is_instance_of::<PyTypeError>(py)
            || error.is_instance_of::<PyOverflowError>(py)
            || error.is_instance_of::<PyValueError>(py)
        {
            refused(field, value, allowed, remedy)
        } else {
            error.into()
        }
    })
}

/// A number; of any type that Python takes for one.
pub(super) fn number(field: &str, value: &Bound<'_, PyAny>) -> Result<f64> {
    argument(field, value, "a number", "Pass one number, in the unit that its name ends in.")
}

/// A text.
pub(super) fn text(field: &str, value: &Bound<'_, PyAny>) -> Result<String> {
    argument(field, value, "text", "Write it in quotes.")
}

/// A list of at most [`MOST_ENTRIES`]: room is taken for as many as a list claims to have.
pub(super) fn list<'a, 'py, T>(
    field: &str,
    value: &'a Bound<'py, PyAny>,
    allowed: &str,
    remedy: &str,
) -> Result<Vec<T>>
where
    Vec<T>: FromPyObject<'a, 'py>,
{
    match value.len() {
        Ok(entries) if entries <= MOST_ENTRIES => argument(field, value, allowed, remedy),
        _ => Err(refused(field, value, allowed, remedy)),
    }
}

/// Cells of a table as the Python side writes them out: a list of texts, or of lists of texts.
pub(super) fn cells<'a, 'py, T>(field: &str, value: &'a Bound<'py, PyAny>) -> Result<Vec<T>>
where
    Vec<T>: FromPyObject<'a, 'py>,
{
    list(field, value, "cells of Unicode characters", "Write the texts of the table again.")
}

/// How many; `T` sets the largest.
pub(super) fn count<'a, 'py, T>(field: &str, value: &'a Bound<'py, PyAny>) -> Result<T>
where
    T: FromPyObject<'a, 'py>,
{
    argument(field, value, "a whole number, 0 or more", "Pass a smaller or a whole number.")
}

/// The error for an argument that is not what it has to be.
pub(super) fn refused(field: &str, value: &Bound<'_, PyAny>, allowed: &str, remedy: &str) -> Refusal {
    invalid(field, shown(value), allowed, remedy).into()
}

/// A value with its type in one line, cut where it is long.
fn shown(value: &Bound<'_, PyAny>) -> String {
    let kind = value.get_type().name().map_or_else(|_| "object".to_owned(), |name| name.to_string());
    if let Ok(length) = value.len()
        && length > SHOWN_CHARACTERS
    {
        return format!("a {kind} of length {length}");
    }
    // a whole number of more digits than Python prints has none, nor need an object of a user
    let Ok(text) = value.str() else { return format!("a value of type {kind}") };
    let words = text.to_string_lossy().split_whitespace().collect::<Vec<_>>().join(" ");
    match words.char_indices().nth(SHOWN_CHARACTERS) {
        Some((end, _)) => format!("{}… (of type {kind})", words.get(..end).unwrap_or_default()),
        None => format!("{words} (of type {kind})"),
    }
}
