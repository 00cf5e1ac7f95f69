//! Fits, seats, ports and clamped faces under a film.

use crate::Result;
use crate::brief::{Form, FunctionalSurface};
use crate::check::torque::is_made_for_fasteners;
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::evidence::Source;

const SIZE: Source = Source::common_practice(
    "a film on a fit, cone, port or clamped face changes size, friction, sealing or preload: it is masked or allowed for \
     on the drawing",
);
const CLAMPED: Source = Source::common_practice(
    "paint and powder under a tightened head or washer embed and creep, and the preload falls",
);
/// Thickness of the layers from which a fit changes (assumption: half the width of a usual IT6 tolerance).
const NOTICEABLE_UM: f64 = 4.0;
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

/// What the findings depend on and the builds of a brief differ in: least and highest thickness, and the soft film.
pub(super) type Differs = (f64, f64, Option<String>);

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let (low_um, high_um) = layers_um(case);
    let soft = case.films.iter().find(|(_, film)| film.kind.is_paint() && !is_made_for_fasteners(film));
    let soft = soft.map(|(_, film)| film.name.as_str());
    case.inquiry.of_fit.add(found, (low_um, high_um, soft.map(str::to_owned)), |found| {
        word(case, (low_um, high_um), soft, found);
        Ok(())
    })
}

fn word(case: &Case, (low_um, high_um): (f64, f64), soft: Option<&str>, found: &mut Vec<Finding>) {
    if let Some(film) = soft {
        clamped_face(case, film, found);
    }
    if high_um < NOTICEABLE_UM {
        return;
    }
    let part = &case.brief().part;
    let layers = format!("Coating of {low_um:.0} to {high_um:.0} µm");
    match &part.functional_surfaces {
        Some(surfaces) if surfaces.is_empty() => {}
        Some(surfaces) => {
            let mut words: Vec<&str> = surfaces.iter().map(|surface| surface.words()).collect();
            words.dedup();
            let twice = if surfaces.contains(&FunctionalSurface::Fit) {
                format!("; a diameter grows by up to {:.0} µm", 2.0 * high_um)
            } else {
                String::new()
            };
            found.push(
                finding(
                    FindingKind::Needs,
                    "fit.mask",
                    format!("{layers} on {}{twice}.", words.join(", ")),
                    SIZE,
                )
                .step(Step::MaskSurface)
                .remedy(
                    "Mask these surfaces and count no years for them, or state the size after finishing on the drawing \
                     and inspect it after finishing.",
                ),
            );
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
                        SIZE,
                    )
                    .remedy(
                        "State the `part.functional_surfaces`, or that there are none; mask the fit or order it undersize by \
                         twice the film.",
                    ),
                );
            } else {
                found.push(
                    finding(
                        FindingKind::Notes,
                        "fit.asked",
                        format!("{layers}: surfaces that must fit, seat, seal or conduct are not stated."),
                        SIZE,
                    )
                    .remedy("State them in `part.functional_surfaces`, or that there are none."),
                );
            }
        }
    }
}

/// Least and highest thickness that stays on a surface; oil and wax are displaced, but not a film that dries hard.
fn layers_um(case: &Case) -> (f64, f64) {
    let treatment = &case.treatment.thickness_um;
    let films = case.films.iter().filter(|(_, film)| film.kind.can_be_coated() || film.fills_threads);
    films.fold((treatment.low, treatment.high), |(low, high), (_, film)| {
        (low + film.thickness_um.low, high + film.thickness_um.high)
    })
}

/// Desirability of the layers on functional surfaces, 0 to 1: 0.5 where they have to be masked or allowed for, as of a
/// thread that has to be (an assumption), else 1.
pub fn fit_desirability(case: &Case) -> f64 {
    let named = case.brief().part.functional_surfaces.as_ref().is_some_and(|surfaces| !surfaces.is_empty());
    if named && layers_um(case).1 >= NOTICEABLE_UM { 0.5 } else { 1.0 }
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
