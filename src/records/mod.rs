//! Learning from a shop's own records: salt-spray logs and returned parts become catalog values with bounds.
//!
//! | file | idea |
//! | --- | --- |
//! | `record` | one line of a log: hours, what was seen, lot, cabinet; from columns or text |
//! | `distribution` | lognormal and Weibull as location and scale of the logarithm |
//! | `sample` | the likelihood of censored records and its one maximum |
//! | `fit` | maximum likelihood with standard errors, criteria and Wald bounds |
//! | `bounds` | profile-likelihood bounds of a quantile |
//! | `zero_failure` | nothing failed: a lower bound, and said so |
//! | `plot` | probability plot without a model, goodness of fit |
//! | `prior` | the catalog as prior, so that three panels do not overturn it and thirty do |
//! | `lots` | variance between lots and within them |
//! | `cabinet` | the loss of reference specimens corrects the hours of a cabinet |
//! | `field` | years in the field teach the field factor, and jointly the salt-spray hours |
//! | `entry` | what was learned as a user catalog; merging what two shops learned |
//! | `shop_log` | from a log to a catalog value, before and after |
//! | `parts` | a field log: what was built, what it met, what became of it |
//! | `backtest` | predictions against what became of the parts |
//! | `comparison` | the outlook's predictions beside two naive ones |
//! | `derivation` | numbers of the catalog from published observations |
//! | `quadrature` | integrals over one unknown with a concave logarithm |
//!
//! ```
//! use overcoat::records::{fit, profile_bounds, records_from_csv, Distribution};
//! let log = records_from_csv("hours,failed,until_hours\n48,yes,72\n72,yes,96\n72,yes,96\n96,no,\n120,yes,144\n")?;
//! let fitted = fit(&log, Distribution::Lognormal)?;
//! let bounds = profile_bounds(&log, Distribution::Lognormal, 0.5, 0.9)?;
//! assert!(bounds.lower_hours < Some(fitted.median_hours()));
//! # Ok::<(), overcoat::Error>(())
//! ```

mod backtest;
mod bounds;
mod cabinet;
mod comparison;
mod derivation;
mod distribution;
mod entry;
mod field;
mod fit;
mod lots;
mod parts;
mod plot;
mod prior;
mod quadrature;
mod record;
mod sample;
mod shop_log;
mod zero_failure;

pub use crate::math::Lognormal;
pub use backtest::{Backtest, CalibrationPoint, PredictedRecord, backtest};
pub use bounds::profile_bounds;
pub use cabinet::{CabinetCheck, CorrectedRecords, ReferenceRun, check_cabinet, correct_for_cabinets};
pub use comparison::{PartsBacktest, PredictedPart, backtest_parts};
pub use derivation::{Derivation, DerivedNumber, DerivedValue, INFORMED, LeftOut, derive};
pub use distribution::Distribution;
pub use entry::{Estimate, Learned, Provenance, catalog_entry, lots_of, merge_estimates};
pub use field::{
    Belief, FieldPlace, FieldRecord, FieldUpdate, FilmBelief, PlaceFinding, ShelterUpdate, environment_class,
    update_by_shelter, update_field_factor,
};
pub use fit::{Bounds, Fit, fit};
pub use lots::{LotEffect, lot_effect};
pub use parts::{FieldPart, parts_from_csv, parts_from_rows, update_from_parts};
pub use plot::{GoodnessOfFit, PlotPoint, goodness_of_fit, probability_plot};
pub use prior::{PosteriorMethod, Prior, PriorFit, fit_with_prior};
pub use record::{
    Outcome, Record, RecordColumns, check_records, records_from_columns, records_from_csv, records_from_rows,
};
pub use shop_log::{LearnedCapacity, LogOptions, learn_capacity};
pub use zero_failure::{Fitted, ZeroFailureBound, fit_or_bound, zero_failure_bound};

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn record() -> impl Strategy<Value = Record> {
        let hours = prop_oneof![1e-3..1e6_f64, 20.0..200.0_f64, Just(48.0), Just(96.0)];
        (0..4_u8, hours, 1e-9..500.0_f64, prop_oneof![Just(1.0), 1e-3..1e3_f64], 0..6_u8).prop_map(
            |(kind, hours, more, weight, lot)| {
                match kind {
                    0 => Record::failed(hours),
                    1 => Record::intact(hours),
                    2 => Record::between(0.0, hours),
                    _ => Record::between(hours, (hours + more).min(1e6 + 1.0).max(hours * (1.0 + 1e-12))),
                }
                .weighing(weight)
                .in_lot(lot.to_string())
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn whatever_the_log_there_is_an_error_or_finite_numbers(log in prop::collection::vec(record(), 1..12)) {
            for distribution in Distribution::ALL.iter().copied() {
                if let Ok(fitted) = fit(&log, distribution) {
                    prop_assert!(fitted.location.is_finite() && fitted.scale > 0.0 && fitted.scale.is_finite());
                    prop_assert!(fitted.covariance.iter().flatten().all(|c| c.is_finite()));
                    let bounds = profile_bounds(&log, distribution, 0.5, 0.9).unwrap();
                    let median = fitted.median_hours();
                    prop_assert!(bounds.lower_hours.is_none_or(|low| low <= median * (1.0 + 1e-9)));
                    prop_assert!(bounds.upper_hours.is_none_or(|high| high >= median * (1.0 - 1e-9)));
                    goodness_of_fit(&log, &fitted).unwrap();
                }
                let points = probability_plot(&log, distribution);
                prop_assert!(points.is_err() || points.unwrap().iter().all(|p| p.after <= 1.0 && p.before >= 0.0));
            }
            let prior = Prior { median_hours: 70.0, log_sd: 0.6, panels: 5.0 };
            // With a prior every sound log has an answer.
            if check_records(&log).is_ok() {
                let posterior = fit_with_prior(&log, &prior).unwrap();
                prop_assert!(posterior.median_hours.is_finite() && posterior.predictive_log_sd.is_finite());
                prop_assert!(posterior.median_log_sd > 0.0);
            }
            if let Ok(effect) = lot_effect(&log) {
                prop_assert!(effect.median_hours.is_finite() && effect.within_lot_log_sd > 0.0);
                prop_assert!(effect.median_log_se.is_finite() && effect.between_lot_log_sd >= 0.0);
            }
        }
    }
}
