//! The Heights section: the neck from the side under one string, the action drawn up and down, and what a finger finds at
//! each fret.

mod figure;
mod hand;
mod note;
mod places;
mod play;
mod table;
mod tops;

use crate::fields::{Toggle, words};
use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::near::near;
use crate::store::Store;
use figure::NeckFigure;
use hand::Hand;
use note::NotePanel;
use play::PlayFields;
use table::FretTable;
use tops::SingleTops;

/// The Heights section of the open instrument's sheet.
#[component]
pub(crate) fn Heights() -> Node {
    let store = Store::here();
    let place = ElementRef::new();
    let hand = Hand::over(store, near(place));
    provide_context(hand);
    let moved = Memo::new(move |_| hand.before.with(Option::is_some));
    view! {
        <section id="heights" node_ref=place class="sheet-section" class:moving=move || hand.is_moving.get() aria-labelledby="heights-title">
            <h2 id="heights-title">"Heights"</h2>
            <Chooser />
            <NeckFigure />
            <div class="heights-tools">
                <Toggle name="heights-alike" label=words("Move every course alike") value=hand.alike
                    on_change=Callback::new(move |on| hand.alike.set(on)) />
                <Show when=move || moved.get()>
                    <button type="button" class="quiet small" on:click=move |_| hand.put_back()>"Put the action back"</button>
                    <button type="button" class="quiet small" on:click=move |_| hand.before.set(None)>"Keep it so"</button>
                </Show>
            </div>
            <NotePanel />
            <PlayFields />
            <SingleTops />
            <FretTable />
        </section>
    }
}

/// Which string lies before the eye: one button a course, or a string where a course has different ones.
#[component]
fn Chooser() -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let choices = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map(hand::choices).unwrap_or_default())
    });
    let one = move |(course, string, label): (usize, usize, String)| {
        let is_on = move || hand.course.get() == course && hand.string.get() == string;
        view! {
            <button type="button" class="note-button" data-course=course + 1 aria-pressed=move || if is_on() { "true" } else { "false" }
                on:click=move |_| hand.choose(course, string)>
                <span class="sr-only">"Course " {course + 1} ", "</span>{label}
            </button>
        }
    };
    view! {
        <div class="note-buttons" role="group" aria-label="Course to look at">
            {move || choices.get().into_iter().map(one).collect_view()}
        </div>
    }
}
