//! A first brief from a few questions in the words of the finishing industry.

use serde_json::{Map, Value as Json, json};

use crate::atmosphere::Category;
use crate::brief::{BRIEF_SCHEMA, Brief};
use crate::catalog::{Catalog, plain, stainless_class, words_of_metal, words_of_place};
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
    ("socket_cap_screw", "socket head cap screw", &["cap screw", "socket screw", "hex key screw", "shcs"]),
    ("button_head_screw", "button head screw", &["button head"]),
    ("countersunk_screw", "countersunk screw", &["countersunk", "flat head", "flat head screw"]),
    ("set_screw", "set screw", &["grub screw"]),
    ("hexagon_nut", "hex nut", &["nut"]),
    ("lock_nut", "lock nut", &["locknut", "nylon insert nut", "self-locking nut"]),
    ("plain_washer", "flat washer", &["washer"]),
    ("pin", "pin or clip", &["pin", "clip", "dowel"]),
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
            "threaded rod",
            "machine screw",
            "pan head",
            "pan head screw",
            "carriage bolt",
            "lag bolt",
            "lag screw",
            "wood screw",
            "U-bolt",
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
        ],
    ),
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
        // one or many
        let one = typed.strip_suffix('s').unwrap_or(&typed);
        let mut names = [&self.key, &self.name].into_iter().chain(&self.words).map(|name| plain(name));
        names.any(|name| name == typed || name == one)
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

fn places(catalog: &Catalog) -> Vec<Choice> {
    let content = catalog.content();
    content
        .places
        .iter()
        .map(|(key, place)| Choice {
            key: key.clone(),
            name: place.name.clone(),
            words: words_of_place(key).iter().map(|word| (*word).to_owned()).collect(),
        })
        .collect()
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

/// What a word stands for: a choice, or a word that a brief takes as it is; or why it stands for none.
type Reading = std::result::Result<Option<(String, String)>, String>;

/// The form of part that a word stands for.
#[expect(clippy::unnecessary_wraps, reason = "read like the other words")]
fn form_of(typed: &str) -> Reading {
    Ok(forms().into_iter().find(|choice| choice.answers_to(typed)).map(|choice| (choice.key, choice.name)))
}

/// The base metal that a word stands for, read as a brief reads it; its own word stays where it says more than the metal.
fn metal_of(typed: &str, catalog: &Catalog) -> Reading {
    if typed.len() < 3 && typed.parse::<u8>().is_ok() {
        return Err(format!(
            "{typed} alone is not clear: write \"Grade {typed}\" for SAE J429, or \"class 8.8\" ..."
        ));
    }
    let key = catalog.base_metal_key("base_metal", typed).map_err(|error| named_in_words(&error, catalog))?;
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

/// The place that a phrase stands for.
fn place_of(typed: &str, catalog: &Catalog) -> Reading {
    let key = catalog.place_key(typed).map_err(|error| named_in_words(&error, catalog))?;
    let place = key.and_then(|key| Some((key, catalog.content().places.get(key)?)));
    Ok(place.map(|(key, place)| (key.to_owned(), place.name.clone())))
}

/// Which ones a word may stand for, by their names.
fn named_in_words(error: &crate::Error, catalog: &Catalog) -> String {
    let crate::Error::Name(unknown) = error else { return error.to_string() };
    let content = catalog.content();
    let name = |key: &String| {
        let metal = content.base_metals.get(key).map(|metal| &metal.name);
        metal.or_else(|| content.places.get(key).map(|place| &place.name)).unwrap_or(key).clone()
    };
    let names: Vec<String> = unknown.known.iter().map(name).collect();
    format!("{:?} can be any of these: {}. {}", unknown.value, names.join("; "), unknown.remedy)
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
        self.streams.print(&(wrapped(text, "  ", "  ").join("\n") + "\n"))
    }

    /// What the brief says for one of the choices; none where nothing was typed. A number counts once the list was shown.
    fn choose(
        &mut self,
        question: &str,
        help: &str,
        choices: &[Choice],
        read: impl Fn(&str) -> Reading,
    ) -> Result<Option<String>, Trouble> {
        let mut listed = false;
        loop {
            let typed = self.line(question)?;
            if typed.is_empty() {
                return Ok(None);
            }
            let number = typed.trim_start_matches('#').parse::<usize>().ok().filter(|_| listed);
            let numbered = number.and_then(|number| choices.get(number.checked_sub(1)?));
            let known = match numbered {
                Some(choice) => Ok(Some((choice.key.clone(), choice.name.clone()))),
                None => read(&typed),
            };
            match known {
                Ok(Some((word, name))) => {
                    self.explain(&format!("= {name}"))?;
                    return Ok(Some(word));
                }
                Err(why) => {
                    self.explain(&why)?;
                    continue;
                }
                Ok(None) if typed != "?" => self.explain(&format!("{typed:?} is not one of these:"))?,
                Ok(None) => {}
            }
            listed = true;
            self.explain(help)?;
            let lines: Vec<String> = choices
                .iter()
                .zip(1..)
                .flat_map(|(choice, number)| {
                    let few: Vec<&str> = choice.words.iter().take(4).map(String::as_str).collect();
                    let words = if few.is_empty() { String::new() } else { format!(" ({})", few.join(", ")) };
                    let first = format!("  {number:>2}  ");
                    wrapped(&format!("{}{words}", choice.name), &first, "      ")
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

/// Thread and length of "M8x30" and "1/4-20 x 1", as screws are called; none where it is a thread alone.
fn size_and_length(text: &str) -> Option<(String, Json)> {
    if takes("part", "thread", text).is_ok() {
        return None;
    }
    let (thread, length) = text.rsplit_once(['x', 'X', '×'])?;
    let (thread, length) = (thread.trim(), length.trim());
    let inch = !thread.starts_with(['M', 'm']) && !length.ends_with("in") && !length.ends_with('"');
    let length = if inch { format!("{length} in") } else { length.to_owned() };
    let both = [("thread", thread), ("length_mm", length.as_str())];
    both.iter()
        .all(|(field, value)| takes("part", field, value).is_ok())
        .then(|| (thread.to_owned(), number_or_text(&length)))
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

/// The corrosivity category that a word is, as coating specifications state a site.
fn category_of(typed: &str) -> Option<Category> {
    typed.to_uppercase().parse().ok()
}

/// Whether a brief takes a value in a field of its part or its duty.
fn takes(section: &str, field: &str, value: &str) -> crate::Result<()> {
    let mut part = Map::new();
    let mut duty =
        Map::from_iter([("place".to_owned(), "urban".into()), ("required_years".to_owned(), 5.into())]);
    let into = if section == "part" { &mut part } else { &mut duty };
    let value = if field == "lot_pieces" { without_commas(value) } else { value.to_owned() };
    into.insert(field.to_owned(), number_or_text(&value));
    let brief = Brief::from_json_with_units(&document("x", &part, &duty).to_string())?;
    brief.part.thread_size().map(|_| ())
}

/// What was said by options.
#[derive(Default)]
struct Said {
    name: Option<String>,
    remarks: Option<String>,
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
    let mut said = by_options(asked, &catalog)?;
    if ask {
        by_questions(&mut said, &catalog, &mut Dialog { streams })?;
    }
    let name = said.name.unwrap_or_else(|| "first inquiry".to_owned());
    let mut document = document(&name, &said.part, &said.duty);
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
    streams.print(&format!("\n{answer}Fields to add: overcoat schema brief --fields\n"))?;
    Ok(0)
}

/// What one of the options says, read as the questions read it.
fn word_of(option: &str, typed: &str, read: Reading) -> Result<String, Trouble> {
    match read {
        Ok(Some((word, _))) => Ok(word),
        Ok(None) => Err(Trouble::Refused(format!(
            "{option}: {typed:?} is not known. Leave {option} out in a terminal, and type ? where it asks."
        ))),
        Err(why) => Err(Trouble::Refused(format!("{option}: {why}"))),
    }
}

fn by_options(asked: &Start, catalog: &Catalog) -> Result<Said, Trouble> {
    let mut said = Said { name: asked.name.clone(), ..Said::default() };
    if let Some(typed) = &asked.form {
        put_form(&mut said, typed, word_of("--form", typed, form_of(typed))?);
    }
    if let Some(typed) = &asked.base_metal {
        let word = word_of("--base-metal", typed, metal_of(typed, catalog))?;
        said.part.insert("base_metal".to_owned(), word.into());
    }
    if let Some(typed) = &asked.thread {
        put_thread(&mut said.part, typed);
    }
    if let Some(pieces) = &asked.pieces {
        takes("part", "lot_pieces", pieces)?;
        said.part.insert("lot_pieces".to_owned(), number_or_text(&without_commas(pieces)));
    }
    for (field, value) in
        [("length_mm", &asked.length), ("mass_g", &asked.mass), ("surface_dm2", &asked.surface)]
    {
        put_number(&mut said.part, field, value.clone());
    }
    if let Some(typed) = &asked.place {
        put_site(&mut said.duty, typed, |typed| word_of("--place", typed, place_of(typed, catalog)))?;
    }
    put_number(&mut said.duty, "required_years", asked.years.clone());
    Ok(said)
}

/// The form; what has none of its own stands in the remarks too, which are searched for what is dangerous.
fn put_form(said: &mut Said, typed: &str, form: String) {
    if form == "other" && plain(typed) != "other" {
        said.remarks = Some(typed.to_owned());
    }
    said.part.insert("form".to_owned(), form.into());
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
fn put_site(
    duty: &mut Map<String, Json>,
    typed: &str,
    place: impl FnOnce(&str) -> Result<String, Trouble>,
) -> Result<(), Trouble> {
    let (field, word) = match category_of(typed) {
        Some(category) => ("corrosivity", category.to_string()),
        None => ("place", place(typed)?),
    };
    duty.insert(field.to_owned(), word.into());
    Ok(())
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
        let question = "Kind of part (bolt, nut, washer, bracket ...):";
        match dialog.choose(question, help, &forms(), |typed| {
            // the word itself is kept: "eye bolt" says more than "anything else"
            Ok(form_of(typed)?.map(|(key, name)| (if key == "other" { typed.to_owned() } else { key }, name)))
        })? {
            Some(typed) => match form_of(&typed) {
                Ok(Some((form, _))) => put_form(said, &typed, form),
                _ => put(&mut said.part, "form", Some(typed)),
            },
            None => dialog.explain(
                "Without it, threads, fits and torque are not checked, and mass and surface are assumed.",
            )?,
        }
    }
    if !said.part.contains_key("base_metal") {
        let help = "Without a base metal, the usual ones are compared. Otherwise a class, a grade or a name:";
        put(
            &mut said.part,
            "base_metal",
            dialog.choose("Base metal (8.8, Grade 8, A4, 304 ...):", help, &metals(catalog), |typed| {
                metal_of(typed, catalog)
            })?,
        );
    }
    let form = said.part.get("form").and_then(Json::as_str).unwrap_or_default().to_owned();
    let threaded = form.ends_with("_screw") || form.ends_with("_nut") || form == "plain_washer";
    if (threaded || form == "other") && !said.part.contains_key("thread") {
        let help = "The size as on the drawing, such as M8, M10x1.25, M8 x 30 or 1/4-20 UNC.";
        let check = |text: &str| match size_and_length(text) {
            Some(_) => Ok(()),
            None => takes("part", "thread", text),
        };
        if let Some(typed) = dialog.text("Thread (M8, M8 x 30, 1/4-20 UNC ...):", help, check)? {
            put_thread(&mut said.part, &typed);
        }
    }
    if form.ends_with("_screw") && said.part.contains_key("thread") && !said.part.contains_key("length_mm") {
        let help = "Length under the head, in mm or with a unit, such as 30 or 1 1/4 in.";
        let check = |text: &str| takes("part", "length_mm", text);
        put_number(&mut said.part, "length_mm", dialog.text("Length (30 mm, 1 1/4 in):", help, check)?);
    }
    let standard = said.part.contains_key("thread") && form != "set_screw" && threaded;
    if !standard {
        for (field, question, help) in [
            (
                "mass_g",
                "Mass of one piece (180 g, 6 oz):",
                "Weigh one; in g or with a unit, such as 180, 6 oz or 0.4 lb. It sets the cost.",
            ),
            (
                "surface_dm2",
                "Surface of one piece (130 cm², 20 sq in):",
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
        let check = |text: &str| takes("part", "lot_pieces", text);
        let typed =
            dialog.text("Pieces in the lot:", "A whole number; small lots pay the minimum charge.", check)?;
        if let Some(pieces) = typed {
            said.part.insert("lot_pieces".to_owned(), number_or_text(&without_commas(&pieces)));
        }
    }
    if !said.duty.contains_key("place") && !said.duty.contains_key("corrosivity") {
        let help = "The site gives temperature, humidity, pollution and salt; C1 to CX (ISO 9223) is taken too. \
                    Measured values can be added later.";
        let question = "Site (sea, city, heated room, road, C5 ...) [city]:";
        let site = dialog.choose(question, help, &places(catalog), |typed| match category_of(typed) {
            Some(category) => Ok(Some((category.to_string(), format!("corrosivity category {category}")))),
            None => place_of(typed, catalog),
        })?;
        if site.is_none() {
            dialog.explain("Assumed: a city.")?;
        }
        put_site(&mut said.duty, &site.unwrap_or_else(|| "urban".to_owned()), |place| Ok(place.to_owned()))?;
    }
    if !said.duty.contains_key("required_years") {
        let help = "How long the parts must show no rust, in years or with a unit, such as 5 or 18 months.";
        let check = |text: &str| takes("duty", "required_years", text);
        let years = dialog.text("Years without rust [5]:", help, check)?;
        if years.is_none() {
            dialog.explain("Assumed: 5 years.")?;
        }
        put_number(&mut said.duty, "required_years", Some(years.unwrap_or_else(|| "5".to_owned())));
    }
    let question = "Anything special (heat, welding, lifting, food ...):";
    let help = "In your words. What no rule judges is printed as not judged; \
                heat, welding and safety have fields of their own (overcoat schema brief --fields).";
    if let Some(special) = dialog.text(question, help, |_| Ok(()))? {
        let before = said.remarks.take().map(|before| format!("{before}; ")).unwrap_or_default();
        said.remarks = Some(before + &special);
    }
    Ok(())
}

fn put(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), value.into())));
}

fn put_number(section: &mut Map<String, Json>, field: &str, value: Option<String>) {
    section.extend(value.map(|value| (field.to_owned(), number_or_text(&value))));
}
