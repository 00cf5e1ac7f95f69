//! Equal-dose transfer: cabinet hours as a dose of bare-steel attack.

use crate::atmosphere::{StandardMetal, um_to_g_m2};
use crate::brief::Exposure;
use crate::catalog::{Catalog, Shelter};
use crate::finish::{Film, Treatment};
use crate::outlook::{FactorKind, Layer, Life, Term};
use crate::quantity::Spread;
use crate::source::Source;

/// Source of the loss rate of reference steel in the neutral salt-spray cabinet.
pub const CABINET_RATE: Source = Source::standard(
    "ISO 9227, reference specimens (steel CR4 of ISO 3574): 70 ± 20 g/m² in 48 h of neutral salt spray, by a \
     reprint; ± 20 taken as the 95 % range of a lognormal (assumption)",
);

/// Source of what rain, sun and hands do to a film.
pub const FILM_EXPOSURE: Source = Source::assumption(
    "rain, sun and hands act on the outermost film alone; the share of life that each leaves is raised to the \
     share of full exposure",
);

/// Loss in the test, g/m².
pub(crate) const CABINET_LOSS_G_M2: f64 = 70.0;
/// Length of the test, h.
const CABINET_HOURS: f64 = 48.0;
/// ln(90/50) / (2 · 1.96): the window 70 ± 20 as 95 % range.
pub(crate) const CABINET_LOG_SD: f64 = 0.149_945_577_781_152_83;

/// Source of the hours of bare steel.
pub const BARE_STEEL: Source = Source::assumption("bare steel rusts in neutral salt spray within minutes");
const BARE_STEEL_HOURS: f64 = 0.1;
const BARE_STEEL_LOG_SD: f64 = 0.7;

/// Loss below which no air is taken to fall, µm in the first year: a tenth of the upper bound of ISO 11844-1
/// IC1 (assumption). Keeps the years finite where both depositions are given as zero.
pub(crate) const LEAST_LOSS_UM: f64 = 0.000_9;

/// Loss rate of reference steel in the neutral salt-spray cabinet, g/(m²·h): 70 g/m² in 48 h (ISO 9227).
///
/// ```
/// assert!((overcoat::outlook::cabinet_rate_g_m2_h() - 1.458).abs() < 0.001);
/// ```
pub fn cabinet_rate_g_m2_h() -> f64 {
    CABINET_LOSS_G_M2 / CABINET_HOURS
}

/// Field factor of a film under a shelter, before rain, sun and hands: that of the shelter where the catalog has
/// one, else the film's.
///
/// ```
/// use overcoat::{catalog::{Catalog, Shelter}, outlook::field_factor_under};
/// let wax = Catalog::built_in().film("hard_wax")?;
/// assert_eq!(field_factor_under(wax, Shelter::Open), &wax.field_factor);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn field_factor_under(film: &Film, shelter: Shelter) -> &Spread {
    let of_the_shelter = match shelter {
        Shelter::Open => &film.field_factors.open,
        Shelter::Sheltered => &film.field_factors.sheltered,
        Shelter::Indoor => &film.field_factors.indoor,
    };
    of_the_shelter.as_ref().unwrap_or(&film.field_factor)
}

/// Field factor of a film where it lies: the catalog's under that shelter, and if the film is outermost, what rain,
/// sunlight and handling leave of it.
pub fn exposed_field_factor(film: &Film, outermost: bool, exposure: &Exposure) -> f64 {
    field_factor_under(film, exposure.shelter).median * exposure_share(film, outermost, exposure)
}

/// What rain, sunlight and handling leave of the field factor of a film.
pub(crate) fn exposure_share(film: &Film, outermost: bool, exposure: &Exposure) -> f64 {
    let mut factor = 1.0;
    if outermost {
        if exposure.rain_washed {
            factor *= film.rain_wash_factor.value;
        }
        factor *= film.sunlight_factor.value.powf(exposure.sunlight.share());
        factor *= film.handling_factor.value.powf(exposure.handling.share());
    }
    factor
}

/// Adds the life that the films give, innermost first.
pub(super) fn add_films(
    life: &mut Life,
    rate: usize,
    exposure: &Exposure,
    treatment: &Treatment,
    films: &[(&str, &Film)],
    catalog: &Catalog,
) {
    if films.is_empty() {
        return;
    }
    let cabinet = cabinet_factor(life);
    for (i, (name, film)) in films.iter().enumerate() {
        let outermost = i + 1 == films.len();
        let hours = film.capacity_h.median * treatment.film_hold_factor.value;
        let spread = field_factor_under(film, exposure.shelter);
        let field = spread.median * exposure_share(film, outermost, exposure);
        let capacity = life.factor(
            FactorKind::Capacity(Layer::Film),
            ["capacity of ", name].concat(),
            film.capacity_h.log_sd,
            catalog.source(&film.capacity_h.source),
        );
        let transfer = life.factor(
            FactorKind::FieldFactor(Layer::Film),
            ["field factor of ", name].concat(),
            spread.log_sd,
            catalog.source(&spread.source),
        );
        life.terms.push(Term {
            ln_median: years(hours, field, exposure).ln(),
            exponents: vec![(capacity, 1.0), (transfer, 1.0), (cabinet, 1.0), (rate, -1.0)],
        });
    }
}

/// Adds the hours that the treatment alone withstands.
pub(super) fn add_treatment(
    life: &mut Life,
    rate: usize,
    exposure: &Exposure,
    treatment: &Treatment,
    catalog: &Catalog,
) {
    let cabinet = cabinet_factor(life);
    if treatment_is_lost(treatment, exposure.heat_peak_c) {
        let capacity = life.factor(
            FactorKind::Capacity(Layer::BareSteel),
            "capacity of bare steel",
            BARE_STEEL_LOG_SD,
            BARE_STEEL,
        );
        life.terms.push(Term {
            ln_median: years(BARE_STEEL_HOURS, 1.0, exposure).ln(),
            exponents: vec![(capacity, 1.0), (cabinet, 1.0), (rate, -1.0)],
        });
        return;
    }
    let spread = &treatment.capacity_h;
    let capacity = life.factor(
        FactorKind::Capacity(Layer::Treatment),
        "capacity of the treatment",
        spread.log_sd,
        catalog.source(&spread.source),
    );
    let field = &treatment.field_factor;
    let transfer = life.factor(
        FactorKind::FieldFactor(Layer::Treatment),
        "field factor of the treatment",
        field.log_sd,
        catalog.source(&field.source),
    );
    life.terms.push(Term {
        ln_median: years(spread.median, field.median, exposure).ln(),
        exponents: vec![(capacity, 1.0), (transfer, 1.0), (cabinet, 1.0), (rate, -1.0)],
    });
}

/// Whether the heat takes the treatment's own layer.
pub(crate) fn treatment_is_lost(treatment: &Treatment, heat_peak_c: f64) -> bool {
    treatment.heat_limit_c.as_ref().is_some_and(|limit| heat_peak_c > limit.value)
}

fn cabinet_factor(life: &mut Life) -> usize {
    match life.factors.iter().position(|f| f.kind == FactorKind::Cabinet) {
        Some(index) => index,
        None => life.factor(FactorKind::Cabinet, "loss rate in the cabinet", CABINET_LOG_SD, CABINET_RATE),
    }
}

fn years(hours: f64, field_factor: f64, exposure: &Exposure) -> f64 {
    let loss_um = exposure.atmosphere.first_year_steel_loss_um.max(LEAST_LOSS_UM);
    let rate = um_to_g_m2(StandardMetal::Steel, loss_um);
    hours * cabinet_rate_g_m2_h() * field_factor / rate
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::outlook::tests::life;

    /// H·k·φ/r in years, k = 70/48 g/(m²·h), r = 30 µm of 7.86 g/cm³. On the cold black a film holds half; in the open,
    /// rain leaves the outermost wax 0.85, full sun 0.8; the paint beneath it and the wax indoors keep all.
    #[test]
    fn a_film_gives_its_hours_as_far_as_they_hold_and_count() {
        let years = |duty: &str, build: &str| -> Vec<f64> {
            let duty = format!(r#""first_year_steel_loss_um": 30, {duty}"#);
            life("", &duty, build).0.terms.iter().map(|term| term.ln_median.exp()).collect()
        };
        let per_hour = 70.0 / 48.0 / (30.0 * 7.86);
        let catalog = Catalog::built_in();
        let paint = catalog.film("air_dry_paint").unwrap();
        let (wax_h, wax_field) = (60.0, 1.2);
        let painted = paint.capacity_h.median * paint.field_factor.median;
        assert!(paint.rain_wash_factor.value * paint.sunlight_factor.value < 1.0);
        for (duty, build, expected) in [
            (
                r#""shelter": "indoor""#,
                "steel_4_6 / room_temperature / hard_wax",
                vec![wax_h * 0.5 * wax_field, 0.2],
            ),
            (
                r#""shelter": "open""#,
                "steel_4_6 / hot_alkaline / air_dry_paint + hard_wax",
                vec![painted, wax_h * wax_field * 0.85 * 0.8, 0.4],
            ),
        ] {
            let found = years(duty, build);
            assert_eq!(found.len(), expected.len());
            for (found, hours) in found.iter().zip(expected) {
                assert!((found / (hours * per_hour) - 1.0).abs() < 1e-12, "{build}: {found} for {hours} h");
            }
        }
    }

    /// ISO 9227: 70 ± 20 g/m², so the ends of the window lie 1.96 spreads apart on the log scale.
    #[test]
    fn the_cabinet_spread_follows_from_the_window() {
        assert!((CABINET_LOG_SD - (90.0_f64 / 50.0).ln() / (2.0 * 1.96)).abs() < 1e-15);
    }
}
