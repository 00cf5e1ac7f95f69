//! Geometry and mechanics of threaded parts: what a finish has room for.
//!
//! One file, one idea: [`thread`], [`tolerance`], [`coating_room`].

pub mod coating_room;
pub mod thread;
pub mod tolerance;

pub use coating_room::{CoatingRoom, coating_room, pitch_diameter_growth_um, tolerance_that_fits};
pub use thread::{InchSeries, InchThread, MetricThread, Thread};
pub use tolerance::{Deviation, Tolerance, ToleranceWidth, fundamental_deviation, pitch_diameter_tolerance};
