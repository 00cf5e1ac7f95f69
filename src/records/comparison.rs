//! Predictions of the outlook against parts in the field, beside two naive ways to predict.

use serde::{Deserialize, Serialize};

use super::backtest::{Backtest, PredictedRecord, judge};
use super::field::FieldRecord;
use super::parts::{FieldPart, losses_in_doubt, sites_of};
use super::record::Outcome;
use crate::Result;
use crate::atmosphere::{Atmosphere, StandardMetal, category_loss_range, um_to_g_m2};
use crate::brief::{Exposure, Part};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::error::table_error;
use crate::evidence::Source;
use crate::finish::Build;
use crate::life::{CABINET_LOG_SD, LEAST_LOSS_UM, cabinet_rate_g_m2_h, layers_left, outlook};
use crate::math::Lognormal;
use crate::math::cubic::LogCubic;

/// The naive way that takes salt-spray hours at their face value.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FACE_VALUE: Source = Source::assumption(
    "hours of the films and of the treatment as a dose of bare-steel attack used up at the rate of the place, the \
     field factor left out, as one; rain, sun and hands left out",
);

/// The naive way that looks at the category alone.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CATEGORY_ALONE: Source = Source::assumption(
    "one life per corrosivity category for all finishes alike: the middle of the category's range of loss, and the \
     mean of ln(salt-spray hours · field factor) over the catalog's films with its spread",
);

/// Three ways to predict, judged by the same parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PartsBacktest {
    /// The outlook.
    pub outlook: Backtest,
    /// Salt-spray hours at their face value (`FACE_VALUE`).
    pub hours_at_face_value: Backtest,
    /// The category alone (`CATEGORY_ALONE`).
    pub category_alone: Backtest,
    /// How many sites; parts of one share its air.
    pub sites: usize,
    /// Each row with what the outlook predicted.
    pub parts: Vec<PredictedPart>,
    /// What to keep in mind, one sentence each.
    pub remarks: Vec<String>,
}

/// A row of the log with its prediction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PredictedPart {
    /// The build.
    pub build: Build,
    /// The site, where named.
    pub site: Option<String>,
    /// Years that half of the cases exceed, as predicted.
    pub median_years: f64,
    /// Years that 90% of the cases exceed.
    pub p10_years: f64,
    /// Years that 10% of the cases exceed.
    pub p90_years: f64,
    /// The natural logarithm of the years of those that fail; the years above end at the horizon.
    pub ln_years: LogCubic,
    /// Share that never fails.
    pub never_fails: f64,
    /// What was seen.
    pub seen: FieldRecord,
}

/// From where on the years of a log are in doubt.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const YEARS_IN_DOUBT: Source = Source::assumption(
    "years of parts in the field are in doubt where every part that failed lies beyond four times the 90% quantile of its \
     outlook, or before a quarter of the 10% quantile: most such logs have years in another unit",
);
const BEYOND_THE_RANGE: f64 = 4.0;

/// Says where no part that failed did so anywhere near its outlook, given with its 10% and 90% quantiles.
pub(super) fn years_in_doubt(parts: &[(FieldRecord, f64, f64)]) -> Option<String> {
    let failed: Vec<&(FieldRecord, f64, f64)> =
        parts.iter().filter(|(seen, ..)| seen.outcome != Outcome::Intact).collect();
    if failed.is_empty() {
        return None;
    }
    let late = failed.iter().all(|(seen, _, p90)| seen.years > BEYOND_THE_RANGE * p90);
    let end = |seen: &FieldRecord| seen.until_years.unwrap_or(seen.years);
    let early = failed.iter().all(|(seen, p10, _)| BEYOND_THE_RANGE * end(seen) < *p10);
    let (side, guess) = match (late, early) {
        (true, _) => ("beyond four times the 90% quantile", "; if they were typed in months, divide by 12"),
        (_, true) => ("before a quarter of the 10% quantile", ""),
        _ => return None,
    };
    Some(format!("every part that failed lies {side} of its outlook. Check that the years are years{guess}"))
}

/// Fewer sites than this say little of the atmosphere.
const FEW_SITES: usize = 10;

/// Compares the outlook's predictions with what became of parts in the field, and two naive ways with the same.
///
/// For each way coverage of the 80% range, calibration and log score, as [`backtest`](super::backtest()) gives them;
/// the error of the coverage counts the rows of one site as one, since they share its air. The naive ways: salt-spray
/// hours at face value, `t = Σ H·k / r`; and the category alone, `t = exp(mean ln(H·φ))·k / r_mid`. Compare the log
/// scores: the outlook earns its keep where its score is the highest.
///
/// # Errors
/// No row; an unknown name or an impossible duty, with the row.
///
/// ```
/// use overcoat::{catalog::Catalog, records::{backtest_parts, parts_from_csv}};
/// let log = parts_from_csv("base_metal,treatment,films,place,years,outcome,until_years
/// steel_8_8,hot_alkaline,hard_wax,rural,0.5,between,1.5
/// steel_8_8,hot_alkaline,zinc_phosphate_primer + air_dry_paint,rural,6,intact,
/// ")?;
/// let judged = backtest_parts(&log, Catalog::built_in())?;
/// assert!(judged.outlook.log_score > judged.category_alone.log_score);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn backtest_parts(parts: &[FieldPart], catalog: &Catalog) -> Result<PartsBacktest> {
    let sites = sites_of(parts, catalog)?;
    let mut site_of_row = vec![0; parts.len()];
    for (site, (_, rows)) in sites.iter().enumerate() {
        for row in rows {
            if let Some(slot) = site_of_row.get_mut(*row) {
                *slot = site;
            }
        }
    }
    let typical = typical_hours(catalog);
    let mut ways: [Vec<PredictedRecord>; 3] = Default::default();
    let mut predicted_parts = Vec::with_capacity(parts.len());
    for (row, (part, site)) in parts.iter().zip(&site_of_row).enumerate() {
        let Some((exposure, _)) = sites.get(*site) else { continue };
        let in_row = |error: crate::Error| {
            table_error("treatment", Some(row + 1), error.to_string(), "Correct the row.")
        };
        let resolved = catalog.resolve(&part.build).map_err(in_row)?;
        let years = outlook(exposure, &Part::default(), &resolved, catalog).map_err(in_row)?;
        let predictions = [
            (years.ln_years, years.never_fails),
            (LogCubic::of_lognormal(face_value(exposure, &resolved)), 0.0),
            (LogCubic::of_lognormal(category_alone(exposure, typical)?), 0.0),
        ];
        for (way, (predicted, never_fails)) in ways.iter_mut().zip(predictions) {
            way.push(PredictedRecord { predicted, never_fails, seen: part.seen });
        }
        predicted_parts.push(PredictedPart {
            build: part.build.clone(),
            site: part.site.clone(),
            median_years: years.median_years,
            p10_years: years.p10_years,
            p90_years: years.p90_years,
            ln_years: years.ln_years,
            never_fails: years.never_fails,
            seen: part.seen,
        });
    }
    let [of_outlook, of_hours, of_category] = &ways;
    let mut remarks = Vec::new();
    if sites.len() < FEW_SITES {
        remarks.push(format!(
            "{} sites: the atmosphere of a site is common to its parts, so the coverage is known roughly however many parts \
             there are",
            sites.len()
        ));
    }
    let ranges = predicted_parts.iter().map(|part| (part.seen, part.p10_years, part.p90_years));
    remarks.extend(years_in_doubt(&ranges.collect::<Vec<_>>()));
    remarks.extend(losses_in_doubt(&sites));
    let intact = parts.iter().filter(|part| part.seen.outcome == Outcome::Intact).count();
    if 2 * intact > parts.len() {
        remarks.push(format!(
            "{intact} of {} rows are intact: coverage and calibration look good whatever was predicted; go by the \
             log score",
            parts.len()
        ));
    }
    Ok(PartsBacktest {
        outlook: judge(of_outlook, &site_of_row)?,
        hours_at_face_value: judge(of_hours, &site_of_row)?,
        category_alone: judge(of_category, &site_of_row)?,
        sites: sites.len(),
        parts: predicted_parts,
        remarks,
    })
}

/// ln of the years in which a dose of `hours` in the cabinet is used up at a loss of `loss_um` a year.
fn ln_years(hours: f64, loss_um: f64) -> f64 {
    let rate = um_to_g_m2(StandardMetal::Steel, loss_um.max(LEAST_LOSS_UM));
    (hours * cabinet_rate_g_m2_h() / rate).ln()
}

fn face_value(exposure: &Exposure, build: &ResolvedBuild) -> Lognormal {
    let ResolvedBuild { treatment, films, .. } = build;
    let air = &exposure.atmosphere;
    let layers = layers_left(films, exposure.heat_continuous_c, exposure.heat_peak_c).left.iter();
    let held = layers.enumerate().map(|(place, (_, film))| {
        (film.capacity_h.median * treatment.hold_on(place, film), film.capacity_h.log_sd)
    });
    let hours: Vec<(f64, f64)> =
        held.chain([(treatment.capacity_h.median, treatment.capacity_h.log_sd)]).collect();
    let total: f64 = hours.iter().map(|(median, _)| median).sum();
    let own: f64 = hours.iter().map(|(median, log_sd)| (median / total * log_sd).powi(2)).sum();
    Lognormal {
        ln_median: ln_years(total, air.first_year_steel_loss_um),
        log_sd: air.log_sd.hypot(CABINET_LOG_SD).hypot(own.sqrt()),
    }
}

/// Mean of ln(salt-spray hours · field factor) over the films, and the spread of a film not known.
fn typical_hours(catalog: &Catalog) -> Lognormal {
    let films: Vec<(f64, f64)> = catalog
        .content()
        .films
        .values()
        .map(|film| {
            let (hours, field) = (&film.capacity_h, &film.field_factor);
            ((hours.median * field.median).ln(), hours.log_sd.powi(2) + field.log_sd.powi(2))
        })
        .collect();
    let count = films.len() as f64;
    let mean = films.iter().map(|(ln, _)| ln).sum::<f64>() / count;
    let variance = films.iter().map(|(ln, own)| (ln - mean).powi(2) + own).sum::<f64>() / count;
    Lognormal { ln_median: mean, log_sd: variance.sqrt() }
}

fn category_alone(exposure: &Exposure, typical: Lognormal) -> Result<Lognormal> {
    let category = exposure.atmosphere.category;
    let air = match category_loss_range(StandardMetal::Steel, category) {
        Some(range) => Atmosphere::from_loss_range_um(range.low_um, range.high_um)?,
        None => exposure.atmosphere.clone(),
    };
    Ok(Lognormal {
        ln_median: ln_years(typical.median(), air.first_year_steel_loss_um),
        log_sd: typical.log_sd.hypot(air.log_sd).hypot(CABINET_LOG_SD),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::normal_quantile;
    use crate::records::parts_from_csv;
    use std::fmt::Write;

    /// Parts whose lives are drawn evenly from the outlook's own distribution, at many sites.
    fn drawn_from_the_outlook() -> String {
        let head = "site,base_metal,treatment,films,first_year_steel_loss_um,shelter,years,failed\n";
        let mut text = head.to_owned();
        for site in 0..60_u32 {
            let loss = 40.0 * 20.0_f64.powf(f64::from(site) / 59.0);
            for (j, film) in ["hard_wax", "heavy_oil", "air_dry_paint"].into_iter().enumerate() {
                let row = |years: f64| {
                    format!("{site},steel_8_8,hot_alkaline,{film},{loss},sheltered,{years},yes\n")
                };
                let parts = parts_from_csv(&format!("{head}{}", row(1.0))).unwrap();
                let judged = backtest_parts(&parts, Catalog::built_in()).unwrap();
                let predicted = &judged.parts[0];
                let log_sd = (predicted.p90_years / predicted.median_years).ln() / 1.281_551_565_544_600_4;
                let u = (0.5 + f64::from(3 * site) * 0.618_033_988_7 + j as f64 * 0.618_033_988_7).fract();
                write!(text, "{}", row(predicted.median_years * (log_sd * normal_quantile(u)).exp()))
                    .unwrap();
            }
        }
        text
    }

    #[test]
    fn the_true_way_to_predict_is_honest_and_beats_the_naive_ones() {
        let parts = parts_from_csv(&drawn_from_the_outlook()).unwrap();
        let judged = backtest_parts(&parts, Catalog::built_in()).unwrap();
        assert_eq!(judged.sites, 60);
        assert!((judged.outlook.coverage_80 - 0.8).abs() < 0.03, "{:?}", judged.outlook.coverage_80);
        assert!(judged.outlook.log_score > judged.hours_at_face_value.log_score + 0.1);
        assert!(judged.outlook.log_score > judged.category_alone.log_score + 0.1);
        assert!(judged.remarks.is_empty());
    }

    /// Median years of hard wax over a treatment by its hours at face value, and how the treatment lets it hold.
    fn waxed_at_face_value(treatment: &str) -> (f64, f64) {
        let catalog = Catalog::built_in();
        let text = format!(
            "base_metal,treatment,films,first_year_steel_loss_um,shelter,years,failed\n\
             steel_8_8,{treatment},hard_wax,10,open,1,yes\n"
        );
        let parts = parts_from_csv(&text).unwrap();
        let exposure = Exposure::of(&parts[0].brief, catalog).unwrap();
        let resolved = catalog.resolve(&parts[0].build).unwrap();
        (face_value(&exposure, &resolved).median(), resolved.treatment.film_hold_factor.value)
    }

    /// By hand: hard wax, 48.1 h · 1.458 g/(m²·h) over 78.6 g/m² a year, and 2 h or so of the black oxide.
    #[test]
    fn hours_at_face_value_leave_the_field_factor_out() {
        let (median, hold) = waxed_at_face_value("hot_alkaline");
        let film_alone = 48.1 * hold * 70.0 / 48.0 / 78.6;
        assert!(median > film_alone && median < 1.1 * film_alone, "{median} {film_alone}");
    }

    /// By hand: zinc phosphate lets a film hold 2.37 times its hours and has 1.5 h of its own; without spreads the two would
    /// add up, with them the median of the sum lies a little off.
    #[test]
    fn hours_at_face_value_count_what_the_treatment_lets_hold() {
        let (median, _) = waxed_at_face_value("zinc_phosphate");
        let years = (48.1 * 2.37 + 1.48) * 70.0 / 48.0 / 78.6;
        assert!((median / years - 1.0).abs() < 0.02, "{median} {years}");
    }

    /// The hours of a film not known: the mean of ln(H·φ) over the films, and its variance with the mean of their own.
    #[test]
    fn a_film_not_known_is_the_mean_of_all() {
        let catalog = Catalog::built_in();
        let films = &catalog.content().films;
        let n = films.len() as f64;
        let (mut sum, mut squares, mut own) = (0.0, 0.0, 0.0);
        for film in films.values() {
            let ln = film.capacity_h.median.ln() + film.field_factor.median.ln();
            sum += ln;
            squares += ln * ln;
            own += film.capacity_h.log_sd * film.capacity_h.log_sd
                + film.field_factor.log_sd * film.field_factor.log_sd;
        }
        let typical = typical_hours(catalog);
        assert!((typical.ln_median - sum / n).abs() < 1e-12);
        let variance = squares / n - (sum / n) * (sum / n) + own / n;
        assert!((typical.log_sd - variance.sqrt()).abs() < 1e-12);
    }

    /// Fewer than ten sites are few; more than half intact makes anything look well calibrated.
    #[test]
    fn few_sites_and_many_intact_parts_are_remarked() {
        let remarks = |sites: usize, intact: usize| {
            let mut text = "site,base_metal,treatment,films,place,years,failed\n".to_owned();
            for site in 0..sites {
                let failed = if site < intact { "no" } else { "yes" };
                writeln!(text, "{site},steel_8_8,hot_alkaline,hard_wax,rural,2,{failed}").unwrap();
            }
            backtest_parts(&parts_from_csv(&text).unwrap(), Catalog::built_in()).unwrap().remarks.len()
        };
        assert_eq!([remarks(9, 0), remarks(10, 0), remarks(10, 5), remarks(10, 6)], [1, 0, 0, 1]);
    }

    #[test]
    fn a_build_of_no_catalog_is_refused_by_row() {
        let text = "base_metal,treatment,films,place,years,failed
steel_8_8,hot_alkaline,hard_wax,rural,1,yes
steel_8_8,hot_alkaline,tar,rural,1,yes
";
        let error = backtest_parts(&parts_from_csv(text).unwrap(), Catalog::built_in()).unwrap_err();
        assert!(error.to_string().contains("row 2") && error.to_string().contains("tar"), "{error}");
    }
}
