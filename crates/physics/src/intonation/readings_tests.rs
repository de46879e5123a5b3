use super::tests::with;
use super::*;
use crate::fretboard::Setbacks;
use crate::quantity::InBenchUnits;
use crate::strung::Banded;
use proptest::prelude::*;

fn readings(list: &[(u32, f64)]) -> Vec<Reading> {
    list.iter()
        .map(|&(fret, cents)| Reading {
            fret,
            cents: Cents(cents),
            sd: None,
        })
        .collect()
}

#[test]
fn a_tuner_at_the_octave_moves_the_saddle() {
    with(Setbacks::in_mm(1.0, 0.0), |s| {
        let list = readings(&[(0, 1.0), (12, 9.0)]);
        let c = correction(s, &list, NutRule::Stays, READING_SD).unwrap();
        // Eight cents at fret 12 are this share of the half string.
        assert!((c.saddle_mm.value - 381.0 * 8.0 * 2.0_f64.ln() / 1200.0).abs() < 0.1);
        assert!((c.before.0 - 8.0).abs() < 1e-9 && c.after.0 < 1e-6);
        // Two readings of 2 cents each: a doubt of 2.8 cents, about a millimetre.
        let half = c.saddle_mm.high - c.saddle_mm.value;
        assert!((half / c.saddle_mm.value - 8.0_f64.sqrt() / 8.0).abs() < 0.02);
        assert!(c.is_heard(READING_SD));
        assert!(matches!(
            correction(s, &list, NutRule::Free, READING_SD),
            Err(NoCorrection::TooFew {
                frets: 1,
                needed: 2,
                ..
            })
        ));
    });
}

#[test]
fn a_correction_undoes_a_known_shift() {
    with(Setbacks::in_mm(1.0, 0.3), |found| {
        // The true best is elsewhere: read what the model itself says, against its own optimum.
        let best = optimum(found, &Aim::default()).unwrap();
        let tuned = found.clone().with_setbacks(best.setbacks).unwrap();
        let list: Vec<Reading> = (1..=12)
            .map(|n| Reading {
                fret: n,
                cents: Cents(found.press(n).unwrap().cents().0 - tuned.press(n).unwrap().cents().0),
                sd: None,
            })
            .collect();
        let c = correction(found, &list, NutRule::Free, READING_SD).unwrap();
        assert!((c.setbacks.saddle - best.setbacks.saddle).bench().abs() < 1e-6);
        assert!((c.setbacks.nut - best.setbacks.nut).bench().abs() < 1e-6);
    });
}

#[test]
fn contradictory_readings_are_told_and_the_rest_goes_on() {
    with(Setbacks::in_mm(1.0, 0.0), |s| {
        let list = readings(&[
            (0, 0.0),
            (5, 3.0),
            (5, 14.0),
            (12, 6.0),
            (30, 2.0),
            (3, f64::NAN),
        ]);
        let c = correction(s, &list, NutRule::Stays, READING_SD).unwrap();
        let places: Vec<usize> = c.set_aside.iter().map(|a| a.place).collect();
        assert_eq!(places, [1, 2, 4, 5]);
        assert!(
            matches!(c.set_aside[0].why, WhySetAside::Contradicts { other: Cents(x), .. } if x == 14.0)
        );
        assert!(matches!(
            c.set_aside[2].why,
            WhySetAside::Blocked(Blocked::NoSuchFret { fret: 30, .. })
        ));
        assert!(matches!(c.set_aside[3].why, WhySetAside::Outside(_)));
        assert_eq!(
            c.set_aside[0].why.to_string(),
            "another reading of this fret says +14.0 cents: both cannot be right within 8.5"
        );
    });
}

/// Readings that a string of another stretch and bending length would give, with a slip on one fret.
fn heard(
    s: &StringOnBoard<'_>,
    kappa: f64,
    bending: f64,
    open: f64,
    slip: Option<(u32, f64)>,
) -> Vec<Reading> {
    let real = s
        .clone()
        .with_found(Banded::exact(kappa), Banded::exact(bending), 0.0)
        .unwrap();
    (0..=18)
        .map(|fret| {
            let own = if fret == 0 {
                0.0
            } else {
                real.press(fret).unwrap().cents().0
            };
            let by = slip.filter(|(f, _)| *f == fret).map_or(0.0, |(_, by)| by);
            Reading {
                fret,
                cents: Cents(own + open + by),
                sd: None,
            }
        })
        .collect()
}

#[test]
fn a_fit_finds_the_string_from_exact_readings() {
    with(Setbacks::in_mm(1.2, 0.0), |s| {
        // With hardly any doubt of the readings, what is known before hardly counts.
        let list = heard(s, 61.0, 1.75, -3.0, None);
        let found = fit(s, &list, Cents(0.01)).unwrap();
        assert!((found.kappa.value - 61.0).abs() < 0.05, "{found:?}");
        assert!((found.bending_length_mm.value - 1.75).abs() < 0.005);
        assert!((found.end_correction_mm.value - 0.875).abs() < 0.0025);
        assert!((found.open.0 + 3.0).abs() < 0.01);
        assert!(found.after.0 < 0.01 && found.before.0 > 0.3);
        assert!(found.set_aside.is_empty() && found.used == 19);
    });
}

#[test]
fn real_readings_narrow_what_was_known_and_no_more() {
    with(Setbacks::in_mm(1.2, 0.0), |s| {
        let list = heard(s, 52.0, 1.4, 0.0, None);
        let found = fit(s, &list, READING_SD).unwrap();
        let half = |b: Banded| b.high - b.value;
        assert!((found.kappa.value - 52.0).abs() < 1e-3);
        assert!(half(found.kappa) <= 5.0 && half(found.kappa) > 1.0);
        assert!(half(found.bending_length_mm) < 0.25);
        assert!(found.correlation.abs() <= 1.0);
        // And the notes' bands with what was found are no wider than before.
        let after = s
            .clone()
            .with_found(found.kappa, found.bending_length_mm, found.correlation)
            .unwrap();
        for fret in s.frets() {
            let width = |s: &StringOnBoard<'_>| {
                let e = s.note_error(fret).unwrap();
                e.high.0 - e.low.0
            };
            assert!(width(&after) <= width(s) + 1e-9);
        }
    });
}

/// The same readings, each with this doubt.
fn doubted(list: &[Reading], sd: f64) -> Vec<Reading> {
    list.iter()
        .map(|&reading| Reading {
            sd: Some(Cents(sd)),
            ..reading
        })
        .collect()
}

#[test]
fn a_reading_counts_by_its_own_doubt() {
    with(Setbacks::in_mm(1.0, 0.0), |s| {
        let moved = |list: &[Reading]| correction(s, list, NutRule::Stays, READING_SD).unwrap();
        let half = |c: &Correction| c.saddle_mm.high - c.saddle_mm.value;
        let list = readings(&[(0, 1.0), (12, 9.0), (12, 5.0)]);
        let plain = moved(&list);
        // Said outright, the usual doubt changes nothing; a doubt that is none counts as the usual.
        for sd in [READING_SD.0, f64::NAN, 0.0, -1.0] {
            let same = moved(&doubted(&list, sd));
            assert!((same.saddle_mm.value - plain.saddle_mm.value).abs() < 1e-9);
            assert!((half(&same) - half(&plain)).abs() < 1e-9);
        }
        // A fourth of the doubt leaves a fourth of the band.
        let fine = moved(&doubted(&list, READING_SD.0 / 4.0));
        assert!((half(&fine) / half(&plain) - 0.25).abs() < 1e-6);
        // Of two that differ by 4 cents, one known four times as well counts sixteen times: 5 + 4/17.
        let mut two = list.clone();
        two[2].sd = Some(Cents(READING_SD.0 / 4.0));
        let one = moved(&readings(&[(0, 1.0), (12, 5.0 + 4.0 / 17.0)]));
        assert!((moved(&two).saddle_mm.value - one.saddle_mm.value).abs() < 1e-3);
        // The open string likewise.
        let mut open = readings(&[(0, 0.0), (0, 4.0), (12, 9.0)]);
        open[0].sd = Some(Cents(READING_SD.0 / 4.0));
        let one = moved(&readings(&[(0, 4.0 / 17.0), (12, 9.0)]));
        assert!((moved(&open).saddle_mm.value - one.saddle_mm.value).abs() < 1e-6);
    });
}

#[test]
fn finer_readings_tell_the_string_more_finely_and_do_not_cast_one_another_out() {
    with(Setbacks::in_mm(1.2, 0.0), |s| {
        let list = heard(s, 61.0, 1.75, -3.0, None);
        let plain = fit(s, &list, READING_SD).unwrap();
        let fine = fit(s, &doubted(&list, 0.2), READING_SD).unwrap();
        let half = |b: Banded| b.high - b.value;
        assert!(half(fine.kappa) < half(plain.kappa), "{fine:?} {plain:?}");
        assert!(
            half(fine.bending_length_mm) < 0.5 * half(plain.bending_length_mm),
            "{fine:?} {plain:?}"
        );
        assert!((fine.kappa.value - 61.0).abs() < (plain.kappa.value - 61.0).abs());
        // Two cents off are many of its own doubts, and no more than heights are worth.
        let off = heard(s, 54.0, 1.5, 0.0, Some((7, 2.0)));
        let found = fit(s, &doubted(&off, 0.2), READING_SD).unwrap();
        assert!(found.set_aside.is_empty(), "{:?}", found.set_aside);
        let slip = heard(s, 54.0, 1.5, 0.0, Some((7, 15.0)));
        let found = fit(s, &doubted(&slip, 0.2), READING_SD).unwrap();
        assert_eq!(found.set_aside.len(), 1);
        assert_eq!(found.set_aside[0].reading.fret, 7);
    });
}

#[test]
fn a_reading_out_of_line_is_named() {
    with(Setbacks::in_mm(1.2, 0.0), |s| {
        let list = heard(s, 54.0, 1.5, 2.0, Some((7, 15.0)));
        let found = fit(s, &list, READING_SD).unwrap();
        assert_eq!(found.set_aside.len(), 1);
        let aside = &found.set_aside[0];
        assert_eq!(aside.reading.fret, 7);
        let WhySetAside::OutOfLine { expected, sds } = aside.why else {
            panic!("{aside:?}")
        };
        assert!((aside.reading.cents.0 - expected.0 - 15.0).abs() < 0.5 && sds > 6.0);
        assert!(matches!(
            fit(s, &readings(&[(0, 0.0), (5, 1.0)]), READING_SD),
            Err(NotFitted::TooFew { frets: 1, .. })
        ));
    });
}

proptest! {
    #[test]
    fn no_readings_break_it(
        list in proptest::collection::vec((0..24u32, proptest::num::f64::ANY), 0..30),
        near in proptest::collection::vec((0..19u32, -40.0..40.0f64), 0..30),
        sd in proptest::num::f64::ANY,
    ) {
        with(Setbacks::in_mm(1.0, 0.0), |s| {
            for list in [readings(&list), readings(&near)] {
                for sd in [Cents(sd), READING_SD] {
                    if let Ok(found) = fit(s, &list, sd) {
                        assert!(found.kappa.value.is_finite() && found.kappa.low > 0.0, "{found:?}");
                        assert!(found.bending_length_mm.high.is_finite() && found.after.0.is_finite());
                    }
                    for nut in [NutRule::Free, NutRule::Stays] {
                        if let Ok(c) = correction(s, &list, nut, sd) {
                            assert!(c.saddle_mm.high.is_finite() && c.nut_mm.low.is_finite() && c.after.0.is_finite());
                        }
                    }
                }
            }
        });
    }
}
