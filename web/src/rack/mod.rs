//! The rack: the strings that the shop has or can get.

mod editor;
mod measure;
mod table;

use crate::markup::prelude::*;
use crate::store::{Store, called};
use editor::RackEditor;
use strungwell_workshop::records::{Make, Plain, RackString};
use strungwell_workshop::report::{describe, g_per_m};
use strungwell_workshop::units::figure;
use table::RackTable;

/// From so many strings on, the rack can be searched.
const SEARCH_FROM: usize = 9;

/// The rack as a list, with the chosen string's editor in it.
#[component]
pub(crate) fn RackView() -> Node {
    let store = Store::here();
    let open = RwSignal::new(None::<String>);
    let search = RwSignal::new(String::new());
    let many = Memo::new(move |_| store.rack().with(Vec::len) >= SEARCH_FROM);
    let found = Memo::new(move |_| {
        let wanted = if many.get() {
            search.get().to_lowercase()
        } else {
            String::new()
        };
        store.rack().with(|all| {
            all.iter()
                .filter(|string| matches(string, &wanted))
                .map(|string| string.id.clone())
                .collect::<Vec<_>>()
        })
    });
    let add = move |_| {
        if let Some(id) = store.add_rack(new_string()) {
            search.set(String::new());
            open.set(Some(id));
        }
    };
    view! {
        <article class="sheet rack">
            <header class="sheet-head">
                <h1>"Rack"</h1>
                <p class="lead">"The strings that the shop has or can get, each known in the way that you know it."</p>
            </header>
            <div class="rack-tools">
                <button type="button" class="main" on:click=add>"Add a string"</button>
                <Show when=move || many.get()>
                    <label class="sr-only" for="rack-search">"Search the rack"</label>
                    <input id="rack-search" type="search" placeholder="Search by words or gauge" prop:value=search
                        on:input=move |event| search.set(event_target_value(&event)) />
                    <span class="count num" role="status">{move || found.with(Vec::len)} " shown"</span>
                </Show>
            </div>
            <RackTable />
            <Heads />
            <ul class="rack-list">
                <For each=move || found.get() key=String::clone let:id>
                    <RackRow id open />
                </For>
            </ul>
            <Show when=move || found.with(Vec::is_empty)>
                <p class="hint">{move || if many.get() { "No string is called so." } else { "No string yet." }}</p>
            </Show>
        </article>
    }
}

/// A string to begin from.
fn new_string() -> RackString {
    RackString {
        id: String::new(),
        name: String::new(),
        make: Make::Plain(Plain {
            material: "nylon".into(),
            diameter_mm: 0.81,
            ..Plain::default()
        }),
        kappa: None,
        kappa_give: None,
        bend_modulus_gpa: None,
        on_hand: None,
        price: None,
        note: String::new(),
        changed: None,
        extra: strungwell_workshop::records::Extra::new(),
    }
}

fn matches(string: &RackString, wanted: &str) -> bool {
    let text = format!("{} {} {}", string.name, describe(&string.make), string.note).to_lowercase();
    wanted.split_whitespace().all(|word| text.contains(word))
}

/// What stands over the columns on a wide screen; each row says it for itself on a narrow one and to a screen reader.
#[component]
fn Heads() -> Node {
    view! {
        <div class="rack-heads" aria-hidden="true">
            <span>"String"</span><span>"Make"</span><span>"g/m"</span><span>"On hand"</span><span>"Price"</span>
        </div>
    }
}

/// What a row shows of its string.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Line {
    name: String,
    make: String,
    g_per_m: String,
    on_hand: String,
    price: String,
}

impl Line {
    fn of(string: &RackString) -> Self {
        let make = describe(&string.make);
        Self {
            name: called(&string.name, &make),
            g_per_m: figure(g_per_m(&string.make), 3),
            on_hand: string
                .on_hand
                .map(|count| count.to_string())
                .unwrap_or_default(),
            price: string
                .price
                .map(|price| figure(price, 2))
                .unwrap_or_default(),
            make,
        }
    }
}

#[component]
fn RackRow(id: String, open: RwSignal<Option<String>>) -> Node {
    let store = Store::here();
    let id = StoredValue::new(id);
    let line = Memo::new(move |_| {
        store
            .rack()
            .with(|all| id.with_value(|id| all.iter().find(|s| s.id == *id).map(Line::of)))
            .unwrap_or_default()
    });
    let is_open =
        Memo::new(move |_| id.with_value(|id| open.with(|open| open.as_ref() == Some(id))));
    let toggle = move |_| open.set((!is_open.get_untracked()).then(|| id.get_value()));
    let cell = move |class: &'static str, label: &'static str, of: fn(&Line) -> &String| {
        let text = move || line.with(|line| of(line).clone());
        let empty = move || line.with(|line| of(line).is_empty());
        view! { <span class=format!("rack-cell {class}") class:empty=empty><span class="cell-label">{label}" "</span>{text}</span> }
    };
    view! {
        <li class="rack-row" class:open=is_open data-string=move || line.with(|line| line.name.clone())>
            <button type="button" class="rack-line" aria-expanded=move || if is_open.get() { "true" } else { "false" } on:click=toggle>
                {cell("name", "", |line| &line.name)}
                {cell("make", "", |line| &line.make)}
                {cell("num", "g/m", |line| &line.g_per_m)}
                {cell("num", "on hand", |line| &line.on_hand)}
                {cell("num", "price", |line| &line.price)}
            </button>
            <Show when=move || is_open.get()>
                <RackEditor id=id.get_value() open />
            </Show>
        </li>
    }
}
