//! The published closed form of the best setbacks, for a reader's own check.

use crate::fretboard::Setbacks;
use crate::quantity::{InBenchUnits, Length, mm};

/// The setbacks that a string asks for over frets 1 to 12 when nut height `b`, rise to the saddle `c` and finger distance
/// `d` are small, by the published closed form:
///
/// `dS = B0 X0 + k/(4 X0) ((b + c)^2 - 7 b^2) - 2 k/X0^2 (2 b + c)^2 d`,
/// `dN = -k/(2 X0) (5 b + c) b - 2 k/X0^2 (2 b + c)^2 d`.
///
/// It shows what drives them: stiffness and the saddle's height the one, the nut's height the other. The figures of this
/// crate come from [`super::optimum`]; on the published prototype string the two agree to a tenth of a millimetre.
/// Source: Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024).
#[must_use]
pub fn setbacks_by_closed_form(
    scale: Length,
    open_stiffness: f64,
    kappa: f64,
    nut_height: Length,
    rise: Length,
    finger_behind: Length,
) -> Setbacks {
    let (x0, b, c, d) = (
        scale.bench(),
        nut_height.bench(),
        rise.bench(),
        finger_behind.bench(),
    );
    let finger = 2.0 * kappa / (x0 * x0) * (2.0 * b + c).powi(2) * d;
    let by_heights = kappa / (4.0 * x0) * ((b + c).powi(2) - 7.0 * b * b);
    Setbacks {
        saddle: mm(open_stiffness * x0 + by_heights - finger),
        nut: mm(-kappa / (2.0 * x0) * (5.0 * b + c) * b - finger),
    }
}
