//! The taut path of a pressed string against the shape of least energy, found by relaxation and knowing nothing of hulls.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use proptest::prelude::*;
use strungwell_physics::fretboard::{Fretboard, Setbacks};
use strungwell_physics::heights::{FretTops, Gap, StringLine};
use strungwell_physics::press::{Press, StringOnBoard};
use strungwell_physics::quantity::{InBenchUnits, g_per_m, mm, newtons};
use strungwell_physics::strung::{Banded, Strung};

/// Heights of a string of least energy over places along it: held at both ends, nowhere below `floor`, at most `lid` (the
/// finger). Each height in turn is put where its neighbours pull it, until nothing moves.
fn relaxed(places: &[f64], ends: (f64, f64), floor: &[f64], lid: &[f64]) -> Vec<f64> {
    let last = places.len() - 1;
    let mut w: Vec<f64> = places
        .iter()
        .map(|x| ends.0 + (ends.1 - ends.0) * x / places[last])
        .collect();
    for _ in 0..200_000 {
        let mut most = 0.0_f64;
        for i in 1..last {
            let (a, b) = (places[i] - places[i - 1], places[i + 1] - places[i]);
            let pulled = (w[i - 1] * b + w[i + 1] * a) / (a + b);
            let put = pulled.max(floor[i]).min(lid[i]);
            most = most.max((put - w[i]).abs());
            w[i] = put;
        }
        if most < 1e-12 {
            break;
        }
    }
    w
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, max_global_rejects: 60, ..ProptestConfig::default() })]
    #[test]
    fn the_taut_path_is_that_of_least_energy(
        departures in proptest::collection::vec(-0.15..0.15f64, 18), g1 in 0.05..0.8f64, g12 in 1.5..3.5f64,
        fret in 1..18u32, behind in 1.0..8.0f64, reaction in 0.0..3.0f64,
    ) {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        let mut tops = FretTops::straight(&board, mm(4.0)).unwrap();
        let straight = tops.clone();
        for (n, by) in (1..).zip(&departures) {
            tops = tops.with_departure(n, mm(*by)).unwrap();
        }
        let gaps = [(1, g1), (12, g12)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
        let line = StringLine::through_gaps(&board, &straight, Setbacks::default(), gaps).unwrap();
        let strung = Strung {
            tension: newtons(45.0),
            mass_per_length: g_per_m(0.6),
            diameter: mm(0.8),
            kappa: Banded::exact(52.0),
            bending_length_mm: Banded::exact(1.4),
        };
        let press = Press { finger_behind: mm(behind), fret_reaction: newtons(reaction) };
        let string = StringOnBoard::new(&strung, &board, &tops, line).unwrap().pressed_by(press).unwrap();
        // A blocked note shows nothing and does not count: the wanted number of cases must sound, and at most as many be blocked.
        let Ok(note) = string.press(fret) else {
            return Err(TestCaseError::reject("the note is blocked"));
        };
        // The finger's own place, from the fret's reaction alone: R = T (fall behind - rise ahead).
        let (x, z) = (board.position(fret).unwrap().bench(), tops.top(fret).unwrap().bench());
        let space = x - board.position(fret - 1).unwrap().bench();
        let back = behind.min(space / 2.0);
        let (run, rise) = (381.0 - x, line.saddle_height().bench() - z);
        let sine = rise / run.hypot(rise) + note.fret_reaction().bench() / note.tension().bench();
        let finger = z - back * sine.asin().tan();
        let mut places = vec![0.0];
        let (mut floor, mut lid) = (vec![-9.0], vec![99.0]);
        for n in 1..=18 {
            if n == fret {
                places.push(x - back);
                floor.push(finger - 1e-15);
                lid.push(finger);
            }
            places.push(board.position(n).unwrap().bench());
            floor.push(tops.top(n).unwrap().bench());
            lid.push(99.0);
        }
        places.push(381.0);
        floor.push(-9.0);
        lid.push(99.0);
        let ends = (line.nut_height().bench(), line.saddle_height().bench());
        let w = relaxed(&places, ends, &floor, &lid);
        let length: f64 = (1..places.len()).map(|i| (places[i] - places[i - 1]).hypot(w[i] - w[i - 1])).sum();
        let open = string.press(0).map_or_else(|_| 381.0_f64.hypot(ends.1 - ends.0), |o| o.sounding_length().bench());
        prop_assert!((length / open - 1.0 - note.stretch()).abs() < 1e-9, "{} {}", length / open - 1.0, note.stretch());
        // It touches the frets behind that the path says, the last of them first.
        let touched = (1..fret).rev().find(|n| {
            let i = *n as usize;
            let (a, b) = (places[i] - places[i - 1], places[i + 1] - places[i]);
            let free = (w[i - 1] * b + w[i + 1] * a) / (a + b);
            w[i] - free > 1e-9
        });
        prop_assert_eq!(note.touches_behind(), touched);
    }
}
