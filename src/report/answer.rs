//! What a person reads of a ranking, in words and in reading order: terminal and page print the same facts.

use std::fmt::Write as _;

use serde::Serialize;

use crate::atmosphere::Determination;
use crate::brief::{Brief, SITE_ASSUMED};
use crate::catalog::Catalog;
use crate::check::{Finding, FindingKind, NOT_JUDGED};
use crate::finish::Build;
use crate::papers::{Units, thousands};
use crate::rank::{
    IN_PART, RankedOption, Ranking, WAITS_FOR_TEMPERING, common_reason, first_blackened, gives_up,
    is_short_of, percent_beside, percent_in_words, settle_first, special_thread, spread_in_words, weaker,
};
use crate::report::limits::ordered;
use crate::report::words::{
    BuildWords, MIXED, amount, capital, cost, factor_words, has_currency, mixed_in_words, percent, pieces,
    sentence, with_signs, years,
};

/// The label of the first option within blackening, where the first of all is outside.
pub(crate) const BEST_BLACKENING: &str = "Best blackening";
/// The label of what can break a part, open a joint or harm a welder.
const DANGER: &str = "Danger";
/// The label of what must be done.
const REQUIRED: &str = "Required";
/// The label of what is delivered when nothing is specified.
pub(crate) const USUAL_DEFAULT: &str = "Usual default";

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
    /// Every usable option.
    pub(crate) rows: Vec<Row>,
    /// Finishes outside the ranking, where none in it reaches the target.
    pub(crate) references: Vec<Row>,
    pub(crate) why_not: Vec<Reason>,
    pub(crate) usable: usize,
    pub(crate) ruled_out: usize,
    /// Where the spread of the years comes from.
    pub(crate) uncertainty: Option<String>,
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

/// One choice with what speaks for it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Pick {
    pub(crate) label: String,
    /// Place in the ranking, from 1.
    pub(crate) number: Option<usize>,
    pub(crate) build: String,
    /// Probability, years, cost.
    pub(crate) figures: String,
    /// Whether it is the option to order, or the best of what does not reach the target.
    pub(crate) leads: bool,
    /// Whether it reaches the target.
    pub(crate) reaches: bool,
    /// What is given up against the best score.
    pub(crate) gives_up: Option<String>,
    /// Strength beside that of the metal asked for, where it is lower.
    pub(crate) weaker: Option<String>,
    /// What can break a part, open a joint or harm a welder, of an option that is not the one to order.
    pub(crate) dangers: Option<OwnDangers>,
}

/// Dangers of an option that the one to order does not have.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct OwnDangers {
    /// The worst of them.
    pub(crate) worst: String,
    /// What can happen, worst first.
    pub(crate) in_words: String,
}

/// A finding in words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Point {
    pub(crate) kind: &'static str,
    /// The label of the kind, "Required" or "Caution"; "Danger" where a part can break, a joint open or a
    /// welder be harmed.
    pub(crate) label: &'static str,
    pub(crate) text: String,
    pub(crate) remedy: Option<String>,
    pub(crate) source: String,
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
            .map(|(at, option)| Row::of(at + 1, option, units, catalog))
            .collect();
        let references = ranking.references.iter().map(|option| Row::of(0, option, units, catalog)).collect();
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
            reason_for_all: reason_for_all(ranking),
            picks: picks(ranking, &choice, catalog),
            firm: ranking.firmness(),
            read_as: ranking.remarks.iter().find_map(|remark| read_as(remark)),
            order: order + 1,
            before: ordered(ranking).map(|option| before_order(option, ranking)).unwrap_or_default(),
            usable: rows.len(),
            ruled_out: ranking.options.len() - rows.len(),
            rows,
            references,
            why_not: why_not(ranking, catalog),
            uncertainty: ordered(ranking)
                .and_then(|option| spread_in_words(&option.outlook, |factor| factor_words(factor, catalog))),
            assumed: ranking.assumed.clone(),
            waits: ranking.remarks.iter().find(|remark| waits(remark)).map(|remark| sentence(remark)),
            remarks_on_brief: ranking
                .remarks
                .iter()
                .filter(|remark| not_judged_topic(remark).is_none() && !waits(remark))
                .map(|remark| sentence(remark))
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
    pub(crate) fn of(number: usize, option: &RankedOption, units: Units, catalog: &Catalog) -> Self {
        let look = &option.outlook;
        let words = BuildWords::of(&option.build, catalog).in_units(units);
        Self {
            number,
            rank: option.rank,
            build: option.build.to_string(),
            name: option.name.clone(),
            line: words.line(),
            process: words.process(),
            words,
            probability: look.probability_ok,
            chance: chance(option),
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

impl Point {
    pub(crate) fn of(finding: &Finding) -> Self {
        Self {
            kind: finding.kind.word(),
            label: match finding.kind {
                FindingKind::Needs | FindingKind::Warns if finding.is_danger() => DANGER,
                FindingKind::Blocks => "Ruled out",
                FindingKind::Needs => REQUIRED,
                FindingKind::Warns => "Caution",
                FindingKind::Notes => "Note",
            },
            text: sentence(&finding.message),
            remedy: finding.remedy.as_deref().map(sentence),
            source: finding.source.to_string(),
        }
    }

    /// The first clause of the harm.
    fn harm(&self) -> String {
        let first = without_parentheses(&self.text);
        let first = first.split_inclusive(". ").next().unwrap_or(&first).trim();
        sentence(first.split("; ").next().unwrap_or(first))
    }

    /// Harm and what to do about it, without the reasons: of what is required the remedy alone.
    pub(crate) fn short(&self) -> String {
        let harm = self.harm();
        match &self.remedy {
            Some(remedy) if self.label == REQUIRED => remedy.clone(),
            Some(remedy) => format!("{harm} {remedy}"),
            None => harm,
        }
    }

    /// Message and remedy. Of what is required the imperative comes first: a reason behind "Required" would read as its
    /// reverse.
    pub(crate) fn whole(&self) -> String {
        match &self.remedy {
            Some(remedy) if self.label == REQUIRED => format!("{remedy} {}", self.text),
            Some(remedy) => format!("{} {remedy}", self.text),
            None => self.text.clone(),
        }
    }
}

/// A text without what it says in parentheses.
fn without_parentheses(text: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    for letter in text.chars() {
        match letter {
            '(' => {
                depth += 1;
                out.truncate(out.trim_end().len());
            }
            ')' => depth = depth.saturating_sub(1),
            letter if depth == 0 => out.push(letter),
            _ => {}
        }
    }
    out
}

/// A finish that remedies speak of, and whether an option has it.
type RemedyFinish = (&'static str, fn(&RankedOption) -> bool);

const FINISHES_OF_REMEDIES: [RemedyFinish; 4] = [
    ("zinc flake", |option| option.build.treatment.contains("zinc_flake")),
    ("hot alkaline black oxide", |option| option.build.treatment == "hot_alkaline"),
    ("lubricated finish", |option| !option.build.films.is_empty()),
    ("film with a friction class", |option| !option.build.films.is_empty()),
];

/// What must be known before an option is ordered: its dangers, what no rule judges, its other requirements and cautions. A
/// remedy that orders a finish which is ruled out here says so.
fn before_order(option: &RankedOption, ranking: &Ranking) -> Vec<Point> {
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
    let dangers = found.iter().take_while(|point| point.label == DANGER).count();
    let open = remarks.iter().filter_map(|remark| not_judged_topic(remark)).map(|topic| Point {
        kind: FindingKind::Warns.word(),
        label: NOT_JUDGED.trim_end_matches([':', ' ']),
        text: sentence(&topic),
        remedy: Some("Have it assessed before you order.".to_owned()),
        source: String::new(),
    });
    found.splice(dangers..dangers, open.collect::<Vec<_>>());
    found
}

/// Whether a remark is on options that only a guessed tempering rules out.
fn waits(remark: &str) -> bool {
    remark.contains(WAITS_FOR_TEMPERING)
}

/// A topic that no rule judges, with what that leaves open; none for the general remark on remarks.
fn not_judged_topic(remark: &str) -> Option<String> {
    let (topic, open) = remark.strip_prefix(NOT_JUDGED)?.split_once(". Open: ")?;
    let open = open.split_once(". ").map_or(open, |(open, _)| open);
    Some(format!("{topic}: {open}"))
}

/// Every `needs` and `warns` of an option, worst first.
pub(crate) fn worst_first(option: &RankedOption) -> Vec<Point> {
    let mut found: Vec<&Finding> = option
        .findings
        .iter()
        .filter(|f| matches!(f.kind, FindingKind::Blocks | FindingKind::Needs | FindingKind::Warns))
        .collect();
    found.sort_by_key(|f| (f.harm(), f.kind));
    found.into_iter().map(Point::of).collect()
}

/// The options that a decision is about, by their place in the ranking.
struct Choice {
    /// The cheapest of those that reach the target.
    cheapest: Option<usize>,
    /// The likeliest to last, whatever it costs.
    likeliest: Option<usize>,
    /// The longest median.
    longest: Option<usize>,
    /// What the industry delivers when nothing is said.
    usual: Option<usize>,
}

/// How many times as long as the first an option lasts that is named for it (assumption).
const OUTLASTS: f64 = 2.0;

/// Whether an option lasts clearly longer than the first.
fn outlasts(ranking: &Ranking, at: usize) -> bool {
    let median = |at: usize| ranking.options.get(at).map_or(0.0, |option| option.outlook.median_years);
    median(at) >= OUTLASTS * median(0)
}

impl Choice {
    fn of(ranking: &Ranking) -> Self {
        let usable = || ranking.options.iter().enumerate().filter(|(_, option)| !option.blocked);
        let rounded = |option: &RankedOption| percent(option.outlook.probability_ok);
        let probability = |option: &RankedOption| option.outlook.probability_ok;
        let highest = usable()
            .max_by(|(_, a), (_, b)| probability(a).total_cmp(&probability(b)))
            .map(|(_, option)| rounded(option))
            .unwrap_or_default();
        Self {
            cheapest: usable()
                .find(|(_, option)| Some(&option.build) == ranking.cheapest_met.as_ref())
                .map(|(at, _)| at),
            // of those that print the same percentage the cheapest
            likeliest: usable()
                .filter(|(_, option)| rounded(option) == highest)
                .min_by(|(_, a), (_, b)| a.cost.per_thousand.total_cmp(&b.cost.per_thousand))
                .map(|(at, _)| at),
            longest: usable()
                .max_by(|(_, a), (_, b)| a.outlook.median_years.total_cmp(&b.outlook.median_years))
                .map(|(at, _)| at),
            usual: usable().find(|(_, option)| option.trade_default).map(|(at, _)| at),
        }
    }
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

/// The reason that rules out every option, with its remedy.
fn reason_for_all(ranking: &Ranking) -> Option<String> {
    let reason = if ranking.best().is_none() { common_reason(&ranking.options) } else { None };
    reason.map(|reason| capital(&reason))
}

fn headline(ranking: &Ranking, choice: &Choice, target: f64) -> String {
    let required = years(ranking.brief.duty.required_years);
    let (wanted, target) = (target, percent(target));
    let Some(best) = ranking.best() else {
        return "No option is usable: every one is ruled out.".to_owned();
    };
    let own = with_signs(&percent_beside(best.outlook.probability_ok, wanted));
    if best.met {
        let settle = settle_first(best).map_or_else(String::new, |danger| format!(" {danger}"));
        let with = if special_thread(best).is_empty() { "" } else { " with a thread made by agreement" };
        return format!("Target met{with}: {own} probability of {required} (target {target}).{settle}");
    }
    let cheapest = choice.cheapest.and_then(|at| Some((at + 1, ranking.options.get(at)?)));
    if let Some((number, option)) = cheapest {
        let comparable = [option, best].iter().all(|it| it.cost.items_without_price().next().is_none());
        let cost = if comparable {
            format!(", {}", cost_beside(option.cost.per_thousand / best.cost.per_thousand))
        } else {
            String::new()
        };
        format!(
            "Target met by #{number}: {} probability of {required} (target {target}){cost}; #1 is best by score and has {own}.{}",
            chance(option),
            settle_first(option).map_or_else(String::new, |danger| format!(" {danger}"))
        )
    } else {
        let with = reference(ranking).filter(|(_, other)| other.met).map_or("", |(kind, _)| kind.compared());
        format!("Target not met: no option{with} reaches {target} for {required}.")
    }
}

/// "1.8 times the cost of #1", "at 12% less cost".
fn cost_beside(ratio: f64) -> String {
    match ratio {
        r if (0.995..1.005).contains(&r) => "at the same cost".to_owned(),
        r if r < 1.0 => format!("at {:.0}% less cost", 100.0 * (1.0 - r)),
        r if r < 1.5 => format!("at {:.0}% more cost", 100.0 * (r - 1.0)),
        r if r >= 9.95 => format!("at {r:.0} times the cost"),
        r => format!("at {r:.1} times the cost"),
    }
}

/// The cost of a thousand pieces over the required years; what fails at once has none that one could compare.
pub(crate) fn total(option: &RankedOption) -> String {
    if option.cost.fails_at_once() {
        return "fails at once".to_owned();
    }
    let mixed = option.cost.items_without_price().next().is_some();
    if mixed { MIXED } else { "" }.to_owned() + &amount(option.cost.per_thousand)
}

/// The same with its currency.
fn money(option: &RankedOption) -> String {
    if option.cost.fails_at_once() {
        return total(option);
    }
    cost(&option.cost.currency, option.cost.per_thousand)
}

/// What stands for a probability beyond the evidence.
pub(crate) const NOT_STATED: &str = "n/a";

/// The probability where the evidence reaches the required years.
pub(crate) fn chance(option: &RankedOption) -> String {
    let look = &option.outlook;
    if option.beyond_evidence { NOT_STATED.to_owned() } else { percent(look.probability_ok) }
}

/// Probability and cost; the unit of costs is that of the option to order.
fn short_figures(option: &RankedOption) -> String {
    format!("{}, {}", chance(option), short_cost(option))
}

fn short_cost(option: &RankedOption) -> String {
    let currency = &option.cost.currency;
    let cost = total(option);
    match has_currency(currency) {
        _ if option.cost.fails_at_once() => cost,
        true => format!("{currency} {cost}"),
        false => format!("cost {cost}"),
    }
}

/// Probability, years with their range, cost.
fn figures(option: &RankedOption) -> String {
    let look = &option.outlook;
    let chance = match chance(option).as_str() {
        NOT_STATED => "no probability can be stated".to_owned(),
        stated => format!("{stated} probability"),
    };
    format!("{chance}; {}; {}{}", look.median_and_range_in_words(), money(option), never(option))
}

/// What tells a wide range of stainless steel: some parts never stain.
fn never(option: &RankedOption) -> String {
    match option.outlook.never_fails {
        share if share < 0.005 => String::new(),
        share => {
            let words = percent_in_words(share);
            let about = if words.starts_with(char::is_alphabetic) { "" } else { "about " };
            format!("; {about}{words} of parts never stain")
        }
    }
}

#[expect(clippy::too_many_lines, reason = "one pick after the other, in the order of the answer")]
fn picks(ranking: &Ranking, choice: &Choice, catalog: &Catalog) -> Vec<Pick> {
    let mut picks = Vec::new();
    let lead = ranking.to_order().unwrap_or(0);
    let units = Units::of(&ranking.brief);
    let line = |build: &Build| BuildWords::of(build, catalog).in_units(units).line();
    let pick = |label: &str, at: usize, gives_up: Option<String>| {
        let option = ranking.options.get(at)?;
        Some(Pick {
            label: label.to_owned(),
            number: Some(at + 1),
            build: line(&option.build) + special_thread(option),
            figures: if at == lead { figures(option) } else { short_figures(option) },
            leads: at == lead,
            reaches: option.met,
            gives_up,
            weaker: weaker(option).map(sentence),
            dangers: own_dangers(option, ranking.options.get(lead)?),
        })
    };
    let Some(best) = ranking.best() else { return picks };
    let against = |at: usize| {
        let lost = ranking.options.get(at).map(|option| gives_up(best, option)).unwrap_or_default();
        (!lost.is_empty()).then(|| lost.join(", "))
    };
    let beside = |label: &str| {
        let (_, other) = reference(ranking)?;
        Some(Pick {
            label: label.to_owned(),
            number: None,
            build: line(&other.build) + special_thread(other),
            figures: short_figures(other),
            leads: false,
            reaches: other.met,
            gives_up: None,
            weaker: weaker(other).map(sentence),
            dangers: own_dangers(other, best),
        })
    };
    let chance = |at: usize| ranking.options.get(at).map(|option| percent(option.outlook.probability_ok));
    let far = best.outlook.probability_ok < FAR_BELOW;
    let other_label = reference(ranking).map(|(kind, other)| kind.label(other.met));
    // what works goes before what does not
    let other_first = far || reference(ranking).is_some_and(|(_, other)| other.met);
    if let Some(label) = other_label.filter(|_| other_first) {
        picks.extend(beside(label));
    }
    match choice.cheapest {
        _ if best.met => {
            picks.extend(pick("Order", 0, None));
            let dearer = |at: &usize| ranking.options.get(*at).is_some_and(|it| total(it) != total(best));
            if let Some(at) = choice.cheapest.filter(dearer) {
                picks.extend(pick("Lowest cost that meets it", at, against(at)));
            }
        }
        Some(at) => {
            picks.extend(pick("Order for the target", at, against(at)));
            picks.extend(pick("Best score, below the target", 0, None));
        }
        None => {
            picks.extend(pick(
                if far { "First by score, far below the target" } else { "Best score, below the target" },
                0,
                None,
            ));
            if let Some(at) = choice.likeliest.filter(|at| chance(*at) != chance(0)) {
                picks.extend(pick("Highest probability", at, against(at)));
            } else if let Some(at) = choice.longest.filter(|at| far && *at != 0 && outlasts(ranking, *at)) {
                let longest = ranking.options.get(at).map(|option| {
                    format!(
                        "median {}, {}",
                        option.outlook.in_words(option.outlook.median_years),
                        short_cost(option)
                    )
                });
                let named = pick("Lasts longest", at, against(at));
                picks.extend(named.zip(longest).map(|(pick, figures)| Pick { figures, ..pick }));
            }
        }
    }
    if best.outside_blackening
        && let Some(at) = first_blackened(&ranking.options, catalog)
        && !picks.iter().any(|picked| picked.number == Some(at + 1))
    {
        // one line: the table has no space for another row
        picks.extend(pick(BEST_BLACKENING, at, None).map(|pick| Pick {
            build: format!("#{} {}", at + 1, pick.build),
            number: None,
            ..pick
        }));
    }
    if let Some(usual) =
        choice.usual.filter(|at| *at > 0).and_then(|at| ranking.options.get(at)).filter(|usual| !usual.met)
    {
        picks.push(Pick {
            label: USUAL_DEFAULT.to_owned(),
            number: None,
            build: line(&usual.build),
            figures: match usual.outlook.median_years {
                median if usual.outlook.is_beyond_evidence(median) => {
                    format!("median {}", usual.outlook.in_words(median))
                }
                median => format!("rusts in about {}", years(median)),
            },
            leads: false,
            reaches: false,
            gives_up: None,
            weaker: None,
            dangers: None,
        });
    }
    if let Some(label) = other_label.filter(|_| !other_first) {
        picks.extend(beside(label));
    }
    // one weakness is said once; which metal has it is clear beside each
    let figures = |weaker: &str| weaker.split(": ").next().unwrap_or_default().to_owned();
    let mut told: Vec<String> = Vec::new();
    for pick in &mut picks {
        if pick.leads {
            // that of the option to order is told before it is ordered
            told.extend(pick.weaker.take().iter().map(|weaker| figures(weaker)));
        }
        if let Some(weaker) = &mut pick.weaker {
            if told.contains(&figures(weaker)) {
                "as above".clone_into(weaker);
            } else {
                told.push(figures(weaker));
            }
        }
    }
    picks
}

/// The dangers of an option that the one to order does not have; of strength the verdict speaks elsewhere.
fn own_dangers(option: &RankedOption, to_order: &RankedOption) -> Option<OwnDangers> {
    let known = |finding: &Finding| {
        is_short_of(&finding.rule) || to_order.findings.iter().any(|own| own.message == finding.message)
    };
    let mut found: Vec<&Finding> =
        option.findings.iter().filter(|finding| finding.is_danger() && !known(finding)).collect();
    found.sort_by_key(|finding| (finding.harm(), finding.kind));
    let mut subjects: Vec<&str> = Vec::new();
    for words in found.iter().filter_map(|finding| finding.danger_in_words()) {
        if !subjects.contains(&words) {
            subjects.push(words);
        }
    }
    let worst = Point::of(found.first()?).harm();
    Some(OwnDangers { worst, in_words: subjects.join("; ") })
}

/// Probability below which the first option is not close to any target (assumption).
const FAR_BELOW: f64 = 0.5;
/// By how much more probable an option outside the ranking is named, where none reaches the target (assumption).
const CLEARLY: f64 = 0.1;

/// What sets a reference apart from the options.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Beside {
    Metal,
    Finish,
}

impl Beside {
    fn compared(self) -> &'static str {
        match self {
            Self::Metal => " in the metals compared",
            Self::Finish => " of the finishes compared",
        }
    }

    fn label(self, met: bool) -> &'static str {
        match (self, met) {
            (Self::Metal, true) => "Another metal reaches it",
            (Self::Metal, false) => "Another metal lasts longer",
            (Self::Finish, true) => "A finish outside the ranking reaches it",
            (Self::Finish, false) => "A finish outside the ranking lasts longer",
        }
    }
}

/// What is outside the ranking and reaches the target that none in it does, else what is clearly more probable.
fn reference(ranking: &Ranking) -> Option<(Beside, &RankedOption)> {
    let best = ranking.best()?;
    let open = || ranking.references.iter().filter(|other| !other.blocked);
    let clearly =
        |other: &&RankedOption| other.outlook.probability_ok >= best.outlook.probability_ok + CLEARLY;
    let other = open().find(|other| other.met).or_else(|| open().find(clearly))?;
    let known = ranking.options.iter().any(|option| option.build.base_metal == other.build.base_metal);
    Some((if known { Beside::Finish } else { Beside::Metal }, other))
}

/// The options that are ruled out, by rule, most first; of the reasons of one rule that of most options is told.
fn why_not(ranking: &Ranking, catalog: &Catalog) -> Vec<Reason> {
    struct Group<'a> {
        finding: &'a Finding,
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
            }
            None => rule.groups.push(Group { finding, options: 1, differ: false }),
        }
    }
    rules.sort_by_key(|rule| std::cmp::Reverse(rule.options));
    rules
        .into_iter()
        .filter_map(|Rule { mut groups, what, options }| {
            groups.sort_by_key(|group| std::cmp::Reverse(group.options));
            let Group { finding, differ, .. } = groups.first()?;
            Some(Reason {
                rule: finding.rule.to_string(),
                text: sentence(&finding.message) + if *differ { " Figures differ by option." } else { "" },
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
