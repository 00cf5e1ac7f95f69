//! Black finishes for fasteners: from an inquiry to a ranked, explained and sourced finish to order.
//!
//! ```
//! use overcoat::{Brief, Catalog, rank};
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
//! # Where the words of the industry live
//!
//! | word | where |
//! | --- | --- |
//! | source, firmness | [`evidence`] |
//! | atmosphere, corrosivity category, time of wetness | [`atmosphere`] |
//! | base metal, property class, resistance class | [`metal`] |
//! | thread, tolerance, friction, torque, hydrogen embrittlement | [`fastener`] |
//! | treatment (blackening), film, build | [`finish`] |
//! | catalog: the numbers with their sources, user catalogs | [`catalog`] |
//! | brief: part + duty + wants | [`brief`] |
//! | outlook: years to first rust, and how sure | [`life`] |
//! | finding: what blocks, what is needed | [`check`] |
//! | ranking, score, cost | [`rank`](mod@rank) |
//! | tables of places; what if: break-even, sensitivity, best of each row | [`study`] |
//! | records of salt-spray tests and of the field | [`records`] |
//! | process route, order note, acceptance plan | [`papers`](mod@papers) |
//! | terminal, page, papers for a person | `report` (feature `report`) |
//!
//! Data flows one way, in the order of this table; each step is a pure function. What most callers need is at the
//! root.
//!
//! # Cautions
//!
//! Salt-spray hours are not a service life: they enter as the dose that a film withstands, with a field factor and wide
//! spreads ([`life`]). Hard and safety-critical joints, hot caustic and acid baths belong in the hands of
//! qualified people; local codes go before anything said here.
//!
//! # Features
//!
//! `schema`: JSON Schemas of the documents. `threads`: tables swept by several threads. `arrow`: record batches.
//! `report`: the answer for a person, in a terminal or as a page. `command`: the program `overcoat`.

#![forbid(unsafe_code)]

pub mod atmosphere;
pub mod brief;
pub mod catalog;
pub mod check;
#[cfg(feature = "command")]
pub mod command;
pub mod error;
pub mod evidence;
pub mod fastener;
pub mod finish;
pub mod life;
mod math;
pub mod metal;
pub mod papers;
pub mod rank;
pub mod records;
#[cfg(feature = "report")]
pub mod report;
#[cfg(feature = "schema")]
pub mod schema;
pub mod study;
mod table;

pub use atmosphere::{Atmosphere, Category, ClimateRecord, DoseInputs, Shelter, StandardMetal};
pub use brief::{Brief, Duty, Failure, Form, Part, Wants};
pub use catalog::Catalog;
pub use check::{Finding, FindingKind};
pub use error::{Error, Result};
pub use evidence::{Firmness, Source};
pub use finish::Build;
pub use life::Outlook;
pub use papers::{Papers, Units, papers};
pub use rank::{Cost, RankedOption, Ranking, rank};
pub use records::{Distribution, Estimate, Fit, Record, backtest, fit};
pub use study::{BreakEven, Chart, Columns, Contest, Input, Measure, Output, Rows, Study, Sweep, chart};

/// Runs the Rust example of the README.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct ReadmeExample;
