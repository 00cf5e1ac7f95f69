//! The four standard metals and their densities: how a loss of thickness becomes a loss of mass.

use serde::{Deserialize, Serialize};

use crate::error::words;
use crate::evidence::Source;

/// A metal whose bare specimens measure an atmosphere (ISO 9226, ISO 9223).
///
/// ```
/// use overcoat::atmosphere::StandardMetal;
/// assert_eq!("zinc".parse::<StandardMetal>().unwrap(), StandardMetal::Zinc);
/// // the spelling of either side of the Atlantic
/// assert_eq!("aluminum".parse::<StandardMetal>().unwrap(), StandardMetal::Aluminium);
/// let error = "cooper".parse::<StandardMetal>().unwrap_err();
/// assert!(error.to_string().contains("did you mean \"copper\"?"));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StandardMetal {
    /// Unalloyed carbon steel.
    Steel,
    /// Zinc, at least 98.5%.
    Zinc,
    /// Copper, at least 99.5%.
    Copper,
    /// Aluminum, at least 99.5%.
    Aluminium,
}

/// Where the densities come from.
pub(crate) const DENSITY_SOURCE: Source = Source::from_memory(
    "densities used with ISO 9223 and ISO 9226: steel 7.86, zinc 7.14, copper 8.96, aluminum 2.70 g/cm3 \
     (ASTM G1 gives copper as 8.94)",
);

words! {
    StandardMetal, "metal", "Name one of the four standard metals.";
    Steel = "steel",
    Zinc = "zinc",
    Copper = "copper",
    Aluminium = "aluminium",
}

impl StandardMetal {
    /// Density (g/cm³); source: `DENSITY_SOURCE`.
    ///
    /// ```
    /// use overcoat::atmosphere::StandardMetal;
    /// assert_eq!(StandardMetal::Steel.density_g_cm3(), 7.86);
    /// ```
    pub const fn density_g_cm3(self) -> f64 {
        match self {
            Self::Steel => 7.86,
            Self::Zinc => 7.14,
            Self::Copper => 8.96,
            Self::Aluminium => 2.70,
        }
    }
}

/// Loss of mass (g/m²) of a loss of thickness (µm): m = ρ·d, since 1 µm over 1 m² is 1 cm³.
///
/// Exact for any `um`; source of ρ: `DENSITY_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::{StandardMetal, um_to_g_m2};
/// assert_eq!(um_to_g_m2(StandardMetal::Steel, 100.0), 786.0);
/// ```
pub fn um_to_g_m2(metal: StandardMetal, um: f64) -> f64 {
    um * metal.density_g_cm3()
}

/// Loss of thickness (µm) of a loss of mass [g/m²]: d = m/ρ, the inverse of [`um_to_g_m2`].
///
/// ```
/// use overcoat::atmosphere::{StandardMetal, g_m2_to_um};
/// assert!((g_m2_to_um(StandardMetal::Steel, 650.0) - 82.7).abs() < 0.01);
/// ```
pub fn g_m2_to_um(metal: StandardMetal, g_m2: f64) -> f64 {
    g_m2 / metal.density_g_cm3()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for &metal in StandardMetal::ALL {
            assert_eq!(serde_json::to_string(&metal).unwrap(), format!("\"{metal}\""));
            assert_eq!(metal.to_string().parse::<StandardMetal>().unwrap(), metal);
        }
    }

    #[test]
    fn the_cabinet_reference_loss_of_70_g_m2_is_8_9_um() {
        // ISO 9227 reference loss in 48 h of neutral salt spray; the conversion is arithmetic (independent)
        assert!((g_m2_to_um(StandardMetal::Steel, 70.0) - 8.9).abs() < 0.05);
    }
}
