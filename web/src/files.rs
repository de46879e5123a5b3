//! Files that a person picks: read here, sent nowhere.

use crate::markup::prelude::*;
use js_sys::Uint8Array;
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
            let bytes = JsFuture::from(file.array_buffer()).await;
            let bytes = bytes.map(|bytes| Uint8Array::new(&bytes).to_vec());
            let text = bytes.map_err(|_| "the browser could not read the file".to_owned());
            read.run(text.and_then(in_utf_8));
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

/// The bytes as text. The browser's own reading would put a mark in the place of each letter that it cannot read.
fn in_utf_8(bytes: Vec<u8>) -> Result<String, String> {
    String::from_utf8(bytes).map_err(|error| {
        format!(
            "the file: byte {} reads something that is not text in UTF-8; a file saved as UTF-8 is accepted",
            error.utf8_error().valid_up_to() + 1
        )
    })
}

#[cfg(test)]
mod tests {
    use super::in_utf_8;

    #[test]
    fn another_encoding_is_said_and_not_guessed() {
        assert_eq!(in_utf_8("Müller".into()).as_deref(), Ok("Müller"));
        let why = in_utf_8(b"M\xfcller".to_vec()).unwrap_err();
        assert!(why.starts_with("the file: byte 2 reads"), "{why}");
    }
}
