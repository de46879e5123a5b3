use super::*;
use crate::heights::Gap;
use crate::heights::Relief;
use crate::quantity::g_per_m;
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

fn board() -> Fretboard {
    Fretboard::new(mm(381.0), 18).unwrap()
}

fn gaps(first: f64, twelfth: f64) -> [Gap; 2] {
    [(1, first), (12, twelfth)].map(|(fret, gap)| Gap { fret, gap: mm(gap) })
}

fn laid<'a>(
    board: &'a Fretboard,
    tops: &'a FretTops,
    first: f64,
    twelfth: f64,
) -> StringOnBoard<'a> {
    let setbacks = Setbacks::in_mm(1.5, -0.3);
    let line = StringLine::through_gaps(board, tops, setbacks, gaps(first, twelfth)).unwrap();
    StringOnBoard::new(&nylon(), board, tops, line).unwrap()
}

#[test]
fn the_fret_bears_what_was_asked_for() {
    let board = board();
    let tops = FretTops::straight(&board, mm(1.2)).unwrap();
    let string = laid(&board, &tops, 0.6, 2.6);
    for fret in string.frets() {
        let note = string.press(fret).unwrap();
        assert!(!note.on_wood(), "{fret}");
        assert!((note.fret_reaction().bench() - 1.0).abs() < 2e-6, "{fret}");
        // The finger holds what fret, nut and saddle do not.
        assert!(note.finger_force() > note.fret_reaction());
        assert!(note.cents().0 > -20.0 && note.cents().0 < 40.0);
    }
    let light = string
        .clone()
        .pressed_by(Press {
            fret_reaction: newtons(0.0),
            ..Press::default()
        })
        .unwrap();
    for fret in light.frets() {
        let note = light.press(fret).unwrap();
        assert!(note.fret_reaction().bench().abs() < 1e-12);
        assert!(note.cents() < string.press(fret).unwrap().cents());
    }
}

#[test]
fn low_frets_put_the_string_on_the_wood() {
    let board = board();
    let tops = FretTops::straight(&board, mm(0.15)).unwrap();
    let string = laid(&board, &tops, 0.6, 2.6);
    let note = string.press(5).unwrap();
    assert!(note.on_wood());
    assert!(note.fret_reaction().bench() < 1.0);
    let none = FretTops::straight(&board, mm(0.0)).unwrap();
    let string = laid(&board, &none, 0.6, 2.6);
    assert!(matches!(
        string.press(5),
        Err(Blocked::WoodFirst { fret: 5 })
    ));
}

#[test]
fn frets_behind_the_finger_are_touched_when_the_nut_is_low() {
    let board = board();
    let tops = FretTops::straight(&board, mm(1.5)).unwrap();
    let string = laid(&board, &tops, 0.05, 2.6);
    let note = string.press(9).unwrap();
    assert_eq!(note.touches_behind(), Some(8));
    // The path over those frets is longer than the straight line would be.
    // The lightest press right at the fret leaves the way from the nut free.
    let light = Press {
        finger_behind: mm(0.0),
        fret_reaction: newtons(0.0),
    };
    let free = laid(&board, &tops, 0.6, 2.6).pressed_by(light).unwrap();
    assert_eq!(free.press(9).unwrap().touches_behind(), None);
    let (behind, straight) = {
        let p = note.path;
        let x = board.position(9).unwrap().bench() - p.finger - string.line.nut_x_mm;
        let fall = string.line.nut_mm + p.finger * p.finger_sin / p.finger_cos;
        (p.behind.length, x.hypot(fall))
    };
    assert!(behind > straight);
}

#[test]
fn blocked_notes_say_why_and_the_rest_goes_on() {
    let board = board();
    let straight = FretTops::straight(&board, mm(1.0)).unwrap();
    // Fret 7 a good deal too high: the open string and the notes behind it lie on it.
    let high = straight.clone().with_departure(7, mm(2.2)).unwrap();
    let string = {
        let clear = laid(&board, &straight, 0.6, 2.6);
        StringOnBoard::new(&nylon(), &board, &high, clear.line).unwrap()
    };
    assert_eq!(string.press(0).err(), Some(Blocked::OpenLiesOn { on: 7 }));
    assert_eq!(string.press(7).err(), Some(Blocked::FretHigh { fret: 7 }));
    assert_eq!(
        string.press(5).err(),
        Some(Blocked::LiesOnAhead { fret: 5, on: 7 })
    );
    assert!(string.press(8).unwrap().touches_behind() == Some(7));
    assert!(string.press(12).is_ok());
    assert_eq!(
        string.press(19).err(),
        Some(Blocked::NoSuchFret {
            fret: 19,
            frets: 18
        })
    );
    // A gap below zero.
    let string = laid(&board, &straight, -0.1, 2.6);
    assert_eq!(string.press(0).err(), Some(Blocked::OpenLiesOn { on: 1 }));
    assert_eq!(string.press(1).err(), Some(Blocked::FretHigh { fret: 1 }));
    assert!(string.press(3).is_ok());
    // A saddle under the board.
    let line = StringLine::new(&board, Setbacks::default(), mm(2.0), mm(-3.0)).unwrap();
    let string = StringOnBoard::new(&nylon(), &board, &straight, line).unwrap();
    assert!(matches!(string.press(0), Err(Blocked::SaddleLow { .. })));
    assert!(matches!(
        string.press(4),
        Err(Blocked::SaddleLow { fret: 4 })
    ));
    // A hump that puts frets above the string.
    let hump = FretTops::relieved(&board, &Relief::over(mm(-3.0), 9), mm(1.0)).unwrap();
    let string = StringOnBoard::new(
        &nylon(),
        &board,
        &hump,
        laid(&board, &straight, 0.6, 2.6).line,
    )
    .unwrap();
    assert!(string.press(9).is_err() && string.press(0).is_err());
    assert!(string.press(18).is_ok());
    assert_eq!(
        string.press(9).err().unwrap().to_string(),
        "fret 9 stands as high as the string at rest: the gap there is not above zero"
    );
}

#[test]
fn a_short_course_counts_from_its_own_nut() {
    let whole = Fretboard::new(mm(667.0), 22).unwrap();
    let short = whole.clone().starting_at(5).unwrap();
    let tops = FretTops::straight(&short, mm(1.0)).unwrap();
    let line = StringLine::through_gaps(
        &short,
        &tops,
        Setbacks::in_mm(1.0, 0.0),
        [
            Gap {
                fret: 6,
                gap: mm(0.5),
            },
            Gap {
                fret: 17,
                gap: mm(2.0),
            },
        ],
    )
    .unwrap();
    let string = StringOnBoard::new(&nylon(), &short, &tops, line).unwrap();
    assert_eq!(string.frets(), 6..=22);
    assert!(string.press(0).unwrap().cents().0.abs() < 1e-12);
    assert_eq!(
        string.press(5).err(),
        Some(Blocked::BehindNut { fret: 5, first: 5 })
    );
    let twelfth = string.press(17).unwrap();
    assert!(twelfth.cents().0.abs() < 25.0);
    assert!((twelfth.sounding_length() / string.press(0).unwrap().sounding_length()).value < 0.51);
}

#[test]
fn tails_that_slip_share_the_stretch() {
    let board = board();
    let tops = FretTops::straight(&board, mm(1.2)).unwrap();
    let tight = laid(&board, &tops, 0.6, 2.6);
    let loose = tight
        .clone()
        .gripped(Grip::WithTails {
            behind_nut: mm(60.0),
            behind_saddle: mm(20.0),
        })
        .unwrap();
    let (a, b) = (tight.press(5).unwrap(), loose.press(5).unwrap());
    assert!(b.stretch() < a.stretch() && b.cents() < a.cents());
    let share = tight.open_mm / (tight.open_mm + 80.0);
    assert!((b.stretch() / a.stretch() - share).abs() < 2e-3);
}

/// A string with every parameter that [`CentsPer`] knows, moved by `by`.
fn moved(string: &StringOnBoard<'_>, fret: u32, which: usize, by: f64) -> f64 {
    let mut s = string.clone();
    match which {
        0 => s.kappa.value += by,
        1 => s.bending_mm.value += by,
        2 => s.line.saddle_x_mm += by,
        3 => s.line.nut_x_mm -= by,
        4 => s.line.nut_mm += by,
        _ => s.line.saddle_mm += by,
    }
    s.settle();
    s.press(fret).unwrap().cents().0
}

#[test]
fn derivatives_are_those_of_the_pitch() {
    let board = board();
    let mut seen = Vec::new();
    for (crowns, reaction, tails, nut_gap) in [
        (1.2, 0.0, 0.0, 0.6),
        (1.2, 1.0, 0.0, 0.6),
        (1.2, 3.0, 80.0, 0.6),
        (0.2, 2.0, 0.0, 0.6),
        (1.5, 1.0, 0.0, 0.05),
    ] {
        let tops = FretTops::relieved(&board, &Relief::over(mm(0.1), 7), mm(crowns)).unwrap();
        let string = laid(&board, &tops, nut_gap, 2.6)
            .pressed_by(Press {
                fret_reaction: newtons(reaction),
                ..Press::default()
            })
            .unwrap()
            .gripped(Grip::WithTails {
                behind_nut: mm(tails),
                behind_saddle: mm(0.0),
            })
            .unwrap();
        for fret in [1, 9] {
            let note = string.press(fret).unwrap();
            seen.push((note.on_wood(), note.touches_behind().is_some()));
            let per = note.cents_per();
            let exact = [
                per.stretch,
                per.bending_mm,
                per.saddle_mm,
                per.nut_mm,
                per.nut_height_mm,
                per.saddle_height_mm,
            ];
            for (which, exact) in exact.into_iter().enumerate() {
                let h = if which == 0 { 1e-3 } else { 1e-5 };
                let slope =
                    (moved(&string, fret, which, h) - moved(&string, fret, which, -h)) / (2.0 * h);
                assert!(
                    (slope - exact).abs() < 2e-6 * (1.0 + exact.abs()),
                    "{which}: {slope} against {exact} at {fret} with {crowns} {reaction} {tails} {nut_gap}"
                );
            }
        }
    }
    // The list holds a string on the wood and one over frets behind the finger.
    assert!(seen.contains(&(true, false)) && seen.contains(&(false, true)));
}

proptest! {
    #[test]
    fn no_finite_input_breaks_it(
        t in proptest::num::f64::ANY, k in proptest::num::f64::ANY, b in proptest::num::f64::ANY,
        g1 in -50.0..50.0f64, g12 in -50.0..50.0f64, finger in 0.0..120.0f64, reaction in 0.0..110.0f64,
        relief in -6.0..6.0f64, crowns in 0.0..5.5f64, first in 0..20u32,
    ) {
        let Ok(board) = board().starting_at(first) else { return Ok(()) };
        let Ok(tops) = FretTops::relieved(&board, &Relief::over(mm(relief), 7), mm(crowns)) else { return Ok(()) };
        let gaps = [(first + 1, g1), (18, g12)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
        let Ok(line) = StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.0, -0.2), gaps) else { return Ok(()) };
        let string = Strung { tension: newtons(t), kappa: Banded::exact(k), bending_length_mm: Banded::exact(b), ..nylon() };
        let Ok(string) = StringOnBoard::new(&string, &board, &tops, line) else { return Ok(()) };
        let press = Press { finger_behind: mm(finger), fret_reaction: newtons(reaction) };
        let Ok(string) = string.pressed_by(press) else { return Ok(()) };
        for fret in 0..=19 {
            if let Ok(note) = string.press(fret) {
                let per = note.cents_per();
                prop_assert!(note.cents().0.is_finite() && per.stretch.is_finite() && per.saddle_mm.is_finite());
                prop_assert!(note.finger_force().bench().is_finite() && note.finger_force().bench() >= 0.0);
                prop_assert!(note.stretch() >= 0.0);
            }
        }
    }

    #[test]
    fn strings_of_the_trade_are_pressed(
        t in 20.0..120.0f64, k in 20.0..120.0f64, g1 in 0.3..1.0f64, g12 in 1.5..4.0f64, finger in 2.0..12.0f64,
        reaction in 0.0..3.0f64, raise in 0.01..1.5f64,
    ) {
        let board = board();
        let tops = FretTops::straight(&board, mm(1.2)).unwrap();
        let mut string = laid(&board, &tops, g1, g12);
        string.tension_n = t;
        string.settle();
        string.kappa = Banded::exact(k);
        let string = string.pressed_by(Press { finger_behind: mm(finger), fret_reaction: newtons(reaction) }).unwrap();
        for fret in string.frets() {
            let note = string.press(fret).unwrap();
            prop_assert!(note.finger_force().bench() > 0.0);
            // A higher saddle costs more force.
            let line = StringLine { saddle_mm: string.line.saddle_mm + raise, ..string.line };
            let higher = StringOnBoard { line, ..string.clone() };
            prop_assert!(higher.press(fret).unwrap().finger_force() > note.finger_force());
        }
    }
}
