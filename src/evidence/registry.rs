//! Every source that the code cites, gathered when the crate is built (`build.rs`), so that none is forgotten.

use super::source::Source;

include!(concat!(env!("OUT_DIR"), "/sources.rs"));

/// A source that the code cites, beside the number that it supports.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct SourceInCode {
    /// The name by which documentation cites it, such as `DOSE_SOURCE`; empty where it is cited in one place alone.
    pub name: &'static str,
    /// The file of the crate in which it stands.
    pub file: &'static str,
    /// The citation and its firmness.
    pub source: Source,
}

/// Every source that the code cites.
///
/// Where documentation says "Source: `DOSE_SOURCE`", this has the citation under that name. Those of catalog values are
/// in the catalog; [`Catalog::all_sources`](crate::catalog::Catalog::all_sources) gives both.
///
/// ```
/// let cited = overcoat::evidence::sources_in_code();
/// let dose = cited.iter().find(|cited| cited.name == "DOSE_SOURCE").map(|cited| cited.source.citation.as_ref());
/// assert!(dose.is_some_and(|citation| citation.starts_with("ISO 9223:2012, 8.2, equation 1")), "{dose:?}");
/// ```
pub fn sources_in_code() -> &'static [SourceInCode] {
    IN_CODE
}
