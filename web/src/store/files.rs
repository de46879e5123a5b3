//! The workshop file out and in, finding, and the storage as a whole.

use super::journal::Writes;
use super::record::{Line, Record};
use super::{Space, Store, shelf};
use crate::markup::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use strungwell_workshop::file;
use strungwell_workshop::merge::{Choice, Kind, Plan, plan};
use strungwell_workshop::records::{Instrument, Owner, RackString, Workshop};
use strungwell_workshop::report::loads::{due, machines};
use strungwell_workshop::visits::{Place, Searched};

/// The words of each instrument, made ready once for each text of it.
pub(super) type Words = BTreeMap<String, (Arc<str>, Option<Owner>, Searched)>;

/// What browsers allow a page at the least, in bytes: 5 Mi units of UTF-16 (from memory; they do not say it).
const ROOM_BYTES: usize = 10 * 1024 * 1024;

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// After so many days without one, an export is called for.
const EXPORT_DAYS: f64 = 30.0;

/// Where an instrument of the shop stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Standing {
    /// The instrument's id.
    pub id: String,
    /// Its name, or words in its place.
    pub name: String,
    /// Where it stands.
    pub place: Place,
}

impl Store {
    /// The records as a workshop file writes them: all of them, or one instrument with its owner and its rack strings.
    pub(crate) fn shop(self, only: Option<&str>, exported: String) -> Workshop {
        let instruments: Vec<Instrument> = self.instruments.with_untracked(|all| {
            let wanted = all
                .iter()
                .filter(|card| only.is_none_or(|id| card.entry.id == id));
            wanted.filter_map(|card| card.record().ok()).collect()
        });
        let mut owners = self.owners.get_untracked();
        let mut rack = self.rack.get_untracked();
        let mut extra = self.extra();
        if only.is_some() {
            owners.retain(|o| instruments.iter().any(|i| i.owner.as_ref() == Some(&o.id)));
            rack.retain(|r| {
                let strings = instruments.iter().flat_map(Instrument::all_courses);
                let mut strings = strings.flat_map(|course| &course.strings);
                strings.any(|s| s.rack.as_ref() == Some(&r.id))
            });
            extra.clear();
        }
        Workshop {
            exported: Some(exported),
            owners,
            rack,
            instruments,
            extra,
            ..Workshop::default()
        }
    }

    /// What the file knew beside its records, kept from an import.
    fn extra(self) -> strungwell_workshop::records::Extra {
        let text = self
            .keep
            .with_value(|keep| keep.read(&extra_key(self.space.get_untracked())));
        text.and_then(|text| serde_json::from_str(&text).ok())
            .unwrap_or_default()
    }

    /// What an import of a workshop file would do. Nothing is written.
    ///
    /// # Errors
    /// What is wrong with the file, as a sentence without its stop.
    pub(crate) fn plan_import(self, bytes: &[u8]) -> Result<Plan, String> {
        let file = file::read_bytes(bytes).map_err(|problem| problem.to_string())?;
        Ok(plan(&self.touched_by(&file), &file))
    }

    /// Those of the shop's records that a file could change.
    fn touched_by(self, file: &Workshop) -> Workshop {
        let ids: BTreeSet<&str> = file.instruments.iter().map(|i| i.id.as_str()).collect();
        let instruments = self.instruments.with_untracked(|all| {
            let touched = all.iter().filter(|card| {
                let id = card.entry.id.as_str();
                let first = id.rsplit_once('~').map_or(id, |(first, _)| first);
                ids.contains(id) || first != id && ids.iter().any(|other| other.starts_with(first))
            });
            touched.filter_map(|card| card.record().ok()).collect()
        });
        Workshop {
            owners: self.owners.get_untracked(),
            rack: self.rack.get_untracked(),
            instruments,
            extra: self.extra(),
            ..Workshop::default()
        }
    }

    /// Does what was planned, with a choice for each entry, all of it or nothing. What was done, as a sentence.
    ///
    /// # Errors
    /// Why nothing was done, as sentences.
    pub(crate) fn import(self, shown: &Plan, choices: &[Choice]) -> Result<String, String> {
        let now = plan(&self.touched_by(shown.file()), shown.file());
        if now.entries != shown.entries {
            return Err("Your records have changed since this list was made, so nothing was done. Choose the file again.".into());
        }
        let merged = now.apply(choices, Some(&Self::stamp_now()));
        let merged = merged.map_err(|problem| format!("Nothing was done: {problem}."))?;
        let space = self.space.get_untracked();
        let mut writes = Writes::new();
        for (kind, id) in &merged.written {
            let shop = &merged.workshop;
            writes.extend(match kind {
                Kind::Owner => shop.owner(id).map(|o| sealed(o, space)),
                Kind::RackString => shop.rack_string(id).map(|r| sealed(r, space)),
                Kind::Instrument => {
                    let found = shop.instruments.iter().find(|i| i.id == *id);
                    found.map(|i| sealed(i, space))
                }
            });
        }
        let order = |key: String, known: Vec<String>, kind: Kind| {
            let added = merged
                .written
                .iter()
                .filter(|(k, id)| *k == kind && !known.contains(id));
            let ids = known
                .iter()
                .chain(added.map(|(_, id)| id))
                .map(String::as_str);
            (key, Some(shelf::order_text(ids)))
        };
        let count = writes.len();
        if count > 0 {
            let cards = self
                .instruments
                .with_untracked(|all| all.iter().map(|c| c.entry.id.clone()).collect());
            let strings = self
                .rack
                .with_untracked(|all| all.iter().map(|r| r.id.clone()).collect());
            writes.push(order(Instrument::order_key(space), cards, Kind::Instrument));
            writes.push(order(
                RackString::order_key(space),
                strings,
                Kind::RackString,
            ));
            let owners = self
                .owners
                .with_untracked(|all| all.iter().map(|o| o.id.clone()).collect());
            writes.push(order(Owner::order_key(space), owners, Kind::Owner));
        }
        if merged.workshop.extra != self.extra() {
            let text = serde_json::to_string(&merged.workshop.extra).unwrap_or_default();
            writes.push((extra_key(space), Some(text)));
        }
        if !writes.is_empty() {
            self.write_all(&writes)?;
        }
        Ok(match count {
            0 => "Nothing had to be changed.".into(),
            1 => "One record was written.".into(),
            count => format!("{count} records were written."),
        })
    }

    /// The ids of the instruments in whose records, or in their owner's, every word of a search stands; in the bench's order.
    pub(crate) fn find(self, search: &str) -> Vec<String> {
        let owners = self.owners.get();
        let mut found = Vec::new();
        self.instruments.with(|all| {
            self.searched.update_value(|known| {
                for card in all {
                    let owner = owners.iter().find(|o| Some(&o.id) == card.owner.as_ref());
                    let id = &card.entry.id;
                    let fresh = known
                        .get(id)
                        .is_some_and(|(text, of, _)| *text == card.text && of.as_ref() == owner);
                    if !fresh {
                        let json = super::stored::readable(&card.text);
                        let words = Searched::of(&json, owner);
                        known.insert(id.clone(), (card.text.clone(), owner.cloned(), words));
                    }
                    if known.get(id).is_some_and(|(.., words)| words.has(search)) {
                        found.push(id.clone());
                    }
                }
            });
        });
        found
    }

    /// The instruments in the shop: on the bench first, then those that wait, each the longest first.
    pub(crate) fn standings(self) -> Vec<Standing> {
        let mut all: Vec<Standing> = self.instruments.with(|all| {
            let here = all.iter().filter(|card| card.place != Place::Away);
            here.map(|card| Standing {
                id: card.entry.id.clone(),
                name: card.entry.name.clone(),
                place: card.place.clone(),
            })
            .collect()
        });
        all.sort_by(|a, b| a.place.cmp(&b.place));
        all
    }

    /// What the instruments wait for now, the soonest first, each with its id, and when the machines are free.
    pub(crate) fn due(self) -> Vec<(Option<String>, String)> {
        let all: Vec<Instrument> = self
            .instruments
            .with_untracked(|all| all.iter().filter_map(|card| card.record().ok()).collect());
        let now = Self::clock();
        let mut lines: Vec<_> = due(&all, now)
            .into_iter()
            .map(|due| (Some(due.instrument), due.text))
            .collect();
        let free = machines(&all, now).into_iter().map(|m| {
            let name = super::called(&m.machine, "The machine");
            (None, format!("{name}: free at {}.", m.free_at))
        });
        lines.extend(free);
        if lines.is_empty() {
            lines.push((None, "Nothing.".into()));
        }
        lines
    }

    /// How much of the browser's storage the page takes, in words.
    pub(crate) fn storage_words(self) -> String {
        let bytes = self.keep.with_value(|keep| keep.bytes("strungwell"));
        #[allow(clippy::cast_precision_loss)]
        let mega = |bytes: usize| bytes as f64 / (1024.0 * 1024.0);
        format!(
            "Your records and the demo shop take {:.2} MiB of about {:.0} MiB that browsers keep for a page.",
            mega(bytes),
            mega(ROOM_BYTES)
        )
    }

    /// Asks the browser, once, not to throw this page's storage away when the disk is short. A browser may ask the person, or decide
    /// by itself; whatever it says, the page goes on. True when it could be asked.
    pub(crate) fn ask_to_persist(self) -> bool {
        let storage = window().navigator().storage();
        if storage.is_undefined() {
            return false;
        }
        let asked = storage.persist().is_ok();
        if asked {
            self.keep
                .with_value(|keep| keep.write("strungwell.asked", "1"));
        }
        asked
    }

    /// Whether the browser was asked already.
    pub(crate) fn asked_to_persist(self) -> bool {
        self.keep
            .with_value(|keep| keep.read("strungwell.asked").is_some())
    }

    /// Notes that all records were written to a file just now.
    pub(crate) fn note_export(self) {
        let now = Self::clock().seconds * 1e3;
        self.keep.with_value(|keep| {
            keep.write(&exported_key(self.space.get_untracked()), &now.to_string())
        });
    }

    /// A sentence when the person's own records are only in this browser or the last export is old; none otherwise.
    pub(crate) fn export_reminder(self) -> Option<String> {
        let space = self.space.get();
        if space == Space::Demo || self.instruments.with(Vec::is_empty) {
            return None;
        }
        let last = self.keep.with_value(|keep| keep.read(&exported_key(space)));
        let days = last
            .and_then(|text| text.parse::<f64>().ok())
            .map(|then| (Self::clock().seconds * 1e3 - then) / DAY_MS);
        match days {
            None => Some(
                "These records are in this browser alone: they were never written to a file."
                    .into(),
            ),
            Some(days) if days >= EXPORT_DAYS => Some(format!(
                "The last file of these records is {days:.0} days old. Write a new one."
            )),
            Some(_) => None,
        }
    }
}

fn sealed<R: Record>(record: &R, space: Space) -> (String, Option<String>) {
    (R::key(space, record.id()), Some(record.sealed()))
}

fn extra_key(space: Space) -> String {
    format!("{}extra", space.prefix())
}

fn exported_key(space: Space) -> String {
    format!("{}exported", space.prefix())
}
