//! Entry of what the tuner said: the open string and the octave of each course, and any other fret.

use crate::fields::{ChoiceField, CountField, Quantity, QuantityField, Scope, words};
use crate::markup::prelude::*;
use crate::store::{Store, new_id};
use strungwell_workshop::records::{Instrument, Reading};
use strungwell_workshop::report::readings::{octave_fret, open_visit, put_reading, reading_at};
use strungwell_workshop::units::figure;

/// The entry of readings for the open instrument.
#[component]
pub(super) fn ReadingsEntry() -> Node {
    let store = Store::here();
    let count = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map_or(0, |i| i.courses.len()))
    });
    let visit = move || {
        store.instrument().with(|i| {
            let visit = i.as_ref().and_then(|i| i.visits.get(open_visit(i)?));
            match visit {
                Some(visit) if visit.date.is_empty() => "They are kept in the visit that is open.".to_owned(),
                Some(visit) => format!("They are kept in the visit of {}, which is open.", visit.date),
                None => "The first begins a visit dated today, with the heights and setbacks above as found.".to_owned(),
            }
        })
    };
    view! {
        <p class="hint">
            "Tune the open string true, then read each fretted note: sharp is +, flat is −, in cents. Two readings of each course place \
             the saddle; four frets or more, high ones among them, also tell how far the string stretches. " {visit}
        </p>
        <div class="reading-grid" role="group" aria-label="Readings of the open strings and the octaves">
            <For each=move || 0..count.get() key=|i| *i let:course>
                <CourseRow course />
            </For>
        </div>
        <Others />
        <Another />
    }
}

/// A course as readings count it, from 1.
fn number(course: usize) -> u32 {
    u32::try_from(course + 1).unwrap_or(u32::MAX)
}

/// Changes, adds or, where it was typed empty, removes a reading of the open instrument.
fn put(store: Store, place: Option<usize>, reading: Option<Reading>) {
    store.edit(|instrument| put_reading(instrument, place, reading, || (new_id(), today())));
}

/// Changes or adds a reading that was heard, and offers to take back what was heard since listening began.
pub(super) fn put_by_ear(store: Store, place: Option<usize>, reading: Reading, goes_on: bool) {
    let said = format!("Took readings of course {} by ear.", reading.course);
    store.edit_with_one_undo(&said, goes_on, |instrument| {
        put_reading(instrument, place, Some(reading), || (new_id(), today()))
    });
}

/// The day where the person is, as records write it.
fn today() -> String {
    let now = js_sys::Date::new_0();
    format!(
        "{:04}-{:02}-{:02}",
        now.get_full_year(),
        now.get_month() + 1,
        now.get_date()
    )
}

/// The doubt of a reading of the open visit, where it is known.
fn doubt_of(instrument: &Instrument, place: usize) -> Option<String> {
    let reading = instrument
        .visits
        .get(open_visit(instrument)?)?
        .readings
        .get(place)?;
    Some(format!("± {}", figure(Some(reading.sd_cents?), 2)))
}

#[component]
fn CourseRow(course: usize) -> Node {
    let store = Store::here();
    let note = store.pick(move |i| Some(i.courses.get(course)?.note.clone()));
    let octave = store.pick(move |i| octave_fret(i, course));
    let octave_label = Signal::derive(move || {
        octave
            .get()
            .map_or_else(|| "Octave".to_owned(), |fret| format!("Fret {fret}"))
    });
    let cell = move |word: &'static str, label: Signal<String>, fret: Signal<Option<u32>>| {
        let value = Signal::derive(move || {
            let fret = fret.get()?;
            store
                .instrument()
                .with(|i| Some(reading_at(i.as_ref()?, number(course), fret)?.1))
        });
        let on_change = Callback::new(move |cents: Option<f64>| {
            let Some(fret) = fret.get_untracked() else {
                return;
            };
            let place = store
                .instrument()
                .with_untracked(|i| Some(reading_at(i.as_ref()?, number(course), fret)?.0));
            put(
                store,
                place,
                cents.map(|cents| Reading {
                    course: number(course),
                    fret,
                    cents,
                    ..Reading::default()
                }),
            );
        });
        let hint = Signal::derive(move || {
            let fret = fret.get();
            let found = store.instrument().with(|i| {
                let (place, _) = reading_at(i.as_ref()?, number(course), fret?)?;
                doubt_of(i.as_ref()?, place)
            });
            found.unwrap_or_default()
        });
        view! {
            <QuantityField name=format!("tuner-{}-{word}", course + 1) label quantity=Quantity::Cents compact=true
                of=("reading", "cents") value on_change hint />
        }
    };
    view! {
        <div class="reading-row" role="group" aria-label=move || format!("Course {}, {}", course + 1, note.get().unwrap_or_default())>
            <span class="note">{note}</span>
            {cell("open", words("Open"), Signal::stored(Some(0)))}
            {cell("octave", octave_label, octave)}
        </div>
    }
}

/// A reading that has no place of its own in the grid: where it stands, its course and fret.
type Row = (usize, u32, u32);

/// The readings of other frets, and second ones of the same.
fn others(instrument: &Instrument) -> Vec<Row> {
    let Some(visit) = open_visit(instrument).and_then(|at| instrument.visits.get(at)) else {
        return Vec::new();
    };
    let mut rows: Vec<Row> = visit
        .readings
        .iter()
        .enumerate()
        .filter(|(place, r)| {
            let course = (r.course as usize).checked_sub(1);
            let is_in_grid = course.is_some_and(|course| {
                course < instrument.courses.len()
                    && (r.fret == 0 || octave_fret(instrument, course) == Some(r.fret))
            });
            !is_in_grid
                || reading_at(instrument, r.course, r.fret)
                    .is_some_and(|(first, _)| first != *place)
        })
        .map(|(place, r)| (place, r.course, r.fret))
        .collect();
    rows.sort_by_key(|(place, course, fret)| (*course, *fret, *place));
    rows
}

#[component]
fn Others() -> Node {
    let store = Store::here();
    let rows = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map(others).unwrap_or_default())
    });
    // Rows are laid anew when one goes, so that what stands in a field stays with its reading.
    let laid = RwSignal::new(0_u32);
    let scope = use_context::<Scope>()
        .map(|scope| scope.0)
        .unwrap_or_default();
    let remove = Callback::new(move |place: usize| {
        store.drafts_follow(&scope, "reading", place + 1);
        store.edit_with_undo("Removed a reading.", |instrument| {
            put_reading(instrument, Some(place), None, Default::default)
        });
        laid.update(|laid| *laid += 1);
    });
    view! {
        <ul class="other-readings" aria-label="Readings of other frets">
            <For each=move || { let laid = laid.get(); rows.get().into_iter().map(move |row| (laid, row)) } key=|row| *row
                let((_, (place, course, fret)))>
                <OtherRow place course fret remove />
            </For>
        </ul>
    }
}

#[component]
fn OtherRow(place: usize, course: u32, fret: u32, remove: Callback<usize>) -> Node {
    let store = Store::here();
    let reading =
        move |i: &Instrument| Some(i.visits.get(open_visit(i)?)?.readings.get(place)?.cents);
    let label = Signal::derive(move || {
        let note = store.instrument().with(|i| {
            let course = (course as usize).checked_sub(1)?;
            Some(i.as_ref()?.courses.get(course)?.note.clone())
        });
        let note = note.unwrap_or_else(|| format!("Course {course}"));
        if fret == 0 {
            format!("{note} open")
        } else {
            format!("{note} fret {fret}")
        }
    });
    let on_change = Callback::new(move |cents: Option<f64>| {
        if let Some(cents) = cents {
            put(
                store,
                Some(place),
                Some(Reading {
                    course,
                    fret,
                    cents,
                    ..Reading::default()
                }),
            );
        }
    });
    let doubt = store.pick(move |i| doubt_of(i, place));
    let hint = Signal::derive(move || doubt.get().unwrap_or_default());
    view! {
        <li class="other-reading" data-course=course data-fret=fret>
            <QuantityField name=format!("reading-{}-cents", place + 1) label quantity=Quantity::Cents compact=true required=true
                of=("reading", "cents") value=store.pick(reading) on_change hint />
            <button type="button" class="quiet small" on:click=move |_| remove.run(place)>
                "Remove"<span class="sr-only">" the reading of " {label}</span>
            </button>
        </li>
    }
}

/// Another fret of any course.
#[component]
fn Another() -> Node {
    let store = Store::here();
    let course = RwSignal::new(1_u32);
    let fret = RwSignal::new(None::<u32>);
    let cents = RwSignal::new(None::<f64>);
    let asks = RwSignal::new(false);
    let courses = Signal::derive(move || {
        store.instrument().with(|i| {
            let all = i.iter().flat_map(|i| &i.courses).enumerate();
            all.map(|(i, c)| ((i + 1).to_string(), format!("{} {}", i + 1, c.note)))
                .collect::<Vec<_>>()
        })
    });
    let add = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        match (fret.get_untracked(), cents.get_untracked()) {
            (Some(at), Some(read)) => {
                put(
                    store,
                    None,
                    Some(Reading {
                        course: course.get_untracked(),
                        fret: at,
                        cents: read,
                        ..Reading::default()
                    }),
                );
                fret.set(None);
                cents.set(None);
                asks.set(false);
                crate::app::focus_on("field-new_reading_fret");
            }
            _ => asks.set(true),
        }
    };
    let missing = move || asks.get() && (fret.get().is_none() || cents.get().is_none());
    view! {
        <form class="another-reading unkept" on:submit=add>
            <ChoiceField name="new_reading_course" label=words("Another fret of course") options=courses
                value=Signal::derive(move || course.get().to_string())
                on_change=Callback::new(move |word: String| course.set(word.parse().unwrap_or(1))) />
            <CountField name="new_reading_fret" label=words("Fret") of=("reading", "fret") value=fret
                on_change=Callback::new(move |at| fret.set(at)) />
            <QuantityField name="new_reading_cents" label=words("Reads") quantity=Quantity::Cents of=("reading", "cents") value=cents
                on_change=Callback::new(move |read| cents.set(read)) />
            <button type="submit" class="quiet">"Add the reading"</button>
            <p class="message" role="status">{move || missing().then_some("A reading needs its fret and its cents.")}</p>
        </form>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_grid_shows_is_not_listed_again() {
        let shop =
            strungwell_workshop::file::read(include_str!("../../../../demo-data/demo-shop.json"))
                .unwrap();
        let mut concert = shop
            .instruments
            .iter()
            .find(|i| i.id == "inst-concert-9")
            .unwrap()
            .clone();
        let rows = others(&concert);
        assert_eq!(rows.len(), 8);
        assert!(
            rows.iter().all(|(_, _, fret)| *fret == 1 || *fret == 3),
            "{rows:?}"
        );
        // A second reading of the octave is listed, the first is not; one of no course is.
        put_reading(
            &mut concert,
            None,
            Some(Reading {
                course: 1,
                fret: 12,
                ..Reading::default()
            }),
            Default::default,
        );
        put_reading(
            &mut concert,
            None,
            Some(Reading {
                course: 9,
                fret: 0,
                ..Reading::default()
            }),
            Default::default,
        );
        let rows = others(&concert);
        assert_eq!(rows.len(), 10);
        assert_eq!(rows[2], (12, 1, 12));
        assert_eq!(rows[9], (13, 9, 0));
    }
}
