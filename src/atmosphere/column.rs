//! A scalar rule's rejection as the error of a table: the column, the row, the remedy.

use crate::error::{Error, InvalidTable, Result};

/// The same rejection, naming the row of the column; rows count from 1.
pub(super) fn at_row(error: Error, index: usize) -> Error {
    match error {
        Error::Value(e) => InvalidTable {
            column: e.field,
            row: Some(index + 1),
            reason: format!("the value is {}; allowed: {}", e.value, e.allowed),
            remedy: e.remedy,
        }
        .into(),
        other => other,
    }
}

/// Rejects a column whose length differs from that of the first.
pub(super) fn same_length(column: &str, length: usize, first: &str, expected: usize) -> Result<()> {
    if length == expected {
        return Ok(());
    }
    Err(InvalidTable {
        column: column.to_owned(),
        row: None,
        reason: format!("it has {length} rows where `{first}` has {expected}"),
        remedy: "Give columns of equal length.".to_owned(),
    }
    .into())
}
