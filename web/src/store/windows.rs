//! Several windows of the page at once: what one of them writes the others show, and each is told.
//!
//! A browser tells the other windows of a page when a stored text changes. A window that opens an instrument calls under one
//! key, and a window that has it open answers there.

use super::journal::{self, Found};
use super::keep::Keep;
use super::record::{Line, Record, line};
use super::{Space, Store, around, removal, settings};
use crate::markup::prelude::*;
use std::time::Duration;
use strungwell_workshop::records::{Instrument, Owner, RackString};

/// The key of calls between windows.
const CALL: &str = "strungwell.call";

/// How soon a window looks again whether another one finished what it was writing.
const AGAIN: Duration = Duration::from_secs(11);

impl Store {
    /// What another window did to what is shown here, or that it has the same instrument open; none when nothing is to be said.
    pub(crate) fn told(self) -> Signal<Option<String>> {
        self.told.into()
    }

    /// Puts what was told away.
    pub(crate) fn heard(self) {
        self.told.set(None);
    }

    /// Another window changed the text under a key.
    pub(super) fn hear(self, key: &str, text: Option<String>) {
        let space = self.space.get_untracked();
        if key == CALL {
            return self.answer(&text.unwrap_or_default());
        }
        if key == settings::KEY {
            return self.settings.set(self.keep.with_value(settings::load));
        }
        let Some(rest) = key.strip_prefix(space.prefix()) else {
            return;
        };
        let (kind, id) = rest.split_once('.').unwrap_or((rest, ""));
        match kind {
            Instrument::KIND => {
                self.take_in::<Instrument>(self.instruments, key, id);
                if self.open_id.get_untracked().as_deref() == Some(id) {
                    self.told.set(Some(match text {
                        Some(_) => "Another window changed this instrument just now. It is shown here as it stands there.".into(),
                        None => "Another window removed this instrument just now. It can be brought back there.".into(),
                    }));
                }
            }
            RackString::KIND => self.take_in::<RackString>(self.rack, key, id),
            Owner::KIND => self.take_in::<Owner>(self.owners, key, id),
            "removed" => self
                .removed
                .set(self.keep.with_value(|keep| removal::load(keep, space))),
            // Half-typed texts belong to the window that they are typed in; a journal is seen by what it writes.
            "draft" | "last" | "exported" | "asked" => {}
            "journal" if text.is_some() => {}
            _ => self.reload(),
        }
    }

    /// Reads one record again.
    fn take_in<R: Record>(self, list: RwSignal<Vec<R::Line>>, key: &str, id: &str) {
        let read = self.keep.with_value(|keep| keep.read(key));
        match read.map(|text| line::<R>(&text, id)) {
            None => list.update(|all| all.retain(|line| line.id() != id)),
            Some(Ok(line)) => list.update(|all| match all.iter_mut().find(|old| old.id() == id) {
                Some(old) => *old = line,
                None => all.push(line),
            }),
            Some(Err(_)) => self.reload(),
        }
    }

    /// Asks the other windows whether they have an instrument open.
    pub(super) fn call(self, id: &str) {
        let key = Instrument::key(self.space.get_untracked(), id);
        self.say("ask", &key);
    }

    fn say(self, word: &str, key: &str) {
        let window = self.window.get_value();
        // The moment makes each call another text, which the browser needs to pass it on.
        let text = format!("{window} {word} {} {key}", Self::clock().seconds);
        self.keep.with_value(|keep| {
            // Nobody waits for an answer: in a full storage none comes.
            let _ = keep.insist(CALL, Some(&text));
        });
    }

    fn answer(self, call: &str) {
        let mut words = call.splitn(4, ' ');
        let (Some(window), Some(word), Some(_), Some(key)) =
            (words.next(), words.next(), words.next(), words.next())
        else {
            return;
        };
        let open = self.open_id.get_untracked();
        let ours = open.map(|id| Instrument::key(self.space.get_untracked(), &id));
        if window == self.window.get_value() || ours.as_deref() != Some(key) {
            return;
        }
        if word == "ask" {
            self.say("here", key);
        }
        self.told.set(Some(
            "This instrument is open in another window too. What is changed in either shows in both; nothing is overwritten unseen.".into(),
        ));
    }

    /// Puts back what a window that died left half written.
    pub(super) fn recover(self, keep: &Keep, space: Space) {
        match journal::recover(keep, space, Self::clock().seconds * 1e3) {
            Found::Nothing => {}
            Found::PutBack => self.told.set(Some(
                "The page was closed while it wrote many records at once. They stand as they did before; nothing is half done.".into(),
            )),
            Found::AtWork => around::later(move || self.reload(), AGAIN),
        }
    }
}
