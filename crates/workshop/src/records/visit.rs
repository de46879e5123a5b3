//! One time on the bench.

use super::{Extra, Setup};
use serde::{Deserialize, Serialize};

/// One time on the bench.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Visit {
    /// What other records call this one; any text, the same in no other visit of the instrument.
    pub id: String,
    /// The day, as `2026-01-31`.
    #[serde(default)]
    pub date: String,
    /// Heights and setbacks as found.
    #[serde(default)]
    pub as_found: Option<Setup>,
    /// Heights and setbacks as left; none while it is on the bench.
    #[serde(default)]
    pub as_left: Option<Setup>,
    /// What the tuner said.
    #[serde(default)]
    pub readings: Vec<Reading>,
    /// Temperature in degrees Celsius.
    #[serde(default)]
    pub temp_c: Option<f64>,
    /// Relative humidity in per cent.
    #[serde(default)]
    pub rh_percent: Option<f64>,
    /// Anything else.
    #[serde(default)]
    pub note: String,
    /// Unknown fields.
    #[serde(flatten)]
    pub extra: Extra,
}

/// One reading of a tuner.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Which course, counted from 1 on the player's bass side.
    pub course: u32,
    /// Which fret; 0 is the open string.
    pub fret: u32,
    /// How far the note was from its true pitch, in cents; positive is sharp.
    pub cents: f64,
    /// Unknown fields.
    #[serde(flatten)]
    pub extra: Extra,
}
