//! What a course does as it stands: the three things that move together.

use crate::clearance::Pluck;
use crate::press::StringOnBoard;
use crate::quantity::{Cents, Force, InBenchUnits, newtons};

/// What a course does as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// The finger's mean force over frets 1 to 12 in front of the course's nut, its strings together; frets that cannot sound
    /// are left out.
    pub force: Force,
    /// The hardest pluck that keeps every note of every string clear; zero where a note is blocked.
    pub headroom: Force,
    /// The note with the least headroom (0 is the open string), and the fret that it touches or lies on.
    pub worst: Option<(u32, u32)>,
    /// Of frets 1 to 12, the note that is furthest out of tune: its fret, and by how much.
    pub cents: Option<(u32, Cents)>,
    /// How many notes cannot sound.
    pub blocked: u32,
}

/// The frets whose force and pitch count: 1 to 12 in front of the nut.
pub(super) fn counted(string: &StringOnBoard<'_>) -> std::ops::RangeInclusive<u32> {
    let all = string.frets();
    *all.start()..=(*all.end()).min(*all.start() + 11)
}

/// The mean force of one string over the frets that count, in N. None when none of them sounds.
pub(super) fn mean_force(string: &StringOnBoard<'_>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0.0);
    for fret in counted(string) {
        if let Ok(note) = string.press(fret) {
            sum += note.finger_force().bench();
            count += 1.0;
        }
    }
    (count > 0.0).then(|| sum / count)
}

/// What a course does: its different strings over the board, each with how many such there are. A course without a string
/// has no force and no headroom.
#[must_use]
pub fn stand(strings: &[(StringOnBoard<'_>, u32)], pluck: &Pluck) -> Stand {
    let mut all = Stand {
        force: newtons(0.0),
        headroom: newtons(0.0),
        worst: None,
        cents: None,
        blocked: 0,
    };
    let mut least = f64::INFINITY;
    for (string, count) in strings {
        all.force += newtons(mean_force(string).unwrap_or(0.0) * f64::from(*count));
        for fret in std::iter::once(0).chain(string.frets()) {
            let Ok(note) = string.press(fret) else {
                all.blocked += 1;
                least = 0.0;
                all.worst = Some((fret, fret));
                continue;
            };
            let clear = note.clearance(pluck);
            if let (Some(force), Some(touches)) = (clear.headroom_force, clear.worst_fret)
                && force.bench() < least
            {
                least = force.bench();
                all.worst = Some((fret, touches));
            }
            let cents = note.cents();
            if counted(string).contains(&fret)
                && all
                    .cents
                    .is_none_or(|(_, most)| cents.0.abs() > most.0.abs())
            {
                all.cents = Some((fret, cents));
            }
        }
    }
    if least.is_finite() {
        all.headroom = newtons(least);
    }
    all
}
