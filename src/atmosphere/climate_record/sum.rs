//! Sums of millions of readings.

/// A sum that carries along what rounding takes from it (A. Neumaier, ZAMM 54, 1974, 39-51): its error is that of
/// one rounding, however many terms.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sum {
    sum: f64,
    lost: f64,
}

impl Sum {
    pub(super) fn add(&mut self, term: f64) {
        let next = self.sum + term;
        // the smaller of the two lost its last digits
        self.lost +=
            if self.sum.abs() >= term.abs() { (self.sum - next) + term } else { (term - next) + self.sum };
        self.sum = next;
    }

    pub(super) fn total(self) -> f64 {
        self.sum + self.lost
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_lost_to_a_large_term_or_to_many_small_ones() {
        let of = |terms: &mut dyn Iterator<Item = f64>| {
            let mut sum = Sum::default();
            terms.for_each(|term| sum.add(term));
            sum.total()
        };
        // independent: by hand; plain addition gives 0 and 100000.00000133288
        assert_eq!(of(&mut [1e100, 1.0, -1e100, 1.0].into_iter()), 2.0);
        assert_eq!(of(&mut [1.0, 1e100, 1.0, -1e100].into_iter()), 2.0);
        assert_eq!(of(&mut std::iter::repeat_n(0.1, 1_000_000)), 100_000.0);
    }
}
