//! Hydrogen in hard steel: it enters from acid and current, and the part may break hours or days after it is
//! tightened; zinc and rust feed it in service.

use crate::Result;
use crate::brief::customary::hv_of_hrc;
use crate::brief::{Form, Part, PresentFinish};
use crate::check::couple::CoupleMetal;
use crate::check::heat::{Oven, oven_limit_c, ovens};
use crate::check::preparation::renews_zinc;
use crate::check::strength::is_fastener;
use crate::check::{Case, Finding, FindingKind, Step, finding, inch_order};
use crate::evidence::Source;
use crate::fastener::{EmbrittlementEdition, Susceptibility, baking, susceptibility};
use crate::finish::{FilmKind, TreatmentKind};
use crate::metal::Family;

const BATH_IS_NO_CAUSE: Source = Source::common_practice(
    "no hydrogen forms on steel in the hot alkaline blackening bath; acid pickling and acid stripping are the \
     cause",
);
const SAFETY: Source = Source::common_practice(
    "safety-critical joints of hard steel need a written process with embrittlement control and test",
);
/// Hardness from which electroplating and acid baths are ruled out without consent, and from which a wet part is in
/// danger in service.
pub(super) const VERY_HARD_HV: f64 = 390.0;
/// ISO 4042:2018: hardness from which baking or proof is required after acid.
const ACID_FORBIDDEN_ABOVE_HV: f64 = 390.0;
const ACID_FORBIDDEN: Source = Source::standard(
    "ISO 4042:2018: specified maximum hardness above 390 HV calls for baking; acid is avoided there altogether \
     (ASTM F1941 guidance: non-acid cleaning from 40 HRC)",
);
const PLATING: Source = Source::common_practice(
    "ISO 4042:2018 asks for a bake above 390 HV, and a fastener maker's note says that no bake removes all risk from \
     40 HRC up; the 2022 edition in force revises nuts, washers and case-hardened screws (text not read)",
);
const ACID_BATH: Source = Source::standard(
    "ISO 4042:1999, annex A: hydrogen may enter in phosphating, pickling and electroplating; room-temperature black \
     is an acid bath (EP 0258202, 1988)",
);
const PHOSPHATE_RELIEF: Source = Source::from_memory(
    "DOD-P-16232F and MIL-DTL-16232G: parts of 39 HRC and above are relieved after phosphating, 8 h at 98 to 107 °C or \
     120 h at room temperature; stress relief before it (read)",
);
const NOT_IN_TENSION: Source = Source::common_practice(
    "ISO 4042:2018 by an extract: parts that are not loaded in tension by design, as set screws to ISO 898-5, are excepted \
     from the bake; makers of set screws advise against electroplate at 45H even so, since the key stretches the socket \
     wall (recalled)",
);
const ELECTROCOAT: Source = Source::from_memory(
    "cathodic electrocoat evolves hydrogen at the part and lines may have an acid stage; some car makers limit it to 10.9",
);
const TEST: Source =
    Source::from_memory("ISO 15330, preloading test for the detection of hydrogen embrittlement");
const SET_SCREW_TEST: Source = Source::common_practice(
    "a set screw cannot be preloaded between parallel faces: it is tightened against a stop and held, and its socket is \
     inspected (recalled; the torque is by agreement)",
);
const WITNESS_TEST: Source = Source::from_memory(
    "ASTM F519: notched pieces of hard steel go through the process with the lot and hold 75% of their notched strength \
     for 200 h",
);
const IN_SERVICE: Source = Source::common_practice(
    "environmental hydrogen embrittlement: zinc or rust feeds hydrogen to wet steel above 390 HV; no bake cures it \
     (hydrogen guidance of fastener makers)",
);
/// Relief of hydrogen takes heat above which phosphate loses its water; below it the long way is taken.
pub(super) const BAKE_LOWEST_C: f64 = 190.0;
/// Hottest of the usual bake.
pub(super) const BAKE_HIGHEST_C: f64 = 220.0;
/// Hardness of joined steel from which hydrogen counts (ISO 4042:2018: 360 HV).
const JOINED_HV: f64 = 360.0;
const LOT: Source = Source::common_practice(
    "a property class sets a lowest and a highest hardness for every piece of a lot; a reading is of some pieces, and \
     readings of one lot differ by 10 HV and more",
);
const JOINED: Source = Source::common_practice(
    "what is joined to a part goes through its baths and ovens, and breaks by them alike",
);

/// Whether acid is ruled out on this part: hard steel above 390 HV. Parts that are not loaded in tension by
/// design, as set screws, are excepted by ISO 4042:2018, but gain nothing from acid either.
pub fn acid_is_forbidden(case: &Case) -> bool {
    case.hydrogen_hardness_hv().is_some_and(|hv| hv > ACID_FORBIDDEN_ABOVE_HV)
}

/// Hardness above which hydrogen counts (ISO 4042:1999, clause 6: above 320 HV the process is tested).
const SUSCEPTIBLE_HV: f64 = 320.0;

/// Whether hydrogen counts: no strip in acid, no bath of low efficiency.
pub(crate) fn hydrogen_counts(case: &Case) -> bool {
    case.hydrogen_hardness_hv().is_some_and(|hv| hv > SUSCEPTIBLE_HV)
}

/// Whether acid on this part calls for a verified process or a bake.
pub(crate) fn acid_is_watched(case: &Case) -> Result<bool> {
    match case.hydrogen_hardness_hv() {
        Some(hardness_hv) => susceptibility(hardness_hv, EmbrittlementEdition::Iso4042Edition2018)
            .map(|answer| answer != Susceptibility::NotSusceptible)
            .map_err(|e| e.within("part")),
        None => Ok(false),
    }
}

/// Hours of the bake at 190 to 220 °C that a hardness asks for; none where the steel is too soft to need one.
fn bake_hours(hardness_hv: f64) -> Result<Option<f64>> {
    // The table ends at 1800 MPa; acid is ruled out well below that.
    Ok(baking(tensile_from_hardness_mpa(hardness_hv).min(1800.0))?.map(|bake| bake.hours))
}

/// 39 HRC, from which DOD-P-16232F asks for relief (ISO 18265, recalled).
pub(crate) const HARD_PHOSPHATE_HV: f64 = 382.0;

/// Whether the process charges steel with hydrogen; renewing the passivate of a plating that stays does not.
fn charges(case: &Case) -> bool {
    case.treatment.evolves_hydrogen && !renews_zinc(case)
}

/// Whether the part is baked at 190 to 220 °C: hard steel in tension, charged by acid or by the process. Phosphate does
/// not withstand the bake and is relieved below it.
pub(super) fn is_baked(case: &Case, acid: bool) -> Result<bool> {
    let Some(hardness_hv) = case.hydrogen_hardness_hv() else { return Ok(false) };
    if !acid_is_watched(case)? {
        return Ok(false);
    }
    let charged = acid || charges(case) && case.treatment.kind != TreatmentKind::Phosphate;
    let in_tension = case.is_in_tension();
    Ok(charged && in_tension && bake_hours(hardness_hv)?.is_some())
}

/// Whether what comes ahead of the treatment charges the part: acid, or a plating that is stripped off hard steel.
pub(super) fn is_charged_before(case: &Case, found: &[Finding]) -> Result<bool> {
    let acid = found.iter().any(|f| matches!(f.step, Some(Step::Pickle | Step::StripInAcid)));
    let stripped = found.iter().any(|f| f.step == Some(Step::StripWithoutAcid)) && is_plated(case);
    Ok(acid || stripped && acid_is_watched(case)?)
}

/// Whether a metal coating is on the piece.
fn is_plated(case: &Case) -> bool {
    let present = case.piece_at_hand().map_or(PresentFinish::None, |part| part.present_finish);
    matches!(
        present,
        PresentFinish::ZincPlate
            | PresentFinish::HotDipZinc
            | PresentFinish::CadmiumPlate
            | PresentFinish::NickelPlate
            | PresentFinish::ChromiumPlate
    )
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let Some(hardness_hv) = case.hydrogen_hardness_hv() else { return Ok(()) };
    let part = &case.brief().part;
    let susceptible = acid_is_watched(case)?;
    let acid = is_charged_before(case, found)?;
    let in_tension = case.is_in_tension();
    joined_metals(case, found);
    if susceptible {
        softer_than_class(case, found);
    }
    if acid_is_forbidden(case) && case.is_treated() && !case.treatment.evolves_hydrogen {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.no_acid",
                format!("Acid charges steel of {hardness_hv:.0} HV with hydrogen, and the part can break days later."),
                ACID_FORBIDDEN,
            )
            .remedy("Allow no acid at any step: clean in alkali or mechanically, and write \"no acid\" into the order."),
        );
    }
    if case.is_very_hard() && case.treatment.evolves_hydrogen {
        charged(case, hardness_hv, found);
    }
    if susceptible && in_tension && (acid || charges(case)) {
        relief(case, hardness_hv, acid, found)?;
    }
    if case.is_very_hard() && in_tension {
        charged_elsewhere(case, hardness_hv, found);
    }
    if susceptible && case.treatment.class.is_some() {
        found.push(finding(
            FindingKind::Notes,
            "embrittlement.bath",
            "The blackening bath itself does not charge hydrogen.",
            BATH_IS_NO_CAUSE,
        ));
    }
    if case.is_very_hard() && case.is_wet() {
        in_service(case, hardness_hv, found);
    }
    if part.safety_critical && susceptible {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.safety",
                format!("Hydrogen can break a safety-critical part of {hardness_hv:.0} HV."),
                SAFETY,
            )
            .remedy("Have the process approved by a qualified person before ordering."),
        );
    }
    Ok(())
}

/// The process itself charges very hard steel: not without consent and a test of every lot, whatever the form.
fn charged(case: &Case, hardness_hv: f64, found: &mut Vec<Finding>) {
    let phosphate = case.treatment.kind == TreatmentKind::Phosphate;
    let (rule, source) = if case.treatment.kind == TreatmentKind::Electroplate {
        ("embrittlement.electroplate", PLATING)
    } else {
        ("embrittlement.acid_bath", ACID_BATH)
    };
    let part = &case.brief().part;
    let charges = format!("{} charges steel of {hardness_hv:.0} HV with hydrogen", case.treatment.name);
    let (message, source) = if case.is_in_tension() {
        let message = format!(
            "{charges}; from {VERY_HARD_HV:.0} HV up a bake does not remove all risk of delayed fracture."
        );
        (message, source)
    } else {
        // the exception is from the bake alone, and it ends where something pulls on the screw
        let message = format!(
            "{charges}. ISO 4042 excepts parts that are not loaded in tension by design, such as set screws, from the bake \
             alone: tightening stretches the socket wall."
        );
        (message, NOT_IN_TENSION)
    };
    if part.hydrogen_consent {
        found.push(finding(FindingKind::Warns, rule, message, source).remedy(if case.metal.family.is_stainless() {
            "Prefer alkaline black oxide for stainless steel; clean mechanically, without further acid."
        } else if case.is_in_tension() {
            "Prefer zinc flake, or hot alkaline black oxide; clean mechanically, without further acid."
        } else {
            "Write into the order that the screw must not be loaded in tension, limit its torque to that of its class, and \
             prefer hot alkaline black oxide, or zinc flake cured below the tempering temperature."
        }));
    } else if phosphate && !part.safety_critical {
        // hard parts are phosphated in practice: DOD-P-16232F sets stress relief before and hydrogen relief after from 39
        // HRC up and forbids nothing
        found.push(finding(FindingKind::Needs, rule, message, source).step(Step::Hold).remedy(
            "Hold the lot until the purchaser consents in writing to the acid bath, then set `part.hydrogen_consent`; or \
             order zinc flake or hot alkaline black oxide.",
        ));
    } else {
        found.push(finding(FindingKind::Blocks, rule, message, source).remedy(if case.metal.family.is_stainless() {
            "Order alkaline black oxide for stainless steel instead; only with the purchaser's written consent and an \
             embrittlement test of every lot set `part.hydrogen_consent`."
        } else {
            "Order zinc flake (no acid, no current) or hot alkaline black oxide instead; only with the purchaser's \
             written consent and an embrittlement test of every lot set `part.hydrogen_consent`."
        }));
        return;
    }
    if phosphate {
        cure_above_phosphate(case, found);
    }
    let (source, test) = test_of_the_lot(part);
    found.push(
        finding(
            FindingKind::Needs,
            "embrittlement.test",
            format!("Embrittlement test required: {hardness_hv:.0} HV and a process that charges hydrogen."),
            source,
        )
        .step(Step::TestEmbrittlement)
        .remedy(test),
    );
}

/// The embrittlement test that a form allows.
fn test_of_the_lot(part: &Part) -> (Source, &'static str) {
    match part.form {
        Some(Form::SetScrew) => (
            SET_SCREW_TEST,
            "Tighten set screws of the lot to an agreed torque, hold them 48 h, and release the lot if no socket cracks.",
        ),
        _ if is_fastener(part) => (
            TEST,
            "Hold the lot until the test of pieces from it (ISO 15330 or equal) ends without a fracture.",
        ),
        _ => (
            WITNESS_TEST,
            "Process notched pieces (ASTM F519) with the lot, and release the lot if none breaks in 200 h; nothing \
             preloads a part without a thread.",
        ),
    }
}

/// Very hard steel is relieved below the rating of its phosphate, so nothing that follows may be hotter than it.
fn cure_above_phosphate(case: &Case, found: &mut Vec<Finding>) {
    let Some(limit_c) = case.treatment.heat_limit_c.as_ref().map(|limit| limit.value) else { return };
    let hotter = ovens(case, &[]).into_iter().find(|oven| oven.low_c > limit_c);
    if let Some(Oven { name, low_c, .. }) = hotter {
        found.push(
            finding(
                FindingKind::Blocks,
                "embrittlement.cure",
                format!(
                    "{name} ({low_c} °C) is hotter than {} is rated for ({limit_c} °C), the rating below which very hard \
                     steel is relieved of hydrogen.",
                    case.treatment.name
                ),
                PHOSPHATE_RELIEF,
            )
            .remedy("Order a film that dries in air over the phosphate, or zinc flake without acid."),
        );
    }
}

/// Says that a stated hardness below the upper limit of the class does not make the lot softer.
fn softer_than_class(case: &Case, found: &mut Vec<Finding>) {
    let stated = case.piece_at_hand().and_then(|part| part.hardness_hv);
    let Some((stated, judged)) = stated.zip(case.own_hydrogen_hardness_hv()) else { return };
    if stated < judged {
        found.push(finding(
            FindingKind::Notes,
            "embrittlement.lot",
            format!(
                "Hydrogen is judged at {judged:.0} HV, the most that the class allows: the {stated:.0} HV stated are of \
                 some pieces, and a lot spreads over its class."
            ),
            LOT,
        ));
    }
}

/// Steel joined to the part that is harder than it and goes through the same acid and ovens.
fn joined_metals(case: &Case, found: &mut Vec<Finding>) {
    let own = case.own_hydrogen_hardness_hv().unwrap_or(0.0);
    if let Some(hv) = case.joined_hardness_hv().filter(|hv| *hv > own && *hv >= JOINED_HV) {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.joined_metals",
                format!(
                    "Steel of up to {hv:.0} HV is joined to the part and goes through the same acid and ovens: hydrogen is \
                     judged by it."
                ),
                JOINED,
            )
            .remedy("Finish the part before joining, or enter only the metals that are joined by then."),
        );
    }
}

/// Hydrogen is driven out: by a relief bake, or below the limit of the coating.
fn relief(case: &Case, hardness_hv: f64, acid: bool, found: &mut Vec<Finding>) -> Result<()> {
    let Some(hours) = bake_hours(hardness_hv)? else { return Ok(()) };
    let phosphate = case.treatment.kind == TreatmentKind::Phosphate;
    if phosphate {
        let limit_c = case.treatment.heat_limit_c.as_ref().map_or(BAKE_LOWEST_C, |limit| limit.value);
        // the standard asks for it from a hardness above that from which steel is watched
        let caution = if hardness_hv < HARD_PHOSPHATE_HV {
            ", for caution: DOD-P-16232F asks for it from 39 HRC"
        } else {
            ""
        };
        found.push(
            finding(
                FindingKind::Needs,
                "embrittlement.relief",
                format!(
                    "Hydrogen relief due after phosphating ({hardness_hv:.0} HV{caution}), below the {limit_c:.0} °C that the \
                     bare coating is rated for: the usual bake is hotter."
                ),
                PHOSPHATE_RELIEF,
            )
            .step(Step::RelieveHydrogen)
            .remedy("Hold the parts 8 h at 98 to 107 °C, or 120 h at room temperature, before oil and before use."),
        );
    }
    if is_baked(case, acid)? {
        // the hours are those of the hardest piece of the range that the order prints
        let ordered =
            inch_order(case).and_then(|order| order.hardness_hrc).and_then(|(_, hrc)| hv_of_hrc(hrc));
        let hardness_hv = ordered.map_or(hardness_hv, |hv| hv.max(hardness_hv));
        let hours = bake_hours(hardness_hv)?.unwrap_or(hours);
        let stripped =
            acid && !found.iter().any(|f| matches!(f.step, Some(Step::Pickle | Step::StripInAcid)));
        let origin = match (acid, case.treatment.kind) {
            (true, _) if stripped => "a plating that is stripped",
            (true, _) => "acid in the route",
            (false, TreatmentKind::Electroplate) => "electroplating",
            (false, _) => "an acid bath",
        };
        let when = if case.treatment.kind == TreatmentKind::Electroplate {
            "Bake after plating, within 1 h, and before passivating, sealing or lubricating; a bake before plating \
             removes only earlier hydrogen."
        } else if stripped {
            "Start the bake within 1 h of stripping, before any other process."
        } else {
            "Start the bake within 1 h, before oil or wax; or avoid the cause; or prove the process by test."
        };
        // one range everywhere: the limit of the metal ends it where the table goes higher
        let highest_c = oven_limit_c(case).filter(|limit| *limit >= BAKE_LOWEST_C).unwrap_or(BAKE_HIGHEST_C);
        let highest_c = highest_c.min(BAKE_HIGHEST_C);
        let fahrenheit = if highest_c < BAKE_HIGHEST_C { 1.8 * highest_c + 32.0 } else { 425.0 };
        let range = if highest_c < BAKE_LOWEST_C + 1.0 {
            format!("{highest_c} °C ({fahrenheit:.0} °F)")
        } else {
            format!("190 to {highest_c} °C (375 to {fahrenheit:.0} °F)")
        };
        found.push(
            finding(
                FindingKind::Needs,
                "embrittlement.bake",
                format!(
                    "Hydrogen relief bake due ({hardness_hv:.0} HV and {origin}): bake {hours:.0} h at {range}."
                ),
                EmbrittlementEdition::Iso4042Edition2018.source(),
            )
            .step(Step::BakeHours(hours))
            .remedy(when),
        );
    }
    Ok(())
}

/// Hydrogen that does not come from the treatment: of the plating that is on the piece, and of an electrocoat.
fn charged_elsewhere(case: &Case, hardness_hv: f64, found: &mut Vec<Finding>) {
    let present = case.piece_at_hand().map_or(PresentFinish::None, |part| part.present_finish);
    if is_plated(case) {
        found.push(
            finding(
                FindingKind::Warns,
                "embrittlement.present_finish",
                format!("The {} can have charged steel of {hardness_hv:.0} HV with hydrogen already.", present.words()),
                PLATING,
            )
            .remedy("Ask for the bake record of the plating and test the lot for embrittlement, or buy new parts."),
        );
    }
    if case.films.iter().any(|(_, film)| film.kind == FilmKind::Electrocoat) {
        let (_, test) = test_of_the_lot(&case.brief().part);
        found.push(
            finding(
                FindingKind::Needs,
                "embrittlement.electrocoat",
                format!("Steel of {hardness_hv:.0} HV is the cathode in the electrocoat bath, and the line can pickle it."),
                ELECTROCOAT,
            )
            .step(Step::TestEmbrittlement)
            .remedy(format!("Exclude every acid stage in the order. {test}")),
        );
    }
}

/// Wet service feeds hydrogen to very hard steel, the more so under zinc.
fn in_service(case: &Case, hardness_hv: f64, found: &mut Vec<Finding>) {
    let zinc_beside = case
        .brief()
        .duty
        .mating_metals
        .iter()
        .any(|name| CoupleMetal::named(name).is_some_and(CoupleMetal::is_zinc));
    let feeds = if case.treatment.is_zinc() {
        "zinc on it feeds hydrogen as it corrodes"
    } else if zinc_beside {
        "zinc beside it feeds hydrogen as it corrodes"
    } else {
        "rust feeds hydrogen"
    };
    found.push(
        finding(
            FindingKind::Warns,
            "embrittlement.in_service",
            format!(
                "In wet service the part can break under load without warning ({hardness_hv:.0} HV; {feeds}). From \
                 {VERY_HARD_HV:.0} HV up no bake prevents it."
            ),
            IN_SERVICE,
        )
        .remedy(match case.metal.family {
            Family::PrecipitationHardening if case.class_to_order().is_some_and(|class| class != "H900") => {
                "Use an austenitic or duplex grade where the part gets wet, or keep it dry."
            }
            Family::Martensitic | Family::PrecipitationHardening => {
                "Use a softer condition, for example H1025 of 17-4PH, or an austenitic or duplex grade where the part gets \
                 wet, or keep it dry."
            }
            _ if case.has_inch_thread() => {
                "Use a softer grade or a softer stainless steel where the part gets wet, or keep it dry."
            }
            // washers, pins and set screws have no property class of screws
            _ if !is_fastener(&case.brief().part) || !case.is_in_tension() => {
                "Use a softer steel or a stainless steel that still carries the load where the part gets wet, or keep it dry."
            }
            _ if case.metal.property_class.as_deref() == Some("10.9") => {
                "Keep the hardness within that of property class 10.9, or use stainless steel where the part gets wet."
            }
            _ => {
                "Use property class 10.9 or a softer stainless steel, calculating the joint again, where the part gets wet, or keep \
                 it dry."
            }
        }),
    );
}

/// Tensile strength that goes with a Vickers hardness, MPa: 3.2 times it, as the property classes of ISO 898-1
/// show (8.8: 800 MPa at 250 HV, 12.9: 1220 MPa at 385 HV; derived).
fn tensile_from_hardness_mpa(hardness_hv: f64) -> f64 {
    3.2 * hardness_hv
}
