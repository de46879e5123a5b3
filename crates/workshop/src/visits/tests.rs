use super::*;
use crate::file;
use crate::records::{CourseSetup, Owner, Setup};
use crate::units::Units;
use proptest::prelude::*;

fn instrument() -> Instrument {
    let shop = file::read(include_str!("../../../../demo-data/demo-shop.json")).unwrap();
    let mut instrument = shop.instruments[0].clone();
    instrument.visits.clear();
    instrument
}

fn heights(gap_12: f64) -> Setup {
    Setup {
        courses: vec![CourseSetup {
            gap_12_mm: Some(gap_12),
            ..CourseSetup::default()
        }],
        relief_mm: Some(0.1),
        relief_fret: Some(7),
        ..Setup::default()
    }
}

#[test]
fn a_visit_begins_as_found_and_ends_as_left() {
    let mut instrument = instrument();
    instrument.setup = heights(2.8);
    assert_eq!(
        open(&mut instrument, "v".into(), "2026-01-31".into()),
        Ok(0)
    );
    assert_eq!(
        Place::of(&instrument).words(),
        "on the bench since 2026-01-31"
    );
    let again = open(&mut instrument, "w".into(), "2026-02-01".into()).unwrap_err();
    assert!(again.contains("2026-01-31"), "{again}");
    instrument.visits[0].waits_for = "bone\nfor the nut".into();
    assert_eq!(
        Place::of(&instrument).words(),
        "waits since 2026-01-31 for bone for the nut"
    );
    instrument.setup = heights(2.4);
    assert!(close(&mut instrument, "x").is_err());
    assert_eq!(close(&mut instrument, "v"), Ok(()));
    assert!(close(&mut instrument, "v").is_err());
    let mut again = instrument.clone();
    assert!(reopen(&mut again, "x").is_err());
    assert_eq!(reopen(&mut again, "v"), Ok(()));
    assert_eq!(Place::of(&again).words(), "on the bench since 2026-01-31");
    assert!(reopen(&mut again, "v").unwrap_err().contains("2026-01-31"));
    let visit = &instrument.visits[0];
    assert_eq!(
        (&visit.as_found, &visit.as_left),
        (&Some(heights(2.8)), &Some(heights(2.4)))
    );
    assert_eq!(Place::of(&instrument), Place::Away);
    assert_eq!(file::check_instrument(&instrument), Ok(()));
}

#[test]
fn what_changed_is_said_in_words_and_numbers() {
    let mut instrument = instrument();
    instrument.setup = heights(2.4);
    let mut found = Visit {
        id: "a".into(),
        as_found: Some(heights(2.8)),
        temp_c: Some(20.0),
        ..Visit::default()
    };
    found.readings.push(crate::records::Reading {
        course: 1,
        fret: 12,
        cents: 8.0,
        ..Default::default()
    });
    let own = between(
        &instrument,
        (&found, When::Found),
        (&found, When::Left),
        Units::default(),
    );
    let note = instrument.courses[0].note.clone();
    let texts: Vec<&str> = own.iter().map(|c| c.text.as_str()).collect();
    assert_eq!(
        texts,
        [format!(
            "Gap at fret 12, course 1 {note}: 2.80 mm → 2.40 mm (0.40 mm less)"
        )]
    );
    assert_eq!(
        (own[0].course, own[0].before, own[0].after),
        (Some(0), Some(2.8), Some(2.4))
    );

    let mut later = found.clone();
    later.id = "b".into();
    later.readings[0].cents = 3.0;
    (later.temp_c, later.rh_percent) = (Some(24.0), Some(40.0));
    later.as_found = Some(Setup {
        relief_mm: None,
        ..heights(2.8)
    });
    let two = between(
        &instrument,
        (&found, When::Found),
        (&later, When::Found),
        Units::default(),
    );
    let texts: Vec<&str> = two.iter().map(|c| c.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "Relief at fret 7: 0.10 mm before, not measured after".to_owned(),
            format!("Reading at fret 12, course 1 {note}: 8.0 cents → 3.0 cents (5.0 cents less)"),
            "Temperature: 20.0 °C → 24.0 °C (4.0 °C more)".into(),
            "Humidity: 40.0 %, not measured before".into(),
        ]
    );
    assert_eq!(
        changes(
            &heights(2.8),
            &heights(2.804),
            &instrument.courses,
            Units::default()
        ),
        vec![]
    );
}

#[test]
fn instruments_are_found_by_owner_name_serial_and_words() {
    let mut instrument = instrument();
    instrument.name = "Tenor \"Lark\", spruce".into();
    instrument.serial = "No. 0417".into();
    instrument.visits.push(Visit {
        id: "hidden-id".into(),
        said: "rattles on the Ünderside,\nonly when cold".into(),
        ..Visit::default()
    });
    let owner = Owner {
        name: "Zoë Łukasz".into(),
        ..Owner::default()
    };
    let words = Searched::of(&file::write_instrument(&instrument), Some(&owner));
    for search in [
        "lark",
        "0417",
        "zoe lukasz",
        "LUKASZ tenor",
        "underside cold",
        "",
        "\"lark\"",
    ] {
        assert!(words.has(search), "{search}");
    }
    for search in ["hidden-id", "lark zither", "scale_mm", "saddle_setback_mm"] {
        assert!(!words.has(search), "{search}");
    }
}

proptest! {
    #[test]
    fn any_text_can_be_searched(text in any::<String>(), search in any::<String>()) {
        let _ = Searched::of(&text, None).has(&search);
    }

    #[test]
    fn a_note_is_found_by_each_of_its_words(note in any::<String>()) {
        let mut instrument = instrument();
        instrument.note = note.clone();
        let words = Searched::of(&file::write_instrument(&instrument), None);
        for word in note.split_whitespace() {
            prop_assert!(words.has(word), "{:?}", word);
        }
    }
}
