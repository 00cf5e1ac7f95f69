//! The three ways to know an atmosphere, and how far each may be off.
//!
//! Losses are log-normal, so a spread is the standard deviation s of the natural logarithm of the loss. ISO
//! 9223:2012, A.2 states its uncertainty levels as that standard deviation, printed as the factors e^-s to
//! e^+s: s = 0.7 reads "-50 to +100%", s = 0.01 reads "±1%". A level is thus one standard deviation: about
//! a third of all places are outside it.

use serde::{Deserialize, Serialize};

use super::bias::{BIAS_SOURCE, SITE_LOG_SD};
use super::metal::StandardMetal;
use crate::error::words;
use crate::evidence::Source;

/// How the first-year loss of an atmosphere was found, best supported first.
///
/// ```
/// use overcoat::atmosphere::{Determination, StandardMetal};
/// let steel = StandardMetal::Steel;
/// assert!(Determination::Specimens.log_sd(steel) < Determination::DoseResponse.log_sd(steel));
/// assert!(Determination::DoseResponse.log_sd(steel) < Determination::Description.log_sd(steel));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Determination {
    /// Bare specimens exposed at the place for a year.
    Specimens,
    /// A dose-response function of measured temperature, humidity and depositions.
    DoseResponse,
    /// A place described in words, or inputs guessed from such a description.
    Description,
}

words! {
    Determination, "determination", "Say how the first-year loss was found.";
    Specimens = "specimens",
    DoseResponse = "dose_response",
    Description = "description",
}

impl Determination {
    /// Standard deviation of the logarithm of the first-year loss that the crate uses.
    ///
    /// | way | steel | zinc | copper | aluminum |
    /// | --- | --- | --- | --- | --- |
    /// | specimens | ln 1.02 | ln 1.05 | ln 1.02 | ln 1.05 |
    /// | dose response | 0.41 | 0.5 | 0.5 | ln 2 |
    /// | description | 0.7 | 0.7 | 0.7 | 0.7 |
    ///
    /// Specimens speak for their own year only: at one place the yearly losses of steel differ from year to
    /// year with an ln SD of about 0.17 (one-year exposures of ISO CORRAG, 27 sites), which averages out
    /// over a long service. The 0.41 of steel is about the function times its bias
    /// ([`steel_loss_bias`](super::steel_loss_bias)). Source: [`source`](Self::source).
    ///
    /// ```
    /// use overcoat::atmosphere::{Determination, StandardMetal};
    /// assert_eq!(Determination::DoseResponse.log_sd(StandardMetal::Steel), 0.41);
    /// ```
    pub fn log_sd(self, metal: StandardMetal) -> f64 {
        match (self, metal) {
            (Self::Specimens, StandardMetal::Steel | StandardMetal::Copper) => 1.02_f64.ln(),
            (Self::Specimens, StandardMetal::Zinc | StandardMetal::Aluminium) => 1.05_f64.ln(),
            (Self::DoseResponse, StandardMetal::Aluminium) => std::f64::consts::LN_2,
            (Self::DoseResponse, StandardMetal::Steel) => SITE_LOG_SD,
            (Self::DoseResponse, _) => 0.5,
            (Self::Description, _) => 0.7,
        }
    }

    /// The same as the standard states it: ln 1.5 for the dose response of steel, zinc and copper
    /// (-33 to +50%), ln 2 for that of aluminum (-50 to +100%); `None` for a description, for which it
    /// gives no number.
    ///
    /// Source: ISO 9223:2012, table A.1 (from memory).
    ///
    /// ```
    /// use overcoat::atmosphere::{Determination, StandardMetal};
    /// let s = Determination::DoseResponse.standard_log_sd(StandardMetal::Steel).unwrap();
    /// assert!(((-s).exp() - 0.667).abs() < 0.001 && (s.exp() - 1.5).abs() < 1e-12);
    /// ```
    pub fn standard_log_sd(self, metal: StandardMetal) -> Option<f64> {
        match (self, metal) {
            (Self::Specimens, _) => Some(self.log_sd(metal)),
            (Self::DoseResponse, StandardMetal::Aluminium) => Some(std::f64::consts::LN_2),
            (Self::DoseResponse, _) => Some(1.5_f64.ln()),
            (Self::Description, _) => None,
        }
    }

    /// Where [`log_sd`](Self::log_sd) comes from.
    ///
    /// ```
    /// use overcoat::atmosphere::Determination;
    /// use overcoat::evidence::Firmness;
    /// assert_eq!(Determination::Description.source().firmness, Firmness::Assumption);
    /// ```
    pub const fn source(self) -> Source {
        match self {
            Self::Specimens => Source::from_memory(
                "ISO 9223:2012, table A.1; its levels are one standard deviation of the logarithm (A.2)",
            ),
            Self::DoseResponse => BIAS_SOURCE,
            Self::Description => Source::assumption(
                "a description may mislead by a whole category, and the bounds of categories are about a \
                 factor of 2 apart",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_display_serde_and_parsing_agree() {
        for &way in Determination::ALL {
            assert_eq!(serde_json::to_string(&way).unwrap(), format!("\"{way}\""));
            assert_eq!(way.to_string().parse::<Determination>().unwrap(), way);
        }
    }

    #[test]
    fn the_standards_levels_come_back_as_percentages() {
        // printed examples of A.2: s = 0.7 is -50 to +100%
        assert!(((-0.7_f64).exp() - 0.5).abs() < 0.005 && (0.7_f64.exp() - 2.0).abs() < 0.02);
        let s = Determination::DoseResponse.standard_log_sd(StandardMetal::Aluminium).unwrap();
        assert!(((-s).exp() - 0.5).abs() < 1e-12);
        assert_eq!(Determination::Description.standard_log_sd(StandardMetal::Steel), None);
    }
}
