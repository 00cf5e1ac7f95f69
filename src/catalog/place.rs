//! Described places: the least supported way to an atmosphere, for when nothing was measured.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::atmosphere::{DoseInputs, Shelter};
use crate::evidence::{Range, SourceKey, Value};

/// A described place with the four inputs of the dose-response function, and where these do not apply the
/// range of loss itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// The place in words.
    pub name: String,
    /// Shelter usual there.
    pub shelter: Shelter,
    /// Annual mean air temperature.
    pub temperature_c: Value,
    /// Annual mean relative humidity.
    pub relative_humidity_pct: Value,
    /// Annual mean SO2 deposition.
    pub so2_mg_m2_day: Value,
    /// Annual mean chloride deposition.
    pub chloride_mg_m2_day: Value,
    /// First-year loss of plain steel, 10 to 90% points, where the dose-response function does not apply.
    pub first_year_steel_loss_um: Option<Range>,
    /// Whether temperature and humidity are controlled.
    pub climate_controlled: bool,
    /// Months a year with salted roads, where the chloride is theirs.
    pub road_salt_months: Option<Value>,
}

impl Place {
    /// The four inputs usual there.
    pub(crate) fn inputs(&self) -> DoseInputs {
        DoseInputs {
            temperature_c: self.temperature_c.value,
            relative_humidity_pct: self.relative_humidity_pct.value,
            so2_mg_m2_day: self.so2_mg_m2_day.value,
            chloride_mg_m2_day: self.chloride_mg_m2_day.value,
        }
    }

    pub(crate) fn check(&self, path: &str) -> Result<()> {
        let at = |field: &str| format!("{path}.{field}");
        self.temperature_c.check(&at("temperature_c"), -60.0, 40.0, "°C")?;
        self.relative_humidity_pct.check(&at("relative_humidity_pct"), 0.0, 100.0, "%")?;
        self.so2_mg_m2_day.check(&at("so2_mg_m2_day"), 0.0, f64::MAX, "mg/(m²·d)")?;
        self.chloride_mg_m2_day.check(&at("chloride_mg_m2_day"), 0.0, f64::MAX, "mg/(m²·d)")?;
        if let Some(range) = &self.first_year_steel_loss_um {
            range.check(&at("first_year_steel_loss_um"), f64::MIN_POSITIVE, 10_000.0, "µm")?;
        }
        if let Some(months) = &self.road_salt_months {
            months.check(&at("road_salt_months"), 0.0, 12.0, "months")?;
        }
        Ok(())
    }

    pub(crate) fn source_keys(&self) -> Vec<&SourceKey> {
        let mut keys = vec![
            &self.temperature_c.source,
            &self.relative_humidity_pct.source,
            &self.so2_mg_m2_day.source,
            &self.chloride_mg_m2_day.source,
        ];
        keys.extend(self.first_year_steel_loss_um.iter().map(|range| &range.source));
        keys.extend(self.road_salt_months.iter().map(|months| &months.source));
        keys
    }
}
