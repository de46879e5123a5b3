//! The page as a whole: the head, the bench, and what lies on the table.

use crate::add::AddInstrument;
use crate::bench::Bench;
use crate::drawings::parts::Hatches;
use crate::listen::{Listening, Mark};
use crate::markup::prelude::*;
use crate::notices::{Notices, UndoSlip};
use crate::preferences::Preferences;
use crate::rack::RackView;
use crate::sheet::{NoSuchInstrument, Sheet, Welcome};
use crate::show::ShowPlayer;
use crate::store::{Place, Space, Store};
use leptos::ev::{KeyboardEvent, MouseEvent};
use wasm_bindgen::JsCast;

/// What is laid over the table for a while.
#[derive(Clone, Copy)]
pub(crate) struct Table {
    /// The form for a new instrument is open.
    pub adding: RwSignal<bool>,
    /// On a narrow screen, the bench is open.
    pub bench_open: RwSignal<bool>,
}

impl Table {
    /// The table of this page.
    pub(crate) fn here() -> Self {
        expect_context()
    }
}

/// What lies on the table.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Lies {
    Welcome,
    Rack,
    Show(String),
    Sheet(String),
    Nothing,
}

/// The page.
#[component]
pub(crate) fn App() -> Node {
    let store = Store::provide();
    let table = Table {
        adding: RwSignal::new(false),
        bench_open: RwSignal::new(false),
    };
    provide_context(table);
    Listening::provide();
    dress(store);
    Effect::new(move |_| {
        store.route().track();
        table.bench_open.set(false);
        table.adding.set(false);
    });
    let close = move |event: KeyboardEvent| {
        if event.key() == "Escape" {
            table.bench_open.set(false);
        }
    };
    let showing = move || {
        store
            .route()
            .with(|route| matches!(route.place, Place::Show(_)))
    };
    view! {
        <div class="page" class:showing=showing on:keydown=close>
            <a class="skip" href="#sheet" on:click=to_sheet>"Skip to the sheet"</a>
            <header class="masthead">
                <BenchButton />
                <p class="brand">"Strungwell" <span class="brand-line">"strings and setup, worked out at the bench"</span></p>
                <Preferences />
            </header>
            <Notices />
            <div class="desk">
                <Bench />
                <main id="sheet" tabindex="-1"><OnTable /></main>
            </div>
            <UndoSlip />
            <Mark />
            <Hatches />
        </div>
    }
}

/// On a narrow screen the bench lies behind this button.
#[component]
fn BenchButton() -> Node {
    let table = Table::here();
    let expanded = move || {
        if table.bench_open.get() {
            "true"
        } else {
            "false"
        }
    };
    view! {
        <button type="button" class="bench-button" aria-controls="bench" aria-expanded=expanded
            on:click=move |_| table.bench_open.update(|open| *open = !*open)>"Bench"</button>
    }
}

/// The sheet, the rack, or a welcome.
#[component]
fn OnTable() -> Node {
    let store = Store::here();
    let table = Table::here();
    let lies = Memo::new(move |_| {
        if store.route().with(|route| route.place == Place::Rack) {
            return Lies::Rack;
        }
        if let Place::Show(what) = store.route().with(|route| route.place.clone()) {
            return Lies::Show(what);
        }
        match store.open_id().get() {
            None => Lies::Welcome,
            Some(id) if store.instrument().with(Option::is_some) => Lies::Sheet(id),
            Some(_) => Lies::Nothing,
        }
    });
    view! {
        <Show when=move || table.adding.get()>
            <AddInstrument />
        </Show>
        {move || match lies.get() {
            Lies::Welcome => view! { <Welcome /> },
            Lies::Rack => view! { <RackView /> },
            Lies::Show(what) => view! { <ShowPlayer what /> },
            Lies::Sheet(id) => view! { <Sheet id /> },
            Lies::Nothing => view! { <NoSuchInstrument /> },
        }}
    }
}

/// Keeps the page's ground and title in step.
fn dress(store: Store) {
    Effect::new(move |_| {
        let ground = store.settings().with(|settings| settings.ground);
        if let Some(root) = document().document_element() {
            // A browser refuses only names that are no names.
            let _ = root.set_attribute("data-ground", ground.word());
        }
    });
    Effect::new(move |_| {
        let on_rack = store.route().with(|route| route.place == Place::Rack);
        let name = store
            .instrument()
            .with(|i| i.as_ref().map(|i| i.name.clone()).unwrap_or_default());
        let is_shown = store
            .route()
            .with(|route| matches!(route.place, Place::Show(_)));
        let demo = if store.space().get() == Space::Demo && !is_shown {
            " (demo shop)"
        } else {
            ""
        };
        let what = if on_rack { "Rack" } else { name.as_str() };
        document().set_title(&if what.is_empty() {
            format!("Strungwell{demo}")
        } else {
            format!("{what} – Strungwell{demo}")
        });
    });
}

/// The address after `#` says what is open, so a link within the page must not change it.
fn to_sheet(event: MouseEvent) {
    event.prevent_default();
    focus_on("sheet");
}

/// Moves the keyboard's focus to an element.
pub(crate) fn focus_on(id: &str) {
    if let Some(element) = document()
        .get_element_by_id(id)
        .and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok())
    {
        // Focus is refused only by elements that are not on the page any more.
        let _ = element.focus();
    }
}
