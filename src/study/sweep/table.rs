//! Tables whose columns are any fields of the duty: every build at every row, or the best of each row, and only the
//! columns that are requested.
//!
//! The numbers of the atmosphere, the required years and the shelter move by row. All other fields that a table has make a
//! separate brief for each combination of their values (a *variant*). Rows go in runs of one variant through the
//! kernel where the four inputs of the atmosphere are known, and are ranked one by one where a described place, a measured
//! loss or a distance to the sea still speaks. Results are computed in memory that stays in the cache; what is asked
//! for is copied out of it, so that nothing else is ever written.

use std::collections::{BTreeSet, HashMap};
use std::fmt;
use std::ops::Range;
use std::sync::{Arc, LazyLock, Mutex, MutexGuard, PoisonError};

use serde_json::Value;

use crate::Result;
use crate::brief::{Brief, Field, OUTSIDE_VALIDITY};
use crate::catalog::Catalog;
use crate::check::FindingKind;
use crate::error::{Error, invalid, nearest, table_error, unknown};
use crate::finish::Build;
use crate::rank::{Burden, Judgements, RankedOption, Ranking, candidates, check_wants, currency_of};
use crate::study::sweep::moved::{MovedColumns, PartAnswers, PartScratch, Rows};
use crate::study::sweep::tasks::run_tasks;
use crate::study::sweep::{Reason, TASK_RESULTS, fits_in_memory, wished};

/// The columns of results, in their order.
pub const RESULT_COLUMNS: [&str; 17] = [
    "build",
    "base_metal",
    "treatment",
    "films",
    "category",
    "first_year_loss_um",
    "median_years",
    "p10_years",
    "p90_years",
    "probability_ok",
    "cost_per_thousand",
    "currency",
    "score",
    "met",
    "blocked",
    "blocked_by",
    "row_status",
];

/// A column given on request: what settles ties of the score, the lowest first.
pub const BURDEN: &str = "burden";

/// A column given on request: how many findings of the checks say that the part can break, its joint open or a
/// welder be harmed.
pub const DANGERS: &str = "dangers";

/// All columns that a table of results can have.
pub fn known_columns() -> impl Iterator<Item = &'static str> {
    RESULT_COLUMNS.into_iter().chain([BURDEN, DANGERS])
}

/// Fields that a row moves without a separate brief.
pub(crate) const ROW_FIELDS: [&str; 6] = [
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "required_years",
    "shelter",
];

/// Those of them that are numbers, in their order.
pub(crate) const NUMBER_FIELDS: [&str; 5] =
    ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day", "required_years"];

/// Columns that say the atmosphere of a row without the four inputs.
const OTHER_WAYS: [&str; 3] = ["place", "first_year_steel_loss_um", "corrosivity"];

/// Different values of one field in one table (assumption): each makes a separate brief.
const MOST_VALUES: usize = 20_000;

/// Code of what blocks a build that nothing blocks.
#[doc(hidden)]
pub const NOT_BLOCKED: u16 = u16::MAX;

/// The words of `row_status` in the order of their codes: those of [`Reason`], then each field of a brief that a row
/// may give wrongly or leave out.
pub fn row_status_words() -> &'static [String] {
    static WORDS: LazyLock<Vec<String>> = LazyLock::new(|| {
        let reasons = Reason::ALL.iter().map(|reason| reason.word().to_owned());
        let fields = Field::all().iter().filter(|field| field.section == "duty");
        let fields =
            fields.flat_map(|field| [format!("{}_missing", field.name), format!("{}_refused", field.name)]);
        let mut words: Vec<String> = reasons.collect();
        for word in fields.chain(std::iter::once(REFUSED.to_owned())) {
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words
    });
    &WORDS
}

/// A row rejected for what is not a field of the duty.
const REFUSED: &str = "refused";

/// The code of the word that says why a row was rejected.
pub(super) fn status_of(error: &Error) -> u8 {
    let field = error.field();
    let field = field.strip_prefix("duty.").unwrap_or(field);
    let end =
        if matches!(error, Error::Value(value) if value.value == "missing") { "missing" } else { "refused" };
    let words = row_status_words();
    // the field itself, or the one that it is a part of
    let named = std::iter::successors(Some(field), |name| Some(name.rsplit_once('.')?.0))
        .find_map(|name| words.iter().position(|word| word.strip_suffix(end) == Some(&format!("{name}_"))));
    let code = named.or_else(|| words.iter().position(|word| word == REFUSED));
    code.and_then(|code| u8::try_from(code).ok()).unwrap_or(u8::MAX)
}

/// Fields of a table that rows do not move by themselves: their distinct values, and which combination of them each
/// row has.
#[doc(hidden)]
#[derive(Debug, Clone, Default)]
pub struct Variants {
    /// Which fields, each with its distinct cells.
    columns: Vec<(&'static Field, Vec<Cell>)>,
    /// A place in the cells of each column.
    combinations: Vec<Vec<u32>>,
    /// Which combination each row has; empty where all have the only one.
    of_row: Vec<u32>,
}

/// A cell of such a field.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Cell {
    /// Nothing is said: the field is as the brief has it.
    Empty,
    /// What it says.
    Value(Value),
    /// What the field does not take, as it stands.
    Unreadable(String),
}

/// The distinct cells of one column, and which of them each row has.
pub(crate) struct Cells {
    pub(crate) field: &'static Field,
    pub(crate) distinct: Vec<Cell>,
    pub(crate) places: Vec<u32>,
}

impl Cells {
    pub(crate) fn of(field: &'static Field) -> Self {
        Self { field, distinct: Vec::new(), places: Vec::new() }
    }

    /// Adds cells of text.
    pub(crate) fn add_texts<'a>(&mut self, texts: impl Iterator<Item = Option<&'a str>>) -> Result<()> {
        let texts = texts.map(|text| text.filter(|text| !is_gap(text)));
        self.extend(texts, |field, text: &&str| {
            field.value_of_text(text).map_or_else(|| Cell::Unreadable((*text).to_owned()), Cell::Value)
        })
    }

    /// Adds cells, reading each distinct one once.
    pub(crate) fn extend<T: Eq + std::hash::Hash>(
        &mut self,
        cells: impl Iterator<Item = Option<T>>,
        read: impl Fn(&'static Field, &T) -> Cell,
    ) -> Result<()> {
        // batches share words: what was met in an earlier one is found again by its value
        let mut known: HashMap<Option<T>, u32> = HashMap::new();
        for cell in cells {
            let place = if let Some(place) = known.get(&cell) {
                *place
            } else {
                let value = cell.as_ref().map_or(Cell::Empty, |cell| read(self.field, cell));
                let place = self.place_of(value)?;
                known.insert(cell, place);
                place
            };
            self.places.push(place);
        }
        Ok(())
    }

    fn place_of(&mut self, cell: Cell) -> Result<u32> {
        let place = self.distinct.iter().position(|known| *known == cell).unwrap_or_else(|| {
            self.distinct.push(cell);
            self.distinct.len() - 1
        });
        if place >= MOST_VALUES {
            let reason = format!("it has more than {MOST_VALUES} different values");
            return Err(table_error(
                &self.field.name,
                None,
                reason,
                "Round it, or sweep the table in parts.",
            ));
        }
        u32::try_from(place).map_err(|_| table_error(&self.field.name, None, "too many values", "Round it."))
    }
}

/// Whether a text stands for nothing said.
pub(crate) fn is_gap(text: &str) -> bool {
    matches!(text.trim().to_lowercase().as_str(), "" | "nan" | "na" | "null" | "<na>")
}

/// Rejects a table whose columns, with the brief, leave the atmosphere of its rows open.
pub(crate) fn check_air(names: &[String], brief: &Brief) -> Result<()> {
    let has = |name: &str| names.iter().any(|known| known.strip_prefix("duty.").unwrap_or(known) == name);
    let duty = &brief.duty;
    let in_brief = |name: &str| match name {
        "temperature_c" => duty.temperature_c.is_some(),
        "relative_humidity_pct" => duty.relative_humidity_pct.is_some(),
        "so2_mg_m2_day" => duty.so2_mg_m2_day.is_some(),
        _ => duty.chloride_mg_m2_day.is_some() || duty.sea_distance_m.is_some() || has("sea_distance_m"),
    };
    if duty.place.is_some()
        || duty.first_year_steel_loss_um.is_some()
        || duty.corrosivity.is_some()
        || OTHER_WAYS.iter().any(|name| has(name))
    {
        return Ok(());
    }
    let Some(name) = NUMBER_FIELDS.iter().take(4).find(|name| !has(name) && !in_brief(name)) else {
        return Ok(());
    };
    let remedy = match nearest(name, names.iter().map(String::as_str)) {
        Some(like) => format!("Is it `{like}`? Rename it to `{name}`."),
        None if names.is_empty() => "Add it; the table has no column at all.".to_owned(),
        None => format!("Add it; the table has {}.", names.join(", ")),
    };
    Err(table_error(name, None, "the table has no such column", &remedy))
}

impl Variants {
    /// Of columns, each with its distinct cells and the place of each row's cell among them.
    pub(crate) fn of(columns: Vec<(&'static Field, Vec<Cell>, Vec<u32>)>) -> Self {
        let mut combinations: Vec<Vec<u32>> = vec![Vec::new()];
        let mut of_row: Vec<u32> = Vec::new();
        let mut named = Vec::with_capacity(columns.len());
        for (field, cells, places) in columns {
            let mut known = HashMap::new();
            let mut next: Vec<Vec<u32>> = Vec::new();
            of_row.resize(places.len(), 0);
            for (before, place) in of_row.iter_mut().zip(places) {
                *before = *known.entry((*before, place)).or_insert_with(|| {
                    let mut combination = combinations.get(*before as usize).cloned().unwrap_or_default();
                    combination.push(place);
                    next.push(combination);
                    u32::try_from(next.len() - 1).unwrap_or(u32::MAX)
                });
            }
            combinations = next;
            named.push((field, cells));
        }
        Self { columns: named, combinations, of_row }
    }

    fn values(&self, combination: &[u32]) -> Result<Vec<(&'static str, Value)>> {
        let mut values = Vec::with_capacity(self.columns.len());
        for ((field, cells), place) in self.columns.iter().zip(combination) {
            match cells.get(*place as usize) {
                Some(Cell::Value(value)) => values.push((field.name.as_str(), value.clone())),
                Some(Cell::Unreadable(text)) => {
                    let full = format!("{}.{}", field.section, field.name);
                    return Err(invalid(&full, text, "a value of this field", "Write it as a brief does."));
                }
                Some(Cell::Empty) | None => {}
            }
        }
        Ok(values)
    }
}

/// Where the rows of a table come from.
#[doc(hidden)]
pub trait RowSource: Sync {
    /// What a thread keeps between parts.
    type Scratch: Default;

    /// How many rows there are.
    fn rows(&self) -> usize;

    /// The end of the piece of memory in which a row lies: no part goes beyond it.
    fn end_of_piece(&self, row: usize) -> usize;

    /// The moved columns of some rows of one piece.
    fn part<'a>(&'a self, rows: Range<usize>, scratch: &'a mut Self::Scratch) -> MovedColumns<'a>;

    /// Which of the numbers and the shelter of [`ROW_FIELDS`] the table has.
    fn has(&self, name: &str) -> bool;
}

/// A table and its builds, prepared.
#[doc(hidden)]
pub struct TableSweep<'a, S> {
    source: &'a S,
    of_row: Vec<u32>,
    variants: Vec<Variant<'a>>,
    builds: Vec<Build>,
    currency: String,
    best_only: bool,
    strict: bool,
    /// What blocks builds, by code.
    blockers: Mutex<Vec<String>>,
}

/// The brief of rows that agree in all but what a row moves.
struct Variant<'a> {
    rows: std::result::Result<Rows<'a>, u8>,
    /// The codes of its builds.
    builds: Vec<u16>,
    by_kernel: bool,
}

/// What is asked of a table.
#[doc(hidden)]
#[derive(Debug, Clone, Copy, Default)]
pub struct Asked<'a> {
    pub builds: Option<&'a [Build]>,
    /// The best build of each row alone.
    pub best_only: bool,
    /// A value that a row cannot have is an error, not a row without a result.
    pub strict: bool,
}

/// Memory for results, one element each; an empty column is not requested.
#[doc(hidden)]
#[derive(Debug, Default)]
pub struct ResultSlices<'a> {
    /// Row of the table, from 0.
    pub row: &'a mut [u32],
    /// Code of the build; that of no build is one more than there are.
    pub build: &'a mut [u16],
    pub category: &'a mut [u8],
    pub first_year_loss_um: &'a mut [f64],
    pub median_years: &'a mut [f64],
    pub p10_years: &'a mut [f64],
    pub p90_years: &'a mut [f64],
    pub probability_ok: &'a mut [f64],
    pub cost_per_thousand: &'a mut [f64],
    pub score: &'a mut [f64],
    pub met: &'a mut [bool],
    pub blocked: &'a mut [bool],
    pub blocked_by: &'a mut [u16],
    pub row_status: &'a mut [u8],
    /// What settles ties, as a column has it.
    pub burden: &'a mut [f32],
    /// Dangers among the findings.
    pub dangers: &'a mut [f32],
}

impl ResultSlices<'_> {
    /// Splits off the first `results` results.
    #[must_use]
    pub fn take(&mut self, results: usize) -> Self {
        #[expect(clippy::mut_mut, reason = "the slice itself is shortened")]
        fn front<'a, T>(column: &mut &'a mut [T], results: usize) -> &'a mut [T] {
            let all = std::mem::take(column);
            let (front, rest) = all.split_at_mut(results.min(all.len()));
            *column = rest;
            front
        }
        ResultSlices {
            row: front(&mut self.row, results),
            build: front(&mut self.build, results),
            category: front(&mut self.category, results),
            first_year_loss_um: front(&mut self.first_year_loss_um, results),
            median_years: front(&mut self.median_years, results),
            p10_years: front(&mut self.p10_years, results),
            p90_years: front(&mut self.p90_years, results),
            probability_ok: front(&mut self.probability_ok, results),
            cost_per_thousand: front(&mut self.cost_per_thousand, results),
            score: front(&mut self.score, results),
            met: front(&mut self.met, results),
            blocked: front(&mut self.blocked, results),
            blocked_by: front(&mut self.blocked_by, results),
            row_status: front(&mut self.row_status, results),
            burden: front(&mut self.burden, results),
            dangers: front(&mut self.dangers, results),
        }
    }
}

/// A remark on rows of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowRemark {
    /// What a ranking of the row says.
    pub remark: String,
    /// The first row that it was found at, from 0.
    pub row: usize,
    /// How many rows are of such kinds.
    pub rows: usize,
}

impl RowRemark {
    /// Puts remarks of rows that follow behind those of rows before; `row` counts through all of them.
    pub fn add_to(self, known: &mut Vec<Self>) {
        match known.iter_mut().find(|known| known.remark == self.remark) {
            Some(known) => known.rows += self.rows,
            None => known.push(self),
        }
    }
}

impl fmt::Display for RowRemark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { remark, row, rows } = self;
        match rows {
            1 => write!(f, "row {}: {remark}", row + 1),
            rows => write!(f, "row {} and {} like it: {remark}", row + 1, rows - 1),
        }
    }
}

/// Findings that some kinds of rows have and others have not, a remark for each family of rules.
fn found_on_some(of_kinds: &[(BTreeSet<String>, usize, usize)]) -> Vec<RowRemark> {
    let mut found: Vec<RowRemark> = Vec::new();
    let everywhere = |rule: &String| of_kinds.iter().all(|(rules, ..)| rules.contains(rule));
    for (rules, row, rows) in of_kinds {
        let own: Vec<&str> = rules.iter().filter(|rule| !everywhere(rule)).map(String::as_str).collect();
        if !own.is_empty() {
            let remark = format!(
                "findings that other rows do not have, and the table does not list: {}; rank the brief of the row to read them",
                own.join(", ")
            );
            RowRemark { remark, row: *row, rows: *rows }.add_to(&mut found);
        }
    }
    found
}

/// Kinds of rows by their own columns: shelters with that of none, each with and without anything that falls.
const OWN_KINDS: usize = 8;
const NO_SHELTER: u8 = 3;
/// Added to the number of a shelter where neither SO2 nor chloride falls.
const NOTHING_FALLS: u8 = 4;
/// Kinds of rows up to which their findings are compared: each costs the checks of all builds.
const MOST_KINDS_JUDGED: usize = 200;
/// Rows of one kind that are tried for one that can be judged.
const ROWS_TRIED: usize = 16;

impl<'a, S: RowSource> TableSweep<'a, S> {
    /// Prepares the variants of a table.
    ///
    /// Where the table has all four inputs of the atmosphere, they replace the brief's own ways to it.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) rejects in the brief or a build; too many builds.
    pub fn new(
        brief: &Brief,
        source: &'a S,
        variants: Variants,
        asked: Asked<'_>,
        catalog: &'a Catalog,
    ) -> Result<Self> {
        let mut base = brief.checked_in(catalog)?.into_owned();
        check_wants(&base, catalog)?;
        if let Some(builds) = asked.builds {
            base.wants.builds = Some(builds.iter().map(wished).collect());
        }
        let own_shelter = base.duty.shelter;
        if ROW_FIELDS.iter().take(4).all(|name| source.has(name)) {
            without_own_air(&mut base, catalog)?;
        }
        let mut builds: Vec<Build> = Vec::new();
        let mut first_error = None;
        let mut prepared = Vec::with_capacity(variants.combinations.len());
        let (mut scratch, judgements) = (S::Scratch::default(), Arc::<Judgements>::default());
        let columns = source.part(0..0, &mut scratch);
        let no_rows = vec![Vec::new()];
        let combinations = if variants.combinations.is_empty() { &no_rows } else { &variants.combinations };
        for combination in combinations {
            let made = variants.values(combination).and_then(|values| {
                let says_air = values.iter().any(|(name, _)| OTHER_WAYS.contains(name));
                let mut brief = base.clone();
                if values.iter().any(|(name, _)| *name == "place") {
                    // the shelter that the place of the brief left behind is not one of the row's place
                    brief.duty.shelter = own_shelter;
                }
                let brief = if values.is_empty() { brief } else { brief.replaced(values)? };
                let (own, _) = candidates(&brief, catalog)?;
                Rows::for_columns(&brief, &own, catalog, &columns, says_air, &judgements)
            });
            let rows = match made {
                Ok(rows) => Ok(rows),
                // without a field that rows give, what is rejected is the brief
                Err(error) if asked.strict || variants.columns.is_empty() => return Err(error),
                Err(error) => {
                    let status = status_of(&error);
                    first_error.get_or_insert(error);
                    Err(status)
                }
            };
            let own = rows.as_ref().map(|rows| codes_in(&mut builds, rows.builds())).unwrap_or_default();
            let by_kernel = rows.as_ref().is_ok_and(|rows| rows.by_kernel(&columns));
            prepared.push(Variant { rows, builds: own, by_kernel });
        }
        if builds.is_empty()
            && let Some(error) = first_error
        {
            return Err(error);
        }
        if builds.len() >= usize::from(u16::MAX) {
            return Err(invalid("builds", builds.len(), "less than 65535", "Ask in parts."));
        }
        let some = prepared.iter().find(|v| v.rows.is_ok()).map(|v| v.builds.clone()).unwrap_or_default();
        for variant in prepared.iter_mut().filter(|variant| variant.rows.is_err()) {
            variant.builds.clone_from(&some);
        }
        let relative = prepared.iter().any(|v| v.rows.as_ref().is_ok_and(Rows::is_relative_in_part));
        Ok(Self {
            source,
            of_row: variants.of_row,
            variants: prepared,
            builds,
            currency: currency_of(catalog, relative),
            best_only: asked.best_only,
            strict: asked.strict,
            blockers: Mutex::new(Vec::new()),
        })
    }

    /// The builds, in the order of their codes.
    pub fn builds(&self) -> &[Build] {
        &self.builds
    }

    /// The currency of all costs; it says so where prices of one of the builds are relative and in none.
    pub fn currency(&self) -> &str {
        &self.currency
    }

    /// What blocks builds, in the order of the codes.
    pub fn blockers(&self) -> Vec<String> {
        self.lock().clone()
    }

    /// What rankings of the rows remark and a table of results does not: of each kind of row, alike in all columns but
    /// those of numbers, by its first that can be judged; and where kinds differ in what is found on their builds, what some
    /// have and others have not. Each remark once, with its first row and how many rows are of such kinds; `wanted` tells
    /// which rows count.
    pub fn remarks(&self, wanted: impl Fn(usize) -> bool) -> Vec<RowRemark> {
        let own_kinds = self.own_kinds();
        // a kind by variant, shelter and whether nothing falls on it: the first rows, and how many
        let mut kinds: Vec<(Vec<usize>, usize)> = vec![(Vec::new(), 0); OWN_KINDS * self.variants.len()];
        for row in (0..self.source.rows()).filter(|row| wanted(*row)) {
            let own = own_kinds.get(row).map_or(0, |own| usize::from(*own));
            if let Some((first, rows)) = kinds.get_mut(OWN_KINDS * self.variant_of(row) + own) {
                *rows += 1;
                if first.len() < ROWS_TRIED {
                    first.push(row);
                }
            }
        }
        let kinds: Vec<(usize, (Vec<usize>, usize))> =
            kinds.into_iter().enumerate().filter(|(_, (_, rows))| *rows > 0).collect();
        let several = (2..=MOST_KINDS_JUDGED).contains(&kinds.len());
        let many = kinds.len() > MOST_KINDS_JUDGED;
        let first = kinds.iter().filter_map(|(_, (first, _))| first.first().copied()).min();
        let beyond = first.filter(|_| many).map(|row| (row, kinds.iter().map(|(_, (_, rows))| rows).sum()));
        let mut found: Vec<RowRemark> = Vec::new();
        let mut of_kinds: Vec<(BTreeSet<String>, usize, usize)> = Vec::new();
        let mut scratch = S::Scratch::default();
        for (kind, (first, rows)) in kinds {
            let Some(Ok(judge)) = self.variants.get(kind / OWN_KINDS).map(|variant| &variant.rows) else {
                continue;
            };
            let said = first.into_iter().find_map(|row| {
                let remarks = judge.remarks(&self.source.part(row..row + 1, &mut scratch)).ok()?;
                Some((row, remarks))
            });
            let Some((row, remarks)) = said else { continue };
            if several && let Ok(rules) = judge.rules_found(&self.source.part(row..row + 1, &mut scratch)) {
                of_kinds.push((rules, row, rows));
            }
            for remark in remarks {
                match found.iter_mut().find(|known| known.remark == remark) {
                    Some(known) => {
                        known.rows += rows;
                        known.row = known.row.min(row);
                    }
                    None => found.push(RowRemark { remark, row, rows }),
                }
            }
        }
        if let Some((row, rows)) = beyond {
            let remark = format!(
                "findings were not compared between kinds of rows, since there are more than {MOST_KINDS_JUDGED}"
            );
            found.push(RowRemark { remark, row, rows });
        }
        found.extend(found_on_some(&of_kinds));
        found
    }

    /// The kind of each row by its shelter and by what falls on it, as a number; none where the table has no such columns.
    fn own_kinds(&self) -> Vec<u8> {
        let mut kinds = Vec::new();
        let mut scratch = S::Scratch::default();
        let moves =
            ["shelter", "so2_mg_m2_day", "chloride_mg_m2_day"].iter().any(|name| self.source.has(name));
        while moves && kinds.len() < self.source.rows() {
            let start = kinds.len();
            let end = self.source.end_of_piece(start).min(self.source.rows()).max(start + 1);
            let part = self.source.part(start..end, &mut scratch);
            let is_zero = |column: Option<&[f64]>, row: usize| {
                column.is_none_or(|column| column.get(row) == Some(&0.0))
            };
            let falls = part.so2_mg_m2_day.is_some() || part.chloride_mg_m2_day.is_some();
            kinds.extend((0..end - start).map(|row| {
                let shelter = part.shelter.map_or(0, |column| {
                    column.get(row).copied().flatten().map_or(NO_SHELTER, |shelter| shelter as u8)
                });
                let nothing =
                    falls && is_zero(part.so2_mg_m2_day, row) && is_zero(part.chloride_mg_m2_day, row);
                shelter + if nothing { NOTHING_FALLS } else { 0 }
            }));
        }
        kinds
    }

    /// What a ranking of one row says and a table of results does not: how many builds have findings to read, and remarks
    /// on them.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) rejects in the brief of the row.
    pub fn untold(&self, row: usize) -> Result<Vec<String>> {
        let Some(Ok(rows)) = self.variants.get(self.variant_of(row)).map(|variant| &variant.rows) else {
            return Ok(Vec::new());
        };
        let mut scratch = S::Scratch::default();
        let columns = self.source.part(row..row + 1, &mut scratch);
        let Ranking { mut remarks, options, .. } = rows.ranking(&columns)?;
        let of_rows = rows.remarks(&columns)?;
        remarks.retain(|remark| !of_rows.contains(remark) && !remark.starts_with(OUTSIDE_VALIDITY));
        let grave = |option: &&RankedOption| option.findings.iter().any(|f| f.kind != FindingKind::Notes);
        let dangerous = |option: &&RankedOption| option.dangers() > 0;
        let (found, dangers) =
            (options.iter().filter(grave).count(), options.iter().filter(dangerous).count());
        if found > 0 {
            remarks.push(format!(
                "findings, which the table does not list: at this row {found} of {} builds are ruled out, warned of or \
                 need a step, {dangers} of them because a part can break, a joint open or a welder be harmed; rank the brief of a row to read \
                 them",
                options.len()
            ));
        }
        Ok(remarks)
    }

    fn lock(&self) -> MutexGuard<'_, Vec<String>> {
        self.blockers.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn variant_of(&self, row: usize) -> usize {
        self.of_row.get(row).map_or(0, |variant| *variant as usize)
    }

    fn results_of_row(&self, row: usize) -> usize {
        if self.best_only {
            return 1;
        }
        self.variants.get(self.variant_of(row)).map_or(0, |variant| variant.builds.len())
    }

    /// Whether all rows have one number of results.
    pub fn results_each(&self) -> Option<usize> {
        let mut lengths = self.variants.iter().map(|variant| variant.builds.len());
        let first = lengths.next()?;
        if self.best_only { Some(1) } else { lengths.all(|length| length == first).then_some(first) }
    }

    /// The number of results of some rows.
    ///
    /// # Errors
    /// More than memory can hold.
    pub fn results(&self, rows: Range<usize>) -> Result<usize> {
        let count = rows.len();
        let results = match self.results_each() {
            Some(each) => count.checked_mul(each),
            None => Some(rows.map(|row| self.results_of_row(row)).sum()),
        };
        results.filter(|results| fits_in_memory(*results)).ok_or_else(|| {
            let reason =
                format!("{count} rows of {} builds are more than memory can hold", self.builds.len());
            table_error("temperature_c", None, reason, "Sweep the table in parts.")
        })
    }

    /// Rows that are computed between two looks at Ctrl-C: some tens of milliseconds.
    pub fn rows_at_a_time(&self) -> usize {
        let results = if self.variants.iter().all(|variant| variant.by_kernel) { 1_000_000 } else { 4_000 };
        (results / self.builds.len().max(1)).max(1)
    }

    /// Computes some rows; `out` has exactly the length of their results.
    ///
    /// # Errors
    /// Where rows are judged strictly, what a row has that no place can have.
    pub fn run(&self, rows: Range<usize>, mut out: ResultSlices<'_>, threads: usize) -> Result<()> {
        let most = TASK_RESULTS.div_ceil(self.builds.len().max(1));
        let mut tasks = Vec::new();
        let mut start = rows.start;
        while start < rows.end {
            let end = self.source.end_of_piece(start).min(start + most).min(rows.end);
            let results = (start..end).map(|row| self.results_of_row(row)).sum();
            tasks.push((start..end, out.take(results)));
            start = end;
        }
        let failure: Mutex<Option<(usize, Error)>> = Mutex::new(None);
        run_tasks(tasks, threads, |(rows, out), scratch: &mut Scratch<S::Scratch>| {
            let first = rows.start;
            if let Err(error) = self.run_task(rows, out, scratch) {
                let mut failure = failure.lock().unwrap_or_else(PoisonError::into_inner);
                // the first row's, whatever thread was quicker
                if failure.as_ref().is_none_or(|(row, _)| first < *row) {
                    *failure = Some((first, error));
                }
            }
        });
        match failure.into_inner().unwrap_or_else(PoisonError::into_inner) {
            Some((_, error)) => Err(error),
            None => Ok(()),
        }
    }

    fn run_task(
        &self,
        rows: Range<usize>,
        mut out: ResultSlices<'_>,
        scratch: &mut Scratch<S::Scratch>,
    ) -> Result<()> {
        let Scratch { input, part, answers } = scratch;
        let mut start = rows.start;
        while start < rows.end {
            let code = self.variant_of(start);
            let end = (start..rows.end).find(|row| self.variant_of(*row) != code).unwrap_or(rows.end);
            let Some(variant) = self.variants.get(code) else { return Ok(()) };
            let columns = self.source.part(start..end, input);
            // rows that leave open what something else says are ranked, the others go through the kernel
            let alike = variant.rows.as_ref().map_or(columns.rows, |rows| {
                let open = rows.is_open(&columns, 0);
                (0..columns.rows).find(|row| rows.is_open(&columns, *row) != open).unwrap_or(columns.rows)
            });
            let (columns, end) = (columns.part(0, alike), start + alike);
            match &variant.rows {
                Ok(of_variant) => of_variant.run_part(&columns, self.strict, part, answers)?,
                Err(status) => answers.refuse(end - start, variant.builds.len(), *status),
            }
            let each = if self.best_only { 1 } else { variant.builds.len() };
            let mut segment = out.take((end - start) * each);
            self.emit(start, variant, &columns, answers, &mut segment);
            start = end;
        }
        Ok(())
    }

    /// Copies what is requested out of the answers of some rows of one variant.
    fn emit(
        &self,
        first_row: usize,
        variant: &Variant<'_>,
        columns: &MovedColumns<'_>,
        answers: &PartAnswers,
        out: &mut ResultSlices<'_>,
    ) {
        let builds = variant.builds.len();
        let rows = variant.rows.as_ref().ok();
        let output = &answers.output;
        let (each, places) = if self.best_only {
            let best = |row| rows.map_or(0, |rows| rows.best_of(columns, row, answers));
            (1, (0..answers.status.len()).map(|row| row * builds + best(row)).collect())
        } else {
            (builds, Vec::new())
        };
        let first = |row: usize| places.get(row).copied().unwrap_or(row * builds);
        for (to, from) in [
            (&mut out.first_year_loss_um, &output.first_year_loss_um),
            (&mut out.median_years, &output.median_years),
            (&mut out.p10_years, &output.p10_years),
            (&mut out.p90_years, &output.p90_years),
            (&mut out.probability_ok, &output.probability_ok),
            (&mut out.cost_per_thousand, &output.cost_per_thousand),
            (&mut out.score, &output.score),
        ] {
            if !self.best_only && to.len() == from.len() {
                to.copy_from_slice(from);
            } else {
                fill(to, each, first, |_, at| from.get(at).copied().unwrap_or(f64::NAN));
            }
        }
        let status = |row: usize| answers.status.get(row).copied().unwrap_or_default();
        let burden = |row: usize, at: usize| {
            let rows = rows.filter(|_| has_result(status(row)));
            rows.map(|rows| rows.burden_at(columns, row, at - row * builds, answers))
        };
        fill(out.burden, each, first, |row, at| burden(row, at).map_or(f32::NAN, Burden::in_column));
        fill(out.dangers, each, first, |row, at| burden(row, at).map_or(f32::NAN, Burden::dangers_in_column));
        fill(out.row, each, first, |row, _| u32::try_from(first_row + row).unwrap_or(u32::MAX));
        let none = u16::try_from(self.builds.len()).unwrap_or(u16::MAX);
        fill(out.build, each, first, |row, at| {
            // no build is the best of a row without a result
            let known = !self.best_only || has_result(status(row));
            variant.builds.get(at - row * builds).copied().filter(|_| known).unwrap_or(none)
        });
        fill(out.category, each, first, |_, at| {
            output.category.get(at).copied().flatten().map_or(0, |category| category as u8)
        });
        fill(out.row_status, each, first, |row, at| {
            let of_row = status(row);
            let of_build = output.reason.get(at).filter(|_| has_result(of_row));
            of_build.map_or(of_row, |reason| *reason as u8)
        });
        let blocked = |at: usize| output.blocked.get(at).copied();
        fill(out.blocked, each, first, |_, at| blocked(at).unwrap_or_default());
        fill(out.met, each, first, |_, at| output.met.get(at).copied().unwrap_or_default());
        let mut known: Vec<Option<u16>> = Vec::new();
        fill(out.blocked_by, each, first, |row, at| {
            let Some(rows) = rows.filter(|_| blocked(at) == Some(true)) else { return NOT_BLOCKED };
            let build = at - row * builds;
            let code = || self.blocker_code(&rows.blocked_by(columns, row, build, answers));
            let Some(key) = rows.blocker_key(columns, row, build, answers) else { return code() };
            if known.len() <= key {
                known.resize(key + 1, None);
            }
            known.get_mut(key).map_or(NOT_BLOCKED, |known| *known.get_or_insert_with(code))
        });
    }

    fn blocker_code(&self, blocker: &str) -> u16 {
        let mut blockers = self.lock();
        let place = blockers.iter().position(|known| known == blocker).unwrap_or_else(|| {
            blockers.push(blocker.to_owned());
            blockers.len() - 1
        });
        u16::try_from(place).unwrap_or(NOT_BLOCKED)
    }
}

/// Fills a column with `each` results of each row, from the row and the place of the result among the answers; `first` is
/// the place of the first of a row.
fn fill<T>(
    column: &mut [T],
    each: usize,
    first: impl Fn(usize) -> usize,
    mut value: impl FnMut(usize, usize) -> T,
) {
    for (row, results) in column.chunks_mut(each.max(1)).enumerate() {
        for (at, to) in (first(row)..).zip(results) {
            *to = value(row, at);
        }
    }
}

/// What a thread keeps from task to task.
#[derive(Default)]
struct Scratch<T> {
    input: T,
    part: PartScratch,
    answers: PartAnswers,
}

/// Whether a row of this status has results.
#[doc(hidden)]
pub fn has_result(status: u8) -> bool {
    Reason::ALL.get(usize::from(status)).is_some_and(|reason| reason.has_result())
}

/// The codes of builds in a list, to which those that it lacks are added.
fn codes_in(all: &mut Vec<Build>, own: &[Build]) -> Vec<u16> {
    let mut codes = Vec::with_capacity(own.len());
    for (index, build) in own.iter().enumerate() {
        // mostly the same builds in the same order
        let place =
            if all.get(index) == Some(build) { Some(index) } else { all.iter().position(|b| b == build) };
        let place = place.unwrap_or_else(|| {
            all.push(build.clone());
            all.len() - 1
        });
        codes.push(u16::try_from(place).unwrap_or(u16::MAX));
    }
    codes
}

/// The brief without its own ways to the atmosphere; a described place leaves its shelter behind.
fn without_own_air(brief: &mut Brief, catalog: &Catalog) -> Result<()> {
    let duty = &mut brief.duty;
    if let Some(name) = duty.place.take() {
        let place = catalog.place(&name).map_err(|error| error.within("duty"))?;
        duty.shelter = duty.shelter.or(Some(place.shelter));
    }
    duty.first_year_steel_loss_um = None;
    duty.corrosivity = None;
    Ok(())
}

/// Of the columns of a table, by place those that are fields of a brief and are obeyed; with `all` also fields of the
/// part and the wants.
///
/// # Errors
/// A column that is nearly a field; one of the part or the wants where only the duty moves; one that is named like a
/// result or given twice.
#[doc(hidden)]
pub fn obeyed_columns(names: &[String], all: bool) -> Result<Vec<usize>> {
    let moves = |field: &Field| all || field.section == "duty";
    let mut obeyed: Vec<(usize, &'static Field)> = Vec::new();
    for (place, name) in names.iter().enumerate() {
        let field = Field::find(name);
        if let Some(field) = field.filter(|field| moves(field)) {
            if obeyed.iter().any(|(_, known)| *known == field) {
                return Err(table_error(name, None, "given twice", "Keep one of the two columns."));
            }
            obeyed.push((place, field));
        } else if known_columns().any(|known| known == name) {
            let reason = "the results have a column of this name";
            return Err(table_error(name, None, reason, "Rename yours, or leave it out."));
        } else if let Some(field) = field {
            return Err(table_error(name, None, not_moved(field), &other_way(field)));
        }
    }
    for name in names.iter().filter(|name| Field::find(name).is_none()) {
        let Some(field) = Field::nearly(name, names) else { continue };
        let known = Field::all().iter().filter(|field| moves(field)).map(|field| field.name.as_str());
        let remedy = if moves(field) {
            format!("Rename the column to `{}` if it is meant, or to something else.", field.name)
        } else {
            format!("If `{}` is meant: {}. {}", field.name, not_moved(field), other_way(field))
        };
        let Error::Name(mut error) = unknown(name, name, known, &remedy) else { continue };
        error.nearest = Some(field.name.clone());
        return Err(error.into());
    }
    Ok(obeyed.into_iter().map(|(place, _)| place).collect())
}

/// Why a sweep does not obey a field.
fn not_moved(field: &Field) -> &'static str {
    if field.section == "part" {
        "a sweep moves the duty, and the part is one for all rows"
    } else {
        "a sweep moves the duty, and what is requested is one for all rows"
    }
}

/// What to do with such a column.
fn other_way(field: &Field) -> String {
    format!(
        "Put `{}` into the brief, vary it with `overcoat.grid` in Python, or rename the column to carry it along.",
        field.name
    )
}
