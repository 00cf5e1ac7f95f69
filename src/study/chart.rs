//! The chart of choices: finishes times places for given years, as one table of probabilities.

use crate::Result;
use crate::atmosphere::Category;
use crate::brief::{Brief, Duty, Exposure, Failure, Part};
use crate::catalog::Catalog;
use crate::check::{first_base_metal, usual_base_metal};
use crate::error::invalid;
use crate::finish::Build;
use crate::rank::{
    Lot, Question, RankedOption, USUAL_TARGET, common_reason, default_treatment, outside_builds, weaker,
};

/// Stainless grades beside the metal of the part (assumption: those that most suppliers stock).
const STAINLESS: [&str; 2] = ["stainless_304", "stainless_316"];

/// What is said where a brief limits the cost.
const NO_COST_LIMIT: &str = "The cost limit of the brief is not applied: a chart compares no costs";

/// Probabilities of finishes at places; what to pin to the wall.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Chart {
    /// Years without failure that the probabilities are of.
    pub required_years: f64,
    /// What counts as failure.
    pub failure: Failure,
    /// The places, mildest first.
    pub places: Vec<ChartPlace>,
    /// The finishes, in the order of the rows: as named, else likeliest to last first.
    pub builds: Vec<Build>,
    /// A row per finish, a cell per place.
    pub cells: Vec<Vec<ChartCell>>,
    /// Per finish, its strength beside that of the metal asked for, where it is lower.
    pub weaker: Vec<Option<String>>,
    /// What rules out every finish, where one reason does.
    pub ruled_out_by: Option<String>,
    /// What of the brief it leaves aside.
    pub remarks: Vec<String>,
}

/// A place of a chart.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct ChartPlace {
    /// Its catalog name.
    pub name: String,
    /// First-year loss of plain steel there, µm.
    pub first_year_steel_loss_um: f64,
    /// Its corrosivity category for steel.
    pub category: Category,
}

/// A finish at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct ChartCell {
    /// Probability of no failure within the required years.
    pub probability_ok: f64,
    /// Years that half of the cases exceed.
    pub median_years: f64,
    /// Whether a check rules it out there.
    pub blocked: bool,
    /// Whether the years are beyond what anyone has observed of such a finish: its probability must not be stated.
    pub beyond_evidence: bool,
}

/// A brief about no part in particular: brackets of plain steel for some years.
///
/// # Errors
/// Years that no duty takes.
pub fn plain_brief(required_years: f64) -> Result<Brief> {
    let part = Part { base_metal: Some(usual_base_metal(&Part::default()).to_owned()), ..Part::default() };
    let brief = Brief::new("any part of plain steel", part, Duty::new(required_years));
    brief.check()?;
    Ok(brief)
}

/// The probabilities of finishes at places, each that of the [`rank`](crate::rank::rank())ing of the brief with that place
/// instead of its site.
///
/// `builds` defaults to every coat system of the catalog over the usual black oxide of the part's metal, and to blackened
/// stainless steel without a coat, likeliest to last first; `places` to all of the catalog, mildest first.
///
/// ```
/// use overcoat::catalog::Catalog;
/// use overcoat::study::{chart, plain_brief};
/// let found = chart(&plain_brief(5.0)?, None, None, Catalog::built_in())?;
/// assert_eq!(found.cells.len(), found.builds.len());
/// assert!(found.cells.iter().all(|row| row.len() == found.places.len()));
/// # Ok::<(), overcoat::Error>(())
/// ```
///
/// # Errors
/// An unknown build or place; what [`rank`](crate::rank::rank()) rejects in the brief.
pub fn chart(
    brief: &Brief,
    builds: Option<&[Build]>,
    places: Option<&[String]>,
    catalog: &Catalog,
) -> Result<Chart> {
    let usual = builds.is_none();
    // everyday names of metals and places become those of the catalog first
    let mut checked = brief.checked_in(catalog)?.into_owned();
    let limited = checked.wants.cost_limit_per_thousand.take().is_some();
    let brief = &checked;
    let builds = match builds {
        Some([]) => return Err(invalid("builds", "[]", "at least one build", "Name a build.")),
        Some(builds) => builds.to_vec(),
        None => usual_builds(brief, catalog)?,
    };
    let names = match places {
        Some([]) => return Err(invalid("places", "[]", "at least one place", "Name a place.")),
        Some(names) => names.to_vec(),
        None => catalog.content().places.keys().cloned().collect(),
    };
    let mut found = Vec::with_capacity(names.len());
    let mut weak: Vec<Option<String>> = Vec::new();
    let mut ruled_out_by = None;
    for name in names {
        let brief = at_place(brief, &name);
        brief.check_in(catalog)?;
        let exposure = Exposure::of(&brief, catalog)?;
        let lot = Lot::of(&brief.part, &mut Vec::new())?;
        let question = Question::new(&brief, &exposure, lot, catalog)?;
        let options =
            builds.iter().map(|build| question.option(build.clone())).collect::<Result<Vec<_>>>()?;
        let cell = |option: &RankedOption| ChartCell {
            probability_ok: option.outlook.probability_ok,
            median_years: option.outlook.median_years,
            blocked: option.blocked,
            beyond_evidence: option.beyond_evidence,
        };
        let column: Vec<ChartCell> = options.iter().map(cell).collect();
        // strength is the same wherever the part serves
        if weak.is_empty() {
            weak = options.iter().map(|option| weaker(option).map(str::to_owned)).collect();
            let target = brief.wants.target_probability.unwrap_or(USUAL_TARGET);
            ruled_out_by = common_reason(&options, target, catalog);
        }
        let place = ChartPlace {
            name,
            first_year_steel_loss_um: exposure.atmosphere.first_year_steel_loss_um,
            category: exposure.atmosphere.category,
        };
        found.push((place, column));
    }
    if places.is_none() {
        found.sort_by(|(a, _), (b, _)| a.first_year_steel_loss_um.total_cmp(&b.first_year_steel_loss_um));
    }
    let (places, columns): (Vec<ChartPlace>, Vec<Vec<ChartCell>>) = found.into_iter().unzip();
    let cells = |row: usize| columns.iter().filter_map(|column| column.get(row).copied()).collect::<Vec<_>>();
    let mut rows: Vec<(Build, Cells)> = builds
        .into_iter()
        .zip(weak)
        .enumerate()
        .map(|(row, (build, weaker))| (build, (cells(row), weaker)))
        .collect();
    let any_serves = rows.iter().any(|(_, (cells, _))| can_serve(cells));
    if usual {
        if any_serves {
            rows.retain(|(_, (cells, _))| can_serve(cells));
        }
        let total = |cells: &[ChartCell]| cells.iter().map(|cell| cell.probability_ok).sum::<f64>();
        rows.sort_by(|(_, (a, _)), (_, (b, _))| total(b).total_cmp(&total(a)));
    }
    let (builds, rows): (Vec<Build>, Vec<_>) = rows.into_iter().unzip();
    let (cells, weaker) = rows.into_iter().unzip();
    Ok(Chart {
        required_years: brief.duty.required_years,
        failure: brief.duty.failure,
        places,
        builds,
        cells,
        weaker,
        ruled_out_by: ruled_out_by.filter(|_| !any_serves),
        remarks: if limited { vec![NO_COST_LIMIT.to_owned()] } else { Vec::new() },
    })
}

/// The cells of a finish, and its strength beside that of the metal asked for, where it is lower.
type Cells = (Vec<ChartCell>, Option<String>);

/// Whether no check rules a finish out everywhere.
fn can_serve(cells: &[ChartCell]) -> bool {
    cells.iter().any(|cell| !cell.blocked)
}

fn usual_builds(brief: &Brief, catalog: &Catalog) -> Result<Vec<Build>> {
    let metal = first_base_metal(&brief.part, catalog).unwrap_or_else(|| usual_base_metal(&brief.part));
    let stainless = catalog.base_metal(metal)?.family.is_stainless();
    let mut builds: Vec<Build> = catalog
        .content()
        .stacks
        .values()
        .map(|stack| Build::new(metal, default_treatment(stainless), stack.films.iter().cloned()))
        .collect();
    if brief.wants.looks_outside_blackening() {
        builds.extend(outside_builds(metal, catalog)?);
    }
    for grade in STAINLESS {
        let build = Build::new(grade, default_treatment(true), [""; 0]);
        if catalog.base_metal(grade).is_ok() && !builds.contains(&build) {
            builds.push(build);
        }
    }
    Ok(builds)
}

/// The brief at a place of the catalog, without what it says of its site.
pub(crate) fn at_place(brief: &Brief, place: &str) -> Brief {
    let own = &brief.duty;
    let duty = Duty {
        place: Some(place.to_owned()),
        handling: own.handling,
        heat_continuous_c: own.heat_continuous_c,
        heat_peak_c: own.heat_peak_c,
        cold_share: own.cold_share,
        welded_after_finishing: own.welded_after_finishing,
        mating_metals: own.mating_metals.clone(),
        mating_area_ratio: own.mating_area_ratio,
        failure: own.failure,
        ..Duty::new(own.required_years)
    };
    Brief { duty, ..brief.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rank::rank;

    /// Each cell is what the ranking of the brief at that place says of the build.
    #[test]
    fn a_cell_is_the_ranking_at_that_place() {
        let catalog = Catalog::built_in();
        let brief = plain_brief(5.0).unwrap();
        let found = chart(&brief, None, None, catalog).unwrap();
        let losses: Vec<f64> = found.places.iter().map(|place| place.first_year_steel_loss_um).collect();
        assert!(
            losses.windows(2).all(|pair| pair[0] <= pair[1])
                && losses.len() == catalog.content().places.len()
        );
        for (column, place) in found.places.iter().enumerate().step_by(4) {
            let ranking = rank(&at_place(&brief, &place.name), catalog).unwrap();
            let mut compared = 0;
            for (row, build) in found.builds.iter().enumerate() {
                let Some(option) = ranking.options.iter().find(|option| option.build == *build) else {
                    continue;
                };
                let cell = found.cells[row][column];
                assert_eq!(cell.probability_ok, option.outlook.probability_ok);
                assert_eq!((cell.median_years, cell.blocked), (option.outlook.median_years, option.blocked));
                compared += 1;
            }
            assert!(compared > 10);
        }
    }

    /// A limit that no option keeps rules out nothing here, and is said to be left aside.
    #[test]
    fn a_cost_limit_is_left_aside_and_said() {
        let mut brief = plain_brief(5.0).unwrap();
        let plain = chart(&brief, None, None, Catalog::built_in()).unwrap();
        assert_eq!(plain.remarks, [""; 0]);
        brief.wants.cost_limit_per_thousand = Some(0.01);
        let limited = chart(&brief, None, None, Catalog::built_in()).unwrap();
        assert_eq!((&limited.cells, &limited.ruled_out_by), (&plain.cells, &None));
        assert_eq!(limited.remarks, [NO_COST_LIMIT]);
    }

    #[test]
    fn what_is_named_comes_in_its_order_and_what_is_unknown_is_refused() {
        let catalog = Catalog::built_in();
        let brief = plain_brief(2.0).unwrap();
        let builds = [Build::new("steel_8_8", "hot_alkaline", ["hard_wax"])];
        let places = ["coastal".to_owned(), "rural".to_owned()];
        let found = chart(&brief, Some(&builds), Some(&places), catalog).unwrap();
        assert_eq!(found.builds, builds);
        assert_eq!(
            found.places.iter().map(|place| place.name.as_str()).collect::<Vec<_>>(),
            ["coastal", "rural"]
        );
        assert!(found.cells[0][0].probability_ok < found.cells[0][1].probability_ok);
        assert_eq!(
            chart(&brief, None, Some(&["moon".to_owned()]), catalog).unwrap_err().field(),
            "duty.place"
        );
        assert_eq!(chart(&brief, Some(&[]), None, catalog).unwrap_err().field(), "builds");
        assert!(plain_brief(-1.0).is_err());
    }
}
