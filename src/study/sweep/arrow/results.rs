//! Results as codes in plain memory, and the record batch around them.

use std::sync::Arc;

use arrow_array::types::{ArrowDictionaryKeyType, Float32Type, Float64Type, UInt8Type, UInt16Type};
use arrow_array::{ArrayRef, BooleanArray, DictionaryArray, PrimitiveArray, RecordBatch, StringArray};
use arrow_buffer::{BooleanBuffer, NullBuffer, ScalarBuffer};
use arrow_schema::{DataType, Field, Schema};

use crate::Result;
use crate::atmosphere::Category;
use crate::error::table_error;
use crate::finish::Build;
use crate::study::sweep::table::{NOT_BLOCKED, has_result, known_columns, row_status_words};

/// The words behind the codes of results.
#[doc(hidden)]
#[derive(Debug, Clone, Default)]
pub struct Words {
    pub builds: Vec<Build>,
    pub blockers: Vec<String>,
    pub currency: String,
}

/// The columns of results that were asked for; empty ones were not. What is null follows from the status.
#[doc(hidden)]
#[derive(Default)]
pub struct ResultBuffers {
    pub results: usize,
    pub build: ScalarBuffer<u16>,
    pub category: ScalarBuffer<u8>,
    pub first_year_loss_um: ScalarBuffer<f64>,
    pub median_years: ScalarBuffer<f64>,
    pub p10_years: ScalarBuffer<f64>,
    pub p90_years: ScalarBuffer<f64>,
    pub probability_ok: ScalarBuffer<f64>,
    pub cost_per_thousand: ScalarBuffer<f64>,
    pub score: ScalarBuffer<f64>,
    pub met: Vec<bool>,
    pub blocked: Vec<bool>,
    pub blocked_by: ScalarBuffer<u16>,
    /// Always there.
    pub row_status: ScalarBuffer<u8>,
    pub burden: ScalarBuffer<f32>,
    pub dangers: ScalarBuffer<f32>,
}

impl Words {
    /// The distinct words of the builds by one of their parts, and the code of each build.
    pub fn of_builds(&self, part: impl Fn(&Build) -> String) -> (Vec<String>, Vec<u16>) {
        let mut words: Vec<String> = Vec::new();
        let mut codes = Vec::with_capacity(self.builds.len());
        for build in &self.builds {
            let word = part(build);
            let place = words.iter().position(|known| *known == word).unwrap_or_else(|| {
                words.push(word);
                words.len() - 1
            });
            codes.push(u16::try_from(place).unwrap_or(u16::MAX));
        }
        (words, codes)
    }

    /// What a column of words says of a build.
    pub fn part_of(column: &str) -> fn(&Build) -> String {
        match column {
            "base_metal" => |build| build.base_metal.clone(),
            "treatment" => |build| build.treatment.clone(),
            "films" => |build| build.films.join(" + "),
            _ => ToString::to_string,
        }
    }
}

/// Words in their order, so that codes do not depend on which thread met a word first.
#[doc(hidden)]
pub fn in_order(words: &[String], codes: &mut [u16]) -> Vec<String> {
    let mut sorted = words.to_vec();
    sorted.sort();
    let place = |word: &String| sorted.binary_search(word).ok().and_then(|place| u16::try_from(place).ok());
    let moved: Vec<u16> = words.iter().map(|word| place(word).unwrap_or(NOT_BLOCKED)).collect();
    if moved.iter().enumerate().any(|(before, after)| before != usize::from(*after)) {
        for code in codes {
            *code = moved.get(usize::from(*code)).copied().unwrap_or(NOT_BLOCKED);
        }
    }
    sorted
}

impl ResultBuffers {
    /// The batch of the columns that were asked for, in their order.
    ///
    /// # Errors
    /// Columns of unequal length.
    pub fn into_batch(self, words: &Words, columns: &[&str]) -> Result<RecordBatch> {
        let nulls = self.nulls();
        let (results, no_build) = (self.results, words.builds.len());
        let mut made: Vec<(&str, ArrayRef)> = Vec::new();
        for name in known_columns().filter(|name| columns.contains(name)) {
            let number = |column: &ScalarBuffer<f64>| -> ArrayRef {
                Arc::new(PrimitiveArray::<Float64Type>::new(column.clone(), nulls.clone()))
            };
            let flags = |column: &[bool]| -> ArrayRef {
                Arc::new(BooleanArray::new(BooleanBuffer::from(column), nulls.clone()))
            };
            let array = match name {
                "build" | "base_metal" | "treatment" | "films" => {
                    let (distinct, codes) = words.of_builds(Words::part_of(name));
                    let named = self.build.iter().map(|build| usize::from(*build) < no_build);
                    let unnamed = self.build.iter().any(|build| usize::from(*build) >= no_build);
                    let nulls = unnamed.then(|| NullBuffer::from(named.collect::<BooleanBuffer>()));
                    let code = |build: &u16| codes.get(usize::from(*build)).copied().unwrap_or(0);
                    let codes: ScalarBuffer<u16> = if name == "build" && !unnamed {
                        self.build.clone()
                    } else {
                        self.build.iter().map(code).collect()
                    };
                    worded::<UInt16Type>(codes, nulls, &distinct)
                }
                "category" => {
                    let categories: Vec<&str> =
                        Category::ALL.iter().map(|category| category.word()).collect();
                    worded::<UInt8Type>(self.category.clone(), nulls.clone(), &categories)
                }
                "first_year_loss_um" => number(&self.first_year_loss_um),
                "median_years" => number(&self.median_years),
                "p10_years" => number(&self.p10_years),
                "p90_years" => number(&self.p90_years),
                "probability_ok" => number(&self.probability_ok),
                "cost_per_thousand" => number(&self.cost_per_thousand),
                "currency" => worded::<UInt8Type>(vec![0; results].into(), None, &[&words.currency]),
                "score" => number(&self.score),
                "burden" => Arc::new(PrimitiveArray::<Float32Type>::new(self.burden.clone(), nulls.clone())),
                "dangers" => {
                    Arc::new(PrimitiveArray::<Float32Type>::new(self.dangers.clone(), nulls.clone()))
                }
                "met" => flags(&self.met),
                "blocked" => flags(&self.blocked),
                "blocked_by" => {
                    let blocked: BooleanBuffer =
                        self.blocked_by.iter().map(|code| *code != NOT_BLOCKED).collect();
                    let codes =
                        self.blocked_by.iter().map(|code| if *code == NOT_BLOCKED { 0 } else { *code });
                    worded::<UInt16Type>(codes.collect(), Some(NullBuffer::from(blocked)), &words.blockers)
                }
                _ => worded::<UInt8Type>(self.row_status.clone(), None, row_status_words()),
            };
            made.push((name, array));
        }
        let fields: Vec<Field> = made
            .iter()
            .map(|(name, array)| {
                Field::new(*name, array.data_type().clone(), !matches!(*name, "row_status" | "currency"))
            })
            .collect();
        let options = arrow_array::RecordBatchOptions::new().with_row_count(Some(results));
        let arrays = made.into_iter().map(|(_, array)| array).collect();
        RecordBatch::try_new_with_options(Arc::new(Schema::new(fields)), arrays, &options)
            .map_err(|error| table_error("build", None, error.to_string(), "Give smaller batches."))
    }

    fn nulls(&self) -> Option<NullBuffer> {
        if self.row_status.iter().all(|code| has_result(*code)) {
            return None;
        }
        Some(NullBuffer::from(
            self.row_status.iter().map(|code| has_result(*code)).collect::<BooleanBuffer>(),
        ))
    }
}

fn worded<K: ArrowDictionaryKeyType>(
    codes: ScalarBuffer<K::Native>,
    nulls: Option<NullBuffer>,
    words: &[impl AsRef<str>],
) -> ArrayRef {
    let words = StringArray::from_iter_values(words.iter().map(AsRef::as_ref));
    // a list of no words takes no codes but null ones
    let codes = PrimitiveArray::<K>::new(codes, nulls);
    Arc::new(DictionaryArray::<K>::new(codes, Arc::new(words)))
}

/// The type of a column of results in Arrow.
pub(crate) fn type_of(column: &str) -> DataType {
    let words = |keys: DataType| DataType::Dictionary(Box::new(keys), Box::new(DataType::Utf8));
    match column {
        "build" | "base_metal" | "treatment" | "films" | "blocked_by" => words(DataType::UInt16),
        "category" | "currency" | "row_status" => words(DataType::UInt8),
        "met" | "blocked" => DataType::Boolean,
        "burden" | "dangers" => DataType::Float32,
        _ => DataType::Float64,
    }
}
