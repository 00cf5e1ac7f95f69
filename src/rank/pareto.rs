//! Builds that no other beats in both cost and probability.

/// Marks the front among (cost, probability) pairs: nothing else is at least as cheap and at least as likely,
/// and better in one of the two. Pairs that are equal stay together.
pub(crate) fn front(points: &[(f64, f64)]) -> Vec<bool> {
    let mut order: Vec<(f64, f64, usize)> =
        points.iter().enumerate().map(|(index, (cost, probability))| (*cost, *probability, index)).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.total_cmp(&a.1)));
    let mut on_front = vec![false; points.len()];
    // the likeliest so far, and what it costs: only what is likelier, or is the same pair, joins
    let mut last: Option<(f64, f64)> = None;
    for (cost, probability, index) in order {
        let joins = last.is_none_or(|(c, p)| probability > p || (probability == p && cost == c));
        if joins {
            last = Some((cost, probability));
        }
        if let Some(mark) = on_front.get_mut(index) {
            *mark = joins;
        }
    }
    on_front
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_front_keeps_what_nothing_beats() {
        let points = [(1.0, 0.2), (2.0, 0.9), (3.0, 0.9), (4.0, 0.95), (1.0, 0.1)];
        assert_eq!(front(&points), [true, true, false, true, false]);
        assert_eq!(front(&[(1.0, 0.5), (1.0, 0.5)]), [true, true]);
    }

    proptest! {
        /// The definition, pair by pair; few values, so that ties are common.
        #[test]
        fn the_front_is_what_no_pair_beats(points in prop::collection::vec((0..6_u8, 0..6_u8), 0..20)) {
            let points: Vec<(f64, f64)> = points.iter().map(|(c, p)| (f64::from(*c), f64::from(*p))).collect();
            let beaten = |(cost, probability): (f64, f64)| {
                points.iter().any(|&(c, p)| {
                    c <= cost && p >= probability && (c < cost || p > probability)
                })
            };
            let wanted: Vec<bool> = points.iter().map(|point| !beaten(*point)).collect();
            prop_assert_eq!(front(&points), wanted);
        }
    }
}
