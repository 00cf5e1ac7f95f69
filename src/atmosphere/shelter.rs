//! What a roof does to the attack: little inland, much near the sea, where rain no longer washes the salt off.
//!
//! ```text
//! x = 1 / (1 + (10/Sd)²)                      how far salt rules the place, 0 to 1
//! s = 1                                       in the open and indoors
//! s = 0.85 + 0.35·x                           under a roof: rate against that in the open
//! v = 1, 0, 0.5 + 0.5·x                       weather: in the open, indoors, under a roof
//! b = b0·(1 + 0.17·x)                         growth in the open
//! b = b0·(1.2 + 0.7·x), at most 1             growth under a roof
//! ```
//!
//! Sd is the annual mean chloride deposition in mg/(m²·d), b0 the exponent of ISO 9224 or of the composition. All
//! are continuous and rise with salt.

use serde::{Deserialize, Serialize};

use crate::error::words;
use crate::evidence::Source;

/// Where the part stands against rain and sun.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Shelter {
    /// In rain and sun.
    Open,
    /// Under a roof or a vehicle, in outdoor air.
    Sheltered,
    /// In a building.
    Indoor,
}

words! {
    Shelter, "shelter", "Name one of the three.";
    Open = "open",
    Sheltered = "sheltered",
    Indoor = "indoor",
}

/// Where the character of salt comes from.
pub(crate) const SALT_CHARACTER_SOURCE: Source = Source::assumption(
    "a smooth step between inland and coast about 10 mg/(m²·d) of chloride, which is between class S0 (to 3) and \
     the middle of S1 (3 to 60) of ISO 9223:2012, table B.4",
);
/// Where the rate under a roof comes from.
pub(crate) const SHELTERED_RATE_SOURCE: Source = Source::derived(
    "first-year loss under shelter against the open: 0.75 to 1.04 at inland and European pairs (Benarie & Lipfert, \
     Atmos. Environ. 20, 1986, 1947, table 2; Tsukuba), 1.05 at a marine site (Choshi), there 1.2 on the mean of the \
     first years",
);
/// Where the growth by shelter and salt comes from.
pub(crate) const SHELTERED_GROWTH_SOURCE: Source = Source::derived(
    "exponents of steel: marine against rural sites in the open 0.69 to 0.59 (Feliu, Morcillo & Feliu, Corros. Sci. \
     34, 1993, 403, table 4); under shelter against the open 0.69 to 0.57 inland (Tsukuba) and 1.10 to 0.58 at the \
     sea (Choshi; both from a public compilation of Japanese exposures); five European sites under shelter are \
     between, 0.92 (Benarie & Lipfert 1986, table 2). A subtropical marine site reached 1.18 in the open (Miyakojima) \
     and is not reproduced",
);
/// Where the share of weather under a roof comes from.
pub(crate) const WEATHER_SHARE_SOURCE: Source = Source::assumption(
    "a film under a roof away from salt ages by half of what weather does to it in the open; near the sea a roof does \
     not help",
);

/// Deposition at which salt rules half, mg/(m²·d).
const HALF_SALT_MG_M2_DAY: f64 = 10.0;

/// How far salt rules a place (0 to 1), x of [the module](self). Source: `SALT_CHARACTER_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::salt_character;
/// assert_eq!(salt_character(0.0), 0.0);
/// assert_eq!(salt_character(10.0), 0.5);
/// assert!(salt_character(80.0) > 0.98);
/// ```
pub fn salt_character(chloride_mg_m2_day: f64) -> f64 {
    let square = chloride_mg_m2_day * chloride_mg_m2_day;
    if square.is_infinite() { 1.0 } else { square / (square + HALF_SALT_MG_M2_DAY * HALF_SALT_MG_M2_DAY) }
}

/// Loss rate under the shelter of the part against that in the open, s of [the module](self); 1 in the open and
/// indoors, where the loss of the room itself is known. Source: `SHELTERED_RATE_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::shelter_rate_factor;
/// use overcoat::atmosphere::Shelter;
/// assert_eq!(shelter_rate_factor(Shelter::Open, 80.0), 1.0);
/// assert!(shelter_rate_factor(Shelter::Sheltered, 1.0) < 0.87);
/// assert!(shelter_rate_factor(Shelter::Sheltered, 80.0) > 1.19);
/// ```
pub fn shelter_rate_factor(shelter: Shelter, chloride_mg_m2_day: f64) -> f64 {
    match shelter {
        Shelter::Open | Shelter::Indoor => 1.0,
        Shelter::Sheltered => 0.85 + 0.35 * salt_character(chloride_mg_m2_day),
    }
}

/// Share of the weather that reaches a film (0 to 1), v of [the module](self). Source: `WEATHER_SHARE_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::weather_share;
/// use overcoat::atmosphere::Shelter;
/// assert_eq!((weather_share(Shelter::Open, 1.0), weather_share(Shelter::Indoor, 1.0)), (1.0, 0.0));
/// assert_eq!(weather_share(Shelter::Sheltered, 0.0), 0.5);
/// ```
pub fn weather_share(shelter: Shelter, chloride_mg_m2_day: f64) -> f64 {
    match shelter {
        Shelter::Open => 1.0,
        Shelter::Indoor => 0.0,
        Shelter::Sheltered => 0.5 + 0.5 * salt_character(chloride_mg_m2_day),
    }
}

/// Exponent of growth under the shelter of the part, b of [the module](self), from that of the metal in the open
/// away from salt; at most 1. Source: `SHELTERED_GROWTH_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::sheltered_growth_exponent;
/// use overcoat::atmosphere::Shelter;
/// assert!((sheltered_growth_exponent(0.523, Shelter::Open, 0.0) - 0.523).abs() < 1e-12);
/// assert!(sheltered_growth_exponent(0.523, Shelter::Sheltered, 80.0) > 0.97);
/// ```
pub fn sheltered_growth_exponent(exponent: f64, shelter: Shelter, chloride_mg_m2_day: f64) -> f64 {
    let salt = salt_character(chloride_mg_m2_day);
    let factor = match shelter {
        Shelter::Open => 1.0 + 0.17 * salt,
        Shelter::Sheltered => 1.2 + 0.7 * salt,
        Shelter::Indoor => 1.0,
    };
    (exponent * factor).min(1.0)
}

/// Where the loss of the gain from alloying near the sea comes from.
pub(crate) const WEATHERING_GROWTH_SOURCE: Source = Source::assumption(
    "the rust of weathering steel protects to about 3 mg/(m²·d) of chloride, its limit in Japan, and not at the sea: \
     the reduction of the exponent by the alloy fades with the character of salt x",
);

/// Exponent of growth of a weathering steel in the open, from that by its composition and that of plain steel: the
/// gain fades by 1 - x of [the module](self). Source: `WEATHERING_GROWTH_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::weathering_growth_exponent;
/// assert_eq!(weathering_growth_exponent(0.35, 0.523, 0.0), 0.35);
/// assert!(weathering_growth_exponent(0.35, 0.523, 80.0) > 0.52);
/// ```
pub fn weathering_growth_exponent(by_composition: f64, plain: f64, chloride_mg_m2_day: f64) -> f64 {
    by_composition + (plain - by_composition) * salt_character(chloride_mg_m2_day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Published first-year ratios: 0.75 to 1.04 inland, 1.05 in the first year at Choshi, where chloride was 19 to 40
    /// mg/(m²·d), and 1.45 after three years there.
    #[test]
    fn the_rate_under_a_roof_lies_between_the_published_pairs() {
        let rate = |chloride| shelter_rate_factor(Shelter::Sheltered, chloride);
        assert!((0.75..=1.04).contains(&rate(1.0)));
        assert!((1.05..=1.45).contains(&rate(28.0)));
    }

    /// Published exponents of steel: open 0.58 and sheltered 1.00 to 1.21 at Choshi (chloride 19 to 40), open 0.57 and
    /// sheltered 0.69 at Tsukuba (inland), open 0.59 rural and 0.69 marine in the survey of 1993 with sd 0.13 to 0.18.
    #[test]
    fn growth_agrees_with_the_published_exponents_within_their_spread() {
        for (shelter, chloride, low, high) in [
            (Shelter::Open, 28.0, 0.52, 0.82),
            (Shelter::Sheltered, 28.0, 0.90, 1.21),
            (Shelter::Open, 1.0, 0.41, 0.77),
            (Shelter::Sheltered, 1.0, 0.60, 0.78),
        ] {
            let b = sheltered_growth_exponent(0.523, shelter, chloride);
            assert!((low..=high).contains(&b), "{shelter} {chloride}: {b}");
        }
    }

    /// A contradiction kept in sight: 1.18 was measured in the open on a subtropical coast.
    #[test]
    fn a_subtropical_coast_grows_faster_than_stated() {
        assert!(sheltered_growth_exponent(0.523, Shelter::Open, 44.0) < 0.83);
    }

    proptest! {
        #[test]
        fn more_salt_never_means_less_attack(a in 0.0..2e3_f64, b in 0.0..2e3_f64) {
            let (less, more) = if a <= b { (a, b) } else { (b, a) };
            for &shelter in Shelter::ALL {
                prop_assert!(shelter_rate_factor(shelter, less) <= shelter_rate_factor(shelter, more));
                prop_assert!(weather_share(shelter, less) <= weather_share(shelter, more));
                prop_assert!(sheltered_growth_exponent(0.523, shelter, less)
                    <= sheltered_growth_exponent(0.523, shelter, more));
            }
            prop_assert!((0.0..=1.0).contains(&salt_character(a)));
        }
    }
}
