//! Every source that an answer is based on: those of its formulas and constants, and of the catalog's numbers.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::atmosphere::Shelter;
use crate::atmosphere::chloride::{ROAD_SALT_SOURCE, SEA_CHLORIDE_SOURCE};
use crate::atmosphere::growth::{
    COMPOSITION_RANGE_SOURCE, COMPOSITION_SOURCE, GROWTH_SOURCE, REFERENCE_STEEL_SOURCE,
};
use crate::atmosphere::metal::DENSITY_SOURCE;
use crate::atmosphere::shelter::{
    SALT_CHARACTER_SOURCE, SHELTERED_GROWTH_SOURCE, SHELTERED_RATE_SOURCE, WEATHER_SHARE_SOURCE,
    WEATHERING_GROWTH_SOURCE,
};
use crate::atmosphere::{
    BIAS_SOURCE, CATEGORY_BOUNDS, DOSE_SOURCE, Determination, LOSS_RANGE_SOURCE, StandardMetal,
    VALIDITY_SOURCE,
};
use crate::brief::{
    AMBIENT_C, Brief, CHLORIDE_CLASS_TO_RISK, COLD_SHARE, DESCRIBED_CHLORIDE, Exposure, Failure,
    SALT_BY_LOSS, YEAR_TO_YEAR,
};
use crate::catalog::Catalog;
use crate::evidence::Source;
use crate::fastener::Thread;
use crate::fastener::size::{DIMENSION_SOURCE, INCH_DIMENSION_SOURCE, STEEL_DENSITY_SOURCE};
use crate::life::{
    AGEING_IN_HEAT, Basis, CABINET_RATE, CUBIC_IN_Z, DAMAGE_ADDS_UP, DRY_WHILE_HOT, GROWTH_HORIZON,
    NO_SERVICE_LIFE, PATCH_SPREAD, RESISTANCE_WITHOUT_COMPOSITION, RUST_VISIBLE, SALT_WITH_RATE,
    STAINLESS_HORIZON, SUM_OF_LIVES, THICKNESS,
};
use crate::metal::Family;
use crate::metal::staining::{STAINING_SOURCE, STAINING_WASH_SOURCE, STAINING_YEARS_SOURCE, SULFIDE_SOURCE};
use crate::rank::{DESIRABILITY, FAILS_AT_ONCE, RankedOption};

/// Every source of the options, of the atmosphere and of the formulas, once each.
pub(super) fn sources_of(
    options: &[&RankedOption],
    brief: &Brief,
    exposure: &Exposure,
    catalog: &Catalog,
) -> Vec<Source> {
    let formulas = formulas(options, brief, exposure, catalog);
    // The same text is beside hundreds of numbers: passed over where one was met that is in the same place.
    let mut sources: BTreeSet<&Source> = BTreeSet::new();
    let mut met_lately = vec![None; 1024];
    let mut meet = |source: &'_ Source| -> bool {
        let Source { firmness, citation } = source;
        let place = citation.as_ptr();
        // a multiple of an irrational number spreads places over the slots
        let slot = place.addr().wrapping_mul(0x9E37_79B9) >> 8 & 1023;
        let slot = met_lately.get_mut(slot);
        let same = Some((place, citation.len(), *firmness));
        slot.is_none_or(|slot| std::mem::replace(slot, same) != same)
    };
    // so are factors and findings of builds that share them, each by its own place
    let mut shared = vec![0; 4096];
    let mut meet_shared = |place: usize| {
        let slot = shared.get_mut(place.wrapping_mul(0x9E37_79B9) >> 8 & 4095);
        slot.is_none_or(|slot| std::mem::replace(slot, place) != place)
    };
    for option in options {
        let factors = option.outlook.variance_shares.iter().map(|v| (Arc::as_ptr(&v.of).addr(), &v.source));
        let findings = option.findings.iter().map(|f| (std::ptr::from_ref(&**f).addr(), &f.source));
        let shared = factors.chain(findings).filter(|(place, _)| meet_shared(*place));
        let lines = option.cost.lines.iter().map(|line| &line.source);
        let own = lines.chain([&option.outlook.horizon_source]);
        sources.extend(shared.map(|(_, source)| source).chain(own).filter(|source| meet(source)));
    }
    let numbers = numbers(options, exposure, catalog);
    sources.extend(numbers.iter().filter_map(|key| catalog.content().sources.get(*key)));
    sources.extend(&formulas);
    sources.into_iter().cloned().collect()
}

/// Keys of the sources of the catalog's numbers for the options and the place.
fn numbers<'a>(options: &[&RankedOption], exposure: &Exposure, catalog: &'a Catalog) -> BTreeSet<&'a str> {
    let (mut metals, mut treatments, mut films) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for option in options {
        metals.insert(option.build.base_metal.as_str());
        treatments.insert(option.build.treatment.as_str());
        films.extend(option.build.films.iter().map(String::as_str));
    }
    let content = catalog.content();
    let mut keys: BTreeSet<&str> = BTreeSet::new();
    let found = metals.iter().filter_map(|name| content.base_metals.get(*name));
    keys.extend(found.flat_map(|metal| metal.source_keys()).map(String::as_str));
    let found = treatments.iter().filter_map(|name| content.treatments.get(*name));
    keys.extend(found.flat_map(|treatment| treatment.source_keys()).map(String::as_str));
    let found = films.iter().filter_map(|name| content.films.get(*name));
    keys.extend(found.flat_map(|film| film.source_keys()).map(String::as_str));
    let place = exposure.place.as_ref().and_then(|name| content.places.get(name));
    keys.extend(place.into_iter().flat_map(|place| place.source_keys()).map(String::as_str));
    keys
}

/// Sources of the formulas and constants that the answer goes by.
fn formulas(options: &[&RankedOption], brief: &Brief, exposure: &Exposure, catalog: &Catalog) -> Vec<Source> {
    let mut found = vec![
        NO_SERVICE_LIFE,
        DAMAGE_ADDS_UP,
        CABINET_RATE,
        THICKNESS,
        DENSITY_SOURCE,
        SUM_OF_LIVES,
        CUBIC_IN_Z,
        DESIRABILITY,
    ];
    let steel = CATEGORY_BOUNDS.iter().find(|bounds| bounds.metal == StandardMetal::Steel);
    found.extend(steel.map(|bounds| bounds.source.clone()));
    found.extend(of_the_air(brief, exposure));
    let duty = &brief.duty;
    if exposure.shelter == Shelter::Sheltered {
        found.extend([SHELTERED_RATE_SOURCE, WEATHER_SHARE_SOURCE, SALT_CHARACTER_SOURCE]);
    }
    if exposure.heat_continuous_c > AMBIENT_C {
        found.extend([DRY_WHILE_HOT, AGEING_IN_HEAT]);
        found.extend(duty.cold_share.is_none().then_some(COLD_SHARE));
    }
    let metals = || options.iter().filter_map(|o| catalog.base_metal(&o.build.base_metal).ok());
    match exposure.failure {
        Failure::FirstRust => {}
        Failure::RustedAreaPct(_) => found.extend([RUST_VISIBLE, PATCH_SPREAD]),
        Failure::LossUm(_) | Failure::StrengthLossPct(_) => {
            found.extend([GROWTH_SOURCE, GROWTH_HORIZON, SHELTERED_GROWTH_SOURCE, SALT_CHARACTER_SOURCE]);
            if metals().any(|metal| metal.family == Family::WeatheringSteel) {
                found.extend([
                    COMPOSITION_SOURCE,
                    COMPOSITION_RANGE_SOURCE,
                    REFERENCE_STEEL_SOURCE,
                    WEATHERING_GROWTH_SOURCE,
                ]);
            }
        }
    }
    if options.iter().any(|option| option.outlook.basis == Basis::Staining) {
        found.extend([STAINING_SOURCE, STAINING_YEARS_SOURCE, STAINLESS_HORIZON, SALT_CHARACTER_SOURCE]);
        found.extend((!exposure.rain_washed).then_some(STAINING_WASH_SOURCE));
        found.extend((exposure.chloride_log_sd > 0.0).then_some(SALT_WITH_RATE));
        found.extend(exposure.chloride_mg_m2_day.is_none().then_some(SALT_BY_LOSS));
        let described = duty.chloride_mg_m2_day.is_none() && duty.sea_distance_m.is_none();
        found.extend((described && exposure.chloride_mg_m2_day.is_some()).then_some(DESCRIBED_CHLORIDE));
        if let Some(demand) = &exposure.stainless {
            found.extend(demand.sources());
            found.extend(exposure.chloride_mg_m2_day.map(|_| CHLORIDE_CLASS_TO_RISK));
        }
        let stainless = || metals().filter(|metal| metal.family.is_stainless());
        found.extend(stainless().any(|metal| metal.free_machining).then_some(SULFIDE_SOURCE));
        let unknown = stainless().any(|metal| metal.composition_pct.is_none());
        found.extend(unknown.then_some(RESISTANCE_WITHOUT_COMPOSITION));
    }
    if options.iter().any(|option| option.cost.fails_at_once()) {
        found.push(FAILS_AT_ONCE);
    }
    let part = &brief.part;
    if part.form.is_some() && part.thread.is_some() && (part.mass_g.is_none() || part.surface_dm2.is_none()) {
        let inch = matches!(part.thread_size(), Ok(Some(Thread::Inch(_))));
        found.extend([if inch { INCH_DIMENSION_SOURCE } else { DIMENSION_SOURCE }, STEEL_DENSITY_SOURCE]);
    }
    found
}

/// Sources of the way to the atmosphere.
fn of_the_air(brief: &Brief, exposure: &Exposure) -> Vec<Source> {
    let (duty, air) = (&brief.duty, &exposure.atmosphere);
    let mut found = vec![air.determination.source()];
    if air.determination == Determination::Specimens {
        found.push(YEAR_TO_YEAR);
        return found;
    }
    if air.inputs.is_some() {
        found.extend([DOSE_SOURCE, VALIDITY_SOURCE, BIAS_SOURCE]);
    } else {
        found.push(LOSS_RANGE_SOURCE);
    }
    if duty.sea_distance_m.is_some() && duty.chloride_mg_m2_day.is_none() {
        found.push(SEA_CHLORIDE_SOURCE);
    }
    if duty.road_salt.as_ref().is_some_and(|salt| salt.season_chloride_mg_m2_day.is_none()) {
        found.push(ROAD_SALT_SOURCE);
    }
    found
}
