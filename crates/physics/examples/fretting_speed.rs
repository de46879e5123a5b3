//! Prints how long one fretted note and one instrument's fretting figures take: `cargo run --release --example
//! fretting_speed -p strungwell-physics`.

use std::hint::black_box;
use std::time::Instant;
use strungwell_physics::clearance::Pluck;
use strungwell_physics::fretboard::{Fretboard, Setbacks};
use strungwell_physics::heights::{FretTops, Gap, Relief, StringLine};
use strungwell_physics::intonation::{Aim, NoteError, Rule, narrows_most, optimum};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{InBenchUnits, g_per_m, mm, newtons};
use strungwell_physics::strung::{Banded, Strung};

const COURSES: [(f64, f64, f64); 4] = [
    (47.0, 51.0, 1.3),
    (42.0, 52.0, 1.5),
    (45.0, 51.0, 1.3),
    (48.0, 50.0, 1.1),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let gap = |fret, gap| Gap { fret, gap: mm(gap) };
    let lay = || -> Result<_, Box<dyn std::error::Error>> {
        let board = Fretboard::new(mm(381.0), 18)?;
        let tops = FretTops::relieved(&board, &Relief::over(mm(0.1), 7), mm(1.0))?;
        Ok((board, tops))
    };
    let string = |(t, k, b): (f64, f64, f64)| Strung {
        tension: newtons(t),
        mass_per_length: g_per_m(0.6),
        diameter: mm(0.8),
        kappa: Banded::within(k, 5.0),
        bending_length_mm: Banded::within(b, 0.2),
    };
    let pluck = Pluck::default();
    let (board, tops) = lay()?;
    let line = StringLine::through_gaps(
        &board,
        &tops,
        Setbacks::in_mm(1.5, 0.0),
        [gap(1, 0.6), gap(12, 2.6)],
    )?;
    let laid = StringOnBoard::new(&string(COURSES[0]), &board, &tops, line)?;

    time("note: cents, force, clearance", 20, 19.0, || {
        let laid = black_box(&laid);
        for fret in 0..=18 {
            if let Ok(note) = laid.press(black_box(fret)) {
                black_box((note.cents(), note.finger_force(), note.clearance(&pluck)));
            }
        }
    });
    time("note with its band as well", 20, 19.0, || {
        let laid = black_box(&laid);
        for fret in 0..=18 {
            if let Ok(note) = laid.press(black_box(fret)) {
                black_box((
                    NoteError::of(&note),
                    note.finger_force(),
                    note.clearance(&pluck),
                ));
            }
        }
    });
    time("best setbacks of a course", 2, 1.0, || {
        black_box(optimum(black_box(&laid), &Aim::default()).is_ok());
    });
    let minimax = Aim {
        rule: Rule::Minimax,
        ..Aim::default()
    };
    time("best setbacks by the least greatest error", 2, 1.0, || {
        black_box(optimum(black_box(&laid), &minimax).is_ok());
    });
    time("four courses of 18 frets, all figures", 2, 1.0, || {
        let mut sum = 0.0;
        for course in black_box(COURSES) {
            let Ok((board, tops)) = lay() else { return };
            let setbacks = Setbacks::in_mm(1.5, 0.0);
            let Ok(laid) =
                StringLine::through_gaps(&board, &tops, setbacks, [gap(1, 0.6), gap(12, 2.6)])
                    .and_then(|line| StringOnBoard::new(&string(course), &board, &tops, line))
            else {
                return;
            };
            let mut errors = Vec::with_capacity(19);
            for fret in 0..=18 {
                if let Ok(note) = laid.press(fret) {
                    errors.push(NoteError::of(&note));
                    sum += note.finger_force().bench();
                    sum += note.clearance(&pluck).pluck_height.bench();
                }
            }
            black_box(narrows_most(&errors));
            let Ok(best) = optimum(&laid, &Aim::default()) else {
                return;
            };
            let Ok(then) = laid.clone().with_setbacks(best.setbacks) else {
                return;
            };
            for fret in 0..=18 {
                if let Ok(error) = then.note_error(fret) {
                    sum += error.cents.0;
                }
            }
        }
        black_box(sum);
    });
    Ok(())
}

/// Prints the least time of many short rounds, for each of `parts` alike parts: short, so that some of them are not
/// interrupted by whatever else the machine does.
fn time(what: &str, times: u32, parts: f64, mut work: impl FnMut()) {
    let mut least = f64::INFINITY;
    for _ in 0..2000 {
        let start = Instant::now();
        for _ in 0..times {
            work();
        }
        let each = start.elapsed().as_secs_f64() / f64::from(times);
        least = least.min(each / parts);
    }
    println!("{what:<45} {:>10.0} ns", least * 1e9);
}
