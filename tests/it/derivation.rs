//! The numbers of the catalog against what its observations make of them.

#![allow(clippy::unwrap_used)] // test code, outside of test functions

use std::collections::BTreeMap;
use std::sync::LazyLock;

use overcoat::Firmness;
use overcoat::catalog::Catalog;
use overcoat::evidence::observations;
use overcoat::records::{Derivation, derive};
use serde_json::Value;

static DERIVED: LazyLock<Derivation> = LazyLock::new(|| derive(Catalog::built_in()).unwrap());
static DOCUMENT: LazyLock<Value> =
    LazyLock::new(|| serde_json::from_str(&Catalog::built_in().to_json()).unwrap());

/// A value of the catalog by its path.
fn at(path: &str) -> &'static Value {
    path.split('.').fold(&*DOCUMENT, |value, name| &value[name])
}

/// `cargo run --example derive_catalog` prints these; the catalog has three figures of them.
#[test]
fn the_catalog_has_the_numbers_that_its_observations_make() {
    let mut values = 0;
    for number in &DERIVED.numbers {
        for set in &number.sets {
            let found = at(&set.path).as_f64().unwrap_or_else(|| panic!("no number at {}", set.path));
            let off = (found / set.value - 1.0).abs();
            assert!(off < 0.006, "{}: {found} in the catalog, {} computed", set.path, set.value);
            values += 1;
        }
    }
    assert!(values > 80, "{values}");
}

/// What observations leave within 0.7 of the spread of its prior is computed from them, and says from how many; all else
/// is an assumption, and what follows from a computed number by an assumption of its own is one too.
#[test]
fn what_was_not_observed_says_so() {
    let mut by_source: BTreeMap<String, usize> = BTreeMap::new();
    for number in &DERIVED.numbers {
        for set in &number.sets {
            let (entry, _) = set.path.rsplit_once('.').unwrap();
            let key = at(entry)["source"].as_str().unwrap();
            let source = Catalog::built_in().source(key);
            let observed = matches!(source.firmness, Firmness::Derived | Firmness::CommonPractice);
            assert_eq!(observed, number.is_informed() && !set.assumed, "{}: {source}", set.path);
            if observed {
                let count = number.observations.len();
                let many =
                    if count == 1 { "1 observation:".to_owned() } else { format!("{count} observations:") };
                let said = format!("computed from {many}");
                assert!(source.citation.starts_with(&said), "{}: {said} {source}", set.path);
                *by_source.entry(key.to_owned()).or_default() += 1;
            } else {
                assert_eq!(source.firmness, Firmness::Assumption, "{}: {source}", set.path);
            }
        }
    }
    assert!(by_source.len() > 15, "{by_source:?}");
}

/// A number computed mostly from facts of the trade is no firmer than they are.
#[test]
fn a_computed_number_is_no_firmer_than_most_of_its_observations() {
    let firmness = |key: &str| observations().iter().find(|o| o.key == key).unwrap().source.firmness;
    for number in DERIVED.numbers.iter().filter(|number| number.is_informed()) {
        let trade =
            number.observations.iter().filter(|key| firmness(key) == Firmness::CommonPractice).count();
        for set in number.sets.iter().filter(|set| !set.assumed) {
            let (entry, _) = set.path.rsplit_once('.').unwrap();
            let source = Catalog::built_in().source(at(entry)["source"].as_str().unwrap());
            let mostly = 2 * trade > number.observations.len();
            assert_eq!(source.firmness == Firmness::CommonPractice, mostly, "{}: {source}", set.path);
        }
    }
}

/// Every published figure predicted from the others: the 80% intervals hold 80% of them, within two standard errors
/// of that share, and are not so wide that they hold all.
#[test]
fn left_out_lives_lie_in_their_intervals() {
    let lives: Vec<_> = DERIVED.left_out.iter().filter(|life| !life.is_bound()).collect();
    let share = lives.iter().filter(|life| life.is_within_80()).count() as f64 / lives.len() as f64;
    let error = (0.8_f64 * 0.2 / lives.len() as f64).sqrt();
    println!("{} lives, {:.0}% within", lives.len(), 100.0 * share);
    assert!(lives.len() > 35);
    assert!(share > 0.8 - 2.0 * error, "{share}");
    // a bound is contradicted by one in ten at most
    let bounds: Vec<_> = DERIVED.left_out.iter().filter(|life| life.is_bound()).collect();
    let missed: Vec<&str> =
        bounds.iter().filter(|life| !life.is_within_80()).map(|life| life.observation.key.as_str()).collect();
    assert!(10 * missed.len() <= bounds.len(), "{missed:?} of {}", bounds.len());
}

/// Practical lives of paint systems, predicted from the others: within 30% each and 20% rms.
#[test]
fn practical_lives_are_predicted_from_the_others() {
    let mut squares = 0.0;
    let lives: Vec<_> = DERIVED
        .left_out
        .iter()
        .filter(|life| life.observation.preparation.is_some())
        .map(|life| (life.observation, (life.observation.low.unwrap() / life.predicted).ln()))
        .collect();
    assert_eq!(lives.len(), 13);
    for (observation, off) in &lives {
        assert!(off.abs() < 0.36, "{}: {off}", observation.key);
        squares += off * off;
    }
    let rms = (squares / lives.len() as f64).sqrt();
    assert!(rms < 0.2, "{rms}");
}
