//! Heights and setbacks as they stand.

use super::Extra;
use super::json::record_json;

/// Heights and setbacks of an instrument at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setup {
    /// One entry a course, in the order of the instrument's courses.
    pub courses: Vec<CourseSetup>,
    /// Depth of the relief in mm at `relief_fret`, below the straight line over the fret tops; negative is a hump.
    /// None when not measured.
    pub relief_mm: Option<f64>,
    /// The fret at which the relief was measured.
    pub relief_fret: Option<u32>,
    /// How far each fret's top stands above (positive) or below the board's smooth line in mm, fret 1 first.
    /// None when not measured.
    pub fret_tops_mm: Option<Vec<f64>>,
    /// Unknown fields.
    pub extra: Extra,
}

/// Heights and setbacks of one course.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CourseSetup {
    /// Gap in mm between the string's underside and the top of the first fret in front of its nut, string open.
    /// Negative would be a string below the fret's top: it is reported as blocked. None when not measured.
    pub gap_1_mm: Option<f64>,
    /// Gap in mm at the twelfth fret in front of its nut, string open. None when not measured.
    pub gap_12_mm: Option<f64>,
    /// How far behind the scale's end the string leaves the saddle, in mm; positive lengthens the string.
    pub saddle_setback_mm: Option<f64>,
    /// How far the nut's front edge stands from its true place, in mm; positive lengthens the string, negative
    /// (towards the bridge) shortens it.
    pub nut_setback_mm: Option<f64>,
    /// Unknown fields.
    pub extra: Extra,
}

record_json!(Setup {
    courses,
    relief_mm,
    relief_fret,
    fret_tops_mm
});
record_json!(CourseSetup {
    gap_1_mm,
    gap_12_mm,
    saddle_setback_mm,
    nut_setback_mm
});
