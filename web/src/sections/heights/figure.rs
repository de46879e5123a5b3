//! The drawing with its fields, its knobs and the finger.

use super::hand::{Hand, Which};
use super::places::Places;
use crate::drawings::heights::{
    Board, Frame, Grip, Handle, Scales, Strip, before, ends, neck, notes, strands, string,
};
use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::store::Store;
use leptos::ev::{self, PointerEvent};
use strungwell_workshop::file::limits;

/// The width drawn for until the page has told its own.
const USUAL_WIDTH: f64 = 840.0;

/// The neck and the strands.
#[component]
pub(super) fn NeckFigure() -> Node {
    let hand = Hand::here();
    let place = ElementRef::new();
    let width = RwSignal::new(USUAL_WIDTH);
    follow_width(place, width);
    let frame = Memo::new(move |was: Option<&Frame>| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => Frame::of(view, width.get(), was),
            _ => was
                .cloned()
                .unwrap_or_else(|| Frame::of(&nothing(), width.get(), None)),
        })
    });
    let why_not = Memo::new(move |_| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => view.missing.clone(),
            Some(Err(why)) => Some(why.clone()),
            None => None,
        })
    });
    view! {
        <figure class="drawn">
            <div class="heights-figure" class:wide=move || frame.with(|f| f.is_wide) node_ref=place>
                <Drawing frame />
                <Places frame />
            </div>
            <figcaption>
                {move || frame.with(|f| format!(
                    "From the side; heights are drawn {} times larger than lengths. The hatched space is what the player's pluck sweeps at its lowest.",
                    f.times
                ))}
                {move || hand.before.with(Option::is_some).then_some(" Dashed: as it stood before the action was moved.")}
            </figcaption>
            {move || why_not.get().map(|why| view! {
                <p class="message" data-heights="missing"><span class="mark" aria-hidden="true">"✕"</span>
                    "No note can be told here: " {why} "."
                </p>
            })}
        </figure>
    }
}

/// A view of nothing, for a frame before there is an instrument.
fn nothing() -> strungwell_workshop::report::SideView {
    strungwell_workshop::report::SideView {
        scale_mm: 381.0,
        first_fret: 0,
        measured: [1, 12],
        relief_fret: 0,
        frets: Vec::new(),
        line: None,
        note: None,
        blocked: None,
        missing: None,
    }
}

/// How much larger than usual the person has letters.
fn letters() -> f64 {
    let root = document().document_element();
    let style = root.and_then(|root| window().get_computed_style(&root).ok().flatten());
    let size = style.and_then(|style| style.get_property_value("font-size").ok());
    let px: Option<f64> = size.and_then(|size| size.trim_end_matches("px").parse().ok());
    px.map_or(1.0, |px| (px / 16.0).clamp(0.5, 5.0))
}

/// Draws for the width that there is, so that letters and knobs are as large as the letters around them.
fn follow_width(place: ElementRef, width: RwSignal<f64>) {
    let measure = move || {
        if let Some(div) = place.get_untracked() {
            let now = f64::from(div.client_width()) / letters();
            // The sheet may be gone by the time of the frame that was asked for.
            let was = width.try_get_untracked();
            if now > 0.0 && was.is_some_and(|was| (now - was).abs() >= 1.0) {
                width.set(now);
            }
        }
    };
    Effect::new(move |_| {
        if place.get().is_some() {
            request_animation_frame(measure);
        }
    });
    let on_resize = window_event_listener(ev::resize, move |_| measure());
    on_cleanup(move || on_resize.remove());
}

#[component]
fn Drawing(frame: Memo<Frame>) -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let units = store.units();
    let pluck_n = store.pick(|i| Some(i.pluck.force_n));
    let strip = Memo::new(move |_| {
        let (sides, first_fret) = hand.view.with(|v| match v {
            Some(Ok(view)) => (view.frets.clone(), view.first_fret),
            _ => (Vec::new(), 0),
        });
        Strip {
            sides,
            before: hand
                .before
                .with(|b| b.as_ref().map(|b| b.frets.clone()).unwrap_or_default()),
            fret: hand.fret.get(),
            first_fret,
            pluck_n: pluck_n.get().unwrap_or(0.0),
            units: units.get(),
        }
    });
    let scales = Memo::new(move |was: Option<&Scales>| {
        strip.with(|s| hand.frets.with(|frets| Scales::of(s, frets, was)))
    });
    let board = Memo::new(move |_| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => Some(Board::of(view)),
            _ => None,
        })
    });
    let board_drawn = move || {
        board.with(|b| {
            let board = b.as_ref()?;
            Some(frame.with(|f| neck(board, f, hand.fret.get())))
        })
    };
    let string_drawn = move || {
        hand.view.with(|v| match v {
            Some(Ok(view)) => Some(frame.with(|f| {
                let was = hand
                    .before
                    .with(|b| b.as_ref().and_then(|b| b.line).map(|line| before(line, f)));
                view! {
                    {ends(view, f, units.get())}
                    {was}
                    {string(view, f)}
                }
            })),
            _ => None,
        })
    };
    let strands_drawn = move || frame.with(|f| strip.with(|s| strands(s, f, scales.get())));
    let notes_drawn = move || {
        let notes =
            |f: &Frame, s: &Strip| hand.frets.with(|frets| notes(s, frets, f, scales.get()));
        frame.with(|f| strip.with(|s| notes(f, s)))
    };
    view! {
        <svg class="drawing neck-side" viewBox=move || frame.with(|f| format!("0 0 {:.0} {:.0}", f.width, f.rows.height)) role="group"
            aria-label="The neck from the side, and what each fret asks for">
            <g aria-hidden="true">{board_drawn}{string_drawn}{strands_drawn}{notes_drawn}</g>
            <Touch frame />
            <Knob which=Which::First name="gap_1" frame />
            <Knob which=Which::Twelfth name="gap_12" frame />
        </svg>
    }
}

/// Puts the finger where the drawing is touched, and takes it along.
#[component]
fn Touch(frame: Memo<Frame>) -> Node {
    let hand = Hand::here();
    let is_down = StoredValue::new(None::<i32>);
    let put = move |event: &PointerEvent| {
        let target: web_sys::Element = event_target(event);
        let Some(svg) = target.closest("svg").ok().flatten() else {
            return;
        };
        let rect = svg.get_bounding_client_rect();
        if rect.width() <= 0.0 {
            return;
        }
        let fret = frame.with_untracked(|f| {
            let units = f.width / rect.width();
            let x = f.along_mm((f64::from(event.client_x()) - rect.left()) * units);
            let is_on_neck = (f64::from(event.client_y()) - rect.top()) * units < f.rows.numbers;
            hand.view.with_untracked(|v| match v {
                Some(Ok(view)) => nearest(
                    &view
                        .frets
                        .iter()
                        .map(|s| (s.fret, s.x_mm))
                        .collect::<Vec<_>>(),
                    x,
                    is_on_neck,
                ),
                _ => 0,
            })
        });
        hand.press(fret);
    };
    let down = move |event: PointerEvent| {
        if event.button() == 0 {
            let target: web_sys::Element = event_target(&event);
            // Without capture the finger still follows while the pointer stays over the drawing.
            let _ = target.set_pointer_capture(event.pointer_id());
            is_down.set_value(Some(event.pointer_id()));
            put(&event);
        }
    };
    let moved = move |event: PointerEvent| {
        if is_down.get_value() == Some(event.pointer_id()) {
            put(&event);
        }
    };
    let up = move |_: PointerEvent| is_down.set_value(None);
    view! {
        <rect class="touch-finger" aria-hidden="true" x="0" width=move || frame.with(|f| f.width)
            y=move || frame.with(|f| f.rows.high.0) height=move || frame.with(|f| f.rows.height - f.rows.high.0)
            on:pointerdown=down on:pointermove=moved on:pointerup=up on:pointercancel=up />
    }
}

/// The fret that a place means: on the neck that in whose space it lies, else the nearest.
fn nearest(frets: &[(u32, f64)], x_mm: f64, is_on_neck: bool) -> u32 {
    if is_on_neck {
        let last = frets.last().map_or(0, |f| f.0);
        return frets.iter().find(|f| x_mm <= f.1).map_or(last, |f| f.0);
    }
    frets
        .iter()
        .min_by(|a, b| (a.1 - x_mm).abs().total_cmp(&(b.1 - x_mm).abs()))
        .map_or(0, |f| f.0)
}

/// The knob of one gap, where it is measured.
#[component]
fn Knob(which: Which, name: &'static str, frame: Memo<Frame>) -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let grip = Memo::new(move |_| {
        let gap = hand.look(|i| which.of(i?.setup.courses.get(hand.course.get())?))?;
        hand.view.with(|v| {
            let Some(Ok(view)) = v else { return None };
            view.line?;
            let fret = view.measured[usize::from(which == Which::Twelfth)];
            let side = view.frets.iter().find(|f| f.fret == fret)?;
            Some(Grip {
                fret,
                x_mm: side.x_mm,
                top_mm: side.top_mm,
                gap_mm: gap,
            })
        })
    });
    let is_there = Memo::new(move |_| grip.with(Option::is_some));
    let held = Memo::new(move |was: Option<&Grip>| {
        let none = Grip {
            fret: 0,
            x_mm: 0.0,
            top_mm: 0.0,
            gap_mm: 0.0,
        };
        grip.get().or(was.copied()).unwrap_or(none)
    });
    let note = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| {
                i.as_ref()
                    .and_then(|i| Some(i.courses.get(hand.course.get())?.note.clone()))
            })
            .unwrap_or_default()
    });
    let label = Signal::derive(move || {
        format!(
            "Gap at fret {}, course {} {}",
            held.get().fret,
            hand.course.get() + 1,
            note.get()
        )
    });
    let field = if which == Which::First {
        "gap_1_mm"
    } else {
        "gap_12_mm"
    };
    let all = limits("course setup", field).map_or((-5.0, 20.0), |l| (l.low, l.high));
    // Where a hand would draw it; what is typed may go as far as the record takes.
    let most = if which == Which::First { 4.0 } else { 12.0 };
    let reach = (all.0.max(-1.0), all.1.min(most));
    view! {
        <Show when=move || is_there.get()>
            <Handle name grip=held frame units=store.units() label limits=reach
                on_start=Callback::new(move |()| hand.start())
                on_move=Callback::new(move |mm| hand.move_gap(which, mm))
                on_rest=Callback::new(move |()| hand.rest()) />
        </Show>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_touch_means_the_space_on_the_neck_and_the_nearest_fret_below() {
        let frets = [(0, 0.0), (1, 20.0), (2, 39.0)];
        for (x, on_neck, below) in [
            (-4.0, 0, 0),
            (3.0, 1, 0),
            (19.0, 1, 1),
            (22.0, 2, 1),
            (60.0, 2, 2),
        ] {
            assert_eq!(nearest(&frets, x, true), on_neck, "{x}");
            assert_eq!(nearest(&frets, x, false), below, "{x}");
        }
        assert_eq!(nearest(&[], 3.0, true), 0);
    }
}
