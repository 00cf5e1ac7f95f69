//! How many parts of a lot to inspect, and what such an inspection can and cannot see.
//!
//! - [`plan`]: single sampling, normal inspection, after ISO 2859-1:1999.
//! - [`zero_acceptance_plan`]: the purchaser sets the number, one failed part rejects the lot
//!   (MIL-DTL-13924D).
//! - [`operating_characteristic`], [`risks`]: what either plan lets pass, exact.
//! - `SWITCHING_RULES`: when normal inspection ends.
//!
//! Not here: tightened and reduced inspection, double and multiple sampling, and the optional plans with
//! fractional acceptance numbers of ISO 2859-1:1999.

mod acceptance;
mod code_letter;
mod master_table;
mod switching;

pub use acceptance::{
    OperatingPoint, Risks, acceptance_probability_binomial, acceptance_probability_hypergeometric,
    fraction_defective_accepted_with, operating_characteristic, risks,
};
pub use code_letter::{CodeLetter, InspectionLevel, code_letter};

pub use switching::{SWITCHING_RULES, SwitchingRules};

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid};
use crate::evidence::Source;

/// A single sampling plan: inspect `sample_size` parts drawn at random, accept the lot if at most `accept` of
/// them are defective.
///
/// `level`, `aql_pct` and the two letters are absent where the purchaser set the sample size.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Inspection level asked for.
    pub level: Option<InspectionLevel>,
    /// Acceptance quality limit asked for (% defective).
    pub aql_pct: Option<f64>,
    /// Code letter of the lot size and level.
    pub code_letter: Option<CodeLetter>,
    /// Code letter of the row that is used once the arrows are followed.
    pub effective_code_letter: Option<CodeLetter>,
    /// Parts to inspect; the whole lot where the table asks for as many parts as the lot has, or more.
    pub sample_size: u32,
    /// Largest number of defective parts with which the lot is accepted (Ac).
    pub accept: u32,
    /// Smallest number of defective parts with which it is rejected (Re).
    pub reject: u32,
    /// Whether every part of the lot is inspected.
    pub inspect_all: bool,
    /// Where the plan comes from.
    pub source: Source,
}

impl Plan {
    /// Where the plan comes from.
    pub const fn source(&self) -> &Source {
        &self.source
    }
}

/// The single sampling plan for normal inspection of ISO 2859-1:1999, Tables 1 and 2-A.
///
/// `lot_size` is in parts, 2 or more; `level` is II unless the order says otherwise (10.1); `aql_pct` is one
/// of `AQLS_PCT`, in per cent.
///
/// An arrow in the table leads to another row, whose sample size *and* acceptance number both apply. Where
/// that sample size reaches the lot size, the whole lot is inspected with the same acceptance number.
///
/// The source is well supported (`standard`) where the table entry was read in the identical national adoption, and
/// `from_memory` for the others.
///
/// # Errors
/// A lot of fewer than 2 parts, for which the standard gives no plan; an AQL other than the six, or not a
/// number.
///
/// ```
/// use overcoat::papers::sampling::{CodeLetter, InspectionLevel, plan};
/// // 1000 screws, level II, AQL 1.0%: letter J, 80 parts, 2 defective ones are accepted.
/// let usual = plan(1000, InspectionLevel::II, 1.0)?;
/// assert_eq!((usual.sample_size, usual.accept, usual.reject), (80, 2, 3));
///
/// // 100 screws: letter F, whose arrow at 1.0% leads up to E.
/// let arrow = plan(100, InspectionLevel::II, 1.0)?;
/// assert_eq!(arrow.code_letter, Some(CodeLetter::F));
/// assert_eq!(arrow.effective_code_letter, Some(CodeLetter::E));
/// assert_eq!((arrow.sample_size, arrow.accept), (13, 0));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn plan(lot_size: u32, level: InspectionLevel, aql_pct: f64) -> Result<Plan> {
    let letter = code_letter(lot_size, level)?;
    let entry = master_table::entry(letter, aql_pct).ok_or_else(|| {
        invalid(
            "aql_pct",
            aql_pct,
            "0.65, 1.0, 1.5, 2.5, 4.0 or 6.5%",
            "Enter one of these, in per cent: 2.5, not 0.025.",
        )
    })?;
    Ok(Plan {
        level: Some(level),
        aql_pct: Some(entry.aql_pct),
        code_letter: Some(letter),
        effective_code_letter: Some(entry.letter),
        sample_size: entry.sample_size.min(lot_size),
        accept: entry.accept,
        reject: entry.accept + 1,
        inspect_all: entry.sample_size >= lot_size,
        source: entry.source,
    })
}

/// The plan of MIL-DTL-13924D (4.2.2, 4.3) for a lot of black oxide parts: the purchaser sets the number of
/// samples, and one failed sample rejects the lot.
///
/// `sample_size` is in parts, 1 to `lot_size`. The specification names no AQL: what such a plan lets pass
/// follows from the sample size alone, see [`risks`].
///
/// # Errors
/// A sample of no parts, or of more parts than the lot has.
///
/// ```
/// use overcoat::papers::sampling::{risks, zero_acceptance_plan};
/// let plan = zero_acceptance_plan(1000, 8)?;
/// assert_eq!((plan.accept, plan.reject), (0, 1));
/// // Eight good parts still let a lot with a quarter of bad ones pass once in ten times.
/// assert!((risks(&plan)?.consumer_fraction_defective - 0.25).abs() < 0.001);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn zero_acceptance_plan(lot_size: u32, sample_size: u32) -> Result<Plan> {
    if sample_size == 0 || sample_size > lot_size {
        return Err(invalid(
            "sample_size",
            sample_size,
            &format!("1 to the lot size, {lot_size}"),
            "Take at least one part, and no more than the lot has.",
        ));
    }
    Ok(Plan {
        level: None,
        aql_pct: None,
        code_letter: None,
        effective_code_letter: None,
        sample_size,
        accept: 0,
        reject: 1,
        inspect_all: sample_size == lot_size,
        source: Source::standard("MIL-DTL-13924D (1999), 4.2.2 and 4.3"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evidence::Firmness;
    use CodeLetter::*;
    use InspectionLevel::{I, II, III, S1, S4};

    fn short(lot_size: u32, level: InspectionLevel, aql_pct: f64) -> (CodeLetter, CodeLetter, u32, u32, u32) {
        let p = plan(lot_size, level, aql_pct).unwrap();
        let (letter, effective) = (p.code_letter.unwrap(), p.effective_code_letter.unwrap());
        (letter, effective, p.sample_size, p.accept, p.reject)
    }

    /// Printed: ISO 2859-1:1999, Tables 1 and 2-A, no arrow.
    #[test]
    fn plain_entries() {
        assert_eq!(short(1000, II, 1.0), (J, J, 80, 2, 3));
        assert_eq!(short(1000, II, 2.5), (J, J, 80, 5, 6));
        assert_eq!(short(1000, II, 4.0), (J, J, 80, 7, 8));
        assert_eq!(short(100, II, 2.5), (F, F, 20, 1, 2));
    }

    /// Printed: ISO 2859-1:1999, Tables 1 and 2-A. Both numbers come from the row that the arrow leads to.
    #[test]
    fn arrows_lead_to_sample_size_and_acceptance_number() {
        assert_eq!(short(100, II, 1.0), (F, E, 13, 0, 1));
        assert_eq!(short(30, II, 2.5), (D, C, 5, 0, 1));
        assert_eq!(short(200, II, 1.0), (G, H, 50, 1, 2));
        assert_eq!(short(30, II, 0.65), (D, F, 20, 0, 1));
        assert_eq!(short(200, II, 0.65), (G, F, 20, 0, 1));
        assert_eq!(short(20_000, II, 6.5), (M, L, 200, 21, 22));
    }

    /// Derived from the printed "if the sample size equals or exceeds the lot size, inspect all".
    #[test]
    fn a_sample_as_large_as_the_lot_is_the_lot() {
        let all = plan(20, III, 0.65).unwrap();
        assert_eq!((all.sample_size, all.accept, all.inspect_all), (20, 0, true));
        let all = plan(2, I, 0.65).unwrap();
        assert_eq!((all.sample_size, all.accept, all.inspect_all), (2, 0, true));
        assert!(!plan(21, I, 1.0).unwrap().inspect_all);
    }

    #[test]
    fn every_lot_level_and_aql_has_a_plan_that_can_refuse() {
        for lot_size in [2, 3, 8, 9, 51, 281, 1_201, 35_001, 500_001, u32::MAX] {
            for &level in InspectionLevel::ALL {
                for aql_pct in master_table::AQLS_PCT {
                    let p = plan(lot_size, level, aql_pct).unwrap();
                    assert!(p.accept < p.sample_size && p.sample_size <= lot_size, "{p:?}");
                    assert_eq!(p.reject, p.accept + 1);
                }
            }
        }
    }

    #[test]
    fn the_source_says_which_entries_were_read() {
        assert_eq!(plan(1000, II, 1.0).unwrap().source().firmness, Firmness::Standard);
        assert_eq!(plan(500_000, II, 1.0).unwrap().source().firmness, Firmness::FromMemory);
        assert_eq!(plan(20, S4, 4.0).unwrap().source().firmness, Firmness::FromMemory);
    }

    #[test]
    fn errors_name_the_field() {
        assert_eq!(plan(1, II, 1.0).unwrap_err().field(), "lot_size");
        for aql_pct in [0.0, -1.0, 0.025, 3.0, f64::NAN, f64::INFINITY] {
            assert_eq!(plan(100, II, aql_pct).unwrap_err().field(), "aql_pct");
        }
        assert_eq!(zero_acceptance_plan(10, 0).unwrap_err().field(), "sample_size");
        assert_eq!(zero_acceptance_plan(10, 11).unwrap_err().field(), "sample_size");
        assert!(zero_acceptance_plan(10, 10).unwrap().inspect_all);
    }

    #[test]
    fn a_plan_survives_json() {
        for p in [plan(100, S1, 6.5).unwrap(), zero_acceptance_plan(100, 3).unwrap()] {
            let json = serde_json::to_string(&p).unwrap();
            assert_eq!(serde_json::from_str::<Plan>(&json).unwrap(), p);
        }
    }
}
