//! Metric and inch screw threads: their designation and their basic geometry.
//!
//! Both systems share the 60° profile. With the pitch P and H = (√3/2)·P:
//!
//! | quantity | formula | metric | inch |
//! | --- | --- | --- | --- |
//! | pitch diameter d2 | d - (3/4)·H | d - 0.649519·P | the same |
//! | minor diameter of the nut thread D1 | d - (5/4)·H | d - 1.082532·P | the same |
//! | root diameter of the screw d3 | d - (17/12)·H, d - (3/2)·H | d - 1.226869·P | d - 1.299038·P |
//! | stress area As | (π/4)·((d2 + d3)/2)² | (π/4)·(d - 0.938194·P)² | (π/4)·(d - 0.974279·P)² |

use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result, invalid, unknown, within};
use crate::evidence::Source;

/// Where the coarse pitches of metric threads come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const COARSE_PITCH_SOURCE: Source = Source::from_memory("ISO 261:1998, table 2, coarse series");
/// Where the fine pitches of metric threads come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FINE_PITCH_SOURCE: Source =
    Source::from_memory("ISO 261:1998, table 2, fine series up to M64");
/// Where the standard pitches of inch threads come from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const INCH_SERIES_SOURCE: Source = Source::from_memory(
    "ASME B1.1-2003, table 1, series UNC, UNF and UNEF; number sizes 0.060 in + 0.013 in·n",
);
/// Where the geometry of metric threads comes from.
pub(crate) const METRIC_GEOMETRY_SOURCE: Source =
    Source::derived("ISO 68-1:1998 basic profile, root at 17/24 H; stress area by ISO 898-1:2013, 9.1.6.1");
/// Where the geometry of inch threads comes from.
pub(crate) const INCH_GEOMETRY_SOURCE: Source =
    Source::derived("ASME B1.1-2003 basic profile; stress area (π/4)·(D - 0.9743/n)², recalled");

/// One inch in millimetres.
const INCH_MM: f64 = 25.4;

/// (diameter in mm, coarse pitch in mm); source: `COARSE_PITCH_SOURCE`.
const COARSE_PITCH: &[(f64, f64)] = &[
    (1.0, 0.25),
    (1.1, 0.25),
    (1.2, 0.25),
    (1.4, 0.3),
    (1.6, 0.35),
    (1.8, 0.35),
    (2.0, 0.4),
    (2.2, 0.45),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (4.5, 0.75),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (9.0, 1.25),
    (10.0, 1.5),
    (11.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
    (39.0, 4.0),
    (42.0, 4.5),
    (45.0, 4.5),
    (48.0, 5.0),
    (52.0, 5.0),
    (56.0, 5.5),
    (60.0, 5.5),
    (64.0, 6.0),
];

/// Diameters in mm with the fine pitches that ISO 261 has for them, in mm.
const FINE_PITCHES: &[(&[f64], &[f64])] = &[
    (&[1.0, 1.1, 1.2, 1.4, 1.6, 1.8], &[0.2]),
    (&[2.0, 2.2], &[0.25]),
    (&[2.5, 3.0, 3.5], &[0.35]),
    (&[4.0, 4.5, 5.0, 5.5], &[0.5]),
    (&[6.0, 7.0], &[0.75]),
    (&[8.0, 9.0, 11.0], &[1.0, 0.75]),
    (&[10.0], &[1.25, 1.0, 0.75]),
    (&[12.0, 14.0], &[1.5, 1.25, 1.0]),
    (&[15.0, 16.0, 17.0], &[1.5, 1.0]),
    (&[18.0, 20.0, 22.0, 24.0, 25.0, 27.0, 28.0], &[2.0, 1.5, 1.0]),
    (&[26.0, 35.0, 38.0], &[1.5]),
    (&[30.0], &[3.0, 2.0, 1.5, 1.0]),
    (&[32.0], &[2.0, 1.5]),
    (&[33.0, 36.0, 39.0, 40.0, 50.0], &[3.0, 2.0, 1.5]),
    (&[42.0, 45.0, 48.0, 52.0, 55.0, 56.0, 58.0, 60.0, 62.0, 64.0], &[4.0, 3.0, 2.0, 1.5]),
];
/// Largest diameter of these tables, mm.
const LARGEST_TABLED_MM: f64 = 64.0;

/// (diameter in inches, threads per inch UNC, UNF, UNEF), 0 where the series has none; source:
/// `INCH_SERIES_SOURCE`.
const INCH_PITCH: &[(f64, [f64; 3])] = &[
    (0.060, [0.0, 80.0, 0.0]),
    (0.073, [64.0, 72.0, 0.0]),
    (0.086, [56.0, 64.0, 0.0]),
    (0.099, [48.0, 56.0, 0.0]),
    (0.112, [40.0, 48.0, 0.0]),
    (0.125, [40.0, 44.0, 0.0]),
    (0.138, [32.0, 40.0, 0.0]),
    (0.164, [32.0, 36.0, 0.0]),
    (0.190, [24.0, 32.0, 0.0]),
    (0.216, [24.0, 28.0, 32.0]),
    (0.25, [20.0, 28.0, 32.0]),
    (0.3125, [18.0, 24.0, 32.0]),
    (0.375, [16.0, 24.0, 32.0]),
    (0.4375, [14.0, 20.0, 28.0]),
    (0.5, [13.0, 20.0, 28.0]),
    (0.5625, [12.0, 18.0, 24.0]),
    (0.625, [11.0, 18.0, 24.0]),
    (0.6875, [0.0, 0.0, 24.0]),
    (0.75, [10.0, 16.0, 20.0]),
    (0.8125, [0.0, 0.0, 20.0]),
    (0.875, [9.0, 14.0, 20.0]),
    (0.9375, [0.0, 0.0, 20.0]),
    (1.0, [8.0, 12.0, 20.0]),
    (1.0625, [0.0, 0.0, 18.0]),
    (1.125, [7.0, 12.0, 18.0]),
    (1.1875, [0.0, 0.0, 18.0]),
    (1.25, [7.0, 12.0, 18.0]),
    (1.3125, [0.0, 0.0, 18.0]),
    (1.375, [6.0, 12.0, 18.0]),
    (1.4375, [0.0, 0.0, 18.0]),
    (1.5, [6.0, 12.0, 18.0]),
    (1.5625, [0.0, 0.0, 18.0]),
    (1.625, [0.0, 0.0, 18.0]),
    (1.6875, [0.0, 0.0, 18.0]),
    (1.75, [5.0, 0.0, 0.0]),
    (2.0, [4.5, 0.0, 0.0]),
    (2.25, [4.5, 0.0, 0.0]),
    (2.5, [4.0, 0.0, 0.0]),
    (2.75, [4.0, 0.0, 0.0]),
    (3.0, [4.0, 0.0, 0.0]),
    (3.25, [4.0, 0.0, 0.0]),
    (3.5, [4.0, 0.0, 0.0]),
    (3.75, [4.0, 0.0, 0.0]),
    (4.0, [4.0, 0.0, 0.0]),
];

/// Whether two lengths are the same nominal size; decimal inputs differ by rounding only.
pub(super) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// A pitch above this share of the diameter leaves no sound core (M1 has 0.25, the steepest standard thread).
const STEEPEST: f64 = 0.35;

fn checked_pitch(diameter_mm: f64, pitch_mm: f64) -> Result<()> {
    within(
        "pitch_mm",
        pitch_mm,
        0.1,
        8.0,
        "mm",
        "Enter the pitch in millimeters; a length goes into its own field.",
    )?;
    if pitch_mm > STEEPEST * diameter_mm {
        let allowed = format!("at most {:.3} mm for a diameter of {diameter_mm} mm", STEEPEST * diameter_mm);
        return Err(invalid("pitch_mm", pitch_mm, &allowed, "Check whether diameter and pitch are swapped."));
    }
    Ok(())
}

/// A metric thread of the 60° ISO profile.
///
/// Written `M8` (coarse pitch) or `M8x1`; spaces, `X`, `×` and `*` are accepted.
///
/// ```
/// use overcoat::fastener::MetricThread;
/// let thread: MetricThread = "M8 x 1.25".parse()?;
/// assert_eq!(thread, "M8".parse()?);
/// assert_eq!(thread.to_string(), "M8");
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MetricThread {
    diameter_mm: f64,
    pitch_mm: f64,
}

impl MetricThread {
    /// A thread of `diameter_mm` (1 to 300 mm) and `pitch_mm` (0.1 to 8 mm, at most 0.35 of the diameter).
    ///
    /// The pitch need not be a standard one: rules that rest on a table say so when they leave it.
    ///
    /// # Errors
    /// When either is outside its range or not a number.
    ///
    /// ```
    /// use overcoat::fastener::MetricThread;
    /// assert_eq!(MetricThread::new(10.0, 1.25)?.to_string(), "M10x1.25");
    /// assert!(MetricThread::new(1.25, 10.0).is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn new(diameter_mm: f64, pitch_mm: f64) -> Result<Self> {
        within("diameter_mm", diameter_mm, 1.0, 300.0, "mm", "Enter the nominal diameter in millimeters.")?;
        checked_pitch(diameter_mm, pitch_mm)?;
        Ok(Self { diameter_mm, pitch_mm })
    }

    /// The coarse-pitch thread of a diameter (ISO 261, M1 to M64).
    ///
    /// # Errors
    /// When the diameter has no coarse pitch.
    ///
    /// ```
    /// use overcoat::fastener::MetricThread;
    /// assert_eq!(MetricThread::coarse(12.0)?.pitch_mm(), 1.75);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn coarse(diameter_mm: f64) -> Result<Self> {
        let pitch = COARSE_PITCH.iter().find(|(d, _)| same(*d, diameter_mm));
        pitch.map(|&(diameter_mm, pitch_mm)| Self { diameter_mm, pitch_mm }).ok_or_else(|| {
            invalid(
                "thread",
                format!("M{diameter_mm}"),
                "a diameter with a coarse pitch, M1 to M64 of ISO 261",
                "Enter the pitch too, for example M8x1.",
            )
        })
    }

    /// Nominal (major) diameter d in mm.
    pub const fn diameter_mm(&self) -> f64 {
        self.diameter_mm
    }

    /// Pitch P in mm.
    pub const fn pitch_mm(&self) -> f64 {
        self.pitch_mm
    }

    /// The pitches that ISO 261 has for the diameter, coarse first; none of a diameter that it does not have.
    fn pitches_of_iso_261(&self) -> Vec<f64> {
        let coarse = Self::coarse(self.diameter_mm).ok().map(|coarse| coarse.pitch_mm);
        let of_diameter =
            FINE_PITCHES.iter().find(|(sizes, _)| sizes.iter().any(|d| same(*d, self.diameter_mm)));
        coarse
            .into_iter()
            .chain(of_diameter.iter().flat_map(|(_, pitches)| pitches.iter().copied()))
            .collect()
    }

    /// Whether the pitch is the coarse one of its diameter.
    pub fn is_coarse(&self) -> bool {
        Self::coarse(self.diameter_mm).is_ok_and(|c| same(c.pitch_mm, self.pitch_mm))
    }
}

impl fmt::Display for MetricThread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_coarse() {
            write!(f, "M{}", self.diameter_mm)
        } else {
            write!(f, "M{}x{}", self.diameter_mm, self.pitch_mm)
        }
    }
}

impl FromStr for MetricThread {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let malformed = || {
            invalid(
                "thread",
                format!("{text:?}"),
                "M and a diameter, with or without a pitch, for example M8 or M8x1",
                if tolerance_behind(text) {
                    TOLERANCE_APART
                } else {
                    "Write M8 or M8x1, decimals with a point."
                },
            )
        };
        let number = |s: &str| s.trim().parse::<f64>().map_err(|_| malformed());
        let sizes = text.trim().strip_prefix(['M', 'm']).ok_or_else(malformed)?;
        match sizes.split_once(['x', 'X', '×', '*']) {
            Some((diameter, pitch)) => {
                let thread = Self::new(number(diameter)?, number(pitch)?)?;
                match Self::coarse(thread.diameter_mm) {
                    Ok(coarse) if thread.pitch_mm > coarse.pitch_mm && !thread.is_coarse() => Err(invalid(
                        "thread",
                        format!("{text:?}"),
                        &format!("a pitch of at most {} mm, the coarse one of ISO 261", coarse.pitch_mm),
                        "Write the pitch of the thread, or the diameter alone for the coarse one.",
                    )),
                    _ => Ok(thread),
                }
            }
            None => Self::coarse(number(sizes)?),
        }
    }
}

/// A series of inch threads. It decides the length of engagement in the tolerance formula of ASME B1.1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InchSeries {
    /// Coarse.
    Unc,
    /// Fine.
    Unf,
    /// Extra fine.
    Unef,
    /// Constant pitch.
    Un,
    /// Special.
    Uns,
}

impl InchSeries {
    /// Every series.
    pub const ALL: &[Self] = &[Self::Unc, Self::Unf, Self::Unef, Self::Un, Self::Uns];

    const fn words(self) -> &'static str {
        match self {
            Self::Unc => "UNC",
            Self::Unf => "UNF",
            Self::Unef => "UNEF",
            Self::Un => "UN",
            Self::Uns => "UNS",
        }
    }
}

impl fmt::Display for InchSeries {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

impl FromStr for InchSeries {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        Self::ALL.iter().copied().find(|s| s.words().eq_ignore_ascii_case(text.trim())).ok_or_else(|| {
            unknown(
                "thread.series",
                text,
                Self::ALL.iter().map(|s| s.words()),
                "Name one of the known series.",
            )
        })
    }
}

/// The standard threads per inch of a diameter, with their series.
fn standard_pitches(diameter_in: f64) -> impl Iterator<Item = (f64, InchSeries)> {
    INCH_PITCH
        .iter()
        .filter(move |(d, _)| same(*d, diameter_in))
        .flat_map(|(_, pitches)| pitches.iter().copied().zip(InchSeries::ALL.iter().copied()))
        .filter(|(threads_per_inch, _)| *threads_per_inch > 0.0)
}

/// A unified (inch) thread of the 60° profile.
///
/// Written `1/4-20 UNC`, `#10-32 UNF`, `1 1/4-7 UNC` or `0.25-20 UNC`. The series may be left out where
/// diameter and threads per inch belong to a standard one; the `#` may be left out for a standard number size.
///
/// ```
/// use overcoat::fastener::InchThread;
/// let thread: InchThread = "10-32".parse()?;
/// assert_eq!(thread.to_string(), "#10-32 UNF");
/// assert_eq!(thread.diameter_in(), 0.190);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InchThread {
    diameter_in: f64,
    threads_per_inch: f64,
    series: InchSeries,
}

impl InchThread {
    /// A thread of `diameter_in` (0.06 to 6 in) and `threads_per_inch` (3.2 to 100).
    ///
    /// # Errors
    /// When a number is outside its range, or when UNC, UNF or UNEF have another pitch for this diameter.
    ///
    /// ```
    /// use overcoat::fastener::{InchSeries, InchThread};
    /// assert_eq!(InchThread::new(0.25, 20.0, InchSeries::Unc)?.to_string(), "1/4-20 UNC");
    /// assert!(InchThread::new(0.25, 20.0, InchSeries::Unf).is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn new(diameter_in: f64, threads_per_inch: f64, series: InchSeries) -> Result<Self> {
        within("diameter_in", diameter_in, 0.06, 6.0, "in", "Enter the nominal diameter in inches.")?;
        within("threads_per_inch", threads_per_inch, 3.2, 100.0, "1/in", "Enter the threads per inch.")?;
        checked_pitch(diameter_in * INCH_MM, INCH_MM / threads_per_inch)?;
        let standard = matches!(series, InchSeries::Unc | InchSeries::Unf | InchSeries::Unef);
        if standard && !standard_pitches(diameter_in).any(|(n, s)| s == series && same(n, threads_per_inch)) {
            let known: Vec<_> = standard_pitches(diameter_in).map(|(n, s)| format!("{n} {s}")).collect();
            let allowed = if known.is_empty() {
                format!("UN or UNS for a diameter of {diameter_in} in")
            } else {
                format!("{} for a diameter of {diameter_in} in", known.join(", "))
            };
            return Err(invalid(
                "threads_per_inch",
                format!("{threads_per_inch} {series}"),
                &allowed,
                "Correct the pitch or call the thread UN or UNS.",
            ));
        }
        Ok(Self { diameter_in, threads_per_inch, series })
    }

    /// Nominal (major) diameter D in inches.
    pub const fn diameter_in(&self) -> f64 {
        self.diameter_in
    }

    /// Threads per inch n.
    pub const fn threads_per_inch(&self) -> f64 {
        self.threads_per_inch
    }

    /// The series.
    pub const fn series(&self) -> InchSeries {
        self.series
    }
}

/// Diameter of the number size n in inches: (60 + 13·n)/1000.
fn number_size_in(n: u8) -> f64 {
    (60.0 + 13.0 * f64::from(n)) / 1000.0
}

fn fraction(text: &str) -> Option<f64> {
    let (top, bottom) = text.split_once('/')?;
    let (top, bottom): (u16, u16) = (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
    (bottom != 0).then(|| f64::from(top) / f64::from(bottom))
}

/// The remedy for a designation with its tolerance behind it.
const TOLERANCE_APART: &str = "Leave out the tolerance class: it has its own field, `tolerance`.";

/// Whether a designation ends in a tolerance class, as "-6g" or "-2A".
fn tolerance_behind(text: &str) -> bool {
    let end = text.trim().rsplit(['-', ' ']).next().unwrap_or_default();
    end.len() < text.trim().len()
        && end.starts_with(|c: char| c.is_ascii_digit())
        && end.ends_with(|c: char| c.is_ascii_alphabetic())
        && end.len() <= 4
        && !end.ends_with("mm")
        && !end.ends_with("in")
}

/// The mark or word for inches behind a diameter taken off.
fn without_inch_mark(text: &str) -> &str {
    let text = text.trim();
    let marked = ["\"", "″", "inches", "inch", "in"].iter().find_map(|mark| text.strip_suffix(mark));
    marked.unwrap_or(text).trim_end()
}

/// What to write for an inch thread that cannot be read: its standard pitches where it is a diameter alone.
fn what_to_write(text: &str) -> String {
    if tolerance_behind(text) {
        return TOLERANCE_APART.to_owned();
    }
    let size = without_inch_mark(text);
    if let Some(metric) = size.strip_suffix("mm").map(str::trim_end)
        && metric.parse::<f64>().is_ok()
    {
        return format!("Write M{metric} for a metric thread.");
    }
    let number = size.parse().ok().filter(|n| *n <= 12).map(number_size_in);
    let Some(diameter_in) = number.filter(|d| standard_pitches(*d).next().is_some()).or_else(|| inches(size))
    else {
        return "Write it as M8 or as 1/4-20 UNC.".to_owned();
    };
    let threads = standard_pitches(diameter_in)
        .filter(|(_, series)| *series != InchSeries::Unef)
        .filter_map(|(n, series)| Some((InchThread::new(diameter_in, n, series).ok()?, series)))
        .map(|(thread, series)| {
            format!("{thread} ({})", if series == InchSeries::Unc { "coarse" } else { "fine" })
        });
    let threads: Vec<String> = threads.collect();
    let metric = if number.is_some() { format!(", or M{size} if metric") } else { String::new() };
    if threads.is_empty() {
        "Add the threads per inch, such as 1/4-20 UNC.".to_owned()
    } else {
        format!("{size} needs threads per inch: {}{metric}.", threads.join(" or "))
    }
}

/// A diameter as drawings write it: `#10`, `1/4`, `1 1/4`, `1-1/4`, `0.25`.
fn inches(text: &str) -> Option<f64> {
    if let Some(number) = text.strip_prefix('#') {
        return number.parse().ok().filter(|n| *n <= 12).map(number_size_in);
    }
    if let Some((whole, part)) = text.split_once([' ', '-']) {
        return Some(f64::from(whole.trim().parse::<u16>().ok()?) + fraction(part)?);
    }
    fraction(text).or_else(|| text.parse().ok())
}

impl fmt::Display for InchThread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sixty_fourths = self.diameter_in * 64.0;
        if let Some(n) = (0..=12).find(|n| same(number_size_in(*n), self.diameter_in)) {
            write!(f, "#{n}")?;
        } else if sixty_fourths.fract() == 0.0 {
            let (mut top, mut bottom) = (sixty_fourths, 64.0);
            while top % 2.0 == 0.0 {
                top /= 2.0;
                bottom /= 2.0;
            }
            let (whole, rest) = ((top / bottom).floor(), top % bottom);
            match (whole > 0.0, rest > 0.0) {
                (true, true) => write!(f, "{whole} {rest}/{bottom}")?,
                (true, false) => write!(f, "{whole}")?,
                _ => write!(f, "{rest}/{bottom}")?,
            }
        } else {
            write!(f, "{}", self.diameter_in)?;
        }
        write!(f, "-{} {}", self.threads_per_inch, self.series)
    }
}

impl FromStr for InchThread {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let malformed = || {
            invalid(
                "thread",
                format!("{text:?}"),
                "a diameter, threads per inch and a series, for example 1/4-20 UNC or #10-32 UNF",
                &what_to_write(text),
            )
        };
        let (diameter, pitch) = text.trim().rsplit_once('-').ok_or_else(malformed)?;
        let (pitch, series) = pitch.trim().split_once(' ').unwrap_or((pitch.trim(), ""));
        let threads_per_inch = pitch.parse::<f64>().map_err(|_| malformed())?;
        let standard = |diameter_in| standard_pitches(diameter_in).find(|(n, _)| same(*n, threads_per_inch));
        let diameter = without_inch_mark(diameter);
        // `10-32` is the number size: no standard thread of 10 in has 32 threads per inch.
        let bare_number = diameter.parse().ok().filter(|n| *n <= 12).map(number_size_in);
        let diameter_in = bare_number
            .filter(|d| standard(*d).is_some())
            .or_else(|| inches(diameter))
            .ok_or_else(malformed)?;
        if series.is_empty() {
            let (_, series) = standard(diameter_in).ok_or_else(malformed)?;
            return Self::new(diameter_in, threads_per_inch, series);
        }
        Self::new(diameter_in, threads_per_inch, series.parse()?)
    }
}

/// A screw thread, metric or inch; in JSON its designation, as `"M8x1"` or `"1/4-20 UNC"`.
///
/// ```
/// use overcoat::fastener::Thread;
/// let thread: Thread = "M10".parse()?;
/// assert!((thread.stress_area_mm2() - 58.0).abs() < 0.05);
/// assert_eq!("1/4-20 UNC".parse::<Thread>()?.pitch_mm(), 1.27);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(try_from = "String", into = "String")]
pub enum Thread {
    /// Metric.
    Metric(MetricThread),
    /// Inch (unified).
    Inch(InchThread),
}

impl Thread {
    /// What a metric thread of up to M64 has that ISO 261 has not: its pitch, or its diameter.
    pub(crate) fn beyond_the_standard(&self) -> Option<String> {
        let Self::Metric(thread) = self else { return None };
        let pitches = thread.pitches_of_iso_261();
        let known = pitches.iter().any(|pitch| same(*pitch, thread.pitch_mm));
        if known || thread.diameter_mm > LARGEST_TABLED_MM {
            return None;
        }
        let diameter = thread.diameter_mm;
        Some(if pitches.is_empty() {
            format!("the thread {thread}: ISO 261 has no M{diameter}, so check it")
        } else {
            let pitches: Vec<String> = pitches.iter().map(ToString::to_string).collect();
            format!(
                "the thread {thread}: ISO 261 has no such pitch for M{diameter} but {} mm, so check it",
                pitches.join(", ")
            )
        })
    }

    /// Nominal (major) diameter d in mm.
    pub fn diameter_mm(&self) -> f64 {
        match self {
            Self::Metric(t) => t.diameter_mm,
            Self::Inch(t) => t.diameter_in * INCH_MM,
        }
    }

    /// Pitch P in mm.
    pub fn pitch_mm(&self) -> f64 {
        match self {
            Self::Metric(t) => t.pitch_mm,
            Self::Inch(t) => INCH_MM / t.threads_per_inch,
        }
    }

    /// Height H = (√3/2)·P of the sharp 60° triangle in mm.
    pub fn triangle_height_mm(&self) -> f64 {
        0.75_f64.sqrt() * self.pitch_mm()
    }

    /// Pitch diameter d2 = d - (3/4)·H in mm.
    pub fn pitch_diameter_mm(&self) -> f64 {
        self.diameter_mm() - 0.75 * self.triangle_height_mm()
    }

    /// Basic minor diameter D1 = d - (5/4)·H of the internal thread in mm.
    pub fn minor_diameter_mm(&self) -> f64 {
        self.diameter_mm() - 1.25 * self.triangle_height_mm()
    }

    /// Root diameter d3 of the external thread in mm: d - (17/12)·H metric, d - (3/2)·H inch.
    pub fn root_diameter_mm(&self) -> f64 {
        let truncation = match self {
            Self::Metric(_) => 17.0 / 12.0,
            Self::Inch(_) => 1.5,
        };
        self.diameter_mm() - truncation * self.triangle_height_mm()
    }

    /// Diameter d0 = (d2 + d3)/2 of the stress area in mm.
    pub fn stress_diameter_mm(&self) -> f64 {
        0.5 * (self.pitch_diameter_mm() + self.root_diameter_mm())
    }

    /// Stress area As = (π/4)·d0² in mm².
    pub fn stress_area_mm2(&self) -> f64 {
        0.25 * PI * self.stress_diameter_mm().powi(2)
    }

    /// Where the geometry comes from.
    pub const fn geometry_source(&self) -> Source {
        match self {
            Self::Metric(_) => METRIC_GEOMETRY_SOURCE,
            Self::Inch(_) => INCH_GEOMETRY_SOURCE,
        }
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Metric(t) => t.fmt(f),
            Self::Inch(t) => t.fmt(f),
        }
    }
}

impl FromStr for Thread {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let metric = text.trim_start().starts_with(['M', 'm']);
        if metric { text.parse().map(Self::Metric) } else { text.parse().map(Self::Inch) }
    }
}

impl TryFrom<String> for Thread {
    type Error = Error;

    fn try_from(text: String) -> Result<Self> {
        text.parse()
    }
}

impl From<Thread> for String {
    fn from(thread: Thread) -> Self {
        thread.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn thread(text: &str) -> Thread {
        text.parse().unwrap()
    }

    #[test]
    fn stress_areas_agree_with_the_printed_ones() {
        // printed: ISO 898-1:2013, tables 4 and 6, nominal stress areas in mm², recalled
        for (text, area) in
            [("M3", 5.03), ("M6", 20.1), ("M8", 36.6), ("M12", 84.3), ("M8x1", 39.2), ("M24", 353.0)]
        {
            let got = thread(text).stress_area_mm2();
            assert!((got / area - 1.0).abs() < 2e-3, "{text}: {got}");
        }
        // printed: ASME B1.1, tensile stress areas in in², recalled
        for (text, area) in [("1/4-20 UNC", 0.0318), ("1/2-13 UNC", 0.1419), ("1-8 UNC", 0.606)] {
            let got = thread(text).stress_area_mm2() / (25.4 * 25.4);
            assert!((got / area - 1.0).abs() < 2e-3, "{text}: {got}");
        }
    }

    #[test]
    fn diameters_agree_with_the_printed_ones() {
        // printed: ISO 724, M10 coarse, d2 9.026 and D1 8.376; VDI 2230-1:2003, d3 8.160
        let m10 = thread("M10");
        assert!((m10.pitch_diameter_mm() - 9.026).abs() < 5e-4);
        assert!((m10.minor_diameter_mm() - 8.376).abs() < 5e-4);
        assert!((m10.root_diameter_mm() - 8.160).abs() < 5e-4);
    }

    #[test]
    fn designations_are_understood_in_the_ways_people_write_them() {
        for (text, shown) in [
            ("M8", "M8"),
            ("m8 X 1.0", "M8x1"),
            (" M2.5×0.45 ", "M2.5"),
            ("1/4-20 UNC", "1/4-20 UNC"),
            ("0.25-20", "1/4-20 UNC"),
            ("#10-32 UNF", "#10-32 UNF"),
            ("6-32 unc", "#6-32 UNC"),
            ("1-1/4-7 UNC", "1 1/4-7 UNC"),
            ("1 1/4 - 7 UNC", "1 1/4-7 UNC"),
            ("1-8 UNC", "1-8 UNC"),
            ("2.0-4.5 UNC", "2-4.5 UNC"),
            ("4-4 UNC", "4-4 UNC"),
            ("2-4.5 UNC", "2-4.5 UNC"),
            ("1/2-28 UNEF", "1/2-28 UNEF"),
            ("1/2-27 UNS", "1/2-27 UNS"),
            ("5/16\"-18", "5/16-18 UNC"),
            ("5/16 in-18", "5/16-18 UNC"),
            ("M10*1.25", "M10x1.25"),
        ] {
            assert_eq!(thread(text).to_string(), shown);
        }
    }

    /// Pitches of ASME B1.1: 3/8 has 16 and 24 threads per inch, number 10 has 24 and 32.
    #[test]
    fn a_diameter_alone_is_answered_with_its_pitches() {
        for (text, said) in [
            ("3/8", "3/8 needs threads per inch: 3/8-16 UNC (coarse) or 3/8-24 UNF (fine)."),
            ("#10", "#10 needs threads per inch: #10-24 UNC (coarse) or #10-32 UNF (fine)."),
            ("1/2 in", "1/2-13 UNC (coarse)"),
            ("10", "or M10 if metric"),
            ("8mm", "Write M8 "),
            ("M8-6g", "tolerance class"),
            ("1/4-20 UNC-2A", "tolerance class"),
        ] {
            let error = text.parse::<Thread>().unwrap_err();
            assert!(error.remedy().contains(said), "{text}: {error}");
        }
        for text in ["M8y", "1/4-x", "five"] {
            assert!(!text.parse::<Thread>().unwrap_err().remedy().contains("tolerance"), "{text}");
        }
    }

    #[test]
    fn the_steepest_pitch_is_allowed() {
        // 0.35 of the diameter
        assert_eq!(MetricThread::new(10.0, 3.5).unwrap().pitch_mm(), 3.5);
        assert_eq!(MetricThread::new(10.0, 3.6).unwrap_err().field(), "pitch_mm");
    }

    #[test]
    fn nonsense_is_a_typed_error() {
        for text in [
            "",
            "M",
            "M8x",
            "MNaN",
            "Minf",
            "M8xNaN",
            "M-8",
            "M8.5",
            "M8x9",
            "M0x1",
            "M8-6g",
            "1/4",
            "1/0-20",
            "#99-32 UNF",
            "1/4-20 UNX",
            "1/4-20 UNF",
            "1/4-27",
            "x-20 UNC",
            "NaN-20 UN",
            "0.5-inf UN",
            "-1-8 UNC",
        ] {
            let error = text.parse::<Thread>().unwrap_err();
            assert!(!error.remedy().is_empty(), "{text}");
        }
        assert!(MetricThread::new(f64::NAN, 1.0).is_err());
        assert!(InchThread::new(0.25, f64::NAN, InchSeries::Uns).is_err());
    }

    #[test]
    fn json_is_the_designation() {
        assert_eq!(serde_json::to_string(&thread("M8x1")).unwrap(), "\"M8x1\"");
        assert_eq!(serde_json::from_str::<Thread>("\"#10-32 UNF\"").unwrap(), thread("10-32"));
        assert!(serde_json::from_str::<Thread>("\"W 1/4\"").is_err());
    }

    #[cfg(feature = "schema")]
    #[test]
    fn the_schema_is_that_of_a_text() {
        assert_eq!(schemars::schema_for!(Thread).get("type"), Some(&"string".into()));
    }

    #[test]
    fn every_tabulated_thread_reads_back() {
        let metric = COARSE_PITCH.iter().map(|(d, _)| Thread::Metric(MetricThread::coarse(*d).unwrap()));
        let inch = INCH_PITCH.iter().flat_map(|(d, _)| {
            standard_pitches(*d).map(|(n, s)| Thread::Inch(InchThread::new(*d, n, s).unwrap()))
        });
        for t in metric.chain(inch) {
            assert_eq!(thread(&t.to_string()), t);
        }
    }

    proptest! {
        #[test]
        fn any_metric_thread_reads_back(diameter in 1.0..300.0_f64, share in 0.02..0.35_f64) {
            if let Ok(t) = MetricThread::new(diameter, diameter * share) {
                prop_assert_eq!(t.to_string().parse::<MetricThread>().unwrap(), t);
                let t = Thread::Metric(t);
                prop_assert!(0.0 < t.root_diameter_mm() && t.root_diameter_mm() < t.minor_diameter_mm());
                prop_assert!(t.minor_diameter_mm() < t.pitch_diameter_mm());
            }
        }

        #[test]
        fn any_inch_thread_reads_back(diameter in 0.06..6.0_f64, n in 3.2..100.0_f64) {
            if let Ok(t) = InchThread::new(diameter, n, InchSeries::Uns) {
                prop_assert_eq!(t.to_string().parse::<InchThread>().unwrap(), t);
            }
        }

        #[test]
        fn no_text_panics(text in "\\PC*") {
            let _ = text.parse::<Thread>();
        }
    }
}
