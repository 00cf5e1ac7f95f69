//! A first brief from a few questions in the words of the finishing industry.

use serde_json::{Map, Value as Json, json};

use crate::brief::{BRIEF_SCHEMA, Brief};
use crate::catalog::{Catalog, plain, stainless_class, words_of_metal};
use crate::command::answers::words_of;
use crate::command::arguments::Start;
use crate::command::{Outcome, Streams, Trouble, files};
use crate::metal::InchGrade;
use crate::rank::rank;
use crate::report::{TerminalOptions, terminal, wrapped};

/// A form of part: its key, what it is called, other words for it.
type Form = (&'static str, &'static str, &'static [&'static str]);

const FORMS: [Form; 11] = [
    (
        "hexagon_head_screw",
        "hex head screw or bolt",
        &["bolt", "hex bolt", "hex screw", "hex cap screw", "screw"],
    ),
    ("socket_cap_screw", "socket head cap screw", &["cap screw", "socket screw", "allen screw", "shcs"]),
    ("button_head_screw", "button head screw", &["button head"]),
    ("countersunk_screw", "countersunk screw", &["countersunk", "flat head", "flat head screw"]),
    ("set_screw", "set screw", &["grub screw"]),
    ("hexagon_nut", "hex nut", &["nut"]),
    ("lock_nut", "lock nut", &["locknut", "nyloc", "self-locking nut"]),
    ("plain_washer", "flat washer", &["washer"]),
    ("pin", "pin or clip", &["clip", "dowel"]),
    (
        "bracket",
        "bracket, hinge, fitting or other stamped or forged part",
        &["hinge", "fitting", "strap", "plate", "stamping", "forging"],
    ),
    ("other", "anything else", &[]),
];

/// Other words for the places of the catalog.
const PLACE_WORDS: [(&str, &[&str]); 10] = [
    ("indoor_heated", &["office", "house", "heated", "indoors", "indoor", "inside"]),
    ("indoor_condensation", &["unheated", "shed", "garage", "warehouse", "barn", "hall", "workshop"]),
    ("rural", &["country", "countryside", "village", "farm"]),
    ("urban", &["city", "town"]),
    ("industrial", &["industrial area"]),
    (
        "coastal",
        &["sea", "coast", "boat", "harbor", "harbour", "marina", "seaside", "marine", "beach", "salt water"],
    ),
    ("splash", &["spray", "sea spray", "splash zone", "pier", "deck at sea"]),
    ("road_salt", &["road", "truck", "trailer", "car", "vehicle", "winter road", "salted road"]),
    ("tropical_marine", &["tropics", "tropical", "tropical coast"]),
    ("offshore", &["ship", "platform", "rig", "at sea"]),
];

/// A choice by its key, with what it is called and other words for it.
struct Choice {
    key: String,
    name: String,
    words: Vec<String>,
}

impl Choice {
    fn answers_to(&self, typed: &str) -> bool {
        let typed = plain(typed);
        let is = |word: &str| {
            let word = plain(word);
            word == typed || typed.strip_suffix('s').is_some_and(|one| one == word)
        };
        is(&self.key) || is(&self.name) || self.words.iter().any(|word| is(word))
    }

    /// Whether one of its words is among those typed: "truck in winter".
    fn is_within(&self, typed: &str) -> bool {
        let typed = format!(" {} ", plain(typed));
        self.words.iter().any(|word| typed.contains(&format!(" {} ", plain(word))))
    }
}

fn forms() -> Vec<Choice> {
    FORMS
        .iter()
        .map(|(key, name, words)| Choice {
            key: (*key).to_owned(),
            name: (*name).to_owned(),
            words: words.iter().map(|word| (*word).to_owned()).collect(),
        })
        .collect()
}

fn words_for(key: &str, known: &[(&str, &[&str])]) -> Vec<String> {
    let listed = known.iter().find(|(name, _)| *name == key).map_or(&[][..], |(_, words)| *words);
    listed.iter().map(|word| (*word).to_owned()).collect()
}

fn places(catalog: &Catalog) -> Vec<Choice> {
    let content = catalog.content();
    content
        .places
        .iter()
        .map(|(key, place)| Choice {
            key: key.clone(),
            name: place.name.clone(),
            words: words_for(key, &PLACE_WORDS),
        })
        .collect()
}

/// The key of the place that a word stands for; the word itself where none does.
pub(super) fn place_named(catalog: &Catalog, typed: &str) -> String {
    found_within(&places(catalog), typed).map_or_else(|| typed.to_owned(), |place| place.key.clone())
}

fn metals(catalog: &Catalog) -> Vec<Choice> {
    let content = catalog.content();
    content
        .base_metals
        .iter()
        .map(|(key, metal)| {
            let words = words_of_metal(key, metal);
            Choice { key: key.clone(), name: metal.name.clone(), words }
        })
        .collect()
}

/// The one choice that a word stands for.
fn found<'a>(choices: &'a [Choice], typed: &str) -> Option<&'a Choice> {
    let exact = choices.iter().find(|choice| choice.answers_to(typed));
    exact.or_else(|| {
        // a part of a name counts where only one has it
        let typed = plain(typed);
        let mut near =
            choices.iter().filter(|choice| typed.len() > 2 && plain(&choice.name).contains(&typed));
        let first = near.next()?;
        near.next().is_none().then_some(first)
    })
}

/// The one choice that a word stands for, or the one of which a word is among several typed.
fn found_within<'a>(choices: &'a [Choice], typed: &str) -> Option<&'a Choice> {
    found(choices, typed).or_else(|| {
        let mut within = choices.iter().filter(|choice| choice.is_within(typed));
        let first = within.next()?;
        within.next().is_none().then_some(first)
    })
}

/// A corrosivity category of ISO 9223, which serves as a site.
fn category(typed: &str) -> Option<String> {
    let typed = typed.trim().to_uppercase();
    ["C1", "C2", "C3", "C4", "C5", "CX"].contains(&typed.as_str()).then_some(typed)
}

/// A size as it is written on a drawing, "M8x30" or "1/4-20 x 1": the thread, and the length in mm or in inches.
fn thread_and_length(typed: &str) -> (String, Option<String>) {
    let lower = typed.to_lowercase().replace('×', "x");
    if let Some((thread, length)) = lower.rsplit_once('x') {
        let (thread, length) = (thread.trim(), length.trim());
        let metric = thread.starts_with('m');
        // up to 8 mm it is a pitch
        let long = length.parse::<f64>().is_ok_and(|length| !metric || length > MOST_PITCH_MM);
        if long && !thread.is_empty() {
            let length = if metric { length.to_owned() } else { format!("{length} in") };
            return (thread.to_uppercase().replace('X', "x"), Some(length));
        }
    }
    (typed.to_owned(), None)
}

/// Largest pitch of a metric thread, mm.
const MOST_PITCH_MM: f64 = 8.0;

/// What a brief writes for a base metal that was typed, and what it is: a grade or a class with its strength stays as typed,
/// since the strength would be lost with the name of the metal.
fn metal_read(catalog: &Catalog, choices: &[Choice], typed: &str) -> Option<(String, String)> {
    let key = || catalog.base_metal_key("base_metal", typed).ok().flatten();
    if let Some(grade) =
        InchGrade::named(typed).filter(|_| !catalog.content().base_metals.contains_key(typed))
    {
        let said = grade.read_as();
        return key().map(|_| (typed.to_owned(), said.split(';').next().unwrap_or(&said).to_owned()));
    }
    if let Some(class) = stainless_class(typed) {
        let metal = catalog.base_metal(key()?).ok()?;
        let name = metal.name.split(',').next().unwrap_or(&metal.name).to_owned();
        return Some((class.clone(), format!("{name}, {class}")));
    }
    found(choices, typed).map(|choice| (choice.key.clone(), choice.name.clone()))
}

/// Other words shown beside a choice.
const WORDS_SHOWN: usize = 3;

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
        self.streams.print(&(wrapped(text, "  ", "  ").join("\n") + "\n"))
    }

    /// The key of one of the choices; none where nothing was typed.
    fn choose(&mut self, question: &str, help: &str, choices: &[Choice]) -> Result<Option<String>, Trouble> {
        let read = |typed: &str| {
            found_within(choices, typed).map(|choice| (choice.key.clone(), choice.name.clone()))
        };
        self.choose_by(question, help, choices, read)
    }

    /// The same, with what reads a word; a line of the list is chosen by "#" and its number once the list was shown.
    fn choose_by(
        &mut self,
        question: &str,
        help: &str,
        choices: &[Choice],
        read: impl Fn(&str) -> Option<(String, String)>,
    ) -> Result<Option<String>, Trouble> {
        let mut listed = false;
        loop {
            let typed = self.line(question)?;
            if typed.is_empty() {
                return Ok(None);
            }
            let line =
                typed.strip_prefix('#').filter(|_| listed).and_then(|number| number.trim().parse().ok());
            let numbered = line.and_then(|number: usize| choices.get(number.checked_sub(1)?));
            let numbered = numbered.map(|choice| (choice.key.clone(), choice.name.clone()));
            if let Some((key, name)) = read(&typed).or(numbered) {
                self.explain(&format!("= {name}"))?;
                return Ok(Some(key));
            }
            if typed.parse::<usize>().is_ok() {
                self.explain(&format!(
                    "{typed:?} alone is not clear. Type a name, or #{typed} for that line of the list:"
                ))?;
            } else if typed != "?" {
                self.explain(&format!("{typed:?} is not one of these:"))?;
            }
            listed = true;
            self.explain(help)?;
            let lines: Vec<String> = choices
                .iter()
                .zip(1..)
                .flat_map(|(choice, number)| {
                    let words: Vec<&str> =
                        choice.words.iter().take(WORDS_SHOWN).map(String::as_str).collect();
                    let words =
                        if words.is_empty() { String::new() } else { format!(" ({})", words.join(", ")) };
                    let first = format!("  {:>3}  ", format!("#{number}"));
                    wrapped(&format!("{}{words}", choice.name), &first, "       ")
                })
                .collect();
            self.streams.print(&(lines.join("\n") + "\n"))?;
        }
    }

    /// A text that the check accepts; none where nothing was typed.
    fn text(
        &mut self,
        question: &str,
        help: &str,
        check: impl Fn(&str) -> crate::Result<()>,
    ) -> Result<Option<String>, Trouble> {
        loop {
            let typed = self.line(question)?;
            if typed.is_empty() {
                return Ok(None);
            }
            if typed == "?" {
                self.explain(help)?;
                continue;
            }
            match check(&typed) {
                Ok(()) => return Ok(Some(typed)),
                Err(error) => self.explain(&error.to_string())?,
            }
        }
    }
}

/// A number, or text that may be a number with a unit.
fn number_or_text(text: &str) -> Json {
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

/// Whether a brief takes a value in a field of its part or its duty.
fn takes(section: &str, field: &str, value: &str) -> crate::Result<()> {
    let mut part = Map::new();
    let mut duty =
        Map::from_iter([("place".to_owned(), "urban".into()), ("required_years".to_owned(), 5.into())]);
    let into = if section == "part" { &mut part } else { &mut duty };
    into.insert(field.to_owned(), number_or_text(value));
    let brief = Brief::from_json_with_units(&document("x", &part, &duty).to_string())?;
    brief.part.thread_size().map(|_| ())
}

/// What was said by options.
#[derive(Default)]
struct Said {
    name: Option<String>,
    part: Map<String, Json>,
    duty: Map<String, Json>,
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
    let mut said = by_options(asked, &catalog);
    if ask {
        by_questions(&mut said, &catalog, &mut Dialog { streams })?;
    }
    let name = said.name.unwrap_or_else(|| "first inquiry".to_owned());
    let document = document(&name, &said.part, &said.duty);
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
    streams.print(&format!("\n{answer}Fields to add: overcoat schema brief --fields\n"))?;
    Ok(0)
}

fn by_options(asked: &Start, catalog: &Catalog) -> Said {
    let named = |choices: &[Choice], typed: &Option<String>| {
        // what is no known word goes into the brief as it is, which says what is wrong with it
        typed.as_ref().map(|typed| {
            found_within(choices, typed).map_or_else(|| typed.clone(), |choice| choice.key.clone())
        })
    };
    let mut said = Said { name: asked.name.clone(), ..Said::default() };
    let read = |typed: &String| {
        metal_read(catalog, &metals(catalog), typed).map_or_else(|| typed.clone(), |(word, _)| word)
    };
    let base_metal = asked.base_metal.as_ref().map(read);
    let part = [
        ("form", named(&forms(), &asked.form).map(Json::from)),
        ("base_metal", base_metal.map(Json::from)),
        ("thread", asked.thread.clone().map(Json::from)),
        ("length_mm", asked.length.as_deref().map(number_or_text)),
        ("mass_g", asked.mass.as_deref().map(number_or_text)),
        ("surface_dm2", asked.surface.as_deref().map(number_or_text)),
        ("lot_pieces", asked.pieces.map(Json::from)),
    ];
    let duty = [("required_years", asked.years.as_deref().map(number_or_text))];
    put_site(&mut said.duty, named(&places(catalog), &asked.place));
    said.part.extend(part.into_iter().filter_map(|(field, value)| Some((field.to_owned(), value?))));
    said.duty.extend(duty.into_iter().filter_map(|(field, value)| Some((field.to_owned(), value?))));
    said
}

#[expect(clippy::too_many_lines, reason = "one question after the other")]
fn by_questions(said: &mut Said, catalog: &Catalog, dialog: &mut Dialog) -> Result<(), Trouble> {
    dialog
        .explain("Press Enter for what you do not know: the answer says what it assumed. Type ? for help.")?;
    if said.name.is_none() {
        let check = |name: &str| {
            let duty = Map::from_iter([
                ("place".to_owned(), "urban".into()),
                ("required_years".to_owned(), 5.into()),
            ]);
            Brief::from_json_with_units(&document(name, &Map::new(), &duty).to_string()).map(|_| ())
        };
        said.name = dialog.text("Name of the inquiry:", "Any text, for your files and the papers.", check)?;
    }
    if !said.part.contains_key("form") {
        let help = "The form gives mass and surface of standard parts, and the checks of threads.";
        put(
            &mut said.part,
            "form",
            dialog.choose("Kind of part (bolt, nut, washer, bracket ...):", help, &forms())?,
        );
    }
    if !said.part.contains_key("base_metal") {
        let help = "Without a base metal, the usual ones are compared. Otherwise a class, a grade or a name, such as 8.8, grade 8 or \
                    A4-80:";
        let metals = metals(catalog);
        put(
            &mut said.part,
            "base_metal",
            dialog.choose_by("Base metal (8.8, grade 8, A4-80, 304 ...):", help, &metals, |typed| {
                metal_read(catalog, &metals, typed)
            })?,
        );
    }
    let form = said.part.get("form").and_then(Json::as_str).unwrap_or_default().to_owned();
    let threaded = form.ends_with("_screw") || form.ends_with("_nut") || form == "plain_washer";
    if threaded && !said.part.contains_key("thread") {
        let help = "The size as on the drawing, such as M8, M10x1.25 or 1/4-20 UNC.";
        let check = |text: &str| takes("part", "thread", &thread_and_length(text).0);
        if let Some(typed) = dialog.text("Thread (M8, 1/4-20 UNC ...):", help, check)? {
            let (thread, length) = thread_and_length(&typed);
            put(&mut said.part, "thread", Some(thread));
            if form.ends_with("_screw") && !said.part.contains_key("length_mm") {
                put_number(&mut said.part, "length_mm", length);
            }
        }
    }
    if form.ends_with("_screw") && said.part.contains_key("thread") && !said.part.contains_key("length_mm") {
        let help = "Length under the head, in mm or with a unit, such as 30 or 1 1/4 in.";
        let check = |text: &str| takes("part", "length_mm", text);
        put_number(
            &mut said.part,
            "length_mm",
            dialog.text("Length (mm, or with a unit such as 1 1/4 in):", help, check)?,
        );
    }
    let standard = said.part.contains_key("thread") && form != "set_screw" && threaded;
    if !standard {
        for (field, question, help) in [
            (
                "mass_g",
                "Mass of one piece (g, or with a unit such as 6 oz):",
                "Weigh one; in g or with a unit, such as 180, 6 oz or 0.4 lb. It sets the cost.",
            ),
            (
                "surface_dm2",
                "Surface of one piece (dm², or with a unit such as 20 sq in):",
                "All that is coated, both sides; in dm² or with a unit, such as 1.3, 130 cm² or 20 sq in. It sets the cost.",
            ),
        ] {
            if !said.part.contains_key(field) {
                let check = |text: &str| takes("part", field, text);
                put_number(&mut said.part, field, dialog.text(question, help, check)?);
            }
        }
    }
    if !said.part.contains_key("lot_pieces") {
        let check = |text: &str| takes("part", "lot_pieces", &text.replace(',', ""));
        let typed =
            dialog.text("Pieces in the lot:", "A whole number; small lots pay the minimum charge.", check)?;
        if let Some(pieces) = typed.and_then(|typed| typed.replace(',', "").parse::<u64>().ok()) {
            said.part.insert("lot_pieces".to_owned(), pieces.into());
        }
    }
    if !said.duty.contains_key("place") && !said.duty.contains_key("corrosivity") {
        let help =
            "The site gives temperature, humidity, pollution and salt. Measured values can be added later.";
        let question = "Site (sea, city, indoors, road, C5 ...) [city]:";
        let places = places(catalog);
        let place = dialog.choose_by(question, help, &places, |typed| {
            let known = found_within(&places, typed).map(|place| (place.key.clone(), place.name.clone()));
            known.or_else(|| {
                category(typed).map(|category| (category.clone(), format!("corrosivity {category}")))
            })
        })?;
        put_site(&mut said.duty, Some(place.unwrap_or_else(|| "urban".to_owned())));
    }
    if !said.duty.contains_key("required_years") {
        let help = "How long the parts must show no rust, in years or with a unit, such as 5 or 18 months.";
        let check = |text: &str| takes("duty", "required_years", text);
        let years = dialog.text("Years without rust [5]:", help, check)?;
        put_number(&mut said.duty, "required_years", Some(years.unwrap_or_else(|| "5".to_owned())));
    }
    Ok(())
}

/// A place of the catalog, or a corrosivity category.
fn put_site(duty: &mut Map<String, Json>, site: Option<String>) {
    let Some(site) = site else { return };
    match category(&site) {
        Some(category) => put(duty, "corrosivity", Some(category)),
        None => put(duty, "place", Some(site)),
    }
}

fn put(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), value.into())));
}

fn put_number(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), number_or_text(&value))));
}
