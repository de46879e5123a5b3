//! The neck from the side under one string, and three strands under it on the same frets: what the finger needs, how sharp
//! the note is, how much room it has.

mod frame;
mod handle;
mod neck;
mod strands;
mod string;

pub(crate) use frame::Frame;
pub(crate) use handle::{Grip, Handle};
pub(crate) use neck::neck;
pub(crate) use strands::{Scales, Strip, strands};
pub(crate) use string::{before, string};

use strungwell_workshop::report::Spot;

/// The points of a line, for the drawing.
pub(crate) fn points(frame: &Frame, spots: &[Spot]) -> String {
    spots
        .iter()
        .map(|s| format!("{:.2},{:.2} ", frame.x(s.x_mm), frame.y(s.z_mm)))
        .collect()
}
