//! What the person must know of the page itself: where they are, what is not kept, what could not be read.

use crate::copies::save;
use crate::markup::prelude::*;
use crate::store::{Aside, Space, Store};

/// Every notice that stands at the moment.
#[component]
pub(crate) fn Notices() -> Node {
    let store = Store::here();
    let not_kept = move || {
        store.not_kept().get().map(|why| view! {
        <p class="notice bad" role="alert"><span class="mark" aria-hidden="true">"!"</span><span>{why}</span></p>
    })
    };
    let refused = move || {
        store.refused().get().map(|why| view! {
        <p class="notice bad" role="alert">
            <span class="mark" aria-hidden="true">"!"</span><span>{why}</span>
            <button type="button" class="quiet small" on:click=move |_| store.forgive()>"Close"</button>
        </p>
    })
    };
    let told = move || {
        store.told().get().map(|what| view! {
        <p class="notice" role="status" data-notice="told">
            <span>{what}</span>
            <button type="button" class="quiet small" on:click=move |_| store.heard()>"Close"</button>
        </p>
    })
    };
    view! {
        <div class="notices">
            <Show when=move || store.space().get() == Space::Demo>
                <DemoBanner />
            </Show>
            {not_kept}
            {refused}
            {told}
            <Asides />
        </div>
    }
}

#[component]
fn DemoBanner() -> Node {
    let store = Store::here();
    view! {
        <p class="notice demo" role="status">
            <span>"This is the demo shop: its people, instruments and strings are invented, and kept apart from your own records."</span>
            <span class="notice-buttons">
                <button type="button" class="main small" on:click=move |_| store.enter(Space::Own)>"Back to my bench"</button>
                <button type="button" class="quiet small" on:click=move |_| store.reset_demo()>"Reset the demo"</button>
            </span>
        </p>
    }
}

/// What could not be read, with its reason and its text.
#[component]
fn Asides() -> Node {
    let store = Store::here();
    view! {
        <Show when=move || store.asides().with(|all| !all.is_empty())>
            <section class="notice bad asides" aria-labelledby="asides-title">
                <h2 id="asides-title">"Set aside: stored records"</h2>
                <p>"They are left as they are in this browser's storage, and everything else is open."</p>
                <ul>
                    <For each=move || store.asides().get() key=|aside| (aside.key.clone(), aside.text.clone()) let:aside>
                        <AsideRow aside />
                    </For>
                </ul>
            </section>
        </Show>
    }
}

#[component]
fn AsideRow(aside: Aside) -> Node {
    let store = Store::here();
    let whole = aside.is_whole();
    let Aside { key, text, why } = aside;
    let adopted = key.clone();
    // What is stored, to the letter: the text shown may be unpacked.
    let raw = key.clone();
    let out = move |_| save("strungwell-set-aside.txt", &store.aside_text(&raw));
    let adopt = move |_| store.adopt_aside(&adopted);
    let (stands, under) = (key.clone(), key.clone());
    let remove = move |_| store.remove_aside(&key);
    view! {
        <li data-aside=stands>
            <p>{why}</p>
            {whole.then(|| view! { <button type="button" class="main small" on:click=adopt>"Put it beside the other as a record of its own"</button> })}
            <details>
                <summary>"Its text, stored under " <code>{under}</code></summary>
                <pre tabindex="0">{text}</pre>
                <button type="button" class="quiet small" data-deed="export-aside" on:click=out>"Write it to a file"</button>
                <button type="button" class="quiet small" on:click=remove>"Remove it from the storage"</button>
            </details>
        </li>
    }
}

/// What was removed last, and the way to bring it back.
#[component]
pub(crate) fn UndoSlip() -> Node {
    let store = Store::here();
    view! {
        <div class="slip-place" role="status">
            {move || store.removed().get().map(|removed| view! {
                <p class="slip">
                    <span>{removed.said}</span>
                    <button type="button" class="main small" on:click=move |_| store.undo()>"Undo"</button>
                    <button type="button" class="quiet small" on:click=move |_| store.dismiss()>"Dismiss"</button>
                </p>
            })}
        </div>
    }
}
