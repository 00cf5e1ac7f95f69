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
use crate::error::{Error, invalid, unknown};

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
            Self::with_the_one_meant(unknown(name, name, known, "Name a field of duty, part or wants."))
        })
    }

    /// An unknown name with the field that was probably meant, where it is one of those known.
    pub(crate) fn with_the_one_meant(error: Error) -> Error {
        let Error::Name(mut error) = error else { return error };
        let meant = Self::nearly(&error.value, &[]).filter(|field| error.known.contains(&field.name));
        if let Some(field) = meant {
            error.nearest = Some(field.name.clone());
        }
        error.into()
    }

    /// As [`of`](Self::of), or none.
    pub fn find(name: &str) -> Option<&'static Self> {
        let (section, bare) = match name.split_once('.') {
            Some((section @ ("part" | "duty" | "wants"), bare)) => (Some(section), bare),
            _ => (None, name),
        };
        FIELDS.iter().find(|field| field.name == bare && section.is_none_or(|given| given == field.section))
    }

    /// The field that a name was probably meant to be, where it is none itself: written with other letters, with its
    /// words in another order, in another unit, with a slip of the pen, or in an everyday word. `present` are names
    /// beside it: an everyday word for one of them is a label.
    pub(crate) fn nearly(name: &str, present: &[String]) -> Option<&'static Self> {
        let plain = name.trim().to_lowercase().replace([' ', '-'], "_");
        let (section, given) = match plain.split_once('.') {
            Some((section @ ("part" | "duty" | "wants"), bare)) => (Some(section), bare),
            _ => (None, plain.as_str()),
        };
        if given.chars().count() > LONGEST_COLUMN {
            return None;
        }
        let near = FIELDS
            .iter()
            .filter(|field| section.is_none_or(|section| section == field.section))
            .map(|field| (nearness(given, &field.name), field))
            .filter(|(nearness, _)| *nearness >= LEAST_NEARNESS && !OTHER_WORDS.contains(&given))
            // of equally near ones the first: the duty stands before the part and the wants
            .reduce(|best, next| if next.0 > best.0 { next } else { best });
        let in_other_words = || {
            let bare = without_unit(given);
            let said = |words: &[&str]| words.iter().any(|word| *word == given || Some(*word) == bare);
            let (field, _) = EVERYDAY.iter().find(|(_, words)| said(words))?;
            // of a quantity of the air two columns contradict each other; beside other fields such a word is a label
            let doubled = |field: &&Self| present.iter().any(|name| Self::find(name) == Some(*field));
            Self::find(field).filter(|found| OF_THE_AIR.contains(field) || !doubled(found))
        };
        near.map(|(_, field)| field).or_else(in_other_words)
    }

    /// The number that text with a unit is in the unit of this field, for example "18 months".
    ///
    /// # Errors
    /// Text without a unit, of another quantity, or that can be read in two ways.
    ///
    /// ```
    /// use overcoat::brief::Field;
    /// assert_eq!(Field::of("required_years")?.number_of_text("18 months")?, 1.5);
    /// assert!(Field::of("required_years")?.number_of_text("18").is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn number_of_text(&self, text: &str) -> Result<f64> {
        let mut given = serde_json::json!({ self.name.as_str(): text });
        super::units::plain_numbers(&mut given, self.section)?;
        let number = given.get(&self.name).and_then(Value::as_f64);
        number.ok_or_else(|| {
            invalid(&format!("{}.{}", self.section, self.name), text, "a number", "Enter a number.")
        })
    }

    /// Puts a value into a brief that is a JSON document; `null` removes the field.
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

/// A column of a longer name is a label.
const LONGEST_COLUMN: usize = 60;
/// From where on a name is taken for a slip of another (assumption): two letters in ten, one in five.
const LEAST_NEARNESS: f64 = 0.8;
/// Words with another meaning, a letter from a field.
const OTHER_WORDS: [&str; 5] = ["plate", "plane", "block", "blank", "batch"];

/// Fields of which two columns are rejected whatever the other is called.
const OF_THE_AIR: [&str; 5] = [
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "first_year_steel_loss_um",
];

/// Everyday words for fields, which no likeness of letters finds.
const EVERYDAY: [(&str, &[&str]); 25] = [
    (
        "required_years",
        &[
            "years",
            "life",
            "lifetime",
            "service_life",
            "design_life",
            "service_years",
            "required_life",
            "expected_life",
            "target_years",
            "min_years",
            "years_needed",
            "reqd_years",
            "req_years",
        ],
    ),
    ("temperature_c", &["temp", "temps", "t_celsius", "air_temperature", "mean_temperature"]),
    ("relative_humidity_pct", &["humidity", "humid", "hum", "rh", "rel_hum", "rel_humidity"]),
    ("so2_mg_m2_day", &["so2", "so2_deposition", "sulfur_dioxide", "sulphur_dioxide"]),
    ("chloride_mg_m2_day", &["cl", "chloride", "chlorides", "chloride_deposition", "cl_dep", "salinity"]),
    (
        "sea_distance_m",
        &["sea", "distance_to_sea", "distance_to_coast", "coast_distance", "distance_from_sea"],
    ),
    (
        "first_year_steel_loss_um",
        &["first_year_loss", "steel_loss", "loss", "corrosion_loss", "corrosion_rate"],
    ),
    ("corrosivity", &["corrosivity_category", "corrosivity_class", "iso_category", "c_category", "c_class"]),
    (
        "road_salt.months_per_year",
        &[
            "salted",
            "salt",
            "salt_months",
            "road_salt_months",
            "months_of_road_salt",
            "deicing",
            "deicing_months",
            "deicing_salt",
        ],
    ),
    ("place", &["environment", "site_type"]),
    (
        "shelter",
        &["sheltered", "indoor", "indoors", "outdoor", "outdoors", "roofed", "inside", "outside", "covered"],
    ),
    ("welded_after_finishing", &["welded", "welding", "welded_after"]),
    ("mating_metals", &["mates", "mate", "mating", "mating_metal", "contact_metal"]),
    ("failure", &["failure.loss_um", "failure.rusted_area_pct", "failure_loss_um", "rusted_area_pct"]),
    ("handling", &["handled", "handling_frequency"]),
    ("rain_washed", &["rain", "raining", "washed", "rain_washing"]),
    ("sunlight", &["sun", "sunlite", "uv", "sun_exposure"]),
    (
        "heat_continuous_c",
        &[
            "heat",
            "hot",
            "heat_cont",
            "heat_continuous",
            "operating_temperature",
            "service_temperature",
            "part_temperature",
        ],
    ),
    (
        "heat_peak_c",
        &[
            "peak",
            "max_heat",
            "heat_max",
            "peak_heat",
            "peak_temperature",
            "peak_temp",
            "max_temp",
            "temp_max",
            "max_temperature",
        ],
    ),
    ("road_salt.distance_m", &["road_distance", "distance_to_road"]),
    ("base_metal", &["metal", "material", "base_material", "steel_grade"]),
    ("property_class", &["strength_class", "bolt_class", "bolt_grade"]),
    ("hardness_hv", &["hardness", "vickers", "vickers_hardness"]),
    ("lot_pieces", &["quantity", "qty", "pieces", "lot_size"]),
    ("cost_limit_per_thousand", &["cost_limit", "price_limit", "budget"]),
];

/// A name without the unit at its end.
fn without_unit(name: &str) -> Option<&str> {
    // units that are at the end of names, here and elsewhere
    const UNITS: [&str; 31] = [
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
        "mg",
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
        "mm",
        "in",
        "inch",
        "g",
        "kg",
        "dm2",
        "hv",
        "hrc",
    ];
    UNITS.iter().find_map(|unit| name.strip_suffix(unit)?.strip_suffix('_'))
}

/// How near a column is to the name of a field, 0 to 1.
fn nearness(given: &str, field: &str) -> f64 {
    if given == field {
        return 1.0;
    }
    let in_order = |name: &str| {
        let mut words: Vec<String> = name.split('_').map(str::to_owned).collect();
        words.sort_unstable();
        words
    };
    let (of_given, of_field) = (without_unit(given), without_unit(field));
    let bare = of_field.unwrap_or(field);
    if of_field.is_some_and(|bare| given == bare || of_given == Some(bare))
        || of_given == Some(field)
        || in_order(given) == in_order(field)
        || (bare.contains('_') && in_order(of_given.unwrap_or(given)) == in_order(bare))
    {
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
    /// An unknown name; what [`Brief::from_json_with_units`] rejects.
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
        super::units::plain_numbers(&mut document, "")?;
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
    // the answer is in `names`; the value itself is rejected
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
            ("plase", "place"),
            ("palce", "place"),
            ("rain_wash", "rain_washed"),
            ("heat_c", "heat_continuous_c"),
            ("peak heat", "heat_peak_c"),
            ("years", "required_years"),
            ("years_required", "required_years"),
            ("first_year_loss", "first_year_steel_loss_um"),
            ("salt months", "road_salt.months_per_year"),
            ("hardness", "hardness_hv"),
            ("hardness_hrc", "hardness_hv"),
            ("mass_kg", "mass_g"),
            ("property_clas", "property_class"),
        ] {
            assert_eq!(Field::nearly(column, &[]).map(|field| field.name.as_str()), Some(field), "{column}");
        }
        for column in [
            "site",
            "plate",
            "place_id",
            "latitude",
            "longitude",
            "chloride_source",
            "year",
            "owner",
            "height_m",
            "name",
            "customer",
            "remark",
            "remarks",
            "part_number",
            "country",
            "date",
            "notes",
            "elevation_m",
            "region",
            "id",
            "row",
            "order",
            "position",
            "drawing",
            "location",
            "city",
            "price",
            "color",
            "status",
            "block",
        ] {
            assert_eq!(Field::nearly(column, &[]), None, "{column}");
        }
    }

    #[test]
    fn an_everyday_word_beside_the_field_that_it_stands_for_is_a_label() {
        let beside = ["duty.required_years".to_owned()];
        assert_eq!(Field::nearly("years", &beside), None);
        assert!(Field::nearly("required_year", &beside).is_some());
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
