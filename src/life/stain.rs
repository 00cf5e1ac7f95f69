//! Stainless steel does not rust by dose: a share of its surfaces stains early, the others never do.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use super::terms::{FactorKind, Life, Made};
use crate::atmosphere::Shelter;
use crate::brief::Exposure;
use crate::evidence::Source;
use crate::finish::Treatment;
use crate::math::{log2, normal_cdf};
use crate::metal::staining::{
    MARTENSITIC_FACTOR, MARTENSITIC_MEDIAN_YEARS, MARTENSITIC_SOURCE, STAINING_LOG_SD, STAINING_MEDIAN_YEARS,
    STAINING_SOURCE, STAINING_YEARS_LOG_SD, STAINING_YEARS_SOURCE, SULFIDE_FACTOR, staining_threshold_g_m2,
};
use crate::metal::{
    BaseMetal, Family, PrenForm, StainlessComposition, StainlessFamily, pitting_resistance_equivalent,
};

/// Source of the longest life of stainless steel that anyone has observed.
pub(crate) const STAINLESS_HORIZON: Source = Source::paper(
    "Kearns, Johnson & Pavik (1987, doi:10.1520/STP25834S, abstract): 32 years at a semi-rural site, 15 years at a \
     marine one",
);
const HORIZON_YEARS: f64 = 32.0;
const HORIZON_LOST_AT_THE_SEA: f64 = 17.0;

/// Source of the resistance of a grade whose composition the catalog does not know.
pub(crate) const RESISTANCE_WITHOUT_COMPOSITION: Source = Source::assumption(
    "pitting resistance of a grade of unknown composition by its class of EN 1993-1-4: below I 12, I 16.5, II 18.1, III \
     24, IV 35, V 43; without a class 12",
);
const PREN_BY_CLASS: [f64; 6] = [12.0, 16.5, 18.1, 24.0, 35.0, 43.0];

/// Source of how salt and rate go together.
pub(crate) const SALT_WITH_RATE: Source = Source::assumption(
    "where the deposition of chloride is not measured, its logarithm and that of the loss of steel are correlated by \
     0.8, since salt moves both",
);
const SALT_WITH_RATE_SHARE: f64 = 0.8;

/// What a stainless surface withstands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stain {
    /// Natural logarithm of the salt that the surface withstands, g/m².
    pub(crate) ln_threshold: f64,
    /// Standard deviation of the logarithm of the deposition.
    pub(crate) salt_log_sd: f64,
    /// Place of the factor of salt against threshold.
    pub(crate) factor: usize,
    /// Confidence in its source.
    pub(crate) confidence: f64,
}

/// Adds the stain of a stainless grade: the share that ever stains, and the years to it.
pub(super) fn add(
    life: &mut Life,
    made: &mut Made,
    exposure: &Exposure,
    metal: &BaseMetal,
    treatment: &Treatment,
) {
    let sulfides = if metal.free_machining { SULFIDE_FACTOR } else { 1.0 };
    let weathers = rusts_in_weather(metal, exposure);
    let weather = if weathers { MARTENSITIC_FACTOR } else { 1.0 };
    let threshold =
        staining_threshold_g_m2(pren_of(metal)) * treatment.stain_threshold_factor.value * sulfides * weather;
    let salt_log_sd = exposure.chloride_log_sd;
    let factor = life.factor(made.factor(
        FactorKind::Salt,
        "salt that the grade withstands without staining",
        spread_with_salt(salt_log_sd),
        STAINING_SOURCE,
    ));
    let stain = Stain {
        ln_threshold: threshold.ln(),
        salt_log_sd,
        factor,
        confidence: STAINING_SOURCE.firmness.confidence(),
    };
    let (median_years, source) = if weathers {
        (MARTENSITIC_MEDIAN_YEARS, MARTENSITIC_SOURCE)
    } else {
        (STAINING_MEDIAN_YEARS, STAINING_YEARS_SOURCE)
    };
    let years = made.factor(FactorKind::StainYears, "years to the stain", STAINING_YEARS_LOG_SD, source);
    life.add_stain(stain, median_years, years);
    let of_films = life.horizon_years;
    let at_the_sea = of_films.max(HORIZON_YEARS - HORIZON_LOST_AT_THE_SEA);
    life.reach(HORIZON_YEARS, &STAINLESS_HORIZON);
    life.horizon_lost_to_salt = life.horizon_years - at_the_sea;
}

/// Whether a grade is martensitic and meets the weather, in which it rusts soon.
fn rusts_in_weather(metal: &BaseMetal, exposure: &Exposure) -> bool {
    metal.family == Family::Martensitic && exposure.shelter != Shelter::Indoor
}

/// Spread of the threshold against salt of such a spread.
pub(super) fn spread_with_salt(salt_log_sd: f64) -> f64 {
    STAINING_LOG_SD.hypot(salt_log_sd)
}

/// Pitting resistance equivalent of a grade, by its composition or by its class.
fn pren_of(metal: &BaseMetal) -> f64 {
    let by_class = || {
        let class = metal.resistance_class.as_ref().map_or(0.0, |class| class.value);
        let classes = PREN_BY_CLASS.windows(2).zip(0_u32..);
        let within = classes.filter_map(|(pair, lower)| {
            let [low, high] = pair else { return None };
            let share = class - f64::from(lower);
            (0.0..=1.0).contains(&share).then_some(low + share * (high - low))
        });
        within.last().unwrap_or(43.0)
    };
    let Some(composition) = &metal.composition_pct else { return by_class() };
    let content = |element: &str| composition.elements.get(element).copied().unwrap_or(0.0);
    let composition = StainlessComposition {
        // hardenable grades are ranked by what they contain as the threshold of 410 is: without nitrogen
        family: match metal.family {
            Family::Austenitic => StainlessFamily::Austenitic,
            Family::Duplex => StainlessFamily::Duplex,
            _ => StainlessFamily::Ferritic,
        },
        chromium_pct: content("Cr"),
        molybdenum_pct: content("Mo"),
        tungsten_pct: 0.0,
        nitrogen_pct: content("N"),
    };
    match pitting_resistance_equivalent(&composition, PrenForm::Nitrogen16) {
        Ok(pren) if composition.chromium_pct > 0.0 => pren,
        _ => by_class(),
    }
}

impl Stain {
    /// Share of surfaces that ever stain where the logarithm of the salt on them is `ln_salt`, and the weights of the
    /// points of the rate among those that do. `weights` are the usual ones, `nodes` their places.
    #[inline(always)]
    pub(super) fn share(&self, ln_salt: f64, nodes: &[f64; 5], weights: &[f64; 5]) -> (f64, [f64; 5]) {
        let away = ln_salt - self.ln_threshold;
        if self.salt_log_sd <= 0.0 {
            return (crate::math::normal_cdf_of(away / STAINING_LOG_SD), *weights);
        }
        let common = SALT_WITH_RATE_SHARE * self.salt_log_sd;
        let rest = STAINING_LOG_SD
            .hypot(self.salt_log_sd * (1.0 - SALT_WITH_RATE_SHARE * SALT_WITH_RATE_SHARE).sqrt());
        let mut joint = *weights;
        for (weight, node) in joint.iter_mut().zip(nodes) {
            *weight *= crate::math::normal_cdf_of((away + common * node) / rest);
        }
        let share: f64 = joint.iter().sum();
        if share <= 0.0 {
            return (share, *weights);
        }
        for weight in &mut joint {
            *weight /= share;
        }
        (share, joint)
    }

    /// The share alone, where the deposition is measured.
    #[inline(always)]
    pub(crate) fn share_measured<const FUSED: bool>(&self, ln_salt: f64) -> f64 {
        normal_cdf::<FUSED>((ln_salt - self.ln_threshold) / STAINING_LOG_SD)
    }
}

/// Natural logarithm of the sea salt that stays on a surface, g/m² ([`staining`](crate::metal::staining)).
#[inline(always)]
pub(super) fn ln_surface_salt<const FUSED: bool>(
    chloride_mg_m2_day: f64,
    character: f64,
    washed: f64,
    wet_share: f64,
) -> f64 {
    let [ln_kept, ln_unwashed] = *LN_SALT;
    let log2_salt = log2::<FUSED>(chloride_mg_m2_day * wet_share);
    log2_salt * std::f64::consts::LN_2 + ln_kept + character * (1.0 - washed) * ln_unwashed
}

/// ln of the salt kept per mg/(m²·d) of chloride on a washed surface, and of how much more an unwashed one keeps.
static LN_SALT: std::sync::LazyLock<[f64; 2]> = std::sync::LazyLock::new(|| {
    use crate::metal::staining::surface_salt_g_m2;
    // far in salt the character is 1
    let much = 1e12;
    let washed = surface_salt_g_m2(much, 1.0, 1.0);
    [(washed / much).ln(), (surface_salt_g_m2(much, 0.0, 1.0) / washed).ln()]
});
