//! Changing, adding, copying and removing records.

use super::keep::Keep;
use super::record::Line;
use super::{Record, Space, Store, deeds, ids, removal, shelf};
use crate::markup::prelude::*;
use strungwell_workshop::records::{Instrument, Owner, RackString};

/// What changes a record. Behind a pointer, so that what is done with it is written out once for each kind of record and not once
/// for each change; a trait of its own as [`crate::markup::Describe`] is.
pub(super) trait Make<R> {
    /// Makes the change.
    fn make(&mut self, record: &mut R);
}

/// What changes a record, behind a pointer.
pub(super) type Change<'a, R> = &'a mut dyn Make<R>;

/// A change that is made once, as one behind a pointer.
pub(super) fn once<R, F: FnOnce(&mut R)>(change: F) -> Once<F> {
    Once(Some(change))
}

/// A change, until it is made.
pub(super) struct Once<F>(Option<F>);

impl<R, F: FnOnce(&mut R)> Make<R> for Once<F> {
    fn make(&mut self, record: &mut R) {
        if let Some(change) = self.0.take() {
            change(record);
        }
    }
}

impl Store {
    /// Changes the open instrument and keeps it. A change after which it could not be read again is refused, and the page
    /// says why.
    pub(crate) fn edit(self, change: impl FnOnce(&mut Instrument)) {
        self.edit_open(None, &mut once(change));
    }

    /// Changes an instrument, open or not, and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_instrument(self, id: &str, change: impl FnOnce(&mut Instrument)) {
        self.change::<Instrument>(self.instruments, id, &mut once(change));
    }

    /// Changes a rack string and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_rack(self, id: &str, change: impl FnOnce(&mut RackString)) {
        self.change::<RackString>(self.rack, id, &mut once(change));
    }

    /// Changes an owner and keeps it; refused as in [`Store::edit`].
    pub(crate) fn edit_owner(self, id: &str, change: impl FnOnce(&mut Owner)) {
        self.change::<Owner>(self.owners, id, &mut once(change));
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
        let rename = &mut once(|copy: &mut Instrument| copy.name = copied(&copy.name));
        if let Some(id) = self.copy_of::<Instrument>(self.instruments, id, rename) {
            self.open(&id);
        }
    }

    /// Copies a rack string and places the copy behind it; the copy's id is given.
    pub(crate) fn copy_rack(self, id: &str) -> Option<String> {
        let rename = &mut once(|copy: &mut RackString| {
            copy.name = copied(&copy.name);
            copy.on_hand = None;
        });
        self.copy_of::<RackString>(self.rack, id, rename)
    }

    /// Removes an instrument; [`Store::undo`] brings it back.
    pub(crate) fn remove(self, id: &str) {
        if self.open_id.get_untracked().as_deref() == Some(id) {
            self.go(super::Place::Home);
        }
        self.take_out::<Instrument>(self.instruments, id);
    }

    /// Removes a rack string, unless an instrument's record needs it; [`Store::undo`] brings it back.
    pub(crate) fn remove_rack(self, id: &str) {
        match untrack(|| self.held_by(id)) {
            None => self.take_out::<RackString>(self.rack, id),
            Some(held) => self.refused.set(Some(held)),
        }
    }

    /// Which instruments carry a rack string, or did before, and what would let it go, as sentences; none where it can go.
    pub(crate) fn held_by(self, rack_id: &str) -> Option<String> {
        let (mut now, mut before) = (Vec::new(), Vec::new());
        self.instruments.with(|all| {
            for card in all {
                let Some(is_on) = card.carries(rack_id) else {
                    continue;
                };
                let name = super::called(&card.name, "an instrument without a name");
                if is_on { &mut now } else { &mut before }.push(name);
            }
        });
        let (now, before) = (now.join(", "), before.join(", "));
        match (now.as_str(), before.as_str()) {
            ("", "") => None,
            (_, "") => Some(format!(
                "Fitted to {now}, so it stays on the rack. Choose another string there first."
            )),
            ("", _) => Some(format!(
                "Among the strings that {before} carried before, which are compared with the present ones under Loads, so it stays on the \
                 rack. Keep the present strings as those before there first."
            )),
            _ => Some(format!(
                "Fitted to {now}, and among the strings that {before} carried before, so it stays on the rack."
            )),
        }
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

    /// Changes a record and keeps it. What stood there before is given back where the change stands; none where it was refused,
    /// changes nothing, or another window was first.
    pub(super) fn change<R: Record>(
        self,
        list: RwSignal<Vec<R::Line>>,
        id: &str,
        change: Change<'_, R>,
    ) -> Option<R> {
        let (_, line) = found::<R>(list, id)?;
        let refuse = |why: String| self.refused.set(Some(format!("Not changed: {why}.")));
        let before = line.record().map_err(refuse).ok()?;
        let mut after = before.clone();
        change.make(&mut after);
        after.set_id(before.id().to_owned());
        if after == before {
            return None;
        }
        after.stamp(Some(&before), &Self::stamp_now());
        let accepted = after.sealed_and_read();
        let (text, after) = accepted.map_err(|why| refuse(why.to_string())).ok()?;
        let key = R::key(self.space.get_untracked(), id);
        self.refused.set(None);
        // What could be brought back is older than this change.
        if self
            .removed
            .with_untracked(|removed| removed.as_ref().is_some_and(|r| r.holds(id)))
        {
            self.removed.set(None);
            self.keep(|keep, space| removal::save(keep, space, None));
        }
        let stands = self.keep(|keep, _| keep.write(&key, &text));
        if stands {
            list.update(|all| {
                if let Some(line) = all.iter_mut().find(|line| line.id() == id) {
                    *line = R::Line::of_read(after, &text);
                }
            });
        }
        stands.then_some(before)
    }

    pub(super) fn insert<R: Record>(
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

    pub(super) fn place<R: Record>(self, list: RwSignal<Vec<R::Line>>, at: usize, record: R) {
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
        change: Change<'_, R>,
    ) -> Option<String> {
        let (at, line) = found::<R>(list, id)?;
        let mut copy = line.record().ok()?;
        change.make(&mut copy);
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
        let (former, before) = (self.removed.get_untracked(), list.get_untracked());
        let mut lines = before.clone();
        lines.remove(at);
        if self.keep(|keep, space| deeds::take_out::<R>(keep, space, &slip, &lines)) {
            self.forget_former(Some(&slip));
            self.removed.set(Some(slip));
            list.set(lines);
        } else {
            // Nothing went: what could be brought back and the order stand as before.
            self.keep(|keep, space| {
                removal::save(keep, space, former.as_ref());
                shelf::write_order::<R>(keep, space, &before);
            });
            self.reload();
        }
    }

    /// Does something with the storage and tells whether all is kept. False where another window had changed a record that was to
    /// be written: then this window's text of it is set aside, and the record shown as it stands there.
    pub(super) fn keep(self, work: impl FnOnce(&Keep, Space)) -> bool {
        let space = self.space.get_untracked();
        self.keep.with_value(|keep| work(keep, space));
        self.settle(space)
    }

    /// Sets aside what another window was first to change, and tells whether there was nothing of the kind.
    fn settle(self, space: Space) -> bool {
        let clashes = self.keep.with_value(|keep| {
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
pub(super) fn found<R: Record>(list: RwSignal<Vec<R::Line>>, id: &str) -> Option<(usize, R::Line)> {
    list.with_untracked(|all| {
        let at = all.iter().position(|line| line.id() == id)?;
        Some((at, all[at].clone()))
    })
}

/// The name of a copy, within the length that a name may have.
pub(super) fn copied(name: &str) -> String {
    let kept: String = name.chars().take(180).collect();
    format!("{kept} (copy)")
}
