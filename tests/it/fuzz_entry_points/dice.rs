//! Random choices, and mutations of bytes and of JSON.

use serde_json::{Value as Json, json};

/// A small generator (xorshift64*): fuzzing needs speed and repeatability, no more.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn roll(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// 0 to `n` - 1; 0 for an `n` of 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.roll() >> 33) as usize % n.max(1)
    }

    pub(crate) fn pick<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.below(items.len())]
    }
}

/// Texts that readers of numbers, dates and names are known to trip over.
pub(crate) const SCRAPS: [&str; 44] = [
    "",
    " ",
    "0",
    "-0",
    "-1",
    "1",
    "1e308",
    "1e309",
    "-1e309",
    "5e-324",
    "1e-400",
    "NaN",
    "nan",
    "Infinity",
    "-inf",
    "0x10",
    "1_000",
    "1,5",
    "99999999999999999999",
    "9007199254740993",
    "null",
    "true",
    "[]",
    "{}",
    "\"\"",
    "\u{feff}",
    "\u{0}",
    "\u{7f}",
    "\u{202e}",
    "µm",
    "é",
    "\\u0000",
    "\\ud800",
    "\"",
    "\\",
    ",",
    ":",
    "{",
    "[[[[[[",
    "\n",
    "\r\n",
    ";",
    "=1+1",
    "../../etc/passwd",
];

/// Numbers at the edges of doubles and of what the fields take.
pub(crate) const EDGES: [f64; 22] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    0.01,
    100.0,
    1e12,
    1e308,
    f64::MAX,
    f64::MIN_POSITIVE,
    5e-324,
    1e-300,
    -273.15,
    0.5,
    60.0,
    1e6,
    20_000.0,
    12.0,
    0.999_999,
    2e9,
    -60.0,
    40.0,
];

/// Mutates bytes; what is no longer UTF-8 is repaired, as a reader of files refuses it before.
pub(crate) fn mutate_bytes(text: &str, dice: &mut Dice) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len());
        let to = (at + 1 + dice.below(30)).min(bytes.len());
        match dice.below(7) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << dice.below(8),
            1 if !bytes.is_empty() => bytes[at] = dice.roll() as u8,
            2 => drop(bytes.drain(at..to)),
            3 => {
                let again = bytes[at..to].to_vec();
                bytes.splice(at..at, again);
            }
            4 => bytes.truncate(at),
            _ => drop(bytes.splice(at..at, dice.pick(&SCRAPS).bytes())),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A value that fits somewhere, seldom where it is put.
pub(crate) fn any_json(dice: &mut Dice) -> Json {
    match dice.below(9) {
        0 => Json::Null,
        1 => json!(dice.below(2) == 0),
        2 => json!([]),
        3 => json!({}),
        4 => json!(*dice.pick(&SCRAPS)),
        5 => {
            json!(*dice.pick(&["M8", "6g", "steel_8_8", "coastal", "first_rust", "gloss", "acrylic_lacquer"]))
        }
        6 => json!([[*dice.pick(&SCRAPS)]]),
        _ => json!(*dice.pick(&EDGES)),
    }
}

/// Mutates one place of a document: another value, a scaled number, a lost, doubled or renamed field.
pub(crate) fn mutate_json(value: &mut Json, dice: &mut Dice) {
    let deeper = dice.below(8) != 0;
    match value {
        Json::Object(fields) if deeper && !fields.is_empty() => {
            let keys: Vec<String> = fields.keys().cloned().collect();
            let key = dice.pick(&keys).clone();
            match dice.below(14) {
                0 => drop(fields.remove(&key)),
                1 => {
                    let moved = fields.remove(&key).unwrap_or_default();
                    fields.insert(format!("{key}{}", dice.pick(&SCRAPS)), moved);
                }
                2 => {
                    let other = fields[dice.pick(&keys)].clone();
                    fields.insert(key, other);
                }
                _ => mutate_json(&mut fields[&key], dice),
            }
        }
        Json::Array(items) if deeper && !items.is_empty() => {
            let at = dice.below(items.len());
            match dice.below(5) {
                0 => drop(items.remove(at)),
                1 => items.push(items[at].clone()),
                2 => items.reverse(),
                _ => mutate_json(&mut items[at], dice),
            }
        }
        Json::Number(number) if deeper => {
            let old = number.as_f64().unwrap_or_default();
            let factors = [0.0, -1.0, 1e-9, 1e-3, 0.1, 0.5, 0.999, 1.001, 2.0, 10.0, 1e3, 1e9, 1e300];
            *value = json!(old * dice.pick(&factors));
        }
        Json::String(text) if deeper => *text = mutate_bytes(text, dice),
        _ => *value = any_json(dice),
    }
}

/// One to four mutations of a document's structure, of its text, or of both.
pub(crate) fn mutate_document(text: &str, dice: &mut Dice) -> String {
    if dice.below(4) == 0 {
        return mutate_bytes(text, dice);
    }
    let mut value: Json = serde_json::from_str(text).unwrap();
    // one mutation is most likely to get past the reader
    for _ in 0..=dice.below(8).saturating_sub(4) {
        mutate_json(&mut value, dice);
    }
    let written = value.to_string();
    if dice.below(10) == 0 { mutate_bytes(&written, dice) } else { written }
}
