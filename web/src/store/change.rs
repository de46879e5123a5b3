//! Changing, adding, copying and removing records.

use super::journal::{self, Writes};
use super::keep::{Keep, Refusal};
use super::record::Line;
use super::{Record, Removed, Space, Store, deeds, drafts, ids, removal, shelf};
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
        let open = self.open_id.get_untracked();
        let mut undo = None;
        let mut writes = Writes::new();
        for (at, mut instrument) in after.instruments.into_iter().enumerate() {
            let Some(old) = before
                .instruments
                .iter()
                .find(|old| old.id == instrument.id)
            else {
                continue;
            };
            if *old == instrument {
                continue;
            }
            if open.as_ref() == Some(&old.id) {
                undo = Some(self.slip(at, old, said));
            }
            writes.push(self.accepted(Some(old), &mut instrument)?);
        }
        let ids = after
            .rack
            .iter()
            .map(|string| string.id.clone())
            .collect::<Vec<_>>();
        for mut string in after.rack {
            let old = before.rack.iter().find(|old| old.id == string.id);
            if old != Some(&string) {
                writes.push(self.accepted(old, &mut string)?);
            }
        }
        if ids.len() != before.rack.len() {
            let order = shelf::order_text(ids.iter().map(String::as_str));
            writes.push((
                RackString::order_key(self.space.get_untracked()),
                Some(order),
            ));
        }
        self.write_all(&writes)?;
        if undo.is_some() {
            self.set_removed(undo);
        }
        Ok(done)
    }

    /// Changes the open instrument and keeps it. A change after which it could not be read again is refused, and the page
    /// says why.
    pub(crate) fn edit(self, change: impl FnOnce(&mut Instrument)) {
        if let Some(id) = self.open_id.get_untracked() {
            self.change::<Instrument>(self.instruments, &id, change);
        }
    }

    /// Changes the open instrument as [`Store::edit`] does, and offers to bring it back as it was; `said` tells what was done.
    pub(crate) fn edit_with_undo(self, said: &str, change: impl FnOnce(&mut Instrument)) {
        if let Some(id) = self.open_id.get_untracked() {
            self.change_with_undo::<Instrument>(self.instruments, &id, said, change);
        }
    }

    /// Changes a rack string as [`Store::edit_rack`] does, and offers to bring it back as it was.
    pub(crate) fn edit_rack_with_undo(
        self,
        id: &str,
        said: &str,
        change: impl FnOnce(&mut RackString),
    ) {
        self.change_with_undo::<RackString>(self.rack, id, said, change);
    }

    fn change_with_undo<R: Record>(
        self,
        lines: RwSignal<Vec<R::Line>>,
        id: &str,
        said: &str,
        change: impl FnOnce(&mut R),
    ) {
        let Some((at, before)) = found::<R>(lines, id) else {
            return;
        };
        self.change::<R>(lines, id, change);
        let after = found::<R>(lines, id);
        if after.is_some_and(|(_, after)| after != before)
            && let Ok(before) = before.record()
        {
            self.set_removed(Some(self.slip(at, &before, said)));
        }
    }

    /// The offer to bring a record back as it was.
    fn slip<R: Record>(self, at: usize, before: &R, said: &str) -> Removed {
        Removed {
            kind: R::KIND.into(),
            key: R::key(self.space.get_untracked(), before.id()),
            id: before.id().to_owned(),
            said: said.to_owned(),
            at,
            text: before.write(),
        }
    }

    /// A changed record, stamped and checked, as it is to be written.
    pub(super) fn accepted<R: Record>(
        self,
        before: Option<&R>,
        after: &mut R,
    ) -> Result<(String, Option<String>), String> {
        after.stamp(before, &Self::stamp_now());
        after.check().map_err(|problem| problem.to_string())?;
        let key = R::key(self.space.get_untracked(), after.id());
        Ok((key, Some(after.sealed())))
    }

    /// Writes many records at once, or none, and shows them.
    pub(super) fn write_all(self, writes: &Writes) -> Result<(), String> {
        let space = self.space.get_untracked();
        let now_ms = Self::clock().seconds * 1e3;
        let done = self.keep.with_value(|keep| {
            if writes.iter().any(|(key, _)| keep.is_stale(key)) {
                return Err(
                    "Another window changed one of these records in the meantime. Look again.",
                );
            }
            match journal::write(keep, space, now_ms, writes) {
                // Without any storage the page's memory is all there is.
                Err(Refusal::Missing) => {
                    for (key, text) in writes {
                        match text {
                            Some(text) => keep.write(key, text),
                            None => keep.forget(key),
                        }
                    }
                    Ok(())
                }
                done => done.map_err(Refusal::words),
            }
        });
        self.reload();
        done.map_err(|why| format!("Nothing was changed. {why}"))
    }

    /// The clock's word as records carry it.
    pub(super) fn stamp_now() -> String {
        Self::clock().stamp().unwrap_or_default()
    }

    /// Changes a rack string and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_rack(self, id: &str, change: impl FnOnce(&mut RackString)) {
        self.change::<RackString>(self.rack, id, change);
    }

    /// Changes an owner and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_owner(self, id: &str, change: impl FnOnce(&mut Owner)) {
        self.change::<Owner>(self.owners, id, change);
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
        if let Some(id) =
            self.copy_of::<Instrument>(self.instruments, id, |copy| copy.name = copied(&copy.name))
        {
            self.open(&id);
        }
    }

    /// Copies a rack string and places the copy behind it; the copy's id is given.
    pub(crate) fn copy_rack(self, id: &str) -> Option<String> {
        self.copy_of::<RackString>(self.rack, id, |copy| {
            copy.name = copied(&copy.name);
            copy.on_hand = None;
        })
    }

    /// Removes an instrument; [`Store::undo`] brings it back.
    pub(crate) fn remove(self, id: &str) {
        if self.open_id.get_untracked().as_deref() == Some(id) {
            self.go(super::Place::Home);
        }
        self.take_out::<Instrument>(self.instruments, id);
    }

    /// Removes a rack string, unless it is fitted to an instrument; [`Store::undo`] brings it back.
    pub(crate) fn remove_rack(self, id: &str) {
        let fitted = untrack(|| self.fitted_to(id));
        if fitted.is_empty() {
            self.take_out::<RackString>(self.rack, id);
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
                .filter(|card| card.strings.iter().any(|id| id == rack_id))
                .map(|card| super::called(&card.name, "an instrument without a name"))
                .collect()
        })
    }

    /// How many instruments an owner has.
    pub(crate) fn owned_by(self, owner_id: &str) -> usize {
        self.instruments.with(|all| {
            all.iter()
                .filter(|card| card.owner.as_deref() == Some(owner_id))
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
                    .with_untracked(|all| shelf::write_order::<Owner>(keep, space, all));
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
        // What is shown of it is not all of it.
        let text = self
            .keep
            .with_value(|keep| keep.read(key))
            .unwrap_or_default();
        self.set_removed(Some(Removed {
            kind: "aside".into(),
            key: aside.key,
            id: String::new(),
            said: "Removed the text that was set aside.".into(),
            at,
            text,
        }));
        self.keep(|keep, _| keep.forget(key));
        self.asides
            .update(|all| all.retain(|aside| aside.key != key));
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

    /// Brings back what was removed last, exactly, at its place.
    pub(crate) fn undo(self) {
        let Some(removed) = self.removed.get_untracked() else {
            return;
        };
        let back = match removed.kind.as_str() {
            Instrument::KIND => self.put_back::<Instrument>(self.instruments, &removed),
            RackString::KIND => self.put_back::<RackString>(self.rack, &removed),
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
        self.forget_former(removed.as_ref());
        self.keep(|keep, space| removal::save(keep, space, removed.as_ref()));
        self.removed.set(removed);
    }

    /// Drops what was half typed of the record that can no longer be brought back.
    fn forget_former(self, next: Option<&Removed>) {
        let before = self.removed.get_untracked();
        if let Some(before) = before.filter(|b| next.is_none_or(|next| next.id != b.id)) {
            self.keep(|keep, space| drafts::drop_all(keep, space, &before.id));
        }
    }

    fn change<R: Record>(
        self,
        list: RwSignal<Vec<R::Line>>,
        id: &str,
        change: impl FnOnce(&mut R),
    ) {
        let Some((_, line)) = found::<R>(list, id) else {
            return;
        };
        let before = match line.record() {
            Ok(before) => before,
            Err(why) => return self.refused.set(Some(format!("Not changed: {why}."))),
        };
        let mut after = before.clone();
        change(&mut after);
        after.set_id(before.id().to_owned());
        if after == before {
            return;
        }
        let (key, text) = match self.accepted(Some(&before), &mut after) {
            Ok((key, text)) => (key, text.unwrap_or_default()),
            Err(problem) => return self.refused.set(Some(format!("Not changed: {problem}."))),
        };
        self.refused.set(None);
        // What could be brought back is older than this change.
        if self
            .removed
            .with_untracked(|removed| removed.as_ref().is_some_and(|r| r.id == id))
        {
            self.removed.set(None);
            self.keep(|keep, space| removal::save(keep, space, None));
        }
        if self.keep(|keep, _| keep.write(&key, &text)) {
            list.update(|all| {
                if let Some(line) = all.iter_mut().find(|line| line.id() == id) {
                    *line = R::Line::of(after, &text);
                }
            });
        }
    }

    fn insert<R: Record>(
        self,
        list: RwSignal<Vec<R::Line>>,
        at: usize,
        mut record: R,
    ) -> Option<String> {
        let id = ids::new_id();
        record.set_id(id.clone());
        if let Err(problem) = self.accepted(None, &mut record) {
            self.refused.set(Some(format!("Not added: {problem}.")));
            return None;
        }
        self.refused.set(None);
        self.place(list, at, record);
        Some(id)
    }

    fn place<R: Record>(self, list: RwSignal<Vec<R::Line>>, at: usize, record: R) {
        let text = record.sealed();
        let key = R::key(self.space.get_untracked(), record.id());
        let mut lines = list.get_untracked();
        lines.insert(at.min(lines.len()), R::Line::of(record, &text));
        if self.keep(|keep, space| deeds::place::<R>(keep, space, (&key, &text), &lines)) {
            list.set(lines);
        }
    }

    fn copy_of<R: Record>(
        self,
        list: RwSignal<Vec<R::Line>>,
        id: &str,
        change: impl FnOnce(&mut R),
    ) -> Option<String> {
        let (at, line) = found::<R>(list, id)?;
        let mut copy = line.record().ok()?;
        change(&mut copy);
        self.insert(list, at + 1, copy)
    }

    fn take_out<R: Record>(self, list: RwSignal<Vec<R::Line>>, id: &str) {
        let Some((at, line)) = found::<R>(list, id) else {
            return;
        };
        let record = match line.record() {
            Ok(record) => record,
            Err(why) => return self.refused.set(Some(format!("Not removed: {why}."))),
        };
        self.refused.set(None);
        let name = super::called(line.name(), "a record without a name");
        let slip = self.slip(at, &record, &format!("Removed {name}."));
        self.forget_former(Some(&slip));
        let mut lines = list.get_untracked();
        lines.remove(at);
        if self.keep(|keep, space| deeds::take_out::<R>(keep, space, &slip, &lines)) {
            self.removed.set(Some(slip));
            list.set(lines);
        }
    }

    fn put_back<R: Record>(self, list: RwSignal<Vec<R::Line>>, removed: &Removed) -> bool {
        match R::read(&removed.text) {
            Ok(mut record) => {
                // What was only changed was changed again just now.
                if let Some(now) = found::<R>(list, record.id()).and_then(|(_, l)| l.record().ok())
                {
                    record.stamp(Some(&now), &Self::stamp_now());
                }
                list.update(|all| all.retain(|line| line.id() != record.id()));
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

    /// Does something with the storage and tells whether all is kept. False where another window had changed a record that was to
    /// be written: then this window's text of it is set aside, and the record shown as it stands there.
    pub(super) fn keep(self, work: impl FnOnce(&Keep, Space)) -> bool {
        let space = self.space.get_untracked();
        let clashes = self.keep.with_value(|keep| {
            work(keep, space);
            let clashes = keep.clashes();
            for clash in &clashes {
                if let Some(mine) = &clash.mine {
                    keep.write(&shelf::mine_key(space, &clash.key, mine), mine);
                }
            }
            clashes
        });
        self.tell_kept();
        if clashes.is_empty() {
            return true;
        }
        self.reload();
        let typed = clashes.iter().any(|clash| clash.mine.is_some());
        self.refused.set(Some(
            if typed {
                "Another window changed this record in the meantime. It is shown as it stands there; what was typed here is set aside \
                 whole, and can be put beside it."
            } else {
                "Another window changed this record in the meantime, so it was not removed."
            }
            .into(),
        ));
        false
    }
}

/// A record's line and its place among its kind.
fn found<R: Record>(list: RwSignal<Vec<R::Line>>, id: &str) -> Option<(usize, R::Line)> {
    list.with_untracked(|all| {
        let at = all.iter().position(|line| line.id() == id)?;
        Some((at, all[at].clone()))
    })
}

/// The name of a copy, within the length that a name may have.
fn copied(name: &str) -> String {
    let kept: String = name.chars().take(180).collect();
    format!("{kept} (copy)")
}
