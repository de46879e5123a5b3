//! How the string is pressed and plucked, and the board's camber.

use crate::fields::{ChoiceField, LengthField, Quantity, QuantityField, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::records::Release;

/// The words of a release in the record, and on the page.
const RELEASES: [(&str, &str); 2] = [
    ("away", "pulled away from the board"),
    ("towards", "pushed towards the board"),
];

const fn word(release: Release) -> &'static str {
    match release {
        Release::Away => RELEASES[0].0,
        Release::Towards => RELEASES[1].0,
    }
}

/// The fields of pressing, plucking and camber.
#[component]
pub(super) fn PlayFields() -> Node {
    let store = Store::here();
    let finger = Callback::new(move |mm: Option<f64>| {
        store.edit(|i| i.press.finger_behind_mm = mm.unwrap_or(i.press.finger_behind_mm));
    });
    let reaction = Callback::new(move |n: Option<f64>| {
        store.edit(|i| i.press.fret_reaction_n = n.unwrap_or(i.press.fret_reaction_n));
    });
    let force = Callback::new(move |n: Option<f64>| {
        store.edit(|i| i.pluck.force_n = n.unwrap_or(i.pluck.force_n));
    });
    let place = Callback::new(move |mm: Option<f64>| store.edit(|i| i.pluck.from_saddle_mm = mm));
    let release = Callback::new(move |chosen: String| {
        store.edit(|i| {
            i.pluck.release = if chosen == word(Release::Towards) {
                Release::Towards
            } else {
                Release::Away
            };
        });
    });
    let camber = Callback::new(move |mm: Option<f64>| store.edit(|i| i.camber_radius_mm = mm));
    let releases = Signal::stored(
        RELEASES
            .map(|(word, label)| (word.to_owned(), label.to_owned()))
            .to_vec(),
    );
    view! {
        <div class="fields play-fields" role="group" aria-label="How it is pressed and plucked">
            <LengthField name="finger_behind_mm" label="Finger behind the fret" required=true of=("press", "finger_behind_mm")
                value=store.pick(|i| Some(i.press.finger_behind_mm)) on_change=finger />
            <QuantityField name="fret_reaction_n" label="Pressed on the fret with" quantity=Quantity::Force required=true of=("press", "fret_reaction_n")
                value=store.pick(|i| Some(i.press.fret_reaction_n)) on_change=reaction />
            <QuantityField name="pluck-force_n" label="The player plucks with" quantity=Quantity::Force required=true of=("pluck", "force_n")
                value=store.pick(|i| Some(i.pluck.force_n)) on_change=force />
            <LengthField name="pluck-from_saddle_mm" label="Plucked from the saddle" of=("pluck", "from_saddle_mm")
                value=store.pick(|i| i.pluck.from_saddle_mm) on_change=place hint=Signal::stored("empty: a quarter of the scale".to_owned()) />
            <ChoiceField name="pluck-release" label=words("Let go after it was") options=releases on_change=release
                value=Signal::derive({ let at = store.pick(|i| Some(word(i.pluck.release).to_owned())); move || at.get().unwrap_or_default() }) />
            <LengthField name="heights-camber_radius_mm" label="Camber radius" of=("instrument", "camber_radius_mm")
                value=store.pick(|i| i.camber_radius_mm) on_change=camber hint=Signal::stored("empty: a flat board".to_owned()) />
        </div>
    }
}
