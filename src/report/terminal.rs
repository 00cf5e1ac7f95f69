//! The answer for a terminal: at most 30 lines of 80 columns, whatever the brief.

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

use crate::brief::written::held_together;
use crate::catalog::Catalog;
use crate::rank::Ranking;
use crate::rank::verdict::{AS_ABOVE, BEATS_FIRST, BEST_BLACKENING, NOT_STATED, Pick, USUAL_DEFAULT};
use crate::rank::words::{MIXED, OUTSIDE};
use crate::report::answer::{Answer, Reason, Row};
use crate::report::change::other_places;
use crate::report::limits::limits;

/// Columns of a line where the terminal does not say how many it has, and the fewest.
const WIDTH: usize = 80;
/// Most columns of a line: longer ones are hard to read.
const WIDEST: usize = 100;
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
/// Lines kept for what follows the reasons.
const LINES_BELOW: usize = 9;
/// Metals and processes under a reason in the list of what is ruled out.
const WHAT_SHOWN: usize = 6;
/// Assumptions that are named first, since most answers hang on them most.
const TOLD_FIRST: [&str; 8] =
    ["one piece", "base metal", "tempering", "thread", "strength", "no heat", "parts arrive", "not handled"];
const CLOSING: &str = "Salt-spray hours are not service life. Local codes and qualified people decide.";

/// What of an answer a terminal shows, and how.
#[derive(Debug, Clone, Default)]
#[expect(clippy::struct_excessive_bools, reason = "one for each switch of the command")]
pub struct TerminalOptions {
    /// Rows of the table; as many as 30 lines leave space for where none is given.
    pub top: Option<usize>,
    /// Every finding on the option to order with its remedy and source, and the limits of the first option.
    pub why: bool,
    /// What is ruled out, by reason.
    pub why_not: bool,
    /// Every assumption on a line.
    pub assumed: bool,
    /// Colors and bold letters.
    pub color: bool,
    /// The words that follow `overcoat rank` or `overcoat papers` for this brief, to be typed next.
    pub command: Option<String>,
    /// Columns of the terminal: from 80, which is meant where none is given, to 100 are used.
    pub columns: Option<usize>,
}

impl TerminalOptions {
    fn asks_for_more(&self) -> bool {
        self.top.is_some() || self.why || self.why_not || self.assumed
    }

    fn columns(&self) -> usize {
        self.columns.unwrap_or(WIDTH).clamp(WIDTH, WIDEST)
    }
}

/// How much of the findings on the option to order is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Detail {
    /// Harm and remedy with their reasons.
    Whole,
    /// The first clause of each: the harm and what to do about it.
    Short,
    /// So many in short, the others counted.
    AtMost(usize),
}

/// A ranking as lines of text for a terminal.
///
/// Without further requests it has at most 30 lines of 80 columns, or up to 100 where the terminal has them: whether the
/// target is met, what to order, every requirement and caution on it, worst first, the table, where the spread comes from,
/// what was assumed and the next commands. Rows of the table and lesser lines give way before a caution does. Where more
/// is requested, it follows the verdict.
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
    let paper = Paper { columns: options.columns(), color: options.color };
    let lines = if options.asks_for_more() {
        requested(&answer, ranking, catalog, options, &paper)
    } else {
        fitted(&answer, options, &paper)
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
    /// How many of the lesser lines have given way.
    gone: usize,
    ways_out: WaysOut,
}

/// Which options besides the one to order are named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum WaysOut {
    All,
    ThatReach,
    None,
    /// None, and no command to type next.
    NoneAndNoNext,
}

/// Lines that give way on a full screen, one after the other in this order; assumptions and remarks are then counted.
#[derive(Debug, Clone, Copy)]
enum Lesser {
    UsualDefault,
    Rank,
    MustNot,
    Assumed,
    Spread,
    /// The best option within blackening, and what the others give up.
    Others,
    Notes,
}

/// All of [`Lesser`].
const LESSER: usize = Lesser::Notes as usize + 1;

impl Layout {
    fn keeps(self, line: Lesser) -> bool {
        self.gone <= line as usize
    }
}

/// The fullest form that has at most 30 lines: rows of the table and lesser lines go before the words of a finding.
fn fitted(answer: &Answer, options: &TerminalOptions, paper: &Paper) -> Vec<String> {
    let all = Layout {
        rows: ROWS[0],
        detail: Detail::Whole,
        tight: false,
        lean: false,
        gone: 0,
        ways_out: WaysOut::All,
    };
    let tight = Layout { tight: true, ..all };
    let lean = |from: Layout| Layout { lean: true, ..from };
    let with_rows = |from: Layout, rows: &[usize]| -> Vec<Layout> {
        rows.iter().map(|rows| Layout { rows: *rows, ..from }).collect()
    };
    let short = |gone: usize, rows: usize| Layout { detail: Detail::Short, rows, gone, ..lean(tight) };
    let without = |gone: usize| Layout { gone, ..tight };
    let giving_way = (1..=LESSER)
        .flat_map(|gone| [with_rows(without(gone), &[3, 2]), with_rows(lean(without(gone)), &[3, 2])]);
    let shortened = [3, 2, 0].map(|rows| (1..=LESSER).map(|gone| short(gone, rows)).collect());
    let forms = [with_rows(all, &ROWS), with_rows(tight, &ROWS), with_rows(lean(tight), &[3])]
        .into_iter()
        .chain(giving_way)
        .chain(shortened);
    // ways out go before a caution does, first those that fall short of the target
    let counted = |ways_out: WaysOut, most: usize| Layout {
        ways_out,
        detail: Detail::AtMost(most),
        ..short(LESSER, 0)
    };
    let all_of_them = answer.before.len();
    let last = [WaysOut::ThatReach, WaysOut::None, WaysOut::NoneAndNoNext]
        .map(|ways_out| counted(ways_out, all_of_them))
        .into_iter()
        .chain((0..all_of_them).rev().map(|most| counted(WaysOut::NoneAndNoNext, most)));
    let mut lines = Vec::new();
    let roomy = |layout: &Layout| {
        layout.lean || layout.rows <= 3 || !is_too_wide(&table_of(answer, *layout, paper), paper)
    };
    for layout in forms.flatten().chain(last).filter(roomy) {
        lines = whole(answer, layout, options, paper);
        if lines.len() <= MOST_LINES {
            break;
        }
    }
    lines
}

fn head(answer: &Answer, paper: &Paper) -> Vec<String> {
    let mut lines = vec![paper.bold(&cut(&answer.name, paper.columns))];
    lines.extend(paper.wrapped(&answer.question, "", "  "));
    if let Some(read_as) = &answer.read_as {
        lines.push(cut(read_as, paper.columns));
    }
    lines
}

fn push_verdict(lines: &mut Vec<String>, answer: &Answer, paper: &Paper) {
    let headline = paper.wrapped(&answer.headline.to_uppercase(), "", "");
    lines.extend(headline.iter().map(|line| paper.verdict(line, answer.met)));
    if let Some(reason) = &answer.reason_for_all {
        lines.extend(paper.wrapped(reason, "  ", "  "));
    }
}

/// The verdict, and then only what was requested.
fn requested(
    answer: &Answer,
    ranking: &Ranking,
    catalog: &Catalog,
    options: &TerminalOptions,
    paper: &Paper,
) -> Vec<String> {
    let rows = options.top.unwrap_or(ROWS[0]);
    let layout =
        Layout { rows, detail: Detail::Whole, tight: false, lean: false, gone: 0, ways_out: WaysOut::All };
    let mut lines = head(answer, paper);
    lines.push(String::new());
    push_verdict(&mut lines, answer, paper);
    let wide = options.why || options.top.is_some();
    let chosen = |pick: &&Pick| pick.number == Some(answer.order) || wide && pick.reaches;
    for pick in answer.picks.iter().filter(chosen) {
        push_pick(&mut lines, pick, layout, paper);
    }
    // the headline may speak of dangers
    if !options.why && !answer.before.is_empty() {
        let dangers = answer.before.iter().filter(|point| point.is_danger()).count();
        let said = match (dangers, answer.before.len()) {
            (0, all) => format!("{all} in all"),
            (1, all) => format!("1 danger, {all} in all"),
            (dangers, all) => format!("{dangers} dangers, {all} in all"),
        };
        lines.push(format!("  To settle before you order #{}: {said} (--why)", answer.order));
    }
    if options.top.is_some() && !answer.rows.is_empty() {
        lines.push(String::new());
        push_table(&mut lines, answer, layout, paper);
        push_counts(&mut lines, answer, layout, options, paper);
    }
    if options.why {
        if !answer.before.is_empty() {
            lines.push(String::new());
            push_before(&mut lines, answer, Detail::Whole, true, paper);
        }
        let said = limits(ranking, answer, &other_places(ranking, catalog), catalog);
        if !said.is_empty() {
            lines.push(String::new());
            lines.push(paper.bold(&format!("Limits of #{}", answer.order)));
            for one in &said {
                lines.extend(paper.wrapped(&one.text, &format!("  {}: ", one.subject), "    "));
            }
        }
    }
    if options.why_not {
        lines.push(String::new());
        lines.push(paper.bold(&format!("Ruled out: {}", options_in_words(answer.ruled_out))));
        answer.why_not.iter().for_each(|reason| push_reason(&mut lines, reason, paper));
    }
    if options.assumed {
        lines.push(String::new());
        answer.assumed.iter().for_each(|line| paper.labelled(&mut lines, "Assumed", line, false));
    }
    if options.why || options.assumed {
        answer.remarks_on_brief.iter().for_each(|remark| paper.labelled(&mut lines, "Note", remark, false));
    }
    lines.push(CLOSING.to_owned());
    lines
}

fn whole(answer: &Answer, layout: Layout, options: &TerminalOptions, paper: &Paper) -> Vec<String> {
    let tight = layout.tight;
    let mut lines = head(answer, paper);
    let gap = |lines: &mut Vec<String>| {
        if !tight {
            lines.push(String::new());
        }
    };
    if layout.gone == 0 {
        lines.push(String::new());
    }
    push_verdict(&mut lines, answer, paper);
    let kept = |pick: &Pick| match pick.label.as_str() {
        USUAL_DEFAULT => layout.keeps(Lesser::UsualDefault),
        BEST_BLACKENING => layout.keeps(Lesser::Others),
        _ => true,
    };
    // no way out is named without its dangers: where there is no space for these, one that falls short of the target goes
    // too, and one that reaches it says that it has them
    let full = |pick: &Pick| match layout.ways_out {
        WaysOut::All => false,
        WaysOut::ThatReach => !pick.leads && !pick.reaches,
        WaysOut::None | WaysOut::NoneAndNoNext => !pick.leads && (pick.dangers.is_some() || !pick.reaches),
    };
    let order_reaches = answer.picks.iter().any(|pick| pick.leads && pick.reaches);
    for pick in answer.picks.iter().filter(|pick| kept(pick)) {
        if !full(pick) {
            push_pick(&mut lines, pick, layout, paper);
        } else if pick.reaches && !order_reaches {
            let number = pick.number.map_or_else(String::new, |number| format!("#{number} "));
            let text =
                format!("{number}{}: {}; has dangers: --why", pick.build.replace(OUTSIDE, ""), pick.figures);
            lines.extend(paper.wrapped(&text, &format!("  {}: ", pick.label), "      "));
        }
    }
    if let Some(waits) = &answer.waits {
        lines.extend(paper.wrapped(waits, "  ", "      "));
    }
    if !answer.before.is_empty() {
        gap(&mut lines);
        push_before(&mut lines, answer, layout.detail, false, paper);
    }
    if !answer.rows.is_empty() {
        if layout.rows > 0 {
            gap(&mut lines);
            push_table(&mut lines, answer, layout, paper);
        }
        push_counts(&mut lines, answer, layout, options, paper);
    }
    if answer.rows.is_empty() {
        lines.push(String::new());
        // what rules out all is above
        let above = answer.reason_for_all.as_deref().unwrap_or_default();
        let told = |reason: &&Reason| !above.contains(reason.text.trim_end_matches('.'));
        for reason in answer.why_not.iter().filter(told).take(REASONS_SHOWN) {
            let remedy = reason.remedy.as_deref().map_or(String::new(), |remedy| format!(" {remedy}"));
            let lead = format!("  {}: ", options_in_words(reason.options));
            let said = paper.wrapped(&format!("{}{remedy}", reason.whole()), &lead, "    ");
            if lines.len() + said.len() <= MOST_LINES - LINES_BELOW {
                lines.extend(said);
            }
        }
        lines.push(format!("  {} ruled out (--why-not)", answer.ruled_out));
    }
    gap(&mut lines);
    if let Some(must_not) = answer.must_not.as_ref().filter(|_| layout.keeps(Lesser::MustNot)) {
        paper.labelled(&mut lines, "Must not", must_not, false);
    }
    if let Some(firm) = answer.firm.as_ref().filter(|_| layout.keeps(Lesser::Rank)) {
        paper.labelled(&mut lines, "Rank", firm, false);
    }
    let uncertainty = if tight { &answer.uncertainty_short } else { &answer.uncertainty };
    if let Some(uncertainty) = uncertainty.as_ref().filter(|_| layout.keeps(Lesser::Spread)) {
        paper.labelled(&mut lines, "Spread", uncertainty, tight);
    }
    if layout.keeps(Lesser::Assumed) {
        push_assumed(&mut lines, answer, paper);
    }
    if layout.keeps(Lesser::Notes) {
        push_notes(&mut lines, answer, tight, paper);
    }
    if let Some(command) = options.command.as_ref().filter(|_| layout.ways_out != WaysOut::NoneAndNoNext) {
        // what is ruled out has no papers
        let (verb, end) = if answer.rows.is_empty() { ("rank", " --why-not") } else { ("papers", "") };
        let whole = format!("overcoat {verb} {command}{end}");
        let short = format!("overcoat {verb} with the same brief and catalog{end}");
        let next = if width(&whole) <= paper.columns - LABEL { whole } else { short };
        // a page where there is space for both
        let both = format!("{next}; a page: rank with --format html --out FILE");
        let next = if width(&both) <= paper.columns - LABEL { both } else { next };
        paper.labelled(&mut lines, "Next", &next, true);
    }
    lines.push(CLOSING.to_owned());
    lines
}

/// What a full screen leaves out, counted.
fn left_out(answer: &Answer, layout: Layout) -> Option<String> {
    let counted = |line: Lesser, count: usize, one: &str| {
        (count > 0 && !layout.keeps(line))
            .then(|| if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") })
    };
    let said = [
        counted(Lesser::Assumed, answer.assumed.len(), "assumption"),
        counted(Lesser::Notes, answer.remarks_on_brief.len(), "note"),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    (!said.is_empty()).then(|| format!("{} (--assumed)", said.join(", ")))
}

fn push_pick(lines: &mut Vec<String>, pick: &Pick, layout: Layout, paper: &Paper) {
    let tight = layout.tight;
    let others = layout.keeps(Lesser::Others);
    let first = pick.leads;
    // which process is no black oxide is marked in the table
    let build = if others { pick.build.clone() } else { pick.build.replace(OUTSIDE, "") };
    let push = |lines: &mut Vec<String>, text: &str, first_indent: &str, bold: bool| {
        let all = paper.wrapped(text, first_indent, "      ");
        lines.extend(all.iter().map(|line| if bold { paper.bold(line) } else { line.clone() }));
    };
    let lead = format!("  {}: ", pick.label);
    match pick.number {
        Some(number) if first || !tight => {
            push(lines, &format!("#{number} {build}"), &lead, true);
            push(lines, &pick.figures, "      ", false);
            if let Some(lost) = &pick.gives_up {
                push(lines, lost, "      Gives up: ", false);
            }
        }
        Some(number) => {
            // the table names it, where there is one
            let in_table = layout.rows > 0 && !layout.lean;
            let named = !in_table && (layout.detail == Detail::Whole || layout.rows == 0);
            let build = if named { format!(" {build}") } else { String::new() };
            // what beats the first is no riddle beside it
            let lost =
                pick.gives_up.as_ref().filter(|_| others || BEATS_FIRST.contains(&pick.label.as_str()));
            let lost = lost.map_or_else(String::new, |lost| format!("; gives up {lost}"));
            let condition = if named { "" } else { pick.condition };
            push(lines, &format!("#{number}{build}: {}{condition}{lost}", pick.figures), &lead, false);
        }
        None => push(lines, &format!("{build}: {}", pick.figures), &lead, false),
    }
    if let Some(weaker) = pick.weaker.as_ref().filter(|weaker| !(tight && *weaker == AS_ABOVE)) {
        // which metals is clear beside them
        let figures = weaker.split(": ").next().unwrap_or(weaker);
        push(lines, figures, "      Weaker: ", false);
    }
    if let Some(dangers) = &pick.dangers {
        push(lines, &dangers.in_words, "      Danger: ", false);
    }
}

fn push_before(lines: &mut Vec<String>, answer: &Answer, detail: Detail, sources: bool, paper: &Paper) {
    let more = if detail == Detail::Whole { "" } else { " (reasons and sources: --why)" };
    lines.push(paper.bold(&format!("Before you order #{}{more}", answer.order)));
    let all = answer.before.len();
    let shown = if let Detail::AtMost(most) = detail { most } else { all };
    for point in answer.before.iter().take(shown) {
        let lead = format!("  {}: ", point.label);
        let text = if detail == Detail::Whole { point.whole() } else { point.short() };
        lines.extend(paper.wrapped(&text, &lead, "    "));
        if sources && !point.source.is_empty() {
            lines.extend(paper.wrapped(&point.source, "    Source: ", "    "));
        }
    }
    if shown < all {
        lines.push(format!("  {} more: --why", all - shown));
    }
}

/// The table; each row on one line where it would be too wide otherwise.
fn push_table(lines: &mut Vec<String>, answer: &Answer, layout: Layout, paper: &Paper) {
    let mut table = table_of(answer, layout, paper);
    if !layout.lean && is_too_wide(&table, paper) {
        table = table_of(answer, Layout { lean: true, ..layout }, paper);
    }
    for (at, line) in table.lines().enumerate() {
        let line = line.trim_end().replace(GLUE, " ");
        lines.push(if at == 0 { paper.bold(&line) } else { line });
    }
}

fn is_too_wide(table: &Table, paper: &Paper) -> bool {
    table.lines().any(|line| width(line.trim_end()) > paper.columns)
}

/// Columns of the table that hold figures, from the left; words follow.
const FIGURES: [&str; 5] = ["#", "prob.", "median", "80% range", COST];
const COST: &str = "cost";
const WORDS: [&str; 3] = ["metal", "process", "coats"];
/// Columns that a table with one line a row gives up for the names of coats, in this order; what all rows share first.
const GIVEN_UP: [&str; 3] = ["80% range", "median", "metal"];

/// A column of the table: heading, cells.
type Column = (&'static str, Vec<String>);

fn columns_of(answer: &Answer, layout: Layout, paper: &Paper) -> Vec<Column> {
    let shown = shown_rows(answer, layout.rows);
    let cell = |name: &str, row: &Row| match name {
        "#" => row.number.to_string(),
        "prob." => row.chance.clone(),
        "median" => row.median.clone(),
        "80% range" => row.range.clone(),
        COST => row.money.clone(),
        "metal" => row.words.metal.clone(),
        "process" => held_together(&process(row)),
        _ => held_together(&row.words.coats),
    };
    let of = |name: &&'static str| (*name, shown.iter().map(|row| cell(name, row)).collect());
    let mut columns: Vec<Column> = FIGURES.iter().chain(&WORDS).map(of).collect();
    if !layout.lean {
        return columns;
    }
    let widest = |(name, cells): &Column| {
        let heading = if *name == COST { width(&cost_heading(answer)) } else { width(name) };
        cells.iter().map(|cell| width(cell)).max().unwrap_or(0).max(heading)
    };
    let taken = |columns: &[Column]| columns.iter().map(|column| widest(column) + 1).sum::<usize>() - 1;
    for name in GIVEN_UP {
        let same = |(_, cells): &Column| cells.windows(2).all(|pair| pair.first() == pair.last());
        if taken(&columns) > paper.columns {
            columns.retain(|column| column.0 != name || name == "metal" && !same(column));
        }
    }
    if taken(&columns) > paper.columns {
        for (_, cells) in columns.iter_mut().filter(|(name, _)| *name == "process") {
            for cell in cells {
                *cell = cut_process(cell, LEAN_PROCESS);
            }
        }
    }
    let room = paper.columns.saturating_sub(columns.split_last().map_or(0, |(_, rest)| taken(rest) + 1));
    if let Some((_, coats)) = columns.last_mut() {
        for cell in coats {
            *cell = cut(cell, room.max(8));
        }
    }
    columns
}

fn cost_heading(answer: &Answer) -> String {
    if answer.relative { "cost/1000".to_owned() } else { format!("{}/1000", answer.cost_heading) }
}

fn table_of(answer: &Answer, layout: Layout, paper: &Paper) -> Table {
    let columns = columns_of(answer, layout, paper);
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(paper.columns).unwrap_or(u16::MAX));
    let heading = |name: &str| if name == COST { cost_heading(answer) } else { name.to_owned() };
    let headings: Vec<String> = columns.iter().map(|(name, _)| heading(name)).collect();
    table.set_header(&headings);
    for at in 0..columns.first().map_or(0, |(_, cells)| cells.len()) {
        table.add_row(columns.iter().filter_map(|(_, cells)| cells.get(at)));
    }
    let last = columns.len().saturating_sub(1);
    for (at, ((column, (name, cells)), heading)) in
        table.column_iter_mut().zip(&columns).zip(&headings).enumerate()
    {
        let breaks = !layout.lean && matches!(*name, "process" | "coats");
        let longest = |text: &str| {
            if breaks { text.split(' ').map(width).max().unwrap_or(0) } else { width(text) }
        };
        let needed = cells.iter().chain([heading]).map(|cell| longest(cell)).max().unwrap_or(0);
        let padding = u16::from(at < last);
        let needed = Width::Fixed(u16::try_from(needed).unwrap_or(u16::MAX).saturating_add(padding));
        column.set_padding((0, padding));
        column.set_constraint(ColumnConstraint::LowerBoundary(needed));
        if FIGURES.contains(name) {
            column.set_constraint(ColumnConstraint::Absolute(needed));
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// The process of a row in the few words of a table.
fn process(row: &Row) -> String {
    match row.words.oxide.as_str() {
        "none" => "no oxide".to_owned(),
        oxide if oxide.starts_with("class ") => format!("oxide {oxide}"),
        oxide => format!("{oxide}{}", if row.words.outside { "*" } else { "" }),
    }
}

/// A process of at most so many columns: its thickness goes first, then the end of its words.
fn cut_process(process: &str, columns: usize) -> String {
    let marked = process.strip_suffix('*');
    let name = marked.unwrap_or(process);
    let thinner = name.strip_suffix(" µm").and_then(|name| name.rsplit_once(' ')).map(|(name, _)| name);
    match thinner {
        Some(name) if width(process) > columns => {
            cut(&format!("{name}{}", if marked.is_some() { "*" } else { "" }), columns)
        }
        _ => cut(process, columns),
    }
}

/// The options that the verdict names, and the first of the others for as many rows as there are.
fn shown_rows(answer: &Answer, rows: usize) -> Vec<&Row> {
    let named = |row: &&Row| answer.picks.iter().any(|pick| pick.number == Some(row.number));
    let mut shown: Vec<&Row> = answer.rows.iter().filter(named).collect();
    let left = rows.saturating_sub(shown.len());
    shown.extend(answer.rows.iter().filter(|row| !named(row)).take(left));
    shown.sort_by_key(|row| row.number);
    shown
}

fn push_counts(
    lines: &mut Vec<String>,
    answer: &Answer,
    layout: Layout,
    options: &TerminalOptions,
    paper: &Paper,
) {
    let rows = layout.rows;
    let shown = if rows == 0 { 0 } else { shown_rows(answer, rows).len() };
    let mut said = Vec::new();
    if shown == 0 && !layout.keeps(Lesser::Notes) {
        // a full screen has one line for all that it counts
        let counted = format!(
            "{} usable, {} ruled out, {} assumed, {} noted",
            answer.usable,
            answer.ruled_out,
            answer.assumed.len(),
            answer.remarks_on_brief.len()
        );
        // on a screen without a line for what to type next, that stands here
        let next = options.command.as_ref().filter(|_| layout.ways_out == WaysOut::NoneAndNoNext);
        said.push(match next {
            Some(command) => {
                let whole = format!("{counted}. Next: overcoat papers {command}");
                let fits = width(&whole) + 2 <= paper.columns;
                if fits { whole } else { format!("{counted}. Next: overcoat papers BRIEF") }
            }
            None => format!("{counted} (--top N, --why-not, --assumed)"),
        });
        if answer.replaced > 0 {
            said.insert(0, format!("{} values from your catalog", answer.replaced));
        }
        lines.extend(paper.wrapped(&said.join("; "), "  ", "  "));
        return;
    }
    if answer.usable > shown {
        let more = if shown == 0 { "" } else { "more " };
        said.push(format!("{} {more}usable (--top {})", answer.usable - shown, answer.usable));
    }
    if answer.ruled_out > 0 {
        let how = if options.why_not { "" } else { " (--why-not)" };
        said.push(format!("{} ruled out{how}", answer.ruled_out));
    }
    if rows > 0 && shown_rows(answer, rows).iter().any(|row| row.words.outside) {
        said.push("* outside blackening".to_owned());
    }
    if shown > 0 {
        said.push(format!(
            "costs with replacements over {}{}",
            answer.required,
            if answer.relative { ", in relative units" } else { "" }
        ));
    }
    if rows > 0 && shown_rows(answer, rows).iter().any(|row| row.chance == NOT_STATED) {
        said.push(format!("{NOT_STATED}: beyond the evidence"));
    }
    if let Some(mixed) = &answer.mixed
        && rows > 0
        && shown_rows(answer, rows).iter().any(|row| row.money.starts_with(MIXED))
    {
        said.push(mixed.clone());
    }
    said.extend(left_out(answer, layout));
    if answer.replaced > 0 {
        said.push(format!("{} values from your catalog", answer.replaced));
    }
    let said = said.join("; ");
    lines.extend(paper.wrapped(&said, "    ", "    "));
}

fn options_in_words(options: usize) -> String {
    if options == 1 { "1 option".to_owned() } else { format!("{options} options") }
}

fn push_reason(lines: &mut Vec<String>, reason: &Reason, paper: &Paper) {
    let remedy = reason.remedy.as_deref().map_or(String::new(), |remedy| format!(" {remedy}"));
    lines.extend(paper.wrapped(
        &format!("{}{remedy}", reason.whole()),
        &format!("  {}: ", options_in_words(reason.options)),
        "    ",
    ));
    for what in reason.what.iter().take(WHAT_SHOWN) {
        lines.push(cut(&format!("      {what}"), paper.columns));
    }
    if reason.what.len() > WHAT_SHOWN {
        lines.push(format!("      and {} more metals and processes", reason.what.len() - WHAT_SHOWN));
    }
}

/// The assumptions in a line, as many as fit, the others counted; those that an answer hangs on most first.
fn push_assumed(lines: &mut Vec<String>, answer: &Answer, paper: &Paper) {
    let all = answer.assumed.len();
    if all == 0 {
        return;
    }
    let place =
        |line: &str| TOLD_FIRST.iter().position(|start| line.starts_with(start)).unwrap_or(TOLD_FIRST.len());
    let mut sorted: Vec<&str> = answer.assumed.iter().map(String::as_str).collect();
    sorted.sort_by_key(|line| place(line));
    let more =
        |shown: usize| if shown < all { format!(" + {} (--assumed)", all - shown) } else { String::new() };
    let mut said: Vec<&str> = Vec::new();
    let mut used = 0;
    for assumption in sorted {
        if used + width(assumption) + 2 + width(&more(said.len())) <= paper.columns - LABEL {
            used += width(assumption) + 2;
            said.push(assumption);
        }
    }
    let shown = said.len();
    let text = if shown == 0 { format!("{all} inputs (--assumed)") } else { said.join("; ") + &more(shown) };
    paper.labelled(lines, "Assumed", &text, true);
}

/// What is left of the advice on the own remarks.
const YOURSELF: &str = "Check them yourself.";

/// Remarks on the brief: two at most where nothing more is requested, and of each the first sentence on a tight screen.
fn push_notes(lines: &mut Vec<String>, answer: &Answer, tight: bool, paper: &Paper) {
    let all = &answer.remarks_on_brief;
    let shown = if all.len() > 2 { 1 } else { 2 };
    for remark in all.iter().take(shown) {
        // who asks knows the own remarks
        let remark = remark
            .split_once("Check them yourself: ")
            .map_or(remark.clone(), |(said, _)| format!("{said}{YOURSELF}"));
        let remark = match remark.split_once(". ") {
            Some((first, rest)) if tight && rest != YOURSELF => format!("{first} (--assumed)."),
            _ => remark,
        };
        paper.labelled(lines, "Note", &remark, false);
    }
    if all.len() > shown {
        paper.labelled(lines, "Note", &format!("{} more (--assumed)", all.len() - shown), true);
    }
}

/// Where the lines go: how many columns it has, and whether letters can have color.
pub(crate) struct Paper {
    pub(crate) columns: usize,
    pub(crate) color: bool,
}

fn width(text: &str) -> usize {
    textwrap::core::display_width(text)
}

/// A text in lines of at most 80 columns, broken between words.
#[cfg(feature = "command")]
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
    textwrap::wrap(&held_together(text), options).into_iter().map(|line| line.replace(GLUE, " ")).collect()
}

/// A blank at which no line breaks.
const GLUE: char = '\u{a0}';

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

impl Paper {
    /// A text in lines, broken between words.
    fn wrapped(&self, text: &str, first: &str, next: &str) -> Vec<String> {
        wrapped_to(self.columns, text, first, next)
    }

    fn labelled(&self, lines: &mut Vec<String>, label: &str, text: &str, one_line: bool) {
        let first = format!("{label:<LABEL$}");
        if one_line {
            lines.push(cut(&format!("{first}{text}"), self.columns));
        } else {
            lines.extend(self.wrapped(text, &first, &" ".repeat(LABEL)));
        }
    }

    fn with(&self, code: &str, text: &str) -> String {
        if self.color && !text.is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }

    fn bold(&self, text: &str) -> String {
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
            let some = ranking.met || ranking.cheapest_met().is_some();
            let head = if some { "TARGET MET" } else { "TARGET NOT MET" };
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
    fn nothing_on_the_option_to_order_is_cut() {
        for (path, brief) in demo_briefs() {
            let ranking = rank(&brief, Catalog::built_in()).unwrap();
            let points = Answer::of(&ranking, Catalog::built_in()).before;
            let short = answer(&brief, &TerminalOptions::default());
            let whole = short.split_whitespace().collect::<Vec<_>>().join(" ");
            for point in &points {
                let told = [point.whole(), point.short()].iter().any(|text| whole.contains(text));
                assert!(told, "{path}: {}\n{short}", point.whole());
            }
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
