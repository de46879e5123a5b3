//! The walk in three moves: heights and plucks that show what the words beside them say.

use super::{Felt, felt, with_action};
use crate::records::{Instrument, RackString};
use crate::units::Units;

/// What the gap at the twelfth fret is drawn down to in the first and in the second move, as a share of what it was.
const LOWERED: [f64; 2] = [0.8, 0.45];

/// How hard it is plucked in the first and in the second move, as a share of the hardest pluck that stays clear.
const PLUCKED: [f64; 2] = [0.8, 1.6];

/// The least and the greatest pluck of the walk, in N.
const PLUCKS_N: (f64, f64) = (0.2, 8.0);

/// A move of the walk.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Move {
    /// The gap at the twelfth fret in mm.
    pub gap_12_mm: f64,
    /// The pluck in N.
    pub pluck_n: f64,
}

/// The first move (0), lower and plucked gently, or the second (1), lower still and plucked harder than the swing has room for.
/// None where nothing can be said of the note.
#[must_use]
pub fn walk(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    fret: u32,
    number: usize,
) -> Option<Move> {
    let (lowered, plucked) = (LOWERED.get(number)?, PLUCKED.get(number)?);
    let mut lower = instrument.clone();
    let was = instrument.setup.courses.get(course)?.gap_12_mm?;
    let gap_12_mm = (20.0 * was * lowered).round() / 20.0;
    with_action(&mut lower, course, gap_12_mm);
    let there: Felt = felt(&lower, rack, course, fret, Units::default()).ok()?;
    let room = there.figures?.headroom_n?;
    Some(Move {
        gap_12_mm,
        pluck_n: (room * plucked).clamp(PLUCKS_N.0, PLUCKS_N.1),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families::{FAMILIES, start};

    #[test]
    fn each_move_shows_what_is_said_of_it() {
        for family in FAMILIES {
            let whole = start(family.key, 0, None, "a").unwrap();
            let course = whole.courses.len().min(2) - 1;
            let fret = 5 + whole.courses[course].first_fret;
            let was = felt(&whole, &[], course, fret, Units::default()).unwrap();
            let shown = |number: usize| {
                let step = walk(&whole, &[], course, fret, number).unwrap();
                let mut moved = whole.clone();
                with_action(&mut moved, course, step.gap_12_mm);
                moved.pluck.force_n = step.pluck_n;
                felt(&moved, &[], course, fret, Units::default()).unwrap()
            };
            let (lower, too_low) = (shown(0), shown(1));
            let of = |felt: &Felt| felt.figures.clone().unwrap();
            assert!(of(&lower).finger_n < of(&was).finger_n, "{}", family.key);
            assert!(of(&lower).cents < of(&was).cents, "{}", family.key);
            assert!(!lower.buzzes && too_low.buzzes, "{}", family.key);
            assert!(walk(&whole, &[], course, fret, 2).is_none());
        }
    }
}
