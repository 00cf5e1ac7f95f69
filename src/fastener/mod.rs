//! Geometry and mechanics of threaded parts: how thick a finish can be, what it does to the torque, how much
//! surface and mass it covers, and when hard steel must be baked.
//!
//! One file, one idea: `thread`, `tolerance`, `coating_room`, `friction`, `torque`,
//! `prevailing_torque`, `size`, `embrittlement`.

pub(crate) mod coating_room;
pub(crate) mod embrittlement;
pub(crate) mod friction;
pub(crate) mod prevailing_torque;
pub(crate) mod size;
pub(crate) mod thread;
pub(crate) mod tolerance;
pub(crate) mod torque;

pub use coating_room::{CoatingRoom, coating_room, pitch_diameter_growth_um, tolerance_that_fits};
pub use embrittlement::{Bake, EmbrittlementEdition, Susceptibility, baking, susceptibility};
pub use friction::{FrictionClass, FrictionRange, nut_factor};
pub use prevailing_torque::prevailing_torque_max_nm;
pub(crate) use size::STEEL_DENSITY_G_CM3;
pub(crate) use size::headless_size;
pub use size::{PartForm, PartSize, part_size, part_size_of_density};
pub use thread::{InchSeries, InchThread, MetricThread, Thread};
pub use tolerance::{Deviation, Tolerance, ToleranceWidth, fundamental_deviation, pitch_diameter_tolerance};
pub use torque::{
    BearingDiameter, PreloadChange, TorsionModel, assembly_preload_kn, mean_bearing_diameter, preload_change,
    preload_from_torque_kn, strength_utilization, tightening_torque_nm, total_friction_from_torque,
};
