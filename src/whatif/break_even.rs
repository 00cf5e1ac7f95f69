//! Where one build overtakes another as an input of the duty moves.
//!
//! The difference of two builds is continuous but for steps: the class asked of stainless steel, a layer that the
//! heat takes, a finding that blocks or costs, a further replacement within the required years. The range is
//! therefore cut first at every step found between its samples; each piece is then searched for changes of sign,
//! for stretches without a difference, and for the least difference between samples, where two builds touch or
//! change places twice.

use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};

use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::Catalog;
use crate::error::invalid;
use crate::finish::Build;
use crate::outlook::required_class;
use crate::rank::{Lot, Question, RankedOption};
use crate::whatif::input::{Input, with_inputs};
use crate::whatif::measure::Measure;
use crate::whatif::root::{end_of, least, sign_change};

/// Pieces of a range that are looked at one by one. Two changes of the lead less than a piece apart are both
/// missed unless the difference dips between three samples.
const SAMPLES: u32 = 64;
/// Replacements up to which each further one is a step of its own; later ones move the cost by less than 2 %.
const REPLACEMENTS_APART: f64 = 64.0;
/// Steps that are told apart between two samples.
const STEPS_PER_PIECE: usize = 80;
/// Difference, relative to the larger value, below which builds that do not change places count as touching.
const TOUCH: f64 = 1e-9;
/// Share of the range below which a stretch without a difference counts as one place.
const ONE_PLACE: f64 = 1e-6;

/// Two builds of a brief, compared by one measure.
///
/// ```
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build};
/// use overcoat::whatif::{Contest, Input, Leader, Measure};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1",
///     "name": "brackets by the sea",
///     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
///     "duty": {"place": "coastal", "required_years": 1}
/// }"#)?;
/// let contest = Contest {
///     brief: &brief,
///     catalog: Catalog::built_in(),
///     first: &Build::new("steel_4_6", "hot_alkaline", ["hard_wax"]),
///     second: &Build::new("steel_4_6", "hot_alkaline", ["air_dry_paint"]),
///     measure: Measure::ProbabilityOk,
/// };
/// let found = contest.break_even(Input::Chloride, 0.0, 300.0)?;
/// assert_eq!(found.crossings.len() + 1, found.stretches.len());
/// println!("{}", found.verdict());
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy)]
pub struct Contest<'a> {
    /// The inquiry; what is not moved stays as it says.
    pub brief: &'a Brief,
    /// The catalog.
    pub catalog: &'a Catalog,
    /// One build.
    pub first: &'a Build,
    /// The other build.
    pub second: &'a Build,
    /// What is compared.
    pub measure: Measure,
}

/// Who leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Leader {
    /// The first build.
    First,
    /// The second build.
    Second,
    /// Neither: the two agree to 12 figures.
    Neither,
    /// Nobody: both builds are blocked.
    BothBlocked,
}

impl Leader {
    /// The word used in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::Second => "second",
            Self::Neither => "neither",
            Self::BothBlocked => "both_blocked",
        }
    }
}

/// How the lead changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CrossingKind {
    /// The values meet.
    Crossing,
    /// A value jumps, as where a class of stainless steel, a layer or a finding changes.
    Jump,
    /// The values meet and part again with the same leader.
    Touch,
    /// A stretch without a difference begins or ends.
    TieEnd,
}

impl CrossingKind {
    /// The word used in tables.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Crossing => "crossing",
            Self::Jump => "jump",
            Self::Touch => "touch",
            Self::TieEnd => "tie_end",
        }
    }
}

/// A place where the lead changes, or is touched.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where, in the unit of the input. At a jump the last place of the one side.
    pub at: f64,
    /// How.
    pub kind: CrossingKind,
    /// Who leads below it.
    pub below: Leader,
    /// Who leads above it.
    pub above: Leader,
    /// The measure of the first build there.
    pub first: f64,
    /// The measure of the second build there.
    pub second: f64,
}

/// A part of the range with one leader.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Who leads there.
    pub leader: Leader,
    /// Whether the first build is blocked at its middle.
    pub first_blocked: bool,
    /// Whether the second build is blocked at its middle.
    pub second_blocked: bool,
}

/// The break-even of two builds over a range.
#[derive(Debug, Clone, PartialEq)]
pub struct BreakEven {
    /// The first build.
    pub first: Build,
    /// The second build.
    pub second: Build,
    /// What is compared.
    pub measure: Measure,
    /// What moves.
    pub input: Input,
    /// Ends of the range.
    pub low: f64,
    /// Ends of the range.
    pub high: f64,
    /// Other inputs that were set.
    pub settings: Vec<(Input, f64)>,
    /// Where the lead changes or is touched, from low to high.
    pub crossings: Vec<Crossing>,
    /// Who leads where, from low to high; they cover the range.
    pub stretches: Vec<Stretch>,
}

impl BreakEven {
    /// The answer in one sentence per stretch.
    pub fn verdict(&self) -> String {
        let unit = self.input.unit();
        let line = |stretch: &Stretch| {
            let words = match stretch.leader {
                Leader::First => {
                    format!(
                        "{} leads{}",
                        self.first,
                        if stretch.second_blocked { ", the other is blocked" } else { "" }
                    )
                }
                Leader::Second => {
                    format!(
                        "{} leads{}",
                        self.second,
                        if stretch.first_blocked { ", the other is blocked" } else { "" }
                    )
                }
                Leader::Neither => "neither leads".to_owned(),
                Leader::BothBlocked => "both are blocked".to_owned(),
            };
            format!("{} from {:.4} to {:.4} {unit}: {words}", self.input.name(), stretch.low, stretch.high)
        };
        self.stretches.iter().map(line).collect::<Vec<_>>().join("\n")
    }
}

/// Both builds at one value of the input.
#[derive(Debug, Clone, Copy)]
struct Sample {
    at: f64,
    first: f64,
    second: f64,
    first_blocked: bool,
    second_blocked: bool,
    /// What may make a value jump: equal where it cannot.
    state: u64,
}

impl Sample {
    /// How far the first build leads; infinite where the other is blocked.
    fn lead(&self, measure: Measure) -> f64 {
        match (self.first_blocked, self.second_blocked) {
            (false, false) => measure.lead(self.first, self.second),
            (false, true) => f64::INFINITY,
            (true, false) => f64::NEG_INFINITY,
            (true, true) => 0.0,
        }
    }

    fn leader(&self, measure: Measure) -> Leader {
        let lead = self.lead(measure);
        if self.first_blocked && self.second_blocked {
            Leader::BothBlocked
        } else if lead > 0.0 {
            Leader::First
        } else if lead < 0.0 {
            Leader::Second
        } else {
            Leader::Neither
        }
    }

    fn crossing(&self, kind: CrossingKind, below: Leader, above: Leader) -> Crossing {
        Crossing { at: self.at, kind, below, above, first: self.first, second: self.second }
    }
}

impl Contest<'_> {
    /// Every place in `low..=high` where the lead changes as `input` moves, and who leads between.
    ///
    /// The difference is that of the [`Measure`] in the ranking of the brief with the input replaced; a blocked
    /// build never leads. Places are found to a few units in the last place; two changes less than a 64th of the
    /// range apart (of its logarithm, or of its cube root from 0 on, for an input that counts by ratios) may both
    /// be missed.
    ///
    /// # Errors
    /// Ends that are not finite or not in order; what [`rank`](crate::rank::rank()) refuses in the brief at any
    /// place of the range.
    pub fn break_even(&self, input: Input, low: f64, high: f64) -> Result<BreakEven> {
        self.break_even_at(&[], input, low, high)
    }

    /// As [`break_even`](Self::break_even), with other inputs set first: one point of a break-even line or
    /// surface.
    ///
    /// # Errors
    /// Those of [`break_even`](Self::break_even).
    pub fn break_even_at(
        &self,
        settings: &[(Input, f64)],
        input: Input,
        low: f64,
        high: f64,
    ) -> Result<BreakEven> {
        if !(low.is_finite() && high.is_finite() && low < high) {
            return Err(invalid(
                input.name(),
                format!("{low} to {high}"),
                "two finite numbers, the lower first",
                "Give the ends of the range in order.",
            ));
        }
        let brief = with_inputs(self.brief, settings)?;
        let search = Search { contest: self, brief, input };
        let (samples, touches) = search.dips(search.samples(low, high)?)?;
        let (crossings, stretches) = search.assemble(&samples, &touches, high - low)?;
        Ok(BreakEven {
            first: self.first.clone(),
            second: self.second.clone(),
            measure: self.measure,
            input,
            low,
            high,
            settings: settings.to_vec(),
            crossings,
            stretches,
        })
    }

    /// What a ranking says of both builds at a brief, and the class that is asked of stainless steel there.
    fn options(&self, brief: &Brief) -> Result<([RankedOption; 2], f64)> {
        let exposure = Exposure::of(brief, self.catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let question = Question::new(brief, &exposure, lot, self.catalog)?;
        let options = [question.option(self.first.clone())?, question.option(self.second.clone())?];
        Ok((options, required_class(&exposure)))
    }
}

/// A contest with the brief whose input moves.
struct Search<'a> {
    contest: &'a Contest<'a>,
    brief: Brief,
    input: Input,
}

impl Search<'_> {
    fn at(&self, value: f64) -> Result<Sample> {
        let brief = with_inputs(&self.brief, &[(self.input, value)])?;
        let ([first, second], class) = self.contest.options(&brief)?;
        let mut state = DefaultHasher::new();
        class.to_bits().hash(&mut state);
        hash_steps(&first, &mut state);
        hash_steps(&second, &mut state);
        let measure = self.contest.measure;
        Ok(Sample {
            at: value,
            first: measure.value(&first),
            second: measure.value(&second),
            first_blocked: first.blocked,
            second_blocked: second.blocked,
            state: state.finish(),
        })
    }

    /// Samples over the range, both sides of every step among them.
    fn samples(&self, low: f64, high: f64) -> Result<Vec<Sample>> {
        let mut samples: Vec<Sample> = Vec::new();
        for number in 0..=SAMPLES {
            let next = self.at(self.place(low, high, number))?;
            if let Some(&before) = samples.last() {
                let mut left = before;
                for _ in 0..STEPS_PER_PIECE {
                    if left.state == next.state {
                        break;
                    }
                    let state = left.state;
                    let (last, beyond) = end_of(
                        (left.at, left),
                        (next.at, next),
                        |value| self.at(value),
                        |sample| sample.state == state,
                    )?;
                    samples.extend([last.1, beyond.1]);
                    left = beyond.1;
                }
            }
            samples.push(next);
        }
        samples.dedup_by(|b, a| a.at == b.at);
        Ok(samples)
    }

    /// Place of a sample: even steps, of the logarithm for what counts by ratios, of the cube root from 0 on.
    fn place(&self, low: f64, high: f64, number: u32) -> f64 {
        let share = f64::from(number) / f64::from(SAMPLES);
        if number == 0 {
            low
        } else if number == SAMPLES {
            high
        } else if !self.input.counts_by_ratio() || low < 0.0 {
            low + share * (high - low)
        } else if low > 0.0 {
            low * (high / low).powf(share)
        } else {
            high * share.powi(3)
        }
    }

    /// Adds the least difference between three samples of one leader, where the difference dips; those that come
    /// to next to nothing without a change of the leader are touches.
    fn dips(&self, mut samples: Vec<Sample>) -> Result<(Vec<Sample>, Vec<Sample>)> {
        let measure = self.contest.measure;
        let mut found: Vec<Sample> = Vec::new();
        for triple in samples.windows(3) {
            let [a, b, c] = triple else { continue };
            let [before, here, after] = [a, b, c].map(|sample| sample.lead(measure));
            let side = here.signum();
            let one_piece = a.state == b.state && b.state == c.state;
            let one_leader = [before, here, after].iter().all(|lead| lead.is_finite() && lead * side > 0.0);
            if one_piece && one_leader && here.abs() <= before.abs() && here.abs() <= after.abs() {
                let (place, _) = least(a.at, c.at, |value| Ok(side * self.at(value)?.lead(measure)))?;
                found.push(self.at(place)?);
            }
        }
        let touches = found.iter().copied().filter(|sample| {
            let size = sample.first.abs().max(sample.second.abs());
            sample.lead(measure) != 0.0 && (sample.first - sample.second).abs() <= TOUCH * size
        });
        let touches = touches.collect();
        samples.extend(found);
        samples.sort_by(|a, b| a.at.total_cmp(&b.at));
        samples.dedup_by(|b, a| a.at == b.at);
        Ok((samples, touches))
    }

    /// The leaders along the samples, each from its first to its last place, and how each gives way to the next.
    fn runs(&self, samples: &[Sample]) -> Result<(Vec<Run>, Vec<Change>)> {
        let measure = self.contest.measure;
        let run = |low: f64, sample: &Sample| Run { low, high: sample.at, leader: sample.leader(measure) };
        let mut runs: Vec<Run> = samples.first().map(|sample| run(sample.at, sample)).into_iter().collect();
        let mut changes = Vec::new();
        for pair in samples.windows(2) {
            let ([a, b], Some(last)) = (pair, runs.last_mut()) else { continue };
            if b.leader(measure) == last.leader {
                last.high = b.at;
                continue;
            }
            let (end, beyond, kind) = self.change(*a, *b)?;
            last.high = end.at;
            runs.push(run(beyond.at, b));
            changes.push((kind, end));
        }
        Ok((runs, changes))
    }

    /// The last place with the leader of `a`, the first without it, and how the lead changes.
    fn change(&self, a: Sample, b: Sample) -> Result<(Sample, Sample, CrossingKind)> {
        let measure = self.contest.measure;
        let (lead_a, lead_b) = (a.lead(measure), b.lead(measure));
        if a.state != b.state {
            // both sides of a step lie beside each other, unless there are too many to be told apart
            let leader = a.leader(measure);
            let ((_, last), (_, beyond)) = end_of(
                (a.at, a),
                (b.at, b),
                |value| self.at(value),
                |sample| sample.leader(measure) == leader,
            )?;
            return Ok((last, beyond, CrossingKind::Jump));
        }
        if lead_a != 0.0 && lead_b != 0.0 {
            let (last, beyond) =
                sign_change((a.at, lead_a), (b.at, lead_b), |value| Ok(self.at(value)?.lead(measure)))?;
            return Ok((self.at(last)?, self.at(beyond)?, CrossingKind::Crossing));
        }
        let nothing = lead_a == 0.0;
        let ((_, last), (_, beyond)) = end_of(
            (a.at, a),
            (b.at, b),
            |value| self.at(value),
            |sample| (sample.lead(measure) == 0.0) == nothing,
        )?;
        Ok((last, beyond, CrossingKind::TieEnd))
    }

    /// Runs and changes as crossings and stretches. A run without a difference that is one place is a crossing or
    /// a touch.
    fn assemble(
        &self,
        samples: &[Sample],
        touches: &[Sample],
        width: f64,
    ) -> Result<(Vec<Crossing>, Vec<Stretch>)> {
        let (runs, changes) = self.runs(samples)?;
        let count = runs.len();
        let leaders: Vec<Leader> = runs.iter().map(|run| run.leader).collect();
        let mut kept: Vec<Run> = Vec::with_capacity(count);
        let mut between: Vec<Change> = Vec::with_capacity(changes.len());
        let mut meetings = touches.to_vec();
        // how the run now kept gives way to the next one; none where the next one joins it
        let mut way = None;
        let mut opening = None;
        let changes = changes.into_iter().map(Some).chain([None]);
        for (index, (run, change)) in runs.into_iter().zip(changes).enumerate() {
            if run.leader == Leader::Neither && run.high - run.low <= ONE_PLACE * width && count > 1 {
                let meeting = self.at(f64::midpoint(run.low, run.high))?;
                match (kept.last(), leaders.get(index + 1)) {
                    (Some(before), Some(above)) if before.leader != *above => {
                        way = Some((CrossingKind::Crossing, meeting));
                    }
                    (before, _) => {
                        meetings.push(meeting);
                        way = None;
                        opening = before.is_none().then_some(run.low);
                    }
                }
                if let Some(before) = kept.last_mut() {
                    before.high = run.high;
                }
                continue;
            }
            match (kept.last_mut(), way.take()) {
                (Some(before), None) => before.high = run.high,
                (None, _) => kept.push(Run { low: opening.unwrap_or(run.low), ..run }),
                (Some(_), Some(how)) => {
                    between.push(how);
                    kept.push(run);
                }
            }
            way = change;
        }
        let mut crossings: Vec<Crossing> = kept
            .windows(2)
            .zip(&between)
            .filter_map(|(pair, (kind, sample))| {
                let [below, above] = pair else { return None };
                Some(sample.crossing(*kind, below.leader, above.leader))
            })
            .collect();
        let stretches = self.stretches(&kept, &crossings)?;
        for touch in &meetings {
            let here = |stretch: &&Stretch| (stretch.low..=stretch.high).contains(&touch.at);
            let leader = stretches.iter().find(here).map_or(Leader::Neither, |stretch| stretch.leader);
            crossings.push(touch.crossing(CrossingKind::Touch, leader, leader));
        }
        crossings.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok((crossings, stretches))
    }

    /// Stretches that meet where the lead changes.
    fn stretches(&self, runs: &[Run], crossings: &[Crossing]) -> Result<Vec<Stretch>> {
        let lows = runs.first().map(|run| run.low).into_iter().chain(crossings.iter().map(|c| c.at));
        let highs = crossings.iter().map(|c| c.at).chain(runs.last().map(|run| run.high));
        let ends = lows.zip(highs).zip(runs);
        ends.map(|((low, high), run)| {
            let middle = self.at(f64::midpoint(low, high))?;
            Ok(Stretch {
                low,
                high,
                leader: run.leader,
                first_blocked: middle.first_blocked,
                second_blocked: middle.second_blocked,
            })
        })
        .collect()
    }
}

/// How one leader gives way to the next, and where.
type Change = (CrossingKind, Sample);

/// Neighbouring samples with one leader.
#[derive(Debug, Clone, Copy)]
struct Run {
    low: f64,
    high: f64,
    leader: Leader,
}

/// What may make a value of a build jump.
fn hash_steps(option: &RankedOption, state: &mut DefaultHasher) {
    option.blocked.hash(state);
    option.outlook.lost_layers.hash(state);
    option.cost.purchase_per_thousand.to_bits().hash(state);
    option.cost.replacements.min(REPLACEMENTS_APART).to_bits().hash(state);
    for finding in &option.findings {
        (finding.kind.word(), &finding.rule).hash(state);
    }
    // which factors there are tells what stands in for a treatment that the heat took
    let mut factors: Vec<&str> = option.outlook.variance_shares.iter().map(|v| v.factor.as_str()).collect();
    factors.sort_unstable();
    factors.hash(state);
}
