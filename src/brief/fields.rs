//! The fields of a brief by name, so that tables, grids and what-ifs move any of them.
//!
//! The names come from the types themselves, as serde reads them: a field that is added to the part, the duty or the
//! wants is one here too.

use std::sync::LazyLock;

use serde::de::value::Error as SerdeError;
use serde::de::{Deserializer, Visitor};
use serde::{Deserialize, forward_to_deserialize_any};
use serde_json::{Map, Value};

use super::{Brief, Duty, Part, RoadSalt, Wants, Weights};
use crate::Result;
use crate::catalog::strict_json;
use crate::error::{invalid, unknown};

/// A field of the part, the duty or the wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// Its name without the section, for example `required_years` or `road_salt.months_per_year`.
    pub name: String,
    /// `part`, `duty` or `wants`.
    pub section: &'static str,
}

static FIELDS: LazyLock<Vec<Field>> = LazyLock::new(|| {
    let mut fields = Vec::new();
    for (section, names) in
        [("duty", names_of::<Duty>()), ("part", names_of::<Part>()), ("wants", names_of::<Wants>())]
    {
        for name in names {
            // the builds of a table are an argument of their own
            if (section, *name) == ("wants", "builds") {
                continue;
            }
            fields.push(Field { name: (*name).to_owned(), section });
            let inner = match *name {
                "road_salt" => names_of::<RoadSalt>(),
                "weights" => names_of::<Weights>(),
                _ => &[],
            };
            fields.extend(inner.iter().map(|inner| Field { name: format!("{name}.{inner}"), section }));
        }
    }
    fields
});

impl Field {
    /// All of them: those of the duty first, then of the part and the wants.
    pub fn all() -> &'static [Self] {
        &FIELDS
    }

    /// The field of a name, with or without its section before it.
    ///
    /// # Errors
    /// A name that is none.
    ///
    /// ```
    /// use overcoat::brief::Field;
    /// assert_eq!(Field::of("duty.required_years")?, Field::of("required_years")?);
    /// assert_eq!(Field::of("requierd_years").unwrap_err().remedy(), "Name a field of duty, part or wants.");
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn of(name: &str) -> Result<&'static Self> {
        Self::find(name).ok_or_else(|| {
            let known = FIELDS.iter().map(|field| field.name.as_str());
            unknown(name, name, known, "Name a field of duty, part or wants.")
        })
    }

    /// As [`of`](Self::of), or none.
    pub fn find(name: &str) -> Option<&'static Self> {
        let (section, bare) = match name.split_once('.') {
            Some((section @ ("part" | "duty" | "wants"), bare)) => (Some(section), bare),
            _ => (None, name),
        };
        FIELDS.iter().find(|field| field.name == bare && section.is_none_or(|given| given == field.section))
    }

    /// The field of the duty that a column of a table was probably meant to be, where it is none itself: written with
    /// other letters, in another unit, or with a slip of the pen.
    pub(crate) fn nearly(column: &str) -> Option<&'static Self> {
        let plain = |name: &str| name.trim().to_lowercase().replace([' ', '-'], "_");
        let given = plain(column);
        let given = given.strip_prefix("duty.").unwrap_or(&given);
        if given.chars().count() > 60 {
            return None;
        }
        let of_duty = FIELDS.iter().filter(|field| field.section == "duty");
        of_duty
            .map(|field| (nearness(given, &field.name), field))
            .filter(|(nearness, _)| *nearness > 0.82)
            .max_by(|(a, _), (b, _)| a.total_cmp(b))
            .map(|(_, field)| field)
    }

    /// Puts a value into a brief that is a JSON document; `null` takes the field out.
    fn put(&self, document: &mut Value, value: Value) {
        let mut path: Vec<&str> = std::iter::once(self.section).chain(self.name.split('.')).collect();
        let Some(last) = path.pop() else { return };
        let mut at = document;
        for step in path {
            let Value::Object(object) = at else { return };
            let inner = object.entry(step).or_insert_with(|| Value::Object(Map::new()));
            if inner.is_null() {
                *inner = Value::Object(Map::new());
            }
            at = inner;
        }
        if let Value::Object(object) = at {
            if value.is_null() {
                object.remove(last);
            } else {
                object.insert(last.to_owned(), value);
            }
        }
    }

    /// What the text of a cell says as a value of this field: a word, a number, a truth value, or JSON. None where
    /// the field takes none of these.
    pub(crate) fn value_of_text(&self, text: &str) -> Option<Value> {
        let text = text.trim();
        let mut candidates = vec![Value::String(text.to_owned())];
        candidates.extend(serde_json::from_str::<Value>(text).ok());
        candidates.extend(text.parse::<f64>().ok().map(number));
        candidates.extend(match text.to_lowercase().as_str() {
            "true" | "yes" => Some(Value::Bool(true)),
            "false" | "no" => Some(Value::Bool(false)),
            _ => None,
        });
        let parts = text.split([';', '+']).map(|part| Value::String(part.trim().to_owned()));
        candidates.push(Value::Array(parts.collect()));
        candidates.into_iter().find(|value| self.takes(value))
    }

    /// What a number says as a value of this field.
    #[cfg(any(test, feature = "arrow"))]
    pub(crate) fn value_of_number(&self, x: f64) -> Option<Value> {
        let mut candidates = vec![number(x)];
        if x == 0.0 || x == 1.0 {
            candidates.push(Value::Bool(x == 1.0));
        }
        candidates.into_iter().find(|value| self.takes(value))
    }

    /// Whether a value is of a type that the field takes.
    pub(crate) fn takes(&self, value: &Value) -> bool {
        let mut document = serde_json::json!({
            "schema": super::BRIEF_SCHEMA, "name": "x", "part": {}, "duty": {"required_years": 1.0}
        });
        // what depends on the months of salted roads needs them
        let months = Self::find("road_salt.months_per_year");
        if let Some(months) = months.filter(|_| self.name.starts_with("road_salt.")) {
            months.put(&mut document, Value::from(1.0));
        }
        self.put(&mut document, value.clone());
        serde_json::from_value::<Brief>(document).is_ok()
    }
}

/// How near a column is to the name of a field, 0 to 1.
fn nearness(given: &str, field: &str) -> f64 {
    // units that stand at the end of names, here and elsewhere
    const UNITS: [&str; 22] = [
        "mg_m2_day",
        "mg_m2_d",
        "c",
        "f",
        "k",
        "degc",
        "degf",
        "pct",
        "percent",
        "um",
        "mil",
        "mils",
        "m",
        "km",
        "ft",
        "miles",
        "mi",
        "a",
        "yr",
        "months",
        "years",
        "ug_m3",
    ];
    if given == field {
        return 1.0;
    }
    let stem = |name: &str| -> Option<String> {
        UNITS.iter().find_map(|unit| Some(name.strip_suffix(unit)?.strip_suffix('_')?.to_owned()))
    };
    let (given_stem, field_stem) = (stem(given), stem(field));
    if let Some(of_field) = &field_stem
        && (given == of_field || given_stem.as_ref() == Some(of_field))
    {
        return 0.99;
    }
    if given_stem.as_deref() == Some(field) {
        return 0.99;
    }
    strsim::normalized_damerau_levenshtein(given, field)
}

/// A number as JSON, a whole one as such: some fields take nothing else.
fn number(x: f64) -> Value {
    // whole numbers that a float64 tells apart
    if x.fract() == 0.0 && x.abs() < 9e15 {
        return format!("{x:.0}").parse::<i64>().map_or_else(|_| Value::from(x), Value::from);
    }
    Value::from(x)
}

impl Brief {
    /// The brief with some fields replaced, by their names with or without the section; `null` takes one out.
    ///
    /// # Errors
    /// An unknown name; what [`Brief::from_json`] refuses.
    ///
    /// ```
    /// # use overcoat::brief::Brief;
    /// let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
    ///     "duty": {"place": "coastal", "required_years": 10}}"#)?;
    /// let moved = brief.replaced([("required_years", 5.into()), ("place", "rural".into())])?;
    /// assert_eq!((moved.duty.required_years, moved.duty.place.as_deref()), (5.0, Some("rural")));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn replaced<'a>(&self, values: impl IntoIterator<Item = (&'a str, Value)>) -> Result<Self> {
        let mut document = serde_json::to_value(self)
            .map_err(|error| invalid("brief", error, "a brief that JSON can hold", "Write it again."))?;
        for (name, value) in values {
            match (name, &mut document) {
                ("name" | "remarks", Value::Object(object)) => {
                    object.insert(name.to_owned(), value);
                }
                (_, document) => Field::of(name)?.put(document, value),
            }
        }
        let brief: Self = strict_json::typed("brief", document)?;
        brief.check()?;
        Ok(brief)
    }
}

/// The names of the fields of a struct, as it requires them when it is read.
fn names_of<'de, T: Deserialize<'de>>() -> &'static [&'static str] {
    struct Names<'a>(&'a mut &'static [&'static str]);
    impl<'de> Deserializer<'de> for Names<'_> {
        type Error = SerdeError;

        fn deserialize_any<V: Visitor<'de>>(self, _: V) -> std::result::Result<V::Value, SerdeError> {
            Err(serde::de::Error::custom("only names are requested"))
        }

        fn deserialize_struct<V: Visitor<'de>>(
            self,
            _: &'static str,
            fields: &'static [&'static str],
            visitor: V,
        ) -> std::result::Result<V::Value, SerdeError> {
            *self.0 = fields;
            self.deserialize_any(visitor)
        }

        forward_to_deserialize_any! {
            bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf option unit unit_struct
            newtype_struct seq tuple tuple_struct map enum identifier ignored_any
        }
    }
    let mut names: &'static [&'static str] = &[];
    // the answer is in `names`; the value itself is refused
    drop(T::deserialize(Names(&mut names)));
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_has_one_name_and_is_found_by_it() {
        for field in Field::all() {
            assert_eq!(Field::find(&field.name), Some(field));
            assert_eq!(Field::find(&format!("{}.{}", field.section, field.name)), Some(field));
        }
        let names = ["required_years", "shelter", "road_salt.distance_m", "thread", "weights.cost", "black"];
        assert!(names.iter().all(|name| Field::find(name).is_some()), "{:?}", Field::all());
        assert_eq!(Field::find("builds"), None);
        assert_eq!(Field::find("part.required_years"), None);
    }

    #[test]
    fn a_near_miss_names_the_field_and_a_label_is_none() {
        for (column, field) in [
            ("required_year", "required_years"),
            ("Shelter", "shelter"),
            ("Heat Peak C", "heat_peak_c"),
            ("heat_peak_f", "heat_peak_c"),
            ("sea_distance_km", "sea_distance_m"),
            ("sea_distance", "sea_distance_m"),
            ("temperature", "temperature_c"),
            ("handeling", "handling"),
            ("places", "place"),
        ] {
            assert_eq!(Field::nearly(column).map(|field| field.name.as_str()), Some(field), "{column}");
        }
        for column in
            ["site", "plate", "place_id", "years", "latitude", "chloride_source", "year", "owner", "height_m"]
        {
            assert_eq!(Field::nearly(column), None, "{column}");
        }
    }

    #[test]
    fn a_cell_of_text_is_read_as_what_its_field_takes() {
        let value = |name: &str, text: &str| Field::of(name).unwrap().value_of_text(text);
        assert_eq!(value("heat_peak_c", " 250 "), Some(Value::from(250)));
        assert_eq!(value("rain_washed", "no"), Some(Value::Bool(false)));
        assert_eq!(value("place", "rural"), Some(Value::from("rural")));
        assert_eq!(value("failure", "{\"loss_um\": 5}"), Some(serde_json::json!({"loss_um": 5})));
        assert_eq!(value("failure", "first_rust"), Some(Value::from("first_rust")));
        assert_eq!(value("mating_metals", "a; b"), Some(serde_json::json!(["a", "b"])));
        assert_eq!(value("handling", "dayly"), None);
        assert_eq!(value("heat_peak_c", "hot"), None);
        assert_eq!(Field::of("rain_washed").unwrap().value_of_number(1.0), Some(Value::Bool(true)));
        assert_eq!(Field::of("handling").unwrap().value_of_number(1.0), None);
    }

    #[test]
    fn a_field_taken_out_is_as_if_never_given() {
        let brief = Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {},
                "duty": {"place": "coastal", "required_years": 10}}"#,
        )
        .unwrap();
        let moved =
            brief.replaced([("place", Value::Null), ("road_salt.months_per_year", 3.into())]).unwrap();
        assert_eq!((moved.duty.place, moved.duty.road_salt.unwrap().months_per_year), (None, 3.0));
        assert_eq!(brief.replaced([("name", "y".into())]).unwrap().name, "y");
        assert!(brief.replaced([("required_years", (-1).into())]).is_err());
    }
}
