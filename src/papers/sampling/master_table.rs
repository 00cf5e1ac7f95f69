//! Sample size and acceptance number by code letter and AQL: ISO 2859-1:1999, Table 2-A.

use super::code_letter::CodeLetter::{self, A, B, C, D, E, F, G, H, J, K, L, M, N, P, Q, R};
use crate::evidence::Source;

/// The acceptance quality limits for which plans are given (% defective).
///
/// The standard has more; these are the ones of fastener orders.
pub(crate) const AQLS_PCT: [f64; 6] = [0.65, 1.0, 1.5, 2.5, 4.0, 6.5];

/// An entry as printed.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Printed {
    /// The acceptance number.
    Ac(u32),
    /// An arrow: the first plan below.
    Below,
    /// An arrow: the first plan above.
    Above,
}

const fn ac(number: u32) -> Printed {
    Printed::Ac(number)
}
const V: Printed = Printed::Below;
const U: Printed = Printed::Above;

struct Row {
    letter: CodeLetter,
    sample_size: u32,
    printed: [Printed; 6],
    /// `r` where the entry and the one its arrow leads to were read in the identical national adoption, IS
    /// 2500 (Part 1):2000; `m` where they were recalled.
    known: [u8; 6],
}

const fn row(letter: CodeLetter, sample_size: u32, printed: [Printed; 6], known: [u8; 6]) -> Row {
    Row { letter, sample_size, printed, known }
}

/// Columns: `AQLS_PCT`.
#[rustfmt::skip]
static TABLE_2_A: [Row; 16] = [
    row(A,    2, [V,      V,      V,      V,      V,      ac(0) ], *b"mmmmmm"),
    row(B,    3, [V,      V,      V,      V,      ac(0),  U     ], *b"mmmmmm"),
    row(C,    5, [V,      V,      V,      ac(0),  U,      V     ], *b"rrmmmr"),
    row(D,    8, [V,      V,      ac(0),  U,      V,      ac(1) ], *b"rmmmrr"),
    row(E,   13, [V,      ac(0),  U,      V,      ac(1),  ac(2) ], *b"rrmrrr"),
    row(F,   20, [ac(0),  U,      V,      ac(1),  ac(2),  ac(3) ], *b"mmrrrr"),
    row(G,   32, [U,      V,      ac(1),  ac(2),  ac(3),  ac(5) ], *b"rrmrmr"),
    row(H,   50, [V,      ac(1),  ac(2),  ac(3),  ac(5),  ac(7) ], *b"rrrrmm"),
    row(J,   80, [ac(1),  ac(2),  ac(3),  ac(5),  ac(7),  ac(10)], *b"mrrrrr"),
    row(K,  125, [ac(2),  ac(3),  ac(5),  ac(7),  ac(10), ac(14)], *b"rrrrrr"),
    row(L,  200, [ac(3),  ac(5),  ac(7),  ac(10), ac(14), ac(21)], *b"rrmrrr"),
    row(M,  315, [ac(5),  ac(7),  ac(10), ac(14), ac(21), U     ], *b"mrrrrr"),
    row(N,  500, [ac(7),  ac(10), ac(14), ac(21), U,      U     ], *b"rrrrmr"),
    row(P,  800, [ac(10), ac(14), ac(21), U,      U,      U     ], *b"mmmmmm"),
    row(Q, 1250, [ac(14), ac(21), U,      U,      U,      U     ], *b"mmmmmm"),
    row(R, 2000, [ac(21), U,      U,      U,      U,      U     ], *b"mmmmmm"),
];

const READ: Source =
    Source::standard("ISO 2859-1:1999, Tables 1 and 2-A, as adopted in IS 2500 (Part 1):2000");
// Letters A to Q agree with a public reprint of MIL-STD-105E, Table II-A, whose plans the standard took over;
// the text of the standard itself was not at hand for these entries.
const RECALLED: Source = Source::from_memory("ISO 2859-1:1999, Table 2-A");

/// A plan of the table, arrows followed.
#[derive(Debug, PartialEq)]
pub(super) struct Entry {
    pub(super) aql_pct: f64,
    pub(super) letter: CodeLetter,
    pub(super) sample_size: u32,
    pub(super) accept: u32,
    pub(super) source: Source,
}

/// The plan for a code letter; `None` if the AQL is none of `AQLS_PCT`.
pub(super) fn entry(letter: CodeLetter, aql_pct: f64) -> Option<Entry> {
    // Two values that differ by rounding alone, as 100 × 0.0065 might, are the same AQL.
    let column = AQLS_PCT.iter().position(|aql| (aql - aql_pct).abs() < 1e-9)?;
    let start = TABLE_2_A.iter().position(|row| row.letter == letter)?;
    let plan_of = |row: &Row| match row.printed.get(column)? {
        Printed::Ac(accept) => Some((row.letter, row.sample_size, *accept)),
        Printed::Below | Printed::Above => None,
    };
    let first = TABLE_2_A.get(start)?;
    let (letter, sample_size, accept) = match first.printed.get(column)? {
        Printed::Ac(_) | Printed::Below => TABLE_2_A.iter().skip(start).find_map(plan_of),
        Printed::Above => TABLE_2_A.iter().take(start).rev().find_map(plan_of),
    }?;
    let source = if first.known.get(column)? == &b'r' { READ } else { RECALLED };
    Some(Entry { aql_pct: *AQLS_PCT.get(column)?, letter, sample_size, accept, source })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_in_the_order_of_the_letters() {
        assert!(TABLE_2_A.iter().map(|row| row.letter).eq(CodeLetter::ALL.iter().copied()));
    }

    /// Independent: the master table is built on one diagonal, so that each entry depends on the row and the
    /// column only through their sum. A single wrong entry or a shifted row breaks it.
    #[test]
    fn entries_follow_the_diagonal() {
        let diagonal = [ac(0), U, V, ac(1), ac(2), ac(3), ac(5), ac(7), ac(10), ac(14), ac(21)];
        for (r, row) in TABLE_2_A.iter().enumerate() {
            for (c, printed) in row.printed.iter().enumerate() {
                let expected = match (r + c).checked_sub(5) {
                    None => V,
                    Some(step) => diagonal.get(step).copied().unwrap_or(U),
                };
                assert_eq!(*printed, expected, "{} at {}%", row.letter, AQLS_PCT[c]);
            }
        }
    }

    /// Printed: ISO 2859-1:1999, Table 2-A.
    #[test]
    fn arrows() {
        let short = |letter, aql_pct| entry(letter, aql_pct).map(|e| (e.letter, e.sample_size, e.accept));
        assert_eq!(short(C, 1.0), Some((E, 13, 0)));
        assert_eq!(short(C, 6.5), Some((D, 8, 1)));
        assert_eq!(short(F, 1.5), Some((G, 32, 1)));
        assert_eq!(short(H, 0.65), Some((J, 80, 1)));
        assert_eq!(short(M, 6.5), Some((L, 200, 21)));
        // Recalled: several arrows in a row.
        assert_eq!(short(A, 0.65), Some((F, 20, 0)));
        assert_eq!(short(R, 6.5), Some((L, 200, 21)));
        assert_eq!(short(C, 4.0), Some((B, 3, 0)));
    }

    #[test]
    fn rounding_does_not_lose_an_aql() {
        assert_eq!(entry(J, 0.065 * 10.0).map(|e| e.aql_pct), Some(0.65));
        assert_eq!(entry(J, f64::NAN), None);
    }
}
