//! One time on the bench.

use super::json::record_json;
use super::{Extra, Setup};

/// One time on the bench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Visit {
    /// What other records call this one; any text, the same in no other visit of the instrument.
    pub id: String,
    /// The day, as `2026-01-31`.
    pub date: String,
    /// Heights and setbacks as found.
    pub as_found: Option<Setup>,
    /// Heights and setbacks as left; none while it is on the bench.
    pub as_left: Option<Setup>,
    /// What the tuner said.
    pub readings: Vec<Reading>,
    /// Temperature in degrees Celsius.
    pub temp_c: Option<f64>,
    /// Relative humidity in per cent.
    pub rh_percent: Option<f64>,
    /// What was done.
    pub work: String,
    /// The parts that were used.
    pub parts: String,
    /// What was said, by the owner and to them.
    pub said: String,
    /// What the instrument waits for, such as a part; empty while nothing keeps it from being worked on.
    pub waits_for: String,
    /// Anything else.
    pub note: String,
    /// When this visit was changed last, as a moment; none when not known.
    pub changed: Option<String>,
    /// Unknown fields.
    pub extra: Extra,
}

/// One reading of a tuner.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// Which course, counted from 1 on the player's bass side.
    pub course: u32,
    /// Which fret; 0 is the open string.
    pub fret: u32,
    /// How far the note was from its true pitch, in cents; positive is sharp.
    pub cents: f64,
    /// One standard deviation of `cents`; none when it is not known, as of a reading typed from a tuner.
    pub sd_cents: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Visit {
    id,
    date,
    as_found,
    as_left,
    readings,
    temp_c,
    rh_percent,
    work,
    parts,
    said,
    waits_for,
    note,
    changed
});
record_json!(Reading {
    course,
    fret,
    cents,
    sd_cents
});
