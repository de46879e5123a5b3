//! A shop's records and the report of every computed figure.

pub mod cautions;
pub mod checksum;
pub mod choose;
pub mod families;
pub mod file;
pub mod hand_over;
pub mod link;
pub mod merge;
pub mod moment;
pub mod notation;
pub mod problem;
pub mod rack;
pub mod records;
pub mod report;
pub mod runs;
pub mod sets;
pub mod show;
pub mod units;
pub mod visits;
pub mod words;
