//! Readings in the record: which visit they belong to, and what is written where.

use super::{CorrectionFigures, FitFigures};
use crate::records::{Instrument, Reading, Visit};
use crate::report::saddle_view::{filed, setup_of};

/// The visit that is on the bench: the newest that was not closed by heights as left. Its place in the list.
#[must_use]
pub fn open_visit(instrument: &Instrument) -> Option<usize> {
    let open = instrument
        .visits
        .iter()
        .enumerate()
        .filter(|(_, visit)| visit.as_left.is_none());
    // Days are written so that they sort as text; of one day's, the last noted.
    open.max_by(|(_, a), (_, b)| a.date.cmp(&b.date))
        .map(|(place, _)| place)
}

/// The first reading of a note in the visit on the bench: its place in the list, and its cents. `course` counts from 1.
#[must_use]
pub fn reading_at(instrument: &Instrument, course: u32, fret: u32) -> Option<(usize, f64)> {
    let visit = instrument.visits.get(open_visit(instrument)?)?;
    let of_note = |r: &&Reading| r.course == course && r.fret == fret;
    let place = visit.readings.iter().position(|r| of_note(&r))?;
    Some((place, visit.readings[place].cents))
}

/// Notes a reading in the visit on the bench, or changes or removes the one at `place` in its list.
///
/// Where no visit is open, one is begun with `begin` (its id and day) and the present setup as found; never for a removal.
pub fn put_reading(
    instrument: &mut Instrument,
    place: Option<usize>,
    reading: Option<Reading>,
    begin: impl FnOnce() -> (String, String),
) {
    let at = match open_visit(instrument) {
        Some(at) => at,
        None if reading.is_some() => {
            let (id, date) = begin();
            instrument.visits.push(Visit {
                id,
                date,
                as_found: Some(instrument.setup.clone()),
                ..Visit::default()
            });
            instrument.visits.len() - 1
        }
        None => return,
    };
    let Some(visit) = instrument.visits.get_mut(at) else {
        return;
    };
    let there = place.filter(|place| *place < visit.readings.len());
    match (there, reading) {
        (Some(place), Some(reading)) => {
            // What a later version knows of this reading stays with it.
            let kept = std::mem::take(&mut visit.readings[place].extra);
            visit.readings[place] = Reading {
                extra: kept,
                ..reading
            };
        }
        (Some(place), None) => drop(visit.readings.remove(place)),
        (None, Some(reading)) => visit.readings.push(reading),
        (None, None) => {}
    }
}

/// Writes the setbacks of a correction, to 0.01 mm, into the present setup of a course, counted from 0.
pub fn put_correction(instrument: &mut Instrument, course: usize, found: &CorrectionFigures) {
    let Some(setup) = setup_of(instrument, course) else {
        return;
    };
    setup.saddle_setback_mm = Some(filed(found.saddle_setback_mm));
    if !found.nut_stays {
        setup.nut_setback_mm = Some(filed(found.nut_setback_mm));
    }
}

/// Takes a fitted stretch for the strings of a course, counted from 0: those that are as its first.
pub fn take_stretch(instrument: &mut Instrument, course: usize, fit: &FitFigures) {
    let Some(course) = instrument.courses.get_mut(course) else {
        return;
    };
    let first = course.strings.first().cloned();
    for string in course
        .strings
        .iter_mut()
        .filter(|s| Some(&**s) == first.as_ref())
    {
        string.kappa = Some(fit.kappa);
        string.kappa_give = Some(fit.kappa_give);
    }
}
