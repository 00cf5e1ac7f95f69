//! Property classes of steel bolts and screws: what ISO 898-1 asks of them.

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, words};
use crate::evidence::Source;

/// Strengths and hardness of 8.8, 10.9 and 12.9.
pub(crate) const MECHANICAL_SOURCE: Source =
    Source::standard("EN ISO 898-1, table of mechanical properties (read in a reprint without its edition)");
/// Lowest tempering temperatures of 8.8, 10.9 and 12.9.
pub(crate) const TEMPERING_SOURCE: Source = Source::standard(
    "ISO 898-1:2009, table of steels, by a reprint: 8.8, 10.9 and 12.9 of alloy steel 425 °C, 12.9 of carbon-boron \
     steel (underlined mark) 380 °C; older editions 340 °C for 10.9 of low-carbon boron steel and 380 °C for all 12.9",
);
/// Everything about 4.6 and 5.8, and the range of diameters.
pub(crate) const LOW_CLASS_SOURCE: Source =
    Source::from_memory("ISO 898-1:2013, mechanical properties of 4.6 and 5.8; thread diameters M1.6 to M39");

/// Classes and hardness of nuts.
pub(crate) const NUT_SOURCE: Source = Source::from_memory(
    "ISO 898-2: nut classes 5, 8, 10 and 12 by their number, proof stress near 100 MPa times it, hardness to 302 HV \
     (8 above M16, 10 and 12: 353 HV)",
);
/// Classes and hardness of set screws.
pub(crate) const SET_SCREW_SOURCE: Source = Source::from_memory(
    "ISO 898-5: set screw classes 14H, 22H, 33H and 45H by a tenth of their lowest hardness; not for tensile load",
);

/// Class of a nut or a set screw, which a bolt class does not name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HardnessClass {
    /// The class as marked, for example `8` on a nut and `45H` on a set screw.
    pub class: std::borrow::Cow<'static, str>,
    /// Lowest Vickers hardness.
    pub hardness_min_hv: f64,
    /// Highest Vickers hardness.
    pub hardness_max_hv: f64,
    /// Where it comes from.
    pub source: Source,
}

/// Diameter up to which 8.8 has its lower row of values, mm (inclusive).
const STEP_DIAMETER_MM: f64 = 16.0;
/// Diameters the standard covers, mm.
const DIAMETER_RANGE_MM: (f64, f64) = (1.6, 39.0);

/// Property class of a steel bolt, screw or stud, written as on its head.
///
/// ```
/// use overcoat::metal::PropertyClass;
/// let class: PropertyClass = "10.9".parse()?;
/// assert_eq!(class.to_string(), "10.9");
/// assert_eq!(class.mechanical(None)?.hardness_max_hv, 380.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum PropertyClass {
    /// Low-carbon steel, not heat-treated.
    #[serde(rename = "4.6")]
    Class4_6,
    /// Low-carbon steel, work-hardened.
    #[serde(rename = "5.8")]
    Class5_8,
    /// Quenched and tempered.
    #[serde(rename = "8.8")]
    Class8_8,
    /// Quenched and tempered.
    #[serde(rename = "10.9")]
    Class10_9,
    /// Quenched and tempered; hard enough to need care against hydrogen.
    #[serde(rename = "12.9")]
    Class12_9,
}

/// What a property class asks of the fastener.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct Mechanical {
    /// Lowest tensile strength Rm, MPa.
    pub tensile_strength_min_mpa: f64,
    /// Lowest yield strength, MPa: Rp0.2 of 8.8 and above, ReL of 4.6, Rpf (0.0048 d) of 5.8.
    pub yield_strength_min_mpa: f64,
    /// Proof stress Sp, which must leave no lasting stretch, MPa.
    pub proof_stress_mpa: f64,
    /// Lowest Vickers hardness.
    pub hardness_min_hv: f64,
    /// Highest Vickers hardness.
    pub hardness_max_hv: f64,
    /// Lowest Rockwell C hardness; soft classes have none.
    pub hardness_min_hrc: Option<f64>,
    /// Highest Rockwell C hardness; soft classes have none.
    pub hardness_max_hrc: Option<f64>,
    /// Lowest tempering temperature that any steel or edition admits, °C, since the head does not show which was
    /// used; `None` where the class is not tempered. Heat above it in finishing can soften the fastener.
    pub tempering_min_c: Option<f64>,
    /// Whether the diameter is outside M1.6 to M39, where the values are extended, not specified.
    pub outside_diameter_range: bool,
    /// Source of strengths and hardness.
    pub source: Source,
    /// Source of the tempering temperature.
    pub tempering_source: Option<Source>,
}

words! {
    PropertyClass, "property_class", "Write the class as on the bolt head, with a point.";
    Class4_6 = "4.6",
    Class5_8 = "5.8",
    Class8_8 = "8.8",
    Class10_9 = "10.9",
    Class12_9 = "12.9",
}

impl PropertyClass {
    /// The class of that word; quicker than parsing where most words are none.
    pub(crate) fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|class| class.word() == word)
    }

    /// What the class asks of a fastener with thread diameter d in mm.
    ///
    /// | class | Rm MPa | Rp0.2 MPa | Sp MPa | HV | HRC | tempering °C | source |
    /// |---|---|---|---|---|---|---|---|
    /// | 4.6 | 400 | 240 (ReL) | 225 | 120-220 | | | from memory |
    /// | 5.8 | 520 | 420 (Rpf) | 380 | 160-220 | | | from memory |
    /// | 8.8, d ≤ 16 | 800 | 640 | 580 | 250-320 | 22-32 | 425 | EN ISO 898-1 |
    /// | 8.8, d > 16 | 830 | 660 | 600 | 255-335 | 23-34 | 425 | EN ISO 898-1 |
    /// | 10.9 | 1040 | 940 | 830 | 320-380 | 32-39 | 340 (425) | EN ISO 898-1 |
    /// | 12.9 | 1220 | 1100 | 970 | 385-435 | 39-44 | 380 | EN ISO 898-1 |
    ///
    /// Without a diameter, 8.8 gets the lower strengths and the wider hardness range of its two rows, which is
    /// safe for both. The class is valid for M1.6 to M39 (from memory); other diameters are flagged.
    ///
    /// # Errors
    /// A diameter that is not a positive number.
    ///
    /// ```
    /// use overcoat::metal::PropertyClass;
    /// let proof_stress = |d| Ok::<_, overcoat::Error>(PropertyClass::Class8_8.mechanical(d)?.proof_stress_mpa);
    /// assert_eq!(proof_stress(Some(16.0))?, 580.0);
    /// assert_eq!(proof_stress(Some(18.0))?, 600.0);
    /// assert_eq!(proof_stress(None)?, 580.0);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn mechanical(self, diameter_mm: Option<f64>) -> Result<Mechanical> {
        if let Some(d) = diameter_mm
            && !(d.is_finite() && d > 0.0)
        {
            return Err(invalid(
                "diameter_mm",
                d,
                "more than 0 mm",
                "Enter the nominal thread diameter, or leave it out.",
            ));
        }
        let (low, high) = DIAMETER_RANGE_MM;
        // Rm, yield, Sp, HV, HRC, tempering
        let (strengths, hv, hrc, tempering_min_c) = match (self, diameter_mm) {
            (Self::Class4_6, _) => ((400.0, 240.0, 225.0), (120.0, 220.0), None, None),
            (Self::Class5_8, _) => ((520.0, 420.0, 380.0), (160.0, 220.0), None, None),
            (Self::Class8_8, None) => {
                ((800.0, 640.0, 580.0), (250.0, 335.0), Some((22.0, 34.0)), Some(425.0))
            }
            (Self::Class8_8, Some(d)) if d <= STEP_DIAMETER_MM => {
                ((800.0, 640.0, 580.0), (250.0, 320.0), Some((22.0, 32.0)), Some(425.0))
            }
            (Self::Class8_8, Some(_)) => {
                ((830.0, 660.0, 600.0), (255.0, 335.0), Some((23.0, 34.0)), Some(425.0))
            }
            (Self::Class10_9, _) => ((1040.0, 940.0, 830.0), (320.0, 380.0), Some((32.0, 39.0)), Some(340.0)),
            (Self::Class12_9, _) => {
                ((1220.0, 1100.0, 970.0), (385.0, 435.0), Some((39.0, 44.0)), Some(380.0))
            }
        };
        Ok(Mechanical {
            tensile_strength_min_mpa: strengths.0,
            yield_strength_min_mpa: strengths.1,
            proof_stress_mpa: strengths.2,
            hardness_min_hv: hv.0,
            hardness_max_hv: hv.1,
            hardness_min_hrc: hrc.map(|h| h.0),
            hardness_max_hrc: hrc.map(|h| h.1),
            tempering_min_c,
            outside_diameter_range: diameter_mm.is_some_and(|d| !(low..=high).contains(&d)),
            source: if self < Self::Class8_8 { LOW_CLASS_SOURCE } else { MECHANICAL_SOURCE },
            tempering_source: tempering_min_c.map(|_| TEMPERING_SOURCE),
        })
    }
}

impl PropertyClass {
    /// The nut class that goes with a bolt of this class, with its Vickers hardness, for a thread of `diameter_mm`;
    /// without a diameter the range covers all sizes.
    ///
    /// ```
    /// use overcoat::metal::PropertyClass;
    /// let nut = PropertyClass::Class8_8.nut_class(Some(8.0));
    /// assert_eq!((nut.class.as_ref(), nut.hardness_max_hv), ("8", 302.0));
    /// ```
    pub fn nut_class(self, diameter_mm: Option<f64>) -> HardnessClass {
        let above = diameter_mm.is_none_or(|d| d > STEP_DIAMETER_MM);
        let below = diameter_mm.is_none_or(|d| d <= STEP_DIAMETER_MM);
        let (class, low, high) = match self {
            Self::Class4_6 | Self::Class5_8 => ("5", 130.0, 302.0),
            Self::Class8_8 => ("8", if below { 200.0 } else { 233.0 }, if above { 353.0 } else { 302.0 }),
            Self::Class10_9 => ("10", 272.0, 353.0),
            Self::Class12_9 => ("12", 272.0, 353.0),
        };
        HardnessClass { class: class.into(), hardness_min_hv: low, hardness_max_hv: high, source: NUT_SOURCE }
    }

    /// The set screw class of a steel that makes bolts of this class, with its Vickers hardness.
    ///
    /// ```
    /// use overcoat::metal::PropertyClass;
    /// let screw = PropertyClass::Class12_9.set_screw_class();
    /// assert_eq!((screw.class.as_ref(), screw.hardness_min_hv), ("45H", 450.0));
    /// ```
    pub fn set_screw_class(self) -> HardnessClass {
        let (class, low, high) = match self {
            Self::Class4_6 | Self::Class5_8 => ("14H", 140.0, 290.0),
            Self::Class8_8 => ("22H", 220.0, 300.0),
            Self::Class10_9 => ("33H", 330.0, 440.0),
            Self::Class12_9 => ("45H", 450.0, 560.0),
        };
        HardnessClass {
            class: class.into(),
            hardness_min_hv: low,
            hardness_max_hv: high,
            source: SET_SCREW_SOURCE,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Printed: EN ISO 898-1, hardness of the three classes.
    #[test]
    fn hardness_of_the_quenched_classes_is_as_printed() {
        let hardness = |class: PropertyClass, d| {
            let m = class.mechanical(Some(d)).unwrap();
            (m.hardness_min_hv, m.hardness_max_hv, m.hardness_min_hrc, m.hardness_max_hrc)
        };
        assert_eq!(hardness(PropertyClass::Class8_8, 16.0), (250.0, 320.0, Some(22.0), Some(32.0)));
        assert_eq!(hardness(PropertyClass::Class8_8, 18.0), (255.0, 335.0, Some(23.0), Some(34.0)));
        assert_eq!(hardness(PropertyClass::Class10_9, 10.0), (320.0, 380.0, Some(32.0), Some(39.0)));
        assert_eq!(hardness(PropertyClass::Class12_9, 10.0), (385.0, 435.0, Some(39.0), Some(44.0)));
    }

    // The name carries the nominal strength (first number x 100 MPa) and the yield ratio (second / 10).
    #[test]
    fn the_name_promises_no_more_than_the_table_asks() {
        for &class in PropertyClass::ALL {
            let (strength, ratio) = class.word().split_once('.').unwrap();
            let nominal = 100.0 * strength.parse::<f64>().unwrap();
            let m = class.mechanical(None).unwrap();
            assert!(m.tensile_strength_min_mpa >= nominal);
            assert!(m.yield_strength_min_mpa >= nominal * ratio.parse::<f64>().unwrap() / 10.0);
            assert!(m.proof_stress_mpa < m.yield_strength_min_mpa);
        }
    }

    #[test]
    fn without_a_diameter_both_rows_are_covered() {
        let any = PropertyClass::Class8_8.mechanical(None).unwrap();
        for d in [16.0, 16.1] {
            let row = PropertyClass::Class8_8.mechanical(Some(d)).unwrap();
            assert!(any.proof_stress_mpa <= row.proof_stress_mpa);
            assert!(any.hardness_min_hv <= row.hardness_min_hv && any.hardness_max_hv >= row.hardness_max_hv);
        }
    }

    #[test]
    fn diameters_are_positive_and_flagged_outside_the_standard() {
        for d in [0.0, -8.0, f64::NAN, f64::INFINITY] {
            assert_eq!(PropertyClass::Class8_8.mechanical(Some(d)).unwrap_err().field(), "diameter_mm");
        }
        assert!(PropertyClass::Class8_8.mechanical(Some(48.0)).unwrap().outside_diameter_range);
        assert!(!PropertyClass::Class8_8.mechanical(Some(39.0)).unwrap().outside_diameter_range);
    }

    #[test]
    fn words_are_the_same_everywhere() {
        for class in PropertyClass::ALL {
            assert_eq!(class.to_string().parse::<PropertyClass>().unwrap(), *class);
            assert_eq!(serde_json::to_string(class).unwrap(), format!("\"{class}\""));
        }
        let error = "9.8".parse::<PropertyClass>().unwrap_err();
        assert!(error.to_string().contains("8.8"), "{error}");
    }

    #[test]
    fn only_what_was_read_counts_as_standard() {
        use crate::evidence::Firmness;
        let firmness = |class: PropertyClass| class.mechanical(None).unwrap().source.firmness;
        assert_eq!(firmness(PropertyClass::Class5_8), Firmness::FromMemory);
        assert_eq!(firmness(PropertyClass::Class8_8), Firmness::Standard);
    }
}
