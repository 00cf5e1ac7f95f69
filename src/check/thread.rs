//! Thread allowance and the thickness of the films in it.

use crate::Result;
use crate::brief::written::number;
use crate::brief::{Condition, Form, Part, PresentFinish};
use crate::catalog::ResolvedBuild;
use crate::check::preparation::{renews_zinc, zinc_that_stays};
use crate::check::torque::is_made_for_fasteners;
use crate::check::{
    Case, Finding, FindingKind, Inquiry, Step, acid_is_forbidden, acid_is_watched, finding, is_head_only,
    masked_thread,
};
use crate::evidence::Source;
use crate::fastener::{
    CoatingRoom, MetricThread, Thread, Tolerance, coating_room, pitch_diameter_growth_um, tolerance_that_fits,
};
use crate::finish::{Film, TreatmentKind};
use crate::life::{outlook, years, years_of_places};

const FOUR_TIMES: Source = Source::standard(
    "ISO 4042:1999, guidance table: on 60° flanks a coating adds four times its thickness to the pitch diameter",
);
const PHOSPHATE: Source = Source::common_practice(
    "MIL-DTL-16232G asks for an allowance for the build-up of phosphate on close fits",
);
const HOT_DIP: Source = Source::from_memory(
    "ISO 10684 with ISO 965-4 and ISO 965-5: 6az screws and 6AZ or 6AX nuts go with zinc of 40 µm and more on the screw",
);
const DIPPED: Source = Source::common_practice(
    "ASTM F3393, scope (read): zinc flake on metric threads from 6 mm; platers: finer threads and small recesses clog",
);
const BY_AGREEMENT: Source = Source::from_memory(
    "zinc flake on threads without the allowance for it, inch screws and nuts: the pitch diameter is made undersize (inside: \
     oversize) by agreement, and the coated thread passes the GO gauge of the basic profile",
);
/// Smallest thread that is dipped and spun without a trial.
pub(crate) const SMALLEST_DIPPED_MM: f64 = 6.0;
const NO_SIZE: Source = Source::common_practice(
    "black oxide grows into the metal as much as out of it: no size change that a thread gauge shows; oil and \
     wax are displaced when the nut is run on",
);

const MASKED: Source = Source::assumption(
    "a masked thread is judged by the layers that it keeps, in the exposure of the part: a screw that fills it and oil \
     applied afterwards are not counted",
);
const HEAD_ONLY: Source = Source::assumption(
    "a screw that is coated on head and shank alone is judged by its thread, with the oil that it gets after the masks, in \
     the exposure of the part: a joint that seals it is not counted",
);

/// Zinc plating that a present thread is taken to carry, µm.
const PRESENT_ZINC_UM: (f64, f64) = (5.0, 8.0);
const PRESENT_ZINC: Source = Source::assumption(
    "zinc plating on threads has 5 to 8 µm, the usual classes of ISO 4042 and ASTM F1941; coatings on it add up, four times \
     their sum on the pitch diameter",
);

/// What the thread says of the films.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Room {
    /// No thread, or nothing that fills it.
    Free,
    /// It fits, with the share of the room used.
    Fits(f64),
    /// It fits if the thread is cut to another tolerance before finishing.
    OtherTolerance(Tolerance),
    /// It fits another tolerance if the layers are limited to so many µm, no thinner than they are counted on here.
    Limited(Tolerance, f64),
    /// It fits a pitch diameter that is so many µm further from the basic one than the tolerance has it, by agreement.
    ByAgreement(Tolerance, f64),
    /// It does not fit any tolerance, but the part is not a fastener: mask the thread.
    Mask,
    /// It does not fit any tolerance, but can stay on head and shank: mask the thread, then oil it.
    HeadOnly,
    /// It does not fit.
    None,
}

/// Tolerance of the part: its own, else the usual one, 6g outside and 6H inside, 2A and 2B for inch; a bracket is tapped.
pub(crate) fn tolerance_of(part: &Part, thread: &Thread) -> Result<Tolerance> {
    let inside = part.form.is_some_and(|form| form.is_nut() || form == Form::Bracket);
    let usual = match (thread, inside) {
        (Thread::Metric(_), false) => "6g",
        (Thread::Metric(_), true) => "6H",
        (Thread::Inch(_), false) => "2A",
        (Thread::Inch(_), true) => "2B",
    };
    part.tolerance.as_deref().unwrap_or(usual).parse().map_err(|e: crate::Error| e.within("part"))
}

/// Whether the treatment adds to the thread: a plating that is there already has its allowance.
fn builds_up(case: &Case) -> bool {
    case.treatment.builds_up && !renews_zinc(case)
}

/// Maximum thickness of the layers in the thread, µm.
fn filling_um(case: &Case) -> f64 {
    let plating = if builds_up(case) { case.treatment.thickness_um.high } else { 0.0 };
    let films = case.films.iter().filter(|(_, film)| film.fills_threads);
    present_zinc_um(case).1 + plating + films.map(|(_, film)| film.thickness_um.high).sum::<f64>()
}

/// Minimum thickness of the layers in the thread, µm.
fn least_filling_um(case: &Case) -> f64 {
    let plating = if builds_up(case) { case.treatment.thickness_um.low } else { 0.0 };
    let films = case.films.iter().filter(|(_, film)| film.fills_threads);
    present_zinc_um(case).0 + plating + films.map(|(_, film)| film.thickness_um.low).sum::<f64>()
}

/// What present zinc plating takes of the room beneath a film that fills the thread; galvanized threads are cut for their
/// zinc.
fn present_zinc_um(case: &Case) -> (f64, f64) {
    let filled = case.films.iter().any(|(_, film)| film.fills_threads);
    match zinc_that_stays(case) {
        Some(PresentFinish::ZincPlate) if filled => PRESENT_ZINC_UM,
        _ => (0.0, 0.0),
    }
}

fn is_fastener(form: Option<Form>) -> bool {
    !matches!(form, Some(Form::Bracket | Form::Pin | Form::Other))
}

/// The thread that a part is named by, with its tolerance and the room in it: read once, the same for all builds
/// of a brief.
///
/// ```
/// use overcoat::{brief::Brief, check::PartThread};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1", "name": "screws",
///     "part": {"form": "socket_cap_screw", "thread": "M8", "tolerance": "6g"}, "duty": {"required_years": 5}
/// }"#)?;
/// let thread = PartThread::of(&brief.part)?.unwrap();
/// // ISO 965-1: the deviation g of the M8 coarse pitch is 28 µm, a quarter of which is the maximum film thickness
/// assert_eq!(thread.room().unwrap().max_local_thickness_um, 7.0);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct PartThread {
    pub(super) thread: Thread,
    /// None on a washer, which is named by the thread that it goes with and has none itself.
    room: Option<(Tolerance, CoatingRoom)>,
}

const NO_THREAD: Source =
    Source::assumption("a screw or nut without a stated thread is judged as M8, like the mass of one piece");

/// The thread that a screw or nut is judged by where the brief states none.
pub(super) const USUAL_THREAD: &str = "M8";

/// What was taken for granted of the thread; none where it is stated, or the part needs none.
pub(super) fn assumed_thread(inquiry: &Inquiry) -> Option<String> {
    if let Some((tolerance, _)) = inquiry.usual_thread.as_ref().and_then(|thread| thread.room.as_ref()) {
        return Some(format!(
            "thread: not stated, its space for a coating is that of {USUAL_THREAD} {tolerance}; enter the thread"
        ));
    }
    let thread = inquiry.thread().filter(|_| inquiry.brief().part.tolerance.is_none())?;
    let (tolerance, _) = thread.room.as_ref()?;
    let form = inquiry.brief().part.form;
    let socket = matches!(
        form,
        Some(Form::SocketCapScrew | Form::ButtonHeadScrew | Form::CountersunkScrew | Form::SetScrew)
    );
    (socket && matches!(thread.thread, Thread::Inch(_))).then(|| {
        format!(
            "thread tolerance: not stated, taken as {tolerance}, although socket screws of inch thread are mostly made to 3A, \
             which has no space for a coating (ASME B18.3, from memory); enter it"
        )
    })
}

impl PartThread {
    /// The thread that a part is judged by, stated or usual; none where it has none, or one that a brief is rejected for.
    pub(crate) fn judged(part: &Part) -> Option<Self> {
        Self::of(part).ok()?.or_else(|| Self::usual(part).ok()?)
    }

    /// The thread of a part; none where it names none.
    ///
    /// # Errors
    /// A thread or tolerance designation that cannot be read; a length without a tolerance class.
    pub fn of(part: &Part) -> Result<Option<Self>> {
        part.thread_size()?.map(|thread| Self::with(part, thread, part.length_mm)).transpose()
    }

    /// A usual thread for a screw or nut of which the brief states none.
    pub(super) fn usual(part: &Part) -> Result<Option<Self>> {
        let threaded = part.form.is_some_and(|form| form.is_screw() || form.is_nut());
        if part.thread.is_some() || !threaded {
            return Ok(None);
        }
        let thread = USUAL_THREAD.parse()?;
        // a tolerance that this size does not have is remarked on by the brief
        Self::with(part, thread, None)
            .or_else(|_| Self::with(&Part { form: part.form, ..Part::default() }, thread, None))
            .map(Some)
    }

    fn with(part: &Part, thread: Thread, length_mm: Option<f64>) -> Result<Self> {
        let room = if part.form == Some(Form::PlainWasher) {
            None
        } else {
            let tolerance = tolerance_of(part, &thread)?;
            let room = coating_room(&thread, &tolerance, length_mm).map_err(|e| e.within("part"))?;
            Some((tolerance, room))
        };
        Ok(Self { thread, room })
    }

    /// The thread.
    pub fn thread(&self) -> Thread {
        self.thread
    }

    /// Thread allowance for layers; none on a washer.
    pub fn room(&self) -> Option<&CoatingRoom> {
        self.room.as_ref().map(|(_, room)| room)
    }
}

fn room<'a>(case: &Case<'a>) -> Result<(Room, Option<(&'a CoatingRoom, Tolerance)>)> {
    let Some((thread, (tolerance, available))) =
        case.inquiry.thread_or_usual().and_then(|t| Some((&t.thread, t.room.as_ref()?)))
    else {
        return Ok((Room::Free, None));
    };
    let filling = filling_um(case);
    let verdict = if filling == 0.0 {
        Room::Free
    } else if filling <= available.max_local_thickness_um {
        Room::Fits(filling / available.max_local_thickness_um)
    } else if !is_fastener(case.brief().part.form) {
        Room::Mask
    } else if tolerance.is_internal() {
        match nut_tolerance_that_fits(thread, filling)? {
            Some(other) => Room::OtherTolerance(other),
            None => by_agreement(case, thread, true)?,
        }
    } else {
        let own_um = available.max_local_thickness_um;
        match standard_room(thread, own_um, (least_filling_um(case), filling))? {
            Room::None if is_head_only(case) => Room::HeadOnly,
            Room::None => by_agreement(case, thread, false)?,
            standard => standard,
        }
    };
    Ok((verdict, Some((available, *tolerance))))
}

/// What an external thread has for layers of the least and the most filling, µm: its own space, a standard tolerance, or one
/// for the thinner half of the range.
pub(super) fn standard_room(thread: &Thread, own_um: f64, (least_um, most_um): (f64, f64)) -> Result<Room> {
    if most_um <= own_um {
        return Ok(Room::Fits(most_um / own_um));
    }
    match tolerance_that_fits(thread, most_um)? {
        Some(other) => Ok(Room::OtherTolerance(other)),
        None => limited(thread, (least_um, most_um)),
    }
}

/// Whether the thread is masked against the layers of a build.
pub(crate) fn is_masked(case: &Case) -> bool {
    matches!(room(case), Ok((Room::Mask, _)))
}

/// The tolerance to which the thread of a screw or stud needs no mask; none where it needs none as it is, where no tolerance
/// has the space, or of parts that exist.
pub(super) fn tolerance_without_mask(case: &Case) -> Result<Option<Tolerance>> {
    match room(case)? {
        (Room::Mask, Some((_, tolerance))) if !tolerance.is_internal() && !is_at_hand(case) => {
            let thread = case.inquiry.thread().map(|thread| thread.thread);
            thread.map_or(Ok(None), |thread| tolerance_that_fits(&thread, filling_um(case)))
        }
        _ => Ok(None),
    }
}

/// The tolerance that a finding orders the thread to be cut to; none where its own serves or none does.
pub(crate) fn tolerance_to_order(case: &Case) -> Result<Option<Tolerance>> {
    Ok(match room(case)?.0 {
        Room::OtherTolerance(other) | Room::Limited(other, _) | Room::ByAgreement(other, _) => Some(other),
        Room::Free | Room::Fits(_) | Room::Mask | Room::HeadOnly | Room::None => None,
    })
}

/// How much further from the basic one the pitch diameter is made by agreement, µm.
pub(crate) fn agreed_allowance_um(case: &Case) -> Result<Option<f64>> {
    Ok(match room(case)?.0 {
        Room::ByAgreement(_, allowance_um) => Some(allowance_um),
        _ => None,
    })
}

/// Whether a layer is dipped and spun.
fn is_dipped(case: &Case) -> bool {
    let film = |(_, film): &(&str, &Film)| is_made_for_fasteners(film);
    case.treatment.kind == TreatmentKind::ZincFlake || case.films.iter().any(film)
}

/// Whether the parts exist, as a finish, rust or scale shows: their threads are not made anew.
fn is_at_hand(case: &Case) -> bool {
    let new = |part: &Part| {
        part.present_finish.is_none()
            && matches!(part.condition, None | Some(Condition::Clean | Condition::Oiled))
    };
    case.piece_at_hand().is_some_and(|part| !new(part))
}

/// The usual way with zinc flake and dip-spun coats where no tolerance has the room: the pitch diameter undersize, that of a
/// nut oversize, up to the deviation e of the pitch.
fn by_agreement(case: &Case, thread: &Thread, internal: bool) -> Result<Room> {
    // a thread outside the standard's tolerances is for no part that people depend on, and for none that is made already
    if !is_dipped(case) || case.brief().part.safety_critical || is_at_hand(case) {
        return Ok(Room::None);
    }
    let (base, metric_base) = match (thread, internal) {
        (Thread::Inch(_), false) => ("2A", "6e"),
        (Thread::Inch(_), true) => ("2B", "6e"),
        (Thread::Metric(_), true) => ("6G", "6e"),
        // e is the widest already
        (Thread::Metric(_), false) => return Ok(Room::None),
    };
    let base: Tolerance = base.parse()?;
    let own_um = coating_room(thread, &base, None)?.deviation_um.abs();
    let same_pitch = Thread::Metric(MetricThread::new(thread.diameter_mm(), thread.pitch_mm())?);
    let widest_um = coating_room(&same_pitch, &metric_base.parse()?, None)?.deviation_um.abs();
    let needed_um = pitch_diameter_growth_um(filling_um(case))?;
    Ok(if needed_um <= widest_um { Room::ByAgreement(base, (needed_um - own_um).ceil()) } else { Room::None })
}

/// What the layers may measure in the thread, µm, where only the thinner part of their range fits.
pub(crate) fn thickness_limit_um(case: &Case) -> Result<Option<f64>> {
    Ok(match room(case)?.0 {
        Room::Limited(_, limit_um) => Some(limit_um),
        _ => None,
    })
}

/// A tolerance that the thinner half of the range fits: its geometric mean is what the years count on.
fn limited(thread: &Thread, (least_um, most_um): (f64, f64)) -> Result<Room> {
    let counted_um = (least_um * most_um).sqrt();
    let Some(other) = tolerance_that_fits(thread, counted_um)? else { return Ok(Room::None) };
    let limit_um = coating_room(thread, &other, None)?.max_local_thickness_um.floor();
    Ok(if limit_um >= counted_um { Room::Limited(other, limit_um) } else { Room::None })
}

/// The tolerance of a metric nut with room: 6G has the deviation of g. Inch nuts have none.
fn nut_tolerance_that_fits(thread: &Thread, filling_um: f64) -> Result<Option<Tolerance>> {
    if matches!(thread, Thread::Inch(_)) {
        return Ok(None);
    }
    let with_deviation: Tolerance = "6G".parse()?;
    let room = coating_room(thread, &with_deviation, None)?;
    Ok((filling_um <= room.max_local_thickness_um).then_some(with_deviation))
}

/// What the findings depend on and the builds of a brief differ in: lowest and highest filling, black or not, kind and
/// thickness of the treatment, whether a film is dipped and spun, whether the coats go on head and shank alone.
pub(super) type Differs = (f64, f64, bool, TreatmentKind, (f64, f64), bool, bool);

/// The rule of years that are not those of a masked thread.
pub(crate) const MASKED_YEARS: &str = "thread.masked_years";

/// Heat above which no oil stays on a thread, °C (assumption: the hottest limit of the oils of the catalog).
const OIL_LIMIT_C: f64 = 120.0;

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let own = &case.treatment.thickness_um;
    let differs = (
        least_filling_um(case),
        filling_um(case),
        case.treatment.black,
        case.treatment.kind,
        (own.low, own.high),
        case.films.iter().any(|(_, film)| is_made_for_fasteners(film)),
        is_head_only(case),
    );
    case.inquiry.of_thread.add(found, differs, |found| word(case, found))?;
    masked_years(case, found)
}

/// A masked thread has none of the layers that fill it: for which surface the years hold, and what is left for the thread.
fn masked_years(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    match room(case)?.0 {
        Room::HeadOnly => return years_of_head_and_thread(case, found),
        Room::Mask => {}
        _ => return Ok(()),
    }
    let untreated = case.catalog().content().treatments.values().find(|treatment| treatment.is_none());
    let treatment = untreated.filter(|_| builds_up(case)).unwrap_or(case.treatment);
    let films: Vec<_> = case.films.iter().filter(|(_, film)| !film.fills_threads).copied().collect();
    let names: Vec<&str> = [treatment].iter().filter(|t| !t.is_none()).map(|t| t.name.as_str()).collect();
    let names: Vec<&str> =
        names.into_iter().chain(films.iter().map(|(_, film)| film.name.as_str())).collect();
    let left =
        if names.is_empty() { "bare".to_owned() } else { format!("left with {}", names.join(" and ")) };
    let build = ResolvedBuild { metal: case.metal, treatment, films };
    let part = &case.brief().part;
    let thread = outlook(case.exposure, part, &build, case.catalog())?.median_years;
    let coated = ResolvedBuild { metal: case.metal, treatment: case.treatment, films: case.films.to_vec() };
    let decides = if thread < outlook(case.exposure, part, &coated, case.catalog())?.median_years {
        "The thread decides, since the years"
    } else {
        "The years"
    };
    found.push(
        finding(
            FindingKind::Warns,
            MASKED_YEARS,
            format!(
                "{decides} apply to the coated surface alone: the masked thread is {left} and, without what is applied \
                 afterwards, fails after {} (median).",
                years(thread)
            ),
            MASKED,
        )
        .remedy(
            "Protect the thread after masking (oil, wax, a plug or the sealed joint) and inspect it at that interval, or \
             order a finish that fits the thread where the thread must last as long.",
        ),
    );
    Ok(())
}

/// Which place of a screw that is coated on head and shank alone rusts first, and when.
fn years_of_head_and_thread(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let part = &case.brief().part;
    let build = ResolvedBuild { metal: case.metal, treatment: case.treatment, films: case.films.to_vec() };
    let on_thread = masked_thread(part, case.inquiry.thread_or_usual(), &build, case.catalog())?;
    let Some(on_thread) = on_thread else { return Ok(()) };
    let [head, thread] =
        years_of_places(case.exposure, part, case.catalog(), [&build, &on_thread])?.map(years);
    found.push(
        finding(
            FindingKind::Warns,
            MASKED_YEARS,
            format!(
                "The masked thread counts: {thread} (median); the coated head has {head}."
            ),
            HEAD_ONLY,
        )
        .remedy(
            "Count the years of the head only where the thread sits sealed in the joint; elsewhere order a finish that fits \
             the thread.",
        ),
    );
    Ok(())
}

fn word(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let (verdict, available) = room(case)?;
    let Some((available, tolerance)) = available else { return Ok(()) };
    let thread_is_inch = matches!(case.inquiry.thread().map(|t| t.thread), Some(Thread::Inch(_)));
    let with_zinc = present_zinc_um(case).1 > 0.0;
    let coating = format!(
        "A coating of {} to {} µm{}",
        number(least_filling_um(case), 1),
        number(filling_um(case), 1),
        if with_zinc { ", the present zinc included," } else { "" }
    );
    let of_room = if with_zinc { PRESENT_ZINC } else { FOUR_TIMES };
    let space = format!(
        "which has space for {:.1} µm (a quarter of its allowance of {:.0} µm)",
        available.max_local_thickness_um,
        available.deviation_um.abs()
    );
    let numbers = || {
        if available.deviation_um == 0.0 {
            return format!("{coating} does not fit a {tolerance} thread, which has no allowance for one.");
        }
        format!("{coating} is too thick for a {tolerance} thread, {space}.")
    };
    not_stated(case, tolerance, found);
    // a thread that is ordered to another tolerance is judged as it is ordered
    let ordered = match verdict {
        Room::OtherTolerance(other) | Room::Limited(other, _) if other != tolerance => {
            let thread = case.inquiry.thread_or_usual().map(|t| t.thread);
            thread
                .map(|thread| Ok::<_, crate::Error>((coating_room(&thread, &other, None)?, other)))
                .transpose()?
        }
        _ => None,
    };
    match &ordered {
        Some((room, other)) => with_any_room(case, room, *other, found),
        None => with_any_room(case, available, tolerance, found),
    }?;
    match verdict {
        Room::Free => {
            if case.treatment.black && case.treatment.kind != TreatmentKind::Phosphate {
                found.push(finding(
                    FindingKind::Notes,
                    "thread.no_change",
                    "No measurable change in thread size.",
                    NO_SIZE,
                ));
            }
        }
        Room::Fits(_) => {
            let fits = format!("{coating} fits a {tolerance} thread, {space}.");
            found.push(finding(FindingKind::Notes, "thread.fits", fits, available.source.clone()));
        }
        Room::OtherTolerance(other) => found.push(
            finding(FindingKind::Needs, "thread.tolerance", numbers(), of_room)
                .step(Step::OtherTolerance)
                .remedy(made_anew(case, &other.to_string(), "")),
        ),
        Room::Limited(other, limit_um) => found.push(
            finding(FindingKind::Needs, "thread.limited", numbers(), of_room)
                .step(Step::OtherTolerance)
                .remedy(if other == tolerance {
                    let included = if with_zinc { ", the present zinc included" } else { "" };
                    format!("Limit the layers to {limit_um:.0} µm in the thread{included}; {tolerance} stays as it is.")
                } else {
                    let coat = format!(", and a coating of {limit_um:.0} µm at most in the thread");
                    made_anew(case, &other.to_string(), &coat)
                }),
        ),
        Room::ByAgreement(other, allowance_um) => found.push(
            finding(FindingKind::Needs, "thread.by_agreement", numbers(), BY_AGREEMENT)
                .step(Step::OtherTolerance)
                .remedy(made_by_agreement(case, other, allowance_um)),
        ),
        Room::Mask => found.push(
            finding(FindingKind::Needs, "thread.mask", numbers(), of_room)
                .step(Step::MaskThread)
                .remedy(if case.exposure.heat_peak_c > OIL_LIMIT_C {
                    format!(
                        "Mask the thread; {} °C burns oil off, so use a dry or metal-filled anti-seize lubricant rated for it \
                         and set the torque with it.",
                        case.exposure.heat_peak_c
                    )
                } else {
                    "Mask the thread, oil it afterwards.".to_owned()
                }),
        ),
        Room::HeadOnly => found.push(
            finding(FindingKind::Needs, "thread.head_only", numbers(), of_room).step(Step::MaskThread).remedy(
                "Coat the head and shank only: mask thread and bearing face, then oil the thread. The drive chips when \
                 tightened: touch it up.",
            ),
        ),
        Room::None => found.push(
            finding(FindingKind::Blocks, "thread.room", numbers(), of_room)
                .remedy(no_room(case, thread_is_inch, tolerance.is_internal())),
        ),
    }
    Ok(())
}

/// A screw or nut whose thread the brief does not state is judged as a usual one.
fn not_stated(case: &Case, tolerance: Tolerance, found: &mut Vec<Finding>) {
    if case.inquiry.usual_thread.is_some() {
        found.push(
            finding(
                FindingKind::Warns,
                "thread.not_stated",
                format!(
                    "The brief states no thread: the space for a coating is judged as for {USUAL_THREAD} {tolerance}; torque, \
                     preload and galling are not judged."
                ),
                NO_THREAD,
            )
            .remedy("Enter `part.thread`, for example M8 or 1/4-20 UNC."),
        );
    }
}

/// What a thread is told whatever its room: phosphate builds up, oversize and undersize threads are made for zinc, small
/// ones clog.
fn with_any_room(
    case: &Case,
    available: &CoatingRoom,
    tolerance: Tolerance,
    found: &mut Vec<Finding>,
) -> Result<()> {
    let part = &case.brief().part;
    if case.treatment.kind == TreatmentKind::Phosphate {
        // half of it grows out of the surface (assumption): less space than of the thinnest is none
        let jams = is_fastener(part.form)
            && available.max_local_thickness_um < 0.5 * case.treatment.thickness_um.low;
        let kind = if jams { FindingKind::Blocks } else { FindingKind::Warns };
        let remedy = if jams && tolerance.is_internal() {
            "Order black oxide, or nuts with an allowance (6G; class 2B has none) before phosphating."
        } else if jams {
            "Order black oxide, or the thread with an allowance (6g or 2A) before phosphating."
        } else {
            "Order the thread to pass the GO gauge after phosphating, with the coating weight limited."
        };
        found.push(
            finding(
                kind,
                "thread.phosphate",
                format!(
                    "Phosphate of {:.0} to {:.0} µm builds up on the flanks; a {tolerance} thread accepts {:.1} µm.",
                    case.treatment.thickness_um.low,
                    case.treatment.thickness_um.high,
                    available.max_local_thickness_um
                ),
                PHOSPHATE,
            )
            .remedy(remedy),
        );
    }
    if tolerance.is_for_hot_dip_zinc() {
        let remedy = if tolerance.is_internal() {
            "Use the nut on hot-dip galvanized screws alone, and count a coating of the nut against the zinc of the screw."
        } else {
            "Use the screw with a nut to 6H only under 50 µm of zinc or more, and check the stripping strength without it."
        };
        found.push(
            finding(
                FindingKind::Warns,
                "thread.hot_dip",
                format!(
                    "A {tolerance} thread has its space for hot-dip zinc on the screw: without that zinc it fits loosely and \
                     carries less."
                ),
                HOT_DIP,
            )
            .remedy(remedy),
        );
    }
    let clogs = is_dipped(case);
    let instead = if acid_is_forbidden(case) {
        "; if they clog, stop and ask the buyer."
    } else if acid_is_watched(case)? {
        ", or compare electroplated zinc with its hydrogen relief bake."
    } else {
        ", or compare electroplated zinc."
    };
    if clogs && is_fastener(part.form) && case.diameter_mm().is_some_and(|mm| mm < SMALLEST_DIPPED_MM) {
        found.push(
            finding(
                FindingKind::Needs,
                "thread.clogged",
                "Dip-spun coatings clog threads and drives below M6 (1/4 in).",
                DIPPED,
            )
            .step(Step::TrialPiece)
            .remedy(format!("Run a trial and gauge thread and drive{instead}")),
        );
    }
    Ok(())
}

/// A thread that is made undersize or oversize for its coat.
fn made_by_agreement(case: &Case, other: Tolerance, allowance_um: f64) -> String {
    let thread = made_anew(case, &allowance_in_words(other, allowance_um), "");
    let gauge = if other.is_internal() {
        "The GO gauge passes after finishing; the stripping strength falls a little, so the owner of the joint agrees."
    } else if other.is_inch() {
        "The 3A GO gauge passes after finishing; the owner of the joint agrees."
    } else {
        "The GO gauge passes after finishing; the owner of the joint agrees."
    };
    format!("{thread} {gauge}")
}

/// How parts with another thread are come by: those that exist are not recut, and new ones have nothing to strip.
fn made_anew(case: &Case, thread: &str, coat: &str) -> String {
    let Some(part) = case.piece_at_hand().filter(|part| part.is_made()) else {
        return format!("Order the thread made to {thread} before finishing{coat}.");
    };
    if part.present_finish.is_none() || zinc_that_stays(case).is_some() {
        return format!(
            "Order new parts with the thread at {thread} before finishing{coat}; do not recut finished threads."
        );
    }
    format!(
        "Order new parts, unplated, with the thread at {thread} before finishing{coat}: they need no stripping. Or strip the \
         parts at hand, after a gauge trial on coated pieces; do not recut finished threads."
    )
}

/// A tolerance with what the pitch diameter departs from it by agreement.
pub(crate) fn allowance_in_words(tolerance: Tolerance, allowance_um: f64) -> String {
    let way = if tolerance.is_internal() { "oversize" } else { "undersize" };
    format!("{tolerance} with the pitch diameter {allowance_um:.0} µm {way} by agreement")
}

/// What is left where no standard tolerance has the room.
fn no_room(case: &Case, inch: bool, internal: bool) -> &'static str {
    if is_dipped(case) && is_at_hand(case) {
        return "Order a thinner coating, or new parts with the thread made for it by agreement: finished threads are not recut.";
    }
    if case.treatment.is_zinc() && internal {
        // a nut needs the pitch diameter larger, which a screw's undersize thread is the opposite of
        "Order a thinner coating, or nuts tapped oversize (6AZ or 6AX of ISO 965-5) by agreement with the owner of the \
         joint: that lowers the stripping strength."
    } else if case.treatment.is_zinc() && inch {
        "Order a thinner zinc class of ASTM F1941 for 2A threads (3 µm or 5 µm), or the pitch diameter undersize by \
         agreement."
    } else if case.treatment.is_zinc() {
        "Order a thinner coating, or the pitch diameter undersize by agreement; no standard tolerance has the space."
    } else if internal {
        "Order a thinner film, oil or wax: no standard tolerance of a nut has the space, and a masked thread has no years."
    } else {
        "Order a thinner film, oil or wax: no standard tolerance has the space."
    }
}

/// Desirability of the thread fit, 0 to 1 (steps are an assumption): 1 without thread, as on a washer, or without
/// filling layers; else with
/// `u` = upper thickness of the layers that fill over the room, 1 - 0.3·u to `u` = 1; beyond it 0.5 where another
/// tolerance has the room, for the whole range or for its thinner half, the thread is made for it by agreement, or that of a bracket, pin or other part can be masked, 0.1 where nothing fits or head and shank of a screw are coated alone.
///
/// Layers that fill are films so marked and treatments that build up.
///
/// # Errors
/// A thread of which no tolerance can be worked out.
pub fn thread_desirability(case: &Case) -> Result<f64> {
    Ok(match room(case)?.0 {
        Room::Free => 1.0,
        Room::Fits(used) => 1.0 - 0.3 * used,
        Room::OtherTolerance(_) | Room::Limited(..) | Room::ByAgreement(..) | Room::Mask => 0.5,
        Room::HeadOnly | Room::None => 0.1,
    })
}
