//! The hollow of a neck under its strings.

use crate::fretboard::Fretboard;
use crate::quantity::{InBenchUnits, Length};
use crate::range::{OutOfRange, within};

/// The shape of a relief between the ends of its span.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ReliefShape {
    /// A parabola: a neck bent alike all along, as by strings at nearly one height over it.
    #[default]
    Parabola,
    /// A neck held at the span's far end and bent by a load at its near end, its dip deepest towards the body.
    EndLoad,
}

/// A dip of the fret tops below the straight line over the tops at the ends of a span.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relief {
    /// How deep it is at `at_fret`; negative is a hump.
    pub depth: Length,
    /// The fret where it was measured.
    pub at_fret: u32,
    /// The fret on which the straightedge's near end lay, usually 1.
    pub from_fret: u32,
    /// The fret on which its far end lay: the last, or where the neck meets the body. None is the last.
    pub to_fret: Option<u32>,
    /// Its shape.
    pub shape: ReliefShape,
}

impl Relief {
    /// A parabola measured with a straightedge from fret 1 to the last fret.
    #[must_use]
    pub fn over(depth: Length, at_fret: u32) -> Self {
        Self {
            depth,
            at_fret,
            from_fret: 1,
            to_fret: None,
            shape: ReliefShape::default(),
        }
    }

    /// Checks it against a board.
    pub(crate) fn checked(&self, board: &Fretboard) -> Result<Dip, OutOfRange> {
        let depth = within("a relief", self.depth.bench(), "mm", -5.0, 5.0)?;
        let last = f64::from(board.frets());
        let to = self.to_fret.unwrap_or_else(|| board.frets());
        within("the relief's far fret", f64::from(to), "", 3.0, last)?;
        within(
            "the relief's near fret",
            f64::from(self.from_fret),
            "",
            1.0,
            f64::from(to) - 2.0,
        )?;
        within(
            "the relief's measured fret",
            f64::from(self.at_fret),
            "",
            f64::from(self.from_fret) + 1.0,
            f64::from(to) - 1.0,
        )?;
        let x = |fret: u32| board.position(fret).map_or(0.0, |x| x.bench());
        let mut dip = Dip {
            from: x(self.from_fret),
            to: x(to),
            shape: self.shape,
            scale: 1.0,
        };
        dip.scale = depth / dip.depth_at(x(self.at_fret));
        Ok(dip)
    }
}

impl Relief {
    /// The dip at each fret of a board, nut first, for a depth of 1 mm at the measured fret.
    pub(crate) fn unit(&self, board: &Fretboard) -> Result<Vec<f64>, OutOfRange> {
        let one = Self {
            depth: crate::quantity::mm(1.0),
            ..*self
        };
        let dip = one.checked(board)?;
        Ok(board.x_mm().iter().map(|x| dip.depth_at(*x)).collect())
    }
}

/// A relief on its board, in mm.
pub(crate) struct Dip {
    from: f64,
    to: f64,
    shape: ReliefShape,
    scale: f64,
}

impl Dip {
    /// Depth below the line at a place. With `u` the share of the span left before its far end:
    ///
    /// - parabola: `u (1 - u)`;
    /// - end load: `u - (3 u^2 - u^3)/2`, the cantilever's deflection less its chord;
    ///
    /// times what makes it the measured depth at the measured fret. Beyond the span the tops go on straight, along the
    /// shape's own slope there: behind the body joint a neck no longer bends. Source: beam theory.
    pub(crate) fn depth_at(&self, x: f64) -> f64 {
        let u = (self.to - x) / (self.to - self.from);
        let inside = u.clamp(0.0, 1.0);
        let (depth, slope) = match self.shape {
            ReliefShape::Parabola => (inside * (1.0 - inside), 1.0 - 2.0 * inside),
            ReliefShape::EndLoad => (
                inside - (3.0 - inside) * inside * inside / 2.0,
                1.0 - 3.0 * inside + 1.5 * inside * inside,
            ),
        };
        self.scale * (depth + slope * (u - inside))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::mm;

    #[test]
    fn both_shapes_pass_through_the_measured_depth_and_the_ends() {
        let board = Fretboard::new(mm(648.0), 20).unwrap();
        for shape in [ReliefShape::Parabola, ReliefShape::EndLoad] {
            let relief = Relief {
                shape,
                to_fret: Some(14),
                ..Relief::over(mm(0.2), 7)
            };
            let dip = relief.checked(&board).unwrap();
            let at = |n: u32| dip.depth_at(board.position(n).unwrap().bench());
            assert!(at(1).abs() < 1e-12 && at(14).abs() < 1e-12);
            assert!((at(7) - 0.2).abs() < 1e-12);
            // Beyond the joint the board goes on straight, rising over the line.
            let x = |n: u32| board.position(n).unwrap().bench();
            let bend = (at(20) - at(17)) / (x(20) - x(17)) - (at(17) - at(15)) / (x(17) - x(15));
            assert!(bend.abs() < 1e-12 && at(20) < 0.0);
        }
    }

    #[test]
    fn a_relief_that_the_board_cannot_have_is_refused() {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        for (from, at, to) in [(1, 1, 18), (1, 18, 18), (0, 7, 18), (1, 7, 19), (10, 7, 18)] {
            let relief = Relief {
                from_fret: from,
                to_fret: Some(to),
                ..Relief::over(mm(0.1), at)
            };
            assert!(relief.checked(&board).is_err(), "{from} {at} {to}");
        }
        assert!(Relief::over(mm(f64::NAN), 7).checked(&board).is_err());
        let short = Fretboard::new(mm(381.0), 2).unwrap();
        assert!(Relief::over(mm(0.1), 7).checked(&short).is_err());
    }
}
