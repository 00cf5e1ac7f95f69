//! The heat of the duty against layers, colour, property class and tempering; welding after finishing.

use crate::check::{Case, Finding, FindingKind, finding};
use crate::finish::{Film, FilmKind};
use crate::metal::Family;
use crate::outlook::{layers_left, treatment_is_lost};
use crate::source::Source;

const LOST: Source =
    Source::assumption("a film past its heat limit is lost; the build is judged by what remains");
const COLOUR: Source = Source::handbook(
    "heat-treating and finishing journals: black oxide changes colour from about 900 °F (482 °C); other \
     texts say 300 °C and 427 °C, so a note is given from 300 °C",
);
const COLOUR_NOTE_C: f64 = 300.0;
const SERVICE_RANGE: Source =
    Source::from_memory("ISO 898-1:2013, clause 1: properties hold from -50 °C to +150 °C");
const SERVICE_HIGH_C: f64 = 150.0;
const TEMPERING: Source = Source::standard(
    "ISO 898-1, minimum tempering temperature (8.8: 425 °C, 10.9: 425 °C, or 340 °C in older editions for \
     low-carbon boron steel, 12.9: 380 °C), by a reprint",
);
const SOFTENS: Source =
    Source::common_practice("hardened steel loses hardness where it is heated to its tempering temperature");
const BATH: Source =
    Source::assumption("a bath warmer than the tempering temperature softens a hardened part");
const SENSITISED: Source = Source::common_practice(
    "austenitic stainless steel loses corrosion resistance at grain boundaries after 425 to 870 °C",
);
const WELDING: Source = Source::common_practice(
    "blackened steel is welded without noxious fume from the black itself; oil, wax, lacquer and paint burn \
     and give off fume",
);
/// Distance to a limit from which heat no longer weighs (assumption).
const COMFORT_K: f64 = 30.0;

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    let (lasting, peak) = (case.exposure.heat_continuous_c, case.exposure.heat_peak_c);
    for (name, film) in layers_left(case.films, lasting, peak).lost {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.layer",
                format!(
                    "{name} is lost: it bears {} °C for long and {} °C for minutes, the part meets {lasting} °C \
                     and {peak} °C",
                    film.continuous_limit_c.value, film.short_limit_c.value
                ),
                LOST,
            )
            .remedy("Take a film that bears the heat; the outlook is that of what remains."),
        );
    }
    if let Some(limit) =
        case.treatment.heat_limit_c.as_ref().filter(|_| treatment_is_lost(case.treatment, peak))
    {
        found.push(finding(
            FindingKind::Warns,
            "heat.treatment",
            format!(
                "{} is lost: it bears {} °C and the part meets {peak} °C",
                case.treatment.name, limit.value
            ),
            case.catalog().source(&limit.source),
        ));
    }
    colour(case, peak, found);
    base_metal(case, lasting, peak, found);
    bath(case, found);
    if case.brief().duty.welded_after_finishing {
        welding(case, found);
    }
}

fn colour(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let Some(limit) = &case.treatment.colour_change_c else { return };
    if peak >= limit.value {
        found.push(finding(
            FindingKind::Warns,
            "heat.colour",
            format!("the black changes colour from {} °C and the part meets {peak} °C", limit.value),
            COLOUR,
        ));
    } else if peak >= COLOUR_NOTE_C {
        found.push(finding(
            FindingKind::Notes,
            "heat.colour",
            format!("at {peak} °C sources differ on whether the black keeps its colour"),
            COLOUR,
        ));
    }
}

fn base_metal(case: &Case, lasting: f64, peak: f64, found: &mut Vec<Finding>) {
    let own = case.piece_at_hand().and_then(|part| part.tempering_temperature_c);
    // what heat does not harden does not soften
    let hardens = case.metal.family.is_hardenable();
    let of_a_class = case.metal.family.rusts_by_dose() && case.metal.tempering_temperature_c.is_some();
    if let Some(tempering) = case.tempering_temperature_c().filter(|tempering| hardens && peak >= *tempering)
    {
        let (or_more, source) = if own.is_some() { ("", SOFTENS) } else { (" or more", TEMPERING) };
        found.push(
            finding(
                FindingKind::Blocks,
                "heat.tempering",
                format!(
                    "{} is tempered at {tempering} °C{or_more} and the part meets {peak} °C: it softens",
                    case.metal.name
                ),
                source,
            )
            .remedy("Take a heat-resisting grade; ask the fastener maker."),
        );
    } else if of_a_class && lasting > SERVICE_HIGH_C {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.property_class",
                format!("the property class holds to {SERVICE_HIGH_C} °C and the part meets {lasting} °C"),
                SERVICE_RANGE,
            )
            .remedy("Have the strength at temperature confirmed by a qualified person."),
        );
    }
    if case.metal.family == Family::Austenitic && (425.0..=870.0).contains(&peak) {
        found.push(finding(
            FindingKind::Warns,
            "heat.sensitisation",
            format!("{peak} °C lies where austenitic stainless steel is sensitised"),
            SENSITISED,
        ));
    }
}

fn bath(case: &Case, found: &mut Vec<Finding>) {
    let (Some(bath), Some(tempering)) = (&case.treatment.bath_temperature_c, case.tempering_temperature_c())
    else {
        return;
    };
    if bath.high > tempering {
        found.push(finding(
            FindingKind::Blocks,
            "heat.bath",
            format!("the bath at {} °C is warmer than the tempering at {tempering} °C", bath.high),
            BATH,
        ));
    }
}

fn welding(case: &Case, found: &mut Vec<Finding>) {
    let burning: Vec<&str> =
        case.films.iter().filter(|(_, film)| film.kind != FilmKind::Primer).map(|(name, _)| *name).collect();
    if burning.is_empty() {
        found.push(finding(
            FindingKind::Notes,
            "heat.welding",
            "welded after finishing: the black itself gives no noxious fume; it is lost at the weld",
            WELDING,
        ));
    } else {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.welding",
                format!("welded after finishing: {} burn and fume", burning.join(", ")),
                WELDING,
            )
            .remedy("Weld first, or clear the weld zone of films and extract the fume under local rules."),
        );
    }
}

/// Desirability of the distance to the heat limits, 0 to 1: 1 from 30 K on, falling to 0.3 at the limit, 0.1
/// with a layer lost (steps are an assumption).
pub fn heat_desirability(films: &[(&str, &Film)], heat_continuous_c: f64, heat_peak_c: f64) -> f64 {
    if !layers_left(films, heat_continuous_c, heat_peak_c).lost.is_empty() {
        return 0.1;
    }
    let margin = films
        .iter()
        .map(|(_, film)| {
            (film.continuous_limit_c.value - heat_continuous_c).min(film.short_limit_c.value - heat_peak_c)
        })
        .fold(f64::INFINITY, f64::min);
    (0.3 + 0.7 * margin / COMFORT_K).clamp(0.3, 1.0)
}
