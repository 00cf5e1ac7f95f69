//! Which layers the heat of a duty leaves.

use crate::finish::{Film, Treatment};

/// Films that stay and films that the heat destroys, each innermost first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers<'s, 'a> {
    /// Films that withstand the heat.
    pub left: &'s [(&'a str, &'a Film)],
    /// Films beyond their limit, and films above one that is.
    pub lost: &'s [(&'a str, &'a Film)],
}

/// Splits films by their heat limits.
///
/// A film past its limit is not credited, and the build does not fail by it: the build is judged by what remains. What
/// is on a lost film comes off with it (assumption).
pub fn layers_left<'s, 'a>(
    films: &'s [(&'a str, &'a Film)],
    heat_continuous_c: f64,
    heat_peak_c: f64,
) -> Layers<'s, 'a> {
    let first_lost = films
        .iter()
        .position(|(_, film)| !withstands(film, heat_continuous_c, heat_peak_c))
        .unwrap_or(films.len());
    let (left, lost) = films.split_at(first_lost);
    Layers { left, lost }
}

/// Whether a film withstands both the lasting and the peak temperature.
pub(crate) fn withstands(film: &Film, heat_continuous_c: f64, heat_peak_c: f64) -> bool {
    is_within(heat_continuous_c, film.continuous_limit_c.value)
        && is_within(heat_peak_c, film.short_limit_c.value)
}

/// Whether a temperature is within a limit, to the degree: 250 °F is 121.1 °C, and stated as a limit 121 °C.
pub(crate) fn is_within(heat_c: f64, limit_c: f64) -> bool {
    heat_c < limit_c + 0.5
}

/// Whether the heat destroys the treatment's own layer.
pub(crate) fn treatment_is_lost(treatment: &Treatment, heat_peak_c: f64) -> bool {
    treatment.heat_limit_c.as_ref().is_some_and(|limit| !is_within(heat_peak_c, limit.value))
}
