//! Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.
#![cfg_attr(docsrs, feature(doc_cfg))]

pub mod error;
pub mod fastener;
pub mod source;

pub use error::{Error, Result};
pub use source::{Firmness, Source};
