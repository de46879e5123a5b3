//! A string at pitch: all that pressing it, sounding it and clearing the frets need to know.

use crate::quantity::{Force, Length, LinearMassDensity};

/// A value with the range in which the true one most likely lies (about one standard deviation each way).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Banded {
    /// The best estimate.
    pub value: f64,
    /// The lower end of the range, at most `value`.
    pub low: f64,
    /// The upper end of the range, at least `value`.
    pub high: f64,
}

impl Banded {
    /// A value known exactly, or as if.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }

    /// A value with the same doubt each way. `half` is taken as its size, without sign.
    #[must_use]
    pub const fn within(value: f64, half: f64) -> Self {
        Self {
            value,
            low: value - half.abs(),
            high: value + half.abs(),
        }
    }
}

/// One string brought to the pitch of its open note.
///
/// Built by the string modules, where each field is checked: all are finite and positive, and the stretch is at least 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strung {
    /// Tension on the scale length, `T0 = mu (2 X0 f)^2`.
    pub tension: Force,
    /// Mass per length at pitch.
    pub mass_per_length: LinearMassDensity,
    /// Outside diameter.
    pub diameter: Length,
    /// The stretch `kappa = EA/T` (no unit), with its band.
    pub kappa: Banded,
    /// The bending length `b_s = sqrt(E I / T)` in millimetres, with its band.
    pub bending_length_mm: Banded,
}
