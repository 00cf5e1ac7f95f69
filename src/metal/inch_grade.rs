//! Grades of inch bolts and screws, read as the metric property class nearest to them.

use crate::evidence::Source;
use crate::metal::PropertyClass;

/// Strengths of the grades, and which class is nearest.
pub(crate) const INCH_GRADE_SOURCE: Source = Source::from_memory(
    "SAE J429, ASTM A307, A449, A325, A490, A354, A574, F835 and A193: lowest tensile and yield strength of the \
     smaller sizes; larger ones are weaker; Rockwell hardness of Grades 5 and 8, A574 and F835",
);
/// Share of the tensile strength by which grade and class may differ and still be read as one (assumption).
const NEAR_ENOUGH: f64 = 0.05;

/// A grade of inch bolts and screws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InchGrade {
    /// Standard and grade.
    pub name: &'static str,
    /// What is left of its name without standard bodies and words such as "grade".
    word: &'static str,
    /// Lowest tensile strength, MPa.
    pub tensile_mpa: f64,
    /// The class nearest to it that is no more than 5% apart in tensile strength, or the next weaker one.
    class: PropertyClass,
    /// Lowest and highest Rockwell C hardness, where the standard sets both; source: [`INCH_GRADE_SOURCE`].
    pub(crate) hardness_hrc: Option<(f64, f64)>,
}

const fn grade(name: &'static str, word: &'static str, tensile_mpa: f64, class: PropertyClass) -> InchGrade {
    InchGrade { name, word, tensile_mpa, class, hardness_hrc: None }
}

const fn of_hardness(low: f64, high: f64, grade: InchGrade) -> InchGrade {
    InchGrade { hardness_hrc: Some((low, high)), ..grade }
}

/// Ksi of the standards in MPa, rounded.
const GRADES: [InchGrade; 10] = [
    grade("ASTM A307", "a307", 414.0, PropertyClass::Class4_6),
    grade("SAE J429 Grade 2", "2", 510.0, PropertyClass::Class5_8),
    of_hardness(25.0, 34.0, grade("SAE J429 Grade 5", "5", 827.0, PropertyClass::Class8_8)),
    grade("ASTM A449", "a449", 827.0, PropertyClass::Class8_8),
    grade("ASTM A325", "a325", 827.0, PropertyClass::Class8_8),
    grade("ASTM A193 Grade B7", "b7", 862.0, PropertyClass::Class8_8),
    of_hardness(33.0, 39.0, grade("SAE J429 Grade 8", "8", 1034.0, PropertyClass::Class10_9)),
    grade("ASTM A490", "a490", 1034.0, PropertyClass::Class10_9),
    grade("ASTM A354 Grade BD", "bd", 1034.0, PropertyClass::Class10_9),
    of_hardness(39.0, 45.0, grade("ASTM A574", "a574", 1241.0, PropertyClass::Class12_9)),
];

impl InchGrade {
    /// The grade that a word names: "Grade 8", "SAE 5", "gr. 2", "ASTM A574", "B7". A bare number is none.
    pub(crate) fn named(text: &str) -> Option<Self> {
        const GRADE: [&str; 4] = ["sae", "j429", "grade", "gr"];
        const AROUND: [&str; 6] = ["astm", "type", "f3125", "a193", "a354", "bolt"];
        if text.len() > 40 {
            return None;
        }
        let lower = text.to_lowercase();
        // "grade8" as "grade 8", "gr.8" as "gr 8"
        let split = ["grade", "gr"].iter().find_map(|word| lower.strip_prefix(word));
        let apart = split.filter(|rest| rest.starts_with(|c: char| !c.is_alphabetic()));
        let spaced = apart.map_or_else(|| lower.clone(), |rest| format!("grade {rest}"));
        let words: Vec<&str> = spaced
            .split(|c: char| c.is_whitespace() || matches!(c, '-' | '_' | ',' | '/'))
            .map(|word| word.trim_matches('.'))
            .filter(|word| !word.is_empty())
            .collect();
        let mut own = words.iter().filter(|word| !GRADE.contains(word) && !AROUND.contains(word));
        let (word, None) = (own.next()?, own.next()) else { return None };
        // a number alone is a class of nuts
        let plain_number = word.parse::<u8>().is_ok() && !words.iter().any(|word| GRADE.contains(word));
        GRADES.iter().copied().find(|grade| grade.word == *word && !plain_number)
    }

    /// The grade that hex bolts of a strength near to a class are sold by; none of 12.9, which only socket screws reach.
    pub(crate) fn of_hex_bolts(class: PropertyClass) -> Option<Self> {
        Self::named(match class {
            PropertyClass::Class4_6 => "A307",
            PropertyClass::Class5_8 => "Grade 2",
            PropertyClass::Class8_8 => "Grade 5",
            PropertyClass::Class10_9 => "Grade 8",
            PropertyClass::Class12_9 => return None,
        })
    }

    /// The grade that socket cap screws of a strength near to a class are sold by.
    pub(crate) fn of_socket_screws(class: PropertyClass) -> Option<Self> {
        if class == PropertyClass::Class12_9 { Self::named("A574") } else { None }
    }

    /// The class that it is read as; none where the nearest is too far.
    pub(crate) fn class(self) -> Option<PropertyClass> {
        let tensile_mpa = self.class_tensile_mpa()?;
        ((tensile_mpa - self.tensile_mpa).abs() <= NEAR_ENOUGH * self.tensile_mpa).then_some(self.class)
    }

    fn class_tensile_mpa(self) -> Option<f64> {
        self.class.mechanical(None).ok().map(|mechanical| mechanical.tensile_strength_min_mpa)
    }

    /// What it was read as, for a person.
    pub(crate) fn read_as(self) -> String {
        format!(
            "{} ({:.0} MPa) is read as property class {} ({:.0} MPa); where the difference, hardness or tempering \
             matters, enter what the certificate says ({INCH_GRADE_SOURCE})",
            self.name,
            self.tensile_mpa,
            self.class,
            self.class_tensile_mpa().unwrap_or(f64::NAN),
        )
    }

    /// What to write for one that no class is near to.
    pub(crate) fn write_instead(self) -> String {
        let next =
            PropertyClass::ALL.iter().find(|class| **class > self.class).copied().unwrap_or(self.class);
        format!(
            "No property class is near to {} ({:.0} MPa): write {:?} where its strength counts, else {:?}.",
            self.name,
            self.tensile_mpa,
            next.to_string(),
            self.class.to_string()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_are_read_however_they_are_written() {
        for (text, name) in [
            ("Grade 8", "SAE J429 Grade 8"),
            ("grade8", "SAE J429 Grade 8"),
            ("gr. 5", "SAE J429 Grade 5"),
            ("Gr.5", "SAE J429 Grade 5"),
            ("SAE 8", "SAE J429 Grade 8"),
            ("SAE J429 Grade 2", "SAE J429 Grade 2"),
            ("A574", "ASTM A574"),
            ("ASTM-A574", "ASTM A574"),
            ("A193 B7", "ASTM A193 Grade B7"),
            ("B7", "ASTM A193 Grade B7"),
        ] {
            assert_eq!(InchGrade::named(text).map(|grade| grade.name), Some(name), "{text}");
        }
        for text in ["8", "5", "8.8", "grade", "Grade 3", "", "SAE", "A2-70", "group 8"] {
            assert_eq!(InchGrade::named(text), None, "{text}");
        }
    }

    /// Strengths in ksi: 120 of grade 5, 150 of grade 8, 180 of A574, of which 1 is 6.895 MPa.
    #[test]
    fn a_class_is_no_more_than_a_twentieth_from_its_grade() {
        let class = |text| InchGrade::named(text).unwrap().class().map(|class| class.to_string());
        assert_eq!(class("Grade 2").as_deref(), Some("5.8"));
        assert_eq!(class("Grade 5").as_deref(), Some("8.8"));
        assert_eq!(class("Grade 8").as_deref(), Some("10.9"));
        assert_eq!(class("A574").as_deref(), Some("12.9"));
        assert_eq!(class("B7"), None);
        assert!((InchGrade::named("Grade 8").unwrap().tensile_mpa - 150.0 * 6.895).abs() < 1.0);
    }
}
