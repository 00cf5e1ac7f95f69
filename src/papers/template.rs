//! Texts and conditions of process documents over what is known of a job.

use std::collections::BTreeMap;

use minijinja::value::{Serde, Value};
use minijinja::{Environment, UndefinedBehavior};
use serde_json::{Map, Value as Json};

use crate::Result;
use crate::brief::written::{pieces, time};
use crate::error::InvalidDocument;
use crate::finish::process::Line;
use crate::papers::Units;

/// The facts of a job, and the functions that write numbers in its units.
pub(super) struct Templates {
    environment: Environment<'static>,
    facts: BTreeMap<String, Value>,
    context: Value,
    units: Units,
}

impl Templates {
    pub(super) fn new(units: Units, facts: &Map<String, Json>) -> Self {
        let mut environment = Environment::new();
        environment.set_undefined_behavior(UndefinedBehavior::Strict);
        environment.add_function("temperature", move |low: f64, high: f64| units.temperature(low, high));
        environment.add_function("oven", move |low: f64, high: f64| units.oven(low, high));
        environment.add_function("thickness", move |low: f64, high: f64| units.thickness(low, high));
        environment.add_function("either", move |metric: String, inch: String| match units {
            Units::Metric => metric,
            Units::Inch => inch,
        });
        environment.add_function("hours", |hours: f64| time(hours * 60.0, hours * 60.0));
        environment.add_filter("pieces", pieces);
        environment.add_filter("sentence", |text: String| super::capital(&text));
        environment.add_filter("lower_first", |text: String| {
            let mut letters = text.chars();
            letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
        });
        let facts: BTreeMap<String, Value> =
            facts.iter().map(|(name, fact)| (name.clone(), Value::from(Serde(fact)))).collect();
        let context = Value::from(facts.clone());
        Self { environment, facts, context, units }
    }

    /// Adds a fact or replaces it.
    pub(super) fn know(&mut self, name: &str, fact: &Json) {
        self.facts.insert(name.to_owned(), Value::from(Serde(fact)));
        self.context = Value::from(self.facts.clone());
    }

    /// The text with the facts filled in, on one line.
    pub(super) fn text(&self, template: &str) -> Result<String> {
        let filled = self
            .environment
            .render_str(template, self.context.clone())
            .map_err(|error| wrong(template, &error))?;
        Ok(self.units.sentence(&filled.split_whitespace().collect::<Vec<_>>().join(" ")))
    }

    /// Whether a condition holds; none always does.
    pub(super) fn holds(&self, condition: Option<&str>) -> Result<bool> {
        let Some(condition) = condition else { return Ok(true) };
        self.environment
            .compile_expression(condition)
            .and_then(|expression| expression.eval(self.context.clone()))
            .map(|value| value.is_true())
            .map_err(|error| wrong(condition, &error))
    }

    /// Text of each line that applies and says something, with the line.
    pub(super) fn lines<'l>(&self, lines: &'l [Line]) -> Result<Vec<(String, &'l Line)>> {
        let mut said = Vec::with_capacity(lines.len());
        for line in lines {
            if self.holds(line.when.as_deref())? {
                said.push((self.text(&line.text)?, line));
            }
        }
        said.retain(|(text, _)| !text.is_empty());
        Ok(said)
    }
}

fn wrong(template: &str, error: &minijinja::Error) -> crate::Error {
    InvalidDocument {
        document: "catalog".into(),
        field: "processes".into(),
        reason: format!("the text or condition {template:?} cannot be filled in: {error}"),
        nearest: None,
        remedy: "Correct the process document: use the facts that the built-in documents use.".into(),
    }
    .into()
}
