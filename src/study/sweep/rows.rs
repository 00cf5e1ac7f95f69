//! The loops over rows and builds.
//!
//! A block of rows goes through its stages one after the other, each a plain loop over slices: what the builds
//! of a row share; the curve of each build; its quantiles; its probability; its cost and score. Between the stages
//! numbers stay in a scratch that fits the first-level cache.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LN_2;
use std::ops::Range;

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use crate::atmosphere::Shelter;
use crate::atmosphere::{bias, steel_loss_um};
use crate::life::{Found, LogCubic, Site, SiteInputs, deviates_of, kept, share_of_salt, years_at};
use crate::math::{fused, log2, mul_add};
use crate::rank::Fixed;
use crate::study::Columns;
use crate::study::sweep::output::OutputSlices;
use crate::study::sweep::plan::{Plan, Sheltered};
use crate::study::sweep::reason::{Reason, RowInputs};

/// Rows times builds of one block.
const BLOCK_RESULTS: usize = 192;

/// Numbers between the stages.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    codes: Vec<u16>,
    row: RowScratch,
    // one per row and build; each number in a column of its own, so that the loops over them become vectors
    curve: CurveColumns,
    confidence_of_point: Vec<f64>,
    stains: Vec<f64>,
    deviates: [Vec<f64>; 3],
    confidence_of_salt: Vec<f64>,
    horizon_years: Vec<f64>,
    ln_required: Vec<f64>,
    required_years: Vec<f64>,
    confidence: Vec<f64>,
    fixed: Vec<Fixed>,
}

/// Curves by their coefficients.
#[derive(Debug, Default)]
struct CurveColumns {
    constant: Vec<f64>,
    linear: Vec<f64>,
    square: Vec<f64>,
    cube: Vec<f64>,
}

impl CurveColumns {
    #[inline(always)]
    fn iter(&self) -> impl Iterator<Item = LogCubic> {
        let upper = self.constant.iter().zip(&self.linear);
        upper
            .zip(self.square.iter().zip(&self.cube))
            .map(|((&constant, &linear), (&square, &cube))| LogCubic { constant, linear, square, cube })
    }
}

/// One per row.
#[derive(Debug, Default)]
struct RowScratch {
    total_chloride: Vec<f64>,
    required_years: Vec<f64>,
    loss_um: Vec<f64>,
    /// The same times the bias at the temperature of the row.
    biased_um: Vec<f64>,
    ln_required: Vec<f64>,
    usual: Vec<bool>,
    shelter: Vec<Shelter>,
    reason: Vec<Reason>,
}

/// Computes all builds at some rows; `out` has as many results.
#[multiversion(targets(
    "x86_64+avx+avx2+fma+bmi1+bmi2+avx512f+avx512bw+avx512cd+avx512dq+avx512vl",
    "x86_64+avx+avx2+fma+bmi1+bmi2"
))]
pub(super) fn run_rows(plan: &Plan, columns: &Columns<'_>, mut out: OutputSlices<'_>, scratch: &mut Scratch) {
    const FUSED: bool = fused!();
    let rows = columns.temperature_c.len();
    let block_rows = BLOCK_RESULTS.div_ceil(plan.builds);
    let mut start = 0;
    while start < rows {
        let columns = columns.part(start, block_rows);
        let mut block = out.take(columns.temperature_c.len() * plan.builds);
        run_block::<FUSED>(plan, &columns, &mut block, scratch);
        start += block_rows;
    }
}

#[inline(always)]
fn run_block<const FUSED: bool>(
    plan: &Plan,
    columns: &Columns<'_>,
    out: &mut OutputSlices<'_>,
    scratch: &mut Scratch,
) {
    let rows = columns.temperature_c.len();
    let results = rows * plan.builds;
    scratch.resize(rows, results, plan.builds);
    share_rows::<FUSED>(plan, columns, &mut scratch.row);
    write_row_columns(plan, &scratch.codes, &scratch.row, out);
    curves::<FUSED>(plan, scratch, out);
    quantiles::<FUSED>(scratch, out);
    probabilities::<FUSED>(scratch, out);
    scores::<FUSED>(plan, scratch, out);
    clear_refused(plan.builds, &scratch.row.reason, out);
}

impl Scratch {
    fn resize(&mut self, rows: usize, results: usize, builds: usize) {
        if self.codes.len() < results {
            self.codes =
                (0..builds).cycle().take(results).map(|b| u16::try_from(b).unwrap_or(u16::MAX)).collect();
        }
        let [low, middle, high] = &mut self.deviates;
        for column in [
            &mut self.curve.constant,
            &mut self.curve.linear,
            &mut self.curve.square,
            &mut self.curve.cube,
            &mut self.confidence_of_point,
            low,
            middle,
            high,
            &mut self.stains,
            &mut self.confidence_of_salt,
            &mut self.horizon_years,
            &mut self.ln_required,
            &mut self.required_years,
            &mut self.confidence,
        ] {
            column.resize(results, 1.0);
        }
        self.fixed.resize(results, Fixed::default());
        let row = &mut self.row;
        for column in [
            &mut row.total_chloride,
            &mut row.required_years,
            &mut row.loss_um,
            &mut row.biased_um,
            &mut row.ln_required,
        ] {
            column.resize(rows, 0.0);
        }
        row.usual.resize(rows, false);
        row.shelter.resize(rows, Shelter::Open);
        row.reason.resize(rows, Reason::Ok);
    }
}

/// First stage: the loss of each row, its years and its shelter.
#[inline(always)]
fn share_rows<const FUSED: bool>(plan: &Plan, columns: &Columns<'_>, row: &mut RowScratch) {
    let road = plan.road_chloride_mg_m2_day;
    for (total, chloride) in row.total_chloride.iter_mut().zip(columns.chloride_mg_m2_day) {
        *total = chloride + road;
    }
    match columns.required_years {
        Some(column) => row.required_years.copy_from_slice(column),
        None => row.required_years.fill(plan.required_years),
    }
    for (ln_required, &required) in row.ln_required.iter_mut().zip(&row.required_years) {
        *ln_required = log2::<FUSED>(required) * LN_2;
    }
    let inputs = columns
        .temperature_c
        .iter()
        .zip(columns.relative_humidity_pct)
        .zip(columns.so2_mg_m2_day)
        .zip(&row.total_chloride);
    for ((((&t, &rh), &so2), &chloride), loss_um) in inputs.zip(&mut row.loss_um) {
        *loss_um = steel_loss_um::<FUSED>(&plan.steel, t, rh, so2, chloride);
    }
    let losses = row.loss_um.iter().zip(columns.temperature_c);
    for ((&loss_um, &t), biased_um) in losses.zip(&mut row.biased_um) {
        *biased_um = loss_um * bias::<FUSED>(t);
    }
    shelters_and_reasons(plan, columns, row);
}

#[inline(always)]
fn shelters_and_reasons(plan: &Plan, columns: &Columns<'_>, row: &mut RowScratch) {
    let shelter_of = |index: usize| match columns.shelter {
        Some(column) => column.get(index).copied().flatten(),
        None => plan.shelter,
    };
    let inputs = columns
        .temperature_c
        .iter()
        .zip(columns.relative_humidity_pct)
        .zip(columns.so2_mg_m2_day)
        .zip(columns.chloride_mg_m2_day)
        .zip(&row.total_chloride)
        .zip(&row.required_years);
    let inputs =
        inputs.map(|(((((&t, &rh), &so2), &chloride), &total_chloride), &required_years)| RowInputs {
            temperature_c: t,
            relative_humidity_pct: rh,
            so2_mg_m2_day: so2,
            chloride_mg_m2_day: chloride,
            total_chloride_mg_m2_day: total_chloride,
            required_years,
            shelter: None,
            in_weather: plan.in_weather,
        });
    for (row, usual) in inputs.clone().zip(&mut row.usual) {
        *usual = row.numbers_are_usual();
    }
    let found = row.shelter.iter_mut().zip(&mut row.reason).zip(&row.usual);
    for (index, (row, ((of_row, reason), &usual))) in inputs.zip(found).enumerate() {
        let shelter = shelter_of(index);
        *reason = Reason::of(&RowInputs { shelter, ..row }, usual);
        *of_row = shelter.unwrap_or(Shelter::Open);
    }
}

/// The columns that are the same for all builds of a row, and the codes of the builds.
#[inline(always)]
fn write_row_columns(plan: &Plan, codes: &[u16], row: &RowScratch, out: &mut OutputSlices<'_>) {
    let builds = plan.builds;
    for (to, from) in out.build.iter_mut().zip(codes) {
        *to = *from;
    }
    for (of_row, &loss_um) in out.first_year_loss_um.chunks_exact_mut(builds).zip(&row.loss_um) {
        of_row.fill(loss_um);
    }
    let shared = row.loss_um.iter().zip(&row.reason);
    let chunks = out.category.chunks_exact_mut(builds).zip(out.reason.chunks_exact_mut(builds));
    for ((categories, reasons), (&loss_um, &reason)) in chunks.zip(shared) {
        categories.fill(plan.category(loss_um));
        reasons.fill(reason);
    }
}

/// Second stage: the curve of each build at each row, and what else its quantiles need.
#[inline(always)]
fn curves<const FUSED: bool>(plan: &Plan, scratch: &mut Scratch, out: &mut OutputSlices<'_>) {
    let builds = plan.builds;
    let rows = scratch.row.reason.len();
    for row in 0..rows {
        curves_of_row::<FUSED>(plan, row, row * builds..(row + 1) * builds, scratch, out);
    }
}

#[inline(always)]
#[expect(clippy::indexing_slicing, reason = "columns of one length")]
fn curves_of_row<const FUSED: bool>(
    plan: &Plan,
    row: usize,
    results: Range<usize>,
    scratch: &mut Scratch,
    out: &mut OutputSlices<'_>,
) {
    let Scratch { row: of_row, curve, deviates: [low, middle, high], .. } = scratch;
    let (shelter, chloride) = (of_row.shelter[row], of_row.total_chloride[row]);
    let Some(under) = plan.under(shelter).filter(|_| of_row.reason[row].has_result()) else { return };
    let site = site_at::<FUSED>(under, shelter, of_row.biased_um[row], chloride);
    scratch.ln_required[results.clone()].fill(of_row.ln_required[row]);
    scratch.required_years[results.clone()].fill(of_row.required_years[row]);
    let builds = &under.builds[..results.len()];
    let constant = &mut curve.constant[results.clone()][..builds.len()];
    let linear = &mut curve.linear[results.clone()][..builds.len()];
    let square = &mut curve.square[results.clone()][..builds.len()];
    let cube = &mut curve.cube[results.clone()][..builds.len()];
    let of_point = &mut scratch.confidence_of_point[results.clone()][..builds.len()];
    let of_salt = &mut scratch.confidence_of_salt[results.clone()][..builds.len()];
    let horizon = &mut scratch.horizon_years[results.clone()][..builds.len()];
    for (place, build) in builds.iter().enumerate() {
        let point = build.curves.at::<FUSED>(&build.life, &site);
        constant[place] = point.curve.constant;
        linear[place] = point.curve.linear;
        square[place] = point.curve.square;
        cube[place] = point.curve.cube;
        of_point[place] = point.confidence;
        of_salt[place] = build.life.confidence_of_salt();
        horizon[place] = build.life.horizon_years_at(site.salt_character());
    }
    let stains = &mut scratch.stains[results.clone()][..builds.len()];
    let low = &mut low[results.clone()][..builds.len()];
    let middle = &mut middle[results.clone()][..builds.len()];
    let high = &mut high[results.clone()][..builds.len()];
    let fixed = &mut scratch.fixed[results.clone()][..builds.len()];
    let blocked = &mut out.blocked[results][..builds.len()];
    for (place, build) in builds.iter().enumerate() {
        let share = build.life.stain.map_or(1.0, |stain| stain.share_measured::<FUSED>(site.ln_salt()));
        stains[place] = share;
        [low[place], middle[place], high[place]] = deviates_of(share);
        (fixed[place], blocked[place]) = build.in_salt(chloride);
    }
}

/// The site of a row.
#[inline(always)]
fn site_at<const FUSED: bool>(under: &Sheltered, shelter: Shelter, loss_um: f64, chloride: f64) -> Site {
    Site::new::<FUSED>(&SiteInputs {
        loss_um,
        measured: false,
        chloride_mg_m2_day: chloride,
        shelter,
        wet_share: under.wet_share,
        washed: under.washed,
    })
}

/// Third stage: quantiles.
#[inline(always)]
fn quantiles<const FUSED: bool>(scratch: &Scratch, out: &mut OutputSlices<'_>) {
    let results = [&mut *out.p10_years, &mut *out.median_years, &mut *out.p90_years];
    for (years, deviates) in results.into_iter().zip(&scratch.deviates) {
        let inputs = scratch.curve.iter().zip(deviates).zip(&scratch.horizon_years);
        for (((curve, &deviate), &horizon), years) in inputs.zip(years) {
            *years = years_at::<FUSED>(&curve, deviate, horizon);
        }
    }
}

/// Fourth stage: probability of the required years, and confidence.
#[inline(always)]
fn probabilities<const FUSED: bool>(scratch: &mut Scratch, out: &mut OutputSlices<'_>) {
    let inputs = scratch.curve.iter().zip(&scratch.ln_required);
    for ((curve, &ln_required), of_those) in inputs.zip(&mut *out.probability_ok) {
        *of_those = curve.beyond::<FUSED>(ln_required);
    }
    let inputs = scratch.stains.iter().zip(&scratch.confidence_of_salt).zip(&scratch.confidence_of_point);
    let results = out.probability_ok.iter_mut().zip(&mut scratch.confidence);
    for (((&stains, &of_salt), &of_point), (probability, confidence)) in inputs.zip(results) {
        let of_those = *probability;
        *probability = kept(stains, of_those);
        let share = share_of_salt(stains, of_those);
        *confidence = mul_add::<FUSED>(share, of_salt - of_point, of_point);
    }
}

/// Fifth stage: cost over the required years, score, and whether the brief is met.
#[inline(always)]
fn scores<const FUSED: bool>(plan: &Plan, scratch: &Scratch, out: &mut OutputSlices<'_>) {
    let inputs = scratch.fixed.iter().zip(&scratch.required_years).zip(&scratch.confidence);
    let years = out.median_years.iter().zip(&*out.probability_ok).zip(&scratch.horizon_years);
    let results = out.score.iter_mut().zip(&mut *out.cost_per_thousand);
    let judged = out.blocked.iter_mut().zip(&mut *out.met).zip(&mut *out.reason);
    for (
        (((fixed, &required), &confidence), ((&median_years, &probability_ok), &horizon_years)),
        ((score, cost), ((blocked, met), reason)),
    ) in inputs.zip(years).zip(results.zip(judged))
    {
        let found = Found { median_years, probability_ok, confidence, horizon_years, ..Found::default() };
        let scored = plan.scale.scored::<FUSED>(fixed, &found, required);
        *cost = scored.cost;
        *score = scored.score;
        *blocked |= scored.beyond_limit;
        *met = plan.scale.meets(*blocked, &found, required);
        *reason = reason.judged(found.is_beyond_evidence(required));
    }
}

/// Rows without a result say so in every column.
fn clear_refused(builds: usize, reasons: &[Reason], out: &mut OutputSlices<'_>) {
    if reasons.iter().all(|reason| reason.has_result()) {
        return;
    }
    for (row, _) in reasons.iter().enumerate().filter(|(_, reason)| !reason.has_result()) {
        let here = row * builds..(row + 1) * builds;
        for column in [
            &mut *out.first_year_loss_um,
            &mut *out.median_years,
            &mut *out.p10_years,
            &mut *out.p90_years,
            &mut *out.probability_ok,
            &mut *out.cost_per_thousand,
            &mut *out.score,
        ] {
            if let Some(results) = column.get_mut(here.clone()) {
                results.fill(f64::NAN);
            }
        }
        if let Some(results) = out.category.get_mut(here.clone()) {
            results.fill(None);
        }
        for column in [&mut *out.blocked, &mut *out.met] {
            if let Some(results) = column.get_mut(here.clone()) {
                results.fill(false);
            }
        }
    }
}
