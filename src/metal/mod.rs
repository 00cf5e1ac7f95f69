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
    INDEX_ACCEPTANCE, IndexResult, LowAlloyComposition, PrenForm, StainlessComposition, StainlessFamily,
    atmospheric_corrosion_index, pitting_resistance_equivalent,
};
pub use grade::{BaseMetal, Composition, Family, StrengthClass};
pub use inch_grade::InchGrade;
pub use property_class::{HardnessClass, Mechanical, PropertyClass};
pub use staining::{staining_share, staining_threshold_g_m2, surface_salt_g_m2};
pub use stainless::{
    Coast, Crf, ResistanceClass, StainlessExposure, Washing, corrosion_resistance_factor,
    fastener_grade_class, grade_class,
};
