//! Ranks a brief file: `cargo run --example rank_brief -- demo-data/briefs/deck-fitting.json [catalog.json]`.

use overcoat::{Brief, Catalog, rank};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let brief = arguments.next().ok_or("usage: rank_brief BRIEF.json [CATALOG.json]")?;
    let brief = Brief::from_json(&std::fs::read_to_string(brief)?)?;
    let catalog = match arguments.next() {
        Some(path) => Catalog::from_json(&std::fs::read_to_string(path)?)?,
        None => Catalog::default(),
    };
    let ranking = rank(&brief, &catalog)?;
    println!("{}\n{}", brief.name, ranking.verdict);
    for option in ranking.options.iter().take(12) {
        println!(
            "{:.3} {:5.1} % {:8.2} a {:9.0} {}  {}  [{}]",
            option.score.value,
            option.outlook.probability_ok * 100.0,
            option.outlook.median_years,
            option.cost.per_thousand,
            option.cost.currency,
            option.build,
            option.first_reason()
        );
    }
    Ok(())
}
