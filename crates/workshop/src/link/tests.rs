use super::*;
use crate::records::{
    Core, Course, CourseSetup, Density, FittedString, Make, Plain, Rated, Weighed, Wound, Wrap,
    WrapForm,
};
use crate::report::instrument_report;
use proptest::prelude::*;
use serde_json::json;

/// What nobody may find in a link.
const PRIVATE: &str = "Zyxwvu";

fn wound() -> Make {
    Make::Wound(Wound {
        core: Core {
            material: "nylon".into(),
            diameter_mm: 0.45,
            shape: crate::records::CoreShape::Filaments,
            filaments: Some(210),
            ..Core::default()
        },
        wraps: vec![Wrap {
            material: "silver-plated-copper".into(),
            form: WrapForm::Ribbon,
            size_mm: 0.075,
            width_mm: Some(0.325),
            ..Wrap::default()
        }],
        ..Wound::default()
    })
}

/// A guitar of six courses with everything filled in that can be.
fn guitar() -> (Instrument, Vec<RackString>, Setup) {
    let makes = [
        wound(),
        Make::Density(Density {
            g_per_m: 3.465,
            diameter_mm: 0.89,
            core: Some(Core {
                material: "nylon".into(),
                diameter_mm: 0.4,
                ..Core::default()
            }),
            ..Density::default()
        }),
        Make::Rated(Rated {
            tension_n: 67.25,
            note: "D3".into(),
            scale_mm: 650.0,
            diameter_mm: 0.74,
            ..Rated::default()
        }),
        Make::Weighed(Weighed {
            mass_g: 0.871,
            mass_give_g: Some(0.005),
            length_mm: 1003.5,
            diameter_mm: 1.03,
            ..Weighed::default()
        }),
        Make::Plain(Plain {
            material: "nylon".into(),
            diameter_mm: 0.82,
            ..Plain::default()
        }),
    ];
    let rack = vec![RackString {
        id: PRIVATE.into(),
        name: PRIVATE.into(),
        make: Make::Plain(Plain {
            material: "fluorocarbon".into(),
            diameter_mm: 0.57,
            ..Plain::default()
        }),
        kappa: Some(55.25),
        kappa_give: Some(2.5),
        note: PRIVATE.into(),
        price: Some(987_654.0),
        ..RackString::default()
    }];
    let mut strings: Vec<FittedString> = makes.into_iter().map(FittedString::of).collect();
    strings.push(FittedString::from_rack(PRIVATE));
    let courses: Vec<Course> = ["E2", "A2", "D3", "F#3", "B3", "E4"]
        .into_iter()
        .zip(strings)
        .map(|(note, mut string)| {
            let mut extra = crate::records::Extra::new();
            extra.insert(PRIVATE.into(), json!(PRIVATE));
            string.extra.clone_from(&extra);
            Course {
                note: note.into(),
                offset_cents: -1.5,
                slot_mm: Some(0.9),
                strings: vec![string],
                extra,
                ..Course::default()
            }
        })
        .collect();
    let setup = |lift: i32| Setup {
        courses: (0..6)
            .map(|n| CourseSetup {
                gap_1_mm: Some(f64::from(55 + n) / 100.0),
                gap_12_mm: Some(f64::from(lift + 5 * n) / 100.0),
                saddle_setback_mm: Some(1.85),
                nut_setback_mm: Some(-0.35),
                ..CourseSetup::default()
            })
            .collect(),
        relief_mm: Some(0.15),
        relief_fret: Some(8),
        fret_tops_mm: Some((0..19).map(|n| if n == 6 { 0.05 } else { 0.0 }).collect()),
        ..Setup::default()
    };
    let text = || PRIVATE.to_owned();
    let mut extra = crate::records::Extra::new();
    extra.insert(text(), json!(PRIVATE));
    let instrument = Instrument {
        id: text(),
        owner: Some(text()),
        name: text(),
        family: text(),
        maker: text(),
        serial: text(),
        note: text(),
        a4_hz: 442.0,
        scale_mm: 650.0,
        frets: 19,
        body_fret: Some(12),
        fret_height_mm: Some(1.1),
        courses,
        setup: setup(290),
        neck: Some(crate::records::Neck {
            wood: text(),
            board_wood: text(),
            ..crate::records::Neck::default()
        }),
        visits: vec![Visit {
            id: text(),
            note: text(),
            date: "2026-01-31".into(),
            ..Visit::default()
        }],
        extra,
        ..Instrument::default()
    };
    (instrument, rack, setup(380))
}

/// The link of what a link shows.
fn again(shown: &Shown) -> Result<String, BadLink> {
    let other = shown.other.as_ref().map(|(which, setup)| (*which, setup));
    encode(&shown.instrument, shown.which, &[], other)
}

#[test]
fn a_six_course_instrument_comes_back_and_the_report_says_the_same() {
    let (instrument, rack, other) = guitar();
    let link = encode(&instrument, Which::Now, &rack, Some((Which::Found, &other))).unwrap();
    assert!(link.len() < 800, "{} characters: {link}", link.len());
    let shown = decode(&format!("#{link}")).unwrap();
    assert_eq!(shown.which, Which::Now);
    assert_eq!(shown.other, Some((Which::Found, other)));
    assert_eq!(shown.instrument.setup, instrument.setup);
    assert_eq!(again(&shown).unwrap(), link);
    let (before, after) = (
        instrument_report(&instrument, &rack),
        instrument_report(&shown.instrument, &[]),
    );
    for (before, after) in before.courses.iter().zip(&after.courses) {
        assert_eq!(before.note, after.note);
        assert_eq!(before.pitch_hz, after.pitch_hz);
        for (before, after) in before.strings.iter().zip(&after.strings) {
            assert!(before.tension_n.is_some());
            assert_eq!(before.tension_n, after.tension_n);
            assert!(before.fretting.frets.len() == 20);
            assert_eq!(before.fretting.frets, after.fretting.frets);
        }
    }
}

#[test]
fn a_link_carries_nothing_personal() {
    let (instrument, rack, other) = guitar();
    let link = encode(&instrument, Which::Now, &rack, Some((Which::Found, &other))).unwrap();
    let shown = decode(&link).unwrap();
    let decoded = format!("{shown:?}");
    for private in [PRIVATE, "2026-01-31", "987654"] {
        assert!(!link.contains(private), "{link}");
        assert!(!decoded.contains(private), "{decoded}");
    }
    assert_eq!(shown.instrument.id, SHOWN_ID);
    assert_eq!(shown.instrument.name, "");
    assert!(shown.instrument.visits.is_empty() && shown.instrument.neck.is_none());
    assert!(
        link.bytes()
            .all(|b| b.is_ascii_alphanumeric() || b",.:-".contains(&b))
    );
}

#[test]
fn both_setups_keep_their_names_and_another_instruments_stays_at_home() {
    let (mine, rack, found) = guitar();
    let with = |setup: &Setup| Instrument {
        setup: setup.clone(),
        ..mine.clone()
    };
    let came_in = with(&found);
    // A like instrument, on the same strings.
    let other = Instrument {
        id: "i-2".into(),
        ..came_in.clone()
    };
    let beside = |which, second| {
        let link = of_sides((which, &mine), second, &rack).unwrap();
        let shown = decode(&link).unwrap();
        assert_eq!(shown.which, which);
        shown.other
    };
    assert_eq!(beside(Which::Now, Some((Which::Other, &other))), None);
    for which in [Which::Now, Which::Found, Which::Planned, Which::Tried] {
        let shown = beside(Which::Tried, Some((which, &came_in)));
        assert_eq!(shown, Some((which, found.clone())));
        assert_eq!(beside(which, Some((which, &mine))), None);
    }
    let mut strung = came_in.clone();
    strung.courses[0].note = "D2".into();
    assert_eq!(beside(Which::Now, Some((Which::Fourth, &strung))), None);
    let why = of_sides((Which::Other, &other), Some((Which::Now, &mine)), &rack).unwrap_err();
    assert!(why.to_string().contains("another instrument"), "{why}");
}

#[test]
fn notes_travel_by_their_plain_names_and_what_cannot_be_written_says_so() {
    let (mut instrument, rack, _) = guitar();
    let written = ["F♯ 2", " e♭3", "Bbb2", "c##4", "a3", "B4"];
    for (course, note) in instrument.courses.iter_mut().zip(written) {
        course.note = note.into();
    }
    let link = encode(&instrument, Which::Now, &rack, None).unwrap();
    let shown = decode(&link).unwrap().instrument;
    let notes: Vec<&str> = shown.courses.iter().map(|c| c.note.as_str()).collect();
    assert_eq!(notes, ["F#2", "D#3", "A2", "D4", "A3", "B4"]);
    let (before, after) = (
        instrument_report(&instrument, &rack),
        instrument_report(&shown, &[]),
    );
    for (before, after) in before.courses.iter().zip(&after.courses) {
        assert!(before.pitch_hz.is_some() && before.pitch_hz == after.pitch_hz);
    }
    let mut wire = Wire::writing();
    let mut shown = Shown {
        instrument: shown,
        which: Which::Now,
        other: None,
    };
    shown.instrument.courses[0].note = "H, 4".into();
    let why = wire.shown(&mut shown).unwrap_err();
    assert!(
        matches!(&why, BadLink::Figure(why) if why.contains("\"H, 4\" cannot be written")),
        "{why}"
    );
}

#[test]
fn every_family_fits() {
    for family in crate::families::FAMILIES {
        let instrument = crate::families::start(family.key, 0, None, "x").unwrap();
        let link = encode(&instrument, Which::Now, &[], None).unwrap();
        assert!(link.len() < 900, "{}: {}", family.key, link.len());
        let shown = decode(&link).unwrap();
        assert_eq!(shown.instrument.scale_mm, instrument.scale_mm);
        assert_eq!(shown.instrument.courses.len(), instrument.courses.len());
    }
}

#[test]
fn bad_links_are_refused_in_words() {
    let (instrument, rack, _) = guitar();
    let link = encode(&instrument, Which::Now, &rack, None).unwrap();
    assert_eq!(decode(""), Err(BadLink::Other));
    assert_eq!(decode("#/elsewhere"), Err(BadLink::Other));
    assert_eq!(decode(&link[..link.len() - 9]), Err(BadLink::Damaged));
    assert_eq!(decode(&link.replace("650", "651")), Err(BadLink::Damaged));
    assert!(matches!(
        decode(&"9".repeat(1_000_000)),
        Err(BadLink::TooLong(_))
    ));
    // The bound is in characters, as the sentence says, and not in bytes.
    assert_eq!(decode(&"é".repeat(MOST)), Err(BadLink::Other));
    let long = decode(&"é".repeat(MOST + 1)).unwrap_err();
    assert_eq!(long, BadLink::TooLong(MOST + 1));
    let says = long.to_string();
    assert!(says.contains("2901 characters, and at most 2900"), "{says}");
    // Well made, but no instrument.
    let body = "440,1e9,19,,,,,,0,0,0,,,0,0,";
    let error = decode(&format!("{BEGIN}{body}:{}", seal(body))).unwrap_err();
    assert!(error.to_string().contains("scale_mm"), "{error}");
    let strings = instrument.courses.len();
    let mut unknown = instrument;
    unknown.courses[strings - 1].strings[0].rack = Some("gone".into());
    let error = encode(&unknown, Which::Now, &rack, None)
        .unwrap_err()
        .to_string();
    assert!(error.starts_with("course 6: "), "{error}");
}

#[test]
fn a_qr_code_holds_the_address() {
    let (instrument, rack, other) = guitar();
    let link = encode(&instrument, Which::Now, &rack, Some((Which::Found, &other))).unwrap();
    let code = qr_code(&format!("https://example.org/strungwell/#{link}")).unwrap();
    assert_eq!(code.dark.len(), code.size * code.size);
    // The mark in the corner: dark edge, light ring, dark heart.
    let at = |x: usize, y: usize| code.dark[y * code.size + x];
    assert!(at(0, 0) && at(6, 6) && !at(1, 1) && at(3, 3) && !at(7, 7));
    assert!(code.size <= 129, "{}", code.size);
    assert_eq!(qr_code(&"x".repeat(3000)), None);
}

proptest! {
    #[test]
    fn no_text_does_harm(text in ".{0,400}") {
        let _ = decode(&text);
        let _ = decode(&format!("{BEGIN}{text}:{}", seal(&text)));
    }

    /// Past the seal, with tokens that a link could hold.
    #[test]
    fn no_tokens_do_harm(tokens in prop::collection::vec(
        prop_oneof![
            Just(String::new()), Just("1".into()), Just("0".into()), Just("4".into()), Just("24".into()), Just("650".into()),
            Just("E2".into()), Just("nylon".into()), Just("1e308".into()), Just("NaN".into()), Just("-inf".into()),
            Just("99999999999".into()), "[a-z0-9.-]{0,6}"
        ], 0..120)) {
        if let Ok(shown) = read_body(&tokens.join(",")) {
            let again = again(&shown);
            prop_assert!(again.is_ok() || matches!(again, Err(BadLink::Figure(_))));
        }
    }

    /// A good link with one token changed, sealed anew.
    #[test]
    fn a_changed_figure_is_taken_or_refused(at in 0usize..200, to in "[0-9.a-z-]{0,8}") {
        let (instrument, rack, other) = guitar();
        let link = encode(&instrument, Which::Now, &rack, Some((Which::Found, &other))).unwrap();
        let body = link[BEGIN.len()..].rsplit_once(':').unwrap().0;
        let mut tokens: Vec<&str> = body.split(',').collect();
        let at = at % tokens.len();
        tokens[at] = &to;
        if let Ok(shown) = read_body(&tokens.join(",")) {
            for course in instrument_report(&shown.instrument, &[]).courses {
                prop_assert!(course.tension_n.is_none_or(f64::is_finite));
            }
        }
    }
}
