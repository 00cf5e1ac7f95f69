//! Reference specimens say how hard a cabinet attacks; hours are corrected by it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::record::{Record, check_records};
use crate::Result;
use crate::error::{invalid, within};
use crate::evidence::Source;
use crate::life::CABINET_LOSS_G_M2;

/// The window of the mass loss of reference specimens: see also `CABINET_RATE`.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CABINET_WINDOW: Source = Source::standard(
    "ISO 9227, reference specimens (steel CR4 of ISO 3574): 70 ± 20 g/m² in 48 h of neutral salt spray, by a reprint",
);

/// How records of a cabinet are corrected and weighed.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CABINET_CORRECTION: Source = Source::assumption(
    "hours of a cabinet times its loss over 70 g/m²: the same dose of bare-steel attack, at the rate that the \
     reference specimens show; a record of a cabinet outside the window counts half",
);

/// Half width of the window, g/m².
const WINDOW_G_M2: f64 = 20.0;
/// What a record out of the window counts for.
const WEIGHT_OUTSIDE: f64 = 0.5;

/// Mass losses of reference specimens of a cabinet, or of one run of it, in 48 h of neutral salt spray.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ReferenceRun {
    /// The cabinet as the records name it.
    pub cabinet: String,
    /// Loss of each specimen in 48 h.
    pub mass_losses_g_m2: Vec<f64>,
}

/// What the reference specimens say of a cabinet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CabinetCheck {
    /// The cabinet.
    pub cabinet: String,
    /// Mean loss in 48 h.
    pub mass_loss_g_m2: f64,
    /// Its loss rate `k`.
    pub rate_g_m2_h: f64,
    /// What the hours of its records are multiplied by.
    pub hours_factor: f64,
    /// Whether every specimen lies within 70 ± 20 g/m².
    pub in_window: bool,
    /// What the weight of its records is multiplied by.
    pub weight_factor: f64,
}

/// Records corrected for their cabinets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CorrectedRecords {
    /// All records, hours and weights changed where their cabinet was checked.
    pub records: Vec<Record>,
    /// Each cabinet checked.
    pub cabinets: Vec<CabinetCheck>,
    /// Cabinets in the records without a reference run; their records are unchanged, as those without a cabinet.
    pub unchecked_cabinets: Vec<String>,
}

/// Judges a cabinet by its reference specimens against the window of ISO 9227 (`CABINET_WINDOW`).
///
/// # Errors
/// No specimen; a loss outside 1 to 1000 g/m².
///
/// ```
/// use overcoat::records::{check_cabinet, ReferenceRun};
/// let check = check_cabinet(&ReferenceRun { cabinet: "2".into(), mass_losses_g_m2: vec![83.0, 85.0] })?;
/// assert!(check.in_window);
/// assert!((check.hours_factor - 1.2).abs() < 1e-12);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn check_cabinet(run: &ReferenceRun) -> Result<CabinetCheck> {
    let losses = &run.mass_losses_g_m2;
    if losses.is_empty() {
        return Err(invalid(
            "mass_losses_g_m2",
            "empty",
            "one loss or more",
            "Enter the loss of each reference specimen, or leave the cabinet out.",
        ));
    }
    for (i, loss) in losses.iter().enumerate() {
        within(
            &format!("mass_losses_g_m2[{i}]"),
            *loss,
            1.0,
            1000.0,
            "g/m²",
            "Enter the mass loss in 48 h over the exposed area of the specimen.",
        )?;
    }
    let mean = losses.iter().sum::<f64>() / losses.len() as f64;
    let in_window = losses.iter().all(|loss| (loss - CABINET_LOSS_G_M2).abs() <= WINDOW_G_M2);
    Ok(CabinetCheck {
        cabinet: run.cabinet.clone(),
        mass_loss_g_m2: mean,
        rate_g_m2_h: mean / 48.0,
        hours_factor: mean / CABINET_LOSS_G_M2,
        in_window,
        weight_factor: if in_window { 1.0 } else { WEIGHT_OUTSIDE },
    })
}

/// Corrects records by the reference runs of their cabinets.
///
/// A cabinet that attacks harder than 70 g/m² in 48 h gives fewer hours than its films deserve: hours are
/// multiplied by measured/70. Records of a cabinet outside 70 ± 20 g/m² stay, flagged, with half their weight
/// (`CABINET_CORRECTION`).
///
/// # Errors
/// Records that [`check_records`](super::check_records) rejects; a cabinet with two reference runs; and what
/// [`check_cabinet`] rejects.
///
/// ```
/// use overcoat::records::{correct_for_cabinets, Record, ReferenceRun};
/// let log = [Record::failed(70.0).in_cabinet("2"), Record::failed(70.0).in_cabinet("3")];
/// let run = ReferenceRun { cabinet: "2".into(), mass_losses_g_m2: vec![105.0] };
/// let corrected = correct_for_cabinets(&log, &[run])?;
/// assert!((corrected.records[0].hours - 105.0).abs() < 1e-9);
/// assert_eq!(corrected.records[0].weight, 0.5);
/// assert_eq!(corrected.records[1], log[1]);
/// assert_eq!(corrected.unchecked_cabinets, ["3"]);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn correct_for_cabinets(records: &[Record], runs: &[ReferenceRun]) -> Result<CorrectedRecords> {
    check_records(records)?;
    let mut checks: BTreeMap<&str, CabinetCheck> = BTreeMap::new();
    for (i, run) in runs.iter().enumerate() {
        let check = check_cabinet(run).map_err(|e| e.within(&format!("reference_runs[{i}]")))?;
        if checks.insert(&run.cabinet, check).is_some() {
            return Err(invalid(
                &format!("reference_runs[{i}].cabinet"),
                &run.cabinet,
                "each cabinet once",
                "Put its specimens into one run, or name the runs apart in the records too.",
            ));
        }
    }
    let mut unchecked: Vec<String> = Vec::new();
    let mut corrected = Vec::with_capacity(records.len());
    for record in records {
        let mut record = record.clone();
        if let Some(cabinet) = &record.cabinet {
            if let Some(check) = checks.get(cabinet.as_str()) {
                record.hours *= check.hours_factor;
                record.until_hours = record.until_hours.map(|until| until * check.hours_factor);
                record.weight *= check.weight_factor;
            } else if !unchecked.contains(cabinet) {
                unchecked.push(cabinet.clone());
            }
        }
        corrected.push(record);
    }
    check_records(&corrected)?;
    unchecked.sort_unstable();
    Ok(CorrectedRecords {
        records: corrected,
        cabinets: checks.into_values().collect(),
        unchecked_cabinets: unchecked,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(losses: &[f64]) -> ReferenceRun {
        ReferenceRun { cabinet: "1".into(), mass_losses_g_m2: losses.to_vec() }
    }

    /// ISO 9227: 70 ± 20 g/m², ends included (printed, by a reprint).
    #[test]
    fn the_window_includes_its_ends() {
        assert!(check_cabinet(&run(&[50.0, 90.0])).unwrap().in_window);
        assert!(!check_cabinet(&run(&[49.9])).unwrap().in_window);
        // One specimen outside is enough, even if the mean is inside.
        let check = check_cabinet(&run(&[91.0, 60.0])).unwrap();
        assert!(!check.in_window && check.weight_factor == 0.5);
    }

    /// By hand: a mean of 105 g/m² in 48 h attacks 1.5 times as hard, so each hour counts for 1.5; it is out of the
    /// window, so a weight of 2 becomes 1. Cabinets without a run are named once.
    #[test]
    fn a_hard_cabinet_gives_more_hours_and_half_the_weight() {
        let runs = [run(&[95.0, 115.0])];
        let check = check_cabinet(&runs[0]).unwrap();
        assert_eq!((check.mass_loss_g_m2, check.hours_factor, check.rate_g_m2_h), (105.0, 1.5, 105.0 / 48.0));
        let log = [
            Record::between(24.0, 48.0).in_cabinet("1").weighing(2.0),
            Record::failed(10.0).in_cabinet("9"),
            Record::failed(10.0).in_cabinet("4"),
            Record::failed(10.0).in_cabinet("9"),
            Record::failed(10.0),
        ];
        let corrected = correct_for_cabinets(&log, &runs).unwrap();
        assert_eq!(corrected.records[0], Record::between(36.0, 72.0).in_cabinet("1").weighing(1.0));
        assert_eq!(corrected.records[1..], log[1..]);
        assert_eq!(corrected.unchecked_cabinets, ["4", "9"]);
    }

    #[test]
    fn the_nominal_cabinet_changes_nothing() {
        let log = [Record::between(24.0, 48.0).in_cabinet("1")];
        assert_eq!(correct_for_cabinets(&log, &[run(&[70.0])]).unwrap().records, log);
        assert!(
            (check_cabinet(&run(&[70.0])).unwrap().rate_g_m2_h - crate::life::cabinet_rate_g_m2_h()).abs()
                < 1e-12
        );
    }

    #[test]
    fn impossible_losses_and_double_runs_are_refused() {
        for losses in [&[][..], &[0.0], &[f64::NAN], &[-70.0]] {
            assert!(check_cabinet(&run(losses)).is_err());
        }
        let error = correct_for_cabinets(&[Record::failed(1.0)], &[run(&[70.0]), run(&[71.0])]).unwrap_err();
        assert_eq!(error.field(), "reference_runs[1].cabinet");
    }
}
