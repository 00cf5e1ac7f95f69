//! One supplementary layer over the treatment.

use serde::{Deserialize, Serialize};

use super::Ageing;
use crate::error::words;
use crate::evidence::GREATEST_PRICE;
use crate::evidence::{Range, SourceKey, Spread, Value};
use crate::{Result, evidence};

/// A film as a catalog describes it.
///
/// `capacity_h` is what a cabinet measures, `field_factor` how much better or worse the film does in the field than
/// these hours promise; together they are the dose that it withstands. `ageing` says how long it lasts where nothing
/// attacks it, and in weather, rain, sun and hands. All are stated at `reference_thickness_um`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "five independent facts of a film, as a catalog writes them"
)]
pub struct Film {
    /// The name an order uses.
    pub name: String,
    /// What kind of layer it is.
    pub kind: FilmKind,
    /// Whether one sees through it.
    pub clear: bool,
    /// Whether it is black.
    pub black: bool,
    /// Dry thickness of one application.
    pub thickness_um: Range,
    /// Hours in neutral salt spray (ISO 9227) to first red rust of this film over hot alkaline black oxide.
    pub capacity_h: Spread,
    /// Life against attack alone over the life that equal dose promises.
    pub field_factor: Spread,
    /// Field factors by environment, in the place of `field_factor` where one is given.
    #[serde(default, skip_serializing_if = "FieldFactors::is_empty")]
    pub field_factors: FieldFactors,
    /// Thickness at which salt-spray hours and aging are stated. The film counts as thick as the geometric mean of
    /// `thickness_um`.
    pub reference_thickness_um: Value,
    /// Years that it lasts by age alone.
    pub ageing: Ageing,
    /// Longest life of such a film that anyone has observed, years; nothing is said beyond it.
    pub horizon_years: Value,
    /// Highest temperature the film withstands for long.
    pub continuous_limit_c: Value,
    /// Highest temperature the film withstands for minutes.
    pub short_limit_c: Value,
    /// Curing temperature, for a film that is cured.
    pub cure_temperature_c: Option<Value>,
    /// Gloss band of the finished film.
    pub gloss: Gloss,
    /// Key of the source of the gloss band.
    pub gloss_source: SourceKey,
    /// Whether the gloss can be ordered (matte, satin or glossy).
    pub gloss_to_order: bool,
    /// Coefficient of friction of threads and bearing faces so finished.
    pub friction: Range,
    /// Whether it fills threads: paint does, oil and wax are displaced when the nut is run on.
    pub fills_threads: bool,
    /// Whether it is applied with organic solvent.
    pub solvent_borne: bool,
    /// Whether it keeps to blasted bare metal alone, so that a zinc coating beneath is removed first.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub needs_bare_metal: bool,
    /// Price per square decimetre covered, in the catalog's currency.
    pub price_per_dm2: Value,
    /// Name of its process document; that of its kind without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub process: Option<String>,
}

/// Field factors that differ with the shelter of the part.
///
/// The classes are those of the shelter because a sweep knows them before it meets a row, and because the corrosivity
/// of the atmosphere is in the rate already; field records of one class teach its entry alone.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct FieldFactors {
    /// In rain and sun.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open: Option<Spread>,
    /// Under a roof or a vehicle, in outdoor air.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheltered: Option<Spread>,
    /// In a building.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub indoor: Option<Spread>,
}

impl FieldFactors {
    fn is_empty(&self) -> bool {
        self.by_word().iter().all(|(_, spread)| spread.is_none())
    }

    fn by_word(&self) -> [(&'static str, Option<&Spread>); 3] {
        [
            ("open", self.open.as_ref()),
            ("sheltered", self.sheltered.as_ref()),
            ("indoor", self.indoor.as_ref()),
        ]
    }
}

/// What kind of layer a film is; decides what may lie over what.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FilmKind {
    /// Stays wet or greasy.
    Oil,
    /// Wax, soft or hard.
    Wax,
    /// Clear or tinted lacquer.
    Lacquer,
    /// Primer, to be painted over.
    Primer,
    /// Paint brushed, sprayed or dipped.
    Paint,
    /// Electrostatically sprayed powder, cured.
    Powder,
    /// Electrophoretic paint, cured.
    Electrocoat,
}

impl FilmKind {
    /// The word users read and write, and the name of the process document of the kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Oil => "oil",
            Self::Wax => "wax",
            Self::Lacquer => "lacquer",
            Self::Primer => "primer",
            Self::Paint => "paint",
            Self::Powder => "powder",
            Self::Electrocoat => "electrocoat",
        }
    }

    /// Whether anything holds on it. Nothing holds on oil or wax.
    pub fn can_be_coated(self) -> bool {
        !matches!(self, Self::Oil | Self::Wax)
    }

    /// Whether it is paint of any kind, which holds by adhesion and ages in the weather.
    pub fn is_paint(self) -> bool {
        matches!(self, Self::Primer | Self::Paint | Self::Powder | Self::Electrocoat)
    }
}

/// Gloss band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Gloss {
    /// Dull.
    Matte,
    /// Between.
    Satin,
    /// Shiny.
    Gloss,
}

words! {
    Gloss, "gloss", "Name one of the bands.";
    Matte = "matte",
    Satin = "satin",
    Gloss = "gloss",
}

impl Film {
    /// Dry thickness that the film counts with, µm: the geometric mean of its range.
    pub(crate) fn usual_thickness_um(&self) -> f64 {
        (self.thickness_um.low * self.thickness_um.high).sqrt()
    }

    pub(crate) fn check(&self, path: &str) -> Result<()> {
        let at = |field: &str| format!("{path}.{field}");
        self.thickness_um.check(&at("thickness_um"), 0.01, 1000.0, "µm")?;
        self.capacity_h.check(&at("capacity_h"), 1e-6, 20_000.0, "h")?;
        self.field_factor.check(&at("field_factor"), 1e-6, 1000.0, "")?;
        for (word, spread) in self.field_factors.by_word() {
            if let Some(spread) = spread {
                spread.check(&at(&format!("field_factors.{word}")), 1e-6, 1000.0, "")?;
            }
        }
        self.reference_thickness_um.check(&at("reference_thickness_um"), 0.01, 1000.0, "µm")?;
        self.ageing.check(&at("ageing"))?;
        self.horizon_years.check(&at("horizon_years"), 0.01, 1000.0, "years")?;
        self.continuous_limit_c.check(&at("continuous_limit_c"), -50.0, 1200.0, "°C")?;
        self.short_limit_c.check(&at("short_limit_c"), self.continuous_limit_c.value, 1200.0, "°C")?;
        self.friction.check(&at("friction"), 0.01, 1.0, "")?;
        self.price_per_dm2.check(&at("price_per_dm2"), 0.0, GREATEST_PRICE, "")?;
        if let Some(cure) = &self.cure_temperature_c {
            cure.check(&at("cure_temperature_c"), 0.0, 500.0, "°C")?;
        }
        Ok(())
    }

    pub(crate) fn source_keys(&self) -> Vec<&evidence::SourceKey> {
        let mut keys = vec![
            &self.thickness_um.source,
            &self.capacity_h.source,
            &self.field_factor.source,
            &self.reference_thickness_um.source,
            &self.horizon_years.source,
            &self.continuous_limit_c.source,
            &self.short_limit_c.source,
            &self.gloss_source,
            &self.friction.source,
            &self.price_per_dm2.source,
        ];
        keys.extend(self.ageing.source_keys());
        keys.extend(self.field_factors.by_word().into_iter().filter_map(|(_, spread)| Some(&spread?.source)));
        keys.extend(self.cure_temperature_c.iter().map(|cure| &cure.source));
        keys
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    /// A film written and read again is itself; factors by shelter are written where there are any.
    #[test]
    fn factors_by_shelter_are_written_where_there_are_any() {
        let mut film = Catalog::built_in().film("hard_wax").unwrap().clone();
        let written = |film: &Film| serde_json::to_value(film).unwrap();
        assert!(written(&film).get("field_factors").is_none());
        film.field_factors.indoor = Some(film.field_factor.clone());
        let document = written(&film);
        assert!(document["field_factors"].get("indoor").is_some(), "{document}");
        assert_eq!(serde_json::from_value::<Film>(document).unwrap(), film);
    }
}
