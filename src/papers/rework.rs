//! What to do with a lot whose shade is off, and what a second pass costs.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::check::{Finding, FindingKind, Step, finding};
use crate::evidence::Source;
use crate::finish::TreatmentKind;
use crate::papers::Statement;
use crate::papers::job::Job;
use crate::rank::{CostLine, cost};

const REPROCESSING: Source = Source::common_practice(
    "shade varies within and between lots; lots off the samples are accepted by concession, sorted or reprocessed",
);

/// The three ways with an off-shade lot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OffShade {
    /// When it can be accepted.
    pub accept: Statement,
    /// When it is sorted.
    pub sort: Statement,
    /// When and how it is reprocessed.
    pub reprocess: Statement,
    /// What reprocessing costs; none where rejected pieces are scrapped.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub second_pass: Option<SecondPass>,
}

/// Cost of stripping a lot and finishing it again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SecondPass {
    /// Currency of the catalog.
    pub currency: String,
    /// Per thousand pieces, where the whole lot goes through again.
    pub per_thousand: f64,
    /// For the whole lot.
    pub per_lot: f64,
    /// Where it comes from; the lines sum to `per_thousand`.
    pub lines: Vec<Arc<CostLine>>,
}

pub(super) fn off_shade(job: &mut Job) -> Result<OffShade> {
    let mut how: Option<(String, Source)> = None;
    // Paint is stripped as paint; a clear film comes off with what is beneath it.
    for document in job.documents().into_iter().filter(|document| document.film.is_none()) {
        if let Some((text, line)) = job.templates.lines(&document.process.rework)?.into_iter().next() {
            let source = line.source.as_ref().map_or(REPROCESSING, |key| job.source(key));
            how = Some((text, source));
        }
    }
    let (how, source) = match how {
        _ if job.is_painted() => (job.named_text("rework_of_paint")?, REPROCESSING),
        Some(how) => how,
        None => (job.named_text("rework_by_supplier")?, REPROCESSING),
    };
    job.templates.know("rework", &how.into());
    Ok(OffShade {
        accept: Statement::new(job.named_text("rework_accept")?, REPROCESSING),
        sort: Statement::new(job.named_text("rework_sort")?, REPROCESSING),
        reprocess: Statement::new(job.named_text("rework")?, source),
        second_pass: (!job.scraps_rejected()).then(|| second_pass(job)),
    })
}

/// Strip, the steps of the first pass that come again, treatment and films, without the blanks.
fn second_pass(job: &Job) -> SecondPass {
    let step = if job.susceptible || job.is_painted() { Step::StripWithoutAcid } else { Step::StripInAcid };
    let strip =
        finding(FindingKind::Needs, "papers.second_pass", "strip what is off shade", REPROCESSING).step(step);
    let mut again: Vec<Finding> = vec![strip];
    let comes_again = |f: &&Finding| match f.step {
        Some(Step::MaskThread | Step::MaskSurface) => true,
        Some(Step::BakeHours(_) | Step::RelieveHydrogen) => job.relief_returns,
        _ => false,
    };
    again.extend(job.findings().filter(comes_again).cloned());
    // A life without end: the pass alone, no replacements.
    let whole = cost(&job.lot, job.resolved, &again, f64::INFINITY, 1.0, job.catalog);
    let blanks = format!("blanks of {}", job.resolved.metal.name);
    let mut lines: Vec<Arc<CostLine>> = whole.lines.into_iter().filter(|line| line.item != blanks).collect();
    if job.renews || job.treatment().kind == TreatmentKind::Nitrocarburize {
        // nothing is stripped: paid for is the passivate, or the second oxidizing, at the price of the whole
        lines.retain(|line| line.item != "stripping");
    }
    let per_thousand: f64 = lines.iter().map(|line| line.per_thousand).sum();
    SecondPass {
        currency: whole.currency,
        per_thousand,
        per_lot: per_thousand * job.lot.pieces / 1000.0,
        lines,
    }
}
