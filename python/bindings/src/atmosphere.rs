//! Loss, category, growth and wetness; scalars here, columns through `_into` with the interpreter released.

use numpy::{IntoPyArray, PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::arguments::{argument, number, text};
use crate::columns::{empty, filled};
use crate::documents::{Form, text_or_file};
use crate::error::Result;
use crate::pickling::{Reduced, reduced, restored};
use overcoat::atmosphere::{
    Category, ClimateRecord as CoreRecord, DoseInputs, GrowthCase, StandardMetal, SteelComposition,
    Wetness as CoreWetness, category_from_g_m2, category_from_um, category_from_um_into, extrapolated_rows,
    first_year_loss_um, first_year_loss_um_into, first_year_losses_um_into, growth_exponent,
    long_term_loss_um, loss_um_into, time_of_wetness as core_time_of_wetness,
};

type Column<'py> = PyReadonlyArray1<'py, f64>;

/// A standard metal whatever the case of its letters; the error quotes the word as it was written.
fn metal_of(metal: &Bound<'_, PyAny>) -> Result<StandardMetal> {
    let word = text("metal", metal)?;
    Ok(word.parse().or_else(|error| word.to_ascii_lowercase().parse().map_err(|_| error))?)
}

/// The loss of one set of inputs, and a sentence for each input outside the validity of the function.
#[pyfunction]
fn first_year_loss_scalar(
    metal: &Bound<'_, PyAny>,
    temperature_c: &Bound<'_, PyAny>,
    relative_humidity_pct: &Bound<'_, PyAny>,
    so2_mg_m2_day: &Bound<'_, PyAny>,
    chloride_mg_m2_day: &Bound<'_, PyAny>,
) -> Result<(f64, Vec<String>)> {
    let metal = metal_of(metal)?;
    let inputs = DoseInputs {
        temperature_c: number("temperature_c", temperature_c)?,
        relative_humidity_pct: number("relative_humidity_pct", relative_humidity_pct)?,
        so2_mg_m2_day: number("so2_mg_m2_day", so2_mg_m2_day)?,
        chloride_mg_m2_day: number("chloride_mg_m2_day", chloride_mg_m2_day)?,
    };
    let loss = first_year_loss_um(metal, &inputs)?;
    Ok((loss, inputs.extrapolations().iter().map(ToString::to_string).collect()))
}

/// The losses of columns of equal length, and the number of rows outside the validity of the function.
#[pyfunction]
fn first_year_loss_columns<'py>(
    py: Python<'py>,
    metal: &Bound<'py, PyAny>,
    temperature_c: Column<'py>,
    relative_humidity_pct: Column<'py>,
    so2_mg_m2_day: Column<'py>,
    chloride_mg_m2_day: Column<'py>,
) -> Result<(Py<PyArray1<f64>>, u64)> {
    let metal = metal_of(metal)?;
    let (t, rh) = (temperature_c.as_slice()?, relative_humidity_pct.as_slice()?);
    let (so2, chloride) = (so2_mg_m2_day.as_slice()?, chloride_mg_m2_day.as_slice()?);
    let mut loss = empty(py, t.len())?;
    let out = loss.as_slice_mut()?;
    let outside = py.detach(|| -> overcoat::Result<_> {
        first_year_loss_um_into(metal, t, rh, so2, chloride, out)?;
        extrapolated_rows(t, rh, so2, chloride)
    })?;
    Ok((filled(&loss), outside))
}

/// As `first_year_loss_columns`, for all metals by name.
#[pyfunction]
fn first_year_losses_columns<'py>(
    py: Python<'py>,
    temperature_c: Column<'py>,
    relative_humidity_pct: Column<'py>,
    so2_mg_m2_day: Column<'py>,
    chloride_mg_m2_day: Column<'py>,
) -> Result<(Bound<'py, PyDict>, u64)> {
    let (t, rh) = (temperature_c.as_slice()?, relative_humidity_pct.as_slice()?);
    let (so2, chloride) = (so2_mg_m2_day.as_slice()?, chloride_mg_m2_day.as_slice()?);
    let (mut steel, mut zinc) = (empty(py, t.len())?, empty(py, t.len())?);
    let (mut copper, mut aluminium) = (empty(py, t.len())?, empty(py, t.len())?);
    let out =
        [steel.as_slice_mut()?, zinc.as_slice_mut()?, copper.as_slice_mut()?, aluminium.as_slice_mut()?];
    let outside = py.detach(|| -> overcoat::Result<_> {
        first_year_losses_um_into(t, rh, so2, chloride, out)?;
        extrapolated_rows(t, rh, so2, chloride)
    })?;
    let losses = PyDict::new(py);
    for (metal, loss) in StandardMetal::ALL.iter().zip([&steel, &zinc, &copper, &aluminium]) {
        losses.set_item(metal.to_string(), filled(loss))?;
    }
    Ok((losses, outside))
}

/// The category of a loss in µm.
#[pyfunction]
fn corrosivity_scalar(metal: &Bound<'_, PyAny>, first_year_loss_um: &Bound<'_, PyAny>) -> Result<String> {
    let loss = number("first_year_loss_um", first_year_loss_um)?;
    Ok(category_from_um(metal_of(metal)?, loss)?.to_string())
}

/// The category of a loss in g/m².
#[pyfunction]
fn corrosivity_by_mass(metal: &Bound<'_, PyAny>, first_year_loss_g_m2: &Bound<'_, PyAny>) -> Result<String> {
    let loss = number("first_year_loss_g_m2", first_year_loss_g_m2)?;
    Ok(category_from_g_m2(metal_of(metal)?, loss)?.to_string())
}

/// The categories of a column of losses in µm as codes, and the words of the codes.
#[pyfunction]
fn corrosivity_column<'py>(
    py: Python<'py>,
    metal: &Bound<'py, PyAny>,
    first_year_loss_um: Column<'py>,
) -> Result<(Bound<'py, PyArray1<u8>>, Vec<&'static str>)> {
    let metal = metal_of(metal)?;
    let loss = first_year_loss_um.as_slice()?;
    let codes = py.detach(|| -> overcoat::Result<Vec<u8>> {
        let mut categories = vec![Category::C1; loss.len()];
        category_from_um_into(metal, loss, &mut categories)?;
        Ok(categories.into_iter().map(|category| category as u8).collect())
    })?;
    Ok((codes.into_pyarray(py), Category::ALL.iter().map(|category| category.word()).collect()))
}

/// Composition from mass % by element symbol or by field name; what is left out is that of plain steel.
fn composition_of(composition: &Bound<'_, PyDict>) -> Result<SteelComposition> {
    let mut steel = SteelComposition::default();
    for (key, value) in composition {
        let key = text("composition", &key)?;
        let content = number(&format!("composition.{key}"), &value)?;
        let slot = match key.as_str() {
            "C" | "carbon_pct" => &mut steel.carbon_pct,
            "P" | "phosphorus_pct" => &mut steel.phosphorus_pct,
            "S" | "sulfur_pct" => &mut steel.sulfur_pct,
            "Si" | "silicon_pct" => &mut steel.silicon_pct,
            "Ni" | "nickel_pct" => &mut steel.nickel_pct,
            "Cr" | "chromium_pct" => &mut steel.chromium_pct,
            "Cu" | "copper_pct" => &mut steel.copper_pct,
            other => {
                return Err(overcoat::error::unknown(
                    "composition",
                    other,
                    ["C", "P", "S", "Si", "Ni", "Cr", "Cu"],
                    "Give mass % by element symbol.",
                )
                .into());
            }
        };
        *slot = content;
    }
    Ok(steel)
}

fn case(conservative: &Bound<'_, PyAny>) -> PyResult<GrowthCase> {
    let conservative = argument("conservative", conservative, "True or False", "Pass one of them.")?;
    Ok(if conservative { GrowthCase::Conservative } else { GrowthCase::Average })
}

/// The loss after years.
#[pyfunction]
#[pyo3(signature = (metal, first_year_loss_um, years, conservative, composition))]
fn long_term_loss_scalar(
    metal: &Bound<'_, PyAny>,
    first_year_loss_um: &Bound<'_, PyAny>,
    years: &Bound<'_, PyAny>,
    conservative: &Bound<'_, PyAny>,
    composition: Option<&Bound<'_, PyDict>>,
) -> Result<f64> {
    let composition = composition.map(composition_of).transpose()?;
    Ok(long_term_loss_um(
        metal_of(metal)?,
        number("first_year_loss_um", first_year_loss_um)?,
        number("years", years)?,
        case(conservative)?,
        composition.as_ref(),
    )?)
}

/// The losses of columns of first-year losses and years.
#[pyfunction]
#[pyo3(signature = (metal, first_year_loss_um, years, conservative, composition))]
fn long_term_loss_columns<'py>(
    py: Python<'py>,
    metal: &Bound<'py, PyAny>,
    first_year_loss_um: Column<'py>,
    years: Column<'py>,
    conservative: &Bound<'py, PyAny>,
    composition: Option<&Bound<'py, PyDict>>,
) -> Result<Py<PyArray1<f64>>> {
    let metal = metal_of(metal)?;
    let composition = composition.map(composition_of).transpose()?;
    let b = growth_exponent(metal, case(conservative)?, composition.as_ref())?;
    let (first, years) = (first_year_loss_um.as_slice()?, years.as_slice()?);
    let mut loss = empty(py, first.len())?;
    let out = loss.as_slice_mut()?;
    py.detach(|| loss_um_into(first, years, b, out))?;
    Ok(filled(&loss))
}

/// What an hourly record says of the wetness of a place.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(PartialEq)]
struct Wetness(CoreWetness);

#[pymethods]
impl Wetness {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// Hours a year with T > 0 °C and RH > 80%, missing hours scaled.
    #[getter]
    fn hours_per_year(&self) -> f64 {
        self.0.hours_per_year
    }

    /// Wetness class, tau1 to tau5.
    #[getter]
    fn wetness_class(&self) -> String {
        self.0.wetness_class.to_string()
    }

    /// Valid over expected hours, 0 to 1.
    #[getter]
    fn coverage(&self) -> f64 {
        self.0.coverage
    }

    /// Wet hours as counted.
    #[getter]
    fn counted_wet_hours(&self) -> f64 {
        self.0.counted_wet_hours
    }

    /// Hours with both readings.
    #[getter]
    fn valid_hours(&self) -> f64 {
        self.0.valid_hours
    }

    /// Hours that the record spans.
    #[getter]
    fn expected_hours(&self) -> f64 {
        self.0.expected_hours
    }

    /// Number of gaps.
    #[getter]
    fn gaps(&self) -> usize {
        self.0.gaps
    }

    /// Longest gap, h.
    #[getter]
    fn longest_gap_hours(&self) -> f64 {
        self.0.longest_gap_hours
    }

    /// Mean air temperature, °C.
    #[getter]
    fn mean_temperature_c(&self) -> f64 {
        self.0.mean_temperature_c
    }

    /// Mean relative humidity, %.
    #[getter]
    fn mean_relative_humidity_pct(&self) -> f64 {
        self.0.mean_relative_humidity_pct
    }

    /// What a reader has to know before using the numbers, one sentence each.
    #[getter]
    fn findings(&self) -> Vec<String> {
        self.0.findings.iter().map(ToString::to_string).collect()
    }

    fn __repr__(&self) -> String {
        format!(
            "Wetness(hours_per_year={:.0}, wetness_class='{}', coverage={:.3})",
            self.0.hours_per_year, self.0.wetness_class, self.0.coverage
        )
    }
}

/// Time of wetness of two columns of hourly readings; NaN is a gap.
#[pyfunction]
fn time_of_wetness_columns(
    py: Python<'_>,
    temperature_c: Column<'_>,
    relative_humidity_pct: Column<'_>,
) -> Result<Wetness> {
    let (t, rh) = (temperature_c.as_slice()?, relative_humidity_pct.as_slice()?);
    Ok(Wetness(py.detach(|| core_time_of_wetness(t, rh))?))
}

/// An hourly record of air temperature and relative humidity.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(PartialEq)]
struct ClimateRecord(CoreRecord);

#[pymethods]
impl ClimateRecord {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// A record from CSV text or a CSV file.
    ///
    /// Parameters
    /// ----------
    /// text_or_path : str or path
    ///     With the columns `temperature_c` [°C], `relative_humidity_pct` [%] or `dew_point_c` [°C], and optionally `time`
    ///     (ISO 8601, by which missing rows are found).
    ///
    /// Returns
    /// -------
    /// ClimateRecord
    ///
    /// Raises
    /// ------
    /// TableError
    ///     A missing column; a bad value, with its row.
    /// OSError
    ///     A file that cannot be read.
    ///
    /// Examples
    /// --------
    /// >>> record = ClimateRecord.from_csv("temperature_c,relative_humidity_pct\n3.0,92.0\n18.0,60.0\n")
    /// >>> len(record), record.temperature_c.tolist()
    /// (2, [3.0, 18.0])
    #[staticmethod]
    fn from_csv(text_or_path: &Bound<'_, PyAny>) -> Result<Self> {
        let text = text_or_file("text_or_path", text_or_path, "climate record", Form::Lines)?;
        Ok(Self(CoreRecord::from_csv(&text)?))
    }

    /// A record from the text or file of an EnergyPlus weather record (EPW).
    ///
    /// Parameters
    /// ----------
    /// text_or_path : str or path
    ///     The eight lines of the header, then a line for each hour.
    ///
    /// Returns
    /// -------
    /// ClimateRecord
    ///
    /// Raises
    /// ------
    /// TableError
    ///     No such record; a bad value, with its row.
    /// OSError
    ///     A file that cannot be read.
    #[staticmethod]
    fn from_epw(text_or_path: &Bound<'_, PyAny>) -> Result<Self> {
        let text = text_or_file("text_or_path", text_or_path, "climate record", Form::Lines)?;
        Ok(Self(CoreRecord::from_epw(&text)?))
    }

    /// Time of wetness, means and gaps.
    ///
    /// Returns
    /// -------
    /// Wetness
    ///     Hours with more than 80% humidity above 0 °C (ISO 9223:2012), scaled to a year, and the means.
    ///
    /// Raises
    /// ------
    /// TableError
    ///     No step with both readings.
    ///
    /// Examples
    /// --------
    /// >>> record = ClimateRecord.from_csv("temperature_c,relative_humidity_pct\n3.0,92.0\n18.0,60.0\n")
    /// >>> record.wetness().counted_wet_hours
    /// 1.0
    fn wetness(&self) -> Result<Wetness> {
        Ok(Wetness(self.0.wetness()?))
    }

    /// Air temperature of every step, °C; NaN is a gap.
    #[getter]
    fn temperature_c<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        PyArray1::from_slice(py, self.0.temperature_c())
    }

    /// Relative humidity of every step, %; NaN is a gap.
    #[getter]
    fn relative_humidity_pct<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        PyArray1::from_slice(py, self.0.relative_humidity_pct())
    }

    /// Calendar month of every step, 1 to 12; None where the record has no times.
    #[getter]
    fn month<'py>(&self, py: Python<'py>) -> Option<Bound<'py, PyArray1<u8>>> {
        self.0.month().map(|month| PyArray1::from_slice(py, month))
    }

    /// Time between steps, h.
    #[getter]
    fn step_hours(&self) -> f64 {
        self.0.step_hours()
    }

    fn __len__(&self) -> usize {
        self.0.temperature_c().len()
    }
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(first_year_loss_scalar, module)?)?;
    module.add_function(wrap_pyfunction!(first_year_loss_columns, module)?)?;
    module.add_function(wrap_pyfunction!(first_year_losses_columns, module)?)?;
    module.add_function(wrap_pyfunction!(corrosivity_scalar, module)?)?;
    module.add_function(wrap_pyfunction!(corrosivity_by_mass, module)?)?;
    module.add_function(wrap_pyfunction!(corrosivity_column, module)?)?;
    module.add_function(wrap_pyfunction!(long_term_loss_scalar, module)?)?;
    module.add_function(wrap_pyfunction!(long_term_loss_columns, module)?)?;
    module.add_function(wrap_pyfunction!(time_of_wetness_columns, module)?)?;
    module.add_class::<Wetness>()?;
    module.add_class::<ClimateRecord>()
}
