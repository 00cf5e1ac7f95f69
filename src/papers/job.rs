//! Everything about one order that its papers are written from.

use crate::Result;
use crate::brief::{Brief, Exposure, Form, Part};
use crate::catalog::{Catalog, ResolvedBuild};
use crate::check::{
    Case, Finding, FindingKind, Inquiry, Step, acid_is_forbidden, acid_is_watched, filling_um, tolerance_of,
};
use crate::error::invalid;
use crate::fastener::{Thread, Tolerance, tolerance_that_fits};
use crate::finish::{Film, Treatment};
use crate::papers::Units;
use crate::quantity::Range;
use crate::rank::{Lot, RankedOption};
use crate::source::Source;

/// Mass up to which a part without a fastener's form is finished in bulk, g.
const BULK_MASS_G: f64 = 100.0;
/// Source of it.
pub(super) const BULK: Source = Source::assumption(
    "small parts (fasteners, pins, and others up to 100 g) are finished in barrels and baskets, larger ones hung",
);

/// One order.
#[derive(Debug)]
pub(super) struct Job<'a> {
    pub(super) brief: &'a Brief,
    pub(super) option: &'a RankedOption,
    pub(super) catalog: &'a Catalog,
    pub(super) resolved: &'a ResolvedBuild<'a>,
    pub(super) units: Units,
    pub(super) lot: Lot,
    pub(super) lot_pieces: u32,
    pub(super) thread: Option<ThreadWork>,
    /// Whether acid is ruled out at every step.
    pub(super) no_acid: bool,
    /// Whether acid would call for a bake or is ruled out.
    pub(super) avoids_acid: bool,
    /// Highest hardness of the part, HV.
    pub(super) hardness_hv: Option<f64>,
    /// What was assumed for the lot.
    pub(super) assumed: Vec<String>,
}

/// The thread and its tolerance before finishing.
#[derive(Debug)]
pub(super) struct ThreadWork {
    pub(super) thread: Thread,
    pub(super) tolerance: Tolerance,
    /// Whether the brief gave the tolerance.
    pub(super) given: bool,
}

impl<'a> Job<'a> {
    /// The piece at hand; none where the build is in another base metal than it, so made anew.
    pub(super) fn piece_at_hand(&self) -> Option<&Part> {
        Some(&self.brief.part).filter(|part| part.is_at_hand_in(&self.option.build.base_metal))
    }

    pub(super) fn of(
        brief: &'a Brief,
        option: &'a RankedOption,
        catalog: &'a Catalog,
        resolved: &'a ResolvedBuild<'a>,
        units: Units,
    ) -> Result<Self> {
        if let Some(finding) = option.findings.iter().find(|f| f.kind == FindingKind::Blocks) {
            return Err(blocked(option, &finding.message, finding.remedy.as_deref()));
        }
        if option.blocked {
            return Err(blocked(option, "it is marked as blocked", None));
        }
        let exposure = Exposure::of(brief, catalog)?;
        let inquiry = Inquiry::of(brief, catalog)?;
        let case = Case {
            inquiry: &inquiry,
            exposure: &exposure,
            build: &option.build,
            metal: resolved.metal,
            treatment: resolved.treatment,
            films: &resolved.films,
        };
        let mut assumed = Vec::new();
        let lot = Lot::of(&brief.part, &mut assumed)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, from 1 to 1e9, as the brief is checked"
        )]
        let lot_pieces = lot.pieces as u32;
        let filling_um = filling_um(&case);
        let recut = option.findings.iter().any(|f| matches!(f.step, Some(Step::OtherTolerance)));
        let thread = thread_work(&brief.part, recut.then_some(filling_um))?;
        let (no_acid, hardness_hv) = (acid_is_forbidden(&case), case.hardness_hv());
        let avoids_acid = no_acid || acid_is_watched(&case)?;
        Ok(Self {
            brief,
            option,
            catalog,
            resolved,
            units,
            lot,
            lot_pieces,
            thread,
            no_acid,
            avoids_acid,
            hardness_hv,
            assumed,
        })
    }

    pub(super) fn treatment(&self) -> &'a Treatment {
        self.resolved.treatment
    }

    pub(super) fn films(&self) -> &[(&'a str, &'a Film)] {
        &self.resolved.films
    }

    /// Whether the part goes through a blackening bath.
    pub(super) fn is_treated(&self) -> bool {
        self.treatment().bath_temperature_c.is_some()
    }

    /// Whether an opaque film hides the treatment.
    pub(super) fn is_painted(&self) -> bool {
        self.films().iter().any(|(_, film)| !film.clear)
    }

    /// Whether parts are finished in bulk and not hung.
    pub(super) fn in_bulk(&self) -> bool {
        match self.brief.part.form {
            Some(Form::Bracket | Form::Other) | None => self.lot.mass_kg * 1000.0 <= BULK_MASS_G,
            Some(_) => true,
        }
    }

    /// Findings that ask for a step.
    pub(super) fn asking(&self, step: fn(Step) -> bool) -> Vec<&'a Finding> {
        self.option.findings.iter().filter(|finding| finding.step.is_some_and(step)).collect()
    }

    pub(super) fn asks(&self, step: fn(Step) -> bool) -> bool {
        !self.asking(step).is_empty()
    }

    /// Whether acid touches the part.
    pub(super) fn acid_in_route(&self) -> bool {
        self.asks(|step| matches!(step, Step::Pickle | Step::StripInAcid))
    }

    pub(super) fn thickness(&self, range: &Range) -> String {
        self.units.thickness(range.low, range.high)
    }
}

fn blocked(option: &RankedOption, reason: &str, remedy: Option<&str>) -> crate::Error {
    invalid(
        "option",
        &option.build,
        &format!("a build that nothing blocks; this one: {reason}"),
        remedy.unwrap_or("Take another build of the ranking."),
    )
}

/// Thread and tolerance before finishing: the brief's, or the usual one, or where the thread is to be cut to
/// another, the first that takes films of `recut_for_um`.
fn thread_work(part: &Part, recut_for_um: Option<f64>) -> Result<Option<ThreadWork>> {
    let Some(thread) = part.thread_size()? else { return Ok(None) };
    let mut tolerance = tolerance_of(part, &thread)?;
    if let Some(filling_um) = recut_for_um
        && let Some(other) = tolerance_that_fits(&thread, filling_um)?
    {
        tolerance = other;
    }
    Ok(Some(ThreadWork { thread, tolerance, given: part.tolerance.is_some() }))
}

impl ThreadWork {
    /// The gauge that a finished thread must still pass: the basic profile.
    pub(super) fn finished_go_gauge(&self) -> &'static str {
        match (&self.thread, self.tolerance.is_internal()) {
            (Thread::Metric(_), false) => "6h",
            (Thread::Metric(_), true) => "6H",
            (Thread::Inch(_), false) => "3A",
            (Thread::Inch(_), true) => "2B",
        }
    }
}
