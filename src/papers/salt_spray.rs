//! How long a salt-spray test the ordered finish can be held to.

use serde::{Deserialize, Serialize};

use crate::catalog::{Catalog, ResolvedBuild};
use crate::evidence::Source;
use crate::life::LogCubic;
use crate::metal::Family;
use crate::papers::Statement;

/// Source of the hours.
pub(crate) static TEST_HOURS: Source = Source::derived(
    "hours that the standard of the treatment sets, or where longer the lower 10% point of the summed salt-spray hours \
     of treatment and films (catalog medians and spreads), rounded down to a usual test length",
);
const RED_RUST: Source =
    Source::derived("the hours of the films are hours to red rust over plain steel, see the catalog");
/// Usual lengths of neutral salt-spray tests, h (common practice; ISO 9227 has most of them).
pub(crate) const TEST_LENGTHS_H: [f64; 9] = [24.0, 48.0, 72.0, 96.0, 120.0, 168.0, 240.0, 480.0, 720.0];

/// The salt-spray test that a finish can be held to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SaltSpray {
    /// Length of the test to first red rust; none where the finish withstands less than the shortest usual test.
    pub hours: Option<f64>,
    /// Hours to white corrosion, where the standard of the treatment sets them.
    pub white_hours: Option<f64>,
    /// Whether the hours are those of the standard of the treatment, which films only lengthen.
    pub by_standard: bool,
    /// Where the hours of the standard stand; none where they are not those of a standard.
    #[serde(default)]
    pub standard: Option<Source>,
    /// Hours that half of such finishes withstand.
    pub median_hours: f64,
    /// Hours that 9 in 10 withstand.
    pub lower_hours: f64,
    /// Probability that a finish of this kind passes the test, where there is one.
    pub probability_passed: Option<f64>,
    /// What to know about it.
    pub remark: Statement,
}

/// The salt-spray test that the finish of a build can be held to, by what its films withstand in the cabinet.
///
/// The films' hours are lognormal and add up (`SUM_OF_LIVES`). The lower 10% point, rounded down to one of `TEST_LENGTHS_H`, is the test; under
/// 24 h there is none, and none over a metal that does not rust red or resists by itself. Hours are not a service life.
///
/// ```
/// use overcoat::catalog::Catalog;
/// use overcoat::finish::Build;
/// use overcoat::papers::salt_spray;
/// let catalog = Catalog::built_in();
/// // by hand: 468 h and 366 h, each with an ln SD of 0.5, add up to 884 h with one of 0.37: 552 h at the lower 10% point
/// let painted = Build::new("steel_5_8", "hot_alkaline", ["epoxy_electrocoat", "polyester_powder"]);
/// assert_eq!(salt_spray(&catalog.resolve(&painted)?, catalog).hours, Some(480.0));
/// // 46.3 h with an ln SD of 0.6: 21 h at the lower 10% point
/// let oiled = Build::new("steel_5_8", "hot_alkaline", ["dry_touch_oil"]);
/// assert_eq!(salt_spray(&catalog.resolve(&oiled)?, catalog).hours, None);
/// let stainless = Build::new("stainless_316", "stainless_alkaline", ["hard_wax"]);
/// assert_eq!(salt_spray(&catalog.resolve(&stainless)?, catalog).hours, None);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn salt_spray(build: &ResolvedBuild, catalog: &Catalog) -> SaltSpray {
    let hours = capacity(build);
    let (median_hours, lower_hours) = (hours.quantile(0.5), hours.quantile(0.1));
    let family = build.metal.family;
    let standard = build.treatment.standard_hours.as_ref().filter(|_| rusts_red(family));
    let derived = TEST_LENGTHS_H.iter().copied().rfind(|length| *length <= lower_hours);
    let derived = derived.filter(|_| rusts_red(family));
    let of_standard = standard.and_then(|hours| hours.red);
    // What lies over a treatment adds to it: the standard's minimum stays due.
    let by_standard = of_standard.is_some_and(|red| derived.is_none_or(|derived| derived <= red))
        || (of_standard.is_some() && build.films.is_empty());
    let test = if by_standard { of_standard } else { derived };
    let white_hours = standard.and_then(|hours| hours.white);
    let remark = match test {
        None if family == Family::Martensitic => Statement::new(
            "No salt-spray test to first red rust: hours of a coat over plain steel do not apply, and none are known for \
             this grade, which rusts in the cabinet by itself. Agree hours for the grade.",
            RED_RUST,
        ),
        None if family.is_stainless() => Statement::new(
            "No salt-spray test to first red rust: the steel itself resists, and hours of a coat over plain steel do \
             not apply. To test the grade, agree hours for the grade.",
            RED_RUST,
        ),
        None if !rusts_red(family) => {
            Statement::new("No salt-spray test to first red rust: this metal does not rust red.", RED_RUST)
        }
        Some(_) => Statement::new(
            "An early-failure test of the process, not a measure of life: salt-spray hours say nothing about years in \
             service.",
            crate::life::NO_SERVICE_LIFE,
        ),
        None if build.films.is_empty() => Statement::new(
            format!(
                "No salt-spray test: without oil, wax or paint this surface rusts in the cabinet within {}.",
                if median_hours < 1.0 { "the first hour" } else { "hours" }
            ),
            catalog.source(&build.treatment.capacity_h.source),
        ),
        None => Statement::new(
            format!(
                "No salt-spray test: 9 in 10 such finishes withstand {lower_hours:.0} h or more, and the shortest usual \
                 test is 24 h. Required hours would reject good lots."
            ),
            TEST_HOURS.clone(),
        ),
    };
    SaltSpray {
        hours: test,
        white_hours,
        by_standard,
        standard: standard.filter(|_| by_standard).map(|hours| catalog.source(&hours.source)),
        median_hours,
        lower_hours,
        probability_passed: test.map(|length| hours.probability_beyond(length)),
        remark,
    }
}

/// Whether red rust in the cabinet tells how a finish holds.
fn rusts_red(family: Family) -> bool {
    matches!(family, Family::CarbonSteel | Family::AlloySteel | Family::WeatheringSteel | Family::CastIron)
}

fn capacity(build: &ResolvedBuild) -> LogCubic {
    let treatment = build.treatment;
    let films = build.films.iter().enumerate().map(|(place, (_, film))| {
        (film.capacity_h.median * treatment.hold_on(place, film), film.capacity_h.log_sd)
    });
    let mut hours: Vec<(f64, f64)> = films.collect();
    // Films add to what the treatment withstands by itself, zinc above all.
    if hours.is_empty() || treatment.surface_metal.is_some() {
        hours.push((treatment.capacity_h.median, treatment.capacity_h.log_sd));
    }
    LogCubic::of_sum(&hours)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finish::Build;

    fn of(treatment: &str, films: &[&str]) -> SaltSpray {
        let catalog = Catalog::built_in();
        let build = Build::new("steel_8_8", treatment, films.iter().copied());
        salt_spray(&catalog.resolve(&build).unwrap(), catalog)
    }

    /// Independent, by hand: 220 h · exp(-1.281552 · 0.5) = 116 h, so 96 h; 46.3 h · exp(-1.281552 · 0.6) = 21 h.
    #[test]
    fn one_film_is_its_own_lower_point() {
        let stoved = of("hot_alkaline", &["stoved_epoxy"]);
        assert!((stoved.lower_hours - 115.91).abs() < 0.05, "{}", stoved.lower_hours);
        assert_eq!(stoved.hours, Some(96.0));
        assert!(stoved.probability_passed.unwrap() >= 0.9);
        assert_eq!(of("hot_alkaline", &["dry_touch_oil"]).hours, None);
    }

    #[test]
    fn bare_black_and_weak_films_have_no_test_and_say_why() {
        assert!(of("hot_alkaline", &[]).remark.text.contains("first hour"));
        assert!(of("room_temperature", &["displacing_oil"]).remark.text.contains("24 h"));
    }

    #[test]
    fn only_what_rusts_red_is_tested_to_red_rust() {
        let catalog = Catalog::built_in();
        for (name, metal) in &catalog.content().base_metals {
            let build = Build::new(name, "none", ["epoxy_electrocoat", "polyester_powder"]);
            let found = salt_spray(&catalog.resolve(&build).unwrap(), catalog);
            assert_eq!(found.hours.is_some(), rusts_red(metal.family), "{name}");
            assert_eq!(found.remark.text.contains("red rust"), !rusts_red(metal.family), "{name}");
        }
    }

    #[test]
    fn a_second_film_never_shortens_the_test() {
        let one = of("hot_alkaline", &["epoxy_electrocoat"]);
        let two = of("hot_alkaline", &["epoxy_electrocoat", "soft_wax"]);
        assert!(two.lower_hours >= one.lower_hours && two.hours >= one.hours);
    }
}
