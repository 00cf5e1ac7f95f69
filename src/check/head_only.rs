//! Paint that no tolerance of the thread has space for, on the head and shank of a screw alone: the thread is masked, then
//! oiled.

use crate::Result;
use crate::brief::{Form, Part, PresentFinish};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::check::thread::{PartThread, Room, standard_room};
use crate::check::{Case, is_made_for_fasteners};
use crate::finish::{DEFAULT_FILM, Film, FilmKind, Treatment};

/// Whether paint can be kept off the thread of a part: screws with a head are plugged or capped one by one. What is dipped and
/// spun goes into the thread, so does what grows there by itself, and wax over paint is on the whole part; zinc that is there
/// already leaves the room open.
fn takes_masks(part: &Part, treatment: &Treatment, films: &[(&str, &Film)]) -> bool {
    let headed = part.form.is_some_and(|form| form.is_screw() && form != Form::SetScrew);
    let zinc = matches!(part.present_finish, PresentFinish::ZincPlate | PresentFinish::HotDipZinc);
    let paint = |film: &Film| {
        film.fills_threads
            && (film.kind.is_paint() || film.kind == FilmKind::Lacquer)
            && !is_made_for_fasteners(film)
    };
    headed && !zinc && !treatment.builds_up && !films.is_empty() && films.iter().all(|(_, film)| paint(film))
}

/// Whether the coats of a build stay on the head and shank alone.
pub(super) fn is_coated(
    part: &Part,
    thread: Option<&PartThread>,
    treatment: &Treatment,
    films: &[(&str, &Film)],
) -> Result<bool> {
    let Some((thread, space_um)) = thread.and_then(|own| Some((own, own.room()?.max_local_thickness_um)))
    else {
        return Ok(false);
    };
    if !takes_masks(part, treatment, films) {
        return Ok(false);
    }
    let (mut least_um, mut most_um) = (0.0, 0.0);
    for range in films.iter().map(|(_, film)| &film.thickness_um) {
        (least_um, most_um) = (least_um + range.low, most_um + range.high);
    }
    Ok(standard_room(&thread.thread, space_um, (least_um, most_um))? == Room::None)
}

/// The usual oil that a masked thread gets afterwards, where the treatment accepts one.
fn oil<'c>(treatment: &Treatment, catalog: &'c Catalog) -> Option<(&'c str, &'c Film)> {
    let (name, film) = catalog.content().films.get_key_value(DEFAULT_FILM)?;
    treatment.accepts(FilmKind::Oil).then_some((name.as_str(), film))
}

/// What is on the thread of a screw that is coated on head and shank alone; none where a build goes over the whole part.
///
/// # Errors
/// A thread of which no tolerance can be worked out.
pub(crate) fn masked_thread<'b>(
    part: &Part,
    thread: Option<&PartThread>,
    build: &ResolvedBuild<'b>,
    catalog: &'b Catalog,
) -> Result<Option<ResolvedBuild<'b>>> {
    let ResolvedBuild { metal, treatment, films } = build;
    if !is_coated(part, thread, treatment, films)? {
        return Ok(None);
    }
    Ok(Some(ResolvedBuild { metal, treatment, films: oil(treatment, catalog).into_iter().collect() }))
}

/// The build by which the years of a part count: that of the thread where head and shank are coated alone.
///
/// # Errors
/// A thread of which no tolerance can be worked out.
pub(crate) fn counted<'b>(
    part: &Part,
    thread: Option<&PartThread>,
    build: &ResolvedBuild<'b>,
    catalog: &'b Catalog,
) -> Result<ResolvedBuild<'b>> {
    Ok(masked_thread(part, thread, build, catalog)?.unwrap_or_else(|| build.clone()))
}

/// The same where no thread is read yet.
///
/// # Errors
/// As [`counted`].
pub(crate) fn counted_of<'b>(
    part: &Part,
    build: &ResolvedBuild<'b>,
    catalog: &'b Catalog,
) -> Result<ResolvedBuild<'b>> {
    counted(part, PartThread::judged(part).as_ref(), build, catalog)
}

/// Whether the coats of a case stay on the head and shank alone.
pub(crate) fn is_head_only(case: &Case) -> bool {
    let thread = case.inquiry.thread_or_usual();
    is_coated(&case.brief().part, thread, case.treatment, case.films).unwrap_or(false)
}

/// The film that is outermost where a screw is tightened: on a masked thread its oil.
pub(crate) fn tightened_film<'a>(case: &Case<'a>) -> Option<&'a Film> {
    if is_head_only(case) {
        return oil(case.treatment, case.catalog()).map(|(_, film)| film);
    }
    case.films.last().map(|(_, film)| *film)
}
