//! Briefs and catalogs: JSON in, JSON out.

use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use pyo3::prelude::*;
use pyo3::types::PyString;

use crate::arguments::{argument, list, refused, text};
use overcoat::brief::Brief as CoreBrief;
use overcoat::catalog::Catalog as CoreCatalog;
use overcoat::catalog::strict_json::{MOST_BYTES, too_long};
use overcoat::error::InvalidDocument;
use overcoat::finish::Build;

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

    /// Longest file that is read, bytes; of lines room for the longest climate record (assumption).
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
) -> PyResult<String> {
    let path = if let Ok(text) = given.cast::<PyString>() {
        let text = argument::<String>(field, text, "text of Unicode characters", "Write it again.")?;
        if form.is_text(&text) {
            return Ok(text);
        }
        PathBuf::from(text)
    } else {
        let allowed = format!("the text of a {document}, or the path of a file");
        argument(field, given, &allowed, "Give one of them.")?
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
fn brief_text(text_or_path: &Bound<'_, PyAny>) -> PyResult<String> {
    let text = text_or_file("text_or_path", text_or_path, "brief", Form::Json)?;
    if text.len() > MOST_BYTES {
        return Err(too_long("brief", "the text", MOST_BYTES as u64).into());
    }
    Ok(text)
}

/// One inquiry: part, duty and wants.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
pub(super) struct Brief(pub(super) CoreBrief);

impl<'py> FromPyObject<'_, 'py> for Brief {
    type Error = PyErr;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        let brief = given.cast::<Self>().map(|brief| brief.get().clone());
        brief.map_err(|_| refused("brief", &given, "a Brief", "Read one with `Brief.from_json`."))
    }
}

#[pymethods]
impl Brief {
    /// Reads a brief from JSON text or from a file.
    #[staticmethod]
    fn from_json(text_or_path: &Bound<'_, PyAny>) -> PyResult<Self> {
        Ok(Self(CoreBrief::from_json(&text_or_file("text_or_path", text_or_path, "brief", Form::Json)?)?))
    }

    /// The brief as JSON; `from_json` reads it back equal.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    /// What the inquiry is called.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }

    /// For pickling, which takes a brief to other processes and machines.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?.unbind(), (self.to_json(),)))
    }

    fn __repr__(&self) -> String {
        format!("Brief({:?}, required_years={})", self.0.name, self.0.duty.required_years)
    }

    fn _repr_html_(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        Ok(py.import("overcoat.pages")?.getattr("brief_fragment")?.call1((self.clone(),))?.unbind())
    }
}

static BUILT_IN: LazyLock<Arc<CoreCatalog>> = LazyLock::new(|| Arc::new(CoreCatalog::default()));

/// The catalog given, else the one that comes with overcoat; shared, so that no call copies it.
pub(super) fn catalog_or_default(catalog: Option<Catalog>) -> Arc<CoreCatalog> {
    catalog.map_or_else(|| Arc::clone(&BUILT_IN), |catalog| catalog.0)
}

/// Builds as they are written; none stays none.
pub(super) fn builds_of(texts: Option<&Bound<'_, PyAny>>) -> PyResult<Option<Vec<Build>>> {
    let Some(texts) = texts else { return Ok(None) };
    let texts: Vec<String> = list("builds", texts, "a list of texts", "Write them as a ranking does.")?;
    Ok(Some(texts.iter().map(|text| text.parse()).collect::<overcoat::Result<_>>()?))
}

/// Base metals, treatments, films, places and prices, with sources.
#[pyclass(frozen, eq, module = "overcoat")]
#[derive(Clone, PartialEq)]
pub(super) struct Catalog(Arc<CoreCatalog>);

impl<'py> FromPyObject<'_, 'py> for Catalog {
    type Error = PyErr;

    fn extract(given: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        let catalog = given.cast::<Self>().map(|catalog| catalog.get().clone());
        catalog.map_err(|_| {
            refused("catalog", &given, "a Catalog", "Read one with `Catalog.from_json`, or leave it out.")
        })
    }
}

#[pymethods]
impl Catalog {
    /// The catalog that comes with overcoat.
    #[staticmethod]
    fn default() -> Self {
        Self(Arc::clone(&BUILT_IN))
    }

    /// The default catalog extended by a user catalog, from JSON text or a file.
    #[staticmethod]
    fn from_json(text_or_path: &Bound<'_, PyAny>) -> PyResult<Self> {
        Ok(Self(Arc::new(CoreCatalog::from_json(&text_or_file(
            "text_or_path",
            text_or_path,
            "catalog",
            Form::Json,
        )?)?)))
    }

    /// This catalog extended by a further user catalog.
    fn extended(&self, text_or_path: &Bound<'_, PyAny>) -> PyResult<Self> {
        Ok(Self(Arc::new(self.0.extended(&text_or_file(
            "text_or_path",
            text_or_path,
            "catalog",
            Form::Json,
        )?)?)))
    }

    /// The whole catalog as JSON.
    fn to_json(&self) -> String {
        self.0.to_json()
    }

    /// Name of the last user catalog, or `built-in`.
    #[getter]
    fn name(&self) -> &str {
        self.0.name()
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

    /// Every source that an answer with this catalog may rest on, firmest first: (firmness, citation).
    fn all_sources(&self) -> Vec<(String, String)> {
        let all = self.0.all_sources();
        all.iter().map(|source| (source.firmness.to_string(), source.citation.to_string())).collect()
    }

    /// Observations of a base metal, treatment or film, or all of them, one sentence each with its source.
    #[pyo3(signature = (entry=None))]
    fn observations(&self, entry: Option<&Bound<'_, PyAny>>) -> PyResult<Vec<String>> {
        let Some(entry) = entry else {
            return Ok(overcoat::evidence::observations().iter().map(ToString::to_string).collect());
        };
        let found = self.0.observations_of(&text("entry", entry)?)?;
        Ok(found.into_iter().map(ToString::to_string).collect())
    }

    /// For pickling, which takes a catalog with the names of those who replaced values to other processes.
    fn __reduce__(&self, py: Python<'_>) -> PyResult<(Py<PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("_from_state")?.unbind(), (self.0.to_state()?,)))
    }

    /// The catalog that a pickle holds.
    #[staticmethod]
    fn _from_state(text: &str) -> PyResult<Self> {
        Ok(Self(Arc::new(CoreCatalog::from_state(text)?)))
    }

    fn __repr__(&self) -> String {
        format!("Catalog({:?}, {} overrides)", self.0.name(), self.0.overrides().len())
    }
}

/// JSON Schema of a brief, a catalog or a ranking.
#[pyfunction]
fn schema(document: &Bound<'_, PyAny>) -> PyResult<String> {
    Ok(overcoat::schema::schema(&text("document", document)?)?)
}

pub(super) fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_class::<Brief>()?;
    module.add_function(wrap_pyfunction!(brief_text, module)?)?;
    module.add_class::<Catalog>()?;
    module.add_function(wrap_pyfunction!(schema, module)?)
}
