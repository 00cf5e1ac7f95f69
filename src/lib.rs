//! Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.

pub mod brief;
pub mod catalog;
pub mod error;
pub mod finish;
pub mod metal;
pub mod quantity;
pub mod source;

pub use error::{Error, Result};
pub use source::{Firmness, Source};
