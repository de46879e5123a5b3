//! What the page reads of the store, and the settings and addresses that it changes.

use super::keep::Keep;
use super::record::Line;
use super::{
    Aside, BenchEntry, Place, Removed, Route, Settings, Space, Store, around, drafts, settings,
    shelf,
};
use crate::markup::prelude::*;
use strungwell_workshop::moment::Now;
use strungwell_workshop::records::{Instrument, Owner, RackString};
use strungwell_workshop::report::loads::loads_of;
use strungwell_workshop::report::{InstrumentReport, instrument_report_in};
use strungwell_workshop::units::Units;

impl Store {
    /// The instrument with this id.
    pub(crate) fn other(self, id: &str) -> Option<Instrument> {
        self.instruments.with(|all| {
            let card = all.iter().find(|card| card.entry.id == id)?;
            card.record().ok()
        })
    }

    /// What the browser's clock says.
    pub(crate) fn clock() -> Now {
        around::now()
    }

    /// Every figure of the open instrument, with what it bears and waits for by the browser's clock.
    pub(crate) fn whole_report(self) -> Option<InstrumentReport> {
        let units = self.units.get();
        self.instrument.with(|instrument| {
            let instrument = instrument.as_ref()?;
            self.rack.with(|rack| {
                let mut report = instrument_report_in(instrument, rack, units);
                report.loads = loads_of(instrument, rack, Some(Self::clock()), units);
                Some(report)
            })
        })
    }

    /// Every computed figure of an instrument that is not as the store has it.
    pub(crate) fn report_of(self, instrument: &Instrument) -> InstrumentReport {
        let units = self.units.get();
        self.rack
            .with(|rack| instrument_report_in(instrument, rack, units))
    }

    /// The lines of the bench.
    pub(crate) fn bench(self) -> Memo<Vec<BenchEntry>> {
        self.bench
    }

    /// The open instrument; none when there is none or the address names none.
    pub(crate) fn instrument(self) -> Memo<Option<Instrument>> {
        self.instrument
    }

    /// The id of the instrument that should be open, whether there is one or not.
    pub(crate) fn open_id(self) -> Memo<Option<String>> {
        self.open_id
    }

    /// Every computed figure of the open instrument.
    pub(crate) fn report(self) -> Memo<Option<InstrumentReport>> {
        self.report
    }

    /// The rack.
    pub(crate) fn rack(self) -> Signal<Vec<RackString>> {
        self.rack.into()
    }

    /// The owners.
    pub(crate) fn owners(self) -> Signal<Vec<Owner>> {
        self.owners.into()
    }

    /// What could not be read.
    pub(crate) fn asides(self) -> Signal<Vec<Aside>> {
        self.asides.into()
    }

    /// What was removed last.
    pub(crate) fn removed(self) -> Signal<Option<Removed>> {
        self.removed.into()
    }

    /// Why what was typed is not in the browser's storage; none when it is.
    pub(crate) fn not_kept(self) -> Signal<Option<&'static str>> {
        self.not_kept.into()
    }

    /// Why the last change was not made; none when it was.
    pub(crate) fn refused(self) -> Signal<Option<String>> {
        self.refused.into()
    }

    /// Puts the sentence about the last refused change away.
    pub(crate) fn forgive(self) {
        self.refuse(None);
    }

    /// Says why a change was not made, or that it was.
    pub(crate) fn refuse(self, why: Option<String>) {
        self.refused.set(why);
    }

    /// The units that figures are shown in.
    pub(crate) fn units(self) -> Signal<Units> {
        self.units.into()
    }

    /// The settings.
    pub(crate) fn settings(self) -> Signal<Settings> {
        self.settings.into()
    }

    /// Changes the settings.
    pub(crate) fn set(self, change: impl FnOnce(&mut Settings)) {
        self.settings.update(change);
        self.keep
            .with_value(|keep| self.settings.with_untracked(|s| settings::save(keep, s)));
        self.tell_kept();
    }

    /// Where on the page the person is.
    pub(crate) fn route(self) -> Signal<Route> {
        self.route.into()
    }

    /// Which records are shown.
    pub(crate) fn space(self) -> Memo<Space> {
        self.space
    }

    /// The address of a place among the same records.
    pub(crate) fn address(self, place: Place) -> String {
        Route {
            space: self.space.get(),
            place,
        }
        .hash()
    }

    /// Goes to a place among the same records.
    pub(crate) fn go(self, place: Place) {
        self.travel(Route {
            space: self.space.get_untracked(),
            place,
        });
    }

    /// Goes to the person's own records, or to the demo shop.
    pub(crate) fn enter(self, space: Space) {
        self.travel(Route {
            space,
            place: Place::Home,
        });
    }

    /// Opens an instrument.
    pub(crate) fn open(self, id: &str) {
        self.go(Place::Instrument(id.to_owned()));
    }

    /// Puts the demo shop back as it came; where another window changed something of it that was not seen here yet, that is shown
    /// and said first.
    pub(crate) fn reset_demo(self) {
        let is_stale = |keep: &Keep| keep.any_stale(Space::Demo.prefix());
        if self.keep.with_value(is_stale) {
            self.reload();
            return self.refuse(Some(
                "Another window changed the demo shop in the meantime, so it was not reset. It is shown as it stands there; press again to \
                 reset it all the same."
                    .into(),
            ));
        }
        self.refuse(None);
        self.keep(|keep, _| shelf::clear(keep, Space::Demo));
        self.reload();
    }

    /// Something of the open instrument, followed as it changes.
    pub(crate) fn pick<T>(
        self,
        of: impl Fn(&Instrument) -> Option<T> + Send + Sync + 'static,
    ) -> Signal<Option<T>>
    where
        T: PartialEq + Send + Sync + 'static,
    {
        Memo::new(move |_| {
            self.instrument
                .with(|instrument| instrument.as_ref().and_then(&of))
        })
        .into()
    }

    /// A text of the open instrument, followed as it changes.
    pub(crate) fn pick_text(
        self,
        of: impl Fn(&Instrument) -> &str + Send + Sync + 'static,
    ) -> Signal<String> {
        Memo::new(move |_| {
            self.instrument.with(|instrument| {
                instrument
                    .as_ref()
                    .map(|i| of(i).to_owned())
                    .unwrap_or_default()
            })
        })
        .into()
    }

    /// The text that stands unread in a field of a record.
    pub(crate) fn draft(self, scope: &str, field: &str) -> Option<String> {
        self.keep
            .with_value(|keep| drafts::read(keep, self.space.get_untracked(), scope, field))
    }

    /// Keeps, or drops, the text that stands unread in a field of a record.
    pub(crate) fn set_draft(self, scope: &str, field: &str, text: Option<&str>) {
        self.keep
            .with_value(|keep| drafts::write(keep, self.space.get_untracked(), scope, field, text));
        self.tell_kept();
    }

    /// Follows the removal of one of several numbered things of a record, counted from 1: see [`drafts::removed`].
    pub(crate) fn drafts_follow(self, scope: &str, word: &str, number: usize) {
        self.keep.with_value(|keep| {
            drafts::removed(keep, self.space.get_untracked(), scope, word, number)
        });
    }
}
