//! How well supported #1 is, and what to measure next.

use pyo3::prelude::*;

use crate::pickling::{Reduced, reduced, restored};
use crate::ranking::Build;
use overcoat::rank::certainty::{
    FirstShare as CoreShare, MeasureNext as CoreNext, Measurement as CoreMeasurement,
};

/// How uncertain it is that one build is first.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct FirstShare(pub(super) CoreShare);

#[pymethods]
impl FirstShare {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// The build by catalog names.
    #[getter]
    fn build(&self) -> Build {
        Build(self.0.build.clone())
    }

    /// The build in the words of an order.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }

    /// Probability that it is truly first, all spreads and the weights moving.
    #[getter]
    fn probability(&self) -> f64 {
        self.0.probability
    }

    /// Standard error of the computation.
    #[getter]
    fn probability_se(&self) -> f64 {
        self.0.probability_se
    }

    /// The probability at the weights as given.
    #[getter]
    fn probability_at_given_weights(&self) -> f64 {
        self.0.probability_at_given_weights
    }

    fn __repr__(&self) -> String {
        format!(
            "FirstShare({}, probability={:.3}, probability_se={:.3})",
            self.0.build, self.0.probability, self.0.probability_se
        )
    }
}

/// What to measure so that one knows better which build to order.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct MeasureNext(pub(super) CoreNext);

#[pymethods]
impl MeasureNext {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// The builds to choose from, in the order of the ranking.
    #[getter]
    fn choice(&self) -> Vec<Build> {
        self.0.choice.iter().cloned().map(Build).collect()
    }

    /// Probability that each of them is truly the best of them.
    #[getter]
    fn probability_best(&self) -> Vec<f64> {
        self.0.probability_best.clone()
    }

    /// Probability that the likeliest of them is not.
    #[getter]
    fn chance_wrong(&self) -> f64 {
        self.0.chance_wrong
    }

    /// Score that would be gained on average if every uncertain value were known.
    #[getter]
    fn score_at_stake(&self) -> f64 {
        self.0.score_at_stake
    }

    /// What could be measured, the most valuable first.
    #[getter]
    fn measurements(&self) -> Vec<Measurement> {
        self.0.measurements.iter().cloned().map(Measurement).collect()
    }

    /// The most valuable measurement in words; says so where nothing is worth measuring.
    #[getter]
    fn sentence(&self) -> String {
        self.0.sentence()
    }

    /// All of it as JSON.
    ///
    /// Returns
    /// -------
    /// str
    ///     Choice, probabilities, measurements with their gain.
    ///
    /// Examples
    /// --------
    /// >>> from overcoat import rank
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> import json
    /// >>> len(json.loads(ranking.what_to_measure().to_json())["choice"])
    /// 2
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    fn __repr__(&self) -> String {
        format!("MeasureNext({})", self.0.sentence())
    }
}

/// A measurement and what it is worth.
#[pyclass(frozen, eq, module = "overcoat.types")]
#[derive(Clone, PartialEq)]
pub(super) struct Measurement(CoreMeasurement);

#[pymethods]
impl Measurement {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// `yearly means`, `steel specimens`, `cabinet reference`, `panels` or `field years`.
    #[getter]
    fn kind(&self) -> &'static str {
        self.0.kind.words()
    }

    /// What is measured, in words.
    #[getter]
    fn what(&self) -> &str {
        &self.0.what
    }

    /// Spread of the logarithm of what is measured, doubt alone, before.
    #[getter]
    fn log_sd_before(&self) -> f64 {
        self.0.log_sd_before
    }

    /// The same after it.
    #[getter]
    fn log_sd_after(&self) -> f64 {
        self.0.log_sd_after
    }

    /// Score gained on average by choosing after it instead of now.
    #[getter]
    fn score_gain(&self) -> f64 {
        self.0.score_gain
    }

    /// The same over what is at stake.
    #[getter]
    fn share_of_stake(&self) -> f64 {
        self.0.share_of_stake
    }

    /// Probability, on average, that the likeliest build is not the best after it.
    #[getter]
    fn chance_wrong_after(&self) -> f64 {
        self.0.chance_wrong_after
    }

    /// What its error is based on.
    #[getter]
    fn source(&self) -> String {
        self.0.source.to_string()
    }

    fn __repr__(&self) -> String {
        format!(
            "Measurement({:?}, share_of_stake={:.3}, chance_wrong_after={:.3})",
            self.0.what, self.0.share_of_stake, self.0.chance_wrong_after
        )
    }
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<FirstShare>()?;
    module.add_class::<MeasureNext>()?;
    module.add_class::<Measurement>()
}
