//! Indices from the chemical composition: pitting resistance of stainless steel, weathering of low-alloy steel.
//!
//! Compositions are in % by mass.

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, within, words};
use crate::evidence::Source;

/// Source of the pitting resistance equivalent number and its variants.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const PREN_SOURCE: Source = Source::common_practice(
    "pitting resistance equivalent number Cr + 3.3 Mo + 16 N and its variants, as the stainless steel trade prints \
     them",
);
/// Source of the coefficients of the atmospheric corrosion index.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const INDEX_SOURCE: Source = Source::from_memory(
    "ASTM G101-04 (2020), 6.3, index after Legault and Leckie (1974) from the data of Larrabee and Coburn",
);
/// Source of the composition range of the index.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const INDEX_RANGE_SOURCE: Source =
    Source::from_memory("ASTM G101-04 (2020), 6.3, range of compositions");
/// Index from which a steel counts as weathering steel.
pub const INDEX_ACCEPTANCE: f64 = 6.0;
/// Source of the acceptance value.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const INDEX_ACCEPTANCE_SOURCE: Source =
    Source::from_memory("index of 6.0 or more, as specifications for weathering steel ask with ASTM G101");

/// Chloride deposition up to which the rust of weathering steel protects it, mg/(m²·d). Source:
/// `WEATHERING_CHLORIDE_SOURCE`.
pub(crate) const WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY: f64 = 3.0;
/// Source of the chloride limit of weathering steel.
pub(crate) const WEATHERING_CHLORIDE_SOURCE: Source = Source::paper(
    "0.05 mg/(dm²·d) of sodium chloride as annual mean, 3.0 mg/(m²·d) of chloride, for unpainted weathering steel in \
     Japan (summaries of Nagaoka University of Technology, 2008 and 2011)",
);

/// Microstructure of a stainless steel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StainlessFamily {
    /// Such as 1.4301.
    Austenitic,
    /// Such as 1.4016.
    Ferritic,
    /// Such as 1.4462.
    Duplex,
    /// Such as 1.4006.
    Martensitic,
    /// Such as 1.4542.
    PrecipitationHardening,
}

words! {
    StainlessFamily, "family", "Name the microstructure.";
    Austenitic = "austenitic",
    Ferritic = "ferritic",
    Duplex = "duplex",
    Martensitic = "martensitic",
    PrecipitationHardening = "precipitation_hardening",
}

/// Which variant of the pitting resistance equivalent number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PrenForm {
    /// Cr + 3.3 Mo + 16 N, the usual one.
    #[default]
    Nitrogen16,
    /// Cr + 3.3 (Mo + 0.5 W) + 16 N, for steels alloyed with tungsten.
    Tungsten,
    /// Cr + 3.3 Mo + 30 N, used for austenitic steels only.
    Nitrogen30,
}

words! {
    PrenForm, "form", "Name the variant of the number.";
    Nitrogen16 = "nitrogen16",
    Tungsten = "tungsten",
    Nitrogen30 = "nitrogen30",
}

/// What the pitting resistance of a stainless steel depends on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct StainlessComposition {
    /// Microstructure, which decides whether nitrogen counts.
    pub family: StainlessFamily,
    /// Chromium, % by mass.
    pub chromium_pct: f64,
    /// Molybdenum, % by mass.
    #[serde(default)]
    pub molybdenum_pct: f64,
    /// Tungsten, % by mass.
    #[serde(default)]
    pub tungsten_pct: f64,
    /// Nitrogen, % by mass.
    #[serde(default)]
    pub nitrogen_pct: f64,
}

/// Pitting resistance equivalent number of a stainless steel.
///
/// PREN = Cr + 3.3 Mo + 16 N in % by mass, or the variant that `form` names. It ranks steels by their resistance
/// to pitting in chlorides; it is neither a rate nor a service life. Ferritic steels take no nitrogen term, whatever
/// the variant. Numbers of different variants must not be compared.
///
/// Source: `PREN_SOURCE`.
///
/// # Errors
/// Contents outside 0 to 100% or together above 100%; martensitic and precipitation-hardening steels, whose
/// structure the number does not describe; the nitrogen factor 30 for a duplex steel.
///
/// ```
/// use overcoat::metal::{PrenForm, StainlessComposition, StainlessFamily, pitting_resistance_equivalent};
/// let duplex = StainlessComposition {
///     family: StainlessFamily::Duplex,
///     chromium_pct: 22.0,
///     molybdenum_pct: 3.1,
///     tungsten_pct: 0.0,
///     nitrogen_pct: 0.17,
/// };
/// let pren = pitting_resistance_equivalent(&duplex, PrenForm::Nitrogen16)?;
/// assert!((pren - 34.95).abs() < 1e-9);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn pitting_resistance_equivalent(composition: &StainlessComposition, form: PrenForm) -> Result<f64> {
    let &StainlessComposition { family, chromium_pct, molybdenum_pct, tungsten_pct, nitrogen_pct } =
        composition;
    check_contents(&[
        ("chromium_pct", chromium_pct),
        ("molybdenum_pct", molybdenum_pct),
        ("tungsten_pct", tungsten_pct),
        ("nitrogen_pct", nitrogen_pct),
    ])?;
    let nitrogen_factor = match (family, form) {
        (StainlessFamily::Martensitic | StainlessFamily::PrecipitationHardening, _) => {
            return Err(invalid(
                "family",
                family,
                "austenitic, ferritic or duplex",
                "The number does not describe hardenable stainless steel: compare corrosion tests instead.",
            ));
        }
        (StainlessFamily::Ferritic, _) => 0.0,
        (StainlessFamily::Duplex, PrenForm::Nitrogen30) => {
            return Err(invalid(
                "form",
                form,
                "nitrogen16 or tungsten for duplex steel",
                "The factor 30 is for austenitic steel.",
            ));
        }
        (_, PrenForm::Nitrogen30) => 30.0,
        (_, PrenForm::Nitrogen16 | PrenForm::Tungsten) => 16.0,
    };
    let tungsten_factor = if form == PrenForm::Tungsten { 0.5 } else { 0.0 };
    Ok(chromium_pct
        + 3.3 * (molybdenum_pct + tungsten_factor * tungsten_pct)
        + nitrogen_factor * nitrogen_pct)
}

/// What the weathering of a low-alloy steel depends on.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields, default)]
pub struct LowAlloyComposition {
    /// Copper, % by mass.
    pub copper_pct: f64,
    /// Nickel, % by mass.
    pub nickel_pct: f64,
    /// Chromium, % by mass.
    pub chromium_pct: f64,
    /// Silicon, % by mass.
    pub silicon_pct: f64,
    /// Phosphorus, % by mass.
    pub phosphorus_pct: f64,
}

/// Atmospheric corrosion index of a low-alloy steel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct IndexResult {
    /// The index; higher is better.
    pub index: f64,
    /// Whether the steel counts as weathering steel: index 6.0 or more, composition within the range.
    pub is_weathering: bool,
    /// Fields outside the range for which the index was fitted; with any, the index is an extrapolation.
    pub outside_range: Vec<String>,
}

/// Atmospheric corrosion index of a low-alloy steel (ASTM G101, Legault and Leckie).
///
/// I = 26.01 Cu + 3.88 Ni + 1.20 Cr + 1.49 Si + 17.28 P - 7.29 Cu·Ni - 9.10 Ni·P - 33.39 Cu², in % by mass.
///
/// Fitted to losses after 15.5 years for Cu to 0.51, Ni to 1.1, Cr to 1.3, Si to 0.64 and P to 0.12%. Outside,
/// the index is computed and the fields are named, since the square makes it fall again: without nickel from
/// 0.39% Cu on. Coefficients, range and acceptance are from memory (`INDEX_SOURCE`).
///
/// # Errors
/// Contents outside 0 to 100% or together above 100%.
///
/// ```
/// use overcoat::metal::{LowAlloyComposition, atmospheric_corrosion_index};
/// let steel = LowAlloyComposition {
///     copper_pct: 0.3,
///     nickel_pct: 0.3,
///     chromium_pct: 0.5,
///     silicon_pct: 0.3,
///     phosphorus_pct: 0.015,
/// };
/// let result = atmospheric_corrosion_index(&steel)?;
/// assert!((result.index - 6.571).abs() < 5e-4);
/// assert!(result.is_weathering);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn atmospheric_corrosion_index(composition: &LowAlloyComposition) -> Result<IndexResult> {
    let &LowAlloyComposition {
        copper_pct: cu,
        nickel_pct: ni,
        chromium_pct: cr,
        silicon_pct: si,
        phosphorus_pct: p,
    } = composition;
    let contents = [
        ("copper_pct", cu),
        ("nickel_pct", ni),
        ("chromium_pct", cr),
        ("silicon_pct", si),
        ("phosphorus_pct", p),
    ];
    check_contents(&contents)?;
    let highest = [0.51, 1.1, 1.3, 0.64, 0.12];
    let outside_range: Vec<String> = contents
        .iter()
        .zip(highest)
        .filter(|((_, content), highest)| content > highest)
        .map(|((field, _), _)| (*field).to_owned())
        .collect();
    let index = 26.01 * cu + 3.88 * ni + 1.20 * cr + 1.49 * si + 17.28 * p
        - 7.29 * cu * ni
        - 9.10 * ni * p
        - 33.39 * cu * cu;
    Ok(IndexResult {
        index,
        is_weathering: index >= INDEX_ACCEPTANCE && outside_range.is_empty(),
        outside_range,
    })
}

fn check_contents(contents: &[(&str, f64)]) -> Result<()> {
    let mut sum = 0.0;
    for &(field, content) in contents {
        sum += within(field, content, 0.0, 100.0, "% by mass", "Enter the content in % by mass.")?;
    }
    if sum > 100.0 {
        return Err(invalid(
            "composition",
            sum,
            "100% by mass or less in all",
            "Give each content in % by mass.",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::StainlessFamily::{Austenitic, Duplex, Ferritic, Martensitic, PrecipitationHardening};
    use super::*;

    fn stainless(family: StainlessFamily, cr: f64, mo: f64, n: f64) -> StainlessComposition {
        StainlessComposition {
            family,
            chromium_pct: cr,
            molybdenum_pct: mo,
            tungsten_pct: 0.0,
            nitrogen_pct: n,
        }
    }

    // Printed: compositions with their numbers to one decimal, from a table of the stainless steel trade.
    #[test]
    fn pren_agrees_with_printed_numbers() {
        for (name, composition, printed) in [
            ("316", stainless(Austenitic, 17.2, 2.1, 0.0), 24.1),
            ("317L", stainless(Austenitic, 18.2, 3.1, 0.0), 28.4),
            ("317LMN", stainless(Austenitic, 17.8, 4.1, 0.14), 33.6),
            ("2304", stainless(Duplex, 23.0, 0.3, 0.1), 25.6),
            ("2205", stainless(Duplex, 22.0, 3.1, 0.17), 35.0),
            ("2507", stainless(Duplex, 25.0, 4.0, 0.27), 42.5),
        ] {
            let pren = pitting_resistance_equivalent(&composition, PrenForm::Nitrogen16).unwrap();
            assert!((pren - printed).abs() < 0.0501, "{name}: {pren}, printed {printed}");
        }
    }

    #[test]
    fn the_variant_and_the_family_decide_what_counts() {
        let mut steel = stainless(Austenitic, 20.0, 6.0, 0.2);
        steel.tungsten_pct = 1.0;
        let pren = |steel, form| pitting_resistance_equivalent(steel, form).unwrap();
        assert!((pren(&steel, PrenForm::Nitrogen16) - 43.0).abs() < 1e-12);
        assert!((pren(&steel, PrenForm::Tungsten) - 44.65).abs() < 1e-12);
        assert!((pren(&steel, PrenForm::Nitrogen30) - 45.8).abs() < 1e-12);
        let ferritic = stainless(Ferritic, 16.5, 0.0, 0.05);
        for &form in PrenForm::ALL {
            assert!((pren(&ferritic, form) - 16.5).abs() < 1e-12);
        }
    }

    #[test]
    fn pren_is_refused_where_it_says_nothing() {
        for family in [Martensitic, PrecipitationHardening] {
            let error =
                pitting_resistance_equivalent(&stainless(family, 13.0, 0.0, 0.0), PrenForm::default());
            assert_eq!(error.unwrap_err().field(), "family");
        }
        let duplex = stainless(Duplex, 22.0, 3.0, 0.2);
        assert_eq!(pitting_resistance_equivalent(&duplex, PrenForm::Nitrogen30).unwrap_err().field(), "form");
        for cr in [-1.0, 101.0, f64::NAN, f64::INFINITY] {
            let steel = stainless(Austenitic, cr, 0.0, 0.0);
            assert_eq!(
                pitting_resistance_equivalent(&steel, PrenForm::default()).unwrap_err().field(),
                "chromium_pct"
            );
        }
        let steel = stainless(Austenitic, 60.0, 60.0, 0.0);
        assert!(pitting_resistance_equivalent(&steel, PrenForm::default()).is_err());
        let whole = stainless(Austenitic, 60.0, 40.0, 0.0);
        assert!(pitting_resistance_equivalent(&whole, PrenForm::default()).is_ok());
    }

    fn low_alloy([cu, ni, cr, si, p]: [f64; 5]) -> LowAlloyComposition {
        LowAlloyComposition {
            copper_pct: cu,
            nickel_pct: ni,
            chromium_pct: cr,
            silicon_pct: si,
            phosphorus_pct: p,
        }
    }

    // Independent arithmetic from the same remembered coefficients: no published worked value was found, so these
    // test the arithmetic, not the coefficients.
    #[test]
    fn the_index_agrees_with_independent_arithmetic() {
        for (composition, expected, weathering) in [
            ([0.20, 0.0, 0.0, 0.0, 0.0], 3.8664, false),
            ([0.30, 0.30, 0.50, 0.30, 0.015], 6.571, true),
            ([0.30, 0.40, 0.55, 0.30, 0.020], 6.8549, true),
            ([0.51, 1.1, 1.3, 0.64, 0.12], 8.1447, true),
            ([0.0; 5], 0.0, false),
        ] {
            let result = atmospheric_corrosion_index(&low_alloy(composition)).unwrap();
            assert!((result.index - expected).abs() < 5.1e-5, "{composition:?}: {}", result.index);
            assert_eq!(result.is_weathering, weathering);
            assert!(result.outside_range.is_empty());
        }
    }

    #[test]
    fn outside_its_range_the_index_is_flagged_and_vouches_for_nothing() {
        let result = atmospheric_corrosion_index(&low_alloy([0.3, 3.0, 0.5, 0.3, 0.2])).unwrap();
        assert_eq!(result.outside_range, ["nickel_pct", "phosphorus_pct"]);
        assert!(result.index > INDEX_ACCEPTANCE && !result.is_weathering);
        assert_eq!(
            atmospheric_corrosion_index(&low_alloy([0.1, 0.1, -0.1, 0.0, 0.0])).unwrap_err().field(),
            "chromium_pct"
        );
    }

    #[test]
    fn words_are_the_same_everywhere() {
        for family in StainlessFamily::ALL {
            assert_eq!(family.to_string().parse::<StainlessFamily>().unwrap(), *family);
            assert_eq!(serde_json::to_string(family).unwrap(), format!("\"{family}\""));
        }
        for form in PrenForm::ALL {
            assert_eq!(form.to_string().parse::<PrenForm>().unwrap(), *form);
            assert_eq!(serde_json::to_string(form).unwrap(), format!("\"{form}\""));
        }
        assert!("austentic".parse::<StainlessFamily>().unwrap_err().to_string().contains("did you mean"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn more_alloy_pits_later(cr in 10.0..30.0, mo in 0.0..7.0, n in 0.0..0.5, more in 0.01..2.0) {
            let pren = |cr, mo, n| {
                pitting_resistance_equivalent(&stainless(Austenitic, cr, mo, n), PrenForm::Nitrogen16).unwrap()
            };
            let base = pren(cr, mo, n);
            prop_assert!(pren(cr + more, mo, n) > base);
            prop_assert!(pren(cr, mo + more, n) > base);
            prop_assert!(pren(cr, mo, n + more) > base);
        }

        #[test]
        fn chromium_and_silicon_always_raise_the_index(
            cu in 0.0..0.51, ni in 0.0..1.1, cr in 0.0..1.3, si in 0.0..0.64, p in 0.0..0.12, more in 0.01..0.5
        ) {
            let index = |cr, si| atmospheric_corrosion_index(&low_alloy([cu, ni, cr, si, p])).unwrap().index;
            prop_assert!(index(cr + more, si) > index(cr, si));
            prop_assert!(index(cr, si + more) > index(cr, si));
        }
    }
}
