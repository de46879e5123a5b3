//! Fields whose figures are not yet part of a record: what is typed before a button is pressed.

use crate::fields::{CountField, Quantity, QuantityField, TextField, words};
use crate::markup::prelude::*;

/// A field that belongs to no record: what is typed into it is carried over when the window is opened anew.
fn unkept(field: Node) -> Node {
    view! { <div class="unkept">{field}</div> }
}

/// A number into a signal.
pub(crate) fn number(
    name: &'static str,
    label: &'static str,
    into: RwSignal<Option<f64>>,
    of: (&'static str, &'static str),
) -> Node {
    quantity(name, label, Quantity::Number, into, of)
}

/// A number without limits of its own into a signal: what works with it says what it takes.
pub(crate) fn free(name: &'static str, label: &'static str, into: RwSignal<Option<f64>>) -> Node {
    let on_change = Callback::new(move |value| into.set(value));
    unkept(
        view! { <QuantityField name label=words(label) quantity=Quantity::Number value=into on_change /> },
    )
}

/// A length into a signal.
pub(crate) fn length(
    name: &'static str,
    label: &'static str,
    into: RwSignal<Option<f64>>,
    of: (&'static str, &'static str),
) -> Node {
    quantity(name, label, Quantity::Length, into, of)
}

/// A force into a signal.
pub(crate) fn force(
    name: &'static str,
    label: &'static str,
    into: RwSignal<Option<f64>>,
    of: (&'static str, &'static str),
) -> Node {
    quantity(name, label, Quantity::Force, into, of)
}

/// Words into a signal.
pub(crate) fn text(name: &'static str, label: &'static str, into: RwSignal<String>) -> Node {
    let on_change = Callback::new(move |value| into.set(value));
    unkept(view! { <TextField name label=words(label) value=into on_change /> })
}

fn quantity(
    name: &'static str,
    label: &'static str,
    quantity: Quantity,
    into: RwSignal<Option<f64>>,
    of: (&'static str, &'static str),
) -> Node {
    let on_change = Callback::new(move |value| into.set(value));
    unkept(view! { <QuantityField name label=words(label) quantity value=into on_change of=of /> })
}

/// A course's or a fret's number into a signal.
pub(crate) fn count(
    name: &'static str,
    label: &'static str,
    into: RwSignal<u32>,
    of: (&'static str, &'static str),
) -> Node {
    let value = Signal::derive(move || Some(into.get()));
    let on_change = Callback::new(move |value: Option<u32>| into.set(value.unwrap_or(1)));
    unkept(view! { <CountField name label=words(label) value on_change of required=true /> })
}
