//! The tone of a plucked string: where its partials lie, how strong each is and how fast it dies away.

use crate::quantity::{Cents, Frequency, InBenchUnits};
use crate::stiffness::{Ends, frequency_factor, inharmonicity};
use crate::string::{Bearer, StringMake};
use std::f64::consts::PI;

/// The pitch so many frets over an open string when it is true: `f 2^(n/12)`. Definition of equal temperament.
#[must_use]
pub fn true_pitch(open: Frequency, frets: u32) -> Frequency {
    open * Cents(100.0 * f64::from(frets)).ratio()
}

/// Frequency of partial `q` of a stiff string whose first partial is `first`:
/// `f_q = q f1 sqrt(1 + B' q^2)/sqrt(1 + B')`, `B' = pi^2 (b/L)^2`.
///
/// The hinged form on the audible first partial: the ends move all low partials alike. `b` is the bending length over the
/// sounding length. Source: stiff string on hinges, Fletcher & Rossing, The Physics of Musical Instruments.
#[must_use]
pub fn partial(first: Frequency, b: f64, q: u32) -> Frequency {
    let stretched = |q: u32| frequency_factor(b, q, Ends::Pinned);
    first * (f64::from(q) * stretched(q) / stretched(1))
}

/// The square of `f_q/q` over that of the string without stiffness: `1 + B' q^2`, `B'` the inharmonicity coefficient.
///
/// The form in which partials are fitted, since it is linear in `B'`; see [`inharmonicity`].
#[must_use]
pub fn squared_stretch(coefficient: f64, q: u32) -> f64 {
    1.0 + coefficient * f64::from(q).powi(2)
}

/// The ratio `B = b/L` of bending length to sounding length that gives an inharmonicity coefficient:
/// `B = sqrt(B')/pi`, and zero for a coefficient below zero.
#[must_use]
pub fn bending_share(coefficient: f64) -> f64 {
    (coefficient.max(0.0) / inharmonicity(1.0)).sqrt()
}

/// How strongly partial `q` pulls at the saddle after a pluck at the share `at` of the sounding length (from the saddle,
/// 0 to 1): `sin(q pi at)/q`, up to a factor common to all partials.
///
/// The string is drawn to a sharp corner and let go. A body's own resonances are left out.
/// Source: the ideal plucked string, Fletcher & Rossing, The Physics of Musical Instruments.
#[must_use]
pub fn pull_at_saddle(at: f64, q: u32) -> f64 {
    let q = f64::from(q);
    (q * PI * at).sin() / q
}

/// How a string loses its swing: the rate of decay `1/tau = steady + rising (f/1 kHz)^2`, in 1/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// The part that all partials share, in 1/s.
    pub steady_per_s: f64,
    /// The part that grows with the square of the frequency, in 1/s at 1 kHz.
    pub rising_per_s: f64,
}

impl Loss {
    /// Nylon, fluorocarbon, gut and strings wound on them. From memory of how such strings die away, not measured: it
    /// decides how a tone sounds and no figure.
    pub const POLYMER: Self = Self {
        steady_per_s: 2.0,
        rising_per_s: 2.5,
    };

    /// Steel, plain or wound. From memory, not measured: it decides how a tone sounds and no figure.
    pub const STEEL: Self = Self {
        steady_per_s: 0.9,
        rising_per_s: 0.35,
    };

    /// The loss of a string's kind: by what bears its tension; a string whose core nobody knows counts as a polymer one.
    #[must_use]
    pub fn of(string: &StringMake) -> Self {
        let material = match string.bearer() {
            Bearer::Whole(material) => Some(material),
            Bearer::Core(core) => Some(core.material()),
            Bearer::Unknown => None,
        };
        if material.is_none_or(crate::material::Material::is_soft) {
            Self::POLYMER
        } else {
            Self::STEEL
        }
    }

    /// Rate of decay of a partial at this frequency, in 1/s: its swing falls as `exp(-rate t)`.
    #[must_use]
    pub fn rate_per_s(&self, frequency: Frequency) -> f64 {
        self.steady_per_s + self.rising_per_s * (frequency.bench() / 1000.0).powi(2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hz;

    #[test]
    fn the_first_partial_is_the_pitch_and_the_others_stand_sharp() {
        let (f1, b) = (hz(196.0), 0.008);
        assert!((partial(f1, b, 1).bench() - 196.0).abs() < 1e-9);
        let coefficient = inharmonicity(b);
        let squared = (partial(f1, b, 9) / partial(f1, b, 1)).get::<uom::si::ratio::ratio>() / 9.0;
        let expected = squared_stretch(coefficient, 9) / squared_stretch(coefficient, 1);
        assert!((squared.powi(2) - expected).abs() < 1e-12);
        assert!(squared > 1.01);
        assert!((bending_share(coefficient) - b).abs() < 1e-12);
    }

    #[test]
    fn a_pluck_in_the_middle_has_odd_partials_alone() {
        for q in 1..10 {
            let strength = pull_at_saddle(0.5, q).abs();
            assert_eq!(strength > 1e-9, q % 2 == 1, "{q}");
        }
    }

    #[test]
    fn high_partials_die_first() {
        for loss in [Loss::POLYMER, Loss::STEEL] {
            assert!(loss.rate_per_s(hz(3000.0)) > loss.rate_per_s(hz(300.0)));
        }
    }
}
