//! Which builds are tried: every treatment and usual stack on every base metal in question, or those that the
//! brief names. None is dropped here; what cannot be used is blocked by a check, with its reason.

use std::collections::HashSet;

use crate::Result;
use crate::brief::{Brief, Condition, MOST_BUILDS, Part, PresentFinish, WishedBuild};
use crate::catalog::Catalog;
use crate::check::{first_base_metal, usual_base_metal};
use crate::error::{at_most, invalid};
use crate::finish::{Build, DEFAULT_FILM, Film, FilmKind, Treatment, Verdict, check_film_order};
use crate::metal::Family;

/// Stainless steels compared with the usual steel where the brief names no metal.
const USUAL_STAINLESS: [&str; 2] = ["stainless_304", "stainless_316"];
/// Stainless grades shown as reference lines.
const HIGHER_GRADES: [&str; 2] = ["stainless_316", "stainless_2205"];
/// What a base for paint is shown with.
const PAINTED: [&str; 2] = ["epoxy_electrocoat", "polyester_powder"];

/// Whether a part at hand is of carbon steel, as its finish or its rust shows.
fn is_of_steel(part: &Part) -> bool {
    use PresentFinish::{CadmiumPlate, HotDipZinc, Phosphate, ZincPlate};
    matches!(part.present_finish, ZincPlate | HotDipZinc | CadmiumPlate | Phosphate)
        || part.condition == Some(Condition::Rust)
}

/// The candidate builds of a brief, and what was assumed to find them.
///
/// # Errors
/// An unknown base metal, treatment or film, films in an order that cannot be made, more than 65 535 builds.
pub fn candidates(brief: &Brief, catalog: &Catalog) -> Result<(Vec<Build>, Vec<String>)> {
    let mut assumed = Vec::new();
    let mut metals: Vec<String> = Vec::new();
    if let Some(name) = &brief.part.base_metal {
        catalog.base_metal(name).map_err(|e| e.within("part"))?;
        metals.push(name.clone());
    } else if let Some(class) = &brief.part.property_class {
        let Some(name) = first_base_metal(&brief.part, catalog) else {
            return Err(invalid(
                "part.property_class",
                class,
                "a class that a base metal of the catalog has",
                "Enter `part.base_metal`; the class is then what it is held against.",
            ));
        };
        metals.push(name.to_owned());
        let metal = &catalog.base_metal(name)?.name;
        assumed.push(format!(
            "base metal: none named, so that of the property class asked for ({class}): {metal}"
        ));
    } else {
        metals.push(usual_base_metal(&brief.part).to_owned());
        let of_steel = is_of_steel(&brief.part);
        if !of_steel {
            metals.extend(USUAL_STAINLESS.map(str::to_owned));
        }
        let words: Vec<&str> = metals
            .iter()
            .map(|name| catalog.base_metal(name).map_or(name.as_str(), |metal| &metal.name))
            .collect();
        assumed.push(if of_steel {
            format!("base metal: none named; what is on the part now is on steel, so {}", words.join("; "))
        } else {
            format!("base metal: none named, so these are compared: {}", words.join("; "))
        });
    }
    for (i, name) in brief.wants.other_base_metals.iter().enumerate() {
        catalog.base_metal_in(&format!("wants.other_base_metals[{i}]"), name)?;
        if !metals.contains(name) {
            metals.push(name.clone());
        }
    }
    let mut builds: Vec<Build> = Vec::new();
    if let Some(wishes) = &brief.wants.builds {
        for (i, wish) in wishes.iter().enumerate() {
            let field = format!("wants.builds[{i}]");
            builds.extend(wished(wish, &field, &metals, brief, catalog, &mut assumed)?);
            at_most("wants.builds", builds.len(), MOST_BUILDS)?;
        }
        let mut seen = HashSet::with_capacity(builds.len());
        let mut first = builds.iter().map(|build| seen.insert(build)).collect::<Vec<_>>().into_iter();
        builds.retain(|_| first.next().unwrap_or(true));
    } else {
        assumed.push("supplementary finish: none named, so all of the catalog are compared".to_owned());
        let mut stacks: Vec<_> = Vec::new();
        for films in catalog.content().stacks.values().map(|stack| &stack.films) {
            if !stacks.iter().any(|(known, _)| *known == films) {
                stacks.push((films, catalog.films("stacks", films)?));
            }
        }
        for name in &metals {
            let family = catalog.base_metal(name)?.family;
            for (treatment_name, treatment) in treatments_in_scope(brief, catalog) {
                let own = stacks.iter().filter(|(_, films)| proposed(family, treatment, films));
                builds.extend(own.map(|(films, _)| Build::new(name, treatment_name, *films)));
            }
        }
    }
    at_most("wants.builds", builds.len(), MOST_BUILDS)?;
    if builds.is_empty() {
        return Err(invalid(
            "wants.builds",
            "no build",
            "at least one build",
            "Name a build, or use a catalog with treatments and stacks.",
        ));
    }
    Ok((builds, assumed))
}

/// Rejects builds and base metals of the wants that the catalog does not have, where an answer does not look at them.
///
/// # Errors
/// What [`candidates`] rejects in the wants.
pub(crate) fn check_wants(brief: &Brief, catalog: &Catalog) -> Result<()> {
    let named = brief.wants.builds.is_some() || !brief.wants.other_base_metals.is_empty();
    if named { candidates(brief, catalog).map(|_| ()) } else { Ok(()) }
}

/// Treatments of the catalog; those outside blackening unless the brief leaves them out.
fn treatments_in_scope<'a>(
    brief: &Brief,
    catalog: &'a Catalog,
) -> impl Iterator<Item = (&'a String, &'a Treatment)> {
    let outside = brief.wants.looks_outside_blackening();
    let treatments = catalog.content().treatments.iter();
    treatments.filter(move |(_, t)| outside || !t.outside_blackening)
}

/// Whether a stack is tried on a treatment. Black oxide is tried with all, so that the answer can say why not; other
/// families only on metals for which they are suitable and with films that they accept. What a brief names is blocked by a check
/// instead.
fn proposed(family: Family, treatment: &Treatment, films: &[(&str, &Film)]) -> bool {
    !treatment.outside_blackening
        || suits(treatment, family) && films.iter().all(|(_, film)| treatment.accepts(film.kind))
}

/// Whether a treatment is done on a family of metals.
fn suits(treatment: &Treatment, family: Family) -> bool {
    treatment.substrates.get(&family).is_some_and(|substrate| substrate.verdict != Verdict::Refused)
}

/// Builds outside the ranking, shown when no build of it meets the brief: the other families on the first base metal
/// where the brief leaves them out, and higher stainless grades, blackened.
pub(crate) fn reference_builds(brief: &Brief, builds: &[Build], catalog: &Catalog) -> Vec<Build> {
    let Some(first) = builds.first() else { return Vec::new() };
    let left_out = !brief.wants.looks_outside_blackening();
    let family = catalog.base_metal(&first.base_metal).map(|metal| metal.family);
    let mut references =
        if left_out { outside_builds(&first.base_metal, catalog).unwrap_or_default() } else { Vec::new() };
    let is_steel = family.is_ok_and(|family| family.is_stainless() || family.rusts_by_dose());
    let higher = HIGHER_GRADES.iter().filter(|grade| is_steel && catalog.base_metal(grade).is_ok());
    references.extend(higher.map(|grade| Build::new(*grade, "stainless_alkaline", Vec::<String>::new())));
    references.retain(|build| !builds.contains(build));
    references
}

/// What is done outside blackening on a metal, one build for each treatment: a coating that holds oil better than black
/// oxide is sold for that, oiled; a base for paint, painted.
///
/// # Errors
/// An unknown metal.
pub(crate) fn outside_builds(metal: &str, catalog: &Catalog) -> Result<Vec<Build>> {
    let family = catalog.base_metal(metal)?.family;
    let treatments = catalog.content().treatments.iter();
    let outside =
        treatments.filter(|(_, treatment)| treatment.outside_blackening && suits(treatment, family));
    Ok(outside
        .map(|(name, treatment)| {
            let holds = treatment.film_hold_factor.value > 1.0;
            let films: &[&str] = match () {
                () if holds && treatment.accepts(FilmKind::Oil) => &[DEFAULT_FILM],
                () if treatment.accepts(FilmKind::Powder) => &PAINTED,
                () => &[],
            };
            Build::new(metal, name, films.iter().copied())
        })
        .collect())
}

fn wished(
    wish: &WishedBuild,
    field: &str,
    metals: &[String],
    brief: &Brief,
    catalog: &Catalog,
    assumed: &mut Vec<String>,
) -> Result<Vec<Build>> {
    let metals = match &wish.base_metal {
        Some(name) => {
            catalog.base_metal(name).map_err(|e| e.within(field))?;
            std::slice::from_ref(name)
        }
        None => metals,
    };
    if let Some(name) = &wish.treatment {
        catalog.treatment(name).map_err(|e| e.within(field))?;
    }
    let films = wish.films.clone().unwrap_or_else(|| {
        let line = "supplementary finish: none named, so the usual default: water-displacing oil";
        if !assumed.iter().any(|known| known == line) {
            assumed.push(line.to_owned());
        }
        vec![DEFAULT_FILM.to_owned()]
    });
    let resolved = catalog.films(field, &films)?;
    check_film_order(&format!("{field}.films"), &resolved)?;
    let mut builds = Vec::new();
    for metal in metals {
        if let Some(treatment) = &wish.treatment {
            builds.push(Build::new(metal, treatment.as_str(), &films));
            continue;
        }
        let family = catalog.base_metal(metal)?.family;
        for (name, treatment) in treatments_in_scope(brief, catalog) {
            if proposed(family, treatment, &resolved) {
                builds.push(Build::new(metal, name.as_str(), &films));
            }
        }
    }
    Ok(builds)
}
