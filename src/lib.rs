//! Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.

pub mod atmosphere;
pub mod brief;
pub mod catalog;
pub mod check;
pub mod error;
pub mod fastener;
pub mod finish;
pub mod metal;
pub mod outlook;
pub mod papers;
#[cfg(feature = "python")]
mod python;
pub mod quantity;
pub mod rank;
#[cfg(feature = "schema")]
pub mod schema;
pub mod source;
pub mod sweep;

pub use error::{Error, Result};
pub use source::{Firmness, Source};
