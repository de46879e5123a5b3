//! The setups that can be held against each other.

use crate::families::{FAMILIES, start};
use crate::records::{Course, Instrument, RackString, Setup};
use crate::report::readings::as_known;
use crate::report::{let_plan_go, plan_of};
use crate::units::Units;

/// Which setup it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// As the instrument stands.
    Now,
    /// As it came in.
    Found,
    /// As its plan leaves it.
    Planned,
    /// With its first course an octave off.
    Fourth,
    /// With the strings moved by hand, while it was shown.
    Tried,
    /// Another instrument's.
    Other,
}

/// A setup to be held against another.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// What tells it from the others.
    pub which: Which,
    /// What it is called.
    pub label: String,
    /// The instrument so set up, without its visits.
    pub instrument: Instrument,
}

/// The setups of an instrument that can be shown, first the one that it stands with, which is `which`: as it came in (of the last
/// visit that measured it), as its plan leaves it, `other`, and with its first course an octave off where a tuning is usual so.
#[must_use]
pub fn sides(
    instrument: &Instrument,
    which: Which,
    rack: &[RackString],
    other: Option<(Which, &Setup)>,
) -> Vec<Side> {
    let mut bare = instrument.clone();
    bare.visits.clear();
    let side = |which: Which, course: Option<Course>, setup: Option<&Setup>| {
        let mut instrument = bare.clone();
        if let Some(setup) = setup {
            instrument.setup = as_known(setup, &bare.setup);
        }
        if let (Some(first), Some(course)) = (instrument.courses.first_mut(), course) {
            *first = course;
        }
        if which == Which::Planned {
            // What a rocker said of the frets is done with there.
            instrument.plan = None;
        } else {
            let_plan_go(&mut instrument);
        }
        Side {
            which,
            label: label(which, &instrument),
            instrument,
        }
    };
    let mut all = vec![side(which, None, None)];
    let found = instrument.visits.iter().rev().find_map(|visit| {
        visit
            .as_found
            .as_ref()
            .filter(|found| !found.courses.is_empty())
    });
    if let Some(found) = found {
        all.push(side(Which::Found, None, Some(found)));
    }
    if instrument.plan.is_some() {
        let left = plan_of(instrument, rack, Units::default()).setup_left;
        if !left.courses.is_empty() {
            all.push(side(Which::Planned, None, Some(&left)));
        }
    }
    if let Some((which, setup)) = other {
        all.push(side(which, None, Some(setup)));
    }
    if let Some(course) = other_fourth(instrument) {
        all.push(side(Which::Fourth, Some(course), None));
    }
    all
}

/// What a setup of an instrument is called.
fn label(which: Which, instrument: &Instrument) -> String {
    match which {
        Which::Now => "As it leaves".into(),
        Which::Found => "As it came in".into(),
        Which::Planned => "As planned".into(),
        Which::Tried => "With the height tried".into(),
        Which::Fourth => {
            let note = instrument.courses.first().map_or("", |c| c.note.as_str());
            format!("With the other fourth, {note}")
        }
        Which::Other => instrument.name.clone(),
    }
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
    use crate::records::{Plan, Rocking};
    use crate::report::instrument_report;
    use crate::show::{chord, felt};

    fn concert() -> Instrument {
        start("ukulele-concert", 0, None, "a").unwrap()
    }

    #[test]
    fn a_high_fret_that_a_rocker_found_is_high_here_too() {
        let mut instrument = concert();
        let rocking = Rocking {
            fret: 7,
            gap_mm: 0.2,
            ..Rocking::default()
        };
        instrument.plan = Some(Plan {
            rocking: vec![rocking],
            ..Plan::default()
        });
        let shown = |side: &Side| {
            let felt = felt(&side.instrument, &[], 1, 5, Units::default()).unwrap();
            felt.figures.unwrap().headroom_n.unwrap()
        };
        let all = sides(&instrument, Which::Now, &[], None);
        let report = instrument_report(&instrument, &[]);
        let figures = &report.courses[1].strings[0].fretting.frets[5];
        assert!((shown(&all[0]) - figures.headroom_n.unwrap()).abs() < 1e-9);
        let planned = all
            .iter()
            .find(|side| side.which == Which::Planned)
            .unwrap();
        let left = plan_of(&instrument, &[], Units::default()).setup_left;
        let as_left = Instrument {
            setup: left,
            plan: None,
            ..instrument
        };
        let report = instrument_report(&as_left, &[]);
        let figures = &report.courses[1].strings[0].fretting.frets[5];
        assert!((shown(planned) - figures.headroom_n.unwrap()).abs() < 1e-9);
    }

    #[test]
    fn the_other_fourth_is_an_octave_away() {
        let instrument = concert();
        let other = (Which::Found, &instrument.setup);
        let all = sides(&instrument, Which::Now, &[], Some(other));
        let which: Vec<Which> = all.iter().map(|side| side.which).collect();
        assert_eq!(which, [Which::Now, Which::Found, Which::Fourth]);
        let labels: Vec<&str> = all.iter().map(|side| side.label.as_str()).collect();
        assert_eq!(
            labels,
            ["As it leaves", "As it came in", "With the other fourth, G3"]
        );
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
