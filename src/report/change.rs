//! What would change an answer: years, price, site, and the tables that a page looks up.

use serde::Serialize;
use serde_json::json;

use crate::Result;
use crate::atmosphere::sea_chloride_mg_m2_day;
use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::finish::Build;
use crate::papers::Units;
use crate::rank::words::{BuildWords, amount, cost, has_currency, percent, percent_beside, years};
use crate::rank::{Burden, IN_PART, RankedOption, Ranking, Standing, first, front, rank};
use crate::report::answer::Answer;
use crate::report::limits::ordered;
use crate::study::{MovedColumns, Rows, at_place, each_in_order};

/// Required years that a page offers, besides those of the brief.
const YEARS: [f64; 16] =
    [0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0];

/// Required years, as a multiple of those of the brief, for which the page names another option.
const LONGER: f64 = 2.0;

/// Years over which the page says what the first option costs.
const COST_YEARS: [f64; 3] = [5.0, 10.0, 20.0];

/// What would change the answer.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Changes {
    pub(crate) lines: Vec<String>,
    pub(crate) places: Vec<OtherPlace>,
    pub(crate) years: Vec<Offered>,
    /// The tables as JSON that is safe inside a script element.
    pub(crate) table: String,
}

/// The best option at another place.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct OtherPlace {
    pub(crate) name: String,
    pub(crate) category: String,
    pub(crate) build: String,
    pub(crate) chance: String,
    /// The option to order there: its probability in words and as a number, none where it is ruled out.
    pub(crate) first: String,
    pub(crate) first_probability: Option<f64>,
}

/// Years that the page offers.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Offered {
    pub(crate) words: String,
    pub(crate) required: bool,
}

impl Changes {
    /// None where every option is ruled out.
    pub(crate) fn of(ranking: &Ranking, answer: &Answer, catalog: &Catalog) -> Result<Option<Self>> {
        let (Some(first), Some(best)) = (ranking.best(), ordered(ranking)) else { return Ok(None) };
        let table = YearTable::of(ranking, catalog)?;
        let mut lines = Vec::new();
        lines.extend(table.lead(first, catalog));
        lines.push(longest_at_target(best, answer));
        lines.extend(table.for_longer(answer.target, catalog));
        lines.extend(table.cost_over_time(best, answer.order));
        lines.extend(price(ranking, first, catalog));
        let units = Units::of(&ranking.brief);
        let lines = lines.iter().map(|line| units.sentence(line)).collect();
        let mut places = other_places(ranking, catalog);
        for place in &mut places {
            place.build = units.sentence(&place.build);
        }
        Ok(Some(Self {
            lines,
            places,
            years: table
                .years
                .iter()
                .map(|year| Offered { words: years(*year), required: *year == table.required })
                .collect(),
            table: table.json(best, units, catalog),
        }))
    }
}

/// Every build at every number of required years.
struct YearTable {
    years: Vec<f64>,
    required: f64,
    builds: Vec<Build>,
    /// What settles ties between them.
    burdens: Vec<Burden>,
    /// Per year the builds as (code, probability, cost, score), those that are ruled out left out.
    rows: Vec<Vec<(usize, f64, f64, f64)>>,
}

impl YearTable {
    fn of(ranking: &Ranking, catalog: &Catalog) -> Result<Self> {
        let required = ranking.brief.duty.required_years;
        let mut years = YEARS.to_vec();
        if !years.contains(&required) {
            years.push(required);
        }
        years.sort_by(f64::total_cmp);
        let builds: Vec<Build> = ranking.options.iter().map(|option| option.build.clone()).collect();
        let prepared = Rows::new(&ranking.brief, Some(&builds), catalog)?;
        let columns =
            MovedColumns { rows: years.len(), required_years: Some(&years), ..MovedColumns::default() };
        let output = prepared.run(&columns, 0)?;
        let builds = prepared.builds().to_vec();
        let each = output
            .probability_ok
            .iter()
            .zip(&output.cost_per_thousand)
            .zip(&output.score)
            .zip(&output.blocked);
        let all: Vec<_> = each.map(|(((p, cost), score), blocked)| (*p, *cost, *score, *blocked)).collect();
        let rows = all
            .chunks(builds.len().max(1))
            .map(|row| {
                let usable = row
                    .iter()
                    .enumerate()
                    .filter(|(_, (p, cost, _, blocked))| !blocked && p.is_finite() && cost.is_finite());
                usable.map(|(code, (p, cost, score, _))| (code, *p, *cost, *score)).collect()
            })
            .collect();
        let standings = ranking.options.iter().map(|option| option.standing(catalog));
        let burdens = standings.map(|found| found.map(|found| found.burden)).collect::<Result<Vec<_>>>()?;
        Ok(Self { years, required, builds, burdens, rows })
    }

    /// What reaches the target, or comes nearest to it, for at least twice the required years.
    fn for_longer(&self, target: f64, catalog: &Catalog) -> Option<String> {
        let (year, row) =
            self.years.iter().zip(&self.rows).find(|(year, _)| **year >= LONGER * self.required)?;
        let line = |code: usize| Some(BuildWords::of(self.builds.get(code)?, catalog).line());
        let reaching = row.iter().filter(|(_, p, ..)| *p >= target);
        let (year, aim) = (years(*year), percent(target));
        if let Some((code, p, ..)) = reaching.min_by(|a, b| a.2.total_cmp(&b.2)) {
            let line = line(*code)?;
            return Some(format!(
                "Longer: {year} at {aim} has its lowest cost with {line} ({}).",
                percent(*p)
            ));
        }
        let (code, p, ..) = row.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let line = line(*code)?;
        Some(format!(
            "Longer: no option here reaches {aim} for {year}; the highest probability is {} ({line}).",
            percent_beside(*p, target)
        ))
    }

    /// What the option to order costs over other numbers of years; what fails at once has no cost.
    fn cost_over_time(&self, best: &RankedOption, number: usize) -> Option<String> {
        if best.cost.fails_at_once() {
            return None;
        }
        let own = self.builds.iter().position(|build| *build == best.build)?;
        let at = |year: f64| {
            let place = self.years.iter().position(|known| *known == year)?;
            let (_, p, per_thousand, _) = self.rows.get(place)?.iter().find(|(code, ..)| *code == own)?;
            let money = amount(*per_thousand);
            Some(format!("{money} over {} ({} need none)", years(year), percent(*p)))
        };
        let said: Vec<String> =
            COST_YEARS.iter().filter(|year| **year != self.required).filter_map(|year| at(*year)).collect();
        (!said.is_empty()).then(|| format!("Replacements: #{number} costs {}.", said.join(", ")))
    }

    /// Between which required years the first option stays first, and what is first outside.
    fn lead(&self, best: &RankedOption, catalog: &Catalog) -> Option<String> {
        let leaders: Vec<Option<usize>> = self
            .rows
            .iter()
            .map(|row| {
                let standing = |place: usize| {
                    let Some((code, probability_ok, cost, score)) = row.get(place).copied() else {
                        return Standing::default();
                    };
                    let burden = self.burdens.get(code).copied().unwrap_or_default();
                    Standing { blocked: false, score, burden, probability_ok, cost }
                };
                row.get(first(row.len(), |place| (false, standing(place).score), standing))
                    .map(|(code, ..)| *code)
            })
            .collect();
        let own = self.builds.iter().position(|build| *build == best.build)?;
        let at = self.years.iter().position(|year| *year == self.required)?;
        // what is unlikely to last so long is first of nothing
        let likely = |place: &usize| {
            let row = self.rows.get(*place);
            row.and_then(|row| row.iter().find(|(code, ..)| *code == own))
                .is_some_and(|(_, p, ..)| *p >= HOPELESS)
        };
        let leads =
            |place: &usize| leaders.get(*place).copied().flatten().is_some_and(|leader| leader == own);
        let holds = |place: &usize| *place == at || leads(place) && likely(place);
        let low = (0..=at).rev().take_while(holds).last()?;
        let high = (at..self.years.len()).take_while(holds).last()?;
        // what is first where hardly anything lasts is no advice
        let name = |place: usize| {
            let leader = leaders.get(place).copied().flatten()?;
            let (_, probability, ..) = self.rows.get(place)?.iter().find(|(code, ..)| *code == leader)?;
            Some(if *probability < HOPELESS {
                "none that is likely to last".to_owned()
            } else {
                BuildWords::of(self.builds.get(leader)?, catalog).line()
            })
        };
        let year = |place: usize| self.years.get(place).copied().map(years);
        if best.outlook.probability_ok < HOPELESS {
            return Some(self.likely_for(&leaders, at, catalog));
        }
        let mut said = match (low == 0, high + 1 == self.years.len()) {
            (true, false) => format!("Required years: #1 stays first up to {}", year(high)?),
            (false, true) => format!("Required years: #1 stays first from {} on", year(low)?),
            (false, false) if low == high => format!("Required years: #1 is first only for {}", year(low)?),
            (true, true) | (false, false) => {
                format!("Required years: #1 stays first from {} to {}", year(low)?, year(high)?)
            }
        };
        if let (true, Some(other)) = (low > 0, low.checked_sub(1).and_then(name)) {
            said = format!("{said}; for {} it is {other}", year(low - 1)?);
        }
        if let Some(other) = name(high + 1) {
            said = format!("{said}; for {} it is {other}", year(high + 1)?);
        }
        Some(format!("{said}."))
    }

    /// Where the first option is unlikely to last, the most years for which one is likely to.
    fn likely_for(&self, leaders: &[Option<usize>], at: usize, catalog: &Catalog) -> String {
        let likely = |place: usize| {
            let leader = leaders.get(place).copied().flatten()?;
            let row = self.rows.get(place)?;
            let (_, p, ..) = row.iter().find(|(code, p, ..)| *code == leader && *p >= HOPELESS)?;
            let line = BuildWords::of(self.builds.get(leader)?, catalog).line();
            Some(format!("; the first for {} is {line} ({})", years(*self.years.get(place)?), percent(*p)))
        };
        let fewer = (0..at).rev().find_map(likely).unwrap_or_default();
        format!("Required years: #1 is unlikely to last {}{fewer}.", years(self.required))
    }

    /// The fronts of cost against probability, cheapest first: the lowest cost that reaches any target, and the highest
    /// probability within any budget, are on them.
    fn json(&self, best: &RankedOption, units: Units, catalog: &Catalog) -> String {
        let mut shown: Vec<usize> = Vec::new();
        let mut fronts = Vec::with_capacity(self.rows.len());
        for row in &self.rows {
            let points: Vec<(f64, f64)> = row.iter().map(|(_, p, cost, _)| (*cost, *p)).collect();
            let mut kept: Vec<&(usize, f64, f64, f64)> =
                row.iter().zip(front(&points)).filter(|(_, on)| *on).map(|(one, _)| one).collect();
            kept.sort_by(|a, b| a.2.total_cmp(&b.2).then(a.1.total_cmp(&b.1)));
            let mut entries = Vec::with_capacity(kept.len());
            for (code, p, cost, _) in kept {
                let at = shown.iter().position(|known| known == code).unwrap_or_else(|| {
                    shown.push(*code);
                    shown.len() - 1
                });
                entries.push(json!([
                    at,
                    (p * 1e4).round() / 1e4,
                    (cost * 100.0).round() / 100.0,
                    amount(*cost)
                ]));
            }
            fronts.push(entries);
        }
        let builds: Vec<String> = shown
            .iter()
            .filter_map(|code| self.builds.get(*code))
            .map(|build| BuildWords::of(build, catalog).in_units(units).line())
            .collect();
        let currency = match best.cost.currency.as_str() {
            currency if !has_currency(currency) || currency.starts_with(IN_PART) => "cost",
            currency => currency,
        };
        let document = json!({ "currency": currency, "builds": builds, "fronts": fronts });
        let text = document.to_string();
        // inside a script element only a tag could end it
        text.replace('<', "\\u003c").replace('>', "\\u003e").replace('&', "\\u0026")
    }
}

/// How many years the option to order reaches the target for.
fn longest_at_target(best: &RankedOption, answer: &Answer) -> String {
    let look = &best.outlook;
    let reaches = |t: f64| look.survival(t).is_ok_and(|p| p.is_some_and(|p| p >= answer.target));
    let (mut low, mut high) = (0.0, look.median_years.max(look.p10_years).max(1e-6) * 4.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if reaches(middle) { low = middle } else { high = middle }
    }
    let lasts = if look.is_beyond_evidence(low) { look.in_words(low) } else { years(low) };
    format!(
        "Target: #{} lasts {lasts} with {} probability; {} are required.",
        answer.order, answer.target_words, answer.required
    )
}

/// Probability below which it does not matter which option is first (assumption).
const HOPELESS: f64 = 0.3;

/// Up to what cost the first option keeps a better score than the next in rank.
fn price(ranking: &Ranking, best: &RankedOption, catalog: &Catalog) -> Option<String> {
    let hopeless = best.outlook.probability_ok < HOPELESS;
    if hopeless || best.cost.fails_at_once() || best.cost.items_without_price().next().is_some() {
        return None;
    }
    let level = ranking.sharing_first();
    if level > 1 {
        let tied = ranking.options.iter().zip(1..).take(level);
        let (cheapest, number) =
            tied.min_by(|(a, _), (b, _)| a.cost.per_thousand.total_cmp(&b.cost.per_thousand))?;
        let word = if level == 2 { "and" } else { "to" };
        return Some(format!(
            "Price: #1 {word} #{level} score alike; of these #{number} costs least ({}).",
            amount(cheapest.cost.per_thousand)
        ));
    }
    let mut open = ranking.options.iter().zip(1..).filter(|(option, _)| !option.blocked);
    let (second, number) = open.find(|(option, _)| option.rank != best.rank)?;
    let name = BuildWords::of(&second.build, catalog).line();
    let currency = &best.cost.currency;
    Some(match ranking.cost_to_tie(second, catalog).ok()? {
        Some(limit) => format!(
            "Price: #1 stays ahead of #{number} ({name}) until its own cost rises by {:.0}%, to {}.",
            100.0 * (limit / best.cost.per_thousand - 1.0),
            cost(currency, limit).trim_start_matches("cost ")
        ),
        None => format!("Price: #1 stays ahead of #{number} ({name}) whatever its own cost."),
    })
}

/// Probability below which no option of a place is named (assumption).
const NEAR: f64 = 0.5;

/// Meters by which the page moves a site away from the sea.
const INLAND_M: f64 = 3000.0;

/// The same site farther from the sea, where the sea brings its chloride and it was not measured.
fn farther_inland(ranking: &Ranking, catalog: &Catalog) -> Option<(String, Brief)> {
    let duty = &ranking.brief.duty;
    let place = duty.place.as_ref().and_then(|name| catalog.content().places.get(name));
    let of_roads = duty.road_salt.is_some() || place.is_some_and(|place| place.road_salt_months.is_some());
    // a platform is nowhere near land
    let at_sea = duty.place.as_deref() == Some("offshore");
    if duty.chloride_mg_m2_day.is_some() || of_roads || at_sea {
        return None;
    }
    let kilometers = INLAND_M / 1000.0;
    let (name, meters) = if let Some(meters) = duty.sea_distance_m {
        (format!("this site, but {kilometers:.0} km farther from the sea"), meters + INLAND_M)
    } else {
        let there = sea_chloride_mg_m2_day(INLAND_M).ok()?.median_mg_m2_day;
        ranking.atmosphere.chloride_mg_m2_day.filter(|here| *here > there)?;
        (format!("this site, but {kilometers:.0} km inland"), INLAND_M)
    };
    let mut moved = ranking.brief.clone();
    moved.duty.sea_distance_m = Some(meters);
    Some((name, moved))
}

/// What would be ordered at another place, and how the option to order here fares there.
fn other_place(
    name: String,
    there: &Ranking,
    ranking: &Ranking,
    number: &str,
    catalog: &Catalog,
) -> OtherPlace {
    let target = ranking.target_probability();
    let here = ordered(ranking);
    let own = here
        .and_then(|best| there.options.iter().find(|option| option.build == best.build && !option.blocked));
    let first_probability = own.map(|option| option.outlook.probability_ok);
    // what reaches the target goes before the best score
    let (build, chance) = match ordered(there) {
        Some(best) => {
            let same = here.is_some_and(|own| own.build == best.build);
            let build = match () {
                () if best.outlook.probability_ok < NEAR => "none comes near the target".to_owned(),
                () if same => number.to_owned(),
                () => BuildWords::of(&best.build, catalog).line(),
            };
            (build, percent_beside(best.outlook.probability_ok, target))
        }
        None => ("every option is ruled out".to_owned(), "–".to_owned()),
    };
    OtherPlace {
        name,
        category: there.atmosphere.category.to_string(),
        build,
        chance,
        first: first_probability.map_or_else(|| "ruled out".to_owned(), |p| percent_beside(p, target)),
        first_probability,
    }
}

pub(super) fn other_places(ranking: &Ranking, catalog: &Catalog) -> Vec<OtherPlace> {
    let described = catalog.content().places.keys();
    let elsewhere = described
        .filter(|name| ranking.brief.duty.place.as_ref() != Some(name))
        .map(|name| (name.replace('_', " "), at_place(&ranking.brief, name)));
    let number = format!("#{}", ranking.to_order().unwrap_or(0) + 1);
    // each place is a ranking of its own, most of the time that a page takes
    let asked = farther_inland(ranking, catalog).into_iter().chain(elsewhere).collect();
    let found = each_in_order(asked, |(name, brief)| {
        let there = rank(&brief, catalog).ok()?;
        let loss_um = there.atmosphere.first_year_steel_loss_um;
        Some((loss_um, other_place(name, &there, ranking, &number, catalog)))
    });
    let mut found: Vec<(f64, OtherPlace)> = found.into_iter().flatten().collect();
    found.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    let mut places: Vec<OtherPlace> = found.into_iter().map(|(_, place)| place).collect();
    let mut before = String::new();
    for place in &mut places {
        let build = place.build.clone();
        if build != number && build == before {
            "as above".clone_into(&mut place.build);
        }
        before = build;
    }
    places
}
