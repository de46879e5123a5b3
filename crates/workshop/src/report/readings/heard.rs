//! What a microphone is to hear of a course, and what it says besides the pitch.

use super::finite;
use crate::records::{Instrument, RackString, Reading};
use crate::report::OpenString;
use crate::report::tone;
use strungwell_physics::quantity::InBenchUnits;
use strungwell_physics::stiffness::inharmonicity;

/// The frets that tell a string's stretch besides the saddle's place, counted from the course's own nut: spread over the board, the
/// octave among them.
const SPREAD: [u32; 6] = [1, 3, 5, 7, 9, 12];

/// Beyond so many standard deviations the string is not as stiff as described.
const FAR_SDS: f64 = 3.0;

/// A course as it is measured by ear.
#[derive(Clone, Debug, PartialEq)]
pub struct ToHear {
    /// The open note in words.
    pub note: String,
    /// Pitch of the open string in Hz, as it should be.
    pub open_hz: f64,
    /// The fret at which the course's nut stands.
    pub first_fret: u32,
    /// The fret an octave over the open string; the last where the board is shorter, none where it has no fret.
    pub octave: Option<u32>,
    /// Frets enough to tell the string's stretch too, counted from the instrument's nut.
    pub frets: Vec<u32>,
}

/// What is to be heard of a course, counted from 0.
///
/// # Errors
/// A sentence when there is no such course, or its note or the pitch standard cannot be read.
pub fn to_hear(instrument: &Instrument, course: usize) -> Result<ToHear, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let open_hz = OpenString::on(instrument, on, &on.note)?.pitch.bench();
    let up = |fret: u32| on.first_fret.saturating_add(fret);
    Ok(ToHear {
        note: on.note.clone(),
        open_hz: finite(open_hz).ok_or("its pitch cannot be computed")?,
        first_fret: on.first_fret,
        octave: octave_fret(instrument, course),
        frets: SPREAD
            .into_iter()
            .map(up)
            .filter(|fret| *fret <= instrument.frets)
            .collect(),
    })
}

/// The fret an octave over the open string of a course, counted from 0; the last where the board is shorter.
#[must_use]
pub fn octave_fret(instrument: &Instrument, course: usize) -> Option<u32> {
    let first = instrument.courses.get(course)?.first_fret;
    Some(first.saturating_add(12).min(instrument.frets)).filter(|fret| *fret > first)
}

/// A reading by ear for the record, to a hundredth of a cent; `course` counts from 1. None for a figure that is no number.
#[must_use]
pub fn reading_by_ear(course: u32, fret: u32, cents: f64, sd_cents: f64) -> Option<Reading> {
    Some(Reading {
        course,
        fret,
        cents: hundredths(finite(cents)?),
        sd_cents: Some(hundredths(finite(sd_cents)?.max(0.01))),
        ..Reading::default()
    })
}

/// Cents to the hundredth, finer than which nothing by ear is worth keeping.
#[must_use]
pub fn hundredths(cents: f64) -> f64 {
    (100.0 * cents).round() / 100.0
}

/// What the partials of an open string say of its stiffness, held against the string as it is described: the inharmonicity
/// coefficient heard and one standard deviation of it. The course counts from 0. None where the string is not known.
#[must_use]
pub fn stiffness_heard(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    [heard, sd]: [f64; 2],
) -> Option<String> {
    let described = inharmonicity(tone(instrument, rack, course, 0).ok()?.bending);
    let off = (finite(heard)? - described) / finite(sd).filter(|sd| *sd > 0.0)?;
    let verdict = if off > FAR_SDS {
        "it is stiffer than it is said to be"
    } else if off < -FAR_SDS {
        "it is less stiff than it is said to be"
    } else {
        "they agree"
    };
    let [heard, sd, described] =
        [heard, sd, described].map(|coefficient| crate::units::figure(1e6 * coefficient, 1));
    Some(format!(
        "Its partials tell an inharmonicity of {heard} ± {sd} millionths; the string as described has {described}: {verdict}."
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::families;

    #[test]
    fn a_course_is_heard_at_its_own_pitch_on_frets_that_it_has() {
        let mut ukulele = families::start("ukulele-concert", 1, None, "x").unwrap();
        ukulele.frets = 10;
        ukulele.courses[0].offset_cents = 100.0;
        ukulele.courses[0].first_fret = 2;
        let course = to_hear(&ukulele, 0).unwrap();
        assert_eq!(course.frets, [3, 5, 7, 9]);
        assert_eq!((course.first_fret, course.octave), (2, Some(10)));
        let report = crate::report::instrument_report(&ukulele, &[]);
        let pitch = report.courses[0].strings[0].pitch_hz.unwrap();
        assert!((course.open_hz / pitch - 1.0).abs() < 1e-9);
        ukulele.courses[1].note = "H".into();
        assert!(to_hear(&ukulele, 1).is_err() && to_hear(&ukulele, 9).is_err());
    }

    #[test]
    fn readings_by_ear_are_filed_with_their_doubt() {
        let reading = reading_by_ear(2, 12, 7.6543, 0.0004).unwrap();
        assert_eq!((reading.course, reading.fret), (2, 12));
        assert_eq!((reading.cents, reading.sd_cents), (7.65, Some(0.01)));
        assert_eq!(reading_by_ear(1, 0, f64::NAN, 0.1), None);
        assert_eq!(reading_by_ear(1, 0, 0.0, f64::INFINITY), None);
    }

    #[test]
    fn the_partials_are_held_against_the_string_as_described() {
        let ukulele = families::start("ukulele-concert", 1, None, "x").unwrap();
        let described = inharmonicity(tone(&ukulele, &[], 0, 0).unwrap().bending);
        let said = |heard: f64, sd: f64| {
            stiffness_heard(&ukulele, &[], 0, [heard, sd]).unwrap_or_default()
        };
        assert!(said(described + 2e-6, 1e-6).ends_with("they agree."));
        assert!(said(described + 4e-6, 1e-6).contains("it is stiffer"));
        assert!(said(described - 4e-6, 1e-6).contains("less stiff"));
        assert_eq!(said(f64::NAN, 1e-6), "");
        assert_eq!(stiffness_heard(&ukulele, &[], 9, [0.0, 1.0]), None);
    }
}
