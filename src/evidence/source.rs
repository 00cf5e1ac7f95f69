//! Where a number comes from, and how well supported it is.
//!
//! Every number in the crate is beside a [`Source`]: a rule's constant in Rust, a catalog value in JSON.
//! A source that was not checked against its text says `from memory`; what is unpublished says
//! `assumption`. Neither is ever presented as a standard.

use std::borrow::Cow;
use std::fmt;

use serde::{Deserialize, Serialize};

/// How well supported a source is, best supported first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Firmness {
    /// Read in the text of a standard, or in a reprint of it; the citation names edition and clause or table.
    Standard,
    /// Fitted to the user's own test or field records.
    OwnRecords,
    /// Read in a paper.
    Paper,
    /// Read in a handbook.
    Handbook,
    /// Derived by calculation from the cited values.
    Derived,
    /// A fact of the industry without a single source.
    CommonPractice,
    /// Recalled, not checked against the cited text.
    FromMemory,
    /// Set by us or by the user, resting on nothing published.
    Assumption,
}

impl Firmness {
    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Standard => "standard",
            Self::OwnRecords => "own records",
            Self::Paper => "paper",
            Self::Handbook => "handbook",
            Self::Derived => "derived",
            Self::CommonPractice => "common practice",
            Self::FromMemory => "from memory",
            Self::Assumption => "assumption",
        }
    }

    /// How much a decision may lean on it, 0 to 1, for the criterion "confidence of the data".
    ///
    /// The ladder itself is an assumption: it orders the kinds of source and keeps even an assumption above
    /// zero, so that missing knowledge lowers a score and never kills it.
    pub const fn confidence(self) -> f64 {
        match self {
            Self::Standard | Self::OwnRecords => 1.0,
            Self::Paper | Self::Handbook => 0.85,
            Self::Derived => 0.75,
            Self::CommonPractice => 0.65,
            Self::FromMemory => 0.55,
            Self::Assumption => 0.35,
        }
    }
}

impl fmt::Display for Firmness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A citation with its firmness.
///
/// ```
/// use overcoat::evidence::Source;
/// let source = Source::from_memory("ISO 9223:2012, 8.2, equations 1 to 4");
/// assert_eq!(source.to_string(), "ISO 9223:2012, 8.2, equations 1 to 4 (from memory)");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// How well supported it is.
    pub firmness: Firmness,
    /// The standard with edition and clause, the paper or handbook, or what an assumption is based on.
    pub citation: Cow<'static, str>,
}

impl Source {
    const fn of(firmness: Firmness, citation: &'static str) -> Self {
        Self { firmness, citation: Cow::Borrowed(citation) }
    }

    /// Read in a standard.
    pub const fn standard(citation: &'static str) -> Self {
        Self::of(Firmness::Standard, citation)
    }

    /// Read in a paper.
    pub const fn paper(citation: &'static str) -> Self {
        Self::of(Firmness::Paper, citation)
    }

    /// Read in a handbook.
    pub const fn handbook(citation: &'static str) -> Self {
        Self::of(Firmness::Handbook, citation)
    }

    /// Calculated from cited values.
    pub const fn derived(citation: &'static str) -> Self {
        Self::of(Firmness::Derived, citation)
    }

    /// A fact of the industry; `citation` says which.
    pub const fn common_practice(citation: &'static str) -> Self {
        Self::of(Firmness::CommonPractice, citation)
    }

    /// Recalled, unchecked.
    pub const fn from_memory(citation: &'static str) -> Self {
        Self::of(Firmness::FromMemory, citation)
    }

    /// Set without published ground; `citation` says why so.
    pub const fn assumption(citation: &'static str) -> Self {
        Self::of(Firmness::Assumption, citation)
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.citation, self.firmness)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn firmer_sources_carry_more_confidence() {
        use Firmness::*;
        let ladder = [Standard, OwnRecords, Paper, Handbook, Derived, CommonPractice, FromMemory, Assumption];
        assert!(ladder.windows(2).all(|w| w[0].confidence() >= w[1].confidence()));
        assert!(Assumption.confidence() > 0.0);
    }
}
