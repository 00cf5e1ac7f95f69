//! When normal inspection ends.

use serde::{Deserialize, Serialize};

use crate::evidence::Source;

/// The switching rules of a running series of lots, counted over lots at their first inspection.
///
/// A plan for normal inspection protects the purchaser only together with them: at twice the AQL, nearly four
/// lots in five still pass letter J at 1.0%; a series of them does not go unnoticed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SwitchingRules {
    /// Tightened inspection starts when this many lots were rejected ...
    pub tighten_after_refused_lots: u32,
    /// ... among so many consecutive ones, or fewer.
    pub tighten_within_lots: u32,
    /// Inspection stops when this many lots were rejected under tightened inspection, until the supplier has
    /// corrected the process.
    pub stop_after_refused_lots: u32,
    /// Normal inspection is back when this many consecutive lots were accepted under tightened inspection.
    pub normal_after_accepted_lots: u32,
    /// Reduced inspection is allowed from this switching score, with steady production and the agreement of the
    /// authority in charge; it ends with the first lot that is not accepted, or when production is irregular.
    pub reduced_from_score: u32,
    /// Where the rules of tightening and stopping come from.
    pub source: Source,
    /// Where the way back and the reduced inspection come from.
    pub return_source: Source,
}

/// The rules of ISO 2859-1:1999, 9.3.1 and 9.4.
///
/// ```
/// use overcoat::papers::sampling::SWITCHING_RULES;
/// assert_eq!(SWITCHING_RULES.tighten_after_refused_lots, 2);
/// assert_eq!(SWITCHING_RULES.tighten_within_lots, 5);
/// assert_eq!(SWITCHING_RULES.stop_after_refused_lots, 5);
/// ```
pub static SWITCHING_RULES: SwitchingRules = SwitchingRules {
    tighten_after_refused_lots: 2,
    tighten_within_lots: 5,
    stop_after_refused_lots: 5,
    normal_after_accepted_lots: 5,
    reduced_from_score: 30,
    source: Source::standard("ISO 2859-1:1999, 9.3.1 and 9.4, as adopted in IS 2500 (Part 1):2000"),
    return_source: Source::from_memory(
        "ISO 2859-1:1999, 9.3.2 and 9.3.3: 5 accepted lots, switching score 30",
    ),
};
