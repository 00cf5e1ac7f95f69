//! The same place one corrosivity category worse.

use crate::Result;
use crate::atmosphere::{
    Category, DoseInputs, StandardMetal, category_from_um, category_loss_range, first_year_loss_um,
};
use crate::error::invalid;
use crate::evidence::Source;
use crate::math::root::end_of;

/// Source of what "one category up" does to a place.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const CATEGORY_UP: Source = Source::assumption(
    "which air lies behind the next category is not one air: both depositions are multiplied by one factor, climate \
     as it is, until the first-year loss of steel stands as far within the next category of ISO 9223 as it stood \
     within its own, on the logarithmic scale",
);

/// Largest depositions that a duty takes, mg/(m²·d).
const SO2_BOUND: f64 = 5000.0;
const CHLORIDE_BOUND: f64 = 20_000.0;

/// The atmosphere with both depositions multiplied so that steel falls into the next category (`CATEGORY_UP`).
///
/// ```
/// use overcoat::atmosphere::{Category, DoseInputs, StandardMetal, category_from_um, first_year_loss_um};
/// use overcoat::study::category_up;
/// let now = DoseInputs {
///     temperature_c: 12.0, relative_humidity_pct: 80.0, so2_mg_m2_day: 4.0, chloride_mg_m2_day: 20.0,
/// };
/// let category = |air: &DoseInputs| {
///     category_from_um(StandardMetal::Steel, first_year_loss_um(StandardMetal::Steel, air)?)
/// };
/// assert_eq!(category(&now)?, Category::C3);
/// let then = category_up(&now)?;
/// assert_eq!(category(&then)?, Category::C4);
/// assert_eq!(then.temperature_c, now.temperature_c);
/// # Ok::<(), overcoat::Error>(())
/// ```
///
/// # Errors
/// What no place has as air; CX, above which there is nothing; depositions of zero, which no factor moves; a climate
/// so dry or cold that no deposition that a duty takes would do.
pub fn category_up(inputs: &DoseInputs) -> Result<DoseInputs> {
    let steel = StandardMetal::Steel;
    let loss_um = first_year_loss_um(steel, inputs)?;
    let category = category_from_um(steel, loss_um)?;
    let next = Category::ALL.iter().skip_while(|c| **c != category).nth(1);
    let ranges = next
        .and_then(|next| Some((category_loss_range(steel, category)?, category_loss_range(steel, *next)?)));
    let Some((own, worse)) = ranges else {
        return Err(invalid(
            "category",
            category,
            "C1 to C5",
            "Leave out places of CX: nothing is above it.",
        ));
    };
    let share = (loss_um / own.low_um).ln() / (own.high_um / own.low_um).ln();
    // the lower bound itself belongs to the category below
    let share = share.clamp(1e-6, 1.0);
    let wanted_um = worse.low_um * (worse.high_um / worse.low_um).powf(share);
    let scaled = |ln_factor: f64| {
        let factor = ln_factor.exp();
        DoseInputs {
            so2_mg_m2_day: inputs.so2_mg_m2_day * factor,
            chloride_mg_m2_day: inputs.chloride_mg_m2_day * factor,
            ..*inputs
        }
    };
    let largest = (SO2_BOUND / inputs.so2_mg_m2_day).min(CHLORIDE_BOUND / inputs.chloride_mg_m2_day);
    let at = |ln_factor: f64| first_year_loss_um(steel, &scaled(ln_factor));
    if !largest.is_finite() || largest <= 1.0 || at(largest.ln())? < wanted_um {
        return Err(invalid(
            "chloride_mg_m2_day",
            inputs.chloride_mg_m2_day,
            "depositions whose multiple, at most 5000 of SO2 and 20000 mg/(m²·d) of chloride, reaches the next category",
            "Raise temperature, humidity or deposition of this place by hand.",
        ));
    }
    let ((ln_factor, _), _) =
        end_of((0.0, loss_um), (largest.ln(), f64::INFINITY), at, |found| *found <= wanted_um)?;
    Ok(scaled(ln_factor))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn each_place_below_cx_gets_the_next_category_or_a_reason(
            t in -10.0..30.0_f64, rh in 40.0..98.0_f64, so2 in 0.1..200.0_f64, chloride in 0.1..1000.0_f64,
        ) {
            let now = DoseInputs {
                temperature_c: t, relative_humidity_pct: rh, so2_mg_m2_day: so2, chloride_mg_m2_day: chloride,
            };
            let loss = |air: &DoseInputs| first_year_loss_um(StandardMetal::Steel, air).unwrap();
            let category = |air: &DoseInputs| category_from_um(StandardMetal::Steel, loss(air)).unwrap();
            match category_up(&now) {
                Ok(then) => {
                    prop_assert_eq!(category(&then) as usize, category(&now) as usize + 1);
                    let ratio = then.chloride_mg_m2_day / chloride;
                    prop_assert!((then.so2_mg_m2_day / so2 / ratio - 1.0).abs() < 1e-12 && ratio > 1.0);
                }
                Err(error) => {
                    let most = (5000.0 / so2).min(20_000.0 / chloride);
                    let worst = DoseInputs { so2_mg_m2_day: so2 * most, chloride_mg_m2_day: chloride * most, ..now };
                    prop_assert!(category(&now) == Category::Cx || loss(&worst) < 700.0, "{}", error);
                }
            }
        }
    }

    /// With L the loss in C3 (25 to 50 µm), that in C4 (50 to 80 µm) is 50·(80/50)^(ln(L/25)/ln(50/25)).
    #[test]
    fn the_place_within_the_category_is_kept() {
        let now = DoseInputs {
            temperature_c: 12.0,
            relative_humidity_pct: 80.0,
            so2_mg_m2_day: 4.0,
            chloride_mg_m2_day: 20.0,
        };
        let loss = |air: &DoseInputs| first_year_loss_um(StandardMetal::Steel, air).unwrap();
        let share = (loss(&now) / 25.0).ln() / 2.0_f64.ln();
        assert!(share > 0.1 && share < 0.9);
        let wanted = 50.0 * 1.6_f64.powf(share);
        assert!((loss(&category_up(&now).unwrap()) / wanted - 1.0).abs() < 1e-12);
    }

    /// A multiple that would need more than 5000 of SO2 or 20 000 of chloride is no air: 4000 of SO2 may grow by 1.25
    /// and 15 000 of chloride by 1.33, which leads no cold and dry place from C2 or C5 to the next.
    #[test]
    fn depositions_stay_within_what_a_duty_takes() {
        for (so2_mg_m2_day, chloride_mg_m2_day) in [(4000.0, 0.1), (0.5, 15_000.0)] {
            let air = DoseInputs {
                temperature_c: -10.0,
                relative_humidity_pct: 40.0,
                so2_mg_m2_day,
                chloride_mg_m2_day,
            };
            assert_eq!(category_up(&air).unwrap_err().field(), "chloride_mg_m2_day", "{so2_mg_m2_day}");
        }
    }

    #[test]
    fn clean_air_and_the_last_category_are_refused() {
        let air = DoseInputs {
            temperature_c: 10.0,
            relative_humidity_pct: 80.0,
            so2_mg_m2_day: 0.0,
            chloride_mg_m2_day: 0.0,
        };
        assert_eq!(category_up(&air).unwrap_err().field(), "chloride_mg_m2_day");
        let surf = DoseInputs { chloride_mg_m2_day: 1400.0, temperature_c: 25.0, ..air };
        assert_eq!(category_up(&surf).unwrap_err().field(), "category");
    }
}
