//! The board's drawing with the fields of what it measures set into it.

use crate::drawings::board::{Board, BoardDrawing, Plan, SQUARE_FRET, WIDTH};
use crate::fields::{CountField, LengthField};
use crate::markup::prelude::*;
use crate::store::Store;

/// The board with its fields: scale length, frets, body joint.
#[component]
pub(super) fn BoardFigure(at_course: RwSignal<Option<usize>>) -> Node {
    let store = Store::here();
    let board = Memo::new(move |_| {
        let report = store.report();
        store.instrument().with(|instrument| {
            let instrument = instrument.clone().unwrap_or_default();
            report.with(|report| Board::of(&instrument, report.as_ref()))
        })
    });
    let plan = Memo::new(move |_| board.with(Plan::of));
    let units = store.units();
    let label = Signal::derive(move || {
        board.with(|b| {
            let joint = b
                .body_fret
                .map(|fret| format!(", body at fret {fret}"))
                .unwrap_or_default();
            let notes: Vec<&str> = b.lanes.iter().map(|lane| lane.note.as_str()).collect();
            format!(
                "The board from above: scale {}, {} frets{joint}, courses {}",
                units.get().length(b.scale_mm),
                b.frets,
                notes.join(" ")
            )
        })
    });
    view! {
        <figure class="drawn">
            <div class="board-figure">
                <BoardDrawing board chosen=at_course label />
                <Places plan />
            </div>
            <figcaption>{move || board.with(caption)}</figcaption>
        </figure>
    }
}

fn caption(board: &Board) -> String {
    let mut words = "To scale, seen from above; the bass side lies below.".to_owned();
    if board.width_nut_mm.is_none() {
        words.push_str(" The board's width is not measured: drawn as usual.");
    }
    if board.is_fanned() {
        words.push_str(&format!(
            " The fan is drawn square at fret {SQUARE_FRET}; the record does not say where it is."
        ));
    }
    words
}

/// The fields, each at the place of the drawing that it measures.
#[component]
fn Places(plan: Memo<Plan>) -> Node {
    let store = Store::here();
    let left = move |x: f64| format!("{:.2}%", 100.0 * x / WIDTH);
    let top = move |y: f64| plan.with(|p| format!("{:.2}%", 100.0 * y / p.height));
    let over = move || top(plan.with(|p| p.over_y));
    let scale_left = move || left(plan.with(|p| f64::midpoint(p.nut_x, p.saddle_x)));
    let joint_left =
        move || left(plan.with(|p| f64::midpoint(p.nut_x, p.joint_x.unwrap_or(p.last_x))));
    let frets_left = move || left(plan.with(|p| p.last_x + 22.0));
    let on_scale = Callback::new(move |mm: Option<f64>| {
        store.edit(|instrument| instrument.scale_mm = mm.unwrap_or(instrument.scale_mm));
    });
    let on_frets = Callback::new(move |count: Option<u32>| {
        store.edit(|instrument| instrument.frets = count.unwrap_or(instrument.frets));
    });
    let on_body = Callback::new(move |fret: Option<u32>| {
        store.edit(|instrument| instrument.body_fret = fret)
    });
    view! {
        <div class="place" style:left=joint_left style:top=over>
            <CountField name="body_fret" label="Body at fret" compact=true of=("instrument", "body_fret")
                value=store.pick(|i| i.body_fret) on_change=on_body />
        </div>
        <div class="place from-left" style:left=frets_left style:top=over>
            <CountField name="frets" label="Frets" compact=true required=true of=("instrument", "frets")
                value=store.pick(|i| Some(i.frets)) on_change=on_frets />
        </div>
        <div class="place" style:left=scale_left style:top=move || top(plan.with(|p| p.under_y))>
            <LengthField name="scale_mm" label="Scale length" compact=true required=true of=("instrument", "scale_mm")
                value=store.pick(|i| Some(i.scale_mm)) on_change=on_scale />
        </div>
    }
}
