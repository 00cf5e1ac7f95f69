//! Everyday words for base metals: "8.8", "A4", "1.4401", "316", "mild steel".

use crate::Result;
use crate::catalog::Catalog;
use crate::error::UnknownName;
use crate::metal::{BaseMetal, InchGrade, PropertyClass, fastener_grade_class};

/// Other words for base metals, besides their catalog names, grades, classes and material numbers.
const WORDS: [(&str, &[&str]); 4] = [
    ("steel_4_6", &["mild steel", "low-carbon steel", "plain steel"]),
    ("stainless_304", &["18-8", "a2-70", "v2a"]),
    ("stainless_316", &["a4-70", "a4-80", "marine grade", "v4a"]),
    ("aluminium", &["aluminum"]),
];

/// Words that stand for several, with the start of the names of those.
const SEVERAL: [(&str, &str); 7] = [
    ("steel", "steel_"),
    ("carbon steel", "steel_"),
    ("black steel", "steel_"),
    ("alloy steel", "steel_1"),
    ("stainless", "stainless_"),
    ("stainless steel", "stainless_"),
    ("inox", "stainless_"),
];

/// Case, hyphens and underscores do not matter.
pub(crate) fn plain(text: &str) -> String {
    text.to_lowercase().replace(['_', '-'], " ").split_whitespace().collect::<Vec<_>>().join(" ")
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
        let typed = plain(word);
        let answers = |key: &str, metal: &BaseMetal| {
            plain(key) == typed
                || plain(&metal.name) == typed
                || words_of_metal(key, metal).iter().any(|word| plain(word) == typed)
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
            _ => Err(UnknownName {
                field: field.to_owned(),
                value: word.to_owned(),
                nearest: None,
                known: named.iter().map(|name| (*name).to_owned()).collect(),
                remedy: "It stands for several: name one of these.".to_owned(),
            }
            .into()),
        }
    }

    /// The steel of the property class that a grade of inch bolts is read as.
    fn of_inch_grade(&self, field: &str, word: &str) -> Result<Option<&str>> {
        let Some(grade) = InchGrade::named(word) else { return Ok(None) };
        let of_class = |metal: &BaseMetal| metal.property_class.as_deref().and_then(PropertyClass::named);
        let steels = || self.content.base_metals.iter().filter(|(_, metal)| of_class(metal).is_some());
        let Some(class) = grade.class() else {
            return Err(UnknownName {
                field: field.to_owned(),
                value: word.to_owned(),
                nearest: None,
                known: steels().map(|(key, _)| key.clone()).collect(),
                remedy: grade.write_instead(),
            }
            .into());
        };
        Ok(steels().find(|(_, metal)| of_class(metal) == Some(class)).map(|(key, _)| key.as_str()))
    }
}
