//! How a film is brought on and dried.

use serde::{Deserialize, Serialize};

use crate::finish::{Film, FilmKind};
use crate::papers::job::{BULK, Job};
use crate::papers::{Bounds, Hazard, Statement};
use crate::source::Source;

const STOVE_TIME: Source = Source::from_memory(
    "usual stoving, 15 to 30 min once the metal is warm; the paint's data sheet goes first",
);
const STOVE_MINUTES: (f64, f64) = (15.0, 30.0);
const FLASH_OFF: Source =
    Source::from_memory("usual flash-off, 10 to 20 min; the paint's data sheet goes first");
const FLASH_OFF_MINUTES: (f64, f64) = (10.0, 20.0);
const OILING: Source = Source::common_practice("oil is spun off small parts and drips off hung ones");
const WAXING: Source = Source::from_memory("practice of waxing from dispersion, solution or melt");
const PAINTING: Source =
    Source::from_memory("practice of spraying, dipping and dip-spinning paint and lacquer");
const POWDERING: Source = Source::from_memory("practice of electrostatic powder coating");
const ELECTROCOATING: Source = Source::from_memory("practice of electrocoating");

/// One layer of the supplementary finish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Coat {
    /// Catalog name of the film.
    pub film: String,
    /// The name an order uses.
    pub name: String,
    /// Dry thickness.
    pub thickness_um: Bounds,
    /// How it is brought on.
    pub application: Vec<Statement>,
    /// Time between coats or before the oven, for films that flash off.
    pub flash_off_minutes: Option<Bounds>,
    /// Temperature of the metal in the oven, for films that are stoved.
    pub stove_temperature_c: Option<Bounds>,
    /// Time at it.
    pub stove_minutes: Option<Bounds>,
}

impl Coat {
    pub(super) fn of(job: &Job, name: &str, film: &Film) -> Self {
        let range = &film.thickness_um;
        let cure = film.cure_temperature_c.as_ref();
        let flashes_off =
            film.solvent_borne && matches!(film.kind, FilmKind::Lacquer | FilmKind::Primer | FilmKind::Paint);
        Self {
            film: name.to_owned(),
            name: film.name.clone(),
            thickness_um: Bounds::new(range.low, range.high, job.catalog.source(&range.source)),
            application: application(job, film),
            flash_off_minutes: flashes_off
                .then(|| Bounds::new(FLASH_OFF_MINUTES.0, FLASH_OFF_MINUTES.1, FLASH_OFF)),
            stove_temperature_c: cure
                .map(|cure| Bounds::new(cure.value, cure.value, job.catalog.source(&cure.source))),
            stove_minutes: cure.map(|_| Bounds::new(STOVE_MINUTES.0, STOVE_MINUTES.1, STOVE_TIME)),
        }
    }
}

fn application(job: &Job, film: &Film) -> Vec<Statement> {
    let bulk = job.in_bulk();
    let mut says = Vec::new();
    let mut say = |text: &str, source: Source| says.push(Statement::new(text, source));
    match film.kind {
        FilmKind::Oil => {
            say(
                "Dip at shop temperature. A water-displacing oil takes wet parts; any other wants them dry.",
                OILING,
            );
            if bulk {
                say("Spin off in a basket until nothing drips.", BULK);
            } else {
                say("Hang and let drain, holes downwards.", BULK);
            }
        }
        FilmKind::Wax => {
            say("Dip or spray on dry parts.", WAXING);
            if bulk {
                say("Spin off while it is fluid, so that threads and drives stay clear.", BULK);
            } else {
                say("Hang, let drain and harden before stacking.", BULK);
            }
        }
        FilmKind::Lacquer | FilmKind::Primer | FilmKind::Paint => {
            if bulk {
                say("Dip-spin or spray on dry, oil-free parts; loosen parts that stick together.", PAINTING);
            } else {
                say("Hang; spray or dip on dry, oil-free parts; no runs at edges and holes.", PAINTING);
            }
            if film.cure_temperature_c.is_none() {
                say("Air-dry as the data sheet says before packing.", PAINTING);
            }
        }
        FilmKind::Powder => {
            say("Hang on clean, earthed hooks; spray with charge; reach recesses.", POWDERING);
        }
        FilmKind::Electrocoat => {
            say("Give sure contact; coat by current; rinse off what is not deposited.", ELECTROCOATING);
        }
    }
    says
}

/// Hazards of a film.
pub(super) fn hazards(job: &Job, film: &Film) -> Vec<Hazard> {
    let mut found = Vec::new();
    if film.solvent_borne {
        found.push(Hazard::Solvent);
    }
    if film.kind == FilmKind::Powder {
        found.push(Hazard::PowderCloud);
    }
    if film.cure_temperature_c.is_some() {
        found.push(Hazard::Stove);
    }
    if matches!(job.treatment().class, Some(1 | 4)) && !film.kind.can_be_coated() {
        found.push(Hazard::NitriteAndAmines);
    }
    found
}
