use super::*;
use crate::file;
use crate::records::{Instrument, Owner, RackString, Visit};
use proptest::prelude::*;
use serde_json::json;
use std::sync::OnceLock;

fn shop() -> Workshop {
    static SHOP: OnceLock<Workshop> = OnceLock::new();
    let read = || file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap();
    SHOP.get_or_init(read).clone()
}

/// The records as a set: what two merged shops must agree on.
fn set(shop: &Workshop) -> Vec<String> {
    let mut all: Vec<String> = shop.owners.iter().map(file::write_owner).collect();
    all.extend(shop.rack.iter().map(file::write_rack_string));
    all.extend(shop.instruments.iter().map(file::write_instrument));
    all.sort();
    all
}

fn at(minute: u32) -> String {
    format!("2026-02-01T10:{minute:02}:00Z")
}

fn edited(shop: &Workshop, name: &str, changed: Option<u32>) -> Workshop {
    let mut shop = shop.clone();
    shop.instruments[0].name = name.into();
    shop.instruments[0].changed = changed.map(at);
    shop
}

#[test]
fn a_file_into_an_empty_shop_and_once_more() {
    let file = shop();
    let first = plan(&Workshop::default(), &file);
    assert!(first.entries.iter().all(|e| e.standing == Standing::Added));
    let merged = first.apply(&[], None).unwrap();
    assert_eq!(merged.workshop.instruments, file.instruments);
    assert_eq!(merged.written.len(), first.entries.len());
    let again = plan(&merged.workshop, &file);
    assert!(
        again
            .entries
            .iter()
            .all(|e| e.standing == Standing::Same && !e.writes())
    );
    let twice = again.apply(&[], None).unwrap();
    assert_eq!((twice.workshop, twice.written), (merged.workshop, vec![]));
}

#[test]
fn the_newer_counts_whichever_side_it_is_on() {
    let (old, new) = (
        edited(&shop(), "old", Some(1)),
        edited(&shop(), "new", Some(2)),
    );
    let plan_new = plan(&old, &new);
    let entry = plan_new
        .entries
        .iter()
        .find(|e| e.kind == Kind::Instrument)
        .unwrap();
    assert_eq!(entry.standing, Standing::Newer(Side::Theirs));
    assert_eq!(entry.differs, ["name"]);
    assert!(
        entry.text.contains("Newer in the file") && entry.text.contains("name"),
        "{}",
        entry.text
    );
    for merged in [merge(&old, &new).unwrap(), merge(&new, &old).unwrap()] {
        assert_eq!(merged.instruments[0].name, "new");
        assert_eq!(merged.instruments.len(), shop().instruments.len());
    }
    assert_eq!(plan(&new, &old).apply(&[], None).unwrap().written, vec![]);
}

#[test]
fn of_two_without_moments_both_are_kept_and_nothing_more_the_next_time() {
    for changed in [None, Some(3)] {
        let (a, b) = (
            edited(&shop(), "Ash", changed),
            edited(&shop(), "Beech", changed),
        );
        let conflict = plan(&a, &b);
        let entry = conflict
            .entries
            .iter()
            .find(|e| e.standing == Standing::Conflict)
            .unwrap();
        assert!(entry.has_choice() && entry.writes());
        let one = merge(&a, &b).unwrap();
        assert_eq!(set(&one), set(&merge(&b, &a).unwrap()));
        assert_eq!(one.instruments.len(), shop().instruments.len() + 1);
        assert_eq!(one.instruments[0].name, "Beech");
        assert_eq!(one.instruments.last().unwrap().name, "Ash (the other one)");
        for file in [&a, &b] {
            let again = plan(&one, file);
            assert!(
                again.entries.iter().all(|e| e.standing == Standing::Same),
                "{:?}",
                again.entries
            );
            assert_eq!(again.apply(&[], None).unwrap().written, vec![]);
        }
    }
}

#[test]
fn a_person_s_choice_counts_here_and_elsewhere() {
    let (a, b) = (
        edited(&shop(), "Ash", Some(1)),
        edited(&shop(), "Beech", Some(1)),
    );
    let conflict = plan(&a, &b);
    let place = conflict
        .entries
        .iter()
        .position(|e| e.standing == Standing::Conflict)
        .unwrap();
    let chosen = |choice| {
        let mut choices = vec![Choice::Rule; place];
        choices.push(choice);
        conflict.apply(&choices, Some(&at(9))).unwrap().workshop
    };
    for (choice, name) in [(Choice::Mine, "Ash"), (Choice::Theirs, "Beech")] {
        let shop = chosen(choice);
        assert_eq!(shop.instruments.len(), a.instruments.len());
        assert_eq!(shop.instruments[0].name, name);
        for other in [&a, &b] {
            assert_eq!(merge(other, &shop).unwrap().instruments[0].name, name);
            assert_eq!(set(&merge(other, &shop).unwrap()), set(&shop));
        }
    }
    assert_eq!(
        chosen(Choice::Both).instruments.len(),
        a.instruments.len() + 1
    );
    // Against the newer one.
    let (old, new) = (
        edited(&shop(), "old", Some(1)),
        edited(&shop(), "new", Some(2)),
    );
    let mut choices = vec![Choice::Rule; place];
    choices.push(Choice::Mine);
    let kept = plan(&old, &new)
        .apply(&choices, Some(&at(9)))
        .unwrap()
        .workshop;
    assert_eq!(merge(&new, &kept).unwrap().instruments[0].name, "old");
    choices[place] = Choice::Both;
    let both = plan(&old, &new)
        .apply(&choices, Some(&at(9)))
        .unwrap()
        .workshop;
    assert_eq!(both.instruments[0].name, "new");
    assert_eq!(both.instruments.last().unwrap().name, "old (the other one)");
}

#[test]
fn visits_come_together_one_by_one() {
    let visit = |id: &str, day: &str, note: &str, changed: Option<u32>| Visit {
        id: id.into(),
        date: day.into(),
        note: note.into(),
        changed: changed.map(at),
        ..Visit::default()
    };
    let (mut a, mut b) = (shop(), shop());
    a.instruments[0].visits = vec![
        visit("v1", "2026-01-01", "old", Some(1)),
        visit("v2", "2026-01-02", "here", None),
        visit("v4", "2026-01-04", "only here", None),
    ];
    b.instruments[0].visits = vec![
        visit("v1", "2026-01-01", "new", Some(2)),
        visit("v2", "2026-01-02", "there", None),
        visit("v3", "2026-01-03", "only there", None),
    ];
    let entry = plan(&a, &b)
        .entries
        .into_iter()
        .find(|e| e.standing == Standing::Visits)
        .unwrap();
    assert_eq!((entry.visits_added, entry.visits_apart), (1, 1));
    assert!(
        entry.text.contains("1 visit would be added"),
        "{}",
        entry.text
    );
    let merged = merge(&a, &b).unwrap();
    assert_eq!(set(&merged), set(&merge(&b, &a).unwrap()));
    let notes: Vec<&str> = merged.instruments[0]
        .visits
        .iter()
        .map(|v| v.note.as_str())
        .collect();
    assert_eq!(notes, ["new", "there", "here", "only there", "only here"]);
    assert_eq!(plan(&merged, &b).apply(&[], None).unwrap().written, vec![]);
    assert_eq!(plan(&merged, &a).apply(&[], None).unwrap().written, vec![]);
}

#[test]
fn too_many_visits_change_nothing() {
    let (mut a, mut b) = (shop(), shop());
    let many = |word: &str| {
        (0..6000)
            .map(|n| Visit {
                id: format!("{word}{n}"),
                ..Visit::default()
            })
            .collect()
    };
    a.instruments[0].visits = many("a");
    b.instruments[0].visits = many("b");
    let problem = plan(&a, &b).apply(&[], None).unwrap_err();
    assert_eq!(problem.field, "visits");
}

#[test]
fn unknown_fields_come_along() {
    let mut file = shop();
    file.extra.insert("later".into(), json!([1]));
    file.instruments[0]
        .extra
        .insert("later".into(), json!({ "x": 1 }));
    file.instruments[0].changed = Some(at(1));
    let mut mine = shop();
    mine.instruments[0].changed = Some(at(0));
    let merged = merge(&mine, &file).unwrap();
    assert_eq!(merged.extra, file.extra);
    assert_eq!(merged.instruments[0].extra, file.instruments[0].extra);
}

#[test]
fn a_stamp_is_set_on_what_changed_alone() {
    let before = shop()
        .instruments
        .into_iter()
        .find(|i| i.visits.len() == 2)
        .unwrap();
    let mut after = before.clone();
    stamp_instrument(Some(&before), &mut after, &at(1));
    assert_eq!(after, before);
    after.visits[1].note.push('!');
    stamp_instrument(Some(&before), &mut after, &at(1));
    assert_eq!(after.changed, before.changed);
    assert_eq!(after.visits[0], before.visits[0]);
    assert_eq!(after.visits[1].changed, Some(at(1)));
    let late = after.clone();
    after.scale_mm += 1.0;
    after.changed = Some(at(5));
    let early = after.clone();
    after.scale_mm += 1.0;
    stamp_instrument(Some(&early), &mut after, &at(2));
    assert_eq!(after.changed, Some(at(5)), "a clock set back");
    assert_eq!(after.visits, late.visits);
}

/// The first string and instrument of the shop.
fn first() -> (RackString, Instrument) {
    static FIRST: OnceLock<(RackString, Instrument)> = OnceLock::new();
    FIRST
        .get_or_init(|| {
            (
                shop().rack.swap_remove(0),
                shop().instruments.swap_remove(0),
            )
        })
        .clone()
}

/// A small shop whose records clash often: few ids, few names, few moments.
fn any_shop() -> impl Strategy<Value = Workshop> {
    let stamp = || prop::option::of(0..3u32).prop_map(|minute| minute.map(at));
    let word = || prop::sample::select(vec!["", "Ash", "Beech"]);
    let owner = (0..3u8, word(), stamp()).prop_map(|(id, name, changed)| Owner {
        id: format!("o{id}"),
        name: name.into(),
        changed,
        ..Owner::default()
    });
    let string = (0..3u8, word(), stamp()).prop_map(|(id, name, changed)| RackString {
        id: format!("r{id}"),
        name: name.into(),
        changed,
        ..first().0
    });
    let visit = (0..4u8, 1..4u8, word(), stamp()).prop_map(|(id, day, note, changed)| Visit {
        id: format!("v{id}"),
        date: format!("2026-01-0{day}"),
        note: note.into(),
        changed,
        ..Visit::default()
    });
    let visits = prop::collection::vec(visit, 0..5);
    let instrument = (0..3u8, word(), stamp(), visits).prop_map(|(id, name, changed, visits)| {
        let mut instrument = first().1;
        (instrument.id, instrument.name, instrument.owner) = (format!("i{id}"), name.into(), None);
        (instrument.changed, instrument.visits) = (changed, once(visits, |v: &Visit| v.id.clone()));
        for course in &mut instrument.courses {
            course.strings = vec![crate::records::FittedString::of(first().0.make)];
        }
        instrument
    });
    let some = 0..4usize;
    (
        prop::collection::vec(owner, some.clone()),
        prop::collection::vec(string, some.clone()),
        prop::collection::vec(instrument, some),
    )
        .prop_map(|(owners, rack, instruments)| Workshop {
            owners: once(owners, |o| o.id.clone()),
            rack: once(rack, |r| r.id.clone()),
            instruments: once(instruments, |i: &Instrument| i.id.clone()),
            ..Workshop::default()
        })
}

fn once<T>(list: Vec<T>, id: impl Fn(&T) -> String) -> Vec<T> {
    let mut seen = Vec::new();
    list.into_iter()
        .filter(|one| {
            let new = !seen.contains(&id(one));
            seen.push(id(one));
            new
        })
        .collect()
}

/// Every text of a shop's records that must not be lost in a conflict: names and notes with their ids.
fn undecided(a: &Workshop, b: &Workshop) -> Vec<String> {
    let conflicts = plan(a, b)
        .entries
        .into_iter()
        .filter(|e| e.standing == Standing::Conflict);
    let ids: Vec<(Kind, String)> = conflicts.map(|e| (e.kind, e.id)).collect();
    let mut names = Vec::new();
    for shop in [a, b] {
        for (kind, id) in &ids {
            let name = match kind {
                Kind::Owner => shop.owner(id).map(|o| o.name.clone()),
                Kind::RackString => shop.rack_string(id).map(|r| r.name.clone()),
                Kind::Instrument => shop
                    .instruments
                    .iter()
                    .find(|i| i.id == *id)
                    .map(|i| i.name.clone()),
            };
            names.extend(name);
        }
    }
    names
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_shrink_iters: 500, ..ProptestConfig::default() })]

    #[test]
    fn two_shops_come_to_the_same_whichever_goes_first(a in any_shop(), b in any_shop()) {
        let (one, other) = (merge(&a, &b).unwrap(), merge(&b, &a).unwrap());
        prop_assert_eq!(set(&one), set(&other));
        prop_assert_eq!(file::check(&one), Ok(()));
        // Taking either in again changes nothing.
        for file in [&a, &b, &other] {
            let again = plan(&one, file);
            let merged = again.apply(&[], None).unwrap();
            prop_assert_eq!(&merged.written, &vec![], "{:?}", again.entries);
            prop_assert!(again.entries.iter().all(|e| !e.writes()), "{:?}", again.entries);
        }
        // No record and no visit is lost; of those in conflict neither text is.
        let text = file::write(&one);
        for shop in [&a, &b] {
            for instrument in &shop.instruments {
                let kept = one.instruments.iter().find(|i| i.id == instrument.id).unwrap();
                for visit in &instrument.visits {
                    prop_assert!(kept.visits.iter().any(|v| v.id == visit.id));
                }
            }
        }
        for name in undecided(&a, &b) {
            prop_assert!(text.contains(&name), "{}", name);
        }
    }

    #[test]
    fn a_plan_says_what_is_written(a in any_shop(), b in any_shop()) {
        let plan = plan(&a, &b);
        let merged = plan.apply(&[], None).unwrap();
        for (kind, id) in &merged.written {
            let named = plan.entries.iter().any(|e| e.kind == *kind && (e.id == *id || id.starts_with(&format!("{}~", e.id))));
            prop_assert!(named, "{:?} {}", kind, id);
        }
        for entry in plan.entries.iter().filter(|e| e.writes()) {
            prop_assert!(
                merged.written.iter().any(|(kind, id)| *kind == entry.kind && id.starts_with(&entry.id)),
                "{:?}", entry
            );
        }
    }
}
