//! The points at which the truth is tried: a fixed lattice in four copies, the spread between whose answers is their
//! error. Two are shifted, the other two their mirror images, so that what is odd about the middle cancels.

use crate::math::lattice::Lattice;
use crate::math::normal_quantile;

/// Points of the lattice, a prime.
pub(super) const POINTS: u32 = 1021;
/// Copies of it.
pub(super) const SHIFTS: u32 = 4;

/// The points of one copy, each coordinate evenly spread over 0 to 1.
pub(super) fn even_points(shift: u32, dimensions: usize) -> Vec<Vec<f64>> {
    let lattice = Lattice::new(POINTS, dimensions);
    let points = lattice.shifted(shift / 2);
    if shift.is_multiple_of(2) { points.collect() } else { points.map(mirrored).collect() }
}

fn mirrored(point: Vec<f64>) -> Vec<f64> {
    point.into_iter().map(|x| 1.0 - x).collect()
}

/// The points of one copy as standard normal numbers.
#[cfg(test)]
pub(super) fn normal_points(shift: u32, dimensions: usize) -> Vec<Vec<f64>> {
    let points = even_points(shift, dimensions);
    points.into_iter().map(|point| point.into_iter().map(normal_quantile).collect()).collect()
}

/// A coordinate as a standard normal number.
pub(super) fn normal(even: f64) -> f64 {
    normal_quantile(even)
}
