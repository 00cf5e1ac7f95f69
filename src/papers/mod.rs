//! The papers that go with an order: process route, order note, acceptance plan.
//!
//! | file | idea |
//! | --- | --- |
//! | `route` | five basic steps, and more where a finding asks; `coat` how each film is brought on |
//! | `hazard` | what can hurt at a step, and the usual caution |
//! | `order` | clauses for drawing and order, and what is still open |
//! | `acceptance` | what is tested when and on how many pieces; `off_shade` what to do with off-shade lots |
//! | `salt_spray` | how long a salt-spray test the finish can be held to |
//! | [`sampling`] | sampling plans and what they let pass |
//! | `sheet` | the papers as headings, lists and tables; `text` and `html` write them |
//!
//! ```
//! use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
//! let brief = Brief::from_json(r#"{
//!     "schema": "overcoat.brief.v1",
//!     "name": "guard plates in a heated hall",
//!     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
//!     "duty": {"place": "indoor_heated", "required_years": 10}
//! }"#)?;
//! let ranking = rank(&brief, Catalog::built_in())?;
//! let best = ranking.best().unwrap();
//! let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
//! assert_eq!(papers.route.steps.len(), 5);
//! assert!(papers.to_text().contains("Packing, not agreed"));
//!
//! // A blocked build has no papers, and the error says why.
//! let blocked = ranking.options.last().unwrap();
//! let error = overcoat::papers::papers(&brief, blocked, Catalog::built_in(), Units::Metric).unwrap_err();
//! assert_eq!(error.field(), "option");
//! # Ok::<(), overcoat::Error>(())
//! ```

mod acceptance;
mod coat;
mod hazard;
mod html;
mod job;
mod off_shade;
mod order;
mod route;
mod salt_spray;
pub mod sampling;
mod sheet;
mod statement;
mod text;
mod units;

use serde::{Deserialize, Serialize};

pub use acceptance::{AcceptancePlan, Characteristic, Moment, SampleName, SamplePlan};
pub use coat::Coat;
pub use hazard::{Caution, Hazard};
pub use off_shade::{OffShade, SecondPass};
pub use order::{Clause, OpenChoice, OrderNote, Subject};
pub use route::{Route, RouteStep, RouteStepKind, Stage};
pub use salt_spray::{SaltSpray, TEST_HOURS, TEST_LENGTHS_H, salt_spray};
pub use statement::{Bounds, Statement};
pub use units::Units;

use crate::Result;
use crate::brief::Brief;
use crate::catalog::{Catalog, strict_json};
use crate::check::FindingKind;
use crate::finish::Build;
use crate::outlook::NO_SERVICE_LIFE;
use crate::papers::job::Job;
use crate::rank::RankedOption;
use crate::source::Source;

/// The schema of papers written by this version.
pub const PAPERS_SCHEMA: &str = "overcoat.papers.v1";

const LOCAL_RULES: Source = Source::common_practice("local codes and qualified people decide");
const JOINT: Source =
    Source::common_practice("torque and preload of a changed finish are confirmed on the real joint");
const SAFETY: Source =
    Source::common_practice("safety-critical joints of hard steel need a written, tested process");

/// Process route, order note and acceptance plan of one build for one brief.
///
/// The data are metric whatever the units; the sentences and [`Papers::to_text`] are in the units asked for,
/// except what is quoted from findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Papers {
    /// Always `overcoat.papers.v1`.
    pub schema: String,
    /// Version of overcoat that made them.
    pub version: String,
    /// Name of the inquiry.
    pub inquiry: String,
    /// The build in the words of an order.
    pub finish: String,
    /// The build by catalog names.
    pub build: Build,
    /// Units of the sentences.
    pub units: Units,
    /// What the finisher does, in order.
    pub route: Route,
    /// What goes onto drawing and order.
    pub order: OrderNote,
    /// What is tested, and on how many pieces.
    pub acceptance: AcceptancePlan,
    /// What to heed: each hazard of the steps once, what the checks warn of, and the usual.
    pub cautions: Vec<Caution>,
    /// What was assumed about the lot, one line each.
    pub assumed: Vec<String>,
    /// Every source, in the order in which the papers name them.
    pub sources: Vec<Source>,
}

/// The papers of one build of a ranking for its brief.
///
/// Temperatures, times, thicknesses and prices come from the catalog that ranked the build; steps beyond the five
/// basic ones from the option's findings.
///
/// # Errors
/// A blocked build, with the reason; a brief out of range; a name that the catalog does not know.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// assert_eq!(papers.schema, "overcoat.papers.v1");
/// assert!(papers.to_html().starts_with("<article"));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn papers(brief: &Brief, option: &RankedOption, catalog: &Catalog, units: Units) -> Result<Papers> {
    brief.check()?;
    let resolved = catalog.resolve(&option.build)?;
    let job = Job::of(brief, option, catalog, &resolved, units)?;
    let route = route::route(&job)?;
    let acceptance = acceptance::acceptance(&job)?;
    let order = order::order(&job, &route, &acceptance);
    let cautions = cautions(&job, &route);
    let mut papers = Papers {
        schema: PAPERS_SCHEMA.to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        inquiry: brief.name.clone(),
        finish: option.name.clone(),
        build: option.build.clone(),
        units,
        route,
        order,
        acceptance,
        cautions,
        assumed: job.assumed,
        sources: Vec::new(),
    };
    papers.sources = papers.named_sources();
    Ok(papers)
}

/// Each hazard of the steps once, the warnings of the checks, the usual.
fn cautions(job: &Job, route: &Route) -> Vec<Caution> {
    let mut cautions: Vec<Caution> = Vec::new();
    for caution in route.steps.iter().flat_map(|step| &step.hazards) {
        if !cautions.contains(caution) {
            cautions.push(caution.clone());
        }
    }
    for finding in job.option.findings.iter().filter(|f| f.kind == FindingKind::Warns) {
        let remedy = finding.remedy.as_deref().map_or(String::new(), |remedy| format!(". {remedy}"));
        let text = format!("{}{remedy}", order::capital(&finding.message));
        cautions.push(Caution::general(format!("{}.", text.trim_end_matches('.')), finding.source.clone()));
    }
    if job.brief.part.safety_critical {
        cautions.push(Caution::general(
            "Life or limb hangs on this joint: a qualified person approves finish and process before the order.",
            SAFETY,
        ));
    }
    if job.thread.is_some() {
        cautions.push(Caution::general(
            "A changed finish changes friction: confirm torque and preload on the real joint.",
            JOINT,
        ));
    }
    cautions.push(Caution::general("Salt-spray hours are no service life.", NO_SERVICE_LIFE));
    cautions.push(Caution::general(
        "Local codes, the suppliers' safety sheets and qualified people go before anything said here; nothing here is \
         legal advice.",
        LOCAL_RULES,
    ));
    cautions
}

impl Papers {
    /// The papers as JSON, schema [`PAPERS_SCHEMA`].
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }

    /// Reads papers that [`Papers::to_json`] wrote.
    ///
    /// # Errors
    /// A malformed document.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
    /// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
    /// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
    /// # let ranking = rank(&brief, Catalog::built_in())?;
    /// # let best = ranking.best().unwrap();
    /// use overcoat::papers::Papers;
    /// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
    /// assert_eq!(Papers::from_json(&papers.to_json())?, papers);
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self> {
        let document = strict_json::parse("papers", text)?;
        if document.is_object() {
            crate::catalog::check_schema("papers", document.get("schema"), PAPERS_SCHEMA)?;
        }
        strict_json::typed("papers", document)
    }

    /// The papers as plain text, for a buyer, a finisher and an inspector to read and print.
    pub fn to_text(&self) -> String {
        text::text(&sheet::sheet(self))
    }

    /// The papers as an HTML fragment, headings from the second level down; every text is escaped.
    pub fn to_html(&self) -> String {
        html::html(&sheet::sheet(self))
    }

    /// Every source in the order in which a reader meets it, each once.
    fn named_sources(&self) -> Vec<Source> {
        let mut all: Vec<&Source> = Vec::new();
        let order = &self.order;
        all.extend(order.clauses.iter().map(|clause| &clause.source));
        all.extend(order.open.iter().map(|open| &open.source));
        for step in &self.route.steps {
            step.name_sources(&mut all);
        }
        self.acceptance.name_sources(&mut all);
        all.extend(self.cautions.iter().map(|caution| &caution.source));
        let mut once: Vec<Source> = Vec::new();
        for source in all {
            if !once.contains(source) {
                once.push(source.clone());
            }
        }
        once
    }
}
