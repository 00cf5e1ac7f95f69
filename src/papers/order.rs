//! The order note: what goes onto the drawing or the order, clause by clause, and what is still open.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use crate::brief::{Condition, Form, Part};
use crate::check::Step;
use crate::finish::{ChromateUse, Film};
use crate::papers::acceptance::{AcceptancePlan, PROPOSED_AQL, SampleName, appearance};
use crate::papers::job::Job;
use crate::papers::salt_spray::TEST_HOURS;
use crate::papers::units::number;
use crate::papers::{Route, RouteStepKind};
use crate::source::Source;

const NAMED: Source = Source::common_practice("as the inquiry says");
const BUILD: Source = Source::derived("what the build is made of, and what its checks ask for");
const STAINLESS_CLASS: Source = Source::from_memory(
    "ISO 3506-1: stainless fasteners are ordered by grade and property class, as in A4-70",
);
const NOT_NAMED: Source = Source::assumption("the inquiry does not say; proposed until the parties agree");
const EDITION: Source = Source::common_practice(
    "MIL-DTL-13924 has revisions after D (F is cited on certificates); ISO and DIN standards are revised too",
);
const CHROMATE: Source = Source::common_practice(
    "a chromic dip belongs to strict class 1 conformance; hexavalent chromium is restricted or needs authorisation \
     in many places",
);
const NO_STANDARD: Source = Source::common_practice(
    "DIN 50938:2018, scope, as job coaters report it: black deposits made at room temperature in acidic heavy-metal \
     solutions are excluded",
);
const NO_ACID: Source = Source::standard(
    "ISO 4042:2018: above 390 HV baking is called for; acid is avoided there altogether (ASTM F1941 guidance)",
);
const SAMPLES: Source =
    Source::common_practice("shade varies within and between lots: limit samples are agreed before the lot");
const PANEL: Source = Source::common_practice("paint is compared with an agreed panel for colour and gloss");
const SHIPPING: Source = Source::common_practice("oiled or waxed parts are packed closed and dry");
const CERTIFICATE: Source = Source::common_practice("certificate of conformity with the lot card");
const JOINT: Source =
    Source::common_practice("torque and preload of a changed finish are confirmed on the real joint");

/// What a clause or an open choice is about. Every order says something on each of [`Subject::ALL`], or names it
/// as open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// The part and the number of pieces.
    Part,
    /// Base metal, hardness.
    BaseMetal,
    /// Surface as delivered to the finisher, and what must come off.
    Condition,
    /// Acid and baking.
    Baking,
    /// Treatment by standard and class.
    Treatment,
    /// Chromate rinse.
    ChromateRinse,
    /// Films with thickness.
    SupplementaryFinish,
    /// Thread before and after.
    Thread,
    /// Colour, gloss, shade.
    Appearance,
    /// Tests.
    Tests,
    /// Sampling.
    Acceptance,
    /// Assembly.
    Assembly,
    /// Packing.
    Packing,
    /// Certificate.
    Certificate,
}

impl Subject {
    /// All of them, in the order of the note.
    pub const ALL: &[Self] = &[
        Self::Part,
        Self::BaseMetal,
        Self::Condition,
        Self::Baking,
        Self::Treatment,
        Self::ChromateRinse,
        Self::SupplementaryFinish,
        Self::Thread,
        Self::Appearance,
        Self::Tests,
        Self::Acceptance,
        Self::Assembly,
        Self::Packing,
        Self::Certificate,
    ];

    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::BaseMetal => "base metal",
            Self::Condition => "condition",
            Self::Baking => "acid and baking",
            Self::Treatment => "treatment",
            Self::ChromateRinse => "chromate rinse",
            Self::SupplementaryFinish => "supplementary finish",
            Self::Thread => "thread",
            Self::Appearance => "appearance",
            Self::Tests => "tests",
            Self::Acceptance => "acceptance",
            Self::Assembly => "assembly",
            Self::Packing => "packing",
            Self::Certificate => "certificate",
        }
    }
}

/// The text for drawing and order.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// use overcoat::papers::Subject;
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// assert!(!papers.order.is_complete());
/// assert!(papers.order.open.iter().any(|open| open.subject == Subject::Packing));
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OrderNote {
    /// The short text for the drawing.
    pub drawing_note: String,
    /// The clauses of the order.
    pub clauses: Vec<Clause>,
    /// What nobody has settled yet, with what these papers take meanwhile.
    pub open: Vec<OpenChoice>,
}

/// One clause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Clause {
    /// What it is about.
    pub subject: Subject,
    /// Its text.
    pub text: String,
    /// Where it comes from.
    pub source: Source,
}

/// A choice that buyer and supplier have still to make.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenChoice {
    /// What it is about.
    pub subject: Subject,
    /// What is open.
    pub question: String,
    /// What these papers take until it is settled.
    pub taken: String,
    /// Where that comes from.
    pub source: Source,
}

impl OpenChoice {
    /// The question, and what these papers take until it is settled.
    pub fn in_words(&self) -> String {
        format!("{}. Taken here: {}.", self.question, self.taken)
    }
}

impl OrderNote {
    /// Whether nothing is open.
    pub fn is_complete(&self) -> bool {
        self.open.is_empty()
    }
}

struct Writer {
    clauses: Vec<Clause>,
    open: Vec<OpenChoice>,
}

impl Writer {
    fn clause(&mut self, subject: Subject, text: impl Into<String>, source: Source) {
        self.clauses.push(Clause { subject, text: text.into(), source });
    }

    fn open(
        &mut self,
        subject: Subject,
        question: impl Into<String>,
        taken: impl Into<String>,
        source: Source,
    ) {
        self.open.push(OpenChoice { subject, question: question.into(), taken: taken.into(), source });
    }
}

pub(super) fn order(job: &Job, route: &Route, plan: &AcceptancePlan) -> OrderNote {
    let mut w = Writer { clauses: Vec::new(), open: Vec::new() };
    part(job, &mut w);
    base_metal(job, &mut w);
    condition(job, &mut w);
    baking(job, route, &mut w);
    treatment(job, &mut w);
    supplementary_finish(job, &mut w);
    thread(job, &mut w);
    looks(job, &mut w);
    tests(plan, &mut w);
    sampling(plan, &mut w);
    assembly(job, &mut w);
    shipping(job, &mut w);
    OrderNote { drawing_note: drawing_note(job, plan), clauses: w.clauses, open: w.open }
}

fn form_words(form: Form) -> &'static str {
    match form {
        Form::HexagonHeadScrew => "hexagon head screw",
        Form::SocketCapScrew => "hexagon socket head cap screw",
        Form::ButtonHeadScrew => "hexagon socket button head screw",
        Form::CountersunkScrew => "hexagon socket countersunk screw",
        Form::SetScrew => "set screw",
        Form::HexagonNut => "hexagon nut",
        Form::LockNut => "self-locking nut",
        Form::PlainWasher => "plain washer",
        Form::Pin => "pin",
        Form::Bracket => "bracket or fitting",
        Form::Other => "part",
    }
}

fn part(job: &Job, w: &mut Writer) {
    let part = &job.brief.part;
    let mut text = part.form.map_or("part", form_words).to_owned();
    if let Some(work) = &job.thread {
        let _ = write!(text, " {}", work.thread);
    }
    if let Some(length_mm) = part.length_mm {
        let _ = write!(text, ", {} long", job.units.length(length_mm));
    }
    let _ = write!(text, "; {} pieces.", job.lot_pieces);
    w.clause(Subject::Part, capital(&text), NAMED);
    if part.lot_pieces.is_none() {
        w.open(Subject::Part, "size of the lot", format!("{} pieces", job.lot_pieces), NOT_NAMED);
    }
}

fn base_metal(job: &Job, w: &mut Writer) {
    let metal = job.resolved.metal;
    let mut text = metal.name.clone();
    let mut source = NAMED;
    match (job.piece_at_hand().and_then(|part| part.hardness_hv), &metal.hardness_hv) {
        (Some(hv), _) => {
            let _ = write!(text, "; at most {} HV", number(hv, 0));
        }
        (None, Some(range)) => {
            let _ = write!(text, "; {} to {} HV", number(range.low, 0), number(range.high, 0));
            source = job.catalog.source(&range.source);
        }
        (None, None) => {}
    }
    w.clause(Subject::BaseMetal, format!("{}.", capital(&text)), source);
    match job.brief.part.base_metal.as_deref() {
        None => w.open(Subject::BaseMetal, "base metal, not named by the customer", &metal.name, NOT_NAMED),
        Some(named) if named != job.option.build.base_metal => w.open(
            Subject::BaseMetal,
            "base metal, other than the inquiry names",
            &metal.name,
            Source::derived("build that the ranking compared with the one of the inquiry"),
        ),
        Some(_) => {}
    }
    if job.thread.is_some() && metal.family.is_stainless() {
        w.open(
            Subject::BaseMetal,
            "property class of the stainless fastener, not named",
            "none, so that no tightening torque is given in full",
            STAINLESS_CLASS,
        );
    }
}

fn condition(job: &Job, w: &mut Writer) {
    let new = Part::default();
    let part = job.piece_at_hand().unwrap_or(&new);
    let mut says = Vec::new();
    match part.condition {
        Some(Condition::Clean) => says.push("free of oil, rust and scale".to_owned()),
        Some(Condition::Oiled) | None => says.push("oily from making, without rust or scale".to_owned()),
        Some(Condition::Rust) => says.push("rusty".to_owned()),
        Some(Condition::LightScale) => says.push("with light scale".to_owned()),
        Some(Condition::HeavyScale) => says.push("with heavy scale".to_owned()),
    }
    if !part.present_finish.is_none() {
        says.push(format!("with {} that is stripped first", part.present_finish.words()));
    }
    let removal: Vec<&str> = [
        (job.asks(|s| matches!(s, Step::Pickle)), "pickled"),
        (job.asks(|s| matches!(s, Step::Blast)), "blasted or tumbled"),
    ]
    .into_iter()
    .filter_map(|(asked, how)| asked.then_some(how))
    .collect();
    let mut text = format!("Parts arrive {}", says.join(", "));
    if !removal.is_empty() {
        let _ = write!(text, "; they are {} before finishing", removal.join(" and "));
    }
    let source = if part.condition.is_some() { NAMED } else { NOT_NAMED };
    w.clause(Subject::Condition, text + ".", source);
    if part.condition.is_none() {
        w.open(
            Subject::Condition,
            "surface on arrival",
            "oily from making, without rust or scale",
            NOT_NAMED,
        );
    }
}

fn baking(job: &Job, route: &Route, w: &mut Writer) {
    if let Some(bake) = route.first(RouteStepKind::Bake) {
        let says: Vec<&str> = bake.instructions.iter().map(|s| s.text.as_str()).take(KEPT_OF_BAKE).collect();
        w.clause(Subject::Baking, format!("Bake after acid. {}", says.join(" ")), bake.source.clone());
    } else if job.no_acid {
        let hardness = job.hardness_hv.map_or(String::new(), |hv| format!(" ({} HV)", number(hv, 0)));
        w.clause(
            Subject::Baking,
            format!("No acid at any step, cleaning and a second pass included: hard steel{hardness}. No bake then."),
            NO_ACID,
        );
    } else if job.acid_in_route() {
        w.clause(
            Subject::Baking,
            "Acid only as the route says; no bake at this hardness.",
            crate::fastener::EmbrittlementEdition::Iso4042Edition2018.source(),
        );
    } else {
        w.clause(
            Subject::Baking,
            "No acid is needed and no bake.",
            Source::common_practice("hot alkaline blackening brings no hydrogen into steel; acid does"),
        );
    }
}

/// Sentences of the bake step that an order repeats: hours and start, and the tempering limit.
const KEPT_OF_BAKE: usize = 3;

fn treatment(job: &Job, w: &mut Writer) {
    let treatment = job.treatment();
    let source = job.catalog.source(&treatment.specification_source);
    if !job.is_treated() {
        w.clause(Subject::Treatment, "No blackening.", source);
        w.clause(Subject::ChromateRinse, "None.", BUILD);
        return;
    }
    if let Some((first, others)) = treatment.specifications.split_first() {
        w.clause(Subject::Treatment, format!("{} to {first}.", capital(&treatment.name)), source);
        let also = if others.is_empty() {
            String::new()
        } else {
            format!("; it can also be ordered to {}", others.join(" or "))
        };
        w.open(
            Subject::Treatment,
            format!("standard and its edition: later revisions may be in force{also}"),
            first,
            EDITION,
        );
    } else {
        w.clause(Subject::Treatment, format!("{}, to no standard.", capital(&treatment.name)), source);
        w.open(
            Subject::Treatment,
            "what counts as black enough, since no standard takes this process",
            "an agreed sample",
            NO_STANDARD,
        );
    }
    w.clause(
        Subject::Treatment,
        format!("{} thick.", job.thickness(&treatment.thickness_um)),
        job.catalog.source(&treatment.thickness_um.source),
    );
    match treatment.hexavalent_chromium {
        ChromateUse::None => w.clause(Subject::ChromateRinse, "None.", BUILD),
        ChromateUse::Bath => w.clause(
            Subject::ChromateRinse,
            "The bath itself holds hexavalent chromium; rinse it off fully.",
            CHROMATE,
        ),
        ChromateUse::Rinse => w.open(
            Subject::ChromateRinse,
            if job.brief.wants.standard_specification {
                "chromate rinse, yes or no: strict conformance to class 1 has it"
            } else {
                "chromate rinse, yes or no"
            },
            "no rinse with hexavalent chromium",
            CHROMATE,
        ),
    }
}

fn supplementary_finish(job: &Job, w: &mut Writer) {
    let films = job.films();
    if films.is_empty() {
        w.clause(Subject::SupplementaryFinish, "None; parts are delivered dry.", BUILD);
    }
    let several = films.len() > 1;
    for (order, (_, film)) in (1..).zip(films) {
        let number = if several { format!("Layer {order}: ") } else { String::new() };
        w.clause(
            Subject::SupplementaryFinish,
            format!("{number}{}, {}.", capital(&film.name), job.thickness(&film.thickness_um)),
            job.catalog.source(&film.thickness_um.source),
        );
    }
}

fn thread(job: &Job, w: &mut Writer) {
    let Some(work) = &job.thread else {
        let threaded = !matches!(
            job.brief.part.form,
            None | Some(Form::PlainWasher | Form::Pin | Form::Bracket | Form::Other)
        );
        if threaded {
            w.open(
                Subject::Thread,
                "thread and tolerance, not named",
                "no gauging planned; room in the thread not checked",
                NOT_NAMED,
            );
        } else {
            w.clause(Subject::Thread, "None named.", NAMED);
        }
        return;
    };
    let source = job
        .option
        .findings
        .iter()
        .find(|f| f.rule.starts_with("thread."))
        .map_or(NAMED, |finding| finding.source.clone());
    let text = if job.asks(|s| matches!(s, Step::MaskThread)) {
        format!(
            "{} {}, masked while the films are brought on, oiled afterwards.",
            work.thread, work.tolerance
        )
    } else {
        format!(
            "{} {} before finishing; GO gauge {} {} after it.",
            work.thread,
            work.tolerance,
            work.thread,
            work.finished_go_gauge()
        )
    };
    w.clause(Subject::Thread, text, source);
    if !work.given {
        w.open(Subject::Thread, "thread tolerance, not named", work.tolerance.to_string(), NOT_NAMED);
    }
}

fn looks(job: &Job, w: &mut Writer) {
    let (text, source) = appearance(job);
    w.clause(Subject::Appearance, text, source);
    match (job.brief.wants.gloss, open_gloss(job)) {
        (Some(gloss), _) => w.clause(Subject::Appearance, format!("Gloss: {gloss}."), NAMED),
        (None, Some(film)) => w.open(
            Subject::Appearance,
            "gloss, not agreed",
            film.gloss.word(),
            job.catalog.source(&film.gloss_source),
        ),
        (None, None) => {}
    }
    if job.is_painted() {
        w.open(
            Subject::Appearance,
            "panel for colour and gloss, not agreed",
            "to be made before the lot",
            PANEL,
        );
    } else if job.treatment().black {
        w.open(
            Subject::Appearance,
            "limit samples of the shade, not agreed",
            "lightest and darkest from the trial or first load",
            SAMPLES,
        );
    }
}

/// The outermost film, where its gloss is to be ordered and the inquiry names none.
fn open_gloss<'a>(job: &Job<'a>) -> Option<&'a Film> {
    let (_, film) = job.films().last()?;
    (job.brief.wants.gloss.is_none() && film.gloss_to_order).then_some(*film)
}

fn tests(plan: &AcceptancePlan, w: &mut Writer) {
    let list = |wanted: bool| -> Vec<&str> {
        plan.characteristics
            .iter()
            .filter(|c| c.sample.is_some() && c.only_if_ordered == wanted)
            .map(|c| c.name.as_str())
            .collect()
    };
    w.clause(
        Subject::Tests,
        format!("As the acceptance plan: {}.", list(false).join(", ")),
        Source::derived("tests that suit treatment and films of this build, see the acceptance plan"),
    );
    let optional = list(true);
    if !optional.is_empty() {
        w.open(
            Subject::Tests,
            format!("whether to order: {}", optional.join(", ")),
            "not ordered",
            NOT_NAMED,
        );
    }
    match plan.salt_spray.hours {
        Some(hours) => w.open(
            Subject::Tests,
            "hours of salt spray, not agreed",
            format!("{hours:.0} h to first red rust, which at least nine in ten such finishes bear"),
            TEST_HOURS.clone(),
        ),
        None => {
            w.clause(
                Subject::Tests,
                plan.salt_spray.remark.text.clone(),
                plan.salt_spray.remark.source.clone(),
            );
        }
    }
}

fn sampling(plan: &AcceptancePlan, w: &mut Writer) {
    let Some(sample) = plan.sample(SampleName::Attributes) else { return };
    let p = &sample.plan;
    let by = match (p.level, p.aql_pct) {
        (Some(level), Some(aql)) => format!("ISO 2859-1 level {level}, AQL {} %: ", number(aql, 2)),
        _ => String::new(),
    };
    w.open(
        Subject::Acceptance,
        "AQL and inspection level, not agreed",
        format!("{by}{}, accepted with {} defective", pieces(p.sample_size), up_to(p.accept)),
        PROPOSED_AQL,
    );
    for sample in plan.plans.iter().filter(|sample| sample.name != SampleName::Attributes) {
        w.open(
            Subject::Acceptance,
            format!("pieces for the {} tests, not agreed", sample.name.word()),
            format!("{}, no failure", pieces(sample.plan.sample_size)),
            sample.choice.clone(),
        );
    }
    w.clause(Subject::Acceptance, plan.lot.text.clone(), plan.lot.source.clone());
}

fn assembly(job: &Job, w: &mut Writer) {
    let findings = job.asking(|step| matches!(step, Step::NewTorque | Step::Isolate));
    for finding in &findings {
        if let Some(remedy) = &finding.remedy {
            w.clause(Subject::Assembly, remedy.clone(), finding.source.clone());
        }
    }
    if job.asks(|step| matches!(step, Step::NewTorque)) {
        w.open(Subject::Assembly, "tightening torque on the real joint", "the computed one above", JOINT);
    } else if findings.is_empty() {
        w.clause(Subject::Assembly, "Nothing beyond the usual.", BUILD);
    }
}

fn shipping(job: &Job, w: &mut Writer) {
    let wet = job.films().last().is_some_and(|(_, film)| !film.kind.can_be_coated());
    let taken = if wet {
        "in closed bags or lined boxes, dry, away from bare cardboard"
    } else if job.films().is_empty() {
        "dry, in rust-preventive paper or bags"
    } else {
        "hardened, dry, kept from rubbing against each other"
    };
    w.open(Subject::Packing, "packing, not agreed", taken, if wet { SHIPPING } else { NOT_NAMED });
    w.open(
        Subject::Certificate,
        "certificate, not agreed",
        "certificate of conformity with lot card and test results",
        CERTIFICATE,
    );
}

fn drawing_note(job: &Job, plan: &AcceptancePlan) -> String {
    let treatment = job.treatment();
    let mut layers = Vec::new();
    if job.is_treated() {
        match treatment.specifications.first() {
            Some(specification) => layers.push(format!("{} to {specification}", treatment.name)),
            None => layers.push(treatment.name.clone()),
        }
    }
    layers.extend(
        job.films().iter().map(|(_, film)| format!("{} ({})", film.name, job.thickness(&film.thickness_um))),
    );
    let finish = if layers.is_empty() { "none".to_owned() } else { layers.join(", then ") };
    let mut note = vec![format!("Base metal: {}.", job.resolved.metal.name), format!("Finish: {finish}.")];
    if job.no_acid {
        note.push("No acid at any step.".to_owned());
    }
    for finding in job.asking(|step| matches!(step, Step::BakeHours(_))) {
        if let Some(Step::BakeHours(hours)) = finding.step {
            note.push(format!("Bake {hours:.0} h after acid, before oil, wax or paint."));
        }
    }
    if let Some(work) = &job.thread {
        note.push(format!("Thread before finishing: {} {}.", work.thread, work.tolerance));
    }
    let look = match (job.is_painted(), job.treatment().black) {
        (true, _) => "as panel",
        (false, true) => "even black, as limit samples",
        (false, false) => "as sample",
    };
    let gloss = match (job.brief.wants.gloss, open_gloss(job)) {
        (Some(gloss), _) => format!(", {gloss}"),
        (None, Some(film)) => format!(", {} (open)", film.gloss.word()),
        (None, None) => String::new(),
    };
    note.push(format!("Appearance: {look}{gloss}."));
    if let Some(hours) = plan.salt_spray.hours {
        note.push(format!("ISO 9227 NSS: {hours:.0} h to first red rust (open)."));
    }
    note.join(" ")
}

/// An acceptance number in words.
pub(super) fn up_to(accept: u32) -> String {
    if accept == 0 { "none".to_owned() } else { format!("up to {accept}") }
}

pub(super) fn pieces(count: u32) -> String {
    if count == 1 { "1 piece".to_owned() } else { format!("{count} pieces") }
}

/// The text with a capital first letter.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
