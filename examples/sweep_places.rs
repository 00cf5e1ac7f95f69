//! Sweeps made-up places over twelve builds and prints their mean score.
//!
//! `cargo run --release --example sweep_places -- [ROWS] [TIMES]`; the results lie in the same memory each time.
//! The test of instruction counts runs it with few rows.

use overcoat::atmosphere::Shelter;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::finish::Build;
use overcoat::study::{Columns, Output, Sweep};

const FILMS: [&[&str]; 12] = [
    &[],
    &["displacing_oil"],
    &["heavy_oil"],
    &["soft_wax"],
    &["hard_wax"],
    &["acrylic_lacquer"],
    &["air_dry_paint"],
    &["stoved_epoxy"],
    &["polyester_powder"],
    &["epoxy_electrocoat"],
    &["zinc_phosphate_primer", "air_dry_paint"],
    &["epoxy_electrocoat", "polyester_powder"],
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1).map(|text| text.parse::<u32>());
    let rows = arguments.next().transpose()?.unwrap_or(1_000_000);
    let times = arguments.next().transpose()?.unwrap_or(1);
    let brief = Brief::from_json(
        r#"{
            "schema": "overcoat.brief.v1", "name": "brackets at all places",
            "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
            "duty": {"required_years": 5}
        }"#,
    )?;
    let builds = FILMS.map(|films| Build::new("steel_4_6", "hot_alkaline", films.iter().copied()));
    let sweep = Sweep::new(&brief, Some(&builds), Catalog::built_in())?;

    // multiples of irrational numbers fill the ranges evenly
    let column = |step: f64, low: f64, high: f64| -> Vec<f64> {
        (0..rows).map(|row| low + (high - low) * (0.5 + f64::from(row) * step).fract()).collect()
    };
    let shelter: Vec<_> =
        Shelter::ALL.iter().map(|shelter| Some(*shelter)).cycle().take(rows as usize).collect();
    let columns = Columns {
        temperature_c: &column(0.856_674_883_854_502_9, -17.0, 28.0),
        relative_humidity_pct: &column(0.733_891_856_627_126_4, 34.0, 93.0),
        so2_mg_m2_day: &column(0.628_706_720_890_297_6, 0.7, 150.0),
        chloride_mg_m2_day: &column(0.538_597_257_217_295_3, 0.4, 760.0),
        required_years: Some(&column(0.461_402_742_782_704_7, 1.0, 15.0)),
        shelter: Some(&shelter),
    };
    let mut output = Output::default();
    for _ in 0..times {
        sweep.run(&columns, &mut output, 1)?;
    }

    let mean = |column: &[f64]| column.iter().sum::<f64>() / column.len().max(1) as f64;
    println!("{} results, mean score {:.6}", output.len(), mean(&output.score));
    println!("mean probability {:.6}", mean(&output.probability_ok));
    Ok(())
}
