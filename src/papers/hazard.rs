//! What can hurt at a step, and the usual caution.

use serde::{Deserialize, Serialize};

use crate::source::Source;

/// A hazard of a finishing shop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Hazard {
    /// Blackening bath above the boiling point of water.
    HotCausticBath,
    /// Molten oxidising salt.
    MoltenSalt,
    /// Hot alkaline cleaner or stripper.
    AlkalineCleaner,
    /// Pickling or stripping acid.
    Acid,
    /// Hydrogen in hard steel.
    HydrogenEmbrittlement,
    /// Nitrite from the bath together with amines.
    NitriteAndAmines,
    /// Organic solvent.
    Solvent,
    /// Hexavalent chromium.
    HexavalentChromium,
    /// Selenium compounds of room-temperature baths.
    Selenium,
    /// Metals that a strip takes up.
    ToxicMetals,
    /// Dust and noise of blasting.
    BlastDust,
    /// A cloud of coating powder.
    PowderCloud,
    /// Oven, hot parts and their fumes.
    Stove,
}

impl Hazard {
    /// All of them.
    pub const ALL: &[Self] = &[
        Self::HotCausticBath,
        Self::MoltenSalt,
        Self::AlkalineCleaner,
        Self::Acid,
        Self::HydrogenEmbrittlement,
        Self::NitriteAndAmines,
        Self::Solvent,
        Self::HexavalentChromium,
        Self::Selenium,
        Self::ToxicMetals,
        Self::BlastDust,
        Self::PowderCloud,
        Self::Stove,
    ];

    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::HotCausticBath => "hot caustic bath",
            Self::MoltenSalt => "molten salt",
            Self::AlkalineCleaner => "hot alkaline cleaner",
            Self::Acid => "acid",
            Self::HydrogenEmbrittlement => "hydrogen embrittlement",
            Self::NitriteAndAmines => "nitrite and amines",
            Self::Solvent => "solvent",
            Self::HexavalentChromium => "hexavalent chromium",
            Self::Selenium => "selenium",
            Self::ToxicMetals => "toxic metals",
            Self::BlastDust => "blasting dust",
            Self::PowderCloud => "powder cloud",
            Self::Stove => "oven",
        }
    }

    /// The usual caution with its source.
    ///
    /// ```
    /// use overcoat::papers::Hazard;
    /// let caution = Hazard::HotCausticBath.caution();
    /// assert!(caution.text.contains("steam"));
    /// ```
    pub fn caution(self) -> Caution {
        let (text, source) = match self {
            Self::HotCausticBath => (
                "Water that gets into this bath turns to steam at once and throws caustic; deaths are reported. \
                 Never put wet parts in. Only trained people add water or salt, in the way laid down for the \
                 bath. Goggles, face shield, apron, gloves; eye wash and shower within reach.",
                Source::common_practice(
                    "finishing handbooks on hot alkaline blackening: steam eruptions, deaths, protection",
                ),
            ),
            Self::MoltenSalt => (
                "Water, oil or any organic matter in molten oxidising salt erupts or burns. Parts and tools go in \
                 bone dry and free of oil; no aluminium or magnesium. Face shield and heat-proof clothing.",
                Source::from_memory("practice of molten nitrate and dichromate baths"),
            ),
            Self::AlkalineCleaner => (
                "Burns skin and eyes. Goggles and gloves; eye wash within reach.",
                Source::from_memory("practice of alkaline cleaning"),
            ),
            Self::Acid => (
                "Acid goes into water, never water into acid. Exhaust the fumes, keep acid away from the \
                 blackening salts and from caustic. Goggles, face shield, gloves, apron.",
                Source::from_memory("practice of acid pickling"),
            ),
            Self::HydrogenEmbrittlement => (
                "Acid lets hydrogen into hard steel; the part may break hours or days after it is tightened. Where \
                 acid is allowed, keep its time short and start the bake in time.",
                Source::common_practice(
                    "acid pickling and stripping let hydrogen into hard steel, delayed fracture",
                ),
            ),
            Self::NitriteAndAmines => (
                "Nitrite carried over from the bath can form nitrosamines with amine inhibitors of an oil or wax: \
                 rinse well, and ask the supplier for a film without secondary amines.",
                Source::from_memory("nitrite and secondary amines can form nitrosamines"),
            ),
            Self::Solvent => (
                "Vapour burns and harms: exhaust, no flame or spark, earthed tanks, no solvent-wet parts into an \
                 oven.",
                Source::common_practice("solvent-borne films: fire risk and limits for organic solvents"),
            ),
            Self::HexavalentChromium => (
                "Hexavalent chromium is poisonous and causes cancer, and its use is restricted or needs \
                 authorisation in many places. Exhaust, gloves, separate waste; ask a qualified person whether \
                 the step is allowed where it is done.",
                Source::common_practice("chromium trioxide is on the EU authorisation list"),
            ),
            Self::Selenium => (
                "The bath holds selenium and acid: poisonous, with limits on waste water. Gloves, goggles, no food \
                 nearby.",
                Source::from_memory("room-temperature blackening baths hold selenious acid"),
            ),
            Self::ToxicMetals => (
                "The strip takes up the metals of the old plating (cadmium, chromium and nickel are toxic): keep \
                 its waste apart.",
                Source::from_memory("practice of stripping platings"),
            ),
            Self::BlastDust => (
                "Dust harms the lungs: closed cabinet with extraction, eyes and ears covered.",
                Source::from_memory("practice of blasting"),
            ),
            Self::PowderCloud => (
                "A cloud of powder can explode: earth part and gun, keep the extraction running.",
                Source::from_memory("practice of powder coating"),
            ),
            Self::Stove => (
                "Hot parts and fumes: gloves, exhaust; fresh air before the door is opened.",
                Source::from_memory("practice of stoving and baking"),
            ),
        };
        Caution { hazard: Some(self), text: text.to_owned(), source }
    }
}

/// A caution, for a hazard of a step or for the whole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// The hazard of a step; none where the caution is for the whole.
    pub hazard: Option<Hazard>,
    /// What to heed.
    pub text: String,
    /// Where it comes from.
    pub source: Source,
}

impl Caution {
    pub(super) fn general(text: impl Into<String>, source: Source) -> Self {
        Self { hazard: None, text: text.into(), source }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_hazard_has_a_caution_and_its_own_words() {
        for hazard in Hazard::ALL {
            assert!(hazard.caution().text.ends_with('.'), "{}", hazard.words());
            assert_eq!(Hazard::ALL.iter().filter(|other| other.words() == hazard.words()).count(), 1);
        }
    }
}
