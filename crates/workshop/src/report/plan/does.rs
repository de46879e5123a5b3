//! What a step does to the record.

use crate::records::{CourseSetup, Instrument, Rocking};
use crate::report::fretting::{Under, measured_frets, tops_of};
use crate::report::saddle_view::setup_of;
use strungwell_physics::fretboard::Setbacks;
use strungwell_physics::heights::StringLine;
use strungwell_physics::quantity::{InBenchUnits, Length, mm};

/// What a step does.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Does {
    /// Dresses frets down to the smooth line.
    Dress(Vec<u32>),
    /// Turns the rod to a depth of relief, in mm.
    Relief(f64),
    /// Brings the saddle of courses, counted from 0, to heights in mm over the line of the fret tops.
    Saddle(Vec<(usize, f64)>),
    /// Brings the slot of a course to a height in mm over that line.
    Slot(usize, f64),
    /// Moves the contact point and the nut's edge of a course to setbacks in mm.
    Contact(usize, f64, f64),
}

/// Does it to a record: heights of nut and saddle that it does not name stay, and the gaps follow.
///
/// # Errors
/// A sentence when the heights cannot be.
pub(super) fn apply(instrument: &mut Instrument, does: &Does) -> Result<(), String> {
    let before: Vec<Option<Under>> = instrument
        .courses
        .iter()
        .enumerate()
        .map(|(i, course)| Under::of(instrument, course, instrument.setup.courses.get(i)?).ok())
        .collect();
    match does {
        Does::Dress(frets) => frets.iter().for_each(|fret| smooth(instrument, *fret, 0.0)),
        Does::Relief(depth) => instrument.setup.relief_mm = Some(*depth),
        Does::Saddle(_) | Does::Slot(..) | Does::Contact(..) => {}
    }
    for (course, under) in before.into_iter().enumerate() {
        let Some(Under { board, line, .. }) = under else {
            continue;
        };
        let (mut nut, mut saddle) = (line.nut_height(), line.saddle_height());
        let mut setbacks = line.setbacks(&board);
        match does {
            Does::Saddle(heights) => {
                for (_, height) in heights.iter().filter(|h| h.0 == course) {
                    saddle = mm(*height);
                }
            }
            Does::Slot(at, height) if *at == course => nut = mm(*height),
            Does::Contact(at, s, n) if *at == course => setbacks = Setbacks::in_mm(*s, *n),
            Does::Slot(..) | Does::Contact(..) => continue,
            Does::Dress(_) | Does::Relief(_) => {}
        }
        let said = |why: strungwell_physics::range::OutOfRange| why.to_string();
        let line = StringLine::new(&board, setbacks, nut, saddle).map_err(said)?;
        let tops = tops_of(instrument, &board).map_err(said)?;
        let frets = instrument
            .courses
            .get(course)
            .map_or([1, 12], measured_frets);
        let gap = |fret: u32| line.gap(&board, &tops, fret).and_then(finite);
        let (gap_1, gap_12) = (gap(frets[0]), gap(frets[1]));
        if let Some(setup) = setup_of(instrument, course) {
            setup.gap_1_mm = gap_1;
            setup.gap_12_mm = gap_12;
            if let Does::Contact(_, s, n) = does {
                setup.saddle_setback_mm = Some(*s);
                if *n != 0.0 || setup.nut_setback_mm.is_some() {
                    setup.nut_setback_mm = Some(*n);
                }
            }
        }
    }
    Ok(())
}

fn finite(length: Length) -> Option<f64> {
    Some(length.bench()).filter(|l| l.is_finite())
}

/// Writes how far a fret stands over the smooth line now; what a rocker said of it before is gone.
pub(super) fn smooth(instrument: &mut Instrument, fret: u32, stands: f64) {
    let at = (fret as usize).saturating_sub(1);
    let tops = &mut instrument.setup.fret_tops_mm;
    if stands != 0.0 && tops.is_none() {
        *tops = Some(Vec::new());
    }
    if let Some(tops) = tops {
        if tops.len() <= at && stands != 0.0 {
            tops.resize(at + 1, 0.0);
        }
        if let Some(top) = tops.get_mut(at) {
            *top = stands;
        }
    }
    if let Some(plan) = &mut instrument.plan {
        plan.rocking.retain(|r: &Rocking| r.fret != fret);
    }
}

/// What was measured of one course after a step.
pub(super) fn measured(setup: &mut CourseSetup, by: &super::MeasuredCourse) {
    let fields = [
        (&mut setup.gap_1_mm, by.gap_1_mm),
        (&mut setup.gap_12_mm, by.gap_12_mm),
        (&mut setup.saddle_setback_mm, by.saddle_setback_mm),
        (&mut setup.nut_setback_mm, by.nut_setback_mm),
    ];
    for (field, value) in fields {
        if value.is_some() {
            *field = value;
        }
    }
}
