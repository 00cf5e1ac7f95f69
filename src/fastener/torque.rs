//! Torque and preload of a threaded joint in the form of VDI 2230.
//!
//! Editions differ: tables since VDI 2230-1:2001/2003 allow the shank to yield fully in torsion
//! ([`TorsionModel::FullyPlastic`]); tables of the 1986 edition are about 8% lower, which
//! [`TorsionModel::Elastic`] reproduces. State which one a torque was taken from.

use std::f64::consts::PI;

use serde::{Deserialize, Serialize};

use super::friction::{FrictionRange, checked_bearing, checked_friction, lever_mm};
use super::thread::{Thread, same};
use crate::error::{Result, invalid, within, words};
use crate::evidence::Source;

/// Where the torque formula comes from.
pub(crate) const TORQUE_SOURCE: Source = Source::derived(
    "VDI 2230-1:2003, tightening torque in numerical form; reproduces its printed fine-thread torques within 1.1%",
);
/// Where the preload formula comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const PRELOAD_SOURCE: Source = Source::derived(
    "VDI 2230-1:2003, assembly preload; reproduces its printed fine-thread preloads within 0.4%",
);
/// Where the inverse for the total coefficient of friction comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const TOTAL_FRICTION_SOURCE: Source = Source::derived(
    "ISO 16047, total coefficient of friction: the torque formula solved for one common friction",
);

const BEARING_TABLE: Source = Source::derived(
    "mean of the least bearing face of ISO 4014/4017 and the medium hole of ISO 273, as VDI 2230-1 takes it",
);
const BEARING_RULE: Source =
    Source::assumption("1.26 times the diameter: the mean of hexagon screws M4 to M24, which spread by 3%");

/// (diameter, least bearing face diameter dw, medium hole diameter dh) in mm; source: `BEARING_TABLE`.
const BEARING: &[(f64, f64, f64)] = &[
    (4.0, 5.9, 4.5),
    (5.0, 6.9, 5.5),
    (6.0, 8.9, 6.6),
    (8.0, 11.6, 9.0),
    (10.0, 14.6, 11.0),
    (12.0, 16.6, 13.5),
    (14.0, 19.6, 15.5),
    (16.0, 22.5, 17.5),
    (18.0, 25.3, 20.0),
    (20.0, 28.2, 22.0),
    (22.0, 31.7, 24.0),
    (24.0, 33.6, 26.0),
];

/// The mean diameter on which the friction of head or nut acts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BearingDiameter {
    /// DKm in mm.
    pub bearing_diameter_mm: f64,
    /// Table or rule.
    pub source: Source,
}

/// Mean bearing diameter DKm = (dw + dh)/2 of a hexagon head in a medium hole, in mm.
///
/// Metric M4 to M24 from the standard bearing face dw and hole dh; all other threads 1.26·d, flagged as an
/// assumption. Socket heads are close to hexagon heads; flanges need their own figure.
///
/// ```
/// use overcoat::fastener::mean_bearing_diameter;
/// assert_eq!(mean_bearing_diameter(&"M10".parse()?).bearing_diameter_mm, 12.8);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn mean_bearing_diameter(thread: &Thread) -> BearingDiameter {
    let row = match thread {
        Thread::Metric(t) => BEARING.iter().find(|row| same(row.0, t.diameter_mm())),
        Thread::Inch(_) => None,
    };
    match row {
        Some((_, dw, dh)) => BearingDiameter { bearing_diameter_mm: 0.5 * (dw + dh), source: BEARING_TABLE },
        None => BearingDiameter { bearing_diameter_mm: 1.26 * thread.diameter_mm(), source: BEARING_RULE },
    }
}

/// How the torsion that tightening leaves in the shank counts against its strength.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum TorsionModel {
    /// The shear stress is even over the section (VDI 2230-1:2001 and later): factor 3/2.
    FullyPlastic,
    /// The shear stress rises linearly to the rim (level of the 1986 edition): factor 2.
    Elastic,
}

words! {
    TorsionModel, "torsion_model", "Name one of the known models.";
    FullyPlastic = "fully_plastic",
    Elastic = "elastic",
}

impl TorsionModel {
    /// Torsion stress over tension stress is this times (d2/d0)·(P/(π·d2) + 1.155·µ).
    const fn factor(self) -> f64 {
        match self {
            Self::FullyPlastic => 1.5,
            Self::Elastic => 2.0,
        }
    }
}

fn checked_preload(preload_kn: f64) -> Result<f64> {
    within("preload_kn", preload_kn, 0.0, 1e6, "kN", "Enter the preload in kilonewtons.")
}

fn checked_torque(torque_nm: f64) -> Result<f64> {
    within("torque_nm", torque_nm, 0.0, 1e7, "N·m", "Enter the torque in newton metres.")
}

fn checked_strength(rp02_mpa: f64) -> Result<f64> {
    within(
        "rp02_mpa",
        rp02_mpa,
        50.0,
        2500.0,
        "MPa",
        "Enter the 0.2% proof strength, as 640 MPa for class 8.8.",
    )
}

/// Tightening torque in N·m.
///
/// MA = FM·(0.16·P + 0.58·d2·µG + 0.5·DKm·µK) with preload FM in kN, pitch P, pitch diameter d2 and mean bearing
/// diameter DKm in mm, friction µG in the thread and µK under the head. Preload 0 to 10⁶ kN, friction 0 to 1,
/// DKm from d to 5·d. Source: `TORQUE_SOURCE`.
///
/// # Errors
/// When a number is out of its range.
///
/// ```
/// use overcoat::fastener::tightening_torque_nm;
/// // M10x1.25 of class 8.8 at a friction of 0.12: 31.6 kN ask for 51 N·m
/// let torque = tightening_torque_nm(31.6, &"M10x1.25".parse()?, 0.12, 0.12, 12.8)?;
/// assert!((torque - 51.0).abs() < 0.6);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn tightening_torque_nm(
    preload_kn: f64,
    thread: &Thread,
    thread_friction: f64,
    bearing_friction: f64,
    bearing_diameter_mm: f64,
) -> Result<f64> {
    checked_preload(preload_kn)?;
    Ok(preload_kn * checked_lever_mm(thread, thread_friction, bearing_friction, bearing_diameter_mm)?)
}

/// Preload in kN that a torque in N·m (0 to 10⁷) leaves: the inverse of [`tightening_torque_nm`], same ranges.
///
/// # Errors
/// When a number is out of its range.
///
/// ```
/// use overcoat::fastener::preload_from_torque_kn;
/// let preload = preload_from_torque_kn(51.0, &"M10x1.25".parse()?, 0.12, 0.12, 12.8)?;
/// assert!((preload - 31.6).abs() < 0.4);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn preload_from_torque_kn(
    torque_nm: f64,
    thread: &Thread,
    thread_friction: f64,
    bearing_friction: f64,
    bearing_diameter_mm: f64,
) -> Result<f64> {
    checked_torque(torque_nm)?;
    Ok(torque_nm / checked_lever_mm(thread, thread_friction, bearing_friction, bearing_diameter_mm)?)
}

fn checked_lever_mm(
    thread: &Thread,
    thread_friction: f64,
    bearing_friction: f64,
    bearing_diameter_mm: f64,
) -> Result<f64> {
    checked_friction("thread_friction", thread_friction)?;
    checked_friction("bearing_friction", bearing_friction)?;
    checked_bearing(thread, bearing_diameter_mm)?;
    Ok(lever_mm(thread, thread_friction, bearing_friction, bearing_diameter_mm))
}

/// Equivalent (von Mises) stress over tension stress while the screw is tightened:
/// √(1 + 3·[k·(d2/d0)·(P/(π·d2) + 1.155·µG)]²).
fn stress_ratio(thread: &Thread, thread_friction: f64, model: TorsionModel) -> f64 {
    let d2 = thread.pitch_diameter_mm();
    let slope = thread.pitch_mm() / (PI * d2) + 1.155 * thread_friction;
    let torsion = model.factor() * d2 / thread.stress_diameter_mm() * slope;
    (1.0 + 3.0 * torsion * torsion).sqrt()
}

/// Assembly preload in kN that uses a share of the proof strength.
///
/// FM = ν·Rp0.2·As/√(1 + 3·[k·(d2/d0)·(P/(π·d2) + 1.155·µG)]²) with Rp0.2 in MPa (50 to 2500), stress area `As` in
/// mm², d0 = (d2 + d3)/2, utilization ν (more than 0, at most 1; tables use 0.9), k = 3/2 or 2 by the torsion
/// model. Shank no thinner than the thread. Source: `PRELOAD_SOURCE`.
///
/// # Errors
/// When a number is out of its range.
///
/// ```
/// use overcoat::fastener::{assembly_preload_kn, TorsionModel};
/// let preload = assembly_preload_kn(&"M10x1.25".parse()?, 640.0, 0.12, 0.9, TorsionModel::FullyPlastic)?;
/// assert!((preload - 31.6).abs() < 0.15);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn assembly_preload_kn(
    thread: &Thread,
    rp02_mpa: f64,
    thread_friction: f64,
    utilization: f64,
    model: TorsionModel,
) -> Result<f64> {
    checked_strength(rp02_mpa)?;
    checked_friction("thread_friction", thread_friction)?;
    within("utilization", utilization, 1e-3, 1.0, "", "Enter the share of the proof strength, usually 0.9.")?;
    let tension_mpa = utilization * rp02_mpa / stress_ratio(thread, thread_friction, model);
    Ok(tension_mpa * thread.stress_area_mm2() / 1000.0)
}

/// Share of a strength that tightening to `preload_kn` uses, torsion included (von Mises); above 1 the screw
/// yields. The inverse of [`assembly_preload_kn`] in the preload, same ranges; give the proof stress Sp as
/// `rp02_mpa` to compare with the proof load instead.
///
/// # Errors
/// When a number is out of its range.
///
/// ```
/// use overcoat::fastener::{strength_utilization, TorsionModel};
/// let share = strength_utilization(31.6, &"M10x1.25".parse()?, 640.0, 0.12, TorsionModel::FullyPlastic)?;
/// assert!((share - 0.9).abs() < 0.005);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn strength_utilization(
    preload_kn: f64,
    thread: &Thread,
    rp02_mpa: f64,
    thread_friction: f64,
    model: TorsionModel,
) -> Result<f64> {
    checked_preload(preload_kn)?;
    checked_strength(rp02_mpa)?;
    checked_friction("thread_friction", thread_friction)?;
    let tension_mpa = 1000.0 * preload_kn / thread.stress_area_mm2();
    Ok(tension_mpa * stress_ratio(thread, thread_friction, model) / rp02_mpa)
}

/// Total coefficient of friction from a tightening test.
///
/// µtot = (T/F - P/(2·π))/(0.577·d2 + 0.5·Db) with torque T in N·m, preload F in kN (more than 0), lengths in mm.
/// Source: `TOTAL_FRICTION_SOURCE`.
///
/// # Errors
/// When a number is out of its range, or when the torque is too small to raise the preload even without friction.
///
/// ```
/// use overcoat::fastener::total_friction_from_torque;
/// let friction = total_friction_from_torque(51.0, 31.6, &"M10x1.25".parse()?, 12.8)?;
/// assert!((friction - 0.12).abs() < 0.002);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn total_friction_from_torque(
    torque_nm: f64,
    preload_kn: f64,
    thread: &Thread,
    bearing_diameter_mm: f64,
) -> Result<f64> {
    checked_torque(torque_nm)?;
    within("preload_kn", preload_kn, 1e-6, 1e6, "kN", "Enter the preload in kilonewtons, more than 0.")?;
    checked_bearing(thread, bearing_diameter_mm)?;
    let pitch_part_mm = thread.pitch_mm() / (2.0 * PI);
    let friction_part_mm = torque_nm / preload_kn - pitch_part_mm;
    if friction_part_mm < 0.0 {
        let allowed = format!("at least {:.4} N·m for {preload_kn} kN", pitch_part_mm * preload_kn);
        return Err(invalid("torque_nm", torque_nm, &allowed, "Check the units of torque and preload."));
    }
    Ok(friction_part_mm / (0.577 * thread.pitch_diameter_mm() + 0.5 * bearing_diameter_mm))
}

/// What a change of finish does to the preload at the same torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PreloadChange {
    /// Least preload of the new finish over the highest of the present one; 0 when the new range is open.
    pub lowest_ratio: f64,
    /// Highest preload of the new finish over the least of the present one; `None` when the present range is
    /// open.
    pub highest_ratio: Option<f64>,
    /// Highest preload of the new finish over the highest of the present one: what may overload the screw.
    pub greatest_preload_ratio: f64,
    /// Least preload of the new finish over the least of the present one: what may let the joint slip; `None`
    /// when either range is open.
    pub least_preload_ratio: Option<f64>,
    /// Factor on the torque that gives the same highest preload as before (VDI 2230 sets the torque by the
    /// lowest friction).
    pub torque_factor: f64,
    /// Where it comes from.
    pub source: Source,
}

/// The change of preload when the friction goes from one range to another and the torque stays.
///
/// With C(µ) = 0.16·P + 0.58·d2·µ + 0.5·DKm·µ, the preload at a torque is T/C(µ): each ratio is C of the present
/// finish over C of the new one, at the ends that the field names. The same friction in thread and bearing
/// face, 0 to 1; DKm from d to 5·d.
///
/// # Errors
/// When a range is not in order or a number is out of its range.
///
/// ```
/// use overcoat::fastener::{preload_change, FrictionClass};
/// let (dry, waxed) = (FrictionClass::C.range(), FrictionClass::A.range());
/// let change = preload_change(&"M10".parse()?, 12.8, dry, waxed)?;
/// assert!(change.greatest_preload_ratio > 2.0); // wax at the old torque overloads the screw
/// assert!((change.torque_factor * change.greatest_preload_ratio - 1.0).abs() < 1e-12);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn preload_change(
    thread: &Thread,
    bearing_diameter_mm: f64,
    from: FrictionRange,
    to: FrictionRange,
) -> Result<PreloadChange> {
    let (from, to) = (from.checked("from")?, to.checked("to")?);
    checked_bearing(thread, bearing_diameter_mm)?;
    let lever = |friction| lever_mm(thread, friction, friction, bearing_diameter_mm);
    let (from_low, to_low) = (lever(from.lowest), lever(to.lowest));
    let (from_high, to_high) = (from.highest.map(lever), to.highest.map(lever));
    Ok(PreloadChange {
        lowest_ratio: to_high.map_or(0.0, |high| from_low / high),
        highest_ratio: from_high.map(|high| high / to_low),
        greatest_preload_ratio: from_low / to_low,
        least_preload_ratio: from_high.zip(to_high).map(|(from, to)| from / to),
        torque_factor: to_low / from_low,
        source: TORQUE_SOURCE,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::Firmness;
    use crate::fastener::FrictionClass;
    use proptest::prelude::*;

    fn thread(text: &str) -> Thread {
        text.parse().unwrap()
    }

    #[test]
    fn the_ends_of_a_change_of_finish_are_those_of_both_ranges() {
        // independent: C(µ) = 0.16·P + (0.58·d2 + DKm/2)·µ by hand, M10: P 1.5, d2 9.026, DKm 12.8
        let c = |friction: f64| 0.16 * 1.5 + (0.58 * 9.026 + 6.4) * friction;
        let range = |lowest, highest| FrictionRange { lowest, highest: Some(highest) };
        let change =
            preload_change(&"M10".parse().unwrap(), 12.8, range(0.14, 0.24), range(0.08, 0.16)).unwrap();
        for (found, expected) in [
            (change.lowest_ratio, c(0.14) / c(0.16)),
            (change.highest_ratio.unwrap(), c(0.24) / c(0.08)),
            (change.greatest_preload_ratio, c(0.14) / c(0.08)),
            (change.least_preload_ratio.unwrap(), c(0.24) / c(0.16)),
            (change.torque_factor, c(0.08) / c(0.14)),
        ] {
            assert!((found / expected - 1.0).abs() < 0.01, "{found} for {expected}");
        }
        let open = FrictionRange { lowest: 0.3, highest: None };
        let change = preload_change(&"M10".parse().unwrap(), 12.8, range(0.14, 0.24), open).unwrap();
        assert_eq!((change.lowest_ratio, change.least_preload_ratio), (0.0, None));
    }

    #[test]
    fn printed_fine_thread_values_are_met() {
        // printed: VDI 2230 (2001/2003) table, 90% of Rp0.2: thread, friction, Rp0.2 MPa, FM kN, MA N·m
        for (text, friction, rp02, preload, torque) in [
            ("M8x1", 0.10, 640.0, 20.7, 22.8),
            ("M8x1", 0.14, 1100.0, 33.9, 50.1),
            ("M10x1.25", 0.12, 640.0, 31.6, 51.0),
            ("M10x1.25", 0.12, 940.0, 46.4, 75.0),
            ("M16x1.5", 0.12, 940.0, 128.7, 320.0),
            ("M20x1.5", 0.10, 660.0, 151.0, 392.0),
            ("M24x2", 0.14, 1100.0, 339.0, 1442.0),
        ] {
            let t = thread(text);
            let fm = assembly_preload_kn(&t, rp02, friction, 0.9, TorsionModel::FullyPlastic).unwrap();
            assert!((fm / preload - 1.0).abs() < 0.005, "{text}: {fm}");
            let bearing = mean_bearing_diameter(&t).bearing_diameter_mm;
            let ma = tightening_torque_nm(fm, &t, friction, friction, bearing).unwrap();
            assert!((ma / torque - 1.0).abs() < 0.015, "{text}: {ma}");
        }
        // printed: worked example, M12 of class 8.8 at 0.14: 41.9 kN
        let m12 = assembly_preload_kn(&thread("M12"), 640.0, 0.14, 0.9, TorsionModel::FullyPlastic).unwrap();
        assert!((m12 / 41.9 - 1.0).abs() < 0.005);
    }

    #[test]
    fn the_elastic_model_gives_the_level_of_the_older_edition() {
        // printed: machine manual of the older level, M10 of class 8.8 at 0.14: 49 N·m
        let m10 = thread("M10");
        let torque = |model| {
            let fm = assembly_preload_kn(&m10, 640.0, 0.14, 0.9, model).unwrap();
            tightening_torque_nm(fm, &m10, 0.14, 0.14, 12.8).unwrap()
        };
        assert!((torque(TorsionModel::Elastic) / 49.0 - 1.0).abs() < 0.02);
        let share = torque(TorsionModel::Elastic) / torque(TorsionModel::FullyPlastic);
        assert!((0.90..0.94).contains(&share), "{share}");
    }

    #[test]
    fn bearing_diameters_say_whether_they_are_tabulated() {
        assert_eq!(mean_bearing_diameter(&thread("M24")).bearing_diameter_mm, 29.8);
        // by hand: 1.26·30
        assert!((mean_bearing_diameter(&thread("M30")).bearing_diameter_mm - 37.8).abs() < 1e-12);
        assert_eq!(mean_bearing_diameter(&thread("M30")).source.firmness, Firmness::Assumption);
        assert_eq!(mean_bearing_diameter(&thread("1/2-13 UNC")).source.firmness, Firmness::Assumption);
        for (d, dw, dh) in BEARING {
            assert!((0.5 * (dw + dh) / (1.26 * d) - 1.0).abs() < 0.035, "{d}");
        }
    }

    #[test]
    fn the_same_finish_changes_nothing_and_an_open_class_says_so() {
        let m8 = thread("M8");
        let b = FrictionClass::B.range();
        let same = preload_change(&m8, 10.3, b, b).unwrap();
        assert_eq!(
            (same.greatest_preload_ratio, same.least_preload_ratio, same.torque_factor),
            (1.0, Some(1.0), 1.0)
        );
        assert!(same.lowest_ratio < 1.0 && same.highest_ratio.unwrap() > 1.0);
        let e = FrictionClass::E.range();
        assert_eq!(preload_change(&m8, 10.3, b, e).unwrap().lowest_ratio, 0.0);
        assert_eq!(preload_change(&m8, 10.3, e, b).unwrap().highest_ratio, None);
        assert_eq!(preload_change(&m8, 10.3, e, b).unwrap().least_preload_ratio, None);
    }

    #[test]
    fn bad_numbers_are_typed_errors() {
        let m8 = thread("M8");
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(tightening_torque_nm(bad, &m8, 0.1, 0.1, 10.3).unwrap_err().field(), "preload_kn");
            assert_eq!(
                tightening_torque_nm(1.0, &m8, bad, 0.1, 10.3).unwrap_err().field(),
                "thread_friction"
            );
            assert_eq!(
                tightening_torque_nm(1.0, &m8, 0.1, bad, 10.3).unwrap_err().field(),
                "bearing_friction"
            );
            assert_eq!(preload_from_torque_kn(bad, &m8, 0.1, 0.1, 10.3).unwrap_err().field(), "torque_nm");
            assert!(assembly_preload_kn(&m8, bad, 0.1, 0.9, TorsionModel::Elastic).is_err());
            assert!(assembly_preload_kn(&m8, 640.0, 0.1, bad, TorsionModel::Elastic).is_err());
            assert!(strength_utilization(bad, &m8, 640.0, 0.1, TorsionModel::Elastic).is_err());
            assert!(total_friction_from_torque(10.0, bad, &m8, 10.3).is_err());
            assert!(preload_change(&m8, bad, FrictionClass::A.range(), FrictionClass::B.range()).is_err());
        }
        assert_eq!(total_friction_from_torque(1.0, 20.0, &m8, 10.3).unwrap_err().field(), "torque_nm");
        assert!(total_friction_from_torque(1.0, 0.0, &m8, 10.3).is_err());
        // what the pitch alone takes, 1 kN · 1.25 mm/(2·π), leaves no friction and is allowed
        assert_eq!(total_friction_from_torque(1.25 / (2.0 * PI), 1.0, &m8, 10.3).unwrap(), 0.0);
        assert_eq!("plastic".parse::<TorsionModel>().unwrap_err().kind(), "name");
        for model in TorsionModel::ALL {
            assert_eq!(model.to_string().parse::<TorsionModel>().unwrap(), *model);
            assert_eq!(serde_json::to_string(model).unwrap(), format!("\"{model}\""));
        }
    }

    proptest! {
        #[test]
        fn more_friction_never_gives_more_preload(torque in 0.0..500.0_f64, low in 0.0..0.5_f64, more in 0.0..0.5_f64) {
            let m10 = thread("M10");
            let preload = |thread_friction, bearing_friction| {
                preload_from_torque_kn(torque, &m10, thread_friction, bearing_friction, 12.8).unwrap()
            };
            prop_assert!(preload(low + more, low) <= preload(low, low));
            prop_assert!(preload(low, low + more) <= preload(low, low));
            let assembly =
                |friction| assembly_preload_kn(&m10, 640.0, friction, 0.9, TorsionModel::FullyPlastic).unwrap();
            prop_assert!(assembly(low + more) <= assembly(low));
        }

        #[test]
        fn torque_and_preload_read_back(preload in 0.1..500.0_f64, friction in 0.0..0.6_f64, share in 0.1..1.0_f64) {
            let m16 = thread("M16");
            let torque = tightening_torque_nm(preload, &m16, friction, friction, 20.0).unwrap();
            let back = preload_from_torque_kn(torque, &m16, friction, friction, 20.0).unwrap();
            prop_assert!((back / preload - 1.0).abs() < 1e-12);
            // the two standards round the same geometry differently: 0.16 and 0.58 against 1/(2π) and 0.577
            let total = total_friction_from_torque(torque, preload, &m16, 20.0).unwrap();
            prop_assert!((total - friction).abs() < 0.002);
            let fm = assembly_preload_kn(&m16, 640.0, friction, share, TorsionModel::Elastic).unwrap();
            let used = strength_utilization(fm, &m16, 640.0, friction, TorsionModel::Elastic).unwrap();
            prop_assert!((used / share - 1.0).abs() < 1e-12);
        }
    }
}
