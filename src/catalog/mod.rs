//! The catalog: base metals, treatments, films, usual stacks, described places and prices, all with sources.
//!
//! The numbers live in `data/*.json`, read once. A user catalog has the same form; it adds entries, or
//! overrides single fields of existing ones, and every answer names what was overridden.
//!
//! ```
//! use overcoat::catalog::Catalog;
//! let mine = Catalog::from_json(r#"{
//!     "schema": "overcoat.catalog.v1",
//!     "name": "our cabinet",
//!     "sources": {"our_log": {"firmness": "own_records", "citation": "cabinet 2, 2025, 18 panels"}},
//!     "films": {"hard_wax": {"capacity_h": {"median": 120, "log_sd": 0.3, "source": "our_log"}}}
//! }"#)?;
//! assert_eq!(mine.film("hard_wax")?.capacity_h.median, 120.0);
//! assert_eq!(mine.overrides()[0].path, "films.hard_wax.capacity_h.log_sd");
//! # Ok::<(), overcoat::Error>(())
//! ```

mod place;
mod prices;
#[doc(hidden)]
pub mod strict_json;
mod words;

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fmt::Display;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use serde_json::Value as Json;

pub use place::Place;
pub use prices::Prices;
use words::MetalsByWord;
#[cfg(feature = "command")]
pub(crate) use words::not_judged_site;
#[cfg(feature = "command")]
pub(crate) use words::{FORMS, MATES, NAME_ONE, category_of, is_called, words_of_metal, words_of_place};
pub(crate) use words::{FormWords, form_in_words, left_out, plain, stainless_class};
#[cfg(feature = "command")]
pub(crate) use words::{runs_of_words, words_of_the_part};

use crate::error::{Error, InvalidDocument, invalid, nearest, unknown};
use crate::evidence::{Observation, observations, sources_in_code};
use crate::finish::process::{HazardNote, Process, StepKind};
use crate::finish::{Build, Film, Stack, Treatment, check_film_order, hydrogen_left_out};
use crate::metal::BaseMetal;
use crate::{Result, Source};

/// The schema that this version reads.
pub const CATALOG_SCHEMA: &str = "overcoat.catalog.v1";

const PARTS: [&str; 14] = [
    include_str!("data/sources.json"),
    include_str!("data/base_metals.json"),
    include_str!("data/treatments.json"),
    include_str!("data/films.json"),
    include_str!("data/stacks.json"),
    include_str!("data/places.json"),
    include_str!("data/prices.json"),
    include_str!("data/processes/sources.json"),
    include_str!("data/processes/hazards.json"),
    include_str!("data/processes/shop.json"),
    include_str!("data/processes/order.json"),
    include_str!("data/processes/black.json"),
    include_str!("data/processes/metal_and_phosphate.json"),
    include_str!("data/processes/films.json"),
];

/// Fields that are lists; anywhere else serde would read a list as the fields of an object in order.
const LISTS: [&str; 18] = [
    "films",
    "specifications",
    "accepts",
    "steps",
    "tests",
    "order",
    "cautions",
    "rework",
    "asked_by",
    "instructions",
    "measure",
    "hold",
    "hazards",
    "after",
    "before",
    "covers",
    "also_fits",
    "contradicted_by",
];

static BUILT_IN: LazyLock<Catalog> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "our own data, checked by a test; no user input reaches this")]
    Catalog::read_built_in().expect("the built-in catalog is sound")
});

/// A catalog, checked: every source key resolves, every number is in its range, every stack can be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalog {
    content: Content,
    document: Json,
    overrides: Vec<Override>,
    additions: Vec<Override>,
    /// The sources of the content, found faster: a ranking asks for thousands.
    sources: HashMap<String, Source>,
    /// The base metals by all their words: a brief asks for each word of its remarks.
    metals_by_word: MetalsByWord,
}

fn state_error(error: &serde_json::Error) -> crate::Error {
    InvalidDocument {
        document: "catalog".into(),
        field: ".".into(),
        reason: error.to_string(),
        nearest: None,
        remedy: "Pickle the catalog again with this version.".into(),
    }
    .into()
}

/// A build with its catalog entries.
#[derive(Debug, Clone, PartialEq)]
pub struct ResolvedBuild<'a> {
    /// The base metal.
    pub metal: &'a BaseMetal,
    /// The treatment.
    pub treatment: &'a Treatment,
    /// Name and entry of each film, innermost first.
    pub films: Vec<(&'a str, &'a Film)>,
}

/// The document form of a catalog; in a user catalog every section may be left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Content {
    /// Always `overcoat.catalog.v1`.
    pub schema: String,
    /// What users call it.
    pub name: String,
    /// Sources by key.
    pub sources: BTreeMap<String, Source>,
    /// Base metals by name.
    pub base_metals: BTreeMap<String, BaseMetal>,
    /// Treatments by name.
    pub treatments: BTreeMap<String, Treatment>,
    /// Films by name.
    pub films: BTreeMap<String, Film>,
    /// Usual stacks of films by name.
    pub stacks: BTreeMap<String, Stack>,
    /// Described places by name.
    pub places: BTreeMap<String, Place>,
    /// Prices.
    pub prices: Prices,
    /// Processes of treatments, films and the shop by name.
    pub processes: BTreeMap<String, Process>,
    /// Hazards of the shop by code.
    pub hazards: BTreeMap<String, HazardNote>,
}

/// A value that a user catalog put in the place of another, or an entry that it added.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Override {
    /// Path of the value, for example `films.hard_wax.capacity_h.median`.
    pub path: String,
    /// Name of the catalog that brought it.
    pub catalog: String,
}

impl Default for Catalog {
    fn default() -> Self {
        Self::built_in().clone()
    }
}

impl Catalog {
    /// Every source that an answer with this catalog may rest on, once each, best supported first: those of the catalog's
    /// values, those that the code cites, and those of the observations.
    ///
    /// ```
    /// use overcoat::catalog::Catalog;
    /// let all = Catalog::built_in().all_sources();
    /// assert!(all.iter().any(|source| source.citation.starts_with("ISO 9223:2012, 8.2, equation 1")));
    /// ```
    pub fn all_sources(&self) -> Vec<Source> {
        let in_code = sources_in_code().iter().map(|cited| &cited.source);
        let observed = observations().iter().map(|observation| &observation.source);
        let all: BTreeSet<&Source> = self.content.sources.values().chain(in_code).chain(observed).collect();
        all.into_iter().cloned().collect()
    }

    /// The observations of a base metal, treatment or film of this catalog.
    ///
    /// # Errors
    /// A name that is none of them.
    ///
    /// ```
    /// use overcoat::catalog::Catalog;
    /// assert!(!Catalog::built_in().observations_of("displacing_oil")?.is_empty());
    /// assert!(Catalog::built_in().observations_of("displacing_oyl").is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn observations_of(&self, entry: &str) -> Result<Vec<&'static Observation>> {
        let Content { base_metals, treatments, films, .. } = &self.content;
        let names = || base_metals.keys().chain(treatments.keys()).chain(films.keys()).map(String::as_str);
        if !names().any(|name| name == entry) {
            return Err(unknown("entry", entry, names(), "Name a base metal, a treatment or a film."));
        }
        Ok(observations().iter().filter(|observation| observation.is_about(entry)).collect())
    }

    /// The catalog that comes with the crate.
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// The built-in catalog extended by a user catalog.
    ///
    /// # Errors
    /// See [`Catalog::extended`].
    pub fn from_json(text: &str) -> Result<Self> {
        Self::built_in().extended(text)
    }

    /// This catalog extended by a user catalog: objects are merged field by field, everything else replaces.
    /// Merging is associative: `a.extended(b).extended(c)` equals `a` extended by the merger of `b` and `c`.
    ///
    /// # Errors
    /// A malformed document or one of more than 16 MiB, a repeated or unknown field, an incomplete new entry, a
    /// source key that resolves nowhere, a number out of its range, a stack that cannot be made.
    pub fn extended(&self, text: &str) -> Result<Self> {
        let user = strict_json::parse("catalog", text)?;
        let Json::Object(sections) = &user else {
            return Err(InvalidDocument {
                document: "catalog".into(),
                field: ".".into(),
                reason: "not an object".into(),
                nearest: None,
                remedy: "Give an object with schema, name and the sections to extend.".into(),
            }
            .into());
        };
        check_schema("catalog", sections.get("schema"), CATALOG_SCHEMA)?;
        let Some(Json::String(name)) = sections.get("name") else {
            return Err(InvalidDocument {
                document: "catalog".into(),
                field: "name".into(),
                reason: "missing or not text".into(),
                nearest: None,
                remedy: "Name the catalog, so that results can say whose values they use.".into(),
            }
            .into());
        };
        refuse_removed_fields(sections)?;
        let mut document = self.document.clone();
        let mut found = Found::default();
        merge(&mut document, &user, &mut String::new(), &mut found);
        let tag = |paths: Vec<String>| {
            paths.into_iter().map(|path| Override { path, catalog: name.clone() }).collect::<Vec<_>>()
        };
        let mut catalog = Self::from_document(document)
            .map_err(|error| ask_for_an_existing_entry(error, &self.document))?;
        strict_json::lists_only_in("catalog", &user, &LISTS)?;
        if let Some(path) = number_without_source(&self.document, &user, &mut String::new()) {
            return Err(InvalidDocument {
                document: "catalog".into(),
                field: path,
                reason: "a number replaced without its own source".into(),
                nearest: None,
                remedy: "Give its `source` too: a new number must not be under the old citation.".into(),
            }
            .into());
        }
        let charging = self.content.treatments.iter().filter(|(_, treatment)| treatment.evolves_hydrogen);
        for (name, _) in charging {
            if catalog.content.treatments.get(name).is_some_and(|changed| !changed.evolves_hydrogen) {
                return Err(hydrogen_left_out(&format!("treatments.{name}.evolves_hydrogen")));
            }
        }
        for (key, source) in &mut catalog.content.sources {
            if let Some(known) = self.content.sources.get(key).filter(|known| *known == source) {
                source.clone_from(known);
            }
        }
        catalog.index_sources();
        catalog.overrides.clone_from(&self.overrides);
        catalog.overrides.extend(tag(found.replaced));
        catalog.additions.clone_from(&self.additions);
        catalog.additions.extend(tag(found.added));
        Ok(catalog)
    }

    fn read_built_in() -> Result<Self> {
        let mut document = serde_json::json!({"schema": CATALOG_SCHEMA, "name": "built-in"});
        for part in PARTS {
            let part = strict_json::parse("catalog", part)?;
            merge(&mut document, &part, &mut String::new(), &mut Found::default());
        }
        let mut catalog = Self::from_document(document)?;
        // It is read once and kept: its citations may stand for good, so that a ranking need not copy them.
        for source in catalog.content.sources.values_mut() {
            let citation: &'static str = std::mem::take(&mut source.citation).into_owned().leak();
            source.citation = citation.into();
        }
        catalog.index_sources();
        Ok(catalog)
    }

    fn index_sources(&mut self) {
        let sources = self.content.sources.iter();
        self.sources = sources.map(|(key, source)| (key.clone(), source.clone())).collect();
    }

    fn from_document(document: Json) -> Result<Self> {
        let content: Content = strict_json::typed("catalog", document.clone())?;
        let (overrides, additions, sources) = (Vec::new(), Vec::new(), HashMap::new());
        let metals_by_word = MetalsByWord::of(&content.base_metals);
        let mut catalog = Self { content, document, overrides, additions, sources, metals_by_word };
        catalog.check()?;
        catalog.index_sources();
        Ok(catalog)
    }

    fn check(&self) -> Result<()> {
        let content = &self.content;
        let names = [
            ("base_metals", content.base_metals.keys().collect::<Vec<_>>()),
            ("treatments", content.treatments.keys().collect()),
            ("films", content.films.keys().collect()),
        ];
        for (section, names) in names {
            names.into_iter().try_for_each(|name| readable_in_a_build(section, name))?;
        }
        for (name, metal) in &content.base_metals {
            let path = format!("base_metals.{name}");
            metal.check(&path)?;
            self.check_sources(&path, metal.source_keys())?;
        }
        for (name, treatment) in &content.treatments {
            let path = format!("treatments.{name}");
            treatment.check(&path)?;
            self.check_sources(&path, treatment.source_keys())?;
        }
        for (name, film) in &content.films {
            let path = format!("films.{name}");
            film.check(&path)?;
            self.check_sources(&path, film.source_keys())?;
        }
        for (name, stack) in &content.stacks {
            let path = format!("stacks.{name}");
            check_film_order(&path, &self.films(&path, &stack.films)?)?;
            self.check_sources(&path, vec![&stack.source])?;
        }
        for (name, place) in &content.places {
            let path = format!("places.{name}");
            place.check(&path)?;
            self.check_sources(&path, place.source_keys())?;
        }
        self.check_processes()?;
        content.prices.check("prices")?;
        self.check_sources("prices", content.prices.source_keys())
    }

    /// Rejects a process, a hazard or a document that a name leads to and that is not there.
    fn check_processes(&self) -> Result<()> {
        let Content { processes, hazards, treatments, films, .. } = &self.content;
        let named = |path: String, name: &String| lookup(path, name, processes).map(|_| ());
        for (name, treatment) in treatments {
            treatment.process.iter().try_for_each(|p| named(format!("treatments.{name}.process"), p))?;
        }
        for (name, film) in films {
            film.process.iter().try_for_each(|p| named(format!("films.{name}.process"), p))?;
        }
        for (name, process) in processes {
            let path = format!("processes.{name}");
            let joined = process.begins_with.iter().chain(&process.ends_with);
            joined.into_iter().try_for_each(|p| named(path.clone(), p))?;
            for code in process.steps.iter().flat_map(|step| &step.hazards) {
                lookup(format!("{path}.hazards"), code, hazards)?;
            }
            check_hazards(&path, process)?;
            for range in process.steps.iter().flat_map(|s| s.temperature_c.iter()) {
                range.check(&format!("{path}.temperature_c"), 0.0, 700.0, "°C")?;
            }
            for range in process.steps.iter().flat_map(|s| s.minutes.iter()) {
                range.check(&format!("{path}.minutes"), 0.0, 10_000.0, "min")?;
            }
            self.check_sources(&path, process.source_keys())?;
        }
        for (code, hazard) in hazards {
            self.check_sources(&format!("hazards.{code}"), vec![&hazard.source])?;
        }
        Ok(())
    }

    /// A process by name, else the one that leaves it to the supplier.
    pub(crate) fn process(&self, name: &str) -> Option<&Process> {
        self.content.processes.get(name).or_else(|| self.content.processes.get("by_supplier"))
    }

    fn check_sources(&self, path: &str, keys: Vec<&String>) -> Result<()> {
        for key in keys {
            if !self.content.sources.contains_key(key) {
                return Err(unknown(
                    &format!("{path} (source)"),
                    key,
                    self.content.sources.keys().map(String::as_str),
                    "Add it to `sources` or name one that is there.",
                ));
            }
        }
        Ok(())
    }

    /// What users call it: the name of the last user catalog, or `built-in`.
    pub fn name(&self) -> &str {
        &self.content.name
    }

    /// Everything in it.
    pub fn content(&self) -> &Content {
        &self.content
    }

    /// The whole catalog as a JSON document.
    pub fn to_json(&self) -> String {
        format!("{:#}", self.document)
    }

    /// The catalog with its history, to hand it to another process; [`from_state`](Self::from_state) reads it.
    #[doc(hidden)]
    pub fn to_state(&self) -> Result<String> {
        serde_json::to_string(&(&self.document, &self.overrides, &self.additions))
            .map_err(|e| state_error(&e))
    }

    /// The catalog that [`to_state`](Self::to_state) wrote, checked as any other.
    #[doc(hidden)]
    pub fn from_state(text: &str) -> Result<Self> {
        let (document, overrides, additions) = serde_json::from_str(text).map_err(|e| state_error(&e))?;
        Ok(Self { overrides, additions, ..Self::from_document(document)? })
    }

    /// Values that user catalogs replaced, in the order in which they did.
    pub fn overrides(&self) -> &[Override] {
        &self.overrides
    }

    /// Entries that user catalogs added.
    pub fn additions(&self) -> &[Override] {
        &self.additions
    }

    /// The source behind a key. Every key in a checked catalog resolves.
    pub fn source(&self, key: &str) -> Source {
        self.sources.get(key).cloned().unwrap_or_else(|| Source {
            firmness: crate::Firmness::Assumption,
            citation: format!("unknown source {key}").into(),
        })
    }

    /// A base metal by name.
    ///
    /// # Errors
    /// An unknown name, with the nearest known one.
    pub fn base_metal(&self, name: &str) -> Result<&BaseMetal> {
        self.base_metal_in("base_metal", name)
    }

    /// A base metal by name; the error says that `field` names it.
    pub(crate) fn base_metal_in(&self, field: &str, name: &str) -> Result<&BaseMetal> {
        lookup(field, name, &self.content.base_metals)
    }

    /// A treatment by name.
    ///
    /// # Errors
    /// An unknown name, with the nearest known one.
    pub fn treatment(&self, name: &str) -> Result<&Treatment> {
        lookup("treatment", name, &self.content.treatments)
    }

    /// A film by name.
    ///
    /// # Errors
    /// An unknown name, with the nearest known one.
    pub fn film(&self, name: &str) -> Result<&Film> {
        lookup("film", name, &self.content.films)
    }

    /// A described place by name, or by an everyday word for it ([`place_key`](Self::place_key)).
    ///
    /// # Errors
    /// An unknown name, with the nearest known one; a word that stands for several.
    pub fn place(&self, name: &str) -> Result<&Place> {
        lookup("place", self.place_key(name)?.unwrap_or(name), &self.content.places)
    }

    /// The catalog entries behind the names of a build.
    ///
    /// # Errors
    /// An unknown name, with the nearest known one.
    pub fn resolve<'a>(&'a self, build: &'a Build) -> Result<ResolvedBuild<'a>> {
        Ok(ResolvedBuild {
            metal: self.base_metal(&build.base_metal)?,
            treatment: self.treatment(&build.treatment)?,
            films: self.films("build", &build.films)?,
        })
    }

    /// Films by name, innermost first, each with its name; the error puts `field` before the unknown name.
    pub(crate) fn films<'a>(&'a self, field: &str, names: &'a [String]) -> Result<Vec<(&'a str, &'a Film)>> {
        names
            .iter()
            .enumerate()
            .map(|(i, name)| {
                lookup(format_args!("{field}.films[{i}]"), name, &self.content.films)
                    .map(|film| (name.as_str(), film))
            })
            .collect()
    }
}

/// Steps that charge steel, whatever their document says: the hazards by which the papers know them.
const CHARGING: [(StepKind, &str); 3] =
    [(StepKind::Pickle, "acid"), (StepKind::Electroplate, "hydrogen"), (StepKind::Phosphate, "hydrogen")];

/// Rejects a step in acid, or one that charges steel, without the hazard that says so.
fn check_hazards(path: &str, process: &Process) -> Result<()> {
    for (i, step) in process.steps.iter().enumerate() {
        let by_kind = CHARGING.iter().find(|(kind, _)| *kind == step.kind).map(|(_, code)| *code);
        let by_bath = step.bath.as_deref().is_some_and(|bath| bath.to_lowercase().contains("ic acid"));
        let needed = by_kind.or_else(|| by_bath.then_some("acid"));
        let has = |code: &str| step.hazards.iter().any(|own| own == code);
        if let Some(code) = needed.filter(|code| !has(code)) {
            return Err(invalid(
                &format!("{path}.steps[{i}].hazards"),
                format!("[{}]", step.hazards.join(", ")),
                &format!("a list with `{code}`: the step is {}", step.kind.words()),
                "Add it: cautions, acid bans and the hydrogen relief of hard steel go by the hazards.",
            ));
        }
    }
    Ok(())
}

/// Rejects a name that a build written as `metal / treatment / film + film` would not give back.
fn readable_in_a_build(section: &str, name: &str) -> Result<()> {
    let marks = |c: char| matches!(c, '/' | '+') || c.is_control();
    if !name.is_empty() && name == name.trim() && name != "no film" && !name.contains(marks) {
        return Ok(());
    }
    Err(invalid(
        &format!("{section}.{name}"),
        format!("{name:?}"),
        "a name without / and +, that is not empty and neither starts nor ends with a space",
        "Rename the entry, for example `house_wax`: builds are written as METAL / TREATMENT / FILM + FILM.",
    ))
}

/// An entry by name; the field is written out only where it is unknown.
fn lookup<'a, T>(field: impl Display, name: &str, entries: &'a BTreeMap<String, T>) -> Result<&'a T> {
    entries.get(name).ok_or_else(|| {
        unknown(
            &field.to_string(),
            name,
            entries.keys().map(String::as_str),
            "Use a known name or add the entry in a catalog of your own.",
        )
    })
}

pub(crate) fn check_schema(document: &str, found: Option<&Json>, wanted: &str) -> Result<()> {
    match found {
        Some(Json::String(schema)) if schema == wanted => Ok(()),
        Some(other) => {
            let kind = |schema: &str| schema.split('.').nth(1).unwrap_or_default().to_owned();
            let remedy = match other.as_str().filter(|schema| schema.starts_with("overcoat.")).map(kind) {
                // of a word alone: what is none is quoted by the value
                Some(found)
                    if found != kind(wanted) && found.chars().all(|letter| letter.is_ascii_lowercase()) =>
                {
                    format!(
                        "The document is of the kind \"{found}\", not \"{}\": choose another one.",
                        kind(wanted)
                    )
                }
                _ => {
                    "Use the version of overcoat that reads this schema, or convert the document.".to_owned()
                }
            };
            Err(invalid("schema", other, &format!("{wanted:?}"), &remedy))
        }
        None => Err(InvalidDocument {
            document: document.to_owned(),
            field: "schema".into(),
            reason: "missing field `schema`".into(),
            nearest: None,
            remedy: format!("Add \"schema\": {wanted:?}."),
        }
        .into()),
    }
}

/// Fields of earlier catalogs by section, and what says the same now.
const REMOVED_FIELDS: [(&str, &str, &str); 4] = [
    ("films", "rain_wash_factor", "the years that rain leaves the film as `ageing.rain_years`"),
    ("films", "sunlight_factor", "the years that full sun leaves the film as `ageing.sun_years`"),
    ("films", "handling_factor", "the years that daily handling leaves the film as `ageing.handling_years`"),
    (
        "treatments",
        "passivity_loss_classes",
        "the share of the salt that the grade still withstands as `stain_threshold_factor`",
    ),
];

/// Rejects a field of an earlier catalog by its name, with the one that took its place.
fn refuse_removed_fields(sections: &serde_json::Map<String, Json>) -> Result<()> {
    for (section, field, instead) in REMOVED_FIELDS {
        let entries = sections.get(section).and_then(Json::as_object).into_iter().flatten();
        for (name, entry) in entries {
            if entry.get(field).is_some() {
                return Err(InvalidDocument {
                    document: "catalog".into(),
                    field: format!("{section}.{name}.{field}"),
                    reason: format!("`{field}` was a share of the life and is no longer a field"),
                    nearest: None,
                    remedy: format!("Give {instead}."),
                }
                .into());
            }
        }
    }
    Ok(())
}

/// An incomplete entry that the catalog does not have may be a misspelt name of one that it has: asks so.
fn ask_for_an_existing_entry(mut error: Error, base: &Json) -> Error {
    let Error::Document(refused) = &mut error else { return error };
    let Some((section, path)) = refused.field.split_once('.') else { return error };
    let Some(Json::Object(entries)) = base.get(section) else { return error };
    let name = path.split('.').next().unwrap_or(path);
    if !refused.reason.starts_with("missing field") || entries.contains_key(name) {
        return error;
    }
    refused.nearest = nearest(name, entries.keys().map(String::as_str));
    refused.remedy = match &refused.nearest {
        Some(known) => format!("A new entry needs every field: add it. Or did you mean `{known}`?"),
        None => "A new entry needs every field: add it.".into(),
    };
    error
}

/// Path of the first sourced number that `over` changes in part without naming a source.
fn number_without_source(base: &Json, over: &Json, path: &mut String) -> Option<String> {
    let (Json::Object(base), Json::Object(over)) = (base, over) else { return None };
    // An entry such as a film has objects under its numbers; a number itself has none.
    let is_number = base.contains_key("source") && base.values().all(|v| !v.is_object() && !v.is_array());
    if is_number && !over.is_empty() && !over.contains_key("source") {
        return Some(path.clone());
    }
    over.iter().find_map(|(key, value)| {
        let length = path.len();
        if !path.is_empty() {
            path.push('.');
        }
        path.push_str(key);
        let found = base.get(key).and_then(|existing| number_without_source(existing, value, path));
        path.truncate(length);
        found
    })
}

#[derive(Default)]
struct Found {
    replaced: Vec<String>,
    added: Vec<String>,
}

/// Puts `over` over `base`, noting the path of each replaced leaf and of each added entry. Schema, name and added
/// sources are not values of finishes and are not noted; nor is the source that comes with its own number. A
/// source that replaces another, or of which firmness or citation change, is.
fn merge(base: &mut Json, over: &Json, path: &mut String, found: &mut Found) {
    match (base, over) {
        (Json::Object(base), Json::Object(over)) => {
            let before = found.replaced.len();
            let other_source = base
                .get("source")
                .zip(over.get("source"))
                .is_some_and(|(own, other)| own.is_string() && own != other);
            for (key, value) in over {
                let length = path.len();
                if !path.is_empty() {
                    path.push('.');
                }
                path.push_str(key);
                if let Some(existing) = base.get_mut(key) {
                    merge(existing, value, path, found);
                } else {
                    // what is added inside an entry replaces what held without it
                    let inside = path.matches('.').count() > 1;
                    if !path.starts_with("sources.") {
                        if inside { &mut found.replaced } else { &mut found.added }.push(path.clone());
                    }
                    base.insert(key.clone(), value.clone());
                }
                path.truncate(length);
            }
            // the same number under another source
            if other_source && found.replaced.len() == before {
                found.replaced.push(format!("{path}.source"));
            }
        }
        (base, over) => {
            let quiet = matches!(path.as_str(), "schema" | "name") || path.ends_with(".source");
            if base != over && !quiet {
                found.replaced.push(path.clone());
            }
            *base = over.clone();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn user(sections: &str) -> String {
        format!(r#"{{"schema": "overcoat.catalog.v1", "name": "mine", {sections}}}"#)
    }

    #[test]
    fn the_built_in_catalog_is_sound() {
        let catalog = Catalog::read_built_in().unwrap();
        assert!(catalog.overrides().is_empty());
        for metal in ["steel_4_6", "steel_12_9", "stainless_17_4ph", "titanium"] {
            catalog.base_metal(metal).unwrap();
        }
        assert_eq!(catalog.content().treatments.len(), 16);
        assert_eq!(catalog.content().films.len(), 17);
    }

    #[test]
    fn every_source_is_used_and_every_key_resolves() {
        let catalog = Catalog::built_in();
        let text = catalog.to_json();
        for key in catalog.content().sources.keys() {
            assert!(text.contains(&format!("ource\": \"{key}\"")), "{key} is used nowhere");
        }
    }

    #[test]
    fn an_override_is_named_and_a_new_entry_must_be_complete() {
        let catalog = Catalog::from_json(&user(r#""prices": {"currency": "EUR"}"#)).unwrap();
        assert_eq!(
            catalog.overrides(),
            [Override { path: "prices.currency".into(), catalog: "mine".into() }]
        );
        let error = Catalog::from_json(&user(r#""films": {"tar": {"name": "tar"}}"#)).unwrap_err();
        assert!(error.to_string().contains("missing field `kind`"), "{error}");
        assert_eq!(error.field(), "films.tar");
        assert_eq!(error.remedy(), "A new entry needs every field: add it.");
    }

    #[test]
    fn a_misspelt_entry_is_asked_about() {
        let misspelt = [
            (r#""films": {"hard_wacks": {"capacity_h": {"median": 120}}}"#, "hard_wax"),
            (r#""places": {"coastel": {"shelter": "open"}}"#, "coastal"),
        ];
        for (text, meant) in misspelt {
            let error = Catalog::from_json(&user(text)).unwrap_err();
            assert!(error.remedy().ends_with(&format!("did you mean `{meant}`?")), "{error}");
            let crate::Error::Document(refused) = error else { panic!("{error}") };
            assert_eq!(refused.nearest.as_deref(), Some(meant));
        }
    }

    #[test]
    fn what_is_added_inside_an_entry_is_named_as_an_override() {
        let factor = r#"{"median": 0.8, "log_sd": 0.3, "source": "hours_wax"}"#;
        let catalog = Catalog::from_json(&user(&format!(
            r#""films": {{"hard_wax": {{"field_factors": {{"open": {factor}}}}}}}"#
        )))
        .unwrap();
        assert_eq!(catalog.overrides()[0].path, "films.hard_wax.field_factors");
        assert!(catalog.additions().is_empty());
        let again = catalog
            .extended(&user(&format!(
                r#""films": {{"hard_wax": {{"field_factors": {{"indoor": {factor}}}}}}}"#
            )))
            .unwrap();
        assert_eq!(again.overrides()[1].path, "films.hard_wax.field_factors.indoor");
        let factors = &again.film("hard_wax").unwrap().field_factors;
        assert!(factors.open.is_some() && factors.indoor.is_some() && factors.sheltered.is_none());
    }

    #[test]
    fn a_new_number_needs_a_source_of_its_own() {
        let error = Catalog::from_json(&user(r#""films": {"hard_wax": {"capacity_h": {"median": 120}}}"#));
        assert_eq!(error.unwrap_err().field(), "films.hard_wax.capacity_h");
        let sourced = r#""films": {"hard_wax": {"capacity_h": {"median": 120, "source": "hours_wax"}}}"#;
        assert!(Catalog::from_json(&user(sourced)).is_ok());
    }

    #[test]
    fn unknown_fields_are_refused_with_a_suggestion() {
        let error = Catalog::from_json(&user(r#""films": {"hard_wax": {"capacity_hours": 3}}"#)).unwrap_err();
        assert!(error.to_string().contains("Did you mean `capacity_h`?"), "{error}");
    }

    #[test]
    fn a_source_that_resolves_nowhere_is_refused() {
        let error = Catalog::from_json(&user(
            r#""films": {"hard_wax": {"capacity_h": {"median": 9, "log_sd": 0.1, "source": "hours_waxx"}}}"#,
        ))
        .unwrap_err();
        assert!(error.to_string().contains("did you mean \"hours_wax\"?"), "{error}");
    }

    #[test]
    fn duplicate_names_and_impossible_stacks_are_refused() {
        let error = Catalog::from_json(&user(r#""stacks": {"a": 1, "a": 2}"#)).unwrap_err();
        assert!(error.to_string().contains("repeated key `a`"), "{error}");
        let stack =
            r#""stacks": {"bad": {"films": ["displacing_oil", "air_dry_paint"], "source": "usual_stack"}}"#;
        assert_eq!(Catalog::from_json(&user(stack)).unwrap_err().kind(), "build");
    }

    #[test]
    fn a_source_made_firmer_is_named_as_an_override() {
        let paths = |sections: &str| {
            let catalog = Catalog::from_json(&user(sections)).unwrap();
            catalog.overrides().iter().map(|o| o.path.clone()).collect::<Vec<_>>()
        };
        let wax = Catalog::built_in().content().sources["hours_wax"].clone();
        let same = format!(r#""sources": {{"hours_wax": {}}}"#, serde_json::to_string(&wax).unwrap());
        assert!(paths(&same).is_empty());
        let firmer = r#""sources": {"hours_wax": {"firmness": "standard", "citation": "a standard"}}"#;
        assert_eq!(paths(firmer), ["sources.hours_wax.citation", "sources.hours_wax.firmness"]);
        let number = Catalog::built_in().film("hard_wax").unwrap().capacity_h.clone();
        let other = format!(
            r#""sources": {{"mine": {{"firmness": "standard", "citation": "a standard"}}}},
               "films": {{"hard_wax": {{"capacity_h": {{"median": {}, "source": "mine"}}}}}}"#,
            number.median
        );
        assert_eq!(paths(&other), ["films.hard_wax.capacity_h.source"]);
    }

    #[test]
    fn names_that_a_build_would_not_give_back_are_refused() {
        let wax = serde_json::to_value(Catalog::built_in().film("hard_wax").unwrap()).unwrap();
        let named = |name: &str| {
            let film = serde_json::json!({ name: wax });
            Catalog::from_json(&user(&format!(r#""films": {film}"#)))
        };
        for name in ["a/b", "a + b", "a+b", "", " wax", "wax ", "no film", "a\nb"] {
            assert_eq!(named(name).unwrap_err().field(), format!("films.{name}"), "{name:?}");
        }
        for name in ["house_wax", "house wax", "wax-2", "Wachs 3µ"] {
            let catalog = named(name).unwrap();
            let build = Build::new("steel_4_6", "hot_alkaline", [name]);
            assert_eq!(build.to_string().parse::<Build>().unwrap(), build);
            assert!(catalog.film(name).is_ok());
        }
    }

    #[test]
    fn merging_is_associative() {
        let a = user(r#""prices": {"currency": "EUR"}"#);
        let b = user(r#""prices": {"discount_rate_pct": {"value": 5, "source": "default_prices"}}"#);
        let both = user(
            r#""prices": {"currency": "EUR", "discount_rate_pct": {"value": 5, "source": "default_prices"}}"#,
        );
        let one_by_one = Catalog::built_in().extended(&a).unwrap().extended(&b).unwrap();
        assert_eq!(one_by_one.content(), Catalog::from_json(&both).unwrap().content());
    }
}
