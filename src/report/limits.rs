//! What the option to order is not good for: heat, sites, coats left away; the best of each process beside it; its order.

use serde::Serialize;

use crate::Result;
use crate::brief::customary::in_customary_units;
use crate::catalog::Catalog;
use crate::check::{FindingKind, galls, leaves_hardness_open};
use crate::fastener::{EmbrittlementEdition, Susceptibility, susceptibility};
use crate::finish::Build;
use crate::papers::{Subject, Units, papers};
use crate::rank::points::Point;
use crate::rank::verdict::{NOT_STATED, gives_up, short_cost, with_what};
use crate::rank::words::{BuildWords, OUTSIDE, capital, percent_beside, sentence};
use crate::rank::{RankedOption, Ranking};
use crate::report::answer::{Answer, Row};
use crate::report::change::OtherPlace;

/// A subject with what is said of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Said {
    pub(crate) subject: String,
    pub(crate) text: String,
}

/// Subjects that a page tells elsewhere.
pub(crate) const OTHER_SITES: &str = "Other sites";
pub(crate) const MORE_PROBABILITY: &str = "More probability";

/// The limits of the option to order, a subject a line.
pub(crate) fn limits(
    ranking: &Ranking,
    answer: &Answer,
    places: &[OtherPlace],
    catalog: &Catalog,
) -> Vec<Said> {
    let Some(best) = ordered(ranking) else { return Vec::new() };
    let said = |subject: &str, text: String| Said { subject: subject.to_owned(), text };
    let mut lines = vec![said("Heat", heat(&best.build, catalog))];
    let short: Vec<String> = places
        .iter()
        .filter(|place| place.first_probability.is_none_or(|p| p < answer.target))
        .map(|place| format!("{} ({})", place.name, place.first))
        .collect();
    if !short.is_empty() {
        let here =
            if best.met { String::new() } else { format!("here ({}) and ", chance(best, answer.target)) };
        let text = format!(
            "#{} does not reach {} {here}at: {}.",
            answer.order,
            answer.target_words,
            short.join(", ")
        );
        lines.push(said(OTHER_SITES, text));
    }
    lines.extend(fewer_coats(ranking, best, catalog).into_iter().map(|text| said("Without a coat", text)));
    lines.extend(more_probable(ranking, best, catalog).map(|text| said(MORE_PROBABILITY, text)));
    lines.extend(zinc(ranking, best, catalog).map(|text| said("Zinc", text)));
    lines.extend(hydrogen(ranking, best, catalog).map(|text| said("Hydrogen", text)));
    lines.extend(galling(ranking, best, catalog).map(|text| said("Galling", text)));
    if !ranking.brief.duty.welded_after_finishing {
        let text = "Not assessed: not stated as welded after finishing.".to_owned();
        lines.push(said("Welding", text));
    }
    for finding in best.findings.iter().filter(|finding| finding.kind == FindingKind::Notes) {
        let family = finding.rule.split('.').next().unwrap_or_default();
        let point = Point::of(finding);
        // that local rules come first is said at the end of the answer
        let text =
            if matches!(family, "appearance" | "substances") { point.text.clone() } else { point.whole() };
        lines.push(said(finding.subject(), text));
    }
    let mut lines = joined(lines);
    if Units::of(&ranking.brief) == Units::Inch {
        for line in &mut lines {
            line.text = in_customary_units(&line.text);
        }
    }
    lines
}

/// What is asked first of any order, in this order.
const ASKED_FIRST: [&str; 6] = ["Heat", "Torque", "Galling", "Thread", OTHER_METALS, "Zinc"];
const OTHER_METALS: &str = "Other metals";

/// The limits that are asked first of any order, apart from the others.
pub(crate) fn in_short(ranking: &Ranking, limits: Vec<Said>) -> (Vec<Said>, Vec<Said>) {
    let place = |line: &Said| ASKED_FIRST.iter().position(|subject| *subject == line.subject);
    let (mut short, others): (Vec<Said>, Vec<Said>) =
        limits.into_iter().partition(|line| place(line).is_some());
    let judged =
        |option: &RankedOption| option.findings.iter().any(|finding| finding.rule.starts_with("couple."));
    if ordered(ranking).is_some_and(|best| !judged(best)) {
        let text = if ranking.brief.duty.mating_metals.is_empty() {
            "none stated, none judged."
        } else {
            "nothing found against those stated."
        };
        short.push(Said { subject: OTHER_METALS.to_owned(), text: text.to_owned() });
    }
    short.sort_by_key(place);
    (short, others)
}

/// What the option to order must not meet, from the plater's tank to the assembler's wrench; none where nothing is known.
pub(crate) fn must_not(ranking: &Ranking, catalog: &Catalog) -> Option<String> {
    let best = ordered(ranking)?;
    let treatment = catalog.treatment(&best.build.treatment).ok()?;
    let films = best.build.films.iter().filter_map(|key| catalog.film(key).ok());
    let limits = films.map(|film| film.continuous_limit_c.value);
    let lowest_c = limits.chain(treatment.heat_limit_c.as_ref().map(|limit| limit.value)).reduce(f64::min);
    let has = |rule: &str| best.findings.iter().any(|finding| finding.rule == rule);
    let acid = match () {
        () if has("embrittlement.no_acid") => Some("acid at any step: hydrogen breaks it"),
        () if has("preparation.zinc_stays") || treatment.is_zinc() => {
            Some("acid or caustic: they dissolve zinc")
        }
        () if treatment.class.is_some() => Some("acid: it strips the oxide"),
        () => None,
    };
    let touched = |mate: &&String| {
        let word = mate.replace('_', " ");
        let told = |text: &str| text.to_lowercase().contains(&word.to_lowercase());
        best.findings
            .iter()
            .any(|f| f.kind != FindingKind::Notes && f.rule.starts_with("couple.") && told(&f.message))
    };
    let mates: Vec<String> =
        ranking.brief.duty.mating_metals.iter().filter(touched).map(|mate| mate.replace('_', " ")).collect();
    let torque =
        best.findings.iter().filter(|finding| finding.rule.starts_with("torque.")).find_map(|finding| {
            [&*finding.message, finding.remedy.as_deref().unwrap_or_default()].into_iter().find_map(|text| {
                let (_, torque) = text.split_once("Tighten to ").or_else(|| text.split_once("; at most "))?;
                Some(torque.split_once(" (")?.0.to_owned())
            })
        });
    let table = || has("torque.new_torque").then(|| "the torque of the tables".to_owned());
    let said: Vec<String> = [
        lowest_c.map(|limit_c| format!("more than {limit_c:.0} °C for long")),
        acid.map(str::to_owned),
        (!mates.is_empty()).then(|| format!("bare {}", mates.join(", "))),
        torque.map(|torque| format!("more than {torque}")).or_else(table),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!said.is_empty()).then(|| Units::of(&ranking.brief).sentence(&format!("{}.", said.join("; "))))
}

/// The option to order.
pub(crate) fn ordered(ranking: &Ranking) -> Option<&RankedOption> {
    ranking.options.get(ranking.to_order()?)
}

/// What is said of one subject in one line.
fn joined(lines: Vec<Said>) -> Vec<Said> {
    let mut found: Vec<Said> = Vec::new();
    for line in lines {
        match found.iter_mut().find(|known| known.subject == line.subject) {
            Some(known) => known.text = format!("{} {}", known.text, line.text),
            None => found.push(line),
        }
    }
    found
}

/// More probability of an option, in percentage points, from which it is named beside the one to order (assumption).
const MORE: f64 = 0.02;

/// The lowest-cost option that is clearly more probable than the one to order, with what it gives up.
fn more_probable(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Option<String> {
    let open = ranking.options.iter().zip(1..).filter(|(option, _)| !option.blocked);
    let more = open.filter(|(option, _)| option.outlook.probability_ok >= best.outlook.probability_ok + MORE);
    let (option, number) =
        more.min_by(|(a, _), (b, _)| a.cost.per_thousand.total_cmp(&b.cost.per_thousand))?;
    let lost = gives_up(best, option);
    let lost = if lost.is_empty() { String::new() } else { format!("; it gives up {}", lost.join(", ")) };
    Some(format!(
        "#{number} ({}) has {}; {}{lost}{}.",
        line(option, catalog),
        chance(option, ranking.target_probability()),
        short_cost(option),
        with_what(option, Some(best))
    ))
}

/// The first zinc finish where the option to order is another; why not, for each zinc process.
fn zinc(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Option<String> {
    let is_zinc = |option: &RankedOption| {
        catalog.treatment(&option.build.treatment).is_ok_and(crate::finish::Treatment::is_zinc)
    };
    if is_zinc(best) {
        return None;
    }
    let open = |(option, _): &(&RankedOption, usize)| is_zinc(option) && !option.blocked;
    let Some((option, number)) = ranking.options.iter().zip(1..).find(open) else {
        return zinc_ruled_out(ranking, is_zinc, catalog);
    };
    let lost = gives_up(best, option);
    let lost = if lost.is_empty() { String::new() } else { format!("; it gives up {}", lost.join(", ")) };
    Some(format!(
        "The best zinc finish is #{number} ({}): {}; {}{lost}{}.",
        line(option, catalog),
        chance(option, ranking.target_probability()),
        short_cost(option),
        with_what(option, Some(best))
    ))
}

/// Why each zinc process is ruled out, by its build with the fewest coats: a coat adds its own reasons.
fn zinc_ruled_out(
    ranking: &Ranking,
    is_zinc: impl Fn(&RankedOption) -> bool,
    catalog: &Catalog,
) -> Option<String> {
    let mut plainest: Vec<&RankedOption> = Vec::new();
    for option in ranking.options.iter().filter(|option| is_zinc(option)) {
        let same = |known: &&mut &RankedOption| known.build.treatment == option.build.treatment;
        match plainest.iter_mut().find(same) {
            Some(known) if known.build.films.len() > option.build.films.len() => *known = option,
            Some(_) => {}
            None => plainest.push(option),
        }
    }
    let mut said: Vec<(&str, String, Vec<String>)> = Vec::new();
    for option in plainest {
        let reason = option.findings.iter().find(|finding| finding.kind == FindingKind::Blocks)?;
        let (rule, reason) = (reason.rule.as_ref(), sentence(&reason.message));
        let name = BuildWords::of(&option.build, catalog).oxide;
        // one rule is told once, whatever the thickness
        match said.iter_mut().find(|(known, ..)| *known == rule) {
            Some((_, _, names)) => names.push(name),
            None => said.push((rule, reason, vec![name])),
        }
    }
    let said: Vec<String> = said
        .into_iter()
        .map(|(_, reason, names)| format!("{}: {reason}", capital(&names.join(", "))))
        .collect();
    (!said.is_empty()).then(|| format!("Ruled out. {}", said.join(" ")))
}

/// That no hydrogen relief is needed, where no finding speaks of hydrogen and the hardness is known.
fn hydrogen(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Option<String> {
    let told = best.findings.iter().any(|finding| finding.rule.starts_with("embrittlement."));
    if told || leaves_hardness_open(&ranking.brief) {
        return None;
    }
    let metal = catalog.base_metal(&best.build.base_metal).ok()?;
    let usual = metal.hardness_hv.as_ref().map(|range| range.high);
    let hardest = [usual, ranking.brief.part.hardness_hv].into_iter().flatten().reduce(f64::max)?;
    let edition = EmbrittlementEdition::Iso4042Edition2018;
    let safe = metal.family.is_hardenable()
        && susceptibility(hardest, edition).is_ok_and(|found| found == Susceptibility::NotSusceptible);
    safe.then(|| format!("No relief bake: at most {hardest:.0} HV is not susceptible (ISO 4042:2018)."))
}

/// That threads of its metal gall, where there are threads and no finding says more.
fn galling(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Option<String> {
    let part = &ranking.brief.part;
    let metal = catalog.base_metal(&best.build.base_metal).ok()?;
    let told = || best.findings.iter().any(|finding| finding.rule == "torque.galling");
    (part.thread.is_some() && galls(metal.family) && !told()).then(|| {
        "Threads of this metal gall where they are dry: tighten with the lubricant that is ordered, slowly, and not by \
         impact (common practice)."
            .to_owned()
    })
}

fn line(option: &RankedOption, catalog: &Catalog) -> String {
    BuildWords::of(&option.build, catalog).line().replace(OUTSIDE, "")
}

fn chance(option: &RankedOption, target: f64) -> String {
    match crate::rank::verdict::chance(option, target) {
        stated if stated != NOT_STATED => stated,
        _ => "not stated: beyond the evidence".to_owned(),
    }
}

/// The lowest temperatures that its layers withstand.
fn heat(build: &Build, catalog: &Catalog) -> String {
    let films: Vec<_> = build.films.iter().filter_map(|key| catalog.film(key).ok()).collect();
    let lowest =
        films.iter().min_by(|a, b| a.continuous_limit_c.value.total_cmp(&b.continuous_limit_c.value));
    let mut text = match lowest {
        Some(film) => format!(
            "Part at most {:.0} °C for long and {:.0} °C for minutes, by {} ({}).",
            film.continuous_limit_c.value,
            film.short_limit_c.value,
            film.name,
            catalog.source(&film.continuous_limit_c.source).firmness.words()
        ),
        None => "No coat limits the part temperature.".to_owned(),
    };
    if let Ok(treatment) = catalog.treatment(&build.treatment)
        && let Some(limit) = &treatment.heat_limit_c
    {
        let firmness = catalog.source(&limit.source).firmness.words();
        text = format!("{text} {}: at most {:.0} °C ({firmness}).", capital(&treatment.name), limit.value);
    }
    text
}

/// The option to order with one coat left away, where the ranking has that option.
fn fewer_coats(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Vec<String> {
    let target = ranking.target_probability();
    let own_chance = percent_beside(best.outlook.probability_ok, target);
    (0..best.build.films.len())
        .filter_map(|left_out| {
            let mut without = best.build.clone();
            let key = without.films.remove(left_out);
            let name = &catalog.film(&key).ok()?.name;
            let (at, option) =
                ranking.options.iter().enumerate().find(|(_, option)| option.build == without)?;
            let row = Row::of(at + 1, option, target, Units::Metric, catalog);
            Some(if option.blocked {
                let reason = option.findings.iter().find(|finding| finding.kind == FindingKind::Blocks);
                let reason = reason.map(|finding| sentence(&finding.message)).unwrap_or_default();
                format!("Without {name} it is ruled out: {reason}")
            } else if row.chance == own_chance {
                format!("Without {name} (#{}) the probability is the same: {}.", row.number, row.chance)
            } else {
                let chance = if option.beyond_evidence {
                    "no probability can be stated (beyond the evidence)".to_owned()
                } else {
                    format!("{} probability instead of {own_chance}", row.chance)
                };
                let own = best.outlook.in_words(best.outlook.median_years);
                let median = if row.median_words == own {
                    String::new()
                } else {
                    format!(", median {} instead of {own}", row.median_words)
                };
                format!("Without {name} (#{}): {chance}{median}.", row.number)
            })
        })
        .collect()
}

/// Rows of other processes on a page.
const PROCESSES: usize = 3;

/// The first usable option of each process that a table of options lacks, in the order of the ranking.
pub(crate) fn best_of_processes<'a>(answer: &'a Answer, shown: &[&Row]) -> Vec<&'a Row> {
    let mut found: Vec<&Row> = Vec::new();
    for row in &answer.rows {
        if !found.iter().chain(shown).any(|known| known.words.oxide == row.words.oxide) {
            found.push(row);
        }
    }
    found.truncate(PROCESSES);
    found
}

/// What a buyer asks first of the order of an option by its number: drawing note, tests, acceptance of the lot.
///
/// # Errors
/// None that the ranking itself did not have.
pub(crate) fn order_note(ranking: &Ranking, number: usize, catalog: &Catalog) -> Result<Vec<Said>> {
    let best = number.checked_sub(1).and_then(|at| ranking.options.get(at)).filter(|option| !option.blocked);
    let Some(best) = best else { return Ok(Vec::new()) };
    let others = [Subject::Tests, Subject::Acceptance].map(|subject| capital(subject.words()));
    let lines = papers(&ranking.brief, best, catalog, Units::of(&ranking.brief))?
        .order
        .lines()
        .into_iter()
        .enumerate();
    let kept = lines.filter(|(at, (subject, _))| *at == 0 || others.contains(subject));
    Ok(kept.map(|(_, (subject, text))| Said { subject, text }).collect())
}
