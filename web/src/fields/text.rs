//! Fields of words and of notes.

use super::entry::{Entry, Shape};
use crate::markup::prelude::*;
use strungwell_workshop::notation;

/// The most characters of a line of words, and of several lines, as the workshop file has them.
const MOST_WORDS: usize = 200;
const MOST_PROSE: usize = 20_000;

/// A field of words; `offers` are texts to pick from instead of typing.
#[component]
pub(crate) fn TextField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<String>,
    on_change: Callback<String>,
    #[prop(optional)] prose: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
    #[prop(into, default = Signal::stored(Vec::new()))] offers: Signal<Vec<String>>,
) -> Node {
    let most = if prose { MOST_PROSE } else { MOST_WORDS };
    let take = Callback::new(move |text: String| {
        let count = text.chars().count();
        if count > most {
            return Err(format!(
                "{count} characters are too many; at most {most} are accepted"
            ));
        }
        on_change.run(text);
        Ok(())
    });
    let shape = if prose { Shape::Prose } else { Shape::Words };
    view! { <Entry name label shown=value take hint shape offers /> }
}

/// A field of a note, such as G3.
#[component]
pub(crate) fn NoteField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<String>,
    on_change: Callback<String>,
    #[prop(optional)] compact: bool,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    let take = Callback::new(move |text: String| {
        let note = notation::note(&text).map_err(|unread| unread.to_string())?;
        on_change.run(note.to_string());
        Ok(())
    });
    view! { <Entry name label shown=value take hint shape=Shape::Figures compact /> }
}
