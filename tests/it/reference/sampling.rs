//! Whole tables of published sampling plans and independently computed acceptance probabilities.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test helper may stop the test")]

use super::rows;
use overcoat::Firmness;
use overcoat::papers::sampling::{
    CodeLetter, InspectionLevel, acceptance_probability_binomial, code_letter, plan,
};

/// Printed: ISO 2859-1:1999, Table 1, both ends of every band.
#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn code_letters() {
    let rows = rows("iso2859_code_letters.csv");
    for row in rows {
        let (first, last) = match row[0].split_once('-') {
            Some((first, last)) => (first.parse().unwrap(), last.parse().unwrap()),
            None => (row[0].trim_end_matches('+').parse().unwrap(), u32::MAX),
        };
        for (level, expected) in InspectionLevel::ALL.iter().zip(&row[1..]) {
            for lot_size in [first, last] {
                let found = code_letter(lot_size, *level).unwrap();
                assert_eq!(&found.to_string(), expected, "{lot_size} {level}");
            }
        }
    }
}

/// A lot size and level that lead to a letter and are large enough not to be inspected whole.
fn lot_for(letter: CodeLetter) -> (u32, InspectionLevel) {
    let sizes = [8, 15, 25, 50, 90, 150, 280, 500, 1_200, 3_200, 10_000, 35_000, 150_000, 500_000, u32::MAX];
    sizes
        .into_iter()
        .rev()
        .flat_map(|size| InspectionLevel::ALL.iter().map(move |level| (size, *level)))
        .find(|(size, level)| code_letter(*size, *level).unwrap() == letter)
        .unwrap()
}

/// Printed: ISO 2859-1:1999, Table 2-A, arrows followed.
#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn single_normal_plans() {
    let rows = rows("iso2859_single_normal.csv");
    for row in rows {
        let letter = CodeLetter::ALL.iter().copied().find(|l| l.to_string() == row[0]).unwrap();
        let (lot_size, level) = lot_for(letter);
        let found = plan(lot_size, level, row[2].parse().unwrap()).unwrap();
        assert!(!found.inspect_all, "{row:?}");
        let read = !row[8].contains("from memory");
        assert_eq!(found.source.firmness == Firmness::Standard, read, "{row:?}");
        let found = [
            found.effective_code_letter.unwrap().to_string(),
            found.sample_size.to_string(),
            found.accept.to_string(),
            found.reject.to_string(),
        ];
        assert_eq!(found, row[4..8], "{row:?}");
    }
}

/// Independent: computed elsewhere, rounded to six decimals.
#[test]
#[ignore = "needs the tables that OVERCOAT_REFERENCE names"]
fn binomial_acceptance() {
    let rows = rows("oc_binomial.csv");
    for row in rows {
        let found = acceptance_probability_binomial(
            row[0].parse().unwrap(),
            row[1].parse().unwrap(),
            row[2].parse().unwrap(),
        )
        .unwrap();
        let expected: f64 = row[3].parse().unwrap();
        assert!((found - expected).abs() <= 0.51e-6, "{row:?}: {found}");
    }
}
