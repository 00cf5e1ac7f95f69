//! The answer for a person: terminal, page with pictures, papers (feature `report`).
//!
//! | file | idea |
//! | --- | --- |
//! | `answer` | what a person reads of a ranking, in reading order; terminal and page print the same facts |
//! | `terminal` | at most 30 lines of 80 columns |
//! | `page` | the answer, the papers, the chart as self-contained HTML; fragments for notebooks |
//! | `picture` | the decision pictures and the heat map as SVG |
//! | `change` | what would change the answer, and the tables that the controls of a page look up |
//! | `chart` | the names of the rows of a chart of choices, and what is said beneath it |
//! | `limits` | what the first option is not good for, the best of each process, the order note |
//!
//! Nothing is computed here that the ranking, the what-ifs or the papers do not say; it is put into words, tables and
//! pictures.

mod answer;
mod change;
mod chart;
mod date;
mod limits;
mod page;
mod picture;
mod terminal;

pub use crate::life::{years, years_short};
#[cfg(feature = "command")]
pub(crate) use crate::rank::verdict::NOT_STATED;
pub use crate::rank::words::{
    BuildWords, amount, capital, cost, count, factor_words, percent, pieces, sentence,
};
#[cfg(feature = "command")]
pub(crate) use chart::ChartWords;
#[cfg(feature = "command")]
pub(crate) use date::read_date;
pub use date::today;
pub use page::{
    PageOptions, answer_page, brief_fragment, chart_page, finding_fragment, option_fragment,
    outlook_fragment, papers_page, ranking_fragment,
};
pub use terminal::{TerminalOptions, terminal};
#[cfg(feature = "command")]
pub(crate) use terminal::{wrapped, wrapped_to};
