//! A duty with everything filled in: what the brief left out, as the usual default, and said so.

use crate::atmosphere::Shelter;
use crate::atmosphere::{
    Atmosphere, DoseInputs, RoadSaltSeason, StandardMetal, category_loss_range, loss_log_sd_from_chloride,
    sea_chloride_mg_m2_day,
};
use crate::brief::{Brief, Duty, Failure, Handling, Sunlight};
use crate::catalog::{Catalog, Place};
use crate::error::{InvalidValue, invalid};
use crate::evidence::Source;
use crate::metal::{Coast, Crf, StainlessExposure, Washing, corrosion_resistance_factor};
use crate::{Error, Result};

/// Source of the step from chloride deposition to the chloride factor of stainless steel.
pub(crate) const CHLORIDE_CLASS_TO_RISK: Source = Source::assumption(
    "chloride deposition classes of ISO 9223 (3, 60, 300 mg/(m²·d)) laid beside the sea distances of EN \
     1993-1-4 Annex A (10 km, 1 km, 0.25 km)",
);

/// Spread of the first-year loss of one site between years: the one that was measured is not the one to come.
pub(crate) const YEAR_TO_YEAR: Source = Source::derived(
    "log standard deviation of about 0.17 between the yearly steel losses of one site in the ISO CORRAG \
     programme (Knotkova, Dean & Kreislova, ASTM DS71, 2010)",
);
pub(crate) const YEAR_TO_YEAR_LOG_SD: f64 = 0.17;

/// Source of the spread of the chloride of a described place.
pub(crate) const DESCRIBED_CHLORIDE: Source = Source::assumption(
    "the chloride deposition of a described place is off by a factor of two either way: ln SD 0.7",
);
const DESCRIBED_CHLORIDE_LOG_SD: f64 = 0.7;

/// Source of the salt of a place of which the loss of steel alone is known.
pub(crate) const SALT_BY_LOSS: Source = Source::assumption(
    "where only the loss of steel is known, salt is taken to cause it: 3 mg/(m²·d) of chloride at 10 µm in the first \
     year, in proportion to the loss to the power 1.75, which gives 80 at 65 µm; ln SD 1.5",
);
const SALT_BY_LOSS_LOG_SD: f64 = 1.5;

/// Source of how much of the year a hot part is cold where the brief says nothing.
pub(crate) const COLD_SHARE: Source = Source::assumption(
    "a hot part counts as wet as a cold one unless the brief says how much of the year it is cold: more heat alone must \
     not raise a probability",
);
/// `COLD_SHARE` as a number.
const USUAL_COLD_SHARE: f64 = 1.0;

/// Temperature taken where the brief gives no heat (assumption: warmest outdoor surface out of the sun); up to it heat
/// neither dries nor ages, °C.
pub(crate) const AMBIENT_C: f64 = 40.0;
/// How remarks on places beyond the dose-response function begin.
pub(crate) const OUTSIDE_VALIDITY: &str = "outside the validity of the dose-response function";

/// What the part sees in service, complete.
///
/// What the duty leaves out, each said in [`assumed`](Self::assumed):
///
/// | left out | taken |
/// | --- | --- |
/// | shelter | the place's, else open |
/// | rain wash | yes in the open, else no |
/// | sunlight | full in the open, else none |
/// | handling | none |
/// | lasting heat | 40 °C, or the peak if that is lower |
/// | peak heat | the lasting heat |
/// | cold share of the year of a part hotter than 40 °C | 1, no credit for dryness |
///
/// The atmosphere, best supported first: a measured loss (ln SD ln 1.02, and 0.17 between years); all four inputs, also beside
/// a place (dose response times its bias, ln SD 0.41); a place with its own range of loss, if no input, sea distance or road
/// salt is given; the place's inputs with single ones replaced (description, ln SD 0.7). An estimated chloride
/// adds its spread by [`loss_log_sd_from_chloride`].
///
/// The stainless class follows [`corrosion_resistance_factor`] with M = 20, 5, 0.5 or 0.1 km for chloride to 3, 60,
/// 300 or more mg/(m²·d), the nearer of it and the given sea distance, SO2 in µg/m³ = deposition/0.8, and washing
/// by rain or none; where neither chloride nor salt nor climate is known, no class is required. The share of
/// stainless surfaces that stains goes by the chloride itself; of a described place it has an ln SD of 0.7
/// (`DESCRIBED_CHLORIDE`), of a sea distance that of the estimate, measured none; where it is not known it is estimated
/// from the loss (`SALT_BY_LOSS`).
#[derive(Debug, Clone, PartialEq)]
pub struct Exposure {
    /// The atmosphere, as a first-year loss of plain steel with its spread.
    pub atmosphere: Atmosphere,
    /// Catalog name of the place, if one was named.
    pub place: Option<String>,
    /// Shelter from rain and sun.
    pub shelter: Shelter,
    /// Whether rain washes the part.
    pub rain_washed: bool,
    /// Sunlight on the part.
    pub sunlight: Sunlight,
    /// How often it is handled.
    pub handling: Handling,
    /// Lasting temperature of the part, °C.
    pub heat_continuous_c: f64,
    /// Peak temperature of the part, °C.
    pub heat_peak_c: f64,
    /// Annual mean chloride deposition, mg/(m²·d), where known.
    pub chloride_mg_m2_day: Option<f64>,
    /// The same, or where it is not known its estimate from the loss (`SALT_BY_LOSS`), mg/(m²·d).
    pub salt_mg_m2_day: f64,
    /// Standard deviation of its natural logarithm; 0 where it was measured.
    pub chloride_log_sd: f64,
    /// Share of the year in which a hot part is cold, 0 to 1.
    pub cold_share: f64,
    /// Whether temperature and humidity are controlled.
    pub climate_controlled: bool,
    /// What EN 1993-1-4 asks of stainless steel there, where enough is known.
    pub stainless: Option<Crf>,
    /// Years required.
    pub required_years: f64,
    /// What counts as failure.
    pub failure: Failure,
    /// What was assumed, one sentence each.
    pub assumed: Vec<String>,
    /// What was found odd, one sentence each.
    pub remarks: Vec<String>,
}

impl Exposure {
    /// Fills the duty of a brief.
    ///
    /// # Errors
    /// No way to an atmosphere, or more than one; a physically impossible input; an unknown place.
    pub fn of(brief: &Brief, catalog: &Catalog) -> Result<Self> {
        let mut found = Self::of_duty(&brief.duty, catalog).map_err(|e| e.within("duty"))?;
        let place = brief.duty.place.as_deref().and_then(|name| catalog.place(name).ok());
        found.remarks.extend(brief.oddities(place, catalog));
        Ok(found)
    }

    fn of_duty(duty: &Duty, catalog: &Catalog) -> Result<Self> {
        let mut assumed = Vec::new();
        let mut remarks = Vec::new();
        let place = duty.place.as_deref().map(|name| catalog.place(name)).transpose()?;
        let shelter = duty.shelter.unwrap_or_else(|| {
            let shelter = place.map_or(Shelter::Open, |p| p.shelter);
            assumed.push(format!("shelter: {shelter}{}", usual_there(place)));
            shelter
        });
        let rain_washed = duty.rain_washed.unwrap_or_else(|| {
            let washed = shelter == Shelter::Open;
            assumed
                .push(format!("{} by rain, since {shelter}", if washed { "washed" } else { "not washed" }));
            washed
        });
        let sunlight = duty.sunlight.unwrap_or_else(|| {
            let sunlight = if shelter == Shelter::Open { Sunlight::Full } else { Sunlight::None };
            let words = if sunlight == Sunlight::Full { "full sunlight" } else { "no sunlight" };
            assumed.push(format!("{words}, since {shelter}"));
            sunlight
        });
        let handling = duty.handling.unwrap_or_else(|| {
            assumed.push("not handled after assembly".to_owned());
            Handling::None
        });
        let heat_continuous_c = duty.heat_continuous_c.unwrap_or_else(|| {
            let ambient = duty.heat_peak_c.map_or(AMBIENT_C, |peak| peak.min(AMBIENT_C));
            assumed.push(format!("no heat: the part stays at or below {ambient} °C"));
            ambient
        });
        let heat_peak_c = duty.heat_peak_c.unwrap_or(heat_continuous_c);
        let cold_share = duty.cold_share.unwrap_or_else(|| {
            if heat_continuous_c > AMBIENT_C {
                assumed.push(
                    "no credit for dryness in the heat: enter `duty.cold_share`, the share of the year in which the \
                     part is cold"
                        .to_owned(),
                );
            }
            USUAL_COLD_SHARE
        });
        let (atmosphere, chloride) = air(duty, place, shelter, &mut assumed, &mut remarks)?;
        let bias = atmosphere.measured_over_computed;
        if (bias - 1.0).abs() >= 0.005 {
            assumed.push(format!(
                "steel loses {bias:.2} times the computed first-year loss, as measured at sites of such a temperature"
            ));
        }
        for extrapolation in &atmosphere.extrapolations {
            remarks.push(format!("{OUTSIDE_VALIDITY}: {extrapolation}"));
        }
        let chloride_mg_m2_day = chloride.map(|chloride| chloride.mg_m2_day);
        let (salt_mg_m2_day, chloride_log_sd) = match chloride {
            Some(chloride) => (chloride.mg_m2_day, chloride.log_sd),
            None => (3.0 * (atmosphere.first_year_steel_loss_um / 10.0).powf(1.75), SALT_BY_LOSS_LOG_SD),
        };
        let climate_controlled = place.is_some_and(|p| p.climate_controlled);
        let so2 = duty.so2_mg_m2_day.or(place.map(|p| p.so2_mg_m2_day.value));
        let stainless =
            stainless_demand(duty, chloride_mg_m2_day, so2, climate_controlled, rain_washed, &mut assumed)?;
        Ok(Self {
            atmosphere,
            place: duty.place.clone(),
            shelter,
            rain_washed,
            sunlight,
            handling,
            heat_continuous_c,
            heat_peak_c,
            chloride_mg_m2_day,
            salt_mg_m2_day,
            chloride_log_sd,
            cold_share,
            climate_controlled,
            stainless,
            required_years: duty.required_years,
            failure: duty.failure,
            assumed,
            remarks,
        })
    }
}

fn usual_there(place: Option<&Place>) -> &'static str {
    if place.is_some() { ", as usual in such a place" } else { "" }
}

/// Annual mean chloride deposition.
#[derive(Debug, Clone, Copy)]
struct Chloride {
    mg_m2_day: f64,
    /// Standard deviation of its logarithm where it is an estimate, which widens that of the loss.
    estimate_log_sd: f64,
    /// Standard deviation of its logarithm.
    log_sd: f64,
}

impl Chloride {
    fn described(place: &Place) -> Self {
        let mg_m2_day = place.chloride_mg_m2_day.value;
        Self { mg_m2_day, estimate_log_sd: 0.0, log_sd: DESCRIBED_CHLORIDE_LOG_SD }
    }
}

/// The atmosphere by the best supported way that the duty offers, and its chloride deposition where known.
fn air(
    duty: &Duty,
    place: Option<&Place>,
    shelter: Shelter,
    assumed: &mut Vec<String>,
    remarks: &mut Vec<String>,
) -> Result<(Atmosphere, Option<Chloride>)> {
    let given = [duty.temperature_c, duty.relative_humidity_pct, duty.so2_mg_m2_day, duty.chloride_mg_m2_day];
    let chloride = chloride(duty, place, assumed)?;
    if let Some(loss) = duty.first_year_steel_loss_um {
        if place.is_some() {
            remarks.push("the measured first-year loss is used, the described place only for shelter".into());
        }
        remark_salt("the measured first-year loss", duty, remarks);
        let atmosphere = Atmosphere::from_first_year_loss(loss)?.widened(YEAR_TO_YEAR_LOG_SD)?;
        return Ok((atmosphere, chloride));
    }
    if let Some(category) = duty.corrosivity
        && let Some(range) = category_loss_range(StandardMetal::Steel, category)
    {
        if place.is_some() {
            remarks.push(format!(
                "the corrosivity {category} is used, the described place only for shelter and salt"
            ));
        }
        remark_salt(&format!("the corrosivity {category}"), duty, remarks);
        return Ok((Atmosphere::from_loss_range_um(range.low_um, range.high_um)?, chloride));
    }
    let Some(place) = place else {
        let names = ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day"];
        let (Some(temperature_c), Some(relative_humidity_pct), Some(so2_mg_m2_day), Some(chloride)) =
            (duty.temperature_c, duty.relative_humidity_pct, duty.so2_mg_m2_day, chloride)
        else {
            let missing: Vec<&str> =
                names.iter().zip(given).filter(|(_, value)| value.is_none()).map(|(name, _)| *name).collect();
            return Err(invalid(
                "place",
                "missing",
                "a described place, or corrosivity, or first_year_steel_loss_um, or all of temperature_c, \
                 relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day",
                &format!("Name a place or add {}.", missing.join(", ")),
            ));
        };
        let inputs = DoseInputs {
            temperature_c,
            relative_humidity_pct,
            so2_mg_m2_day,
            chloride_mg_m2_day: chloride.mg_m2_day,
        };
        let atmosphere = widened(Atmosphere::from_inputs(inputs)?, &inputs, chloride.estimate_log_sd)?;
        remark_indoors(shelter, remarks);
        return Ok((atmosphere, Some(chloride)));
    };
    let own = given.iter().any(Option::is_some) || duty.sea_distance_m.is_some() || duty.road_salt.is_some();
    match &place.first_year_steel_loss_um {
        Some(range) if !own => {
            let atmosphere = Atmosphere::from_described_range_um(range.low, range.high)?;
            Ok((atmosphere, Some(Chloride::described(place))))
        }
        Some(_) if place.shelter == Shelter::Indoor => Err(invalid(
            "place",
            duty.place.as_deref().unwrap_or_default(),
            "an outdoor place, when single inputs, a sea distance or road salt are given",
            "The loss indoors is not a function of outdoor inputs: leave them out or enter a measured loss.",
        )),
        range => {
            let chloride = chloride.unwrap_or_else(|| Chloride::described(place));
            let inputs = DoseInputs {
                temperature_c: duty.temperature_c.unwrap_or(place.temperature_c.value),
                relative_humidity_pct: duty
                    .relative_humidity_pct
                    .unwrap_or(place.relative_humidity_pct.value),
                so2_mg_m2_day: duty.so2_mg_m2_day.unwrap_or(place.so2_mg_m2_day.value),
                chloride_mg_m2_day: chloride.mg_m2_day,
            };
            let all_given = given.iter().all(Option::is_some);
            let atmosphere = match range {
                _ if all_given => Atmosphere::from_inputs(inputs)?,
                // What the inputs given change of the place, on the loss that is known of such places.
                Some(range) => Atmosphere::from_described_range_um(range.low, range.high)?
                    .moved(&place.inputs(), inputs)?,
                None => Atmosphere::from_inputs_described(inputs)?,
            };
            remark_indoors(shelter, remarks);
            Ok((widened(atmosphere, &inputs, chloride.estimate_log_sd)?, Some(chloride)))
        }
    }
}

/// Salt beside a loss or category that is given: it moves neither.
fn remark_salt(given: &str, duty: &Duty, remarks: &mut Vec<String>) {
    let beside = [("road_salt", duty.road_salt.is_some()), ("sea_distance_m", duty.sea_distance_m.is_some())];
    let beside: Vec<&str> = beside.into_iter().filter(|(_, given)| *given).map(|(name, _)| name).collect();
    if !beside.is_empty() {
        remarks.push(format!(
            "{given} is used for the loss of steel, and {} not: it counts as salt on films, stainless steel and metals in \
             contact alone",
            beside.join(" and ")
        ));
    }
}

fn remark_indoors(shelter: Shelter, remarks: &mut Vec<String>) {
    if shelter == Shelter::Indoor {
        remarks.push(
            "the dose-response function is for outdoor air; indoors it overstates the loss: name an indoor place or \
             give a measured loss"
                .into(),
        );
    }
}

/// The error of an estimate by distance, by the name that the brief has for it.
fn by_sea_distance(error: Error) -> Error {
    match error {
        Error::Value(value) => InvalidValue { field: "sea_distance_m".into(), ..value }.into(),
        other => other,
    }
}

/// Adds the spread of an estimated chloride deposition to that of the loss.
fn widened(atmosphere: Atmosphere, inputs: &DoseInputs, chloride_log_sd: f64) -> Result<Atmosphere> {
    atmosphere.widened(loss_log_sd_from_chloride(StandardMetal::Steel, inputs, chloride_log_sd)?)
}

/// Annual mean chloride deposition with its ln SD: measured, or the place's background with what sea and
/// road add.
fn chloride(duty: &Duty, place: Option<&Place>, assumed: &mut Vec<String>) -> Result<Option<Chloride>> {
    let sea = match (duty.chloride_mg_m2_day, duty.sea_distance_m) {
        (None, Some(distance_m)) => {
            let estimate = sea_chloride_mg_m2_day(distance_m).map_err(by_sea_distance)?;
            assumed.push(format!(
                "chloride from the sea {distance_m} m away: {:.0} mg/(m²·d), within a factor {:.1} either way",
                estimate.median_mg_m2_day,
                estimate.log_sd.exp()
            ));
            Some(estimate)
        }
        _ => None,
    };
    let road = match &duty.road_salt {
        Some(salt) => {
            let season = match salt.season_chloride_mg_m2_day {
                Some(season_chloride_mg_m2_day) => {
                    RoadSaltSeason { months_per_year: salt.months_per_year, season_chloride_mg_m2_day }
                }
                None => RoadSaltSeason::from_distance(salt.months_per_year, salt.distance_m.unwrap_or(0.0))?,
            };
            let mean = season.annual_mean_mg_m2_day()?;
            let doubt = match salt.season_chloride_mg_m2_day {
                Some(_) => "",
                None => {
                    "; true within a factor of 2.7 either way, which the range of the years does not contain"
                }
            };
            assumed.push(format!(
                "chloride from salted roads: {:.0} mg/(m²·d) in {} months, {mean:.0} as annual mean{doubt}",
                season.season_chloride_mg_m2_day, season.months_per_year
            ));
            mean
        }
        None => 0.0,
    };
    // A place that stands for salted roads brings their dose itself; a season of one's own replaces it.
    let of_place = |p: &Place| {
        if duty.road_salt.is_some() && p.road_salt_months.is_some() {
            0.0
        } else {
            p.chloride_mg_m2_day.value
        }
    };
    let background = match (duty.chloride_mg_m2_day, &sea) {
        (Some(measured), _) => Some(measured),
        // the sea stands for the salt of the place, but for that of its roads
        (None, Some(estimate)) => {
            let roads = place.filter(|p| p.road_salt_months.is_some()).map_or(0.0, of_place);
            Some(estimate.median_mg_m2_day + roads)
        }
        (None, None) => place.map(of_place),
    };
    let estimate_log_sd = sea.map_or(0.0, |estimate| estimate.log_sd);
    let described = duty.chloride_mg_m2_day.is_none() && duty.sea_distance_m.is_none();
    Ok(background.map(|b| Chloride {
        mg_m2_day: b + road,
        estimate_log_sd,
        log_sd: if described { DESCRIBED_CHLORIDE_LOG_SD } else { estimate_log_sd },
    }))
}

/// The corrosion resistance class that EN 1993-1-4 asks for.
fn stainless_demand(
    duty: &Duty,
    chloride_mg_m2_day: Option<f64>,
    so2_mg_m2_day: Option<f64>,
    climate_controlled: bool,
    rain_washed: bool,
    assumed: &mut Vec<String>,
) -> Result<Option<Crf>> {
    if chloride_mg_m2_day.is_none()
        && duty.sea_distance_m.is_none()
        && duty.road_salt.is_none()
        && !climate_controlled
    {
        return Ok(None);
    }
    // ISO 9223 gives Pd = 0.8 Pc between deposition and concentration.
    let so2_ug_m3 = so2_mg_m2_day.unwrap_or(0.0) / 0.8;
    let by_deposition = chloride_mg_m2_day.map(|chloride| match chloride {
        c if c <= 3.0 => 20_000.0,
        c if c <= 60.0 => 5_000.0,
        c if c <= 300.0 => 500.0,
        _ => 100.0,
    });
    if by_deposition.is_some() && duty.sea_distance_m.is_none() && !climate_controlled {
        assumed.push(
            "stainless steel: the distance to the sea is estimated from the chloride deposition".to_owned(),
        );
    }
    let exposure = StainlessExposure {
        sea_distance_m: [by_deposition, duty.sea_distance_m].into_iter().flatten().reduce(f64::min),
        coast: Coast::Other,
        salted_road_distance_m: duty.road_salt.as_ref().map(|salt| salt.distance_m.unwrap_or(0.0)),
        road_tunnel: false,
        indoor_controlled: climate_controlled,
        so2_ug_m3: so2_ug_m3.min(250.0),
        washing: if rain_washed { Washing::Rain } else { Washing::None },
    };
    corrosion_resistance_factor(&exposure).map(Some)
}
