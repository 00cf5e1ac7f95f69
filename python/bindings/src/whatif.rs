//! What-if analyses: tables that move inputs, break-even, sensitivity, the best of each row.

use std::collections::BTreeMap;

use numpy::{IntoPyArray, PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::arguments::{argument, count, text};
use crate::documents::{Brief, Catalog, catalog_or_default};
use crate::error::Result;
use overcoat::atmosphere::DoseInputs;
use overcoat::error::{invalid, table_error};
use overcoat::finish::Build;
use overcoat::study::{
    BreakEven, Contest, Input, Measure, Results, SobolOutput, Study, bath_burden, category_up,
};

type Column<'py> = PyReadonlyArray1<'py, f64>;
/// at, kind, leader below, leader above, value of the first build, value of the second
type CrossingTuple = (f64, &'static str, &'static str, &'static str, f64, f64);
/// low, high, leader, whether the first build is blocked, whether the second is
type StretchTuple = (f64, f64, &'static str, bool, bool);

type PointTuple = (Vec<CrossingTuple>, Vec<StretchTuple>, String);
type TwoColumns<'py> = (Bound<'py, PyArray1<f64>>, Bound<'py, PyArray1<f64>>);

/// Whether Python has been asked to stop.
fn signals(py: Python<'_>) -> PyResult<()> {
    py.check_signals()
}

/// Depositions of SO2 and chloride with which each row falls into the next category.
#[pyfunction]
fn category_up_columns<'py>(
    py: Python<'py>,
    temperature_c: Column<'py>,
    relative_humidity_pct: Column<'py>,
    so2_mg_m2_day: Column<'py>,
    chloride_mg_m2_day: Column<'py>,
) -> Result<TwoColumns<'py>> {
    let (temperature_c, relative_humidity_pct) =
        (temperature_c.as_slice()?, relative_humidity_pct.as_slice()?);
    let (so2_mg_m2_day, chloride_mg_m2_day) = (so2_mg_m2_day.as_slice()?, chloride_mg_m2_day.as_slice()?);
    let rows = temperature_c.iter().zip(relative_humidity_pct).zip(so2_mg_m2_day).zip(chloride_mg_m2_day);
    let worse = rows.enumerate().map(|(row, (((t, rh), so2), chloride))| {
        let air = DoseInputs {
            temperature_c: *t,
            relative_humidity_pct: *rh,
            so2_mg_m2_day: *so2,
            chloride_mg_m2_day: *chloride,
        };
        category_up(&air).map_err(|error| {
            let column = error.field().to_owned();
            table_error(&column, Some(row + 1), error.to_string(), "Correct the row or leave it out.")
        })
    });
    let worse: Vec<DoseInputs> = worse.collect::<overcoat::Result<_>>()?;
    let column = |of: fn(&DoseInputs) -> f64| worse.iter().map(of).collect::<Vec<f64>>().into_pyarray(py);
    Ok((column(|air| air.so2_mg_m2_day), column(|air| air.chloride_mg_m2_day)))
}

/// Crossings, stretches and verdict of two builds over a range, once for each list of other inputs set first.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "one argument per question, named in Python")]
fn break_even_points(
    py: Python<'_>,
    brief: Brief,
    first: &Bound<'_, PyAny>,
    second: &Bound<'_, PyAny>,
    measure: &Bound<'_, PyAny>,
    input: &str,
    ends: (f64, f64),
    settings: Vec<Vec<(String, f64)>>,
    catalog: Option<Catalog>,
) -> Result<Vec<PointTuple>> {
    let catalog = catalog_or_default(catalog);
    let build = |given| -> Result<Build> { Ok(text("builds", given)?.parse()?) };
    let (first, second) = (build(first)?, build(second)?);
    let (measure, input) = (Measure::of(&text("measure", measure)?)?, Input::of(input)?);
    let contest = Contest { brief: &brief.0, catalog: &catalog, first: &first, second: &second, measure };
    let mut points = Vec::with_capacity(settings.len());
    for settings in settings {
        py.check_signals()?;
        let settings: Vec<(Input, f64)> = settings
            .iter()
            .map(|(name, value)| Ok((Input::of(name)?, *value)))
            .collect::<overcoat::Result<_>>()?;
        let found = py.detach(|| contest.break_even_at(&settings, input, ends.0, ends.1))?;
        points.push(tuples(&found));
    }
    Ok(points)
}

fn tuples(found: &BreakEven) -> PointTuple {
    let crossings = found.crossings.iter();
    let stretches = found.stretches.iter();
    (
        crossings.map(|c| (c.at, c.kind.name(), c.below.name(), c.above.name(), c.first, c.second)).collect(),
        stretches.map(|s| (s.low, s.high, s.leader.name(), s.first_blocked, s.second_blocked)).collect(),
        found.verdict(),
    )
}

/// Tornado, Sobol indices and shares of variance of one build, as columns.
#[pyfunction]
#[expect(clippy::too_many_arguments, reason = "one argument per question, named in Python")]
fn sensitivity_columns<'py>(
    py: Python<'py>,
    brief: Brief,
    build: &Bound<'py, PyAny>,
    measure: &Bound<'py, PyAny>,
    output: &Bound<'py, PyAny>,
    ranges: Vec<(String, f64, f64)>,
    log_sds: &Bound<'py, PyAny>,
    points: &Bound<'py, PyAny>,
    catalog: Option<Catalog>,
) -> Result<Bound<'py, PyDict>> {
    let catalog = catalog_or_default(catalog);
    let build: Build = text("build", build)?.parse()?;
    let (measure, output) =
        (Measure::of(&text("measure", measure)?)?, SobolOutput::of(&text("output", output)?)?);
    let log_sds: BTreeMap<String, f64> = argument(
        "log_sds",
        log_sds,
        "numbers by the names of factors",
        "Write them like {\"cabinet\": 0.1}.",
    )?;
    let points = count("points", points)?;
    let ranges: Vec<(Input, f64, f64)> = ranges
        .iter()
        .map(|(name, low, high)| Ok((Input::of(name)?, *low, *high)))
        .collect::<overcoat::Result<_>>()?;
    let mut signal = Ok(());
    let found = py.detach(|| -> overcoat::Result<_> {
        let study = Study::new(&brief.0, &catalog, &build, &ranges, &log_sds)?;
        let (option, bars) = (study.option()?, study.tornado(measure)?);
        let sobol = study.sobol_watched(output, points, || {
            signal = Python::attach(signals);
            let stopped = || invalid("points", "interrupted", "a run to its end", "Take fewer points.");
            if signal.is_ok() { Ok(()) } else { Err(stopped()) }
        })?;
        Ok((study, option, bars, sobol))
    });
    signal?;
    let (study, option, bars, sobol) = found?;
    let names = study.names();
    let answer = PyDict::new(py);
    answer.set_item("nominal", measure.value(&option))?;
    let shares: BTreeMap<String, f64> =
        option.outlook.variance_shares.iter().map(|share| (share.factor.to_string(), share.share)).collect();
    answer.set_item("variance_shares", shares)?;
    let tornado: Vec<(String, f64, f64, f64, f64, String)> = bars
        .into_iter()
        .map(|bar| (bar.name, bar.low, bar.high, bar.at_low, bar.at_high, bar.source.to_string()))
        .collect();
    answer.set_item("tornado", tornado)?;
    let indices: Vec<(String, f64, f64, f64, f64)> = names
        .into_iter()
        .zip(&sobol.indices)
        .map(|(name, i)| (name, i.first_order, i.first_order_error, i.total, i.total_error))
        .collect();
    answer.set_item("sobol", indices)?;
    answer.set_item("mean", sobol.mean)?;
    answer.set_item("variance", sobol.variance)?;
    answer.set_item("runs", sobol.runs)?;
    Ok(answer)
}

/// The results of a table, column by column.
fn results_of<'a>(
    row: &'a PyReadonlyArray1<'_, i64>,
    score: &'a Column<'_>,
    probability_ok: &'a Column<'_>,
    cost_per_thousand: Option<&'a Column<'_>>,
    blocked: &'a PyReadonlyArray1<'_, bool>,
    burden: Option<&'a Column<'_>>,
) -> PyResult<Results<'a>> {
    Ok(Results {
        row: row.as_slice()?,
        score: score.as_slice()?,
        probability_ok: probability_ok.as_slice()?,
        cost_per_thousand: cost_per_thousand.map(PyReadonlyArray1::as_slice).transpose()?,
        blocked: blocked.as_slice()?,
        burden: burden.map(PyReadonlyArray1::as_slice).transpose()?,
    })
}

/// Places of the best open build of each row, rows in the order of their first result, -1 where there is none.
#[pyfunction]
fn best_of_rows<'py>(
    py: Python<'py>,
    row: PyReadonlyArray1<'py, i64>,
    score: Column<'py>,
    probability_ok: Column<'py>,
    cost_per_thousand: Option<Column<'py>>,
    blocked: PyReadonlyArray1<'py, bool>,
    burden: Option<Column<'py>>,
) -> Result<Bound<'py, PyArray1<i64>>> {
    let results =
        results_of(&row, &score, &probability_ok, cost_per_thousand.as_ref(), &blocked, burden.as_ref())?;
    let best = py.detach(|| results.best())?;
    let place_of = |place: Option<usize>| place.and_then(|place| i64::try_from(place).ok()).unwrap_or(-1);
    let places: Vec<i64> = best.into_iter().map(place_of).collect();
    Ok(places.into_pyarray(py))
}

/// Whether in some row several open builds share rank 1.
#[pyfunction]
fn rows_have_ties<'py>(
    py: Python<'py>,
    row: PyReadonlyArray1<'py, i64>,
    score: Column<'py>,
    probability_ok: Column<'py>,
    cost_per_thousand: Option<Column<'py>>,
    blocked: PyReadonlyArray1<'py, bool>,
    burden: Option<Column<'py>>,
) -> Result<bool> {
    let results =
        results_of(&row, &score, &probability_ok, cost_per_thousand.as_ref(), &blocked, burden.as_ref())?;
    Ok(py.detach(|| results.has_ties())?)
}

/// Whether each result is on the Pareto front of its row.
#[pyfunction]
fn front_of_rows<'py>(
    py: Python<'py>,
    row: PyReadonlyArray1<'py, i64>,
    score: Column<'py>,
    probability_ok: Column<'py>,
    cost_per_thousand: Option<Column<'py>>,
    blocked: PyReadonlyArray1<'py, bool>,
    burden: Option<Column<'py>>,
) -> Result<Bound<'py, PyArray1<bool>>> {
    let results =
        results_of(&row, &score, &probability_ok, cost_per_thousand.as_ref(), &blocked, burden.as_ref())?;
    Ok(py.detach(|| results.on_front())?.into_pyarray(py))
}

/// What the bath of each treatment of the built-in catalog adds to the column `burden`.
#[pyfunction]
fn bath_burdens(treatments: Vec<String>) -> Vec<f32> {
    treatments.iter().map(|name| bath_burden(name, overcoat::Catalog::built_in())).collect()
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(category_up_columns, module)?)?;
    module.add_function(wrap_pyfunction!(break_even_points, module)?)?;
    module.add_function(wrap_pyfunction!(sensitivity_columns, module)?)?;
    module.add_function(wrap_pyfunction!(bath_burdens, module)?)?;
    module.add_function(wrap_pyfunction!(best_of_rows, module)?)?;
    module.add_function(wrap_pyfunction!(rows_have_ties, module)?)?;
    module.add_function(wrap_pyfunction!(front_of_rows, module)?)
}
