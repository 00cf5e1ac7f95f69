//! What a thousand pieces cost over the required years: blanks, preparation, finish, inspection, and replacing
//! them at the end of each median life, discounted.

use std::borrow::Cow;
use std::sync::{Arc, Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::Brief;
use crate::catalog::{Catalog, Prices, ResolvedBuild};
use crate::check::{Finding, Step};
use crate::error::invalid;
use crate::evidence::Source;
use crate::evidence::Value;
use crate::math::{MOST_REPLACEMENTS, replacements_of};
use crate::rank::Lot;
use crate::rank::words::cost_figure;

/// Cost of one build, line by line, per thousand pieces.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Cost {
    /// Currency of the catalog.
    pub currency: String,
    /// Over the required years; each replacement falls at the median life.
    pub per_thousand: f64,
    /// Delivered once.
    pub purchase_per_thousand: f64,
    /// How often the parts are replaced within the required years.
    pub replacements: f64,
    /// Where it comes from; the lines sum to `per_thousand`.
    pub lines: Vec<Arc<CostLine>>,
}

/// One line of a cost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct CostLine {
    /// What is paid for.
    pub item: Cow<'static, str>,
    /// Amount per thousand pieces.
    pub per_thousand: f64,
    /// Where the price comes from.
    pub source: Source,
}

/// Lines of purchases, each made once for all builds of a brief that pay it: by the place of its price in the catalog, by
/// what else its words depend on, and by the amount.
#[derive(Debug, Default)]
pub(crate) struct CostLines(Mutex<Vec<(LineKey, Arc<CostLine>)>>);

type LineKey = (usize, u64, u64);

impl CostLines {
    fn line(
        &self,
        item: impl FnOnce() -> Cow<'static, str>,
        of: u64,
        per_thousand: f64,
        price: &Value,
        catalog: &Catalog,
    ) -> Arc<CostLine> {
        let key = (std::ptr::from_ref(price).addr(), of, per_thousand.to_bits());
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, line)) = known.iter().find(|(other, _)| *other == key) {
            return Arc::clone(line);
        }
        let line = line_of(item(), per_thousand, price, catalog);
        known.push((key, Arc::clone(&line)));
        line
    }
}

fn line_of(item: Cow<'static, str>, per_thousand: f64, price: &Value, catalog: &Catalog) -> Arc<CostLine> {
    let item = if is_without_price(price, catalog) {
        [item.as_ref(), AT_RELATIVE_PRICE].concat().into()
    } else {
        item
    };
    Arc::new(CostLine { item, per_thousand, source: catalog.source(&price.source) })
}

/// log2(1 + rate) of the yearly discount rate.
pub(crate) fn log2_growth(prices: &Prices) -> f64 {
    (prices.discount_rate_pct.value / 100.0).ln_1p() * std::f64::consts::LOG2_E
}

/// Source of the most replacements that are counted.
pub(crate) const FAILS_AT_ONCE: Source = Source::assumption(
    "what would be replaced more than a hundred times within the required years fails at once: no one buys it for that, \
     and a hundred replacements show it",
);

/// Keys of the sources of built-in prices, which are relative to each other and in no currency.
const RELATIVE_PRICES: [&str; 2] = ["price_relative", "default_prices"];
/// Begins the currency of a total of which lines are at relative prices.
pub(crate) const IN_PART: &str = "part ";
/// Marks a line at a relative price where the catalog has a currency.
const AT_RELATIVE_PRICE: &str = " (relative price)";

/// Whether a price is still the built-in relative one in a catalog that has a currency.
fn is_without_price(price: &Value, catalog: &Catalog) -> bool {
    catalog.content().prices.currency != "relative"
        && price.value > 0.0
        && RELATIVE_PRICES.contains(&price.source.as_str())
        && catalog.source(&price.source) == Catalog::built_in().source(&price.source)
}

/// Rejects a limit in a currency where a total is in part at relative prices: no sum of the two is a price.
pub(crate) fn check_limit(brief: &Brief, bought: &Cost, catalog: &Catalog) -> Result<()> {
    let Some(limit) = brief.wants.cost_limit_per_thousand.filter(|_| bought.is_relative_in_part(catalog))
    else {
        return Ok(());
    };
    let labor = "replacement labor";
    let missing = bought.items_without_price().next().unwrap_or(labor);
    Err(invalid(
        "wants.cost_limit_per_thousand",
        limit,
        &format!(
            "a limit where every price is in {}: {missing} has a relative price",
            catalog.content().prices.currency
        ),
        "Enter the missing prices in the catalog, or leave the limit out.",
    ))
}

/// The currency of a table of costs: in words that no currency is mistaken for where a price of them is relative.
pub(crate) fn currency_of(catalog: &Catalog, relative: bool) -> String {
    let currency = &catalog.content().prices.currency;
    if relative { in_part(currency) } else { currency.clone() }
}

fn in_part(currency: &str) -> String {
    format!("{IN_PART}{currency}, part relative")
}

/// Lines of most costs, or fewer.
const USUAL_LINES: usize = 8;

/// The cost of a build, with the steps that findings add.
///
/// ```text
/// purchase  = blanks + max(finishing, 1000/N · least lot charge) + 1000/N · inspection     N pieces in the lot
/// blanks    = M · price per kg · factor of the grade                                      M, A: kg and dm² of 1000
/// finishing = M · (strip + pickle + blast + bake + treatment) + A · Σ films + 1000 · (mask + insert)
/// total     = purchase + (purchase + 1000 · labor) · Σ (1 + i)^(-j·t50),  j = 1 … ceil(T/t50) - 1
/// ```
///
/// Steps count where a finding asks for them. Without finishing there is no lot charge and no inspection. At most
/// a hundred replacements are counted: what would need more fails at once (`FAILS_AT_ONCE`). The same lines without steps and replacements, for what the industry delivers
/// when nothing is said (water-displacing oil over the usual black of the first base metal), are the yardstick of the
/// cost criterion.
pub fn cost(
    lot: &Lot,
    build: &ResolvedBuild,
    findings: &[Finding],
    median_years: f64,
    required_years: f64,
    catalog: &Catalog,
) -> Cost {
    let prices = &catalog.content().prices;
    let bought = purchase(lot, build, findings, catalog, &CostLines::default());
    let (replacements, discounted) =
        replacements_of(required_years / median_years, log2_growth(prices) * median_years);
    let each = bought.per_thousand + 1000.0 * prices.replacement_labour_per_piece.value;
    let total = bought.per_thousand + discounted * each;
    bought.replaced(replacements, total, catalog)
}

/// What a thousand pieces cost to buy, with the steps that findings add.
pub(crate) fn purchase(
    lot: &Lot,
    build: &ResolvedBuild,
    findings: &[Finding],
    catalog: &Catalog,
    known: &CostLines,
) -> Cost {
    let ResolvedBuild { metal, treatment, films } = build;
    let prices = &catalog.content().prices;
    let mut lines = Vec::with_capacity(USUAL_LINES);
    let kg = 1000.0 * lot.mass_kg;
    let dm2 = 1000.0 * lot.surface_dm2;

    let blanks = kg * prices.blank_per_kg.value * metal.price_factor.value;
    if blanks > 0.0 {
        let of_metal = std::ptr::from_ref(*metal).addr() as u64;
        let item = || ["blanks of ", metal.name.as_str()].concat().into();
        lines.push(known.line(item, of_metal, blanks, &prices.blank_per_kg, catalog));
    }
    let mut finishing = 0.0;
    let mut charge = |item: &str, hours: Option<f64>, amount: f64, price: &Value| {
        finishing += amount;
        if amount > 0.0 {
            let words = || match hours {
                Some(hours) => format!("{item} {hours} h").into(),
                None => item.to_owned().into(),
            };
            lines.push(known.line(words, hours.unwrap_or_default().to_bits(), amount, price, catalog));
        }
    };
    // one mask or plug serves thread and marked surfaces alike
    let masks = findings.iter().position(|f| matches!(f.step, Some(Step::MaskThread | Step::MaskSurface)));
    for (place, finding) in findings.iter().enumerate() {
        let (item, hours, amount, price) = match finding.step {
            Some(Step::StripInAcid | Step::StripWithoutAcid) => ("stripping", None, kg, &prices.strip_per_kg),
            Some(Step::Pickle) => ("pickling", None, kg, &prices.pickle_per_kg),
            Some(Step::Blast) => ("blasting", None, kg, &prices.blast_per_kg),
            Some(Step::BakeHours(hours)) => ("baking", Some(hours), kg, &prices.bake_per_kg),
            Some(Step::MaskThread | Step::MaskSurface) if masks == Some(place) => {
                ("masking", None, 1000.0, &prices.mask_per_piece)
            }
            Some(Step::InsertAfterwards) => ("fitting inserts", None, 1000.0, &prices.insert_per_piece),
            _ => continue,
        };
        charge(item, hours, amount * price.value, price);
    }
    charge(&treatment.name, None, kg * treatment.price_per_kg.value, &treatment.price_per_kg);
    for (_, film) in films {
        charge(&film.name, None, dm2 * film.price_per_dm2.value, &film.price_per_dm2);
    }
    if finishing > 0.0 {
        let of_lot = |price: &Value| price.value * 1000.0 / lot.pieces;
        let top_up = of_lot(&prices.minimum_lot_charge) - finishing;
        if top_up > 0.0 {
            // another one for nearly every build
            let item = "top-up to the minimum lot charge".into();
            lines.push(line_of(item, top_up, &prices.minimum_lot_charge, catalog));
        }
        let inspection = of_lot(&prices.inspection_per_lot);
        if inspection > 0.0 {
            let item = || "inspection of the lot".into();
            lines.push(known.line(item, 0, inspection, &prices.inspection_per_lot, catalog));
        }
    }
    let purchase: f64 = lines.iter().map(|l| l.per_thousand).sum();

    Cost {
        currency: prices.currency.clone(),
        per_thousand: purchase,
        purchase_per_thousand: purchase,
        replacements: 0.0,
        lines,
    }
    .with_its_currency()
}

impl Cost {
    /// Whether more replacements would be needed than are counted (`FAILS_AT_ONCE`): the total is then no price.
    pub fn fails_at_once(&self) -> bool {
        self.replacements >= MOST_REPLACEMENTS
    }

    /// Whether its purchase, or a replacement, is at a relative price in a catalog that has a currency.
    pub(crate) fn is_relative_in_part(&self, catalog: &Catalog) -> bool {
        let labor = &catalog.content().prices.replacement_labour_per_piece;
        self.items_without_price().next().is_some() || is_without_price(labor, catalog)
    }

    /// The lines at relative prices in a catalog that has a currency: the total is then in none.
    pub(crate) fn items_without_price(&self) -> impl Iterator<Item = &str> {
        self.lines.iter().filter_map(|line| line.item.strip_suffix(AT_RELATIVE_PRICE))
    }

    /// The total with its unit: "EUR 611 per 1,000".
    pub(crate) fn in_words(&self) -> String {
        cost_figure(&self.currency, self.per_thousand)
    }

    /// Names the currency as far as the lines are in it.
    fn with_its_currency(mut self) -> Self {
        if self.items_without_price().next().is_some() && !self.currency.starts_with(IN_PART) {
            self.currency = in_part(&self.currency);
        }
        self
    }

    /// The cost with so many replacements, which bring it to a total.
    pub(crate) fn replaced(mut self, replacements: f64, total: f64, catalog: &Catalog) -> Self {
        let follow_on = total - self.purchase_per_thousand;
        if follow_on > 0.0 {
            let item = if replacements >= MOST_REPLACEMENTS {
                format!(
                    "too short-lived to price; {MOST_REPLACEMENTS} replacements counted, with labor, discounted"
                )
            } else {
                let s = if replacements == 1.0 { "" } else { "s" };
                format!("{replacements} replacement{s} with labor, discounted")
            };
            let labor = &catalog.content().prices.replacement_labour_per_piece;
            self.lines.push(line_of(item.into(), follow_on, labor, catalog));
        }
        self.lines.shrink_to_fit();
        Self { per_thousand: total, replacements, ..self }.with_its_currency()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn replacements(median_years: f64, required_years: f64, rate: f64) -> (f64, f64) {
        replacements_of(required_years / median_years, rate.ln_1p() * std::f64::consts::LOG2_E * median_years)
    }

    /// Independent: the geometric series in 50 digits, a life of 30 seconds over 0.1 years at 3%.
    #[test]
    fn replacements_of_very_short_lives_keep_their_digits() {
        let (count, discounted) = replacements(1e-6, 5e-5, 0.03);
        // the fiftieth life ends with the last year
        assert_eq!(count, 49.0);
        assert!((discounted / 48.999_963_790_484_91 - 1.0).abs() < 1e-14, "{discounted:e}");
    }

    #[test]
    fn replacements_fall_at_the_end_of_each_life() {
        assert_eq!(replacements(10.0, 10.0, 0.03).0, 0.0);
        assert_eq!(replacements(4.0, 10.0, 0.0), (2.0, 2.0));
        let (count, discounted) = replacements(4.0, 10.0, 0.05);
        assert_eq!(count, 2.0);
        // Present value of 1 after 4 and after 8 years at 5%, by hand: 0.822702 + 0.676839.
        assert!((discounted - 1.499_542).abs() < 1e-5);
        assert_eq!(replacements(f64::INFINITY, 10.0, 0.05), (0.0, 0.0));
        assert_eq!(replacements(0.0, 10.0, 0.05), (100.0, 100.0));
        // Independent: the geometric series in 50 digits.
        let (_, discounted) = replacements(0.1, 10.0, 0.05);
        assert!((discounted / 78.325_286_300_589 - 1.0).abs() < 1e-13, "{discounted}");
    }
}
