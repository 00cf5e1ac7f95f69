//! The acceptance plan: what is tested when, on how many pieces, and what such a plan can and cannot see.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::check::Step;
use crate::fastener::coating_room;
use crate::fastener::embrittlement::BAKE_SOURCE;
use crate::metal::Family;
use crate::papers::Statement;
use crate::papers::job::Job;
use crate::papers::off_shade::{OffShade, off_shade};
use crate::papers::salt_spray::{SaltSpray, TEST_HOURS, salt_spray};
use crate::papers::sampling::{
    InspectionLevel, OperatingPoint, Plan, Risks, SWITCHING_RULES, SwitchingRules, operating_characteristic,
    plan, risks, zero_acceptance_plan,
};
use crate::source::Source;

/// AQL taken where none is agreed, % defective.
pub(super) const PROPOSED_AQL_PCT: f64 = 1.5;
/// Source of it.
pub(super) const PROPOSED_AQL: Source = Source::assumption(
    "level II and AQL 1.5 % for appearance and threads, proposed until the parties agree; ISO 3269 gives the \
     purchaser's procedure for fasteners where nothing is agreed",
);
const SPOT_PIECES: u32 = 8;
const SPOT_CHOICE: Source = Source::assumption(
    "8 pieces with no failure, at most a fiftieth of the lot: proposed, since MIL-DTL-13924D leaves the number to \
     the purchaser",
);
const CABINET_PIECES: u32 = 3;
const CABINET_CHOICE: Source = Source::assumption(
    "3 pieces with no failure, at most a hundredth of the lot: proposed, the pieces are lost",
);
const ZERO_ACCEPTANCE: Source = Source::assumption(
    "acceptance on no failure, taken over from MIL-DTL-13924D:1999, 4.3, for a test outside it",
);
const LOT: Source = Source::standard("MIL-DTL-13924D:1999, 4.2.1");
const LOT_OUTSIDE: Source =
    Source::assumption("lot of MIL-DTL-13924D:1999, 4.2.1, taken over for a finish outside it");
const SMUT: Source = Source::standard("MIL-DTL-13924D:1999, 4.4.1");
const RUB: Source =
    Source::assumption("white cloth of MIL-DTL-13924D:1999, 4.4.1, taken over; no standard limit");
const SURFACE_ATTACK: Source = Source::standard("MIL-DTL-13924D:1999, 4.3.1");
const OXALIC_APPLIES: Source = Source::standard("MIL-DTL-13924D:1999, 4.4.2: classes 1, 2 and 3 only");
const OXALIC: Source = Source::from_memory(
    "MIL-DTL-13924D, 4.4.2: drop of 5 % oxalic acid, read after 30 s and 8 min (its use on classes 1 to 3 was read)",
);
const COPPER: Source = Source::from_memory("copper-sulfate spot test for bare steel under an oxide");
const APPEARANCE: Source = Source::common_practice(
    "automaker and trade specifications for blackened parts: even black, full cover, no red-brown or green",
);
const PAINT_LOOK: Source =
    Source::common_practice("paint is compared with an agreed panel for colour and gloss");
const WATER_BREAK: Source = Source::from_memory("water-break test of cleaned metal, ASTM F22");
const THICKNESS: Source = Source::from_memory("magnetic gauge ISO 2178, eddy current ISO 2360");
const ADHESION: Source = Source::from_memory("cross-cut, ISO 2409");
const CABINET: Source = Source::standard("ISO 9227:2017, neutral salt spray; first red rust");
const GAUGE_BEFORE: Source =
    Source::common_practice("threads are gauged before finishing with the ordered tolerance");
const GAUGE_AFTER: Source = Source::from_memory(
    "ISO 965-1 and ISO 4042: the coated thread must not pass the basic profile, position h outside and H inside",
);
const GAUGE_AFTER_INCH: Source = Source::common_practice(
    "a coated class 2A thread may use up its allowance to the basic size, which is class 3A",
);
const FRICTION: Source = Source::from_memory("ISO 16047, torque against clamp force");
const PRELOADING: Source = Source::from_memory("ISO 15330, preloading test for hydrogen embrittlement");
const TORQUE_OF_INSERT: Source = Source::from_memory("ISO 2320, prevailing torque of locknuts");
const LOT_CARD: Source = Source::common_practice("temperatures and times are kept on the lot card");

/// The acceptance plan.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// use overcoat::papers::SampleName;
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// let sample = papers.acceptance.sample(SampleName::Attributes).unwrap();
/// assert_eq!((sample.plan.sample_size, sample.plan.accept), (80, 3)); // 1000 pieces, level II, AQL 1.5 %
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct AcceptancePlan {
    /// Pieces in the lot.
    pub lot_pieces: u32,
    /// Whether that number was assumed.
    pub lot_assumed: bool,
    /// What makes a lot.
    pub lot: Statement,
    /// What is tested, in order of work.
    pub characteristics: Vec<Characteristic>,
    /// Usual tests that this finish is not put to, and why.
    pub not_tested: Vec<Statement>,
    /// Samples, by name.
    pub plans: Vec<SamplePlan>,
    /// The salt-spray test.
    pub salt_spray: SaltSpray,
    /// When normal inspection ends.
    pub switching_rules: SwitchingRules,
    /// What to do with off-shade lots.
    pub off_shade: OffShade,
}

/// When a characteristic is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Moment {
    /// On arrival at the finisher.
    Incoming,
    /// At each load.
    EachLoad,
    /// After blackening, before oil, wax or paint.
    BeforeSupplementaryFinish,
    /// On the finished parts.
    Finished,
}

impl Moment {
    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Incoming => "on arrival",
            Self::EachLoad => "each load",
            Self::BeforeSupplementaryFinish => "before the supplementary finish",
            Self::Finished => "on finished parts",
        }
    }
}

/// Which sample a characteristic is tested on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SampleName {
    /// Appearance and threads, by attributes.
    Attributes,
    /// Small tests that mark the parts.
    Spot,
    /// Tests that use the parts up.
    Cabinet,
}

impl SampleName {
    /// The word users read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Attributes => "attributes",
            Self::Spot => "spot",
            Self::Cabinet => "cabinet",
        }
    }
}

/// One thing that is tested.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Characteristic {
    /// What.
    pub name: String,
    /// When.
    pub moment: Moment,
    /// How, and what counts as passed.
    pub test: String,
    /// The sample, by name; none where every load or the lot as a whole is looked at.
    pub sample: Option<SampleName>,
    /// Whether the tested pieces are lost.
    pub destructive: bool,
    /// Whether it is done only where the order asks for it.
    pub only_if_ordered: bool,
    /// Where the test comes from.
    pub source: Source,
}

/// A sample with what it can and cannot see.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SamplePlan {
    /// Its name.
    pub name: SampleName,
    /// Sample size and acceptance number.
    pub plan: Plan,
    /// Why this plan was chosen.
    pub choice: Source,
    /// Producer's and consumer's risk.
    pub risks: Risks,
    /// Probability of acceptance against the true fraction defective.
    pub operating_characteristic: Vec<OperatingPoint>,
}

impl AcceptancePlan {
    /// The sample of a name, where the plan has it.
    pub fn sample(&self, name: SampleName) -> Option<&SamplePlan> {
        self.plans.iter().find(|sample| sample.name == name)
    }
}

pub(super) fn acceptance(job: &Job) -> Result<AcceptancePlan> {
    let salt_spray = salt_spray(job.resolved, job.catalog);
    let mut characteristics = Vec::new();
    let mut not_tested = Vec::new();
    incoming(job, &mut characteristics)?;
    loads(job, &mut characteristics);
    black(job, &mut characteristics, &mut not_tested);
    finished(job, &salt_spray, &mut characteristics, &mut not_tested);
    let used = |name| characteristics.iter().any(|c| c.sample == Some(name));
    let names = [SampleName::Attributes, SampleName::Spot, SampleName::Cabinet];
    let plans =
        names.into_iter().filter(|name| used(*name)).map(|name| sample(job, name)).collect::<Result<_>>()?;
    Ok(AcceptancePlan {
        lot_pieces: job.lot_pieces,
        lot_assumed: job.brief.part.lot_pieces.is_none(),
        lot: Statement::new(
            "One lot is: same finish, same base metal, like size, shape and condition, from at most 8 h of continuous \
             work.",
            if job.treatment().class.is_some() { LOT } else { LOT_OUTSIDE },
        ),
        characteristics,
        not_tested,
        plans,
        salt_spray,
        switching_rules: SWITCHING_RULES.clone(),
        off_shade: off_shade(job),
    })
}

fn characteristic(name: &str, moment: Moment, test: impl Into<String>, source: Source) -> Characteristic {
    Characteristic {
        name: name.to_owned(),
        moment,
        test: test.into(),
        sample: None,
        destructive: false,
        only_if_ordered: false,
        source,
    }
}

impl Characteristic {
    fn on(mut self, sample: SampleName) -> Self {
        self.sample = Some(sample);
        self
    }

    fn destructive(mut self) -> Self {
        self.destructive = true;
        self
    }

    fn only_if_ordered(mut self) -> Self {
        self.only_if_ordered = true;
        self
    }
}

fn incoming(job: &Job, list: &mut Vec<Characteristic>) -> Result<()> {
    list.push(characteristic(
        "base metal and condition",
        Moment::Incoming,
        "Grade, hardness and count by the delivery papers; surface as the order says.",
        LOT_CARD,
    ));
    if let Some(work) = &job.thread {
        let room = coating_room(&work.thread, &work.tolerance, job.brief.part.length_mm)
            .map_err(|e| e.within("part"))?;
        let room_um = room.max_local_thickness_um;
        list.push(
            characteristic(
                "thread before finishing",
                Moment::Incoming,
                format!(
                    "GO and NOT GO gauges {} {}; room for a film of {} on the flanks.",
                    work.thread,
                    work.tolerance,
                    job.units.thickness(room_um, room_um)
                ),
                GAUGE_BEFORE,
            )
            .on(SampleName::Attributes),
        );
    }
    Ok(())
}

fn loads(job: &Job, list: &mut Vec<Characteristic>) {
    list.push(characteristic(
        "cleanness",
        Moment::EachLoad,
        "Water-break: one unbroken film of water on some pieces of the load.",
        WATER_BREAK,
    ));
    if job.is_treated() {
        list.push(characteristic(
            "bath",
            Moment::EachLoad,
            "Temperature and time within the route, on the lot card.",
            LOT_CARD,
        ));
    }
    if job.asks(|step| matches!(step, Step::BakeHours(_))) {
        list.push(characteristic(
            "bake",
            Moment::EachLoad,
            "Oven chart: start, temperature and hours within the route.",
            BAKE_SOURCE,
        ));
    }
}

fn black(job: &Job, list: &mut Vec<Characteristic>, not_tested: &mut Vec<Statement>) {
    if !job.is_treated() {
        return;
    }
    let before = Moment::BeforeSupplementaryFinish;
    let class = job.treatment().class;
    let (smut, source) = if class.is_some() {
        ("White cloth under strong light: a slight smut is accepted, loose black is not.", SMUT)
    } else {
        ("White cloth under strong light: agree on a sample how much black may come off.", RUB)
    };
    list.push(characteristic("smut", before, smut, source).on(SampleName::Spot));
    if class.is_some() {
        list.push(
            characteristic(
                "attack of the surface",
                before,
                "No pits and no attack of grain boundaries at up to 10 times magnification.",
                SURFACE_ATTACK,
            )
            .on(SampleName::Spot),
        );
    }
    match class {
        Some(1..=3) => list.push(
            characteristic(
                "oxalic acid spot",
                before,
                "A drop of 5 % oxalic acid, looked at after 30 s and rinsed off after 8 min: the spot stays dark and \
                 shows no bright metal.",
                OXALIC,
            )
            .on(SampleName::Spot)
            .destructive(),
        ),
        Some(_) => not_tested.push(Statement::new(
            "No oxalic acid spot test: the standard has it for classes 1, 2 and 3 only.",
            OXALIC_APPLIES,
        )),
        None => not_tested.push(Statement::new(
            "No oxalic acid spot test: this black is no oxide of the steel.",
            OXALIC_APPLIES,
        )),
    }
    if class == Some(1) {
        list.push(
            characteristic(
                "copper-sulfate spot",
                before,
                "A drop of copper sulfate solution: no copper-coloured speck, which would be bare steel.",
                COPPER,
            )
            .on(SampleName::Spot)
            .destructive()
            .only_if_ordered(),
        );
    }
}

fn finished(
    job: &Job,
    salt_spray: &SaltSpray,
    list: &mut Vec<Characteristic>,
    not_tested: &mut Vec<Statement>,
) {
    let finished = Moment::Finished;
    let (look, source) = appearance(job);
    list.push(characteristic("appearance", finished, look, source).on(SampleName::Attributes));
    film_tests(job, list);
    thread_after(job, list);
    match salt_spray.hours {
        Some(hours) => list.push(
            characteristic(
                "salt spray",
                finished,
                format!("Neutral salt spray, {hours:.0} h: no red rust on significant surfaces."),
                CABINET,
            )
            .on(SampleName::Cabinet)
            .destructive(),
        ),
        None => not_tested.push(salt_spray.remark.clone()),
    }
    if job.asks(|step| matches!(step, Step::BakeHours(_))) {
        list.push(
            characteristic(
                "hydrogen embrittlement",
                finished,
                "Preloading test: no break while held tightened; where the process is not verified by tests.",
                PRELOADING,
            )
            .on(SampleName::Cabinet)
            .destructive()
            .only_if_ordered(),
        );
    }
    if job.asks(|step| matches!(step, Step::InsertAfterwards)) {
        list.push(
            characteristic(
                "polymer insert",
                finished,
                "Seated all round and whole; prevailing torque within the standard of the nut.",
                TORQUE_OF_INSERT,
            )
            .on(SampleName::Spot),
        );
    }
    if job.option.findings.iter().any(|f| f.rule.starts_with("torque.")) {
        list.push(
            characteristic(
                "friction",
                finished,
                "Torque against clamp force: friction within the range of the order.",
                FRICTION,
            )
            .on(SampleName::Spot)
            .destructive()
            .only_if_ordered(),
        );
    }
}

/// How the finished part shall look.
pub(super) fn appearance(job: &Job) -> (String, Source) {
    if job.is_painted() {
        (
            "Colour and gloss as the agreed panel; closed film, no runs, blisters, bare edges or dirt on significant \
             surfaces."
                .to_owned(),
            PAINT_LOOK,
        )
    } else if job.is_treated() {
        (
            "Even black between the limit samples, all surfaces covered, no red-brown or green on significant \
             surfaces. Marks of making and of heat treatment may show through."
                .to_owned(),
            APPEARANCE,
        )
    } else {
        ("As the agreed sample; no rust.".to_owned(), PAINT_LOOK)
    }
}

fn film_tests(job: &Job, list: &mut Vec<Characteristic>) {
    let mut total_um = (0.0, 0.0);
    let mut painted = Vec::new();
    for (_, film) in job.films().iter().filter(|(_, film)| film.fills_threads) {
        painted.push(format!("{} {}", film.name, job.thickness(&film.thickness_um)));
        total_um = (total_um.0 + film.thickness_um.low, total_um.1 + film.thickness_um.high);
    }
    if painted.is_empty() {
        return;
    }
    let gauge = match job.resolved.metal.family {
        Family::Austenitic | Family::CopperAlloy | Family::Aluminium | Family::Titanium | Family::Zinc => {
            "Eddy-current gauge"
        }
        _ => "Magnetic gauge",
    };
    let all = match (painted.as_slice(), total_um) {
        ([_, _, ..], (low, high)) => format!(
            "{}, each before the next goes on; all together {}",
            painted.join("; "),
            job.units.thickness(low, high)
        ),
        _ => painted.join("; "),
    };
    list.push(
        characteristic(
            "film thickness",
            Moment::Finished,
            format!("{gauge}, on flats away from edges: {all}."),
            THICKNESS,
        )
        .on(SampleName::Spot),
    );
    list.push(
        characteristic("adhesion", Moment::Finished, "Cross-cut on flats: rating as agreed.", ADHESION)
            .on(SampleName::Cabinet)
            .destructive()
            .only_if_ordered(),
    );
}

fn thread_after(job: &Job, list: &mut Vec<Characteristic>) {
    let Some(work) = &job.thread else { return };
    let masked = job.asks(|step| matches!(step, Step::MaskThread));
    let inch = matches!(work.thread, crate::fastener::Thread::Inch(_));
    let test = if masked {
        format!("Masked threads: GO gauge {} {}, no film inside.", work.thread, work.tolerance)
    } else {
        format!(
            "GO gauge {} {} (basic size) must run on by hand over the whole thread.",
            work.thread,
            work.finished_go_gauge()
        )
    };
    list.push(
        characteristic(
            "thread after finishing",
            Moment::Finished,
            test,
            if inch { GAUGE_AFTER_INCH } else { GAUGE_AFTER },
        )
        .on(SampleName::Attributes),
    );
}

/// A sample of the lot with its risks.
fn sample(job: &Job, name: SampleName) -> Result<SamplePlan> {
    let lot = job.lot_pieces;
    let in_standard = job.treatment().class.is_some();
    let zero = |pieces: u32, least_lot: u32, standard: bool| -> Result<Plan> {
        let mut plan = zero_acceptance_plan(lot, pieces.min((lot / least_lot).max(1)))?;
        if !standard {
            plan.source = ZERO_ACCEPTANCE;
        }
        Ok(plan)
    };
    let (plan, choice) = match name {
        // The tables begin at two pieces.
        SampleName::Attributes if lot < 2 => (zero(1, 1, false)?, PROPOSED_AQL),
        SampleName::Attributes => (plan(lot, InspectionLevel::default(), PROPOSED_AQL_PCT)?, PROPOSED_AQL),
        SampleName::Spot => (zero(SPOT_PIECES, 50, in_standard)?, SPOT_CHOICE),
        SampleName::Cabinet => (zero(CABINET_PIECES, 100, false)?, CABINET_CHOICE),
    };
    Ok(SamplePlan {
        name,
        risks: risks(&plan)?,
        operating_characteristic: operating_characteristic(&plan, lot)?,
        plan,
        choice,
    })
}

impl AcceptancePlan {
    /// Adds every source of the plan, in reading order.
    pub(super) fn name_sources<'a>(&'a self, all: &mut Vec<&'a Source>) {
        all.push(&self.lot.source);
        all.extend(self.characteristics.iter().map(|c| &c.source));
        all.extend(self.not_tested.iter().map(|said| &said.source));
        all.push(&self.salt_spray.remark.source);
        all.push(&TEST_HOURS);
        for sample in &self.plans {
            all.extend([&sample.plan.source, &sample.choice, &sample.risks.source]);
        }
        all.push(&self.switching_rules.source);
        let off = &self.off_shade;
        all.extend([&off.accept.source, &off.sort.source, &off.reprocess.source]);
        all.extend(off.second_pass.lines.iter().map(|line| &line.source));
    }
}
