//! A part of the page that is built when a person opens it.

use crate::markup::prelude::*;

/// A `details` of this class whose inside stands only while it is open.
pub(crate) fn opens(
    class: &'static str,
    title: Node,
    part: impl Fn() -> Node + Send + Sync + 'static,
) -> Node {
    let open = RwSignal::new(false);
    view! {
        <details class=class on:toggle=move |event| opened(open, &event)>
            <summary>{title}</summary>
            {move || open.get().then(&part)}
        </details>
    }
}

/// Notes whether the `details` that was opened or closed is open.
pub(crate) fn opened(open: RwSignal<bool>, event: &web_sys::Event) {
    open.set(event_target::<web_sys::Element>(event).has_attribute("open"));
}
