//! Classes of wetness (tau): hours of a year in which a surface is wet.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::error::{Result, within};
use crate::evidence::Source;

/// Class of the time of wetness, the hours of a year with T > 0 °C and RH > 80%.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WetnessClass {
    /// Up to 10 h/a: indoors with climate control.
    Tau1,
    /// Up to 250 h/a: indoors without climate control.
    Tau2,
    /// Up to 2500 h/a: outdoors in dry or cold climates.
    Tau3,
    /// Up to 5500 h/a.
    Tau4,
    /// Above 5500 h/a.
    Tau5,
}

impl WetnessClass {
    /// All five, driest first.
    pub const ALL: &'static [Self] = &[Self::Tau1, Self::Tau2, Self::Tau3, Self::Tau4, Self::Tau5];
}

impl fmt::Display for WetnessClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Tau1 => "tau1",
            Self::Tau2 => "tau2",
            Self::Tau3 => "tau3",
            Self::Tau4 => "tau4",
            Self::Tau5 => "tau5",
        })
    }
}

/// Upper bounds, inclusive, of tau1 to tau4 (h/a); tau5 is above.
const WETNESS_BOUNDS_H: [f64; 4] = [10.0, 250.0, 2500.0, 5500.0];
/// Source of the bounds.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const WETNESS_CLASS_SOURCE: Source = Source::from_memory(
    "ISO 9223:1992, classes of wetness, kept in ISO 9223:2012: 10, 250 and 2500 h/a were read there, 5500 \
     was not",
);

/// Wetness class by the wet hours of a year (h/a).
///
/// Source: `WETNESS_CLASS_SOURCE`.
///
/// # Errors
/// Hours outside 0 to 8784, the hours of a leap year.
///
/// ```
/// use overcoat::atmosphere::{WetnessClass, wetness_class};
/// assert_eq!(wetness_class(3050.0).unwrap(), WetnessClass::Tau4);
/// assert_eq!(wetness_class(5501.0).unwrap().to_string(), "tau5");
/// ```
pub fn wetness_class(wet_hours_per_year: f64) -> Result<WetnessClass> {
    within(
        "wet_hours_per_year",
        wet_hours_per_year,
        0.0,
        8784.0,
        "h/a",
        "Enter the hours of one year; scale a longer or shorter record first.",
    )?;
    let within = WETNESS_BOUNDS_H.iter().position(|upper| wet_hours_per_year <= *upper);
    let class = within.and_then(|at| WetnessClass::ALL.get(at));
    Ok(class.copied().unwrap_or(WetnessClass::Tau5))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn display_and_serde_use_the_words_of_the_standard() {
        for class in WetnessClass::ALL {
            assert_eq!(serde_json::to_string(class).unwrap(), format!("\"{class}\""));
        }
    }

    #[test]
    fn upper_bounds_are_inclusive_and_the_top_is_open() {
        assert_eq!(wetness_class(10.0).unwrap(), WetnessClass::Tau1);
        assert_eq!(wetness_class(10.1).unwrap(), WetnessClass::Tau2);
        assert_eq!(wetness_class(8784.0).unwrap(), WetnessClass::Tau5);
        assert!(wetness_class(9000.0).is_err());
    }
}
