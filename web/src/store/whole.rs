//! Many records at once: all of them or none.

use super::change::found;
use super::journal::{self, Writes};
use super::keep::Refusal;
use super::{Record, Removed, Store, shelf};
use crate::markup::prelude::*;
use strungwell_workshop::records::{Instrument, RackString, Workshop};

impl Store {
    /// Works on the whole shop at once: what `work` changed of instruments and rack is written, all of it or, when one record
    /// would not be accepted, nothing. What was changed can be brought back as it was; a string that is new on the rack goes again.
    pub(crate) fn change_shop<T>(
        self,
        said: &str,
        work: impl FnOnce(&mut Workshop) -> Result<T, String>,
    ) -> Result<T, String> {
        self.change_in(self.shop(None, String::new()), said, work)
    }

    /// The same for the open instrument and the rack: the others need not be read for it.
    pub(crate) fn change_open<T>(
        self,
        said: &str,
        work: impl FnOnce(&mut Workshop) -> Result<T, String>,
    ) -> Result<T, String> {
        let open = self.open_id.get_untracked().unwrap_or_default();
        let mut shop = self.shop(Some(&open), String::new());
        shop.rack = self.rack.get_untracked();
        self.change_in(shop, said, work)
    }

    fn change_in<T>(
        self,
        before: Workshop,
        said: &str,
        work: impl FnOnce(&mut Workshop) -> Result<T, String>,
    ) -> Result<T, String> {
        let mut after = before.clone();
        let done = work(&mut after)?;
        self.write_changed(&before, after, said)?;
        Ok(done)
    }

    /// Writes what is another in a shop than before, all of it or nothing, and offers to bring it back.
    fn write_changed(self, before: &Workshop, after: Workshop, said: &str) -> Result<(), String> {
        let mut slips = Vec::new();
        let mut writes = Writes::new();
        for mut instrument in after.instruments {
            let is_it = |old: &&Instrument| old.id == instrument.id;
            let Some(old) = before.instruments.iter().find(is_it) else {
                continue;
            };
            if *old == instrument {
                continue;
            }
            let at = found::<Instrument>(self.instruments, &old.id);
            slips.push(self.slip(at.map_or(0, |(at, _)| at), old, said));
            writes.push(self.accepted(Some(old), &mut instrument)?);
        }
        let ids = after
            .rack
            .iter()
            .map(|string| string.id.clone())
            .collect::<Vec<_>>();
        let mut fresh = ids.clone();
        fresh.retain(|id| before.rack.iter().all(|old| old.id != *id));
        for mut string in after.rack {
            let at = before.rack.iter().position(|old| old.id == string.id);
            let old = at.and_then(|at| before.rack.get(at));
            if old != Some(&string) {
                slips.extend(old.map(|old| self.slip(at.unwrap_or_default(), old, said)));
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
        // The open instrument's comes first, where it is among them: the page stays there.
        let open = self.open_id.get_untracked();
        slips.sort_by_key(|slip| Some(&slip.id) != open.as_ref());
        let mut slips = slips.into_iter();
        // Where strings are new and nothing else is another, there is no record to bring back.
        let first = slips.next().or_else(|| {
            let said = said.to_owned();
            (!fresh.is_empty()).then(|| Removed {
                said,
                ..Removed::default()
            })
        });
        if let Some(mut slip) = first {
            slip.also = slips.map(|slip| (slip.kind, slip.text)).collect();
            slip.fresh = fresh;
            self.set_removed(Some(slip));
        }
        Ok(())
    }

    /// A changed record, stamped and checked, as it is to be written.
    pub(super) fn accepted<R: Record>(
        self,
        before: Option<&R>,
        after: &mut R,
    ) -> Result<(String, Option<String>), String> {
        after.stamp(before, &Self::stamp_now());
        let (text, _) = after
            .sealed_and_read()
            .map_err(|problem| problem.to_string())?;
        Ok((R::key(self.space.get_untracked(), after.id()), Some(text)))
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
}
