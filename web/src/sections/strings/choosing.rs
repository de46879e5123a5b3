//! Choosing a string for a course: at which note, at what tension, and what there is.

use super::candidate::{CandidateRow, origin};
use super::compare::Compare;
use crate::fields::ForceField;
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::choose::{
    Answer, Ask, Candidate, From, Verdict, as_fitted, candidates, octaves,
};
use strungwell_workshop::rack::{Old, recount};
use strungwell_workshop::records::FittedString;

/// How many are shown before the person asks for all.
const FIRST: usize = 6;

/// Choosing a string for a course of the open instrument, counted from 0.
#[component]
pub(crate) fn Choosing(course: usize, on_close: Callback<()>) -> Node {
    let store = Store::here();
    let own = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| {
                i.as_ref()
                    .and_then(|i| Some(i.courses.get(course)?.note.clone()))
            })
            .unwrap_or_default()
    });
    let note = RwSignal::new(own.get_untracked());
    let wanted = RwSignal::new(None::<f64>);
    let picked = RwSignal::new(Vec::<Candidate>::new());
    let ask = move || Ask {
        course,
        note: note.get(),
        tension_n: wanted.get(),
        units: store.units().get(),
    };
    let answer = Memo::new(move |_| {
        store.instrument().with(|i| {
            let instrument = i.as_ref().ok_or("no instrument is open")?;
            store
                .rack()
                .with(|rack| candidates(instrument, rack, &ask()))
        })
    });
    let wanted_hint = Signal::derive(move || match answer.get() {
        Ok(a) => format!(
            "{}, {}",
            store.units().get().force(a.wanted_n),
            a.wanted_from
        ),
        Err(_) => String::new(),
    });
    let take = Callback::new(move |candidate: Candidate| put_on(store, course, &candidate));
    let compare = Callback::new(move |candidate: Candidate| {
        picked.update(|p| {
            if p.len() > 1 {
                p.remove(0);
            }
            p.push(candidate);
        });
    });
    let compare_own = move |_| {
        let found = store.instrument().with_untracked(|i| {
            let instrument = i.as_ref()?;
            let ask = Ask {
                course,
                note: own.get_untracked(),
                tension_n: wanted.get_untracked(),
                units: store.units().get_untracked(),
            };
            store
                .rack()
                .with_untracked(|rack| as_fitted(instrument, rack, &ask, 0).ok())
        });
        if let Some(candidate) = found {
            compare.run(candidate);
        }
    };
    view! {
        <div class="choosing" role="group" aria-label=move || format!("A string for course {}, {}", course + 1, own.get())>
            <div class="choosing-head">
                <h3>"A string for course " {course + 1} ", " {own}</h3>
                <button type="button" class="quiet" on:click=move |_| on_close.run(())>"Close"</button>
            </div>
            <div class="choosing-ask">
                <fieldset class="octaves">
                    <legend>"At"</legend>
                    {move || octaves(&own.get()).unwrap_or_default().into_iter().map(|(octave, at)| {
                        let words = match octave { -1 => "an octave lower", 0 => "as tuned", _ => "an octave higher" };
                        let value = at.clone();
                        let is_on = { let at = at.clone(); move || note.get() == at };
                        view! {
                            <label class="octave">
                                <input type="radio" name="octave" value=at.clone() prop:checked=is_on
                                    on:change=move |_| note.set(value.clone()) />
                                <span class="note">{at.clone()}</span> {words}
                            </label>
                        }
                    }).collect_view()}
                </fieldset>
                <div class="unkept"><ForceField name="wanted_tension" label="Wanted tension" value=wanted hint=wanted_hint
                    on_change=Callback::new(move |n| wanted.set(n)) /></div>
                <button type="button" class="quiet" on:click=compare_own>"Compare what is on now"</button>
            </div>
            <Compare picked units=store.units() on_take=take />
            {move || match answer.get() {
                Err(why) => view! { <p class="message" role="alert">{why}</p> },
                Ok(answer) => view! { <Lists answer take compare /> },
            }}
        </div>
    }
}

/// What is said of a candidate that was put on a course, counted from 0, which was tuned to `own` before.
fn put_words(course: usize, candidate: &Candidate, own: Option<&str>) -> String {
    let number = course + 1;
    let note = &candidate.note;
    if candidate.from == From::Fitted {
        return format!("Tuned course {number} to {note}.");
    }
    let name = &candidate.figures.name;
    if own == Some(note.as_str()) {
        format!("Put {name} on course {number}.")
    } else {
        format!("Put {name} on course {number}, tuned to {note}.")
    }
}

/// Puts a candidate on every string of a course and tunes the course to its note.
fn put_on(store: Store, course: usize, candidate: &Candidate) {
    let string = match &candidate.from {
        From::Rack(id) => Some(FittedString::from_rack(id.clone())),
        From::Stock => Some(FittedString::of(candidate.make.clone())),
        // It is on already.
        From::Fitted => None,
    };
    let own = store
        .instrument()
        .with_untracked(|i| Some(i.as_ref()?.courses.get(course)?.note.clone()));
    let said = put_words(course, candidate, own.as_deref());
    // What was taken from the rack is no longer on hand; what came off is worn. Both come back together.
    let done = store.change_open(&said, |shop| {
        let before = shop.instruments.first().cloned();
        let instrument = shop.instruments.first_mut();
        if let Some(course) = instrument.and_then(|i| i.courses.get_mut(course)) {
            course.note.clone_from(&candidate.note);
            if let Some(string) = string {
                let count = course.strings.len().max(1);
                course.strings = vec![string; count];
            }
        }
        let after = shop.instruments.first();
        recount(&mut shop.rack, before.as_ref(), after, Old::Away);
        Ok(())
    });
    store.refuse(done.err());
}

#[component]
fn Lists(answer: Answer, take: Callback<Candidate>, compare: Callback<Candidate>) -> Node {
    let (out, usable): (Vec<Candidate>, Vec<Candidate>) = answer
        .candidates
        .into_iter()
        .partition(|c| c.verdict == Verdict::RuledOut);
    view! {
        <CandidateList title="What would sit" name="usable" candidates=usable take compare
            empty="Nothing on the rack or in stock gauges sits at this note and tension." />
        <CandidateList title="Ruled out, and why" name="ruled-out" candidates=out take compare empty="Nothing is ruled out." />
    }
}

#[component]
fn CandidateList(
    title: &'static str,
    name: &'static str,
    candidates: Vec<Candidate>,
    take: Callback<Candidate>,
    compare: Callback<Candidate>,
    empty: &'static str,
) -> Node {
    let store = Store::here();
    let count = candidates.len();
    let all = RwSignal::new(false);
    let candidates = StoredValue::new(candidates);
    view! {
        <h4>{title} <span class="count">{count}</span></h4>
        {(count == 0).then(|| view! { <p class="hint">{empty}</p> })}
        <ul class="candidates" data-list=name>
            {move || {
                let most = if all.get() { usize::MAX } else { FIRST };
                let units = store.units().get();
                candidates.get_value().into_iter().take(most).map(|candidate| {
                    let from = store.rack().with(|rack| origin(&candidate, rack));
                    let (a, b) = (candidate.clone(), candidate.clone());
                    view! {
                        <CandidateRow candidate origin=from units
                            on_take=Callback::new(move |()| take.run(a.clone()))
                            on_compare=Callback::new(move |()| compare.run(b.clone())) />
                    }
                }).collect_view()
            }}
        </ul>
        <Show when=move || { count > FIRST && !all.get() }>
            <button type="button" class="quiet" on:click=move |_| all.set(true)>"Show all " {count}</button>
        </Show>
    }
}
