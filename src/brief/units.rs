//! Numbers of a brief written as text with a unit: "285 °F", "0.4 mil", "1 1/2 in", "18 months".
//!
//! The name of a field ends in its unit. Text there is one number and one unit, and is converted to that unit; text
//! that can be read in two ways is rejected.

use serde_json::Value as Json;

use crate::Result;
use crate::brief::{BRIEF_SCHEMA, Brief, LISTS};
use crate::catalog::strict_json;
use crate::error::{Error, invalid};

/// Powers of length, mass and time.
type Dimensions = [i32; 3];

/// A unit as its value in m, kg and s with its dimensions.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Unit {
    value: f64,
    dimensions: Dimensions,
}

const NONE: Dimensions = [0, 0, 0];
const LENGTH: Dimensions = [1, 0, 0];
const MASS: Dimensions = [0, 1, 0];
const TIME: Dimensions = [0, 0, 1];
const DAY: f64 = 86_400.0;
/// A Julian year, as for all years here.
const YEAR: f64 = 365.25 * DAY;
const INCH: f64 = 0.0254;
const POUND: f64 = 0.453_592_37;

/// What a field takes, by the end of its name, longest end first.
const WANTED: [(&str, &str, Wanted); 11] = [
    ("months_per_year", "months", Wanted::Unit(YEAR / 12.0, TIME)),
    ("_mg_m2_day", "mg/(m²·day)", Wanted::Unit(1e-6 / DAY, [-2, 1, -1])),
    ("_years", "years", Wanted::Unit(YEAR, TIME)),
    ("_dm2", "dm²", Wanted::Unit(0.01, [2, 0, 0])),
    ("_pct", "%", Wanted::Percent),
    ("_um", "µm", Wanted::Unit(1e-6, LENGTH)),
    ("_mm", "mm", Wanted::Unit(1e-3, LENGTH)),
    ("_hv", "HV", Wanted::Vickers),
    ("_m", "m", Wanted::Unit(1.0, LENGTH)),
    ("_g", "g", Wanted::Unit(1e-3, MASS)),
    ("_c", "°C", Wanted::Celsius),
];

#[derive(Debug, Clone, Copy)]
enum Wanted {
    Unit(f64, Dimensions),
    Percent,
    Vickers,
    Celsius,
}

/// Names of units, and what one of them is.
const KNOWN: [(&[&str], f64, Dimensions); 32] = [
    (&["m", "meter", "meters", "metre", "metres"], 1.0, LENGTH),
    (&["dm"], 0.1, LENGTH),
    (&["cm"], 0.01, LENGTH),
    (&["mm", "millimeter", "millimeters"], 1e-3, LENGTH),
    (&["µm", "μm", "um", "micron", "microns", "micrometer", "micrometers"], 1e-6, LENGTH),
    (&["nm"], 1e-9, LENGTH),
    (&["km"], 1e3, LENGTH),
    (&["in", "inch", "inches", "\"", "″"], INCH, LENGTH),
    (&["mil", "mils", "thou"], INCH / 1000.0, LENGTH),
    (&["ft", "foot", "feet", "'", "′"], 12.0 * INCH, LENGTH),
    (&["yd", "yard", "yards"], 36.0 * INCH, LENGTH),
    (&["nautical_mile", "nautical_miles"], 1852.0, LENGTH),
    (&["sqin", "sqinch", "sqinches"], INCH * INCH, [2, 0, 0]),
    (&["sqft", "sqfoot", "sqfeet"], 144.0 * INCH * INCH, [2, 0, 0]),
    (&["sqm"], 1.0, [2, 0, 0]),
    (&["sqcm"], 1e-4, [2, 0, 0]),
    (&["sqmm"], 1e-6, [2, 0, 0]),
    (&["g", "gram", "grams"], 1e-3, MASS),
    (&["mg"], 1e-6, MASS),
    (&["µg", "μg", "ug"], 1e-9, MASS),
    (&["kg", "kilogram", "kilograms"], 1.0, MASS),
    (&["t", "tonne", "tonnes"], 1000.0, MASS),
    (&["lb", "lbs", "pound", "pounds"], POUND, MASS),
    (&["oz", "ounce", "ounces"], POUND / 16.0, MASS),
    (&["s", "second", "seconds"], 1.0, TIME),
    (&["min", "minute", "minutes"], 60.0, TIME),
    (&["h", "hr", "hour", "hours"], 3600.0, TIME),
    (&["d", "day", "days"], DAY, TIME),
    (&["wk", "wks", "week", "weeks"], 7.0 * DAY, TIME),
    (&["mo", "month", "months"], YEAR / 12.0, TIME),
    (&["a", "y", "yr", "yrs", "year", "years"], YEAR, TIME),
    (&["decade", "decades"], 10.0 * YEAR, TIME),
];

/// What can be read in two ways, and what to write.
const AMBIGUOUS: [(&[&str], &str); 8] = [
    (&["F"], "Write °F."),
    (&["C"], "Write °C."),
    (&["deg", "°"], "Write °C or °F."),
    (&["mile", "miles", "mi"], "Statute and nautical miles differ: write km or nautical_mile."),
    (&["ton", "tons"], "Short, long and metric tons differ: write kg or lb."),
    (&["Mm"], "Write mm."),
    (&["Mg"], "Write mg."),
    (&["HRC", "HRB", "HB"], "Hardness scales do not convert exactly: enter HV, converted by ISO 18265."),
];

/// Characters of a text with a unit, or fewer.
const LONGEST: usize = 80;

impl Brief {
    /// Reads a brief whose numbers may be text with a unit: "285 °F", "0.4 mil", "1 1/2 in", "18 months".
    ///
    /// ```
    /// use overcoat::brief::Brief;
    /// let brief = Brief::from_json_with_units(r#"{
    ///     "schema": "overcoat.brief.v1", "name": "manifold bracket",
    ///     "part": {"form": "bracket", "mass_g": "6 oz", "surface_dm2": "20 sq in"},
    ///     "duty": {"place": "rural", "heat_continuous_c": "285 °F", "required_years": "18 months"}
    /// }"#)?;
    /// assert_eq!(brief.duty.required_years, 1.5);
    /// assert!((brief.duty.heat_continuous_c.unwrap() - 140.5556).abs() < 1e-4);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    ///
    /// # Errors
    /// Those of [`Brief::from_json`]; text without a unit, of another quantity, or that can be read in two ways.
    pub fn from_json_with_units(text: &str) -> Result<Self> {
        let mut document = strict_json::parse("brief", text)?;
        if document.is_object() {
            crate::catalog::check_schema("brief", document.get("schema"), BRIEF_SCHEMA)?;
        }
        plain_numbers(&mut document, "")?;
        let brief: Self = strict_json::typed("brief", document.clone())?;
        strict_json::lists_only_in("brief", &document, &LISTS)?;
        brief.check()?;
        Ok(brief)
    }
}

/// Replaces each text with a unit by its number.
pub(super) fn plain_numbers(value: &mut Json, path: &str) -> Result<()> {
    match value {
        Json::Object(fields) => {
            for (name, entry) in fields {
                let field = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                let wanted = WANTED.iter().find(|(end, _, _)| name.ends_with(end));
                match (entry.as_str(), wanted) {
                    (Some(text), Some((_, words, wanted))) => {
                        *entry = number_in(text, &field, words, *wanted)?.into();
                    }
                    _ => plain_numbers(entry, &field)?,
                }
            }
            Ok(())
        }
        Json::Array(entries) => entries
            .iter_mut()
            .enumerate()
            .try_for_each(|(i, entry)| plain_numbers(entry, &format!("{path}[{i}]"))),
        _ => Ok(()),
    }
}

/// The number of a text in the wanted unit.
fn number_in(text: &str, field: &str, words: &str, wanted: Wanted) -> Result<f64> {
    let refused = |remedy: &str| -> Error {
        let shown: String = text.chars().take(LONGEST).collect();
        let allowed = format!("a number in {words}, or text with a unit that converts to {words}");
        invalid(field, format!("{shown:?}"), &allowed, remedy)
    };
    if text.chars().count() > LONGEST {
        return Err(refused("Enter one number and one unit."));
    }
    let plain = text.trim().replace('−', "-").replace(['\u{a0}', '\u{202f}'], " ");
    let Some((number, unit)) = split_number(&plain) else {
        let comma =
            if text.contains(',') { " Write decimals with a point, thousands without a mark." } else { "" };
        return Err(refused(&format!("Enter one number and one unit.{comma}")));
    };
    if !number.is_finite() {
        return Err(refused("Enter a finite number."));
    }
    let unit = unit.trim().trim_end_matches('.');
    if unit.is_empty() {
        return Err(refused(&format!("Add the unit, or remove the quotes for a number in {words}.")));
    }
    if let Some((_, remedy)) = AMBIGUOUS.iter().find(|(names, _)| names.contains(&unit)) {
        return Err(refused(remedy));
    }
    let (value, dimensions) = match wanted {
        Wanted::Percent if matches!(unit, "%" | "percent" | "pct") => return Ok(number),
        Wanted::Percent => return Err(refused("Write %.")),
        Wanted::Vickers if matches!(unit, "HV" | "hv") => return Ok(number),
        Wanted::Vickers => {
            return Err(refused("Enter HV; hardness scales do not convert exactly (ISO 18265)."));
        }
        Wanted::Celsius => {
            return celsius(number, unit).map(rounded).ok_or_else(|| refused("Write °C, °F or K."));
        }
        Wanted::Unit(value, dimensions) => (value, dimensions),
    };
    // "4 months/year" is what a field of months a year takes
    let per_year = ["/a", "/yr", "/year", "per year", "per a"];
    let unit = match per_year.iter().find_map(|end| unit.strip_suffix(end)) {
        Some(months) if field.ends_with("months_per_year") => months.trim(),
        _ => unit,
    };
    let Some(given) = read_unit(unit) else {
        return Err(refused(&format!("There is no unit {unit:?} here. Use one that converts to {words}.")));
    };
    if given.dimensions != dimensions {
        return Err(refused(&format!("{unit:?} measures another quantity.")));
    }
    Ok(rounded(number * given.value / value))
}

/// Twelve figures: 38.1 and not 38.099999999999994 for what was meant as 1 1/2 in.
fn rounded(number: f64) -> f64 {
    format!("{number:.11e}").parse().unwrap_or(number)
}

fn celsius(number: f64, unit: &str) -> Option<f64> {
    let name =
        unit.trim_start_matches("degrees").trim_start_matches("deg").trim_start_matches(['.', '°', ' ']);
    match name {
        "C" | "Celsius" | "℃" => Some(number),
        "F" | "Fahrenheit" | "℉" => Some((number - 32.0) / 1.8),
        "K" if unit == "K" => Some(number - 273.15),
        _ => None,
    }
}

/// The number at the start of a text, as a decimal, a fraction or a mixed number, and what follows.
fn split_number(text: &str) -> Option<(f64, &str)> {
    let (sign, rest) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let (number, rest) = fraction(rest).or_else(|| mixed(rest)).or_else(|| decimal(rest))?;
    // neither "1,5" nor "1.2.3" nor "1/2/3" is one number
    (!rest.starts_with([',', '.', '/']) && !rest.starts_with(|c: char| c.is_ascii_digit()))
        .then_some((sign * number, rest))
}

fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (number, rest) = text.split_at_checked(end)?;
    Some((number.parse().ok()?, rest))
}

fn fraction(text: &str) -> Option<(f64, &str)> {
    let (over, rest) = digits(text)?;
    let (under, rest) = digits(rest.strip_prefix('/')?)?;
    (under > 0.0).then_some((over / under, rest))
}

fn mixed(text: &str) -> Option<(f64, &str)> {
    let (whole, rest) = digits(text)?;
    let (part, rest) = fraction(rest.strip_prefix([' ', '-'])?)?;
    Some((whole + part, rest))
}

fn decimal(text: &str) -> Option<(f64, &str)> {
    let mut end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    if let Some(power) = text.get(end..).filter(|rest| rest.starts_with(['e', 'E'])) {
        let signed = power.get(1..)?;
        let unsigned = signed.strip_prefix(['+', '-']).unwrap_or(signed);
        let length = unsigned.find(|c: char| !c.is_ascii_digit()).unwrap_or(unsigned.len());
        if length > 0 {
            end += 1 + (signed.len() - unsigned.len()) + length;
        }
    }
    let (number, rest) = text.split_at_checked(end)?;
    Some((number.parse().ok()?, rest))
}

/// A product and quotient of known units, each with a power of 1 to 4: `mg/(m²·day)`, `mg/m2/day`, `sq in`.
fn read_unit(text: &str) -> Option<Unit> {
    let text = text.replace("square ", "sq").replace("sq. ", "sq").replace("sq ", "sq");
    let text = text.replace(" per ", "/").replace("**", "^");
    let mut unit = Unit { value: 1.0, dimensions: NONE };
    let mut sign = 1;
    let mut inside = false;
    let mut rest = text.trim();
    let mut expects_name = true;
    while let Some(mark) = rest.chars().next() {
        match mark {
            ' ' => {}
            '·' | '*' | '⋅' if !expects_name => {
                expects_name = true;
                if !inside {
                    sign = 1;
                }
            }
            '/' if !expects_name && !inside => (sign, expects_name) = (-1, true),
            '(' if sign < 0 && expects_name && !inside => inside = true,
            ')' if inside && !expects_name => inside = false,
            _ => {
                let (name, power, after) = factor(rest)?;
                let (_, value, dimensions) = KNOWN.iter().find(|(names, _, _)| names.contains(&name))?;
                let power = sign * power;
                unit.value *= value.powi(power);
                for (total, one) in unit.dimensions.iter_mut().zip(dimensions) {
                    *total += one * power;
                }
                expects_name = false;
                rest = after;
                continue;
            }
        }
        rest = rest.get(mark.len_utf8()..)?;
    }
    (!expects_name && !inside).then_some(unit)
}

/// A name with its power, and what follows.
fn factor(text: &str) -> Option<(&str, i32, &str)> {
    let is_name = |c: char| c.is_alphabetic() || matches!(c, '_' | '"' | '″' | '\'' | '′');
    let end = text.find(|c: char| !is_name(c)).unwrap_or(text.len());
    let (name, rest) = text.split_at_checked(end).filter(|(name, _)| !name.is_empty())?;
    for (mark, power) in [("²", 2), ("³", 3), ("⁻¹", -1), ("⁻²", -2)] {
        if let Some(rest) = rest.strip_prefix(mark) {
            return Some((name, power, rest));
        }
    }
    let unmarked = rest.strip_prefix('^').unwrap_or(rest);
    let (sign, unsigned) = unmarked.strip_prefix('-').map_or((1, unmarked), |unsigned| (-1, unsigned));
    match unsigned.chars().next().and_then(|c| c.to_digit(10)) {
        Some(power @ 1..=4) => Some((name, sign * i32::try_from(power).ok()?, unsigned.get(1..)?)),
        Some(_) => None,
        None => Some((name, 1, rest)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(field: &str, text: &str) -> Result<f64> {
        let mut document = serde_json::json!({ field: text });
        plain_numbers(&mut document, "")?;
        Ok(document[field].as_f64().unwrap())
    }

    /// 1 in = 25.4 mm and 1 lb = 453.59237 g exactly (international yard and pound); a year of 365.25 days.
    #[test]
    fn text_becomes_the_unit_of_the_field() {
        for (field, text, number) in [
            ("heat_continuous_c", "285 °F", 140.555_555_556),
            ("heat_continuous_c", "-40 degF", -40.0),
            ("heat_peak_c", "413.15 K", 140.0),
            ("loss_um", "0.4 mil", 10.16),
            ("length_mm", "1 1/2 in", 38.1),
            ("length_mm", "3/4\"", 19.05),
            ("length_mm", "1-1/2 in", 38.1),
            ("sea_distance_m", "300 ft", 91.44),
            ("sea_distance_m", "1.5e3 m", 1500.0),
            ("surface_dm2", "20 sq in", 1.290_32),
            ("surface_dm2", "20 square inches", 1.290_32),
            ("surface_dm2", "20 sq. inches", 1.290_32),
            ("surface_dm2", "130 sq cm", 1.3),
            ("surface_dm2", "130 cm²", 1.3),
            ("surface_dm2", "130 cm^2", 1.3),
            ("mass_g", "0.5 lb", 226.796_185),
            ("mass_g", "6 oz", 170.097_138_75),
            ("required_years", "18 months", 1.5),
            ("required_years", "1 year", 1.0),
            ("months_per_year", "4 months/year", 4.0),
            ("chloride_mg_m2_day", "80 mg/m2/day", 80.0),
            ("chloride_mg_m2_day", "80 mg/(m²·d)", 80.0),
            ("so2_mg_m2_day", "3.6525 g/(m²·a)", 10.0),
            ("relative_humidity_pct", "80%", 80.0),
            ("hardness_hv", "320 HV", 320.0),
        ] {
            let found = read(field, text).unwrap();
            assert!((found - number).abs() <= 1e-9 * number.abs(), "{field} {text}: {found}");
        }
    }

    #[test]
    fn text_that_can_be_read_in_two_ways_or_not_at_all_is_refused_with_a_remedy() {
        for (field, text, remedy) in [
            ("heat_peak_c", "285 F", "Write °F."),
            ("heat_peak_c", "285", "Add the unit"),
            ("heat_peak_c", "285 m", "°C, °F or K"),
            ("mass_g", "1 ton", "kg or lb"),
            ("mass_g", "1,5 kg", "decimals with a point"),
            ("mass_g", "1.2.3 kg", "one number"),
            ("mass_g", "1/0 kg", "one number"),
            ("mass_g", "4 cm", "another quantity"),
            ("mass_g", "4 stone", "There is no unit"),
            ("mass_g", "4 kg/", "There is no unit"),
            ("hardness_hv", "40 HRC", "ISO 18265"),
            ("required_years", "", "one number"),
            ("required_years", "1e999 years", "finite"),
            ("relative_humidity_pct", "0.8 m", "Write %."),
            ("length_mm", "1 m^9", "There is no unit"),
        ] {
            let error = read(field, text).unwrap_err();
            assert_eq!(error.field(), field);
            assert!(error.remedy().contains(remedy), "{text}: {error}");
        }
        let long = "9".repeat(2000) + " m";
        assert!(read("length_mm", &long).unwrap_err().to_string().len() < 400);
    }

    #[test]
    fn what_is_no_number_or_has_no_unit_is_left_alone() {
        let mut document = serde_json::json!({"name": "5 kg", "part": {"form": "bracket", "mass_g": 5}});
        let before = document.clone();
        plain_numbers(&mut document, "").unwrap();
        assert_eq!(document, before);
    }
}
