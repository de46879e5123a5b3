//! The page.

use leptos::prelude::*;

fn main() {
    leptos::mount::mount_to_body(|| view! { <p>"Strungwell"</p> });
}
