//! What burns and fumes where a finished part is welded.

use crate::brief::{Form, PresentFinish};
use crate::check::strength::{Strength, is_fastener};
use crate::check::{Case, Finding, FindingKind, finding};
use crate::evidence::Source;
use crate::finish::{FilmKind, TreatmentKind};
use crate::metal::Family;

const BLACK: Source = Source::common_practice("black oxide is iron oxide; it is destroyed at the weld");
const BURNS: Source =
    Source::common_practice("oil, wax, lacquer, primer and paint burn in the weld zone and give off fume");
const ZINC: Source = Source::from_memory(
    "zinc oxide fume causes metal fume fever; OSHA limit 5 mg/m³ (29 CFR 1910.1000), ACGIH TLV 2 mg/m³",
);
const CADMIUM: Source =
    Source::from_memory("cadmium fume can kill and is a carcinogen; OSHA limit 5 µg/m³ (29 CFR 1910.1027)");
const MANGANESE: Source = Source::from_memory(
    "manganese fume harms the nervous system; OSHA ceiling 5 mg/m³ (29 CFR 1910.1000), ACGIH TLV 0.1 mg/m³ inhalable and \
     0.02 mg/m³ respirable",
);
const NICKEL_OF_A_COATING: Source =
    Source::common_practice("nickel of a coating is in the fume when it is welded over");
const PHOSPHATE: Source = Source::from_memory(
    "phosphate in the weld zone gives zinc and phosphorus oxide fume and can crack the weld; OSHA limit of zinc oxide \
     fume 5 mg/m³, of phosphoric acid 1 mg/m³",
);
const CHROMIUM: Source = Source::from_memory(
    "hexavalent chromium in welding fume is a carcinogen; OSHA limit 5 µg/m³ (29 CFR 1910.1026)",
);
const NICKEL: Source =
    Source::from_memory("nickel in welding fume is a carcinogen; OSHA limit 1 mg/m³, local limits are lower");
const COPPER: Source = Source::from_memory(
    "copper and zinc oxide fume of brass causes metal fume fever; OSHA limits 0.1 mg/m³ copper fume, 5 mg/m³ zinc oxide",
);
const HARDENED: Source = Source::common_practice(
    "quenched and tempered steel is tempered anew or hardened beside a weld; fasteners of 8.8 and above are not welded \
     without a procedure qualified for them",
);
const CHROMIUM_AND_NICKEL: &str =
    "hexavalent chromium and nickel in the fume, exposure limit 5 µg/m³ (hexavalent chromium)";
const ZINC_OXIDE: &str = "metal fume fever, exposure limit 5 mg/m³ (zinc oxide)";
const COPPER_AND_ZINC: &str = "metal fume fever, exposure limit 0.1 mg/m³ (copper fume)";
const FIRST: &str = "Weld first and finish afterwards, or clear the weld zone to bare metal; extract the fume at the arc \
                     and have the exposure judged under local rules.";

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    if !case.brief().duty.welded_after_finishing {
        return;
    }
    hardened(case, found);
    cold_worked(case, found);
    cracking(case, found);
    let before = found.len();
    if case.treatment.is_zinc() {
        metal(found, &case.treatment.name, ZINC_OXIDE, ZINC);
    }
    let has = |metal: &str| case.treatment.name.contains(metal);
    if case.treatment.kind == TreatmentKind::Phosphate {
        let hazard = if has("manganese") {
            "irritant fume and porous or cracked welds, exposure limit 1 mg/m³ (phosphoric acid)"
        } else {
            "irritant fume and porous or cracked welds, exposure limit 5 mg/m³ (zinc oxide)"
        };
        metal(found, &case.treatment.name, hazard, PHOSPHATE);
    }
    if has("manganese") {
        let hazard = "manganese in the fume, which harms the nervous system, ceiling 5 mg/m³; health guides are far lower";
        metal(found, &case.treatment.name, hazard, MANGANESE);
    }
    if has("nickel") {
        let hazard = "nickel in the fume, which can cause cancer: local code sets its exposure limit";
        metal(found, &case.treatment.name, hazard, NICKEL_OF_A_COATING);
    }
    if case.metal.family.is_stainless() {
        metal(found, &case.metal.name, CHROMIUM_AND_NICKEL, CHROMIUM);
    }
    for name in &case.brief().part.joined_metals {
        let Ok(joined) = case.catalog().base_metal(name) else { continue };
        let what = format!("{} joined to the part", joined.name);
        if joined.family.is_stainless() {
            metal(found, &what, CHROMIUM_AND_NICKEL, CHROMIUM);
        } else if joined.family == Family::Zinc {
            metal(found, &what, ZINC_OXIDE, ZINC);
        } else if joined.family == Family::CopperAlloy {
            metal(found, &what, COPPER_AND_ZINC, COPPER);
        }
    }
    if let Some(part) = case.piece_at_hand() {
        present(part.present_finish, found);
    }
    let burning: Vec<&str> = case.films.iter().map(|(_, film)| film.name.as_str()).collect();
    if !burning.is_empty() {
        let primer = case.films.iter().any(|(_, film)| film.kind == FilmKind::Primer);
        let pigment =
            if primer { "; the pigment of a primer, for example zinc, adds metal fume" } else { "" };
        found.push(
            finding(
                FindingKind::Warns,
                "welding.films",
                format!(
                    "Welding after finishing burns {} and gives off fume{pigment}.",
                    burning.join(" and ")
                ),
                BURNS,
            )
            .remedy(FIRST),
        );
    }
    if case.treatment.kind == TreatmentKind::Nitrocarburize {
        found.push(
            finding(
                FindingKind::Warns,
                "welding.nitrided",
                "Welded after finishing: nitrogen of the compound layer makes pores and cracks in the weld.",
                NITRIDED,
            )
            .remedy("Weld first, or grind the layer off the weld zone."),
        );
    }
    if case.treatment.kind == TreatmentKind::Anodize {
        found.push(
            finding(
                FindingKind::Warns,
                "welding.anodized",
                "Welded after finishing: the anodic film with its dye and seal makes a porous weld and is gone beside it, and an \
                 aluminum alloy that is hardened or cold worked softens there.",
                ANODIZED,
            )
            .remedy("Weld first and anodize afterwards, or grind the film off the weld zone; have the strength confirmed."),
        );
    } else if found.len() == before && case.treatment.black {
        found.push(finding(
            FindingKind::Notes,
            "welding.black",
            "Welded after finishing: the black oxide itself adds no noxious fume; it is destroyed at the weld.",
            BLACK,
        ));
    }
}

const ANODIZED: Source = Source::common_practice(
    "anodic films are ground off before welding; heat-treated and cold-worked aluminum softens beside the weld",
);
const CRACKING: Source = Source::common_practice(
    "free-machining steel with sulfur cracks hot in the weld; cast and malleable iron becomes hard, white and cracked beside \
     it; zinc die castings are not welded",
);

/// Metals whose welds crack, of the part and of what is joined to it.
fn cracking(case: &Case, found: &mut Vec<Finding>) {
    for metal in std::iter::once(case.metal).chain(case.joined()) {
        let why = match metal.family {
            Family::CastIron => "it becomes hard and cracks beside the weld",
            Family::Zinc => "zinc die castings cannot be welded",
            _ if metal.free_machining => "its sulfur makes the weld crack",
            _ => continue,
        };
        // of what is joined to the part it may be another piece that is welded
        let own = std::ptr::eq(metal, case.metal);
        let bars = case.brief().part.safety_critical || own && metal.family == Family::Zinc;
        let kind = if bars { FindingKind::Blocks } else { FindingKind::Warns };
        found.push(
            finding(
                kind,
                "welding.cracking",
                format!("Welded after finishing: {} is not made for welding: {why}.", metal.name),
                CRACKING,
            )
            .remedy("Use a weldable grade, or join by screws or brazing; else a welding procedure qualified for this metal."),
        );
    }
}

const NITRIDED: Source = Source::common_practice("nitrided layers are ground off before welding");

/// Steel that got its strength from hardening loses it beside the weld; the harder it is, the more often it cracks there.
fn hardened(case: &Case, found: &mut Vec<Finding>) {
    let is_tempered = case.metal.family.is_hardenable() && case.tempering_temperature_c().is_some();
    let tempered = is_tempered || case.joined().any(|metal| metal.tempering_temperature_c.is_some());
    if !tempered && !case.is_very_hard() {
        return;
    }
    let bars = case.is_very_hard() || case.brief().part.safety_critical;
    let kind = if bars { FindingKind::Blocks } else { FindingKind::Warns };
    found.push(
        finding(
            kind,
            "welding.hardened",
            "Welded after finishing: hardened steel loses its class beside the weld and can crack there, at once or days \
             later.",
            HARDENED,
        )
        .remedy(
            "Do not weld hardened fasteners. Use weldable steel, for example property class 4.6 or a weld nut or stud; \
             else a welding procedure qualified for this steel, with preheat and tests.",
        ),
    );
}

/// Strength of the part by which a joint is tightened, once it is welded.
pub(super) enum AfterWeld {
    /// That of its class: nothing is welded, or the weld takes nothing from it.
    Kept,
    /// That of the annealed metal.
    Annealed(Strength),
    /// Hardened steel beside a weld has none that is known.
    Unknown,
}

/// What the weld leaves of the strength of a screw, nut or stud, or of a part that is ordered by a class.
pub(super) fn after_weld(case: &Case) -> AfterWeld {
    let part = &case.brief().part;
    let stud = part.form == Some(Form::Other) && part.thread.is_some();
    let classed = is_fastener(part) || stud || part.property_class.is_some();
    if !case.brief().duty.welded_after_finishing || !classed {
        return AfterWeld::Kept;
    }
    if case.metal.family.is_hardenable() && case.tempering_temperature_c().is_some() {
        return AfterWeld::Unknown;
    }
    let annealed = case.strength().and_then(|own| own.annealed(case.metal, part, case.catalog()));
    annealed.map_or(AfterWeld::Kept, AfterWeld::Annealed)
}

/// The weld anneals what cold work made strong.
fn cold_worked(case: &Case, found: &mut Vec<Finding>) {
    let AfterWeld::Annealed(left) = after_weld(case) else { return };
    let Some(own) = case.strength() else { return };
    let (Some((tensile, yield_mpa)), Some((left_tensile, left_yield))) =
        (own.tensile_and_yield_mpa, left.tensile_and_yield_mpa)
    else {
        return;
    };
    let kind = if case.brief().part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns };
    let yields = if left_yield < yield_mpa {
        format!(", yield strength {left_yield:.0} MPa instead of {yield_mpa:.0} MPa")
    } else {
        String::new()
    };
    found.push(
        finding(
            kind,
            "welding.cold_work",
            format!(
                "Welded after finishing: {} gets its strength from cold work, which the weld anneals: tensile strength \
                 {left_tensile:.0} MPa instead of {tensile:.0} MPa{yields}, as {}.",
                own.class, left.class
            ),
            left.source,
        )
        .remedy(
            "Do not weld cold-worked fasteners: use a weld stud or weld nut, or calculate the joint with the annealed \
             strength.",
        ),
    );
}

fn metal(found: &mut Vec<Finding>, what: &str, hazard: &str, source: Source) {
    found.push(
        finding(
            FindingKind::Warns,
            "welding.metal_fume",
            format!("Welded after finishing: {what} gives off fume: {hazard}."),
            source,
        )
        .remedy(FIRST),
    );
}

/// The finish that is on the part now, of which the strip leaves residues in corners and threads.
fn present(present: PresentFinish, found: &mut Vec<Finding>) {
    let (hazard, source) = match present {
        PresentFinish::CadmiumPlate => {
            found.push(
                finding(
                    FindingKind::Blocks,
                    "welding.cadmium",
                    "Cadmium plating on a part that is welded: its fume can kill; exposure limit 5 µg/m³.",
                    CADMIUM,
                )
                .remedy("Do not weld this part. Order new parts without cadmium, welded before finishing."),
            );
            return;
        }
        PresentFinish::ZincPlate | PresentFinish::HotDipZinc => (ZINC_OXIDE, ZINC),
        PresentFinish::NickelPlate => ("nickel fume, a carcinogen, exposure limit 1 mg/m³", NICKEL),
        PresentFinish::ChromiumPlate => {
            ("hexavalent chromium and nickel, exposure limit 5 µg/m³ (hexavalent chromium)", CHROMIUM)
        }
        PresentFinish::Phosphate => ("irritant fume and porous welds", PHOSPHATE),
        PresentFinish::Paint => ("smoke, and lead or chromate from old paint", BURNS),
        PresentFinish::None | PresentFinish::BlackOxide => return,
    };
    found.push(
        finding(
            FindingKind::Warns,
            "welding.present_finish",
            format!("Welded after finishing: residues of the present {} give off {hazard}.", present.words()),
            source,
        )
        .remedy("Strip the weld zone completely and prove it before welding; extract the fume at the arc."),
    );
}
