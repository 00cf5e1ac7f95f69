//! What a safety-critical part asks for, whatever its metal and finish.

use crate::check::heat::{oven_limit_c, ovens};
use crate::check::strength::is_fastener;
use crate::check::{Case, Finding, FindingKind, Step, finding};
use crate::evidence::Source;
use crate::finish::TreatmentKind;
use crate::metal::{InchGrade, PropertyClass};

const CONSENT: Source = Source::common_practice(
    "ASME B30.26 (by extracts) and EM 385-1-1, 15.E.06: repairs and changes of rigging hardware only as its maker \
     specifies, acid and heat after asking the maker; taken alike for every safety-critical part",
);
const MARKING: Source = Source::common_practice(
    "ASME B30.26 (by extracts) and EM 385-1-1: marks of maker, rated load, grade and lot stay legible for life",
);
const CRACKS: Source = Source::common_practice(
    "magnetic particle or penetrant test (ISO 9934, ASTM E709, ASTM E165) of safety-critical parts before finishing and \
     after acid; supplier advice on eyebolts: no paint, it hides flaws",
);
const ZERO: Source = Source::standard(
    "MIL-STD-1916: critical characteristics are inspected 100% and accepted on zero; ISO 3269:2019, scope: not for \
     special-purpose fasteners (both by reports)",
);
const NO_RELEASE: Source =
    Source::common_practice("the person who answers for the joint releases it; a finish order does not");
const HEAT: Source = Source::common_practice(
    "ASME B30.26 (by extracts): above 204 °C rigging hardware is used only after asking the maker",
);
/// 400 °F: a bath up to it is not an oven.
pub(crate) const MAKER_LIMIT_C: f64 = 204.0;
const STRUCTURAL: Source = Source::from_memory(
    "ASTM F3125: coatings of Grades A325 and A490, among which A490 has neither hot-dip nor electroplated zinc; RCSC: bolting \
     assemblies are lubricated and tested as a set",
);
const FATIGUE: Source = Source::common_practice("anodizing lowers the fatigue strength of aluminum");
const NOT_FLAGGED: Source =
    Source::assumption("these words usually go with a part on which life or limb depends");

/// Whether a grade is of structural bolts, which are a set with nut and washer.
pub(super) fn is_structural(grade: &InchGrade) -> bool {
    matches!(grade.name, "ASTM A325" | "ASTM A490")
}

/// Bolts of structural steelwork that are named by their standard: a set with nut and washer.
fn structural(case: &Case, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let stated = part.property_class.as_deref().and_then(InchGrade::named).filter(is_structural);
    // a grade in words is that of the part where its strength is
    let of_the_strength = |grade: &InchGrade| {
        let class = grade.class().map(PropertyClass::word);
        is_fastener(part) && class.is_some() && class == case.metal.property_class.as_deref()
    };
    let in_words = || case.inquiry.said.structural.filter(of_the_strength);
    let Some(grade) = stated.or_else(in_words) else { return };
    if !case.is_treated() && case.films.is_empty() {
        return;
    }
    let hard = grade.name == "ASTM A490";
    found.push(if hard && case.treatment.kind == TreatmentKind::Electroplate {
        finding(
            FindingKind::Blocks,
            "safety.structural",
            format!("Electroplated zinc is none of the coatings of {}: hydrogen can break these bolts.", grade.name),
            STRUCTURAL,
        )
        .remedy("Buy the set in zinc flake (ASTM F1136, F2833 or F3393) from its maker.")
    } else {
        finding(
            FindingKind::Warns,
            "safety.structural",
            format!(
                "{} is a structural bolt: its standard names its coatings, and bolt, nut and washer are coated, lubricated and \
                 tested as one set.",
                grade.name
            ),
            STRUCTURAL,
        )
        .remedy("Buy the set coated by its maker, or have the engineer of record consent in writing.")
    });
}

#[expect(clippy::too_many_lines, reason = "one finding after the other")]
pub(super) fn check(case: &Case, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    structural(case, found);
    let lifting = case.inquiry.said.lifting;
    if !part.safety_critical {
        // lifting hardware is safety-critical by what it is; with the other words only the part as a whole tells
        if let Some(word) = lifting.filter(|_| case.is_treated() || !case.films.is_empty()) {
            found.push(
                finding(
                    FindingKind::Blocks,
                    "safety.lifting",
                    format!(
                        "The brief says \"{word}\": a lifting point is always safety-critical, and the brief does not say so."
                    ),
                    CONSENT,
                )
                .remedy(
                    "Set `part.safety_critical` to true, and `part.maker_consent` where the maker consents in writing; \
                     correct the wording of the brief if the part lifts nothing.",
                ),
            );
            return;
        }
        let said = lifting.or(case.inquiry.said.vehicle);
        if let Some(word) = said {
            found.push(
                finding(
                    FindingKind::Warns,
                    "safety.not_flagged",
                    format!("The brief says \"{word}\" and does not say that the part is safety-critical."),
                    NOT_FLAGGED,
                )
                .remedy(
                    "Set `part.safety_critical` to true, or correct the wording of the brief if no one depends on the part.",
                ),
            );
        }
        return;
    }
    consent(case, lifting, found);
    found.push(
        finding(
            FindingKind::Needs,
            "safety.marking",
            if case.is_for_lifting() {
                "Safety-critical part: maker, class, rated load and lot marks must stay legible."
            } else {
                "Safety-critical part: maker, class and lot marks must stay legible."
            },
            MARKING,
        )
        .step(Step::CheckMarking)
        .remedy(
            "Photograph the marks, mask them where the parts are blasted or tumbled, and check every piece after \
             finishing.",
        ),
    );
    found.push(
        finding(
            FindingKind::Needs,
            "safety.cracks",
            "Safety-critical part: cracks must be found before a film covers them.",
            CRACKS,
        )
        .step(Step::TestForCracks)
        .remedy("Test every piece for cracks before finishing and after any acid; scrap every cracked or worn piece."),
    );
    found.push(
        finding(
            FindingKind::Needs,
            "safety.sampling",
            "Safety-critical part: an AQL plan accepts defects.",
            ZERO,
        )
        .step(Step::AcceptOnZero)
        .remedy(
            "Inspect critical characteristics on every piece and reject the lot on the first defect (c = 0).",
        ),
    );
    if case.films.iter().any(|(_, film)| !film.clear) {
        found.push(
            finding(
                FindingKind::Warns,
                "safety.hidden_cracks",
                "An opaque film hides cracks from later inspections.",
                CRACKS,
            )
            .remedy("Prefer black oxide with oil or wax, or agree how the part is inspected under the film."),
        );
    }
    if case.treatment.kind == TreatmentKind::Anodize {
        found.push(
            finding(
                FindingKind::Warns,
                "safety.fatigue",
                "The anodic film is brittle and lowers the fatigue strength of a safety-critical part.",
                FATIGUE,
            )
            .remedy("Have the fatigue strength with the film confirmed, or order a film of paint without anodizing."),
        );
    }
    let bath = case.treatment.bath_temperature_c.as_ref().map(|bath| bath.high);
    let hottest = ovens(case, found)
        .iter()
        .map(|oven| oven.high_c.min(oven_limit_c(case).unwrap_or(f64::INFINITY)).max(oven.low_c))
        .chain(bath.filter(|c| *c > MAKER_LIMIT_C))
        .fold(f64::NEG_INFINITY, f64::max);
    if hottest.is_finite() {
        found.push(
            finding(
                FindingKind::Warns,
                "safety.heat",
                format!("The route heats a safety-critical part to {hottest:.0} °C."),
                HEAT,
            )
            .remedy("Ask the maker for the highest temperature, and write it into the order."),
        );
    }
    found.push(finding(
        FindingKind::Notes,
        "safety.no_release",
        "This is not a release: the person who answers for the joint releases the part after finishing.",
        NO_RELEASE,
    ));
}

fn consent(case: &Case, lifting: Option<&str>, found: &mut Vec<Finding>) {
    if case.brief().part.maker_consent {
        found.push(
            finding(
                FindingKind::Notes,
                "safety.consent",
                "Written consent of the maker or joint owner is stated.",
                CONSENT,
            )
            .remedy("Keep the consent with the lot; a finish adds no strength and renews no rating."),
        );
        return;
    }
    let what = "No written consent of the maker of the part or the owner of the joint is stated";
    match lifting.filter(|_| case.is_treated() || !case.films.is_empty()) {
        Some(word) => found.push(
            finding(
                FindingKind::Blocks,
                "safety.consent",
                format!("{what}, and the brief says \"{word}\": rated lifting hardware is not refinished."),
                CONSENT,
            )
            .remedy(
                "Buy the part in this finish from its maker; or obtain the maker's written consent and a new \
                 certificate, then set `part.maker_consent`.",
            ),
        ),
        None => found.push(
            finding(FindingKind::Needs, "safety.consent", format!("{what}."), CONSENT)
                .step(Step::Hold)
                .remedy(
                    "Hold the order until the maker or joint owner consents in writing; do not recut threads, straighten \
                     or heat-treat.",
                ),
        ),
    }
}
