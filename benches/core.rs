//! What a user waits for: first-year losses of columns, sweeps, one ranking.
//!
//! `cargo bench --features threads` prints median times; the rows are always a million. Memory is taken anew
//! for each sweep where it says `fresh`, and used again where it does not.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark stops where its own input is wrong"
)]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use overcoat::atmosphere::Shelter;
use overcoat::atmosphere::first_year_losses_um_into;
use overcoat::brief::Brief;
use overcoat::catalog::Catalog;
use overcoat::finish::Build;
use overcoat::rank::rank;
use overcoat::study::{Columns, Output, Sweep};

const ROWS: usize = 1_000_000;

fn main() {
    divan::main();
}

struct Table {
    temperature_c: Vec<f64>,
    relative_humidity_pct: Vec<f64>,
    so2_mg_m2_day: Vec<f64>,
    chloride_mg_m2_day: Vec<f64>,
    required_years: Vec<f64>,
    shelter: Vec<Option<Shelter>>,
}

impl Table {
    fn new() -> Self {
        let column = |step: f64, low: f64, high: f64| -> Vec<f64> {
            (0..ROWS).map(|row| low + (high - low) * (0.5 + row as f64 * step).fract()).collect()
        };
        let doses = |step: f64, low: f64, high: f64| -> Vec<f64> {
            column(step, f64::ln(low), f64::ln(high)).into_iter().map(f64::exp).collect()
        };
        Self {
            temperature_c: column(0.856_674_883_854_502_9, -17.0, 28.0),
            relative_humidity_pct: column(0.733_891_856_627_126_4, 34.0, 93.0),
            so2_mg_m2_day: doses(0.628_706_720_890_297_6, 0.7, 150.0),
            chloride_mg_m2_day: doses(0.538_597_257_217_295_3, 0.4, 760.0),
            required_years: column(0.461_402_742_782_704_7, 1.0, 15.0),
            shelter: (0..ROWS).map(|row| Some(Shelter::ALL[row % 2])).collect(),
        }
    }

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
}

const BRACKET: &str = r#"{
    "schema": "overcoat.brief.v1", "name": "brackets at all sites",
    "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    "duty": {"required_years": 5}
}"#;

/// Twelve builds on plain steel.
fn twelve() -> Sweep {
    let films: [&[&str]; 12] = [
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
    sweep(&films.map(|films| Build::new("steel_4_6", "hot_alkaline", films.iter().copied())))
}

/// Six films on stainless steel, whose lives are mixtures.
fn stainless() -> Sweep {
    let films =
        ["displacing_oil", "soft_wax", "hard_wax", "acrylic_lacquer", "air_dry_paint", "stoved_epoxy"];
    sweep(&films.map(|film| Build::new("stainless_316", "stainless_alkaline", [film])))
}

fn sweep(builds: &[Build]) -> Sweep {
    Sweep::new(&Brief::from_json(BRACKET).unwrap(), Some(builds), Catalog::built_in()).unwrap()
}

#[divan::bench(sample_count = 15)]
fn first_year_loss_of_four_metals(bencher: Bencher) {
    let table = Table::new();
    let mut losses = [const { Vec::new() }; 4].map(|_: Vec<f64>| vec![0.0; ROWS]);
    bencher.counter(ItemsCount::new(ROWS)).bench_local(|| {
        let [steel, zinc, copper, aluminium] = &mut losses;
        first_year_losses_um_into(
            black_box(&table.temperature_c),
            &table.relative_humidity_pct,
            &table.so2_mg_m2_day,
            &table.chloride_mg_m2_day,
            [steel, zinc, copper, aluminium],
        )
        .unwrap();
    });
}

#[divan::bench(sample_count = 9, args = [1, 2])]
fn sweep_of_12_builds(bencher: Bencher, threads: usize) {
    let (table, sweep, mut output) = (Table::new(), twelve(), Output::default());
    bencher
        .counter(ItemsCount::new(12 * ROWS))
        .bench_local(|| sweep.run(black_box(&table.columns()), &mut output, threads).unwrap());
}

#[divan::bench(sample_count = 9, args = [1, 2])]
fn sweep_of_12_builds_fresh(bencher: Bencher, threads: usize) {
    let (table, sweep) = (Table::new(), twelve());
    bencher.counter(ItemsCount::new(12 * ROWS)).bench_local(|| {
        let mut output = Output::default();
        sweep.run(black_box(&table.columns()), &mut output, threads).unwrap();
        output
    });
}

#[divan::bench(sample_count = 9)]
fn sweep_of_1_build(bencher: Bencher) {
    let builds = [Build::new("steel_4_6", "hot_alkaline", ["hard_wax"])];
    let (table, sweep, mut output) = (Table::new(), sweep(&builds), Output::default());
    bencher
        .counter(ItemsCount::new(ROWS))
        .bench_local(|| sweep.run(black_box(&table.columns()), &mut output, 1).unwrap());
}

#[divan::bench(sample_count = 9)]
fn sweep_of_6_stainless_builds(bencher: Bencher) {
    let (table, sweep, mut output) = (Table::new(), stainless(), Output::default());
    bencher
        .counter(ItemsCount::new(6 * ROWS))
        .bench_local(|| sweep.run(black_box(&table.columns()), &mut output, 1).unwrap());
}

#[divan::bench]
fn sweep_of_one_row(bencher: Bencher) {
    let (table, sweep, mut output) = (Table::new(), twelve(), Output::default());
    let all = table.columns();
    let columns = Columns {
        temperature_c: &all.temperature_c[..1],
        relative_humidity_pct: &all.relative_humidity_pct[..1],
        so2_mg_m2_day: &all.so2_mg_m2_day[..1],
        chloride_mg_m2_day: &all.chloride_mg_m2_day[..1],
        required_years: None,
        shelter: None,
    };
    bencher.bench_local(|| sweep.run(black_box(&columns), &mut output, 1).unwrap());
}

#[divan::bench]
fn prepare_a_sweep_of_all_builds(bencher: Bencher) {
    let brief = Brief::from_json(BRACKET).unwrap();
    let catalog = Catalog::built_in();
    bencher.bench_local(|| Sweep::new(black_box(&brief), None, catalog).unwrap());
}

const DEMO_BRIEFS: [(&str, &str); 6] = [
    ("boat cap screws", include_str!("../demo-data/briefs/boat-cap-screws.json")),
    ("deck fitting", include_str!("../demo-data/briefs/deck-fitting.json")),
    ("furnace bracket", include_str!("../demo-data/briefs/furnace-bracket.json")),
    ("gate hinge", include_str!("../demo-data/briefs/gate-hinge.json")),
    ("indoor machine", include_str!("../demo-data/briefs/indoor-machine.json")),
    ("trailer bracket", include_str!("../demo-data/briefs/trailer-bracket.json")),
];

#[divan::bench(args = DEMO_BRIEFS.map(|(name, _)| name))]
fn rank_a_demo_brief(bencher: Bencher, name: &str) {
    let text = DEMO_BRIEFS.iter().find(|(known, _)| *known == name).unwrap().1;
    let brief = Brief::from_json(text).unwrap();
    let catalog = Catalog::built_in();
    bencher.bench_local(|| rank(black_box(&brief), catalog).unwrap());
}
