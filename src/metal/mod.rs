//! Metals: what a base metal is asked to be, and what its composition says about rust.
//!
//! - `grade`: a base metal as a catalog describes it
//! - `inch_grade`: grades of inch bolts and screws, read as the nearest property class
//! - `property_class`: strength, hardness and tempering of steel fasteners (ISO 898-1)
//! - `composition`: pitting resistance of stainless steel, weathering index of low-alloy steel (ASTM G101)
//! - `stainless`: the class of stainless steel that a place asks for, and the class of a grade (EN 1993-1-4)
//! - [`staining`]: how many surfaces of a stainless steel ever show rust stains

pub(crate) mod composition;
pub(crate) mod grade;
pub(crate) mod inch_grade;
pub(crate) mod property_class;
pub mod staining;
pub(crate) mod stainless;

pub use composition::{
    INDEX_ACCEPTANCE, INDEX_ACCEPTANCE_SOURCE, INDEX_RANGE_SOURCE, INDEX_SOURCE, IndexResult,
    LowAlloyComposition, PREN_SOURCE, PrenForm, StainlessComposition, StainlessFamily,
    WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY, WEATHERING_CHLORIDE_SOURCE, atmospheric_corrosion_index,
    pitting_resistance_equivalent,
};
pub use grade::{BaseMetal, Composition, Family, StrengthClass};
pub use inch_grade::{INCH_GRADE_SOURCE, InchGrade};
pub use property_class::{
    HardnessClass, LOW_CLASS_SOURCE, MECHANICAL_SOURCE, Mechanical, NUT_SOURCE, PropertyClass,
    SET_SCREW_SOURCE, TEMPERING_SOURCE,
};
pub use staining::{
    BLACKENING_FACTOR, BLACKENING_SOURCE, STAINING_LOG_SD, STAINING_MEDIAN_YEARS, STAINING_SOURCE,
    STAINING_WASH_SOURCE, STAINING_YEARS_LOG_SD, STAINING_YEARS_SOURCE, SULFIDE_FACTOR, SULFIDE_SOURCE,
    staining_share, staining_threshold_g_m2, surface_salt_g_m2,
};
pub use stainless::{
    BOUND_SOURCE, CLASS_SOURCE, Coast, Crf, FACTOR_SOURCE, FASTENER_GRADE_SOURCE, GRADE_SOURCE,
    ResistanceClass, StainlessExposure, WASHING_EXCEPTION_SOURCE, Washing, corrosion_resistance_factor,
    fastener_grade_class, grade_class,
};
