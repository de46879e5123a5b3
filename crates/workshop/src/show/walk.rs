//! The walk in two or three moves: heights and plucks that show what the words beside them say, or why they cannot.

use super::{Felt, Side, Which, felt, with_action};
use crate::records::{Instrument, RackString};
use crate::units::Units;

/// What the gap at the twelfth fret is drawn down to in the first and in the second move, as a share of what it was.
const LOWERED: [f64; 2] = [0.8, 0.45];

/// How hard it is plucked in the first and in the second move, as a share of the hardest pluck that stays clear.
const PLUCKED: [f64; 2] = [0.8, 1.6];

/// The least and the greatest pluck of the walk, in N.
const PLUCKS_N: (f64, f64) = (0.2, 8.0);

const SAID: [(&str, &str); 3] = [
    (
        "Lower: easier and truer",
        "On the first picture the strings have been lowered; the second stands as it was. The finger holds up less, and because \
         the string is pushed a shorter way, the note is less sharp. Plucked gently, it still rings clear.",
    ),
    (
        "Too low: it buzzes when you dig in",
        "Lower still, and plucked hard: the swing now meets a fret. A hard player needs more height than a gentle one; that is \
         why there is no one right height.",
    ),
    (
        "The strings decide too",
        "Another string on the same neck asks for another force of the finger and comes out more or less sharp. Pluck both, and \
         compare the weights.",
    ),
];

/// A move of the walk: what is put before the player, and what is said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is about.
    pub title: &'static str,
    /// What is to be seen; or why nothing is, and then nothing is moved.
    pub says: String,
    /// Whether what it is about can be seen.
    pub is_shown: bool,
    /// The places of the two setups in their list.
    pub sides: [usize; 2],
    /// The course, counted from 0.
    pub course: usize,
    /// The first setup's gap at the twelfth fret in mm, where it is moved.
    pub gap_12_mm: Option<f64>,
    /// The pluck in N.
    pub pluck_n: f64,
}

/// How many moves the walk has: the third needs another string for the first course.
#[must_use]
pub fn moves(sides: &[Side]) -> usize {
    2 + usize::from(fourth(sides).is_some())
}

/// The place of the setup with another fourth than the first one's.
#[must_use]
pub fn fourth(sides: &[Side]) -> Option<usize> {
    let note = |side: &Side| {
        side.instrument
            .courses
            .first()
            .map(|course| course.note.clone())
    };
    let first = note(sides.first()?);
    sides
        .iter()
        .position(|side| side.which == Which::Fourth && note(side) != first)
}

/// A move of the walk, counted from 0, begun with a note of a course of the first setup and a pluck in N: lower and plucked
/// gently; lower still and plucked harder than the swing has room for; the first course beside the same with another string.
#[must_use]
pub fn walk(
    sides: &[Side],
    rack: &[RackString],
    (course, fret): (usize, u32),
    pluck_n: f64,
    number: usize,
) -> Step {
    let (title, says) = SAID[number.min(2)];
    let mut step = Step {
        title,
        says: says.into(),
        is_shown: true,
        sides: [0, 0],
        course,
        gap_12_mm: None,
        pluck_n,
    };
    let begun = sides.first().map(|side| {
        let mut instrument = side.instrument.clone();
        instrument.pluck.force_n = pluck_n;
        instrument
    });
    let begun = begun.ok_or_else(|| "there is no instrument".to_owned());
    let shown = begun.and_then(|begun| {
        if number < 2 {
            let (gap, pluck) = lowered(&begun, rack, (course, fret), number)?;
            (step.gap_12_mm, step.pluck_n) = (Some(gap), pluck);
        } else {
            let at = fourth(sides).ok_or("no other string is usual on the first course")?;
            for instrument in [&begun, &sides[at].instrument] {
                pressed(&told(instrument, rack, (0, fret))?)?;
            }
            (step.sides, step.course) = ([0, at], 0);
        }
        Ok(())
    });
    if let Err(why) = shown {
        step.is_shown = false;
        step.says = format!(
            "This note cannot show it: {why}. Choose another fret or string and try again, or go on."
        );
    }
    step
}

fn told(
    instrument: &Instrument,
    rack: &[RackString],
    (course, fret): (usize, u32),
) -> Result<Felt, String> {
    felt(instrument, rack, course, fret, Units::default())
}

/// The finger's force in N and the error in cents of a note that sounds under a finger.
fn pressed(note: &Felt) -> Result<(f64, f64), String> {
    let view = &note.view;
    let why = view.blocked.as_ref().or(view.missing.as_ref());
    let known = note.figures.as_ref().filter(|_| view.note.is_some());
    let figures = known.ok_or_else(|| why.map_or("it does not sound", |why| why).to_owned())?;
    if figures.fret == 0 {
        return Err("the open string needs no finger".into());
    }
    let both = figures.finger_n.zip(figures.cents);
    both.filter(|_| note.weight.is_some())
        .ok_or_else(|| "its force and pitch are not known".into())
}

/// The gap at the twelfth fret in mm and the pluck in N of one of the first two moves, once they show what is said of them.
fn lowered(
    begun: &Instrument,
    rack: &[RackString],
    note: (usize, u32),
    number: usize,
) -> Result<(f64, f64), String> {
    let was = told(begun, rack, note)?;
    let before = pressed(&was)?;
    let gap = was.gap_12_mm.ok_or("its heights are not measured")?;
    let gap_12_mm = (20.0 * gap * LOWERED[number]).round() / 20.0;
    let mut lower = begun.clone();
    with_action(&mut lower, note.0, gap_12_mm);
    let lying = told(&lower, rack, note)?;
    let after = pressed(&lying).map_err(|why| format!("{why} once it is lowered so far"))?;
    let room = lying.figures.and_then(|f| f.headroom_n);
    let room = room.ok_or("no fret lies ahead of it for the string to meet")?;
    let pluck_n = (room * PLUCKED[number]).clamp(PLUCKS_N.0, PLUCKS_N.1);
    lower.pluck.force_n = pluck_n;
    let buzzes = told(&lower, rack, note)?.buzzes;
    let units = Units::default();
    match number {
        0 if buzzes => Err("so low even the gentlest pluck meets a fret".into()),
        0 if !(after.0 < before.0 && after.1 < before.1) => {
            Err("the string lies too low already for lowering to tell".into())
        }
        1 if !buzzes => Err(format!(
            "so low even a pluck of {} stays clear of the frets",
            units.force(pluck_n)
        )),
        _ => Ok((gap_12_mm, pluck_n)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families::{FAMILIES, start};
    use crate::show::sides;

    const NOTE: (usize, u32) = (1, 5);

    /// The setups of a family's instrument as it starts, changed first.
    fn all(family: &str, change: impl FnOnce(&mut Instrument)) -> Vec<Side> {
        let mut instrument = start(family, 0, None, "a").unwrap();
        change(&mut instrument);
        sides(&instrument, Which::Now, &[], None)
    }

    fn step(all: &[Side], note: (usize, u32), number: usize) -> Step {
        walk(all, &[], note, 1.5, number)
    }

    /// What is seen of a move on the first or the second side.
    fn seen(all: &[Side], step: &Step, fret: u32, at: usize) -> Felt {
        let mut shown = all[step.sides[at]].instrument.clone();
        if let Some(gap) = step.gap_12_mm.filter(|_| at == 0) {
            with_action(&mut shown, step.course, gap);
        }
        shown.pluck.force_n = step.pluck_n;
        felt(&shown, &[], step.course, fret, Units::default()).unwrap()
    }

    #[test]
    fn each_move_shows_what_is_said_of_it() {
        let of = |felt: &Felt| felt.figures.clone().unwrap();
        let mut walks = [0, 0];
        for family in FAMILIES {
            let all = all(family.key, |_| {});
            let courses = &all[0].instrument.courses;
            let course = courses.len().min(2) - 1;
            let fret = 5 + courses[course].first_fret;
            let steps: Vec<Step> = (0..moves(&all))
                .map(|number| step(&all, (course, fret), number))
                .collect();
            assert!(steps.iter().all(|step| step.is_shown), "{steps:?}");
            let both = |number: usize| [0, 1].map(|at| seen(&all, &steps[number], fret, at));
            let [lower, was] = both(0);
            assert!(of(&lower).finger_n < of(&was).finger_n, "{}", family.key);
            assert!(of(&lower).cents < of(&was).cents, "{}", family.key);
            assert!(!lower.buzzes && both(1)[0].buzzes, "{}", family.key);
            walks[steps.len() - 2] += 1;
            if steps.len() == 3 {
                let [one, other] = both(2);
                assert_ne!(of(&one).finger_n, of(&other).finger_n);
                assert_ne!(
                    all[0].instrument.courses,
                    all[steps[2].sides[1]].instrument.courses
                );
            }
        }
        assert!(walks.iter().all(|n| *n > 0), "{walks:?}");
    }

    #[test]
    fn another_fourth_is_another_than_the_first_setup_s() {
        let all = all("ukulele-concert", |_| {});
        let at = fourth(&all).unwrap();
        assert_ne!(at, 0);
        // A link may begin with the other fourth; beside it stands the same again.
        let twice = [all[at].clone(), all[at].clone()];
        assert_eq!((fourth(&twice), moves(&twice)), (None, 2));
        assert_eq!(fourth(&[]), None);
    }

    #[test]
    fn a_move_that_cannot_be_shown_says_why_and_moves_nothing() {
        let family = "ukulele-concert";
        let unmeasured = all(family, |i| i.setup.courses[1].gap_12_mm = None);
        let bare = all(family, |i| i.setup.courses.clear());
        let whole = all(family, |_| {});
        let gaps = |family: &str, first: f64, twelfth: f64| {
            all(family, |i| {
                for course in &mut i.setup.courses {
                    (course.gap_1_mm, course.gap_12_mm) = (Some(first), Some(twelfth));
                }
            })
        };
        let (low, lower) = (gaps(family, 0.2, 0.6), gaps(family, 0.4, 0.4));
        let high = gaps("guitar-steel", 1.0, 12.0);
        let last = whole[0].instrument.frets;
        for (all, note, number, why) in [
            (&unmeasured, NOTE, 0, "not measured"),
            (&unmeasured, NOTE, 1, "not measured"),
            (&bare, NOTE, 2, "not measured"),
            (&whole, (1, last), 0, "no fret lies ahead"),
            (&whole, (1, last), 1, "no fret lies ahead"),
            (&whole, (1, 0), 0, "open string"),
            (&whole, (1, 0), 2, "open string"),
            (&whole, (9, 5), 0, "no such course"),
            (&low, NOTE, 0, "so low even the gentlest"),
            (&lower, NOTE, 0, "ahead of it once it is lowered so far"),
            (
                &high,
                (1, 12),
                1,
                "so low even a pluck of 8.0 N stays clear",
            ),
        ] {
            let step = step(all, note, number);
            assert!(
                !step.is_shown && step.says.contains(why),
                "{number} {why}: {step:?}"
            );
            assert!(step.gap_12_mm.is_none() && step.pluck_n == 1.5);
            assert_eq!(step.sides, [0, 0]);
        }
    }
}
