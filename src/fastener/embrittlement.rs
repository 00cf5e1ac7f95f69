//! stub
#![allow(missing_docs)]
use crate::{Result, Source};
pub struct Bake { pub hours: f64 }
pub enum EmbrittlementEdition { Iso4042Year2018 }
impl EmbrittlementEdition { pub fn source(&self) -> Source { Source::standard("ISO 4042:2018") } }
#[derive(PartialEq)]
pub enum Susceptibility { Low, High }
pub fn baking(_t: f64) -> Result<Option<Bake>> { Ok(Some(Bake { hours: 8.0 })) }
pub fn susceptibility(hv: f64, _e: EmbrittlementEdition) -> Result<Susceptibility> { Ok(if hv < 360.0 { Susceptibility::Low } else { Susceptibility::High }) }
