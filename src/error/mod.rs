//! What can be wrong with input, one small type per kind of mistake.
//!
//! Every error names the field, the value that was met, what is allowed and what to do about it, and has a
//! stable [`Error::kind`] for programs. Nothing in the crate panics on user data.

use std::fmt::{self, Display, Write};

/// The result of everything in this crate that can reject its input.
pub type Result<T> = std::result::Result<T, Error>;

/// Characters of one text that a message shows; no list of known names is longer.
const SHOWN_CHARACTERS: usize = 4000;
/// Names beyond this are not a slip of the pen, and likeness takes time by length.
const LONGEST_NAME: usize = 200;

/// Text of a user inside a message: control characters and marks that turn the direction of writing are escaped,
/// so that a message stays one line and shows what is there; what is very long is cut.
struct OneLine<'a>(&'a str);

impl OneLine<'_> {
    /// The text, or the start of it where it is too long to show.
    fn shown(&self) -> (&str, &'static str) {
        match self.0.char_indices().nth(SHOWN_CHARACTERS) {
            Some((end, _)) => (self.0.get(..end).unwrap_or_default(), "…"),
            None => (self.0, ""),
        }
    }
}

impl fmt::Debug for OneLine<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (text, rest) = self.shown();
        write!(f, "{text:?}{rest}")
    }
}

impl Display for OneLine<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (text, rest) = self.shown();
        for c in text.chars() {
            if c.is_control() || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}') {
                write!(f, "{}", c.escape_default())?;
            } else {
                f.write_char(c)?;
            }
        }
        f.write_str(rest)
    }
}

/// A number or text that a field cannot take.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}` is {}; allowed: {allowed}. {remedy}", OneLine(.field), OneLine(.value))]
pub struct InvalidValue {
    /// Path of the field, for example `duty.required_years`.
    pub field: String,
    /// The value as it was met.
    pub value: String,
    /// What the field takes.
    pub allowed: String,
    /// What to do.
    pub remedy: String,
}

/// A name that neither the catalog nor the vocabulary knows.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}` names {:?}, which is unknown{}; known: {}. {remedy}",
    OneLine(.field), OneLine(.value),
    .nearest.as_ref().map(|n| format!(" (did you mean {n:?}?)")).unwrap_or_default(),
    OneLine(&known_in_words(.value, .known)))]
pub struct UnknownName {
    /// Path of the field.
    pub field: String,
    /// The unknown name.
    pub value: String,
    /// The known name most like it, if any is close.
    pub nearest: Option<String>,
    /// All known names.
    pub known: Vec<String>,
    /// What to do.
    pub remedy: String,
}

/// A JSON document that does not have the expected form: a missing, unknown or repeated field, a wrong type.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}: {}. {}", place_in_document(.document, .field), OneLine(.reason), OneLine(.remedy))]
pub struct InvalidDocument {
    /// Which document: `brief`, `catalog`, or a file name.
    pub document: String,
    /// Path inside the document, for example `duty.atmosphere.place`; `.` for the document itself.
    pub field: String,
    /// What is wrong there.
    pub reason: String,
    /// The known name most like an unknown one, if any is close.
    pub nearest: Option<String>,
    /// What to do.
    pub remedy: String,
}

/// A build that cannot be made: films in an impossible order.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{}`: the build {} cannot be made: {}. {remedy}", OneLine(.field), OneLine(.build), OneLine(.reason))]
pub struct ImpossibleBuild {
    /// Path of the field that asked for it.
    pub field: String,
    /// The build as text, in order of application.
    pub build: String,
    /// Why it cannot be made.
    pub reason: String,
    /// What to do.
    pub remedy: String,
}

/// A table, column or record that cannot be used as a whole.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}: {}. {}", place_in_table(.column, *.row), OneLine(.reason), OneLine(.remedy))]
pub struct InvalidTable {
    /// The column concerned; `.` where it is the whole table.
    pub column: String,
    /// The row concerned, counted from 1 after the header; `None` when the whole column is.
    pub row: Option<usize>,
    /// What is wrong.
    pub reason: String,
    /// What to do.
    pub remedy: String,
}

fn place_in_document(document: &str, field: &str) -> String {
    if field == "." { document.to_owned() } else { format!("{document}: `{}`", OneLine(field)) }
}

fn place_in_table(column: &str, row: Option<usize>) -> String {
    let row = row.map_or(String::new(), |row| format!(", row {row}"));
    if column == "." { format!("table{row}") } else { format!("column `{}`{row}", OneLine(column)) }
}

/// Any of the above.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A value out of its range.
    #[error(transparent)]
    Value(#[from] InvalidValue),
    /// An unknown name.
    #[error(transparent)]
    Name(#[from] UnknownName),
    /// A malformed document.
    #[error(transparent)]
    Document(#[from] InvalidDocument),
    /// A build that cannot be made.
    #[error(transparent)]
    Build(#[from] ImpossibleBuild),
    /// An unusable table.
    #[error(transparent)]
    Table(#[from] InvalidTable),
}

impl Error {
    /// A stable word for programs: `value`, `name`, `document`, `build` or `table`.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Value(_) => "value",
            Self::Name(_) => "name",
            Self::Document(_) => "document",
            Self::Build(_) => "build",
            Self::Table(_) => "table",
        }
    }

    /// The field, path or column concerned.
    pub fn field(&self) -> &str {
        match self {
            Self::Value(e) => &e.field,
            Self::Name(e) => &e.field,
            Self::Document(e) => &e.field,
            Self::Build(e) => &e.field,
            Self::Table(e) => &e.column,
        }
    }

    /// What to do about it.
    pub fn remedy(&self) -> &str {
        match self {
            Self::Value(e) => &e.remedy,
            Self::Name(e) => &e.remedy,
            Self::Document(e) => &e.remedy,
            Self::Build(e) => &e.remedy,
            Self::Table(e) => &e.remedy,
        }
    }

    /// Puts `prefix.` before the field, so that a rule can speak of `pitch_mm` and the brief of
    /// `part.thread.pitch_mm`.
    #[must_use]
    pub fn within(mut self, prefix: &str) -> Self {
        let field = match &mut self {
            Self::Value(e) => &mut e.field,
            Self::Name(e) => &mut e.field,
            Self::Document(e) => &mut e.field,
            Self::Build(e) => &mut e.field,
            Self::Table(e) => &mut e.column,
        };
        *field = if field == "." { prefix.to_owned() } else { format!("{prefix}.{field}") };
        self
    }
}

/// An [`InvalidValue`] as [`Error`].
pub fn invalid(field: &str, value: impl Display, allowed: &str, remedy: &str) -> Error {
    InvalidValue {
        field: field.to_owned(),
        value: value.to_string(),
        allowed: allowed.to_owned(),
        remedy: remedy.to_owned(),
    }
    .into()
}

/// An [`InvalidTable`] as [`Error`].
pub fn table_error(column: &str, row: Option<usize>, reason: impl Into<String>, remedy: &str) -> Error {
    InvalidTable { column: column.to_owned(), row, reason: reason.into(), remedy: remedy.to_owned() }.into()
}

/// The value itself if it is finite and within `low..=high`; `allowed` in the error names both with the unit.
pub(crate) fn within(field: &str, value: f64, low: f64, high: f64, unit: &str, remedy: &str) -> Result<f64> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(value);
    }
    let allowed = if low == f64::MIN_POSITIVE {
        // the least positive number stands for an open bound, and has 308 zeros
        format!("more than 0, at most {high} {unit}")
    } else if high == f64::INFINITY {
        format!("{low} {unit} or more")
    } else if unit == "%" {
        format!("{low} to {high}%")
    } else {
        format!("{low} to {high} {unit}")
    };
    Err(invalid(field, value, allowed.trim(), remedy))
}

/// Rejects a list of more than `most` entries: findings and builds multiply with its length.
pub(crate) fn at_most(field: &str, entries: usize, most: usize) -> Result<()> {
    if entries <= most {
        return Ok(());
    }
    Err(invalid(field, format!("a list of {entries}"), &format!("at most {most}"), "Ask in parts."))
}

/// How much two names are alike, 0 to 1; case and hyphens do not matter. Nothing is like what is very long.
fn likeness(name: &str, known: &str) -> f64 {
    if name.len() > LONGEST_NAME {
        return 0.0;
    }
    strsim::jaro_winkler(&name.to_lowercase().replace(['-', ' ', '.'], "_"), &known.to_lowercase())
}

/// The name in `known` that is most like `name`, if it is like enough to be worth asking about.
pub(crate) fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    known
        .into_iter()
        .map(|k| (likeness(name, k), k))
        .filter(|(likeness, _)| *likeness > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k.to_owned())
}

/// More names than this are not read: a message then lists the likest few and counts the others.
const NAMES_IN_A_MESSAGE: usize = 24;
const LIKEST_NAMES: usize = 5;

/// All known names, or of many the likest.
fn known_in_words(value: &str, known: &[String]) -> String {
    if known.len() <= NAMES_IN_A_MESSAGE {
        return known.join(", ");
    }
    let mut likest: Vec<&str> = known.iter().map(String::as_str).collect();
    likest.sort_by(|a, b| likeness(value, b).total_cmp(&likeness(value, a)));
    likest.truncate(LIKEST_NAMES);
    format!("{} and {} others", likest.join(", "), known.len() - likest.len())
}

/// An [`UnknownName`] as [`Error`], with the nearest known name filled in.
pub fn unknown<'a>(
    field: &str,
    value: &str,
    known: impl IntoIterator<Item = &'a str>,
    remedy: &str,
) -> Error {
    let known: Vec<String> = known.into_iter().map(str::to_owned).collect();
    UnknownName {
        field: field.to_owned(),
        value: value.to_owned(),
        nearest: nearest(value, known.iter().map(String::as_str)),
        known,
        remedy: remedy.to_owned(),
    }
    .into()
}

/// Gives an enumeration the words that users read and write: all of them in order, the word of each, and the way back,
/// which names the words where a text is none of them.
///
/// `words! { Shelter, "shelter", "Name one of the three."; Open = "open", Indoor = "indoor", }`: the type, the field that
/// an error names, its remedy, the words.
macro_rules! words {
    ($name:ident, $field:literal, $remedy:literal; $($variant:ident = $word:literal,)+) => {
        impl $name {
            /// All of them, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The word that users read and write.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)+ }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }

        impl std::str::FromStr for $name {
            type Err = $crate::Error;

            fn from_str(text: &str) -> $crate::Result<Self> {
                $crate::error::by_word($field, text.trim(), Self::ALL, Self::word, $remedy)
            }
        }
    };
}

pub(crate) use words;

/// The one of `all` that is written as `text`, else an [`UnknownName`] as [`Error`] that names all words.
pub(crate) fn by_word<T: Copy>(
    field: &str,
    text: &str,
    all: &[T],
    word: impl Fn(T) -> &'static str,
    remedy: &str,
) -> Result<T> {
    // the spelling of either side of the Atlantic
    let text = if text == "aluminum" { "aluminium" } else { text };
    let found = all.iter().copied().find(|candidate| word(*candidate) == text);
    found.ok_or_else(|| unknown(field, text, all.iter().map(|candidate| word(*candidate)), remedy))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_names_field_value_allowed_and_remedy() {
        let text =
            within("duty.required_years", -3.0, 0.0, 100.0, "years", "Enter a positive number of years.")
                .unwrap_err()
                .to_string();
        assert_eq!(
            text,
            "`duty.required_years` is -3; allowed: 0 to 100 years. Enter a positive number of years."
        );
    }

    #[test]
    fn a_table_is_named_by_column_and_row_or_as_a_whole() {
        let error = |column: &str, row| InvalidTable {
            column: column.to_owned(),
            row,
            reason: "no number".to_owned(),
            remedy: "Give one.".to_owned(),
        };
        for (column, row, said) in [
            ("shelter", Some(3), "column `shelter`, row 3: no number. Give one."),
            ("shelter", None, "column `shelter`: no number. Give one."),
            (".", None, "table: no number. Give one."),
        ] {
            assert_eq!(error(column, row).to_string(), said);
        }
    }

    #[test]
    fn not_a_number_is_never_within_a_range() {
        assert!(within("x", f64::NAN, f64::NEG_INFINITY, f64::INFINITY, "", "").is_err());
        assert!(within("x", f64::INFINITY, 0.0, f64::INFINITY, "", "").is_err());
    }

    #[test]
    fn the_nearest_name_forgives_case_and_hyphens() {
        assert_eq!(nearest("Hard-Wax", ["soft_wax", "hard_wax"]), Some("hard_wax".into()));
        assert_eq!(nearest("zzz", ["soft_wax", "hard_wax"]), None);
    }

    #[test]
    fn of_many_names_a_message_lists_the_likest_and_counts_the_others() {
        let many: Vec<String> = (0..99).map(|i| format!("name_{i:02}")).collect();
        let error = unknown("source", "nam_42", many.iter().map(String::as_str), "Use one.");
        let text = error.to_string();
        assert!(text.contains("known: name_42, ") && text.contains(" and 94 others. Use one."), "{text}");
        assert_eq!(text.matches("name_").count(), 1 + 5);
        let few = unknown("film", "waxx", ["oil", "wax"], "Use one.").to_string();
        assert!(few.contains("known: oil, wax. Use one."), "{few}");
    }

    #[test]
    fn a_message_stays_one_line_whatever_the_user_wrote() {
        let text = invalid("wants.\nx", "1\u{1b}[31m\u{202e}2", "µm", "").to_string();
        assert_eq!(text, "`wants.\\nx` is 1\\u{1b}[31m\\u{202e}2; allowed: µm. ");
    }

    #[test]
    fn a_message_shows_the_start_of_what_is_very_long() {
        let long = "µ".repeat(10_000_000);
        for error in [invalid("x", &long, "µm", ""), unknown("x", &long, ["hard_wax"], "")] {
            let text = error.to_string();
            assert!(text.contains("µ…") || text.contains("µ\"…"), "{}", text.chars().count());
            assert!(text.chars().count() < SHOWN_CHARACTERS + 200);
        }
        let whole = "µ".repeat(SHOWN_CHARACTERS);
        assert!(invalid("x", &whole, "", "").to_string().contains(&whole));
    }

    #[test]
    fn a_prefix_extends_the_field() {
        let e = invalid("pitch_mm", 0, "more than 0 mm", "").within("part.thread");
        assert_eq!(e.field(), "part.thread.pitch_mm");
        assert_eq!(e.kind(), "value");
    }
}
