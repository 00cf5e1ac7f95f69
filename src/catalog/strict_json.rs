//! JSON that rejects what serde_json lets pass: repeated keys, and unknown names without a suggestion.

use std::fmt;

use serde::de::{DeserializeOwned, Deserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, de};
use serde_json::{Map, Number, Value};

use crate::catalog::{FormWords, form_in_words};
use crate::error::{InvalidDocument, nearest};
use crate::{Error, Result};

/// Longest brief, catalog or sheet of papers, bytes. A tree of values takes some thirty times the room of its
/// text, so what is longer is rejected unread.
pub const MOST_BYTES: usize = 16 << 20;

/// Reads `text` of at most [`MOST_BYTES`] into a JSON value; a key given twice is an error instead of a silent
/// overwrite.
pub fn parse(document: &str, text: &str) -> Result<Value> {
    parse_up_to(MOST_BYTES, document, text)
}

/// As [`parse`], to another length.
pub fn parse_up_to(most_bytes: usize, document: &str, text: &str) -> Result<Value> {
    if text.len() > most_bytes {
        return Err(too_long(document, "the text", most_bytes as u64));
    }
    let mut reader = serde_json::Deserializer::from_str(text.trim_start_matches('\u{feff}'));
    let mut track = serde_path_to_error::Track::new();
    let value = NoRepeats::deserialize(serde_path_to_error::Deserializer::new(&mut reader, &mut track))
        .map_err(|e| malformed(document, &track.path().to_string(), &e))?;
    reader.end().map_err(|e| malformed(document, ".", &e))?;
    Ok(value.0)
}

/// The error of a document of more than `most_bytes`.
pub fn too_long(document: &str, what: &str, most_bytes: u64) -> Error {
    InvalidDocument {
        document: document.to_owned(),
        field: ".".to_owned(),
        reason: format!("{what} has more than {most_bytes} bytes"),
        nearest: None,
        remedy: "Split it.".to_owned(),
    }
    .into()
}

/// Rejects lists anywhere but in the fields named: serde would read a list as the fields of an object in order.
pub fn lists_only_in(document: &str, value: &Value, fields: &[&str]) -> Result<()> {
    fn walk(value: &Value, path: &mut Vec<String>, allowed: bool, fields: &[&str]) -> bool {
        match value {
            Value::Array(_) if !allowed => false,
            Value::Array(items) => items.iter().enumerate().all(|(i, item)| {
                path.push(format!("[{i}]"));
                walk(item, path, false, fields) && path.pop().is_some()
            }),
            Value::Object(entries) => entries.iter().all(|(key, entry)| {
                path.push(format!(".{key}"));
                walk(entry, path, fields.contains(&key.as_str()), fields) && path.pop().is_some()
            }),
            _ => true,
        }
    }
    let mut path = Vec::new();
    if walk(value, &mut path, false, fields) {
        return Ok(());
    }
    let place = path.concat();
    Err(InvalidDocument {
        document: document.to_owned(),
        field: if place.is_empty() { ".".to_owned() } else { place.trim_start_matches('.').to_owned() },
        reason: "a list where an object or a single value belongs".to_owned(),
        nearest: None,
        remedy: "Give named fields in braces, or the value itself.".to_owned(),
    }
    .into())
}

/// Reads a value into its type; the error names the path, and for an unknown field the nearest known one.
pub fn typed<T: DeserializeOwned>(document: &str, value: Value) -> Result<T> {
    serde_path_to_error::deserialize(value).map_err(|e| {
        let path = e.path().to_string();
        malformed(document, &path, e.inner())
    })
}

fn malformed(document: &str, path: &str, error: &serde_json::Error) -> Error {
    // Where the text breaks off inside a value, the last step of the path is unknown.
    let path = match path.trim_end_matches('?').trim_end_matches('.') {
        "" => ".",
        known => known,
    };
    let reason = in_words(&error.to_string());
    if let Some((found, _)) = reason.split_once(", expected struct ") {
        // serde reads a list as the fields in order, and tells that it is too short
        let found = if found.starts_with("invalid length") { "a list" } else { found };
        return InvalidDocument {
            document: document.to_owned(),
            field: path.to_owned(),
            reason: format!("{} where named fields belong", found.trim_start_matches("invalid type: ")),
            nearest: None,
            remedy: "Write the fields with their names in braces.".to_owned(),
        }
        .into();
    }
    let quoted: Vec<&str> = reason.split('`').skip(1).step_by(2).collect();
    let (suggestion, remedy) =
        match (reason.split_once('`').map(|(before, _)| before.trim()), quoted.as_slice()) {
            // people name a part by a word, whose letters may be those of another
            (Some("unknown variant"), [word, ..]) if path == "part.form" => form_meant(word, &quoted),
            (Some("unknown field" | "unknown variant"), [unknown, known @ ..]) => {
                let nearest = nearest(unknown, known.iter().copied());
                let remedy = nearest.as_ref().map_or_else(
                    || "Remove it or use one of the names listed.".to_owned(),
                    |name| format!("Did you mean `{name}`?"),
                );
                (nearest, remedy)
            }
            (Some("missing field"), _) => (None, "Add the field.".to_owned()),
            (Some("repeated key"), _) => (None, "Keep one of the two.".to_owned()),
            _ if error.is_syntax() || error.is_eof() => (None, "Correct the JSON at that place.".to_owned()),
            _ => (None, "Enter a value of that kind.".to_owned()),
        };
    InvalidDocument {
        document: document.to_owned(),
        field: path.to_owned(),
        reason,
        nearest: suggestion,
        remedy,
    }
    .into()
}

/// The form of part meant by a word that is not a key, with the remedy.
fn form_meant(word: &str, known: &[&str]) -> (Option<String>, String) {
    let meant = match form_in_words(word) {
        FormWords::One(key) => key.to_owned(),
        FormWords::SeveralKinds(keys) => {
            return (None, format!("One kind of part at a time: {}.", keys.join(", ")));
        }
        FormWords::AnyOf(keys) => return (None, format!("It can be any of these: {}.", keys.join(", "))),
        FormWords::Unknown => match nearest(word, known.iter().skip(1).copied()) {
            Some(key) => key,
            None => return (None, "Use one of the names listed, or `other`.".to_owned()),
        },
    };
    let remedy = format!("Did you mean `{meant}`?");
    (Some(meant), remedy)
}

/// The reason with what was expected in the words of a person.
fn in_words(reason: &str) -> String {
    const WORDS: [(&str, &str); 7] = [
        ("expected u64", "expected a whole number"),
        ("expected u32", "expected a whole number"),
        ("expected u8", "expected a whole number"),
        ("expected f64", "expected a number"),
        ("expected a boolean", "expected true or false"),
        ("floating point `", "number `"),
        ("integer `", "number `"),
    ];
    WORDS.iter().fold(reason.to_owned(), |told, (of_code, of_person)| told.replace(of_code, of_person))
}

/// The first control character of a text that is neither a line break nor a tab.
pub fn control_character(text: &str) -> Option<char> {
    text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t'))
}

struct NoRepeats(Value);

impl<'de> Deserialize<'de> for NoRepeats {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        deserializer.deserialize_any(NoRepeatsVisitor).map(NoRepeats)
    }
}

struct NoRepeatsVisitor;

impl<'de> Visitor<'de> for NoRepeatsVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any JSON value")
    }

    fn visit_bool<E>(self, v: bool) -> std::result::Result<Value, E> {
        Ok(Value::Bool(v))
    }

    fn visit_i64<E>(self, v: i64) -> std::result::Result<Value, E> {
        Ok(Value::Number(v.into()))
    }

    fn visit_u64<E>(self, v: u64) -> std::result::Result<Value, E> {
        Ok(Value::Number(v.into()))
    }

    fn visit_f64<E: de::Error>(self, v: f64) -> std::result::Result<Value, E> {
        Number::from_f64(v).map(Value::Number).ok_or_else(|| E::custom("not a finite number"))
    }

    fn visit_str<E: de::Error>(self, v: &str) -> std::result::Result<Value, E> {
        // Text ends in terminals, pages and tables: escape sequences must not ride along.
        match control_character(v) {
            Some(c) => Err(E::custom(format!("text with the control character {c:?}"))),
            None => Ok(Value::String(v.to_owned())),
        }
    }

    fn visit_unit<E>(self) -> std::result::Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> std::result::Result<Value, A::Error> {
        let mut values = Vec::new();
        while let Some(NoRepeats(value)) = seq.next_element()? {
            values.push(value);
        }
        Ok(Value::Array(values))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> std::result::Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(key) = map.next_key::<String>()? {
            if object.contains_key(&key) {
                return Err(de::Error::custom(format!("repeated key `{key}`")));
            }
            let NoRepeats(value) = map.next_value()?;
            object.insert(key, value);
        }
        Ok(Value::Object(object))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_repeated_key_is_refused_with_its_path() {
        let error = parse("catalog", r#"{"films": {"oil": {}, "oil": {}}}"#).unwrap_err();
        assert_eq!(error.kind(), "document");
        assert!(error.to_string().contains("repeated key `oil`"), "{error}");
        assert!(error.field().contains("films"), "{error}");
    }

    #[test]
    fn what_follows_the_document_is_refused() {
        assert!(parse("brief", "{} {}").is_err());
        assert_eq!(parse("brief", "").unwrap_err().field(), ".");
        assert_eq!(parse("brief", r#"{"duty": {"years": 05}}"#).unwrap_err().field(), "duty.years");
        assert_eq!(parse("brief", r#"{"duty": {"years": 5 5}}"#).unwrap_err().field(), "duty");
        assert!(parse("brief", &"[".repeat(100_000)).is_err());
    }
}
