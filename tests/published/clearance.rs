//! The room of a swinging string, against sums of its modes.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::f64::consts::PI;
use strungwell_physics::clearance::{Pluck, Release, lowest_shape};
use strungwell_physics::fretboard::{Fretboard, Setbacks};
use strungwell_physics::heights::{FretTops, Gap, Relief, StringLine};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{InBenchUnits, g_per_m, mm, newtons};
use strungwell_physics::strung::{Banded, Strung};
use strungwell_tests::reference::check;

const MODES: usize = 1200;
const MOMENTS: usize = 240;

/// The lowest that each of some places (shares of the length, from the stop) comes during a whole swing of a string plucked to
/// height `a` at a share `p` from its far end, as a sum of the flexible string's modes.
///
/// `w = sum 2 a/(n^2 pi^2 p (1 - p)) sin(n pi p) sin(n pi x) cos(n pi t)`, `x` from the plucked end; away from the board is
/// positive. Source: Fourier series of the triangle; Fletcher & Rossing, The Physics of Musical Instruments.
fn lowest_by_modes(places: &[f64], a: f64, p: f64) -> Vec<f64> {
    let size: Vec<f64> = (1..=MODES)
        .map(|n| {
            let np = n as f64 * PI;
            2.0 * a / (np * np * p * (1.0 - p)) * (np * p).sin()
        })
        .collect();
    let swing: Vec<Vec<f64>> = (0..=MOMENTS)
        .map(|t| {
            let t = t as f64 / MOMENTS as f64;
            (1..=MODES).map(|n| (n as f64 * PI * t).cos()).collect()
        })
        .collect();
    places
        .iter()
        .map(|&from_stop| {
            let x = 1.0 - from_stop;
            let here: Vec<f64> = size
                .iter()
                .zip(1..)
                .map(|(s, n)| s * (f64::from(n) * PI * x).sin())
                .collect();
            swing
                .iter()
                .map(|cos| here.iter().zip(cos).map(|(h, c)| h * c).sum::<f64>())
                .fold(f64::INFINITY, f64::min)
        })
        .collect()
}

#[test]
pub(crate) fn the_lowest_shape_is_that_of_the_modes() {
    let c = check("ENV-01");
    let (p, a) = (c.number("pluck_fraction"), c.number("amplitude_mm"));
    let places: Vec<f64> = (1..40).map(|i| f64::from(i) / 40.0).collect();
    for (release, sign) in [(Release::Away, 1.0), (Release::Towards, -1.0)] {
        let modes = lowest_by_modes(&places, sign * a, p);
        let most = places
            .iter()
            .zip(&modes)
            .map(|(x, low)| (low + a * lowest_shape(*x, 1.0, p, release)).abs())
            .fold(0.0, f64::max);
        c.hold(&[most]);
    }
}

#[test]
fn a_pluck_within_the_headroom_stays_clear_and_one_beyond_it_does_not() {
    let board = Fretboard::new(mm(381.0), 18).unwrap();
    let tops = FretTops::relieved(&board, &Relief::over(mm(0.12), 7), mm(1.0))
        .unwrap()
        .with_departure(11, mm(0.08))
        .unwrap();
    let gaps = [(1, 0.6), (12, 2.4)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
    let line = StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.6, -0.2), gaps).unwrap();
    let strung = Strung {
        tension: newtons(44.0),
        mass_per_length: g_per_m(0.6),
        diameter: mm(0.7),
        kappa: Banded::exact(52.0),
        bending_length_mm: Banded::exact(1.3),
    };
    let string = StringOnBoard::new(&strung, &board, &tops, line).unwrap();
    let saddle = (381.0 + 1.6, line.saddle_height().bench());
    for release in [Release::Away, Release::Towards] {
        let pluck = Pluck::new(newtons(1.0), mm(95.0), release).unwrap();
        for fret in [0, 1, 4, 9, 13] {
            let note = string.press(fret).unwrap();
            let room = note.clearance(&pluck);
            let worst = room.worst_fret.unwrap();
            let stop = match fret {
                0 => (0.2, line.nut_height().bench()),
                n => (
                    board.position(n).unwrap().bench(),
                    tops.top(n).unwrap().bench(),
                ),
            };
            // Everything from here on by plain geometry and modes.
            let along =
                |n: u32| (board.position(n).unwrap().bench() - stop.0) / (saddle.0 - stop.0);
            let ahead: Vec<u32> = (fret + 1..=18).collect();
            let places: Vec<f64> = ahead.iter().map(|n| along(*n)).collect();
            let span = (saddle.0 - stop.0).hypot(saddle.1 - stop.1);
            let p = room.from_saddle.bench() / span;
            let sign = if release == Release::Away { 1.0 } else { -1.0 };
            let lowest = lowest_by_modes(&places, sign * room.headroom.unwrap().bench(), p);
            // What is left over each fret when plucked to this share of the headroom.
            let left = |share: f64| -> Vec<(f64, u32)> {
                ahead
                    .iter()
                    .zip(&places)
                    .zip(&lowest)
                    .map(|((n, x), low)| {
                        let rest = stop.1 + (saddle.1 - stop.1) * x;
                        (rest + share * low - tops.top(*n).unwrap().bench(), *n)
                    })
                    .collect()
            };
            for (over, n) in left(0.98) {
                assert!(over > 0.0, "{release:?} {fret}: fret {n} {over}");
            }
            let touched = left(1.02).into_iter().find(|(_, n)| *n == worst).unwrap();
            assert!(touched.0 < 0.0, "{release:?} {fret}: {touched:?}");
        }
    }
}
