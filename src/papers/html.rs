//! A sheet as an HTML fragment.

use std::fmt::Write as _;

use crate::brief::written::held_together;
use crate::papers::sheet::Block;

pub(super) fn html(blocks: &[Block]) -> String {
    let mut out = String::from("<article class=\"overcoat-papers\">\n");
    for block in blocks {
        match block {
            Block::Heading(level, heading) => {
                // The page around the fragment has the first level; the parts are told apart for its pages.
                let class = match level {
                    2 => format!(" class=\"{}\"", slug(heading)),
                    _ => String::new(),
                };
                let level = level + 1;
                let _ = writeln!(out, "<h{level}{class}>{}</h{level}>", escape(heading));
            }
            Block::Paragraph(paragraph) => {
                let _ = writeln!(out, "<p>{}</p>", escape(paragraph));
            }
            Block::List(items) => {
                let items: Vec<String> = items.iter().map(|i| format!("<li>{}</li>\n", escape(i))).collect();
                let _ = writeln!(out, "<ul>\n{}</ul>", items.concat());
            }
            Block::Steps(items) => {
                let start = items.first().map_or(1, |item| item.number);
                let _ = writeln!(out, "<ol start=\"{start}\">");
                for item in items {
                    let _ = writeln!(out, "<li><strong>{}</strong>", escape(&item.title));
                    labelled(&mut out, &item.lines);
                    out.push_str("</li>\n");
                }
                out.push_str("</ol>\n");
            }
            Block::Labelled(lines) => labelled(&mut out, lines),
            Block::Table(head, rows) => {
                let head: Vec<String> =
                    head.iter().map(|cell| format!("<th scope=\"col\">{}</th>", escape(cell))).collect();
                let _ = writeln!(out, "<table>\n<thead><tr>{}</tr></thead>\n<tbody>", head.concat());
                for row in rows {
                    let cells: Vec<String> =
                        row.iter().map(|cell| format!("<td>{}</td>", escape(cell))).collect();
                    let _ = writeln!(out, "<tr>{}</tr>", cells.concat());
                }
                out.push_str("</tbody>\n</table>\n");
            }
            Block::Signatures(people) => {
                let lines = people.iter().map(|who| format!("<span>{}</span><span>Date</span>", escape(who)));
                let _ = writeln!(out, "<p class=\"signatures\">{}</p>", lines.collect::<String>());
            }
            Block::Sources(sources) => {
                let items: Vec<String> =
                    sources.iter().map(|s| format!("<li>{}</li>\n", escape(s))).collect();
                let _ = writeln!(out, "<ol class=\"overcoat-sources\">\n{}</ol>", items.concat());
            }
        }
    }
    out.push_str("</article>\n");
    out
}

/// Lowercase letters with hyphens between words.
fn slug(heading: &str) -> String {
    heading.split(|c: char| !c.is_ascii_alphanumeric()).collect::<Vec<_>>().join("-").to_ascii_lowercase()
}

/// A description list; lines of one label are under one term.
fn labelled(out: &mut String, lines: &[(String, String)]) {
    out.push_str("<dl>\n");
    let mut before = "";
    for (label, text) in lines {
        if label != before {
            let _ = write!(out, "<dt>{}</dt>", escape(label));
        }
        before = label;
        let _ = writeln!(out, "<dd>{}</dd>", escape(text));
    }
    out.push_str("</dl>\n");
}

/// The text as markup: numbers stay with their units, and nothing a user wrote is markup.
fn escape(text: &str) -> String {
    escaped(&held_together(text))
}

/// The text with everything replaced that HTML reads as markup, in text and in quoted attributes.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_quotes_are_escaped() {
        assert_eq!(
            escape("<script>alert(\"a\" & 'b')</script>\u{0}"),
            "&lt;script&gt;alert(&quot;a&quot; &amp; &#39;b&#39;)&lt;/script&gt; "
        );
    }

    proptest::proptest! {
        #[test]
        fn no_text_opens_a_tag_or_leaves_a_quote(name in ".*") {
            proptest::prop_assert!(!escape(&name).contains(['<', '>', '"', '\'']));
        }
    }

    #[test]
    fn every_kind_of_block_escapes_its_text() {
        let bad = || "<b>".to_owned();
        let item = crate::papers::sheet::Item { number: 3, title: bad(), lines: vec![(bad(), bad())] };
        let out = html(&[
            Block::Heading(1, bad()),
            Block::Paragraph(bad()),
            Block::List(vec![bad()]),
            Block::Steps(vec![item]),
            Block::Labelled(vec![(bad(), bad())]),
            Block::Table(vec!["<b>"], vec![vec![bad()]]),
            Block::Sources(vec![bad()]),
            Block::Signatures(vec![bad()]),
        ]);
        assert!(!out.contains("<b>"), "{out}");
        assert!(out.contains("<ol start=\"3\">"));
    }
}
