//! What is to be finished.

use serde::{Deserialize, Serialize};

use crate::brief::MOST_METALS;
use crate::error::{at_most, within};
use crate::fastener::{PartForm, Thread, part_size};
use crate::{Error, Result};

/// The part.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
#[expect(clippy::struct_excessive_bools, reason = "four independent facts, as a brief states them")]
pub struct Part {
    /// Form of the part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub form: Option<Form>,
    /// Catalog name of the base metal; without it, usual ones are compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base_metal: Option<String>,
    /// Property class that the design asks for, for example `8.8`, `12.9`, `A4-80`, `10` on a nut, `45H` on a set screw;
    /// without it, the base metal named is what another one is held against. Where no base metal is named, it
    /// chooses the metal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub property_class: Option<String>,
    /// Thread, for example `M8`, `M10x1.25`, `1/4-20 UNC`; none for a part without thread.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// Thread tolerance before finishing, for example `6g`, `6e`, `2A`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<String>,
    /// Length of a screw under the head, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    /// Surface of one piece, dm².
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_dm2: Option<f64>,
    /// Mass of one piece, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass_g: Option<f64>,
    /// Highest Vickers hardness of core or surface, where it differs from the grade's. As the other states of the
    /// piece (tempering, present finish, condition) it counts for the base metal named, not for others compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hardness_hv: Option<f64>,
    /// Tempering or aging temperature, where it differs from the grade's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tempering_temperature_c: Option<f64>,
    /// Whether it carries a polymer insert or patch; a lock nut is taken to have one unless this says `false`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub polymer_insert: Option<bool>,
    /// Base metals of pieces already joined to it that would go through the bath too.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub joined_metals: Vec<String>,
    /// Whether it has blind holes, lap joints or other places that trap bath.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub traps_liquid: bool,
    /// Finish that is on it now.
    #[serde(skip_serializing_if = "PresentFinish::is_none")]
    pub present_finish: PresentFinish,
    /// State of the surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub condition: Option<Condition>,
    /// Whether life or limb hangs on the joint.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub safety_critical: bool,
    /// Whether the maker of the part or the owner of the joint consents in writing to the finish.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub maker_consent: bool,
    /// Whether the purchaser consents in writing to a process that charges hard steel with hydrogen, with a bake and an
    /// embrittlement test of every lot.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub hydrogen_consent: bool,
    /// Surfaces whose size or contact a film would change; `[]` where there are none, asked about where left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub functional_surfaces: Option<Vec<FunctionalSurface>>,
    /// Pieces in the lot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot_pieces: Option<u64>,
}

/// Form of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Hex cap screw or bolt.
    HexagonHeadScrew,
    /// Socket head cap screw.
    SocketCapScrew,
    /// Button head socket cap screw.
    ButtonHeadScrew,
    /// Flat head socket cap screw.
    CountersunkScrew,
    /// Set screw.
    SetScrew,
    /// Hex nut.
    HexagonNut,
    /// Self-locking nut.
    LockNut,
    /// Flat washer.
    PlainWasher,
    /// Pin or clip.
    Pin,
    /// Bracket, hinge, fitting or other stamped or forged part.
    Bracket,
    /// Anything else.
    Other,
}

/// Surface whose size, seat or contact a film would change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FunctionalSurface {
    /// Fitted or load-carrying diameter: pin, dowel, bore, bearing seat.
    Fit,
    /// Seat or cone that must slide or wedge, such as that of an expansion anchor.
    Seat,
    /// Port or sealing face.
    Port,
    /// Face clamped in a tightened joint.
    ClampedFace,
    /// Contact that conducts: ground, shield.
    Ground,
}

impl FunctionalSurface {
    /// The words users read.
    pub fn words(self) -> &'static str {
        match self {
            Self::Fit => "fitted diameter",
            Self::Seat => "seat or cone",
            Self::Port => "port or sealing face",
            Self::ClampedFace => "clamped face",
            Self::Ground => "electrical contact",
        }
    }
}

/// Finish that is on the part now.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PresentFinish {
    /// Plain metal.
    #[default]
    None,
    /// Electroplated zinc.
    ZincPlate,
    /// Hot-dip galvanized.
    HotDipZinc,
    /// Cadmium plate.
    CadmiumPlate,
    /// Nickel plate.
    NickelPlate,
    /// Chromium plate.
    ChromiumPlate,
    /// Phosphate coating.
    Phosphate,
    /// Black oxide that is to be renewed.
    BlackOxide,
    /// Paint or lacquer.
    Paint,
}

impl PresentFinish {
    /// Whether the part is plain.
    pub fn is_none(&self) -> bool {
        *self == Self::None
    }

    /// The words users read.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "no finish",
            Self::ZincPlate => "zinc plating",
            Self::HotDipZinc => "hot-dip galvanizing",
            Self::CadmiumPlate => "cadmium plating",
            Self::NickelPlate => "nickel plating",
            Self::ChromiumPlate => "chromium plating",
            Self::Phosphate => "phosphate coating",
            Self::BlackOxide => "black oxide",
            Self::Paint => "paint or lacquer",
        }
    }
}

/// State of the surface as it arrives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// Free of oil, rust and scale.
    Clean,
    /// Oily or greasy from making.
    Oiled,
    /// Rusty.
    Rust,
    /// Light scale of heat treatment.
    LightScale,
    /// Heavy scale of forging.
    HeavyScale,
}

impl Form {
    /// Whether it is a screw of any head, or a set screw.
    pub(crate) const fn is_screw(self) -> bool {
        matches!(
            self,
            Self::HexagonHeadScrew
                | Self::SocketCapScrew
                | Self::ButtonHeadScrew
                | Self::CountersunkScrew
                | Self::SetScrew
        )
    }

    /// Whether its thread is internal.
    pub(crate) const fn is_nut(self) -> bool {
        matches!(self, Self::HexagonNut | Self::LockNut)
    }
}

impl Part {
    /// Whether a build in `base_metal` is made of the piece at hand, so that its finish, surface, hardness and
    /// tempering count; in a base metal other than the one named, the part is made anew.
    ///
    /// ```
    /// use overcoat::brief::Part;
    /// let part = Part { base_metal: Some("steel_8_8".into()), ..Part::default() };
    /// assert!(part.is_at_hand_in("steel_8_8") && !part.is_at_hand_in("stainless_316"));
    /// assert!(Part::default().is_at_hand_in("stainless_316"));
    /// ```
    pub fn is_at_hand_in(&self, base_metal: &str) -> bool {
        self.base_metal.as_deref().is_none_or(|named| named == base_metal)
    }

    /// Whether the pieces exist already: they carry a finish, rust or scale, or both their surface and their tolerance are
    /// stated, which only pieces have.
    ///
    /// ```
    /// use overcoat::brief::{Condition, Part};
    /// let mut part = Part { condition: Some(Condition::Oiled), ..Part::default() };
    /// assert!(!part.is_made());
    /// part.tolerance = Some("6g".into());
    /// assert!(part.is_made());
    /// ```
    pub fn is_made(&self) -> bool {
        let marked =
            matches!(self.condition, Some(Condition::Rust | Condition::LightScale | Condition::HeavyScale));
        !self.present_finish.is_none() || marked || self.condition.is_some() && self.tolerance.is_some()
    }

    /// Whether it carries a polymer insert: as stated, else taken for a lock nut.
    ///
    /// ```
    /// use overcoat::brief::{Form, Part};
    /// let mut nut = Part::default();
    /// nut.form = Some(Form::LockNut);
    /// assert!(nut.has_polymer_insert());
    /// nut.polymer_insert = Some(false);
    /// assert!(!nut.has_polymer_insert());
    /// ```
    pub fn has_polymer_insert(&self) -> bool {
        self.polymer_insert.unwrap_or(self.form == Some(Form::LockNut))
    }

    /// The thread, read; none for a part without one.
    ///
    /// ```
    /// use overcoat::brief::Part;
    /// let part = Part { thread: Some("M8x".into()), ..Part::default() };
    /// assert_eq!(part.thread_size().unwrap_err().field(), "part.thread");
    /// ```
    ///
    /// # Errors
    /// A designation that cannot be read, or a size that no standard has.
    pub fn thread_size(&self) -> Result<Option<Thread>> {
        let Some(designation) = &self.thread else { return Ok(None) };
        designation.parse().map(Some).map_err(|e: Error| {
            // A size out of range is named within the designation, as `part.thread.diameter_mm`.
            let prefix = if e.field() == "thread" { "part" } else { "part.thread" };
            e.within(prefix)
        })
    }

    /// Mass (g, of steel) and surface (dm²) from standard dimensions, where form, thread and length say enough.
    ///
    /// # Errors
    /// A thread designation that cannot be read.
    pub(crate) fn standard_size(&self) -> Result<Option<(f64, f64)>> {
        let (Some(form), Some(thread)) = (self.form, self.thread_size()?) else { return Ok(None) };
        let form = match form {
            Form::HexagonHeadScrew => PartForm::HexagonScrew,
            Form::SocketCapScrew => PartForm::SocketCapScrew,
            Form::ButtonHeadScrew => PartForm::ButtonHeadScrew,
            Form::CountersunkScrew => PartForm::CountersunkSocketScrew,
            Form::HexagonNut | Form::LockNut => PartForm::HexagonNut,
            Form::PlainWasher => PartForm::PlainWasher,
            Form::SetScrew | Form::Pin | Form::Bracket | Form::Other => return Ok(None),
        };
        // A size outside the tables is no mistake of the brief.
        let length_mm = self.length_mm.filter(|_| form.is_screw());
        Ok(part_size(form, &thread, length_mm).ok().map(|size| (size.mass_g, size.surface_dm2)))
    }

    pub(super) fn check(&self) -> Result<()> {
        let positive = |field: &str, value: Option<f64>, high: f64, unit: &str| -> Result<()> {
            match value {
                Some(v) => {
                    within(field, v, f64::MIN_POSITIVE, high, unit, "Enter a positive number.").map(|_| ())
                }
                None => Ok(()),
            }
        };
        positive("length_mm", self.length_mm, 5000.0, "mm")?;
        positive("surface_dm2", self.surface_dm2, 100_000.0, "dm²")?;
        positive("mass_g", self.mass_g, 1e7, "g")?;
        positive("hardness_hv", self.hardness_hv, 1500.0, "HV")?;
        positive("tempering_temperature_c", self.tempering_temperature_c, 1300.0, "°C")?;
        if let Some(pieces) = self.lot_pieces {
            within(
                "lot_pieces",
                pieces as f64,
                1.0,
                1e9,
                "pieces",
                "Enter the number of pieces in the lot.",
            )?;
        }
        at_most("functional_surfaces", self.functional_surfaces.as_ref().map_or(0, Vec::len), MOST_METALS)?;
        at_most("joined_metals", self.joined_metals.len(), MOST_METALS)
    }
}
