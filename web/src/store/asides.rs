//! Texts that were set aside, put away or put back as records.

use super::change::copied;
use super::record::Record;
use super::{Removed, Store};
use crate::markup::prelude::*;
use strungwell_workshop::records::{Instrument, Owner, RackString};

impl Store {
    /// Removes a text that was set aside; [`Store::undo`] brings it back.
    pub(crate) fn remove_aside(self, key: &str) {
        let found = self.asides.with_untracked(|all| {
            let at = all.iter().position(|aside| aside.key == key)?;
            Some((at, all[at].clone()))
        });
        let Some((at, aside)) = found else {
            return;
        };
        let text = self.aside_text(key);
        self.set_removed(Some(Removed {
            kind: "aside".into(),
            key: aside.key,
            id: String::new(),
            said: "Removed the text that was set aside.".into(),
            at,
            text,
            also: Vec::new(),
            fresh: Vec::new(),
        }));
        self.keep(|keep, _| keep.forget(key));
        self.asides
            .update(|all| all.retain(|aside| aside.key != key));
    }

    /// A text that was set aside as it is stored: what is shown of it is not all of it.
    pub(crate) fn aside_text(self, key: &str) -> String {
        let text = self.keep.with_value(|keep| keep.read(key));
        text.unwrap_or_default()
    }

    /// Puts a text that was set aside on the bench or the rack again, as a record of its own beside the other. Only one that is
    /// whole: see [`Aside::is_whole`](super::Aside::is_whole).
    pub(crate) fn adopt_aside(self, key: &str) {
        let text = self.asides.with_untracked(|all| {
            let aside = all.iter().find(|aside| aside.key == key)?;
            aside.is_whole().then(|| aside.text.clone())
        });
        let Some(text) = text else { return };
        let of_kind = |kind: &str| key.contains(&format!(".{kind}."));
        let done = if of_kind(Instrument::KIND) {
            Instrument::read(&text).ok().and_then(|mut copy| {
                copy.name = copied(&copy.name);
                self.insert(
                    self.instruments,
                    self.instruments.with_untracked(Vec::len),
                    copy,
                )
            })
        } else if of_kind(RackString::KIND) {
            RackString::read(&text).ok().and_then(|mut copy| {
                copy.name = copied(&copy.name);
                self.insert(self.rack, 0, copy)
            })
        } else {
            Owner::read(&text)
                .ok()
                .and_then(|copy| self.add_owner(copy))
        };
        if done.is_some() {
            self.remove_aside(key);
            self.dismiss();
        }
    }
}
