use super::*;
use crate::file::{check_instrument, read_instrument, write_instrument};
use crate::report::instrument_report;

/// Every family with every tuning, begun.
fn every_start() -> impl Iterator<Item = (&'static Family, &'static Tuning, Instrument)> {
    FAMILIES.iter().flat_map(|family| {
        family
            .tunings
            .iter()
            .enumerate()
            .map(move |(index, tuning)| {
                (
                    family,
                    tuning,
                    start(family.key, index, None, "begun").unwrap(),
                )
            })
    })
}

#[test]
fn every_start_is_a_sound_record() {
    for (family, tuning, instrument) in every_start() {
        let what = format!("{} {}", family.key, tuning.label);
        assert_eq!(check_instrument(&instrument), Ok(()), "{what}");
        assert_eq!(
            read_instrument(&write_instrument(&instrument)).as_ref(),
            Ok(&instrument),
            "{what}"
        );
        assert_eq!(
            instrument.courses.len(),
            instrument.setup.courses.len(),
            "{what}"
        );
        assert_eq!(of(&instrument).map(|found| found.key), Some(family.key));
        assert!(!family.scale_source.is_empty() && !family.action.source.is_empty());
    }
    for (index, family) in FAMILIES.iter().enumerate() {
        assert!(!family.tunings.is_empty(), "{}", family.key);
        assert!(
            FAMILIES[..index]
                .iter()
                .all(|other| other.key != family.key),
            "{}",
            family.key
        );
    }
}

/// Each string of a starting set pulls what is usual for its family, and is not near breaking where that is known.
#[test]
fn every_start_can_be_played_at_once() {
    for (family, tuning, instrument) in every_start() {
        let report = instrument_report(&instrument, &[]);
        for string in report.courses.iter().flat_map(|course| &course.strings) {
            let what = format!("{} {} {}", family.key, tuning.label, string.name);
            let tension = string
                .tension_n
                .unwrap_or_else(|| panic!("{what} has no tension"));
            if let Some((low, high)) = family.tension_n {
                assert!(tension >= low && tension <= high, "{what}: {tension} N");
            }
            assert!(
                string.breaking_fraction.is_none_or(|share| share < 0.9),
                "{what}"
            );
        }
    }
}

#[test]
fn courses_lie_from_the_bass_side_to_the_treble_side() {
    let notes = |key, tuning| -> Vec<String> {
        start(key, tuning, None, "i")
            .unwrap()
            .courses
            .into_iter()
            .map(|course| course.note)
            .collect()
    };
    assert_eq!(notes("ukulele-concert", 0), ["G4", "C4", "E4", "A4"]);
    assert_eq!(notes("ukulele-concert", 1), ["G3", "C4", "E4", "A4"]);
    assert_eq!(notes("ukulele-baritone", 0), ["D3", "G3", "B3", "E4"]);
    assert_eq!(
        notes("guitar-nylon", 0),
        ["E2", "A2", "D3", "G3", "B3", "E4"]
    );
}

#[test]
fn the_short_fifth_and_the_pairs() {
    let banjo = start("banjo-five-string", 0, None, "b").unwrap();
    assert_eq!(
        (
            banjo.courses.len(),
            banjo.courses[0].first_fret,
            banjo.courses[1].first_fret
        ),
        (5, 5, 0)
    );
    assert_eq!(
        banjo.courses[0].scale_mm, None,
        "the drone's scale is that of the whole board"
    );
    let mandolin = start("mandolin", 0, None, "m").unwrap();
    assert!(
        mandolin
            .courses
            .iter()
            .all(|course| course.strings.len() == 2)
    );
}

#[test]
fn heights_are_spread_over_the_courses() {
    let guitar = start("guitar-steel", 0, None, "g").unwrap();
    let at_12: Vec<f64> = guitar
        .setup
        .courses
        .iter()
        .filter_map(|course| course.gap_12_mm)
        .collect();
    assert_eq!(at_12, [2.29, 2.19, 2.09, 1.98, 1.88, 1.78]);
    let own = start("own", 0, Some(333.0), "o").unwrap();
    assert_eq!(
        (own.scale_mm, own.setup.courses[0].gap_1_mm),
        (333.0, Some(0.65))
    );
}

#[test]
fn an_instrument_finds_its_family() {
    let mut instrument = start("guitar-steel", 0, None, "g").unwrap();
    instrument.family = "guitar".into();
    assert_eq!(
        of(&instrument).map(|family| family.key),
        Some("guitar-steel")
    );
    instrument.scale_mm = 660.0;
    assert_eq!(
        of(&instrument).map(|family| family.key),
        Some("guitar-nylon")
    );
    instrument.family = "banjo".into();
    instrument.courses.truncate(4);
    assert_eq!(
        of(&instrument).map(|family| family.key),
        Some("banjo-tenor")
    );
    instrument.family = "harp".into();
    assert_eq!(of(&instrument), None);
    assert!(start("harp", 0, None, "h").is_none() && start("own", 7, None, "h").is_none());
}
