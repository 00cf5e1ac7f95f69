//! What the steps cost, in one currency.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::error::within;
use crate::evidence::{GREATEST_PRICE, SourceKey, Value};

/// A price table. The built-in one is relative (blackening a kilogram of carbon steel = 1); a user catalog
/// brings a shop's own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Prices {
    /// Currency, as printed.
    pub currency: String,
    /// A finished blank of low-carbon steel, per kilogram.
    pub blank_per_kg: Value,
    /// Stripping a present plating, per kilogram.
    pub strip_per_kg: Value,
    /// Acid pickling with rinse, per kilogram.
    pub pickle_per_kg: Value,
    /// Blasting, per kilogram.
    pub blast_per_kg: Value,
    /// Baking against hydrogen embrittlement, per kilogram.
    pub bake_per_kg: Value,
    /// Masking or plugging, per piece.
    pub mask_per_piece: Value,
    /// Fitting a polymer insert after blackening, per piece.
    pub insert_per_piece: Value,
    /// Inspecting a lot.
    pub inspection_per_lot: Value,
    /// Least that a finisher charges for a lot.
    pub minimum_lot_charge: Value,
    /// Labor to replace one piece in service.
    pub replacement_labour_per_piece: Value,
    /// Rate at which later cost is discounted, per year.
    pub discount_rate_pct: Value,
}

impl Prices {
    fn values(&self) -> [(&'static str, &Value); 11] {
        [
            ("blank_per_kg", &self.blank_per_kg),
            ("strip_per_kg", &self.strip_per_kg),
            ("pickle_per_kg", &self.pickle_per_kg),
            ("blast_per_kg", &self.blast_per_kg),
            ("bake_per_kg", &self.bake_per_kg),
            ("mask_per_piece", &self.mask_per_piece),
            ("insert_per_piece", &self.insert_per_piece),
            ("inspection_per_lot", &self.inspection_per_lot),
            ("minimum_lot_charge", &self.minimum_lot_charge),
            ("replacement_labour_per_piece", &self.replacement_labour_per_piece),
            ("discount_rate_pct", &self.discount_rate_pct),
        ]
    }

    pub(crate) fn check(&self, path: &str) -> Result<()> {
        for (name, value) in self.values() {
            let high = if name == "discount_rate_pct" { 100.0 } else { GREATEST_PRICE };
            within(&format!("{path}.{name}"), value.value, 0.0, high, "", "Correct the price.")?;
        }
        Ok(())
    }

    pub(crate) fn source_keys(&self) -> Vec<&SourceKey> {
        self.values().into_iter().map(|(_, value)| &value.source).collect()
    }
}
