//! JSON Schemas of the documents, generated from the types (feature `schema`).

use crate::Result;
use crate::error::unknown;

/// The documents that have a schema.
pub const DOCUMENTS: [&str; 4] = ["brief", "catalog", "ranking", "papers"];

/// JSON Schema (draft 2020-12) of a document: `brief`, `catalog` (complete), `ranking` or `papers`.
///
/// # Errors
/// Another name.
///
/// ```
/// let schema = overcoat::schema::schema("brief")?;
/// assert!(schema.contains("\"required_years\""));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn schema(document: &str) -> Result<String> {
    let schema = match document {
        "brief" => schemars::schema_for!(crate::brief::Brief),
        "catalog" => schemars::schema_for!(crate::catalog::Content),
        "ranking" => schemars::schema_for!(crate::rank::Ranking),
        "papers" => schemars::schema_for!(crate::papers::Papers),
        other => return Err(unknown("document", other, DOCUMENTS, "Name one of the documents.")),
    };
    Ok(serde_json::to_string_pretty(&schema).unwrap_or_default() + "\n")
}
