//! Strings of the rack: those that a change newly made, those that an instrument needs, and the demo shop put back.

use super::super::Space;
use super::super::keep::tests::TestDrawer;
use super::{Window, filled, two, unstamped};
use strungwell_workshop::records::{FittedString, Instrument, RackString, Workshop};
use strungwell_workshop::report::loads::record::keep_as_former;

/// A table or a run taken in: a new string at the front of the rack and one behind it, and the rest of the work.
fn take_in(window: &Window, work: impl FnOnce(&mut Workshop)) -> [String; 2] {
    let ids = ["fresh-1", "fresh-2"].map(str::to_owned);
    let done = window.store.change_shop("Took a table in.", |shop| {
        let fresh = |id: &String| RackString {
            id: id.clone(),
            name: id.clone(),
            ..shop.rack[0].clone()
        };
        let (front, end) = (fresh(&ids[0]), fresh(&ids[1]));
        shop.rack.insert(0, front);
        shop.rack.push(end);
        work(shop);
        Ok(())
    });
    done.unwrap();
    ids
}

fn rack(window: &Window) -> Vec<String> {
    window.shop().rack.into_iter().map(|r| r.id).collect()
}

fn put_on(instrument: &mut Instrument, id: &str) {
    instrument.courses[0].strings = vec![FittedString {
        rack: Some(id.to_owned()),
        ..FittedString::default()
    }];
}

#[test]
fn strings_that_a_table_or_a_run_newly_made_go_with_it() {
    let (_, shop) = filled();
    let (id, _) = two(&shop);
    for anew in [false, true] {
        for fits in [false, true] {
            let (drawer, _) = filled();
            let window = Window::at(&drawer, &id);
            let before = window.shop();
            let ids = take_in(&window, |shop| {
                if fits {
                    let on = shop.instruments.iter_mut().find(|i| i.id == id).unwrap();
                    put_on(on, "fresh-1");
                    shop.rack[3].on_hand = Some(77);
                }
            });
            assert_eq!(rack(&window).len(), shop.rack.len() + 2);
            window.store.set_draft(&ids[0], "price", Some("1o"));
            let window = if anew { Window::open(&drawer) } else { window };
            assert_eq!(window.slip().as_deref(), Some("Took a table in."));
            window.store.undo();
            assert_eq!((window.slip(), window.refused()), (None, String::new()));
            assert_eq!(unstamped(window.shop()), unstamped(before.clone()));
            let next = Window::open(&drawer);
            assert_eq!(unstamped(next.shop()), unstamped(before));
            let left = drawer.texts.borrow();
            let left: Vec<_> = left.keys().filter(|key| key.contains("fresh-")).collect();
            assert_eq!(left, Vec::<&String>::new());
        }
    }
}

#[test]
fn a_new_string_that_got_on_an_instrument_meanwhile_stays() {
    let (drawer, shop) = filled();
    let window = Window::at(&drawer, &shop.instruments[0].id);
    take_in(&window, |shop| shop.rack[3].on_hand = Some(77));
    window.store.edit(|i| put_on(i, "fresh-2"));
    window.store.undo();
    assert_eq!(window.slip(), None, "{}", window.refused());
    let rack = rack(&window);
    assert!(!rack.contains(&"fresh-1".to_owned()));
    assert_eq!(rack.last().map(String::as_str), Some("fresh-2"));
    // One that was changed since is not taken away behind its maker's back: the offer is gone, as after any later change.
    let ids = take_in(&window, |_| {});
    assert!(window.slip().is_some());
    window.store.edit_rack(&ids[0], |r| r.name = "mine".into());
    assert_eq!(window.slip(), None);
}

#[test]
fn a_rack_string_that_an_instrument_carries_or_carried_stays() {
    let (drawer, shop) = filled();
    let window = Window::at(&drawer, &shop.instruments[0].id);
    let on = shop.instruments.iter().flat_map(|i| &i.courses);
    let on = on.flat_map(|c| &c.strings).find_map(|s| s.rack.clone());
    let on = on.unwrap();
    window.store.remove_rack(&on);
    assert!(window.refused().starts_with("Fitted to "));
    assert!(window.refused().contains("so it stays on the rack"));
    assert_eq!(window.shop().rack.len(), shop.rack.len());

    // A string that is only among the strings before; also after a new start, when no record is read yet.
    let (_, free) = two(&shop);
    let strung = |window: &Window, id: &str| {
        window.store.edit(|i| {
            put_on(i, id);
            keep_as_former(i, "2026-01-31");
            put_on(i, &on);
        });
    };
    strung(&window, &free);
    let window = Window::open(&drawer);
    window.store.remove_rack(&free);
    let name = &shop.instruments[0].name;
    let why = window.refused();
    assert!(
        why.contains(&format!("strings that {name} carried before")) && why.contains("Loads"),
        "{why}"
    );
    assert_eq!(window.shop().rack.len(), shop.rack.len());
    // Once it is not among them any more, it goes.
    window.store.open(&shop.instruments[0].id);
    strung(&window, &on);
    window.store.remove_rack(&free);
    assert_eq!(window.refused(), "");
    assert_eq!(window.shop().rack.len(), shop.rack.len() - 1);
}

#[test]
fn resetting_the_demo_tells_of_another_window_at_once() {
    let drawer = TestDrawer::default();
    let here = Window::open(&drawer);
    here.store.enter(Space::Demo);
    let fresh = here.shop();
    let there = Window::open(&drawer);
    there.store.enter(Space::Demo);
    let id = fresh.instruments[0].id.clone();
    let changes: [&dyn Fn(); 2] = [
        &|| {
            there.store.open(&id);
            there.store.edit(|i| i.name = "theirs".into());
        },
        &|| there.store.remove(&id),
    ];
    for change in changes {
        change();
        here.store.reset_demo();
        assert!(here.refused().contains("so it was not reset"));
        assert_eq!(here.shop(), there.shop(), "it is shown as it stands");
        // Pressed again it is reset, whole, and nothing is told later.
        here.store.reset_demo();
        assert_eq!(here.refused(), "");
        assert_eq!(unstamped(here.shop()), unstamped(fresh.clone()));
        assert_eq!(here.store.asides().get_untracked(), vec![]);
        here.store.open(&fresh.instruments[1].id);
        here.store.edit(|i| i.serial.push('7'));
        assert_eq!(here.refused(), "");
        here.store.reset_demo();
        assert_eq!(unstamped(here.shop()), unstamped(fresh.clone()));
        there.store.reload();
    }
}
