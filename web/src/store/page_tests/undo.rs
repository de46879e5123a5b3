//! Every removal brought back, and what another window did meanwhile.

use super::super::keep::Drawer as _;
use super::super::record::Record as _;
use super::super::{Space, Store};
use super::{Window, filled, two, unstamped};
use strungwell_workshop::records::{Instrument, Workshop, remove_course};

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

#[test]
fn many_at_once_overwrite_nothing_of_another_window() {
    let (drawer, shop) = filled();
    let (id, _) = two(&shop);
    let (here, there) = (Window::at(&drawer, &id), Window::at(&drawer, &id));
    there.store.edit(|i| i.name = "theirs".into());
    let before = unstamped(there.shop());
    let why = here.store.change_shop("Strung a run.", |shop| {
        shop.instruments.iter_mut().for_each(|i| i.note.push('!'));
        Ok(())
    });
    let why = why.unwrap_err();
    assert!(
        why.starts_with("Nothing was changed. Another window"),
        "{why}"
    );
    assert_eq!(unstamped(here.shop()), before, "it is shown as it stands");
    assert_eq!(
        (unstamped(Window::open(&drawer).shop()), here.slip()),
        (before, None)
    );

    // Nor does a file that was compared with what stood here before.
    let mut file = shop.clone();
    for instrument in &mut file.instruments {
        instrument.name = "from the file".into();
        instrument.changed = Some("2090-01-01T00:00:00Z".into());
    }
    let text = strungwell_workshop::file::write(&file);
    let plan = here.store.plan_import(text.as_bytes()).unwrap();
    there.store.edit(|i| i.serial = "7".into());
    let before = unstamped(there.shop());
    let why = here.store.import(&plan, &[]).unwrap_err();
    assert!(
        why.starts_with("Nothing was changed. Another window"),
        "{why}"
    );
    assert_eq!(unstamped(here.shop()), before);
    assert_eq!(unstamped(Window::open(&drawer).shop()), before);
}

/// What a person does.
type Deed = Box<dyn Fn(Store)>;

/// Everything that can be taken away, by its deed.
fn removals(shop: &Workshop) -> Vec<(&'static str, Deed)> {
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
            "counts of the rack",
            Box::new(|s: Store| {
                let done = s.change_shop("Took a table into the rack.", |shop| {
                    shop.rack.iter_mut().for_each(|r| r.on_hand = None);
                    Ok(())
                });
                done.unwrap();
            }),
        ),
        (
            "one of the rack",
            Box::new(|s: Store| {
                let done = s.change_shop("Took a table into the rack.", |shop| {
                    shop.rack[5].note = String::from("from the table");
                    Ok(())
                });
                done.unwrap();
            }),
        ),
        (
            "the strings of two that are not open",
            Box::new(|s: Store| {
                let done = s.change_shop("Strung a run.", |shop| {
                    let run = &mut shop.instruments[3..5];
                    run.iter_mut().for_each(|i| i.courses[0].note = "A4".into());
                    Ok(())
                });
                done.unwrap();
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
            if what == "much at once" {
                let open = window.store.open_id().get_untracked();
                assert_eq!(open.as_ref(), Some(&id), "the page stays where it was");
            }
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
    // What else was done in between, with an offer of its own, is not taken back with it.
    heard(false, "d");
    window
        .store
        .edit_with_undo("Removed course 1.", |i| remove_course(i, 0));
    let courses = window.store.other(&id).unwrap().courses.len();
    heard(true, "e");
    window.store.undo();
    let left = window.store.other(&id).unwrap();
    assert!(left.note.ends_with('d') && left.courses.len() == courses);
    heard(false, "x");
    heard(false, "y");
    window.store.undo();
    assert!(window.store.other(&id).unwrap().note.ends_with('x'));
}

#[test]
fn a_half_typed_text_outlives_an_offer_that_is_put_away() {
    let (drawer, shop) = filled();
    let (id, string) = two(&shop);
    let here = Window::at(&drawer, &id);
    here.store.set_draft(&id, "scale_mm", Some("38l"));
    let typed = || here.store.draft(&id, "scale_mm");
    // What was only changed still stands.
    here.store
        .edit_with_undo("Renamed.", |i| i.name = "mine".into());
    here.store.dismiss();
    assert_eq!(typed().as_deref(), Some("38l"));
    here.store
        .edit_with_undo("Renamed.", |i| i.name = "other".into());
    here.store.remove_rack(&string);
    assert_eq!(typed().as_deref(), Some("38l"));
    // What is removed and cannot come back takes it along.
    here.store.remove(&id);
    assert_eq!(typed().as_deref(), Some("38l"));
    here.store.dismiss();
    assert_eq!(typed(), None);
}
