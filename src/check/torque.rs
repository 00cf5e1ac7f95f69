//! Friction and preload of the outermost film against the finish used before, or the usual torque tables.

use std::borrow::Cow;

use crate::Result;
use crate::brief::{Form, Part, PresentFinish};
use crate::check::head_only::tightened_film;
use crate::check::strength::{Strength, class_is_open, inch_order, is_reduced, stated_yield_mpa};
use crate::check::thread::{USUAL_THREAD, is_masked, tolerance_without_mask};
use crate::check::welding::{AfterWeld, after_weld};
use crate::check::{Case, Finding, FindingKind, Inquiry, Step, finding};
use crate::evidence::{Range, Source, SourceKey};
use crate::fastener::prevailing_torque::PREVAILING_TORQUE;
use crate::fastener::{
    FrictionRange, PreloadChange, Thread, TorsionModel, assembly_preload_kn, mean_bearing_diameter,
    preload_change, preload_from_torque_kn, prevailing_torque_max_nm, strength_utilization,
    tightening_torque_nm,
};
use crate::finish::{Film, FilmKind, TreatmentKind};
use crate::metal::{Family, InchGrade, PropertyClass};

const CLASSES: Source = Source::standard("VDI 2230, friction classes A to E, by reprints");
const DRY_BLACK: Source = Source::assumption(
    "dry black oxide is in none of the friction classes of VDI 2230: taken as class C to D",
);
const FORMULA: Source = Source::handbook(
    "VDI 2230 (2001/2003) form, 90% of yield, fully plastic torsion; tables of the 1986 edition are about 8% \
     lower",
);
const TABLES: Source = Source::common_practice(
    "usual torque tables assume a friction of 0.12 in threads and under the head (one guide 0.14), as of delivered or \
     oiled screws, class B of VDI 2230",
);
const TABLE_FRICTION: FrictionRange = FrictionRange { lowest: 0.08, highest: Some(0.16) };
/// Friction that the torque of the tables is set for.
const TABLE_SET_FOR: f64 = 0.12;
const GALLING: Source = Source::common_practice(
    "stainless steel, titanium and aluminum threads gall: lubricate with paste, turn slowly, never by impact; a higher \
     torque against friction tears the screw",
);
const NUT: Source = Source::common_practice(
    "VDI 2230 sets the torque by the strength of the screw; ISO 898-2 matches a nut with screws up to its class",
);
const MASKED: Source = Source::common_practice(
    "a masked thread is bare: its friction is that of what is applied to it at assembly, not of the coat beside it",
);
const LEAST: Source = Source::common_practice(
    "NASA-STD-5020A checks the lowest and the highest preload separately; VDI 2230 scatter",
);
/// In place of a torque that the key does not carry.
const LUBRICATE_FIRST: &str = "Set no torque on this coating: the key does not carry it. Order a lubricated sealer or wax over the \
                               coating, and set the torque with it on the real joint.";
const KEYS: Source = Source::from_memory(
    "ISO 2936: torque at which hex keys are proved; ISO 4762, ISO 7380-1 and ISO 10642: key by thread",
);
/// Key of a socket head cap screw by thread, mm.
const CAP_KEYS: [(f64, f64); 9] = [
    (3.0, 2.5),
    (4.0, 3.0),
    (5.0, 4.0),
    (6.0, 5.0),
    (8.0, 6.0),
    (10.0, 8.0),
    (12.0, 10.0),
    (16.0, 14.0),
    (20.0, 17.0),
];
/// Key of a button or countersunk socket head by thread, mm.
const LOW_HEAD_KEYS: [(f64, f64); 9] = [
    (3.0, 2.0),
    (4.0, 2.5),
    (5.0, 3.0),
    (6.0, 4.0),
    (8.0, 5.0),
    (10.0, 6.0),
    (12.0, 8.0),
    (16.0, 10.0),
    (20.0, 12.0),
];
/// Proof torque of a key by its width, mm and N·m.
const KEY_TORQUE_NM: [(f64, f64); 11] = [
    (2.0, 1.9),
    (2.5, 3.8),
    (3.0, 6.6),
    (4.0, 16.0),
    (5.0, 30.0),
    (6.0, 52.0),
    (8.0, 120.0),
    (10.0, 220.0),
    (12.0, 370.0),
    (14.0, 590.0),
    (17.0, 980.0),
];
/// Share of the lowest preload of before below which the joint is taken to loosen (assumption: scatter of torque
/// wrenches).
const LEAST_PRELOAD: f64 = 0.85;
/// The same for a torque of the finish itself, which is set for its lowest friction where tables are set for a nominal one:
/// with the very friction of the tables (0.08 to 0.16) it gives about 0.72 of their lowest preload (assumption).
const LEAST_OF_OWN_TORQUE: f64 = 0.70;
/// Utilisation of the yield strength at assembly (VDI 2230).
const UTILISATION: f64 = 0.9;
/// Yield strength of property class 10.9, ISO 898-1.
const HIGH_STRENGTH_MPA: f64 = 940.0;
/// Scatter of the preload at one torque from which it is told by itself (assumption: that of class B of VDI 2230, 0.08 to
/// 0.16, is 1.7).
const WIDE_SCATTER: f64 = 1.5;
/// Change of the tightening torque from which a new one is given (assumption: within the scatter of torque
/// wrenches).
const TORQUE_TOLERANCE: f64 = 0.15;

fn range(lowest: f64, highest: f64) -> FrictionRange {
    FrictionRange { lowest, highest: Some(highest) }
}

/// Where a friction comes from.
enum FrictionSource<'a> {
    Catalog(&'a SourceKey),
    Rule(Source),
}

/// Whether threads of this family seize where nothing lubricates them.
pub(crate) fn galls(family: Family) -> bool {
    family.is_stainless() || matches!(family, Family::Titanium | Family::Aluminium)
}

/// Friction of threads and bearing faces with the finish of the case.
fn friction_of<'a>(case: &Case<'a>) -> (FrictionRange, FrictionSource<'a>) {
    let galls = galls(case.metal.family);
    let of_the_catalog = |own: &'a Range| (range(own.low, own.high), FrictionSource::Catalog(&own.source));
    let film = tightened_film(case);
    if let (Some(own), None) = (&case.treatment.friction, film) {
        return of_the_catalog(own);
    }
    let (friction, rule) = match film {
        Some(film) if galls && film.kind == FilmKind::Oil => (range(0.20, 0.35), CLASSES),
        Some(film) if galls && film.kind == FilmKind::Wax => (range(0.08, 0.24), CLASSES),
        Some(film) => return of_the_catalog(&film.friction),
        None if galls => (FrictionRange { lowest: 0.30, highest: None }, CLASSES),
        None if case.treatment.black => (range(0.14, 0.35), DRY_BLACK),
        None => (range(0.14, 0.24), CLASSES),
    };
    (friction, FrictionSource::Rule(rule))
}

/// Friction with the finish used before, where the brief names one: without a film, stainless threads are dry.
fn present_friction(part: &Part) -> Option<FrictionRange> {
    Some(match part.present_finish {
        PresentFinish::None => return None,
        PresentFinish::Phosphate => range(0.14, 0.24),
        PresentFinish::ZincPlate | PresentFinish::NickelPlate | PresentFinish::ChromiumPlate => {
            range(0.14, 0.35)
        }
        PresentFinish::HotDipZinc => range(0.20, 0.35),
        PresentFinish::CadmiumPlate | PresentFinish::BlackOxide => range(0.08, 0.16),
        PresentFinish::Paint => range(0.14, 0.35),
    })
}

/// What was taken for granted of the friction before; none where nothing is tightened or an earlier finish is named.
pub(super) fn assumed_friction(inquiry: &Inquiry) -> Option<String> {
    let part = &inquiry.brief().part;
    (is_tightened(part) && inquiry.thread().is_some() && part.present_finish.is_none()).then(|| {
        "torque: no earlier finish named, so it is compared with usual torque tables (a coefficient of friction of 0.12, \
         which is 0.08 to 0.16 in practice)"
            .to_owned()
    })
}

/// That a part of another form is judged as a screw, since it has a thread or a class.
pub(super) fn taken_as_screw(inquiry: &Inquiry) -> Option<String> {
    let part = &inquiry.brief().part;
    let of_thread = part.form == Some(Form::Other) && is_tightened(part);
    of_thread.then(|| {
        "form: a part of form other with a thread or a property class is judged as a screw or stud that is tightened by it \
         (friction, torque, preload); enter the form bracket for a housing or fitting that others are screwed into"
            .to_owned()
    })
}

/// The screw that a nut is tightened on: of the class asked for, else of the class that matches the nut's.
fn screw_of_the_nut(case: &Case, nut: Option<(Cow<'static, str>, f64)>) -> Option<(Cow<'static, str>, f64)> {
    let (class, own_mpa) = nut?;
    let asked_mpa = stated_yield_mpa(case).unwrap_or(own_mpa);
    let bolt = case.metal.property_class.as_deref().and_then(PropertyClass::named);
    let inch = inch_order(case).and(bolt).and_then(InchGrade::of_hex_bolts);
    let screw = match (inch, bolt) {
        (Some(grade), _) => grade.name.to_owned(),
        (None, Some(bolt)) => format!("class {bolt}"),
        (None, None) => format!("class {class}"),
    };
    let nut = if inch.is_some() { class.to_string() } else { format!("class {class}") };
    let words = if asked_mpa < own_mpa {
        format!("screw of the weaker class that the brief names, in a nut of {nut}")
    } else {
        format!("screw of {screw}, which a nut of {nut} matches")
    };
    Some((words.into(), own_mpa.min(asked_mpa)))
}

fn is_tightened(part: &Part) -> bool {
    match part.form {
        // studs, threaded rods and U-bolts have no form of their own
        Some(Form::Other) => part.thread.is_some() || part.property_class.is_some(),
        Some(Form::Bracket | Form::Pin | Form::PlainWasher | Form::SetScrew) => false,
        Some(_) => true,
        None => part.thread.is_some(),
    }
}

/// The thread of a case; none where nothing is tightened, or where friction is not that of the finish.
fn tightened_thread(case: &Case) -> Option<Thread> {
    let part = &case.brief().part;
    case.inquiry.thread().map(|t| t.thread).filter(|_| is_tightened(part) && !is_tightened_bare(case))
}

/// Whether the thread that is tightened is masked: it is bare, and what is applied to it later is not known.
pub(crate) fn is_tightened_bare(case: &Case) -> bool {
    case.brief().part.form == Some(Form::Other) && is_tightened(&case.brief().part) && is_masked(case)
}

/// A tightened joint.
struct Joint {
    thread: Thread,
    bearing_mm: f64,
    /// What is tightened, by its class, and its yield strength, MPa, where it is known; a weak head lowers it.
    strength: Option<(Cow<'static, str>, f64)>,
    /// Whether the part is the nut, and the strength that of the screw in it.
    nut: bool,
    /// Whether the strength is not known, after a weld or with the class open: no torque is told, and preloads are those of
    /// its class.
    unknown: bool,
    /// Whether that is so since the class is open.
    class_open: bool,
}

impl Joint {
    /// The joint of a case by the thread that is tightened.
    fn of(case: &Case, thread: Thread) -> Self {
        let welded = after_weld(case);
        let ordered = inch_order(case).map(|order| order.grade).filter(|_| matches!(welded, AfterWeld::Kept));
        let class_open = class_is_open(case) && matches!(welded, AfterWeld::Kept);
        let unknown = class_open || matches!(welded, AfterWeld::Unknown);
        let strength = match welded {
            AfterWeld::Annealed(left) => Some(left),
            AfterWeld::Kept | AfterWeld::Unknown => case.strength(),
        };
        let strength = strength.and_then(|Strength { class, tensile_and_yield_mpa, .. }| {
            tensile_and_yield_mpa.map(|(_, yield_mpa)| (class, yield_mpa))
        });
        let nut = case.brief().part.form.is_some_and(Form::is_nut);
        let strength = strength.map(|(class, yield_mpa)| (ordered.unwrap_or(class), yield_mpa));
        let strength = if nut { screw_of_the_nut(case, strength) } else { strength };
        let bearing_mm = mean_bearing_diameter(&thread).bearing_diameter_mm;
        Self { thread, bearing_mm, strength, nut, unknown, class_open }
    }

    /// Preload (kN) and torque (N·m) at 90% of a yield strength and the lowest friction.
    fn assembly(&self, friction: f64, yield_mpa: f64) -> Result<(f64, f64)> {
        let model = TorsionModel::FullyPlastic;
        let preload_kn = assembly_preload_kn(&self.thread, yield_mpa, friction, UTILISATION, model)?;
        let torque_nm = tightening_torque_nm(preload_kn, &self.thread, friction, friction, self.bearing_mm)?;
        Ok((preload_kn, torque_nm))
    }

    /// `18.5 N·m (M8 8.8: preload 10.4 to 18.6 kN, at most 90% of the yield strength)`, where the strength is known.
    fn assembly_in_words(&self, friction: FrictionRange, yield_ratio: f64) -> Result<Option<String>> {
        let known = self.strength.as_ref().filter(|_| !self.unknown);
        let (Some((class, yield_mpa)), Some(highest)) = (known, friction.highest) else {
            return Ok(None);
        };
        let lowest = friction.lowest;
        let stronger = yield_mpa * yield_ratio;
        let (most_kn, torque_nm) = self.assembly(lowest, stronger)?;
        let least_kn = preload_from_torque_kn(torque_nm, &self.thread, highest, highest, self.bearing_mm)?;
        let thread = &self.thread;
        let head = if is_reduced(class) { ", a head of reduced strength" } else { "" };
        Ok(Some(format!(
            "{torque_nm:.*} N·m ({thread} {class}{head}: preload {least_kn:.1} to {most_kn:.1} kN, at most 90% of the yield \
             strength)",
            usize::from(torque_nm < 100.0)
        )))
    }

    /// Highest over lowest preload of one finish at one torque; none where the friction has no upper end.
    fn scatter(&self, friction: FrictionRange) -> Result<Option<f64>> {
        let Some(highest) = friction.highest else { return Ok(None) };
        let (low, high) = (range(friction.lowest, friction.lowest), range(highest, highest));
        Ok(Some(preload_change(&self.thread, self.bearing_mm, high, low)?.greatest_preload_ratio))
    }

    /// Share of the yield strength, torsion included, when a torque that suited the strength and friction of before is
    /// kept.
    fn utilization_at_old_torque(&self, old_yield_mpa: f64, before: f64, now: f64) -> Result<Option<f64>> {
        let Some((_, yield_mpa)) = self.strength.as_ref().filter(|_| !self.unknown) else { return Ok(None) };
        let yield_mpa = *yield_mpa;
        let (_, torque_nm) = self.assembly(before, old_yield_mpa)?;
        let preload_kn = preload_from_torque_kn(torque_nm, &self.thread, now, now, self.bearing_mm)?;
        let model = TorsionModel::FullyPlastic;
        strength_utilization(preload_kn, &self.thread, yield_mpa, now, model).map(Some)
    }
}

/// Lowest and highest coefficient of friction of the finish of a case; none where nothing is tightened, or a thread without
/// the finish.
pub(crate) fn friction_window(case: &Case) -> Option<(f64, Option<f64>)> {
    let range = friction_of(case).0;
    let part = &case.brief().part;
    // an eyebolt or a shackle has no bearing face, and no preload by its torque
    let hangs = case.is_for_lifting() && matches!(part.form, None | Some(Form::Other));
    (is_tightened(part) && !hangs && !is_tightened_bare(case)).then_some((range.lowest, range.highest))
}

/// What the findings depend on and the builds of a brief differ in.
#[derive(Debug, PartialEq)]
pub(super) struct Differs {
    base_metal: String,
    friction: FrictionRange,
    source: Source,
    lubricated: bool,
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    if is_tightened_bare(case) {
        return masked(case, found);
    }
    let Some(thread) = tightened_thread(case) else {
        seizing(case, found);
        return without_thread(case, found);
    };
    with_thread(case, thread, found)
}

fn with_thread(case: &Case, thread: Thread, found: &mut Vec<Finding>) -> Result<()> {
    let (friction, source) = friction_of(case);
    let source = match source {
        FrictionSource::Catalog(key) => case.catalog().source(key),
        FrictionSource::Rule(rule) => rule,
    };
    let differs = Differs {
        base_metal: case.build.base_metal.clone(),
        friction,
        source: source.clone(),
        lubricated: is_lubricated(case),
    };
    case.inquiry.of_torque.add(found, differs, |found| {
        let joint = Joint::of(case, thread);
        let drive = drive(case, &joint, friction)?;
        word(case, &joint, friction, (source, drive.is_some()), found)?;
        found.extend(drive);
        Ok(())
    })
}

/// The key of a socket against the torque that the strength of the screw and its friction ask for: key or socket gives way
/// first, and the hand with it.
fn drive(case: &Case, joint: &Joint, friction: FrictionRange) -> Result<Option<Finding>> {
    let (Thread::Metric(_), Some((class, yield_mpa)), false) =
        (&joint.thread, &joint.strength, joint.class_open)
    else {
        return Ok(None);
    };
    let keys = match case.brief().part.form {
        // without a form it may be one with a socket
        Some(Form::SocketCapScrew) | None => &CAP_KEYS,
        Some(Form::ButtonHeadScrew | Form::CountersunkScrew) => &LOW_HEAD_KEYS,
        _ => return Ok(None),
    };
    let diameter_mm = joint.thread.diameter_mm();
    let key = keys.iter().find(|(diameter, _)| *diameter == diameter_mm).map(|(_, key)| *key);
    let proof = |key: f64| KEY_TORQUE_NM.iter().find(|(size, _)| *size == key).map(|(_, torque)| *torque);
    let Some((key, most_nm)) = key.and_then(|key| Some((key, proof(key)?))) else { return Ok(None) };
    let (_, torque_nm) = joint.assembly(friction.lowest, *yield_mpa)?;
    let beyond = torque_nm > most_nm;
    Ok(beyond.then(|| {
            finding(
                FindingKind::Warns,
                "torque.drive",
                format!(
                    "The {key} mm key of a socket head is proved at about {most_nm} N·m, and this friction asks for {torque_nm:.0} N·m ({} \
                     {class}): key or socket gives way under the hand.",
                    joint.thread
                ),
                KEYS,
            )
            .remedy(
                "Tighten no socket screw to that torque: order a lubricated sealer or wax over the coating, and set the \
                 torque with it.",
            )
    }))
}

/// Whether the film is a thin coat with its lubricant in it, as its friction of class B or lower says.
pub(crate) fn is_made_for_fasteners(film: &Film) -> bool {
    film.kind == FilmKind::Paint && film.friction.high <= 0.16
}

/// Whether oil or wax lies outermost, or a lubricant is part of the coating.
fn is_lubricated(case: &Case) -> bool {
    match tightened_film(case) {
        Some(film) => matches!(film.kind, FilmKind::Oil | FilmKind::Wax) || is_made_for_fasteners(film),
        None => case.treatment.kind == TreatmentKind::ZincFlake,
    }
}

/// A set screw or pin of a metal that galls: nothing is tightened to a preload, but it seizes even so.
fn seizing(case: &Case, found: &mut Vec<Finding>) {
    let what = match case.brief().part.form {
        Some(Form::SetScrew) => "A set screw",
        Some(Form::Pin) => "A pin",
        _ => return,
    };
    if galls(case.metal.family) && !is_lubricated(case) {
        found.push(
            finding(
                FindingKind::Warns,
                "torque.galling",
                format!("{what} of dry {} can seize in its thread or bore.", case.metal.family),
                GALLING,
            )
            .remedy("Lubricate it with anti-seize paste, and fit it by hand or slowly."),
        );
    }
}

/// A thread that is tightened without the finish: no friction is known before what is applied to it is.
fn masked(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let gall = if galls(case.metal.family) {
        format!(" Bare {} threads can gall and seize.", case.metal.family)
    } else {
        String::new()
    };
    let message = format!(
        "Friction and torque are open: the thread is masked, so the friction of the coat is not that of the thread.{gall}"
    );
    let set = "set them with what is applied to the masked thread (ISO 16047)";
    let (step, remedy) = if case.brief().part.safety_critical {
        (Step::Hold, format!("Hold the lot until who is responsible for the joint has done so: {set}"))
    } else {
        (Step::NewTorque, format!("Use no torque of the tables: {set}"))
    };
    let unmasked = tolerance_without_mask(case)?.map_or_else(String::new, |tolerance| {
        format!("; or order the thread to {tolerance}, which has space for the coat (`part.tolerance`)")
    });
    found.push(
        finding(FindingKind::Needs, "torque.masked", message, MASKED)
            .step(step)
            .remedy(format!("{remedy}{unmasked}.")),
    );
    Ok(())
}

/// A screw or nut of which no thread is stated: no torque can be worked out, which is the graver the farther its friction
/// lies from that of the usual tables. On a part on which life depends it blocks what would block on a thread of usual size.
fn without_thread(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let part = &case.brief().part;
    if !is_tightened(part) {
        return Ok(());
    }
    let usual_thread: Thread = USUAL_THREAD.parse()?;
    let mut of_usual_size = Vec::new();
    if part.safety_critical {
        with_thread(case, usual_thread, &mut of_usual_size)?;
    }
    let blocked = of_usual_size.into_iter().find(|finding| finding.kind == FindingKind::Blocks);
    let (friction, _) = friction_of(case);
    let usual = present_friction(part).unwrap_or(TABLE_FRICTION);
    let as_usual = friction.lowest >= usual.lowest
        && friction.highest.is_some_and(|high| usual.highest.is_none_or(|most| high <= most));
    let dry = galls(case.metal.family) && !is_lubricated(case);
    let kind = match &blocked {
        Some(_) => FindingKind::Blocks,
        None if as_usual && !dry => FindingKind::Notes,
        None => FindingKind::Warns,
    };
    let as_of_usual_size =
        blocked.map_or_else(String::new, |finding| format!(" As of {USUAL_THREAD}: {}", finding.message));
    let up = friction.highest.map_or_else(|| " or more".to_owned(), |high| format!(" to {high:.2}"));
    let gall = if galls(case.metal.family) { ", and its threads can gall" } else { "" };
    found.push(
        finding(
            kind,
            "torque.asked",
            format!(
                "Friction {:.2}{up}{gall}: without a thread no torque is judged.{as_of_usual_size}",
                friction.lowest
            ),
            FORMULA,
        )
        .remedy("Enter `part.thread`, or set the torque by a test of the joint (ISO 16047)."),
    );
    Ok(())
}

/// Yield strength of the build over that of the metal that the joint was designed for, at most 1: a stronger metal
/// does not ask for more preload. None where one of the two is not known.
fn yield_ratio(case: &Case, joint: &Joint) -> Option<f64> {
    let part = &case.brief().part;
    let same = part.property_class.is_none() && part.is_at_hand_in(&case.build.base_metal);
    if same && !matches!(after_weld(case), AfterWeld::Annealed(_)) {
        return Some(1.0);
    }
    let (_, own) = joint.strength.as_ref()?;
    Some((own / stated_yield_mpa(case)?).min(1.0))
}

/// The yardstick: the finish before, or the usual tables.
struct Before {
    friction: FrictionRange,
    words: String,
    named: bool,
}

fn word(
    case: &Case,
    joint: &Joint,
    friction: FrictionRange,
    (source, beyond_key): (Source, bool),
    found: &mut Vec<Finding>,
) -> Result<()> {
    let part = &case.brief().part;
    let before = match present_friction(part) {
        Some(friction) => {
            Before { friction, words: format!("the present {}", part.present_finish.words()), named: true }
        }
        None => Before {
            friction: TABLE_FRICTION,
            words: "usual torque tables (nominal friction 0.12)".to_owned(),
            named: false,
        },
    };
    let change = preload_change(&joint.thread, joint.bearing_mm, before.friction, friction)?;
    let span = match friction.highest {
        Some(high) => format!("Friction {:.2} to {high:.2}", friction.lowest),
        None => format!("Friction {:.2} or more, without a known limit", friction.lowest),
    };
    let scatter = match joint.scatter(friction)? {
        Some(factor) => format!("{span}: preload varies by a factor of {factor:.1} at the same torque"),
        None => format!("{span}: preload can fall to nearly nothing at the same torque"),
    };
    let ratio = yield_ratio(case, joint);
    let dry = galls(case.metal.family) && !is_lubricated(case);
    let higher_torque_forbidden = dry || galls(case.metal.family) && change.torque_factor > 1.0;
    let torque_factor = ratio.map(|ratio| change.torque_factor * ratio);
    // what the key does not carry is no torque to print
    let own_torque = if beyond_key { None } else { joint.assembly_in_words(friction, 1.0)? };
    let asked = !higher_torque_forbidden && asks_for_new_torque(torque_factor, &before, friction);
    let set_anew = asked || joint.unknown && !higher_torque_forbidden;
    let told_ratio = ratio.filter(|_| !joint.unknown);
    if joint.nut {
        found.push(
            finding(
                FindingKind::Notes,
                "torque.nut",
                "The screw in the nut sets the tightening torque; a weaker screw needs less.",
                NUT,
            )
            .remedy("State the class of the screw in the assembly instructions, and use its torque."),
        );
    }
    if higher_torque_forbidden {
        galling(case, dry, &span, found);
    } else if set_anew {
        let first_new = found.len();
        new_torque(case, joint, &before, &change, (friction, &span), (told_ratio, own_torque), found)?;
        if let (true, Some(asked)) = (beyond_key, found.get_mut(first_new)) {
            *asked = asked.clone().remedy(LUBRICATE_FIRST);
        }
    } else {
        let dry = dry_alone(friction);
        let torque = own_torque.map_or_else(String::new, |torque| format!("Tighten to {torque}.{dry} "));
        let tables =
            if before.named { String::new() } else { format!("; {} assume 0.08 to 0.16", before.words) };
        found.push(finding(
            FindingKind::Notes,
            "torque.friction",
            format!("{torque}{scatter}{tables}."),
            if before.named { source.clone() } else { TABLES },
        ));
    }
    if galls(case.metal.family) && locks(part) && !higher_torque_forbidden {
        found.push(
            finding(
                FindingKind::Warns,
                "torque.galling",
                format!(
                    "The locking feature wipes oil, wax or coating off {} threads in the first turns: they can gall and \
                     seize.",
                    case.metal.family
                ),
                GALLING,
            )
            .remedy(
                "Put anti-seize paste on the thread as well, set the torque with it, and turn slowly by hand, not by impact.",
            ),
        );
    }
    let raised = torque_factor.filter(|_| !higher_torque_forbidden);
    let of_the_tables = if before.named { None } else { least_of_own_torque(case, joint, friction)? };
    // of a class that is open no torque is told, and the preload of none
    if !joint.class_open || higher_torque_forbidden {
        least_preload(case, &before, &change, (asked, raised, of_the_tables), found);
    }
    found.extend(prevailing(case, joint));
    let wide = joint.scatter(friction)?.is_none_or(|factor| factor >= WIDE_SCATTER);
    if wide && friction.highest.is_none_or(|high| high > 0.3) {
        found.push(
            finding(FindingKind::Warns, "torque.scatter", format!("{scatter}."), source).remedy(
                "Order a film with a friction class, or agree a lubricant in the order and set the torque with it; use no \
                 lubricant at assembly that is not on the order.",
            ),
        );
    }
    Ok(())
}

/// Whether a torque other than the present one, or that of the tables, has to be set. Against the tables a torque is told
/// that is too high, or too low at any friction of the finish: no torque of before is known that could be raised.
fn asks_for_new_torque(torque_factor: Option<f64>, before: &Before, friction: FrictionRange) -> bool {
    let beyond_tables = before.friction.highest.is_some_and(|high| friction.lowest > high);
    torque_factor.is_none_or(|factor| {
        if before.named {
            (factor - 1.0).abs() > TORQUE_TOLERANCE
        } else {
            factor < 1.0 - TORQUE_TOLERANCE || beyond_tables
        }
    })
}

fn galling(case: &Case, dry: bool, span: &str, found: &mut Vec<Finding>) {
    let family = case.metal.family;
    let state = if dry { "Dry" } else { "Oiled" };
    found.push(
        finding(
            FindingKind::Warns,
            "torque.galling",
            format!("{state} {family} threads can gall and seize. {span}: a higher torque tears the screw."),
            GALLING,
        )
        .remedy(
            "Use no torque of the tables and raise none. Lubricate the threads with anti-seize paste or wax, turn slowly, and \
             set the torque on the lubricated joint (ISO 16047).",
        ),
    );
}

fn new_torque(
    case: &Case,
    joint: &Joint,
    before: &Before,
    change: &PreloadChange,
    (friction, span): (FrictionRange, &str),
    (ratio, own_torque): (Option<f64>, Option<String>),
    found: &mut Vec<Finding>,
) -> Result<()> {
    let (low, high) = (before.friction.lowest, before.friction.highest.unwrap_or(1.0));
    let own_yield_mpa = joint.strength.as_ref().map(|(_, own)| *own);
    // the tables set their torque for one friction, whatever it is in practice
    let set_for = if before.named { low } else { TABLE_SET_FOR };
    let share_of_yield = match stated_yield_mpa(case).or(own_yield_mpa) {
        Some(old_yield_mpa) => joint
            .utilization_at_old_torque(old_yield_mpa, set_for, friction.lowest)?
            .filter(|utilization| *utilization > 1.0),
        None => None,
    };
    let yielding = share_of_yield.map_or_else(String::new, |u| {
        let set = if before.named {
            format!(", where that torque was set to 90% at friction {low:.2}")
        } else {
            String::new()
        };
        format!(" ({:.0}% of the yield strength, torsion included{set})", u * 100.0)
    });
    let least = change
        .least_preload_ratio
        .filter(|least| (least - 1.0).abs() >= 0.005)
        .map_or_else(String::new, |least| format!(", the lowest {least:.2} times"));
    let at = format!("At the torque of {}", before.words);
    let weaker = match ratio {
        Some(ratio) if ratio < 1.0 => {
            format!(" The yield strength is {ratio:.2} times that of the metal asked for.")
        }
        Some(_) => String::new(),
        None if joint.class_open => " The class, and with it the strength, is open.".to_owned(),
        None => " Its strength against the metal asked for is not known.".to_owned(),
    };
    let remedy = match (ratio, before.named) {
        (Some(ratio), true) => {
            let factor = change.torque_factor * ratio;
            let least = change
                .least_preload_ratio
                .map_or_else(String::new, |least| format!(", the lowest {:.2} times", least * factor));
            let unknown = own_torque.as_deref().map_or_else(
                || "set the torque by a test of the joint (ISO 16047)",
                |_| "scale nothing: set the torque on the real joint (ISO 16047), not above that limit",
            );
            let dry = if factor > 1.0 { dry_alone(friction) } else { "" };
            let torque = own_torque.map_or_else(String::new, |torque| format!("; at most {torque}"));
            let highest = match ratio {
                same if (same - 1.0).abs() < 0.005 => "no higher than the present".to_owned(),
                other => format!("{other:.2} times the present"),
            };
            format!(
                "Use {:.0}% of the present torque{torque}. The highest preload is then {highest}{least}. Where the present \
                 finish has a sealer or lubricant, or its friction is not known to be {low:.2} to {high:.2}, {unknown}. \
                 Confirm it on the real joint.{dry}",
                100.0 * factor
            )
        }
        (Some(_), false) => match own_torque {
            Some(torque) => {
                let dry = dry_alone(friction);
                format!(
                    "Do not use the torque of the tables. Tighten to {torque}, and confirm it on the real joint.{dry}"
                )
            }
            None => {
                "Do not use the torque of the tables: set it by a test of the joint (ISO 16047).".to_owned()
            }
        },
        (None, _) if joint.class_open => {
            "Enter `part.property_class`: the torque goes by it. Until then use no torque, that of the tables neither."
                .to_owned()
        }
        (None, _) => "Do not carry a torque over: set it by a test of the joint (ISO 16047).".to_owned(),
    };
    // the friction that the tables have: what overloads the screw is its strength alone
    let by_strength = !before.named && (change.greatest_preload_ratio - 1.0).abs() < 0.005;
    let message = match share_of_yield {
        Some(share) if by_strength => format!(
            "{at} for the metal asked for, the preload reaches {:.0}% of the yield strength, torsion included.{weaker}",
            100.0 * share
        ),
        _ => format!(
            "{at} the highest preload is {:.2} times as high{yielding}{least}: {} instead of {low:.2} to {high:.2}.{weaker}",
            change.greatest_preload_ratio,
            span.replacen('F', "f", 1)
        ),
    };
    found.push(
        finding(FindingKind::Needs, "torque.new_torque", message, FORMULA)
            .step(Step::NewTorque)
            .remedy(remedy),
    );
    Ok(())
}

/// The lower end: whether the joint keeps the clamp of before at the torque that is set, the one asked for where one is;
/// `raised` is how much higher a torque may be set.
fn least_preload(
    case: &Case,
    before: &Before,
    change: &PreloadChange,
    (asked, raised, own): (bool, Option<f64>, Option<f64>),
    found: &mut Vec<Finding>,
) {
    let at = |factor: f64| change.least_preload_ratio.map_or(0.0, |least| least * factor);
    let own = own.filter(|_| raised.is_some());
    let best = own.unwrap_or_else(|| at(raised.unwrap_or(1.0)));
    // where none is called for, the torque of before serves as long as it holds the joint
    let of_own_torque = asked || at(1.0) < LEAST_PRELOAD && own.is_some();
    let least = if of_own_torque { best } else { at(1.0) };
    let enough = if of_own_torque && own.is_some() { LEAST_OF_OWN_TORQUE } else { LEAST_PRELOAD };
    if least >= enough {
        return;
    }
    let hopeless = best < enough;
    let blocks = case.brief().part.safety_critical && hopeless;
    let kind = if blocks { FindingKind::Blocks } else { FindingKind::Warns };
    let falls = if least > 0.0 {
        format!("is {:.0}% of", 100.0 * least)
    } else {
        "can be nearly nothing, against".to_owned()
    };
    found.push(
        finding(
            kind,
            "torque.least_preload",
            format!("The lowest preload {falls} that of {}: the joint can slip or loosen.", before.words),
            LEAST,
        )
        .remedy(
            "Order a lubricated finish with a narrower friction range, or tighten by torque and angle and verify \
             the clamp load on the real joint.",
        ),
    );
}

/// Whether the part locks itself by friction in its thread.
fn locks(part: &Part) -> bool {
    part.form == Some(Form::LockNut) || part.has_polymer_insert()
}

/// What is said of a torque that passes the yield of a thread lubricated in spite of it: at 0.08 the preload of a torque for
/// 0.10 is a tenth higher (assumption: lubricated threads have 0.08).
fn dry_alone(friction: FrictionRange) -> &'static str {
    if friction.lowest > 0.10 {
        " Threads and faces dry, as delivered: with oil, wax or paste this torque tears the screw."
    } else {
        ""
    }
}

/// Lowest preload at the torque of the finish itself over the lowest at the torque of the tables, in the joint that they are
/// for; none where strength or friction has no limit.
fn least_of_own_torque(case: &Case, joint: &Joint, friction: FrictionRange) -> Result<Option<f64>> {
    let (Some((_, own_mpa)), Some(highest), Some(of_tables)) =
        (&joint.strength, friction.highest, TABLE_FRICTION.highest)
    else {
        return Ok(None);
    };
    let least = |torque_nm: f64, friction: f64| {
        preload_from_torque_kn(torque_nm, &joint.thread, friction, friction, joint.bearing_mm)
    };
    let (_, own_nm) = joint.assembly(friction.lowest, *own_mpa)?;
    let (_, tables_nm) = joint.assembly(TABLE_SET_FOR, stated_yield_mpa(case).unwrap_or(*own_mpa))?;
    Ok(Some(least(own_nm, highest)? / least(tables_nm, of_tables)?))
}

/// What a self-locking feature takes of the torque; the torques above are without it.
fn prevailing(case: &Case, joint: &Joint) -> Option<Finding> {
    if !locks(&case.brief().part) {
        return None;
    }
    let high_strength = joint.strength.as_ref().is_some_and(|(_, yield_mpa)| *yield_mpa >= HIGH_STRENGTH_MPA);
    let thread = &joint.thread;
    let message = match prevailing_torque_max_nm(thread, high_strength) {
        Some(most_nm) => format!(
            "The locking feature uses up to {most_nm} N·m at the first assembly ({thread}), which adds no preload"
        ),
        None => "The locking feature uses part of the torque, which adds no preload".to_owned(),
    };
    let remedy =
        "Measure it on the first joints and add it to the tightening torque; use a new nut at each assembly.";
    Some(finding(FindingKind::Notes, "torque.prevailing", message, PREVAILING_TORQUE).remedy(remedy))
}

/// Desirability of the friction, 0 to 1: 1 up to 0.16, 0.85 up to 0.24, 0.6 above (steps are an assumption); 1
/// where nothing is tightened: no thread, or a bracket, pin, washer, set screw or other part.
///
/// The highest friction is that of the outermost film, on stainless steel, titanium and aluminum 0.35 for oil and 0.24 for wax; without
/// a film the treatment's own, else without limit on those metals, 0.35 on black, 0.24 on bright steel.
///
/// # Errors
/// A property class without values for the thread.
pub fn friction_desirability(case: &Case) -> Result<f64> {
    if tightened_thread(case).is_none() {
        return Ok(1.0);
    }
    Ok(match friction_of(case).0.highest {
        Some(high) if high <= 0.16 => 1.0,
        Some(high) if high <= 0.24 => 0.85,
        _ => 0.6,
    })
}
