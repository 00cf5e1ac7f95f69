//! The code letter that lot size and inspection level lead to: ISO 2859-1:1999, Table 1.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::error::{Result, invalid, words};
use crate::evidence::Source;

/// How much inspection a lot gets for its size: general levels I to III, special levels S-1 to S-4 for small
/// samples, such as destructive tests, where larger risks must be borne. General inspection level II unless the order says
/// otherwise (ISO 2859-1:1999, 10.1).
///
/// ```
/// use overcoat::papers::sampling::InspectionLevel;
/// assert_eq!(InspectionLevel::default(), InspectionLevel::II);
/// assert_eq!("S-3".parse::<InspectionLevel>()?, InspectionLevel::S3);
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum InspectionLevel {
    /// Special, smallest samples.
    #[serde(rename = "S-1")]
    S1,
    /// Special.
    #[serde(rename = "S-2")]
    S2,
    /// Special.
    #[serde(rename = "S-3")]
    S3,
    /// Special.
    #[serde(rename = "S-4")]
    S4,
    /// General, less discrimination.
    I,
    /// General, the usual one.
    #[default]
    II,
    /// General, more discrimination.
    III,
}

words! {
    InspectionLevel, "level", "Name an inspection level of ISO 2859-1; II is the usual one.";
    S1 = "S-1",
    S2 = "S-2",
    S3 = "S-3",
    S4 = "S-4",
    I = "I",
    II = "II",
    III = "III",
}

/// Sample size code letter of ISO 2859-1, A to R without I and O, smallest samples first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[expect(missing_docs, reason = "the letters speak for themselves")]
pub enum CodeLetter {
    A,
    B,
    C,
    D,
    E,
    F,
    G,
    H,
    J,
    K,
    L,
    M,
    N,
    P,
    Q,
    R,
}

impl CodeLetter {
    /// All sixteen, in order.
    pub const ALL: &'static [Self] = &[
        Self::A,
        Self::B,
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::G,
        Self::H,
        Self::J,
        Self::K,
        Self::L,
        Self::M,
        Self::N,
        Self::P,
        Self::Q,
        Self::R,
    ];
}

impl fmt::Display for CodeLetter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, f)
    }
}

use CodeLetter::{A, B, C, D, E, F, G, H, J, K, L, M, N, P, Q, R};

/// Largest lot size of each band but the last, and the letters at S-1, S-2, S-3, S-4, I, II, III.
const TABLE_1: [(u32, [CodeLetter; 7]); 14] = [
    (8, [A, A, A, A, A, A, B]),
    (15, [A, A, A, A, A, B, C]),
    (25, [A, A, B, B, B, C, D]),
    (50, [A, B, B, C, C, D, E]),
    (90, [B, B, C, C, C, E, F]),
    (150, [B, B, C, D, D, F, G]),
    (280, [B, C, D, E, E, G, H]),
    (500, [B, C, D, E, F, H, J]),
    (1_200, [C, C, E, F, G, J, K]),
    (3_200, [C, D, E, G, H, K, L]),
    (10_000, [C, D, F, G, J, L, M]),
    (35_000, [C, D, F, H, K, M, N]),
    (150_000, [D, E, G, J, L, N, P]),
    (500_000, [D, E, G, J, M, P, Q]),
];
const ABOVE_500_000: [CodeLetter; 7] = [D, E, H, K, N, Q, R];

/// Where the code letters come from: read in the identical national adoption.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const TABLE_1_SOURCE: Source =
    Source::standard("ISO 2859-1:1999, Table 1, as adopted in IS 2500 (Part 1):2000");

/// The code letter for a lot of `lot_size` parts at an inspection level: ISO 2859-1:1999, Table 1.
///
/// # Errors
/// A lot of fewer than 2 parts.
///
/// ```
/// use overcoat::papers::sampling::{CodeLetter, InspectionLevel, code_letter};
/// assert_eq!(code_letter(1200, InspectionLevel::II)?, CodeLetter::J);
/// assert_eq!(code_letter(1201, InspectionLevel::II)?, CodeLetter::K);
/// assert!(code_letter(1, InspectionLevel::II).is_err());
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn code_letter(lot_size: u32, level: InspectionLevel) -> Result<CodeLetter> {
    if lot_size < 2 {
        return Err(invalid(
            "lot_size",
            lot_size,
            "2 parts or more",
            "Inspect a single part itself; sampling starts at two.",
        ));
    }
    let [s1, s2, s3, s4, i, ii, iii] = TABLE_1
        .iter()
        .find(|(largest, _)| lot_size <= *largest)
        .map_or(ABOVE_500_000, |(_, letters)| *letters);
    Ok(match level {
        InspectionLevel::S1 => s1,
        InspectionLevel::S2 => s2,
        InspectionLevel::S3 => s3,
        InspectionLevel::S4 => s4,
        InspectionLevel::I => i,
        InspectionLevel::II => ii,
        InspectionLevel::III => iii,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed: ISO 2859-1:1999, Table 1.
    #[test]
    fn bands_end_where_the_table_says() {
        use InspectionLevel::*;
        for (lot_size, level, letter) in [
            (2, II, A),
            (8, II, A),
            (9, II, B),
            (500, II, H),
            (501, II, J),
            (500_000, III, Q),
            (500_001, III, R),
            (1_000, S3, E),
            (600_000, S4, K),
            (280, I, E),
        ] {
            assert_eq!(code_letter(lot_size, level).unwrap(), letter, "{lot_size} {level}");
        }
    }

    #[test]
    fn a_larger_lot_or_a_higher_general_level_never_has_a_smaller_letter() {
        for &level in InspectionLevel::ALL {
            let letters: Vec<_> = TABLE_1.iter().map(|(n, _)| code_letter(*n, level).unwrap()).collect();
            assert!(letters.is_sorted());
        }
        for (lot_size, _) in TABLE_1 {
            let at = |level| code_letter(lot_size, level).unwrap();
            assert!(InspectionLevel::ALL[..4].is_sorted_by_key(|l| at(*l)));
            assert!(InspectionLevel::ALL[4..].is_sorted_by_key(|l| at(*l)));
        }
    }

    #[test]
    fn words_are_the_same_in_text_and_json() {
        for &level in InspectionLevel::ALL {
            assert_eq!(level.to_string().parse::<InspectionLevel>().unwrap(), level);
            assert_eq!(serde_json::to_value(level).unwrap(), level.word());
        }
        for &letter in CodeLetter::ALL {
            assert_eq!(serde_json::to_value(letter).unwrap(), letter.to_string());
        }
        assert_eq!("IV".parse::<InspectionLevel>().unwrap_err().kind(), "name");
    }
}
