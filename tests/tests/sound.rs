//! Tones as they are rendered, measured by an estimator of this test's own; and the project's estimator on tones of the
//! report, plain sines and sound files.

use std::f64::consts::TAU;
use strungwell_physics::plucked::Loss;
use strungwell_physics::stiffness::inharmonicity;
use strungwell_sound::pitch::{Estimator, USUAL_S};
use strungwell_sound::tone::{Note, render};
use strungwell_tests::ear::strongest_near;
use strungwell_tests::wav;
use strungwell_workshop::families;
use strungwell_workshop::records::Instrument;
use strungwell_workshop::report::{instrument_report, tone};

const RATE: f64 = 48_000.0;

fn cents(found: f64, expected: f64) -> f64 {
    1200.0 * (found / expected).log2()
}

fn note_of(instrument: &Instrument, course: usize, fret: u32) -> Note {
    let figures = tone(instrument, &[], course, fret).unwrap();
    Note {
        hz: figures.hz,
        bending: figures.bending,
        pluck_at: figures.pluck_at,
        loss: figures.loss,
        pluck: figures.pluck_n,
        headroom: figures.headroom_n,
        start_s: 0.0,
    }
}

#[test]
fn a_rendered_tone_has_the_pitch_that_the_report_says() {
    let instrument = families::start("ukulele-concert", 1, None, "x").unwrap();
    let report = instrument_report(&instrument, &[]);
    for course in [0, 3] {
        let figures = &report.courses[course];
        for fret in [0, 5, 12] {
            let error = figures.strings[0].fretting.frets[fret].cents.unwrap();
            let semitones = fret as f64 + error / 100.0;
            let expected = figures.pitch_hz.unwrap() * (semitones / 12.0).exp2();
            let note = note_of(&instrument, course, u32::try_from(fret).unwrap());
            let sound = render(&[note], RATE, 1.5).unwrap();
            let found = strongest_near(&sound, RATE, expected);
            assert!(cents(found, expected).abs() < 0.2, "{found} for {expected}");
        }
    }
}

#[test]
fn a_tone_of_any_height_has_the_pitch_that_the_report_says() {
    // A guitar whose strings are tuned from 61 to 392 Hz, played up to where they sound an octave and more higher.
    let mut instrument = families::start("guitar-nylon", 0, None, "x").unwrap();
    for (course, note) in instrument
        .courses
        .iter_mut()
        .zip(["B1", "E2", "A2", "D3", "G3", "G4"])
    {
        course.note = note.into();
    }
    let report = instrument_report(&instrument, &[]);
    let (mut lowest, mut highest) = (f64::INFINITY, 0.0_f64);
    for (course, figures) in report.courses.iter().enumerate() {
        for fret in [0, 7, instrument.frets] {
            let error = figures.strings[0].fretting.frets[fret as usize]
                .cents
                .unwrap();
            let semitones = f64::from(fret) + error / 100.0;
            let expected = figures.pitch_hz.unwrap() * (semitones / 12.0).exp2();
            let sound = render(&[note_of(&instrument, course, fret)], RATE, 1.5).unwrap();
            let found = strongest_near(&sound, RATE, expected);
            assert!(cents(found, expected).abs() < 0.2, "{found} for {expected}");
            assert!(sound.iter().all(|s| s.is_finite() && s.abs() < 0.51));
            (lowest, highest) = (lowest.min(found), highest.max(found));
        }
    }
    assert!(lowest < 62.0 && highest > 1150.0, "{lowest} to {highest}");
}

#[test]
fn tones_hold_their_pitch_from_60_to_1200_hz_buzzing_or_not() {
    for (hz, headroom) in [
        (60.0, None),
        (97.3, Some(0.5)),
        (331.0, Some(1.2)),
        (1200.0, None),
    ] {
        for loss in [Loss::POLYMER, Loss::STEEL] {
            let note = Note {
                hz,
                bending: 0.004,
                pluck_at: 0.2,
                loss,
                pluck: 1.5,
                headroom,
                start_s: 0.0,
            };
            let sound = render(&[note], RATE, 2.0).unwrap();
            let found = strongest_near(&sound, RATE, hz);
            assert!(cents(found, hz).abs() < 0.2, "{found} for {hz}");
        }
    }
}

#[test]
fn the_estimator_hears_what_the_report_says_and_how_stiff_the_string_is() {
    let instrument = families::start("ukulele-concert", 1, None, "x").unwrap();
    for rate in [44_100.0, 48_000.0] {
        let mut estimator = Estimator::new(rate).unwrap();
        for (course, fret) in [(0, 0), (1, 3), (2, 7), (3, 12)] {
            let note = Note {
                headroom: None,
                ..note_of(&instrument, course, fret)
            };
            let sound = render(&[note], rate, 0.1 + USUAL_S + 0.1).unwrap();
            let from = (0.1 * rate) as usize;
            let window = &sound[from..from + (USUAL_S * rate) as usize];
            let found = estimator.window(window).unwrap();
            assert!(found.cents_from(note.hz).abs() < 0.05, "{found:?}");
            // At fret 12 the pluck is in the middle: too few partials are left to tell the stiffness.
            let Some(told) = found.inharmonicity else {
                assert_eq!(fret, 12, "{found:?} of {note:?}");
                continue;
            };
            let truth = inharmonicity(note.bending);
            assert!(
                (told.coefficient - truth).abs() < 4.0 * told.sd + 2e-6,
                "{told:?}, {truth}"
            );
        }
    }
}

#[test]
fn plain_sines_through_a_sound_file_are_heard() {
    for rate in [16_000u32, 44_100, 48_000] {
        let mut estimator = Estimator::new(f64::from(rate)).unwrap();
        for hz in [55.5, 110.0, 261.63, 440.0, 1397.0] {
            let sine: Vec<f32> = (0..rate / 2)
                .map(|i| (0.1 * (TAU * hz * f64::from(i) / f64::from(rate)).sin()) as f32)
                .collect();
            let file = wav::mono_16(&sine, rate);
            let (read, its_rate) = wav::read_mono_16(&file).unwrap();
            assert_eq!(its_rate, rate);
            let found = estimator.window(&read).unwrap();
            assert!(found.cents_from(hz).abs() < 0.1, "{found:?} for {hz}");
        }
    }
}

#[test]
fn a_sound_file_is_laid_out_as_the_standard_says() {
    let file = wav::mono_16(&[0.0, 1.0, -1.0, 2.0], 48_000);
    assert_eq!(&file[..4], b"RIFF");
    assert_eq!(
        u32::from_le_bytes(file[4..8].try_into().unwrap()) as usize,
        file.len() - 8
    );
    assert_eq!(u32::from_le_bytes(file[40..44].try_into().unwrap()), 8);
    assert_eq!(&file[44..], [0, 0, 255, 127, 1, 128, 255, 127]);
    assert!(wav::read_mono_16(&file[..30]).is_none());
}
