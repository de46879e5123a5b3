//! The figures of a neck.

use serde::Serialize;

/// How the neck bends.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NeckReport {
    /// The neck's wood; none where it is not known.
    pub wood: Option<WoodFigures>,
    /// The board's wood; none for a neck without a board, or where it is not known.
    pub board: Option<WoodFigures>,
    /// The section at the nut and where the neck meets the body.
    pub sections: Vec<SectionFigures>,
    /// Nut to body in mm.
    pub length_mm: Option<f64>,
    /// The frets between which a straightedge lies, and the one at which the relief is measured: near, at, far.
    pub relief_frets: [u32; 3],
    /// How far the present strings alone make the board dip there, in mm.
    pub now_mm: Option<f64>,
    /// The same of the strings before.
    pub before_mm: Option<f64>,
    /// How much the relief changes from those strings to these, in mm; positive is more hollow.
    pub change_mm: Option<f64>,
    /// Its range: the wood's scatter and the range of the strings' masses.
    pub change_band_mm: Option<[f64; 2]>,
    /// The relief measured under the strings before, in mm.
    pub relief_before_mm: Option<f64>,
    /// The relief to expect under the present ones, in mm: what Heights may take.
    pub predicted_mm: Option<f64>,
    /// Its range.
    pub predicted_band_mm: Option<[f64; 2]>,
    /// The relief that the setup holds now, in mm.
    pub measured_mm: Option<f64>,
    /// True when heights of the strings were not measured and usual ones were taken.
    pub heights_are_usual: bool,
    /// The board's shape: how far each fret is raised, the nut (0) first.
    pub places: Vec<NeckPlace>,
    /// By how many mm the board widens at the body from [`super::DRY_AND_DAMP`] air, once the wood has followed: quarter-sawn, flat-sawn.
    /// None where its wood's shrinkage is not known.
    pub board_swells_mm: Option<[f64; 2]>,
    /// What it comes to, in sentences.
    pub words: Vec<String>,
    /// How far it can be trusted.
    pub trust: &'static str,
    /// What is needed; none when the bend is computed.
    pub missing: Option<String>,
}

/// A wood and its modulus.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WoodFigures {
    /// Its name.
    pub name: String,
    /// Modulus along the grain in GPa.
    pub gpa: f64,
    /// Its range.
    pub gpa_band: [f64; 2],
    /// True when it was measured on this wood.
    pub is_measured: bool,
    /// Where it comes from.
    pub source: String,
}

/// A section of the neck.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SectionFigures {
    /// From the nut, in mm.
    pub x_mm: f64,
    /// Width in mm.
    pub width_mm: f64,
    /// Depth in mm, board included.
    pub depth_mm: f64,
    /// Bending stiffness in N m2.
    pub stiffness_nm2: f64,
    /// The neutral axis below the board's surface, in mm.
    pub neutral_mm: f64,
}

/// How far the strings raise the board at a fret, against the line at which the body holds it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NeckPlace {
    /// The fret; 0 is the nut.
    pub fret: u32,
    /// From the nut, in mm.
    pub x_mm: f64,
    /// Under the present strings, in mm.
    pub now_mm: f64,
    /// Under the strings before.
    pub before_mm: Option<f64>,
}
