//! What the part sees in service.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::atmosphere::Shelter;
use crate::atmosphere::{Category, DoseInputs};
use crate::brief::MOST_METALS;
use crate::error::{at_most, invalid, within};

/// The duty. The atmosphere is given in one of four ways, the best supported that is known: measured first-year
/// loss, the four inputs of the dose-response function, a corrosivity category, or a described place; single
/// inputs override those of a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Duty {
    /// Catalog name of a described place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Measured first-year loss of plain steel, µm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_year_steel_loss_um: Option<f64>,
    /// Corrosivity category of ISO 9223 for steel, `C1` to `CX`, in place of measured values: the geometric middle of its
    /// bounds, which are taken as 10 and 90% points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrosivity: Option<Category>,
    /// Annual mean air temperature, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
    /// Annual mean relative humidity, %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relative_humidity_pct: Option<f64>,
    /// Annual mean SO2 deposition, mg/(m²·d).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub so2_mg_m2_day: Option<f64>,
    /// Annual mean chloride deposition, mg/(m²·d).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chloride_mg_m2_day: Option<f64>,
    /// Distance to the sea, m; adds its chloride where none was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sea_distance_m: Option<f64>,
    /// Salted roads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub road_salt: Option<RoadSalt>,
    /// Shelter from rain and sun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shelter: Option<Shelter>,
    /// Whether rain washes the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain_washed: Option<bool>,
    /// Sunlight on the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sunlight: Option<Sunlight>,
    /// How often it is handled or wiped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handling: Option<Handling>,
    /// Temperature of the part for long, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_continuous_c: Option<f64>,
    /// Highest temperature for minutes, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_peak_c: Option<f64>,
    /// Share of the year in which a part that is hot for long is cold, 0 to 1: water is on it only then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cold_share: Option<f64>,
    /// Whether it is welded after finishing.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub welded_after_finishing: bool,
    /// Catalog names of the metals it touches in service.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub mating_metals: Vec<String>,
    /// Surface of the mating metal over that of the part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mating_area_ratio: Option<f64>,
    /// Years that the parts must last.
    pub required_years: f64,
    /// What counts as failure.
    #[serde(default)]
    pub failure: Failure,
}

impl Duty {
    /// A duty of so many years and nothing else: set what is known, first of all the atmosphere.
    ///
    /// ```
    /// use overcoat::{Brief, Catalog, Duty, Form, Part, rank};
    /// let part = Part { form: Some(Form::Bracket), mass_g: Some(300.0), surface_dm2: Some(2.5), ..Part::default() };
    /// let duty = Duty { place: Some("coastal".to_owned()), ..Duty::new(5.0) };
    /// let ranking = rank(&Brief::new("deck fitting", part, duty), Catalog::built_in())?;
    /// assert!(ranking.best().is_some());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn new(required_years: f64) -> Self {
        Self {
            place: None,
            first_year_steel_loss_um: None,
            corrosivity: None,
            temperature_c: None,
            relative_humidity_pct: None,
            so2_mg_m2_day: None,
            chloride_mg_m2_day: None,
            sea_distance_m: None,
            road_salt: None,
            shelter: None,
            rain_washed: None,
            sunlight: None,
            handling: None,
            heat_continuous_c: None,
            heat_peak_c: None,
            cold_share: None,
            welded_after_finishing: false,
            mating_metals: Vec::new(),
            mating_area_ratio: None,
            required_years,
            failure: Failure::default(),
        }
    }
}

/// Roads salted in winter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RoadSalt {
    /// Months a year with salted roads.
    pub months_per_year: f64,
    /// Distance to the edge of the road, m; 0 on a vehicle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_m: Option<f64>,
    /// Chloride deposition in the season, mg/(m²·d), where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub season_chloride_mg_m2_day: Option<f64>,
}

/// Sunlight on the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Sunlight {
    /// None.
    None,
    /// Some hours a day, or from one side.
    Partial,
    /// All day.
    Full,
}

impl Sunlight {
    /// Share of full sunlight (assumption: half for partial).
    pub fn share(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Partial => 0.5,
            Self::Full => 1.0,
        }
    }
}

/// How often a part is handled or wiped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Handling {
    /// Never after assembly.
    None,
    /// At service.
    Occasional,
    /// Daily.
    Frequent,
}

impl Handling {
    /// Share of frequent handling (assumption: a third for occasional).
    pub fn share(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Occasional => 1.0 / 3.0,
            Self::Frequent => 1.0,
        }
    }
}

/// What counts as failure.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Failure {
    /// The first red rust that one sees.
    #[default]
    FirstRust,
    /// A share of the surface rusted, %.
    RustedAreaPct(f64),
    /// A loss of metal after first rust, µm.
    LossUm(f64),
    /// A share of the strength of the threaded section lost, %.
    StrengthLossPct(f64),
}

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::FirstRust => f.write_str("first rust"),
            Self::RustedAreaPct(share) => write!(f, "{share}% of the surface rusted"),
            Self::LossUm(loss) => write!(f, "{loss} µm of metal lost"),
            Self::StrengthLossPct(share) => write!(f, "{share}% of the thread's strength lost"),
        }
    }
}

impl Duty {
    pub(super) fn check(&self) -> Result<()> {
        let mean = "Enter the annual mean in the unit of the field's name.";
        let celsius = "Enter the temperature of the part in °C, not °F.";
        let salt = self.road_salt.as_ref();
        let fields = [
            (
                "required_years",
                Some(self.required_years),
                0.01,
                100.0,
                "years",
                "Enter the years that the parts must last.",
            ),
            (
                "first_year_steel_loss_um",
                self.first_year_steel_loss_um,
                1e-6,
                5000.0,
                "µm",
                "Enter the measured loss of the first year in µm.",
            ),
            ("so2_mg_m2_day", self.so2_mg_m2_day, 0.0, 5000.0, "mg/(m²·d)", mean),
            ("chloride_mg_m2_day", self.chloride_mg_m2_day, 0.0, 20_000.0, "mg/(m²·d)", mean),
            ("sea_distance_m", self.sea_distance_m, 0.0, 5e6, "m", "Enter the distance to the shore in m."),
            ("heat_continuous_c", self.heat_continuous_c, -200.0, 1200.0, "°C", celsius),
            ("heat_peak_c", self.heat_peak_c, -200.0, 1600.0, "°C", celsius),
            (
                "cold_share",
                self.cold_share,
                0.0,
                1.0,
                "",
                "Enter the share of the year in which the part is cold, 0.1 for a tenth.",
            ),
            (
                "mating_area_ratio",
                self.mating_area_ratio,
                1e-6,
                1e6,
                "",
                "Enter the surface of the mating metal over that of the part.",
            ),
            (
                "road_salt.months_per_year",
                salt.map(|s| s.months_per_year),
                0.0,
                12.0,
                "months",
                "Enter the months a year with salted roads.",
            ),
            (
                "road_salt.distance_m",
                salt.and_then(|s| s.distance_m),
                0.0,
                1e5,
                "m",
                "Enter the distance to the edge of the road in m.",
            ),
            (
                "road_salt.season_chloride_mg_m2_day",
                salt.and_then(|s| s.season_chloride_mg_m2_day),
                0.0,
                20_000.0,
                "mg/(m²·d)",
                "Enter the mean of the season.",
            ),
        ];
        for (field, value, low, high, unit, remedy) in fields {
            if let Some(value) = value {
                within(field, value, low, high, unit, remedy)?;
            }
        }
        if let (Some(continuous), Some(peak)) = (self.heat_continuous_c, self.heat_peak_c)
            && peak < continuous
        {
            return Err(invalid(
                "heat_peak_c",
                peak,
                &format!("heat_continuous_c ({continuous} °C) or more"),
                "The peak cannot be below the lasting temperature: swap the two or leave the peak out.",
            ));
        }
        at_most("mating_metals", self.mating_metals.len(), MOST_METALS)?;
        self.possible_air()?;
        self.failure.check()
    }

    /// Rejects what no place can have, even where a better supported way to the atmosphere makes it superfluous. Inputs
    /// left out are filled with possible ones.
    fn possible_air(&self) -> Result<()> {
        if let Some(humidity) = self.relative_humidity_pct.filter(|humidity| is_fraction(*humidity)) {
            return Err(invalid(
                "relative_humidity_pct",
                humidity,
                "more than 1 up to 100%, or 0",
                "Enter the humidity in percent: 75, not 0.75.",
            ));
        }
        DoseInputs {
            temperature_c: self.temperature_c.unwrap_or(10.0),
            relative_humidity_pct: self.relative_humidity_pct.unwrap_or(70.0),
            so2_mg_m2_day: self.so2_mg_m2_day.unwrap_or(0.0),
            chloride_mg_m2_day: self.chloride_mg_m2_day.unwrap_or(0.0),
        }
        .checked()
    }
}

/// Whether an annual mean of the relative humidity is a fraction and not in percent (assumption: the driest deserts
/// have more than 10%; 0 reads the same in both).
pub(crate) fn is_fraction(relative_humidity_pct: f64) -> bool {
    relative_humidity_pct > 0.0 && relative_humidity_pct <= 1.0
}

impl Failure {
    fn check(self) -> Result<()> {
        let (field, value, low, high, unit, remedy) = match self {
            Self::FirstRust => return Ok(()),
            Self::RustedAreaPct(share) => (
                "failure.rusted_area_pct",
                share,
                0.05,
                50.0,
                "%",
                "Enter the share of the surface that may rust.",
            ),
            Self::LossUm(loss) => (
                "failure.loss_um",
                loss,
                0.01,
                20_000.0,
                "µm",
                "Enter the depth of metal that the part can give away.",
            ),
            Self::StrengthLossPct(share) => (
                "failure.strength_loss_pct",
                share,
                0.1,
                90.0,
                "%",
                "Enter the share of the strength that the joint can give away.",
            ),
        };
        within(field, value, low, high, unit, remedy).map(|_| ())
    }
}
