//! Chloride deposition where it was not measured: from the distance to the sea and to a salted road.
//!
//! Both are medians of places at that distance. The spread of the sea goes on into that of the loss by
//! [`loss_log_sd_from_chloride`]. That of roads does not: tables add the salt of roads to every row as a constant, so
//! an answer says in words that it is true within a factor of e (`ROAD_SALT_SOURCE`).

use serde::{Deserialize, Serialize};

use super::dose_response::{DoseCoefficients, DoseInputs};
use super::metal::StandardMetal;
use crate::error::{Result, within};
use crate::evidence::Source;

/// Median deposition 1 km from the sea in mg/(m²·d).
pub(crate) const SEA_CHLORIDE_AT_1_KM_MG_M2_DAY: f64 = 26.9;
/// Exponent of the decline with distance.
pub(crate) const SEA_CHLORIDE_EXPONENT: f64 = 0.376;
/// Spread of stations around the decline: standard deviation of the logarithm.
pub(crate) const SEA_CHLORIDE_LOG_SD: f64 = 0.87;

/// Where the decline comes from.
pub(crate) const SEA_CHLORIDE_SOURCE: Source = Source::derived(
    "least squares of ln deposition on ln distance over 144 stations 10 m to 900 km from the sea (geometric means of \
     the yearly values of ISO CORRAG, MICAT and national programmes; those of ISO CORRAG were stored as sodium \
     chloride and are divided by 1.65): 26.9 mg/(m2 d) at 1 km, exponent 0.376 with a standard error of 0.027, ln SD \
     0.87; the 33 stations beyond 50 km lie 1.13 times above it. The exponent 0.6 of Japanese coasts, from memory, is \
     steeper",
);

/// Nearest and farthest station behind the decline (m).
const SEA_DISTANCE_RANGE_M: (f64, f64) = (10.0, 900_000.0);
/// Chloride deposition at a distance from the sea.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct ChlorideEstimate {
    /// Median in mg/(m²·d).
    pub median_mg_m2_day: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// Whether no station lies so far from the sea.
    pub extrapolated: bool,
}

/// Chloride deposition from the sea by distance (m): C = 26.9·d^-0.376, d in km.
///
/// Valid from 10 m to 900 km; beyond, the decline goes on and is flagged. Coasts differ widely: surf, wind and
/// shelter are in the spread, a factor of 2.4 either way for one standard deviation. Some of the stations outside ISO
/// CORRAG may have reported sodium chloride (1.65 times as much) as chloride; that is in the spread too. Source:
/// `SEA_CHLORIDE_SOURCE`.
///
/// # Errors
/// A distance that is not finite or nearer than 10 m, where breaking waves wet the part itself.
///
/// ```
/// use overcoat::atmosphere::sea_chloride_mg_m2_day;
/// let beach = sea_chloride_mg_m2_day(100.0).unwrap();
/// let inland = sea_chloride_mg_m2_day(300_000.0).unwrap();
/// assert!((beach.median_mg_m2_day - 63.9).abs() < 0.1);
/// assert!((inland.median_mg_m2_day - 3.2).abs() < 0.1);
/// ```
pub fn sea_chloride_mg_m2_day(distance_m: f64) -> Result<ChlorideEstimate> {
    let (nearest, farthest) = SEA_DISTANCE_RANGE_M;
    within(
        "distance_m",
        distance_m,
        nearest,
        f64::INFINITY,
        "m",
        "Nearer to the sea, surf and spray rule: enter a measured chloride deposition.",
    )?;
    Ok(ChlorideEstimate {
        median_mg_m2_day: SEA_CHLORIDE_AT_1_KM_MG_M2_DAY * (distance_m / 1000.0).powf(-SEA_CHLORIDE_EXPONENT),
        log_sd: SEA_CHLORIDE_LOG_SD,
        extrapolated: distance_m > farthest,
    })
}

/// Deposition of splash at the edge of a salted road in the salting season in mg/(m²·d).
pub(crate) const ROAD_SPLASH_MG_M2_DAY: f64 = 400.0;
/// Distance over which splash falls to 1/e (m).
pub(crate) const ROAD_SPLASH_DECLINE_M: f64 = 10.0;
/// Deposition of fine spray at the edge of a salted road in the salting season in mg/(m²·d).
pub(crate) const ROAD_SPRAY_MG_M2_DAY: f64 = 10.0;
/// Distance over which fine spray falls to 1/e (m).
pub(crate) const ROAD_SPRAY_DECLINE_M: f64 = 100.0;

/// Where the decline beside roads comes from.
pub(crate) const ROAD_SALT_SOURCE: Source = Source::assumption(
    "two terms, splash and spray, following Lundmark and Olofsson (2007), by whom most of the salt lands within \
     10 m; others found some of it several hundred meters away. The exponentials and their sizes are ours, \
     set so that a busy salted road puts steel at its edge into C4 in a cool damp climate, where ISO \
     9223:2012, table C.1 names strong de-icing salt; true within a factor of e or so, which is not added to the \
     spread of the loss",
);

/// Salt from a road in its salting season.
///
/// ```
/// use overcoat::atmosphere::RoadSaltSeason;
/// let season = RoadSaltSeason { months_per_year: 3.0, season_chloride_mg_m2_day: 100.0 };
/// assert_eq!(season.annual_mean_mg_m2_day().unwrap(), 25.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct RoadSaltSeason {
    /// Months of a year in which salt is spread, 0 to 12.
    pub months_per_year: f64,
    /// Mean deposition of chloride within the season in mg/(m²·d).
    pub season_chloride_mg_m2_day: f64,
}

impl RoadSaltSeason {
    /// The season at a distance (m) from the edge of a salted road:
    /// C = 400·exp(-d/10) + 10·exp(-d/100), d in m.
    ///
    /// Source: `ROAD_SALT_SOURCE`. Where deposition was measured, fill the
    /// fields instead.
    ///
    /// # Errors
    /// Months outside 0 to 12; a distance that is negative or not finite.
    ///
    /// ```
    /// use overcoat::atmosphere::RoadSaltSeason;
    /// let edge = RoadSaltSeason::from_distance(5.0, 0.0).unwrap();
    /// let field = RoadSaltSeason::from_distance(5.0, 50.0).unwrap();
    /// assert_eq!(edge.season_chloride_mg_m2_day, 410.0);
    /// assert!(field.season_chloride_mg_m2_day < 10.0);
    /// ```
    pub fn from_distance(months_per_year: f64, distance_m: f64) -> Result<Self> {
        within(
            "distance_m",
            distance_m,
            0.0,
            f64::INFINITY,
            "m",
            "Enter the distance to the edge of the road.",
        )?;
        let season = Self {
            months_per_year,
            season_chloride_mg_m2_day: ROAD_SPLASH_MG_M2_DAY * (-distance_m / ROAD_SPLASH_DECLINE_M).exp()
                + ROAD_SPRAY_MG_M2_DAY * (-distance_m / ROAD_SPRAY_DECLINE_M).exp(),
        };
        season.annual_mean_mg_m2_day()?;
        Ok(season)
    }

    /// Mean deposition over the whole year [mg/(m²·d)]: the season's share of it, months/12·C.
    ///
    /// Salt that stays on the part after the season is not counted.
    ///
    /// # Errors
    /// Months outside 0 to 12; a deposition that is negative or not finite.
    ///
    /// ```
    /// use overcoat::atmosphere::RoadSaltSeason;
    /// let season = RoadSaltSeason { months_per_year: 13.0, season_chloride_mg_m2_day: 100.0 };
    /// assert_eq!(season.annual_mean_mg_m2_day().unwrap_err().field(), "months_per_year");
    /// ```
    pub fn annual_mean_mg_m2_day(&self) -> Result<f64> {
        within(
            "months_per_year",
            self.months_per_year,
            0.0,
            12.0,
            "months",
            "Enter the length of the salting season.",
        )?;
        within(
            "season_chloride_mg_m2_day",
            self.season_chloride_mg_m2_day,
            0.0,
            f64::INFINITY,
            "mg/(m2 d)",
            "Enter the mean deposition within the season.",
        )?;
        Ok(self.months_per_year / 12.0 * self.season_chloride_mg_m2_day)
    }
}

/// Chloride from several sources [mg/(m²·d)]: their sum, since depositions add.
///
/// [`sea_chloride_mg_m2_day`] already contains what falls inland; give 0 as background with it.
///
/// # Errors
/// A deposition that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::combined_chloride_mg_m2_day;
/// assert_eq!(combined_chloride_mg_m2_day(1.5, 20.0, 30.0).unwrap(), 51.5);
/// ```
pub fn combined_chloride_mg_m2_day(
    background_mg_m2_day: f64,
    sea_mg_m2_day: f64,
    road_mg_m2_day: f64,
) -> Result<f64> {
    let mut sum = 0.0;
    for (field, value) in [
        ("background_mg_m2_day", background_mg_m2_day),
        ("sea_mg_m2_day", sea_mg_m2_day),
        ("road_mg_m2_day", road_mg_m2_day),
    ] {
        sum += within(
            field,
            value,
            0.0,
            f64::INFINITY,
            "mg/(m2 d)",
            "Enter the annual mean deposition of chloride, 0 for none.",
        )?;
    }
    Ok(sum)
}

/// Spread of the first-year loss that comes from the spread of the chloride deposition: s_r = c·w·s_Sd.
///
/// c is the exponent of the chloride term, w the share of that term in the loss, s the standard deviations of
/// the logarithms: the first order of ln r in ln Sd (derived from ISO 9223:2012, equations 1 to 4). It adds
/// in squares to the spread of the dose response itself.
///
/// # Errors
/// Inputs that [`DoseInputs::checked`] rejects; a spread that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{DoseInputs, StandardMetal, loss_log_sd_from_chloride};
/// let coast = DoseInputs {
///     temperature_c: 12.0,
///     relative_humidity_pct: 80.0,
///     so2_mg_m2_day: 0.0,
///     chloride_mg_m2_day: 100.0,
/// };
/// // without SO2 all of the loss is the chloride term, whose exponent is 0.62
/// assert_eq!(loss_log_sd_from_chloride(StandardMetal::Steel, &coast, 1.0).unwrap(), 0.62);
/// ```
pub fn loss_log_sd_from_chloride(
    metal: StandardMetal,
    inputs: &DoseInputs,
    chloride_log_sd: f64,
) -> Result<f64> {
    inputs.checked()?;
    within(
        "chloride_log_sd",
        chloride_log_sd,
        0.0,
        f64::INFINITY,
        "",
        "Enter the standard deviation of the logarithm of the deposition.",
    )?;
    let coefficients = DoseCoefficients::of(metal);
    let (so2, chloride) = coefficients.terms_um(inputs);
    if chloride == 0.0 {
        return Ok(0.0);
    }
    Ok(coefficients.chloride_exponent * (chloride / (so2 + chloride)) * chloride_log_sd)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::atmosphere::{Category, category_from_um, first_year_loss_um};
    use proptest::prelude::*;

    #[test]
    fn distance_is_refused_in_the_surf_and_flagged_beyond_the_stations() {
        let error = sea_chloride_mg_m2_day(5.0).unwrap_err();
        assert!(error.remedy().contains("surf"));
        assert!(sea_chloride_mg_m2_day(f64::NAN).is_err());
        assert!(!sea_chloride_mg_m2_day(10.0).unwrap().extrapolated);
        assert!(sea_chloride_mg_m2_day(1e6).unwrap().extrapolated);
    }

    /// By hand: 400·e^-5 + 10·e^-0.5 = 2.69518 + 6.06531 at 50 m, 400·e^-1 + 10·e^-0.1 = 147.1518 + 9.0484 at 10 m.
    #[test]
    fn road_salt_is_splash_and_spray() {
        for (distance_m, deposition) in [(0.0, 410.0), (10.0, 156.2002), (50.0, 8.76049)] {
            let season = RoadSaltSeason::from_distance(5.0, distance_m).unwrap();
            assert!((season.season_chloride_mg_m2_day / deposition - 1.0).abs() < 1e-6, "{distance_m} m");
        }
    }

    #[test]
    fn the_decline_passes_through_its_published_points() {
        // independent: by hand, 26.9·0.1^-0.376 and 26.9·16^-0.376, 26.9·300^-0.376
        let at = |distance_m| sea_chloride_mg_m2_day(distance_m).unwrap();
        for (distance_m, median) in [(1000.0, 26.9), (100.0, 63.936), (16_000.0, 9.4843), (300_000.0, 3.1504)]
        {
            let got = at(distance_m).median_mg_m2_day;
            assert!((got / median - 1.0).abs() < 1e-4, "{distance_m}: {got}");
        }
        assert_eq!((at(900_000.0).extrapolated, at(900_001.0).extrapolated), (false, true));
    }

    #[test]
    fn the_edge_of_a_salted_road_is_c4_as_the_standard_describes_it() {
        // printed: ISO 9223:2012, table C.1 puts strong de-icing salt outdoors into C4
        let road = RoadSaltSeason::from_distance(5.0, 0.0).unwrap();
        let inputs = DoseInputs {
            temperature_c: 8.0,
            relative_humidity_pct: 80.0,
            so2_mg_m2_day: 4.0,
            chloride_mg_m2_day: combined_chloride_mg_m2_day(1.5, 0.0, road.annual_mean_mg_m2_day().unwrap())
                .unwrap(),
        };
        let loss = first_year_loss_um(StandardMetal::Steel, &inputs).unwrap();
        assert_eq!(category_from_um(StandardMetal::Steel, loss).unwrap(), Category::C4);
    }

    #[test]
    fn most_road_salt_lands_within_ten_metres_scaled_to_its_reach() {
        // the share of the splash in all that is deposited: 400·10 of 400·10 + 10·100
        let splash = ROAD_SPLASH_MG_M2_DAY * ROAD_SPLASH_DECLINE_M;
        let spray = ROAD_SPRAY_MG_M2_DAY * ROAD_SPRAY_DECLINE_M;
        let within_10_m = splash * (1.0 - (-1.0_f64).exp()) + spray * (1.0 - (-0.1_f64).exp());
        assert!(within_10_m / (splash + spray) > 0.5);
    }

    #[test]
    fn the_spread_of_the_loss_agrees_with_a_small_step() {
        // independent: numerical derivative of ln r in ln Sd
        let at = |chloride| DoseInputs {
            temperature_c: 14.0,
            relative_humidity_pct: 75.0,
            so2_mg_m2_day: 8.0,
            chloride_mg_m2_day: chloride,
        };
        for &metal in StandardMetal::ALL {
            let step = 1e-6_f64;
            let up = first_year_loss_um(metal, &at(40.0 * step.exp())).unwrap();
            let down = first_year_loss_um(metal, &at(40.0 * (-step).exp())).unwrap();
            let slope = (up / down).ln() / (2.0 * step);
            assert!((loss_log_sd_from_chloride(metal, &at(40.0), 1.0).unwrap() - slope).abs() < 1e-8);
        }
    }

    proptest! {
        #[test]
        fn farther_never_means_more_salt(a in 10.0..2e6_f64, b in 10.0..2e6_f64) {
            let (near, far) = if a <= b { (a, b) } else { (b, a) };
            prop_assert!(sea_chloride_mg_m2_day(near).unwrap().median_mg_m2_day
                >= sea_chloride_mg_m2_day(far).unwrap().median_mg_m2_day);
            prop_assert!(RoadSaltSeason::from_distance(4.0, near).unwrap().season_chloride_mg_m2_day
                >= RoadSaltSeason::from_distance(4.0, far).unwrap().season_chloride_mg_m2_day);
        }
    }
}
