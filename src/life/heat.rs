//! What the heat of the part does to its years: a hot part is dry, and its layers age faster.

use crate::brief::AMBIENT_C;
use crate::evidence::Source;

/// Source of how dry a hot part is.
pub(crate) const DRY_WHILE_HOT: Source = Source::derived(
    "liquid water is on pipe at 50 to 140 °C and not at 315 °C while it runs, which then rusts at shutdown (a \
     coating maker, read); a smooth step from 40 to 140 °C set between; closed in, steel rusts up to 177 °C (an \
     expert's answer on corrosion under insulation, read)",
);

/// Source of how heat ages a layer.
pub(crate) const AGEING_IN_HEAT: Source = Source::assumption(
    "a layer ages at its usual rate up to 40 °C and lasts 20 000 h, 2.3 years, at its limit for long; between, the \
     logarithm of the rate rises in a straight line",
);

/// Temperature from which a part is dry, °C.
const DRY_C: f64 = 140.0;
/// Years at the limit for long: 20 000 h.
const YEARS_AT_LIMIT: f64 = 2.3;

/// Share of the time in which water can be on a part (0 to 1) that is so hot for long, and cold for a share of the
/// year: 1 up to 40 °C, falling in a smooth step to the cold share at 140 °C. Sources: `DRY_WHILE_HOT`,
/// `COLD_SHARE`.
///
/// ```
/// use overcoat::life::wet_share;
/// assert_eq!((wet_share(20.0, 0.1), wet_share(140.0, 0.1), wet_share(260.0, 0.1)), (1.0, 0.1, 0.1));
/// assert!((wet_share(90.0, 0.1) - 0.55).abs() < 1e-12);
/// ```
pub fn wet_share(heat_continuous_c: f64, cold_share: f64) -> f64 {
    let wet = ((DRY_C - heat_continuous_c) / (DRY_C - AMBIENT_C)).clamp(0.0, 1.0);
    cold_share + (1.0 - cold_share) * wet * wet * (3.0 - 2.0 * wet)
}

/// Rate of aging, 1/a, at a temperature, from that up to 40 °C, for a layer with a limit for long
/// (`AGEING_IN_HEAT`).
pub(super) fn hot_ageing(per_year: f64, heat_continuous_c: f64, limit_c: Option<f64>) -> f64 {
    let Some(limit_c) = limit_c.filter(|_| heat_continuous_c > AMBIENT_C) else { return per_year };
    let share = ((heat_continuous_c - AMBIENT_C) / (limit_c - AMBIENT_C)).clamp(0.0, 1.0);
    let at_limit = per_year.max(1.0 / YEARS_AT_LIMIT);
    per_year * (at_limit / per_year).powf(share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ageing_rises_from_its_usual_rate_to_that_at_the_limit() {
        let at = |c| hot_ageing(0.1, c, Some(240.0));
        assert_eq!((at(20.0), at(40.0)), (0.1, 0.1));
        assert!((at(240.0) - 1.0 / 2.3).abs() < 1e-12 && (at(300.0) - 1.0 / 2.3).abs() < 1e-12);
        // halfway the geometric mean
        assert!((at(140.0) - (0.1_f64 / 2.3).sqrt()).abs() < 1e-12);
        // what ages faster than that already is not slowed down; what has no limit does not age by heat
        assert_eq!((hot_ageing(3.0, 200.0, Some(240.0)), hot_ageing(0.1, 500.0, None)), (3.0, 0.1));
    }
}
