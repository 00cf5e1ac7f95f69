//! What a person reads of a ranking, in words and in reading order: terminal and page print the same facts.

use std::fmt::Write as _;

use serde::Serialize;

use crate::atmosphere::Determination;
use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::check::{Finding, FindingKind};
use crate::life::ATMOSPHERE;
use crate::rank::{
    RankedOption, Ranking, common_reason, first_blackened, gives_up, is_beyond_evidence, percent_beside,
    weaker,
};
use crate::report::words::{
    BuildWords, amount, capital, cost, factor_words, has_currency, percent, pieces, sentence, thousands,
    years,
};

/// The label of what the trade delivers when nothing is said.
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
    /// Which options share the first rank, where several do.
    pub(crate) tie: Option<String>,
    /// Every `needs` and `warns` of the first option, worst first.
    pub(crate) before: Vec<Point>,
    /// Every usable option.
    pub(crate) rows: Vec<Row>,
    /// Finishes outside the ranking, where none in it reaches the target.
    pub(crate) references: Vec<Row>,
    pub(crate) why_not: Vec<Reason>,
    pub(crate) usable: usize,
    pub(crate) ruled_out: usize,
    /// The largest uncertainty.
    pub(crate) uncertainty: Option<String>,
    pub(crate) assumed: Vec<String>,
    pub(crate) remarks_on_brief: Vec<String>,
    /// The heading of a column of costs.
    pub(crate) cost_heading: String,
    pub(crate) relative: bool,
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
    /// What is given up against the best score.
    pub(crate) gives_up: Option<String>,
    /// Strength beside that of the metal asked for, where it is lower.
    pub(crate) weaker: Option<String>,
}

/// A finding in words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Point {
    pub(crate) kind: &'static str,
    /// The label of the kind: "Required", "Caution".
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
    pub(crate) text: String,
    pub(crate) remedy: Option<String>,
    pub(crate) options: usize,
    /// Base metals and processes concerned, each with the number of coat systems.
    pub(crate) what: Vec<String>,
}

impl Answer {
    pub(crate) fn of(ranking: &Ranking, catalog: &Catalog) -> Self {
        let brief = &ranking.brief;
        let target = ranking.target_probability();
        let required_years = brief.duty.required_years;
        let rows: Vec<Row> = ranking
            .options
            .iter()
            .enumerate()
            .filter(|(_, option)| !option.blocked)
            .map(|(at, option)| Row::of(at + 1, option, catalog))
            .collect();
        let references = ranking.references.iter().map(|option| Row::of(0, option, catalog)).collect();
        let choice = Choice::of(ranking);
        let priced = |option: &&RankedOption| option.cost.items_without_price().next().is_none();
        let first = ranking.options.iter().find(priced).or(ranking.options.first());
        let currency = first.map_or("", |option| option.cost.currency.as_str());
        let relative = !has_currency(currency);
        Self {
            name: brief.name.clone(),
            remarks: brief.remarks.clone(),
            question: question(ranking, target),
            met: ranking.met,
            headline: headline(ranking, &choice, target),
            reason_for_all: reason_for_all(ranking),
            picks: picks(ranking, &choice, catalog),
            tie: tie(ranking),
            before: ranking.best().map(worst_first).unwrap_or_default(),
            usable: rows.len(),
            ruled_out: ranking.options.len() - rows.len(),
            rows,
            references,
            why_not: why_not(ranking, catalog),
            uncertainty: ranking.best().and_then(|best| uncertainty(best, catalog)),
            assumed: ranking.assumed.clone(),
            remarks_on_brief: ranking.remarks.iter().map(|remark| sentence(remark)).collect(),
            cost_heading: if relative { "cost".to_owned() } else { currency.to_owned() },
            relative,
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
    pub(crate) fn of(number: usize, option: &RankedOption, catalog: &Catalog) -> Self {
        let look = &option.outlook;
        let words = BuildWords::of(&option.build, catalog);
        Self {
            number,
            rank: option.rank,
            build: option.build.to_string(),
            name: option.name.clone(),
            line: words.line(),
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
                FindingKind::Blocks => "Ruled out",
                FindingKind::Needs => "Required",
                FindingKind::Warns => "Caution",
                FindingKind::Notes => "Note",
            },
            text: sentence(&finding.message),
            remedy: finding.remedy.as_deref().map(sentence),
            source: finding.source.to_string(),
        }
    }

    /// Message and remedy.
    pub(crate) fn whole(&self) -> String {
        match &self.remedy {
            Some(remedy) => format!("{} {remedy}", self.text),
            None => self.text.clone(),
        }
    }
}

/// How dangerous what a rule speaks of is, worst first: brittle fracture, overload, loss of strength, attack by
/// another metal, what must be done to the parts, rules of law, looks.
fn danger(rule: &str) -> usize {
    const ORDER: [&str; 11] = [
        "embrittlement",
        "torque",
        "strength",
        "heat",
        "couple",
        "life",
        "thread",
        "preparation",
        "substrate",
        "substances",
        "appearance",
    ];
    let family = rule.split('.').next().unwrap_or(rule);
    ORDER.iter().position(|known| *known == family).unwrap_or(ORDER.len())
}

/// Every `needs` and `warns` of an option, worst first.
pub(crate) fn worst_first(option: &RankedOption) -> Vec<Point> {
    let mut found: Vec<&Finding> = option
        .findings
        .iter()
        .filter(|f| matches!(f.kind, FindingKind::Blocks | FindingKind::Needs | FindingKind::Warns))
        .collect();
    found.sort_by_key(|f| (danger(&f.rule), f.kind));
    found.into_iter().map(Point::of).collect()
}

/// The options that a decision is about, by their place in the ranking.
struct Choice {
    /// The cheapest of those that reach the target.
    cheapest: Option<usize>,
    /// The likeliest to last, whatever it costs.
    likeliest: Option<usize>,
    /// What the industry delivers when nothing is said.
    usual: Option<usize>,
}

impl Choice {
    fn of(ranking: &Ranking) -> Self {
        let usable = || ranking.options.iter().enumerate().filter(|(_, option)| !option.blocked);
        Self {
            cheapest: usable()
                .find(|(_, option)| Some(&option.build) == ranking.cheapest_met.as_ref())
                .map(|(at, _)| at),
            likeliest: usable()
                .max_by(|(i, a), (j, b)| {
                    a.outlook.probability_ok.total_cmp(&b.outlook.probability_ok).then(j.cmp(i))
                })
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
    match &brief.duty.place {
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

/// The options that share the first rank.
fn tie(ranking: &Ranking) -> Option<String> {
    let tied = ranking.sharing_first();
    (tied > 1).then(|| {
        let word = if tied == 2 { "and" } else { "to" };
        format!("#1 {word} #{tied} tie (within 1%): findings, then probability, then cost decide.")
    })
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
    let own = percent_beside(best.outlook.probability_ok, wanted);
    if best.met {
        return format!("Target met: {own} probability of {required} (target {target}).");
    }
    let cheapest = choice.cheapest.and_then(|at| Some((at + 1, ranking.options.get(at)?)));
    match cheapest {
        Some((number, option)) => format!(
            "Target not met by #1 ({own}; target {target}). #{number} meets it ({}) for {} the cost.",
            chance(option),
            times(option.cost.per_thousand / best.cost.per_thousand)
        ),
        None => format!("Target not met: no option reaches {target} for {required}."),
    }
}

/// "1.8 times", "half".
fn times(ratio: f64) -> String {
    if (0.95..1.05).contains(&ratio) {
        "the same as".to_owned().replace("the same as", "1.0 times")
    } else if ratio >= 9.95 {
        format!("{ratio:.0} times")
    } else {
        format!("{ratio:.1} times")
    }
}

/// The cost of a thousand pieces over the required years; what fails at once has none that one could compare.
pub(crate) fn total(option: &RankedOption) -> String {
    if option.cost.fails_at_once() {
        return "fails at once".to_owned();
    }
    let in_no_currency = option.cost.items_without_price().next().is_some();
    amount(option.cost.per_thousand) + if in_no_currency { " rel." } else { "" }
}

/// The same with its currency.
fn money(option: &RankedOption) -> String {
    if option.cost.fails_at_once() {
        return total(option);
    }
    cost(&option.cost.currency, option.cost.per_thousand)
}

/// The probability where the evidence reaches the required years.
fn chance(option: &RankedOption) -> String {
    if is_beyond_evidence(option) { "n/a".to_owned() } else { percent(option.outlook.probability_ok) }
}

/// Probability, median and cost.
fn short_figures(option: &RankedOption) -> String {
    let look = &option.outlook;
    format!("{}, median {}, {}", chance(option), look.in_words(look.median_years), money(option))
}

/// Probability, years with their range, cost.
fn figures(option: &RankedOption) -> String {
    let look = &option.outlook;
    let chance = if is_beyond_evidence(option) {
        "no probability can be stated".to_owned()
    } else {
        format!("{} probability", percent(look.probability_ok))
    };
    format!(
        "{chance}; median {}, 80% range {}; {}",
        look.in_words(look.median_years),
        look.range_in_words(),
        money(option)
    )
}

fn picks(ranking: &Ranking, choice: &Choice, catalog: &Catalog) -> Vec<Pick> {
    let mut picks = Vec::new();
    let pick = |label: &str, at: usize, gives_up: Option<String>| {
        let option = ranking.options.get(at)?;
        Some(Pick {
            label: label.to_owned(),
            number: Some(at + 1),
            build: BuildWords::of(&option.build, catalog).line(),
            figures: if at == 0 { figures(option) } else { short_figures(option) },
            gives_up,
            weaker: weaker(option).map(sentence),
        })
    };
    let Some(best) = ranking.best() else { return picks };
    let against = |at: usize| {
        let lost = ranking.options.get(at).map(|option| gives_up(best, option)).unwrap_or_default();
        (!lost.is_empty()).then(|| lost.join(", "))
    };
    let label = if best.met {
        "Order"
    } else if choice.cheapest.is_some() {
        "Best score"
    } else {
        "Closest available"
    };
    picks.extend(pick(label, 0, None));
    match choice.cheapest {
        Some(at) if at > 0 => picks.extend(pick("Lowest cost that meets it", at, against(at))),
        Some(_) => {}
        None => {
            if let Some(at) = choice.likeliest.filter(|at| *at > 0) {
                picks.extend(pick("Highest probability", at, against(at)));
            }
        }
    }
    if best.outside_blackening
        && let Some(at) = first_blackened(&ranking.options, catalog)
        && !picks.iter().any(|picked| picked.number == Some(at + 1))
    {
        // one line: the table has no space for another row
        picks.extend(pick("Best blackening", at, None).map(|pick| Pick {
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
            build: BuildWords::of(&usual.build, catalog).line(),
            figures: format!("rusts in about {}", usual.outlook.in_words(usual.outlook.median_years)),
            gives_up: None,
            weaker: None,
        });
    }
    if let Some(other) = ranking.references.iter().find(|reference| reference.met) {
        picks.push(Pick {
            label: "Not compared".to_owned(),
            number: None,
            build: BuildWords::of(&other.build, catalog).line(),
            figures: short_figures(other),
            gives_up: None,
            weaker: weaker(other).map(sentence),
        });
    }
    picks
}

/// The largest uncertainty of an outlook, and what to do about it.
fn uncertainty(option: &RankedOption, catalog: &Catalog) -> Option<String> {
    let shares = &option.outlook.variance_shares;
    let site = shares.iter().find(|share| share.factor == ATMOSPHERE);
    let of_the_site = site.map_or(0.0, |share| share.share);
    let finish = shares
        .iter()
        .filter(|share| share.factor != ATMOSPHERE)
        .max_by(|a, b| a.share.total_cmp(&b.share))?;
    Some(if of_the_site >= 0.5 {
        format!("the atmosphere accounts for {} of the spread. Measure it first.", percent(of_the_site))
    } else {
        format!(
            "the finish accounts for {} of the spread, most by {} ({}).",
            percent(1.0 - of_the_site),
            factor_words(&finish.factor, catalog),
            finish.source.firmness.words()
        )
    })
}

/// The options that are ruled out, by reason, most first.
fn why_not(ranking: &Ranking, catalog: &Catalog) -> Vec<Reason> {
    struct Group<'a> {
        finding: &'a Finding,
        /// Metal and process, with the coat systems.
        what: Vec<(String, usize)>,
        options: usize,
        /// Whether their figures differ.
        differ: bool,
    }
    let mut groups: Vec<Group> = Vec::new();
    for option in ranking.options.iter().filter(|option| option.blocked) {
        let Some(finding) = option.findings.iter().find(|f| f.kind == FindingKind::Blocks) else { continue };
        let words = BuildWords::of(&option.build, catalog);
        let what = BuildWords { coats: "none".to_owned(), ..words }.line();
        let what = what.strip_suffix(", no coat").unwrap_or(&what).to_owned();
        // costs and thicknesses differ from option to option
        let same = |group: &&mut Group| {
            group.finding.rule == finding.rule
                && without_digits(&group.finding.message).eq(without_digits(&finding.message))
        };
        match groups.iter_mut().find(same) {
            Some(group) => {
                group.options += 1;
                group.differ |= group.finding.message != finding.message;
                match group.what.iter_mut().find(|(known, _)| *known == what) {
                    Some((_, coats)) => *coats += 1,
                    None => group.what.push((what, 1)),
                }
            }
            None => groups.push(Group { finding, what: vec![(what, 1)], options: 1, differ: false }),
        }
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group.options));
    groups
        .into_iter()
        .map(|Group { finding, what, options, differ }| Reason {
            text: sentence(&finding.message) + if differ { " Figures differ by option." } else { "" },
            remedy: finding.remedy.as_deref().map(sentence),
            options,
            what: what.into_iter().map(|(what, coats)| coat_systems(&what, coats)).collect(),
        })
        .collect()
}

/// A message without its figures.
fn without_digits(message: &str) -> impl Iterator<Item = char> {
    message.chars().filter(|letter| !letter.is_ascii_digit() && !matches!(letter, '.' | ',' | '-'))
}

fn coat_systems(what: &str, coats: usize) -> String {
    if coats == 1 { format!("{what}, 1 coat system") } else { format!("{what}, {coats} coat systems") }
}
