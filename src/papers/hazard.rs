//! What can hurt at a step, and the usual caution.

use serde::{Deserialize, Serialize};

use crate::evidence::Source;
use crate::finish::process::{BearsOn, HazardNote};

/// A caution, for a hazard of a step or for the whole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Code in the hazard table of the catalog; none where the caution is for the whole.
    pub hazard: Option<String>,
    /// What people call the hazard; empty where the caution is for the whole.
    pub name: String,
    /// What to heed.
    pub text: String,
    /// What it rests on that the order can change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Where it comes from.
    pub source: Source,
}

impl Caution {
    pub(super) fn of(code: &str, note: &HazardNote, source: Source) -> Self {
        Self {
            hazard: Some(code.to_owned()),
            name: note.name.clone(),
            text: note.caution.clone(),
            bears_on: None,
            source,
        }
    }

    pub(super) fn general(text: impl Into<String>, source: Source) -> Self {
        Self { hazard: None, name: String::new(), text: text.into(), bears_on: None, source }
    }
}
