//! Rankings, their options, outlooks, findings and costs.

use std::collections::BTreeMap;
use std::sync::Arc;

use pyo3::exceptions::{PyIndexError, PyKeyError};
use pyo3::prelude::*;
use pyo3::types::{PySlice, PyString};

use crate::arguments::{argument, count, list, text};
use crate::certainty::{FirstShare, MeasureNext};
use crate::documents::{Brief, Catalog, Form, catalog_or_default, json_error, section, text_or_file};
use crate::error::Result;
use crate::papers::Papers;
use crate::pickling::{Reduced, reduced, restored};
use overcoat::catalog::Catalog as CoreCatalog;
use overcoat::check::Finding as CoreFinding;
use overcoat::life::Outlook as CoreOutlook;
use overcoat::rank::certainty::Effort;
use overcoat::rank::{Cost as CoreCost, RankedOption, Ranking as CoreRanking, rank as core_rank};
use overcoat::report::{self, BuildWords, PageOptions, TerminalOptions, factor_words};
use overcoat::study::Reason;

/// The builds of a brief, best first; blocked ones at the end.
#[pyclass(frozen, module = "overcoat")]
struct Ranking {
    ranking: Arc<CoreRanking>,
    catalog: Arc<CoreCatalog>,
}

impl Ranking {
    fn option(&self, index: usize) -> RankedBuild {
        self.build_at(Position::Option(index))
    }

    fn build_at(&self, position: Position) -> RankedBuild {
        RankedBuild { ranking: Arc::clone(&self.ranking), catalog: Arc::clone(&self.catalog), position }
    }
}

/// Readers of arguments with a default, each of which names its own.
macro_rules! counts {
    ($($name:ident)*) => {
        $(fn $name(value: &Bound<'_, PyAny>) -> PyResult<u32> {
            Ok(count(stringify!($name), value)?)
        })*
    };
}

counts! { among panels field_parts reference_specimens top }

#[pymethods]
impl Ranking {
    fn __len__(&self) -> usize {
        self.ranking.options.len()
    }

    /// The option of a place, the options of a slice as a list, or the option of a build.
    fn __getitem__<'py>(&self, py: Python<'py>, key: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
        let length = self.ranking.options.len();
        if let Ok(slice) = key.cast::<PySlice>() {
            let indices = slice.indices(isize::try_from(length).unwrap_or(isize::MAX))?;
            let mut options = Vec::new();
            let mut at = indices.start;
            for _ in 0..indices.slicelength {
                options.extend(usize::try_from(at).ok().map(|i| self.option(i)));
                at += indices.step;
            }
            return options.into_pyobject(py);
        }
        if let Some(build) = build_text(key)? {
            let place = self.ranking.options.iter().position(|option| option.build.to_string() == build);
            if let Some(place) = place {
                return Ok(Bound::new(py, self.option(place))?.into_any());
            }
            let builds: Vec<String> =
                self.ranking.options.iter().map(|option| option.build.to_string()).collect();
            let known = builds.iter().map(String::as_str);
            let error = overcoat::error::unknown("build", &build, known, "Use a build of the ranking.");
            return Err(PyKeyError::new_err(error.to_string()));
        }
        let index: isize = count_back("index", key)?;
        let position =
            if index < 0 { length.checked_sub(index.unsigned_abs()) } else { usize::try_from(index).ok() };
        match position.filter(|i| *i < length) {
            Some(i) => Ok(Bound::new(py, self.option(i))?.into_any()),
            None => Err(PyIndexError::new_err(format!("option {index} of {length}"))),
        }
    }

    /// Whether a build, or an option of this ranking, is among the options.
    fn __contains__(&self, value: &Bound<'_, PyAny>) -> PyResult<bool> {
        if let Ok(option) = value.cast::<RankedBuild>() {
            let wanted = option.get().core()?;
            return Ok(self.ranking.options.iter().any(|option| option == wanted));
        }
        let build = build_text(value)?;
        Ok(build.is_some_and(|build| self.ranking.options.iter().any(|o| o.build.to_string() == build)))
    }

    /// The inquiry that it answers.
    #[getter]
    fn brief(&self) -> Brief {
        Brief(self.ranking.brief.clone())
    }

    /// The atmosphere of the site: an object with `first_year_steel_loss_um` [µm], `category`, `determination` (how it was
    /// found), `log_sd`, `measured_over_computed` (what the outlook multiplies the loss by), `chloride_mg_m2_day` and `extrapolated`.
    #[getter]
    fn atmosphere<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        section(py, "Atmosphere", &serde_json::to_string(&self.ranking.atmosphere).map_err(json_error)?)
    }

    /// The ranking that `to_json` wrote.
    ///
    /// Parameters
    /// ----------
    /// text_or_path : str or path
    ///     JSON text or the path of a file of at most 512 MiB.
    /// catalog : Catalog, optional
    ///     The catalog that it was made with, for papers; the built-in one by default.
    ///
    /// Returns
    /// -------
    /// Ranking
    ///
    /// Raises
    /// ------
    /// DocumentError
    ///     A malformed document.
    #[staticmethod]
    #[pyo3(signature = (text_or_path, catalog=None))]
    fn from_json(text_or_path: &Bound<'_, PyAny>, catalog: Option<Catalog>) -> Result<Self> {
        let text = text_or_file("text_or_path", text_or_path, "ranking", Form::Json)?;
        Ok(Self { ranking: Arc::new(CoreRanking::from_json(&text)?), catalog: catalog_or_default(catalog) })
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        other.cast::<Self>().is_ok_and(|other| *other.get().ranking == *self.ranking)
    }

    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (String, Catalog))> {
        let read = py.get_type::<Self>().getattr("from_json")?.unbind();
        Ok((read, (self.ranking.to_json(), Catalog(Arc::clone(&self.catalog)))))
    }

    fn __iter__(&self) -> RankingIterator {
        RankingIterator {
            options: (0..self.ranking.options.len()).map(|i| self.option(i)).collect::<Vec<_>>().into_iter(),
        }
    }

    /// The best open build, or None where all are blocked.
    #[getter]
    fn best(&self) -> Option<RankedBuild> {
        self.ranking.best().map(|_| self.option(0))
    }

    /// The cheapest open build that reaches the probability asked for, or None where none does.
    #[getter]
    fn cheapest_met(&self) -> Option<RankedBuild> {
        let build = self.ranking.cheapest_met.as_ref()?;
        self.ranking.options.iter().position(|option| option.build == *build).map(|place| self.option(place))
    }

    /// The option to order: the best where it reaches the target or none does, else the cheapest that reaches it; None
    /// where all are blocked.
    #[getter]
    fn to_order(&self) -> Option<RankedBuild> {
        self.ranking.to_order().map(|place| self.option(place))
    }

    /// Where no blackened build meets the brief: finishes outside blackening and higher stainless grades.
    #[getter]
    fn references(&self) -> Vec<RankedBuild> {
        (0..self.ranking.references.len()).map(|i| self.build_at(Position::Reference(i))).collect()
    }

    /// The answer in one or two sentences.
    #[getter]
    fn verdict(&self) -> &str {
        &self.ranking.verdict
    }

    /// Whether the best build meets the brief.
    #[getter]
    fn met(&self) -> bool {
        self.ranking.met
    }

    /// The probability asked for [0 to 1], or the usual one where the brief says none.
    #[getter]
    fn target_probability(&self) -> f64 {
        self.ranking.target_probability()
    }

    /// What was assumed.
    #[getter]
    fn assumed(&self) -> Vec<String> {
        self.ranking.assumed.clone()
    }

    /// What was found odd about the brief.
    #[getter]
    fn remarks(&self) -> Vec<String> {
        self.ranking.remarks.clone()
    }

    /// Share of moved weights and spreads at which #1 stays first; None where several share the first rank.
    #[getter]
    fn stability(&self) -> Option<f64> {
        self.ranking.stability
    }

    /// How uncertain it is that each open build is truly first: probability that it has the highest score if every
    /// uncertain value were known, all spreads and the weights moving.
    ///
    /// Returns
    /// -------
    /// list of FirstShare
    ///     One for each open build, in the order of the ranking: `build`, `name`, `probability`, `probability_se`.
    ///
    /// Raises
    /// ------
    /// OvercoatError
    ///     A catalog other than that of the ranking.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> shares = ranking.truly_first()
    /// >>> round(sum(share.probability for share in shares), 6)
    /// 1.0
    fn truly_first(&self, py: Python<'_>) -> Result<Vec<FirstShare>> {
        let first = py.detach(|| self.ranking.truly_first(&self.catalog))?;
        Ok(first.shares.into_iter().map(FirstShare).collect())
    }

    /// What to measure next for the choice among the first builds, by the expected gain of each measurement.
    ///
    /// Parameters
    /// ----------
    /// among : int
    ///     How many of the first builds are to choose from, 2 or more.
    /// panels, field_parts, reference_specimens : int
    ///     How many of each a measurement would take.
    ///
    /// Returns
    /// -------
    /// MeasureNext
    ///     `measurements`, the most valuable first, `sentence`, `chance_wrong`, `score_at_stake`.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     Numbers out of range; fewer open builds than are to choose from.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> found = ranking.what_to_measure(among=2, panels=10)
    /// >>> len(found.choice), 0 <= found.chance_wrong <= 1
    /// (2, True)
    #[pyo3(signature = (among=2, panels=10, field_parts=10, reference_specimens=4))]
    fn what_to_measure(
        &self,
        py: Python<'_>,
        #[pyo3(from_py_with = among)] among: u32,
        #[pyo3(from_py_with = panels)] panels: u32,
        #[pyo3(from_py_with = field_parts)] field_parts: u32,
        #[pyo3(from_py_with = reference_specimens)] reference_specimens: u32,
    ) -> Result<MeasureNext> {
        let effort = Effort { panels, field_parts, reference_specimens };
        Ok(MeasureNext(py.detach(|| self.ranking.what_to_measure(among as usize, effort, &self.catalog))?))
    }

    /// What carries most of the uncertainty of the best build.
    #[getter]
    fn weakest_link(&self) -> Option<String> {
        self.ranking.weakest_link.clone()
    }

    /// Usual warnings.
    #[getter]
    fn cautions(&self) -> Vec<String> {
        self.ranking.cautions.clone()
    }

    /// Every source that the answer is based on.
    #[getter]
    fn sources(&self) -> Vec<String> {
        self.ranking.sources.iter().map(ToString::to_string).collect()
    }

    /// Paths of the values that user catalogs replaced, with the catalog that did.
    #[getter]
    fn overrides(&self) -> Vec<(String, String)> {
        self.ranking.overrides.iter().map(|o| (o.path.clone(), o.catalog.clone())).collect()
    }

    /// First-year loss of plain steel at the place, µm.
    #[getter]
    fn first_year_steel_loss_um(&self) -> f64 {
        self.ranking.atmosphere.first_year_steel_loss_um
    }

    /// Corrosivity category of the place for steel.
    #[getter]
    fn category(&self) -> String {
        self.ranking.atmosphere.category.to_string()
    }

    /// The ranking as JSON, schema `overcoat.ranking.v1`.
    ///
    /// Returns
    /// -------
    /// str
    ///     Text that `Ranking.from_json` reads back equal.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> Ranking.from_json(ranking.to_json()) == ranking
    /// True
    fn to_json(&self) -> String {
        self.ranking.to_json()
    }

    /// One row per build, as a pyarrow Table.
    ///
    /// Returns
    /// -------
    /// pyarrow.Table
    ///     The columns of results of `sweep`, then `rank`, `name`, `on_pareto_front`, `trade_default`,
    ///     `outside_blackening`, `first_reason` and the share of each criterion in what the score lacks to 1.
    ///
    /// Raises
    /// ------
    /// ImportError
    ///     The library is not installed: extra `frames`.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> ranking.to_arrow().num_rows == len(ranking)
    /// True
    fn to_arrow(slf: &Bound<'_, Self>) -> PyResult<Py<PyAny>> {
        frame(slf, "to_arrow")
    }

    /// One row per build, as a pandas DataFrame.
    ///
    /// Returns
    /// -------
    /// pandas.DataFrame
    ///     The columns of results of `sweep`, then `rank`, `name`, `on_pareto_front`, `trade_default`,
    ///     `outside_blackening`, `first_reason` and the share of each criterion in what the score lacks to 1.
    ///
    /// Raises
    /// ------
    /// ImportError
    ///     The library is not installed: extra `frames`.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> len(ranking.to_pandas()) == len(ranking)
    /// True
    fn to_pandas(slf: &Bound<'_, Self>) -> PyResult<Py<PyAny>> {
        frame(slf, "to_pandas")
    }

    /// One row per build, as a polars DataFrame.
    ///
    /// Returns
    /// -------
    /// polars.DataFrame
    ///     The columns of results of `sweep`, then `rank`, `name`, `on_pareto_front`, `trade_default`,
    ///     `outside_blackening`, `first_reason` and the share of each criterion in what the score lacks to 1.
    ///
    /// Raises
    /// ------
    /// ImportError
    ///     The library is not installed: extra `frames`.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> len(ranking.to_polars()) == len(ranking)
    /// True
    fn to_polars(slf: &Bound<'_, Self>) -> PyResult<Py<PyAny>> {
        frame(slf, "to_polars")
    }

    /// The answer as lines for a terminal, at most 30 of 80 columns.
    ///
    /// Returns
    /// -------
    /// str
    ///     What `print(ranking)` shows.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> max(len(line) for line in ranking.to_text().splitlines()) <= 80
    /// True
    fn to_text(&self) -> String {
        report::terminal(&self.ranking, &self.catalog, &TerminalOptions::default())
    }

    /// One self-contained HTML page: verdict, requirements, pictures, options, assumptions, what would change the
    /// answer.
    ///
    /// Parameters
    /// ----------
    /// top : int
    ///     Options in its table, 1 or more.
    /// date, revision : str, optional
    ///     What the page says of itself; the date is today's where left out.
    ///
    /// Returns
    /// -------
    /// str
    ///     HTML that needs no other file.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A number of options that is none.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> ranking.page(top=3, date="2026-11-28").startswith("<!doctype html>")
    /// True
    #[pyo3(signature = (top=6, *, date=None, revision=None))]
    fn page(
        &self,
        py: Python<'_>,
        #[pyo3(from_py_with = top)] top: u32,
        date: Option<&Bound<'_, PyAny>>,
        revision: Option<&Bound<'_, PyAny>>,
    ) -> Result<String> {
        let options = PageOptions { top: Some(top as usize), ..page_options(date, revision)? };
        Ok(py.detach(|| report::answer_page(&self.ranking, &self.catalog, &options))?)
    }

    /// The answer as a fragment of HTML, for notebooks.
    ///
    /// Parameters
    /// ----------
    /// top : int
    ///     Options in its table, 1 or more.
    ///
    /// Returns
    /// -------
    /// str
    ///     HTML without a document around it.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A number of options that is none.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> "<table" in ranking.fragment(top=2)
    /// True
    #[pyo3(signature = (top=6))]
    fn fragment(&self, #[pyo3(from_py_with = top)] top: u32) -> String {
        report::ranking_fragment(&self.ranking, &self.catalog, top as usize)
    }

    fn _repr_html_(&self) -> String {
        self.fragment(6)
    }

    /// As text.
    fn __str__(&self) -> String {
        self.to_text()
    }

    fn __repr__(&self) -> String {
        format!("Ranking({:?}, {} options)", self.ranking.verdict, self.ranking.options.len())
    }
}

fn frame(ranking: &Bound<'_, Ranking>, function: &str) -> PyResult<Py<PyAny>> {
    Ok(ranking.py().import("overcoat._table")?.getattr(function)?.call1((ranking,))?.unbind())
}

#[pyclass(module = "overcoat")]
struct RankingIterator {
    options: std::vec::IntoIter<RankedBuild>,
}

#[pymethods]
impl RankingIterator {
    fn __iter__(slf: PyRef<'_, Self>) -> PyRef<'_, Self> {
        slf
    }

    fn __next__(&mut self) -> Option<RankedBuild> {
        self.options.next()
    }
}

/// One build of a ranking.
#[pyclass(frozen, name = "Option", module = "overcoat")]
struct RankedBuild {
    ranking: Arc<CoreRanking>,
    catalog: Arc<CoreCatalog>,
    position: Position,
}

/// Where in a ranking a build stands.
#[derive(Clone, Copy)]
enum Position {
    Option(usize),
    Reference(usize),
}

impl RankedBuild {
    fn core(&self) -> PyResult<&RankedOption> {
        match self.position {
            Position::Option(index) => self.ranking.options.get(index),
            Position::Reference(index) => self.ranking.references.get(index),
        }
        .ok_or_else(|| PyIndexError::new_err("option of a ranking"))
    }
}

#[pymethods]
impl RankedBuild {
    /// What settles ties of the score, the lowest first, as the column `burden` of tables has it; None where the catalog at
    /// hand does not have the treatment.
    #[getter]
    fn burden(&self) -> PyResult<Option<f32>> {
        Ok(self.core()?.burden(&self.catalog).ok())
    }

    /// How many of its findings, more than notes, say that the part can break, its joint open or a welder be harmed, as the column `dangers` of
    /// tables has it.
    #[getter]
    fn dangers(&self) -> PyResult<usize> {
        Ok(self.core()?.dangers())
    }

    /// The rules whose findings block it, joined by commas, as the column `blocked_by` has them; None if it is open.
    #[getter]
    fn blocked_by(&self) -> PyResult<Option<String>> {
        Ok(self.core()?.blocked_by())
    }

    /// How well supported its years are, as the column `row_status` of tables has it: "ok" or "extrapolated", with
    /// "_beyond_evidence" where the required years exceed the longest life observed of such a build.
    #[getter]
    fn row_status(&self) -> PyResult<&'static str> {
        Ok(Reason::of_option(&self.ranking, self.core()?).word())
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> PyResult<bool> {
        let Ok(other) = other.cast::<Self>() else { return Ok(false) };
        Ok(self.core()? == other.get().core()?)
    }

    /// For pickling and copying: the ranking and the place in it.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (Ranking, bool, usize))> {
        let read = py.get_type::<Self>().getattr("_of")?.unbind();
        let ranking = Ranking { ranking: Arc::clone(&self.ranking), catalog: Arc::clone(&self.catalog) };
        Ok(match self.position {
            Position::Option(place) => (read, (ranking, false, place)),
            Position::Reference(place) => (read, (ranking, true, place)),
        })
    }

    /// The option at a place of a ranking.
    #[staticmethod]
    fn _of(ranking: &Bound<'_, Ranking>, reference: bool, place: usize) -> PyResult<Self> {
        let position = if reference { Position::Reference(place) } else { Position::Option(place) };
        let option = ranking.get().build_at(position);
        option.core()?;
        Ok(option)
    }

    /// The catalog that it was ranked with.
    #[getter]
    fn _catalog(&self) -> Catalog {
        Catalog(Arc::clone(&self.catalog))
    }

    /// The build by catalog names: base metal, treatment, films.
    #[getter]
    fn build(&self) -> PyResult<Build> {
        Ok(Build(self.core()?.build.clone()))
    }

    /// The build in the words of an order.
    #[getter]
    fn name(&self) -> PyResult<&str> {
        Ok(&self.core()?.name)
    }

    /// The build in the short words of a table: "steel 5.8, black oxide class 1, hard wax".
    #[getter]
    fn short_name(&self) -> PyResult<String> {
        Ok(BuildWords::of(&self.core()?.build, &self.catalog).line())
    }

    /// What the spread of the years comes from, in words, with the share of each factor [0 to 1], largest first.
    #[getter]
    fn spread_from(&self) -> PyResult<Vec<(String, f64)>> {
        let shares = self.core()?.outlook.variance_shares.iter();
        let mut named: Vec<_> =
            shares.map(|of| (factor_words(&of.factor, &self.catalog), of.share)).collect();
        named.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        Ok(named)
    }

    /// Place in the ranking from 1, the same for builds whose scores tie; None of a blocked build or a reference.
    #[getter]
    fn rank(&self) -> PyResult<Option<u32>> {
        Ok(self.core()?.rank)
    }

    /// Weighted geometric mean of the desirabilities, 0 to 1; 0 when blocked.
    #[getter]
    fn score(&self) -> PyResult<f64> {
        Ok(self.core()?.score.value)
    }

    /// Share of each criterion in what the score lacks to 1.
    #[getter]
    fn shares(&self) -> PyResult<BTreeMap<&'static str, f64>> {
        Ok(self.core()?.score.shares.iter().map(|s| (s.criterion.word(), s.share)).collect())
    }

    /// Desirability of each criterion, 0 to 1.
    #[getter]
    fn desirabilities(&self) -> PyResult<BTreeMap<&'static str, f64>> {
        Ok(self.core()?.score.shares.iter().map(|s| (s.criterion.word(), s.desirability)).collect())
    }

    /// Findings, gravest first.
    #[getter]
    fn findings(&self) -> PyResult<Vec<Finding>> {
        Ok(self.core()?.findings.iter().cloned().map(Finding).collect())
    }

    /// What a reader should see first.
    #[getter]
    fn first_reason(&self) -> PyResult<String> {
        Ok(self.core()?.first_reason())
    }

    /// Whether a finding blocks it.
    #[getter]
    fn blocked(&self) -> PyResult<bool> {
        Ok(self.core()?.blocked)
    }

    /// Whether it meets the probability asked for.
    #[getter]
    fn met(&self) -> PyResult<bool> {
        Ok(self.core()?.met)
    }

    /// Whether the required years are beyond what anyone has observed of such a finish, so that its probability is
    /// no statement.
    #[getter]
    fn beyond_evidence(&self) -> PyResult<bool> {
        Ok(self.core()?.beyond_evidence)
    }

    /// Whether it is what is delivered when nothing is specified.
    #[getter]
    fn trade_default(&self) -> PyResult<bool> {
        Ok(self.core()?.trade_default)
    }

    /// Whether its treatment belongs to another family than blackening, for example black zinc.
    #[getter]
    fn outside_blackening(&self) -> PyResult<bool> {
        Ok(self.core()?.outside_blackening)
    }

    /// Whether no other open build is both cheaper and likelier.
    #[getter]
    fn on_pareto_front(&self) -> PyResult<bool> {
        Ok(self.core()?.on_pareto_front)
    }

    /// Time to failure.
    #[getter]
    fn outlook(&self) -> PyResult<Outlook> {
        Ok(Outlook(self.core()?.outlook.clone()))
    }

    /// Process route, order note and acceptance plan of the build.
    ///
    /// Parameters
    /// ----------
    /// units : {"metric", "inch"}, optional
    ///     Units of lengths, temperatures and torques; those of the thread by default.
    /// date, revision : str, optional
    ///     What the papers carry of both.
    ///
    /// Returns
    /// -------
    /// Papers
    ///
    /// Raises
    /// ------
    /// UnknownNameError
    ///     Other units.
    /// OvercoatError
    ///     A catalog other than that of the ranking.
    ///
    /// Examples
    /// --------
    /// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
    /// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
    /// >>> papers = ranking.best.papers(units="metric")
    /// >>> len(papers.steps) > 3 and papers.drawing_note != ""
    /// True
    #[pyo3(signature = (units=None, *, date=None, revision=None))]
    fn papers(
        &self,
        units: Option<&Bound<'_, PyAny>>,
        date: Option<&Bound<'_, PyAny>>,
        revision: Option<&Bound<'_, PyAny>>,
    ) -> Result<Papers> {
        let units = units.map(|units| text("units", units)).transpose()?;
        let date = date.map(|date| text("date", date)).transpose()?;
        let revision = revision.map(|revision| text("revision", revision)).transpose()?;
        Papers::of(&self.ranking.brief, self.core()?, &self.catalog, units.as_deref(), (date, revision))
    }

    /// Cost per thousand pieces.
    #[getter]
    fn cost(&self) -> PyResult<Cost> {
        Ok(Cost(self.core()?.cost.clone()))
    }

    fn __repr__(&self) -> PyResult<String> {
        let option = self.core()?;
        Ok(format!(
            "Option({}, score={:.3}, median_years={:.2}{})",
            option.build,
            option.score.value,
            option.outlook.median_years,
            if option.blocked { ", blocked" } else { "" }
        ))
    }

    fn _repr_html_(&self) -> PyResult<String> {
        Ok(report::option_fragment(self.core()?, &self.catalog))
    }
}

/// A text that names a build: a build, or text that is one; none for anything else.
fn build_text(value: &Bound<'_, PyAny>) -> PyResult<Option<String>> {
    if let Ok(build) = value.cast::<Build>() {
        return Ok(Some(build.get().0.to_string()));
    }
    match value.cast::<PyString>() {
        // written as a ranking writes it, whatever the spaces
        Ok(text) => {
            let text: String = text.extract()?;
            Ok(Some(text.parse::<overcoat::finish::Build>().map_or(text, |build| build.to_string())))
        }
        Err(_) => Ok(None),
    }
}

fn count_back(field: &str, value: &Bound<'_, PyAny>) -> Result<isize> {
    argument(field, value, "a place, a slice or a build", "Take ranking[0], ranking[:3] or ranking[build].")
}

/// A build by catalog names: base metal, treatment and films, innermost first. It equals its text.
///
/// Parameters
/// ----------
/// base_metal : str
///     Catalog name of the base metal; or the whole build as a ranking prints it.
/// treatment : str, optional
///     Catalog name of the treatment; none where `base_metal` is the whole build.
/// films : sequence of str
///     Catalog names of the films, innermost first.
///
/// Raises
/// ------
/// BuildError
///     A text that is not a build.
///
/// Examples
/// --------
/// >>> Build("steel_8_8", "hot_alkaline", ("hard_wax",)) == "steel_8_8 / hot_alkaline / hard_wax"
/// True
#[pyclass(frozen, module = "overcoat")]
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct Build(pub(super) overcoat::finish::Build);

#[pymethods]
impl Build {
    #[new]
    #[pyo3(signature = (base_metal, treatment=None, films=None))]
    fn new(
        base_metal: &Bound<'_, PyAny>,
        treatment: Option<&Bound<'_, PyAny>>,
        films: Option<&Bound<'_, PyAny>>,
    ) -> Result<Self> {
        let base_metal = text("base_metal", base_metal)?;
        let Some(treatment) = treatment else { return Ok(Self(base_metal.parse()?)) };
        let films: Vec<String> = match films {
            Some(films) => list("films", films, "a list of catalog names", "Put the films in brackets.")?,
            None => Vec::new(),
        };
        // read back from its text, so that no name can stand for something else
        let build = overcoat::finish::Build::new(base_metal, text("treatment", treatment)?, films);
        Ok(Self(build.to_string().parse()?))
    }

    fn __eq__(&self, other: &Bound<'_, PyAny>) -> PyResult<bool> {
        if let Ok(other) = other.cast::<Self>() {
            return Ok(other.get().0 == self.0);
        }
        let Ok(other) = other.cast::<PyString>() else { return Ok(false) };
        Ok(other.extract::<String>()? == self.0.to_string())
    }

    fn __hash__(&self, py: Python<'_>) -> PyResult<isize> {
        PyString::new(py, &self.0.to_string()).hash()
    }

    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> (Py<PyAny>, (String,)) {
        (py.get_type::<Self>().into_any().unbind(), (self.0.to_string(),))
    }

    /// Catalog name of the base metal.
    #[getter]
    fn base_metal(&self) -> &str {
        &self.0.base_metal
    }

    /// Catalog name of the treatment.
    #[getter]
    fn treatment(&self) -> &str {
        &self.0.treatment
    }

    /// Catalog names of the films, innermost first.
    #[getter]
    fn films(&self) -> Vec<String> {
        self.0.films.clone()
    }

    fn __str__(&self) -> String {
        self.0.to_string()
    }

    fn __repr__(&self) -> String {
        format!("Build({})", self.0)
    }
}

/// Outcome of one check on one build.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
struct Finding(CoreFinding);

#[pymethods]
impl Finding {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// `blocks`, `needs`, `warns` or `notes`.
    #[getter]
    fn kind(&self) -> &'static str {
        self.0.kind.word()
    }

    /// The rule, for example `substrate.class`.
    #[getter]
    fn rule(&self) -> &str {
        &self.0.rule
    }

    /// What was found.
    #[getter]
    fn message(&self) -> &str {
        &self.0.message
    }

    /// What to do about it.
    #[getter]
    fn remedy(&self) -> Option<&str> {
        self.0.remedy.as_deref()
    }

    /// Where the rule comes from.
    #[getter]
    fn source(&self) -> String {
        self.0.source.to_string()
    }

    fn __repr__(&self) -> String {
        format!("Finding({} {}: {})", self.0.kind.word(), self.0.rule, self.0.message)
    }

    fn _repr_html_(&self) -> String {
        report::finding_fragment(&self.0)
    }
}

/// Time to failure of a build.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
struct Outlook(Arc<CoreOutlook>);

#[pymethods]
impl Outlook {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// Years that half of the cases exceed.
    #[getter]
    fn median_years(&self) -> f64 {
        self.0.median_years
    }

    /// Years that 90% of the cases exceed.
    #[getter]
    fn p10_years(&self) -> f64 {
        self.0.p10_years
    }

    /// Years that 10% of the cases exceed.
    #[getter]
    fn p90_years(&self) -> f64 {
        self.0.p90_years
    }

    /// Standard deviation of the natural logarithm of the years.
    #[getter]
    fn log_sd(&self) -> f64 {
        self.0.log_sd
    }

    /// Probability of no failure within the required years.
    #[getter]
    fn probability_ok(&self) -> f64 {
        self.0.probability_ok
    }

    /// Share of each uncertain factor in the variance.
    #[getter]
    fn variance_shares(&self) -> BTreeMap<String, f64> {
        self.0.variance_shares.iter().map(|v| (v.factor.to_string(), v.share)).collect()
    }

    /// Source of each uncertain factor.
    #[getter]
    fn variance_sources(&self) -> BTreeMap<String, String> {
        self.0.variance_shares.iter().map(|v| (v.factor.to_string(), v.source.to_string())).collect()
    }

    /// Layers that the heat of the duty destroys.
    #[getter]
    fn lost_layers(&self) -> Vec<String> {
        self.0.lost_layers.clone()
    }

    /// Share that never fails: of stainless steel, the surfaces that never stain.
    #[getter]
    fn never_fails(&self) -> f64 {
        self.0.never_fails
    }

    /// Longest life of such a build that anyone has observed, years; no years beyond it are given.
    #[getter]
    fn horizon_years(&self) -> f64 {
        self.0.horizon_years
    }

    /// Share of the variance that is based on assumptions, 0 to 1.
    #[getter]
    fn assumed_share(&self) -> f64 {
        self.0.assumed_share()
    }

    /// `dose and age` or `staining`.
    #[getter]
    fn basis(&self) -> &'static str {
        self.0.basis.words()
    }

    /// Firmness of the weakest source that matters.
    #[getter]
    fn weakest(&self) -> &'static str {
        self.0.weakest.words()
    }

    /// Probability of no failure within years; not a number beyond the horizon, where no evidence reaches.
    ///
    /// Parameters
    /// ----------
    /// years : float or sequence of float
    ///     Time [a], 0 or more.
    ///
    /// Returns
    /// -------
    /// float or list of float
    ///     Probability, 0 to 1; a list for a sequence.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A time below 0.
    fn survival<'py>(&self, py: Python<'py>, years: &Bound<'py, PyAny>) -> Result<Bound<'py, PyAny>> {
        let kept = |years: f64| Ok(self.0.survival(years)?.unwrap_or(f64::NAN));
        if years.len().is_err() {
            let probability: overcoat::Result<f64> = kept(crate::arguments::number("years", years)?);
            return Ok(probability?.into_pyobject(py)?.into_any());
        }
        let years: Vec<f64> = list("years", years, "a number or a list of numbers", "Put them in brackets.")?;
        let found: Vec<f64> = years.into_iter().map(kept).collect::<overcoat::Result<_>>()?;
        Ok(found.into_pyobject(py)?)
    }

    /// Years that a share of the cases stays below, at most the horizon [a].
    ///
    /// Parameters
    /// ----------
    /// p : float
    ///     Share of the cases, 0 to 1.
    ///
    /// Returns
    /// -------
    /// float
    ///     Years [a].
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A share outside 0 to 1.
    fn quantile(&self, p: &Bound<'_, PyAny>) -> Result<f64> {
        Ok(self.0.quantile(crate::arguments::number("p", p)?)?)
    }

    fn __repr__(&self) -> String {
        format!(
            "Outlook(median_years={:.3}, p10_years={:.3}, p90_years={:.3}, probability_ok={:.4})",
            self.0.median_years, self.0.p10_years, self.0.p90_years, self.0.probability_ok
        )
    }

    fn _repr_html_(&self) -> String {
        report::outlook_fragment(&self.0)
    }
}

/// Cost per thousand pieces over the required years.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
struct Cost(CoreCost);

#[pymethods]
impl Cost {
    /// For pickling and copying.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<Reduced> {
        reduced::<Self>(py, &self.0)
    }

    /// What a pickle holds.
    #[staticmethod]
    fn _from_json(text: &str) -> PyResult<Self> {
        Ok(Self(restored(text)?))
    }

    /// Currency of the catalog.
    #[getter]
    fn currency(&self) -> &str {
        &self.0.currency
    }

    /// Over the required years, replacements included.
    #[getter]
    fn per_thousand(&self) -> f64 {
        self.0.per_thousand
    }

    /// Delivered once.
    #[getter]
    fn purchase_per_thousand(&self) -> f64 {
        self.0.purchase_per_thousand
    }

    /// How often the parts are replaced within the required years.
    #[getter]
    fn replacements(&self) -> f64 {
        self.0.replacements
    }

    /// (item, amount per thousand, source) of each line; the amounts sum to `per_thousand`.
    #[getter]
    fn lines(&self) -> Vec<(String, f64, String)> {
        self.0.lines.iter().map(|l| (l.item.to_string(), l.per_thousand, l.source.to_string())).collect()
    }

    fn __float__(&self) -> f64 {
        self.0.per_thousand
    }

    fn __repr__(&self) -> String {
        format!("Cost({:.2} {} per thousand)", self.0.per_thousand, self.0.currency)
    }
}

/// What a page says of itself, from the arguments that say so.
pub(super) fn page_options(
    date: Option<&Bound<'_, PyAny>>,
    revision: Option<&Bound<'_, PyAny>>,
) -> PyResult<PageOptions> {
    let date = date.map(|date| text("date", date)).transpose()?;
    let revision = revision.map(|revision| text("revision", revision)).transpose()?;
    Ok(PageOptions { date: date.unwrap_or_else(report::today), revision, ..PageOptions::default() })
}

/// The builds of a brief, ranked: each with its findings, its years with how sure they are, its cost and its score.
///
/// Parameters
/// ----------
/// brief : Brief, dict, str or path
///     The inquiry; a dictionary as `Brief.from_dict` takes it, JSON text or the path of a JSON file.
/// catalog : Catalog, optional
///     Base metals, treatments, films, places and prices; the built-in ones by default.
///
/// Returns
/// -------
/// Ranking
///     A sequence of options, best first and blocked ones at the end: `ranking[0]`, `ranking[:3]`, `ranking[build]`,
///     `build in ranking`.
///
/// Raises
/// ------
/// UnknownNameError
///     A base metal, treatment, film or place that the catalog does not have, with the nearest one.
/// InvalidValueError, DocumentError
///     A value out of range, a contradiction, an unknown field.
/// BuildError
///     Films in an order that cannot be made.
///
/// Examples
/// --------
/// >>> ranking = rank({"part": {"form": "bracket", "base_metal": "steel_4_6"},
/// ...                 "duty": {"place": "indoor_heated", "required_years": 10}})
/// >>> ranking.best.met
/// True
#[pyfunction]
#[pyo3(signature = (brief, catalog=None))]
fn rank(py: Python<'_>, brief: Brief, catalog: Option<Catalog>) -> Result<Ranking> {
    let catalog = catalog_or_default(catalog);
    let ranking = py.detach(|| core_rank(&brief.0, &catalog))?;
    Ok(Ranking { ranking: Arc::new(ranking), catalog })
}

/// A probability in percent; never a flat 0 or 100% for what is merely near.
#[pyfunction]
fn percent_in_words(probability: f64) -> String {
    report::percent(probability)
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<Ranking>()?;
    module.add_class::<RankedBuild>()?;
    module.add_class::<Build>()?;
    module.add_class::<Finding>()?;
    module.add_class::<Outlook>()?;
    module.add_class::<Cost>()?;
    module.add_function(wrap_pyfunction!(percent_in_words, module)?)?;
    module.add_function(wrap_pyfunction!(rank, module)?)
}
