//! What comes out: vectors with one element per row and build, rows one after the other.

use crate::atmosphere::Category;
use crate::sweep::Reason;

/// The results of a sweep: element `row · builds + build` of each vector.
///
/// Where [`reason`](Self::reason) says that a row has no result, its numbers are NaN, its category is `None`
/// and it is not marked as blocked. See [the module](super) for an example.
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
    /// Years that 90 % of the cases exceed.
    pub p10_years: Vec<f64>,
    /// Years that 10 % of the cases exceed.
    pub p90_years: Vec<f64>,
    /// Probability of no failure within the required years.
    pub probability_ok: Vec<f64>,
    /// Score, 0 to 1; 0 where blocked.
    pub score: Vec<f64>,
    /// Whether the build cannot be used.
    pub blocked: Vec<bool>,
    /// What became of the row.
    pub reason: Vec<Reason>,
}

/// The same columns of some rows, to be written.
#[derive(Debug, Default)]
pub(super) struct Block<'a> {
    pub(super) build: &'a mut [u16],
    pub(super) first_year_loss_um: &'a mut [f64],
    pub(super) category: &'a mut [Option<Category>],
    pub(super) median_years: &'a mut [f64],
    pub(super) p10_years: &'a mut [f64],
    pub(super) p90_years: &'a mut [f64],
    pub(super) probability_ok: &'a mut [f64],
    pub(super) score: &'a mut [f64],
    pub(super) blocked: &'a mut [bool],
    pub(super) reason: &'a mut [Reason],
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

    /// Gives every vector the length of the results.
    pub(super) fn prepare(&mut self, results: usize) {
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
        numbers(&mut self.score, results);
        if self.build.capacity() < results {
            self.build = vec![0; results];
        }
        self.build.resize(results, 0);
        self.category.resize(results, None);
        self.blocked.resize(results, false);
        self.reason.resize(results, Reason::Ok);
    }

    pub(super) fn block(&mut self) -> Block<'_> {
        Block {
            build: &mut self.build,
            first_year_loss_um: &mut self.first_year_loss_um,
            category: &mut self.category,
            median_years: &mut self.median_years,
            p10_years: &mut self.p10_years,
            p90_years: &mut self.p90_years,
            probability_ok: &mut self.probability_ok,
            score: &mut self.score,
            blocked: &mut self.blocked,
            reason: &mut self.reason,
        }
    }
}

impl<'a> Block<'a> {
    /// Takes the first `results` results out.
    pub(super) fn take(&mut self, results: usize) -> Self {
        fn front<'a, T>(column: &mut &'a mut [T], results: usize) -> &'a mut [T] {
            let all = std::mem::take(column);
            let (front, rest) = all.split_at_mut(results.min(all.len()));
            *column = rest;
            front
        }
        Block {
            build: front(&mut self.build, results),
            first_year_loss_um: front(&mut self.first_year_loss_um, results),
            category: front(&mut self.category, results),
            median_years: front(&mut self.median_years, results),
            p10_years: front(&mut self.p10_years, results),
            p90_years: front(&mut self.p90_years, results),
            probability_ok: front(&mut self.probability_ok, results),
            score: front(&mut self.score, results),
            blocked: front(&mut self.blocked, results),
            reason: front(&mut self.reason, results),
        }
    }
}
