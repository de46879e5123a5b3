//! What is said of a note to somebody without a bench.

use super::Felt;
use crate::report::{FretFigures, READING_SD_CENTS, SideView};
use crate::units::{ForceUnit, Units, figure, signed};
use crate::words::sentence;

/// A weight that a person can imagine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weight {
    /// How many of them, to a half.
    pub count: f64,
    /// The name of several of them.
    pub things: &'static str,
    /// What one weighs, in g.
    pub grams: f64,
}

/// Things that weigh about so many grams each, the lightest first.
const THINGS: [(&str, f64); 3] = [
    ("small coins", 5.0),
    ("hen's eggs", 60.0),
    ("apples", 180.0),
];

/// A force in N as a weight that a person can imagine; none for one that is not above zero.
#[must_use]
pub fn as_heavy_as(newtons: f64) -> Option<Weight> {
    let grams = 1000.0 * ForceUnit::Kgf.from_n(newtons);
    if !(grams > 0.0 && grams.is_finite()) {
        return None;
    }
    let (things, each) = THINGS
        .into_iter()
        .rev()
        .find(|(_, each)| grams >= 1.5 * each)
        .unwrap_or(THINGS[0]);
    Some(Weight {
        count: ((2.0 * grams / each).round() / 2.0).max(0.5),
        things,
        grams: each,
    })
}

pub(super) fn says(
    view: &SideView,
    fret: u32,
    note: Option<&FretFigures>,
    weight: Option<Weight>,
    pluck_n: f64,
    units: Units,
) -> [String; 3] {
    let finger = note.and_then(|n| n.finger_n);
    let effort = match (finger, weight) {
        (Some(n), Some(w)) => format!(
            "Your finger holds {}: as heavy as {} {} of {} g.",
            units.force(n),
            figure(w.count, usize::from(w.count.fract() > 0.0)),
            w.things,
            figure(w.grams, 0)
        ),
        (Some(n), None) => format!("Your finger holds {}.", units.force(n)),
        _ if fret == 0 => "The open string: no finger is needed.".into(),
        _ => format!("At fret {fret} nothing can be said of the finger's force."),
    };
    let pitch = match note.and_then(|n| n.cents) {
        Some(cents) if cents.abs() < 0.05 => "In tune.".into(),
        Some(cents) => format!(
            "{} cents {}{}.",
            figure(cents.abs(), 1),
            if cents > 0.0 { "sharp" } else { "flat" },
            if cents.abs() <= READING_SD_CENTS {
                ", less than a player repeats from one press to the next"
            } else {
                ""
            }
        ),
        None => "The pitch is not known.".into(),
    };
    let touched = view
        .note
        .as_ref()
        .and_then(|n| n.nearest)
        .map(|(fret, _)| fret);
    let room = match (view.note.as_ref(), touched, note.and_then(|n| n.headroom_n)) {
        (Some(side), Some(fret), room) if !side.is_clear => format!(
            "Plucked with {} it buzzes on fret {fret}; up to {} stays clear.",
            units.force(pluck_n),
            units.force(room.map(|n| n.max(0.0)))
        ),
        (Some(_), _, Some(room)) => format!(
            "Plucked with {} it rings clear; it can be plucked as hard as {}.",
            units.force(pluck_n),
            units.force(room)
        ),
        (Some(_), ..) => "It rings clear, however hard it is plucked.".into(),
        (None, ..) => match (&view.blocked, &view.missing) {
            (Some(why), _) => format!("This note does not sound: {why}."),
            (None, Some(why)) => format!("Whether it rings clear is not known: {why}."),
            (None, None) => "This note does not sound.".into(),
        },
    };
    [effort, pitch, room]
}

/// Two notes held against each other: force, pitch and room, the first's before the second's. Empty where one cannot sound.
#[must_use]
pub fn compared(first: &Felt, second: &Felt, units: Units) -> String {
    match (&first.figures, &second.figures) {
        (Some(a), Some(b)) => held_against(a, b, units),
        _ => String::new(),
    }
}

fn held_against(a: &FretFigures, b: &FretFigures, units: Units) -> String {
    // What is known of one side alone cannot be held against the other.
    let both = |a: Option<f64>, b: Option<f64>| Some((a?, b?));
    let room = |n: f64| units.force(Some(n.max(0.0)));
    let mut said = Vec::new();
    if let Some((a, b)) = both(a.finger_n, b.finger_n) {
        let force = |n| units.force(Some(n));
        said.push(format!(
            "the finger holds {} against {}",
            force(a),
            force(b)
        ));
    }
    if let Some((a, b)) = both(a.cents, b.cents) {
        let cents = |c| signed(Some(c), 1);
        said.push(format!(
            "the note is {} against {} cents off",
            cents(a),
            cents(b)
        ));
    }
    if let Some((a, b)) = both(a.headroom_n, b.headroom_n) {
        said.push(format!(
            "it rings clear up to {} against {}",
            room(a),
            room(b)
        ));
    }
    sentence(&said.join("; "))
}

/// What can be heard of a difference between two pitches in cents, said plainly.
///
/// What a player repeats is one standard deviation of readings of the same fretted note: Mottola's study, as in
/// [`READING_SD_CENTS`].
#[must_use]
pub fn can_be_heard(a: f64, b: f64) -> String {
    let apart = (a - b).abs();
    let rest = if apart <= READING_SD_CENTS {
        "the two differ by less than that. In a chord the beats may still tell: strum both"
    } else {
        "this is more than that. Strum both, and trust your ear rather than the number"
    };
    format!(
        "The two are {} cents apart. The same player pressing the same note again is off by about {} cents each time (Mottola's published \
         readings): {rest}.",
        figure(apart, 1),
        figure(READING_SD_CENTS, 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_is_one_that_can_be_imagined() {
        // 180 g weigh 1.765 N.
        let apples = as_heavy_as(3.53).unwrap();
        assert_eq!((apples.count, apples.things), (2.0, "apples"));
        assert_eq!(as_heavy_as(1.2).unwrap().things, "hen's eggs");
        assert_eq!(as_heavy_as(0.3).unwrap().count, 6.0);
        for none in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(as_heavy_as(none), None);
        }
    }

    #[test]
    fn only_what_both_have_is_held_against_each_other() {
        let felt = |finger_n, headroom_n| FretFigures {
            fret: 3,
            cents: Some(2.0),
            cents_band: None,
            cents_best: None,
            finger_n,
            headroom_mm: None,
            headroom_n,
            touches_fret: None,
            gap_mm: None,
            blocked: None,
        };
        let said = |a: &FretFigures, b: &FretFigures| held_against(a, b, Units::default());
        let open = felt(None, Some(1.0));
        assert_eq!(
            said(&open, &open),
            "The note is +2.0 against +2.0 cents off; it rings clear up to 1.0 N against 1.0 N."
        );
        let all = said(&felt(Some(2.0), Some(1.0)), &felt(Some(3.0), Some(-1.0)));
        assert!(
            all.starts_with("The finger holds 2.0 N against 3.0 N; ")
                && all.ends_with("against 0.0 N."),
            "{all}"
        );
    }

    #[test]
    fn a_small_difference_is_said_to_be_small() {
        let small = can_be_heard(3.0, 3.5);
        assert!(
            small.contains("less than that") && small.contains("beats may still tell"),
            "{small}"
        );
        assert!(!small.contains("nobody") && !small.contains("Nobody"));
        assert!(can_be_heard(3.0, 13.5).contains("trust your ear"));
    }
}
