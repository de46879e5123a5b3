//! A bare counter: a number, two buttons and a slider that set it. It is built and measured in the same way as the page, so that
//! `cargo xtask bench` can print the page's weight and speed beside those of the libraries alone.

use leptos::prelude::*;

fn main() {
    mount_to_body(Counter);
}

#[component]
fn Counter() -> impl IntoView {
    let (count, set) = signal(0);
    view! {
        <main>
            <button on:click=move |_| set.update(|count| *count -= 1)>"-1"</button>
            <output>{count}</output>
            <button on:click=move |_| set.update(|count| *count += 1)>"+1"</button>
            <input type="range" min="-100" max="100" aria-label="Count" prop:value=count
                on:input=move |event| set.set(event_target_value(&event).parse().unwrap_or_default()) />
        </main>
    }
}
