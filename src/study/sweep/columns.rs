//! What goes in: slices of equal length.

use crate::Result;
use crate::atmosphere::Shelter;
use crate::error::InvalidTable;

/// The columns of a table of places.
///
/// A missing number is a NaN, a missing shelter a `None`; the row then has no result but a
/// [`Reason`](super::Reason). See [the module](crate::study) for an example.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Columns<'a> {
    /// Annual mean temperature, °C.
    pub temperature_c: &'a [f64],
    /// Annual mean relative humidity, %.
    pub relative_humidity_pct: &'a [f64],
    /// Annual mean SO2 deposition, mg/(m²·d).
    pub so2_mg_m2_day: &'a [f64],
    /// Annual mean chloride deposition, mg/(m²·d).
    pub chloride_mg_m2_day: &'a [f64],
    /// Years required; where the column is absent, those of the brief.
    pub required_years: Option<&'a [f64]>,
    /// Shelter; where the column is absent, that of the brief.
    pub shelter: Option<&'a [Option<Shelter>]>,
}

impl Columns<'_> {
    /// The number of rows.
    ///
    /// # Errors
    /// Columns of unequal length.
    pub(super) fn check(&self) -> Result<usize> {
        let rows = self.temperature_c.len();
        for (column, length) in [
            ("relative_humidity_pct", Some(self.relative_humidity_pct.len())),
            ("so2_mg_m2_day", Some(self.so2_mg_m2_day.len())),
            ("chloride_mg_m2_day", Some(self.chloride_mg_m2_day.len())),
            ("required_years", self.required_years.map(<[f64]>::len)),
            ("shelter", self.shelter.map(<[Option<Shelter>]>::len)),
        ] {
            if let Some(length) = length
                && length != rows
            {
                return Err(InvalidTable {
                    column: column.to_owned(),
                    row: None,
                    reason: format!("it has {length} rows where `temperature_c` has {rows}"),
                    remedy: "Give columns of equal length.".to_owned(),
                }
                .into());
            }
        }
        Ok(rows)
    }

    /// At most `rows` rows from `start` on.
    pub(super) fn part(&self, start: usize, rows: usize) -> Self {
        Self {
            temperature_c: part(self.temperature_c, start, rows),
            relative_humidity_pct: part(self.relative_humidity_pct, start, rows),
            so2_mg_m2_day: part(self.so2_mg_m2_day, start, rows),
            chloride_mg_m2_day: part(self.chloride_mg_m2_day, start, rows),
            required_years: self.required_years.map(|column| part(column, start, rows)),
            shelter: self.shelter.map(|column| part(column, start, rows)),
        }
    }
}

fn part<T>(column: &[T], start: usize, rows: usize) -> &[T] {
    let rest = column.get(start..).unwrap_or_default();
    rest.get(..rows).unwrap_or(rest)
}
