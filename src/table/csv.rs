//! Comma-separated text: fields, quoted or not, a header, numbers with gaps.

use crate::error::table_error;
use crate::{Error, Result};

/// Most fields of one record: beyond it the text is not a table, and fields take more room than their text.
const MOST_FIELDS: usize = 10_000;

/// A quotation mark that is not closed in its line: rows behind it would be taken for the text of one cell. `row` counts
/// from 1, 0 is the header.
pub(crate) fn open_quote(column: &str, row: usize, cell: &str) -> Error {
    let start: String = cell.lines().next().unwrap_or_default().chars().take(60).collect();
    table_error(
        column,
        Some(row).filter(|row| *row > 0),
        format!("the quotation mark before {start:?} is never closed in its line"),
        "Close it there, double one that belongs to the text, and write a cell in one line.",
    )
}

/// Removes the next record from `rest`; `None` at the end of the text. `row` is named where a quote stays open.
pub(crate) fn next_fields(rest: &mut &str, row: usize) -> Result<Option<Vec<String>>> {
    let text = *rest;
    if text.is_empty() {
        return Ok(None);
    }
    let mut fields = Vec::new();
    let mut field = String::new();
    // kept along, since looking through the field at every quote would take time by the square of the text
    let mut blank = true;
    let mut quoted = false;
    let mut characters = text.char_indices().peekable();
    let mut end = text.len();
    while let Some((at, c)) = characters.next() {
        match c {
            '"' if quoted && characters.next_if(|(_, next)| *next == '"').is_some() => {
                field.push('"');
                blank = false;
            }
            '"' if quoted => quoted = false,
            '"' if blank => {
                field.clear();
                quoted = true;
            }
            ',' if !quoted => {
                if fields.len() == MOST_FIELDS {
                    return Err(table_error(
                        "record",
                        Some(row),
                        format!("more than {MOST_FIELDS} fields"),
                        "Keep the columns that are needed, one record per line.",
                    ));
                }
                fields.push(std::mem::take(&mut field));
                blank = true;
            }
            '\n' if !quoted => {
                end = at + 1;
                break;
            }
            '\n' | '\r' if quoted => return Err(open_quote("record", row, &field)),
            _ => {
                field.push(c);
                blank &= c.is_whitespace();
            }
        }
    }
    if quoted {
        return Err(open_quote("record", row, &field));
    }
    if field.ends_with('\r') {
        field.pop();
    }
    fields.push(field);
    *rest = text.get(end..).unwrap_or_default();
    Ok(Some(fields))
}

/// Place of a column in the header; a name given twice is rejected.
pub(crate) fn position(header: &[String], name: &str) -> Result<Option<usize>> {
    let mut found = header.iter().enumerate().filter(|(_, field)| field.trim() == name);
    let first = found.next().map(|(at, _)| at);
    match found.next() {
        Some(_) => Err(table_error(name, None, "the header names it twice", "Keep one column of that name.")),
        None => Ok(first),
    }
}

/// Rejects a column in which a point may part thousands or decimals.
pub(crate) fn check_points<'a>(column: &str, fields: impl Iterator<Item = &'a str>) -> Result<()> {
    let mut points = Points::default();
    for (row, text) in (1..).zip(fields) {
        points.see(row, text);
    }
    points.check(column)
}

/// What the points of a column can mean: `1.200` beside `250` parts thousands or decimals. Where the column has other
/// decimals, or no whole number, points are decimal.
#[derive(Debug, Default)]
pub(crate) struct Points {
    whole: bool,
    decimal: bool,
    grouped: Option<(usize, String)>,
}

impl Points {
    /// Reads the next field.
    pub(crate) fn see(&mut self, row: usize, text: &str) {
        let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let text = text.trim();
        match text.split_once('.') {
            None => self.whole |= all_digits(text),
            Some((before, after)) if all_digits(before) && all_digits(after) => {
                if after.len() != 3 || before.len() > 3 || before.starts_with('0') {
                    self.decimal = true;
                } else if self.grouped.is_none() {
                    self.grouped = Some((row, text.to_owned()));
                }
            }
            Some(_) => {}
        }
    }

    /// Rejects what is open at the end of the column.
    pub(crate) fn check(&self, column: &str) -> Result<()> {
        match &self.grouped {
            Some((row, text)) if self.whole && !self.decimal => Err(table_error(
                column,
                Some(*row),
                format!("{text:?} beside whole numbers can be one number or a thousand times it"),
                "Write numbers without thousands separators, and decimals without trailing zeros: 1200, or 1.2.",
            )),
            _ => Ok(()),
        }
    }
}

/// A number; an empty field, `nan`, `na` or `null` is a gap and reads as NaN.
pub(crate) fn parse_number(column: &str, row: usize, text: &str) -> Result<f64> {
    let text = text.trim();
    if text.is_empty() || ["nan", "na", "null"].iter().any(|gap| text.eq_ignore_ascii_case(gap)) {
        return Ok(f64::NAN);
    }
    text.parse().map_err(|_| {
        table_error(
            column,
            Some(row),
            format!("{text:?} is not a number"),
            "Write numbers with a decimal point and without a unit; leave gaps empty.",
        )
    })
}
