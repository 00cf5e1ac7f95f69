//! First-year loss of a bare metal from four yearly means: the dose-response functions of ISO 9223:2012.
//!
//! ```text
//! r = A·Pd^a·exp(b·RH + f(T)) + B·Sd^c·exp(d·RH + e·T)
//! f(T) = k1·(T - 10) for T <= 10 °C,  k2·(T - 10) for T > 10 °C
//! ```
//!
//! | symbol | meaning | unit | validity |
//! | --- | --- | --- | --- |
//! | r | loss in the first year | µm | |
//! | T | annual mean temperature | °C | -17.1 to 28.7 |
//! | RH | annual mean relative humidity | % | 34 to 93 |
//! | Pd | annual mean SO2 deposition | mg/(m²·d) | 0.7 to 150.4 |
//! | Sd | annual mean chloride deposition | mg/(m²·d) | 0.4 to 760.5 |
//!
//! Outside the validity intervals the functions still compute; [`DoseInputs::extrapolations`] says so.
//! A deposition of zero makes its term exactly zero, because the term is a power: real places always
//! have a little of both, so the lower validity bound is the better entry for "none measured".

use std::fmt;

use serde::{Deserialize, Serialize};

use super::column::{at_row, same_length};
use super::loss_lanes::{DoseLogs, count_outside, four_metals_into, one_metal_into, terms_um};
use super::metal::StandardMetal;
use crate::error::{Result, invalid, within};
use crate::evidence::Source;

/// The constants of one dose-response function; the letters are those of the formula in
/// [the module](self).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DoseCoefficients {
    /// The metal.
    pub metal: StandardMetal,
    /// A, factor of the SO2 term.
    pub so2_factor: f64,
    /// a, exponent of the SO2 deposition.
    pub so2_exponent: f64,
    /// b, effect of humidity on the SO2 term (1/%).
    pub so2_humidity_per_pct: f64,
    /// k1, effect of temperature on the SO2 term up to 10 °C (1/°C).
    pub so2_cold_per_c: f64,
    /// k2, effect of temperature on the SO2 term above 10 °C (1/°C).
    pub so2_warm_per_c: f64,
    /// B, factor of the chloride term.
    pub chloride_factor: f64,
    /// c, exponent of the chloride deposition.
    pub chloride_exponent: f64,
    /// d, effect of humidity on the chloride term (1/%).
    pub chloride_humidity_per_pct: f64,
    /// e, effect of temperature on the chloride term (1/°C).
    pub chloride_temperature_per_c: f64,
    /// Number of exposures behind the fit.
    pub observations: u32,
    /// Share of the variance that the fit explains, R².
    pub r_squared: f64,
}

/// Where the constants of [`DOSE_COEFFICIENTS`] come from.
pub(crate) const DOSE_SOURCE: Source = Source::standard(
    "ISO 9223:2012, 8.2, equation 1: the nine numbers for steel, read in a public transcription of DIN EN ISO \
     9223:2012-05",
);
/// Where the constants for zinc come from.
pub(crate) const DOSE_SOURCE_ZINC: Source = Source::handbook(
    "ISO 9223:2012, 8.2, equation 2: the nine numbers for zinc, read in a public code that cites it; the standard's own \
     page was not seen",
);
/// Where the constants for copper and aluminum come from.
pub(crate) const DOSE_SOURCE_OTHERS: Source = Source::from_memory("ISO 9223:2012, 8.2, equations 3 and 4");

/// Where the constants of a metal come from.
///
/// ```
/// use overcoat::atmosphere::{StandardMetal, dose_source};
/// use overcoat::evidence::Firmness;
/// assert_eq!(dose_source(StandardMetal::Steel).firmness, Firmness::Standard);
/// assert_eq!(dose_source(StandardMetal::Copper).firmness, Firmness::FromMemory);
/// ```
pub const fn dose_source(metal: StandardMetal) -> Source {
    match metal {
        StandardMetal::Steel => DOSE_SOURCE,
        StandardMetal::Zinc => DOSE_SOURCE_ZINC,
        StandardMetal::Copper | StandardMetal::Aluminium => DOSE_SOURCE_OTHERS,
    }
}

/// The constants for steel, zinc, copper and aluminum (equations 1 to 4); source: [`dose_source`].
///
/// ```
/// use overcoat::atmosphere::{DOSE_COEFFICIENTS, dose_source};
/// for c in &DOSE_COEFFICIENTS {
///     println!("{}: {} Pd^{} ... ({})", c.metal, c.so2_factor, c.so2_exponent, dose_source(c.metal));
/// }
/// ```
pub const DOSE_COEFFICIENTS: [DoseCoefficients; 4] = [
    DoseCoefficients {
        metal: StandardMetal::Steel,
        so2_factor: 1.77,
        so2_exponent: 0.52,
        so2_humidity_per_pct: 0.020,
        so2_cold_per_c: 0.150,
        so2_warm_per_c: -0.054,
        chloride_factor: 0.102,
        chloride_exponent: 0.62,
        chloride_humidity_per_pct: 0.033,
        chloride_temperature_per_c: 0.040,
        observations: 128,
        r_squared: 0.85,
    },
    DoseCoefficients {
        metal: StandardMetal::Zinc,
        so2_factor: 0.0129,
        so2_exponent: 0.44,
        so2_humidity_per_pct: 0.046,
        so2_cold_per_c: 0.038,
        so2_warm_per_c: -0.071,
        chloride_factor: 0.0175,
        chloride_exponent: 0.57,
        chloride_humidity_per_pct: 0.008,
        chloride_temperature_per_c: 0.085,
        observations: 114,
        r_squared: 0.78,
    },
    DoseCoefficients {
        metal: StandardMetal::Copper,
        so2_factor: 0.0053,
        so2_exponent: 0.26,
        so2_humidity_per_pct: 0.059,
        so2_cold_per_c: 0.126,
        so2_warm_per_c: -0.080,
        chloride_factor: 0.01025,
        chloride_exponent: 0.27,
        chloride_humidity_per_pct: 0.036,
        chloride_temperature_per_c: 0.049,
        observations: 121,
        r_squared: 0.88,
    },
    DoseCoefficients {
        metal: StandardMetal::Aluminium,
        so2_factor: 0.0042,
        so2_exponent: 0.73,
        so2_humidity_per_pct: 0.025,
        so2_cold_per_c: 0.009,
        so2_warm_per_c: -0.043,
        chloride_factor: 0.0018,
        chloride_exponent: 0.60,
        chloride_humidity_per_pct: 0.020,
        chloride_temperature_per_c: 0.094,
        observations: 113,
        r_squared: 0.65,
    },
];

impl DoseCoefficients {
    /// The constants of one metal.
    ///
    /// ```
    /// use overcoat::atmosphere::{DoseCoefficients, StandardMetal};
    /// assert_eq!(DoseCoefficients::of(StandardMetal::Steel).chloride_exponent, 0.62);
    /// ```
    pub const fn of(metal: StandardMetal) -> &'static Self {
        let [steel, zinc, copper, aluminium] = &DOSE_COEFFICIENTS;
        match metal {
            StandardMetal::Steel => steel,
            StandardMetal::Zinc => zinc,
            StandardMetal::Copper => copper,
            StandardMetal::Aluminium => aluminium,
        }
    }

    /// The SO2 term and the chloride term (µm), of inputs that were checked before; a term is exactly 0 where
    /// its deposition is.
    pub(super) fn terms_um(&self, inputs: &DoseInputs) -> (f64, f64) {
        terms_um(DoseLogs::of(self.metal), inputs)
    }
}

/// The four yearly means that estimate an atmosphere.
///
/// ```
/// use overcoat::atmosphere::DoseInputs;
/// let inputs: DoseInputs = serde_json::from_str(
///     r#"{"temperature_c": 9.0, "relative_humidity_pct": 78.0, "so2_mg_m2_day": 6.0, "chloride_mg_m2_day":
/// 3.0}"#, )
/// .unwrap();
/// assert!(inputs.checked().is_ok());
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub struct DoseInputs {
    /// Annual mean temperature (°C).
    pub temperature_c: f64,
    /// Annual mean relative humidity (%).
    pub relative_humidity_pct: f64,
    /// Annual mean deposition of SO2 in mg/(m²·d).
    pub so2_mg_m2_day: f64,
    /// Annual mean deposition of chloride in mg/(m²·d).
    pub chloride_mg_m2_day: f64,
}

/// The interval of one input that the exposures behind the functions covered.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ValidityInterval {
    /// The field of [`DoseInputs`].
    pub field: &'static str,
    /// Lower end, inclusive.
    pub low: f64,
    /// Upper end, inclusive.
    pub high: f64,
    /// Unit of both.
    pub unit: &'static str,
}

/// Where [`VALIDITY`] comes from.
pub(crate) const VALIDITY_SOURCE: Source =
    Source::standard("ISO 9223:2012, table 3, read in a public transcription of DIN EN ISO 9223:2012-05");

/// The validity intervals of the dose-response functions; source: `VALIDITY_SOURCE`.
pub const VALIDITY: [ValidityInterval; 4] = [
    ValidityInterval { field: "temperature_c", low: -17.1, high: 28.7, unit: "°C" },
    ValidityInterval { field: "relative_humidity_pct", low: 34.0, high: 93.0, unit: "%" },
    ValidityInterval { field: "so2_mg_m2_day", low: 0.7, high: 150.4, unit: "mg/(m2 d)" },
    ValidityInterval { field: "chloride_mg_m2_day", low: 0.4, high: 760.5, unit: "mg/(m2 d)" },
];

/// Annual means that every site is within, used to catch wrong units (°C).
pub(crate) const TEMPERATURE_RANGE_C: (f64, f64) = (-60.0, 40.0);

/// Where `TEMPERATURE_RANGE_C` comes from.
#[expect(dead_code, reason = "cited by documentation, read by the registry")]
pub(crate) const TEMPERATURE_RANGE_SOURCE: Source = Source::assumption(
    "no place has an annual mean temperature outside -60 to 40 °C: the Antarctic plateau lies near -57, the \
     hottest deserts near 35",
);

impl DoseInputs {
    /// Rejects what no place can have; what is outside the validity intervals only is left to
    /// [`extrapolations`](Self::extrapolations).
    ///
    /// # Errors
    /// A humidity outside 0 to 100%, a negative or non-finite deposition, an annual mean temperature
    /// outside `TEMPERATURE_RANGE_C`; the remedy says when a temperature looks like Fahrenheit or kelvin.
    ///
    /// ```
    /// use overcoat::atmosphere::DoseInputs;
    /// let inputs = DoseInputs {
    ///     temperature_c: 60.0,
    ///     relative_humidity_pct: 75.0,
    ///     so2_mg_m2_day: 5.0,
    ///     chloride_mg_m2_day: 3.0,
    /// };
    /// let error = inputs.checked().unwrap_err();
    /// assert_eq!(error.field(), "temperature_c");
    /// assert!(error.remedy().contains("60 °F is 15.6 °C"));
    /// ```
    pub fn checked(&self) -> Result<()> {
        let (coldest, hottest) = TEMPERATURE_RANGE_C;
        if !(coldest..=hottest).contains(&self.temperature_c) {
            return Err(invalid(
                "temperature_c",
                self.temperature_c,
                &format!("{coldest} to {hottest} °C"),
                &temperature_remedy(self.temperature_c),
            ));
        }
        within(
            "relative_humidity_pct",
            self.relative_humidity_pct,
            0.0,
            100.0,
            "%",
            "Enter the annual mean relative humidity in percent.",
        )?;
        for (field, value) in
            [("so2_mg_m2_day", self.so2_mg_m2_day), ("chloride_mg_m2_day", self.chloride_mg_m2_day)]
        {
            within(
                field,
                value,
                0.0,
                f64::INFINITY,
                "mg/(m2 d)",
                "Enter the annual mean deposition; where none was measured, enter the lower validity bound.",
            )?;
        }
        Ok(())
    }

    /// One entry for each input outside its validity interval ([`VALIDITY`]); empty when all are inside.
    ///
    /// ```
    /// use overcoat::atmosphere::DoseInputs;
    /// let inputs = DoseInputs {
    ///     temperature_c: 9.0,
    ///     relative_humidity_pct: 0.78,
    ///     so2_mg_m2_day: 5.0,
    ///     chloride_mg_m2_day: 3.0,
    /// };
    /// let outside = inputs.extrapolations();
    /// assert_eq!(outside.len(), 1);
    /// assert!(outside[0].to_string().contains("looks like a fraction"));
    /// ```
    pub fn extrapolations(&self) -> Vec<Extrapolation> {
        let values =
            [self.temperature_c, self.relative_humidity_pct, self.so2_mg_m2_day, self.chloride_mg_m2_day];
        VALIDITY
            .iter()
            .zip(values)
            .filter(|(interval, value)| !(interval.low..=interval.high).contains(value))
            .map(|(interval, value)| Extrapolation {
                field: interval.field,
                value,
                low: interval.low,
                high: interval.high,
            })
            .collect()
    }
}

fn temperature_remedy(value: f64) -> String {
    if value > 200.0 && value.is_finite() {
        format!("It looks like kelvin: {value} K is {:.1} °C.", value - 273.15)
    } else if value > 0.0 && value.is_finite() {
        format!(
            "It looks like degrees Fahrenheit: {value} °F is {:.1} °C; no place has such an annual mean.",
            (value - 32.0) / 1.8
        )
    } else {
        "Enter the annual mean temperature in °C.".to_owned()
    }
}

/// An input outside the interval for which a formula was fitted: the result is computed, and flagged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub struct Extrapolation {
    /// The field concerned.
    pub field: &'static str,
    /// Its value.
    pub value: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl fmt::Display for Extrapolation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { field, value, low, high } = self;
        write!(f, "`{field}` is {value}, outside the validity interval {low} to {high}")?;
        if *field == "relative_humidity_pct" && *value > 0.0 && *value <= 1.0 {
            write!(f, "; it looks like a fraction: {:.0}%?", value * 100.0)?;
        }
        Ok(())
    }
}

/// Loss of thickness of a bare metal in the first year (µm), by the formula in [the module](self).
///
/// Validity: [`VALIDITY`]; outside it the value is an extrapolation. Spread:
/// [`Determination::DoseResponse`](super::Determination::DoseResponse). Source: [`dose_source`].
///
/// # Errors
/// Those of [`DoseInputs::checked`].
///
/// ```
/// use overcoat::atmosphere::{DoseInputs, StandardMetal, first_year_loss_um};
/// let inputs = DoseInputs {
///     temperature_c: 10.0,
///     relative_humidity_pct: 50.0,
///     so2_mg_m2_day: 1.0,
///     chloride_mg_m2_day: 0.0,
/// };
/// // 1.77 · 1 · exp(0.020 · 50) = 1.77 e
/// let loss_um = first_year_loss_um(StandardMetal::Steel, &inputs).unwrap();
/// assert!((loss_um - 1.77 * std::f64::consts::E).abs() < 1e-12);
/// ```
pub fn first_year_loss_um(metal: StandardMetal, inputs: &DoseInputs) -> Result<f64> {
    inputs.checked()?;
    let (so2, chloride) = DoseCoefficients::of(metal).terms_um(inputs);
    Ok(so2 + chloride)
}

/// [`first_year_loss_um`] of each row of four columns; the results have the same bits as the scalar ones.
///
/// # Errors
/// An [`InvalidTable`](crate::error::InvalidTable): columns of unequal length, or the first row (counted
/// from 1) with a value that [`DoseInputs::checked`] rejects; `out` is then without meaning.
///
/// ```
/// use overcoat::atmosphere::{StandardMetal, first_year_loss_um_into};
/// let mut out = [0.0; 2];
/// first_year_loss_um_into(StandardMetal::Zinc, &[9.0, 20.0], &[78.0, 70.0], &[5.0, 1.0], &[3.0, 60.0], &mut
/// out)
///     .unwrap();
/// assert!(out[0] > 0.0 && out[1] > out[0]);
/// let error = first_year_loss_um_into(StandardMetal::Zinc, &[9.0], &[101.0], &[5.0], &[3.0], &mut out[..1])
///     .unwrap_err();
/// assert!(error.to_string().starts_with("column `relative_humidity_pct`, row 1"));
/// ```
pub fn first_year_loss_um_into(
    metal: StandardMetal,
    temperature_c: &[f64],
    relative_humidity_pct: &[f64],
    so2_mg_m2_day: &[f64],
    chloride_mg_m2_day: &[f64],
    out: &mut [f64],
) -> Result<()> {
    let columns = [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day];
    equally_long(columns)?;
    same_length("out", out.len(), "temperature_c", temperature_c.len())?;
    if one_metal_into(DoseLogs::of(metal), columns, out) { check_rows(columns) } else { Ok(()) }
}

/// [`first_year_loss_um`] of each row for steel, zinc, copper and aluminum (`out`, in this order), which share
/// the logarithms of a row; the results have the same bits as the scalar ones.
///
/// # Errors
/// Those of [`first_year_loss_um_into`].
///
/// ```
/// use overcoat::atmosphere::{DoseInputs, StandardMetal, first_year_loss_um, first_year_losses_um_into};
/// let mut out = [[0.0; 1]; 4];
/// let [steel, zinc, copper, aluminum] = &mut out;
/// first_year_losses_um_into(&[9.0], &[78.0], &[5.0], &[3.0], [steel, zinc, copper, aluminum])?;
/// let row = DoseInputs {
///     temperature_c: 9.0,
///     relative_humidity_pct: 78.0,
///     so2_mg_m2_day: 5.0,
///     chloride_mg_m2_day: 3.0,
/// };
/// assert_eq!(out[1][0], first_year_loss_um(StandardMetal::Zinc, &row)?);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn first_year_losses_um_into(
    temperature_c: &[f64],
    relative_humidity_pct: &[f64],
    so2_mg_m2_day: &[f64],
    chloride_mg_m2_day: &[f64],
    out: [&mut [f64]; 4],
) -> Result<()> {
    let columns = [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day];
    equally_long(columns)?;
    for (metal, column) in StandardMetal::ALL.iter().zip(&out) {
        same_length(metal.word(), column.len(), "temperature_c", temperature_c.len())?;
    }
    if four_metals_into(columns, out) { check_rows(columns) } else { Ok(()) }
}

/// How many rows of four columns hold an input outside its validity interval ([`VALIDITY`]).
///
/// # Errors
/// Columns of unequal length.
///
/// ```
/// use overcoat::atmosphere::extrapolated_rows;
/// assert_eq!(extrapolated_rows(&[9.0, 9.0], &[78.0, 20.0], &[5.0, 5.0], &[3.0, 3.0]).unwrap(), 1);
/// ```
pub fn extrapolated_rows(
    temperature_c: &[f64],
    relative_humidity_pct: &[f64],
    so2_mg_m2_day: &[f64],
    chloride_mg_m2_day: &[f64],
) -> Result<u64> {
    let columns = [temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day];
    equally_long(columns)?;
    Ok(count_outside(columns))
}

fn equally_long([temperature_c, relative_humidity_pct, so2, chloride]: [&[f64]; 4]) -> Result<()> {
    let rows = temperature_c.len();
    same_length("relative_humidity_pct", relative_humidity_pct.len(), "temperature_c", rows)?;
    same_length("so2_mg_m2_day", so2.len(), "temperature_c", rows)?;
    same_length("chloride_mg_m2_day", chloride.len(), "temperature_c", rows)
}

/// The rejection of the first row that is rejected.
fn check_rows([temperature_c, relative_humidity_pct, so2, chloride]: [&[f64]; 4]) -> Result<()> {
    let rows = temperature_c.iter().zip(relative_humidity_pct).zip(so2).zip(chloride);
    for (index, (((&temperature_c, &relative_humidity_pct), &so2_mg_m2_day), &chloride_mg_m2_day)) in
        rows.enumerate()
    {
        DoseInputs { temperature_c, relative_humidity_pct, so2_mg_m2_day, chloride_mg_m2_day }
            .checked()
            .map_err(|error| at_row(error, index))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inputs(temperature_c: f64, relative_humidity_pct: f64, so2: f64, chloride: f64) -> DoseInputs {
        DoseInputs { temperature_c, relative_humidity_pct, so2_mg_m2_day: so2, chloride_mg_m2_day: chloride }
    }

    #[test]
    fn each_metal_has_its_own_coefficients() {
        for &metal in StandardMetal::ALL {
            assert_eq!(DoseCoefficients::of(metal).metal, metal);
        }
    }

    #[test]
    fn every_metal_agrees_with_fifty_digits_in_the_cold_and_in_the_warm() {
        use StandardMetal::{Aluminium, Copper, Steel, Zinc};
        // independent: mpmath 1.4 from the printed coefficients; RH 75%, Pd 12, Sd 40; at 2 and at 24 °C
        for (metal, cold_um, warm_um) in [
            (Steel, 21.625_389_668_031_655, 44.725_936_530_667_13),
            (Zinc, 1.204_257_793_196_730_8, 2.456_739_107_223_12),
            (Copper, 0.763_655_452_808_706, 1.614_013_946_707_003),
            (Aluminium, 0.245_387_748_748_789_36, 0.796_262_131_901_168_7),
        ] {
            for (t, expected) in [(2.0, cold_um), (24.0, warm_um)] {
                let loss_um = first_year_loss_um(metal, &inputs(t, 75.0, 12.0, 40.0)).unwrap();
                assert!((loss_um / expected - 1.0).abs() < 1e-14, "{metal} at {t}: {loss_um}");
            }
        }
    }

    /// An annual mean beyond all places is in another unit: kelvin from 200 on, else degrees Fahrenheit.
    #[test]
    fn a_temperature_beyond_all_places_is_asked_about() {
        let remedy = |temperature_c: f64| {
            let row = DoseInputs { temperature_c, ..inputs(0.0, 80.0, 5.0, 5.0) };
            first_year_loss_um(StandardMetal::Steel, &row).unwrap_err().remedy().to_owned()
        };
        assert!(remedy(283.15).contains("283.15 K is 10.0 °C"));
        assert!(remedy(50.0).contains("50 °F is 10.0 °C"));
        for value in [-70.0, f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
            assert_eq!(remedy(value), "Enter the annual mean temperature in °C.");
        }
    }

    /// Two of three rows lie outside: one too dry (below 34%), one too warm (above 28.7 °C). A row that is refused is
    /// named, and columns give what single rows do.
    #[test]
    fn columns_say_what_single_rows_do() {
        let (t, humidity, so2, chloride) = ([9.0, 9.0, 29.0], [78.0, 20.0, 80.0], [5.0; 3], [3.0; 3]);
        assert_eq!(extrapolated_rows(&t, &humidity, &so2, &chloride).unwrap(), 2);
        assert_eq!(extrapolated_rows(&[], &[], &[], &[]).unwrap(), 0);
        let mut out = [[0.0; 3]; 4];
        first_year_losses_um_into(
            &t,
            &humidity,
            &so2,
            &chloride,
            out.each_mut().map(|column| &mut column[..]),
        )
        .unwrap();
        for (metal, column) in StandardMetal::ALL.iter().zip(out) {
            for (row, found) in column.into_iter().enumerate() {
                let row = inputs(t[row], humidity[row], so2[row], chloride[row]);
                let expected = first_year_loss_um(*metal, &row).unwrap();
                assert!((found / expected - 1.0).abs() < 1e-12, "{metal} {row:?}");
            }
        }
        let columns = out.each_mut().map(|column| &mut column[..]);
        let error =
            first_year_losses_um_into(&t, &[78.0, 80.0, 120.0], &so2, &chloride, columns).unwrap_err();
        assert!(error.to_string().contains("row 3"), "{error}");
    }

    #[test]
    fn a_humidity_that_looks_like_a_fraction_is_asked_about() {
        let said = |humidity: f64| inputs(10.0, humidity, 5.0, 5.0).extrapolations()[0].to_string();
        assert!(said(0.8).ends_with("it looks like a fraction: 80%?"));
        assert!(said(1.0).ends_with("100%?"));
        for plain in [0.0, 1.1, 20.0, 99.0] {
            assert!(said(plain).ends_with("34 to 93"), "{}", said(plain));
        }
    }

    #[test]
    fn at_ten_degrees_and_unit_doses_only_the_humidity_terms_remain() {
        // independent: the formula by hand at T = 10 °C, RH = 80%, Pd = Sd = 1
        for c in &DOSE_COEFFICIENTS {
            let by_hand = c.so2_factor * (c.so2_humidity_per_pct * 80.0).exp()
                + c.chloride_factor
                    * (c.chloride_humidity_per_pct * 80.0 + c.chloride_temperature_per_c * 10.0).exp();
            let loss_um = first_year_loss_um(c.metal, &inputs(10.0, 80.0, 1.0, 1.0)).unwrap();
            assert!((loss_um / by_hand - 1.0).abs() < 1e-14, "{}", c.metal);
        }
    }

    #[test]
    fn steel_agrees_with_a_calculation_by_hand() {
        // independent, from the formula with powers written out: T 20, RH 75, Pd 20, Sd 50
        let by_hand = 1.77 * 20f64.powf(0.52) * (0.020 * 75.0 - 0.054 * 10.0_f64).exp()
            + 0.102 * 50f64.powf(0.62) * (0.033 * 75.0 + 0.040 * 20.0_f64).exp();
        let loss_um = first_year_loss_um(StandardMetal::Steel, &inputs(20.0, 75.0, 20.0, 50.0)).unwrap();
        assert!((loss_um / by_hand - 1.0).abs() < 1e-14);
    }

    #[test]
    fn a_zero_deposition_makes_its_term_exactly_zero() {
        for &metal in StandardMetal::ALL {
            assert_eq!(first_year_loss_um(metal, &inputs(15.0, 70.0, 0.0, 0.0)).unwrap(), 0.0);
            assert!(first_year_loss_um(metal, &inputs(15.0, 70.0, 0.0, 5.0)).unwrap() > 0.0);
        }
    }

    #[test]
    fn impossible_inputs_are_refused_by_field() {
        for (bad, field) in [
            (inputs(f64::NAN, 70.0, 1.0, 1.0), "temperature_c"),
            (inputs(283.15, 70.0, 1.0, 1.0), "temperature_c"),
            (inputs(10.0, -1.0, 1.0, 1.0), "relative_humidity_pct"),
            (inputs(10.0, 100.1, 1.0, 1.0), "relative_humidity_pct"),
            (inputs(10.0, 70.0, -0.1, 1.0), "so2_mg_m2_day"),
            (inputs(10.0, 70.0, 1.0, f64::INFINITY), "chloride_mg_m2_day"),
        ] {
            let error = first_year_loss_um(StandardMetal::Steel, &bad).unwrap_err();
            assert_eq!(error.field(), field);
            assert!(!error.remedy().is_empty());
        }
        let kelvin = inputs(283.15, 70.0, 1.0, 1.0).checked().unwrap_err();
        assert!(kelvin.remedy().contains("283.15 K is 10.0 °C"));
    }

    #[test]
    fn the_ends_of_the_validity_intervals_are_inside() {
        assert!(inputs(-17.1, 34.0, 0.7, 0.4).extrapolations().is_empty());
        assert!(inputs(28.7, 93.0, 150.4, 760.5).extrapolations().is_empty());
        assert_eq!(inputs(29.0, 94.0, 0.0, 800.0).extrapolations().len(), 4);
    }

    #[test]
    fn columns_of_unequal_length_are_refused() {
        let error =
            first_year_loss_um_into(StandardMetal::Steel, &[1.0], &[50.0], &[1.0, 2.0], &[1.0], &mut [0.0])
                .unwrap_err();
        assert_eq!((error.kind(), error.field()), ("table", "so2_mg_m2_day"));
    }

    proptest! {
        #[test]
        fn more_salt_sulfur_or_humidity_never_means_less_loss(
            t in -17.0..28.0_f64, rh in 34.0..90.0_f64, so2 in 0.7..150.0_f64, cl in 0.4..760.0_f64,
            more in 0.0..3.0_f64,
        ) {
            for &metal in StandardMetal::ALL {
                let loss = |i: DoseInputs| first_year_loss_um(metal, &i).unwrap();
                let base = loss(inputs(t, rh, so2, cl));
                prop_assert!(loss(inputs(t, rh + more, so2, cl)) >= base);
                prop_assert!(loss(inputs(t, rh, so2 + more, cl)) >= base);
                prop_assert!(loss(inputs(t, rh, so2, cl + more)) >= base);
            }
        }

        #[test]
        fn a_column_has_the_bits_of_the_scalar(
            rows in proptest::collection::vec(
                (-60.0..40.0_f64, 0.0..100.0_f64, 0.0..300.0_f64, 0.0..2000.0_f64), 0..20)
        ) {
            let column = |pick: fn(&(f64, f64, f64, f64)) -> f64| rows.iter().map(pick).collect::<Vec<_>>();
            let (t, rh) = (column(|r| r.0), column(|r| r.1));
            let (so2, cl) = (column(|r| r.2), column(|r| r.3));
            for &metal in StandardMetal::ALL {
                let mut out = vec![0.0; rows.len()];
                first_year_loss_um_into(metal, &t, &rh, &so2, &cl, &mut out).unwrap();
                for (row, loss) in rows.iter().zip(&out) {
                    let scalar = first_year_loss_um(metal, &inputs(row.0, row.1, row.2, row.3)).unwrap();
                    prop_assert_eq!(scalar.to_bits(), loss.to_bits());
                }
            }
        }
    }
}
