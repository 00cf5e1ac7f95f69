//! What could be measured, and what it would leave open.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::atmosphere::{Determination, StandardMetal};
use crate::brief::YEAR_TO_YEAR_LOG_SD;
use crate::error::within;
use crate::evidence::Source;
use crate::life::{FactorKind, Layer};
use crate::rank::certainty::contest::{Contest, Doubt};

/// How well reference specimens tell the attack of a cabinet.
pub(crate) const REFERENCE_SPECIMENS: Source = Source::assumption(
    "mass losses of reference specimens in one cabinet differ with an ln SD of 0.1, so that four tell its rate \
     to 5%",
);
const SPECIMEN_LOG_SD: f64 = 0.1;

const FIELD_YEARS: Source = Source::derived(
    "years of parts alike at one place whose loss is measured: salt-spray hours, field factor and cabinet rate together, \
     with the spread of the place between years and of the parts",
);
const PANELS: Source = Source::derived(
    "hours of panels of as many lots: the spread between parts over the root of their number",
);

/// What is there to measure with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Effort {
    /// Panels in the salt-spray cabinet.
    pub panels: u32,
    /// Parts inspected in the field, at one place whose loss is measured.
    pub field_parts: u32,
    /// Reference specimens in the cabinet.
    pub reference_specimens: u32,
}

impl Default for Effort {
    /// Ten panels, ten parts, four specimens (assumption).
    fn default() -> Self {
        Self { panels: 10, field_parts: 10, reference_specimens: 4 }
    }
}

impl Effort {
    pub(super) fn check(self) -> Result<()> {
        for (field, count) in [
            ("panels", self.panels),
            ("field_parts", self.field_parts),
            ("reference_specimens", self.reference_specimens),
        ] {
            within(field, f64::from(count), 1.0, 1e6, "", "Give how many there are, 1 or more.")?;
        }
        Ok(())
    }
}

/// A kind of measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Measurable {
    /// Annual means of temperature, humidity, SO2 and chloride at the place.
    YearlyMeans,
    /// Bare steel specimens at the place for one year.
    SteelSpecimens,
    /// Reference specimens in the salt-spray cabinet.
    CabinetReference,
    /// Panels of a layer in the salt-spray cabinet.
    Panels,
    /// Years of parts in the field.
    FieldYears,
}

impl Measurable {
    /// The words users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::YearlyMeans => "yearly means",
            Self::SteelSpecimens => "steel specimens",
            Self::CabinetReference => "cabinet reference",
            Self::Panels => "panels",
            Self::FieldYears => "field years",
        }
    }
}

/// A measurement: a sum of doubts seen with an error.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Design {
    pub(super) kind: Measurable,
    pub(super) what: String,
    /// Doubts and how what is seen answers to them.
    pub(super) answers: Vec<(usize, f64)>,
    /// Standard deviation of the error of the logarithm that is seen.
    pub(super) error_log_sd: f64,
    pub(super) source: Source,
}

/// All that could be measured about the doubts of a contest.
pub(super) fn designs(contest: &Contest, effort: Effort) -> Vec<Design> {
    let mut found = Vec::new();
    let doubts = &contest.doubts;
    let place_of = |kind: FactorKind| doubts.iter().position(|doubt| doubt.kind == kind);
    let cabinet = place_of(FactorKind::Cabinet);
    for (place, doubt) in doubts.iter().enumerate() {
        if doubt.log_sd <= 0.0 {
            continue;
        }
        match doubt.kind {
            FactorKind::Air => of_the_air(&mut found, place, doubt, contest.determination),
            FactorKind::Cabinet => found.push(Design {
                kind: Measurable::CabinetReference,
                what: format!("{} reference specimens in the cabinet", effort.reference_specimens),
                answers: vec![(place, 1.0)],
                error_log_sd: SPECIMEN_LOG_SD / f64::from(effort.reference_specimens).sqrt(),
                source: REFERENCE_SPECIMENS,
            }),
            FactorKind::Capacity(_) => found.push(Design {
                kind: Measurable::Panels,
                what: format!("{} panels in the cabinet: {}", effort.panels, doubt.name),
                answers: vec![(place, 1.0)],
                error_log_sd: doubt.between_log_sd / f64::from(effort.panels).sqrt(),
                source: PANELS,
            }),
            FactorKind::FieldFactor(layer) => {
                let capacity = capacity_of(doubts, layer, place);
                let between = capacity.and_then(|c| doubts.get(c)).map_or(0.0, |c| c.between_log_sd);
                let answers = std::iter::once(place).chain(capacity).chain(cabinet);
                found.push(field_years(doubt, answers.map(|p| (p, 1.0)).collect(), between, effort));
            }
            FactorKind::Ageing(_) | FactorKind::Salt => {
                found.push(field_years(doubt, vec![(place, 1.0)], doubt.between_log_sd, effort));
            }
            // no measurement of a year shows how the loss grows over many, and the years to a stain decide little
            FactorKind::Growth | FactorKind::StainYears => {}
        }
    }
    found
}

/// The salt-spray hours of the layer that a field factor belongs to: the factor before it.
fn capacity_of(doubts: &[Doubt], layer: Layer, field_factor: usize) -> Option<usize> {
    let subject = doubts.get(field_factor)?.name.strip_prefix("field factor of ")?;
    doubts.iter().position(|doubt| {
        doubt.kind == FactorKind::Capacity(layer) && doubt.name.strip_prefix("capacity of ") == Some(subject)
    })
}

fn field_years(doubt: &Doubt, answers: Vec<(usize, f64)>, between: f64, effort: Effort) -> Design {
    let parts = between / f64::from(effort.field_parts).sqrt();
    Design {
        kind: Measurable::FieldYears,
        what: format!(
            "years of {} parts in the field, at a place whose loss is measured: {}",
            effort.field_parts, doubt.name
        ),
        answers,
        error_log_sd: measured_log_sd().hypot(parts),
        source: FIELD_YEARS,
    }
}

/// Spread of the loss at a place after a year with specimens.
fn measured_log_sd() -> f64 {
    Determination::Specimens.log_sd(StandardMetal::Steel).hypot(YEAR_TO_YEAR_LOG_SD)
}

/// A better supported way to the atmosphere leaves the spread that the crate gives to that way.
fn of_the_air(found: &mut Vec<Design>, place: usize, doubt: &Doubt, determination: Determination) {
    let ways = [
        (
            Measurable::YearlyMeans,
            "annual means of temperature, humidity, SO2 and chloride at the place",
            Determination::DoseResponse,
            Determination::DoseResponse.log_sd(StandardMetal::Steel),
        ),
        (
            Measurable::SteelSpecimens,
            "loss of bare steel specimens at the place in one year",
            Determination::Specimens,
            measured_log_sd(),
        ),
    ];
    for (kind, what, way, left) in ways {
        if way < determination && left < doubt.log_sd {
            // The error with which the measurement leaves exactly that spread.
            let error = (left.powi(-2) - doubt.log_sd.powi(-2)).recip().sqrt();
            found.push(Design {
                kind,
                what: what.to_owned(),
                answers: vec![(place, 1.0)],
                error_log_sd: error,
                source: way.source(),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::rank::certainty::contest::tests::ranking;

    const EFFORT: Effort = Effort { panels: 9, field_parts: 16, reference_specimens: 25 };

    /// Two waxes over black: each field factor is seen with the capacity of its own wax and the cabinet's rate. Nine
    /// panels tell a capacity to a third of the spread between parts, 25 specimens the rate to 0.1/5; years in the
    /// field to √(ln 1.02² + 0.17²) of the place and a quarter of the spread between parts.
    #[test]
    fn errors_fall_with_the_root_of_the_number() {
        let ranking = ranking(
            r#""builds": [{"treatment": "hot_alkaline", "films": ["hard_wax"]},
                {"treatment": "hot_alkaline", "films": ["soft_wax"]}]"#,
        );
        let contest = Contest::of(&ranking, Catalog::built_in(), 2).unwrap();
        let designs = designs(&contest, EFFORT);
        let named = |kind, end: &str| {
            designs.iter().find(|design| design.kind == kind && design.what.ends_with(end)).unwrap()
        };
        let place = |name: &str| contest.doubts.iter().position(|doubt| doubt.name == name).unwrap();
        let cabinet = place("loss rate in the cabinet");
        let rate = named(Measurable::CabinetReference, "");
        assert_eq!(rate.what, "25 reference specimens in the cabinet");
        assert!((rate.error_log_sd - 0.02).abs() < 1e-12);
        for film in ["hard_wax", "soft_wax", "the treatment hot_alkaline"] {
            let capacity = place(&format!("capacity of {film}"));
            let between = contest.doubts[capacity].between_log_sd;
            assert!(between > 0.1);
            let panels = named(Measurable::Panels, &format!("9 panels in the cabinet: capacity of {film}"));
            assert!((panels.error_log_sd - between / 3.0).abs() < 1e-12);
            assert_eq!(panels.answers, [(capacity, 1.0)]);
            let field = place(&format!("field factor of {film}"));
            let years = named(Measurable::FieldYears, &format!(": field factor of {film}"));
            assert!(years.what.contains("years of 16 parts in the field"));
            assert_eq!(years.answers, [(field, 1.0), (capacity, 1.0), (cabinet, 1.0)]);
            let place = 1.02_f64.ln().powi(2) + 0.17_f64.powi(2);
            let expected = (place + (between / 4.0).powi(2)).sqrt();
            assert!((years.error_log_sd - expected).abs() < 1e-12, "{film}: {}", years.error_log_sd);
        }
    }

    /// Annual means leave 0.5, specimens √(ln 1.02² + 0.17²) = 0.1711: worth making where the atmosphere is known less firmly
    /// and less well, and not where nothing would be gained.
    #[test]
    fn the_air_is_measured_by_a_firmer_way_that_narrows_it() {
        use Determination::{Description, DoseResponse, Specimens};
        use Measurable::{SteelSpecimens, YearlyMeans};
        let ways = |log_sd: f64, determination: Determination| -> Vec<Measurable> {
            let doubt =
                Doubt { kind: FactorKind::Air, name: "atmosphere".into(), log_sd, between_log_sd: 0.0 };
            let mut found = Vec::new();
            of_the_air(&mut found, 0, &doubt, determination);
            found.iter().map(|design| design.kind).collect()
        };
        assert_eq!(ways(0.7, Description), [YearlyMeans, SteelSpecimens]);
        assert_eq!(ways(0.4, Description), [SteelSpecimens]);
        assert_eq!(ways(Description.log_sd(StandardMetal::Steel), Description).len(), 2);
        // exactly what annual means would leave: they tell nothing
        assert_eq!(ways(DoseResponse.log_sd(StandardMetal::Steel), Description), [SteelSpecimens]);
        assert_eq!(ways(0.6, DoseResponse), [SteelSpecimens]);
        assert_eq!(ways(0.6, Specimens), []);
        assert_eq!(ways(0.1, Description), []);
    }

    #[test]
    fn kinds_are_called_what_they_are() {
        use Measurable::{CabinetReference, FieldYears, Panels, SteelSpecimens, YearlyMeans};
        let said = [YearlyMeans, SteelSpecimens, CabinetReference, Panels, FieldYears].map(Measurable::words);
        assert_eq!(said, ["yearly means", "steel specimens", "cabinet reference", "panels", "field years"]);
    }
}
