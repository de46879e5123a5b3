//! The saddle's crown as a circle.

use super::bench::Bench;
use crate::records::Instrument;
use crate::report::fretting::Under;
use serde::Serialize;
use strungwell_physics::heights::{Camber, CrownPoint};
use strungwell_physics::quantity::{InBenchUnits, Length, mm};

/// The saddle's crown as the plan leaves it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CamberFigures {
    /// The radius in mm of the circle nearest to it: positive for a crown, negative for a hollow; none when as good as flat.
    pub radius_mm: Option<f64>,
    /// The radius in mm of the board; none for a flat one.
    pub board_radius_mm: Option<f64>,
    /// The radius in mm that the shop asks for; none when each course has its own height.
    pub wanted_radius_mm: Option<f64>,
    /// The root of the mean square of the departures in mm.
    pub rms_mm: f64,
    /// The courses.
    pub courses: Vec<CamberCourse>,
}

/// One course at the crown.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CamberCourse {
    /// The course, from 1.
    pub course: usize,
    /// Its place across the saddle in mm, from the middle; the treble side is positive.
    pub across_mm: f64,
    /// Height in mm over the line of the fret tops at the board's middle.
    pub height_mm: f64,
    /// How far it stands off the circle in mm; positive is too high.
    pub off_mm: f64,
}

/// The crown of a record's heights.
///
/// # Errors
/// Why it cannot be said.
pub(super) fn camber(bench: &Bench, record: &Instrument) -> Result<CamberFigures, String> {
    if bench.plan.limits.saddle_spread_mm.is_none() {
        return Err("The distance between the outer courses at the saddle is not measured, so the crown cannot be drawn as a circle.".into());
    }
    let mut points = Vec::with_capacity(bench.courses.len());
    for on in &bench.courses {
        let line = record
            .courses
            .get(on.course)
            .zip(record.setup.courses.get(on.course))
            .and_then(|(course, setup)| Under::of(record, course, setup).ok())
            .map(|under| under.line.saddle_height());
        let height: Length =
            line.ok_or_else(|| format!("Course {} has no height.", on.course + 1))?;
        points.push(CrownPoint {
            across: on.across,
            height: height + on.frame,
        });
    }
    let camber = Camber::fit(&points).map_err(|why| format!("{why}."))?;
    let courses = bench.courses.iter().zip(&points).zip(&camber.departures);
    Ok(CamberFigures {
        radius_mm: camber.radius.map(|r| r.bench()),
        board_radius_mm: bench.instrument.camber_radius_mm,
        wanted_radius_mm: bench.plan.limits.saddle_radius_mm,
        rms_mm: camber.rms.bench(),
        courses: courses
            .map(|((on, point), off)| CamberCourse {
                course: on.course + 1,
                across_mm: point.across.bench(),
                height_mm: point.height.bench(),
                off_mm: off.bench(),
            })
            .collect(),
    })
}

/// The radius in mm of a crown on which a straightedge's two feet stand `apart_mm` from one another, with the middle between them
/// `rise_mm` over their line. None when the middle does not stand over it, or the feet are too near together.
#[must_use]
pub fn crown_radius_mm(apart_mm: f64, rise_mm: f64) -> Option<f64> {
    let half = 0.5 * apart_mm;
    let points = [(-half, 0.0), (0.0, rise_mm), (half, 0.0)].map(|(across, height)| CrownPoint {
        across: mm(across),
        height: mm(height),
    });
    Some(Camber::fit(&points).ok()?.radius?.bench()).filter(|mm| *mm > 0.0)
}
