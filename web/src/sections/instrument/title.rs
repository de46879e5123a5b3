//! The title block: what the instrument is called and what it is, ruled as on a drawing.

use super::owner::OwnerFields;
use crate::fields::{ChoiceField, LengthField, Quantity, QuantityField, TextField, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::families::FAMILIES;
use strungwell_workshop::records::Instrument;

/// The title block of the open instrument.
#[component]
pub(super) fn TitleBlock() -> Node {
    let store = Store::here();
    let families = Signal::stored(
        FAMILIES
            .iter()
            .map(|f| (f.key.to_owned(), f.label.to_owned()))
            .collect::<Vec<_>>(),
    );
    let on_family =
        Callback::new(move |key: String| store.edit(|instrument| instrument.family = key));
    let on_a4 = Callback::new(move |hz: Option<f64>| {
        store.edit(|instrument| instrument.a4_hz = hz.unwrap_or(instrument.a4_hz));
    });
    view! {
        <div class="title-block">
            {text("name", "Name", |i| &i.name, |i, text| i.name = text)}
            <ChoiceField name="family" label=words("Family") value=store.pick_text(|i| &i.family) options=families on_change=on_family />
            {text("maker", "Maker", |i| &i.maker, |i, text| i.maker = text)}
            {text("serial", "Serial number", |i| &i.serial, |i, text| i.serial = text)}
            <OwnerFields />
            <QuantityField name="a4_hz" label=words("A4 at") quantity=Quantity::Hertz required=true of=("instrument", "a4_hz")
                value=store.pick(|i| Some(i.a4_hz)) on_change=on_a4 />
            {length("fret_height_mm", "Fret height", |i| i.fret_height_mm, |i, mm| i.fret_height_mm = mm)}
            {length("camber_radius_mm", "Camber radius", |i| i.camber_radius_mm, |i, mm| i.camber_radius_mm = mm)}
            <Note />
        </div>
    }
}

fn text(
    name: &'static str,
    label: &'static str,
    get: fn(&Instrument) -> &str,
    set: fn(&mut Instrument, String),
) -> Node {
    let store = Store::here();
    let on_change =
        Callback::new(move |text: String| store.edit(|instrument| set(instrument, text)));
    view! { <TextField name label=words(label) value=store.pick_text(get) on_change /> }
}

fn length(
    name: &'static str,
    label: &'static str,
    get: fn(&Instrument) -> Option<f64>,
    set: fn(&mut Instrument, Option<f64>),
) -> Node {
    let store = Store::here();
    let on_change =
        Callback::new(move |mm: Option<f64>| store.edit(|instrument| set(instrument, mm)));
    view! { <LengthField name label=words(label) of=("instrument", name) value=store.pick(get) on_change /> }
}

#[component]
fn Note() -> Node {
    let store = Store::here();
    let on_change =
        Callback::new(move |text: String| store.edit(|instrument| instrument.note = text));
    view! { <TextField name="note" label=words("Note") prose=true value=store.pick_text(|i| &i.note) on_change /> }
}
