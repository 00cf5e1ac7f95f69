//! One sentence of a paper, and a range of numbers, each with its source.

use serde::{Deserialize, Serialize};

use crate::evidence::Source;
use crate::finish::process::BearsOn;

/// A sentence with its source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Statement {
    /// What is said.
    pub text: String,
    /// What it is based on that the order can change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Where it comes from.
    pub source: Source,
}

impl Statement {
    pub(super) fn new(text: impl Into<String>, source: Source) -> Self {
        Self { text: text.into(), bears_on: None, source }
    }
}

/// A range of numbers with its source; both ends are equal for a single number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Bounds {
    /// Lower end, in the unit that ends the field's name.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Where both come from.
    pub source: Source,
}

impl Bounds {
    pub(super) fn new(low: f64, high: f64, source: Source) -> Self {
        Self { low, high, source }
    }
}
