//! What a pocket scale and a ruler say of a string, with their doubt.

use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};
use crate::string::check_mass;
use crate::strung::Banded;

/// A cut length laid on a scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighing {
    /// Its mass in g, 0.001 to 1000.
    pub grams: f64,
    /// What the scale leaves in doubt each way, in g: its step, where nothing else is known. One that is not finite counts
    /// as none.
    pub give_grams: f64,
    /// The cut length, 10 to 10000 mm.
    pub length: Length,
    /// What the ruler leaves in doubt each way. One that is not finite counts as none.
    pub give_length: Length,
}

impl Weighing {
    /// A ruler's millimetre, common practice.
    pub const RULER: Length = Length {
        dimension: std::marker::PhantomData,
        units: std::marker::PhantomData,
        value: 1e-3,
    };

    /// The mass per length in g/m, `mu = m/l`, with its doubt `mu sqrt((dm/m)^2 + (dl/l)^2)`: mass and length are read
    /// apart, so their relative doubts add as squares.
    ///
    /// # Errors
    /// [`OutOfRange`] for a mass, a length or a result that is no string's.
    pub fn g_per_m(&self) -> Result<Banded, OutOfRange> {
        let grams = within("a weighed mass", self.grams, "g", 0.001, 1000.0)?;
        let length_mm = within(
            "a weighed length",
            self.length.bench(),
            "mm",
            10.0,
            10_000.0,
        )?;
        let value = check_mass(grams / length_mm * 1e3)?;
        Ok(Banded::within(value, self.relative() * value))
    }

    /// The doubt as a share of the mass per length; at most 0.9 by the scale.
    fn relative(&self) -> f64 {
        let share = |give: f64, of: f64| {
            if give.is_finite() {
                (give.abs() / of).min(0.9)
            } else {
                0.0
            }
        };
        share(self.give_grams, self.grams)
            .hypot(share(self.give_length.bench(), self.length.bench()))
    }
}

/// The doubt as a share of the mass per length that a scale of a step and a ruler would leave on a cut length of a string of
/// this mass per length: what a weighing would bring before it is done. Same formula as [`Weighing::g_per_m`].
#[must_use]
pub fn doubt_of_weighing(g_per_m: f64, length: Length, step_grams: f64) -> f64 {
    let cut = Weighing {
        grams: g_per_m * length.bench() * 1e-3,
        give_grams: step_grams,
        length,
        give_length: mm(1.0),
    };
    cut.relative()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(grams: f64, give_grams: f64, length: f64, give: f64) -> Weighing {
        Weighing {
            grams,
            give_grams,
            length: mm(length),
            give_length: mm(give),
        }
    }

    #[test]
    fn the_ruler_is_a_millimetre() {
        assert!((Weighing::RULER.bench() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn scale_and_ruler_add_as_squares() {
        // 3 parts in a hundred by the scale and 4 by the ruler make 5.
        let mass = cut(1.0, 0.03, 500.0, 20.0).g_per_m().unwrap();
        assert!((mass.value - 2.0).abs() < 1e-12);
        assert!((mass.high - 2.1).abs() < 1e-12 && (mass.low - 1.9).abs() < 1e-12);
    }

    #[test]
    fn a_longer_piece_and_a_finer_scale_narrow_it() {
        let width = |c: Weighing| {
            let m = c.g_per_m().unwrap();
            (m.high - m.low) / m.value
        };
        assert!(width(cut(2.0, 0.01, 1000.0, 1.0)) < width(cut(0.2, 0.01, 100.0, 1.0)));
        assert!(width(cut(1.0, 0.001, 500.0, 1.0)) < width(cut(1.0, 0.01, 500.0, 1.0)));
        let said = width(cut(1.0, 0.01, 500.0, 1.0)) / 2.0;
        assert!((doubt_of_weighing(2.0, mm(500.0), 0.01) - said).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_weighing_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0] {
            assert!(cut(bad, 0.01, 500.0, 1.0).g_per_m().is_err());
            assert!(cut(1.0, 0.01, bad, 1.0).g_per_m().is_err());
        }
        let mass = cut(1.0, f64::NAN, 500.0, f64::INFINITY).g_per_m().unwrap();
        assert!(mass.low.is_finite() && mass.high.is_finite());
    }
}
