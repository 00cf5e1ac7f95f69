//! Which treatment is suitable for which base metal and condition.

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::Exposure;
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::evidence::Source;
use crate::finish::{Build, ChromateUse, Film, Verdict};
use crate::metal::Family;
use crate::metal::composition::{WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY, WEATHERING_CHLORIDE_SOURCE};
use crate::metal::stainless::{CLASS_SOURCE, ResistanceClass};

/// The line between class 2 and class 3: 900 °F.
const TEMPERING_LIMIT_C: f64 = 482.0;
const TEMPERING: Source = Source::standard(
    "MIL-DTL-13924D:1999, 1.2: class 2 for corrosion-resistant steel tempered below 900 °F (482 °C), class 3 \
     at or above it",
);
const NOT_ACCEPTED: Source =
    Source::assumption("the catalog lists the films that the treatment accepts, without the reason");
const CLASS_4: Source = Source::standard(
    "MIL-C-13924C:1980, scope by a reprint: class 4 for the 300 series, without a chromate bath",
);
const SPECIFICATION: Source = Source::common_practice(
    "room-temperature blackening rubs off, chips and scrapes, varies in color and meets no government \
     specification",
);
const REVIEW: Source = Source::common_practice(
    "18-8, 300 and 400 series are blackened directly; 316 and special grades need a review of how dark they \
     turn",
);
const FREE_MACHINING: Source =
    Source::common_practice("sulfur-bearing grades turn mottled and smutty more easily");

/// What the findings depend on and the builds of a brief and their exposures differ in.
#[derive(Debug, PartialEq)]
pub(super) struct Differs {
    treatment: String,
    base_metal: String,
    /// The film that the treatment is not a base for.
    refused: Option<String>,
    salt_on_weathering: Option<f64>,
    required_class: Option<ResistanceClass>,
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let refused =
        case.films.iter().find(|(_, film)| !case.treatment.accepts(film.kind)).map(|(_, film)| *film);
    let Build { treatment, base_metal, .. } = case.build;
    let differs = Differs {
        treatment: treatment.clone(),
        base_metal: base_metal.clone(),
        refused: refused.map(|film| film.name.clone()),
        salt_on_weathering: salt_on_weathering(case.exposure),
        required_class: case.exposure.stainless.as_ref().map(|demand| demand.required_class),
    };
    case.inquiry.of_substrate.add(found, differs, |found| {
        word(case, refused, found);
        Ok(())
    })
}

fn word(case: &Case, refused: Option<&Film>, found: &mut Vec<Finding>) {
    suits(case, found);
    process(case, refused, found);
    passivity(case, found);
    resistance_class(case, found);
    tempering(case, found);
    weathering_in_salt(case, found);
    if case.brief().wants.standard_specification
        && case.is_treated()
        && case.treatment.specifications.is_empty()
    {
        found.push(
            finding(
                FindingKind::Blocks,
                "substrate.specification",
                format!("{} does not meet a standard specification; one is required.", case.treatment.name),
                SPECIFICATION,
            )
            .remedy("Order a class of black oxide that the specification names."),
        );
    }
    if case.treatment.black && case.metal.free_machining {
        found.push(
            finding(
                FindingKind::Warns,
                "substrate.free_machining",
                format!("{} is free-machining: the black can turn out mottled and smutty.", case.metal.name),
                FREE_MACHINING,
            )
            .remedy("Run a trial piece and agree the shade on it."),
        );
    }
    if case.treatment.black && case.metal.family.is_stainless() && case.metal.darkness.value < 0.85 {
        let suits = case.treatment.substrates.get(&case.metal.family);
        let on_trial = suits.is_some_and(|substrate| substrate.verdict == Verdict::Trial);
        found.push(
            finding(
                FindingKind::Needs,
                "substrate.darkness",
                format!("{} does not always turn fully black.", case.metal.name),
                REVIEW,
            )
            .step(Step::TrialPiece)
            .remedy(if on_trial {
                "Agree the shade on it."
            } else {
                "Blacken a trial piece and agree the shade on it."
            }),
        );
    }
}

/// Films that the treatment is not a base for, and a hexavalent bath where one without chromium does the same.
fn process(case: &Case, refused: Option<&Film>, found: &mut Vec<Finding>) {
    if let Some(film) = refused {
        let treatment = case.treatment;
        let (why, source) = match &treatment.other_films {
            Some(reason) => (format!(": {}", reason.why), case.catalog().source(&reason.source)),
            None => (String::new(), NOT_ACCEPTED),
        };
        let kinds: Vec<&str> = treatment.accepts.iter().flatten().map(|kind| kind.word()).collect();
        found.push(
            finding(
                FindingKind::Blocks,
                "substrate.film_base",
                format!("{} is not a base for {}{why}.", treatment.name, film.name),
                source,
            )
            .remedy(if kinds.is_empty() {
                format!("Order it without a film, or another treatment under {}.", film.name)
            } else {
                format!("Order {} on it, or another treatment under {}.", kinds.join(" or "), film.name)
            }),
        );
    }
    let mut others = case.catalog().content().treatments.values().filter(|other| other.class == Some(4));
    let class_4 = others
        .find_map(|other| other.substrates.get(&case.metal.family))
        .map(|substrate| substrate.verdict)
        .filter(|verdict| *verdict != Verdict::Refused);
    if let (ChromateUse::Bath, Some(verdict)) = (case.treatment.hexavalent_chromium, class_4) {
        found.push(
            finding(
                FindingKind::Warns,
                "substrate.hexavalent",
                format!(
                    "{} uses hexavalent chromium where class 4 blackens the steel without it.",
                    case.treatment.name
                ),
                CLASS_4,
            )
            .remedy(if verdict == Verdict::Trial {
                "Run a trial of class 4 on this grade and order it, unless the drawing calls for this class."
            } else {
                "Order class 4, unless the drawing calls for this class."
            }),
        );
    }
}

/// Blackening undoes part of what the passive film gives.
fn passivity(case: &Case, found: &mut Vec<Finding>) {
    let kept = &case.treatment.stain_threshold_factor;
    if case.metal.family.is_stainless() && kept.value < 1.0 {
        found.push(
            finding(
                FindingKind::Notes,
                "substrate.passivity",
                format!(
                    "Black oxide lowers the salt that stainless steel tolerates to {:.0}%: bare passivated parts stain less.",
                    100.0 * kept.value
                ),
                case.catalog().source(&kept.source),
            )
            .remedy("Order it bare and passivated where black is not needed."),
        );
    }
}

/// The class of EN 1993-1-4 beside the share of surfaces that stains.
fn resistance_class(case: &Case, found: &mut Vec<Finding>) {
    let (Some(class), Some(place)) = (&case.metal.resistance_class, &case.exposure.stainless) else { return };
    let required = place.required_class;
    if case.metal.family.is_stainless() && class.value < f64::from(required as u8) + 1.0 {
        found.push(
            finding(
                FindingKind::Notes,
                "substrate.resistance_class",
                format!(
                    "EN 1993-1-4 asks for corrosion resistance class {required} at this place; {} does not reach it.",
                    case.metal.name
                ),
                CLASS_SOURCE,
            )
            .remedy("Order a higher grade where the part is structural or cannot be cleaned."),
        );
    }
}

fn suits(case: &Case, found: &mut Vec<Finding>) {
    let (treatment, family) = (case.treatment, case.metal.family);
    match treatment.substrates.get(&family) {
        Some(substrate) => {
            let source = || case.catalog().source(&substrate.source);
            match substrate.verdict {
                Verdict::Suits => {}
                Verdict::Trial => found.push(
                    finding(
                        FindingKind::Needs,
                        "substrate.trial",
                        format!("{} on {family}: {}.", treatment.name, substrate.why),
                        source(),
                    )
                    .step(Step::TrialPiece)
                    .remedy("Run a trial piece first."),
                ),
                Verdict::Refused => found.push(
                    finding(
                        FindingKind::Blocks,
                        "substrate.class",
                        {
                            let bare = treatment.is_none();
                            let what =
                                if bare { "A coat without black oxide" } else { treatment.name.as_str() };
                            format!("{what} is not suitable for {family}: {}.", substrate.why)
                        },
                        source(),
                    )
                    .remedy(other_treatment(case)),
                ),
            }
        }
        None => found.push(finding(
            FindingKind::Blocks,
            "substrate.class",
            format!("{} is not rated for {family}.", treatment.name),
            case.catalog().source(&treatment.specification_source),
        )),
    }
}

/// What to order where a treatment is not suitable: another one, or where the catalog has no black one for the family what is
/// outside it.
fn other_treatment(case: &Case) -> String {
    let family = case.metal.family;
    let mut black = case.catalog().content().treatments.values().filter(|treatment| treatment.black);
    if black.any(|t| t.substrates.get(&family).is_some_and(|s| s.verdict != Verdict::Refused)) {
        return format!("Order a treatment rated for {family}.");
    }
    let usual = match family {
        Family::CopperAlloy => "black nickel, a black patina or PVD",
        Family::Titanium => "anodizing or PVD",
        Family::Zinc => "black chromate or paint over a conversion coating",
        _ => "a finish outside the catalog",
    };
    format!("No black treatment of the catalog takes {family}: ask a finisher for {usual}.")
}

/// The deposition of chloride, where it is too much for the rust of weathering steel to protect.
pub(super) fn salt_on_weathering(exposure: &Exposure) -> Option<f64> {
    exposure.chloride_mg_m2_day.filter(|chloride| {
        exposure.shelter != Shelter::Indoor && *chloride > WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY
    })
}

/// The rust of weathering steel does not protect where salt is on it.
fn weathering_in_salt(case: &Case, found: &mut Vec<Finding>) {
    let Some(chloride) = salt_on_weathering(case.exposure) else { return };
    if case.metal.family != Family::WeatheringSteel {
        return;
    }
    found.push(
        finding(
            FindingKind::Warns,
            "substrate.weathering_salt",
            format!(
                "{}: chloride deposits at {chloride:.0} mg/(m²·d), above the {WEATHERING_CHLORIDE_LIMIT_MG_M2_DAY:.0} up \
                 to which its rust protects it",
                case.metal.name
            ),
            WEATHERING_CHLORIDE_SOURCE,
        )
        .remedy("Take plain steel with a paint system, or stainless steel of a suitable grade."),
    );
}

/// Class 2 and 3 are told apart by the tempering temperature of hardened corrosion-resistant steel.
fn tempering(case: &Case, found: &mut Vec<Finding>) {
    let Some(class @ (2 | 3)) = case.treatment.class else { return };
    if !matches!(case.metal.family, Family::Martensitic | Family::PrecipitationHardening) {
        return;
    }
    match case.tempering_temperature_c() {
        None => found.push(
            finding(
                FindingKind::Needs,
                "substrate.tempering",
                format!("Class {class} depends on the tempering temperature, which is not known."),
                TEMPERING,
            )
            .step(Step::TrialPiece)
            .remedy("Enter `part.tempering_temperature_c`."),
        ),
        Some(t) if class == 2 && t >= TEMPERING_LIMIT_C => found.push(
            finding(
                FindingKind::Blocks,
                "substrate.tempering",
                format!("Class 2 is not suitable: this steel is tempered at {t} °C; the limit is below {TEMPERING_LIMIT_C} °C."),
                TEMPERING,
            )
            .remedy("Order class 3."),
        ),
        Some(t) if class == 3 && t < TEMPERING_LIMIT_C => found.push(
            finding(
                FindingKind::Blocks,
                "substrate.tempering",
                format!(
                    "Class 3 is not suitable: this steel is tempered at {t} °C; the limit is {TEMPERING_LIMIT_C} °C or more."
                ),
                TEMPERING,
            )
            .remedy(if case.metal.family.is_stainless() {
                "Order class 4; class 2 only where the drawing calls for it, since its bath contains hexavalent chromium."
            } else {
                "Order class 1."
            }),
        ),
        Some(t) if t == TEMPERING_LIMIT_C => found.push(
            finding(
                FindingKind::Warns,
                "substrate.tempering",
                format!("{t} °C is exactly the limit between class 2 and class 3."),
                TEMPERING,
            )
            .remedy("Have the finisher confirm the class."),
        ),
        Some(_) => {}
    }
}
