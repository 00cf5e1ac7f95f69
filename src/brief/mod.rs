//! One inquiry: part + duty + wants.
//!
//! | file | idea |
//! | --- | --- |
//! | `part` | what is to be finished: form, thread, base metal, present plating, rust |
//! | `duty` | what it meets: place, shelter, salt, heat, hands, required years, what counts as failure |
//! | `contradictions` | what cannot be true at once in one brief, and what is odd |
//! | `exposure` | the duty with everything filled in, and what was assumed |
//! | `wants` | how it shall look, what it may cost, what matters how much |
//!
//! What a brief leaves out is filled with the usual default, and every answer lists these as `assumed`.
//!
//! ```
//! use overcoat::brief::Brief;
//! let brief = Brief::from_json(r#"{
//!     "schema": "overcoat.brief.v1",
//!     "name": "cap screws for a machine guard",
//!     "part": {"form": "socket_cap_screw", "thread": "M6", "length_mm": 20, "base_metal": "steel_8_8"},
//!     "duty": {"place": "indoor_heated", "required_years": 10}
//! }"#)?;
//! assert_eq!(brief.duty.required_years, 10.0);
//!
//! let error = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
//!     "duty": {"place": "rural", "requierd_years": 10}}"#).unwrap_err();
//! assert_eq!(error.field(), "duty.requierd_years");
//! assert_eq!(error.remedy(), "Did you mean `required_years`?");
//! # Ok::<(), overcoat::Error>(())
//! ```

mod contradictions;
pub(crate) use contradictions::TINY_LOSS;
#[cfg(feature = "command")]
pub(crate) use contradictions::temperature_named;
pub(crate) mod customary;
mod duty;
mod exposure;
mod fields;
mod part;
mod units;
mod wants;
pub(crate) mod written;

use serde::{Deserialize, Serialize};

pub(crate) use duty::is_fraction;
pub use duty::{Duty, Failure, Handling, RoadSalt, Sunlight};
pub use exposure::Exposure;
pub(crate) use exposure::YEAR_TO_YEAR_LOG_SD;
pub(crate) use exposure::{AMBIENT_C, OUTSIDE_VALIDITY};
pub(crate) use exposure::{
    CHLORIDE_CLASS_TO_RISK, COLD_SHARE, DESCRIBED_CHLORIDE, SALT_BY_LOSS, YEAR_TO_YEAR,
};
pub use fields::Field;
pub use part::{Condition, Form, FunctionalSurface, Part, PresentFinish};
pub use wants::{Criterion, Wants, WeightRange, WeightRanges, Weights, WishedBuild};
pub use written::Units;

use crate::Result;
use crate::catalog::strict_json;
use crate::error::invalid;

/// The schema that this version reads.
pub const BRIEF_SCHEMA: &str = "overcoat.brief.v1";

/// What the remarks of a brief say where its site was assumed.
pub(crate) const SITE_ASSUMED: &str = "site not stated: a city was assumed";

/// Most metals in one list of a brief: each may bring findings to every build.
const MOST_METALS: usize = 100;
/// Most builds that one brief compares; a sweep counts them in 16 bits.
pub(crate) const MOST_BUILDS: usize = 65_535;

/// Fields of a brief that accept a list.
const LISTS: [&str; 6] =
    ["builds", "films", "functional_surfaces", "joined_metals", "mating_metals", "other_base_metals"];

/// An inquiry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Brief {
    /// Always `overcoat.brief.v1`.
    pub schema: String,
    /// What the inquiry is called.
    pub name: String,
    /// Remarks for the reader.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub remarks: Option<String>,
    /// What is to be finished.
    pub part: Part,
    /// What it meets.
    pub duty: Duty,
    /// What is requested.
    #[serde(default)]
    pub wants: Wants,
}

impl Brief {
    /// A brief of a part and its duty, with the usual wants. It is checked where it is answered.
    pub fn new(name: &str, part: Part, duty: Duty) -> Self {
        Self {
            schema: BRIEF_SCHEMA.to_owned(),
            name: name.to_owned(),
            remarks: None,
            part,
            duty,
            wants: Wants::default(),
        }
    }

    /// Reads a brief and checks every field that needs no catalog.
    ///
    /// # Errors
    /// A malformed document or one of more than 16 MiB, an unknown or repeated field with the nearest known name,
    /// a value out of range.
    pub fn from_json(text: &str) -> Result<Self> {
        let document = strict_json::parse("brief", text)?;
        if document.is_object() {
            crate::catalog::check_schema("brief", document.get("schema"), BRIEF_SCHEMA)?;
        }
        let brief: Self = strict_json::typed("brief", document.clone())?;
        strict_json::lists_only_in("brief", &document, &LISTS)?;
        brief.check()?;
        Ok(brief)
    }

    /// Writes the brief as JSON; [`Brief::from_json`] reads it back equal.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }

    /// Checks every field, and fields against each other, as far as that needs no catalog;
    /// [`check_in`](Self::check_in) is the whole check.
    ///
    /// # Errors
    /// A value out of range; fields that contradict each other.
    pub fn check(&self) -> Result<()> {
        self.check_fields()?;
        self.contradictions()
    }

    /// Checks each field by itself.
    pub(crate) fn check_fields(&self) -> Result<()> {
        if self.schema != BRIEF_SCHEMA {
            return Err(invalid("schema", &self.schema, BRIEF_SCHEMA, "Use the schema of this version."));
        }
        if self.name.trim().is_empty() {
            return Err(invalid("name", "empty", "some text", "Say what the inquiry is called."));
        }
        for (field, text) in [("name", Some(&self.name)), ("remarks", self.remarks.as_ref())] {
            if let Some(c) = text.and_then(|text| strict_json::control_character(text)) {
                return Err(invalid(
                    field,
                    format!("text with {c:?}"),
                    "plain text",
                    "Remove the character.",
                ));
            }
        }
        self.part.check().map_err(|e| e.within("part"))?;
        self.duty.check().map_err(|e| e.within("duty"))?;
        self.wants.check().map_err(|e| e.within("wants"))
    }
}
