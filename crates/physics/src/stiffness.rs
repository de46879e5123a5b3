//! The stiffness of a string: its bending length, what its ends add to its pitch, and its partials.
//!
//! Throughout, `B = b/L` is the bending length over the sounding length, a small number (0.001 to 0.01 on fretted
//! instruments), and a frequency factor stands over the flexible string `q sqrt(T/mu)/(2 L)`.

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
/// Source: Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683 (2024). The stretch must be positive.
#[must_use]
pub fn bending_length_of_stretch(kappa: f64, radius: Length) -> Length {
    radius * (kappa.sqrt() / 2.0)
}

/// How much shorter each end makes the string sound: nothing, half or all of the bending length.
///
/// Near an end the string's shape is `w = A (x - c + c exp(-x/b))`. A hinge wants no curvature there (`c = 0` to this
/// order), a clamp no slope (`c = b`). A string that runs on behind its support under the same tension is held by a
/// spring of stiffness `sqrt(E I T)` against turning, so `E I w'' = sqrt(E I T) w'`, which gives `c = b/2`.
/// Source: beam theory; Anderson & Beausoleil (2024) measured 1.1 give or take 0.2 bending lengths for both ends together.
#[must_use]
pub fn end_correction(bending_length: Length, ends: Ends) -> Length {
    bending_length
        * match ends {
            Ends::Pinned => 0.0,
            Ends::Halfway => 0.5,
            Ends::Clamped => 1.0,
        }
}

/// How many times the flexible string's frequency partial `q` of a stiff one has, `B = b/L`:
///
/// - hinged: `sqrt(1 + pi^2 q^2 B^2)`, exact;
/// - halfway: `1 + B + (1 + pi^2 q^2/2) B^2`, the string hinged at one end and clamped at the other;
/// - clamped: `1 + 2 B + 4 (1 + pi^2 q^2/8) B^2`.
///
/// The two series leave out terms of order `B^3`: at `B = 0.01`, stiffer than any string of the trade on its open length,
/// and `q = 1` they fall short by 0.013 and 0.036 cents.
/// Source: Fletcher & Rossing, The Physics of Musical Instruments (hinged); Anderson & Beausoleil (2024) (hinged and
/// clamped); Morse 1936 as given there (clamped).
#[must_use]
pub fn frequency_factor(b: f64, q: u32, ends: Ends) -> f64 {
    factor_and_slope(b, f64::from(q), ends).0
}

/// [`frequency_factor`] with its derivative by `B`.
pub(crate) fn factor_and_slope(b: f64, q: f64, ends: Ends) -> (f64, f64) {
    let pq2 = PI * PI * q * q;
    match ends {
        Ends::Pinned => {
            let factor = (1.0 + pq2 * b * b).sqrt();
            (factor, pq2 * b / factor)
        }
        Ends::Halfway => {
            let second = 1.0 + pq2 / 2.0;
            (1.0 + b * (1.0 + second * b), 1.0 + 2.0 * second * b)
        }
        Ends::Clamped => {
            let second = 4.0 + pq2 / 2.0;
            (1.0 + b * (2.0 + second * b), 2.0 + 2.0 * second * b)
        }
    }
}

/// How far stiffness sharpens the first partial when `B` grows from that of the open string to that of a fretted note:
/// the ratio of the two [`frequency_factor`]s, in cents.
#[must_use]
pub fn sharpening(open: f64, fretted: f64, ends: Ends) -> Cents {
    Cents::of_ratio(frequency_factor(fretted, 1, ends) / frequency_factor(open, 1, ends))
}

/// The inharmonicity coefficient of the hinged stiff string, `f_q = q f0 sqrt(1 + q^2 B')`:
/// `B' = pi^2 E I/(T L^2) = pi^2 (b/L)^2`.
///
/// Source: Fletcher & Rossing, The Physics of Musical Instruments, section 2.18.
#[must_use]
pub fn inharmonicity(b: f64) -> f64 {
    (PI * b).powi(2)
}

/// How sharp partial `q` stands over `q` times the first: `f_q = q f1' sqrt(1 + pi^2 B^2 q^2)`, `B = b/L`.
///
/// The hinged form, for the tone only: the ends move all low partials alike, so this is what the ear can hear of it.
/// Source: stiff string on hinges, Fletcher & Rossing, The Physics of Musical Instruments.
#[must_use]
pub fn partial_sharpness(b: f64, q: u32) -> Cents {
    let pinned = |q: u32| frequency_factor(b, q, Ends::Pinned);
    Cents::of_ratio(pinned(q) / pinned(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::gpa;
    use crate::quantity::newtons;

    #[test]
    fn ends_add_none_half_or_all_of_the_bending_length() {
        // To first order the factor is what shortening the string by both end corrections does.
        for ends in [Ends::Pinned, Ends::Halfway, Ends::Clamped] {
            let b = 1e-5;
            let shorter = 2.0 * end_correction(mm(b), ends).bench();
            let factor = frequency_factor(b, 1, ends);
            assert!(
                (factor - 1.0 / (1.0 - shorter)).abs() < 20.0 * b * b,
                "{ends:?}"
            );
        }
    }

    #[test]
    fn slopes_are_those_of_the_factor() {
        for ends in [Ends::Pinned, Ends::Halfway, Ends::Clamped] {
            for b in [1e-3, 5e-3, 0.03] {
                let h = 1e-6;
                let rise = frequency_factor(b + h, 1, ends) - frequency_factor(b - h, 1, ends);
                let (_, slope) = factor_and_slope(b, 1.0, ends);
                assert!((slope - rise / (2.0 * h)).abs() < 1e-7, "{ends:?} {b}");
            }
        }
    }

    #[test]
    fn a_solid_with_its_own_stretch_has_both_bending_lengths_alike() {
        let (d, t, e) = (mm(0.8), newtons(50.0), gpa(5.0));
        let kappa = 5000.0 * PI / 4.0 * 0.64 / 50.0;
        let both = (bending_length(e, d, t) / bending_length_of_stretch(kappa, d / 2.0))
            .get::<uom::si::ratio::ratio>();
        assert!((both - 1.0).abs() < 1e-12);
    }
}
