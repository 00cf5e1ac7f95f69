//! Surface and mass of standard parts: what a bath, a film and a price per kilogram act on.
//!
//! The parts are put together from simple bodies with the nominal dimensions of their standards: prisms,
//! cylinders, cones and caps; chamfers, radii and under-head fillets are left out. Expect masses within 10% and
//! surfaces within 10% of a finished part (an assumption; masses are tested against trade charts).
//!
//! A thread has more surface than a cylinder. Per pitch P of an external thread, unrolled: crest 1/8·P on d, root
//! 1/6·P on d3, two flanks of together 17/12·P on (d + d3)/2; so the surface of a length l is
//! π·l·(d/8 + d3/6 + (17/12)·(d + d3)/2), about 1.54 times π·d·l for M8. Internal thread: P/4 on D1, P/8 on d and
//! flanks of together 5/4·P. The helix adds less than 1% and is left out.

use std::f64::consts::{FRAC_PI_4, PI};

use serde::{Deserialize, Serialize};

use super::thread::{Thread, same};
use crate::error::{Result, invalid, within, words};
use crate::evidence::Source;

/// Density of steel in g/cm³ for [`part_size`].
pub(crate) const STEEL_DENSITY_G_CM3: f64 = 7.85;
/// Where the density of steel comes from.
pub(crate) const STEEL_DENSITY_SOURCE: Source =
    Source::common_practice("density of carbon steel as mass tables use it");
/// Where the dimensions come from.
pub(crate) const DIMENSION_SOURCE: Source = Source::from_memory(
    "nominal dimensions of ISO 4017:2014, ISO 4762:2004, ISO 7380-1:2011, ISO 10642:2004, ISO 4032:2012, ISO 7089:2000",
);

/// The standard form of a part.
///
/// ```
/// use overcoat::fastener::PartForm;
/// assert_eq!("socket_cap_screw".parse::<PartForm>()?.standard(), "ISO 4762");
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PartForm {
    /// Hex cap screw, thread to the head (ISO 4017), M3 to M24.
    HexagonScrew,
    /// Socket head cap screw (ISO 4762), M3 to M24 without M18 and M22.
    SocketCapScrew,
    /// Button head socket cap screw (ISO 7380-1), M3 to M16 without M14.
    ButtonHeadScrew,
    /// Flat head socket cap screw (ISO 10642), M3 to M20 without M14 and M18.
    CountersunkSocketScrew,
    /// Hex nut, style 1 (ISO 4032), M3 to M24.
    HexagonNut,
    /// Flat washer, normal series (ISO 7089), for M3 to M24.
    PlainWasher,
}

words! {
    PartForm, "form", "Name one of the known forms.";
    HexagonScrew = "hexagon_screw",
    SocketCapScrew = "socket_cap_screw",
    ButtonHeadScrew = "button_head_screw",
    CountersunkSocketScrew = "countersunk_socket_screw",
    HexagonNut = "hexagon_nut",
    PlainWasher = "plain_washer",
}

impl PartForm {
    /// The product standard.
    pub const fn standard(self) -> &'static str {
        match self {
            Self::HexagonScrew => "ISO 4017",
            Self::SocketCapScrew => "ISO 4762",
            Self::ButtonHeadScrew => "ISO 7380-1",
            Self::CountersunkSocketScrew => "ISO 10642",
            Self::HexagonNut => "ISO 4032",
            Self::PlainWasher => "ISO 7089",
        }
    }

    /// Whether the part has its own length.
    pub const fn is_screw(self) -> bool {
        !matches!(self, Self::HexagonNut | Self::PlainWasher)
    }
}

/// Hexagon head: diameter, height k, width across flats s in mm.
const HEXAGON_HEAD: &[(f64, [f64; 2])] = &[
    (3.0, [2.0, 5.5]),
    (4.0, [2.8, 7.0]),
    (5.0, [3.5, 8.0]),
    (6.0, [4.0, 10.0]),
    (8.0, [5.3, 13.0]),
    (10.0, [6.4, 16.0]),
    (12.0, [7.5, 18.0]),
    (14.0, [8.8, 21.0]),
    (16.0, [10.0, 24.0]),
    (18.0, [11.5, 27.0]),
    (20.0, [12.5, 30.0]),
    (22.0, [14.0, 34.0]),
    (24.0, [15.0, 36.0]),
];

/// Cap head: diameter, head diameter dk, socket s, socket depth t in mm; the head is as high as the diameter.
const CAP_HEAD: &[(f64, [f64; 3])] = &[
    (3.0, [5.5, 2.5, 1.3]),
    (4.0, [7.0, 3.0, 2.0]),
    (5.0, [8.5, 4.0, 2.5]),
    (6.0, [10.0, 5.0, 3.0]),
    (8.0, [13.0, 6.0, 4.0]),
    (10.0, [16.0, 8.0, 5.0]),
    (12.0, [18.0, 10.0, 6.0]),
    (14.0, [21.0, 12.0, 7.0]),
    (16.0, [24.0, 14.0, 8.0]),
    (20.0, [30.0, 17.0, 10.0]),
    (24.0, [36.0, 19.0, 12.0]),
];

/// Button head: diameter, head diameter dk, height k, socket s, socket depth t in mm.
const BUTTON_HEAD: &[(f64, [f64; 4])] = &[
    (3.0, [5.7, 1.65, 2.0, 1.04]),
    (4.0, [7.6, 2.2, 2.5, 1.3]),
    (5.0, [9.5, 2.75, 3.0, 1.56]),
    (6.0, [10.5, 3.3, 4.0, 2.08]),
    (8.0, [14.0, 4.4, 5.0, 2.6]),
    (10.0, [17.5, 5.5, 6.0, 3.12]),
    (12.0, [21.0, 6.6, 8.0, 4.16]),
    (16.0, [28.0, 8.8, 10.0, 5.2]),
];

/// Countersunk head of 90°: diameter, actual head diameter dk, height k, socket s, socket depth t in mm.
const COUNTERSUNK_HEAD: &[(f64, [f64; 4])] = &[
    (3.0, [5.54, 1.86, 2.0, 1.1]),
    (4.0, [7.53, 2.48, 2.5, 1.5]),
    (5.0, [9.43, 3.1, 3.0, 1.9]),
    (6.0, [11.34, 3.72, 4.0, 2.2]),
    (8.0, [15.24, 4.96, 5.0, 3.0]),
    (10.0, [19.22, 6.2, 6.0, 3.6]),
    (12.0, [23.12, 7.44, 8.0, 4.3]),
    (16.0, [29.01, 8.8, 10.0, 4.8]),
    (20.0, [36.05, 10.16, 12.0, 5.66]),
];

/// Nut: diameter, height m, width across flats s in mm.
const NUT: &[(f64, [f64; 2])] = &[
    (3.0, [2.4, 5.5]),
    (4.0, [3.2, 7.0]),
    (5.0, [4.7, 8.0]),
    (6.0, [5.2, 10.0]),
    (8.0, [6.8, 13.0]),
    (10.0, [8.4, 16.0]),
    (12.0, [10.8, 18.0]),
    (14.0, [12.8, 21.0]),
    (16.0, [14.8, 24.0]),
    (18.0, [15.8, 27.0]),
    (20.0, [18.0, 30.0]),
    (22.0, [19.4, 34.0]),
    (24.0, [21.5, 36.0]),
];

/// Washer: thread diameter, hole d1, outside d2, thickness h in mm.
const WASHER: &[(f64, [f64; 3])] = &[
    (3.0, [3.2, 7.0, 0.5]),
    (4.0, [4.3, 9.0, 0.8]),
    (5.0, [5.3, 10.0, 1.0]),
    (6.0, [6.4, 12.0, 1.6]),
    (8.0, [8.4, 16.0, 1.6]),
    (10.0, [10.5, 20.0, 2.0]),
    (12.0, [13.0, 24.0, 2.5]),
    (14.0, [15.0, 28.0, 2.5]),
    (16.0, [17.0, 30.0, 3.0]),
    (18.0, [19.0, 34.0, 3.0]),
    (20.0, [21.0, 37.0, 3.0]),
    (22.0, [23.0, 39.0, 3.0]),
    (24.0, [25.0, 44.0, 4.0]),
];

/// Where the dimensions of inch parts come from.
pub(crate) const INCH_DIMENSION_SOURCE: Source = Source::assumption(
    "an inch part has the dimensions of the metric one, interpolated to its diameter: those of ASME B18.2.1, B18.2.2 and \
     B18.3, as recalled, lie within 10%",
);

/// Factor by which an inch diameter may be outside the metric sizes: number sizes, and up to 1 1/2 in.
const BEYOND_THE_TABLE: f64 = 1.6;

/// What one part brings to the bath.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PartSize {
    /// Surface in dm².
    pub surface_dm2: f64,
    /// Mass in g.
    pub mass_g: f64,
    /// Where the dimensions come from.
    pub source: Source,
}

/// A closed body, or a piece of one with the joints left open.
#[derive(Clone, Copy)]
struct Body {
    surface_mm2: f64,
    volume_mm3: f64,
}

impl Body {
    fn plus(self, other: Self) -> Self {
        Self {
            surface_mm2: self.surface_mm2 + other.surface_mm2,
            volume_mm3: self.volume_mm3 + other.volume_mm3,
        }
    }

    /// A regular hexagonal prism of width across flats `s` and height `h`: area √3/2·s², sides 2·√3·s·h.
    fn hexagon(s: f64, h: f64) -> Self {
        let area = 0.75_f64.sqrt() * s * s;
        Self { surface_mm2: 2.0 * area + 12.0_f64.sqrt() * s * h, volume_mm3: area * h }
    }

    /// The socket of width `s` and depth `t`: its bottom stands for the mouth, so only the walls add surface.
    fn without_socket(self, s: f64, t: f64) -> Self {
        Self {
            surface_mm2: self.surface_mm2 + 12.0_f64.sqrt() * s * t,
            volume_mm3: self.volume_mm3 - 0.75_f64.sqrt() * s * s * t,
        }
    }

    fn cylinder(d: f64, h: f64) -> Self {
        Self { surface_mm2: 2.0 * FRAC_PI_4 * d * d + PI * d * h, volume_mm3: FRAC_PI_4 * d * d * h }
    }

    /// A spherical cap on a base of diameter `d`.
    fn cap(d: f64, h: f64) -> Self {
        let a2 = 0.25 * d * d;
        Self { surface_mm2: PI * a2 + PI * (a2 + h * h), volume_mm3: PI * h / 6.0 * (3.0 * a2 + h * h) }
    }

    /// A 90° cone from diameter `top` down to `bottom` under a land that fills the height up.
    fn countersink(top: f64, bottom: f64, height: f64) -> Self {
        let cone_h = 0.5 * (top - bottom);
        let land_h = (height - cone_h).max(0.0);
        Self {
            surface_mm2: FRAC_PI_4 * (top * top + bottom * bottom)
                + PI * top * land_h
                + PI * 0.5 * (top + bottom) * cone_h * 2.0_f64.sqrt(),
            volume_mm3: FRAC_PI_4 * top * top * land_h
                + PI / 12.0 * cone_h * (top * top + top * bottom + bottom * bottom),
        }
    }

    /// The walls and volume of a shank: thread over `thread_length`, plain on d above it. Its end stands for
    /// the footprint on the head, so neither is counted.
    fn shank(thread: &Thread, length: f64, thread_length: f64) -> Self {
        let d = thread.diameter_mm();
        let threaded = length.min(thread_length);
        let plain = length - threaded;
        let wound =
            Self::thread_walls(thread.root_diameter_mm(), d, [1.0 / 6.0, 0.125, 17.0 / 12.0, 17.0 / 24.0]);
        Self {
            surface_mm2: wound.surface_mm2 * threaded + PI * d * plain,
            volume_mm3: wound.volume_mm3 * threaded + FRAC_PI_4 * d * d * plain,
        }
    }

    /// Surface and volume per mm of a thread between two diameters; shares of the pitch: flat at the small
    /// diameter, flat at the large one, both flanks unrolled, both flanks along the axis.
    fn thread_walls(small: f64, large: f64, [at_small, at_large, flanks, along]: [f64; 4]) -> Self {
        let flank_d2 = (small * small + small * large + large * large) / 3.0;
        Self {
            surface_mm2: PI * (at_small * small + at_large * large + flanks * 0.5 * (small + large)),
            volume_mm3: FRAC_PI_4 * (at_small * small * small + at_large * large * large + along * flank_d2),
        }
    }
}

/// The dimensions at a diameter between those of a table; beyond its ends in proportion to the diameter.
fn interpolated<const N: usize>(table: &[(f64, [f64; N])], diameter: f64) -> Option<[f64; N]> {
    let (first, last) = (table.first()?, table.last()?);
    let of = |(d, sizes): &(f64, [f64; N])| sizes.map(|size| size * diameter / d);
    if diameter <= first.0 {
        return (diameter * BEYOND_THE_TABLE >= first.0).then(|| of(first));
    }
    let Some(pair) = table.windows(2).find(|pair| matches!(pair, [_, (d, _)] if diameter <= *d)) else {
        return (diameter <= last.0 * BEYOND_THE_TABLE).then(|| of(last));
    };
    let [(d0, low), (d1, high)] = pair else { return None };
    let share = (diameter - d0) / (d1 - d0);
    let mut sizes = *low;
    for (size, high) in sizes.iter_mut().zip(high) {
        *size += share * (high - *size);
    }
    Some(sizes)
}

/// The dimensions of `diameter` in a table, or an error that lists the sizes.
fn dimensions<const N: usize>(
    table: &[(f64, [f64; N])],
    form: PartForm,
    thread: &Thread,
) -> Result<[f64; N]> {
    let row = match thread {
        Thread::Metric(t) => table.iter().find(|(d, _)| same(*d, t.diameter_mm())).map(|(_, sizes)| *sizes),
        Thread::Inch(_) => interpolated(table, thread.diameter_mm()),
    };
    row.ok_or_else(|| {
        let sizes: Vec<_> = table.iter().map(|(d, _)| format!("M{d}")).collect();
        let allowed = format!("{} for a {form} ({})", sizes.join(", "), form.standard());
        invalid("thread", thread, &allowed, "Give surface and mass of the part yourself.")
    })
}

/// Surface and mass of a steel part (7.85 g/cm³): [`part_size_of_density`] with `STEEL_DENSITY_G_CM3`.
///
/// # Errors
/// As [`part_size_of_density`].
///
/// ```
/// use overcoat::fastener::{part_size, PartForm};
/// let washer = part_size(PartForm::PlainWasher, &"M10".parse()?, None)?;
/// assert!((washer.mass_g - 3.57).abs() < 0.01);
/// let screw = part_size(PartForm::HexagonScrew, &"M8".parse()?, Some(30.0))?;
/// assert!((0.15..0.20).contains(&screw.surface_dm2));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn part_size(form: PartForm, thread: &Thread, length_mm: Option<f64>) -> Result<PartSize> {
    part_size_of_density(form, thread, length_mm, STEEL_DENSITY_G_CM3)
}

/// Surface in dm² and mass in g of a standard part; the bodies are described at the head of this module.
///
/// `length_mm` is the nominal length of a screw (countersunk: head included), from 1 mm, or the head height, to
/// 1000 mm; nuts and washers take none. Hexagon screws carry thread to the head, socket screws over 2·d + 12 mm,
/// the rest of the shank being plain. `density_g_cm3` from 1 to 25. Fine pitches use the dimensions of their
/// diameter. Source: `DIMENSION_SOURCE`; of inch sizes `INCH_DIMENSION_SOURCE`.
///
/// # Errors
/// When the size is not in the form's table or far beyond it, a screw lacks its length, a nut or washer has
/// one, or a number is out of range.
///
/// ```
/// use overcoat::fastener::{part_size_of_density, PartForm};
/// let stainless = part_size_of_density(PartForm::HexagonNut, &"M8".parse()?, None, 7.9)?;
/// assert!((5.0..6.0).contains(&stainless.mass_g));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn part_size_of_density(
    form: PartForm,
    thread: &Thread,
    length_mm: Option<f64>,
    density_g_cm3: f64,
) -> Result<PartSize> {
    within("density_g_cm3", density_g_cm3, 1.0, 25.0, "g/cm³", "Enter the density in g/cm³, steel 7.85.")?;
    let screw_length = |least: f64| match length_mm {
        Some(length) => {
            within("length_mm", length, least, 1000.0, "mm", "Enter the nominal length of the screw.")
        }
        None => {
            Err(invalid("length_mm", "missing", "the length of a screw in mm", "Enter the nominal length."))
        }
    };
    let d = thread.diameter_mm();
    let socket_thread_length = 2.0 * d + 12.0;
    if let Some(length) = length_mm
        && !form.is_screw()
    {
        let allowed = format!("nothing for a {form}");
        return Err(invalid("length_mm", length, &allowed, "Leave the length out; the standard sets it."));
    }
    let body = match form {
        PartForm::HexagonScrew => {
            let [k, s] = dimensions(HEXAGON_HEAD, form, thread)?;
            let length = screw_length(1.0)?;
            Body::hexagon(s, k).plus(Body::shank(thread, length, length))
        }
        PartForm::SocketCapScrew => {
            let [dk, s, t] = dimensions(CAP_HEAD, form, thread)?;
            let shank = Body::shank(thread, screw_length(1.0)?, socket_thread_length);
            Body::cylinder(dk, d).without_socket(s, t).plus(shank)
        }
        PartForm::ButtonHeadScrew => {
            let [dk, k, s, t] = dimensions(BUTTON_HEAD, form, thread)?;
            let shank = Body::shank(thread, screw_length(1.0)?, socket_thread_length);
            Body::cap(dk, k).without_socket(s, t).plus(shank)
        }
        PartForm::CountersunkSocketScrew => {
            let [dk, k, s, t] = dimensions(COUNTERSUNK_HEAD, form, thread)?;
            let shank = Body::shank(thread, screw_length(k)? - k, socket_thread_length);
            Body::countersink(dk, d, k).without_socket(s, t).plus(shank)
        }
        PartForm::HexagonNut => {
            let [m, s] = dimensions(NUT, form, thread)?;
            let prism = Body::hexagon(s, m);
            let bore = Body::thread_walls(thread.minor_diameter_mm(), d, [0.25, 0.125, 1.25, 0.625]);
            Body {
                surface_mm2: prism.surface_mm2 - 2.0 * FRAC_PI_4 * d * d + bore.surface_mm2 * m,
                volume_mm3: prism.volume_mm3 - bore.volume_mm3 * m,
            }
        }
        PartForm::PlainWasher => {
            let [hole, outside, h] = dimensions(WASHER, form, thread)?;
            let ring = FRAC_PI_4 * (outside * outside - hole * hole);
            Body { surface_mm2: 2.0 * ring + PI * (outside + hole) * h, volume_mm3: ring * h }
        }
    };
    Ok(PartSize {
        surface_dm2: body.surface_mm2 * 1e-4,
        mass_g: body.volume_mm3 * 1e-3 * density_g_cm3,
        source: match thread {
            Thread::Metric(_) => DIMENSION_SOURCE,
            Thread::Inch(_) => INCH_DIMENSION_SOURCE,
        },
    })
}

/// Mass in g and surface in dm² of a screw without a head, of steel: a thread from end to end, its socket or slot and its
/// point left out.
pub(crate) fn headless_size(thread: &Thread, length_mm: f64) -> (f64, f64) {
    let d = thread.diameter_mm();
    let wound = Body::shank(thread, length_mm, length_mm);
    let ends = 2.0 * FRAC_PI_4 * d * d;
    (wound.volume_mm3 * 1e-3 * STEEL_DENSITY_G_CM3, (wound.surface_mm2 + ends) * 1e-4)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn size(form: PartForm, thread: &str, length_mm: Option<f64>) -> PartSize {
        part_size(form, &thread.parse().unwrap(), length_mm).unwrap()
    }

    /// Independent, by hand: hexagon √3/2·F²·H and π/4·E²·L of steel, with heads F × H of ASME B18.2.1 (7/16 × 5/32,
    /// 3/4 × 5/16, 1 1/8 × 15/32, 1 5/16 × 35/64 in, recalled) and pitch diameters E.
    #[test]
    fn inch_screws_have_a_mass_of_their_own() {
        for (thread, length_in, grams) in [
            ("1/4-20 UNC", 1.0, 8.1),
            ("1/2-13 UNC", 2.0, 60.5),
            ("3/4-10 UNC", 3.0, 208.0),
            ("7/8-9 UNC", 3.0, 300.0),
        ] {
            let got = size(PartForm::HexagonScrew, thread, Some(25.4 * length_in));
            assert!((got.mass_g / grams - 1.0).abs() < 0.1, "{thread}: {} g", got.mass_g);
            assert_eq!(got.source, INCH_DIMENSION_SOURCE);
        }
    }

    #[test]
    fn masses_are_near_catalogue_ones() {
        use PartForm::{HexagonNut, PlainWasher, SocketCapScrew};
        // printed: a trade chart of kilograms per 1000 pieces of DIN 912 (the same parts as ISO 4762); its M20
        // column is left out: by it the head of M20 would weigh hardly more than that of M18
        for (thread, length, mass) in [
            ("M3", 10.0, 0.9),
            ("M5", 25.0, 4.8),
            ("M6", 20.0, 6.5),
            ("M8", 30.0, 16.9),
            ("M8", 60.0, 28.9),
            ("M10", 40.0, 32.9),
            ("M12", 50.0, 54.5),
            ("M16", 60.0, 122.0),
            ("M24", 80.0, 399.0),
        ] {
            let got = size(SocketCapScrew, thread, Some(length)).mass_g;
            assert!((got / mass - 1.0).abs() < 0.1, "{thread}x{length}: {got}");
        }
        // printed, recalled: kilograms per 1000 pieces of DIN 125; of DIN 934, scaled to the height of ISO 4032
        for (form, thread, mass, share) in [
            (PlainWasher, "M8", 1.83, 0.01),
            (PlainWasher, "M10", 3.57, 0.01),
            (PlainWasher, "M20", 17.2, 0.01),
            (HexagonNut, "M6", 2.5 * 5.2 / 5.0, 0.1),
            (HexagonNut, "M8", 5.2 * 6.8 / 6.5, 0.1),
        ] {
            let got = size(form, thread, None).mass_g;
            assert!((got / mass - 1.0).abs() < share, "{form} {thread}: {got}");
        }
    }

    #[test]
    fn threaded_shanks_weigh_what_studs_weigh() {
        // printed: approximate masses of stud bolts DIN 976-1 of 100 mm, kilograms per 1000 pieces
        for (thread, mass) in [("M10", 50.2), ("M12", 72.8), ("M16", 133.0), ("M20", 208.0), ("M24", 300.0)] {
            let screw = |length| size(PartForm::HexagonScrew, thread, Some(length)).mass_g;
            let got = screw(150.0) - screw(50.0);
            assert!((got / mass - 1.0).abs() < 0.02, "{thread}: {got}");
        }
    }

    #[test]
    fn a_thread_has_half_as_much_surface_again_as_its_cylinder() {
        // independent: by the profile, M8 about 1.54
        let t = "M8".parse().unwrap();
        let ratio = Body::shank(&t, 1.0, 1.0).surface_mm2 / (PI * 8.0);
        assert!((ratio - 1.54).abs() < 0.005, "{ratio}");
        // independent: the volume lies between those of the cylinders on d3 and d, near that on d2
        let d = (Body::shank(&t, 1.0, 1.0).volume_mm3 / FRAC_PI_4).sqrt();
        assert!((d - t.pitch_diameter_mm()).abs() < 0.15, "{d}");
    }

    #[test]
    fn parts_have_the_size_of_their_bodies() {
        use PartForm::{
            ButtonHeadScrew, CountersunkSocketScrew, HexagonNut, HexagonScrew, PlainWasher, SocketCapScrew,
        };
        // independent: the second implementation in plain Python; form, thread, length in mm, g, dm²
        for (form, thread, length, mass_g, surface_dm2) in [
            (HexagonScrew, "M8", Some(30.0), 15.738_185_115, 0.169_297_618_1),
            (SocketCapScrew, "M8", Some(60.0), 28.989_006_968, 0.256_372_05),
            (SocketCapScrew, "M8", Some(20.0), 13.789_264_888, 0.144_971_731_6),
            (ButtonHeadScrew, "M10", Some(40.0), 26.261_232_483, 0.244_778_733_8),
            (CountersunkSocketScrew, "M6", Some(25.0), 5.666_382_129, 0.091_348_865_6),
            (CountersunkSocketScrew, "M20", Some(80.0), 204.451_978_379, 0.907_520_568_1),
            (HexagonNut, "M12", None, 15.793_615_907, 0.161_378_860_7),
            (PlainWasher, "M16", None, 11.301_133_443, 0.140_272_112),
        ] {
            let got = size(form, thread, length);
            assert!((got.mass_g / mass_g - 1.0).abs() < 1e-9, "{form} {thread}: {}", got.mass_g);
            assert!(
                (got.surface_dm2 / surface_dm2 - 1.0).abs() < 1e-9,
                "{form} {thread}: {}",
                got.surface_dm2
            );
        }
    }

    #[test]
    fn bodies_are_those_of_solid_geometry() {
        // independent: a cap as high as its radius is half a ball
        let cap = Body::cap(2.0, 1.0);
        assert!((cap.volume_mm3 - 2.0 / 3.0 * PI).abs() < 1e-12);
        assert!((cap.surface_mm2 - 3.0 * PI).abs() < 1e-12);
        // independent: a countersink without a cone is a cylinder
        let land = Body::countersink(3.0, 3.0, 2.0);
        assert!((land.volume_mm3 - Body::cylinder(3.0, 2.0).volume_mm3).abs() < 1e-12);
        assert!((land.surface_mm2 - Body::cylinder(3.0, 2.0).surface_mm2).abs() < 1e-12);
    }

    #[test]
    fn forms_name_their_standards() {
        // the product standards of ISO, by their titles
        let standards: Vec<&str> = PartForm::ALL.iter().map(|form| form.standard()).collect();
        assert_eq!(standards, ["ISO 4017", "ISO 4762", "ISO 7380-1", "ISO 10642", "ISO 4032", "ISO 7089"]);
    }

    #[test]
    fn every_tabulated_part_has_a_size_and_grows_with_the_diameter() {
        for form in PartForm::ALL {
            let mut last = 0.0;
            let mut found = 0;
            for d in [3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24] {
                let thread = format!("M{d}").parse().unwrap();
                let Ok(part) = part_size(*form, &thread, form.is_screw().then_some(60.0)) else { continue };
                assert!(part.mass_g > last && part.surface_dm2 > 0.0, "{form} M{d}");
                last = part.mass_g;
                found += 1;
            }
            assert!(found >= 8, "{form}");
            assert_eq!(form.to_string().parse::<PartForm>().unwrap(), *form);
            assert_eq!(serde_json::to_string(form).unwrap(), format!("\"{form}\""));
        }
    }

    #[test]
    fn bad_input_is_a_typed_error() {
        let m8 = "M8".parse().unwrap();
        let field = |r: Result<PartSize>| r.unwrap_err().field().to_owned();
        assert_eq!(field(part_size(PartForm::HexagonScrew, &m8, None)), "length_mm");
        assert_eq!(field(part_size(PartForm::HexagonNut, &m8, Some(8.0))), "length_mm");
        assert_eq!(field(part_size(PartForm::CountersunkSocketScrew, &m8, Some(4.0))), "length_mm");
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
            assert_eq!(field(part_size(PartForm::HexagonScrew, &m8, Some(bad))), "length_mm");
            assert_eq!(field(part_size_of_density(PartForm::HexagonNut, &m8, None, bad)), "density_g_cm3");
        }
        for text in ["M30", "M7", "1 3/4-5 UNC"] {
            assert_eq!(field(part_size(PartForm::HexagonNut, &text.parse().unwrap(), None)), "thread");
        }
        assert_eq!("bolt".parse::<PartForm>().unwrap_err().kind(), "name");
    }

    proptest! {
        #[test]
        fn a_longer_screw_has_more_of_both(length in 6.0..200.0_f64, more in 0.1..100.0_f64, at in 0_usize..4) {
            let m8 = "M8".parse().unwrap();
            let short = part_size(PartForm::ALL[at], &m8, Some(length)).unwrap();
            let long = part_size(PartForm::ALL[at], &m8, Some(length + more)).unwrap();
            prop_assert!(long.mass_g > short.mass_g && long.surface_dm2 > short.surface_dm2);
        }
    }
}
