//! Every source that the code cites, gathered when the crate is built (`build.rs`), so that none is forgotten.

use super::source::Source;

include!(concat!(env!("OUT_DIR"), "/sources.rs"));

/// Every source that the code cites, each with the file of the crate in which it stands.
///
/// Those of catalog values are in the catalog; [`Catalog::all_sources`](crate::catalog::Catalog::all_sources) gives
/// both.
///
/// ```
/// use overcoat::atmosphere::DOSE_SOURCE;
/// let cited = overcoat::evidence::sources_in_code();
/// assert!(cited.iter().any(|(file, source)| file.ends_with("dose_response.rs") && *source == DOSE_SOURCE));
/// ```
pub fn sources_in_code() -> &'static [(&'static str, Source)] {
    IN_CODE
}
