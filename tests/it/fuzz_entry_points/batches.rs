//! Record batches as other programs send them: every type, nulls, slices, dictionaries with and without words, columns
//! that are missing, doubled or of nothing.

use std::sync::Arc;

use arrow_array::cast::AsArray;
use arrow_array::types::{Float64Type, Int8Type, Int32Type, UInt8Type};
use arrow_array::{
    Array, ArrayRef, BooleanArray, DictionaryArray, Float32Array, Float64Array, Int8Array, Int64Array,
    LargeStringArray, NullArray, PrimitiveArray, RecordBatch, StringArray, StringViewArray, UInt64Array,
};
use arrow_schema::{DataType, Field, Schema};
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::study::{TableRequest, sweep_batches};

use super::dice::{Dice, EDGES, SCRAPS};
use super::{demo, fuzz};

const INPUT_COLUMNS: [&str; 8] = [
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "required_years",
    "shelter",
    "handling",
    "heat_peak_c",
];

const WORDS: [&str; 5] = ["open", "sheltered", "indoor", "Open", ""];

/// Numbers in the range of a column, with nulls and odd ones among them.
fn numbers(dice: &mut Dice, rows: usize, (low, high): (f64, f64)) -> Vec<Option<f64>> {
    let odd = dice.below(3);
    (0..rows)
        .map(|_| match dice.below(20 * (1 + odd)) {
            0 => None,
            1 => Some(*dice.pick(&EDGES)),
            2 => Some(*dice.pick(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY])),
            _ => Some(low + (high - low) * (dice.below(1_000_001) as f64 / 1e6)),
        })
        .collect()
}

fn words(dice: &mut Dice, rows: usize) -> Vec<Option<&'static str>> {
    (0..rows)
        .map(|_| match dice.below(12) {
            0 => None,
            1 => Some(*dice.pick(&SCRAPS)),
            _ => Some(*dice.pick(&WORDS)),
        })
        .collect()
}

/// A dictionary without any word, so all of its keys are null.
fn no_words(rows: usize) -> ArrayRef {
    let keys = PrimitiveArray::<Int8Type>::new_null(rows);
    Arc::new(DictionaryArray::new(keys, Arc::new(StringArray::from(Vec::<&str>::new()))))
}

/// A dictionary one of whose words is null.
fn a_null_word(dice: &mut Dice, rows: usize) -> ArrayRef {
    let keys: PrimitiveArray<Int32Type> = (0..rows).map(|_| Some(dice.below(3) as i32)).collect();
    Arc::new(DictionaryArray::new(
        keys,
        Arc::new(StringArray::from(vec![Some("open"), None, Some("indoor")])),
    ))
}

fn column(name: &str, dice: &mut Dice, rows: usize) -> ArrayRef {
    let range = match name {
        "temperature_c" => (-30.0, 40.0),
        "relative_humidity_pct" => (0.0, 100.0),
        "so2_mg_m2_day" => (0.0, 300.0),
        "chloride_mg_m2_day" => (0.0, 2000.0),
        _ => (0.01, 100.0),
    };
    let values = numbers(dice, rows, range);
    let integers = || values.iter().map(|value| value.filter(|x| x.is_finite()));
    let texts = words(dice, rows);
    // mostly a type that fits the column
    let at = match (name, dice.below(12)) {
        (_, 0) => dice.below(15),
        ("shelter", n) => 6 + n % 6,
        (_, n) => n % 6,
    };
    match at {
        0 | 1 => Arc::new(Float64Array::from(values)),
        2 => Arc::new(values.iter().map(|value| value.unwrap_or(1.0)).collect::<Float64Array>()),
        3 => Arc::new(values.iter().map(|value| value.map(|x| x as f32)).collect::<Float32Array>()),
        4 => Arc::new(integers().map(|value| value.map(|x| x as i64)).collect::<Int64Array>()),
        5 => Arc::new(integers().map(|value| value.map(|x| x as i8)).collect::<Int8Array>()),
        6 => Arc::new(StringArray::from(texts)),
        7 => Arc::new(LargeStringArray::from(texts)),
        8 => Arc::new(StringViewArray::from(texts)),
        9 => Arc::new(texts.into_iter().collect::<DictionaryArray<UInt8Type>>()),
        10 => no_words(rows),
        11 => a_null_word(dice, rows),
        12 => Arc::new(integers().map(|value| value.map(|x| x as u64)).collect::<UInt64Array>()),
        13 => Arc::new(BooleanArray::from(vec![true; rows])),
        _ => Arc::new(NullArray::new(rows)),
    }
}

fn batch(dice: &mut Dice) -> RecordBatch {
    let rows = dice.below(9);
    let mut columns: Vec<(&str, ArrayRef)> = Vec::new();
    for name in INPUT_COLUMNS {
        let optional = !name.ends_with("_day") && !["temperature_c", "relative_humidity_pct"].contains(&name);
        match dice.below(if optional { 3 } else { 60 }) {
            0 => {}
            1 if !optional => {
                columns.push((name, column(name, dice, rows)));
                columns.push((name, column(name, dice, rows)));
            }
            _ => columns.push((name, column(name, dice, rows))),
        }
    }
    if dice.below(4) == 0 {
        columns.push((*dice.pick(&SCRAPS), column("", dice, rows)));
    }
    let fields: Vec<Field> =
        columns.iter().map(|(name, column)| Field::new(*name, column.data_type().clone(), true)).collect();
    let schema = Arc::new(Schema::new(fields));
    if columns.is_empty() {
        return RecordBatch::new_empty(schema);
    }
    let batch =
        RecordBatch::try_new(schema, columns.into_iter().map(|(_, column)| column).collect()).unwrap();
    let start = dice.below(rows + 1);
    if dice.below(2) == 0 { batch.slice(start, dice.below(rows - start + 1)) } else { batch }
}

fn brief() -> Brief {
    Brief::from_json(&demo("briefs/gate-hinge.json")).unwrap()
}

fn swept(batch: &RecordBatch) -> overcoat::Result<RecordBatch> {
    sweep_batches(&brief(), std::slice::from_ref(batch), Catalog::built_in(), &TableRequest::default())
}

#[test]
fn record_batches() {
    fuzz("record batch", batch, |batch| {
        let results = swept(batch)?;
        let rows = batch.num_rows();
        let builds = results.num_rows() / rows.max(1);
        assert_eq!(results.num_rows(), rows * builds);
        for name in ["median_years", "p10_years", "p90_years", "probability_ok", "score", "cost_per_thousand"]
        {
            let numbers = results[name].as_primitive::<Float64Type>();
            assert!(numbers.iter().flatten().all(|number| number.is_finite() && number >= 0.0), "{name}");
        }
        // a batch cut in two gives the results cut in two
        let at = rows / 2;
        for (start, rows) in [(0, at), (at, rows - at)] {
            let Ok(part) = swept(&batch.slice(start, rows)) else { continue };
            let whole = results.slice(start * builds, rows * builds);
            for name in ["median_years", "score", "row_status", "blocked", "category"] {
                assert_eq!(&part[name], &whole[name], "{name}");
            }
        }
        // the best of each row is one of its builds, and no other is better by more than a tie
        let request = TableRequest { best_only: true, columns: Some(&["score"]), ..TableRequest::default() };
        let best = sweep_batches(&brief(), std::slice::from_ref(batch), Catalog::built_in(), &request)?;
        assert_eq!((best.num_rows(), best.num_columns()), (batch.num_rows(), 1));
        let (best, all) =
            (best["score"].as_primitive::<Float64Type>(), results["score"].as_primitive::<Float64Type>());
        for (row, best) in best.iter().enumerate() {
            let scores = all.slice(row * builds, builds);
            match scores.iter().flatten().reduce(f64::max) {
                Some(highest) => assert!(best.is_some_and(|best| best >= 0.99 * highest && best <= highest)),
                None => assert_eq!(best, None),
            }
        }
        Ok(())
    });
}

/// Rows that take no memory in the batch and would take all of it in the results.
#[test]
fn more_rows_than_memory() {
    let rows = 1_usize << 40;
    let nothing: ArrayRef = Arc::new(NullArray::new(rows));
    let columns = ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"];
    let batch = RecordBatch::try_from_iter(columns.map(|name| (name, nothing.clone()))).unwrap();
    assert_eq!(swept(&batch).unwrap_err().kind(), "table");
    let schema = Schema::new(vec![Field::new("temperature_c", DataType::Float64, true)]);
    let empty = RecordBatch::new_empty(Arc::new(schema));
    let mut brief = brief();
    brief.duty.place = None;
    let error = sweep_batches(&brief, &[empty], Catalog::built_in(), &TableRequest::default()).unwrap_err();
    assert_eq!(error.field(), "relative_humidity_pct");
}
