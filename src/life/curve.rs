//! The distribution of a life at a place: curves at even steps of the logarithm of the rate, read between.
//!
//! Along a table of places nothing of a build moves but the rate and, under a roof or where a loss grows, how salt
//! rules the place. The curve of a life ([`LogCubic`]) is therefore worked out at even steps of ln(rate), and for
//! three states of salt, and read between by polynomials through the neighbouring points. One place reads the same
//! points, so that a brief and a million rows give the same bits.
//!
//! - ln(rate): steps of ¼ from ln 10⁻⁶ to ln 10⁶ µm/a; the cubic through the four points around.
//! - salt: y = log2(1 + x) = 0, ½, 1 with x the salt character; the parabola through the three.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LN_2;
use std::sync::OnceLock;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use super::LEAST_LOSS_UM;
use super::stain::ln_surface_salt;
use super::terms::{Life, Terms};
use crate::atmosphere::Shelter;
use crate::atmosphere::{salt_character, shelter_rate_factor};
use crate::math::cubic::{LogCubic, Moments, NODES};
use crate::math::sum::{LANES, Lanes, moments};
use crate::math::{fused, log2, mul_add};

/// Step of ln(rate) between curves.
const STEP: f64 = 0.25;
/// Natural logarithm of the least rate, µm/a: 10⁻⁶.
const LOW: f64 = -13.815_510_557_964_274;
/// Steps from the least to the largest rate, 10⁶ µm/a.
const STEPS: usize = 112;
/// Points that are worked out at a time where a table of them is kept.
const CHUNK: usize = 8;
/// States of salt at which curves are worked out, as the salt character x.
const SALT_STATES: [f64; 3] = [0.0, 0.414_213_562_373_095_05, 1.0];

/// A curve with the confidence in what it is based on.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Point {
    pub(crate) curve: LogCubic,
    pub(crate) confidence: f64,
}

/// What all builds at a place share.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Site {
    /// First of the four points of the rate, and their weights.
    first: usize,
    rate_weights: [f64; 4],
    salt_weights: [f64; 3],
    /// Natural logarithm of the salt on a stainless surface, g/m².
    ln_salt: f64,
}

/// What of a place is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SiteInputs {
    /// First-year loss of bare steel, µm, and whether it was measured where the part is.
    pub(crate) loss_um: f64,
    pub(crate) measured: bool,
    pub(crate) chloride_mg_m2_day: f64,
    pub(crate) shelter: Shelter,
    /// Share of the time in which water can lie on the part.
    pub(crate) wet_share: f64,
    /// Share of the time that rain washes it.
    pub(crate) washed: f64,
}

/// Rate at which a dose is used up, µm/a: the loss of bare steel under the shelter of the part, while it is wet.
#[inline(always)]
pub(crate) fn rate_um(inputs: &SiteInputs) -> f64 {
    let loss_um = if inputs.loss_um > LEAST_LOSS_UM { inputs.loss_um } else { LEAST_LOSS_UM };
    let sheltered = shelter_rate_factor(inputs.shelter, inputs.chloride_mg_m2_day);
    loss_um * if inputs.measured { 1.0 } else { sheltered } * inputs.wet_share
}

impl Site {
    #[inline(always)]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the places of the points"
    )]
    pub(crate) fn new<const FUSED: bool>(inputs: &SiteInputs) -> Self {
        let ln_rate = log2::<FUSED>(rate_um(inputs)) * LN_2;
        let steps = ((ln_rate - LOW) / STEP).clamp(1.0, (STEPS - 2) as f64 - 1e-9);
        let below = steps.floor();
        let t = steps - below;
        let (after, left, beyond) = (t + 1.0, t - 1.0, t - 2.0);
        let rate_weights = [
            -t * left * beyond / 6.0,
            after * left * beyond / 2.0,
            -after * t * beyond / 2.0,
            after * t * left / 6.0,
        ];
        let character = salt_character(inputs.chloride_mg_m2_day);
        let y = log2::<FUSED>(1.0 + character);
        let salt_weights = [2.0 * (y - 0.5) * (y - 1.0), 4.0 * y * (1.0 - y), 2.0 * y * (y - 0.5)];
        let ln_salt =
            ln_surface_salt::<FUSED>(inputs.chloride_mg_m2_day, character, inputs.washed, inputs.wet_share);
        Self { first: below as usize - 1, rate_weights, salt_weights, ln_salt }
    }

    /// Natural logarithm of the salt on a stainless surface, g/m².
    pub(crate) fn ln_salt(&self) -> f64 {
        self.ln_salt
    }

    /// [`new`](Self::new) of one place, with the bits of tables.
    pub(crate) fn of(inputs: &SiteInputs) -> Self {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(inputs: &SiteInputs) -> Site {
            Site::new::<{ fused!() }>(inputs)
        }
        dispatch(inputs)
    }
}

/// A life ready to be read at any place.
#[derive(Debug, Clone)]
pub(crate) struct Curves {
    /// One for each state of salt, or a single one where salt moves nothing but the rate.
    states: Vec<State>,
    /// e to the power of each node of the rate times its spread.
    nodes: [f64; 5],
    weights: [f64; 5],
}

#[derive(Debug, Clone)]
struct State {
    terms: Terms,
    /// Curves worked out so far, where they are kept.
    chunks: Vec<OnceLock<[Point; CHUNK]>>,
}

impl Curves {
    /// The curves of a life; `weights` are those of the nodes of the rate.
    pub(crate) fn new(life: &Life, weights: [f64; 5]) -> Self {
        let salts: &[f64] = if life.depends_on_salt() { &SALT_STATES } else { &[0.0] };
        let states = salts
            .iter()
            .map(|character| State { terms: life.terms(chloride_of(*character)), chunks: Vec::new() });
        let log_sd = life.rate_log_sd();
        Self { states: states.collect(), nodes: NODES.map(|node| (log_sd * node).exp()), weights }
    }

    /// Keeps what is worked out, for many places.
    pub(crate) fn kept(mut self) -> Self {
        for state in &mut self.states {
            state.chunks = std::iter::repeat_with(OnceLock::new).take(STEPS.div_ceil(CHUNK)).collect();
        }
        self
    }

    /// Reads between curves; `point` gives that of a state of salt at a step of the four around the rate.
    #[inline(always)]
    fn read<const FUSED: bool>(&self, site: &Site, point: impl Fn(usize, usize) -> Point) -> Point {
        let mut found = Point::default();
        let whole = [1.0];
        let salts: &[f64] = if self.states.len() > 1 { &site.salt_weights } else { &whole };
        for (state, salt) in salts.iter().enumerate() {
            for (step, weight) in site.rate_weights.iter().enumerate() {
                let weight = weight * salt;
                let point = point(state, step);
                found.curve = found.curve.plus::<FUSED>(weight, &point.curve);
                found.confidence = mul_add::<FUSED>(weight, point.confidence, found.confidence);
            }
        }
        found
    }

    /// The curve at a place, of [`kept`](Self::kept) curves.
    #[inline(always)]
    pub(crate) fn at<const FUSED: bool>(&self, life: &Life, site: &Site) -> Point {
        self.read::<FUSED>(site, |state, step| {
            self.states.get(state).map_or_else(Point::default, |s| s.kept(self, life, site.first + step))
        })
    }

    /// The curve at one place alone: its four points are worked out side by side.
    pub(crate) fn at_one(&self, life: &Life, site: &Site) -> Point {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(curves: &Curves, points: &[[Point; LANES]], site: &Site) -> Point {
            curves.read::<{ fused!() }>(site, |state, step| {
                points.get(state).and_then(|state| state.get(step)).copied().unwrap_or_default()
            })
        }
        let points: Vec<[Point; LANES]> =
            self.states.iter().map(|state| state.points(self, life, site.first)).collect();
        dispatch(self, &points, site)
    }
}

impl State {
    /// The curve at a point, worked out when it is first asked for.
    fn kept(&self, curves: &Curves, life: &Life, step: usize) -> Point {
        let chunk = step / CHUNK;
        let Some(kept) = self.chunks.get(chunk) else { return Point::default() };
        let points = kept.get_or_init(|| {
            let mut points = [Point::default(); CHUNK];
            for (lanes, part) in points.chunks_exact_mut(LANES).enumerate() {
                part.copy_from_slice(&self.points(curves, life, chunk * CHUNK + lanes * LANES));
            }
            points
        });
        points.get(step % CHUNK).copied().unwrap_or_default()
    }

    /// The curves at some points from `first` on.
    fn points(&self, curves: &Curves, life: &Life, first: usize) -> [Point; LANES] {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(terms: &Terms, rates: &Lanes) -> [Moments; LANES] {
            const FUSED: bool = fused!();
            let of = |found: Lanes, lane: usize| found.get(lane).copied().unwrap_or_default();
            let ones = [1.0; LANES];
            let count = terms.layers.len() + usize::from(terms.growth.is_some());
            let found = moments::<FUSED>(count, |number| match (terms.layers.get(number), &terms.growth) {
                (Some(layer), _) => layer.at(rates, &ones, &ones),
                (None, Some(growth)) => growth.at::<FUSED>(rates),
                (None, None) => crate::math::sum::TermLanes::nothing(),
            });
            std::array::from_fn(|lane| Moments {
                mean: of(found.mean, lane),
                variance: of(found.variance, lane),
                third: of(found.third, lane),
            })
        }
        let rates: Lanes = std::array::from_fn(|lane| rate_at(first + lane));
        let mut parts = [[Moments::default(); 5]; LANES];
        for (place, node) in curves.nodes.iter().enumerate() {
            let found = dispatch(&self.terms, &rates.map(|rate| rate * node));
            for (of_lane, moments) in parts.iter_mut().zip(found) {
                if let Some(slot) = of_lane.get_mut(place) {
                    *slot = moments;
                }
            }
        }
        std::array::from_fn(|lane| {
            let part = parts.get(lane).copied().unwrap_or_default();
            let mut curve = LogCubic::of_mixture(&part, &curves.weights);
            curve.constant += self.terms.ln_later;
            let rate = rates.get(lane).copied().unwrap_or_default();
            Point { curve, confidence: life.confidence_at(&self.terms, rate) }
        })
    }
}

/// Rate of a point, µm/a.
fn rate_at(step: usize) -> f64 {
    (LOW + STEP * step as f64).exp()
}

/// Chloride deposition at which salt has a character.
fn chloride_of(character: f64) -> f64 {
    if character >= 1.0 { f64::INFINITY } else { 10.0 * (character / (1.0 - character)).sqrt() }
}

impl Life {
    /// Confidence in the sources of the factors, each by its share of the variance.
    fn confidence_at(&self, terms: &Terms, rate_um: f64) -> f64 {
        let shares = self.variance_shares(terms, rate_um);
        let firm: f64 =
            shares.iter().zip(&self.factors).map(|(s, f)| s * f.source.firmness.confidence()).sum();
        // the shares add up to 1, or are nothing where nothing has a spread
        if firm > 0.0 { firm } else { crate::Firmness::Assumption.confidence() }
    }
}

/// What is said of a life at a place.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Found {
    pub(crate) median_years: f64,
    pub(crate) p10_years: f64,
    pub(crate) p90_years: f64,
    pub(crate) probability_ok: f64,
    pub(crate) confidence: f64,
    pub(crate) never_fails: f64,
}

/// Years at a normal deviate, at most the horizon.
#[inline(always)]
pub(crate) fn years_at<const FUSED: bool>(curve: &LogCubic, deviate: f64, horizon_years: f64) -> f64 {
    let years = curve.at::<FUSED>(deviate);
    if years < horizon_years { years } else { horizon_years }
}

/// Probability of no failure, where a share `stains` of surfaces ever does and `of_those` of them have not yet.
#[inline(always)]
pub(crate) fn kept(stains: f64, of_those: f64) -> f64 {
    let kept = 1.0 - stains * (1.0 - of_those);
    if stains < 1.0 { kept } else { of_those }
}

/// Share of the variance of having failed that the share which ever stains carries: by the law of total variance
/// (1 - P)·(1 - S)/(S + (1 - P)·(1 - S)), with S what is left of those that stain.
#[inline(always)]
pub(crate) fn share_of_salt(stains: f64, of_those: f64) -> f64 {
    let rest = (1.0 - stains) * (1.0 - of_those);
    let whole = of_those + rest;
    if whole > 0.0 { rest / whole } else { 0.0 }
}

/// What is said of the life of a build at a place: the numbers of an outlook.
///
/// Of a stainless build with a share P that ever stains, a share q has failed at the time at which q/P of those that
/// stain have, and never where q is P or more; what lies beyond the horizon is the horizon.
#[inline(always)]
pub(crate) fn said<const FUSED: bool>(
    point: &Point,
    stains: f64,
    confidence_of_salt: f64,
    horizon_years: f64,
    ln_required: f64,
    deviates: [f64; 3],
) -> Found {
    let [p10_years, median_years, p90_years] =
        deviates.map(|deviate| years_at::<FUSED>(&point.curve, deviate, horizon_years));
    let of_those = point.curve.beyond::<FUSED>(ln_required);
    Found {
        median_years,
        p10_years,
        p90_years,
        probability_ok: kept(stains, of_those),
        confidence: mul_add::<FUSED>(
            share_of_salt(stains, of_those),
            confidence_of_salt - point.confidence,
            point.confidence,
        ),
        never_fails: 1.0 - stains,
    }
}
