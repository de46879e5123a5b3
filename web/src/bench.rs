//! The bench: every instrument, one under the other.

use crate::app::Table;
use crate::copies::Copies;
use crate::markup::prelude::*;
use crate::store::{BenchEntry, Place, Space, Standing, Store};
use leptos::ev;
use wasm_bindgen::JsCast;

/// From so many instruments on, the bench can be searched.
const SEARCH_FROM: usize = 9;

/// So many instruments are shown at once.
const SHOWN: usize = 200;

/// The list of instruments, and the way to the rack.
#[component]
pub(crate) fn Bench() -> Node {
    let store = Store::here();
    let table = Table::here();
    let search = RwSignal::new(String::new());
    let many = Memo::new(move |_| store.bench().with(Vec::len) >= SEARCH_FROM);
    let found = Memo::new(move |_| {
        let wanted = if many.get() {
            search.get()
        } else {
            String::new()
        };
        if wanted.trim().is_empty() {
            return store.bench().get();
        }
        let ids = store.find(&wanted);
        let wanted = wanted.to_lowercase();
        store.bench().with(|all| {
            let mut ids = ids.iter().peekable();
            let fits = |entry: &&BenchEntry| {
                // Both are in the bench's order.
                let by_words = ids.next_if(|id| **id == entry.id).is_some();
                by_words || matches(entry, &wanted)
            };
            all.iter().filter(fits).cloned().collect::<Vec<_>>()
        })
    });
    let shown =
        Memo::new(move |_| found.with(|all| all.iter().take(SHOWN).cloned().collect::<Vec<_>>()));
    let more = move || match found.with(Vec::len).saturating_sub(SHOWN) {
        0 => String::new(),
        more => format!("And {more} more: search for a word of their records."),
    };
    let here = Memo::new(move |_| {
        let words = |one: Standing| (one.id, one.name, one.place.words());
        store.standings().into_iter().map(words).collect::<Vec<_>>()
    });
    view! {
        <nav class="bench" id="bench" class:open=move || table.bench_open.get() aria-label="Bench">
            <h2 class="bench-title">"Bench"</h2>
            <Show when=move || many.get()>
                <label class="sr-only" for="bench-search">"Search the bench"</label>
                <input id="bench-search" type="search" placeholder="Search" prop:value=search
                    on:input=move |event| search.set(event_target_value(&event)) />
            </Show>
            <ul class="bench-list">
                <For each=move || shown.get() key=BenchEntry::clone let:entry>
                    <BenchRow entry />
                </For>
            </ul>
            <p class="hint">{more}</p>
            <Show when=move || here.with(|all| !all.is_empty())>
                <details class="more in-shop">
                    <summary>{move || format!("In the shop: {}", here.with(Vec::len))}</summary>
                    <ul>
                        <For each=move || here.get() key=key_of let:one>
                            <InShop one />
                        </For>
                    </ul>
                </details>
            </Show>
            <Due />
            <Show when=move || found.with(Vec::is_empty)>
                <p class="hint">{move || if many.get() { "No instrument is called so." } else { "No instrument yet." }}</p>
            </Show>
            <p class="bench-foot">
                <button type="button" class="quiet" on:click=move |_| { table.adding.set(true); table.bench_open.set(false); }>
                    "Add an instrument"
                </button>
                <RackLink />
                <Show when=move || store.space().get() == Space::Own>
                    <button type="button" class="link" on:click=move |_| store.enter(Space::Demo)>"Look round the demo shop"</button>
                </Show>
            </p>
            <Copies />
            <Version />
        </nav>
    }
}

/// What the instruments wait for: every record is read for it, so only when it is asked for.
#[component]
fn Due() -> Node {
    let store = Store::here();
    let due = RwSignal::new(Vec::<(Option<String>, String)>::new());
    view! {
        <details class="more due" on:toggle=move |_| due.set(store.due())>
            <summary>"What is due"</summary>
            <ul>
                {move || due.get().into_iter().map(|(id, words)| view! {
                    <li><a href=id.map(|id| store.address(Place::Instrument(id)))>{words}</a></li>
                }).collect_view()}
            </ul>
        </details>
    }
}

/// What is heard of a newer version, and what is said then.
const NEWER: [(&str, &str); 2] = [
    (
        "newer",
        "A newer version lies ready. It opens this window anew, and what is typed here stays; other windows go on as they are.",
    ),
    (
        "taken",
        "Another window took a newer version. This one goes on with the older; all that is typed here stays.",
    ),
];

/// Which version of the page runs, and the newer one that waits.
#[component]
fn Version() -> Node {
    let build = document()
        .document_element()
        .and_then(|root| root.get_attribute("data-build"))
        .unwrap_or_default();
    let newer = RwSignal::new("");
    let heard = NEWER.map(|(word, said)| {
        window_event_listener(ev::Custom::<web_sys::Event>::new(word), move |_| {
            newer.set(said)
        })
    });
    on_cleanup(move || heard.into_iter().for_each(|one| one.remove()));
    view! {
        <p class="hint version" data-figure="version">"Version " {env!("CARGO_PKG_VERSION")} ", build " {build}</p>
        <Show when=move || !newer.get().is_empty()>
            <p class="hint" data-figure="newer">
                {newer} " "
                <button type="button" class="quiet small" data-deed="newer" on:click=move |_| take_newer()>"Use it now"</button>
            </p>
        </Show>
    }
}

/// Lets the newer page take over; the page then opens anew.
fn take_newer() {
    if let Some(window) = web_sys::window() {
        let take = js_sys::Reflect::get(&window, &"strungwellNewer".into()).ok();
        if let Some(take) = take.and_then(|take| take.dyn_into::<js_sys::Function>().ok()) {
            // Nothing waits any more: then there is nothing to do.
            let _ = take.call0(&window);
        }
    }
}

fn key_of(one: &(String, String, String)) -> (String, String, String) {
    one.clone()
}

/// One instrument that is on the bench or waits.
#[component]
fn InShop(one: (String, String, String)) -> Node {
    let store = Store::here();
    let (id, name, words) = one;
    let href = move || store.address(Place::Instrument(id.clone()));
    view! { <li><a href=href>{name}</a>": "{words}</li> }
}

fn matches(entry: &BenchEntry, wanted: &str) -> bool {
    wanted.split_whitespace().all(|word| {
        [&entry.name, &entry.family, &entry.notes]
            .iter()
            .any(|text| text.to_lowercase().contains(word))
    })
}

/// One instrument; the open one can be copied and removed.
#[component]
fn BenchRow(entry: BenchEntry) -> Node {
    let store = Store::here();
    let BenchEntry {
        id,
        name,
        family,
        notes,
    } = entry;
    let is_open = {
        let id = id.clone();
        Memo::new(move |_| store.open_id().get().as_deref() == Some(id.as_str()))
    };
    let href = {
        let id = id.clone();
        move || store.address(Place::Instrument(id.clone()))
    };
    let id = StoredValue::new(id);
    let copy = move |_| store.copy(&id.get_value());
    let remove = move |_| store.remove(&id.get_value());
    let of = StoredValue::new(name.clone());
    view! {
        <li class="bench-row" class:open=is_open data-instrument=of.get_value()>
            <a href=href aria-current=move || is_open.get().then_some("page")>
                <span class="bench-name">{name}</span>
                <span class="bench-notes num">{notes}</span>
                <span class="bench-family">{family}</span>
            </a>
            <Show when=move || is_open.get()>
                <span class="row-buttons">
                    <button type="button" class="quiet small" on:click=copy>"Copy"<span class="sr-only">" " {of.get_value()}</span></button>
                    <button type="button" class="quiet small" on:click=remove>"Remove"<span class="sr-only">" " {of.get_value()}</span></button>
                </span>
            </Show>
        </li>
    }
}

#[component]
fn RackLink() -> Node {
    let store = Store::here();
    let current = move || {
        store
            .route()
            .with(|route| route.place == Place::Rack)
            .then_some("page")
    };
    let count = move || match store.rack().with(Vec::len) {
        0 => "The rack, empty yet".to_owned(),
        1 => "The rack, 1 string".to_owned(),
        count => format!("The rack, {count} strings"),
    };
    view! { <a class="rack-link" href=move || store.address(Place::Rack) aria-current=current>{count}</a> }
}
