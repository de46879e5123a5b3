//! The stiffness of a string: its bending length, what its ends add to its pitch, and its partials.

use crate::quantity::{Cents, Force, InBenchUnits, Length, Pressure, mm};
use std::f64::consts::PI;

/// How a string's ends are held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ends {
    /// Hinged at both ends: no end correction.
    Pinned,
    /// Over narrow supports that it runs on behind, under the same tension: half a bending length at each end.
    #[default]
    Halfway,
    /// Clamped at both ends: a whole bending length at each end.
    Clamped,
}

/// The bending length of a solid round string: `b = sqrt(E I/T)`, `I = pi d^4/64`.
///
/// Source: beam theory. All three must be positive.
#[must_use]
pub fn bending_length(modulus: Pressure, diameter: Length, tension: Force) -> Length {
    let second_moment = PI / 64.0 * diameter.bench().powi(4);
    mm((modulus.bench() * second_moment / tension.bench()).sqrt())
}

/// The bending length of a string that bends as a solid of its outside with `E = kappa T/A`: `b = sqrt(kappa) r/2`.
///
/// Source: Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024).
#[must_use]
pub fn bending_length_of_stretch(kappa: f64, radius: Length) -> Length {
    radius * (kappa.sqrt() / 2.0)
}

/// How much shorter each end makes the string sound: nothing, half or all of the bending length.
#[must_use]
pub fn end_correction(bending_length: Length, ends: Ends) -> Length {
    bending_length
        * match ends {
            Ends::Pinned => 0.0,
            Ends::Halfway => 0.5,
            Ends::Clamped => 1.0,
        }
}

/// How sharp partial `q` stands over `q` times the first: `f_q = q f1' sqrt(1 + pi^2 B^2 q^2)`, `B = b/L`.
///
/// Source: stiff string on hinges, Fletcher & Rossing, The Physics of Musical Instruments.
#[must_use]
pub fn partial_sharpness(b: f64, q: u32) -> Cents {
    let stretch = |q: f64| (1.0 + (PI * b * q).powi(2)).sqrt();
    Cents::of_ratio(stretch(f64::from(q)) / stretch(1.0))
}
