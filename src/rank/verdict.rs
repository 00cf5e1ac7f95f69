//! The answer in a few lines: met or not, what to order, what else reaches the target, and what speaks against it.

use serde::Serialize;

use crate::brief::{Criterion, Units};
use crate::catalog::Catalog;
use crate::check::{Finding, FindingKind, MASKED_YEARS, YEARS_OF_A_FIT};
use crate::finish::Build;
use crate::rank::judged::COST_LIMIT;
use crate::rank::order::TIE;
use crate::rank::points::{DANGER, Point, worst_first};
use crate::rank::words::{
    BuildWords, MIXED, amount, capital, cost, has_currency, percent, percent_beside, percent_in_words,
    sentence, years,
};
use crate::rank::{RankedOption, Ranking};

/// The label of the first option within blackening, where the first of all is outside.
pub(crate) const BEST_BLACKENING: &str = "Best blackening";

/// The labels of what equals or beats the first option by probability, median and cost: with as long a median, and with a
/// longer one.
pub(crate) const BEATS_FIRST: [&str; 2] = ["Lasts as long, costs less", "Lasts longer, costs less"];

/// In place of the cost of what fails at once, in a sentence and in a table.
const NO_PRICE: [&str; 2] = ["too short-lived to price", "no price"];

/// The label of what is delivered when nothing is specified.
pub(crate) const USUAL_DEFAULT: &str = "Usual default";

/// The verdict of a ranking: the lines that terminal and page begin with, one sentence after the other.
pub(crate) fn in_words(ranking: &Ranking, catalog: &Catalog) -> String {
    let choice = Choice::of(ranking);
    let mut said = vec![headline(ranking, &choice, ranking.target_probability())];
    said.extend(reason_for_all(ranking, catalog));
    for pick in picks(ranking, &choice, catalog) {
        said.push(pick.in_words());
        if pick.leads
            && let Some(option) = pick.number.and_then(|number| ranking.options.get(number - 1))
        {
            said.extend(worst_first(option).iter().filter(|point| point.is_danger()).map(Point::told));
            said.extend(kept_apart(option).map(str::to_owned));
        }
    }
    let waits = ranking
        .waits()
        .map(|said| said.replace("`part.tempering_temperature_c`", "the tempering temperature"));
    said.extend(waits.as_deref().map(sentence));
    said.extend(ranking.firmness());
    said.join(" ")
}

/// One choice with what speaks for it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Pick {
    pub(crate) label: String,
    /// Place in the ranking, from 1.
    pub(crate) number: Option<usize>,
    /// The build, with the condition that its order is based on.
    pub(crate) build: String,
    /// That condition alone; empty where there is none.
    pub(crate) condition: &'static str,
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

impl Pick {
    /// As sentences: "Lowest cost that meets it: #6 steel 5.8, no black oxide, air-dry paint: 91%, EUR 1,646; gives up
    /// appearance."
    fn in_words(&self) -> String {
        let number = self.number.map_or_else(String::new, |number| format!("#{number} "));
        let mut said = format!("{}: {number}{}: {}", self.label, self.build, self.figures);
        if let Some(lost) = &self.gives_up {
            said = format!("{said}; gives up {lost}");
        }
        said.push('.');
        if let Some(weaker) = &self.weaker {
            let weaker = if weaker == AS_ABOVE { "Weaker, as above." } else { weaker };
            said = format!("{said} {weaker}");
        }
        if let Some(dangers) = &self.dangers {
            said = format!("{said} {DANGER}: {}", dangers.worst);
        }
        said
    }
}

/// In place of a weakness that was told before.
pub(crate) const AS_ABOVE: &str = "as above";

/// Dangers of an option that the one to order does not have.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct OwnDangers {
    /// The worst of them.
    pub(crate) worst: String,
    /// What can happen, worst first.
    pub(crate) in_words: String,
}

/// The options that a decision is about, by their place in the ranking.
pub(crate) struct Choice {
    /// The cheapest of those that reach the target.
    pub(crate) cheapest: Option<usize>,
    /// The likeliest to last, whatever it costs.
    likeliest: Option<usize>,
    /// The longest median.
    longest: Option<usize>,
    /// What the industry delivers when nothing is said.
    usual: Option<usize>,
    /// The option, foremost in the ranking, that costs less than #1, is as likely and lasts as long.
    beats_first: Option<usize>,
}

/// How many times as long as the first an option lasts that is named for it (assumption).
const OUTLASTS: f64 = 2.0;

/// Whether an option lasts clearly longer than the first.
fn outlasts(ranking: &Ranking, at: usize) -> bool {
    let median = |at: usize| ranking.options.get(at).map_or(0.0, |option| option.outlook.median_years);
    median(at) >= OUTLASTS * median(0)
}

/// Whether an option costs less than another, is no less likely by whole percent, no shorter-lived and no more dangerous.
fn beats(option: &RankedOption, best: &RankedOption) -> bool {
    let likely = |option: &RankedOption| percent(option.outlook.probability_ok);
    let no_less =
        option.outlook.probability_ok >= best.outlook.probability_ok || likely(option) == likely(best);
    let cheaper = option.cost.per_thousand < best.cost.per_thousand && total(option) != total(best);
    no_less
        && cheaper
        && !option.cost.fails_at_once()
        && option.outlook.median_years >= best.outlook.median_years
        && option.dangers() <= best.dangers()
}

/// What an option that beats the first has against it and the first has not: the worst finding, else the criterion by which
/// its score is lower.
fn holds_back(best: &RankedOption, option: &RankedOption) -> String {
    let known =
        |rule: &str| best.findings.iter().any(|own| own.rule == rule && own.kind != FindingKind::Notes);
    let added = option.findings.iter().filter(|finding| {
        matches!(finding.kind, FindingKind::Needs | FindingKind::Warns) && !known(&finding.rule)
    });
    if let Some(worst) = added.min_by_key(|finding| (!finding.is_danger(), finding.kind, finding.harm())) {
        return format!("; adds: {}", Point::of(worst).harm().trim_end_matches('.'));
    }
    match lost(best, option, 0.0).first() {
        Some(criterion) => format!("; {criterion} a little lower"),
        None => String::new(),
    }
}

impl Choice {
    pub(crate) fn of(ranking: &Ranking) -> Self {
        let usable = || ranking.options.iter().enumerate().filter(|(_, option)| !option.blocked);
        let target = ranking.target_probability();
        let printed = |option: &RankedOption| percent_beside(option.outlook.probability_ok, target);
        let probability = |option: &RankedOption| option.outlook.probability_ok;
        let highest = usable()
            .max_by(|(_, a), (_, b)| probability(a).total_cmp(&probability(b)))
            .map(|(_, option)| printed(option))
            .unwrap_or_default();
        Self {
            cheapest: usable()
                .find(|(_, option)| Some(&option.build) == ranking.cheapest_met.as_ref())
                .map(|(at, _)| at),
            // of those that print the same percentage the cheapest
            likeliest: usable()
                .filter(|(_, option)| printed(option) == highest)
                .min_by(|(_, a), (_, b)| a.cost.per_thousand.total_cmp(&b.cost.per_thousand))
                .map(|(at, _)| at),
            longest: usable()
                .max_by(|(_, a), (_, b)| a.outlook.median_years.total_cmp(&b.outlook.median_years))
                .map(|(at, _)| at),
            usual: usable().find(|(_, option)| option.trade_default).map(|(at, _)| at),
            beats_first: usable()
                .find(|(_, option)| ranking.best().is_some_and(|best| beats(option, best)))
                .map(|(at, _)| at),
        }
    }
}

pub(crate) fn headline(ranking: &Ranking, choice: &Choice, target: f64) -> String {
    let required = years(ranking.brief.duty.required_years);
    let (wanted, target) = (target, percent(target));
    let Some(best) = ranking.best() else {
        return "No option is usable: every one is ruled out.".to_owned();
    };
    let own = percent_beside(best.outlook.probability_ok, wanted);
    if best.met {
        let settle = settle_first(best, None).map_or_else(String::new, |danger| format!(" {danger}"));
        let with = if has_agreed_thread(best) { " with a thread made by agreement" } else { "" };
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
            chance(option, wanted),
            settle_first(option, Some(number)).map_or_else(String::new, |danger| format!(" {danger}"))
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

/// The cost of a thousand pieces over the required years, in a table; what fails at once has none that one could compare.
pub(crate) fn total(option: &RankedOption) -> String {
    let [_, no_price] = NO_PRICE;
    if option.cost.fails_at_once() {
        return no_price.to_owned();
    }
    let mixed = option.cost.items_without_price().next().is_some();
    if mixed { MIXED } else { "" }.to_owned() + &amount(option.cost.per_thousand)
}

/// The same in a sentence, with its currency.
fn money(option: &RankedOption) -> String {
    let [no_price, _] = NO_PRICE;
    if option.cost.fails_at_once() {
        return no_price.to_owned();
    }
    cost(&option.cost.currency, option.cost.per_thousand)
}

/// What stands for a probability beyond the evidence.
pub(crate) const NOT_STATED: &str = "n/a";

/// The probability beside a target, where the evidence reaches the required years.
pub(crate) fn chance(option: &RankedOption, target: f64) -> String {
    let look = &option.outlook;
    if option.beyond_evidence { NOT_STATED.to_owned() } else { percent_beside(look.probability_ok, target) }
}

/// Probability and cost; the unit of costs is that of the option to order.
pub(crate) fn short_figures(option: &RankedOption, target: f64) -> String {
    let chance = match chance(option, target).as_str() {
        // a bare mark beside one option would be no answer
        NOT_STATED => format!("median {}", option.outlook.in_words(option.outlook.median_years)),
        stated => stated.to_owned(),
    };
    format!("{chance}, {}", short_cost(option))
}

/// The same with a currency alone, without what it is per.
pub(crate) fn short_cost(option: &RankedOption) -> String {
    let currency = &option.cost.currency;
    let [no_price, _] = NO_PRICE;
    match has_currency(currency) {
        _ if option.cost.fails_at_once() => no_price.to_owned(),
        true => format!("{currency} {}", total(option)),
        false => format!("cost {}", total(option)),
    }
}

/// Probability, years with their range, cost.
fn figures(option: &RankedOption, target: f64) -> String {
    let look = &option.outlook;
    let chance = match chance(option, target).as_str() {
        NOT_STATED => "no probability can be stated".to_owned(),
        stated => format!("{stated} probability"),
    };
    format!("{chance}; {}; {}{}", look.median_and_range_in_words(), money(option), never(option))
}

/// What tells a wide range of stainless steel: some parts never stain.
fn never(option: &RankedOption) -> String {
    match option.outlook.never_fails {
        share if share < 0.005 || option.beyond_evidence => String::new(),
        share => {
            let words = percent_in_words(share);
            let about = if words.starts_with(char::is_alphabetic) { "" } else { "about " };
            format!("; {about}{words} of parts never stain")
        }
    }
}

#[expect(clippy::too_many_lines, reason = "one pick after the other, in the order of the answer")]
pub(crate) fn picks(ranking: &Ranking, choice: &Choice, catalog: &Catalog) -> Vec<Pick> {
    let mut picks = Vec::new();
    let lead = ranking.to_order().unwrap_or(0);
    let target = ranking.target_probability();
    let units = Units::of(&ranking.brief);
    let line = |build: &Build| BuildWords::of(build, catalog).in_units(units).line();
    let pick = |label: &str, at: usize, gives_up: Option<String>| {
        let option = ranking.options.get(at)?;
        Some(Pick {
            label: label.to_owned(),
            number: Some(at + 1),
            build: line(&option.build) + special_thread(option),
            condition: special_thread(option),
            figures: if at == lead { figures(option, target) } else { short_figures(option, target) },
            leads: at == lead,
            reaches: option.met,
            gives_up,
            weaker: weaker(option).map(sentence),
            dangers: own_dangers(option, Some(ranking.options.get(lead)?)),
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
            condition: special_thread(other),
            figures: short_figures(other, target),
            leads: false,
            reaches: other.met,
            gives_up: None,
            weaker: weaker(other).map(sentence),
            dangers: own_dangers(other, Some(best)),
        })
    };
    let printed = |at: usize| {
        ranking.options.get(at).map(|option| percent_beside(option.outlook.probability_ok, target))
    };
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
            let spared =
                ranking.options.get(at).map(|to_order| spared(best, to_order, at + 1)).unwrap_or_default();
            let first = pick("Best score, below the target", 0, None);
            picks.extend(first.map(|pick| Pick { figures: pick.figures.clone() + &spared, ..pick }));
        }
        None => {
            picks.extend(pick(
                if far { "First by score, far below the target" } else { "Best score, below the target" },
                0,
                None,
            ));
            if let Some(at) = choice.likeliest.filter(|at| printed(*at) != printed(0)) {
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
    // of an option that another beats in all that is printed, the answer says what it has instead
    if choice.cheapest.is_none() || best.met {
        let named = |at: &usize| picks.iter().any(|pick| pick.number == Some(at + 1));
        let beats = choice.beats_first.filter(|at| !named(at)).and_then(|at| {
            let option = ranking.options.get(at)?;
            let in_words = |option: &RankedOption| option.outlook.in_words(option.outlook.median_years);
            let median = in_words(option);
            let [as_long, longer] = BEATS_FIRST;
            let label = if median == in_words(best) { as_long } else { longer };
            let against = against(at);
            let held = if against.is_none() { holds_back(best, option) } else { String::new() };
            let figures =
                format!("{}, median {median}, {}{held}", chance(option, target), short_cost(option));
            pick(label, at, against).map(|pick| Pick { figures, ..pick })
        });
        picks.extend(beats);
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
            condition: "",
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
                AS_ABOVE.clone_into(weaker);
            } else {
                told.push(figures(weaker));
            }
        }
    }
    picks
}

/// The dangers of an option that the one to order does not have; of strength the verdict speaks elsewhere.
fn own_dangers(option: &RankedOption, to_order: Option<&RankedOption>) -> Option<OwnDangers> {
    let known = |finding: &Finding| {
        let of_both = |other: &RankedOption| other.findings.iter().any(|own| own.message == finding.message);
        is_short_of(&finding.rule) || to_order.is_some_and(of_both)
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

/// How many dangers of the option to order another one does not have: "; without 2 dangers of #3"; empty where it has as many.
fn spared(option: &RankedOption, to_order: &RankedOption, number: usize) -> String {
    let has =
        |finding: &&Finding| option.findings.iter().any(|own| own.is_danger() && own.rule == finding.rule);
    let dangers = || to_order.findings.iter().filter(|finding| finding.is_danger());
    match dangers().filter(|finding| !has(finding)).count() {
        _ if option.dangers() >= to_order.dangers() => String::new(),
        1 => format!("; without a danger of #{number}"),
        spared => format!("; without {spared} dangers of #{number}"),
    }
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
    // where no probability can be stated, what lasts longer cannot either
    let clearly = |other: &&RankedOption| {
        !other.beyond_evidence && other.outlook.probability_ok >= best.outlook.probability_ok + CLEARLY
    };
    let other = open().find(|other| other.met).or_else(|| open().find(clearly))?;
    let known = ranking.options.iter().any(|option| option.build.base_metal == other.build.base_metal);
    Some((if known { Beside::Finish } else { Beside::Metal }, other))
}

/// The reason that rules out every option, with its remedy.
pub(crate) fn reason_for_all(ranking: &Ranking, catalog: &Catalog) -> Option<String> {
    let reason = || common_reason(&ranking.options, ranking.target_probability(), catalog);
    let reason = if ranking.best().is_none() { reason() } else { None };
    reason.map(|reason| capital(&reason))
}

/// That the years of an option rest on metals in contact being separated; none where no couple attacks it.
fn kept_apart(option: &RankedOption) -> Option<&'static str> {
    let couple =
        |finding: &&Finding| finding.kind != FindingKind::Notes && finding.rule.starts_with("couple.");
    option
        .findings
        .iter()
        .find(couple)
        .map(|_| "The years hold only while the metals in contact are kept apart.")
}

/// What the promise of an option leaves out: that a fit wears bare, that a masked thread has other years than the coat, and
/// that its dangers are to be settled before it is ordered; none where it leaves nothing out. Where another option is named
/// after it, the dangers are told by its number.
fn settle_first(option: &RankedOption, number: Option<usize>) -> Option<String> {
    let resolve = match (number, option.dangers()) {
        (_, 0) => None,
        (None, 1) => Some("Resolve its danger before you order.".to_owned()),
        (None, _) => Some("Resolve its dangers before you order.".to_owned()),
        (Some(number), 1) => Some(format!("Resolve the danger of #{number} before you order.")),
        (Some(number), _) => Some(format!("Resolve the dangers of #{number} before you order.")),
    };
    let bare = wears_bare(option).then(|| "Not for its fit, which wears bare.".to_owned());
    let masked = masks_thread(option).then(|| "Not for its masked thread.".to_owned());
    let said: Vec<String> = [bare, masked, resolve].into_iter().flatten().collect();
    (!said.is_empty()).then(|| said.join(" "))
}

fn wears_bare(option: &RankedOption) -> bool {
    option.findings.iter().any(|finding| finding.rule == YEARS_OF_A_FIT)
}

/// Whether a thread has other years than the coat; of a head-only coat the years are those of the thread.
fn masks_thread(option: &RankedOption) -> bool {
    !option.is_head_only() && option.findings.iter().any(|finding| finding.rule == MASKED_YEARS)
}

/// What must be known wherever an option is named with its figures: a thread that they leave out, and the dangers that
/// another option does not have.
pub(crate) fn with_what(option: &RankedOption, beside: Option<&RankedOption>) -> String {
    let mut said = special_thread(option).to_owned();
    if wears_bare(option) || masks_thread(option) {
        said.push_str("; not for what stays uncoated");
    }
    if let Some(dangers) = own_dangers(option, beside) {
        said.push_str("; danger: ");
        said.push_str(&dangers.in_words);
    }
    said
}

/// What an order of an option is based on: a thread outside the standard's tolerances, which its cost leaves out, or one that
/// the coats leave out.
fn special_thread(option: &RankedOption) -> &'static str {
    if has_agreed_thread(option) {
        ", with a thread made by agreement (not in the cost)"
    } else if option.is_head_only() {
        HEAD_ONLY
    } else {
        ""
    }
}

fn has_agreed_thread(option: &RankedOption) -> bool {
    option.findings.iter().any(|finding| finding.rule == "thread.by_agreement")
}

/// Marks coats that leave the thread out.
pub(super) const HEAD_ONLY: &str = ", on head and shank only";

/// Whether a rule says in what a metal falls short of the one asked for: strength, hardness, steel group.
pub(crate) fn is_short_of(rule: &str) -> bool {
    matches!(rule, "strength.weaker" | "strength.softer" | "substrate.grade")
}

/// What an option falls short of the strength, hardness or steel group asked for, in figures.
pub(crate) fn weaker(option: &RankedOption) -> Option<&str> {
    option.findings.iter().find(|finding| is_short_of(&finding.rule)).map(|finding| finding.message.as_ref())
}

/// Desirability below that of another option from which a criterion counts as given up.
const GIVEN_UP: f64 = 0.05;

/// In what an option falls clearly short of the first, cost aside, worst first.
pub(crate) fn gives_up(first: &RankedOption, other: &RankedOption) -> Vec<&'static str> {
    lost(first, other, GIVEN_UP)
}

/// In what an option falls short of the first by more than so much, cost aside, worst first.
fn lost(first: &RankedOption, other: &RankedOption, more_than: f64) -> Vec<&'static str> {
    let mut lost: Vec<(f64, &str)> = Vec::new();
    for (own, theirs) in first.score.shares.iter().zip(&other.score.shares) {
        let chips = |option: &RankedOption| option.findings.iter().any(|f| f.rule == "appearance.chips");
        let word = match own.criterion {
            Criterion::Cost => continue,
            Criterion::Appearance if chips(other) && !chips(first) => {
                "black under the paint (chips show bright metal)"
            }
            criterion => criterion_in_words(criterion),
        };
        let gap = own.desirability - theirs.desirability;
        if gap > more_than && own.weight > 0.0 {
            lost.push((gap, word));
        }
    }
    lost.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    lost.into_iter().map(|(_, word)| word).collect()
}

/// A criterion of the score as a reader calls it.
pub(crate) fn criterion_in_words(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::Durability => "probability",
        Criterion::Cost => "cost",
        Criterion::Appearance => "appearance",
        Criterion::Heat => "heat margin",
        Criterion::Assembly => "fit and friction",
        Criterion::Confidence => "quality of its data",
    }
}

/// Place of the first open option that is blackened, and not merely painted or finished by another family.
pub(crate) fn first_blackened(options: &[RankedOption], catalog: &Catalog) -> Option<usize> {
    options.iter().position(|option| {
        let treated = catalog.treatment(&option.build.treatment).is_ok_and(|treatment| !treatment.is_none());
        !option.blocked && !option.outside_blackening && treated
    })
}

/// The finding of the rule that blocks every option, with its remedy; none where reasons differ. What is not black is
/// left out, unless nothing is.
pub(crate) fn common_reason(ranking: &[RankedOption], target: f64, catalog: &Catalog) -> Option<String> {
    let blocking = |option: &RankedOption, rule: &str| {
        option.findings.iter().any(|f| f.kind == FindingKind::Blocks && f.rule == rule)
    };
    let mut black: Vec<&RankedOption> = ranking.iter().filter(|o| !blocking(o, "appearance.black")).collect();
    // the reason is told of a blackened one, if there is one
    black.sort_by_key(|option| option.outside_blackening);
    let wanted = if black.is_empty() { ranking.iter().collect() } else { black };
    let (first, others) = wanted.split_first()?;
    let shared = first
        .findings
        .iter()
        .filter(|f| f.kind == FindingKind::Blocks)
        .find(|f| others.iter().all(|option| blocking(option, &f.rule)))?;
    if shared.rule == COST_LIMIT {
        // what has another reason besides is no way out
        let by_cost_alone = |option: &&&RankedOption| {
            option.findings.iter().all(|f| f.kind != FindingKind::Blocks || f.rule == COST_LIMIT)
        };
        let by_cost: Vec<&RankedOption> = wanted.iter().filter(by_cost_alone).copied().collect();
        let wanted = if by_cost.is_empty() { wanted } else { by_cost };
        let cheapest = wanted.iter().min_by(|a, b| a.cost.per_thousand.total_cmp(&b.cost.per_thousand))?;
        let limit = shared.remedy.as_deref().unwrap_or_default();
        let named = |option: &RankedOption| {
            format!("{}: {}", BuildWords::of(&option.build, catalog).line(), short_figures(option, target))
        };
        let likeliest =
            wanted.iter().max_by(|a, b| a.outlook.probability_ok.total_cmp(&b.outlook.probability_ok))?;
        let reaching = wanted
            .iter()
            .filter(|option| option.outlook.probability_ok >= target && !option.beyond_evidence)
            .min_by(|a, b| a.cost.per_thousand.total_cmp(&b.cost.per_thousand));
        // what reaches the target says what the limit would have to be
        let (lead, other) = match reaching {
            Some(reaching) => (format!("The lowest cost that reaches {}", percent(target)), reaching),
            None => ("Highest probability".to_owned(), likeliest),
        };
        let other =
            if other.build == cheapest.build { String::new() } else { format!(" {lead}: {}.", named(other)) };
        return Some(format!(
            "every one costs more than the limit. The cheapest is {}.{other} {limit}",
            named(cheapest)
        ));
    }
    let same = others.iter().all(|option| option.findings.iter().any(|f| f.message == shared.message));
    let start = if same { "one reason blocks them all." } else { "one rule blocks them all, for example:" };
    let remedy = shared.remedy.as_deref().map_or_else(String::new, |remedy| format!(" {remedy}"));
    let message = shared.message.trim_end_matches('.');
    // names of metals begin small
    let mut letters = message.chars();
    let message = letters.next().map(|first| first.to_uppercase().collect::<String>() + letters.as_str());
    Some(format!("{start} {}.{remedy}", message.unwrap_or_default()))
}

impl Ranking {
    /// How well supported #1 is, in one sentence; none where there is nothing to be before.
    pub(crate) fn firmness(&self) -> Option<String> {
        let options = &self.options;
        let open = options.iter().filter(|option| !option.blocked).count();
        if open < 2 {
            return None;
        }
        let tied = options.iter().filter(|option| option.rank == Some(1)).count();
        if tied > 1 {
            let word = if tied == 2 { "and" } else { "to" };
            let first = options.iter().take_while(|option| option.rank == Some(1));
            let dangers = if first.flat_map(|option| &option.findings).any(Finding::is_danger) {
                "dangers, then fewer "
            } else {
                ""
            };
            return Some(format!(
                "The scores of #1 {word} #{tied} are equal within {:.0}%; among them fewer {dangers}cautions go first, then \
                 the higher probability, then the lower cost.",
                100.0 * TIE
            ));
        }
        let held = match self.stability? {
            share if share >= 1.0 => "every trial".to_owned(),
            share => format!("{} of trials", percent_in_words(share)),
        };
        Some(format!("#1 stays first in {held} with weights and spreads moved by up to a factor of 2."))
    }
}
