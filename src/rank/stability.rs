//! How often the first place holds when weights and spreads move.
//!
//! Each weight moves between half and twice its value, and all spreads together between half and twice theirs
//! (ranges are an assumption). The points are a fixed quasi-random sequence, so the figure is the same every
//! time: fractional parts of multiples of powers of the generalised golden ratio, the root of x⁸ = x + 1
//! (additive recurrence; cf. H. Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods, 1992,
//! chapter 3).

use crate::outlook::Lognormal;

/// Points of the sequence.
const POINTS: u32 = 128;
/// Real root of x⁸ = x + 1, for seven dimensions.
const GOLDEN_7: f64 = 1.096_981_557_798_559_8;
/// Options that may come first; those further back cannot within the ranges moved.
const FRONT_RUNNERS: usize = 16;

/// What an option brings into the contest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contestant {
    /// Desirabilities in the order of the criteria, durability first.
    pub(super) desirabilities: [f64; 6],
    /// Logarithm of the median years.
    pub(super) ln_median_years: f64,
    /// Spread of the years.
    pub(super) log_sd: f64,
}

/// Share of the points at which the first contestant keeps its place.
pub(super) fn first_place_holds(
    contestants: &[Contestant],
    weights: [f64; 6],
    required_years: f64,
    target_probability: f64,
) -> f64 {
    let runners = contestants.get(..FRONT_RUNNERS).unwrap_or(contestants);
    let logs: Vec<[f64; 6]> = runners.iter().map(|c| c.desirabilities.map(f64::ln)).collect();
    let mut held = 0_u32;
    for point in 1..=POINTS {
        let mut power = 1.0;
        let moved = [(); 7].map(|()| {
            power /= GOLDEN_7;
            let u = (0.5 + power * f64::from(point)).fract();
            (2.0 * u - 1.0).exp2()
        });
        let lack = |contestant: &Contestant, logs: &[f64; 6]| -> f64 {
            let years =
                Lognormal { ln_median: contestant.ln_median_years, log_sd: contestant.log_sd * moved[6] };
            let durability = (years.probability_beyond(required_years) / target_probability).min(1.0).ln();
            let others = logs.iter().skip(1);
            // A weight of zero leaves a criterion out even where its desirability is zero.
            std::iter::once(&durability)
                .chain(others)
                .zip(weights.iter().zip(&moved))
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

    fn contestant(durability_years: f64, cost: f64) -> Contestant {
        Contestant {
            desirabilities: [1.0, cost, 1.0, 1.0, 1.0, 1.0],
            ln_median_years: f64::ln(durability_years),
            log_sd: 0.8,
        }
    }

    #[test]
    fn the_ratio_solves_its_equation() {
        assert!((GOLDEN_7.powi(8) - GOLDEN_7 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_better_option_in_everything_always_holds_and_a_near_tie_does_not() {
        let weights = [0.5, 0.5, 0.0, 0.0, 0.0, 0.0];
        let holds = |others: &[Contestant]| first_place_holds(others, weights, 5.0, 0.9);
        assert_eq!(holds(&[contestant(20.0, 1.0), contestant(5.0, 0.5)]), 1.0);
        assert_eq!(holds(&[contestant(20.0, 1.0)]), 1.0);
        let tie = holds(&[contestant(6.0, 0.80), contestant(3.0, 1.0)]);
        assert!(tie > 0.2 && tie < 0.98, "{tie}");
    }
}
