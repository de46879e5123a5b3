//! What was removed or changed last, and how it comes back.

use super::change::{Change, found, once};
use super::journal::Writes;
use super::record::Line;
use super::{Record, Removed, Store, drafts, removal, shelf};
use crate::markup::prelude::*;
use strungwell_workshop::records::{Instrument, RackString};

impl Store {
    /// Changes the open instrument as [`Store::edit`] does, and offers to bring it back as it was; `said` tells what was done.
    pub(crate) fn edit_with_undo(self, said: &str, change: impl FnOnce(&mut Instrument)) {
        self.edit_open(Some((said, false)), &mut once(change));
    }

    /// [`Store::edit_with_undo`] for one of several changes that go together. Where `goes_on`, and the offer of the one before still
    /// stands, that one goes on: what it brings back is the instrument as it was before the first.
    pub(crate) fn edit_with_one_undo(
        self,
        said: &str,
        goes_on: bool,
        change: impl FnOnce(&mut Instrument),
    ) {
        self.edit_open(Some((said, goes_on)), &mut once(change));
    }

    /// Changes a rack string as [`Store::edit_rack`] does, and offers to bring it back as it was.
    pub(crate) fn edit_rack_with_undo(
        self,
        id: &str,
        said: &str,
        change: impl FnOnce(&mut RackString),
    ) {
        self.change_with_undo::<RackString>(self.rack, id, (said, false), &mut once(change));
    }

    /// Changes the open instrument, and offers to bring it back where it is said what was done.
    pub(super) fn edit_open(self, said: Option<(&str, bool)>, change: Change<'_, Instrument>) {
        let Some(id) = self.open_id.get_untracked() else {
            return;
        };
        match said {
            Some(said) => {
                self.change_with_undo::<Instrument>(self.instruments, &id, said, change);
            }
            None => drop(self.change::<Instrument>(self.instruments, &id, change)),
        }
    }

    fn change_with_undo<R: Record>(
        self,
        lines: RwSignal<Vec<R::Line>>,
        id: &str,
        (said, goes_on): (&str, bool),
        change: Change<'_, R>,
    ) {
        let former = self.removed.get_untracked();
        if let Some(before) = self.change::<R>(lines, id, change) {
            let at = found::<R>(lines, id).map_or(0, |(at, _)| at);
            let former = former.filter(|f| goes_on && f.id == id && f.said == said);
            let slip = former.unwrap_or_else(|| self.slip(at, &before, said));
            self.set_removed(Some(slip));
        }
    }

    /// [`Store::edit_with_undo`] for a change that may not be possible; then the page says why, and nothing is changed.
    pub(crate) fn attempt(
        self,
        said: &str,
        change: impl FnOnce(&mut Instrument) -> Result<(), String>,
    ) {
        let mut refused = None;
        self.edit_with_undo(said, |instrument| refused = change(instrument).err());
        if let Some(why) = refused {
            self.refused.set(Some(format!("Not changed: {why}.")));
        }
    }

    /// The offer to bring a record back as it was.
    pub(super) fn slip<R: Record>(self, at: usize, before: &R, said: &str) -> Removed {
        Removed {
            kind: R::KIND.into(),
            key: R::key(self.space.get_untracked(), before.id()),
            id: before.id().to_owned(),
            said: said.to_owned(),
            at,
            text: before.write(),
            also: Vec::new(),
            fresh: Vec::new(),
        }
    }

    /// Brings back what was removed last, exactly, at its place, with what was changed along with it.
    pub(crate) fn undo(self) {
        let Some(removed) = self.removed.get_untracked() else {
            return;
        };
        let back = match removed.kind.as_str() {
            _ if !(removed.also.is_empty() && removed.fresh.is_empty()) => {
                self.put_all_back(&removed)
            }
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

    /// Puts a record and all that was changed with it back as they were, and takes what was newly made away; or nothing.
    fn put_all_back(self, removed: &Removed) -> bool {
        let also = removed.also.iter().map(|(kind, text)| (kind, text));
        let all = std::iter::once((&removed.kind, &removed.text)).chain(also);
        let writes = all.filter_map(|(kind, text)| match kind.as_str() {
            RackString::KIND => Some(self.as_it_was::<RackString>(self.rack, text)),
            Instrument::KIND => Some(self.as_it_was::<Instrument>(self.instruments, text)),
            // Only strings were made.
            "" => None,
            other => Some(Err(format!(
                "Nothing was changed. A record of the kind \"{other}\" is not known here."
            ))),
        });
        let writes: Result<Writes, String> = writes.collect();
        let done = writes.and_then(|mut writes| {
            let gone = self.without_fresh(removed, &mut writes);
            self.write_all(&writes)?;
            self.keep(|keep, space| {
                let gone = gone.iter();
                gone.for_each(|id| drafts::drop_all(keep, space, id));
            });
            Ok(())
        });
        self.refused.set(done.err());
        self.refused.with_untracked(Option::is_none)
    }

    /// Takes the newly made strings off the rack, but those that an instrument has got meanwhile; the ids of those that go.
    fn without_fresh(self, removed: &Removed, writes: &mut Writes) -> Vec<String> {
        let space = self.space.get_untracked();
        let mut gone = removed.fresh.clone();
        self.instruments.with_untracked(|all| {
            for card in all {
                let key = Instrument::key(space, &card.entry.id);
                if !writes.iter().any(|(other, _)| *other == key) {
                    gone.retain(|id| card.carries(id).is_none());
                }
            }
        });
        if !gone.is_empty() {
            writes.extend(gone.iter().map(|id| (RackString::key(space, id), None)));
            let order = self.rack.with_untracked(|rack| {
                let ids = rack.iter().map(|string| &string.id);
                shelf::order_text(ids.filter(|id| !gone.contains(id)).map(String::as_str))
            });
            writes.push((RackString::order_key(space), Some(order)));
        }
        gone
    }

    /// A record of an earlier text, as it is to be written over the present one.
    fn as_it_was<R: Record>(
        self,
        list: RwSignal<Vec<R::Line>>,
        text: &str,
    ) -> Result<(String, Option<String>), String> {
        let mut record = R::read(text).map_err(|problem| problem.to_string())?;
        let now = found::<R>(list, record.id()).and_then(|(_, line)| line.record().ok());
        self.accepted(now.as_ref(), &mut record)
    }

    /// Puts the offer to bring back what was removed away.
    pub(crate) fn dismiss(self) {
        self.set_removed(None);
    }

    pub(super) fn set_removed(self, removed: Option<Removed>) {
        self.forget_former(removed.as_ref());
        self.keep(|keep, space| removal::save(keep, space, removed.as_ref()));
        self.removed.set(removed);
    }

    /// Drops what was half typed of the record that can no longer be brought back.
    pub(super) fn forget_former(self, next: Option<&Removed>) {
        let before = self.removed.get_untracked();
        let before = before.filter(|b| next.is_none_or(|next| next.id != b.id));
        // One that was only changed still stands, with what is half typed in it.
        if let Some(before) = before.filter(|b| !self.stands(&b.id)) {
            self.keep(|keep, space| drafts::drop_all(keep, space, &before.id));
        }
    }

    fn stands(self, id: &str) -> bool {
        self.instruments
            .with_untracked(|all| all.iter().any(|card| card.entry.id == id))
            || self
                .rack
                .with_untracked(|all| all.iter().any(|string| string.id == id))
            || self
                .owners
                .with_untracked(|all| all.iter().any(|owner| owner.id == id))
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
}
