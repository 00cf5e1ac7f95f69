//! Geometry and mechanics of threaded parts: what a finish has room for, what it does to the torque, how much
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

pub use coating_room::{
    BATCH_MEAN_SOURCE, CoatingRoom, GROWTH_SOURCE, coating_room, pitch_diameter_growth_um,
    tolerance_that_fits,
};
pub use embrittlement::{
    BAKE_SOURCE, BAKE_START_SOURCE, Bake, EmbrittlementEdition, Susceptibility, baking, susceptibility,
};
pub use friction::{FRICTION_CLASS_SOURCE, FrictionClass, FrictionRange, NUT_FACTOR_SOURCE, nut_factor};
pub use prevailing_torque::{PREVAILING_TORQUE, prevailing_torque_max_nm};
pub use size::{
    DIMENSION_SOURCE, INCH_DIMENSION_SOURCE, PartForm, PartSize, STEEL_DENSITY_G_CM3, STEEL_DENSITY_SOURCE,
    part_size, part_size_of_density,
};
pub use thread::{
    COARSE_PITCH_SOURCE, INCH_GEOMETRY_SOURCE, INCH_SERIES_SOURCE, InchSeries, InchThread,
    METRIC_GEOMETRY_SOURCE, MetricThread, Thread,
};
pub use tolerance::{Deviation, Tolerance, ToleranceWidth, fundamental_deviation, pitch_diameter_tolerance};
pub use torque::{
    BearingDiameter, PRELOAD_SOURCE, PreloadChange, TORQUE_SOURCE, TOTAL_FRICTION_SOURCE, TorsionModel,
    assembly_preload_kn, mean_bearing_diameter, preload_change, preload_from_torque_kn, strength_utilization,
    tightening_torque_nm, total_friction_from_torque,
};
