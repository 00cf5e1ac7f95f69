//! Ranking and papers.

use std::path::{Path, PathBuf};

use crate::brief::Brief;
use crate::catalog::Catalog;
use crate::command::arguments::{Catalogs, Papers, PapersForm, Rank, RankForm, UnitSystem};
use crate::command::files::not_an_input;
use crate::command::{Outcome, Streams, Trouble, files};
use crate::error::nearest;
use crate::papers::{Units, papers as papers_of};
use crate::rank::{RankedOption, Ranking, rank as rank_brief};
use crate::report::{PageOptions, TerminalOptions, answer_page, papers_page, terminal, today};

/// The brief in a file, its numbers plain or as text with units.
pub(super) fn brief_in(path: &Path) -> Result<Brief, Trouble> {
    Ok(Brief::from_json_with_units(&files::read(path)?)?)
}

impl Catalogs {
    /// The built-in catalog, extended by the one that was named.
    pub(super) fn read(&self) -> Result<Catalog, Trouble> {
        match &self.catalog {
            Some(path) => Ok(Catalog::from_json(&files::read(path)?)?),
            None => Ok(Catalog::built_in().clone()),
        }
    }
}

/// Rejects an output that is one of the inputs.
pub(super) fn output_apart<'a>(
    out: Option<&Path>,
    inputs: impl Iterator<Item = &'a Path>,
) -> Result<(), Trouble> {
    out.map_or(Ok(()), |out| not_an_input(out, &inputs.collect::<Vec<_>>()))
}

/// Prints a text, or writes it to a file and says so.
pub(super) fn deliver(text: &str, out: Option<&Path>, streams: &mut Streams) -> Outcome {
    match out {
        None => streams.print(text)?,
        Some(path) => {
            files::write(path, text)?;
            streams.say(&format!("written: {}", path.display()));
        }
    }
    Ok(0)
}

pub(super) fn rank(asked: &Rank, streams: &mut Streams) -> Outcome {
    let form = if asked.json { RankForm::Json } else { asked.format.unwrap_or(RankForm::Table) };
    if asked.briefs.len() > 1 && form == RankForm::Html {
        return Err(Trouble::Refused("a page is of one brief. Call it once for each.".to_owned()));
    }
    let catalog = asked.catalogs.read()?;
    let inputs = asked.briefs.iter().map(PathBuf::as_path).chain(asked.catalogs.catalog.as_deref());
    output_apart(asked.out.as_deref(), inputs)?;
    let mut answers = Vec::with_capacity(asked.briefs.len());
    for path in &asked.briefs {
        let ranking = rank_brief(&brief_in(path)?, &catalog)?;
        answers.push(match form {
            RankForm::Json => ranking.to_json() + "\n",
            RankForm::Html => {
                let options = PageOptions {
                    top: asked.top.map(|top| top as usize),
                    date: asked.date.clone().unwrap_or_else(today),
                    revision: asked.revision.clone(),
                    command: Some(words_of(path, &asked.catalogs)),
                };
                answer_page(&ranking, &catalog, &options)?
            }
            RankForm::Table => terminal(
                &ranking,
                &catalog,
                &TerminalOptions {
                    top: asked.top.map(|top| top as usize),
                    why: asked.why,
                    why_not: asked.why_not,
                    assumed: asked.assumed,
                    color: streams.color && asked.out.is_none(),
                    columns: streams.columns.filter(|_| asked.out.is_none()),
                    command: Some(words_of(path, &asked.catalogs)),
                },
            ),
        });
    }
    let between = if form == RankForm::Table { "\n" } else { "" };
    deliver(&answers.join(between), asked.out.as_deref(), streams)
}

/// The words that name a brief and its catalog on the next command line.
pub(super) fn words_of(brief: &Path, catalogs: &Catalogs) -> String {
    let quoted = |path: &Path| {
        let text = path.display().to_string();
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '/' | '_' | '-');
        if text.chars().all(plain) { text } else { format!("'{}'", text.replace('\'', "'\\''")) }
    };
    match &catalogs.catalog {
        Some(catalog) => format!("{} --catalog {}", quoted(brief), quoted(catalog)),
        None => quoted(brief),
    }
}

pub(super) fn papers(asked: &Papers, streams: &mut Streams) -> Outcome {
    let form = if asked.json { PapersForm::Json } else { asked.format.unwrap_or(PapersForm::Text) };
    let catalog = asked.catalogs.read()?;
    output_apart(
        asked.out.as_deref(),
        [asked.brief.as_path()].into_iter().chain(asked.catalogs.catalog.as_deref()),
    )?;
    let document = files::read(&asked.brief)?;
    if is_papers(&document) {
        return print_again(asked, form, &document, streams);
    }
    let ranking = rank_brief(&Brief::from_json_with_units(&document)?, &catalog)?;
    let option = chosen(&ranking, asked.build.as_deref())?;
    let units = match asked.units {
        None => Units::of(&ranking.brief),
        Some(UnitSystem::Metric) => Units::Metric,
        Some(UnitSystem::Inch) => Units::Inch,
    };
    let papers = papers_of(&ranking.brief, option, &catalog, units)?;
    print_papers(papers, asked, form, streams)
}

/// Whether a document is papers, and no brief.
fn is_papers(document: &str) -> bool {
    let schema = serde_json::from_str::<serde_json::Value>(document).ok();
    let schema = schema.as_ref().and_then(|document| document.get("schema")?.as_str());
    schema.is_some_and(|schema| schema.starts_with("overcoat.papers."))
}

/// Papers whose open fields were filled, as they stand.
fn print_again(asked: &Papers, form: PapersForm, document: &str, streams: &mut Streams) -> Outcome {
    let brief_alone = [
        (asked.build.is_some(), "--build"),
        (asked.units.is_some(), "--units"),
        (asked.catalogs.catalog.is_some(), "--catalog"),
    ];
    if let Some((_, option)) = brief_alone.iter().find(|(given, _)| *given) {
        return Err(Trouble::Refused(format!(
            "{option} goes with a brief: papers are printed again as they stand. Make new papers from the brief."
        )));
    }
    print_papers(crate::papers::Papers::from_json(document)?, asked, form, streams)
}

fn print_papers(
    papers: crate::papers::Papers,
    asked: &Papers,
    form: PapersForm,
    streams: &mut Streams,
) -> Outcome {
    let papers = papers.dated(asked.date.as_deref(), asked.revision.as_deref());
    let text = match form {
        PapersForm::Json => papers.to_json() + "\n",
        PapersForm::Html => papers_page(&papers, &PageOptions { date: today(), ..PageOptions::default() }),
        PapersForm::Text => papers.to_text() + "\n",
    };
    deliver(&text, asked.out.as_deref(), streams)
}

/// The option of a number or of a build, the spaces between its parts being free; else the one to order.
fn chosen<'a>(ranking: &'a Ranking, build: Option<&str>) -> Result<&'a RankedOption, Trouble> {
    let Some(build) = build else {
        let to_order = ranking.to_order().and_then(|at| ranking.options.get(at));
        return to_order.ok_or_else(|| {
            Trouble::Refused("every option is ruled out. `overcoat rank` with --why-not says why; or name one with --build.".to_owned())
        });
    };
    if let Ok(number) = build.trim().parse::<usize>() {
        let option = number.checked_sub(1).and_then(|at| ranking.options.get(at));
        return option.ok_or_else(|| {
            Trouble::Refused(format!(
                "--build {number} is not an option. Allowed: 1 to {}.",
                ranking.options.len()
            ))
        });
    }
    let without_spaces = |text: &str| text.split_whitespace().collect::<String>();
    let wanted = without_spaces(build);
    let all = || ranking.options.iter().chain(&ranking.references);
    if let Some(option) = all().find(|option| without_spaces(&option.build.to_string()) == wanted) {
        return Ok(option);
    }
    // what is ruled out is no suggestion
    let open = all().filter(|option| !option.blocked);
    let names: Vec<String> = open.map(|option| option.build.to_string()).collect();
    let near = nearest(build, names.iter().map(String::as_str));
    let hint = near.map_or(String::new(), |near| format!(" Did you mean {near:?}?"));
    Err(Trouble::Refused(format!("--build {build:?} is not one of the {} options.{hint}", all().count())))
}
