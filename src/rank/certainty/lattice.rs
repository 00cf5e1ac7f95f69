//! A fixed sequence of points that fills a cube of many dimensions more evenly than chance would.
//!
//! A lattice of rank 1 with 1021 points, in four copies: the spread between the four answers is their error. Its
//! generating vector is made component by component so that every pair of dimensions is filled evenly. Each copy is
//! shifted and takes the components from another place of the vector on, so that three dimensions or more that
//! happen to fit badly in one copy do so in that one alone. All coordinates lie on a grid of 4084 values, so that
//! their normal quantiles are worked out once.

use std::sync::LazyLock;

use crate::outlook::normal_quantile;

/// Points of the lattice, a prime.
pub(super) const POINTS: usize = 1021;
/// Copies of it.
pub(super) const SHIFTS: usize = 4;
const GRID: usize = POINTS * SHIFTS;

/// Generating vector: each component makes the sum, over the pairs with those before it, of the squared error of
/// a smooth periodic function (Bernoulli polynomial of degree 2) least; the smallest of equals.
const GENERATOR: [usize; 96] = [
    1, 374, 242, 361, 209, 451, 323, 324, 133, 287, 77, 210, 107, 199, 46, 153, 171, 369, 56, 497, 234, 290,
    130, 388, 67, 467, 400, 487, 304, 365, 96, 169, 45, 494, 250, 432, 310, 454, 44, 120, 68, 93, 381, 446,
    430, 498, 334, 354, 252, 316, 343, 364, 55, 150, 18, 415, 294, 312, 89, 407, 35, 183, 20, 333, 103, 276,
    173, 379, 159, 248, 302, 383, 408, 463, 38, 82, 198, 481, 241, 286, 148, 218, 261, 402, 196, 208, 460,
    509, 362, 405, 39, 292, 345, 384, 43, 254,
];

static NORMAL: LazyLock<Vec<f64>> =
    LazyLock::new(|| (0..GRID).map(|place| normal_quantile((place as f64 + 0.5) / GRID as f64)).collect());

/// A number that looks random and is the same on every machine (Steele, Lea & Flood 2014, SplitMix64).
fn mixed(seed: u64) -> u64 {
    let mut z = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

fn place_of(shift: usize, point: usize, dimension: usize) -> usize {
    let grid = GRID as u64;
    let key = (dimension as u64 + 1) << 32 | (shift as u64) << 16;
    let turned = (dimension + shift * (GENERATOR.len() / SHIFTS)) % GENERATOR.len();
    match GENERATOR.get(turned).filter(|_| dimension < GENERATOR.len()) {
        Some(step) => {
            let moved = usize::try_from(mixed(key) % grid).unwrap_or(0);
            (point * step * SHIFTS + moved) % GRID
        }
        // more dimensions than the vector has: the last and least of them are left to chance
        None => usize::try_from(mixed(key | point as u64) % grid).unwrap_or(0),
    }
}

/// The points of one copy.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lattice {
    pub(super) shift: usize,
}

impl Lattice {
    /// All copies.
    pub(super) fn copies() -> impl Iterator<Item = Self> {
        (0..SHIFTS).map(|shift| Self { shift })
    }

    /// A coordinate of a point, evenly spread over 0 to 1.
    pub(super) fn even(self, point: usize, dimension: usize) -> f64 {
        (place_of(self.shift, point, dimension) as f64 + 0.5) / GRID as f64
    }

    /// The same as a standard normal number.
    pub(super) fn normal(self, point: usize, dimension: usize) -> f64 {
        NORMAL.get(place_of(self.shift, point, dimension)).copied().unwrap_or(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outlook::normal_cdf;

    fn kernel(place: usize) -> f64 {
        let x = place as f64 / POINTS as f64;
        x * x - x + 1.0 / 6.0
    }

    /// Derived anew by the rule that the comment states.
    #[test]
    fn the_vector_follows_from_its_rule() {
        let table: Vec<f64> = (0..POINTS).map(kernel).collect();
        let mut sum = vec![0.0; POINTS];
        for (dimension, &expected) in GENERATOR.iter().enumerate().take(24) {
            let errors: Vec<f64> = (1..=(POINTS - 1) / 2)
                .map(|step| (0..POINTS).map(|k| sum[k] * table[k * step % POINTS]).sum())
                .collect();
            let least = errors.iter().copied().fold(f64::INFINITY, f64::min);
            let largest = errors.iter().map(|e| e.abs()).fold(0.0, f64::max);
            let step = errors.iter().position(|e| *e <= least + 1e-9 * largest).unwrap() + 1;
            assert_eq!(step, expected, "dimension {dimension}");
            for (k, total) in sum.iter_mut().enumerate() {
                *total += table[k * step % POINTS];
            }
        }
    }

    #[test]
    fn no_two_dimensions_are_alike() {
        let mut sorted = GENERATOR.to_vec();
        sorted.sort_unstable();
        sorted.dedup();
        assert_eq!(sorted.len(), GENERATOR.len());
    }

    /// The probability that a sum of normal numbers stays below one deviation, known in closed form. Chance alone
    /// would err by 0.006; over two dimensions the lattice does better, over more that are all alike no worse.
    #[test]
    fn a_known_probability_comes_out() {
        for (dimensions, error) in [(2_u8, 0.001_5), (5, 0.006), (30, 0.006)] {
            let mut below = 0.0;
            for lattice in Lattice::copies() {
                for point in 0..POINTS {
                    let sum: f64 = (0..dimensions).map(|d| lattice.normal(point, usize::from(d))).sum();
                    below += f64::from(u8::from(sum < f64::from(dimensions).sqrt()));
                }
            }
            let found = below / GRID as f64;
            assert!((found - normal_cdf(1.0)).abs() < error, "{dimensions}: {found}");
        }
    }

    /// The first outputs of SplitMix64 from the seed 0, as its authors' code prints them (from memory).
    #[test]
    fn the_numbers_that_look_random_are_those_of_their_source() {
        let first = [1, 2, 3].map(mixed);
        assert_eq!(first, [0xE220_A839_7B1D_CDAF, 0x6E78_9E6A_A1B9_65F4, 0x06C4_5D18_8009_454F]);
    }

    /// Copy s takes component d + 24·s of the vector, around its end, and starts from a place of its own.
    #[test]
    fn each_copy_is_shifted_and_turned() {
        for dimension in 0..96 {
            for shift in 0..4 {
                let step = (place_of(shift, 1, dimension) + 4084 - place_of(shift, 0, dimension)) % 4084;
                assert_eq!(step, 4 * GENERATOR[(dimension + 24 * shift) % 96], "{shift} {dimension}");
            }
        }
        let mut starts: Vec<usize> = (0..4).map(|shift| place_of(shift, 0, 0)).chain([0]).collect();
        starts.sort_unstable();
        starts.dedup();
        assert_eq!(starts.len(), 5, "four copies from four places, none of them the corner");
    }

    /// Cells of equal probability, each taken at its middle: coordinates (n + ½)/4084 and their quantiles.
    #[test]
    fn coordinates_lie_in_the_middle_of_their_cells() {
        for lattice in Lattice::copies() {
            for (point, dimension) in (0..POINTS).flat_map(|point| (0..12).map(move |d| (point, d))) {
                let cell = lattice.even(point, dimension) * 4084.0;
                assert!((cell.fract() - 0.5).abs() < 1e-9 && cell > 0.0 && cell < 4084.0, "{cell}");
            }
        }
        let middle = |normal: &f64| (normal_cdf(*normal) * 4084.0).fract();
        assert!(NORMAL.iter().all(|normal| (middle(normal) - 0.5).abs() < 1e-6));
        let sum: f64 = NORMAL.iter().sum();
        assert!(sum.abs() < 1e-9, "{sum}");
    }

    /// Chance takes no steps.
    #[test]
    fn beyond_the_vector_there_is_chance() {
        let lattice = Lattice { shift: 0 };
        let step = |point| (lattice.even(point + 1, 96) - lattice.even(point, 96)).rem_euclid(1.0);
        assert!((step(0) - step(1)).abs() > 1e-3 && (step(1) - step(2)).abs() > 1e-3);
    }

    #[test]
    fn beyond_the_vector_every_coordinate_still_lies_within() {
        let lattice = Lattice { shift: 3 };
        let mean: f64 = (0..POINTS).map(|point| lattice.even(point, 200)).sum::<f64>() / POINTS as f64;
        assert!((mean - 0.5).abs() < 0.03, "{mean}");
    }
}
