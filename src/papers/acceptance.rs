//! The acceptance plan: what is tested when and on how many pieces, by how grave a nonconforming piece is, and what such
//! a plan can and cannot detect.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::brief::written::pieces;
use crate::evidence::Source;
use crate::finish::process::{BearsOn, DefectClass, Moment, ProcessTest, SampleRule};
use crate::papers::Statement;
use crate::papers::job::Job;
use crate::papers::rework::{OffShade, off_shade};
use crate::papers::salt_spray::{SaltSpray, TEST_HOURS};
use crate::papers::sampling::{
    InspectionLevel, OperatingPoint, Plan, Risks, SWITCHING_RULES, SwitchingRules, operating_characteristic,
    plan, risks, zero_acceptance_plan,
};

/// AQL proposed for major characteristics, % nonconforming.
pub(super) const MAJOR_AQL_PCT: f64 = 1.0;
/// AQL proposed for minor characteristics, % nonconforming.
pub(super) const MINOR_AQL_PCT: f64 = 1.5;
const PROPOSED_AQL: Source = Source::assumption(
    "general inspection level II, AQL 1.0 for major and 1.5 for minor characteristics, proposed until the parties \
     agree; ISO 3269 has the purchaser's procedure for fasteners where nothing is agreed",
);
const SPOT_PIECES: u32 = 8;
const SPOT_CHOICE: Source = Source::assumption(
    "8 pieces, accept on 0, at most a fifth of the lot: proposed, since MIL-DTL-13924D leaves the number to the \
     purchaser",
);
/// Words of a test that is done on panels and not on pieces of the lot.
const ON_PANELS: &str = "panels of the";
const CABINET_PIECES: u32 = 3;
const CABINET_CHOICE: Source = Source::assumption(
    "3 pieces, accept on 0, at most a tenth of the lot: proposed, the pieces are destroyed",
);
const FRICTION_PIECES: u32 = 10;
const FRICTION_CHOICE: Source = Source::from_memory(
    "ISO 16047: 10 to 12 pieces of a lot are usual, each within the window; the number is agreed",
);
const EMBRITTLEMENT_PIECES: u32 = 8;
const EMBRITTLEMENT_CHOICE: Source =
    Source::from_memory("preloading test on 5 to 8 pieces or more, no fracture; the number is agreed");
const ZERO_ACCEPTANCE: Source = Source::assumption(
    "acceptance on no failure, applied from MIL-DTL-13924D:1999, 4.3, to a test outside it",
);
const LOT: Source = Source::standard("MIL-DTL-13924D:1999, 4.2.1");
const LOT_OUTSIDE: Source =
    Source::assumption("lot of MIL-DTL-13924D:1999, 4.2.1, applied to a finish outside it");
/// Hours in the cabinet from which the parties agree whether a lot waits for the result (assumption: a week).
pub(super) const LONG_TEST_H: f64 = 168.0;
const CABINET: Source = Source::standard("ISO 9227:2017, neutral salt spray; first red rust");

/// The acceptance plan.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// use overcoat::papers::SampleRule;
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// let sample = papers.acceptance.sample(SampleRule::Minor).unwrap();
/// assert_eq!((sample.plan.sample_size, sample.plan.accept), (80, 3)); // 1000 pieces, level II, AQL 1.5
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
    /// What is tested, critical characteristics first, then in order of work.
    pub characteristics: Vec<Characteristic>,
    /// Usual tests that this finish does not need, and why.
    pub not_tested: Vec<Statement>,
    /// Samples, by rule.
    pub plans: Vec<SamplePlan>,
    /// The salt-spray test.
    pub salt_spray: SaltSpray,
    /// When normal inspection ends, and the way back.
    pub switching_rules: SwitchingRules,
    /// What to do with off-shade lots.
    pub off_shade: OffShade,
}

/// One thing that is tested.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Characteristic {
    /// What.
    pub name: String,
    /// How grave a nonconforming piece is.
    pub class: DefectClass,
    /// When.
    pub moment: Moment,
    /// How, where on the part, and what is accepted.
    pub test: String,
    /// Standard of the method, or what is agreed in its place.
    pub standard: String,
    /// On how many pieces.
    pub sample: SampleRule,
    /// Whether the tested pieces are destroyed.
    pub destructive: bool,
    /// Whether it is done only where the order calls for it.
    pub only_if_ordered: bool,
    /// Choice of the order that sets its limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Panels that it is done on in place of pieces of the lot; none of most tests.
    #[serde(default)]
    pub panels: Option<u32>,
    /// Where the test comes from.
    pub source: Source,
}

/// A sample with what it can and cannot detect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SamplePlan {
    /// What it is drawn for.
    pub name: SampleRule,
    /// Sample size and acceptance number.
    pub plan: Plan,
    /// Why this plan was chosen.
    pub choice: Source,
    /// Producer's and consumer's risk.
    pub risks: Risks,
    /// Probability of acceptance against the true fraction nonconforming.
    pub operating_characteristic: Vec<OperatingPoint>,
}

impl AcceptancePlan {
    /// The sample of a rule, where the plan has one.
    pub fn sample(&self, rule: SampleRule) -> Option<&SamplePlan> {
        self.plans.iter().find(|sample| sample.name == rule)
    }

    /// Names of the characteristics that are due, or of those that the order can add; each once.
    pub fn names(&self, optional: bool) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for c in self.characteristics.iter().filter(|c| c.only_if_ordered == optional) {
            if !names.contains(&c.name.as_str()) {
                names.push(&c.name);
            }
        }
        names
    }
}

pub(super) fn acceptance(job: &mut Job, salt_spray: SaltSpray) -> Result<AcceptancePlan> {
    let mut characteristics = Vec::new();
    for document in job.documents() {
        job.know_film(&document);
        for test in &document.process.tests {
            if !job.templates.holds(test.when.as_deref())? {
                continue;
            }
            // Safety-critical: what can be inspected on every piece is, and the lot is accepted on 0 alone.
            let safety = job.brief.part.safety_critical && test.class != DefectClass::Minor;
            let every = safety && !test.destructive && test.sample == SampleRule::Major;
            let text = job.templates.text(&test.test)?;
            let found = Characteristic {
                name: test.name.clone(),
                class: if every { DefectClass::Critical } else { test.class },
                moment: test.moment,
                panels: panels_of(test, &text),
                test: text,
                standard: job.templates.text(&test.standard)?,
                sample: if every { SampleRule::All } else { test.sample },
                destructive: test.destructive,
                only_if_ordered: test.only_if_ordered,
                bears_on: test.bears_on,
                source: job.source(&test.source),
            };
            let same = |c: &Characteristic| c.name == found.name && c.test == found.test;
            if !characteristics.iter().any(same) {
                characteristics.push(found);
            }
        }
    }
    let mut not_tested = Vec::new();
    match salt_spray.hours {
        Some(_) => characteristics.push(Characteristic {
            name: "salt spray".to_owned(),
            class: DefectClass::Major,
            moment: Moment::Finished,
            test: format!(
                "Unscribed pieces, {}: {}. {}.",
                job.named_text("rest")?,
                job.named_text("salt_spray_red")?,
                job.named_text("salt_spray_surfaces")?
            ),
            standard: job.named_text("salt_spray_method")?,
            sample: SampleRule::Cabinet,
            destructive: true,
            only_if_ordered: false,
            bears_on: Some(BearsOn::SaltSpray),
            panels: None,
            source: CABINET,
        }),
        None => not_tested.push(salt_spray.remark.clone()),
    }
    characteristics.sort_by_key(|c| (c.class, c.moment));
    let used = |rule: &SampleRule| characteristics.iter().any(|c| c.sample == *rule);
    let plans = SampleRule::ALL
        .iter()
        .filter(|rule| used(rule))
        .filter_map(|rule| sample(job, *rule).transpose())
        .collect::<Result<_>>()?;
    let in_standard = job.treatment().class.is_some();
    Ok(AcceptancePlan {
        lot_pieces: job.lot_pieces,
        lot_assumed: job.brief.part.lot_pieces.is_none(),
        lot: Statement::new(job.named_text("lot")?, if in_standard { LOT } else { LOT_OUTSIDE }),
        characteristics,
        not_tested,
        plans,
        salt_spray,
        switching_rules: SWITCHING_RULES.clone(),
        off_shade: off_shade(job)?,
    })
}

/// Panels of a test whose text, as it is filled in, is about panels.
pub(super) fn panels_of(test: &ProcessTest, filled_in: &str) -> Option<u32> {
    filled_in.contains(ON_PANELS).then(|| test.panels.unwrap_or(CABINET_PIECES))
}

/// Sample size and acceptance number of a rule, and why that plan; none where every piece or the lot as a whole is examined.
fn plan_of(job: &Job, rule: SampleRule) -> Result<Option<(Plan, Source)>> {
    let lot = job.lot_pieces;
    let in_standard = job.treatment().class.is_some();
    let zero = |most: u32, least_lot: u32, standard: bool| -> Result<Plan> {
        let mut plan = zero_acceptance_plan(lot, most.min((lot / least_lot).max(1)))?;
        if !standard {
            plan.source = ZERO_ACCEPTANCE;
        }
        Ok(plan)
    };
    let by_attributes = |aql_pct: f64| -> Result<Plan> {
        // The tables begin at two pieces.
        if lot < 2 { zero(1, 1, false) } else { plan(lot, InspectionLevel::default(), aql_pct) }
    };
    Ok(Some(match rule {
        SampleRule::Whole | SampleRule::All => return Ok(None),
        SampleRule::Major => (by_attributes(MAJOR_AQL_PCT)?, PROPOSED_AQL),
        SampleRule::Minor => (by_attributes(MINOR_AQL_PCT)?, PROPOSED_AQL),
        SampleRule::Spot => (zero(SPOT_PIECES, 5, in_standard)?, SPOT_CHOICE),
        SampleRule::Cabinet => (zero(CABINET_PIECES, 10, false)?, CABINET_CHOICE),
        SampleRule::Friction => (zero(FRICTION_PIECES, 10, false)?, FRICTION_CHOICE),
        SampleRule::Embrittlement => (zero(EMBRITTLEMENT_PIECES, 10, false)?, EMBRITTLEMENT_CHOICE),
    }))
}

/// Pieces of a rule in words, for the step that takes them.
pub(super) fn pieces_of(job: &Job, rule: SampleRule) -> Result<String> {
    Ok(match plan_of(job, rule)? {
        Some((plan, _)) if !plan.inspect_all => pieces(plan.sample_size.into()),
        _ => SampleRule::All.words().to_owned(),
    })
}

/// A sample of the lot with its risks; none where every piece or the lot as a whole is examined.
fn sample(job: &Job, rule: SampleRule) -> Result<Option<SamplePlan>> {
    let Some((plan, choice)) = plan_of(job, rule)? else { return Ok(None) };
    Ok(Some(SamplePlan {
        name: rule,
        risks: risks(&plan)?,
        operating_characteristic: operating_characteristic(&plan, job.lot_pieces)?,
        plan,
        choice,
    }))
}

impl AcceptancePlan {
    /// Adds every source of the plan, in reading order.
    pub(super) fn name_sources<'a>(&'a self, all: &mut Vec<&'a Source>) {
        all.push(&self.lot.source);
        all.extend(self.characteristics.iter().map(|c| &c.source));
        all.extend(self.not_tested.iter().map(|said| &said.source));
        all.push(&self.salt_spray.remark.source);
        all.extend(&self.salt_spray.standard);
        all.push(&TEST_HOURS);
        for sample in &self.plans {
            all.extend([&sample.plan.source, &sample.choice, &sample.risks.source]);
        }
        all.extend([&self.switching_rules.source, &self.switching_rules.return_source]);
        let off = &self.off_shade;
        all.extend([&off.accept.source, &off.sort.source, &off.reprocess.source]);
        all.extend(off.second_pass.iter().flat_map(|pass| &pass.lines).map(|line| &line.source));
    }
}
