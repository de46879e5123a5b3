//! What depends on the time of day.

use super::*;

#[test]
fn settling_goes_by_the_clock_and_a_late_one_is_due() {
    let shop = shop();
    let tenor = named(&shop, "inst-tenor-5");
    let at = |now: Option<&str>| loads(&shop, &tenor, now).settling.unwrap();
    let early = at(Some(MORNING));
    assert_eq!(early.hours_now, Some(49.0));
    let next = early.next.clone().unwrap();
    // At the very hour it is flat by the tolerance.
    let due = early
        .courses
        .iter()
        .find(|c| c.schedule.first() == Some(&next))
        .unwrap();
    let flat = due.b_cents.unwrap() * (next.hours / due.tuned_hours.unwrap()).log10();
    assert!((flat - early.tolerance_cents).abs() < 1e-9);
    let late = loads(&shop, &tenor, Some("2026-02-10T10:00Z"));
    assert!(late.warnings.iter().any(|w| w.code == "retune-now"));
    assert_eq!(late.settling.unwrap().next.unwrap().in_hours, Some(0.0));
    // Without a clock the schedule still stands, in hours since stringing.
    let without = at(None);
    assert_eq!(
        (without.hours_now, without.courses[1].flat_now_cents),
        (None, None)
    );
    let hours = |s: &SettlingReport| {
        s.courses[1]
            .schedule
            .iter()
            .map(|r| r.hours)
            .collect::<Vec<_>>()
    };
    assert_eq!(hours(&without), hours(&early));
    let first = without.courses[1].curve.first().unwrap();
    assert!((first.hours - 0.5).abs() < 1e-9 && first.band_cents[0] < first.cents);
}

#[test]
fn playing_in_goes_by_the_clock_through_all_its_states() {
    let shop = shop();
    let mut tenor = named(&shop, "inst-tenor-5");
    let state = |tenor: &Instrument, now: &str| {
        let loads = loads(&shop, tenor, Some(now));
        (loads.playing_in.clone().unwrap(), loads)
    };
    assert_eq!(
        state(&tenor, "2026-01-30T17:00Z").0.state,
        PlayingState::Waiting
    );
    let running = state(&tenor, MORNING).0;
    let rest = running.remaining_strokes.unwrap() / (75.0 * 60.0);
    assert!((running.remaining_hours.unwrap() - rest).abs() < 1e-9);
    let (done, loads) = state(&tenor, "2026-02-20T10:00Z");
    assert_eq!(done.state, PlayingState::StringsDue);
    assert_eq!((done.share, done.remaining_strokes), (Some(1.0), Some(0.0)));
    assert!(loads.warnings.iter().any(|w| w.code == "strings-due"));
    change_strings_after_playing_in(&mut tenor, at("2026-02-20T10:00Z"));
    assert_eq!(
        state(&tenor, "2026-02-21T10:00Z").0.state,
        PlayingState::Finished
    );
    let mut short = named(&shop, "inst-tenor-5");
    stop_playing_in(&mut short, at("2026-01-31T09:00Z"));
    let stopped = state(&short, "2026-02-20T10:00Z").0;
    assert_eq!(
        (stopped.state, stopped.done_at),
        (PlayingState::Stopped, None)
    );
    assert!((stopped.strokes.unwrap() - 66_900.0).abs() < 1e-6);
    start_playing_in(&mut short, at("2026-03-01T00:00Z"));
    let anew = state(&short, "2026-03-01T01:00Z").0;
    assert!((anew.strokes.unwrap() - 4500.0).abs() < 1e-6);
    // A counter that is far off the rate is said.
    put_count(
        &mut short,
        None,
        Some(crate::records::StrokeCount {
            at: "2026-03-02T00:00Z".into(),
            strokes: 60_000.0,
            ..crate::records::StrokeCount::default()
        }),
    );
    let off = state(&short, "2026-03-02T00:00Z");
    assert!(off.1.warnings.iter().any(|w| w.code == "playing-in-rate"));
    assert!((off.0.strokes.unwrap() - 60_000.0).abs() < 1e-6);
}

#[test]
fn several_instruments_wait_in_one_list_and_hang_on_one_machine() {
    let mut shop = shop();
    let mut later = shop.clone();
    let list = due(&shop.instruments, at(MORNING));
    assert_eq!(list.len(), 4);
    assert!(
        list.windows(2)
            .all(|pair| pair[0].seconds <= pair[1].seconds)
    );
    assert_eq!(list[0].what, "retune");
    let machine = machines(&shop.instruments, at(MORNING));
    assert_eq!(machine.len(), 1);
    let names: Vec<&str> = machine[0]
        .instruments
        .iter()
        .map(|i| i.0.as_str())
        .collect();
    assert_eq!(names, ["inst-concert-12", "inst-tenor-5"]);
    assert_eq!(machine[0].free_in_hours, machine[0].instruments[1].2);
    let name = machine[0].machine.clone();
    assert_eq!(
        set_machine(&mut shop.instruments, &name, 50.0, 24.0).len(),
        2
    );
    assert!(set_machine(&mut shop.instruments, "another", 50.0, 24.0).is_empty());
    let quicker = machines(&shop.instruments, at(MORNING));
    assert!(quicker[0].free_in_hours < 0.51 * machine[0].free_in_hours);
    // All moments moved by a year: the same list a year later.
    let year = 365.0 * 86_400.0;
    move_moments(&mut later.instruments, year);
    let moved = due(&later.instruments, at("2027-01-31T10:00Z"));
    assert!(
        moved
            .iter()
            .zip(&list)
            .all(|(a, b)| (a.in_hours - b.in_hours).abs() < 1e-6)
    );
    assert_eq!(crate::file::check(&later), Ok(()));
}

#[test]
fn looks_are_put_changed_and_taken_out() {
    let shop = shop();
    let mut tenor = named(&shop, "inst-tenor-5");
    tenor.settling = None;
    let look = |hours| Look {
        course: 1,
        hours,
        flat_cents: 20.0,
        retuned: true,
        ..Look::default()
    };
    put_look(&mut tenor, None, Some(look(1.0)));
    assert_eq!(tenor.settling, None);
    begin_settling(&mut tenor, at(MORNING));
    assert_eq!(
        hours_since_strung(&tenor, at("2026-01-31T11:30Z")),
        Some(1.5)
    );
    assert_eq!(hours_since_strung(&tenor, at("2026-01-31T09:30Z")), None);
    put_look(&mut tenor, None, Some(look(1.5)));
    let looks = |tenor: &Instrument| tenor.settling.clone().unwrap().looks;
    assert_eq!(looks(&tenor).len(), 1);
    if let Some(settling) = &mut tenor.settling {
        settling.looks[0].extra.insert("later".into(), 1.into());
    }
    put_look(&mut tenor, Some(0), Some(look(2.0)));
    assert_eq!(
        (looks(&tenor)[0].hours, looks(&tenor)[0].extra.len()),
        (2.0, 1)
    );
    put_look(&mut tenor, Some(7), None);
    put_look(&mut tenor, Some(0), None);
    assert!(looks(&tenor).is_empty());
    assert_eq!(crate::file::check_instrument(&tenor), Ok(()));
}

#[test]
fn a_rate_of_strokes_becomes_turns() {
    let mut instrument = Instrument::default();
    instrument
        .playing_in
        .get_or_insert_default()
        .strokes_per_turn = 4.0;
    take_stroke_rate(&mut instrument, 132.0);
    let turns = |i: &Instrument| i.playing_in.as_ref().unwrap().turns_per_minute;
    assert_eq!(turns(&instrument), 33.0);
    for none in [f64::NAN, 0.0, -3.0, f64::INFINITY] {
        take_stroke_rate(&mut instrument, none);
        assert_eq!(turns(&instrument), 33.0);
    }
}
