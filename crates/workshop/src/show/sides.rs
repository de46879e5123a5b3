//! The setups that can be held against each other.

use crate::families::{FAMILIES, start};
use crate::records::{Course, Instrument, RackString, Setup};
use crate::report::plan_of;
use crate::report::readings::as_known;
use crate::units::Units;

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
        let label = format!("With the other fourth, {}", course.note);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::chord;

    fn concert() -> Instrument {
        start("ukulele-concert", 0, None, "a").unwrap()
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
}
