//! A string borrowed from another instrument, judged here from its rating.

use super::refusal;
use crate::fields::{ChoiceField, words};
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use strungwell_workshop::choose::Ask;
use strungwell_workshop::records::{Make, RackString, Rated};
use strungwell_workshop::sets::borrow::{Borrowing, End, borrowed};

const ENDS: [(End, &str, &str); 3] = [
    (End::Plain, "plain", "A bare end"),
    (End::Ball, "ball", "A ball"),
    (End::Loop, "loop", "A loop"),
];

fn end(word: &str) -> Option<End> {
    ENDS.iter().find(|e| e.1 == word).map(|e| e.0)
}

pub(super) fn borrow(store: Store) -> Node {
    let course = RwSignal::new(1_u32);
    let note = RwSignal::new("G3".to_owned());
    let [tension, scale, diameter, whole] = [None; 4].map(RwSignal::<Option<f64>>::new);
    let its_end = RwSignal::new("ball".to_owned());
    let held_by = RwSignal::new(String::new());
    let rating = move || {
        Some(Rated {
            tension_n: tension.get()?,
            note: note.get(),
            scale_mm: scale.get()?,
            diameter_mm: diameter.get()?,
            ..Rated::default()
        })
    };
    let units = store.units();
    let shown = move || {
        let rating = rating()?;
        let borrowing = Borrowing {
            rating,
            end: end(&its_end.get()).unwrap_or_default(),
            whole_mm: whole.get(),
            holds: end(&held_by.get()),
            behind_saddle_mm: None,
            nut_to_post_mm: None,
            turns: None,
        };
        let instrument = store.instrument().get()?;
        let at = (course.get() as usize).saturating_sub(1);
        let ask = Ask {
            course: at,
            note: instrument
                .courses
                .get(at)
                .map(|c| c.note.clone())
                .unwrap_or_default(),
            tension_n: None,
            units: units.get(),
        };
        let found = store
            .rack()
            .with(|rack| borrowed(&instrument, rack, &ask, &borrowing));
        Some(match found {
            Err(why) => refusal(&why),
            Ok(b) => {
                let findings = b
                    .candidate
                    .findings
                    .iter()
                    .map(|f| view! { <li>{f.text.clone()}</li> });
                view! {
                    <p class="what">{super::verdict(b.candidate.verdict)}{format!(", {}", units.get().force(b.candidate.figures.tension_n))}</p>
                    <p class="said-line">{b.compared}</p>
                    <ul>{findings.collect_view()}</ul>
                    <p class="hint">{format!("It needs {} from end to end. {}", units.get().length(b.needs_mm), b.assumed.join(" "))}</p>
                }
            }
        })
    };
    let keep = move |_| {
        if let Some(rating) = untrack(rating) {
            store.add_rack(RackString {
                name: format!(
                    "borrowed, rated {} at {} on {}",
                    units.get_untracked().force(rating.tension_n),
                    rating.note,
                    units.get_untracked().length(rating.scale_mm)
                ),
                make: Make::Rated(rating),
                ..RackString::default()
            });
        }
    };
    let ends = || {
        ENDS.iter()
            .map(|e| (e.1.to_owned(), e.2.to_owned()))
            .collect::<Vec<_>>()
    };
    let mut holds = vec![(String::new(), "Not said".to_owned())];
    holds.extend(ends());
    let set = move |into: RwSignal<String>| Callback::new(move |word: String| into.set(word));
    view! {
        <div class="fields">
            {entry::count("borrow_course", "For course", course, ("reading", "course"))}
            {entry::force("borrow_tension_n", "Rated tension", tension, ("rated", "tension_n"))}
            {entry::text("borrow_note", "at the note", note)}
            {entry::length("borrow_scale_mm", "on the string length", scale, ("rated", "scale_mm"))}
            {entry::length("borrow_diameter_mm", "Diameter", diameter, ("rated", "diameter_mm"))}
            {entry::length("borrow_whole_mm", "Whole length; empty: not measured", whole, ("instrument", "scale_mm"))}
            <ChoiceField name="borrow_end" label=words("Its end") value=its_end options=Signal::stored(ends()) on_change=set(its_end) />
            <ChoiceField name="borrow_holds" label=words("This instrument holds") value=held_by options=Signal::stored(holds) on_change=set(held_by) />
        </div>
        <div role="status" data-note="borrowed">{shown}</div>
        <p class="buttons"><button type="button" class="quiet small" data-deed="keep-borrowed" disabled=move || rating().is_none() on:click=keep>"Put it on the rack"</button></p>
    }
}
