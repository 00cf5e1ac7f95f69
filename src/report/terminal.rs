//! The answer for a terminal: at most 30 lines of 80 columns, whatever the brief.

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

use crate::catalog::Catalog;
use crate::rank::Ranking;
use crate::report::answer::{Answer, Pick, Reason, Row, USUAL_DEFAULT};

/// Columns of a line.
const WIDTH: usize = 80;
/// Most lines of an answer where nothing more is requested.
const MOST_LINES: usize = 30;
/// Columns of a process where each row of the table has one line.
const LEAN_PROCESS: usize = 18;
/// Columns of a label.
const LABEL: usize = 11;
/// Rows of the table where there is space for them, and where there is not.
const ROWS: [usize; 4] = [6, 5, 4, 3];
/// Reasons shown where no option is usable.
const REASONS_SHOWN: usize = 6;
/// Metals and processes under a reason in the list of what is ruled out.
const WHAT_SHOWN: usize = 6;

/// What of an answer a terminal shows, and how.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "one for each switch of the command")]
pub struct TerminalOptions {
    /// Rows of the table; as many as 30 lines leave space for where none is given.
    pub top: Option<usize>,
    /// Every finding on the first option with its remedy and source.
    pub why: bool,
    /// What is ruled out, by reason.
    pub why_not: bool,
    /// Every assumption on a line.
    pub assumed: bool,
    /// Colors and bold letters.
    pub color: bool,
    /// The words that follow `overcoat rank` or `overcoat papers` for this brief, to be typed next.
    pub command: Option<String>,
}

impl TerminalOptions {
    fn asks_for_more(&self) -> bool {
        self.top.is_some() || self.why || self.why_not || self.assumed
    }
}

/// How much of the findings on the first option is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Detail {
    /// Message and remedy, wrapped.
    Whole,
    /// Message, wrapped.
    Message,
    /// One line each, cut with an ellipsis.
    OneLine,
    /// One line each, the last ones counted only.
    AtMost(usize),
}

/// A ranking as lines of text for a terminal.
///
/// Without further requests it has at most 30 lines of 80 columns: whether the target is met, what to order,
/// every requirement and caution on the first option, the table, the largest uncertainty, what was assumed and the
/// next commands. What does not fit is counted, with the option that shows it.
///
/// ```
/// use overcoat::report::{TerminalOptions, terminal};
/// use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1",
///     "name": "guard plates in a heated hall",
///     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
///     "duty": {"place": "indoor_heated", "required_years": 10}
/// }"#)?;
/// let text = terminal(&rank(&brief, Catalog::built_in())?, Catalog::built_in(), &TerminalOptions::default());
/// assert!(text.lines().count() <= 30);
/// assert!(text.contains("TARGET MET"));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn terminal(ranking: &Ranking, catalog: &Catalog, options: &TerminalOptions) -> String {
    let answer = Answer::of(ranking, catalog);
    let lines = if options.asks_for_more() {
        let rows = options.top.unwrap_or(ROWS[0]);
        whole(&answer, Layout { rows, detail: Detail::Whole, tight: false, lean: false }, options)
    } else {
        fitted(&answer, options)
    };
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

/// How an answer is laid out.
#[derive(Debug, Clone, Copy)]
struct Layout {
    rows: usize,
    detail: Detail,
    /// No blank lines, and single lines where others wrap.
    tight: bool,
    /// One line for each row of the table, cut with an ellipsis.
    lean: bool,
}

/// The fullest form that has at most 30 lines.
fn fitted(answer: &Answer, options: &TerminalOptions) -> Vec<String> {
    let details = [Detail::Whole, Detail::Message, Detail::OneLine];
    let roomy = details.into_iter().flat_map(|detail| [(detail, false), (detail, true)]);
    // what must be known of the first option goes before the words of the table
    let lean = [(Detail::OneLine, true)];
    let counted = (0..answer.before.len()).rev().map(|shown| (Detail::AtMost(shown), true));
    let forms =
        roomy.map(|form| (form, false)).chain(lean.into_iter().chain(counted).map(|form| (form, true)));
    let mut lines = Vec::new();
    for ((detail, tight), lean) in forms {
        for rows in ROWS {
            lines = whole(answer, Layout { rows, detail, tight, lean }, options);
            if lines.len() <= MOST_LINES {
                return lines;
            }
        }
    }
    lines
}

fn whole(answer: &Answer, layout: Layout, options: &TerminalOptions) -> Vec<String> {
    let style = Style { color: options.color };
    let tight = layout.tight;
    let mut lines = vec![style.bold(&cut(&answer.name, WIDTH)), cut(&answer.question, WIDTH)];
    let gap = |lines: &mut Vec<String>| {
        if !tight {
            lines.push(String::new());
        }
    };
    lines.push(String::new());
    let headline = wrapped(&answer.headline.to_uppercase(), "", "");
    lines.extend(headline.iter().map(|line| style.verdict(line, answer.met)));
    if let Some(reason) = &answer.reason_for_all {
        lines.extend(wrapped(reason, "  ", "  "));
    }
    // what must be known of the first option goes before the usual default, and one weakness is said once
    let mut told = Vec::new();
    for pick in answer.picks.iter().filter(|pick| !(layout.lean && pick.label == USUAL_DEFAULT)) {
        let again = tight && pick.weaker.as_ref().is_some_and(|weaker| told.contains(weaker));
        push_pick(&mut lines, pick, tight, again, &style);
        told.extend(pick.weaker.clone());
    }
    if !answer.before.is_empty() {
        gap(&mut lines);
        push_before(&mut lines, answer, layout.detail, options.why, &style);
    }
    if !answer.rows.is_empty() {
        gap(&mut lines);
        push_table(&mut lines, answer, layout, &style);
    }
    if let Some(tie) = &answer.tie {
        lines.extend(wrapped(tie, "    ", "    "));
    }
    push_counts(&mut lines, answer, layout, options);
    if options.why_not {
        lines.push(String::new());
        lines.push(style.bold("Ruled out"));
        answer.why_not.iter().for_each(|reason| push_reason(&mut lines, reason));
    }
    if answer.rows.is_empty() && !options.why_not {
        lines.push(String::new());
        for reason in answer.why_not.iter().take(REASONS_SHOWN) {
            lines.push(cut(&format!("  {}: {}", options_in_words(reason.options), reason.text), WIDTH));
            lines.extend(reason.remedy.iter().map(|remedy| cut(&format!("    {remedy}"), WIDTH)));
        }
    }
    gap(&mut lines);
    if let Some(uncertainty) = &answer.uncertainty {
        labelled(&mut lines, "Uncertain", uncertainty, tight);
    }
    push_assumed(&mut lines, answer, options);
    push_notes(&mut lines, answer, options);
    if let Some(command) = &options.command {
        let whole = format!("overcoat rank {command} --format html --out FILE | papers {command}");
        let short = "--format html --out FILE for a page; overcoat papers for the order";
        labelled(&mut lines, "Next", if width(&whole) <= WIDTH - LABEL { &whole } else { short }, true);
    }
    lines.push("Salt-spray hours are not service life. Local codes and qualified people decide.".to_owned());
    lines
}

fn push_pick(lines: &mut Vec<String>, pick: &Pick, tight: bool, weakness_told: bool, style: &Style) {
    let first = pick.number == Some(1);
    let push = |lines: &mut Vec<String>, text: &str, first_indent: &str, bold: bool| {
        let all = if tight && !first {
            vec![cut(&format!("{first_indent}{text}"), WIDTH)]
        } else {
            wrapped(text, first_indent, "      ")
        };
        lines.extend(all.iter().map(|line| if bold { style.bold(line) } else { line.clone() }));
    };
    let Some(number) = pick.number else {
        if tight {
            // the build gives way, not its probability
            let label = format!("  {}: ", pick.label);
            let figure = pick.figures.split(',').next().unwrap_or_default();
            let room = WIDTH.saturating_sub(width(&label) + width(figure) + 2);
            lines.push(format!("{label}{}: {figure}", cut(&pick.build, room)));
        } else {
            push(lines, &format!("{}: {}", pick.build, pick.figures), &format!("  {}: ", pick.label), false);
        }
        if let Some(weaker) = pick.weaker.as_ref().filter(|_| !weakness_told) {
            push(lines, weaker, "      Weaker: ", false);
        }
        return;
    };
    push(lines, &format!("#{number} {}", pick.build), &format!("  {}: ", pick.label), true);
    push(lines, &pick.figures, "      ", false);
    if let Some(lost) = &pick.gives_up {
        push(lines, lost, "      Gives up: ", false);
    }
    // that of the first is told before it is ordered
    if let Some(weaker) = pick.weaker.as_ref().filter(|_| !first && !weakness_told) {
        push(lines, weaker, "      Weaker: ", false);
    }
}

fn push_before(lines: &mut Vec<String>, answer: &Answer, detail: Detail, sources: bool, style: &Style) {
    lines.push(style.bold("Before you order #1"));
    let all = answer.before.len();
    let shown = if let Detail::AtMost(most) = detail { most } else { all };
    let mut cut_short = false;
    for point in answer.before.iter().take(shown) {
        let lead = format!("  {}: ", point.label);
        match detail {
            Detail::Whole => lines.extend(wrapped(&point.whole(), &lead, "    ")),
            Detail::Message => lines.extend(wrapped(&point.text, &lead, "    ")),
            Detail::OneLine | Detail::AtMost(_) => {
                let line = format!("{lead}{}", point.whole());
                cut_short |= width(&line) > WIDTH;
                lines.push(cut(&line, WIDTH));
            }
        }
        if sources {
            lines.extend(wrapped(&point.source, "    Source: ", "    "));
        }
    }
    let remedies = detail == Detail::Message && answer.before.iter().any(|point| point.remedy.is_some());
    if shown < all {
        lines.push(format!("  {} more; every one in full: --why", all - shown));
    } else if cut_short || remedies {
        lines.push("  In full, with remedies and sources: --why".to_owned());
    }
}

fn push_table(lines: &mut Vec<String>, answer: &Answer, layout: Layout, style: &Style) {
    let shown = shown_rows(answer, layout.rows);
    let process_width = if layout.lean { LEAN_PROCESS } else { usize::MAX };
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(WIDTH).unwrap_or(u16::MAX));
    let cost = if answer.relative { "cost/1000".to_owned() } else { format!("{}/1000", answer.cost_heading) };
    let mut cells =
        vec![["#", "prob.", "median", "80% range", &cost, "metal", "process", "coats"].map(str::to_owned)];
    cells.extend(shown.iter().map(|row| {
        [
            row.number.to_string(),
            row.chance.clone(),
            row.median.clone(),
            row.range.clone(),
            row.money.clone(),
            row.words.metal.clone(),
            cut(&format!("{}{}", row.words.oxide, if row.words.outside { "*" } else { "" }), process_width),
            row.words.coats.clone(),
        ]
    }));
    if layout.lean {
        let taken: usize = (0..7)
            .map(|at| {
                cells.iter().filter_map(|row| row.get(at)).map(|cell| width(cell)).max().unwrap_or(0) + 1
            })
            .sum();
        for coats in cells.iter_mut().filter_map(|row| row.last_mut()) {
            *coats = cut(coats, WIDTH.saturating_sub(taken).max(8));
        }
    }
    for (at, row) in cells.iter().enumerate() {
        if at == 0 {
            table.set_header(row)
        } else {
            table.add_row(row)
        };
    }
    for (at, column) in table.column_iter_mut().enumerate() {
        let longest = |text: &str| {
            if at < 6 || layout.lean { width(text) } else { text.split(' ').map(width).max().unwrap_or(0) }
        };
        let needed = cells.iter().filter_map(|row| row.get(at)).map(|cell| longest(cell)).max().unwrap_or(0);
        let padding = u16::from(at < 7);
        let needed = Width::Fixed(u16::try_from(needed).unwrap_or(u16::MAX).saturating_add(padding));
        column.set_padding((0, padding));
        column.set_constraint(ColumnConstraint::LowerBoundary(needed));
        if at < 5 {
            column.set_constraint(ColumnConstraint::Absolute(needed));
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    if !layout.lean && table.lines().any(|line| width(line.trim_end()) > WIDTH) {
        return push_table(lines, answer, Layout { lean: true, ..layout }, style);
    }
    for (at, line) in table.lines().enumerate() {
        let line = line.trim_end();
        lines.push(if at == 0 { style.bold(line) } else { line.to_owned() });
    }
}

/// The first rows, and the lowest-cost option that meets the target where it is not among them.
fn shown_rows(answer: &Answer, rows: usize) -> Vec<&Row> {
    let mut shown: Vec<&Row> = answer.rows.iter().take(rows).collect();
    for number in answer.picks.iter().filter_map(|pick| pick.number) {
        if let Some(row) = answer.rows.iter().find(|row| row.number == number)
            && !shown.iter().any(|known| known.number == number)
        {
            if shown.len() >= rows && rows > 1 {
                shown.pop();
            }
            shown.push(row);
        }
    }
    shown.sort_by_key(|row| row.number);
    shown
}

fn push_counts(lines: &mut Vec<String>, answer: &Answer, layout: Layout, options: &TerminalOptions) {
    let rows = layout.rows;
    let shown = shown_rows(answer, rows).len();
    let mut said = Vec::new();
    if answer.usable > shown {
        said.push(format!("{} more usable (--top {})", answer.usable - shown, answer.usable));
    }
    if answer.ruled_out > 0 {
        let how = if options.why_not { "" } else { " (--why-not)" };
        said.push(format!("{} ruled out{how}", answer.ruled_out));
    }
    if shown_rows(answer, rows).iter().any(|row| row.words.outside) {
        said.push("* outside blackening".to_owned());
    }
    if answer.relative {
        said.push("costs in relative units".to_owned());
    }
    if answer.replaced > 0 {
        said.push(format!("{} values of your own", answer.replaced));
    }
    let said = said.join("; ");
    if layout.lean {
        lines.push(cut(&format!("    {said}"), WIDTH));
    } else if !said.is_empty() {
        lines.extend(wrapped(&said, "    ", "    "));
    }
}

fn options_in_words(options: usize) -> String {
    if options == 1 { "1 option".to_owned() } else { format!("{options} options") }
}

fn push_reason(lines: &mut Vec<String>, reason: &Reason) {
    let remedy = reason.remedy.as_deref().map_or(String::new(), |remedy| format!(" {remedy}"));
    lines.extend(wrapped(
        &format!("{}{remedy}", reason.text),
        &format!("  {}: ", options_in_words(reason.options)),
        "    ",
    ));
    for what in reason.what.iter().take(WHAT_SHOWN) {
        lines.push(cut(&format!("      {what}"), WIDTH));
    }
    if reason.what.len() > WHAT_SHOWN {
        lines.push(format!("      and {} more metals and processes", reason.what.len() - WHAT_SHOWN));
    }
}

/// The assumptions in a line, as many as fit, the others counted.
fn push_assumed(lines: &mut Vec<String>, answer: &Answer, options: &TerminalOptions) {
    if answer.assumed.is_empty() {
        return;
    }
    if options.assumed {
        for line in &answer.assumed {
            labelled(lines, "Assumed", line, false);
        }
        return;
    }
    let space = WIDTH - LABEL;
    let mut said: Vec<&str> = Vec::new();
    let all = answer.assumed.len();
    let more =
        |shown: usize| if shown < all { format!(" + {} (--assumed)", all - shown) } else { String::new() };
    let mut used = 0;
    for assumption in &answer.assumed {
        if used + width(assumption) + 2 + width(&more(said.len())) <= space {
            used += width(assumption) + 2;
            said.push(assumption);
        }
    }
    let shown = said.len();
    let text = if shown == 0 { format!("{all} inputs (--assumed)") } else { said.join("; ") + &more(shown) };
    labelled(lines, "Assumed", &text, true);
}

/// Remarks on the brief: a line each, two at most where nothing more is requested.
fn push_notes(lines: &mut Vec<String>, answer: &Answer, options: &TerminalOptions) {
    let all = &answer.remarks_on_brief;
    if options.why || options.assumed {
        for remark in all {
            labelled(lines, "Note", remark, false);
        }
        return;
    }
    let shown = if all.len() > 2 { 1 } else { 2 };
    all.iter().take(shown).for_each(|remark| labelled(lines, "Note", remark, true));
    if all.len() > shown {
        labelled(lines, "Note", &format!("{} more (--assumed)", all.len() - shown), true);
    }
}

fn labelled(lines: &mut Vec<String>, label: &str, text: &str, one_line: bool) {
    let first = format!("{label:<LABEL$}");
    if one_line {
        lines.push(cut(&format!("{first}{text}"), WIDTH));
    } else {
        lines.extend(wrapped(text, &first, &" ".repeat(LABEL)));
    }
}

fn width(text: &str) -> usize {
    textwrap::core::display_width(text)
}

/// A text in lines of at most 80 columns, broken between words.
pub(crate) fn wrapped(text: &str, first: &str, next: &str) -> Vec<String> {
    wrapped_to(WIDTH, text, first, next)
}

/// A text in lines of at most so many columns, broken between words.
pub(crate) fn wrapped_to(columns: usize, text: &str, first: &str, next: &str) -> Vec<String> {
    let options = textwrap::Options::new(columns)
        .initial_indent(first)
        .subsequent_indent(next)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .word_separator(textwrap::WordSeparator::AsciiSpace);
    textwrap::wrap(text, options).into_iter().map(std::borrow::Cow::into_owned).collect()
}

/// A text of at most so many columns, ending with an ellipsis where something is missing.
fn cut(text: &str, columns: usize) -> String {
    if width(text) <= columns {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 0;
    for letter in text.chars() {
        used += width(letter.encode_utf8(&mut [0; 4]));
        if used > columns - 1 {
            break;
        }
        out.push(letter);
    }
    out.truncate(out.trim_end().len());
    out.push('…');
    out
}

/// Letters with or without color.
pub(crate) struct Style {
    pub(crate) color: bool,
}

impl Style {
    fn with(&self, code: &str, text: &str) -> String {
        if self.color && !text.is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }

    pub(crate) fn bold(&self, text: &str) -> String {
        self.with("1", text)
    }

    fn verdict(&self, text: &str, met: bool) -> String {
        self.with(if met { "1;32" } else { "1;33" }, text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brief::Brief;
    use crate::rank::rank;

    fn demo_briefs() -> Vec<(String, Brief)> {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data");
        let files =
            ["briefs", "blocked"].into_iter().flat_map(|name| std::fs::read_dir(folder.join(name)).unwrap());
        let mut briefs: Vec<_> = files
            .map(|file| {
                let path = file.unwrap().path();
                let text = std::fs::read_to_string(&path).unwrap();
                (path.display().to_string(), Brief::from_json(&text).unwrap())
            })
            .collect();
        briefs.sort_by(|(a, _), (b, _)| a.cmp(b));
        briefs
    }

    fn answer(brief: &Brief, options: &TerminalOptions) -> String {
        let catalog = Catalog::built_in();
        terminal(&rank(brief, catalog).unwrap(), catalog, options)
    }

    /// A word with an underscore is a key of the catalog, which does not belong in an answer, or a field, which is
    /// there in backticks where the reader must set it.
    fn keys(text: &str) -> Vec<&str> {
        text.split_whitespace()
            .filter(|word| word.contains('_') && !(word.starts_with("`part.") || word.starts_with("`duty.")))
            .collect()
    }

    #[test]
    fn every_answer_fits_one_screen_in_words() {
        for (path, brief) in demo_briefs() {
            let text = answer(&brief, &TerminalOptions::default());
            assert!(text.lines().count() <= MOST_LINES, "{path}\n{text}");
            assert!(text.lines().all(|line| width(line) <= WIDTH), "{path}\n{text}");
            assert_eq!(keys(&text), [""; 0], "{path}\n{text}");
            let ranking = rank(&brief, Catalog::built_in()).unwrap();
            let head = if ranking.met { "TARGET MET" } else { "TARGET NOT MET" };
            let head = if ranking.best().is_none() { "NO OPTION IS USABLE" } else { head };
            assert!(text.contains(head), "{path}\n{text}");
        }
    }

    /// A brief whose name, findings and assumptions are as many and as long as they get.
    #[test]
    fn an_answer_with_much_to_say_still_fits_and_counts_what_it_leaves_out() {
        let brief = Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "set screws that say everything there is to say and more than a line of eighty columns takes",
                "part": {"form": "lock_nut", "thread": "M8", "base_metal": "stainless_416", "hardness_hv": 450,
                    "polymer_insert": true, "joined_metals": ["brass"], "traps_liquid": true, "present_finish": "zinc_plate",
                    "condition": "heavy_scale", "safety_critical": true, "lot_pieces": 30},
                "duty": {"place": "coastal", "sea_distance_m": 400, "mating_metals": ["aluminium", "brass", "titanium"],
                    "mating_area_ratio": 40, "handling": "frequent", "heat_peak_c": 240, "required_years": 3},
                "wants": {"uniform_shade": true, "gloss": "matte", "builds": [{"treatment": "stainless_alkaline",
                    "films": ["hard_wax"]}]}}"#,
        )
        .unwrap();
        let text = answer(&brief, &TerminalOptions::default());
        assert!(
            text.lines().count() <= MOST_LINES && text.lines().all(|line| width(line) <= WIDTH),
            "{text}"
        );
    }

    #[test]
    fn nothing_on_the_first_option_is_cut_in_silence() {
        for (path, brief) in demo_briefs() {
            let ranking = rank(&brief, Catalog::built_in()).unwrap();
            let Some(best) = ranking.best() else { continue };
            let points = crate::report::answer::worst_first(best);
            let short = answer(&brief, &TerminalOptions::default());
            let whole = short.split_whitespace().collect::<Vec<_>>().join(" ");
            let all = points.iter().all(|point| whole.contains(&point.whole()));
            assert!(all || short.contains("--why\n"), "{path}\n{short}");
            let full = answer(&brief, &TerminalOptions { why: true, ..TerminalOptions::default() });
            let full = full.split_whitespace().collect::<Vec<_>>().join(" ");
            for point in points {
                assert!(full.contains(&point.whole()) && full.contains(&point.source), "{path}\n{full}");
            }
        }
    }

    #[test]
    fn what_is_ruled_out_stands_under_its_reason() {
        for (path, brief) in demo_briefs() {
            let ranking = rank(&brief, Catalog::built_in()).unwrap();
            let text = answer(&brief, &TerminalOptions { why_not: true, ..TerminalOptions::default() });
            let counted: usize = text
                .lines()
                .filter_map(|line| line.strip_prefix("  ")?.split_once(" option")?.0.parse::<usize>().ok())
                .sum();
            assert_eq!(
                counted,
                ranking.options.iter().filter(|option| option.blocked).count(),
                "{path}\n{text}"
            );
            let wide: Vec<&str> = text.lines().filter(|line| width(line) > WIDTH).collect();
            assert!(wide.is_empty(), "{path}: {wide:?}");
        }
    }

    #[test]
    fn rows_are_as_many_as_requested() {
        let (_, brief) =
            demo_briefs().into_iter().find(|(path, _)| path.ends_with("deck-fitting.json")).unwrap();
        let text = answer(&brief, &TerminalOptions { top: Some(40), ..TerminalOptions::default() });
        let numbers: Vec<usize> = text
            .lines()
            .skip_while(|line| !line.trim_start().starts_with("# prob."))
            .filter_map(|line| line.split_whitespace().next()?.parse().ok())
            .collect();
        assert!(numbers.len() >= 40 && numbers.starts_with(&[1, 2, 3]), "{numbers:?}");
    }

    #[test]
    fn colors_come_only_where_they_may() {
        let (_, brief) = demo_briefs().remove(0);
        assert!(!answer(&brief, &TerminalOptions::default()).contains('\u{1b}'));
        assert!(
            answer(&brief, &TerminalOptions { color: true, ..TerminalOptions::default() })
                .contains("\u{1b}[1")
        );
    }

    #[test]
    fn a_text_is_cut_between_its_columns() {
        assert_eq!(cut("exactly ten", 11), "exactly ten");
        assert_eq!(cut("exactly ten", 10), "exactly t…");
        assert_eq!(cut("exactly ten", 9), "exactly…");
    }
}
