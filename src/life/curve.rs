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
use crate::math::sum::{LANES, Lanes, MomentLanes, moments};
use crate::math::{Lognormal, fused, log2, mul_add};

/// Step of ln(rate) between curves.
const STEP: f64 = 0.25;
/// Natural logarithm of the least rate, µm/a: 10⁻⁶.
const LOW: f64 = -13.815_510_557_964_274;
/// Steps from the least to the largest rate, 10⁶ µm/a.
const STEPS: usize = 112;
/// Points around a rate.
const AROUND: usize = 4;
/// Points of a piece of the table that is kept, and how many of them are the first of four: pieces overlap, so that the
/// four always are in one.
const PIECE: usize = 8;
const FIRSTS: usize = PIECE - AROUND + 1;
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
    /// First of the four points of the rate, the piece that has them and its place in it, and their weights.
    first: usize,
    piece: usize,
    in_piece: usize,
    rate_weights: [f64; AROUND],
    salt_weights: [f64; 3],
    /// How far salt rules the place.
    salt_character: f64,
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
    /// Share of the time in which water can be on the part.
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
        let first = below as usize - 1;
        Self {
            first,
            piece: first / FIRSTS,
            in_piece: first % FIRSTS,
            rate_weights,
            salt_weights,
            salt_character: character,
            ln_salt,
        }
    }

    /// How far salt rules the place, 0 to 1.
    #[inline(always)]
    pub(crate) fn salt_character(&self) -> f64 {
        self.salt_character
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
    pieces: Vec<OnceLock<[Point; PIECE]>>,
}

impl Curves {
    /// The curves of a life; `weights` are those of the nodes of the rate.
    pub(crate) fn new(life: &Life, weights: [f64; 5]) -> Self {
        let salts: &[f64] = if life.depends_on_salt() { &SALT_STATES } else { &[0.0] };
        let states = salts
            .iter()
            .map(|character| State { terms: life.terms(chloride_of(*character)), pieces: Vec::new() });
        let log_sd = life.rate_log_sd();
        Self { states: states.collect(), nodes: NODES.map(|node| (log_sd * node).exp()), weights }
    }

    /// Keeps what is worked out, for many places.
    pub(crate) fn kept(mut self) -> Self {
        for state in &mut self.states {
            state.pieces = std::iter::repeat_with(OnceLock::new).take(STEPS.div_ceil(FIRSTS)).collect();
        }
        self
    }

    /// Reads between curves; `states` are the four points around the rate in each state of salt.
    #[inline(always)]
    #[expect(clippy::indexing_slicing, clippy::needless_range_loop, reason = "arrays of one length")]
    fn read<'a, const FUSED: bool>(
        site: &Site,
        states: impl ExactSizeIterator<Item = &'a [Point; AROUND]>,
    ) -> Point {
        let mut found = Point::default();
        let whole = [1.0];
        let salts: &[f64] = if states.len() > 1 { &site.salt_weights } else { &whole };
        for (points, salt) in states.zip(salts) {
            for step in 0..AROUND {
                let (point, weight) = (&points[step], site.rate_weights[step] * salt);
                found.curve = found.curve.plus::<FUSED>(weight, &point.curve);
                found.confidence = mul_add::<FUSED>(weight, point.confidence, found.confidence);
            }
        }
        found
    }

    /// The curve at a place, of [`kept`](Self::kept) curves.
    #[inline(always)]
    pub(crate) fn at<const FUSED: bool>(&self, life: &Life, site: &Site) -> Point {
        Self::read::<FUSED>(site, self.states.iter().map(|state| state.around(self, life, site)))
    }

    /// The curve at one place alone: its four points are worked out side by side.
    pub(crate) fn at_one(&self, life: &Life, site: &Site) -> Point {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(states: &[[Point; AROUND]], site: &Site) -> Point {
            Curves::read::<{ fused!() }>(site, states.iter())
        }
        let mut states = [[Point::default(); AROUND]; SALT_STATES.len()];
        for (points, state) in states.iter_mut().zip(&self.states) {
            *points = state.points(self, life, site.first);
        }
        dispatch(states.get(..self.states.len()).unwrap_or_default(), site)
    }
}

/// Points where there are none.
static NO_POINTS: [Point; AROUND] =
    [Point { curve: LogCubic::of_lognormal(Lognormal { ln_median: 0.0, log_sd: 0.0 }), confidence: 0.0 };
        AROUND];

impl State {
    /// The four points around the rate of a site, worked out when they are first asked for.
    #[inline(always)]
    fn around(&self, curves: &Curves, life: &Life, site: &Site) -> &[Point; AROUND] {
        let Some(piece) = self.pieces.get(site.piece) else { return &NO_POINTS };
        let points = match piece.get() {
            Some(points) => points,
            None => self.fill(piece, curves, life, site.piece * FIRSTS),
        };
        points.get(site.in_piece..).and_then(<[Point]>::first_chunk).unwrap_or(&NO_POINTS)
    }

    #[cold]
    fn fill<'a>(
        &self,
        piece: &'a OnceLock<[Point; PIECE]>,
        curves: &Curves,
        life: &Life,
        first: usize,
    ) -> &'a [Point; PIECE] {
        piece.get_or_init(|| {
            let mut points = [Point::default(); PIECE];
            for (place, part) in points.chunks_exact_mut(AROUND).enumerate() {
                part.copy_from_slice(&self.points(curves, life, first + place * AROUND));
            }
            points
        })
    }

    /// The curves at the four points from `first` on.
    #[expect(clippy::indexing_slicing, reason = "lanes of arrays of one length")]
    fn points(&self, curves: &Curves, life: &Life, first: usize) -> [Point; AROUND] {
        #[multiversion(targets(
            "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
            "x86_64+avx+avx2+fma+bmi1+bmi2"
        ))]
        fn dispatch(terms: &Terms, rates: &Lanes) -> MomentLanes {
            const FUSED: bool = fused!();
            let ones = [1.0; LANES];
            let count = terms.layers.len() + usize::from(terms.growth.is_some());
            moments::<FUSED>(count, |number| match (terms.layers.get(number), &terms.growth) {
                (Some(layer), _) => layer.at(rates, &ones, &ones),
                (None, Some(growth)) => growth.at::<FUSED>(rates),
                (None, None) => crate::math::sum::TermLanes::nothing(),
            })
        }
        let own_rates: [f64; AROUND] = std::array::from_fn(|step| rate_at(first + step));
        let rates: Lanes = std::array::from_fn(|lane| own_rates[lane % AROUND] * curves.nodes[lane / AROUND]);
        let found = dispatch(&self.terms, &rates);
        let parts: [[Moments; AROUND]; NODES.len()] = std::array::from_fn(|node| {
            std::array::from_fn(|step| {
                let lane = node * AROUND + step;
                Moments { mean: found.mean[lane], variance: found.variance[lane], third: found.third[lane] }
            })
        });
        let mut points =
            LogCubic::of_mixtures(&parts, &curves.weights).map(|curve| Point { curve, confidence: 0.0 });
        let mut shares = Vec::with_capacity(life.factors.len());
        for (point, rate) in points.iter_mut().zip(own_rates) {
            point.curve.constant += self.terms.ln_later;
            life.write_variance_shares(&self.terms, rate, &mut shares);
            point.confidence = life.confidence_by(&shares);
        }
        points
    }
}

const _: () = assert!(LANES == AROUND * NODES.len());

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
    fn confidence_by(&self, shares: &[f64]) -> f64 {
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
    pub(crate) horizon_years: f64,
}

/// Probability below which options are equally hopeless (assumption), in the score and in ties:
/// answers print it as under 1%.
pub(crate) const UNLIKELY: f64 = 0.01;

impl Found {
    /// Whether no such life has been observed, so that no probability of it can be stated.
    #[inline(always)]
    pub(crate) fn is_beyond_evidence(&self, required_years: f64) -> bool {
        required_years > self.horizon_years
    }
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
        horizon_years,
    }
}
