//! What the rules read of a brief once for all of its builds.

use std::sync::{Mutex, PoisonError};

use crate::Result;
use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::check::remarks::Said;
use crate::check::{Finding, PartThread, couple, fit, strength, substrate, thread, torque};

/// A brief with its thread read, and the findings already worded: hundreds of builds share a few dozen of them.
///
/// ```
/// use overcoat::{brief::Brief, catalog::Catalog, check::Inquiry};
/// let brief = Brief::from_json(r#"{
///     "schema": "overcoat.brief.v1", "name": "screws",
///     "part": {"form": "socket_cap_screw", "thread": "M8"}, "duty": {"required_years": 5}
/// }"#)?;
/// let inquiry = Inquiry::of(&brief, Catalog::built_in())?;
/// assert!(inquiry.thread().is_some());
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug)]
pub struct Inquiry<'a> {
    brief: &'a Brief,
    catalog: &'a Catalog,
    thread: Option<PartThread>,
    /// By which the room of a screw or nut without a stated thread is judged.
    pub(super) usual_thread: Option<PartThread>,
    pub(super) said: Said,
    pub(super) of_strength: Worded<strength::Differs>,
    pub(super) of_substrate: Worded<substrate::Differs>,
    pub(super) of_thread: Worded<thread::Differs>,
    pub(super) of_fit: Worded<fit::Differs>,
    pub(super) of_torque: Worded<torque::Differs>,
    pub(super) of_couple: Worded<couple::Differs>,
    /// Findings of all builds so far, and those of an inch part with their words in US customary units.
    shared: Mutex<Vec<Finding>>,
    customary: Mutex<Vec<(Finding, Finding)>>,
}

impl<'a> Inquiry<'a> {
    /// Reads a brief, to be answered from a catalog.
    ///
    /// # Errors
    /// A thread or tolerance designation that cannot be read; a property class that the form cannot have; a stated
    /// hardness below that of the class; a tempering that the class or the hardness cannot have.
    pub fn of(brief: &'a Brief, catalog: &'a Catalog) -> Result<Self> {
        let thread = PartThread::of(&brief.part)?;
        strength::contradictions(brief, catalog, thread.as_ref().map(|thread| thread.thread))?;
        Ok(Self {
            brief,
            catalog,
            thread,
            usual_thread: PartThread::usual(&brief.part)?,
            said: Said::by(brief),
            of_strength: Worded::default(),
            of_substrate: Worded::default(),
            of_thread: Worded::default(),
            of_fit: Worded::default(),
            of_torque: Worded::default(),
            of_couple: Worded::default(),
            shared: Mutex::default(),
            customary: Mutex::default(),
        })
    }

    /// Makes findings that say the same as one of another build one with it in memory.
    pub(crate) fn share(&self, found: &mut [Finding]) {
        let mut known = self.shared.lock().unwrap_or_else(PoisonError::into_inner);
        for finding in found.iter_mut().filter(|finding| finding.is_alone()) {
            // the build before is mostly alike
            match known.iter().rev().find(|known| *known == finding) {
                Some(same) => finding.clone_from(same),
                None => known.push(finding.clone()),
            }
        }
    }

    /// Words the findings of a build in US customary units, each once for all builds.
    pub(crate) fn use_customary_units(&self, found: &mut [Finding]) {
        self.share(found);
        let mut known = self.customary.lock().unwrap_or_else(PoisonError::into_inner);
        for finding in found {
            if let Some((_, customary)) = known.iter().find(|(metric, _)| metric.is(finding)) {
                finding.clone_from(customary);
            } else {
                let metric = finding.clone();
                finding.use_customary_units();
                known.push((metric, finding.clone()));
            }
        }
    }

    /// The brief.
    pub fn brief(&self) -> &'a Brief {
        self.brief
    }

    /// The catalog that names and numbers come from.
    pub fn catalog(&self) -> &'a Catalog {
        self.catalog
    }

    /// The thread stated, else the usual one of a screw or nut.
    pub(crate) fn thread_or_usual(&self) -> Option<&PartThread> {
        self.thread.as_ref().or(self.usual_thread.as_ref())
    }

    /// The thread of the part, where it has one.
    pub fn thread(&self) -> Option<&PartThread> {
        self.thread.as_ref()
    }
}

/// Findings of one check by all that differs between the builds of a brief and that they depend on.
#[derive(Debug)]
pub(super) struct Worded<K>(Mutex<Vec<(K, Vec<Finding>)>>);

impl<K> Default for Worded<K> {
    fn default() -> Self {
        Self(Mutex::default())
    }
}

impl<K: PartialEq> Worded<K> {
    /// Adds the findings that go with `differs`, worded at their first use.
    pub(super) fn add(
        &self,
        found: &mut Vec<Finding>,
        differs: K,
        word: impl FnOnce(&mut Vec<Finding>) -> Result<()>,
    ) -> Result<()> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, findings)) = known.iter().find(|(key, _)| *key == differs) {
            found.extend_from_slice(findings);
            return Ok(());
        }
        let mut findings = Vec::new();
        word(&mut findings)?;
        found.extend_from_slice(&findings);
        known.push((differs, findings));
        Ok(())
    }
}
