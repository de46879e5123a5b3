//! The string: open, pressed, and the lowest that it swings.

use super::{Frame, points};
use crate::drawings::pen::{Pen, hundredths};
use crate::markup::prelude::*;
use strungwell_workshop::report::{NoteSide, SideView, Spot};

/// The string of a view: the open one thin, the pressed one strong, and the lowest of its swing.
pub(crate) fn string(view: &SideView, frame: &Frame) -> Node {
    let open = view
        .line
        .map(|line| view! { <polyline class="open-string" points=points(frame, &line) /> });
    let note = view.note.as_ref().map(|note| pressed(note, frame));
    view! {
        {open}
        {note}
    }
}

/// The open string as it stood before it was moved.
pub(crate) fn before(line: [Spot; 2], frame: &Frame) -> Node {
    view! { <polyline class="before-line" points=points(frame, &line) /> }
}

fn pressed(note: &NoteSide, frame: &Frame) -> Node {
    let [stop, lowest, saddle] = note.lowest;
    let swing = points(frame, &[stop, lowest, saddle]);
    view! {
        <polygon class="swing" points=swing.clone() />
        <polyline class="hidden-line" class:bad-ink=!note.is_clear points=swing />
        <polyline class="pressed-string" points=points(frame, &note.way) />
        {touch(note, frame)}
        {plucked(note, frame)}
        {note.finger.map(|at| fingertip(at, frame))}
    }
}

/// Where the string touches first, or would under a harder pluck.
fn touch(note: &NoteSide, frame: &Frame) -> Option<Node> {
    let (fret, spot) = note.nearest?;
    let (x, y) = (frame.x(spot.x_mm), frame.y(spot.z_mm));
    let words = if note.is_clear {
        format!("nearest at fret {fret}")
    } else {
        format!("✕ touches fret {fret}")
    };
    let mut mark = Pen::new();
    if note.is_clear {
        mark.put("M", &[x, y + 3.0]).put("l-5 9h10z", &[]);
    } else {
        mark.put("M", &[x - 6.0, y - 6.0])
            .put("l12 12m0 -12l-12 12", &[]);
    }
    let half = 3.4 * words.chars().count() as f64;
    let at = x.clamp(frame.edges.0 + half, frame.edges.1 - half);
    Some(view! {
        <path class="touch-mark" class:bad=!note.is_clear d=mark.text() />
        <text class="touch-text" class:bad=!note.is_clear data-figure="touches" x=hundredths(at) y=hundredths(frame.rows.neck - 9.0) text-anchor="middle">{words}</text>
    })
}

/// The place of the pluck, an arrow that way in which the string is drawn.
fn plucked(note: &NoteSide, frame: &Frame) -> Node {
    let [stop, lowest, saddle] = note.lowest;
    let x_mm = saddle.x_mm - note.workings.from_saddle_mm;
    let run = saddle.x_mm - stop.x_mm;
    let share = if run > 0.0 {
        (x_mm - stop.x_mm) / run
    } else {
        0.0
    };
    let x = frame.x(x_mm);
    let y = frame.y(stop.z_mm + share * (saddle.z_mm - stop.z_mm));
    // Drawn towards the board, the lowest corner lies at the pluck itself.
    let is_towards = (lowest.x_mm - x_mm).abs() < 1e-6 && note.workings.pluck_height_mm > 0.0;
    let mut d = Pen::new();
    if is_towards {
        d.put("M", &[x, y - 26.0])
            .put("v22M", &[x, y - 3.0])
            .put("l-3 -8h6z", &[]);
    } else {
        d.put("M", &[x, y - 4.0])
            .put("v-22M", &[x, y - 28.0])
            .put("l-3 8h6z", &[]);
    }
    view! { <path class="pluck-mark" d=d.text() /> }
}

fn fingertip(at: Spot, frame: &Frame) -> Node {
    let (x, y) = (frame.x(at.x_mm), frame.y(at.z_mm));
    let half = frame.wide(4.5).clamp(5.0, 10.0);
    let d = Pen::new()
        .put("M", &[x - half, y - 52.0])
        .put("V", &[y - half])
        .put("Q", &[x - half, y, x, y])
        .put("Q", &[x + half, y, x + half, y - half])
        .put("V", &[y - 52.0])
        .text();
    view! { <path class="fingertip" d=d /> }
}
