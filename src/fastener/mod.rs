//! stub
pub mod coating_room; pub mod embrittlement; pub mod friction; pub mod size; pub mod thread; pub mod tolerance; pub mod torque;
pub use coating_room::{CoatingRoom, coating_room, pitch_diameter_growth_um, tolerance_that_fits};
pub use embrittlement::*; pub use size::*;
pub use friction::{FrictionClass, FrictionRange, nut_factor};
pub use thread::{InchSeries, InchThread, MetricThread, Thread};
pub use tolerance::{
    Deviation, Tolerance, ToleranceWidth, fundamental_deviation, pitch_diameter_tolerance,
};
pub use torque::*;
