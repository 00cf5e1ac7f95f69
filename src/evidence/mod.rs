//! What the numbers rest on: sources with their firmness, and the observations from which the catalog is computed.
//!
//! | file | idea |
//! | --- | --- |
//! | `source` | where a number comes from, and how well supported it is |
//! | `registry` | every source that the code cites, in one table |
//! | `quantity` | a number of the catalog with the key of its source |
//! | `observation` | what was seen, on what, in which test, as a value or a bound, and how it was read |

mod observation;
mod quantity;
mod registry;
mod source;

pub use observation::{Observation, Preparation, Test, observations};
pub(crate) use quantity::GREATEST_PRICE;
pub use quantity::{Range, SourceKey, Spread, Value};
pub use registry::{SourceInCode, sources_in_code};
pub use source::{Firmness, Source};
