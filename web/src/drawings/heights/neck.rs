//! The neck itself: board, frets with their tops, nut, saddle, and the lines of what is measured on it.

use super::Frame;
use crate::markup::prelude::*;
use strungwell_workshop::report::{SideView, Spot};
use strungwell_workshop::units::Units;

/// Frets whose numbers are shown where there is little room.
const KEY_FRETS: [u32; 6] = [1, 3, 5, 7, 9, 12];

/// Half the width of a fret's crown in mm, as fret wire is.
const HALF_CROWN_MM: f64 = 0.9;

/// The neck, with the chosen fret marked.
pub(crate) fn neck(view: &SideView, frame: &Frame, fret: u32, units: Units) -> Node {
    view! {
        {wood(view, frame)}
        {crowns(view, frame, fret)}
        {straight(view, frame)}
        {ends(view, frame, units)}
    }
}

fn wood(view: &SideView, frame: &Frame) -> Node {
    let last = view.frets.last().copied();
    let end_x = last.map_or(0.0, |l| frame.x(l.x_mm) + frame.wide(6.0).clamp(5.0, 14.0));
    let neck = frame.rows.neck;
    let mut outline: String = view
        .frets
        .iter()
        .map(|f| format!("{:.2},{:.2} ", frame.x(f.x_mm), frame.y(f.wood_mm)))
        .collect();
    if let Some(last) = last {
        outline.push_str(&format!(
            "{end_x:.2},{:.2} {end_x:.2},{neck:.2} ",
            frame.y(last.wood_mm)
        ));
    }
    outline.push_str(&format!("{:.2},{neck:.2}", frame.x(0.0)));
    view! { <polygon class="board-face" points=outline /> }
}

fn crowns(view: &SideView, frame: &Frame, chosen: u32) -> Node {
    let half = frame.wide(HALF_CROWN_MM).clamp(1.4, 5.0);
    let numbers_y = frame.rows.numbers;
    let mut before = frame.x(0.0);
    view.frets
        .iter()
        .filter(|f| f.fret > 0)
        .map(|f| {
            let x = frame.x(f.x_mm);
            let (top, wood) = (frame.y(f.top_mm), frame.y(f.wood_mm));
            let crown = format!(
                "M{:.2} {wood:.2}A{half:.2} {:.2} 0 0 1 {:.2} {wood:.2}Z",
                x - half,
                (wood - top).max(0.5),
                x + half
            );
            let is_off = (f.top_mm - f.smooth_mm).abs() > 0.004;
            let is_chosen = f.fret == chosen;
            let is_shown = x - before > 15.0 || KEY_FRETS.contains(&f.fret) && frame.wide(1.0) > 0.6 || is_chosen;
            before = x;
            let class = if is_chosen { "fret-number chosen" } else { "fret-number" };
            view! {
                <path class="crown" class:off=is_off d=crown />
                {is_off.then(|| view! {
                    <text class="dim-text" x=x y=wood + 14.0 text-anchor="middle">
                        {if f.top_mm > f.smooth_mm { "▴" } else { "▾" }}
                    </text>
                })}
                {is_shown.then(|| view! { <text class=class x=x y=numbers_y text-anchor="middle">{f.fret}</text> })}
            }
        })
        .collect_view()
}

/// The straight line that relief and heights are measured from, and where the relief is measured.
fn straight(view: &SideView, frame: &Frame) -> Node {
    let zero = frame.y(0.0);
    let last = view.frets.last().map_or(0.0, |f| frame.x(f.x_mm));
    let relief = view
        .frets
        .iter()
        .find(|f| f.fret == view.relief_fret && f.fret > 0)
        .filter(|_| frame.is_wide)
        .map(|f| {
            let x = frame.x(f.x_mm);
            // Broken at the fret's number.
            let d = format!(
                "M{x:.2} {:.2}V{:.2}M{x:.2} {:.2}V{:.2}",
                frame.y(f.smooth_mm),
                frame.rows.neck,
                frame.rows.numbers + 4.0,
                frame.rows.fields - 15.0
            );
            view! { <path class="ink-faint" d=d /> }
        });
    view! {
        <line class="centre-line" x1=frame.x(0.0) x2=last y1=zero y2=zero />
        {relief}
    }
}

/// Nut and saddle with their heights over the straight line.
fn ends(view: &SideView, frame: &Frame, units: Units) -> Node {
    let [nut, saddle] = view.line.unwrap_or([
        Spot::default(),
        Spot {
            x_mm: view.scale_mm,
            z_mm: 0.0,
        },
    ]);
    let foot = frame.y(view.frets.first().map_or(0.0, |f| f.wood_mm));
    let block = |spot: Spot, side: f64, wide: f64| {
        let (x, y) = (frame.x(spot.x_mm), frame.y(spot.z_mm).min(foot - 3.0));
        let far = x + side * wide;
        format!(
            "M{x:.2} {foot:.2}V{y:.2}L{far:.2} {:.2}V{foot:.2}Z",
            y + 3.0
        )
    };
    let dims = view.line.map(|_| {
        let (x, y, zero) = (frame.x(saddle.x_mm) + if frame.is_wide { 22.0 } else { 13.0 }, frame.y(saddle.z_mm), frame.y(0.0));
        // A narrow drawing has no room for the unit.
        let say = |mm: f64| if frame.is_wide { units.length(mm) } else { units.length_number(mm) };
        let text = say(saddle.z_mm);
        let nut_text = say(nut.z_mm);
        view! {
            <line class="ink-faint" x1=frame.x(saddle.x_mm) x2=x + 4.0 y1=y y2=y />
            <line class="ink-faint" x1=frame.x(view.scale_mm) x2=x + 4.0 y1=zero y2=zero />
            <line class="ink-thin" x1=x x2=x y1=y y2=zero />
            <path class="arrow" d=format!("M{x} {y}l-2.6 9h5.2zM{x} {zero}l-2.6 -9h5.2z") />
            <text class="dim-text" data-figure="saddle_height" x=x + 5.0 y=f64::midpoint(y, zero) + 4.0>{text}</text>
            <text class="dim-text" data-figure="nut_height" x=frame.x(nut.x_mm) - 11.0 y=foot - 5.0 text-anchor="end">{nut_text}</text>
        }
    });
    view! {
        <line class="ink-faint" x1=frame.x(saddle.x_mm) - 14.0 x2=frame.x(saddle.x_mm) + 26.0 y1=foot y2=foot />
        <path class="end-block" d=block(nut, -1.0, 9.0) />
        <path class="end-block" d=block(saddle, 1.0, 7.0) />
        {dims}
    }
}
