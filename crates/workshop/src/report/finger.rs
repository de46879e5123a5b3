//! The finger's force at one fret, for comparing many strings on one course.

use super::fretting::Under;
use crate::records::{Course, Instrument};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::quantity::InBenchUnits;

/// What stands under the strings of one course.
pub(crate) struct FingerProbe<'a> {
    instrument: &'a Instrument,
    course: &'a Course,
    under: Under,
}

/// Makes ready to press strings on a course, counted from 0, as it is set up.
///
/// # Errors
/// A sentence when there is no such course or its heights are not measured.
pub(crate) fn finger_probe(
    instrument: &Instrument,
    course: usize,
) -> Result<FingerProbe<'_>, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let setup = instrument
        .setup
        .courses
        .get(course)
        .ok_or("the heights of this course are not measured")?;
    Ok(FingerProbe {
        instrument,
        course: on,
        under: Under::of(instrument, on, setup)?,
    })
}

impl FingerProbe<'_> {
    /// The finger's force in N at a fret counted from the course's own nut; none where the note does not sound or the
    /// string's stretch is not known.
    pub(crate) fn finger_n(&self, at: &AtPitch, fret: u32) -> Option<f64> {
        let string = self
            .under
            .strung(self.instrument, self.course, &at.strung()?)
            .ok()?;
        let pressed = string.press(self.course.first_fret + fret).ok()?;
        let force = pressed.finger_force().bench();
        force.is_finite().then_some(force)
    }
}
