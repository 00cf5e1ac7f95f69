//! Substances that local rules may restrict: facts to check, never legal advice.

use crate::check::{Case, Finding, FindingKind, finding};
use crate::evidence::Source;
use crate::finish::ChromateUse;

const CHROMATE: Source = Source::common_practice(
    "chromium trioxide is on the EU authorization list; hexavalent chromium is restricted in many places",
);
const NITRITE: Source = Source::from_memory(
    "nitrite carried over from the bath and secondary amines of rust inhibitors can form nitrosamines",
);
const SOLVENT: Source = Source::common_practice("solvent-borne films fall under limits for organic solvents");
const ASK: &str = "Check under your local rules with a qualified person.";

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    match case.treatment.hexavalent_chromium {
        ChromateUse::None => {}
        ChromateUse::Rinse => found.push(
            finding(
                FindingKind::Notes,
                "substances.chromate",
                "A chromate rinse is part of strict conformance; the parties can agree to omit it.",
                CHROMATE,
            )
            .remedy(ASK),
        ),
        ChromateUse::Bath => found.push(
            finding(
                FindingKind::Warns,
                "substances.chromate",
                "The bath contains hexavalent chromium.",
                CHROMATE,
            )
            .remedy(ASK),
        ),
    }
    if matches!(case.treatment.class, Some(1 | 4)) && case.films.iter().any(|(_, f)| !f.kind.can_be_coated())
    {
        found.push(
            finding(
                FindingKind::Notes,
                "substances.nitrite",
                "The bath can contain nitrite: rinse well before an oil or wax with amine inhibitors.",
                NITRITE,
            )
            .remedy(ASK),
        );
    }
    let solvent: Vec<&str> = case
        .films
        .iter()
        .filter(|(_, film)| film.solvent_borne)
        .map(|(_, film)| film.name.as_str())
        .collect();
    if !solvent.is_empty() {
        found.push(
            finding(
                FindingKind::Notes,
                "substances.solvent",
                format!("Usually applied with organic solvent: {}.", solvent.join(", ")),
                SOLVENT,
            )
            .remedy(ASK),
        );
    }
}
