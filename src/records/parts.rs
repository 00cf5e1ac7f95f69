//! Parts in the field as a log has them: what was built, what it met, what became of it.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value as Json, json};

use super::comparison::years_in_doubt;
use super::field::{FieldPlace, FieldRecord, ShelterUpdate, update_by_shelter};
use super::record::SeenColumns;
use crate::brief::{BRIEF_SCHEMA, Brief, Exposure, Part, TINY_LOSS};
use crate::catalog::Catalog;
use crate::error::{invalid, table_error};
use crate::finish::Build;
use crate::life::outlook;
use crate::math::Lognormal;
use crate::table::csv::parse_number;
use crate::table::named::{NamedRows, yes_or_no};
use crate::{Error, Result};

/// One row of a field log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FieldPart {
    /// The site; parts of one site share its air. Without a name, each duty is a separate site.
    pub site: Option<String>,
    /// What was built.
    pub build: Build,
    /// Its duty, as a brief with this part alone.
    pub brief: Brief,
    /// What became of it.
    pub seen: FieldRecord,
}

const TEXTS: [&str; 4] = ["place", "shelter", "sunlight", "handling"];
const NUMBERS: [&str; 8] = [
    "first_year_steel_loss_um",
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "sea_distance_m",
    "heat_continuous_c",
    "heat_peak_c",
];
const COLUMNS: [&str; 23] = [
    "site",
    "base_metal",
    "treatment",
    "films",
    "years",
    "until_years",
    "outcome",
    "failed",
    "weight",
    "rain_washed",
    "place",
    "shelter",
    "sunlight",
    "handling",
    "first_year_steel_loss_um",
    "temperature_c",
    "relative_humidity_pct",
    "so2_mg_m2_day",
    "chloride_mg_m2_day",
    "sea_distance_m",
    "heat_continuous_c",
    "heat_peak_c",
    "remarks",
];
const NAME_THE_COLUMNS: &str = "Name the columns `base_metal`, `treatment`, `films`, `years`, `outcome` (or `failed`), \
     fields of a duty such as `place` or `first_year_steel_loss_um` and `shelter`, and as wanted `until_years`, \
     `weight`, `site`.";

/// A field log from comma-separated text with a header.
///
/// Columns: `base_metal`, `treatment`, `films` (catalog names, innermost first, joined by `+`; empty for none);
/// `years` with `outcome` or `failed` and `until_years`, as hours in
/// [`records_from_csv`](super::records_from_csv); fields of a duty, as `place`, `shelter`, `rain_washed`, `sunlight`,
/// `handling`, `first_year_steel_loss_um` or the four inputs; and as wanted `weight` and `site`. First rust is what
/// counts as failure.
///
/// # Errors
/// A missing, repeated or misspelt column; a row of another length; a field that cannot be read or that a brief
/// rejects; all but the first name the row, counted from 1 after the header.
///
/// ```
/// use overcoat::records::parts_from_csv;
/// let text = "site,base_metal,treatment,films,place,shelter,years,outcome,until_years
/// depot,steel_8_8,hot_alkaline,hard_wax,rural,sheltered,2.5,between,3.0
/// depot,steel_8_8,hot_alkaline,hard_wax,rural,sheltered,3.0,intact,
/// ";
/// assert_eq!(parts_from_csv(text)?[1].build.films, ["hard_wax"]);
/// assert!(parts_from_csv(&text.replace("2.5", "-1")).unwrap_err().to_string().contains("row 1"));
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn parts_from_csv(text: &str) -> Result<Vec<FieldPart>> {
    parts_of(&NamedRows::from_csv(text, &COLUMNS)?)
}

/// A field log from rows of text under a header, as [`parts_from_csv`] reads them.
///
/// # Errors
/// As [`parts_from_csv`].
pub fn parts_from_rows(header: Vec<String>, rows: Vec<Vec<String>>) -> Result<Vec<FieldPart>> {
    parts_of(&NamedRows::new(header, rows, &COLUMNS)?)
}

fn parts_of(table: &NamedRows) -> Result<Vec<FieldPart>> {
    let needed = |name: &str| match table.column(name)? {
        None => Err(table.missing(name, NAME_THE_COLUMNS)),
        at => Ok(at),
    };
    let build_at = [needed("base_metal")?, needed("treatment")?, needed("films")?];
    let years_at = needed("years")?;
    let seen_at = SeenColumns::of(table, "until_years", NAME_THE_COLUMNS)?;
    let (site_at, weight_at) = (table.column("site")?, table.column("weight")?);
    if table.len() == 0 {
        return Err(table_error("years", None, "no record", "Give at least one record."));
    }
    table.check_points(&["years", "until_years", "weight"])?;
    table.check_points(&NUMBERS)?;
    let mut parts = Vec::with_capacity(table.len());
    for i in 0..table.len() {
        let row = i + 1;
        let [base_metal, treatment, films] = build_at.map(|at| table.field(i, at));
        for (name, text) in [("base_metal", base_metal), ("treatment", treatment)] {
            if text.is_empty() {
                return Err(table_error(name, Some(row), "empty", "Enter a name of the catalog."));
            }
        }
        let films = films.split('+').map(str::trim).filter(|film| !film.is_empty() && *film != "no film");
        let (outcome, until_years) = seen_at.read(table, i)?;
        let weight = parse_number("weight", row, table.field(i, weight_at))?;
        let seen = FieldRecord {
            years: parse_number("years", row, table.field(i, years_at))?,
            until_years,
            outcome,
            weight: if weight.is_nan() { 1.0 } else { weight },
        };
        seen.row().map_err(|error| in_row(&error, row))?;
        let site = table.field(i, site_at);
        parts.push(FieldPart {
            site: (!site.is_empty()).then(|| site.to_owned()),
            build: Build::new(base_metal, treatment, films),
            brief: brief_of(table, i, base_metal).map_err(|error| in_row(&error, row))?,
            seen,
        });
    }
    Ok(parts)
}

/// The brief of a row: its base metal in its duty. The years asked for are of no account.
fn brief_of(table: &NamedRows, i: usize, base_metal: &str) -> Result<Brief> {
    let mut duty = Map::from_iter([("required_years".to_owned(), json!(1.0))]);
    for name in TEXTS {
        let text = table.field(i, table.column(name)?);
        if !text.is_empty() {
            duty.insert(name.to_owned(), text.into());
        }
    }
    for name in NUMBERS {
        let number = parse_number(name, i + 1, table.field(i, table.column(name)?))?;
        if !number.is_nan() {
            duty.insert(name.to_owned(), json!(number));
        }
    }
    let washed = table.field(i, table.column("rain_washed")?);
    if !washed.is_empty() {
        duty.insert("rain_washed".to_owned(), yes_or_no("rain_washed", i + 1, washed)?.into());
    }
    let document: Json = json!({
        "schema": BRIEF_SCHEMA, "name": "field record", "part": {"base_metal": base_metal}, "duty": duty
    });
    Brief::from_json(&document.to_string())
}

/// The same rejection with the column and the row.
fn in_row(error: &Error, row: usize) -> Error {
    if matches!(error, Error::Table(_)) {
        return error.clone();
    }
    let field = error.field();
    let column = field.rsplit('.').next().unwrap_or(field).to_owned();
    table_error(&column, Some(row), error.to_string(), "Correct the row.")
}

/// The sites of a log: each with its exposure and the rows that stand there.
///
/// # Errors
/// A duty that the catalog cannot complete; rows of one site with different duties.
pub(super) fn sites_of(parts: &[FieldPart], catalog: &Catalog) -> Result<Vec<(Exposure, Vec<usize>)>> {
    let mut sites: Vec<(Exposure, Vec<usize>)> = Vec::new();
    let mut by_name: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, part) in parts.iter().enumerate() {
        let exposure = Exposure::of(&part.brief, catalog).map_err(|error| in_row(&error, i + 1))?;
        let known = match &part.site {
            Some(name) => by_name.get(name.as_str()).copied(),
            None => sites.iter().position(|(known, rows)| {
                *known == exposure && rows.iter().all(|r| parts.get(*r).is_some_and(|p| p.site.is_none()))
            }),
        };
        match known.and_then(|place| sites.get_mut(place)) {
            Some((known, rows)) if *known == exposure => rows.push(i),
            Some(_) => {
                return Err(table_error(
                    "site",
                    Some(i + 1),
                    format!("{:?} has another duty in a row before", part.site.as_deref().unwrap_or("")),
                    "Enter a separate site name for each duty, for example `depot, roof` and `depot, yard`.",
                ));
            }
            None => {
                if let Some(name) = &part.site {
                    by_name.insert(name, sites.len());
                }
                sites.push((exposure, vec![i]));
            }
        }
    }
    Ok(sites)
}

/// Losses that no place outdoors has, of the sites of a log: mostly mm taken for µm.
pub(super) fn losses_in_doubt(sites: &[(Exposure, Vec<usize>)]) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for remark in sites.iter().flat_map(|(exposure, _)| &exposure.remarks) {
        if remark.starts_with(TINY_LOSS) && !said.contains(remark) {
            said.push(remark.clone());
        }
    }
    said
}

/// Field factors of a film, apart for each shelter, from a field log.
///
/// Rows whose only film it is enter, over one treatment; see [`update_by_shelter`]. Put into `capacity_h` what the
/// shop's salt-spray records gave (median and its spread) for a joint update of both.
///
/// # Errors
/// As [`update_by_shelter`]; no row with the film alone; more than one treatment under it.
///
/// ```
/// use overcoat::{catalog::Catalog, records::{parts_from_csv, update_from_parts}};
/// let log = parts_from_csv("base_metal,treatment,films,first_year_steel_loss_um,shelter,years,failed
/// steel_8_8,hot_alkaline,hard_wax,10,sheltered,9,yes
/// steel_8_8,hot_alkaline,hard_wax,10,sheltered,10,no
/// ")?;
/// let updates = update_from_parts("hard_wax", &log, None, 0.5, Catalog::built_in())?;
/// assert!(updates[0].update.field_factor.median > 1.2);
/// # Ok::<(), overcoat::Error>(())
/// ```
pub fn update_from_parts(
    film: &str,
    parts: &[FieldPart],
    capacity_h: Option<Lognormal>,
    part_log_sd: f64,
    catalog: &Catalog,
) -> Result<Vec<ShelterUpdate>> {
    let entry = catalog.film(film)?;
    let own: Vec<FieldPart> =
        parts.iter().filter(|part| part.build.films.iter().eq([film])).cloned().collect();
    let Some(first) = own.first() else {
        return Err(invalid(
            "film",
            film,
            "a film that rows of the log have as their only one",
            "Give records of parts with this film alone over the treatment.",
        ));
    };
    let treatment = &first.build.treatment;
    if let Some(other) = own.iter().find(|part| part.build.treatment != *treatment) {
        return Err(invalid(
            "treatment",
            &other.build.treatment,
            &format!("one treatment under the film, as {treatment}"),
            "Update with the records of one treatment after the other.",
        ));
    }
    let sites = sites_of(&own, catalog)?;
    let records: Vec<Vec<FieldRecord>> = sites
        .iter()
        .map(|(_, rows)| rows.iter().filter_map(|row| Some(own.get(*row)?.seen)).collect())
        .collect();
    let places: Vec<FieldPlace> =
        sites.iter().zip(&records).map(|((exposure, _), records)| FieldPlace { exposure, records }).collect();
    let mut updates =
        update_by_shelter(entry, catalog.treatment(treatment)?, capacity_h, part_log_sd, &places)?;
    for found in &mut updates {
        let mut ranges = Vec::new();
        for (exposure, rows) in sites.iter().filter(|(exposure, _)| exposure.shelter == found.shelter) {
            for part in rows.iter().filter_map(|row| own.get(*row)) {
                let years = outlook(exposure, &Part::default(), &catalog.resolve(&part.build)?, catalog)?;
                ranges.push((part.seen, years.p10_years, years.p90_years));
            }
        }
        found.update.remarks.extend(years_in_doubt(&ranges));
        found.update.remarks.extend(losses_in_doubt(&sites));
    }
    Ok(updates)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "site,base_metal,treatment,films,place,shelter,years,outcome,until_years\n";

    #[test]
    fn every_refusal_names_row_and_column() {
        let good = "a,steel_8_8,hot_alkaline,hard_wax,rural,open,2,failed,\n";
        for (bad, column) in [
            ("a,,hot_alkaline,hard_wax,rural,open,2,failed,", "base_metal"),
            ("a,steel_8_8,hot_alkaline,hard_wax,rural,opn,2,failed,", "shelter"),
            ("a,steel_8_8,hot_alkaline,hard_wax,rural,open,x,failed,", "years"),
            ("a,steel_8_8,hot_alkaline,hard_wax,rural,open,0,failed,", "years"),
            ("a,steel_8_8,hot_alkaline,hard_wax,rural,open,2,between,1", "until_years"),
            ("a,steel_8_8,hot_alkaline,hard_wax,rural,open,2,rusty,", "outcome"),
            ("a,steel_8_8", "site"),
        ] {
            let error = parts_from_csv(&format!("{HEAD}{good}{bad}\n")).unwrap_err();
            assert_eq!((error.kind(), error.field()), ("table", column), "{bad}: {error}");
            assert!(error.to_string().contains("row 2"), "{bad}: {error}");
        }
        let error = parts_from_csv(&HEAD.replace("treatment", "treatments")).unwrap_err();
        assert!(error.remedy().contains("treatment"), "{error}");
        assert!(parts_from_csv(HEAD).is_err());
    }

    #[test]
    fn a_duty_that_the_catalog_does_not_know_is_refused_by_row() {
        let text = format!("{HEAD}a,steel_8_8,hot_alkaline,hard_wax,rurall,open,2,failed,\n");
        let error = sites_of(&parts_from_csv(&text).unwrap(), Catalog::built_in()).unwrap_err();
        assert!(error.to_string().contains("row 1") && error.to_string().contains("rural"), "{error}");
    }

    #[test]
    fn rows_of_one_site_share_it_and_may_not_contradict() {
        let row = |site: &str, shelter: &str| {
            format!("{site},steel_8_8,hot_alkaline,hard_wax,rural,{shelter},2,failed,\n")
        };
        let count = |rows: &[String]| {
            let parts = parts_from_csv(&format!("{HEAD}{}", rows.concat())).unwrap();
            sites_of(&parts, Catalog::built_in()).map(|sites| sites.len())
        };
        assert_eq!(count(&[row("a", "open"), row("a", "open"), row("b", "open")]).unwrap(), 2);
        assert_eq!(count(&[row("", "open"), row("", "open"), row("", "indoor")]).unwrap(), 2);
        let error = count(&[row("a", "open"), row("a", "indoor")]).unwrap_err();
        assert!(error.to_string().contains("row 2"), "{error}");
    }

    /// Films of a row as a catalog names them, "no film" and nothing being none; a wrong word or number is named with its
    /// row; rows under a header are read as their file.
    #[test]
    fn a_row_has_its_films_and_its_faults() {
        let films = |films: &str| {
            let text = format!("{HEAD}a,steel_8_8,hot_alkaline,{films},rural,open,2,failed,\n");
            parts_from_csv(&text).unwrap()[0].build.to_string()
        };
        assert_eq!(films(""), films("no film"));
        assert_eq!(films(""), Build::new("steel_8_8", "hot_alkaline", [""; 0]).to_string());
        let two = Build::new("steel_8_8", "hot_alkaline", ["air_dry_paint", "hard_wax"]).to_string();
        assert_eq!(films("air_dry_paint + + hard_wax"), two);

        let head = "base_metal,treatment,films,place,temperature_c,rain_washed,years,failed\n";
        let good = "steel_8_8,hot_alkaline,hard_wax,rural,9,no,2,yes\n";
        for (bad, column) in [
            ("steel_8_8,hot_alkaline,hard_wax,rural,warm,no,2,yes\n", "temperature_c"),
            ("steel_8_8,hot_alkaline,hard_wax,rural,9,perhaps,2,yes\n", "rain_washed"),
        ] {
            let error = parts_from_csv(&format!("{head}{good}{good}{bad}")).unwrap_err();
            assert_eq!(error.field(), column);
            assert!(error.to_string().contains("row 3"), "{error}");
        }
        let cells = |line: &str| line.trim().split(',').map(str::to_owned).collect::<Vec<_>>();
        let parts = parts_from_rows(cells(head), vec![cells(good), cells(good)]).unwrap();
        assert_eq!(parts, parts_from_csv(&format!("{head}{good}{good}")).unwrap());
        assert_eq!(parts.len(), 2);
    }

    /// The same numbers as from places put together by hand.
    #[test]
    fn a_log_gives_what_its_places_give() {
        use crate::records::{FilmBelief, update_field_factor};
        let catalog = Catalog::built_in();
        let text = format!(
            "{HEAD}a,steel_8_8,hot_alkaline,hard_wax,rural,sheltered,5,failed,\n\
             a,steel_8_8,hot_alkaline,hard_wax,rural,sheltered,6,intact,\n\
             a,steel_8_8,hot_alkaline,soft_wax,rural,sheltered,1,failed,\n\
             b,steel_8_8,hot_alkaline,hard_wax,urban,sheltered,2,between,3\n\
             c,steel_8_8,hot_alkaline,hard_wax,urban,open,1,failed,\n"
        );
        let parts = parts_from_csv(&text).unwrap();
        let updates = update_from_parts("hard_wax", &parts, None, 0.5, catalog).unwrap();
        assert_eq!(updates.len(), 2);
        let (a, b) = (
            Exposure::of(&parts[0].brief, catalog).unwrap(),
            Exposure::of(&parts[3].brief, catalog).unwrap(),
        );
        let belief =
            FilmBelief::of(catalog.film("hard_wax").unwrap(), catalog.treatment("hot_alkaline").unwrap());
        let (of_a, of_b) =
            ([FieldRecord::failed(5.0), FieldRecord::intact(6.0)], [FieldRecord::between(2.0, 3.0)]);
        let expected = update_field_factor(
            &belief,
            &[FieldPlace { exposure: &a, records: &of_a }, FieldPlace { exposure: &b, records: &of_b }],
        )
        .unwrap();
        assert_eq!(updates[1].update, expected);
    }

    #[test]
    fn a_film_without_rows_and_two_treatments_are_refused() {
        let text = format!(
            "{HEAD}a,steel_8_8,hot_alkaline,hard_wax,rural,open,2,failed,\n\
             a,steel_8_8,none,hard_wax,rural,open,2,failed,\n"
        );
        let parts = parts_from_csv(&text).unwrap();
        let field = |film: &str| {
            update_from_parts(film, &parts, None, 0.5, Catalog::built_in()).unwrap_err().field().to_owned()
        };
        assert_eq!([field("soft_wax"), field("hard_wax")], ["film", "treatment"]);
    }
}
