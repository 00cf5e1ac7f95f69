//! The heat of the duty and of every oven of the route against layers, color, property class and tempering.

use std::borrow::Cow;

use crate::brief::{Brief, Duty, Exposure, Form, Part, PresentFinish};
use crate::catalog::ResolvedBuild;
use crate::check::couple::CoupleMetal;
use crate::check::embrittlement::{BAKE_HIGHEST_C, BAKE_LOWEST_C};
use crate::check::preparation::{POLYMER_LIMIT_C, renews_zinc, zinc_that_stays};
use crate::check::strength::is_fastener;
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::evidence::Source;
use crate::fastener::Thread;
use crate::finish::{Film, TreatmentKind};
use crate::life::{layers_left, treatment_is_lost};
use crate::metal::{BaseMetal, Family, PropertyClass};

const LOST: Source =
    Source::assumption("a film past its heat limit is not credited; the build is judged by what remains");
const COLOUR: Source = Source::handbook(
    "heat-treating and finishing journals: black oxide changes color from about 900 °F (482 °C); other \
     texts say 300 °C and 427 °C, so a note is given from 300 °C",
);
const COLOUR_NOTE_C: f64 = 300.0;
const SERVICE_RANGE: Source =
    Source::from_memory("ISO 898-1:2013, clause 1: properties hold from -50 °C to +150 °C");
const SERVICE_LOW_C: f64 = -50.0;
const SERVICE_HIGH_C: f64 = 150.0;
const TEMPERING: Source = Source::standard(
    "ISO 898-1, minimum tempering temperature by a reprint: 8.8, 10.9 and 12.9 of alloy steel 425 °C (2009); 12.9 of \
     carbon-boron steel (underlined mark) and every 12.9 of older editions 380 °C",
);
const SOFTENS: Source =
    Source::common_practice("hardened steel loses hardness where it is heated to its tempering temperature");
const LONG_TEMPERING: Source = Source::common_practice(
    "tempering goes on with time: long service stays below the tempering temperature by the margin that an oven keeps",
);
const HOT_STRENGTH: Source = Source::from_memory(
    "EN 10088-3: the 0.2% proof strength of 1.4301 falls from 190 MPa to 110 MPa at 300 °C; handbooks: carbon steel creeps \
     from about 370 °C, cold work of 5.8 recovers from about 300 °C; 300 °C for all is an assumption",
);
/// Lasting heat above which strength at room temperature says little of a part.
const HOT_STRENGTH_C: f64 = 300.0;
const BATH: Source =
    Source::assumption("a bath warmer than the tempering temperature softens a hardened part");
const SENSITISED: Source = Source::common_practice(
    "austenitic stainless steel loses corrosion resistance at grain boundaries after 425 to 870 °C",
);
const ZINC: Source = Source::common_practice(
    "zinc melts at 419 °C (handbooks); above about 300 °C it diffuses into steel and can embrittle hard and stainless \
     steel it touches",
);
const ZINC_WARM_C: f64 = 300.0;
const ZINC_MELTS_C: f64 = 419.0;
const PASSIVATE: Source = Source::from_memory(
    "passivates on electroplated zinc dry out and crack above about 120 °C, hexavalent ones from about 65 °C: they \
     protect less, and paint on them can lose its hold",
);
const PASSIVATE_C: f64 = 120.0;
const GALVANIZED: Source = Source::from_memory(
    "ISO 14713-1: hot-dip galvanized coatings serve up to 200 °C; above it the zinc peels from its alloy layers",
);
const GALVANIZED_C: f64 = 200.0;
const SCALING: Source = Source::common_practice(
    "carbon and low-alloy steel scales in air from about 1000 °F (538 °C), usual limit of oxidation for long service",
);
const SCALING_C: f64 = 538.0;
/// Margin below the scaling temperature within which it is told (assumption: furnaces and ducts have spots as much hotter
/// than what is entered).
const SCALING_MARGIN_K: f64 = 100.0;
const OVEN: Source = Source::common_practice(
    "no oven of the finish, cure, bake or salt bath, is hotter than the tempering temperature of a hardened part",
);
const SOFT_METALS: Source = Source::from_memory(
    "handbooks: aluminum alloys lose temper from about 150 °C and begin to melt at 502 °C (2024), zinc die castings melt \
     at 380 °C, lead at 327 °C, tin at 232 °C; duplex, ferritic and precipitation-hardening stainless steel embrittle at \
     about 475 °C, duplex is kept below 250 to 300 °C; the margins, and 400 °C as the end for all three, are an assumption",
);
const CHLORIDE_CRACKING: Source = Source::from_memory(
    "EN 1993-1-4 and handbooks: austenitic stainless steel under tension cracks in chloride from about 60 °C, duplex from about \
     100 °C; that salt begins above 60 mg/(m²·d), the end of class S1 of ISO 9223, is an assumption",
);
/// Chloride deposition above which hot stainless steel is taken to crack (assumption).
pub(crate) const CRACKING_CHLORIDE_MG_M2_DAY: f64 = 60.0;
/// What minutes in an oven take that long service takes at so much less (assumption).
const MINUTES_IN_OVEN_K: f64 = 50.0;
const DYE: Source = Source::from_memory(
    "organic dyes of anodized aluminum fade with heat and burn out at about 200 to 250 °C",
);
const DYE_BURNS_C: f64 = 200.0;
/// Lowest usual tempering of hardened steel.
pub(super) const LOWEST_TEMPERING_C: f64 = 150.0;
/// Highest tempering: at about 727 °C steel changes structure.
pub(super) const HIGHEST_TEMPERING_C: f64 = 700.0;
/// Tempering temperature, °C, and the highest hardness that carbon and low-alloy steel keeps at it, HV: the upper edge of
/// handbook curves as recalled, with a margin (assumption).
const HARDEST_HV: [(f64, f64); 8] = [
    (150.0, 900.0),
    (200.0, 800.0),
    (300.0, 680.0),
    (400.0, 580.0),
    (500.0, 490.0),
    (600.0, 400.0),
    (650.0, 340.0),
    (700.0, 290.0),
];
/// Highest hardness of C1-70 of ISO 3506-1 (from memory).
const MARTENSITIC_C1_70_HV: f64 = 330.0;
/// Electroplated zinc whose passivate and black are gone for so much that it is not ordered for such heat.
const PLATING_ENDS_C: f64 = 300.0;
/// How far an oven stays below the tempering temperature (common practice; the routes say the same).
pub(crate) const BELOW_TEMPERING_C: f64 = 25.0;
const A574: Source = Source::from_memory(
    "ASTM A574: socket head cap screws of inch thread are tempered at 343 °C (650 °F) or more",
);
const LOWEST_TEMPERING: Source = Source::from_memory(
    "lowest usual tempering: 410 and 416 parts from 150 °C, their fasteners of class C1-110 from 275 °C and of softer classes \
     hotter (ISO 3506-1), 10.9 of low-carbon boron steel in older editions of ISO 898-1 from 340 °C",
);
const A574_TEMPERING_C: f64 = 343.0;
const J429_GRADE_8: Source =
    Source::from_memory("SAE J429: Grade 8 bolts are tempered at 427 °C (800 °F) or more");
const GRADE_8_TEMPERING_C: f64 = 427.0;
const SET_SCREW: Source = Source::from_memory(
    "alloy steel of 450 to 560 HV, as set screws of class 45H, is tempered at about 200 to 300 °C; ISO 898-5 sets no \
     temperature that was read",
);
const SET_SCREW_TEMPERING_C: f64 = 200.0;
/// Lowest tempering by ISO 898-1 in its editions but for low-carbon boron steel of 10.9.
const TEMPERED_BY_ISO_898_C: f64 = 380.0;
const MARTENSITIC_TEMPERING_C: f64 = 150.0;
/// Of the classes of ISO 3506-1.
const MARTENSITIC_CLASS_TEMPERING_C: f64 = 275.0;
const COLD_WORK: Source = Source::from_memory(
    "ISO 3506-1: classes 70 and 80 of austenitic steel get their strength from cold work, class 50 is soft; handbooks: \
     cold work begins to recover at about 400 °C; 300 °C leaves a margin for the oven",
);
/// Metal temperature up to which cold work keeps its strength.
const COLD_WORK_C: f64 = 300.0;
const INSERT: Source = Source::common_practice("nylon inserts lose their locking above 250 °F (121 °C)");
/// How far above its setting an oven can be (assumption: furnaces are surveyed to 10 to 14 °C).
const OVEN_SPREAD_K: f64 = 10.0;
/// Distance to a limit from which heat no longer weighs (assumption).
const COMFORT_K: f64 = 30.0;

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    // a temperature in °F is no whole number of °C
    let tenth = |heat_c: f64| (10.0 * heat_c).round() / 10.0;
    let (lasting, peak) = (tenth(case.exposure.heat_continuous_c), tenth(case.exposure.heat_peak_c));
    let sees = if lasting < peak { format!("{lasting} °C and {peak} °C") } else { format!("{peak} °C") };
    let exposure = case.exposure;
    for (name, film) in layers_left(case.films, exposure.heat_continuous_c, exposure.heat_peak_c).lost {
        found.push(
            finding(
                FindingKind::Blocks,
                "heat.layer",
                format!(
                    "Too hot for {}: it is rated for {} °C continuous and {} °C for minutes, the part \
                     sees {sees}.",
                    case.films
                        .iter()
                        .find(|(known, _)| known == name)
                        .map_or(*name, |(_, f)| f.name.as_str()),
                    film.continuous_limit_c.value,
                    film.short_limit_c.value
                ),
                LOST,
            )
            .remedy("Order a film rated for the heat, or leave this coat out."),
        );
    }
    treatment(case, peak, found);
    zinc(case, lasting, peak, found);
    color(case, peak, found);
    base_metal(case, lasting, peak, found);
    soft_metals(case, peak, found);
    chloride_cracking(case, peak, found);
    ovens_against_tempering(case, found);
    cold_work(case, peak, found);
    if peak >= POLYMER_LIMIT_C && case.brief().part.has_polymer_insert() {
        found.push(
            finding(
                FindingKind::Blocks,
                "heat.polymer_insert",
                format!(
                    "The polymer insert withstands {POLYMER_LIMIT_C} °C and the part sees {peak} °C in service: it stops \
                     locking."
                ),
                INSERT,
            )
            .remedy(if case.brief().part.form.is_some_and(Form::is_nut) {
                "Order an all-metal lock nut and set `part.polymer_insert` to false."
            } else {
                "Order the part without the insert or patch, lock it by another means rated for the heat, and set \
                 `part.polymer_insert` to false."
            }),
        );
    }
}

/// Whether zinc that is on the part can serve there: no heat that harms it, and no weld through it.
pub(crate) fn spares_zinc(brief: &Brief) -> bool {
    let duty = &brief.duty;
    let hottest = duty.heat_peak_c.into_iter().chain(duty.heat_continuous_c).fold(f64::MIN, f64::max);
    let peels = brief.part.present_finish == PresentFinish::HotDipZinc
        && duty.heat_continuous_c.is_some_and(|lasting| lasting > GALVANIZED_C);
    hottest <= ZINC_WARM_C && !peels && !duty.welded_after_finishing
}

/// The layer of the treatment in the heat of the duty; electroplated zinc goes on protecting past the limit of its
/// passivate up to 300 °C, but zinc flake is held together by a binder that does not.
fn treatment(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let plated = case.treatment.is_zinc() && case.treatment.kind != TreatmentKind::ZincFlake;
    if let Some(limit) = case
        .treatment
        .heat_limit_c
        .as_ref()
        .filter(|_| treatment_is_lost(case.treatment, case.exposure.heat_peak_c))
    {
        let source = case.catalog().source(&limit.source);
        let plated = plated && peak <= PLATING_ENDS_C;
        let lost =
            if plated { "; its black color and its passivate are destroyed, the zinc stays" } else { "" };
        let message = format!(
            "Too hot for {}: it is rated for {} °C and the part sees {peak} °C{lost}.",
            case.treatment.name, limit.value
        );
        found.push(if plated {
            finding(FindingKind::Warns, "heat.treatment", message, source)
                .remedy("Order a treatment rated for the heat.")
        } else {
            finding(FindingKind::Blocks, "heat.treatment", message, source)
                .remedy("Order a treatment rated for the heat, or the same build without it.")
        });
    }
}

/// Zinc on the part in the heat of the duty and of the ovens, whether the treatment brings it or it is there already.
fn zinc(case: &Case, lasting: f64, peak: f64, found: &mut Vec<Finding>) {
    let present = zinc_that_stays(case);
    if !case.treatment.is_zinc() && present.is_none() {
        return;
    }
    if present == Some(PresentFinish::ZincPlate) && !renews_zinc(case) {
        passivate(case, peak, found);
    }
    if present == Some(PresentFinish::HotDipZinc) && lasting > GALVANIZED_C {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.galvanized",
                format!(
                    "The hot-dip galvanizing that stays serves up to {GALVANIZED_C} °C for long and the part sees \
                     {lasting} °C: it peels, with the film on it."
                ),
                GALVANIZED,
            )
            .remedy("Strip the zinc and order a finish rated for the heat."),
        );
    }
    if peak >= ZINC_MELTS_C {
        found.push(
            finding(
                FindingKind::Blocks,
                "heat.zinc",
                format!("Zinc melts at {ZINC_MELTS_C} °C and the part sees {peak} °C."),
                ZINC,
            )
            .remedy("Order a heat-resisting finish or grade without zinc."),
        );
    } else if peak > ZINC_WARM_C {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.zinc",
                format!(
                    "Above {ZINC_WARM_C} °C zinc diffuses into the steel and can crack hard or stainless steel that it \
                     touches; the part sees {peak} °C."
                ),
                ZINC,
            )
            .remedy("Order a finish without zinc for this heat."),
        );
    }
}

/// The passivate on a plating that stays, against every cure of the films on it and the heat of the duty.
fn passivate(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let service = (peak > PASSIVATE_C).then(|| ("the service".into(), peak));
    let hot = ovens(case, &[]).into_iter().map(|oven| (oven.name, oven.high_c)).chain(service);
    let hottest = hot.filter(|(_, c)| *c > PASSIVATE_C).max_by(|(_, a), (_, b)| a.total_cmp(b));
    let Some((where_it_is, hottest)) = hottest else { return };
    found.push(
        finding(
            FindingKind::Warns,
            "heat.passivate",
            format!(
                "The passivate on the zinc that stays withstands about {PASSIVATE_C} °C, and {where_it_is} heats it to \
                 {hottest:.0} °C: it cracks, and the film on it can peel."
            ),
            PASSIVATE,
        )
        .remedy("Compare a film that dries in air; else prove adhesion and salt spray on cured pieces before the lot."),
    );
}

fn color(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let Some(limit) = &case.treatment.colour_change_c else { return };
    let shows = !case.films.iter().any(|(_, film)| !film.clear);
    if case.treatment.kind == TreatmentKind::Anodize && peak >= DYE_BURNS_C && shows {
        let kind =
            if case.brief().wants.black.unwrap_or(true) { FindingKind::Blocks } else { FindingKind::Warns };
        found.push(
            finding(
                kind,
                "heat.colour",
                format!("The dye burns out from about {DYE_BURNS_C} °C and the part sees {peak} °C: it is not black."),
                DYE,
            )
            .remedy("Order a black film rated for the heat, or set `wants.black` to false."),
        );
        return;
    }
    if peak >= limit.value {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.colour",
                format!("The black changes color from {} °C and the part sees {peak} °C.", limit.value),
                COLOUR,
            )
            .remedy("Order a black paint rated for the heat, or agree the color after the heat."),
        );
    } else if peak >= COLOUR_NOTE_C {
        found.push(finding(
            FindingKind::Notes,
            "heat.colour",
            format!("At {peak} °C sources differ on whether the black keeps its color."),
            COLOUR,
        ));
    }
}

/// Steel that can break brittle in the cold.
fn cold(case: &Case, lasting: f64, found: &mut Vec<Finding>) {
    let brittle = case.metal.family.rusts_by_dose()
        || matches!(
            case.metal.family,
            Family::Ferritic | Family::Martensitic | Family::PrecipitationHardening | Family::Duplex
        );
    if brittle && lasting < SERVICE_LOW_C {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.cold",
                format!(
                    "{} can break brittle in the cold: property classes are valid from {SERVICE_LOW_C} °C, and the part sees \
                     {lasting} °C.",
                    case.metal.name
                ),
                SERVICE_RANGE,
            )
            .remedy("Use austenitic stainless steel, or a grade whose impact toughness is proven at that temperature."),
        );
    }
}

fn base_metal(case: &Case, lasting: f64, peak: f64, found: &mut Vec<Finding>) {
    // what heat does not harden does not soften
    let metals = tempered(case);
    for metal in &metals {
        let Tempered { words, tempering_c, stated, .. } = metal;
        let or_more = metal.or_more();
        if peak >= *tempering_c {
            let words =
                if words == "the part" { Cow::Borrowed(case.metal.name.as_str()) } else { words.clone() };
            found.push(
                finding(
                    FindingKind::Blocks,
                    "heat.tempering",
                    format!(
                        "{words} is tempered at {tempering_c} °C{or_more} and the part sees {peak} °C: it {}.",
                        metal.softens()
                    ),
                    metal.source(SOFTENS),
                )
                .remedy(if *stated { HOTTER_GRADE } else { HOTTER_GRADE_OR_STATED }),
            );
        } else if lasting > metal.limit_c() {
            let kind =
                if case.brief().part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns };
            found.push(
                finding(
                    kind,
                    "heat.tempering",
                    format!(
                        "{words} is tempered at {tempering_c} °C{or_more} and sees {lasting} °C for long, less than 25 °C (45 °F) \
                         below: it softens with time."
                    ),
                    LONG_TEMPERING,
                )
                .remedy(if *stated { HOTTER_GRADE } else { HOTTER_GRADE_OR_STATED }),
            );
        }
    }
    let class = case.metal.property_class.as_deref().and_then(PropertyClass::named);
    let of_a_class = class.is_some() && (is_fastener(&case.brief().part) || !metals.is_empty());
    let tempering_c = metals.first().map(|metal| metal.tempering_c);
    if of_a_class && lasting > SERVICE_HIGH_C && tempering_c.is_none_or(|tempering_c| peak < tempering_c) {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.property_class",
                format!(
                    "The property class is valid up to {SERVICE_HIGH_C} °C and the part sees {lasting} °C."
                ),
                SERVICE_RANGE,
            )
            .remedy("Have the strength at temperature confirmed by a qualified person."),
        );
    }
    if !of_a_class {
        hot_strength(case, lasting, found);
    }
    cold(case, lasting, found);
    scaling(case, lasting, peak, found);
    if case.metal.family == Family::Austenitic && (425.0..=870.0).contains(&peak) {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.sensitisation",
                format!("{peak} °C is in the range in which austenitic stainless steel is sensitized."),
                SENSITISED,
            )
            .remedy("Order a low-carbon or stabilized grade, for example 316L or 321."),
        );
    }
}

/// Strength of metals whose class says no temperature up to which it is valid.
fn hot_strength(case: &Case, lasting: f64, found: &mut Vec<Finding>) {
    let is_cold_worked = case.metal.family == Family::Austenitic
        || case.metal.property_class.as_deref().and_then(PropertyClass::named)
            == Some(PropertyClass::Class5_8);
    let lost = if is_cold_worked { ", and it loses the strength gained by cold work" } else { "" };
    let weaker_hot = case.metal.family.rusts_by_dose() || case.metal.family == Family::Austenitic;
    if weaker_hot && lasting > HOT_STRENGTH_C {
        found.push(
            finding(
                FindingKind::Warns,
                "heat.strength",
                format!(
                    "The part sees {lasting} °C for long, and the strength of {} is that at room temperature: hot it is \
                     weaker{lost}.",
                    case.metal.name
                ),
                HOT_STRENGTH,
            )
            .remedy("Have the strength at temperature confirmed by a qualified person, or order a heat-resisting grade."),
        );
    }
}

/// Steel that scales in air.
fn scaling(case: &Case, lasting: f64, peak: f64, found: &mut Vec<Finding>) {
    if case.metal.family.rusts_by_dose() && peak >= SCALING_C {
        // where it scales for long, years to first rust mean nothing
        let kind = if lasting >= SCALING_C { FindingKind::Blocks } else { FindingKind::Warns };
        found.push(
            finding(
                kind,
                "heat.scaling",
                format!("{} scales in air from {SCALING_C} °C and the part sees {peak} °C.", case.metal.name),
                SCALING,
            )
            .remedy("Order heat-resisting stainless or aluminized steel, or allow for the loss of section."),
        );
    } else if case.metal.family.rusts_by_dose() && peak >= SCALING_C - SCALING_MARGIN_K {
        found.push(
            finding(
                FindingKind::Notes,
                "heat.scaling",
                format!(
                    "{} scales in air from {SCALING_C} °C and the part sees {peak} °C: a margin of {:.0} °C ({:.0} \
                     °F).",
                    case.metal.name,
                    SCALING_C - peak,
                    1.8 * (SCALING_C - peak)
                ),
                SCALING,
            )
            .remedy("Measure the metal temperature at the hottest place before you rely on the margin."),
        );
    }
}

/// Lowest temperature at which the metal is tempered by any steel, edition or standard that its class admits; none of what
/// heat does not harden.
pub(super) fn lowest_of(metal: &BaseMetal, part: &Part, thread: Option<Thread>) -> Option<f64> {
    let usual_c = metal.tempering_temperature_c.as_ref()?.value;
    let of_class = metal.property_class.as_deref().and_then(PropertyClass::named);
    if let Some(of_grade) = of_inch_grade_c(metal, part, thread) {
        return Some(of_grade);
    }
    let lowest_c = match (of_class, metal.family) {
        (Some(PropertyClass::Class12_9), _) if part.form == Some(Form::SetScrew) => SET_SCREW_TEMPERING_C,
        (Some(class), _) => class.mechanical(None).ok()?.tempering_min_c.unwrap_or(usual_c),
        (None, Family::Martensitic) if is_of_a_class(metal, part) => MARTENSITIC_CLASS_TEMPERING_C,
        (None, Family::Martensitic) => MARTENSITIC_TEMPERING_C,
        (None, _) => usual_c,
    };
    Some(lowest_c.min(usual_c))
}

/// Whether martensitic stainless steel was tempered as its fastener classes are: asked in one of them, a screw or nut, which
/// its classes cover, or no harder than C1-70.
fn is_of_a_class(metal: &BaseMetal, part: &Part) -> bool {
    let tempered_as_one = match part.hardness_hv {
        Some(hv) => hv <= MARTENSITIC_C1_70_HV,
        None => part.form.is_some_and(|form| form.is_screw() || form.is_nut()),
    };
    has_class_of(metal, part) || tempered_as_one
}

/// Whether the part is asked in a class of the group of its stainless metal, as C1-110.
fn has_class_of(metal: &BaseMetal, part: &Part) -> bool {
    let (class, group) = (part.property_class.as_deref(), metal.property_class.as_deref());
    class.and_then(|class| class.split_once('-')).is_some_and(|(own, _)| Some(own) == group)
}

/// Tempering of the inch grade that a screw is ordered by, °C: no edition of ISO 898-1 applies to it.
pub(super) fn of_inch_grade_c(metal: &BaseMetal, part: &Part, thread: Option<Thread>) -> Option<f64> {
    let class = metal.property_class.as_deref().and_then(PropertyClass::named);
    match (class, part.form, thread) {
        (Some(PropertyClass::Class12_9), Some(Form::SocketCapScrew), Some(Thread::Inch(_))) => {
            Some(A574_TEMPERING_C)
        }
        (Some(PropertyClass::Class10_9), Some(Form::HexagonHeadScrew), Some(Thread::Inch(_))) => {
            Some(GRADE_8_TEMPERING_C)
        }
        _ => None,
    }
}

/// What editions and standards differ in, for the list of what was taken for granted.
pub(super) fn tempering_by_edition(metal: &BaseMetal, part: &Part, thread: Option<Thread>) -> String {
    let of_class = metal.property_class.as_deref().and_then(PropertyClass::named);
    let lowest_c = lowest_of(metal, part, thread);
    let usual_c = metal.tempering_temperature_c.as_ref().map(|value| value.value);
    match of_class {
        Some(PropertyClass::Class12_9) if lowest_c == Some(A574_TEMPERING_C) => {
            ", the lowest of an inch socket screw by ASTM A574 (12.9 by ISO 898-1:2009 425 °C)".to_owned()
        }
        Some(PropertyClass::Class10_9) if lowest_c == Some(GRADE_8_TEMPERING_C) => {
            ", the lowest of SAE J429 Grade 8".to_owned()
        }
        Some(PropertyClass::Class12_9) if lowest_c == Some(SET_SCREW_TEMPERING_C) => {
            ", the lowest of a set screw of class 45H".to_owned()
        }
        Some(PropertyClass::Class12_9) => {
            " (ISO 898-1:2009: alloy steel 425 °C, underlined 12.9 380 °C; older editions 380 °C)".to_owned()
        }
        _ => usual_c
            .filter(|usual_c| lowest_c.is_some_and(|lowest_c| lowest_c < *usual_c))
            .map_or_else(String::new, |usual_c| format!(", the lowest admitted (usual: {usual_c} °C)")),
    }
}

/// Where a tempering temperature that is not stated comes from.
fn tempering_source(tempering_c: f64) -> Source {
    match tempering_c {
        A574_TEMPERING_C => A574,
        GRADE_8_TEMPERING_C => J429_GRADE_8,
        SET_SCREW_TEMPERING_C => SET_SCREW,
        c if c >= TEMPERED_BY_ISO_898_C => TEMPERING,
        _ => LOWEST_TEMPERING,
    }
}

/// Strength by cold work, which heat takes from austenitic fasteners for good.
fn cold_work(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let soft = part.property_class.as_deref().is_some_and(|class| class.ends_with("-50"));
    if case.metal.family != Family::Austenitic || soft || !is_fastener(part) {
        return;
    }
    let service = Some(("the service", peak)).filter(|(_, c)| *c > COLD_WORK_C);
    let bath = case.treatment.bath_temperature_c.as_ref().map(|bath| ("the bath", bath.high));
    let ovens = ovens(case, found);
    let hottest = ovens
        .iter()
        .map(|oven| (oven.name.as_ref(), oven.high_c))
        .chain(bath.filter(|(_, c)| *c > COLD_WORK_C))
        .chain(service)
        .max_by(|(_, a), (_, b)| a.total_cmp(b));
    let Some((where_it_is, hottest)) = hottest else { return };
    found.push(if hottest > COLD_WORK_C {
        finding(
            FindingKind::Warns,
            "heat.cold_work",
            format!(
                "{} gets its strength from cold work, and {where_it_is} heats it to {hottest:.0} °C: above \
                 {COLD_WORK_C:.0} °C it can soften for good.",
                case.metal.name
            ),
            COLD_WORK,
        )
        .remedy("Order a process below 300 °C, or have the strength confirmed after it by a tensile test (ISO 3506-1).")
    } else {
        finding(
            FindingKind::Notes,
            "heat.cold_work",
            format!(
                "{} gets its strength from cold work, which {where_it_is} at {hottest:.0} °C leaves; above \
                 {COLD_WORK_C:.0} °C it can soften for good.",
                case.metal.name
            ),
            COLD_WORK,
        )
        .remedy("Limit the metal temperature in the oven to 300 °C in writing.")
    });
}

/// An oven or hot bath that the part goes through, with the lowest and highest metal temperature.
pub(super) struct Oven<'a> {
    pub(super) name: Cow<'a, str>,
    pub(super) low_c: f64,
    pub(super) high_c: f64,
}

/// Every oven of a build: cures of treatment and films, and the bake that findings ask for.
pub(super) fn ovens<'a>(case: &Case<'a>, found: &[Finding]) -> Vec<Oven<'a>> {
    let of_treatment = case.treatment.oven_temperature_c.as_ref().map(|cure| Oven {
        name: format!("the cure of {}", case.treatment.name).into(),
        low_c: cure.low,
        high_c: cure.high,
    });
    let of_films = case.films.iter().filter_map(|(_, film)| {
        let cure = film.cure_temperature_c.as_ref()?.value;
        Some(Oven { name: format!("the cure of {}", film.name).into(), low_c: cure, high_c: cure })
    });
    let bakes = found.iter().any(|f| matches!(f.step, Some(Step::BakeHours(_))));
    let bake = bakes.then(|| Oven { name: BAKE.into(), low_c: BAKE_LOWEST_C, high_c: BAKE_HIGHEST_C });
    of_treatment.into_iter().chain(of_films).chain(bake).collect()
}

const BAKE: &str = "the hydrogen relief bake";

/// Whether all that rules a build out is a tempering that the brief does not state.
pub(crate) fn waits_for_tempering(findings: &[Finding]) -> bool {
    let mut blocking = findings.iter().filter(|finding| finding.kind == FindingKind::Blocks).peekable();
    let waits = |finding: &Finding| finding.remedy.as_deref().is_some_and(|said| said.starts_with(STATE));
    blocking.peek().is_some() && blocking.all(waits)
}

/// Lowest tempering at which no oven or bath of a build, and no heat of its duty, harms a hardened part, °C.
pub(crate) fn serving_tempering_c(build: &ResolvedBuild, findings: &[Finding], duty: &Duty) -> f64 {
    let bakes = findings.iter().any(|found| matches!(found.step, Some(Step::BakeHours(_))));
    let cures = build.films.iter().filter_map(|(_, film)| Some(film.cure_temperature_c.as_ref()?.value));
    let ovens = build.treatment.oven_temperature_c.as_ref().map(|cure| cure.low);
    let service = duty.heat_peak_c.into_iter().chain(duty.heat_continuous_c);
    let bake = bakes.then_some(BAKE_LOWEST_C);
    let hottest = cures.chain(ovens).chain(service).chain(bake).fold(0.0, f64::max);
    let bath = build.treatment.bath_temperature_c.as_ref().map_or(0.0, |bath| bath.high);
    bath.max(hottest + BELOW_TEMPERING_C)
}

/// A hardened metal that goes through the baths and ovens: the part, or one that is joined to it.
struct Tempered<'a> {
    /// The part, or the joined metal by name.
    words: Cow<'a, str>,
    /// Its tempering, °C: stated, else the lowest that it can have had.
    tempering_c: f64,
    stated: bool,
    /// The stated hardness, where it is higher than that of the grade and the tempering is not stated.
    harder_hv: Option<f64>,
}

impl Tempered<'_> {
    /// Highest metal temperature of an oven, °C.
    fn limit_c(&self) -> f64 {
        self.tempering_c - BELOW_TEMPERING_C
    }

    fn softens(&self) -> &'static str {
        if self.stated { "softens" } else { "can soften" }
    }

    fn or_more(&self) -> &'static str {
        if self.stated { "" } else { " or more" }
    }

    fn source(&self, of_stated: Source) -> Source {
        if self.stated || self.harder_hv.is_some() { of_stated } else { tempering_source(self.tempering_c) }
    }
}

fn tempered<'a>(case: &Case<'a>) -> Vec<Tempered<'a>> {
    let stated = case.piece_at_hand().and_then(|part| part.tempering_temperature_c).is_some();
    let own = case.tempering_temperature_c().filter(|_| case.metal.family.is_hardenable());
    let own = own.map(|tempering_c| Tempered {
        words: "the part".into(),
        tempering_c,
        stated,
        harder_hv: case.harder_than_usual_hv(),
    });
    let joined = case.joined().filter(|metal| metal.family.is_hardenable()).filter_map(|metal| {
        let tempering_c = lowest_of(metal, &Part::default(), None)?;
        let words = format!("the {} joined to it", metal.name).into();
        Some(Tempered { words, tempering_c, stated: false, harder_hv: None })
    });
    own.into_iter().chain(joined).collect()
}

/// Highest metal temperature that the ovens of a route may have, °C: 25 °C below the tempering, of the part and of what is
/// joined to it.
pub(crate) fn oven_limit_c(case: &Case) -> Option<f64> {
    tempered(case).iter().map(Tempered::limit_c).reduce(f64::min)
}

/// Ovens and baths against the tempering temperature that is stated, else against the lowest that the class admits: what is
/// not stated is judged as if the lowest were.
fn ovens_against_tempering(case: &Case, found: &mut Vec<Finding>) {
    for metal in tempered(case) {
        let Tempered { words, tempering_c, stated, harder_hv } = &metal;
        let or_more = metal.or_more();
        if let Some(bath) = case.treatment.bath_temperature_c.as_ref().filter(|bath| bath.high > *tempering_c)
        {
            let message = match harder_hv {
                Some(hv) => harder_message(case, *hv, &format!("the bath at {} °C", bath.high)),
                None => format!(
                    "The bath at {} °C is hotter than the tempering of {words}, {tempering_c} °C{or_more}.",
                    bath.high
                ),
            };
            let remedy = match (harder_hv, stated) {
                (Some(_), _) => STATE_TEMPERING,
                (None, true) => "Order a process that stays below the tempering temperature.",
                (None, false) => {
                    "Enter `part.tempering_temperature_c` from the certificate, or order a process that stays below it."
                }
            };
            found.push(finding(FindingKind::Blocks, "heat.bath", message, BATH).remedy(remedy));
        }
        for Oven { name, low_c, high_c } in ovens(case, found) {
            let range =
                if low_c < high_c { format!("{low_c} to {high_c} °C") } else { format!("{high_c} °C") };
            let limit_c = metal.limit_c();
            let plated = case.piece_at_hand().is_some_and(|part| !part.present_finish.is_none());
            let cooler = match (name == BAKE, plated, *stated) {
                (true, true, true) => "Buy unplated parts: a strip in acid asks for the bake.",
                (true, true, false) => {
                    "Enter `part.tempering_temperature_c` from the certificate, or buy unplated parts."
                }
                (true, false, true) => "Order a finish without acid or current, which needs no bake.",
                (true, false, false) => {
                    "Enter `part.tempering_temperature_c` from the certificate, or order a finish without acid or current."
                }
                (false, _, true) => COOLER_FINISH,
                (false, _, false) => COOLER_OR_STATED,
            };
            if low_c > limit_c {
                let (message, remedy) = match harder_hv {
                    Some(hv) => (harder_message(case, *hv, &format!("{name} ({range})")), STATE_TEMPERING),
                    None if low_c > *tempering_c => (
                        format!(
                            "{name} ({range}) is hotter than the tempering of {words}, {tempering_c} °C{or_more}: it {}.",
                            metal.softens()
                        ),
                        cooler,
                    ),
                    None => (
                        format!(
                            "{name} ({range}) leaves no range 25 °C (45 °F) below the tempering of {words}, \
                             {tempering_c} °C{or_more}."
                        ),
                        cooler,
                    ),
                };
                let source = metal.source(OVEN);
                found.push(finding(FindingKind::Blocks, "heat.oven", message, source).remedy(remedy));
            } else if high_c + OVEN_SPREAD_K > limit_c {
                let message = if high_c > *tempering_c {
                    format!(
                        "{name} ({range}) can be hotter than the tempering of {words}, {tempering_c} °C{or_more}."
                    )
                } else if high_c <= limit_c {
                    format!(
                        "{name} ({range}) may be exceeded by no more than {:.0} °C ({:.0} °F): the tempering of {words} is \
                         {tempering_c} °C{or_more}.",
                        limit_c - high_c,
                        1.8 * (limit_c - high_c)
                    )
                } else {
                    format!(
                        "{name} ({range}) is within 25 °C (45 °F) of the tempering of {words}, {tempering_c} °C{or_more}."
                    )
                };
                let limit = format!("the metal temperature in the oven to {limit_c:.0} °C in writing.");
                let remedy = if *stated {
                    format!("Limit {limit}")
                } else {
                    format!("Enter `part.tempering_temperature_c`, or limit {limit}")
                };
                found.push(
                    finding(FindingKind::Warns, "heat.oven", message, metal.source(OVEN)).remedy(remedy),
                );
            }
        }
    }
}

const HOTTER_GRADE: &str =
    "Order a heat-resisting grade, or have the hardness after the heat confirmed by the fastener maker.";
const HOTTER_GRADE_OR_STATED: &str =
    "Enter `part.tempering_temperature_c` from the certificate, or order a heat-resisting grade.";
/// How the remedy of a guessed tempering begins.
const STATE: &str = "Enter `part.tempering_temperature_c`";
const STATE_TEMPERING: &str = "Enter `part.tempering_temperature_c` from the heat treatment record.";
const COOLER_OR_STATED: &str = "Enter `part.tempering_temperature_c` from the certificate, or order a finish that dries in air or \
                                cures 25 °C below the tempering.";
const COOLER_FINISH: &str = "Order a finish that dries in air or cures below the tempering temperature.";

fn harder_message(case: &Case, hv: f64, heat: &str) -> String {
    format!(
        "{hv:.0} HV is harder than {} usually is, so its tempering was low and is not stated; {heat} can soften it.",
        case.metal.name
    )
}

/// Highest hardness that steel has after tempering at a temperature, HV.
pub(super) fn hardest_hv(tempering_c: f64) -> f64 {
    let above = HARDEST_HV.windows(2).find_map(|pair| match pair {
        [(low_c, low_hv), (high_c, high_hv)] if (*low_c..=*high_c).contains(&tempering_c) => {
            Some(low_hv + (high_hv - low_hv) * (tempering_c - low_c) / (high_c - low_c))
        }
        _ => None,
    });
    above.unwrap_or(if tempering_c < LOWEST_TEMPERING_C { f64::INFINITY } else { 0.0 })
}

/// Highest hardness of a family at its usual tempering, HV: martensitic stainless steel above that of C1-70 was tempered
/// low.
pub(super) fn most_of_usual_tempering_hv(family: Family, most_hv: f64) -> f64 {
    if family == Family::Martensitic { most_hv.min(MARTENSITIC_C1_70_HV) } else { most_hv }
}

/// What heat does to a metal for good.
struct Lasting {
    /// Temperature from which it is told, °C.
    from_c: f64,
    /// Temperature from which nothing is ordered, °C.
    ends_c: f64,
    why: &'static str,
}

/// Metals that heat harms long before steel scales.
fn lasting_harm(family: Family) -> Option<Lasting> {
    let (from_c, ends_c, why) = match family {
        Family::Aluminium => {
            (150.0, 450.0, "its temper and cold work fade, and alloys begin to melt at about 500 °C")
        }
        Family::Zinc => (100.0, 320.0, "it creeps and loses strength, and it melts at about 380 °C"),
        Family::CopperAlloy => (200.0, 800.0, "its cold work fades, and it melts at about 900 °C"),
        Family::Titanium => (425.0, 600.0, "it absorbs oxygen and becomes brittle"),
        Family::Duplex => (250.0, 400.0, "it becomes brittle for good, quickest at about 475 °C (885 °F)"),
        Family::Ferritic => (370.0, 400.0, "it becomes brittle for good, quickest at about 475 °C (885 °F)"),
        Family::PrecipitationHardening => {
            (300.0, 400.0, "it ages further and becomes brittle, quickest at about 475 °C (885 °F)")
        }
        _ => return None,
    };
    Some(Lasting { from_c, ends_c, why })
}

/// Temperature above which a family cracks under tension in chloride, °C; none of what does not.
fn cracks_in_chloride_above_c(family: Family) -> Option<f64> {
    match family {
        Family::Austenitic => Some(60.0),
        Family::Duplex => Some(100.0),
        _ => None,
    }
}

/// Whether salt reaches a hot part, of the sea or of roads.
pub(super) fn is_in_salt(exposure: &Exposure) -> bool {
    exposure.salt_mg_m2_day > CRACKING_CHLORIDE_MG_M2_DAY
}

/// Stress corrosion cracking: hot stainless steel breaks in salt without a warning, by its load or by what forming and
/// welding left in it.
fn chloride_cracking(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let duty = &case.brief().duty;
    if !is_in_salt(case.exposure) && duty.road_salt.is_none() {
        return;
    }
    let own = (case.metal.family, case.metal.name.clone());
    let joined = case.joined().map(|metal| (metal.family, format!("{} joined to the part", metal.name)));
    for (family, words) in std::iter::once(own).chain(joined) {
        let Some(above_c) = cracks_in_chloride_above_c(family).filter(|above_c| peak > *above_c) else {
            continue;
        };
        let kind = if case.brief().part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns };
        found.push(
            finding(
                kind,
                "heat.chloride_cracking",
                format!(
                    "{words} under tension cracks in salt above {above_c} °C, suddenly and without rust (stress corrosion); the \
                     part sees {peak} °C."
                ),
                CHLORIDE_CRACKING,
            )
            .remedy(
                "Keep the part cooler or shield it from salt, or have a qualified person choose a grade that resists, for example \
                 with 6% molybdenum.",
            ),
        );
    }
}

/// The metal of the part, what is joined to it and what it touches, against the heat of the duty and of the ovens.
fn soft_metals(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    let catalog = case.catalog();
    let own = Some((case.metal.family, case.metal.name.clone(), true));
    let joined =
        case.joined().map(|metal| (metal.family, format!("{} joined to the part", metal.name), true));
    let mating = case.brief().duty.mating_metals.iter().filter_map(|name| {
        let metal = catalog.content().base_metals.get(name)?;
        Some((metal.family, format!("{} in contact with the part", metal.name), false))
    });
    for (family, words, in_ovens) in own.into_iter().chain(joined).chain(mating) {
        let Some(Lasting { from_c, ends_c, why }) = lasting_harm(family) else { continue };
        let service =
            (peak > from_c).then(|| (format!("The part sees {peak} °C in service"), peak, peak, false));
        let hot = ovens(case, found)
            .into_iter()
            .filter(|oven| in_ovens && oven.high_c > from_c + MINUTES_IN_OVEN_K);
        // a brittle phase takes longer than a cure
        let hot = hot.filter(|_| matches!(family, Family::Aluminium | Family::Zinc | Family::CopperAlloy));
        let ovens = hot.map(|oven| {
            let Oven { name, low_c, high_c } = oven;
            (format!("{name} reaches {high_c} °C"), low_c, high_c, true)
        });
        let hottest =
            service.into_iter().chain(ovens).max_by(|a, b| a.1.total_cmp(&b.1).then(a.2.total_cmp(&b.2)));
        let Some((heat, least_c, _, in_oven)) = hottest else { continue };
        let kind = if least_c >= ends_c { FindingKind::Blocks } else { FindingKind::Warns };
        found.push(
            finding(
                kind,
                "heat.metal",
                format!("{heat}: from {from_c} °C {words} is harmed: {why}."),
                SOFT_METALS,
            )
            .remedy(if in_oven {
                "Finish the part before joining, order a film that dries in air, or limit the metal temperature in writing to \
                 what the maker of the metal permits."
            } else {
                "Order a metal made for the heat, or have strength and toughness after it confirmed."
            }),
        );
    }
    touching(case, peak, found);
}

/// Layers and metals that melt on the part and crack it: liquid metal embrittlement.
fn touching(case: &Case, peak: f64, found: &mut Vec<Finding>) {
    for name in &case.brief().duty.mating_metals {
        let melts_c = match CoupleMetal::named(name) {
            Some(CoupleMetal::ZincPlatedSteel | CoupleMetal::GalvanizedSteel) => ZINC_MELTS_C,
            Some(CoupleMetal::Lead) => 327.0,
            Some(CoupleMetal::TinPlate) => 232.0,
            Some(CoupleMetal::Magnesium) => 450.0,
            _ => continue,
        };
        if peak >= melts_c {
            let metal = name.replace('_', " ");
            let message = format!(
                "The part sees {peak} °C and {metal} in contact with it melts at about {melts_c} °C: liquid metal can \
                 crack it."
            );
            found.push(
                finding(FindingKind::Blocks, "heat.metal", message, SOFT_METALS)
                    .remedy("Replace the metal that melts with one made for the heat."),
            );
        }
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
