//! Observations: what was seen on a film, a treatment or a metal, where, and how it was read.

use std::fmt;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::source::Source;

/// How something was observed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Test {
    /// Neutral salt spray (ISO 9227, ASTM B117).
    SaltSpray,
    /// Humidity cabinet.
    Humidity,
    /// A test that changes between wet and dry.
    Cyclic,
    /// In a building.
    Indoors,
    /// In the weather.
    Outdoors,
    /// Loss of thickness in the weather.
    Erosion,
    /// In use.
    Service,
}

impl Test {
    /// The words that users read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SaltSpray => "neutral salt spray",
            Self::Humidity => "humidity cabinet",
            Self::Cyclic => "cyclic test",
            Self::Indoors => "indoors",
            Self::Outdoors => "outdoors",
            Self::Erosion => "erosion",
            Self::Service => "service",
        }
    }
}

impl fmt::Display for Test {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// How steel was prepared under a coating.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Preparation {
    /// By hand or power tool: structural steel with rust or scale left on it.
    Hand,
    /// Blasted structural steel.
    Blasted,
    /// Small clean parts, pretreated and coated in a shop: what the catalog stands for.
    Shop,
}

/// One observation: a value, a range, or a bound where only one end is given.
///
/// Facts and figures with their source; how well supported the source is and how it was read are beside them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Observation {
    /// Its name in tables.
    pub key: String,
    /// What was observed.
    pub what: String,
    /// The build of the catalog that comes nearest to it: base metal, treatment, films.
    pub build: String,
    /// How.
    pub test: Test,
    /// Thickness of the outermost film (µm), where it is not the usual one.
    #[serde(default)]
    pub thickness_um: Option<f64>,
    /// Preparation, where it is not that of small parts finished in a shop.
    #[serde(default)]
    pub preparation: Option<Preparation>,
    /// The duty, as fields of a brief.
    pub duty: Option<serde_json::Map<String, serde_json::Value>>,
    /// What counted as the end.
    pub criterion: String,
    /// Share of the area that rusted by then (%), where it was more than first rust.
    #[serde(default)]
    pub rusted_area_pct: Option<f64>,
    /// Lower end in [`unit`](Self::unit); none where only an upper bound is known.
    pub low: Option<f64>,
    /// Upper end; none where only a lower bound is known.
    pub high: Option<f64>,
    /// Unit of both.
    pub unit: String,
    /// Quantile of the pieces that the figures are for, the median where left out.
    #[serde(default)]
    pub quantile: Option<f64>,
    /// Whether the films alone were observed, without what is beneath them.
    #[serde(default)]
    pub film_alone: bool,
    /// How far the observed product may lie from the middle of its kind: standard deviation of the logarithm, where
    /// it does not follow from the range.
    #[serde(default)]
    pub log_sd: Option<f64>,
    /// Number of pieces, where known.
    pub pieces: Option<u32>,
    /// Where it was published, and how well supported that is.
    pub source: Source,
    /// How it was read: `read`, `read, abstract`, `read, trade`, `trade` for a fact without a page.
    pub read: String,
    /// Whether numbers of the catalog are computed from it.
    pub fitted: bool,
    /// What to know with it.
    #[serde(default)]
    pub note: Option<String>,
}

impl Observation {
    /// Whether it is about a base metal, treatment or film of the catalog, by its key.
    pub fn is_about(&self, entry: &str) -> bool {
        self.build.split([' ', '/', '+']).any(|name| name == entry)
    }

    /// Its figures with their unit, for example `24 to 70 h` or `at least 72 h`.
    pub fn figures(&self) -> String {
        let unit = if matches!(self.unit.as_str(), "ratio" | "share" | "exponent") {
            String::new()
        } else {
            format!(" {}", self.unit)
        };
        match (self.low, self.high) {
            (Some(low), Some(high)) if low == high => format!("{low}{unit}"),
            (Some(low), Some(high)) => format!("{low} to {high}{unit}"),
            (Some(low), None) => format!("at least {low}{unit}"),
            (None, Some(high)) => format!("at most {high}{unit}"),
            (None, None) => String::new(),
        }
    }
}

impl fmt::Display for Observation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} ({}; {}) [{}]", self.what, self.figures(), self.test, self.read, self.source)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    observations: Vec<Observation>,
}

static OBSERVATIONS: LazyLock<Vec<Observation>> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "our own data, checked by a test; no user input reaches this")]
    let table: Table =
        serde_json::from_str(include_str!("data/observations.json")).expect("the observations are sound");
    table.observations
});

/// All observations of the crate.
///
/// ```
/// let oil: Vec<_> = overcoat::evidence::observations().iter().filter(|o| o.is_about("displacing_oil")).collect();
/// assert!(oil.iter().any(|o| o.figures() == "6 to 12 months"));
/// ```
pub fn observations() -> &'static [Observation] {
    &OBSERVATIONS
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::evidence::Firmness;

    #[test]
    fn every_observation_says_something_once() {
        let keys: BTreeSet<&str> = observations().iter().map(|o| o.key.as_str()).collect();
        assert_eq!(keys.len(), observations().len());
        for o in observations() {
            assert!(!o.figures().is_empty() && !o.what.is_empty(), "{}", o.key);
            if let (Some(low), Some(high)) = (o.low, o.high) {
                assert!(low <= high, "{}", o.key);
            }
            assert!(o.build.parse::<crate::finish::Build>().is_ok(), "{}: {}", o.key, o.build);
        }
    }

    /// A fact of the trade without a page is never shown as read, nor a read one as a fact without a page.
    #[test]
    fn how_it_was_read_agrees_with_how_firm_it_is() {
        for o in observations() {
            assert!(o.read == "trade" || o.read.starts_with("read"), "{}: {}", o.key, o.read);
            if o.read == "trade" {
                assert_eq!(o.source.firmness, Firmness::CommonPractice, "{}", o.key);
            }
            assert!(
                !matches!(
                    o.source.firmness,
                    Firmness::Assumption | Firmness::FromMemory | Firmness::OwnRecords
                ),
                "{}",
                o.key
            );
        }
    }
}
