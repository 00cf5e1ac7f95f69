//! Many answers at once, for analysts: tables of places, and a brief with something moved.
//!
//! | file | idea |
//! | --- | --- |
//! | `sweep` | every build of a brief at every row of a table |
//! | `input` | the numbers of a duty that move |
//! | `measure` | what of an answer is compared |
//! | `choice` | best build and Pareto front of each row |
//! | `chart` | finishes times places for given years |
//! | `category_up` | the same place one corrosivity category worse |
//! | `break_even` | where one build overtakes another |
//! | `sensitivity` | what an answer hangs on: tornado, shares of variance |
//! | `sobol` | Sobol indices of any model |
//!
//! Every number is that of [`rank`](crate::rank::rank()) for the brief with the values of the row put in, to the bit.
//!
//! A [`Sweep`] is prepared once from a brief, which brings the part, what is requested and everything of the duty
//! that is not a column; the rows bring the atmosphere, and may bring the required years and the shelter. The results
//! are the same bits for any number of threads and for any way of cutting the table into pieces, down to single rows.
//!
//! ```
//! use overcoat::{brief::Brief, atmosphere::Shelter, catalog::Catalog, finish::Build};
//! use overcoat::study::{Columns, Output, Reason, Sweep};
//! let brief = Brief::from_json(r#"{
//!     "schema": "overcoat.brief.v1",
//!     "name": "brackets at all sites",
//!     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
//!     "duty": {"place": "rural", "required_years": 5}
//! }"#)?;
//! let builds = [
//!     Build::new("steel_4_6", "hot_alkaline", ["displacing_oil"]),
//!     Build::new("steel_4_6", "hot_alkaline", ["epoxy_electrocoat", "polyester_powder"]),
//! ];
//! let sweep = Sweep::new(&brief, Some(&builds), Catalog::built_in())?;
//! let columns = Columns {
//!     temperature_c: &[9.0, 12.0, 15.0],
//!     relative_humidity_pct: &[78.0, 80.0, 101.0],
//!     so2_mg_m2_day: &[3.0, 4.0, 5.0],
//!     chloride_mg_m2_day: &[2.0, 80.0, 5.0],
//!     required_years: None,
//!     shelter: Some(&[Some(Shelter::Sheltered), Some(Shelter::Open), Some(Shelter::Open)]),
//! };
//! let mut output = Output::default();
//! sweep.run(&columns, &mut output, 1)?;
//! // rows one after the other, each with its builds
//! assert_eq!(output.build, [0, 1, 0, 1, 0, 1]);
//! assert!(output.median_years[1] > output.median_years[0]);
//! assert!(output.median_years[2] < output.median_years[0]);
//! assert_eq!(output.reason[4], Reason::HumidityOutOfRange);
//! assert!(output.median_years[4].is_nan());
//! # Ok::<(), overcoat::Error>(())
//! ```

mod break_even;
mod category_up;
mod chart;
mod choice;
mod input;
mod measure;
mod sensitivity;
mod sobol;
pub(crate) mod sweep;

pub use break_even::{BreakEven, Contest, Crossing, CrossingKind, Leader, Stretch};
pub use category_up::category_up;
#[cfg(feature = "report")]
pub(crate) use chart::at_place;
pub use chart::{Chart, ChartCell, ChartPlace, chart, plain_brief};
pub use choice::{Results, bath_burden};
pub use input::Input;
pub use measure::Measure;
pub use sensitivity::{SobolOutput, Study, TornadoBar};
pub use sobol::{SobolIndex, SobolIndices, USUAL_POINTS, sobol_indices};
#[cfg(feature = "report")]
pub(crate) use sweep::each_in_order;
#[doc(hidden)]
pub use sweep::{
    Asked, NOT_BLOCKED, ResultSlices, RowRemark, RowSource, TableSweep, Variants, has_result, obeyed_columns,
};
pub use sweep::{
    BURDEN, Columns, DANGERS, MovedColumns, Output, OutputSlices, RESULT_COLUMNS, Reason, Rows, Sweep,
    known_columns, row_status_words,
};
#[cfg(feature = "arrow")]
#[doc(hidden)]
pub use sweep::{CheckedTable, ResultBuffers, Words, chosen, in_order};
#[cfg(feature = "arrow")]
pub use sweep::{TableRequest, output_schema, sweep_batches};
