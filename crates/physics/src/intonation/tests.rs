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
pub(super) fn with<T>(setbacks: Setbacks, then: impl FnOnce(&StringOnBoard<'_>) -> T) -> T {
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
        assert!(((least / 12.0).sqrt() - best.residual.rms.0).abs() < 1e-5);
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
        // The worst note is as bad as it says.
        let there = s.clone().with_setbacks(best.setbacks).unwrap();
        let (fret, cents) = best.residual.worst;
        assert!((there.press(fret).unwrap().cents().0 - cents.0).abs() < 1e-4);
        assert!((1..=12).all(|n| there.press(n).unwrap().cents().0.abs() < cents.0.abs() + 1e-4));
        // It is the same from wherever the string lay before.
        let moved = s.clone().with_setbacks(Setbacks::in_mm(4.0, -1.0)).unwrap();
        let again = optimum(&moved, &Aim::default()).unwrap();
        assert!((again.setbacks.saddle - best.setbacks.saddle).bench().abs() < 1e-4);
        assert!((again.setbacks.nut - best.setbacks.nut).bench().abs() < 1e-4);
        let nothing = optimum_from(s, [], &Aim::default()).unwrap();
        assert!(
            (nothing.setbacks.saddle - best.setbacks.saddle)
                .bench()
                .abs()
                < 1e-4
        );
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

#[test]
fn a_straight_saddle_runs_between_the_courses() {
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
    assert!((line.courses[0].bench() - 1.72).abs() < 1e-9);
    assert!(SaddleLine::through(&[]).is_err());
    assert!(SaddleLine::through(&courses[..1]).unwrap().slant == 0.0);
}

#[test]
fn steps_of_pure_tones_in_cents() {
    let (two, three) = pure_tone_step(hz(440.0));
    assert!((two.0 - 7.852).abs() < 1e-3 && three.0 > two.0);
}

proptest! {
    #[test]
    fn an_optimum_is_found_for_any_string_of_the_trade(
        t in 20.0..120.0f64, k in 20.0..120.0f64, b in 0.3..3.0f64, from in 1..6u32, to in 8..18u32,
    ) {
        with(Setbacks::default(), |s| {
            let mut s = s.clone().with_found(Banded::within(k, 5.0), Banded::within(b, 0.1), 0.3).unwrap();
            s.tension_n = t;
            s = s.pressed_by(crate::press::Press::default()).unwrap();
            for rule in [Rule::LeastSquares, Rule::Minimax] {
                let best = optimum(&s, &Aim { frets: from..=to, rule, ..Aim::default() }).unwrap();
                assert!(best.residual.rms.0.is_finite() && best.saddle_mm.high >= best.saddle_mm.value);
                assert!(best.residual.rms.0 < 3.0, "{best:?}");
            }
        });
    }
}
