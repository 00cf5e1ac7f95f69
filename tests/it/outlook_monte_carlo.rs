//! The closed form of the outlook against sampling of the same model.
//!
//! The sampler shares nothing with the closed form but the catalog's medians and spreads: it draws every factor
//! and adds the years up one case at a time. Where the closed form is exact, it must agree within the sampling
//! error; where it rests on moment matching, within a stated tolerance, with the deviation measured beside it.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // test code, outside of test functions

use crate::common::{brief, option, ranked};
use overcoat::atmosphere::{GrowthCase, StandardMetal, exponent, um_to_g_m2, years_to_loss};
use overcoat::catalog::Catalog;
use overcoat::outlook::{Lognormal, Term, cabinet_rate_g_m2_h, normal_cdf, normal_quantile, sum_of};
use overcoat::quantity::Spread;
use overcoat::rank::Ranking;

const SAMPLES: usize = 200_000;

/// 64-bit xorshift with a multiplier (Marsaglia 2003; Vigna 2016) and normal deviates by Box and Muller
/// (1958). Seeded, so every run draws the same cases.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11;
        (bits as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }

    /// One draw of each factor, by its spread, as the logarithm of its ratio to the median.
    fn factors(&mut self, log_sd: &[f64]) -> Vec<f64> {
        log_sd.iter().map(|sd| sd * self.normal()).collect()
    }
}

/// Cases in rising order.
struct Sample(Vec<f64>);

impl Sample {
    fn draw(seed: u64, mut one: impl FnMut(&mut Draws) -> f64) -> Self {
        let mut draws = Draws(seed);
        let mut values: Vec<f64> = (0..SAMPLES).map(|_| one(&mut draws)).collect();
        values.sort_by(f64::total_cmp);
        Self(values)
    }

    fn of_terms(seed: u64, terms: &[Term], log_sd: &[f64]) -> Self {
        Self::draw(seed, |draws| {
            let factors = draws.factors(log_sd);
            let one = |term: &Term| {
                term.exponents.iter().fold(term.ln_median, |sum, (j, x)| sum + x * factors[*j]).exp()
            };
            terms.iter().map(one).sum()
        })
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "p lies in 0..1")]
    fn quantile(&self, p: f64) -> f64 {
        self.0[(p * SAMPLES as f64) as usize]
    }

    fn beyond(&self, threshold: f64) -> f64 {
        1.0 - self.0.partition_point(|value| *value <= threshold) as f64 / SAMPLES as f64
    }

    /// Mean of `f` with its standard error.
    fn mean_of(&self, f: impl Fn(f64) -> f64) -> (f64, f64) {
        let n = SAMPLES as f64;
        let mean = self.0.iter().map(|x| f(*x)).sum::<f64>() / n;
        let variance = self.0.iter().map(|x| (f(*x) - mean).powi(2)).sum::<f64>() / (n - 1.0);
        (mean, (variance / n).sqrt())
    }
}

/// Standard error of the logarithm of a sampled quantile of a lognormal: √(p(1-p)/n) over the density there.
fn quantile_error(p: f64, log_sd: f64) -> f64 {
    let density = (-0.5 * normal_quantile(p).powi(2)).exp() / std::f64::consts::TAU.sqrt();
    log_sd * (p * (1.0 - p) / SAMPLES as f64).sqrt() / density
}

/// Terms that share the rate of the place and the rate of the cabinet, each with a capacity and a field factor
/// of its own, as films on one part do.
fn films(medians: &[f64]) -> Vec<Term> {
    let film = |(i, median): (usize, &f64)| Term {
        ln_median: median.ln(),
        exponents: vec![(0, -1.0), (1, 1.0), (2 + 2 * i, 1.0), (3 + 2 * i, 1.0)],
    };
    medians.iter().enumerate().map(film).collect()
}

/// Largest relative deviation of median, 10 % and 90 % point, and deviation of the probabilities at these.
fn deviations(closed: Lognormal, sample: &Sample) -> (f64, f64) {
    let pairs = [(0.1, closed.quantile_10()), (0.5, closed.median()), (0.9, closed.quantile_90())];
    pairs.iter().fold((0.0, 0.0), |(years, probability): (f64, f64), (p, closed_years)| {
        let sampled = sample.quantile(*p);
        (
            years.max((closed_years / sampled - 1.0).abs()),
            probability.max((closed.probability_beyond(sampled) - sample.beyond(sampled)).abs()),
        )
    })
}

#[test]
fn the_sampler_is_normal() {
    let sample = Sample::draw(1, Draws::normal);
    for (power, moment) in [(1, 0.0), (2, 1.0), (3, 0.0), (4, 3.0)] {
        let (mean, error) = sample.mean_of(|x| x.powi(power));
        assert!((mean - moment).abs() < 4.0 * error, "moment {power}: {mean}");
    }
    for z in [-2.0, -1.0, 0.0, 1.0, 2.0] {
        assert!((1.0 - sample.beyond(z) - normal_cdf(z)).abs() < 4.0 * (0.25 / SAMPLES as f64).sqrt());
    }
}

#[test]
fn one_film_is_exact() {
    let log_sd = [0.7, 0.15, 0.5, 0.6];
    let terms = films(&[6.0]);
    let (closed, _) = sum_of(&terms, &log_sd);
    let sample = Sample::of_terms(2, &terms, &log_sd);
    for (p, years) in [(0.1, closed.quantile_10()), (0.5, closed.median()), (0.9, closed.quantile_90())] {
        let error = quantile_error(p, closed.log_sd);
        assert!((years / sample.quantile(p)).ln().abs() < 4.0 * error, "{p}: {years}");
    }
    for required_years in [1.0, 5.0, 10.0, 30.0] {
        let closed = closed.probability_beyond(required_years);
        let error = (closed * (1.0 - closed) / SAMPLES as f64).sqrt();
        assert!((closed - sample.beyond(required_years)).abs() < 4.0 * error, "{required_years}");
    }
}

/// What moment matching matches: mean and variance of the sum.
#[test]
fn several_films_keep_mean_and_variance() {
    for medians in [&[6.0, 2.0][..], &[6.0, 4.0, 3.0]] {
        let terms = films(medians);
        // Narrower than the catalog's: the sampled variance of a wide lognormal hardly converges.
        let log_sd = [0.3, 0.15, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3];
        let (closed, _) = sum_of(&terms, &log_sd);
        let mean = (closed.ln_median + 0.5 * closed.log_sd.powi(2)).exp();
        let variance = (closed.log_sd.powi(2).exp() - 1.0) * mean * mean;
        let sample = Sample::of_terms(3, &terms, &log_sd);
        let (sampled, error) = sample.mean_of(|x| x);
        assert!((mean - sampled).abs() < 4.0 * error, "mean {mean}, sampled {sampled}");
        let (sampled, error) = sample.mean_of(|x| (x - mean).powi(2));
        assert!((variance - sampled).abs() < 4.0 * error, "variance {variance}, sampled {sampled}");
    }
}

/// Largest deviations measured with these seeds: 5.4 % in years, 0.010 in probability.
#[test]
fn several_films_come_close_at_the_quantiles() {
    for medians in [&[6.0, 6.0][..], &[6.0, 1.0], &[6.0, 4.0, 3.0], &[6.0, 0.5, 0.05]] {
        let log_sd = [0.7, 0.15, 0.5, 0.6, 0.6, 0.7, 0.6, 0.6];
        let terms = films(medians);
        let sample = Sample::of_terms(4, &terms, &log_sd);
        let (years, probability) = deviations(sum_of(&terms, &log_sd).0, &sample);
        assert!(years < 0.12, "{medians:?}: {years}");
        assert!(probability < 0.02, "{medians:?}: {probability}");
    }
}

/// A factor shared with opposite exponents makes terms move against each other; mean and variance still match.
#[test]
fn a_shared_factor_counts_in_both_terms() {
    let terms = [
        Term { ln_median: 1.0, exponents: vec![(0, -1.0), (1, 1.0)] },
        Term { ln_median: 1.5, exponents: vec![(0, 0.8)] },
    ];
    let log_sd = [0.3, 0.2];
    let (closed, shares) = sum_of(&terms, &log_sd);
    let sample = Sample::of_terms(6, &terms, &log_sd);
    let mean = (closed.ln_median + 0.5 * closed.log_sd.powi(2)).exp();
    let (sampled, error) = sample.mean_of(|x| x);
    assert!((mean - sampled).abs() < 4.0 * error);
    let variance = (closed.log_sd.powi(2).exp() - 1.0) * mean * mean;
    let (sampled, error) = sample.mean_of(|x| (x - mean).powi(2));
    assert!((variance - sampled).abs() < 4.0 * error);
    assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
}

/// Years of a build on plain steel under shelter, not handled: films used up at the rate of the place, then
/// growth from the bare rate to a loss with an exponent of the place, all in one drawn case.
fn sampled_years(ranking: &Ranking, films: &[&str], loss_um: Option<f64>) -> Sample {
    let catalog = Catalog::built_in();
    let treatment = catalog.treatment("hot_alkaline").unwrap();
    let films: Vec<_> = films.iter().map(|name| catalog.film(name).unwrap()).collect();
    let air = &ranking.atmosphere;
    // ISO 9227: 70 ± 20 g/m² as the 95 % range of a lognormal.
    let cabinet_log_sd = (90.0_f64 / 50.0).ln() / (2.0 * normal_quantile(0.975));
    let b = exponent(StandardMetal::Steel, GrowthCase::Average);
    Sample::draw(5, |draws| {
        let mut spread = |log_sd: f64| (log_sd * draws.normal()).exp();
        let rate_um = air.first_year_steel_loss_um * spread(air.log_sd);
        let b = (b * spread(0.3)).min(1.0); // no faster than in proportion to time
        let cabinet = cabinet_rate_g_m2_h() * spread(cabinet_log_sd);
        let mut equal_hours = |capacity: &Spread, field: &Spread| {
            capacity.median * spread(capacity.log_sd) * field.median * spread(field.log_sd)
        };
        let mut hours = equal_hours(&treatment.capacity_h, &treatment.field_factor);
        for film in &films {
            hours += equal_hours(&film.capacity_h, &film.field_factor);
        }
        let first_rust = hours * cabinet / um_to_g_m2(StandardMetal::Steel, rate_um);
        first_rust + loss_um.map_or(0.0, |loss_um| years_to_loss(rate_um, loss_um, b).unwrap())
    })
}

const STACKS: [&[&str]; 5] = [
    &[],
    &["displacing_oil"],
    &["air_dry_paint"],
    &["epoxy_electrocoat", "polyester_powder"],
    &["zinc_phosphate_primer", "air_dry_paint", "acrylic_lacquer"],
];

/// Checks the outlook of each stack on the underside of a vehicle against sampling.
fn check_ranked(failure: &str, loss_um: Option<f64>, years_tolerance: f64, probability_tolerance: f64) {
    let duty =
        format!(r#""place": "road_salt", "handling": "none", "required_years": 5, "failure": {failure}"#);
    let ranking = ranked(&brief(r#""form": "bracket", "base_metal": "steel_4_6""#, &duty, ""));
    for films in STACKS {
        let name = if films.is_empty() { "no film".to_owned() } else { films.join(" + ") };
        let outlook = &option(&ranking, &format!("steel_4_6 / hot_alkaline / {name}")).outlook;
        let closed = Lognormal { ln_median: outlook.median_years.ln(), log_sd: outlook.log_sd };
        assert!((closed.quantile_10() / outlook.p10_years - 1.0).abs() < 1e-9);
        assert!((closed.quantile_90() / outlook.p90_years - 1.0).abs() < 1e-9);
        let sample = sampled_years(&ranking, films, loss_um);
        let (years, probability) = deviations(closed, &sample);
        assert!(years < years_tolerance, "{failure}, {name}: {years}");
        assert!(probability < probability_tolerance, "{failure}, {name}: {probability}");
        let required = (outlook.probability_ok - sample.beyond(5.0)).abs();
        assert!(required < probability_tolerance, "{failure}, {name}: {required}");
    }
}

/// Largest deviations measured: 3.7 % in years, 0.008 in probability, both with three films.
#[test]
fn first_rust_of_ranked_builds() {
    check_ranked(r#""first_rust""#, None, 0.12, 0.02);
}

/// The rate of the place uses up the films and drives the growth after them, so both terms share it. Largest
/// deviations measured: 15.0 % in years, 0.022 in probability.
#[test]
fn a_loss_within_the_power_law_of_growth() {
    check_ranked(r#"{"loss_um": 100}"#, Some(100.0), 0.17, 0.026);
}

/// Growth passes from the power law to a line at 20 years. Where the cases of one build lie on both sides, a
/// lognormal cannot follow: measured up to 27.5 % in years and 0.038 in probability. Far
/// beyond, it follows again: 12.3 % and 0.018.
#[test]
fn a_loss_about_and_beyond_the_end_of_the_power_law() {
    check_ranked(r#"{"loss_um": 400}"#, Some(400.0), 0.30, 0.042);
    check_ranked(r#"{"loss_um": 5000}"#, Some(5000.0), 0.14, 0.022);
}
