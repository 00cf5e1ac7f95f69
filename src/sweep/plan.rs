//! What is the same for all rows of one shelter and one class asked of stainless steel, computed once with the
//! rules that a ranking uses.
//!
//! A life whose terms all follow the rate of the air keeps its spread at every row, and its median is that at
//! 1 µm in the first year divided by the loss. So is that of a stainless part without films, which follows the
//! class alone. Everything else is a [`Mixture`].

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use std::f64::consts::LOG2_E;

use crate::Result;
use crate::atmosphere::{CATEGORY_BOUNDS, Category, StandardMetal};
use crate::brief::{Brief, Exposure};
use crate::catalog::{Catalog, Shelter};
use crate::check::{Case, FindingKind, Inquiry, findings};
use crate::finish::Build;
use crate::metal::{Crf, ResistanceClass};
use crate::outlook::{Basis, BuildLife, Term, Z90, build_life, required_class, sum_of};
use crate::rank::{CostScale, Lot, USUAL_TARGET, cost, fixed_desirabilities, log2_growth, reference_cost};
use crate::sweep::kernel::DoseLogs;
use crate::sweep::mixture::{Mixture, Second};

/// Classes that may be asked of stainless steel.
pub(super) const CLASSES: usize = 5;
const KEYS: usize = Shelter::ALL.len() * CLASSES;
/// The loss, µm, at which the constants are taken.
const UNIT_LOSS_UM: f64 = 1.0;

/// Everything about a brief and its builds that no row changes.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    pub(super) builds: usize,
    pub(super) steel: DoseLogs,
    /// Upper bounds of C1 to C5.
    category_bounds_um: [f64; 5],
    /// Years and shelter where the table has no such column.
    pub(super) required_years: f64,
    pub(super) shelter: Option<Shelter>,
    /// What salted roads add, mg/(m²·d).
    pub(super) road_chloride_mg_m2_day: f64,
    /// Class asked of stainless steel less one, by shelter, chloride band and SO2 band.
    classes: Vec<usize>,
    /// By shelter and class.
    tables: Vec<Table>,
    pub(super) mixtures: Vec<MixedBuild>,
    pub(super) score: ScoreScale,
}

/// Builds whose constants lie together.
pub(super) const LANES: usize = 4;

/// Constants of all builds under one shelter and class, some builds at a time.
#[derive(Debug, Clone, Default)]
pub(super) struct Table {
    pub(super) lanes: Vec<Lanes>,
}

/// Constants of some builds; what lies beyond the last build is never read.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Lanes {
    /// 1 where the life follows the rate of the air, 0 where it does not.
    pub(super) follows_rate: [f64; LANES],
    /// Median years, at 1 µm in the first year where it follows the rate; its logarithm; one over it.
    pub(super) median_years: [f64; LANES],
    pub(super) log2_median: [f64; LANES],
    pub(super) inverse_median: [f64; LANES],
    /// 1 over the spread of log2 of the years.
    pub(super) inverse_log2_sd: [f64; LANES],
    /// 10 and 90 % life over the median.
    pub(super) p10_factor: [f64; LANES],
    pub(super) p90_factor: [f64; LANES],
    /// Weighted log2 of the criteria that the row does not move; -∞ for a blocked build.
    pub(super) log2_fixed: [f64; LANES],
    /// Cost of a thousand pieces, delivered once.
    pub(super) purchase: [f64; LANES],
    pub(super) blocked: [bool; LANES],
}

/// The constants of one build in a table.
struct BuildConstants {
    life: Option<SimpleLife>,
    log2_fixed: f64,
    purchase: f64,
    blocked: bool,
}

/// A build whose life is a mixture, with its constants by shelter and class.
#[derive(Debug, Clone)]
pub(super) struct MixedBuild {
    pub(super) build: usize,
    pub(super) second: Second,
    keys: Vec<Mixture>,
}

/// Constants of the score and the cost.
#[derive(Debug, Clone, Copy)]
pub(super) struct ScoreScale {
    pub(super) inverse_target: f64,
    pub(super) durability_weight: f64,
    pub(super) cost_weight: f64,
    pub(super) confidence_weight: f64,
    pub(super) log2_growth: f64,
    /// Labour to replace a thousand pieces.
    pub(super) labour: f64,
    /// Cost at which the floor is reached, and 1 / log2 of it over the reference.
    pub(super) cost_limit: f64,
    pub(super) inverse_cost_span: f64,
    /// Least desirability of a cost.
    pub(super) cost_floor: f64,
    /// log2 of limit over cost below which a build is blocked.
    pub(super) blocked_below: f64,
}

impl Plan {
    /// The plan of a brief whose duty names a shelter and no place.
    pub(super) fn new(brief: &Brief, builds: &[Build], catalog: &Catalog) -> Result<Self> {
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let cost_scale = CostScale::of(brief, reference_cost(brief, &lot, catalog)?);
        let weights = brief.wants.weights.clone().unwrap_or_default().normalised();
        let [durability_weight, cost_weight, appearance, heat, assembly, confidence_weight] = weights;
        let prices = &catalog.content().prices;
        let score = ScoreScale {
            inverse_target: brief.wants.target_probability.unwrap_or(USUAL_TARGET).recip(),
            durability_weight,
            cost_weight,
            confidence_weight,
            log2_growth: log2_growth(prices),
            labour: 1000.0 * prices.replacement_labour_per_piece.value,
            cost_limit: cost_scale.limit,
            inverse_cost_span: (cost_scale.limit / cost_scale.reference).log2().recip(),
            // a limit below the reference leaves nothing to weigh: within it the cost is no matter
            cost_floor: if cost_scale.reference >= cost_scale.limit { 1.0 } else { cost_scale.floor },
            blocked_below: if brief.wants.cost_limit_per_thousand.is_some() {
                0.0
            } else {
                f64::NEG_INFINITY
            },
        };
        let road_chloride_mg_m2_day = Exposure::of(&row(brief, Shelter::Open, 0.0, 5.0), catalog)?
            .chloride_mg_m2_day
            .unwrap_or_default();
        let mut plan = Self {
            builds: builds.len(),
            steel: *DoseLogs::of(StandardMetal::Steel),
            category_bounds_um: steel_bounds_um(),
            required_years: brief.duty.required_years,
            shelter: brief.duty.shelter,
            road_chloride_mg_m2_day,
            classes: Vec::new(),
            tables: vec![Table::default(); KEYS],
            mixtures: Vec::new(),
            score,
        };
        let mut exposures = Vec::new();
        for &shelter in Shelter::ALL {
            plan.add_classes(brief, shelter, catalog)?;
            let mut exposure = Exposure::of(&row(brief, shelter, 3.0, 5.0), catalog)?;
            exposure.atmosphere.first_year_steel_loss_um = UNIT_LOSS_UM;
            exposures.push(exposure);
        }
        let inquiry = Inquiry::of(brief, catalog)?;
        for (index, build) in builds.iter().enumerate() {
            let resolved = catalog.resolve(build)?;
            let mut mixtures = Vec::new();
            let mut second = None;
            for (shelter_tables, exposure) in plan.tables.chunks_mut(CLASSES).zip(&exposures) {
                let case = Case {
                    inquiry: &inquiry,
                    exposure,
                    build,
                    metal: resolved.metal,
                    treatment: resolved.treatment,
                    films: &resolved.films,
                };
                let findings = findings(&case)?;
                let blocked = findings.iter().any(|f| f.kind == FindingKind::Blocks);
                let purchase =
                    cost(&lot, &resolved, &findings, f64::INFINITY, 1.0, catalog).purchase_per_thousand;
                let desirabilities = fixed_desirabilities(&case)?;
                for (table, &class) in shelter_tables.iter_mut().zip(ResistanceClass::ALL) {
                    let life = build_life(&demanding(exposure, class), &brief.part, &resolved, catalog)?;
                    let simple = simple_life(&life);
                    let fixed: f64 = desirabilities
                        .iter()
                        .zip([appearance, heat, assembly])
                        .chain(simple.iter().map(|s| (&s.confidence, confidence_weight)))
                        .filter(|(_, weight)| *weight > 0.0)
                        .map(|(desirability, weight)| weight * desirability.log2())
                        .sum();
                    if simple.is_none() {
                        let (mixture, kind) = Mixture::of(&life);
                        mixtures.push(mixture);
                        second = Some(kind);
                    }
                    let log2_fixed = if blocked { f64::NEG_INFINITY } else { fixed };
                    table.push(index, &BuildConstants { life: simple, log2_fixed, purchase, blocked });
                }
            }
            if let Some(second) = second {
                plan.mixtures.push(MixedBuild { build: index, second, keys: mixtures });
            }
        }
        Ok(plan)
    }

    fn add_classes(&mut self, brief: &Brief, shelter: Shelter, catalog: &Catalog) -> Result<()> {
        // one place in each band of chloride and of SO2
        for total_chloride in [1.0, 30.0, 150.0, 1000.0] {
            let chloride = f64::max(total_chloride - self.road_chloride_mg_m2_day, 0.0);
            for so2 in [1.0, 30.0, 150.0] {
                let class = required_class(&Exposure::of(&row(brief, shelter, chloride, so2), catalog)?);
                self.classes.push((1..CLASSES).take_while(|below| class > *below as f64).count());
            }
        }
        Ok(())
    }

    /// The band of chloride and SO2 in which a place lies; free of branches, for many rows at a time.
    #[inline(always)]
    pub(super) fn band(total_chloride_mg_m2_day: f64, so2_mg_m2_day: f64) -> u32 {
        let so2_ug_m3 = so2_mg_m2_day / 0.8;
        let chloride = |end: f64| u32::from(total_chloride_mg_m2_day > end);
        let so2 = |begin: f64| u32::from(so2_ug_m3 >= begin);
        3 * (chloride(3.0) + chloride(60.0) + chloride(300.0)) + so2(10.0) + so2(90.0)
    }

    /// The table of a shelter at a place of such a [`band`](Self::band).
    #[inline(always)]
    pub(super) fn key(&self, shelter: Shelter, band: u32) -> usize {
        let shelter = shelter as usize;
        let class = self.classes.get(shelter * 12 + band as usize).copied().unwrap_or(0);
        shelter * CLASSES + class
    }

    /// The category of a loss of steel, as [`category_from_um`](crate::atmosphere::category_from_um) takes it.
    pub(super) fn category(&self, loss_um: f64) -> Option<Category> {
        let above = self.category_bounds_um.iter().filter(|&&upper| loss_um > upper).count();
        Category::ALL.get(above).copied()
    }

    /// The constants under a key of [`key`](Self::key).
    pub(super) fn table(&self, key: usize) -> Option<&Table> {
        self.tables.get(key)
    }
}

impl MixedBuild {
    /// The constants under a key of [`Plan::key`].
    pub(super) fn at(&self, key: usize) -> Option<&Mixture> {
        self.keys.get(key)
    }
}

/// Upper bounds of C1 to C5 for steel by thickness, µm.
fn steel_bounds_um() -> [f64; 5] {
    let bounds =
        CATEGORY_BOUNDS.iter().find(|bounds| bounds.metal == StandardMetal::Steel).and_then(|b| b.um);
    bounds.map_or([f64::INFINITY; 5], |[c1, c2, c3, c4, c5, _]| [c1, c2, c3, c4, c5])
}

/// The brief of a row.
fn row(brief: &Brief, shelter: Shelter, chloride_mg_m2_day: f64, so2_mg_m2_day: f64) -> Brief {
    let mut row = brief.clone();
    row.duty.shelter = Some(shelter);
    row.duty.temperature_c = Some(10.0);
    row.duty.relative_humidity_pct = Some(75.0);
    row.duty.so2_mg_m2_day = Some(so2_mg_m2_day);
    row.duty.chloride_mg_m2_day = Some(chloride_mg_m2_day);
    row
}

/// The same exposure where it asks another class of stainless steel.
fn demanding(exposure: &Exposure, required_class: ResistanceClass) -> Exposure {
    let stainless = Crf { f1: 0, f2: 0, f3: 0, total: 0, required_class, on_bound: Vec::new() };
    Exposure { stainless: Some(stainless), ..exposure.clone() }
}

/// A life with one spread at all rows.
#[derive(Debug, Clone, Copy)]
struct SimpleLife {
    follows_rate: bool,
    ln_median: f64,
    log_sd: f64,
    confidence: f64,
}

/// The life if all of its terms follow the rate of the air, or none does.
fn simple_life(life: &BuildLife) -> Option<SimpleLife> {
    let terms = &life.life.terms;
    let follows_rate = terms.iter().all(follows_rate);
    let follows_class = life.basis == Basis::ResistanceClass && terms.len() == 1;
    if life.growth.is_some() || !(follows_rate || follows_class) {
        return None;
    }
    let spreads: Vec<f64> = life.life.factors.iter().map(|f| f.log_sd).collect();
    let (years, shares) = sum_of(terms, &spreads);
    let firm: f64 =
        shares.iter().zip(&life.life.factors).map(|(s, f)| s * f.source.firmness.confidence()).sum();
    // the shares add up to 1, or are nothing where nothing has a spread
    let confidence = if firm > 0.0 { firm } else { crate::Firmness::Assumption.confidence() };
    Some(SimpleLife { follows_rate, ln_median: years.ln_median, log_sd: years.log_sd, confidence })
}

/// Whether a term goes with the inverse of the rate, the first factor of a life.
pub(super) fn follows_rate(term: &Term) -> bool {
    term.exponents.contains(&(0, -1.0))
}

impl Table {
    /// Adds the constants of the next build; those of the life of a mixture are filled row by row.
    fn push(&mut self, index: usize, build: &BuildConstants) {
        let lane = index % LANES;
        if lane == 0 {
            self.lanes.push(Lanes::default());
        }
        let Some(lanes) = self.lanes.last_mut() else { return };
        let life = build.life.unwrap_or(SimpleLife {
            follows_rate: false,
            ln_median: f64::NEG_INFINITY,
            log_sd: 0.0,
            confidence: 1.0,
        });
        let log2_sd = life.log_sd * LOG2_E;
        let median_years = life.ln_median.exp();
        for (column, value) in [
            (&mut lanes.follows_rate, if life.follows_rate { 1.0 } else { 0.0 }),
            (&mut lanes.median_years, median_years),
            (&mut lanes.log2_median, life.ln_median * LOG2_E),
            (&mut lanes.inverse_median, median_years.recip()),
            // without a spread there is only before and after: any large number
            (&mut lanes.inverse_log2_sd, if log2_sd > 0.0 { log2_sd.recip() } else { 1e6 }),
            (&mut lanes.p10_factor, (-Z90 * life.log_sd).exp()),
            (&mut lanes.p90_factor, (Z90 * life.log_sd).exp()),
            (&mut lanes.log2_fixed, build.log2_fixed),
            (&mut lanes.purchase, build.purchase),
        ] {
            if let Some(slot) = column.get_mut(lane) {
                *slot = value;
            }
        }
        if let Some(slot) = lanes.blocked.get_mut(lane) {
            *slot = build.blocked;
        }
    }
}
