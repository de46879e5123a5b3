//! The straight saddle.

use super::{boards, different, finite, seat};
use crate::records::Instrument;
use crate::report::CourseReport;
use serde::Serialize;
use strungwell_physics::fretboard::Setbacks;
use strungwell_physics::intonation::{Aim, CourseAtSaddle, SaddleLine, residual};
use strungwell_physics::quantity::{InBenchUnits, Length, mm};

/// A straight saddle, as the report gives it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaddleReport {
    /// Its setback in mm halfway between the outer courses; positive lengthens the strings.
    pub offset_mm: f64,
    /// Its slant in mm from the bass course to the treble course; positive where the setback grows towards the treble.
    pub slant_mm: f64,
    /// One entry a course.
    pub courses: Vec<SaddleCourseReport>,
}

/// One course on a straight saddle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaddleCourseReport {
    /// The setback in mm that the straight saddle gives it.
    pub setback_mm: f64,
    /// By how much its root mean square error in cents exceeds that at its best place; none where that is not known. Of
    /// several strings, the one that loses most.
    pub cost_cents: Option<f64>,
}

/// Distance of a course across the strings: they count as evenly spaced, one unit apart, for a record says no more. The
/// slant over all of them does not depend on the unit.
pub(super) fn across(course: usize) -> Length {
    // A record takes 24 courses at most.
    mm(f64::from(u32::try_from(course).unwrap_or(u32::MAX)))
}

/// The straight saddle through the best places of these strings: course from 0, setback in mm, weight.
pub(super) fn straight(places: impl IntoIterator<Item = (usize, f64, f64)>) -> Option<SaddleLine> {
    let places: Vec<CourseAtSaddle> = places
        .into_iter()
        .map(|(course, setback, weight)| CourseAtSaddle {
            across: across(course),
            setback: mm(setback),
            weight,
        })
        .collect();
    SaddleLine::through(&places).ok()
}

/// Offset in the middle, and slant from the first course to the last, in mm.
pub(super) fn offset_and_slant(line: &SaddleLine, courses: usize) -> Option<(f64, f64)> {
    let last = across(courses.checked_sub(1)?);
    let (bass, treble) = (line.at(across(0)), line.at(last));
    Some((
        finite(line.at(last / 2.0).bench())?,
        finite((treble - bass).bench())?,
    ))
}

/// The straight saddle through what the report proposes; none when it proposes nothing.
pub(in crate::report) fn saddle_report(
    instrument: &Instrument,
    courses: &[CourseReport],
) -> Option<SaddleReport> {
    let places = courses.iter().enumerate().flat_map(|(i, course)| {
        different(course).filter_map(move |(_, s)| {
            Some((i, s.fretting.saddle_setback_mm?, s.fretting.saddle_weight))
        })
    });
    let line = straight(places)?;
    let (offset_mm, slant_mm) = offset_and_slant(&line, courses.len())?;
    let aim = Aim::default();
    let under = boards(instrument, courses);
    let on_line = |i: usize, course: &CourseReport| {
        let saddle = line.at(across(i));
        let cost = different(course).filter_map(|(_, string)| {
            let nut = mm(string.fretting.nut_setback_mm?);
            let there = seat(instrument, under.get(i)?, i, string)?
                .with_setbacks(Setbacks { saddle, nut })
                .ok()?;
            finite(residual(&there, &aim)?.rms_with_open().0 - string.fretting.rms_cents?)
        });
        Some(SaddleCourseReport {
            setback_mm: finite(saddle.bench())?,
            cost_cents: cost.max_by(f64::total_cmp),
        })
    };
    Some(SaddleReport {
        offset_mm,
        slant_mm,
        courses: courses
            .iter()
            .enumerate()
            .map(|(i, c)| on_line(i, c))
            .collect::<Option<_>>()?,
    })
}
