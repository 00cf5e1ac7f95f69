//! The columnar engine: every build of a brief at every row of a table, by the code that also serves one row.
//!
//! | file | idea |
//! | --- | --- |
//! | `columns` | input: slices of equal length |
//! | `output` | results: vectors with one element per row and build |
//! | `reason` | why a row has no result, or a weaker one |
//! | `plan` | what is the same for all rows of one shelter, computed once |
//! | `rows` | the loops over rows and builds |
//! | `tasks` | parts of a table, in turn or on threads |
//! | `moved` | rows that move some of a brief's inputs and leave others |
//! | `table` | tables whose columns are any fields of the duty, the best build of each row, columns asked for |
//! | `arrow` | record batches in and out (feature `arrow`) |

#[cfg(feature = "arrow")]
mod arrow;
mod columns;
mod moved;
mod output;
mod plan;
mod reason;
mod rows;
#[cfg_attr(
    not(any(feature = "arrow", feature = "command")),
    expect(dead_code, reason = "record batches and files bring the tables")
)]
pub(crate) mod table;
mod tasks;

#[cfg(feature = "arrow")]
#[doc(hidden)]
pub use arrow::{CheckedTable, ResultBuffers, Words, chosen, in_order};
#[cfg(feature = "arrow")]
pub use arrow::{TableRequest, output_schema, sweep_batches};
pub use columns::Columns;
pub use moved::{MovedColumns, Rows};
pub use output::{Output, OutputSlices};
pub use reason::Reason;
pub(crate) use reason::RowInputs;
#[doc(hidden)]
pub use table::{
    Asked, NOT_BLOCKED, ResultSlices, RowRemark, RowSource, TableSweep, Variants, has_result, obeyed_columns,
};
pub use table::{BURDEN, DANGERS, RESULT_COLUMNS, known_columns, row_status_words};

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::{Brief, WishedBuild};
use crate::catalog::Catalog;
use crate::error::{InvalidTable, invalid};
use crate::finish::Build;
use crate::rank::candidates;
use plan::Plan;
use rows::{Scratch, run_rows};
#[cfg(feature = "report")]
pub(crate) use tasks::each_in_order;
use tasks::run_tasks;

/// Rows times builds that one task computes: small enough to spread over threads, large enough to be worth it.
const TASK_RESULTS: usize = 16_384;

/// A brief and its builds, prepared for tables of any length.
#[derive(Debug, Clone)]
pub struct Sweep {
    brief: Brief,
    builds: Vec<Build>,
    plan: Plan,
}

impl Sweep {
    /// Prepares a brief with the builds to compare; `None` takes those that [`rank`](crate::rank::rank()) would.
    ///
    /// Of the duty, the rows replace the described place, a measured first-year loss, a corrosivity category and the four inputs. A
    /// place still brings its shelter where neither the brief nor the table has one, and salted roads add their
    /// chloride to every row, like in a ranking.
    ///
    /// # Errors
    /// What [`rank`](crate::rank::rank()) rejects in a brief or a build; more than 65 535 builds.
    pub fn new(brief: &Brief, builds: Option<&[Build]>, catalog: &Catalog) -> Result<Self> {
        let mut base = brief.checked_in(catalog)?.into_owned();
        if let Some(builds) = builds {
            base.wants.builds = Some(builds.iter().map(wished).collect());
        }
        let (builds, _) = candidates(&base, catalog)?;
        base.wants.builds = Some(builds.iter().map(wished).collect());
        let place = base.duty.place.take();
        let place = place.map(|name| catalog.place(&name).map_err(|e| e.within("duty"))).transpose()?;
        let shelter = base.duty.shelter.or(place.map(|p| p.shelter)).unwrap_or(Shelter::Open);
        base.duty.shelter = Some(shelter);
        base.duty.first_year_steel_loss_um = None;
        base.duty.corrosivity = None;
        let plan = Plan::new(&base, &builds, catalog)?;
        Ok(Self { brief: base, builds, plan })
    }

    /// The builds, in the order of their codes in [`Output::build`].
    pub fn builds(&self) -> &[Build] {
        &self.builds
    }

    /// Whether a cost has prices without the currency of the catalog.
    fn is_relative_in_part(&self) -> bool {
        self.plan.relative_in_part
    }

    /// The brief of one row, so that [`rank`](crate::rank::rank()) can explain it; rows count from 0.
    ///
    /// # Errors
    /// A row beyond the table; a row without a shelter.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, rank::rank, study::{Columns, Output, Sweep}};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket", "base_metal": "steel_4_6"}, "duty": {"required_years": 5}}"#)?;
    /// let sweep = Sweep::new(&brief, None, Catalog::built_in())?;
    /// let columns = Columns {
    ///     temperature_c: &[9.0],
    ///     relative_humidity_pct: &[78.0],
    ///     so2_mg_m2_day: &[3.0],
    ///     chloride_mg_m2_day: &[2.0],
    ///     required_years: None,
    ///     shelter: None,
    /// };
    /// let ranking = rank(&sweep.row_brief(&columns, 0)?, Catalog::built_in())?;
    /// let mut output = Output::default();
    /// sweep.run(&columns, &mut output, 1)?;
    /// let best = ranking.best().unwrap();
    /// let code = sweep.builds().iter().position(|build| *build == best.build).unwrap();
    /// assert!((output.score[code] - best.score.value).abs() < 1e-12);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn row_brief(&self, columns: &Columns<'_>, row: usize) -> Result<Brief> {
        let rows = columns.check()?;
        let beyond = || invalid("row", row, &format!("less than {rows}"), "Rows count from 0.");
        let shelter = match columns.shelter {
            None => self.brief.duty.shelter,
            Some(column) => match column.get(row).ok_or_else(beyond)? {
                None => return Err(invalid("shelter", "missing", "a shelter", "Fill the column.")),
                given => *given,
            },
        };
        let at = |column: &[f64]| column.get(row).copied().ok_or_else(beyond);
        let mut brief = self.brief.clone();
        brief.duty.temperature_c = Some(at(columns.temperature_c)?);
        brief.duty.relative_humidity_pct = Some(at(columns.relative_humidity_pct)?);
        brief.duty.so2_mg_m2_day = Some(at(columns.so2_mg_m2_day)?);
        brief.duty.chloride_mg_m2_day = Some(at(columns.chloride_mg_m2_day)?);
        brief.duty.required_years = columns.required_years.map_or(Ok(brief.duty.required_years), at)?;
        brief.duty.shelter = shelter;
        Ok(brief)
    }

    /// The number of results for a table: rows times builds.
    ///
    /// # Errors
    /// Columns of unequal length; more results than can be counted or held in memory.
    pub fn results(&self, columns: &Columns<'_>) -> Result<usize> {
        self.results_of(columns.check()?)
    }

    /// The number of results for so many rows.
    pub(crate) fn results_of(&self, rows: usize) -> Result<usize> {
        let builds = self.builds.len();
        let results = rows.checked_mul(builds).filter(|results| fits_in_memory(*results));
        results.ok_or_else(|| {
            InvalidTable {
                column: "temperature_c".to_owned(),
                row: None,
                reason: format!("{rows} rows of {builds} builds are more than memory can hold"),
                remedy: "Sweep the table in parts.".to_owned(),
            }
            .into()
        })
    }

    /// Computes every build at every row, rows one after the other, each with its builds.
    ///
    /// `output` is set to the length of the results; used again for tables of the same length it needs no new memory,
    /// which would cost more than the sweep. `threads` is the number of threads, 0 for as many as the machine has;
    /// without the feature `threads` there is one. A row with a bad value has no results but a [`Reason`].
    ///
    /// # Errors
    /// Columns of unequal length.
    pub fn run(&self, columns: &Columns<'_>, output: &mut Output, threads: usize) -> Result<()> {
        output.resize(self.results(columns)?);
        self.run_into(columns, output.slices(), threads)
    }

    /// As [`run`](Self::run), into memory of the caller, of exactly the length of the results.
    ///
    /// # Errors
    /// Columns of unequal length, of the input or of the output.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, study::{Columns, Output, OutputSlices, Sweep}};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "x",
    /// #     "part": {"form": "bracket", "base_metal": "steel_4_6"}, "duty": {"required_years": 5}}"#)?;
    /// # let sweep = Sweep::new(&brief, None, Catalog::built_in())?;
    /// # let columns = Columns {
    /// #     temperature_c: &[9.0],
    /// #     relative_humidity_pct: &[78.0],
    /// #     so2_mg_m2_day: &[3.0],
    /// #     chloride_mg_m2_day: &[2.0],
    /// #     required_years: None,
    /// #     shelter: None,
    /// # };
    /// let mut output = Output::default();
    /// output.resize(sweep.results(&columns)?);
    /// let mut scores = vec![0.0; sweep.results(&columns)?];
    /// sweep.run_into(&columns, OutputSlices { score: &mut scores, ..output.slices() }, 1)?;
    /// assert!(scores.iter().any(|score| *score > 0.0));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn run_into(&self, columns: &Columns<'_>, output: OutputSlices<'_>, threads: usize) -> Result<()> {
        let rows = columns.check()?;
        let builds = self.builds.len();
        output.check(self.results(columns)?)?;
        let task_rows = self.task_rows();
        let mut rest = output;
        let tasks: Vec<(Columns<'_>, OutputSlices<'_>)> = (0..rows)
            .step_by(task_rows)
            .map(|start| {
                let part = columns.part(start, task_rows);
                let block = rest.take(part.temperature_c.len() * builds);
                (part, block)
            })
            .collect();
        run_tasks(tasks, threads, |(columns, block), scratch: &mut Scratch| {
            run_rows(&self.plan, &columns, block, scratch);
        });
        Ok(())
    }

    /// Rows that one task computes.
    fn task_rows(&self) -> usize {
        TASK_RESULTS.div_ceil(self.builds.len())
    }
}

/// Whether the system would give the memory of this many results; asked only where there are so many that it may
/// not, since a vector that gets none ends the process.
fn fits_in_memory(results: usize) -> bool {
    const RESULT_BYTES: usize = 64;
    const SURELY: usize = 1 << 24;
    results <= SURELY
        || results
            .checked_mul(RESULT_BYTES)
            .is_some_and(|bytes| Vec::<u8>::new().try_reserve_exact(bytes).is_ok())
}

fn wished(build: &Build) -> WishedBuild {
    WishedBuild {
        base_metal: Some(build.base_metal.clone()),
        treatment: Some(build.treatment.clone()),
        films: Some(build.films.clone()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::atmosphere::Category;

    fn sweep() -> Sweep {
        let brief = Brief::from_json(
            r#"{"schema": "overcoat.brief.v1", "name": "x", "part": {"form": "bracket", "base_metal": "steel_4_6"},
                "duty": {"required_years": 5}}"#,
        )
        .unwrap();
        Sweep::new(&brief, Some(&[Build::new("steel_4_6", "none", ["hard_wax"])]), Catalog::built_in())
            .unwrap()
    }

    /// More than any machine holds is refused before memory is requested; some millions more than are taken without
    /// asking are still taken.
    #[test]
    fn results_beyond_memory_are_refused() {
        for rows in [1 << 50, 1 << 60, usize::MAX] {
            assert_eq!(sweep().results_of(rows).unwrap_err().field(), "temperature_c", "{rows}");
        }
        for rows in [0, 1, 1 << 24, (1 << 24) + 1] {
            assert_eq!(sweep().results_of(rows).unwrap(), rows);
        }
    }

    /// A loss on the upper bound belongs to the category below (ISO 9223, table 2).
    #[test]
    fn a_category_ends_with_its_bound() {
        let plan = sweep().plan;
        for (loss_um, category) in [
            (1.3, Category::C1),
            (25.0, Category::C2),
            (25.1, Category::C3),
            (50.0, Category::C3),
            (80.0, Category::C4),
            (200.0, Category::C5),
            (200.1, Category::Cx),
        ] {
            assert_eq!(plan.category(loss_um), Some(category), "{loss_um}");
        }
    }
}
