//! Gathers every source that the code cites into one table (`evidence::registry`), so that none can be forgotten.
//!
//! A citation stands beside the number that rests on it, as `Source::standard("...")` and its like; this reads them out
//! of the crate's files, test code apart.

#![expect(clippy::expect_used, reason = "a build that cannot read its own files stops")]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

const KINDS: [&str; 7] =
    ["standard", "paper", "handbook", "derived", "common_practice", "from_memory", "assumption"];

fn main() {
    println!("cargo::rerun-if-changed=src");
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("cargo says where the crate lies"));
    let mut files = Vec::new();
    gather(&root.join("src"), &mut files);
    files.sort();
    let mut found = Vec::new();
    for file in &files {
        let text = fs::read_to_string(file).expect("a file of the crate can be read");
        let code = text.split("\n#[cfg(test)]\nmod ").next().unwrap_or_default();
        let name = file.strip_prefix(&root).unwrap_or(file).display().to_string().replace('\\', "/");
        found.extend(citations(code).into_iter().map(|citation| (name.clone(), citation)));
    }
    let mut table =
        String::from("/// Every source that the code cites.\nconst IN_CODE: &[SourceInCode] = &[\n");
    for (file, Citation { name, kind, literal }) in found {
        writeln!(
            table,
            "    SourceInCode {{ name: {name:?}, file: {file:?}, source: Source::{kind}({literal}) }},"
        )
        .expect("text can be written");
    }
    table.push_str("];\n");
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo says where to write")).join("sources.rs");
    fs::write(out, table).expect("the table can be written");
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of the crate can be read") {
        let path = entry.expect("an entry can be read").path();
        if path.is_dir() {
            gather(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
}

/// One `const NAME: Source = Source::kind("...")`, or the citation alone, without a name.
struct Citation {
    name: String,
    kind: &'static str,
    literal: String,
}

/// Each citation of the code, comments left out.
fn citations(code: &str) -> Vec<Citation> {
    let code: String = code
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| [line, "\n"])
        .collect();
    let mut found = Vec::new();
    for (at, _) in code.match_indices("Source::") {
        let Some(rest) = code.get(at + "Source::".len()..) else { continue };
        for kind in KINDS {
            let Some(argument) = rest.strip_prefix(kind).and_then(|rest| rest.strip_prefix('(')) else {
                continue;
            };
            let argument = argument.trim_start();
            if let Some(end) = end_of_literal(argument) {
                let name = name_before(code.get(..at).unwrap_or_default()).to_owned();
                let literal = argument.get(..end).unwrap_or_default().to_owned();
                found.push(Citation { name, kind, literal });
            }
        }
    }
    found
}

/// The constant whose value begins where the text ends; empty where there is none.
fn name_before(text: &str) -> &str {
    let name = text.trim_end().strip_suffix('=').and_then(|text| text.trim_end().strip_suffix(": Source"));
    name.and_then(|text| text.rsplit(' ').next()).unwrap_or_default()
}

/// Length of the string literal that the text begins with.
fn end_of_literal(text: &str) -> Option<usize> {
    let mut escaped = false;
    for (at, letter) in text.strip_prefix('"')?.char_indices() {
        match letter {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return Some(at + 2),
            _ => {}
        }
    }
    None
}
