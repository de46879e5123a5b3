use super::*;

fn plan() -> Plan {
    Plan {
        course: 2,
        note: "C4".into(),
        open_hz: 261.63,
        first_fret: 0,
        frets: vec![5, 12, 1, 5],
        harmonic: true,
        repeats: 2,
    }
}

fn pitch(hz: f64, level_db: f64) -> Result<Pitch, NoPitch> {
    Ok(Pitch {
        hz,
        sd_cents: 0.03,
        inharmonicity: None,
        level_db,
        partials: 9,
        decay_per_s: 2.0,
    })
}

/// Plucks a note: windows until it is taken, ringing on, then silence.
fn pluck(guide: &mut Guide, hz: f64) -> bool {
    let mut taken = false;
    for k in 0..12 {
        taken |= guide.hear(pitch(hz, -20.0 - f64::from(k)));
    }
    guide.hear(Err(NoPitch::Silent));
    taken
}

#[test]
fn a_course_is_led_through_and_its_readings_come_out() {
    let mut guide = Guide::new(plan()).unwrap();
    assert_eq!(guide.say(), "Pluck the open C4 string.");
    let mut said = Vec::new();
    while let Some(asked) = guide.asked() {
        said.push(guide.say());
        // The first of two plucks is 1 cent lower than the second.
        let high = if guide.stage() == Stage::Pluck {
            4.0
        } else {
            5.0
        };
        assert!(
            pluck(&mut guide, asked.true_hz * Cents(high).ratio()),
            "{asked:?}"
        );
    }
    assert_eq!(guide.stage(), Stage::Done);
    assert_eq!(guide.progress(), (5, 5));
    assert_eq!(
        said[1],
        "Taken, 1 of 2. Let it die away, then the same again: pluck the open C4 string."
    );
    assert_eq!(
        said[2],
        "Touch the C4 string lightly over fret 12 and pluck it, for the harmonic."
    );
    assert_eq!(said[4], "Press the C4 string at fret 1 and pluck it.");
    let frets: Vec<_> = guide.readings().iter().map(|r| r.fret).collect();
    assert_eq!(frets, [Some(0), None, Some(1), Some(5), Some(12)]);
    for reading in guide.readings() {
        assert_eq!((reading.course, reading.repeats), (2, 2));
        assert!((reading.cents - 4.5).abs() < 1e-6);
        // Two that differ by 1 cent: 0.71 over root two, with the windows' own; pressed ones count as uneven besides.
        let square: f64 = match reading.way {
            Way::Fretted(_) => (4.0 + 0.5) / 2.0,
            Way::Open | Way::Harmonic => 0.5,
        };
        let expected = (square / 2.0).sqrt().hypot(0.03);
        assert!((reading.sd_cents - expected).abs() < 1e-6, "{reading:?}");
    }
}

#[test]
fn a_string_that_rings_on_is_not_taken_twice() {
    let mut guide = Guide::new(plan()).unwrap();
    let mut taken = 0;
    for k in 0..40 {
        taken += usize::from(guide.hear(pitch(261.63, -20.0 - 0.3 * f64::from(k))));
    }
    assert_eq!(taken, 1);
    // A new and louder pluck while it rings is another one.
    for _ in 0..10 {
        taken += usize::from(guide.hear(pitch(261.63, -12.0)));
    }
    assert_eq!(taken, 2);
}

#[test]
fn another_note_and_a_string_out_of_tune_are_said() {
    let mut guide = Guide::new(plan()).unwrap();
    assert!(!pluck(&mut guide, 523.0));
    for _ in 0..10 {
        guide.hear(pitch(523.0, -20.0));
    }
    assert!(
        guide
            .say()
            .starts_with("That is another note, about 12 frets higher")
    );
    guide.hear(Err(NoPitch::Silent));
    for _ in 0..10 {
        guide.hear(pitch(261.63 * Cents(-50.0).ratio(), -20.0));
    }
    assert_eq!(
        guide.say(),
        "The open string is 50.0 cents flat. Tune it, then pluck it again."
    );
    guide.hear(Err(NoPitch::Hum));
    assert!(guide.say().contains("hum of the mains"), "{}", guide.say());
    assert!(guide.readings().is_empty());
}

#[test]
fn a_note_can_be_left_out_or_taken_back() {
    let mut guide = Guide::new(Plan {
        repeats: 1,
        ..plan()
    })
    .unwrap();
    assert!(pluck(&mut guide, 261.63));
    guide.skip();
    assert_eq!(guide.asked().map(|a| a.way), Some(Way::Fretted(1)));
    guide.back();
    guide.back();
    assert_eq!(guide.asked().map(|a| a.way), Some(Way::Open));
    assert!(guide.readings().is_empty());
    guide.back();
    for _ in 0..9 {
        guide.skip();
    }
    assert_eq!(guide.say(), "All notes of this course are measured.");
}

#[test]
fn a_short_string_is_counted_from_its_own_nut_and_bad_plans_are_refused() {
    let short = Plan {
        first_fret: 5,
        frets: vec![7],
        ..plan()
    };
    let guide = Guide::new(short.clone()).unwrap();
    let last = guide.asked.last().unwrap();
    assert!((last.true_hz / short.open_hz - Cents(200.0).ratio()).abs() < 1e-12);
    for bad in [
        Plan {
            frets: vec![5],
            ..short.clone()
        },
        Plan {
            repeats: 0,
            ..short.clone()
        },
        Plan {
            open_hz: f64::NAN,
            ..short
        },
    ] {
        assert!(Guide::new(bad).is_err());
    }
}
