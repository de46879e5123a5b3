//! The board's layout.

use super::*;
use strungwell_workshop::families;

fn board(key: &str) -> Board {
    Board::of(&families::start(key, 0, None, "a").unwrap(), None)
}

#[test]
fn the_twelfth_fret_stands_halfway_from_nut_to_saddle() {
    let plan = Plan::of(&board("ukulele-concert"));
    let twelfth = plan.frets[12][0].0;
    assert!((twelfth - f64::midpoint(plan.nut_x, plan.saddle_x)).abs() < 0.01);
    assert_eq!(plan.frets.len(), 19);
}

#[test]
fn the_bass_side_lies_below_and_strings_keep_their_order() {
    let plan = Plan::of(&board("guitar-nylon"));
    for (near, far) in plan.strings.iter().zip(plan.strings.iter().skip(1)) {
        assert!(near.0.1 > far.0.1);
        assert!(near.1.1 > far.1.1);
    }
}

#[test]
fn a_short_fifth_begins_at_its_fret_and_lower_frets_do_not_reach_it() {
    let board = board("banjo-five-string");
    let plan = Plan::of(&board);
    let fret = board.lanes[0].first_fret;
    assert_eq!(fret, 5);
    let start = plan.strings[0].0.0;
    assert!((start - plan.frets[5][0].0).abs() < 0.01);
    assert_eq!(plan.frets[4].len(), board.lanes.len() + 1);
    assert_eq!(plan.frets[5].len(), board.lanes.len() + 2);
}

#[test]
fn a_fan_is_square_at_its_fret() {
    let mut instrument = families::start("ukulele-tenor", 0, None, "a").unwrap();
    for (course, scale) in instrument
        .courses
        .iter_mut()
        .zip([440.0, 434.0, 428.0, 422.0])
    {
        course.scale_mm = Some(scale);
    }
    let board = Board::of(&instrument, None);
    assert!(board.is_fanned());
    let plan = Plan::of(&board);
    let spread = |fret: usize| {
        let xs: Vec<f64> = plan.frets[fret].iter().map(|p| p.0).collect();
        xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min)
    };
    assert!(spread(SQUARE_FRET) < 0.01);
    assert!(spread(0) > 5.0);
}

#[test]
fn odd_boards_are_laid_out_without_a_number_that_is_none() {
    let start = families::start("own", 0, None, "a").unwrap();
    let courses = start.courses.clone();
    for change in [
        (|i: &mut Instrument| i.frets = 0) as fn(&mut Instrument),
        |i| i.frets = 40,
        |i| i.scale_mm = 50.0,
        |i| i.scale_mm = 2000.0,
        |i| i.body_fret = Some(40),
        |i| i.courses.clear(),
        |i| i.courses[0].first_fret = 40,
        |i| i.courses[0].scale_mm = Some(2000.0),
        |i| {
            i.neck = Some(strungwell_workshop::records::Neck {
                width_nut_mm: Some(5.0),
                ..Default::default()
            })
        },
    ] {
        let mut instrument = start.clone();
        instrument.courses.clone_from(&courses);
        change(&mut instrument);
        let plan = Plan::of(&Board::of(&instrument, None));
        let points = plan
            .frets
            .iter()
            .flatten()
            .chain(&plan.outline)
            .chain(&plan.saddle);
        for (x, y) in points {
            assert!(x.is_finite() && y.is_finite());
        }
        assert!(plan.height.is_finite() && plan.scale > 0.0);
    }
}

#[test]
fn notes_of_close_strings_do_not_lie_on_one_another() {
    for key in [
        "guitar-nylon",
        "banjo-five-string",
        "mandolin",
        "ukulele-concert",
    ] {
        let board = board(key);
        let plan = Plan::of(&board);
        let at_nut: Vec<f64> = board
            .lanes
            .iter()
            .zip(&plan.labels)
            .filter(|(lane, _)| lane.first_fret == 0)
            .map(|(_, label)| label.1)
            .collect();
        for pair in at_nut.windows(2) {
            assert!(pair[0] - pair[1] >= LABEL_PITCH - 1e-9, "{key}: {at_nut:?}");
        }
    }
}
