//! The page.

// The macro that makes a component writes a `pub` of its own beside it.
#![allow(unreachable_pub)]

mod add;
mod app;
mod bench;
mod drawings;
mod explain;
mod fields;
mod notices;
mod preferences;
mod rack;
mod sections;
mod sheet;
mod store;

fn main() {
    leptos::mount::mount_to_body(app::App);
}
