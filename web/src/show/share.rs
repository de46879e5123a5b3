//! The link to take along, as text and as a QR code.

use super::Stage;
use crate::markup::prelude::*;
use strungwell_workshop::link::{QrCode, of_sides, qr_code};

/// The button that makes the link, and the link.
#[component]
pub(super) fn Share(stage: Stage) -> Node {
    let made = RwSignal::new(None::<Result<String, String>>);
    let make = move |_| {
        let link = stage.instrument(0).and_then(|shown| {
            let beside = stage.instrument(1).ok();
            let second = beside.as_ref().map(|beside| (stage.which(1), beside));
            let first = (stage.which(0), &shown);
            let text = stage.rack.with_value(|rack| of_sides(first, second, rack));
            text.map_err(|why| why.to_string())
        });
        let here = window().location().href().unwrap_or_default();
        let here = here.split('#').next().unwrap_or_default().to_owned();
        made.set(Some(link.map(|link| format!("{here}#/show/{link}"))));
    };
    let shown = move || {
        made.with(|made| match made {
            None => Node::Nothing,
            Some(Err(why)) => view! { <p class="message">"No link: " {why.clone()} "."</p> },
            Some(Ok(address)) => view! {
                <label for="show-link">"Link"</label>
                <input id="show-link" type="text" readonly=true data-field="show_link" prop:value=address.clone() />
                {qr_code(address).map(|code| drawn(&code))}
            },
        })
    };
    view! {
        <section class="show-share" aria-labelledby="show-share-title">
            <h2 id="show-share-title">"To take along"</h2>
            <p class="hint">"The link holds the figures of this instrument and of its own second setup, and nothing else: no name, no owner, no note, no other instrument."</p>
            <p class="buttons"><button type="button" class="quiet" on:click=make>"Make a link and a code to scan"</button></p>
            {shown}
        </section>
    }
}

/// The dark squares as one path.
fn drawn(code: &QrCode) -> Node {
    let mut path = String::new();
    for (y, row) in code.dark.chunks(code.size.max(1)).enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
            path.push_str(&format!("M{x} {y}h1v1h-1z"));
        }
    }
    let side = code.size + 8;
    view! {
        <svg class="qr" viewBox=format!("-4 -4 {side} {side}") role="img" aria-label="The same link as a code to scan">
            <path d=path />
        </svg>
    }
}
