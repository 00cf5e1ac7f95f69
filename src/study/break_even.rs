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
use crate::math::root::{end_of, least, sign_change};
use crate::rank::{Lot, Question, RankedOption, check_wants};
use crate::study::input::{Input, with_inputs};
use crate::study::measure::Measure;

/// Pieces of a range that are checked one by one. Two changes of the lead less than a piece apart are both
/// missed unless the difference dips between three samples.
const SAMPLES: u32 = 64;
/// Steps that are told apart between two samples.
const STEPS_PER_PIECE: usize = 80;
/// Difference, relative to the larger value, below which builds that do not change places count as touching.
const TOUCH: f64 = 1e-9;
/// Share of the range below which a stretch without a difference counts as one place.
const ONE_PLACE: f64 = 1e-4;

/// Two builds of a brief, compared by one measure.
///
/// ```
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build};
/// use overcoat::study::{Contest, Input, Leader, Measure};
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
    /// Neither: both builds are blocked.
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
#[non_exhaustive]
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
#[non_exhaustive]
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
#[non_exhaustive]
pub struct BreakEven {
    /// The first build.
    pub first: Build,
    /// The second build.
    pub second: Build,
    /// What is compared.
    pub measure: Measure,
    /// What moves.
    pub input: Input,
    /// Lower end of the range.
    pub low: f64,
    /// Upper end of the range.
    pub high: f64,
    /// Other inputs that were set.
    pub settings: Vec<(Input, f64)>,
    /// Where the lead changes or is touched, from low to high.
    pub crossings: Vec<Crossing>,
    /// Who leads where, from low to high; they cover the range.
    pub stretches: Vec<Stretch>,
}

impl BreakEven {
    /// The answer in words, a line per stretch.
    pub fn verdict(&self) -> String {
        let blocked = |is: bool| if is { ", the other is blocked" } else { "" };
        let line = |stretch: &Stretch| {
            let words = match stretch.leader {
                Leader::First => format!("{} leads{}", self.first, blocked(stretch.second_blocked)),
                Leader::Second => format!("{} leads{}", self.second, blocked(stretch.first_blocked)),
                Leader::Neither => "neither leads".to_owned(),
                Leader::BothBlocked => "both are blocked".to_owned(),
            };
            let range = format!("{} from {:.4} to {:.4}", self.input.name(), stretch.low, stretch.high);
            match self.input.unit() {
                "" => format!("{range}: {words}"),
                unit => format!("{range} {unit}: {words}"),
            }
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
    /// Ends that are not finite or not in order; what [`rank`](crate::rank::rank()) rejects in the brief at any
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
                "Enter the ends of the range in order.",
            ));
        }
        let checked = self.brief.checked_in(self.catalog)?;
        check_wants(&checked, self.catalog)?;
        let brief = with_inputs(&checked, settings)?;
        let at = |value: f64| self.sample(&brief, input, value);
        let search = Search { at, measure: self.measure, by_ratio: input.counts_by_ratio() };
        let (crossings, stretches) = search.run(low, high)?;
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

    /// What a ranking says of both builds with the input at a value.
    fn sample(&self, brief: &Brief, input: Input, value: f64) -> Result<Sample> {
        let brief = with_inputs(brief, &[(input, value)])?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let question = Question::new(&brief, &exposure, lot, self.catalog)?;
        let first = question.option(self.first.clone())?;
        let second = question.option(self.second.clone())?;
        let mut state = DefaultHasher::new();
        hash_steps(&first, &mut state);
        hash_steps(&second, &mut state);
        Ok(Sample {
            at: value,
            first: self.measure.value(&first),
            second: self.measure.value(&second),
            first_blocked: first.blocked,
            second_blocked: second.blocked,
            state: state.finish(),
        })
    }
}

/// The search of a range; `at` gives both builds at a value of the input.
struct Search<F> {
    at: F,
    measure: Measure,
    by_ratio: bool,
}

impl<F: Fn(f64) -> Result<Sample>> Search<F> {
    fn at(&self, value: f64) -> Result<Sample> {
        (self.at)(value)
    }

    /// Crossings and stretches of a range.
    fn run(&self, low: f64, high: f64) -> Result<(Vec<Crossing>, Vec<Stretch>)> {
        let (samples, touches) = self.dips(self.samples(low, high)?)?;
        self.assemble(&samples, &touches, high - low)
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
        } else if !self.by_ratio || low < 0.0 {
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
        let measure = self.measure;
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
        let measure = self.measure;
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
        let measure = self.measure;
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
            let (last, beyond) = (self.at(last)?, self.at(beyond)?);
            // neighboring places: what changes between them by more than rounding is a step that no state told of
            let size = last.first.abs().max(last.second.abs());
            let kind = if (last.first - last.second).abs() > TOUCH * size {
                CrossingKind::Jump
            } else {
                CrossingKind::Crossing
            };
            return Ok((last, beyond, kind));
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
    option.cost.replacements.to_bits().hash(state);
    for finding in &option.findings {
        (finding.kind.word(), &finding.rule).hash(state);
    }
    // which factors there are tells what stands in for a treatment that the heat took
    let mut factors: Vec<&str> = option.outlook.variance_shares.iter().map(|v| &*v.factor).collect();
    factors.sort_unstable();
    factors.hash(state);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Crossings and stretches of two functions without steps of their own, and of one with.
    fn found(
        first: impl Fn(f64) -> f64,
        second: impl Fn(f64) -> f64,
        step: impl Fn(f64) -> u64,
        (low, high): (f64, f64),
    ) -> (Vec<(f64, CrossingKind)>, Vec<Leader>) {
        let at = |at: f64| {
            let (first, second) = (first(at), second(at));
            let blocked = |value: f64| value.is_nan();
            Ok(Sample {
                at,
                first,
                second,
                first_blocked: blocked(first),
                second_blocked: blocked(second),
                state: step(at),
            })
        };
        let search = Search { at, measure: Measure::Score, by_ratio: false };
        let (crossings, stretches) = search.run(low, high).unwrap();
        for pair in stretches.windows(2) {
            assert_eq!(pair[0].high, pair[1].low);
        }
        assert_eq!((stretches[0].low, stretches.last().unwrap().high), (low, high));
        let crossings = crossings.iter().map(|c| (c.at, c.kind)).collect();
        (crossings, stretches.iter().map(|stretch| stretch.leader).collect())
    }

    fn near(found: &[(f64, CrossingKind)], wanted: &[(f64, CrossingKind)], reach: f64) {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        for (a, b) in found.iter().zip(wanted) {
            assert!((a.0 - b.0).abs() < reach && a.1 == b.1, "{found:?} {wanted:?}");
        }
    }

    /// Of 64 pieces the 16th place of 2 to 32 on a logarithmic scale is 4, the 32nd of 0 to 8 on a cubic one is 1, the
    /// 32nd of -4 to 8 in even steps is 2; the ends are the ends.
    #[test]
    fn samples_lie_evenly_on_the_scale_of_the_input() {
        let search = |by_ratio| Search {
            at: |_| Err(crate::error::invalid("x", 0, "", "")),
            measure: Measure::Score,
            by_ratio,
        };
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-14, "{found} {wanted}");
        let by_ratio = search(true);
        near(by_ratio.place(2.0, 32.0, 16), 4.0);
        near(by_ratio.place(0.0, 8.0, 32), 1.0);
        near(by_ratio.place(-4.0, 8.0, 32), 2.0);
        let even = search(false);
        near(even.place(1.0, 17.0, 16), 5.0);
        near(even.place(0.0, 8.0, 32), 4.0);
        for (low, high) in [(0.0, 8.0), (0.1, 0.7)] {
            assert_eq!((by_ratio.place(low, high, 0), by_ratio.place(low, high, 64)), (low, high));
        }
    }

    /// A stretch without a difference wider than a ten-thousandth of the range is a stretch, a narrower one a place.
    #[test]
    fn a_narrow_stretch_without_a_difference_is_a_place() {
        let first = |width: f64| move |x: f64| 2.0 + (x - 150.0).min(0.0) + (x - 150.0 - width).max(0.0);
        let (crossings, leaders) = found(first(0.02), |_| 2.0, |_| 0, (100.0, 200.0));
        assert!(crossings.iter().all(|c| c.1 == CrossingKind::TieEnd), "{crossings:?}");
        assert_eq!(leaders, [Leader::Second, Leader::Neither, Leader::First]);
        let (crossings, leaders) = found(first(0.005), |_| 2.0, |_| 0, (100.0, 200.0));
        near(&crossings, &[(150.0025, CrossingKind::Crossing)], 0.003);
        assert_eq!(leaders, [Leader::Second, Leader::First]);
    }

    /// A difference of 5e-8 at 100 is less than a billionth, one of 2e-7 more: the one touches, whoever leads.
    #[test]
    fn a_least_difference_next_to_nothing_is_a_touch() {
        for (sign, leader) in [(1.0, Leader::First), (-1.0, Leader::Second)] {
            let first = |least: f64| move |x: f64| 100.0 + sign * ((x - 0.37).powi(2) + least);
            let (crossings, leaders) = found(first(5e-8), |_| 100.0, |_| 0, (0.0, 1.0));
            near(&crossings, &[(0.37, CrossingKind::Touch)], 1e-5);
            assert_eq!(leaders, [leader]);
            let (crossings, leaders) = found(first(2e-7), |_| 100.0, |_| 0, (0.0, 1.0));
            assert_eq!((crossings.len(), leaders), (0, vec![leader]));
        }
    }

    /// More steps between two samples than are told apart: the lead still changes where it changes.
    #[test]
    fn the_lead_is_found_among_steps_too_many_to_be_told_apart() {
        let first = |x: f64| if x < 0.510_21 { 1.0 } else { 3.0 };
        let (crossings, leaders) = found(first, |_| 2.0, |x| (20_000.0 * x).floor().to_bits(), (0.0, 1.0));
        near(&crossings, &[(0.510_21, CrossingKind::Jump)], 1e-12);
        assert_eq!(leaders, [Leader::Second, Leader::First]);
    }

    /// A step that no state told of is no crossing of two curves.
    #[test]
    fn a_step_without_a_state_is_a_jump() {
        let (crossings, leaders) = found(|x| if x < 0.37 { 1.0 } else { 3.0 }, |_| 2.0, |_| 0, (0.0, 1.0));
        near(&crossings, &[(0.37, CrossingKind::Jump)], 1e-12);
        assert_eq!(leaders, [Leader::Second, Leader::First]);
    }

    #[test]
    fn leaders_and_crossings_have_their_words() {
        assert_eq!(
            [Leader::First, Leader::Second, Leader::Neither, Leader::BothBlocked].map(Leader::name),
            ["first", "second", "neither", "both_blocked"]
        );
        assert_eq!(
            [CrossingKind::Crossing, CrossingKind::Jump, CrossingKind::TieEnd, CrossingKind::Touch]
                .map(CrossingKind::name),
            ["crossing", "jump", "tie_end", "touch"]
        );
    }

    #[test]
    fn every_crossing_of_a_wave_is_found() {
        use std::f64::consts::PI;
        let (crossings, leaders) = found(|x| 2.0 + (PI * x).sin(), |_| 2.0, |_| 0, (0.5, 7.5));
        let wanted: Vec<_> = (1..8).map(|x| (f64::from(x), CrossingKind::Crossing)).collect();
        near(&crossings, &wanted, 1e-12);
        assert_eq!(leaders[..3], [Leader::First, Leader::Second, Leader::First]);
    }

    #[test]
    fn two_crossings_between_samples_are_found_where_the_difference_dips() {
        let (crossings, leaders) = found(|x| 2.0 + (x - 0.503) * (x - 0.504), |_| 2.0, |_| 0, (0.0, 1.0));
        near(&crossings, &[(0.503, CrossingKind::Crossing), (0.504, CrossingKind::Crossing)], 1e-8);
        assert_eq!(leaders, [Leader::First, Leader::Second, Leader::First]);
    }

    #[test]
    fn a_touch_changes_no_leader_inside_or_at_an_end() {
        for (place, end) in [(0.37, 1.0), (0.0, 1.0), (1.0, 1.0)] {
            let (crossings, leaders) = found(|x| 2.0 + (x - place).powi(2), |_| 2.0, |_| 0, (0.0, end));
            near(&crossings, &[(place, CrossingKind::Touch)], 1e-5);
            assert_eq!(leaders, [Leader::First]);
        }
    }

    #[test]
    fn a_crossing_without_a_slope_is_one_crossing() {
        let (crossings, leaders) = found(|x| 2.0 + (x - 0.4).powi(3), |_| 2.0, |_| 0, (0.0, 1.0));
        near(&crossings, &[(0.4, CrossingKind::Crossing)], 1e-3);
        assert_eq!(leaders, [Leader::Second, Leader::First]);
    }

    #[test]
    fn a_stretch_without_a_difference_has_two_ends() {
        let first = |x: f64| 2.0 + (x - 0.3).min(0.0) + (x - 0.6).max(0.0);
        let (crossings, leaders) = found(first, |_| 2.0, |_| 0, (0.0, 1.0));
        near(&crossings, &[(0.3, CrossingKind::TieEnd), (0.6, CrossingKind::TieEnd)], 1e-10);
        assert_eq!(leaders, [Leader::Second, Leader::Neither, Leader::First]);
        let (crossings, leaders) = found(|_| 2.0, |_| 2.0, |_| 0, (0.0, 1.0));
        assert_eq!((crossings.len(), leaders), (0, vec![Leader::Neither]));
    }

    /// A step that changes the lead, one that does not, one narrower than a piece, and one beside a crossing.
    #[test]
    fn steps_are_found_wherever_they_lie() {
        let step = |x: f64| [0.25, 0.7003, 0.7011].iter().filter(|at| x >= **at).count();
        let first = |x: f64| [2.0, 1.0, 4.0, 1.5 + 2.0 * (x - 0.7011)][step(x)];
        let (crossings, leaders) = found(first, |_| 1.6, |x| step(x) as u64, (0.0, 1.0));
        let jump = CrossingKind::Jump;
        near(
            &crossings,
            &[(0.25, jump), (0.7003, jump), (0.7011, jump), (0.7511, CrossingKind::Crossing)],
            1e-12,
        );
        assert_eq!(leaders, [Leader::First, Leader::Second, Leader::First, Leader::Second, Leader::First]);
    }

    #[test]
    fn a_blocked_build_gives_the_lead_away() {
        let blocked = |x: f64| if x > 0.5 { f64::NAN } else { 3.0 };
        let (crossings, leaders) = found(blocked, |_| 2.0, |x| u64::from(x > 0.5), (0.0, 1.0));
        near(&crossings, &[(0.5, CrossingKind::Jump)], 1e-12);
        assert_eq!(leaders, [Leader::First, Leader::Second]);
    }
}
