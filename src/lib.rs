//! Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.
//!
//! ```
//! use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
//! let brief = Brief::from_json(r#"{
//!     "schema": "overcoat.brief.v1",
//!     "name": "cap screws in a salt-water harbor",
//!     "part": {"form": "socket_cap_screw", "thread": "M6", "length_mm": 20},
//!     "duty": {"place": "coastal", "required_years": 5}
//! }"#)?;
//! let ranking = rank(&brief, Catalog::built_in())?;
//! println!("{}", ranking.verdict);
//! for option in ranking.options.iter().take(3) {
//!     println!("{}: {:.1} years, {}", option.build, option.outlook.median_years, option.first_reason());
//! }
//! # Ok::<(), overcoat::Error>(())
//! ```
//!
//! # Where the words of the trade live
//!
//! | word | where |
//! | --- | --- |
//! | atmosphere, corrosivity category, time of wetness | [`atmosphere`] |
//! | base metal, property class, resistance class | [`metal`] |
//! | treatment (blackening), film, build | [`finish`] |
//! | thread, tolerance, friction, torque, hydrogen embrittlement | [`fastener`] |
//! | catalog: the numbers with their sources, user catalogs | [`catalog`] |
//! | brief: part + duty + wants | [`brief`] |
//! | finding: what blocks, what is needed | [`check`] |
//! | outlook: years to first rust, and how sure | [`life`] |
//! | ranking, score, cost | [`rank`] |
//! | process route, order note, acceptance plan | [`papers`] |
//! | records of salt-spray tests and of the field | [`records`] |
//! | tables of places | [`sweep`] |
//! | what if: break-even, sensitivity, best of each row | [`whatif`] |
//! | source, firmness | [`source`] |
//! | terminal, page, papers for a person | `report` (feature `report`) |
//!
//! Data flows one way, in the order of this table from [`atmosphere`] to [`papers`]; each step is a pure function.
//!
//! # Cautions
//!
//! Salt-spray hours are no service life: they enter as a film's capacity for dose, with a field factor and wide
//! spreads ([`life`]). Hard and safety-critical joints, hot caustic and acid baths belong in the hands of
//! qualified people; local codes go before anything said here.
//!
//! # Features
//!
//! `schema`: JSON Schemas of the documents. `threads`: tables swept by several threads. `arrow`: record batches.

#![forbid(unsafe_code)]

pub mod atmosphere;
pub mod brief;
pub mod catalog;
pub mod check;
#[cfg(feature = "command")]
pub mod command;
mod customary;
pub mod error;
pub mod evidence;
pub mod fastener;
pub mod finish;
pub mod life;
mod math;
pub mod metal;
pub mod papers;
pub mod quantity;
pub mod rank;
pub mod records;
#[cfg(feature = "report")]
pub mod report;
#[cfg(feature = "schema")]
pub mod schema;
pub mod sweep;
mod table;
pub mod whatif;

pub use error::{Error, Result};
pub use evidence::source;
pub use evidence::{Firmness, Source};

/// Runs the Rust example of the README.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct ReadmeExample;
