//! The store against a plain map, with the machine dying after any write and the storage full at any time.

use super::deeds;
use super::journal::{self, Found, Writes};
use super::keep::tests::TestDrawer;
use super::keep::{Drawer, Keep};
use super::record::{Line, Record};
use super::removal::{self, Removed};
use super::route::Space;
use super::shelf;
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::time::Instant;
use strungwell_workshop::records::{Instrument, Owner, Reading, Setup, Visit};

const SPACE: Space = Space::Own;
const LATER: f64 = 60_000.0;

/// What a shop of owners should hold: id and name.
type Model = BTreeMap<String, String>;

#[derive(Clone, Debug)]
enum Deed {
    Add(u8, String),
    Change(prop::sample::Index, String),
    Remove(prop::sample::Index),
    Undo,
    Many(Vec<(u8, String)>),
}

fn any_deed() -> impl Strategy<Value = Deed> {
    let name = || "[a-z]{0,12}";
    prop_oneof![
        (0..6u8, name()).prop_map(|(id, name)| Deed::Add(id, name)),
        (any::<prop::sample::Index>(), name()).prop_map(|(at, name)| Deed::Change(at, name)),
        any::<prop::sample::Index>().prop_map(Deed::Remove),
        Just(Deed::Undo),
        prop::collection::vec((0..6u8, name()), 1..5).prop_map(Deed::Many),
    ]
}

fn owner(id: &str, name: &str) -> Owner {
    Owner {
        id: id.into(),
        name: name.into(),
        ..Owner::default()
    }
}

fn model_of(owners: &[Owner]) -> Model {
    let pairs = owners.iter().map(|o| (o.id.clone(), o.name.clone()));
    pairs.collect()
}

/// One window: what it keeps, and the lines that it shows.
struct Window {
    keep: Keep,
    lines: Vec<Owner>,
}

impl Window {
    /// The page as it starts, `later` after whatever was.
    fn open(drawer: &TestDrawer, now_ms: f64) -> Self {
        let keep = Keep::new(Box::new(drawer.clone()));
        journal::recover(&keep, SPACE, now_ms);
        let shelf = shelf::load(&keep, SPACE);
        assert_eq!(shelf.asides, vec![], "nothing may be set aside");
        Self {
            keep,
            lines: shelf.owners,
        }
    }

    fn removed(&self) -> Option<Removed> {
        removal::load(&self.keep, SPACE)
    }

    /// Does one deed in the window as the store does it, and in the map.
    fn does(&mut self, deed: &Deed, model: &mut Model) {
        match deed {
            Deed::Add(id, name) => {
                let id = format!("o{id}");
                if model.contains_key(&id) || self.removed().is_some_and(|r| r.id == id) {
                    return;
                }
                self.puts(owner(&id, name));
                model.insert(id, name.clone());
            }
            Deed::Change(at, name) => {
                if self.lines.is_empty() {
                    return;
                }
                let id = at.get(&self.lines).id.clone();
                let record = owner(&id, name);
                self.keep.write(&Owner::key(SPACE, &id), &record.sealed());
                let line = self.lines.iter_mut().find(|line| line.id == id);
                *line.unwrap() = record;
                model.insert(id, name.clone());
            }
            Deed::Remove(at) => {
                if self.lines.is_empty() {
                    return;
                }
                let at = at.index(self.lines.len());
                let record = self.lines.remove(at);
                let slip = Removed {
                    kind: Owner::KIND.into(),
                    key: Owner::key(SPACE, &record.id),
                    id: record.id.clone(),
                    said: String::new(),
                    at,
                    text: record.write(),
                    also: Vec::new(),
                    fresh: Vec::new(),
                };
                deeds::take_out::<Owner>(&self.keep, SPACE, &slip, &self.lines);
                model.remove(&record.id);
            }
            Deed::Undo => {
                let Some(slip) = self.removed() else { return };
                let record = Owner::read(&slip.text).unwrap();
                if model.contains_key(&record.id) {
                    return;
                }
                model.insert(record.id.clone(), record.name.clone());
                self.puts(record);
                removal::save(&self.keep, SPACE, None);
            }
            Deed::Many(records) => {
                let mut writes = Writes::new();
                let mut after = model.clone();
                for (id, name) in records {
                    let record = owner(&format!("o{id}"), name);
                    let key = Owner::key(SPACE, &record.id);
                    writes.retain(|(other, _)| *other != key);
                    writes.push((key, Some(record.sealed())));
                    after.insert(record.id, record.name);
                }
                if journal::write(&self.keep, SPACE, 0.0, &writes).is_ok() {
                    *model = after;
                }
                self.lines = shelf::load(&self.keep, SPACE).owners;
            }
        }
    }

    fn puts(&mut self, record: Owner) {
        let (key, text) = (Owner::key(SPACE, &record.id), record.sealed());
        self.lines.push(record);
        deeds::place::<Owner>(&self.keep, SPACE, (&key, &text), &self.lines);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_shrink_iters: 2000, ..ProptestConfig::default() })]

    /// Whatever is done, what is kept is what the map says, and so it is at the next start.
    #[test]
    fn the_store_holds_what_a_map_would(deeds in prop::collection::vec(any_deed(), 1..25)) {
        let drawer = TestDrawer::default();
        let mut window = Window::open(&drawer, 0.0);
        let mut model = Model::new();
        for deed in &deeds {
            window.does(deed, &mut model);
            prop_assert_eq!(model_of(&window.lines), model.clone(), "{:?}", deed);
            prop_assert_eq!(window.keep.clashes(), vec![]);
            prop_assert_eq!(model_of(&Window::open(&drawer, LATER).lines), model.clone(), "{:?}", deed);
        }
    }

    /// The machine dies after any write of any deed: the next start finds all as it was before the deed or as it should be after.
    #[test]
    fn a_death_after_any_write_leaves_before_or_after(
        deeds in prop::collection::vec(any_deed(), 0..12),
        last in any_deed(),
        writes in 0..9usize,
    ) {
        let drawer = TestDrawer::default();
        let mut window = Window::open(&drawer, 0.0);
        let mut model = Model::new();
        for deed in &deeds {
            window.does(deed, &mut model);
        }
        let before = model.clone();
        let slip = window.removed();
        *drawer.writes_left.borrow_mut() = Some(writes);
        window.does(&last, &mut model);
        *drawer.writes_left.borrow_mut() = None;
        let next = Window::open(&drawer, LATER);
        let found = model_of(&next.lines);
        prop_assert!(found == before || found == model, "{:?} is neither {:?} nor {:?}", found, before, model);
        // What was removed can still be brought back.
        if let (Deed::Remove(_), Some(gone)) = (&last, before.keys().find(|id| !found.contains_key(*id))) {
            let slip = next.removed();
            prop_assert_eq!(slip.map(|slip| slip.id), Some(gone.clone()));
        } else if matches!(last, Deed::Undo) && slip.is_some() && found == before {
            prop_assert_eq!(next.removed(), slip);
        }
        prop_assert!(drawer.keys().iter().all(|key| !key.ends_with("journal")));
    }

    /// The storage is full for a while: nothing is lost on the page, what was kept before is never broken, and all is kept once there
    /// is room.
    #[test]
    fn a_full_storage_loses_nothing(
        deeds in prop::collection::vec(any_deed(), 1..10),
        tight in prop::collection::vec(any_deed(), 1..10),
        spare in 0..400usize,
    ) {
        let drawer = TestDrawer::default();
        let mut window = Window::open(&drawer, 0.0);
        let mut model = Model::new();
        for deed in &deeds {
            window.does(deed, &mut model);
        }
        let taken: usize = drawer.texts.borrow().values().map(String::len).sum();
        *drawer.room.borrow_mut() = Some(taken + spare);
        for deed in &tight {
            window.does(deed, &mut model);
            prop_assert_eq!(model_of(&window.lines), model.clone(), "{:?}", deed);
            prop_assert_eq!(model_of(&shelf::load(&window.keep, SPACE).owners), model.clone());
            // A start in the middle of it reads every record that stands there.
            prop_assert_eq!(shelf::load(&Keep::new(Box::new(drawer.clone())), SPACE).asides, vec![]);
        }
        *drawer.room.borrow_mut() = None;
        window.keep.write("strungwell.last", "");
        prop_assert_eq!(window.keep.refusal(), None);
        prop_assert_eq!(model_of(&Window::open(&drawer, LATER).lines), model);
    }
}

#[test]
fn many_at_once_are_put_back_wherever_the_machine_dies() {
    let writes: Writes = (0..5)
        .map(|n| {
            let record = owner(&format!("o{n}"), "new");
            (Owner::key(SPACE, &record.id), Some(record.sealed()))
        })
        .collect();
    for after in 0..=7 {
        let drawer = TestDrawer::default();
        let mut window = Window::open(&drawer, 0.0);
        window.puts(owner("o1", "old"));
        *drawer.writes_left.borrow_mut() = Some(after);
        let _ = journal::write(&window.keep, SPACE, 1000.0, &writes);
        *drawer.writes_left.borrow_mut() = None;
        // At once another window may be at work on it.
        let keep = Keep::new(Box::new(drawer.clone()));
        let found = journal::recover(&keep, SPACE, 1500.0);
        let half = (1..7).contains(&after);
        assert_eq!(found == Found::AtWork, half, "{after}");
        // A record that was changed since stays changed.
        let changed = after == 4;
        if changed {
            keep.read(&Owner::key(SPACE, "o2"));
            let text = owner("o2", "since").sealed();
            keep.write(&Owner::key(SPACE, "o2"), &text);
        }
        assert_eq!(
            journal::recover(&keep, SPACE, LATER) == Found::PutBack,
            half
        );
        let names: Vec<String> = shelf::load(&keep, SPACE)
            .owners
            .into_iter()
            .map(|o| o.name)
            .collect();
        let expected: &[&str] = match after {
            7 => &["new"; 5],
            4 => &["old", "since"],
            _ => &["old"],
        };
        assert_eq!(
            names.iter().map(String::as_str).collect::<Vec<_>>(),
            expected,
            "{after}"
        );
        assert_eq!(journal::recover(&keep, SPACE, LATER), Found::Nothing);
    }
}

#[test]
fn a_broken_journal_is_set_aside() {
    let drawer = TestDrawer::default();
    drawer.write("strungwell.journal", "[12").unwrap();
    let keep = Keep::new(Box::new(drawer.clone()));
    assert_eq!(journal::recover(&keep, SPACE, 0.0), Found::Nothing);
    assert_eq!(drawer.read("strungwell.journal"), None);
    assert_eq!(shelf::load(&keep, SPACE).asides.len(), 1);
}

/// A record of each stored version, the oldest first: all of them read the same and become the last.
fn becomes_the_present_one<R: Record + std::fmt::Debug>(
    texts: [&str; 2],
    of: fn(&shelf::Shelf) -> R,
) {
    let mut read = Vec::new();
    for text in texts {
        let drawer = TestDrawer::default();
        drawer.write(&R::key(SPACE, "first"), text).unwrap();
        let shelf = shelf::load(&Keep::new(Box::new(drawer)), SPACE);
        assert_eq!(shelf.asides, vec![]);
        read.push(of(&shelf));
    }
    assert_eq!(read[0], read[1]);
    assert_eq!(read[0].sealed(), texts[1]);
}

#[test]
fn records_of_every_earlier_version_open_and_become_the_present_one() {
    macro_rules! texts {
        ($kind:literal) => {
            [
                include_str!(concat!("../../../tests/corpus/stored/0-", $kind, ".txt")),
                include_str!(concat!("../../../tests/corpus/stored/1-", $kind, ".txt")),
            ]
        };
    }
    becomes_the_present_one(texts!("instrument"), |shelf| {
        shelf.instruments[0].record().unwrap()
    });
    becomes_the_present_one(texts!("rack"), |shelf| shelf.rack[0].clone());
    becomes_the_present_one(texts!("owner"), |shelf| shelf.owners[0].clone());
}

#[test]
fn a_text_changed_by_hand_is_set_aside_by_name_and_can_be_read() {
    let drawer = TestDrawer::default();
    let keep = Keep::new(Box::new(drawer.clone()));
    shelf::fill(&keep, SPACE, &super::demo::shop().unwrap());
    let first = shelf::load(&keep, SPACE).instruments.remove(0);
    let key = Instrument::key(SPACE, first.id());
    let text = drawer
        .read(&key)
        .unwrap()
        .replace(first.name(), "Changed by hand");
    drawer.write(&key, &text).unwrap();
    let shelf = shelf::load(&Keep::new(Box::new(drawer)), SPACE);
    assert_eq!(shelf.asides.len(), 1);
    let aside = &shelf.asides[0];
    assert!(
        aside.why.contains("Changed by hand") && aside.why.contains("checksum"),
        "{}",
        aside.why
    );
    assert!(aside.text.contains("\"scale_mm\""), "{}", aside.text);
    assert!(!aside.is_whole());
}

/// An instrument with three visits, every height and two dozen readings in each.
fn busy(n: usize) -> Instrument {
    let mut instrument = super::demo::shop().unwrap().instruments[n % 4].clone();
    instrument.id = format!("10000000-0000-4000-8000-{n:012}");
    instrument.name = format!("Instrument {n} of a long life");
    instrument.visits.clear();
    for visit in 0..3_u8 {
        let mut setup: Setup = instrument.setup.clone();
        for (at, course) in setup.courses.iter_mut().enumerate() {
            course.gap_12_mm = Some(2.0 + 0.01 * ((n * 7 + at * 13) % 80) as f64);
            course.saddle_setback_mm = Some(0.01 * ((n * 11 + at * 29) % 300) as f64);
        }
        let reading = |at: u32| Reading {
            course: at % 4 + 1,
            fret: at / 4 * 2,
            cents: 0.1 * ((n * 17 + at as usize * 31) % 200) as f64 - 8.0,
            ..Reading::default()
        };
        instrument.visits.push(Visit {
            id: format!("20000000-0000-4000-800{visit}-{n:012}"),
            date: format!("20{:02}-0{}-1{visit}", n % 26, n % 9 + 1),
            as_found: Some(setup.clone()),
            as_left: Some(setup),
            readings: (0..24).map(reading).collect(),
            temp_c: Some(20.0),
            rh_percent: Some(45.0),
            note: format!(
                "Buzzes at fret {} of the second course; saddle lowered, nut slot {n} filed.",
                n % 12
            ),
            ..Visit::default()
        });
    }
    instrument
}

/// What the page promises: 2000 instruments with three visits each fit where browsers allow 5 Mi units, and their lines are read
/// without reading the records. `cargo test -p strungwell-web --release two_thousand -- --nocapture` prints the times.
#[test]
fn two_thousand_instruments_fit_and_open() {
    let drawer = TestDrawer::default();
    let texts: Vec<(String, Instrument)> = (0..8).map(|n| (busy(n).sealed(), busy(n))).collect();
    let longest = texts
        .iter()
        .map(|(text, _)| text.encode_utf16().count())
        .max()
        .unwrap();
    for n in 0..2000 {
        let (text, instrument) = &texts[n % 8];
        let key = Instrument::key(SPACE, &format!("{}{n}", instrument.id));
        drawer.texts.borrow_mut().insert(key, text.clone());
    }
    let begun = Instant::now();
    let shelf = shelf::load(&Keep::new(Box::new(drawer)), SPACE);
    let took = begun.elapsed();
    assert_eq!((shelf.instruments.len(), shelf.asides.len()), (2000, 0));
    println!("one record: {longest} units at the most; 2000 lines in {took:?}");
    assert!(
        (longest + 80) * 2000 < 5 * 1024 * 1024 - 500_000,
        "{longest}"
    );
}
