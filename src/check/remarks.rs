//! Words of the brief that no rule judges, and what the checks take for granted.

use std::collections::BTreeSet;

use crate::brief::{Brief, Form, SITE_ASSUMED};
use crate::check::fit::{FITTED_PIN, FITTING};
use crate::check::safety::is_structural;
use crate::check::strength::{ClassSaid, Strength, class_in_words};
use crate::check::{Inquiry, couple, heat, thread, torque};
use crate::finish::Build;
use crate::metal::{Family, InchGrade};

/// Words that go with rated lifting hardware.
const LIFTING: [&str; 52] = [
    "lifting",
    "hoist",
    "hoisting",
    "rigging",
    "eyebolt",
    "eye bolt",
    "shackle",
    "swivel ring",
    "hoist ring",
    "sling",
    "turnbuckle",
    "load rated",
    "wll",
    "rated load",
    "under the load",
    "working load",
    "crane hook",
    "load hook",
    "hook for a chain",
    "chain block",
    "eye nut",
    "eyenut",
    "lifting eye",
    "towing eye",
    "tow eye",
    "tow hook",
    "lashing ring",
    "lashing eye",
    "tie down",
    "fall arrest",
    "fall protection",
    "lifeline",
    "d ring",
    "elevator rope",
    "elevator suspension",
    "chain sling",
    "load chain",
    "spreader beam",
    "swivel hook",
    "load bearing hook",
    "chain hook",
    "winch hook",
    "strap hook",
    "ratchet strap",
    "carabiner",
    "karabiner",
    "quick link",
    "rope clamp",
    "rope clip",
    "safety harness",
    "for harness",
    "jack stand",
];
/// Words that go with parts that steer, stop or hold a person.
const VEHICLE: [&str; 56] = [
    "crane",
    "guard rail",
    "hand rail",
    "wall mount",
    "tv mount",
    "tv bracket",
    "roof rack",
    "roof box",
    "escalator",
    "wheelchair",
    "child seat",
    "ladder",
    "stair",
    "staircase",
    "elevator",
    "railing",
    "guardrail",
    "handrail",
    "balustrade",
    "balcony",
    "overhead",
    "ceiling",
    "suspended",
    "above people",
    "over people",
    "swing",
    "brake",
    "steering",
    "wheel bolt",
    "wheel nut",
    "wheel stud",
    "seat belt",
    "stem bolt",
    "handlebar",
    "suspension",
    "parachute",
    "climbing",
    "lug nut",
    "lug bolt",
    "tie rod",
    "ball joint",
    "tow bar",
    "towbar",
    "hitch",
    "scaffold",
    "scaffolding",
    "trapeze",
    "roof truss",
    "seat post",
    "seatpost",
    "roll cage",
    "roller coaster",
    "amusement ride",
    "hook",
    "winch",
    "anchor point",
];

/// Words for steel whose hardness or pores the brief leaves open.
const SINTERED: [&str; 4] = ["sintered", "powder metal", "powder metallurgy", "oil impregnated"];
const SPRING: [&str; 6] = ["spring", "spring steel", "spring washer", "circlip", "e clip", "retaining ring"];
const HARDENED: [&str; 7] = [
    "case hardened",
    "carburized",
    "carbonitrided",
    "nitrided",
    "induction hardened",
    "through hardened",
    "hrc",
];

/// What no rule judges: words, what they are about, what stays open.
type Topic = (&'static [&'static str], &'static str, &'static str);

const TOPICS: [Topic; 30] = [
    (&["steam", "autoclave"], "steam", "films, oil and wax in steam; corrosion in hot condensate"),
    (
        &["food", "kitchen", "drinking water", "potable", "baby food", "edible"],
        "contact with food",
        "whether film, oil and black are permitted for food contact under local law",
    ),
    (
        &[
            "dishwasher",
            "detergent",
            "caustic wash",
            "caustic",
            "washdown",
            "cleaning agent",
            "bleach",
            "hypochlorite",
        ],
        "washing agents",
        "alkali, chlorine and hot rinse on film, black and stainless steel",
    ),
    (
        &["skin", "sweat", "worn on the body", "wearable", "jewelry", "jewellery"],
        "contact with skin",
        "nickel release, chromium, oil on skin and sweat on the film",
    ),
    (
        &["child", "children", "toy", "toys", "playground", "baby", "crib", "nursery"],
        "use by children",
        "migration of elements (toy safety law), lead in old coatings, sharp edges",
    ),
    (
        &["fertilizer", "fertiliser", "manure", "ammonia", "slurry", "urea"],
        "fertilizer and ammonia",
        "attack by chlorides, nitrates and ammonia; copper alloys nearby",
    ),
    (
        &[
            "treated timber",
            "treated wood",
            "treated lumber",
            "pressure treated",
            "acq",
            "tanalith",
            "tanalized",
            "tanalised",
            "creosote",
            "oak",
            "cedar",
            "timber",
            "lumber",
        ],
        "timber",
        "copper preservative or wood acid: building codes ask for hot-dip zinc or stainless steel in preservative-treated wood",
    ),
    (
        &["approval", "approved", "eta", "anchor", "technical assessment"],
        "approval",
        "whether a refinished part keeps its approval: ask the holder; a film on the cone of an expansion anchor changes its hold",
    ),
    (
        &[
            "oil immersion",
            "immersed in oil",
            "gearbox",
            "gear oil",
            "hydraulic oil",
            "engine oil",
            "transmission",
        ],
        "immersion in oil",
        "whether film and residues withstand hot oil, and what they add to it",
    ),
    (
        &[
            "fuel",
            "gasoline",
            "diesel",
            "ethanol",
            "e10",
            "e85",
            "solvent",
            "acetone",
            "brake fluid",
            "glycol",
            "coolant",
        ],
        "fuels and solvents",
        "swelling and loss of the film",
    ),
    (
        &["pool", "swimming", "chlorine", "chlorinated"],
        "pool atmosphere",
        "stress corrosion cracking of stainless steel: codes restrict grades over pools",
    ),
    (&["concrete", "mortar", "cement", "grout"], "concrete", "alkali on film and zinc; chlorides in the mix"),
    (
        &["immersed", "underwater", "submerged", "buried", "soil"],
        "immersion or soil",
        "the model is for the atmosphere, not for water or soil",
    ),
    (&["vacuum", "outgassing"], "vacuum", "outgassing of oil, wax and paint; black oxide holds water"),
    (
        &["structural bolt", "slip critical", "en 14399", "a325", "a490", "preloaded bolting"],
        "preloaded structural bolting",
        "their standards allow only the coating and lubricant that the maker of the assembly supplies",
    ),
    (&["oxygen"], "oxygen", "ignition of oil, wax and paint in oxygen: only cleaned parts"),
    (
        &["medical", "implant", "sterile", "sterilize", "sterilise", "surgical"],
        "medical use",
        "biocompatibility and sterilization",
    ),
    (
        &[
            "pressure vessel",
            "boiler",
            "pipe flange",
            "flange joint",
            "flanged joint",
            "pipeline",
            "pressure equipment",
            "hydraulic",
        ],
        "pressure",
        "bolting by class certificate and code; no zinc or cadmium where hot",
    ),
    (
        &["grounding", "earthing", "conductive", "shielding"],
        "electrical contact",
        "whether the contact conducts through the finish: mask it",
    ),
    (&["magnetic", "mri"], "magnetism", "permeability of metal and black"),
    (&["abrasion", "wear", "sliding"], "wear", "wear and run-in of the film"),
    (
        &[
            "hydrogen gas",
            "h2s",
            "hydrogen sulfide",
            "sour gas",
            "sour service",
            "cathodic protection",
            "cathodically protected",
            "sacrificial anode",
            "impressed current",
        ],
        "hydrogen in service",
        "embrittlement of steel from 350 HV up by hydrogen from the service, which no bake prevents",
    ),
    (
        &["cryogenic", "liquid nitrogen", "liquid oxygen", "lng"],
        "deep cold",
        "toughness of the metal, and cracks in the film in the cold",
    ),
    (
        &["aircraft", "aerospace", "spacecraft", "nuclear", "reactor"],
        "regulated industry",
        "approved processes and suppliers: their specifications set the finish",
    ),
    (&["fire", "fireproof", "flame"], "fire", "behavior of the finish in a fire, fume"),
    (
        &["atex", "explosive atmosphere", "explosion proof", "hazardous area", "ex zone"],
        "explosive atmosphere",
        "sparks where light metal strikes rust, static charge of thick films, and the certificate of the equipment",
    ),
    (
        &SINTERED,
        "sintered metal",
        "its pores keep bath and acid, which bleed out later, and spoil a plating: say that it traps liquid, and agree the finish \
         with the maker",
    ),
    (
        &SPRING,
        "spring steel",
        "hydrogen breaks steel of 390 HV and above, and a spring is loaded for life: its hardness, and whether any acid or \
         electroplate is allowed",
    ),
    (
        &HARDENED,
        "hardened surfaces",
        "hydrogen breaks steel of 390 HV and above, and heat softens it: enter the hardness of the surface and the tempering \
         temperature",
    ),
    (
        &["acid", "acids", "chemical", "chemicals", "battery", "plating line"],
        "chemicals",
        "attack by the chemical on film and metal",
    ),
];

/// Phrases in which such a word means nothing of the kind, or is denied.
const OTHERWISE: [&str; 17] = [
    "ladder diagram",
    "ladder diagrams",
    "ladder logic",
    "overhead cost",
    "overhead costs",
    "overhead rate",
    "elevator pitch",
    "not welded",
    "never welded",
    "no weld",
    "no welds",
    "no welding",
    "without welding",
    "welded before finishing",
    "welded before coating",
    "weld before finishing",
    "welding before finishing",
];

/// A field that words of name or remarks speak of: the words, what they are about, what stays open.
fn fields_spoken_of(brief: &Brief, text: &str) -> Vec<(String, &'static str, &'static str)> {
    let Brief { part, duty, .. } = brief;
    let coated = part.present_finish.is_none() && duty.mating_metals.is_empty();
    let cold = duty.heat_continuous_c.is_none() && duty.heat_peak_c.is_none();
    let taken_or_none =
        matches!(part.form, Some(Form::LockNut | Form::Bracket | Form::Pin | Form::PlainWasher));
    let insert = part.polymer_insert.is_none() && !taken_or_none;
    let said = |open: bool, words: &[&'static str]| met(text, words).filter(|_| open).map(str::to_owned);
    let locking = || locking_word(text).filter(|_| insert);
    [
        (
            said(!duty.welded_after_finishing, &WELDING),
            "welding",
            "no weld is judged; enter `duty.welded_after_finishing` if the finished part is welded, brazed or soldered",
        ),
        (
            said(insert, &LOCKING).or_else(locking),
            "a locking insert or patch",
            "no insert is judged; enter `part.polymer_insert` if the part carries one",
        ),
        (
            said(coated, &COATED),
            "a coating that is there",
            "no present finish is judged; enter `part.present_finish` if it is on the part, `duty.mating_metals` if it is on \
             what the part touches",
        ),
        (
            said(cold, &HEATED).or_else(|| brief.temperature_in_remarks().filter(|_| cold)),
            "heat",
            "no heat is judged; enter the temperature of the part",
        ),
    ]
    .into_iter()
    .filter_map(|(word, topic, open)| Some((word?, topic, open)))
    .collect()
}

const WELDING: [&str; 14] = [
    "weld",
    "welded",
    "welding",
    "brazed",
    "braze",
    "brazing",
    "soldered",
    "solder",
    "soldering",
    "mig",
    "tig",
    "spot weld",
    "stud weld",
    "tack weld",
];
const LOCKING: [&str; 9] = [
    "thread patch",
    "locking patch",
    "patch screw",
    "patch bolt",
    "patch",
    "threadlocker",
    "thread locker",
    "threadlocking",
    "thread locking",
];
const COATED: [&str; 15] = [
    "galvanized",
    "galvanised",
    "zinc plated",
    "zinc coated",
    "cadmium",
    "cadmium plated",
    "nickel plated",
    "tin plated",
    "tinned",
    "copper plated",
    "silver plated",
    "chromed",
    "chrome plated",
    "phosphated",
    "electroplated",
];
const HEATED: [&str; 13] = [
    "red hot",
    "glows",
    "glowing",
    "red heat",
    "exhaust",
    "furnace",
    "oven",
    "kiln",
    "fireplace",
    "stove",
    "barbecue",
    "flue",
    "chimney",
];

/// A word of the industry for a locking element of polymer or adhesive: by its stem, since each maker spells its own.
fn locking_word(text: &str) -> Option<String> {
    let is_one = |word: &&str| {
        word.starts_with("nylo")
            || word.starts_with("precot")
            || word.starts_with("precoat")
            || word.ends_with("lok")
    };
    text.split(' ').find(is_one).map(str::to_owned)
}

/// The lowercase words of the name and the remarks, each between blanks, without phrases that mean something else.
fn text_of(brief: &Brief) -> String {
    let mut text = String::from(" ");
    for word in [Some(brief.name.as_str()), brief.remarks.as_deref()].into_iter().flatten() {
        for word in word.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()) {
            text.push_str(&word.to_lowercase());
            text.push(' ');
        }
    }
    OTHERWISE.iter().fold(text, |text, phrase| text.replace(&format!(" {phrase} "), " "))
}

fn met<'w>(text: &str, words: &[&'w str]) -> Option<&'w str> {
    let starts_with = |rest: &str, word: &str| {
        rest.strip_prefix(word).is_some_and(|after| after.starts_with(' ') || after.starts_with("s "))
    };
    let holds = |word: &str| {
        text.match_indices(' ').any(|(at, _)| text.get(at + 1..).is_some_and(|rest| starts_with(rest, word)))
    };
    words.iter().copied().find(|word| holds(word))
}

/// What name and remarks of a brief say that rules judge by: of each list the first word, or its plural, that they
/// hold. Read once for all builds.
#[derive(Debug)]
pub(super) struct Said {
    pub(super) lifting: Option<&'static str>,
    pub(super) vehicle: Option<&'static str>,
    pub(super) fitting: Option<&'static str>,
    /// What states the fit of a pin: a word, or a tolerance class of a shaft, such as m6.
    pub(super) pin_fit: Option<String>,
    /// A grade of structural bolts.
    pub(super) structural: Option<InchGrade>,
    /// The strongest class or grade.
    pub(super) class: Option<ClassSaid>,
}

impl Said {
    pub(super) fn by(brief: &Brief) -> Self {
        let text = text_of(brief);
        let unthreaded = brief.part.thread.is_none();
        let pin_fit = met(&text, &FITTED_PIN).map(str::to_owned);
        Self {
            lifting: met(&text, &LIFTING),
            vehicle: met(&text, &VEHICLE),
            fitting: met(&text, &FITTING),
            pin_fit: pin_fit.or_else(|| shaft_class(brief).filter(|_| unthreaded)),
            structural: text.split(' ').find_map(|word| {
                // the metric editions end in M
                InchGrade::named(word.strip_suffix('m').unwrap_or(word)).filter(is_structural)
            }),
            class: class_in_words(brief),
        }
    }
}

/// A tolerance class of a shaft in name or remarks, IT5 to IT9 (ISO 286): "h6", "m6", "js7"; capital letters are of bores
/// and of threads.
fn shaft_class(brief: &Brief) -> Option<String> {
    let is_class = |word: &&str| {
        let Some((letters, grade)) = word.split_at_checked(word.len().saturating_sub(1)) else {
            return false;
        };
        matches!(letters, "f" | "g" | "h" | "j" | "js" | "k" | "m" | "n" | "p" | "r" | "s")
            && matches!(grade, "5" | "6" | "7" | "8" | "9")
    };
    let texts = [Some(brief.name.as_str()), brief.remarks.as_deref()];
    let mut words = texts.into_iter().flatten().flat_map(|text| text.split(|c: char| !c.is_alphanumeric()));
    words.find(is_class).map(str::to_owned)
}

/// Whether name or remarks speak of sintered, spring or hardened steel, and no field says how hard it is.
#[cfg(feature = "report")]
pub(crate) fn leaves_hardness_open(brief: &Brief) -> bool {
    let text = text_of(brief);
    brief.part.hardness_hv.is_none()
        && [&SINTERED[..], &SPRING, &HARDENED].iter().any(|words| met(&text, words).is_some())
}

/// How each sentence of [`not_judged`] begins.
pub(crate) const NOT_JUDGED: &str = "Not judged: ";

/// What name and remarks of the brief say that no rule judges, one sentence each with what it leaves open.
pub(crate) fn not_judged(brief: &Brief) -> Vec<String> {
    let text = text_of(brief);
    let mut said: Vec<String> = TOPICS
        .iter()
        .filter_map(|(words, topic, open)| {
            let word = met(&text, words)?;
            Some(format!("{NOT_JUDGED}{topic} (\"{word}\"). Open: {open}. Have it assessed before ordering."))
        })
        .collect();
    let fields = fields_spoken_of(brief, &text);
    said.extend(fields.into_iter().map(|(word, topic, open)| {
        format!("{NOT_JUDGED}{topic} (\"{word}\"). Open: {open}. Have it assessed before ordering.")
    }));
    // what the first questions note themselves needs no check
    let own = brief.remarks.as_deref().unwrap_or_default().replace(SITE_ASSUMED, "");
    let own = own.trim_matches([' ', ';', '.']);
    if !own.is_empty() {
        said.push(format!("{NOT_JUDGED}the remarks beyond single words. Check them yourself: {own}"));
    }
    said
}

/// What the checks take for granted where the brief says nothing, one line each.
pub(crate) fn taken_for_granted(inquiry: &Inquiry, builds: &[Build]) -> Vec<String> {
    let (part, catalog) = (&inquiry.brief().part, inquiry.catalog());
    let diameter_mm = inquiry.thread().map(|thread| thread.thread.diameter_mm());
    let mut said = Vec::new();
    if !part.safety_critical {
        said.push(
            "safety: no life or limb is taken to hang on the part; say that it is safety-critical where it lifts, holds, steers or \
             brakes"
                .to_owned(),
        );
    }
    if part.form == Some(Form::LockNut) && part.polymer_insert.is_none() {
        said.push(
            "lock nut: taken to have a polymer insert, which withstands 121 °C; enter it where it has none"
                .to_owned(),
        );
    }
    let metals: BTreeSet<&str> = builds.iter().map(|build| build.base_metal.as_str()).collect();
    for (name, metal) in metals.iter().filter_map(|name| Some((*name, catalog.base_metal(name).ok()?))) {
        let piece = Some(part).filter(|part| part.is_at_hand_in(name));
        let thread = inquiry.thread().map(|thread| thread.thread);
        let lowest_c = heat::lowest_of(metal, part, thread);
        let stated = piece.is_some_and(|part| {
            // of a piece harder than its grade the tempering is asked for where an oven could soften it
            let harder =
                part.hardness_hv.zip(metal.hardness_hv.as_ref()).is_some_and(|(hv, usual)| hv > usual.high);
            part.tempering_temperature_c.is_some() || harder
        });
        if let Some(lowest_c) = lowest_c.filter(|_| !stated && metal.family.is_hardenable()) {
            let editions = heat::tempering_by_edition(metal, part, thread);
            said.push(format!(
                "tempering of {}: not stated, taken at {lowest_c} °C{editions}; enter the tempering temperature of the part",
                metal.name
            ));
        }
        if (metal.family.is_stainless() || metal.family == Family::CopperAlloy)
            && let Some(strength) = Strength::of(metal, part, diameter_mm, catalog)
        {
            said.push(format!("strength of {}: that of {}", metal.name, strength.class));
        }
    }
    said.extend(thread::assumed_thread(inquiry));
    said.extend(torque::taken_as_screw(inquiry));
    said.extend(torque::assumed_friction(inquiry));
    said.extend(couple::assumed_area(&inquiry.brief().duty));
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whole words and their plurals, also of several words; no parts of words.
    #[test]
    fn words_are_met_whole() {
        let met = |text: &str| met(text, &["shackle", "eye bolt"]);
        assert_eq!(met(" two shackles "), Some("shackle"));
        assert_eq!(met(" for an eye bolt "), Some("eye bolt"));
        assert_eq!(met(" eye eye bolts "), Some("eye bolt"));
        assert_eq!(met(" shackled eye bolting "), None);
        assert_eq!(met(" ramshackle "), None);
        assert_eq!(met(" "), None);
    }
}
