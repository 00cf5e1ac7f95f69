//! Cost over the required years of each result, for those who ask: the sweep itself needs its desirability only.

use crate::Result;
use crate::atmosphere::Shelter;
use crate::life::Found;
use crate::study::{Columns, Output, Sweep};

impl Sweep {
    /// Cost of a thousand pieces over the required years ([`cost`](crate::rank::cost())) of each result of a table,
    /// in the currency of the catalog; NaN where the row has no result.
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
    /// let mut output = Output::default();
    /// sweep.run(&columns, &mut output, 1)?;
    /// let costs = sweep.costs_per_thousand(&columns, &output)?;
    /// let ranking = rank(&sweep.row_brief(&columns, 0)?, Catalog::built_in())?;
    /// let best = ranking.best().unwrap();
    /// let code = sweep.builds().iter().position(|build| *build == best.build).unwrap();
    /// assert!((costs[code] / best.cost.per_thousand - 1.0).abs() < 1e-12);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    ///
    /// # Errors
    /// Columns of unequal length; an output of another table.
    pub fn costs_per_thousand(&self, columns: &Columns<'_>, output: &Output) -> Result<Vec<f64>> {
        let rows = columns.check()?;
        let plan = &self.plan;
        if output.len() != rows * plan.builds {
            return Err(crate::error::table_error(
                "median_years",
                None,
                format!("{} results where {rows} rows of {} builds were expected", output.len(), plan.builds),
                "Give the output of this table.",
            ));
        }
        let mut costs = Vec::with_capacity(output.len());
        let results =
            output.median_years.chunks(plan.builds.max(1)).zip(output.reason.chunks(plan.builds.max(1)));
        for (row, (medians, reasons)) in results.enumerate() {
            let at = |column: &[f64]| column.get(row).copied().unwrap_or(f64::NAN);
            let required_years = columns.required_years.map_or(plan.required_years, at);
            let shelter = columns.shelter.map_or(plan.shelter, |column| column.get(row).copied().flatten());
            for (build, (median_years, reason)) in medians.iter().zip(reasons).enumerate() {
                costs.push(if reason.has_result() {
                    self.cost_of(build, shelter, required_years, *median_years)
                } else {
                    f64::NAN
                });
            }
        }
        Ok(costs)
    }

    /// Cost of a thousand pieces of a build over the required years; NaN where there is no such build.
    pub(super) fn cost_of(
        &self,
        build: usize,
        shelter: Option<Shelter>,
        required_years: f64,
        median_years: f64,
    ) -> f64 {
        let plan = &self.plan;
        // of the place only the shelter counts in a purchase
        let under = plan.under(shelter.unwrap_or(Shelter::Open));
        let found = Found { median_years, ..Found::default() };
        under
            .and_then(|under| under.builds.get(build))
            .map_or(f64::NAN, |planned| plan.scale.scored_one(&planned.fixed, &found, required_years).cost)
    }
}
