//! Data flows one way: each folder of `src/` uses only what stands above it in the table of DEVELOPERS.md.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)] // test code, outside of test functions

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The folders and files of `src/` in the order of the first table of DEVELOPERS.md, one set for each row.
fn rooms() -> Vec<BTreeSet<String>> {
    let text = include_str!("../../DEVELOPERS.md");
    let rows = text.lines().skip_while(|line| !line.starts_with("| ---")).skip(1);
    let rows = rows.take_while(|line| line.starts_with('|'));
    rows.map(|row| {
        let names = row.split('|').nth(1).unwrap().split(',');
        names.map(|name| name.trim().trim_matches('`').trim_end_matches('/').to_owned()).collect()
    })
    .collect()
}

fn files(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// The top-level modules that a file names by `crate::`, unit tests and comments apart.
fn uses(text: &str) -> BTreeSet<String> {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap();
    let code: Vec<&str> = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let code = code.join("\n");
    let mut found = BTreeSet::new();
    for rest in code.split("crate::").skip(1) {
        let names: Vec<&str> = if let Some(list) = rest.strip_prefix('{') {
            // one level of a list: what follows `::` or stands in inner braces belongs to a name before it
            let (mut depth, mut names, mut start) = (0, Vec::new(), 0);
            for (at, letter) in list.char_indices() {
                match letter {
                    '{' => depth += 1,
                    '}' if depth == 0 => {
                        names.push(&list[start..at]);
                        break;
                    }
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        names.push(&list[start..at]);
                        start = at + 1;
                    }
                    _ => {}
                }
            }
            names
        } else {
            vec![rest]
        };
        for name in names {
            let word: String = name.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            found.insert(word);
        }
    }
    found
}

#[test]
fn uses_are_read_from_lists_and_paths_and_not_from_tests() {
    let text = "use crate::{Error, brief::{Brief, Duty}, life};\n// crate::rank\nfn f() { crate::check::g() }\n\
                #[cfg(test)]\nmod tests { use crate::papers; }";
    let wanted = ["Error", "brief", "check", "life"];
    assert_eq!(uses(text), wanted.map(str::to_owned).into());
}

/// An arrow from a lower room to a higher one would be a circle sooner or later.
#[test]
fn each_folder_uses_only_what_stands_above_it() {
    let rooms = rooms();
    let room_of = |name: &str| {
        rooms.iter().position(|room| room.contains(name) || room.contains(&format!("{name}.rs")))
    };
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    files(&root, &mut found);
    found.sort();
    assert!(found.len() > 100, "{}", found.len());
    let mut arrows_up = Vec::new();
    let mut arrows = 0;
    for path in found {
        let inside = path.strip_prefix(&root).unwrap();
        let top = inside.components().next().unwrap().as_os_str().to_str().unwrap();
        let top = top.trim_end_matches(".rs");
        if top == "lib" {
            continue;
        }
        let Some(at) = room_of(top) else { panic!("DEVELOPERS.md has no row for src/{top}") };
        for name in uses(&std::fs::read_to_string(&path).unwrap()) {
            // names of the root stand for what they are: an error, a source, a result
            let Some(used) = room_of(&name) else { continue };
            arrows += 1;
            if used > at {
                arrows_up.push(format!("{} uses {name}", inside.display()));
            }
        }
    }
    assert!(arrows > 300, "{arrows}");
    assert!(arrows_up.is_empty(), "{arrows_up:#?}");
}
