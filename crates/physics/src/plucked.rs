//! The tone of a plucked string: where its partials lie, how strong each is and how fast it dies away.

use crate::quantity::{Cents, Frequency, InBenchUnits};
use crate::stiffness::{Ends, frequency_factor};
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
/// The form in which partials are fitted, since it is linear in `B'`; see [`crate::stiffness::inharmonicity`].
#[must_use]
pub fn squared_stretch(coefficient: f64, q: u32) -> f64 {
    1.0 + coefficient * f64::from(q).powi(2)
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

/// The two corners of an ideal plucked string so many `turns` of its swing after it was let go at the share `at` of its
/// length (0 to 1): place along it and height over its rest, as shares of the length and of the pluck's height. Between
/// the corners, and from them to the ends, it is straight.
///
/// `y(x, t) = (f(x - 2t) + f(x + 2t))/2` with `t` in turns and `x` in lengths, `f` the triangle of the pluck carried on
/// oddly over both ends: the corner runs apart both ways, is turned over at the ends, and the two meet mirrored in the
/// string's middle after half a turn. No loss, no stiffness. `at` is kept 0.001 from the ends; turns that are no number
/// count as none.
/// Source: d'Alembert's solution for the plucked string, Fletcher & Rossing, The Physics of Musical Instruments.
#[must_use]
pub fn swinging_corners(at: f64, turns: f64) -> [(f64, f64); 2] {
    let at = if at.is_finite() { at } else { 0.5 }.clamp(0.001, 0.999);
    let run = if turns.is_finite() {
        2.0 * turns.rem_euclid(1.0)
    } else {
        0.0
    };
    let plucked = |x: f64| {
        let x = x.rem_euclid(2.0);
        let (x, side) = if x > 1.0 { (2.0 - x, -1.0) } else { (x, 1.0) };
        side * (x / at).min((1.0 - x) / (1.0 - at))
    };
    let corner = |place: f64| {
        let place = place.rem_euclid(2.0);
        let x = place.min(2.0 - place);
        (x, f64::midpoint(plucked(x - run), plucked(x + run)))
    };
    let (a, b) = (corner(at - run), corner(at + run));
    if a.0 <= b.0 { [a, b] } else { [b, a] }
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

    /// What is left of a partial's swing after so many seconds, as a share: `exp(-rate t)`.
    #[must_use]
    pub fn left(&self, frequency: Frequency, seconds: f64) -> f64 {
        (-self.rate_per_s(frequency) * seconds).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hz;
    use crate::stiffness::inharmonicity;

    #[test]
    fn the_first_partial_is_the_pitch_and_the_others_stand_sharp() {
        let (f1, b) = (hz(196.0), 0.008);
        assert!((partial(f1, b, 1).bench() - 196.0).abs() < 1e-9);
        let coefficient = inharmonicity(b);
        let squared = (partial(f1, b, 9) / partial(f1, b, 1)).get::<uom::si::ratio::ratio>() / 9.0;
        let expected = squared_stretch(coefficient, 9) / squared_stretch(coefficient, 1);
        assert!((squared.powi(2) - expected).abs() < 1e-12);
        assert!(squared > 1.01);
    }

    #[test]
    fn a_pluck_in_the_middle_has_odd_partials_alone() {
        for q in 1..10 {
            let strength = pull_at_saddle(0.5, q).abs();
            assert_eq!(strength > 1e-9, q % 2 == 1, "{q}");
        }
    }

    #[test]
    fn the_corners_run_as_the_sum_of_the_partials_does() {
        // y = 2/(pi^2 p (1-p)) sum sin(n pi p)/n^2 sin(n pi x) cos(2 pi n t), the same pluck as standing waves.
        let series = |p: f64, turns: f64, x: f64| -> f64 {
            let size = 2.0 / (PI * PI * p * (1.0 - p));
            let wave = |q: u32| {
                let n = f64::from(q);
                pull_at_saddle(p, q) / n * (n * PI * x).sin() * (2.0 * PI * n * turns).cos()
            };
            size * (1..20_000).map(wave).sum::<f64>()
        };
        for at in [0.08, 0.25, 0.5, 0.77] {
            for turns in [0.0, 0.04, 0.2, 0.25, 0.37, 0.5, 0.81, 3.3] {
                for (x, y) in swinging_corners(at, turns) {
                    let sum = series(at, turns, x);
                    assert!((y - sum).abs() < 1e-3, "{at} {turns}: {y} for {sum} at {x}");
                }
            }
        }
        let [first, second] = swinging_corners(0.25, 0.5);
        assert!((first.0 - 0.75).abs() < 1e-12 && (second.1 + 1.0).abs() < 1e-12);
        for odd in [f64::NAN, f64::INFINITY, -7.0, 1e300] {
            for (x, y) in [swinging_corners(odd, 0.3), swinging_corners(0.3, odd)].concat() {
                assert!((0.0..=1.0).contains(&x) && y.abs() <= 1.0 + 1e-9, "{odd}");
            }
        }
    }

    #[test]
    fn high_partials_die_first() {
        for loss in [Loss::POLYMER, Loss::STEEL] {
            assert!(loss.rate_per_s(hz(3000.0)) > loss.rate_per_s(hz(300.0)));
            let half = 2.0_f64.ln() / loss.rate_per_s(hz(300.0));
            assert!((loss.left(hz(300.0), half) - 0.5).abs() < 1e-12);
        }
    }
}
