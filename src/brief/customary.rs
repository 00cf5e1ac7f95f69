//! Sentences with their metric quantities in US customary units, for threads and readers in inches.

/// Newtons in a pound-force, exact.
const LBF_N: f64 = 4.448_221_615_260_5;
/// Newton meters in a pound-force foot, exact.
const LBF_FT_NM: f64 = LBF_N * 0.3048;
/// Torque below which a wrench reads lbf·in, N·m (common practice).
const LBF_IN_BELOW_NM: f64 = 20.0;
/// Megapascals in 1000 psi.
const KSI_MPA: f64 = 1e-3 * LBF_N / (0.0254 * 0.0254);
/// Micrometers in a mil, exact.
pub(crate) const MIL_UM: f64 = 25.4;
/// Half a degree Celsius in °F: what a whole °C can have lost by rounding.
const HALF_C_F: f64 = 0.9;
/// Steps in which the inch trade sets temperatures, °F (common practice: 350, 375, 650, 800, 900, 1025 °F).
const TRADE_STEP_F: f64 = 25.0;
/// Hardness of steel in HV and HRC (ISO 18265 by memory, which the ranges of both scales in EN ISO 898-1 agree with). Below
/// 20 HRC the scale does not serve.
const HV_HRC: [(f64, f64); 32] = [
    (240.0, 20.3),
    (250.0, 22.2),
    (260.0, 24.0),
    (270.0, 25.6),
    (280.0, 27.1),
    (290.0, 28.5),
    (300.0, 29.8),
    (310.0, 31.0),
    (320.0, 32.2),
    (330.0, 33.3),
    (340.0, 34.4),
    (350.0, 35.5),
    (360.0, 36.6),
    (370.0, 37.7),
    (380.0, 38.8),
    (390.0, 39.8),
    (400.0, 40.8),
    (410.0, 41.8),
    (420.0, 42.7),
    (430.0, 43.6),
    (440.0, 44.5),
    (450.0, 45.3),
    (460.0, 46.1),
    (470.0, 46.9),
    (480.0, 47.7),
    (490.0, 48.4),
    (500.0, 49.1),
    (510.0, 49.8),
    (520.0, 50.5),
    (530.0, 51.1),
    (540.0, 51.7),
    (560.0, 53.0),
];

/// Units of the text that have another in US customary units.
const METRIC: [&str; 12] = ["HV", "°C", "µm", "mm", "N·m", "kN", "MPa", "g", "kg", "dm²", "g/m²", "A/dm²"];
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
        "HV" => return hrc(low).zip(hrc(high)).map(|(low, high)| between(&low, &high, "HRC")),
        "°C" => (|c| format!("{:.0}", fahrenheit(c)), "°F"),
        "µm" => (|um| trimmed(mils(um), 2), "mil"),
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
    Some(between(&of(low), &of(high), to))
}

fn between(low: &str, high: &str, unit: &str) -> String {
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// A temperature in °F: the usual one, of which a whole °C is the rounded value.
pub(crate) fn fahrenheit(c: f64) -> f64 {
    let exact = 1.8 * c + 32.0;
    let trade = TRADE_STEP_F * (exact / TRADE_STEP_F).round();
    if (exact - trade).abs() < HALF_C_F { trade } else { exact }
}

/// A thickness in mil: a whole one, of which a whole µm is the rounded value.
pub(crate) fn mils(um: f64) -> f64 {
    let exact = um / MIL_UM;
    let whole = exact.round();
    if whole >= 1.0 && (exact - whole).abs() * MIL_UM <= 0.5 { whole } else { exact }
}

/// A hardness in HRC; none beyond the table.
fn hrc(hv: f64) -> Option<String> {
    let (below, above) = HV_HRC.iter().zip(HV_HRC.iter().skip(1)).find(|((_, _), (most, _))| hv <= *most)?;
    let share = (hv - below.0) / (above.0 - below.0);
    (share >= 0.0).then(|| format!("{:.0}", below.1 + share * (above.1 - below.1)))
}

/// The hardness in HV of one in HRC; none beyond the table.
pub(crate) fn hv_of_hrc(hrc: f64) -> Option<f64> {
    let (below, above) = HV_HRC
        .iter()
        .zip(HV_HRC.iter().skip(1))
        .find(|((_, least), (_, most))| *least <= hrc && hrc <= *most)?;
    Some(below.0 + (hrc - below.1) / (above.1 - below.1) * (above.0 - below.0))
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
            ("110 to 240 HV, 60 HV more", "110 to 240 HV, 60 HV more"),
            ("343 °C, 427 °C, 482 °C (H900)", "650 °F, 800 °F, 900 °F (H900)"),
            ("25 µm of 51 µm, 20 µm", "1 mil of 2 mil, 0.79 mil"),
            ("preload 55.4 kN", "preload 12,500 lbf"),
            ("class 8.8, 90% of 3 mg/(m²·d)", "class 8.8, 90% of 3 mg/(m²·d)"),
            ("", ""),
        ] {
            assert_eq!(in_customary_units(metric), us);
            assert_eq!(in_customary_units(us), us, "twice is once");
        }
    }

    /// EN ISO 898-1 has both scales of its classes; ASTM F912 sets 45 to 53 HRC where ISO 898-5 has 45H, 450 to 560 HV.
    #[test]
    fn hardness_is_that_of_the_standards_that_have_both_scales() {
        for (vickers, rockwell) in [
            ("250 to 320 HV", "22 to 32 HRC"),
            ("255 to 335 HV", "23 to 34 HRC"),
            ("320 to 380 HV", "32 to 39 HRC"),
            ("385 to 435 HV", "39 to 44 HRC"),
            ("450 to 560 HV", "45 to 53 HRC"),
            ("above 390 HV.", "above 40 HRC."),
        ] {
            assert_eq!(in_customary_units(vickers), rockwell);
        }
    }

    #[test]
    fn three_digits_are_three() {
        let said = [1.234_5, 12.345, 123.45, 1234.5, 12_345.0, 99.96, 999.6].map(three_digits);
        assert_eq!(said, ["1.23", "12.3", "123", "1,230", "12,300", "100", "1,000"]);
    }
}
