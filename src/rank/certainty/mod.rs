//! How well supported the answer is: which build is truly first, and what to measure so that one knows better.
//!
//! | file | idea |
//! | --- | --- |
//! | `points` | the points at which the truth is tried, the same every time |
//! | `contest` | the score of each build if every uncertain value were known |
//! | `first` | how often each build comes first |
//! | `measurement` | what could be measured, and what it would leave open |
//! | `value` | what each measurement is worth for the choice |
//!
//! A ranking knows lives as distributions. Behind them stands a truth that one could come to know: the loss at
//! the place, the cabinet's attack, the hours, the field factor and the aging of each layer, the salt that a grade
//! withstands. For a known truth the lives still
//! differ from part to part (`BETWEEN_PARTS`); the score of a build follows from the probability and the cost
//! that remain. Builds share what they have in common: air, cabinet, films, treatments, grades of stainless steel.
//!
//! The other four criteria stay as they are, the confidence in the data too: imagining a truth changes no source.
//! Prices count as known, since the catalog gives them no spread.

mod contest;
mod first;

mod measurement;
mod points;
mod value;

pub use first::{FirstShare, TrulyFirst};
pub use measurement::{Effort, Measurable};
pub use value::{MeasureNext, Measurement};
