//! Loss over the years: ISO 9224:2012.
//!
//! ```text
//! D(t) = r·t^b                                  t <= 20 a
//! D(t) = r·(20^b + b·20^(b-1)·(t - 20))         t >  20 a
//! ```
//!
//! D (µm) is the loss after t years, r (µm) the loss of the first year, b the exponent: 1 for rust that does
//! not protect, smaller the better the rust protects the metal below.

use serde::{Deserialize, Serialize};

use super::column::{at_row, same_length};
use super::metal::StandardMetal;
use crate::error::{Result, invalid, within, words};
use crate::evidence::Source;

/// Which exponent: the mean of the exposures, or one on the safe side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum GrowthCase {
    /// The average exponent b1 of the standard.
    #[default]
    Average,
    /// The upper exponent b2 of the standard.
    Conservative,
}

words! {
    GrowthCase, "growth_case", "Name one of the two cases.";
    Average = "average",
    Conservative = "conservative",
}

/// Years after which the loss goes on in a straight line (a).
pub(crate) const LINEAR_AFTER_YEARS: f64 = 20.0;

/// Where the exponents and the two branches of the formula come from.
pub(crate) const GROWTH_SOURCE: Source = Source::standard(
    "ISO 9224:2012, table 3 (exponents b1 and b2) and the straight line after 20 years, read in a public transcription \
     of DIN EN ISO 9224:2012-05; the multiples that table 3 prints for 25 to 100 years follow t^b instead",
);

/// Spread of the exponent of steel from place to place: standard deviation of its logarithm. Source:
/// `GROWTH_SPREAD_SOURCE`.
pub(crate) const GROWTH_EXPONENT_LOG_SD: f64 = 0.26;
/// Where the spread of the exponent comes from.
pub(crate) const GROWTH_SPREAD_SOURCE: Source = Source::derived(
    "ln SD of the exponents of steel at 29 open sites in Europe and the United States, 0.256 (Benarie & Lipfert, \
     Atmos. Environ. 20, 1986, 1947, table 2), and of the world survey of Feliu, Morcillo & Feliu (Corros. Sci. 34, \
     1993, 403, table 2), 0.24, both read in a public transcription",
);

/// Exponent b of a metal.
///
/// | metal | average b1 | conservative b2 |
/// | --- | --- | --- |
/// | steel | 0.523 | 0.575 |
/// | zinc | 0.813 | 0.873 |
/// | copper | 0.667 | 0.726 |
/// | aluminum | 0.728 | 0.807 |
///
/// Source: `GROWTH_SOURCE`.
///
/// ```
/// use overcoat::atmosphere::{GrowthCase, StandardMetal, exponent};
/// assert_eq!(exponent(StandardMetal::Steel, GrowthCase::Average), 0.523);
/// ```
pub const fn exponent(metal: StandardMetal, case: GrowthCase) -> f64 {
    match (metal, case) {
        (StandardMetal::Steel, GrowthCase::Average) => 0.523,
        (StandardMetal::Steel, GrowthCase::Conservative) => 0.575,
        (StandardMetal::Zinc, GrowthCase::Average) => 0.813,
        (StandardMetal::Zinc, GrowthCase::Conservative) => 0.873,
        (StandardMetal::Copper, GrowthCase::Average) => 0.667,
        (StandardMetal::Copper, GrowthCase::Conservative) => 0.726,
        (StandardMetal::Aluminium, GrowthCase::Average) => 0.728,
        (StandardMetal::Aluminium, GrowthCase::Conservative) => 0.807,
    }
}

fn checked_loss(first_year_loss_um: f64) -> Result<f64> {
    within(
        "first_year_loss_um",
        first_year_loss_um,
        0.0,
        f64::INFINITY,
        "um",
        "Enter the loss of thickness in the first year.",
    )
}

fn checked_exponent(exponent: f64) -> Result<f64> {
    if exponent > 0.0 && exponent <= 1.0 {
        return Ok(exponent);
    }
    Err(invalid("exponent", exponent, "more than 0 to 1", "Use the exponent of the metal."))
}

/// Slope after `LINEAR_AFTER_YEARS` for a first-year loss of 1 µm (µm/a).
fn late_slope(exponent: f64) -> f64 {
    exponent * LINEAR_AFTER_YEARS.powf(exponent - 1.0)
}

/// Loss (µm) after `years` (a) by the formula of [the module](self).
///
/// Source: `GROWTH_SOURCE`. The standard tabulates losses up to 20 years.
///
/// # Errors
/// A loss or years that are negative or not finite; an exponent outside 0 (exclusive) to 1.
///
/// ```
/// use overcoat::atmosphere::loss_um;
/// // steel at the upper bound of C3 for 20 years
/// assert!((loss_um(50.0, 20.0, 0.523).unwrap() - 239.56).abs() < 0.01);
/// ```
pub fn loss_um(first_year_loss_um: f64, years: f64, exponent: f64) -> Result<f64> {
    checked_loss(first_year_loss_um)?;
    within("years", years, 0.0, f64::INFINITY, "years", "Enter the years of service.")?;
    checked_exponent(exponent)?;
    let multiple = if years <= LINEAR_AFTER_YEARS {
        years.powf(exponent)
    } else {
        LINEAR_AFTER_YEARS.powf(exponent) + late_slope(exponent) * (years - LINEAR_AFTER_YEARS)
    };
    Ok(first_year_loss_um * multiple)
}

/// [`loss_um`] of each row of two columns; the results have the same bits as the scalar ones.
///
/// # Errors
/// An [`InvalidTable`](crate::error::InvalidTable): columns of unequal length, or the first row (counted
/// from 1) that [`loss_um`] rejects. The rows before it are then already written.
///
/// ```
/// use overcoat::atmosphere::loss_um_into;
/// let mut out = [0.0; 2];
/// loss_um_into(&[10.0, 25.0], &[1.0, 10.0], 0.523, &mut out).unwrap();
/// assert_eq!(out[0], 10.0);
/// ```
pub fn loss_um_into(first_year_loss_um: &[f64], years: &[f64], exponent: f64, out: &mut [f64]) -> Result<()> {
    same_length("years", years.len(), "first_year_loss_um", first_year_loss_um.len())?;
    same_length("out", out.len(), "first_year_loss_um", first_year_loss_um.len())?;
    checked_exponent(exponent)?;
    for (index, ((&first, &years), loss)) in first_year_loss_um.iter().zip(years).zip(out).enumerate() {
        *loss = loss_um(first, years, exponent).map_err(|error| at_row(error, index))?;
    }
    Ok(())
}

/// Alloying elements of a steel that change how well its rust protects it (mass %).
///
/// An element left out has the content of the plain carbon steel to which the exponent 0.523 belongs
/// ([`SteelComposition::default`]).
///
/// ```
/// use overcoat::atmosphere::SteelComposition;
/// let steel: SteelComposition = serde_json::from_str(r#"{"copper_pct": 0.3}"#).unwrap();
/// assert_eq!((steel.copper_pct, steel.carbon_pct), (0.3, 0.05));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields, default)]
pub struct SteelComposition {
    /// Carbon (%).
    pub carbon_pct: f64,
    /// Phosphorus (%).
    pub phosphorus_pct: f64,
    /// Sulfur (%).
    pub sulfur_pct: f64,
    /// Silicon (%).
    pub silicon_pct: f64,
    /// Nickel (%).
    pub nickel_pct: f64,
    /// Chromium (%).
    pub chromium_pct: f64,
    /// Copper (%).
    pub copper_pct: f64,
}

/// Where the reference composition comes from.
pub(crate) const REFERENCE_STEEL_SOURCE: Source = Source::assumption(
    "a plain carbon steel within the limits that ISO 9226 sets for its steel specimens, as recalled: C \
     0.05, P 0.01, S 0.02, Si 0.02, Ni 0.02, Cr 0.03, Cu 0.05%",
);

impl Default for SteelComposition {
    /// The plain carbon steel of a standard specimen; source: `REFERENCE_STEEL_SOURCE`.
    fn default() -> Self {
        Self {
            carbon_pct: 0.05,
            phosphorus_pct: 0.01,
            sulfur_pct: 0.02,
            silicon_pct: 0.02,
            nickel_pct: 0.02,
            chromium_pct: 0.03,
            copper_pct: 0.05,
        }
    }
}

/// Where the effect of each element on the exponent comes from.
pub(crate) const COMPOSITION_SOURCE: Source = Source::from_memory(
    "ISO 9224:2012, annex C, coefficients of the elements; each equals the mean of the three coefficients of \
     Townsend (2001). The constant of that annex is not used: the exponent of a plain carbon steel anchors \
     it",
);

/// Where the largest contents and the range of exponents come from.
pub(crate) const COMPOSITION_RANGE_SOURCE: Source = Source::assumption(
    "Cu 0.51, Ni 1.1, Cr 1.3, Si 0.64, P 0.12% as recalled of ASTM G101; carbon 0.60 and sulfur 0.06% \
     cover quenched and tempered grades and leave out free-machining ones, for which the coefficient of \
     sulfur is an extrapolation; an exponent of 0.2 is that of the most protective rust",
);

/// Largest content (%) and effect on the exponent (1/%) of each element, with its field.
const ELEMENTS: [(&str, f64, f64); 7] = [
    ("carbon_pct", 0.60, -0.084),
    ("phosphorus_pct", 0.12, -0.490),
    ("sulfur_pct", 0.06, 1.440),
    ("silicon_pct", 0.64, -0.163),
    ("nickel_pct", 1.1, -0.066),
    ("chromium_pct", 1.3, -0.124),
    ("copper_pct", 0.51, -0.069),
];

/// Least exponent of a rusting low-alloy steel; the contents allowed leave 0.60 at most.
const LEAST_EXPONENT: f64 = 0.2;

impl SteelComposition {
    fn contents(&self) -> [f64; 7] {
        [
            self.carbon_pct,
            self.phosphorus_pct,
            self.sulfur_pct,
            self.silicon_pct,
            self.nickel_pct,
            self.chromium_pct,
            self.copper_pct,
        ]
    }
}

/// Average exponent b of a steel from its composition.
///
/// b = 0.523 + Σ bᵢ·(wᵢ - wᵢ,ref), with wᵢ the content and wᵢ,ref that of a plain carbon steel
/// ([`SteelComposition::default`]) in mass %:
///
/// | element | C | P | S | Si | Ni | Cr | Cu |
/// | --- | --- | --- | --- | --- | --- | --- | --- |
/// | bᵢ (1/%) | -0.084 | -0.490 | 1.440 | -0.163 | -0.066 | -0.124 | -0.069 |
/// | largest content (%) | 0.60 | 0.12 | 0.06 | 0.64 | 1.1 | 1.3 | 0.51 |
///
/// So a plain steel keeps the exponent of the standard. The coefficients rest on exposures at
/// industrial sites; near the sea the gain from alloying may be smaller. Sources: `COMPOSITION_SOURCE`,
/// `COMPOSITION_RANGE_SOURCE`, `REFERENCE_STEEL_SOURCE`.
///
/// # Errors
/// A content outside its range, or contents that together leave an exponent below 0.2: the result would be
/// no longer an interpolation.
///
/// ```
/// use overcoat::atmosphere::{SteelComposition, steel_exponent_from_composition};
/// let plain = SteelComposition::default();
/// assert_eq!(steel_exponent_from_composition(&plain).unwrap(), 0.523);
/// let weathering =
///     SteelComposition { copper_pct: 0.30, nickel_pct: 0.40, chromium_pct: 0.55, silicon_pct: 0.30, ..plain
/// }; assert!(steel_exponent_from_composition(&weathering).unwrap() < 0.40);
/// ```
pub fn steel_exponent_from_composition(composition: &SteelComposition) -> Result<f64> {
    let reference = SteelComposition::default().contents();
    let mut shift = 0.0;
    for ((content, reference), (field, largest, effect)) in
        composition.contents().into_iter().zip(reference).zip(ELEMENTS)
    {
        within(
            field,
            content,
            0.0,
            largest,
            "%",
            "Leave the composition out to use the exponent of plain carbon steel.",
        )?;
        shift += effect * (content - reference);
    }
    let b = exponent(StandardMetal::Steel, GrowthCase::Average) + shift;
    if b < LEAST_EXPONENT {
        return Err(invalid(
            "composition",
            format!("one with the exponent {b:.3}"),
            &format!("an exponent of {LEAST_EXPONENT} or more"),
            "Leave the composition out to use the exponent of plain carbon steel.",
        ));
    }
    Ok(b)
}

/// Exponent of growth of a metal, or of a low-alloy steel with its own composition: the average exponent of
/// that composition, plus what the conservative case adds to plain steel.
///
/// ```
/// use overcoat::atmosphere::{GrowthCase, StandardMetal, growth_exponent};
/// assert_eq!(growth_exponent(StandardMetal::Zinc, GrowthCase::Average, None)?, 0.813);
/// # Ok::<(), overcoat::Error>(())
/// ```
///
/// # Errors
/// A composition for another metal than steel, or one outside the range of the rule.
pub fn growth_exponent(
    metal: StandardMetal,
    case: GrowthCase,
    composition: Option<&SteelComposition>,
) -> Result<f64> {
    let standard = exponent(metal, case);
    match composition {
        None => Ok(standard),
        Some(composition) if metal == StandardMetal::Steel => {
            let above_average = standard - exponent(metal, GrowthCase::Average);
            Ok(steel_exponent_from_composition(composition)? + above_average)
        }
        Some(_) => Err(invalid(
            "composition",
            format!("given with {metal}"),
            "a composition with steel only",
            "Leave the composition out.",
        )),
    }
}

/// Loss (µm) after `years` (a) of a metal, with the exponent of its composition where that is known.
///
/// The conservative case of a composition adds b2 - b1 = 0.052 to its exponent (assumption: the spread of
/// plain steel applies to alloyed steel too). Formula: [`loss_um()`].
///
/// # Errors
/// Those of [`loss_um()`] and [`steel_exponent_from_composition`]; a composition with another metal than
/// steel.
///
/// ```
/// use overcoat::atmosphere::{GrowthCase, StandardMetal, SteelComposition, long_term_loss_um};
/// let plain = long_term_loss_um(StandardMetal::Steel, 50.0, 10.0, GrowthCase::Average, None).unwrap();
/// let alloyed = SteelComposition { copper_pct: 0.3, chromium_pct: 0.5, ..SteelComposition::default() };
/// let less =
///     long_term_loss_um(StandardMetal::Steel, 50.0, 10.0, GrowthCase::Average, Some(&alloyed)).unwrap();
/// assert!(less < plain);
/// ```
pub fn long_term_loss_um(
    metal: StandardMetal,
    first_year_loss_um: f64,
    years: f64,
    case: GrowthCase,
    composition: Option<&SteelComposition>,
) -> Result<f64> {
    loss_um(first_year_loss_um, years, growth_exponent(metal, case, composition)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for &case in GrowthCase::ALL {
            assert_eq!(serde_json::to_string(&case).unwrap(), format!("\"{case}\""));
            assert_eq!(case.to_string().parse::<GrowthCase>().unwrap(), case);
        }
    }

    #[test]
    fn the_largest_losses_of_the_categories_agree_with_those_recalled_from_the_standard() {
        // upper bound of a category times t^b1, µm, as recalled of ISO 9224:2012, table A.1 (weak evidence)
        for (metal, first, rows) in [
            (StandardMetal::Steel, 25.0, [(2.0, 36.0), (10.0, 83.0), (20.0, 120.0)]),
            (StandardMetal::Steel, 80.0, [(2.0, 115.0), (10.0, 267.0), (20.0, 383.0)]),
            (StandardMetal::Zinc, 4.2, [(2.0, 7.4), (10.0, 27.3), (20.0, 48.0)]),
        ] {
            for (years, recalled) in rows {
                let loss = long_term_loss_um(metal, first, years, GrowthCase::Average, None).unwrap();
                assert!((loss / recalled - 1.0).abs() < 0.005, "{metal} {years}: {loss} for {recalled}");
            }
        }
    }

    #[test]
    fn the_two_branches_meet_at_20_years_with_the_same_slope() {
        for &metal in StandardMetal::ALL {
            let b = exponent(metal, GrowthCase::Average);
            let at = |years| loss_um(1.0, years, b).unwrap();
            let (before, after) = ((at(20.0) - at(19.999)) / 0.001, (at(20.001) - at(20.0)) / 0.001);
            assert!((before / after - 1.0).abs() < 1e-4, "{metal}");
        }
    }

    #[test]
    fn the_conservative_case_of_a_composition_keeps_the_distance_of_plain_steel() {
        let plain = SteelComposition::default();
        let given =
            long_term_loss_um(StandardMetal::Steel, 30.0, 8.0, GrowthCase::Conservative, Some(&plain))
                .unwrap();
        let without =
            long_term_loss_um(StandardMetal::Steel, 30.0, 8.0, GrowthCase::Conservative, None).unwrap();
        assert!((given / without - 1.0).abs() < 1e-14);
    }

    #[test]
    fn contents_outside_the_range_and_other_metals_are_refused() {
        let free_machining = SteelComposition { sulfur_pct: 0.30, ..SteelComposition::default() };
        assert_eq!(steel_exponent_from_composition(&free_machining).unwrap_err().field(), "sulfur_pct");
        let all_at_the_top = SteelComposition {
            carbon_pct: 0.6,
            phosphorus_pct: 0.12,
            sulfur_pct: 0.0,
            silicon_pct: 0.64,
            nickel_pct: 1.1,
            chromium_pct: 1.3,
            copper_pct: 0.51,
        };
        assert_eq!(steel_exponent_from_composition(&all_at_the_top).unwrap_err().field(), "composition");
        let plain = SteelComposition::default();
        assert!(long_term_loss_um(StandardMetal::Zinc, 1.0, 1.0, GrowthCase::Average, Some(&plain)).is_err());
    }

    #[test]
    fn impossible_values_are_refused() {
        assert!(loss_um(-1.0, 1.0, 0.5).is_err());
        assert!(loss_um(1.0, f64::NAN, 0.5).is_err());
        assert!(loss_um(1.0, 1.0, 0.0).is_err());
        assert!(loss_um(1.0, 1.0, 1.1).is_err());
        let error = loss_um_into(&[1.0, 1.0], &[1.0, -1.0], 0.5, &mut [0.0; 2]).unwrap_err();
        assert!(error.to_string().starts_with("column `years`, row 2"));
    }

    proptest! {
        #[test]
        fn loss_grows_with_years(first in 0.01..700.0_f64, a in 0.0..100.0_f64, b in 0.0..100.0_f64) {
            let (early, late) = if a <= b { (a, b) } else { (b, a) };
            prop_assert!(loss_um(first, early, 0.523).unwrap() <= loss_um(first, late, 0.523).unwrap());
        }
    }
}
