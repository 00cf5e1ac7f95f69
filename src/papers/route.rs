//! The process route: what is done in which order, at what temperature, for how long, and where work waits.
//!
//! Composed from the process documents of the catalog: receiving, treatment, masking, films, delivery.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::error::InvalidDocument;
use crate::evidence::{Range, Source};
use crate::finish::TreatmentKind;
use crate::finish::process::{NumbersOf, ProcessStep, StepKind};
use crate::papers::hazard::Caution;
use crate::papers::job::{Document, Job};
use crate::papers::{Bounds, Statement};

const CURE_TIME: Source = Source::from_memory(
    "usual cure, 15 to 30 min once the metal is at temperature; the data sheet of the paint governs",
);
const CURE_MINUTES: (f64, f64) = (15.0, 30.0);
const MARKS: Source = Source::common_practice(
    "blasting and tumbling wear the marks of maker, class and lot, which must stay legible on a safety-critical part",
);
const SURFACES: Source = Source::common_practice(
    "blasting wears fits, seats and contact faces, which are covered and inspected afterwards",
);
pub(super) const MAKERS_LIMIT: Source = Source::derived(
    "the highest temperature of the baths and ovens of these papers; heat above the limit of its maker can remove the strength of \
     a safety-critical part",
);
const THREAD_ROOTS: Source = Source::common_practice(
    "rust and scale hide cracks and pits in the roots of threads, where screws break, and finishes do not bond to them",
);
const CALLED_FOR: Source = Source::derived("a check calls for the step, and no process document has it");

/// The route.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let option = ranking.options.iter().find(|o| o.build.treatment == "hot_alkaline" && !o.blocked).unwrap();
/// use overcoat::papers::StepKind;
/// let papers = papers(&brief, option, Catalog::built_in(), Units::Metric)?;
/// let bath = papers.route.first(StepKind::Blacken).and_then(|step| step.temperature_c.as_ref()).unwrap();
/// assert_eq!((bath.low, bath.high), (140.6, 146.1));
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Route {
    /// The steps in order of work.
    pub steps: Vec<RouteStep>,
}

impl Route {
    /// The step of a kind that comes first.
    pub fn first(&self, kind: StepKind) -> Option<&RouteStep> {
        self.steps.iter().find(|step| step.kind == kind)
    }

    /// The highest temperature that a bath, an oven or the metal has, °C.
    pub(super) fn hottest_c(&self) -> Option<f64> {
        self.steps.iter().filter_map(|step| Some(step.temperature_c.as_ref()?.high)).reduce(f64::max)
    }

    /// Breaks of the order that the process documents set, each as a sentence; none in a sound route.
    ///
    /// A step names the kinds that come before and after it: where the route has them, one of the former is earlier,
    /// and none of the latter is.
    pub fn order_breaks(&self) -> Vec<String> {
        self.breaks().into_iter().map(|(_, said)| said).collect()
    }

    /// The breaks, each with the document of its step.
    fn breaks(&self) -> Vec<(&str, String)> {
        let mut breaks = Vec::new();
        for (i, step) in self.steps.iter().enumerate() {
            let first = |kind: &StepKind| self.steps.iter().position(|other| other.kind == *kind);
            for kind in step.after.iter().filter(|kind| first(kind).is_some_and(|first| first > i)) {
                let said = format!("{} {} comes before {}", step.number, step.title, kind.words());
                breaks.push((step.process.as_str(), said));
            }
            for kind in step.before.iter().filter(|kind| first(kind).is_some_and(|first| first < i)) {
                let said = format!("{} {} comes after {}", step.number, step.title, kind.words());
                breaks.push((step.process.as_str(), said));
            }
        }
        let charged = self.steps.iter().rposition(RouteStep::charges);
        let baked = self.steps.iter().rposition(|step| step.kind == StepKind::Bake);
        if let (Some(charged), Some(baked)) = (charged, baked)
            && baked < charged
            && let (Some(step), Some(bake)) = (self.steps.get(charged), self.steps.get(baked))
        {
            let said = format!("{} {} comes after the {}", step.number, step.title, bake.kind.words());
            breaks.push((step.process.as_str(), said));
        }
        breaks
    }
}

/// Who does a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// The maker of the part, before it goes out.
    Making,
    /// The finisher.
    Finishing,
    /// Who gets the parts from the finisher: the maker of an insert, whoever assembles.
    Assembly,
}

impl Stage {
    const fn of(kind: StepKind) -> Self {
        match kind {
            StepKind::Consent | StepKind::CutThread => Self::Making,
            StepKind::FitInsert | StepKind::Isolate | StepKind::NewTorque => Self::Assembly,
            _ => Self::Finishing,
        }
    }
}

/// What comes first whatever the process, in this order; the rest keeps the order of the documents.
const ON_ARRIVAL: [StepKind; 4] =
    [StepKind::Consent, StepKind::CutThread, StepKind::Receive, StepKind::TrialPiece];

/// Steps that leave the metal bare: cracks show after them.
const LEAVES_BARE: [StepKind; 11] = [
    StepKind::Consent,
    StepKind::CutThread,
    StepKind::Receive,
    StepKind::TrialPiece,
    StepKind::Clean,
    StepKind::StressRelief,
    StepKind::Rinse,
    StepKind::Strip,
    StepKind::Derust,
    StepKind::Bake,
    StepKind::Gauge,
];

/// Steps that cover the metal, or that go on in one pass once begun.
const COVERS: [StepKind; 8] = [
    StepKind::Activate,
    StepKind::Blacken,
    StepKind::Passivate,
    StepKind::Seal,
    StepKind::MaskThread,
    StepKind::Coat,
    StepKind::Lubricate,
    StepKind::Inspect,
];

/// One step of the route.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RouteStep {
    /// Number in the route, from 1.
    pub number: u32,
    /// What it does.
    pub kind: StepKind,
    /// Who does it.
    pub stage: Stage,
    /// Name of the process document that it comes from.
    pub process: String,
    /// Its heading.
    pub title: String,
    /// Findings that call for it; empty for a step of every such route.
    pub asked_by: Vec<Statement>,
    /// Bath or means, where there is one.
    pub bath: Option<String>,
    /// Temperature of bath, oven or metal.
    pub temperature_c: Option<Bounds>,
    /// Time in it.
    pub minutes: Option<Bounds>,
    /// Rinse, drain or dry at its end.
    pub rinse: Option<String>,
    /// What to do.
    pub instructions: Vec<Statement>,
    /// What to measure.
    pub measure: Vec<Statement>,
    /// Hold points: work waits until each is released.
    pub hold: Vec<Statement>,
    /// What can hurt, and the usual caution.
    pub hazards: Vec<Caution>,
    /// Kinds of step that come before it, where the route has them.
    pub after: Vec<StepKind>,
    /// Kinds of step that come after it, where the route has them.
    pub before: Vec<StepKind>,
    /// Why the step is there.
    pub source: Source,
}

impl RouteStep {
    /// Whether acid or current can charge the part: seconds in dilute nitric acid and the passivate do not.
    fn charges(&self) -> bool {
        let acid = ACID.iter().any(|code| self.has_hazard(code)) && !self.has_hazard("nox");
        self.kind == StepKind::Electroplate
            || acid
                && !matches!(
                    self.kind,
                    StepKind::Passivate | StepKind::Bake | StepKind::Anodize | StepKind::Condition
                )
    }

    /// Whether rust or scale comes off, as a finding asks, and the parts can stand before the next step.
    fn takes_rust_off(&self) -> bool {
        let stands =
            self.kind == StepKind::Blast || self.kind == StepKind::Pickle && self.rinse_neutralizes();
        stands && !self.asked_by.is_empty()
    }

    /// Whether the parts leave the step neutral, to stand before the next one.
    fn rinse_neutralizes(&self) -> bool {
        self.rinse.as_deref().is_some_and(|rinse| rinse.contains("neutraliz"))
    }

    /// Whether a hazard of the table acts at the step.
    pub fn has_hazard(&self, code: &str) -> bool {
        self.hazards.iter().any(|caution| caution.hazard.as_deref() == Some(code))
    }
}

/// What the orders and tests ask of a route.
#[derive(Debug, Clone, Copy, Default)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts of a route, as templates ask for them")]
pub(super) struct RouteFacts {
    /// Acid touches the part.
    pub(super) acid: bool,
    /// A step lets hydrogen into steel.
    pub(super) hydrogen: bool,
    /// There is a hydrogen relief.
    pub(super) bake: bool,
    /// A bake or a cure is in an oven.
    pub(super) ovens: bool,
}

/// Hazards of acid.
const ACID: [&str; 2] = ["acid", "phosphate"];

/// Steps in an oven that the tempering of the metal limits.
pub(super) const OVENS: [StepKind; 4] =
    [StepKind::StressRelief, StepKind::Bake, StepKind::Cure, StepKind::ZincFlake];

/// Hazard of an oven.
pub(super) const OVEN: &str = "oven";

/// What findings ask of a step that takes rust or scale off.
const TAKES_RUST_OFF: [&str; 2] = ["blast", "pickle"];

/// Hazard of steps that blast.
const BLASTING: &str = "blast";

/// The route of a job, and what its documents say of it.
pub(super) fn route(job: &mut Job) -> Result<Route> {
    // What the route holds decides about some of its lines, but never about a bath.
    let facts = RouteFacts::of(&included(job)?);
    job.know_route(facts);
    let (mut steps, mut answered) = (Vec::new(), Vec::new());
    for (document, step) in included(job)? {
        steps.push(filled(job, &document, step)?);
        answered.extend(step.asked_by.iter().chain(&step.covers).cloned());
    }
    steps.extend(unanswered(job, &answered));
    steps.sort_by_key(|step| {
        ON_ARRIVAL.iter().position(|kind| *kind == step.kind).unwrap_or(ON_ARRIVAL.len())
    });
    let rusty = job.asks("blast") || job.asks("pickle");
    let masks = take_early_masks(&mut steps);
    place_crack_tests(&mut steps);
    if let Some(masks) = masks {
        // phosphate follows its blast at once
        let after_blast = rusty && job.treatment().kind != TreatmentKind::Phosphate;
        place_masks(&mut steps, masks, after_blast, job.named_text("masks_ahead_of_blast")?);
    }
    if job.marks_surfaces() {
        guard_from_blasts(job, &mut steps)?;
    }
    let mut reasons: Vec<String> = Vec::new();
    for (number, step) in (1..).zip(&mut steps) {
        // the first step that a finding calls for says why
        step.asked_by.retain(|asked| !reasons.contains(&asked.text));
        reasons.extend(step.asked_by.iter().map(|asked| asked.text.clone()));
        step.number = number;
    }
    let mut route = Route { steps };
    job.know_makers_limit(&route);
    if let Some(step) = route.steps.iter_mut().find(|step| job.asks_maker_for(step)) {
        step.hold.push(Statement::new(job.named_text("makers_limit_hold")?, MAKERS_LIMIT));
    }
    refuse_unsound(job, &route)?;
    Ok(route)
}

/// Rejects a route that can break the part: documents of a user's catalog are put together here for the first time.
fn refuse_unsound(job: &Job, route: &Route) -> Result<()> {
    let wrong = |process: &str, reason: String, remedy: &str| {
        Err(InvalidDocument {
            document: "catalog".into(),
            field: format!("processes.{process}.steps"),
            reason,
            nearest: None,
            remedy: remedy.into(),
        }
        .into())
    };
    if let Some((process, said)) = route.breaks().into_iter().next() {
        let remedy = "Put the steps of the document in the order that their `after` and `before` set, every hydrogen \
                      relief after the last acid or plating.";
        return wrong(process, format!("step out of order: {said}"), remedy);
    }
    // what the checks know of the ovens they have judged; the certificate can decide there
    let films = job.films().iter().filter_map(|(_, film)| film.cure_temperature_c.as_ref());
    let treatment = job.treatment().oven_temperature_c.as_ref().map(|oven| oven.low);
    let judged_c = films.map(|cure| cure.value).chain(treatment).fold(0.0, f64::max);
    for step in &route.steps {
        if job.bars_acid && step.kind != StepKind::Bake && ACID.iter().any(|code| step.has_hazard(code)) {
            return wrong(
                &step.process,
                format!(
                    "{} {}: acid on steel above 390 HV, in a process that the catalog says charges none",
                    step.number, step.title
                ),
                "Put `not no_acid` into the `when` of the step, or set `evolves_hydrogen` of the treatment.",
            );
        }
        let cures = matches!(step.kind, StepKind::Cure | StepKind::ZincFlake);
        let too_hot = step.temperature_c.as_ref().zip(job.oven_limit_c);
        let too_hot = too_hot.filter(|(t, limit_c)| t.low > *limit_c && t.low > judged_c);
        if let Some((t, limit_c)) = too_hot.filter(|_| cures) {
            return wrong(
                &step.process,
                format!(
                    "{} {}: {} °C or more, {limit_c:.0} °C at most on this metal",
                    step.number, step.title, t.low
                ),
                "Enter the cure of treatment and film as their documents have it, so that such metal is ruled out.",
            );
        }
    }
    Ok(())
}

/// Removes the masks of the baths from the steps, to be placed; those of the coats alone stay in place.
fn take_early_masks(steps: &mut Vec<RouteStep>) -> Option<RouteStep> {
    let at = steps.iter().position(|step| step.kind == StepKind::MaskThread)?;
    steps.iter().skip(at).any(|step| step.kind == StepKind::Clean).then(|| steps.remove(at))
}

/// Puts masks on clean, dry metal, ahead of the baths: after the first cleaning with its rinses, drying and an oven on bare
/// metal; after a blast that takes rust or scale off, since nothing beneath a mask is bared; and after the inspection for
/// cracks, which sees nothing beneath one.
fn place_masks(steps: &mut Vec<RouteStep>, mut masks: RouteStep, after_blast: bool, rated: String) {
    // the degreasing ahead of a strip is of the same document
    let cleans = |step: &RouteStep| step.kind == StepKind::Clean && step.process != masks.process;
    let clean = steps.iter().position(cleans).unwrap_or_default();
    let inspected = steps.iter().position(|step| step.kind == StepKind::CrackTest);
    let follows = |step: &&RouteStep| {
        let on_bare_metal =
            matches!(step.kind, StepKind::Rinse | StepKind::StressRelief | StepKind::Outgas | StepKind::Dry);
        on_bare_metal || after_blast && step.kind == StepKind::Blast
    };
    let first = inspected.map_or(clean, |inspected| inspected.max(clean)) + 1;
    let at = first + steps.iter().skip(first).take_while(follows).count();
    if steps.iter().skip(at).any(|step| step.has_hazard(BLASTING)) {
        masks.instructions.push(Statement::new(rated, SURFACES));
    }
    steps.insert(at, masks);
}

/// What is marked stays under the masks that are on in a blast, or is covered where masks follow it; what the coats go over is
/// blasted for them too, finely.
fn guard_from_blasts(job: &mut Job, steps: &mut [RouteStep]) -> Result<()> {
    let masks = |step: &RouteStep| step.kind == StepKind::MaskThread;
    let (first, last) = (steps.iter().position(masks), steps.iter().rposition(masks));
    for (place, step) in steps.iter_mut().enumerate().filter(|(_, step)| step.has_hazard(BLASTING)) {
        job.templates.know("masks_on", &first.is_some_and(|first| first < place).into());
        job.templates.know("masks_follow", &last.is_some_and(|last| last > place).into());
        step.instructions.push(Statement::new(job.named_text("marked_in_blast")?, SURFACES));
    }
    Ok(())
}

/// Puts the crack tests where the metal is bare: the first after cleaning and after every step that takes rust or scale off,
/// which hide the metal; the second after the last acid and its bake, before a coat covers the metal.
fn place_crack_tests(steps: &mut Vec<RouteStep>) {
    let mut tests: Vec<RouteStep> = steps.extract_if(.., |step| step.kind == StepKind::CrackTest).collect();
    let again = (tests.len() > 1).then(|| tests.pop()).flatten();
    let Some(first) = tests.pop() else { return };
    let bared = steps.iter().rposition(RouteStep::takes_rust_off).map_or(0, |last| last + 1);
    let bare = |step: &&RouteStep| LEAVES_BARE.contains(&step.kind);
    let at = bared + steps.iter().skip(bared).take_while(bare).count();
    steps.insert(at, first);
    let charged = steps.iter().rposition(RouteStep::charges).filter(|charged| *charged > at);
    if let (Some(again), Some(charged)) = (again, charged) {
        let relieved =
            steps.iter().rposition(|step| step.kind == StepKind::Bake).unwrap_or(charged).max(charged);
        // from activation the parts go straight into the bath
        let straight = steps.get(charged).is_some_and(|step| step.kind == StepKind::Activate);
        let covers =
            |step: &RouteStep| COVERS.contains(&step.kind) && !(straight && step.kind == StepKind::Blacken);
        let later = steps.iter().enumerate().skip(relieved + 1);
        let at = later.into_iter().find(|(_, step)| covers(step)).map_or(steps.len(), |(i, _)| i);
        steps.insert(at, again);
    }
}

impl RouteFacts {
    fn of(steps: &[(Document, &ProcessStep)]) -> Self {
        let has = |codes: &[&str], step: &ProcessStep| {
            step.kind != StepKind::Bake && step.hazards.iter().any(|code| codes.contains(&code.as_str()))
        };
        let hydrogen = steps.iter().any(|(_, step)| has(&["hydrogen"], step));
        Self {
            acid: hydrogen || steps.iter().any(|(_, step)| has(&ACID, step)),
            hydrogen,
            bake: steps.iter().any(|(_, step)| step.kind == StepKind::Bake),
            ovens: steps.iter().any(|(_, step)| {
                matches!(step.kind, StepKind::Bake | StepKind::Cure)
                    && step.hazards.iter().any(|code| code == OVEN)
            }),
        }
    }
}

/// The steps that apply, in the order of the documents.
fn included<'a>(job: &mut Job<'a>) -> Result<Vec<(Document<'a>, &'a ProcessStep)>> {
    let mut steps = Vec::new();
    for document in job.documents() {
        job.know_film(&document);
        for step in &document.process.steps {
            let asked = step.asked_by.is_empty() || step.asked_by.iter().any(|word| job.asks(word));
            if asked && job.templates.holds(step.when.as_deref())? {
                steps.push((document.clone(), step));
            }
        }
    }
    Ok(steps)
}

fn filled(job: &mut Job, document: &Document, step: &ProcessStep) -> Result<RouteStep> {
    job.know_film(document);
    let asked: Vec<&String> = step.asked_by.iter().chain(&step.covers).collect();
    let words: Vec<String> = asked.iter().map(|word| (*word).clone()).collect();
    job.know_remedies(&words);
    let own = numbers(job, document, step);
    job.know_oven(own.0.as_ref().map(|range| range.high));
    let source = job.source(&step.source);
    let say = |lines| -> Result<Vec<Statement>> {
        let lines = job.templates.lines(lines)?;
        Ok(lines
            .into_iter()
            .map(|(text, line)| {
                let own = line.source.as_ref().map_or_else(|| source.clone(), |key| job.source(key));
                Statement { bears_on: line.bears_on, ..Statement::new(text, own) }
            })
            .collect())
    };
    let text = |template: &Option<String>| -> Result<Option<String>> {
        template.as_deref().map(|template| job.templates.text(template)).transpose()
    };
    let (temperature_c, minutes) = within_oven_limit(job, step, own);
    let mut instructions = say(&step.instructions)?;
    if step.kind == StepKind::Blast && TAKES_RUST_OFF.iter().any(|word| asked.iter().any(|own| *own == word))
    {
        let threads = job.named_text("threads_in_blast")?;
        instructions.extend((!threads.is_empty()).then(|| Statement::new(threads, THREAD_ROOTS)));
    }
    if job.brief.part.safety_critical && step.hazards.iter().any(|code| code == BLASTING) {
        instructions.push(Statement::new(job.named_text("markings_in_blast")?, MARKS));
    }
    let mut hazards = Vec::new();
    for code in &step.hazards {
        if let Some(note) = job.catalog.content().hazards.get(code)
            && job.templates.holds(note.when.as_deref())?
        {
            let caution = Caution::of(code, note, job.source(&note.source));
            hazards.push(Caution { text: job.units.sentence(&caution.text), ..caution });
        }
    }
    Ok(RouteStep {
        number: 0,
        kind: step.kind,
        stage: Stage::of(step.kind),
        process: document.name.to_owned(),
        title: job.templates.text(&step.title)?,
        asked_by: job.because(&asked),
        bath: text(&step.bath)?,
        temperature_c,
        minutes,
        rinse: text(&step.rinse)?,
        instructions,
        measure: say(&step.measure)?,
        hold: say(&step.hold)?,
        hazards,
        after: step.after.clone(),
        before: step.before.clone(),
        source: source.clone(),
    })
}

/// Temperature and time: its own, or those of the catalog entry that it names.
fn numbers(job: &Job, document: &Document, step: &ProcessStep) -> (Option<Bounds>, Option<Bounds>) {
    let bounds = |range: &Range| Bounds::new(range.low, range.high, job.source(&range.source));
    let own = (step.temperature_c.as_ref().map(bounds), step.minutes.as_ref().map(bounds));
    match step.numbers_of {
        None => own,
        Some(NumbersOf::Bath) => {
            let treatment = job.treatment();
            (treatment.bath_temperature_c.as_ref().map(bounds), treatment.bath_minutes.as_ref().map(bounds))
        }
        Some(NumbersOf::Cure) => {
            let cure = document.film.and_then(|(_, film)| job.cure(film));
            (cure, Some(Bounds::new(CURE_MINUTES.0, CURE_MINUTES.1, CURE_TIME)))
        }
        Some(NumbersOf::Bake) => job.bake.as_ref().map_or(own, |(bake, hours)| {
            (
                Some(Bounds::new(bake.lowest_temperature_c, bake.highest_temperature_c, bake.source.clone())),
                Some(Bounds::new(hours * 60.0, hours * 60.0, bake.source.clone())),
            )
        }),
    }
}

/// The one range of an oven: its upper end is the limit of the metal where that is lower. None where nothing is
/// left, for example in an optional stress relief; the checks bar every other oven then.
fn within_oven_limit(
    job: &Job,
    step: &ProcessStep,
    (temperature_c, minutes): (Option<Bounds>, Option<Bounds>),
) -> (Option<Bounds>, Option<Bounds>) {
    let is_oven = OVENS.contains(&step.kind);
    let stated = job.brief.part.tempering_temperature_c.is_some();
    match (job.oven_limit_c.filter(|_| is_oven), temperature_c) {
        (Some(limit_c), Some(range))
            if range.low > limit_c && stated && step.kind == StepKind::StressRelief =>
        {
            (None, None)
        }
        // the certificate decides: the text of the step says so
        (Some(limit_c), Some(range)) if range.low > limit_c => (Some(range), minutes),
        (Some(limit_c), Some(range)) => (Some(Bounds { high: range.high.min(limit_c), ..range }), minutes),
        (_, temperature_c) => (temperature_c, minutes),
    }
}

/// Steps that findings call for and no document answers: each by its remedy, so that none is dropped.
fn unanswered(job: &Job, answered: &[String]) -> Vec<RouteStep> {
    let open = job.asked_words().into_iter().filter(|word| !answered.contains(word));
    open.map(|word| {
        let findings = job.because(&[&word]);
        let remedies = job.remedies(std::slice::from_ref(&word));
        RouteStep {
            number: 0,
            kind: StepKind::Supplier,
            stage: Stage::Finishing,
            process: "by_supplier".to_owned(),
            title: super::capital(&word.replace('_', " ")),
            instructions: if remedies.is_empty() {
                Vec::new()
            } else {
                vec![Statement::new(remedies, CALLED_FOR)]
            },
            asked_by: findings,
            bath: None,
            temperature_c: None,
            minutes: None,
            rinse: None,
            measure: Vec::new(),
            hold: vec![Statement::new("Agree this step with the supplier before the lot.", CALLED_FOR)],
            hazards: Vec::new(),
            after: Vec::new(),
            before: Vec::new(),
            source: CALLED_FOR,
        }
    })
    .collect()
}

impl RouteStep {
    /// Adds every source of the step, in reading order.
    pub(super) fn name_sources<'a>(&'a self, all: &mut Vec<&'a Source>) {
        all.push(&self.source);
        all.extend(self.asked_by.iter().map(|said| &said.source));
        all.extend(self.temperature_c.iter().chain(&self.minutes).map(|bounds| &bounds.source));
        all.extend(self.instructions.iter().chain(&self.measure).chain(&self.hold).map(|said| &said.source));
        all.extend(self.hazards.iter().map(|caution| &caution.source));
    }
}
