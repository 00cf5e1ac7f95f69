//! Stainless steel does not rust by dose: its outlook follows the class of the grade against the class that
//! the place asks for (EN 1993-1-4, Annex A).

use crate::atmosphere::Category;
use crate::brief::Exposure;
use crate::finish::Treatment;
use crate::outlook::lognormal::Z90;
use crate::outlook::{FactorKind, Life, Term};
use crate::quantity::Value;
use crate::source::Source;

/// Source of the years that a class margin gives.
pub const CLASS_MARGIN: Source = Source::assumption(
    "a grade in the class asked for stays free of rust for 50 years with 90 % probability (the working life \
     that EN 1993-1-4 is for); each class more or less changes the years by a factor of 20; log spread 1",
);

/// Source of the class asked for where only a loss is known.
pub const RESISTANCE_BY_CATEGORY: Source = Source::assumption(
    "corrosion resistance class by corrosivity category where no chloride is known: C1 I, C2 II, C3 and C4 \
     III, C5 IV, CX V",
);

const WORKING_LIFE_YEARS: f64 = 50.0;
const YEARS_FACTOR_PER_CLASS: f64 = 20.0;
const LOG_SD: f64 = 1.0;

/// The class that the place asks of stainless steel, I = 1 to V = 5.
pub fn required_class(exposure: &Exposure) -> f64 {
    match &exposure.stainless {
        Some(factor) => f64::from(factor.required_class as u8) + 1.0,
        None => match exposure.atmosphere.category {
            Category::C1 => 1.0,
            Category::C2 => 2.0,
            Category::C3 | Category::C4 => 3.0,
            Category::C5 => 4.0,
            Category::Cx => 5.0,
        },
    }
}

/// Adds the years that the grade itself stays bright or black.
pub(super) fn add_margin(life: &mut Life, exposure: &Exposure, class: &Value, treatment: &Treatment) {
    let margin = class.value - treatment.passivity_loss_classes.value - required_class(exposure);
    let factor =
        life.factor(FactorKind::ClassMargin, "class margin of the stainless grade", LOG_SD, CLASS_MARGIN);
    life.terms.push(Term {
        ln_median: WORKING_LIFE_YEARS.ln() + Z90 * LOG_SD + margin * YEARS_FACTOR_PER_CLASS.ln(),
        exponents: vec![(factor, 1.0)],
    });
}
