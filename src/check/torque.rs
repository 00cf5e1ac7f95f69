//! Friction and preload of the outermost film against the finish used before.

use crate::Result;
use crate::brief::{Form, PresentFinish};
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::fastener::prevailing_torque::PREVAILING_TORQUE;
use crate::fastener::{
    FrictionRange, Thread, TorsionModel, assembly_preload_kn, mean_bearing_diameter, preload_change,
    preload_from_torque_kn, prevailing_torque_max_nm, strength_utilisation, tightening_torque_nm,
};
use crate::finish::FilmKind;
use crate::metal::PropertyClass;
use crate::quantity::{Range, SourceKey};
use crate::source::Source;

const CLASSES: Source = Source::standard("VDI 2230, friction classes A to E, by reprints");
const DRY_BLACK: Source = Source::assumption(
    "dry black oxide is in none of the friction classes of VDI 2230: taken as class C to D",
);
const FORMULA: Source = Source::handbook(
    "VDI 2230 (2001/2003) form, 90 % of yield, fully plastic torsion; tables of the 1986 edition lie about 8 % \
     lower",
);
/// Utilisation of the yield strength at assembly (VDI 2230).
const UTILISATION: f64 = 0.9;
/// Change of the tightening torque from which a new one is asked for (assumption: within the scatter of torque
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

/// Friction of threads and bearing faces with the finish of the case.
fn friction_of<'a>(case: &Case<'a>) -> (FrictionRange, FrictionSource<'a>) {
    let stainless = case.metal.family.is_stainless();
    let of_the_catalog = |own: &'a Range| (range(own.low, own.high), FrictionSource::Catalog(&own.source));
    if let (Some(own), true) = (&case.treatment.friction, case.films.is_empty()) {
        return of_the_catalog(own);
    }
    let (friction, rule) = match case.films.last() {
        Some((_, film)) if stainless && film.kind == FilmKind::Oil => (range(0.20, 0.35), CLASSES),
        Some((_, film)) if stainless && film.kind == FilmKind::Wax => (range(0.08, 0.24), CLASSES),
        Some((_, film)) => return of_the_catalog(&film.friction),
        None if stainless => (FrictionRange { lowest: 0.30, highest: None }, CLASSES),
        None if case.treatment.black => (range(0.14, 0.35), DRY_BLACK),
        None => (range(0.14, 0.24), CLASSES),
    };
    (friction, FrictionSource::Rule(rule))
}

/// Friction with the finish used before.
fn present_friction(present: PresentFinish) -> FrictionRange {
    match present {
        PresentFinish::None | PresentFinish::Phosphate => range(0.14, 0.24),
        PresentFinish::ZincPlate | PresentFinish::NickelPlate | PresentFinish::ChromiumPlate => {
            range(0.14, 0.35)
        }
        PresentFinish::HotDipZinc => range(0.20, 0.35),
        PresentFinish::CadmiumPlate | PresentFinish::BlackOxide => range(0.08, 0.16),
        PresentFinish::Paint => range(0.14, 0.35),
    }
}

/// A tightened joint.
struct Joint {
    thread: Thread,
    bearing_mm: f64,
    /// Property class and its yield strength, where the grade has one.
    strength: Option<(PropertyClass, f64)>,
}

impl Joint {
    /// The joint of a case; none where nothing is tightened.
    fn of(case: &Case) -> Result<Option<Self>> {
        let fastener = !matches!(
            case.brief().part.form,
            Some(Form::Bracket | Form::Pin | Form::Other | Form::PlainWasher | Form::SetScrew)
        );
        let Some(thread) = case.inquiry.thread().map(|t| t.thread).filter(|_| fastener) else {
            return Ok(None);
        };
        let class = case.metal.property_class.as_deref().and_then(PropertyClass::named);
        let strength = match class {
            Some(class) => {
                Some((class, class.mechanical(Some(thread.diameter_mm()))?.yield_strength_min_mpa))
            }
            None => None,
        };
        let bearing_mm = mean_bearing_diameter(&thread).bearing_diameter_mm;
        Ok(Some(Self { thread, bearing_mm, strength }))
    }

    /// Preload (kN) and torque (Nm) at 90 % of yield and the lowest friction.
    fn assembly(&self, friction: f64) -> Result<Option<(f64, f64)>> {
        let Some((_, yield_mpa)) = self.strength else { return Ok(None) };
        let model = TorsionModel::FullyPlastic;
        let preload_kn = assembly_preload_kn(&self.thread, yield_mpa, friction, UTILISATION, model)?;
        let torque_nm = tightening_torque_nm(preload_kn, &self.thread, friction, friction, self.bearing_mm)?;
        Ok(Some((preload_kn, torque_nm)))
    }

    /// ` (24.6 Nm for 18.6 kN in M8 8.8 at 90 % of yield and friction 0.12)`, where the grade says enough.
    fn assembly_in_words(&self, friction: f64) -> Result<String> {
        let (Some((preload_kn, torque_nm)), Some((class, _))) = (self.assembly(friction)?, self.strength)
        else {
            return Ok(String::new());
        };
        let thread = &self.thread;
        Ok(format!(
            " ({torque_nm:.1} Nm for {preload_kn:.1} kN in {thread} {class} at 90 % of yield and friction \
             {friction:.2})"
        ))
    }

    /// Greatest over least preload of one finish at one torque; none where the friction has no upper end.
    fn scatter(&self, friction: FrictionRange) -> Result<Option<f64>> {
        let Some(highest) = friction.highest else { return Ok(None) };
        let (low, high) = (range(friction.lowest, friction.lowest), range(highest, highest));
        Ok(Some(preload_change(&self.thread, self.bearing_mm, high, low)?.greatest_preload_ratio))
    }

    /// Share of the yield strength, torsion included, when the torque that suited the friction before is kept.
    fn utilisation_at_old_torque(&self, before: f64, now: f64) -> Result<Option<f64>> {
        let (Some((_, torque_nm)), Some((_, yield_mpa))) = (self.assembly(before)?, self.strength) else {
            return Ok(None);
        };
        let preload_kn = preload_from_torque_kn(torque_nm, &self.thread, now, now, self.bearing_mm)?;
        let model = TorsionModel::FullyPlastic;
        strength_utilisation(preload_kn, &self.thread, yield_mpa, now, model).map(Some)
    }
}

/// What the findings depend on and the builds of a brief differ in.
#[derive(Debug, PartialEq)]
pub(super) struct Differs {
    strength: Option<(PropertyClass, f64)>,
    stainless: bool,
    friction: FrictionRange,
    source: Source,
}

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let Some(joint) = Joint::of(case)? else { return Ok(()) };
    let (friction, source) = friction_of(case);
    let source = match source {
        FrictionSource::Catalog(key) => case.catalog().source(key),
        FrictionSource::Rule(rule) => rule,
    };
    let differs = Differs {
        strength: joint.strength,
        stainless: case.metal.family.is_stainless(),
        friction,
        source: source.clone(),
    };
    case.inquiry.of_torque.add(found, differs, |found| word(case, &joint, friction, source, found))
}

fn word(
    case: &Case,
    joint: &Joint,
    friction: FrictionRange,
    source: Source,
    found: &mut Vec<Finding>,
) -> Result<()> {
    let before = present_friction(case.brief().part.present_finish);
    let change = preload_change(&joint.thread, joint.bearing_mm, before, friction)?;
    let span = match friction.highest {
        Some(high) => format!("friction {:.2} to {high:.2}", friction.lowest),
        None => format!("friction {:.2} or more", friction.lowest),
    };
    let scatter = match joint.scatter(friction)? {
        Some(factor) => format!("{span}, so the preload scatters by a factor of {factor:.1} at one torque"),
        None => format!("{span}, so the preload scatters without a known limit"),
    };
    let assembly = joint.assembly_in_words(friction.lowest)?;
    if (change.torque_factor - 1.0).abs() > TORQUE_TOLERANCE {
        let yielding = joint
            .utilisation_at_old_torque(before.lowest, friction.lowest)?
            .filter(|utilisation| *utilisation > 1.0)
            .map_or_else(String::new, |u| format!(", {:.0} % of the yield strength with torsion", u * 100.0));
        found.push(
            finding(
                FindingKind::Needs,
                "torque.new_torque",
                format!(
                    "{span}, before with {} {:.2} to {:.2}: at the same torque the greatest preload becomes {:.2} \
                     times that of before{yielding}",
                    case.brief().part.present_finish.words(),
                    before.lowest,
                    before.highest.unwrap_or(1.0),
                    change.greatest_preload_ratio
                ),
                FORMULA,
            )
            .step(Step::NewTorque)
            .remedy(format!(
                "Tighten with {:.2} times the torque of before{assembly}; confirm on the real joint.",
                change.torque_factor
            )),
        );
    } else {
        found.push(finding(
            FindingKind::Notes,
            "torque.friction",
            format!("{scatter}{assembly}"),
            source.clone(),
        ));
    }
    found.extend(prevailing(case, joint));
    if friction.highest.is_none_or(|high| high > 0.3) {
        found.push(
            finding(FindingKind::Warns, "torque.scatter", format!("{scatter}{}", galling(case)), source)
                .remedy("Oil or wax the threads, or take a film with a friction class."),
        );
    }
    Ok(())
}

/// What a self-locking feature takes of the torque; the torques above are without it.
fn prevailing(case: &Case, joint: &Joint) -> Option<Finding> {
    let part = &case.brief().part;
    if part.form != Some(Form::LockNut) && !part.polymer_insert {
        return None;
    }
    let high_strength =
        matches!(joint.strength, Some((PropertyClass::Class10_9 | PropertyClass::Class12_9, _)));
    let thread = &joint.thread;
    let message = match prevailing_torque_max_nm(thread, high_strength) {
        Some(most_nm) => format!(
            "the locking feature takes up to {most_nm} Nm by itself at the first assembly ({thread}), which stretches \
             nothing"
        ),
        None => "the locking feature takes a torque of its own, which stretches nothing".to_owned(),
    };
    let remedy = "Measure it on the first joints and add it to the tightening torque; take a new nut at each assembly.";
    Some(finding(FindingKind::Notes, "torque.prevailing", message, PREVAILING_TORQUE).remedy(remedy))
}

fn galling(case: &Case) -> &'static str {
    if case.metal.family.is_stainless() { "; dry stainless threads may seize" } else { "" }
}

/// Desirability of the friction, 0 to 1: 1 up to 0.16, 0.85 up to 0.24, 0.6 above (steps are an assumption); 1
/// where nothing is tightened: no thread, or a bracket, pin, washer, set screw or other part.
///
/// The greatest friction is that of the outermost film, on stainless steel 0.35 for oil and 0.24 for wax; without
/// a film the treatment's own, else without limit on stainless steel, 0.35 on black, 0.24 on bright steel.
///
/// # Errors
/// A property class without values for the thread.
pub fn friction_desirability(case: &Case) -> Result<f64> {
    if Joint::of(case)?.is_none() {
        return Ok(1.0);
    }
    Ok(match friction_of(case).0.highest {
        Some(high) if high <= 0.16 => 1.0,
        Some(high) if high <= 0.24 => 0.85,
        _ => 0.6,
    })
}
