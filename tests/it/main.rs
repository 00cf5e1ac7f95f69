//! The integration tests, one program: each file is a module, so that they link once.
//!
//! Run one file by its name: `cargo test --test it finding_coverage`.
// the whole program is tests: a panic is how one fails
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::needless_pass_by_value
)]

mod answers;
mod bad_input;
mod blocked_demos;
mod briefs;
mod common;
mod criteria_by_hand;
mod dangers;
mod derivation;
mod exposure_by_hand;
mod finding_coverage;
mod fuzz_entry_points;
mod golden_papers;
mod head_only;
mod hostile_documents;
mod house;
mod life;
mod metamorphic;
mod papers;
mod papers_answered;
mod papers_properties;
mod papers_signed;
mod papers_trade;
mod rank_properties;
mod records_fits;
mod reference;
mod report;
mod rules_seldom_met;
mod schemas;
mod sources;
mod sweep;
mod trade_cases;
mod trade_facts;
mod whatif;
