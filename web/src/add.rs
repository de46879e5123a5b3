//! Adding an instrument: a family, a tuning and a scale to begin from.

use crate::app::{Table, focus_on};
use crate::fields::{ChoiceField, LengthField, words};
use crate::markup::prelude::*;
use crate::sections::instrument::tuning_label;
use crate::store::Store;
use strungwell_workshop::families::{self, FAMILIES};

/// The family that the form begins with: the concert ukulele, the middle of its kin.
const FIRST: &str = "ukulele-concert";

/// The form for a new instrument.
#[component]
pub(crate) fn AddInstrument() -> Node {
    let store = Store::here();
    let table = Table::here();
    let key = RwSignal::new(FIRST.to_owned());
    let tuning = RwSignal::new(0_usize);
    let scale = RwSignal::new(families::family(FIRST).map(|family| family.scale_mm));
    let family = move || families::family(&key.get());
    let families = Signal::stored(
        FAMILIES
            .iter()
            .map(|f| (f.key.to_owned(), f.label.to_owned()))
            .collect::<Vec<_>>(),
    );
    let tunings = Memo::new(move |_| {
        let tunings = family().map_or(&[][..], |family| family.tunings);
        tunings
            .iter()
            .enumerate()
            .map(|(at, tuning)| (at.to_string(), tuning_label(tuning)))
            .collect::<Vec<_>>()
    });
    let on_family = Callback::new(move |word: String| {
        tuning.set(0);
        scale.set(families::family(&word).map(|family| family.scale_mm));
        key.set(word);
    });
    let source = Signal::derive(move || {
        family()
            .map(|f| format!("usual: {}", f.scale_source))
            .unwrap_or_default()
    });
    let add = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        // The store gives it an id of its own.
        if let Some(instrument) = families::start(
            &key.get_untracked(),
            tuning.get_untracked(),
            scale.get_untracked(),
            "new",
        ) {
            store.add(instrument);
            table.adding.set(false);
            focus_on("sheet");
        }
    };
    // The form appears on request: the hand goes on there.
    request_animation_frame(|| focus_on("field-new-family"));
    view! {
        <form class="sheet add" on:submit=add aria-labelledby="add-title">
            <h2 id="add-title">"Add an instrument"</h2>
            <p class="hint">"Everything can be changed afterwards."</p>
            <div class="fields unkept">
                <ChoiceField name="new-family" label=words("Family") value=key options=families on_change=on_family />
                <ChoiceField name="new-tuning" label=words("Tuning") options=tunings
                    value=Signal::derive(move || tuning.get().to_string())
                    on_change=Callback::new(move |at: String| tuning.set(at.parse().unwrap_or(0))) />
                <LengthField name="new-scale_mm" label=words("Scale length") of=("instrument", "scale_mm") required=true
                    value=scale on_change=Callback::new(move |mm| scale.set(mm)) hint=source />
            </div>
            <p class="buttons">
                <button type="submit" class="main">"Add"</button>
                <button type="button" class="quiet" on:click=move |_| table.adding.set(false)>"Not now"</button>
            </p>
        </form>
    }
}
