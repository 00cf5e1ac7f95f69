//! How thick a coating a thread accepts.
//!
//! On 60° flanks a coating of thickness t, measured at right angles to the surface, shifts the profile by
//! t/sin 30° = 2·t in the radial direction and so changes the pitch diameter by 4·t. The coated thread must not
//! pass the basic profile (position h outside, H inside).

use serde::{Deserialize, Serialize};

use super::thread::Thread;
use super::tolerance::{Tolerance, fundamental_deviation};
use crate::error::{Result, within};
use crate::evidence::Source;

/// Where the factor 4 comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const GROWTH_SOURCE: Source = Source::standard(
    "ISO 4042:1999, guidance table of the fundamental deviation that a coating thickness needs",
);
/// Where the factors for the batch mean come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const BATCH_MEAN_SOURCE: Source =
    Source::standard("ISO 4042:1999, guidance table, batch mean thickness for lengths to 5 d, 10 d and 15 d");

/// Nominal thicknesses of ISO 4042 in µm.
const PREFERRED_STEPS_UM: [f64; 9] = [3.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0];

/// Thicker films than 10 mm are a unit mistake.
const THICKEST_UM: f64 = 10_000.0;

fn checked_thickness(thickness_um: f64) -> Result<f64> {
    within("thickness_um", thickness_um, 0.0, THICKEST_UM, "µm", "Enter the film thickness in micrometres.")
}

/// The growth of the pitch diameter in µm under a coating: 4·t for 60° flanks, t in µm from 0 to 10000.
///
/// # Errors
/// When the thickness is negative, not finite or beyond 10 mm.
///
/// ```
/// use overcoat::fastener::pitch_diameter_growth_um;
/// assert_eq!(pitch_diameter_growth_um(8.0)?, 32.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn pitch_diameter_growth_um(thickness_um: f64) -> Result<f64> {
    Ok(4.0 * checked_thickness(thickness_um)?)
}

/// The coating that a thread accepts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CoatingRoom {
    /// Fundamental deviation in µm: negative outside, positive inside, 0 for no room.
    pub deviation_um: f64,
    /// Highest thickness at any point of the thread in µm: a quarter of the deviation.
    pub max_local_thickness_um: f64,
    /// The highest nominal thickness of ISO 4042 (3, 5, 8, 10, 12, 15, 20, 25, 30 µm) that fits; `None` if none.
    pub preferred_step_um: Option<f64>,
    /// Highest mean thickness of a batch in µm, by the length of the part; `None` without a length, and beyond
    /// 15 diameters, where the standard gives no factor.
    pub max_batch_mean_thickness_um: Option<f64>,
    /// Where the deviation comes from; the factors are of `GROWTH_SOURCE` and `BATCH_MEAN_SOURCE`.
    pub source: Source,
}

impl CoatingRoom {
    /// The room in µm of pitch diameter that a film of `thickness_um` leaves; negative when it does not fit.
    ///
    /// # Errors
    /// When the thickness is negative, not finite or beyond 10 mm.
    ///
    /// ```
    /// use overcoat::fastener::coating_room;
    /// let room = coating_room(&"M8".parse()?, &"6g".parse()?, None)?;
    /// assert_eq!(room.left_um(2.0)?, 20.0);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn left_um(&self, thickness_um: f64) -> Result<f64> {
        Ok(self.deviation_um.abs() - pitch_diameter_growth_um(thickness_um)?)
    }
}

/// The coating that a thread of this tolerance accepts.
///
/// With the fundamental deviation es or EI in µm ([`fundamental_deviation`]): local thickness |es|/4; batch mean
/// |es|/4 for lengths to 5 d, |es|/5 to 10 d, |es|/6 to 15 d, because coatings build up at the ends of long
/// parts. `length_mm` is the length of the part, more than 0 and at most 10000 mm. Valid for coatings measured
/// as build-up over the uncoated thread; a conversion coating that grows into the steel needs less.
///
/// # Errors
/// When thread and tolerance belong to different systems or the length is out of range.
///
/// ```
/// use overcoat::fastener::coating_room;
/// let room = coating_room(&"M10".parse()?, &"6g".parse()?, Some(60.0))?;
/// assert_eq!(room.max_local_thickness_um, 8.0);
/// assert_eq!(room.preferred_step_um, Some(8.0));
/// assert_eq!(room.max_batch_mean_thickness_um, Some(32.0 / 5.0));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn coating_room(thread: &Thread, tolerance: &Tolerance, length_mm: Option<f64>) -> Result<CoatingRoom> {
    let deviation = fundamental_deviation(thread, tolerance)?;
    let size_um = deviation.deviation_um.abs();
    let max_local_thickness_um = size_um / 4.0;
    let max_batch_mean_thickness_um = match length_mm {
        None => None,
        Some(length) => {
            within(
                "length_mm",
                length,
                0.1,
                10_000.0,
                "mm",
                "Enter the length of the part, or leave it out.",
            )?;
            let diameters = length / thread.diameter_mm();
            [(5.0, 4.0), (10.0, 5.0), (15.0, 6.0)]
                .iter()
                .find(|(to, _)| diameters <= *to)
                .map(|(_, factor)| size_um / factor)
        }
    };
    Ok(CoatingRoom {
        deviation_um: deviation.deviation_um,
        max_local_thickness_um,
        preferred_step_um: PREFERRED_STEPS_UM.iter().copied().rfind(|step| *step <= max_local_thickness_um),
        max_batch_mean_thickness_um,
        source: deviation.source,
    })
}

/// The external tolerance with the least deviation in which a local thickness of `thickness_um` fits: 6g, then
/// 6f, then 6e (metric); 2A (inch). `None`: cut the thread undersize by agreement, or mask it.
///
/// # Errors
/// When the thickness is negative, not finite or beyond 10 mm.
///
/// ```
/// use overcoat::fastener::tolerance_that_fits;
/// let thread = "M8".parse()?;
/// assert_eq!(tolerance_that_fits(&thread, 2.0)?.map(|t| t.to_string()), Some("6g".into()));
/// assert_eq!(tolerance_that_fits(&thread, 25.0)?, None);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn tolerance_that_fits(thread: &Thread, thickness_um: f64) -> Result<Option<Tolerance>> {
    let growth_um = pitch_diameter_growth_um(thickness_um)?;
    let ladder: &[Tolerance] = match thread {
        Thread::Metric(_) => &Tolerance::COATABLE_METRIC,
        Thread::Inch(_) => &Tolerance::COATABLE_INCH,
    };
    for tolerance in ladder {
        if growth_um <= fundamental_deviation(thread, tolerance)?.deviation_um.abs() {
            return Ok(Some(*tolerance));
        }
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn room(thread: &str, tolerance: &str, length_mm: Option<f64>) -> CoatingRoom {
        coating_room(&thread.parse().unwrap(), &tolerance.parse().unwrap(), length_mm).unwrap()
    }

    #[test]
    fn the_steps_for_6g_are_the_usual_ones() {
        // independent: quarter of the printed deviation, next lower step of ISO 4042
        for (thread, step) in [("M6", 5.0), ("M10", 8.0), ("M16", 8.0), ("M20", 10.0), ("M24", 12.0)] {
            assert_eq!(room(thread, "6g", None).preferred_step_um, Some(step), "{thread}");
        }
        assert_eq!(room("M24", "6h", None).preferred_step_um, None);
        assert_eq!(room("M24", "6h", None).max_local_thickness_um, 0.0);
        assert_eq!(room("M24", "6G", None).preferred_step_um, Some(12.0));
    }

    #[test]
    fn long_parts_have_less_room_for_the_batch_mean() {
        // printed: ISO 4042:1999, 5 µm need 20, 25 and 30 µm of deviation for lengths to 5 d, 10 d and 15 d
        let mean = |length| room("M20", "6g", Some(length)).max_batch_mean_thickness_um;
        assert_eq!(mean(100.0), Some(42.0 / 4.0));
        assert_eq!(mean(100.1), Some(42.0 / 5.0));
        assert_eq!(mean(300.0), Some(42.0 / 6.0));
        assert_eq!(mean(301.0), None);
    }

    #[test]
    fn a_thick_film_asks_for_e_or_for_masking() {
        let fits = |thread: &str, t| {
            tolerance_that_fits(&thread.parse().unwrap(), t).unwrap().map(|t| t.to_string())
        };
        assert_eq!(fits("M10", 8.0), Some("6g".into()));
        assert_eq!(fits("M10", 11.0), Some("6f".into()));
        assert_eq!(fits("M10", 16.0), Some("6e".into()));
        assert_eq!(fits("M10", 17.0), None);
        assert_eq!(fits("1/4-20 UNC", 2.0), Some("2A".into()));
        assert_eq!(fits("1/4-20 UNC", 20.0), None);
    }

    #[test]
    fn a_film_leaves_what_four_times_it_does_not_take() {
        // by hand: 28 µm of deviation less four times the film
        for (film_um, left_um) in [(0.0, 28.0), (5.0, 8.0), (7.0, 0.0), (10.0, -12.0)] {
            assert_eq!(room("M8", "6g", None).left_um(film_um).unwrap(), left_um);
        }
    }

    #[test]
    fn bad_numbers_are_typed_errors() {
        let thread = "M8".parse().unwrap();
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(pitch_diameter_growth_um(bad).unwrap_err().field(), "thickness_um");
            assert!(tolerance_that_fits(&thread, bad).is_err());
            assert!(coating_room(&thread, &"6g".parse().unwrap(), Some(bad)).is_err());
        }
    }

    proptest! {
        #[test]
        fn a_thicker_film_never_leaves_more_room(thin in 0.0..60.0_f64, more in 0.0..60.0_f64, at in 0_usize..4) {
            let thread = ["M3", "M8", "M20x1.5", "1/2-13 UNC"][at].parse().unwrap();
            let tolerance = if at == 3 { "2A" } else { "6g" }.parse().unwrap();
            let room = coating_room(&thread, &tolerance, None).unwrap();
            prop_assert!(room.left_um(thin + more).unwrap() <= room.left_um(thin).unwrap());
            let deviation = |t| {
                tolerance_that_fits(&thread, t)
                    .unwrap()
                    .map_or(f64::NEG_INFINITY, |t| fundamental_deviation(&thread, &t).unwrap().deviation_um)
            };
            prop_assert!(deviation(thin + more) <= deviation(thin));
        }
    }
}
