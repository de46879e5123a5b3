//! The fields, each at the place of the drawing that it measures; on a narrow sheet they follow the drawing.

use super::hand::{Hand, Which};
use crate::drawings::heights::Frame;
use crate::fields::{CountField, LengthField, Quantity, QuantityField};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::report::SideView;
use strungwell_workshop::report::saddle_view::setup_of;

/// The fields of gaps, relief, fret height and pluck.
#[component]
pub(super) fn Places(frame: Memo<Frame>) -> Node {
    let hand = Hand::here();
    // The neck's marks that fields stand at: first gap, twelfth gap, relief, last fret, in mm.
    let marks = Memo::new(move |_| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => marks(view),
            _ => [0.0, 190.0, 127.0, 240.0],
        })
    });
    let left = move |mark: usize| frame.with(|f| percent(f.x(marks.with(|m| m[mark])), f.width));
    let top = move |y: fn(&Frame) -> f64| frame.with(|f| percent(y(f), f.rows.height));
    // Left of the other gap's field, wherever the frets are.
    let gap_1_left = move || {
        frame.with(|f| {
            let at = |mark: usize| f.x(marks.with(|m| m[mark]));
            percent((at(0) - 28.0).min(at(1) - 340.0).max(0.0), f.width)
        })
    };
    let upper = move || top(|_| 22.0);
    let lower = move || top(|f| f.rows.fields);
    view! {
        {move || {
            let course = hand.course.get();
            view! {
                <div class="place gap from-left" style:left=gap_1_left style:top=upper><GapField which=Which::First course /></div>
                <div class="place gap" style:left=move || left(1) style:top=upper><GapField which=Which::Twelfth course /></div>
            }
        }}
        <div class="place pair" style:left=move || left(2) style:top=lower><ReliefFields /></div>
        <div class="place from-left" style:left=move || left(3) style:top=lower><FretHeight /></div>
    }
}

fn percent(part: f64, whole: f64) -> String {
    format!("{:.2}%", 100.0 * part / whole)
}

fn marks(view: &SideView) -> [f64; 4] {
    let at = |fret: u32| view.frets.iter().find(|f| f.fret == fret).map(|f| f.x_mm);
    let last = view.frets.last().map_or(0.0, |f| f.x_mm);
    [
        at(view.measured[0]).unwrap_or(0.0),
        at(view.measured[1]).unwrap_or(view.scale_mm / 2.0),
        at(view.relief_fret).unwrap_or(view.scale_mm / 3.0),
        last.min(view.scale_mm * 0.62),
    ]
}

/// A gap of a course, counted from 0. Its name counts from 1, as the courses of the Instrument section do.
#[component]
fn GapField(which: Which, course: usize) -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let (field, place) = match which {
        Which::First => ("gap_1_mm", 0),
        Which::Twelfth => ("gap_12_mm", 1),
    };
    let value = Memo::new(move |_| hand.look(|i| which.of(i?.setup.courses.get(course)?)));
    let label = Signal::derive(move || {
        let fret = hand.view.with(|v| match v {
            Some(Ok(view)) => view.measured[place],
            _ => [1, 12][place],
        });
        format!("Gap at fret {fret}")
    });
    let on_change = Callback::new(move |mm: Option<f64>| {
        hand.start();
        store.edit(|instrument| {
            if let Some(setup) = setup_of(instrument, course) {
                which.set(setup, mm);
            }
        });
    });
    view! {
        <LengthField name=format!("course-{}-{field}", course + 1) label compact=true of=("course setup", field) value on_change />
    }
}

#[component]
fn ReliefFields() -> Node {
    let store = Store::here();
    let on_depth = Callback::new(move |mm: Option<f64>| store.edit(|i| i.setup.relief_mm = mm));
    let on_fret =
        Callback::new(move |fret: Option<u32>| store.edit(|i| i.setup.relief_fret = fret));
    view! {
        <LengthField name="relief_mm" label="Relief" compact=true of=("setup", "relief_mm")
            value=store.pick(|i| i.setup.relief_mm) on_change=on_depth />
        <CountField name="relief_fret" label="Relief at fret" compact=true of=("setup", "relief_fret")
            value=store.pick(|i| i.setup.relief_fret) on_change=on_fret />
    }
}

#[component]
fn FretHeight() -> Node {
    let store = Store::here();
    let on_change = Callback::new(move |mm: Option<f64>| store.edit(|i| i.fret_height_mm = mm));
    view! {
        <QuantityField name="heights-fret_height_mm" label="Fret height" quantity=Quantity::Length compact=true
            of=("instrument", "fret_height_mm") value=store.pick(|i| i.fret_height_mm) on_change />
    }
}
