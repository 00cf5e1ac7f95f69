//! Comma-separated text: fields, quoted or not, a header, numbers with gaps.

use crate::Result;
use crate::error::table_error;

/// Most fields of one record: beyond it the text is no table, and fields take more room than their text.
const MOST_FIELDS: usize = 10_000;

/// Takes the next record off `rest`; `None` at the end of the text. `row` is named where a quote stays open.
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
            _ => {
                field.push(c);
                blank &= c.is_whitespace();
            }
        }
    }
    if quoted {
        return Err(table_error(
            "record",
            Some(row),
            "a quoted field is not closed",
            "Close it with a quotation mark.",
        ));
    }
    if field.ends_with('\r') {
        field.pop();
    }
    fields.push(field);
    *rest = text.get(end..).unwrap_or_default();
    Ok(Some(fields))
}

/// Place of a column in the header; a name given twice is refused.
pub(crate) fn position(header: &[String], name: &str) -> Result<Option<usize>> {
    let mut found = header.iter().enumerate().filter(|(_, field)| field.trim() == name);
    let first = found.next().map(|(at, _)| at);
    match found.next() {
        Some(_) => Err(table_error(name, None, "the header names it twice", "Keep one column of that name.")),
        None => Ok(first),
    }
}

/// Refuses a column in which a point may part thousands or decimals: `1.200` beside `250`. Where the column has other
/// decimals, or no whole number, points are decimal.
pub(crate) fn check_points<'a>(column: &str, fields: impl Iterator<Item = &'a str>) -> Result<()> {
    let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (mut whole, mut grouped) = (false, None);
    for (row, text) in (1..).zip(fields.map(str::trim)) {
        match text.split_once('.') {
            None => whole |= all_digits(text),
            Some((before, after)) if all_digits(before) && all_digits(after) => {
                if after.len() != 3 || before.len() > 3 || before.starts_with('0') {
                    return Ok(());
                }
                grouped.get_or_insert((row, text));
            }
            Some(_) => {}
        }
    }
    match grouped {
        Some((row, text)) if whole => Err(table_error(
            column,
            Some(row),
            format!("{text:?} beside whole numbers can be one number or a thousand times it"),
            "Write numbers without thousands separators, and decimals without trailing zeros: 1200, or 1.2.",
        )),
        _ => Ok(()),
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
