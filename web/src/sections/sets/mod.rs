//! The Sets section: all courses chosen at once, another tuning for the same set, a string to order, a run of instruments.

mod borrow;
mod propose;
mod retune;
mod run;
mod winding;

use crate::markup::prelude::*;
use crate::opens::opens;
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
            {opens("more", Node::Text("Another tuning, scale or pitch for these strings".into()), move || retune::retune(store))}
            {opens("more", Node::Text("A wound string to order".into()), move || winding::winding(store))}
            {opens("more", Node::Text("A string borrowed from another instrument".into()), move || borrow::borrow(store))}
            {opens("more tool-run", Node::Text("The same for a run of instruments".into()), move || run::run(store))}
        </section>
    }
}

/// The other instruments to choose from, id and name; the first is none.
fn none_or_other(store: Store) -> Memo<Vec<(String, String)>> {
    Memo::new(move |_| {
        let bench = store.bench().get().into_iter();
        let none = (String::new(), "–".to_owned());
        std::iter::once(none)
            .chain(bench.map(|entry| (entry.id, entry.name)))
            .collect()
    })
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
