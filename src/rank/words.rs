//! Numbers and catalog entries in the words of a reader: years, percent, money, base metal, black oxide, coats.

use crate::catalog::{Catalog, ResolvedBuild};
use crate::finish::{Build, Film, Treatment};
use crate::metal::BaseMetal;

use crate::brief::Units;
use crate::brief::written::thousands;
use crate::life::factor_in_words;
pub(crate) use crate::life::years;
#[cfg(feature = "report")]
pub(crate) use crate::life::years_short;
use crate::rank::IN_PART;
#[cfg(feature = "report")]
use crate::rank::RankedOption;

/// A probability in percent; what is merely near 0 or 1 is never a flat 0% or 100%.
pub fn percent_in_words(probability: f64) -> String {
    match probability {
        p if p >= 0.995 => "over 99%".to_owned(),
        p if p < 0.01 => "under 1%".to_owned(),
        p => format!("{:.0}%", p * 100.0),
    }
}

/// A probability in percent; with a decimal where it rounds to a target that it does not reach.
pub(crate) fn percent_beside(probability: f64, target: f64) -> String {
    let rounded = |value: f64| (value * 100.0).round();
    if probability < target && rounded(probability) >= rounded(target) {
        // never rounded up to the target
        return format!("{:.1}%", (probability * 1000.0).floor() / 10.0);
    }
    percent(probability)
}

/// A probability as a whole percentage; what is merely near 0 or 1 is never a flat 0% or 100%.
///
/// ```
/// use overcoat::report::percent;
/// assert_eq!([percent(0.894), percent(0.999), percent(0.001)], ["89%", ">99%", "<1%"]);
/// ```
pub fn percent(probability: f64) -> String {
    with_signs(&percent_in_words(probability))
}

/// "over" and "under" as signs.
pub(crate) fn with_signs(percent: &str) -> String {
    percent.replace("over ", ">").replace("under ", "<")
}

/// An amount with commas for thousands; cents below 100 only.
///
/// ```
/// use overcoat::report::amount;
/// assert_eq!([amount(1821.7), amount(12.345), amount(9.8e6)], ["1,822", "12.35", "9.8 million"]);
/// ```
pub fn amount(amount: f64) -> String {
    if amount >= 999_950.0 {
        return format!("{:.1} million", amount / 1e6);
    }
    if amount < 100.0 {
        return format!("{amount:.2}");
    }
    thousands(&format!("{amount:.0}"))
}

/// A count with commas for thousands.
#[cfg(feature = "report")]
pub fn count(count: u64) -> String {
    thousands(&count.to_string())
}

/// What heads a column of costs: "EUR per 1,000", or "cost index" where the built-in prices have no currency.
pub(crate) fn has_currency(currency: &str) -> bool {
    currency != "relative"
}

/// A cost of a thousand pieces: "EUR 1,822 per 1,000".
pub fn cost(currency: &str, per_thousand: f64) -> String {
    let figure = cost_figure(currency, per_thousand);
    if has_currency(currency) && !currency.starts_with(IN_PART) { figure } else { format!("cost {figure}") }
}

/// The same behind a word that names it as a cost: "718 per 1,000 (relative units)".
pub(crate) fn cost_figure(currency: &str, per_thousand: f64) -> String {
    let amount = amount(per_thousand);
    match currency.strip_prefix(IN_PART) {
        Some(_) => format!("{MIXED}{amount} per 1,000"),
        None if has_currency(currency) => format!("{currency} {amount} per 1,000"),
        None => format!("{amount} per 1,000 (relative units)"),
    }
}

/// Marks a total that is in no currency, since the catalog has own prices for a part of its lines only.
pub(crate) const MIXED: &str = "~";

/// What the mark of such a total means.
#[cfg(feature = "report")]
pub(crate) fn mixed_in_words(currency: &str) -> String {
    format!("{MIXED} in no currency: the catalog has no {currency} price for a part of it")
}

/// "1 piece", "1,500 pieces".
#[cfg(feature = "report")]
pub fn pieces(pieces: u64) -> String {
    crate::brief::written::pieces(pieces)
}

/// The first letter as a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// The text as one sentence: a capital first, a full stop last.
pub fn sentence(text: &str) -> String {
    let text = capital(text.trim());
    if text.ends_with(['.', '!', '?']) { text } else { format!("{text}.") }
}

/// Marks a process of another family than blackening.
pub(crate) const OUTSIDE: &str = " (outside blackening)";

/// The parts of a build as a table has them, each under its own heading.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct BuildWords {
    /// The base metal, short: "steel 8.8", "stainless 316".
    pub metal: String,
    /// The class of black oxide, or the process where it has none.
    pub oxide: String,
    /// Whether the process belongs to another family than blackening.
    pub outside: bool,
    /// The films, innermost first.
    pub coats: String,
}

impl BuildWords {
    /// The words of a build; its catalog names where the catalog does not know it.
    pub fn of(build: &Build, catalog: &Catalog) -> Self {
        match catalog.resolve(build) {
            Ok(ResolvedBuild { metal, treatment, films }) => Self {
                metal: metal_short(metal),
                oxide: oxide_short(treatment),
                outside: treatment.outside_blackening,
                coats: coats(&films.iter().map(|(_, film)| *film).collect::<Vec<_>>()),
            },
            Err(_) => Self {
                metal: build.base_metal.clone(),
                oxide: build.treatment.clone(),
                outside: false,
                coats: if build.films.is_empty() { "none".to_owned() } else { build.films.join(" + ") },
            },
        }
    }

    /// The words of an option: coats that leave the thread out are marked.
    #[cfg(feature = "report")]
    pub(crate) fn of_option(option: &RankedOption, catalog: &Catalog) -> Self {
        let mut words = Self::of(&option.build, catalog);
        if option.is_head_only() {
            words.coats.push_str(", head only");
        }
        words
    }

    /// The same with its thicknesses in these units.
    pub(crate) fn in_units(self, units: Units) -> Self {
        Self { oxide: units.sentence(&self.oxide), ..self }
    }

    /// The process in words: "black oxide class 1", "black zinc flake (outside blackening)".
    pub fn process(&self) -> String {
        let Self { oxide, outside, .. } = self;
        match oxide.strip_prefix("class ") {
            Some(class) => format!("black oxide class {class}"),
            None if oxide == "none" => "no black oxide".to_owned(),
            None if *outside => format!("{oxide}{OUTSIDE}"),
            None => oxide.clone(),
        }
    }

    /// The whole build in a line: "steel 5.8, black oxide class 1, epoxy electrocoat".
    pub fn line(&self) -> String {
        let Self { metal, outside, coats, .. } = self;
        let oxide = self.process();
        let coats = match coats.as_str() {
            "none" if *outside => "no further coat",
            "none" => "no coat",
            coats => coats,
        };
        format!("{metal}, {oxide}, {coats}")
    }
}

/// A factor of an outlook without catalog keys: "salt-spray hours of hard wax".
///
/// ```
/// use overcoat::catalog::Catalog;
/// use overcoat::report::factor_words;
/// let words = |factor| factor_words(factor, Catalog::built_in());
/// assert_eq!(words("atmosphere"), "atmosphere");
/// assert_eq!(words("field factor of acrylic_lacquer"), "field life of clear acrylic lacquer");
/// ```
pub fn factor_words(factor: &str, catalog: &Catalog) -> String {
    let words = factor_in_words(factor);
    match words.rsplit_once(' ') {
        Some((before, key)) => match catalog.film(key) {
            Ok(film) => format!("{before} {}", film.name),
            Err(_) => words,
        },
        None => words,
    }
}

/// A base metal without what an order adds: "steel 8.8", "stainless 316".
pub(crate) fn metal_short(metal: &BaseMetal) -> String {
    if let Some(class) = &metal.property_class
        && let Some((before, _)) = metal.name.split_once("property class")
        && before.contains("steel")
    {
        return format!("steel {class}");
    }
    let end = [" (", " / ", ","].iter().filter_map(|mark| metal.name.find(mark)).min();
    end.and_then(|end| metal.name.get(..end)).unwrap_or(&metal.name).to_owned()
}

fn oxide_short(treatment: &Treatment) -> String {
    match treatment.class {
        Some(class) => format!("class {class}"),
        None if treatment.bath_temperature_c.is_none() && !treatment.outside_blackening => "none".to_owned(),
        None if treatment.outside_blackening => {
            let name = treatment.name.strip_prefix("electroplated ").unwrap_or(&treatment.name);
            let end = [" with ", " ("].iter().filter_map(|mark| name.find(mark)).min();
            let short = end.and_then(|end| name.get(..end)).unwrap_or(name);
            // the industry says "black zinc" for zinc with a black passivate or topcoat
            if name.contains(" with black ") { format!("black {short}") } else { short.to_owned() }
        }
        None => treatment.name.replace("room-temperature", "room-temp."),
    }
}

fn coats(films: &[&Film]) -> String {
    if films.is_empty() {
        return "none".to_owned();
    }
    let names = films.iter().map(|film| {
        let name = film.name.strip_prefix("black ").unwrap_or(&film.name);
        name.split(',').next().unwrap_or(name).replace("electrocoat", "e-coat")
    });
    names.collect::<Vec<_>>().join(" + ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_model_result_is_never_a_flat_0_or_100_percent() {
        for (p, words) in
            [(0.0, "<1%"), (0.0099, "<1%"), (0.01, "1%"), (0.5, "50%"), (0.9949, "99%"), (1.0, ">99%")]
        {
            assert_eq!(percent(p), words);
        }
    }

    #[test]
    fn what_misses_a_target_is_not_printed_as_the_target() {
        for (p, target, words) in [
            (0.8957, 0.9, "89.5%"),
            (0.9, 0.9, "90%"),
            (0.8949, 0.9, "89%"),
            (0.996, 0.999, "99.6%"),
            (0.9999, 0.999, ">99%"),
            (0.95, 0.0, "95%"),
        ] {
            assert_eq!(percent_beside(p, target), words, "{p} of {target}");
        }
    }

    #[test]
    fn money_has_commas_and_cents_below_a_hundred() {
        for (value, words) in
            [(0.5, "0.50"), (99.994, "99.99"), (100.0, "100"), (999.6, "1,000"), (1_234_567.0, "1.2 million")]
        {
            assert_eq!(amount(value), words);
        }
        assert_eq!((pieces(1).as_str(), pieces(12_345).as_str()), ("1 piece", "12,345 pieces"));
        assert_eq!(cost("EUR", 1821.7), "EUR 1,822 per 1,000");
        assert!(cost("relative", 1821.7).contains("relative units"));
    }

    /// Every name of the catalog becomes short words without a catalog key.
    #[test]
    fn builds_are_words_and_no_keys() {
        let catalog = Catalog::built_in();
        let words = |metal: &str, treatment: &str, films: &[&str]| {
            BuildWords::of(&Build::new(metal, treatment, films.iter().copied()), catalog)
        };
        let steel = words("steel_5_8", "hot_alkaline", &["epoxy_electrocoat", "polyester_powder"]);
        assert_eq!((steel.metal.as_str(), steel.oxide.as_str()), ("steel 5.8", "class 1"));
        assert!(steel.coats.contains(" + ") && !steel.coats.contains("black"));
        assert_eq!(words("steel_8_8", "zinc_flake_black", &[]).oxide, "black zinc flake 8 µm");
        let stainless = words("stainless_316", "none", &[]);
        assert_eq!(stainless.line(), "stainless 316, no black oxide, no coat");
        for metal in catalog.content().base_metals.keys() {
            let said = words(metal, "hot_alkaline", &[]);
            assert!(!said.line().contains('_') && said.metal.chars().count() <= 22, "{said:?}");
        }
    }
}
