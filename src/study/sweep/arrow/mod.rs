//! Record batches in and out.
//!
//! | file | idea |
//! | --- | --- |
//! | `input` | columns found by name, their types checked, nulls read as missing |
//! | `results` | results as codes in plain memory, and the batch around them |
//!
//! The rows of all batches count on; memory for the results is taken once, and only for the columns asked for.

mod input;
mod results;

use std::ops::Range;

use arrow_array::RecordBatch;
use arrow_schema::{Field as ArrowField, Schema, SchemaRef};

pub use results::{ResultBuffers, Words, in_order};

use crate::Result;
use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::error::{table_error, unknown};
use crate::finish::Build;
use crate::study::MovedColumns;
use crate::study::sweep::table::{
    Asked, RESULT_COLUMNS, ResultSlices, RowSource, TableSweep, Variants, check_air, known_columns,
    obeyed_columns,
};
use input::{CheckedBatch, InputScratch, variants_of};

/// Batches of one table whose columns were found and are of types that can be read.
#[doc(hidden)]
pub struct CheckedTable {
    batches: Vec<CheckedBatch>,
    /// The first row of each batch, and the end of the last.
    starts: Vec<usize>,
    fields: Vec<String>,
}

impl CheckedTable {
    /// Finds and checks the columns that `brief` leaves to the rows; `all` also takes those of part and wants.
    ///
    /// # Errors
    /// Those of [`sweep_batches`] for its columns.
    pub fn of(batches: &[RecordBatch], brief: &Brief, all: bool) -> Result<(Self, Variants)> {
        let names: Vec<String> = batches
            .first()
            .map(|batch| batch.schema_ref().fields().iter().map(|field| field.name().clone()).collect())
            .unwrap_or_default();
        let obeyed = obeyed_columns(&names, all)?;
        if !batches.is_empty() {
            check_air(&names, brief)?;
        }
        let fields = obeyed.into_iter().filter_map(|place| names.get(place));
        let fields = fields.map(|name| name.strip_prefix("duty.").unwrap_or(name).to_owned()).collect();
        let variants = variants_of(batches, all)?;
        let batches = batches.iter().map(CheckedBatch::of).collect::<Result<Vec<_>>>()?;
        let mut starts = vec![0];
        let mut rows: usize = 0;
        for batch in &batches {
            rows += batch.rows;
            starts.push(rows);
        }
        if u32::try_from(rows).is_err() {
            let reason = format!("{rows} rows are more than the results can count");
            return Err(table_error(".", None, reason, "Sweep the table in parts."));
        }
        Ok((Self { batches, starts, fields }, variants))
    }

    /// The batch in which a row lies.
    fn batch_of(&self, row: usize) -> usize {
        self.starts.partition_point(|start| *start <= row).saturating_sub(1)
    }
}

impl RowSource for CheckedTable {
    type Scratch = InputScratch;

    fn rows(&self) -> usize {
        self.starts.last().copied().unwrap_or_default()
    }

    fn end_of_piece(&self, row: usize) -> usize {
        self.starts.get(self.batch_of(row) + 1).copied().unwrap_or(row + 1)
    }

    fn part<'a>(&'a self, rows: Range<usize>, scratch: &'a mut InputScratch) -> MovedColumns<'a> {
        let place = self.batch_of(rows.start).min(self.batches.len().saturating_sub(1));
        let start = self.starts.get(place).copied().unwrap_or_default();
        let own = rows.start - start..rows.end - start;
        self.batches.get(place).map(|batch| batch.part(&own, scratch)).unwrap_or_default()
    }

    fn has(&self, name: &str) -> bool {
        self.fields.iter().any(|field| field == name)
    }
}

/// What is asked of a table in record batches.
#[derive(Debug, Clone, Copy, Default)]
pub struct TableRequest<'a> {
    /// The builds; those that [`rank`](crate::rank::rank()) would try where none are named.
    pub builds: Option<&'a [Build]>,
    /// The best build of each row alone.
    pub best_only: bool,
    /// Columns of results, of [`RESULT_COLUMNS`], [`BURDEN`](crate::study::BURDEN) and [`DANGERS`](crate::study::DANGERS);
    /// the first where none are named.
    pub columns: Option<&'a [&'a str]>,
    /// Threads, 0 for as many as the machine has; without the feature `threads` there is one.
    pub threads: usize,
}

impl TableRequest<'_> {
    /// The columns asked for.
    ///
    /// # Errors
    /// A name that is none of [`RESULT_COLUMNS`].
    pub(crate) fn columns(&self) -> Result<Vec<&'static str>> {
        chosen(self.columns)
    }
}

/// The columns of results of some names, in their order.
///
/// # Errors
/// A name that is none of [`RESULT_COLUMNS`].
#[doc(hidden)]
pub fn chosen(columns: Option<&[&str]>) -> Result<Vec<&'static str>> {
    let Some(columns) = columns else { return Ok(RESULT_COLUMNS.to_vec()) };
    if let Some(name) = columns.iter().find(|name| !known_columns().any(|known| known == **name)) {
        return Err(unknown("columns", name, known_columns(), "Name columns of the results."));
    }
    Ok(known_columns().filter(|name| columns.contains(name)).collect())
}

/// The schema of the batches that [`sweep_batches`] returns for these columns.
///
/// # Errors
/// A name that is none of [`RESULT_COLUMNS`].
pub fn output_schema(columns: Option<&[&str]>) -> Result<SchemaRef> {
    let fields = chosen(columns)?.into_iter().map(|name| {
        ArrowField::new(name, results::type_of(name), !matches!(name, "row_status" | "currency"))
    });
    Ok(SchemaRef::new(Schema::new(fields.collect::<Vec<_>>())))
}

/// Every build at every row of a table in record batches, or the best build of each row: one batch of results, rows
/// one after the other.
///
/// Each column that is a field of the duty is obeyed, with or without `duty.` before its name; other columns are left
/// alone. Numbers may be of any integer, floating-point or decimal type; words are text, plain or in a dictionary; what
/// is a list or an object in a brief is its JSON. A null leaves the field as the brief has it; one of the four inputs,
/// the required years or the shelter that is null leaves the row without a result, which then is null, unless the row
/// itself names a place, a measured loss or a category in place of the input, or a distance to the sea brings the chloride. With `best_only`
/// a row without a result keeps one line with its status and no build.
///
/// # Errors
/// A column that is nearly a field of the duty or named like a result; a column of another type; rows whose air nothing
/// says; more rows or results than a batch can hold.
///
/// ```
/// # use std::sync::Arc;
/// # use arrow_array::{Array, Float64Array, RecordBatch, StringArray, cast::AsArray, types::Float64Type};
/// # use overcoat::{brief::Brief, catalog::Catalog, finish::Build, study::{TableRequest, sweep_batches}};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
/// #     "part": {"form": "bracket", "base_metal": "steel_4_6"}, "duty": {"required_years": 5}}"#)?;
/// let builds = [Build::new("steel_4_6", "hot_alkaline", ["hard_wax"])];
/// let numbers = |values: [Option<f64>; 2]| Arc::new(Float64Array::from(values.to_vec())) as _;
/// let batch = RecordBatch::try_from_iter([
///     ("temperature_c", numbers([Some(9.0), Some(12.0)])),
///     ("relative_humidity_pct", numbers([Some(78.0), None])),
///     ("so2_mg_m2_day", numbers([Some(3.0), Some(4.0)])),
///     ("chloride_mg_m2_day", numbers([Some(2.0), Some(80.0)])),
///     ("handling", Arc::new(StringArray::from(vec!["none", "frequent"])) as _),
/// ]).unwrap();
/// let request = TableRequest { builds: Some(&builds), ..TableRequest::default() };
/// let results = sweep_batches(&brief, &[batch], Catalog::built_in(), &request)?;
/// let median = results["median_years"].as_primitive::<Float64Type>();
/// assert!(median.value(0) > 0.0 && median.is_null(1));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn sweep_batches(
    brief: &Brief,
    batches: &[RecordBatch],
    catalog: &Catalog,
    request: &TableRequest<'_>,
) -> Result<RecordBatch> {
    let columns = request.columns()?;
    let (table, variants) = CheckedTable::of(batches, brief, false)?;
    let asked = Asked { builds: request.builds, best_only: request.best_only, strict: false };
    let sweep = TableSweep::new(brief, &table, variants, asked, catalog)?;
    let results = sweep.results(0..table.rows())?;
    let asks = |name: &str| if columns.contains(&name) { results } else { 0 };
    let numbers = |name: &str| vec![0.0; asks(name)];
    let names_builds =
        ["build", "base_metal", "treatment", "films"].iter().any(|name| columns.contains(name));
    let mut build = vec![0; if names_builds { results } else { 0 }];
    let mut category = vec![0; asks("category")];
    let mut first_year_loss_um = numbers("first_year_loss_um");
    let (mut median_years, mut p10_years) = (numbers("median_years"), numbers("p10_years"));
    let (mut p90_years, mut probability_ok) = (numbers("p90_years"), numbers("probability_ok"));
    let (mut cost_per_thousand, mut score) = (numbers("cost_per_thousand"), numbers("score"));
    let (mut met, mut blocked) = (vec![false; asks("met")], vec![false; asks("blocked")]);
    let (mut blocked_by, mut row_status) = (vec![0; asks("blocked_by")], vec![0; results]);
    let (mut burden, mut dangers) = (vec![0.0; asks("burden")], vec![0.0; asks("dangers")]);
    let out = ResultSlices {
        row: &mut [],
        build: &mut build,
        category: &mut category,
        first_year_loss_um: &mut first_year_loss_um,
        median_years: &mut median_years,
        p10_years: &mut p10_years,
        p90_years: &mut p90_years,
        probability_ok: &mut probability_ok,
        cost_per_thousand: &mut cost_per_thousand,
        score: &mut score,
        met: &mut met,
        blocked: &mut blocked,
        blocked_by: &mut blocked_by,
        row_status: &mut row_status,
        burden: &mut burden,
        dangers: &mut dangers,
    };
    sweep.run(0..table.rows(), out, request.threads)?;
    let blockers = in_order(&sweep.blockers(), &mut blocked_by);
    let words = Words { builds: sweep.builds().to_vec(), blockers, currency: sweep.currency().to_owned() };
    let buffers = ResultBuffers {
        results,
        build: build.into(),
        category: category.into(),
        first_year_loss_um: first_year_loss_um.into(),
        median_years: median_years.into(),
        p10_years: p10_years.into(),
        p90_years: p90_years.into(),
        probability_ok: probability_ok.into(),
        cost_per_thousand: cost_per_thousand.into(),
        score: score.into(),
        met,
        blocked,
        blocked_by: blocked_by.into(),
        row_status: row_status.into(),
        burden: burden.into(),
        dangers: dangers.into(),
    };
    buffers.into_batch(&words, &columns)
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use arrow_array::cast::AsArray;
    use arrow_array::types::{
        Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type, UInt16Type,
        UInt32Type, UInt64Type,
    };
    use arrow_array::{
        Array, ArrayRef, Decimal128Array, DictionaryArray, Float32Array, Float64Array, Int64Array,
        LargeStringArray, NullArray, StringArray, StringViewArray, UInt8Array,
    };

    use super::*;
    use crate::atmosphere::Shelter;
    use crate::brief::Brief;
    use crate::catalog::Catalog;
    use crate::finish::Build;
    use crate::study::{Columns, Output, Sweep};

    fn brief() -> Brief {
        Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket", "base_metal": "steel_4_6"},
                "duty": {"required_years": 5}}"#,
        )
        .unwrap()
    }

    fn builds() -> [Build; 2] {
        [
            Build::new("steel_4_6", "hot_alkaline", ["hard_wax"]),
            Build::new("steel_4_6", "fused_salt", ["hard_wax"]),
        ]
    }

    fn run(batches: &[RecordBatch], threads: usize) -> Result<RecordBatch> {
        let builds = builds();
        let request = TableRequest { builds: Some(&builds), threads, ..TableRequest::default() };
        sweep_batches(&brief(), batches, Catalog::built_in(), &request)
    }

    fn sweep() -> Sweep {
        Sweep::new(&brief(), Some(&builds()), Catalog::built_in()).unwrap()
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
            let results = run(std::slice::from_ref(&batch), 1).unwrap();
            assert_eq!(results.schema(), output_schema(None).unwrap());
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
            let reason = results["row_status"].as_dictionary::<UInt8Type>();
            let reason = reason.downcast_dict::<StringArray>().unwrap();
            let reason: Vec<&str> = reason.into_iter().flatten().collect();
            let wanted = ["ok", "ok", "shelter_unknown", "shelter_unknown", "required_years_missing"];
            assert_eq!(reason[..5], wanted);
            assert_eq!(results["blocked"].as_boolean().value(0), output.blocked[0]);
            assert!(output.blocked[1], "fused salt is for stainless steel");
        }
    }

    /// Each column of a batch is that of the sweep of its rows, builds and categories by their words.
    #[test]
    fn every_column_of_a_batch_is_that_of_the_sweep() {
        let results = run(std::slice::from_ref(&batch(Vec::new())), 1).unwrap();
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
        let error = run(std::slice::from_ref(&batch(vec![("required_years", text)])), 1).unwrap_err();
        assert_eq!(
            error.to_string(),
            "column `required_years`: its type is Utf8; wanted: a floating-point, integer or decimal type. Convert the \
             column before."
        );
        let numbers: ArrayRef = Arc::new(Float32Array::from(vec![1.0, 2.0, 3.0]));
        let error = run(std::slice::from_ref(&batch(vec![("shelter", numbers.clone())])), 1).unwrap_err();
        assert!(error.to_string().contains("Float32"), "{error}");
        let far = RecordBatch::try_from_iter([("x", numbers.clone())]).unwrap();
        assert_eq!(run(std::slice::from_ref(&far), 1).unwrap_err().remedy(), "Add it; the table has x.");
        let none = RecordBatch::new_empty(Arc::new(arrow_schema::Schema::empty()));
        let error = run(std::slice::from_ref(&none), 1).unwrap_err();
        assert_eq!(error.remedy(), "Add it; the table has no column at all.");
        let wrong = RecordBatch::try_from_iter([("temperature_degrees", numbers)]).unwrap();
        let error = run(std::slice::from_ref(&wrong), 1).unwrap_err();
        assert!(error.remedy().contains("Is it `temperature_degrees`?"), "{error}");
    }

    #[test]
    fn an_empty_batch_gives_an_empty_batch() {
        let empty = batch(Vec::new()).slice(0, 0);
        assert_eq!(run(std::slice::from_ref(&empty), 2).unwrap().num_rows(), 0);
    }

    #[test]
    fn batches_give_what_one_batch_gives_and_count_their_rows_on() {
        let whole = batch(Vec::new());
        let parts = [whole.slice(0, 1), whole.slice(1, 0), whole.slice(1, 2)];
        let (whole, parts) = (run(std::slice::from_ref(&whole), 1).unwrap(), run(&parts, 2).unwrap());
        assert_eq!(whole, parts);
    }

    #[test]
    fn numbers_of_every_type_are_read_and_null_is_missing_in_all() {
        let plain = run(std::slice::from_ref(&batch(Vec::new())), 1).unwrap();
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
            let results = run(std::slice::from_ref(&with_temperature(column)), 1).unwrap();
            assert_eq!(results["score"].as_primitive::<Float64Type>().values()[..], wanted[..]);
        }
        let mut columns = of(&[Some(9), None, Some(11)]);
        let last = columns.len();
        columns.push(Arc::new(NullArray::new(3)));
        for (place, column) in columns.into_iter().enumerate() {
            // a slice of a longer array, so that offsets matter
            let padded = with_temperature(column).slice(1, 2);
            let results = run(std::slice::from_ref(&padded), 1).unwrap();
            let score = results["score"].as_primitive::<Float64Type>();
            assert!(score.is_null(0) && score.is_null(1));
            if place < last {
                assert_eq!(score.values()[2..], wanted[4..]);
            }
        }
    }

    /// What a ranking takes in a brief, a row takes in its cells: a distance to the sea for the chloride, a place for
    /// whatever was not measured there.
    #[test]
    fn what_stands_in_for_an_input_in_a_brief_does_so_in_a_row() {
        let chloride: ArrayRef = Arc::new(Float64Array::from(vec![Some(3.0), None, None, Some(9.0)]));
        let sea: ArrayRef = Arc::new(Float64Array::from(vec![None, Some(20.0), None, Some(20.0)]));
        let temperature: ArrayRef = Arc::new(Float64Array::from(vec![Some(9.0), None, Some(9.0), Some(9.0)]));
        let place: ArrayRef = Arc::new(StringArray::from(vec![None, Some("coastal"), None, Some("coastal")]));
        let numbers = |value: f64| -> ArrayRef { Arc::new(Float64Array::from(vec![value; 4])) };
        let four = |other: &str, column: &ArrayRef, temperature: ArrayRef, chloride: ArrayRef| {
            RecordBatch::try_from_iter_with_nullable([
                ("temperature_c", temperature, true),
                ("relative_humidity_pct", numbers(75.0), true),
                ("so2_mg_m2_day", numbers(4.0), true),
                ("chloride_mg_m2_day", chloride, true),
                (other, Arc::clone(column), true),
            ])
            .unwrap()
        };
        let ranked = |more: &str| {
            let text = format!(
                r#"{{"schema": "overcoat.brief.v1", "name": "x", "part": {{"form": "bracket", "base_metal": "steel_4_6"}},
                    "duty": {{"relative_humidity_pct": 75, "so2_mg_m2_day": 4, "required_years": 5, {more}}},
                    "wants": {{"builds": [{{"treatment": "hot_alkaline", "films": ["hard_wax"]}}]}}}}"#
            );
            let ranking = crate::rank::rank(&Brief::from_json(&text).unwrap(), Catalog::built_in()).unwrap();
            ranking.options[0].outlook.median_years
        };
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-9;
        for (table, second, missing) in [
            (
                four("sea_distance_m", &sea, numbers(9.0), chloride),
                ranked(r#""temperature_c": 9, "sea_distance_m": 20"#),
                Some("chloride_missing"),
            ),
            (
                four("place", &place, temperature, numbers(9.0)),
                ranked(r#""place": "coastal", "chloride_mg_m2_day": 9"#),
                None,
            ),
        ] {
            let found = run(std::slice::from_ref(&table), 1).unwrap();
            let years = found["median_years"].as_primitive::<Float64Type>();
            assert!(near(years.value(2), second), "{} {second}", years.value(2));
            let status = found["row_status"].as_dictionary::<UInt8Type>();
            let status: Vec<&str> =
                status.downcast_dict::<StringArray>().unwrap().into_iter().flatten().collect();
            assert_eq!((status[0], status[2], status[6]), ("ok", "ok", "ok"));
            assert_eq!(status[4], missing.unwrap_or("ok"));
        }
    }

    /// The dangers of a row are those of its ranking, by the kernel and where rows are ranked.
    #[test]
    fn the_dangers_of_a_row_are_those_of_its_ranking() {
        let catalog = Catalog::built_in();
        let air = r#""temperature_c": 9, "relative_humidity_pct": 70, "so2_mg_m2_day": 3"#;
        for air in [air, r#""place": "coastal""#] {
            let text = format!(
                r#"{{"schema": "overcoat.brief.v1", "name": "x",
                    "part": {{"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9"}},
                    "duty": {{{air}, "chloride_mg_m2_day": 5, "required_years": 5}}}}"#
            );
            let brief = Brief::from_json(&text).unwrap();
            let ranking = crate::rank::rank(&brief, catalog).unwrap();
            let column: ArrayRef = Arc::new(Float64Array::from(vec![5.0]));
            let batch = RecordBatch::try_from_iter([("chloride_mg_m2_day", column)]).unwrap();
            let request = TableRequest { columns: Some(&["build", "dangers"]), ..TableRequest::default() };
            let found = sweep_batches(&brief, &[batch], catalog, &request).unwrap();
            let dangers = found["dangers"].as_primitive::<Float32Type>();
            let builds = found["build"].as_dictionary::<UInt16Type>();
            let builds = builds.downcast_dict::<StringArray>().unwrap();
            for (build, dangers) in builds.into_iter().flatten().zip(dangers.values()) {
                let option = ranking.options.iter().find(|option| option.build.to_string() == build).unwrap();
                assert_eq!(*dangers, option.dangers() as f32, "{build}");
            }
            assert!(
                dangers.values().iter().any(|count| *count > 0.0) && dangers.len() == ranking.options.len()
            );
        }
    }

    fn with_temperature(column: ArrayRef) -> RecordBatch {
        let mut columns = vec![("temperature_c", column)];
        let others = batch(Vec::new());
        for name in ["relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"] {
            columns.push((name, others[name].clone()));
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
            (
                run(std::slice::from_ref(&batch), 1).unwrap(),
                run(std::slice::from_ref(&batch.slice(1, 2)), 1).unwrap(),
            )
        });
        assert!(results.windows(2).all(|pair| pair[0] == pair[1]));
        assert_eq!(results[0].0["score"].slice(2, 4).to_data(), results[0].1["score"].to_data());
        let score = results[0].0["score"].as_primitive::<Float64Type>();
        assert!((0..6).all(|i| score.is_null(i) == (2..4).contains(&i)));
    }
}
