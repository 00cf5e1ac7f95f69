//! The numbers of a duty that a what-if moves.

use crate::Result;
use crate::brief::{Brief, Duty, Field, RoadSalt};
use crate::error::{by_word, invalid};

/// A number of the duty, by the name that it has in a brief.
///
/// ```
/// use overcoat::study::Input;
/// let input = Input::of("chloride_mg_m2_day")?;
/// assert_eq!((input, input.unit()), (Input::Chloride, "mg/(m²·d)"));
/// let error = Input::of("chloride_mg_m2").unwrap_err();
/// assert!(error.to_string().contains("did you mean \"chloride_mg_m2_day\"?"));
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Input {
    /// Annual mean air temperature, °C.
    Temperature,
    /// Annual mean relative humidity, %.
    RelativeHumidity,
    /// Annual mean SO2 deposition, mg/(m²·d).
    So2,
    /// Annual mean chloride deposition, mg/(m²·d).
    Chloride,
    /// Measured first-year loss of plain steel, µm.
    FirstYearSteelLoss,
    /// Distance to the sea, m.
    SeaDistance,
    /// Months a year with salted roads.
    SaltMonths,
    /// Distance to the edge of a salted road, m.
    RoadDistance,
    /// Chloride deposition beside the road in its season, mg/(m²·d).
    SeasonChloride,
    /// Temperature of the part for long, °C.
    HeatContinuous,
    /// Highest temperature of the part for minutes, °C.
    HeatPeak,
    /// Share of the year in which a hot part is cold.
    ColdShare,
    /// Surface of the mating metal over that of the part.
    MatingAreaRatio,
    /// Years that it shall last.
    RequiredYears,
}

impl Input {
    /// All of them.
    pub const ALL: &'static [Self] = &[
        Self::Temperature,
        Self::RelativeHumidity,
        Self::So2,
        Self::Chloride,
        Self::FirstYearSteelLoss,
        Self::SeaDistance,
        Self::SaltMonths,
        Self::RoadDistance,
        Self::SeasonChloride,
        Self::HeatContinuous,
        Self::HeatPeak,
        Self::ColdShare,
        Self::MatingAreaRatio,
        Self::RequiredYears,
    ];

    /// Its path in the duty of a brief.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Temperature => "temperature_c",
            Self::RelativeHumidity => "relative_humidity_pct",
            Self::So2 => "so2_mg_m2_day",
            Self::Chloride => "chloride_mg_m2_day",
            Self::FirstYearSteelLoss => "first_year_steel_loss_um",
            Self::SeaDistance => "sea_distance_m",
            Self::SaltMonths => "road_salt.months_per_year",
            Self::RoadDistance => "road_salt.distance_m",
            Self::SeasonChloride => "road_salt.season_chloride_mg_m2_day",
            Self::HeatContinuous => "heat_continuous_c",
            Self::HeatPeak => "heat_peak_c",
            Self::ColdShare => "cold_share",
            Self::MatingAreaRatio => "mating_area_ratio",
            Self::RequiredYears => "required_years",
        }
    }

    /// Its unit; empty for a ratio.
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Temperature | Self::HeatContinuous | Self::HeatPeak => "°C",
            Self::RelativeHumidity => "%",
            Self::So2 | Self::Chloride | Self::SeasonChloride => "mg/(m²·d)",
            Self::FirstYearSteelLoss => "µm",
            Self::SeaDistance | Self::RoadDistance => "m",
            Self::SaltMonths => "months",
            Self::ColdShare | Self::MatingAreaRatio => "",
            Self::RequiredYears => "years",
        }
    }

    /// The input of a name.
    ///
    /// # Errors
    /// A name that is none.
    pub fn of(name: &str) -> Result<Self> {
        by_word("input", name, Self::ALL, Self::name, "Name a number of the duty.")
            .map_err(Field::with_the_one_meant)
    }

    /// Whether it counts by its ratios, as a deposition does, rather than by its differences.
    pub(super) const fn counts_by_ratio(self) -> bool {
        !matches!(
            self,
            Self::Temperature
                | Self::RelativeHumidity
                | Self::HeatContinuous
                | Self::HeatPeak
                | Self::ColdShare
                | Self::SaltMonths
        )
    }

    /// Puts a value into a duty.
    fn set(self, duty: &mut Duty, value: f64) -> Result<()> {
        match self {
            Self::Temperature => duty.temperature_c = Some(value),
            Self::RelativeHumidity => duty.relative_humidity_pct = Some(value),
            Self::So2 => duty.so2_mg_m2_day = Some(value),
            Self::Chloride => duty.chloride_mg_m2_day = Some(value),
            Self::FirstYearSteelLoss => duty.first_year_steel_loss_um = Some(value),
            Self::SeaDistance => duty.sea_distance_m = Some(value),
            Self::HeatContinuous => duty.heat_continuous_c = Some(value),
            Self::HeatPeak => duty.heat_peak_c = Some(value),
            Self::ColdShare => duty.cold_share = Some(value),
            Self::MatingAreaRatio => duty.mating_area_ratio = Some(value),
            Self::RequiredYears => duty.required_years = value,
            Self::SaltMonths => {
                let salt = duty.road_salt.get_or_insert(RoadSalt {
                    months_per_year: value,
                    distance_m: None,
                    season_chloride_mg_m2_day: None,
                });
                salt.months_per_year = value;
            }
            Self::RoadDistance | Self::SeasonChloride => {
                let Some(salt) = &mut duty.road_salt else {
                    return Err(invalid(
                        "duty.road_salt",
                        "missing",
                        "the months of salted roads",
                        "Give road_salt.months_per_year before what depends on it.",
                    ));
                };
                if self == Self::RoadDistance {
                    salt.distance_m = Some(value);
                } else {
                    salt.season_chloride_mg_m2_day = Some(value);
                }
            }
        }
        Ok(())
    }
}

/// A brief with some inputs set, checked.
pub(super) fn with_inputs(brief: &Brief, settings: &[(Input, f64)]) -> Result<Brief> {
    let mut moved = brief.clone();
    for (input, value) in settings {
        input.set(&mut moved.duty, *value)?;
    }
    // the whole brief was checked before it was moved; away from it a measured loss and the inputs part ways
    moved.check_fields()?;
    Ok(moved)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn brief() -> Brief {
        Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
                "duty": {"place": "rural", "required_years": 5, "road_salt": {"months_per_year": 4}}}"#,
        )
        .unwrap()
    }

    #[test]
    fn each_input_reaches_the_field_of_its_name() {
        for &input in Input::ALL {
            let value = if input == Input::ColdShare { 0.5 } else { 7.5 };
            let moved = with_inputs(&brief(), &[(input, value)]).unwrap();
            let document: serde_json::Value = serde_json::from_str(&moved.to_json()).unwrap();
            let field = input.name().split('.').fold(&document["duty"], |at, name| &at[name]);
            assert_eq!(field.as_f64(), Some(value), "{}", input.name());
        }
    }

    #[test]
    fn each_input_has_its_unit_and_its_scale() {
        let units = [
            "°C",
            "%",
            "mg/(m²·d)",
            "mg/(m²·d)",
            "µm",
            "m",
            "months",
            "m",
            "mg/(m²·d)",
            "°C",
            "°C",
            "",
            "",
            "years",
        ];
        assert_eq!(Input::ALL.iter().map(|input| input.unit()).collect::<Vec<_>>(), units);
        for input in [Input::Chloride, Input::SeaDistance, Input::MatingAreaRatio, Input::RequiredYears] {
            assert!(input.counts_by_ratio(), "{input:?}");
        }
        for input in [Input::Temperature, Input::RelativeHumidity, Input::HeatPeak, Input::SaltMonths] {
            assert!(!input.counts_by_ratio(), "{input:?}");
        }
    }

    #[test]
    fn a_value_that_no_place_has_is_refused_by_its_field() {
        for value in [f64::NAN, f64::INFINITY, -1.0] {
            let error = with_inputs(&brief(), &[(Input::Chloride, value)]).unwrap_err();
            assert_eq!(error.field(), "duty.chloride_mg_m2_day");
        }
        let mut plain = brief();
        plain.duty.road_salt = None;
        let error = with_inputs(&plain, &[(Input::RoadDistance, 5.0)]).unwrap_err();
        assert_eq!(error.field(), "duty.road_salt");
    }
}
