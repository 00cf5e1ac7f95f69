//! Numbers and catalog entries in the words of a reader: years, percent, money, base metal, black oxide, coats.

use crate::catalog::{Catalog, ResolvedBuild};
use crate::finish::{Build, Film, Treatment};
use crate::metal::BaseMetal;

/// Years beyond which no number is printed (see [`Outlook`](crate::life::Outlook)).
const LONGEST_YEARS: f64 = 100.0;
const MONTHS: f64 = 12.0;
const DAYS: f64 = 365.25;

/// A probability as a whole percentage; what is merely near 0 or 1 is never a flat 0% or 100%.
///
/// ```
/// use overcoat::report::percent;
/// assert_eq!([percent(0.894), percent(0.999), percent(0.001)], ["89%", ">99%", "<1%"]);
/// ```
pub fn percent(probability: f64) -> String {
    match probability {
        p if p >= 0.995 => ">99%".to_owned(),
        p if p < 0.01 => "<1%".to_owned(),
        p => format!("{:.0}%", p * 100.0),
    }
}

/// A time in the unit that a reader would use, with two significant digits.
struct Span {
    digits: String,
    unit: Unit,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    Years,
    Months,
    Days,
}

impl Span {
    fn of(years: f64) -> Self {
        let (number, unit) = match years {
            y if y >= 0.995 => (y, Unit::Years),
            y if y * MONTHS >= 1.5 => (y * MONTHS, Unit::Months),
            y => ((y * DAYS).max(1.0), Unit::Days),
        };
        let digits = match unit {
            Unit::Years if number < 9.95 => format!("{number:.1}"),
            _ => format!("{number:.0}"),
        };
        let digits = digits.strip_suffix(".0").unwrap_or(&digits).to_owned();
        Self { digits, unit }
    }

    fn words(&self) -> String {
        let one = self.digits == "1";
        let unit = match (self.unit, one) {
            (Unit::Years, true) => "year",
            (Unit::Years, false) => "years",
            (Unit::Months, true) => "month",
            (Unit::Months, false) => "months",
            (Unit::Days, true) => return "1 day or less".to_owned(),
            (Unit::Days, false) => "days",
        };
        format!("{} {unit}", self.digits)
    }

    fn short(&self) -> String {
        let unit = match self.unit {
            Unit::Years => "yr",
            Unit::Months => "mo",
            Unit::Days => "d",
        };
        format!("{} {unit}", self.digits)
    }
}

/// Years as one would say them: "16 years", "5 months", "6 days".
///
/// ```
/// use overcoat::report::years;
/// assert_eq!([years(16.2), years(1.0), years(0.4)], ["16 years", "1 year", "5 months"]);
/// assert_eq!(years(250.0), "more than 100 years");
/// ```
pub fn years(years: f64) -> String {
    if years > LONGEST_YEARS {
        return format!("more than {LONGEST_YEARS:.0} years");
    }
    Span::of(years).words()
}

/// Years for a column of a table: "16 yr", "5 mo", "6 d", ">100 yr".
pub fn years_short(years: f64) -> String {
    if years > LONGEST_YEARS {
        return format!(">{LONGEST_YEARS:.0} yr");
    }
    Span::of(years).short()
}

/// A range of years, its unit once where both ends have the same: "5 to 56 years".
pub fn years_range(low: f64, high: f64) -> String {
    let (from, to) = (Span::of(low), Span::of(high));
    if low > LONGEST_YEARS {
        return years(low);
    }
    if from.unit == to.unit && from.digits != "1" {
        return format!("{} to {}", from.digits, years(high));
    }
    format!("{} to {}", years(low), years(high))
}

/// A range of years for a column of a table: "5–56 yr".
pub fn years_range_short(low: f64, high: f64) -> String {
    let (from, to) = (Span::of(low), Span::of(high));
    if low <= LONGEST_YEARS && from.unit == to.unit {
        return format!("{}–{}", from.digits, years_short(high));
    }
    format!("{} – {}", years_short(low), years_short(high))
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
pub fn count(count: u64) -> String {
    thousands(&count.to_string())
}

/// Digits with a comma before each third from the right.
pub(super) fn thousands(digits: &str) -> String {
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// What heads a column of costs: "EUR per 1,000", or "cost index" where the built-in prices have no currency.
pub(super) fn has_currency(currency: &str) -> bool {
    currency != "relative"
}

/// A cost of a thousand pieces: "EUR 1,822 per 1,000".
pub fn cost(currency: &str, per_thousand: f64) -> String {
    if has_currency(currency) {
        format!("{currency} {} per 1,000", amount(per_thousand))
    } else {
        format!("cost {} per 1,000 (relative units)", amount(per_thousand))
    }
}

/// "1 piece", "1,500 pieces".
pub fn pieces(pieces: u64) -> String {
    if pieces == 1 { "1 piece".to_owned() } else { format!("{} pieces", count(pieces)) }
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

    /// The whole build in a line: "steel 5.8, black oxide class 1, epoxy electrocoat".
    pub fn line(&self) -> String {
        let Self { metal, oxide, outside, coats } = self;
        let oxide = match oxide.strip_prefix("class ") {
            Some(class) => format!("black oxide class {class}"),
            None if oxide == "none" => "no black oxide".to_owned(),
            None if *outside => format!("{oxide} (outside blackening)"),
            None => oxide.clone(),
        };
        let coats = if coats == "none" { "no coat" } else { coats };
        format!("{metal}, {oxide}, {coats}")
    }
}

/// A base metal without what an order adds: "steel 8.8", "stainless 316".
pub(super) fn metal_short(metal: &BaseMetal) -> String {
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
            end.and_then(|end| name.get(..end)).unwrap_or(name).to_owned()
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

    /// The thresholds of the style guide: months from 1.5 months on, days from 1.5 days on, whole years from 10 on.
    #[test]
    fn a_time_is_said_in_the_unit_that_fits() {
        for (value, long, short) in [
            (0.001, "1 day or less", "1 d"),
            (0.0165, "6 days", "6 d"),
            (0.13, "2 months", "2 mo"),
            (0.99, "12 months", "12 mo"),
            (1.0, "1 year", "1 yr"),
            (1.53, "1.5 years", "1.5 yr"),
            (9.94, "9.9 years", "9.9 yr"),
            (9.96, "10 years", "10 yr"),
            (56.4, "56 years", "56 yr"),
            (101.0, "more than 100 years", ">100 yr"),
        ] {
            assert_eq!((years(value).as_str(), years_short(value).as_str()), (long, short));
        }
    }

    #[test]
    fn a_range_has_its_unit_once() {
        assert_eq!(years_range(4.9, 56.0), "4.9 to 56 years");
        assert_eq!(years_range_short(4.9, 56.0), "4.9–56 yr");
        assert_eq!(years_range(0.5, 3.0), "6 months to 3 years");
        assert_eq!(years_range_short(0.5, 3.0), "6 mo – 3 yr");
        assert_eq!(years_range(20.0, 300.0), "20 to more than 100 years");
        assert_eq!(years_range_short(20.0, 300.0), "20–>100 yr");
        assert_eq!(years_range(200.0, 300.0), "more than 100 years");
    }

    #[test]
    fn a_model_result_is_never_a_flat_0_or_100_percent() {
        for (p, words) in
            [(0.0, "<1%"), (0.0099, "<1%"), (0.01, "1%"), (0.5, "50%"), (0.9949, "99%"), (1.0, ">99%")]
        {
            assert_eq!(percent(p), words);
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
        let stainless = words("stainless_316", "none", &[]);
        assert_eq!(stainless.line(), "stainless 316, no black oxide, no coat");
        for metal in catalog.content().base_metals.keys() {
            let said = words(metal, "hot_alkaline", &[]);
            assert!(!said.line().contains('_') && said.metal.chars().count() <= 22, "{said:?}");
        }
    }
}
