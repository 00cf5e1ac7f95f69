//! How it shall look, what it may cost, what matters how much.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::{MOST_BUILDS, MOST_METALS};
use crate::error::{at_most, invalid, within};
use crate::finish::Gloss;

/// What is requested.
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
    /// Whether black finishes outside blackening, for example black zinc, are compared too and marked; yes unless said
    /// otherwise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outside_blackening: Option<bool>,
    /// What matters how much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weights: Option<Weights>,
    /// How far each weight may be off, for the question how well supported #1 is; what is left out moves
    /// between half and twice its weight (assumption).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_ranges: Option<WeightRanges>,
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
    /// Films, innermost first; the usual default, water-displacing oil, if left out; `[]` for none.
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
    /// Gloss, shade and color asked for.
    Appearance,
    /// Distance to the heat limits of the layers.
    Heat,
    /// Thread allowance and friction.
    Assembly,
    /// How well supported the data behind the outlook are.
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
    /// Gloss, shade and color asked for.
    pub appearance: f64,
    /// Distance to the heat limits of the layers.
    pub heat: f64,
    /// Thread allowance and friction.
    pub assembly: f64,
    /// How well supported the data behind the outlook are.
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

/// Ends between which a weight may lie, on the scale of [`Weights`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct WeightRange {
    /// Lower end, above 0.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Ranges of the weights of the criteria.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct WeightRanges {
    /// Of the probability of meeting the required years.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub durability: Option<WeightRange>,
    /// Of the cost over the required years.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<WeightRange>,
    /// Of gloss, shade and color.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub appearance: Option<WeightRange>,
    /// Of the distance to the heat limits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heat: Option<WeightRange>,
    /// Of thread allowance and friction.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assembly: Option<WeightRange>,
    /// Of how well supported the data are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub confidence: Option<WeightRange>,
}

/// Factor either way within which a weight moves where no range is given (assumption).
const USUAL_WEIGHT_FACTOR: f64 = 2.0;

impl WeightRanges {
    fn in_order(&self) -> [Option<WeightRange>; 6] {
        [self.durability, self.cost, self.appearance, self.heat, self.assembly, self.confidence]
    }
}

impl Wants {
    /// Ends of each weight in the order of [`Criterion::ALL`]: the range given, else half and twice the weight.
    /// Only their ratios matter.
    pub fn weight_ends(&self) -> [(f64, f64); 6] {
        let weights = self.weights.clone().unwrap_or_default().in_order();
        let mut ends = weights.map(|weight| (weight / USUAL_WEIGHT_FACTOR, weight * USUAL_WEIGHT_FACTOR));
        let ranges = self.weight_ranges.as_ref().map(WeightRanges::in_order).unwrap_or_default();
        for (end, range) in ends.iter_mut().zip(ranges) {
            if let Some(WeightRange { low, high }) = range {
                *end = (low, high);
            }
        }
        ends
    }

    /// Whether finishes outside blackening are compared.
    pub fn looks_outside_blackening(&self) -> bool {
        self.outside_blackening.unwrap_or(true)
    }

    pub(super) fn check(&self) -> Result<()> {
        if let Some(limit) = self.cost_limit_per_thousand {
            within(
                "cost_limit_per_thousand",
                limit,
                f64::MIN_POSITIVE,
                1e12,
                "",
                "Enter a positive amount.",
            )?;
        }
        if let Some(target) = self.target_probability {
            within(
                "target_probability",
                target,
                0.01,
                0.9999,
                "",
                "Enter a probability, for example 0.9 for 90%.",
            )?;
        }
        if let Some(weights) = &self.weights {
            for (criterion, weight) in Criterion::ALL.iter().zip(weights.in_order()) {
                let field = format!("weights.{}", criterion.word());
                within(&field, weight, 0.0, 1e6, "", "Enter a weight of 0 or more.")?;
            }
            if weights.in_order().iter().sum::<f64>() <= 0.0 {
                return Err(invalid(
                    "weights",
                    "all zero",
                    "at least one above 0",
                    "Set the weight of one of them.",
                ));
            }
        }
        at_most("other_base_metals", self.other_base_metals.len(), MOST_METALS)?;
        at_most("builds", self.builds.as_ref().map_or(0, Vec::len), MOST_BUILDS)?;
        if let Some(ranges) = &self.weight_ranges {
            for (criterion, range) in Criterion::ALL.iter().zip(ranges.in_order()) {
                let Some(WeightRange { low, high }) = range else { continue };
                let field = format!("weight_ranges.{}", criterion.word());
                let remedy = "Enter a weight above 0, or leave the range out.";
                within(&format!("{field}.low"), low, 1e-6, 1e6, "", remedy)?;
                within(&format!("{field}.high"), high, 1e-6, 1e6, "", remedy)?;
                if low > high {
                    return Err(invalid(
                        &field,
                        format!("{low} to {high}"),
                        "low at or below high",
                        "Swap the ends of the range.",
                    ));
                }
            }
        }
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
