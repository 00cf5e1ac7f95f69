//! Every build at every row of a table that moves some of a brief's inputs, with the answer of a ranking of that
//! row's brief.
//!
//! Where all four inputs of the air are known at each row, the kernel of the sweep does it; where a described place,
//! a measured loss or a distance to the sea still speaks, each row is ranked.

use crate::Result;
use crate::brief::{Brief, Exposure};
use crate::catalog::{Catalog, Shelter};
use crate::error::table_error;
use crate::finish::Build;
use crate::rank::{Lot, Question};
use crate::sweep::{Columns, Output, Reason, RowInputs, Sweep};

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

/// Results of a table with their cost.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RowAnswers {
    /// The results, rows one after the other, each with its builds.
    pub output: Output,
    /// Cost of a thousand pieces over the required years of each result; NaN where the row has none.
    pub cost_per_thousand: Vec<f64>,
}

/// A brief and its builds, prepared for tables that move some of its inputs.
///
/// ```
/// use overcoat::{brief::Brief, catalog::Catalog, finish::Build, rank::rank};
/// use overcoat::whatif::{MovedColumns, Rows};
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
/// assert_eq!(found.output.score[rows.builds().len() + code], best.score.value);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone)]
pub struct Rows<'a> {
    brief: Brief,
    catalog: &'a Catalog,
    sweep: Sweep,
    /// Whether the place changes nothing of a row whose four inputs are known.
    plain_place: bool,
}

impl<'a> Rows<'a> {
    /// Prepares a brief with the builds to compare; `None` takes those that [`rank`](crate::rank::rank()) would.
    ///
    /// # Errors
    /// Those of [`Sweep::new`].
    pub fn new(brief: &Brief, builds: Option<&[Build]>, catalog: &'a Catalog) -> Result<Self> {
        let sweep = Sweep::new(brief, builds, catalog)?;
        let place = brief.duty.place.as_deref().map(|name| catalog.place(name)).transpose()?;
        let plain_place = place.is_none_or(|place| {
            !place.climate_controlled
                && (place.first_year_steel_loss_um.is_none() || place.shelter != Shelter::Indoor)
        });
        Ok(Self { brief: brief.clone(), catalog, sweep, plain_place })
    }

    /// The builds, in the order of their codes.
    pub fn builds(&self) -> &[Build] {
        self.sweep.builds()
    }

    /// Whether a table with these columns goes through the kernel; otherwise its rows are ranked one by one.
    pub fn by_kernel(&self, columns: &MovedColumns<'_>) -> bool {
        let duty = &self.brief.duty;
        self.plain_place
            && duty.first_year_steel_loss_um.is_none()
            && (columns.temperature_c.is_some() || duty.temperature_c.is_some())
            && (columns.relative_humidity_pct.is_some() || duty.relative_humidity_pct.is_some())
            && (columns.so2_mg_m2_day.is_some() || duty.so2_mg_m2_day.is_some())
            && (columns.chloride_mg_m2_day.is_some() || duty.chloride_mg_m2_day.is_some())
    }

    /// Computes every build at every row: what [`rank`](crate::rank::rank()) says of it for the brief with the row's
    /// values put in, to 12 figures. A row with a bad value has no results but a [`Reason`].
    ///
    /// `threads` is the number of threads of the kernel, 0 for as many as the machine has; the results are the same
    /// bits for any.
    ///
    /// # Errors
    /// Columns of another length than `rows`; what [`rank`](crate::rank::rank()) refuses in the brief besides the
    /// moved values.
    pub fn run(&self, columns: &MovedColumns<'_>, threads: usize) -> Result<RowAnswers> {
        columns.check()?;
        if self.by_kernel(columns) { self.run_kernel(columns, threads) } else { self.rank_rows(columns) }
    }

    fn run_kernel(&self, columns: &MovedColumns<'_>, threads: usize) -> Result<RowAnswers> {
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
        let cost_per_thousand = self.sweep.costs_per_thousand(&columns, &output)?;
        Ok(RowAnswers { output, cost_per_thousand })
    }

    fn rank_rows(&self, columns: &MovedColumns<'_>) -> Result<RowAnswers> {
        let builds = self.builds();
        let results = columns.rows * builds.len();
        let mut answers = RowAnswers::default();
        answers.cost_per_thousand.reserve(results);
        let lot = Lot::of(&self.brief.part, &mut Vec::new())?;
        for row in 0..columns.rows {
            let inputs = columns.inputs(row);
            let reason = Reason::of(&inputs, inputs.numbers_are_usual());
            if !reason.has_result() {
                for code in 0..builds.len() {
                    answers.push_none(code, reason);
                }
                continue;
            }
            let brief = columns.brief(&self.brief, row);
            let exposure = Exposure::of(&brief, self.catalog)?;
            let indoors = exposure.shelter == Shelter::Indoor && exposure.atmosphere.inputs.is_some();
            let reason = if indoors || !exposure.atmosphere.extrapolations.is_empty() {
                Reason::Extrapolated
            } else {
                Reason::Ok
            };
            let question = Question::new(&brief, &exposure, lot, self.catalog)?;
            for (code, build) in builds.iter().enumerate() {
                let option = question.option(build.clone())?;
                let output = &mut answers.output;
                output.build.push(code_of(code));
                output.first_year_loss_um.push(exposure.atmosphere.first_year_steel_loss_um);
                output.category.push(Some(exposure.atmosphere.category));
                output.median_years.push(option.outlook.median_years);
                output.p10_years.push(option.outlook.p10_years);
                output.p90_years.push(option.outlook.p90_years);
                output.probability_ok.push(option.outlook.probability_ok);
                output.score.push(option.score.value);
                output.blocked.push(option.blocked);
                output.reason.push(reason);
                answers.cost_per_thousand.push(option.cost.per_thousand);
            }
        }
        Ok(answers)
    }
}

impl RowAnswers {
    /// Adds the results of the rows that follow.
    pub fn extend(&mut self, next: Self) {
        let Self { output, cost_per_thousand } = next;
        let own = &mut self.output;
        own.build.extend(output.build);
        own.first_year_loss_um.extend(output.first_year_loss_um);
        own.category.extend(output.category);
        own.median_years.extend(output.median_years);
        own.p10_years.extend(output.p10_years);
        own.p90_years.extend(output.p90_years);
        own.probability_ok.extend(output.probability_ok);
        own.score.extend(output.score);
        own.blocked.extend(output.blocked);
        own.reason.extend(output.reason);
        self.cost_per_thousand.extend(cost_per_thousand);
    }

    /// A result of a row that has none.
    fn push_none(&mut self, code: usize, reason: Reason) {
        let output = &mut self.output;
        output.build.push(code_of(code));
        output.category.push(None);
        output.blocked.push(false);
        output.reason.push(reason);
        for column in [
            &mut output.first_year_loss_um,
            &mut output.median_years,
            &mut output.p10_years,
            &mut output.p90_years,
            &mut output.probability_ok,
            &mut output.score,
            &mut self.cost_per_thousand,
        ] {
            column.push(f64::NAN);
        }
    }
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

    /// The values of a row, with usual ones where there is no column, so that only the columns are judged.
    fn inputs(&self, row: usize) -> RowInputs {
        let at = |column: Option<&[f64]>, usual: f64| {
            column.map_or(usual, |column| column.get(row).copied().unwrap_or(f64::NAN))
        };
        let chloride_mg_m2_day = at(self.chloride_mg_m2_day, 5.0);
        RowInputs {
            temperature_c: at(self.temperature_c, 10.0),
            relative_humidity_pct: at(self.relative_humidity_pct, 75.0),
            so2_mg_m2_day: at(self.so2_mg_m2_day, 5.0),
            chloride_mg_m2_day,
            total_chloride_mg_m2_day: chloride_mg_m2_day,
            required_years: at(self.required_years, 5.0),
            shelter: self.shelter.map_or(Some(Shelter::Open), |column| column.get(row).copied().flatten()),
        }
    }

    /// The brief with the values of a row.
    fn brief(&self, brief: &Brief, row: usize) -> Brief {
        let at = |column: Option<&[f64]>| column.and_then(|column| column.get(row).copied());
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
