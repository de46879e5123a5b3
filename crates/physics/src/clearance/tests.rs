use super::*;
use crate::fretboard::{Fretboard, Setbacks};
use crate::heights::{FretTops, Gap, StringLine};
use crate::quantity::g_per_m;
use crate::strung::{Banded, Strung};
use proptest::prelude::*;

fn string() -> Strung {
    Strung {
        tension: newtons(45.0),
        mass_per_length: g_per_m(0.6),
        diameter: mm(0.8),
        kappa: Banded::exact(52.0),
        bending_length_mm: Banded::exact(1.4),
    }
}

fn with<T>(gap_1: f64, gap_12: f64, high: f64, then: impl Fn(&StringOnBoard<'_>) -> T) -> T {
    let board = Fretboard::new(mm(381.0), 18).unwrap();
    let straight = FretTops::straight(&board, mm(1.0)).unwrap();
    let gaps = [(1, gap_1), (12, gap_12)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
    let line =
        StringLine::through_gaps(&board, &straight, Setbacks::in_mm(1.5, 0.0), gaps).unwrap();
    let tops = straight.clone().with_departure(14, mm(high)).unwrap();
    then(&StringOnBoard::new(&string(), &board, &tops, line).unwrap())
}

fn pluck(release: Release) -> Pluck {
    Pluck::new(newtons(1.5), mm(95.0), release).unwrap()
}

#[test]
fn headroom_is_the_least_over_the_frets_ahead() {
    with(0.6, 2.6, 0.0, |s| {
        for release in [Release::Away, Release::Towards] {
            let note = s.press(3).unwrap();
            let c = note.clearance(&pluck(release));
            let length = note.sounding_length().bench();
            let x3 = s.board().position(3).unwrap().bench();
            let rise = s.line().saddle_height().bench() / (s.board().scale().bench() + 1.5 - x3);
            let by_hand = (4..=18)
                .map(|m| {
                    let from = s.board().position(m).unwrap().bench() - x3;
                    rise * from / lowest_shape(from, length, 95.0, release)
                })
                .fold(f64::INFINITY, f64::min);
            assert!((c.headroom.unwrap().bench() - by_hand).abs() < 1e-9);
            // All frets before the corner are touched at once on a straight board; the first is named.
            assert_eq!(c.worst_fret, Some(4));
            let force = pluck_force(
                note.tension(),
                c.headroom.unwrap(),
                mm(95.0),
                note.sounding_length(),
            );
            assert!(((c.headroom_force.unwrap() / force).value - 1.0).abs() < 1e-12);
            let back = pluck_height(note.tension(), force, mm(95.0), note.sounding_length());
            assert!((back - c.headroom.unwrap()).bench().abs() < 1e-9);
        }
    });
}

#[test]
fn a_string_pulled_away_comes_lowest_near_its_stop() {
    // Its corner comes back at the fretted end, where the gaps are least.
    with(0.6, 2.6, 0.0, |s| {
        let away = s.clearance(0, &pluck(Release::Away)).unwrap();
        let towards = s.clearance(0, &pluck(Release::Towards)).unwrap();
        assert!(away.headroom.unwrap() < towards.headroom.unwrap());
        assert!(away.worst_fret.unwrap() < towards.worst_fret.unwrap());
    });
}

#[test]
fn a_high_fret_is_the_one_touched() {
    with(0.6, 2.6, 0.3, |s| {
        let c = s.clearance(9, &pluck(Release::Away)).unwrap();
        assert_eq!(c.worst_fret, Some(14));
        assert!(
            c.headroom.unwrap()
                < with(0.6, 2.6, 0.0, |s| s
                    .clearance(9, &pluck(Release::Away))
                    .unwrap()
                    .headroom
                    .unwrap())
        );
        // Nothing lies ahead of the last fret, and its plucking place moves with the hand.
        let last = s.clearance(18, &pluck(Release::Away)).unwrap();
        assert_eq!((last.headroom, last.worst_fret), (None, None));
        assert!(last.is_clear());
    });
}

#[test]
fn lower_action_leaves_less_headroom() {
    let room = |g12| {
        with(0.6, g12, 0.0, |s| {
            (0..18)
                .filter_map(|fret| {
                    s.clearance(fret, &pluck(Release::Away))
                        .ok()?
                        .headroom_force
                })
                .map(|force| force.bench())
                .fold(f64::INFINITY, f64::min)
        })
    };
    assert!(room(1.5) < room(2.0) && room(2.0) < room(2.6));
}

#[test]
fn a_harder_press_lets_a_harder_pluck_stay_on_its_fret() {
    with(0.6, 2.6, 0.0, |s| {
        let chatter = |r: f64| {
            let press = crate::press::Press {
                fret_reaction: newtons(r),
                ..Default::default()
            };
            let s = s.clone().pressed_by(press).unwrap();
            s.clearance(5, &pluck(Release::Away))
                .unwrap()
                .chatter_force
                .unwrap()
                .bench()
        };
        assert!(chatter(0.0).abs() < 1e-9);
        assert!((chatter(1.0) / chatter(0.5) - 2.0).abs() < 1e-5);
        // F (at p) pulls up at the stop with the lever's share F p/L, so it must not pass the reaction.
        let length = s.press(5).unwrap().sounding_length().bench();
        assert!((chatter(1.0) * 95.0 / length - 1.0).abs() < 1e-5);
        assert_eq!(
            s.clearance(0, &pluck(Release::Away)).unwrap().chatter_force,
            None
        );
    });
}

proptest! {
    #[test]
    fn no_pluck_breaks_it(force in proptest::num::f64::ANY, place in proptest::num::f64::ANY, g1 in 0.1..2.0f64, g12 in 0.1..5.0f64) {
        let Ok(pluck) = Pluck::new(newtons(force), mm(place), Release::Towards) else { return Ok(()) };
        with(g1, g12, 0.1, |s| {
            for fret in 0..=18 {
                if let Ok(c) = s.clearance(fret, &pluck) {
                    assert!(c.headroom.is_none_or(|h| h.bench().is_finite() && h.bench() >= 0.0));
                    assert!(c.headroom_force.is_none_or(|f| f.bench().is_finite()));
                    assert!(c.pluck_height.bench().is_finite());
                }
            }
        });
    }
}
