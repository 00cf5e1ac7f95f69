//! A sweep against the ranking of each row, against itself cut into pieces, and against bad tables.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test stops where its own input is wrong"
)]

use overcoat::atmosphere::Shelter;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::finish::Build;
use overcoat::rank::rank;
use overcoat::study::{Columns, Output, OutputSlices, Reason, Sweep};

/// A table that owns its columns.
#[derive(Default, Clone)]
struct Table {
    temperature_c: Vec<f64>,
    relative_humidity_pct: Vec<f64>,
    so2_mg_m2_day: Vec<f64>,
    chloride_mg_m2_day: Vec<f64>,
    required_years: Vec<f64>,
    shelter: Vec<Option<Shelter>>,
}

impl Table {
    fn columns(&self) -> Columns<'_> {
        Columns {
            temperature_c: &self.temperature_c,
            relative_humidity_pct: &self.relative_humidity_pct,
            so2_mg_m2_day: &self.so2_mg_m2_day,
            chloride_mg_m2_day: &self.chloride_mg_m2_day,
            required_years: Some(&self.required_years),
            shelter: Some(&self.shelter),
        }
    }

    /// Places all over the ranges, the corners of the depositions and zeros among them.
    fn of_rows(rows: usize) -> Self {
        let mut table = Self::default();
        // fractional parts of multiples of powers of an irrational number fill the ranges evenly
        let at =
            |row: usize, power: i32| (0.5 + row as f64 * 1.167_303_978_261_418_7_f64.powi(-power)).fract();
        for row in 0..rows {
            table.temperature_c.push(-17.0 + 45.0 * at(row, 1));
            table.relative_humidity_pct.push(34.0 + 59.0 * at(row, 2));
            table.so2_mg_m2_day.push(match row % 9 {
                3 => 0.0,
                5 => 8.0,
                7 => 72.0,
                _ => 0.7 * 200.0_f64.powf(at(row, 3)),
            });
            table.chloride_mg_m2_day.push(match row % 11 {
                2 => 0.0,
                4 => 60.0,
                6 => 300.0,
                8 => 3.0,
                _ => 0.4 * 1900.0_f64.powf(at(row, 4)),
            });
            table.required_years.push(0.3 * 250.0_f64.powf(at(row, 5)));
            table.shelter.push(Some(Shelter::ALL[row % 3]));
        }
        table
    }
}

fn brief(part: &str, duty: &str, wants: &str) -> Brief {
    Brief::from_json(&format!(
        r#"{{"schema": "overcoat.brief.v1", "name": "test", "part": {{{part}}},
            "duty": {{"required_years": 5{duty}}}, "wants": {{{wants}}}}}"#
    ))
    .unwrap()
}

fn briefs() -> Vec<Brief> {
    let bracket = r#""form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5"#;
    let screw = r#""form": "socket_cap_screw", "thread": "M8", "length_mm": 25"#;
    let stainless = r#""other_base_metals": ["stainless_304", "stainless_316"]"#;
    vec![
        brief(bracket, "", stainless),
        brief(screw, r#", "handling": "frequent""#, ""),
        brief(bracket, r#", "failure": {"loss_um": 90}"#, stainless),
        brief(screw, r#", "failure": {"strength_loss_pct": 8}"#, r#""target_probability": 0.5"#),
        brief(bracket, r#", "failure": {"rusted_area_pct": 5}"#, r#""cost_limit_per_thousand": 900"#),
        brief(bracket, r#", "road_salt": {"months_per_year": 5}, "sea_distance_m": 700"#, stainless),
        brief(
            bracket,
            r#", "heat_continuous_c": 110, "heat_peak_c": 210, "rain_washed": true"#,
            r#""weights": {"durability": 1, "cost": 0, "confidence": 3}, "gloss": "satin""#,
        ),
        brief(
            screw,
            r#", "sunlight": "partial""#,
            r#""weights": {"durability": 0, "cost": 5}, "black": false"#,
        ),
        // salt blocks hot stainless steel on which life depends
        brief(
            r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "stainless_304",
                "safety_critical": true, "maker_consent": true"#,
            r#", "heat_continuous_c": 90"#,
            "",
        ),
    ]
}

/// One model for a row and a million: the same bits.
fn agree(found: f64, wanted: f64) -> bool {
    found.to_bits() == wanted.to_bits()
}

#[test]
fn a_sweep_agrees_with_the_ranking_of_each_row() {
    let mut beyond = [0; 2];
    for brief in briefs() {
        let found = sweep_agrees_with_ranking(&brief, Catalog::built_in());
        beyond = [beyond[0] + found[0], beyond[1] + found[1]];
    }
    // enough of what no evidence reaches, some of it likely by the numbers
    assert!(beyond[0] > 1000 && beyond[1] > 20, "{beyond:?}");
}

/// What settles ties in a table is what settles them in a ranking, whatever salt does to couples, to weathering steel and
/// to hot stainless steel.
#[cfg(feature = "arrow")]
#[test]
fn burdens_of_a_table_are_those_of_the_ranking_of_each_row() {
    use arrow_array::cast::AsArray;
    use arrow_array::types::{Float32Type, UInt16Type};
    use arrow_array::{ArrayRef, Float64Array, RecordBatch, StringArray};
    use overcoat::study::{TableRequest, sweep_batches};
    use std::collections::BTreeSet;
    use std::sync::Arc;

    let depositions = [0.5, 2.9, 3.1, 59.0, 61.0, 193.0];
    let catalog = Catalog::built_in();
    let metals = [
        ("aluminium", ""),
        ("weathering_steel", ""),
        ("steel_8_8", r#", "road_salt": {"months_per_year": 4}"#),
        ("stainless_304", r#", "heat_continuous_c": 90"#),
    ];
    let mut moved = 0;
    for (metal, road) in metals {
        let part = format!(
            r#""form": "hexagon_head_screw", "thread": "M8", "length_mm": 30, "base_metal": "{metal}",
                "joined_metals": ["weathering_steel"]"#
        );
        let air = r#", "temperature_c": 10, "relative_humidity_pct": 75, "so2_mg_m2_day": 5"#;
        let wants = r#""other_base_metals": ["weathering_steel", "stainless_304"]"#;
        let brief = brief(&part, &format!(r#"{air}, "mating_metals": ["aluminium"]{road}"#), wants);
        for &shelter in Shelter::ALL {
            let chloride: ArrayRef = Arc::new(Float64Array::from(depositions.to_vec()));
            let shelters: ArrayRef = Arc::new(StringArray::from(vec![shelter.word(); depositions.len()]));
            let columns = [("chloride_mg_m2_day", chloride), ("shelter", shelters)];
            let batch = RecordBatch::try_from_iter(columns).unwrap();
            let request = TableRequest { columns: Some(&["build", "burden"]), ..TableRequest::default() };
            let found = sweep_batches(&brief, &[batch], catalog, &request).unwrap();
            let burdens = found["burden"].as_primitive::<Float32Type>();
            let builds = found["build"].as_dictionary::<UInt16Type>();
            let builds = builds.downcast_dict::<StringArray>().unwrap();
            let builds: Vec<&str> = builds.into_iter().flatten().collect();
            let each = builds.len() / depositions.len();
            let mut of_build = vec![BTreeSet::new(); each];
            for (row, chloride) in depositions.iter().enumerate() {
                let mut of_row = brief.clone();
                (of_row.duty.chloride_mg_m2_day, of_row.duty.shelter) = (Some(*chloride), Some(shelter));
                let ranking = rank(&of_row, catalog).unwrap();
                for place in 0..each {
                    let (name, burden) = (builds[row * each + place], burdens.value(row * each + place));
                    let option = ranking.options.iter().find(|o| o.build.to_string() == name).unwrap();
                    let wanted = option.burden(catalog).unwrap();
                    assert_eq!(burden, wanted, "{name} in {chloride} mg/(m²·d), {shelter}{road}");
                    of_build[place].insert(burden.to_bits());
                }
            }
            moved += of_build.iter().filter(|burdens| burdens.len() > 1).count();
        }
    }
    assert!(moved > 20, "salt settles {moved}");
}

/// Field factors by shelter change median, spread and source from row to row.
#[test]
fn field_factors_by_shelter_are_those_of_the_ranking() {
    let own = |median: f64| format!(r#"{{"median": {median}, "log_sd": 0.25, "source": "own"}}"#);
    let catalog = Catalog::from_json(&format!(
        r#"{{"schema": "overcoat.catalog.v1", "name": "field",
            "sources": {{"own": {{"firmness": "own_records", "citation": "invented"}}}},
            "films": {{"hard_wax": {{"field_factors": {{"sheltered": {}, "indoor": {}}}}},
                "air_dry_paint": {{"field_factors": {{"open": {}}}}}}}}}"#,
        own(2.5),
        own(0.4),
        own(3.0)
    ))
    .unwrap();
    for brief in briefs().iter().take(3) {
        sweep_agrees_with_ranking(brief, &catalog);
    }
}

/// Returns how many results lie beyond the evidence, and how many of them are as likely as requested.
fn sweep_agrees_with_ranking(brief: &Brief, catalog: &Catalog) -> [usize; 2] {
    let mut beyond = [0; 2];
    let table = Table::of_rows(21);
    let columns = table.columns();
    let sweep = Sweep::new(brief, None, catalog).unwrap();
    let mut output = Output::default();
    sweep.run(&columns, &mut output, 1).unwrap();
    let builds = sweep.builds().len();
    for row in 0..21 {
        let ranking = match rank(&sweep.row_brief(&columns, row).unwrap(), catalog) {
            Ok(ranking) => ranking,
            // rain on a part indoors
            Err(error) => {
                assert_eq!(
                    (error.field(), output.reason[row * builds]),
                    ("duty.rain_washed", Reason::ShelterRefused)
                );
                continue;
            }
        };
        assert_eq!(ranking.options.len(), builds);
        for (code, build) in sweep.builds().iter().enumerate() {
            let option = ranking.options.iter().find(|o| o.build == *build).unwrap();
            let i = row * builds + code;
            let place = format!("row {row}, {build}, {:?}", brief.duty);
            assert_eq!(usize::from(output.build[i]), code);
            assert_eq!((output.blocked[i], output.met[i]), (option.blocked, option.met), "{place}");
            let unknown = option.findings.iter().any(|finding| finding.rule == "outlook.horizon");
            let words = output.reason[i].to_string();
            assert_eq!(words.ends_with("_beyond_evidence"), unknown, "{place}: {words}");
            if unknown {
                assert!(!output.met[i], "{place}");
                beyond[0] += 1;
                beyond[1] += usize::from(output.probability_ok[i] >= ranking.target_probability());
            }
            if output.reason[i].is_extrapolated() == ranking.atmosphere.extrapolated {
                assert_eq!(Reason::of_option(&ranking, option), output.reason[i], "{place}");
            }
            assert_eq!(output.category[i], Some(ranking.atmosphere.category), "{place}");
            assert_eq!(
                output.first_year_loss_um[i].to_bits(),
                ranking.atmosphere.first_year_steel_loss_um.to_bits()
            );
            for (name, found, wanted) in [
                ("median", output.median_years[i], option.outlook.median_years),
                ("p10", output.p10_years[i], option.outlook.p10_years),
                ("p90", output.p90_years[i], option.outlook.p90_years),
                ("probability", output.probability_ok[i], option.outlook.probability_ok),
                ("score", output.score[i], option.score.value),
            ] {
                assert!(agree(found, wanted), "{name} is {found:e}, ranking {wanted:e}: {place}");
            }
        }
    }
    beyond
}

fn bits(output: &Output) -> Vec<Vec<u64>> {
    let of = |column: &[f64]| column.iter().map(|x| x.to_bits()).collect();
    vec![
        of(&output.first_year_loss_um),
        of(&output.median_years),
        of(&output.p10_years),
        of(&output.p90_years),
        of(&output.probability_ok),
        of(&output.score),
        output.met.iter().map(|b| u64::from(*b)).collect(),
        output.blocked.iter().map(|b| u64::from(*b)).collect(),
        output.build.iter().map(|b| u64::from(*b)).collect(),
        output.reason.iter().map(|r| *r as u64).collect(),
        output.category.iter().map(|c| c.map_or(9, |c| c as u64)).collect(),
    ]
}

#[test]
fn the_bits_are_the_same_for_any_threads_and_any_split() {
    let mut table = Table::of_rows(6000);
    table.so2_mg_m2_day[77] = -1.0;
    table.temperature_c[4001] = f64::NAN;
    for brief in briefs().into_iter().take(3) {
        let builds: Vec<Build> = Sweep::new(&brief, None, Catalog::built_in())
            .unwrap()
            .builds()
            .iter()
            .step_by(5)
            .take(13)
            .cloned()
            .collect();
        let sweep = Sweep::new(&brief, Some(&builds), Catalog::built_in()).unwrap();
        let columns = table.columns();
        let mut whole = Output::default();
        sweep.run(&columns, &mut whole, 1).unwrap();
        for threads in [2, 3, 0] {
            let mut threaded = Output::default();
            sweep.run(&columns, &mut threaded, threads).unwrap();
            assert!(bits(&threaded) == bits(&whole), "{threads} threads");
        }
        let part = |start: usize, rows: usize| {
            let columns = table.columns();
            let rows = start..start + rows;
            Columns {
                temperature_c: &columns.temperature_c[rows.clone()],
                relative_humidity_pct: &columns.relative_humidity_pct[rows.clone()],
                so2_mg_m2_day: &columns.so2_mg_m2_day[rows.clone()],
                chloride_mg_m2_day: &columns.chloride_mg_m2_day[rows.clone()],
                required_years: columns.required_years.map(|c| &c[rows.clone()]),
                shelter: columns.shelter.map(|c| &c[rows.clone()]),
            }
        };
        let mut output = Output::default();
        let mut start = 0;
        // rows alone, then ever longer pieces, into an output used again and again
        for length in [1, 1, 1, 2, 3, 70, 5, 59, 64, 1000, 1259, 1, 3534] {
            sweep.run(&part(start, length), &mut output, 2).unwrap();
            for (piece, all) in bits(&output).iter().zip(&bits(&whole)) {
                assert!(*piece == all[start * builds.len()..(start + length) * builds.len()]);
            }
            start += length;
        }
        assert_eq!(start, 6000);
    }
}

#[test]
fn rows_with_bad_values_say_why_and_leave_the_others_alone() {
    let mut table = Table::of_rows(40);
    let good = {
        let sweep = Sweep::new(&briefs()[0], None, Catalog::built_in()).unwrap();
        let mut output = Output::default();
        sweep.run(&table.columns(), &mut output, 1).unwrap();
        output
    };
    table.temperature_c[0] = 60.0;
    table.relative_humidity_pct[1] = -1.0;
    table.so2_mg_m2_day[2] = f64::NAN;
    table.chloride_mg_m2_day[39] = f64::INFINITY;
    table.required_years[4] = 0.0;
    table.shelter[5] = None;
    let sweep = Sweep::new(&briefs()[0], None, Catalog::built_in()).unwrap();
    let builds = sweep.builds().len();
    let mut output = Output::default();
    sweep.run(&table.columns(), &mut output, 1).unwrap();
    let bad = [
        (0, Reason::TemperatureOutOfRange),
        (1, Reason::HumidityOutOfRange),
        (2, Reason::So2Missing),
        (39, Reason::ChlorideOutOfRange),
        (4, Reason::RequiredYearsOutOfRange),
        (5, Reason::ShelterUnknown),
    ];
    for row in 0..40 {
        let here = row * builds..(row + 1) * builds;
        if let Some((_, reason)) = bad.iter().find(|(bad_row, _)| *bad_row == row) {
            assert!(output.reason[here.clone()].iter().all(|r| r == reason), "{row}");
            assert!(output.category[here.clone()].iter().all(Option::is_none));
            assert!(output.score[here.clone()].iter().chain(&output.p90_years[here]).all(|x| x.is_nan()));
        } else {
            assert_eq!(output.score[here.clone()], good.score[here.clone()]);
            assert!(output.reason[here].iter().all(|r| r.has_result()));
        }
    }
}

#[test]
fn an_empty_table_and_a_single_row_are_tables_too() {
    let sweep = Sweep::new(&briefs()[1], None, Catalog::built_in()).unwrap();
    let mut output = Output::default();
    sweep.run(&Table::default().columns(), &mut output, 2).unwrap();
    assert!(output.is_empty());
    sweep.run(&Table::of_rows(1).columns(), &mut output, 2).unwrap();
    assert_eq!(output.len(), sweep.builds().len());
    sweep.run(&Table::default().columns(), &mut output, 2).unwrap();
    assert!(output.is_empty());
}

#[test]
fn the_brief_fills_columns_that_are_absent() {
    let table = Table::of_rows(6);
    let place = r#", "place": "road_salt", "first_year_steel_loss_um": 7"#;
    let sweep = Sweep::new(&brief("", place, ""), None, Catalog::built_in()).unwrap();
    let columns = Columns { required_years: None, shelter: None, ..table.columns() };
    let filled =
        Table { required_years: vec![5.0; 6], shelter: vec![Some(Shelter::Sheltered); 6], ..table.clone() };
    let (mut absent, mut present) = (Output::default(), Output::default());
    sweep.run(&columns, &mut absent, 1).unwrap();
    sweep.run(&filled.columns(), &mut present, 1).unwrap();
    assert!(bits(&absent) == bits(&present));
}

#[test]
fn whole_table_problems_are_errors() {
    let mut table = Table::of_rows(3);
    table.so2_mg_m2_day.pop();
    let sweep = Sweep::new(&briefs()[0], None, Catalog::built_in()).unwrap();
    let error = sweep.run(&table.columns(), &mut Output::default(), 1).unwrap_err();
    assert_eq!((error.kind(), error.field()), ("table", "so2_mg_m2_day"));
    let unknown = [Build::new("steel_4_6", "hot_alkaline", ["hard_vax"])];
    let error = Sweep::new(&briefs()[0], Some(&unknown), Catalog::built_in()).unwrap_err();
    assert!(error.to_string().contains("did you mean \"hard_wax\""), "{error}");
    assert!(Sweep::new(&briefs()[0], Some(&[]), Catalog::built_in()).is_err());
    assert!(sweep.row_brief(&Table::of_rows(3).columns(), 3).is_err());
}

/// A result without room for each row and build is refused by its name, not filled halfway.
#[test]
fn results_without_room_are_refused_by_name() {
    let brief = brief(r#""form": "bracket", "base_metal": "steel_4_6""#, "", "");
    let build = Build::new("steel_4_6", "hot_alkaline", ["hard_wax"]);
    let sweep = Sweep::new(&brief, Some(&[build]), Catalog::built_in()).unwrap();
    let table = Table::of_rows(4);
    let mut output = Output::default();
    assert!(output.is_empty());
    output.resize(4);
    assert!(!output.is_empty() && output.len() == 4);
    let mut scores = vec![0.0; 3];
    let slices = OutputSlices { score: &mut scores, ..output.slices() };
    assert_eq!(sweep.run_into(&table.columns(), slices, 1).unwrap_err().field(), "score");
    assert!(sweep.run_into(&table.columns(), output.slices(), 1).is_ok());
}
