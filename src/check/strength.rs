//! Strength of the metal that a build is made of, against the one that the brief names or asks for.

use std::borrow::Cow;

use crate::Result;
use crate::brief::{Brief, Form, Part};
use crate::catalog::Catalog;
use crate::check::{Case, Finding, FindingKind, finding, heat};
use crate::error::{Error, invalid};
use crate::evidence::Source;
use crate::fastener::Thread;
use crate::metal::inch_grade::INCH_GRADE_SOURCE;
use crate::metal::{
    BaseMetal, Family, HardnessClass, InchGrade, PropertyClass, StrengthClass, fastener_grade_class,
};

const SWAP: Source = Source::common_practice(
    "a fastener of a lower class is a new design: the joint is calculated again before it is replaced",
);
const NOT_STATED: Source =
    Source::common_practice("the class of a safety-critical fastener is stated in the order");
const HEAD: Source = Source::from_memory(
    "ISO 7380-1, ISO 7380-2:2022 and ISO 10642: the head limits the load to 80% of the thread's; the class is marked \
     with a leading zero",
);
const IN_WORDS: Source =
    Source::common_practice("an order is made by its fields; a class in the title is easily overlooked");
const HARDER: Source = Source::common_practice(
    "of two hardnesses that contradict each other, the harder counts for embrittlement",
);
/// Share of the strength of the thread that a button or countersunk head carries.
const WEAK_HEAD: f64 = 0.8;
/// Shortfall that is rounding and not a weaker metal.
const ROUNDING: f64 = 0.01;

/// What a part of a metal can be counted on for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Strength {
    /// Class or condition as an order writes it.
    pub(crate) class: Cow<'static, str>,
    /// Lowest tensile and yield strength, MPa; none of set screws and washers, which are not loaded in tension.
    pub(crate) tensile_and_yield_mpa: Option<(f64, f64)>,
    /// Vickers hardness, where the class sets it.
    pub(crate) hardness_hv: Option<(f64, f64)>,
    pub(crate) source: Source,
}

/// Kinds of parts that standards class differently.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Bolt,
    Nut,
    SetScrew,
    Other,
}

fn kind_of(part: &Part) -> Kind {
    match part.form {
        Some(Form::HexagonNut | Form::LockNut) => Kind::Nut,
        Some(Form::SetScrew) => Kind::SetScrew,
        Some(Form::Pin | Form::Bracket | Form::Other | Form::PlainWasher) => Kind::Other,
        Some(_) => Kind::Bolt,
        None if part.thread.is_some() => Kind::Bolt,
        None => Kind::Other,
    }
}

/// Whether it is a bolt, screw, nut or set screw.
pub(super) fn is_fastener(part: &Part) -> bool {
    kind_of(part) != Kind::Other
}

/// Share of the thread's strength that the head of the part carries: 0.8 for button and countersunk heads, and for any
/// head of which the class asked for has a leading zero.
pub(crate) fn head_share(part: &Part) -> f64 {
    let weak = matches!(part.form, Some(Form::ButtonHeadScrew | Form::CountersunkScrew));
    if weak || part.property_class.as_deref().is_some_and(is_reduced) { WEAK_HEAD } else { 1.0 }
}

/// Whether a class has the leading zero of a head that limits the load, as 08.8 and A4-080.
pub(super) fn is_reduced(class: &str) -> bool {
    class.starts_with('0') || class.split_once('-').is_some_and(|(_, number)| number.starts_with('0'))
}

impl Strength {
    /// Strength of a part made of a metal; none where neither a class nor the catalog says it.
    pub(crate) fn of(
        metal: &BaseMetal,
        part: &Part,
        diameter_mm: Option<f64>,
        catalog: &Catalog,
    ) -> Option<Self> {
        let kind = kind_of(part);
        let asked = part.property_class.as_deref().and_then(Stainless::named);
        if let (Some(asked), Some(group)) = (asked, group_of(metal))
            && asked.group == group
        {
            return Some(asked.strength(part));
        }
        if let Some(class) = metal.property_class.as_deref().and_then(PropertyClass::named) {
            return Self::of_class(class, kind, part, diameter_mm);
        }
        let own = match kind {
            Kind::Other => metal.part_strength.as_ref().or(metal.fastener_strength.as_ref()),
            _ => metal.fastener_strength.as_ref().or(metal.part_strength.as_ref()),
        };
        let heat_c = tempering_of(metal, part, catalog);
        own.map(|strength| {
            Self::of_aged(metal, strength, kind, part, heat_c)
                .unwrap_or_else(|| Self::of_catalog(metal, strength, kind, part, catalog))
        })
    }

    fn of_catalog(
        metal: &BaseMetal,
        strength: &StrengthClass,
        kind: Kind,
        part: &Part,
        catalog: &Catalog,
    ) -> Self {
        let head = head_share(part);
        Self {
            class: reduced(&strength.class, part),
            tensile_and_yield_mpa: (kind != Kind::SetScrew)
                .then_some((head * strength.tensile_mpa, head * strength.yield_mpa)),
            hardness_hv: stainless_hardness(metal, tempering_of(metal, part, catalog)),
            source: catalog.source(&strength.source),
        }
    }

    /// Of precipitation-hardening steel in the condition that the stated aging temperature of the piece makes.
    fn of_aged(
        metal: &BaseMetal,
        strength: &StrengthClass,
        kind: Kind,
        part: &Part,
        heat_c: Option<f64>,
    ) -> Option<Self> {
        let aged = Aged::of(metal, heat_c).filter(|_| strength.class == AGED[0].class)?;
        let head = head_share(part);
        Some(Self {
            class: aged.class.into(),
            tensile_and_yield_mpa: (kind != Kind::SetScrew)
                .then_some((head * aged.tensile_mpa, head * aged.yield_mpa)),
            hardness_hv: Some(aged.hardness_hv),
            source: AGED_SOURCE,
        })
    }

    fn of_class(class: PropertyClass, kind: Kind, part: &Part, diameter_mm: Option<f64>) -> Option<Self> {
        let mechanical = class.mechanical(diameter_mm).ok()?;
        let of_nut_or_screw = |own: HardnessClass, loaded: bool| Self {
            class: own.class,
            tensile_and_yield_mpa: loaded
                .then_some((mechanical.tensile_strength_min_mpa, mechanical.yield_strength_min_mpa)),
            hardness_hv: Some((own.hardness_min_hv, own.hardness_max_hv)),
            source: own.source,
        };
        Some(match kind {
            Kind::Nut => of_nut_or_screw(class.nut_class(diameter_mm), true),
            Kind::SetScrew => of_nut_or_screw(class.set_screw_class(), false),
            Kind::Bolt | Kind::Other => {
                let head = head_share(part);
                let word: Cow<'static, str> =
                    if head < 1.0 { format!("0{class}").into() } else { class.word().into() };
                Self {
                    class: word,
                    tensile_and_yield_mpa: Some((
                        head * mechanical.tensile_strength_min_mpa,
                        head * mechanical.yield_strength_min_mpa,
                    )),
                    hardness_hv: Some((mechanical.hardness_min_hv, mechanical.hardness_max_hv)),
                    source: mechanical.source,
                }
            }
        })
    }

    /// Of a cold-worked part where heat has annealed it: a stainless class 50, duplex steel as its other parts, carbon steel
    /// as class 4.6; none of what owes nothing to cold work.
    pub(super) fn annealed(&self, metal: &BaseMetal, part: &Part, catalog: &Catalog) -> Option<Self> {
        let head = head_share(part);
        let group = group_of(metal).unwrap_or("A2");
        let soft = match metal.family {
            Family::Austenitic => Stainless::named(&format!("{group}-50"))?.strength(part),
            Family::Duplex => {
                let own = metal.part_strength.as_ref()?;
                Self {
                    class: own.class.clone().into(),
                    tensile_and_yield_mpa: Some((head * own.tensile_mpa, head * own.yield_mpa)),
                    hardness_hv: None,
                    source: catalog.source(&own.source),
                }
            }
            Family::CarbonSteel
                if metal.property_class.as_deref() == Some(PropertyClass::Class5_8.word()) =>
            {
                Self::of_class(PropertyClass::Class4_6, kind_of(part), part, None)?
            }
            _ => return None,
        };
        let (tensile, yield_mpa) = self.tensile_and_yield_mpa?;
        let (left_tensile, left_yield) = soft.tensile_and_yield_mpa?;
        let weaker = left_tensile < tensile * (1.0 - ROUNDING) || left_yield < yield_mpa * (1.0 - ROUNDING);
        weaker.then_some(soft)
    }

    /// Strength of the class that the design asks for.
    fn asked(part: &Part, diameter_mm: Option<f64>) -> Option<Self> {
        let word = part.property_class.as_deref()?;
        match Asked::named(word, kind_of(part))? {
            Asked::Steel(class) => Self::of_class(class, kind_of(part), part, diameter_mm),
            Asked::Stainless(class) => Some(class.strength(part)),
        }
    }
}

/// Class of ISO 3506-1 with its yield strength, from memory; the tensile strength is ten times the number.
#[derive(Debug, Clone, Copy)]
struct Stainless {
    group: &'static str,
    number: &'static str,
    tensile_mpa: f64,
    yield_mpa: f64,
}

const STAINLESS: Source = Source::from_memory(
    "ISO 3506-1:2020: the number after the hyphen is a tenth of the tensile strength (by a reprint); yield strengths \
     recalled",
);
const GROUPS: [&str; 14] =
    ["A1", "A2", "A3", "A4", "A5", "A8", "C1", "C3", "C4", "F1", "D2", "D4", "D6", "D8"];
const NUMBERS: [(&str, &str, f64, f64); 13] = [
    ("A", "50", 500.0, 210.0),
    ("A", "70", 700.0, 450.0),
    ("A", "80", 800.0, 600.0),
    ("A", "100", 1000.0, 800.0),
    ("D", "70", 700.0, 450.0),
    ("D", "80", 800.0, 600.0),
    ("D", "100", 1000.0, 800.0),
    ("C", "50", 500.0, 250.0),
    ("C", "70", 700.0, 410.0),
    ("C", "80", 800.0, 640.0),
    ("C", "110", 1100.0, 820.0),
    ("F", "45", 450.0, 250.0),
    ("F", "60", 600.0, 410.0),
];

/// Groups that resist pitting by molybdenum.
const WITH_MOLYBDENUM: [&str; 5] = ["A4", "A5", "A8", "D6", "D8"];
const GRADE: Source = Source::from_memory(
    "ISO 3506-1:2020: steel groups by composition, A2 and A3 without molybdenum, A4, A5, A8, D6 and D8 with 2% or more, C and F \
     without nickel; corrosion resistance classes of EN 1993-1-4",
);
/// Lowest content of molybdenum that counts, mass % (from memory: A4 has 2 to 3%).
const MOLYBDENUM_PCT: f64 = 1.5;

impl Stainless {
    /// Whether a metal is of the group; of one without a known group, whether it is of its family.
    fn is_of(self, metal: &BaseMetal) -> bool {
        match (group_of(metal), metal.family) {
            (Some(group), _) => group == self.group,
            (None, Family::Austenitic) => self.group.starts_with('A'),
            (None, Family::Martensitic) => self.group.starts_with('C'),
            (None, Family::Ferritic) => self.group.starts_with('F'),
            (None, Family::Duplex) => self.group.starts_with('D'),
            (None, _) => false,
        }
    }

    /// The first metal of the group that a catalog has.
    fn first_metal(self, catalog: &Catalog) -> Option<&str> {
        let metals = &catalog.content().base_metals;
        metals.iter().find(|(_, metal)| group_of(metal) == Some(self.group)).map(|(name, _)| name.as_str())
    }

    /// Resistance class of EN 1993-1-4 of the group as a number: of its metal in the catalog, else by the standard.
    fn resistance(self, catalog: &Catalog) -> Option<f64> {
        let metal = self.first_metal(catalog).and_then(|name| catalog.base_metal(name).ok());
        let of_metal = metal.and_then(|metal| metal.resistance_class.as_ref()).map(|value| value.value);
        of_metal.or_else(|| fastener_grade_class(self.group).map(|class| f64::from(class as u8) + 1.0))
    }

    /// What a metal lacks of the resistance of the group; none where nothing is known to be lost.
    fn lost_with(self, metal: &BaseMetal) -> Option<&'static str> {
        if !metal.family.is_stainless() {
            return Some("is not stainless steel: it rusts where its finish fails");
        }
        let content = |element: &str| {
            metal
                .composition_pct
                .as_ref()
                .and_then(|steel| steel.elements.get(element))
                .copied()
                .unwrap_or(0.0)
        };
        let pits = WITH_MOLYBDENUM.contains(&self.group) && content("Mo") < MOLYBDENUM_PCT;
        if pits {
            Some("has no molybdenum against pitting in salt")
        } else if metal.free_machining && !matches!(self.group, "A1" | "C4") {
            Some("has sulfur, by which it pits and stains")
        } else if matches!(metal.family, Family::Martensitic | Family::Ferritic)
            && !self.group.starts_with(['C', 'F'])
        {
            Some("has no nickel and less chromium: it rusts outdoors")
        } else {
            None
        }
    }

    fn named(word: &str) -> Option<Self> {
        let (group, number) = word.split_once('-')?;
        let number = number.strip_prefix('0').unwrap_or(number);
        let group = GROUPS.iter().find(|known| **known == group)?;
        let (_, number, tensile_mpa, yield_mpa) =
            NUMBERS.iter().find(|(family, known, ..)| group.starts_with(family) && *known == number)?;
        Some(Self { group, number, tensile_mpa: *tensile_mpa, yield_mpa: *yield_mpa })
    }

    fn strength(self, part: &Part) -> Strength {
        let head = head_share(part);
        Strength {
            class: reduced(&format!("{}-{}", self.group, self.number), part),
            tensile_and_yield_mpa: Some((head * self.tensile_mpa, head * self.yield_mpa)),
            hardness_hv: self.hardness_hv(),
            source: STAINLESS,
        }
    }

    /// Vickers hardness that ISO 3506-1 sets for the martensitic groups.
    fn hardness_hv(self) -> Option<(f64, f64)> {
        MARTENSITIC_HV
            .iter()
            .find(|(class, _)| class.split_once('-') == Some((self.group, self.number)))
            .map(|(_, hv)| *hv)
    }
}

/// The class as ordered for the head of the part: a leading zero where the head carries less than the thread.
fn reduced(class: &str, part: &Part) -> Cow<'static, str> {
    match class.split_once('-') {
        Some((group, number)) if head_share(part) < 1.0 => format!("{group}-0{number}").into(),
        _ => class.to_owned().into(),
    }
}

/// Vickers hardness of the classes of martensitic stainless fasteners; source: [`STAINLESS`].
const MARTENSITIC_HV: [(&str, (f64, f64)); 6] = [
    ("C1-50", (155.0, 220.0)),
    ("C1-70", (220.0, 330.0)),
    ("C1-110", (350.0, 440.0)),
    ("C3-80", (240.0, 340.0)),
    ("C4-50", (155.0, 220.0)),
    ("C4-70", (220.0, 330.0)),
];
/// Classes of the group of a martensitic metal that have a hardness of a range, with their own; softest first.
pub(crate) fn martensitic_classes(
    metal: &BaseMetal,
    (low, high): (f64, f64),
) -> Vec<(&'static str, (f64, f64))> {
    let group = metal.property_class.as_deref().unwrap_or_default();
    let of_group = |class: &str| class.split_once('-').is_some_and(|(own, _)| own == group);
    let fits = |(least, most): (f64, f64)| {
        if low < high { least < high && low < most } else { (least..=most).contains(&low) }
    };
    MARTENSITIC_HV.iter().copied().filter(|(class, hv)| of_group(class) && fits(*hv)).collect()
}

/// Whether a martensitic fastener has no class yet: none is entered, and its hardness allows another one than it is counted
/// on.
pub(crate) fn class_is_open(case: &Case) -> bool {
    if case.metal.family != Family::Martensitic || case.brief().part.property_class.is_some() {
        return false;
    }
    let counted = case.class_to_order();
    let classes = case.hardness_range_hv().map(|range| martensitic_classes(case.metal, range));
    let class = |at: &str| {
        at.split_once('-').map(|(group, number)| format!("{group}-{}", number.trim_start_matches('0')))
    };
    !classes.is_some_and(|classes| {
        matches!(classes.as_slice(), [(only, _)] if counted.as_deref().and_then(class) == class(only))
    })
}

/// Highest tempering temperature, °C, at which 12% chromium steel is still as hard as C1-110.
const MARTENSITIC_HARD_TO_C: f64 = 450.0;

/// A condition of precipitation-hardening steel.
struct Aged {
    class: &'static str,
    aging_c: f64,
    tensile_mpa: f64,
    yield_mpa: f64,
    hardness_hv: (f64, f64),
}

const fn aged(
    class: &'static str,
    aging_c: f64,
    (tensile_mpa, yield_mpa): (f64, f64),
    hardness_hv: (f64, f64),
) -> Aged {
    Aged { class, aging_c, tensile_mpa, yield_mpa, hardness_hv }
}

const AGED_SOURCE: Source =
    Source::from_memory("ASTM A564 grade 630: strength and hardness of 17-4PH by its aging condition");
/// Conditions of 17-4PH by rising aging temperature.
const AGED: [Aged; 5] = [
    aged("H900", 482.0, (1310.0, 1170.0), (388.0, 450.0)),
    aged("H1025", 552.0, (1070.0, 1000.0), (330.0, 400.0)),
    aged("H1075", 579.0, (1000.0, 860.0), (310.0, 380.0)),
    aged("H1150", 621.0, (930.0, 725.0), (280.0, 360.0)),
    aged("H1150-M", 760.0, (795.0, 520.0), (250.0, 330.0)),
];
/// Scatter of an aging temperature that still is that of a condition, °C (ASTM A564, from memory: 8 °C).
const AGING_SCATTER_C: f64 = 8.0;

impl Aged {
    /// The condition of the piece by its stated aging temperature, between two with the strength of the weaker and the
    /// hardness of both.
    fn of(metal: &BaseMetal, heat_c: Option<f64>) -> Option<Self> {
        let aging_c = heat_c.filter(|_| metal.family == Family::PrecipitationHardening)?;
        let weaker = AGED.iter().find(|row| aging_c <= row.aging_c + AGING_SCATTER_C).or(AGED.last())?;
        let stronger = AGED.iter().rfind(|row| aging_c >= row.aging_c - AGING_SCATTER_C).or(AGED.first())?;
        let hardness_hv = (weaker.hardness_hv.0, stronger.hardness_hv.1);
        Some(Self { hardness_hv, ..*weaker })
    }
}

/// The tempering or aging temperature that the brief states for a part of this metal; none where it speaks of another.
fn tempering_of(metal: &BaseMetal, part: &Part, catalog: &Catalog) -> Option<f64> {
    let metals = &catalog.content().base_metals;
    let named = part.base_metal.as_deref().and_then(|named| metals.get(named));
    part.tempering_temperature_c.filter(|_| named.is_none_or(|named| named.name == metal.name))
}

/// Hardness of a stainless part that heat hardens, by what the brief says of its condition, else by the catalog.
fn stainless_hardness(metal: &BaseMetal, heat_c: Option<f64>) -> Option<(f64, f64)> {
    let of_catalog = metal.hardness_hv.as_ref().map(|range| (range.low, range.high));
    match metal.family {
        Family::Martensitic => {
            let hard = heat_c.is_some_and(|c| c <= MARTENSITIC_HARD_TO_C);
            let of_110 = MARTENSITIC_HV.iter().find(|(class, _)| *class == "C1-110").map(|(_, hv)| *hv);
            if hard {
                of_110.map(|(low, high)| (low, of_catalog.map_or(high, |(_, most)| most.max(high))))
            } else {
                of_catalog
            }
        }
        Family::PrecipitationHardening => of_catalog,
        _ => None,
    }
}

/// A class that a design asks for.
#[derive(Debug, Clone, Copy)]
enum Asked {
    Steel(PropertyClass),
    Stainless(Stainless),
}

impl Asked {
    fn named(word: &str, kind: Kind) -> Option<Self> {
        // nuts and set screws have no head
        if is_reduced(word) && matches!(kind, Kind::Nut | Kind::SetScrew) {
            return None;
        }
        if let Some(class) = Stainless::named(word) {
            return Some(Self::Stainless(class));
        }
        if let Some(grade) = InchGrade::named(word).filter(|_| kind != Kind::SetScrew) {
            return grade.class().map(Self::Steel);
        }
        let steel = match kind {
            Kind::Nut => PropertyClass::ALL.iter().rfind(|class| class.nut_class(None).class == word),
            Kind::SetScrew => PropertyClass::ALL.iter().rfind(|class| class.set_screw_class().class == word),
            Kind::Bolt | Kind::Other => {
                let word = word.strip_prefix('0').unwrap_or(word);
                PropertyClass::ALL.iter().find(|class| class.word() == word)
            }
        };
        steel.copied().map(Self::Steel)
    }
}

/// A class or grade that name or remarks of a brief write out.
#[derive(Debug)]
pub(super) struct ClassSaid {
    word: String,
    /// None of a grade that no class is near to.
    asked: Option<Asked>,
    tensile_mpa: f64,
}

impl ClassSaid {
    /// What a word says: a class of the kind of part, one of the screws that a nut goes with, or an inch grade.
    fn of(word: &str, kind: Kind) -> Option<Self> {
        let asked = Asked::named(word, kind).or_else(|| Asked::named(word, Kind::Bolt));
        let tensile_mpa = match asked {
            Some(Asked::Stainless(class)) => class.tensile_mpa,
            Some(Asked::Steel(class)) => class.mechanical(None).ok()?.tensile_strength_min_mpa,
            None => InchGrade::named(word)?.tensile_mpa,
        };
        Some(Self { word: word.to_owned(), asked, tensile_mpa })
    }

    fn strength(&self, part: &Part, diameter_mm: Option<f64>) -> Option<Strength> {
        match self.asked {
            Some(Asked::Steel(class)) => Strength::of_class(class, kind_of(part), part, diameter_mm),
            Some(Asked::Stainless(class)) => Some(class.strength(part)),
            None => Some(Strength {
                class: self.word.clone().into(),
                tensile_and_yield_mpa: Some((self.tensile_mpa, 0.0)),
                hardness_hv: None,
                source: INCH_GRADE_SOURCE,
            }),
        }
    }
}

/// The strongest class or grade that name or remarks of a brief write out: "10.9", "A4-80", "Grade 8", "A490", "45H" of
/// set screws, "class 10" of nuts, "B7 studs".
pub(super) fn class_in_words(brief: &Brief) -> Option<ClassSaid> {
    const UNITS: [&str; 20] = [
        "mm", "cm", "m", "in", "inch", "kg", "g", "kn", "n", "µm", "%", "years", "pcs", "pieces", "sek",
        "kr", "eur", "usd", "$", "€",
    ];
    const CLASS: [&str; 3] = ["class", "cl", "classes"];
    const BOLTING: [&str; 6] = ["stud", "studs", "bolt", "bolts", "screw", "screws"];
    let kind = kind_of(&brief.part);
    let marks =
        |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '(' | ')' | '!' | '?' | '"' | '/');
    let mut named: Vec<ClassSaid> = Vec::new();
    for text in [Some(brief.name.as_str()), brief.remarks.as_deref()].into_iter().flatten() {
        // a class with a decimal comma
        let text: String = text.split_inclusive(char::is_whitespace).map(with_decimal_point).collect();
        let words: Vec<&str> =
            text.split(marks).map(|word| word.trim_matches('.')).filter(|word| !word.is_empty()).collect();
        for (i, word) in words.iter().enumerate() {
            let beside = |at: Option<usize>| {
                at.and_then(|at| words.get(at)).map_or(String::new(), |w| w.to_lowercase())
            };
            let (before, next) = (beside(i.checked_sub(1)), beside(Some(i + 1)));
            if UNITS.contains(&next.as_str()) {
                continue;
            }
            let said = match word.to_lowercase().as_str() {
                "grade" | "gr" => format!("Grade {next}"),
                _ => (*word).to_owned(),
            };
            // "M8x30-12.9" and "cl.12.9" end with the class, "12.9er" begins with it
            let end = said.rsplit(['-', '–']).next().unwrap_or_default();
            let bare = end.trim_start_matches(|c: char| c.is_alphabetic() || c == '.').trim_end_matches("er");
            let said = if Asked::named(&said, kind).is_none() && bare.contains('.') { bare } else { &said };
            // a bare number is a class of nuts only where it is called one, and a short grade one beside its bolts
            let called = CLASS.contains(&before.as_str()) || ["a193", "grade"].contains(&before.as_str());
            let number = said.parse::<u8>().is_ok();
            let open = |class: &ClassSaid| class.asked.is_none();
            let class = ClassSaid::of(said, kind).filter(|_| called || !number);
            named.extend(class.filter(|class| called || !open(class) || BOLTING.contains(&next.as_str())));
        }
    }
    named.into_iter().max_by(|a, b| a.tensile_mpa.total_cmp(&b.tensile_mpa))
}

/// A word with a decimal point for its comma, where it is a class so.
fn with_decimal_point(word: &str) -> String {
    let pointed = word.replacen(',', ".", 1);
    let end = pointed.rsplit(['-', '–']).next().unwrap_or_default();
    let bare = end.trim_matches(|c: char| !c.is_ascii_digit());
    if PropertyClass::named(bare).is_some() { pointed } else { word.to_owned() }
}

/// A class that is in words alone, where the metal is weaker: what is meant is not what is ordered.
fn in_words_alone(case: &Case, own: Option<&Strength>, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let Some(said) = case.inquiry.said.class.as_ref().filter(|_| is_fastener(part)) else { return };
    let asked = said.strength(part, case.diameter_mm());
    let Some(less) = less_than(own, asked.as_ref()) else { return };
    let stated = reference(case).filter(|reference| reference.stated).and_then(|stated| stated.strength);
    if stated.is_some() && less_than(stated.as_ref(), asked.as_ref()).is_none() {
        return;
    }
    let word = &said.word;
    // a class in its field goes before a word, which may be of another part or no class at all
    let (kind, lead, remedy) = match &part.property_class {
        Some(class) => (
            FindingKind::Notes,
            format!("Name or remarks say \"{word}\" beside the class stated, {class}"),
            "Check that the class stated is the one meant.",
        ),
        None => (
            if part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns },
            format!("The brief says \"{word}\" in words alone"),
            "Enter the class in `part.property_class`, or correct the wording of the brief.",
        ),
    };
    let message = format!("{lead}, and {} is {less}.", case.metal.name);
    found.push(finding(kind, "strength.in_words", message, IN_WORDS).remedy(remedy));
}

/// How one strength falls short of another: in tension, or by hardness where neither is loaded so.
fn less_than(own: Option<&Strength>, asked: Option<&Strength>) -> Option<String> {
    let (own, asked) = (own?, asked?);
    if let (Some((has, _)), Some((asks, _))) = (own.tensile_and_yield_mpa, asked.tensile_and_yield_mpa) {
        let weaker = has < asks * (1.0 - ROUNDING);
        return weaker.then(|| format!("weaker: tensile strength {has:.0} MPa instead of {asks:.0} MPa"));
    }
    let ((_, has), (asks, _)) = own.hardness_hv.zip(asked.hardness_hv)?;
    (has < asks).then(|| format!("softer: {has:.0} HV at most instead of {asks:.0} HV or more"))
}

/// Rejects a class that no standard has for the form, and a stated hardness that the class cannot have.
pub(super) fn contradictions(brief: &Brief, catalog: &Catalog, thread: Option<Thread>) -> Result<()> {
    let part = &brief.part;
    let diameter_mm = thread.as_ref().map(Thread::diameter_mm);
    if let Some(word) = &part.property_class
        && Asked::named(word, kind_of(part)).is_none()
    {
        return Err(unknown_class(word, part));
    }
    impossible_tempering(part, catalog, thread)?;
    if let (Some(word), Some(name)) = (&part.property_class, &part.base_metal)
        && let Some(Asked::Stainless(class)) = Asked::named(word, kind_of(part))
    {
        let metal = catalog.base_metal(name).map_err(|e| e.within("part"))?;
        if !metal.family.is_stainless() {
            return Err(invalid(
                "part.property_class",
                word,
                &format!("a class that {} can have: {} is stainless steel", metal.name, class.group),
                "Name a stainless base metal, or leave `part.base_metal` out, or correct the class. To compare another \
                 metal, enter it in `wants.other_base_metals`.",
            ));
        }
        if !class.is_of(metal) {
            return Err(other_group(word, class, metal, catalog));
        }
    }
    if let Some(name) = &part.base_metal {
        impossible_aging(part, catalog.base_metal(name).map_err(|e| e.within("part"))?, catalog)?;
    }
    let Some(stated) = part.hardness_hv else { return Ok(()) };
    let metal = part.base_metal.as_ref().map(|name| catalog.base_metal(name).map_err(|e| e.within("part")));
    let metal = metal.transpose()?;
    let of_metal = metal.and_then(|metal| Strength::of(metal, part, diameter_mm, catalog));
    let softened = metal
        .is_some_and(|metal| matches!(metal.family, Family::Martensitic | Family::PrecipitationHardening));
    for strength in of_metal.into_iter().chain(Strength::asked(part, diameter_mm)) {
        if let Some((least, _)) = strength.hardness_hv
            && stated < least
        {
            return Err(invalid(
                "part.hardness_hv",
                stated,
                &format!("{least} HV or more, the lowest hardness of {}", in_words(&strength.class)),
                if softened {
                    "Correct the hardness, name the base metal that has it, or enter `part.tempering_temperature_c`: it \
                     says the condition of stainless steel that heat hardens."
                } else {
                    "Correct the hardness, or name the base metal and class that have it."
                },
            ));
        }
    }
    Ok(())
}

/// A stainless class beside a base metal of another steel group.
fn other_group(word: &str, class: Stainless, metal: &BaseMetal, catalog: &Catalog) -> Error {
    let allowed = match group_of(metal) {
        Some(group) => format!("a class of {group}, the steel group of {}", metal.name),
        None => format!("a class that {} can have: {} is another steel", metal.name, class.group),
    };
    let name = class.first_metal(catalog).unwrap_or("of that group");
    let remedy = format!(
        "Name the base metal {name}, or leave `part.base_metal` out, or correct the class. To compare another metal, enter it \
         in `wants.other_base_metals`."
    );
    invalid("part.property_class", word, &allowed, &remedy)
}

/// The steel group of ISO 3506-1 that a metal belongs to.
fn group_of(metal: &BaseMetal) -> Option<&str> {
    let of_fasteners = || metal.fastener_strength.as_ref()?.class.split_once('-').map(|(group, _)| group);
    metal.property_class.as_deref().into_iter().chain(of_fasteners()).find(|group| GROUPS.contains(group))
}

/// Rejects an aging that no condition of precipitation-hardening steel has, and a hardness beyond that of the aging stated.
fn impossible_aging(part: &Part, metal: &BaseMetal, catalog: &Catalog) -> Result<()> {
    let aging_c = tempering_of(metal, part, catalog);
    let (Some(aging_c), Some(aged)) = (aging_c, Aged::of(metal, aging_c)) else { return Ok(()) };
    let [hardest, ..] = &AGED;
    if aging_c < hardest.aging_c - AGING_SCATTER_C {
        return Err(invalid(
            "part.tempering_temperature_c",
            aging_c,
            &format!(
                "{} °C ({}) or more: {} is aged there at the lowest",
                hardest.aging_c, hardest.class, metal.name
            ),
            "Enter the aging temperature of the certificate, as for condition H900 482 °C.",
        ));
    }
    let most_hv = aged.hardness_hv.1;
    match part.hardness_hv {
        Some(stated) if stated > most_hv => Err(invalid(
            "part.hardness_hv",
            stated,
            &format!("{most_hv} HV or less, the highest hardness of condition {}", aged.class),
            "Correct the hardness, or the aging temperature in `part.tempering_temperature_c`.",
        )),
        _ => Ok(()),
    }
}

/// Rejects a tempering at which steel is no longer tempered, below that of its class, or too hot for its hardness.
fn impossible_tempering(part: &Part, catalog: &Catalog, thread: Option<Thread>) -> Result<()> {
    let stated_metal = part.base_metal.is_some() || part.property_class.is_some();
    let named = first_base_metal(part, catalog).filter(|_| stated_metal);
    let metal = named.and_then(|name| catalog.base_metal(name).ok());
    let Some((tempering_c, metal)) = part.tempering_temperature_c.zip(metal) else { return Ok(()) };
    if !metal.family.rusts_by_dose() {
        return Ok(());
    }
    let refuse =
        |allowed: &str| Err(invalid("part.tempering_temperature_c", tempering_c, allowed, TEMPERING_REMEDY));
    if tempering_c > heat::HIGHEST_TEMPERING_C {
        return refuse(&format!(
            "{} °C at most: hotter, steel is annealed and not tempered",
            heat::HIGHEST_TEMPERING_C
        ));
    }
    let diameter_mm = thread.as_ref().map(Thread::diameter_mm);
    let of_class = Strength::of(metal, part, diameter_mm, catalog).and_then(|strength| strength.hardness_hv);
    let harder = part.hardness_hv.is_some_and(|hv| of_class.is_none_or(|(_, most)| hv > most));
    let least_c = heat::lowest_of(metal, part, thread).filter(|_| kind_of(part) == Kind::Bolt && !harder);
    if let Some(least_c) = least_c.filter(|least_c| tempering_c < *least_c) {
        return refuse(&format!("{least_c} °C or more, the lowest tempering of {}", metal.name));
    }
    let needs_tempering = metal.tempering_temperature_c.is_some();
    let hardness_hv = part.hardness_hv.or(of_class.map(|(least, _)| least).filter(|_| needs_tempering));
    if let Some(hv) = hardness_hv.filter(|hv| *hv > heat::hardest_hv(tempering_c)) {
        return refuse(&format!(
            "a temperature that leaves {hv:.0} HV: steel tempered at {tempering_c} °C has about {:.0} HV at most",
            heat::hardest_hv(tempering_c)
        ));
    }
    Ok(())
}

const TEMPERING_REMEDY: &str = "Correct the tempering temperature, or the hardness; for a nitrided or case-hardened surface \
                                leave the tempering out.";

fn unknown_class(word: &str, part: &Part) -> Error {
    let allowed = "4.6, 5.8, 8.8, 10.9 or 12.9, with a leading zero for a reduced head, or a stainless class such as A4-70";
    let of_inch = format!("Grade {word}");
    if kind_of(part) == Kind::Bolt && InchGrade::named(&of_inch).is_some() {
        let remedy =
            format!("Write \"{of_inch}\" for the grade of inch bolts, else the class as on the head.");
        return invalid("part.property_class", word, allowed, &remedy);
    }
    let (allowed, remedy) = match kind_of(part) {
        Kind::Nut => (
            "nut class 5, 8, 10 or 12, or a stainless class such as A4-70; other classes of ISO 898-2 (04, 05, 6, 9) are not \
             judged here",
            "Write one of these classes, or leave it out and name the base metal.",
        ),
        Kind::Other if part.form == Some(Form::PlainWasher) => (
            "no property class: ISO 898-3 classes washers by hardness",
            "Leave it out, and enter `part.hardness_hv` and the base metal.",
        ),
        Kind::SetScrew => (
            "set screw class 14H, 22H, 33H or 45H, or a stainless class such as A4-70",
            "Write the class of ISO 898-5.",
        ),
        Kind::Bolt | Kind::Other => (allowed, "Write the class as on the head, or leave it out."),
    };
    invalid("part.property_class", word, allowed, remedy)
}

/// A class or condition with its noun.
fn in_words(class: &str) -> String {
    let condition = AGED.iter().any(|row| row.class == class);
    format!("{} {class}", if condition { "condition" } else { "property class" })
}

/// A metal in the words of an order, with the class that is counted on where its name does not say it.
fn with_class(metal: &BaseMetal, strength: &Strength) -> String {
    if metal.name.ends_with(strength.class.as_ref()) {
        metal.name.clone()
    } else {
        format!("{} (as {})", metal.name, strength.class)
    }
}

/// What an inch bolt or nut is ordered by in place of a property class.
pub(crate) struct InchOrder {
    /// Standard and grade.
    pub(crate) grade: Cow<'static, str>,
    /// Rockwell C hardness, where it is known.
    pub(crate) hardness_hrc: Option<(f64, f64)>,
    /// Whether the brief names the grade.
    pub(crate) named: bool,
}

/// Grade of a steel bolt or nut that the brief names by a grade or gives an inch thread; none where no inch standard has
/// this strength for the head.
pub(crate) fn inch_order(case: &Case) -> Option<InchOrder> {
    let part = &case.brief().part;
    let class = case.metal.property_class.as_deref().and_then(PropertyClass::named)?;
    let asked = part.property_class.as_deref().and_then(InchGrade::named);
    let asked = asked.filter(|grade| grade.class() == Some(class));
    if asked.is_none() && !case.has_inch_thread() {
        return None;
    }
    let weak = matches!(part.form, Some(Form::ButtonHeadScrew | Form::CountersunkScrew));
    match kind_of(part) {
        Kind::Nut => {
            let screw = asked.or(InchGrade::of_hex_bolts(class))?;
            let grade = screw.name.strip_prefix("SAE J429").map(|grade| format!("SAE J995{grade}"))?;
            Some(InchOrder { grade: grade.into(), hardness_hrc: None, named: asked.is_some() })
        }
        Kind::Bolt if weak && asked.is_none() => (class == PropertyClass::Class12_9).then_some(InchOrder {
            grade: "ASTM F835".into(),
            hardness_hrc: Some((39.0, 44.0)),
            named: false,
        }),
        Kind::Bolt => {
            let usual = match part.form {
                Some(Form::SocketCapScrew) => InchGrade::of_socket_screws(class),
                _ => InchGrade::of_hex_bolts(class),
            };
            let grade = asked.or(usual)?;
            Some(InchOrder {
                grade: grade.name.into(),
                hardness_hrc: grade.hardness_hrc,
                named: asked.is_some(),
            })
        }
        Kind::SetScrew | Kind::Other => None,
    }
}

/// What is sold when nothing is specified: screws of property class 8.8, brackets of plain low-carbon steel.
pub(crate) fn usual_base_metal(part: &Part) -> &'static str {
    if part.form == Some(Form::Bracket) { "steel_4_6" } else { "steel_8_8" }
}

/// The base metal of the brief: the one named, else one of the required class, else what is usually sold. None where no
/// metal of the catalog has the class.
pub(crate) fn first_base_metal<'a>(part: &'a Part, catalog: &'a Catalog) -> Option<&'a str> {
    if let Some(named) = part.base_metal.as_deref() {
        return Some(named);
    }
    let Some(asked) = part.property_class.as_deref().and_then(|word| Asked::named(word, kind_of(part)))
    else {
        return Some(usual_base_metal(part));
    };
    let class = match asked {
        Asked::Steel(class) => class.word(),
        Asked::Stainless(class) => class.group,
    };
    let metals = &catalog.content().base_metals;
    let has = |metal: &BaseMetal| {
        let group = metal.fastener_strength.as_ref().and_then(|own| Some(own.class.split_once('-')?.0));
        metal.property_class.as_deref() == Some(class) || group == Some(class)
    };
    metals.iter().find(|(_, metal)| has(metal)).map(|(name, _)| name.as_str())
}

/// What a build is held against: the class asked for, else the base metal named, else what is usual.
struct Reference {
    name: String,
    strength: Option<Strength>,
    stated: bool,
}

fn reference(case: &Case) -> Option<Reference> {
    let part = &case.brief().part;
    let diameter_mm = case.diameter_mm();
    if let Some(strength) = Strength::asked(part, diameter_mm) {
        return Some(Reference {
            name: format!("the property class asked for, {}", strength.class),
            strength: Some(strength),
            stated: true,
        });
    }
    let (name, stated) = match &part.base_metal {
        Some(name) => (name.as_str(), true),
        None => (usual_base_metal(part), false),
    };
    let metal = case.catalog().content().base_metals.get(name)?;
    let strength = Strength::of(metal, part, diameter_mm, case.catalog());
    let name = match &strength {
        Some(strength) if stated => format!("the base metal named, {}", with_class(metal, strength)),
        Some(strength) => format!("the usual metal, {}", with_class(metal, strength)),
        None => metal.name.clone(),
    };
    Some(Reference { name, strength, stated })
}

/// Yield strength that the brief names or asks for, MPa; none where it states no strength.
pub(crate) fn stated_yield_mpa(case: &Case) -> Option<f64> {
    reference(case)
        .filter(|reference| reference.stated)?
        .strength?
        .tensile_and_yield_mpa
        .map(|(_, yield_mpa)| yield_mpa)
}

/// What the findings depend on and the builds of a brief differ in: the base metal.
pub(super) type Differs = String;

pub(super) fn check(case: &Case, found: &mut Vec<Finding>) -> Result<()> {
    case.inquiry.of_strength.add(found, case.build.base_metal.clone(), |found| {
        word(case, found);
        Ok(())
    })
}

fn word(case: &Case, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let safety = part.safety_critical;
    let own = case.strength();
    class_words(case, own.as_ref(), found);
    in_words_alone(case, own.as_ref(), found);
    if safety && part.base_metal.is_none() && part.property_class.is_none() {
        found.push(
            finding(
                FindingKind::Blocks,
                "strength.not_stated",
                "A safety-critical part has neither a base metal nor a property class in the brief.",
                NOT_STATED,
            )
            .remedy("Enter `part.base_metal` or `part.property_class`."),
        );
        return;
    }
    let same = part.property_class.is_none() && part.base_metal.as_deref() == Some(&case.build.base_metal);
    lower_grade(case, found);
    softer_than_stated(case, own.as_ref(), found);
    let Some(reference) = reference(case).filter(|_| !same) else { return };
    if !reference.stated && kind_of(part) == Kind::Other {
        return;
    }
    let kind = if safety { FindingKind::Blocks } else { FindingKind::Warns };
    if let Some(message) = weaker(case, own.as_ref(), &reference) {
        let source = own.as_ref().map_or(SWAP, |own| own.source.clone());
        found.push(finding(kind, "strength.weaker", message, source).remedy(
            "Calculate the joint again for the lower strength before you order this metal, or order a metal that reaches \
             the class.",
        ));
    }
    if let Some((has, asks)) = softer(case, own.as_ref(), &reference) {
        found.push(
            finding(
                kind,
                "strength.softer",
                format!(
                    "{} reaches {has:.0} HV at most; {} has {asks:.0} HV or more.",
                    case.metal.name, reference.name
                ),
                SWAP,
            )
            .remedy(SOFTER),
        );
    }
}

const SOFTER: &str =
    "Check wear, bearing pressure and strength for the softer metal, or order the harder one.";

/// A metal that does not reach the hardness stated of a part whose metal is not named, as it is usually ordered.
fn softer_than_stated(case: &Case, own: Option<&Strength>, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let Some((has, stated)) = short_of_stated(case, own) else { return };
    let kind = if part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns };
    let message = format!("{} reaches {has:.0} HV at most; {stated:.0} HV is stated.", case.metal.name);
    found.push(finding(kind, "strength.softer", message, SWAP).remedy(SOFTER));
}

/// The highest usual hardness of a metal and the one stated, where no metal is named and heat gives this one no hard surface.
fn short_of_stated(case: &Case, own: Option<&Strength>) -> Option<(f64, f64)> {
    let part = &case.brief().part;
    let stated = part.hardness_hv.filter(|_| part.base_metal.is_none() && part.property_class.is_none())?;
    if !matches!(case.metal.family, Family::Austenitic | Family::Duplex | Family::Ferritic) {
        return None;
    }
    let of_class = own.and_then(|own| own.hardness_hv).map(|(_, high)| high);
    let has = of_class.or(case.metal.hardness_hv.as_ref().map(|range| range.high))?;
    (has < stated).then_some((has, stated))
}

/// A metal that resists corrosion less than the stainless steel group that the class asks for: the group is what the
/// designer chose against it.
fn lower_grade(case: &Case, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let asked = part.property_class.as_deref().and_then(Stainless::named);
    let Some(asked) = asked.filter(|asked| !asked.is_of(case.metal)) else { return };
    let own = case.metal.resistance_class.as_ref().map(|value| value.value);
    let lower = asked.resistance(case.catalog()).zip(own).is_some_and(|(asks, has)| has < asks);
    let Some(lost) = asked.lost_with(case.metal).or(lower.then_some("resists corrosion less")) else {
        return;
    };
    let kind = if part.safety_critical { FindingKind::Blocks } else { FindingKind::Warns };
    let Stainless { group, number, .. } = asked;
    let metal = &case.metal.name;
    found.push(
        finding(
            kind,
            "substrate.grade",
            format!("{group}-{number} asks for steel of group {group}, and {metal} {lost}."),
            GRADE,
        )
        .remedy(format!(
            "Order a metal of group {group}, or have the designer accept {metal} in writing, with the class that is ordered."
        )),
    );
}

/// The sentence for a metal of which a strength is lower than that it is held against, or unknown.
fn weaker(case: &Case, own: Option<&Strength>, reference: &Reference) -> Option<String> {
    let (asks_tensile, asks_yield) = reference.strength.as_ref()?.tensile_and_yield_mpa?;
    let Some(own) = own else {
        if kind_of(&case.brief().part) == Kind::Nut {
            return Some(format!(
                "The strength of {} is not known here; {} carries screws of {asks_tensile:.0} MPa tensile strength.",
                case.metal.name, reference.name
            ));
        }
        return Some(format!(
            "The strength of {} is not known here; {} has a tensile strength of {asks_tensile:.0} MPa and a yield \
             strength of {asks_yield:.0} MPa.",
            case.metal.name, reference.name
        ));
    };
    let (tensile, yield_mpa) = own.tensile_and_yield_mpa?;
    let short = |has: f64, asks: f64| has < asks * (1.0 - ROUNDING);
    if kind_of(&case.brief().part) == Kind::Nut {
        // its thread is proved with the tensile strength of the screw that it matches
        return short(tensile, asks_tensile).then(|| {
            format!(
                "The nut carries screws of {tensile:.0} MPa tensile strength instead of {asks_tensile:.0} MPa; above that its \
                 thread strips: {} replaces {}.",
                with_class(case.metal, own),
                reference.name
            )
        });
    }
    if case.brief().part.form == Some(Form::PlainWasher) {
        // it is pressed, not pulled
        return short(yield_mpa, asks_yield).then(|| {
            format!(
                "The washer yields at {yield_mpa:.0} MPa under the head instead of {asks_yield:.0} MPa: {} replaces {}.",
                with_class(case.metal, own),
                reference.name
            )
        });
    }
    (short(tensile, asks_tensile) || short(yield_mpa, asks_yield)).then(|| {
        let pair = |what: &str, has: f64, asks: f64| {
            format!("{what} strength {has:.0} MPa instead of {asks:.0} MPa")
        };
        let figures = match (short(tensile, asks_tensile), short(yield_mpa, asks_yield)) {
            (true, true) => format!(
                "{}, {}",
                pair("Tensile", tensile, asks_tensile),
                pair("yield", yield_mpa, asks_yield)
            ),
            (true, false) => pair("Tensile", tensile, asks_tensile),
            _ => pair("Yield", yield_mpa, asks_yield),
        };
        format!("{figures}: {} replaces {}.", with_class(case.metal, own), reference.name)
    })
}

/// Highest hardness of the metal and lowest of the one it is held against, where it is softer.
fn softer(case: &Case, own: Option<&Strength>, reference: &Reference) -> Option<(f64, f64)> {
    if !reference.stated {
        return None;
    }
    let part = &case.brief().part;
    let of_piece = part.hardness_hv.filter(|_| !part.is_at_hand_in(&case.build.base_metal));
    let of_class = reference.strength.as_ref().and_then(|strength| strength.hardness_hv).map(|(low, _)| low);
    let asks = of_piece.or(of_class)?;
    let of_own_class = own.and_then(|own| own.hardness_hv).map(|(_, high)| high);
    let has = of_own_class.or(case.metal.hardness_hv.as_ref().map(|range| range.high))?;
    (has < asks).then_some((has, asks))
}

/// Highest hardness of F1-60 of ISO 3506-1 (from memory): heat does not harden ferritic stainless steel.
const FERRITIC_HV: f64 = 285.0;
/// Highest hardness of cold-worked screws and nuts of class 100 of ISO 3506-1 (assumption: tensile strength of 1000 MPa and
/// its usual excess over 3.2).
const COLD_WORKED_HV: f64 = 400.0;

/// The highest hardness that the part can have, and of what: a screw or nut by its class, other metals by their family
/// (assumption: hardest usual condition through the section). None where the surface of the steel can be hardened.
fn hardest(case: &Case, own: Option<&Strength>) -> Option<(f64, String)> {
    let classed = case.metal.property_class.as_deref().and_then(PropertyClass::named).is_some();
    // mild steel can have a hard case; a tempered class is no answer for a hardness beyond it where no metal is named
    let part = &case.brief().part;
    let tempered = case.metal.tempering_temperature_c.is_some() && part.base_metal.is_none();
    if classed && (tempered || is_fastener(part)) {
        let own = own?;
        return Some((own.hardness_hv?.1, in_words(&own.class)));
    }
    let most_hv = match case.metal.family {
        Family::Zinc => 200.0,
        Family::Aluminium => 250.0,
        Family::Ferritic => FERRITIC_HV,
        Family::Austenitic | Family::Duplex if is_fastener(&case.brief().part) => COLD_WORKED_HV,
        Family::CopperAlloy | Family::Titanium => 450.0,
        Family::Austenitic | Family::Duplex => 500.0,
        _ => return None,
    };
    Some((most_hv, case.metal.name.clone()))
}

fn class_words(case: &Case, own: Option<&Strength>, found: &mut Vec<Finding>) {
    let part = &case.brief().part;
    let stated = case.piece_at_hand().and_then(|part| part.hardness_hv);
    if let Some(stated) = stated
        && short_of_stated(case, own).is_none()
        && let Some((most, what)) = hardest(case, own).filter(|(most, _)| stated > *most)
    {
        found.push(
            finding(
                FindingKind::Warns,
                "strength.hardness",
                format!(
                    "{stated:.0} HV is stated, but {what} has {most:.0} HV at most; {stated:.0} HV is used."
                ),
                HARDER,
            )
            .remedy("Correct `part.hardness_hv`, or name the base metal and class that have it."),
        );
    }
    let Some(own) = own else { return };
    if let (Some(stated), Some((least, most))) = (stated, own.hardness_hv)
        && stated < least
    {
        found.push(
            finding(
                FindingKind::Warns,
                "strength.hardness",
                format!(
                    "{stated:.0} HV is stated, but {} has {least:.0} HV or more; {most:.0} HV is used.",
                    in_words(&own.class)
                ),
                HARDER,
            )
            .remedy("Correct `part.hardness_hv` or name the base metal that has it."),
        );
    }
    if head_share(part) < 1.0 {
        found.push(
            finding(
                FindingKind::Notes,
                "strength.head",
                format!(
                    "The head limits the load to 80% of a full-strength screw: order class {}.",
                    own.class
                ),
                HEAD,
            )
            .remedy("Check the joint with 80% of the tensile and proof load."),
        );
        return;
    }
    let Some(bolt) = case.metal.property_class.as_deref().and_then(PropertyClass::named) else { return };
    if part.property_class.as_deref() == Some(own.class.as_ref()) {
        return;
    }
    let message = match kind_of(part) {
        Kind::Nut => format!("A nut has a class of ISO 898-2, not {bolt}: order class {}.", own.class),
        Kind::SetScrew => {
            format!(
                "A set screw has a class of ISO 898-5, not {bolt}: order class {}, not for tensile load.",
                own.class
            )
        }
        Kind::Bolt | Kind::Other => return,
    };
    found.push(finding(FindingKind::Notes, "strength.class", message, own.source.clone()));
}
