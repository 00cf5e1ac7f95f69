//! Why a row has no result, or a weaker one.

#![expect(
    clippy::inline_always,
    reason = "a function takes its caller's instruction set only by being inlined"
)]

use serde::{Deserialize, Serialize};

use crate::atmosphere::Shelter;
use crate::atmosphere::dose_response::TEMPERATURE_RANGE_C;
use crate::atmosphere::{VALIDITY, ValidityInterval};
use crate::brief::is_fraction;
use crate::error::words;
use crate::rank::{RankedOption, Ranking};

/// What became of a row, or of one build at it: computed, computed with a reservation, or not computed and why.
///
/// ```
/// use overcoat::study::Reason;
/// assert!(Reason::Extrapolated.has_result());
/// assert!(!Reason::So2OutOfRange.has_result());
/// assert_eq!("so2_out_of_range".parse::<Reason>().unwrap(), Reason::So2OutOfRange);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Reason {
    /// Computed.
    #[default]
    Ok,
    /// Computed, but an input is outside the validity of the dose-response function, or the part stands
    /// indoors, where the function, which is for outdoor air, overstates the loss.
    Extrapolated,
    /// No temperature.
    TemperatureMissing,
    /// A temperature that no place has as annual mean.
    TemperatureOutOfRange,
    /// No humidity.
    HumidityMissing,
    /// A humidity outside 0 to 100%, or a fraction instead of percent.
    HumidityOutOfRange,
    /// No SO2 deposition.
    So2Missing,
    /// An SO2 deposition outside 0 to 5000 mg/(m²·d).
    So2OutOfRange,
    /// No chloride deposition.
    ChlorideMissing,
    /// A chloride deposition outside 0 to 20 000 mg/(m²·d).
    ChlorideOutOfRange,
    /// No required years.
    RequiredYearsMissing,
    /// Required years outside 0.01 to 100.
    RequiredYearsOutOfRange,
    /// No shelter, or a word that is none.
    ShelterUnknown,
    /// Indoors, where the brief tells of rain or full sun.
    ShelterRefused,
    /// Computed, but the required years lie beyond the longest life observed of such a build: the probability of it only
    /// orders builds and must not be quoted, and the brief is not met.
    OkBeyondEvidence,
    /// The same of a row that is extrapolated.
    ExtrapolatedBeyondEvidence,
}

/// What a row brings, filled in from the brief.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RowInputs {
    pub(crate) temperature_c: f64,
    pub(crate) relative_humidity_pct: f64,
    pub(crate) so2_mg_m2_day: f64,
    /// As measured at the row.
    pub(crate) chloride_mg_m2_day: f64,
    /// With what salted roads add.
    pub(crate) total_chloride_mg_m2_day: f64,
    pub(crate) required_years: f64,
    pub(crate) shelter: Option<Shelter>,
    /// Whether the brief tells of rain or full sun, which do not reach a part indoors.
    pub(crate) in_weather: bool,
}

// The bounds that a duty has (see `Duty` in `crate::brief`); a test holds the two together.
const SO2_BOUND: f64 = 5000.0;
const CHLORIDE_BOUND: f64 = 20_000.0;
const YEARS_BOUNDS: (f64, f64) = (0.01, 100.0);

impl RowInputs {
    /// Whether all numbers are where the functions were fitted; free of branches, for many rows at a time.
    #[inline(always)]
    #[expect(
        clippy::needless_bitwise_bool,
        reason = "branches would keep it from running over many rows at a time"
    )]
    pub(crate) fn numbers_are_usual(&self) -> bool {
        let [for_t, for_rh, for_so2, for_chloride] = VALIDITY;
        let (least, most) = YEARS_BOUNDS;
        let within = |interval: ValidityInterval, x: f64| (x >= interval.low) & (x <= interval.high);
        within(for_t, self.temperature_c)
            & within(for_rh, self.relative_humidity_pct)
            & within(for_so2, self.so2_mg_m2_day)
            & within(for_chloride, self.total_chloride_mg_m2_day)
            & (self.chloride_mg_m2_day >= 0.0)
            & (self.required_years >= least)
            & (self.required_years <= most)
    }
}

words! {
    Reason, "reason", "Name one of them.";
    Ok = "ok",
    Extrapolated = "extrapolated",
    TemperatureMissing = "temperature_missing",
    TemperatureOutOfRange = "temperature_out_of_range",
    HumidityMissing = "humidity_missing",
    HumidityOutOfRange = "humidity_out_of_range",
    So2Missing = "so2_missing",
    So2OutOfRange = "so2_out_of_range",
    ChlorideMissing = "chloride_missing",
    ChlorideOutOfRange = "chloride_out_of_range",
    RequiredYearsMissing = "required_years_missing",
    RequiredYearsOutOfRange = "required_years_out_of_range",
    ShelterUnknown = "shelter_unknown",
    ShelterRefused = "shelter_refused",
    OkBeyondEvidence = "ok_beyond_evidence",
    ExtrapolatedBeyondEvidence = "extrapolated_beyond_evidence",
}

impl Reason {
    /// Whether the row has results.
    pub const fn has_result(self) -> bool {
        self.is_extrapolated() || matches!(self, Self::Ok | Self::OkBeyondEvidence)
    }

    /// Whether the row has results outside the validity of the dose-response function.
    pub const fn is_extrapolated(self) -> bool {
        matches!(self, Self::Extrapolated | Self::ExtrapolatedBeyondEvidence)
    }

    /// That of an option of a ranking.
    pub fn of_option(ranking: &Ranking, option: &RankedOption) -> Self {
        let of_place = if ranking.atmosphere.extrapolated { Self::Extrapolated } else { Self::Ok };
        of_place.judged(option.outlook.found().is_beyond_evidence(ranking.brief.duty.required_years))
    }

    /// The reason of a row for one of its builds.
    #[inline(always)]
    pub(crate) fn judged(self, beyond_evidence: bool) -> Self {
        match self {
            Self::Ok if beyond_evidence => Self::OkBeyondEvidence,
            Self::Extrapolated if beyond_evidence => Self::ExtrapolatedBeyondEvidence,
            reason => reason,
        }
    }

    #[inline(always)]
    pub(crate) fn of(row: &RowInputs, numbers_are_usual: bool) -> Self {
        let usual = numbers_are_usual && matches!(row.shelter, Some(Shelter::Open | Shelter::Sheltered));
        if usual { Self::Ok } else { Self::of_unusual(row) }
    }

    #[cold]
    fn of_unusual(row: &RowInputs) -> Self {
        let (coldest, hottest) = TEMPERATURE_RANGE_C;
        let (least, most) = YEARS_BOUNDS;
        for (value, low, high, missing, out_of_range) in [
            (row.temperature_c, coldest, hottest, Self::TemperatureMissing, Self::TemperatureOutOfRange),
            (row.relative_humidity_pct, 0.0, 100.0, Self::HumidityMissing, Self::HumidityOutOfRange),
            (row.so2_mg_m2_day, 0.0, SO2_BOUND, Self::So2Missing, Self::So2OutOfRange),
            (row.chloride_mg_m2_day, 0.0, CHLORIDE_BOUND, Self::ChlorideMissing, Self::ChlorideOutOfRange),
            (row.required_years, least, most, Self::RequiredYearsMissing, Self::RequiredYearsOutOfRange),
        ] {
            if value.is_nan() {
                return missing;
            }
            if !(low..=high).contains(&value) {
                return out_of_range;
            }
        }
        if is_fraction(row.relative_humidity_pct) {
            return Self::HumidityOutOfRange;
        }
        match row.shelter {
            None => Self::ShelterUnknown,
            Some(Shelter::Indoor) if row.in_weather => Self::ShelterRefused,
            Some(_) => Self::Extrapolated,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::Brief;

    const USUAL: RowInputs = RowInputs {
        temperature_c: 10.0,
        relative_humidity_pct: 75.0,
        so2_mg_m2_day: 5.0,
        chloride_mg_m2_day: 3.0,
        total_chloride_mg_m2_day: 3.0,
        required_years: 5.0,
        shelter: Some(Shelter::Open),
        in_weather: false,
    };

    fn reason_of(row: &RowInputs) -> Reason {
        Reason::of(row, row.numbers_are_usual())
    }

    #[test]
    fn the_place_in_the_list_is_the_code() {
        assert!(Reason::ALL.iter().enumerate().all(|(place, reason)| *reason as usize == place));
    }

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for (code, &reason) in Reason::ALL.iter().enumerate() {
            assert_eq!(reason as usize, code);
            assert_eq!(serde_json::to_string(&reason).unwrap(), format!("\"{reason}\""));
            assert_eq!(reason.to_string().parse::<Reason>().unwrap(), reason);
        }
    }

    #[test]
    fn a_row_is_refused_where_a_duty_is() {
        let mut brief = Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {}, "duty": {"required_years": 5}}"#,
        )
        .unwrap();
        for value in [-0.1, 0.0, 0.01, 0.009, 100.0, 100.1, 5000.0, 5000.1, 20_000.0, 20_000.1, f64::INFINITY]
        {
            let mut agree = |row: RowInputs, set: fn(&mut Brief, f64)| {
                let kept = brief.clone();
                set(&mut brief, value);
                assert_eq!(reason_of(&row).has_result(), brief.check().is_ok(), "{value} {row:?}");
                brief = kept;
            };
            agree(RowInputs { so2_mg_m2_day: value, ..USUAL }, |b, v| b.duty.so2_mg_m2_day = Some(v));
            agree(
                RowInputs { chloride_mg_m2_day: value, total_chloride_mg_m2_day: value, ..USUAL },
                |b, v| b.duty.chloride_mg_m2_day = Some(v),
            );
            agree(RowInputs { required_years: value, ..USUAL }, |b, v| b.duty.required_years = v);
        }
    }

    #[test]
    fn each_input_has_its_reason() {
        assert_eq!(reason_of(&USUAL), Reason::Ok);
        for (row, reason) in [
            (RowInputs { temperature_c: 29.0, ..USUAL }, Reason::Extrapolated),
            (RowInputs { shelter: Some(Shelter::Indoor), ..USUAL }, Reason::Extrapolated),
            (RowInputs { temperature_c: f64::NAN, ..USUAL }, Reason::TemperatureMissing),
            (RowInputs { temperature_c: 283.0, ..USUAL }, Reason::TemperatureOutOfRange),
            (RowInputs { relative_humidity_pct: f64::NAN, ..USUAL }, Reason::HumidityMissing),
            (RowInputs { relative_humidity_pct: 100.5, ..USUAL }, Reason::HumidityOutOfRange),
            (RowInputs { so2_mg_m2_day: f64::NAN, ..USUAL }, Reason::So2Missing),
            (RowInputs { so2_mg_m2_day: -1.0, ..USUAL }, Reason::So2OutOfRange),
            (RowInputs { chloride_mg_m2_day: f64::NAN, ..USUAL }, Reason::ChlorideMissing),
            (RowInputs { required_years: f64::NAN, ..USUAL }, Reason::RequiredYearsMissing),
            (RowInputs { relative_humidity_pct: 0.75, ..USUAL }, Reason::HumidityOutOfRange),
            (RowInputs { relative_humidity_pct: 1.1, ..USUAL }, Reason::Extrapolated),
            (RowInputs { shelter: None, ..USUAL }, Reason::ShelterUnknown),
            (RowInputs { in_weather: true, ..USUAL }, Reason::Ok),
            (RowInputs { shelter: Some(Shelter::Indoor), in_weather: true, ..USUAL }, Reason::ShelterRefused),
        ] {
            assert_eq!(reason_of(&row), reason, "{row:?}");
        }
    }
}
