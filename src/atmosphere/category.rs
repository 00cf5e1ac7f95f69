//! Corrosivity categories C1 to CX of an atmosphere, by the first-year loss of one metal.
//!
//! A place's category belongs to the metal asked for: the categories of steel and zinc often differ at one
//! place. The lower bound of a category is exclusive, the upper inclusive. The standard rounds its bounds in
//! µm and in g/m² separately, so a loss is classified in the unit in which it was computed: 650 g/m² of steel
//! is C4 by mass, and the same loss as 82.7 µm is C5 by thickness.

use serde::{Deserialize, Serialize};

use super::column::{at_row, same_length};
use super::loss_range::LossRange;
use super::metal::{StandardMetal, g_m2_to_um, um_to_g_m2};
use crate::error::{Result, within, words};
use crate::evidence::Source;

/// Corrosivity category, mildest first.
///
/// ```
/// use overcoat::atmosphere::Category;
/// assert!(Category::C3 < Category::Cx);
/// assert_eq!(Category::Cx.to_string(), "CX");
/// assert_eq!("C4".parse::<Category>().unwrap(), Category::C4);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "UPPERCASE")]
pub enum Category {
    /// Very low.
    C1,
    /// Low.
    C2,
    /// Medium.
    C3,
    /// High.
    C4,
    /// Very high.
    C5,
    /// Extreme.
    Cx,
}

words! {
    Category, "category", "Name a category of ISO 9223:2012; C5-I and C5-M of older editions are now C5.";
    C1 = "C1",
    C2 = "C2",
    C3 = "C3",
    C4 = "C4",
    C5 = "C5",
    Cx = "CX",
}

/// Upper bounds, inclusive, of C1, C2, C3, C4, C5 and CX for one metal.
#[derive(Debug, Clone, PartialEq)]
pub struct CategoryBounds {
    /// The metal.
    pub metal: StandardMetal,
    /// By loss of thickness in the first year (µm); `None` where the standard gives mass only.
    pub um: Option<[f64; 6]>,
    /// By loss of mass in the first year (g/m²).
    pub g_m2: [f64; 6],
    /// Where they come from.
    pub source: Source,
}

/// The bounds of ISO 9223:2012, table 2.
///
/// Aluminum: the standard calls C1 negligible, taken here as exactly no loss (assumption), and leaves CX
/// open.
///
/// ```
/// use overcoat::atmosphere::CATEGORY_BOUNDS;
/// for bounds in &CATEGORY_BOUNDS {
///     println!("{}: {:?} g/m2 ({})", bounds.metal, bounds.g_m2, bounds.source);
/// }
/// ```
pub static CATEGORY_BOUNDS: [CategoryBounds; 4] = [
    CategoryBounds {
        metal: StandardMetal::Steel,
        um: Some([1.3, 25.0, 50.0, 80.0, 200.0, 700.0]),
        g_m2: [10.0, 200.0, 400.0, 650.0, 1500.0, 5500.0],
        source: Source::standard("ISO 9223:2012, table 2"),
    },
    CategoryBounds {
        metal: StandardMetal::Zinc,
        um: Some([0.1, 0.7, 2.1, 4.2, 8.4, 25.0]),
        g_m2: [0.7, 5.0, 15.0, 30.0, 60.0, 180.0],
        source: Source::standard("ISO 9223:2012, table 2"),
    },
    CategoryBounds {
        metal: StandardMetal::Copper,
        um: Some([0.1, 0.6, 1.3, 2.8, 5.6, 10.0]),
        g_m2: [0.9, 5.0, 12.0, 25.0, 50.0, 90.0],
        source: Source::standard(
            "ISO 9223:2012, table 2, read in a public transcription of the German print",
        ),
    },
    CategoryBounds {
        metal: StandardMetal::Aluminium,
        um: None,
        g_m2: [0.0, 0.6, 2.0, 5.0, 10.0, f64::INFINITY],
        source: Source::standard(
            "ISO 9223:2012, table 2, read in a public transcription of the German print; C1, negligible there, taken as no \
             loss",
        ),
    },
];

fn bounds(metal: StandardMetal) -> &'static CategoryBounds {
    let [steel, zinc, copper, aluminium] = &CATEGORY_BOUNDS;
    match metal {
        StandardMetal::Steel => steel,
        StandardMetal::Zinc => zinc,
        StandardMetal::Copper => copper,
        StandardMetal::Aluminium => aluminium,
    }
}

fn classify(uppers: &[f64; 6], loss: f64) -> Category {
    Category::ALL
        .iter()
        .zip(uppers)
        .find(|(_, upper)| loss <= **upper)
        .map_or(Category::Cx, |(category, _)| *category)
}

/// Category by loss of thickness in the first year (µm).
///
/// A loss above the upper bound of CX is still CX; [`above_table`] tells. Aluminum, whose bounds are in
/// g/m² only, is converted by its density first. Source: [`CATEGORY_BOUNDS`].
///
/// # Errors
/// A loss that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{Category, StandardMetal, category_from_um};
/// assert_eq!(category_from_um(StandardMetal::Steel, 50.0).unwrap(), Category::C3);
/// assert_eq!(category_from_um(StandardMetal::Steel, 50.1).unwrap(), Category::C4);
/// ```
pub fn category_from_um(metal: StandardMetal, first_year_loss_um: f64) -> Result<Category> {
    within(
        "first_year_loss_um",
        first_year_loss_um,
        0.0,
        f64::INFINITY,
        "um",
        "Enter the loss of thickness in the first year.",
    )?;
    let table = bounds(metal);
    Ok(match &table.um {
        Some(uppers) => classify(uppers, first_year_loss_um),
        None => classify(&table.g_m2, um_to_g_m2(metal, first_year_loss_um)),
    })
}

/// Category by loss of mass in the first year (g/m²); otherwise as [`category_from_um`].
///
/// # Errors
/// A loss that is negative or not finite.
///
/// ```
/// use overcoat::atmosphere::{Category, StandardMetal, category_from_g_m2, category_from_um, g_m2_to_um};
/// let steel = StandardMetal::Steel;
/// assert_eq!(category_from_g_m2(steel, 650.0).unwrap(), Category::C4);
/// // the standard's own rounding: the same loss converted to µm is one category higher
/// assert_eq!(category_from_um(steel, g_m2_to_um(steel, 650.0)).unwrap(), Category::C5);
/// ```
pub fn category_from_g_m2(metal: StandardMetal, first_year_loss_g_m2: f64) -> Result<Category> {
    within(
        "first_year_loss_g_m2",
        first_year_loss_g_m2,
        0.0,
        f64::INFINITY,
        "g/m2",
        "Enter the loss of mass in the first year.",
    )?;
    Ok(classify(&bounds(metal).g_m2, first_year_loss_g_m2))
}

/// [`category_from_um`] of each row of a column.
///
/// # Errors
/// An [`InvalidTable`](crate::error::InvalidTable): columns of unequal length, or the first row (counted
/// from 1) whose loss is rejected. The rows before it are then already written.
///
/// ```
/// use overcoat::atmosphere::{Category, StandardMetal, category_from_um_into};
/// let mut out = [Category::C1; 3];
/// category_from_um_into(StandardMetal::Zinc, &[0.1, 2.2, 30.0], &mut out).unwrap();
/// assert_eq!(out, [Category::C1, Category::C4, Category::Cx]);
/// ```
pub fn category_from_um_into(
    metal: StandardMetal,
    first_year_loss_um: &[f64],
    out: &mut [Category],
) -> Result<()> {
    same_length("out", out.len(), "first_year_loss_um", first_year_loss_um.len())?;
    for (index, (&loss, category)) in first_year_loss_um.iter().zip(out).enumerate() {
        *category = category_from_um(metal, loss).map_err(|error| at_row(error, index))?;
    }
    Ok(())
}

/// Whether a loss (µm) is above the upper bound of CX: such rates exist in the field, beyond the standard's
/// table. Never so for aluminum, whose CX is open.
///
/// ```
/// use overcoat::atmosphere::{StandardMetal, above_table};
/// assert!(above_table(StandardMetal::Steel, 701.0));
/// assert!(!above_table(StandardMetal::Steel, 700.0));
/// ```
pub fn above_table(metal: StandardMetal, first_year_loss_um: f64) -> bool {
    matches!(bounds(metal).um, Some([.., top]) if first_year_loss_um > top)
}

/// The losses (µm) of a place of which only the category is known: from its lower to its upper bound.
///
/// C1 starts at a tenth of its upper bound (see `LOSS_RANGE_SOURCE`). `None` for
/// C1 and CX of aluminum, which have no finite range.
///
/// ```
/// use overcoat::atmosphere::{Category, StandardMetal, category_loss_range};
/// let range = category_loss_range(StandardMetal::Steel, Category::C4).unwrap();
/// assert_eq!((range.low_um, range.high_um), (50.0, 80.0));
/// ```
pub fn category_loss_range(metal: StandardMetal, category: Category) -> Option<LossRange> {
    let table = bounds(metal);
    let uppers = table.um.unwrap_or_else(|| table.g_m2.map(|g| g_m2_to_um(metal, g)));
    let index = Category::ALL.iter().position(|&c| c == category)?;
    let high_um = *uppers.get(index)?;
    let low_um = match index.checked_sub(1).and_then(|below| uppers.get(below)) {
        Some(&below) if below > 0.0 => below,
        _ => high_um / 10.0,
    };
    LossRange::new(low_um, high_um).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for &category in Category::ALL {
            assert_eq!(serde_json::to_string(&category).unwrap(), format!("\"{category}\""));
            assert_eq!(category.to_string().parse::<Category>().unwrap(), category);
        }
        assert!("C5-M".parse::<Category>().unwrap_err().to_string().contains("did you mean \"C5\"?"));
    }

    #[test]
    fn an_upper_bound_belongs_to_its_category_and_the_next_number_does_not() {
        for table in &CATEGORY_BOUNDS {
            for (window, uppers) in Category::ALL.windows(2).zip(table.g_m2) {
                assert_eq!(category_from_g_m2(table.metal, uppers).unwrap(), window[0]);
                assert_eq!(category_from_g_m2(table.metal, uppers.next_up()).unwrap(), window[1]);
            }
            let Some(um) = table.um else { continue };
            for (window, upper) in Category::ALL.windows(2).zip(um) {
                assert_eq!(category_from_um(table.metal, upper).unwrap(), window[0]);
                assert_eq!(category_from_um(table.metal, upper.next_up()).unwrap(), window[1]);
            }
        }
    }

    #[test]
    fn measured_sites_fall_where_the_standard_puts_them() {
        // printed losses of exposure sites (µm in the first year) with categories by the published bounds
        use Category::{C2, C3, C4, C5};
        for (steel, zinc, copper, expected) in [
            (61.6, 1.80, 2.80, (C4, C3, C4)),
            (27.7, 0.60, 0.50, (C3, C2, C2)),
            (37.9, 2.01, 2.85, (C3, C3, C5)),
        ] {
            let found = (
                category_from_um(StandardMetal::Steel, steel).unwrap(),
                category_from_um(StandardMetal::Zinc, zinc).unwrap(),
                category_from_um(StandardMetal::Copper, copper).unwrap(),
            );
            assert_eq!(found, expected);
        }
    }

    #[test]
    fn aluminium_is_converted_and_only_no_loss_is_c1() {
        let aluminium = StandardMetal::Aluminium;
        assert_eq!(category_from_um(aluminium, 0.0).unwrap(), Category::C1);
        assert_eq!(category_from_um(aluminium, 0.2).unwrap(), Category::C2); // 0.54 g/m²
        assert_eq!(category_from_um(aluminium, 0.7).unwrap(), Category::C3); // 1.89 g/m²
        assert_eq!(category_from_um(aluminium, 400.0).unwrap(), Category::Cx);
        assert!(!above_table(aluminium, 400.0));
        assert!(category_loss_range(aluminium, Category::C1).is_none());
        assert!(category_loss_range(aluminium, Category::Cx).is_none());
        assert!(category_loss_range(aluminium, Category::C2).is_some());
    }

    /// C1 of steel ends at 1.3 µm and so starts at 0.13; aluminum has no C1 to speak of, so C2 (0.6 g/m², 0.222 µm of
    /// 2.70 g/cm³) starts at a tenth of its own end.
    #[test]
    fn the_mildest_range_starts_at_a_tenth_of_its_end() {
        for (metal, category, low, high) in [
            (StandardMetal::Steel, Category::C1, 0.13, 1.3),
            (StandardMetal::Aluminium, Category::C2, 0.06 / 2.7, 0.6 / 2.7),
        ] {
            let range = category_loss_range(metal, category).unwrap();
            assert!((range.low_um / low - 1.0).abs() < 1e-12 && (range.high_um / high - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn above_the_table_is_still_cx() {
        assert_eq!(category_from_um(StandardMetal::Zinc, 26.0).unwrap(), Category::Cx);
        assert!(above_table(StandardMetal::Zinc, 26.0));
    }

    #[test]
    fn impossible_losses_are_refused_with_their_row() {
        let mut out = [Category::C1; 2];
        let error = category_from_um_into(StandardMetal::Steel, &[1.0, -1.0], &mut out).unwrap_err();
        assert!(error.to_string().starts_with("column `first_year_loss_um`, row 2"), "{error}");
        assert!(category_from_g_m2(StandardMetal::Steel, f64::NAN).is_err());
    }

    proptest! {
        #[test]
        fn more_loss_never_means_a_milder_category(a in 0.0..1000.0_f64, b in 0.0..1000.0_f64) {
            let (low, high) = if a <= b { (a, b) } else { (b, a) };
            for &metal in StandardMetal::ALL {
                prop_assert!(category_from_um(metal, low).unwrap() <= category_from_um(metal, high).unwrap());
            }
        }

        #[test]
        fn the_middle_of_a_category_lies_in_it(index in 0..6_usize) {
            for &metal in StandardMetal::ALL {
                let category = Category::ALL[index];
                if let Some(range) = category_loss_range(metal, category) {
                    prop_assert_eq!(category_from_um(metal, range.median_um()).unwrap(), category);
                }
            }
        }
    }
}
