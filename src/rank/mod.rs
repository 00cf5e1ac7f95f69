//! The builds of a brief, ordered and explained.
//!
//! | file | idea |
//! | --- | --- |
//! | `candidates` | which builds are tried |
//! | `lot` | mass and surface of what is bought |
//! | `cost` | purchase, preparation, replacement over the required years |
//! | `score` | desirability of each criterion and their weighted geometric mean |
//! | `judged` | what of a build no atmosphere moves, kept for tables |
//! | `order` | the one order of options, with the rank that ties share |
//! | `pareto` | builds that no other beats in both cost and probability |
//! | `sources` | every source that the answer is based on |
//! | `stability` | how often #1 stays first when weights and spreads move |
//! | `ranking` | the answer |
//! | `verdict` | the answer in a few lines: what to order, and what speaks against it |
//! | `points` | findings as a reader sees them |
//! | `words` | numbers and builds in words |
//! | `certainty` | which build is truly first, and what to measure next |
//!
//! ```
//! use overcoat::{brief::Brief, catalog::Catalog, rank::rank};
//! let brief = Brief::from_json(r#"{
//!     "schema": "overcoat.brief.v1",
//!     "name": "guard plates in a heated hall",
//!     "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
//!     "duty": {"place": "indoor_heated", "required_years": 10},
//!     "wants": {"outside_blackening": false}
//! }"#)?;
//! let ranking = rank(&brief, Catalog::built_in())?;
//! let best = ranking.best().unwrap();
//! assert_eq!(best.build.treatment, "hot_alkaline");
//! assert!(best.outlook.probability_ok > 0.9);
//! assert!(ranking.options.last().unwrap().blocked);
//! # Ok::<(), overcoat::Error>(())
//! ```

mod candidates;
pub mod certainty;
mod cost;
mod judged;
mod lot;
mod order;
mod pareto;
pub(crate) mod points;
mod ranking;
mod score;
mod sources;
mod stability;
pub(crate) mod verdict;
#[cfg_attr(not(feature = "report"), allow(unreachable_pub, reason = "public as words of the report"))]
pub(crate) mod words;

pub use candidates::candidates;
pub(crate) use candidates::{check_wants, outside_builds};
pub(crate) use cost::IN_PART;
pub use cost::{Cost, CostLine, cost};
pub(crate) use cost::{CostLines, FAILS_AT_ONCE, check_limit, currency_of, log2_growth, purchase};
#[cfg(feature = "report")]
pub(crate) use judged::COST_LIMIT;
pub(crate) use judged::Judgements;
pub use lot::Lot;
pub(crate) use order::{Burden, Standing, first, tied};
pub(crate) use pareto::front;
pub use ranking::{CAUTIONS, RANKING_SCHEMA, RankedOption, Ranking, rank};
pub(crate) use ranking::{Question, default_treatment, reference_cost};
#[cfg(feature = "report")]
pub(crate) use ranking::{spread_in_short, spread_in_words};
pub(crate) use score::DESIRABILITY;
pub(crate) use score::{Fixed, ScoreScale, USUAL_TARGET, fixed_desirabilities};
pub use score::{Score, Share};
pub(crate) use verdict::{common_reason, is_short_of, weaker};
pub use words::percent_in_words;
