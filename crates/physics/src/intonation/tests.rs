use super::*;
use crate::fretboard::{Fretboard, Setbacks};
use crate::heights::{FretTops, Gap, StringLine};
use crate::quantity::{InBenchUnits, g_per_m, hz, mm, newtons};
use crate::strung::{Banded, Strung};
use proptest::prelude::*;

fn nylon() -> Strung {
    Strung {
        tension: newtons(45.0),
        mass_per_length: g_per_m(0.6),
        diameter: mm(0.8),
        kappa: Banded::within(52.0, 5.0),
        bending_length_mm: Banded::within(1.4, 0.25),
    }
}

/// A concert instrument's string, laid over its board.
fn with<T>(setbacks: Setbacks, then: impl FnOnce(&StringOnBoard<'_>) -> T) -> T {
    let board = Fretboard::new(mm(381.0), 18).unwrap();
    let tops = FretTops::straight(&board, mm(1.2)).unwrap();
    let gaps = [(1, 0.6), (12, 2.6)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
    let line = StringLine::through_gaps(&board, &tops, setbacks, gaps).unwrap();
    then(&StringOnBoard::new(&nylon(), &board, &tops, line).unwrap())
}

fn sum_of_squares(s: &StringOnBoard<'_>, saddle: f64, nut: f64) -> f64 {
    let moved = s
        .clone()
        .with_setbacks(Setbacks::in_mm(saddle, nut))
        .unwrap();
    (1..=12)
        .map(|n| moved.press(n).unwrap().cents().0.powi(2))
        .sum()
}

#[test]
fn no_setbacks_near_the_optimum_do_better() {
    with(Setbacks::default(), |s| {
        let best = optimum(s, &Aim::default()).unwrap();
        let (saddle, nut) = (best.setbacks.saddle.bench(), best.setbacks.nut.bench());
        assert!(saddle > 0.5 && nut < 0.0);
        let least = sum_of_squares(s, saddle, nut);
        assert!(((least / 12.0).sqrt() - best.residual.rms.0).abs() < 1e-9);
        for (ds, dn) in [
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, 1.0),
            (0.0, -1.0),
            (0.6, -0.2),
            (-0.6, 0.2),
        ] {
            for size in [0.1, 1e-3] {
                assert!(sum_of_squares(s, saddle + size * ds, nut + size * dn) > least);
            }
        }
        // It is the same from wherever the string lay before.
        let moved = s.clone().with_setbacks(Setbacks::in_mm(4.0, -1.0)).unwrap();
        let again = optimum(&moved, &Aim::default()).unwrap();
        assert!((again.setbacks.saddle - best.setbacks.saddle).bench().abs() < 1e-6);
        assert!((again.setbacks.nut - best.setbacks.nut).bench().abs() < 1e-6);
    });
}

#[test]
fn the_nut_stays_where_it_is_told_to() {
    with(Setbacks::in_mm(0.0, -0.2), |s| {
        let aim = Aim {
            nut: NutRule::Stays,
            ..Aim::default()
        };
        let best = optimum(s, &aim).unwrap();
        assert!((best.setbacks.nut.bench() + 0.2).abs() < 1e-12);
        let saddle = best.setbacks.saddle.bench();
        let least = sum_of_squares(s, saddle, -0.2);
        assert!(sum_of_squares(s, saddle + 1e-3, -0.2) > least);
        assert!(sum_of_squares(s, saddle - 1e-3, -0.2) > least);
        let free = optimum(s, &Aim::default()).unwrap();
        assert!(free.residual.rms.0 < best.residual.rms.0);
        assert_eq!(best.nut_mm.low, best.nut_mm.high);
    });
}

#[test]
fn minimax_leaves_the_least_greatest_error() {
    with(Setbacks::default(), |s| {
        for nut in [NutRule::Free, NutRule::Stays] {
            let aim = |rule| Aim {
                frets: 1..=16,
                rule,
                nut,
                ..Aim::default()
            };
            let squares = optimum(s, &aim(Rule::LeastSquares)).unwrap();
            let worst = optimum(s, &aim(Rule::Minimax)).unwrap();
            assert!(worst.residual.worst.1.0.abs() < squares.residual.worst.1.0.abs());
            assert!(worst.residual.rms.0 > squares.residual.rms.0);
            let least = worst.residual.worst.1.0.abs();
            for (ds, dn) in [(1e-3, 0.0), (-1e-3, 0.0), (0.0, 1e-3), (0.0, -1e-3)] {
                if nut == NutRule::Stays && dn != 0.0 {
                    continue;
                }
                let to = Setbacks::in_mm(
                    worst.setbacks.saddle.bench() + ds,
                    worst.setbacks.nut.bench() + dn,
                );
                let moved = s.clone().with_setbacks(to).unwrap();
                let there = residual(&moved, &aim(Rule::Minimax)).unwrap();
                assert!(there.worst.1.0.abs() > least - 1e-7);
            }
        }
    });
}

#[test]
fn weights_pull_the_optimum_towards_their_frets() {
    with(Setbacks::default(), |s| {
        let mut weights = vec![1.0; 12];
        weights[0] = 50.0;
        let aim = Aim {
            weights: Some(&weights),
            ..Aim::default()
        };
        let at = |aim: &Aim<'_>| {
            let best = optimum(s, aim).unwrap();
            let moved = s.clone().with_setbacks(best.setbacks).unwrap();
            moved.press(1).unwrap().cents().0.abs()
        };
        assert!(at(&aim) < 0.5 * at(&Aim::default()));
        // A weight of nothing, or nonsense, leaves its fret out.
        let none = vec![f64::NAN; 11];
        let only = Aim {
            weights: Some(&none),
            ..Aim::default()
        };
        assert!(matches!(
            optimum(s, &only),
            Err(NoOptimum::TooFewNotes {
                sounding: 1,
                needed: 2,
                ..
            })
        ));
    });
}

#[test]
fn the_linear_solution_comes_near() {
    with(Setbacks::default(), |s| {
        let errors = (1..=12).map(|n| (n, s.press(n).unwrap().cents(), 1.0));
        let linear = linear_setbacks(mm(381.0), errors).unwrap();
        let best = optimum(s, &Aim::default()).unwrap().setbacks;
        assert!((linear.saddle - best.saddle).bench().abs() < 0.05);
        assert!((linear.nut - best.nut).bench().abs() < 0.02);
    });
}

#[test]
fn bands_hold_what_their_ends_give() {
    with(Setbacks::in_mm(1.5, 0.0), |s| {
        for fret in s.frets() {
            let error = s.note_error(fret).unwrap();
            let at = |k: f64, b: f64| {
                let moved = s
                    .clone()
                    .with_found(Banded::exact(k), Banded::exact(b), 0.0)
                    .unwrap();
                moved.press(fret).unwrap().cents().0 - error.cents.0
            };
            let by_hand = at(57.0, 1.4).hypot(at(52.0, 1.65));
            let half = error.high.0 - error.cents.0;
            assert!(
                (half / by_hand - 1.0).abs() < 0.02,
                "{fret}: {half} {by_hand}"
            );
            assert!((error.from_stretch.0 - at(57.0, 1.4).abs()).abs() < 0.01);
        }
    });
}

#[test]
fn the_measurement_that_narrows_most_is_named() {
    with(Setbacks::in_mm(1.5, 0.0), |s| {
        let named = |k: f64, b: f64, gap: f64| {
            let s = s
                .clone()
                .with_found(Banded::within(52.0, k), Banded::within(1.4, b), 0.0)
                .unwrap()
                .with_gap_doubt([1, 12], mm(gap))
                .unwrap();
            let errors: Vec<_> = (1..=12).map(|n| s.note_error(n).unwrap()).collect();
            narrows_most(&errors)
        };
        assert_eq!(named(20.0, 0.01, 0.0), Some(Narrows::PullTest));
        assert_eq!(named(1.0, 0.4, 0.0), Some(Narrows::FretReadings));
        assert_eq!(named(0.5, 0.01, 0.2), Some(Narrows::Gaps));
        assert_eq!(named(0.0, 0.0, 0.0), None);
    });
}

#[test]
fn the_doubt_of_gaps_is_that_of_heights_moved() {
    let board = Fretboard::new(mm(381.0), 18).unwrap();
    let tops = FretTops::straight(&board, mm(1.2)).unwrap();
    let cents = |g1: f64, g12: f64| {
        let gaps = [(1, g1), (12, g12)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
        let line =
            StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.5, 0.0), gaps).unwrap();
        let s = StringOnBoard::new(&nylon(), &board, &tops, line).unwrap();
        let s = s.with_gap_doubt([1, 12], mm(0.01)).unwrap();
        let e = s.note_error(3).unwrap();
        (e.cents.0, e.from_heights.0)
    };
    let (middle, doubt) = cents(0.6, 2.6);
    let by_hand = (cents(0.61, 2.6).0 - middle).hypot(cents(0.6, 2.61).0 - middle);
    assert!((doubt / by_hand - 1.0).abs() < 0.03, "{doubt} {by_hand}");
}

#[test]
fn a_setback_carries_the_strings_doubt() {
    with(Setbacks::default(), |s| {
        let best = optimum(s, &Aim::default()).unwrap();
        let at = |k: f64, b: f64| {
            let moved = s
                .clone()
                .with_found(Banded::exact(k), Banded::exact(b), 0.0)
                .unwrap();
            let there = optimum(&moved, &Aim::default()).unwrap().setbacks;
            (
                there.saddle.bench() - best.saddle_mm.value,
                there.nut.bench() - best.nut_mm.value,
            )
        };
        let (k, b) = (at(57.0, 1.4), at(52.0, 1.65));
        let half = |band: Banded| band.high - band.value;
        assert!((half(best.saddle_mm) / k.0.hypot(b.0) - 1.0).abs() < 0.03);
        assert!((half(best.nut_mm) / k.1.hypot(b.1) - 1.0).abs() < 0.03);
    });
}

fn readings(list: &[(u32, f64)]) -> Vec<Reading> {
    list.iter()
        .map(|&(fret, cents)| Reading {
            fret,
            cents: Cents(cents),
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

#[test]
fn a_straight_saddle_runs_between_the_courses_and_costs_each() {
    let courses: Vec<CourseAtSaddle> = [(0.0, 1.8), (14.0, 1.2), (28.0, 1.4), (42.0, 0.8)]
        .map(|(across, setback)| CourseAtSaddle {
            across: mm(across),
            setback: mm(setback),
            weight: 1.0,
        })
        .to_vec();
    let line = SaddleLine::through(&courses).unwrap();
    assert!((line.setback.bench() - 1.3).abs() < 1e-9);
    assert!((line.slant + 0.02).abs() < 1e-9);
    assert!((line.at(mm(21.0)).bench() - 1.3).abs() < 1e-9);
    assert!((line.slant_degrees() + 1.1458).abs() < 1e-3);
    assert!((line.courses[0].bench() - 1.72).abs() < 1e-9);
    assert!(SaddleLine::through(&[]).is_err());
    assert!(SaddleLine::through(&courses[..1]).unwrap().slant == 0.0);
    with(Setbacks::default(), |s| {
        let best = optimum(s, &Aim::default()).unwrap();
        let here = best
            .cost_at(s, best.setbacks.saddle, &Aim::default())
            .unwrap();
        assert!(here.more_rms.0.abs() < 1e-9 && here.most_moved.1.0.abs() < 1e-9);
        let off = best
            .cost_at(s, best.setbacks.saddle + mm(0.5), &Aim::default())
            .unwrap();
        assert!(off.more_rms.0 > 0.0);
        assert_eq!(off.most_moved.0, 12);
        assert!(off.most_moved.1.0 < 0.0);
    });
}

#[test]
fn steps_of_pure_tones_in_cents() {
    let (two, three) = pure_tone_step(hz(440.0));
    assert!((two.0 - 7.852).abs() < 1e-3 && three.0 > two.0);
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

    #[test]
    fn an_optimum_is_found_for_any_string_of_the_trade(
        t in 20.0..120.0f64, k in 20.0..120.0f64, b in 0.3..3.0f64, from in 1..6u32, to in 8..18u32,
    ) {
        with(Setbacks::default(), |s| {
            let mut s = s.clone().with_found(Banded::within(k, 5.0), Banded::within(b, 0.1), 0.3).unwrap();
            s.tension_n = t;
            for rule in [Rule::LeastSquares, Rule::Minimax] {
                let best = optimum(&s, &Aim { frets: from..=to, rule, ..Aim::default() }).unwrap();
                assert!(best.residual.rms.0.is_finite() && best.saddle_mm.high >= best.saddle_mm.value);
                assert!(best.residual.rms.0 < 3.0, "{best:?}");
            }
        });
    }
}
