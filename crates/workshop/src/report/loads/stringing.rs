//! A whole stringing at pitch: the present one, or the one before.

use crate::problem::clean;
use crate::records::{Course, Instrument, RackString};
use crate::report::{Fitted, OpenString, fitted};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::quantity::{InBenchUnits, Length};
use strungwell_physics::strung::Banded;

/// All courses of an instrument at pitch.
pub(super) struct Stringing<'a> {
    pub(super) courses: Vec<CourseAt<'a>>,
}

/// One course at pitch.
pub(super) struct CourseAt<'a> {
    pub(super) course: &'a Course,
    /// Its speaking length before setbacks; none where the note cannot be read.
    pub(super) length: Option<Length>,
    /// Its strings with what they do, or why one of them says nothing.
    pub(super) strings: Result<Vec<(Fitted, AtPitch)>, String>,
}

impl<'a> Stringing<'a> {
    pub(super) fn of(instrument: &Instrument, courses: &'a [Course], rack: &[RackString]) -> Self {
        let at = |course: &'a Course| {
            let open = OpenString::on(instrument, course, &course.note);
            CourseAt {
                course,
                length: open.as_ref().ok().map(|open| open.length),
                strings: open.and_then(|open| {
                    course
                        .strings
                        .iter()
                        .map(|string| {
                            let fitted = fitted(string, rack)?;
                            let open = open.raised(string.semitones);
                            let at = AtPitch::new(
                                &fitted.make,
                                fitted.measured,
                                open.length,
                                open.pitch,
                            )
                            .map_err(|why| why.to_string())?;
                            Ok((fitted, at))
                        })
                        .collect()
                }),
            }
        };
        Self {
            courses: courses.iter().map(at).collect(),
        }
    }

    /// All strings together, in N; none when one is not known.
    pub(super) fn tension(&self) -> Option<Banded> {
        total(self.courses.iter().map(CourseAt::tension))
    }

    /// Why the tension is not known: the first course that says nothing.
    pub(super) fn why(&self) -> Option<String> {
        self.courses.iter().find_map(|c| {
            let why = c.strings.as_ref().err()?;
            Some(format!("{}: {why}", clean(&c.course.note, 12)))
        })
    }

    /// How much more than before the strings draw, in N. A course that is strung and tuned as before changes by nothing, whatever is
    /// known of its mass; the others' doubts are independent.
    pub(super) fn more_than(&self, before: &Self) -> Option<Banded> {
        let (now, then) = (self.tension()?, before.tension()?);
        let alike = |one: &CourseAt<'_>, other: &CourseAt<'_>| {
            let same = one.course.strings == other.course.strings;
            same && one.tension().map(|t| t.value) == other.tension().map(|t| t.value)
        };
        let unlike = |list: &Self, other: &Self| {
            let doubt = |(i, course): (usize, &CourseAt<'_>)| {
                let same = other.courses.get(i).is_some_and(|o| alike(course, o));
                let band = course.tension().filter(|_| !same);
                band.map_or([0.0; 2], |t| [t.value - t.low, t.high - t.value])
            };
            let doubts: Vec<[f64; 2]> = list.courses.iter().enumerate().map(doubt).collect();
            [0, 1].map(|side| doubts.iter().map(|d| d[side] * d[side]).sum::<f64>())
        };
        let (mine, theirs) = (unlike(self, before), unlike(before, self));
        let value = now.value - then.value;
        Some(Banded {
            value,
            low: value - (mine[0] + theirs[1]).sqrt(),
            high: value + (mine[1] + theirs[0]).sqrt(),
        })
    }
}

impl CourseAt<'_> {
    /// Its strings together, in N.
    pub(super) fn tension(&self) -> Option<Banded> {
        let strings = self.strings.as_ref().ok()?;
        total(strings.iter().map(|(_, at)| Some(at.tension_n)))
    }

    /// Its first string.
    pub(super) fn first(&self) -> Option<&(Fitted, AtPitch)> {
        self.strings.as_ref().ok()?.first()
    }

    /// Half of its thickest string, in mm: how far a string's middle lies over its underside.
    pub(super) fn half_diameter_mm(&self) -> f64 {
        let strings = self.strings.iter().flatten();
        strings
            .map(|(fitted, _)| fitted.make.diameter().bench() / 2.0)
            .fold(0.0, f64::max)
    }
}

fn total(parts: impl Iterator<Item = Option<Banded>>) -> Option<Banded> {
    let mut sum: Option<Banded> = None;
    for part in parts {
        let part = part?;
        let so_far = sum.unwrap_or(Banded::exact(0.0));
        sum = Some(Banded {
            value: so_far.value + part.value,
            low: so_far.low + part.low,
            high: so_far.high + part.high,
        });
    }
    sum
}
