//! Findings as a reader sees them: what to do, and what can break, worst first.

use serde::Serialize;

use crate::check::{Finding, FindingKind};
use crate::rank::RankedOption;
use crate::rank::words::sentence;

/// The label of what can break a part, open a joint or harm a welder.
pub(crate) const DANGER: &str = "Danger";

/// The label of what must be done.
pub(crate) const REQUIRED: &str = "Required";

/// A finding in words.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Point {
    pub(crate) kind: &'static str,
    /// The label of the kind, "Required" or "Caution"; "Danger" where a part can break, a joint open or a
    /// welder be harmed.
    pub(crate) label: &'static str,
    pub(crate) text: String,
    pub(crate) remedy: Option<String>,
    pub(crate) source: String,
}

impl Point {
    pub(crate) fn of(finding: &Finding) -> Self {
        Self {
            kind: finding.kind.word(),
            label: match finding.kind {
                FindingKind::Needs | FindingKind::Warns if finding.is_danger() => DANGER,
                FindingKind::Blocks => "Ruled out",
                FindingKind::Needs => REQUIRED,
                FindingKind::Warns => "Caution",
                FindingKind::Notes => "Note",
            },
            text: sentence(&finding.message),
            remedy: finding.remedy.as_deref().map(sentence),
            source: finding.source.to_string(),
        }
    }

    /// Whether a part can break, a joint open or a welder be harmed.
    pub(crate) fn is_danger(&self) -> bool {
        self.label == DANGER
    }

    /// The label and the first clause of the harm.
    pub(crate) fn told(&self) -> String {
        format!("{}: {}", self.label, self.harm())
    }

    /// The first clause of the harm.
    pub(crate) fn harm(&self) -> String {
        let first = without_parentheses(&self.text);
        let first = first.split_inclusive(". ").next().unwrap_or(&first).trim();
        sentence(first.split("; ").next().unwrap_or(first))
    }

    /// Harm and what to do about it, without the reasons: of what is required the remedy alone.
    pub(crate) fn short(&self) -> String {
        let harm = self.harm();
        match &self.remedy {
            Some(remedy) if self.label == REQUIRED => remedy.clone(),
            Some(remedy) => format!("{harm} {remedy}"),
            None => harm,
        }
    }

    /// Message and remedy. Of what is required the imperative comes first: a reason behind "Required" would read as its
    /// reverse.
    #[cfg(feature = "report")]
    pub(crate) fn whole(&self) -> String {
        match &self.remedy {
            Some(remedy) if self.label == REQUIRED => format!("{remedy} {}", self.text),
            Some(remedy) => format!("{} {remedy}", self.text),
            None => self.text.clone(),
        }
    }
}

/// A text without what it says in parentheses.
fn without_parentheses(text: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    for letter in text.chars() {
        match letter {
            '(' => {
                depth += 1;
                out.truncate(out.trim_end().len());
            }
            ')' => depth = depth.saturating_sub(1),
            letter if depth == 0 => out.push(letter),
            _ => {}
        }
    }
    out
}

/// Every `needs` and `warns` of an option: dangers, requirements, cautions, each the worst first.
pub(crate) fn worst_first(option: &RankedOption) -> Vec<Point> {
    let mut found: Vec<&Finding> = option
        .findings
        .iter()
        .filter(|f| matches!(f.kind, FindingKind::Blocks | FindingKind::Needs | FindingKind::Warns))
        .collect();
    found.sort_by_key(|f| {
        let rank = if f.is_danger() { FindingKind::Blocks } else { f.kind };
        (rank, f.harm(), f.kind)
    });
    found.into_iter().map(Point::of).collect()
}
