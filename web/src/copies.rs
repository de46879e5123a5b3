//! Copies of the records: the workshop file out.

use crate::import::Import;
use crate::markup::prelude::*;
use crate::sections::hand_over::today;
use crate::store::Store;
use std::time::Duration;
use strungwell_workshop::file;
use wasm_bindgen::{JsCast, JsValue};

/// After so long the browser has taken a text that it saves to a file.
const TAKEN: Duration = Duration::from_secs(120);

/// The ways out, under the bench.
#[component]
pub(crate) fn Copies() -> Node {
    let store = Store::here();
    let asked = RwSignal::new(0_u32);
    let stands = move || {
        // Counting reads all of the storage, so it is done when somebody looks.
        (asked.get() > 0)
            .then(|| view! { <p class="hint" data-figure="storage">{store.storage_words()}</p> })
    };
    let reminder = move || {
        asked.track();
        store.export_reminder()
    };
    let persist = move |_| {
        store.ask_to_persist();
        asked.update(|n| *n += 1);
    };
    let can_ask = move || {
        asked.track();
        !store.asked_to_persist()
    };
    let out = move |only: Option<String>| {
        let shop = store.shop(only.as_deref(), moment());
        let words = match only {
            Some(_) => "strungwell-instrument",
            None => "strungwell-workshop",
        };
        save(&format!("{words}-{}.json", today()), &file::write(&shop));
        if only.is_none() {
            store.note_export();
            asked.update(|n| *n += 1);
        }
    };
    view! {
        <details class="more copies">
            <summary on:click=move |_| asked.update(|n| *n += 1)>"Copies of your records"</summary>
            <p class="hint">"A workshop file holds owners, rack, instruments and their visits. Keep one outside this machine."</p>
            <p class="buttons">
                <button type="button" class="quiet small" data-deed="export" on:click=move |_| out(None)>"Write all to a file"</button>
                <Show when=move || store.open_id().with(Option::is_some)>
                    <button type="button" class="quiet small" data-deed="export-one" on:click=move |_| out(store.open_id().get_untracked())>
                        "Write this instrument to a file"
                    </button>
                </Show>
            </p>
            <Import />
            {stands}
            <Show when=can_ask>
                <p class="buttons">
                    <button type="button" class="quiet small" data-deed="persist" on:click=persist>"Ask the browser not to clear these records"</button>
                </p>
            </Show>
        </details>
        <p class="hint" data-figure="export-reminder">{reminder}</p>
    }
}

/// The present moment as the workshop file writes it.
fn moment() -> String {
    js_sys::Date::new_0()
        .to_iso_string()
        .as_string()
        .unwrap_or_default()
}

/// Hands a text to the browser as a file to save.
pub(crate) fn save(name: &str, text: &str) {
    let parts = js_sys::Array::of1(&JsValue::from_str(text));
    let Ok(blob) = web_sys::Blob::new_with_str_sequence(&parts) else {
        return;
    };
    let Ok(address) = web_sys::Url::create_object_url_with_blob(&blob) else {
        return;
    };
    if let Ok(link) = document().create_element("a") {
        let _ = link.set_attribute("href", &address);
        let _ = link.set_attribute("download", name);
        link.unchecked_ref::<web_sys::HtmlElement>().click();
    }
    // A browser may ask first where the file should go; the address would hold the text as long as the page lives.
    set_timeout(
        move || {
            let _ = web_sys::Url::revoke_object_url(&address);
        },
        TAKEN,
    );
}
