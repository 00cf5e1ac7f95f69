//! Wetness, sources, schemas, fits, backtests.

use std::fmt::Write as _;

use serde_json::{Value as Json, json};

use crate::atmosphere::ClimateRecord;
use crate::command::answers::{deliver, output_apart};
use crate::command::arguments::{Backtest, Document, Fit, FittedShape, Schema, Sources, Wetness};
use crate::command::{Outcome, Streams, Trouble, files};
use crate::evidence::observations;
use crate::records::{
    Distribution, Estimate, Fitted, LogOptions, Provenance, backtest_parts, derive, learn_capacity,
    parts_from_csv, records_from_csv,
};
use crate::report::sentence;

pub(super) fn wetness(asked: &Wetness, streams: &mut Streams) -> Outcome {
    let text = files::read(&asked.record)?;
    let epw = asked.record.extension().is_some_and(|end| end.eq_ignore_ascii_case("epw"));
    let record = if epw { ClimateRecord::from_epw(&text)? } else { ClimateRecord::from_csv(&text)? };
    let found = record.wetness()?;
    let notes: Vec<String> = found.findings.iter().map(ToString::to_string).collect();
    if asked.json {
        let answer = json!({
            "hours_per_year": found.hours_per_year,
            "wetness_class": found.wetness_class.to_string(),
            "coverage": found.coverage,
            "gaps": found.gaps,
            "longest_gap_hours": found.longest_gap_hours,
            "mean_temperature_c": found.mean_temperature_c,
            "mean_relative_humidity_pct": found.mean_relative_humidity_pct,
            "findings": notes,
        });
        return deliver(&format!("{answer}\n"), None, streams);
    }
    let mut lines = vec![
        format!("time of wetness (T > 0 °C, RH > 80%): {:.0} h/yr", found.hours_per_year),
        format!("wetness class: {}", found.wetness_class),
        format!("share of hours with both readings: {:.3}", found.coverage),
        format!("gaps: {}", found.gaps),
        format!("longest gap: {:.0} h", found.longest_gap_hours),
        format!("mean temperature: {:.2} °C", found.mean_temperature_c),
        format!("mean relative humidity: {:.1}%", found.mean_relative_humidity_pct),
    ];
    lines.extend(notes.iter().map(|note| format!("note: {note}")));
    deliver(&(lines.join("\n") + "\n"), None, streams)
}

pub(super) fn sources(asked: &Sources, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    let keyed = &catalog.content().sources;
    let derived = derive(&catalog)?;
    let beside: Vec<_> = catalog
        .all_sources()
        .into_iter()
        .filter(|source| !keyed.values().any(|known| known == source))
        .collect();
    if asked.json {
        let found = json!({ "catalog": keyed, "code": beside, "observations": observations(), "computed": derived.numbers, "left_out": derived.left_out });
        let text = serde_json::to_string_pretty(&found).unwrap_or_default();
        return deliver(&(text + "\n"), None, streams);
    }
    let mut lines = String::new();
    for (key, source) in keyed {
        let _ = writeln!(lines, "{key}: {source}");
    }
    for source in &beside {
        let _ = writeln!(lines, "{source}");
    }
    for observation in observations() {
        let _ = writeln!(lines, "observed: {}: {observation}", observation.key);
    }
    for number in &derived.numbers {
        let known = format!("known within a factor of {:.2}", number.log_sd.exp());
        let from = number.observations.join(", ");
        for set in &number.sets {
            let _ = writeln!(lines, "computed: {} {:.3} ({known}) from {from}", set.path, set.value);
        }
    }
    deliver(&lines, None, streams)
}

pub(super) fn schema(asked: &Schema, streams: &mut Streams) -> Outcome {
    let text = match asked.document {
        Document::Brief => include_str!("../../schemas/brief.schema.json"),
        Document::Catalog => include_str!("../../schemas/catalog.schema.json"),
        Document::Ranking => include_str!("../../schemas/ranking.schema.json"),
        Document::Papers => include_str!("../../schemas/papers.schema.json"),
    };
    if !asked.fields {
        return deliver(text, None, streams);
    }
    let schema: Json = serde_json::from_str(text).unwrap_or_default();
    let mut lines = String::new();
    list_fields(&schema, &schema, "", &mut lines, 0);
    deliver(&lines, None, streams)
}

/// Objects within objects of a schema, or fewer.
const DEEPEST: usize = 12;

/// Path and meaning of each field, with the words that it takes where these are fixed.
fn list_fields(root: &Json, node: &Json, path: &str, out: &mut String, depth: usize) {
    let Some(fields) = node.get("properties").and_then(Json::as_object).filter(|_| depth < DEEPEST) else {
        return;
    };
    for (name, field) in fields {
        let kind = resolved(root, field);
        let meaning = field.get("description").or_else(|| kind.get("description")).and_then(Json::as_str);
        let meaning = meaning.unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ");
        let words = words_of(kind);
        let words = if words.is_empty() { String::new() } else { format!(" One of {}.", words.join(", ")) };
        let _ = writeln!(out, "{path}{name}: {meaning}{words}");
        list_fields(root, kind, &format!("{path}{name}."), out, depth + 1);
        if let Some(items) = kind.get("items") {
            list_fields(root, resolved(root, items), &format!("{path}{name}[]."), out, depth + 1);
        }
        if let Some(more) = kind.get("additionalProperties").filter(|more| more.is_object()) {
            list_fields(root, resolved(root, more), &format!("{path}{name}.NAME."), out, depth + 1);
        }
    }
}

/// What a field refers to, or itself.
fn resolved<'a>(root: &'a Json, node: &'a Json) -> &'a Json {
    let choices = node.get("anyOf").and_then(Json::as_array);
    let mut all = std::iter::once(node).chain(choices.into_iter().flatten());
    let named = all.find_map(|one| one.get("$ref")?.as_str()?.rsplit('/').next());
    named.and_then(|name| root.get("$defs")?.get(name)).unwrap_or(node)
}

fn words_of(kind: &Json) -> Vec<String> {
    let mut words = Vec::new();
    let mut add = |node: &Json| {
        let listed = node.get("enum").and_then(Json::as_array).into_iter().flatten();
        words.extend(listed.chain(node.get("const")).filter_map(Json::as_str).map(str::to_owned));
        if let Some(fields) = node.get("properties").and_then(Json::as_object).filter(|_| node != kind) {
            words.extend(fields.keys().map(|name| json!({ name: 0 }).to_string()));
        }
    };
    add(kind);
    kind.get("oneOf").and_then(Json::as_array).into_iter().flatten().for_each(&mut add);
    words
}

pub(super) fn fit(asked: &Fit, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    output_apart(
        asked.out.as_deref(),
        [asked.log.as_path()].into_iter().chain(asked.catalogs.catalog.as_deref()),
    )?;
    let distribution = match asked.distribution {
        FittedShape::Lognormal => Distribution::Lognormal,
        FittedShape::Weibull => Distribution::Weibull,
    };
    let options = LogOptions {
        film: asked.film.as_deref(),
        distribution,
        confidence: asked.confidence,
        ..LogOptions::new(&catalog)
    };
    let learned = learn_capacity(&records_from_csv(&files::read(&asked.log)?)?, &options)?;
    if let Some(path) = &asked.out {
        let provenance =
            Provenance { catalog: asked.name.clone(), from: asked.from.clone(), to: asked.to.clone() };
        files::write(path, &learned.catalog_entry(&provenance, &catalog)?)?;
        streams.say(&format!("written: {}", path.display()));
    }
    if asked.json {
        let (kind, failed, median_hours) = match &learned.fitted {
            Fitted::Estimate(fit) => ("estimate", fit.failed + fit.between, fit.median_hours()),
            Fitted::LowerBound(bound) => ("lower bound", 0, bound.median_at_least_hours),
        };
        let estimate = learned.estimate().ok();
        let answer = json!({
            "film": learned.film,
            "records": learned.records.len(),
            "failed": failed,
            "kind": kind,
            "median_hours": median_hours,
            "catalog_median_hours": learned.prior.map(|prior| prior.median_hours),
            "updated_median_hours": estimate.as_ref().map(|estimate| estimate.median),
            "updated_log_sd": estimate.as_ref().map(Estimate::log_sd),
            "remarks": learned.remarks,
        });
        return deliver(&format!("{answer}\n"), None, streams);
    }
    deliver(&learned.to_string(), None, streams)
}

pub(super) fn backtest(asked: &Backtest, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    let judged = backtest_parts(&parts_from_csv(&files::read(&asked.records)?)?, &catalog)?;
    if asked.json {
        let text = serde_json::to_string(&judged).map_err(|error| Trouble::Refused(error.to_string()))?;
        return deliver(&(text + "\n"), None, streams);
    }
    let ways = [
        ("outlook", &judged.outlook),
        ("salt-spray hours at face value", &judged.hours_at_face_value),
        ("corrosivity category alone", &judged.category_alone),
    ];
    let mut lines = vec![
        format!("{} rows from {} sites, {} failed", judged.outlook.rows, judged.sites, judged.outlook.failed),
        String::new(),
        format!("{:<32}{:>18}{:>12}", "predicted by", "in the 80% range", "log score"),
    ];
    for (name, score) in ways {
        let coverage = format!("{:.0} ± {:.0}%", 100.0 * score.coverage_80, 100.0 * score.coverage_80_se);
        lines.push(format!("{name:<32}{coverage:>18}{:>12.2}", score.log_score));
    }
    lines.push(String::new());
    lines.push(
        "80% in the range is well calibrated, less is overconfident, more is too wide. A higher log\n\
         score is better."
            .to_owned(),
    );
    let best = ways.iter().max_by(|(_, a), (_, b)| a.log_score.total_cmp(&b.log_score));
    lines.extend(best.map(|(name, _)| format!("Best by log score: {name}.")));
    lines.extend(judged.remarks.iter().map(|remark| format!("Note: {}", sentence(remark))));
    deliver(&(lines.join("\n") + "\n"), None, streams)
}
