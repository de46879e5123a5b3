//! The records that the page shows and edits, kept in the browser's storage as they are typed.
//!
//! One key a record, with a version and a checksum ([`stored`]); of an instrument only its line on the bench is read until it is
//! opened ([`card`]). A stored text that cannot be read is never written over: it is set aside and named, and the rest opens.
//! Nothing here computes a figure: [`Store::report`] asks the workshop for them.

mod around;
mod asides;
mod card;
mod change;
mod deeds;
mod demo;
mod drafts;
mod files;
mod ids;
mod journal;
mod keep;
mod look;
mod pack;
mod record;
mod removal;
mod route;
mod settings;
mod shelf;
mod stored;
mod undo;
mod whole;
mod windows;

#[cfg(test)]
mod page_tests;
#[cfg(test)]
mod tests;

pub(crate) use files::Standing;
pub(crate) use ids::new_id;
pub(crate) use record::Record;
pub(crate) use removal::Removed;
pub(crate) use route::{Place, Route, Space};
pub(crate) use settings::{Ground, Settings};
pub(crate) use shelf::Aside;

use crate::markup::prelude::*;
use card::Card;
use keep::{BrowserDrawer, Drawer, Keep};
use leptos::ev;
use record::Line;
use strungwell_workshop::records::{Instrument, Owner, RackString};
use strungwell_workshop::report::{InstrumentReport, instrument_report_in};
use strungwell_workshop::units::Units;

/// One line of the bench.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(crate) struct BenchEntry {
    /// The instrument's id.
    pub id: String,
    /// Its name, or words in its place when it has none.
    pub name: String,
    /// Its family's name, or what stands there.
    pub family: String,
    /// Its courses' notes.
    pub notes: String,
}

/// The records, and what can be done with them. A handle: copies are the same store.
#[derive(Clone, Copy)]
pub(crate) struct Store {
    keep: StoredValue<Keep, LocalStorage>,
    route: RwSignal<Route>,
    space: Memo<Space>,
    instruments: RwSignal<Vec<Card>>,
    rack: RwSignal<Vec<RackString>>,
    owners: RwSignal<Vec<Owner>>,
    asides: RwSignal<Vec<Aside>>,
    removed: RwSignal<Option<Removed>>,
    settings: RwSignal<Settings>,
    units: Memo<Units>,
    /// Why something that was typed is not in the browser's storage.
    not_kept: RwSignal<Option<&'static str>>,
    /// Why the last change was not made.
    refused: RwSignal<Option<String>>,
    /// What another window did or has open.
    told: RwSignal<Option<String>>,
    /// The name of this window among those of the page.
    window: StoredValue<String>,
    searched: StoredValue<files::Words>,
    open_id: Memo<Option<String>>,
    instrument: Memo<Option<Instrument>>,
    report: Memo<Option<InstrumentReport>>,
    bench: Memo<Vec<BenchEntry>>,
}

impl Store {
    /// The store of this page.
    pub(crate) fn here() -> Self {
        expect_context()
    }

    /// Reads what the browser keeps, and follows the address and other windows of the same page.
    pub(crate) fn provide() -> Self {
        let store = Self::over(Box::new(BrowserDrawer));
        provide_context(store);
        store.reload();
        store.follow();
        store
    }

    /// A store over a drawer, with nothing read yet but the settings.
    fn over(drawer: Box<dyn Drawer>) -> Self {
        let keep = StoredValue::new_local(Keep::new(drawer));
        let settings = RwSignal::new(keep.with_value(settings::load));
        let route = RwSignal::new(Route::parse(&around::address()));
        let space = Memo::new(move |_| route.with(|route| route.space));
        let instruments = RwSignal::new(Vec::<Card>::new());
        let rack = RwSignal::new(Vec::<RackString>::new());
        let last = move || keep.with_value(|keep| keep.read(&last_key(space.get_untracked())));
        let open_id = Memo::new(move |_| {
            let place = route.with(|route| route.place.clone());
            instruments.with(|all| match place {
                Place::Rack | Place::Show(_) => None,
                Place::Instrument(id) => Some(id),
                Place::Home => {
                    let last = last().filter(|id| all.iter().any(|i| i.entry.id == *id));
                    last.or_else(|| all.first().map(|i| i.entry.id.clone()))
                }
            })
        });
        let instrument = Memo::new(move |_| {
            let id = open_id.get()?;
            let card = instruments.with(|all| all.iter().find(|i| i.entry.id == id).cloned());
            card?.record().ok()
        });
        let units = Memo::new(move |_| settings.with(|settings| settings.units));
        let report = Memo::new(move |_| {
            let units = units.get();
            instrument.with(|instrument| {
                let instrument = instrument.as_ref()?;
                rack.with(|rack| Some(instrument_report_in(instrument, rack, units)))
            })
        });
        let bench = Memo::new(move |_| {
            instruments.with(|all| all.iter().map(|i| i.entry.clone()).collect())
        });
        Self {
            keep,
            route,
            space,
            instruments,
            rack,
            owners: RwSignal::new(Vec::new()),
            asides: RwSignal::new(Vec::new()),
            removed: RwSignal::new(None),
            settings,
            units,
            not_kept: RwSignal::new(None),
            refused: RwSignal::new(None),
            told: RwSignal::new(None),
            window: StoredValue::new(new_id()),
            searched: StoredValue::new(files::Words::default()),
            open_id,
            instrument,
            report,
            bench,
        }
    }

    /// Follows the address and what other windows of the page keep.
    fn follow(self) {
        let on_address = window_event_listener(ev::hashchange, move |_| {
            self.arrive(Route::parse(&around::address()))
        });
        let on_storage = window_event_listener(ev::storage, move |event| match event.key() {
            None => self.reload(),
            Some(key) if key.starts_with("strungwell") => self.hear(&key, event.new_value()),
            Some(_) => {}
        });
        on_cleanup(move || {
            on_address.remove();
            on_storage.remove();
        });
        Effect::new(move |before: Option<()>| {
            let (Some(id), space) = (self.open_id.get(), self.space.get_untracked()) else {
                return;
            };
            // What was told at the start is of the whole shop; later, of the instrument that was open.
            if before.is_some() {
                self.told.set(None);
            }
            let card = self
                .instruments
                .with_untracked(|all| all.iter().find(|i| i.entry.id == id).cloned());
            let Some(card) = card else { return };
            if let Err(why) = card.record() {
                return self.set_aside(&card, &why);
            }
            self.keep
                .with_value(|keep| keep.write(&last_key(space), &id));
            self.call(&id);
        });
    }

    /// Sets an instrument aside that cannot be read, though its line could.
    fn set_aside(self, card: &Card, why: &str) {
        let key = Instrument::key(self.space.get_untracked(), &card.entry.id);
        self.asides
            .update(|all| all.push(shelf::aside(&key, &card.text, why)));
        self.instruments
            .update(|all| all.retain(|other| other.entry.id != card.entry.id));
    }

    /// Shows what an address names.
    fn arrive(self, route: Route) {
        if self.route.with_untracked(|before| *before == route) {
            return;
        }
        let before = self.space.get_untracked();
        self.refused.set(None);
        self.route.set(route);
        if self.space.get_untracked() != before {
            self.reload();
        }
    }

    /// Puts an address in the browser's line and shows what it names.
    fn travel(self, route: Route) {
        around::set_address(&route.hash());
        self.arrive(route);
    }

    /// Reads the records of the present space again.
    fn reload(self) {
        let space = self.space.get_untracked();
        let shelf = self.keep.with_value(|keep| {
            self.recover(keep, space);
            if space == Space::Demo && shelf::is_new(keep, space) {
                match demo::shop() {
                    Ok(mut shop) => {
                        demo::move_to(&mut shop, Self::clock());
                        shelf::fill(keep, space, &shop);
                    }
                    Err(why) => self.refused.set(Some(why)),
                }
            }
            shelf::load(keep, space)
        });
        self.owners.set(shelf.owners);
        self.rack.set(shelf.rack);
        self.asides.set(shelf.asides);
        self.removed
            .set(self.keep.with_value(|keep| removal::load(keep, space)));
        self.instruments.set(shelf.instruments);
        self.tell_kept();
    }

    /// Whether all that was given to the storage is in it.
    fn tell_kept(self) {
        let refusal = self.keep.with_value(Keep::refusal);
        self.not_kept.set(refusal.map(keep::Refusal::words));
    }
}

/// A name, or words in its place when it is empty.
pub(crate) fn called(name: &str, otherwise: &str) -> String {
    if name.trim().is_empty() {
        otherwise
    } else {
        name
    }
    .to_owned()
}

fn last_key(space: Space) -> String {
    format!("{}last", space.prefix())
}
