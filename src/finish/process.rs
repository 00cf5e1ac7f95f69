//! A process as data: the steps of a treatment or a film, its tests, what an order must say of it.
//!
//! A process is a document of the catalog (`data/processes/*.json`). The papers of a build are composed from the
//! documents of its treatment and films and from those of the shop (receiving, masking, delivery). Texts are
//! templates and conditions are expressions (minijinja) over what is known of the job; [`papers`](mod@crate::papers) names what
//! they can use. A new process is a document and no code.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::evidence::{Range, SourceKey};

/// A process of a treatment, of a film, or of the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Process {
    /// What people call it.
    pub name: String,
    /// Process whose steps and tests come first, for example the cleaning line that several baths share.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begins_with: Option<String>,
    /// Process whose steps and tests come last.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends_with: Option<String>,
    /// Steps in order of work.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<ProcessStep>,
    /// Tests that the process is accepted by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<ProcessTest>,
    /// What an order says of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub order: Vec<OrderLine>,
    /// Cautions for the whole.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Line>,
    /// How a lot off the limit samples is stripped for rework.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rework: Vec<Line>,
    /// Texts by name that the papers put together. A treatment can have its own `appearance`, and a `salt_spray_basis`:
    /// what its hours rest on.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub texts: BTreeMap<String, String>,
}

/// One step of a process.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ProcessStep {
    /// What it does.
    pub kind: StepKind,
    /// Its heading.
    pub title: String,
    /// Steps of findings that call for it, one of which must be there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub asked_by: Vec<String>,
    /// Steps of findings that it answers, though it is there without them too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub covers: Vec<String>,
    /// Condition under which it is there; always without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Bath or means.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bath: Option<String>,
    /// Temperature of bath, oven air or metal, as the title says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<Range>,
    /// Time in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<Range>,
    /// Catalog entry whose temperature and time the step takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub numbers_of: Option<NumbersOf>,
    /// Rinse, drain or dry at the end of the step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rinse: Option<String>,
    /// What to do.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instructions: Vec<Line>,
    /// What to measure.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measure: Vec<Line>,
    /// Hold points: work waits until the person named has released it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hold: Vec<Line>,
    /// Codes of the hazard table.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<String>,
    /// Kinds of step that must have come before, where the route has them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<StepKind>,
    /// Kinds of step that must come later, where the route has them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<StepKind>,
    /// Key of the source of the step, and of its lines without one.
    pub source: SourceKey,
}

/// Where a step takes temperature and time from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum NumbersOf {
    /// Bath of the treatment.
    Bath,
    /// Cure of the film.
    Cure,
    /// Hydrogen relief bake by strength.
    Bake,
}

/// A sentence, its condition and its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// The sentence.
    pub text: String,
    /// Condition under which it is said; always without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// What it is based on that the order can change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Key of its source; that of its step without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<SourceKey>,
}

/// A test of the process.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ProcessTest {
    /// Characteristic.
    pub name: String,
    /// How grave a nonconforming piece is.
    pub class: DefectClass,
    /// When it is tested.
    pub moment: Moment,
    /// On how many pieces.
    pub sample: SampleRule,
    /// Method, place on the part and limit.
    pub test: String,
    /// Standard of the method with its edition, or what is agreed in its place.
    pub standard: String,
    /// Condition under which it is due; always without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Whether the tested pieces are destroyed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub destructive: bool,
    /// Whether it is done only where the order calls for it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub only_if_ordered: bool,
    /// Choice of the order that sets its limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Panels of a test that is done on panels, where they are not as many as the pieces of a destructive test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panels: Option<u32>,
    /// Size of those panels, where it is not the usual one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub panel_size: Option<String>,
    /// Key of its source.
    pub source: SourceKey,
}

/// A line of an order: what is settled, or a question with a proposal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OrderLine {
    /// What it is about.
    pub subject: Subject,
    /// Condition under which it is there; always without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// The clause, or what is proposed where there is a question.
    pub text: String,
    /// What is open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
    /// What of the papers is based on it, so that another answer than the proposal changes more than the order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Other answers that the route serves as well as the proposal.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also_fits: Vec<String>,
    /// Words that no answer has, since the papers say otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contradicted_by: Vec<String>,
    /// Field of the inquiry that holds the answer, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<String>,
    /// Key of its source.
    pub source: SourceKey,
}

/// A hazard of the shop, with the caution that is at each step where it acts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HazardNote {
    /// What people call it.
    pub name: String,
    /// What can hurt, and the usual caution.
    pub caution: String,
    /// Condition under which it acts on the part at hand; always without one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Key of its source.
    pub source: SourceKey,
}

/// Declares an enumeration of words that documents and papers use.
macro_rules! words {
    ($(#[$of:meta])* $name:ident { $($(#[$doc:meta])* $variant:ident = $words:literal,)+ }) => {
        $(#[$of])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$doc])* $variant,)+ }

        impl $name {
            /// All of them, in order.
            pub const ALL: &[Self] = &[$(Self::$variant),+];

            /// The words a reader sees.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words,)+ }
            }
        }
    };
}

words! {
    /// What a step does.
    StepKind {
        /// Consent of the maker or owner of the part.
        Consent = "consent",
        /// Thread cut to another tolerance.
        CutThread = "cut thread",
        /// Lot identified on arrival.
        Receive = "receive",
        /// Trial piece, approved before the lot.
        TrialPiece = "first article",
        /// Residual stress of working after hardening relieved.
        StressRelief = "stress relief",
        /// Cracks looked for.
        CrackTest = "crack test",
        /// Bare thread gauged.
        Gauge = "gauging",
        /// Cleaned of oil and soil.
        Clean = "cleaning",
        /// Cleaned with current, the part being the anode.
        Electroclean = "electrocleaning",
        /// Rinsed.
        Rinse = "rinsing",
        /// Present finish removed.
        Strip = "stripping",
        /// Blasted, tumbled or bead-blasted.
        Blast = "blasting",
        /// Rust removed in alkaline solution.
        Derust = "derusting",
        /// Rust or scale removed in acid.
        Pickle = "pickling",
        /// Passive film or smut removed just before the bath.
        Activate = "activating",
        /// Conditioned for fine crystals.
        Condition = "conditioning",
        /// Dried before a bath, an oven or a coat.
        Dry = "drying",
        /// Blackened.
        Blacken = "blackening",
        /// Phosphated.
        Phosphate = "phosphating",
        /// Electroplated.
        Electroplate = "electroplating",
        /// Hydrogen relief.
        Bake = "hydrogen relief",
        /// Passivated on zinc.
        Passivate = "passivating",
        /// Zinc flake applied.
        ZincFlake = "zinc flake",
        /// Nitrocarburized.
        Nitrocarburize = "nitrocarburizing",
        /// Oxidized after nitrocarburizing.
        Oxidize = "oxidizing",
        /// Anodized.
        Anodize = "anodizing",
        /// Dyed.
        Dye = "dyeing",
        /// Sealed.
        Seal = "sealing",
        /// Salts leached out of laps and holes.
        SoakOut = "leaching",
        /// Samples taken before oil, wax or paint.
        Sample = "sampling",
        /// Threads masked.
        MaskThread = "masking",
        /// Porous metal outgassed.
        Outgas = "outgassing",
        /// Coat, oil or wax applied.
        Coat = "coating",
        /// Coat cured in an oven.
        Cure = "curing",
        /// Lubricant applied for the friction window.
        Lubricate = "lubricating",
        /// Polymer insert fitted.
        FitInsert = "fitting of the insert",
        /// Inspected and held for results.
        Inspect = "inspection",
        /// Packed.
        Pack = "packing",
        /// Metals separated.
        Isolate = "isolate",
        /// Torque set.
        NewTorque = "torque",
        /// Done as the supplier's process sheet says.
        Supplier = "supplier's process",
    }
}

words! {
    /// How grave a nonconforming piece is.
    DefectClass {
        /// It can hurt someone.
        Critical = "critical",
        /// It can fail in use.
        Major = "major",
        /// It does not hinder use.
        Minor = "minor",
    }
}

words! {
    /// When a characteristic is tested.
    Moment {
        /// On arrival at the finisher.
        Incoming = "on arrival",
        /// On clean, bare metal, before any coat.
        Cleaned = "on clean, bare metal before finishing",
        /// At each load.
        EachLoad = "each load",
        /// After the treatment, before oil, wax or paint.
        BeforeSupplementaryFinish = "before the supplementary finish",
        /// After a coat that another one covers.
        BetweenCoats = "before the next coat",
        /// On the finished parts.
        Finished = "on finished parts",
    }
}

words! {
    /// What of the papers is based on a choice of the order.
    BearsOn {
        /// The route with its thread, baths, tests and holds: papers for another answer are made anew.
        Route = "route and tests",
        /// The highest temperature of every oven.
        Ovens = "ovens",
        /// The window of the friction test, and the torque.
        Friction = "friction test and torque",
        /// A sealer or lubricant, which sets the friction.
        Lubricant = "lubricant and friction",
        /// A torque: none while a choice that sets its friction is open, or is another.
        Torque = "torque",
        /// Salt-spray test.
        SaltSpray = "salt-spray test",
        /// Pieces of the samples.
        Sampling = "samples",
        /// A layer of the route, which an answer names and cannot leave out.
        Layer = "layers of the route",
        /// Weight of a phosphate coating, within the limits that fit the thread.
        CoatingWeight = "coating weight",
        /// Pieces beyond the lot, no fewer than the tests destroy.
        Pieces = "pieces for tests",
        /// The highest temperature that a maker permits, no lower than that of the hottest oven.
        OvenLimit = "oven limit",
        /// Specimens of a critical test, no fewer than it has.
        Specimens = "specimens",
        /// Standard, edition and designation, whose hours, thickness and class are those of the plan.
        Designation = "designation",
        /// What becomes of rejected pieces, and what it costs.
        Rework = "rework",
    }
}

words! {
    /// On how many pieces a characteristic is tested.
    SampleRule {
        /// The load, lot or record as a whole.
        Whole = "lot",
        /// Every piece.
        All = "every piece",
        /// Major characteristics by attributes.
        Major = "major",
        /// Minor characteristics by attributes.
        Minor = "minor",
        /// Few pieces, none may fail.
        Spot = "spot",
        /// Few pieces that are destroyed, none may fail.
        Cabinet = "destructive",
        /// Pieces tightened in a friction test, none may fall out of the window.
        Friction = "friction",
        /// Pieces tested for delayed failure, none may fail.
        Embrittlement = "embrittlement",
    }
}

words! {
    /// What a clause or an open choice of an order is about. Every order says something on each, or asks.
    Subject {
        /// Part, drawing, quantity.
        Part = "part",
        /// Material, hardness, tempering.
        BaseMetal = "material",
        /// What is on the surface now.
        Condition = "present state",
        /// Finish by standard and edition.
        Treatment = "finish",
        /// Supplementary finish.
        SupplementaryFinish = "coats",
        /// Thickness and where.
        Thickness = "thickness",
        /// Masking.
        Masking = "masking",
        /// Acid, bake, embrittlement test.
        Hydrogen = "hydrogen",
        /// Restricted substances.
        Substances = "substances",
        /// Thread before and after.
        Thread = "thread",
        /// Friction and torque.
        Friction = "friction",
        /// Tests.
        Tests = "tests",
        /// Sampling.
        Acceptance = "acceptance",
        /// Lot and certificates.
        Certificate = "lot, records",
        /// Color, gloss, shade.
        Appearance = "appearance",
        /// Assembly.
        Assembly = "assembly",
        /// Packaging.
        Packing = "packaging",
        /// Changes and rework.
        StopRule = "stop rule",
    }
}

impl Process {
    /// Keys of all sources, of every line that names one.
    pub(crate) fn source_keys(&self) -> Vec<&SourceKey> {
        let mut keys: Vec<&SourceKey> = Vec::new();
        for step in &self.steps {
            keys.push(&step.source);
            keys.extend(step.temperature_c.iter().chain(&step.minutes).map(|range| &range.source));
            let lines = step.instructions.iter().chain(&step.measure).chain(&step.hold);
            keys.extend(lines.filter_map(|line| line.source.as_ref()));
        }
        keys.extend(self.tests.iter().map(|test| &test.source));
        keys.extend(self.order.iter().map(|line| &line.source));
        keys.extend(self.cautions.iter().chain(&self.rework).filter_map(|line| line.source.as_ref()));
        keys
    }
}
