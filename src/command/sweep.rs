//! A table of places from a CSV file to another, however long, in the memory of one batch.

use std::fs::File;
use std::io::{self, BufReader, Read};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::{Instant, SystemTime};

use csv::{ByteRecord, ReaderBuilder, WriterBuilder};
use serde_json::json;

use crate::atmosphere::Category;
use crate::atmosphere::Shelter;
use crate::brief::{Brief, Field};
use crate::catalog::Catalog;
use crate::command::answers::brief_in;
use crate::command::arguments::SweepOf;
use crate::command::files::{WholeFile, in_words, not_an_input};
use crate::command::{Outcome, Streams, Trouble};
use crate::error::table_error;
use crate::finish::Build;
use crate::rank::candidates;
use crate::study::sweep::table::{Cells, NUMBER_FIELDS, check_air, is_gap};
use crate::study::{
    Asked, MovedColumns, NOT_BLOCKED, RESULT_COLUMNS, Reason, ResultSlices, RowRemark, RowSource, TableSweep,
    Variants, has_result, obeyed_columns, row_status_words,
};
use crate::table::csv::{Points, open_quote};

/// Results of one batch, or about so many.
const RESULTS_AT_A_TIME: usize = 500_000;
/// Characters of a malformed line that are repeated.
const SHOWN: usize = 1000;
const SHELTER: &str = "shelter";

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
                 pip install \".[frames]\" in a clone and call overcoat.sweep_file.",
                path.display()
            )));
        }
    }
    let side = PathBuf::from(format!("{}.bad-rows.csv", asked.out.display()));
    let inputs = [Some(asked.sites.as_path()), asked.brief.as_deref(), asked.catalogs.catalog.as_deref()];
    let inputs: Vec<&Path> = inputs.into_iter().flatten().collect();
    not_an_input(&asked.out, &inputs)?;
    not_an_input(&side, &inputs)?;
    let catalog = asked.catalogs.read()?;
    let brief = asked.brief.as_deref().map_or_else(|| Ok(Brief::from_json(PLAIN)?), brief_in)?;
    let builds = asked.builds.iter().map(|build| build.parse()).collect::<crate::Result<Vec<Build>>>()?;
    let named = (!builds.is_empty()).then_some(builds.as_slice());
    let threads = asked.threads.map_or(0, |threads| threads as usize);
    let each = match named {
        Some(builds) => builds.len(),
        None => candidates(&brief, &catalog)?.0.len(),
    };
    let rows_at_a_time =
        asked.batch_rows.map_or_else(|| (RESULTS_AT_A_TIME / each.max(1)).max(1), |rows| rows as usize);

    let file = File::open(&asked.sites)
        .map_err(|error| Trouble::Refused(in_words(&asked.sites.display().to_string(), &error)))?;
    let before = state(&asked.sites);
    let length = before.map_or(0, |(length, _)| length).max(1);
    let mut reader = ReaderBuilder::new().flexible(true).from_reader(BufReader::new(file));
    let header = reader.byte_headers().map_err(|error| unreadable(&asked.sites, &error))?.clone();
    check_quotes(&header, 0)?;
    let table = TableColumns::of(&header, &brief, &asked.sites)?;

    let mut out = Sink::create(&asked.out)?;
    let found = RESULT_COLUMNS.iter().map(|name| name.as_bytes());
    out.write(header.iter().chain(found))?;
    let mut bad: Option<Sink> = None;
    let mut tally = Tally::default();
    let mut batch = Batch::default();
    let question = Asked { builds: named, best_only: asked.best_only, strict: false };
    loop {
        batch.clear(&table);
        let more = batch.fill(&mut reader, &table, rows_at_a_time, &asked.sites)?;
        for (row, reason, cells) in &batch.malformed {
            tally.bad_rows += 1;
            bad_row(&mut bad, &side, &header, *row, reason, cells)?;
        }
        let status = results_of(&mut out, &batch, &table, &brief, question, &catalog, threads, &mut tally)?;
        for ((line, status), unread) in batch.lines.iter().zip(status).zip(&batch.unread) {
            if has_result(status) {
                let reason = Reason::ALL.get(usize::from(status));
                tally.extrapolated_rows += usize::from(reason.is_some_and(|reason| reason.is_extrapolated()));
                continue;
            }
            tally.bad_rows += 1;
            let said = match unread {
                Some(name) => format!("{name}_not_a_number"),
                None => word_of(status),
            };
            bad_row(&mut bad, &side, &header, line.0, &said, &line.1)?;
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
    read_whole(&asked.sites, before)?;
    batch.check_points(&table)?;
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
            "extrapolated_rows": tally.extrapolated_rows, "bad_rows_file": has_bad.then_some(&side),
            "remarks": tally.lines(), "seconds": (seconds * 1000.0).round() / 1000.0,
        });
        streams.print(&format!("{answer}\n"))?;
    }
    for remark in tally.remarks.iter().chain(&tally.untold) {
        streams.say(&remark.to_string());
    }
    let said = tally.in_words(has_bad.then_some(&side));
    streams.say(&format!("{} rows, {} results in {seconds:.1} s{said}", tally.rows, tally.results));
    streams.say(&format!("written: {}", asked.out.display()));
    Ok(if asked.strict && tally.bad_rows + tally.extrapolated_rows > 0 { 3 } else { 0 })
}

/// Rejects a quoted cell that runs over the end of its line: it can have taken in rows. `row` counts from 1, 0 is the header.
fn check_quotes(record: &ByteRecord, row: usize) -> crate::Result<()> {
    let ends = |cell: &&[u8]| cell.iter().any(|byte| matches!(byte, b'\n' | b'\r'));
    match record.iter().find(ends) {
        Some(cell) => Err(open_quote("record", row, &String::from_utf8_lossy(cell))),
        None => Ok(()),
    }
}

/// Rejects a file that changed under way.
fn read_whole(sites: &Path, before: Option<(u64, SystemTime)>) -> Result<(), Trouble> {
    let refused = |what: &str| Err(Trouble::Refused(format!("{}: {what}", sites.display())));
    if state(sites) != before {
        return refused("changed while it was read. Sweep it again when nothing writes to it.");
    }
    Ok(())
}

/// Length and time of a file, which tell whether another program wrote to it.
fn state(path: &Path) -> Option<(u64, SystemTime)> {
    let found = std::fs::metadata(path).ok().filter(std::fs::Metadata::is_file)?;
    Some((found.len(), found.modified().ok()?))
}

#[derive(Default)]
struct Tally {
    rows: usize,
    results: usize,
    bad_rows: usize,
    /// Rows outside the validity of the dose-response function.
    extrapolated_rows: usize,
    /// What rankings of rows remark and the table does not.
    remarks: Vec<RowRemark>,
    /// What a ranking of the first row with a result says beside that.
    untold: Vec<RowRemark>,
    /// Whether there was such a row.
    met_a_result: bool,
}

impl Tally {
    fn lines(&self) -> Vec<&str> {
        self.remarks.iter().chain(&self.untold).map(|said| said.remark.as_str()).collect()
    }

    /// What a user must look at, for the end of the line with the counts.
    fn in_words(&self, bad_rows_file: Option<&PathBuf>) -> String {
        let bad = bad_rows_file.map(|side| format!("; {} bad rows: {}", self.bad_rows, side.display()));
        let outside = (self.extrapolated_rows > 0).then(|| {
            let rows = if self.extrapolated_rows == 1 { "row" } else { "rows" };
            format!("; {} {rows} outside the validity of the dose-response function", self.extrapolated_rows)
        });
        [bad, outside].into_iter().flatten().collect()
    }
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
    /// Other fields of the duty.
    others: Vec<(&'static Field, usize)>,
}

impl TableColumns {
    fn of(header: &ByteRecord, brief: &Brief, path: &Path) -> Result<Self, Trouble> {
        let mut names = Vec::with_capacity(header.len());
        for name in header {
            let name = std::str::from_utf8(name).map_err(|_| {
                Trouble::Refused(format!("{}: not UTF-8. Save the file as UTF-8.", path.display()))
            })?;
            names.push(name.trim_start_matches('\u{feff}').to_owned());
        }
        if names.is_empty() {
            let said = format!("{}: empty. Fill it with a header and a line for each site.", path.display());
            return Err(Trouble::Refused(said));
        }
        if let [only] = names.as_slice()
            && only.contains([';', '\t'])
        {
            return Err(
                table_error(NUMBER_FIELDS[0], None, "missing", "Separate the fields by commas.").into()
            );
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
        }
        let mut table = Self { width: names.len(), numbers: [None; 5], shelter: None, others: Vec::new() };
        for place in obeyed_columns(&names, false)? {
            let Some(field) = names.get(place).and_then(|name| Field::find(name)) else { continue };
            match NUMBER_FIELDS.iter().position(|known| *known == field.name) {
                Some(number) => {
                    if let Some(column) = table.numbers.get_mut(number) {
                        *column = Some(place);
                    }
                }
                None if field.name == SHELTER => table.shelter = Some(place),
                None => table.others.push((field, place)),
            }
        }
        check_air(&names, brief)?;
        Ok(table)
    }
}

/// Rows read at a time.
#[derive(Default)]
struct Batch {
    /// Number in the file, from 0, and cells.
    lines: Vec<(usize, ByteRecord)>,
    numbers: [Vec<f64>; 5],
    shelter: Vec<Option<Shelter>>,
    others: Vec<Cells>,
    /// The first column whose cell is not a number.
    unread: Vec<Option<&'static str>>,
    malformed: Vec<(usize, String, ByteRecord)>,
    next: usize,
    /// What the points of each numeric column can mean, kept through the file.
    points: [Points; 5],
    points_of_others: Vec<Points>,
}

impl Batch {
    fn clear(&mut self, table: &TableColumns) {
        self.lines.clear();
        self.numbers.iter_mut().for_each(Vec::clear);
        self.shelter.clear();
        self.others = table.others.iter().map(|(field, _)| Cells::of(field)).collect();
        self.unread.clear();
        self.malformed.clear();
    }

    /// Reads up to so many rows; false at the end of the file.
    fn fill(
        &mut self,
        reader: &mut csv::Reader<impl Read>,
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
            check_quotes(&record, row + 1)?;
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
            let numbers = NUMBER_FIELDS.iter().zip(table.numbers).zip(&mut self.numbers);
            for (((name, place), column), points) in numbers.zip(&mut self.points) {
                let Some(cell) = place.and_then(|place| cells.get(place)) else { continue };
                points.see(row + 1, cell);
                let gap = is_gap(cell);
                let number = if gap { None } else { cell.parse::<f64>().ok() };
                if number.is_none() && !gap {
                    unread = unread.or(Some(*name));
                }
                column.push(number.unwrap_or(f64::NAN));
            }
            if let Some(cell) = table.shelter.and_then(|place| cells.get(place)) {
                self.shelter.push(cell.parse().ok());
            }
            self.points_of_others.resize_with(table.others.len(), Points::default);
            for ((_, place), points) in table.others.iter().zip(&mut self.points_of_others) {
                points.see(row + 1, cells.get(*place).copied().unwrap_or_default());
            }
            for ((_, place), column) in table.others.iter().zip(&mut self.others) {
                column.add_texts(std::iter::once(cells.get(*place).copied()))?;
            }
            self.unread.push(unread);
            self.lines.push((row, record.clone()));
        }
        Ok(true)
    }

    /// Rejects a column in which points can part thousands or decimals.
    fn check_points(&self, table: &TableColumns) -> crate::Result<()> {
        let numbers = NUMBER_FIELDS.iter().zip(&self.points).map(|(name, points)| (*name, points));
        let others = table.others.iter().map(|(field, _)| field.name.as_str()).zip(&self.points_of_others);
        numbers.chain(others).try_for_each(|(name, points)| points.check(name))
    }

    fn variants(&self) -> Variants {
        let columns = self.others.iter();
        Variants::of(columns.map(|c| (c.field, c.distinct.clone(), c.places.clone())).collect())
    }
}

/// The rows of a batch under the columns of its table.
struct Places<'a> {
    batch: &'a Batch,
    table: &'a TableColumns,
}

impl RowSource for Places<'_> {
    type Scratch = ();

    fn rows(&self) -> usize {
        self.batch.lines.len()
    }

    fn end_of_piece(&self, _: usize) -> usize {
        self.rows()
    }

    fn part<'a>(&'a self, rows: Range<usize>, (): &'a mut ()) -> MovedColumns<'a> {
        let [t, rh, so2, chloride, years] = &self.batch.numbers;
        let [for_t, for_rh, for_so2, for_chloride, for_years] = self.table.numbers;
        let some = |place: Option<usize>, column: &'a Vec<f64>| {
            place.map(|_| column.get(rows.clone()).unwrap_or_default())
        };
        MovedColumns {
            rows: rows.len(),
            temperature_c: some(for_t, t),
            relative_humidity_pct: some(for_rh, rh),
            so2_mg_m2_day: some(for_so2, so2),
            chloride_mg_m2_day: some(for_chloride, chloride),
            required_years: some(for_years, years),
            shelter: self.table.shelter.map(|_| self.batch.shelter.get(rows.clone()).unwrap_or_default()),
        }
    }

    fn has(&self, name: &str) -> bool {
        match NUMBER_FIELDS.iter().position(|known| *known == name) {
            Some(number) => self.table.numbers.get(number).is_some_and(Option::is_some),
            None => {
                name == SHELTER && self.table.shelter.is_some()
                    || self.table.others.iter().any(|(field, _)| field.name == name)
            }
        }
    }
}

/// The word of a status.
fn word_of(status: u8) -> String {
    row_status_words().get(usize::from(status)).cloned().unwrap_or_default()
}

/// Writes the results of a batch; returns what became of each row.
#[expect(clippy::too_many_arguments, reason = "a batch and all that its answer hangs on")]
fn results_of(
    out: &mut Sink,
    batch: &Batch,
    table: &TableColumns,
    brief: &Brief,
    asked: Asked<'_>,
    catalog: &Catalog,
    threads: usize,
    tally: &mut Tally,
) -> Result<Vec<u8>, Trouble> {
    let source = Places { batch, table };
    let sweep = TableSweep::new(brief, &source, batch.variants(), asked, catalog)?;
    let rows = source.rows();
    let results = sweep.results(0..rows)?;
    let numbers = || vec![f64::NAN; results];
    let (mut row, mut build, mut category) = (vec![0; results], vec![0; results], vec![0; results]);
    let (mut loss, mut median, mut p10, mut p90) = (numbers(), numbers(), numbers(), numbers());
    let (mut probability, mut cost, mut score) = (numbers(), numbers(), numbers());
    let (mut met, mut blocked) = (vec![false; results], vec![false; results]);
    let (mut blocked_by, mut status) = (vec![NOT_BLOCKED; results], vec![0; results]);
    let slices = ResultSlices {
        row: &mut row,
        build: &mut build,
        category: &mut category,
        first_year_loss_um: &mut loss,
        median_years: &mut median,
        p10_years: &mut p10,
        p90_years: &mut p90,
        probability_ok: &mut probability,
        cost_per_thousand: &mut cost,
        score: &mut score,
        met: &mut met,
        blocked: &mut blocked,
        blocked_by: &mut blocked_by,
        row_status: &mut status,
        burden: &mut [],
        dangers: &mut [],
    };
    sweep.run(0..rows, slices, threads)?;
    let blockers = sweep.blockers();
    let mut of_row = vec![0; rows];
    for result in 0..results {
        fn at<T: Copy + Default>(column: &[T], result: usize) -> T {
            column.get(result).copied().unwrap_or_default()
        }
        let (place, status) = (at(&row, result) as usize, at(&status, result));
        let Some((_, cells)) = batch.lines.get(place) else { continue };
        if let Some(of_row) = of_row.get_mut(place) {
            *of_row = status;
        }
        let known = has_result(status);
        let number = |column: &[f64]| match column.get(result) {
            Some(x) if known && !x.is_nan() => x.to_string(),
            _ => String::new(),
        };
        let build = sweep.builds().get(usize::from(at(&build, result)));
        let word = |of: fn(&Build) -> String| build.map_or_else(String::new, of);
        let truth = |column: &[bool]| if known { at(column, result).to_string() } else { String::new() };
        let category = Category::ALL.get(usize::from(at(&category, result))).filter(|_| known);
        let rules = blockers.get(usize::from(at(&blocked_by, result)));
        let found = [
            word(ToString::to_string),
            word(|build| build.base_metal.clone()),
            word(|build| build.treatment.clone()),
            word(|build| build.films.join(" + ")),
            category.map_or_else(String::new, ToString::to_string),
            number(&loss),
            number(&median),
            number(&p10),
            number(&p90),
            number(&probability),
            number(&cost),
            if known { sweep.currency().to_owned() } else { String::new() },
            number(&score),
            truth(&met),
            truth(&blocked),
            rules.filter(|_| known).cloned().unwrap_or_default(),
            word_of(status),
        ];
        let own: Vec<Vec<u8>> = cells.iter().map(without_formula).collect();
        out.write(own.iter().map(Vec::as_slice).chain(found.iter().map(String::as_bytes)))?;
        tally.results += 1;
    }
    for found in sweep.remarks(|place| of_row.get(place).is_some_and(|status| has_result(*status))) {
        let row = batch.lines.get(found.row).map_or(found.row, |(row, _)| *row);
        RowRemark { row, ..found }.add_to(&mut tally.remarks);
    }
    if !tally.met_a_result
        && let Some(place) = of_row.iter().position(|status| has_result(*status))
        && let Some((row, _)) = batch.lines.get(place)
    {
        tally.met_a_result = true;
        let said = sweep.untold(place)?.into_iter();
        tally.untold = said.map(|remark| RowRemark { remark, row: *row, rows: 1 }).collect();
    }
    Ok(of_row)
}

/// A cell with an apostrophe before what a spreadsheet would run as a formula; numbers stay as they are.
fn without_formula(cell: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(cell);
    let formula = text.trim_start().starts_with(['=', '+', '-', '@']) || text.starts_with(['\t', '\r', '\n']);
    if formula && text.trim().parse::<f64>().is_err() { [b"'", cell].concat() } else { cell.to_vec() }
}

/// A name of a column that the table does not have: a side file swept again brings its own `row` and `reason`.
fn free_name(name: &str, header: &ByteRecord) -> String {
    let is_free = |name: &String| !header.iter().any(|own| own == name.as_bytes());
    let numbered = (2..).map(|number| format!("{name}_{number}"));
    std::iter::once(name.to_owned()).chain(numbered).find(is_free).unwrap_or_default()
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
        let own = ["row", "reason"].map(|name| free_name(name, header));
        sink.write(own.iter().map(String::as_bytes).chain(header.iter()))?;
        *bad = Some(sink);
    }
    let Some(sink) = bad else { return Ok(()) };
    // as errors and remarks count them
    let row = (row + 1).to_string();
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
