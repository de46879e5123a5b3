//! What an instrument bears and waits for: the strings that it carried before, bars in its neck, how its strings settle, how it is
//! played in, and readings at different temperatures.

use super::json::{record_json, word_json};
use super::{Course, Extra};

/// A stringing that the instrument carried before the present one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Former {
    /// The day on which it came off, as `2026-01-31`; empty when not noted.
    pub date: String,
    /// Its courses, from the bass side, described as the instrument's own.
    pub courses: Vec<Course>,
    /// Relief in mm under those strings, measured at the setup's `relief_fret`; none when not measured.
    pub relief_mm: Option<f64>,
    /// Anything else.
    pub note: String,
    /// Unknown fields.
    pub extra: Extra,
}

/// A bar or rod in the neck, glued in under the board all along.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bar {
    /// What it is made of.
    pub material: BarMaterial,
    /// Width across the neck in mm, several bars together.
    pub width_mm: f64,
    /// Height in mm.
    pub height_mm: f64,
    /// How far its top lies below the board's underside, in mm.
    pub down_mm: f64,
    /// Unknown fields.
    pub extra: Extra,
}

/// What a bar is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BarMaterial {
    /// Steel.
    #[default]
    Steel,
    /// Carbon fibre.
    Carbon,
    /// Aluminium.
    Aluminium,
    /// Brass.
    Brass,
}

/// How new strings settle.
#[derive(Clone, Debug, PartialEq)]
pub struct Settling {
    /// When the strings were first brought to pitch, as `2026-01-31T10:00Z`.
    pub strung: String,
    /// How flat they may go before they are tuned again, in cents.
    pub tolerance_cents: f64,
    /// Below this drift, in cents an hour, they count as settled.
    pub settled_cents_per_hour: f64,
    /// What was read.
    pub looks: Vec<Look>,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for Settling {
    /// Nothing read, tuned again at 5 cents, settled below one cent an hour.
    fn default() -> Self {
        Self {
            strung: String::new(),
            tolerance_cents: 5.0,
            settled_cents_per_hour: 1.0,
            looks: Vec::new(),
            extra: Extra::new(),
        }
    }
}

/// One look at a new string.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Look {
    /// Which course, counted from 1 on the player's bass side.
    pub course: u32,
    /// Hours since it was first brought to pitch.
    pub hours: f64,
    /// How flat it was, in cents; positive is flat.
    pub flat_cents: f64,
    /// It was brought back to pitch after this look.
    pub retuned: bool,
    /// Unknown fields.
    pub extra: Extra,
}

/// Playing in on a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayingIn {
    /// Which machine, in the shop's own words; instruments with the same word hang on the same machine.
    pub machine: String,
    /// How many strokes it is to have.
    pub target_strokes: f64,
    /// Strokes for one turn of the machine.
    pub strokes_per_turn: f64,
    /// Turns a minute, as counted.
    pub turns_per_minute: f64,
    /// Hours of each day that it runs.
    pub hours_per_day: f64,
    /// When it was started, as `2026-01-31T10:00Z`; none before.
    pub started: Option<String>,
    /// When it was stopped; none while it runs.
    pub stopped: Option<String>,
    /// When the strings were changed afterwards; none before.
    pub strings_changed: Option<String>,
    /// What a counter said.
    pub counts: Vec<StrokeCount>,
    /// Unknown fields.
    pub extra: Extra,
}

impl Default for PlayingIn {
    /// A million strokes, one a turn at 60 turns a minute, day and night, not started.
    fn default() -> Self {
        Self {
            machine: String::new(),
            target_strokes: 1_000_000.0,
            strokes_per_turn: 1.0,
            turns_per_minute: 60.0,
            hours_per_day: 24.0,
            started: None,
            stopped: None,
            strings_changed: None,
            counts: Vec::new(),
            extra: Extra::new(),
        }
    }
}

/// A counter's reading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StrokeCount {
    /// When it was read, as `2026-01-31T10:00Z`.
    pub at: String,
    /// Strokes since the start.
    pub strokes: f64,
    /// Unknown fields.
    pub extra: Extra,
}

/// An open string's reading at a temperature.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WarmReading {
    /// Which course, counted from 1 on the player's bass side.
    pub course: u32,
    /// Temperature in degrees Celsius.
    pub temp_c: f64,
    /// How far the open string was from its true pitch, in cents, not retuned in between; positive is sharp.
    pub cents: f64,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Former {
    date,
    courses,
    relief_mm,
    note
});
record_json!(Bar {
    material,
    width_mm,
    height_mm,
    down_mm
});
record_json!(Settling {
    strung,
    tolerance_cents,
    settled_cents_per_hour,
    looks
});
record_json!(Look {
    course,
    hours,
    flat_cents,
    retuned
});
record_json!(PlayingIn {
    machine,
    target_strokes,
    strokes_per_turn,
    turns_per_minute,
    hours_per_day,
    started,
    stopped,
    strings_changed,
    counts
});
record_json!(StrokeCount { at, strokes });
record_json!(WarmReading {
    course,
    temp_c,
    cents
});
word_json!(BarMaterial { Steel = "steel", Carbon = "carbon", Aluminium = "aluminium", Brass = "brass" });
