//! Record batches in and out.
//!
//! | file | idea |
//! | --- | --- |
//! | `input` | columns found by name, their types checked, nulls read as missing |
//! | `results` | results as codes in plain memory, and the batch around them |
//!
//! Every batch is cut into tasks; a task reads its rows, computes them and writes its part of the results, whose
//! memory is taken once for all batches.

mod input;
mod results;

use std::ops::Range;

use arrow_array::RecordBatch;
use arrow_buffer::BooleanBuffer;
use arrow_schema::SchemaRef;

pub use input::INPUT_COLUMNS;
pub use results::{CodedSlices, ResultBuffers};

use crate::Result;
use crate::atmosphere::Category;
use crate::error::table_error;
use crate::sweep::rows::{Scratch, run_rows};
use crate::sweep::tasks::run_tasks;
use crate::sweep::{OutputSlices, Reason, Sweep};
use input::{CheckedBatch, InputScratch};

/// Batches of one table whose columns were found and are of types that can be read.
pub struct CheckedTable {
    batches: Vec<CheckedBatch>,
    rows: u32,
}

/// What a thread keeps from task to task.
#[derive(Default)]
struct BatchScratch {
    input: InputScratch,
    rows: Scratch,
    category: Vec<Option<Category>>,
    reason: Vec<Reason>,
}

/// Some rows of a batch and the memory for their results.
struct Task<'a> {
    batch: &'a CheckedBatch,
    rows: Range<usize>,
    /// Number of the first of them in the table.
    first_row: usize,
    out: CodedSlices<'a>,
}

impl CheckedTable {
    /// Finds and checks the columns.
    ///
    /// # Errors
    ///
    /// A column that is missing, given twice or of a type that cannot be read; too many rows.
    pub fn of(batches: &[RecordBatch]) -> Result<Self> {
        let batches = batches.iter().map(CheckedBatch::of).collect::<Result<Vec<_>>>()?;
        let rows: usize = batches.iter().map(|batch| batch.rows).sum();
        let rows = u32::try_from(rows).map_err(|_| {
            let reason = format!("{rows} rows are more than the results can count");
            table_error("row", None, reason, "Sweep the table in parts.")
        })?;
        Ok(Self { batches, rows })
    }

    /// Number of rows of all batches.
    pub fn rows(&self) -> usize {
        self.rows as usize
    }
}

impl Sweep {
    /// The schema of the batches that [`run_batch`](Self::run_batch) returns.
    pub fn output_schema() -> SchemaRef {
        results::output_schema()
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
        self.run_batches(std::slice::from_ref(batch), threads)
    }

    /// As [`run_batch`](Self::run_batch), for a table in several batches; the rows count through all of them.
    ///
    /// # Errors
    /// Those of [`run_batch`](Self::run_batch).
    pub fn run_batches(&self, batches: &[RecordBatch], threads: usize) -> Result<RecordBatch> {
        let table = CheckedTable::of(batches)?;
        let results = self.results_of(table.rows())?;
        let numbers = || vec![0.0; results];
        let (mut row, mut build) = (vec![0; results], vec![0; results]);
        let (mut category, mut reason) = (vec![0; results], vec![0; results]);
        let (mut first_year_loss_um, mut median_years) = (numbers(), numbers());
        let (mut p10_years, mut p90_years) = (numbers(), numbers());
        let (mut probability_ok, mut score) = (numbers(), numbers());
        let mut blocked = vec![false; results];
        let out = CodedSlices {
            row: &mut row,
            category: &mut category,
            reason: &mut reason,
            others: OutputSlices {
                build: &mut build,
                first_year_loss_um: &mut first_year_loss_um,
                median_years: &mut median_years,
                p10_years: &mut p10_years,
                p90_years: &mut p90_years,
                probability_ok: &mut probability_ok,
                score: &mut score,
                blocked: &mut blocked,
                ..OutputSlices::default()
            },
        };
        self.run_table(&table, out, threads);
        let buffers = ResultBuffers {
            row: row.into(),
            build: build.into(),
            first_year_loss_um: first_year_loss_um.into(),
            category: category.into(),
            median_years: median_years.into(),
            p10_years: p10_years.into(),
            p90_years: p90_years.into(),
            probability_ok: probability_ok.into(),
            score: score.into(),
            blocked: BooleanBuffer::from(blocked),
            reason: reason.into(),
        };
        let builds: Vec<String> = self.builds.iter().map(ToString::to_string).collect();
        buffers.into_batch(&builds)
    }

    /// Computes every build at every row of a table; `out` has room for exactly the results.
    pub fn run_table(&self, table: &CheckedTable, mut out: CodedSlices<'_>, threads: usize) {
        let builds = self.builds.len();
        let task_rows = self.task_rows();
        let mut tasks = Vec::new();
        let mut first_row = 0;
        for batch in &table.batches {
            for start in (0..batch.rows).step_by(task_rows) {
                let rows = start..batch.rows.min(start + task_rows);
                let out = out.take(rows.len() * builds);
                let length = rows.len();
                tasks.push(Task { batch, rows, first_row, out });
                first_row += length;
            }
        }
        run_tasks(tasks, threads, |task, scratch: &mut BatchScratch| self.run_task(task, scratch));
    }

    fn run_task(&self, task: Task<'_>, scratch: &mut BatchScratch) {
        let builds = self.builds.len();
        let results = task.rows.len() * builds;
        scratch.category.resize(results, None);
        scratch.reason.resize(results, Reason::Ok);
        let columns = task.batch.part(&task.rows, &mut scratch.input);
        let out =
            OutputSlices { category: &mut scratch.category, reason: &mut scratch.reason, ..task.out.others };
        run_rows(&self.plan, &columns, out, &mut scratch.rows);
        for (code, category) in task.out.category.iter_mut().zip(&scratch.category) {
            *code = category.map_or(0, |category| category as u8);
        }
        for (code, reason) in task.out.reason.iter_mut().zip(&scratch.reason) {
            *code = *reason as u8;
        }
        // the table has at most as many rows as its results can count
        for (row, codes) in (task.first_row..).zip(task.out.row.chunks_exact_mut(builds)) {
            let row = u32::try_from(row).unwrap_or(u32::MAX);
            let (lanes, rest) = codes.as_chunks_mut::<4>();
            lanes.fill([row; 4]);
            rest.fill(row);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use arrow_array::cast::AsArray;
    use arrow_array::types::{
        Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type, UInt16Type, UInt32Type, UInt64Type,
    };
    use arrow_array::{
        Array, ArrayRef, Decimal128Array, DictionaryArray, Float32Array, Float64Array, Int64Array,
        LargeStringArray, NullArray, StringArray, StringViewArray, UInt8Array,
    };

    use super::*;
    use crate::brief::Brief;
    use crate::catalog::{Catalog, Shelter};
    use crate::finish::Build;
    use crate::sweep::{Columns, Output};

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

    /// Each column of a batch is that of the sweep of its rows, builds and categories by their words.
    #[test]
    fn every_column_of_a_batch_is_that_of_the_sweep() {
        let results = sweep().run_batch(&batch(Vec::new()), 1).unwrap();
        let mut output = Output::default();
        let columns = Columns {
            temperature_c: &[9.0, 10.0, 11.0],
            relative_humidity_pct: &[70.0, 75.0, 80.0],
            so2_mg_m2_day: &[3.0, 4.0, 5.0],
            chloride_mg_m2_day: &[2.0, 3.0, 4.0],
            required_years: None,
            shelter: None,
        };
        sweep().run(&columns, &mut output, 1).unwrap();
        for (name, wanted) in [
            ("first_year_loss_um", &output.first_year_loss_um),
            ("median_years", &output.median_years),
            ("p10_years", &output.p10_years),
            ("p90_years", &output.p90_years),
            ("probability_ok", &output.probability_ok),
            ("score", &output.score),
        ] {
            assert_eq!(results[name].as_primitive::<Float64Type>().values()[..], wanted[..], "{name}");
        }
        let builds = arrow_array::cast::as_string_array(results["build"].as_any_dictionary().values());
        let codes = results["build"].as_any_dictionary().normalized_keys();
        let words: Vec<&str> = codes.iter().map(|code| builds.value(*code)).collect();
        let [first, second] = ["steel_4_6 / hot_alkaline / hard_wax", "steel_4_6 / fused_salt / hard_wax"];
        assert_eq!(words, [first, second, first, second, first, second]);
    }

    #[test]
    fn a_missing_column_and_a_wrong_type_are_named() {
        let text: ArrayRef = Arc::new(StringArray::from(vec!["2", "3", "4"]));
        let error = sweep().run_batch(&batch(vec![("required_years", text)]), 1).unwrap_err();
        assert_eq!(
            error.to_string(),
            "column `required_years`: its type is Utf8; wanted: a floating-point, integer or decimal type. Convert the \
             column before."
        );
        let numbers: ArrayRef = Arc::new(Float32Array::from(vec![1.0, 2.0, 3.0]));
        let error = sweep().run_batch(&batch(vec![("shelter", numbers.clone())]), 1).unwrap_err();
        assert!(error.to_string().contains("Float32"), "{error}");
        let far = RecordBatch::try_from_iter([("x", numbers.clone())]).unwrap();
        assert_eq!(sweep().run_batch(&far, 1).unwrap_err().remedy(), "Add it; the table has x.");
        let none = RecordBatch::new_empty(Arc::new(arrow_schema::Schema::empty()));
        let error = sweep().run_batch(&none, 1).unwrap_err();
        assert_eq!(error.remedy(), "Add it; the table has no column at all.");
        let wrong = RecordBatch::try_from_iter([("temperature_degrees", numbers)]).unwrap();
        let error = sweep().run_batch(&wrong, 1).unwrap_err();
        assert!(error.remedy().contains("Is it `temperature_degrees`?"), "{error}");
    }

    #[test]
    fn an_empty_batch_gives_an_empty_batch() {
        let empty = batch(Vec::new()).slice(0, 0);
        assert_eq!(sweep().run_batch(&empty, 2).unwrap().num_rows(), 0);
    }

    #[test]
    fn batches_give_what_one_batch_gives_and_count_their_rows_on() {
        let whole = batch(Vec::new());
        let parts = [whole.slice(0, 1), whole.slice(1, 0), whole.slice(1, 2)];
        let (whole, parts) = (sweep().run_batch(&whole, 1).unwrap(), sweep().run_batches(&parts, 2).unwrap());
        assert_eq!(whole, parts);
    }

    #[test]
    fn numbers_of_every_type_are_read_and_null_is_missing_in_all() {
        let plain = sweep().run_batch(&batch(Vec::new()), 1).unwrap();
        let wanted: Vec<f64> = plain["score"].as_primitive::<Float64Type>().values().to_vec();
        let of = |numbers: &[Option<i64>]| -> Vec<ArrayRef> {
            let (given, decimals) = (numbers.iter(), numbers.iter().map(|n| n.map(|n| i128::from(n) * 1000)));
            vec![
                Arc::new(given.clone().map(|n| n.map(|n| n as f64)).collect::<Float64Array>()),
                Arc::new(given.clone().map(|n| n.map(|n| n as f32)).collect::<Float32Array>()),
                Arc::new(given.clone().map(|n| n.map(|n| u8::try_from(n).unwrap())).collect::<UInt8Array>()),
                Arc::new(given.copied().collect::<Int64Array>()),
                Arc::new(decimals.collect::<Decimal128Array>().with_precision_and_scale(38, 3).unwrap()),
            ]
        };
        for column in of(&[Some(9), Some(10), Some(11)]) {
            let results = sweep().run_batch(&with_temperature(column), 1).unwrap();
            assert_eq!(results["score"].as_primitive::<Float64Type>().values()[..], wanted[..]);
        }
        let mut columns = of(&[Some(9), None, Some(11)]);
        let last = columns.len();
        columns.push(Arc::new(NullArray::new(3)));
        for (place, column) in columns.into_iter().enumerate() {
            // a slice of a longer array, so that offsets matter
            let padded = with_temperature(column).slice(1, 2);
            let results = sweep().run_batch(&padded, 1).unwrap();
            let score = results["score"].as_primitive::<Float64Type>();
            assert!(score.is_null(0) && score.is_null(1));
            if place < last {
                assert_eq!(score.values()[2..], wanted[4..]);
            }
        }
    }

    fn with_temperature(column: ArrayRef) -> RecordBatch {
        let mut columns = vec![("temperature_c", column)];
        let others = batch(Vec::new());
        for name in &INPUT_COLUMNS[1..4] {
            columns.push((*name, others[*name].clone()));
        }
        RecordBatch::try_from_iter_with_nullable(columns.into_iter().map(|(n, c)| (n, c, true))).unwrap()
    }

    #[test]
    fn a_shelter_may_be_text_of_any_layout() {
        let words = [Some("indoor"), None, Some("open")];
        let layouts: [ArrayRef; 11] = [
            Arc::new(StringArray::from(words.to_vec())),
            Arc::new(LargeStringArray::from(words.to_vec())),
            Arc::new(StringViewArray::from(words.to_vec())),
            Arc::new(words.into_iter().collect::<DictionaryArray<Int8Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<Int16Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<Int32Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<Int64Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<UInt8Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<UInt16Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<UInt32Type>>()),
            Arc::new(words.into_iter().collect::<DictionaryArray<UInt64Type>>()),
        ];
        let results = layouts.map(|layout| {
            let batch = batch(vec![("shelter", layout)]);
            // the second and the third row alone: an offset in every layout
            (sweep().run_batch(&batch, 1).unwrap(), sweep().run_batch(&batch.slice(1, 2), 1).unwrap())
        });
        assert!(results.windows(2).all(|pair| pair[0] == pair[1]));
        assert_eq!(results[0].0["score"].slice(2, 4).to_data(), results[0].1["score"].to_data());
        let score = results[0].0["score"].as_primitive::<Float64Type>();
        assert!((0..6).all(|i| score.is_null(i) == (2..4).contains(&i)));
    }
}
