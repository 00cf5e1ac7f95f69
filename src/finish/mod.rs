//! What is put on the base metal: a treatment that blackens it and the films over it.
//!
//! | file | idea |
//! | --- | --- |
//! | `treatment` | the conversion coating: hot alkaline, alkaline-chromate, fused salt, ... |
//! | `film` | one supplementary layer: oil, wax, lacquer, paint, ... |
//! | `build` | base metal + treatment + films in order of application, and which orders can be made |

pub mod build;
pub mod film;
pub mod treatment;

pub use build::{Build, Stack, check_film_order};
pub use film::{FieldFactors, Film, FilmKind, Gloss};
pub use treatment::{ChromateUse, Substrate, Treatment, TreatmentKind, Verdict};
