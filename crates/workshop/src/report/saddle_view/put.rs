//! Writing a saddle's place into the setup.

use super::SaddleView;
use crate::records::{CourseSetup, Instrument};

/// Where to put the saddle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Each course at its own best place.
    Best,
    /// All on the straight line.
    Line,
}

/// A length in mm to the hundredth, which is as near as a saddle is filed.
pub(in crate::report) fn filed(length: f64) -> f64 {
    (100.0 * length).round() / 100.0
}

/// The setup of a course, counted from 0, to be changed; one that has none gets an empty one. None where there is no such
/// course.
pub fn setup_of(instrument: &mut Instrument, course: usize) -> Option<&mut CourseSetup> {
    if course >= instrument.courses.len() {
        return None;
    }
    let setups = &mut instrument.setup.courses;
    if setups.len() <= course {
        setups.resize_with(course + 1, CourseSetup::default);
    }
    setups.get_mut(course)
}

/// Writes a proposal's setbacks, to 0.01 mm, into the heights as they stand. Courses for which nothing is proposed keep
/// theirs, and so does a nut that stays.
pub fn put_saddle(instrument: &mut Instrument, view: &SaddleView, place: Place) {
    for (i, course) in view.courses.iter().enumerate() {
        let Some(setup) = setup_of(instrument, i) else {
            continue;
        };
        let saddle = match place {
            Place::Best => course.best_mm,
            Place::Line => course.line_mm,
        };
        if let Some(saddle) = saddle {
            setup.saddle_setback_mm = Some(filed(saddle));
        }
        if let Some(nut) = course.nut_best_mm.filter(|_| !view.aim.nut_stays) {
            setup.nut_setback_mm = Some(filed(nut));
        }
    }
}
