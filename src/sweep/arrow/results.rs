//! Results as codes in plain memory, and the record batch around them.

use std::sync::{Arc, LazyLock};

use arrow_array::types::{Float64Type, UInt8Type, UInt16Type, UInt32Type};
use arrow_array::{ArrayRef, BooleanArray, DictionaryArray, PrimitiveArray, RecordBatch, StringArray};
use arrow_buffer::{BooleanBuffer, NullBuffer, ScalarBuffer};
use arrow_schema::{DataType, Field, Schema, SchemaRef};

use crate::Result;
use crate::atmosphere::Category;
use crate::error::table_error;
use crate::sweep::{OutputSlices, Reason};

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

pub(super) fn output_schema() -> SchemaRef {
    Arc::clone(&OUTPUT_SCHEMA)
}

/// Memory for the results of a table, category and reason as codes.
///
/// The code of a category is its place in [`Category::ALL`], 0 where there is none; that of a reason its place
/// in [`Reason::ALL`].
#[derive(Debug, Default)]
pub struct CodedSlices<'a> {
    /// Row of the input, from 0.
    pub row: &'a mut [u32],
    /// Code of the corrosivity category of each result.
    pub category: &'a mut [u8],
    /// Code of the reason of each result.
    pub reason: &'a mut [u8],
    /// The other columns; the category and the reason of these stay empty.
    pub others: OutputSlices<'a>,
}

impl CodedSlices<'_> {
    /// Takes the first `results` results out.
    pub(super) fn take(&mut self, results: usize) -> Self {
        CodedSlices {
            row: self.row.split_off_mut(..results.min(self.row.len())).unwrap_or_default(),
            category: self.category.split_off_mut(..results.min(self.category.len())).unwrap_or_default(),
            reason: self.reason.split_off_mut(..results.min(self.reason.len())).unwrap_or_default(),
            others: self.others.take(results),
        }
    }
}

/// The columns of a batch of results; what is null follows from the reasons.
pub struct ResultBuffers {
    /// Input row of each result.
    pub row: ScalarBuffer<u32>,
    /// Place of the build in the list of builds.
    pub build: ScalarBuffer<u16>,
    /// First-year loss in µm.
    pub first_year_loss_um: ScalarBuffer<f64>,
    /// Code of the corrosivity category of each result.
    pub category: ScalarBuffer<u8>,
    /// Median time to failure in years.
    pub median_years: ScalarBuffer<f64>,
    /// Time in years that 10 % fail within.
    pub p10_years: ScalarBuffer<f64>,
    /// Time in years that 90 % fail within.
    pub p90_years: ScalarBuffer<f64>,
    /// Probability of no failure within the required years.
    pub probability_ok: ScalarBuffer<f64>,
    /// Score from 0 to 1.
    pub score: ScalarBuffer<f64>,
    /// Whether the build is blocked.
    pub blocked: BooleanBuffer,
    /// Code of the reason of each result.
    pub reason: ScalarBuffer<u8>,
}

impl ResultBuffers {
    /// The batch; `builds` are the words of the codes of the builds.
    ///
    /// # Errors
    ///
    /// More results than one batch can hold.
    pub fn into_batch(self, builds: &[String]) -> Result<RecordBatch> {
        let with_result: u8 = Reason::ALL.iter().map(|reason| u8::from(reason.has_result())).sum();
        let valid = |code: u8| code < with_result;
        let nulls = if self.reason.iter().all(|code| valid(*code)) {
            None
        } else {
            Some(NullBuffer::from(self.reason.iter().map(|code| valid(*code)).collect::<BooleanBuffer>()))
        };
        let number =
            |column| -> ArrayRef { Arc::new(PrimitiveArray::<Float64Type>::new(column, nulls.clone())) };
        let categories = StringArray::from_iter_values(Category::ALL.iter().map(|c| c.name()));
        let reasons = StringArray::from_iter_values(Reason::ALL.iter().map(|reason| reason.name()));
        let columns: Vec<ArrayRef> = vec![
            Arc::new(PrimitiveArray::<UInt32Type>::new(self.row, None)),
            Arc::new(DictionaryArray::<UInt16Type>::new(
                PrimitiveArray::new(self.build, None),
                Arc::new(StringArray::from_iter_values(builds)),
            )),
            number(self.first_year_loss_um),
            Arc::new(DictionaryArray::<UInt8Type>::new(
                PrimitiveArray::new(self.category, nulls.clone()),
                Arc::new(categories),
            )),
            number(self.median_years),
            number(self.p10_years),
            number(self.p90_years),
            number(self.probability_ok),
            number(self.score),
            Arc::new(BooleanArray::new(self.blocked, nulls.clone())),
            Arc::new(DictionaryArray::<UInt8Type>::new(
                PrimitiveArray::new(self.reason, None),
                Arc::new(reasons),
            )),
        ];
        RecordBatch::try_new(output_schema(), columns)
            .map_err(|error| table_error("row", None, error.to_string(), "Give smaller batches."))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_with_a_result_come_first() {
        let with_result = Reason::ALL.iter().filter(|reason| reason.has_result()).count();
        assert!(Reason::ALL.iter().enumerate().all(|(code, r)| r.has_result() == (code < with_result)));
    }
}
