//! Columns and tables of Python as Arrow arrays, without a copy where the layout allows.

use std::sync::Arc;

use arrow_array::builder::StringDictionaryBuilder;
use arrow_array::types::{
    ArrowPrimitiveType, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type,
    UInt16Type, UInt32Type, UInt64Type,
};
use arrow_array::{Array, ArrayRef, PrimitiveArray, RecordBatch, StructArray};
use arrow_buffer::ScalarBuffer;
use arrow_schema::Schema;
use numpy::{Element, PyArray1, PyArrayMethods, PyReadwriteArray1};
use pyo3::basic::CompareOp;
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList, PyString, PyTuple};

use crate::capsule::{array_capsules, batch_of, buffer_of, chunks_of};
use crate::error::Result;
use overcoat::error::table_error;

/// The batches of a table that exports an Arrow stream, or of a dictionary of columns.
pub(super) fn batches_of(table: &Bound<'_, PyAny>) -> Result<Vec<RecordBatch>> {
    if let Ok(columns) = table.cast::<PyDict>() {
        return batches_of_columns(columns);
    }
    match chunks_of(table)? {
        Some(chunks) => chunks.iter().map(batch_of).collect(),
        None => {
            Err(PyTypeError::new_err(format!("expected a table, found {}", table.get_type().name()?)).into())
        }
    }
}

/// Columns cut where any of them begins a new chunk.
fn batches_of_columns(columns: &Bound<'_, PyDict>) -> Result<Vec<RecordBatch>> {
    let mut titles = Vec::new();
    let mut rests = Vec::new();
    let mut first: Option<(String, usize)> = None;
    for (title, column) in columns {
        let title: String = title.extract()?;
        let mut chunks = column_of(&title, &column)?;
        let rows: usize = chunks.iter().map(Array::len).sum();
        let (first_title, first_rows) = first.get_or_insert_with(|| (title.clone(), rows));
        if rows != *first_rows {
            let reason = format!("it has {rows} rows where `{first_title}` has {first_rows}");
            return Err(table_error(&title, None, reason, "Give columns of equal length.").into());
        }
        if rows > 0 {
            chunks.retain(|chunk| !chunk.is_empty());
        } else {
            chunks.truncate(1);
        }
        // taken from the end, so that the first chunk comes first
        chunks.reverse();
        titles.push(title);
        rests.push(chunks);
    }
    if rests.is_empty() {
        return Ok(vec![RecordBatch::new_empty(Arc::new(Schema::empty()))]);
    }
    let mut batches = Vec::new();
    // all columns have as many rows, so they come to their ends together
    while let Some(rows) = rests.iter().filter_map(|chunks| chunks.last().map(Array::len)).min() {
        let mut front = Vec::new();
        for chunks in &mut rests {
            let Some(chunk) = chunks.pop() else { continue };
            front.push(chunk.slice(0, rows));
            if chunk.len() > rows {
                chunks.push(chunk.slice(rows, chunk.len() - rows));
            }
        }
        let columns = titles.iter().cloned().zip(front).map(|(title, column)| (title, column, true));
        batches.push(
            RecordBatch::try_from_iter_with_nullable(columns).map_err(|error| {
                table_error(".", None, error.to_string(), "Give columns of equal length.")
            })?,
        );
    }
    Ok(batches)
}

/// The chunks of one column: of anything that exports Arrow, of a contiguous NumPy array, of a list of texts.
pub(super) fn column_of(title: &str, column: &Bound<'_, PyAny>) -> PyResult<Vec<ArrayRef>> {
    if let Some(array) = numpy_numbers(column)? {
        return Ok(vec![array]);
    }
    if let Ok(words) = column.cast::<PyList>() {
        return Ok(vec![texts(title, words)?]);
    }
    let chunks = chunks_of(column)?.ok_or_else(|| {
        let found = column.get_type().name().map_or_else(|_| "an object".to_owned(), |n| n.to_string());
        PyTypeError::new_err(format!("expected a column, found {found}"))
    })?;
    // a frame of one column counts as that column
    Ok(chunks
        .into_iter()
        .map(|chunk| match chunk.as_any().downcast_ref::<StructArray>().map(StructArray::columns) {
            Some([only]) => Arc::clone(only),
            _ => chunk,
        })
        .collect())
}

fn numpy_numbers(column: &Bound<'_, PyAny>) -> PyResult<Option<ArrayRef>> {
    fn of<T: ArrowPrimitiveType>(column: &Bound<'_, PyAny>) -> PyResult<Option<ArrayRef>>
    where
        T::Native: Element,
    {
        let Ok(array) = column.cast::<PyArray1<T::Native>>() else { return Ok(None) };
        let numbers = ScalarBuffer::from(buffer_of(array)?);
        Ok(Some(Arc::new(PrimitiveArray::<T>::new(numbers, None))))
    }
    for read in [
        of::<Float64Type>,
        of::<Float32Type>,
        of::<Int64Type>,
        of::<Int32Type>,
        of::<Int16Type>,
        of::<Int8Type>,
        of::<UInt64Type>,
        of::<UInt32Type>,
        of::<UInt16Type>,
        of::<UInt8Type>,
    ] {
        if let Some(array) = read(column)? {
            return Ok(Some(array));
        }
    }
    Ok(None)
}

/// The capsules of a column of numbers that is in NumPy.
#[pyfunction]
pub(super) fn export_numbers<'py>(column: &Bound<'py, PyArray1<f64>>) -> Result<Bound<'py, PyTuple>> {
    let numbers = ScalarBuffer::from(buffer_of(column)?);
    array_capsules(column.py(), &PrimitiveArray::<Float64Type>::new(numbers, None))
}

/// Texts as a dictionary; what stands for a missing one is null.
fn texts(title: &str, words: &Bound<'_, PyList>) -> Result<ArrayRef> {
    let mut builder = StringDictionaryBuilder::<UInt32Type>::new();
    for (row, word) in words.iter().enumerate() {
        if let Ok(word) = word.cast::<PyString>() {
            builder.append_value(word.to_str()?);
        } else if is_missing(&word)? {
            builder.append_null();
        } else {
            let reason = format!("its type is {}; wanted: text", word.get_type().name()?);
            return Err(table_error(title, Some(row + 1), reason, "Convert the column before.").into());
        }
    }
    Ok(Arc::new(builder.finish()))
}

/// None, and not-a-numbers of any kind: none of them equals itself, that of pandas not even with a truth value.
fn is_missing(word: &Bound<'_, PyAny>) -> PyResult<bool> {
    if word.is_none() {
        return Ok(true);
    }
    let equal = word.rich_compare(word, CompareOp::Eq)?;
    Ok(equal.is_truthy().map_or(true, |equal| !equal))
}

/// Memory of NumPy, which asks the system for large pages: clearing small ones costs more than the sweep.
pub(super) fn empty<T: Element>(py: Python<'_>, length: usize) -> PyResult<PyReadwriteArray1<'_, T>> {
    let array = py.import("numpy")?.call_method1("empty", (length, T::get_dtype(py)))?;
    Ok(array.cast::<PyArray1<T>>()?.try_readwrite()?)
}

/// The array itself, filled.
pub(super) fn filled<T: Element>(array: &PyReadwriteArray1<'_, T>) -> Py<PyArray1<T>> {
    Bound::clone(array).unbind()
}
