//! The order note: what goes onto the drawing or the order, subject by subject, and what is still open.

use serde::{Deserialize, Serialize};

use crate::Result;
use crate::evidence::Source;
use crate::finish::process::{BearsOn, Subject};
use crate::papers::capital;
use crate::papers::job::Job;

/// What an order says of a subject of which nothing is due.
const NOTHING: &str = "None.";

/// The text for drawing and order.
///
/// A choice that is open has a proposal. Enter what the parties agreed as its `answer` in the JSON document, `as
/// proposed` where it is the proposal, and the papers that are read from it print it as settled.
///
/// An answer other than the proposal goes where it counts: tests and samples refer to the order, and a torque that was
/// made for another friction is left out. What the whole route was made for, such as the tolerance of the thread, is
/// entered in the brief instead, and the papers are made anew: papers with another answer to it are not read.
///
/// ```
/// # use overcoat::{brief::Brief, catalog::Catalog, papers::{Papers, Units, papers}, rank::rank};
/// # let brief = Brief::from_json(r#"{"schema": "overcoat.brief.v1", "name": "screws",
/// #     "part": {"form": "socket_cap_screw", "thread": "M8", "base_metal": "steel_8_8"},
/// #     "duty": {"place": "indoor_heated", "required_years": 10}}"#)?;
/// # let ranking = rank(&brief, Catalog::built_in())?;
/// # let best = ranking.best().unwrap();
/// use overcoat::papers::Subject;
/// let mut papers = papers(&brief, best, Catalog::built_in(), Units::Metric)?;
/// assert!(!papers.order.is_complete());
/// for open in &mut papers.order.open {
///     open.answer = Some("as proposed".into());
/// }
/// let again = Papers::from_json(&papers.to_json())?;
/// assert!(again.order.is_complete());
///
/// let thread = papers.order.open.iter_mut().find(|open| open.field.as_deref() == Some("part.tolerance")).unwrap();
/// thread.answer = Some("4g".into());
/// let error = Papers::from_json(&papers.to_json()).unwrap_err();
/// assert!(error.to_string().contains("part.tolerance"));
/// # Ok::<(), overcoat::Error>(())
/// ```
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OrderNote {
    /// The short text for the drawing.
    pub drawing_note: String,
    /// What is settled.
    pub clauses: Vec<Clause>,
    /// What the parties have not settled yet, each with a proposal.
    pub open: Vec<OpenChoice>,
}

/// One clause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Clause {
    /// What it is about.
    pub subject: Subject,
    /// Its text.
    pub text: String,
    /// What it is based on that another choice can change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Where it comes from.
    pub source: Source,
}

/// A choice that buyer and supplier have still to make.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct OpenChoice {
    /// What it is about.
    pub subject: Subject,
    /// What is open.
    pub question: String,
    /// What these papers propose until it is settled.
    pub proposed: String,
    /// What the parties agreed; none while it is open.
    #[serde(default)]
    pub answer: Option<String>,
    /// What of the papers is based on it, so that another answer than the proposal changes more than the order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_on: Option<BearsOn>,
    /// Other answers that the route serves as well as the proposal.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also_fits: Vec<String>,
    /// Words that no answer has, since the papers say otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub contradicted_by: Vec<String>,
    /// Field of the inquiry that holds the answer, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub field: Option<String>,
    /// Where the proposal comes from.
    pub source: Source,
}

impl OpenChoice {
    /// The answer, where there is one: a blank is none.
    pub(super) fn settled(&self) -> Option<&str> {
        self.answer.as_deref().map(str::trim).filter(|answer| !answer.is_empty())
    }

    /// The question with the answer, or with the proposal while it is open.
    pub fn in_words(&self) -> String {
        match self.settled() {
            Some(answer) => format!("{}: {}.", capital(&self.question), answer.trim_end_matches('.')),
            None => format!("Open, {}: {}.", self.question, self.proposed),
        }
    }
}

impl OrderNote {
    /// The order as paragraphs, each with its heading: a subject is one, and those of which nothing is due share one.
    pub fn lines(&self) -> Vec<(String, String)> {
        let mut lines = vec![("Drawing note".to_owned(), self.drawing_note.clone())];
        let mut nothing: Vec<&str> = Vec::new();
        for subject in Subject::ALL {
            let clauses = self.clauses.iter().filter(|clause| clause.subject == *subject);
            let mut said: Vec<String> = clauses
                .map(|clause| self.instead(clause.bears_on).unwrap_or_else(|| clause.text.clone()))
                .collect();
            let open = self.open.iter().filter(|open| open.subject == *subject);
            said.extend(open.map(OpenChoice::in_words));
            match said.as_slice() {
                [] => {}
                [one] if one == NOTHING => nothing.push(subject.words()),
                said => lines.push((capital(subject.words()), said.join(" "))),
            }
        }
        if !nothing.is_empty() {
            lines.push(("Not required".to_owned(), format!("{}.", capital(&nothing.join(", ")))));
        }
        lines
    }

    /// Whether nothing is open.
    pub fn is_complete(&self) -> bool {
        self.open.iter().all(|open| open.settled().is_some())
    }
}

/// The order of a job, once route and tests are known.
pub(super) fn order(job: &mut Job) -> Result<OrderNote> {
    let (mut clauses, mut open): (Vec<Clause>, Vec<OpenChoice>) = (Vec::new(), Vec::new());
    for document in job.documents() {
        job.know_film(&document);
        for line in &document.process.order {
            if !job.templates.holds(line.when.as_deref())? {
                continue;
            }
            let (subject, source) = (line.subject, job.source(&line.source));
            let (bears_on, field) = (line.bears_on, line.field.clone());
            let text = job.templates.text(&line.text)?;
            match &line.question {
                Some(question) => {
                    let question = job.templates.text(question)?;
                    let proposed = text.trim_end_matches('.').to_owned();
                    open.push(OpenChoice {
                        subject,
                        question,
                        proposed,
                        answer: None,
                        bears_on,
                        also_fits: line.also_fits.clone(),
                        contradicted_by: line.contradicted_by.clone(),
                        field,
                        source,
                    });
                }
                None if !clauses.iter().any(|c| c.subject == subject && c.text == text) => {
                    clauses.push(Clause { subject, text, bears_on, source });
                }
                None => {}
            }
        }
    }
    clauses.sort_by_key(|clause| clause.subject);
    open.sort_by_key(|open| open.subject);
    Ok(OrderNote { drawing_note: job.named_text("drawing_note")?, clauses, open })
}
