//! The neck from the side under one string, and three strands under it on the same frets: what the finger needs, how sharp
//! the note is, how much room it has.
//!
//! What a hand on a knob does not move is drawn apart from what it moves, so that a frame of the move touches little.

mod frame;
mod handle;
mod neck;
mod strands;
mod string;

pub(crate) use frame::Frame;
pub(crate) use handle::{Grip, Handle};
pub(crate) use neck::{Board, ends, neck};
pub(crate) use strands::{Scales, Strip, notes, strands};
pub(crate) use string::{before, string};

use super::pen::Pen;
use strungwell_workshop::report::Spot;

/// The points of a line, for the drawing.
pub(crate) fn points(frame: &Frame, spots: &[Spot]) -> String {
    let mut pen = Pen::new();
    for spot in spots {
        pen.corner(frame.x(spot.x_mm), frame.y(spot.z_mm));
    }
    pen.text()
}
