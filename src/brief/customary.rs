//! Sentences with their metric quantities in US customary units, for threads and readers in inches.

/// Newtons in a pound-force, exact.
const LBF_N: f64 = 4.448_221_615_260_5;
/// Newton meters in a pound-force foot, exact.
const LBF_FT_NM: f64 = LBF_N * 0.3048;
/// Torque below which a wrench reads lbf·in, N·m (common practice).
const LBF_IN_BELOW_NM: f64 = 20.0;
/// Megapascals in 1000 psi.
const KSI_MPA: f64 = 1e-3 * LBF_N / (0.0254 * 0.0254);

/// Units of the text that have another in US customary units.
const METRIC: [&str; 11] = ["°C", "µm", "mm", "N·m", "kN", "MPa", "g", "kg", "dm²", "g/m²", "A/dm²"];
/// Marks of a quantity that is in US customary units already.
const CUSTOMARY: [&str; 8] = ["°F", "mil", "in)", "lbf", "ksi", "ft²", "oz", "lb)"];

/// The text with its metric quantities in US customary units. Where the text has both, the customary one in parentheses,
/// that one stays.
///
/// A quantity is a number, or two with "to" between them, and a unit behind a space.
pub(crate) fn in_customary_units(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let mut out: Vec<String> = Vec::with_capacity(words.len());
    let mut at = 0;
    while let Some(word) = words.get(at) {
        at += 1;
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')']);
        let number = |back: usize| out.len().checked_sub(back).and_then(|place| parsed(out.get(place)?));
        let Some((lead, high)) = number(1).filter(|_| METRIC.contains(&unit)) else {
            out.push((*word).to_owned());
            continue;
        };
        let range = out.len() >= 3 && out.get(out.len() - 2).is_some_and(|between| between == "to");
        let from = number(3).filter(|_| range);
        let (lead, low) = from.unwrap_or((lead, high));
        let lead = lead.to_owned();
        let mut behind = word.get(unit.len()..).unwrap_or_default();
        let converted =
            if let Some((inside, length, after)) = in_parentheses(words.get(at..).unwrap_or_default()) {
                at += length;
                behind = after;
                Some(inside)
            } else {
                customary(low, high, unit)
            };
        match converted {
            Some(converted) => {
                out.truncate(out.len() - if from.is_some() { 3 } else { 1 });
                out.push(format!("{lead}{converted}{behind}"));
            }
            None => out.push((*word).to_owned()),
        }
    }
    out.join(" ")
}

/// A number behind an opening parenthesis or none.
fn parsed(word: &str) -> Option<(&str, f64)> {
    let digits = word.trim_start_matches('(');
    let value = digits.replace(',', "").parse().ok()?;
    Some((word.get(..word.len() - digits.len())?, value))
}

/// The customary quantity in parentheses that the words begin with, how many words it has, and what is behind it.
fn in_parentheses<'t>(words: &[&'t str]) -> Option<(String, usize, &'t str)> {
    words.first().filter(|word| word.starts_with('('))?;
    let length = 1 + words.iter().position(|word| word.contains(')'))?;
    let all = words.get(..length)?.join(" ");
    let end = all.find(')')?;
    let inside = all.get(1..=end).filter(|inside| CUSTOMARY.iter().any(|unit| inside.contains(unit)))?;
    let last = words.get(length - 1)?;
    let after = last.find(')').and_then(|place| last.get(place + 1..))?;
    Some((inside.trim_end_matches(')').to_owned(), length, after))
}

fn customary(low: f64, high: f64, unit: &str) -> Option<String> {
    let (of, to): (fn(f64) -> String, _) = match unit {
        "°C" => (|c| format!("{:.0}", 1.8 * c + 32.0), "°F"),
        "µm" => (|um| trimmed(um / 25.4, 2), "mil"),
        "mm" => (|mm| trimmed(mm / 25.4, 3), "in"),
        "N·m" if high < LBF_IN_BELOW_NM => (|nm| three_digits(12.0 * nm / LBF_FT_NM), "lbf·in"),
        "N·m" => (|nm| three_digits(nm / LBF_FT_NM), "lbf·ft"),
        "kN" => (|kn| three_digits(1000.0 * kn / LBF_N), "lbf"),
        "MPa" => (|mpa| three_digits(mpa / KSI_MPA), "ksi"),
        "g" => (|g| three_digits(g / 28.349_523_125), "oz"),
        "kg" => (|kg| three_digits(kg / 0.453_592_37), "lb"),
        "A/dm²" => (|current| trimmed(current * 0.3048 * 0.3048 * 100.0, 0), "A/ft²"),
        "dm²" => (|dm2| three_digits(dm2 / (0.254 * 0.254)), "in²"),
        _ => return None,
    };
    let (low, high) = (of(low), of(high));
    Some(if low == high { format!("{low} {to}") } else { format!("{low} to {high} {to}") })
}

/// At most so many decimals, without idle zeros.
fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Three significant digits, with commas for thousands.
fn three_digits(value: f64) -> String {
    match value.abs() {
        x if x >= 9_995.0 => {
            let hundreds = (value / 100.0).round() * 100.0;
            format!("{:.0},{:03.0}", (hundreds / 1000.0).floor(), hundreds % 1000.0)
        }
        x if x >= 999.5 => {
            let tens = (value / 10.0).round() * 10.0;
            format!("{:.0},{:03.0}", (tens / 1000.0).floor(), tens % 1000.0)
        }
        x if x >= 99.95 => format!("{value:.0}"),
        x if x >= 9.995 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 lbf·ft = 1.355 818 N·m, 1 lbf = 4.448 222 N, 1 ksi = 6.894 757 MPa, 1 mil = 25.4 µm.
    #[test]
    fn quantities_change_and_all_else_stays() {
        for (metric, us) in [
            (
                "Tighten with 18.5 N·m (M8 8.8: preload 18.6 kN at most",
                "Tighten with 164 lbf·in (M8 8.8: preload 4,180 lbf at most",
            ),
            ("120 N·m.", "88.5 lbf·ft."),
            ("Layers of 40 to 80 µm in a 2A thread.", "Layers of 1.57 to 3.15 mil in a 2A thread."),
            (
                "rated for 80 °C continuous and 100 °C for minutes",
                "rated for 176 °F continuous and 212 °F for minutes",
            ),
            ("bake 8 h at 190 to 220 °C (375 to 425 °F), then oil", "bake 8 h at 375 to 425 °F, then oil"),
            ("kept 25 °C (45 °F) or more below", "kept 45 °F or more below"),
            ("a lot (17.0 g, 0.20 dm²)", "a lot (0.60 oz, 3.10 in²)"),
            ("weight 16 g/m² (1500 mg/ft²) or more", "weight 1500 mg/ft² or more"),
            ("weight 16 g/m² or more", "weight 16 g/m² or more"),
            ("bath, 0.5 to 3 A/dm² (low)", "bath, 5 to 28 A/ft² (low)"),
            ("940 MPa (yield)", "136 ksi (yield)"),
            ("preload 55.4 kN", "preload 12,500 lbf"),
            ("class 8.8, 90% of 3 mg/(m²·d)", "class 8.8, 90% of 3 mg/(m²·d)"),
            ("", ""),
        ] {
            assert_eq!(in_customary_units(metric), us);
            assert_eq!(in_customary_units(us), us, "twice is once");
        }
    }

    #[test]
    fn three_digits_are_three() {
        let said = [1.234_5, 12.345, 123.45, 1234.5, 12_345.0, 99.96, 999.6].map(three_digits);
        assert_eq!(said, ["1.23", "12.3", "123", "1,230", "12,300", "100", "1,000"]);
    }
}
