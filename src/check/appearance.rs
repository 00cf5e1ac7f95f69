//! Black, gloss, shade, rub-off and sunlight.

use crate::brief::{Form, Handling, Sunlight};
use crate::check::{Case, Finding, FindingKind, finding, zinc_that_stays};
use crate::evidence::Source;
use crate::finish::{Film, FilmKind, Gloss, Treatment, TreatmentKind};

const BLACK: Source = Source::common_practice("clear films show what is under them");
const BLACK_UNDER_PAINT: Source =
    Source::common_practice("black oxide under black paint hides chips and scratches");
const TOUCH_UP: Source = Source::common_practice(
    "painted parts are touched up with the same paint; black oxide itself cannot be touched up in place",
);
const GLOSS: Source = Source::common_practice(
    "oil gives a glossy look, wax matte, paint and lacquer satin or glossy as ordered",
);
const SHADE: Source = Source::common_practice(
    "shade varies between and within lots; washers are seldom perfectly uniform and may show light \
     scratches; large and small parts of one family can differ; reprocessing is usual",
);
const RUB_OFF: Source =
    Source::common_practice("room-temperature black rubs off, chips and scrapes and varies in color");
const YELLOWING: Source =
    Source::common_practice("clear nitrocellulose and alkyd lacquers yellow and craze in sunlight");
/// Desirability of black paint over bright metal (assumption).
const BRIGHT_CHIPS: f64 = 0.8;
/// Years in full sun below which a clear film is said to yellow (assumption).
const SUN_WEAK_YEARS: f64 = 3.0;

/// Whether a treatment with films looks black: the outermost opaque film is black, or all films are clear and
/// the treatment is.
pub fn is_black(treatment: &Treatment, films: &[(&str, &Film)]) -> bool {
    films.iter().rev().find(|(_, film)| !film.clear).map_or(treatment.black, |(_, film)| film.black)
}

/// Gloss of the finished build: that of the outermost film, matte for the bare black, which is dull.
pub(crate) fn gloss_of(films: &[(&str, &Film)]) -> Gloss {
    films.last().map_or(Gloss::Matte, |(_, film)| film.gloss)
}

fn gloss_misfit(case: &Case) -> Option<(Gloss, Gloss)> {
    let wanted = case.brief().wants.gloss?;
    let to_order = case.films.last().is_some_and(|(_, film)| film.gloss_to_order);
    let got = gloss_of(case.films);
    (got != wanted && !to_order).then_some((wanted, got))
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    let opaque = case.films.iter().any(|(_, film)| !film.clear);
    if case.brief().wants.black.unwrap_or(true) && !is_black(case.treatment, case.films) {
        found.push(
            finding(
                FindingKind::Blocks,
                "appearance.black",
                "The part must be black; this build is not.",
                BLACK,
            )
            .remedy("Order a blackening treatment or a black film, or set `wants.black` to false."),
        );
    }
    if let Some((wanted, got)) = gloss_misfit(case) {
        found.push(finding(
            FindingKind::Warns,
            "appearance.gloss",
            format!("The gloss is {got}; {wanted} is requested."),
            GLOSS,
        ));
    }
    if case.treatment.black && !opaque {
        let washer = case.brief().part.form == Some(Form::PlainWasher);
        let (kind, message) = if case.brief().wants.uniform_shade || washer {
            let why = if washer { "Flat washers seldom finish evenly" } else { "An even shade is requested" };
            (FindingKind::Warns, format!("{why}; the shade varies within and between lots."))
        } else {
            (FindingKind::Notes, "The shade varies within and between lots.".to_owned())
        };
        found.push(
            finding(kind, "appearance.shade", message, SHADE)
                .remedy("Agree limit samples; off-shade parts are reprocessed."),
        );
    }
    if case.brief().wants.black.unwrap_or(true) && !case.treatment.black && opaque {
        let beneath = match case.treatment.kind {
            TreatmentKind::Phosphate => "the gray phosphate",
            _ if zinc_that_stays(case).is_some() => "the present zinc",
            _ => "bright metal",
        };
        found.push(finding(
            FindingKind::Warns,
            "appearance.chips",
            format!("No black oxide under the coat: chips and scratches show {beneath}."),
            BLACK_UNDER_PAINT,
        ));
    }
    if case.treatment.black && opaque && is_black(case.treatment, case.films) {
        found.push(finding(
            FindingKind::Notes,
            "appearance.black_on_black",
            "The topcoat sets shade and gloss. Chips show black, not bright metal.",
            BLACK_UNDER_PAINT,
        ));
    }
    if opaque && case.exposure.handling != Handling::None {
        found.push(
            finding(
                FindingKind::Notes,
                "appearance.touch_up",
                "Handling leaves visible scratches in the paint.",
                TOUCH_UP,
            )
            .remedy("Order a small pot of the same paint for touching up."),
        );
    }
    if case.treatment.rubs_off {
        let hard = case.exposure.handling == Handling::Frequent || case.films.is_empty();
        let kind = if hard { FindingKind::Warns } else { FindingKind::Notes };
        found.push(finding(kind, "appearance.rub_off", "The black rubs off, chips and scrapes.", RUB_OFF));
    }
    if let Some((_, film)) = case.films.last()
        && film.kind == FilmKind::Lacquer
        && film.clear
        && case.exposure.sunlight != Sunlight::None
        && film.ageing.sun_years.as_ref().is_some_and(|years| years.value < SUN_WEAK_YEARS)
    {
        found.push(
            finding(
                FindingKind::Warns,
                "appearance.sunlight",
                format!("{} yellows in sunlight.", film.name),
                YELLOWING,
            )
            .remedy("Specify acrylic lacquer outdoors."),
        );
    }
}

/// Whether the metal itself turns black, so that its grade decides how dark: platings, zinc flake and dyes do not ask it.
fn turns_black(treatment: &Treatment) -> bool {
    use crate::finish::TreatmentKind::{Anodize, Electroplate, ZincFlake};
    !matches!(treatment.kind, Electroplate | ZincFlake | Anodize)
}

/// Desirability of the looks, 0 to 1, a product (steps are an assumption):
///
/// - gloss off by one band 0.7, by two 0.4; the bare black is matte;
/// - shade, where black is requested: evenness of the treatment (its root unless an even shade is requested) times how
///   dark the grade turns, unless a coating or a dye has the color; under an opaque film 1, or 0.8 where no black is beneath;
/// - 0.9 where black is requested, no opaque film covers it and the treatment is on trial on this family;
/// - rub-off 0.6, or 0.8 under an opaque film, which chips with it.
pub fn appearance_desirability(case: &Case) -> f64 {
    let gloss = match gloss_misfit(case) {
        None => 1.0,
        Some((wanted, got)) if (wanted as i8 - got as i8).abs() == 1 => 0.7,
        Some(_) => 0.4,
    };
    let opaque = case.films.iter().any(|(_, film)| !film.clear);
    let black_wanted = case.brief().wants.black.unwrap_or(true);
    let shade = if !black_wanted || (opaque && case.treatment.black) {
        1.0
    } else if opaque {
        BRIGHT_CHIPS
    } else {
        let even = case.treatment.shade_uniformity.value;
        let even = if case.brief().wants.uniform_shade { even } else { even.sqrt() };
        if turns_black(case.treatment) { even * case.metal.darkness.value } else { even }
    };
    let trial = case
        .treatment
        .substrates
        .get(&case.metal.family)
        .is_some_and(|substrate| substrate.verdict == crate::finish::Verdict::Trial);
    let unsure = if trial && !opaque && black_wanted { 0.9 } else { 1.0 };
    let rub_off = match (case.treatment.rubs_off, opaque) {
        (false, _) => 1.0,
        (true, true) => BRIGHT_CHIPS,
        (true, false) => 0.6,
    };
    gloss * shade * unsure * rub_off
}
