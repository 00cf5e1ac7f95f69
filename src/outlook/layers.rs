//! Which layers the heat of a duty leaves.

use crate::finish::Film;

/// Films that stay and films that the heat destroys, each innermost first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layers<'s, 'a> {
    /// Films that bear the heat.
    pub left: &'s [(&'a str, &'a Film)],
    /// Films beyond their limit, and films above one that is.
    pub lost: &'s [(&'a str, &'a Film)],
}

/// Splits films by their heat limits.
///
/// A film past its limit is lost, not failed: the build is judged by what remains. What lies on a lost film
/// comes off with it (assumption).
pub fn layers_left<'s, 'a>(
    films: &'s [(&'a str, &'a Film)],
    heat_continuous_c: f64,
    heat_peak_c: f64,
) -> Layers<'s, 'a> {
    let first_lost = films
        .iter()
        .position(|(_, film)| !bears(film, heat_continuous_c, heat_peak_c))
        .unwrap_or(films.len());
    let (left, lost) = films.split_at(first_lost);
    Layers { left, lost }
}

/// Whether a film bears both the lasting and the peak temperature.
pub(crate) fn bears(film: &Film, heat_continuous_c: f64, heat_peak_c: f64) -> bool {
    heat_continuous_c <= film.continuous_limit_c.value && heat_peak_c <= film.short_limit_c.value
}
