//! Wetness, sources, schemas, fits, backtests.

use std::fmt::Write as _;

use serde_json::{Value as Json, json};

use crate::atmosphere::ClimateRecord;
use crate::command::answers::deliver;
use crate::command::arguments::{Backtest, Document, Fit, FittedShape, Schema, Sources, Wetness};
use crate::command::{Outcome, Streams, Trouble, files};
use crate::records::{
    Distribution, Estimate, Fitted, LEAST_LOTS, Learned, Prior, Provenance, backtest_parts, catalog_entry,
    fit_or_bound, fit_with_prior, lot_effect, lots_of, parts_from_csv, profile_bounds, records_from_csv,
};
use crate::report::{percent, sentence};

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
    let known = &catalog.content().sources;
    if asked.json {
        let text = serde_json::to_string_pretty(known).unwrap_or_default();
        return deliver(&(text + "\n"), None, streams);
    }
    let lines: Vec<String> = known.iter().map(|(key, source)| format!("{key}: {source}\n")).collect();
    deliver(&lines.concat(), None, streams)
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

/// Spread taken where nothing failed and no film names one (assumption: that of most films of the catalog).
const USUAL_LOG_SD: f64 = 0.6;

pub(super) fn fit(asked: &Fit, streams: &mut Streams) -> Outcome {
    let catalog = asked.catalogs.read()?;
    let distribution = match asked.distribution {
        FittedShape::Lognormal => Distribution::Lognormal,
        FittedShape::Weibull => Distribution::Weibull,
    };
    let mut records = records_from_csv(&files::read(&asked.log)?)?;
    let all = records.len();
    let capacity =
        asked.film.as_deref().map(|name| catalog.film(name).map(|film| &film.capacity_h)).transpose()?;
    if let Some(film) = &asked.film {
        records.retain(|record| record.film.as_deref().is_none_or(|of| of == film));
    }
    let left_out = all - records.len();
    let scale = capacity.map_or(USUAL_LOG_SD, |spread| spread.log_sd);
    let fitted = fit_or_bound(&records, distribution, scale, asked.confidence)?;
    let posterior = capacity.map(|spread| fit_with_prior(&records, &Prior::of(spread))).transpose()?;
    let lots = lots_of(&records)?;
    let effect = (lots.unwrap_or(0) >= LEAST_LOTS).then(|| lot_effect(&records).ok()).flatten();

    let (failed, median, mut remarks) = match &fitted {
        Fitted::Estimate(fit) => (fit.failed + fit.between, fit.median_hours(), fit.remarks.clone()),
        Fitted::LowerBound(bound) => (0, bound.median_at_least_hours, vec![bound.remark.clone()]),
    };
    remarks.extend(effect.iter().flat_map(|lots| lots.remarks.clone()));
    let bounds = match &fitted {
        Fitted::Estimate(_) => Some(profile_bounds(&records, distribution, 0.5, asked.confidence)?),
        Fitted::LowerBound(_) => None,
    };
    let estimate = match (&effect, &posterior, &fitted) {
        (Some(lots), _, _) => Some(Estimate::from(lots)),
        (None, Some(posterior), _) => Some(Estimate::from(posterior)),
        (None, None, Fitted::Estimate(fit)) => Some(Estimate::from(fit)),
        (None, None, Fitted::LowerBound(_)) => None,
    };
    if let (Some(path), Some(film), Some(estimate)) = (&asked.entry, &asked.film, &estimate) {
        let (from, to) = ("first record".to_owned(), "last record".to_owned());
        let provenance = Provenance { catalog: asked.name.clone(), from, to };
        let estimate = Estimate { lots, ..estimate.clone() };
        files::write(path, &catalog_entry(film, Learned::CapacityH, &estimate, &provenance)?)?;
        streams.say(&format!("written: {}", path.display()));
    }
    if asked.json {
        let answer = json!({
            "records": records.len(), "failed": failed, "left_out": left_out,
            "kind": if bounds.is_some() { "estimate" } else { "lower bound" },
            "distribution": distribution.word(),
            "median_hours": median,
            "confidence": asked.confidence,
            "lower_hours": bounds.as_ref().map_or(Some(median), |bounds| bounds.lower_hours),
            "upper_hours": bounds.as_ref().and_then(|bounds| bounds.upper_hours),
            "updated_median_hours": posterior.as_ref().map(|posterior| posterior.median_hours),
            "prior_share": posterior.as_ref().map(|posterior| posterior.prior_share),
            "lots": lots,
            "remarks": remarks,
        });
        return deliver(&format!("{answer}\n"), None, streams);
    }
    let mut lines = vec![format!("{} panels, {failed} failed", records.len())];
    if left_out > 0 {
        lines.push(format!("{left_out} rows of other films left out"));
    }
    let of = asked.film.as_deref().and_then(|name| catalog.film(name).ok());
    let of = of.map_or(String::new(), |film| format!(" of {}", film.name));
    let confidence = percent(asked.confidence);
    lines.push(match &bounds {
        Some(bounds) => format!(
            "salt-spray hours{of} to first red rust: median {median:.0} h, {confidence} confidence {} to {} h",
            bounds.lower_hours.map_or("0".to_owned(), |hours| format!("{hours:.0}")),
            bounds.upper_hours.map_or("no upper bound".to_owned(), |hours| format!("{hours:.0}")),
        ),
        None => format!("salt-spray hours{of}: median at least {median:.0} h at {confidence} confidence"),
    });
    if let Some(posterior) = &posterior {
        lines.push(format!(
            "updated estimate: median {:.0} h; the catalog value has {} of the weight",
            posterior.median_hours,
            percent(posterior.prior_share)
        ));
    }
    lines.extend(remarks.iter().map(|remark| format!("note: {}", sentence(remark))));
    if asked.film.is_none() {
        lines.push("Name the film with --film to use the catalog value as a prior estimate.".to_owned());
    } else if asked.entry.is_none() {
        lines.push("Write a catalog entry with --entry mine.json.".to_owned());
    }
    deliver(&(lines.join("\n") + "\n"), None, streams)
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
