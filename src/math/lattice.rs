//! Points that fill a unit cube evenly, the same every time.
//!
//! A rank-1 lattice: point i of N has the coordinates frac(i·z/N), z one whole number per dimension. Each z is
//! chosen after the other among some candidates so that the points fill the cube best together with those before
//! (least Σ Π (1 + γ·ω(x)) over the points, ω(x) = 2π²·(x² - x + 1/6), γ = 0.1, which puts even pairs of
//! coordinates before even triples). Random shifts of the whole lattice, modulo 1, give independent estimates of an
//! integral, whose scatter is the error of their mean.

use std::f64::consts::PI;

use crate::evidence::Source;

/// Source of the lattice and its random shifts.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const QUASI_RANDOM: Source = Source::from_memory(
    "Dick, J.; Kuo, F. Y.; Sloan, I. H.: High-dimensional integration: the quasi-Monte Carlo way. Acta Numerica 22 \
     (2013) 133-288 (lattice rules, choice of z component by component); Cranley, R.; Patterson, T. N. L.: \
     Randomization of number theoretic methods for multiple integration. SIAM J. Numer. Anal. 13 (1976) 904-914 \
     (random shifts); γ = 0.1 and 64 candidates are assumptions",
);

/// Weight of each further coordinate of a group.
const GAMMA: f64 = 0.1;
/// Candidates for each z.
const CANDIDATES: usize = 64;
/// Fractional part of the golden ratio, whose multiples spread the candidates.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Seed of the shifts; any would do.
const SEED: u64 = 0x6f76_6572_636f_6174;

/// A lattice.
#[derive(Debug, Clone)]
pub(crate) struct Lattice {
    points: u32,
    steps: Vec<u32>,
}

impl Lattice {
    /// A lattice of so many points in so many dimensions.
    pub(crate) fn new(points: u32, dimensions: usize) -> Self {
        let mut evenness = vec![1.0; points as usize];
        let terms: Vec<f64> = (0..points).map(|k| term(f64::from(k) / f64::from(points))).collect();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a share of a whole number"
        )]
        let spread = |k: u32| 1 + ((f64::from(k) * GOLDEN).fract() * f64::from(points - 1)) as u32;
        let mut candidates = (1_u32..).map(spread).filter(|z| is_coprime(*z, points));
        let steps = (0..dimensions).map(|_| {
            let along = |z: u32| Along { step: z, points, at: 0 };
            let term_at = |k: u32| terms.get(k as usize).copied().unwrap_or_default();
            let unevenness = |z: u32| -> f64 {
                evenness.iter().zip(along(z)).map(|(so_far, k)| so_far * term_at(k)).sum()
            };
            let costed = candidates.by_ref().take(CANDIDATES).map(|z| (unevenness(z), z));
            let best = costed.min_by(|a, b| a.0.total_cmp(&b.0)).map_or(1, |(_, z)| z);
            for (so_far, k) in evenness.iter_mut().zip(along(best)) {
                *so_far *= term_at(k);
            }
            best
        });
        let steps = steps.collect();
        Self { points, steps }
    }

    /// The points under the `number`th shift.
    pub(crate) fn shifted(&self, number: u32) -> impl Iterator<Item = Vec<f64>> {
        let mut state = SEED ^ u64::from(number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let shifts: Vec<f64> = self.steps.iter().map(|_| uniform(&mut state)).collect();
        (0..self.points).map(move |i| {
            let coordinate = |(z, shift): (&u32, &f64)| {
                let moved = (place(i, *z, self.points) + shift).fract();
                // neither end: a normal deviate has no value there
                moved.clamp(f64::EPSILON, 1.0 - f64::EPSILON)
            };
            self.steps.iter().zip(&shifts).map(coordinate).collect()
        })
    }
}

fn term(x: f64) -> f64 {
    1.0 + GAMMA * 2.0 * PI * PI * (x * x - x + 1.0 / 6.0)
}

/// i·z modulo N for i = 0, 1, ...
struct Along {
    step: u32,
    points: u32,
    at: u32,
}

impl Iterator for Along {
    type Item = u32;

    fn next(&mut self) -> Option<u32> {
        let here = self.at;
        let next = u64::from(here) + u64::from(self.step);
        self.at = u32::try_from(next % u64::from(self.points)).unwrap_or_default();
        Some(here)
    }
}

/// frac(i·z/N)
fn place(i: u32, z: u32, points: u32) -> f64 {
    let rest = u64::from(i) * u64::from(z) % u64::from(points);
    rest as f64 / f64::from(points)
}

fn is_coprime(mut a: u32, mut b: u32) -> bool {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a == 1
}

/// The next number in 0..1 of the generator splitmix64 (Steele, Lea & Flood, OOPSLA 2014; from memory).
fn uniform(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    // the upper 53 bits fill the significand
    (z >> 11) as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cell of a coordinate among so many.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a whole number")]
    fn cell(x: f64, cells: u32) -> usize {
        (x * f64::from(cells)) as usize
    }

    /// The first two numbers of splitmix64 from 0, as its authors' test values have them (from memory), of which the
    /// upper 53 bits count.
    #[test]
    fn random_numbers_are_those_of_the_generator() {
        let mut state = 0;
        for wanted in [0xe220_a839_7b1d_cdaf_u64, 0x6e78_9e6a_a1b9_65f4] {
            assert_eq!(uniform(&mut state), (wanted >> 11) as f64 / 2.0_f64.powi(53));
        }
    }

    /// 1 + γ·2π²·(x² - x + 1/6): 1 + γ·π²/3 at the ends, 1 - γ·π²/6 in the middle, 1 in the mean.
    #[test]
    fn the_term_of_a_coordinate_is_that_of_the_criterion() {
        for (x, wanted) in [(0.0, 1.0 + 0.1 * PI * PI / 3.0), (0.5, 1.0 - 0.1 * PI * PI / 6.0)] {
            assert!((term(x) - wanted).abs() < 1e-14);
        }
        let mean = (0..1000).map(|i| term((f64::from(i) + 0.5) / 1000.0)).sum::<f64>() / 1000.0;
        assert!((mean - 1.0).abs() < 1e-6);
    }

    #[test]
    fn each_coordinate_takes_every_place_once() {
        let mut seen = vec![[false; 9]; 240];
        for point in Lattice::new(240, 9).shifted(2) {
            for (dimension, x) in point.iter().enumerate() {
                let cell = cell(*x, 240);
                assert!(!seen[cell][dimension]);
                seen[cell][dimension] = true;
            }
        }
    }

    #[test]
    fn each_pair_of_coordinates_fills_the_square_evenly() {
        let mut counts = vec![[0_u32; 16]; 12 * 12];
        for point in Lattice::new(1024, 12).shifted(3) {
            for a in 0..12 {
                for b in 0..12 {
                    counts[12 * a + b][cell(point[a], 4) * 4 + cell(point[b], 4)] += 1;
                }
            }
        }
        for a in 0..12 {
            for b in (0..12).filter(|b| *b != a) {
                let cells = counts[12 * a + b];
                // 64 expected; independent numbers would scatter by 8
                assert!(cells.iter().all(|count| count.abs_diff(64) <= 16), "{a} {b} {cells:?}");
            }
        }
    }

    #[test]
    fn the_fewest_points_make_a_lattice() {
        for points in 2..8 {
            assert_eq!(Lattice::new(points, 5).shifted(0).count(), points as usize);
        }
    }
}
