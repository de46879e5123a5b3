use super::*;
use crate::records::{Reading, Workshop};
use crate::report::instrument_report;
use crate::report::saddle_view::{Place, put_saddle, saddle_view};

fn shop() -> Workshop {
    crate::file::read(include_str!("../../../../../demo-data/demo-shop.json")).unwrap()
}

fn concert_9() -> (Workshop, Instrument) {
    let shop = shop();
    let found = shop
        .instruments
        .iter()
        .find(|i| i.id == "inst-concert-9")
        .unwrap()
        .clone();
    (shop, found)
}

fn reading(course: u32, fret: u32, cents: f64) -> Reading {
    Reading {
        course,
        fret,
        cents,
        ..Reading::default()
    }
}

fn said(shop: &Workshop, instrument: &Instrument) -> ReadingsView {
    readings_view(
        instrument,
        &shop.rack,
        TakenWith::AsFound,
        &SaddleAim::default(),
    )
    .unwrap()
}

/// Readings as the instrument would give them if its first string stretched so much.
fn heard(shop: &Workshop, instrument: &Instrument, kappa: f64, frets: &[u32]) -> Vec<Reading> {
    let mut other = instrument.clone();
    other.courses[0].strings[0].kappa = Some(kappa);
    let report = instrument_report(&other, &shop.rack);
    let notes = &report.courses[0].strings[0].fretting.frets;
    frets
        .iter()
        .map(|fret| {
            reading(
                1,
                *fret,
                notes
                    .iter()
                    .find(|n| n.fret == *fret)
                    .unwrap()
                    .cents
                    .unwrap(),
            )
        })
        .collect()
}

#[test]
fn three_frets_move_the_saddle_and_four_tell_the_string() {
    let (shop, mut instrument) = concert_9();
    let view = said(&shop, &instrument);
    assert_eq!(view.date, "2025-11-14");
    assert!(!view.changed_since);
    for course in &view.courses {
        let moved = course.correction.as_ref().unwrap();
        assert!(moved.after_cents < moved.before_cents);
        assert!(
            moved.saddle_band_mm[0] < moved.saddle_mm && moved.saddle_mm < moved.saddle_band_mm[1]
        );
        assert_eq!(course.fit, None);
    }
    let known = instrument_report(&instrument, &shop.rack).courses[0].strings[0]
        .kappa
        .unwrap();
    let frets = [1, 2, 3, 5, 7, 9, 10, 12, 14];
    instrument.visits[0].readings = heard(&shop, &instrument, 1.15 * known, &frets);
    let view = said(&shop, &instrument);
    let fit = view.courses[0].fit.clone().unwrap();
    assert!(
        fit.kappa > 1.05 * known && fit.kappa < 1.2 * known,
        "{known} {fit:?}"
    );
    assert!(fit.after_cents < fit.before_cents && fit.used == frets.len());
    assert!(!fit.is_taken && !fit.is_far);

    // Once taken it is the same figure, not one that counts the readings twice.
    take_stretch(&mut instrument, 0, &fit);
    let again = said(&shop, &instrument).courses[0].fit.clone().unwrap();
    assert!(again.is_taken);
    assert_eq!(again.kappa, fit.kappa);
    assert_eq!(
        instrument.courses[0].strings[0].kappa_give,
        Some(fit.kappa_give)
    );
    assert_eq!(instrument.courses[1].strings[0].kappa, None);
}

#[test]
fn readings_by_ear_narrow_what_they_say() {
    let (shop, mut instrument) = concert_9();
    let frets = [0, 1, 3, 5, 7, 9, 12];
    instrument.visits[0].readings = heard(&shop, &instrument, 60.0, &frets);
    let width = |instrument: &Instrument| {
        let view = said(&shop, instrument);
        let moved = view.courses[0].correction.clone().unwrap();
        moved.saddle_band_mm[1] - moved.saddle_band_mm[0]
    };
    let typed = width(&instrument);
    for reading in &mut instrument.visits[0].readings {
        reading.sd_cents = Some(0.5);
    }
    // A fourth of the usual doubt.
    assert!((width(&instrument) / typed - 0.25).abs() < 1e-3);
}

#[test]
fn a_correction_puts_right_what_was_heard() {
    let (shop, mut instrument) = concert_9();
    let kappa = instrument_report(&instrument, &shop.rack).courses[0].strings[0]
        .kappa
        .unwrap();
    instrument.visits[0].readings = heard(&shop, &instrument, kappa, &[0, 1, 3, 5, 7, 9, 12]);
    let moved = said(&shop, &instrument).courses[0]
        .correction
        .clone()
        .unwrap();
    assert!(moved.is_heard);
    instrument.setup.courses[0].saddle_setback_mm = Some(moved.saddle_setback_mm);
    instrument.setup.courses[0].nut_setback_mm = Some(moved.nut_setback_mm);
    let after = instrument_report(&instrument, &shop.rack);
    let string = &after.courses[0].strings[0].fretting;
    assert!(
        string.rms_now_cents.unwrap() < 1.0,
        "{:?}",
        string.rms_now_cents
    );

    // One fret places the saddle alone.
    instrument.visits[0].readings = vec![reading(1, 12, 9.0)];
    let moved = said(&shop, &instrument).courses[0]
        .correction
        .clone()
        .unwrap();
    assert!(moved.nut_stays && moved.nut_mm == 0.0 && moved.saddle_mm > 0.5);
}

#[test]
fn readings_stand_against_the_setup_that_they_were_taken_with() {
    let (shop, before) = concert_9();
    let mut after = before.clone();
    let report = instrument_report(&before, &shop.rack);
    put_saddle(
        &mut after,
        &saddle_view(&before, &report, &SaddleAim::default()),
        Place::Best,
    );
    let (was, now) = (said(&shop, &before), said(&shop, &after));
    assert!(now.changed_since);
    assert_eq!(was.courses, now.courses);
    let other = readings_view(
        &after,
        &shop.rack,
        TakenWith::AsItStands,
        &SaddleAim::default(),
    )
    .unwrap();
    let place = |view: &ReadingsView| {
        view.courses[0]
            .correction
            .as_ref()
            .unwrap()
            .saddle_setback_mm
    };
    assert!(place(&other) - place(&now) > 1.0);
}

#[test]
fn readings_that_cannot_stand_are_named_and_the_rest_goes_on() {
    let (shop, mut instrument) = concert_9();
    let kappa = instrument_report(&instrument, &shop.rack).courses[0].strings[0]
        .kappa
        .unwrap();
    let mut all = heard(&shop, &instrument, kappa, &[1, 3, 5, 7, 9, 12]);
    let first = all[5].cents;
    all.push(reading(1, 12, first - 25.0));
    all.push(reading(1, 40, 3.0));
    all.push(reading(23, 1, 3.0));
    instrument.visits[0].readings = all;
    instrument.setup.courses[2].gap_1_mm = None;
    instrument.visits[0].as_found = None;
    instrument.visits[0].readings.push(reading(3, 12, 5.0));
    let view = said(&shop, &instrument);
    let course = &view.courses[0];
    let places: Vec<usize> = course.set_aside.iter().map(|a| a.place).collect();
    assert_eq!(places, [5, 6, 7]);
    assert!(
        course.set_aside[0].why.contains("both cannot be right"),
        "{}",
        course.set_aside[0].why
    );
    assert!(course.correction.is_some() && course.fit.is_some());
    assert!(
        view.courses[2]
            .missing
            .as_ref()
            .unwrap()
            .contains("not measured")
    );
    assert_eq!(
        view.courses[1],
        CourseReadings {
            note: "C4".into(),
            ..CourseReadings::default()
        }
    );
}

#[test]
fn a_reading_begins_a_visit_where_none_is_open() {
    let (_, mut instrument) = concert_9();
    let begin = || ("new".to_owned(), "2026-02-03".to_owned());
    instrument.visits[0].as_left = Some(instrument.setup.clone());
    assert_eq!(open_visit(&instrument), None);
    put_reading(&mut instrument, Some(0), None, begin);
    assert_eq!(instrument.visits.len(), 1);
    put_reading(&mut instrument, None, Some(reading(2, 12, 4.0)), begin);
    assert_eq!(open_visit(&instrument), Some(1));
    assert_eq!(
        instrument.visits[1].as_found.as_ref(),
        Some(&instrument.setup)
    );
    assert_eq!(instrument.visits[1].date, "2026-02-03");
    put_reading(&mut instrument, Some(0), Some(reading(2, 12, -4.0)), begin);
    put_reading(&mut instrument, None, Some(reading(2, 0, 1.0)), begin);
    assert_eq!(
        instrument.visits[1].readings,
        [reading(2, 12, -4.0), reading(2, 0, 1.0)]
    );
    put_reading(&mut instrument, Some(0), None, begin);
    put_reading(&mut instrument, Some(9), None, begin);
    assert_eq!(instrument.visits[1].readings, [reading(2, 0, 1.0)]);
    assert_eq!(instrument.visits[0].readings.len(), 12);
    // An older visit that was left open does not come before a newer one.
    instrument.visits[0].as_left = None;
    assert_eq!(open_visit(&instrument), Some(1));
}
