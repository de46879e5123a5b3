//! A knob on the string, to draw it up and down.

use super::Frame;
use crate::drawings::pen::{Pen, hundredths};
use crate::markup::prelude::*;
use leptos::ev::{KeyboardEvent, PointerEvent};
use strungwell_workshop::units::{LengthUnit, Units};

/// What a knob holds: a gap at a place of the string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Grip {
    /// The fret under it.
    pub fret: u32,
    /// Along the neck, in mm.
    pub x_mm: f64,
    /// Height of the fret's top in mm.
    pub top_mm: f64,
    /// The gap in mm.
    pub gap_mm: f64,
}

/// How far above the string the knob stands, and the sizes of knob and touch, in drawing units.
const STEM: f64 = 30.0;
const KNOB: (f64, f64) = (28.0, 18.0);
const TOUCH: f64 = 46.0;

/// Where a drag began.
#[derive(Clone, Copy)]
struct Drag {
    pointer: i32,
    y: f64,
    gap_mm: f64,
    /// Drawing units a pixel.
    units: f64,
}

/// The grid of a gap in mm that a hand moves over, and what one key moves it by: a round number in the person's unit.
const fn steps(units: Units) -> (f64, f64) {
    match units.length {
        LengthUnit::Mm => (0.01, 0.05),
        LengthUnit::Inch => (0.0254, 0.0508),
    }
}

/// A knob that changes a gap. `name` tells it from others; `on_start` runs before the first change of a move, `on_rest` after its
/// last.
#[component]
pub(crate) fn Handle(
    name: &'static str,
    #[prop(into)] grip: Signal<Grip>,
    #[prop(into)] frame: Signal<Frame>,
    #[prop(into)] units: Signal<Units>,
    #[prop(into)] label: Signal<String>,
    /// The least and the greatest gap in mm.
    limits: (f64, f64),
    on_start: Callback<()>,
    on_move: Callback<f64>,
    on_rest: Callback<()>,
) -> Node {
    let drag = StoredValue::new(None::<Drag>);
    // Several moves within one frame of the screen count as the last of them.
    let waiting = StoredValue::new(None::<f64>);
    let give = move |gap: f64| {
        let (grid, _) = steps(units.get_untracked());
        on_move.run(((gap.clamp(limits.0, limits.1) / grid).round() * grid * 1e4).round() / 1e4);
    };
    let flush = move || {
        if let Some(gap) = waiting.try_get_value().flatten() {
            waiting.set_value(None);
            give(gap);
        }
    };
    let down = move |event: PointerEvent| {
        if event.button() != 0 {
            return;
        }
        let knob: web_sys::Element = event_target(&event);
        // Without capture the drag still works while the pointer stays over the knob.
        let _ = knob.set_pointer_capture(event.pointer_id());
        let drawing = knob.closest("svg").ok().flatten();
        let shown = drawing.map_or(0.0, |svg| svg.get_bounding_client_rect().width());
        on_start.run(());
        drag.set_value(Some(Drag {
            pointer: event.pointer_id(),
            y: f64::from(event.client_y()),
            gap_mm: grip.get_untracked().gap_mm,
            units: if shown > 0.0 {
                frame.with_untracked(|f| f.width) / shown
            } else {
                1.0
            },
        }));
    };
    let moved = move |event: PointerEvent| {
        let Some(from) = drag.get_value().filter(|d| d.pointer == event.pointer_id()) else {
            return;
        };
        let way = (f64::from(event.client_y()) - from.y) * from.units;
        let gap = from.gap_mm + frame.with_untracked(|f| f.height_mm(way));
        let is_first = waiting.get_value().is_none();
        waiting.set_value(Some(gap));
        if is_first {
            request_animation_frame(flush);
        }
    };
    let up = move |_: PointerEvent| {
        drag.set_value(None);
        flush();
        on_rest.run(());
    };
    let key = move |event: KeyboardEvent| {
        let (grid, step) = steps(units.get_untracked());
        let step = if event.shift_key() { grid } else { step };
        let by = match event.key().as_str() {
            "ArrowUp" | "ArrowRight" => step,
            "ArrowDown" | "ArrowLeft" => -step,
            "PageUp" => 5.0 * step,
            "PageDown" => -5.0 * step,
            _ => return,
        };
        event.prevent_default();
        on_start.run(());
        give(grip.get_untracked().gap_mm + by);
        on_rest.run(());
    };
    // Written where it stands, not moved as a group: a browser that moves a group sorts the layers of the whole page anew.
    let drawn = move || {
        frame.with(|f| {
            let g = grip.get();
            let (x, y, top) = (f.x(g.x_mm), f.y(g.top_mm + g.gap_mm), f.y(g.top_mm));
            // On the string an arrow under the knob; from below it, one on the fret's top, whose shaft stands in the wood.
            let arrows = Pen::new()
                .put("M", &[x, top])
                .put("v16M", &[x, top])
                .put("l-2.6 9h5.2zM", &[x, y - STEM])
                .put("V", &[y])
                .put("M", &[x, y])
                .put("l-2.6 -9h5.2z", &[])
                .text();
            let mark = Pen::new()
                .put("M", &[x - 5.0, y - STEM - 10.5])
                .put("l5 -5l5 5M", &[x - 5.0, y - STEM - 7.5])
                .put("l5 5l5 -5", &[])
                .text();
            let left = |wide: f64| hundredths(x - wide / 2.0);
            view! {
                <path class="gap-line" d=arrows />
                <rect class="knob-touch" x=left(TOUCH) y=hundredths(y - STEM - KNOB.1 / 2.0 - 14.0) width=TOUCH height=TOUCH />
                <rect class="knob" x=left(KNOB.0) y=hundredths(y - STEM - KNOB.1) width=KNOB.0 height=KNOB.1 rx="3" />
                <path class="knob-mark" d=mark />
            }
        })
    };
    view! {
        <g class="handle" role="slider" tabindex="0" data-handle=name aria-orientation="vertical" aria-label=label
            aria-valuemin=limits.0 aria-valuemax=limits.1 aria-valuenow=move || format!("{:.2}", grip.get().gap_mm)
            aria-valuetext=move || units.get().length(grip.get().gap_mm)
            on:pointerdown=down on:pointermove=moved on:pointerup=up on:pointercancel=up on:keydown=key>
            {drawn}
        </g>
    }
}
