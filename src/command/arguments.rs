//! What can be typed, with its help.

use std::path::PathBuf;

use crate::report::read_date;
use clap::{Args, Parser, Subcommand, ValueEnum};

/// Black finish to order for a part at a site: the ranked options, the reasons, and the probability that it lasts.
///
/// An inquiry is a brief, a JSON file: the part, its duty, the wants. `overcoat start` writes a first one.
#[derive(Debug, Parser)]
#[command(name = "overcoat", version, max_term_width = 100, after_help = AFTER_HELP, arg_required_else_help = false)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

const AFTER_HELP: &str = "\
Examples:
  overcoat start deck.json                                a first brief, from a few questions
  overcoat rank deck.json                                 what to order, on one screen
  overcoat rank deck.json --format html --out deck.html   a page to mail and to print
  overcoat papers deck.json                               route, order note, acceptance plan
  overcoat COMMAND --help                                 examples of each command

Exit codes:
  0  answered, whether or not an option meets the target (`met` in the JSON says which)
  2  invalid usage or input, or disk full; stderr says what is wrong and how to fix it
  3  swept, but some rows are bad or outside validity, where --strict is set
  1  a fault of the program
  130, 143  interrupted by Ctrl-C, terminated: output files are as they were before

Completion of commands and options by the Tab key, for bash, zsh, fish, elvish and powershell:
  overcoat completions bash > ~/.local/share/bash-completion/completions/overcoat

Colors go to a terminal only, and not where NO_COLOR is set.

Salt-spray hours are not service life. Leave hard and safety-critical joints, hot caustic and acid
baths to qualified people; local codes decide.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Rank the finishes for the inquiry in each BRIEF.
    #[command(after_help = RANK_HELP)]
    Rank(Rank),
    /// Write a first BRIEF from a few answers, and answer it.
    #[command(after_help = START_HELP)]
    Start(Start),
    /// Show the finishes at every place for given years, as one table of probabilities.
    #[command(after_help = CHART_HELP)]
    Chart(ChartOf),
    /// Compute every option at every place of a table, however long.
    #[command(after_help = SWEEP_HELP)]
    Sweep(SweepOf),
    /// Print route, order note and acceptance plan of an option.
    #[command(after_help = PAPERS_HELP)]
    Papers(Papers),
    /// Print time of wetness, means and gaps of an hourly RECORD.
    #[command(after_help = WETNESS_HELP)]
    Wetness(Wetness),
    /// Print every source that answers are based on, with its evidence grade, and the observations.
    #[command(after_help = SOURCES_HELP)]
    Sources(Sources),
    /// Print the JSON Schema of a DOCUMENT, or its fields in words.
    #[command(after_help = SCHEMA_HELP)]
    Schema(Schema),
    /// Fit the salt-spray hours of a film to the panels in LOG.
    #[command(after_help = FIT_HELP)]
    Fit(Fit),
    /// Compare the predicted years with parts in the field in RECORDS.
    #[command(after_help = BACKTEST_HELP)]
    Backtest(Backtest),
    /// Print a script that completes commands and options by the Tab key.
    #[command(after_help = COMPLETIONS_HELP)]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
}

/// A catalog beside the built-in one.
#[derive(Debug, Args)]
pub(super) struct Catalogs {
    /// A catalog with your own values (JSON) that extends the built-in one.
    #[arg(long = "catalog", value_name = "FILE")]
    pub(super) catalog: Option<PathBuf>,
}

const RANK_HELP: &str = r#"BRIEF is a JSON file in the form of `overcoat schema brief`. Numbers are in the unit that ends the
name of their field, or text with a unit: "285 °F", "0.4 mil", "1 1/2 in", "18 months".

A small brief, deck.json:
  {"schema": "overcoat.brief.v1", "name": "deck fitting",
   "part": {"form": "bracket", "mass_g": "6 oz", "surface_dm2": 1.3},
   "duty": {"place": "coastal", "required_years": 5}}

Examples:
  overcoat rank deck.json
  overcoat rank deck.json --why-not                      what is ruled out, by reason
  overcoat rank deck.json --catalog mine.json            with prices and records of your own
  overcoat rank deck.json --format html --out deck.html
  overcoat rank deck.json --json | jq .verdict"#;

/// Rank the finishes for an inquiry.
#[derive(Debug, Args)]
#[expect(clippy::struct_excessive_bools, reason = "one for each switch")]
pub(super) struct Rank {
    /// The inquiry; several are answered one after the other, in words or as lines of JSON.
    #[arg(value_name = "BRIEF", required = true)]
    pub(super) briefs: Vec<PathBuf>,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// One screen, JSON (overcoat.ranking.v1), or one self-contained page [default: table]
    #[arg(long, value_enum, value_name = "FORM")]
    pub(super) format: Option<RankForm>,
    /// Short for --format json.
    #[arg(long, conflicts_with = "format")]
    pub(super) json: bool,
    /// Write to this file.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Options to show [default: as many as fit one screen]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub(super) top: Option<u32>,
    /// Every requirement and caution on the option to order, with remedy and source, and the limits of #1.
    #[arg(long)]
    pub(super) why: bool,
    /// What is ruled out, by reason.
    #[arg(long)]
    pub(super) why_not: bool,
    /// Every assumption.
    #[arg(long)]
    pub(super) assumed: bool,
    /// Revision of the inquiry, for the page.
    #[arg(long, value_name = "TEXT")]
    pub(super) revision: Option<String>,
    /// Date of the page [default: today]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = read_date)]
    pub(super) date: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum RankForm {
    Table,
    Json,
    Html,
}

const PAPERS_HELP: &str = "\
Examples:
  overcoat papers deck.json                                of the first option
  overcoat papers deck.json --build 9                      of option 9 of the ranking
  overcoat papers deck.json --build \"steel_5_8 / hot_alkaline / hard_wax\"
  overcoat papers deck.json --units inch --out order.txt
  overcoat papers deck.json --format html --out order.html
  overcoat papers deck.json --json --out order.json        to fill each `answer` that is open
  overcoat papers order.json --revision B                  the filled papers, printed again";

/// Print the papers of an option.
#[derive(Debug, Args)]
pub(super) struct Papers {
    /// The inquiry, or papers as JSON whose open fields were filled.
    #[arg(value_name = "BRIEF")]
    pub(super) brief: PathBuf,
    /// Number of an option, or BASE_METAL / TREATMENT / FILM + FILM [default: the option to order]
    #[arg(long, value_name = "BUILD")]
    pub(super) build: Option<String>,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// Units of the papers [default: those of the thread]
    #[arg(long, value_enum)]
    pub(super) units: Option<UnitSystem>,
    /// Text to read, JSON (overcoat.papers.v2), or one self-contained page [default: text]
    #[arg(long, value_enum, value_name = "FORM")]
    pub(super) format: Option<PapersForm>,
    /// Short for --format json.
    #[arg(long, conflicts_with = "format")]
    pub(super) json: bool,
    /// Write to this file.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Revision that the papers carry.
    #[arg(long, value_name = "TEXT")]
    pub(super) revision: Option<String>,
    /// Date that the papers carry [default: today on a page, left open in text and JSON]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = read_date)]
    pub(super) date: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum PapersForm {
    Text,
    Json,
    Html,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum UnitSystem {
    Metric,
    Inch,
}

const START_HELP: &str = "\
In a terminal it asks what no option says, in the words of the industry: \"A4\", \"sea\", \"bolt\"; ? explains.
It also asks for heat, the metal in contact, the present finish and whether people depend on the part.
What you do not know stays out of the brief; the answer says what it assumed instead.

Examples:
  overcoat start deck.json
  overcoat start deck.json --form bracket --place coastal --years 5 --mass \"6 oz\"";

/// A first brief.
#[derive(Debug, Args)]
pub(super) struct Start {
    /// The file to write.
    #[arg(value_name = "BRIEF")]
    pub(super) brief: PathBuf,
    /// Name of the inquiry.
    #[arg(long, value_name = "TEXT")]
    pub(super) name: Option<String>,
    /// Kind of part, such as bracket, bolt or nut.
    #[arg(long, value_name = "FORM")]
    pub(super) form: Option<String>,
    /// Base metal, such as 8.8, "Grade 8", A4 or 304 [default: the usual ones are compared]
    #[arg(long, value_name = "METAL")]
    pub(super) base_metal: Option<String>,
    /// Thread, such as M8, M10x1.25, "M8 x 30" or 1/4-20 UNC.
    #[arg(long, value_name = "THREAD")]
    pub(super) thread: Option<String>,
    /// Length under the head, in mm or with a unit.
    #[arg(long, value_name = "LENGTH")]
    pub(super) length: Option<String>,
    /// Mass of one piece, in g or with a unit.
    #[arg(long, value_name = "MASS")]
    pub(super) mass: Option<String>,
    /// Surface of one piece, in dm² or with a unit.
    #[arg(long, value_name = "AREA")]
    pub(super) surface: Option<String>,
    /// Pieces in the lot.
    #[arg(long, value_name = "N")]
    pub(super) pieces: Option<String>,
    /// Site, such as sea, city, "truck in winter" or C5.
    #[arg(long, value_name = "PLACE")]
    pub(super) place: Option<String>,
    /// Years without rust, or text with a unit, such as "18 months".
    #[arg(long, value_name = "YEARS", allow_hyphen_values = true)]
    pub(super) years: Option<String>,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
}

const CHART_HELP: &str = "\
Without a BRIEF it is about no part in particular: plain steel, usual black oxide, every coat system.

Examples:
  overcoat chart --years 5
  overcoat chart deck.json --format html --out chart.html      a heat map to pin to the wall
  overcoat chart deck.json --place coastal --place splash --json";

/// The chart of choices.
#[derive(Debug, Args)]
pub(super) struct ChartOf {
    /// Brings the part, the wants and the years.
    #[arg(value_name = "BRIEF")]
    pub(super) brief: Option<PathBuf>,
    /// Required years, or text with a unit, such as "18 months" [default: those of the brief, or 5]
    #[arg(long, value_name = "YEARS", allow_hyphen_values = true)]
    pub(super) years: Option<String>,
    /// A place, such as coastal, sea or "truck in winter"; can be repeated [default: all, mildest first]
    #[arg(long = "place", value_name = "PLACE")]
    pub(super) places: Vec<String>,
    /// BASE_METAL / TREATMENT / FILM + FILM; can be repeated [default: usual finishes]
    #[arg(long = "build", value_name = "BUILD")]
    pub(super) builds: Vec<String>,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// A table, JSON, or one page with a heat map [default: table]
    #[arg(long, value_enum, value_name = "FORM")]
    pub(super) format: Option<ChartForm>,
    /// Short for --format json.
    #[arg(long, conflicts_with = "format")]
    pub(super) json: bool,
    /// Write to this file.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Date of the page [default: today]
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = read_date)]
    pub(super) date: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum ChartForm {
    Table,
    Json,
    Html,
}

const SWEEP_HELP: &str = "\
SITES is a .csv file with the columns temperature_c, relative_humidity_pct, so2_mg_m2_day and
chloride_mg_m2_day, and, where they differ by row, required_years and shelter (open, sheltered,
indoor). Other columns are carried over. OUT has a line for each place and option.

Bad rows stop nothing. They are listed in OUT.bad-rows.csv with their row (from 1), the reason and
their cells: correct them there, delete the columns row and reason, and sweep that file.

Text that a spreadsheet would run as a formula gets an apostrophe before it. Parquet and Arrow
files: install the Python package (pip install \".[frames]\" in a clone) and call overcoat.sweep_file.

Examples:
  overcoat sweep sites.csv --out finishes.csv --best-only      the finish for each place
  overcoat sweep sites.csv --out all.csv --brief deck.json --catalog mine.json
  overcoat sweep sites.csv --out two.csv --build \"steel_4_6 / hot_alkaline / hard_wax\"
  overcoat sweep sites.csv --out finishes.csv --strict --json | jq .bad_rows";

/// A table of places.
#[derive(Debug, Args)]
pub(super) struct SweepOf {
    /// The table of places.
    #[arg(value_name = "SITES")]
    pub(super) sites: PathBuf,
    /// File of results; whole or not written.
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
    /// Brings the part, the wants and what is not a column [default: plain steel, 5 years]
    #[arg(long, value_name = "FILE")]
    pub(super) brief: Option<PathBuf>,
    /// BASE_METAL / TREATMENT / FILM + FILM; can be repeated [default: those that `rank` tries]
    #[arg(long = "build", value_name = "BUILD")]
    pub(super) builds: Vec<String>,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// Keep the best option of each row.
    #[arg(long)]
    pub(super) best_only: bool,
    /// Threads to use [default: all processors]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub(super) threads: Option<u32>,
    /// Rows at a time [default: half a million results]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub(super) batch_rows: Option<u32>,
    /// Exit code 3 where a row is bad or outside the validity of the dose response.
    #[arg(long)]
    pub(super) strict: bool,
    /// Print counts, time and files as JSON.
    #[arg(long)]
    pub(super) json: bool,
}

const WETNESS_HELP: &str = "\
RECORD is a .csv or an .epw file. A CSV file has the columns temperature_c and
relative_humidity_pct, one row an hour; empty fields are gaps. A column `time` reveals missing rows.

Examples:
  overcoat wetness site.csv
  overcoat wetness station.epw --json";

/// Time of wetness of a record.
#[derive(Debug, Args)]
pub(super) struct Wetness {
    /// The hourly record.
    #[arg(value_name = "RECORD")]
    pub(super) record: PathBuf,
    /// JSON output.
    #[arg(long)]
    pub(super) json: bool,
}

const SOURCES_HELP: &str = "\
Examples:
  overcoat sources
  overcoat sources --catalog mine.json | grep assumption   what no text supports
  overcoat sources | grep \"salt spray\"                    what was seen in the cabinet";

/// Sources of the catalog.
#[derive(Debug, Args)]
pub(super) struct Sources {
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// JSON output.
    #[arg(long)]
    pub(super) json: bool,
}

const SCHEMA_HELP: &str = "\
Examples:
  overcoat schema brief --fields                 what a brief can say
  overcoat schema brief > brief.schema.json      for an editor that checks as you type";

/// A schema.
#[derive(Debug, Args)]
pub(super) struct Schema {
    /// The document.
    #[arg(value_enum, value_name = "DOCUMENT")]
    pub(super) document: Document,
    /// A list of the fields in words instead.
    #[arg(long)]
    pub(super) fields: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Document {
    Brief,
    Catalog,
    Ranking,
    Papers,
}

const FIT_HELP: &str = "\
LOG is a CSV file, a row per panel: hours, outcome (failed, intact, between) or failed, until_hours,
and where known film, treatment, lot, cabinet, weight. It prints the catalog value before, the
records alone, and the value after: three panels do not overturn the catalog, thirty do.

Examples:
  overcoat fit log.csv --film hard_wax
  overcoat fit log.csv --film hard_wax --out mine.json --from 2026-01 --to 2026-06
  overcoat rank deck.json --catalog mine.json";

/// Fit a log of panels.
#[derive(Debug, Args)]
pub(super) struct Fit {
    /// The log of panels.
    #[arg(value_name = "LOG")]
    pub(super) log: PathBuf,
    /// The film of the log, where it names several.
    #[arg(long, value_name = "FILM")]
    pub(super) film: Option<String>,
    /// The distribution to fit.
    #[arg(long, value_enum, default_value = "lognormal")]
    pub(super) distribution: FittedShape,
    /// Confidence of the bounds.
    #[arg(long, value_name = "SHARE", default_value_t = 0.9)]
    pub(super) confidence: f64,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// Write a catalog with the value learned to this file.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Name of that catalog.
    #[arg(long, value_name = "TEXT", default_value = "own records")]
    pub(super) name: String,
    /// First date of the records.
    #[arg(long, value_name = "DATE", default_value = "not dated")]
    pub(super) from: String,
    /// Last date of the records.
    #[arg(long, value_name = "DATE", default_value = "not dated")]
    pub(super) to: String,
    /// JSON output.
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum FittedShape {
    Lognormal,
    Weibull,
}

const BACKTEST_HELP: &str = "\
RECORDS is a CSV file, a row per part: base_metal, treatment, films (joined by \"+\"); years with
outcome (failed, intact, between) and until_years; fields of a duty, such as place, shelter,
rain_washed or first_year_steel_loss_um; and where known weight and site.

Beside the outlook it shows two naive predictions: salt-spray hours at face value, and the
corrosivity category alone. Its picture comes from Python: overcoat.plots.calibration.

Examples:
  overcoat backtest returns.csv
  overcoat backtest returns.csv --catalog mine.json        with your own records in the catalog";

/// Judge predictions by parts in the field.
#[derive(Debug, Args)]
pub(super) struct Backtest {
    /// Parts in the field.
    #[arg(value_name = "RECORDS")]
    pub(super) records: PathBuf,
    #[command(flatten)]
    pub(super) catalogs: Catalogs,
    /// JSON output, one entry per row.
    #[arg(long)]
    pub(super) json: bool,
}

const COMPLETIONS_HELP: &str = "\
Examples:
  overcoat completions bash > ~/.local/share/bash-completion/completions/overcoat
  overcoat completions zsh > ~/.zfunc/_overcoat
  overcoat completions fish > ~/.config/fish/completions/overcoat.fish";
