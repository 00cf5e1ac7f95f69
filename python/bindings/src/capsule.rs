//! Arrow's PyCapsule interface by hand: columns and tables in and out without a copy.
//!
//! This is the only file of the crate with `unsafe`: what another library hands over as an address can be
//! believed, not checked.

#![expect(
    unsafe_code,
    reason = "the C data interface hands addresses over, which the compiler cannot follow"
)]

use std::ffi::CStr;
use std::panic::RefUnwindSafe;
use std::ptr::NonNull;
use std::sync::Arc;

use crate::error::Result;
use arrow_array::ffi::{FFI_ArrowArray, FFI_ArrowSchema, from_ffi, to_ffi};
use arrow_array::ffi_stream::{ArrayStreamReader, FFI_ArrowArrayStream};
use arrow_array::{
    Array, ArrayReader, ArrayRef, RecordBatch, RecordBatchIterator, StructArray, make_array, new_empty_array,
};
use arrow_buffer::Buffer;
use arrow_schema::ArrowError;
use numpy::{Element, PyArray1, PyArrayMethods};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyCapsule, PyCapsuleMethods, PyTuple};

use overcoat::Error;
use overcoat::error::table_error;

const STREAM: &CStr = c"arrow_array_stream";
const SCHEMA: &CStr = c"arrow_schema";
const ARRAY: &CStr = c"arrow_array";

fn refused(error: &ArrowError) -> Error {
    table_error(".", None, error.to_string(), "Hand over a table or column that its own library can read.")
}

/// The chunks of an object that exports an Arrow stream or array, at least one; `None` for any other object.
pub(super) fn chunks_of(object: &Bound<'_, PyAny>) -> Result<Option<Vec<ArrayRef>>> {
    if let Some(export) = object.getattr_opt("__arrow_c_stream__")? {
        return stream_of(&export.call0()?).map(Some);
    }
    match object.getattr_opt("__arrow_c_array__")? {
        Some(export) => array_of(&export.call0()?).map(|array| Some(vec![array])),
        None => Ok(None),
    }
}

fn stream_of(capsule: &Bound<'_, PyAny>) -> Result<Vec<ArrayRef>> {
    let stream = capsule.cast::<PyCapsule>()?.pointer_checked(Some(STREAM))?.cast::<FFI_ArrowArrayStream>();
    // SAFETY: a capsule of this name holds a stream, by the PyCapsule interface. It stays alive during the call,
    // which moves the stream out and marks it as released, so that the capsule does not release it again.
    let reader = unsafe { ArrayStreamReader::from_raw(stream.as_ptr()) }.map_err(|e| refused(&e))?;
    let field = reader.field().clone();
    // the stream may compute its chunks, on threads of its own that call Python
    let chunks: Result<Vec<ArrayRef>, ArrowError> = capsule.py().detach(|| reader.collect());
    let mut chunks = chunks.map_err(|e| refused(&e))?;
    chunks.iter().try_for_each(sound)?;
    if chunks.is_empty() {
        chunks.push(new_empty_array(field.data_type()));
    }
    Ok(chunks)
}

fn array_of(capsules: &Bound<'_, PyAny>) -> Result<ArrayRef> {
    let (schema, array): (Bound<'_, PyAny>, Bound<'_, PyAny>) = capsules.extract()?;
    let schema = schema.cast::<PyCapsule>()?.pointer_checked(Some(SCHEMA))?.cast::<FFI_ArrowSchema>();
    let array = array.cast::<PyCapsule>()?.pointer_checked(Some(ARRAY))?.cast::<FFI_ArrowArray>();
    // SAFETY: capsules of these names hold a schema and an array, by the PyCapsule interface. Both stay alive
    // during the call; the array is moved out and marked as released, the schema is read and left alone.
    let data = unsafe { from_ffi(FFI_ArrowArray::from_raw(array.as_ptr()), schema.as_ref()) };
    let array = make_array(data.map_err(|e| refused(&e))?);
    sound(&array)?;
    Ok(array)
}

/// Rejects what its types cannot hold: text that is not UTF-8, offsets and codes that lead elsewhere.
fn sound(array: &ArrayRef) -> Result<()> {
    Ok(array.to_data().validate_full().map_err(|e| refused(&e))?)
}

/// A chunk of a table as a record batch.
pub(super) fn batch_of(chunk: &ArrayRef) -> Result<RecordBatch> {
    let Some(columns) = chunk.as_any().downcast_ref::<StructArray>() else {
        return Err(PyTypeError::new_err(format!(
            "expected a table, found a column of {}",
            chunk.data_type()
        ))
        .into());
    };
    if columns.null_count() > 0 {
        let remedy = "Drop the rows that are null as a whole.";
        return Err(table_error(".", None, "the table has rows that are null as a whole", remedy).into());
    }
    Ok(RecordBatch::from(columns.clone()))
}

/// A capsule that streams one batch.
pub(super) fn stream_capsule(py: Python<'_>, batch: RecordBatch) -> PyResult<Bound<'_, PyCapsule>> {
    let schema = batch.schema();
    let stream = FFI_ArrowArrayStream::new(Box::new(RecordBatchIterator::new([Ok(batch)], schema)));
    PyCapsule::new_with_value(py, stream, STREAM)
}

/// Capsules of the type and the content of one array.
pub(super) fn array_capsules<'py>(py: Python<'py>, array: &dyn Array) -> Result<Bound<'py, PyTuple>> {
    let (array, schema) = to_ffi(&array.to_data()).map_err(|e| refused(&e))?;
    let capsules =
        [PyCapsule::new_with_value(py, schema, SCHEMA)?, PyCapsule::new_with_value(py, array, ARRAY)?];
    Ok(PyTuple::new(py, capsules)?)
}

/// The memory of a contiguous NumPy array as an Arrow buffer that keeps the array alive.
///
/// What writes to the array afterwards writes to the buffer: as anywhere with NumPy, that is for the user to
/// mind.
pub(super) fn buffer_of<T: Element>(array: &Bound<'_, PyArray1<T>>) -> PyResult<Buffer> {
    let held = array.try_readonly()?;
    let elements: &[T] = held.as_slice()?;
    let owner = Arc::new(NumpyOwner(Some(array.clone().into_any().unbind())));
    // SAFETY: the slice is as long as it says. NumPy neither moves nor frees it while the owner holds the array:
    // an array that others refer to is not resized.
    Ok(unsafe {
        Buffer::from_custom_allocation(NonNull::from(elements).cast(), size_of_val(elements), owner)
    })
}

/// Keeps a NumPy array alive.
struct NumpyOwner(Option<Py<PyAny>>);

/// The array is never reached through the owner, so no one can see it in a state that a panic left behind.
impl RefUnwindSafe for NumpyOwner {}

impl Drop for NumpyOwner {
    fn drop(&mut self) {
        // Other libraries let go of a table without telling PyO3 that the interpreter is held, and PyO3 would
        // keep the memory until the next call into this module.
        let array = self.0.take();
        Python::try_attach(|_| drop(array));
    }
}
