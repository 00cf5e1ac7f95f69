//! A table of places from a CSV file to another, however long, in the memory of one batch.

use std::fs::File;
use std::io::{self, BufReader};
use std::path::{Path, PathBuf};
use std::time::Instant;

use csv::{ByteRecord, ReaderBuilder, WriterBuilder};
use serde_json::json;

use crate::brief::Brief;
use crate::catalog::{Catalog, Shelter};
use crate::command::answers::brief_in;
use crate::command::arguments::SweepOf;
use crate::command::files::{WholeFile, in_words};
use crate::command::{Outcome, Streams, Trouble};
use crate::error::table_error;
use crate::finish::Build;
use crate::rank::{RankedOption, USUAL_TARGET, rank};
use crate::sweep::{Columns, Output, RESULT_COLUMNS, Reason, Sweep};

/// Results of one batch, or about so many.
const RESULTS_AT_A_TIME: usize = 500_000;
/// Characters of a malformed line that are repeated.
const SHOWN: usize = 1000;
/// Columns of numbers that a sweep reads; the first four are needed.
const NUMBERS: [&str; 5] =
    ["temperature_c", "relative_humidity_pct", "so2_mg_m2_day", "chloride_mg_m2_day", "required_years"];
const NEEDED: usize = 4;
const SHELTER: &str = "shelter";
/// The column that counts the rows, from 0.
const ROW: &str = "row";
/// Words that stand for a gap.
const GAPS: [&str; 4] = ["", "nan", "na", "null"];

/// A plain part, where no brief brings one.
const PLAIN: &str = r#"{"schema": "overcoat.brief.v1", "name": "sweep", "part": {"base_metal": "steel_4_6"},
    "duty": {"required_years": 5}}"#;

fn is_csv(path: &Path) -> bool {
    path.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"))
}

pub(super) fn sweep(asked: &SweepOf, streams: &mut Streams) -> Outcome {
    let start = Instant::now();
    for path in [&asked.sites, &asked.out] {
        if !is_csv(path) {
            return Err(Trouble::Refused(format!(
                "{}: this program reads and writes .csv files. For Parquet and Arrow, install the Python package with \
                 pip install \"overcoat[frames]\" and call overcoat.sweep_file.",
                path.display()
            )));
        }
    }
    let side = PathBuf::from(format!("{}.bad-rows.csv", asked.out.display()));
    let same = |a: &Path, b: &Path| {
        a == b || matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
    };
    if same(&asked.sites, &asked.out) || same(&asked.sites, &side) {
        return Err(Trouble::Refused(format!(
            "{} is the table itself. Name another file with --out.",
            asked.out.display()
        )));
    }
    let catalog = asked.catalogs.read()?;
    let brief = asked.brief.as_deref().map_or_else(|| Ok(Brief::from_json(PLAIN)?), brief_in)?;
    let builds = asked.builds.iter().map(|build| build.parse()).collect::<crate::Result<Vec<Build>>>()?;
    let prepared = Sweep::new(&brief, (!builds.is_empty()).then_some(builds.as_slice()), &catalog)?;
    let threads = asked.threads.map_or(0, |threads| threads as usize);
    let rows_at_a_time = asked
        .batch_rows
        .map_or_else(|| (RESULTS_AT_A_TIME / prepared.builds().len().max(1)).max(1), |rows| rows as usize);

    let file = File::open(&asked.sites)
        .map_err(|error| Trouble::Refused(in_words(&asked.sites.display().to_string(), &error)))?;
    let before = state(&asked.sites);
    let length = before.map_or(0, |(length, _)| length).max(1);
    let mut reader = ReaderBuilder::new().flexible(true).from_reader(BufReader::new(file));
    let header = reader.byte_headers().map_err(|error| unreadable(&asked.sites, &error))?.clone();
    let table = TableColumns::of(&header, &asked.sites)?;

    let mut out = Sink::create(&asked.out)?;
    let found = RESULT_COLUMNS.iter().map(|name| name.as_bytes());
    out.write(std::iter::once(ROW.as_bytes()).chain(header.iter()).chain(found))?;
    let mut results = Results::new(&prepared, &brief, &catalog);
    let mut bad: Option<Sink> = None;
    let mut tally = Tally::default();
    let mut batch = Batch::default();
    loop {
        batch.clear();
        let more = batch.fill(&mut reader, &table, rows_at_a_time, &asked.sites)?;
        for (row, reason, cells) in &batch.malformed {
            tally.bad_rows += 1;
            bad_row(&mut bad, &side, &header, *row, reason, cells)?;
        }
        let columns = batch.columns(&table);
        let mut output = Output::default();
        prepared.run(&columns, &mut output, threads)?;
        let costs = prepared.costs_per_thousand(&columns, &output)?;
        results.write(&mut out, &batch, &columns, &output, &costs, asked.best_only, &mut tally)?;
        let each = output.reason.chunks(prepared.builds().len().max(1)).map(|of_row| of_row.first());
        for ((line, reason), unread) in batch.lines.iter().zip(each).zip(&batch.unread) {
            tally.extrapolated += usize::from(reason == Some(&Reason::Extrapolated));
            if let Some(reason) = reason.filter(|reason| !reason.has_result()) {
                tally.bad_rows += 1;
                let said = unread
                    .as_ref()
                    .map_or_else(|| reason.name().to_owned(), |name| format!("{name}_not_a_number"));
                bad_row(&mut bad, &side, &header, line.0, &said, &line.1)?;
            }
        }
        tally.rows += batch.lines.len() + batch.malformed.len();
        if streams.errors_are_terminal {
            let done = 100.0 * reader.position().byte() as f64 / length as f64;
            let _ = write!(streams.errors, "\r{:.0}%, {} rows", done.min(100.0), tally.rows);
        }
        if !more {
            break;
        }
    }
    if streams.errors_are_terminal {
        streams.say("");
    }
    if state(&asked.sites) != before {
        return Err(Trouble::Refused(format!(
            "{}: changed while it was read. Sweep it again when nothing writes to it.",
            asked.sites.display()
        )));
    }
    // the side file first: where there is a new output, its bad rows are there too
    let has_bad = bad.is_some();
    match bad {
        Some(bad) => bad.keep()?,
        None => drop(std::fs::remove_file(&side)),
    }
    out.keep()?;
    let seconds = start.elapsed().as_secs_f64();
    if asked.json {
        let answer = json!({
            "out": asked.out, "rows": tally.rows, "results": tally.results, "bad_rows": tally.bad_rows,
            "bad_rows_file": has_bad.then_some(&side), "extrapolated_rows": tally.extrapolated, "seconds": (seconds * 1000.0).round() / 1000.0,
        });
        streams.print(&format!("{answer}\n"))?;
    }
    let mut said =
        if has_bad { format!("; {} bad rows: {}", tally.bad_rows, side.display()) } else { String::new() };
    if tally.extrapolated > 0 {
        said =
            format!("{said}; {} rows outside the validity of the dose-response function", tally.extrapolated);
    }
    streams.say(&format!("{} rows, {} results in {seconds:.1} s{said}", tally.rows, tally.results));
    streams.say(&format!("written: {}", asked.out.display()));
    Ok(if asked.strict && tally.bad_rows > 0 { 3 } else { 0 })
}

/// Length and time of a file, which tell whether another program wrote to it.
fn state(path: &Path) -> Option<(u64, std::time::SystemTime)> {
    let found = std::fs::metadata(path).ok().filter(std::fs::Metadata::is_file)?;
    Some((found.len(), found.modified().ok()?))
}

#[derive(Default)]
struct Tally {
    rows: usize,
    results: usize,
    bad_rows: usize,
    /// Rows whose air lies outside the validity of the dose-response function.
    extrapolated: usize,
}

fn unreadable(path: &Path, error: &csv::Error) -> Trouble {
    Trouble::Refused(match error.kind() {
        csv::ErrorKind::Io(error) => in_words(&path.display().to_string(), error),
        _ => format!("{}: {error}. Write it again as CSV.", path.display()),
    })
}

/// Where the columns of a table stand.
struct TableColumns {
    width: usize,
    numbers: [Option<usize>; 5],
    shelter: Option<usize>,
}

impl TableColumns {
    fn of(header: &ByteRecord, path: &Path) -> Result<Self, Trouble> {
        let mut names = Vec::with_capacity(header.len());
        for name in header {
            let name = std::str::from_utf8(name).map_err(|_| {
                Trouble::Refused(format!("{}: not UTF-8. Save the file as UTF-8.", path.display()))
            })?;
            names.push(name.trim_start_matches('\u{feff}'));
        }
        if names.is_empty() {
            let said = format!("{}: empty. Fill it with a header and a line for each site.", path.display());
            return Err(Trouble::Refused(said));
        }
        if let [only] = names.as_slice()
            && only.contains([';', '\t'])
        {
            return Err(table_error(NUMBERS[0], None, "missing", "Separate the fields by commas.").into());
        }
        for (at, name) in names.iter().enumerate() {
            if names.iter().take(at).any(|other| other == name) {
                return Err(table_error(
                    name,
                    None,
                    "the file has two columns of this name",
                    "Keep or rename one.",
                )
                .into());
            }
            if *name == ROW || RESULT_COLUMNS.contains(name) {
                return Err(table_error(
                    name,
                    None,
                    "the results have a column of this name",
                    "Rename yours.",
                )
                .into());
            }
        }
        let place = |name: &str| names.iter().position(|known| *known == name);
        let numbers = NUMBERS.map(place);
        for (name, found) in NUMBERS.iter().zip(numbers).take(NEEDED) {
            if found.is_none() {
                let near = crate::error::nearest(name, names.iter().copied());
                let remedy = near.map_or("Add the column.".to_owned(), |near| {
                    format!("Rename `{near}`, or add the column.")
                });
                return Err(table_error(name, None, "missing", &remedy).into());
            }
        }
        Ok(Self { width: names.len(), numbers, shelter: place(SHELTER) })
    }
}

/// Rows read at a time.
#[derive(Default)]
struct Batch {
    /// Number in the file, from 0, and cells.
    lines: Vec<(usize, ByteRecord)>,
    numbers: [Vec<f64>; 5],
    shelter: Vec<Option<Shelter>>,
    /// The first column whose cell is no number.
    unread: Vec<Option<&'static str>>,
    malformed: Vec<(usize, String, ByteRecord)>,
    next: usize,
}

impl Batch {
    fn clear(&mut self) {
        self.lines.clear();
        self.numbers.iter_mut().for_each(Vec::clear);
        self.shelter.clear();
        self.unread.clear();
        self.malformed.clear();
    }

    /// Reads up to so many rows; false at the end of the file.
    fn fill(
        &mut self,
        reader: &mut csv::Reader<BufReader<File>>,
        table: &TableColumns,
        rows: usize,
        path: &Path,
    ) -> Result<bool, Trouble> {
        let mut record = ByteRecord::new();
        while self.lines.len() < rows {
            if !reader.read_byte_record(&mut record).map_err(|error| unreadable(path, &error))? {
                return Ok(false);
            }
            let row = self.next;
            self.next += 1;
            if record.len() != table.width {
                let text = record.iter().map(String::from_utf8_lossy).collect::<Vec<_>>().join(",");
                let text: String = text.chars().take(SHOWN).collect();
                let fields = if record.len() == 1 { "field" } else { "fields" };
                let reason =
                    format!("{} {fields} where the header has {}: {text}", record.len(), table.width);
                self.malformed.push((row, reason, ByteRecord::new()));
                continue;
            }
            let mut cells = Vec::with_capacity(table.width);
            for cell in &record {
                let cell = std::str::from_utf8(cell).map_err(|_| {
                    let said =
                        format!("{}, row {}: not UTF-8. Save the file as UTF-8.", path.display(), row + 1);
                    Trouble::Refused(said)
                })?;
                cells.push(cell.trim());
            }
            let mut unread = None;
            for ((name, place), column) in NUMBERS.iter().zip(table.numbers).zip(&mut self.numbers) {
                let Some(cell) = place.and_then(|place| cells.get(place)) else { continue };
                let gap = GAPS.contains(&cell.to_lowercase().as_str());
                let number = if gap { None } else { cell.parse::<f64>().ok() };
                if number.is_none() && !gap {
                    unread = unread.or(Some(*name));
                }
                column.push(number.unwrap_or(f64::NAN));
            }
            if let Some(cell) = table.shelter.and_then(|place| cells.get(place)) {
                self.shelter.push(cell.parse().ok());
            }
            self.unread.push(unread);
            self.lines.push((row, record.clone()));
        }
        Ok(true)
    }

    fn columns(&self, table: &TableColumns) -> Columns<'_> {
        let [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day, required_years] =
            &self.numbers;
        Columns {
            temperature_c,
            relative_humidity_pct,
            so2_mg_m2_day,
            chloride_mg_m2_day,
            required_years: table.numbers[4].map(|_| required_years.as_slice()),
            shelter: table.shelter.map(|_| self.shelter.as_slice()),
        }
    }
}

/// The best result of a row: what is usable before what is ruled out, then by score, probability and order.
fn best_of(output: &Output, results: std::ops::Range<usize>) -> Option<usize> {
    let rank = |at: usize| {
        let number =
            |column: &[f64]| column.get(at).copied().filter(|x| !x.is_nan()).unwrap_or(f64::NEG_INFINITY);
        (
            output.blocked.get(at).copied().unwrap_or(true),
            number(&output.score),
            number(&output.probability_ok),
        )
    };
    results.reduce(|best, next| {
        let (own, other) = (rank(best), rank(next));
        let better = own.0.cmp(&other.0).then(other.1.total_cmp(&own.1)).then(other.2.total_cmp(&own.2));
        if better.is_gt() { next } else { best }
    })
}

/// What the columns of results need besides the numbers.
struct Results<'a> {
    prepared: &'a Sweep,
    catalog: &'a Catalog,
    names: Vec<String>,
    currency: &'a str,
    target: f64,
    /// The rules that block each build, by shelter; empty for one that is open.
    blocked_by: Vec<(Option<Shelter>, Vec<String>)>,
}

impl<'a> Results<'a> {
    fn new(prepared: &'a Sweep, brief: &Brief, catalog: &'a Catalog) -> Self {
        Self {
            prepared,
            catalog,
            names: prepared.builds().iter().map(ToString::to_string).collect(),
            currency: &catalog.content().prices.currency,
            target: brief.wants.target_probability.unwrap_or(USUAL_TARGET),
            blocked_by: Vec::new(),
        }
    }

    /// The rules that block a build at a row; they hang on the shelter of the row and not on its numbers.
    fn rules(&mut self, columns: &Columns, row: usize, code: usize) -> Result<String, Trouble> {
        let shelter = columns.shelter.and_then(|column| column.get(row).copied().flatten());
        if let Some((_, known)) = self.blocked_by.iter().find(|(under, _)| *under == shelter) {
            return Ok(known.get(code).cloned().unwrap_or_default());
        }
        let ranking = rank(&self.prepared.row_brief(columns, row)?, self.catalog)?;
        let rules = self.prepared.builds().iter().map(|build| {
            let option = ranking.options.iter().find(|option| option.build == *build);
            option.and_then(RankedOption::blocked_by).unwrap_or_default()
        });
        let rules: Vec<String> = rules.collect();
        let found = rules.get(code).cloned().unwrap_or_default();
        self.blocked_by.push((shelter, rules));
        Ok(found)
    }

    #[expect(clippy::too_many_arguments, reason = "a batch and all that was found for it")]
    fn write(
        &mut self,
        out: &mut Sink,
        batch: &Batch,
        columns: &Columns,
        output: &Output,
        costs: &[f64],
        best_only: bool,
        tally: &mut Tally,
    ) -> Result<(), Trouble> {
        let builds = self.names.len();
        for (place, (row, cells)) in batch.lines.iter().enumerate() {
            let results = place * builds..(place + 1) * builds;
            let chosen =
                if best_only { best_of(output, results).map(|at| at..at + 1) } else { Some(results) };
            for at in chosen.into_iter().flatten() {
                tally.results += 1;
                let number = |column: &[f64]| {
                    column
                        .get(at)
                        .copied()
                        .filter(|x| !x.is_nan())
                        .map_or_else(String::new, |x| x.to_string())
                };
                let reason = output.reason.get(at).copied().unwrap_or(Reason::Ok);
                let known = reason.has_result();
                let code = output.build.get(at).map_or(0, |code| usize::from(*code));
                let build = self.prepared.builds().get(code).filter(|_| known || !best_only);
                let word = |of: fn(&Build) -> String| build.map_or_else(String::new, of);
                let blocked = output.blocked.get(at).copied().unwrap_or(false);
                let met = !blocked && output.probability_ok.get(at).is_some_and(|p| *p >= self.target);
                let truth = |is: bool| if known { is.to_string() } else { String::new() };
                let category = output.category.get(at).copied().flatten();
                let found = [
                    word(ToString::to_string),
                    word(|build| build.base_metal.clone()),
                    word(|build| build.treatment.clone()),
                    word(|build| build.films.join(" + ")),
                    category.map_or_else(String::new, |category| category.to_string()),
                    number(&output.first_year_loss_um),
                    number(&output.median_years),
                    number(&output.p10_years),
                    number(&output.p90_years),
                    number(&output.probability_ok),
                    number(costs),
                    if known { self.currency.to_owned() } else { String::new() },
                    number(&output.score),
                    truth(met),
                    truth(blocked),
                    if known && blocked { self.rules(columns, place, code)? } else { String::new() },
                    reason.name().to_owned(),
                ];
                let row = row.to_string();
                let own: Vec<Vec<u8>> = cells.iter().map(without_formula).collect();
                let cells = std::iter::once(row.as_bytes()).chain(own.iter().map(Vec::as_slice));
                out.write(cells.chain(found.iter().map(String::as_bytes)))?;
            }
        }
        Ok(())
    }
}

/// A cell with an apostrophe before what a spreadsheet would run as a formula; numbers stay as they are.
fn without_formula(cell: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(cell);
    let formula = text.trim_start().starts_with(['=', '+', '-', '@']) || text.starts_with(['\t', '\r', '\n']);
    if formula && text.trim().parse::<f64>().is_err() { [b"'", cell].concat() } else { cell.to_vec() }
}

fn bad_row(
    bad: &mut Option<Sink>,
    side: &Path,
    header: &ByteRecord,
    row: usize,
    reason: &str,
    cells: &ByteRecord,
) -> Result<(), Trouble> {
    if bad.is_none() {
        let mut sink = Sink::create(side)?;
        sink.write([&b"row"[..], &b"reason"[..]].into_iter().chain(header.iter()))?;
        *bad = Some(sink);
    }
    let Some(sink) = bad else { return Ok(()) };
    let row = row.to_string();
    let own: Vec<Vec<u8>> =
        (0..header.len()).map(|at| cells.get(at).map_or_else(Vec::new, without_formula)).collect();
    let reason = without_formula(reason.as_bytes());
    sink.write([row.as_bytes(), &reason].into_iter().chain(own.iter().map(Vec::as_slice)))
}

/// A CSV file that is whole or absent.
struct Sink {
    writer: csv::Writer<WholeFile>,
    place: PathBuf,
}

impl Sink {
    fn create(place: &Path) -> Result<Self, Trouble> {
        let writer = WriterBuilder::new().from_writer(WholeFile::create(place)?);
        Ok(Self { writer, place: place.to_owned() })
    }

    fn refused(&self, error: &io::Error) -> Trouble {
        Trouble::Refused(in_words(&self.place.display().to_string(), error))
    }

    fn write<'a>(&mut self, cells: impl IntoIterator<Item = &'a [u8]>) -> Result<(), Trouble> {
        let written = self.writer.write_record(cells);
        written.map_err(|error| match error.into_kind() {
            csv::ErrorKind::Io(error) => self.refused(&error),
            kind => Trouble::Refused(format!("{}: {kind:?}", self.place.display())),
        })
    }

    fn keep(mut self) -> Result<(), Trouble> {
        self.writer.flush().map_err(|error| self.refused(&error))?;
        let place = self.place.display().to_string();
        self.writer.into_inner().map_err(|error| Trouble::Refused(in_words(&place, error.error())))?.keep()
    }
}
