//! Indoor air: the low corrosivity of ISO 11844-1, far below what ISO 9223 tells apart.

use serde::{Deserialize, Serialize};

use super::loss_range::LossRange;
use super::metal::StandardMetal;
use crate::error::{Result, within, words};
use crate::evidence::Source;

/// A metal whose bare specimens measure indoor air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum IndoorMetal {
    /// Unalloyed carbon steel.
    Steel,
    /// Zinc.
    Zinc,
    /// Copper.
    Copper,
    /// Silver.
    Silver,
}

words! {
    IndoorMetal, "metal", "Name a metal with indoor classes.";
    Steel = "steel",
    Zinc = "zinc",
    Copper = "copper",
    Silver = "silver",
}

impl IndoorMetal {
    /// Density [g/cm³]: that of [`StandardMetal`], and 10.49 for silver
    /// ([`SILVER_DENSITY_SOURCE`]).
    ///
    /// ```
    /// use overcoat::atmosphere::IndoorMetal;
    /// assert_eq!(IndoorMetal::Steel.density_g_cm3(), 7.86);
    /// ```
    pub const fn density_g_cm3(self) -> f64 {
        match self {
            Self::Steel => StandardMetal::Steel.density_g_cm3(),
            Self::Zinc => StandardMetal::Zinc.density_g_cm3(),
            Self::Copper => StandardMetal::Copper.density_g_cm3(),
            Self::Silver => 10.49,
        }
    }

    /// Upper limits, inclusive, of IC1 to IC5 in mg/(m²·a); source: [`INDOOR_SOURCE`].
    ///
    /// | metal | IC1 | IC2 | IC3 | IC4 | IC5 |
    /// | --- | --- | --- | --- | --- | --- |
    /// | steel | 70 | 1000 | 10 000 | 70 000 | 200 000 |
    /// | zinc | 50 | 250 | 700 | 2500 | 5000 |
    /// | copper | 50 | 200 | 900 | 2000 | 5000 |
    /// | silver | 170 | 670 | 3000 | 6700 | 16 700 |
    ///
    /// ```
    /// use overcoat::atmosphere::IndoorMetal;
    /// assert_eq!(IndoorMetal::Steel.upper_limits_mg_m2()[2], 10_000.0);
    /// ```
    pub const fn upper_limits_mg_m2(self) -> [f64; 5] {
        match self {
            Self::Steel => [70.0, 1000.0, 10_000.0, 70_000.0, 200_000.0],
            Self::Zinc => [50.0, 250.0, 700.0, 2500.0, 5000.0],
            Self::Copper => [50.0, 200.0, 900.0, 2000.0, 5000.0],
            Self::Silver => [170.0, 670.0, 3000.0, 6700.0, 16_700.0],
        }
    }
}

/// Where the density of silver comes from.
pub const SILVER_DENSITY_SOURCE: Source = Source::common_practice("density of silver, 10.49 g/cm3");

/// Where the limits come from.
pub const INDOOR_SOURCE: Source = Source::from_memory(
    "ISO 11844-1, classification by mass loss; for steel, zinc and copper IC3 and IC5 end where C1 and C2 \
     of ISO 9223:2012 do",
);

/// Indoor corrosivity class, mildest first.
///
/// ```
/// use overcoat::atmosphere::IndoorClass;
/// assert_eq!("IC2".parse::<IndoorClass>().unwrap(), IndoorClass::Ic2);
/// assert_eq!(IndoorClass::Ic2.to_string(), "IC2");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "UPPERCASE")]
pub enum IndoorClass {
    /// Very low.
    Ic1,
    /// Low.
    Ic2,
    /// Medium.
    Ic3,
    /// High.
    Ic4,
    /// Very high.
    Ic5,
}

words! {
    IndoorClass, "indoor_class", "Name a class of ISO 11844-1.";
    Ic1 = "IC1",
    Ic2 = "IC2",
    Ic3 = "IC3",
    Ic4 = "IC4",
    Ic5 = "IC5",
}

/// Indoor class by loss of mass in a year in mg/(m²·a); `None` above IC5, where the categories of ISO 9223
/// take over.
///
/// Source: [`INDOOR_SOURCE`].
///
/// # Errors
/// A loss that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{IndoorClass, IndoorMetal, indoor_class_from_mg_m2};
/// let class = indoor_class_from_mg_m2(IndoorMetal::Steel, 500.0).unwrap();
/// assert_eq!(class, Some(IndoorClass::Ic2));
/// ```
pub fn indoor_class_from_mg_m2(metal: IndoorMetal, loss_mg_m2: f64) -> Result<Option<IndoorClass>> {
    within(
        "loss_mg_m2",
        loss_mg_m2,
        0.0,
        f64::INFINITY,
        "mg/(m2 a)",
        "Give the loss of mass in one year, in milligrams.",
    )?;
    Ok(IndoorClass::ALL
        .iter()
        .zip(metal.upper_limits_mg_m2())
        .find(|(_, upper)| loss_mg_m2 <= *upper)
        .map(|(class, _)| *class))
}

/// The losses (µm in a year) of indoor air of a class, from its lower to its upper limit; IC1 starts at a
/// tenth of its upper limit.
///
/// Sources: [`INDOOR_SOURCE`], densities of [`IndoorMetal`], [`LOSS_RANGE_SOURCE`](super::LOSS_RANGE_SOURCE).
///
/// ```
/// use overcoat::atmosphere::{IndoorClass, IndoorMetal, indoor_loss_range};
/// let range = indoor_loss_range(IndoorMetal::Steel, IndoorClass::Ic3);
/// assert!((range.median_um() - 0.402).abs() < 0.001);
/// assert!((range.log_sd() - 0.898).abs() < 0.001);
/// ```
pub fn indoor_loss_range(metal: IndoorMetal, class: IndoorClass) -> LossRange {
    let [ic1, ic2, ic3, ic4, ic5] = metal.upper_limits_mg_m2();
    let (low, high) = match class {
        IndoorClass::Ic1 => (ic1 / 10.0, ic1),
        IndoorClass::Ic2 => (ic1, ic2),
        IndoorClass::Ic3 => (ic2, ic3),
        IndoorClass::Ic4 => (ic3, ic4),
        IndoorClass::Ic5 => (ic4, ic5),
    };
    let um = |mg_m2: f64| mg_m2 / 1000.0 / metal.density_g_cm3();
    LossRange { low_um: um(low), high_um: um(high) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::atmosphere::{Category, category_from_g_m2};

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for &class in IndoorClass::ALL {
            assert_eq!(serde_json::to_string(&class).unwrap(), format!("\"{class}\""));
            assert_eq!(class.to_string().parse::<IndoorClass>().unwrap(), class);
        }
        for &metal in IndoorMetal::ALL {
            assert_eq!(serde_json::to_string(&metal).unwrap(), format!("\"{metal}\""));
            assert_eq!(metal.to_string().parse::<IndoorMetal>().unwrap(), metal);
        }
    }

    #[test]
    fn ic3_and_ic5_end_where_c1_and_c2_do() {
        for (indoor, outdoor) in [
            (IndoorMetal::Steel, StandardMetal::Steel),
            (IndoorMetal::Zinc, StandardMetal::Zinc),
            (IndoorMetal::Copper, StandardMetal::Copper),
        ] {
            let [_, _, ic3, _, ic5] = indoor.upper_limits_mg_m2();
            for (limit, category) in [(ic3, Category::C1), (ic5, Category::C2)] {
                assert_eq!(category_from_g_m2(outdoor, limit / 1000.0).unwrap(), category);
                assert!(category_from_g_m2(outdoor, limit / 1000.0 * 1.001).unwrap() > category);
            }
        }
    }

    /// From one upper limit to the next, g/m² over the density; IC1 from a tenth of its own.
    #[test]
    fn ranges_are_limits_over_the_density() {
        for (metal, density) in [
            (IndoorMetal::Steel, 7.86),
            (IndoorMetal::Zinc, 7.14),
            (IndoorMetal::Copper, 8.96),
            (IndoorMetal::Silver, 10.49),
        ] {
            assert_eq!(metal.density_g_cm3(), density);
            let limits = metal.upper_limits_mg_m2();
            let lower = [limits[0] / 10.0, limits[0], limits[1], limits[2], limits[3]];
            for ((class, low), high) in IndoorClass::ALL.iter().zip(lower).zip(limits) {
                let range = indoor_loss_range(metal, *class);
                assert!((range.low_um / (low * 0.001 / density) - 1.0).abs() < 1e-12, "{metal} {class}");
                assert!((range.high_um / (high * 0.001 / density) - 1.0).abs() < 1e-12, "{metal} {class}");
            }
        }
    }

    #[test]
    fn ranges_are_valid_and_beyond_ic5_there_is_no_class() {
        for &metal in IndoorMetal::ALL {
            for &class in IndoorClass::ALL {
                assert!(indoor_loss_range(metal, class).checked().is_ok());
            }
            assert_eq!(indoor_class_from_mg_m2(metal, 200_001.0).unwrap(), None);
        }
        assert!(indoor_class_from_mg_m2(IndoorMetal::Steel, -1.0).is_err());
    }
}
