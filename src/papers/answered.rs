//! What an answer of the parties changes in papers that were made before it.
//!
//! The order prints every answer. What else is based on the choice goes one of three ways: the papers are rejected, since
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
/// What a proposal begins with that the parties have to enter.
const TO_BE_ENTERED: &str = "to be entered";
/// First words of an answer that leaves a thing out.
const NOTHING: [&str; 4] = ["none", "no", "without", "not"];
/// Of a weight in mg/ft² that of one g/m².
const MG_PER_FT2: f64 = 92.903;
/// How far a weight may depart by rounding between the units, g/m².
const ROUNDED_G_PER_M2: f64 = 0.6;
/// How far a printed limit is below that of the route: 5 °F, to which °F of ovens are rounded down.
const ROUNDED_K: f64 = 5.0 / 1.8;
/// What an answer with a temperature must have.
const WITH_ITS_UNIT: &str = "a temperature with its unit, such as 425 °C or 797 °F";
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
                Some(BearsOn::OvenLimit) if choice.departs() => self.too_low_for(answer),
                Some(BearsOn::Specimens) if choice.departs() => other_type(answer, &choice.proposed)
                    .or_else(|| too_few(answer, &choice.proposed, "that the test has")),
                Some(BearsOn::Layer | BearsOn::Friction) if choice.is_needed() && is_nothing(answer) => {
                    Some("a product by type and name, since the route applies it".to_owned())
                }
                Some(BearsOn::CoatingWeight) if choice.departs() => off_weight(answer, &choice.proposed),
                Some(BearsOn::Pieces) if choice.departs() && !self.order.departs(BearsOn::Sampling) => {
                    too_few(answer, &choice.proposed, "which the tests destroy")
                }
                Some(BearsOn::Rework)
                    if is_scrap(&choice.proposed) && !is_scrap(answer) && choice.departs() =>
                {
                    Some("scrap: no second pass without the consent that is named".to_owned())
                }
                _ => None,
            };
            misfits.extend(allowed.map(|allowed| Misfit { at, choice, allowed }));
        }
        misfits
    }

    /// The highest temperature of the ovens of the route.
    fn hottest_oven_c(&self) -> Option<f64> {
        let steps = self.route.steps.iter().filter(|step| OVENS.contains(&step.kind));
        steps.filter_map(|step| step.temperature_c.as_ref()).map(|t| t.high).reduce(f64::max)
    }

    /// What the highest temperature that a maker permits must be for the route; none where it is.
    fn too_low_for(&self, answer: &str) -> Option<String> {
        match (lowest_temperature_c(answer), self.route.hottest_c()) {
            (None, _) => Some(WITH_ITS_UNIT.to_owned()),
            // a limit as it is printed, rounded
            (Some(permitted_c), Some(hottest_c)) if permitted_c < hottest_c - ROUNDED_K => {
                Some(format!("{} or more, for the route of these papers", self.units.oven_limit(hottest_c)))
            }
            _ => None,
        }
    }

    /// What a tempering temperature must be for the ovens of the route; none where it is.
    fn too_hot_for(&self, answer: &str) -> Option<String> {
        match (lowest_temperature_c(answer), self.hottest_oven_c()) {
            (None, _) => Some(WITH_ITS_UNIT.to_owned()),
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
        let core = match self.bears_on {
            Some(BearsOn::Rework) => proposed.as_str(),
            _ => proposed.split(';').next().unwrap_or_default().trim_end(),
        };
        // an answer can say more than what was proposed
        let says_more = self.bears_on == Some(BearsOn::Route)
            && answer
                .strip_prefix(core)
                .is_some_and(|more| more.starts_with([',', ';', '(']) || more.starts_with(" ("));
        let leaves_friction = self.bears_on == Some(BearsOn::Friction)
            && LEAVES_FRICTION.iter().any(|words| answer.ends_with(words));
        ![proposed.as_str(), core, AS_PROPOSED].contains(&answer.as_str()) && !says_more && !leaves_friction
    }

    /// Whether the answer has to name something.
    fn is_needed(&self) -> bool {
        self.proposed.starts_with(TO_BE_ENTERED)
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

    /// What these papers no longer hold, one sentence each.
    pub(super) fn departures_in_words(&self) -> impl Iterator<Item = String> {
        [BearsOn::Friction, BearsOn::SaltSpray, BearsOn::Sampling, BearsOn::CoatingWeight]
            .into_iter()
            .filter(|of| self.departs(*of))
            .map(|of| match of {
                BearsOn::Friction => NO_TORQUE.to_owned(),
                of => format!("{}: the order differs from the proposal and governs.", capital(of.words())),
            })
    }
}

fn first_word(text: &str) -> String {
    text.trim().chars().take_while(|c| c.is_alphabetic()).collect::<String>().to_lowercase()
}

fn is_nothing(answer: &str) -> bool {
    NOTHING.contains(&first_word(answer).as_str())
}

fn is_scrap(text: &str) -> bool {
    first_word(text) == "scrap"
}

/// What a number of pieces must be; none where there are enough.
fn too_few(answer: &str, proposed: &str, why: &str) -> Option<String> {
    let count = |text: &str| {
        let digits: String = text.chars().filter(|c| *c != ',').skip_while(|c| !c.is_ascii_digit()).collect();
        digits.split(|c: char| !c.is_ascii_digit()).next().and_then(|digits| digits.parse::<u32>().ok())
    };
    let least = count(proposed)?;
    let enough = count(answer).is_some_and(|pieces| pieces >= least);
    (!enough).then(|| format!("{least} pieces or more, {why}"))
}

/// The specimens of a test where an answer names others: `1c` in place of `1a.1`.
fn other_type(answer: &str, proposed: &str) -> Option<String> {
    let types = |text: &str| {
        let words =
            text.split(|c: char| !(c.is_alphanumeric() || c == '.')).map(|word| word.trim_end_matches('.'));
        let is_type = |word: &&str| {
            let mut letters = word.chars().skip_while(char::is_ascii_digit);
            let digits = word.starts_with(|c: char| c.is_ascii_digit());
            digits
                && letters.next().is_some_and(|c| c.is_ascii_lowercase())
                && letters.next().is_none_or(|c| c == '.')
        };
        words.filter(is_type).map(str::to_owned).collect::<Vec<String>>()
    };
    let own = types(proposed);
    let other = types(answer).into_iter().any(|named| !own.contains(&named));
    (other && !own.is_empty())
        .then(|| format!("type {}, which steps and plan are made for", own.join(" or ")))
}

/// What a coating weight must be; none where it is within what the papers were made for.
fn off_weight(answer: &str, proposed: &str) -> Option<String> {
    let allowed = || format!("{proposed}, with the unit");
    let (least, most) = weights_g_per_m2(proposed)?;
    let Some((low, high)) = weights_g_per_m2(answer) else { return Some(allowed()) };
    let or_more = proposed.contains("or more");
    let fits = low >= least - ROUNDED_G_PER_M2 && (or_more || high <= most + ROUNDED_G_PER_M2);
    (!fits).then(allowed)
}

/// The lowest and the highest weight of a text, g/m²: numbers ahead of either unit.
fn weights_g_per_m2(text: &str) -> Option<(f64, f64)> {
    let (of_metric, unit_g_per_m2) = match (text.split_once("g/m²"), text.split_once("mg/ft²")) {
        (Some((metric, _)), _) => (metric, 1.0),
        (None, Some((inch, _))) => (inch, 1.0 / MG_PER_FT2),
        (None, None) => return None,
    };
    let numbers = of_metric.split(|c: char| !(c.is_ascii_digit() || c == '.'));
    let numbers = numbers.filter_map(|digits| digits.parse::<f64>().ok());
    let mut ends: Vec<f64> = numbers.map(|number| number * unit_g_per_m2).collect();
    ends.sort_by(f64::total_cmp);
    Some((*ends.first()?, *ends.last()?))
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
