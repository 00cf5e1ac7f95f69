//! What an answer of the parties changes in papers that were made before it.
//!
//! The order prints every answer. What else rests on the choice goes one of three ways: the papers are refused, since
//! their route was made for another answer; a test or a sample refers to the order; a torque is left out.

use crate::check::BELOW_TEMPERING_C;
use crate::error::{Error, invalid};
use crate::finish::process::BearsOn;
use crate::papers::order::{OpenChoice, OrderNote};
use crate::papers::route::OVENS;
use crate::papers::{Papers, capital};

/// What stands where a torque was.
pub(super) const NO_TORQUE: &str = "No torque: friction, lubricant or sealer of the order differ from those that it was made for. Set it for the \
     window of the order and confirm torque and preload on the real joint.";

/// The answer that agrees with a proposal in two words.
const AS_PROPOSED: &str = "as proposed";
/// What an answer ends with that names no lubricant, or a sealer that has none.
const LEAVES_FRICTION: [&str; 2] = ["without lubricant", "none"];
/// Words between the two ends of a range of temperatures.
const BETWEEN: [&str; 5] = ["to", "-", "–", "and", "or"];

/// An answer that papers were not made for.
pub(super) struct Misfit<'a> {
    at: usize,
    choice: &'a OpenChoice,
    allowed: String,
}

impl Misfit<'_> {
    fn remedy(&self) -> String {
        match &self.choice.field {
            Some(field) => format!("Enter `{field}` in the inquiry and make the papers again."),
            None => {
                "Choose another build, or agree the route with the supplier: these papers have none for it."
                    .to_owned()
            }
        }
    }

    pub(super) fn error(&self) -> Error {
        let answer = self.choice.settled().unwrap_or_default();
        invalid(&format!("order.open[{}].answer", self.at), answer, &self.allowed, &self.remedy())
    }

    pub(super) fn sentence(&self) -> String {
        let answer = self.choice.settled().unwrap_or_default();
        format!(
            "{}: the answer is {answer}; allowed is {}. {}",
            capital(&self.choice.question),
            self.allowed,
            self.remedy()
        )
    }
}

impl Papers {
    /// The answers that route, thread or ovens were not made for.
    pub(super) fn misfits(&self) -> Vec<Misfit<'_>> {
        let mut misfits = Vec::new();
        for (at, choice) in self.order.open.iter().enumerate() {
            let Some(answer) = choice.settled() else { continue };
            let allowed = match choice.bears_on {
                Some(BearsOn::Route) if choice.departs() => {
                    Some(format!("{}, which these papers were made for", choice.proposed))
                }
                Some(BearsOn::Ovens) if choice.departs() => self.too_hot_for(answer),
                _ => None,
            };
            misfits.extend(allowed.map(|allowed| Misfit { at, choice, allowed }));
        }
        misfits
    }

    /// What a tempering temperature must be for the ovens of the route; none where it is.
    fn too_hot_for(&self, answer: &str) -> Option<String> {
        let steps = self.route.steps.iter().filter(|step| OVENS.contains(&step.kind));
        let hottest_c = steps.filter_map(|step| step.temperature_c.as_ref()).map(|t| t.high).reduce(f64::max);
        match (lowest_temperature_c(answer), hottest_c) {
            (None, _) => Some("a temperature with its unit, such as 425 °C or 797 °F".to_owned()),
            (Some(tempered_c), Some(oven_c)) if tempered_c < oven_c + BELOW_TEMPERING_C => {
                let least = self.units.temperature(oven_c + BELOW_TEMPERING_C, oven_c + BELOW_TEMPERING_C);
                Some(format!("{least} or more, for the ovens of these papers"))
            }
            _ => None,
        }
    }
}

impl OpenChoice {
    /// Whether the parties agreed on something else than the proposal.
    fn departs(&self) -> bool {
        let plain = |text: &str| text.trim().trim_end_matches('.').to_lowercase();
        let Some(answer) = self.settled().map(plain) else { return false };
        let proposed = plain(&self.proposed);
        // what follows a semicolon says what the proposal means for these papers
        let core = proposed.split(';').next().unwrap_or_default().trim_end();
        let leaves_friction = self.bears_on == Some(BearsOn::Friction)
            && LEAVES_FRICTION.iter().any(|words| answer.ends_with(words));
        ![proposed.as_str(), core, AS_PROPOSED].contains(&answer.as_str()) && !leaves_friction
    }
}

impl OrderNote {
    fn departing(&self, of: BearsOn) -> impl Iterator<Item = &OpenChoice> {
        self.open.iter().filter(move |open| open.bears_on == Some(of) && open.departs())
    }

    /// Whether an answer differs from what a part of the papers was made for.
    pub(super) fn departs(&self, of: BearsOn) -> bool {
        self.departing(of).next().is_some()
    }

    /// What the order says of it, where that differs from the proposal.
    pub(super) fn as_ordered(&self, of: BearsOn) -> Option<String> {
        let said: Vec<String> = self.departing(of).map(OpenChoice::in_words).collect();
        (!said.is_empty()).then(|| format!("As the order says. {}", said.join(" ")))
    }

    /// What no longer stands in these papers, one sentence each.
    pub(super) fn departures_in_words(&self) -> impl Iterator<Item = String> {
        [BearsOn::Friction, BearsOn::SaltSpray, BearsOn::Sampling]
            .into_iter()
            .filter(|of| self.departs(*of))
            .map(|of| match of {
                BearsOn::Friction => NO_TORQUE.to_owned(),
                of => format!("{}: the order differs from the proposal and governs.", capital(of.words())),
            })
    }
}

/// The lowest temperature of an answer, °C: numbers with their unit, and the other end of a range.
fn lowest_temperature_c(answer: &str) -> Option<f64> {
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    let (mut lowest, mut pending): (Option<f64>, Vec<f64>) = (None, Vec::new());
    let mut rest = answer;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let (before, from) = rest.split_at(start);
        if !BETWEEN.contains(&before.trim()) {
            pending.clear();
        }
        let end = from.find(|c| !is_number(c)).unwrap_or(from.len());
        let (digits, after) = from.split_at(end);
        pending.extend(digits.trim_end_matches('.').parse::<f64>());
        rest = after;
        let unit = after.trim_start().trim_start_matches('°').trim_start();
        let mut letters = unit.chars();
        let scale = letters.next();
        if letters.next().is_some_and(char::is_alphanumeric) {
            continue;
        }
        let to_c: fn(f64) -> f64 = match scale {
            Some('C') => |c| c,
            Some('F') => |f| (f - 32.0) / 1.8,
            _ => continue,
        };
        let here = pending.drain(..).map(to_c).reduce(f64::min);
        lowest = lowest.into_iter().chain(here).reduce(f64::min);
        rest = letters.as_str();
    }
    lowest
}

#[cfg(test)]
mod tests {
    use super::lowest_temperature_c;

    #[test]
    fn a_temperature_is_read_with_its_unit() {
        assert_eq!(lowest_temperature_c("425 °C"), Some(425.0));
        assert_eq!(lowest_temperature_c("certificate 4711, 230°C, not underlined"), Some(230.0));
        assert_eq!(lowest_temperature_c("425 to 440 °C"), Some(425.0));
        assert_eq!(lowest_temperature_c("600 °C, lowest 380.5 °C"), Some(380.5));
        let fahrenheit = lowest_temperature_c("797 F").unwrap();
        assert!((fahrenheit - 425.0).abs() < 1e-9);
        for unread in ["", "425", "certificate 4711", "425 HV", "see drawing", "12.9, 300 Foo"] {
            assert_eq!(lowest_temperature_c(unread), None, "{unread}");
        }
    }
}
