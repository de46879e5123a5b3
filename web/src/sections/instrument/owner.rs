//! Whose the instrument is.

use crate::fields::{ChoiceField, TextField, words};
use crate::markup::prelude::*;
use crate::store::{Store, called};
use strungwell_workshop::records::Owner;

/// The choice's word for an owner who is not there yet. No id of ours looks like it.
const NEW: &str = "+";

/// Choosing the owner, and the owner's name.
#[component]
pub(super) fn OwnerFields() -> Node {
    let store = Store::here();
    let owner = store.pick(|i| i.owner.clone());
    let known = Memo::new(move |_| {
        let id = owner.get()?;
        store.owners().with(|all| {
            all.iter()
                .find(|owner| owner.id == id)
                .map(|owner| (id.clone(), owner.name.clone()))
        })
    });
    let options = Memo::new(move |_| {
        let mut options = vec![(String::new(), "–".to_owned())];
        options.extend(
            store
                .owners()
                .get()
                .into_iter()
                .map(|o| (o.id, called(&o.name, "no name yet"))),
        );
        options.push((NEW.to_owned(), "someone new…".to_owned()));
        options
    });
    let on_choice = Callback::new(move |word: String| {
        let before = owner.get_untracked();
        let chosen = match word.as_str() {
            "" => None,
            NEW => store.add_owner(Owner::default()),
            id => Some(id.to_owned()),
        };
        store.edit(|instrument| instrument.owner = chosen);
        if let Some(before) = before {
            store.drop_nameless_owner(&before);
        }
    });
    let name = Signal::derive(move || known.get().map(|(_, name)| name).unwrap_or_default());
    let on_name = Callback::new(move |name: String| {
        if let Some((id, _)) = known.get_untracked() {
            store.edit_owner(&id, |owner| owner.name = name);
        }
    });
    let shared = Signal::derive(move || {
        let count = known.get().map_or(0, |(id, _)| store.owned_by(&id));
        if count > 1 {
            format!("on all {count} instruments of this owner")
        } else {
            String::new()
        }
    });
    view! {
        <ChoiceField name="owner" label=words("Owner") options on_change=on_choice
            value=Signal::derive(move || owner.get().unwrap_or_default()) />
        <Show when=move || known.with(Option::is_some)>
            <TextField name="owner-name" label=words("Owner's name") value=name on_change=on_name hint=shared />
        </Show>
    }
}
