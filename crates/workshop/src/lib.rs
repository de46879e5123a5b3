//! A shop's records and the report of every computed figure.

pub mod file;
pub mod problem;
pub mod records;
