//! The papers that go with an order: order note, route card, acceptance plan.
//!
//! All three are composed from the process documents of the catalog ([`crate::finish::process`]); what is written here
//! is which facts the documents can use and how a sheet is laid out.
//!
//! | file | idea |
//! | --- | --- |
//! | `job` | the build as it is ordered, the documents it needs, and the facts that their texts and conditions use |
//! | `template` | texts and conditions over those facts |
//! | `route` | the steps of all documents that apply, in order; `hazard` the cautions at them |
//! | `order` | clauses for drawing and order, and what is still open |
//! | `answered` | what an answer of the parties changes in papers that were made before it |
//! | `acceptance` | what is tested when and on how many pieces; `rework` what to do with off-shade lots |
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
//! assert!(papers.to_text().contains("HOLD POINT"));
//! assert!(papers.to_text().contains("Open, packaging: dry"));
//!
//! // A blocked build has no papers, and the error says why.
//! let blocked = ranking.options.last().unwrap();
//! let error = overcoat::papers::papers(&brief, blocked, Catalog::built_in(), Units::Metric).unwrap_err();
//! assert_eq!(error.field(), "option");
//! # Ok::<(), overcoat::Error>(())
//! ```

mod acceptance;
mod answered;
mod hazard;
pub(crate) mod html;
mod job;
mod order;
mod rework;
mod route;
mod salt_spray;
pub mod sampling;
mod sheet;
mod statement;
mod template;
mod text;

use serde::{Deserialize, Serialize};
use serde_json::json;

pub use crate::brief::Units;
pub use crate::finish::process::{BearsOn, DefectClass, Moment, SampleRule, StepKind, Subject};
pub use acceptance::{AcceptancePlan, Characteristic, SamplePlan};
pub use hazard::Caution;
pub use order::{Clause, OpenChoice, OrderNote};
pub use rework::{OffShade, SecondPass};
pub use route::{Route, RouteStep, Stage};
pub use salt_spray::{SaltSpray, salt_spray};
pub use statement::{Bounds, Statement};

use crate::Result;
use crate::brief::Brief;
use crate::catalog::{Catalog, strict_json};
use crate::evidence::Source;
use crate::finish::Build;
use crate::papers::answered::Misfit;
use crate::papers::job::{Job, ordered_build};
use crate::rank::RankedOption;

/// The schema of papers written by this version.
pub const PAPERS_SCHEMA: &str = "overcoat.papers.v2";

/// Order note, route card and acceptance plan of one build for one brief.
///
/// The data are metric whatever the units; the sentences and [`Papers::to_text`] are in the units asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Papers {
    /// Always `overcoat.papers.v2`.
    pub schema: String,
    /// Version of overcoat that made them.
    pub version: String,
    /// Name of the inquiry.
    pub inquiry: String,
    /// Date that the papers show, as the user writes it; none until entered.
    #[serde(default)]
    pub date: Option<String>,
    /// Revision that the papers show; none until entered.
    #[serde(default)]
    pub revision: Option<String>,
    /// The build in the words of an order.
    pub finish: String,
    /// The build by catalog names, as ordered: without layers that the heat of the duty destroys.
    pub build: Build,
    /// Layers of the ranked build that are left out, and why; empty for most.
    pub left_out: Vec<String>,
    /// Units of the sentences.
    pub units: Units,
    /// What goes onto drawing and order.
    pub order: OrderNote,
    /// What the finisher does, in order.
    pub route: Route,
    /// What is tested, and on how many pieces.
    pub acceptance: AcceptancePlan,
    /// What to heed for the whole; hazards are at their steps.
    pub cautions: Vec<Caution>,
    /// What was assumed about the lot, one line each.
    pub assumed: Vec<String>,
    /// Every source, in the order in which the papers name them.
    pub sources: Vec<Source>,
}

/// The papers of one build of a ranking for its brief.
///
/// Steps, texts, tests and hazards come from the process documents of the catalog that ranked the build; what the
/// option's findings call for is added. Layers that the heat of the duty destroys are left out, and the papers say so.
///
/// # Errors
/// A blocked build, with the reason; a brief out of range; a name that the catalog does not know; a process document
/// of a user catalog whose text cannot be filled in.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// assert_eq!(papers.schema, "overcoat.papers.v2");
/// assert!(papers.to_html().starts_with("<article"));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn papers(brief: &Brief, option: &RankedOption, catalog: &Catalog, units: Units) -> Result<Papers> {
    brief.check_in(catalog)?;
    let (build, left_out) = ordered_build(brief, option, catalog)?;
    let resolved = catalog.resolve(&build)?;
    let mut job = Job::of(brief, option, catalog, &resolved, (&build, &left_out), units)?;
    let spray = job.over_present_zinc(salt_spray(&resolved, catalog));
    job.know_spray(&spray)?;
    let route = route::route(&mut job)?;
    job.know_bake(&route)?;
    job.know_oven_limit(&route);
    let appearance = job.appearance()?;
    job.templates.know("appearance", &json!(appearance));
    let acceptance = acceptance::acceptance(&mut job, spray)?;
    job.know_tests(&acceptance);
    let order = order::order(&mut job)?;
    let cautions = cautions(&mut job)?;
    let mut papers = Papers {
        schema: PAPERS_SCHEMA.to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        inquiry: brief.name.clone(),
        date: None,
        revision: None,
        finish: if left_out.is_empty() {
            option.name.replacen(&resolved.metal.name, job.metal_to_order(), 1)
        } else {
            job.name()
        },
        build: build.clone(),
        left_out: left_out.clone(),
        units,
        order,
        route,
        acceptance,
        cautions,
        assumed: job.assumed.iter().map(|line| units.sentence(line)).collect(),
        sources: Vec::new(),
    };
    papers.sources = papers.named_sources();
    Ok(papers)
}

/// Findings that say a torque or compare with one: none of them without it.
const OF_TORQUE: [&str; 3] = ["torque.new_torque", "torque.drive", "torque.least_preload"];
/// Findings that say what the friction does.
const OF_FRICTION: [&str; 1] = ["torque.scatter"];

/// What the checks warn of, and what the documents say for the whole.
fn cautions(job: &mut Job) -> Result<Vec<Caution>> {
    let mut cautions: Vec<Caution> = Vec::new();
    for finding in job.cautions() {
        let sentences = [Some(job::without_fields(&finding.message)), job.remedy_here(finding)];
        let sentences = sentences.into_iter().flatten();
        let said = sentences.map(|said| format!("{}.", said.trim_end_matches('.')));
        let said = capital(&job.units.sentence(&said.collect::<Vec<_>>().join(" ")));
        let caution = Caution::general(said, finding.source.clone());
        let bears_on = match finding.rule.as_ref() {
            rule if OF_TORQUE.contains(&rule) => Some(BearsOn::Torque),
            rule if OF_FRICTION.contains(&rule) => Some(BearsOn::Friction),
            _ => None,
        };
        cautions.push(Caution { bears_on, ..caution });
    }
    let limit = job.named_text("makers_limit")?;
    if !limit.is_empty() {
        let caution = Caution::general(limit, route::MAKERS_LIMIT);
        cautions.push(Caution { bears_on: Some(BearsOn::OvenLimit), ..caution });
    }
    for document in job.documents() {
        job.know_film(&document);
        for (text, line) in job.templates.lines(&document.process.cautions)? {
            let source = line
                .source
                .as_ref()
                .map_or(Source::common_practice("process document"), |key| job.source(key));
            cautions.push(Caution::general(text, source));
        }
    }
    Ok(cautions)
}

/// The text with a capital first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

impl Papers {
    /// The papers as JSON, schema [`PAPERS_SCHEMA`].
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }

    /// Reads papers that [`Papers::to_json`] wrote.
    ///
    /// # Errors
    /// A malformed document; an answer that route, thread or ovens were not made for, with the field of the inquiry to
    /// enter it in.
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
        let papers: Self = strict_json::typed("papers", document)?;
        let misfit = papers.misfits().first().map(Misfit::error);
        misfit.map_or(Ok(papers), Err)
    }

    /// The papers with the date and the revision that they show; results stay the same from run to run, so neither is
    /// taken from a clock.
    ///
    /// ```
    /// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Units, papers}, rank::rank};
    /// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
    /// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
    /// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
    /// # let ranking = rank(&brief, Catalog::built_in())?;
    /// # let best = ranking.best().unwrap();
    /// let papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
    /// assert!(papers.dated(Some("2026-11-27"), Some("B")).to_text().contains("Revision B, 2026-11-27"));
    /// # Ok::<(), overcoat::Error>(())
    /// ```
    #[must_use]
    pub fn dated(mut self, date: Option<&str>, revision: Option<&str>) -> Self {
        self.date = date.map(str::to_owned).or(self.date);
        self.revision = revision.map(str::to_owned).or(self.revision);
        self
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
