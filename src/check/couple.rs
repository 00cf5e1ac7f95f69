//! Contact with other metals: potential difference, its limit by severity, area ratio.
//!
//! One table only, never mixed with others: anodic indices in volts against gold = 0, groups from reprints of
//! the couples table of MIL-DTL-14072. Black oxide is not a barrier: the metal under it counts.

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::{Duty, Exposure, Form};
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::error::unknown;
use crate::evidence::Source;
use crate::finish::{FilmKind, TreatmentKind, Verdict};
use crate::metal::{BaseMetal, Family};

/// Anodic indices against gold.
pub(crate) const ANODIC_INDEX: Source = Source::common_practice(
    "anodic index, volts against gold = 0 in sea water, reprints of the couples table of MIL-DTL-14072F \
     (austenitic stainless beside copper, 0.35 in the reprint; web tables give 0.50); zinc and cadmium \
     from memory",
);

/// What a couple leaves of the years.
const APART: &str = "the years hold only while the metals are kept apart";

/// Limits of the difference by severity.
pub(crate) const LIMITS: Source = Source::common_practice(
    "0.15 V harsh (outdoors, salt, high humidity), 0.25 V normal (indoors without control), 0.50 V controlled; \
     a rule of thumb whose origin standard was not seen",
);
const AREA: Source = Source::standard(
    "MIL-STD-1250A: avoid a small anode with a large cathode; small fasteners of the same or a nobler metal",
);
const SACRIFICIAL: Source = Source::common_practice(
    "MIL-STD-1250A, 5.6: the cathodic member gets a coating near the anode; zinc on steel shields aluminum and is used \
     up (zinc flake on aluminum: one supplier)",
);
const STEEL_IN_ALUMINUM: Source = Source::common_practice(
    "bare or black-oxide steel in aluminum is for dry rooms: outdoors it rusts, stains and, with salt, pits the aluminum",
);
const NO_BARRIER: Source = Source::standard(
    "MIL-DTL-14072F, 3.13: conversion coatings are ignored in a couple, the metal beneath counts",
);
/// Thinnest opaque film that is taken to separate metals while it is whole, µm (assumption).
const ISOLATING_UM: f64 = 15.0;

/// A metal that may touch the part, besides the base metals of the catalog.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CoupleMetal {
    /// Electroplated zinc.
    ZincPlatedSteel,
    /// Hot-dip galvanized steel.
    GalvanizedSteel,
    /// Copper.
    Copper,
    /// Nickel plate.
    NickelPlate,
    /// Tin plate.
    TinPlate,
    /// Lead.
    Lead,
    /// Silver.
    Silver,
    /// Magnesium alloy.
    Magnesium,
    /// Graphite and carbon fibre.
    Graphite,
    /// A base metal of the catalog, by family.
    Base(Family),
}

const NAMED: [(&str, CoupleMetal); 9] = [
    ("zinc_plated_steel", CoupleMetal::ZincPlatedSteel),
    ("galvanized_steel", CoupleMetal::GalvanizedSteel),
    ("copper", CoupleMetal::Copper),
    ("nickel_plate", CoupleMetal::NickelPlate),
    ("tin_plate", CoupleMetal::TinPlate),
    ("lead", CoupleMetal::Lead),
    ("silver", CoupleMetal::Silver),
    ("magnesium", CoupleMetal::Magnesium),
    ("graphite", CoupleMetal::Graphite),
];

impl CoupleMetal {
    /// The metal that goes by this name besides those of the catalog.
    pub(super) fn named(name: &str) -> Option<Self> {
        NAMED.iter().find(|(known, _)| *known == name).map(|(_, metal)| *metal)
    }

    /// Whether its surface is zinc.
    pub(super) fn is_zinc(self) -> bool {
        matches!(self, Self::ZincPlatedSteel | Self::GalvanizedSteel | Self::Base(Family::Zinc))
    }

    /// Anodic index in volts against gold = 0; the higher, the more readily it corrodes in contact.
    pub fn anodic_index_v(self) -> f64 {
        match self {
            Self::Graphite => -0.15,
            Self::Silver => 0.15,
            Self::NickelPlate | Self::Base(Family::Titanium) => 0.30,
            Self::Copper | Self::Base(Family::Austenitic | Family::Duplex) => 0.35,
            Self::Base(Family::CopperAlloy) => 0.40,
            Self::Base(Family::Ferritic | Family::PrecipitationHardening) => 0.50,
            Self::Base(Family::Martensitic) => 0.60,
            Self::TinPlate => 0.65,
            Self::Lead => 0.70,
            Self::Base(
                Family::CarbonSteel | Family::AlloySteel | Family::WeatheringSteel | Family::CastIron,
            ) => 0.85,
            Self::Base(Family::Aluminium) => 0.90,
            Self::GalvanizedSteel => 1.20,
            Self::ZincPlatedSteel | Self::Base(Family::Zinc) => 1.25,
            Self::Magnesium => 1.75,
        }
    }
}

fn mating_metal(case: &Case, i: usize, name: &str) -> Result<CoupleMetal> {
    if let Some(metal) = CoupleMetal::named(name) {
        return Ok(metal);
    }
    let metals = &case.catalog().content().base_metals;
    metals.get(name).map(|metal| CoupleMetal::Base(metal.family)).ok_or_else(|| {
        unknown(
            &format!("duty.mating_metals[{i}]"),
            name,
            NAMED.iter().map(|(known, _)| *known).chain(metals.keys().map(String::as_str)),
            "Use a known name; for another metal use the one nearest to it.",
        )
    })
}

/// A mating metal as a reader calls it.
fn mate_in_words(case: &Case, name: &str) -> String {
    match case.catalog().base_metal(name) {
        Ok(metal) if CoupleMetal::named(name).is_none() => metal.name.clone(),
        _ => name.replace('_', " "),
    }
}

/// What was taken for granted of the metals in contact; none where the brief names none or their surface.
pub(super) fn assumed_area(duty: &Duty) -> Option<String> {
    (!duty.mating_metals.is_empty() && duty.mating_area_ratio.is_none()).then(|| {
        format!(
            "metal in contact: {USUAL_AREA_RATIO:.0} times the surface of the part, as of a fastener in a sheet; enter the \
             ratio"
        )
    })
}

/// Chloride deposition above which a couple in a room is judged as outdoors (assumption).
pub(crate) const SALTY_INDOORS_MG_M2_DAY: f64 = 60.0;

/// Whether a couple in a room is judged as outdoors.
pub(super) fn is_salty(exposure: &Exposure) -> bool {
    exposure.chloride_mg_m2_day.is_some_and(|c| c > SALTY_INDOORS_MG_M2_DAY)
}

/// Limit of the difference in volts, and the word for the severity.
fn limit_v(case: &Case) -> (f64, &'static str) {
    match case.exposure.shelter {
        _ if case.exposure.climate_controlled => (0.50, "controlled"),
        Shelter::Indoor if !is_salty(case.exposure) => (0.25, "indoor"),
        _ => (0.15, "outdoor"),
    }
}

/// Which side of a couple is attacked, and how the areas stand.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Attack {
    /// The part, which gives its metal to a larger cathode or not.
    Part { small: bool },
    /// The mating metal, spread over a large surface or not.
    Mate { spread: bool },
}

/// Ratio of mating surface to part taken where the brief gives none: a fastener in a sheet (assumption).
const USUAL_AREA_RATIO: f64 = 10.0;
/// Ratio from which the attack on the mating metal is spread thin (assumption).
const SPREAD_AREA_RATIO: f64 = 10.0;

fn attack(own_v: f64, other_v: f64, area_ratio: f64) -> Attack {
    if own_v > other_v {
        Attack::Part { small: area_ratio > 1.0 }
    } else {
        Attack::Mate { spread: area_ratio >= SPREAD_AREA_RATIO }
    }
}

/// What the findings depend on and the builds of a brief differ in.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "four independent facts of a build")]
pub(super) struct Differs {
    surface: Family,
    limit_v: f64,
    severity: &'static str,
    isolated: bool,
    black: bool,
    zinc: bool,
    flake: bool,
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    if case.brief().duty.mating_metals.is_empty() && case.brief().part.joined_metals.is_empty() {
        return Ok(());
    }
    // A plating is judged by its own metal, a conversion coating by what is under it.
    let surface = case.treatment.surface_metal.unwrap_or(case.metal.family);
    let (limit_v, severity) = limit_v(case);
    let isolated = case.films.iter().any(|(_, film)| {
        matches!(film.kind, FilmKind::Paint | FilmKind::Powder | FilmKind::Electrocoat)
            && film.thickness_um.low >= ISOLATING_UM
    });
    let differs = Differs {
        surface,
        limit_v,
        severity,
        isolated,
        black: case.treatment.black,
        zinc: case.treatment.is_zinc(),
        flake: case.treatment.kind == TreatmentKind::ZincFlake,
    };
    joined_metals(case, &differs, found);
    case.inquiry.of_couple.add(found, differs, |found| word(case, &differs, found))
}

/// Whether the plating of the part covers what is joined to it as well.
fn is_plated_alike(case: &Case, joined: &BaseMetal) -> bool {
    let takes = case.treatment.substrates.get(&joined.family).is_some_and(|s| s.verdict != Verdict::Refused);
    case.treatment.surface_metal.is_some() && takes
}

/// Metals joined to the part, which nothing can separate from it.
fn joined_metals(case: &Case, differs: &Differs, found: &mut Vec<Finding>) {
    let Differs { surface, limit_v: limit, severity, isolated, .. } = *differs;
    let own = CoupleMetal::Base(surface).anodic_index_v();
    for joined in case.joined().filter(|joined| !isolated && !is_plated_alike(case, joined)) {
        let other = CoupleMetal::Base(joined.family).anodic_index_v();
        let difference = (own - other).abs();
        if difference > limit + 1e-9 {
            let loser = if own > other { surface.to_string() } else { joined.name.clone() };
            found.push(
                finding(
                    FindingKind::Warns,
                    "couple.joined",
                    format!(
                        "{} joined to the part and its {surface} are {difference:.2} V apart; the {severity} limit is \
                         {limit:.2} V, and nothing can separate them: {loser} corrodes at the seam, which the years do not \
                         count.",
                        joined.name
                    ),
                    ANODIC_INDEX,
                )
                .remedy("Paint both metals over the seam, or join metals nearer to each other."),
            );
        }
    }
}

fn word(case: &Case, differs: &Differs, found: &mut Vec<Finding>) -> Result<()> {
    let Differs { surface, limit_v: limit, severity, isolated, black, zinc, flake } = *differs;
    let own = CoupleMetal::Base(surface).anodic_index_v();
    let area_ratio = case.brief().duty.mating_area_ratio.unwrap_or(USUAL_AREA_RATIO);
    let (noun, separate) = words_of_form(case.brief().part.form);
    for (i, name) in case.brief().duty.mating_metals.iter().enumerate() {
        let mate = mating_metal(case, i, name)?;
        let other = mate.anodic_index_v();
        let difference = (own - other).abs();
        if mate == CoupleMetal::Base(Family::Aluminium) && severity == "outdoor" {
            if surface.rusts_by_dose() && !isolated {
                found.push(steel_in_aluminum(surface, case.brief().part.form));
                continue;
            }
            if zinc && !isolated {
                found.push(zinc_on_aluminum(flake));
                continue;
            }
        }
        let mate_is_steel = matches!(mate, CoupleMetal::Base(family) if family.rusts_by_dose());
        let small_in_salt = area_ratio >= 1.0 && severity == "outdoor" && is_salty(case.exposure);
        if surface == Family::Aluminium && mate_is_steel && small_in_salt && !isolated {
            found.push(aluminum_on_steel(&mate_in_words(case, name), separate));
            continue;
        }
        if difference <= limit + 1e-9 {
            continue;
        }
        let name = mate_in_words(case, name);
        let apart = format!("{difference:.2} V apart; the {severity} limit is {limit:.2} V");
        if isolated {
            found.push(
                finding(
                    FindingKind::Notes,
                    "couple.isolated",
                    format!("{surface} and {name} are {apart}. The film separates them while it is whole"),
                    LIMITS,
                )
                .remedy("Keep the film whole under the head; a scratched film concentrates the attack."),
            );
            continue;
        }
        // magnesium corrodes in contact with any other metal, whatever the areas
        let magnesium = mate == CoupleMetal::Magnesium;
        let attacked = match attack(own, other, area_ratio) {
            Attack::Mate { .. } if magnesium => Attack::Mate { spread: false },
            attacked => attacked,
        };
        found.push(match attacked {
            Attack::Part { small } => {
                let (how, source) =
                    if small { (", a small anode on a large cathode", AREA) } else { ("", ANODIC_INDEX) };
                finding(
                    FindingKind::Needs,
                    "couple.difference",
                    format!("The part corrodes where {surface} touches {name} ({apart}){how}; {APART}."),
                    source,
                )
                .step(Step::Isolate)
                .remedy(format!("{separate}, or use a nobler {noun}."))
            }
            Attack::Mate { spread: false } => finding(
                FindingKind::Needs,
                "couple.difference",
                format!("The {name} corrodes where {surface} touches it ({apart}); {APART}."),
                ANODIC_INDEX,
            )
            .step(Step::Isolate)
            .remedy(format!("{separate}, or use a {noun} nearer to {name}.")),
            Attack::Mate { spread: true } => finding(
                FindingKind::Warns,
                "couple.difference",
                format!(
                    "The {name} corrodes where {surface} touches it ({apart}), spread over {area_ratio:.0} times the surface of \
                     the part."
                ),
                AREA,
            )
            .remedy(format!("{separate} where salt reaches them.")),
        });
        if black {
            found.push(finding(
                FindingKind::Notes,
                "couple.no_barrier",
                "Black oxide does not separate the metals: the metal under it counts",
                NO_BARRIER,
            ));
        }
    }
    Ok(())
}

/// What a reader calls the part, and how to separate it from a metal: a washer is not put beside a washer.
fn words_of_form(form: Option<Form>) -> (&'static str, &'static str) {
    let by_washer = "Separate the metals with an insulating washer, sealant or paint";
    match form {
        Some(Form::PlainWasher) => ("washer", "Separate the metals with sealant or paint"),
        Some(Form::HexagonNut | Form::LockNut) => ("nut", by_washer),
        Some(Form::Pin) => ("pin", "Separate the metals with an insulating bush, sealant or paint"),
        Some(Form::Bracket | Form::Other) => {
            ("part", "Separate the metals with an insulating layer, sealant or paint")
        }
        _ => ("fastener", by_washer),
    }
}

/// Bare or blackened steel in an aluminum structure: hardly apart in the series, and yet it rusts and pits.
fn steel_in_aluminum(surface: Family, form: Option<Form>) -> Finding {
    let stainless = match form {
        Some(Form::PlainWasher) => "A4 stainless washers, where they are hard enough, with sealant",
        Some(Form::HexagonNut | Form::LockNut) => {
            "A4 stainless nuts, where they are strong enough, with insulating washer and sealant"
        }
        Some(Form::Pin | Form::Bracket | Form::Other) => {
            "A4 stainless steel, where it is strong enough, with an insulating layer and sealant"
        }
        _ => "A4 stainless screws, where they are strong enough, with insulating washer and sealant",
    };
    finding(
        FindingKind::Needs,
        "couple.steel_in_aluminum",
        format!(
            "{surface} without zinc in aluminum outdoors rusts and stains it, and in salt the aluminum pits around it; \
             black oxide separates nothing."
        ),
        STEEL_IN_ALUMINUM,
    )
    .step(Step::Isolate)
    .remedy(format!("Order zinc flake with a topcoat, or {stainless}."))
}

/// A small aluminum part on a large steel surface: hardly apart in the series, and yet salt makes it the anode.
fn aluminum_on_steel(mate: &str, separate: &str) -> Finding {
    finding(
        FindingKind::Warns,
        "couple.aluminum_on_steel",
        format!("In salt the aluminum part is the small anode on a large cathode of {mate}, and pits."),
        STEEL_IN_ALUMINUM,
    )
    .remedy(format!("{separate}, or coat the steel around the part."))
}

/// Zinc shields the aluminum and is used up; a nobler fastener would move the attack to the aluminum.
fn zinc_on_aluminum(flake: bool) -> Finding {
    finding(
        FindingKind::Warns,
        "couple.zinc_on_aluminum",
        "Zinc on a fastener in aluminum shields the aluminum and is used up; then the steel rusts.",
        SACRIFICIAL,
    )
    .remedy(if flake {
        "Seal the joint against salt, and inspect it for red rust."
    } else {
        "Order zinc flake with a topcoat, seal the joint against salt, and inspect it for red rust."
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIL-DTL-14072F groups as reprinted: the differences that the sheet of values works out.
    #[test]
    fn published_differences_come_out() {
        let index = |family| CoupleMetal::Base(family).anodic_index_v();
        let apart = |a: f64, b: f64| ((a - b).abs() * 100.0).round() / 100.0;
        assert_eq!(apart(index(Family::CarbonSteel), index(Family::Austenitic)), 0.50);
        assert_eq!(apart(index(Family::CarbonSteel), CoupleMetal::ZincPlatedSteel.anodic_index_v()), 0.40);
        assert_eq!(apart(index(Family::CarbonSteel), index(Family::Aluminium)), 0.05);
        assert_eq!(apart(index(Family::Aluminium), index(Family::Austenitic)), 0.55);
    }

    /// MIL-STD-1250A: stainless screws in aluminum sheet are tolerable, aluminum rivets in stainless are not.
    #[test]
    fn the_area_rule_tells_screws_in_sheet_from_the_reverse() {
        let (stainless, aluminium) = (0.35, 0.90);
        assert_eq!(attack(stainless, aluminium, 50.0), Attack::Mate { spread: true });
        assert_eq!(attack(aluminium, stainless, 50.0), Attack::Part { small: true });
        assert_eq!(attack(stainless, aluminium, 1.0), Attack::Mate { spread: false });
    }
}
