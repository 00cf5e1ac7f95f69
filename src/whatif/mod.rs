//! What if: a brief with something moved, for analysts.
//!
//! | file | idea |
//! | --- | --- |
//! | `input` | the numbers of a duty that move |
//! | `measure` | what of an answer is compared |
//! | `choice` | best build and Pareto front of each row |
//! | `chart` | finishes times places for given years |
//! | `category_up` | the same place one corrosivity category worse |
//! | `break_even` | where one build overtakes another |
//! | `sensitivity` | what an answer hangs on: tornado, shares of variance |
//! | `sobol` | Sobol indices of any model |
//! | `root` | the places where a sign or a state changes |
//!
//! Every number is that of [`rank`](crate::rank::rank()) for the brief with the moved values put in.

mod break_even;
mod category_up;
mod chart;
mod choice;
mod input;
mod measure;
mod root;

mod sensitivity;
mod sobol;

pub use crate::math::lattice::QUASI_RANDOM;
pub use crate::sweep::{MovedColumns, RowAnswers, Rows};
pub use break_even::{BreakEven, Contest, Crossing, CrossingKind, Leader, Stretch};
pub use category_up::{CATEGORY_UP, category_up};
#[cfg(feature = "report")]
pub(crate) use chart::at_place;
pub use chart::{Chart, ChartCell, ChartPlace, chart, plain_brief};
pub use choice::Results;
pub use input::Input;
pub use measure::Measure;
pub use root::ROOT_FINDER;
pub use sensitivity::{EVEN_RANGE, SobolOutput, Study, TornadoBar};
pub use sobol::{SOBOL_ESTIMATORS, SobolIndex, SobolIndices, USUAL_POINTS, sobol_indices};
