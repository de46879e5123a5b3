//! A workshop file in: what it would do, record by record, and then all of it or nothing.

use crate::files::pick_file;
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::merge::{Choice, Entry, Plan};

/// So many lines are shown; a file may have tens of thousands.
const SHOWN: usize = 300;

/// What can be chosen for a record: the word in the list, its label, the choice.
const CHOICES: [(&str, &str, Choice); 4] = [
    ("rule", "as said here", Choice::Rule),
    ("mine", "keep mine", Choice::Mine),
    ("theirs", "take the file's", Choice::Theirs),
    ("both", "keep both", Choice::Both),
];

/// The way in, under the bench.
#[component]
pub(crate) fn Import() -> Node {
    let store = Store::here();
    let plan = RwSignal::new(None::<Plan>);
    let choices = RwSignal::new(Vec::<Choice>::new());
    let said = RwSignal::new(None::<String>);
    let read = Callback::new(move |text: Result<String, String>| {
        plan.set(None);
        match text.and_then(|text| store.plan_import(text.as_bytes())) {
            Ok(found) => {
                choices.set(vec![Choice::Rule; found.entries.len()]);
                said.set(None);
                plan.set(Some(found));
            }
            Err(why) => said.set(Some(format!("Nothing was taken in: {why}."))),
        }
    });
    let take = move |_| {
        let done = plan.with(|plan| {
            let plan = plan.as_ref()?;
            Some(choices.with(|choices| store.import(plan, choices)))
        });
        plan.set(None);
        said.set(done.map(|done| done.unwrap_or_else(|why| why)));
    };
    let counts = move || {
        plan.with(|plan| {
            let counts = plan.as_ref().map(|p| p.counts()).into_iter().flatten();
            let parts: Vec<String> = counts
                .map(|(word, count)| format!("{count} {word}"))
                .collect();
            parts.join(", ")
        })
    };
    let lines = move || {
        plan.with(|plan| {
            let entries = plan.iter().flat_map(|plan| plan.entries.iter().enumerate());
            let lines = entries.filter(|(_, entry)| entry.writes() || entry.has_choice());
            lines
                .take(SHOWN)
                .map(|(at, entry)| (at, entry.clone()))
                .collect::<Vec<_>>()
        })
    };
    view! {
        {pick_file("import", "Take a workshop file in", ".json,application/json", read)}
        <p class="message" role="status" data-said="import">{move || said.get()}</p>
        <Show when=move || plan.with(Option::is_some)>
            <div class="import">
                <p data-figure="import-counts">{counts}</p>
                <ul class="import-list">
                    <For each=lines key=place_of let:line>
                        <ImportLine line choices />
                    </For>
                </ul>
                <p class="buttons">
                    <button type="button" class="main small" data-deed="import" on:click=take>"Take all of it in"</button>
                    <button type="button" class="quiet small" on:click=move |_| plan.set(None)>"Leave it"</button>
                </p>
            </div>
        </Show>
    }
}

#[component]
fn ImportLine(line: (usize, Entry), choices: RwSignal<Vec<Choice>>) -> Node {
    let (at, entry) = line;
    let label = format!("What to do with {}", entry.name);
    let choose = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        let row = CHOICES.iter().find(|row| row.0 == word);
        choices.update(|all| {
            if let (Some(choice), Some(row)) = (all.get_mut(at), row) {
                *choice = row.2;
            }
        });
    };
    let list = entry.has_choice().then(|| {
        view! {
            <select aria-label=label on:change=choose>
                {CHOICES.iter().map(|row| view! { <option value=row.0>{row.1}</option> }).collect_view()}
            </select>
        }
    });
    view! {
        <li data-record=entry.id.clone()>
            <span><strong>{entry.name.clone()}</strong>" ("{entry.kind.word()}"): "{entry.text.clone()}" "</span>
            {list}
        </li>
    }
}

fn place_of(line: &(usize, Entry)) -> usize {
    line.0
}
