//! stub until merge
pub mod grade;
pub use grade::{BaseMetal, Family};
