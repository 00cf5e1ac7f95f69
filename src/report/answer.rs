//! What a person reads of a ranking, in words and in reading order: terminal and page print the same facts.

use std::fmt::Write as _;

use serde::Serialize;

use crate::atmosphere::Determination;
use crate::brief::written::thousands;
use crate::brief::{Brief, SITE_ASSUMED, Units};
use crate::catalog::Catalog;
use crate::check::{Finding, FindingKind, NOT_JUDGED};
use crate::rank::COST_LIMIT;
use crate::rank::points::{Point, worst_first};
use crate::rank::verdict::{
    Choice, Pick, chance, headline, picks, reason_for_all, short_figures, total, weaker, with_what,
};
use crate::rank::words::{
    BuildWords, OUTSIDE, amount, capital, factor_words, has_currency, mixed_in_words, percent, pieces,
    sentence, years,
};
use crate::rank::{IN_PART, RankedOption, Ranking, spread_in_short, spread_in_words};
use crate::report::limits::{must_not, ordered};

/// The answer to a brief in words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Answer {
    pub(crate) name: String,
    pub(crate) remarks: Option<String>,
    /// Place, years, pieces, target in a line.
    pub(crate) question: String,
    pub(crate) met: bool,
    /// Met or not, and by what.
    pub(crate) headline: String,
    /// What rules out all, where one reason does.
    pub(crate) reason_for_all: Option<String>,
    /// What to order, the cheapest that reaches the target, the usual default.
    pub(crate) picks: Vec<Pick>,
    /// How well supported #1 is.
    pub(crate) firm: Option<String>,
    /// What a grade of inch bolts was read as.
    pub(crate) read_as: Option<String>,
    /// Place in the ranking, from 1, of the option to order: the first, or the lowest-cost one that reaches the target
    /// where the first does not.
    pub(crate) order: usize,
    /// Every `needs` and `warns` of the option to order, worst first.
    pub(crate) before: Vec<Point>,
    /// What the option to order must not meet.
    pub(crate) must_not: Option<String>,
    /// Every usable option.
    pub(crate) rows: Vec<Row>,
    /// Finishes outside the ranking, where none in it reaches the target.
    pub(crate) references: Vec<Row>,
    pub(crate) why_not: Vec<Reason>,
    pub(crate) usable: usize,
    pub(crate) ruled_out: usize,
    /// Where the spread of the years comes from.
    pub(crate) uncertainty: Option<String>,
    /// The same in one line.
    pub(crate) uncertainty_short: Option<String>,
    pub(crate) assumed: Vec<String>,
    pub(crate) remarks_on_brief: Vec<String>,
    /// How many options a guessed tempering rules out, with the best of them.
    pub(crate) waits: Option<String>,
    /// The heading of a column of costs.
    pub(crate) cost_heading: String,
    pub(crate) relative: bool,
    /// What the mark of costs in no currency means, where the catalog has a currency and lacks prices.
    pub(crate) mixed: Option<String>,
    pub(crate) required: String,
    pub(crate) required_years: f64,
    pub(crate) target: f64,
    pub(crate) target_words: String,
    pub(crate) atmosphere: String,
    pub(crate) catalog: String,
    pub(crate) replaced: usize,
    pub(crate) cautions: Vec<String>,
}

/// One option as a row of a table.
#[derive(Debug, Clone, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts, as a template asks for them")]
pub(crate) struct Row {
    pub(crate) number: usize,
    /// Rank, which options with tied scores share.
    pub(crate) rank: Option<u32>,
    /// What `--build` takes.
    pub(crate) build: String,
    pub(crate) name: String,
    #[serde(flatten)]
    pub(crate) words: BuildWords,
    pub(crate) line: String,
    pub(crate) process: String,
    pub(crate) probability: f64,
    pub(crate) chance: String,
    pub(crate) median: String,
    pub(crate) range: String,
    /// The median, and what nine of ten exceed, in whole words.
    pub(crate) median_words: String,
    pub(crate) least_words: String,
    pub(crate) median_years: f64,
    pub(crate) p10_years: f64,
    pub(crate) p90_years: f64,
    pub(crate) cost: f64,
    pub(crate) money: String,
    /// Strength beside that of the metal asked for, where it is lower.
    pub(crate) weaker: Option<String>,
    pub(crate) score: f64,
    pub(crate) met: bool,
    pub(crate) blocked: bool,
    pub(crate) trade_default: bool,
    pub(crate) on_pareto_front: bool,
    pub(crate) points: Vec<Point>,
}

/// Options that one reason rules out.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Reason {
    pub(crate) rule: String,
    pub(crate) text: String,
    pub(crate) remedy: Option<String>,
    pub(crate) options: usize,
    /// Further reasons of the same kind.
    pub(crate) likewise: usize,
    /// Base metals and processes concerned, each with the number of coat systems.
    pub(crate) what: Vec<String>,
}

impl Answer {
    pub(crate) fn of(ranking: &Ranking, catalog: &Catalog) -> Self {
        let brief = &ranking.brief;
        let units = Units::of(brief);
        let target = ranking.target_probability();
        let required_years = brief.duty.required_years;
        let rows: Vec<Row> = ranking
            .options
            .iter()
            .enumerate()
            .filter(|(_, option)| !option.blocked)
            .map(|(at, option)| Row::of(at + 1, option, target, units, catalog))
            .collect();
        let references =
            ranking.references.iter().map(|option| Row::of(0, option, target, units, catalog)).collect();
        let choice = Choice::of(ranking);
        let order = ranking.to_order().unwrap_or(0);
        let priced = |option: &&RankedOption| option.cost.items_without_price().next().is_none();
        let first = ranking.options.iter().find(priced).or(ranking.options.first());
        let currency = first.map_or("", |option| option.cost.currency.trim_start_matches(IN_PART));
        let currency = currency.split(',').next().unwrap_or(currency);
        let relative = !has_currency(currency);
        Self {
            name: brief.name.clone(),
            remarks: brief.remarks.clone(),
            question: question(ranking, target),
            met: ranking.met || choice.cheapest.is_some(),
            headline: headline(ranking, &choice, target),
            reason_for_all: reason_for_all(ranking, catalog),
            picks: picks(ranking, &choice, catalog),
            firm: ranking.firmness(),
            read_as: ranking.remarks.iter().find_map(|remark| read_as(remark)),
            order: order + 1,
            before: ordered(ranking).map(|option| before_order(option, ranking, catalog)).unwrap_or_default(),
            must_not: must_not(ranking, catalog),
            usable: rows.len(),
            ruled_out: ranking.options.len() - rows.len(),
            rows,
            references,
            why_not: why_not(ranking, catalog),
            uncertainty: ordered(ranking)
                .and_then(|option| spread_in_words(&option.outlook, |factor| factor_words(factor, catalog))),
            uncertainty_short: ordered(ranking)
                .and_then(|option| spread_in_short(&option.outlook, |factor| factor_words(factor, catalog))),
            assumed: ranking.assumed.iter().map(|line| units.sentence(line)).collect(),
            waits: ranking.waits().map(sentence),
            remarks_on_brief: ranking
                .remarks
                .iter()
                .filter(|remark| {
                    not_judged_topic(remark).is_none() && ranking.waits() != Some(remark.as_str())
                })
                .map(|remark| units.sentence(&sentence(remark)))
                .collect(),
            cost_heading: if relative { "cost".to_owned() } else { currency.to_owned() },
            relative,
            mixed: ranking.options.iter().any(|option| !priced(&option)).then(|| mixed_in_words(currency)),
            required: years(required_years),
            required_years,
            target,
            target_words: percent(target),
            atmosphere: atmosphere(ranking),
            catalog: ranking.catalog.clone(),
            replaced: ranking.overrides.len(),
            cautions: ranking.cautions.clone(),
        }
    }
}

impl Row {
    pub(crate) fn of(
        number: usize,
        option: &RankedOption,
        target: f64,
        units: Units,
        catalog: &Catalog,
    ) -> Self {
        let look = &option.outlook;
        let words = BuildWords::of_option(option, catalog).in_units(units);
        Self {
            number,
            rank: option.rank,
            build: option.build.to_string(),
            name: option.name.clone(),
            line: words.line(),
            process: words.process(),
            words,
            probability: look.probability_ok,
            chance: chance(option, target),
            median: look.short(look.median_years),
            range: look.range_short(),
            median_words: look.in_words(look.median_years),
            least_words: look.in_words(look.p10_years),
            median_years: look.median_years,
            p10_years: look.p10_years,
            p90_years: look.p90_years,
            cost: option.cost.per_thousand,
            money: total(option),
            weaker: weaker(option).map(sentence),
            score: option.score.value,
            met: option.met,
            blocked: option.blocked,
            trade_default: option.trade_default,
            on_pareto_front: option.on_pareto_front,
            points: option.findings.iter().filter(|f| f.kind != FindingKind::Notes).map(Point::of).collect(),
        }
    }
}

/// A finish that remedies speak of, and whether an option has it.
type RemedyFinish = (&'static str, fn(&RankedOption) -> bool);

const FINISHES_OF_REMEDIES: [RemedyFinish; 4] = [
    ("zinc flake", |option| option.name.contains("zinc flake")),
    ("hot alkaline black oxide", |option| option.name.contains("hot alkaline black oxide")),
    ("lubricated finish", |option| !option.build.films.is_empty()),
    ("film with a friction class", |option| !option.build.films.is_empty()),
];

/// How much less probable an option without the dangers of the one to order may be where neither reaches the target
/// (assumption).
const NEARLY: f64 = 0.05;

/// The first option without a danger that serves as well as the one to order, which has some, in words.
fn without_dangers(option: &RankedOption, ranking: &Ranking, catalog: &Catalog) -> Option<String> {
    let target = ranking.target_probability();
    let serves = |other: &RankedOption| {
        let nearly = other.outlook.probability_ok >= option.outlook.probability_ok - NEARLY;
        !other.blocked && other.dangers() == 0 && (other.met || !option.met && nearly)
    };
    let (other, number) = ranking.options.iter().zip(1..).find(|(other, _)| serves(other))?;
    let line = |option: &RankedOption| {
        BuildWords::of(&option.build, catalog).in_units(Units::of(&ranking.brief)).line().replace(OUTSIDE, "")
    };
    let (own, line) = (line(option), line(other));
    // of what both have in common only the end differs
    let differs = line.split(", ").zip(own.split(", ")).take_while(|(theirs, own)| theirs == own).count();
    let differs = line.split(", ").skip(differs).collect::<Vec<_>>().join(", ");
    let which = if option.dangers() == 1 { "this danger" } else { "these dangers" };
    Some(format!(
        "Without {which}: #{number} ({differs}): {}{}.",
        short_figures(other, target),
        with_what(other, Some(option))
    ))
}

/// What must be known before an option is ordered: its dangers, what no rule judges, its other requirements and cautions. A
/// remedy that orders a finish which is ruled out here says so.
fn before_order(option: &RankedOption, ranking: &Ranking, catalog: &Catalog) -> Vec<Point> {
    let remarks = &ranking.remarks;
    let mut found = worst_first(option);
    let open =
        |has: fn(&RankedOption) -> bool| ranking.options.iter().any(|other| !other.blocked && has(other));
    for remedy in found.iter_mut().filter_map(|point| point.remedy.as_mut()) {
        for (finish, has) in FINISHES_OF_REMEDIES {
            if remedy.contains(finish) && !open(has) {
                *remedy = format!("{remedy} No {finish} is usable here.");
            }
        }
    }
    let dangers = found.iter().take_while(|point| point.is_danger()).count();
    // the first option that has none of them is a way out that no single finding knows
    if let Some(last) = dangers.checked_sub(1).and_then(|last| found.get_mut(last))
        && let Some(other) = without_dangers(option, ranking, catalog)
    {
        let remedy = last.remedy.take().map_or_else(String::new, |remedy| format!("{remedy} "));
        last.remedy = Some(remedy + &other);
    }
    let open = remarks.iter().filter_map(|remark| not_judged_topic(remark)).map(|topic| Point {
        kind: FindingKind::Warns.word(),
        label: NOT_JUDGED.trim_end_matches([':', ' ']),
        text: sentence(&topic),
        remedy: Some("Have it assessed before you order.".to_owned()),
        source: String::new(),
    });
    found.splice(dangers..dangers, open.collect::<Vec<_>>());
    let units = Units::of(&ranking.brief);
    for point in &mut found {
        point.source = units.sentence(&point.source);
    }
    found
}

/// A topic that no rule judges, with what that leaves open; none for the general remark on remarks.
fn not_judged_topic(remark: &str) -> Option<String> {
    let (topic, open) = remark.strip_prefix(NOT_JUDGED)?.split_once(". Open: ")?;
    let open = open.split_once(". ").map_or(open, |(open, _)| open);
    Some(format!("{topic}: {open}"))
}

fn question(ranking: &Ranking, target: f64) -> String {
    let brief = &ranking.brief;
    let mut said = vec![format!("{} ({})", place(brief), ranking.atmosphere.category)];
    said.push(format!("{} to {}", years(brief.duty.required_years), brief.duty.failure));
    if let Some(lot) = brief.part.lot_pieces {
        said.push(pieces(lot));
    }
    said.push(format!("target {}", percent(target)));
    if let Some(limit) = brief.wants.cost_limit_per_thousand {
        said.push(format!("cost limit {} per 1,000", amount(limit)));
    }
    capital(&said.join(", "))
}

/// The place in a few words.
fn place(brief: &Brief) -> String {
    let assumed = brief.remarks.as_deref().is_some_and(|remarks| remarks.contains(SITE_ASSUMED));
    match &brief.duty.place {
        Some(place) if assumed => format!("{}, assumed since no site was stated", place.replace('_', " ")),
        Some(place) => place.replace('_', " "),
        None => "the site described".to_owned(),
    }
}

fn atmosphere(ranking: &Ranking) -> String {
    let air = &ranking.atmosphere;
    let mut said = format!(
        "corrosivity {} for steel, {} µm lost in the first year, {}",
        air.category,
        Significant(air.first_year_steel_loss_um),
        determined(air.determination)
    );
    if let Some(chloride) = air.chloride_mg_m2_day {
        let _ = write!(said, "; chloride deposition {} mg/(m²·day)", Significant(chloride));
    }
    if air.extrapolated {
        said.push_str("; outside the range for which the formula was fitted");
    }
    said
}

/// How the attack of the atmosphere was found.
fn determined(how: Determination) -> &'static str {
    match how {
        Determination::Specimens => "measured on steel specimens",
        Determination::DoseResponse => "from temperature, humidity, SO2 and chloride",
        Determination::Description => "estimated from the place named",
    }
}

/// A number with two significant digits.
struct Significant(f64);

impl std::fmt::Display for Significant {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.0 {
            x if x >= 9.95 => f.write_str(&thousands(&format!("{x:.0}"))),
            x if x >= 0.995 => write!(f, "{x:.1}"),
            x => write!(f, "{x:.2}"),
        }
    }
}

/// What a grade of inch bolts was read as, the clause of a remark before its advice.
fn read_as(remark: &str) -> Option<String> {
    let (said, _) = remark.split_once(';')?;
    said.contains(" is read as property class ").then(|| sentence(said))
}

/// The options that are ruled out, by rule, most first; of the reasons of one rule that of most options is told.
fn why_not(ranking: &Ranking, catalog: &Catalog) -> Vec<Reason> {
    struct Group<'a> {
        finding: &'a Finding,
        /// Of the option with the lowest cost, where it is about costs.
        least: f64,
        options: usize,
        /// Whether their figures differ.
        differ: bool,
    }
    struct Rule<'a> {
        groups: Vec<Group<'a>>,
        /// Metal and process, with the coat systems.
        what: Vec<(String, usize)>,
        options: usize,
    }
    let units = Units::of(&ranking.brief);
    let mut rules: Vec<Rule> = Vec::new();
    for option in ranking.options.iter().filter(|option| option.blocked) {
        let Some(finding) = option.findings.iter().find(|f| f.kind == FindingKind::Blocks) else { continue };
        let words = BuildWords::of(&option.build, catalog).in_units(units);
        let what = format!("{}, {}", words.metal, words.process());
        let of_rule =
            |rule: &Rule| rule.groups.first().is_some_and(|group| group.finding.rule == finding.rule);
        let at = rules.iter().position(of_rule).unwrap_or_else(|| {
            rules.push(Rule { groups: Vec::new(), what: Vec::new(), options: 0 });
            rules.len() - 1
        });
        let Some(rule) = rules.get_mut(at) else { continue };
        rule.options += 1;
        match rule.what.iter_mut().find(|(known, _)| *known == what) {
            Some((_, coats)) => *coats += 1,
            None => rule.what.push((what, 1)),
        }
        // costs and thicknesses differ from option to option
        let same =
            |group: &&mut Group| without_digits(&group.finding.message).eq(without_digits(&finding.message));
        match rule.groups.iter_mut().find(same) {
            Some(group) => {
                group.options += 1;
                group.differ |= group.finding.message != finding.message;
                // of costs the lowest is told
                if finding.rule == COST_LIMIT && option.cost.per_thousand < group.least {
                    (group.finding, group.least) = (finding, option.cost.per_thousand);
                }
            }
            None => rule.groups.push(Group {
                finding,
                least: option.cost.per_thousand,
                options: 1,
                differ: false,
            }),
        }
    }
    rules.sort_by_key(|rule| std::cmp::Reverse(rule.options));
    rules
        .into_iter()
        .filter_map(|Rule { mut groups, what, options }| {
            groups.sort_by_key(|group| std::cmp::Reverse(group.options));
            let Group { finding, differ, .. } = groups.first()?;
            let others = match (differ, &*finding.rule) {
                (false, _) => "",
                (true, COST_LIMIT) => " The others cost more.",
                (true, _) => " Figures differ by option.",
            };
            Some(Reason {
                rule: finding.rule.to_string(),
                text: sentence(&finding.message) + others,
                remedy: finding.remedy.as_deref().map(sentence),
                options,
                likewise: groups.len() - 1,
                what: what.into_iter().map(|(what, coats)| coat_systems(&what, coats)).collect(),
            })
        })
        .collect()
}

impl Reason {
    /// The reason, and how many more of its kind there are.
    pub(crate) fn whole(&self) -> String {
        match self.likewise {
            0 => self.text.clone(),
            more => format!("{} And {more} more of this kind.", self.text),
        }
    }
}

/// A message without its figures.
fn without_digits(message: &str) -> impl Iterator<Item = char> {
    message.chars().filter(|letter| !letter.is_ascii_digit() && !matches!(letter, '.' | ',' | '-'))
}

fn coat_systems(what: &str, coats: usize) -> String {
    if coats == 1 { format!("{what}, 1 coat system") } else { format!("{what}, {coats} coat systems") }
}
