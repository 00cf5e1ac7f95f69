//! How often #1 stays first when weights and spreads move.
//!
//! Each weight moves between half and twice its value, and all spreads together between half and twice theirs
//! (ranges are an assumption). The points are those of a fixed lattice, so the figure is the same every time.

use std::sync::LazyLock;

use crate::life::UNLIKELY;
use crate::math::cubic::LogCubic;
use crate::math::lattice::Lattice;

/// Points of the sequence.
const POINTS: u32 = 128;
/// Options that may come first; those further back cannot within the ranges moved.
const FRONT_RUNNERS: usize = 16;

/// What an option brings into the contest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contestant {
    /// Desirabilities in the order of the criteria, durability first.
    pub(super) desirabilities: [f64; 6],
    /// Logarithm of the years of those that fail.
    pub(super) ln_years: LogCubic,
    /// Share that never fails.
    pub(super) never_fails: f64,
}

/// Factors of each point, one for each weight and one for the spreads: powers of two with exponents from -1 to 1,
/// evenly spread.
static FACTORS: LazyLock<Vec<[f64; 7]>> = LazyLock::new(|| {
    let lattice = Lattice::new(POINTS, 7);
    lattice
        .shifted(0)
        .map(|point| std::array::from_fn(|i| (2.0 * point.get(i).copied().unwrap_or(0.5) - 1.0).exp2()))
        .collect()
});

/// Share of the points at which the first option keeps its place.
pub(super) fn first_place_holds(
    contestants: &[Contestant],
    weights: [f64; 6],
    required_years: f64,
    target_probability: f64,
) -> f64 {
    let runners = contestants.get(..FRONT_RUNNERS).unwrap_or(contestants);
    let logs: Vec<[f64; 6]> = runners.iter().map(|c| c.desirabilities.map(f64::ln)).collect();
    let mut held = 0_u32;
    for moved in FACTORS.iter() {
        let lack = |contestant: &Contestant, logs: &[f64; 6]| -> f64 {
            let fails = 1.0 - contestant.never_fails;
            let years = contestant.ln_years.widened(moved[6]);
            let kept = contestant.never_fails + fails * years.probability_beyond(required_years);
            let durability = (kept.max(UNLIKELY) / target_probability).min(1.0).ln();
            let others = logs.iter().skip(1);
            // A weight of zero leaves a criterion out even where its desirability is zero.
            std::iter::once(&durability)
                .chain(others)
                .zip(weights.iter().zip(moved))
                .filter(|(_, (weight, _))| **weight > 0.0)
                .map(|(log, (weight, factor))| weight * factor * log)
                .sum()
        };
        let mut scores = runners.iter().zip(&logs).map(|(c, l)| lack(c, l));
        if let Some(first) = scores.next()
            && scores.all(|other| other <= first)
        {
            held += 1;
        }
    }
    f64::from(held) / f64::from(POINTS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lognormal(ln_median: f64, log_sd: f64) -> LogCubic {
        LogCubic { constant: ln_median, linear: log_sd, square: 0.0, cube: 0.0 }
    }

    fn contestant(durability_years: f64, cost: f64) -> Contestant {
        Contestant {
            desirabilities: [1.0, cost, 1.0, 1.0, 1.0, 1.0],
            ln_years: lognormal(durability_years.ln(), 0.8),
            never_fails: 0.0,
        }
    }

    /// Of two options that trade cost against appearance the first holds while log2 of the ratio of two factors is at
    /// most t = log2(lack of the second / lack of the first). Both exponents lie evenly between -1 and 1, their
    /// difference in a triangle between -2 and 2: (2 + t)²/8 of it lies below a t of 0 or less.
    #[test]
    fn weights_move_the_first_place_as_far_as_geometry_says() {
        let option = |lacks: [f64; 2]| Contestant {
            desirabilities: [1.0, (-lacks[0]).exp(), (-lacks[1]).exp(), 1.0, 1.0, 1.0],
            ln_years: lognormal(20.0, 0.5),
            never_fails: 0.0,
        };
        for (first, second, weights, expected) in [
            ([1.0, 0.0], [0.0, 1.0], [0.0, 0.5, 0.5, 0.0, 0.0, 0.0], 0.5),
            ([2.0, 0.0], [0.0, 1.0], [0.0, 0.5, 0.5, 0.0, 0.0, 0.0], 0.125),
            ([1.0, 0.0], [0.0, 2.0], [0.0, 0.5, 0.5, 0.0, 0.0, 0.0], 0.875),
            // twice the weight on what the first lacks
            ([1.0, 0.0], [0.0, 1.0], [0.0, 0.6, 0.3, 0.0, 0.0, 0.0], 0.125),
            ([4.1, 0.0], [0.0, 1.0], [0.0, 0.5, 0.5, 0.0, 0.0, 0.0], 0.0),
            // a criterion of no weight leaves even a zero out
            ([f64::INFINITY, 0.0], [0.0, 0.0], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0], 1.0),
        ] {
            let holds = first_place_holds(&[option(first), option(second)], weights, 5.0, 0.9);
            assert!((holds - expected).abs() < 0.03, "{first:?} {second:?}: {holds} for {expected}");
        }
    }

    /// The first is sure enough of 5 years while its spread is at most c times its own, with ln(median/5) =
    /// 1.281552·0.5·c (1.281552: the 90% point of the normal distribution); the second always is. The exponent of
    /// the factor lies evenly between -1 and 1, so (log2 c + 1)/2 of it leave the first its place.
    #[test]
    fn spreads_move_the_first_place_as_far_as_geometry_says() {
        let option = |ln_over: f64| Contestant {
            desirabilities: [1.0; 6],
            ln_years: lognormal(5.0_f64.ln() + ln_over, 0.5),
            never_fails: 0.0,
        };
        for (log2_c, expected) in [(0.5, 0.75), (-0.5, 0.25), (0.0, 0.5)] {
            let first = option(1.281_552 * 0.5 * f64::exp2(log2_c));
            let holds = first_place_holds(&[first, option(20.0)], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0], 5.0, 0.9);
            assert!((holds - expected).abs() < 0.02, "{log2_c}: {holds}");
        }
    }

    #[test]
    fn a_better_option_in_everything_always_holds_and_a_near_tie_does_not() {
        let weights = [0.5, 0.5, 0.0, 0.0, 0.0, 0.0];
        let holds = |others: &[Contestant]| first_place_holds(others, weights, 5.0, 0.9);
        assert_eq!(holds(&[contestant(20.0, 1.0), contestant(5.0, 0.5)]), 1.0);
        assert_eq!(holds(&[contestant(20.0, 1.0)]), 1.0);
        let tie = holds(&[contestant(6.0, 0.70), contestant(3.0, 1.0)]);
        assert!(tie > 0.2 && tie < 0.98, "{tie}");
    }
}
