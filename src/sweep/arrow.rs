//! Record batches in and out.
//!
//! Numbers of type `Float64` without nulls are read where they lie, and every vector of results becomes a column
//! as it is. Types are checked here rather than cast: a cast turns what it cannot read into nulls and says
//! nothing.

use std::borrow::Cow;
use std::sync::{Arc, LazyLock};

use arrow_array::cast::AsArray;
use arrow_array::types::{
    ArrowPrimitiveType, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type,
    UInt16Type, UInt32Type, UInt64Type,
};
use arrow_array::{Array, ArrayRef, BooleanArray, DictionaryArray, PrimitiveArray, RecordBatch, StringArray};
use arrow_schema::{DataType, Field, Schema, SchemaRef};

use crate::Result;
use crate::atmosphere::Category;
use crate::catalog::Shelter;
use crate::error::{Error, InvalidTable, nearest};
use crate::sweep::{Columns, Output, Reason, Sweep};

/// The columns that a batch is searched for; the last two may be absent.
pub const INPUT_COLUMNS: [&str; 6] = [
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "required_years",
    "shelter",
];

static OUTPUT_SCHEMA: LazyLock<SchemaRef> = LazyLock::new(|| {
    let words = |keys: DataType| DataType::Dictionary(Box::new(keys), Box::new(DataType::Utf8));
    let number = |name: &str| Field::new(name, DataType::Float64, true);
    Arc::new(Schema::new(vec![
        Field::new("row", DataType::UInt32, false),
        Field::new("build", words(DataType::UInt16), false),
        number("first_year_loss_um"),
        Field::new("category", words(DataType::UInt8), true),
        number("median_years"),
        number("p10_years"),
        number("p90_years"),
        number("probability_ok"),
        number("score"),
        Field::new("blocked", DataType::Boolean, true),
        Field::new("reason", words(DataType::UInt8), false),
    ]))
});

impl Sweep {
    /// The schema of the batches that [`run_batch`](Self::run_batch) returns.
    pub fn output_schema() -> SchemaRef {
        Arc::clone(&OUTPUT_SCHEMA)
    }

    /// As [`run`](Self::run), from a record batch to another with one row per row and build.
    ///
    /// Columns are found by name ([`INPUT_COLUMNS`]); others are left alone. Numbers may be of any integer or
    /// floating-point type; the shelter is text, plain or in a dictionary. A null is a missing value, and a word
    /// that is no shelter counts as one. The results carry the row of the input, counted from 0, to join by;
    /// where a row has no result they are null.
    ///
    /// # Errors
    /// A missing column, or one of another type; more rows or results than a batch can hold.
    ///
    /// ```
    /// # use std::sync::Arc;
    /// # use arrow_array::{Array, Float64Array, RecordBatch, StringArray, cast::AsArray, types::Float64Type};
    /// # use overcoat::{brief::Brief, catalog::Catalog, finish::Build, sweep::Sweep};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket", "base_metal": "steel_4_6"}, "duty": {"required_years": 5}}"#)?;
    /// let builds = [Build::new("steel_4_6", "hot_alkaline", ["hard_wax"])];
    /// let sweep = Sweep::new(&brief, Some(&builds), Catalog::built_in())?;
    /// let numbers = |values: [Option<f64>; 2]| Arc::new(Float64Array::from(values.to_vec())) as _;
    /// let batch = RecordBatch::try_from_iter([
    ///     ("temperature_c", numbers([Some(9.0), Some(12.0)])),
    ///     ("relative_humidity_pct", numbers([Some(78.0), None])),
    ///     ("so2_mg_m2_day", numbers([Some(3.0), Some(4.0)])),
    ///     ("chloride_mg_m2_day", numbers([Some(2.0), Some(80.0)])),
    ///     ("shelter", Arc::new(StringArray::from(vec!["open", "sheltered"])) as _),
    /// ]).unwrap();
    /// let results = sweep.run_batch(&batch, 1)?;
    /// let median = results["median_years"].as_primitive::<Float64Type>();
    /// assert!(median.value(0) > 0.0 && median.is_null(1));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn run_batch(&self, batch: &RecordBatch, threads: usize) -> Result<RecordBatch> {
        let [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day, years, shelter] =
            INPUT_COLUMNS;
        let needed = |name| numbers(name, batch.column_by_name(name).ok_or_else(|| missing(name, batch))?);
        let temperature_c = needed(temperature_c)?;
        let relative_humidity_pct = needed(relative_humidity_pct)?;
        let so2_mg_m2_day = needed(so2_mg_m2_day)?;
        let chloride_mg_m2_day = needed(chloride_mg_m2_day)?;
        let required_years = batch.column_by_name(years).map(|column| numbers(years, column)).transpose()?;
        let shelter = batch.column_by_name(shelter).map(|column| shelters(shelter, column)).transpose()?;
        let columns = Columns {
            temperature_c: &temperature_c,
            relative_humidity_pct: &relative_humidity_pct,
            so2_mg_m2_day: &so2_mg_m2_day,
            chloride_mg_m2_day: &chloride_mg_m2_day,
            required_years: required_years.as_deref(),
            shelter: shelter.as_deref(),
        };
        let rows = u32::try_from(batch.num_rows()).map_err(|_| {
            table_error("row", "it has more rows than a batch of results can count", "Give smaller batches.")
        })?;
        let mut output = Output::default();
        self.run(&columns, &mut output, threads)?;
        self.batch_of(rows, output)
    }

    fn batch_of(&self, rows: u32, output: Output) -> Result<RecordBatch> {
        let has_result = output.reason.iter().all(|reason| reason.has_result());
        let valid: Option<BooleanArray> =
            (!has_result).then(|| output.reason.iter().map(|reason| Some(reason.has_result())).collect());
        let nulls = || valid.as_ref().map(|valid| valid.values().clone().into());
        let number = |column: Vec<f64>| -> ArrayRef {
            Arc::new(PrimitiveArray::<Float64Type>::new(column.into(), nulls()))
        };
        let builds = self.builds.len();
        let row: PrimitiveArray<UInt32Type> =
            (0..rows).flat_map(|row| std::iter::repeat_n(row, builds)).collect::<Vec<_>>().into();
        let build_words: StringArray = self.builds.iter().map(|build| Some(build.to_string())).collect();
        let categories: Vec<u8> =
            output.category.iter().map(|category| category.map_or(0, |category| category as u8)).collect();
        let category_words = StringArray::from_iter_values(Category::ALL.iter().map(|c| c.name()));
        let reasons: Vec<u8> = output.reason.iter().map(|reason| *reason as u8).collect();
        let reason_words = StringArray::from_iter_values(Reason::ALL.iter().map(|reason| reason.name()));
        let blocked = BooleanArray::from(output.blocked);
        let columns: Vec<ArrayRef> = vec![
            Arc::new(row),
            Arc::new(DictionaryArray::<UInt16Type>::new(output.build.into(), Arc::new(build_words))),
            number(output.first_year_loss_um),
            Arc::new(DictionaryArray::<UInt8Type>::new(
                PrimitiveArray::new(categories.into(), nulls()),
                Arc::new(category_words),
            )),
            number(output.median_years),
            number(output.p10_years),
            number(output.p90_years),
            number(output.probability_ok),
            number(output.score),
            Arc::new(BooleanArray::new(blocked.values().clone(), nulls())),
            Arc::new(DictionaryArray::<UInt8Type>::new(reasons.into(), Arc::new(reason_words))),
        ];
        RecordBatch::try_new(Self::output_schema(), columns)
            .map_err(|error| table_error("row", &error.to_string(), "Give smaller batches."))
    }
}

fn table_error(column: &str, reason: &str, remedy: &str) -> Error {
    InvalidTable {
        column: column.to_owned(),
        row: None,
        reason: reason.to_owned(),
        remedy: remedy.to_owned(),
    }
    .into()
}

fn missing(name: &str, batch: &RecordBatch) -> Error {
    let schema = batch.schema_ref();
    let names: Vec<&str> = schema.fields().iter().map(|field| field.name().as_str()).collect();
    let like = nearest(name, names.iter().copied());
    let remedy = match like {
        Some(like) => format!("Is it `{like}`? Rename it to `{name}`."),
        None => format!("Add it; the table has {}.", names.join(", ")),
    };
    table_error(name, "the table has no such column", &remedy)
}

fn wrong_type(name: &str, found: &DataType, wanted: &str) -> Error {
    table_error(name, &format!("its type is {found}; wanted: {wanted}"), "Convert the column before.")
}

/// A column as numbers, NaN where it is null.
fn numbers<'a>(name: &str, column: &'a ArrayRef) -> Result<Cow<'a, [f64]>> {
    Ok(match column.data_type() {
        DataType::Float64 if column.null_count() == 0 => {
            Cow::Borrowed(column.as_primitive::<Float64Type>().values())
        }
        DataType::Float64 => converted::<Float64Type>(column, |x| x),
        DataType::Float32 => converted::<Float32Type>(column, f64::from),
        DataType::Int8 => converted::<Int8Type>(column, f64::from),
        DataType::Int16 => converted::<Int16Type>(column, f64::from),
        DataType::Int32 => converted::<Int32Type>(column, f64::from),
        DataType::Int64 => converted::<Int64Type>(column, |x| x as f64),
        DataType::UInt8 => converted::<UInt8Type>(column, f64::from),
        DataType::UInt16 => converted::<UInt16Type>(column, f64::from),
        DataType::UInt32 => converted::<UInt32Type>(column, f64::from),
        DataType::UInt64 => converted::<UInt64Type>(column, |x| x as f64),
        other => return Err(wrong_type(name, other, "a floating-point or integer type")),
    })
}

fn converted<T: ArrowPrimitiveType>(column: &ArrayRef, convert: fn(T::Native) -> f64) -> Cow<'static, [f64]> {
    column.as_primitive::<T>().iter().map(|value| value.map_or(f64::NAN, convert)).collect()
}

/// A column as shelters, `None` where it is null or no word for one.
fn shelters(name: &str, column: &ArrayRef) -> Result<Vec<Option<Shelter>>> {
    if let Some(dictionary) = column.as_any_dictionary_opt() {
        let words = shelters(name, dictionary.values())?;
        if words.is_empty() {
            // all keys are null, and `normalized_keys` panics
            return Ok(vec![None; column.len()]);
        }
        let nulls = column.logical_nulls();
        return Ok(dictionary
            .normalized_keys()
            .into_iter()
            .enumerate()
            .map(|(row, key)| {
                let null = nulls.as_ref().is_some_and(|nulls| nulls.is_null(row));
                if null { None } else { words.get(key).copied().flatten() }
            })
            .collect());
    }
    let read = |word: Option<&str>| word.and_then(|word| word.parse().ok());
    Ok(match column.data_type() {
        DataType::Utf8 => column.as_string::<i32>().iter().map(read).collect(),
        DataType::LargeUtf8 => column.as_string::<i64>().iter().map(read).collect(),
        DataType::Utf8View => column.as_string_view().iter().map(read).collect(),
        // a column of nothing but nulls has no type of its own
        DataType::Null => vec![None; column.len()],
        other => return Err(wrong_type(name, other, "text, plain or in a dictionary")),
    })
}

#[cfg(test)]
mod tests {
    use arrow_array::{Float32Array, Float64Array, Int64Array};

    use super::*;
    use crate::brief::Brief;
    use crate::catalog::Catalog;
    use crate::finish::Build;

    fn sweep() -> Sweep {
        let brief = Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket", "base_metal": "steel_4_6"},
                "duty": {"required_years": 5}}"#,
        )
        .unwrap();
        let builds = [
            Build::new("steel_4_6", "hot_alkaline", ["hard_wax"]),
            Build::new("steel_4_6", "fused_salt", ["hard_wax"]),
        ];
        Sweep::new(&brief, Some(&builds), Catalog::built_in()).unwrap()
    }

    fn batch(others: Vec<(&str, ArrayRef)>) -> RecordBatch {
        let numbers = |values: [f64; 3]| -> ArrayRef { Arc::new(Float64Array::from(values.to_vec())) };
        let mut columns = vec![
            ("so2_mg_m2_day", numbers([3.0, 4.0, 5.0])),
            ("temperature_c", numbers([9.0, 10.0, 11.0])),
            ("relative_humidity_pct", numbers([70.0, 75.0, 80.0])),
            ("chloride_mg_m2_day", numbers([2.0, 3.0, 4.0])),
        ];
        columns.extend(others);
        let columns = columns.into_iter().map(|(name, column)| (name, column, true));
        RecordBatch::try_from_iter_with_nullable(columns).unwrap()
    }

    #[test]
    fn a_batch_gives_what_its_columns_give() {
        let words = StringArray::from(vec![Some("sheltered"), None, Some("outside")]);
        let keyed: DictionaryArray<UInt8Type> =
            [Some("sheltered"), None, Some("outside")].into_iter().collect();
        for shelter in [Arc::new(words) as ArrayRef, Arc::new(keyed) as ArrayRef] {
            let years: ArrayRef = Arc::new(Int64Array::from(vec![Some(2), Some(3), None]));
            let batch = batch(vec![("shelter", shelter), ("required_years", years)]);
            let results = sweep().run_batch(&batch, 1).unwrap();
            assert_eq!(results.schema(), Sweep::output_schema());
            assert_eq!(results.num_rows(), 6);
            let mut output = Output::default();
            let columns = Columns {
                temperature_c: &[9.0],
                relative_humidity_pct: &[70.0],
                so2_mg_m2_day: &[3.0],
                chloride_mg_m2_day: &[2.0],
                required_years: Some(&[2.0]),
                shelter: Some(&[Some(Shelter::Sheltered)]),
            };
            sweep().run(&columns, &mut output, 1).unwrap();
            let score = results["score"].as_primitive::<Float64Type>();
            assert_eq!(score.values()[..2], output.score[..]);
            assert!((2..6).all(|i| score.is_null(i) && results["blocked"].is_null(i)));
            let reason = results["reason"].as_dictionary::<UInt8Type>();
            let reason = reason.downcast_dict::<StringArray>().unwrap();
            let reason: Vec<&str> = reason.into_iter().flatten().collect();
            let wanted = ["ok", "ok", "shelter_unknown", "shelter_unknown", "required_years_missing"];
            assert_eq!(reason[..5], wanted);
            assert_eq!(results["blocked"].as_boolean().value(0), output.blocked[0]);
            assert!(output.blocked[1], "fused salt is for stainless steel");
            assert_eq!(results["row"].as_primitive::<UInt32Type>().values()[..], [0, 0, 1, 1, 2, 2]);
        }
    }

    #[test]
    fn a_missing_column_and_a_wrong_type_are_named() {
        let text: ArrayRef = Arc::new(StringArray::from(vec!["2", "3", "4"]));
        let error = sweep().run_batch(&batch(vec![("required_years", text)]), 1).unwrap_err();
        assert_eq!(
            error.to_string(),
            "column `required_years`: its type is Utf8; wanted: a floating-point or integer type. Convert the \
             column before."
        );
        let numbers: ArrayRef = Arc::new(Float32Array::from(vec![1.0, 2.0, 3.0]));
        let error = sweep().run_batch(&batch(vec![("shelter", numbers.clone())]), 1).unwrap_err();
        assert!(error.to_string().contains("Float32"), "{error}");
        let wrong = RecordBatch::try_from_iter([("temperature_degrees", numbers)]).unwrap();
        let error = sweep().run_batch(&wrong, 1).unwrap_err();
        assert!(error.remedy().contains("Is it `temperature_degrees`?"), "{error}");
    }

    #[test]
    fn an_empty_batch_gives_an_empty_batch() {
        let empty = batch(Vec::new()).slice(0, 0);
        assert_eq!(sweep().run_batch(&empty, 2).unwrap().num_rows(), 0);
    }
}
