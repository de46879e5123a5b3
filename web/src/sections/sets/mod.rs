//! The Sets section: all courses chosen at once, another tuning for the same set, a string to order, a run of instruments.

mod borrow;
mod propose;
mod retune;
mod run;
mod winding;

use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::choose::{Finding, Verdict};
use strungwell_workshop::records::Course;

/// The Sets section of the open instrument's sheet.
#[component]
pub(crate) fn SetsSection() -> Node {
    let store = Store::here();
    view! {
        <section id="sets" class="sheet-section" aria-labelledby="sets-title">
            <h2 id="sets-title">"A whole set"</h2>
            {propose::propose(store)}
            {opens("Another tuning, scale or pitch for these strings", "retune", move || retune::retune(store))}
            {opens("A wound string to order", "winding", move || winding::winding(store))}
            {opens("A string borrowed from another instrument", "borrow", move || borrow::borrow(store))}
            {opens("The same for a run of instruments", "run", move || run::run(store))}
        </section>
    }
}

/// A part that is built when it is opened.
fn opens(
    title: &'static str,
    word: &'static str,
    part: impl Fn() -> Node + Copy + 'static,
) -> Node {
    let open = RwSignal::new(false);
    let toggled = move |event: web_sys::Event| {
        open.set(event_target::<web_sys::Element>(&event).has_attribute("open"));
    };
    view! {
        <details class="more set-tool" data-tool=word on:toggle=toggled>
            <summary>{title}</summary>
            {move || open.get().then(part)}
        </details>
    }
}

/// Forgets an answer when the strings' lengths or notes, or the instrument, are no longer those that it was worked out for.
fn forget<T: Send + Sync + 'static>(store: Store, answer: RwSignal<Option<T>>) {
    let worked_for = store.pick(|i| {
        let course = |c: &Course| (c.note.clone(), c.scale_mm, c.first_fret, c.strings.len());
        let courses = i.courses.iter().map(course).collect::<Vec<_>>();
        Some((i.id.clone(), i.scale_mm, i.a4_hz, courses))
    });
    Effect::new(move |before: Option<()>| {
        worked_for.track();
        if before.is_some() {
            answer.set(None);
        }
    });
}

/// What speaks against a string, in one line; nothing when nothing does.
fn against(findings: &[Finding]) -> String {
    let texts = findings
        .iter()
        .filter(|f| f.verdict != Verdict::Good)
        .map(|f| f.text.as_str());
    texts.collect::<Vec<_>>().join(" ")
}

/// A verdict's mark and word.
fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Good => "✓ good",
        Verdict::Fair => "~ fair",
        Verdict::RuledOut => "✕ ruled out",
    }
}

/// An answer that is a sentence of refusal.
fn refusal(why: &str) -> Node {
    view! { <p class="message" role="alert"><span class="mark" aria-hidden="true">"!"</span>{format!("Not done: {why}.")}</p> }
}

/// A table of texts; the first cell of a row is its head.
fn table(label: &'static str, head: &[&'static str], rows: Vec<Vec<String>>) -> Node {
    let row = |row: Vec<String>| {
        let mut cells = row.into_iter();
        let first = cells.next().unwrap_or_default();
        view! { <tr><th scope="row">{first}</th>{cells.map(|text| view! { <td>{text}</td> }).collect_view()}</tr> }
    };
    view! {
        <div class="table-scroll" tabindex="0" role="group" aria-label=label>
            <table class="loads-table">
                <thead><tr>{head.iter().map(|text| view! { <th scope="col">{*text}</th> }).collect_view()}</tr></thead>
                <tbody>{rows.into_iter().map(row).collect_view()}</tbody>
            </table>
        </div>
    }
}
