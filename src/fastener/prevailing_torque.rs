//! Torque that a locking feature takes by itself.

use super::thread::{Thread, same};
use crate::evidence::Source;

/// Where the highest prevailing torques come from.
pub(crate) const PREVAILING_TORQUE: Source = Source::from_memory(
    "ISO 2320, highest prevailing torque at the first assembly of self-locking nuts, classes 5, 6 and 8, classes \
     10 and 12",
);

/// (diameter mm, classes 5, 6 and 8 N·m, classes 10 and 12 N·m); source: `PREVAILING_TORQUE`.
const FIRST_ASSEMBLY: &[(f64, f64, f64)] = &[
    (3.0, 0.43, 0.6),
    (4.0, 0.9, 1.2),
    (5.0, 1.6, 2.1),
    (6.0, 3.0, 4.0),
    (8.0, 6.0, 8.0),
    (10.0, 10.5, 14.0),
    (12.0, 15.5, 21.0),
    (14.0, 24.0, 31.0),
    (16.0, 32.0, 42.0),
    (18.0, 42.0, 56.0),
    (20.0, 54.0, 72.0),
    (22.0, 68.0, 90.0),
    (24.0, 80.0, 106.0),
    (27.0, 94.0, 123.0),
    (30.0, 108.0, 140.0),
    (33.0, 122.0, 160.0),
    (36.0, 136.0, 180.0),
];

/// Highest prevailing torque of a self-locking nut at its first assembly, in N·m.
///
/// It turns the nut before any preload is there, so it adds to the tightening torque and stretches nothing. Metric
/// M3 to M36; `high_strength` selects the column of nuts of classes 10 and 12, which belong to screws 10.9 and 12.9.
/// `None` for other sizes and for inch threads. Source: `PREVAILING_TORQUE`.
///
/// ```
/// use overcoat::fastener::prevailing_torque_max_nm;
/// assert_eq!(prevailing_torque_max_nm(&"M8".parse()?, false), Some(6.0));
/// assert_eq!(prevailing_torque_max_nm(&"M8".parse()?, true), Some(8.0));
/// assert_eq!(prevailing_torque_max_nm(&"1/4-20 UNC".parse()?, false), None);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn prevailing_torque_max_nm(thread: &Thread, high_strength: bool) -> Option<f64> {
    let Thread::Metric(metric) = thread else { return None };
    let (_, usual_nm, high_nm) = FIRST_ASSEMBLY.iter().find(|row| same(row.0, metric.diameter_mm()))?;
    Some(if high_strength { *high_nm } else { *usual_nm })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_grows_with_the_size_and_with_the_class() {
        for pair in FIRST_ASSEMBLY.windows(2) {
            let [(d, usual, high), (next_d, next_usual, next_high)] = [pair[0], pair[1]];
            assert!(next_d > d && next_usual > usual && next_high > high && high > usual, "{d}");
        }
    }

    #[test]
    fn sizes_outside_the_table_have_none() {
        for text in ["M2.5", "M42", "1/2-13 UNC"] {
            assert_eq!(prevailing_torque_max_nm(&text.parse().unwrap(), false), None, "{text}");
        }
        // fine pitches lock with the same nuts
        assert_eq!(prevailing_torque_max_nm(&"M10x1.25".parse().unwrap(), false), Some(10.5));
    }
}
