//! Briefs and catalogs: JSON in, JSON out.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use pyo3::exceptions::PyValueError;
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyString};

use crate::arguments::{argument, list, refused, text};
use crate::error::{Refusal, Result};
use overcoat::brief::Brief as CoreBrief;
use overcoat::catalog::Catalog as CoreCatalog;
use overcoat::catalog::strict_json::{MOST_BYTES, too_long};
use overcoat::error::InvalidDocument;
use overcoat::finish::Build;
use overcoat::report::{BuildWords, factor_words};

/// How a document is written, which tells its text from a path and how long it may be.
#[derive(Clone, Copy)]
pub(super) enum Form {
    /// JSON.
    Json,
    /// A line for each record.
    Lines,
}

impl Form {
    fn is_text(self, text: &str) -> bool {
        let start = text.trim_start_matches('\u{feff}').trim_start();
        let begins = start.is_empty() || start.starts_with(['{', '[', '"']);
        text.contains('\n') || (matches!(self, Self::Json) && begins)
    }

    /// Longest file that is read, bytes; for lines, enough for the longest climate record (assumption).
    fn most_bytes(self) -> u64 {
        match self {
            Self::Json => MOST_BYTES as u64,
            Self::Lines => 512 << 20,
        }
    }
}

/// The text itself, or the content of the file that it names. Of a file that is too long, or a device or pipe that
/// never ends, no more is read than tells so.
pub(super) fn text_or_file(
    field: &str,
    given: &Bound<'_, PyAny>,
    document: &str,
    form: Form,
) -> Result<String> {
    let path = if let Ok(text) = given.cast::<PyString>() {
        let text = argument::<String>(field, text, "text of Unicode characters", "Write it again.")?;
        if form.is_text(&text) {
            return Ok(text);
        }
        PathBuf::from(text)
    } else {
        let allowed = format!("the text of a {document}, or the path of a file");
        argument(field, given, &allowed, "Pass one of them.")?
    };
    let most = form.most_bytes();
    // whoever writes into a pipe may be a thread of the same Python
    let bytes = given
        .py()
        .detach(|| bytes_of(&path, most))
        .map_err(|e| pyo3::exceptions::PyOSError::new_err((e.raw_os_error(), e.to_string(), path.clone())))?;
    let Some(bytes) = bytes else {
        return Err(too_long(document, &path.display().to_string(), most).into());
    };
    String::from_utf8(bytes).map_err(|e| {
        overcoat::Error::from(InvalidDocument {
            document: document.to_owned(),
            field: ".".into(),
            reason: format!("{} is not UTF-8: {e}", path.display()),
            nearest: None,
            remedy: "Save the file as UTF-8.".into(),
        })
        .into()
    })
}

/// The content of a file, or none where it is longer than `most`.
fn bytes_of(path: &Path, most: u64) -> std::io::Result<Option<Vec<u8>>> {
    let file = std::fs::File::open(path)?;
    let mut bytes = Vec::new();
    let long = file.metadata()?.len() > most || file.take(most + 1).read_to_end(&mut bytes)? as u64 > most;
    Ok((!long).then_some(bytes))
}

/// The text of a brief that is not yet read: as it is given, or of the file that it names.
#[pyfunction]
fn brief_text(text_or_path: &Bound<'_, PyAny>) -> Result<String> {
    let text = text_or_file("text_or_path", text_or_path, "brief", Form::Json)?;
    if text.len() > MOST_BYTES {
        return Err(too_long("brief", "the text", MOST_BYTES as u64).into());
    }
    Ok(text)
}

/// The brief of JSON text whose numbers may be text with a unit, as the command reads a file.
#[pyfunction]
fn brief_with_units(text: &str) -> Result<Brief> {
    Ok(Brief(CoreBrief::from_json_with_units(text)?))
}

/// One inquiry: part, duty and wants.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
pub(super) struct Brief(pub(super) CoreBrief);

impl<'py> FromPyObject<'_, 'py> for Brief {
    type Error = Refusal;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> Result<Self> {
        if let Ok(brief) = given.cast::<Self>() {
            return Ok(brief.get().clone());
        }
        match document_of(&given, "brief")? {
            Some(text) => Ok(Self(CoreBrief::from_json_with_units(&text)?)),
            None => Err(refused(
                "brief",
                &given,
                "a Brief, a dictionary, JSON text or the path of a JSON file",
                "Make one with `Brief(part=..., duty=...)`.",
            )),
        }
    }
}

/// The JSON text of a dictionary, of JSON text or of a file; none for anything else.
fn document_of(given: &Bound<'_, PyAny>, document: &str) -> Result<Option<String>> {
    if given.cast::<PyMapping>().is_ok() {
        return Ok(Some(json_of(given, document)?));
    }
    if given.cast::<PyString>().is_ok() || given.hasattr(intern!(given.py(), "__fspath__"))? {
        return text_or_file(document, given, document, Form::Json).map(Some);
    }
    Ok(None)
}

/// A dictionary as JSON text, quantities with units in the units that the names of their fields end in.
fn json_of(given: &Bound<'_, PyAny>, document: &str) -> PyResult<String> {
    helper(given.py(), "json_of")?.call1((given, document))?.extract()
}

fn helper<'py>(py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("overcoat._documents")?.getattr(name)
}

/// A part of a document as an object whose attributes are its fields.
pub(super) fn section<'py>(py: Python<'py>, title: &str, json: &str) -> PyResult<Bound<'py, PyAny>> {
    helper(py, "section")?.call1((title, json))
}

/// What JSON itself rejects.
pub(super) fn json_error(error: serde_json::Error) -> PyErr {
    PyValueError::new_err(error.to_string())
}

#[pymethods]
impl Brief {
    /// Makes a brief from its sections.
    ///
    /// Parameters
    /// ----------
    /// name : str
    ///     What the inquiry is called.
    /// part, duty, wants : dict
    ///     Fields of each section, named like those of the JSON document (`overcoat.schema("brief")` lists them with their units).
    ///     A number may be a pint quantity or text with a unit, for example `"285 °F"`.
    /// remarks : str, optional
    ///     Remarks for the reader.
    ///
    /// Raises
    /// ------
    /// DocumentError
    ///     An unknown field, with the nearest known name; a value of another type.
    /// InvalidValueError
    ///     A value out of range.
    ///
    /// Examples
    /// --------
    /// >>> brief = Brief(name="gate", part={"base_metal": "steel_4_6"}, duty={"place": "rural", "required_years": 5})
    /// >>> brief.duty.required_years
    /// 5.0
    #[new]
    #[pyo3(signature = (name="inquiry", part=None, duty=None, wants=None, remarks=None))]
    fn new(
        py: Python<'_>,
        name: &str,
        part: Option<&Bound<'_, PyAny>>,
        duty: Option<&Bound<'_, PyAny>>,
        wants: Option<&Bound<'_, PyAny>>,
        remarks: Option<&str>,
    ) -> Result<Self> {
        let document = PyDict::new(py);
        document.set_item("schema", overcoat::brief::BRIEF_SCHEMA)?;
        document.set_item("name", name)?;
        if let Some(remarks) = remarks {
            document.set_item("remarks", remarks)?;
        }
        for (title, given) in [("part", part), ("duty", duty), ("wants", wants)] {
            match given {
                Some(given) => document.set_item(title, given)?,
                None => document.set_item(title, PyDict::new(py))?,
            }
        }
        Ok(Self(CoreBrief::from_json_with_units(&json_of(&document, "brief")?)?))
    }

    /// The brief of JSON text or of a JSON file.
    ///
    /// Parameters
    /// ----------
    /// text_or_path : str or path
    ///     JSON text, or the path of a file of at most 16 MiB.
    ///
    /// Returns
    /// -------
    /// Brief
    ///
    /// Raises
    /// ------
    /// DocumentError, InvalidValueError
    ///     A malformed document, an unknown field with the nearest known name, a value out of range.
    /// OSError
    ///     A file that cannot be read.
    #[staticmethod]
    fn from_json(text_or_path: &Bound<'_, PyAny>) -> Result<Self> {
        let text = text_or_file("text_or_path", text_or_path, "brief", Form::Json)?;
        Ok(Self(CoreBrief::from_json_with_units(&text)?))
    }

    /// The brief of a dictionary, which may leave out `schema` and `name`.
    ///
    /// Parameters
    /// ----------
    /// document : dict
    ///     As the JSON document; numbers may be quantities with units, like those of `Brief(...)`.
    ///
    /// Returns
    /// -------
    /// Brief
    ///
    /// Raises
    /// ------
    /// DocumentError, InvalidValueError
    ///     As `from_json`.
    ///
    /// Examples
    /// --------
    /// >>> Brief.from_dict({"part": {}, "duty": {"place": "rural", "required_years": 5}}).duty.place
    /// 'rural'
    #[staticmethod]
    fn from_dict(document: &Bound<'_, PyAny>) -> Result<Self> {
        if document.cast::<PyMapping>().is_err() {
            return Err(refused("document", document, "a dictionary", "Read JSON with `Brief.from_json`."));
        }
        Ok(Self(CoreBrief::from_json_with_units(&json_of(document, "brief")?)?))
    }

    /// The brief as a dictionary of plain values.
    ///
    /// Returns
    /// -------
    /// dict
    ///     `Brief.from_dict` reads it back equal.
    ///
    /// Examples
    /// --------
    /// >>> brief = Brief(duty={"place": "rural", "required_years": 5})
    /// >>> brief.to_dict()["duty"]["place"], Brief.from_dict(brief.to_dict()) == brief
    /// ('rural', True)
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        py.import("json")?.getattr("loads")?.call1((self.0.to_json(),))
    }

    /// The brief as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     `Brief.from_json` reads it back equal.
    ///
    /// Examples
    /// --------
    /// >>> brief = Brief(duty={"place": "rural", "required_years": 5})
    /// >>> Brief.from_json(brief.to_json()) == brief
    /// True
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    /// A copy of the brief with some fields replaced.
    ///
    /// Parameters
    /// ----------
    /// **fields
    ///     Fields of the part, the duty or the wants by their own names, for example `required_years=5, place="rural"`; a
    ///     nested one by `**{"road_salt.months_per_year": 4}`; `name` and `remarks`; or `part`, `duty` and `wants` as
    ///     dictionaries that replace the whole section. None removes a field.
    ///
    /// Returns
    /// -------
    /// Brief
    ///
    /// Raises
    /// ------
    /// UnknownNameError
    ///     A name that is not a field, with the nearest one.
    /// DocumentError, InvalidValueError
    ///     A value of another type or out of range.
    ///
    /// Examples
    /// --------
    /// >>> brief = Brief(part={}, duty={"place": "coastal", "required_years": 10})
    /// >>> brief.replace(required_years=5, place="rural").duty.place
    /// 'rural'
    #[pyo3(signature = (**fields))]
    fn replace(&self, fields: Option<&Bound<'_, PyDict>>) -> Result<Self> {
        let Some(fields) = fields else { return Ok(self.clone()) };
        let json: serde_json::Value = serde_json::from_str(&json_of(fields, "fields")?).map_err(|error| {
            let remedy = "Pass numbers that a float64 holds and text of Unicode characters.";
            overcoat::error::invalid("fields", error, "values that JSON holds", remedy)
        })?;
        let mut document = serde_json::to_value(&self.0).map_err(json_error)?;
        let mut moved = Vec::new();
        for (name, value) in json.as_object().into_iter().flatten() {
            match (name.as_str(), document.as_object_mut()) {
                ("part" | "duty" | "wants", Some(document)) => {
                    document.insert(name.clone(), value.clone());
                }
                _ => moved.push((name.as_str(), value.clone())),
            }
        }
        let brief = CoreBrief::from_json(&document.to_string())?;
        Ok(Self(brief.replaced(moved)?))
    }

    /// What the inquiry is called.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }

    /// The part: an object with an attribute for each field, None where the brief leaves it out.
    #[getter]
    fn part<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        section(py, "Part", &serde_json::to_string(&self.0.part).map_err(json_error)?)
    }

    /// The duty: an object with an attribute for each field, None where the brief leaves it out.
    #[getter]
    fn duty<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        section(py, "Duty", &serde_json::to_string(&self.0.duty).map_err(json_error)?)
    }

    /// The wants: an object with an attribute for each field, None where the brief leaves it out.
    #[getter]
    fn wants<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        section(py, "Wants", &serde_json::to_string(&self.0.wants).map_err(json_error)?)
    }

    /// For pickling, which sends a brief to other processes and machines.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?.unbind(), (self.to_json(),)))
    }

    fn __repr__(&self) -> String {
        format!("Brief({:?}, required_years={})", self.0.name, self.0.duty.required_years)
    }

    fn _repr_html_(&self) -> String {
        overcoat::report::brief_fragment(&self.0)
    }
}

static BUILT_IN: LazyLock<Arc<CoreCatalog>> = LazyLock::new(|| Arc::new(CoreCatalog::default()));

/// The catalog given, else the one that comes with overcoat; shared, so that no call copies it.
pub(super) fn catalog_or_default(catalog: Option<Catalog>) -> Arc<CoreCatalog> {
    catalog.map_or_else(|| Arc::clone(&BUILT_IN), |catalog| catalog.0)
}

/// Builds as they are written; none stays none.
pub(super) fn builds_of(texts: Option<&Bound<'_, PyAny>>) -> Result<Option<Vec<Build>>> {
    let Some(texts) = texts else { return Ok(None) };
    let texts: Vec<String> = list("builds", texts, "a list of texts", "Write them as a ranking does.")?;
    Ok(Some(texts.iter().map(|text| text.parse()).collect::<overcoat::Result<_>>()?))
}

/// Base metals, treatments, films, places and prices, with sources.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
pub(super) struct Catalog(pub(super) Arc<CoreCatalog>);

impl<'py> FromPyObject<'_, 'py> for Catalog {
    type Error = Refusal;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> Result<Self> {
        if let Ok(catalog) = given.cast::<Self>() {
            return Ok(catalog.get().clone());
        }
        match document_of(&given, "catalog")? {
            Some(text) => Ok(Self(Arc::new(CoreCatalog::from_json(&text)?))),
            None => Err(refused(
                "catalog",
                &given,
                "a Catalog, a dictionary, JSON text or the path of a JSON file",
                "Read one with `Catalog.from_json`, or leave it out.",
            )),
        }
    }
}

#[pymethods]
impl Catalog {
    /// The catalog that comes with overcoat.
    ///
    /// Returns
    /// -------
    /// Catalog
    ///
    /// Examples
    /// --------
    /// >>> Catalog.default().name
    /// 'built-in'
    #[staticmethod]
    fn default() -> Self {
        Self(Arc::clone(&BUILT_IN))
    }

    /// Whether both are one object, and not merely alike.
    fn _is(&self, other: &Bound<'_, Self>) -> bool {
        Arc::ptr_eq(&self.0, &other.get().0)
    }

    /// The default catalog extended by a user catalog.
    ///
    /// Parameters
    /// ----------
    /// text_or_path : str or path
    ///     JSON text, or the path of a file of at most 16 MiB (`overcoat.schema("catalog")` lists the fields).
    ///
    /// Returns
    /// -------
    /// Catalog
    ///
    /// Raises
    /// ------
    /// DocumentError, InvalidValueError, UnknownNameError
    ///     A malformed document, an unknown field, an incomplete entry, a number without a source.
    #[staticmethod]
    fn from_json(text_or_path: &Bound<'_, PyAny>) -> Result<Self> {
        Ok(Self(Arc::new(CoreCatalog::from_json(&text_or_file(
            "text_or_path",
            text_or_path,
            "catalog",
            Form::Json,
        )?)?)))
    }

    /// The default catalog extended by a user catalog that is a dictionary.
    ///
    /// Parameters
    /// ----------
    /// document : dict
    ///     As the JSON document.
    ///
    /// Returns
    /// -------
    /// Catalog
    ///
    /// Raises
    /// ------
    /// DocumentError, InvalidValueError, UnknownNameError
    ///     As `from_json`.
    #[staticmethod]
    fn from_dict(document: &Bound<'_, PyAny>) -> Result<Self> {
        if document.cast::<PyMapping>().is_err() {
            return Err(refused("document", document, "a dictionary", "Read JSON with `Catalog.from_json`."));
        }
        Ok(Self(Arc::new(CoreCatalog::from_json(&json_of(document, "catalog")?)?)))
    }

    /// This catalog extended by a further one.
    ///
    /// Parameters
    /// ----------
    /// further : dict, Catalog, FittedRecords, FieldUpdate, str or path
    ///     A user catalog as a dictionary, as JSON text or as a file; another catalog, of which everything counts that
    ///     this one has not; what records taught, as the entry that `catalog_entry` writes.
    ///
    /// Returns
    /// -------
    /// Catalog
    ///
    /// Raises
    /// ------
    /// DocumentError, InvalidValueError, UnknownNameError
    ///     As `from_json`; records that were fitted without a `film`.
    fn extended(&self, further: &Bound<'_, PyAny>) -> Result<Self> {
        let text = if let Ok(catalog) = further.cast::<Self>() {
            let theirs = catalog.get().0.to_json();
            helper(further.py(), "what_differs")?
                .call1((self.0.to_json(), theirs, catalog.get().0.name()))?
                .extract()?
        } else if further.hasattr("catalog_entry")? {
            helper(further.py(), "entry_of")?.call1((further,))?.extract()?
        } else {
            document_of(further, "catalog")?.ok_or_else(|| {
                let allowed = "a dictionary, a Catalog, fitted records, JSON text or the path of a JSON file";
                refused("further", further, allowed, "Pass one of them.")
            })?
        };
        Ok(Self(Arc::new(self.0.extended(&text)?)))
    }

    /// The whole catalog as JSON.
    ///
    /// Returns
    /// -------
    /// str
    ///     Schema `overcoat.catalog.v1`, with every entry and source.
    ///
    /// Examples
    /// --------
    /// >>> import json
    /// >>> sorted(json.loads(Catalog.default().to_json()))[:3]
    /// ['base_metals', 'films', 'hazards']
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    /// Name of the last user catalog, or `built-in`.
    #[getter]
    fn name(&self) -> &str {
        self.0.name()
    }

    /// A build in the short words of a table, by the names of this catalog.
    ///
    /// Parameters
    /// ----------
    /// build : Build or str
    ///     The build, as an object or as a table has it. One that the catalog does not know keeps its own names.
    ///
    /// Returns
    /// -------
    /// str
    ///     Base metal, process, coats.
    ///
    /// Raises
    /// ------
    /// BuildError, UnknownNameError
    ///     A text that is not a build.
    ///
    /// Examples
    /// --------
    /// >>> Catalog.default().in_words("steel_5_8 / hot_alkaline / hard_wax")
    /// 'steel 5.8, black oxide class 1, hard wax'
    fn in_words(&self, build: &Bound<'_, PyAny>) -> Result<String> {
        let build: Build = match build.cast::<crate::ranking::Build>() {
            Ok(build) => build.get().0.clone(),
            Err(_) => text("build", build)?.parse()?,
        };
        Ok(BuildWords::of(&build, &self.0).line())
    }

    /// A factor of an outlook in words, by the names of this catalog.
    ///
    /// Parameters
    /// ----------
    /// factor : str
    ///     As `Outlook.variance_shares` names it.
    ///
    /// Returns
    /// -------
    /// str
    ///     The factor; one that is unknown as it came in.
    ///
    /// Raises
    /// ------
    /// InvalidValueError
    ///     A factor that is not text.
    ///
    /// Examples
    /// --------
    /// >>> Catalog.default().factor_in_words("field factor of hard_wax")
    /// 'field life of hard wax'
    fn factor_in_words(&self, factor: &Bound<'_, PyAny>) -> Result<String> {
        Ok(factor_words(&text("factor", factor)?, &self.0))
    }

    /// Names of the base metals.
    #[getter]
    fn base_metals(&self) -> Vec<String> {
        self.0.content().base_metals.keys().cloned().collect()
    }

    /// Names of the treatments.
    #[getter]
    fn treatments(&self) -> Vec<String> {
        self.0.content().treatments.keys().cloned().collect()
    }

    /// Names of the films.
    #[getter]
    fn films(&self) -> Vec<String> {
        self.0.content().films.keys().cloned().collect()
    }

    /// Names of the described places.
    #[getter]
    fn places(&self) -> Vec<String> {
        self.0.content().places.keys().cloned().collect()
    }

    /// Paths of the values that user catalogs replaced, with the catalog that did.
    #[getter]
    fn overrides(&self) -> Vec<(String, String)> {
        self.0.overrides().iter().map(|o| (o.path.clone(), o.catalog.clone())).collect()
    }

    /// Sources by key: (firmness, citation).
    #[getter]
    fn sources(&self) -> std::collections::BTreeMap<String, (String, String)> {
        self.0
            .content()
            .sources
            .iter()
            .map(|(key, s)| (key.clone(), (s.firmness.to_string(), s.citation.to_string())))
            .collect()
    }

    /// Every source that an answer with this catalog may rest on.
    ///
    /// Returns
    /// -------
    /// list of (str, str)
    ///     Firmness and citation, best supported first.
    ///
    /// Examples
    /// --------
    /// >>> sources = Catalog.default().all_sources()
    /// >>> sources[0][0], sources[-1][0]
    /// ('standard', 'assumption')
    fn all_sources(&self) -> Vec<(String, String)> {
        let all = self.0.all_sources();
        all.iter().map(|source| (source.firmness.to_string(), source.citation.to_string())).collect()
    }

    /// Observations of the catalog, one sentence each with its source.
    ///
    /// Parameters
    /// ----------
    /// entry : str, optional
    ///     Name of a base metal, treatment or film; all observations where left out.
    ///
    /// Returns
    /// -------
    /// list of str
    ///
    /// Raises
    /// ------
    /// UnknownNameError
    ///     An entry that the catalog does not have, with the nearest one.
    ///
    /// Examples
    /// --------
    /// >>> catalog = Catalog.default()
    /// >>> 0 < len(catalog.observations("hard_wax")) < len(catalog.observations())
    /// True
    #[pyo3(signature = (entry=None))]
    fn observations(&self, entry: Option<&Bound<'_, PyAny>>) -> Result<Vec<String>> {
        let Some(entry) = entry else {
            return Ok(overcoat::evidence::observations().iter().map(ToString::to_string).collect());
        };
        let found = self.0.observations_of(&text("entry", entry)?)?;
        Ok(found.into_iter().map(ToString::to_string).collect())
    }

    /// For pickling, which sends a catalog with the names of those who replaced values to other processes.
    fn __reduce__(&self, py: Python<'_>) -> Result<(Py<PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("_from_state")?.unbind(), (self.0.to_state()?,)))
    }

    /// The catalog that a pickle holds.
    #[staticmethod]
    fn _from_state(text: &str) -> Result<Self> {
        Ok(Self(Arc::new(CoreCatalog::from_state(text)?)))
    }

    fn __repr__(&self) -> String {
        format!("Catalog({:?}, {} overrides)", self.0.name(), self.0.overrides().len())
    }
}

/// JSON Schema of a document.
///
/// Parameters
/// ----------
/// document : {"brief", "catalog", "ranking", "papers"}
///     Which.
///
/// Returns
/// -------
/// str
///     JSON Schema 2020-12, units and limits in the descriptions.
///
/// Raises
/// ------
/// UnknownNameError
///     A document that has no schema.
///
/// Examples
/// --------
/// >>> import json
/// >>> "duty" in json.loads(schema("brief"))["properties"]
/// True
#[pyfunction]
fn schema(document: &Bound<'_, PyAny>) -> Result<String> {
    Ok(overcoat::schema::schema(&text("document", document)?)?)
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<Brief>()?;
    module.add_function(wrap_pyfunction!(brief_text, module)?)?;
    module.add_function(wrap_pyfunction!(brief_with_units, module)?)?;
    module.add_class::<Catalog>()?;
    module.add_function(wrap_pyfunction!(schema, module)?)
}
