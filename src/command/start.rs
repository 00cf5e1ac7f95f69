//! A first brief from a few questions in the words of the finishing industry.

use serde_json::{Map, Value as Json, json};

use crate::brief::{BRIEF_SCHEMA, Brief, PresentFinish, SITE_ASSUMED, temperature_named};
use crate::catalog::{
    Catalog, FORMS, FormWords, MATES, NAME_ONE, category_of, form_in_words, is_called, left_out,
    not_judged_site, plain, runs_of_words, stainless_class, words_of_metal, words_of_place,
    words_of_the_part,
};
use crate::command::answers::words_of;
use crate::command::arguments::Start;
use crate::command::{Outcome, Streams, Trouble, files};
use crate::error::{Error, invalid};
use crate::metal::InchGrade;
use crate::rank::rank;
use crate::rank::words::metal_short;
use crate::report::{TerminalOptions, terminal, wrapped};

/// Finishes that are on a part now: their keys and everyday words.
const FINISHES: [(&str, &[&str]); 9] = [
    ("none", &["plain", "bare", "uncoated", "raw", "no"]),
    (
        "zinc_plate",
        &[
            "zinc plated",
            "zinc plate",
            "electroplated zinc",
            "electro-galvanized",
            "yellow zinc",
            "clear zinc",
        ],
    ),
    ("hot_dip_zinc", &["hot-dip galvanized", "hot dip zinc", "hdg"]),
    ("cadmium_plate", &["cadmium", "cadmium plated", "cad plated"]),
    ("nickel_plate", &["nickel", "nickel plated"]),
    ("chromium_plate", &["chrome", "chrome plated", "chromium"]),
    ("phosphate", &["phosphated", "parkerized"]),
    ("black_oxide", &["black oxided", "blackened", "blued"]),
    ("paint", &["painted", "lacquer", "powder coated"]),
];

/// Words for a finish that stand for several.
const SEVERAL_FINISHES: [(&[&str], &[&str]); 2] = [
    (&["zinc", "galvanized", "galvanised"], &["zinc_plate", "hot_dip_zinc"]),
    (&["black"], &["black_oxide", "phosphate", "paint"]),
];

/// Answers that say that something is not known, besides none at all.
const NOT_KNOWN: [&str; 16] = [
    "",
    "no",
    "i don't know",
    "i dont know",
    "don't know",
    "dont know",
    "do not know",
    "unknown",
    "not known",
    "not sure",
    "no idea",
    "idk",
    "none",
    "nothing",
    "n/a",
    "na",
];

/// Choices above which a list has two columns, and the width of one.
const LONG_LIST: usize = 12;
const COLUMN: usize = 39;

/// Whether an answer says nothing; a dash alone does not either.
fn is_not_known(typed: &str) -> bool {
    NOT_KNOWN.contains(&plain(typed).replace('’', "'").trim_end_matches('.'))
}

/// A choice by its key, with what it is called and other words for it.
struct Choice {
    key: String,
    name: String,
    /// The name in a long list.
    short: String,
    words: Vec<String>,
}

impl Choice {
    fn of(key: &str, name: &str, words: &[&str]) -> Self {
        let words = words.iter().map(|word| (*word).to_owned()).collect();
        Self { key: key.to_owned(), name: name.to_owned(), short: name.to_owned(), words }
    }

    /// The short name with as many of the other words as fit in a column.
    fn in_column(&self) -> String {
        let own = plain(&self.short);
        let mut text = self.short.clone();
        for (at, word) in self.words.iter().filter(|word| plain(word) != own).take(2).enumerate() {
            let longer = if at == 0 {
                format!("{text} ({word})")
            } else {
                format!("{}, {word})", text.trim_end_matches(')'))
            };
            if longer.chars().count() > COLUMN - 7 {
                break;
            }
            text = longer;
        }
        text
    }

    fn answers_to(&self, typed: &str) -> bool {
        is_called(typed, [&self.key, &self.name].into_iter().chain(&self.words).map(String::as_str))
    }
}

fn forms() -> Vec<Choice> {
    FORMS.iter().map(|(key, name, words)| Choice::of(key, name, words)).collect()
}

fn finishes() -> Vec<Choice> {
    let name = |key: &str| {
        serde_json::from_value::<PresentFinish>(key.into())
            .map_or_else(|_| key.to_owned(), |f| f.words().to_owned())
    };
    FINISHES.iter().map(|(key, words)| Choice::of(key, &name(key), words)).collect()
}

fn places(catalog: &Catalog) -> Vec<Choice> {
    let places = &catalog.content().places;
    places.iter().map(|(key, place)| Choice::of(key, &place.name, words_of_place(key))).collect()
}

fn metals(catalog: &Catalog) -> Vec<Choice> {
    let metals = catalog.metals_usual_first().filter_map(|key| Some((key, catalog.base_metal(key).ok()?)));
    metals
        .map(|(key, metal)| Choice {
            words: words_of_metal(key, metal),
            short: metal_short(metal),
            ..Choice::of(key, &metal.name, &[])
        })
        .collect()
}

/// Why a word stands for no choice.
enum Unread {
    /// It may stand for several: their keys, and what to say besides their names.
    Several(Vec<String>, String),
    /// It is rejected, with the reason.
    Refused(String),
}

/// What a word stands for: a choice, or a word that a brief takes as it is, with its name; none where it is not known.
type Reading = std::result::Result<Option<(String, String)>, Unread>;

impl Unread {
    /// Why a word of the catalog could not be read.
    fn of(error: &Error) -> Self {
        match error {
            Error::Name(unknown) => {
                let said = if unknown.remedy == NAME_ONE {
                    format!("{:?} can be any of these:", unknown.value)
                } else {
                    unknown.remedy.clone()
                };
                Self::Several(unknown.known.clone(), said)
            }
            other => Self::Refused(other.remedy().to_owned()),
        }
    }

    /// In one text, with the names of those that the word may stand for.
    fn in_words(&self, choices: &[Choice]) -> String {
        match self {
            Self::Refused(why) => why.clone(),
            Self::Several(keys, said) => format!("{said} {}.", among(choices, keys).join("; ")),
        }
    }
}

/// The names of the choices with these keys, in the order of the keys.
fn among<'a>(choices: &'a [Choice], keys: &[String]) -> Vec<&'a str> {
    let named = |key: &String| choices.iter().find(|choice| choice.key == *key);
    keys.iter().filter_map(named).map(|choice| choice.name.as_str()).collect()
}

fn can_be(typed: &str, keys: &[&str]) -> Unread {
    Unread::Several(
        keys.iter().map(|key| (*key).to_owned()).collect(),
        format!("{typed:?} can be any of these:"),
    )
}

/// The form that is called by all of the words.
fn form_named(typed: &str) -> Option<Choice> {
    forms().into_iter().find(|choice| choice.answers_to(typed))
}

/// The form of part that words stand for.
fn form_of(typed: &str) -> Reading {
    match form_in_words(typed) {
        FormWords::One(key) => {
            Ok(forms().into_iter().find(|choice| choice.key == key).map(|c| (c.key, c.name)))
        }
        FormWords::SeveralKinds(keys) => {
            let keys = keys.into_iter().map(str::to_owned).collect();
            Err(Unread::Several(keys, "One kind of part at a time:".to_owned()))
        }
        FormWords::AnyOf(keys) => Err(can_be(typed, keys)),
        FormWords::Unknown => Ok(None),
    }
}

/// The finish on the part that a word stands for.
fn finish_of(typed: &str) -> Reading {
    let word = plain(typed);
    if let Some((_, keys)) = SEVERAL_FINISHES.iter().find(|(words, _)| words.contains(&word.as_str())) {
        return Err(can_be(typed, keys));
    }
    Ok(finishes().into_iter().find(|choice| choice.answers_to(typed)).map(|choice| (choice.key, choice.name)))
}

/// The base metal that a word stands for, read as a brief reads it; its own word stays where it says more than the metal.
fn metal_of(typed: &str, catalog: &Catalog) -> Reading {
    if typed.len() < 3 && typed.parse::<u8>().is_ok() {
        return Err(Unread::Refused(format!(
            "{typed} alone is not clear: write \"Grade {typed}\" for SAE J429, or \"class 8.8\" ..."
        )));
    }
    let key = catalog.base_metal_key("base_metal", typed).map_err(|error| Unread::of(&error))?;
    let metal = key.and_then(|key| Some((key, catalog.content().base_metals.get(key)?)));
    Ok(metal.map(|(key, metal)| {
        if key == typed {
            return (key.to_owned(), metal.name.clone());
        }
        if let Some(class) = stainless_class(typed) {
            let name = metal.name.split(',').next().unwrap_or(&metal.name);
            return (class.clone(), format!("{name}, {class}"));
        }
        let grade = InchGrade::named(typed).map(InchGrade::read_as);
        let name = grade.as_deref().and_then(|said| said.split(';').next()).unwrap_or(&metal.name);
        (typed.to_owned(), name.to_owned())
    }))
}

/// What parts touch that is not a metal.
const NO_METALS: [&str; 10] =
    ["wood", "timber", "plastic", "nylon", "rubber", "glass", "concrete", "stone", "composite", "leather"];

/// The metal in contact that a word stands for, by its name in a brief.
fn mate_of(typed: &str, catalog: &Catalog) -> Reading {
    if NO_METALS.contains(&plain(typed).as_str()) {
        return Err(Unread::Refused(format!(
            "{typed} is not a metal. Name the metals alone, or press Enter; where {typed} can matter, as treated wood does, \
             enter it under \"Anything special\"."
        )));
    }
    let key = catalog.mating_metal_key("mating_metals", typed).map_err(|error| Unread::of(&error))?;
    Ok(key.map(|key| {
        let name = catalog.base_metal(key).map_or_else(|_| key.replace('_', " "), |metal| metal.name.clone());
        (key.to_owned(), name)
    }))
}

/// The place that a phrase stands for.
fn place_of(typed: &str, catalog: &Catalog) -> Reading {
    let key = catalog.place_key(typed).map_err(|error| Unread::of(&error))?;
    let place = key.and_then(|key| Some((key, catalog.content().places.get(key)?)));
    let left_out = left_out(typed).map_or(String::new(), |said| format!(": {said}"));
    // the word stays, so that the answer tells how it was read
    Ok(place.map(|(key, place)| {
        let word = if left_out.is_empty() { key } else { typed };
        (word.to_owned(), format!("{}{left_out}", place.name))
    }))
}

/// Words of the first answer that answer a later question too.
struct Offer {
    words: String,
    reading: Reading,
}

impl Offer {
    /// What the words of a text stand for; several places or metals are asked back like a word for several.
    fn of(text: &str, read: impl Fn(&str) -> Reading) -> Option<Self> {
        let mut used: Vec<std::ops::Range<usize>> = Vec::new();
        let mut said: Vec<(usize, String)> = Vec::new();
        let mut one: Vec<(String, String)> = Vec::new();
        let mut several: Vec<String> = Vec::new();
        for (range, words) in runs_of_words(text) {
            if used.iter().any(|used| used.start < range.end && range.start < used.end) {
                continue;
            }
            match read(&words) {
                Ok(Some(known)) => one.extend((!one.contains(&known)).then_some(known)),
                Err(Unread::Several(keys, _)) => several.extend(keys),
                Err(Unread::Refused(_)) | Ok(None) => continue,
            }
            said.push((range.start, words));
            used.push(range);
        }
        said.sort();
        let words = said.into_iter().map(|(_, words)| words).collect::<Vec<_>>().join(" ... ");
        let reading = match one.as_slice() {
            [] if several.is_empty() => return None,
            [(key, name)] if several.is_empty() || several.contains(key) => {
                Ok(Some((key.clone(), name.clone())))
            }
            _ => {
                let mut keys: Vec<&str> = Vec::new();
                for key in one.iter().map(|(key, _)| key).chain(&several) {
                    if !keys.contains(&key.as_str()) {
                        keys.push(key);
                    }
                }
                Err(can_be(&words, &keys))
            }
        };
        Some(Self { words, reading })
    }

    /// The question with the words in place of what Enter stands for without them.
    fn ask(&self, ask: &str) -> String {
        offering(ask, &self.words)
    }

    /// The choices that the words may stand for, where these are several.
    fn several(&self) -> Vec<String> {
        match &self.reading {
            Err(Unread::Several(keys, _)) => keys.clone(),
            _ => Vec::new(),
        }
    }
}

/// The question with the words in place of what Enter stands for without them.
fn offering(ask: &str, words: &str) -> String {
    let bare = ask.trim_end_matches(':');
    let bare = if bare.ends_with(']') { bare.rsplit_once(" [").map_or(bare, |(bare, _)| bare) } else { bare };
    format!("{bare} [{words:?}]:")
}

/// The question, asked until the answer is one of the choices, or nothing is typed.
struct Dialog<'a, 'b> {
    streams: &'a mut Streams<'b>,
}

impl Dialog<'_, '_> {
    fn line(&mut self, question: &str) -> Result<String, Trouble> {
        self.streams.print(&format!("{question} "))?;
        let mut typed = String::new();
        match self.streams.input.read_line(&mut typed) {
            Ok(0) => Err(Trouble::Refused("the answers ended early; nothing was written.".to_owned())),
            Ok(_) => Ok(typed.trim().to_owned()),
            Err(error) => Err(Trouble::Refused(files::in_words("standard input", &error))),
        }
    }

    fn explain(&mut self, text: &str) -> Result<(), Trouble> {
        if text.is_empty() {
            return Ok(());
        }
        self.streams.print(&(wrapped(text, "  ", "  ").join("\n") + "\n"))
    }

    /// What is assumed, where the question did not show it to whoever pressed Enter.
    fn assumed(&mut self, question: &Question, typed: &str) -> Result<(), Trouble> {
        let shown = typed.is_empty() && question.ask.ends_with("]:");
        self.explain(if shown { "" } else { question.unknown })
    }

    /// What the brief says for one of the choices, with the words typed for it; none where it is not known, which is
    /// answered with what is assumed. A number counts once a list was shown. Enter alone takes what is offered.
    fn choose(
        &mut self,
        question: &Question,
        choices: &[Choice],
        mut offer: Option<Offer>,
        read: impl Fn(&str) -> Reading,
    ) -> Result<Chosen, Trouble> {
        let mut shown: Vec<&Choice> = Vec::new();
        let mut all_shown = false;
        // the words that a list was shown for
        let mut said: Option<String> = None;
        let mut asked_back = false;
        let mut several = offer.as_ref().map_or_else(Vec::new, Offer::several);
        let mut refused: Vec<String> = Vec::new();
        loop {
            let ask = offer.as_ref().map_or_else(|| question.ask.to_owned(), |offer| offer.ask(question.ask));
            let typed = self.line(&ask)?;
            let offered = if typed.is_empty() { offer.take() } else { None };
            if is_not_known(&typed) && offered.is_none() {
                self.assumed(question, &typed)?;
                return Ok(Chosen { word: None, typed: said, several, refused });
            }
            let number = typed.trim_start_matches('#').parse::<usize>().ok().filter(|_| !shown.is_empty());
            let numbered = number.and_then(|number| shown.get(number.checked_sub(1)?));
            // 316 is a metal and no number of the list
            if number.is_some() && numbered.is_none() && !matches!(read(&typed), Ok(Some(_))) {
                self.explain(&format!("The list has the numbers 1 to {}.", shown.len()))?;
                continue;
            }
            let (known, typed) = match (numbered, offered) {
                (_, Some(Offer { words, reading: Ok(Some((word, name))) })) => {
                    self.explain(&format!("= {name}, from {words:?}"))?;
                    return Ok(Chosen { word: Some(word), refused, ..Chosen::default() });
                }
                (_, Some(Offer { words, reading })) => (reading, words),
                (Some(choice), _) => {
                    self.explain(&format!("= {}", choice.name))?;
                    return Ok(Chosen {
                        word: Some(choice.key.clone()),
                        typed: said,
                        refused,
                        ..Chosen::default()
                    });
                }
                (None, _) => (read(&typed), typed),
            };
            match known {
                Ok(Some((word, name))) => {
                    self.explain(&format!("= {name}"))?;
                    let typed = said.filter(|_| asked_back).unwrap_or(typed);
                    return Ok(Chosen { word: Some(word), typed: Some(typed), refused, ..Chosen::default() });
                }
                Err(Unread::Refused(why)) => {
                    self.explain(&why)?;
                    refused.push(typed);
                }
                Err(Unread::Several(keys, why)) => {
                    self.explain(&why)?;
                    let named = |key: &String| choices.iter().find(|choice| choice.key == *key);
                    shown = keys.iter().filter_map(named).collect();
                    several = keys;
                    all_shown = false;
                    self.list(&shown, false)?;
                    self.explain("Enter a number, or Enter if you do not know.")?;
                    if !asked_back {
                        asked_back = true;
                        said = Some(typed);
                    }
                }
                Ok(None) => {
                    let help = typed == "?";
                    if !help {
                        let rest = if all_shown {
                            "Enter a number of the list, ? for the list"
                        } else {
                            "These are:"
                        };
                        let end = if all_shown { ", or Enter if you do not know." } else { "" };
                        self.explain(&format!("{typed:?} is not known here. {rest}{end}"))?;
                    }
                    if help || !all_shown {
                        self.explain(question.help)?;
                        shown = choices.iter().collect();
                        all_shown = true;
                        self.list(&shown, true)?;
                    }
                    if !help && !asked_back {
                        said = Some(typed);
                    }
                }
            }
        }
    }

    /// Numbered choices, with a few words for each; long lists in two columns, so that they fit on a screen.
    fn list(&mut self, choices: &[&Choice], with_words: bool) -> Result<(), Trouble> {
        let mut text = String::new();
        if choices.len() > LONG_LIST {
            let rows = choices.len().div_ceil(2);
            let cell = |row: usize| {
                choices
                    .get(row)
                    .map(|choice| format!("  {:>2}  {}", row + 1, choice.in_column()))
                    .unwrap_or_default()
            };
            for row in 0..rows {
                let line = format!("{:<COLUMN$}{}", cell(row), cell(row + rows));
                text.push_str(line.trim_end());
                text.push('\n');
            }
            return self.streams.print(&text);
        }
        for (choice, number) in choices.iter().zip(1..) {
            let own = plain(&choice.name);
            let words = choice.words.iter().filter(|word| plain(word) != own && with_words);
            let few: Vec<&str> = words.take(4).map(String::as_str).collect();
            let words = if few.is_empty() { String::new() } else { format!(" ({})", few.join(", ")) };
            let first = format!("  {number:>2}  ");
            for line in wrapped(&format!("{}{words}", choice.name), &first, "      ") {
                text.push_str(&line);
                text.push('\n');
            }
        }
        self.streams.print(&text)
    }

    /// A text that the check accepts, as the check writes it; none where it is not known.
    fn text(
        &mut self,
        question: &Question,
        check: impl Fn(&str) -> crate::Result<String>,
    ) -> Result<Option<String>, Trouble> {
        self.text_offered(question, None, check)
    }

    /// The same, where Enter alone takes what is offered, which the check accepts.
    fn text_offered(
        &mut self,
        question: &Question,
        offer: Option<&str>,
        check: impl Fn(&str) -> crate::Result<String>,
    ) -> Result<Option<String>, Trouble> {
        loop {
            let ask = offer.map_or_else(|| question.ask.to_owned(), |offer| offering(question.ask, offer));
            let typed = self.line(&ask)?;
            let typed = offer.filter(|_| typed.is_empty()).map_or(typed, str::to_owned);
            if is_not_known(&typed) {
                self.assumed(question, &typed)?;
                return Ok(None);
            }
            if typed == "?" {
                self.explain(question.help)?;
                continue;
            }
            match check(&typed) {
                Ok(read) => {
                    if read != typed {
                        self.explain(&format!("= {read}"))?;
                    }
                    return Ok(Some(read));
                }
                Err(error) => self.explain(&in_own_words(&error, question.help))?,
            }
        }
    }

    /// Yes or no; no where it is not known.
    fn yes(&mut self, question: &Question) -> Result<bool, Trouble> {
        loop {
            let typed = self.line(question.ask)?;
            match plain(&typed).as_str() {
                "y" | "yes" => return Ok(true),
                "n" | "no" => return Ok(false),
                "?" => self.explain(question.help)?,
                _ if is_not_known(&typed) => {
                    self.assumed(question, &typed)?;
                    return Ok(false);
                }
                _ => self.explain("Enter yes or no.")?,
            }
        }
    }
}

/// What is asked, what ? and a wrong answer are told, and what is assumed where it is not known.
struct Question {
    ask: &'static str,
    help: &'static str,
    unknown: &'static str,
}

/// What the brief says for one of the choices, none where it is not known, and the words typed for it: of those that a
/// list was shown for, the first.
#[derive(Default)]
struct Chosen {
    word: Option<String>,
    typed: Option<String>,
    /// Where it is not known, the choices that the words may stand for.
    several: Vec<String>,
    /// Words that were rejected with a reason.
    refused: Vec<String>,
}

/// Why an answer cannot be taken: what is wrong with it, where that says more than how it is written, and how to write it.
fn in_own_words(error: &Error, help: &str) -> String {
    match error {
        // the pitches of a thread are the answer
        Error::Value(value) if value.field.ends_with("thread") => value.remedy.clone(),
        // how to write it is what the help says
        Error::Value(value)
            if !value.remedy.starts_with("Enter") && !value.remedy.starts_with("There is no unit") =>
        {
            format!("{} {help}", value.remedy)
        }
        _ => help.to_owned(),
    }
}

/// "1,000" without the commas between its thousands.
fn without_commas(text: &str) -> String {
    let mut groups = text.trim().split(',');
    let digits = |group: &str| group.bytes().all(|byte| byte.is_ascii_digit());
    let first = groups.next().is_some_and(|group| (1..=3).contains(&group.len()) && digits(group));
    if first && groups.all(|group| group.len() == 3 && digits(group)) {
        text.trim().replace(',', "")
    } else {
        text.to_owned()
    }
}

/// The thread and the text behind its last cross, such as "M8x30".
fn cut_at_cross(text: &str) -> Option<(&str, &str)> {
    let (thread, length) = text.rsplit_once(['x', 'X', '×', '*'])?;
    Some((thread.trim(), length.trim()))
}

/// Thread and length of "M8x30" and "1/4-20 x 1", as screws are called; none where it is a thread alone.
fn size_and_length(text: &str) -> Option<(String, Json)> {
    if read_with("part", "thread", text).is_ok() {
        return None;
    }
    let (thread, length) = cut_at_cross(text)?;
    let inch = !thread.starts_with(['M', 'm']) && !length.ends_with("in") && !length.ends_with('"');
    let length = if inch { format!("{length} in") } else { length.to_owned() };
    let both = [("thread", thread), ("length_mm", length.as_str())];
    both.iter()
        .all(|(field, value)| read_with("part", field, value).is_ok())
        .then(|| (thread.to_owned(), number_or_text(&length)))
}

/// A thread, with its length behind it or not.
fn thread_in(text: &str) -> crate::Result<String> {
    if size_and_length(text).is_none() {
        // of "3/8 x 4" the thread is what cannot be read
        let thread =
            cut_at_cross(text).filter(|(thread, _)| !thread.trim_start_matches(['M', 'm']).is_empty());
        let alone =
            thread.filter(|(thread, _)| !thread.starts_with(['M', 'm'])).map_or(text, |(thread, _)| thread);
        read_with("part", "thread", alone)?;
        read_with("part", "thread", text)?;
    }
    Ok(text.to_owned())
}

/// Surface of a block or a plate by its three sizes, all faces: "6 x 4 x 0.2 in"; none where the text does not give such sizes.
fn surface_of_block(text: &str) -> Option<String> {
    let sizes: Vec<&str> = text.split(['x', 'X', '×', '*']).map(str::trim).collect();
    let [_, _, last] = sizes.as_slice() else { return None };
    let unit = last.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | ' '));
    let millimeters = |size: &&str| {
        let bare = size.ends_with(|c: char| c.is_ascii_digit());
        let size = if bare { format!("{size} {unit}") } else { (*size).to_owned() };
        read_with("part", "length_mm", &size).ok()?.part.length_mm
    };
    let sizes: Vec<f64> = sizes.iter().filter(|_| !unit.is_empty()).filter_map(millimeters).collect();
    let [length, width, height] = sizes.as_slice() else { return None };
    let dm2 = 2.0 * (length * width + width * height + height * length) / 10_000.0;
    let rounded: f64 = format!("{dm2:.3e}").parse().ok()?;
    Some(format!("{rounded} dm²"))
}

fn surface_in(text: &str) -> crate::Result<String> {
    let surface = surface_of_block(text).unwrap_or_else(|| text.to_owned());
    read_with("part", "surface_dm2", &surface).map(|_| surface)
}

/// A temperature with its unit, which a bare number has not.
fn temperature_in(text: &str) -> crate::Result<String> {
    const NO_HEAT: [&str; 6] =
        ["ambient", "ambient temperature", "room temp", "room temperature", "no heat", "normal"];
    let text = text.trim();
    let field = "heat_continuous_c";
    if NO_HEAT.contains(&plain(text).as_str()) {
        return Ok("40 °C".to_owned());
    }
    if text.parse::<f64>().is_ok() {
        return Err(invalid(field, text, "a temperature with its unit", "°C or °F?"));
    }
    let spelled = text.strip_suffix(['C', 'c', 'F', 'f']).map(str::trim_end);
    let scale = text.chars().last().map(|c| c.to_ascii_uppercase());
    let read = match (spelled, scale) {
        (Some(number), Some(scale)) if number.parse::<f64>().is_ok() => format!("{number} °{scale}"),
        _ => text.to_owned(),
    };
    read_with("duty", field, &read).map(|_| read)
}

/// A number of pieces: "1,500", "about 200", "100 pcs".
fn pieces_in(text: &str) -> crate::Result<String> {
    let lower = text.trim().to_lowercase();
    let number =
        ["about", "approx.", "ca.", "~"].iter().find_map(|word| lower.strip_prefix(word)).unwrap_or(&lower);
    let number = ["pieces", "pcs.", "pcs", "pc", "ea"]
        .iter()
        .find_map(|word| number.strip_suffix(word))
        .unwrap_or(number);
    let mut number = without_commas(number.trim());
    if let Some(thousands) = number.strip_suffix('k').and_then(|thousands| thousands.parse::<u32>().ok()) {
        number = format!("{thousands}000");
    }
    if number.parse::<u64>().is_err() {
        return Err(invalid(
            "part.lot_pieces",
            format!("{text:?}"),
            "a whole number",
            "Enter a number, such as 100.",
        ));
    }
    read_with("part", "lot_pieces", &number).map(|_| number)
}

/// A number, or text that may be a number with a unit.
pub(super) fn number_or_text(text: &str) -> Json {
    // pieces are a whole number
    if let Ok(number) = text.parse::<u64>() {
        return number.into();
    }
    text.parse::<f64>().ok().filter(|number| number.is_finite()).map_or_else(|| text.into(), Json::from)
}

/// A brief with these fields and nothing else to object to.
fn document(name: &str, part: &Map<String, Json>, duty: &Map<String, Json>) -> Json {
    json!({ "schema": BRIEF_SCHEMA, "name": name, "part": part, "duty": duty, "wants": {} })
}

/// A brief with this value in a field of its part or its duty.
fn read_with(section: &str, field: &str, value: &str) -> crate::Result<Brief> {
    let mut part = Map::new();
    let mut duty =
        Map::from_iter([("place".to_owned(), "urban".into()), ("required_years".to_owned(), 5.into())]);
    let into = if section == "part" { &mut part } else { &mut duty };
    into.insert(field.to_owned(), if field == "thread" { value.into() } else { number_or_text(value) });
    let brief = Brief::from_json_with_units(&document("x", &part, &duty).to_string())?;
    brief.part.thread_size()?;
    Ok(brief)
}

/// The text of an answer that a brief takes in a field.
fn taken(section: &str, field: &str, text: &str) -> crate::Result<String> {
    read_with(section, field, text).map(|_| text.to_owned())
}

/// What was said by options.
#[derive(Default)]
struct Said {
    name: Option<String>,
    remarks: Option<String>,
    part: Map<String, Json>,
    duty: Map<String, Json>,
    /// Base metals that are compared besides that of the part.
    other_metals: Vec<String>,
    /// How words of options were read.
    read: Vec<String>,
    /// The kind of part as it was called.
    kind: Option<String>,
    /// Whether that says more than the form.
    kind_tells_more: bool,
}

impl Said {
    fn remark(&mut self, remark: &str) {
        let before = self.remarks.take().map(|before| format!("{before}; ")).unwrap_or_default();
        self.remarks = Some(before + remark);
    }

    /// The form, with what it was called.
    fn put_form(&mut self, typed: Option<&str>, form: String) {
        let more = |typed: &&str| match form_named(typed) {
            Some(named) => {
                named.key == "other" && ![plain(&named.key), plain(&named.name)].contains(&plain(typed))
            }
            None => true,
        };
        self.called(typed.map(str::to_owned));
        self.kind_tells_more = typed.as_ref().is_some_and(more);
        self.part.insert("form".to_owned(), form.into());
    }

    /// What a part is called whose form is not known.
    fn called(&mut self, typed: Option<String>) {
        self.kind_tells_more = typed.is_some();
        self.kind = typed;
    }

    /// Whether the part is a standard one by its name, so that mass and surface are known by thread and length.
    fn is_called_by_its_form(&self) -> bool {
        self.kind.as_deref().is_none_or(|kind| form_named(kind).is_some())
    }
}

pub(super) fn start(asked: &Start, streams: &mut Streams) -> Outcome {
    if asked.brief.exists() {
        return Err(Trouble::Refused(format!("{} exists. Enter another name.", asked.brief.display())));
    }
    let catalog = asked.catalogs.read()?;
    let ask = streams.input_is_terminal;
    if !ask && (asked.place.is_none() || asked.years.is_none()) {
        return Err(Trouble::Refused(
            "set --place and --years, or run it in a terminal, where it asks.".to_owned(),
        ));
    }
    let mut said = by_options(asked, &catalog)?;
    if ask {
        by_questions(&mut said, &catalog, &mut Dialog { streams })?;
    }
    for read in &said.read {
        streams.say(read);
    }
    // name and remarks are searched for what is dangerous
    if let (Some(_), Some(kind), true) = (&said.name, said.kind.clone(), said.kind_tells_more) {
        let after = said.remarks.take().map(|after| format!("; {after}")).unwrap_or_default();
        said.remarks = Some(kind + &after);
    }
    let name = said.name.or(said.kind).unwrap_or_else(|| "first inquiry".to_owned());
    let mut document = document(&name, &said.part, &said.duty);
    let wants = document.get_mut("wants").and_then(Json::as_object_mut);
    if let (Some(wants), false) = (wants, said.other_metals.is_empty()) {
        wants.insert("other_base_metals".to_owned(), said.other_metals.into());
    }
    if let (Some(remarks), Some(fields)) = (said.remarks, document.as_object_mut()) {
        fields.insert("remarks".to_owned(), remarks.into());
    }
    let text = serde_json::to_string_pretty(&document).unwrap_or_default() + "\n";
    let ranking = rank(&Brief::from_json_with_units(&text)?, &catalog)?;
    files::write(&asked.brief, &text)?;
    streams.say(&format!("written: {}", asked.brief.display()));
    let options = TerminalOptions {
        color: streams.color,
        columns: streams.columns,
        command: Some(words_of(&asked.brief, &asked.catalogs)),
        ..TerminalOptions::default()
    };
    let answer = terminal(&ranking, &catalog, &options);
    streams.print(&format!("\n{answer}More that can be entered: overcoat schema brief --fields\n"))?;
    Ok(0)
}

/// What one of the options says, read as the questions read it.
fn word_of(
    option: &str,
    typed: &str,
    reading: Reading,
    choices: &[Choice],
    read: &mut Vec<String>,
) -> Result<String, Trouble> {
    match reading {
        Ok(Some((word, name))) => {
            if ![plain(&word), plain(&name)].contains(&plain(typed)) {
                read.push(format!("{option}: {typed:?} is read as {name}"));
            }
            Ok(word)
        }
        Ok(None) => Err(Trouble::Refused(format!(
            "{option}: {typed:?} is not known. Leave {option} out in a terminal, and type ? where it asks."
        ))),
        Err(why) => Err(Trouble::Refused(format!("{option}: {}", why.in_words(choices)))),
    }
}

fn by_options(asked: &Start, catalog: &Catalog) -> Result<Said, Trouble> {
    let mut said = Said { name: asked.name.clone(), ..Said::default() };
    let mut read = Vec::new();
    if let Some(typed) = &asked.form {
        let form = word_of("--form", typed, form_of(typed), &forms(), &mut read)?;
        said.put_form(Some(typed), form);
    }
    if let Some(typed) = &asked.base_metal {
        let word = word_of("--base-metal", typed, metal_of(typed, catalog), &metals(catalog), &mut read)?;
        said.part.insert("base_metal".to_owned(), word.into());
    }
    if let Some(typed) = &asked.thread {
        put_thread(&mut said.part, typed);
    }
    if let Some(typed) = &asked.pieces {
        said.part.insert("lot_pieces".to_owned(), number_or_text(&pieces_in(typed)?));
    }
    for (field, value) in [("length_mm", &asked.length), ("mass_g", &asked.mass)] {
        put_number(&mut said.part, field, value.clone());
    }
    let surface =
        asked.surface.as_ref().map(|typed| surface_of_block(typed).unwrap_or_else(|| typed.clone()));
    put_number(&mut said.part, "surface_dm2", surface);
    if let Some(typed) = &asked.place {
        let word = word_of("--place", typed, site_of(typed, catalog), &places(catalog), &mut read)?;
        put_site(&mut said.duty, &word);
    }
    put_number(&mut said.duty, "required_years", asked.years.clone());
    said.read = read;
    Ok(said)
}

/// The thread, and the length where it was written behind it.
fn put_thread(part: &mut Map<String, Json>, typed: &str) {
    match size_and_length(typed) {
        Some((thread, length)) => {
            part.insert("thread".to_owned(), thread.into());
            part.entry("length_mm").or_insert(length);
        }
        None => {
            part.insert("thread".to_owned(), typed.into());
        }
    }
}

/// The site: a corrosivity category, or a place.
fn site_of(typed: &str, catalog: &Catalog) -> Reading {
    if let Some(distance) = sea_distance(typed) {
        return Ok(Some((typed.to_owned(), format!("coastal, {distance} from the sea"))));
    }
    match category_of(typed) {
        Some(category) => {
            Ok(Some((category.to_string(), format!("corrosivity category {category} of ISO 9223"))))
        }
        None => place_of(typed, catalog),
    }
}

/// The distance of "2 km from the sea".
fn sea_distance(typed: &str) -> Option<String> {
    let typed = typed.trim().to_lowercase();
    let (distance, water) = typed.split_once(" from the ")?;
    let distance = distance.trim();
    let has_unit = distance.ends_with(|letter: char| letter.is_alphabetic());
    let at_sea = ["sea", "coast", "ocean", "shore", "beach"].contains(&water);
    (at_sea && has_unit && read_with("duty", "sea_distance_m", distance).is_ok()).then(|| distance.to_owned())
}

fn put_site(duty: &mut Map<String, Json>, word: &str) {
    if let Some(distance) = sea_distance(word) {
        duty.insert("place".to_owned(), "coastal".into());
        duty.insert("sea_distance_m".to_owned(), distance.into());
        return;
    }
    let field = if category_of(word).is_some() { "corrosivity" } else { "place" };
    duty.insert(field.to_owned(), word.into());
}

/// The metals in contact that an answer names, one or several.
fn mates_of(typed: &str, catalog: &Catalog) -> Result<Option<(String, String)>, Unread> {
    let mut keys: Vec<String> = Vec::new();
    let mut names: Vec<String> = Vec::new();
    let all = typed.replace(" and ", ",");
    for one in all.split(',').map(str::trim).filter(|one| !one.is_empty()) {
        let Some((key, name)) = mate_of(one, catalog)? else { return Ok(None) };
        keys.push(key);
        names.push(name);
    }
    Ok(Some((keys.join(","), names.join(", "))))
}

/// What a part touches, those first that differ most from steel.
fn mates(catalog: &Catalog) -> Vec<Choice> {
    let own = metals(catalog).into_iter().filter(|choice| !choice.key.starts_with("steel_"));
    let mates = MATES.iter().map(|(key, words)| {
        let name = catalog.base_metal(key).map_or_else(|_| key.replace('_', " "), |metal| metal.name.clone());
        Choice::of(key, &name, words)
    });
    own.chain(mates).collect()
}

fn by_questions(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    dialog
        .explain("Press Enter for what you do not know: the answer says what it assumed. Type ? for help.")?;
    about_the_part(said, catalog, dialog)?;
    about_its_size(said, dialog)?;
    about_the_duty(said, catalog, dialog)?;
    about_the_rest(said, catalog, dialog)?;
    if said.name.is_none() {
        let check = |name: &str| {
            let duty = Map::from_iter([
                ("place".to_owned(), "urban".into()),
                ("required_years".to_owned(), 5.into()),
            ]);
            let document = document(name, &Map::new(), &duty).to_string();
            Brief::from_json_with_units(&document).map(|_| name.to_owned())
        };
        let named = said.kind.is_some();
        let question = Question {
            ask: if named {
                "Name of the inquiry [the kind of part]:"
            } else {
                "Name of the inquiry [first inquiry]:"
            },
            help: "Enter one line of text, for your files and the papers.",
            unknown: "",
        };
        said.name = dialog.text(&question, check)?;
    }
    Ok(())
}

fn about_the_part(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    if !said.part.contains_key("form") {
        let question = Question {
            ask: "Kind of part (bolt, nut, washer, bracket ...):",
            help: "The kind gives mass and surface of standard parts, and the checks of threads.",
            unknown: "Not known: threads, fits and torque are not checked, and mass and surface are assumed.",
        };
        let chosen = dialog.choose(&question, &forms(), None, form_of)?;
        match chosen.word {
            Some(form) => said.put_form(chosen.typed.as_deref(), form),
            None => said.called(chosen.typed),
        }
    }
    if !said.part.contains_key("base_metal") {
        ask_metal(said, catalog, dialog)?;
    }
    let metal = said.part.get("base_metal").and_then(Json::as_str);
    let metal = metal.and_then(|word| catalog.base_metal_key("base_metal", word).ok()?);
    // stainless steel, brass and aluminum are mostly bare
    let steel =
        metal.and_then(|key| catalog.base_metal(key).ok()).is_none_or(|metal| metal.family.rusts_by_dose());
    if steel {
        let question = Question {
            ask: "Finish on it now (zinc plated, hot-dip galvanized, paint ...) [none]:",
            help: "What must be removed before the new finish. Enter one of these, or Enter for plain metal.",
            unknown: "Taken as plain metal.",
        };
        let chosen = dialog.choose(&question, &finishes(), None, finish_of)?;
        put(&mut said.part, "present_finish", chosen.word.filter(|word| word != "none"));
    }
    Ok(())
}

fn about_its_size(said: &mut Said, dialog: &mut Dialog) -> Result<(), Trouble> {
    let form = said.part.get("form").and_then(Json::as_str).unwrap_or_default().to_owned();
    let threaded = form.ends_with("_screw") || form.ends_with("_nut") || form == "plain_washer";
    if (threaded || form == "other") && !said.part.contains_key("thread") {
        let question = Question {
            ask: "Thread (M8, M8 x 30, 1/4-20 UNC ...):",
            help: "Enter the size as on the drawing, such as M8, M10x1.25, M8 x 30 or 1/4-20 UNC.",
            unknown: "Not known: the fit of the thread and the torque are not checked.",
        };
        if let Some(typed) = dialog.text(&question, thread_in)? {
            put_thread(&mut said.part, &typed);
        }
    }
    if form.ends_with("_screw") && said.part.contains_key("thread") && !said.part.contains_key("length_mm") {
        let question = Question {
            ask: "Length (30 mm, 1 1/4 in):",
            help: "Enter the length under the head, in mm or with a unit, such as 30 or 1 1/4 in.",
            unknown: "Not known: mass and surface are assumed.",
        };
        put_number(
            &mut said.part,
            "length_mm",
            dialog.text(&question, |text| taken("part", "length_mm", text))?,
        );
    }
    let has_thread = said.part.contains_key("thread");
    let standard = has_thread && form != "set_screw" && threaded;
    if !(standard && said.is_called_by_its_form()) {
        let unknown = if standard {
            "Taken from the standard part of that size."
        } else {
            "Not known: the usual one is assumed."
        };
        if !said.part.contains_key("mass_g") {
            let question = Question {
                ask: "Mass of one piece (180 g, 6 oz):",
                help: "Enter the mass, in g or with a unit, such as 180, 6 oz or 0.4 lb. It sets the cost.",
                unknown,
            };
            put_number(
                &mut said.part,
                "mass_g",
                dialog.text(&question, |text| taken("part", "mass_g", text))?,
            );
        }
        if !said.part.contains_key("surface_dm2") {
            let question = Question {
                ask: "Surface of one piece (130 cm², 20 sq in, 6 x 4 x 0.2 in):",
                help: "Enter all that is coated, both sides, in dm² or with a unit, such as 1.3, 130 cm² or 20 sq in, or \
                       the three sizes of a block, such as 6 x 4 x 0.2 in. It sets the cost.",
                unknown,
            };
            put_number(&mut said.part, "surface_dm2", dialog.text(&question, surface_in)?);
        }
    }
    if !said.part.contains_key("lot_pieces") {
        let question = Question {
            ask: "Pieces in the lot:",
            help: "Enter a number, such as 100. Small lots pay the minimum charge.",
            unknown: "Not known: a usual lot is assumed.",
        };
        put_number(&mut said.part, "lot_pieces", dialog.text(&question, pieces_in)?);
    }
    Ok(())
}

fn ask_metal(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    let question = Question {
        ask: "Base metal (8.8, Grade 8, A4, 304 ...):",
        help: "Enter a class, a grade or a name. Without one, the usual metals are compared.",
        // what is compared hangs on what was said of it
        unknown: "",
    };
    let read = |typed: &str| metal_of(typed, catalog);
    said.other_metals.clear();
    let offer = said.kind.as_deref().and_then(|kind| Offer::of(&words_of_the_part(kind), read));
    let chosen = dialog.choose(&question, &metals(catalog), offer, read)?;
    if chosen.word.is_none() {
        let rusts = |key: &String| catalog.base_metal(key).is_ok_and(|metal| metal.family.rusts_by_dose());
        match chosen.several.split_first() {
            // whoever says "stainless" asks for no carbon steel
            Some((first, others)) if !chosen.several.iter().any(rusts) => {
                dialog.explain(&format!(
                    "Compared: {}.",
                    among(&metals(catalog), &chosen.several).join("; ")
                ))?;
                put(&mut said.part, "base_metal", Some(first.clone()));
                said.other_metals = others.to_vec();
            }
            _ => dialog.explain("Not known: the usual metals are compared.")?,
        }
    }
    put(&mut said.part, "base_metal", chosen.word);
    Ok(())
}

const HEAT: Question = Question {
    ask: "Hottest in service, for hours (150 °C, 300 °F) [40 °C]:",
    help: "Enter the temperature of the part with its unit, such as 150 °C or 300 °F.",
    unknown: "Assumed: no more than 40 °C.",
};
const MATING: Question = Question {
    ask: "Other metal that it touches (aluminum, copper, zinc plated ...) [none]:",
    help: "Metals in contact can corrode each other. Enter one or several with commas between.",
    unknown: "Assumed: no other metal.",
};

/// Heat in service; Enter alone is the temperature that was named before, of a range the upper end.
fn ask_heat(said: &mut Said, named: Option<&str>, dialog: &mut Dialog) -> Result<(), Trouble> {
    let upper = |named: &'_ str| named.rsplit(['-', '–', '/']).next().unwrap_or(named).to_owned();
    let offers = named.map(|named| [named.to_owned(), upper(named)]).into_iter().flatten();
    let offer = offers.into_iter().find(|offer| temperature_in(offer).is_ok());
    let heat = dialog.text_offered(&HEAT, offer.as_deref(), temperature_in)?;
    put_number(&mut said.duty, "heat_continuous_c", heat);
    Ok(())
}

fn ask_mates(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    let chosen = dialog.choose(&MATING, &mates(catalog), None, |typed| mates_of(typed, catalog))?;
    if let Some(word) = chosen.word {
        let metals: Vec<&str> = word.split(',').collect();
        said.duty.insert("mating_metals".to_owned(), metals.into());
    }
    Ok(())
}

fn about_the_duty(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    if !said.duty.contains_key("place") && !said.duty.contains_key("corrosivity") {
        let question = Question {
            ask: "Site (sea, city, heated room, road, C5 ...) [city]:",
            help: "The site gives temperature, humidity, pollution and salt. Enter a place, or a corrosivity category C1 \
                   to CX (ISO 9223).",
            unknown: "Assumed: a city.",
        };
        let read = |typed: &str| site_of(typed, catalog);
        let offer = said.kind.as_deref().and_then(|kind| Offer::of(kind, read));
        let chosen = dialog.choose(&question, &places(catalog), offer, read)?;
        let assumed = chosen.word.is_none();
        // what no place stands for can still be dangerous
        let mut told = chosen.refused;
        if let Some(word) = chosen.word {
            told.retain(|typed| not_judged_site(typed).is_some());
            put_site(&mut said.duty, &word);
        } else {
            told.extend(chosen.typed);
            put_site(&mut said.duty, "urban");
        }
        if !told.is_empty() {
            said.remark(&format!("entered as the site: {}", told.join(", ")));
        }
        if assumed {
            said.remark(SITE_ASSUMED);
        }
    }
    let first = said.kind.as_deref().or(said.name.as_deref()).and_then(temperature_named);
    ask_heat(said, first.as_deref(), dialog)?;
    ask_mates(said, catalog, dialog)?;
    if !said.duty.contains_key("required_years") {
        let question = Question {
            ask: "Years without rust [5]:",
            help: "Enter how long the parts must show no rust: a number of years, such as 10, or 18 months.",
            unknown: "Assumed: 5 years.",
        };
        let years = dialog.text(&question, |text| taken("duty", "required_years", text))?;
        put_number(&mut said.duty, "required_years", Some(years.unwrap_or_else(|| "5".to_owned())));
    }
    Ok(())
}

fn about_the_rest(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    let question = Question {
        ask: "Does it lift, or hold up people or loads? [no]:",
        help: "Enter yes where life or limb depends on the part: it is then judged as safety-critical.",
        unknown: "Taken as no.",
    };
    if dialog.yes(&question)? {
        said.part.insert("safety_critical".to_owned(), true.into());
        let question = Question {
            ask: "Does its maker or the owner of the joint consent in writing? [no]:",
            help: "A safety-critical part is not refinished without that consent.",
            unknown: "Taken as no.",
        };
        if dialog.yes(&question)? {
            said.part.insert("maker_consent".to_owned(), true.into());
        }
        if !said.part.contains_key("base_metal") || !said.other_metals.is_empty() {
            said.part.remove("base_metal");
            dialog.explain("A safety-critical part is judged only in a base metal that you name.")?;
            ask_metal(said, catalog, dialog)?;
            // one of several is none that was named
            if !said.other_metals.is_empty() {
                said.other_metals.clear();
                said.part.remove("base_metal");
            }
        }
    }
    let question = Question {
        ask: "Anything special (welding, food, chemicals ...):",
        help: "In your words. What no rule judges is printed as not judged; welding and much else have separate \
               fields (overcoat schema brief --fields).",
        unknown: "",
    };
    let Some(special) = dialog.text(&question, |text| Ok(text.to_owned()))? else { return Ok(()) };
    said.remark(&special);
    let mut brief = document("x", &said.part, &said.duty);
    if let Some(fields) = brief.as_object_mut() {
        fields.insert("remarks".to_owned(), special.into());
    }
    let unheld = Brief::from_json_with_units(&brief.to_string())?.unheld(catalog);
    if let Some(temperature) = unheld.temperature {
        dialog.explain(&format!("You wrote {temperature:?}. Heat is judged only by this answer:"))?;
        ask_heat(said, Some(&temperature), dialog)?;
    }
    if let Some(metal) = unheld.metal {
        dialog.explain(&format!("You wrote {metal:?}. A metal in contact is judged only by this answer:"))?;
        ask_mates(said, catalog, dialog)?;
    }
    Ok(())
}

fn put(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), value.into())));
}

fn put_number(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), number_or_text(&value))));
}
