//! The figures of what readings say, and how they come from what intonation found.

use super::finite;
use serde::Serialize;
use strungwell_physics::intonation::{Correction, Fitted, READING_SD};
use strungwell_physics::quantity::InBenchUnits;
use strungwell_physics::strung::Banded;

/// Beyond so many standard deviations from what was known, a fit is not believed without a word.
const FAR_SDS: f64 = 3.0;

/// What the readings of a visit say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadingsView {
    /// The visit's id.
    pub visit: String,
    /// Its day.
    pub date: String,
    /// True when the heights or setbacks were changed since they were noted as found, so that it matters with which the
    /// readings were taken.
    pub changed_since: bool,
    /// One entry a course.
    pub courses: Vec<CourseReadings>,
}

/// What the readings of one course say.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CourseReadings {
    /// The open note.
    pub note: String,
    /// How many readings there are.
    pub count: usize,
    /// Of how many different frets, the open string not counted.
    pub frets: usize,
    /// Where to put saddle and nut.
    pub correction: Option<CorrectionFigures>,
    /// What the string is, from readings on several frets.
    pub fit: Option<FitFigures>,
    /// Readings that were not used, and why.
    pub set_aside: Vec<AsideFigures>,
    /// Why there is no correction; none when there is one, or no reading.
    pub missing: Option<String>,
}

/// A correction from readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CorrectionFigures {
    /// How far to move the saddle from where it stood, in mm; positive is backwards, which flattens.
    pub saddle_mm: f64,
    /// Its range, from the readings' own scatter.
    pub saddle_band_mm: [f64; 2],
    /// How far to move the nut's edge, in mm; negative is towards the bridge.
    pub nut_mm: f64,
    /// Its range.
    pub nut_band_mm: [f64; 2],
    /// The saddle's setback in mm then.
    pub saddle_setback_mm: f64,
    /// The nut's setback in mm then.
    pub nut_setback_mm: f64,
    /// True when the nut was left where it stood, asked for or because one fret cannot place both.
    pub nut_stays: bool,
    /// Root mean square in cents of the errors read.
    pub before_cents: f64,
    /// The same as it should be afterwards.
    pub after_cents: f64,
    /// Whether the errors read stand out from what readings scatter by.
    pub is_heard: bool,
}

/// A string's stretch and end correction from readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FitFigures {
    /// Stretch.
    pub kappa: f64,
    /// Its range.
    pub kappa_band: [f64; 2],
    /// One standard deviation of it.
    pub kappa_give: f64,
    /// End correction at each end in mm.
    pub end_correction_mm: f64,
    /// Its range.
    pub end_correction_band_mm: [f64; 2],
    /// Correlation of the two doubts, -1 to 1.
    pub correlation: f64,
    /// How far off the open string was, in cents.
    pub open_cents: f64,
    /// Root mean square in cents by which the readings differed from the figures as they were.
    pub before_cents: f64,
    /// The same with what was found.
    pub after_cents: f64,
    /// How many readings were used.
    pub used: usize,
    /// How far the stretch moved from what was known, in standard deviations of that.
    pub moved_sds: f64,
    /// Whether either moved so far that the string may not be what it was said to be, or the heights not as measured.
    pub is_far: bool,
    /// Whether this stretch is recorded on the instrument already.
    pub is_taken: bool,
}

/// A reading that was not used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsideFigures {
    /// Its place in the visit's list of readings, from 0.
    pub place: usize,
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// What it said, in cents.
    pub cents: f64,
    /// Why it was not used.
    pub why: String,
}

/// Stretches are recorded to a tenth; two nearer than half of that are one.
pub(super) const SAME_KAPPA: f64 = 0.05;

fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

fn pair(band: Banded) -> Option<[f64; 2]> {
    Some([finite(band.low)?, finite(band.high)?])
}

pub(super) fn corrected(found: &Correction, nut_stays: bool) -> Option<CorrectionFigures> {
    Some(CorrectionFigures {
        saddle_mm: finite(found.saddle_mm.value)?,
        saddle_band_mm: pair(found.saddle_mm)?,
        nut_mm: finite(found.nut_mm.value)?,
        nut_band_mm: pair(found.nut_mm)?,
        saddle_setback_mm: finite(found.setbacks.saddle.bench())?,
        nut_setback_mm: finite(found.setbacks.nut.bench())?,
        nut_stays,
        before_cents: finite(found.before.0)?,
        after_cents: finite(found.after.0)?,
        is_heard: found.is_heard(READING_SD),
    })
}

pub(super) fn fit_figures(found: &Fitted, is_taken: bool) -> Option<FitFigures> {
    let give = f64::midpoint(
        found.kappa.high - found.kappa.value,
        found.kappa.value - found.kappa.low,
    );
    Some(FitFigures {
        kappa: finite(tenth(found.kappa.value))?,
        kappa_band: pair(found.kappa)?,
        kappa_give: finite(tenth(give))?,
        end_correction_mm: finite(found.end_correction_mm.value)?,
        end_correction_band_mm: pair(found.end_correction_mm)?,
        correlation: finite(found.correlation)?,
        open_cents: finite(found.open.0)?,
        before_cents: finite(found.before.0)?,
        after_cents: finite(found.after.0)?,
        used: found.used,
        moved_sds: finite(found.kappa_moved_sds)?,
        is_far: found
            .kappa_moved_sds
            .abs()
            .max(found.bending_moved_sds.abs())
            > FAR_SDS,
        is_taken,
    })
}
