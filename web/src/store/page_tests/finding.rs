//! Finding, what stands on the bench, how much is stored, and the reminder.

use super::super::around::stand_in::NOW_MS;
use super::super::keep::Drawer as _;
use super::super::keep::tests::TestDrawer;
use super::super::{Place, Space};
use super::{DAY_MS, Window, filled, two};
use strungwell_workshop::records::Owner;

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
    assert_eq!(found("SADDLE zitherbug"), std::slice::from_ref(&id));
    let owner = window.store.add_owner(Owner {
        name: "Petronella Quill".into(),
        ..Owner::default()
    });
    assert_eq!(found("quill"), Vec::<String>::new());
    window.store.edit(|i| i.owner.clone_from(&owner));
    assert_eq!(found("quill petronella"), std::slice::from_ref(&id));
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
