//! The Hand over section: the sheet for the customer and the one for the shop, as they are printed.

use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::near::{near, while_near};
use crate::store::Store;
use crate::tables::table;
use strungwell_workshop::hand_over::{Beside, Handout, Part, customer, shop};

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Which {
    Customer,
    Shop,
}

const SHEETS: [(Which, &str, &str); 2] = [
    (Which::Customer, "customer", "For the customer"),
    (Which::Shop, "shop", "For the shop"),
];

/// The Hand over section of the open instrument's sheet.
#[component]
pub(crate) fn HandOver() -> Node {
    let store = Store::here();
    let which = RwSignal::new(Which::Customer);
    let place = ElementRef::new();
    let shown = while_near(near(place), move || sheet(store, which.get()));
    let one = move |(this, word, label): (Which, &'static str, &'static str)| {
        view! {
            <button type="button" class="note-button" data-sheet=word aria-pressed=move || if which.get() == this { "true" } else { "false" }
                on:click=move |_| which.set(this)>{label}</button>
        }
    };
    view! {
        <section id="hand-over" node_ref=place class="sheet-section" aria-labelledby="hand-over-title">
            <h2 id="hand-over-title">"Hand over"</h2>
            <div class="note-buttons" role="group" aria-label="Sheet to print">
                {SHEETS.into_iter().map(one).collect_view()}
                <button type="button" class="main" data-deed="print" on:click=move |_| print()>"Print this sheet"</button>
            </div>
            <p class="hint">"The browser's print writes it on A4 or Letter, or as a PDF."</p>
            {move || shown.with(|sheet| sheet.as_ref().map(handout))}
        </section>
    }
}

/// The chosen sheet of the open instrument.
fn sheet(store: Store, which: Which) -> Option<Handout> {
    let instrument = store.instrument().get()?;
    let owner = instrument.owner.as_ref().and_then(|id| {
        store
            .owners()
            .with(|all| all.iter().find(|o| o.id == *id).map(|o| o.name.clone()))
    });
    let day = today();
    let beside = Beside {
        owner: owner.as_deref().unwrap_or_default(),
        day: &day,
        units: store.units().get(),
    };
    match which {
        Which::Customer => store
            .report()
            .with(|r| Some(customer(&instrument, r.as_ref()?, beside))),
        Which::Shop => {
            let whole = store.whole_report()?;
            Some(shop(&instrument, &whole, beside))
        }
    }
}

/// The day by the browser's clock, as `2026-01-31`.
pub(crate) fn today() -> String {
    let date = js_sys::Date::new_0();
    format!(
        "{:04}-{:02}-{:02}",
        date.get_full_year(),
        date.get_month() + 1,
        date.get_date()
    )
}

/// Prints the sheet alone, where the style sheet finds the mark.
fn print() {
    let (Some(window), Some(root)) = (web_sys::window(), document().document_element()) else {
        return;
    };
    // A browser refuses only names that are no names, and printing only where there is none.
    let _ = root.set_attribute("data-print", "handout");
    let _ = window.print();
    let _ = root.remove_attribute("data-print");
}

fn handout(sheet: &Handout) -> Node {
    let parts = sheet.parts.iter().filter(|part| !part.is_empty());
    let parts = parts.map(part).collect_view();
    view! {
        <article class="handout">
            <h3 class="handout-title">{sheet.title.clone()}</h3>
            {parts}
        </article>
    }
}

fn part(part: &Part) -> Node {
    let heading = (!part.heading.is_empty()).then(|| view! { <h4>{part.heading}</h4> });
    let table = (!part.rows.is_empty()).then(|| {
        let head: Vec<&str> = part.head.iter().map(String::as_str).collect();
        table("", part.heading, &head, part.rows.clone())
    });
    let lines = part
        .lines
        .iter()
        .map(|text| view! { <p>{text.clone()}</p> });
    view! { <section class="handout-part">{heading}{table}{lines.collect_view()}</section> }
}
