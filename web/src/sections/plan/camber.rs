//! The saddle's crown as planned.

use crate::markup::prelude::*;
use strungwell_workshop::report::plan::PlanView;
use strungwell_workshop::units::{Units, signed};

/// The circle nearest to the crown, and how far each course stands off it.
pub(super) fn camber(p: &PlanView, units: Units) -> Node {
    let Some(c) = &p.camber else {
        return p.camber_missing.clone().map_or(Node::Nothing, |why| {
            view! { <p class="hint">{format!("The saddle's crown: {why}.")}</p> }
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
    let row = |k: &strungwell_workshop::report::plan::CamberCourse| {
        view! { <tr><th scope="row">{k.course}</th><td class="num">{units.length(k.height_mm)}</td><td class="num">{signed(k.off_mm, 2)}</td></tr> }
    };
    view! {
        <details class="more">
            <summary>"The saddle's crown: "{radius}</summary>
            <p class="hint">"Heights over the line of the fret tops at the board's middle, and how far each course stands off the nearest circle, in mm."{board}</p>
            <table class="loads-table">
                <thead><tr><th scope="col">"Course"</th><th scope="col">"Height"</th><th scope="col">"Off the circle"</th></tr></thead>
                <tbody>{c.courses.iter().map(row).collect_view()}</tbody>
            </table>
        </details>
    }
}
