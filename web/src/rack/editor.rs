//! One string of the rack, to be changed.

use super::measure::measure;
use crate::fields::{CountField, MakeEditor, Quantity, QuantityField, Scope, TextField, words};
use crate::markup::prelude::*;
use crate::store::Store;
use std::mem::discriminant;
use strungwell_workshop::records::{Make, Plain, RackString};

/// The rack string under the hand.
#[derive(Clone, Copy)]
pub(super) struct Held {
    store: Store,
    id: StoredValue<String>,
}

impl Held {
    pub(super) fn pick<T: PartialEq + Send + Sync + 'static>(
        self,
        of: fn(&RackString) -> Option<T>,
    ) -> Signal<Option<T>> {
        Memo::new(move |_| {
            self.store.rack().with(|all| {
                self.id
                    .with_value(|id| all.iter().find(|s| s.id == *id).and_then(of))
            })
        })
        .into()
    }

    fn text(
        self,
        name: &'static str,
        label: &'static str,
        prose: bool,
        get: fn(&RackString) -> Option<String>,
        set: fn(&mut RackString, String),
    ) -> Node {
        let value = self.pick(get);
        let on_change = Callback::new(move |text: String| self.edit(|string| set(string, text)));
        view! {
            <TextField name label=words(label) prose on_change value=Signal::derive(move || value.get().unwrap_or_default()) />
        }
    }

    fn number(
        self,
        name: &'static str,
        label: &'static str,
        quantity: Quantity,
        hint: &'static str,
        get: fn(&RackString) -> Option<f64>,
        set: fn(&mut RackString, Option<f64>),
    ) -> Node {
        let on_change =
            Callback::new(move |value: Option<f64>| self.edit(|string| set(string, value)));
        view! {
            <QuantityField name label=words(label) quantity of=("rack string", name) value=self.pick(get) on_change hint=words(hint) />
        }
    }

    pub(super) fn edit(self, change: impl FnOnce(&mut RackString)) {
        self.id.with_value(|id| self.store.edit_rack(id, change));
    }

    pub(super) fn edit_with_undo(self, said: &str, change: impl FnOnce(&mut RackString)) {
        self.id
            .with_value(|id| self.store.edit_rack_with_undo(id, said, change));
    }
}

/// Every field of a rack string, and what can be done with it.
#[component]
pub(super) fn RackEditor(id: String, open: RwSignal<Option<String>>) -> Node {
    let store = Store::here();
    provide_context(Scope(id.clone()));
    let held = Held {
        store,
        id: StoredValue::new(id),
    };
    let make = held.pick(|string| Some(string.make.clone()));
    let make = Signal::derive(move || make.get().unwrap_or_else(|| Make::Plain(Plain::default())));
    let on_make = Callback::new(move |new: Make| {
        let said = make.with_untracked(|old| what_went(old, &new));
        match said {
            Some(said) => held.edit_with_undo(said, |string| string.make = new),
            None => held.edit(|string| string.make = new),
        }
    });
    let on_hand =
        Callback::new(move |count: Option<u32>| held.edit(|string| string.on_hand = count));
    view! {
        <div class="rack-editor">
            {held.text("name", "Name", false, |s| Some(s.name.clone()), |s, text| s.name = text)}
            <MakeEditor make on_change=on_make />
            <fieldset class="fields">
                <legend>"Measured on it"</legend>
                {held.number("kappa", "Stretch κ", Quantity::Number, "empty when not measured", |s| s.kappa, |s, v| s.kappa = v)}
                {held.number("kappa_give", "Give or take", Quantity::Number, "", |s| s.kappa_give, |s, v| s.kappa_give = v)}
                {held.number("bend_modulus_gpa", "Bending modulus", Quantity::Modulus, "on the outer diameter", |s| s.bend_modulus_gpa, |s, v| s.bend_modulus_gpa = v)}
            </fieldset>
            {measure(held)}
            <fieldset class="fields">
                <legend>"In the shop"</legend>
                <CountField name="on_hand" label=words("On hand") of=("rack string", "on_hand") value=held.pick(|s| s.on_hand) on_change=on_hand />
                {held.number("price", "Price of one", Quantity::Price, "in your own currency", |s| s.price, |s, v| s.price = v)}
                {held.text("note", "Note", true, |s| Some(s.note.clone()), |s, text| s.note = text)}
            </fieldset>
            <Deeds held open />
        </div>
    }
}

/// What of a make is gone in the new one beyond a figure typed over; none where nothing is.
fn what_went(old: &Make, new: &Make) -> Option<&'static str> {
    match (old, new) {
        (Make::Wound(old), Make::Wound(new)) => {
            (new.wraps.len() < old.wraps.len()).then_some("Removed a wrap.")
        }
        _ => (discriminant(old) != discriminant(new))
            .then_some("The string is known another way now."),
    }
}

/// Copying and removing. A string that an instrument carries, or carried before, stays.
#[component]
fn Deeds(held: Held, open: RwSignal<Option<String>>) -> Node {
    let store = held.store;
    let held_by = Memo::new(move |_| held.id.with_value(|id| store.held_by(id)));
    let copy = move |_| {
        if let Some(copy) = held.id.with_value(|id| store.copy_rack(id)) {
            open.set(Some(copy));
        }
    };
    let remove = move |_| held.id.with_value(|id| store.remove_rack(id));
    view! {
        <p class="buttons">
            <button type="button" class="quiet" on:click=copy>"Copy"</button>
            {move || match held_by.get() {
                None => view! { <button type="button" class="quiet" on:click=remove>"Remove"</button> },
                Some(why) => view! { <span class="hint">{why}</span> },
            }}
            <button type="button" class="quiet" on:click=move |_| open.set(None)>"Close"</button>
        </p>
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::records::Wound;

    #[test]
    fn a_wrap_or_a_way_of_knowing_that_goes_is_said() {
        let wound = |wraps| {
            Make::Wound(Wound {
                wraps: vec![Default::default(); wraps],
                ..Wound::default()
            })
        };
        let plain = Make::Plain(Plain::default());
        assert_eq!(what_went(&wound(2), &wound(1)), Some("Removed a wrap."));
        assert_eq!(what_went(&wound(1), &wound(2)), None);
        assert_eq!(what_went(&plain, &plain), None);
        assert!(what_went(&wound(1), &plain).is_some());
    }
}
