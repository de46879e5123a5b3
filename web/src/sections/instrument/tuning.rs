//! Tuning the whole instrument as its family usually is.

use super::family;
use crate::fields::{ChoiceField, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::families::{self, Tuning};
use strungwell_workshop::records::Instrument;

/// The notes of a tuning, with its name.
pub(crate) fn tuning_label(tuning: &Tuning) -> String {
    let notes: Vec<&str> = tuning.courses.iter().map(|course| course.note).collect();
    format!("{}, {}", notes.join(" "), tuning.label)
}

/// Choosing among the family's tunings; nothing where the family has none.
#[component]
pub(super) fn TuningChooser() -> Node {
    let store = Store::here();
    let family = family(store);
    let tunings = move || family.get().map_or(&[][..], |family| family.tunings);
    let chosen = RwSignal::new(0_usize);
    let tuned = store.pick(tuned_as);
    Effect::new(move |_| chosen.set(tuned.get().unwrap_or(0)));
    let options = Memo::new(move |_| {
        tunings()
            .iter()
            .enumerate()
            .map(|(at, tuning)| (at.to_string(), tuning_label(tuning)))
            .collect::<Vec<_>>()
    });
    let count = store.pick(|i| Some(i.courses.len()));
    let fits = Memo::new(move |_| {
        tunings()
            .get(chosen.get())
            .map(|tuning| tuning.courses.len())
            == count.get()
    });
    let tune = move |_| {
        tune(
            store,
            family.get_untracked().map(|f| f.key),
            chosen.get_untracked(),
        )
    };
    let string = move |_| {
        string_anew(
            store,
            family.get_untracked().map(|f| f.key),
            chosen.get_untracked(),
        )
    };
    view! {
        <Show when=move || !tunings().is_empty()>
            <div class="tuning-chooser">
                <ChoiceField name="tuning" label=words("Usual tunings") options
                    value=Signal::derive(move || chosen.get().to_string())
                    on_change=Callback::new(move |at: String| chosen.set(at.parse().unwrap_or(0))) />
                <Show when=move || fits.get()>
                    <button type="button" class="quiet" on:click=tune>"Tune so, keep the strings"</button>
                </Show>
                <button type="button" class="quiet" on:click=string>"Tune and string so"</button>
            </div>
        </Show>
    }
}

/// Which of its family's tunings an instrument has.
fn tuned_as(instrument: &Instrument) -> Option<usize> {
    families::of(instrument)?.tunings.iter().position(|tuning| {
        tuning
            .courses
            .iter()
            .map(|c| c.note)
            .eq(instrument.courses.iter().map(|c| c.note.as_str()))
    })
}

fn started(family: Option<&'static str>, tuning: usize) -> Option<Instrument> {
    families::start(family?, tuning, None, "start")
}

/// Gives every course the tuning's note; strings stay.
fn tune(store: Store, family: Option<&'static str>, tuning: usize) {
    let Some(start) = started(family, tuning) else {
        return;
    };
    store.edit_with_undo("Tuned anew.", |instrument| {
        for (course, usual) in instrument.courses.iter_mut().zip(start.courses) {
            course.note = usual.note;
            course.offset_cents = 0.0;
        }
    });
}

/// Replaces the courses by the tuning's own, with its usual strings and heights.
fn string_anew(store: Store, family: Option<&'static str>, tuning: usize) {
    let Some(start) = started(family, tuning) else {
        return;
    };
    store.edit_with_undo("Tuned and strung anew.", |instrument| {
        if instrument.courses.len() == start.courses.len() {
            for (course, usual) in instrument.courses.iter_mut().zip(start.courses) {
                course.note = usual.note;
                course.offset_cents = 0.0;
                course.first_fret = usual.first_fret;
                course.strings = usual.strings;
            }
        } else {
            instrument.courses = start.courses;
            instrument.setup.courses = start.setup.courses;
        }
    });
}
