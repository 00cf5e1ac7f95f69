//! The command `overcoat` (feature `command`): one native program, the same in the Python package.
//!
//! | file | idea |
//! | --- | --- |
//! | `arguments` | what can be typed, with its help |
//! | `files` | files that are read whole, and written whole or not at all |
//! | `interrupt` | what a signal leaves |
//! | `answers` | ranking, papers |
//! | `start` | a first brief from a few questions |
//! | `chart` | the chart of choices |
//! | `sweep` | tables of places from CSV to CSV |
//! | `data` | wetness, sources, schemas, fits, backtests |
//!
//! [`run`] reads the words of a command line and returns an exit code: 0 answered, 2 input that cannot be used, 3 swept
//! with bad rows where `--strict` asks, 1 a fault of the program.

mod answers;
mod arguments;
mod chart;
mod data;
mod files;
mod interrupt;
mod start;
mod sweep;

use std::ffi::OsString;
use std::io::{self, BufRead, IsTerminal, Write};

use clap::Parser;
use clap::error::ErrorKind;

use arguments::{Arguments, Command};

/// What ends a command early.
#[derive(Debug)]
enum Trouble {
    /// Input that cannot be used, in one line with the remedy.
    Refused(String),
    /// The reader of the output has seen enough.
    ReaderGone,
}

impl From<crate::Error> for Trouble {
    fn from(error: crate::Error) -> Self {
        Self::Refused(error.to_string())
    }
}

type Outcome = Result<u8, Trouble>;

/// Where a command reads and writes.
struct Streams<'a> {
    input: &'a mut dyn BufRead,
    output: &'a mut dyn Write,
    errors: &'a mut dyn Write,
    /// Whether someone can answer questions.
    input_is_terminal: bool,
    /// Whether the output may have colors.
    color: bool,
    /// Columns of the output, where it is a terminal or `COLUMNS` says so.
    columns: Option<usize>,
    /// Whether progress may be shown on the error stream.
    errors_are_terminal: bool,
}

impl Streams<'_> {
    /// Prints a text to standard output.
    fn print(&mut self, text: &str) -> Result<(), Trouble> {
        let written = self.output.write_all(text.as_bytes()).and_then(|()| self.output.flush());
        written.map_err(|error| match error.kind() {
            io::ErrorKind::BrokenPipe => Trouble::ReaderGone,
            _ => Trouble::Refused(files::in_words("standard output", &error)),
        })
    }

    /// Says something on standard error; where that is closed, no one hears it.
    fn say(&mut self, text: &str) {
        let _ = writeln!(self.errors, "{text}");
    }
}

/// Columns of the output: those of `COLUMNS`, else of the terminal.
fn columns() -> Option<usize> {
    let stated = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    stated.or_else(|| terminal_size::terminal_size_of(io::stdout()).map(|(width, _)| usize::from(width.0)))
}

/// Runs a command line, its first word being the program, and returns the exit code.
pub fn run(words: impl IntoIterator<Item = OsString>) -> u8 {
    let (input, output, mut errors) = (io::stdin(), io::stdout(), io::stderr());
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let mut streams = Streams {
        input_is_terminal: input.is_terminal(),
        color: output.is_terminal() && !plain,
        columns: columns(),
        errors_are_terminal: errors.is_terminal(),
        input: &mut input.lock(),
        output: &mut output.lock(),
        // not locked: an interruption is said by another thread
        errors: &mut errors,
    };
    run_in(words, &mut streams)
}

fn run_in(words: impl IntoIterator<Item = OsString>, streams: &mut Streams) -> u8 {
    let outcome = match Arguments::try_parse_from(words) {
        Ok(arguments) => dispatch(arguments.command, streams),
        Err(error) => usage(&error, streams),
    };
    match outcome {
        Ok(code) => code,
        Err(Trouble::ReaderGone) => 0,
        Err(Trouble::Refused(message)) => {
            streams.say(&format!("Error: {message}"));
            2
        }
    }
}

/// Help and version go to standard output; a mistake in the words becomes one line.
fn usage(error: &clap::Error, streams: &mut Streams) -> Outcome {
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            streams.print(&error.render().to_string())?;
            return Ok(0);
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            return Err(Trouble::Refused("a command is missing. See overcoat --help.".to_owned()));
        }
        _ => {}
    }
    let text = error.render().to_string();
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let said = lines.take_while(|line| !line.starts_with("Usage:")).collect::<Vec<_>>().join(" ");
    let said =
        said.strip_prefix("error: ").unwrap_or(&said).trim_end_matches("For more information, try '--help'.");
    let said = said.trim().trim_end_matches('.');
    Err(Trouble::Refused(format!("{said}. See --help.")))
}

fn dispatch(command: Command, streams: &mut Streams) -> Outcome {
    match command {
        Command::Rank(asked) => answers::rank(&asked, streams),
        Command::Start(asked) => start::start(&asked, streams),
        Command::Chart(asked) => chart::chart(&asked, streams),
        Command::Sweep(asked) => sweep::sweep(&asked, streams),
        Command::Papers(asked) => answers::papers(&asked, streams),
        Command::Wetness(asked) => data::wetness(&asked, streams),
        Command::Sources(asked) => data::sources(&asked, streams),
        Command::Schema(asked) => data::schema(&asked, streams),
        Command::Fit(asked) => data::fit(&asked, streams),
        Command::Backtest(asked) => data::backtest(&asked, streams),
        Command::Completions { shell } => {
            let mut text = Vec::new();
            let mut program = <Arguments as clap::CommandFactory>::command();
            clap_complete::generate(shell, &mut program, "overcoat", &mut text);
            streams.print(&String::from_utf8_lossy(&text))?;
            Ok(0)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::{Path, PathBuf};

    /// Exit code, standard output and standard error of a command line.
    pub(super) fn ran(words: &[&str], typed: &str, in_terminal: bool) -> (u8, String, String) {
        let (mut output, mut errors) = (Vec::new(), Vec::new());
        let code = run_in(
            std::iter::once("overcoat").chain(words.iter().copied()).map(OsString::from),
            &mut Streams {
                input: &mut typed.as_bytes(),
                output: &mut output,
                errors: &mut errors,
                input_is_terminal: in_terminal,
                color: false,
                columns: None,
                errors_are_terminal: false,
            },
        );
        (code, String::from_utf8(output).unwrap(), String::from_utf8(errors).unwrap())
    }

    pub(super) fn succeeds(words: &[&str]) -> String {
        let (code, output, errors) = ran(words, "", false);
        assert_eq!(code, 0, "{words:?}: {errors}");
        output
    }

    /// Standard error of a refusal: exit code 2, one line, nothing on standard output.
    pub(super) fn refuses(words: &[&str]) -> String {
        let (code, output, errors) = ran(words, "", false);
        assert_eq!((code, output.as_str()), (2, ""), "{words:?}");
        assert!(errors.starts_with("Error: ") && errors.ends_with('\n'), "{errors}");
        assert_eq!(errors.matches('\n').count(), 1, "{errors}");
        errors
    }

    pub(super) fn demo(name: &str) -> String {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name).display().to_string()
    }

    /// A folder that goes away with the test.
    pub(super) struct Folder(PathBuf);

    impl Folder {
        pub(super) fn new(name: &str) -> Self {
            let path = std::env::temp_dir().join(format!("overcoat-{name}-{}", std::process::id()));
            let _ = std::fs::remove_dir_all(&path);
            std::fs::create_dir_all(&path).unwrap();
            Self(path)
        }

        pub(super) fn at(&self, name: &str) -> String {
            self.0.join(name).display().to_string()
        }

        pub(super) fn with(&self, name: &str, text: &str) -> String {
            std::fs::write(self.0.join(name), text).unwrap();
            self.at(name)
        }

        pub(super) fn names(&self) -> Vec<String> {
            let mut names: Vec<String> = std::fs::read_dir(&self.0)
                .unwrap()
                .map(|entry| entry.unwrap().file_name().into_string().unwrap())
                .collect();
            names.sort();
            names
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }

    #[test]
    fn help_says_what_each_command_and_option_does_and_shows_it_at_work() {
        let mut program = <Arguments as clap::CommandFactory>::command();
        program.clone().debug_assert();
        assert!(succeeds(&["--version"]).contains(env!("CARGO_PKG_VERSION")));
        let general = succeeds(&["--help"]);
        for words in ["Exit codes:", "0  answered", "NO_COLOR", "overcoat completions bash"] {
            assert!(general.contains(words), "{words}");
        }
        for command in program.get_subcommands_mut() {
            let name = command.get_name().to_owned();
            let help = succeeds(&[&name, "--help"]);
            assert!(general.contains(&name) && help.contains("Examples:"), "{name}");
            assert!(help.lines().all(|line| line.chars().count() <= 100), "{help}");
            let known: Vec<String> =
                command.get_arguments().filter_map(|a| Some(format!("--{}", a.get_long()?))).collect();
            for line in help.lines().map(str::trim).filter(|line| line.starts_with("overcoat ")) {
                let typed = line.split("  ").next().unwrap().split(['|', '>']).next().unwrap();
                for option in typed.split_whitespace().filter(|word| word.starts_with("--")) {
                    let other = !typed.starts_with(&format!("overcoat {name}"));
                    assert!(other || known.contains(&option.to_owned()), "{line}");
                }
            }
            for argument in command.get_arguments() {
                assert!(argument.get_help().is_some(), "{name} {}", argument.get_id());
            }
        }
    }

    #[test]
    fn mistakes_in_the_words_are_one_line() {
        let deck = demo("briefs/deck-fitting.json");
        for (words, said) in [
            (vec!["rnak", &deck], "rank"),
            (vec!["rank"], "<BRIEF>"),
            (vec!["rank", &deck, "--format", "pdf"], "pdf"),
            (vec!["rank", &deck, "--top", "0"], "0"),
            (vec!["rank", &deck, "--json", "--format", "html"], "--json"),
            (vec!["schema", "briefs"], "brief"),
            (vec![], "command"),
        ] {
            assert!(refuses(&words).contains(said), "{words:?}: {}", refuses(&words));
        }
    }

    #[test]
    fn a_ranking_is_words_or_the_ranking_itself() {
        let deck = demo("briefs/deck-fitting.json");
        let table = succeeds(&["rank", &deck]);
        assert!(table.starts_with("Deck fitting for a small leisure boat\n"));
        let ranking = crate::rank::Ranking::from_json(&succeeds(&["rank", &deck, "--json"])).unwrap();
        assert_eq!(ranking.brief.name, "Deck fitting for a small leisure boat");
        let priced = succeeds(&["rank", &deck, "--catalog", &demo("workshop_catalog.json")]);
        let words = priced.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("EUR") && words.contains("from your catalog"), "{priced}");
    }

    #[test]
    fn a_file_is_whole_or_absent() {
        let folder = Folder::new("whole");
        let out = folder.at("answer.json");
        assert!(refuses(&["rank", "absent.json", "--json", "--out", &out]).contains("absent.json"));
        assert!(folder.names().is_empty());
        let deck = demo("briefs/deck-fitting.json");
        for _ in 0..2 {
            let (code, output, errors) = ran(&["rank", &deck, "--json", "--out", &out], "", false);
            assert_eq!((code, output.as_str(), errors), (0, "", format!("written: {out}\n")));
            assert_eq!(folder.names(), ["answer.json"]);
            assert_eq!(std::fs::read_to_string(&out).unwrap(), succeeds(&["rank", &deck, "--json"]));
        }
        assert!(refuses(&["rank", &deck, "--out", &folder.at("")]).contains("folder"));
        assert!(refuses(&["rank", &deck, "--out", &folder.at("absent/answer.txt")]).contains("absent"));
    }

    #[test]
    fn in_a_terminal_it_asks_until_an_answer_can_be_used() {
        let folder = Folder::new("asked");
        let brief = folder.at("mine.json");
        let typed = "?\nbolts\n8\nGrade 8\n\nM8\n30\n1.5\n1,500\nsea\n\n\n18 months\n\n\nrail\n";
        let (code, output, errors) = ran(&["start", &brief], typed, true);
        assert_eq!(code, 0, "{output}{errors}");
        assert!(output.contains("hex head screw or bolt") && output.contains("Pieces in the lot: "));
        let written: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(&brief).unwrap()).unwrap();
        let part = serde_json::json!({
            "form": "hexagon_head_screw", "base_metal": "Grade 8", "thread": "M8", "length_mm": 30, "lot_pieces": 1500,
        });
        assert_eq!(written["part"], part);
        assert_eq!(written["duty"], serde_json::json!({"place": "coastal", "required_years": "18 months"}));
        assert_eq!((&written["name"], written.get("remarks")), (&"rail".into(), None));
    }

    /// As sizes, sites and parts are called in an inquiry.
    #[test]
    fn start_takes_the_words_of_an_inquiry() {
        let folder = Folder::new("words");
        let written = |name: &str, typed: &[&str]| -> serde_json::Value {
            let brief = folder.at(name);
            let (code, output, errors) = ran(&["start", &brief], &(typed.join("\n") + "\n"), true);
            assert_eq!(code, 0, "{output}{errors}");
            serde_json::from_str(&std::fs::read_to_string(&brief).unwrap()).unwrap()
        };
        let screw =
            written("screw", &["cap screws", "A4-80", "M8 x 30", "", "ISO 9223 C5", "", "", "", "", "", ""]);
        assert_eq!(screw["part"]["base_metal"], "A4-80");
        assert_eq!((&screw["part"]["thread"], &screw["part"]["length_mm"]), (&"M8".into(), &30.into()));
        assert_eq!(screw["duty"]["corrosivity"], "C5");
        assert_eq!(screw["duty"].get("place"), None);
        assert_eq!(screw["name"], "cap screws");
        let inch = written(
            "inch",
            &["shcs", "17-4 PH", "1/4-20 x 1", "", "truck in winter", "", "", "2", "", "", ""],
        );
        assert_eq!((&inch["part"]["thread"], &inch["part"]["length_mm"]), (&"1/4-20".into(), &"1 in".into()));
        assert_eq!(inch["duty"]["place"], "road_salt");
        let spring = written(
            "spring",
            &["lock washer", "", "", "M8", "2", "0.1", "", "near the sea", "", "", "1", "", "food", ""],
        );
        assert_eq!(
            (&spring["part"]["form"], &spring["name"], &spring["remarks"]),
            (&"other".into(), &"lock washer".into(), &"food".into())
        );
        // under a name of its own, what it is called stands in the remarks
        let hinge = written(
            "hinge",
            &["gate hinge", "SS316", "1 lb", "6 x 4 x 0.2 in", "", "lake", "", "", "1", "", "", "job 7"],
        );
        assert_eq!((&hinge["name"], &hinge["remarks"]), (&"job 7".into(), &"gate hinge".into()));
        assert_eq!((&hinge["part"]["form"], &hinge["duty"]["place"]), (&"bracket".into(), &"lake".into()));
        // 2·(6·4 + 4·0.2 + 0.2·6) = 52 in² of 0.064516 dm²
        assert_eq!(hinge["part"]["surface_dm2"], "3.355 dm²");
        let far = folder.at("far");
        let (code, output, errors) =
            ran(&["start", &far, "--place", "2 km from the sea", "--years", "5"], "", false);
        assert_eq!(code, 0, "{output}{errors}");
        let far: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(&far).unwrap()).unwrap();
        assert_eq!(far["duty"]["place"], "coastal");
        assert_eq!(far["duty"]["sea_distance_m"], "2 km");
    }

    /// Enter takes a metal or a place that the first answer names, or asks back; what is typed goes before it.
    #[test]
    fn words_of_the_first_answer_are_offered_and_told() {
        let folder = Folder::new("offered");
        let asked = |name: &str, typed: &[&str]| -> (serde_json::Value, String) {
            let brief = folder.at(name);
            let (code, output, errors) =
                ran(&["start", &brief], &(typed.join("\n") + &"\n".repeat(20)), true);
            assert_eq!(code, 0, "{output}{errors}");
            let (before, _) = output.split_once("Anything special").unwrap();
            (serde_json::from_str(&std::fs::read_to_string(&brief).unwrap()).unwrap(), before.to_owned())
        };
        let has = |said: &str, all: &[&str]| {
            for words in all {
                assert!(said.contains(words), "{words}: {said}");
            }
        };
        // one of the stainless steels is asked for, the boat is one place
        let screws = ["stainless screws for a boat", "?", "1", "", "316"];
        let (boat, said) = asked("boat", &screws);
        assert_eq!(
            (&boat["name"], &boat["part"]["base_metal"], &boat["duty"]["place"], boat.get("remarks")),
            (&screws[0].into(), &"316".into(), &"coastal".into(), None)
        );
        assert_eq!(boat["part"]["form"], "hexagon_head_screw");
        has(
            &said,
            &["[\"stainless\"]:", "\"stainless\" can be any of these:", "[\"boat\"]:", ", from \"boat\""],
        );
        // a second Enter compares the stainless steels, and no carbon steel
        let enter = ["stainless screws for a boat"];
        let (open, said) = asked("open", &enter);
        assert_eq!((&open["name"], &open["duty"]["place"]), (&enter[0].into(), &"coastal".into()));
        let others = open["wants"]["other_base_metals"].as_array().unwrap();
        let metals: Vec<&str> =
            others.iter().chain([&open["part"]["base_metal"]]).map(|key| key.as_str().unwrap()).collect();
        assert!(metals.len() > 1 && metals.iter().all(|key| !key.starts_with("steel_")), "{metals:?}");
        has(&said, &["Compared: "]);
        // the heat that it names is that of the duty
        let (exhaust, said) = asked("exhaust", &["bracket for an exhaust, 600F"]);
        assert_eq!(exhaust["duty"]["heat_continuous_c"], "600 °F");
        has(&said, &["[\"600F\"]:"]);
        // a site that is not judged stays in the brief, whatever is assumed or chosen instead
        for (name, site, place) in [("bath", "", "urban"), ("baths", "inside\n1", "indoor_heated")] {
            let (bath, _) = asked(name, &["button head", "A2-70", "M6", "20", "", "pool", site]);
            assert_eq!(bath["duty"]["place"], place);
            let remarks = bath["remarks"].as_str().unwrap();
            assert!(remarks.contains("entered as the site: pool"), "{remarks}");
            assert_eq!(remarks.contains("a city was assumed"), place == "urban", "{remarks}");
            let answer = succeeds(&["rank", &folder.at(name)]);
            assert!(answer.to_lowercase().contains("pool atmosphere"), "{answer}");
        }
        // one metal; two places are asked back, and the city is told where neither is chosen
        let two = ["A4 brackets for a truck at sea"];
        let (truck, said) = asked("truck", &two);
        assert_eq!(truck["part"]["base_metal"], "A4");
        assert_eq!(truck["duty"]["place"], "urban");
        has(&said, &[", from \"A4\"", "\"truck ... sea\" can be any of these:"]);
        // what is typed counts, and what a part is fastened to is not what it is made of
        let (typed, said) =
            asked("typed", &["boat bolts for aluminum", "8.8", "", "M8", "30", "", "", "", "heated room"]);
        assert_eq!(
            (&typed["part"]["base_metal"], &typed["duty"]["place"]),
            (&"8.8".into(), &"indoor_heated".into())
        );
        assert!(!said.contains("[\"aluminum\"]"), "{said}");
        let (unknown, said) =
            asked("unknown", &["brass bracket for a truck", "not sure", "", "", "", "", "no idea"]);
        assert_eq!((unknown["part"].get("base_metal"), &unknown["duty"]["place"]), (None, &"urban".into()));
        has(&said, &["[\"brass\"]:", "Not known: the usual metals are compared.", "Assumed: a city."]);
    }

    /// What is asked, typed and written, or said back.
    #[test]
    fn start_asks_for_heat_contact_finish_and_people() {
        let folder = Folder::new("judged");
        let asked = |name: &str, typed: &[&str]| -> (serde_json::Value, String) {
            let brief = folder.at(name);
            let (code, output, errors) = ran(&["start", &brief], &(typed.join("\n") + "\n"), true);
            assert_eq!(code, 0, "{output}{errors}");
            (serde_json::from_str(&std::fs::read_to_string(&brief).unwrap()).unwrap(), output)
        };
        let (bolt, said) = asked(
            "bolt",
            &[
                "hex head bolt",
                "galvanized",
                "8.8",
                "galvanized",
                "2",
                "3/8",
                "3/8 x 4",
                "5/16\"-18 x 2",
                "100 pcs",
                "outside",
                "9",
                "5",
                "300",
                "300F",
                "aluminum and zinc plated",
                "ten",
                "10",
                "yes",
                "no",
                "",
                "",
            ],
        );
        let part = serde_json::json!({
            "form": "hexagon_head_screw", "base_metal": "8.8", "present_finish": "hot_dip_zinc", "thread": "5/16\"-18",
            "length_mm": "2 in", "lot_pieces": 100, "safety_critical": true,
        });
        assert_eq!(bolt["part"], part);
        let duty = serde_json::json!({
            "place": "road_salt", "heat_continuous_c": "300 °F", "mating_metals": ["aluminium", "zinc_plated_steel"],
            "required_years": 10,
        });
        assert_eq!(bolt["duty"], duty);
        for words in [
            "a finish, not a metal",
            "3/8-16 UNC (coarse) or 3/8-24 UNF (fine)",
            "The list has the numbers 1 to 5.",
            "°C or °F?",
            "a number of years, such as 10",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
        assert!(!said.contains("`duty.") && !said.contains("invalid type"), "{said}");
        // a remark that a field should hold is asked about, and none of the ways to say "not known" is written
        let (plate, said) = asked(
            "plate",
            &[
                "bracket",
                "I don't know",
                "none",
                "n/a",
                "-",
                "unknown",
                "",
                "no idea",
                "N/A",
                "",
                "no",
                "hot, 300C, on copper",
                "300 °C",
                "copper",
                "",
            ],
        );
        assert!(said.contains("You wrote \"300C\".") && said.contains("You wrote \"copper\"."), "{said}");
        assert_eq!(plate["part"], serde_json::json!({"form": "bracket"}));
        assert_eq!(plate["duty"]["heat_continuous_c"], "300 °C");
        assert_eq!(plate["duty"]["mating_metals"], serde_json::json!(["copper"]));
        assert_eq!(plate["remarks"], "site not stated: a city was assumed; hot, 300C, on copper");
    }

    /// A part by the last words that are known, an ambiguous one asked back.
    #[test]
    fn a_part_is_known_by_its_last_words() {
        let folder = Folder::new("kinds");
        let form = |typed: &str| -> String {
            let brief = folder.at("mine.json");
            let (code, output, errors) =
                ran(&["start", &brief, "--form", typed, "--place", "sea", "--years", "5"], "", false);
            assert_eq!(code, 0, "{output}{errors}");
            let text = std::fs::read_to_string(&brief).unwrap();
            std::fs::remove_file(&brief).unwrap();
            let read: serde_json::Value = serde_json::from_str(&text).unwrap();
            assert_eq!(read["name"], typed);
            read["part"]["form"].as_str().unwrap().to_owned()
        };
        for (typed, key) in [
            ("hex head bolts", "hexagon_head_screw"),
            ("flange bolt", "hexagon_head_screw"),
            ("stud bolt", "other"),
            ("lifting eye bolt", "other"),
            ("allen bolts", "socket_cap_screw"),
            ("nyloc nut", "lock_nut"),
            ("wing nut", "hexagon_nut"),
            ("hardened dowel pin", "pin"),
            ("fender washer for a bolt", "plain_washer"),
            ("gate hinge", "bracket"),
            ("sheet metal screws", "other"),
        ] {
            assert_eq!(form(typed), key, "{typed}");
        }
    }

    #[test]
    fn a_word_for_several_is_answered_with_their_names() {
        let folder = Folder::new("several");
        for (option, typed, said) in [
            ("--place", "inside", "heated, dry, clean room; unheated building"),
            ("--place", "marine", "offshore"),
            ("--base-metal", "stainless", "stainless 304"),
            ("--base-metal", "8", "Grade 8"),
            ("--form", "gizmo", "not known"),
            ("--form", "screw", "socket head cap screw"),
            ("--form", "nuts and bolts", "One kind of part at a time"),
            ("--base-metal", "4140", "heat treatment"),
            ("--place", "pool", "not judged"),
        ] {
            let brief = folder.at("mine.json");
            let mut words = vec!["start", &brief, option, typed];
            words.extend(["--years", "5"]);
            words.extend(if option == "--place" { &[][..] } else { &["--place", "sea"] });
            let errors = refuses(&words);
            assert!(errors.contains(said), "{typed}: {errors}");
            assert!(folder.names().is_empty());
        }
    }

    /// SAE grades 5 and 8 are what an American types; a number of a list that was not shown is no answer.
    #[test]
    fn it_reads_what_people_type_and_keeps_the_strength() {
        let folder = Folder::new("typed");
        let written = |name: &str, typed: &str| -> serde_json::Value {
            let brief = folder.at(name);
            let (code, output, errors) = ran(&["start", &brief], typed, true);
            assert_eq!(code, 0, "{output}{errors}");
            serde_json::from_str(&std::fs::read_to_string(&brief).unwrap()).unwrap()
        };
        let graded = written("a.json", "bolts\n8\ngrade 8\n\nM8x30\n1,000\nC5\n\n\n3\n\n\n\n");
        let part = serde_json::json!({
            "form": "hexagon_head_screw", "base_metal": "grade 8", "thread": "M8", "length_mm": 30, "lot_pieces": 1000,
        });
        assert_eq!(graded["part"], part);
        assert_eq!(graded["duty"], serde_json::json!({"corrosivity": "C5", "required_years": 3}));
        let stainless = written("b.json", "bolt\na4-80\nM10x1.25\n40\n\ntruck in winter\n\n\n3\n\n\n\n");
        assert_eq!(stainless["part"]["base_metal"], "A4-80");
        assert_eq!(stainless["part"]["thread"], "M10x1.25");
        assert_eq!(stainless["duty"]["place"], "road_salt");
        // once the list was shown, its lines have numbers
        let numbered = written("c.json", "bolt\n?\n#7\nM8\n30\n\nsea\n\n\n3\n\n\n\n");
        assert_eq!(numbered["part"]["base_metal"], "stainless_316");
    }

    #[test]
    fn what_cannot_be_read_is_named_with_the_remedy() {
        let folder = Folder::new("unread");
        let deck = std::fs::read_to_string(demo("briefs/deck-fitting.json")).unwrap();
        for (text, said) in [
            (String::new(), "brief"),
            ("{".to_owned(), "brief"),
            (deck.replace("\"coastal\"", "\"costal\""), "did you mean \"coastal\"?"),
            (deck.replace("\"required_years\": 5", "\"required_years\": -5"), "-5"),
            (deck.replace("\"mass_g\": 180", "\"mass_g\": \"1 ton\""), "kg or lb"),
            (deck.replace("Deck fitting", "\\u001b[31mDeck"), "character"),
        ] {
            assert!(refuses(&["rank", &folder.with("brief.json", &text)]).contains(said), "{said}");
        }
        std::fs::write(folder.at("latin.json"), b"{\"name\": \"\xd6se\"}").unwrap();
        assert!(refuses(&["rank", &folder.at("latin.json")]).contains("UTF-8"));
        assert!(refuses(&["rank", &folder.at("")]).contains("directory"));
    }

    #[test]
    fn the_brief_in_the_help_is_answered() {
        let help = succeeds(&["rank", "--help"]);
        let document = help.split("deck.json:\n").nth(1).unwrap().split("\n\n").next().unwrap();
        let folder = Folder::new("help");
        let brief = folder.with("deck.json", document);
        let ranking = crate::rank::Ranking::from_json(&succeeds(&["rank", &brief, "--json"])).unwrap();
        assert!((ranking.brief.part.mass_g.unwrap() - 170.097_138_75).abs() < 1e-6);
    }

    #[test]
    fn papers_are_of_the_first_option_of_a_number_or_of_a_name() {
        let deck = demo("briefs/deck-fitting.json");
        let first = succeeds(&["papers", &deck]);
        assert!(first.contains("DECK FITTING"));
        let ranking = crate::rank::Ranking::from_json(&succeeds(&["rank", &deck, "--json"])).unwrap();
        let third = ranking.options[2].build.to_string();
        let by_number = succeeds(&["papers", &deck, "--build", "3"]);
        assert_ne!(by_number, first);
        for name in [third.clone(), third.replace(' ', "")] {
            assert_eq!(succeeds(&["papers", &deck, "--build", &name]), by_number);
        }
        assert!(refuses(&["papers", &deck, "--build", &third[..third.len() - 1]]).contains("Did you mean"));
        assert!(refuses(&["papers", &deck, "--build", "0"]).contains("1 to"));
        assert_ne!(succeeds(&["papers", &deck, "--units", "inch"]), first);
        let papers = crate::papers::Papers::from_json(&succeeds(&["papers", &deck, "--json"])).unwrap();
        assert_eq!(papers.build, ranking.options[0].build);
    }

    #[test]
    fn filled_papers_are_printed_again_with_their_answers() {
        let deck = demo("briefs/deck-fitting.json");
        let mut papers =
            crate::papers::Papers::from_json(&succeeds(&["papers", &deck, "--json", "--revision", "A"]))
                .unwrap();
        let folder = Folder::new("filled");
        let blank = folder.with("blank.json", &papers.to_json());
        assert_eq!(succeeds(&["papers", &blank]), succeeds(&["papers", &deck, "--revision", "A"]));
        for open in &mut papers.order.open {
            open.answer = Some("  ".to_owned());
        }
        assert!(!papers.order.is_complete(), "a blank is no answer");
        papers.order.open[0].answer = Some("88-B".to_owned());
        let filled = folder.with("filled.json", &papers.to_json());
        let text = succeeds(&["papers", &filled, "--revision", "B", "--date", "2026-11-27"]);
        assert!(text.contains("Revision B, 2026-11-27") && text.contains("88-B."), "{text}");
        assert!(text.contains("Open, "), "the rest stays open");
        assert!(refuses(&["papers", &filled, "--build", "2"]).contains("goes with a brief"));
        assert!(refuses(&["papers", &filled, "--units", "inch"]).contains("goes with a brief"));
    }

    #[test]
    fn records_logs_sources_and_schemas_are_read_and_printed() {
        let wet = succeeds(&["wetness", &demo("climate_hourly.csv")]);
        assert!(wet.contains("longest gap: 30 h\n"), "{wet}");
        let json: serde_json::Value =
            serde_json::from_str(&succeeds(&["wetness", &demo("climate_hourly.csv"), "--json"])).unwrap();
        assert_eq!(json["longest_gap_hours"], 30.0);

        let lines = succeeds(&["sources"]);
        let listed: std::collections::HashSet<_> =
            lines.lines().filter_map(|line| line.split(": ").next()).collect();
        for key in crate::catalog::Catalog::built_in().content().sources.keys() {
            assert!(listed.contains(key.as_str()), "{key}");
        }
        assert!(lines.lines().any(|line| line.starts_with("observed: ")));
        assert!(succeeds(&["sources", "--catalog", &demo("workshop_catalog.json")]).contains("price_list"));

        for document in ["brief", "catalog", "ranking", "papers"] {
            let fields = succeeds(&["schema", document, "--fields"]);
            let mut names: Vec<&str> = fields.lines().map(|line| line.split(": ").next().unwrap()).collect();
            assert!(names.len() > 10, "{document}");
            if document == "brief" {
                for name in
                    ["duty.required_years", "part.thread", "wants.builds[].films", "wants.weights.cost"]
                {
                    assert!(names.contains(&name), "{name}");
                }
            }
            let all = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), all, "{document}");
        }

        let judged = succeeds(&["backtest", &demo("field_log.csv")]);
        assert!(judged.contains("Best by log score:"), "{judged}");
    }

    #[test]
    fn a_fit_writes_an_entry_that_ranks() {
        let folder = Folder::new("fit");
        let entry = folder.at("mine.json");
        let log = demo("salt_spray_log.csv");
        let (code, said, _) = ran(&["fit", &log, "--film", "hard_wax", "--out", &entry], "", false);
        assert_eq!(code, 0);
        assert!(said.contains("before: ") && said.contains("after: "), "{said}");
        let deck = demo("briefs/deck-fitting.json");
        let fitted = succeeds(&["rank", &deck, "--catalog", &entry, "--json"]);
        assert!(fitted.contains("own records"));
        assert!(refuses(&["fit", &log, "--film", "hard_wacks"]).contains("hard_wax"));
        assert!(refuses(&["fit", &log, "--out", &entry]).contains("hard_wax (36)"));
    }

    const SITES: &str = "site,temperature_c,relative_humidity_pct,so2_mg_m2_day,chloride_mg_m2_day";

    /// What a ranking remarks on and what it finds has no column: the summary says it.
    #[test]
    fn a_sweep_says_what_its_table_leaves_out() {
        let folder = Folder::new("untold");
        let brief = |remarks: &str| {
            format!(
                r#"{{"schema": "overcoat.brief.v1", "name": "x", {remarks}
                    "part": {{"form": "socket_cap_screw", "thread": "M8", "length_mm": 30, "base_metal": "steel_12_9"}},
                    "duty": {{"required_years": 2}}}}"#
            )
        };
        let sites = folder.with("sites.csv", &format!("{SITES}\nbad,,78,3,2\nquay,12,80,4,80\n"));
        let out = folder.at("out.csv");
        let food = folder.with("food.json", &brief(r#""remarks": "on a food conveyor","#));
        let words = ["sweep", &sites, "--out", &out, "--brief", &food, "--json"];
        let (code, output, errors) = ran(&words, "", false);
        assert_eq!(code, 0, "{errors}");
        for words in
            ["row 2: Not judged: contact with food", "row 2: findings, which the table does not list: "]
        {
            assert!(errors.contains(words), "{errors}");
        }
        let answer: serde_json::Value = serde_json::from_str(&output).unwrap();
        let ranking = folder.with(
            "row.json",
            &brief(r#""remarks": "on a food conveyor","#).replace(
                r#""required_years": 2"#,
                r#""required_years": 2, "temperature_c": 12, "relative_humidity_pct": 80, "so2_mg_m2_day": 4,
                    "chloride_mg_m2_day": 80"#,
            ),
        );
        let ranking = crate::rank::Ranking::from_json(&succeeds(&["rank", &ranking, "--json"])).unwrap();
        let said: Vec<&str> =
            answer["remarks"].as_array().unwrap().iter().map(|line| line.as_str().unwrap()).collect();
        assert!(ranking.remarks.iter().all(|line| said.contains(&line.as_str())), "{said:?}");
        let plain = folder.with("plain.json", &brief(""));
        let (_, _, errors) = ran(&["sweep", &sites, "--out", &out, "--brief", &plain], "", false);
        assert!(!errors.contains("Not judged"), "{errors}");
    }

    /// Bad rows that were mended in part are swept again: their first number stays beside the new one.
    #[test]
    fn bad_rows_swept_again_have_two_numbers() {
        let folder = Folder::new("again");
        let sites = folder.with("sites.csv", &format!("{SITES}\na,9,78,3,2\nb,warm,78,3,2\nc,9,78,low,2\n"));
        let (first, second) = (folder.at("first.csv"), folder.at("second.csv"));
        succeeds(&["sweep", &sites, "--out", &first]);
        let side = folder.at("first.csv.bad-rows.csv");
        let mended = std::fs::read_to_string(&side).unwrap().replace("warm", "9");
        std::fs::write(&side, mended).unwrap();
        succeeds(&["sweep", &side, "--out", &second]);
        let bad = std::fs::read_to_string(folder.at("second.csv.bad-rows.csv")).unwrap();
        let lines: Vec<&str> = bad.lines().collect();
        assert!(lines[0].starts_with("row_2,reason_2,row,reason,site,"), "{bad}");
        assert!(
            lines[1].starts_with("2,so2_mg_m2_day_not_a_number,3,so2_mg_m2_day_not_a_number,c,"),
            "{bad}"
        );
    }

    /// A full screen still says what to type next, and a chart prints no target for what misses it.
    #[test]
    fn a_full_screen_says_what_to_type_next_and_a_chart_rounds_to_no_target() {
        let folder = Folder::new("next");
        let brief = folder.with(
            "bolts.json",
            r#"{"schema": "overcoat.brief.v1", "name": "Trailer U-bolts", "part": {"form": "other", "thread": "M12",
                "mass_g": 220, "surface_dm2": 1.6, "property_class": "8.8", "lot_pieces": 1500, "safety_critical": true},
                "duty": {"place": "road_salt", "required_years": 5}, "wants": {}}"#,
        );
        let answer = succeeds(&["rank", &brief]);
        assert!(answer.lines().count() <= 30, "{answer}");
        assert!(answer.contains("overcoat papers"), "{answer}");
        let top = succeeds(&["rank", &brief, "--top", "3"]);
        assert!(top.contains("To settle before you order #") && top.contains("(--why)"), "{top}");
        let table = succeeds(&["chart", &brief]);
        assert!(table.lines().all(|line| line.chars().count() <= 80), "{table}");
        let cells: Vec<serde_json::Value> =
            serde_json::from_str(&succeeds(&["chart", &brief, "--json"])).unwrap();
        let short = |cell: &&serde_json::Value| {
            let chance = cell["probability_ok"].as_f64().unwrap();
            (0.895..0.9).contains(&chance) && cell["blocked"] == false && cell["beyond_evidence"] == false
        };
        let near = cells.iter().filter(short).count();
        let printed = table.matches(" 89.").count();
        assert!(near > 0 && printed == near, "{near} {printed}: {table}");
    }

    #[test]
    fn a_shell_is_taught_to_complete() {
        for shell in ["bash", "zsh", "fish"] {
            assert!(succeeds(&["completions", shell]).contains("why-not"), "{shell}");
        }
    }

    /// A reader that has seen enough ends the command without a word.
    #[test]
    fn a_reader_that_stops_early_is_no_fault() {
        struct Gone;
        impl Write for Gone {
            fn write(&mut self, _: &[u8]) -> io::Result<usize> {
                Err(io::ErrorKind::BrokenPipe.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let mut errors = Vec::new();
        let code = run_in(
            ["overcoat", "sources"].map(OsString::from),
            &mut Streams {
                input: &mut io::empty(),
                output: &mut Gone,
                errors: &mut errors,
                input_is_terminal: false,
                color: false,
                columns: None,
                errors_are_terminal: false,
            },
        );
        assert_eq!((code, errors), (0, Vec::new()));
    }
}
