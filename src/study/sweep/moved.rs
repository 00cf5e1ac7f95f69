//! Every build at every row of a table that moves some of a brief's inputs, with the answer of a ranking of that
//! row's brief.
//!
//! Where all four inputs of the atmosphere are known at a row, the kernel of the sweep does it; where a described place,
//! a measured loss or a distance to the sea still speaks, the row is ranked.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::{Brief, Exposure, OUTSIDE_VALIDITY};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::check::{Case, FindingKind, Inquiry, blocking_rules, findings, not_judged};
use crate::error::table_error;
use crate::finish::Build;
use crate::rank::{Burden, Judgements, Lot, Question, Ranking, Standing, first, rank};
use crate::study::sweep::rows::{Scratch, run_rows};
use crate::study::sweep::table::{has_result, status_of};
use crate::study::sweep::{Columns, Output, Reason, RowInputs, Sweep};

/// Columns of a table that replace inputs of the duty; an absent one leaves what the brief says.
///
/// A missing number is a NaN, a missing shelter a `None`.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MovedColumns<'a> {
    /// The number of rows.
    pub rows: usize,
    /// Annual mean temperature, °C.
    pub temperature_c: Option<&'a [f64]>,
    /// Annual mean relative humidity, %.
    pub relative_humidity_pct: Option<&'a [f64]>,
    /// Annual mean SO2 deposition, mg/(m²·d).
    pub so2_mg_m2_day: Option<&'a [f64]>,
    /// Annual mean chloride deposition, mg/(m²·d).
    pub chloride_mg_m2_day: Option<&'a [f64]>,
    /// Years required.
    pub required_years: Option<&'a [f64]>,
    /// Shelter.
    pub shelter: Option<&'a [Option<Shelter>]>,
}

/// A brief and its builds, prepared for tables that move some of its inputs.
///
/// ```
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build, rank::rank};
/// use overcoat::study::{MovedColumns, Rows};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1",
///     "name": "brackets by the sea",
///     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
///     "duty": {"place": "coastal", "required_years": 5}
/// }"#)?;
/// let rows = Rows::new(&brief, None, Catalog::built_in())?;
/// let years = [2.0, 5.0, 10.0];
/// let found = rows.run(&MovedColumns { rows: 3, required_years: Some(&years), ..Default::default() }, 1)?;
/// let best = rank(&brief, Catalog::built_in())?.best().unwrap().clone();
/// let code = rows.builds().iter().position(|build| *build == best.build).unwrap();
/// assert_eq!(found.score[rows.builds().len() + code], best.score.value);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Rows<'a> {
    brief: Brief,
    catalog: &'a Catalog,
    sweep: Sweep,
    /// Whether the place changes nothing of a row whose four inputs are known.
    plain_place: bool,
    /// Which of the four inputs something else says where a row leaves them open.
    stand_ins: [bool; 4],
    /// The builds in the order of their names, which settles what nothing else does.
    by_name: Vec<usize>,
    /// Rules that block each build, by shelter; asked for only where a table wants them.
    blocking: OnceLock<Vec<Vec<String>>>,
    /// Builds judged once for the rows that are ranked, shared by all briefs of a table.
    judgements: Arc<Judgements>,
}

/// Results of some rows, in memory that is used again.
#[derive(Debug, Default)]
pub(super) struct PartAnswers {
    pub(super) output: Output,
    /// Why each row has no result; of one with results the [`Output`] says more.
    pub(super) status: Vec<u8>,
    /// Rules that block each result, where rows were ranked.
    blocked_by: Vec<String>,
    /// What settles ties of each result, where rows were ranked.
    burdens: Vec<Burden>,
}

/// What a thread keeps from part to part.
#[derive(Debug, Default)]
pub(super) struct PartScratch {
    rows: Scratch,
    filled: [Vec<f64>; 4],
}

impl PartAnswers {
    /// Rows without a result.
    pub(super) fn refuse(&mut self, rows: usize, builds: usize, status: u8) {
        self.clear();
        self.status.resize(rows, status);
        for _ in 0..rows {
            self.push_none(builds, status);
        }
    }

    fn clear(&mut self) {
        self.output.resize(0);
        self.status.clear();
        self.blocked_by.clear();
        self.burdens.clear();
    }

    /// A row without a result.
    fn push_none(&mut self, builds: usize, status: u8) {
        let reason = Reason::ALL.get(usize::from(status)).copied().unwrap_or_default();
        let Self { output, blocked_by, burdens, .. } = self;
        let results = output.score.len() + builds;
        for column in [
            &mut output.first_year_loss_um,
            &mut output.median_years,
            &mut output.p10_years,
            &mut output.p90_years,
            &mut output.probability_ok,
            &mut output.cost_per_thousand,
            &mut output.score,
        ] {
            column.resize(results, f64::NAN);
        }
        output.category.resize(results, None);
        output.met.resize(results, false);
        output.blocked.resize(results, false);
        output.reason.resize(results, reason);
        blocked_by.resize(results, String::new());
        burdens.resize(results, Burden::default());
    }
}

impl<'a> Rows<'a> {
    /// Prepares a brief with the builds to compare; `None` takes those that [`rank`](crate::rank::rank()) would.
    ///
    /// # Errors
    /// Those of [`Sweep::new`].
    pub fn new(brief: &Brief, builds: Option<&[Build]>, catalog: &'a Catalog) -> Result<Self> {
        let brief = brief.checked_in(catalog)?.into_owned();
        let sweep = Sweep::new(&brief, builds, catalog)?;
        Self::with(brief, sweep, catalog, Arc::default())
    }

    /// Prepares a checked brief with its builds for tables that have these columns. `says_air` is whether the row itself
    /// names a place, a measured loss or a category, which stand in for what it leaves open of the four inputs.
    ///
    /// Where rows are ranked, the plan of the kernel is made of the first build alone: what it rejects of the brief, it
    /// rejects once and not in every row.
    pub(super) fn for_columns(
        brief: &Brief,
        builds: &[Build],
        catalog: &'a Catalog,
        columns: &MovedColumns<'_>,
        says_air: bool,
        judgements: &Arc<Judgements>,
    ) -> Result<Self> {
        let brief = brief.checked_in(catalog)?.into_owned();
        let planned = if by_kernel(&brief, has_plain_place(&brief, catalog)?, columns) {
            builds
        } else {
            builds.get(..1).unwrap_or_default()
        };
        let mut sweep = Sweep::new(&brief, Some(planned), catalog)?;
        sweep.builds = builds.to_vec();
        let mut rows = Self::with(brief, sweep, catalog, Arc::clone(judgements))?;
        if says_air {
            rows.stand_ins = [true; 4];
        }
        Ok(rows)
    }

    fn with(brief: Brief, sweep: Sweep, catalog: &'a Catalog, judgements: Arc<Judgements>) -> Result<Self> {
        let plain_place = has_plain_place(&brief, catalog)?;
        let mut names: Vec<usize> = (0..sweep.builds().len()).collect();
        names.sort_by_key(|code| sweep.builds().get(*code));
        let blocking = OnceLock::new();
        // the sea brings the chloride wherever none was measured
        let stand_ins = [false, false, false, brief.duty.sea_distance_m.is_some()];
        Ok(Self { brief, catalog, sweep, plain_place, stand_ins, by_name: names, blocking, judgements })
    }

    /// The builds, in the order of their codes.
    pub fn builds(&self) -> &[Build] {
        self.sweep.builds()
    }

    /// Whether a cost has prices without the currency of the catalog.
    pub(super) fn is_relative_in_part(&self) -> bool {
        self.sweep.is_relative_in_part()
    }

    /// Whether a table with these columns goes through the kernel; otherwise its rows are ranked one by one.
    pub fn by_kernel(&self, columns: &MovedColumns<'_>) -> bool {
        by_kernel(&self.brief, self.plain_place, columns)
    }

    /// Computes every build at every row: what [`rank`](crate::rank::rank()) says of it for the brief with the row's
    /// values put in, to 12 figures. A row with a bad value has no results but a [`Reason`].
    ///
    /// `threads` is the number of threads of the kernel, 0 for as many as the machine has; the results are the same
    /// bits for any.
    ///
    /// # Errors
    /// Columns of another length than `rows`; what [`rank`](crate::rank::rank()) rejects in the brief besides the
    /// moved values.
    pub fn run(&self, columns: &MovedColumns<'_>, threads: usize) -> Result<Output> {
        columns.check()?;
        let open = (0..columns.rows).any(|row| self.is_open(columns, row));
        if self.by_kernel(columns) && !open {
            self.run_kernel(columns, threads)
        } else {
            self.rank_rows(columns)
        }
    }

    /// Whether a row leaves one of the four inputs open that something else says: it is ranked.
    pub(super) fn is_open(&self, columns: &MovedColumns<'_>, row: usize) -> bool {
        self.stand_ins.contains(&true) && columns.open(row, self.stand_ins).contains(&true)
    }

    fn run_kernel(&self, columns: &MovedColumns<'_>, threads: usize) -> Result<Output> {
        let duty = &self.brief.duty;
        let fill = |column: Option<&[f64]>, value: Option<f64>| match column {
            Some(column) => column.to_vec(),
            None => vec![value.unwrap_or(f64::NAN); columns.rows],
        };
        let temperature_c = fill(columns.temperature_c, duty.temperature_c);
        let relative_humidity_pct = fill(columns.relative_humidity_pct, duty.relative_humidity_pct);
        let so2_mg_m2_day = fill(columns.so2_mg_m2_day, duty.so2_mg_m2_day);
        let chloride_mg_m2_day = fill(columns.chloride_mg_m2_day, duty.chloride_mg_m2_day);
        let columns = Columns {
            temperature_c: &temperature_c,
            relative_humidity_pct: &relative_humidity_pct,
            so2_mg_m2_day: &so2_mg_m2_day,
            chloride_mg_m2_day: &chloride_mg_m2_day,
            required_years: columns.required_years,
            shelter: columns.shelter,
        };
        let mut output = Output::default();
        self.sweep.run(&columns, &mut output, threads)?;
        Ok(output)
    }

    /// Computes some rows, all of which are open or none; where `strict`, a row that no place can have is an error.
    pub(super) fn run_part(
        &self,
        columns: &MovedColumns<'_>,
        strict: bool,
        scratch: &mut PartScratch,
        answers: &mut PartAnswers,
    ) -> Result<()> {
        if !self.by_kernel(columns) || self.is_open(columns, 0) {
            return self.rank_part(columns, strict, answers);
        }
        let duty = &self.brief.duty;
        let [for_t, for_rh, for_so2, for_chloride] = &mut scratch.filled;
        let plain = Columns {
            temperature_c: filled(columns.temperature_c, duty.temperature_c, columns.rows, for_t),
            relative_humidity_pct: filled(
                columns.relative_humidity_pct,
                duty.relative_humidity_pct,
                columns.rows,
                for_rh,
            ),
            so2_mg_m2_day: filled(columns.so2_mg_m2_day, duty.so2_mg_m2_day, columns.rows, for_so2),
            chloride_mg_m2_day: filled(
                columns.chloride_mg_m2_day,
                duty.chloride_mg_m2_day,
                columns.rows,
                for_chloride,
            ),
            required_years: columns.required_years,
            shelter: columns.shelter,
        };
        let builds = self.builds().len();
        answers.blocked_by.clear();
        answers.burdens.clear();
        answers.output.resize(columns.rows * builds);
        run_rows(&self.sweep.plan, &plain, answers.output.slices(), &mut scratch.rows);
        answers.status.clear();
        answers
            .status
            .extend(answers.output.reason.iter().step_by(builds.max(1)).map(|reason| *reason as u8));
        Ok(())
    }

    fn rank_part(&self, columns: &MovedColumns<'_>, strict: bool, answers: &mut PartAnswers) -> Result<()> {
        answers.clear();
        let builds = self.builds();
        let lot = Lot::of(&self.brief.part, &mut Vec::new())?;
        for row in 0..columns.rows {
            let inputs = columns.inputs(row, self.stand_ins);
            let reason = Reason::of(&inputs, inputs.numbers_are_usual());
            let ranked = if reason.has_result() {
                self.rank_row(&columns.brief(&self.brief, row), lot, answers).map(|reason| reason as u8)
            } else {
                Ok(reason as u8)
            };
            let status = match ranked {
                Ok(status) => status,
                Err(error) if strict => return Err(error),
                Err(error) => status_of(&error),
            };
            if !has_result(status) {
                answers.push_none(builds.len(), status);
            }
            answers.status.push(status);
        }
        Ok(())
    }

    /// The results of one row, or none of them.
    fn rank_row(&self, brief: &Brief, lot: Lot, answers: &mut PartAnswers) -> Result<Reason> {
        brief.check_in(self.catalog)?;
        let exposure = Exposure::of(brief, self.catalog)?;
        let indoors = exposure.shelter == Shelter::Indoor && exposure.atmosphere.inputs.is_some();
        let judged = self.judgements.of(brief, &exposure, &lot, self.builds(), self.catalog)?;
        let output = &mut answers.output;
        let extrapolated = indoors || !exposure.atmosphere.extrapolations.is_empty();
        let of_row = if extrapolated { Reason::Extrapolated } else { Reason::Ok };
        for answer in judged.answers(&exposure) {
            output.first_year_loss_um.push(exposure.atmosphere.first_year_steel_loss_um);
            output.category.push(Some(exposure.atmosphere.category));
            output.median_years.push(answer.found.median_years);
            output.p10_years.push(answer.found.p10_years);
            output.p90_years.push(answer.found.p90_years);
            output.probability_ok.push(answer.found.probability_ok);
            output.cost_per_thousand.push(answer.scored.cost);
            output.score.push(answer.scored.score);
            output.met.push(answer.met);
            output.blocked.push(!answer.blocked_by.is_empty());
            output.reason.push(of_row.judged(answer.beyond_evidence));
            answers.blocked_by.push(answer.blocked_by);
            answers.burdens.push(answer.burden);
        }
        Ok(of_row)
    }

    /// The ranking of the first row.
    pub(super) fn ranking(&self, columns: &MovedColumns<'_>) -> Result<Ranking> {
        rank(&columns.brief(&self.brief, 0), self.catalog)
    }

    /// What a ranking of the first row remarks on what it was given.
    pub(super) fn remarks(&self, columns: &MovedColumns<'_>) -> Result<Vec<String>> {
        let given = columns.brief(&self.brief, 0);
        let brief = given.checked_in(self.catalog)?;
        let mut remarks = Exposure::of(&brief, self.catalog)?.remarks;
        // the status of the row says it
        remarks.retain(|remark| !remark.starts_with(OUTSIDE_VALIDITY));
        remarks.extend(given.inch_grades_read(self.catalog));
        remarks.extend(not_judged(&brief));
        Ok(remarks)
    }

    /// The rules by which any of the builds can do harm at the first row: a part can break, a joint open, people be hurt,
    /// another metal attack. What is ruled out a table tells in separate columns.
    pub(super) fn rules_found(&self, columns: &MovedColumns<'_>) -> Result<BTreeSet<String>> {
        let given = columns.brief(&self.brief, 0);
        let brief = given.checked_in(self.catalog)?;
        let exposure = Exposure::of(&brief, self.catalog)?;
        let inquiry = Inquiry::of(&brief, self.catalog)?;
        let mut rules = BTreeSet::new();
        for build in self.builds() {
            let ResolvedBuild { metal, treatment, films } = &self.catalog.resolve(build)?;
            let case = Case { inquiry: &inquiry, exposure: &exposure, build, metal, treatment, films };
            let grave = findings(&case)?.into_iter().filter(|finding| {
                matches!(finding.kind, FindingKind::Needs | FindingKind::Warns) && finding.can_harm()
            });
            rules.extend(grave.map(|finding| finding.rule.to_string()));
        }
        Ok(rules)
    }

    /// The cost of one result, NaN where it has none.
    fn cost_at(&self, row: usize, build: usize, answers: &PartAnswers) -> f64 {
        let place = row * self.builds().len() + build;
        answers.output.cost_per_thousand.get(place).copied().unwrap_or(f64::NAN)
    }

    fn shelter_at(&self, columns: &MovedColumns<'_>, row: usize) -> Option<Shelter> {
        columns.shelter.map_or(self.sweep.brief.duty.shelter, |column| column.get(row).copied().flatten())
    }

    /// The first of the builds of a row, as a ranking orders them.
    pub(super) fn best_of(&self, columns: &MovedColumns<'_>, row: usize, answers: &PartAnswers) -> usize {
        let builds = self.builds().len();
        let output = &answers.output;
        let at = |column: &[f64], build: usize| column.get(row * builds + build).copied().unwrap_or(f64::NAN);
        let blocked = |build: usize| output.blocked.get(row * builds + build).copied().unwrap_or(true);
        let code = |name: usize| self.by_name.get(name).copied().unwrap_or(name);
        let by_name = |name: usize| (blocked(code(name)), at(&output.score, code(name)));
        code(first(builds, by_name, |name| {
            let build = code(name);
            Standing {
                blocked: blocked(build),
                score: at(&output.score, build),
                burden: self.burden_at(columns, row, build, answers),
                probability_ok: at(&output.probability_ok, build),
                cost: at(&output.cost_per_thousand, build),
            }
        }))
    }

    /// What settles ties of a result.
    pub(super) fn burden_at(
        &self,
        columns: &MovedColumns<'_>,
        row: usize,
        build: usize,
        answers: &PartAnswers,
    ) -> Burden {
        if let Some(burden) = answers.burdens.get(row * self.builds().len() + build) {
            return *burden;
        }
        let chloride = columns
            .chloride_mg_m2_day
            .map_or(self.brief.duty.chloride_mg_m2_day, |column| column.get(row).copied());
        let shelter = self.shelter_at(columns, row).unwrap_or(Shelter::Open);
        self.sweep.plan.burden(shelter, build, chloride.unwrap_or_default())
    }

    /// Which rules block a result of the row, joined by commas.
    pub(super) fn blocked_by(
        &self,
        columns: &MovedColumns<'_>,
        row: usize,
        build: usize,
        answers: &PartAnswers,
    ) -> String {
        let builds = self.builds().len();
        if let Some(blocked_by) = answers.blocked_by.get(row * builds + build) {
            return blocked_by.clone();
        }
        let shelter = self.shelter_at(columns, row).unwrap_or(Shelter::Open);
        let blocking = self.blocking.get_or_init(|| self.blocking_rules().unwrap_or_default());
        let mut rules = blocking.get(shelter as usize * builds + build).cloned().unwrap_or_default();
        if let Some(limit) = self.brief.wants.cost_limit_per_thousand
            && self.cost_at(row, build, answers) > limit
        {
            rules.push("cost.limit".to_owned());
        }
        rules.join(", ")
    }

    /// Results of one key are blocked by the same rules; none where that was found row by row.
    pub(super) fn blocker_key(
        &self,
        columns: &MovedColumns<'_>,
        row: usize,
        build: usize,
        answers: &PartAnswers,
    ) -> Option<usize> {
        if !answers.blocked_by.is_empty() {
            return None;
        }
        let limit = self.brief.wants.cost_limit_per_thousand;
        let over = limit.is_some_and(|limit| self.cost_at(row, build, answers) > limit);
        let shelter = self.shelter_at(columns, row).unwrap_or(Shelter::Open);
        Some(2 * (shelter as usize * self.builds().len() + build) + usize::from(over))
    }

    /// Rules that block each build whatever the row, by shelter and build.
    fn blocking_rules(&self) -> Result<Vec<Vec<String>>> {
        let lot = Lot::of(&self.brief.part, &mut Vec::new())?;
        let mut blocking = Vec::new();
        for &shelter in Shelter::ALL {
            let mut brief = self.sweep.brief.clone();
            let duty = &mut brief.duty;
            (duty.temperature_c, duty.relative_humidity_pct) = (Some(10.0), Some(75.0));
            (duty.so2_mg_m2_day, duty.chloride_mg_m2_day) = (Some(5.0), Some(3.0));
            duty.shelter = Some(shelter);
            brief.wants.cost_limit_per_thousand = None;
            let exposure = Exposure::of(&brief, self.catalog)?;
            let question = Question::new(&brief, &exposure, lot, self.catalog)?;
            for build in self.builds() {
                let findings = question.option(build.clone())?.findings;
                blocking.push(blocking_rules(&findings).into_iter().map(str::to_owned).collect());
            }
        }
        Ok(blocking)
    }

    fn rank_rows(&self, columns: &MovedColumns<'_>) -> Result<Output> {
        let mut part = PartAnswers::default();
        self.rank_part(columns, true, &mut part)?;
        let mut output = part.output;
        let codes = (0..self.builds().len()).map(code_of);
        output.build.extend((0..columns.rows).flat_map(|_| codes.clone()));
        Ok(output)
    }
}

/// Whether the place of a brief changes nothing of a row whose four inputs are known.
fn has_plain_place(brief: &Brief, catalog: &Catalog) -> Result<bool> {
    let place = brief.duty.place.as_deref().map(|name| catalog.place(name)).transpose()?;
    Ok(place.is_none_or(|place| {
        !place.climate_controlled
            && (place.first_year_steel_loss_um.is_none() || place.shelter != Shelter::Indoor)
    }))
}

/// Whether the four inputs of the atmosphere are all that rows with these columns say of it.
fn by_kernel(brief: &Brief, plain_place: bool, columns: &MovedColumns<'_>) -> bool {
    let duty = &brief.duty;
    plain_place
        && duty.first_year_steel_loss_um.is_none()
        && duty.corrosivity.is_none()
        && (columns.temperature_c.is_some() || duty.temperature_c.is_some())
        && (columns.relative_humidity_pct.is_some() || duty.relative_humidity_pct.is_some())
        && (columns.so2_mg_m2_day.is_some() || duty.so2_mg_m2_day.is_some())
        && (columns.chloride_mg_m2_day.is_some() || duty.chloride_mg_m2_day.is_some())
}

/// A column, or as many times the value of the brief.
fn filled<'a>(
    column: Option<&'a [f64]>,
    value: Option<f64>,
    rows: usize,
    scratch: &'a mut Vec<f64>,
) -> &'a [f64] {
    if let Some(column) = column {
        return column;
    }
    scratch.clear();
    scratch.resize(rows, value.unwrap_or(f64::NAN));
    scratch
}

/// A sweep takes no more builds than there are codes.
fn code_of(build: usize) -> u16 {
    u16::try_from(build).unwrap_or(u16::MAX)
}

impl MovedColumns<'_> {
    /// At most `rows` rows from `start` on.
    #[must_use]
    pub fn part(&self, start: usize, rows: usize) -> Self {
        fn cut<T>(column: Option<&[T]>, start: usize, rows: usize) -> Option<&[T]> {
            column.map(|column| {
                let rest = column.get(start..).unwrap_or_default();
                rest.get(..rows).unwrap_or(rest)
            })
        }
        Self {
            rows: self.rows.saturating_sub(start).min(rows),
            temperature_c: cut(self.temperature_c, start, rows),
            relative_humidity_pct: cut(self.relative_humidity_pct, start, rows),
            so2_mg_m2_day: cut(self.so2_mg_m2_day, start, rows),
            chloride_mg_m2_day: cut(self.chloride_mg_m2_day, start, rows),
            required_years: cut(self.required_years, start, rows),
            shelter: cut(self.shelter, start, rows),
        }
    }

    fn numbers(&self) -> [(&'static str, Option<&[f64]>); 5] {
        [
            ("temperature_c", self.temperature_c),
            ("relative_humidity_pct", self.relative_humidity_pct),
            ("so2_mg_m2_day", self.so2_mg_m2_day),
            ("chloride_mg_m2_day", self.chloride_mg_m2_day),
            ("required_years", self.required_years),
        ]
    }

    fn check(&self) -> Result<()> {
        let lengths = self.numbers().map(|(name, column)| (name, column.map(<[f64]>::len)));
        let shelter = ("shelter", self.shelter.map(<[Option<Shelter>]>::len));
        for (column, length) in lengths.into_iter().chain([shelter]) {
            if let Some(length) = length
                && length != self.rows
            {
                return Err(table_error(
                    column,
                    None,
                    format!("it has {length} rows where {} were expected", self.rows),
                    "Give columns of equal length.",
                ));
            }
        }
        Ok(())
    }

    /// Which of the four inputs a row leaves blank while another field replaces it.
    fn open(&self, row: usize, stand_ins: [bool; 4]) -> [bool; 4] {
        let [for_t, for_rh, for_so2, for_chloride] = stand_ins;
        let gap =
            |column: Option<&[f64]>| column.is_some_and(|column| column.get(row).is_some_and(|x| x.is_nan()));
        [
            for_t && gap(self.temperature_c),
            for_rh && gap(self.relative_humidity_pct),
            for_so2 && gap(self.so2_mg_m2_day),
            for_chloride && gap(self.chloride_mg_m2_day),
        ]
    }

    /// The values of a row, with usual ones where there is no column or another field replaces a gap, so that only
    /// the columns are judged.
    fn inputs(&self, row: usize, stand_ins: [bool; 4]) -> RowInputs {
        let at = |column: Option<&[f64]>, usual: f64| {
            column.map_or(usual, |column| column.get(row).copied().unwrap_or(f64::NAN))
        };
        let [open_t, open_rh, open_so2, open_chloride] = self.open(row, stand_ins);
        let known = |open: bool, column, usual| if open { usual } else { at(column, usual) };
        let chloride_mg_m2_day = known(open_chloride, self.chloride_mg_m2_day, 5.0);
        RowInputs {
            temperature_c: known(open_t, self.temperature_c, 10.0),
            relative_humidity_pct: known(open_rh, self.relative_humidity_pct, 75.0),
            so2_mg_m2_day: known(open_so2, self.so2_mg_m2_day, 5.0),
            chloride_mg_m2_day,
            total_chloride_mg_m2_day: chloride_mg_m2_day,
            required_years: at(self.required_years, 5.0),
            shelter: self.shelter.map_or(Some(Shelter::Open), |column| column.get(row).copied().flatten()),
            // the brief of the row is checked whole
            in_weather: false,
        }
    }

    /// The brief with the values of a row.
    fn brief(&self, brief: &Brief, row: usize) -> Brief {
        let at = |column: Option<&[f64]>| {
            column.and_then(|column| column.get(row).copied()).filter(|x| !x.is_nan())
        };
        let mut moved = brief.clone();
        let duty = &mut moved.duty;
        duty.temperature_c = at(self.temperature_c).or(duty.temperature_c);
        duty.relative_humidity_pct = at(self.relative_humidity_pct).or(duty.relative_humidity_pct);
        duty.so2_mg_m2_day = at(self.so2_mg_m2_day).or(duty.so2_mg_m2_day);
        duty.chloride_mg_m2_day = at(self.chloride_mg_m2_day).or(duty.chloride_mg_m2_day);
        duty.required_years = at(self.required_years).unwrap_or(duty.required_years);
        duty.shelter = self.shelter.and_then(|column| column.get(row).copied().flatten()).or(duty.shelter);
        moved
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The best of a row is the first of the ranking of that row's brief, by the kernel and row by row, also where salt
    /// adds findings that settle a tie.
    #[test]
    fn the_best_of_a_row_is_the_first_of_its_ranking() {
        let catalog = Catalog::built_in();
        let air = r#""temperature_c": 10, "relative_humidity_pct": 77, "so2_mg_m2_day": 5"#;
        for (air, shelter) in
            [(air, "open"), (air, "sheltered"), (air, "indoor"), (r#""place": "coastal""#, "open")]
        {
            let text = format!(
                r#"{{"schema": "overcoat.brief.v1", "name": "x",
                    "part": {{"form": "bracket", "mass_g": 300, "surface_dm2": 2.5}},
                    "duty": {{{air}, "shelter": "{shelter}", "required_years": 5, "mating_metals": ["stainless_304"]}},
                    "wants": {{"other_base_metals": ["weathering_steel", "steel_4_6"]}}}}"#
            );
            let brief = Brief::from_json(&text).unwrap();
            let rows = Rows::new(&brief, None, catalog).unwrap();
            let chloride = [1.0, 2.9, 3.1, 20.0, 59.0, 61.0, 300.0, 900.0];
            let columns =
                MovedColumns { rows: 8, chloride_mg_m2_day: Some(&chloride), ..MovedColumns::default() };
            let mut answers = PartAnswers::default();
            rows.run_part(&columns, true, &mut PartScratch::default(), &mut answers).unwrap();
            for (row, deposition) in chloride.iter().enumerate() {
                let best = rows.best_of(&columns, row, &answers);
                let ranking = rank(&columns.brief(&brief, row), catalog).unwrap();
                assert_eq!(rows.builds()[best], ranking.options[0].build, "{air} {shelter} {deposition}");
            }
        }
    }
}
