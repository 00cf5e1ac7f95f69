//! What an answer of the parties changes in papers that were made before it.
//!
//! The order prints every answer. What else is based on the choice goes one of three ways: the papers are rejected, since
//! their route was made for another answer; a test or a sample refers to the order; a torque is left out.

use crate::brief::customary::MIL_UM;
use crate::check::BELOW_TEMPERING_C;
use crate::error::{Error, invalid};
use crate::finish::process::BearsOn;
use crate::papers::order::{OpenChoice, OrderNote};
use crate::papers::route::OVENS;
use crate::papers::{Papers, capital};

/// What stands where a torque was.
const NO_TORQUE: &str = "No torque: friction, lubricant or sealer of the order differ from those that it was made for. Set it for the \
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
/// How far a thickness may depart by rounding between the units, µm.
const ROUNDED_UM: f64 = 0.5;
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
                _ if choice.contradiction().is_some() => choice
                    .contradiction()
                    .map(|word| format!("an answer without \"{word}\", which these papers contradict")),
                Some(BearsOn::Designation) if choice.departs() => self.another_designation(choice, answer),
                Some(BearsOn::Sampling) if is_nothing(answer) => {
                    Some("a sampling plan, or pieces with the number that is accepted".to_owned())
                }
                Some(BearsOn::Route) if choice.departs() => {
                    Some(format!("{}, which these papers were made for", choice.proposed))
                }
                Some(BearsOn::Ovens) if choice.departs() => self.too_hot_for(answer),
                Some(BearsOn::OvenLimit) if choice.departs() => self.too_low_for(answer),
                Some(BearsOn::Specimens) if choice.departs() => other_type(answer, &choice.proposed)
                    .or_else(|| too_few(answer, &choice.proposed, "that the test has")),
                Some(BearsOn::Layer | BearsOn::Lubricant | BearsOn::Friction)
                    if choice.is_needed() && is_nothing(answer) =>
                {
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

    /// What a designation must be: of a standard of the order, with the hours, thickness and class of these papers; none
    /// where it is.
    fn another_designation(&self, choice: &OpenChoice, answer: &str) -> Option<String> {
        let proposals = || self.order.open.iter().map(|open| open.proposed.as_str());
        let named = format!("{} {} {}", self.order.drawing_note, choice.question, choice.proposed);
        let known = standards(&named);
        let asked = standards(answer);
        let hours: Vec<f64> = [self.acceptance.salt_spray.hours, self.acceptance.salt_spray.white_hours]
            .into_iter()
            .flatten()
            .collect();
        let hours = if self.order.departs(BearsOn::SaltSpray) { Vec::new() } else { hours };
        let agrees = |unit: Measure| {
            let own = in_measure(&choice.proposed, unit);
            let own = match unit {
                _ if !own.is_empty() => own,
                Measure::Hours => hours.clone(),
                Measure::Class => {
                    let texts = proposals().chain([self.order.drawing_note.as_str()]);
                    texts.flat_map(|text| in_measure(text, unit)).collect()
                }
                Measure::Micrometers | Measure::Mils => own,
            };
            let all = in_measure(answer, unit);
            let rounded = if unit == Measure::Micrometers { ROUNDED_UM } else { 1e-6 };
            own.is_empty() || all.iter().all(|value| own.iter().any(|own| (own - value).abs() <= rounded))
        };
        let fits = asked.iter().all(|standard| known.is_empty() || known.contains(standard))
            && Measure::ALL.into_iter().all(agrees);
        (!fits).then(|| format!("{}, or its edition alone: plan and route are made for it", choice.proposed))
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
        let fits: Vec<String> = self.also_fits.iter().map(|also| plain(also)).collect();
        let says_more = self.bears_on == Some(BearsOn::Route)
            && fits.iter().map(String::as_str).chain([core]).any(|core| {
                let more = answer.strip_prefix(core);
                more.is_some_and(|more| {
                    more.is_empty() || more.starts_with([',', ';', '(']) || more.starts_with(" (")
                })
            });
        let leaves_friction = self.bears_on == Some(BearsOn::Lubricant)
            && LEAVES_FRICTION.iter().any(|words| answer.ends_with(words));
        ![proposed.as_str(), core, AS_PROPOSED].contains(&answer.as_str())
            && !fits.contains(&answer)
            && !says_more
            && !leaves_friction
    }

    /// A word of the answer that the papers contradict.
    fn contradiction(&self) -> Option<&str> {
        let answer = format!(" {} ", words_of(self.settled()?));
        let mut words = self.contradicted_by.iter();
        words.find(|word| answer.contains(&format!(" {} ", words_of(word)))).map(String::as_str)
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

    /// Whether an answer differs from the friction that the papers were made for.
    fn changes_friction(&self) -> bool {
        self.departs(BearsOn::Friction) || self.departs(BearsOn::Lubricant)
    }

    /// What is said in place of what an answer changes, or an open choice; none where that stays as it is.
    pub(super) fn instead(&self, bears_on: Option<BearsOn>) -> Option<String> {
        match bears_on? {
            BearsOn::Torque if self.changes_friction() => Some(NO_TORQUE.to_owned()),
            BearsOn::Torque => self.open_torque(),
            // a sealer or lubricant that was agreed, with the window that goes on
            BearsOn::Friction if self.changes_friction() => {
                let window = self.open.iter().filter(|open| open.bears_on == Some(BearsOn::Friction));
                let said: Vec<String> =
                    self.departing(BearsOn::Lubricant).chain(window).map(OpenChoice::in_words).collect();
                Some(format!("As the order says. {}", said.join(" ")))
            }
            of => self.as_ordered(of),
        }
    }

    /// What stands for a torque while the order does not name what sets its friction.
    fn open_torque(&self) -> Option<String> {
        let of_friction = [Some(BearsOn::Friction), Some(BearsOn::Lubricant)];
        let waits = |open: &&OpenChoice| {
            of_friction.contains(&open.bears_on) && open.is_needed() && open.settled().is_none()
        };
        let named: Vec<&str> = self.open.iter().filter(waits).map(|open| open.question.as_str()).collect();
        (!named.is_empty()).then(|| {
            format!(
                "Open, torque: none, that of the tables neither, before the order names this: {}. Enter it and print again.",
                named.join("; ")
            )
        })
    }

    /// What the order says of it, where that differs from the proposal.
    pub(super) fn as_ordered(&self, of: BearsOn) -> Option<String> {
        let said: Vec<String> = self.departing(of).map(OpenChoice::in_words).collect();
        (!said.is_empty()).then(|| format!("As the order says. {}", said.join(" ")))
    }

    /// What these papers no longer hold, one sentence each.
    pub(super) fn departures_in_words(&self) -> impl Iterator<Item = String> {
        let torque = self.changes_friction().then(|| NO_TORQUE.to_owned());
        let governs = [BearsOn::SaltSpray, BearsOn::Sampling, BearsOn::CoatingWeight].into_iter();
        let governs = governs.filter(|of| self.departs(*of));
        torque.into_iter().chain(
            governs.map(|of| {
                format!("{}: the order differs from the proposal and governs.", capital(of.words()))
            }),
        )
    }
}

/// The words of a text in lower case, a space between two.
fn words_of(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join(" ")
}

/// Bodies that number the standards of finishes.
const BODIES: [&str; 9] = ["iso", "astm", "en", "din", "sae", "ams", "mil", "tt", "dod"];

/// The standards that a text names, by body and number: `iso 10683`, `mil 16232`.
fn standards(text: &str) -> Vec<(String, String)> {
    let words = words_of(text);
    let words: Vec<&str> = words.split(' ').collect();
    let mut named = Vec::new();
    for (at, body) in words.iter().enumerate().filter(|(_, word)| BODIES.contains(word)) {
        // what stands between, such as DTL or PRF, is one or two words without a digit
        let number =
            words.iter().skip(at + 1).take(3).find(|word| word.contains(|c: char| c.is_ascii_digit()));
        let digits: Option<String> =
            number.map(|word| word.trim_end_matches(|c: char| c.is_alphabetic()).to_owned());
        named.extend(digits.filter(|digits| !digits.is_empty()).map(|digits| ((*body).to_owned(), digits)));
    }
    named
}

/// What of a designation the plan repeats.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Measure {
    Hours,
    Micrometers,
    Mils,
    Class,
}

impl Measure {
    const ALL: [Self; 3] = [Self::Hours, Self::Micrometers, Self::Class];

    /// Words behind the number, or ahead of it.
    const fn words(self) -> &'static [&'static str] {
        match self {
            Self::Hours => &["h", "hours", "hrs", "hr"],
            Self::Micrometers => &["µm", "μm", "um", "microns"],
            Self::Mils => &["mil", "mils"],
            Self::Class => &["class"],
        }
    }
}

/// The numbers of a text with a measure: `720h`, `720 h`, `class 3`.
fn quantities(text: &str, measure: Measure) -> Vec<f64> {
    let text = text.to_lowercase();
    let mut parts: Vec<&str> = Vec::new();
    let mut rest = text.as_str();
    while let Some(first) = rest.chars().next() {
        let same = |c: char| match first {
            f if f.is_ascii_digit() => c.is_ascii_digit() || c == '.',
            f if f.is_alphabetic() => c.is_alphabetic(),
            _ => !c.is_ascii_digit() && !c.is_alphabetic(),
        };
        let (part, more) = rest.split_at(rest.find(|c| !same(c)).unwrap_or(rest.len()));
        if part.contains(char::is_alphanumeric) {
            parts.push(part);
        }
        rest = more;
    }
    let is_measure = |at: Option<usize>| {
        at.and_then(|at| parts.get(at)).is_some_and(|part| measure.words().contains(part))
    };
    let beside = |at: usize| if measure == Measure::Class { at.checked_sub(1) } else { Some(at + 1) };
    let with_measure = parts.iter().enumerate().filter(|(at, _)| is_measure(beside(*at)));
    with_measure.filter_map(|(_, part)| part.trim_end_matches('.').parse().ok()).collect()
}

/// The same with a thickness in mil as one in µm.
fn in_measure(text: &str, measure: Measure) -> Vec<f64> {
    let mut all = quantities(text, measure);
    if measure == Measure::Micrometers {
        all.extend(quantities(text, Measure::Mils).into_iter().map(|mil| mil * MIL_UM));
    }
    all
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
    use super::{Measure, lowest_temperature_c, quantities, standards};

    #[test]
    fn a_designation_is_read_by_its_standard_and_its_quantities() {
        let named = standards("ISO 10683 - flZnL/nc/TL(black)/720h/C (or ASTM F1136/F1136M), MIL-DTL-16232G");
        let all: Vec<String> = named.iter().map(|(body, number)| format!("{body} {number}")).collect();
        assert_eq!(all, ["iso 10683", "astm f1136", "mil 16232"]);
        assert!(standards("revision E, in force").is_empty());
        assert_eq!(quantities("flZnL/nc/TL(black)/720h/C, 480 hours", Measure::Hours), [720.0, 480.0]);
        assert_eq!(quantities("zinc 8 µm; class 3, no coat", Measure::Micrometers), [8.0]);
        assert_eq!(quantities("zinc 8 µm; class 3, no coat", Measure::Class), [3.0]);
        assert!(quantities("9227:2017, 4 heats", Measure::Hours).is_empty());
        // a superscript is neither a digit nor a letter
        assert_eq!(quantities("16 g/m² (1500 mg/ft²), 2½ h, 24 h", Measure::Hours), [24.0]);
    }

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
