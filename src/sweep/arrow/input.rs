//! Record batches as columns of a sweep.
//!
//! Types are checked once, here, rather than cast: a cast turns what it cannot read into nulls and says nothing.
//! A `Float64` column without nulls is read where it lies. Any other is converted a task at a time, in passing
//! and into memory that stays in the cache, so that no column is ever held twice.

use std::ops::Range;

use arrow_array::cast::AsArray;
use arrow_array::types::{
    ArrowDictionaryKeyType, ArrowPrimitiveType, Decimal32Type, Decimal64Type, Decimal128Type, DecimalType,
    Float16Type, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type, UInt16Type,
    UInt32Type, UInt64Type,
};
use arrow_array::{Array, ArrayRef, RecordBatch};
use arrow_buffer::ArrowNativeType;
use arrow_schema::{DataType, Schema};

use crate::Result;
use crate::catalog::Shelter;
use crate::error::{Error, nearest, table_error};
use crate::sweep::Columns;

/// The columns that a batch is searched for; the last two may be absent.
pub const INPUT_COLUMNS: [&str; 6] = [
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "required_years",
    "shelter",
];

/// A batch whose columns were found and are of types that can be read.
pub(super) struct CheckedBatch {
    pub(super) rows: usize,
    temperature_c: Numbers,
    relative_humidity_pct: Numbers,
    so2_mg_m2_day: Numbers,
    chloride_mg_m2_day: Numbers,
    required_years: Option<Numbers>,
    shelter: Option<Shelters>,
}

/// Room for the columns of one task that are not read where they lie.
#[derive(Debug, Default)]
pub(super) struct InputScratch {
    numbers: [Vec<f64>; 5],
    shelter: Vec<Option<Shelter>>,
}

impl CheckedBatch {
    pub(super) fn of(batch: &RecordBatch) -> Result<Self> {
        let [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day, years, shelter] =
            INPUT_COLUMNS;
        let given = |name| batch.column_by_name(name);
        let needed = |name| given(name).ok_or_else(|| missing(name, batch.schema_ref()));
        // all are looked for before any type is
        let [t, rh, so2, chloride] = [
            needed(temperature_c)?,
            needed(relative_humidity_pct)?,
            needed(so2_mg_m2_day)?,
            needed(chloride_mg_m2_day)?,
        ];
        Ok(Self {
            rows: batch.num_rows(),
            temperature_c: Numbers::of(temperature_c, t)?,
            relative_humidity_pct: Numbers::of(relative_humidity_pct, rh)?,
            so2_mg_m2_day: Numbers::of(so2_mg_m2_day, so2)?,
            chloride_mg_m2_day: Numbers::of(chloride_mg_m2_day, chloride)?,
            required_years: given(years).map(|column| Numbers::of(years, column)).transpose()?,
            shelter: given(shelter).map(|column| Shelters::of(shelter, column)).transpose()?,
        })
    }

    /// The columns of some rows.
    pub(super) fn part<'a>(&'a self, rows: &Range<usize>, scratch: &'a mut InputScratch) -> Columns<'a> {
        let [for_t, for_rh, for_so2, for_chloride, for_years] = &mut scratch.numbers;
        Columns {
            temperature_c: self.temperature_c.part(rows, for_t),
            relative_humidity_pct: self.relative_humidity_pct.part(rows, for_rh),
            so2_mg_m2_day: self.so2_mg_m2_day.part(rows, for_so2),
            chloride_mg_m2_day: self.chloride_mg_m2_day.part(rows, for_chloride),
            required_years: self.required_years.as_ref().map(|column| column.part(rows, for_years)),
            shelter: self.shelter.as_ref().map(|column| column.part(rows, &mut scratch.shelter)),
        }
    }
}

fn missing(name: &str, schema: &Schema) -> Error {
    let names: Vec<&str> = schema.fields().iter().map(|field| field.name().as_str()).collect();
    let remedy = match nearest(name, names.iter().copied()) {
        Some(like) => format!("Is it `{like}`? Rename it to `{name}`."),
        None if names.is_empty() => "Add it; the table has no column at all.".to_owned(),
        None => format!("Add it; the table has {}.", names.join(", ")),
    };
    table_error(name, None, "the table has no such column", &remedy)
}

fn wrong_type(name: &str, found: &DataType, wanted: &str) -> Error {
    let reason = format!("its type is {found}; wanted: {wanted}");
    table_error(name, None, reason, "Convert the column before.")
}

/// Appends some rows of an array of a known type as numbers; what stands under a null has no meaning.
type AppendNumbers = fn(&dyn Array, Range<usize>, &mut Vec<f64>);

/// A column of numbers.
struct Numbers {
    array: ArrayRef,
    /// `None` where the numbers are read where they lie.
    append: Option<AppendNumbers>,
}

impl Numbers {
    fn of(name: &str, array: &ArrayRef) -> Result<Self> {
        let append: AppendNumbers = match array.data_type() {
            DataType::Float64 if array.null_count() == 0 => {
                return Ok(Self { array: array.clone(), append: None });
            }
            DataType::Float64 => |a, rows, to| append::<Float64Type>(a, rows, to, |x| x),
            DataType::Float32 => |a, rows, to| append::<Float32Type>(a, rows, to, f64::from),
            DataType::Float16 => |a, rows, to| append::<Float16Type>(a, rows, to, f64::from),
            DataType::Int8 => |a, rows, to| append::<Int8Type>(a, rows, to, f64::from),
            DataType::Int16 => |a, rows, to| append::<Int16Type>(a, rows, to, f64::from),
            DataType::Int32 => |a, rows, to| append::<Int32Type>(a, rows, to, f64::from),
            DataType::Int64 => |a, rows, to| append::<Int64Type>(a, rows, to, |x| x as f64),
            DataType::UInt8 => |a, rows, to| append::<UInt8Type>(a, rows, to, f64::from),
            DataType::UInt16 => |a, rows, to| append::<UInt16Type>(a, rows, to, f64::from),
            DataType::UInt32 => |a, rows, to| append::<UInt32Type>(a, rows, to, f64::from),
            DataType::UInt64 => |a, rows, to| append::<UInt64Type>(a, rows, to, |x| x as f64),
            // what databases make of numbers written with a point
            DataType::Decimal32(..) => |a, rows, to| append_decimals::<Decimal32Type>(a, rows, to, f64::from),
            DataType::Decimal64(..) => {
                |a, rows, to| append_decimals::<Decimal64Type>(a, rows, to, |x| x as f64)
            }
            DataType::Decimal128(..) => {
                |a, rows, to| append_decimals::<Decimal128Type>(a, rows, to, |x| x as f64)
            }
            // a column of nothing but nulls has no type of its own
            DataType::Null => |_, rows, to| to.extend(rows.map(|_| f64::NAN)),
            other => return Err(wrong_type(name, other, "a floating-point, integer or decimal type")),
        };
        Ok(Self { array: array.clone(), append: Some(append) })
    }

    /// Some rows, NaN where they are null.
    fn part<'a>(&'a self, rows: &Range<usize>, scratch: &'a mut Vec<f64>) -> &'a [f64] {
        let Some(append) = self.append else {
            return self.array.as_primitive::<Float64Type>().values().get(rows.clone()).unwrap_or_default();
        };
        scratch.clear();
        append(&*self.array, rows.clone(), scratch);
        if let Some(nulls) = self.array.nulls().map(|nulls| nulls.slice(rows.start, rows.len()))
            && nulls.null_count() > 0
        {
            for (number, valid) in scratch.iter_mut().zip(&nulls) {
                if !valid {
                    *number = f64::NAN;
                }
            }
        }
        scratch
    }
}

fn append<T: ArrowPrimitiveType>(
    array: &dyn Array,
    rows: Range<usize>,
    to: &mut Vec<f64>,
    convert: fn(T::Native) -> f64,
) {
    to.extend(array.as_primitive::<T>().values().get(rows).unwrap_or_default().iter().map(|x| convert(*x)));
}

fn append_decimals<T: DecimalType>(
    array: &dyn Array,
    rows: Range<usize>,
    to: &mut Vec<f64>,
    convert: fn(T::Native) -> f64,
) {
    let decimals = array.as_primitive::<T>();
    let unit = 10_f64.powi(i32::from(decimals.scale()));
    to.extend(decimals.values().get(rows).unwrap_or_default().iter().map(|x| convert(*x) / unit));
}

/// Appends some rows of an array of a known type as shelters; `words` are those of its dictionary.
type AppendShelters = fn(&dyn Array, Range<usize>, &[Option<Shelter>], &mut Vec<Option<Shelter>>);

/// A column of shelters.
struct Shelters {
    array: ArrayRef,
    words: Vec<Option<Shelter>>,
    append: AppendShelters,
}

impl Shelters {
    fn of(name: &str, array: &ArrayRef) -> Result<Self> {
        let (words, append): (Vec<_>, AppendShelters) = match array.data_type() {
            DataType::Utf8 => (Vec::new(), |array, rows, _, to| {
                to.extend(array.as_string::<i32>().slice(rows.start, rows.len()).iter().map(shelter_of));
            }),
            DataType::LargeUtf8 => (Vec::new(), |array, rows, _, to| {
                to.extend(array.as_string::<i64>().slice(rows.start, rows.len()).iter().map(shelter_of));
            }),
            DataType::Utf8View => (Vec::new(), |array, rows, _, to| {
                to.extend(array.as_string_view().slice(rows.start, rows.len()).iter().map(shelter_of));
            }),
            DataType::Null => (Vec::new(), |_, rows, _, to| to.extend(rows.map(|_| None))),
            other => {
                let wrong = || wrong_type(name, other, "text, plain or in a dictionary");
                let dictionary = array.as_any_dictionary_opt().ok_or_else(wrong)?;
                // the words of a dictionary are themselves a column of text
                let values = dictionary.values();
                if values.as_any_dictionary_opt().is_some() {
                    return Err(wrong());
                }
                let mut scratch = Vec::new();
                let words = Self::of(name, values).map_err(|_| wrong())?;
                words.part(&(0..values.len()), &mut scratch);
                (scratch, keyed(dictionary.keys().data_type()).ok_or_else(wrong)?)
            }
        };
        Ok(Self { array: array.clone(), words, append })
    }

    /// Some rows, `None` where they are null or no word for a shelter.
    fn part<'a>(
        &'a self,
        rows: &Range<usize>,
        scratch: &'a mut Vec<Option<Shelter>>,
    ) -> &'a [Option<Shelter>] {
        scratch.clear();
        (self.append)(&*self.array, rows.clone(), &self.words, scratch);
        scratch
    }
}

fn shelter_of(word: Option<&str>) -> Option<Shelter> {
    let word = word?;
    Shelter::ALL.iter().copied().find(|shelter| shelter.word() == word)
}

fn keyed(keys: &DataType) -> Option<AppendShelters> {
    Some(match keys {
        DataType::Int8 => append_keyed::<Int8Type>,
        DataType::Int16 => append_keyed::<Int16Type>,
        DataType::Int32 => append_keyed::<Int32Type>,
        DataType::Int64 => append_keyed::<Int64Type>,
        DataType::UInt8 => append_keyed::<UInt8Type>,
        DataType::UInt16 => append_keyed::<UInt16Type>,
        DataType::UInt32 => append_keyed::<UInt32Type>,
        DataType::UInt64 => append_keyed::<UInt64Type>,
        _ => return None,
    })
}

fn append_keyed<K: ArrowDictionaryKeyType>(
    array: &dyn Array,
    rows: Range<usize>,
    words: &[Option<Shelter>],
    to: &mut Vec<Option<Shelter>>,
) {
    let keys = array.as_dictionary::<K>().keys().slice(rows.start, rows.len());
    to.extend(keys.iter().map(|key| words.get(key?.as_usize()).copied().flatten()));
}
