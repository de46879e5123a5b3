//! A computed figure that opens to its reason: the formula, the same with its numbers, and the source.

use crate::markup::prelude::*;
use crate::opens::opened;
use strungwell_workshop::report::Reason;

/// A figure in a list of figures (`dl`). `name` is a word for tests and styles; `range` is empty where there is none; the
/// reason is asked for only while it is open.
#[component]
pub(crate) fn Figure(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<String>,
    #[prop(into, default = Signal::stored(String::new()))] range: Signal<String>,
    #[prop(into)] reason: Signal<Option<Reason>>,
) -> Node {
    let open = RwSignal::new(false);
    let shown = move || {
        open.get().then(|| match reason.get() {
            Some(reason) => view! { <Why reason /> },
            None => view! { <p class="why">"There is no figure here yet, so there is no reason to show."</p> },
        })
    };
    view! {
        <div class="figure">
            <dt>{label}</dt>
            <dd>
                <details class="explain" on:toggle=move |event| opened(open, &event)>
                    <summary>
                        <span class="sr-only">{label}": "</span>
                        <span class="num" data-figure=name>{value}</span>
                        <span class="range num">{range}</span>
                        <span class="sr-only">", why"</span>
                    </summary>
                    {shown}
                </details>
            </dd>
        </div>
    }
}

/// A reason: formula, numbers, source.
#[component]
fn Why(reason: Reason) -> Node {
    view! {
        <div class="why">
            <p class="formula">{reason.formula}</p>
            <p class="numbers num">{reason.numbers}</p>
            <p class="source">{reason.source}</p>
        </div>
    }
}
