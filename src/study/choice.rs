//! The best build and the Pareto front of each row of a table of results.

use std::collections::HashMap;

use crate::Result;
use crate::catalog::Catalog;
use crate::error::table_error;
use crate::rank::{Burden, Standing, first, front, tied};

/// What the bath of a treatment adds to the column `burden` of a table of results: 1,000,000 where it contains hexavalent
/// chromium, 0 otherwise and where the catalog does not know the treatment.
///
/// ```
/// use overcoat::{Catalog, study::bath_burden};
/// assert_eq!(bath_burden("hot_alkaline", Catalog::built_in()), 0.0);
/// ```
pub fn bath_burden(treatment: &str, catalog: &Catalog) -> f32 {
    let known = catalog.treatment(treatment);
    known.map_or_else(|_| Burden::default(), |known| Burden::of(known, &[])).in_column()
}

/// Results of builds at rows, one element per result.
///
/// Results of a row need not lie together, so that a table may have been sorted or cut in between.
#[derive(Debug, Clone, Copy)]
pub struct Results<'a> {
    /// The row that a result belongs to.
    pub row: &'a [i64],
    /// Score; NaN where the row has no result.
    pub score: &'a [f64],
    /// Probability of no failure within the required years.
    pub probability_ok: &'a [f64],
    /// Cost of a thousand pieces, where known.
    pub cost_per_thousand: Option<&'a [f64]>,
    /// Whether the build cannot be used.
    pub blocked: &'a [bool],
    /// What settles ties before the probability: the column `burden` of a sweep, or of each treatment's bath alone
    /// ([`bath_burden`]).
    pub burden: Option<&'a [f64]>,
}

impl Results<'_> {
    /// The best open build of each row, as places in the columns, rows in the order of their first result; none for
    /// a row whose builds are all blocked or without a result.
    ///
    /// The order is that of a ranking: score, then among scores that tie (within 1%) the lower burden, the higher
    /// probability, the lower cost, the last two and the burden where they are known; builds equal in all of these in the
    /// order in which they stand.
    ///
    /// ```
    /// use overcoat::study::Results;
    /// let results = Results {
    ///     row: &[7, 7, 8, 8],
    ///     score: &[0.4, 0.6, 0.0, f64::NAN],
    ///     probability_ok: &[0.5, 0.7, 0.9, f64::NAN],
    ///     cost_per_thousand: None,
    ///     blocked: &[false, false, true, false],
    ///     burden: None,
    /// };
    /// assert_eq!(results.best()?, [Some(1), None]);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    ///
    /// # Errors
    /// Columns of unequal length.
    pub fn best(&self) -> Result<Vec<Option<usize>>> {
        let best = |members: &Vec<usize>| {
            let at =
                |member: usize| members.get(member).map(|place| self.standing(*place)).unwrap_or_default();
            members.get(first(members.len(), |member| (false, at(member).score), at)).copied()
        };
        Ok(self.members()?.iter().map(best).collect())
    }

    /// Whether in some row several open builds share rank 1, so that the burden settles which is the best.
    ///
    /// # Errors
    /// Columns of unequal length.
    pub fn has_ties(&self) -> Result<bool> {
        let tie = |members: &Vec<usize>| {
            let standings = members.iter().map(|place| self.standing(*place));
            tied(&standings.collect::<Vec<_>>()) > 1
        };
        Ok(self.members()?.iter().any(tie))
    }

    /// The open results of each row.
    fn members(&self) -> Result<Vec<Vec<usize>>> {
        let (numbers, rows) = self.numbered()?;
        let mut members: Vec<Vec<usize>> = vec![Vec::new(); rows];
        for (place, number) in numbers.iter().enumerate() {
            if self.is_open(place)
                && let Some(row) = members.get_mut(*number)
            {
                row.push(place);
            }
        }
        Ok(members)
    }

    /// Whether each result is on the Pareto front of its row: open, and no other open build of the row is at least
    /// as cheap and at least as likely, and better in one of the two. Equal ones stay together.
    ///
    /// # Errors
    /// Columns of unequal length; no cost.
    pub fn on_front(&self) -> Result<Vec<bool>> {
        let Some(cost) = self.cost_per_thousand else {
            return Err(table_error(
                "cost_per_thousand",
                None,
                "missing",
                "Make the table with a grid, which brings the cost.",
            ));
        };
        let mut on_front = vec![false; self.row.len()];
        for row in self.members()? {
            let points: Vec<(f64, f64)> = row
                .iter()
                .filter_map(|&place| Some((*cost.get(place)?, *self.probability_ok.get(place)?)))
                .collect();
            for (place, marked) in row.into_iter().zip(front(&points)) {
                if let Some(mark) = on_front.get_mut(place) {
                    *mark = marked;
                }
            }
        }
        Ok(on_front)
    }

    fn is_open(&self, place: usize) -> bool {
        self.blocked.get(place) == Some(&false) && self.score.get(place).is_some_and(|score| !score.is_nan())
    }

    fn standing(&self, place: usize) -> Standing {
        let at = |column: &[f64]| column.get(place).copied().unwrap_or_default();
        Standing {
            blocked: false,
            score: at(self.score),
            probability_ok: at(self.probability_ok),
            cost: self.cost_per_thousand.map_or(0.0, at),
            burden: self.burden.map(|column| Burden::of_column(at(column))).unwrap_or_default(),
        }
    }

    /// The row of each result, numbered from 0 in the order of first appearance, and how many rows there are.
    fn numbered(&self) -> Result<(Vec<usize>, usize)> {
        let length = self.row.len();
        for (column, found) in [
            ("score", Some(self.score.len())),
            ("probability_ok", Some(self.probability_ok.len())),
            ("cost_per_thousand", self.cost_per_thousand.map(<[f64]>::len)),
            ("blocked", Some(self.blocked.len())),
            ("burden", self.burden.map(<[f64]>::len)),
        ] {
            if let Some(found) = found
                && found != length
            {
                return Err(table_error(
                    column,
                    None,
                    format!("it has {found} rows where `row` has {length}"),
                    "Give columns of equal length.",
                ));
            }
        }
        let mut known: HashMap<i64, usize> = HashMap::new();
        let mut last: Option<(i64, usize)> = None;
        let numbers = self.row.iter().map(|&row| {
            if let Some((before, number)) = last
                && before == row
            {
                return number;
            }
            let next = known.len();
            let number = *known.entry(row).or_insert(next);
            last = Some((row, number));
            number
        });
        let numbers = numbers.collect();
        Ok((numbers, known.len()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finish::ChromateUse;

    fn results_of_no_burden(results: &Results) -> Vec<Option<usize>> {
        Results { burden: Some(&[0.0; 3]), ..*results }.best().unwrap()
    }

    #[test]
    fn a_bath_of_hexavalent_chromium_weighs_more_than_any_finding() {
        let catalog = Catalog::built_in();
        let baths: Vec<&String> = catalog
            .content()
            .treatments
            .iter()
            .filter(|(_, t)| t.hexavalent_chromium == ChromateUse::Bath)
            .map(|(name, _)| name)
            .collect();
        assert!(!baths.is_empty());
        assert!(baths.iter().all(|name| bath_burden(name, catalog) == 1_000_000.0));
        assert_eq!(bath_burden("of no catalog", catalog), 0.0);
    }

    #[test]
    fn ties_go_to_the_likelier_the_cheaper_and_the_first() {
        let best = |score: [f64; 3], probability_ok: [f64; 3], cost: Option<[f64; 3]>| {
            let results = Results {
                row: &[0, 0, 0],
                score: &score,
                probability_ok: &probability_ok,
                cost_per_thousand: cost.as_ref().map(<[f64; 3]>::as_slice),
                blocked: &[false; 3],
                burden: Some(&[0.0; 3]),
            };
            let light = Results { burden: Some(&[100_000.0, 200.0, 201.0]), score: &[0.5; 3], ..results };
            assert_eq!(light.best().unwrap(), [Some(1)], "the bath last, then fewer and milder findings");
            let unknown = Results { burden: None, score: &[0.5; 3], ..results };
            assert_eq!(unknown.best().unwrap(), results_of_no_burden(&unknown), "as if all were equal");
            results.best().unwrap()
        };
        assert_eq!(best([0.5, 0.5, 0.4], [0.1, 0.2, 0.9], None), [Some(1)]);
        assert_eq!(best([0.5, 0.5, 0.5], [0.2, 0.2, 0.2], Some([3.0, 2.0, 2.0])), [Some(1)]);
        assert_eq!(best([0.5, 0.5, 0.5], [0.2, 0.2, 0.2], None), [Some(0)]);
    }

    #[test]
    fn rows_may_lie_apart_and_columns_must_be_of_one_length() {
        let results = Results {
            row: &[3, 1, 3, 1],
            score: &[0.1, 0.2, 0.3, 0.1],
            probability_ok: &[0.5, 0.5, 0.6, 0.9],
            cost_per_thousand: Some(&[1.0, 1.0, 2.0, 0.5]),
            blocked: &[false, false, false, true],
            burden: None,
        };
        assert_eq!(results.best().unwrap(), [Some(2), Some(1)]);
        assert_eq!(results.on_front().unwrap(), [true, true, true, false]);
        assert_eq!(Results { score: &[0.1], ..results }.best().unwrap_err().field(), "score");
        let error = Results { cost_per_thousand: None, ..results }.on_front().unwrap_err();
        assert_eq!(error.field(), "cost_per_thousand");
    }
}
