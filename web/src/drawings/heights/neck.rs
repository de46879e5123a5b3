//! The neck itself: board, frets with their tops, nut, saddle, and the lines of what is measured on it.

use super::Frame;
use crate::drawings::pen::{Pen, hundredths};
use crate::markup::prelude::*;
use strungwell_workshop::report::{FretSide, SideView, Spot};
use strungwell_workshop::units::Units;

/// Frets whose numbers are shown where there is little room.
const KEY_FRETS: [u32; 6] = [1, 3, 5, 7, 9, 12];

/// Half the width of a fret's crown in mm, as fret wire is.
const HALF_CROWN_MM: f64 = 0.9;

/// What of a neck no string moves: the frets from the side, and where the relief is measured.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Board {
    /// The frets, the nut first.
    pub frets: Vec<FretSide>,
    /// The fret of the relief; 0 where it is measured nowhere.
    pub relief_fret: u32,
}

impl Board {
    /// What a view has of it.
    pub(crate) fn of(view: &SideView) -> Self {
        Self {
            frets: view.frets.clone(),
            relief_fret: view.relief_fret,
        }
    }
}

/// The neck, with the chosen fret marked.
pub(crate) fn neck(board: &Board, frame: &Frame, fret: u32) -> Node {
    view! {
        {wood(board, frame)}
        {crowns(board, frame, fret)}
        {straight(board, frame)}
    }
}

fn wood(board: &Board, frame: &Frame) -> Node {
    let last = board.frets.last().copied();
    let end_x = last.map_or(0.0, |l| frame.x(l.x_mm) + frame.wide(6.0).clamp(5.0, 14.0));
    let neck = frame.rows.neck;
    let mut outline = Pen::new();
    for f in &board.frets {
        outline.corner(frame.x(f.x_mm), frame.y(f.wood_mm));
    }
    if let Some(last) = last {
        outline
            .corner(end_x, frame.y(last.wood_mm))
            .corner(end_x, neck);
    }
    outline.corner(frame.x(0.0), neck);
    view! { <polygon class="board-face" points=outline.text() /> }
}

fn crowns(board: &Board, frame: &Frame, chosen: u32) -> Node {
    let half = frame.wide(HALF_CROWN_MM).clamp(1.4, 5.0);
    let numbers_y = frame.rows.numbers;
    let mut before = frame.x(0.0);
    board
        .frets
        .iter()
        .filter(|f| f.fret > 0)
        .map(|f| {
            let at = frame.x(f.x_mm);
            let (top, wood) = (frame.y(f.top_mm), frame.y(f.wood_mm));
            let crown = Pen::new()
                .put("M", &[at - half, wood])
                .put("A", &[half, (wood - top).max(0.5), 0.0, 0.0, 1.0, at + half, wood])
                .put("Z", &[])
                .text();
            let x = hundredths(at);
            let is_off = (f.top_mm - f.smooth_mm).abs() > 0.004;
            let is_chosen = f.fret == chosen;
            let is_shown = at - before > 15.0 || KEY_FRETS.contains(&f.fret) && frame.wide(1.0) > 0.6 || is_chosen;
            before = at;
            let class = if is_chosen { "fret-number chosen" } else { "fret-number" };
            view! {
                <path class="crown" class:off=is_off d=crown />
                {is_off.then(|| view! {
                    <text class="dim-text" x=x.clone() y=hundredths(wood + 14.0) text-anchor="middle">
                        {if f.top_mm > f.smooth_mm { "▴" } else { "▾" }}
                    </text>
                })}
                {is_shown.then(|| view! { <text class=class x=x y=numbers_y text-anchor="middle">{f.fret}</text> })}
            }
        })
        .collect_view()
}

/// The straight line that relief and heights are measured from, and where the relief is measured.
fn straight(board: &Board, frame: &Frame) -> Node {
    let zero = frame.y(0.0);
    let last = board.frets.last().map_or(0.0, |f| frame.x(f.x_mm));
    let relief = board
        .frets
        .iter()
        .find(|f| f.fret == board.relief_fret && f.fret > 0)
        .filter(|_| frame.is_wide)
        .map(|f| {
            let x = frame.x(f.x_mm);
            // Broken at the fret's number.
            let d = Pen::new()
                .put("M", &[x, frame.y(f.smooth_mm)])
                .put("V", &[frame.rows.neck])
                .put("M", &[x, frame.rows.numbers + 4.0])
                .put("V", &[frame.rows.fields - 15.0])
                .text();
            view! { <path class="ink-faint" d=d /> }
        });
    view! {
        <line class="centre-line" x1=frame.x(0.0) x2=last y1=zero y2=zero />
        {relief}
    }
}

/// Nut and saddle with their heights over the straight line: the string moves them.
pub(crate) fn ends(view: &SideView, frame: &Frame, units: Units) -> Node {
    let [nut, saddle] = view.line.unwrap_or([
        Spot::default(),
        Spot {
            x_mm: view.scale_mm,
            z_mm: 0.0,
        },
    ]);
    let foot = frame.y(view.frets.first().map_or(0.0, |f| f.wood_mm));
    let mut blocks = Pen::new();
    for (spot, far) in [(nut, -9.0), (saddle, 7.0)] {
        let (x, y) = (frame.x(spot.x_mm), frame.y(spot.z_mm).min(foot - 3.0));
        blocks
            .put("M", &[x, foot])
            .put("V", &[y])
            .put("L", &[x + far, y + 3.0])
            .put("V", &[foot])
            .put("Z", &[]);
    }
    let at = frame.x(saddle.x_mm);
    let dims = view.line.map(|_| {
        let x = at + if frame.is_wide { 22.0 } else { 13.0 };
        let (y, zero) = (frame.y(saddle.z_mm), frame.y(0.0));
        // A narrow drawing has no room for the unit.
        let say = |mm: f64| if frame.is_wide { units.length(mm) } else { units.length_number(mm) };
        let faint = Pen::new()
            .put("M", &[at, y])
            .put("H", &[x + 4.0])
            .put("M", &[frame.x(view.scale_mm), zero])
            .put("H", &[x + 4.0])
            .text();
        let thin = Pen::new().put("M", &[x, y]).put("V", &[zero]).text();
        let arrows = Pen::new()
            .put("M", &[x, y])
            .put("l-2.6 9h5.2zM", &[x, zero])
            .put("l-2.6 -9h5.2z", &[])
            .text();
        view! {
            <path class="ink-faint" d=faint />
            <path class="ink-thin" d=thin />
            <path class="arrow" d=arrows />
            <text class="dim-text" data-figure="saddle_height" x=hundredths(x + 5.0) y=hundredths(f64::midpoint(y, zero) + 4.0)>{say(saddle.z_mm)}</text>
            <text class="dim-text" data-figure="nut_height" x=hundredths(frame.x(nut.x_mm) - 11.0) y=hundredths(foot - 5.0) text-anchor="end">{say(nut.z_mm)}</text>
        }
    });
    let sole = Pen::new()
        .put("M", &[at - 14.0, foot])
        .put("H", &[at + 26.0])
        .text();
    view! {
        <path class="ink-faint" d=sole />
        <path class="end-block" d=blocks.text() />
        {dims}
    }
}
