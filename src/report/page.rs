//! The answer as one self-contained page, the papers as another, and fragments for notebooks.

use std::collections::HashSet;
use std::sync::LazyLock;

use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment};
use std::fmt::Write as _;

use serde::Serialize;
use serde_json::{Value as Json, json};

use crate::Result;
use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::check::Finding;
use crate::life::Outlook;
use crate::papers::{Papers, Units};
use crate::rank::points::{Point, worst_first};
use crate::rank::verdict::{NOT_STATED, criterion_in_words, total};
use crate::rank::words::{amount, capital, factor_words, metal_short, percent, years};
use crate::rank::{RankedOption, Ranking, USUAL_TARGET};
use crate::report::answer::{Answer, Reason, Row};
use crate::report::change::Changes;
use crate::report::chart::ChartWords;
use crate::report::limits::{
    MORE_PROBABILITY, OTHER_SITES, Said, best_of_processes, in_short, limits, order_note, ordered,
};
use crate::report::picture::{HeatCell, costs, heat_map, ranges};
use crate::study::{Chart, ChartCell};

/// Options in the table of a page where nothing else is requested.
const USUAL_ROWS: usize = 6;
/// Least share of the spread that is listed.
const SHARE_SHOWN: f64 = 0.08;
/// Metals and processes named under a reason.
const WHAT_SHOWN: usize = 1;
/// Replaced values that are named.
const PATHS_SHOWN: usize = 16;

const STYLE: &str = include_str!("templates/style.css");
const CONTROLS: &str = include_str!("templates/controls.js");

static TEMPLATES: LazyLock<Environment<'static>> = LazyLock::new(|| {
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.add_filter("in_words", fields_in_words);
    if let Ok(syntax) = SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build() {
        environment.set_syntax(syntax);
    }
    for (name, text) in [
        ("answer", include_str!("templates/answer.html")),
        ("papers", include_str!("templates/papers.html")),
        ("chart", include_str!("templates/chart.html")),
        ("ranking", include_str!("templates/ranking.html")),
        ("option", include_str!("templates/option.html")),
        ("outlook", include_str!("templates/outlook.html")),
        ("brief", include_str!("templates/brief.html")),
        ("finding", include_str!("templates/finding.html")),
    ] {
        #[expect(
            clippy::expect_used,
            reason = "our own templates, rendered by a test; no user input reaches this"
        )]
        environment.add_template(name, text).expect("the template is sound");
    }
    environment
});

fn render(name: &str, values: Json) -> String {
    #[expect(
        clippy::expect_used,
        reason = "our own templates, rendered by a test; values are text and numbers"
    )]
    TEMPLATES
        .get_template(name)
        .and_then(|template| template.render(Serde(values)))
        .expect("the template renders")
}

/// What a page says of itself.
#[derive(Debug, Clone, Default)]
pub struct PageOptions {
    /// Options in the table; 6 where none is given, and those that the verdict names.
    pub top: Option<usize>,
    /// The date of the page, as it is to be printed.
    pub date: String,
    /// The revision of the inquiry.
    pub revision: Option<String>,
    /// The words that follow `overcoat papers` for this brief, to be typed next.
    pub command: Option<String>,
}

/// A ranking as one self-contained HTML page: verdict, what to do before the order, two pictures, options, assumptions,
/// what would change the answer, details folded.
///
/// It fetches nothing. Its controls look up tables that are computed here and written into the page. Text of the user
/// is escaped.
///
/// ```
/// use overcoat::report::{PageOptions, answer_page};
/// use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1",
///     "name": "guard plates <in> a heated hall",
///     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
///     "duty": {"place": "indoor_heated", "required_years": 10}
/// }"#)?;
/// let catalog = Catalog::built_in();
/// let page = answer_page(&rank(&brief, catalog)?, catalog, &PageOptions::default())?;
/// assert!(page.starts_with("<!doctype html>") && page.contains("&lt;in&gt;"));
/// # Ok::<(), overcoat::Error>(())
/// ```
///
/// # Errors
/// A catalog other than that of the ranking.
pub fn answer_page(ranking: &Ranking, catalog: &Catalog, options: &PageOptions) -> Result<String> {
    let answer = Answer::of(ranking, catalog);
    let changes = Changes::of(ranking, &answer, catalog)?;
    let best = ordered(ranking);
    let shown = shown_rows(&answer, options.top.unwrap_or(USUAL_ROWS));
    let mut sources: Vec<&String> =
        answer.before.iter().map(|point| &point.source).filter(|source| !source.is_empty()).collect();
    sources.dedup();
    let processes = best_of_processes(&answer, &shown.iter().map(|shown| shown.row).collect::<Vec<_>>());
    let cost_heading = cost_heading(&answer);
    let own_catalog = if ranking.overrides.is_empty() { "" } else { " --catalog CATALOG" };
    let command = options.command.clone().unwrap_or_else(|| format!("BRIEF{own_catalog}"));
    let limits = limits(ranking, &answer, changes.as_ref().map_or(&[], |changes| &changes.places), catalog);
    // the table of sites and the options named at the top say the same
    let told = |said: &Said| {
        said.subject == OTHER_SITES
            || answer.picks.iter().filter_map(|pick| pick.number).any(|number| {
                said.subject == MORE_PROBABILITY && said.text.starts_with(&format!("#{number} ("))
            })
    };
    let limits = limits.into_iter().filter(|said| !told(said)).collect();
    let (short, limits) = in_short(ranking, limits);
    Ok(render(
        "answer",
        json!({
            "style": STYLE,
            "controls": CONTROLS,
            "date": options.date,
            "revision": options.revision,
            "version": ranking.version,
            "ranges": ranges(&answer),
            "costs": costs(&answer),
            "before": answer
                .before
                .iter()
                .map(|point| json!({ "label": point.label, "whole": point.whole() }))
                .collect::<Vec<_>>(),
            "unstated": shown.iter().map(|shown| shown.row).chain(processes.iter().copied()).any(|row| row.chance == NOT_STATED),
            "rows": shown,
            "category": ranking.atmosphere.category.to_string(),
            "cost_heading": cost_heading,
            "changes": changes.as_ref().map(|changes| &changes.lines),
            "places": changes.as_ref().map(|changes| &changes.places),
            "order_chance": answer.rows.iter().find(|row| row.number == answer.order).map(|row| &row.chance),
            "table": changes.as_ref().map(|changes| &changes.table),
            "table_years": changes.as_ref().map(|changes| &changes.years),
            "target_percent": format!("{:.0}", answer.target * 100.0),
            "question": question(&ranking.brief, catalog),
            "limits": limits,
            "processes": processes,
            "command": command,
            "short": short,
            "order_note": order_note(ranking, answer.order, catalog)?,
            "criteria": best.map(criteria),
            "score": best.map(|best| format!("{:.2}", best.score.value)),
            "factors": best.map(|best| factors(&best.outlook, Some(catalog))),
            "cost_lines": best.map(cost_lines),
            "reasons": reasons(&answer.why_not),
            "sources": sources,
            "replaced": replaced(ranking, catalog),
            "answer": answer,
        }),
    ))
}

fn cost_heading(answer: &Answer) -> String {
    if answer.relative { "Cost".to_owned() } else { format!("{} per 1,000", answer.cost_heading) }
}

/// A row with whether the verdict names it.
#[derive(Serialize)]
struct ShownRow<'a> {
    #[serde(flatten)]
    row: &'a Row,
    picked: bool,
}

fn shown_rows(answer: &Answer, top: usize) -> Vec<ShownRow<'_>> {
    let picked: Vec<usize> = answer.picks.iter().filter_map(|pick| pick.number).collect();
    answer
        .rows
        .iter()
        .enumerate()
        .map(|(at, row)| (at, ShownRow { row, picked: picked.contains(&row.number) }))
        .filter(|(at, shown)| *at < top || shown.picked)
        .map(|(_, shown)| shown)
        .collect()
}

#[derive(Serialize)]
struct Named {
    name: String,
    text: String,
}

/// The values of an own catalog that stand for others, in words.
fn replaced(ranking: &Ranking, catalog: &Catalog) -> Vec<String> {
    let words = |part: &str| value_in_words(&named(&Json::String(part.to_owned()), catalog));
    let path =
        |path: &str| path.trim_end_matches(".value").split('.').map(words).collect::<Vec<_>>().join(", ");
    ranking.overrides.iter().take(PATHS_SHOWN).map(|one| path(&one.path)).collect()
}

/// Part, duty and wants, each in a line.
fn question(brief: &Brief, catalog: &Catalog) -> Vec<Named> {
    let units = Units::of(brief);
    let document = serde_json::to_value(brief).unwrap_or_default();
    ["part", "duty", "wants"]
        .into_iter()
        .map(|section| {
            let fields = document.get(section).and_then(Json::as_object);
            let said: Vec<String> = fields
                .into_iter()
                .flatten()
                .map(|(name, value)| field_in_words(name, &named(value, catalog)))
                .collect();
            let text =
                if said.is_empty() { "none stated".to_owned() } else { units.sentence(&said.join("; ")) };
            Named { name: capital(section), text }
        })
        .collect()
}

/// A value with the names of base metals, processes and films in place of their catalog keys.
fn named(value: &Json, catalog: &Catalog) -> Json {
    match value {
        Json::String(key) => {
            let metal = catalog.base_metal(key).map(metal_short).ok();
            let treatment = || catalog.treatment(key).map(|treatment| treatment.name.clone()).ok();
            let film = || catalog.film(key).map(|film| film.name.clone()).ok();
            metal.or_else(treatment).or_else(film).map_or_else(|| value.clone(), Json::String)
        }
        Json::Array(items) => items.iter().map(|item| named(item, catalog)).collect(),
        Json::Object(fields) => {
            Json::Object(fields.iter().map(|(name, item)| (name.clone(), named(item, catalog))).collect())
        }
        other => other.clone(),
    }
}

/// What ends the name of a field of a brief, as the unit behind its number.
const UNITS: [(&str, &str); 10] = [
    ("_mg_m2_day", " mg/(m²·day)"),
    ("_um", " µm"),
    ("_mm", " mm"),
    ("_dm2", " dm²"),
    ("_m", " m"),
    ("_g", " g"),
    ("_hv", " HV"),
    ("_pct", "%"),
    ("_years", " years"),
    ("_c", " °C"),
];

/// A field of a brief with its value: words, number, unit.
fn field_in_words(field: &str, value: &Json) -> String {
    let (name, unit) = without_unit(field);
    format!("{name}: {}{unit}", value_in_words(value))
}

/// A remedy with the fields of the brief in words, for those who read a page and not the brief.
fn fields_in_words(text: &str) -> String {
    let is_field = |word: &str| {
        word.contains(['_', '.'])
            && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "_.".contains(c))
    };
    if text.matches('`').count() % 2 == 1 {
        return text.to_owned();
    }
    let in_words = |(place, piece): (usize, &str)| match piece {
        field if place % 2 == 1 && is_field(field) => {
            without_unit(field.rsplit('.').next().unwrap_or(field)).0
        }
        code if place % 2 == 1 => format!("`{code}`"),
        plain => plain.to_owned(),
    };
    text.split('`').enumerate().map(in_words).collect()
}

/// The name of a field without its unit, in words, and the unit.
fn without_unit(field: &str) -> (String, &'static str) {
    let unit = UNITS.iter().find(|(end, _)| field.ends_with(end));
    let name = unit.map_or(field, |(end, _)| field.strip_suffix(end).unwrap_or(field)).replace('_', " ");
    (name, unit.map_or("", |(_, unit)| unit))
}

/// Characters of a number that is shown as it was entered.
const FIGURES: usize = 8;

fn value_in_words(value: &Json) -> String {
    match value {
        Json::Null => "none".to_owned(),
        Json::Bool(true) => "yes".to_owned(),
        Json::Bool(false) => "no".to_owned(),
        Json::Number(number) => {
            let text = number.to_string();
            let rounded = || Some(format!("{:.3e}", number.as_f64()?).parse::<f64>().ok()?.to_string());
            // inputs with units were converted: 3 oz are 85.05 g
            let text = if text.len() > FIGURES { rounded().unwrap_or(text) } else { text };
            text.trim_end_matches(".0").to_owned()
        }
        // catalog names and choices are words; designations as M8 or 1/4-20 UNC have no underscore
        Json::String(text) => text.replace('_', " "),
        Json::Array(items) => items.iter().map(value_in_words).collect::<Vec<_>>().join(", "),
        Json::Object(fields) => {
            fields.iter().map(|(name, value)| field_in_words(name, value)).collect::<Vec<_>>().join(", ")
        }
    }
}

#[derive(Serialize)]
struct Criterion {
    name: String,
    value: String,
    weight: String,
}

fn criteria(option: &RankedOption) -> Vec<Criterion> {
    option
        .score
        .shares
        .iter()
        .map(|share| Criterion {
            name: capital(criterion_in_words(share.criterion)),
            value: format!("{:.2}", share.desirability),
            weight: percent(share.weight),
        })
        .collect()
}

#[derive(Serialize)]
struct FactorWords {
    name: String,
    share: String,
    source: String,
}

/// What the spread of an outlook comes from, largest first.
fn factors(outlook: &Outlook, catalog: Option<&Catalog>) -> Vec<FactorWords> {
    let mut shares: Vec<_> = outlook.variance_shares.iter().collect();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    let name = |factor: &str| match catalog {
        Some(catalog) => factor_words(factor, catalog),
        // of an outlook alone the catalog is not known
        None => factor_words(factor, Catalog::built_in()).replace('_', " "),
    };
    // one publication often carries several numbers
    let mut told: Vec<String> = Vec::new();
    let mut cited = |source: String| {
        if told.contains(&source) {
            return "as above".to_owned();
        }
        told.push(source.clone());
        source
    };
    shares
        .into_iter()
        .filter(|share| catalog.is_none() || share.share >= SHARE_SHOWN)
        .map(|share| FactorWords {
            name: name(&share.factor),
            share: percent(share.share),
            source: cited(share.source.to_string()),
        })
        .collect()
}

#[derive(Serialize)]
struct Line {
    item: String,
    amount: String,
}

fn cost_lines(option: &RankedOption) -> Vec<Line> {
    let cost = &option.cost;
    let mut lines: Vec<Line> = cost
        .lines
        .iter()
        .map(|line| Line { item: line.item.to_string(), amount: amount(line.per_thousand) })
        .collect();
    lines.push(Line { item: "Total over the required years".to_owned(), amount: total(option) });
    lines
}

#[derive(Serialize)]
struct ReasonWords<'a> {
    text: String,
    remedy: Option<&'a str>,
    options: usize,
    what: String,
}

/// The reasons; what to order in their place is said once where several have it in common.
fn reasons(why_not: &[Reason]) -> Vec<ReasonWords<'_>> {
    let mut told = HashSet::new();
    why_not
        .iter()
        .map(|reason| {
            let more = match reason.what.len().saturating_sub(WHAT_SHOWN) {
                0 => String::new(),
                1 => "; 1 more metal or process".to_owned(),
                more => format!("; {more} more metals and processes"),
            };
            let named: Vec<&str> = reason.what.iter().take(WHAT_SHOWN).map(String::as_str).collect();
            ReasonWords {
                text: reason.whole(),
                remedy: reason.remedy.as_deref().filter(|remedy| told.insert(*remedy)),
                options: reason.options,
                what: named.join("; ") + &more,
            }
        })
        .collect()
}

/// Route, order note and acceptance plan as one self-contained HTML page, to be read or printed: each begins on a new
/// page, and every page has inquiry, revision and date at its head. Papers without their own date or revision get
/// those of the options.
pub fn papers_page(papers: &Papers, options: &PageOptions) -> String {
    let date = papers.date.as_deref().unwrap_or(&options.date);
    let revision = papers.revision.as_deref().or(options.revision.as_deref());
    let papers = papers.clone().dated(Some(date), revision);
    let running = match &papers.revision {
        Some(revision) => format!("Revision {revision}, {}", papers.date.as_deref().unwrap_or_default()),
        None => format!("Revision ____, {}", papers.date.as_deref().unwrap_or_default()),
    };
    render(
        "papers",
        json!({
            "style": STYLE,
            "name": papers.inquiry,
            "date": papers.date,
            "revision": papers.revision,
            "version": papers.version,
            "head": css_string(&papers.inquiry),
            "running": css_string(&running),
            // the papers escape what a user wrote
            "papers": papers.to_html(),
        }),
    )
}

/// A string of a style sheet: all but letters, digits and spaces escaped by number.
fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for letter in text.chars() {
        if letter.is_alphanumeric() || letter == ' ' {
            out.push(letter);
        } else {
            let _ = write!(out, "\\{:x} ", u32::from(letter));
        }
    }
    out.push('"');
    out
}

/// A chart of choices as one self-contained HTML page.
pub fn chart_page(chart: &Chart, title: &str, catalog: &Catalog, options: &PageOptions) -> String {
    let columns: Vec<String> = chart
        .places
        .iter()
        .map(|place| format!("{} {}", place.name.replace('_', " "), place.category))
        .collect();
    let words = ChartWords::of(chart, catalog);
    let cells = chart.cells.iter().map(|cells| {
        let said = |cell: &ChartCell| match cell {
            cell if cell.blocked => Err("–"),
            cell if cell.beyond_evidence => Err(NOT_STATED),
            cell => Ok(cell.probability_ok),
        };
        cells.iter().map(said).collect::<Vec<_>>()
    });
    let rows: Vec<(String, Vec<HeatCell>)> = words.rows.into_iter().zip(cells).collect();
    let subtitle = format!(
        "Probability of {} to {}, %; the last color is {} or more",
        years(chart.required_years),
        chart.failure,
        percent(USUAL_TARGET)
    );
    render(
        "chart",
        json!({
            "style": STYLE,
            "title": title,
            "subtitle": subtitle,
            "date": options.date,
            "version": env!("CARGO_PKG_VERSION"),
            "svg": heat_map(&columns, &rows, USUAL_TARGET, &subtitle),
            "notes": words.notes,
            "cautions": crate::rank::CAUTIONS,
        }),
    )
}

/// A ranking as an HTML fragment for a notebook, its first `top` options in a table.
pub fn ranking_fragment(ranking: &Ranking, catalog: &Catalog, top: usize) -> String {
    let answer = Answer::of(ranking, catalog);
    let rows = shown_rows(&answer, top);
    let cost_heading = cost_heading(&answer);
    render("ranking", json!({"rows": rows, "cost_heading": cost_heading, "answer": answer}))
}

/// An option as an HTML fragment for a notebook.
pub fn option_fragment(option: &RankedOption, catalog: &Catalog) -> String {
    // no target stands beside it
    let row = Row::of(0, option, 0.0, Units::Metric, catalog);
    let mut points = worst_first(option);
    let notes = option.findings.iter().filter(|finding| finding.kind == crate::check::FindingKind::Notes);
    points.extend(notes.map(Point::of));
    render(
        "option",
        json!({
            "row": row,
            "points": points,
            "score": format!("{:.2}", option.score.value),
            "currency": option.cost.currency,
            "cost_lines": cost_lines(option),
        }),
    )
}

/// An outlook as an HTML fragment for a notebook.
pub fn outlook_fragment(outlook: &Outlook) -> String {
    render(
        "outlook",
        json!({
            "chance": percent(outlook.probability_ok),
            "median": outlook.in_words(outlook.median_years),
            "range": outlook.range_in_words(),
            "factors": factors(outlook, None),
        }),
    )
}

/// A brief as an HTML fragment for a notebook.
pub fn brief_fragment(brief: &Brief) -> String {
    render("brief", json!({"name": brief.name, "question": question(brief, Catalog::built_in())}))
}

/// A finding as an HTML fragment for a notebook.
pub fn finding_fragment(finding: &Finding) -> String {
    render("finding", json!({"point": Point::of(finding)}))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::{Units, papers};
    use crate::rank::rank;
    use crate::study::{chart, plain_brief};

    const HOSTILE: &str =
        "</title></style></script><script>alert(1)</script>\"><img src=x onerror='x'> {{ 7777 * 3 }}";

    fn ranking(name: &str, wants: &str) -> Ranking {
        let document = serde_json::json!({
            "schema": "overcoat.brief.v1", "name": name, "remarks": name,
            "part": {"form": "bracket", "base_metal": "steel_5_8", "mass_g": 180, "surface_dm2": 1.3},
            "duty": {"place": "coastal", "required_years": 5},
            "wants": serde_json::from_str::<Json>(wants).unwrap(),
        });
        rank(&Brief::from_json(&document.to_string()).unwrap(), Catalog::built_in()).unwrap()
    }

    fn options() -> PageOptions {
        PageOptions {
            date: "2026-11-27".to_owned(),
            revision: Some(HOSTILE.to_owned()),
            command: Some(HOSTILE.to_owned()),
            ..PageOptions::default()
        }
    }

    #[test]
    fn every_page_and_fragment_escapes_what_a_user_wrote() {
        let catalog = Catalog::built_in();
        let (plain, hostile) = (ranking("words", "{}"), ranking(HOSTILE, "{}"));
        let pages = |ranking: &Ranking| {
            let best = ranking.best().unwrap();
            let written = papers(&ranking.brief, best, catalog, Units::Metric).unwrap();
            let chart = chart(&ranking.brief, None, None, catalog).unwrap();
            vec![
                answer_page(ranking, catalog, &options()).unwrap(),
                papers_page(&written, &options()),
                chart_page(&chart, &ranking.brief.name, catalog, &options()),
                ranking_fragment(ranking, catalog, 6),
                option_fragment(best, catalog),
                outlook_fragment(&best.outlook),
                brief_fragment(&ranking.brief),
            ]
        };
        for (one, other) in pages(&plain).iter().zip(pages(&hostile)) {
            assert_eq!(one.matches('<').count(), other.matches('<').count());
            assert!(!other.contains("<img") && !other.contains("23331"), "{other}");
        }
    }

    #[test]
    fn a_page_fetches_nothing_and_has_no_catalog_key() {
        let page = answer_page(&ranking("words", "{}"), Catalog::built_in(), &options()).unwrap();
        assert!(page.contains("default-src 'none'"));
        assert!(!page.replace("http://www.w3.org/2000/svg", "").contains("://"));
        assert_eq!(page.matches("<svg").count(), 2);
        let shown = page.split("<script").next().unwrap();
        let shown = shown.split("</style>").nth(1).unwrap();
        let keys: Vec<&str> =
            shown.split(|c: char| !c.is_alphanumeric() && c != '_').filter(|w| w.contains('_')).collect();
        assert_eq!(keys, [""; 0]);
    }

    #[test]
    fn a_remedy_on_a_page_names_fields_in_words() {
        let said = fields_in_words("Enter `part.tempering_temperature_c` from the certificate.");
        assert_eq!(said, "Enter tempering temperature from the certificate.");
        assert_eq!(fields_in_words("Set `wants.black` to false."), "Set black to false.");
        for kept in ["a `single mark of_someone", "write `no acid` down", "[] for none"] {
            assert_eq!(fields_in_words(kept), kept);
        }
    }

    #[test]
    fn a_page_without_a_usable_option_says_why() {
        let none = ranking("words", r#"{"builds": [{"treatment": "stainless_alkaline", "films": []}]}"#);
        assert!(none.best().is_none());
        let page = answer_page(&none, Catalog::built_in(), &options()).unwrap();
        assert!(page.contains("No option is usable") && page.contains("Why not the others"));
        assert!(!page.contains("<svg") && !page.contains("<script"));
    }

    /// What the controls look up is on the front of the ranking of the brief with these years.
    #[test]
    fn the_tables_of_a_page_are_rankings_of_moved_briefs() {
        let catalog = Catalog::built_in();
        let own = ranking("words", "{}");
        let changes = Changes::of(&own, &Answer::of(&own, catalog), catalog).unwrap().unwrap();
        let table: Json = serde_json::from_str(&changes.table).unwrap();
        for (place, required_years) in [(0, 0.5), (5, 4.0), (10, 10.0)] {
            let mut brief = own.brief.clone();
            brief.duty.required_years = required_years;
            let there = rank(&brief, catalog).unwrap();
            assert_eq!(changes.years[place].words, years(required_years));
            let front = table["fronts"][place].as_array().unwrap();
            for target in [0.3, 0.6, 0.85] {
                let reaching = |o: &&RankedOption| !o.blocked && o.outlook.probability_ok >= target;
                let cheapest =
                    there.options.iter().filter(reaching).map(|o| o.cost.per_thousand).reduce(f64::min);
                let found = front.iter().find(|row| row[1].as_f64().unwrap() >= target);
                match (cheapest, found) {
                    (Some(cheapest), Some(row)) => {
                        assert!(
                            (row[2].as_f64().unwrap() - cheapest).abs() < 0.01,
                            "{required_years} {target}"
                        );
                    }
                    (None, None) => {}
                    other => panic!("{required_years} {target}: {other:?}"),
                }
            }
        }
    }

    #[test]
    fn the_same_answer_gives_the_same_page() {
        let own = ranking("words", "{}");
        let page = || answer_page(&own, Catalog::built_in(), &options()).unwrap();
        assert_eq!(page(), page());
        let chart = chart(&plain_brief(5.0).unwrap(), None, None, Catalog::built_in()).unwrap();
        let of_chart = chart_page(&chart, "chart", Catalog::built_in(), &options());
        assert_eq!(of_chart.matches("class=\"heat heat").count(), chart.builds.len() * chart.places.len());
    }
}
