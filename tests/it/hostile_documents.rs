//! Documents made to take time or memory: of 100 MB, nested without end, with keys and names made to collide, with
//! lists that multiply. Each ends soon, in little room, with a typed error or an answer.
//!
//! What must be read to the end has 3 MB here; the whole: `OVERCOAT_HOSTILE_MB=100 cargo test --release --test it
//! hostile_documents -- --ignored --nocapture`.

#![allow(clippy::unwrap_used, clippy::panic)] // test code, outside of test functions
#![allow(clippy::result_large_err)] // the error of the crate as it is

use std::time::{Duration, Instant};

use crate::common::{brief_text, catalog_text};
use overcoat::Result;
use overcoat::atmosphere::ClimateRecord;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::papers::Papers;
use overcoat::rank::{Ranking, rank};
use overcoat::records::{Distribution, fit, records_from_csv};

const MB: usize = 1_000_000;
/// What one document may take, in an unoptimised build on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);
/// What one document may add to the memory in use, kB.
const ROOM_KB: u64 = 2_000_000;

/// Length of what must be read to the end, bytes.
fn long() -> usize {
    std::env::var("OVERCOAT_HOSTILE_MB").map_or(3, |text| text.parse().unwrap()) * MB
}

/// A figure of the process in kB, where the system tells it.
fn memory_kb(name: &str) -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with(name))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// The outcome, held to its time and room.
#[track_caller]
fn bounded<T>(name: &str, run: impl FnOnce() -> Result<T>) -> Result<T> {
    let before = memory_kb("VmRSS");
    // forgets the peak of what ran before
    let _ = std::fs::write("/proc/self/clear_refs", "5");
    let start = Instant::now();
    let outcome = run();
    let took = start.elapsed();
    let peak = memory_kb("VmHWM").zip(before).map(|(peak, before)| peak.saturating_sub(before));
    println!("{name}: {took:.1?}, {:?} MB more", peak.map(|kb| kb / 1000));
    assert!(took < PATIENCE, "{name} took {took:?}");
    assert!(peak.is_none_or(|kb| kb < ROOM_KB), "{name} took {peak:?} kB");
    outcome
}

/// The error of what must be refused: of this kind, at this field, with a message that can be read.
#[track_caller]
fn refused<T>(name: &str, kind: &str, field: &str, run: impl FnOnce() -> Result<T>) {
    let Err(error) = bounded(name, run) else { panic!("{name} is accepted") };
    let text = error.to_string();
    assert_eq!((error.kind(), error.field()), (kind, field), "{name}: {text}");
    assert!(text.len() < 20_000 && !error.remedy().is_empty(), "{name}: {} bytes", text.len());
}

/// The error of what must be refused, at whatever place.
#[track_caller]
fn refused_somewhere<T>(name: &str, run: impl FnOnce() -> Result<T>) {
    let Err(error) = bounded(name, run) else { panic!("{name} is accepted") };
    assert!(error.to_string().len() < 20_000, "{name}: {} bytes", error.to_string().len());
}

fn asked(text: &str) -> Result<Ranking> {
    rank(&Brief::from_json(text)?, Catalog::built_in())
}

fn brief_with(part: &str, duty: &str, wants: &str) -> String {
    let join =
        |own: &str, more: &str| if more.is_empty() { own.to_owned() } else { format!("{own}, {more}") };
    brief_text(
        &join(r#""form": "bracket", "base_metal": "steel_4_6""#, part),
        &join(r#""place": "rural", "required_years": 5"#, duty),
        wants,
    )
}

fn list(item: &str, times: usize) -> String {
    format!("[{}]", vec![item; times].join(","))
}

/// One test, so that no other adds to the memory that is measured.
#[test]
#[ignore = "long: python3 tests/run.py --all"]
fn hostile_documents_end_soon_and_in_little_room() {
    hundred_megabytes();
    shapes_of_json();
    lists_that_multiply();
    names();
    catalogs();
    tables();
}

fn hundred_megabytes() {
    for (what, filling) in
        [("a name", "x"), ("a list", "[1,"), ("lists", "["), ("spaces", " "), ("keys", "{\"a\":")]
    {
        let start = if filling == "x" { r#"{"schema": "overcoat.brief.v1", "name": ""# } else { "" };
        let text = format!("{start}{}", filling.repeat(100 * MB / filling.len()));
        refused(&format!("brief, 100 MB of {what}"), "document", ".", || Brief::from_json(&text));
        refused(&format!("catalog, 100 MB of {what}"), "document", ".", || Catalog::from_json(&text));
        refused(&format!("papers, 100 MB of {what}"), "document", ".", || Papers::from_json(&text));
    }
    let text = " ".repeat(600 * MB);
    refused("ranking, 600 MB", "document", ".", || Ranking::from_json(&text));
}

/// Just short enough to be read, where the length is that of the whole check.
fn shapes_of_json() {
    let most = (long() / 5).min(16 * MB);
    for (what, text) in [
        ("nested lists", "[".repeat(most)),
        ("nested objects", "{\"a\":".repeat(most / 5)),
        ("a list of numbers", list("1", most / 2)),
        ("a list of lists", list("[]", most / 3)),
        ("a list of objects", list("{}", most / 3)),
        ("a long number", "1".repeat(most)),
        ("a long fraction", format!("0.{}", "1".repeat(most - 2))),
        ("escapes", format!("\"{}\"", "\\u0041".repeat(most / 6 - 1))),
    ] {
        refused_somewhere(&format!("brief, {what}"), || Brief::from_json(&text));
        refused_somewhere(&format!("catalog, {what}"), || Catalog::from_json(&text));
        let inside =
            brief_with("", &format!("\"mating_metals\": {}", text.get(..most - 1000).unwrap_or(&text)), "");
        refused_somewhere(&format!("brief with {what} in a field"), || Brief::from_json(&inside));
    }
    // keys that begin alike are as far apart for a tree as others; a hash that others choose is not used
    let keys: Vec<String> =
        (0..(long() / 33).min(330_000)).map(|i| format!("\"{:032x}{i:08x}\": 0", 0)).collect();
    let text = format!("{{{}}}", keys.join(","));
    refused_somewhere("brief of many keys", || Brief::from_json(&text));
    refused_somewhere("catalog of many keys", || Catalog::from_json(&text));
    let long: Vec<String> = (0..1000).map(|i| format!("\"{}{i}\": 0", "k".repeat(long() / 7000))).collect();
    let text = format!("{{{}}}", long.join(","));
    refused_somewhere("brief of 1000 long keys", || Brief::from_json(&text));
}

fn lists_that_multiply() {
    let many = (long() / 50).clamp(100_001, 1_000_000);
    for (field, item) in [("mating_metals", "\"copper\""), ("mating_metals", "\"\"")] {
        let text = brief_with("", &format!("\"{field}\": {}", list(item, many)), "");
        refused(&format!("very many {field}"), "value", &format!("duty.{field}"), || asked(&text));
    }
    let text = brief_with(&format!("\"joined_metals\": {}", list("\"brass\"", many)), "", "");
    refused("very many joined metals", "value", "part.joined_metals", || asked(&text));
    let text = brief_with("", "", &format!("\"other_base_metals\": {}", list("\"brass\"", many)));
    refused("very many base metals", "value", "wants.other_base_metals", || asked(&text));
    let text = brief_with("", "", &format!("\"builds\": {}", list("{}", many)));
    refused("very many builds", "value", "wants.builds", || asked(&text));
    let text = brief_with("", "", &format!("\"builds\": {}", list("{}", 65_000)));
    refused("builds that each mean many", "value", "wants.builds", || asked(&text));
    let films = list("\"acrylic_lacquer\"", long() / 200);
    let text = brief_with("", "", &format!("\"builds\": [{{\"films\": {films}}}]"));
    refused("half very many films", "build", "wants.builds[0].films", || asked(&text));
    // as many metals as a list may hold, on every build
    let most = list("\"copper\"", 100);
    let text = brief_with("", &format!("\"mating_metals\": {most}"), "");
    assert!(bounded("a hundred mating metals", || asked(&text)).is_ok());
    let same = list(r#"{"treatment": "hot_alkaline", "films": []}"#, 65_000);
    let text = brief_with("", "", &format!("\"builds\": {same}"));
    assert_eq!(bounded("65 000 times one build", || asked(&text)).unwrap().options.len(), 1);
}

/// Likeness to known names takes time by length, and a message would carry the name along.
fn names() {
    let name = "steel_".repeat(long() / 50);
    let text =
        brief_text(&format!("\"base_metal\": \"{name}\""), r#""place": "rural", "required_years": 5"#, "");
    refused("a metal that never ends", "name", "part.base_metal", || asked(&text));
    let text = brief_with(&format!("\"thread\": \"{name}\""), "", "");
    refused("a thread that never ends", "value", "part.thread", || asked(&text));
    let text = brief_with(&format!("\"thread\": \"M8\", \"tolerance\": \"{name}\""), "", "");
    refused("a tolerance that never ends", "name", "part.tolerance", || asked(&text));
    let text = brief_with(&format!("\"{name}\": 1"), "", "");
    refused_somewhere("a field that never ends", || asked(&text));
    let text = brief_with(&format!("\"condition\": \"{name}\""), "", "");
    refused("a word that never ends", "document", "part.condition", || asked(&text));
    for kind in ["steel_4_6", "zinc"] {
        let text = format!("{kind}{name}");
        refused("a metal of the air that never ends", "name", "metal", || {
            text.parse::<overcoat::atmosphere::StandardMetal>()
        });
    }
}

fn catalogs() {
    let source = |i: usize| format!(r#""s{i}": {{"firmness": "paper", "citation": "c"}}"#);
    let sources: Vec<String> = (0..long() / 500).map(source).collect();
    let text = catalog_text(&format!("\"sources\": {{{}}}", sources.join(",")));
    assert!(bounded("a catalog of many sources", || Catalog::from_json(&text)).is_ok());
    let stack = |i: usize| format!(r#""t{i}": {{"films": ["hard_wax"], "source": "usual_stack"}}"#);
    let stacks: Vec<String> = (0..100_000).map(stack).collect();
    let text = catalog_text(&format!("\"stacks\": {{{}}}", stacks.join(",")));
    // read it may be; what it asks of a brief is not
    let catalog = bounded("a catalog of 100 000 stacks", || Catalog::from_json(&text));
    if let Ok(catalog) = catalog {
        let brief = Brief::from_json(&brief_with("", "", "")).unwrap();
        // stacks that are alike are one
        let ranking = bounded("a brief for 100 000 stacks", || rank(&brief, &catalog));
        assert!(ranking.is_ok_and(|ranking| ranking.options.len() < 2000));
    }
    let films = list("\"acrylic_lacquer\"", long() / 200);
    let text =
        catalog_text(&format!(r#""stacks": {{"deep": {{"films": {films}, "source": "usual_stack"}}}}"#));
    refused_somewhere("a stack of half very many films", || Catalog::from_json(&text));
}

fn fitted(text: &str) -> Result<()> {
    let records = records_from_csv(text)?;
    Distribution::ALL.iter().try_for_each(|distribution| fit(&records, *distribution).map(drop))
}

fn tables() {
    let climate = "temperature_c,relative_humidity_pct\n";
    let log = "hours,outcome\n";
    let most = long();
    for (what, body) in [
        ("one field", "9".repeat(most)),
        ("commas", ",".repeat(most)),
        ("an open quote", format!("\"{}", "a".repeat(most))),
        ("quotes", "\"".repeat(most)),
        ("quotes after blanks", format!("{}{}", " ".repeat(most / 2), "x\"".repeat(most / 4))),
        ("line breaks", "\n".repeat(most)),
        ("carriage returns", "\r".repeat(most)),
        ("nul", "\0".repeat(most)),
    ] {
        let text = format!("{climate}{body}");
        refused_somewhere(&format!("climate CSV, endless {what}"), || {
            ClimateRecord::from_csv(&text)?.wetness()
        });
        let text = format!("{log}{body}");
        refused_somewhere(&format!("test records, endless {what}"), || fitted(&text));
        refused_somewhere(&format!("header of records, endless {what}"), || fitted(&body));
        let epw = format!("LOCATION,a\n-\n-\n-\n-\n-\n-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n{body}");
        refused_somewhere(&format!("climate EPW, endless {what}"), || {
            ClimateRecord::from_epw(&epw)?.wetness()
        });
    }
    let text = format!("{log}{}", "72,failed\n".repeat(100_001));
    refused("100 001 test records", "table", "hours", || fitted(&text));
    let text = format!("{log}{}", "72,failed\n96,intact\n120,failed\n66,failed\n".repeat(25_000));
    assert!(bounded("100 000 test records", || fitted(&text)).is_ok());
    let text = format!("{climate}{}", "9,80\n".repeat(most.min(25 * MB) / 5));
    assert!(bounded("rows of climate", || ClimateRecord::from_csv(&text)?.wetness()).is_ok());
    if most > 25 * MB {
        let text = format!("{climate}{}", "9,80\n".repeat(5_000_001));
        refused_somewhere("5 000 001 rows of climate", || ClimateRecord::from_csv(&text)?.wetness());
    }
    let far = "time,temperature_c,relative_humidity_pct\n0001-01-01T00:00Z,9,80\n0001-01-01T01:00Z,9,80\n\
               0001-01-01T02:00Z,9,80\n9999-12-31T23:00Z,9,80\n";
    refused_somewhere("a gap of ten thousand years", || ClimateRecord::from_csv(far)?.wetness());
}
