//! Parts must be free of oil, grease, plating, rust and scale before they are blackened.

use crate::Result;
use crate::brief::{Condition, Form, PresentFinish};
use crate::check::embrittlement::{hydrogen_counts, is_baked, is_charged_before};
use crate::check::heat::{ovens, spares_zinc};
use crate::check::{Case, Finding, FindingKind, Step, acid_is_forbidden, acid_is_watched, finding};
use crate::evidence::Source;
use crate::finish::{FilmKind, TreatmentKind, Verdict};
use crate::metal::{BaseMetal, Family};

const FREE_OF: Source = Source::common_practice(
    "parts must be free of oil, grease, plating, rust and scale; zinc plating and hot-dip galvanizing are \
     stripped first; rust or scale is pickled and rinsed first, heavy scale removed mechanically",
);
const STRIPPING: Source = Source::from_memory(
    "usual strippers by plating; hard steel is stripped without acid and never as the cathode, which charges hydrogen",
);
const UNDERSIZE: Source = Source::from_memory(
    "ISO 10684: galvanized bolts are threaded undersize (6az) or nuts tapped oversize (6AZ, 6AX) for 40 µm of zinc and \
     more",
);
const KEEP: Source = Source::common_practice("black passivates and topcoats over zinc");
const BARE_METAL: Source = Source::common_practice(
    "silicone heat-resistant paint is applied to blasted bare steel, which leaves no zinc beneath it",
);
const RENEW: Source = Source::from_memory(
    "plating practice: an old passivate comes off zinc in dilute nitric acid in seconds, and the zinc can be passivated again; \
     where too little zinc is left, the parts are stripped and plated again",
);
const PRICES: Source =
    Source::derived("prices of the catalog: stripping a kilogram against a kilogram of blanks");
const OUTGASSING: Source = Source::common_practice("castings are outgassed before powder coating");
const ACTIVATION: Source = Source::from_memory(
    "martensitic and precipitation-hardening stainless steel is activated by bead blasting or as the anode, not in acid",
);
const POLYMER: Source = Source::common_practice(
    "nylon inserts lose their locking above 250 °F (121 °C); the hot bath is warmer, so the insert is fitted \
     afterwards or protected",
);
/// Hottest of the bake against hydrogen embrittlement, °C.
const BAKE_C: f64 = 220.0;
/// Heat above which a polymer insert stops locking.
pub(super) const POLYMER_LIMIT_C: f64 = 121.0;
const CAUSTIC: Source = Source::common_practice(
    "aluminum and zinc dissolve in the hot caustic bath with hydrogen and spatter: danger of fire and burns",
);
const COPPER: Source =
    Source::common_practice("copper alloys discolor in the bath and copper may deposit on the steel");
const HOT_SALT: Source = Source::common_practice(
    "light metals, zinc, brass and brazed joints melt or dissolve in molten salt at 350 to 580 °C",
);
const ACID_STEPS: Source =
    Source::common_practice("pickling, plating and phosphating baths are acid and attack zinc and aluminum");
/// A bath above it is a salt bath.
const BOILING_C: f64 = 100.0;
/// The hottest phosphate bath that zinc is put through, °C (assumption: light zinc phosphate, which is made for zinc too, is
/// run up to 65 °C).
const ZINC_PHOSPHATE_C: f64 = 70.0;
const JOINED_TAKES_PART: Source = Source::common_practice(
    "what is joined to a part is plated, blasted, coated and heated with it; plating needs another pretreatment for each metal, \
     zinc flake is made for steel, and nitrocarburizing removes the resistance of stainless steel",
);
const JOINED_RUSTS: Source = Source::common_practice(
    "what is joined to a part goes through its process, and an assembly is as good as the metal that rusts first",
);
/// A bath above it is a melt: hot caustic boils at 150 °C at most.
const MOLTEN_C: f64 = 200.0;
const TRAPPED: Source = Source::common_practice(
    "blind holes, lap joints and porous castings trap bath, which bleeds out and causes rust later; trapped \
     water flashes to steam in the bath",
);

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    strip(case, found);
    rust_and_scale(case, found)?;
    insert(case, found)?;
    joined_metals(case, found)?;
    activation(case, found);
    if case.metal.family == Family::CastIron && case.films.iter().any(|(_, f)| f.kind == FilmKind::Powder) {
        found.push(
            finding(
                FindingKind::Warns,
                "preparation.outgassing",
                "Pores of the casting outgas in the cure and blister the powder coat.",
                OUTGASSING,
            )
            .remedy("Heat the castings above the cure temperature before the powder, and order a powder for castings."),
        );
    }
    if case.brief().part.traps_liquid && is_molten(case) {
        found.push(
            finding(
                FindingKind::Blocks,
                "preparation.trapped_liquid",
                "The part traps liquid in holes or laps: water left there explodes in molten salt, and the salt does not \
                 rinse out again.",
                TRAPPED,
            )
            .remedy("Drill drain holes, or choose a bath in water."),
        );
    } else if case.is_treated() && (case.brief().part.traps_liquid || case.metal.family == Family::CastIron) {
        found.push(
            finding(
                FindingKind::Needs,
                "preparation.trapped_liquid",
                "The part traps bath in holes, laps or pores.",
                TRAPPED,
            )
            .step(Step::SoakOut)
            .remedy(match case.films.first() {
                // an oil that displaces the water is the film, or there is none that oil would spoil
                Some((_, film)) if film.kind == FilmKind::Oil => {
                    "Load it to drain, dry it before the bath, rinse hot and soak, then displace with oil."
                }
                _ => {
                    "Load it to drain, dry it before the bath, rinse hot and soak, then dry it fully; no oil."
                }
            }),
        );
    }
    Ok(())
}

/// Whether the bath is a melt.
fn is_molten(case: &Case) -> bool {
    case.treatment.bath_temperature_c.as_ref().is_some_and(|bath| bath.low > MOLTEN_C)
}

/// Whether acid would stay in pores, laps or holes of the part; stainless steel is activated in acid even so.
fn holds_acid(case: &Case) -> bool {
    case.metal.family == Family::CastIron
        || case.brief().part.traps_liquid && !case.metal.family.is_stainless()
}

/// How a finish comes off: the step, the way, and the source.
fn way_to_strip(present: PresentFinish, without_acid: bool) -> (Step, &'static str) {
    match present {
        PresentFinish::ZincPlate | PresentFinish::HotDipZinc if without_acid => (
            Step::StripWithoutAcid,
            "in an alkaline stripper without current, or mechanically; no acid and never as the cathode",
        ),
        PresentFinish::ZincPlate | PresentFinish::HotDipZinc => {
            (Step::StripInAcid, "in inhibited acid, then rinse; stop when the gassing ends")
        }
        PresentFinish::CadmiumPlate => (
            Step::StripWithoutAcid,
            "in ammonium nitrate solution without current; cadmium dust and solution are poisonous: only a licensed shop, \
             with its own waste",
        ),
        PresentFinish::NickelPlate => (
            Step::StripWithoutAcid,
            "in an immersion stripper made for nickel on this metal, without mineral acid; fasteners: buy unplated parts if the \
             strip costs near a new blank",
        ),
        PresentFinish::ChromiumPlate => (
            Step::StripWithoutAcid,
            "as the anode in alkali, which forms hexavalent chromium; then strip the nickel under it in an immersion \
             stripper; never as the cathode",
        ),
        PresentFinish::Phosphate if without_acid => {
            (Step::StripWithoutAcid, "in hot alkaline remover with chelating agents, or by blasting")
        }
        PresentFinish::BlackOxide if without_acid => {
            (Step::StripWithoutAcid, "in an alkaline chelating stripper, or by fine blasting; no acid")
        }
        PresentFinish::Phosphate | PresentFinish::BlackOxide => {
            (Step::StripInAcid, "in inhibited acid for seconds to minutes, then rinse")
        }
        PresentFinish::Paint | PresentFinish::None => {
            (Step::StripWithoutAcid, "in an alkaline or solvent paint stripper, or by blasting")
        }
    }
}

fn strip(case: &Case, found: &mut Vec<Finding>) {
    let present = case.piece_at_hand().map_or(PresentFinish::None, |part| part.present_finish);
    if present.is_none() {
        return;
    }
    if keeps_zinc(case, found) {
        return;
    }
    // acid stays in laps, holes and pores, and meets caustic and nitrite there
    let spared = hydrogen_counts(case) || holds_acid(case);
    let (step, how) = way_to_strip(present, spared);
    found.push(
        finding(
            FindingKind::Needs,
            "preparation.strip",
            format!("The present {} must be stripped before finishing.", present.words()),
            if matches!(present, PresentFinish::Paint) { FREE_OF } else { STRIPPING },
        )
        .step(step)
        .remedy(format!("Strip the {} {how}.", present.words())),
    );
    let threaded = case.inquiry.thread().is_some_and(|thread| thread.room().is_some());
    if present == PresentFinish::HotDipZinc && threaded {
        found.push(
            finding(
                FindingKind::Warns,
                "preparation.undersize",
                "Hot-dip galvanized threads are cut for the zinc: bolts undersize or nuts oversize. Stripped, they fit \
                 loosely and carry less.",
                UNDERSIZE,
            )
            .remedy("Gauge the stripped thread (GO and NO-GO) and check the nut that goes with it, or buy new parts."),
        );
    }
    if sound_zinc(case) == Some(PresentFinish::HotDipZinc) && spares_zinc(case.brief()) {
        found.push(
            finding(
                FindingKind::Warns,
                "preparation.keep_zinc",
                "The galvanizing that is stripped protects the steel longer than the finish that takes its place.",
                KEEP,
            )
            .remedy(
                "Compare primer and paint over the galvanizing, which strips nothing, or buy parts that were never \
                 galvanized.",
            ),
        );
    } else if matches!(present, PresentFinish::ZincPlate | PresentFinish::HotDipZinc)
        && !case.treatment.is_zinc()
        && case.metal.family.rusts_by_dose()
        && spares_zinc(case.brief())
    {
        found.push(
            finding(
                FindingKind::Notes,
                "preparation.keep_zinc",
                "The zinc that is stripped protects the steel longer than black oxide with oil does.",
                KEEP,
            )
            .remedy("Compare a new black passivate on the present zinc: black zinc of the thickness that is there."),
        );
    }
    let prices = &case.catalog().content().prices;
    let share = prices.strip_per_kg.value / (prices.blank_per_kg.value * case.metal.price_factor.value);
    if share.is_finite() {
        found.push(
            finding(
                FindingKind::Notes,
                "preparation.buy_unplated",
                format!("Stripping costs about {:.0}% of new unplated blanks.", 100.0 * share),
                PRICES,
            )
            .remedy("Ask for unplated parts where the lot is not worth its stripping: no strip, no acid, threads as made."),
        );
    }
}

/// The zinc coating on the piece at hand, where it is sound: rust and scale are removed by ways that take zinc too.
fn sound_zinc(case: &Case) -> Option<PresentFinish> {
    let part = case.piece_at_hand()?;
    let sound = matches!(part.condition, None | Some(Condition::Clean | Condition::Oiled));
    Some(part.present_finish)
        .filter(|present| matches!(present, PresentFinish::ZincPlate | PresentFinish::HotDipZinc) && sound)
}

/// Whether the treatment renews the passivate on the present zinc plating and leaves the zinc where it is.
pub(crate) fn renews_zinc(case: &Case) -> bool {
    case.treatment.renews_zinc_plate && sound_zinc(case) == Some(PresentFinish::ZincPlate)
}

/// The present zinc coating that stays on the part: with a new passivate, or beneath films that keep to it.
pub(crate) fn zinc_that_stays(case: &Case) -> Option<PresentFinish> {
    let beneath_films = !case.is_treated() && !case.films.iter().any(|(_, film)| film.needs_bare_metal);
    sound_zinc(case).filter(|_| beneath_films || renews_zinc(case))
}

/// A present zinc coating that stays: with a new passivate, or beneath a film alone.
fn keeps_zinc(case: &Case, found: &mut Vec<Finding>) -> bool {
    if renews_zinc(case) {
        found.push(
            finding(
                FindingKind::Needs,
                "preparation.renew",
                format!(
                    "The present zinc plating stays and gets a new black passivate, if {:.0} µm or more are left.",
                    case.treatment.thickness_um.low
                ),
                RENEW,
            )
            .step(Step::TrialPiece)
            .remedy(
                "Run a few pieces first and measure their zinc before and after; where less is left, stop: the buyer orders new \
                 parts, or agrees to strip and plate.",
            ),
        );
        return true;
    }
    let Some(present) = zinc_that_stays(case) else {
        let bare = case.films.iter().find(|(_, film)| film.needs_bare_metal && !case.is_treated());
        if let (Some((_, film)), Some(present)) = (bare, sound_zinc(case)) {
            found.push(
                finding(
                    FindingKind::Warns,
                    "preparation.bare_metal",
                    format!(
                        "{} needs blasted bare metal: the {} cannot stay beneath it.",
                        film.name,
                        present.words()
                    ),
                    BARE_METAL,
                )
                .remedy("Strip the zinc as the route says, or compare a film that keeps to zinc."),
            );
        }
        return false;
    };
    let words = present.words();
    found.push(match case.films.first() {
        Some((_, film)) if film.kind.is_paint() => finding(
            FindingKind::Needs,
            "preparation.zinc_stays",
            format!("The present {words} stays beneath the paint; its own years are not counted."),
            KEEP,
        )
        .step(Step::TrialPiece)
        .remedy(
            "Clean without caustic or acid, which dissolve zinc. Prove adhesion by cross-cut on the zinc before the lot, and \
             leave pieces in the salt spray until they fail: the hours of the order are agreed from that.",
        ),
        _ => finding(
            FindingKind::Notes,
            "preparation.zinc_stays",
            format!("The present {words} stays; its own years are not counted."),
            KEEP,
        )
        .remedy("Clean without caustic or acid, which dissolve zinc."),
    });
    true
}

/// Passive stainless steel blackens only activated; where acid is ruled out, another way is named.
fn activation(case: &Case, found: &mut Vec<Finding>) {
    if case.treatment.black && case.metal.family.is_stainless() && acid_is_forbidden(case) {
        found.push(
            finding(
                FindingKind::Warns,
                "preparation.activation",
                "Stainless steel must be activated before blackening, and this one is too hard for acid.",
                ACTIVATION,
            )
            .remedy(if is_molten(case) {
                "Activate by fine bead blasting, and blow off every bead ahead of the salt."
            } else {
                "Activate by fine bead blasting immediately before the bath."
            }),
        );
    }
}

fn rust_and_scale(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    let (what, step) = match case.piece_at_hand().and_then(|part| part.condition) {
        Some(Condition::Rust) => ("rust", Step::Pickle),
        Some(Condition::LightScale) => ("light scale", Step::Pickle),
        Some(Condition::HeavyScale) => ("heavy scale", Step::Blast),
        Some(Condition::Clean | Condition::Oiled) | None => return Ok(()),
    };
    // a strip that spares steel of this hardness the acid is not followed by a pickle
    let spared = found.iter().any(|f| f.step == Some(Step::StripWithoutAcid)) && acid_is_watched(case)?;
    // acid stays in the pores of castings and leaves graphite as smut; zinc flake, phosphate and nitrocarburizing are
    // prepared by blasting, which spares the acid
    // paint on bare metal is held by the blasted surface, which has lost its rust
    let painted = !case.is_treated() && case.films.iter().any(|(_, film)| film.kind.is_paint());
    // a pickle goes straight into the bath, and the metal of such a part is inspected for cracks bare, ahead of it; black oxide
    // of plain steel and a coat alone have a pickle that is neutralized
    let straight = case.is_treated() && case.treatment.class != Some(1);
    let inspected = case.brief().part.safety_critical && straight;
    let blasted = spared
        || painted
        || inspected
        || holds_acid(case)
        || matches!(
            case.treatment.kind,
            TreatmentKind::ZincFlake | TreatmentKind::Phosphate | TreatmentKind::Nitrocarburize
        );
    let step = if step == Step::Pickle && (blasted || acid_is_forbidden(case)) { Step::Blast } else { step };
    let remedy = match step {
        Step::Pickle if case.metal.family.is_stainless() => {
            "Pickle in nitric or citric acid of the passivation type and rinse."
        }
        Step::Pickle => "Pickle in inhibited acid and rinse.",
        _ => "Blast or tumble the parts; use no acid.",
    };
    found.push(
        finding(
            FindingKind::Needs,
            "preparation.rust",
            format!("The {what} must be removed before finishing."),
            FREE_OF,
        )
        .step(step)
        .remedy(remedy),
    );
    Ok(())
}

fn insert(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    if !case.brief().part.has_polymer_insert() {
        return Ok(());
    }
    let bath = case.treatment.bath_temperature_c.as_ref().map_or(0.0, |range| range.high);
    let hottest = ovens(case, found).iter().map(|oven| oven.high_c).fold(bath, f64::max);
    // the finding of the bake is not made yet
    let hottest =
        if is_baked(case, is_charged_before(case, found)?)? { hottest.max(BAKE_C) } else { hottest };
    if hottest >= POLYMER_LIMIT_C {
        let part = &case.brief().part;
        let taken = if part.polymer_insert.is_none() { " (taken to be there: not stated)" } else { "" };
        found.push(
            finding(
                FindingKind::Needs,
                "preparation.polymer_insert",
                format!(
                    "The polymer insert{taken} withstands {POLYMER_LIMIT_C} °C and the route reaches {hottest:.0} °C."
                ),
                POLYMER,
            )
            .step(Step::InsertAfterwards)
            .remedy(if part.form.is_some_and(Form::is_nut) {
                "Finish the nuts before the insert is fitted, or order nuts already finished; test the prevailing torque \
                 again (ISO 2320)."
            } else {
                "Finish the parts before the patch or insert is applied, and have its maker apply it afterwards; test the \
                 prevailing torque then (DIN 267-28 for patches, DIN 267-27 for adhesive, from memory)."
            }),
        );
    }
    Ok(())
}

/// Whether a treatment lays metal or flakes on whatever is on the part, or goes into its surface.
const fn covers_or_attacks(kind: TreatmentKind) -> bool {
    matches!(kind, TreatmentKind::Electroplate | TreatmentKind::ZincFlake | TreatmentKind::Nitrocarburize)
}

/// What such a treatment does to a joined metal that it is not rated for.
const fn what_happens(kind: TreatmentKind) -> &'static str {
    match kind {
        TreatmentKind::Electroplate => {
            "is on the same rack: it goes through the acid and is plated too, and the plating peels off"
        }
        TreatmentKind::ZincFlake => {
            "is blasted, coated and heated with it, and the adhesion of zinc flake on it is not known"
        }
        _ => {
            "goes through the salt with it: stainless steel loses its resistance there, other metals melt or dissolve"
        }
    }
}

/// Plain steel joined to stainless steel.
fn rusts_first(case: &Case, metal: &BaseMetal) -> Finding {
    finding(
        FindingKind::Warns,
        "preparation.joined_metals",
        format!(
            "{} joined to the part rusts first: the years are those of {} alone.",
            metal.name, case.metal.name
        ),
        JOINED_RUSTS,
    )
    .remedy("Rank the joined metal by itself and count its years, or join stainless steel.")
}

/// What the acid bath of a phosphate does to a joined metal other than steel.
fn phosphated(case: &Case, metal: &BaseMetal, hottest_c: f64) -> Finding {
    let (name, bath) = (&metal.name, &case.treatment.name);
    let blocks = |said: String| {
        finding(FindingKind::Blocks, "preparation.joined_metals", said, ACID_STEPS)
            .remedy("Finish the part before joining.")
    };
    match metal.family {
        Family::Zinc if hottest_c > ZINC_PHOSPHATE_C => blocks(format!(
            "{name} joined to the part dissolves in the hot acid bath of {bath}, up to {hottest_c:.0} °C."
        )),
        // light phosphate is made for zinc too
        Family::Zinc => finding(
            FindingKind::Warns,
            "preparation.joined_metals",
            format!("The acid bath of {bath} attacks {name} joined to the part."),
            ACID_STEPS,
        )
        .remedy("Finish the part before joining."),
        Family::Aluminium => blocks(format!(
            "{name} joined to the part dissolves in the acid bath of {bath}, and what dissolves spoils the bath."
        )),
        _ => finding(
            FindingKind::Warns,
            "preparation.joined_metals",
            format!(
                "{name} joined to the part gets no phosphate: it discolors in the acid bath, and its copper can plate out on \
                 the steel."
            ),
            COPPER,
        )
        .remedy("Finish the part before joining, and count no years of the finish for the joined metal."),
    }
}

fn reddens(metal: &BaseMetal) -> String {
    format!(
        "{} joined to the part discolors in the bath, and its copper reddens this load and the next.",
        metal.name
    )
}

fn joined_metals(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    for (i, name) in case.brief().part.joined_metals.iter().enumerate() {
        let metal = case.catalog().base_metal_in(&format!("part.joined_metals[{i}]"), name)?;
        let hottest = case.treatment.bath_temperature_c.as_ref().map_or(0.0, |bath| bath.high);
        let pickled = found.iter().any(|f| matches!(f.step, Some(Step::Pickle | Step::StripInAcid)));
        let plated = case.treatment.kind == TreatmentKind::Electroplate;
        let rusts = case.metal.family.is_stainless() && metal.family.rusts_by_dose();
        if rusts {
            found.push(rusts_first(case, metal));
        }
        let suits = case.treatment.substrates.get(&metal.family);
        let refused = suits.is_none_or(|substrate| substrate.verdict == Verdict::Refused);
        match metal.family {
            _ if case.treatment.kind == TreatmentKind::Anodize && refused => found.push(
                finding(
                    FindingKind::Blocks,
                    "preparation.joined_metals",
                    format!(
                        "{} joined to the part is attacked in the bath and diverts its current.",
                        metal.name
                    ),
                    ACID_STEPS,
                )
                .remedy("Finish the part before joining."),
            ),
            // no copper strike is between the zinc and the acids of a plating line
            Family::Aluminium | Family::Zinc if pickled || plated => found.push(
                finding(
                    FindingKind::Blocks,
                    "preparation.joined_metals",
                    format!("{} joined to the part dissolves in the acids of the route.", metal.name),
                    ACID_STEPS,
                )
                .remedy("Finish the part before joining, or blast it and order a finish without acid."),
            ),
            _ if refused && covers_or_attacks(case.treatment.kind) => found.push(
                finding(
                    FindingKind::Blocks,
                    "preparation.joined_metals",
                    format!("{} joined to the part {}.", metal.name, what_happens(case.treatment.kind)),
                    JOINED_TAKES_PART,
                )
                .remedy("Finish the part before joining."),
            ),
            _ if !case.is_treated() => {}
            Family::Aluminium | Family::Zinc | Family::CopperAlloy
                if case.treatment.outside_blackening && hottest > BOILING_C =>
            {
                found.push(
                    finding(
                        FindingKind::Blocks,
                        "preparation.joined_metals",
                        format!(
                            "{} joined to the part does not withstand the bath at {hottest:.0} °C.",
                            metal.name
                        ),
                        HOT_SALT,
                    )
                    .remedy("Finish the part before joining."),
                );
            }
            Family::Aluminium | Family::Zinc | Family::CopperAlloy
                if case.treatment.kind == TreatmentKind::Phosphate =>
            {
                found.push(phosphated(case, metal, hottest));
            }
            _ if case.treatment.outside_blackening && !refused => {}
            Family::Aluminium | Family::Zinc if !case.treatment.outside_blackening => found.push(
                finding(
                    FindingKind::Blocks,
                    "preparation.joined_metals",
                    format!(
                        "{} joined to the part dissolves in the bath and generates hydrogen.",
                        metal.name
                    ),
                    CAUSTIC,
                )
                .remedy("Finish the part before joining."),
            ),
            Family::CopperAlloy if !case.treatment.outside_blackening => found.push(
                finding(FindingKind::Blocks, "preparation.joined_metals", reddens(metal), COPPER)
                    .remedy("Finish the part before joining."),
            ),
            // plain steel in a process for stainless steel is eaten by its acids; stainless steel merely stays as it is
            _ if refused => {
                let kind = if rusts { FindingKind::Blocks } else { FindingKind::Warns };
                let why = suits.map_or_else(String::new, |substrate| format!(": {}", substrate.why));
                let source = suits.map_or(JOINED_RUSTS, |substrate| case.catalog().source(&substrate.source));
                let said =
                    format!("{} joined to the part does not take {}{why}.", metal.name, case.treatment.name);
                found.push(finding(kind, "preparation.joined_metals", said, source).remedy(
                    "Finish the part before joining, and count no years of the finish for the joined metal.",
                ));
            }
            _ => {}
        }
    }
    Ok(())
}
