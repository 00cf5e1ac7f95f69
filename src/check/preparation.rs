//! Parts must be free of oil, grease, plating, rust and scale before they are blackened.

use crate::Result;
use crate::brief::{Condition, PresentFinish};
use crate::check::{Case, Finding, FindingKind, Step, acid_is_forbidden, finding};
use crate::metal::Family;
use crate::source::Source;

const FREE_OF: Source = Source::common_practice(
    "parts must be free of oil, grease, plating, rust and scale; zinc plating and hot-dip galvanizing are \
     stripped first; rust or scale is pickled and rinsed first, heavy scale removed mechanically",
);
const POLYMER: Source = Source::common_practice(
    "nylon inserts lose their locking above 250 °F (121 °C); the hot bath is warmer, so the insert is fitted \
     afterwards or protected",
);
const POLYMER_LIMIT_C: f64 = 121.0;
const CAUSTIC: Source = Source::common_practice(
    "aluminium and zinc dissolve in the hot caustic bath with hydrogen and spatter: danger of fire and burns",
);
const COPPER: Source =
    Source::common_practice("copper alloys discolour in the bath and copper may deposit on the steel");
const TRAPPED: Source = Source::common_practice(
    "blind holes, lap joints and porous castings hold bath, which bleeds out white and rusts later; trapped \
     water flashes to steam in the bath",
);

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    strip(case, found);
    rust_and_scale(case, found);
    insert(case, found);
    joined_metals(case, found)?;
    if case.is_treated() && (case.brief().part.traps_liquid || case.metal.family == Family::CastIron) {
        found.push(
            finding(
                FindingKind::Needs,
                "preparation.trapped_liquid",
                "the part holds bath in holes, laps or pores",
                TRAPPED,
            )
            .step(Step::SoakOut)
            .remedy("Load it to drain, dry it before the bath, rinse hot and soak, then displace with oil."),
        );
    }
    Ok(())
}

fn strip(case: &Case, found: &mut Vec<Finding>) {
    let present = case.piece_at_hand().map_or(PresentFinish::None, |part| part.present_finish);
    if present.is_none() {
        return;
    }
    // Paint and black oxide come off without acid; platings on steel that bears acid come off in it.
    let without_acid = matches!(present, PresentFinish::Paint) || acid_is_forbidden(case);
    let (step, how) = if without_acid {
        (Step::StripWithoutAcid, "without acid: alkaline, solvent or mechanically")
    } else {
        (Step::StripInAcid, "in inhibited acid, then rinse")
    };
    found.push(
        finding(
            FindingKind::Needs,
            "preparation.strip",
            format!("{} must be stripped first", present.words()),
            FREE_OF,
        )
        .step(step)
        .remedy(format!("Strip {how}.")),
    );
}

fn rust_and_scale(case: &Case, found: &mut Vec<Finding>) {
    let (what, step) = match case.piece_at_hand().and_then(|part| part.condition) {
        Some(Condition::Rust) => ("rust", Step::Pickle),
        Some(Condition::LightScale) => ("light scale", Step::Pickle),
        Some(Condition::HeavyScale) => ("heavy scale", Step::Blast),
        Some(Condition::Clean | Condition::Oiled) | None => return,
    };
    let step = if step == Step::Pickle && acid_is_forbidden(case) { Step::Blast } else { step };
    let remedy = match step {
        Step::Pickle => "Pickle in inhibited acid and rinse.",
        _ => "Blast or tumble it off; no acid.",
    };
    found.push(
        finding(FindingKind::Needs, "preparation.rust", format!("{what} must come off first"), FREE_OF)
            .step(step)
            .remedy(remedy),
    );
}

fn insert(case: &Case, found: &mut Vec<Finding>) {
    if !case.brief().part.polymer_insert {
        return;
    }
    let bath = case.treatment.bath_temperature_c.as_ref().map_or(0.0, |range| range.high);
    let stove = case
        .films
        .iter()
        .filter_map(|(_, film)| film.cure_temperature_c.as_ref())
        .map(|cure| cure.value)
        .fold(0.0, f64::max);
    let hottest = bath.max(stove);
    if hottest >= POLYMER_LIMIT_C {
        found.push(
            finding(
                FindingKind::Needs,
                "preparation.polymer_insert",
                format!("the polymer insert bears {POLYMER_LIMIT_C} °C and meets {hottest:.0} °C"),
                POLYMER,
            )
            .step(Step::InsertAfterwards)
            .remedy("Finish the parts first and fit the insert afterwards, or protect it."),
        );
    }
}

fn joined_metals(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    for (i, name) in case.brief().part.joined_metals.iter().enumerate() {
        let metal = case.catalog().base_metal_in(&format!("part.joined_metals[{i}]"), name)?;
        match metal.family {
            _ if !case.is_treated() || case.treatment.outside_blackening => {}
            Family::Aluminium | Family::Zinc => found.push(
                finding(
                    FindingKind::Blocks,
                    "preparation.joined_metals",
                    format!(
                        "{} joined to the part would dissolve in the bath and give off hydrogen",
                        metal.name
                    ),
                    CAUSTIC,
                )
                .remedy("Blacken before joining."),
            ),
            Family::CopperAlloy => found.push(
                finding(
                    FindingKind::Warns,
                    "preparation.joined_metals",
                    format!("{} joined to the part discolours in the bath", metal.name),
                    COPPER,
                )
                .remedy("Blacken before joining."),
            ),
            _ => {}
        }
    }
    Ok(())
}
