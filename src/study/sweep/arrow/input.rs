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
use arrow_schema::DataType;

use serde_json::Value;

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::Field;
use crate::error::{Error, table_error};
use crate::study::MovedColumns;
use crate::study::sweep::table::{Cell, Cells, NUMBER_FIELDS, ROW_FIELDS, Variants};

/// A batch whose columns were found and are of types that can be read.
pub(super) struct CheckedBatch {
    pub(super) rows: usize,
    numbers: [Option<Numbers>; 5],
    shelter: Option<Shelters>,
}

/// Memory for the columns of one task that are not read where they lie.
#[derive(Debug, Default)]
#[doc(hidden)]
pub struct InputScratch {
    numbers: [Vec<f64>; 5],
    shelter: Vec<Option<Shelter>>,
}

impl CheckedBatch {
    pub(super) fn of(batch: &RecordBatch) -> Result<Self> {
        let mut numbers = [const { None }; 5];
        for (slot, name) in numbers.iter_mut().zip(NUMBER_FIELDS) {
            *slot = column(batch, name).map(|column| Numbers::of(name, column)).transpose()?;
        }
        let shelter = column(batch, "shelter").map(|column| Shelters::of("shelter", column)).transpose()?;
        Ok(Self { rows: batch.num_rows(), numbers, shelter })
    }

    /// The columns of some rows.
    pub(super) fn part<'a>(&'a self, rows: &Range<usize>, scratch: &'a mut InputScratch) -> MovedColumns<'a> {
        let [t, rh, so2, chloride, years] = &self.numbers;
        let [for_t, for_rh, for_so2, for_chloride, for_years] = &mut scratch.numbers;
        MovedColumns {
            rows: rows.len(),
            temperature_c: t.as_ref().map(|column| column.part(rows, for_t)),
            relative_humidity_pct: rh.as_ref().map(|column| column.part(rows, for_rh)),
            so2_mg_m2_day: so2.as_ref().map(|column| column.part(rows, for_so2)),
            chloride_mg_m2_day: chloride.as_ref().map(|column| column.part(rows, for_chloride)),
            required_years: years.as_ref().map(|column| column.part(rows, for_years)),
            shelter: self.shelter.as_ref().map(|column| column.part(rows, &mut scratch.shelter)),
        }
    }
}

/// The column of a field, with or without its section before it.
fn column<'a>(batch: &'a RecordBatch, name: &str) -> Option<&'a ArrayRef> {
    batch.column_by_name(name).or_else(|| batch.column_by_name(&format!("duty.{name}")))
}

/// The columns of a table that make separate briefs, by their distinct values.
pub(super) fn variants_of(batches: &[RecordBatch], all: bool) -> Result<Variants> {
    let Some(first) = batches.first() else { return Ok(Variants::default()) };
    let mut columns = Vec::new();
    for (place, column) in first.schema_ref().fields().iter().enumerate() {
        let Some(field) = Field::find(column.name()).filter(|field| all || field.section == "duty") else {
            continue;
        };
        if ROW_FIELDS.contains(&field.name.as_str()) {
            continue;
        }
        let mut cells = Cells::of(field);
        for batch in batches {
            cells.add(column.name(), batch.columns().get(place))?;
        }
        columns.push((field, cells.distinct, cells.places));
    }
    Ok(Variants::of(columns))
}

trait AddArray {
    fn add(&mut self, name: &str, array: Option<&ArrayRef>) -> Result<()>;
}

impl AddArray for Cells {
    fn add(&mut self, name: &str, array: Option<&ArrayRef>) -> Result<()> {
        let Some(array) = array else { return Ok(()) };
        if let Some(flags) = array.as_boolean_opt() {
            return self.extend(flags.iter(), |field, flag: &bool| {
                let value = Value::Bool(*flag);
                if field.takes(&value) { Cell::Value(value) } else { Cell::Unreadable(flag.to_string()) }
            });
        }
        if let Some(texts) = texts_of(array) {
            return self.add_texts(texts);
        }
        let numbers = Numbers::of(name, array).map_err(|_| {
            let remedy = "Write it as text: a word, a number or JSON, as a brief has it.";
            table_error(
                name,
                None,
                format!("its type is {}; wanted: text or numbers", array.data_type()),
                remedy,
            )
        })?;
        let mut scratch = Vec::new();
        let numbers = numbers.part(&(0..array.len()), &mut scratch);
        let bits = numbers.iter().map(|x| (!x.is_nan()).then_some(x.to_bits()));
        self.extend(bits, |field, bits: &u64| {
            let x = f64::from_bits(*bits);
            field.value_of_number(x).map_or_else(|| Cell::Unreadable(x.to_string()), Cell::Value)
        })
    }
}

type Texts<'a> = Box<dyn Iterator<Item = Option<&'a str>> + 'a>;

/// The texts of an array, of any layout; none of another type.
fn texts_of(array: &dyn Array) -> Option<Texts<'_>> {
    Some(match array.data_type() {
        DataType::Utf8 => Box::new(array.as_string::<i32>().iter()),
        DataType::LargeUtf8 => Box::new(array.as_string::<i64>().iter()),
        DataType::Utf8View => Box::new(array.as_string_view().iter()),
        _ => {
            let dictionary = array.as_any_dictionary_opt()?;
            let values = dictionary.values();
            if values.is_empty()
                && matches!(values.data_type(), DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View)
            {
                return Some(Box::new(std::iter::repeat_n(None, array.len())));
            }
            let words: Vec<Option<&str>> = texts_of(values)?.collect();
            let keys = dictionary.normalized_keys();
            let at = move |(row, key): (usize, usize)| {
                if array.is_null(row) { None } else { words.get(key).copied().flatten() }
            };
            Box::new(keys.into_iter().enumerate().map(at))
        }
    })
}

fn wrong_type(name: &str, found: &DataType, wanted: &str) -> Error {
    let reason = format!("its type is {found}; wanted: {wanted}");
    table_error(name, None, reason, "Convert the column before.")
}

/// Appends some rows of an array of a known type as numbers; what is under a null has no meaning.
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
            // a column of nothing but nulls has no specific type
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
