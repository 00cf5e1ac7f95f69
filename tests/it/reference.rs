//! Tables of published and measured values, which are not part of the repository: the environment variable
//! `OVERCOAT_REFERENCE` names their directory. Without it tests skip; with it a table must be there, unless it is
//! asked for with [`table_if_there`].

#![allow(clippy::unwrap_used, clippy::panic)] // test code, outside of test functions

use std::collections::BTreeMap;
use std::path::PathBuf;

/// A row by column name.
pub(crate) type Row = BTreeMap<String, String>;

fn path_of(name: &str) -> Option<PathBuf> {
    Some(PathBuf::from(std::env::var_os("OVERCOAT_REFERENCE")?).join(name))
}

/// The lines of a table as cells, the header first; lines that start with `#` are comments.
fn lines(name: &str) -> Option<Vec<Vec<String>>> {
    let path = path_of(name)?;
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let lines: Vec<Vec<String>> = lines.map(cells).collect();
    assert!(lines.len() > 1, "{name} has no rows");
    Some(lines)
}

/// The cells of a line; quoted cells may hold commas.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            c => cells.last_mut().unwrap().push(c),
        }
    }
    cells
}

/// The rows below the header, by position; none where the tests skip.
pub(crate) fn rows(name: &str) -> Vec<Vec<String>> {
    lines(name).map(|mut lines| lines.split_off(1)).unwrap_or_default()
}

/// The rows below the header, by column name; none where the tests skip.
pub(crate) fn table(name: &str) -> Vec<Row> {
    let Some(mut lines) = lines(name) else { return Vec::new() };
    let rows = lines.split_off(1);
    let header = lines.pop().unwrap();
    rows.into_iter().map(|cells| header.iter().cloned().zip(cells).collect()).collect()
}

/// As [`table`], but none where the directory has no such table: a data set that is not everybody's.
pub(crate) fn table_if_there(name: &str) -> Vec<Row> {
    if path_of(name).is_some_and(|path| path.exists()) { table(name) } else { Vec::new() }
}

/// A cell as a number; none for a cell that is none, or a column that is not there.
pub(crate) fn number(row: &Row, column: &str) -> Option<f64> {
    row.get(column)?.parse().ok()
}
