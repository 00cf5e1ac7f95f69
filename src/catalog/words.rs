//! Everyday words for base metals ("8.8", "A4", "1.4401", "mild steel") and for places ("sea", "truck in winter").

use crate::atmosphere::Category;
use crate::catalog::Catalog;
use crate::error::UnknownName;
use crate::metal::{BaseMetal, InchGrade, PropertyClass, fastener_grade_class};
use crate::{Error, Result};

/// Other words for base metals, besides their catalog names, grades, classes and material numbers.
const WORDS: [(&str, &[&str]); 4] = [
    ("steel_4_6", &["mild steel", "low-carbon steel", "plain steel"]),
    ("stainless_304", &["18-8", "304L", "A2-50", "A2-70", "A2-80"]),
    ("stainless_316", &["316L", "A4-50", "A4-70", "A4-80", "marine grade"]),
    ("aluminium", &["aluminum"]),
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
    ("indoor_heated", &["office", "house", "heated"], &["heated", "office", "house", "room", "dry"]),
    (
        "indoor_condensation",
        &["unheated", "shed", "garage", "warehouse", "barn"],
        &["unheated", "shed", "garage", "warehouse", "barn", "condensation", "building"],
    ),
    ("rural", &["country", "countryside", "village", "farm"], &["rural", "country", "village", "farm"]),
    ("urban", &["city", "town"], &["urban", "city", "town"]),
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
        ],
        &[
            "coastal", "coast", "sea", "boat", "harbor", "harbour", "marina", "beach", "shore", "salt",
            "water",
        ],
    ),
    (
        "splash",
        &["spray", "sea spray", "splash zone", "pier"],
        &["splash", "spray", "sea", "salt", "water", "zone", "pier"],
    ),
    (
        "road_salt",
        &["road", "truck", "trailer", "car", "vehicle", "winter road"],
        &["road", "roads", "salted", "salt", "truck", "trucks", "trailer", "car", "vehicle", "winter"],
    ),
    (
        "tropical_marine",
        &["tropics", "tropical"],
        &["tropics", "tropical", "coast", "sea", "marine", "harbor", "beach"],
    ),
    ("offshore", &["platform", "rig", "at sea", "open sea"], &["offshore", "platform", "rig", "oil"]),
];

/// Words for a site that stand for several places.
const SEVERAL_PLACES: [(&[&str], &[&str]); 4] = [
    (&["indoor", "indoors", "inside", "hall", "workshop"], &["indoor_heated", "indoor_condensation"]),
    (&["outdoor", "outdoors", "outside"], &["rural", "urban", "industrial", "coastal", "road_salt"]),
    (&["marine", "ship", "vessel"], &["coastal", "splash", "tropical_marine", "offshore"]),
    (&["factory", "plant", "works"], &["indoor_heated", "indoor_condensation", "industrial"]),
];

/// What a phrase for a place may have besides.
const FILLERS: [&str; 14] =
    ["a", "an", "the", "on", "in", "at", "near", "by", "to", "of", "under", "with", "close", "deck"];

/// Case, hyphens and underscores do not matter.
pub(crate) fn plain(text: &str) -> String {
    text.to_lowercase().replace(['_', '-'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The phrases that a place answers to besides its catalog name.
#[cfg(feature = "command")]
pub(crate) fn words_of_place(key: &str) -> &'static [&'static str] {
    PLACES.iter().find(|(name, ..)| *name == key).map_or(&[], |(_, phrases, _)| phrases)
}

/// The one place of `PLACES` that a phrase stands for.
fn place_of_phrase(phrase: &str) -> Option<&'static str> {
    let listed = |phrase: &str| {
        PLACES.iter().find(|(_, phrases, _)| phrases.contains(&phrase)).map(|(name, ..)| *name)
    };
    let told: Vec<&str> = phrase.split(' ').filter(|word| !FILLERS.contains(word)).collect();
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
    if let Some(grade) = key.strip_prefix("stainless_") {
        words.extend([grade.to_owned(), format!("aisi {grade}"), format!("{grade} stainless")]);
    }
    let number = metal.name.split_once('(').and_then(|(_, rest)| rest.split_once(')'));
    words.extend(number.map(|(number, _)| number.to_owned()));
    words
}

const ONE_OF_SEVERAL: &str = "It stands for several: name one of these.";

/// A word that is no one name of the catalog, with the names that it may mean.
fn stands_for<'a>(field: &str, word: &str, known: impl Iterator<Item = &'a str>, remedy: &str) -> Error {
    UnknownName {
        field: field.to_owned(),
        value: word.to_owned(),
        nearest: None,
        known: known.map(str::to_owned).collect(),
        remedy: remedy.to_owned(),
    }
    .into()
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
        // "17-4 PH" and "17_4ph" are one word
        let together = |text: &str| plain(text).replace(' ', "");
        let answers = |key: &str, metal: &BaseMetal| {
            let is_typed = |word: &str| {
                plain(word) == typed || metal.family.is_stainless() && together(word) == together(&typed)
            };
            is_typed(key)
                || is_typed(&metal.name)
                || words_of_metal(key, metal).iter().any(|word| is_typed(word))
        };
        let named: Vec<&str> =
            metals.iter().filter(|(key, m)| answers(key, m)).map(|(key, _)| key.as_str()).collect();
        let named = match SEVERAL.iter().find(|(several, _)| *several == typed) {
            Some((_, start)) if named.is_empty() => {
                metals.keys().filter(|key| key.starts_with(start)).map(String::as_str).collect()
            }
            _ => named,
        };
        match named.as_slice() {
            [] => self.of_inch_grade(field, word),
            [key] => Ok(Some(key)),
            several => Err(stands_for(field, word, several.iter().copied(), ONE_OF_SEVERAL)),
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
        if let Some((_, named)) = SEVERAL_PLACES.iter().find(|(words, _)| words.contains(&typed.as_str())) {
            let known = named.iter().copied().filter(|name| places.contains_key(*name));
            return Err(stands_for("place", phrase, known, ONE_OF_SEVERAL));
        }
        if let Ok(category) = typed.to_uppercase().parse::<Category>() {
            let remedy = format!("Enter a corrosivity category as `corrosivity`: \"{category}\".");
            return Err(stands_for("place", phrase, places.keys().map(String::as_str), &remedy));
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
            return Err(stands_for(
                field,
                word,
                steels().map(|(key, _)| key.as_str()),
                &grade.write_instead(),
            ));
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
        ] {
            assert_eq!(catalog.place_key(phrase).unwrap(), Some(key), "{phrase}");
            assert!(catalog.place(phrase).is_ok());
        }
        for phrase in ["indoors", "Outside", "marine", "factory"] {
            assert!(catalog.place_key(phrase).is_err(), "{phrase}");
        }
        for phrase in ["", "the", "moon", "a truck at sea"] {
            assert_eq!(catalog.place_key(phrase).unwrap(), None, "{phrase:?}");
        }
    }

    #[test]
    fn a_metal_is_known_by_its_spellings() {
        let catalog = Catalog::built_in();
        for (word, key) in
            [("12,9", "steel_12_9"), ("17-4 PH", "stainless_17_4ph"), ("316L", "stainless_316")]
        {
            assert_eq!(catalog.base_metal_key("base_metal", word).unwrap(), Some(key), "{word}");
        }
        assert!(catalog.base_metal_key("base_metal", "stainless").is_err());
    }
}
