//! What a player is shown: one note at two setups, what the finger holds up said as a weight, the sentences beside it.
//!
//! All figures are the report's; here they are picked for one note and put in words that need no bench.

use crate::families::{FAMILIES, start};
use crate::records::{Course, Instrument, RackString, Setup};
use crate::report::readings::as_known;
use crate::report::{
    FretFigures, OpenString, READING_SD_CENTS, SideView, ToneFigures, fitted, plan_of,
    seated_figures, side_view, tone,
};
use crate::units::{ForceUnit, Units, figure};

/// A setup to be held against another.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// What tells it from the others: `now`, `found`, `plan`, `fourth`, or the id of another instrument.
    pub key: String,
    /// What it is called.
    pub label: String,
    /// The instrument so set up, without its visits.
    pub instrument: Instrument,
}

/// The setups of an instrument that can be shown, as it stands first: as it came in (of the last visit that measured it, or
/// `other` where there is none), as its plan leaves it, and with its first course an octave off where a tuning is usual so.
#[must_use]
pub fn sides(instrument: &Instrument, rack: &[RackString], other: Option<&Setup>) -> Vec<Side> {
    let mut bare = instrument.clone();
    bare.visits.clear();
    bare.plan = None;
    let side = |key: &str, label: &str, setup: Option<&Setup>| {
        let mut instrument = bare.clone();
        if let Some(setup) = setup {
            instrument.setup = as_known(setup, &bare.setup);
        }
        Side {
            key: key.into(),
            label: label.into(),
            instrument,
        }
    };
    let mut all = vec![side("now", "As it leaves", None)];
    let found = instrument.visits.iter().rev().find_map(|visit| {
        visit
            .as_found
            .as_ref()
            .filter(|found| !found.courses.is_empty())
    });
    if let Some(found) = found.or(other) {
        all.push(side("found", "As it came in", Some(found)));
    }
    if instrument.plan.is_some() {
        let left = plan_of(instrument, rack, Units::default()).setup_left;
        if !left.courses.is_empty() {
            all.push(side("plan", "As planned", Some(&left)));
        }
    }
    if let Some(course) = other_fourth(instrument) {
        let label = format!("With a {} string", course.note);
        let mut with = side("fourth", &label, None);
        with.instrument.courses[0] = course;
        all.push(with);
    }
    all
}

/// The first course an octave away, as usual strings make it: a low one for a re-entrant one and the other way round. None where
/// no family of instruments is tuned so.
fn other_fourth(instrument: &Instrument) -> Option<Course> {
    let (first, rest) = instrument.courses.split_first()?;
    let name = |note: &str| {
        note.trim_end_matches(|c: char| c.is_ascii_digit())
            .to_owned()
    };
    let fits = FAMILIES.iter().flat_map(|family| {
        let tunings = family.tunings.iter().enumerate();
        tunings.filter_map(move |(number, tuning)| {
            let (other, others) = tuning.courses.split_first()?;
            let same = rest.len() == others.len()
                && rest.iter().zip(others).all(|(a, b)| a.note == b.note);
            (same && other.note != first.note && name(other.note) == name(&first.note))
                .then_some((family, number))
        })
    });
    let off = |scale: f64| (scale - instrument.scale_mm).abs();
    let (family, number) = fits.min_by(|a, b| off(a.0.scale_mm).total_cmp(&off(b.0.scale_mm)))?;
    start(family.key, number, Some(instrument.scale_mm), "")?
        .courses
        .into_iter()
        .next()
}

/// The setup with another gap at the twelfth fret under one course (counted from 0), in mm; the others move as far. Nothing
/// happens where that gap was not measured.
pub fn with_action(instrument: &mut Instrument, course: usize, gap_12_mm: f64) {
    let was = instrument
        .setup
        .courses
        .get(course)
        .and_then(|c| c.gap_12_mm);
    let Some(by) = was.map(|was| gap_12_mm - was) else {
        return;
    };
    for gap in instrument
        .setup
        .courses
        .iter_mut()
        .filter_map(|c| c.gap_12_mm.as_mut())
    {
        *gap = ((*gap + by) * 1e4).round() / 1e4;
    }
}

/// One note as a player meets it.
#[derive(Clone, Debug, PartialEq)]
pub struct Felt {
    /// The neck from the side.
    pub view: SideView,
    /// The note's figures; none when nothing can be said of it.
    pub figures: Option<FretFigures>,
    /// The string's gap at its twelfth fret in mm.
    pub gap_12_mm: Option<f64>,
    /// Whether the player's pluck touches a fret.
    pub buzzes: bool,
    /// What the finger holds down, as a weight.
    pub weight: Option<Weight>,
    /// Effort, pitch and room in three sentences.
    pub says: [String; 3],
}

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

/// A note of a course's first string, open (0) or pressed to a fret; the course counts from 0.
///
/// # Errors
/// A sentence's middle when there is no such course or its board cannot be.
pub fn felt(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    fret: u32,
    units: Units,
) -> Result<Felt, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let string = on.strings.first().ok_or("no string is chosen")?;
    let open = OpenString::of(instrument, course, &on.note)?;
    let figures = seated_figures(&fitted(string, rack)?, &open, instrument, course);
    let view = side_view(instrument, course, figures.fretting.strung.as_ref(), fret)?;
    let note = figures.fretting.frets.into_iter().find(|f| f.fret == fret);
    let buzzes = view.note.as_ref().is_some_and(|note| !note.is_clear);
    let weight = note.as_ref().and_then(|n| as_heavy_as(n.finger_n?));
    let says = says(
        &view,
        note.as_ref(),
        weight,
        instrument.pluck.force_n,
        units,
    );
    Ok(Felt {
        figures: note,
        gap_12_mm: instrument
            .setup
            .courses
            .get(course)
            .and_then(|c| c.gap_12_mm),
        buzzes,
        weight,
        says,
        view,
    })
}

fn says(
    view: &SideView,
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
        _ => "The open string: no finger is needed.".into(),
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
        (None, ..) => match view.blocked.as_ref().or(view.missing.as_ref()) {
            Some(why) => format!("This note does not sound: {why}."),
            None => "This note does not sound.".into(),
        },
    };
    [effort, pitch, room]
}

/// What can be heard of a difference between two pitches in cents, said plainly.
#[must_use]
pub fn can_be_heard(a: f64, b: f64) -> String {
    let apart = (a - b).abs();
    let known = format!(
        "A player repeats a fretted note to about ±{} cents, as published readings show",
        figure(READING_SD_CENTS, 0)
    );
    if apart <= READING_SD_CENTS {
        format!(
            "These two are {} cents apart. {known}: nobody is likely to hear this difference, and it is no reason to buy.",
            figure(apart, 1)
        )
    } else {
        format!(
            "These two are {} cents apart. {known}; what is more than that can be heard in a chord.",
            figure(apart, 1)
        )
    }
}

/// The notes of a chord: a fret for each course, none for a course that is not played.
///
/// # Errors
/// Which course cannot sound, and why.
pub fn chord(
    instrument: &Instrument,
    rack: &[RackString],
    frets: &[Option<u32>],
) -> Result<Vec<ToneFigures>, String> {
    let played = frets
        .iter()
        .enumerate()
        .filter_map(|(course, fret)| Some((course, (*fret)?)));
    played
        .map(|(course, fret)| {
            tone(instrument, rack, course, fret)
                .map_err(|why| format!("course {}: {why}", course + 1))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::instrument_report;

    fn concert() -> Instrument {
        start("ukulele-concert", 0, None, "a").unwrap()
    }

    #[test]
    fn a_note_is_felt_as_the_report_says() {
        let mut instrument = concert();
        let was = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        with_action(&mut instrument, 1, was.gap_12_mm.unwrap() - 0.5);
        let now = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        let report = instrument_report(&instrument, &[]);
        let expected = &report.courses[1].strings[0].fretting.frets[5];
        assert_eq!(now.figures.as_ref(), Some(expected));
        let finger = |felt: &Felt| felt.figures.as_ref().unwrap().finger_n.unwrap();
        assert!(finger(&now) < finger(&was));
        let moved = instrument.setup.courses[3].gap_12_mm.unwrap()
            - concert().setup.courses[3].gap_12_mm.unwrap();
        assert!((moved + 0.5).abs() < 1e-9, "{moved}");
        instrument.pluck.force_n = 6.0;
        with_action(&mut instrument, 1, 1.2);
        let buzzing = felt(&instrument, &[], 1, 5, Units::default()).unwrap();
        assert!(
            buzzing.buzzes && buzzing.says[2].contains("buzzes on fret"),
            "{:?}",
            buzzing.says
        );
        assert!(felt(&instrument, &[], 9, 5, Units::default()).is_err());
    }

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
    fn the_other_fourth_is_an_octave_away() {
        let instrument = concert();
        let all = sides(&instrument, &[], Some(&instrument.setup));
        let keys: Vec<&str> = all.iter().map(|side| side.key.as_str()).collect();
        assert_eq!(keys, ["now", "found", "fourth"]);
        let (one, two) = (
            &instrument.courses[0].note,
            &all[2].instrument.courses[0].note,
        );
        assert!(one != two && one[..1] == two[..1], "{one} {two}");
        let tones = |i: &Instrument| chord(i, &[], &[Some(0), None, Some(3), None]).unwrap();
        let ratio = tones(&all[2].instrument)[0].hz / tones(&instrument)[0].hz;
        assert!((ratio.log2().abs() - 1.0).abs() < 1e-9, "{ratio}");
        let why = chord(&instrument, &[], &[Some(0), Some(99)]).unwrap_err();
        assert!(why.starts_with("course 2: "), "{why}");
    }

    #[test]
    fn a_small_difference_is_said_to_be_small() {
        assert!(can_be_heard(3.0, 3.5).contains("no reason to buy"));
        assert!(can_be_heard(3.0, 13.5).contains("can be heard"));
    }
}
