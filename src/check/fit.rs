//! Fits, seats, ports and clamped faces under a film.

use crate::Result;
use crate::brief::{Form, FunctionalSurface};
use crate::check::torque::is_made_for_fasteners;
use crate::check::{Case, Finding, FindingKind, Step, finding, is_head_only};
use crate::evidence::Source;
use crate::finish::{Film, Treatment, TreatmentKind};

const SIZE: Source = Source::common_practice(
    "a film on a fit, cone, port or clamped face changes size, friction, sealing or preload: it is masked or allowed for \
     on the drawing",
);
const CLAMPED: Source = Source::common_practice(
    "paint and powder under a tightened head or washer embed and creep, and the preload falls",
);
const NITROCARBURIZED: Source = Source::from_memory(
    "nitrocarburizing grows a face by 2 to 6 µm; the rest of the compound layer grows inward",
);
/// Growth of a nitrocarburized face, µm.
const NITROCARBURIZED_UM: (f64, f64) = (2.0, 6.0);
/// Share of a layer of oxide, black or anodic, that grows outward.
const OXIDE_OUTWARD: f64 = 0.5;
/// Growth of a face from which a fit changes (assumption: half the width of a usual IT6 tolerance).
const NOTICEABLE_UM: f64 = 4.0;
const SHED: Source = Source::common_practice(
    "paint does not enter a bore of a close fit, or shears off as the pin is driven in; fitted pins are bare, oiled, \
     phosphated or thinly plated, with the size after finishing on the drawing",
);
const WORN: Source = Source::common_practice(
    "a pin that turns, slides or is driven in wears thin coatings and displaces oil and wax; its fit is kept greased",
);
/// The rule that the years of a finish are not those of a fit.
pub(crate) const YEARS_OF_A_FIT: &str = "fit.years";
/// Words by which the brief of a pin states its fit.
pub(super) const FITTED_PIN: [&str; 13] = [
    "hinge pin",
    "pivot",
    "journal",
    "bush",
    "bushing",
    "dowel",
    "press fit",
    "slide fit",
    "sliding fit",
    "interference fit",
    "transition fit",
    "locating fit",
    "locating pin",
];
/// Words that go with a fit, a seat or a port.
pub(super) const FITTING: [&str; 11] = [
    "anchor",
    "dowel",
    "cone",
    "press fit",
    "slide fit",
    "bearing seat",
    "port",
    "sealing face",
    "bore",
    "pivot",
    "journal",
];

/// What the findings depend on and the builds of a brief differ in.
#[derive(Debug, PartialEq)]
pub(super) struct Differs {
    growth_um: (f64, f64),
    nitrocarburized_alone: bool,
    /// Whether a film dries on the part, which no oil or wax does that is displaced.
    dried: bool,
    soft: Option<String>,
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let growth_um = growth_um(case);
    let dried = case.films.iter().any(|(_, film)| stays_on_a_fit(film));
    let soft = case.films.iter().find(|(_, film)| film.kind.is_paint() && !is_made_for_fasteners(film));
    // the bearing face is masked with the thread
    let soft = soft.filter(|_| !is_head_only(case));
    let soft = soft.map(|(_, film)| film.name.as_str());
    let nitrocarburized_alone = is_nitrocarburized_alone(case);
    let differs = Differs { growth_um, nitrocarburized_alone, dried, soft: soft.map(str::to_owned) };
    case.inquiry.of_fit.add(found, differs, |found| {
        word(case, growth_um, (dried, soft), found);
        Ok(())
    })?;
    years_of_a_fit(case, found);
    Ok(())
}

/// A fit of steel that rusts keeps no finish: the years are those of the other surfaces.
fn years_of_a_fit(case: &Case, found: &mut Vec<Finding>) {
    let finished = case.is_treated() || !case.films.is_empty();
    if !finished || case.metal.family.is_stainless() {
        return;
    }
    let part = &case.brief().part;
    let stated = part.functional_surfaces.as_ref().is_some_and(|own| own.contains(&FunctionalSurface::Fit));
    // without a form it may be a pin
    let any = (part.form.is_none() && stated).then(|| "the fit of the part".to_owned());
    let Some(what) = fitted_pin(case).or(any) else {
        let asked = found.iter().any(|finding| finding.rule == "fit.asked");
        if part.form == Some(Form::Pin) && part.functional_surfaces.is_none() && !asked {
            found.push(
                finding(
                    FindingKind::Notes,
                    "fit.asked",
                    "Whether the pin has a fit is not stated: there the finish wears off, and the years do not hold.",
                    WORN,
                )
                .remedy("State it in `part.functional_surfaces`, or that there is none."),
            );
        }
        return;
    };
    found.push(
        finding(
            FindingKind::Warns,
            YEARS_OF_A_FIT,
            format!("The years do not apply to {what}: there the finish wears off or is displaced, and it rusts as bare metal."),
            WORN,
        )
        .remedy("Grease the fit at assembly and inspect it, or order a stainless steel where the fit must not rust."),
    );
}

/// The fitted diameter of a pin, in words, where the brief states a fit.
fn fitted_pin(case: &Case) -> Option<String> {
    let part = &case.brief().part;
    if part.form != Some(Form::Pin) {
        return None;
    }
    if let Some(surfaces) = &part.functional_surfaces {
        let fit = surfaces.contains(&FunctionalSurface::Fit);
        return fit.then(|| "the fitted diameter of a pin".to_owned());
    }
    let word = case.inquiry.said.pin_fit.as_deref()?;
    Some(format!("a pin with \"{word}\" in its brief"))
}

fn word(
    case: &Case,
    (low_um, high_um): (f64, f64),
    (dried, soft): (bool, Option<&str>),
    found: &mut Vec<Finding>,
) {
    if let Some(film) = soft {
        clamped_face(case, film, found);
    }
    if high_um < NOTICEABLE_UM {
        return;
    }
    let part = &case.brief().part;
    let pin = fitted_pin(case);
    if let (Some(what), true) = (&pin, dried) {
        let remedy = if part.functional_surfaces.is_some() {
            "Order a build without a film that dries, such as black oxide with oil or wax."
        } else {
            "Order a build without a film that dries, such as black oxide with oil or wax; enter \
             `part.functional_surfaces` as [] if the pin has no fit."
        };
        let message = format!(
            "Coating that adds {low_um:.0} to {high_um:.0} µm to each face on {what}: its diameter grows by up to {:.0} µm, so \
             that it does not enter its bore or sheds the film there, and nothing is left to coat.",
            2.0 * high_um
        );
        found.push(finding(FindingKind::Blocks, "fit.pin", message, SHED).remedy(remedy));
        return;
    }
    let alone = is_nitrocarburized_alone(case);
    let layers = if alone {
        format!("Growth of {low_um:.0} to {high_um:.0} µm of each nitrocarburized face")
    } else {
        format!("Coating that adds {low_um:.0} to {high_um:.0} µm to each face")
    };
    let (source, way) = if alone {
        (NITROCARBURIZED, "make the fit smaller by twice the growth before the treatment, a hole larger")
    } else {
        (SIZE, "mask the fit or order it undersize by twice the film")
    };
    match &part.functional_surfaces {
        // what is clamped is masked from paint; a plating or a thin coat is judged by its friction
        Some(surfaces) if surfaces.is_empty() => {}
        Some(surfaces)
            if soft.is_none() && surfaces.iter().all(|face| *face == FunctionalSurface::ClampedFace) => {}
        Some(surfaces) => {
            let mut words: Vec<&str> = surfaces.iter().map(|surface| surface.words()).collect();
            words.dedup();
            let twice = if surfaces.contains(&FunctionalSurface::Fit) {
                format!("; a diameter grows by up to {:.0} µm", 2.0 * high_um)
            } else {
                String::new()
            };
            // a bath treats the whole of a pin
            let bath = pin.is_some();
            let (step, remedy) = if alone {
                // nothing masks in molten salt
                let size = "State the size after the treatment on the drawing, make the surface smaller by the growth \
                            before it, a hole larger, and measure the first article.";
                (Step::TrialPiece, size)
            } else if bath {
                let size = "State the size after finishing on the drawing, make the pin smaller by twice the coating \
                            before it, and measure the first article.";
                (Step::TrialPiece, size)
            } else if surfaces.contains(&FunctionalSurface::Fit) {
                let either = "Mask these surfaces and count no years for them, or state the size of fits after finishing \
                              on the drawing and inspect it after finishing.";
                (Step::MaskSurface, either)
            } else {
                (Step::MaskSurface, "Mask these surfaces and count no years for them.")
            };
            let message = format!("{layers} on {}{twice}.", words.join(", "));
            found.push(finding(FindingKind::Needs, "fit.mask", message, source).step(step).remedy(remedy));
        }
        None => {
            let word = case.inquiry.said.fitting;
            let pin = part.form == Some(Form::Pin);
            if pin || word.is_some() {
                let what = word.map_or_else(
                    || "a pin".to_owned(),
                    |word| format!("a part with \"{word}\" in its brief"),
                );
                found.push(
                    finding(
                        FindingKind::Warns,
                        "fit.asked",
                        format!("{layers} on {what}: a diameter grows by up to {:.0} µm.", 2.0 * high_um),
                        source,
                    )
                    .remedy(format!("State the `part.functional_surfaces`, or that there are none; {way}.")),
                );
            } else {
                let kind = if part.safety_critical { FindingKind::Warns } else { FindingKind::Notes };
                found.push(
                    finding(
                        kind,
                        "fit.asked",
                        format!("{layers}: surfaces that must fit, seat, seal or conduct are not stated."),
                        source,
                    )
                    .remedy("State them in `part.functional_surfaces`, or that there are none."),
                );
            }
        }
    }
}

/// Whether a film adds to a fit: oil and wax are displaced, but not a film that dries hard.
fn stays_on_a_fit(film: &Film) -> bool {
    film.kind.can_be_coated() || film.fills_threads
}

/// Least and highest growth of a face.
fn growth_um(case: &Case) -> (f64, f64) {
    let films = case.films.iter().filter(|(_, film)| stays_on_a_fit(film));
    films.fold(outward_um(case.treatment), |(low, high), (_, film)| {
        (low + film.thickness_um.low, high + film.thickness_um.high)
    })
}

/// What a treatment adds to a face: oxide and nitrides grow inward too.
fn outward_um(treatment: &Treatment) -> (f64, f64) {
    let (low, high) = (treatment.thickness_um.low, treatment.thickness_um.high);
    match treatment.kind {
        TreatmentKind::BlackOxide | TreatmentKind::Anodize => (OXIDE_OUTWARD * low, OXIDE_OUTWARD * high),
        TreatmentKind::Nitrocarburize => NITROCARBURIZED_UM,
        _ => (low, high),
    }
}

/// Whether the growth is that of nitrocarburizing and of no film on it.
fn is_nitrocarburized_alone(case: &Case) -> bool {
    case.treatment.kind == TreatmentKind::Nitrocarburize && growth_um(case) == NITROCARBURIZED_UM
}

/// Desirability of the layers on functional surfaces, 0 to 1: 0.5 where they have to be masked or allowed for, as of a
/// thread that has to be (an assumption), else 1.
pub fn fit_desirability(case: &Case) -> f64 {
    let named = case.brief().part.functional_surfaces.as_ref().is_some_and(|surfaces| !surfaces.is_empty());
    if named && growth_um(case).1 >= NOTICEABLE_UM { 0.5 } else { 1.0 }
}

/// Paint under a tightened head or in a clamped joint.
fn clamped_face(case: &Case, film: &str, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let (kind, face) = match part.form {
        // what has a thread and no form is taken to be tightened
        None if case.inquiry.thread().is_some() => {
            (FindingKind::Warns, "the bearing face under a tightened head")
        }
        Some(Form::Bracket | Form::Other) | None => {
            if part.functional_surfaces.is_some() {
                return;
            }
            (FindingKind::Notes, "a face that a screw clamps")
        }
        Some(Form::Pin | Form::SetScrew) => return,
        Some(Form::PlainWasher) => (FindingKind::Warns, "a washer under a tightened head"),
        Some(Form::HexagonNut | Form::LockNut) => (FindingKind::Warns, "the bearing face of a tightened nut"),
        Some(_) => (FindingKind::Warns, "the bearing face under a tightened head"),
    };
    found.push(
        finding(
            kind,
            "fit.clamped_face",
            format!("{} on {face} creeps, and the preload drops.", film.split(',').next().unwrap_or(film)),
            CLAMPED,
        )
        .remedy("Mask that face, or retighten after the film has settled and check the preload."),
    );
}
