//! A sheet as plain text with wrapped lines.

use crate::brief::written::held_together;
use crate::papers::sheet::Block;

/// Width of a line, in characters.
const WIDTH: usize = 100;
/// Width of a label.
const LABEL: usize = 14;

pub(super) fn text(blocks: &[Block]) -> String {
    let mut out = String::new();
    for block in blocks {
        match block {
            Block::Heading(level, heading) => {
                let heading = plain(heading);
                let heading = if *level <= 2 { heading.to_uppercase() } else { heading };
                let rule = match level {
                    1 => "=",
                    2 => "-",
                    _ => "",
                };
                let length = heading.chars().count().min(WIDTH);
                out.push('\n');
                wrap(&mut out, &heading, "", "");
                if !rule.is_empty() {
                    out.push_str(&rule.repeat(length));
                    out.push('\n');
                }
            }
            Block::Paragraph(paragraph) => wrap(&mut out, paragraph, "", ""),
            Block::List(items) => {
                for item in items {
                    wrap(&mut out, item, "- ", "  ");
                }
            }
            Block::Steps(items) => {
                for item in items {
                    wrap(&mut out, &item.title, &format!("{:>2}. ", item.number), "    ");
                    labelled(&mut out, &item.lines, "    ");
                }
            }
            Block::Labelled(lines) => labelled(&mut out, lines, ""),
            Block::Table(head, rows) => table(&mut out, head, rows),
            Block::Signatures(people) => {
                let lines = people.iter().map(|who| format!("{who}: ______________ Date: ________"));
                wrap(&mut out, &lines.collect::<Vec<_>>().join(" "), "", "");
            }
            Block::Sources(sources) => {
                for (number, source) in (1..).zip(sources) {
                    wrap(&mut out, source, &format!("{:>5} ", format!("[{number}]")), "      ");
                }
            }
        }
    }
    out.trim_start_matches('\n').to_owned()
}

/// Lines with a label each; a label that repeats is left blank.
fn labelled(out: &mut String, lines: &[(String, String)], indent: &str) {
    let hanging = format!("{indent}{}", " ".repeat(LABEL));
    let mut before = "";
    for (label, text) in lines {
        let shown = if label == before { "" } else { label.as_str() };
        before = label;
        if shown.chars().count() + 1 > LABEL {
            wrap(out, shown, indent, indent);
            wrap(out, text, &hanging, &hanging);
        } else {
            wrap(out, text, &format!("{indent}{shown:<LABEL$}"), &hanging);
        }
    }
}

fn table(out: &mut String, head: &[&str], rows: &[Vec<String>]) {
    let widths: Vec<usize> = head
        .iter()
        .enumerate()
        .map(|(column, title)| {
            let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count());
            cells.chain([title.chars().count()]).max().unwrap_or(0)
        })
        .collect();
    let mut line = |cells: Vec<&str>| {
        let padded: Vec<String> =
            cells.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}")).collect();
        out.push_str("    ");
        out.push_str(padded.join("   ").trim_end());
        out.push('\n');
    };
    line(head.to_vec());
    for row in rows {
        line(row.iter().map(String::as_str).collect());
    }
}

/// The text on one line, without control characters: a name must not move the cursor of a terminal.
fn plain(text: &str) -> String {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Appends `text` in lines of at most [`WIDTH`] characters, broken at spaces.
fn wrap(out: &mut String, text: &str, first: &str, others: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in held_together(&plain(text)).split(' ') {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            others.clone_into(&mut line);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.extend(word.chars().map(|c| if c == '\u{a0}' { ' ' } else { c }));
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_wrapped_and_carry_no_control_characters() {
        let long = "word ".repeat(60);
        let out = text(&[Block::Paragraph(long), Block::Paragraph("a\u{1b}[2J\nb".to_owned())]);
        assert!(out.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(out.ends_with("a [2J b\n"), "{out}");
    }

    #[test]
    fn a_number_is_not_parted_from_its_unit() {
        let before = "x".repeat(WIDTH - 3);
        let out = text(&[Block::Paragraph(format!("{before} 15 µm, [2, memory]"))]);
        assert_eq!(out, format!("{before}\n15 µm, [2, memory]\n"));
    }

    #[test]
    fn a_label_that_repeats_is_left_blank() {
        let lines = [("Do", "one"), ("Do", "two")].map(|(a, b)| (a.to_owned(), b.to_owned())).to_vec();
        assert_eq!(text(&[Block::Labelled(lines)]), "Do            one\n              two\n");
    }
}
