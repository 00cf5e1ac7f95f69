//! What is applied to the base metal: a treatment that blackens it and the films over it.
//!
//! | file | idea |
//! | --- | --- |
//! | `treatment` | the conversion coating: hot alkaline, alkaline-chromate, fused salt, ... |
//! | `film` | one supplementary layer: oil, wax, lacquer, paint, ... |
//! | `process` | steps, tests and order lines of a treatment or film, as data |
//! | `ageing` | how a layer ages where nothing attacks it |
//! | `build` | base metal + treatment + films in order of application, and which orders can be made |

pub(crate) mod ageing;
pub(crate) mod build;
pub(crate) mod film;
pub mod process;
pub(crate) mod treatment;

pub use ageing::Ageing;
pub(crate) use build::DEFAULT_FILM;
pub use build::{Build, Stack, check_film_order};
pub use film::{FieldFactors, Film, FilmKind, Gloss};
pub use process::Process;
pub(crate) use treatment::hydrogen_left_out;
pub use treatment::{ChromateUse, Reason, StandardHours, Substrate, Treatment, TreatmentKind, Verdict};
