//! Thread tolerances: how far the pitch diameter lies from the basic profile, and how wide its field is.
//!
//! Metric: ISO 965-1, positions e, f, g, h outside and G, H inside; for hot-dip zinc on the screw ISO 965-4 (az, the screw
//! undersize) and ISO 965-5 (AZ and AX, the nut oversize). The table of the standard is rounded to
//! preferred numbers and wins over its own formula; the formula serves pitches outside the table.
//! Inch: ASME B1.1, classes 1A, 2A, 3A outside and 1B, 2B, 3B inside.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use super::thread::{InchSeries, InchThread, MetricThread, Thread, same};
use crate::error::{Error, Result, invalid, unknown};
use crate::evidence::Source;

const DEVIATION_READ: Source = Source::standard("ISO 965-1, table of fundamental deviations");
const DEVIATION_RECALLED: Source = Source::from_memory("ISO 965-1, table of fundamental deviations");
const DEVIATION_FORMULA: Source =
    Source::derived("ISO 965-1:1998, clause 13, formulae; the pitch is not in the table of this position");
const DEVIATION_HOT_DIP: Source = Source::from_memory(
    "ISO 965-4 and ISO 965-5: deviation 300 + 20·P µm of 6az and 6AZ, 220·P - 20 µm of 6AX, P in mm (M12: 335 and 365 µm)",
);
const DEVIATION_ZERO: Source = Source::standard("ISO 965-1, positions h and H are on the basic profile");
const WIDTH_READ: Source =
    Source::standard("ISO 965-1, table of pitch diameter tolerances of external threads, grade 6");
const WIDTH_RECALLED: Source =
    Source::from_memory("ISO 965-1, table of pitch diameter tolerances of external threads, grade 6");
const WIDTH_FORMULA: Source =
    Source::derived("ISO 965-1:1998, clause 13, Td2(6) = 90·P^0.4·d^0.1; the size is not in the table");
const WIDTH_BY_GRADE: Source = Source::derived(
    "ISO 965-1:1998, clause 13, grade 6 external times the factor of the grade, factors recalled; unrounded",
);
const INCH_ALLOWANCE: Source = Source::standard("ASME B1.1, allowance 0.300·Td2(2A) of classes 1A and 2A");
const INCH_NO_ALLOWANCE: Source =
    Source::standard("ASME B1.1, no allowance for class 3A and internal threads");
const INCH_WIDTH: Source =
    Source::standard("ASME B1.1, Td2(2A) = 0.0015·D^(1/3) + 0.0015·LE^(1/2) + 0.015·P^(2/3)");
const INCH_WIDTH_BY_CLASS: Source =
    Source::from_memory("ASME B1.1, Td2(2A) times 1.5 (1A), 0.75 (3A), 1.95 (1B), 1.3 (2B), 0.975 (3B)");

/// One row of fundamental deviations: pitch in mm, magnitudes of es for e and f (where the table has them)
/// and for g in µm (EI of G is +g), and whether the row was read or recalled.
struct DeviationRow(f64, Option<f64>, Option<f64>, f64, Origin);

#[derive(Clone, Copy, PartialEq)]
enum Origin {
    Read,
    Recalled,
}
use Origin::{Read, Recalled};

const DEVIATIONS: &[DeviationRow] = &[
    DeviationRow(0.2, None, None, 17.0, Read),
    DeviationRow(0.25, None, None, 18.0, Recalled),
    DeviationRow(0.3, None, None, 18.0, Recalled),
    DeviationRow(0.35, None, Some(34.0), 19.0, Recalled),
    DeviationRow(0.4, None, Some(34.0), 19.0, Read),
    DeviationRow(0.45, None, Some(35.0), 20.0, Read),
    DeviationRow(0.5, Some(50.0), Some(36.0), 20.0, Read),
    DeviationRow(0.6, Some(53.0), Some(36.0), 21.0, Read),
    DeviationRow(0.7, Some(56.0), Some(38.0), 22.0, Read),
    DeviationRow(0.75, Some(56.0), Some(38.0), 22.0, Read),
    DeviationRow(0.8, Some(60.0), Some(38.0), 24.0, Read),
    DeviationRow(1.0, Some(60.0), Some(40.0), 26.0, Read),
    DeviationRow(1.25, Some(63.0), Some(42.0), 28.0, Read),
    DeviationRow(1.5, Some(67.0), Some(45.0), 32.0, Recalled),
    DeviationRow(1.75, Some(71.0), Some(48.0), 34.0, Read),
    DeviationRow(2.0, Some(71.0), Some(52.0), 38.0, Read),
    DeviationRow(2.5, Some(80.0), Some(58.0), 42.0, Read),
    DeviationRow(3.0, Some(85.0), Some(63.0), 48.0, Recalled),
    DeviationRow(3.5, Some(90.0), Some(70.0), 53.0, Recalled),
    DeviationRow(4.0, Some(95.0), Some(75.0), 60.0, Read),
    DeviationRow(4.5, Some(100.0), Some(80.0), 63.0, Read),
    DeviationRow(5.0, Some(106.0), Some(85.0), 71.0, Read),
    DeviationRow(5.5, Some(112.0), Some(90.0), 75.0, Read),
    DeviationRow(6.0, Some(118.0), Some(95.0), 80.0, Read),
    DeviationRow(8.0, Some(140.0), Some(118.0), 100.0, Read),
];

/// Diameter steps of ISO 965-1 in mm: over the first, up to and including the next.
const DIAMETER_STEPS: &[f64] = &[0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0];

/// (diameter step up to in mm, pitch in mm, Td2 of grade 6 in µm, read or recalled).
const WIDTHS: &[(f64, f64, f64, Origin)] = &[
    (1.4, 0.2, 48.0, Recalled),
    (1.4, 0.25, 53.0, Recalled),
    (1.4, 0.3, 56.0, Recalled),
    (2.8, 0.2, 50.0, Recalled),
    (2.8, 0.25, 56.0, Recalled),
    (2.8, 0.35, 63.0, Read),
    (2.8, 0.4, 67.0, Read),
    (2.8, 0.45, 71.0, Read),
    (5.6, 0.35, 67.0, Recalled),
    (5.6, 0.5, 75.0, Read),
    (5.6, 0.6, 85.0, Read),
    (5.6, 0.7, 90.0, Read),
    (5.6, 0.75, 90.0, Recalled),
    (5.6, 0.8, 95.0, Read),
    (11.2, 0.75, 100.0, Recalled),
    (11.2, 1.0, 112.0, Read),
    (11.2, 1.25, 118.0, Read),
    (11.2, 1.5, 132.0, Read),
    (22.4, 1.0, 118.0, Recalled),
    (22.4, 1.25, 132.0, Read),
    (22.4, 1.5, 140.0, Read),
    (22.4, 1.75, 150.0, Read),
    (22.4, 2.0, 160.0, Read),
    (22.4, 2.5, 170.0, Read),
    (45.0, 1.0, 125.0, Recalled),
    (45.0, 1.5, 150.0, Recalled),
    (45.0, 2.0, 170.0, Read),
    (45.0, 3.0, 200.0, Read),
    (45.0, 3.5, 212.0, Read),
    (45.0, 4.0, 224.0, Read),
    (45.0, 4.5, 236.0, Recalled),
    (90.0, 1.5, 160.0, Recalled),
    (90.0, 2.0, 180.0, Recalled),
    (90.0, 3.0, 212.0, Recalled),
    (90.0, 4.0, 236.0, Recalled),
    (90.0, 5.0, 250.0, Recalled),
    (90.0, 5.5, 265.0, Recalled),
    (90.0, 6.0, 280.0, Recalled),
    (180.0, 2.0, 190.0, Recalled),
    (180.0, 3.0, 224.0, Recalled),
    (180.0, 4.0, 250.0, Recalled),
    (180.0, 6.0, 300.0, Recalled),
    (180.0, 8.0, 335.0, Recalled),
];

/// A tolerance of the pitch diameter: `6g`, `6e`, `4h`, `6H` (metric), `6az`, `6AZ`, `6AX` (with hot-dip zinc on the
/// screw), `2A`, `3A`, `2B` (inch).
///
/// ```
/// use overcoat::fastener::Tolerance;
/// let tolerance: Tolerance = "6g".parse()?;
/// assert!(!tolerance.is_internal());
/// assert_eq!(tolerance.to_string(), "6g");
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "String", into = "String")]
pub struct Tolerance {
    grade: u8,
    position: Position,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Position {
    ExternalE,
    ExternalF,
    ExternalG,
    ExternalH,
    ExternalAz,
    InternalG,
    InternalH,
    InternalAz,
    InternalAx,
    InchExternal,
    InchInternal,
}

impl Position {
    const ALL: &[Self] = &[
        Self::ExternalE,
        Self::ExternalF,
        Self::ExternalG,
        Self::ExternalH,
        Self::ExternalAz,
        Self::InternalG,
        Self::InternalH,
        Self::InternalAz,
        Self::InternalAx,
        Self::InchExternal,
        Self::InchInternal,
    ];

    const fn letter(self) -> &'static str {
        match self {
            Self::ExternalE => "e",
            Self::ExternalF => "f",
            Self::ExternalG => "g",
            Self::ExternalH => "h",
            Self::ExternalAz => "az",
            Self::InternalG => "G",
            Self::InternalH => "H",
            Self::InternalAz => "AZ",
            Self::InternalAx => "AX",
            Self::InchExternal => "A",
            Self::InchInternal => "B",
        }
    }

    const fn grades(self) -> std::ops::RangeInclusive<u8> {
        match self {
            Self::ExternalE | Self::ExternalF | Self::ExternalG | Self::ExternalH => 3..=9,
            Self::InternalG | Self::InternalH => 4..=8,
            Self::ExternalAz | Self::InternalAz | Self::InternalAx => 6..=6,
            Self::InchExternal | Self::InchInternal => 1..=3,
        }
    }
}

impl Tolerance {
    /// Metric external threads as usually made, grade 6, from the least room to the most.
    pub(super) const COATABLE_METRIC: [Self; 3] = [
        Self { grade: 6, position: Position::ExternalG },
        Self { grade: 6, position: Position::ExternalF },
        Self { grade: 6, position: Position::ExternalE },
    ];
    /// The inch external class with an allowance.
    pub(super) const COATABLE_INCH: [Self; 1] = [Self { grade: 2, position: Position::InchExternal }];

    /// Whether it belongs to an internal thread.
    pub const fn is_internal(&self) -> bool {
        matches!(
            self.position,
            Position::InternalG
                | Position::InternalH
                | Position::InternalAz
                | Position::InternalAx
                | Position::InchInternal
        )
    }

    /// Whether its deviation is made for hot-dip zinc on the screw: 6az, 6AZ and 6AX.
    pub(crate) const fn is_inch(self) -> bool {
        matches!(self.position, Position::InchExternal | Position::InchInternal)
    }

    pub(crate) const fn is_for_hot_dip_zinc(self) -> bool {
        matches!(self.position, Position::ExternalAz | Position::InternalAz | Position::InternalAx)
    }

    fn all() -> impl Iterator<Item = Self> {
        Position::ALL
            .iter()
            .flat_map(|position| position.grades().map(|grade| Self { grade, position: *position }))
    }
}

impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.grade, self.position.letter())
    }
}

impl FromStr for Tolerance {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let wanted = text.trim();
        let is_wanted = |t: &Self| {
            let mut rest = wanted.chars();
            rest.next() == char::from_digit(t.grade.into(), 10) && rest.as_str() == t.position.letter()
        };
        Self::all().find(is_wanted).ok_or_else(|| {
            let known: Vec<String> = Self::all().map(|t| t.to_string()).collect();
            unknown(
                "tolerance",
                text,
                known.iter().map(String::as_str),
                "Mind capital letters (g is outside, G inside); of a double one such as 5g6g enter the first part.",
            )
        })
    }
}

impl TryFrom<String> for Tolerance {
    type Error = Error;

    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Tolerance> for String {
    fn from(tolerance: Tolerance) -> Self {
        tolerance.to_string()
    }
}

fn mismatch(thread: &Thread, tolerance: Tolerance) -> Error {
    let allowed = match thread {
        Thread::Metric(_) => "a metric tolerance such as 6g or 6H",
        Thread::Inch(_) => "an inch class such as 2A or 2B",
    };
    invalid("tolerance", tolerance, allowed, &format!("Enter the tolerance in the system of {thread}."))
}

/// The distance from the basic profile to the nearer limit of the pitch diameter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Deviation {
    /// es of an external thread (zero or negative) or EI of an internal one (zero or positive) in µm.
    pub deviation_um: f64,
    /// Table, formula or memory.
    pub source: Source,
}

/// The width of the tolerance field of the pitch diameter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ToleranceWidth {
    /// Td2 (external) or TD2 (internal) in µm.
    pub width_um: f64,
    /// Table, formula or memory.
    pub source: Source,
}

/// Fundamental deviation of the pitch diameter in µm, negative outside, positive inside.
///
/// Metric, ISO 965-1: the rounded value of the table (pitches 0.2 to 8 mm; f from 0.35 mm, e from 0.5 mm);
/// elsewhere, flagged `derived`, the formulae of clause 13 with P in mm: es(e) = -(50 + 11·P),
/// es(f) = -(30 + 11·P), es(g) = -(15 + 11·P), EI(G) = 15 + 11·P, es(h) = EI(H) = 0.
/// Hot-dip zinc, ISO 965-4 and 965-5 (from memory): es(az) = -(300 + 20·P), EI(AZ) = 300 + 20·P, EI(AX) = 220·P - 20.
/// Inch, ASME B1.1: minus the allowance 0.300·Td2(2A), unrounded (tables print it to 0.0001 in), for 1A and 2A;
/// 0 for 3A and internal threads.
///
/// # Errors
/// When thread and tolerance belong to different systems.
///
/// ```
/// use overcoat::fastener::{fundamental_deviation, Thread, Tolerance};
/// let thread: Thread = "M8".parse()?;
/// assert_eq!(fundamental_deviation(&thread, &"6g".parse::<Tolerance>()?)?.deviation_um, -28.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn fundamental_deviation(thread: &Thread, tolerance: &Tolerance) -> Result<Deviation> {
    use Position::{
        ExternalAz, ExternalE, ExternalF, ExternalG, ExternalH, InchExternal, InchInternal, InternalAx,
        InternalAz, InternalG, InternalH,
    };
    let found = |deviation_um, source| Ok(Deviation { deviation_um, source });
    match (thread, tolerance.position) {
        (Thread::Metric(_), ExternalH | InternalH) => found(0.0, DEVIATION_ZERO),
        (Thread::Metric(t), ExternalE) => {
            let (size, source) = metric_deviation(t, 50.0, |row| row.1);
            found(-size, source)
        }
        (Thread::Metric(t), ExternalF) => {
            let (size, source) = metric_deviation(t, 30.0, |row| row.2);
            found(-size, source)
        }
        (Thread::Metric(t), position @ (ExternalG | InternalG)) => {
            let (size, source) = metric_deviation(t, 15.0, |row| Some(row.3));
            found(if position == ExternalG { -size } else { size }, source)
        }
        (Thread::Metric(t), position @ (ExternalAz | InternalAz)) => {
            let size = 300.0 + 20.0 * t.pitch_mm();
            found(if position == ExternalAz { -size } else { size }, DEVIATION_HOT_DIP)
        }
        (Thread::Metric(t), InternalAx) => found(220.0 * t.pitch_mm() - 20.0, DEVIATION_HOT_DIP),
        (Thread::Inch(t), InchExternal) if tolerance.grade < 3 => {
            found(-0.3 * inch_width_2a_um(t), INCH_ALLOWANCE)
        }
        (Thread::Inch(_), InchExternal | InchInternal) => found(0.0, INCH_NO_ALLOWANCE),
        _ => Err(mismatch(thread, *tolerance)),
    }
}

/// Magnitude in µm: the table's value, or `constant` + 11·P.
fn metric_deviation(
    thread: &MetricThread,
    constant: f64,
    column: impl Fn(&DeviationRow) -> Option<f64>,
) -> (f64, Source) {
    let row = DEVIATIONS.iter().find(|row| same(row.0, thread.pitch_mm()));
    match row.and_then(|row| Some((column(row)?, row.4))) {
        Some((size, Read)) => (size, DEVIATION_READ),
        Some((size, Recalled)) => (size, DEVIATION_RECALLED),
        None => (constant + 11.0 * thread.pitch_mm(), DEVIATION_FORMULA),
    }
}

/// Tolerance of the pitch diameter in µm.
///
/// Metric, ISO 965-1: grade 6 of external threads by the table; outside the table, flagged `derived`,
/// Td2(6) = 90·P^0.4·d^0.1 with P in mm and d the geometric mean in mm of the diameter step. Other grades are
/// that value times 0.5, 0.63, 0.8, 1.25, 1.6, 2 (external 3, 4, 5, 7, 8, 9) or 0.85, 1.06, 1.32, 1.7, 2.12
/// (internal 4 to 8), flagged `derived` because the standard rounds them to preferred numbers.
/// Inch, ASME B1.1: Td2(2A) = 0.0015·D^(1/3) + 0.0015·LE^(1/2) + 0.015·P^(2/3) in inches, length of engagement
/// LE = D for UNC, UNF and UN with 4, 6 or 8 threads per inch, else 9·P; other classes by factor.
///
/// # Errors
/// When thread and tolerance belong to different systems.
///
/// ```
/// use overcoat::fastener::{pitch_diameter_tolerance, Thread, Tolerance};
/// let width = pitch_diameter_tolerance(&"M8".parse::<Thread>()?, &"6g".parse::<Tolerance>()?)?;
/// assert_eq!(width.width_um, 118.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn pitch_diameter_tolerance(thread: &Thread, tolerance: &Tolerance) -> Result<ToleranceWidth> {
    use Position::{InchExternal, InchInternal};
    let inch = matches!(tolerance.position, InchExternal | InchInternal);
    let (base_um, base_source, by_factor) = match thread {
        Thread::Metric(t) if !inch => {
            let (width_um, source) = grade_6_width(t);
            (width_um, source, WIDTH_BY_GRADE)
        }
        Thread::Inch(t) if inch => (inch_width_2a_um(t), INCH_WIDTH, INCH_WIDTH_BY_CLASS),
        _ => return Err(mismatch(thread, *tolerance)),
    };
    let factor = match (tolerance.position, tolerance.grade) {
        (InchExternal, 1) => 1.5,
        (InchExternal, 3) => 0.75,
        (InchExternal, _) => 1.0,
        (InchInternal, 1) => 1.95,
        (InchInternal, 3) => 0.975,
        (InchInternal, _) => 1.3,
        (Position::InternalG | Position::InternalH | Position::InternalAz | Position::InternalAx, grade) => {
            match grade {
                4 => 0.85,
                5 => 1.06,
                7 => 1.7,
                8 => 2.12,
                _ => 1.32,
            }
        }
        (_, grade) => match grade {
            3 => 0.5,
            4 => 0.63,
            5 => 0.8,
            7 => 1.25,
            8 => 1.6,
            9 => 2.0,
            _ => 1.0,
        },
    };
    let source = if factor == 1.0 { base_source } else { by_factor };
    Ok(ToleranceWidth { width_um: factor * base_um, source })
}

fn grade_6_width(thread: &MetricThread) -> (f64, Source) {
    let step = DIAMETER_STEPS
        .iter()
        .zip(DIAMETER_STEPS.iter().skip(1))
        .find(|(over, to)| thread.diameter_mm() > **over && thread.diameter_mm() <= **to);
    let row = step.and_then(|(_, to)| {
        WIDTHS.iter().find(|(step_to, pitch, ..)| same(*step_to, *to) && same(*pitch, thread.pitch_mm()))
    });
    match row {
        Some((_, _, width, Read)) => (*width, WIDTH_READ),
        Some((_, _, width, Recalled)) => (*width, WIDTH_RECALLED),
        None => {
            let diameter = step.map_or(thread.diameter_mm(), |(over, to)| (over * to).sqrt());
            (90.0 * thread.pitch_mm().powf(0.4) * diameter.powf(0.1), WIDTH_FORMULA)
        }
    }
}

/// Td2 of class 2A in µm.
fn inch_width_2a_um(thread: &InchThread) -> f64 {
    let pitch_in = 1.0 / thread.threads_per_inch();
    let coarse_constant = [4.0, 6.0, 8.0].iter().any(|n| same(*n, thread.threads_per_inch()));
    let engagement_in = match thread.series() {
        InchSeries::Unc | InchSeries::Unf => thread.diameter_in(),
        InchSeries::Un if coarse_constant => thread.diameter_in(),
        InchSeries::Un | InchSeries::Unef | InchSeries::Uns => 9.0 * pitch_in,
    };
    let width_in = 0.0015 * thread.diameter_in().cbrt()
        + 0.0015 * engagement_in.sqrt()
        + 0.015 * pitch_in.powf(2.0 / 3.0);
    width_in * 25_400.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::Firmness;
    use proptest::prelude::*;

    fn deviation(thread: &str, tolerance: &str) -> Deviation {
        fundamental_deviation(&thread.parse().unwrap(), &tolerance.parse().unwrap()).unwrap()
    }

    fn width_um(thread: &str, tolerance: &str) -> f64 {
        pitch_diameter_tolerance(&thread.parse().unwrap(), &tolerance.parse().unwrap()).unwrap().width_um
    }

    #[test]
    fn the_table_of_iso_965_wins_over_its_formula() {
        // printed: ISO 965-1, fundamental deviations of e, f and g
        for (thread, e, f, g) in [
            ("M6", -60.0, -40.0, -26.0),
            ("M8", -63.0, -42.0, -28.0),
            ("M10", -67.0, -45.0, -32.0),
            ("M12", -71.0, -48.0, -34.0),
            ("M16", -71.0, -52.0, -38.0),
            ("M20", -80.0, -58.0, -42.0),
            ("M24", -85.0, -63.0, -48.0),
        ] {
            for (tolerance, expected) in
                [("6e", e), ("6f", f), ("6g", g), ("6h", 0.0), ("6G", -g), ("6H", 0.0)]
            {
                assert_eq!(deviation(thread, tolerance).deviation_um, expected, "{thread} {tolerance}");
            }
        }
        assert_eq!(deviation("M8", "6g").source.firmness, Firmness::Standard);
        assert_eq!(deviation("M24", "6g").source.firmness, Firmness::FromMemory);
    }

    /// Recalled: ISO 965-5 and ISO 10684, deviations of threads that go with hot-dip zinc on the screw, µm.
    #[test]
    fn threads_for_hot_dip_zinc_have_the_deviations_of_their_standard() {
        for (thread, az, ax) in
            [("M10", 330.0, 310.0), ("M12", 335.0, 365.0), ("M16", 340.0, 420.0), ("M24", 360.0, 640.0)]
        {
            assert_eq!(deviation(thread, "6AZ").deviation_um, az, "{thread}");
            assert_eq!(deviation(thread, "6AX").deviation_um, ax, "{thread}");
            assert_eq!(deviation(thread, "6az").deviation_um, -az, "{thread}");
            assert_eq!(width_um(thread, "6AZ"), width_um(thread, "6H"));
        }
        assert_eq!(deviation("M12", "6AZ").source.firmness, Firmness::FromMemory);
        assert!("5AZ".parse::<Tolerance>().is_err() && "6Az".parse::<Tolerance>().is_err());
    }

    #[test]
    fn outside_the_table_the_formula_serves_and_says_so() {
        // printed formula: es(e) = -(50 + 11·P); position e starts at P = 0.5 mm
        let small = deviation("M2", "6e");
        assert!((small.deviation_um + 54.4).abs() < 1e-9);
        assert_eq!(small.source.firmness, Firmness::Derived);
        assert_eq!(deviation("M10x1.1", "6g").source.firmness, Firmness::Derived);
    }

    #[test]
    fn every_row_stays_close_to_the_formula() {
        // independent: the table is the formula rounded to preferred numbers, within 5.5 µm
        for DeviationRow(pitch, e, f, g, _) in DEVIATIONS {
            for (value, constant) in [(*e, 50.0), (*f, 30.0), (Some(*g), 15.0)] {
                let Some(value) = value else { continue };
                assert!((value - constant - 11.0 * pitch).abs() <= 5.5, "{pitch}");
            }
        }
        // independent: the table is the formula rounded to preferred numbers; the printed row furthest off has 4.2%
        for (to, pitch, width, _) in WIDTHS {
            let over = DIAMETER_STEPS[DIAMETER_STEPS.iter().position(|s| s == to).unwrap() - 1];
            let formula = 90.0 * pitch.powf(0.4) * (over * to).sqrt().powf(0.1);
            assert!((width / formula - 1.0).abs() < 0.043, "{to} {pitch}: {width} {formula}");
        }
    }

    #[test]
    fn pitch_diameter_tolerances_agree_with_the_printed_ones() {
        // printed: ISO 965-1, Td2 grade 6
        for (thread, expected) in [("M4", 90.0), ("M8", 118.0), ("M12", 150.0), ("M24", 200.0)] {
            assert_eq!(width_um(thread, "6g"), expected);
        }
        // printed, recalled: Td2 grade 4 of M8 75 µm, TD2 grade 6 of M8 160 µm; ours is not rounded
        assert!((width_um("M8", "4h") / 75.0 - 1.0).abs() < 0.03);
        assert!((width_um("M8", "6H") / 160.0 - 1.0).abs() < 0.03);
    }

    #[test]
    fn every_grade_is_its_share_of_grade_6() {
        // printed, recalled: ISO 965-1, M8: Td2 of grades 3 to 9 and TD2 of 4 to 8 in µm; ours is not rounded
        let outside = [60.0, 75.0, 95.0, 118.0, 150.0, 190.0, 236.0];
        let inside = [100.0, 125.0, 160.0, 200.0, 250.0];
        for (position, from, printed) in [("g", 3, &outside[..]), ("H", 4, &inside[..])] {
            for (grade, printed) in (from..).zip(printed) {
                let found = width_um("M8", &format!("{grade}{position}"));
                assert!((found / printed - 1.0).abs() < 0.03, "{grade}{position}: {found} for {printed}");
            }
        }
        let firmness = |tolerance: &str| {
            let (thread, tolerance) = ("M8".parse().unwrap(), tolerance.parse().unwrap());
            pitch_diameter_tolerance(&thread, &tolerance).unwrap().source.firmness
        };
        assert_eq!(
            (firmness("6g"), firmness("7g"), firmness("6H")),
            (Firmness::Standard, Firmness::Derived, Firmness::Derived)
        );
    }

    #[test]
    fn widths_outside_the_table_are_those_of_the_formula() {
        // by hand: 90·1.1^0.4·(√(5.6·11.2))^0.1 = 90·1.038860·1.229901 = 114.9926
        assert!((width_um("M10x1.1", "6g") - 114.9926).abs() < 1e-4);
    }

    #[test]
    fn the_inch_example_of_asme_b1_1_is_met() {
        // printed: 1/2-28 UNEF-2A, Td2 0.003668 in, allowance 0.0011 in
        assert!((width_um("1/2-28 UNEF", "2A") / 25_400.0 - 0.003_668).abs() < 1e-6);
        assert!((deviation("1/2-28 UNEF", "2A").deviation_um / 25_400.0 + 0.0011).abs() < 1e-5);
        assert_eq!(deviation("1/4-20 UNC", "3A").deviation_um, 0.0);
        // printed, recalled: 1 1/2-8 UN-2A 1.4166 to 1.4093 in, 1 1/2-16 UN-2A 1.4578 to 1.4526 in. By hand, the constant
        // pitch of 8 with the diameter as engagement: 0.0015·1.144714 + 0.0015·1.224745 + 0.015·0.25 = 0.007304 in;
        // that of 16 with nine pitches: 0.0015·1.144714 + 0.0015·0.75 + 0.015·0.157490 = 0.005204 in
        for (thread, expected_in) in [("1 1/2-8 UN", 0.007_304), ("1 1/2-16 UN", 0.005_204)] {
            let found_in = width_um(thread, "2A") / 25_400.0;
            assert!((found_in - expected_in).abs() < 1e-6, "{thread}: {found_in}");
        }
        // independent: 3A is three quarters of 2A
        assert!((width_um("1/4-20 UNC", "3A") / width_um("1/4-20 UNC", "2A") - 0.75).abs() < 1e-12);
    }

    #[test]
    fn systems_do_not_mix_and_nonsense_is_refused() {
        let metric: Thread = "M8".parse().unwrap();
        let inch: Thread = "1/4-20 UNC".parse().unwrap();
        for (thread, tolerance) in [(metric, "2A"), (metric, "2B"), (inch, "6g"), (inch, "6H")] {
            let tolerance = tolerance.parse().unwrap();
            assert_eq!(fundamental_deviation(&thread, &tolerance).unwrap_err().field(), "tolerance");
            assert!(pitch_diameter_tolerance(&thread, &tolerance).is_err());
        }
        for text in ["", "g", "6", "6k", "99g", "9H", "4A", "5g6g", "6 g"] {
            assert_eq!(text.parse::<Tolerance>().unwrap_err().kind(), "name", "{text}");
        }
    }

    #[test]
    fn capital_letters_and_b_are_inside() {
        for tolerance in Tolerance::all() {
            let text = tolerance.to_string();
            let inside = text.ends_with(['G', 'H', 'B']) || text.ends_with("AZ") || text.ends_with("AX");
            assert_eq!(tolerance.is_internal(), inside, "{text}");
        }
    }

    #[test]
    fn every_tolerance_reads_back() {
        for tolerance in Tolerance::all() {
            let json = serde_json::to_string(&tolerance).unwrap();
            assert_eq!(serde_json::from_str::<Tolerance>(&json).unwrap(), tolerance);
        }
    }

    proptest! {
        #[test]
        fn e_has_more_room_than_f_than_g_than_h(diameter in 4.0..80.0_f64, pitch in 0.2..1.4_f64) {
            let thread = Thread::Metric(MetricThread::new(diameter, pitch).unwrap());
            let at = |t: &str| fundamental_deviation(&thread, &t.parse().unwrap()).unwrap().deviation_um;
            prop_assert!(at("6e") < at("6f") && at("6f") < at("6g") && at("6g") < at("6h"));
            prop_assert_eq!(at("6G"), -at("6g"));
        }
    }

    fn width(thread: &str, tolerance: &str) -> f64 {
        pitch_diameter_tolerance(&thread.parse().unwrap(), &tolerance.parse().unwrap()).unwrap().width_um
    }

    /// ISO 965-1, pitch diameter tolerances of M10 x 1.5; printed, from memory. The factors give them but for the
    /// rounding to preferred numbers.
    #[test]
    fn grades_of_a_metric_thread_are_those_of_the_table() {
        for (tolerance, printed) in [
            ("3g", 67.0),
            ("4g", 85.0),
            ("5g", 106.0),
            ("6g", 132.0),
            ("7g", 170.0),
            ("8g", 212.0),
            ("9g", 265.0),
            ("4H", 112.0),
            ("5H", 140.0),
            ("6H", 180.0),
            ("7H", 224.0),
            ("8H", 280.0),
        ] {
            let found = width("M10", tolerance);
            assert!((found / printed - 1.0).abs() < 0.035, "{tolerance}: {found} for {printed}");
        }
    }

    /// ASME B1.1, pitch diameter tolerances of 1/2-13 UNC and 1 1/2-8 UN in inches; printed, from memory.
    #[test]
    fn classes_of_an_inch_thread_are_those_of_the_table() {
        for (thread, class, printed_in) in [
            ("1/2-13 UNC", "1A", 0.0074),
            ("1/2-13 UNC", "2A", 0.0050),
            ("1/2-13 UNC", "3A", 0.0037),
            ("1/2-13 UNC", "1B", 0.0097),
            ("1/2-13 UNC", "2B", 0.0065),
            ("1/2-13 UNC", "3B", 0.0048),
            ("1 1/2-8 UN", "2A", 0.0073),
        ] {
            // printed to a ten-thousandth
            let found_in = width(thread, class) / 25_400.0;
            assert!((found_in - printed_in).abs() < 0.000_06, "{thread} {class}: {found_in}");
        }
    }
}
