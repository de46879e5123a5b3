//! Files that a person picks: read here, sent nowhere.

use crate::markup::prelude::*;
use js_sys::futures::JsFuture;

/// The largest file that is looked at, in bytes.
const MOST_BYTES: f64 = 64.0 * 1024.0 * 1024.0;

/// A button that asks for a file and gives its text, or why it could not be read.
pub(crate) fn pick_file(
    name: &'static str,
    label: &'static str,
    accept: &'static str,
    read: Callback<Result<String, String>>,
) -> Node {
    let picked = move |event: web_sys::Event| {
        let input: web_sys::HtmlInputElement = event_target(&event);
        let file = input.files().and_then(|files| files.get(0));
        let Some(file) = file else { return };
        if file.size() > MOST_BYTES {
            read.run(Err(format!(
                "the file is larger than {MOST_BYTES:.0} bytes"
            )));
            return input.set_value("");
        }
        leptos::task::spawn_local(async move {
            let text = match JsFuture::from(file.text()).await {
                Ok(text) => text
                    .as_string()
                    .ok_or_else(|| "the file is no text".to_owned()),
                Err(_) => Err("the browser could not read the file".to_owned()),
            };
            read.run(text);
            // The same file can be picked again.
            input.set_value("");
        });
    };
    let id = format!("file-{name}");
    view! {
        <span class="pick-file">
            <label for=id.clone()>{label}</label>
            <input type="file" id=id data-field=name accept=accept on:change=picked />
        </span>
    }
}
