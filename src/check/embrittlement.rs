//! Acid on hard steel: hydrogen enters, and the part may break hours or days after it is tightened.

use crate::Result;
use crate::brief::Form;
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::fastener::{EmbrittlementEdition, Susceptibility, baking, susceptibility};
use crate::source::Source;

const BATH_IS_NO_CAUSE: Source = Source::common_practice(
    "no hydrogen forms on steel in the hot alkaline blackening bath; acid pickling and acid stripping are the \
     cause",
);
const SAFETY: Source = Source::common_practice(
    "safety-critical joints of hard steel need a written process with embrittlement control and test",
);
/// ISO 4042:2018: hardness from which baking or proof is asked for after acid.
const ACID_FORBIDDEN_ABOVE_HV: f64 = 390.0;
const ACID_FORBIDDEN: Source = Source::standard(
    "ISO 4042:2018: specified maximum hardness above 390 HV calls for baking; acid is avoided there altogether \
     (ASTM F1941 guidance: non-acid cleaning from 40 HRC)",
);

/// Whether acid is ruled out on this part: hard steel above 390 HV. Parts that are not loaded in tension by
/// design, as set screws, are excepted by ISO 4042:2018, but gain nothing from acid either.
pub fn acid_is_forbidden(case: &Case) -> bool {
    case.metal.family.is_hardenable() && case.hardness_hv().is_some_and(|hv| hv > ACID_FORBIDDEN_ABOVE_HV)
}

/// Whether acid on this part calls for a verified process or a bake.
pub(crate) fn acid_is_watched(case: &Case) -> Result<bool> {
    match case.hardness_hv().filter(|_| case.metal.family.is_hardenable()) {
        Some(hardness_hv) => susceptibility(hardness_hv, EmbrittlementEdition::Iso4042Edition2018)
            .map(|answer| answer != Susceptibility::NotSusceptible)
            .map_err(|e| e.within("part")),
        None => Ok(false),
    }
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let Some(hardness_hv) = case.hardness_hv().filter(|_| case.metal.family.is_hardenable()) else {
        return Ok(());
    };
    let part = &case.brief().part;
    let susceptible = acid_is_watched(case)?;
    let edition = EmbrittlementEdition::Iso4042Edition2018.source();
    let acid = found.iter().any(|f| matches!(f.step, Some(Step::Pickle | Step::StripInAcid)));
    let in_tension = part.form != Some(Form::SetScrew);
    if acid_is_forbidden(case) && case.is_treated() {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.no_acid",
                format!("{hardness_hv:.0} HV: no acid at any step"),
                ACID_FORBIDDEN,
            )
            .remedy("Clean in alkali or mechanically, and write `no acid` into the order."),
        );
    }
    if susceptible && in_tension && (acid || case.treatment.evolves_hydrogen) {
        // The table ends at 1800 MPa; acid is ruled out well below that.
        let tensile_mpa = tensile_from_hardness_mpa(hardness_hv).min(1800.0);
        if let Some(bake) = baking(tensile_mpa)? {
            let origin = if acid { "acid in the route" } else { "electroplating" };
            found.push(
                finding(
                    FindingKind::Needs,
                    "embrittlement.bake",
                    format!("{hardness_hv:.0} HV and {origin}: bake {:.0} h at 190 to 220 °C", bake.hours),
                    edition,
                )
                .step(Step::BakeHours(bake.hours))
                .remedy(
                    "Start the bake within 1 h, before oil or wax; or avoid the cause; or prove the process by test.",
                ),
            );
        }
    }
    if susceptible && case.treatment.class.is_some() {
        found.push(finding(
            FindingKind::Notes,
            "embrittlement.bath",
            "the blackening bath itself is no cause of embrittlement",
            BATH_IS_NO_CAUSE,
        ));
    }
    if part.safety_critical && susceptible {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.safety",
                format!("a safety-critical part of {hardness_hv:.0} HV"),
                SAFETY,
            )
            .remedy("Have the process approved by a qualified person before ordering."),
        );
    }
    Ok(())
}

/// Tensile strength that goes with a Vickers hardness, MPa: 3.2 times it, as the property classes of ISO 898-1
/// show (8.8: 800 MPa at 250 HV, 12.9: 1220 MPa at 385 HV; derived).
fn tensile_from_hardness_mpa(hardness_hv: f64) -> f64 {
    3.2 * hardness_hv
}
