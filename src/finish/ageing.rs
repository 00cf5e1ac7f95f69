//! How a layer ages where nothing attacks it, and what makes it age faster.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::evidence::{SourceKey, Value};

/// Years that a layer lasts by age alone, one life for each cause.
///
/// The causes act side by side: their rates, one over each life, add up. A cause that is left out does not age the
/// layer. Weather, rain, sun and hands count by their share, 0 to 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Ageing {
    /// Years indoors, where neither weather nor hands reach it.
    pub indoor_years: Value,
    /// Years that weather in the open leaves it, of itself: paint, whose adhesion goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weather_years: Option<Value>,
    /// Years that rain leaves it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain_years: Option<Value>,
    /// Years that full sunlight leaves it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sun_years: Option<Value>,
    /// Years that daily handling or wiping leaves it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub handling_years: Option<Value>,
    /// Standard deviation of the natural logarithm of these lives.
    pub log_sd: Value,
}

/// Longest life by age that a catalog may give, years.
const MOST_YEARS: f64 = 1000.0;

impl Ageing {
    fn lives(&self) -> impl Iterator<Item = (&'static str, &Value)> {
        [
            ("indoor_years", Some(&self.indoor_years)),
            ("weather_years", self.weather_years.as_ref()),
            ("rain_years", self.rain_years.as_ref()),
            ("sun_years", self.sun_years.as_ref()),
            ("handling_years", self.handling_years.as_ref()),
        ]
        .into_iter()
        .filter_map(|(name, life)| Some((name, life?)))
    }

    pub(crate) fn check(&self, path: &str) -> Result<()> {
        for (name, life) in self.lives() {
            life.check(&format!("{path}.{name}"), 1e-3, MOST_YEARS, "years")?;
        }
        self.log_sd.check(&format!("{path}.log_sd"), 0.0, 3.0, "")
    }

    pub(crate) fn source_keys(&self) -> Vec<&SourceKey> {
        self.lives().map(|(_, life)| &life.source).chain([&self.log_sd.source]).collect()
    }
}
