//! What must hold for every brief: more attack never lasts longer, no build moves another, and answers are the
//! same however the question is written down.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // test code, outside of test functions

use std::collections::{BTreeMap, BTreeSet};

use crate::common::{DEMO_BRIEFS, brief, by_dose, catalog_text, demo, ranked};
use overcoat::brief::{Brief, Criterion, Failure, WishedBuild};
use overcoat::catalog::Catalog;
use overcoat::evidence::sources_in_code;
use overcoat::rank::{RankedOption, Ranking, rank};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::Value as Json;

fn few() -> ProptestConfig {
    ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() }
}

/// A brief of a bracket in measured air.
fn in_air(metal: &str, [temperature_c, humidity, so2, chloride]: [f64; 4], required_years: f64) -> Brief {
    brief(
        &format!(r#""form": "bracket", "base_metal": "{metal}", "mass_g": 300, "surface_dm2": 2.5"#),
        &format!(
            r#""temperature_c": {temperature_c}, "relative_humidity_pct": {humidity}, "so2_mg_m2_day": {so2},
               "chloride_mg_m2_day": {chloride}, "required_years": {required_years}"#
        ),
        r#""outside_blackening": true"#,
    )
}

/// Options of both rankings by build; both rank the same builds.
fn pairs<'a>(a: &'a Ranking, b: &'a Ranking) -> Vec<(&'a RankedOption, &'a RankedOption)> {
    assert_eq!(a.options.len(), b.options.len());
    a.options.iter().map(|x| (x, b.options.iter().find(|y| x.build == y.build).unwrap())).collect()
}

fn metals() -> impl Strategy<Value = &'static str> {
    select(vec!["steel_4_6", "steel_8_8", "steel_10_9", "malleable_iron", "stainless_304", "stainless_410"])
}

fn failures() -> impl Strategy<Value = Failure> {
    prop_oneof![
        Just(Failure::FirstRust),
        (0.1..40.0_f64).prop_map(Failure::RustedAreaPct),
        // half the thickness of the bracket is 1.53 mm
        (1.0..1500.0_f64).prop_map(Failure::LossUm),
    ]
}

prop_compose! {
    fn airs()(t in -10.0..30.0_f64, rh in 30.0..95.0_f64, so2 in 0.0..150.0_f64, cl in 0.0..600.0_f64) -> [f64; 4] {
        [t, rh, so2, cl]
    }
}

/// A build of the built-in catalog, as a wish.
fn wishes() -> impl Strategy<Value = WishedBuild> {
    let metals = select(vec!["steel_4_6", "steel_12_9", "stainless_304", "stainless_316", "brass"]);
    let content = Catalog::built_in().content();
    let treatments = select(content.treatments.keys().cloned().collect::<Vec<_>>());
    let stacks = select(content.stacks.values().map(|s| s.films.clone()).collect::<Vec<_>>());
    (metals, treatments, stacks).prop_map(|(metal, treatment, films)| WishedBuild {
        base_metal: Some(metal.to_owned()),
        treatment: Some(treatment),
        films: Some(films),
    })
}

/// The JSON of a value with every object's keys in reverse order.
fn backwards(value: &Json) -> String {
    match value {
        Json::Object(object) => {
            let entries: Vec<String> =
                object.iter().rev().map(|(key, v)| format!("{:?}: {}", key, backwards(v))).collect();
            format!("{{{}}}", entries.join(", "))
        }
        Json::Array(items) => format!("[{}]", items.iter().map(backwards).collect::<Vec<_>>().join(", ")),
        other => other.to_string(),
    }
}

proptest! {
    #![proptest_config(few())]

    /// Humidity, sulfur dioxide and chloride only ever add to the attack. Inside the middle of the distribution the
    /// answer follows to rounding; in its tails, where the curve that fits the distribution is not the true one,
    /// it is known to 1e-3 (tests/python/test_properties.py states the same bounds).
    #[test]
    fn harsher_air_never_lasts_longer(
        metal in metals(), air in airs(), failure in failures(), which in 1..4_usize, more in 0.0..1.0_f64,
    ) {
        let mut mild = in_air(metal, air, 5.0);
        mild.duty.failure = failure;
        let mut harsh = mild.clone();
        match which {
            1 => harsh.duty.relative_humidity_pct = Some(air[1] + more * (100.0 - air[1])),
            2 => harsh.duty.so2_mg_m2_day = Some(air[2] + 200.0 * more),
            _ => harsh.duty.chloride_mg_m2_day = Some(air[3] + 1000.0 * more),
        }
        let (mild, harsh) = (ranked(&mild), ranked(&harsh));
        prop_assert!(harsh.atmosphere.first_year_steel_loss_um >= mild.atmosphere.first_year_steel_loss_um);
        for (m, h) in pairs(&mild, &harsh).into_iter().filter(|(m, _)| by_dose(m)) {
            prop_assert!(h.outlook.median_years <= m.outlook.median_years * (1.0 + 1e-6), "{}", m.build);
            let (before, after) = (m.outlook.probability_ok, h.outlook.probability_ok);
            let inside = [before, after].iter().all(|p| (0.02..0.98).contains(p));
            let allowed = if inside { 1e-9 } else { 1e-3 };
            prop_assert!(after - before <= allowed, "{}: {before} {:e}", m.build, after - before);
        }
    }

    #[test]
    fn longer_required_years_are_never_likelier(
        metal in metals(), air in airs(), failure in failures(), years in 0.1..30.0_f64, more in 0.0..30.0_f64,
    ) {
        let mut short = in_air(metal, air, years);
        short.duty.failure = failure;
        let mut long = short.clone();
        long.duty.required_years = years + more;
        for (s, l) in pairs(&ranked(&short), &ranked(&long)) {
            prop_assert!(l.outlook.probability_ok <= s.outlook.probability_ok, "{}", s.build);
            prop_assert_eq!(l.outlook.median_years, s.outlook.median_years);
            prop_assert!(l.cost.per_thousand >= s.cost.per_thousand * (1.0 - 1e-12), "{}", s.build);
        }
    }

    #[test]
    fn a_film_of_more_capacity_never_shortens_a_life(
        film in select(Catalog::built_in().content().films.keys().cloned().collect::<Vec<_>>()),
        metal in metals(), air in airs(), failure in failures(), times in 1.0..20.0_f64,
    ) {
        let catalog = Catalog::built_in();
        // a catalog takes no more than 20,000 h
        let median = (catalog.film(&film).unwrap().capacity_h.median * times).min(20_000.0);
        let thicker = Catalog::from_json(&catalog_text(&format!(
            r#""films": {{"{film}": {{"capacity_h": {{"median": {median}, "source": "hours_wax"}}}}}}"#
        ))).unwrap();
        let mut brief = in_air(metal, air, 5.0);
        brief.duty.failure = failure;
        let (thin, thick) = (ranked(&brief), rank(&brief, &thicker).unwrap());
        for (a, b) in pairs(&thin, &thick) {
            if a.build.films.contains(&film) {
                prop_assert!(b.outlook.median_years >= a.outlook.median_years * (1.0 - 1e-12), "{}", a.build);
            } else {
                prop_assert_eq!(&a.outlook, &b.outlook);
            }
        }
    }

    /// No criterion looks at the other builds.
    #[test]
    fn a_build_more_moves_no_other(
        wishes in prop::collection::vec(wishes(), 1..6), extra in wishes(), at in any::<Index>(),
        name in select(DEMO_BRIEFS.to_vec()),
    ) {
        prop_assume!(!wishes.contains(&extra));
        let mut brief = demo(name);
        brief.wants.builds = Some(wishes.clone());
        let without = ranked(&brief);
        let mut more = wishes;
        more.insert(at.index(more.len() + 1), extra);
        brief.wants.builds = Some(more);
        let with = ranked(&brief);
        let kept: Vec<&RankedOption> =
            with.options.iter().filter(|o| without.options.iter().any(|w| w.build == o.build)).collect();
        prop_assert_eq!(with.options.len(), without.options.len() + 1);
        prop_assert_eq!(kept.len(), without.options.len());
        for (before, after) in without.options.iter().zip(kept) {
            prop_assert_eq!(&before.build, &after.build);
            prop_assert_eq!(&before.score, &after.score);
            prop_assert_eq!(&before.outlook, &after.outlook);
            prop_assert_eq!(&before.cost, &after.cost);
        }
    }

    #[test]
    fn numbers_lie_where_they_must(
        metal in metals(), air in airs(), failure in failures(), years in 0.1..60.0_f64, peak in 20.0..700.0_f64,
    ) {
        let mut brief = in_air(metal, air, years);
        brief.duty.failure = failure;
        brief.duty.heat_peak_c = Some(peak);
        check_numbers(&ranked(&brief));
    }
}

fn check_numbers(ranking: &Ranking) {
    let mut blocked_before = false;
    for option in &ranking.options {
        let build = &option.build;
        assert!(!blocked_before || option.blocked, "{build} is open below a blocked build");
        blocked_before |= option.blocked;

        assert!((0.0..=1.0).contains(&option.score.value), "{build}");
        assert!(!option.blocked || option.score.value == 0.0, "{build}");
        let shares = &option.score.shares;
        assert!(shares.iter().map(|s| s.criterion).eq(Criterion::ALL), "{build}");
        assert!(shares.iter().all(|s| (0.0..=1.0).contains(&s.desirability) && s.share >= 0.0), "{build}");
        let sum: f64 = shares.iter().map(|s| s.share).sum();
        assert!(sum == 0.0 || (sum - 1.0).abs() < 1e-9, "{build}: shares sum to {sum}");
        let weights: f64 = shares.iter().map(|s| s.weight).sum();
        assert!((weights - 1.0).abs() < 1e-9, "{build}");

        let outlook = &option.outlook;
        let variance: f64 = outlook.variance_shares.iter().map(|v| v.share).sum();
        assert!((variance - 1.0).abs() < 1e-9, "{build}: variance shares sum to {variance}");
        assert!(outlook.variance_shares.windows(2).all(|w| w[0].share >= w[1].share), "{build}");
        assert!((0.0..=1.0).contains(&outlook.probability_ok), "{build}");
        assert!(
            0.0 < outlook.p10_years
                && outlook.p10_years <= outlook.median_years
                && outlook.median_years <= outlook.p90_years
                && outlook.p90_years <= outlook.horizon_years,
            "{build}"
        );

        let lines: f64 = option.cost.lines.iter().map(|l| l.per_thousand).sum();
        assert!((lines / option.cost.per_thousand - 1.0).abs() < 1e-9, "{build}");
        assert!(option.cost.per_thousand >= option.cost.purchase_per_thousand, "{build}");
    }
    let open = ranking.options.iter().filter(|o| !o.blocked);
    let open: Vec<&RankedOption> = open.collect();
    // in order of score, but for those of one rank
    let ordered = |w: &[&RankedOption]| {
        if w[0].rank == w[1].rank {
            w[0].score.value >= 0.99 * w[1].score.value
        } else {
            w[0].score.value > w[1].score.value
        }
    };
    assert!(open.windows(2).all(ordered), "open builds in order of score");
    assert!(ranking.stability.is_none_or(|s| (0.0..=1.0).contains(&s)));
}

/// The list of sources is all that stand beside a number of an option, once each, and those of the method and the air.
#[test]
fn every_source_is_listed_once() {
    for name in DEMO_BRIEFS {
        let ranking = ranked(&demo(name));
        let air = ranking.atmosphere.determination.source();
        let of_all = ["NO_SERVICE_LIFE", "DAMAGE_ADDS_UP", "SUM_OF_LIVES", "CUBIC_IN_Z", "DESIRABILITY"];
        let cited = sources_in_code().iter().filter(|cited| of_all.contains(&cited.name));
        let mut expected: BTreeSet<_> = cited.map(|cited| cited.source.clone()).collect();
        assert_eq!(expected.len(), of_all.len());
        expected.insert(air);
        for option in ranking.options.iter().chain(&ranking.references) {
            expected.extend(option.outlook.variance_shares.iter().map(|share| share.source.clone()));
            expected.extend(option.findings.iter().map(|finding| finding.source.clone()));
            expected.extend(option.cost.lines.iter().map(|line| line.source.clone()));
        }
        let given: BTreeSet<_> = ranking.sources.iter().cloned().collect();
        assert_eq!(ranking.sources, given.iter().cloned().collect::<Vec<_>>(), "{name}");
        assert!(expected.is_subset(&given), "{name}: {:?}", expected.difference(&given).collect::<Vec<_>>());
    }
}

/// Numbers and lines of costs that builds share are once in memory, so that hundreds of options are kept in little of it.
#[test]
fn what_builds_share_is_once_in_memory() {
    let ranking = ranked(&demo("deck-fitting"));
    let mut places: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    let mut shown = 0;
    for option in &ranking.options {
        for share in &option.outlook.variance_shares {
            let factor = format!("{:?}", share.of);
            places.entry(factor).or_default().insert(std::ptr::from_ref(&*share.of).addr());
            shown += 1;
        }
        let first = option.cost.lines.first().unwrap();
        places.entry(format!("{first:?}")).or_default().insert(std::ptr::from_ref(&**first).addr());
        shown += 1;
    }
    assert!(shown > 10 * places.len(), "{shown} of {}", places.len());
    for (what, places) in places {
        assert_eq!(places.len(), 1, "{what}");
    }
}

#[test]
fn nothing_open_beats_the_front() {
    for name in DEMO_BRIEFS {
        let ranking = ranked(&demo(name));
        check_numbers(&ranking);
        let of = |o: &RankedOption| (o.cost.per_thousand, o.outlook.probability_ok);
        let open: Vec<&RankedOption> = ranking.options.iter().filter(|o| !o.blocked).collect();
        for option in &open {
            let (cost, probability) = of(option);
            let beaten = open
                .iter()
                .map(|o| of(o))
                .any(|(c, p)| c <= cost && p >= probability && (c < cost || p > probability));
            assert_eq!(option.on_pareto_front, !beaten, "{name}: {}", option.build);
        }
        assert!(ranking.options.iter().all(|o| !(o.blocked && o.on_pareto_front)));
    }
}

#[test]
fn the_same_question_has_the_same_answer_to_the_last_bit() {
    for name in DEMO_BRIEFS {
        let brief = demo(name);
        assert_eq!(ranked(&brief), ranked(&brief), "{name}");
        assert_eq!(ranked(&brief).to_json(), ranked(&brief).to_json(), "{name}");
    }
}

#[test]
fn briefs_and_rankings_survive_json() {
    for name in DEMO_BRIEFS {
        let brief = demo(name);
        assert_eq!(Brief::from_json(&brief.to_json()).unwrap(), brief, "{name}");
        let ranking = ranked(&brief);
        assert_eq!(Ranking::from_json(&ranking.to_json()).unwrap(), ranking, "{name}");
    }
}

#[test]
fn the_order_of_keys_and_entries_is_irrelevant() {
    let whole: Json = serde_json::from_str(&Catalog::built_in().to_json()).unwrap();
    let turned = Catalog::from_json(&backwards(&whole)).unwrap();
    assert_eq!(turned.content(), Catalog::built_in().content());
    for name in DEMO_BRIEFS {
        let brief = demo(name);
        let written: Json = serde_json::from_str(&brief.to_json()).unwrap();
        let turned_brief = Brief::from_json(&backwards(&written)).unwrap();
        assert_eq!(turned_brief, brief, "{name}");
        assert_eq!(rank(&turned_brief, &turned).unwrap(), ranked(&brief), "{name}");
    }
}

/// Two user catalogs that say the same in another order give the same answer.
#[test]
fn the_order_of_a_user_catalog_is_irrelevant() {
    let text = include_str!("../../demo-data/workshop_catalog.json");
    let written: Json = serde_json::from_str(text).unwrap();
    let brief = demo("gate-hinge");
    let a = rank(&brief, &Catalog::from_json(text).unwrap()).unwrap();
    let b = rank(&brief, &Catalog::from_json(&backwards(&written)).unwrap()).unwrap();
    assert_eq!(a, b);
}
