//! The papers as headings, lists and tables, before they become text or HTML.

use std::fmt::Write as _;

use crate::brief::written::{number, pieces, thousands, time};
use crate::evidence::Source;
use crate::papers::acceptance::{AcceptancePlan, Characteristic, SamplePlan};
use crate::papers::answered::Misfit;
use crate::papers::order::OrderNote;
use crate::papers::route::{OVEN, OVENS};
use crate::papers::sampling::OperatingPoint;
use crate::papers::{
    BearsOn, DefectClass, Moment, Papers, RouteStep, SampleRule, Stage, StepKind, Units, capital,
};

/// A piece of a sheet.
pub(super) enum Block {
    /// A heading, 1 the highest.
    Heading(u8, String),
    /// Running text.
    Paragraph(String),
    /// Items without order.
    List(Vec<String>),
    /// Items with a number, a title and labelled lines.
    Steps(Vec<Item>),
    /// Labelled lines.
    Labelled(Vec<(String, String)>),
    /// A table with its head.
    Table(Vec<&'static str>, Vec<Vec<String>>),
    /// Numbered sources.
    Sources(Vec<String>),
    /// Who signs, each with a date.
    Signatures(Vec<String>),
}

/// A step as a reader sees it.
pub(super) struct Item {
    pub(super) number: u32,
    pub(super) title: String,
    pub(super) lines: Vec<(String, String)>,
}

/// Acceptance probabilities at which the table of the operating characteristic has its rows.
const SHOWN_PROBABILITIES: [f64; 6] = [0.99, 0.95, 0.75, 0.5, 0.25, 0.1];

struct Writer<'a> {
    sources: &'a [Source],
    units: Units,
    order: &'a OrderNote,
    /// Whether a film goes over the treatment.
    coated: bool,
    /// Whether a sealer goes over the treatment, ahead of any film.
    sealed: bool,
}

pub(super) fn sheet(papers: &Papers) -> Vec<Block> {
    let w = Writer {
        sources: &papers.sources,
        units: papers.units,
        order: &papers.order,
        coated: !papers.build.films.is_empty(),
        sealed: papers.route.first(StepKind::Seal).is_some(),
    };
    let revision = papers.revision.as_deref().unwrap_or("____");
    let date = papers.date.as_deref().unwrap_or("date __________");
    let misfits = papers.misfits();
    if !misfits.is_empty() {
        return vec![
            Block::Heading(1, format!("Papers: {}", papers.inquiry)),
            Block::Paragraph("Not printed: answers do not fit what these papers were made for.".to_owned()),
            Block::List(misfits.iter().map(Misfit::sentence).collect()),
        ];
    }
    let mut blocks = vec![
        Block::Heading(1, format!("Papers: {}", papers.inquiry)),
        Block::Paragraph(format!("{}.", capital(&w.units.sentence(&papers.finish)))),
        Block::Paragraph(format!(
            "Revision {revision}, {date}. Numbers in brackets name the source at the end."
        )),
    ];
    blocks.extend(papers.order.departures_in_words().map(Block::Paragraph));
    Writer::order(&papers.order, &mut blocks);
    w.route(papers, &mut blocks);
    w.acceptance(papers, &mut blocks);
    w.cautions(papers, &mut blocks);
    blocks.push(Block::Heading(2, "Sources".to_owned()));
    blocks.push(Block::Sources(papers.sources.iter().map(Source::to_string).collect()));
    blocks
}

impl Writer<'_> {
    /// The text with the number of its source.
    fn cite(&self, text: &str, source: &Source) -> String {
        format!("{text} {}", self.mark(source))
    }

    fn mark(&self, source: &Source) -> String {
        let number = self.sources.iter().position(|s| s == source).map_or(0, |i| i + 1);
        format!("[{number}]")
    }

    /// The order, without marks of evidence: a supplier needs values and standards.
    fn order(order: &OrderNote, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Order note".to_owned()));
        blocks.push(Block::Labelled(order.lines()));
        if !order.is_complete() {
            blocks.push(Block::Paragraph(
                "Open: proposed here, to be agreed; in force once both have signed.".to_owned(),
            ));
        }
        blocks.push(Block::Signatures(vec!["Buyer".to_owned(), "Supplier".to_owned()]));
    }

    fn route(&self, papers: &Papers, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Route card".to_owned()));
        for (stage, heading) in [
            (Stage::Making, "Before the parts go to the finisher"),
            (Stage::Finishing, "At the finisher"),
            (Stage::Assembly, "After the finisher"),
        ] {
            let of_stage = papers.route.steps.iter().filter(|step| step.stage == stage);
            let steps: Vec<Item> = of_stage.map(|step| self.step(step, &papers.route.steps)).collect();
            if !steps.is_empty() {
                blocks.push(Block::Heading(3, heading.to_owned()));
                blocks.push(Block::Steps(steps));
            }
        }
    }

    fn step(&self, step: &RouteStep, all: &[RouteStep]) -> Item {
        let mut lines: Vec<(String, String)> = Vec::new();
        let mut line = |label: &str, text: String| lines.push((label.to_owned(), text));
        let instead = step.instructions.iter().find_map(|said| self.order.instead(said.bears_on));
        let stands = instead.is_none();
        for asked in step.asked_by.iter().filter(|said| self.order.instead(said.bears_on).is_none()) {
            line("Because", self.cite(&asked.text, &asked.source));
        }
        if let Some(instead) = instead {
            line("Do", instead);
        }
        if let Some(bath) = &step.bath {
            line("Bath", capital(bath));
        }
        if let Some(t) = &step.temperature_c {
            let range = if OVENS.contains(&step.kind) && step.has_hazard(OVEN) {
                self.units.oven(t.low, t.high)
            } else {
                self.units.temperature(t.low, t.high)
            };
            line("Temperature", self.cite(&range, &t.source));
        }
        if let Some(t) = &step.minutes {
            line("Time", self.cite(&time(t.low, t.high), &t.source));
        }
        for said in step.instructions.iter().filter(|said| stands || said.bears_on.is_none()) {
            line("Do", self.cite(&said.text, &said.source));
        }
        if let Some(rinse) = &step.rinse {
            line("Then", format!("{}.", capital(rinse)));
        }
        for said in &step.measure {
            line("Measure", self.cite(&said.text, &said.source));
        }
        for caution in &step.hazards {
            // In full where it acts first, and named again at each later step.
            let first =
                all.iter().find(|other| other.hazards.contains(caution)).map_or(0, |other| other.number);
            if first < step.number {
                line("Hazard", format!("{}: as at step {first}.", capital(&caution.name)));
            } else {
                let said = format!("{}. {}", capital(&caution.name), caution.text);
                line("Hazard", self.cite(&said, &caution.source));
            }
        }
        for hold in &step.hold {
            line("HOLD POINT", self.cite(&hold.text, &hold.source));
        }
        if !step.hold.is_empty() {
            line("HOLD POINT", "Released by: ____________________ Date: __________".to_owned());
        }
        Item { number: step.number, title: self.cite(&step.title, &step.source), lines }
    }

    fn acceptance(&self, papers: &Papers, blocks: &mut Vec<Block>) {
        let (plan, assumed_of_lot) = (&papers.acceptance, &papers.assumed);
        blocks.push(Block::Heading(2, "Acceptance plan".to_owned()));
        let assumed = if plan.lot_assumed { " (assumed)" } else { "" };
        blocks.push(Block::Paragraph(format!(
            "Lot of {}{assumed}. {}",
            pieces(plan.lot_pieces.into()),
            self.cite(&plan.lot.text, &plan.lot.source)
        )));
        for class in DefectClass::ALL {
            let tests: Vec<(String, String)> = plan
                .characteristics
                .iter()
                .filter(|c| c.class == *class)
                .map(|c| (capital(&c.name), self.characteristic(plan, c)))
                .collect();
            if !tests.is_empty() {
                let rule = match class {
                    DefectClass::Critical => "Critical: accept on 0, reject the lot on 1",
                    DefectClass::Major => "Major",
                    DefectClass::Minor => "Minor",
                };
                blocks.push(Block::Heading(3, rule.to_owned()));
                blocks.push(Block::Labelled(tests));
            }
        }
        if !plan.not_tested.is_empty() {
            blocks.push(Block::Heading(3, "Not tested".to_owned()));
            blocks.push(Block::List(
                plan.not_tested.iter().map(|said| self.cite(&said.text, &said.source)).collect(),
            ));
        }
        if let (Some(hours), Some(passed), false) = (
            plan.salt_spray.hours,
            plan.salt_spray.probability_passed,
            self.order.departs(BearsOn::SaltSpray),
        ) {
            blocks.push(Block::Heading(3, "What the salt spray can show".to_owned()));
            let least = if let Some(standard) = &plan.salt_spray.standard {
                format!("{hours:.0} h is the minimum in the table cited {}.", self.mark(standard))
            } else {
                let share = if passed < 0.995 {
                    format!("{:.0}%", passed * 100.0)
                } else {
                    "more than 99%".to_owned()
                };
                let hours = |hours: f64| thousands(&format!("{hours:.0}"));
                let red = if plan.salt_spray.white_hours.is_some() { " to red rust" } else { "" };
                let pass = if plan.salt_spray.white_hours.is_some() {
                    format!(
                        "{share} of single pieces reach the hours to red rust; of white corrosion no spread is known"
                    )
                } else {
                    let most = plan.sample(SampleRule::Cabinet).map_or(1, |sample| sample.plan.sample_size);
                    let all = 100.0 * passed.powf(f64::from(most));
                    let all = if most > 1 {
                        format!(", all {most} in {all:.0}% of lots where pieces vary independently")
                    } else {
                        String::new()
                    };
                    format!("{share} of single pieces pass the test{all}")
                };
                format!(
                    "Half of such finishes withstand {} h{red}, 9 of 10 withstand {} h; {pass}.",
                    hours(plan.salt_spray.median_hours),
                    hours(plan.salt_spray.lower_hours),
                )
            };
            blocks.push(Block::Paragraph(format!(
                "{} {least} {}",
                self.cite(&plan.salt_spray.remark.text, &plan.salt_spray.remark.source),
                self.mark(&super::salt_spray::TEST_HOURS)
            )));
        }
        blocks.push(Block::Heading(3, "Samples and their risks".to_owned()));
        if let Some(ordered) = self.order.as_ordered(BearsOn::Sampling) {
            blocks.push(Block::Paragraph(ordered));
        } else {
            for sample in &plan.plans {
                self.sample(sample, blocks);
            }
        }
        let rules = &plan.switching_rules;
        blocks.push(Block::Paragraph(self.cite(
            &format!(
                "Switching rules: go to tightened inspection when {0} of {1} consecutive lots, or {0} of fewer, are rejected; stop \
                 after {2} lots rejected under tightened inspection until the process is corrected.",
                rules.tighten_after_refused_lots, rules.tighten_within_lots, rules.stop_after_refused_lots
            ),
            &rules.source,
        )));
        blocks.push(Block::Paragraph(self.cite(
            &format!(
                "Return to normal inspection after {} consecutive lots accepted under tightened inspection. Reduced \
                 inspection from a switching score of {}, with steady production and the buyer's agreement; normal \
                 again with the first lot rejected or irregular production. Not for critical characteristics.",
                rules.normal_after_accepted_lots, rules.reduced_from_score
            ),
            &rules.return_source,
        )));
        self.off_shade(plan, assumed_of_lot, blocks);
    }

    fn characteristic(&self, plan: &AcceptancePlan, c: &Characteristic) -> String {
        let how_many = match plan.sample(c.sample).filter(|_| c.panels.is_none()) {
            Some(_) if self.order.departs(BearsOn::Sampling) => "pieces as ordered".to_owned(),
            Some(sample) if sample.plan.inspect_all => "every piece".to_owned(),
            Some(sample) => {
                format!("{}, accept on {}", pieces(sample.plan.sample_size.into()), sample.plan.accept)
            }
            None => match c.panels {
                Some(1) => "1 panel, accept on 0".to_owned(),
                Some(panels) => format!("{panels} panels, accept on 0"),
                None => c.sample.words().to_owned(),
            },
        };
        let test = self.order.instead(c.bears_on);
        let test = test.unwrap_or_else(|| self.cite(&c.test, &c.source));
        let when = match (c.panels, c.moment) {
            (Some(_), Moment::EachLoad) => "on panels that went with each load",
            (Some(_), _) => "on panels that went with the lot",
            (None, Moment::BeforeSupplementaryFinish) if self.sealed => "on dry parts, before the sealer",
            (None, Moment::BeforeSupplementaryFinish) if !self.coated => "on dry parts, before packing",
            (None, moment) => moment.words(),
        };
        let destroyed =
            if c.destructive && c.panels.is_none() { "; tested pieces are destroyed" } else { "" };
        let ordered = if c.only_if_ordered { " Only if ordered." } else { "" };
        format!(
            "{test} Method: {}. ({}; {how_many}{destroyed}.){ordered}",
            c.standard.trim_end_matches('.'),
            when
        )
    }

    fn sample(&self, sample: &SamplePlan, blocks: &mut Vec<Block>) {
        let plan = &sample.plan;
        let by = match (plan.level, plan.aql_pct, plan.code_letter) {
            (Some(level), Some(aql), Some(letter)) => {
                format!(" General inspection level {level}, AQL {aql:.1}, code letter {letter}.")
            }
            _ => String::new(),
        };
        let mut risk = String::new();
        if let Some(producer) = sample.risks.producer_risk {
            let _ = write!(
                risk,
                "Producer's risk: a process exactly at the AQL has {:.1}% of its lots rejected. ",
                producer * 100.0
            );
        }
        let _ = write!(
            risk,
            "Consumer's risk: with {:.1}% nonconforming, 1 lot in 10 still passes.",
            sample.risks.consumer_fraction_defective * 100.0
        );
        let take = if plan.inspect_all {
            format!("all {}", pieces(plan.sample_size.into()))
        } else {
            format!("{} at random", pieces(plan.sample_size.into()))
        };
        blocks.push(Block::Paragraph(format!(
            "{}: {take}; accept on {}, reject on {} {}.{by} Proposed here {}. {}",
            capital(sample.name.words()),
            plan.accept,
            plan.reject,
            self.mark(&plan.source),
            self.mark(&sample.choice),
            self.cite(&risk, &sample.risks.source)
        )));
        let rows: Vec<Vec<String>> = shown(&sample.operating_characteristic)
            .into_iter()
            .map(|p| {
                vec![
                    p.defective.to_string(),
                    format!("{:.1}%", p.fraction_defective * 100.0),
                    format!("{:.1}%", p.lot_acceptance_probability * 100.0),
                    format!("{:.1}%", p.process_acceptance_probability * 100.0),
                ]
            })
            .collect();
        blocks.push(Block::Table(
            vec!["Nonconforming in lot", "Share", "This lot passes", "Such a process passes"],
            rows,
        ));
    }

    fn off_shade(&self, plan: &AcceptancePlan, assumed: &[String], blocks: &mut Vec<Block>) {
        let off = &plan.off_shade;
        blocks.push(Block::Heading(3, "If the shade is off".to_owned()));
        let ways = [&off.accept, &off.sort, &off.reprocess].map(|said| self.cite(&said.text, &said.source));
        let ordered = self.order.as_ordered(BearsOn::Rework);
        let [accept, sort, reprocess] = ways;
        blocks.push(Block::List(vec![accept, sort, ordered.clone().unwrap_or(reprocess)]));
        let Some(pass) = off.second_pass.as_ref().filter(|_| ordered.is_none()) else { return };
        let lines: Vec<String> = pass
            .lines
            .iter()
            .map(|line| {
                let item = self.units.sentence(&line.item);
                self.cite(&format!("{item} {}", number(line.per_thousand, 1)), &line.source)
            })
            .collect();
        let unit = if pass.currency == "relative" {
            "in units of the price of hot alkaline blackening of 1 kg of carbon steel".to_owned()
        } else {
            format!("in {}", pass.currency)
        };
        let whole = |amount: f64| thousands(&number(amount, 0));
        blocks.push(Block::Heading(3, "For the buyer: cost of a second pass".to_owned()));
        let assumed =
            if assumed.is_empty() { String::new() } else { format!(" Assumed: {}.", assumed.join("; ")) };
        blocks.push(Block::Paragraph(format!(
            "{} per thousand, {} for the whole lot, {unit}. Of the thousand: {}.{assumed}",
            whole(pass.per_thousand),
            whole(pass.per_lot),
            lines.join(", ")
        )));
    }

    fn cautions(&self, papers: &Papers, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Cautions".to_owned()));
        blocks.push(Block::List(
            papers
                .cautions
                .iter()
                .filter(|caution| self.order.instead(caution.bears_on).is_none())
                .map(|caution| self.cite(&caution.text, &caution.source))
                .collect(),
        ));
    }
}

/// The points nearest to the shown probabilities, each once.
fn shown(points: &[OperatingPoint]) -> Vec<&OperatingPoint> {
    let mut rows: Vec<&OperatingPoint> = Vec::new();
    for wanted in SHOWN_PROBABILITIES {
        let distance = |p: &OperatingPoint| (p.lot_acceptance_probability - wanted).abs();
        let nearest =
            points.iter().filter(|p| p.defective > 0).min_by(|a, b| distance(a).total_cmp(&distance(b)));
        if let Some(point) = nearest
            && !rows.contains(&point)
        {
            rows.push(point);
        }
    }
    rows
}
