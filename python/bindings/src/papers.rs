//! Papers of a build.

use pyo3::prelude::*;
use pyo3::types::PyTuple;

use crate::error::Result;
use crate::pickling::{Reduced, reduced, restored};
use crate::ranking::page_options;
use overcoat::papers::{OpenChoice, Papers as CorePapers, Units, papers as core_papers};

/// Process route, order note and acceptance plan of one build.
#[pyclass(frozen, module = "overcoat")]
pub(super) struct Papers(CorePapers);

impl Papers {
    pub(super) fn of(
        brief: &overcoat::brief::Brief,
        option: &overcoat::rank::RankedOption,
        catalog: &overcoat::catalog::Catalog,
        units: Option<&str>,
        (date, revision): (Option<String>, Option<String>),
    ) -> Result<Self> {
        let units = units.map_or(Ok(Units::of(brief)), str::parse)?;
        let papers = core_papers(brief, option, catalog, units)?;
        Ok(Self(papers.dated(date.as_deref(), revision.as_deref())))
    }
}

#[pymethods]
impl Papers {
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| other.get().0 == self.0)
    }

    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// All three as plain text, for a buyer, a plater and an inspector.
    ///
    /// Returns
    /// -------
    /// str
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> papers = ranking.best.papers()
    /// >>> papers.to_text() == str(papers)
    /// True
    fn to_text(&self) -> String {
        self.0.to_text()
    }

    /// All three as a fragment of HTML.
    ///
    /// Returns
    /// -------
    /// str
    ///     HTML without a document around it.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> papers = ranking.best.papers()
    /// >>> "<table" in papers.to_html()
    /// True
    fn to_html(&self) -> String {
        self.0.to_html()
    }

    /// All three as one self-contained HTML page, to be read or printed.
    ///
    /// Parameters
    /// ----------
    /// date, revision : str, optional
    ///     For papers that carry none; the date is today's where left out.
    ///
    /// Returns
    /// -------
    /// str
    ///     HTML that needs no other file.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     What is not text.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> papers = ranking.best.papers()
    /// >>> papers.page(date="2026-11-28").startswith("<!doctype html>")
    /// True
    #[pyo3(signature = (*, date=None, revision=None))]
    fn page(&self, date: Option<&Bound<'_, PyAny>>, revision: Option<&Bound<'_, PyAny>>) -> PyResult<String> {
        Ok(overcoat::report::papers_page(&self.0, &page_options(date, revision)?))
    }

    /// All three as JSON.
    ///
    /// Returns
    /// -------
    /// str
    ///     Schema `overcoat.papers.v2`.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> papers = ranking.best.papers()
    /// >>> import json
    /// >>> json.loads(papers.to_json())["schema"]
    /// 'overcoat.papers.v2'
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    /// The note for the drawing, one paragraph.
    #[getter]
    fn drawing_note(&self) -> &str {
        &self.0.order.drawing_note
    }

    /// Titles of the steps of the route, in order.
    #[getter]
    fn steps(&self) -> Vec<String> {
        self.0.route.steps.iter().map(|step| step.title.clone()).collect()
    }

    /// Choices that the order leaves open, each with the proposal; fill them in the JSON of the papers and read it again.
    #[getter]
    fn open_choices<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.order.open.iter().map(OpenChoice::in_words))
    }

    fn __str__(&self) -> String {
        self.0.to_text()
    }

    fn _repr_html_(&self) -> String {
        self.0.to_html()
    }

    fn __repr__(&self) -> String {
        format!(
            "Papers({}, {} steps, {} open choices)",
            self.0.build,
            self.0.route.steps.len(),
            self.0.order.open.len()
        )
    }
}
