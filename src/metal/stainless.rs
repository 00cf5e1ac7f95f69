//! Which stainless steel a place asks for: corrosion resistance factor and class of EN 1993-1-4, Annex A.
//!
//! The place gives three penalties, F1 for chlorides, F2 for sulphur dioxide and F3 for missing washing. Their sum,
//! the corrosion resistance factor (CRF), asks for a corrosion resistance class (CRC) I to V; a grade has its
//! own class, and must reach the required one.
//!
//! Swimming-pool atmospheres are outside: they can crack grades that the factor would allow, and the standard
//! has a separate table of grades for them (from memory).

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, within, words};
use crate::evidence::Source;

/// Values of F1, F2 and F3.
pub(crate) const FACTOR_SOURCE: Source =
    Source::standard("EN 1993-1-4:2006+A1:2015, Annex A, corrosion resistance factor F1 + F2 + F3");
/// That F3 is 0 when F1 + F2 is 0 or more.
pub(crate) const WASHING_EXCEPTION_SOURCE: Source =
    Source::from_memory("EN 1993-1-4:2006+A1:2015, Annex A, F3 = 0 where F1 + F2 >= 0");
/// Classes by factor.
pub(crate) const CLASS_SOURCE: Source =
    Source::from_memory("EN 1993-1-4:2006+A1:2015, Annex A, corrosion resistance classes by factor");
/// Grades by class.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const GRADE_SOURCE: Source =
    Source::from_memory("EN 1993-1-4:2006+A1:2015, Annex A, grades of the corrosion resistance classes");
/// Classes of fastener grades.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const FASTENER_GRADE_SOURCE: Source = Source::from_memory(
    "class of the steel that ISO 3506-1 names for the grade, by EN 1993-1-4:2006+A1:2015, Annex A",
);
/// What happens exactly on a bound.
pub(crate) const BOUND_SOURCE: Source = Source::assumption(
    "the bounds of EN 1993-1-4, Annex A, were read with strict signs on both sides; for a value on a bound the \
     more severe side is used",
);

/// Corrosion resistance class, from the mildest to the most severe duty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum ResistanceClass {
    /// Dry, controlled interiors.
    I,
    /// Mild.
    II,
    /// Moderate.
    III,
    /// Severe.
    IV,
    /// Very severe.
    V,
}

words! {
    ResistanceClass, "resistance_class", "Write the class as a Roman number.";
    I = "I",
    II = "II",
    III = "III",
    IV = "IV",
    V = "V",
}

impl ResistanceClass {
    /// The class that a corrosion resistance factor asks for.
    ///
    /// 1: I; 0 down to above -7: II; -7 down to above -15: III; -15 down to -20: IV; below -20: V
    /// (`CLASS_SOURCE`). The printed ranges leave out what is between 1 and 0; all factors are whole numbers,
    /// so nothing falls there.
    ///
    /// ```
    /// use overcoat::metal::ResistanceClass;
    /// assert_eq!(ResistanceClass::required(1), ResistanceClass::I);
    /// assert_eq!(ResistanceClass::required(-7), ResistanceClass::III);
    /// assert_eq!(ResistanceClass::required(-20), ResistanceClass::IV);
    /// assert!(ResistanceClass::required(-21) > ResistanceClass::IV);
    /// ```
    pub const fn required(factor: i32) -> Self {
        match factor {
            1.. => Self::I,
            -6..=0 => Self::II,
            -14..=-7 => Self::III,
            -20..=-15 => Self::IV,
            _ => Self::V,
        }
    }
}

/// Which coast: salt and warmth differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Coast {
    /// The German coast of the North Sea, or any coast of the Baltic.
    NorthSeaGermanOrBaltic,
    /// Any other coast.
    Other,
}

words! {
    Coast, "coast", "Take `other` where in doubt.";
    NorthSeaGermanOrBaltic = "north_sea_german_or_baltic",
    Other = "other",
}

/// What takes deposits off the surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Washing {
    /// Rain reaches all of it.
    Rain,
    /// A cleaning regime is specified and kept.
    CleaningRegime,
    /// Neither.
    None,
}

words! {
    Washing, "washing", "Take `none` where in doubt.";
    Rain = "rain",
    CleaningRegime = "cleaning_regime",
    None = "none",
}

/// Where a stainless part serves, as EN 1993-1-4 sees it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct StainlessExposure {
    /// Distance to the sea, m; `None` says that it is known to be more than 10 km.
    pub sea_distance_m: Option<f64>,
    /// Which coast; counts within 250 m only.
    pub coast: Coast,
    /// Distance to the nearest road with de-icing salt, m; `None` says that it is known to be more than 100 m.
    pub salted_road_distance_m: Option<f64>,
    /// Inside a road tunnel with de-icing salt.
    pub road_tunnel: bool,
    /// Inside a building with controlled climate.
    pub indoor_controlled: bool,
    /// Yearly mean sulphur dioxide, µg/m³.
    pub so2_ug_m3: f64,
    /// What washes the surface.
    pub washing: Washing,
}

/// Corrosion resistance factor with its parts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct Crf {
    /// Chlorides from sea or road.
    pub f1: i32,
    /// Sulphur dioxide.
    pub f2: i32,
    /// Missing washing.
    pub f3: i32,
    /// F1 + F2 + F3.
    pub total: i32,
    /// The class a grade must reach.
    pub required_class: ResistanceClass,
    /// Input fields exactly on a bound, where the more severe side was taken by assumption (`BOUND_SOURCE`).
    pub on_bound: Vec<String>,
}

impl Crf {
    /// What the result is based on, best supported first.
    ///
    /// ```
    /// use overcoat::metal::ResistanceClass;
    /// use overcoat::metal::Crf;
    /// let factor = Crf {
    ///     f1: -3,
    ///     f2: 0,
    ///     f3: 0,
    ///     total: -3,
    ///     required_class: ResistanceClass::II,
    ///     on_bound: vec![],
    /// };
    /// assert!(factor.sources()[0].citation.starts_with("EN 1993-1-4"));
    /// ```
    pub fn sources(&self) -> Vec<Source> {
        let mut sources = vec![FACTOR_SOURCE, CLASS_SOURCE];
        if self.f1 + self.f2 >= 0 {
            sources.push(WASHING_EXCEPTION_SOURCE);
        }
        if !self.on_bound.is_empty() {
            sources.push(BOUND_SOURCE);
        }
        sources
    }
}

/// Distances to the sea up to which F1 gets worse, m, farthest first.
const SEA_BOUNDS_M: [f64; 3] = [10_000.0, 1_000.0, 250.0];
/// Distances to a salted road up to which F1 gets worse, m, farthest first.
const ROAD_BOUNDS_M: [f64; 2] = [100.0, 10.0];
/// Yearly means of sulphur dioxide from which F2 gets worse, µg/m³.
const SO2_BOUNDS_UG_M3: [f64; 2] = [10.0, 90.0];
const SO2_MAX_UG_M3: f64 = 250.0;

/// Corrosion resistance factor of a place and the class it requires.
///
/// CRF = F1 + F2 + F3, with M the distance to the sea and S to a road with de-icing salt:
///
/// | factor | value | where |
/// |---|---|---|
/// | F1 | 1 | indoors, controlled climate |
/// | | 0 | M > 10 km, S > 100 m |
/// | | -3 | M 1 to 10 km or S 10 to 100 m |
/// | | -7 | M 0.25 to 1 km or S to 10 m |
/// | | -10 | road tunnels; M to 0.25 km on German North Sea and Baltic coasts |
/// | | -15 | M to 0.25 km on other coasts |
/// | F2 | 0, -5, -10 | SO2 to 10, 10 to 90, 90 to 250 µg/m³, yearly mean |
/// | F3 | 0, -2, -7 | washed by rain, cleaned as specified, neither; 0 where F1 + F2 ≥ 0 |
///
/// F1 is the worst of sea, road and tunnel. A value on a bound counts on the more severe side and is named in
/// [`Crf::on_bound`]. Sources: `FACTOR_SOURCE`, `WASHING_EXCEPTION_SOURCE`, `CLASS_SOURCE`,
/// `BOUND_SOURCE`. Swimming pools are outside.
///
/// # Errors
/// Negative distances; SO2 outside 0 to 250 µg/m³; a tunnel said to be a controlled interior.
///
/// ```
/// use overcoat::metal::{Coast, ResistanceClass, StainlessExposure, Washing, corrosion_resistance_factor};
/// let quay = StainlessExposure {
///     sea_distance_m: Some(100.0),
///     coast: Coast::Other,
///     salted_road_distance_m: None,
///     road_tunnel: false,
///     indoor_controlled: false,
///     so2_ug_m3: 5.0,
///     washing: Washing::Rain,
/// };
/// let open = corrosion_resistance_factor(&quay)?;
/// assert_eq!((open.total, open.required_class), (-15, ResistanceClass::IV));
/// let under_a_roof = corrosion_resistance_factor(&StainlessExposure { washing: Washing::None, ..quay })?;
/// assert_eq!((under_a_roof.total, under_a_roof.required_class), (-22, ResistanceClass::V));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn corrosion_resistance_factor(exposure: &StainlessExposure) -> Result<Crf> {
    let &StainlessExposure {
        sea_distance_m,
        coast,
        salted_road_distance_m,
        road_tunnel,
        indoor_controlled,
        so2_ug_m3,
        washing,
    } = exposure;
    let distance = |field: &str, value: Option<f64>| {
        let remedy = "Enter the distance in metres, or leave it out where it is far.";
        value.map(|m| within(field, m, 0.0, f64::INFINITY, "m", remedy)).transpose()
    };
    let sea = distance("sea_distance_m", sea_distance_m)?;
    let road = distance("salted_road_distance_m", salted_road_distance_m)?;
    let so2 = within(
        "so2_ug_m3",
        so2_ug_m3,
        0.0,
        SO2_MAX_UG_M3,
        "µg/m³",
        "The standard gives no factor for more: have the grade chosen by test or by a specialist.",
    )?;
    if indoor_controlled && road_tunnel {
        return Err(invalid(
            "road_tunnel",
            road_tunnel,
            "false where `indoor_controlled` is true",
            "A tunnel is not a controlled interior: keep one of the two.",
        ));
    }

    let mut on_bound = Vec::new();
    let mut mark = |field: &str, value: Option<f64>, bounds: &[f64]| {
        if value.is_some_and(|v| bounds.contains(&v)) {
            on_bound.push(field.to_owned());
        }
    };
    let f1 = if indoor_controlled {
        1
    } else {
        mark("sea_distance_m", sea, &SEA_BOUNDS_M);
        mark("salted_road_distance_m", road, &ROAD_BOUNDS_M);
        let tunnel = if road_tunnel { -10 } else { 0 };
        sea.map_or(0, |m| sea_factor(m, coast)).min(road.map_or(0, road_factor)).min(tunnel)
    };
    mark("so2_ug_m3", Some(so2), &SO2_BOUNDS_UG_M3);
    let [moderate, high] = SO2_BOUNDS_UG_M3;
    let f2 = match so2 {
        c if c >= high => -10,
        c if c >= moderate => -5,
        _ => 0,
    };
    let f3 = match washing {
        _ if f1 + f2 >= 0 => 0,
        Washing::Rain => 0,
        Washing::CleaningRegime => -2,
        Washing::None => -7,
    };
    let total = f1 + f2 + f3;
    Ok(Crf { f1, f2, f3, total, required_class: ResistanceClass::required(total), on_bound })
}

fn sea_factor(distance_m: f64, coast: Coast) -> i32 {
    let [low, medium, high] = SEA_BOUNDS_M;
    match (distance_m, coast) {
        (m, Coast::NorthSeaGermanOrBaltic) if m <= high => -10,
        (m, Coast::Other) if m <= high => -15,
        (m, _) if m <= medium => -7,
        (m, _) if m <= low => -3,
        _ => 0,
    }
}

fn road_factor(distance_m: f64) -> i32 {
    let [low, medium] = ROAD_BOUNDS_M;
    match distance_m {
        m if m <= medium => -7,
        m if m <= low => -3,
        _ => 0,
    }
}

const GRADES: [(ResistanceClass, &[&str]); 5] = [
    (ResistanceClass::I, &["1.4003", "1.4016", "1.4512"]),
    (ResistanceClass::II, &["1.4301", "1.4307", "1.4311", "1.4541", "1.4318", "1.4306", "1.4567", "1.4482"]),
    (
        ResistanceClass::III,
        &[
            "1.4401", "1.4404", "1.4435", "1.4571", "1.4429", "1.4432", "1.4578", "1.4662", "1.4362",
            "1.4062", "1.4162",
        ],
    ),
    (ResistanceClass::IV, &["1.4439", "1.4462", "1.4539"]),
    (ResistanceClass::V, &["1.4565", "1.4529", "1.4547", "1.4410", "1.4501", "1.4507"]),
];

/// Corrosion resistance class of a stainless steel by its EN number; `None` for a grade in no class.
///
/// A grade without a class is not bad or good for that reason: free-machining and hardenable grades such as 1.4305 and
/// 1.4542 are outside the standard's choice. From memory (`GRADE_SOURCE`).
///
/// ```
/// use overcoat::metal::{ResistanceClass, grade_class};
/// assert_eq!(grade_class("1.4462"), Some(ResistanceClass::IV));
/// assert_eq!(grade_class("1.4305"), None);
/// ```
pub fn grade_class(en_number: &str) -> Option<ResistanceClass> {
    let number = en_number.trim();
    GRADES.iter().find(|(_, grades)| grades.contains(&number)).map(|(class, _)| *class)
}

/// Corrosion resistance class of a fastener grade of ISO 3506-1, with or without its strength: `A2`, `A4-80`.
///
/// | grade | by way of | class |
/// |---|---|---|
/// | A2 | 1.4301, 1.4567 | II |
/// | A4 | 1.4401, 1.4578 | III |
/// | A5 | 1.4571 | III |
/// | F1 | 1.4016 | I |
///
/// `None` for grades whose steels have no class (A1, C1, C3, C4), for A3, which admits one steel with a class
/// (1.4541) and one without (1.4550), and for unknown names. From memory (`FASTENER_GRADE_SOURCE`).
///
/// ```
/// use overcoat::metal::{ResistanceClass, fastener_grade_class};
/// assert_eq!(fastener_grade_class("A4-80"), Some(ResistanceClass::III));
/// assert_eq!(fastener_grade_class("A1"), None);
/// ```
pub fn fastener_grade_class(grade: &str) -> Option<ResistanceClass> {
    let grade = grade.trim();
    match grade.split_once('-').map_or(grade, |(steel, _)| steel) {
        "A2" => grade_class("1.4301"),
        "A4" => grade_class("1.4401"),
        "A5" => grade_class("1.4571"),
        "F1" => grade_class("1.4016"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const INLAND: StainlessExposure = StainlessExposure {
        sea_distance_m: None,
        coast: Coast::Other,
        salted_road_distance_m: None,
        road_tunnel: false,
        indoor_controlled: false,
        so2_ug_m3: 5.0,
        washing: Washing::Rain,
    };

    fn factor(exposure: StainlessExposure) -> Crf {
        corrosion_resistance_factor(&exposure).unwrap()
    }

    fn at_sea(sea_distance_m: f64, coast: Coast) -> i32 {
        factor(StainlessExposure { sea_distance_m: Some(sea_distance_m), coast, ..INLAND }).f1
    }

    // Printed: EN 1993-1-4:2006+A1:2015, Annex A, F1; the bounds themselves by assumption.
    #[test]
    fn f1_by_distance_to_the_sea() {
        for (m, baltic, other) in [
            (10_001.0, 0, 0),
            (10_000.0, -3, -3),
            (1_001.0, -3, -3),
            (1_000.0, -7, -7),
            (251.0, -7, -7),
            (250.0, -10, -15),
            (0.0, -10, -15),
        ] {
            assert_eq!(at_sea(m, Coast::NorthSeaGermanOrBaltic), baltic, "{m} m");
            assert_eq!(at_sea(m, Coast::Other), other, "{m} m");
        }
    }

    // Printed: same annex.
    #[test]
    fn f1_by_distance_to_a_salted_road() {
        for (s, f1) in [(101.0, 0), (100.0, -3), (11.0, -3), (10.0, -7), (0.0, -7)] {
            assert_eq!(
                factor(StainlessExposure { salted_road_distance_m: Some(s), ..INLAND }).f1,
                f1,
                "{s} m"
            );
        }
    }

    #[test]
    fn f1_takes_the_worst_of_sea_road_and_tunnel() {
        let both =
            StainlessExposure { sea_distance_m: Some(5_000.0), salted_road_distance_m: Some(5.0), ..INLAND };
        assert_eq!(factor(both).f1, -7);
        assert_eq!(factor(StainlessExposure { road_tunnel: true, ..both }).f1, -10);
        let quay = StainlessExposure { sea_distance_m: Some(50.0), road_tunnel: true, ..INLAND };
        assert_eq!(factor(quay).f1, -15);
    }

    // Printed: same annex, F2 and F3; that F3 falls away is from memory.
    #[test]
    fn f2_and_f3() {
        let f2 = |so2_ug_m3| factor(StainlessExposure { so2_ug_m3, ..INLAND }).f2;
        assert_eq!([f2(0.0), f2(9.9), f2(10.0), f2(89.9), f2(90.0), f2(250.0)], [0, 0, -5, -5, -10, -10]);
        let f3 = |so2_ug_m3, washing| factor(StainlessExposure { so2_ug_m3, washing, ..INLAND }).f3;
        assert_eq!(f3(20.0, Washing::Rain), 0);
        assert_eq!(f3(20.0, Washing::CleaningRegime), -2);
        assert_eq!(f3(20.0, Washing::None), -7);
        assert_eq!(f3(5.0, Washing::None), 0);
    }

    #[test]
    fn a_controlled_interior_asks_for_class_one() {
        let office = StainlessExposure {
            sea_distance_m: Some(100.0),
            indoor_controlled: true,
            washing: Washing::None,
            ..INLAND
        };
        assert_eq!(factor(office).total, 1);
        assert_eq!(factor(office).required_class, ResistanceClass::I);
        assert!(factor(office).on_bound.is_empty());
        assert!(factor(office).sources().contains(&WASHING_EXCEPTION_SOURCE));
        let contradiction = StainlessExposure { road_tunnel: true, ..office };
        assert_eq!(corrosion_resistance_factor(&contradiction).unwrap_err().field(), "road_tunnel");
    }

    #[test]
    fn values_on_a_bound_are_named() {
        let result = factor(StainlessExposure {
            sea_distance_m: Some(1_000.0),
            salted_road_distance_m: Some(50.0),
            so2_ug_m3: 90.0,
            ..INLAND
        });
        assert_eq!(result.on_bound, ["sea_distance_m", "so2_ug_m3"]);
        assert!(result.sources().contains(&BOUND_SOURCE));
        assert!(!factor(INLAND).sources().contains(&BOUND_SOURCE));
    }

    #[test]
    fn impossible_places_are_refused() {
        for bad in [-1.0, f64::NAN, f64::INFINITY] {
            for (exposure, field) in [
                (StainlessExposure { sea_distance_m: Some(bad), ..INLAND }, "sea_distance_m"),
                (StainlessExposure { salted_road_distance_m: Some(bad), ..INLAND }, "salted_road_distance_m"),
                (StainlessExposure { so2_ug_m3: bad, ..INLAND }, "so2_ug_m3"),
            ] {
                assert_eq!(corrosion_resistance_factor(&exposure).unwrap_err().field(), field);
            }
        }
        assert!(corrosion_resistance_factor(&StainlessExposure { so2_ug_m3: 250.1, ..INLAND }).is_err());
    }

    // -3 for 5 km to the sea, -5 for 20 µg/m³ of sulphur dioxide, -7 for no washing: -15, the first of class IV.
    #[test]
    fn the_factor_is_the_sum_of_the_three() {
        let dock = factor(StainlessExposure {
            sea_distance_m: Some(5_000.0),
            so2_ug_m3: 20.0,
            washing: Washing::None,
            ..INLAND
        });
        assert_eq!((dock.f1, dock.f2, dock.f3, dock.total), (-3, -5, -7, -15));
        assert_eq!(dock.required_class, ResistanceClass::IV);
        // washing falls away only where F1 + F2 is 0 or more
        assert!(!dock.sources().contains(&WASHING_EXCEPTION_SOURCE));
        let smoky_interior = Crf { f1: 1, f2: -5, ..dock };
        assert!(!smoky_interior.sources().contains(&WASHING_EXCEPTION_SOURCE));
    }

    // From memory: bounds of the classes.
    #[test]
    fn classes_by_factor() {
        for (total, class) in [
            (1, ResistanceClass::I),
            (0, ResistanceClass::II),
            (-6, ResistanceClass::II),
            (-7, ResistanceClass::III),
            (-14, ResistanceClass::III),
            (-15, ResistanceClass::IV),
            (-20, ResistanceClass::IV),
            (-21, ResistanceClass::V),
            (-32, ResistanceClass::V),
        ] {
            assert_eq!(ResistanceClass::required(total), class, "{total}");
        }
    }

    #[test]
    fn grades_and_fastener_grades_have_their_class() {
        assert_eq!(grade_class(" 1.4404 "), Some(ResistanceClass::III));
        assert_eq!(grade_class("1.4529"), Some(ResistanceClass::V));
        for without in ["1.4305", "1.4006", "1.4542", "", "316"] {
            assert_eq!(grade_class(without), None, "{without}");
        }
        assert_eq!(fastener_grade_class("A2-70"), Some(ResistanceClass::II));
        assert_eq!(fastener_grade_class("A5"), Some(ResistanceClass::III));
        assert_eq!(fastener_grade_class("F1"), Some(ResistanceClass::I));
        for without in ["A1", "A3", "C1-50", "C3", "C4", "8.8", ""] {
            assert_eq!(fastener_grade_class(without), None, "{without}");
        }
        // The steels named for one fastener grade share a class.
        assert_eq!(grade_class("1.4567"), fastener_grade_class("A2"));
        assert_eq!(grade_class("1.4578"), fastener_grade_class("A4"));
    }

    #[test]
    fn no_grade_is_listed_twice() {
        let mut all: Vec<&str> = GRADES.iter().flat_map(|(_, grades)| grades.iter().copied()).collect();
        all.sort_unstable();
        assert!(all.windows(2).all(|pair| pair[0] != pair[1]));
    }

    #[test]
    fn words_are_the_same_everywhere() {
        fn check<T>(all: &[T])
        where
            T: std::fmt::Display
                + std::fmt::Debug
                + std::str::FromStr<Err = crate::Error>
                + Serialize
                + PartialEq,
        {
            for value in all {
                assert_eq!(value.to_string().parse::<T>().unwrap(), *value);
                assert_eq!(serde_json::to_string(value).unwrap(), format!("\"{value}\""));
            }
        }
        check(ResistanceClass::ALL);
        check(Coast::ALL);
        check(Washing::ALL);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn nearer_the_sea_never_asks_for_less(near in 0.0..12_000.0, further in 0.0..5_000.0, so2 in 0.0..250.0) {
            let total = |m: f64| {
                let exposure = StainlessExposure { sea_distance_m: Some(m), so2_ug_m3: so2, ..INLAND };
                (factor(exposure).total, factor(exposure).required_class)
            };
            let (near, far) = (total(near), total(near + further));
            prop_assert!(near.0 <= far.0);
            prop_assert!(near.1 >= far.1);
        }
    }
}
