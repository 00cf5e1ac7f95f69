//! A base metal as a catalog describes it.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::evidence::GREATEST_PRICE;
use crate::evidence::{Range, SourceKey, Value};

/// Family of base metals: what a treatment is judged by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Plain carbon steel.
    CarbonSteel,
    /// Low-alloy steel, quenched and tempered.
    AlloySteel,
    /// Weathering steel.
    WeatheringSteel,
    /// Grey, ductile and malleable iron.
    CastIron,
    /// Stainless of the 300 series.
    Austenitic,
    /// Stainless of the 400 series that is not hardened.
    Ferritic,
    /// Stainless of the 400 series that is hardened.
    Martensitic,
    /// Precipitation-hardening stainless.
    PrecipitationHardening,
    /// Austenitic-ferritic stainless.
    Duplex,
    /// Brass, bronze, copper.
    CopperAlloy,
    /// Aluminum and its alloys.
    Aluminium,
    /// Zinc and zinc die casting.
    Zinc,
    /// Titanium and its alloys.
    Titanium,
}

impl Family {
    /// Whether the metal resists by a passive film instead of rusting by dose.
    pub fn is_stainless(self) -> bool {
        matches!(
            self,
            Self::Austenitic
                | Self::Ferritic
                | Self::Martensitic
                | Self::PrecipitationHardening
                | Self::Duplex
        )
    }

    /// Whether it rusts at the rate of plain steel.
    pub fn rusts_by_dose(self) -> bool {
        matches!(self, Self::CarbonSteel | Self::AlloySteel | Self::WeatheringSteel | Self::CastIron)
    }

    /// Whether quenching and tempering, or aging, hardens it: what embrittles by hydrogen, and softens by heat.
    pub(crate) fn is_hardenable(self) -> bool {
        self.rusts_by_dose() || matches!(self, Self::Martensitic | Self::PrecipitationHardening)
    }

    /// The words users read.
    pub fn words(self) -> &'static str {
        match self {
            Self::CarbonSteel => "carbon steel",
            Self::AlloySteel => "alloy steel",
            Self::WeatheringSteel => "weathering steel",
            Self::CastIron => "cast iron",
            Self::Austenitic => "austenitic stainless steel",
            Self::Ferritic => "ferritic stainless steel",
            Self::Martensitic => "martensitic stainless steel",
            Self::PrecipitationHardening => "precipitation-hardening stainless steel",
            Self::Duplex => "duplex stainless steel",
            Self::CopperAlloy => "copper alloy",
            Self::Aluminium => "aluminum",
            Self::Zinc => "zinc",
            Self::Titanium => "titanium",
        }
    }
}

impl fmt::Display for Family {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// A grade of base metal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct BaseMetal {
    /// The name an order uses.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// Property class of ISO 898-1 or steel group of ISO 3506-1, where it has one.
    pub property_class: Option<String>,
    /// Typical composition in mass %, element symbol to content.
    pub composition_pct: Option<Composition>,
    /// Vickers hardness as delivered.
    pub hardness_hv: Option<Range>,
    /// Usual tempering or aging temperature.
    pub tempering_temperature_c: Option<Value>,
    /// Least strength of a fastener of it, where no class of ISO 898-1 says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastener_strength: Option<StrengthClass>,
    /// Least strength of any other part of it, where it differs from a fastener's: annealed, not cold worked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part_strength: Option<StrengthClass>,
    /// Corrosion resistance class of EN 1993-1-4 as a number, I = 1 to V = 5; unlisted grades stand where we
    /// put them, which may be between classes.
    pub resistance_class: Option<Value>,
    /// Sulfur-bearing, machined easily, mottled more easily.
    pub free_machining: bool,
    /// How dark it turns: 1 a full black, less where a trial must show it.
    pub darkness: Value,
    /// Price of a finished blank against one of low-carbon steel.
    pub price_factor: Value,
}

/// Least strength of a class or condition of a metal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StrengthClass {
    /// The class or condition as an order writes it, for example `A2-70`.
    pub class: String,
    /// Lowest tensile strength, MPa.
    pub tensile_mpa: f64,
    /// Lowest yield strength (0.2% proof strength), MPa.
    pub yield_mpa: f64,
    /// Key of the source of both.
    pub source: SourceKey,
}

/// Typical composition with its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Composition {
    /// Element symbol to mass %.
    pub elements: BTreeMap<String, f64>,
    /// Key of the source.
    pub source: SourceKey,
}

impl BaseMetal {
    pub(crate) fn check(&self, path: &str) -> Result<()> {
        let at = |field: &str| format!("{path}.{field}");
        if let Some(range) = &self.hardness_hv {
            range.check(&at("hardness_hv"), 10.0, 1000.0, "HV")?;
        }
        if let Some(value) = &self.tempering_temperature_c {
            value.check(&at("tempering_temperature_c"), 20.0, 1200.0, "°C")?;
        }
        for (field, strength) in
            [("fastener_strength", &self.fastener_strength), ("part_strength", &self.part_strength)]
        {
            let Some(strength) = strength else { continue };
            for (number, value) in [("tensile_mpa", strength.tensile_mpa), ("yield_mpa", strength.yield_mpa)]
            {
                let field = at(&format!("{field}.{number}"));
                crate::error::within(&field, value, 1.0, 5000.0, "MPa", "Correct the catalog entry.")?;
            }
        }
        if let Some(value) = &self.resistance_class {
            value.check(&at("resistance_class"), 0.0, 5.0, "")?;
        }
        self.darkness.check(&at("darkness"), 0.0, 1.0, "")?;
        self.price_factor.check(&at("price_factor"), 0.0, GREATEST_PRICE, "")?;
        for (element, share) in self.composition_pct.iter().flat_map(|c| &c.elements) {
            crate::error::within(
                &format!("{path}.composition_pct.elements.{element}"),
                *share,
                0.0,
                100.0,
                "%",
                "Enter the content in mass %.",
            )?;
        }
        Ok(())
    }

    pub(crate) fn source_keys(&self) -> Vec<&SourceKey> {
        let mut keys = vec![&self.darkness.source, &self.price_factor.source];
        keys.extend(self.hardness_hv.iter().map(|range| &range.source));
        keys.extend(self.tempering_temperature_c.iter().chain(&self.resistance_class).map(|v| &v.source));
        keys.extend(self.fastener_strength.iter().chain(&self.part_strength).map(|s| &s.source));
        keys.extend(self.composition_pct.iter().map(|composition| &composition.source));
        keys
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn families_are_said_in_the_words_of_the_trade() {
        for (family, words) in [
            (Family::CarbonSteel, "carbon steel"),
            (Family::PrecipitationHardening, "precipitation-hardening stainless steel"),
            (Family::CopperAlloy, "copper alloy"),
        ] {
            assert_eq!(family.to_string(), words);
        }
    }
}
