//! The list of courses: note, offset, own scale, first fret, slot, strings.

use super::scope;
use crate::fields::{
    ChoiceField, CountField, LengthField, NoteField, Quantity, QuantityField, words,
};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::records::{Course, count_readings, insert_course, remove_course};

/// The most courses and strings of a course that a record takes.
const MOST_COURSES: usize = 24;
const MOST_STRINGS: usize = 4;

/// The courses of the open instrument.
#[component]
pub(super) fn Courses(at_course: RwSignal<Option<usize>>) -> Node {
    let store = Store::here();
    let count = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map_or(0, |i| i.courses.len()))
    });
    // Rows are laid anew when a course goes, so that what stands in a field stays with its course.
    let laid = RwSignal::new(0_u32);
    let add = move |bass: bool| {
        store.edit(|instrument| {
            let at = if bass { 0 } else { instrument.courses.len() };
            insert_course(instrument, at);
        });
        if bass {
            laid.update(|laid| *laid += 1);
        }
    };
    let remove = Callback::new(move |at: usize| {
        store.drafts_follow(&scope(), "course", at + 1);
        let readings = store
            .instrument()
            .with_untracked(|i| i.as_ref().map_or(0, |i| count_readings(i, at)));
        store.edit_with_undo(&removed_words(at, readings), |instrument| {
            remove_course(instrument, at)
        });
        laid.update(|laid| *laid += 1);
    });
    view! {
        <div class="course-list" on:focusout=move |_| at_course.set(None)>
            <For each=move || { let laid = laid.get(); (0..count.get()).map(move |at| (laid, at)) } key=|row| *row let((_, at))>
                <CourseFields at remove at_course />
            </For>
        </div>
        <Show when=move || count.get() < MOST_COURSES>
            <p class="buttons">
                <button type="button" class="quiet" on:click=move |_| add(true)>"Add a course on the bass side"</button>
                <button type="button" class="quiet" on:click=move |_| add(false)>"Add a course on the treble side"</button>
            </p>
        </Show>
    }
}

/// What is said of a course, counted from 0, that went with so many readings.
fn removed_words(at: usize, readings: usize) -> String {
    let course = at + 1;
    match readings {
        0 => format!("Removed course {course}."),
        1 => format!("Removed course {course} with its reading."),
        _ => format!("Removed course {course} with its {readings} readings."),
    }
}

/// Something of one course, followed as it changes.
fn pick<T: PartialEq + Send + Sync + 'static>(
    at: usize,
    of: impl Fn(&Course) -> Option<T> + Send + Sync + 'static,
) -> Signal<Option<T>> {
    Store::here().pick(move |instrument| instrument.courses.get(at).and_then(&of))
}

fn edit(store: Store, at: usize, change: impl FnOnce(&mut Course)) {
    store.edit(|instrument| {
        if let Some(course) = instrument.courses.get_mut(at) {
            change(course);
        }
    });
}

#[component]
fn CourseFields(at: usize, remove: Callback<usize>, at_course: RwSignal<Option<usize>>) -> Node {
    let store = Store::here();
    let number = at + 1;
    let name = move |field: &str| format!("course-{number}-{field}");
    let note = pick(at, |course| Some(course.note.clone()));
    let on_note = Callback::new(move |note: String| edit(store, at, |course| course.note = note));
    let on_offset = Callback::new(move |cents: Option<f64>| {
        edit(store, at, |course| {
            course.offset_cents = cents.unwrap_or(0.0)
        })
    });
    let on_scale =
        Callback::new(move |mm: Option<f64>| edit(store, at, |course| course.scale_mm = mm));
    let on_first = Callback::new(move |fret: Option<u32>| {
        edit(store, at, |course| course.first_fret = fret.unwrap_or(0))
    });
    let on_slot =
        Callback::new(move |mm: Option<f64>| edit(store, at, |course| course.slot_mm = mm));
    let several = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().is_some_and(|i| i.courses.len() > 1))
    });
    view! {
        <div class="course-fields" on:focusin=move |_| at_course.set(Some(at)) role="group" aria-label=format!("Course {number}")>
            <span class="course-number" aria-hidden="true">{number}</span>
            <NoteField name=name("note") label=words("Note") value=Signal::derive(move || note.get().unwrap_or_default()) on_change=on_note />
            <QuantityField name=name("offset_cents") label=words("Offset") quantity=Quantity::Cents of=("course", "offset_cents")
                value=pick(at, |course| Some(course.offset_cents)) on_change=on_offset />
            <LengthField name=name("scale_mm") label=words("Own scale") of=("course", "scale_mm")
                value=pick(at, |course| course.scale_mm) on_change=on_scale />
            <CountField name=name("first_fret") label=words("From fret") of=("course", "first_fret")
                value=pick(at, |course| Some(course.first_fret)) on_change=on_first />
            <LengthField name=name("slot_mm") label=words("Nut slot") of=("course", "slot_mm")
                value=pick(at, |course| course.slot_mm) on_change=on_slot />
            <StringCount at />
            <Show when=move || several.get()>
                <button type="button" class="quiet small" on:click=move |_| remove.run(at)>
                    "Remove"<span class="sr-only">" course " {number}</span>
                </button>
            </Show>
        </div>
    }
}

/// How many strings a course has; a new one is as the last.
#[component]
fn StringCount(at: usize) -> Node {
    let store = Store::here();
    let count = pick(at, |course| Some(course.strings.len().to_string()));
    let options = Signal::stored(
        (1..=MOST_STRINGS)
            .map(|n| (n.to_string(), n.to_string()))
            .collect::<Vec<_>>(),
    );
    let on_count = Callback::new(move |word: String| {
        let wanted = word.parse::<usize>().unwrap_or(1).clamp(1, MOST_STRINGS);
        let strings = if wanted == 1 { "string" } else { "strings" };
        let said = format!("Course {} now has {wanted} {strings}.", at + 1);
        store.edit_with_undo(&said, |instrument| {
            if let Some(course) = instrument.courses.get_mut(at)
                && let Some(last) = course.strings.last().cloned()
            {
                course.strings.resize(wanted, last);
            }
        });
    });
    view! {
        <ChoiceField name=format!("course-{}-strings", at + 1) label=words("Strings") options on_change=on_count
            value=Signal::derive(move || count.get().unwrap_or_default()) />
    }
}
