//! The page.

// The macro that makes a component writes a `pub` of its own beside it.
#![allow(unreachable_pub)]

mod add;
mod app;
mod bench;
mod copies;
mod drawings;
mod explain;
mod fields;
mod files;
mod import;
mod later;
mod listen;
mod markup;
mod near;
mod notices;
mod opens;
mod preferences;
mod rack;
mod sections;
mod sheet;
mod show;
mod store;
mod tables;

fn main() {
    // Leptos starts what drives its signals and owns the whole; the page itself is put into the body beside its empty view.
    leptos::mount::mount_to_body(|| {
        if let Some(body) = leptos::prelude::document().body() {
            markup::mount(app::App(), &body);
        }
    });
}
