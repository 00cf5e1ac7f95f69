//! Documents grown from a JSON Schema: the right form, with values that mostly fit, so that they get past the reader
//! and meet the rules.

use std::path::Path;

use overcoat::catalog::Catalog;
use serde_json::{Map, Value as Json, json};

use super::dice::{Dice, EDGES, SCRAPS};

/// Grows documents of one schema.
pub(crate) struct Grower {
    kind: &'static str,
    schema: Json,
    /// The built-in catalog, whose names and entries are taken.
    catalog: Json,
}

impl Grower {
    /// By the committed schema of a `brief` or a `catalog`.
    pub(crate) fn of(kind: &'static str) -> Self {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("schemas/{kind}.schema.json"));
        Self {
            kind,
            schema: serde_json::from_str(&std::fs::read_to_string(file).unwrap()).unwrap(),
            catalog: serde_json::from_str(&Catalog::built_in().to_json()).unwrap(),
        }
    }

    /// A document with all its parts; a user catalog may leave sections out.
    pub(crate) fn document(&self, dice: &mut Dice) -> Json {
        let mut document = self.value(&self.schema, "", dice);
        document["schema"] = json!(format!("overcoat.{}.v1", self.kind));
        // two builds are quick to rank; all of the catalog's are asked for now and then
        if self.kind == "brief" && dice.below(12) > 0 {
            let wished = &self.schema["$defs"]["WishedBuild"];
            let builds: Vec<Json> = (0..2).map(|_| self.build(wished, dice)).collect();
            document["wants"]["builds"] = Json::Array(builds);
        }
        if let (Json::Object(sections), "catalog") = (&mut document, self.kind) {
            let names: Vec<String> = sections.keys().cloned().collect();
            for name in names {
                if !["schema", "name"].contains(&name.as_str()) && dice.below(3) > 0 {
                    sections.remove(&name);
                }
            }
        }
        document
    }

    /// A build with its treatment named and, most of the time, one of the usual stacks.
    fn build(&self, schema: &Json, dice: &mut Dice) -> Json {
        let mut build = self.value(schema, "", dice);
        build["treatment"] = self.word("treatment", dice);
        let stacks = self.catalog["stacks"].as_object().unwrap();
        if dice.below(8) > 0 {
            build["films"] = stacks.values().nth(dice.below(stacks.len())).unwrap()["films"].clone();
        }
        build
    }

    fn value(&self, schema: &Json, name: &str, dice: &mut Dice) -> Json {
        if let Some(Json::String(reference)) = schema.get("$ref") {
            let target = self.schema.pointer(reference.trim_start_matches('#')).unwrap();
            return self.value(target, name, dice);
        }
        if let Some(value) = schema.get("const") {
            return value.clone();
        }
        if let Some(Json::Array(words)) = schema.get("enum") {
            return dice.pick(words).clone();
        }
        for key in ["oneOf", "anyOf"] {
            if let Some(Json::Array(choices)) = schema.get(key) {
                // most of the time what is there, not null
                let choice = if dice.below(4) > 0 { &choices[0] } else { dice.pick(choices) };
                let choice = if key == "oneOf" { dice.pick(choices) } else { choice };
                return self.value(choice, name, dice);
            }
        }
        let kind = match schema.get("type") {
            Some(Json::Array(kinds)) if dice.below(4) > 0 => kinds[0].as_str().unwrap(),
            Some(Json::Array(kinds)) => dice.pick(kinds).as_str().unwrap(),
            Some(Json::String(kind)) => kind,
            _ => "null",
        };
        match kind {
            "object" => self.object(schema, name, dice),
            "array" => {
                let items = schema.get("items").unwrap();
                Json::Array((0..dice.below(4)).map(|_| self.value(items, name, dice)).collect())
            }
            "number" => json!(number(name, dice)),
            "integer" => json!(number(name, dice).abs().round() as u64),
            "boolean" => json!(dice.below(2) == 0),
            "string" => self.word(name, dice),
            _ => Json::Null,
        }
    }

    fn object(&self, schema: &Json, name: &str, dice: &mut Dice) -> Json {
        let mut object = Map::new();
        let required: Vec<&str> = match schema.get("required") {
            Some(Json::Array(names)) => names.iter().filter_map(Json::as_str).collect(),
            _ => Vec::new(),
        };
        for (key, inner) in schema.get("properties").and_then(Json::as_object).into_iter().flatten() {
            if required.contains(&key.as_str()) || dice.below(3) == 0 {
                object.insert(key.clone(), self.value(inner, key, dice));
            }
        }
        if let Some(entry) = schema.get("additionalProperties").filter(|entry| entry.is_object()) {
            for _ in 0..=dice.below(2) {
                let (key, value) = self.entry(entry, name, dice);
                object.insert(key, value);
            }
        }
        Json::Object(object)
    }

    /// An entry of a section: one of the catalog's with some of its values, or a new one from the schema.
    fn entry(&self, schema: &Json, section: &str, dice: &mut Dice) -> (String, Json) {
        let known = self.catalog.get(section).and_then(Json::as_object);
        let Some(entries) = known.filter(|_| dice.below(5) > 0) else {
            return (format!("new_{}", dice.below(9)), self.value(schema, section, dice));
        };
        let (key, entry) = entries.iter().nth(dice.below(entries.len())).unwrap();
        let mut grown = self.value(schema, section, dice);
        if let (Json::Object(fields), Some(own)) = (&mut grown, entry.as_object()) {
            for (field, value) in own {
                if dice.below(4) > 0 {
                    fields.insert(field.clone(), value.clone());
                }
            }
        }
        let as_new = dice.below(6) == 0;
        (if as_new { format!("new_{key}") } else { key.clone() }, grown)
    }

    /// A text that fits a field of this name.
    fn word(&self, name: &str, dice: &mut Dice) -> Json {
        let section = match name {
            "base_metal" | "joined_metals" | "mating_metals" | "other_base_metals" => "base_metals",
            "treatment" => "treatments",
            "films" => "films",
            "place" => "places",
            _ if name.ends_with("source") => "sources",
            _ => "",
        };
        if dice.below(40) == 0 {
            return json!(*dice.pick(&SCRAPS));
        }
        if let Some(entries) = self.catalog.get(section).and_then(Json::as_object) {
            return json!(entries.keys().nth(dice.below(entries.len())));
        }
        match name {
            "thread" => {
                json!(*dice.pick(&["M8", "M12", "M10x1.25", "1/4-20 UNC", "#10-32", "M3", "M64", "M22"]))
            }
            "tolerance" => json!(*dice.pick(&["6g", "6e", "6h", "6H", "2A", "3A", "2B", "4g"])),
            _ => json!("some words"),
        }
    }
}

/// A number that a field of this name mostly takes, by the unit at its end; now and then one at an edge.
fn number(name: &str, dice: &mut Dice) -> f64 {
    if dice.below(30) == 0 {
        return *dice.pick(&EDGES);
    }
    let (low, high) = match name {
        _ if name.ends_with("_pct") => (0.1, 99.0),
        "temperature_c" => (-30.0, 40.0),
        "so2_mg_m2_day" => (0.0, 150.0),
        _ if name.ends_with("mg_m2_day") => (0.0, 700.0),
        "hardness_hv" => (100.0, 600.0),
        "heat_peak_c" => (200.0, 500.0),
        _ if name.ends_with("_c") => (20.0, 200.0),
        "required_years" => (0.02, 100.0),
        "months_per_year" => (0.0, 12.0),
        "target_probability" => (0.02, 0.99),
        "loss_um" | "first_year_steel_loss_um" => (0.02, 900.0),
        "sea_distance_m" | "cost_limit_per_thousand" => (10.0, 100_000.0),
        "lot_pieces" => (1.0, 1e6),
        "log_sd" => (0.0, 1.5),
        _ => (0.05, 20.0),
    };
    low + (high - low) * (dice.below(1_000_001) as f64 / 1e6)
}
