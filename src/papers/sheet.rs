//! The papers as headings, lists and tables, before they become text or HTML.

use std::fmt::Write as _;

use crate::papers::acceptance::{AcceptancePlan, SamplePlan};
use crate::papers::coat::Coat;
use crate::papers::order::{OrderNote, capital, pieces, up_to};
use crate::papers::sampling::OperatingPoint;
use crate::papers::units::number;
use crate::papers::{Papers, RouteStep, Stage, Units};
use crate::source::{Firmness, Source};

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
}

pub(super) fn sheet(papers: &Papers) -> Vec<Block> {
    let w = Writer { sources: &papers.sources, units: papers.units };
    let mut blocks = vec![
        Block::Heading(1, format!("Papers: {}", papers.inquiry)),
        Block::Paragraph(format!("{}.", capital(&papers.finish))),
        Block::Paragraph(
            "Numbers in brackets name the source at the end; those marked \"assumed\" or \"memory\" are not checked \
             against a standard."
                .to_owned(),
        ),
    ];
    w.order(&papers.order, &mut blocks);
    w.route(papers, &mut blocks);
    w.acceptance(&papers.acceptance, &papers.assumed, &mut blocks);
    w.cautions(papers, &mut blocks);
    blocks.push(Block::Heading(2, "Sources".to_owned()));
    blocks.push(Block::Sources(papers.sources.iter().map(Source::to_string).collect()));
    blocks
}

impl Writer<'_> {
    /// The text with the number of its source, and a word where that is not firm.
    fn cite(&self, text: &str, source: &Source) -> String {
        format!("{text} {}", self.mark(source))
    }

    fn mark(&self, source: &Source) -> String {
        let number = self.sources.iter().position(|s| s == source).map_or(0, |i| i + 1);
        match source.firmness {
            Firmness::Assumption => format!("[{number}, assumed]"),
            Firmness::FromMemory => format!("[{number}, memory]"),
            _ => format!("[{number}]"),
        }
    }

    fn order(&self, order: &OrderNote, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Order note".to_owned()));
        blocks.push(Block::Heading(3, "For the drawing".to_owned()));
        blocks.push(Block::Paragraph(order.drawing_note.clone()));
        blocks.push(Block::Heading(3, "For the order".to_owned()));
        let clauses = order
            .clauses
            .iter()
            .map(|clause| (capital(clause.subject.words()), self.cite(&clause.text, &clause.source)))
            .collect();
        blocks.push(Block::Labelled(clauses));
        if order.is_complete() {
            blocks.push(Block::Paragraph("Nothing is open.".to_owned()));
            return;
        }
        blocks.push(Block::Heading(3, "Open: to be settled before the order is placed".to_owned()));
        blocks.push(Block::List(
            order.open.iter().map(|open| self.cite(&capital(&open.in_words()), &open.source)).collect(),
        ));
    }

    fn route(&self, papers: &Papers, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Process route".to_owned()));
        for (stage, heading) in [
            (Stage::Making, "At the maker of the part"),
            (Stage::Finishing, "At the finisher"),
            (Stage::Assembly, "At assembly"),
        ] {
            let steps: Vec<Item> = papers
                .route
                .steps
                .iter()
                .filter(|step| step.stage == stage)
                .map(|step| self.step(step))
                .collect();
            if !steps.is_empty() {
                blocks.push(Block::Heading(3, heading.to_owned()));
                blocks.push(Block::Steps(steps));
            }
        }
    }

    fn step(&self, step: &RouteStep) -> Item {
        let mut lines: Vec<(String, String)> = Vec::new();
        let mut line = |label: &str, text: String| lines.push((label.to_owned(), text));
        for asked in &step.asked_by {
            line("Because", self.cite(&asked.text, &asked.source));
        }
        if let Some(bath) = &step.bath {
            line("Bath", bath.clone());
        }
        if let Some(t) = &step.temperature_c {
            line("Temperature", self.cite(&self.units.temperature(t.low, t.high), &t.source));
        }
        if let Some(t) = &step.minutes {
            line("Time", self.cite(&time(t.low, t.high), &t.source));
        }
        for said in &step.instructions {
            line("Do", self.cite(&said.text, &said.source));
        }
        let several = step.coats.len() > 1;
        for (order, coat) in (1..).zip(&step.coats) {
            let label = if several { format!("Layer {order}") } else { "Layer".to_owned() };
            for text in self.coat(coat) {
                line(&label, text);
            }
        }
        for said in &step.measure {
            line("Measure", self.cite(&said.text, &said.source));
        }
        if let Some(hold) = &step.hold {
            line("Hold", self.cite(&hold.text, &hold.source));
        }
        for caution in &step.hazards {
            let hazard = caution.hazard.map_or("hazard", super::Hazard::words);
            line("Hazard", self.cite(&format!("{}. {}", capital(hazard), caution.text), &caution.source));
        }
        Item { number: step.number, title: self.cite(&step.title, &step.source), lines }
    }

    fn coat(&self, coat: &Coat) -> Vec<String> {
        let thickness = &coat.thickness_um;
        let mut text = vec![self.cite(
            &format!("{}, {}.", capital(&coat.name), self.units.thickness(thickness.low, thickness.high)),
            &thickness.source,
        )];
        text.extend(coat.application.iter().map(|said| self.cite(&said.text, &said.source)));
        if let Some(flash) = &coat.flash_off_minutes {
            text.push(self.cite(&format!("Flash off {}.", time(flash.low, flash.high)), &flash.source));
        }
        if let (Some(stove), Some(minutes)) = (&coat.stove_temperature_c, &coat.stove_minutes) {
            let metal = self.cite(
                &format!("Stove with the metal at {}", self.units.temperature(stove.low, stove.high)),
                &stove.source,
            );
            let held = self.cite(&format!("for {}", time(minutes.low, minutes.high)), &minutes.source);
            text.push(format!("{metal} {held}."));
        }
        text
    }

    fn acceptance(&self, plan: &AcceptancePlan, assumed_of_lot: &[String], blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Acceptance plan".to_owned()));
        let assumed = if plan.lot_assumed { " (assumed)" } else { "" };
        blocks.push(Block::Paragraph(format!(
            "Lot of {}{assumed}. {}",
            pieces(plan.lot_pieces),
            self.cite(&plan.lot.text, &plan.lot.source)
        )));
        blocks.push(Block::Heading(3, "Tests".to_owned()));
        let mut tests: Vec<(String, String)> = Vec::new();
        for c in &plan.characteristics {
            let sample = c.sample.and_then(|name| plan.sample(name));
            let how_many = sample.map_or(String::new(), |s| {
                if s.plan.inspect_all {
                    "; every piece".to_owned()
                } else {
                    format!("; {}, {} may fail", pieces(s.plan.sample_size), up_to(s.plan.accept))
                }
            });
            let lost = if c.destructive { "; tested pieces are lost" } else { "" };
            let ordered = if c.only_if_ordered { " Only if ordered." } else { "" };
            tests.push((
                capital(&c.name),
                format!("{} ({}{how_many}{lost}).{ordered}", self.cite(&c.test, &c.source), c.moment.words()),
            ));
        }
        blocks.push(Block::Labelled(tests));
        if !plan.not_tested.is_empty() {
            blocks.push(Block::Heading(3, "Not tested".to_owned()));
            blocks.push(Block::List(
                plan.not_tested.iter().map(|said| self.cite(&said.text, &said.source)).collect(),
            ));
        }
        if let (Some(_), Some(passed)) = (plan.salt_spray.hours, plan.salt_spray.probability_passed) {
            blocks.push(Block::Heading(3, "What the salt spray can say".to_owned()));
            blocks.push(Block::Paragraph(format!(
                "{} Half of such finishes bear {:.0} h, nine in ten {:.0} h, {:.0} % the test. {}",
                self.cite(&plan.salt_spray.remark.text, &plan.salt_spray.remark.source),
                plan.salt_spray.median_hours,
                plan.salt_spray.lower_hours,
                passed * 100.0,
                self.mark(&super::salt_spray::TEST_HOURS)
            )));
        }
        blocks.push(Block::Heading(3, "Samples and their risks".to_owned()));
        for sample in &plan.plans {
            self.sample(sample, blocks);
        }
        let rules = &plan.switching_rules;
        blocks.push(Block::Paragraph(self.cite(
            &format!(
                "Running series: go to tightened inspection when {} of {} lots in a row, or fewer, are refused; stop \
                 after {} refused under tightened inspection until the process is mended.",
                rules.tighten_after_refused_lots, rules.tighten_within_lots, rules.stop_after_refused_lots
            ),
            &rules.source,
        )));
        self.off_shade(plan, assumed_of_lot, blocks);
    }

    fn sample(&self, sample: &SamplePlan, blocks: &mut Vec<Block>) {
        let plan = &sample.plan;
        let by = match (plan.level, plan.aql_pct, plan.code_letter) {
            (Some(level), Some(aql), Some(letter)) => {
                format!(" Level {level}, AQL {} %, code letter {letter}.", number(aql, 2))
            }
            _ => String::new(),
        };
        let mut risk = String::new();
        if let Some(producer) = sample.risks.producer_risk {
            let _ = write!(
                risk,
                "Producer's risk: a process exactly at the AQL has {:.1} % of its lots refused. ",
                producer * 100.0
            );
        }
        let _ = write!(
            risk,
            "Consumer's risk: with {:.1} % defective, one lot in ten still passes.",
            sample.risks.consumer_fraction_defective * 100.0
        );
        let take = if plan.inspect_all {
            format!("all {}", pieces(plan.sample_size))
        } else {
            format!("{} at random", pieces(plan.sample_size))
        };
        blocks.push(Block::Paragraph(format!(
            "{}: {take}; accept with {} defective, refuse with {} {}.{by} Proposed here {}. {}",
            capital(sample.name.word()),
            up_to(plan.accept),
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
                    format!("{:.1} %", p.fraction_defective * 100.0),
                    format!("{:.1} %", p.lot_acceptance_probability * 100.0),
                    format!("{:.1} %", p.process_acceptance_probability * 100.0),
                ]
            })
            .collect();
        blocks.push(Block::Table(
            vec!["Defective in lot", "Share", "This lot passes", "Lots of such a process pass"],
            rows,
        ));
    }

    fn off_shade(&self, plan: &AcceptancePlan, assumed: &[String], blocks: &mut Vec<Block>) {
        let off = &plan.off_shade;
        blocks.push(Block::Heading(3, "If the shade is off".to_owned()));
        blocks.push(Block::List(
            [&off.accept, &off.sort, &off.reprocess].map(|said| self.cite(&said.text, &said.source)).to_vec(),
        ));
        let pass = &off.second_pass;
        let lines: Vec<String> = pass
            .lines
            .iter()
            .map(|line| self.cite(&format!("{} {}", line.item, number(line.per_thousand, 1)), &line.source))
            .collect();
        let unit = if pass.currency == "relative" {
            "in relative prices, blackening 1 kg of carbon steel = 1".to_owned()
        } else {
            format!("in {}", pass.currency)
        };
        let assumed =
            if assumed.is_empty() { String::new() } else { format!(" Assumed: {}.", assumed.join("; ")) };
        blocks.push(Block::Paragraph(format!(
            "A second pass costs, {unit}: {} per thousand, {} for the whole lot. Of the thousand: {}.{assumed}",
            number(pass.per_thousand, 0),
            number(pass.per_lot, 0),
            lines.join(", ")
        )));
    }

    fn cautions(&self, papers: &Papers, blocks: &mut Vec<Block>) {
        blocks.push(Block::Heading(2, "Cautions".to_owned()));
        let at_steps: Vec<&str> =
            papers.cautions.iter().filter_map(|c| c.hazard).map(super::Hazard::words).collect();
        let mut said: Vec<String> = Vec::new();
        if !at_steps.is_empty() {
            said.push(format!("Hazards described at their steps: {}.", at_steps.join(", ")));
        }
        said.extend(
            papers.cautions.iter().filter(|c| c.hazard.is_none()).map(|c| self.cite(&c.text, &c.source)),
        );
        blocks.push(Block::List(said));
    }
}

/// Minutes in words, hours from two hours on.
fn time(low_minutes: f64, high_minutes: f64) -> String {
    let (low, high, unit) = if low_minutes >= 120.0 {
        (low_minutes / 60.0, high_minutes / 60.0, "h")
    } else {
        (low_minutes, high_minutes, "min")
    };
    if low == high {
        format!("{} {unit}", number(low, 1))
    } else {
        format!("{} to {} {unit}", number(low, 1), number(high, 1))
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
