//! Pictures as SVG, drawn narrow so that their letters can be read on a phone and beside each other on a desk.
//!
//! Colors come from the page by class (`ink`, `soft`, `line`, `mark`, `good`, `bad`), so that a picture follows light and
//! dark; what a color says, a label, a shape or a line style says too.

use std::fmt::Write as _;

use crate::papers::html::escaped;
use crate::rank::verdict::NOT_STATED;
use crate::rank::words::{OUTSIDE, amount, percent_beside, years, years_short};
use crate::report::answer::{Answer, Row};
use crate::report::terminal::wrapped_to;

/// Units of the drawing across.
const WIDTH: f64 = 380.0;
/// Distance of the plot from the edges.
const LEFT: f64 = 40.0;
const RIGHT: f64 = 12.0;
/// Letters that fit one line.
const LINE: usize = 60;
/// Options drawn by their range of years.
const RANGES: usize = 6;
/// Years beyond which a range is drawn as an arrow.
const MOST_YEARS: f64 = 100.0;
/// Share of the required years below which a range is drawn as an arrow.
const LEAST_SHARE: f64 = 0.04;
/// What stands before years beyond the evidence.
const BEYOND: char = '>';
/// Units between the labels of an axis, or more.
const LABEL_DISTANCE: f64 = 50.0;

/// A drawing under way.
struct Drawing {
    body: String,
    height: f64,
}

impl Drawing {
    fn new(height: f64) -> Self {
        Self { body: String::new(), height }
    }

    fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64)) {
        let ((x1, y1), (x2, y2)) = (from, to);
        let _ = write!(
            self.body,
            r#"<line class="{class}" x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}"/>"#
        );
    }

    fn text(&mut self, class: &str, at: (f64, f64), anchor: &str, text: &str) {
        let (x, y) = at;
        let text = escaped(text);
        let _ = write!(
            self.body,
            r#"<text class="{class}" x="{x:.1}" y="{y:.1}" text-anchor="{anchor}">{text}</text>"#
        );
    }

    fn dot(&mut self, class: &str, at: (f64, f64), radius: f64, title: &str) {
        let (x, y) = at;
        let title = escaped(title);
        let _ = write!(
            self.body,
            r#"<circle class="{class}" cx="{x:.1}" cy="{y:.1}" r="{radius}"><title>{title}</title></circle>"#
        );
    }

    fn rectangle(&mut self, style: &str, corner: (f64, f64), size: (f64, f64)) {
        let ((x, y), (width, height)) = (corner, size);
        let _ = write!(
            self.body,
            r#"<rect {style} x="{x:.1}" y="{y:.1}" width="{width:.1}" height="{height:.1}"/>"#
        );
    }

    /// An arrowhead at the end of a range that goes on.
    fn arrow(&mut self, at: (f64, f64), direction: f64) {
        let (x, y) = at;
        let back = x - 6.0 * direction;
        let _ = write!(
            self.body,
            r#"<path class="mark fill" d="M{x:.1} {y:.1}L{back:.1} {:.1}L{back:.1} {:.1}Z"/>"#,
            y - 4.0,
            y + 4.0
        );
    }

    /// The picture with what it shows in words, for those who do not see it.
    fn finish(self, id: &str, description: &str) -> String {
        format!(
            r#"<svg class="picture" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {:.0}" role="img" aria-labelledby="{id}-description"><desc id="{id}-description">{}</desc>{}</svg>"#,
            self.height,
            escaped(description),
            self.body
        )
    }
}

fn cut(text: &str, letters: usize) -> String {
    match text.char_indices().nth(letters) {
        Some((end, _)) => format!("{}…", text.get(..end).unwrap_or_default().trim_end()),
        None => text.to_owned(),
    }
}

/// A logarithmic axis from left to right.
struct Axis {
    low: f64,
    high: f64,
}

impl Axis {
    fn at(&self, value: f64) -> f64 {
        let share = (value / self.low).ln() / (self.high / self.low).ln();
        LEFT + share.clamp(0.0, 1.0) * (WIDTH - LEFT - RIGHT)
    }

    /// Those of the values that lie within and are far enough apart to be labeled.
    fn labeled(&self, values: impl IntoIterator<Item = f64>) -> Vec<f64> {
        let mut found: Vec<f64> = Vec::new();
        for value in values {
            let apart = |last: &f64| self.at(value) - self.at(*last) >= LABEL_DISTANCE;
            if (self.low..=self.high).contains(&value) && found.last().is_none_or(apart) {
                found.push(value);
            }
        }
        found
    }
}

/// A picture with the sentence that it shows.
#[derive(Debug, Clone, serde::Serialize)]
pub(crate) struct Picture {
    pub(crate) title: String,
    pub(crate) svg: String,
}

/// Median years with their 80% range against the required years, an option a line.
pub(crate) fn ranges(answer: &Answer) -> Option<Picture> {
    let first = answer.rows.first()?;
    let shown = decisive(answer, RANGES);
    let required = answer.required_years;
    let least = required * LEAST_SHARE;
    let values = || shown.iter().flat_map(|row| [row.p10_years, row.p90_years]).chain([required]);
    let axis = Axis {
        low: values().fold(f64::INFINITY, f64::min).max(least) * 0.8,
        high: values().fold(0.0, f64::max).min(MOST_YEARS) * 1.15,
    };
    let (top, step, line) = (26.0, 34.0, 13.0);
    // what all share says nothing, and leaves no room for what tells them apart
    let same_process = shown.iter().all(|row| row.process == first.process);
    let same_metal = shown.iter().all(|row| row.words.metal == first.words.metal);
    let name = |row: &Row| {
        let line = row.line.replace(OUTSIDE, "");
        let rest = match line.split_once(", ") {
            Some((_, rest)) if same_metal => rest.to_owned(),
            _ => line,
        };
        match rest.split_once(", ") {
            Some((_, coats)) if same_metal && same_process => coats.to_owned(),
            _ => rest,
        }
    };
    let labels: Vec<Vec<String>> =
        shown.iter().map(|row| wrapped_to(LINE, &format!("#{} {}", row.number, name(row)), "", "")).collect();
    let height = |lines: &Vec<String>| step + line * lines.len().saturating_sub(1) as f64;
    let bottom = top + labels.iter().map(height).sum::<f64>();
    let mut drawing = Drawing::new(bottom + 34.0);
    let days_to_decades = [1.0, 7.0, 30.4, 91.3, 182.6]
        .map(|days| days / 365.25)
        .into_iter()
        .chain([1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0]);
    for value in axis.labeled(days_to_decades) {
        let x = axis.at(value);
        drawing.line("line", (x, top), (x, bottom));
        drawing.text("soft", (x, bottom + 14.0), "middle", &years_short(value));
    }
    let x = axis.at(required);
    drawing.line("ink dashed", (x, top - 8.0), (x, top));
    let anchor = if x > WIDTH / 2.0 { "end" } else { "start" };
    drawing.text("ink strong", (x, top - 12.0), anchor, &format!("{} required", years(required)));
    drawing.text(
        "soft",
        (WIDTH - RIGHT, bottom + 29.0),
        "end",
        "years to failure (log scale); bar: 80% range, arrow: more",
    );
    let mut y = top;
    for (row, label) in shown.iter().zip(&labels) {
        let (low, high) = (axis.at(row.p10_years), axis.at(row.p90_years));
        for (at, text) in label.iter().enumerate() {
            drawing.text("ink", (2.0, y + 11.0 + line * at as f64), "start", text);
        }
        let tall = height(label);
        let bar = y + tall - 11.0;
        y += tall;
        drawing.text("soft", (2.0, bar + 4.0), "start", &row.chance);
        // beside the bars alone, so that it strikes through no name
        drawing.line("ink dashed", (axis.at(required), bar - 10.0), (axis.at(required), bar + 10.0));
        drawing.line("mark wide", (low, bar), (high, bar));
        if row.p10_years < axis.low {
            drawing.arrow((LEFT, bar), -1.0);
        }
        // beyond the evidence the bar goes on, and no dot says where the median is
        if row.p90_years > axis.high || row.range.contains(BEYOND) {
            drawing.arrow((high.min(WIDTH - RIGHT) + 6.0, bar), 1.0);
        }
        let said = format!("#{}: median {}", row.number, row.median_words);
        if !row.median.contains(BEYOND) {
            drawing.dot(if row.met { "good" } else { "bad" }, (axis.at(row.median_years), bar), 4.5, &said);
        }
    }
    let told = shown.iter().find(|row| row.number == answer.order).unwrap_or(&first);
    let number = told.number;
    let title = if told.median_words == told.least_words {
        format!("#{number} lasts {} in 9 of 10 cases", told.least_words)
    } else {
        format!(
            "#{number} lasts {} in the median; in 1 case of 10 it lasts less than {}",
            told.median_words, told.least_words
        )
    };
    let description = shown
        .iter()
        .map(|row| format!("#{}: median {}, 80% range {}", row.number, row.median, row.range))
        .collect::<Vec<_>>()
        .join("; ");
    Some(Picture {
        title,
        svg: drawing.finish("ranges", &format!("{}. {description}.", years(required) + " required")),
    })
}

/// From where a label begins to its middle.
const LABEL_SHIFT: f64 = 11.0;
/// Where the middle of a label lies from its anchor, in shifts, and the anchor.
type Anchor = (f64, &'static str);

/// A place for the label of a dot: beside it, above or below it, clear of the line of the target and of what is taken.
fn label_beside((x, y): (f64, f64), target: f64, taken: &[(f64, f64)]) -> (Anchor, (f64, f64)) {
    let places: [(Anchor, (f64, f64)); 6] = [
        ((1.0, "start"), (x + 9.0, y + 4.0)),
        ((-1.0, "end"), (x - 9.0, y + 4.0)),
        ((1.0, "start"), (x + 6.0, y - 8.0)),
        ((-1.0, "end"), (x - 6.0, y - 8.0)),
        ((1.0, "start"), (x + 6.0, y + 17.0)),
        ((-1.0, "end"), (x - 6.0, y + 17.0)),
    ];
    let clear = |(anchor, (x, at)): &(Anchor, (f64, f64))| {
        let middle = (x + LABEL_SHIFT * anchor.0, at - 4.0);
        let inside = (LEFT..=WIDTH - RIGHT).contains(&(x + 2.0 * LABEL_SHIFT * anchor.0));
        let apart =
            |other: &(f64, f64)| (other.0 - middle.0).abs() > 18.0 || (other.1 - middle.1).abs() > 10.0;
        inside && (middle.1 - target).abs() > 7.0 && taken.iter().all(apart)
    };
    let [beside, ..] = places;
    places.into_iter().find(clear).unwrap_or(beside)
}

/// The first options, with those that the verdict names.
fn decisive(answer: &Answer, most: usize) -> Vec<&Row> {
    let mut shown: Vec<&Row> = answer.rows.iter().take(most).collect();
    for number in answer.picks.iter().filter_map(|pick| pick.number) {
        let known = shown.iter().any(|row| row.number == number);
        if let Some(row) = answer.rows.iter().find(|row| row.number == number).filter(|_| !known) {
            if shown.len() >= most {
                shown.pop();
            }
            shown.push(row);
        }
    }
    shown
}

/// Cost against probability, with the target.
pub(crate) fn costs(answer: &Answer) -> Option<Picture> {
    let first = answer.rows.first()?;
    let (top, bottom) = (26.0, 226.0);
    let within = |cost: f64| cost > 0.0 && cost.is_finite();
    let values: Vec<f64> = answer.rows.iter().map(|row| row.cost).filter(|cost| within(*cost)).collect();
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    // what costs many times the cheapest, for its replacements, is not a choice
    let picked_cost = |row: &&Row| answer.picks.iter().any(|pick| pick.number == Some(row.number));
    let dearest_pick = answer.rows.iter().filter(picked_cost).map(|row| row.cost).fold(first.cost, f64::max);
    let high = values.iter().copied().fold(0.0, f64::max).min(low * 30.0).max(dearest_pick);
    let axis = Axis { low: low * 0.9, high: high * 1.15 };
    let y = |probability: f64| bottom - probability.clamp(0.0, 1.0) * (bottom - top);
    let mut drawing = Drawing::new(bottom + 34.0);
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        drawing.line("line", (LEFT, y(share)), (WIDTH - RIGHT, y(share)));
        drawing.text("soft", (LEFT - 4.0, y(share) + 4.0), "end", &format!("{:.0}%", share * 100.0));
    }
    let decades = (-2..9).flat_map(|power| [1.0, 2.0, 5.0].map(|digit| digit * 10_f64.powi(power)));
    for value in axis.labeled(decades) {
        drawing.line("line", (axis.at(value), top), (axis.at(value), bottom));
        let label = if value < 1.0 { format!("{value}") } else { amount(value).replace(".00", "") };
        drawing.text("soft", (axis.at(value), bottom + 14.0), "middle", &label);
    }
    let heading = if answer.relative { "relative cost" } else { answer.cost_heading.as_str() };
    drawing.text(
        "soft",
        (WIDTH - RIGHT, bottom + 29.0),
        "end",
        &format!("{heading} per 1,000 over {}", answer.required),
    );
    drawing.text("soft", (2.0, 10.0), "start", &format!("probability of {}", answer.required));
    drawing.line("ink dashed", (LEFT, y(answer.target)), (WIDTH - RIGHT, y(answer.target)));
    let above = if answer.target > 0.93 { 12.0 } else { -4.0 };
    drawing.text(
        "ink strong",
        (WIDTH - RIGHT, y(answer.target) + above),
        "end",
        &format!("target {}", answer.target_words),
    );
    let picked: Vec<usize> = answer.picks.iter().filter_map(|pick| pick.number).collect();
    let mut beyond = 0;
    for row in answer.rows.iter().rev() {
        if row.cost > axis.high {
            beyond += 1;
            continue;
        }
        // what is in the table beside it is named; a hundred names more would be a page of their own
        let named = row.number <= RANGES || picked.contains(&row.number);
        let name = if named { format!(" {}", row.line) } else { String::new() };
        let said = format!("#{}{name}: {}, {}", row.number, row.chance, row.money);
        let class = if row.met { "good" } else { "bad" };
        let radius = if picked.contains(&row.number) { 6.0 } else { 2.5 };
        drawing.dot(class, (axis.at(row.cost), y(row.probability)), radius, &said);
    }
    let named: Vec<(&Row, (f64, f64))> = answer
        .rows
        .iter()
        .filter(|row| picked.contains(&row.number) && row.cost <= axis.high)
        .map(|row| (row, (axis.at(row.cost), y(row.probability))))
        .collect();
    let mut taken: Vec<(f64, f64)> = named.iter().map(|(_, dot)| *dot).collect();
    for (row, dot) in &named {
        let (anchor, (x, at)) = label_beside(*dot, y(answer.target), &taken);
        // the middle of the label
        taken.push((x + LABEL_SHIFT * anchor.0, at - 4.0));
        drawing.text("ink strong", (x, at), anchor.1, &format!("#{}", row.number));
    }
    if beyond > 0 {
        let said = format!("{beyond} more cost over {}", amount(axis.high));
        drawing.text("soft", (WIDTH - RIGHT, top - 14.0), "end", &said);
    }
    let reaching = answer.rows.iter().filter(|row| row.met).count();
    let title = match reaching {
        0 if first.chance == NOT_STATED => {
            format!("No option reaches {} within the evidence", answer.target_words)
        }
        0 => format!(
            "No option reaches {}; the highest is {}",
            answer.target_words,
            percent_beside(answer.rows.iter().map(|row| row.probability).fold(0.0, f64::max), answer.target)
        ),
        1 => format!("1 option reaches {}", answer.target_words),
        n => format!("{n} options reach {}; those to the left cost least", answer.target_words),
    };
    let description = format!(
        "Cost per 1,000 pieces against the probability of {}, {} options. {title}.",
        answer.required,
        answer.rows.len()
    );
    Some(Picture { title, svg: drawing.finish("costs", &description) })
}

/// Letters of a row of a heat map on a line, and of a place.
const ROW_LETTERS: usize = 27;
const PLACE_LETTERS: usize = 26;

/// A cell of a table of probabilities: a number, or the word that stands for none.
pub(crate) type HeatCell = Result<f64, &'static str>;

/// A table of probabilities as colored cells, each with its number.
pub(crate) fn heat_map(
    columns: &[String],
    rows: &[(String, Vec<HeatCell>)],
    target: f64,
    description: &str,
) -> String {
    let (top, left, step, line) = (150.0, 160.0, 20.0, 12.0);
    let cell = (WIDTH - left - 2.0) / columns.len().max(1) as f64;
    let names: Vec<Vec<String>> =
        rows.iter().map(|(name, _)| wrapped_to(ROW_LETTERS, name, "", "")).collect();
    let height = |lines: &Vec<String>| step + line * lines.len().saturating_sub(1) as f64;
    let mut drawing = Drawing::new(top + names.iter().map(height).sum::<f64>() + 4.0);
    for (place, name) in columns.iter().enumerate() {
        let x = left + cell * (place as f64 + 0.5);
        let _ = write!(
            drawing.body,
            r#"<text class="ink" transform="translate({:.1} {:.1}) rotate(-90)">{}</text>"#,
            x + 4.0,
            top - 4.0,
            escaped(&cut(name, PLACE_LETTERS))
        );
    }
    let mut y = top;
    for ((_, values), lines) in rows.iter().zip(&names) {
        let tall = height(lines);
        for (at, text) in lines.iter().enumerate() {
            drawing.text("ink", (2.0, y + 14.0 + line * at as f64), "start", text);
        }
        let middle = y + tall / 2.0 + 4.0;
        for (column, value) in values.iter().enumerate() {
            let x = left + cell * column as f64;
            let value = match value {
                Ok(value) => value,
                Err(word) => {
                    drawing.text("soft", (x + cell / 2.0, middle), "middle", word);
                    continue;
                }
            };
            // the darkest of five steps reaches the target; letters stand out from each
            let step_of = if *value >= target { 4.0 } else { (value / target * 4.0).floor().clamp(0.0, 3.0) };
            let style = format!(r#"class="heat heat{step_of:.0}""#);
            drawing.rectangle(&style, (x + 0.5, y + 0.5), (cell - 1.0, tall - 1.0));
            let said = percent_beside(*value, target);
            let said = said.trim_end_matches('%');
            let narrow = if said.len() > 2 { " narrow" } else { "" };
            let class = format!("heat-text{step_of:.0}{narrow}");
            drawing.text(&class, (x + cell / 2.0, middle), "middle", said);
        }
        y += tall;
    }
    drawing.finish("chart", description)
}
