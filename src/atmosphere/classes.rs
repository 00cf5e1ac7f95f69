//! Classes of SO2 (P), chloride (S) and wetness (tau): the words in which a place is described.
//!
//! ISO 9223:2012. The 1992 edition, still printed in older textbooks, had other SO2 classes (10, 35, 80 and
//! 200 mg/(m²·d)); they are not used here.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, within};
use crate::evidence::Source;

/// Class of SO2 pollution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum So2Class {
    /// Up to 4 mg/(m²·d).
    P0,
    /// Up to 24 mg/(m²·d).
    P1,
    /// Up to 80 mg/(m²·d).
    P2,
    /// Up to 200 mg/(m²·d).
    P3,
}

impl So2Class {
    /// All four, cleanest first.
    pub const ALL: &'static [Self] = &[Self::P0, Self::P1, Self::P2, Self::P3];
}

impl fmt::Display for So2Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

/// Class of airborne chloride.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ChlorideClass {
    /// Up to 3 mg/(m²·d).
    S0,
    /// Up to 60 mg/(m²·d).
    S1,
    /// Up to 300 mg/(m²·d).
    S2,
    /// Up to 1500 mg/(m²·d).
    S3,
}

impl ChlorideClass {
    /// All four, least salt first.
    pub const ALL: &'static [Self] = &[Self::S0, Self::S1, Self::S2, Self::S3];
}

impl fmt::Display for ChlorideClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

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

/// Upper bounds, inclusive, of P0 to P3 by deposition in mg/(m²·d).
pub const SO2_DEPOSITION_BOUNDS_MG_M2_DAY: [f64; 4] = [4.0, 24.0, 80.0, 200.0];
/// Source of [`SO2_DEPOSITION_BOUNDS_MG_M2_DAY`].
pub const SO2_DEPOSITION_SOURCE: Source = Source::standard(
    "ISO 9223:2012, annex B: bounds of P0 and P1; those of P2 and P3 from ISO 9223:1992, unchanged since",
);
/// Upper bounds, inclusive, of P0 to P3 by concentration (µg/m³).
pub const SO2_CONCENTRATION_BOUNDS_UG_M3: [f64; 4] = [5.0, 30.0, 90.0, 250.0];
/// Source of [`SO2_CONCENTRATION_BOUNDS_UG_M3`].
pub const SO2_CONCENTRATION_SOURCE: Source =
    Source::from_memory("ISO 9223:2012, annex B; table C.1 prints the same bands for typical environments");
/// Deposition in mg/(m²·d) of 1 µg/m³ of SO2.
pub const SO2_DEPOSITION_PER_UG_M3: f64 = 0.8;
/// Source of [`SO2_DEPOSITION_PER_UG_M3`].
pub const SO2_CONVERSION_SOURCE: Source = Source::from_memory("ISO 9223:2012, annex B: Pd = 0.8 Pc");
/// Upper bounds, inclusive, of S0 to S3 by deposition in mg/(m²·d).
pub const CHLORIDE_BOUNDS_MG_M2_DAY: [f64; 4] = [3.0, 60.0, 300.0, 1500.0];
/// Source of [`CHLORIDE_BOUNDS_MG_M2_DAY`].
pub const CHLORIDE_CLASS_SOURCE: Source =
    Source::standard("ISO 9223:1992, classes of chloride; unchanged in ISO 9223:2012");
/// Upper bounds, inclusive, of tau1 to tau4 (h/a); tau5 lies above.
pub const WETNESS_BOUNDS_H: [f64; 4] = [10.0, 250.0, 2500.0, 5500.0];
/// Source of [`WETNESS_BOUNDS_H`].
pub const WETNESS_CLASS_SOURCE: Source = Source::from_memory(
    "ISO 9223:1992, classes of wetness, kept in ISO 9223:2012: 10, 250 and 2500 h/a were read there, 5500 \
     was not",
);

fn class_of<T: Copy>(classes: &[T], uppers: &[f64], value: f64) -> Option<T> {
    classes.iter().zip(uppers).find(|(_, upper)| value <= **upper).map(|(class, _)| *class)
}

/// SO2 class by deposition in mg/(m²·d); `None` above 200, which the standard leaves outside its classes.
///
/// Source: [`SO2_DEPOSITION_SOURCE`].
///
/// # Errors
/// A deposition that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{So2Class, so2_class_from_deposition};
/// assert_eq!(so2_class_from_deposition(24.0).unwrap(), Some(So2Class::P1));
/// assert_eq!(so2_class_from_deposition(201.0).unwrap(), None);
/// ```
pub fn so2_class_from_deposition(so2_mg_m2_day: f64) -> Result<Option<So2Class>> {
    within(
        "so2_mg_m2_day",
        so2_mg_m2_day,
        0.0,
        f64::INFINITY,
        "mg/(m2 d)",
        "Give the annual mean deposition of SO2.",
    )?;
    Ok(class_of(So2Class::ALL, &SO2_DEPOSITION_BOUNDS_MG_M2_DAY, so2_mg_m2_day))
}

/// SO2 class by concentration in air (µg/m³); `None` above 250.
///
/// Source: [`SO2_CONCENTRATION_SOURCE`].
///
/// # Errors
/// A concentration that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{So2Class, so2_class_from_concentration};
/// assert_eq!(so2_class_from_concentration(31.0).unwrap(), Some(So2Class::P2));
/// ```
pub fn so2_class_from_concentration(so2_ug_m3: f64) -> Result<Option<So2Class>> {
    within(
        "so2_ug_m3",
        so2_ug_m3,
        0.0,
        f64::INFINITY,
        "ug/m3",
        "Give the annual mean concentration of SO2.",
    )?;
    Ok(class_of(So2Class::ALL, &SO2_CONCENTRATION_BOUNDS_UG_M3, so2_ug_m3))
}

/// SO2 class from whichever of deposition in mg/(m²·d) and concentration (µg/m³) is known.
///
/// Where both are given the deposition rules, because it is what corrodes: the two tables disagree between
/// 72 and 80 mg/(m²·d), where 0.8 · 90 µg/m³ is the edge of P2 by concentration and 80 by deposition.
///
/// # Errors
/// Neither value given; a value that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{So2Class, so2_class};
/// assert_eq!(so2_class(Some(76.0), Some(95.0)).unwrap(), Some(So2Class::P2));
/// assert_eq!(so2_class(None, Some(95.0)).unwrap(), Some(So2Class::P3));
/// ```
pub fn so2_class(so2_mg_m2_day: Option<f64>, so2_ug_m3: Option<f64>) -> Result<Option<So2Class>> {
    let by_concentration = so2_ug_m3.map(so2_class_from_concentration).transpose()?;
    match (so2_mg_m2_day, by_concentration) {
        (Some(deposition), _) => so2_class_from_deposition(deposition),
        (None, Some(class)) => Ok(class),
        (None, None) => Err(invalid(
            "so2_mg_m2_day",
            "missing",
            "a deposition or a concentration",
            "Give `so2_mg_m2_day` or `so2_ug_m3`.",
        )),
    }
}

/// Deposition of SO2 in mg/(m²·d) of a concentration in air [µg/m³]: Pd = 0.8·Pc.
///
/// Source: [`SO2_CONVERSION_SOURCE`].
///
/// # Errors
/// A concentration that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::so2_deposition_mg_m2_day;
/// assert_eq!(so2_deposition_mg_m2_day(30.0).unwrap(), 24.0);
/// ```
pub fn so2_deposition_mg_m2_day(so2_ug_m3: f64) -> Result<f64> {
    let concentration = within(
        "so2_ug_m3",
        so2_ug_m3,
        0.0,
        f64::INFINITY,
        "ug/m3",
        "Give the annual mean concentration of SO2.",
    )?;
    Ok(SO2_DEPOSITION_PER_UG_M3 * concentration)
}

/// Chloride class by deposition in mg/(m²·d); `None` above 1500: splash and spray, outside the classes.
///
/// Source: [`CHLORIDE_CLASS_SOURCE`].
///
/// # Errors
/// A deposition that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{ChlorideClass, chloride_class};
/// assert_eq!(chloride_class(3.0).unwrap(), Some(ChlorideClass::S0));
/// assert_eq!(chloride_class(3.1).unwrap(), Some(ChlorideClass::S1));
/// ```
pub fn chloride_class(chloride_mg_m2_day: f64) -> Result<Option<ChlorideClass>> {
    within(
        "chloride_mg_m2_day",
        chloride_mg_m2_day,
        0.0,
        f64::INFINITY,
        "mg/(m2 d)",
        "Give the annual mean deposition of chloride.",
    )?;
    Ok(class_of(ChlorideClass::ALL, &CHLORIDE_BOUNDS_MG_M2_DAY, chloride_mg_m2_day))
}

/// Wetness class by the wet hours of a year (h/a).
///
/// Source: [`WETNESS_CLASS_SOURCE`].
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
        "Give the hours of one year; scale a longer or shorter record first.",
    )?;
    Ok(class_of(WetnessClass::ALL, &WETNESS_BOUNDS_H, wet_hours_per_year).unwrap_or(WetnessClass::Tau5))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn display_and_serde_use_the_words_of_the_standard() {
        let json = |value: &dyn fmt::Display| format!("\"{value}\"");
        for class in So2Class::ALL {
            assert_eq!(serde_json::to_string(class).unwrap(), json(class));
        }
        for class in ChlorideClass::ALL {
            assert_eq!(serde_json::to_string(class).unwrap(), json(class));
        }
        for class in WetnessClass::ALL {
            assert_eq!(serde_json::to_string(class).unwrap(), json(class));
        }
    }

    #[test]
    fn the_2012_bounds_rule_not_those_of_1992() {
        // printed: 4 and 24 mg/(m2 d) in 2012, 10 and 35 in 1992
        assert_eq!(so2_class_from_deposition(9.0).unwrap(), Some(So2Class::P1));
        assert_eq!(so2_class_from_deposition(30.0).unwrap(), Some(So2Class::P2));
        // 0.8 mg/(m²·d) for each µg/m³
        assert!((so2_deposition_mg_m2_day(30.0).unwrap() - 24.0).abs() < 1e-12);
    }

    #[test]
    fn upper_bounds_are_inclusive_and_the_top_is_open() {
        assert_eq!(so2_class_from_deposition(200.0).unwrap(), Some(So2Class::P3));
        assert_eq!(so2_class_from_concentration(250.1).unwrap(), None);
        assert_eq!(chloride_class(1500.0).unwrap(), Some(ChlorideClass::S3));
        assert_eq!(chloride_class(1501.0).unwrap(), None);
        assert_eq!(wetness_class(10.0).unwrap(), WetnessClass::Tau1);
        assert_eq!(wetness_class(8784.0).unwrap(), WetnessClass::Tau5);
    }

    #[test]
    fn impossible_values_are_refused() {
        assert!(so2_class(None, None).is_err());
        assert!(so2_class(Some(1.0), Some(f64::NAN)).is_err());
        assert!(so2_deposition_mg_m2_day(-1.0).is_err());
        assert!(chloride_class(f64::INFINITY).is_err());
        assert!(wetness_class(9000.0).is_err());
    }
}
