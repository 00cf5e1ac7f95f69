//! What is the same for all rows of one shelter, computed once with the rules that a ranking uses.

use crate::Result;
use crate::atmosphere::Shelter;
use crate::atmosphere::{CATEGORY_BOUNDS, Category, DoseLogs, StandardMetal};
use crate::brief::{Brief, Exposure, Sunlight};
use crate::catalog::Catalog;
use crate::check::{
    CRACKING_CHLORIDE_MG_M2_DAY, Case, FindingKind, Inquiry, SALTY_INDOORS_MG_M2_DAY, counted, findings,
};
use crate::finish::Build;
use crate::life::{Curves, Life, Lives, site_of};
use crate::math::cubic::WEIGHTS;
use crate::metal::{Family, composition::WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY};
use crate::rank::{
    Burden, CostLines, Fixed, Lot, ScoreScale, check_limit, fixed_desirabilities, purchase, reference_cost,
};

/// Deposition of chloride, mg/(m²·d), beyond which a separate finding is made: of weathering steel, of couples and hot
/// stainless steel. What
/// else of a row findings look at is its shelter.
const _: () = assert!(SALTY_INDOORS_MG_M2_DAY == CRACKING_CHLORIDE_MG_M2_DAY, "one step for both");
const SALT_STEPS: [f64; 2] = [WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY, SALTY_INDOORS_MG_M2_DAY];

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
    /// Whether the brief tells of rain or full sun.
    pub(super) in_weather: bool,
    /// What salted roads add, mg/(m²·d).
    pub(super) road_chloride_mg_m2_day: f64,
    pub(super) scale: ScoreScale,
    /// Whether a cost has prices without the currency of the catalog.
    pub(super) relative_in_part: bool,
    /// By shelter.
    shelters: Vec<Sheltered>,
}

/// What a shelter makes of a brief and its builds.
#[derive(Debug, Clone)]
pub(super) struct Sheltered {
    /// Share of the time in which water can be on the part, and in which rain washes it.
    pub(super) wet_share: f64,
    pub(super) washed: f64,
    pub(super) builds: Vec<PlannedBuild>,
}

/// A build under a shelter.
#[derive(Debug, Clone)]
pub(super) struct PlannedBuild {
    pub(super) life: Life,
    pub(super) curves: Curves,
    fixed: Fixed,
    blocked: bool,
    /// Whether it is blocked beyond the last of the [`SALT_STEPS`].
    blocked_in_salt: bool,
    /// What settles ties, up to each of the [`SALT_STEPS`] and beyond.
    pub(super) burdens: [Burden; 3],
}

impl PlannedBuild {
    /// What no row changes but by its salt, and whether it is blocked there.
    #[inline]
    pub(super) fn in_salt(&self, chloride_mg_m2_day: f64) -> (Fixed, bool) {
        let [.., salty] = SALT_STEPS;
        let blocked = self.blocked || self.blocked_in_salt && chloride_mg_m2_day > salty;
        let log2 = if blocked { f64::NEG_INFINITY } else { self.fixed.log2 };
        (Fixed { log2, ..self.fixed }, blocked)
    }
}

impl Plan {
    /// The plan of a brief whose duty names a shelter and no place.
    pub(super) fn new(brief: &Brief, builds: &[Build], catalog: &Catalog) -> Result<Self> {
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let prices = &catalog.content().prices;
        let scale = ScoreScale::of(brief, reference_cost(brief, &lot, catalog)?, prices);
        let road_chloride_mg_m2_day =
            Exposure::of(&row(brief, Shelter::Open, 0.0), catalog)?.chloride_mg_m2_day.unwrap_or_default();
        let inquiry = Inquiry::of(brief, catalog)?;
        let cost_lines = CostLines::default();
        let mut relative_in_part = false;
        let mut shelters = Vec::with_capacity(Shelter::ALL.len());
        for &shelter in Shelter::ALL {
            // what roads add is in it, as at a row
            let up_to = |chloride: f64| {
                Exposure::of(&row(brief, shelter, (chloride - road_chloride_mg_m2_day).max(0.0)), catalog)
            };
            let [weathering, couples] = SALT_STEPS;
            let exposure = up_to(weathering)?;
            let in_salt = [up_to(couples)?, up_to(2.0 * couples)?];
            let site = site_of(&exposure);
            let lives = Lives::new(&exposure, &brief.part, catalog);
            let mut planned = Vec::with_capacity(builds.len());
            for build in builds {
                let resolved = catalog.resolve(build)?;
                let case = Case {
                    inquiry: &inquiry,
                    exposure: &exposure,
                    build,
                    metal: resolved.metal,
                    treatment: resolved.treatment,
                    films: &resolved.films,
                };
                let findings = findings(&case)?;
                let blocked = findings.iter().any(|f| f.kind == FindingKind::Blocks);
                let bought = purchase(&lot, &resolved, &findings, catalog, &cost_lines);
                check_limit(brief, &bought, catalog)?;
                relative_in_part |= bought.is_relative_in_part(catalog);
                let fixed = Fixed::new(fixed_desirabilities(&case)?, &scale, bought.per_thousand, blocked);
                let life = lives.of(&counted(&brief.part, inquiry.thread_or_usual(), &resolved, catalog)?)?;
                let curves = Curves::new(&life, WEIGHTS).kept();
                let little = Burden::of(resolved.treatment, &findings);
                // what salt adds to findings: the rust of weathering steel no longer protects, couples are attacked, hot
                // stainless steel cracks
                let minds_salt = resolved.metal.family.is_stainless()
                    || resolved.metal.family == Family::WeatheringSteel
                    || !brief.duty.mating_metals.is_empty()
                    || !brief.part.joined_metals.is_empty();
                let mut burdens = [little; 3];
                let [_, salty @ ..] = &mut burdens;
                let mut blocked_in_salt = blocked;
                for (burden, exposure) in salty.iter_mut().zip(&in_salt).filter(|_| minds_salt) {
                    let findings = crate::check::findings(&Case { exposure, ..case })?;
                    *burden = Burden::of(resolved.treatment, &findings);
                    blocked_in_salt = findings.iter().any(|f| f.kind == FindingKind::Blocks);
                }
                planned.push(PlannedBuild { life, curves, fixed, blocked, blocked_in_salt, burdens });
            }
            shelters.push(Sheltered { wet_share: site.wet_share, washed: site.washed, builds: planned });
        }
        Ok(Self {
            builds: builds.len(),
            steel: *DoseLogs::of(StandardMetal::Steel),
            category_bounds_um: steel_bounds_um(),
            required_years: brief.duty.required_years,
            shelter: brief.duty.shelter,
            in_weather: brief.duty.rain_washed == Some(true) || brief.duty.sunlight == Some(Sunlight::Full),
            road_chloride_mg_m2_day,
            scale,
            relative_in_part,
            shelters,
        })
    }

    /// The category of a loss of steel, as [`category_from_um`](crate::atmosphere::category_from_um) takes it.
    pub(super) fn category(&self, loss_um: f64) -> Option<Category> {
        let above = self.category_bounds_um.iter().filter(|&&upper| loss_um > upper).count();
        Category::ALL.get(above).copied()
    }

    /// What settles ties of a build at a row.
    pub(super) fn burden(&self, shelter: Shelter, build: usize, chloride_mg_m2_day: f64) -> Burden {
        let chloride = chloride_mg_m2_day + self.road_chloride_mg_m2_day;
        let steps = SALT_STEPS.iter().filter(|step| chloride > **step).count();
        let build = self.under(shelter).and_then(|under| under.builds.get(build));
        build.and_then(|build| build.burdens.get(steps)).copied().unwrap_or_default()
    }

    /// What a shelter makes of the builds.
    pub(super) fn under(&self, shelter: Shelter) -> Option<&Sheltered> {
        Shelter::ALL.iter().zip(&self.shelters).find(|(s, _)| **s == shelter).map(|(_, found)| found)
    }
}

/// Upper bounds of C1 to C5 for steel by thickness, µm.
fn steel_bounds_um() -> [f64; 5] {
    let bounds =
        CATEGORY_BOUNDS.iter().find(|bounds| bounds.metal == StandardMetal::Steel).and_then(|b| b.um);
    bounds.map_or([f64::INFINITY; 5], |[c1, c2, c3, c4, c5, _]| [c1, c2, c3, c4, c5])
}

/// The brief of a row.
fn row(brief: &Brief, shelter: Shelter, chloride_mg_m2_day: f64) -> Brief {
    let mut row = brief.clone();
    row.duty.shelter = Some(shelter);
    row.duty.temperature_c = Some(10.0);
    row.duty.relative_humidity_pct = Some(75.0);
    row.duty.so2_mg_m2_day = Some(5.0);
    row.duty.chloride_mg_m2_day = Some(chloride_mg_m2_day);
    row
}
