//! What-if answers agree with rankings of the moved brief, one by one.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // test code, outside of test functions
#![allow(clippy::result_large_err)] // the error of the crate as it is
use std::collections::BTreeMap;

use overcoat::atmosphere::Shelter;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::finish::Build;
use overcoat::rank::{RankedOption, rank};
use overcoat::study::Reason;
use overcoat::study::{
    BreakEven, Contest, CrossingKind, Input, Leader, Measure, MovedColumns, Output, Results, Rows,
    SobolOutput, Study, USUAL_POINTS,
};
use proptest::prelude::*;
use serde_json::{Value, json};

fn brief(duty: &Value, wants: &Value) -> Brief {
    let document = json!({
        "schema": "overcoat.brief.v1",
        "name": "what if",
        "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
        "duty": duty,
        "wants": wants,
    });
    Brief::from_json(&document.to_string()).unwrap()
}

fn build(text: &str) -> Build {
    text.parse().unwrap()
}

/// A name that the catalog does not have is refused by every question, also by those that look at two builds of their own.
#[test]
fn wants_are_checked_whatever_is_asked() {
    let catalog = Catalog::built_in();
    let duty = json!({"place": "rural", "required_years": 5});
    let (wax, oil) =
        (build("steel_4_6 / hot_alkaline / hard_wax"), build("steel_4_6 / hot_alkaline / heavy_oil"));
    for (wants, field) in [
        (json!({"other_base_metals": ["cheese"]}), "wants.other_base_metals[0]"),
        (json!({"builds": [{"treatment": "hot_alkaline", "films": ["cheese"]}]}), "wants.builds[0].films"),
    ] {
        let brief = brief(&duty, &wants);
        let asked = rank(&brief, catalog).unwrap_err().to_string();
        assert!(asked.contains(field), "{asked}");
        let ranges = [(Input::RequiredYears, 1.0, 9.0)];
        let swinging = Study::new(&brief, catalog, &wax, &ranges, &BTreeMap::new()).map(|_| ());
        assert_eq!(swinging.unwrap_err().to_string(), asked);
        let contest = Contest { brief: &brief, catalog, first: &wax, second: &oil, measure: Measure::Score };
        let even = contest.break_even(Input::RequiredYears, 1.0, 9.0);
        assert_eq!(even.unwrap_err().to_string(), asked);
    }
}

/// What a ranking says of a build in a brief.
fn ranked(brief: &Brief, build: &Build) -> RankedOption {
    let mut asked = brief.clone();
    let wish = json!([{"base_metal": build.base_metal, "treatment": build.treatment, "films": build.films}]);
    asked.wants.builds = Some(serde_json::from_value(wish).unwrap());
    rank(&asked, Catalog::built_in()).unwrap().options.remove(0)
}

fn moved(brief: &Brief, input: Input, value: f64) -> Brief {
    let mut document: Value = serde_json::from_str(&brief.to_json()).unwrap();
    let mut at = &mut document["duty"];
    for name in input.name().split('.') {
        at = &mut at[name];
    }
    *at = json!(value);
    Brief::from_json(&document.to_string()).unwrap()
}

const OIL: &str = "steel_4_6 / hot_alkaline / displacing_oil";
const WAX: &str = "steel_4_6 / hot_alkaline / hard_wax";
const PAINT: &str = "steel_4_6 / hot_alkaline / air_dry_paint";
const POWDER: &str = "steel_4_6 / hot_alkaline / epoxy_electrocoat + polyester_powder";
const BARE: &str = "steel_4_6 / hot_alkaline / no film";

/// Who leads in rankings of the brief with the input at a value.
fn leader(found: &BreakEven, brief: &Brief, value: f64) -> Leader {
    let brief = moved(brief, found.input, value);
    let [first, second] = [&found.first, &found.second].map(|build| ranked(&brief, build));
    let [a, b] = [&first, &second].map(|option| found.measure.value(option));
    let better = if found.measure == Measure::CostPerThousand { a < b } else { a > b };
    match (first.blocked, second.blocked) {
        (true, true) => Leader::BothBlocked,
        (false, true) => Leader::First,
        (true, false) => Leader::Second,
        _ if (a - b).abs() <= 1e-12 * a.abs().max(b.abs()) => Leader::Neither,
        _ if better => Leader::First,
        _ => Leader::Second,
    }
}

/// The stretches cover the range, each crossing lies between two of them and the leader just beside it is the one
/// that a ranking there has.
fn holds(found: &BreakEven, brief: &Brief) {
    assert_eq!((found.stretches[0].low, found.stretches.last().unwrap().high), (found.low, found.high));
    let changes: Vec<_> = found.crossings.iter().filter(|c| c.kind != CrossingKind::Touch).collect();
    assert_eq!(changes.len() + 1, found.stretches.len(), "{found:#?}");
    for (pair, change) in found.stretches.windows(2).zip(&changes) {
        assert_eq!((pair[0].high, pair[1].low), (change.at, change.at));
        assert_eq!((pair[0].leader, pair[1].leader), (change.below, change.above));
        assert_ne!(change.below, change.above);
        // far enough that the difference is more than rounding
        let step = 1e-7 * (found.high - found.low);
        for (value, wanted) in [(change.at - step, change.below), (change.at + step, change.above)] {
            if (found.low..=found.high).contains(&value) {
                let is = leader(found, brief, value);
                assert!(is == wanted || is == Leader::Neither, "{value}: {is:?} {wanted:?} {found:#?}");
            }
        }
        if change.kind == CrossingKind::Crossing {
            assert!((change.first / change.second - 1.0).abs() < 1e-9, "{change:?}");
        }
    }
    for stretch in &found.stretches {
        assert_eq!(
            leader(found, brief, f64::midpoint(stretch.low, stretch.high)),
            stretch.leader,
            "{found:#?}"
        );
    }
}

fn contest(brief: &Brief, pair: [&str; 2], measure: Measure, input: Input, ends: (f64, f64)) -> BreakEven {
    let [first, second] = pair.map(build);
    let contest = Contest { brief, catalog: Catalog::built_in(), first: &first, second: &second, measure };
    let found = contest.break_even(input, ends.0, ends.1).unwrap();
    println!("{} {}: {:?}", measure.name(), input.name(), found.crossings);
    println!("{}", found.verdict());
    holds(&found, brief);
    found
}

fn open_air() -> Value {
    json!({"temperature_c": 11, "relative_humidity_pct": 79, "so2_mg_m2_day": 4, "chloride_mg_m2_day": 20,
        "required_years": 5})
}

#[test]
fn the_leader_beside_each_crossing_is_that_of_a_ranking() {
    let brief = brief(&open_air(), &json!({}));
    for pair in [[OIL, WAX], [PAINT, POWDER]] {
        for measure in [Measure::Score, Measure::CostPerThousand] {
            contest(&brief, pair, measure, Input::Chloride, (0.0, 300.0));
            contest(&brief, pair, measure, Input::RequiredYears, (0.1, 40.0));
        }
        contest(&brief, pair, Measure::Score, Input::Temperature, (-10.0, 30.0));
    }
}

#[test]
fn a_crossing_a_jump_and_no_crossing_are_told_apart() {
    let brief = brief(&open_air(), &json!({}));
    let kinds = |found: &BreakEven| found.crossings.iter().map(|c| c.kind).collect::<Vec<_>>();
    let score = contest(&brief, [PAINT, POWDER], Measure::Score, Input::RequiredYears, (0.1, 40.0));
    assert_eq!(kinds(&score), [CrossingKind::Crossing]);
    assert_eq!((score.crossings[0].below, score.crossings[0].above), (Leader::First, Leader::Second));
    // each replacement of either is a jump
    let cost = contest(&brief, [PAINT, POWDER], Measure::CostPerThousand, Input::RequiredYears, (0.1, 40.0));
    assert!(cost.crossings.iter().all(|c| c.kind == CrossingKind::Jump) && !cost.crossings.is_empty());
    let years = contest(&brief, [PAINT, POWDER], Measure::MedianYears, Input::Chloride, (0.0, 300.0));
    assert_eq!((kinds(&years), years.stretches[0].leader), (vec![], Leader::Second));
}

#[test]
fn swapping_the_builds_swaps_the_leaders_and_nothing_else() {
    let brief = brief(&open_air(), &json!({}));
    let ends = (0.1, 40.0);
    let one = contest(&brief, [PAINT, POWDER], Measure::Score, Input::RequiredYears, ends);
    let other = contest(&brief, [POWDER, PAINT], Measure::Score, Input::RequiredYears, ends);
    assert_eq!(one.crossings.len(), other.crossings.len());
    for (a, b) in one.crossings.iter().zip(&other.crossings) {
        assert!((a.at / b.at - 1.0).abs() < 1e-12);
        assert_eq!((a.below, a.first), (Leader::First, b.second));
        assert_eq!(b.below, Leader::Second);
    }
}

/// Two builds with the same films on steels whose price alone differs agree in the median years everywhere.
#[test]
fn builds_without_a_difference_tie() {
    let brief = brief(&open_air(), &json!({"other_base_metals": ["steel_8_8"]}));
    let stronger = "steel_8_8 / hot_alkaline / hard_wax";
    let found = contest(&brief, [WAX, stronger], Measure::MedianYears, Input::Chloride, (0.0, 300.0));
    assert!(found.crossings.is_empty());
    assert_eq!(found.stretches[0].leader, Leader::Neither);
}

/// Above the heat that a film withstands its build is not ordered: a step at each limit, then nothing is left.
#[test]
fn films_lost_to_heat_are_blocked() {
    let brief = brief(&open_air(), &json!({}));
    let found = contest(&brief, [OIL, WAX], Measure::MedianYears, Input::HeatContinuous, (20.0, 300.0));
    assert_eq!(found.stretches[0].leader, Leader::Second);
    assert_eq!(found.stretches.last().unwrap().leader, Leader::BothBlocked);
    let films = &Catalog::built_in().content().films;
    // limits hold to the degree
    let limits = ["displacing_oil", "hard_wax"].map(|name| films[name].continuous_limit_c.value + 0.5);
    for crossing in &found.crossings {
        assert_eq!(crossing.kind, CrossingKind::Jump);
        assert!(limits.iter().any(|limit| (crossing.at - limit).abs() < 1e-9), "{found:#?} {limits:?}");
    }
}

/// Oil is blocked by its limit on cost where it must be replaced too often; then the other leads whatever the
/// measure says.
#[test]
fn a_blocked_build_does_not_lead() {
    let brief = brief(&open_air(), &json!({"cost_limit_per_thousand": 8000}));
    let found = contest(&brief, [OIL, POWDER], Measure::CostPerThousand, Input::RequiredYears, (0.05, 20.0));
    let last = found.stretches.last().unwrap();
    assert!(last.first_blocked && !last.second_blocked && last.leader == Leader::Second, "{found:#?}");
    let both = contest(
        &self::brief(&open_air(), &json!({"cost_limit_per_thousand": 10})),
        [OIL, POWDER],
        Measure::Score,
        Input::Chloride,
        (0.0, 100.0),
    );
    assert_eq!(both.stretches[0].leader, Leader::BothBlocked);
    assert!(both.verdict().contains("both are blocked"));
}

/// The share of stainless surfaces that stains rises with salt without a step.
#[test]
fn stainless_steel_has_no_step_in_salt() {
    let brief = brief(&open_air(), &json!({"other_base_metals": ["stainless_304"]}));
    let stainless = "stainless_304 / stainless_alkaline / no film";
    let found = contest(&brief, [stainless, POWDER], Measure::ProbabilityOk, Input::Chloride, (0.1, 300.0));
    assert!(found.crossings.iter().all(|c| c.kind != CrossingKind::Jump), "{found:#?}");
}

#[test]
fn a_range_that_is_none_is_refused() {
    let brief = brief(&open_air(), &json!({}));
    let [first, second] = [build(OIL), build(PAINT)];
    let contest = Contest {
        brief: &brief,
        catalog: Catalog::built_in(),
        first: &first,
        second: &second,
        measure: Measure::Score,
    };
    for ends in [(5.0, 5.0), (9.0, 2.0), (f64::NAN, 2.0), (0.0, f64::INFINITY)] {
        let error = contest.break_even(Input::Chloride, ends.0, ends.1).unwrap_err();
        assert_eq!(error.field(), "chloride_mg_m2_day");
    }
    let error = contest.break_even(Input::Chloride, -5.0, 5.0).unwrap_err();
    assert_eq!(error.field(), "duty.chloride_mg_m2_day");
    let unknown = build("steel_4_6 / hot_alkaline / hard_wacks");
    let error = Contest { second: &unknown, ..contest }.break_even(Input::Chloride, 0.0, 5.0).unwrap_err();
    assert_eq!(error.kind(), "name");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn crossings_hold_at_any_place(
        t in -5.0..28.0_f64, rh in 60.0..95.0_f64, so2 in 0.0..60.0_f64, years in 0.5..30.0_f64,
        pair in prop::sample::subsequence(vec![BARE, OIL, WAX, PAINT, POWDER], 2),
        measure in prop::sample::select(Measure::ALL),
        input in prop::sample::select(vec![Input::Chloride, Input::RequiredYears, Input::RelativeHumidity]),
    ) {
        let duty = json!({"temperature_c": t, "relative_humidity_pct": rh, "so2_mg_m2_day": so2,
            "chloride_mg_m2_day": 10, "required_years": years});
        let ends = match input {
            Input::RequiredYears => (0.05, 50.0),
            Input::RelativeHumidity => (30.0, 100.0),
            _ => (0.0, 600.0),
        };
        contest(&brief(&duty, &json!({})), [pair[0], pair[1]], measure, input, ends);
    }

    /// Rows of any kind of brief: by the kernel, by ranking, and with bad values among them.
    #[test]
    fn a_row_has_the_answer_of_a_ranking(
        t in -5.0..28.0_f64, chloride in prop::collection::vec(0.0..300.0_f64, 3), years in 0.5..30.0_f64,
        way in 0..4_u8, sheltered in any::<bool>(),
    ) {
        let shelter = if sheltered { Shelter::Sheltered } else { Shelter::Open };
        let (duty, by_kernel) = match way {
            0 => (json!({"temperature_c": t, "relative_humidity_pct": 80, "so2_mg_m2_day": 4, "required_years": 5}), true),
            1 => (json!({"place": "coastal", "temperature_c": t, "required_years": 5}), false),
            2 => (json!({"place": "urban", "temperature_c": t, "relative_humidity_pct": 80, "so2_mg_m2_day": 4,
                "required_years": 5, "road_salt": {"months_per_year": 4}}), true),
            _ => (json!({"first_year_steel_loss_um": 40.0 + t, "required_years": 5}), false),
        };
        let brief = brief(&duty, &json!({}));
        let builds = [build(WAX), build(POWDER), build(OIL)];
        let mut chloride = chloride;
        chloride.push(-1.0);
        let required = vec![years; 4];
        let shelters = vec![Some(shelter); 4];
        let columns = MovedColumns {
            rows: 4,
            chloride_mg_m2_day: Some(&chloride),
            required_years: Some(&required),
            shelter: Some(&shelters),
            ..MovedColumns::default()
        };
        let rows = Rows::new(&brief, Some(&builds), Catalog::built_in()).unwrap();
        prop_assert_eq!(rows.by_kernel(&columns), by_kernel);
        let found = rows.run(&columns, 1).unwrap();
        prop_assert_eq!(found.len(), 12);
        prop_assert_eq!(found.cost_per_thousand.len(), 12);
        for (row, salt) in chloride.iter().take(3).enumerate() {
            let mut asked = moved(&moved(&brief, Input::Chloride, *salt), Input::RequiredYears, years);
            asked.duty.shelter = Some(shelter);
            for (code, build) in builds.iter().enumerate() {
                let option = ranked(&asked, build);
                let at = 3 * row + code;
                let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * b.abs();
                prop_assert!(near(found.score[at], option.score.value));
                prop_assert!(near(found.median_years[at], option.outlook.median_years));
                prop_assert!(near(found.probability_ok[at], option.outlook.probability_ok));
                prop_assert!(near(found.cost_per_thousand[at], option.cost.per_thousand));
                prop_assert_eq!(found.blocked[at], option.blocked);
            }
        }
        prop_assert_eq!(found.reason[9], Reason::ChlorideOutOfRange);
        prop_assert!(found.score[9].is_nan() && found.cost_per_thousand[9].is_nan());
    }
}

#[test]
fn the_front_of_a_row_is_that_of_a_ranking() {
    let brief = brief(&open_air(), &json!({}));
    let rows = Rows::new(&brief, None, Catalog::built_in()).unwrap();
    let chloride = [0.0, 5.0, 40.0, 250.0];
    let columns = MovedColumns { rows: 4, chloride_mg_m2_day: Some(&chloride), ..MovedColumns::default() };
    let found = rows.run(&columns, 1).unwrap();
    let builds = rows.builds().len();
    let row: Vec<i64> = (0..4).flat_map(|row| std::iter::repeat_n(row, builds)).collect();
    let results = Results {
        row: &row,
        score: &found.score,
        probability_ok: &found.probability_ok,
        cost_per_thousand: Some(&found.cost_per_thousand),
        blocked: &found.blocked,
        burden: None,
    };
    let front = results.on_front().unwrap();
    for (row, value) in chloride.into_iter().enumerate() {
        let ranking = rank(&moved(&brief, Input::Chloride, value), Catalog::built_in()).unwrap();
        for option in &ranking.options {
            let code = rows.builds().iter().position(|build| *build == option.build).unwrap();
            assert_eq!(front[row * builds + code], option.on_pareto_front, "{}", option.build);
        }
    }
}

/// The kernel takes over only where all four inputs of the air are known, from the brief or from a column.
#[test]
fn a_table_goes_through_the_kernel_only_with_all_four_inputs() {
    let coastal = brief(&json!({"place": "coastal", "required_years": 5}), &json!({}));
    let rows = Rows::new(&coastal, Some(&[build(WAX)]), Catalog::built_in()).unwrap();
    let column = [20.0];
    let all = MovedColumns {
        rows: 1,
        temperature_c: Some(&column),
        relative_humidity_pct: Some(&column),
        so2_mg_m2_day: Some(&column),
        chloride_mg_m2_day: Some(&column),
        ..MovedColumns::default()
    };
    assert!(rows.by_kernel(&all));
    for less in [
        MovedColumns { temperature_c: None, ..all },
        MovedColumns { relative_humidity_pct: None, ..all },
        MovedColumns { so2_mg_m2_day: None, ..all },
        MovedColumns { chloride_mg_m2_day: None, ..all },
        MovedColumns { rows: 1, ..MovedColumns::default() },
    ] {
        assert!(!rows.by_kernel(&less), "{less:?}");
    }
    let measured = brief(&json!({"first_year_steel_loss_um": 30, "required_years": 5}), &json!({}));
    let rows = Rows::new(&measured, Some(&[build(WAX)]), Catalog::built_in()).unwrap();
    assert!(!rows.by_kernel(&all));
}

/// A row that is ranked says where the dose response is stretched: outside its range of temperatures; outdoor air in a
/// room is refused.
#[test]
fn a_ranked_row_says_where_it_is_extrapolated() {
    let reason = |place: &str, temperature_c: f64, shelter: Shelter| {
        let duty = json!({"place": place, "required_years": 5});
        let brief = brief(&duty, &json!({}));
        let rows = Rows::new(&brief, Some(&[build(WAX)]), Catalog::built_in()).unwrap();
        let (temperature_c, shelter) = ([temperature_c], [Some(shelter)]);
        let columns = MovedColumns {
            rows: 1,
            temperature_c: (!place.starts_with("indoor")).then_some(&temperature_c),
            shelter: Some(&shelter),
            ..MovedColumns::default()
        };
        assert!(!rows.by_kernel(&columns));
        rows.run(&columns, 1).map(|found| found.reason[0])
    };
    let refused = |place, temperature_c, shelter| reason(place, temperature_c, shelter).unwrap_err();
    assert_eq!(reason("coastal", 15.0, Shelter::Open), Ok(Reason::Ok));
    assert_eq!(refused("coastal", 15.0, Shelter::Indoor).field(), "duty.shelter");
    // ISO 9223: mean temperatures of -17.1 to 28.7 °C
    assert_eq!(reason("coastal", 29.0, Shelter::Open), Ok(Reason::Extrapolated));
    // its loss is given, not computed from inputs
    assert_eq!(reason("indoor_condensation", 15.0, Shelter::Indoor), Ok(Reason::Ok));
}

/// A table in parts, put together again, is the table; a column of another length is named.
#[test]
fn parts_of_a_table_add_up_to_it() {
    // through the kernel, and ranked
    table_in_parts(&brief(&open_air(), &json!({})));
    table_in_parts(&brief(&json!({"place": "coastal", "required_years": 5}), &json!({})));
}

fn table_in_parts(brief: &Brief) {
    let rows = Rows::new(brief, Some(&[build(WAX), build(OIL)]), Catalog::built_in()).unwrap();
    let chloride = [0.0, 5.0, 40.0, 250.0, 90.0];
    let years = [1.0, 2.0, 3.0, 4.0, 5.0];
    let columns = MovedColumns {
        rows: 5,
        chloride_mg_m2_day: Some(&chloride),
        required_years: Some(&years),
        ..MovedColumns::default()
    };
    let whole = rows.run(&columns, 1).unwrap();
    let mut joined = Output::default();
    for start in [0, 2, 4] {
        let part = columns.part(start, 2);
        assert_eq!(part.rows, if start == 4 { 1 } else { 2 });
        joined.extend(rows.run(&part, 1).unwrap());
    }
    assert_eq!(joined, whole);
    assert_eq!(whole.build, [0, 1, 0, 1, 0, 1, 0, 1, 0, 1]);
    let short = MovedColumns { chloride_mg_m2_day: Some(&chloride[..4]), ..columns };
    let error = rows.run(&short, 1).unwrap_err();
    assert_eq!(error.field(), "chloride_mg_m2_day", "{error}");
}

fn study<'a>(
    brief: &'a Brief,
    build: &'a Build,
    ranges: &[(Input, f64, f64)],
    log_sds: &[(&str, f64)],
) -> Result<Study<'a>, Box<overcoat::Error>> {
    let log_sds: BTreeMap<String, f64> = log_sds.iter().map(|(name, sd)| ((*name).to_owned(), *sd)).collect();
    Study::new(brief, Catalog::built_in(), build, ranges, &log_sds).map_err(Box::new)
}

/// The years of a build without a film are a product of its factors: their logarithm is a sum, so first-order and
/// total indices are both the shares of variance in closed form.
#[test]
fn indices_of_a_product_are_its_shares_of_variance() {
    let brief = brief(&open_air(), &json!({}));
    let build = build(BARE);
    let study = study(&brief, &build, &[], &[]).unwrap();
    let found = study.sobol(SobolOutput::LogYears, USUAL_POINTS).unwrap();
    let shares = study.variance_shares().unwrap();
    let log_sd = study.option().unwrap().outlook.log_sd;
    assert!((found.variance / (log_sd * log_sd) - 1.0).abs() < 0.01);
    for (name, index) in study.names().iter().zip(&found.indices) {
        let share = shares.iter().find(|share| share.factor == *name).unwrap().share;
        assert!((index.first_order - share).abs() < 0.02, "{name}: {index:?} {share}");
        assert!((index.total - share).abs() < 0.02, "{name}: {index:?} {share}");
    }
}

/// With a film the treatment adds its hours: nearly a product, and the closed form is first order.
#[test]
fn indices_of_a_film_lie_near_the_closed_form() {
    let brief = brief(&open_air(), &json!({}));
    let build = build(PAINT);
    let study = study(&brief, &build, &[], &[]).unwrap();
    let found = study.sobol(SobolOutput::LogYears, USUAL_POINTS).unwrap();
    let shares = study.variance_shares().unwrap();
    for (name, index) in study.names().iter().zip(&found.indices) {
        let share = shares.iter().find(|share| share.factor == *name).map_or(0.0, |share| share.share);
        // at the medians, where the film's age rules; over all cases its dose has more to say
        assert!((index.first_order - share).abs() < 0.15, "{name}: {index:?} {share}");
    }
}

#[test]
fn a_bar_of_a_tornado_is_a_ranking_with_the_input_at_its_ends() {
    let brief = brief(&open_air(), &json!({}));
    let build = build(WAX);
    let study = study(&brief, &build, &[(Input::Chloride, 2.0, 90.0)], &[]).unwrap();
    for measure in Measure::ALL {
        let bars = study.tornado(*measure).unwrap();
        assert!(bars.windows(2).all(|pair| pair[0].reach() >= pair[1].reach()));
        let salt = bars.iter().find(|bar| bar.name == "chloride_mg_m2_day").unwrap();
        for (value, found) in [(2.0, salt.at_low), (90.0, salt.at_high)] {
            let wanted = measure.value(&ranked(&moved(&brief, Input::Chloride, value), &build));
            assert!((found - wanted).abs() <= 1e-12 * wanted.abs());
        }
    }
    // more attack is a shorter life, and less than in proportion, since the film ages too
    let bars = study.tornado(Measure::MedianYears).unwrap();
    let rate = bars.iter().find(|bar| bar.name == "atmosphere").unwrap();
    let median = study.option().unwrap().outlook.median_years;
    assert!(rate.at_low > median && rate.at_low < median * rate.high);
    assert!(rate.at_high < median && rate.at_high > median * rate.low);
}

#[test]
fn a_measured_spread_narrows_its_bar() {
    let brief = brief(&open_air(), &json!({}));
    let build = build(WAX);
    let wide = study(&brief, &build, &[], &[]).unwrap();
    let narrow = study(&brief, &build, &[], &[("field factor of hard_wax", 0.1)]).unwrap();
    let reach = |study: &Study| {
        let bars = study.tornado(Measure::MedianYears).unwrap();
        bars.iter().find(|bar| bar.name == "field factor of hard_wax").unwrap().reach()
    };
    assert!(reach(&narrow) < 0.5 * reach(&wide));
    assert!(narrow.option().unwrap().outlook.log_sd < wide.option().unwrap().outlook.log_sd);
    let error = study(&brief, &build, &[], &[("field factor of hard wax", 0.1)]).unwrap_err();
    assert!(error.to_string().contains("did you mean \"field factor of hard_wax\"?"), "{error}");
    for range in [(5.0, 5.0), (f64::NAN, 5.0)] {
        let error = study(&brief, &build, &[(Input::Chloride, range.0, range.1)], &[]).unwrap_err();
        assert_eq!(error.field(), "chloride_mg_m2_day");
    }
}

/// The share that salt carries grows with its range.
#[test]
fn a_wider_range_carries_more_of_the_variance() {
    let brief = brief(&open_air(), &json!({}));
    let build = build(WAX);
    let share = |high: f64| {
        let study = study(&brief, &build, &[(Input::Chloride, 10.0, high)], &[]).unwrap();
        let found = study.sobol(SobolOutput::LogYears, 64).unwrap();
        found.indices.last().unwrap().first_order
    };
    assert!(share(300.0) > share(40.0) + 0.05);
}

/// What is uncertain has its names: the factors of the outlook, then the ranges.
#[test]
fn a_study_names_its_factors_and_ranges() {
    let (brief, build) = (brief(&open_air(), &json!({})), build(WAX));
    let study = study(&brief, &build, &[(Input::Chloride, 2.0, 40.0)], &[]).unwrap();
    let names = study.names();
    assert!(names.iter().any(|name| name == "capacity of hard_wax"), "{names:?}");
    assert_eq!(names.last().unwrap(), "chloride_mg_m2_day");
    let bars = study.tornado(Measure::MedianYears).unwrap();
    assert_eq!(bars.len(), names.len());
    for bar in &bars {
        assert_eq!(bar.reach(), (bar.at_high - bar.at_low).abs());
    }
    assert!(bars.windows(2).all(|pair| pair[0].reach() >= pair[1].reach()));
    assert!(bars[0].reach() > 0.0);
    assert_eq!(SobolOutput::of("log_years").unwrap(), SobolOutput::LogYears);
    assert_eq!(SobolOutput::of("score").unwrap(), SobolOutput::Answer(Measure::Score));
    assert_eq!(SobolOutput::of("years").unwrap_err().field(), "output");
}

/// A life of one term goes with the inverse of the loss r, and r evenly between 10 and 30 µm has
/// E ln r = (30 ln 30 - 10 ln 10)/20 - 1 = 2.950503: in the mean ln 20 - 2.950503 above what it is at 20 µm.
#[test]
fn a_range_is_filled_evenly() {
    let build = build("steel_4_6 / hot_alkaline / ");
    let brief = brief(&json!({"first_year_steel_loss_um": 20, "required_years": 5}), &json!({}));
    let points = 64;
    let still = study(&brief, &build, &[], &[]).unwrap().sobol(SobolOutput::LogYears, points).unwrap();
    let ranges = [(Input::FirstYearSteelLoss, 10.0, 30.0)];
    let moving = study(&brief, &build, &ranges, &[]).unwrap();
    let mut asked = 0;
    let moved = moving
        .sobol_watched(SobolOutput::LogYears, points, || {
            asked += 1;
            Ok(())
        })
        .unwrap();
    assert!(
        (moved.mean - still.mean - (20.0_f64.ln() - 2.950_503)).abs() < 0.01,
        "{} {}",
        moved.mean,
        still.mean
    );
    // every thousand runs of 16 shifts of 64 points, two samples and one more for each input
    let runs = 16 * 64 * (moving.names().len() as u64 + 2);
    assert_eq!((moved.runs, asked), (runs, runs / 1000));
    // age beside dose skews the logarithm a little
    assert!((still.mean - ranked(&brief, &build).outlook.median_years.ln()).abs() < 0.03);
}
