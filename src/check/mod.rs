//! What forbids a build, what it needs, what to beware of: one file per family of rules.
//!
//! | file | rules |
//! | --- | --- |
//! | `inquiry` | what the rules read of a brief once for all of its builds |
//! | `substrate` | which treatment is suitable for which base metal and condition |
//! | `preparation` | clean, strip, pickle, blast, inserts, joined metals, trapped liquid |
//! | `strength` | a metal that is weaker or softer than the one named, heads, nuts and set screws |
//! | `safety` | what a safety-critical part asks for, whatever it is made of |
//! | `embrittlement` | hydrogen in hard steel: acid, plating, service |
//! | `heat` | layers, color, property class and tempering against the heat of the duty and of ovens |
//! | `welding` | what burns and fumes where the finished part is welded |
//! | `thread` | thread allowance and the films in it |
//! | `head_only` | paint on head and shank alone |
//! | `fit` | fits, seats, ports and clamped faces under a film |
//! | `torque` | friction and preload against the finish used before or the usual torque tables |
//! | `couple` | contact with other metals |
//! | `appearance` | black, gloss, shade, rub-off, sunlight |
//! | `substances` | what local rules may restrict |
//! | `remarks` | words of the brief that no rule judges, and what was taken for granted |
//!
//! Each check is a pure function of a [`Case`] and yields [`Finding`]s with their reason and source. A
//! `needs` changes the route and the cost, never the order of the layers.

mod appearance;
mod couple;
mod embrittlement;
mod fit;
mod head_only;
mod heat;
mod inquiry;
mod preparation;
mod remarks;
mod safety;
mod strength;
mod substances;
mod substrate;
mod thread;
mod torque;
mod welding;

use std::borrow::Cow;
use std::ops::Deref;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::atmosphere::Shelter;
use crate::brief::customary::in_customary_units;
use crate::brief::{Brief, Exposure, Form, Handling, Part, Sunlight};
use crate::catalog::Catalog;
use crate::evidence::Source;
use crate::fastener::Thread;
use crate::finish::{Build, Film, Treatment};
use crate::metal::stainless::ResistanceClass;
use crate::metal::{BaseMetal, PropertyClass};

pub(crate) use appearance::gloss_of;
pub use appearance::{appearance_desirability, is_black};
pub use couple::CoupleMetal;
pub(crate) use couple::SALTY_INDOORS_MG_M2_DAY;
pub use embrittlement::acid_is_forbidden;
pub(crate) use embrittlement::{HARD_PHOSPHATE_HV, acid_is_watched, hydrogen_counts};
pub(crate) use fit::YEARS_OF_A_FIT;
pub use fit::fit_desirability;
pub(crate) use head_only::{counted, counted_of, is_head_only, masked_thread, tightened_film};
pub use heat::heat_desirability;
pub(crate) use heat::{
    BELOW_TEMPERING_C, CRACKING_CHLORIDE_MG_M2_DAY, oven_limit_c, serving_tempering_c, spares_zinc,
    waits_for_tempering,
};
pub use inquiry::Inquiry;
pub(crate) use preparation::{renews_zinc, zinc_that_stays};
#[cfg(feature = "report")]
pub(crate) use remarks::leaves_hardness_open;
pub(crate) use remarks::{NOT_JUDGED, not_judged, taken_for_granted};
pub(crate) use safety::MAKER_LIMIT_C;
pub(crate) use strength::{
    class_is_open, first_base_metal, inch_order, martensitic_classes, usual_base_metal,
};
pub(crate) use thread::{
    MASKED_YEARS, SMALLEST_DIPPED_MM, agreed_allowance_um, allowance_in_words, thickness_limit_um,
    tolerance_of, tolerance_to_order,
};
pub use thread::{PartThread, thread_desirability};
pub use torque::friction_desirability;
#[cfg(feature = "report")]
pub(crate) use torque::galls;
pub(crate) use torque::{friction_window, is_made_for_fasteners, is_tightened_bare};

/// One build of one brief, with everything that a rule may look at.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The inquiry.
    pub inquiry: &'a Inquiry<'a>,
    /// Its duty, filled in.
    pub exposure: &'a Exposure,
    /// The build by names.
    pub build: &'a Build,
    /// Its base metal.
    pub metal: &'a BaseMetal,
    /// Its treatment.
    pub treatment: &'a Treatment,
    /// Its films, innermost first.
    pub films: &'a [(&'a str, &'a Film)],
}

impl<'a> Case<'a> {
    /// The brief of the inquiry.
    pub fn brief(&self) -> &'a Brief {
        self.inquiry.brief()
    }

    /// The catalog that names and numbers come from.
    pub fn catalog(&self) -> &'a Catalog {
        self.inquiry.catalog()
    }

    /// The piece at hand; none where the build is in another base metal than it, so made anew.
    pub fn piece_at_hand(&self) -> Option<&'a Part> {
        Some(&self.brief().part).filter(|part| part.is_at_hand_in(&self.build.base_metal))
    }

    /// Highest hardness of the part, HV: that of the piece at hand, else the upper end of the class, the condition or the
    /// grade. A hardness that the class or condition cannot have is passed over.
    pub fn hardness_hv(&self) -> Option<f64> {
        self.hardness_range_hv().map(|(_, most)| most)
    }

    /// Lowest and highest hardness of the part, HV, as [`hardness_hv`](Self::hardness_hv) finds them.
    pub(crate) fn hardness_range_hv(&self) -> Option<(f64, f64)> {
        let of_class = self.strength().and_then(|strength| strength.hardness_hv);
        let own = self.piece_at_hand().and_then(|part| part.hardness_hv);
        own.filter(|own| of_class.is_none_or(|(least, _)| *own >= least))
            .map(|own| (own, own))
            .or(of_class)
            .or(self.metal.hardness_hv.as_ref().map(|range| (range.low, range.high)))
    }

    /// Whether the part is loaded in tension by design: a set screw is not.
    pub(crate) fn is_in_tension(&self) -> bool {
        self.brief().part.form != Some(Form::SetScrew)
    }

    /// The class or condition that an order writes for the part: a nut, a set screw or a weak head has its own.
    pub(crate) fn class_to_order(&self) -> Option<Cow<'static, str>> {
        self.strength().map(|strength| strength.class)
    }

    /// Whether the part has an inch thread.
    pub(crate) fn has_inch_thread(&self) -> bool {
        matches!(self.inquiry.thread().map(|thread| thread.thread), Some(Thread::Inch(_)))
    }

    /// Thread diameter, mm.
    fn diameter_mm(&self) -> Option<f64> {
        self.inquiry.thread().map(|thread| thread.thread.diameter_mm())
    }

    /// Strength that the part can be counted on for, by its class.
    fn strength(&self) -> Option<strength::Strength> {
        strength::Strength::of(self.metal, &self.brief().part, self.diameter_mm(), self.catalog())
    }

    /// The metals joined to the part, which go through every bath and oven with it.
    fn joined(&self) -> impl Iterator<Item = &'a BaseMetal> {
        let (catalog, part) = (self.catalog(), &self.brief().part);
        part.joined_metals.iter().filter_map(|name| catalog.base_metal(name).ok())
    }

    /// Highest hardness of steel that hydrogen can break: that of the part or of a metal joined to it, HV.
    pub(crate) fn hydrogen_hardness_hv(&self) -> Option<f64> {
        self.own_hydrogen_hardness_hv().into_iter().chain(self.joined_hardness_hv()).reduce(f64::max)
    }

    /// Hardness of the part that hydrogen is judged by, HV: the harder of what is stated and what its class allows, since a
    /// reading is of some pieces and a lot spreads over its class.
    fn own_hydrogen_hardness_hv(&self) -> Option<f64> {
        let stated = self.hardness_hv().filter(|_| self.metal.family.is_hardenable())?;
        Some(self.most_of_class_hv().map_or(stated, |most| stated.max(most)))
    }

    /// Highest hardness of the class that the metal has or the part is asked in, HV.
    fn most_of_class_hv(&self) -> Option<f64> {
        let of_steel = self.metal.property_class.as_deref().and_then(PropertyClass::named);
        let has_class = of_steel.is_some() || self.brief().part.property_class.is_some();
        let of_class = self.strength().filter(|_| has_class)?.hardness_hv;
        of_class.map(|(_, most)| most)
    }

    /// Highest hardness of the steel joined to the part, HV.
    fn joined_hardness_hv(&self) -> Option<f64> {
        let hard = self.joined().filter(|metal| metal.family.is_hardenable());
        hard.filter_map(|metal| metal.hardness_hv.as_ref()).map(|range| range.high).reduce(f64::max)
    }

    /// Whether the part is hard enough, 390 HV and above, for hydrogen to break it.
    pub(crate) fn is_very_hard(&self) -> bool {
        self.hydrogen_hardness_hv().is_some_and(|hv| hv >= embrittlement::VERY_HARD_HV)
    }

    /// Whether the inquiry says that the part is rated lifting hardware, to which its maker alone consents.
    pub(crate) fn is_for_lifting(&self) -> bool {
        self.inquiry.said.lifting.is_some()
    }

    /// The stated hardness of a piece that is harder than its class or grade, so that its tempering was lower than usual;
    /// none where the tempering is stated.
    fn harder_than_usual_hv(&self) -> Option<f64> {
        let part = self.piece_at_hand().filter(|part| part.tempering_temperature_c.is_none())?;
        let stated = part.hardness_hv.filter(|_| self.metal.family.is_hardenable())?;
        let of_class = self.strength().and_then(|strength| strength.hardness_hv).map(|(_, most)| most);
        let usual = of_class.or(self.metal.hardness_hv.as_ref().map(|range| range.high));
        let most = usual.map(|most| heat::most_of_usual_tempering_hv(self.metal.family, most));
        Some(stated).filter(|stated| most.is_none_or(|most| *stated > most))
    }

    /// Whether water can reach the part in service.
    fn is_wet(&self) -> bool {
        !self.exposure.climate_controlled
    }

    /// Tempering temperature: that of the piece at hand, else the lowest that it can have had by its hardness, its class,
    /// the editions and usual practice: what is left out is judged no milder than what is stated.
    pub fn tempering_temperature_c(&self) -> Option<f64> {
        let own = self.piece_at_hand().and_then(|part| part.tempering_temperature_c);
        own.or_else(|| self.harder_than_usual_hv().map(|_| heat::LOWEST_TEMPERING_C)).or_else(|| {
            let thread = self.inquiry.thread().map(|thread| thread.thread);
            heat::lowest_of(self.metal, &self.brief().part, thread)
        })
    }

    /// Whether the part is treated, in a bath or not.
    pub fn is_treated(&self) -> bool {
        !self.treatment.is_none()
    }
}

// hundreds of builds share a few dozen of them: a copy is one more reference
/// The outcome of one check on one build.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Finding(Arc<FindingParts>);

/// The outcome of one check on one build.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema), schemars(rename = "Finding"))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct FindingParts {
    /// How grave it is.
    pub kind: FindingKind,
    /// The rule, for example `substrate.class`.
    pub rule: Cow<'static, str>,
    /// What was found, one sentence with its numbers.
    pub message: Cow<'static, str>,
    /// What to do about it, where something can be done.
    pub remedy: Option<Cow<'static, str>>,
    /// The step that a `needs` adds to the route.
    pub step: Option<Step>,
    /// Where the rule comes from.
    pub source: Source,
}

/// How grave a finding is, gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FindingKind {
    /// The build cannot be used.
    Blocks,
    /// A step must be added.
    Needs,
    /// To be weighed by the engineer.
    Warns,
    /// Good to know.
    Notes,
}

impl FindingKind {
    /// The word users read.
    pub fn word(self) -> &'static str {
        match self {
            Self::Blocks => "blocks",
            Self::Needs => "needs",
            Self::Warns => "warns",
            Self::Notes => "notes",
        }
    }
}

/// A step that a finding adds to the route.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Step {
    /// Strip the present finish in acid.
    StripInAcid,
    /// Strip the present finish in an alkaline bath or mechanically, without acid.
    StripWithoutAcid,
    /// Pickle in acid and rinse.
    Pickle,
    /// Blast or tumble.
    Blast,
    /// Bake against hydrogen embrittlement for so many hours.
    BakeHours(f64),
    /// Fit the polymer insert after finishing, or protect it.
    InsertAfterwards,
    /// Rinse hot, soak and dry what holds liquid.
    SoakOut,
    /// Run a trial piece and have it approved.
    TrialPiece,
    /// Mask or plug the threads before filming.
    MaskThread,
    /// Cut the thread to another tolerance before finishing.
    OtherTolerance,
    /// Separate the metals: washer, sealant, paint.
    Isolate,
    /// Set a new tightening torque.
    NewTorque,
    /// Hold the lot until the maker of the part or the owner of the joint consents in writing.
    Hold,
    /// Check that head marks, rated load and lot stay legible.
    CheckMarking,
    /// Test for cracks before finishing and after any acid.
    TestForCracks,
    /// Accept critical characteristics on zero defects.
    AcceptOnZero,
    /// Test the lot for hydrogen embrittlement.
    TestEmbrittlement,
    /// Drive hydrogen out below the heat limit of the coating, or let the parts rest.
    RelieveHydrogen,
    /// Mask fits, seats, ports and clamped faces.
    MaskSurface,
}

/// What the rules look at of an exposure: where it is the same, so are rule, gravity and step of every finding.
#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "independent facts that the rules look at")]
pub(crate) struct LookedAt {
    shelter: Shelter,
    sunlight: Sunlight,
    handling: Handling,
    heat_continuous_c: f64,
    heat_peak_c: f64,
    climate_controlled: bool,
    required_class: Option<ResistanceClass>,
    couples_in_salt: bool,
    weathering_in_salt: bool,
    cracks_in_salt: bool,
}

impl LookedAt {
    pub(crate) fn of(exposure: &Exposure) -> Self {
        Self {
            shelter: exposure.shelter,
            sunlight: exposure.sunlight,
            handling: exposure.handling,
            heat_continuous_c: exposure.heat_continuous_c,
            heat_peak_c: exposure.heat_peak_c,
            climate_controlled: exposure.climate_controlled,
            required_class: exposure.stainless.as_ref().map(|demand| demand.required_class),
            couples_in_salt: couple::is_salty(exposure),
            weathering_in_salt: substrate::salt_on_weathering(exposure).is_some(),
            cracks_in_salt: heat::is_in_salt(exposure),
        }
    }
}

/// The rules that block, each once, in their order.
pub(crate) fn blocking_rules(findings: &[Finding]) -> Vec<&str> {
    let mut rules: Vec<&str> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.kind == FindingKind::Blocks) {
        if !rules.contains(&finding.rule.as_ref()) {
            rules.push(&finding.rule);
        }
    }
    rules
}

/// How many findings, more than notes, say that a part can break, a joint open or a welder be harmed.
pub(crate) fn dangers(findings: &[Finding]) -> usize {
    findings.iter().filter(|finding| finding.is_danger()).count()
}

/// Findings on most builds, or fewer.
const USUAL_FINDINGS: usize = 8;

/// All findings on a build, gravest first, in the order of the checks within each kind.
///
/// # Errors
/// A field of the brief that a check cannot read, as a malformed thread designation.
pub fn findings(case: &Case) -> Result<Vec<Finding>> {
    let mut found = Vec::with_capacity(USUAL_FINDINGS);
    strength::check(case, &mut found)?;
    substrate::check(case, &mut found)?;
    preparation::check(case, &mut found)?;
    embrittlement::check(case, &mut found)?;
    safety::check(case, &mut found);
    heat::check(case, &mut found);
    welding::check(case, &mut found);
    thread::check(case, &mut found)?;
    fit::check(case, &mut found)?;
    torque::check(case, &mut found)?;
    couple::check(case, &mut found)?;
    appearance::check(case, &mut found);
    substances::check(case, &mut found);
    case.inquiry.share(&mut found);
    found.sort_by_key(|finding| finding.kind);
    Ok(found)
}

pub(crate) fn finding(
    kind: FindingKind,
    rule: &'static str,
    message: impl Into<Cow<'static, str>>,
    source: Source,
) -> Finding {
    let rule = Cow::Borrowed(rule);
    Finding(Arc::new(FindingParts { kind, rule, message: message.into(), remedy: None, step: None, source }))
}

/// Rules by which a part can break, a joint open or a welder be harmed, worst first, each with what can happen: brittle
/// fracture, overload, loss of strength, fume.
const DANGERS: [(&str, &str); 19] = [
    ("embrittlement.in_service", "hydrogen can break it in service"),
    ("embrittlement", "hydrogen can break it"),
    ("torque.new_torque", "the usual torque can overload it"),
    ("torque.drive", "the key does not carry the torque"),
    ("torque.masked", "the torque of its bare thread is open"),
    ("torque.least_preload", "the joint can loosen"),
    ("strength", "it is weaker"),
    ("heat.property_class", "it loses its strength in the heat"),
    ("heat.tempering", "it softens in the heat"),
    ("heat.oven", "the oven can soften it"),
    ("heat.strength", "it is weaker in the heat"),
    ("heat.chloride_cracking", "hot in salt it can crack"),
    ("heat.metal", "the heat harms its metal for good"),
    ("welding.hardened", "the weld takes its strength"),
    ("welding.cold_work", "the weld takes its strength"),
    ("welding.cracking", "it cracks beside the weld"),
    ("welding.nitrided", "the weld can crack"),
    ("welding.anodized", "the weld is weak"),
    ("welding", "its fume harms the welder"),
];
/// Families of rules by the harm they speak of behind these, worst first: a part that someone depends on, heat, attack by
/// another metal, what must be done to the parts, rules of law, looks.
const MILDER: [&str; 14] = [
    "safety.consent",
    "safety",
    "substrate.grade",
    "heat",
    "torque",
    "couple",
    "outlook",
    "life",
    "thread",
    "fit",
    "preparation",
    "substrate",
    "substances",
    "appearance",
];

/// That of its parts.
#[cfg(feature = "schema")]
impl schemars::JsonSchema for Finding {
    fn schema_name() -> Cow<'static, str> {
        FindingParts::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        FindingParts::schema_id()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        FindingParts::json_schema(generator)
    }
}

impl Deref for Finding {
    type Target = FindingParts;

    fn deref(&self) -> &FindingParts {
        &self.0
    }
}

impl Finding {
    /// Its place by the harm it speaks of, the worst first.
    pub(crate) fn harm(&self) -> usize {
        let of = |known: &str| {
            self.rule.strip_prefix(known).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        };
        let worst_first = DANGERS.iter().map(|(rule, _)| *rule).chain(MILDER);
        worst_first.into_iter().position(of).unwrap_or(DANGERS.len() + MILDER.len())
    }

    /// Whether it is more than a note and says that a part can break, a joint open or a welder be harmed.
    pub(crate) fn is_danger(&self) -> bool {
        self.kind != FindingKind::Notes && self.harm() < DANGERS.len()
    }

    /// Whether it speaks of a danger, of people, of welding, heat or torque, or of another metal.
    pub(crate) fn can_harm(&self) -> bool {
        let couple = MILDER.iter().position(|rule| *rule == "couple").unwrap_or_default();
        self.harm() <= DANGERS.len() + couple
    }

    /// What can happen, in a few words; none where a finding is not a danger.
    pub(crate) fn danger_in_words(&self) -> Option<&'static str> {
        DANGERS.get(self.harm()).filter(|_| self.is_danger()).map(|(_, words)| *words)
    }

    /// What it is about, as a reader calls it.
    #[cfg(feature = "report")]
    pub(crate) fn subject(&self) -> &str {
        match self.rule.split('.').next().unwrap_or_default() {
            "substrate" => "Base metal",
            "fit" => "Fits and clamped faces",
            "outlook" => "Years",
            "couple" => "Other metals",
            "appearance" => "Appearance",
            "embrittlement" => "Hydrogen",
            "heat" => "Heat",
            "preparation" => "Preparation",
            "safety" => "Safety",
            "strength" => "Strength",
            "substances" => "Substances",
            "thread" => "Thread",
            "torque" => "Torque",
            "welding" => "Welding",
            other => other,
        }
    }

    pub(crate) fn remedy(mut self, remedy: impl Into<Cow<'static, str>>) -> Self {
        Arc::make_mut(&mut self.0).remedy = Some(remedy.into());
        self
    }

    /// Its sentences said otherwise.
    pub(crate) fn reword(&mut self, reword: impl Fn(&str) -> String) {
        let own = Arc::make_mut(&mut self.0);
        own.message = reword(&own.message).into();
        own.remedy = own.remedy.as_deref().map(|remedy| reword(remedy).into());
    }

    /// The sentences with their quantities in US customary units, for an inquiry in inches.
    pub(crate) fn use_customary_units(&mut self) {
        self.reword(in_customary_units);
    }

    pub(crate) fn step(mut self, step: Step) -> Self {
        Arc::make_mut(&mut self.0).step = Some(step);
        self
    }

    /// Whether no other finding is in the same memory.
    fn is_alone(&self) -> bool {
        Arc::strong_count(&self.0) == 1
    }

    /// Whether both are one in memory.
    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}
