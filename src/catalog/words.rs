//! Everyday words for base metals ("8.8", "A4", "1.4401", "mild steel"), for forms of parts ("hex bolt") and for places
//! ("sea", "truck in winter").

use std::collections::{BTreeMap, HashMap};

use crate::Result;
use crate::atmosphere::Category;
use crate::catalog::Catalog;
use crate::error::{UnknownName, invalid};
use crate::metal::{BaseMetal, InchGrade, PropertyClass, fastener_grade_class};

/// A form of part: its key, what it is called, other words for it.
pub(crate) type FormOfPart = (&'static str, &'static str, &'static [&'static str]);

pub(crate) const FORMS: [FormOfPart; 11] = [
    (
        "hexagon_head_screw",
        "hex head screw or bolt",
        &[
            "bolt",
            "hex bolt",
            "hex screw",
            "hex cap screw",
            "hex head bolt",
            "hex head screw",
            "hex head cap screw",
            "hexagon bolt",
            "machine bolt",
        ],
    ),
    (
        "socket_cap_screw",
        "socket head cap screw",
        &["cap screw", "socket screw", "hex key screw", "shcs", "allen bolt", "allen screw", "socket bolt"],
    ),
    ("button_head_screw", "button head screw", &["button head", "button head bolt"]),
    (
        "countersunk_screw",
        "countersunk screw",
        &["countersunk", "flat head", "flat head screw", "countersunk bolt", "flat head bolt"],
    ),
    ("set_screw", "set screw", &["grub screw", "allen set screw", "socket set screw"]),
    ("hexagon_nut", "hex nut", &["nut"]),
    (
        "lock_nut",
        "lock nut",
        &["locknut", "nylon insert nut", "self-locking nut", "nyloc", "nyloc nut", "nylock", "nylock nut"],
    ),
    ("plain_washer", "flat washer", &["washer"]),
    (
        "pin",
        "pin or clip",
        &[
            "pin",
            "clip",
            "dowel",
            "dowel pin",
            "cotter pin",
            "roll pin",
            "clevis pin",
            "retaining ring",
            "circlip",
        ],
    ),
    (
        "bracket",
        "bracket, hinge, fitting or other stamped or forged part",
        &["bracket", "hinge", "fitting", "strap", "plate", "stamping", "forging"],
    ),
    (
        "other",
        "anything else",
        &[
            "stud",
            "stud bolt",
            "threaded rod",
            "rod",
            "machine screw",
            "pan head",
            "pan head screw",
            "sheet metal screw",
            "tapping screw",
            "self-tapping screw",
            "carriage bolt",
            "lag bolt",
            "lag screw",
            "wood screw",
            "U-bolt",
            "J-bolt",
            "T-bolt",
            "toggle bolt",
            "anchor bolt",
            "shoulder bolt",
            "eye bolt",
            "eyebolt",
            "eye nut",
            "hook",
            "shackle",
            "rivet",
            "spring",
            "lock washer",
            "spring washer",
            "chain",
            "casting",
            "weldment",
            "housing",
            "enclosure",
            "cover",
            "frame",
        ],
    ),
];

/// Other words for base metals, besides their catalog names, grades, classes and material numbers.
const WORDS: [(&str, &[&str]); 5] = [
    ("steel_4_6", &["mild steel", "low-carbon steel", "plain steel"]),
    ("stainless_304", &["A2-70", "18-8", "304L", "A2-50", "A2-80", "18/8"]),
    (
        "stainless_316",
        &["A4-70", "316L", "A4-50", "A4-80", "marine grade", "marine stainless", "marine grade stainless"],
    ),
    ("stainless_17_4ph", &["17-4", "630"]),
    ("aluminium", &["aluminum", "6061", "6061-T6", "6063", "5052"]),
];

/// Metals named most, in the order in which they are offered; the others follow by name.
const USUAL_FIRST: [&str; 7] =
    ["steel_4_6", "steel_5_8", "steel_8_8", "steel_10_9", "steel_12_9", "stainless_304", "stainless_316"];

/// Metals that the catalog does not have: their words, the nearest that it has, what to do.
const NEAREST: [(&[&str], &[&str], &str); 9] = [
    (
        &["4130", "4140", "4340", "8740", "42crmo4", "c45", "1045"],
        &["steel_8_8", "steel_10_9", "steel_12_9"],
        "The strength of this steel depends on its heat treatment: name the property class nearest to it.",
    ),
    (
        &["s355", "a572"],
        &["steel_4_6", "steel_5_8"],
        "The catalog has no such entry: it yields above class 4.6 and below class 5.8; name one.",
    ),
    (
        &["1.4571", "316ti", "a5", "a5-70", "a5-80"],
        &["stainless_316"],
        "The catalog has no stabilized grade: name the nearest, 316, or add yours in a catalog of your own.",
    ),
    (
        &["duplex", "duplex stainless", "duplex stainless steel"],
        &["stainless_2205"],
        "Duplex grades differ: name 2205 if that is the one, or add yours in a catalog of your own.",
    ),
    (
        &["1008", "1010", "1018", "1020"],
        &["steel_4_6", "steel_5_8"],
        "The catalog has no such entry. The nearest: class 4.6 for hot-rolled or annealed, class 5.8 for cold-drawn steel.",
    ),
    (&["a36", "s235", "s275"], &["steel_4_6"], "The catalog has no such entry: name the nearest, class 4.6."),
    (
        &["cast iron", "gray iron", "grey iron", "gray cast iron", "ductile iron", "nodular iron"],
        &["malleable_iron"],
        "The catalog has no such iron: name the nearest, malleable iron, or add yours in a catalog of your own.",
    ),
    (
        &["bronze", "silicon bronze", "phosphor bronze", "aluminum bronze"],
        &["brass"],
        "The catalog has no bronze: name the nearest copper alloy, brass, or add yours in a catalog of your own.",
    ),
    (
        &["spring steel", "music wire"],
        &["steel_12_9"],
        "The catalog has no spring steel: name the nearest, class 12.9, and add the hardness of the part to the brief, since hard steel can embrittle.",
    ),
];

/// Words for a finish that are taken for a metal.
const FINISHES: [&str; 15] = [
    "galvanized",
    "galvanised",
    "galvanized steel",
    "galvanised steel",
    "hot dip galvanized",
    "zinc",
    "zinc plated",
    "zinc plated steel",
    "chrome",
    "chrome plated",
    "nickel plated",
    "cadmium plated",
    "black oxide",
    "phosphated",
    "painted",
];

/// Words for metals in contact, besides those for base metals.
pub(crate) const MATES: [(&str, &[&str]); 10] = [
    // all carbon and alloy steels are one metal to the other one
    ("steel_4_6", &["steel", "carbon steel", "black steel"]),
    ("zinc_plated_steel", &["zinc", "zinc plated", "zinc plate"]),
    ("galvanized_steel", &["galvanized", "galvanised", "galvanised steel", "hot dip galvanized"]),
    ("copper", &[]),
    ("nickel_plate", &["nickel", "nickel plated"]),
    ("tin_plate", &["tin", "tin plated"]),
    ("lead", &[]),
    ("silver", &[]),
    ("magnesium", &["magnesium alloy"]),
    ("graphite", &["carbon fiber", "carbon fibre"]),
];

/// Words that stand for several, with the start of the names of those.
const SEVERAL: [(&str, &str); 8] = [
    ("steel", "steel_"),
    ("carbon steel", "steel_"),
    ("black steel", "steel_"),
    ("alloy", "steel_1"),
    ("alloy steel", "steel_1"),
    ("stainless", "stainless_"),
    ("stainless steel", "stainless_"),
    ("inox", "stainless_"),
];

/// Phrases for the places of the catalog, and the single words of which phrases for them are made.
const PLACES: [(&str, &[&str], &[&str]); 10] = [
    (
        "indoor_heated",
        &["office", "house", "heated", "kitchen", "living room"],
        &["heated", "office", "house", "room", "dry", "kitchen"],
    ),
    (
        "indoor_condensation",
        &["unheated", "shed", "garage", "warehouse", "barn", "basement", "cellar", "bathroom"],
        &[
            "unheated",
            "shed",
            "garage",
            "warehouse",
            "barn",
            "condensation",
            "building",
            "basement",
            "cellar",
            "bathroom",
            "damp",
        ],
    ),
    (
        "rural",
        &[
            "country",
            "countryside",
            "village",
            "farm",
            "lake",
            "lakeside",
            "river",
            "fresh water",
            "freshwater",
            "mountain",
            "mountains",
            "desert",
        ],
        &[
            "rural",
            "country",
            "village",
            "farm",
            "lake",
            "lakeside",
            "river",
            "mountain",
            "mountains",
            "desert",
        ],
    ),
    (
        "urban",
        &["city", "town", "suburb", "suburbs", "suburban", "garden", "backyard", "yard"],
        &["urban", "city", "town", "suburb", "suburbs", "suburban", "garden", "backyard"],
    ),
    ("industrial", &["industrial area", "industry"], &["industrial", "industry", "area"]),
    (
        "coastal",
        &[
            "sea",
            "coast",
            "boat",
            "harbor",
            "harbour",
            "marina",
            "seaside",
            "beach",
            "salt water",
            "sea water",
            "ocean",
            "dock",
        ],
        &[
            "coastal", "coast", "sea", "boat", "harbor", "harbour", "marina", "beach", "shore", "salt",
            "water", "ocean", "dock",
        ],
    ),
    (
        "splash",
        &["spray", "sea spray", "splash zone", "pier"],
        &["splash", "spray", "sea", "salt", "water", "zone", "pier"],
    ),
    (
        "road_salt",
        &["road", "truck", "trailer", "car", "vehicle", "winter road", "highway", "motorcycle"],
        &[
            "road",
            "roads",
            "salted",
            "salt",
            "truck",
            "trucks",
            "trailer",
            "car",
            "vehicle",
            "winter",
            "highway",
            "motorcycle",
        ],
    ),
    (
        "tropical_marine",
        &["tropics", "tropical"],
        &["tropics", "tropical", "coast", "sea", "marine", "harbor", "beach"],
    ),
    ("offshore", &["platform", "rig", "at sea", "open sea"], &["offshore", "platform", "rig", "oil"]),
];

/// Words for a site that stand for several places.
const SEVERAL_PLACES: [(&[&str], &[&str]); 7] = [
    (&["indoor", "indoors", "inside", "hall", "workshop"], &["indoor_heated", "indoor_condensation"]),
    (
        &["outdoor", "outdoors", "outside", "roof", "rooftop"],
        &["rural", "urban", "industrial", "coastal", "road_salt"],
    ),
    (&["marine", "ship", "vessel"], &["coastal", "splash", "tropical_marine", "offshore"]),
    (&["factory", "plant", "works"], &["indoor_heated", "indoor_condensation", "industrial"]),
    (&["deck", "on deck", "patio", "porch"], &["rural", "urban", "coastal", "splash"]),
    (&["train", "railway", "railroad"], &["rural", "urban", "industrial"]),
    (&["construction site", "building site", "job site"], &["rural", "urban", "industrial", "coastal"]),
];

/// What a place leaves out of the site that a word names.
const LEFT_OUT: [(&[&str], &str); 6] = [
    (
        &["lake", "lakeside", "river", "fresh water", "freshwater"],
        "the site beside the water; a part under water is not judged",
    ),
    (&["mountain", "mountains"], "altitude, snow and stronger sun are not judged"),
    (&["desert"], "as damp as there, which a desert is not; sand and salt pans are not judged"),
    (&["dock"], "at the sea; beside fresh water enter \"lake\""),
    (
        &["highway", "motorcycle"],
        "wet with road salt all winter; where roads are not salted, enter \"town\" or \"country\"",
    ),
    (&["kitchen"], "of a dwelling; steam, food and washing agents are not judged"),
];

/// Sites that no place stands for: their words, and why.
const NOT_JUDGED: [(&[&str], &str); 2] = [
    (
        &["pool", "pools", "swimming"],
        "Pool air is not judged: its chlorine compounds can crack stainless steel, and building codes restrict grades there. Have it assessed.",
    ),
    (
        &["greenhouse", "greenhouses"],
        "A greenhouse is not judged: it is warm and wet all year, with fertilizers. Enter measured values, or have it assessed.",
    ),
];

/// What to do with a word that stands for several.
pub(crate) const NAME_ONE: &str = "It stands for several: name one of these.";

/// What a phrase for a place may have besides.
const FILLERS: [&str; 17] = [
    "my", "our", "your", "a", "an", "the", "on", "in", "at", "near", "by", "to", "of", "under", "with",
    "close", "deck",
];

/// What stands behind these is not the part itself.
const THEN: [&str; 9] = ["for", "in", "on", "with", "of", "to", "at", "under", "from"];

/// Case, hyphens and underscores do not matter.
pub(crate) fn plain(text: &str) -> String {
    text.to_lowercase().replace(['_', '-'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a word is one of the names, of one or of many.
pub(crate) fn is_called<'a>(typed: &str, names: impl IntoIterator<Item = &'a str>) -> bool {
    let typed = plain(typed);
    let one = typed.strip_suffix('s').unwrap_or(&typed);
    names.into_iter().map(plain).any(|name| name == typed || name == one)
}

/// What form of part words stand for.
pub(crate) enum FormWords {
    /// The key of one.
    One(&'static str),
    /// Parts of several kinds.
    SeveralKinds(Vec<&'static str>),
    /// Any of these, which differ.
    AnyOf(&'static [&'static str]),
    /// None that is known.
    Unknown,
}

/// The form of part that words stand for: that of all of them, else of the last ones, as "gate hinge" is a hinge.
pub(crate) fn form_in_words(typed: &str) -> FormWords {
    const SCREWS: [&str; 6] = [
        "hexagon_head_screw",
        "socket_cap_screw",
        "button_head_screw",
        "countersunk_screw",
        "set_screw",
        "other",
    ];
    let named = |typed: &str| {
        let called = |(key, name, words): &&FormOfPart| {
            is_called(typed, [*key, *name].into_iter().chain(words.iter().copied()))
        };
        FORMS.iter().find(called).map(|(key, _, _)| *key)
    };
    if let Some(key) = named(typed) {
        return FormWords::One(key);
    }
    let typed = plain(typed);
    let words: Vec<&str> = typed.split(' ').take_while(|word| !THEN.contains(word)).collect();
    let by_end = |words: &[&str]| (0..words.len()).find_map(|start| named(&words.get(start..)?.join(" ")));
    // "nuts and bolts" are two inquiries
    let mut kinds: Vec<&str> = Vec::new();
    for kind in words.split(|word| matches!(*word, "and" | "or" | "&" | "+")).filter_map(by_end) {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    if kinds.len() > 1 {
        return FormWords::SeveralKinds(kinds);
    }
    match by_end(&words) {
        Some(key) => FormWords::One(key),
        None if words.last().is_some_and(|word| matches!(*word, "screw" | "screws")) => {
            FormWords::AnyOf(&SCREWS)
        }
        None => FormWords::Unknown,
    }
}

/// The phrases that a place answers to besides its catalog name.
#[cfg(feature = "command")]
pub(crate) fn words_of_place(key: &str) -> &'static [&'static str] {
    PLACES.iter().find(|(name, ..)| *name == key).map_or(&[], |(_, phrases, _)| phrases)
}

/// The words of a phrase that say something.
fn telling(phrase: &str) -> Vec<&str> {
    phrase.split(' ').filter(|word| !FILLERS.contains(word)).collect()
}

/// The runs of words of a text that can name something, the longest first: none begins or ends with a word that says
/// nothing. Each with where it begins and ends.
#[cfg(feature = "command")]
pub(crate) fn runs_of_words(text: &str) -> Vec<(std::ops::Range<usize>, String)> {
    let empty = |word: &str| FILLERS.contains(&word) || THEN.contains(&word) || matches!(word, "and" | "or");
    let bare = |word: &str| {
        word.trim_matches(|c: char| matches!(c, ',' | ';' | ':' | '.' | '(' | ')' | '!')).to_owned()
    };
    let words: Vec<String> = text.split_whitespace().map(bare).collect();
    let mut runs = Vec::new();
    for length in (1..=words.len()).rev() {
        for (start, run) in words.windows(length).enumerate() {
            let says = |word: Option<&String>| word.is_some_and(|word| !empty(&word.to_lowercase()));
            if says(run.first()) && says(run.last()) {
                runs.push((start..start + length, run.join(" ")));
            }
        }
    }
    runs
}

/// The words of a text without what stands behind "for", "on" and the like, which is not the part: in "stainless screws
/// for aluminum" the screws are of stainless steel. What stands behind "in" or "of" alone is, for example "in brass".
#[cfg(feature = "command")]
pub(crate) fn words_of_the_part(text: &str) -> String {
    let mut of_the_part = true;
    let mut kept: Vec<&str> = Vec::new();
    let words: Vec<&str> = text.split_whitespace().collect();
    for (at, word) in words.iter().enumerate() {
        if THEN.contains(&word.to_lowercase().as_str()) {
            let made = matches!(word.to_lowercase().as_str(), "in" | "of" | "from");
            let thing = words.get(at + 1).is_some_and(|next| {
                matches!(next.to_lowercase().as_str(), "a" | "an" | "the" | "my" | "our" | "your")
            });
            of_the_part = made && !thing;
        }
        if of_the_part {
            kept.push(word);
        }
    }
    kept.join(" ")
}

/// Why no place stands for the site that a phrase names.
pub(crate) fn not_judged_site(phrase: &str) -> Option<&'static str> {
    let typed = plain(phrase);
    let told = telling(&typed);
    let named = |(words, _): &&(&[&str], &str)| told.iter().any(|word| words.contains(word));
    NOT_JUDGED.iter().find(named).map(|(_, why)| *why)
}

/// What the place that a phrase is read as leaves out of the site.
pub(crate) fn left_out(phrase: &str) -> Option<&'static str> {
    let typed = plain(phrase);
    let (all, told) = (telling(&typed).join(" "), telling(&typed));
    let listed = |words: &&(&[&str], &str)| words.0.iter().any(|word| *word == all || told.contains(word));
    LEFT_OUT.iter().find(listed).map(|(_, said)| *said)
}

/// The corrosivity category that a word names, with or without the standard ("C4", "ISO 9223 C4").
pub(crate) fn category_of(word: &str) -> Option<Category> {
    let typed = word.trim().to_uppercase();
    let own = typed.strip_prefix("ISO 9223").unwrap_or(&typed);
    own.trim_start_matches([':', ',', '-', ' ']).parse().ok()
}

/// An error that asks back with the names of those that a word may stand for.
fn several(field: &str, value: &str, known: Vec<String>, remedy: &str) -> crate::Error {
    UnknownName {
        field: field.to_owned(),
        value: value.to_owned(),
        nearest: None,
        known,
        remedy: remedy.to_owned(),
    }
    .into()
}

/// The one place of `PLACES` that a phrase stands for.
fn place_of_phrase(phrase: &str) -> Option<&'static str> {
    let listed = |phrase: &str| {
        PLACES.iter().find(|(_, phrases, _)| phrases.contains(&phrase)).map(|(name, ..)| *name)
    };
    let told = telling(phrase);
    listed(phrase).or_else(|| listed(&told.join(" "))).or_else(|| {
        let mut all = PLACES.iter().filter(|(.., words)| told.iter().all(|word| words.contains(word)));
        let (name, ..) = all.next().filter(|_| !told.is_empty())?;
        all.next().is_none().then_some(*name)
    })
}

/// A grade of stainless fasteners with its strength, such as "A4-80", as the standard writes it; none of another word.
pub(crate) fn stainless_class(word: &str) -> Option<String> {
    let class = plain(word).to_uppercase().replace(' ', "-");
    let (grade, strength) = class.split_once('-')?;
    let known = grade.len() == 2 && fastener_grade_class(grade).is_some();
    (known && strength.len() >= 2 && strength.parse::<u16>().is_ok()).then_some(class)
}

/// The words that a base metal answers to besides its catalog name.
pub(crate) fn words_of_metal(key: &str, metal: &BaseMetal) -> Vec<String> {
    let listed = WORDS.iter().find(|(name, _)| *name == key).map_or(&[][..], |(_, words)| *words);
    let mut words: Vec<String> = listed.iter().map(|word| (*word).to_owned()).collect();
    if let Some(class) = &metal.property_class {
        words.extend([
            class.clone(),
            format!("class {class}"),
            format!("steel {class}"),
            format!("grade {class}"),
        ]);
    }
    if let Some(grade) = key.strip_prefix("stainless_").map(|grade| grade.replace('_', "-")) {
        let low_carbon = format!("{grade}L");
        let named =
            [Some(grade), words.contains(&low_carbon).then_some(low_carbon), metal.property_class.clone()];
        for name in named.into_iter().flatten() {
            words.extend([
                name.clone(),
                format!("aisi {name}"),
                format!("ss {name}"),
                format!("{name} ss"),
                format!("type {name}"),
                format!("stainless {name}"),
                format!("{name} stainless"),
                format!("stainless steel {name}"),
                format!("{name} stainless steel"),
            ]);
        }
    }
    let number = metal.name.split_once('(').and_then(|(_, rest)| rest.split_once(')'));
    words.extend(number.map(|(number, _)| number.to_owned()));
    words
}

/// "17-4 PH" and "17_4ph" are one word.
fn together(text: &str) -> String {
    plain(text).replace(' ', "")
}

/// The base metals of a catalog by all that they answer to, without case, hyphens and underscores.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct MetalsByWord {
    /// Catalog names by the words for them; of a stainless steel by the words written together.
    spaced: HashMap<String, Vec<String>>,
    together: HashMap<String, Vec<String>>,
}

impl MetalsByWord {
    pub(super) fn of(metals: &BTreeMap<String, BaseMetal>) -> Self {
        let mut all = Self::default();
        for (key, metal) in metals {
            for word in [key.clone(), metal.name.clone()].into_iter().chain(words_of_metal(key, metal)) {
                let keys = if metal.family.is_stainless() {
                    all.together.entry(together(&word))
                } else {
                    all.spaced.entry(plain(&word))
                };
                let keys = keys.or_default();
                if keys.last() != Some(key) {
                    keys.push(key.clone());
                }
            }
        }
        all
    }

    /// The catalog names of the metals that answer to a plain word, in their order.
    fn named(&self, typed: &str) -> Vec<&str> {
        let found = [self.spaced.get(typed), self.together.get(&together(typed))];
        let mut keys: Vec<&str> = found.into_iter().flatten().flatten().map(String::as_str).collect();
        keys.sort_unstable();
        keys
    }
}

impl Catalog {
    /// The catalog name of the base metal that a word stands for; none for a word that is not known.
    ///
    /// # Errors
    /// A word that stands for several, with their names.
    ///
    /// ```
    /// use overcoat::catalog::Catalog;
    /// let catalog = Catalog::built_in();
    /// assert_eq!(catalog.base_metal_key("base_metal", "8.8")?, Some("steel_8_8"));
    /// assert_eq!(catalog.base_metal_key("base_metal", "1.4401")?, Some("stainless_316"));
    /// assert_eq!(catalog.base_metal_key("base_metal", "SAE Grade 8")?, Some("steel_10_9"));
    /// assert_eq!(catalog.base_metal_key("base_metal", "unobtainium")?, None);
    /// assert!(catalog.base_metal_key("base_metal", "stainless steel").is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn base_metal_key(&self, field: &str, word: &str) -> Result<Option<&str>> {
        let metals = &self.content.base_metals;
        if let Some((key, _)) = metals.get_key_value(word) {
            return Ok(Some(key));
        }
        // "12,9" as the other half of the world writes it
        let decimal = word.split_once(',').filter(|(whole, part)| {
            [*whole, *part].iter().all(|digits| digits.len() < 3 && digits.parse::<u8>().is_ok())
        });
        let typed = decimal.map_or_else(|| plain(word), |(whole, part)| format!("{whole}.{part}"));
        let named = self.metals_by_word.named(&typed);
        let named = match SEVERAL.iter().find(|(several, _)| *several == typed) {
            Some((_, start)) if named.is_empty() => {
                self.metals_usual_first().filter(|key| key.starts_with(start)).collect()
            }
            _ => named,
        };
        match named.as_slice() {
            [] => {
                let known = self.of_inch_grade(field, word)?;
                if known.is_none() {
                    self.refuse_metal(field, word, &typed)?;
                }
                Ok(known)
            }
            [key] => Ok(Some(key)),
            _ => Err(several(field, word, named.iter().map(|name| (*name).to_owned()).collect(), NAME_ONE)),
        }
    }

    /// The names of the base metals, those named most first.
    pub(crate) fn metals_usual_first(&self) -> impl Iterator<Item = &str> {
        let metals = &self.content.base_metals;
        let usual =
            USUAL_FIRST.iter().filter_map(|key| metals.get_key_value(*key).map(|(key, _)| key.as_str()));
        usual.chain(metals.keys().map(String::as_str).filter(|key| !USUAL_FIRST.contains(key)))
    }

    /// Rejects a metal that the catalog is known not to have, and a finish in place of a metal.
    fn refuse_metal(&self, field: &str, word: &str, typed: &str) -> Result<()> {
        let grade =
            ["aisi ", "sae ", "astm "].iter().find_map(|body| typed.strip_prefix(body)).unwrap_or(typed);
        let grade = grade.strip_suffix(" steel").filter(|own| own.len() <= 4).unwrap_or(grade);
        if let Some((_, nearest, remedy)) = NEAREST.iter().find(|(words, ..)| words.contains(&grade)) {
            let known = nearest.iter().filter(|key| self.content.base_metals.contains_key(**key));
            return Err(several(field, word, known.map(|key| (*key).to_owned()).collect(), remedy));
        }
        if FINISHES.contains(&typed) {
            return Err(invalid(
                field,
                format!("{word:?}"),
                "the metal under the finish",
                "That is a finish, not a metal: enter the metal under it, such as mild steel, and what is on it now as \
                 the present finish.",
            ));
        }
        Ok(())
    }

    /// The name of the metal in contact that a word stands for; none for a word that is not known.
    ///
    /// # Errors
    /// A word that stands for several, with their names; a metal that the catalog is known not to have.
    pub(crate) fn mating_metal_key(&self, field: &str, word: &str) -> Result<Option<&str>> {
        let typed = plain(word);
        let mate = MATES.iter().find(|(key, words)| plain(key) == typed || words.contains(&typed.as_str()));
        match mate {
            Some((key, _)) if !key.starts_with("steel") || self.content.base_metals.contains_key(*key) => {
                Ok(Some(key))
            }
            _ => self.base_metal_key(field, word),
        }
    }

    /// The catalog name of the place that a phrase stands for; none for one that is not known.
    ///
    /// # Errors
    /// A word that stands for several, with their names.
    ///
    /// ```
    /// use overcoat::catalog::Catalog;
    /// let catalog = Catalog::built_in();
    /// assert_eq!(catalog.place_key("sea")?, Some("coastal"));
    /// assert_eq!(catalog.place_key("truck in winter")?, Some("road_salt"));
    /// assert_eq!(catalog.place_key("moon")?, None);
    /// assert!(catalog.place_key("indoors").is_err());
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn place_key(&self, phrase: &str) -> Result<Option<&str>> {
        let places = &self.content.places;
        if let Some((key, _)) = places.get_key_value(phrase) {
            return Ok(Some(key));
        }
        let typed = plain(phrase);
        let own = places.iter().find(|(key, place)| plain(key) == typed || plain(&place.name) == typed);
        if let Some((key, _)) = own {
            return Ok(Some(key));
        }
        let told = telling(&typed);
        if let Some(why) = not_judged_site(phrase) {
            return Err(invalid("place", format!("{phrase:?}"), "a described place", why));
        }
        let all = told.join(" ");
        let listed = |words: &[&str]| words.contains(&typed.as_str()) || words.contains(&all.as_str());
        if let Some((_, named)) = SEVERAL_PLACES.iter().find(|(words, _)| listed(words)) {
            let known = named.iter().filter(|name| places.contains_key(**name));
            return Err(several("place", phrase, known.map(|name| (*name).to_owned()).collect(), NAME_ONE));
        }
        if let Some(category) = category_of(phrase) {
            let remedy = format!("Enter a corrosivity category as `corrosivity`: \"{category}\".");
            return Err(several("place", phrase, places.keys().cloned().collect(), &remedy));
        }
        if ["c5 m", "c5m", "c5 i", "c5i"].contains(&typed.as_str()) {
            let remedy = "C5-M and C5-I of older editions are now C5, and CX offshore: enter one of them as `corrosivity`.";
            return Err(invalid("place", format!("{phrase:?}"), "a described place", remedy));
        }
        let meant = place_of_phrase(&typed).and_then(|name| places.get_key_value(name));
        Ok(meant.map(|(key, _)| key.as_str()))
    }

    /// The steel of the property class that a grade of inch bolts is read as.
    fn of_inch_grade(&self, field: &str, word: &str) -> Result<Option<&str>> {
        let Some(grade) = InchGrade::named(word) else { return Ok(None) };
        let of_class = |metal: &BaseMetal| metal.property_class.as_deref().and_then(PropertyClass::named);
        let steels = || self.content.base_metals.iter().filter(|(_, metal)| of_class(metal).is_some());
        let Some(class) = grade.class() else {
            let known = self.metals_usual_first().filter(|key| steels().any(|(steel, _)| steel == key));
            return Err(several(field, word, known.map(str::to_owned).collect(), &grade.write_instead()));
        };
        Ok(steels().find(|(_, metal)| of_class(metal) == Some(class)).map(|(key, _)| key.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phrase_stands_for_one_place_or_is_asked_back() {
        let catalog = Catalog::built_in();
        for (phrase, key) in [
            ("on a boat", "coastal"),
            ("sea water", "coastal"),
            ("Sea spray", "splash"),
            ("salted road", "road_salt"),
            ("tropical coast", "tropical_marine"),
            ("indoor-heated", "indoor_heated"),
            ("unheated garage", "indoor_condensation"),
            ("suburbs", "urban"),
            ("in the garden", "urban"),
            ("my garden", "urban"),
            ("lake", "rural"),
            ("lakeside", "rural"),
            ("near the ocean", "coastal"),
            ("boat dock", "coastal"),
            ("highway", "road_salt"),
            ("kitchen", "indoor_heated"),
            ("damp basement", "indoor_condensation"),
        ] {
            assert_eq!(catalog.place_key(phrase).unwrap(), Some(key), "{phrase}");
            assert!(catalog.place(phrase).is_ok());
        }
        for phrase in [
            "indoors",
            "Outside",
            "marine",
            "factory",
            "on the roof",
            "deck",
            "construction site",
            "swimming pool",
            "C5-M",
        ] {
            assert!(catalog.place_key(phrase).is_err(), "{phrase}");
        }
        for phrase in ["", "the", "moon", "a truck at sea"] {
            assert_eq!(catalog.place_key(phrase).unwrap(), None, "{phrase:?}");
        }
    }

    #[test]
    fn a_metal_is_known_by_its_spellings() {
        let catalog = Catalog::built_in();
        for (word, key) in [
            ("12,9", "steel_12_9"),
            ("17-4 PH", "stainless_17_4ph"),
            ("17-4", "stainless_17_4ph"),
            ("316L", "stainless_316"),
            ("SS316", "stainless_316"),
            ("316 SS", "stainless_316"),
            ("316L stainless steel", "stainless_316"),
            ("A2 stainless", "stainless_304"),
            ("18/8", "stainless_304"),
            ("6061-T6", "aluminium"),
        ] {
            assert_eq!(catalog.base_metal_key("base_metal", word).unwrap(), Some(key), "{word}");
        }
        let asked_back = |word: &str| match catalog.base_metal_key("base_metal", word).unwrap_err() {
            crate::Error::Name(unknown) => unknown.known,
            other => vec![other.remedy().to_owned()],
        };
        assert!(
            asked_back("stainless").starts_with(&["stainless_304".to_owned(), "stainless_316".to_owned()])
        );
        assert_eq!(asked_back("AISI 4140"), ["steel_8_8", "steel_10_9", "steel_12_9"]);
        assert_eq!(asked_back("bronze"), ["brass"]);
        assert!(asked_back("galvanized").iter().all(|said| said.contains("a finish, not a metal")));
    }

    /// A metal in contact may be plated, and carbon steels are one to it.
    #[test]
    fn a_metal_in_contact_is_known_by_its_words() {
        let catalog = Catalog::built_in();
        for (word, key) in [
            ("galvanized", "galvanized_steel"),
            ("zinc-plated steel", "zinc_plated_steel"),
            ("carbon fiber", "graphite"),
            ("Aluminum", "aluminium"),
            ("steel", "steel_4_6"),
        ] {
            assert_eq!(catalog.mating_metal_key("mating_metals", word).unwrap(), Some(key), "{word}");
        }
        assert_eq!(catalog.mating_metal_key("mating_metals", "wood").unwrap(), None);
        assert!(catalog.mating_metal_key("mating_metals", "stainless").is_err());
    }

    #[test]
    fn a_category_is_read_with_and_without_its_standard() {
        for word in ["C4", "c4", "ISO 9223 C4", "iso 9223: c4"] {
            assert_eq!(category_of(word), Some(Category::C4), "{word}");
        }
        assert_eq!(category_of("C6"), None);
    }
}
