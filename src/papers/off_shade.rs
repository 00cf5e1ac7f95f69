//! What to do with a lot whose shade is off, and what a second pass costs.

use serde::{Deserialize, Serialize};

use crate::check::{Finding, FindingKind, Step};
use crate::papers::Statement;
use crate::papers::job::Job;
use crate::rank::{CostLine, cost};
use crate::source::Source;

const REPROCESSING: Source = Source::common_practice(
    "shade varies within and between lots; off-shade lots are accepted on limit samples, sorted or reprocessed",
);
const WITHOUT_ACID: Source = Source::assumption(
    "from 360 HV (ISO 4042:2018) a second pass is stripped without acid, so that no bake is called for",
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
    /// What reprocessing costs.
    pub second_pass: SecondPass,
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
    pub lines: Vec<CostLine>,
}

pub(super) fn off_shade(job: &Job) -> OffShade {
    let (what, samples) =
        if job.is_painted() { ("coat", "agreed panel") } else { ("black", "limit samples") };
    let strip = match (job.avoids_acid, job.is_painted() || !job.is_treated()) {
        (_, true) => "with a paint stripper or by blasting, without acid",
        (true, false) => {
            "without acid, by blasting or in a chelating stripper, since acid enters hard steel as hydrogen"
        }
        (false, false) if job.resolved.metal.family.is_stainless() => {
            "in the stripper that the supplier of the bath names"
        }
        (false, false) => "in inhibited acid",
    };
    OffShade {
        accept: Statement::new(
            format!(
                "Accept, with a written concession, if pieces lie outside the {samples} and the place of use hides it."
            ),
            REPROCESSING,
        ),
        sort: Statement::new(
            format!("Sort all pieces if the {what} is off on some of them and the rest is as the {samples}."),
            REPROCESSING,
        ),
        reprocess: Statement::new(
            format!(
                "Reprocess if most pieces are off: strip {strip}; then the route again from cleaning. Inspect the lot \
                 again as a new one."
            ),
            if job.avoids_acid { WITHOUT_ACID } else { REPROCESSING },
        ),
        second_pass: second_pass(job),
    }
}

/// Strip, the steps of the first pass that come again, treatment and films, without the blanks.
fn second_pass(job: &Job) -> SecondPass {
    let step = if job.avoids_acid || job.is_painted() { Step::StripWithoutAcid } else { Step::StripInAcid };
    let mut again: Vec<Finding> = vec![Finding {
        kind: FindingKind::Needs,
        rule: "papers.second_pass".into(),
        message: "strip what is off shade".into(),
        remedy: None,
        step: Some(step),
        source: REPROCESSING,
    }];
    again.extend(job.option.findings.iter().filter(|f| matches!(f.step, Some(Step::MaskThread))).cloned());
    // A life without end: the pass alone, no replacements.
    let whole = cost(&job.lot, job.resolved, &again, f64::INFINITY, 1.0, job.catalog);
    let blanks = format!("blanks of {}", job.resolved.metal.name);
    let lines: Vec<CostLine> = whole.lines.into_iter().filter(|line| line.item != blanks).collect();
    let per_thousand: f64 = lines.iter().map(|line| line.per_thousand).sum();
    SecondPass {
        currency: whole.currency,
        per_thousand,
        per_lot: per_thousand * job.lot.pieces / 1000.0,
        lines,
    }
}
