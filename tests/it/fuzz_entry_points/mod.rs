//! Random mutations of briefs, catalogs, rankings, papers, climate records and test records, documents grown from
//! the schemas, tables and record batches of odd numbers: an answer or a typed error, never a panic, never a long
//! wait, never a number that JSON cannot hold.
//!
//! | file | idea |
//! | --- | --- |
//! | `dice` | random choices, and mutations of bytes and of JSON |
//! | `schema` | documents grown from a JSON Schema: valid in form, with values that mostly fit |
//! | `batches` | record batches of all types, with nulls, slices and dictionaries (feature `arrow`) |
//!
//! Budget in seconds for each entry point: `OVERCOAT_FUZZ_SECONDS` (0.2 unless set), and 100 inputs at least. The seed is fixed, so the inputs
//! of a run are those of the last one; `OVERCOAT_FUZZ_SEED` takes another.

// test code; its errors are the crate's
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, clippy::cast_possible_truncation)]
#![allow(clippy::cast_sign_loss, clippy::cast_possible_wrap)]
#![allow(clippy::result_large_err)]

#[cfg(feature = "arrow")]
mod batches;
mod dice;
mod schema;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

use crate::common::DEMO_BRIEFS;
use dice::{Dice, EDGES, mutate_bytes, mutate_document, mutate_json};
use overcoat::Error;
use overcoat::atmosphere::ClimateRecord;
use overcoat::atmosphere::Shelter;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::papers::{Papers, Units, papers};
use overcoat::rank::certainty::Effort;
use overcoat::rank::{Ranking, rank};
use overcoat::records::{
    Distribution, backtest_parts, fit, parts_from_csv, records_from_csv, update_from_parts,
};
use overcoat::study::{Columns, Output, Sweep};
use schema::Grower;
use serde_json::json;

/// Inputs tried whatever the budget: a busy machine shall not make a run of nothing.
const LEAST_INPUTS: usize = 100;

/// The longest that one input may take, in an unoptimised build on a busy machine.
const PATIENCE: Duration = Duration::from_secs(60);

/// How inputs fared.
#[derive(Debug, Default)]
struct Count {
    answers: usize,
    errors: BTreeMap<&'static str, usize>,
    slowest: Duration,
}

/// A typed error says in one line its kind, its field and what to do.
fn check_error(error: &Error) -> &'static str {
    assert!(!error.field().is_empty(), "an error without a field: {error}");
    assert!(!error.remedy().is_empty(), "an error without a remedy: {error}");
    assert!(!error.to_string().contains(['\n', '\r', '\u{1b}']), "an error of several lines: {error:?}");
    error.kind()
}

fn setting<T: std::str::FromStr>(name: &str, usual: T) -> T {
    std::env::var(name).map_or(usual, |text| text.parse().unwrap_or_else(|_| panic!("{name} is {text}")))
}

/// Feeds inputs to an entry point until the budget is spent; a panic or a long wait fails with the input.
fn fuzz<T: std::fmt::Debug>(
    name: &str,
    make: impl Fn(&mut Dice) -> T,
    run: impl Fn(&T) -> Result<(), Error>,
) {
    let mut dice = Dice(setting("OVERCOAT_FUZZ_SEED", 20_261_125_u64) | 1);
    let mut count = Count::default();
    let budget = Duration::from_secs_f64(setting("OVERCOAT_FUZZ_SECONDS", 0.2));
    let start = Instant::now();
    let mut inputs = 0;
    while start.elapsed() < budget || inputs < LEAST_INPUTS || count.answers == 0 {
        inputs += 1;
        assert!(
            start.elapsed() < budget + Duration::from_secs(120),
            "{name}: nothing gets through: {count:?}"
        );
        let input = make(&mut dice);
        let before = Instant::now();
        let outcome = catch_unwind(AssertUnwindSafe(|| run(&input)))
            .unwrap_or_else(|_| panic!("{name} panicked on:\n{input:?}"));
        let took = before.elapsed();
        assert!(took < PATIENCE, "{name} took {took:?} on:\n{input:?}");
        count.slowest = count.slowest.max(took);
        match outcome {
            Ok(()) => count.answers += 1,
            Err(error) => {
                let kind = catch_unwind(AssertUnwindSafe(|| check_error(&error)))
                    .unwrap_or_else(|_| panic!("{name}: {error:?} on:\n{input:?}"));
                *count.errors.entry(kind).or_default() += 1;
            }
        }
    }
    println!("{name}: {count:?}");
}

/// What every ranking must be, whatever the question.
fn check_ranking(ranking: &Ranking) {
    for option in &ranking.options {
        assert!((0.0..=1.0).contains(&option.score.value), "{}", option.name);
        assert!((0.0..=1.0).contains(&option.outlook.probability_ok), "{}", option.name);
        assert!(option.cost.per_thousand.is_finite() && option.outlook.median_years > 0.0, "{}", option.name);
    }
    assert!(ranking.options.is_sorted_by_key(|option| option.blocked));
    // an infinity would be written as null and not come back
    assert_eq!(&Ranking::from_json(&ranking.to_json()).unwrap(), ranking);
}

fn demo(file: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(file)).unwrap()
}

/// A brief that says all it can, and two builds only, so that a ranking is quick.
fn full_brief() -> String {
    json!({
        "schema": "overcoat.brief.v1",
        "name": "a brief with every field",
        "remarks": "none",
        "part": {
            "form": "hexagon_head_screw", "base_metal": "steel_10_9", "thread": "M10x1.25", "tolerance": "6e",
            "length_mm": 60, "surface_dm2": 0.4, "mass_g": 60, "hardness_hv": 380, "tempering_temperature_c": 450,
            "polymer_insert": true, "joined_metals": ["brass"], "traps_liquid": true, "property_class": "10.9",
            "maker_consent": true, "hydrogen_consent": true, "functional_surfaces": ["port", "fit"],
            "present_finish": "zinc_plate", "condition": "rust", "safety_critical": true, "lot_pieces": 5000
        },
        "duty": {
            "place": "coastal", "temperature_c": 12, "relative_humidity_pct": 78, "so2_mg_m2_day": 5,
            "sea_distance_m": 500, "road_salt": {"months_per_year": 4, "distance_m": 8},
            "shelter": "open", "rain_washed": true, "sunlight": "partial", "handling": "occasional",
            "heat_continuous_c": 60, "heat_peak_c": 110, "welded_after_finishing": true,
            "mating_metals": ["aluminium", "zinc_plated_steel"], "mating_area_ratio": 3,
            "required_years": 5, "failure": {"strength_loss_pct": 10}
        },
        "wants": {
            "black": true, "gloss": "satin", "uniform_shade": true, "standard_specification": true,
            "cost_limit_per_thousand": 5000, "target_probability": 0.8, "other_base_metals": ["stainless_316"],
            "builds": [
                {"treatment": "hot_alkaline", "films": ["air_dry_paint", "acrylic_lacquer"]},
                {"base_metal": "stainless_304", "treatment": "stainless_alkaline", "films": []}
            ],
            "outside_blackening": true,
            "weights": {"durability": 3, "cost": 1, "appearance": 1, "heat": 1, "assembly": 1, "confidence": 1}
        }
    })
    .to_string()
}

/// The papers of the best build, in all units, without markup of the user.
fn check_papers(brief: &Brief, ranking: &Ranking) -> Result<(), Error> {
    let Some(best) = ranking.best() else { return Ok(()) };
    for units in Units::ALL {
        let sheet = papers(brief, best, Catalog::built_in(), *units)?;
        assert!(!sheet.to_text().is_empty() && !sheet.to_html().contains("<script"));
    }
    Ok(())
}

#[test]
fn briefs() {
    let mut texts: Vec<String> =
        DEMO_BRIEFS.iter().map(|name| demo(&format!("briefs/{name}.json"))).collect();
    // the full brief reaches more per second
    texts.extend(std::iter::repeat_n(full_brief(), 40));
    fuzz(
        "brief",
        |dice| {
            let text = dice.pick(&texts).clone();
            mutate_document(&text, dice)
        },
        |text| {
            let brief = Brief::from_json(text)?;
            assert_eq!(Brief::from_json(&brief.to_json()).unwrap(), brief);
            let ranking = rank(&brief, Catalog::built_in())?;
            check_ranking(&ranking);
            check_papers(&brief, &ranking)
        },
    );
}

#[test]
fn catalogs() {
    let own = demo("workshop_catalog.json");
    let whole = Catalog::built_in().to_json();
    let brief = Brief::from_json(&full_brief()).unwrap();
    fuzz(
        "catalog",
        |dice| {
            let text = if dice.below(3) == 0 { &whole } else { &own };
            mutate_document(text, dice)
        },
        |text| {
            let catalog = Catalog::from_json(text)?;
            assert_eq!(Catalog::from_json(&catalog.to_json()).unwrap().content(), catalog.content());
            check_ranking(&rank(&brief, &catalog)?);
            Ok(())
        },
    );
}

/// Grown from the schema: every field in every combination, one or several of them altered afterwards.
#[test]
fn briefs_by_schema() {
    let grower = Grower::of("brief");
    fuzz(
        "brief by schema",
        |dice| {
            let mut brief = grower.document(dice);
            for _ in 0..dice.below(4).saturating_sub(1) {
                mutate_json(&mut brief, dice);
            }
            brief.to_string()
        },
        |text| {
            let brief = Brief::from_json(text)?;
            assert_eq!(Brief::from_json(&brief.to_json()).unwrap(), brief);
            let ranking = rank(&brief, Catalog::built_in())?;
            check_ranking(&ranking);
            check_papers(&brief, &ranking)
        },
    );
}

#[test]
fn catalogs_by_schema() {
    let grower = Grower::of("catalog");
    let brief = Brief::from_json(&full_brief()).unwrap();
    fuzz(
        "catalog by schema",
        |dice| {
            let mut catalog = grower.document(dice);
            for _ in 0..dice.below(4).saturating_sub(1) {
                mutate_json(&mut catalog, dice);
            }
            catalog.to_string()
        },
        |text| {
            let catalog = Catalog::from_json(text)?;
            assert_eq!(Catalog::from_json(&catalog.to_json()).unwrap().content(), catalog.content());
            check_ranking(&rank(&brief, &catalog)?);
            Ok(())
        },
    );
}

#[test]
fn sheets_of_papers() {
    // without a list of builds, and not welded, one is open
    let mut brief = Brief::from_json(&full_brief()).unwrap();
    brief.wants.builds = None;
    brief.duty.welded_after_finishing = false;
    let ranking = rank(&brief, Catalog::built_in()).unwrap();
    let sheet = papers(&brief, &ranking.options[0], Catalog::built_in(), Units::Metric).unwrap().to_json();
    fuzz(
        "papers",
        |dice| mutate_document(&sheet, dice),
        |text| {
            let sheet = Papers::from_json(text)?;
            assert_eq!(Papers::from_json(&sheet.to_json()).unwrap(), sheet);
            assert!(!sheet.to_text().is_empty() && !sheet.to_html().contains("<script"));
            Ok(())
        },
    );
}

#[test]
fn rankings() {
    let ranking = rank(&Brief::from_json(&full_brief()).unwrap(), Catalog::built_in()).unwrap().to_json();
    fuzz(
        "ranking",
        |dice| mutate_document(&ranking, dice),
        |text| {
            let ranking = Ranking::from_json(text)?;
            assert_eq!(Ranking::from_json(&ranking.to_json()).unwrap(), ranking);
            for option in &ranking.options {
                let _ = option.first_reason();
            }
            Ok(())
        },
    );
}

fn read_record(record: Result<ClimateRecord, Error>) -> Result<(), Error> {
    let wet = record?.wetness()?;
    assert!((0.0..=1.0).contains(&wet.coverage), "{wet:?}");
    assert!(wet.hours_per_year.is_finite() && (0.0..=8784.0).contains(&wet.hours_per_year), "{wet:?}");
    assert!(wet.valid_hours <= wet.expected_hours + 1e-9, "{wet:?}");
    Ok(())
}

#[test]
fn climate_csv() {
    let text: String = demo("climate_hourly.csv").split_inclusive('\n').take(60).collect();
    fuzz("climate CSV", |dice| mutate_bytes(&text, dice), |text| read_record(ClimateRecord::from_csv(text)));
}

#[test]
fn climate_epw() {
    let header =
        "LOCATION,Nowhere,-,-,-,0,50,8,1,100\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n";
    let hours = (0..48).map(|hour| {
        let (day, of_day) = (1 + hour / 24, 1 + hour % 24);
        format!("2001,1,{day},{of_day},60,?9?9,{}.5,3.0,{},101325,0\n", hour % 13 - 3, 60 + hour % 40)
    });
    let text = std::iter::once(header.to_owned()).chain(hours).collect::<String>();
    fuzz("climate EPW", |dice| mutate_bytes(&text, dice), |text| read_record(ClimateRecord::from_epw(text)));
}

#[test]
fn test_records() {
    let text = "hours,outcome,until_hours,film,lot,cabinet,weight\n\
                24,failed,,hard_wax,A,one,1\n48,between,72,hard_wax,A,one,1\n96,intact,,hard_wax,B,two,2\n\
                72,failed,,hard_wax,B,two,1\n60,between,84,hard_wax,C,one,1\n120,failed,,hard_wax,C,two,1\n";
    fuzz(
        "test records",
        |dice| mutate_bytes(text, dice),
        |text| {
            let records = records_from_csv(text)?;
            for distribution in Distribution::ALL {
                let fitted = fit(&records, *distribution)?;
                let median = fitted.median_hours();
                assert!(median.is_finite() && median > 0.0 && fitted.log_sd() >= 0.0, "{fitted:?}");
            }
            Ok(())
        },
    );
}

#[test]
fn field_logs() {
    let text = "site,base_metal,treatment,films,place,first_year_steel_loss_um,shelter,rain_washed,years,outcome,until_years,weight\n\
                a,steel_8_8,hot_alkaline,hard_wax,rural,,open,yes,2,failed,,1\n\
                b,steel_8_8,hot_alkaline,zinc_phosphate_primer + air_dry_paint,,30,sheltered,,2,between,3,2\n\
                ,stainless_304,stainless_alkaline,hard_wax,coastal,,,no,5,intact,,1\n";
    fuzz(
        "field log",
        |dice| mutate_bytes(text, dice),
        |text| {
            let parts = parts_from_csv(text)?;
            let judged = backtest_parts(&parts, Catalog::built_in())?;
            assert!((0.0..=1.0 + 1e-9).contains(&judged.outlook.coverage_80), "{judged:?}");
            for update in update_from_parts("hard_wax", &parts, None, 0.5, Catalog::built_in())? {
                let belief = update.update.field_factor;
                assert!(belief.median > 0.0 && belief.log_sd.is_finite(), "{update:?}");
            }
            Ok(())
        },
    );
}

#[test]
fn certainty() {
    fuzz(
        "certainty",
        |dice| mutate_document(&full_brief(), dice),
        |text| {
            let ranking = rank(&Brief::from_json(text)?, Catalog::built_in())?;
            let first = ranking.truly_first(Catalog::built_in())?;
            let total: f64 = first.shares.iter().map(|share| share.probability).sum();
            assert!(first.shares.is_empty() || (total - 1.0).abs() < 1e-9, "{first:?}");
            let next = ranking.what_to_measure(2, Effort::default(), Catalog::built_in())?;
            assert!((0.0..=1.0).contains(&next.chance_wrong), "{next:?}");
            for measurement in &next.measurements {
                assert!(measurement.score_gain >= 0.0 && measurement.score_gain.is_finite(), "{next:?}");
            }
            Ok(())
        },
    );
}

/// A column of odd numbers, NaN and infinities among them.
fn odd_column(dice: &mut Dice, rows: usize, low: f64, high: f64) -> Vec<f64> {
    (0..rows)
        .map(|_| match dice.below(12) {
            0 => *dice.pick(&EDGES),
            1 => *dice.pick(&[f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
            _ => low + (high - low) * (dice.below(1_000_001) as f64 / 1e6),
        })
        .collect()
}

#[test]
fn swept_tables() {
    let brief = Brief::from_json(&demo("briefs/gate-hinge.json")).unwrap();
    let sweep = Sweep::new(&brief, None, Catalog::built_in()).unwrap();
    let shelters = [None, Some(Shelter::Open), Some(Shelter::Sheltered), Some(Shelter::Indoor)];
    fuzz(
        "sweep",
        |dice| {
            let rows = 1 + dice.below(8);
            let air = [(-30.0, 40.0), (0.0, 100.0), (0.0, 300.0), (0.0, 2000.0), (0.01, 100.0)];
            let columns = air.map(|(low, high)| odd_column(dice, rows, low, high));
            // now and then a column is short
            let shelter: Vec<_> =
                (0..rows - usize::from(dice.below(30) == 0)).map(|_| *dice.pick(&shelters)).collect();
            (columns, shelter)
        },
        |([temperature, humidity, so2, chloride, years], shelter)| {
            let columns = Columns {
                temperature_c: temperature,
                relative_humidity_pct: humidity,
                so2_mg_m2_day: so2,
                chloride_mg_m2_day: chloride,
                required_years: Some(years),
                shelter: Some(shelter),
            };
            let mut output = Output::default();
            sweep.run(&columns, &mut output, 1)?;
            for i in 0..output.build.len() {
                let numbers = [output.median_years[i], output.p10_years[i], output.p90_years[i]];
                if output.reason[i].has_result() {
                    assert!(numbers.iter().all(|years| years.is_finite() && *years > 0.0), "{numbers:?}");
                    assert!((0.0..=1.0).contains(&output.probability_ok[i]));
                    assert!((0.0..=1.0).contains(&output.score[i]));
                } else {
                    assert!(numbers.iter().all(|years| years.is_nan()) && !output.blocked[i]);
                }
            }
            Ok(())
        },
    );
}
