//! One instrument's sheet, read from top to bottom, and what stands in its place when there is none.

use crate::app::{Table, focus_on};
use crate::fields::Scope;
use crate::markup::prelude::*;
use crate::sections::hand_over::HandOver;
use crate::sections::heights::Heights;
use crate::sections::instrument::InstrumentSection;
use crate::sections::intonation::Intonation;
use crate::sections::loads::LoadsSection;
use crate::sections::plan::PlanSection;
use crate::sections::playing_in::PlayingInSection;
use crate::sections::sets::SetsSection;
use crate::sections::strings::Strings;
use crate::sections::visits::Visits;
use crate::store::{Place, Space, Store, called};

/// The sections of the sheet: the id of each and its name.
const SECTIONS: [(&str, &str); 10] = [
    ("instrument", "Instrument"),
    ("strings", "Strings"),
    ("sets", "Sets"),
    ("heights", "Heights"),
    ("intonation", "Intonation"),
    ("plan", "Plan"),
    ("loads", "Loads"),
    ("playing-in", "Playing in"),
    ("visits", "Visits"),
    ("hand-over", "Hand over"),
];

/// The sheet of the instrument with this id.
#[component]
pub(crate) fn Sheet(id: String) -> Node {
    let store = Store::here();
    let shown = id.clone();
    provide_context(Scope(id));
    let name = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.as_ref()
                .map(|i| called(&i.name, "Instrument without a name"))
                .unwrap_or_default()
        })
    });
    let tuning = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.as_ref()
                .map(|i| {
                    i.courses
                        .iter()
                        .map(|c| c.note.as_str())
                        .collect::<Vec<_>>()
                        .join(" ")
                })
                .unwrap_or_default()
        })
    });
    view! {
        <article class="sheet">
            <header class="sheet-head">
                <h1>{name}</h1>
                <p class="tuning num">{tuning}</p>
                <p><button type="button" class="quiet small" on:click=move |_| store.go(Place::Show(shown.clone()))>"Show a player"</button></p>
                <Index />
            </header>
            <InstrumentSection />
            <Strings />
            <SetsSection />
            <Heights />
            <Intonation />
            <PlanSection />
            <LoadsSection />
            <PlayingInSection />
            <Visits />
            <HandOver />
        </article>
    }
}

/// The way to each section. The address says which instrument is open, so these are buttons.
#[component]
fn Index() -> Node {
    let go = |id: &'static str| {
        move |_| {
            if let Some(section) = document().get_element_by_id(id) {
                section.scroll_into_view();
            }
            focus_on(&format!("{id}-title"));
        }
    };
    view! {
        <nav class="index" aria-label="Sections of the sheet">
            <ul>
                {SECTIONS.iter().map(|(id, name)| view! {
                    <li><button type="button" class="link" on:click=go(id)>{*name}</button></li>
                }).collect_view()}
            </ul>
        </nav>
    }
}

/// What stands there before the first instrument.
#[component]
pub(crate) fn Welcome() -> Node {
    let store = Store::here();
    let table = Table::here();
    view! {
        <article class="sheet welcome">
            <h1>"Strings and setup for the instrument on your bench"</h1>
            <p class="lead">
                "Say what instrument you have and what it shall be tuned to: here you see how tight each string would be, how near to \
                 breaking, how far it stretches, and which strings from your rack or from stock gauges would sit beside the others."
            </p>
            <p class="lead">
                "Everything stays in this browser, on this machine; nothing is sent anywhere."
            </p>
            <p class="buttons">
                <button type="button" class="main" on:click=move |_| table.adding.set(true)>"Add an instrument"</button>
                <Show when=move || store.space().get() == Space::Own>
                    <button type="button" class="quiet" on:click=move |_| store.enter(Space::Demo)>"Look round the demo shop"</button>
                </Show>
            </p>
        </article>
    }
}

/// What stands there when the address names an instrument that is not here.
#[component]
pub(crate) fn NoSuchInstrument() -> Node {
    let store = Store::here();
    view! {
        <article class="sheet welcome">
            <h1>"This instrument is not on the bench"</h1>
            <p class="lead">"It may have been removed, or it stands in another browser. Pick one from the bench, or go back to the last one."</p>
            <p class="buttons"><a class="main" href=move || store.address(Place::Home)>"Back to the bench"</a></p>
        </article>
    }
}
