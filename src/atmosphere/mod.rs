//! The atmosphere at a place, told by what it does to bare metal.
//!
//! An atmosphere is known by the loss of bare steel in the first year, with a spread. There are three ways to
//! it, from the best to the least supported ([`Determination`]): specimens exposed at the place; the yearly means of
//! temperature, humidity, SO2 and chloride, through the dose-response functions of ISO 9223; a description.
//! All three end in the same [`Atmosphere`].
//!
//! | file | idea |
//! | --- | --- |
//! | `metal` | the four standard metals, thickness and mass |
//! | `dose_response` | four yearly means to a first-year loss |
//! | `category` | first-year loss to C1 ... CX |
//! | `determination` | the three ways and their spreads |
//! | `loss_range` | a loss known as "from ... to ..." |
//! | `growth` | first-year loss to loss over the years, and back |
//! | `chloride` | chloride from the distance to the sea and to a salted road |
//! | `bias` | what measured sites say of the function for steel, by temperature |
//! | `shelter` | what a roof does to rate, weather and growth, by salt |
//! | `climate_record` | hourly temperature and humidity to means and time of wetness |
//! | `wetness_class` | wet hours of a year to tau1 ... tau5 |
//!
//! ```
//! use overcoat::atmosphere::{Atmosphere, Category, DoseInputs};
//! let place = Atmosphere::from_inputs(DoseInputs {
//!     temperature_c: 9.0,
//!     relative_humidity_pct: 78.0,
//!     so2_mg_m2_day: 6.0,
//!     chloride_mg_m2_day: 3.0,
//! })
//! .unwrap();
//! assert_eq!(place.category, Category::C2);
//! assert!(place.extrapolations.is_empty());
//! ```

use serde::Serialize;

use crate::error::{Result, within};

pub(crate) mod bias;
pub(crate) mod category;
pub(crate) mod chloride;
pub(crate) mod climate_record;
mod column;
pub(crate) mod determination;
pub mod dose_response;
pub mod growth;
mod loss_lanes;
pub(crate) mod loss_range;
pub(crate) mod metal;
pub mod shelter;
pub(crate) mod wetness_class;

pub(crate) use bias::BIAS_SOURCE;
pub(crate) use bias::bias;
pub use bias::steel_loss_bias;
pub use category::{
    CATEGORY_BOUNDS, Category, CategoryBounds, above_table, category_from_g_m2, category_from_um,
    category_from_um_into, category_loss_range,
};
pub use chloride::{
    ChlorideEstimate, RoadSaltSeason, combined_chloride_mg_m2_day, loss_log_sd_from_chloride,
    sea_chloride_mg_m2_day,
};
pub use climate_record::{ClimateRecord, RecordFinding, Wetness, time_of_wetness};
pub use determination::Determination;
pub use dose_response::{
    DOSE_COEFFICIENTS, DoseCoefficients, DoseInputs, Extrapolation, VALIDITY, ValidityInterval, dose_source,
    extrapolated_rows, first_year_loss_um, first_year_loss_um_into, first_year_losses_um_into,
};
pub(crate) use dose_response::{DOSE_SOURCE, VALIDITY_SOURCE};
pub use growth::{
    GrowthCase, SteelComposition, exponent, growth_exponent, long_term_loss_um, loss_um, loss_um_into,
    steel_exponent_from_composition,
};
pub(crate) use loss_lanes::{DoseLogs, steel_loss_um};
pub(crate) use loss_range::LOSS_RANGE_SOURCE;
pub use loss_range::LossRange;
pub use metal::{StandardMetal, g_m2_to_um, um_to_g_m2};
pub use shelter::{
    Shelter, salt_character, shelter_rate_factor, sheltered_growth_exponent, weather_share,
    weathering_growth_exponent,
};
pub use wetness_class::{WetnessClass, wetness_class};

/// An atmosphere as far as the rest of the crate needs it: what it does to bare steel in the first year.
///
/// It is a result and is only written, never read back: a user gives what it is made from.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub struct Atmosphere {
    /// Median loss of bare steel in the first year (µm).
    pub first_year_steel_loss_um: f64,
    /// Standard deviation of its natural logarithm.
    pub log_sd: f64,
    /// What an outlook multiplies the loss by: as much as steel loses at measured sites of such a temperature over what
    /// the dose-response function says ([`steel_loss_bias`]); 1 where the loss is measured or known of such places.
    pub measured_over_computed: f64,
    /// How it was found.
    pub determination: Determination,
    /// Category of the median loss of steel, by thickness.
    pub category: Category,
    /// The four yearly means, where it was found from them.
    pub inputs: Option<DoseInputs>,
    /// Inputs outside the validity of the dose response. They are flagged only: the spread is not widened,
    /// because no publication says by how much.
    pub extrapolations: Vec<Extrapolation>,
}

impl Atmosphere {
    fn of_loss(first_year_steel_loss_um: f64, log_sd: f64, determination: Determination) -> Result<Self> {
        Ok(Self {
            first_year_steel_loss_um,
            log_sd,
            measured_over_computed: 1.0,
            determination,
            category: category_from_um(StandardMetal::Steel, first_year_steel_loss_um)?,
            inputs: None,
            extrapolations: Vec::new(),
        })
    }

    fn of_inputs(inputs: DoseInputs, determination: Determination) -> Result<Self> {
        let loss_um = first_year_loss_um(StandardMetal::Steel, &inputs)?;
        let log_sd = determination.log_sd(StandardMetal::Steel);
        Ok(Self {
            inputs: Some(inputs),
            extrapolations: inputs.extrapolations(),
            measured_over_computed: steel_loss_bias(inputs.temperature_c),
            ..Self::of_loss(loss_um, log_sd, determination)?
        })
    }

    /// From measured yearly means: [`first_year_loss_um()`] with the spread of
    /// [`Determination::DoseResponse`].
    ///
    /// # Errors
    /// Those of [`DoseInputs::checked`].
    ///
    /// ```
    /// use overcoat::atmosphere::{Atmosphere, DoseInputs};
    /// let dry = Atmosphere::from_inputs(DoseInputs {
    ///     temperature_c: 18.0,
    ///     relative_humidity_pct: 30.0,
    ///     so2_mg_m2_day: 1.0,
    ///     chloride_mg_m2_day: 1.0,
    /// })
    /// .unwrap();
    /// assert_eq!(dry.extrapolations[0].field, "relative_humidity_pct");
    /// ```
    pub fn from_inputs(inputs: DoseInputs) -> Result<Self> {
        Self::of_inputs(inputs, Determination::DoseResponse)
    }

    /// From yearly means that were themselves read off a description of the place: as
    /// [`from_inputs`](Self::from_inputs), with the spread of [`Determination::Description`].
    ///
    /// # Errors
    /// Those of [`DoseInputs::checked`].
    ///
    /// ```
    /// use overcoat::atmosphere::{Atmosphere, DoseInputs};
    /// let inputs = DoseInputs {
    ///     temperature_c: 9.0,
    ///     relative_humidity_pct: 78.0,
    ///     so2_mg_m2_day: 6.0,
    ///     chloride_mg_m2_day: 3.0,
    /// };
    /// let guessed = Atmosphere::from_inputs_described(inputs).unwrap();
    /// assert!(guessed.log_sd > Atmosphere::from_inputs(inputs).unwrap().log_sd);
    /// ```
    pub fn from_inputs_described(inputs: DoseInputs) -> Result<Self> {
        Self::of_inputs(inputs, Determination::Description)
    }

    /// From the loss of bare steel specimens at the place in one year (µm), with the spread of
    /// [`Determination::Specimens`].
    ///
    /// # Errors
    /// A loss that is negative or not finite.
    ///
    /// ```
    /// use overcoat::atmosphere::{Atmosphere, Category};
    /// assert_eq!(Atmosphere::from_first_year_loss(61.6).unwrap().category, Category::C4);
    /// ```
    pub fn from_first_year_loss(first_year_steel_loss_um: f64) -> Result<Self> {
        let way = Determination::Specimens;
        within(
            "first_year_steel_loss_um",
            first_year_steel_loss_um,
            0.0,
            f64::INFINITY,
            "um",
            "Enter the loss of thickness of bare steel in the first year.",
        )?;
        Self::of_loss(first_year_steel_loss_um, way.log_sd(StandardMetal::Steel), way)
    }

    /// From a described range of the loss of bare steel in the first year (µm), its ends taken as the 10 and
    /// 90% points ([`LossRange`]), for example "C3" or "IC2".
    ///
    /// # Errors
    /// Those of [`LossRange::new`].
    ///
    /// ```
    /// use overcoat::atmosphere::{Atmosphere, Category};
    /// let c3 = Atmosphere::from_loss_range_um(25.0, 50.0).unwrap();
    /// assert_eq!(c3.category, Category::C3);
    /// ```
    pub fn from_loss_range_um(low_um: f64, high_um: f64) -> Result<Self> {
        let range = LossRange::new(low_um, high_um)?;
        Self::of_loss(range.median_um(), range.log_sd(), Determination::Description)
    }

    /// From a kind of place whose loss is described as a range: as [`from_loss_range_um`](Self::from_loss_range_um),
    /// with no less than the spread of [`Determination::Description`], since a range is told of the kind and not of
    /// the one place.
    ///
    /// # Errors
    /// Those of [`LossRange::new`].
    ///
    /// ```
    /// use overcoat::atmosphere::Atmosphere;
    /// let coast = Atmosphere::from_described_range_um(50.0, 80.0).unwrap();
    /// assert!(coast.log_sd > Atmosphere::from_loss_range_um(50.0, 80.0).unwrap().log_sd);
    /// ```
    pub fn from_described_range_um(low_um: f64, high_um: f64) -> Result<Self> {
        let place = Self::from_loss_range_um(low_um, high_um)?;
        let log_sd = place.log_sd.max(place.determination.log_sd(StandardMetal::Steel));
        Ok(Self { log_sd, ..place })
    }

    /// The same place with other yearly means: its loss times the ratio of [`first_year_loss_um()`] at `inputs` to
    /// that at the `usual` ones of such a place, and its bias times that of [`steel_loss_bias`].
    ///
    /// # Errors
    /// Those of [`DoseInputs::checked`].
    ///
    /// ```
    /// use overcoat::atmosphere::{Atmosphere, DoseInputs};
    /// let usual = DoseInputs {
    ///     temperature_c: 12.0,
    ///     relative_humidity_pct: 79.0,
    ///     so2_mg_m2_day: 3.0,
    ///     chloride_mg_m2_day: 80.0,
    /// };
    /// let coast = Atmosphere::from_described_range_um(50.0, 80.0).unwrap();
    /// let saltier = coast.clone().moved(&usual, DoseInputs { chloride_mg_m2_day: 160.0, ..usual }).unwrap();
    /// assert!(saltier.first_year_steel_loss_um > coast.first_year_steel_loss_um);
    /// assert_eq!(coast.clone().moved(&usual, usual).unwrap().category, coast.category);
    /// ```
    pub fn moved(self, usual: &DoseInputs, inputs: DoseInputs) -> Result<Self> {
        let steel = |inputs: &DoseInputs| first_year_loss_um(StandardMetal::Steel, inputs);
        let loss_um = self.first_year_steel_loss_um * (steel(&inputs)? / steel(usual)?);
        Ok(Self {
            inputs: Some(inputs),
            extrapolations: inputs.extrapolations(),
            measured_over_computed: self.measured_over_computed * steel_loss_bias(inputs.temperature_c)
                / steel_loss_bias(usual.temperature_c),
            ..Self::of_loss(loss_um, self.log_sd, self.determination)?
        })
    }

    /// The same with a further, independent spread of the loss added in squares, as that of an estimated
    /// chloride deposition ([`loss_log_sd_from_chloride`]).
    ///
    /// # Errors
    /// A spread that is negative or not finite.
    ///
    /// ```
    /// use overcoat::atmosphere::Atmosphere;
    /// let mut place = Atmosphere::from_loss_range_um(20.0, 40.0).unwrap();
    /// place.log_sd = 0.3;
    /// assert!((place.widened(0.4).unwrap().log_sd - 0.5).abs() < 1e-15);
    /// ```
    pub fn widened(mut self, log_sd: f64) -> Result<Self> {
        within("log_sd", log_sd, 0.0, f64::INFINITY, "", "Enter a standard deviation of the logarithm.")?;
        self.log_sd = self.log_sd.hypot(log_sd);
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_carries_its_own_spread() {
        let inputs = DoseInputs {
            temperature_c: 9.0,
            relative_humidity_pct: 78.0,
            so2_mg_m2_day: 6.0,
            chloride_mg_m2_day: 3.0,
        };
        let measured = Atmosphere::from_first_year_loss(20.0).unwrap();
        let computed = Atmosphere::from_inputs(inputs).unwrap();
        let guessed = Atmosphere::from_inputs_described(inputs).unwrap();
        assert!(measured.log_sd < computed.log_sd && computed.log_sd < guessed.log_sd);
        assert_eq!(computed.first_year_steel_loss_um, guessed.first_year_steel_loss_um);
        assert_eq!(computed.inputs, Some(inputs));
    }

    #[test]
    fn a_category_by_name_and_its_range_agree() {
        for &category in Category::ALL {
            let range = category_loss_range(StandardMetal::Steel, category).unwrap();
            let place = Atmosphere::from_loss_range_um(range.low_um, range.high_um).unwrap();
            assert_eq!(place.category, category);
        }
    }

    #[test]
    fn impossible_losses_are_refused_by_their_own_name() {
        let error = Atmosphere::from_first_year_loss(f64::NAN).unwrap_err();
        assert_eq!(error.field(), "first_year_steel_loss_um");
        assert!(Atmosphere::from_loss_range_um(0.0, 1.3).is_err());
        assert!(Atmosphere::from_first_year_loss(1.0).unwrap().widened(-1.0).is_err());
    }
}
