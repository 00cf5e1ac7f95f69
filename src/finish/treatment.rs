//! The conversion coating that blackens the base metal.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Ageing, Film};
use crate::error::{invalid, within};
use crate::evidence::GREATEST_PRICE;
use crate::evidence::{Range, SourceKey, Spread, Value};
use crate::finish::FilmKind;
use crate::metal::Family;
use crate::{Error, Result, evidence};

/// A blackening process, or none.
///
/// All numbers are catalog data; what a class may be used on is `substrates`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts of a process, as a catalog writes them")]
pub struct Treatment {
    /// The name an order uses.
    pub name: String,
    /// Whether it belongs to another family than blackening; such treatments are compared on the metals for which they are
    /// suitable and marked, unless the brief leaves them out.
    pub outside_blackening: bool,
    /// What kind of process it is; black oxide unless the catalog says otherwise.
    #[serde(default)]
    pub kind: TreatmentKind,
    /// Class of MIL-DTL-13924D, where the process has one.
    pub class: Option<u8>,
    /// Standards it can be ordered to, with edition; empty where none takes it.
    pub specifications: Vec<String>,
    /// Key of the source of class and specifications.
    pub specification_source: SourceKey,
    /// Whether it leaves a black surface.
    pub black: bool,
    /// Thickness of the conversion layer; it grows into the metal, so the size change is less.
    pub thickness_um: Range,
    /// Whether it can be done over a present zinc plating of unknown thickness, whose passivate alone is renewed: the
    /// thinnest class, since no more is known to be there.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub renews_zinc_plate: bool,
    /// Whether the layer builds up on the thread instead of growing into the metal.
    pub builds_up: bool,
    /// Hours in neutral salt spray (ISO 9227) to first red rust of the treatment alone on plain steel.
    pub capacity_h: Spread,
    /// Life against attack alone over the life that equal dose promises.
    pub field_factor: Spread,
    /// Years that the treatment alone lasts by age.
    pub ageing: Ageing,
    /// Longest life of the bare treatment that anyone has observed, years; nothing is said beyond it.
    pub horizon_years: Value,
    /// What the innermost film withstands on this surface, if it is oil, wax or lacquer; 1 for hot alkaline black
    /// oxide, which holds oil.
    pub film_hold_factor: Value,
    /// The same of paint of any kind, for what it withstands and for how it ages in the weather; 1 for hot alkaline
    /// black oxide, which gives paint a tooth.
    pub paint_hold_factor: Value,
    /// Whether hydrogen enters the steel in the process itself: from the current in electroplating, by acid in phosphating
    /// and room-temperature blackening.
    pub evolves_hydrogen: bool,
    /// The metal that the surface consists of afterwards, where it is not the base metal.
    pub surface_metal: Option<Family>,
    /// Coefficient of friction of the treatment without a film, where it has its own class.
    pub friction: Option<Range>,
    /// Bath temperature.
    pub bath_temperature_c: Option<Range>,
    /// Time in the bath.
    pub bath_minutes: Option<Range>,
    /// Surface temperature from which the black begins to change color.
    pub colour_change_c: Option<Value>,
    /// Temperature beyond which the layer protects no longer; none for oxide.
    pub heat_limit_c: Option<Value>,
    /// Metal temperature in the ovens of the process itself, for example the cure of zinc flake; none where there is
    /// no oven.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oven_temperature_c: Option<Range>,
    /// Hours in neutral salt spray that a standard sets for the treatment alone; none where no standard does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard_hours: Option<StandardHours>,
    /// Kinds of film that it accepts; all without a list.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accepts: Option<Vec<FilmKind>>,
    /// Why it accepts no other kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_films: Option<Reason>,
    /// Name of its process document; its own name without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub process: Option<String>,
    /// Share that the treatment leaves of the salt that stainless steel withstands without staining.
    pub stain_threshold_factor: Value,
    /// Whether the black rubs off, chips and scrapes.
    pub rubs_off: bool,
    /// How even the shade is, 0 to 1, on a grade that accepts it fully.
    pub shade_uniformity: Value,
    /// Where the process uses hexavalent chromium.
    pub hexavalent_chromium: ChromateUse,
    /// Price per kilogram treated, in the catalog's currency.
    pub price_per_kg: Value,
    /// Which families of base metal it is suitable for; a family that is absent is rejected.
    pub substrates: BTreeMap<Family, Substrate>,
}

/// Kind of process, by what the metal goes through.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum TreatmentKind {
    /// Conversion of the surface to black oxide, in a hot bath.
    #[default]
    BlackOxide,
    /// Deposit of copper selenide from an acid bath at room temperature.
    RoomTemperature,
    /// Phosphate coating from an acid bath.
    Phosphate,
    /// Electrodeposited metal.
    Electroplate,
    /// Zinc and aluminum flakes in a binder, cured.
    ZincFlake,
    /// Nitrogen and carbon diffused in, then oxidized.
    Nitrocarburize,
    /// Oxide of aluminum grown anodically, dyed.
    Anodize,
    /// The metal stays as it is.
    None,
}

/// Hours in neutral salt spray (ISO 9227) that a standard sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StandardHours {
    /// Hours to white corrosion; none where the standard sets none.
    pub white: Option<f64>,
    /// Hours to red rust; none where the standard sets none.
    pub red: Option<f64>,
    /// Key of the source of both, which names the standard, edition and table.
    pub source: SourceKey,
}

/// Where a process uses hexavalent chromium.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ChromateUse {
    /// Nowhere.
    None,
    /// In an optional rinse after blackening.
    Rinse,
    /// In the bath itself.
    Bath,
}

/// A fact in one clause, with its source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Reason {
    /// The fact.
    pub why: String,
    /// Key of its source.
    pub source: SourceKey,
}

/// How suitable a treatment is for a family of base metals.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Substrate {
    /// The verdict.
    pub verdict: Verdict,
    /// Why, in one clause.
    pub why: String,
    /// Key of its source.
    pub source: SourceKey,
}

/// Verdict on a treatment for a family of base metals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Usual.
    Suits,
    /// Possible; run a trial piece first.
    Trial,
    /// Not to be done.
    Refused,
}

impl TreatmentKind {
    /// Whether the process goes through acid or current at the part, which charge steel with hydrogen.
    fn is_acid(self) -> bool {
        matches!(self, Self::RoomTemperature | Self::Phosphate | Self::Electroplate)
    }
}

/// Rejects a process that charges steel and is said not to: hard steel would be broken without a word.
pub(crate) fn hydrogen_left_out(field: &str) -> Error {
    invalid(
        field,
        false,
        "true for electroplate, phosphate, room-temperature black and what the catalog before says charges hydrogen",
        "Leave it true; what a purchaser allows on hard steel is `part.hydrogen_consent`.",
    )
}

impl Treatment {
    /// What the treatment makes of what a film withstands on it: of the innermost film (place 0); 1 above it.
    pub(crate) fn hold_on(&self, place: usize, film: &Film) -> f64 {
        match (place, film.kind.is_paint()) {
            (0, true) => self.paint_hold_factor.value,
            (0, false) => self.film_hold_factor.value,
            _ => 1.0,
        }
    }

    /// Whether it leaves no layer: the metal stays as it is.
    pub fn is_none(&self) -> bool {
        self.thickness_um.high == 0.0
    }

    /// Whether a film of this kind is applied over it.
    pub fn accepts(&self, kind: FilmKind) -> bool {
        self.accepts.as_ref().is_none_or(|kinds| kinds.contains(&kind))
    }

    /// Whether the surface is zinc afterwards, which corrodes in the place of the steel.
    pub(crate) fn is_zinc(&self) -> bool {
        self.surface_metal == Some(Family::Zinc)
    }

    pub(crate) fn check(&self, path: &str) -> Result<()> {
        let at = |field: &str| format!("{path}.{field}");
        if self.kind.is_acid() && !self.evolves_hydrogen {
            return Err(hydrogen_left_out(&at("evolves_hydrogen")));
        }
        self.thickness_um.check(&at("thickness_um"), 0.0, 50.0, "µm")?;
        self.capacity_h.check(&at("capacity_h"), 1e-6, 20_000.0, "h")?;
        self.field_factor.check(&at("field_factor"), 1e-6, 1000.0, "")?;
        if let Some(range) = &self.friction {
            range.check(&at("friction"), 0.01, 1.0, "")?;
        }
        self.film_hold_factor.check(&at("film_hold_factor"), 0.01, 3.0, "")?;
        self.paint_hold_factor.check(&at("paint_hold_factor"), 0.01, 3.0, "")?;
        self.ageing.check(&at("ageing"))?;
        self.horizon_years.check(&at("horizon_years"), 0.01, 1000.0, "years")?;
        self.stain_threshold_factor.check(&at("stain_threshold_factor"), 0.01, 10.0, "")?;
        self.shade_uniformity.check(&at("shade_uniformity"), 0.0, 1.0, "")?;
        self.price_per_kg.check(&at("price_per_kg"), 0.0, GREATEST_PRICE, "")?;
        if let Some(range) = &self.bath_temperature_c {
            range.check(&at("bath_temperature_c"), 0.0, 700.0, "°C")?;
        }
        if let Some(range) = &self.bath_minutes {
            range.check(&at("bath_minutes"), 0.0, 600.0, "min")?;
        }
        if let Some(range) = &self.oven_temperature_c {
            range.check(&at("oven_temperature_c"), 0.0, 700.0, "°C")?;
        }
        if let Some(hours) = &self.standard_hours {
            for (word, hours) in [("white", hours.white), ("red", hours.red)] {
                if let Some(hours) = hours {
                    let field = at(&format!("standard_hours.{word}"));
                    within(&field, hours, 1.0, 10_000.0, "h", "Correct the catalog entry.")?;
                }
            }
        }
        if let Some(value) = &self.heat_limit_c {
            value.check(&at("heat_limit_c"), 0.0, 1500.0, "°C")?;
        }
        if let Some(value) = &self.colour_change_c {
            value.check(&at("colour_change_c"), 0.0, 1500.0, "°C")?;
        }
        Ok(())
    }

    pub(crate) fn source_keys(&self) -> Vec<&evidence::SourceKey> {
        let mut keys = vec![
            &self.specification_source,
            &self.thickness_um.source,
            &self.capacity_h.source,
            &self.field_factor.source,
            &self.film_hold_factor.source,
            &self.paint_hold_factor.source,
            &self.horizon_years.source,
            &self.stain_threshold_factor.source,
            &self.shade_uniformity.source,
            &self.price_per_kg.source,
        ];
        keys.extend(self.ageing.source_keys());
        keys.extend(self.bath_temperature_c.iter().chain(&self.bath_minutes).map(|range| &range.source));
        keys.extend(self.friction.iter().chain(&self.oven_temperature_c).map(|range| &range.source));
        keys.extend(self.standard_hours.iter().map(|hours| &hours.source));
        keys.extend(self.heat_limit_c.iter().map(|value| &value.source));
        keys.extend(self.colour_change_c.iter().map(|value| &value.source));
        keys.extend(self.substrates.values().map(|substrate| &substrate.source));
        keys.extend(self.other_films.iter().map(|reason| &reason.source));
        keys
    }
}
