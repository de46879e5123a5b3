//! Changing, adding, copying and removing records.

use super::{Record, Removed, Space, Store, drafts, ids, keep::Keep, removal, shelf};
use crate::markup::prelude::*;
use strungwell_workshop::records::{Instrument, Owner, RackString, Workshop};

impl Store {
    /// Works on the whole shop at once: what `work` changed of instruments and rack is written, all of it or, when one record
    /// would not be accepted, nothing. The open instrument as it was can be brought back.
    pub(crate) fn change_shop<T>(
        self,
        said: &str,
        work: impl FnOnce(&mut Workshop) -> Result<T, String>,
    ) -> Result<T, String> {
        let before = self.shop(None, String::new());
        let mut after = before.clone();
        let done = work(&mut after)?;
        for instrument in &after.instruments {
            instrument.check().map_err(|problem| problem.to_string())?;
        }
        for string in &after.rack {
            string.check().map_err(|problem| problem.to_string())?;
        }
        let open = self.open_id.get_untracked();
        for (at, string) in after.rack.into_iter().enumerate() {
            match before.rack.iter().find(|old| old.id == string.id) {
                Some(old) if *old == string => {}
                Some(_) => self.change(self.rack, &string.id.clone(), |old| *old = string),
                None => self.place(self.rack, at, string),
            }
        }
        for instrument in after.instruments {
            let old = before
                .instruments
                .iter()
                .find(|old| old.id == instrument.id);
            if old.is_none_or(|old| *old == instrument) {
                continue;
            }
            if open.as_ref() == Some(&instrument.id) {
                self.edit_with_undo(said, |old| *old = instrument);
            } else {
                self.change(self.instruments, &instrument.id.clone(), |old| {
                    *old = instrument
                });
            }
        }
        Ok(done)
    }

    /// Changes the open instrument and keeps it. A change after which it could not be read again is refused, and the page
    /// says why.
    pub(crate) fn edit(self, change: impl FnOnce(&mut Instrument)) {
        if let Some(id) = self.open_id.get_untracked() {
            self.change(self.instruments, &id, change);
        }
    }

    /// Changes the open instrument as [`Store::edit`] does, and offers to bring it back as it was; `said` tells what was done.
    pub(crate) fn edit_with_undo(self, said: &str, change: impl FnOnce(&mut Instrument)) {
        let Some((at, before)) = self
            .open_id
            .get_untracked()
            .and_then(|id| found(self.instruments, &id))
        else {
            return;
        };
        self.edit(change);
        let changed = found(self.instruments, &before.id).is_some_and(|(_, after)| after != before);
        if changed {
            self.set_removed(Some(Removed {
                kind: Instrument::KIND.into(),
                key: Instrument::key(self.space.get_untracked(), &before.id),
                id: before.id.clone(),
                said: said.to_owned(),
                at,
                text: before.write(),
            }));
        }
    }

    /// Changes a rack string and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_rack(self, id: &str, change: impl FnOnce(&mut RackString)) {
        self.change(self.rack, id, change);
    }

    /// Changes an owner and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_owner(self, id: &str, change: impl FnOnce(&mut Owner)) {
        self.change(self.owners, id, change);
    }

    /// Adds an instrument at the end of the bench, under a new id, and opens it.
    pub(crate) fn add(self, instrument: Instrument) {
        let end = self.instruments.with_untracked(Vec::len);
        if let Some(id) = self.insert(self.instruments, end, instrument) {
            self.open(&id);
        }
    }

    /// Adds a rack string at the front of the rack, under a new id, which is given.
    pub(crate) fn add_rack(self, string: RackString) -> Option<String> {
        self.insert(self.rack, 0, string)
    }

    /// Adds an owner under a new id, which is given.
    pub(crate) fn add_owner(self, owner: Owner) -> Option<String> {
        let end = self.owners.with_untracked(Vec::len);
        self.insert(self.owners, end, owner)
    }

    /// Copies an instrument, places the copy behind it and opens it.
    pub(crate) fn copy(self, id: &str) {
        if let Some(id) = self.copy_of(self.instruments, id, |copy| copy.name = copied(&copy.name))
        {
            self.open(&id);
        }
    }

    /// Copies a rack string and places the copy behind it; the copy's id is given.
    pub(crate) fn copy_rack(self, id: &str) -> Option<String> {
        self.copy_of(self.rack, id, |copy| {
            copy.name = copied(&copy.name);
            copy.on_hand = None;
        })
    }

    /// Removes an instrument; [`Store::undo`] brings it back.
    pub(crate) fn remove(self, id: &str) {
        if self.open_id.get_untracked().as_deref() == Some(id) {
            self.go(super::Place::Home);
        }
        self.take_out(self.instruments, id);
    }

    /// Removes a rack string, unless it is fitted to an instrument; [`Store::undo`] brings it back.
    pub(crate) fn remove_rack(self, id: &str) {
        let fitted = untrack(|| self.fitted_to(id));
        if fitted.is_empty() {
            self.take_out(self.rack, id);
        } else {
            self.refused.set(Some(format!(
                "This string is fitted to {}, so it stays on the rack. Choose another string there first.",
                fitted.join(", ")
            )));
        }
    }

    /// The names of the instruments that a rack string is fitted to.
    pub(crate) fn fitted_to(self, rack_id: &str) -> Vec<String> {
        self.instruments.with(|all| {
            all.iter()
                .filter(|instrument| {
                    instrument
                        .courses
                        .iter()
                        .flat_map(|course| &course.strings)
                        .any(|string| string.rack.as_deref() == Some(rack_id))
                })
                .map(|instrument| super::called(&instrument.name, "an instrument without a name"))
                .collect()
        })
    }

    /// How many instruments an owner has.
    pub(crate) fn owned_by(self, owner_id: &str) -> usize {
        self.instruments.with(|all| {
            all.iter()
                .filter(|i| i.owner.as_deref() == Some(owner_id))
                .count()
        })
    }

    /// Removes an owner who has neither a name nor an instrument.
    pub(crate) fn drop_nameless_owner(self, id: &str) {
        let nameless = self.owners.with_untracked(|all| {
            all.iter().any(|o| {
                o.id == id && o.name.trim().is_empty() && o.contact.is_empty() && o.note.is_empty()
            })
        });
        if nameless && untrack(|| self.owned_by(id)) == 0 {
            self.owners.update(|all| all.retain(|owner| owner.id != id));
            self.keep(|keep, space| {
                keep.forget(&Owner::key(space, id));
                self.owners
                    .with_untracked(|all| shelf::write_order(keep, space, all));
            });
        }
    }

    /// Removes a text that was set aside; [`Store::undo`] brings it back.
    pub(crate) fn remove_aside(self, key: &str) {
        let found = self.asides.with_untracked(|all| {
            let at = all.iter().position(|aside| aside.key == key)?;
            Some((at, all[at].clone()))
        });
        let Some((at, aside)) = found else {
            return;
        };
        self.set_removed(Some(Removed {
            kind: "aside".into(),
            key: aside.key,
            id: String::new(),
            said: "Removed the text that could not be read.".into(),
            at,
            text: aside.text,
        }));
        self.keep(|keep, _| keep.forget(key));
        self.asides
            .update(|all| all.retain(|aside| aside.key != key));
    }

    /// Brings back what was removed last, exactly, at its place.
    pub(crate) fn undo(self) {
        let Some(removed) = self.removed.get_untracked() else {
            return;
        };
        let back = match removed.kind.as_str() {
            Instrument::KIND => self.put_back(self.instruments, &removed),
            RackString::KIND => self.put_back(self.rack, &removed),
            _ => {
                self.keep(|keep, _| keep.write(&removed.key, &removed.text));
                self.reload();
                true
            }
        };
        if !back {
            return;
        }
        self.removed.set(None);
        self.keep(|keep, space| removal::save(keep, space, None));
        if removed.kind == Instrument::KIND {
            self.open(&removed.id);
        }
    }

    /// Puts the offer to bring back what was removed away.
    pub(crate) fn dismiss(self) {
        self.set_removed(None);
    }

    fn set_removed(self, removed: Option<Removed>) {
        let before = self.removed.get_untracked();
        self.keep(|keep, space| {
            if let Some(before) = before.filter(|b| removed.as_ref().is_none_or(|r| r.id != b.id)) {
                drafts::drop_all(keep, space, &before.id);
            }
            removal::save(keep, space, removed.as_ref());
        });
        self.removed.set(removed);
    }

    fn change<R: Record>(self, list: RwSignal<Vec<R>>, id: &str, change: impl FnOnce(&mut R)) {
        let Some((_, before)) = found(list, id) else {
            return;
        };
        let mut after = before.clone();
        change(&mut after);
        after.set_id(before.id().to_owned());
        if after == before {
            return;
        }
        if let Err(problem) = after.check() {
            self.refused.set(Some(format!("Not changed: {problem}.")));
            return;
        }
        self.refused.set(None);
        // What could be brought back is older than this change.
        if self
            .removed
            .with_untracked(|removed| removed.as_ref().is_some_and(|r| r.id == id))
        {
            self.removed.set(None);
            self.keep(|keep, space| removal::save(keep, space, None));
        }
        self.keep(|keep, space| keep.write(&R::key(space, id), &after.write()));
        list.update(|all| {
            if let Some(record) = all.iter_mut().find(|r| r.id() == id) {
                *record = after;
            }
        });
    }

    fn insert<R: Record>(self, list: RwSignal<Vec<R>>, at: usize, mut record: R) -> Option<String> {
        let id = ids::new_id();
        record.set_id(id.clone());
        if let Err(problem) = record.check() {
            self.refused.set(Some(format!("Not added: {problem}.")));
            return None;
        }
        self.refused.set(None);
        self.place(list, at, record);
        Some(id)
    }

    fn place<R: Record>(self, list: RwSignal<Vec<R>>, at: usize, record: R) {
        self.keep(|keep, space| keep.write(&R::key(space, record.id()), &record.write()));
        list.update(|all| all.insert(at.min(all.len()), record));
        self.keep(|keep, space| list.with_untracked(|all| shelf::write_order(keep, space, all)));
    }

    fn copy_of<R: Record>(
        self,
        list: RwSignal<Vec<R>>,
        id: &str,
        change: impl FnOnce(&mut R),
    ) -> Option<String> {
        let (at, mut copy) = found(list, id)?;
        change(&mut copy);
        self.insert(list, at + 1, copy)
    }

    fn take_out<R: Record>(self, list: RwSignal<Vec<R>>, id: &str) {
        let Some((at, record)) = found(list, id) else {
            return;
        };
        self.refused.set(None);
        self.set_removed(Some(Removed {
            kind: R::KIND.into(),
            key: R::key(self.space.get_untracked(), id),
            id: id.to_owned(),
            said: format!(
                "Removed {}.",
                super::called(record.name(), "a record without a name")
            ),
            at,
            text: record.write(),
        }));
        list.update(|all| drop(all.remove(at)));
        self.keep(|keep, space| {
            keep.forget(&R::key(space, id));
            list.with_untracked(|all| shelf::write_order(keep, space, all));
        });
    }

    fn put_back<R: Record>(self, list: RwSignal<Vec<R>>, removed: &Removed) -> bool {
        match R::read(&removed.text) {
            Ok(record) => {
                list.update(|all| all.retain(|r| r.id() != record.id()));
                self.place(list, removed.at, record);
                true
            }
            Err(problem) => {
                self.refused
                    .set(Some(format!("It could not be brought back: {problem}.")));
                false
            }
        }
    }

    /// Does something with the storage and tells whether all is kept.
    fn keep(self, work: impl FnOnce(&Keep, Space)) {
        let space = self.space.get_untracked();
        self.keep.with_value(|keep| work(keep, space));
        self.tell_kept();
    }
}

/// A record and its place among its kind.
fn found<R: Record>(list: RwSignal<Vec<R>>, id: &str) -> Option<(usize, R)> {
    list.with_untracked(|all| {
        let at = all.iter().position(|r| r.id() == id)?;
        Some((at, all[at].clone()))
    })
}

/// The name of a copy, within the length that a name may have.
fn copied(name: &str) -> String {
    let kept: String = name.chars().take(180).collect();
    format!("{kept} (copy)")
}
