//! The store as the page uses it: every removal brought back, two windows, a full storage, files out and in.

use super::around::stand_in::NOW_MS;
use super::keep::tests::TestDrawer;
use super::keep::{Drawer as _, Keep};
use super::record::Record;
use super::{Place, Space, Store, around, demo, shelf};
use crate::markup::prelude::Owner as Scope;
use strungwell_workshop::file;
use strungwell_workshop::merge::{Choice, Standing};
use strungwell_workshop::records::{Instrument, Owner, Workshop, remove_course};

const DAY_MS: f64 = 86_400_000.0;

/// A window of the page over a drawer, as long as this lives.
struct Window {
    store: Store,
    _scope: Scope,
}

impl Window {
    fn open(drawer: &TestDrawer) -> Self {
        around::set_address("");
        let scope = Scope::new();
        let store = scope.with(|| {
            let store = Store::over(Box::new(drawer.clone()));
            store.reload();
            store
        });
        Self {
            store,
            _scope: scope,
        }
    }

    /// With an instrument open.
    fn at(drawer: &TestDrawer, id: &str) -> Self {
        let window = Self::open(drawer);
        window.store.open(id);
        window
    }

    fn shop(&self) -> Workshop {
        self.store.shop(None, String::new())
    }

    fn name(&self, id: &str) -> String {
        self.store.other(id).unwrap().name
    }

    fn slip(&self) -> Option<String> {
        let removed = self.store.removed().get_untracked();
        removed.map(|removed| removed.said)
    }

    fn refused(&self) -> String {
        self.store.refused().get_untracked().unwrap_or_default()
    }
}

/// A drawer that holds the demo shop as the person's own.
fn filled() -> (TestDrawer, Workshop) {
    let drawer = TestDrawer::default();
    let shop = demo::shop().unwrap();
    shelf::fill(&Keep::new(Box::new(drawer.clone())), Space::Own, &shop);
    (drawer, shop)
}

/// A shop's records without the moments at which they were changed.
fn unstamped(mut shop: Workshop) -> Workshop {
    for instrument in &mut shop.instruments {
        instrument.changed = None;
        instrument.visits.iter_mut().for_each(|v| v.changed = None);
    }
    shop.rack.iter_mut().for_each(|r| r.changed = None);
    shop.owners.iter_mut().for_each(|o| o.changed = None);
    shop
}

/// The records in no order.
fn set(shop: &Workshop) -> Vec<String> {
    let mut all: Vec<String> = shop.owners.iter().map(file::write_owner).collect();
    all.extend(shop.rack.iter().map(file::write_rack_string));
    all.extend(shop.instruments.iter().map(file::write_instrument));
    all.sort();
    all
}

/// An instrument with a visit, and a rack string that no instrument carries.
fn two(shop: &Workshop) -> (String, String) {
    let visited = shop.instruments.iter().find(|i| !i.visits.is_empty());
    let fitted = |id: &str| {
        let courses = shop.instruments.iter().flat_map(Instrument::all_courses);
        let mut strings = courses.flat_map(|course| &course.strings);
        strings.any(|string| string.rack.as_deref() == Some(id))
    };
    let free = shop.rack.iter().find(|string| !fitted(&string.id));
    (visited.unwrap().id.clone(), free.unwrap().id.clone())
}

#[test]
fn what_another_window_changed_first_offers_no_undo() {
    let (drawer, shop) = filled();
    let (id, string) = two(&shop);
    let (here, there) = (Window::at(&drawer, &id), Window::at(&drawer, &id));
    there.store.edit(|i| i.name = "theirs".into());
    here.store
        .edit_with_undo("Removed course 1.", |i| remove_course(i, 0));
    assert_eq!(
        here.slip(),
        None,
        "it would bring back what was before theirs"
    );
    assert!(here.refused().contains("Another window changed"));
    assert_eq!(here.name(&id), "theirs");
    // What was done here is set aside whole.
    let asides = here.store.asides().get_untracked();
    assert_eq!(asides.len(), 1);
    assert!(asides[0].is_whole());
    here.store.undo();
    assert_eq!(Window::open(&drawer).name(&id), "theirs");

    there.store.edit_rack(&string, |s| s.name = "theirs".into());
    here.store
        .edit_rack_with_undo(&string, "Kept a pull.", |s| s.name = "mine".into());
    assert_eq!(here.slip(), None);
    // Nor is anything offered for a change that was refused, or that changes nothing.
    here.store.edit_with_undo("Emptied.", |i| i.courses.clear());
    assert!(here.refused().starts_with("Not changed: "));
    here.store.edit_with_undo("Did nothing.", |_| {});
    assert_eq!(here.slip(), None);
    // And once it stands, it is.
    here.store
        .edit_with_undo("Renamed.", |i| i.name = "mine".into());
    assert_eq!(here.slip().as_deref(), Some("Renamed."));
}

#[test]
fn what_another_window_changed_is_not_removed_and_what_could_be_undone_stays() {
    let (drawer, shop) = filled();
    let (id, string) = two(&shop);
    let (here, there) = (Window::at(&drawer, &id), Window::at(&drawer, &id));
    here.store.remove_rack(&string);
    let slip = here.slip();
    assert!(slip.is_some());
    there.store.edit(|i| i.name = "theirs".into());
    here.store.remove(&id);
    assert!(here.refused().contains("so it was not removed"));
    assert_eq!(here.name(&id), "theirs");
    assert_eq!(here.slip(), slip);
    let order =
        |shop: Workshop| -> Vec<String> { shop.instruments.into_iter().map(|i| i.id).collect() };
    assert_eq!(order(here.shop()), order(shop.clone()));
    assert_eq!(order(Window::open(&drawer).shop()), order(shop.clone()));
    here.store.undo();
    assert_eq!(here.name(&id), "theirs");
    assert_eq!(here.shop().rack.len(), shop.rack.len());
}

/// Everything that can be taken away, by its deed.
fn removals(shop: &Workshop) -> Vec<(&'static str, Box<dyn Fn(Store)>)> {
    let (id, string) = two(shop);
    let fitted = shop.rack[0].id.clone();
    let gone = id.clone();
    vec![
        ("an instrument", Box::new(move |s: Store| s.remove(&gone))),
        ("another one", {
            let last = shop.instruments.last().unwrap().id.clone();
            Box::new(move |s: Store| s.remove(&last))
        }),
        (
            "a rack string",
            Box::new(move |s: Store| s.remove_rack(&string)),
        ),
        (
            "a course",
            Box::new(|s: Store| s.edit_with_undo("Removed course 1.", |i| remove_course(i, 0))),
        ),
        (
            "the visits",
            Box::new(|s: Store| s.edit_with_undo("Removed a visit.", |i| i.visits.clear())),
        ),
        (
            "what was typed of a string",
            Box::new(move |s: Store| {
                s.edit_rack_with_undo(&fitted, "Kept a pull.", |r| r.note = "pulled".into())
            }),
        ),
        (
            "much at once",
            Box::new(|s: Store| {
                let done = s.change_shop("Strung a run.", |shop| {
                    shop.instruments.iter_mut().for_each(|i| i.note.push('!'));
                    shop.rack.iter_mut().for_each(|r| r.on_hand = Some(0));
                    Ok(())
                });
                done.unwrap();
            }),
        ),
    ]
}

#[test]
fn every_removal_comes_back_here_and_after_a_new_start() {
    let (_, shop) = filled();
    let (id, _) = two(&shop);
    for (what, remove) in removals(&shop) {
        for anew in [false, true] {
            let (drawer, _) = filled();
            let window = Window::at(&drawer, &id);
            let before = window.shop();
            window.store.set_draft(&id, "scale_mm", Some("38l"));
            remove(window.store);
            assert_ne!(
                unstamped(window.shop()),
                unstamped(before.clone()),
                "{what}"
            );
            assert!(window.slip().is_some(), "{what}");
            let window = if anew { Window::open(&drawer) } else { window };
            window.store.undo();
            assert_eq!(window.slip(), None, "{what}: {}", window.refused());
            // Each at its place, on the page and in the storage.
            assert_eq!(
                unstamped(window.shop()),
                unstamped(before.clone()),
                "{what}"
            );
            let next = Window::open(&drawer);
            assert_eq!(unstamped(next.shop()), unstamped(before), "{what}");
            assert_eq!(
                next.store.draft(&id, "scale_mm").as_deref(),
                Some("38l"),
                "{what}"
            );
            // There is nothing more to undo.
            next.store.undo();
            assert_eq!(unstamped(next.shop()), unstamped(window.shop()), "{what}");
        }
    }
}

#[test]
fn a_text_set_aside_comes_back_to_the_letter() {
    let (drawer, shop) = filled();
    let key = Instrument::key(Space::Own, &shop.instruments[0].id);
    let broken = drawer.read(&key).unwrap().replacen('a', "b", 1);
    drawer.write(&key, &broken).unwrap();
    let window = Window::open(&drawer);
    assert_eq!(window.store.aside_text(&key), broken);
    window.store.remove_aside(&key);
    assert_eq!(
        (drawer.read(&key), window.store.asides().get_untracked()),
        (None, vec![])
    );
    window.store.undo();
    assert_eq!(drawer.read(&key), Some(broken));
    assert_eq!(window.store.asides().get_untracked().len(), 1);
}

#[test]
fn changes_that_go_together_are_taken_back_together() {
    let (drawer, shop) = filled();
    let (id, _) = two(&shop);
    let window = Window::at(&drawer, &id);
    let before = window.shop();
    let heard = |goes_on: bool, note: &str| {
        window
            .store
            .edit_with_one_undo("Took readings of course 1 by ear.", goes_on, |i| {
                i.note.push_str(note)
            })
    };
    heard(false, "a");
    heard(true, "b");
    heard(true, "c");
    window.store.undo();
    assert_eq!(unstamped(window.shop()), unstamped(before));
    // What was typed between two of them stays, and so does what an earlier listening took.
    heard(false, "a");
    window.store.edit(|i| i.serial = "typed".into());
    heard(true, "b");
    heard(true, "c");
    window.store.undo();
    let left = window.store.other(&id).unwrap();
    assert!(
        left.serial == "typed" && left.note.ends_with('a'),
        "{}",
        left.note
    );
    heard(false, "x");
    heard(false, "y");
    window.store.undo();
    assert!(window.store.other(&id).unwrap().note.ends_with('x'));
}

#[test]
fn a_full_storage_says_so_and_the_file_out_holds_all_that_was_typed() {
    let (drawer, shop) = filled();
    let (id, _) = two(&shop);
    let window = Window::at(&drawer, &id);
    let before = window.shop();
    let taken: usize = drawer.texts.borrow().values().map(String::len).sum();
    *drawer.room.borrow_mut() = Some(taken + 10);
    let long = "typed while there was no room for it; ".repeat(20);
    window.store.edit(|i| i.note.clone_from(&long));
    let why = window.store.not_kept().get_untracked().unwrap_or_default();
    assert!(
        why.contains("is full") && why.contains("Write your records to a file now"),
        "{why}"
    );
    assert_eq!(
        window.store.other(&id).unwrap().note,
        long,
        "what was typed stays on the page"
    );
    // Also when the page reads all of it again: the file has it, and the storage the record of before, whole.
    window.store.reload();
    assert!(file::write(&window.shop()).contains(&long));
    assert!(window.store.not_kept().get_untracked().is_some());
    let start = Window::open(&drawer);
    assert_eq!(start.store.asides().get_untracked(), vec![]);
    assert_eq!(unstamped(start.shop()), unstamped(before));
    // A file is not taken in by halves.
    let typed = set(&window.shop());
    let mut more = window.shop();
    more.instruments
        .iter_mut()
        .for_each(|i| i.note = format!("{long}{}", i.id));
    more.instruments
        .iter_mut()
        .for_each(|i| i.changed = Some("2090-01-01T00:00:00Z".into()));
    let plan = window
        .store
        .plan_import(file::write(&more).as_bytes())
        .unwrap();
    let why = window.store.import(&plan, &[]).unwrap_err();
    assert!(
        why.starts_with("Nothing was changed.") && why.contains("is full"),
        "{why}"
    );
    assert_eq!(set(&window.shop()), typed);
    // With room again all of it is kept, and nothing more is said.
    *drawer.room.borrow_mut() = None;
    window.store.edit(|i| i.serial = "7".into());
    assert_eq!(window.store.not_kept().get_untracked(), None);
    assert_eq!(Window::open(&drawer).store.other(&id).unwrap().note, long);
}

#[test]
fn a_file_taken_in_twice_changes_nothing_the_second_time() {
    let (from, shop) = filled();
    let text = file::write(&Window::open(&from).shop());
    let drawer = TestDrawer::default();
    let window = Window::open(&drawer);
    let empty = drawer.texts.borrow().clone();
    let plan = window.store.plan_import(text.as_bytes()).unwrap();
    assert!(plan.entries.iter().all(|e| e.standing == Standing::Added));
    assert_eq!(
        *drawer.texts.borrow(),
        empty,
        "written before it was agreed to"
    );
    let said = window.store.import(&plan, &[]).unwrap();
    let count = shop.instruments.len() + shop.rack.len() + shop.owners.len();
    assert_eq!(said, format!("{count} records were written."));
    assert_eq!(
        file::write(&window.shop()),
        text,
        "to the byte, in its order"
    );
    assert_eq!(file::write(&Window::open(&drawer).shop()), text);
    let once = drawer.texts.borrow().clone();
    NOW_MS.set(NOW_MS.get() + DAY_MS);
    let plan = window.store.plan_import(text.as_bytes()).unwrap();
    let said = window.store.import(&plan, &[]).unwrap();
    assert_eq!(said, "Nothing had to be changed.");
    assert_eq!(*drawer.texts.borrow(), once);
    // A list that was made before the records changed is not carried out.
    let name = shop.instruments[0].name.clone();
    let changed = text.replace(&name, "from the file");
    let plan = window.store.plan_import(changed.as_bytes()).unwrap();
    window.store.open(&shop.instruments[0].id);
    window.store.edit(|i| i.name = "meanwhile".into());
    let why = window.store.import(&plan, &[]).unwrap_err();
    assert!(why.contains("have changed since"), "{why}");
    assert_eq!(window.name(&shop.instruments[0].id), "meanwhile");
}

#[test]
fn two_laptops_come_to_the_same_whichever_file_goes_first() {
    let laptop = |name: &str, minutes: f64| {
        let (drawer, shop) = filled();
        let window = Window::at(&drawer, &shop.instruments[0].id);
        NOW_MS.set(NOW_MS.get() + minutes * 60_000.0);
        window.store.edit(|i| i.name = format!("{name}'s"));
        window.store.open(&shop.instruments[1].id);
        // The same record at the same moment on both.
        NOW_MS.set(1_780_000_000_000.0);
        window.store.edit(|i| i.note = format!("{name} wrote this"));
        window.store.add_owner(Owner {
            name: format!("A customer of {name}"),
            ..Owner::default()
        });
        let rack = shop.rack[3].id.clone();
        window.store.edit_rack(&rack, |r| r.note = name.into());
        (drawer, window)
    };
    let (_, first) = laptop("first", 1.0);
    let (_, second) = laptop("second", 5.0);
    let take = |window: &Window, text: &str| {
        let plan = window.store.plan_import(text.as_bytes()).unwrap();
        window.store.import(&plan, &[]).unwrap()
    };
    let (one, two) = (file::write(&first.shop()), file::write(&second.shop()));
    take(&first, &two);
    take(&second, &one);
    assert_eq!(set(&first.shop()), set(&second.shop()));
    let text = set(&first.shop()).concat();
    for word in [
        "first wrote this",
        "second wrote this",
        "A customer of first",
        "A customer of second",
    ] {
        assert!(text.contains(word), "{word} is lost");
    }
    // Once more in either direction changes nothing.
    for (window, text) in [
        (&first, &two),
        (&second, &one),
        (&first, &file::write(&second.shop())),
    ] {
        assert_eq!(take(window, text), "Nothing had to be changed.");
    }
}

#[test]
fn a_choice_for_each_record_in_conflict_is_done() {
    let (drawer, shop) = filled();
    let id = shop.instruments[0].id.clone();
    let mut theirs = shop.clone();
    theirs.instruments[0].name = "theirs".into();
    let text = file::write(&theirs);
    let mine = shop.instruments[0].name.as_str();
    for (choice, name, more) in [
        (Choice::Mine, mine, 0),
        (Choice::Theirs, "theirs", 0),
        (Choice::Both, "theirs", 1),
    ] {
        let texts = drawer.texts.borrow().clone();
        let drawer = TestDrawer::default();
        drawer.texts.replace(texts);
        let window = Window::open(&drawer);
        let plan = window.store.plan_import(text.as_bytes()).unwrap();
        let choices: Vec<Choice> = plan
            .entries
            .iter()
            .map(|e| if e.has_choice() { choice } else { Choice::Rule })
            .collect();
        assert_eq!(choices.iter().filter(|c| **c != Choice::Rule).count(), 1);
        window.store.import(&plan, &choices).unwrap();
        let next = Window::open(&drawer).shop();
        assert_eq!(
            next.instruments.len(),
            shop.instruments.len() + more,
            "{choice:?}"
        );
        if choice != Choice::Both {
            assert_eq!(
                next.instruments.iter().find(|i| i.id == id).unwrap().name,
                name
            );
        }
        let names: Vec<&str> = next.instruments.iter().map(|i| i.name.as_str()).collect();
        assert!(
            names.iter().any(|n| n.starts_with(name)),
            "{choice:?}: {names:?}"
        );
        assert_eq!(
            names.iter().any(|n| n.starts_with(mine)),
            choice != Choice::Theirs,
            "{names:?}"
        );
    }
}

#[test]
fn one_instrument_goes_out_with_its_owner_and_its_strings_alone() {
    let (drawer, shop) = filled();
    let window = Window::open(&drawer);
    for instrument in &shop.instruments {
        let one = window
            .store
            .shop(Some(&instrument.id), "2026-02-01T10:00:00Z".into());
        assert_eq!(one.instruments, [instrument.clone()]);
        let owner: Vec<&str> = one.owners.iter().map(|o| o.id.as_str()).collect();
        assert_eq!(
            owner,
            instrument
                .owner
                .iter()
                .map(String::as_str)
                .collect::<Vec<_>>()
        );
        let mut on: Vec<&String> = instrument
            .all_courses()
            .flat_map(|course| &course.strings)
            .filter_map(|string| string.rack.as_ref())
            .collect();
        on.sort();
        on.dedup();
        let mut out: Vec<&String> = one.rack.iter().map(|r| &r.id).collect();
        out.sort();
        assert_eq!(out, on, "{}", instrument.name);
        assert_eq!(file::read(&file::write(&one)), Ok(one));
    }
}

#[test]
fn the_use_of_the_storage_is_told() {
    let drawer = TestDrawer::default();
    let window = Window::open(&drawer);
    let said = |window: &Window| window.store.storage_words();
    assert!(
        said(&window).contains("take 0.00 MiB of about 10 MiB"),
        "{}",
        said(&window)
    );
    // Half a Mi of letters are a MiB as browsers count, whatever their bytes in a file; another page's are not counted.
    drawer
        .write("strungwell.x", &"é".repeat(512 * 1024))
        .unwrap();
    drawer.write("another", &"x".repeat(4096 * 1024)).unwrap();
    assert!(said(&window).contains("take 1.00 MiB"), "{}", said(&window));
}

#[test]
fn an_old_export_is_remembered_after_thirty_days() {
    let (drawer, _) = filled();
    let window = Window::open(&drawer);
    let said = || window.store.export_reminder().unwrap_or_default();
    assert!(said().contains("never written to a file"), "{}", said());
    window.store.note_export();
    for (days, reminds) in [(0.0, false), (29.9, false), (30.1, true)] {
        let begun = NOW_MS.get();
        NOW_MS.set(begun + days * DAY_MS);
        assert_eq!(
            said().contains("30 days old"),
            reminds,
            "{days}: {}",
            said()
        );
        NOW_MS.set(begun);
    }
    // The demo shop need not be kept.
    window.store.enter(Space::Demo);
    assert_eq!(window.store.export_reminder(), None);
}

#[test]
fn instruments_are_found_by_what_their_records_say_now() {
    let (drawer, shop) = filled();
    let (id, _) = two(&shop);
    let window = Window::at(&drawer, &id);
    let found = |search: &str| window.store.find(search);
    assert_eq!(found("").len(), shop.instruments.len());
    assert_eq!(found("zitherbug"), Vec::<String>::new());
    window
        .store
        .edit(|i| i.visits[0].work = "Zitherbug shims, saddle".into());
    assert_eq!(found("SADDLE zitherbug"), [id.clone()]);
    let owner = window.store.add_owner(Owner {
        name: "Petronella Quill".into(),
        ..Owner::default()
    });
    assert_eq!(found("quill"), Vec::<String>::new());
    window.store.edit(|i| i.owner.clone_from(&owner));
    assert_eq!(found("quill petronella"), [id.clone()]);
    window
        .store
        .edit_owner(&owner.unwrap(), |o| o.name = "Petronella Reed".into());
    assert_eq!(found("quill"), Vec::<String>::new());
    assert_eq!(found("reed"), [id]);
}

#[test]
fn what_stands_on_the_bench_is_listed_the_longest_first() {
    let (drawer, shop) = filled();
    let window = Window::open(&drawer);
    for (at, day) in ["2026-01-20", "2026-01-10", "2026-01-15"]
        .into_iter()
        .enumerate()
    {
        window.store.open(&shop.instruments[at].id);
        window.store.edit(|i| {
            i.visits.clear();
            strungwell_workshop::visits::open(i, format!("v{at}"), day.into()).unwrap();
            if at == 1 {
                i.visits[0].waits_for = "a bone blank".into();
            }
        });
    }
    let lines: Vec<(String, String)> = window
        .store
        .standings()
        .into_iter()
        .map(|one| (one.id, one.place.words()))
        .collect();
    let at = |id: &str| lines.iter().position(|(other, _)| other == id).unwrap();
    let [a, b, c] = [0, 1, 2].map(|n| at(&shop.instruments[n].id));
    assert!(c < a && a < b, "{lines:?}");
    assert_eq!(lines[b].1, "waits since 2026-01-10 for a bone blank");
    assert_eq!(
        window.store.route().with_untracked(|r| r.place.clone()),
        Place::Instrument(shop.instruments[2].id.clone())
    );
}

#[test]
fn a_rack_string_that_is_fitted_stays() {
    let (drawer, shop) = filled();
    let window = Window::open(&drawer);
    let strings = shop.instruments.iter().flat_map(Instrument::all_courses);
    let fitted = strings
        .flat_map(|c| &c.strings)
        .find_map(|s| s.rack.clone());
    window.store.remove_rack(&fitted.unwrap());
    assert!(window.refused().contains("so it stays on the rack"));
    assert_eq!(window.shop().rack.len(), shop.rack.len());
}
