//! Rows of text under named columns, from comma-separated text or from a table of the caller.

use super::csv::{check_points, next_fields, position};
use crate::error::table_error;
use crate::{Error, Result};

/// A header and rows as long as it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NamedRows {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl NamedRows {
    /// Reads comma-separated text with a header; empty lines at its end are left out. `known` are the columns that
    /// a name may be a slip of the pen of.
    pub(crate) fn from_csv(text: &str, known: &[&str]) -> Result<Self> {
        let mut rest = text.strip_prefix('\u{feff}').unwrap_or(text);
        let header = next_fields(&mut rest, 0)?.unwrap_or_default();
        let mut rows = Vec::new();
        while let Some(fields) = next_fields(&mut rest, rows.len() + 1)? {
            if fields.iter().all(|f| f.trim().is_empty()) && rest.trim().is_empty() {
                break;
            }
            rows.push(fields);
        }
        Self::new(header, rows, known)
    }

    /// Rows that are already apart.
    pub(crate) fn new(header: Vec<String>, rows: Vec<Vec<String>>, known: &[&str]) -> Result<Self> {
        refuse_misspelt(&header, known)?;
        for (i, fields) in rows.iter().enumerate() {
            if fields.len() != header.len() {
                return Err(table_error(
                    header
                        .first()
                        .map(|name| name.trim())
                        .filter(|name| !name.is_empty())
                        .unwrap_or("record"),
                    Some(i + 1),
                    format!("{} fields, the header has {}", fields.len(), header.len()),
                    "Give every row one field per column; quote a field that holds a comma.",
                ));
            }
        }
        Ok(Self { header, rows })
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Place of a column; a name given twice is rejected.
    pub(crate) fn column(&self, name: &str) -> Result<Option<usize>> {
        position(&self.header, name)
    }

    /// A field, trimmed; empty where the column is absent.
    pub(crate) fn field(&self, row: usize, column: Option<usize>) -> &str {
        column.and_then(|at| self.rows.get(row)?.get(at)).map_or("", |field| field.trim())
    }

    /// Rejects numeric columns in which a point may part thousands or decimals.
    pub(crate) fn check_points(&self, columns: &[&str]) -> Result<()> {
        for name in columns {
            if let at @ Some(_) = self.column(name)? {
                check_points(name, (0..self.len()).map(|row| self.field(row, at)))?;
            }
        }
        Ok(())
    }

    /// The error of a column that must be there.
    pub(crate) fn missing(&self, name: &str, all: &str) -> Error {
        let shown: String = self.header.join(",").chars().take(120).collect();
        let remedy = if shown.contains([';', '\t']) {
            "Save the file with commas between fields and a point as decimal mark."
        } else {
            all
        };
        table_error(name, None, format!("the header row has no such column: {shown:?}"), remedy)
    }
}

/// Rejects a column that is a known name in other letters, a plural of it, within two letters of a name of six letters
/// or more, or within one of a shorter one: its data would be lost in silence.
fn refuse_misspelt(header: &[String], known: &[&str]) -> Result<()> {
    for name in header.iter().map(|field| field.trim()).filter(|name| name.len() < 50) {
        let plain = name.to_lowercase().replace([' ', '-'], "_");
        let close = |meant: &&&str| {
            let slips = match meant.len() {
                0..4 => 0,
                4 | 5 => 1,
                _ => 2,
            };
            plain.strip_suffix('s').unwrap_or(&plain) == **meant
                || strsim::damerau_levenshtein(&plain, meant) <= slips
        };
        if let Some(meant) = known.iter().find(close).filter(|_| !known.contains(&name)) {
            return Err(table_error(
                name,
                None,
                "an unknown column",
                &format!("Did you mean `{meant}`? Rename it so or otherwise."),
            ));
        }
    }
    Ok(())
}

/// Yes or no, as logs write it.
pub(crate) fn yes_or_no(column: &str, row: usize, text: &str) -> Result<bool> {
    match text.to_lowercase().as_str() {
        "1" | "true" | "yes" | "y" => Ok(true),
        "0" | "false" | "no" | "n" => Ok(false),
        _ => {
            Err(table_error(column, Some(row), format!("{text:?} is neither yes nor no"), "Write yes or no."))
        }
    }
}
