//! The loops over rows and builds.
//!
//! A block of rows goes through its stages one after the other, each a plain loop over slices: what the builds
//! of a row share; the life of each build; its probability; its cost and score. Between the stages numbers stay
//! in a scratch that fits the first-level cache.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use crate::catalog::Shelter;
use crate::outlook::LEAST_LOSS_UM;
use crate::sweep::Columns;
use crate::sweep::kernel::{
    exp2, fused, log2, log2_of_normal, mul_add, normal_cdf, replacements, steel_loss_um,
};
use crate::sweep::mixture::Mixture;
use crate::sweep::output::OutputSlices;
use crate::sweep::plan::{LANES, Lanes, MixedBuild, Plan, ScoreScale};
use crate::sweep::reason::{Reason, RowInputs};

/// Rows times builds of one block.
const BLOCK_RESULTS: usize = 384;
/// Stands for the logarithm of nothing, so that a weight of 0 leaves even that out.
const LOG2_OF_NOTHING: f64 = -1e300;

/// Numbers between the stages.
#[derive(Debug, Default)]
pub(super) struct Scratch {
    codes: Vec<u16>,
    row: RowScratch,
    mixed: MixedScratch,
    // one per row and build
    z: Vec<f64>,
    lives: Vec<f64>,
    purchase: Vec<f64>,
    log2_fixed: Vec<f64>,
    room: Vec<f64>,
}

/// One per row.
#[derive(Debug, Default)]
struct RowScratch {
    total_chloride: Vec<f64>,
    required_years: Vec<f64>,
    loss_um: Vec<f64>,
    rate_um: Vec<f64>,
    log2_rate: Vec<f64>,
    log2_required: Vec<f64>,
    usual: Vec<bool>,
    band: Vec<u32>,
    key: Vec<usize>,
    reason: Vec<Reason>,
}

/// One per row, for one mixed build.
#[derive(Debug, Default)]
struct MixedScratch {
    constants: Vec<Mixture>,
    lives: Vec<[f64; 6]>,
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
    lives::<FUSED>(plan, scratch, out);
    for mixed in &plan.mixtures {
        mixed_lives::<FUSED>(plan, mixed, scratch, out);
    }
    for (probability, z) in out.probability_ok.iter_mut().zip(&scratch.z) {
        *probability = normal_cdf::<FUSED>(*z);
    }
    scores::<FUSED>(&plan.score, scratch, out);
    clear_refused(plan.builds, &scratch.row.reason, out);
}

impl Scratch {
    fn resize(&mut self, rows: usize, results: usize, builds: usize) {
        if self.codes.len() < results {
            self.codes =
                (0..builds).cycle().take(results).map(|b| u16::try_from(b).unwrap_or(u16::MAX)).collect();
        }
        for column in [&mut self.z, &mut self.lives, &mut self.purchase, &mut self.log2_fixed, &mut self.room]
        {
            column.resize(results, 0.0);
        }
        let row = &mut self.row;
        for column in [
            &mut row.total_chloride,
            &mut row.required_years,
            &mut row.loss_um,
            &mut row.rate_um,
            &mut row.log2_rate,
            &mut row.log2_required,
        ] {
            column.resize(rows, 0.0);
        }
        row.usual.resize(rows, false);
        row.band.resize(rows, 0);
        row.key.resize(rows, 0);
        row.reason.resize(rows, Reason::Ok);
        self.mixed.constants.resize(rows, Mixture::default());
        self.mixed.lives.resize(rows, [0.0; 6]);
    }
}

/// First stage: the loss of each row with its logarithm, and the table of constants that the row takes.
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
    for (log2_required, &required) in row.log2_required.iter_mut().zip(&row.required_years) {
        *log2_required = log2::<FUSED>(required);
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
    for ((&loss_um, rate_um), log2_rate) in row.loss_um.iter().zip(&mut row.rate_um).zip(&mut row.log2_rate) {
        *rate_um = if loss_um > LEAST_LOSS_UM { loss_um } else { LEAST_LOSS_UM };
        *log2_rate = log2::<FUSED>(*rate_um);
    }
    keys_and_reasons(plan, columns, row);
}

#[inline(always)]
fn keys_and_reasons(plan: &Plan, columns: &Columns<'_>, row: &mut RowScratch) {
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
        });
    for (row, (usual, band)) in inputs.clone().zip(row.usual.iter_mut().zip(&mut row.band)) {
        *usual = row.numbers_are_usual();
        *band = Plan::band(row.total_chloride_mg_m2_day, row.so2_mg_m2_day);
    }
    let found = row.key.iter_mut().zip(&mut row.reason).zip(row.usual.iter().zip(&row.band));
    for (index, (row, ((key, reason), (&usual, &band)))) in inputs.zip(found).enumerate() {
        let shelter = shelter_of(index);
        *reason = Reason::of(&RowInputs { shelter, ..row }, usual);
        *key = plan.key(shelter.unwrap_or(Shelter::Open), band);
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
        let (lanes, rest) = of_row.as_chunks_mut::<LANES>();
        lanes.fill([loss_um; LANES]);
        rest.fill(loss_um);
    }
    let shared = row.loss_um.iter().zip(&row.reason);
    let chunks = out.category.chunks_exact_mut(builds).zip(out.reason.chunks_exact_mut(builds));
    for ((categories, reasons), (&loss_um, &reason)) in chunks.zip(shared) {
        categories.fill(plan.category(loss_um));
        reasons.fill(reason);
    }
}

/// Second stage: lives with one spread at all rows.
#[inline(always)]
fn lives<const FUSED: bool>(plan: &Plan, scratch: &mut Scratch, out: &mut OutputSlices<'_>) {
    let builds = plan.builds;
    let results = scratch
        .z
        .chunks_exact_mut(builds)
        .zip(scratch.lives.chunks_exact_mut(builds))
        .zip(scratch.purchase.chunks_exact_mut(builds).zip(scratch.log2_fixed.chunks_exact_mut(builds)))
        .zip(out.median_years.chunks_exact_mut(builds).zip(out.blocked.chunks_exact_mut(builds)))
        .zip(out.p10_years.chunks_exact_mut(builds).zip(out.p90_years.chunks_exact_mut(builds)));
    let row = &scratch.row;
    let shared =
        row.rate_um.iter().zip(&row.log2_rate).zip(row.required_years.iter().zip(&row.log2_required));
    for (
        ((((z, lives), (purchase, log2_fixed)), (median, blocked)), (p10, p90)),
        (((&rate_um, &log2_rate), (&required_years, &log2_required)), &key),
    ) in results.zip(shared.zip(&row.key))
    {
        let Some(table) = plan.table(key) else { continue };
        let of_row = OfRow { rate_um, inverse_rate: 1.0 / rate_um, log2_rate, required_years, log2_required };
        let (z, z_rest) = z.as_chunks_mut::<LANES>();
        let (lives, lives_rest) = lives.as_chunks_mut::<LANES>();
        let (purchase, purchase_rest) = purchase.as_chunks_mut::<LANES>();
        let (log2_fixed, log2_fixed_rest) = log2_fixed.as_chunks_mut::<LANES>();
        let (median, median_rest) = median.as_chunks_mut::<LANES>();
        let (blocked, blocked_rest) = blocked.as_chunks_mut::<LANES>();
        let (p10, p10_rest) = p10.as_chunks_mut::<LANES>();
        let (p90, p90_rest) = p90.as_chunks_mut::<LANES>();
        let whole = z.iter_mut().zip(lives).zip(purchase.iter_mut().zip(log2_fixed));
        let whole = whole.zip(median.iter_mut().zip(blocked)).zip(p10.iter_mut().zip(p90));
        for (((((z, lives), (purchase, log2_fixed)), (median, blocked)), (p10, p90)), lanes) in
            whole.zip(&table.lanes)
        {
            let found = lanes_of_row::<FUSED>(lanes, &of_row);
            *z = found.z;
            *lives = found.lives;
            *median = found.median_years;
            *p10 = found.p10_years;
            *p90 = found.p90_years;
            *purchase = lanes.purchase;
            *log2_fixed = lanes.log2_fixed;
            *blocked = lanes.blocked;
        }
        if let Some(lanes) = table.lanes.last().filter(|_| !z_rest.is_empty()) {
            let found = lanes_of_row::<FUSED>(lanes, &of_row);
            copy_front(z_rest, &found.z);
            copy_front(lives_rest, &found.lives);
            copy_front(median_rest, &found.median_years);
            copy_front(p10_rest, &found.p10_years);
            copy_front(p90_rest, &found.p90_years);
            copy_front(purchase_rest, &lanes.purchase);
            copy_front(log2_fixed_rest, &lanes.log2_fixed);
            copy_front(blocked_rest, &lanes.blocked);
        }
    }
}

/// What the builds of a row share.
struct OfRow {
    rate_um: f64,
    inverse_rate: f64,
    log2_rate: f64,
    required_years: f64,
    log2_required: f64,
}

/// The lives of some builds at a row.
struct LanesOfRow {
    z: [f64; LANES],
    lives: [f64; LANES],
    median_years: [f64; LANES],
    p10_years: [f64; LANES],
    p90_years: [f64; LANES],
}

#[inline(always)]
#[expect(clippy::indexing_slicing, reason = "lanes of arrays of one length")]
fn lanes_of_row<const FUSED: bool>(lanes: &Lanes, row: &OfRow) -> LanesOfRow {
    let mut found = LanesOfRow {
        z: [0.0; LANES],
        lives: [0.0; LANES],
        median_years: [0.0; LANES],
        p10_years: [0.0; LANES],
        p90_years: [0.0; LANES],
    };
    for i in 0..LANES {
        let follows = lanes.follows_rate[i] > 0.0;
        let log2_median = mul_add::<FUSED>(-lanes.follows_rate[i], row.log2_rate, lanes.log2_median[i]);
        found.z[i] = (log2_median - row.log2_required) * lanes.inverse_log2_sd[i];
        found.median_years[i] = lanes.median_years[i] * if follows { row.inverse_rate } else { 1.0 };
        let required = row.required_years * if follows { row.rate_um } else { 1.0 };
        found.lives[i] = required * lanes.inverse_median[i];
        found.p10_years[i] = found.median_years[i] * lanes.p10_factor[i];
        found.p90_years[i] = found.median_years[i] * lanes.p90_factor[i];
    }
    found
}

#[inline(always)]
fn copy_front<T: Copy>(to: &mut [T], from: &[T; LANES]) {
    for (to, from) in to.iter_mut().zip(from) {
        *to = *from;
    }
}

/// Second stage of one build whose life is a mixture.
#[inline(always)]
fn mixed_lives<const FUSED: bool>(
    plan: &Plan,
    mixed: &MixedBuild,
    scratch: &mut Scratch,
    out: &mut OutputSlices<'_>,
) {
    let row = &scratch.row;
    for (constants, &key) in scratch.mixed.constants.iter_mut().zip(&row.key) {
        *constants = mixed.at(key).copied().unwrap_or_default();
    }
    let second = mixed.second;
    let weight = plan.score.confidence_weight;
    let shared = row.rate_um.iter().zip(row.required_years.iter().zip(&row.log2_required));
    let inputs = scratch.mixed.constants.iter().zip(shared);
    for ((constants, (&rate_um, (&required_years, &log2_required))), life) in
        inputs.zip(&mut scratch.mixed.lives)
    {
        let found = constants.life::<FUSED>(&second, rate_um);
        let z = (found.log2_median - log2_required) * found.inverse_log2_sd;
        let log2_confidence = weight * log2::<FUSED>(found.confidence);
        let lives = required_years / found.median_years;
        *life = [found.median_years, found.p10_years, found.p90_years, z, lives, log2_confidence];
    }
    let each = |column| every(column, mixed.build, plan.builds);
    let results = each(&mut *out.median_years)
        .zip(each(&mut *out.p10_years).zip(each(&mut *out.p90_years)))
        .zip(each(&mut scratch.z).zip(each(&mut scratch.lives).zip(each(&mut scratch.log2_fixed))));
    for (((median, (p10, p90)), (z, (lives, log2_fixed))), life) in results.zip(&scratch.mixed.lives) {
        let log2_confidence;
        [*median, *p10, *p90, *z, *lives, log2_confidence] = *life;
        *log2_fixed += log2_confidence;
    }
}

/// The results of one build.
fn every(column: &mut [f64], build: usize, builds: usize) -> impl Iterator<Item = &mut f64> {
    column.iter_mut().skip(build).step_by(builds)
}

/// Fourth stage: cost over the required years and score, as the ranking takes them.
///
/// The cost is purchase + discounted · (purchase + labour), with the discounted sum a quotient; only its ratio
/// to the limit matters, which is taken in one division. Short loops one after the other run faster than one
/// long loop, since the processor then works on several of their rounds at a time.
#[inline(always)]
fn scores<const FUSED: bool>(scale: &ScoreScale, scratch: &mut Scratch, out: &mut OutputSlices<'_>) {
    let inputs = out.median_years.iter().zip(&scratch.lives).zip(&scratch.purchase);
    for (((&median, &lives), &purchase), room) in inputs.zip(&mut scratch.room) {
        let (_, numerator, denominator) = replacements::<FUSED>(lives, median * scale.log2_growth);
        let cost = mul_add::<FUSED>(numerator, purchase + scale.labour, purchase * denominator);
        *room = scale.cost_limit * denominator / cost;
    }
    for (room, blocked) in scratch.room.iter_mut().zip(&mut *out.blocked) {
        let log2_room = log2_of_normal::<FUSED>(*room);
        *blocked |= log2_room < scale.blocked_below;
        let desirability = log2_room * scale.inverse_cost_span;
        let desirability = if desirability > scale.cost_floor { desirability } else { scale.cost_floor };
        *room = if desirability < 1.0 { desirability } else { 1.0 };
    }
    for (desirability, log2_fixed) in scratch.room.iter().zip(&mut scratch.log2_fixed) {
        *log2_fixed = mul_add::<FUSED>(scale.cost_weight, log2_floored::<FUSED>(*desirability), *log2_fixed);
    }
    for (probability, log2_fixed) in out.probability_ok.iter().zip(&mut scratch.log2_fixed) {
        let durability = probability * scale.inverse_target;
        let durability = if durability < 1.0 { durability } else { 1.0 };
        *log2_fixed =
            mul_add::<FUSED>(scale.durability_weight, log2_floored::<FUSED>(durability), *log2_fixed);
    }
    for ((log2_score, blocked), score) in scratch.log2_fixed.iter().zip(&*out.blocked).zip(&mut *out.score) {
        let value = exp2::<FUSED>(*log2_score);
        *score = if *blocked { 0.0 } else { value };
    }
}

/// log2 of 0 or of a normal number.
#[inline(always)]
fn log2_floored<const FUSED: bool>(x: f64) -> f64 {
    if x > 0.0 { log2_of_normal::<FUSED>(x) } else { LOG2_OF_NOTHING }
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
            &mut *out.score,
        ] {
            if let Some(results) = column.get_mut(here.clone()) {
                results.fill(f64::NAN);
            }
        }
        if let Some(results) = out.category.get_mut(here.clone()) {
            results.fill(None);
        }
        if let Some(results) = out.blocked.get_mut(here) {
            results.fill(false);
        }
    }
}
