//! The chart of choices.

use std::path::PathBuf;

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, presets};
use serde_json::json;

use crate::catalog::Catalog;
use crate::command::answers::{brief_in, deliver, output_apart};
use crate::command::arguments::{ChartForm, ChartOf};
use crate::command::start::place_named;
use crate::command::{Outcome, Streams};
use crate::finish::Build;
use crate::report::{BuildWords, PageOptions, chart_page, percent, today, wrapped, years};
use crate::study::{Chart, chart as chart_of, plain_brief};

/// Columns of the table where the terminal does not say how many it has, and the most.
const COLUMNS: usize = 80;
const WIDEST: usize = 120;

pub(super) fn chart(asked: &ChartOf, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    output_apart(
        asked.out.as_deref(),
        asked.brief.iter().chain(&asked.catalogs.catalog).map(PathBuf::as_path),
    )?;
    let mut brief = match &asked.brief {
        Some(path) => brief_in(path)?,
        None => plain_brief(5.0)?,
    };
    if let Some(years) = asked.years {
        brief.duty.required_years = years;
        brief.check()?;
    }
    let builds = asked.builds.iter().map(|build| build.parse()).collect::<crate::Result<Vec<Build>>>()?;
    let builds = (!builds.is_empty()).then_some(builds);
    let places: Vec<String> = asked.places.iter().map(|typed| place_named(&catalog, typed)).collect();
    let places = (!places.is_empty()).then_some(places.as_slice());
    let found = chart_of(&brief, builds.as_deref(), places, &catalog)?;
    let form = if asked.json { ChartForm::Json } else { asked.format.unwrap_or(ChartForm::Table) };
    let title = format!("Chart of choices: {}", brief.name);
    let text = match form {
        ChartForm::Table => table(&found, &title, &catalog, streams.columns.filter(|_| asked.out.is_none())),
        ChartForm::Html => {
            let options =
                PageOptions { date: asked.date.clone().unwrap_or_else(today), ..PageOptions::default() };
            chart_page(&found, &title, &catalog, &options)
        }
        ChartForm::Json => json_of(&found),
    };
    deliver(&text, asked.out.as_deref(), streams)
}

/// The chart as a table of percentages, its places as numbered columns.
fn table(chart: &Chart, title: &str, catalog: &Catalog, columns: Option<usize>) -> String {
    let mut table = Table::new();
    let columns = columns.unwrap_or(COLUMNS).clamp(COLUMNS, WIDEST);
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(columns).unwrap_or(u16::MAX));
    let mut header = vec!["%".to_owned()];
    header.extend((1..=chart.places.len()).map(|number| number.to_string()));
    table.set_header(header);
    for (build, cells) in chart.builds.iter().zip(&chart.cells) {
        let mut row = vec![name(build, catalog)];
        row.extend(cells.iter().map(|cell| {
            if cell.blocked {
                "–".to_owned()
            } else {
                percent(cell.probability_ok).trim_end_matches('%').to_owned()
            }
        }));
        table.add_row(row);
    }
    for (at, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 1));
        if at > 0 {
            column.set_cell_alignment(CellAlignment::Right);
            // figures stay whole, names wrap
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    let mut lines = vec![
        title.to_owned(),
        format!("Probability of {} to {}, %; – is ruled out", years(chart.required_years), chart.failure),
        String::new(),
    ];
    lines.extend(table.lines().map(|line| line.trim_end().to_owned()));
    lines.push(String::new());
    let places = chart.places.iter().zip(1..);
    let places: Vec<String> = places
        .map(|(place, number)| format!("{number} {} ({})", place.name.replace('_', " "), place.category))
        .collect();
    lines.extend(wrapped(&places.join(", "), "", "  "));
    lines.push("Salt-spray hours are not service life. Local codes and qualified people decide.".to_owned());
    lines.join("\n") + "\n"
}

/// A finish in a few words: its coats, over the metal and process that all share.
fn name(build: &Build, catalog: &Catalog) -> String {
    let words = BuildWords::of(build, catalog);
    format!("{} {}, {}", words.metal, words.oxide, words.coats)
}

fn json_of(chart: &Chart) -> String {
    let rows: Vec<_> = chart
        .builds
        .iter()
        .zip(&chart.cells)
        .flat_map(|(build, cells)| {
            cells.iter().zip(&chart.places).map(move |(cell, place)| {
                json!({
                    "build": build.to_string(),
                    "place": place.name,
                    "category": place.category.to_string(),
                    "required_years": chart.required_years,
                    "probability_ok": cell.probability_ok,
                    "median_years": cell.median_years,
                    "blocked": cell.blocked,
                })
            })
        })
        .collect();
    format!("{}\n", json!(rows))
}
