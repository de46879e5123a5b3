//! Tuners: how much string a turn takes up, and how fine a hand must be.

use crate::quantity::{Cents, InBenchUnits, Length, Pressure};
use crate::range::{OutOfRange, within};
use crate::stretch::StretchLaw;
use std::f64::consts::{LN_2, PI};

/// A tuner: a post on which the string winds, and a gear between it and the button.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuner {
    ratio: f64,
    post: Length,
}

impl Tuner {
    /// A tuner of a gear ratio (turns of the button for one of the post; 1 for a plain peg) and a post's diameter where the
    /// string winds.
    ///
    /// # Errors
    /// [`OutOfRange`] for a ratio outside 0.5 to 200 or a post outside 1 to 50 mm.
    pub fn new(ratio: f64, post: Length) -> Result<Self, OutOfRange> {
        within("a gear ratio", ratio, "", 0.5, 200.0)?;
        within("a post's diameter", post.bench(), "mm", 1.0, 50.0)?;
        Ok(Self { ratio, post })
    }

    /// The same post without a gear: a friction peg.
    #[must_use]
    pub const fn ungeared(self) -> Self {
        Self { ratio: 1.0, ..self }
    }

    /// String taken up by one turn of the button: `pi D/ratio`. Geometry; the string's own thickness and turns that lie over
    /// one another take a little more.
    #[must_use]
    pub fn take_up_per_turn(&self) -> Length {
        self.post * (PI / self.ratio)
    }

    /// Cents that one degree of the button moves a string of a stretch and a length: `(1200/ln 2) R pi D/(360 ratio L)`, with
    /// `R = (L/f) df/dL = (kappa - 1)/2`.
    ///
    /// R is the published one, measured by making the string longer. A turn of the button leaves the speaking length as it is,
    /// so in strictness `(kappa + 1)/2` stands there: two parts in kappa more, which is inside the doubt of any stretch.
    /// `length` is all the string that stretches; the speaking length alone overstates it by the share of what lies behind
    /// nut and saddle. `kappa` at least 1. Source: definition of R, Anderson & Beausoleil, J. Acoust. Soc. Am. 156(1), 683
    /// (2024); geometry.
    #[must_use]
    pub fn cents_per_degree(&self, kappa: f64, length: Length) -> Cents {
        let r = (kappa - 1.0) / 2.0;
        Cents(1200.0 / LN_2 * r * self.take_up_per_turn().bench() / (360.0 * length.bench()))
    }

    /// Degrees of the button for one cent: the inverse of [`Self::cents_per_degree`]; none where a turn changes nothing.
    #[must_use]
    pub fn degrees_per_cent(&self, kappa: f64, length: Length) -> Option<f64> {
        Some(1.0 / self.cents_per_degree(kappa, length).0).filter(|d| d.is_finite())
    }

    /// Turns of the button that bring a string from slack to pitch: `ratio (s + epsilon L)/(pi D)`, `s` the slack to wind in and
    /// `epsilon` the strain at pitch ([`strain_to_pitch`]). Geometry. A new soft string creeps and asks for more.
    #[must_use]
    pub fn turns_to_pitch(&self, slack: Length, strain: f64, length: Length) -> f64 {
        (slack.bench() + strain * length.bench()) / self.take_up_per_turn().bench()
    }
}

/// Strain that a stretch law gives from no stress to a stress: `integral of d sigma/(E0 + b sigma) = ln(1 + b sigma/E0)/b`, and
/// `sigma/E0` where the modulus does not depend on the stress.
///
/// Below the range in which a law was measured this carries it on to nothing: an estimate. Stress not negative.
#[must_use]
pub fn strain_to_pitch(law: &StretchLaw, stress: Pressure) -> f64 {
    let sigma_gpa = stress.bench() * 1e-3;
    if law.slope == 0.0 {
        sigma_gpa / law.base_gpa
    } else {
        (1.0 + law.slope * sigma_gpa / law.base_gpa).ln() / law.slope
    }
}

/// Strain at pitch of a string of which only the stretch is known: `epsilon = 1/kappa`, that of a modulus that is the same from
/// slack on. A string that stiffens as it stretches has more.
#[must_use]
pub fn strain_of_stretch(kappa: f64) -> f64 {
    1.0 / kappa.max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{mm, mpa};
    use proptest::prelude::*;

    #[test]
    fn a_peg_and_a_machine() {
        let peg = Tuner::new(1.0, mm(6.0)).unwrap();
        let geared = Tuner::new(15.0, mm(6.0)).unwrap();
        assert_eq!(geared.ungeared(), peg);
        let ratio =
            peg.cents_per_degree(51.0, mm(430.0)).0 / geared.cents_per_degree(51.0, mm(430.0)).0;
        assert!((ratio - 15.0).abs() < 1e-9);
        // A stretch of 1 is a string whose pitch a turn leaves alone.
        assert_eq!(peg.degrees_per_cent(1.0, mm(430.0)), None);
        assert!(Tuner::new(0.0, mm(6.0)).is_err() && Tuner::new(1.0, mm(f64::NAN)).is_err());
    }

    proptest! {
        /// The strain's slope is one over the modulus there.
        #[test]
        fn strain_is_the_integral_of_the_law(sigma in 20.0..300.0f64) {
            for law in [StretchLaw::NYLON, StretchLaw::FLUOROCARBON, StretchLaw::STEEL] {
                let step = 1e-3;
                let slope = (strain_to_pitch(&law, mpa(sigma + step)) - strain_to_pitch(&law, mpa(sigma - step))) / (2.0 * step);
                let modulus = law.modulus(mpa(sigma)).value * 1e3;
                prop_assert!((slope * modulus - 1.0).abs() < 1e-6);
                // Stiffening from slack on, so more than one over the stretch at the end.
                prop_assert!(strain_to_pitch(&law, mpa(sigma)) >= strain_of_stretch(law.kappa(mpa(sigma)).value) - 1e-12);
            }
        }

        /// A small turn changes the pitch as the cents say: the string's tension rises by kappa times the strain.
        #[test]
        fn a_degree_is_what_stretching_makes_of_it(kappa in 10.0..400.0f64, l in 300.0..700.0f64, d in 4.0..12.0f64) {
            let tuner = Tuner::new(12.0, mm(d)).unwrap();
            let strain = tuner.take_up_per_turn().bench() / 360.0 / l * 1e-3;
            // R is defined for a string that grows longer with its stretch: T by 1 + kappa e, mu by 1/(1 + e), L by 1 + e.
            let ratio = ((1.0 + kappa * strain) * (1.0 + strain)).sqrt() / (1.0 + strain);
            let cents = Cents::of_ratio(ratio).0 * 1e3;
            prop_assert!((tuner.cents_per_degree(kappa, mm(l)).0 / cents - 1.0).abs() < 0.001);
        }
    }
}
