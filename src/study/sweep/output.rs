//! Results: vectors with one element per row and build, rows one after the other.

use crate::Result;
use crate::atmosphere::Category;
use crate::error::InvalidTable;
use crate::study::Reason;

/// The results of a sweep: element `row · builds + build` of each vector.
///
/// Where [`reason`](Self::reason) says that a row has no result, its numbers are NaN, its category is `None`
/// and it is not marked as blocked. See [the module](crate::study) for an example.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Output {
    /// Code of the build: its place in [`Sweep::builds`](super::Sweep::builds).
    pub build: Vec<u16>,
    /// Loss of bare steel in the first year, µm.
    pub first_year_loss_um: Vec<f64>,
    /// Corrosivity category of that loss.
    pub category: Vec<Option<Category>>,
    /// Years that half of the cases exceed.
    pub median_years: Vec<f64>,
    /// Years that 90% of the cases exceed.
    pub p10_years: Vec<f64>,
    /// Years that 10% of the cases exceed.
    pub p90_years: Vec<f64>,
    /// Probability of no failure within the required years.
    pub probability_ok: Vec<f64>,
    /// Cost of a thousand pieces over the required years ([`cost`](crate::rank::cost())), in the currency of the catalog.
    pub cost_per_thousand: Vec<f64>,
    /// Score, 0 to 1; 0 where blocked.
    pub score: Vec<f64>,
    /// Whether it meets the probability requested: open, and the required years within the evidence.
    pub met: Vec<bool>,
    /// Whether the build cannot be used.
    pub blocked: Vec<bool>,
    /// What became of the row, and whether the required years lie beyond what is known of the build.
    pub reason: Vec<Reason>,
}

/// The columns of an [`Output`] as slices, for memory that the caller owns.
///
/// Fresh memory of many megabytes costs more than the sweep: the system clears it page by page. Use it again, or
/// take it where large pages are requested.
#[derive(Debug, Default)]
pub struct OutputSlices<'a> {
    /// As [`Output::build`].
    pub build: &'a mut [u16],
    /// As [`Output::first_year_loss_um`].
    pub first_year_loss_um: &'a mut [f64],
    /// As [`Output::category`].
    pub category: &'a mut [Option<Category>],
    /// As [`Output::median_years`].
    pub median_years: &'a mut [f64],
    /// As [`Output::p10_years`].
    pub p10_years: &'a mut [f64],
    /// As [`Output::p90_years`].
    pub p90_years: &'a mut [f64],
    /// As [`Output::probability_ok`].
    pub probability_ok: &'a mut [f64],
    /// As [`Output::cost_per_thousand`].
    pub cost_per_thousand: &'a mut [f64],
    /// As [`Output::score`].
    pub score: &'a mut [f64],
    /// As [`Output::met`].
    pub met: &'a mut [bool],
    /// As [`Output::blocked`].
    pub blocked: &'a mut [bool],
    /// As [`Output::reason`].
    pub reason: &'a mut [Reason],
}

impl Output {
    /// How many results it holds: rows times builds.
    pub fn len(&self) -> usize {
        self.build.len()
    }

    /// Whether it holds none.
    pub fn is_empty(&self) -> bool {
        self.build.is_empty()
    }

    /// Gives every vector the length of the results: rows times builds.
    pub fn resize(&mut self, results: usize) {
        // A new vector of zeros comes as pages that are first touched by the thread that fills them; growing an
        // old one would write all of it twice.
        fn numbers(column: &mut Vec<f64>, results: usize) {
            if column.capacity() < results {
                *column = vec![0.0; results];
            }
            column.resize(results, 0.0);
        }
        numbers(&mut self.first_year_loss_um, results);
        numbers(&mut self.median_years, results);
        numbers(&mut self.p10_years, results);
        numbers(&mut self.p90_years, results);
        numbers(&mut self.probability_ok, results);
        numbers(&mut self.cost_per_thousand, results);
        numbers(&mut self.score, results);
        if self.build.capacity() < results {
            self.build = vec![0; results];
        }
        self.build.resize(results, 0);
        self.category.resize(results, None);
        self.met.resize(results, false);
        self.blocked.resize(results, false);
        self.reason.resize(results, Reason::Ok);
    }

    /// Adds the results of the rows that follow.
    pub fn extend(&mut self, next: Self) {
        self.build.extend(next.build);
        self.first_year_loss_um.extend(next.first_year_loss_um);
        self.category.extend(next.category);
        self.median_years.extend(next.median_years);
        self.p10_years.extend(next.p10_years);
        self.p90_years.extend(next.p90_years);
        self.probability_ok.extend(next.probability_ok);
        self.cost_per_thousand.extend(next.cost_per_thousand);
        self.score.extend(next.score);
        self.met.extend(next.met);
        self.blocked.extend(next.blocked);
        self.reason.extend(next.reason);
    }

    /// The columns as slices.
    pub fn slices(&mut self) -> OutputSlices<'_> {
        OutputSlices {
            build: &mut self.build,
            first_year_loss_um: &mut self.first_year_loss_um,
            category: &mut self.category,
            median_years: &mut self.median_years,
            p10_years: &mut self.p10_years,
            p90_years: &mut self.p90_years,
            probability_ok: &mut self.probability_ok,
            cost_per_thousand: &mut self.cost_per_thousand,
            score: &mut self.score,
            met: &mut self.met,
            blocked: &mut self.blocked,
            reason: &mut self.reason,
        }
    }
}

impl OutputSlices<'_> {
    /// Rejects columns of another length than the results.
    pub(super) fn check(&self, results: usize) -> Result<()> {
        for (column, length) in [
            ("build", self.build.len()),
            ("first_year_loss_um", self.first_year_loss_um.len()),
            ("category", self.category.len()),
            ("median_years", self.median_years.len()),
            ("p10_years", self.p10_years.len()),
            ("p90_years", self.p90_years.len()),
            ("probability_ok", self.probability_ok.len()),
            ("cost_per_thousand", self.cost_per_thousand.len()),
            ("score", self.score.len()),
            ("met", self.met.len()),
            ("blocked", self.blocked.len()),
            ("reason", self.reason.len()),
        ] {
            if length != results {
                return Err(InvalidTable {
                    column: column.to_owned(),
                    row: None,
                    reason: format!("its length is {length} where there are {results} results"),
                    remedy: "Enter one element per row and build.".to_owned(),
                }
                .into());
            }
        }
        Ok(())
    }

    /// Splits off the first `results` results.
    pub(super) fn take(&mut self, results: usize) -> Self {
        #[expect(clippy::mut_mut, reason = "the slice itself is shortened")]
        fn front<'a, T>(column: &mut &'a mut [T], results: usize) -> &'a mut [T] {
            let all = std::mem::take(column);
            let (front, rest) = all.split_at_mut(results.min(all.len()));
            *column = rest;
            front
        }
        OutputSlices {
            build: front(&mut self.build, results),
            first_year_loss_um: front(&mut self.first_year_loss_um, results),
            category: front(&mut self.category, results),
            median_years: front(&mut self.median_years, results),
            p10_years: front(&mut self.p10_years, results),
            p90_years: front(&mut self.p90_years, results),
            probability_ok: front(&mut self.probability_ok, results),
            cost_per_thousand: front(&mut self.cost_per_thousand, results),
            score: front(&mut self.score, results),
            met: front(&mut self.met, results),
            blocked: front(&mut self.blocked, results),
            reason: front(&mut self.reason, results),
        }
    }
}
