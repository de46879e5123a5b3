//! Fret positions, heights, and what published setups, forces and hearing say of them.

// Helpers of tests may stop a test as the tests themselves do.
#![allow(clippy::unwrap_used, clippy::panic)]

use strungwell_physics::clearance::Pluck;
use strungwell_physics::fretboard::{
    Fretboard, Setbacks, distance_from_nut, distance_from_saddle, exact_divisor,
    interval_of_divisor, scale_from_two_frets,
};
use strungwell_physics::heights::{FretTops, Gap, Relief, StringLine};
use strungwell_physics::intonation::{READING_SD, pure_tone_step};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{InBenchUnits, g_per_m, hz, mm, newtons};
use strungwell_physics::strung::{Banded, Strung};
use strungwell_tests::reference::check;

#[test]
pub(crate) fn fret_positions() {
    check("FRET-01").hold(&[exact_divisor()]);
    for id in ["FRET-02", "FRET-03"] {
        let c = check(id);
        c.hold(&[distance_from_saddle(mm(c.number("scale")), 1).bench()]);
    }
    check("FRET-04").hold(&[distance_from_nut(mm(1.0), 12).bench()]);
    check("FRET-06").hold(&[interval_of_divisor(18.0, 1).0]);
    check("FRET-07").hold(&[interval_of_divisor(18.0, 12).0]);
    check("FRET-08").hold(&[scale_from_two_frets(mm(1.0)).bench()]);
}

/// An instrument of the published shop table: its scale and frets (common practice), a string of it that is usual.
struct Usual {
    name: &'static str,
    scale: f64,
    frets: u32,
    tension: f64,
    kappa: f64,
    /// The fret at which the second gap is measured.
    far: u32,
}

const USUAL: [Usual; 6] = [
    usual("steel-string guitar", 648.0, 20, 110.0, 150.0, 12),
    usual("nylon-string guitar", 650.0, 19, 62.0, 51.0, 12),
    usual("electric guitar", 648.0, 22, 75.0, 140.0, 12),
    usual("mandolin", 350.0, 20, 95.0, 130.0, 12),
    usual("banjo", 667.0, 22, 62.0, 160.0, 12),
    usual("bass guitar (17th fret)", 864.0, 20, 180.0, 120.0, 17),
];

const fn usual(
    name: &'static str,
    scale: f64,
    frets: u32,
    tension: f64,
    kappa: f64,
    far: u32,
) -> Usual {
    Usual {
        name,
        scale,
        frets,
        tension,
        kappa,
        far,
    }
}

impl Usual {
    fn strung(&self) -> Strung {
        Strung {
            tension: newtons(self.tension),
            mass_per_length: g_per_m(1.0),
            diameter: mm(0.8),
            kappa: Banded::exact(self.kappa),
            bending_length_mm: Banded::exact(1.0),
        }
    }

    fn with<T>(
        &self,
        gaps_in: (f64, f64),
        relief_in: (f64, u32),
        then: impl FnOnce(&StringOnBoard<'_>) -> T,
    ) -> T {
        let board = Fretboard::new(mm(self.scale), self.frets).unwrap();
        let relief = Relief::over(mm(relief_in.0 * 25.4), relief_in.1);
        let tops = FretTops::relieved(&board, &relief, mm(1.1)).unwrap();
        let gaps = [(1, gaps_in.0), (self.far, gaps_in.1)].map(|(fret, gap)| Gap {
            fret,
            gap: mm(gap * 25.4),
        });
        let line =
            StringLine::through_gaps(&board, &tops, Setbacks::in_mm(2.0, 0.0), gaps).unwrap();
        then(&StringOnBoard::new(&self.strung(), &board, &tops, line).unwrap())
    }
}

/// Every note sounds, takes a force that an instrumented fretboard could measure, and has room to swing.
fn plays(string: &StringOnBoard<'_>, what: &str) {
    let c = check("FORCE-02");
    let range = c.expected_numbers();
    for fret in std::iter::once(0).chain(string.frets()) {
        let note = string
            .press(fret)
            .unwrap_or_else(|why| panic!("{what}: {why}"));
        let force = note.finger_force().bench();
        assert!(
            range[0] <= force && force <= range[1],
            "{what} {fret}: {force} N"
        );
        let room = note.clearance(&Pluck::default());
        assert!(
            room.headroom.is_none_or(|h| h.bench() > 0.1),
            "{what} {fret}: {room:?}"
        );
    }
}

#[test]
fn published_setups_stand_and_play() {
    let c = check("SETUP-01");
    let allowed = c.tolerance["abs"].as_f64().unwrap();
    for instrument in &USUAL {
        let row: Vec<f64> = c.expected[instrument.name]
            .as_array()
            .unwrap()
            .iter()
            .map(|v| v.as_f64().unwrap())
            .collect();
        let [bass_1, treble_1, bass_12, treble_12, depth, at] = row[..] else {
            panic!("{row:?}")
        };
        let at = (1..=24).find(|n| (f64::from(*n) - at).abs() < 0.5).unwrap();
        for (first, twelfth) in [(bass_1, bass_12), (treble_1, treble_12)] {
            instrument.with((first, twelfth), (depth, at), |s| {
                let inches = |n: u32| s.gap(n).unwrap().bench() / 25.4;
                for (got, wanted) in [(inches(1), first), (inches(instrument.far), twelfth)] {
                    assert!(
                        (got - wanted).abs() <= allowed,
                        "{}: {got} {wanted}",
                        instrument.name
                    );
                }
                // The relief is where and as deep as the table says, under a straightedge over first and last fret.
                let (one, last) = (
                    s.board().position(1).unwrap(),
                    s.board().position(instrument.frets).unwrap(),
                );
                let share = ((s.board().position(at).unwrap() - one) / (last - one)).value;
                let top = |n: u32| s.tops().top(n).unwrap().bench() / 25.4;
                let edge = top(1) + (top(instrument.frets) - top(1)) * share;
                assert!((edge - top(at) - depth).abs() <= allowed);
                plays(s, instrument.name);
            });
        }
    }
}

#[test]
fn published_ranges_of_relief_and_nut_leave_every_note_free() {
    let (relief, nut) = (
        check("SETUP-02").expected_numbers(),
        check("SETUP-03").expected_numbers(),
    );
    let steel = &USUAL[0];
    for depth in &relief {
        for first in &nut {
            steel.with((*first, 0.08), (*depth, 8), |s| {
                plays(s, "steel-string guitar");
                // Slots that high stand above the fret tops, as slots must.
                assert!(s.line().nut_height().bench() > 0.0);
            });
        }
    }
}

#[test]
pub(crate) fn the_floor_of_hearing() {
    check("JND-01").hold(&[READING_SD.0]);
    // The step in cents at middle C, turned back into hertz.
    let middle_c = 261.625_565_300_6;
    let (least, most) = pure_tone_step(hz(middle_c));
    let steps = [least, most].map(|c| ((c.ratio() - 1.0) * middle_c * 1e6).round() / 1e6);
    check("JND-02").hold(&steps);
    assert!(READING_SD < least);
}
