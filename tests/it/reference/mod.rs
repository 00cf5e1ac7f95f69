//! Tables of published and measured values, which are not part of the repository: the environment variable
//! `OVERCOAT_REFERENCE` names their directory. The tests are ignored, so that a run without the tables counts none as
//! passed; with them: `cargo test --all-features --test it reference:: -- --ignored`. A table that is absent fails its
//! test, unless it is asked for with [`table_if_there`].

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)] // test code, outside of test functions

mod atmosphere;
mod climate_record;
mod fastener;
mod metal;
mod published_tables;
mod sampling;

use std::collections::BTreeMap;
use std::path::PathBuf;

/// A row by column name.
type Row = BTreeMap<String, String>;

fn path_of(name: &str) -> PathBuf {
    let directory = std::env::var_os("OVERCOAT_REFERENCE").expect("OVERCOAT_REFERENCE names no directory");
    PathBuf::from(directory).join(name)
}

/// The lines of a table as cells, the header first; lines that start with `#` are comments.
fn lines(name: &str) -> Vec<Vec<String>> {
    let path = path_of(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    let lines: Vec<Vec<String>> = lines.map(cells).collect();
    assert!(lines.len() > 1, "{name} has no rows");
    lines
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

/// The rows below the header, by position.
fn rows(name: &str) -> Vec<Vec<String>> {
    lines(name).split_off(1)
}

/// The rows below the header, by column name.
fn table(name: &str) -> Vec<Row> {
    let mut lines = lines(name);
    let rows = lines.split_off(1);
    let header = lines.pop().unwrap();
    rows.into_iter().map(|cells| header.iter().cloned().zip(cells).collect()).collect()
}

/// As [`table`], but none where the directory has no such table: a report says which it compared.
fn table_if_there(name: &str) -> Vec<Row> {
    if path_of(name).exists() { table(name) } else { Vec::new() }
}

/// A cell as a number; none for a cell that is none, or a column that is not there.
fn number(row: &Row, column: &str) -> Option<f64> {
    row.get(column)?.parse().ok()
}
