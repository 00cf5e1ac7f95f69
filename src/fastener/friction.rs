//! Coefficients of friction of finished fasteners and the nut factor that follows from them.

use serde::{Deserialize, Serialize};

use super::thread::Thread;
use crate::error::{Error, Result, invalid, within, words};
use crate::evidence::Source;

/// Where the friction classes come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FRICTION_CLASS_SOURCE: Source =
    Source::standard("VDI 2230-1, annex A, guide table of friction classes A to E, as three reprints agree");
/// Where the nut factor comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const NUT_FACTOR_SOURCE: Source =
    Source::derived("VDI 2230-1:2003, tightening torque, divided by preload and diameter");

/// A range of the coefficient of friction, the same for thread and bearing face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FrictionRange {
    /// Lowest coefficient of friction.
    pub lowest: f64,
    /// Highest coefficient of friction; `None` when the range is open.
    pub highest: Option<f64>,
}

impl FrictionRange {
    /// The range itself if it is in order and within 0 to 1.
    pub(super) fn checked(self, field: &str) -> Result<Self> {
        let check = || {
            checked_friction("lowest", self.lowest)?;
            let Some(highest) = self.highest else { return Ok(self) };
            checked_friction("highest", highest)?;
            if highest < self.lowest {
                let allowed = format!("at least the lowest, {}", self.lowest);
                return Err(invalid("highest", highest, &allowed, "Swap lowest and highest."));
            }
            Ok(self)
        };
        check().map_err(|e: Error| e.within(field))
    }
}

/// A coefficient of friction, 0 to 1.
pub(super) fn checked_friction(field: &str, value: f64) -> Result<f64> {
    within(field, value, 0.0, 1.0, "", "Enter a coefficient of friction; dry steel has about 0.2 to 0.35.")
}

/// A mean bearing diameter in mm, between the thread's own and five times it.
pub(super) fn checked_bearing(thread: &Thread, bearing_diameter_mm: f64) -> Result<f64> {
    let d = thread.diameter_mm();
    let remedy = "Enter the mean of the hole's and the bearing face's diameter.";
    within("bearing_diameter_mm", bearing_diameter_mm, d, 5.0 * d, "mm", remedy)
}

/// Friction classes of VDI 2230. Neighbours overlap on purpose.
///
/// Where blackened parts stand: with molten wax, wax dispersion or solid lubricant in A, with oil or grease in B.
/// Dry black oxide and lacquered threads are in no class; treat them as C or worse (an assumption).
/// Austenitic steel: E dry, D oiled, B or C with wax or paste.
///
/// ```
/// use overcoat::fastener::FrictionClass;
/// let range = "B".parse::<FrictionClass>()?.range();
/// assert_eq!((range.lowest, range.highest), (0.08, Some(0.16)));
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FrictionClass {
    /// 0.04 to 0.10.
    A,
    /// 0.08 to 0.16.
    B,
    /// 0.14 to 0.24.
    C,
    /// 0.20 to 0.35.
    D,
    /// 0.30 and more.
    E,
}

words! {
    FrictionClass, "friction_class", "Enter a class of VDI 2230.";
    A = "A",
    B = "B",
    C = "C",
    D = "D",
    E = "E",
}

impl FrictionClass {
    /// The coefficients of friction of the class; source: `FRICTION_CLASS_SOURCE`.
    pub const fn range(self) -> FrictionRange {
        let (lowest, highest) = match self {
            Self::A => (0.04, Some(0.10)),
            Self::B => (0.08, Some(0.16)),
            Self::C => (0.14, Some(0.24)),
            Self::D => (0.20, Some(0.35)),
            Self::E => (0.30, None),
        };
        FrictionRange { lowest, highest }
    }
}

/// The nut factor K of the short form T = K·d·F.
///
/// K = (0.16·P + 0.58·d2·µ + 0.5·DKm·µ)/d with pitch P, pitch diameter d2, mean bearing diameter DKm and
/// diameter d in mm and one coefficient of friction µ (0 to 1) for thread and bearing face. DKm from d to 5·d.
/// Source: `NUT_FACTOR_SOURCE`.
///
/// # Errors
/// When the friction or the bearing diameter is out of range.
///
/// ```
/// use overcoat::fastener::nut_factor;
/// let k = nut_factor(&"M10".parse()?, 0.12, 12.8)?;
/// assert!((k - 0.164).abs() < 5e-4);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn nut_factor(thread: &Thread, friction: f64, bearing_diameter_mm: f64) -> Result<f64> {
    checked_friction("friction", friction)?;
    checked_bearing(thread, bearing_diameter_mm)?;
    Ok(lever_mm(thread, friction, friction, bearing_diameter_mm) / thread.diameter_mm())
}

/// Torque per preload in mm: 0.16·P + 0.58·d2·µG + 0.5·DKm·µK.
pub(super) fn lever_mm(
    thread: &Thread,
    thread_friction: f64,
    bearing_friction: f64,
    bearing_diameter_mm: f64,
) -> f64 {
    0.16 * thread.pitch_mm()
        + 0.58 * thread.pitch_diameter_mm() * thread_friction
        + 0.5 * bearing_diameter_mm * bearing_friction
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_are_those_of_the_guide_table() {
        // printed: VDI 2230 guide table
        let ends: Vec<_> = FrictionClass::ALL.iter().map(|c| (c.range().lowest, c.range().highest)).collect();
        assert_eq!(
            ends,
            [(0.04, Some(0.1)), (0.08, Some(0.16)), (0.14, Some(0.24)), (0.2, Some(0.35)), (0.3, None)]
        );
    }

    #[test]
    fn a_class_reads_back_and_a_stranger_is_refused() {
        for class in FrictionClass::ALL {
            assert_eq!(class.to_string().parse::<FrictionClass>().unwrap(), *class);
            assert_eq!(serde_json::to_string(class).unwrap(), format!("\"{class}\""));
            assert!(class.range().checked("range").is_ok());
        }
        assert_eq!("F".parse::<FrictionClass>().unwrap_err().field(), "friction_class");
    }

    #[test]
    fn nut_factors_agree_with_handbook_ranges() {
        // printed: nut factor charts give 0.10 to 0.26 for oiled steel, 0.20 for clean dry steel
        let m12 = "M12".parse().unwrap();
        assert!((0.10..0.26).contains(&nut_factor(&m12, 0.12, 15.05).unwrap()));
        assert!((nut_factor(&m12, 0.153, 15.05).unwrap() - 0.20).abs() < 0.005);
    }

    #[test]
    fn bad_numbers_are_typed_errors() {
        let m10 = "M10".parse().unwrap();
        for bad in [f64::NAN, -0.1, 1.1, f64::INFINITY] {
            assert_eq!(nut_factor(&m10, bad, 12.8).unwrap_err().field(), "friction");
            assert!(FrictionRange { lowest: bad, highest: None }.checked("from").is_err());
            assert!(FrictionRange { lowest: 0.1, highest: Some(bad) }.checked("from").is_err());
        }
        for bad in [f64::NAN, 9.0, 51.0] {
            assert_eq!(nut_factor(&m10, 0.1, bad).unwrap_err().field(), "bearing_diameter_mm");
        }
        let swapped = FrictionRange { lowest: 0.2, highest: Some(0.1) }.checked("from").unwrap_err();
        assert_eq!(swapped.field(), "from.highest");
    }
}
