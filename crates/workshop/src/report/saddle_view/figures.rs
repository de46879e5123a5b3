//! What a saddle's view says.

use super::SaddleAim;

/// One note of the map of cents.
#[derive(Clone, Debug, PartialEq)]
pub struct NoteCents {
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// Error in cents as it stands; none when it cannot sound.
    pub now: Option<f64>,
    /// Its range.
    pub band: Option<[f64; 2]>,
    /// Error in cents at the proposed setbacks.
    pub best: Option<f64>,
    /// Why the note cannot sound as it stands; none when it can.
    pub blocked: Option<String>,
}

/// One string over the frets. Strings of a course that are alike stand here once.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// Its course, counted from 0.
    pub course: usize,
    /// Its place in the course, counted from 0.
    pub string: usize,
    /// The open note.
    pub note: String,
    /// The string in words.
    pub name: String,
    /// The notes, the open string first; none when nothing can be said.
    pub notes: Vec<NoteCents>,
    /// The twelfth fret in front of its nut, or the last where there are fewer.
    pub octave_fret: u32,
    /// Error in cents there as it stands.
    pub octave_cents: Option<f64>,
    /// Root mean square of the errors in cents as it stands, over the frets that count and the open string.
    pub rms_now: Option<f64>,
    /// The same at the proposed setbacks.
    pub rms_best: Option<f64>,
    /// The same on the straight saddle, the nut as proposed.
    pub rms_line: Option<f64>,
    /// The fret that is worst at the proposed setbacks, and its error in cents.
    pub worst_best: Option<(u32, f64)>,
    /// Why nothing can be said or proposed; none when all can.
    pub missing: Option<String>,
}

/// One course at the saddle.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleCourse {
    /// The open note.
    pub note: String,
    /// The saddle's setback in mm as it stands; one that nobody measured counts as none.
    pub now_mm: f64,
    /// The nut's setback in mm as it stands.
    pub nut_now_mm: f64,
    /// The best saddle setback in mm.
    pub best_mm: Option<f64>,
    /// Its range.
    pub best_band_mm: Option<[f64; 2]>,
    /// The best nut setback in mm, or where it stands when it stays.
    pub nut_best_mm: Option<f64>,
    /// Its range.
    pub nut_band_mm: Option<[f64; 2]>,
    /// The setback in mm that the straight saddle gives it.
    pub line_mm: Option<f64>,
    /// What the straight saddle costs it in cents, root mean square.
    pub cost_cents: Option<f64>,
}

/// The saddle seen from above, and the map of cents.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleView {
    /// What was aimed at.
    pub aim: SaddleAim,
    /// Its strings.
    pub strands: Vec<Strand>,
    /// Its courses, from the bass side.
    pub courses: Vec<SaddleCourse>,
    /// Setback in mm of the straight saddle, halfway between the outer courses.
    pub offset_mm: Option<f64>,
    /// Slant in mm from bass to treble; positive where the setback grows towards the treble.
    pub slant_mm: Option<f64>,
    /// The strand that is sharpest at its octave as it stands.
    pub sharpest: Option<usize>,
}
