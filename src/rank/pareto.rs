//! Builds that no other beats in both cost and probability.

/// Marks the front among (cost, probability) pairs: nothing else is at least as cheap and at least as likely,
/// and better in one of the two.
pub(super) fn front(points: &[(f64, f64)]) -> Vec<bool> {
    points
        .iter()
        .map(|(cost, probability)| {
            !points.iter().any(|(c, p)| c <= cost && p >= probability && (c < cost || p > probability))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_front_keeps_what_nothing_beats() {
        let points = [(1.0, 0.2), (2.0, 0.9), (3.0, 0.9), (4.0, 0.95), (1.0, 0.1)];
        assert_eq!(front(&points), [true, true, false, true, false]);
        assert_eq!(front(&[(1.0, 0.5), (1.0, 0.5)]), [true, true]);
    }
}
