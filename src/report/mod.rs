//! The answer for a person: terminal, page with pictures, papers (feature `report`).
//!
//! | file | idea |
//! | --- | --- |
//! | `words` | numbers and builds in words |
//! | `answer` | what a person reads of a ranking, in reading order; terminal and page print the same facts |
//! | `terminal` | at most 30 lines of 80 columns |
//!
//! Nothing is computed here that the ranking, the what-ifs or the papers do not say; it is put into words, tables and
//! pictures.

mod answer;
mod terminal;
mod words;

pub use terminal::{TerminalOptions, terminal};
pub use words::{
    BuildWords, amount, capital, cost, count, percent, pieces, sentence, years, years_range,
    years_range_short, years_short,
};
