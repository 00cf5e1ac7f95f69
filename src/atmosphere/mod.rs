//! stub
pub mod climate_record;
