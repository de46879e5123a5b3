//! One of the two setups: the neck with the finger, the weight it holds, the dial, and what is said.

use super::{Felt, Stage};
use crate::drawings::heights::{Board, Frame, ends, neck, points, string};
use crate::markup::prelude::*;
use leptos::ev::{Event, MouseEvent, PointerEvent};
use strungwell_workshop::show::{Weight, Which};
use strungwell_workshop::units::{figure, signed};

/// Degrees of the dial for one cent, and the cents at its ends.
const DEGREES: f64 = 3.0;
const MOST_CENTS: f64 = 30.0;

/// The first (0) or the second setup.
pub(super) fn side(stage: Stage, at: usize) -> Node {
    let felt = stage.felt[at];
    let choose = move |event: Event| {
        let chosen = event_target_value(&event).parse().unwrap_or(0);
        stage.sides.update(|sides| sides[at] = chosen);
        if at == 0 {
            stage.action.set(None);
        }
    };
    let own = stage.own.with_value(|own| {
        own.iter()
            .map(|s| (s.label.clone(), s.which))
            .collect::<Vec<_>>()
    });
    let others = stage.others.with_value(|all| {
        all.iter()
            .map(|o| (o.1.clone(), Which::Other))
            .collect::<Vec<_>>()
    });
    let options = own
        .into_iter()
        .chain(others)
        .enumerate()
        .map(|(n, (label, which))| {
            // Drawn with heights that no setup has, it is not called as if it had them.
            let is_tried = move || {
                at == 0
                    && which != Which::Tried
                    && stage.action.get().is_some()
                    && stage.sides.get()[0] == n
            };
            view! { <option value=n>{label}{move || is_tried().then_some(", with the height tried")}</option> }
        })
        .collect_view();
    let name = ["First setup", "Second setup"][at];
    let drawn = move || match stage.felt_at(at) {
        Err(why) => view! { <p class="message">"Nothing can be shown: " {why} "."</p> },
        Ok(felt) => told(stage, at, &felt),
    };
    view! {
        <section class="show-side" data-side=at + 1 aria-label=name>
            <label class="sr-only" for=format!("show-side-{at}")>{name}</label>
            <select id=format!("show-side-{at}") prop:value=move || stage.sides.get()[at].to_string() on:change=choose>{options}</select>
            {drawn}
            <p class="buttons">
                <button type="button" class="main" on:click=move |_| stage.pluck_note(at, false)>"Pluck"</button>
                <button type="button" class="quiet" on:click=move |_| stage.pluck_note(at, true)>"The same in tune"</button>
            </p>
            <p class="sr-only" role="status">{move || felt.with(|f| match f {
                Ok(f) => f.says.join(" "),
                Err(_) => String::new(),
            })}</p>
        </section>
    }
}

fn told(stage: Stage, at: usize, felt: &Felt) -> Node {
    let units = stage.store.units().get();
    let frames = frames(stage);
    let Some(frame) = frames[at].clone() else {
        return Node::Nothing;
    };
    let figures = felt.figures.as_ref();
    let cents = figures.and_then(|f| f.cents);
    let top = frames
        .iter()
        .flatten()
        .map(|f| f.1)
        .fold(f64::INFINITY, f64::min);
    let frame = frame.0;
    let places: Vec<(u32, f64)> = felt.view.frets.iter().map(|f| (f.fret, f.x_mm)).collect();
    let touched = {
        let frame = frame.clone();
        move |event: &MouseEvent| {
            let target: web_sys::Element = event_target(event);
            let rect = target.get_bounding_client_rect();
            let share = (f64::from(event.client_x()) - rect.left()) / rect.width().max(1.0);
            let x = frame.along_mm(share * frame.width);
            places
                .iter()
                .find(|(_, place)| x <= *place)
                .map(|(fret, _)| *fret)
        }
    };
    let (pressed, let_go) = (touched.clone(), touched.clone());
    let press = move |event: &MouseEvent| {
        if let Some(fret) = pressed(event) {
            stage.press(fret)
        }
    };
    let moved = press.clone();
    let swings = {
        let frame = frame.clone();
        move || {
            let (_, seconds) = stage.swing.get().filter(|(side, _)| *side == at)?;
            stage.felt[at].with(|f| Some(points(&frame, &f.as_ref().ok()?.swinging(seconds)?)))
        }
    };
    let slowed = felt.slowed().map(|times| {
        format!(
            "A plucked string is drawn {} times slower than it swings.",
            figure(times, 0)
        )
    });
    view! {
        <svg class="drawing neck-side" viewBox=format!("0 {top} {} {}", frame.width, frame.rows.numbers + 8.0 - top)
            role="img" aria-label=felt.says.join(" ")>
            {neck(&Board::of(&felt.view), &frame, stage.fret.get())}
            {ends(&felt.view, &frame, units)}
            {string(&felt.view, &frame)}
            <polyline class="swinging" points=swings />
            <rect class="touch-finger" x="0" y=top width=frame.width height=frame.rows.numbers + 8.0 - top
                on:pointerdown=move |event: PointerEvent| {
                    let target: web_sys::Element = event_target(&event);
                    // Without capture the finger follows while the pointer stays over the drawing.
                    let _ = target.set_pointer_capture(event.pointer_id());
                    press(&event);
                }
                on:pointermove=move |event: PointerEvent| if event.buttons() & 1 == 1 { moved(&event) }
                on:click=move |event: MouseEvent| if let_go(&event).is_none() { stage.pluck_note(at, false) } />
        </svg>
        <p class="hint">{slowed}</p>
        <div class="show-figures">
            <div>
                <p><strong class="num" data-figure="show_finger">{units.force(figures.and_then(|f| f.finger_n))}</strong></p>
                {felt.weight.map(|w| weighed(&w))}
                <p>{felt.says[0].clone()}</p>
            </div>
            <div>
                <p><strong class="num" data-figure="show_cents">{signed(cents, 1)}</strong>" cents"</p>
                {dial(cents)}
                <p>{felt.says[1].clone()}</p>
            </div>
            <div class:bad=felt.buzzes>
                <p><strong class="num" data-figure="show_headroom">{units.force(figures.and_then(|f| f.headroom_n))}</strong></p>
                <p>{felt.buzzes.then_some("✕ ")} {felt.says[2].clone()}</p>
            </div>
        </div>
    }
}

/// The frames of both setups, at one scale, and the upper edge of what is drawn in each.
fn frames(stage: Stage) -> [Option<(Frame, f64)>; 2] {
    let mut first = None;
    [0, 1].map(|at| {
        let felt = stage.felt_at(at).ok()?;
        let frame = Frame::of(&felt.view, stage.width.get(), first.as_ref());
        let finger = felt
            .view
            .note
            .as_ref()
            .and_then(|n| n.finger)
            .map(|f| f.z_mm);
        let saddle = felt.view.line.map_or(0.0, |line| line[1].z_mm);
        // A fingertip stands over the string, and an arrow over the pluck.
        let high = (frame.y(finger.unwrap_or(0.0)) - 54.0).min(frame.y(saddle) - 30.0);
        first.get_or_insert_with(|| frame.clone());
        // In steps, so that what lies below does not shake under a hand.
        Some((frame, (high / 20.0).floor() * 20.0))
    })
}

/// So many things on a pan.
fn weighed(weight: &Weight) -> Node {
    let r: f64 = if weight.grams < 10.0 { 4.0 } else { 8.0 };
    let each = 2.2 * r;
    let in_row = (190.0 / each).floor();
    let rows = (weight.count.min(60.0) / in_row).ceil();
    let top = 52.0 - rows * each;
    let mut path = String::new();
    let (mut left, mut n) = (weight.count.min(60.0), 0.0_f64);
    while left > 0.0 {
        let (x, y) = (
            8.0 + r + (n % in_row) * each,
            56.0 - r - (n / in_row).floor() * each,
        );
        if left >= 1.0 {
            path.push_str(&format!(
                "M{:.1} {y:.1}a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0 -{d} 0z",
                x - r,
                d = 2.0 * r
            ));
        } else {
            path.push_str(&format!(
                "M{x:.1} {:.1}a{r} {r} 0 0 0 0 {}z",
                y - r,
                2.0 * r
            ));
        }
        left -= 1.0;
        n += 1.0;
    }
    view! {
        <svg class="drawing show-weight" viewBox=format!("0 {top} 200 {}", 60.0 - top) aria-hidden="true">
            <path class="part" d=path />
            <path class="board-line" d="M2 57h196" />
        </svg>
    }
}

/// The dial of a tuner: flat to the left, sharp to the right.
fn dial(cents: Option<f64>) -> Node {
    let tick = |at: f64| {
        view! {
            <path class="ink-thin" d="M100 8v9" transform=format!("rotate({} 100 100)", at * DEGREES) />
        }
    };
    let turn = cents.map(|c| {
        format!(
            "rotate({:.1} 100 100)",
            c.clamp(-MOST_CENTS, MOST_CENTS) * DEGREES
        )
    });
    view! {
        <svg class="drawing show-dial" viewBox="0 0 200 110" aria-hidden="true">
            <path class="board-line" d="M8 100A92 92 0 0 1 192 100" />
            {(-3..=3).map(|n| tick(10.0 * f64::from(n))).collect_view()}
            <text class="dim-text" x="12" y="96">"flat"</text>
            <text class="dim-text" x="188" y="96" text-anchor="end">"sharp"</text>
            {turn.map(|turn| view! { <path class="needle" d="M98.5 100L100 20L101.5 100z" transform=turn /> })}
        </svg>
    }
}
