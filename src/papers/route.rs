//! The process route: what is done in which order, at what temperature, for how long, and what to measure.
//!
//! Five basic steps: clean, rinse, blacken, rinse, supplementary finish; without blackening the middle two fall
//! away. More only where a finding asks for it.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::PresentFinish;
use crate::check::{Finding, Step};
use crate::fastener::baking;
use crate::finish::ChromateUse;
use crate::papers::coat::{Coat, hazards};
use crate::papers::job::Job;
use crate::papers::{Bounds, Caution, Hazard, Statement};
use crate::source::Source;

const FIVE_STEPS: Source = Source::common_practice(
    "hot alkaline blackening in five steps: clean, rinse, blacken, rinse, supplementary finish",
);
const FREE_OF: Source =
    Source::common_practice("parts must be free of oil, grease, plating, rust and scale before blackening");
const CLEANER: Source = Source::from_memory("usual hot alkaline soak cleaner, 60 to 90 °C, 5 to 15 min");
const RINSING: Source = Source::from_memory("usual overflowing cold rinse, 10 to 30 °C, 0.5 to 2 min");
const WATER_BREAK: Source = Source::from_memory("water-break test of cleaned metal, ASTM F22");
const DRY_BEFORE_BATH: Source =
    Source::common_practice("wet parts in a bath above the boiling point of water throw caustic");
const BOILING_POINT: Source = Source::common_practice(
    "the boiling point measures the strength of a hot alkaline bath: water lowers it, salt raises it",
);
const NO_LIGHT_METALS: Source =
    Source::common_practice("hot caustic attacks aluminium, magnesium and zinc and gives off hydrogen");
const BEFORE_PRESERVATIVE: Source =
    Source::standard("MIL-DTL-13924D:1999, 4.4.1 and 4.4.2: smut and oxalic acid before preservative");
const SALT_CARRIED_OVER: Source =
    Source::common_practice("salt left in laps and holes bleeds out white and starts rust");
const PAINT_ON_DRY: Source = Source::from_memory("practice of painting over black oxide");
const STRIPPING: Source = Source::from_memory("practice of stripping platings and paint");
const PICKLING: Source = Source::from_memory("inhibited hydrochloric acid at room temperature, minutes");
const BLASTING: Source = Source::from_memory("practice of blasting and tumbling");
const NO_ACID: Source = Source::standard(
    "ISO 4042:2018: above 390 HV baking is called for; acid is avoided there altogether (ASTM F1941 guidance)",
);
const BELOW_TEMPERING: Source = Source::from_memory("baking stays below the tempering temperature");
const AFTER_BAKE: Source = Source::assumption("alkaline cleaning restores a surface that was baked in air");
const INSERT_LAST: Source =
    Source::common_practice("nylon inserts lose their locking above 121 °C and are fitted after blackening");
const MASKING: Source = Source::from_memory("practice of masking with plugs, caps and tape");
const SOAKING: Source =
    Source::common_practice("parts that trap bath are drained, rinsed hot, soaked and oiled by displacement");
const TRIAL: Source = Source::common_practice("a trial piece shows how dark a grade comes out");
const JOINING: Source =
    Source::common_practice("dissimilar metals are separated by washers, sealant or paint");
const ON_THE_JOINT: Source =
    Source::common_practice("torque and preload of a changed finish are confirmed on the real joint");
/// Strength at the foot of the bake table, MPa: temperatures and start are the same in all its rows.
const LOWEST_BAKED_MPA: f64 = 1100.0;

/// The route.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// use overcoat::papers::RouteStepKind;
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// let bath = papers.route.first(RouteStepKind::Blacken).and_then(|step| step.temperature_c.as_ref()).unwrap();
/// assert_eq!((bath.low, bath.high), (140.6, 146.1));
/// assert_eq!(papers.route.basic_steps(), 5);
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
    /// How many steps are there whatever the part: five with blackening, three without.
    pub fn basic_steps(&self) -> usize {
        self.steps.iter().filter(|step| step.asked_by.is_empty()).count()
    }

    /// The step of a kind that comes first.
    pub fn first(&self, kind: RouteStepKind) -> Option<&RouteStep> {
        self.steps.iter().find(|step| step.kind == kind)
    }
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum RouteStepKind {
    /// Thread cut to another tolerance.
    CutThread,
    /// Trial piece, approved before the lot.
    TrialPiece,
    /// Cleaned.
    Clean,
    /// Rinsed.
    Rinse,
    /// Present finish taken off.
    Strip,
    /// Rust or scale taken off by blasting or tumbling.
    Blast,
    /// Rust or scale taken off in acid.
    Pickle,
    /// Baked against hydrogen embrittlement.
    Bake,
    /// Blackened.
    Blacken,
    /// Salts soaked out of laps and holes.
    SoakOut,
    /// Threads masked.
    MaskThread,
    /// Supplementary finish.
    SupplementaryFinish,
    /// Polymer insert fitted.
    FitInsert,
    /// Metals separated.
    Isolate,
    /// Torque set anew.
    NewTorque,
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
    /// Whoever assembles.
    Assembly,
}

impl RouteStepKind {
    /// Who does it.
    pub fn stage(self) -> Stage {
        match self {
            Self::CutThread => Stage::Making,
            Self::Isolate | Self::NewTorque => Stage::Assembly,
            _ => Stage::Finishing,
        }
    }
}

/// One step of the route.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RouteStep {
    /// Number in the route, from 1.
    pub number: u32,
    /// What it does.
    pub kind: RouteStepKind,
    /// Who does it.
    pub stage: Stage,
    /// Its heading.
    pub title: String,
    /// Findings that ask for it; empty for a basic step.
    pub asked_by: Vec<Statement>,
    /// The bath, where there is one.
    pub bath: Option<String>,
    /// Temperature of bath or oven.
    pub temperature_c: Option<Bounds>,
    /// Time in it.
    pub minutes: Option<Bounds>,
    /// What to do.
    pub instructions: Vec<Statement>,
    /// Layers of a supplementary finish, innermost first.
    pub coats: Vec<Coat>,
    /// What to measure.
    pub measure: Vec<Statement>,
    /// Where work waits until somebody has looked.
    pub hold: Option<Statement>,
    /// What can hurt, and the usual caution.
    pub hazards: Vec<Caution>,
    /// Why the step is there.
    pub source: Source,
}

impl RouteStep {
    fn new(kind: RouteStepKind, title: impl Into<String>, source: Source) -> Self {
        Self {
            number: 0,
            kind,
            stage: kind.stage(),
            title: title.into(),
            asked_by: Vec::new(),
            bath: None,
            temperature_c: None,
            minutes: None,
            instructions: Vec::new(),
            coats: Vec::new(),
            measure: Vec::new(),
            hold: None,
            hazards: Vec::new(),
            source,
        }
    }

    fn asked_by(mut self, findings: &[&Finding]) -> Self {
        for finding in findings {
            let said = Statement::new(finding.message.clone(), finding.source.clone());
            if !self.asked_by.contains(&said) {
                self.asked_by.push(said);
            }
        }
        self
    }

    fn bath(mut self, bath: &str) -> Self {
        self.bath = Some(bath.to_owned());
        self
    }

    fn temperature_c(mut self, low: f64, high: f64, source: Source) -> Self {
        self.temperature_c = Some(Bounds::new(low, high, source));
        self
    }

    fn minutes(mut self, low: f64, high: f64, source: Source) -> Self {
        self.minutes = Some(Bounds::new(low, high, source));
        self
    }

    fn say(mut self, text: impl Into<String>, source: Source) -> Self {
        self.instructions.push(Statement::new(text, source));
        self
    }

    fn remedies(mut self, findings: &[&Finding]) -> Self {
        for finding in findings {
            let Some(remedy) = &finding.remedy else { continue };
            let said = Statement::new(remedy.clone(), finding.source.clone());
            if !self.instructions.contains(&said) {
                self.instructions.push(said);
            }
        }
        self
    }

    fn measure(mut self, text: impl Into<String>, source: Source) -> Self {
        self.measure.push(Statement::new(text, source));
        self
    }

    fn hold(mut self, text: impl Into<String>, source: Source) -> Self {
        self.hold = Some(Statement::new(text, source));
        self
    }

    fn hazard(mut self, hazard: Hazard) -> Self {
        if !self.hazards.iter().any(|caution| caution.hazard == Some(hazard)) {
            self.hazards.push(hazard.caution());
        }
        self
    }
}

/// The route of a job.
pub(super) fn route(job: &Job) -> Result<Route> {
    let mut steps: Vec<RouteStep> =
        [cut_thread(job), trial(job)].into_iter().flatten().chain([clean(job), rinse()]).collect();
    steps.extend([strip(job), blast(job), pickle(job), bake(job)?].into_iter().flatten());
    if job.is_treated() {
        steps.extend([blacken(job), rinse_after(job)]);
    }
    steps.extend([soak_out(job), mask(job)].into_iter().flatten());
    steps.push(supplementary_finish(job));
    steps.extend([fit_insert(job), isolate(job), new_torque(job)].into_iter().flatten());
    for (number, step) in (1..).zip(&mut steps) {
        step.number = number;
    }
    Ok(Route { steps })
}

/// A step with the findings that ask for it, where any does.
fn asked(
    job: &Job,
    step: fn(Step) -> bool,
    make: impl FnOnce(&[&Finding]) -> RouteStep,
) -> Option<RouteStep> {
    let findings = job.asking(step);
    (!findings.is_empty()).then(|| make(&findings).asked_by(&findings))
}

fn cut_thread(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::OtherTolerance),
        |findings| {
            let source = findings.first().map_or(MASKING, |f| f.source.clone());
            RouteStep::new(RouteStepKind::CutThread, "Cut the thread with room for the films", source)
                .remedies(findings)
                .measure(
                    "Gauge GO and NOT GO before the parts go to the finisher.",
                    Source::common_practice("thread gauging"),
                )
        },
    )
}

fn trial(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::TrialPiece),
        |findings| {
            RouteStep::new(RouteStepKind::TrialPiece, "Run a trial piece through the whole route", TRIAL)
                .remedies(findings)
                .hold("No lot before the trial piece is approved and kept as sample.", TRIAL)
        },
    )
}

fn clean(job: &Job) -> RouteStep {
    let step = RouteStep::new(RouteStepKind::Clean, "Clean", FIVE_STEPS)
        .bath("hot alkaline soak cleaner")
        .temperature_c(60.0, 90.0, CLEANER)
        .minutes(5.0, 15.0, CLEANER)
        .say("Take off oil, grease, drawing soap and marking ink.", FREE_OF)
        .measure("Water-break: clean water must run off as one unbroken film.", WATER_BREAK)
        .measure("Temperature and strength of the cleaner.", CLEANER)
        .hazard(Hazard::AlkalineCleaner);
    if job.no_acid {
        step.say("No acid, here or later: the steel is too hard for it.", NO_ACID)
            .hazard(Hazard::HydrogenEmbrittlement)
    } else {
        step
    }
}

fn rinse() -> RouteStep {
    RouteStep::new(RouteStepKind::Rinse, "Rinse", FIVE_STEPS)
        .bath("cold overflowing water")
        .temperature_c(10.0, 30.0, RINSING)
        .minutes(0.5, 2.0, RINSING)
        .say("Rinse off all cleaner.", RINSING)
        .measure("The drip water must be neutral.", RINSING)
}

/// Boiling point of water, °C.
const WATER_BOILS_C: f64 = 100.0;

fn strip(job: &Job) -> Option<RouteStep> {
    let present = job.brief.part.present_finish.words();
    asked(
        job,
        |step| matches!(step, Step::StripInAcid | Step::StripWithoutAcid),
        |findings| {
            let in_acid = findings.iter().any(|f| matches!(f.step, Some(Step::StripInAcid)));
            let step = RouteStep::new(RouteStepKind::Strip, format!("Strip the {present}"), FREE_OF)
                .remedies(findings)
                .say("Stop as soon as bare metal shows; rinse twice.", STRIPPING)
                .hold(format!("No trace of {present} is left, holes and threads included."), FREE_OF)
                .hazard(match job.brief.part.present_finish {
                    PresentFinish::Paint => Hazard::Solvent,
                    PresentFinish::None | PresentFinish::BlackOxide | PresentFinish::Phosphate => {
                        Hazard::AlkalineCleaner
                    }
                    _ => Hazard::ToxicMetals,
                });
            if in_acid {
                let step = if job.asks(|step| matches!(step, Step::BakeHours(_))) {
                    step.hazard(Hazard::HydrogenEmbrittlement)
                } else {
                    step
                };
                step.bath("inhibited acid")
                    .hazard(Hazard::Acid)
                    .measure("Time in acid, on the lot card.", STRIPPING)
            } else {
                step.bath("alkaline or solvent stripper, or blasting; no acid")
                    .hazard(Hazard::AlkalineCleaner)
            }
        },
    )
}

fn blast(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::Blast),
        |findings| {
            RouteStep::new(RouteStepKind::Blast, "Blast or tumble", FREE_OF)
                .remedies(findings)
                .say("Spare threads and edges; blow off the dust and rinse.", BLASTING)
                .measure("Look for scale left in corners.", BLASTING)
                .hazard(Hazard::BlastDust)
        },
    )
}

fn pickle(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::Pickle),
        |findings| {
            let step = RouteStep::new(RouteStepKind::Pickle, "Pickle and rinse", FREE_OF)
                .bath("inhibited acid")
                .temperature_c(15.0, 30.0, PICKLING)
                .minutes(1.0, 10.0, PICKLING)
                .remedies(findings)
                .say("As short as takes the rust or scale off; rinse twice and neutralise.", PICKLING)
                .measure("Time in acid, on the lot card; acid strength and iron.", PICKLING)
                .hazard(Hazard::Acid);
            if job.asks(|step| matches!(step, Step::BakeHours(_))) {
                step.hazard(Hazard::HydrogenEmbrittlement)
            } else {
                step
            }
        },
    )
}

fn bake(job: &Job) -> Result<Option<RouteStep>> {
    let Some(terms) = baking(LOWEST_BAKED_MPA)? else { return Ok(None) };
    Ok(asked(
        job,
        |step| matches!(step, Step::BakeHours(_)),
        |findings| {
            let hours = findings
                .iter()
                .filter_map(|f| match f.step {
                    Some(Step::BakeHours(hours)) => Some(hours),
                    _ => None,
                })
                .fold(0.0, f64::max);
            let temperature = job.units.temperature(terms.lowest_temperature_c, terms.highest_temperature_c);
            RouteStep::new(RouteStepKind::Bake, "Bake against hydrogen embrittlement", terms.source.clone())
                .bath("oven with circulated air")
                .temperature_c(terms.lowest_temperature_c, terms.highest_temperature_c, terms.source.clone())
                .minutes(hours * 60.0, hours * 60.0, terms.source.clone())
                .say(
                    format!("{hours:.0} h or longer at {temperature}, counted once the core is warm."),
                    terms.source.clone(),
                )
                .say(
                    format!(
                        "Start within {} h of the acid; before oil, wax or paint.",
                        terms.start_within_hours
                    ),
                    terms.start_source.clone(),
                )
                .say("Never above the tempering temperature of the part.", BELOW_TEMPERING)
                .say(
                    "Afterwards clean again in the alkaline cleaner and rinse; no acid any more.",
                    AFTER_BAKE,
                )
                .measure("Oven chart with start, temperature and end; keep it with the lot.", terms.source)
                .hold("No blackening without the oven chart.", terms.start_source)
                .hazard(Hazard::HydrogenEmbrittlement)
                .hazard(Hazard::Stove)
        },
    ))
}

fn blacken(job: &Job) -> RouteStep {
    let treatment = job.treatment();
    let source = job.catalog.source(&treatment.specification_source);
    let mut step = RouteStep::new(RouteStepKind::Blacken, format!("Blacken: {}", treatment.name), source)
        .bath(&treatment.name);
    if let Some(range) = &treatment.bath_temperature_c {
        step = step.temperature_c(range.low, range.high, job.catalog.source(&range.source));
    }
    if let Some(range) = &treatment.bath_minutes {
        step = step.minutes(range.low, range.high, job.catalog.source(&range.source));
    }
    let hot = treatment.bath_temperature_c.as_ref().is_some_and(|bath| bath.high > WATER_BOILS_C);
    let molten = treatment.class == Some(3);
    step = if job.in_bulk() {
        step.say(
            "In baskets or barrels of plain steel, moved so that no faces stay pressed together.",
            FIVE_STEPS,
        )
    } else {
        step.say("Hung on plain steel, holes downwards to drain.", FIVE_STEPS)
    };
    if hot {
        step = step
            .say(
                "Drain and dry the rinsed parts, blind holes and laps too: only dry parts go in.",
                DRY_BEFORE_BATH,
            )
            .say("No aluminium, magnesium or zinc in the bath, hooks and baskets included.", NO_LIGHT_METALS);
    }
    step = step.measure("Temperature and time of each load, on the lot card.", FIVE_STEPS);
    if hot && !molten {
        step = step
            .measure("Boiling point: too low means too much water, too high too much salt.", BOILING_POINT)
            .hazard(Hazard::HotCausticBath);
    }
    if molten {
        step = step.hazard(Hazard::MoltenSalt);
    }
    if !hot {
        step = step.hazard(Hazard::Selenium);
    }
    if treatment.hexavalent_chromium == ChromateUse::Bath {
        step = step.hazard(Hazard::HexavalentChromium);
    }
    step.hold(
        "The first load is looked at before the next goes in: full, even black, no bare spots.",
        FIVE_STEPS,
    )
}

fn rinse_after(job: &Job) -> RouteStep {
    let mut step = RouteStep::new(RouteStepKind::Rinse, "Rinse", FIVE_STEPS)
        .bath("cold overflowing water, then clean water")
        .temperature_c(10.0, 30.0, RINSING)
        .minutes(0.5, 2.0, RINSING)
        .say("Rinse out all salts: what stays in laps and holes bleeds white and rusts.", SALT_CARRIED_OVER);
    if job.treatment().class == Some(3) {
        step = step.say("Let the parts cool in air first.", DRY_BEFORE_BATH);
    }
    if job.is_painted() {
        step = step.say("Dry fully; no oil, no bare hands before the paint.", PAINT_ON_DRY);
    }
    if job.treatment().hexavalent_chromium == ChromateUse::Rinse {
        step = step.say(
            "Chromate rinse only if the order says so.",
            Source::common_practice("a chromic dip for strict class 1 conformance or under paint"),
        );
    }
    step = step.measure("The drip water must be neutral.", RINSING);
    match job.treatment().class {
        Some(1..=3) => step.hold(
            "Take the samples for the smut and the oxalic acid test now, before any oil, wax or paint.",
            BEFORE_PRESERVATIVE,
        ),
        Some(_) => step.hold(
            "Take the samples for the smut test now, before any oil, wax or paint.",
            BEFORE_PRESERVATIVE,
        ),
        None => step.hold(
            "Wipe samples with a white cloth now, before any oil, wax or paint.",
            Source::assumption("smut test of MIL-DTL-13924D taken over for a process outside it"),
        ),
    }
}

fn soak_out(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::SoakOut),
        |findings| {
            RouteStep::new(RouteStepKind::SoakOut, "Rinse hot, soak and dry", SOAKING)
                .bath("hot water, changed once")
                .temperature_c(70.0, 90.0, Source::from_memory("usual hot rinse, 70 to 90 °C"))
                .remedies(findings)
                .measure("No white bleeding after drying and a night's rest.", SOAKING)
        },
    )
}

fn mask(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::MaskThread),
        |findings| {
            let source = findings.first().map_or(MASKING, |f| f.source.clone());
            RouteStep::new(RouteStepKind::MaskThread, "Mask the threads", source)
                .remedies(findings)
                .say("Plugs, caps or tape that bear the oven; take them off warm, without chipping.", MASKING)
        },
    )
}

fn supplementary_finish(job: &Job) -> RouteStep {
    let films = job.films();
    if films.is_empty() {
        return RouteStep::new(
            RouteStepKind::SupplementaryFinish,
            "Supplementary finish: none ordered",
            FIVE_STEPS,
        )
        .say("Dry at once and pack dry.", FIVE_STEPS);
    }
    let names: Vec<&str> = films.iter().map(|(_, film)| film.name.as_str()).collect();
    let title = format!("Supplementary finish: {}", names.join(", then "));
    let mut step = RouteStep::new(RouteStepKind::SupplementaryFinish, title, FIVE_STEPS);
    if !job.is_treated() {
        step = step.say("Dry and go on at once: bare steel rusts within minutes.", RINSING);
    }
    for (name, film) in films {
        step.coats.push(Coat::of(job, name, film));
        for hazard in hazards(job, film) {
            step = step.hazard(hazard);
        }
    }
    if films.iter().any(|(_, film)| film.cure_temperature_c.is_some()) {
        step = step.measure("Temperature of the metal, not of the oven air.", PAINT_ON_DRY);
    }
    if films.iter().any(|(_, film)| film.fills_threads) {
        step = step.measure("Dry film thickness of each coat.", PAINT_ON_DRY);
    }
    if job.films().iter().all(|(_, film)| !film.kind.can_be_coated()) {
        step = step.measure("Every part is covered, threads and recesses too.", FIVE_STEPS);
    }
    step
}

fn fit_insert(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::InsertAfterwards),
        |findings| {
            RouteStep::new(RouteStepKind::FitInsert, "Fit the polymer insert last", INSERT_LAST)
                .remedies(findings)
                .say("The seat must be clean and free of hardened film.", INSERT_LAST)
        },
    )
}

fn isolate(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::Isolate),
        |findings| {
            RouteStep::new(RouteStepKind::Isolate, "Separate the metals at assembly", JOINING)
                .remedies(findings)
        },
    )
}

fn new_torque(job: &Job) -> Option<RouteStep> {
    asked(
        job,
        |step| matches!(step, Step::NewTorque),
        |findings| {
            RouteStep::new(RouteStepKind::NewTorque, "Tighten with the new torque", ON_THE_JOINT)
                .remedies(findings)
                .hold(
                    "No series assembly before torque and preload are confirmed on the joint.",
                    ON_THE_JOINT,
                )
        },
    )
}

impl RouteStep {
    /// Adds every source of the step, in reading order.
    pub(super) fn name_sources<'a>(&'a self, all: &mut Vec<&'a Source>) {
        all.push(&self.source);
        all.extend(self.asked_by.iter().map(|said| &said.source));
        all.extend(self.temperature_c.iter().chain(&self.minutes).map(|bounds| &bounds.source));
        all.extend(self.instructions.iter().map(|said| &said.source));
        for coat in &self.coats {
            all.push(&coat.thickness_um.source);
            all.extend(coat.application.iter().map(|said| &said.source));
            let bounds = [&coat.flash_off_minutes, &coat.stove_temperature_c, &coat.stove_minutes];
            all.extend(bounds.into_iter().flatten().map(|bounds| &bounds.source));
        }
        all.extend(self.measure.iter().chain(&self.hold).map(|said| &said.source));
        all.extend(self.hazards.iter().map(|caution| &caution.source));
    }
}
