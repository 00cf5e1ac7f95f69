//! Tables that come in as text.

pub(crate) mod csv;
pub(crate) mod named;
