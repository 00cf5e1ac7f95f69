//! What the observations make of the numbers of the catalog, and each published life predicted from the others.
//!
//!     cargo run --example derive_catalog
//!
//! Lines of `path value` set the catalog: a test compares them with it.

use std::error::Error;
use std::io::Write as _;

use overcoat::catalog::Catalog;
use overcoat::records::derive;

fn main() -> Result<(), Box<dyn Error>> {
    let found = derive(Catalog::built_in())?;
    let mut out = std::io::stdout().lock();
    for number in &found.numbers {
        writeln!(
            out,
            "{}: {}\n  {:.3} within a factor of {:.2}; before {} within {:.2}: {}; {} observations: {}",
            number.key,
            number.what,
            number.median,
            number.log_sd.exp(),
            number.prior_median,
            number.prior_log_sd.exp(),
            number.why,
            number.observations.len(),
            number.observations.join(", ")
        )?;
        for set in &number.sets {
            writeln!(out, "  {} {:.3}", set.path, set.value)?;
        }
    }
    let lives = found.left_out.iter().filter(|life| !life.is_bound());
    let (mut within, mut squares, mut count) = (0, 0.0, 0);
    for life in lives {
        count += 1;
        within += usize::from(life.is_within_80());
        let o = life.observation;
        let middle = (o.low.unwrap_or(1.0) * o.high.unwrap_or(1.0)).sqrt();
        squares += (middle / life.predicted).ln().powi(2);
        writeln!(
            out,
            "{}: {} seen, {:.3} {} predicted from the others, within a factor of {:.2}; {}",
            o.key,
            o.figures(),
            life.predicted,
            o.unit,
            life.log_sd.exp(),
            if life.is_within_80() { "inside" } else { "OUTSIDE" }
        )?;
    }
    for bound in found.left_out.iter().filter(|life| life.is_bound() && !life.is_within_80()) {
        writeln!(out, "bound missed: {} predicted {:.3}", bound.observation, bound.predicted)?;
    }
    let rms = (squares / f64::from(count)).sqrt();
    writeln!(out, "{within} of {count} within their 80 % interval; rms of ln(seen/predicted) {rms:.2}")?;
    Ok(())
}
