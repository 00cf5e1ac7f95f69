//! Everything about one order that its papers are written from: the build as it is ordered, and the facts that process
//! documents use.

use serde_json::{Map, Value as Json, json};

use crate::Result;
use crate::brief::written::{number, pieces, time};
use crate::brief::{Brief, Condition, Exposure, Form, FunctionalSurface, Part, PresentFinish};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::check::{
    BELOW_TEMPERING_C, Case, Finding, FindingKind, HARD_PHOSPHATE_HV, Inquiry, MAKER_LIMIT_C, MASKED_YEARS,
    NOT_JUDGED, SMALLEST_DIPPED_MM, Step, acid_is_forbidden, acid_is_watched, agreed_allowance_um,
    allowance_in_words, class_is_open, findings, friction_window, gloss_of, hydrogen_counts, inch_order,
    is_head_only, is_made_for_fasteners, is_tightened_bare, martensitic_classes, not_judged, oven_limit_c,
    renews_zinc, thickness_limit_um, tightened_film, tolerance_of, tolerance_to_order, zinc_that_stays,
};
use crate::error::invalid;
use crate::evidence::{Range, Source, SourceKey};
use crate::fastener::{
    Bake, Thread, Tolerance, baking, coating_room, fundamental_deviation, pitch_diameter_tolerance,
};
use crate::finish::process::{BearsOn, DefectClass, Moment, Process, SampleRule, StepKind};
use crate::finish::{Build, ChromateUse, Film, FilmKind, Treatment, TreatmentKind, Verdict};
use crate::life::{layers_left, treatment_is_lost};
use crate::metal::{BaseMetal, Family};
use crate::papers::acceptance::{
    AcceptancePlan, Characteristic, LONG_TEST_H, SamplePlan, panels_of, pieces_of,
};
use crate::papers::route::{OVENS, Route, RouteFacts, RouteStep, Stage};
use crate::papers::salt_spray::SaltSpray;
use crate::papers::sampling::Plan;
use crate::papers::template::Templates;
use crate::papers::{Bounds, Statement, Units, capital};
use crate::rank::{Lot, RankedOption, is_short_of};

/// Mass up to which a part without a fastener's form is finished in bulk, g (assumption).
const BULK_MASS_G: f64 = 100.0;
/// Tolerance of a metric nut thread with the deviation of g (ISO 965-1).
const GROWN_NUT: &str = "6G";
/// Lowest stress relief, °C (DOD-P-16232F, 3.3, as its process has it).
const STRESS_RELIEF_LOWEST_C: f64 = 177.0;
/// 1000 MPa as a hardness, by 3.2 MPa per HV: stress relief of ASTM B849.
const RELIEVED_HV: f64 = 1000.0 / 3.2;
/// Strength at the foot of the bake table, MPa: temperatures and start are the same in all its rows.
const LOWEST_BAKED_MPA: f64 = 1100.0;

/// Highest over lowest friction from which a narrower window is proposed (assumption: class B of VDI 2230, 0.08 to 0.16, is
/// usual in orders).
const WIDE_FRICTION: f64 = 2.9;

/// How far the metal in an oven departs from the temperature that is set, °C (common practice; the window of the maker's
/// sheet governs).
const CURE_SPREAD_C: f64 = 10.0;

/// Friction above which the usual test force of ISO 16047, 0.75 of the proof load, can twist a screw beyond its yield: by
/// elastic torsion its surface yields from 0.21 on at M12 8.8 (assumption: the top of friction class C).
const STEEP_FRICTION: f64 = 0.24;

/// Hours of the scribe test of a finish whose salt spray is not known (assumption).
const SCRIBE_H: f64 = 240.0;

/// Steps ahead of which a hydrogen relief must be over.
const BEFORE_BAKE_ENDS: [StepKind; 6] = [
    StepKind::Blacken,
    StepKind::Passivate,
    StepKind::Seal,
    StepKind::Coat,
    StepKind::Lubricate,
    StepKind::Inspect,
];

/// The finding by which the shade of a metal is agreed on a trial piece.
const SHADE: &str = "substrate.darkness";
/// The finding of cold work that a bath or an oven can take.
const COLD_WORK: &str = "heat.cold_work";
/// The finding of the heat of a route, which its papers have from the route.
const MAKERS_HEAT: &str = "safety.heat";
/// The finding of an oven that is limited by the tempering.
const OVEN_TOO_HOT: &str = "heat.oven";
/// The finding that warns of hydrogen in wet service.
const WET_SERVICE: &str = "embrittlement.in_service";
/// Cabinet tests of the documents that can last a week or more; the salt spray is one without a document.
const CABINET_TESTS: [&str; 2] = [SCRIBE_CREEP, "pits in salt spray"];
const SCRIBE_CREEP: &str = "scribe creep";

/// The finding by which the usual or present torque overloads the screw.
const NEW_TORQUE: &str = "torque.new_torque";
/// Findings by whose remedy the threads are lubricated at assembly. One that advises another order is for the buyer and
/// stands with the cautions.
const LUBRICATED_AT_ASSEMBLY: [&str; 1] = ["torque.galling"];

/// Findings on the torque and preload that the friction as delivered gives.
const AS_DELIVERED: [&str; 2] = ["torque.least_preload", "torque.drive"];

/// Standards that are written for fasteners alone (titles; F1941 and F3393 by their scope).
const FOR_FASTENERS: [&str; 5] = ["ISO 4042", "ISO 10683", "ASTM F1941", "ASTM F3393", "ASTM F1137"];
/// Standards for other parts than fasteners, which have their own.
const FOR_OTHER_PARTS: [&str; 3] = ["ISO 2081", "ASTM B633", "EN 13858"];
/// Bodies whose standards come second on inch parts.
const METRIC_BODIES: [&str; 3] = ["ISO", "EN", "DIN"];

/// A process document of the job, with the film that it is for.
#[derive(Debug, Clone)]
pub(super) struct Document<'a> {
    pub(super) name: &'a str,
    pub(super) process: &'a Process,
    pub(super) film: Option<(&'a str, &'a Film)>,
    /// Number of the film, from 1.
    layer: usize,
}

/// One order.
#[expect(clippy::struct_excessive_bools, reason = "independent facts of a part, as templates ask for them")]
pub(super) struct Job<'a> {
    pub(super) brief: &'a Brief,
    /// Findings of the option in the units of the papers.
    findings: Vec<Finding>,
    pub(super) catalog: &'a Catalog,
    pub(super) resolved: &'a ResolvedBuild<'a>,
    build: &'a Build,
    pub(super) units: Units,
    pub(super) lot: Lot,
    pub(super) lot_pieces: u32,
    thread: Option<ThreadWork>,
    /// Tolerance that a finding orders the thread to be cut to.
    recut: Option<Tolerance>,
    /// What the pitch diameter departs from that tolerance by agreement, µm.
    agreed_allowance_um: Option<f64>,
    /// What the layers may measure in the thread, µm, where their range goes beyond it.
    limit_in_thread_um: Option<f64>,
    /// Bake by the table, with its hours.
    pub(super) bake: Option<(Bake, f64)>,
    /// Highest hardness of the part, HV.
    pub(super) susceptible: bool,
    /// Whether hydrogen calls for a verified process, a product test or a bake (ISO 4042:2018: from 360 HV).
    pub(super) watched: bool,
    /// Highest metal temperature of every oven, °C, where the metal sets one.
    pub(super) oven_limit_c: Option<f64>,
    /// That temperature, °C, where an oven of the route is limited by it and the order says so.
    limits_ovens_at_c: Option<f64>,
    /// Whether no step may be acid: steel above 390 HV, and a process that charges none.
    pub(super) bars_acid: bool,
    /// Whether the part is loaded in tension by design.
    in_tension: bool,
    /// Whether it is so hard that a process which charges hydrogen needs consent and a test.
    very_hard: bool,
    /// Whether the part is rated for lifting.
    lifting: bool,
    /// Whether the coats go on head and shank alone.
    head_only: bool,
    /// The metal in the words of an order.
    metal_to_order: String,
    /// Standards of the treatment that apply to the part, the one to order first.
    specifications: Vec<&'a str>,
    /// Whether the present zinc stays and gets a new passivate.
    pub(super) renews: bool,
    /// Whether the present zinc stays.
    pub(super) zinc_stays: bool,
    /// Whether a second pass calls for the hydrogen relief again.
    pub(super) relief_returns: bool,
    /// What was assumed for the lot.
    pub(super) assumed: Vec<String>,
    pub(super) templates: Templates,
}

/// The thread and its tolerance before finishing.
struct ThreadWork {
    thread: Thread,
    /// Tolerance that is ordered: one that the coats fit.
    tolerance: Tolerance,
    /// Tolerance that the brief gives, or the usual one.
    own: Tolerance,
    /// Whether the brief gave the tolerance.
    given: bool,
    room_um: f64,
}

/// The build as it is ordered: without the layers that the heat of the duty destroys, and what was left out.
pub(super) fn ordered_build(
    brief: &Brief,
    option: &RankedOption,
    catalog: &Catalog,
) -> Result<(Build, Vec<String>)> {
    let resolved = catalog.resolve(&option.build)?;
    let exposure = Exposure::of(brief, catalog)?;
    let (lasting, peak) = (exposure.heat_continuous_c, exposure.heat_peak_c);
    let layers = layers_left(&resolved.films, lasting, peak);
    let mut left_out: Vec<String> = layers
        .lost
        .iter()
        .map(|(_, film)| format!("{} (withstands {} °C)", film.name, film.continuous_limit_c.value))
        .collect();
    let mut treatment = option.build.treatment.clone();
    // zinc goes on protecting past the limit of its passivate, and was ranked with that said
    if treatment_is_lost(resolved.treatment, peak)
        && !resolved.treatment.is_zinc()
        && let Some((none, _)) = catalog.content().treatments.iter().find(|(_, t)| t.is_none())
    {
        left_out.insert(0, resolved.treatment.name.clone());
        treatment.clone_from(none);
    }
    let films: Vec<String> = layers.left.iter().map(|(name, _)| (*name).to_owned()).collect();
    Ok((Build::new(option.build.base_metal.clone(), treatment, films), left_out))
}

impl<'a> Job<'a> {
    pub(super) fn of(
        brief: &'a Brief,
        option: &'a RankedOption,
        catalog: &'a Catalog,
        resolved: &'a ResolvedBuild<'a>,
        (build, left_out): (&'a Build, &[String]),
        units: Units,
    ) -> Result<Self> {
        if let Some(finding) = option.findings.iter().find(|f| f.kind == FindingKind::Blocks) {
            return Err(blocked(option, &finding.message, finding.remedy.as_deref()));
        }
        if option.blocked {
            return Err(blocked(option, "it is marked as blocked", None));
        }
        let exposure = Exposure::of(brief, catalog)?;
        let inquiry = Inquiry::of(brief, catalog)?;
        let case = Case {
            inquiry: &inquiry,
            exposure: &exposure,
            build,
            metal: resolved.metal,
            treatment: resolved.treatment,
            films: &resolved.films,
        };
        let mut assumed = Vec::new();
        let lot = Lot::of(&brief.part, &mut assumed)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, from 1 to 1e9, as the brief is checked"
        )]
        let lot_pieces = lot.pieces as u32;
        let recut = option.findings.iter().any(|f| matches!(f.step, Some(Step::OtherTolerance)));
        let other = if recut { tolerance_to_order(&case)? } else { None };
        let grows =
            resolved.treatment.kind == TreatmentKind::Nitrocarburize && !is_made(case.piece_at_hand());
        let thread = thread_work(&brief.part, other, grows)?;
        let hours = option
            .findings
            .iter()
            .filter_map(|f| match f.step {
                Some(Step::BakeHours(hours)) => Some(hours),
                _ => None,
            })
            .fold(0.0, f64::max);
        let bake = baking(LOWEST_BAKED_MPA)?.filter(|_| hours > 0.0).map(|bake| (bake, hours));
        let susceptible = hydrogen_counts(&case);
        let mut job = Self {
            brief,
            findings: findings_in(units, option, &case)?,
            catalog,
            resolved,
            build,
            units,
            lot,
            lot_pieces,
            thread,
            recut: other,
            agreed_allowance_um: if recut { agreed_allowance_um(&case)? } else { None },
            limit_in_thread_um: if recut { thickness_limit_um(&case)? } else { None },
            bake,
            susceptible,
            watched: acid_is_watched(&case)?,
            oven_limit_c: oven_limit_c(&case),
            limits_ovens_at_c: None,
            bars_acid: acid_is_forbidden(&case) && !resolved.treatment.evolves_hydrogen,
            in_tension: case.is_in_tension(),
            very_hard: case.is_very_hard(),
            lifting: case.is_for_lifting(),
            head_only: is_head_only(&case),
            metal_to_order: metal_to_order(&case),
            specifications: specifications(resolved.treatment, &brief.part, case.has_inch_thread()),
            renews: renews_zinc(&case),
            zinc_stays: zinc_that_stays(&case).is_some(),
            relief_returns: false,
            assumed,
            templates: Templates::new(units, &Map::new()),
        };
        let facts = job.facts(&case, left_out);
        job.templates = Templates::new(units, &facts);
        let weight = job.own_text("coating_weight")?;
        job.templates.know("coating_weight", &json!(weight));
        let samples = json!({
            "major": pieces_of(&job, SampleRule::Major)?,
            "destructive": pieces_of(&job, SampleRule::Cabinet)?,
            "spot": pieces_of(&job, SampleRule::Spot)?,
        });
        job.templates.know("samples", &samples);
        let panels = job.tests_on_panels()?;
        job.templates.know("panels", &json!(panels));
        Ok(job)
    }

    /// The panels that go with the lot, by number and size, with the tests that are done on them.
    fn tests_on_panels(&mut self) -> Result<String> {
        let mut tests: Vec<(u32, String, Moment, Vec<&str>)> = Vec::new();
        for document in self.documents() {
            self.know_film(&document);
            for test in document.process.tests.iter().filter(|test| !test.only_if_ordered) {
                if !self.templates.holds(test.when.as_deref())? {
                    continue;
                }
                let Some(panels) = panels_of(test, &self.templates.text(&test.test)?) else { continue };
                let size = self.templates.text(test.panel_size.as_deref().unwrap_or_default())?;
                let goes = if test.moment == Moment::EachLoad { Moment::EachLoad } else { Moment::Finished };
                match tests
                    .iter_mut()
                    .find(|(count, of, when, _)| *count == panels && *of == size && *when == goes)
                {
                    Some((_, _, _, names)) if names.contains(&test.name.as_str()) => {}
                    Some((_, _, _, names)) => names.push(&test.name),
                    None => tests.push((panels, size, goes, vec![&test.name])),
                }
            }
        }
        let words = tests.into_iter().map(|(count, size, goes, names)| {
            let each = if names.len() > 1 { " each" } else { "" };
            let of = if size.is_empty() { size } else { format!(" of {size}") };
            let load = if goes == Moment::EachLoad { " with each load" } else { "" };
            format!("{count}{each}{of} for {}{load}", names.join(", "))
        });
        Ok(words.collect::<Vec<_>>().join("; "))
    }

    pub(super) fn treatment(&self) -> &'a Treatment {
        self.resolved.treatment
    }

    pub(super) fn films(&self) -> &[(&'a str, &'a Film)] {
        &self.resolved.films
    }

    pub(super) fn source(&self, key: &SourceKey) -> Source {
        self.catalog.source(key)
    }

    /// Whether an opaque film hides the treatment.
    pub(super) fn is_painted(&self) -> bool {
        self.films().iter().any(|(_, film)| !film.clear)
    }

    /// The documents of the job: the shop's, the treatment's, each film's, each with what it begins and ends with.
    pub(super) fn documents(&self) -> Vec<Document<'a>> {
        let mut all = Vec::new();
        self.add(&mut all, "receiving", None, 0);
        let treatment = self.treatment().process.as_deref().unwrap_or(&self.build.treatment);
        self.add(&mut all, self.known(treatment), None, 0);
        self.add(&mut all, "masking", None, 0);
        for (layer, (name, film)) in (1..).zip(self.films()) {
            let own = film.process.as_deref().unwrap_or(name);
            let process =
                if self.catalog.content().processes.contains_key(own) { own } else { film.kind.word() };
            self.add(&mut all, self.known(process), Some((*name, *film)), layer);
        }
        self.add(&mut all, "delivery", None, 0);
        self.add(&mut all, "paperwork", None, 0);
        all
    }

    /// The name, or that of the document for what has none.
    fn known<'n>(&self, name: &'n str) -> &'n str {
        if self.catalog.content().processes.contains_key(name) { name } else { "by_supplier" }
    }

    fn add(&self, all: &mut Vec<Document<'a>>, name: &str, film: Option<(&'a str, &'a Film)>, layer: usize) {
        // a document that names itself ends here
        if all.len() > 100 {
            return;
        }
        let Some((name, process)) = self.catalog.content().processes.get_key_value(name) else { return };
        if let Some(first) = &process.begins_with {
            self.add(all, first, film, layer);
        }
        all.push(Document { name, process, film, layer });
        if let Some(last) = &process.ends_with {
            self.add(all, last, film, layer);
        }
    }

    /// Whether the order marks surfaces that must stay as they are, or asks for them.
    pub(super) fn marks_surfaces(&self) -> bool {
        let marked = self.brief.part.functional_surfaces.as_ref().is_some_and(|marked| !marked.is_empty());
        marked || self.is_to_be_masked() || self.asks_for_fits()
    }

    /// Whether a coat grows on surfaces that are not named.
    fn asks_for_fits(&self) -> bool {
        self.findings().any(|finding| finding.rule == "fit.asked" && finding.kind == FindingKind::Warns)
    }

    /// Whether rejected pieces are scrapped whatever the parties agree: only the maker of a rated part can consent to a strip,
    /// and an insert does not stand one.
    pub(super) fn scraps_rejected(&self) -> bool {
        let part = &self.brief.part;
        self.lifting || part.has_polymer_insert() && !self.asks("insert_afterwards")
    }

    /// Whether a finding calls for a step, by its word.
    pub(super) fn asks(&self, word: &str) -> bool {
        self.findings.iter().any(|f| f.step.is_some_and(|step| step_word(step) == word))
    }

    /// Whether the present finish is stripped.
    fn is_stripped(&self) -> bool {
        self.asks("strip_in_acid") || self.asks("strip_without_acid")
    }

    /// The words of all steps that findings call for, each once.
    pub(super) fn asked_words(&self) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for step in self.findings.iter().filter_map(|finding| finding.step) {
            let word = step_word(step);
            if !words.contains(&word) {
                words.push(word);
            }
        }
        words
    }

    /// Whether the plating that is on hard steel can have charged it.
    fn is_charged_already(&self) -> bool {
        self.findings().any(|finding| finding.rule == "embrittlement.present_finish")
    }

    fn asking(&self, words: &[&String]) -> Vec<&Finding> {
        let asks = |f: &&Finding| f.step.is_some_and(|step| words.iter().any(|w| **w == step_word(step)));
        self.findings.iter().filter(asks).collect()
    }

    /// What the findings that call for a step found.
    pub(super) fn because(&self, words: &[&String]) -> Vec<Statement> {
        let mut said: Vec<Statement> = Vec::new();
        for finding in self.asking(words) {
            let message = self.units.sentence(&without_fields(&finding.message));
            let bears_on = (finding.rule == NEW_TORQUE).then_some(BearsOn::Torque);
            let statement =
                Statement { bears_on, ..Statement::new(capital(&message), finding.source.clone()) };
            if !said.contains(&statement) {
                said.push(statement);
            }
        }
        said
    }

    /// The remedies of the findings that call for a step, each once.
    pub(super) fn remedies(&self, words: &[String]) -> String {
        let words: Vec<&String> = words.iter().collect();
        let mut said: Vec<String> = Vec::new();
        let asking = self.asking(&words);
        // the shade of a black that coats hide decides nothing
        let decides = |finding: &&&Finding| !(finding.rule == SHADE && self.is_painted());
        let asking = asking.iter().filter(|finding| !is_for_the_maker(finding)).filter(decides);
        for remedy in asking.filter_map(|finding| finding.remedy.as_deref()) {
            let remedy = without_fields(remedy);
            if !said.contains(&remedy) {
                said.push(remedy);
            }
        }
        self.units.sentence(&said.join(" "))
    }

    /// What the maker of the part does to fits that no mask keeps from growing; empty for most parts.
    fn sized(&self) -> String {
        let finding = self.findings().find(|finding| is_for_the_maker(finding));
        let remedy = finding.and_then(|finding| finding.remedy.as_deref());
        remedy.map_or_else(String::new, |remedy| self.units.sentence(&without_fields(remedy)))
    }

    /// The findings of the option.
    pub(super) fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter()
    }

    /// The build as ordered in words: metal, treatment, films.
    pub(super) fn name(&self) -> String {
        format!("{}: {}", self.metal_to_order, self.finish_words())
    }

    /// The metal in the words of an order.
    pub(super) fn metal_to_order(&self) -> &str {
        &self.metal_to_order
    }

    /// What the checks warn of.
    pub(super) fn warnings(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| f.kind == FindingKind::Warns)
    }

    fn warns_of(&self, rule: &str) -> bool {
        self.warnings().any(|finding| finding.rule == rule)
    }

    /// What must be known of the whole: the torque that overloads the screw first, then every warning. What is said of a
    /// torque on the threads as delivered is not, where they are lubricated at assembly.
    pub(super) fn cautions(&self) -> impl Iterator<Item = &Finding> {
        let as_delivered = self.lubrication().next().is_none();
        let warnings = self.warnings().filter(|finding| finding.rule != MAKERS_HEAT);
        let said = self.findings.iter().filter(|f| f.rule == NEW_TORQUE).chain(warnings);
        said.filter(move |finding| as_delivered || !AS_DELIVERED.contains(&finding.rule.as_ref()))
    }

    pub(super) fn know_remedies(&mut self, words: &[String]) {
        let remedies = self.remedies(words);
        self.templates.know("remedies", &json!(remedies));
    }

    pub(super) fn know_film(&mut self, document: &Document) {
        let film = document.film.map_or_else(no_film, |(_, film)| {
            let range = &film.thickness_um;
            let um = self.units.thickness(range.low, range.high);
            let cure = self.cure(film);
            json!({
                "name": film.name,
                "thickness": if film.fills_threads { self.limited(um) } else { um },
                "takes_wet_parts": film.name.contains("displacing"),
                "cure_low": cure.as_ref().map(|cure| cure.low),
                "cure_high": cure.as_ref().map(|cure| cure.high),
                "solvent": film.solvent_borne,
                "fills": film.fills_threads,
                "number": document.layer,
                "total": self.total_thickness(document.layer),
                "layers": self.films().len(),
            })
        });
        self.templates.know("film", &film);
    }

    /// Metal temperature of the cure of a film, as an oven holds it: its upper end is the limit of the metal where that is
    /// lower.
    pub(super) fn cure(&self, film: &Film) -> Option<Bounds> {
        let cure = film.cure_temperature_c.as_ref()?;
        // the maker of a safety-critical part is asked for the temperature itself
        let above = if self.brief.part.safety_critical { 0.0 } else { CURE_SPREAD_C };
        let (low, high) = (cure.value - CURE_SPREAD_C, cure.value + above);
        let limit_c = self.oven_limit_c.filter(|limit_c| *limit_c >= low);
        Some(Bounds::new(low, limit_c.map_or(high, |limit_c| high.min(limit_c)), self.source(&cure.source)))
    }

    pub(super) fn know_route(&mut self, facts: RouteFacts) {
        let embrittlement = facts.hydrogen
            && (self.very_hard || self.in_tension && (self.watched || facts.bake))
            || self.in_tension && self.is_charged_already()
            || self.asks("test_embrittlement");
        self.templates
            .know("route", &json!({"acid": facts.acid, "hydrogen": facts.hydrogen, "bake": facts.bake}));
        // of parts that nothing preloads, notched bars are tested; bars are harder than softer steel, so that is agreed
        let apart = embrittlement && self.in_tension && !is_preloaded(self.brief.part.form);
        let open = apart && !self.very_hard && !self.asks("test_embrittlement");
        let tests = json!({"embrittlement": embrittlement && !open, "bars": apart && !open, "open": open});
        self.templates.know("test", &tests);
        self.templates.know("ovens", &json!(facts.ovens));
    }

    /// Hydrogen relief in the words of an order, from the step of the route.
    pub(super) fn know_bake(&mut self, route: &Route) -> Result<()> {
        // of two, the one that ends the risk
        let Some(at) = route.steps.iter().rposition(|step| step.kind == StepKind::Bake) else {
            return Ok(());
        };
        let Some(bake) = route.steps.get(at) else { return Ok(()) };
        let cause_ahead_of = |at: usize| {
            route.steps.iter().take(at).rev().find(|step| {
                step.has_hazard("hydrogen") || step.has_hazard("acid") || step.kind == StepKind::Strip
            })
        };
        let source = cause_ahead_of(at);
        let later = route.steps.iter().skip(at + 1);
        let first =
            route.steps.iter().position(|step| step.kind == StepKind::Bake).filter(|first| *first < at);
        let earlier = first.and_then(cause_ahead_of);
        // what was charged on arrival is relieved once
        self.relief_returns = source.is_none_or(|step| step.kind != StepKind::Strip);
        let next = later.into_iter().find(|step| BEFORE_BAKE_ENDS.contains(&step.kind));
        let mut facts = json!({
            "text": "",
            "time": bake.minutes.as_ref().map_or(String::new(), |t| time(t.low, t.low)),
            "temperature":
                bake.temperature_c.as_ref().map_or(String::new(), |t| self.units.oven(t.low, t.high)),
            "after": source.map_or("the acid step", |step| step.kind.words()),
            "earlier": earlier.map_or("", |step| step.kind.words()),
            "returns": self.relief_returns,
            "before": next.map_or("", |step| step.kind.words()),
        });
        self.templates.know("relief", &facts);
        let text = self.named_text("bake")?;
        if let Some(fact) = facts.get_mut("text") {
            *fact = json!(text);
        }
        self.templates.know("relief", &facts);
        Ok(())
    }

    /// The highest metal temperature in the words of an order, where an oven of the route goes up to it.
    pub(super) fn know_oven_limit(&mut self, route: &Route) {
        let again = route.steps.iter().filter(|step| step.kind == StepKind::CrackTest).count() > 1;
        self.templates.know("cracks_again", &json!(again));
        let ovens = route.steps.iter().filter(|step| OVENS.contains(&step.kind));
        let hottest = ovens.filter_map(|step| Some(step.temperature_c.as_ref()?.high)).reduce(f64::max);
        let limit = self.oven_limit_c.filter(|limit_c| hottest.is_some_and(|high_c| high_c >= *limit_c));
        self.limits_ovens_at_c = limit;
        let limit = limit.map(|c| format!("In ovens, metal at {} or below.", self.units.oven_limit(c)));
        self.templates.know("oven_limit", &json!(limit));
    }

    /// Whether the maker of the part is asked whether it stands the heat of a step.
    pub(super) fn asks_maker_for(&self, step: &RouteStep) -> bool {
        let high_c = step.temperature_c.as_ref().map_or(f64::NEG_INFINITY, |range| range.high);
        self.brief.part.safety_critical
            && step.stage == Stage::Finishing
            && (high_c > MAKER_LIMIT_C || OVENS.contains(&step.kind) && high_c.is_finite())
    }

    /// The highest temperature of the route, which the maker of the part is asked to permit: one number for order, hold and
    /// caution.
    pub(super) fn know_makers_limit(&mut self, route: &Route) {
        let asked = route.steps.iter().any(|step| self.asks_maker_for(step));
        let limit = route.hottest_c().filter(|_| asked).map(|c| self.units.oven_limit(c));
        self.templates.know("makers_limit", &json!(limit));
    }

    /// The remedy of a finding; of an oven that these papers limit, that they do.
    pub(super) fn remedy_here(&self, finding: &Finding) -> Option<String> {
        match self.limits_ovens_at_c.filter(|_| finding.rule == OVEN_TOO_HOT) {
            Some(limit_c) => {
                let stated = self.brief.part.tempering_temperature_c.is_some();
                let hotter = if stated {
                    ""
                } else {
                    "; for hotter ovens enter the tempering in the inquiry and print again"
                };
                Some(format!("Limited here to {}{hotter}.", self.units.oven_limit(limit_c)))
            }
            None => finding.remedy.as_deref().map(without_fields),
        }
    }

    /// The tests that are due and those that the order can add, and the samples.
    pub(super) fn know_tests(&mut self, plan: &AcceptancePlan) {
        // critical ones are named under acceptance
        let is_critical = |name: &&str| {
            plan.characteristics.iter().any(|c| c.name == **name && c.class == DefectClass::Critical)
        };
        let due: Vec<&str> = plan.names(false).into_iter().filter(|name| !is_critical(name)).collect();
        let is_spent = |c: &&Characteristic| c.destructive && !c.only_if_ordered && c.panels.is_none();
        let spent = || plan.characteristics.iter().filter(is_spent);
        let pieces_of_test = |c: &Characteristic| plan.sample(c.sample).map(|sample| sample.plan.sample_size);
        let destroyed: u32 = spent().filter_map(pieces_of_test).sum();
        let of_a_load =
            spent().filter(|c| c.moment == Moment::EachLoad).filter_map(pieces_of_test).sum::<u32>();
        let tests = json!({
            "due": due.join(", "), "optional": plan.names(true).join(", "), "destroyed": destroyed, "of_a_load": of_a_load,
        });
        self.templates.know("tests", &tests);
        let by_attributes = |sample: &SamplePlan| {
            let Plan { level: Some(level), aql_pct: Some(aql), sample_size, accept, .. } = &sample.plan
            else {
                return None;
            };
            Some(format!(
                "{} {level}, AQL {aql:.1}, {}, accept on {accept}",
                sample.name.words(),
                pieces((*sample_size).into())
            ))
        };
        let mut plans: Vec<String> = plan.plans.iter().filter_map(by_attributes).collect();
        let zero = plan.plans.iter().filter(|sample| sample.plan.aql_pct.is_none());
        let zero: Vec<String> =
            zero.map(|sample| format!("{} for {}", sample.plan.sample_size, sample.name.words())).collect();
        if !zero.is_empty() {
            plans.push(format!("accept on 0, pieces: {} tests", zero.join(", ")));
        }
        let critical: Vec<&str> = plan
            .characteristics
            .iter()
            .filter(|c| c.class == DefectClass::Critical && !c.only_if_ordered)
            .map(|c| c.name.as_str())
            .collect();
        let critical = if critical.is_empty() { String::new() } else { critical.join(", ") };
        self.templates.know("acceptance", &json!({"plan": plans.join("; "), "critical": critical}));
    }

    pub(super) fn know_spray(&mut self, spray: &SaltSpray) -> Result<()> {
        let facts = |clause: &str, basis: &str| spray_facts(Some(spray), (clause, basis));
        self.templates.know("spray", &facts("", ""));
        let basis = self.own_text("salt_spray_basis")?;
        let clause = if spray.hours.is_some() { self.named_text("salt_spray_red")? } else { String::new() };
        self.templates.know("spray", &facts(&clause, &basis));
        let method = self.named_text("salt_spray_method")?;
        self.templates.know("spray_method", &json!(method));
        let scribed = self.has_test(SCRIBE_CREEP)?;
        self.templates.know("scribed", &json!(scribed));
        let waits_for = self.long_tests(spray)?;
        self.templates.know("waits_for", &json!(waits_for));
        Ok(())
    }

    /// Whether a document has a test by that name that is due.
    fn has_test(&mut self, name: &str) -> Result<bool> {
        for document in self.documents() {
            self.know_film(&document);
            for test in document.process.tests.iter().filter(|test| test.name == name) {
                if self.templates.holds(test.when.as_deref())? {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    /// The cabinet tests that hold a lot for a week or more, in words.
    fn long_tests(&mut self, spray: &SaltSpray) -> Result<String> {
        if spray.hours.unwrap_or(SCRIBE_H) < LONG_TEST_H {
            return Ok(String::new());
        }
        let mut names: Vec<&str> = if spray.hours.is_some() { vec!["salt spray"] } else { Vec::new() };
        for document in self.documents() {
            self.know_film(&document);
            for test in document.process.tests.iter().filter(|test| !test.only_if_ordered) {
                let name = test.name.as_str();
                let long = CABINET_TESTS.contains(&name) && !names.contains(&name);
                if long && self.templates.holds(test.when.as_deref())? {
                    names.push(name);
                }
            }
        }
        Ok(names.join(" and "))
    }

    /// The test as it is over zinc that stays: its hours are those of the film alone, and of white corrosion and blisters
    /// over zinc none are known.
    pub(super) fn over_present_zinc(&self, spray: SaltSpray) -> SaltSpray {
        if !self.zinc_stays || self.renews {
            return spray;
        }
        let mut remark = spray.remark;
        remark.text.push_str(" The present zinc, which stays, is not counted in the hours.");
        let probability_passed = spray.probability_passed.filter(|_| !self.is_painted());
        SaltSpray { probability_passed, remark, ..spray }
    }

    /// A text by name of the general document, filled in.
    pub(super) fn named_text(&self, name: &str) -> Result<String> {
        let template = self.catalog.process("paperwork").and_then(|process| process.texts.get(name));
        self.templates.text(template.map_or("", String::as_str))
    }

    /// A text by name of the treatment's own document, filled in; empty where it has none.
    fn own_text(&self, name: &str) -> Result<String> {
        let treatment = self.treatment().process.as_deref().unwrap_or(&self.build.treatment);
        let template = self.catalog.process(treatment).and_then(|process| process.texts.get(name));
        self.templates.text(template.map_or("", String::as_str))
    }

    /// What the finish must look like: as the treatment's own document says, unless paint hides it.
    pub(super) fn appearance(&self) -> Result<String> {
        let own = if self.is_painted() { String::new() } else { self.own_text("appearance")? };
        if own.is_empty() { self.named_text("appearance") } else { Ok(own) }
    }

    /// The facts that documents use, before anything of the route is known.
    fn facts(&self, case: &Case, left_out: &[String]) -> Map<String, Json> {
        let (part, metal, treatment) = (&self.brief.part, self.resolved.metal, self.treatment());
        let no_acid = acid_is_forbidden(case);
        let hardness_low = case.hardness_range_hv().map(|(low, _)| low);
        let hardenable = metal.family.is_hardenable();
        let above = |hv: Option<f64>, limit: f64| hardenable && hv.is_some_and(|hv| hv >= limit);
        let tempering = case.tempering_temperature_c().filter(|_| hardenable);
        let friction = friction_window(case);
        let gloss = self.gloss();
        let mut facts = Map::new();
        let mut know = |name: &str, fact: Json| {
            facts.insert(name.to_owned(), fact);
        };
        know("part", self.part_facts(case));
        know("thread", self.thread_facts());
        know("metal", self.metal_facts(case));
        know("hardness", json!(hardness_words(case)));
        know("no_acid", json!(no_acid));
        know("very_hard", json!(self.very_hard));
        know("watched", json!(self.watched));
        know("susceptible", json!(self.susceptible));
        know("hard_to_relieve", json!(above(hardness_low, RELIEVED_HV)));
        know("hard_phosphate", json!(case.hydrogen_hardness_hv().is_some_and(|hv| hv >= HARD_PHOSPHATE_HV)));
        know("tempering", json!(tempering));
        let at_hand = case.piece_at_hand();
        let stated =
            tempering.is_some() && at_hand.is_some_and(|part| part.tempering_temperature_c.is_some());
        know("tempering_stated", json!(stated));
        // a certificate states tens of degrees Fahrenheit
        let fahrenheit = tempering.map(|c| ((c * 1.8 + 32.0) / 10.0).round() * 10.0);
        let counted = match self.units {
            Units::Metric => tempering.map(|c| self.units.temperature(c, c)),
            Units::Inch => fahrenheit.map(|f| format!("{f:.0} °F")),
        };
        know("counted_tempering", json!(counted));
        let duty = &self.brief.duty;
        let service_c = duty.heat_peak_c.or(duty.heat_continuous_c);
        know("service_c", json!(service_c));
        know("fit_asked", json!(self.asks_for_fits()));
        know("renews", json!(renews_zinc(case)));
        know("treatment", self.treatment_facts());
        know("films", self.films_facts());
        know("film", no_film());
        know("asks", json!(self.asked_words()));
        know("masked", json!(self.asks("mask_thread")));
        know("head_only", json!(self.head_only));
        know("thread_oil", self.thread_oil(case));
        let beyond = self.findings().find(|finding| finding.rule == "strength.hardness");
        know("hardness_of_no_such_metal", json!(beyond.map(|finding| finding.message.as_ref())));
        let masked_years = self.findings().find(|finding| finding.rule == MASKED_YEARS);
        know("masked_years", json!(masked_years.map(|finding| finding.message.as_ref())));
        know("surfaces", surface_facts(&self.brief.part));
        know("remedies", json!(""));
        know("bake", self.bake_facts(None));
        know(
            "relief",
            json!({"text": "", "time": "", "temperature": "", "after": "", "earlier": "", "returns": false, "before": ""}),
        );
        know("route", json!({"acid": false, "hydrogen": false, "bake": false}));
        know("test", json!({"embrittlement": false, "bars": false, "open": false}));
        know("sized", json!(self.sized()));
        know("spray", spray_facts(None, ("", "")));
        know("spray_method", json!(""));
        know("waits_for", json!(""));
        know("galvanized_thread", json!(self.has_galvanized_thread()));
        know("warned_in_service", json!(self.warns_of(WET_SERVICE)));
        know("coating_weight", json!(""));
        know("panels", json!(""));
        know("samples", json!({"major": "", "destructive": "", "spot": ""}));
        know("gauged", json!(self.thread_is_gauged(case)));
        know("masks", self.mask_facts());
        know("stripped", json!(self.is_stripped()));
        know("ovens", json!(false));
        know("friction", friction_facts(friction, is_tightened_bare(case)));
        know("gloss", json!(gloss.map(|(gloss, _)| gloss)));
        know(
            "gloss_instead",
            json!(self.warns_of("appearance.gloss").then(|| gloss_of(self.films()).word())),
        );
        let fades = self.warns_of("heat.colour") && treatment.kind != TreatmentKind::Anodize;
        know("fades_c", json!(service_c.filter(|_| fades)));
        know("sensitized_c", json!(service_c.filter(|_| self.warns_of("heat.sensitisation"))));
        know("oven_limit", json!(null));
        know("makers_limit", json!(null));
        know("scribed", json!(false));
        know("cracks_again", json!(false));
        know("softens", json!(self.warns_of(COLD_WORK)));
        know("gloss_open", json!(gloss.is_some_and(|(_, open)| open)));
        know("black", json!(treatment.black || self.is_painted()));
        know("assembly", self.assembly_facts(false));
        know("tightening", self.assembly_facts(true));
        know("lubricated_at_assembly", json!(self.lubrication().next().is_some()));
        know("left_out", json!(left_out_words(left_out)));
        know("finish", json!(self.finish_words()));
        know("appearance", json!(""));
        know("rework", json!(""));
        know("safety_critical", json!(part.safety_critical));
        know("welded", json!(self.brief.duty.welded_after_finishing));
        let open = not_judged(self.brief);
        let open = open.iter().map(|line| capital(line.trim_start_matches(NOT_JUDGED)));
        know("not_judged", json!(open.collect::<Vec<_>>()));
        facts
    }

    /// Where the bare thread of parts at hand is gauged; empty where it is gauged on arrival. What goes from acid or blast
    /// straight into a bath cannot wait for a gauge, so pieces of it are bared ahead.
    fn thread_is_gauged(&self, case: &Case) -> &'static str {
        let at_hand = case.piece_at_hand();
        if self.thread.is_none() || self.zinc_stays || !is_made(at_hand) {
            return "";
        }
        let treatment = self.treatment();
        let cleaned_again = treatment.class == Some(1)
            || treatment.kind == TreatmentKind::RoomTemperature
            || treatment.is_none() && !self.is_painted();
        let sound = !at_hand.is_some_and(has_rust_or_scale);
        if self.brief.part.safety_critical {
            "at the inspection for cracks"
        } else if self.has_galvanized_thread() {
            "after the strip"
        } else if treatment.kind == TreatmentKind::ZincFlake || cleaned_again && self.asks("blast") {
            "after the blast"
        } else if sound {
            if self.is_stripped() { "after the strip" } else { "" }
        } else {
            "ahead of the lot"
        }
    }

    /// Whether the thread was cut for galvanizing that is stripped: each piece can be too loose, so each is gauged; on a
    /// safety-critical part with the inspection for cracks.
    fn has_galvanized_thread(&self) -> bool {
        let part = &self.brief.part;
        self.thread.is_some()
            && part.present_finish == PresentFinish::HotDipZinc
            && self.is_stripped()
            && !part.safety_critical
    }

    /// The oil that a masked thread gets after the coats, by name and thickness; none where it stays as it is.
    fn thread_oil(&self, case: &Case) -> Json {
        tightened_film(case).filter(|_| self.head_only).map_or(Json::Null, |oil| {
            json!({"name": oil.name, "thickness": self.thickness(&oil.thickness_um), "solvent": oil.solvent_borne})
        })
    }

    /// What is masked ahead of the baths and blasts that would change it, and what ahead of the coats alone.
    fn mask_facts(&self) -> Json {
        let treatment = self.treatment();
        let grows_or_blasts = treatment.builds_up || treatment.is_none() && self.is_painted();
        let phosphate = treatment.kind == TreatmentKind::Phosphate;
        let (mut before, mut after): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        if self.asks("mask_thread") {
            let masked = if grows_or_blasts { &mut before } else { &mut after };
            masked.push(if self.head_only { "threads and bearing faces" } else { "the threads" }.to_owned());
        }
        let surfaces = if grows_or_blasts || phosphate { &mut before } else { &mut after };
        if self.asks("mask_surface") {
            surfaces.push(format!("marked surfaces ({})", surface_words(&self.brief.part)));
        } else if self.is_to_be_masked() && !self.asks("mask_thread") {
            surfaces.push("what the order marks".to_owned());
        }
        json!({"before": before.join(" and "), "after": after.join(" and ")})
    }

    /// What assembly must know: the torque; what holds whatever it is, such as that a nut has none; isolation and
    /// lubrication. At the step what has a separate step is left out.
    fn assembly_facts(&self, at_the_step: bool) -> Json {
        let nut = self.findings().find(|finding| finding.rule == "torque.nut");
        let nut = nut.map(|finding| self.units.sentence(&finding.message));
        let lubrication: Vec<String> = self.lubrication().collect();
        // torque and preload of the friction as delivered are not those of threads that are lubricated at assembly
        let as_delivered = lubrication.is_empty();
        let least =
            self.warnings().find(|finding| finding.rule == "torque.least_preload").filter(|_| as_delivered);
        let least = least.map(|finding| self.units.sentence(&finding.message));
        // who tightens reads what overloads the screw before what lets the joint slip
        let new_torque = self.findings().find(|finding| finding.rule == NEW_TORQUE && !at_the_step);
        let new_torque = new_torque.and_then(|finding| {
            // what it does to the preload is on the route card
            let remedy = without_fields(finding.remedy.as_deref()?);
            Some(match remedy.split_once(". The highest") {
                Some((torque, _)) => {
                    self.units.sentence(&format!("{}.", torque.split(" (").next().unwrap_or(torque)))
                }
                None => self.units.sentence(&remedy),
            })
        });
        let isolation = (self.asks("isolate") && !at_the_step)
            .then(|| "Isolation of the metals: route card, at assembly.".to_owned());
        let locking = self.findings().find(|finding| finding.rule == "torque.prevailing");
        let locking = locking.map(|finding| {
            let said = [Some(finding.message.as_ref()), finding.remedy.as_deref()];
            let said = said.into_iter().flatten().map(|said| said.trim_end_matches('.'));
            self.units.sentence(&format!("{}.", said.collect::<Vec<_>>().join(". ")))
        });
        let drive = self.findings().find(|finding| finding.rule == "torque.drive" && as_delivered);
        let drive = drive.map(|finding| self.units.sentence(&finding.message));
        // where the joint can slip, the torque that holds it best is told even where none is called for
        let torque = self.findings().find(|finding| finding.rule == "torque.friction");
        let torque = torque.filter(|_| least.is_some()).and_then(|finding| {
            let (torque, _) = finding.message.split_once(". Friction")?;
            Some(self.units.sentence(&format!("{torque}.")))
        });
        let no_thread = self.findings().find(|finding| finding.rule == "torque.asked");
        let no_thread = no_thread.map(|_| {
            let why = if self.thread.is_some() {
                "The torque tables do not cover this form"
            } else {
                "No thread is stated"
            };
            format!("{why}, so no torque is given: set it by a test of the joint (ISO 16047) before use.")
        });
        let masked = self.findings().find(|finding| finding.rule == "torque.masked");
        let masked = masked.filter(|_| !at_the_step || self.brief.part.safety_critical).map(|finding| {
            let said = [Some(finding.message.as_ref()), finding.remedy.as_deref()];
            self.units.sentence(&said.into_iter().flatten().collect::<Vec<_>>().join(" "))
        });
        let joint = nut.into_iter().chain(masked).chain(no_thread).chain(locking);
        let of_torque = new_torque.into_iter().chain(drive).chain(torque).chain(least);
        let other = isolation.into_iter().chain(lubrication);
        json!({
            "joint": joint.collect::<Vec<_>>().join(" "),
            "torque": of_torque.collect::<Vec<_>>().join(" "),
            "other": other.collect::<Vec<_>>().join(" "),
        })
    }

    /// What findings say on lubricating threads that seize or scatter as they are delivered: only the person who tightens
    /// can follow it, and the reasons stand with the cautions.
    fn lubrication(&self) -> impl Iterator<Item = String> {
        let of_threads =
            self.warnings().filter(|finding| LUBRICATED_AT_ASSEMBLY.contains(&finding.rule.as_ref()));
        of_threads.filter_map(|f| Some(self.units.sentence(&without_fields(f.remedy.as_deref()?))))
    }

    fn part_facts(&self, case: &Case) -> Json {
        let part = &self.brief.part;
        let at_hand = case.piece_at_hand();
        let present = at_hand.map_or_else(Default::default, |part| part.present_finish);
        let condition = at_hand.and_then(|part| part.condition);
        let family = self.resolved.metal.family;
        let rusts = family.rusts_by_dose() || family.is_stainless();
        let state = match condition {
            Some(Condition::Clean) if !rusts => "clean, free of oil",
            Some(Condition::Oiled) | None if !rusts => "oiled",
            Some(Condition::Clean) => "free of oil, rust and scale",
            Some(Condition::Oiled) | None => "oiled, free of rust and scale",
            Some(Condition::Rust) => "rusty",
            Some(Condition::LightScale) => "with light scale",
            Some(Condition::HeavyScale) => "with heavy scale",
        };
        let with = match (present.is_none(), self.is_stripped()) {
            (true, _) => String::new(),
            (false, true) => format!(", with {} that is stripped first", present.words()),
            (false, false) => format!(", with {} that stays", present.words()),
        };
        let socket = matches!(
            part.form,
            Some(Form::SocketCapScrew | Form::ButtonHeadScrew | Form::CountersunkScrew | Form::SetScrew)
        );
        let mut text = capital(part.form.map_or("part", form_words));
        let insert = part.has_polymer_insert() && !self.asks("insert_afterwards");
        if let Some(work) = &self.thread {
            text = format!("{text} {}", work.thread);
        } else if let Some(size) = &part.thread {
            // a washer goes by the thread that it fits, and has none
            text = match size.trim().split_once('-') {
                Some((diameter, _)) => format!("{text} {diameter} in"),
                None => format!("{text} {}", size.trim()),
            };
        }
        if let Some(length_mm) = part.length_mm {
            text = match &self.thread {
                // a size is a designation, whatever the units of the papers
                Some(ThreadWork { thread: Thread::Metric(_), .. }) => {
                    format!("{text} x {}", number(length_mm, 2))
                }
                Some(_) => {
                    let length = Units::trade_length(length_mm);
                    format!("{text} x {}", length.unwrap_or_else(|| Units::Inch.length(length_mm)))
                }
                None => format!("{text}, {} long", self.units.length(length_mm)),
            };
        }
        if insert {
            text.push_str(" with polymer insert");
        }
        json!({
            "text": text,
            "between_lengths": self.between_trade_lengths(),
            "pieces": self.lot_pieces,
            "pieces_given": part.lot_pieces.is_some(),
            "threaded": self.thread.is_some(),
            "expects_thread": is_tightened(part.form) || part.form == Some(Form::SetScrew),
            "fastener": is_tightened(part.form),
            "by_fastener_standard": is_hardware(part.form),
            "recessed": part.traps_liquid || socket,
            "socket": socket,
            "low_head": matches!(part.form, Some(Form::ButtonHeadScrew | Form::CountersunkScrew)),
            "traps_liquid": part.traps_liquid,
            "safety_critical": part.safety_critical,
            "lifting": self.lifting,
            "reference_area": reference_area(part.form),
            "charged_already": self.is_charged_already(),
            "joined": self.joined_names(|_| true),
            "joined_bare": self.joined_names(|metal| {
                let taken = self.treatment().substrates.get(&metal.family);
                let kind = self.treatment().kind;
                let phosphated = kind == TreatmentKind::Phosphate && metal.family == Family::Zinc;
                is_conversion(kind)
                    && !phosphated
                    && taken.is_none_or(|substrate| substrate.verdict == Verdict::Refused)
            }),
            // neither a conversion bath nor a blast changes it, an acid can
            "joined_untouched": self.joined_names(|metal| metal.family == Family::CopperAlloy).is_empty()
                && !self.asks("pickle")
                && !self.asks("strip_in_acid"),
            "joined_stainless": self.joined_names(|metal| metal.family.is_stainless()),
            "rusty": at_hand.is_some_and(has_rust_or_scale),
            "headed": is_tightened(part.form) && !part.form.is_some_and(Form::is_nut),
            "polymer_insert": part.has_polymer_insert(),
            "nut": part.form.is_some_and(Form::is_nut),
            "locks": self.locks(),
            "in_tension": case.is_in_tension(),
            "zinc_stays": zinc_that_stays(case).is_some(),
            "maker_consent": part.maker_consent,
            "bulk": self.in_bulk(),
            "marked": self.marks_surfaces(),
            "made": is_made(at_hand),
            "present": word(present),
            "condition": condition.map_or_else(String::new, word),
            "condition_given": part.condition.is_some(),
            "state": format!("{state}{with}"),
        })
    }

    /// The usual lengths below and above that of an inch fastener; none where it is one.
    fn between_trade_lengths(&self) -> Option<String> {
        let inch = matches!(self.thread, Some(ThreadWork { thread: Thread::Inch(_), .. }));
        let length_mm = self.brief.part.length_mm.filter(|_| inch && is_hardware(self.brief.part.form))?;
        let (shorter, longer) = Units::trade_lengths_around(length_mm);
        Units::trade_length(length_mm).is_none().then(|| format!("{shorter} or {longer}"))
    }

    /// The metals joined to the part for which a condition is true, in words.
    fn joined_names(&self, holds: impl Fn(&BaseMetal) -> bool) -> String {
        let joined = self.brief.part.joined_metals.iter();
        let metals = joined.filter_map(|name| self.catalog.content().base_metals.get(name));
        metals.filter(|metal| holds(metal)).map(|metal| metal.name.as_str()).collect::<Vec<_>>().join(", ")
    }

    /// Tolerance and finished gauge of the other side, where the brief does not say whether the thread is inside or outside.
    fn other_side(&self, work: &ThreadWork) -> (String, String) {
        // what lifts is hung on the shank that it is screwed in with
        let open = matches!(self.brief.part.form, None | Some(Form::Bracket | Form::Other))
            && !(self.lifting && self.brief.part.form == Some(Form::Other));
        if work.given || !open || self.recut.is_some() {
            return (String::new(), String::new());
        }
        let inside = work.tolerance.is_internal();
        let form = Some(if inside { Form::HexagonHeadScrew } else { Form::HexagonNut });
        let other = tolerance_of(&Part { form, ..Part::default() }, &work.thread);
        let gauge = work.finished_go_gauge(!inside).to_owned();
        other.map_or_else(|_| (String::new(), String::new()), |other| (other.to_string(), gauge))
    }

    /// The tolerance as it is ordered, with what is agreed beyond it and, of a thread that is known, the limits that result.
    fn agreed(&self, tolerance: Tolerance) -> String {
        let Some(um) = self.agreed_allowance_um else { return tolerance.to_string() };
        let words = allowance_in_words(tolerance, um);
        let thread = self.thread.as_ref().map(|work| work.thread);
        let limits = thread.and_then(|thread| pitch_diameter_limits_mm(&thread, tolerance, um).ok());
        match limits {
            Some((low_mm, high_mm)) => {
                let limits = match (self.units, thread) {
                    (Units::Inch, _) | (_, Some(Thread::Inch(_))) => {
                        format!("{:.4} to {:.4} in", low_mm / 25.4, high_mm / 25.4)
                    }
                    _ => format!("{low_mm:.3} to {high_mm:.3} mm"),
                };
                format!("{words} ({limits})")
            }
            None => words,
        }
    }

    /// Whether a gauge runs up to a locking feature and no further.
    fn locks(&self) -> bool {
        self.brief.part.form == Some(Form::LockNut) || self.brief.part.has_polymer_insert()
    }

    fn thread_facts(&self) -> Json {
        if let Some(work) = &self.thread {
            let (tolerance_of_other, gauge_of_other) = self.other_side(work);
            let with_other = |own: String, other: &str| {
                let side = if work.tolerance.is_internal() { "outside" } else { "inside" };
                if other.is_empty() { own } else { format!("{own} ({other} {side})") }
            };
            let tolerance = self.agreed(work.tolerance);
            let recut = work.tolerance != work.own || self.agreed_allowance_um.is_some();
            let room_um = work.room_um + self.agreed_allowance_um.unwrap_or_default() / 4.0;
            let at_hand = if recut {
                format!(" (parts at hand: {}, after an accepted gauge trial on coated pieces)", work.own)
            } else {
                String::new()
            };
            let locking = if self.locks() {
                ", GO up to the locking feature and not through it, NO-GO from the open end"
            } else {
                ""
            };
            return json!({
                "bare": format!("{} {tolerance}{at_hand}", work.thread), "at_hand": at_hand,
                "gauges": format!("GO and NO-GO gauges {} {tolerance}{at_hand}{locking}", work.thread),
                "small": work.thread.diameter_mm() < SMALLEST_DIPPED_MM,
                "name": work.thread.to_string(), "tolerance": with_other(tolerance, &tolerance_of_other),
                "gauge": with_other(work.finished_go_gauge(work.tolerance.is_internal()).to_owned(), &gauge_of_other),
                "given": work.given, "room": if tolerance_of_other.is_empty() { room_um } else { 0.0 },
                "own": work.own.to_string(), "inch": matches!(work.thread, Thread::Inch(_)), "recut": recut,
                "standard": match work.thread {
                    Thread::Metric(_) => "ISO 1502, edition by agreement",
                    Thread::Inch(_) => "ASME B1.2, edition by agreement",
                },
            });
        }
        // a thread that no one named is cut to the tolerance of the finding
        let fits = self.recut.map_or_else(String::new, |tolerance| self.agreed(tolerance));
        json!({
            "name": "", "bare": "", "gauges": "", "small": false, "at_hand": "", "tolerance": fits, "gauge": "", "given": false, "room": 0.0, "own": "", "inch": false,
            "recut": self.recut.is_some(), "standard": "",
        })
    }

    fn metal_facts(&self, case: &Case) -> Json {
        let metal = self.resolved.metal;
        let named = self.brief.part.base_metal.as_deref();
        let hardness = hardness_words(case);
        let name = metal_to_order(case);
        let grade = inch_order(case);
        let text =
            if hardness.is_empty() { capital(&name) } else { format!("{}; {hardness}", capital(&name)) };
        let not_magnetic = matches!(
            metal.family,
            Family::Austenitic | Family::CopperAlloy | Family::Aluminium | Family::Titanium | Family::Zinc
        );
        json!({
            "name": name, "text": text,
            "class_given": self.brief.part.property_class.is_some(), "family": word(metal.family),
            "counted_on": case.class_to_order(),
            "class_open": class_is_open(case),
            // a class of another steel group, or a stronger one, than that of the metal ordered
            "asked": self
                .brief
                .part
                .property_class
                .as_deref()
                .filter(|_| self.findings().any(|finding| is_short_of(&finding.rule))),
            "classes": classes_by_hardness(case),
            "underlined": is_underlined_or_not(case),
            "grade": grade.as_ref().map(|order| order.grade.as_ref()),
            "grade_named": grade.as_ref().is_none_or(|order| order.named),
            "inch": case.has_inch_thread(),
            "class": metal.property_class,
            "rusts": metal.family.rusts_by_dose(),
            "stainless": metal.family.is_stainless(), "hardenable": metal.family.is_hardenable(),
            "cast": metal.family == Family::CastIron,
            "free_machining": metal.free_machining, "magnetic": !not_magnetic,
            "unnamed": named.is_none(),
            "changed": named.is_some_and(|named| named != self.build.base_metal),
        })
    }

    fn treatment_facts(&self) -> Json {
        let treatment = self.treatment();
        json!({
            "name": treatment.name,
            "class": treatment.class.unwrap_or(0),
            "kind": word(treatment.kind),
            "spec": self.specifications.first().copied().unwrap_or_default(),
            "also": self.specifications.get(1..).unwrap_or_default().join(" or "),
            "class_um": number(treatment.thickness_um.low, 0),
            "thickness": if self.fills_thread() {
                self.thickness(&treatment.thickness_um)
            } else {
                self.limited(self.thickness(&treatment.thickness_um))
            },
            "thickness_range": self.thickness(&treatment.thickness_um),
            "thickness_low": self.units.thickness(treatment.thickness_um.low, treatment.thickness_um.low),
            "thickness_high": self.units.thickness(treatment.thickness_um.high, treatment.thickness_um.high),
            "limit_in_thread": if self.fills_thread() { String::new() } else { self.limited(String::new()) },
            "none": treatment.is_none(),
            "black": treatment.black,
            "builds_up": treatment.builds_up,
            "zinc": treatment.surface_metal == Some(Family::Zinc),
            "chromate": match treatment.hexavalent_chromium {
                ChromateUse::None => "none",
                ChromateUse::Rinse => "rinse",
                ChromateUse::Bath => "bath",
            },
        })
    }

    fn films_facts(&self) -> Json {
        let films = self.films();
        let has = |kind: FilmKind| films.iter().any(|(_, film)| film.kind == kind);
        json!({
            "count": films.len(),
            "paint": self.is_painted(),
            "to_mask": self.is_to_be_masked(),
            "takes_wet_parts": films.first().is_some_and(|(_, film)| film.name.contains("displacing")),
            "silicone": films.iter().any(|(_, film)| film.needs_bare_metal),
            "preservative": films.iter().any(|(_, film)| film.name.contains("heavy preservative")),
            "cured": films.iter().any(|(_, film)| film.cure_temperature_c.is_some()),
            "air_dry": films.iter().any(|(_, film)| !film.clear && film.cure_temperature_c.is_none()),
            "fills": films.iter().any(|(_, film)| film.fills_threads),
            "oil": has(FilmKind::Oil),
            "seals": films.first().is_some_and(|(_, film)| film.kind.is_paint() || film.kind == FilmKind::Lacquer),
            "powder": has(FilmKind::Powder),
            "electrocoat": has(FilmKind::Electrocoat),
            "wet": films.last().is_some_and(|(_, film)| !film.kind.can_be_coated()),
        })
    }

    /// What the oven of a step must not do to the metal: said where its own range goes beyond the limit.
    pub(super) fn know_oven(&mut self, highest_c: Option<f64>) {
        let facts = self.bake_facts(highest_c);
        self.templates.know("bake", &facts);
    }

    fn bake_facts(&self, highest_c: Option<f64>) -> Json {
        let stated = self.brief.part.tempering_temperature_c.is_some();
        let cooler = self.oven_limit_c.is_some_and(|limit_c| highest_c.is_some_and(|c| c <= limit_c));
        let limit = match self.oven_limit_c {
            Some(_) if cooler => String::new(),
            Some(c) if stated => {
                format!("Metal at {} or below: hotter, it can lose its temper.", self.units.oven_limit(c))
            }
            Some(c) => format!(
                "Metal at {} or below until the certificate states the tempering temperature, then 25 °C (45 °F) or more \
                 below it: hotter, it can lose its temper.",
                self.units.oven_limit(c)
            ),
            None => "Metal below the tempering temperature: ask for it.".to_owned(),
        };
        let hardenable = self.resolved.metal.family.is_hardenable() && self.susceptible;
        let of_the_metal = hardenable || self.oven_limit_c.is_some();
        let cure = if of_the_metal { limit.clone() } else { String::new() };
        let of_the_sheet = match self.oven_limit_c.filter(|_| !cooler) {
            Some(c) => format!(
                "Metal at {} or below, and 25 °C (45 °F) or more below the tempering temperature on the certificate.",
                self.units.oven_limit(c)
            ),
            None if of_the_metal => {
                "Metal 25 °C (45 °F) or more below the tempering temperature on the certificate.".to_owned()
            }
            None => String::new(),
        };
        let no_relief = self.oven_limit_c.filter(|limit_c| stated && *limit_c < STRESS_RELIEF_LOWEST_C);
        let stress_relief = no_relief.map_or_else(
            || limit.clone(),
            |c| {
                format!(
                    "Metal at {} or below: no stress relief is possible; return parts that were worked after hardening.",
                    self.units.oven_limit(c)
                )
            },
        );
        let too_low = self.oven_limit_c.filter(|limit_c| !stated && *limit_c < STRESS_RELIEF_LOWEST_C);
        let stress_relief = too_low.map_or(stress_relief, |_| {
            let least_c = STRESS_RELIEF_LOWEST_C + BELOW_TEMPERING_C;
            format!(
                "Not before the certificate states a tempering of {} or more; then metal 25 °C (45 °F) or more below it.",
                self.units.temperature(least_c, least_c)
            )
        });
        json!({
            "start": number(self.bake.as_ref().map_or(1.0, |(bake, _)| bake.start_within_hours), 1),
            "below_tempering": limit,
            "stress_relief": stress_relief,
            "cure_below_tempering": cure,
            "of_the_sheet": of_the_sheet,
        })
    }

    /// A thickness with the maximum that the thread accepts, where that is less; zinc beneath uses some of it.
    fn limited(&self, thickness: String) -> String {
        let with = if self.zinc_stays { "with the present zinc " } else { "" };
        match self.limit_in_thread_um {
            Some(um) => {
                let um = self.units.thickness(um, um);
                format!("{thickness}, {with}{um} at most in the thread, where the GO gauge decides")
            }
            None => thickness,
        }
    }

    /// Whether a film fills the thread.
    fn fills_thread(&self) -> bool {
        self.films().iter().any(|(_, film)| film.fills_threads)
    }

    /// Gloss of the order, and whether it is open; none where nothing is to be said of it.
    fn gloss(&self) -> Option<(&'static str, bool)> {
        if let Some(gloss) = self.brief.wants.gloss {
            return Some((gloss.word(), false));
        }
        let (_, film) = self.films().last()?;
        film.gloss_to_order.then(|| (film.gloss.word(), true))
    }

    fn finish_words(&self) -> String {
        let treatment = self.treatment();
        let mut layers = Vec::new();
        if self.renews {
            layers.push(format!("{} (the present zinc, with a new passivate)", treatment.name));
        } else if self.zinc_stays {
            layers.push(format!("the present {} stays", self.brief.part.present_finish.words()));
        } else if !treatment.is_none() {
            match self.specifications.first() {
                Some(specification) => layers.push(format!("{} to {specification}", treatment.name)),
                None => layers.push(treatment.name.clone()),
            }
        }
        layers.extend(
            self.films().iter().map(|(_, f)| format!("{} ({})", f.name, self.thickness(&f.thickness_um))),
        );
        let head_only = if self.head_only { ", on head and shank only" } else { "" };
        if layers.is_empty() { "none".to_owned() } else { layers.join(", then ") + head_only }
    }

    /// The films up to a layer, from 1, in all: what a gauge on the base metal reads.
    fn total_thickness(&self, layer: usize) -> String {
        let films = self.films().iter().take(layer).map(|(_, film)| &film.thickness_um);
        let (low, high) = films.fold((0.0, 0.0), |(low, high), range| (low + range.low, high + range.high));
        self.units.thickness(low, high)
    }

    /// Whether a film must be kept off some surfaces: a basket of screws cannot be masked, lacquer and lubricated topcoats
    /// are made to go into their threads, and a brief can say that there are none.
    fn is_to_be_masked(&self) -> bool {
        let part = &self.brief.part;
        let nothing_to_mark = part.functional_surfaces.as_ref().is_some_and(Vec::is_empty)
            && part.thread.is_none()
            && !self.brief.duty.welded_after_finishing;
        !nothing_to_mark
            && self.films().iter().any(|(_, film)| {
                film.fills_threads
                    && !(self.in_bulk() && (film.kind == FilmKind::Lacquer || is_made_for_fasteners(film)))
            })
    }

    /// Whether parts are finished in bulk and not racked: no mask stays on in a barrel or a basket that spins.
    fn in_bulk(&self) -> bool {
        let masked = self.asks("mask_thread") || self.asks("mask_surface");
        !masked
            && match self.brief.part.form {
                Some(Form::Bracket | Form::Other) | None => self.lot.mass_kg * 1000.0 <= BULK_MASS_G,
                Some(_) => true,
            }
    }

    fn thickness(&self, range: &Range) -> String {
        self.units.thickness(range.low, range.high)
    }
}

/// The standards of a treatment that are written for the part; of inch parts those of the inch trade first.
fn specifications<'t>(treatment: &'t Treatment, part: &Part, inch: bool) -> Vec<&'t str> {
    let of_others: &[&str] = if is_hardware(part.form) { &FOR_OTHER_PARTS } else { &FOR_FASTENERS };
    let all = treatment.specifications.iter().map(String::as_str);
    let begins = |said: &str, with: &[&str]| with.iter().any(|start| said.starts_with(start));
    let mut own: Vec<&str> = all.clone().filter(|said| !begins(said, of_others)).collect();
    if own.is_empty() {
        own = all.collect();
    }
    if inch {
        own.sort_by_key(|said| begins(said, &METRIC_BODIES));
    }
    own
}

/// The findings of an option with the metal as it is ordered; metric again where papers of an inch thread are, since a
/// ranking words those in US customary units.
fn findings_in(units: Units, option: &RankedOption, case: &Case) -> Result<Vec<Finding>> {
    let mut found = option.findings.clone();
    if units == Units::Metric && case.has_inch_thread() {
        let metric = findings(case)?;
        for own in &mut found {
            let same = metric.iter().find(|finding| {
                let mut customary = (*finding).clone();
                customary.use_customary_units();
                customary.message == own.message && customary.rule == own.rule
            });
            if let Some(finding) = same {
                own.clone_from(finding);
            }
        }
    }
    let (name, to_order) = (case.metal.name.as_str(), metal_to_order(case));
    for own in &mut found {
        own.reword(|sentence| sentence.replace(name, &to_order));
    }
    Ok(found)
}

/// A remedy as a paper says it: what it asks to enter in the inquiry is to be stated in the order.
pub(super) fn without_fields(remedy: &str) -> String {
    let mut out = String::new();
    for (at, piece) in remedy.split('`').enumerate() {
        if at % 2 == 0 {
            out.push_str(&piece.replace("Enter ", "State the ").replace(" ([] for none)", " (or none)"));
            continue;
        }
        let name = piece.rsplit('.').next().unwrap_or(piece);
        let unit = ["_c", "_hv", "_mm", "_um", "_dm2", "_g"].iter().find_map(|unit| name.strip_suffix(unit));
        out.push_str(&unit.unwrap_or(name).replace('_', " "));
    }
    out
}

/// Whether a finding asks for a size that is made before the part goes out, and for a first article to measure it on.
fn is_for_the_maker(finding: &Finding) -> bool {
    finding.rule == "fit.mask" && finding.step == Some(Step::TrialPiece)
}

/// The word of a step of a finding, without its number.
fn step_word(step: Step) -> String {
    word(step)
}

/// The word that serde writes for a variant; for one with a number, the variant alone.
fn word<T: serde::Serialize>(value: T) -> String {
    match serde_json::to_value(value) {
        Ok(Json::String(word)) => word,
        Ok(Json::Object(entries)) => entries.keys().next().cloned().unwrap_or_default(),
        _ => String::new(),
    }
}

fn no_film() -> Json {
    json!({
        "name": "", "thickness": "", "total": "", "cure_low": null, "cure_high": null, "solvent": false, "number": 0, "layers": 0,
        "takes_wet_parts": false, "fills": false,
    })
}

/// A salt-spray test, with its clause in an order and what its hours are on.
fn spray_facts(spray: Option<&SaltSpray>, (clause, basis): (&str, &str)) -> Json {
    json!({
        "red": spray.and_then(|spray| spray.hours),
        "white": spray.and_then(|spray| spray.white_hours),
        "standard": spray.is_some_and(|spray| spray.by_standard),
        "unknown": spray.is_some_and(|spray| spray.hours.is_some() && spray.probability_passed.is_none()),
        "scribe": spray.and_then(|spray| spray.hours).unwrap_or(SCRIBE_H),
        "remark": spray.map_or("", |spray| spray.remark.text.as_ref()),
        "clause": clause,
        "basis": basis,
    })
}

fn left_out_words(left_out: &[String]) -> String {
    if left_out.is_empty() {
        String::new()
    } else {
        format!("{}; the heat of the duty destroys it", left_out.join(", "))
    }
}

/// The friction window of the finish; `open` where the thread does not carry it.
fn friction_facts(window: Option<(f64, Option<f64>)>, open: bool) -> Json {
    match window {
        Some((low, high)) => json!({
            "due": true, "open": open, "steep": high.is_none_or(|high| high > STEEP_FRICTION), "low": format!("{low:.2}"), "wide": high.is_some_and(|high| high > WIDE_FRICTION * low),
            "high": high.map_or_else(|| "an upper limit to be agreed".to_owned(), |high| format!("{high:.2}")),
        }),
        None => json!({"due": false, "open": open, "steep": false, "wide": false, "low": "", "high": ""}),
    }
}

fn hardness_words(case: &Case) -> String {
    let stated = case.piece_at_hand().is_some_and(|part| part.hardness_hv.is_some());
    if let Some((low, high)) = inch_order(case).and_then(|order| order.hardness_hrc).filter(|_| !stated) {
        return format!("{} to {} HRC", number(low, 0), number(high, 0));
    }
    match case.hardness_range_hv() {
        Some((low, high)) if low < high => format!("{} to {} HV", number(low, 0), number(high, 0)),
        Some((_, hv)) => format!("{} HV", number(hv, 0)),
        None => String::new(),
    }
}

/// Classes of ISO 3506-1 that a martensitic part can have by its hardness, each with the hardness of the class.
fn classes_by_hardness(case: &Case) -> Vec<String> {
    let range = case.hardness_range_hv().filter(|_| case.metal.family == Family::Martensitic);
    let classes = range.map(|range| martensitic_classes(case.metal, range)).unwrap_or_default();
    let words = |(class, (low, high)): (&str, (f64, f64))| {
        format!("{class} ({} to {} HV)", number(low, 0), number(high, 0))
    };
    classes.into_iter().map(words).collect()
}

/// Whether two steels of the class temper at different temperatures and only the mark tells them apart.
fn is_underlined_or_not(case: &Case) -> bool {
    case.metal.property_class.as_deref() == Some("12.9") && inch_order(case).is_none() && case.is_in_tension()
}

/// The metal in the words of an order, by the class that the part has: 8 on a nut, 45H on a set screw, 010.9 on a weak
/// head. A class that is taken for granted for stainless steel is asked about instead.
fn metal_to_order(case: &Case) -> String {
    let (name, part) = (&case.metal.name, &case.brief().part);
    let stainless = case.metal.family.is_stainless();
    // an aging temperature is a condition of precipitation-hardening steel, a tempering is no class of the others
    let aged = case.metal.family == Family::PrecipitationHardening
        && case.piece_at_hand().is_some_and(|part| part.tempering_temperature_c.is_some());
    let stated = part.property_class.is_some() || aged;
    let own = case.metal.fastener_strength.as_ref().map(|strength| strength.class.as_str());
    let ends = [case.metal.property_class.as_deref(), own];
    let stem = ends.into_iter().flatten().find_map(|end| name.strip_suffix(end));
    if let (Some(stem), Some(order)) = (stem, inch_order(case)) {
        return format!("{}{}", stem.trim_end_matches("property class "), order.grade);
    }
    let steel = case.metal.property_class.as_deref().is_some_and(|class| class.contains('.'));
    if steel && case.has_inch_thread() && is_tightened(part.form) {
        return name.clone();
    }
    match (stem, case.class_to_order()) {
        (Some(stem), Some(class)) if stated || !stainless => format!("{stem}{class}"),
        _ => name.clone(),
    }
}

/// Whether a layer is a reaction of the metal with the bath, so that other metals get none of it.
const fn is_conversion(kind: TreatmentKind) -> bool {
    matches!(kind, TreatmentKind::BlackOxide | TreatmentKind::RoomTemperature | TreatmentKind::Phosphate)
}

/// Whether the pieces exist already.
fn is_made(at_hand: Option<&Part>) -> bool {
    at_hand.is_some_and(Part::is_made)
}

fn has_rust_or_scale(part: &Part) -> bool {
    matches!(part.condition, Some(Condition::Rust | Condition::LightScale | Condition::HeavyScale))
}

/// Whether tightening loads the part in a joint, so that a preloading test is done on it.
fn is_preloaded(form: Option<Form>) -> bool {
    is_tightened(form) || form == Some(Form::PlainWasher)
}

fn is_tightened(form: Option<Form>) -> bool {
    !matches!(form, None | Some(Form::PlainWasher | Form::Pin | Form::Bracket | Form::Other | Form::SetScrew))
}

/// The surfaces that a film must not change, in words, each once.
fn surface_words(part: &Part) -> String {
    let mut words: Vec<&str> = Vec::new();
    for surface in part.functional_surfaces.as_deref().unwrap_or_default() {
        if !words.contains(&surface.words()) {
            words.push(surface.words());
        }
    }
    words.join(", ")
}

/// The surfaces that a film must not change, and what is inspected on them.
fn surface_facts(part: &Part) -> Json {
    let surfaces = part.functional_surfaces.as_deref().unwrap_or_default();
    json!({
        "text": surface_words(part),
        "fit": surfaces.contains(&FunctionalSurface::Fit),
        "ground": surfaces.contains(&FunctionalSurface::Ground),
        "clamped": surfaces.contains(&FunctionalSurface::ClampedFace),
    })
}

/// Whether finishes of the part are ordered by standards for fasteners.
fn is_hardware(form: Option<Form>) -> bool {
    !matches!(form, None | Some(Form::Bracket | Form::Other))
}

/// Where a thickness is measured: ISO 4042 and ISO 10683 measure the head or the shank end of a screw, never the thread.
fn reference_area(form: Option<Form>) -> &'static str {
    match form {
        Some(Form::SetScrew) => "the flat end, not on the thread or in the drive",
        Some(Form::HexagonNut | Form::LockNut) => "a hex face, not on the thread",
        Some(Form::PlainWasher) => "a flat face",
        Some(Form::Pin) => "the cylinder or an end face",
        Some(Form::Bracket | Form::Other) | None => "flats, 5 mm (0.2 in) or more from edges",
        Some(_) => "the head, top or side, or the shank end, not on the thread or in the drive",
    }
}

fn form_words(form: Form) -> &'static str {
    match form {
        Form::HexagonHeadScrew => "hex cap screw",
        Form::SocketCapScrew => "socket head cap screw",
        Form::ButtonHeadScrew => "socket button head screw",
        Form::CountersunkScrew => "socket flat head screw",
        Form::SetScrew => "socket set screw",
        Form::HexagonNut => "hex nut",
        Form::LockNut => "prevailing-torque lock nut",
        Form::PlainWasher => "flat washer",
        Form::Pin => "pin",
        Form::Bracket => "bracket or fitting",
        Form::Other => "part as drawn",
    }
}

fn blocked(option: &RankedOption, reason: &str, remedy: Option<&str>) -> crate::Error {
    let reason = reason.trim_end_matches('.');
    invalid(
        "option",
        &option.name,
        &format!("a build that nothing blocks; this one: {reason}"),
        remedy.unwrap_or("Choose another build of the ranking."),
    )
}

/// Limits of the pitch diameter of a tolerance, undersize outside and oversize inside by an agreed allowance, mm.
fn pitch_diameter_limits_mm(thread: &Thread, tolerance: Tolerance, allowance_um: f64) -> Result<(f64, f64)> {
    // each term rounded as the tables of the standards have it: to 1 µm, and to 0.0001 in
    let step_um = if matches!(thread, Thread::Inch(_)) { 2.54 } else { 1.0 };
    let rounded = |um: f64| (um / step_um).round() * step_um;
    let deviation_um = rounded(fundamental_deviation(thread, &tolerance)?.deviation_um);
    let width_um = rounded(pitch_diameter_tolerance(thread, &tolerance)?.width_um);
    let (basic_um, allowance_um) = (rounded(1000.0 * thread.pitch_diameter_mm()), rounded(allowance_um));
    let from_mm = |um: f64| (basic_um + um) / 1000.0;
    Ok(if tolerance.is_internal() {
        let low_um = deviation_um + allowance_um;
        (from_mm(low_um), from_mm(low_um + width_um))
    } else {
        let high_um = deviation_um - allowance_um;
        (from_mm(high_um - width_um), from_mm(high_um))
    })
}

/// Thread and tolerance before finishing: the one that a finding orders, else the brief's, or the usual one.
/// A nut thread that grows all over has no room in the usual 6H: it is made 6G.
fn thread_work(part: &Part, other: Option<Tolerance>, grows: bool) -> Result<Option<ThreadWork>> {
    if part.form == Some(Form::PlainWasher) {
        return Ok(None);
    }
    let Some(thread) = part.thread_size()? else { return Ok(None) };
    let usual = tolerance_of(part, &thread)?;
    let widened = grows && part.tolerance.is_none() && usual.is_internal();
    let own = if widened && matches!(thread, Thread::Metric(_)) { GROWN_NUT.parse()? } else { usual };
    let tolerance = other.unwrap_or(own);
    let room = coating_room(&thread, &tolerance, part.length_mm).map_err(|e| e.within("part"))?;
    Ok(Some(ThreadWork {
        thread,
        tolerance,
        own,
        given: part.tolerance.is_some(),
        room_um: room.max_local_thickness_um,
    }))
}

impl ThreadWork {
    /// The gauge that a finished thread must still pass: the basic profile.
    const fn finished_go_gauge(&self, inside: bool) -> &'static str {
        match (&self.thread, inside) {
            (Thread::Metric(_), false) => "6h",
            (Thread::Metric(_), true) => "6H",
            (Thread::Inch(_), false) => "3A",
            (Thread::Inch(_), true) => "2B",
        }
    }
}
