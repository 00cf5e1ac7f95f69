//! The one order of options: of a ranking, of the best of a row, of tables and what-ifs.
//!
//! Open before blocked, then by score. Scores nearer to the best of them than [`TIE`] share its rank; among them the
//! options without a hexavalent chromium bath come first, then those with fewer dangers, with fewer and milder findings, the
//! likelier by whole percent (below [`UNLIKELY`] all are alike), the cheaper, and last in the order of their names.

use std::cmp::Ordering;

use crate::check::{Finding, FindingKind, dangers};
use crate::finish::{ChromateUse, Treatment};
use crate::life::UNLIKELY;

/// Share of the better score within which two scores tie (assumption). The closed form is held to 0.02 of probability
/// against sampling; at the usual weight of durability (0.3) and a target of 0.9 that is 0.7% of a score, and what
/// criteria and prices are rounded to comes on top.
pub(crate) const TIE: f64 = 0.01;

/// As many findings and steps as the column of a table tells apart.
const MOST_DANGERS: usize = 9;
const MOST_FINDINGS: usize = 999;
const MOST_NEEDS: usize = 99;

/// What speaks against an option beside its score, least first.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Burden {
    /// Whether its bath contains hexavalent chromium.
    hexavalent_bath: bool,
    /// Findings by which a part can break, a joint open or a welder be harmed.
    dangers: usize,
    /// Findings that are more than a note.
    findings: usize,
    /// Those of them that ask for a step.
    needs: usize,
}

impl Burden {
    /// Of the findings of the checks; what only the outlook and the cost of a place find is in the score.
    pub(crate) fn of(treatment: &Treatment, findings: &[Finding]) -> Self {
        let hexavalent_bath = treatment.hexavalent_chromium == ChromateUse::Bath;
        let counted = |kind: FindingKind| {
            findings.iter().filter(|f| f.kind == kind && !f.rule.starts_with("outlook.")).count()
        };
        let needs = counted(FindingKind::Needs);
        let found = needs + counted(FindingKind::Warns);
        Self { hexavalent_bath, dangers: dangers(findings), findings: found, needs }
    }

    /// Its dangers, as a table of results has them.
    pub(crate) fn dangers_in_column(self) -> f32 {
        f32::from(u16::try_from(self.dangers.min(MOST_FINDINGS)).unwrap_or_default())
    }

    /// As a table of results has it: 100 for each finding that warns or needs a step, 1 more for each step, 100,000 more
    /// for each danger among them, 1,000,000 for the bath. The order of these numbers is that of
    /// burdens.
    pub(crate) fn in_column(self) -> f32 {
        let bath: u16 = if self.hexavalent_bath { 10_000 } else { 0 };
        let dangers = 1000 * u16::try_from(self.dangers.min(MOST_DANGERS)).unwrap_or_default();
        let findings = u16::try_from(self.findings.min(MOST_FINDINGS)).unwrap_or_default();
        let needs = u8::try_from(self.needs.min(MOST_NEEDS)).unwrap_or_default();
        f32::from(bath + dangers + findings) * 100.0 + f32::from(needs)
    }

    /// Read back.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "what is not such a number ends at the ends of the type"
    )]
    pub(crate) fn of_column(number: f64) -> Self {
        let (hundreds, needs) = ((number / 100.0).floor(), number % 100.0);
        let (bath, dangers) = (hundreds >= 10_000.0, (hundreds % 10_000.0 / 1000.0).floor());
        let findings = hundreds % 1000.0;
        Self {
            hexavalent_bath: bath,
            dangers: dangers as usize,
            findings: findings as usize,
            needs: needs as usize,
        }
    }
}

/// What the order looks at of one option. Where a table does not know a burden or a cost, all have the same.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Standing {
    pub(crate) blocked: bool,
    pub(crate) score: f64,
    pub(crate) burden: Burden,
    pub(crate) probability_ok: f64,
    pub(crate) cost: f64,
}

impl Standing {
    /// Whether its score ties with the best that is left, a better one.
    fn ties_with(&self, best: &Self) -> bool {
        self.blocked == best.blocked
            && self.score.partial_cmp(&(best.score * (1.0 - TIE))) != Some(Ordering::Less)
    }

    /// Open before blocked, the better score first.
    fn by_score(&self, other: &Self) -> Ordering {
        self.blocked.cmp(&other.blocked).then(other.score.total_cmp(&self.score))
    }

    /// The probability as far as it tells options apart: in the whole percent that answers print.
    fn likelihood(&self) -> f64 {
        if self.probability_ok < UNLIKELY { 0.0 } else { (100.0 * self.probability_ok).round() }
    }

    /// What settles a tie.
    fn settled(&self, other: &Self) -> Ordering {
        self.burden
            .cmp(&other.burden)
            .then(other.likelihood().total_cmp(&self.likelihood()))
            .then(self.cost.total_cmp(&other.cost))
    }
}

/// An option's place before the order, and its rank, which those that tie share; none for a blocked one.
pub(crate) type Ranked = (usize, Option<u32>);

/// The order of options that are in the order of their names.
pub(crate) fn order(standings: &[Standing]) -> Vec<Ranked> {
    let at = |place: usize| standings.get(place).copied().unwrap_or_default();
    let mut places: Vec<usize> = (0..standings.len()).collect();
    // stable, so that names settle what nothing else does
    places.sort_by(|a, b| at(*a).by_score(&at(*b)));
    let mut ranked = Vec::with_capacity(places.len());
    let mut rest = places.as_mut_slice();
    while let Some(best) = rest.first().map(|place| at(*place)) {
        let tied = rest.iter().take_while(|place| at(**place).ties_with(&best)).count().max(1);
        let (group, others) = rest.split_at_mut(tied);
        group.sort_by(|a, b| at(*a).settled(&at(*b)).then(a.cmp(b)));
        let rank = u32::try_from(ranked.len() + 1).ok().filter(|_| !best.blocked);
        ranked.extend(group.iter().map(|place| (*place, rank)));
        rest = others;
    }
    ranked
}

/// How many options share rank 1.
pub(crate) fn tied(standings: &[Standing]) -> usize {
    let best = standings.iter().copied().reduce(|a, b| if b.by_score(&a).is_lt() { b } else { a });
    best.map_or(0, |best| standings.iter().filter(|standing| standing.ties_with(&best)).count())
}

/// The first of the order alone, 0 where there is none: `standing` gives whether an option is blocked and its score,
/// `settling` all that the order looks at, of those that tie only.
pub(crate) fn first(
    options: usize,
    standing: impl Fn(usize) -> (bool, f64),
    settling: impl Fn(usize) -> Standing,
) -> usize {
    let bare = |place: usize| {
        let (blocked, score) = standing(place);
        Standing { blocked, score, ..Standing::default() }
    };
    let best = (0..options).map(bare).reduce(|a, b| if b.by_score(&a).is_lt() { b } else { a });
    let Some(best) = best else { return 0 };
    let mut tied = (0..options).filter(|place| bare(*place).ties_with(&best));
    let Some(alone) = tied.next() else { return 0 };
    let Some(second) = tied.next() else { return alone };
    let mut found = (alone, settling(alone));
    for place in std::iter::once(second).chain(tied) {
        let next = settling(place);
        if next.settled(&found.1).is_lt() {
            found = (place, next);
        }
    }
    found.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn standing(score: f64, findings: usize, probability_ok: f64, cost: f64) -> Standing {
        let burden = Burden { findings, ..Burden::default() };
        Standing { blocked: false, score, burden, probability_ok, cost }
    }

    #[test]
    fn ties_go_to_fewer_and_milder_findings_then_the_likelier_then_the_cheaper() {
        let options = [
            standing(0.500, 3, 0.9, 1.0),
            standing(0.499, 1, 0.7, 2.0),
            standing(0.496, 1, 0.8, 3.0),
            standing(0.497, 1, 0.8, 2.0),
            // 0.5 less 1% is 0.495
            standing(0.4949, 0, 1.0, 0.1),
            Standing { blocked: true, ..standing(0.9, 0, 1.0, 0.1) },
        ];
        let wanted = [(3, Some(1)), (2, Some(1)), (1, Some(1)), (0, Some(1)), (4, Some(5)), (5, None)];
        assert_eq!(order(&options), wanted);
    }

    #[test]
    fn probabilities_below_one_percent_tie_and_cost_settles() {
        let options =
            [standing(0.5, 1, 2.7e-8, 9.0), standing(0.5, 1, 1.6e-9, 7.0), standing(0.5, 1, 0.01, 99.0)];
        assert_eq!(order(&options), [(2, Some(1)), (1, Some(1)), (0, Some(1))]);
    }

    /// 99.55 and 99.54% print alike, and nobody pays more for the difference; 83 against 74% stands.
    #[test]
    fn probabilities_that_print_alike_tie_and_cost_settles() {
        let options = [standing(0.5, 0, 0.9955, 19.57), standing(0.5, 0, 0.9954, 18.93)];
        assert_eq!(order(&options), [(1, Some(1)), (0, Some(1))]);
        let options = [standing(0.5, 0, 0.83, 19.57), standing(0.5, 0, 0.74, 18.93)];
        assert_eq!(order(&options), [(0, Some(1)), (1, Some(1))]);
    }

    #[test]
    fn a_hexavalent_bath_never_wins_a_tie_and_may_win_by_score() {
        let bath = |score| Standing {
            burden: Burden { hexavalent_bath: true, ..Burden::default() },
            ..standing(score, 0, 1.0, 1.0)
        };
        let other = standing(0.5, 9, 0.1, 9.0);
        assert_eq!(order(&[bath(0.504), other])[0], (1, Some(1)));
        assert_eq!(order(&[bath(0.506), other])[0], (0, Some(1)));
        assert_eq!(order(&[bath(0.506), other])[1], (1, Some(2)));
    }

    #[test]
    fn findings_count_before_steps_and_notes_not_at_all() {
        use FindingKind::{Needs, Notes, Warns};
        let found = |kinds: &[FindingKind]| {
            let finding = |kind: &FindingKind| {
                crate::check::finding(*kind, "x.y", "", crate::evidence::Source::assumption("x"))
            };
            let clean = crate::catalog::Catalog::built_in().treatment("hot_alkaline").unwrap();
            Burden::of(clean, &kinds.iter().map(finding).collect::<Vec<_>>())
        };
        assert!(found(&[Notes, Notes]) == found(&[]) && found(&[]) < found(&[Warns]));
        assert!(found(&[Warns]) < found(&[Needs]) && found(&[Needs]) < found(&[Warns, Warns]));
    }

    /// One part that can break outweighs any number of cautions and steps.
    #[test]
    fn a_danger_outweighs_every_other_finding_of_a_tie() {
        let of = |dangers, findings, needs| Burden { dangers, findings, needs, ..Burden::default() };
        assert!(of(0, 8, 8) < of(1, 1, 0) && of(1, 9, 3) < of(2, 2, 0));
        let with = |burden| Standing { burden, ..standing(0.5, 0, 1.0, 1.0) };
        assert_eq!(order(&[with(of(1, 2, 1)), with(of(0, 4, 4))])[0], (1, Some(1)));
    }

    #[test]
    fn burdens_in_a_column_keep_their_order() {
        let of =
            |hexavalent_bath, dangers, findings, needs| Burden { hexavalent_bath, dangers, findings, needs };
        let rising = [
            of(false, 0, 0, 0),
            of(false, 0, 1, 0),
            of(false, 0, 1, 1),
            of(false, 0, 12, 3),
            of(false, 1, 1, 0),
            of(false, 2, 12, 3),
            of(true, 0, 0, 0),
            of(true, 1, 2, 1),
        ];
        let columns = rising.map(Burden::in_column);
        let wanted = [0.0, 100.0, 101.0, 1203.0, 100_100.0, 201_203.0, 1_000_000.0, 1_100_201.0];
        assert_eq!(columns, wanted);
        assert_eq!(columns.map(|number| Burden::of_column(f64::from(number))), rising);
    }

    proptest! {
        /// The first alone is the first of the order.
        #[test]
        fn the_first_is_that_of_the_order(
            few in prop::collection::vec((any::<bool>(), 0..4_u8, 0..3_usize, 0..3_u8, 0..3_u8), 1..12),
        ) {
            let options: Vec<Standing> = few
                .iter()
                .map(|(blocked, score, findings, p, cost)| Standing {
                    blocked: *blocked,
                    ..standing(0.5 + 0.003 * f64::from(*score), *findings, f64::from(*p), f64::from(*cost))
                })
                .collect();
            let found = first(options.len(), |i| (options[i].blocked, options[i].score), |i| options[i]);
            prop_assert_eq!(found, order(&options)[0].0);
        }
    }
}
