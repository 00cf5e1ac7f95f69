//! How it shall look, what it may cost, what matters how much.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::{MOST_BUILDS, MOST_METALS};
use crate::error::{at_most, invalid, within};
use crate::finish::Gloss;

/// What is wanted.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Wants {
    /// Whether the part shall be black; yes unless said otherwise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub black: Option<bool>,
    /// Gloss band; any unless said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gloss: Option<Gloss>,
    /// Whether an even shade matters.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub uniform_shade: bool,
    /// Whether the treatment must meet a government or standard specification.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub standard_specification: bool,
    /// Most that a thousand pieces may cost over the required years, in the catalog's currency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost_limit_per_thousand: Option<f64>,
    /// Probability of no failure within the required years from which a build counts as meeting the brief.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target_probability: Option<f64>,
    /// Catalog names of base metals to compare besides the part's own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_base_metals: Vec<String>,
    /// The builds to compare, where not all of the catalog's are of interest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub builds: Option<Vec<WishedBuild>>,
    /// Whether finishes outside blackening, as zinc plating, are ranked too.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub outside_blackening: bool,
    /// What matters how much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weights: Option<Weights>,
}

/// A build by the names that matter; what is left out is filled.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct WishedBuild {
    /// Base metal; the part's own if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base_metal: Option<String>,
    /// Treatment; each of the catalog's if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treatment: Option<String>,
    /// Films, innermost first; the trade's default, oil spun off, if left out; `[]` for none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub films: Option<Vec<String>>,
}

/// A criterion of the score.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Criterion {
    /// Probability of meeting the required years.
    Durability,
    /// Cost over the required years.
    Cost,
    /// Gloss, shade and colour asked for.
    Appearance,
    /// Distance to the heat limits of the layers.
    Heat,
    /// Thread room and friction.
    Assembly,
    /// Firmness of the data behind the outlook.
    Confidence,
}

impl Criterion {
    /// All criteria, in the order in which they are printed.
    pub const ALL: [Self; 6] =
        [Self::Durability, Self::Cost, Self::Appearance, Self::Heat, Self::Assembly, Self::Confidence];

    /// The word users read and write.
    pub fn word(self) -> &'static str {
        match self {
            Self::Durability => "durability",
            Self::Cost => "cost",
            Self::Appearance => "appearance",
            Self::Heat => "heat",
            Self::Assembly => "assembly",
            Self::Confidence => "confidence",
        }
    }
}

/// Weights of the criteria; only their ratios matter. The defaults are an assumption.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct Weights {
    /// Probability of meeting the required years.
    pub durability: f64,
    /// Cost over the required years.
    pub cost: f64,
    /// Gloss, shade and colour asked for.
    pub appearance: f64,
    /// Distance to the heat limits of the layers.
    pub heat: f64,
    /// Thread room and friction.
    pub assembly: f64,
    /// Firmness of the data behind the outlook.
    pub confidence: f64,
}

impl Default for Weights {
    fn default() -> Self {
        Self { durability: 4.0, cost: 2.0, appearance: 1.5, heat: 1.0, assembly: 1.0, confidence: 0.5 }
    }
}

impl Weights {
    /// Weights in the order of [`Criterion::ALL`], summing to one.
    pub fn normalised(&self) -> [f64; 6] {
        let weights = self.in_order();
        let sum: f64 = weights.iter().sum();
        weights.map(|weight| weight / sum)
    }

    fn in_order(&self) -> [f64; 6] {
        [self.durability, self.cost, self.appearance, self.heat, self.assembly, self.confidence]
    }
}

impl Wants {
    pub(super) fn check(&self) -> Result<()> {
        if let Some(limit) = self.cost_limit_per_thousand {
            within("cost_limit_per_thousand", limit, f64::MIN_POSITIVE, 1e12, "", "Give a positive amount.")?;
        }
        if let Some(target) = self.target_probability {
            within(
                "target_probability",
                target,
                0.01,
                0.9999,
                "",
                "Give a probability, as in 0.9 for 90 %.",
            )?;
        }
        if let Some(weights) = &self.weights {
            for (criterion, weight) in Criterion::ALL.iter().zip(weights.in_order()) {
                let field = format!("weights.{}", criterion.word());
                within(&field, weight, 0.0, 1e6, "", "Give a weight of 0 or more.")?;
            }
            if weights.in_order().iter().sum::<f64>() <= 0.0 {
                return Err(invalid("weights", "all zero", "at least one above 0", "Give one a weight."));
            }
        }
        at_most("other_base_metals", self.other_base_metals.len(), MOST_METALS)?;
        at_most("builds", self.builds.as_ref().map_or(0, Vec::len), MOST_BUILDS)?;
        if self.builds.as_ref().is_some_and(Vec::is_empty) {
            return Err(invalid(
                "builds",
                "[]",
                "at least one build",
                "Name a build, or leave the field out to compare all.",
            ));
        }
        Ok(())
    }
}
