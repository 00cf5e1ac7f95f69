//! How long until failure, and how sure that is: the one model of years, for a brief and for a million rows.
//!
//! | file | idea |
//! | --- | --- |
//! | `layers` | which layers the heat leaves |
//! | `terms` | the layers of a build with what is uncertain about them |
//! | `heat` | a hot part is dry, and its layers age faster |
//! | `growth` | from first rust to a rusted share, a loss, a loss of strength |
//! | `stain` | stainless steel: the share of surfaces that ever stains |
//! | `curve` | the distribution of the years, at one place or along a table |
//! | `outlook` | what is said of one build in one duty |
//! | `words` | years as one would say them, and what lies beyond the evidence |
//!
//! **Equal dose and age.** Finishers measure a film in hours of neutral salt spray to first red rust, `H`. Such hours
//! are not a service life (ISO 9227:2017, introduction and clause 1; ASTM B117, 3.2). They are used here as the dose of
//! bare-steel attack that the film withstands; it is used up at the bare-steel rate of the place. A film ages too
//! where nothing attacks it. Damage adds up:
//!
//! ```text
//! 1/t_i = c·s·r/D_i + a_i          t = Σ t_i over the films, the treatment or the bare steel
//! D_i   = H_i·φ_i·h_i·(d/d0)^0.75·k
//! a_i   = 1/A0 + v/(A_w·h_i·(d/d0)^0.75) + rain/A_rain + sun/(A_sun·d/d0) + hands/A_hand
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | r | first-year loss of bare steel, at least 0.0009 | µm/a |
//! | s | what a roof does to it ([`shelter_rate_factor`](crate::atmosphere::shelter_rate_factor)); 1 for a measured loss | |
//! | c | share of the time in which water can be on the part ([`wet_share`]) | |
//! | H, φ | hours of the layer, and its field factor (that of the shelter where the catalog has one) | h, 1 |
//! | k | loss rate of reference steel in the cabinet, 70 g/m² in 48 h over 7.86 g/cm³: 0.1855 | µm/h |
//! | h | how well the treatment holds the innermost film; 1 above it and where heat destroys the treatment; of paint also on A_w | |
//! | d, d0 | thickness, and that at which the catalog states its numbers | µm |
//! | A0, A_w, A_rain, A_sun, A_hand | years by age indoors, in the weather, in rain, in full sun, under hands | a |
//! | v | share of the weather that reaches it ([`weather_share`](crate::atmosphere::weather_share)) | |
//! | rain, sun, hands | 0 or 1; 0, ½ or 1; 0, ⅓ or 1 | |
//!
//! In heat a_i rises (`AGEING_IN_HEAT`). A lost layer has no term. A loss that counts as failure grows after first
//! rust by `r·t^b` (ISO 9224), b by shelter and salt
//! ([`sheltered_growth_exponent`](crate::atmosphere::sheltered_growth_exponent)); a rusted share comes later by the
//! spread of the patches ([`patch_factor`]).
//!
//! **Stainless steel.** A share P of surfaces ever stains ([`staining`](crate::metal::staining)); those that do take
//! 0.4 years (ln SD 0.8) once the films above are gone. The rest never fails.
//!
//! **Uncertainty.** r and k are one uncertain number each, shared by all layers, every H·φ and every age a separate one,
//! b one: all lognormal, so that ln t is not quite normal. At five points of ln(r/k) its mean, variance and third
//! cumulant follow from `SUM_OF_LIVES`; the mixture's four moments give a cubic in a normal deviate (`CUBIC_IN_Z`),
//! from which quantiles and probabilities are explicit. Against 200 000 samples: median to 2%, 10 and 90% points to
//! 6%, probabilities to 0.02.
//!
//! **Horizon.** Each kind of film, treatment and metal has the longest life that anyone has observed, a build the
//! longest of its layers. No years beyond it are given.

mod curve;
mod growth;
mod heat;
mod layers;
mod outlook;
mod stain;
mod terms;
mod words;

pub(crate) use curve::UNLIKELY;
pub use growth::patch_factor;
pub(crate) use growth::{GROWTH_HORIZON, PATCH_SPREAD, RUST_VISIBLE};
pub use heat::wet_share;
pub(crate) use heat::{AGEING_IN_HEAT, DRY_WHILE_HOT};
pub use layers::{Layers, layers_left};
pub(crate) use outlook::years_of_places;
pub use outlook::{Basis, Outlook, UncertainFactor, VarianceShare, outlook};
pub(crate) use stain::{RESISTANCE_WITHOUT_COMPOSITION, SALT_WITH_RATE, STAINLESS_HORIZON};
pub(crate) use words::factor_in_words;
pub use words::{years, years_short};

pub(crate) use crate::math::cubic::CUBIC_IN_Z;
pub use crate::math::cubic::LogCubic;
pub(crate) use crate::math::sum::SUM_OF_LIVES;

pub(crate) use curve::{Curves, Found, Point, Site, SiteInputs, kept, rate_um, share_of_salt, years_at};
pub(crate) use growth::Growth;
pub(crate) use layers::treatment_is_lost;
pub(crate) use outlook::{deviates_of, found_of, outlook_of, site_of};
pub(crate) use terms::ageing_of_film;
pub(crate) use terms::{AIR, CABINET, Factor, FactorKind, Layer, Life, Lives, Terms};

use crate::atmosphere::Shelter;
use crate::atmosphere::{StandardMetal, g_m2_to_um};
use crate::evidence::Source;
use crate::evidence::Spread;
use crate::finish::Film;

/// Salt-spray hours are not a service life: said with every outlook.
pub(crate) const NO_SERVICE_LIFE: Source = Source::standard(
    "ISO 9227:2017, introduction and clause 1; ASTM B117, 3.2: salt-spray hours are not a measure of life in \
     service; they enter here only as the dose that a film withstands, with a field factor and wide spreads",
);

/// Source of the linear damage rule: parts of a life used up by dose and by age add up.
pub(crate) const DAMAGE_ADDS_UP: Source = Source::derived(
    "1/t = r/D + 1/A reproduces practical lives of coating systems in C2, C3 and C5 within 10%, dose alone only within \
     a factor of 2.5 (Roberge, Corrosion Engineering: Principles and Practice, 2008, table 14.2)",
);

/// Source of the loss rate of reference steel in the neutral salt-spray cabinet.
pub(crate) const CABINET_RATE: Source = Source::derived(
    "ISO 9227, reference specimens (steel CR4 of ISO 3574): 70 ± 20 g/m² in 48 h of neutral salt spray, by a \
     reprint; the spread follows if ± 20 is the 95% range of a lognormal",
);

/// Source of how thickness counts.
pub(crate) const THICKNESS: Source = Source::assumption(
    "protection grows with the thickness of a film to the power 0.75: a published statement says in proportion, \
     practical lives are between the root and that",
);
/// `THICKNESS` as a number.
pub(crate) const THICKNESS_EXPONENT: f64 = 0.75;

/// Source of the hours and of the age of bare steel.
pub(crate) const BARE_STEEL: Source = Source::assumption(
    "bare steel rusts in neutral salt spray within minutes, 0.1 h; half a year indoors, a tenth under daily hands",
);

/// Loss in the test, g/m².
pub(crate) const CABINET_LOSS_G_M2: f64 = 70.0;
/// Length of the test, h.
const CABINET_HOURS: f64 = 48.0;
/// ln(90/50) / (2 · 1.96): the window 70 ± 20 as 95% range.
pub(crate) const CABINET_LOG_SD: f64 = 0.149_945_577_781_152_83;

/// Loss below which no air is taken to fall, µm in the first year: a tenth of the upper bound of ISO 11844-1
/// IC1 (assumption). Keeps the years finite where both depositions are given as zero.
pub(crate) const LEAST_LOSS_UM: f64 = 0.000_9;

/// Name of the factor that stands for the atmosphere at the place.
pub const ATMOSPHERE: &str = "atmosphere";

/// Loss rate of reference steel in the neutral salt-spray cabinet, g/(m²·h): 70 g/m² in 48 h (ISO 9227).
///
/// ```
/// assert!((overcoat::life::cabinet_rate_g_m2_h() - 1.458).abs() < 0.001);
/// ```
pub fn cabinet_rate_g_m2_h() -> f64 {
    CABINET_LOSS_G_M2 / CABINET_HOURS
}

/// Dose of an hour in the cabinet, µm of bare steel.
pub(crate) fn dose_um_per_hour() -> f64 {
    g_m2_to_um(StandardMetal::Steel, cabinet_rate_g_m2_h())
}

/// Field factor of a film under a shelter: that of the shelter where the catalog has one, else the film's.
///
/// ```
/// use overcoat::{atmosphere::Shelter, catalog::Catalog, life::field_factor_under};
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

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 9227: 70 ± 20 g/m², so the ends of the window lie 1.96 spreads apart on the log scale.
    #[test]
    fn the_cabinet_spread_follows_from_the_window() {
        assert!((CABINET_LOG_SD - (90.0_f64 / 50.0).ln() / (2.0 * 1.96)).abs() < 1e-15);
    }
}
