//! Base metal + treatment + films, in order of application.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::error::ImpossibleBuild;
use crate::evidence::SourceKey;
use crate::finish::{Film, FilmKind};
use crate::{Result, error};

/// A whole finish on a base metal, by catalog names.
///
/// ```
/// use overcoat::finish::Build;
/// let build = Build::new("steel_8_8", "hot_alkaline", ["displacing_oil"]);
/// assert_eq!(build.to_string(), "steel_8_8 / hot_alkaline / displacing_oil");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Build {
    /// Catalog name of the base metal.
    pub base_metal: String,
    /// Catalog name of the treatment.
    pub treatment: String,
    /// Catalog names of the films, innermost first.
    pub films: Vec<String>,
}

impl Build {
    /// A build from catalog names, films innermost first.
    pub fn new<S: Into<String>>(
        base_metal: impl Into<String>,
        treatment: impl Into<String>,
        films: impl IntoIterator<Item = S>,
    ) -> Self {
        Self {
            base_metal: base_metal.into(),
            treatment: treatment.into(),
            films: films.into_iter().map(Into::into).collect(),
        }
    }
}

/// Reads a build as it is printed: `BASE METAL / TREATMENT / FILM + FILM`, the last part `no film` for none. The
/// names are not checked against a catalog.
///
/// ```
/// use overcoat::finish::Build;
/// let build: Build = "steel_8_8 / hot_alkaline / no film".parse()?;
/// assert!(build.films.is_empty());
/// assert_eq!("steel_8_8 / hot_alkaline".parse::<Build>().unwrap_err().field(), "build");
/// # Ok::<(), overcoat::Error>(())
/// ```
impl std::str::FromStr for Build {
    type Err = error::Error;

    fn from_str(text: &str) -> Result<Self> {
        let parts: Vec<&str> = text.split('/').map(str::trim).collect();
        let [base_metal, treatment, films] = parts.as_slice() else {
            let form = "BASE_METAL / TREATMENT / FILM + FILM";
            return Err(error::invalid("build", text, form, "Write it as a ranking prints it."));
        };
        let films = films.split('+').map(str::trim).filter(|film| !film.is_empty() && *film != "no film");
        Ok(Self::new(*base_metal, *treatment, films))
    }
}

impl fmt::Display for Build {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} / {} / ", self.base_metal, self.treatment)?;
        if self.films.is_empty() { f.write_str("no film") } else { f.write_str(&self.films.join(" + ")) }
    }
}

/// Films that finishers put over each other often enough to be tried for every brief.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stack {
    /// Catalog names of the films, innermost first; empty for the bare treatment.
    pub films: Vec<String>,
    /// Key of the source that it is usual.
    pub source: SourceKey,
}

/// The usual default where no supplementary finish is named.
pub(crate) const DEFAULT_FILM: &str = "displacing_oil";

/// Most films of one build; every pair of layers is checked.
const MOST_FILMS: usize = 20;

/// Rejects films in an order that cannot be made.
///
/// Nothing holds on oil or wax; electrocoat needs the bare conductive part; a cured film would burn a layer
/// beneath it that does not withstand its cure; a primer must not be the outermost layer. Common practice. More than 20 films
/// are rejected too.
///
/// # Errors
/// The first pair of layers that cannot be made, with what to do.
pub fn check_film_order(field: &str, films: &[(&str, &Film)]) -> Result<()> {
    let refuse = |reason: String, remedy: &str| -> Result<()> {
        Err(error::Error::Build(ImpossibleBuild {
            field: field.to_owned(),
            build: films.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(" + "),
            reason,
            remedy: remedy.to_owned(),
        }))
    };
    if films.len() > MOST_FILMS {
        return refuse(format!("more than {MOST_FILMS} films"), "Name each layer once.");
    }
    for (i, (above, upper)) in films.iter().enumerate() {
        let beneath = films.get(..i).unwrap_or_default();
        let Some((below, lower)) = beneath.last() else { continue };
        if !lower.kind.can_be_coated() {
            return refuse(
                format!("{above} does not hold on {below}"),
                "Put oil or wax on last, or leave it out.",
            );
        }
        if upper.kind == FilmKind::Electrocoat {
            return refuse(
                format!("{above} is electrodeposited and {below} insulates"),
                "Put the electrocoat first.",
            );
        }
        // The stove heats every layer, not only the one just beneath.
        if let Some(cure) = &upper.cure_temperature_c
            && let Some((burnt, film)) = beneath.iter().find(|(_, f)| cure.value > f.short_limit_c.value)
        {
            return refuse(
                format!(
                    "{above} is cured at {} °C and {burnt} withstands {} °C",
                    cure.value, film.short_limit_c.value
                ),
                "Use a layer that withstands the cure, or one that dries in air above it.",
            );
        }
    }
    match films.last() {
        Some((name, film)) if film.kind == FilmKind::Primer => {
            refuse(format!("{name} is a primer and no outermost layer"), "Put a paint over it.")
        }
        _ => Ok(()),
    }
}
