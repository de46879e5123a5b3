//! The saddle's crown as planned.

use super::plan;
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use strungwell_workshop::report::plan::{PlanView, crown_radius_mm};
use strungwell_workshop::units::Units;

/// The circle nearest to the crown, and how far each course stands off it.
pub(super) fn camber(p: &PlanView, units: Units) -> Node {
    let Some(c) = &p.camber else {
        return p.camber_missing.clone().map_or(Node::Nothing, |why| {
            view! { <p class="hint">{why}</p> }
        });
    };
    let radius = match c.radius_mm {
        None => "flat".to_owned(),
        Some(mm) if mm < 0.0 => format!("a hollow of radius {}", units.length(-mm)),
        Some(mm) => format!("a crown of radius {}", units.length(mm)),
    };
    let board = c
        .board_radius_mm
        .map(|mm| format!(" The board's radius is {}.", units.length(mm)));
    let off = |mm: f64| {
        let sign = if mm < 0.0 { "−" } else { "+" };
        format!("{sign}{}", units.length(mm.abs()))
    };
    let row = |k: &strungwell_workshop::report::plan::CamberCourse| {
        view! { <tr><th scope="row">{k.course}</th><td class="num">{units.length(k.height_mm)}</td><td class="num">{off(k.off_mm)}</td></tr> }
    };
    view! {
        <details class="more">
            <summary>"The saddle's crown: "{radius}</summary>
            <p class="hint">"Heights over the line of the fret tops at the board's middle, and how far each course stands off the nearest circle."{board}</p>
            <table class="loads-table">
                <thead><tr><th scope="col">"Course"</th><th scope="col">"Height"</th><th scope="col">"Off the circle"</th></tr></thead>
                <tbody>{c.courses.iter().map(row).collect_view()}</tbody>
            </table>
        </details>
    }
}

/// A radius from three points: two feet and the middle between them.
pub(super) fn radius(store: Store) -> Node {
    let apart = RwSignal::new(None::<f64>);
    let rise = RwSignal::new(None::<f64>);
    let found = move || crown_radius_mm(apart.get()?, rise.get()?);
    let none = move || found().is_none();
    let said = move || match found() {
        Some(mm) => format!("A radius of {}.", store.units().get().length(mm)),
        None => "Both are needed, and the middle must stand over the feet.".to_owned(),
    };
    let to_board = move |_| {
        if let Some(mm) = untrack(found) {
            store.edit_with_undo("Took the board's radius.", |i| {
                i.camber_radius_mm = Some(mm)
            });
        }
    };
    let to_saddle = move |_| {
        if let Some(mm) = untrack(found) {
            store.edit_with_undo("Took the saddle's radius.", |i| {
                plan(i).limits.saddle_radius_mm = Some(mm);
            });
        }
    };
    view! {
        <details class="more">
            <summary>"A board's or a saddle's radius from three points"</summary>
            <p class="hint">"Lay a straightedge on two feet across it, and feel how far the middle stands over their line."</p>
            <div class="fields">
                {entry::length("radius_apart_mm", "Feet apart", apart, ("limits", "saddle_spread_mm"))}
                {entry::length("radius_rise_mm", "Middle over them", rise, ("rocker reading", "gap_mm"))}
            </div>
            <p class="said-line" role="status" data-note="radius">{said}</p>
            <p class="buttons">
                <button type="button" class="quiet small" data-deed="radius-board" disabled=none on:click=to_board>"It is the board's camber"</button>
                <button type="button" class="quiet small" data-deed="radius-saddle" disabled=none on:click=to_saddle>"It is the saddle's crown to be filed"</button>
            </p>
        </details>
    }
}
