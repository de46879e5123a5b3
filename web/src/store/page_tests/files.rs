//! A full storage, and workshop files out and in.

use super::super::around::stand_in::NOW_MS;
use super::super::keep::tests::TestDrawer;
use super::{DAY_MS, Window, filled, set, two, unstamped};
use strungwell_workshop::file;
use strungwell_workshop::merge::{Choice, Standing};
use strungwell_workshop::records::Owner;

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
    // With room again all of it is kept, and nothing more is said.
    *drawer.room.borrow_mut() = None;
    window.store.edit(|i| i.serial = "7".into());
    assert_eq!(window.store.not_kept().get_untracked(), None);
    assert_eq!(Window::open(&drawer).store.other(&id).unwrap().note, long);
}

#[test]
fn a_file_that_does_not_fit_is_not_taken_in_by_halves() {
    let (from, shop) = filled();
    let text = file::write(&Window::open(&from).shop());
    let whole: usize = from.texts.borrow().values().map(String::len).sum();
    let mut fitted = Vec::new();
    for twentieths in 0..30 {
        let drawer = TestDrawer::default();
        let window = Window::open(&drawer);
        let before = drawer.texts.borrow().clone();
        *drawer.room.borrow_mut() = Some(whole * twentieths / 20);
        let plan = window.store.plan_import(text.as_bytes()).unwrap();
        let done = window.store.import(&plan, &[]);
        fitted.push(done.is_ok());
        let records = set(&window.shop()).len();
        if let Err(why) = done {
            assert!(
                why.starts_with("Nothing was changed.") && why.contains("is full"),
                "{why}"
            );
            assert_eq!((records, &*drawer.texts.borrow()), (0, &before));
        } else {
            assert_eq!(records, set(&shop).len());
        }
        assert_eq!(set(&Window::open(&drawer).shop()).len(), records);
    }
    assert!(!fitted[19] && fitted[29], "{fitted:?}");
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
        assert_eq!(one.instruments, std::slice::from_ref(instrument));
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
