//! Mass and surface of what is bought.

use crate::Result;
use crate::brief::{Form, Part};
use crate::fastener::{Thread, headless_size};

/// A lot of parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lot {
    /// Pieces in it.
    pub pieces: f64,
    /// Mass of one piece, kg.
    pub mass_kg: f64,
    /// Surface of one piece, dm².
    pub surface_dm2: f64,
}

/// Pieces taken where the brief names none (assumption).
const USUAL_PIECES: f64 = 1000.0;
/// Mass and surface taken where they are neither given nor computed: about those of a screw M8 × 30, or 5/16 × 1 1/4
/// (assumption).
const USUAL_MASS_G: f64 = 17.0;
const USUAL_SURFACE_DM2: f64 = 0.20;

fn own_size(part: &Part) -> Result<&'static str> {
    Ok(match part.thread_size()? {
        Some(Thread::Inch(_)) => "from standard dimensions of the metric sizes next to it",
        _ => "from standard dimensions",
    })
}

/// The screw of that mass and surface, in the sizes of the part.
fn usual_screw(part: &Part) -> Result<&'static str> {
    Ok(match part.thread_size()? {
        Some(Thread::Inch(_)) => "as of a screw 5/16 x 1 1/4",
        _ => "as of a screw M8 x 30",
    })
}

/// Mass and surface of a set screw, or of another part with a thread and a length: a stud more often than not
/// (assumption).
fn headless(part: &Part) -> Result<Option<(f64, f64)>> {
    let (Some(Form::SetScrew | Form::Other), Some(length)) = (part.form, part.length_mm) else {
        return Ok(None);
    };
    Ok(part.thread_size()?.map(|thread| headless_size(&thread, length)))
}

impl Lot {
    /// The lot of a part: what the brief gives, else from standard dimensions, else a usual screw; `assumed`
    /// gains a line for each default.
    ///
    /// # Errors
    /// A thread designation that cannot be read.
    pub fn of(part: &Part, assumed: &mut Vec<String>) -> Result<Self> {
        let pieces = part.lot_pieces.map_or_else(
            || {
                assumed.push(format!("lot: {USUAL_PIECES} pieces"));
                USUAL_PIECES
            },
            |pieces| pieces as f64,
        );
        let (mass_g, surface_dm2) = match (part.mass_g, part.surface_dm2) {
            (Some(mass_g), Some(surface_dm2)) => (mass_g, surface_dm2),
            (mass_g, surface_dm2) => {
                let (usual_mass, usual_surface, how) = match (part.standard_size()?, headless(part)?) {
                    (Some((mass, surface)), _) => (mass, surface, own_size(part)?),
                    (None, Some((mass, surface))) => (mass, surface, "as of a threaded rod of its length"),
                    // of a size outside the tables too
                    (None, None) => (USUAL_MASS_G, USUAL_SURFACE_DM2, usual_screw(part)?),
                };
                let mass = mass_g.unwrap_or(usual_mass);
                let surface = surface_dm2.unwrap_or(usual_surface);
                // only what the brief leaves open is assumed
                let mut open = Vec::new();
                open.extend(mass_g.is_none().then(|| format!("{mass:.1} g")));
                open.extend(surface_dm2.is_none().then(|| format!("{surface:.2} dm²")));
                assumed.push(format!("one piece: {}, {how}", open.join(", ")));
                (mass, surface)
            }
        };
        Ok(Self { pieces, mass_kg: mass_g / 1000.0, surface_dm2 })
    }
}
