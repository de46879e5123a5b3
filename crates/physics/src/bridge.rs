//! What the strings do to a bridge and to the soundboard or head under it.

use crate::quantity::{Force, InBenchUnits, Length, Pressure, mpa, newtons};
use crate::range::{OutOfRange, within};

/// A rise of the strings' pull from which on it is said, as a share of what the instrument carried before. This project's own mark.
pub const RISE_TOLD: f64 = 0.10;
/// A rise from which on the page defers to a repairer who knows such instruments. This project's own mark.
pub const RISE_MUCH: f64 = 0.25;

/// How a string passes over a saddle: the angles that it makes with the soundboard on both sides, downwards positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BreakAngles {
    front_deg: f64,
    behind_deg: f64,
}

impl BreakAngles {
    /// The angle towards the nut and the angle behind the saddle, in degrees, each positive where the string falls away
    /// from the saddle's crown.
    ///
    /// # Errors
    /// [`OutOfRange`] for a front angle outside -30 to 45 degrees or one behind outside 0 to 90.
    pub fn new(front_deg: f64, behind_deg: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            front_deg: within(
                "a fall of the strings in front of the saddle",
                front_deg,
                "degrees",
                -30.0,
                45.0,
            )?,
            behind_deg: within("a break angle", behind_deg, "degrees", 0.0, 90.0)?,
        })
    }
}

/// Force with which strings press a saddle down: `F = T (sin front + sin behind)`, the same tension on both sides.
///
/// Source: balance of forces at the crown, without friction over it. On a bridge to which the strings are fixed the ties pull
/// up as much as the saddle is pressed down, but for the front angle's share; before a tailpiece the soundboard or head bears
/// all of it.
#[must_use]
pub fn down_force(tension: Force, angles: BreakAngles) -> Force {
    tension * (angles.front_deg.to_radians().sin() + angles.behind_deg.to_radians().sin())
}

/// Moment about the soundboard of strings that end at a bridge, in N m: `M = T h`, `h` the strings' height over the
/// soundboard at the saddle. It turns the bridge towards the nut: it lifts the bridge's back edge and presses its front.
///
/// Source: statics; the strings count as parallel to the soundboard, which is right within a hundredth up to 8 degrees.
#[must_use]
pub fn moment_nm(tension: Force, height: Length) -> f64 {
    tension.bench() * height.bench() * 1e-3
}

/// Pull along the soundboard that is left on a bridge before a tailpiece: `H = T (cos front - cos behind)`, positive towards the
/// nut. A loose bridge leans by it, and friction under its feet holds it. Source: balance of forces, as [`down_force`].
#[must_use]
pub fn lean_force(tension: Force, angles: BreakAngles) -> Force {
    tension * (angles.front_deg.to_radians().cos() - angles.behind_deg.to_radians().cos())
}

/// Mean stress of a force over a footprint: `p = F/(a b)`.
///
/// With the strings' tension over a glued footprint it is the mean shear of the joint; with a down-force under loose feet
/// the mean pressure. Both are means: the glue's edges bear several times as much, and a moment peels besides. Sides from
/// 1 to 500 mm.
///
/// # Errors
/// [`OutOfRange`] for a side outside that.
pub fn mean_stress(force: Force, sides: [Length; 2]) -> Result<Pressure, OutOfRange> {
    let mut area = 1.0;
    for side in sides {
        area *= within("a side of the footprint", side.bench(), "mm", 1.0, 500.0)?;
    }
    Ok(mpa(force.bench() / area))
}

/// A change as a share of what was before: `(now - before)/before`; none where nothing was before.
#[must_use]
pub fn rise(before: Force, now: Force) -> Option<f64> {
    (before > newtons(0.0))
        .then(|| (now.bench() - before.bench()) / before.bench())
        .filter(|share| share.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::mm;
    use proptest::prelude::*;

    #[test]
    fn a_glued_bridge_by_hand() {
        // 200 N at 12 mm, 30 degrees behind, 80 by 20 mm of glue.
        let t = newtons(200.0);
        assert!((moment_nm(t, mm(12.0)) - 2.4).abs() < 1e-12);
        let angles = BreakAngles::new(0.0, 30.0).unwrap();
        assert!((down_force(t, angles).bench() - 100.0).abs() < 1e-9);
        assert!((mean_stress(t, [mm(80.0), mm(20.0)]).unwrap().bench() - 0.125).abs() < 1e-12);
        assert!((rise(newtons(160.0), t).unwrap() - 0.25).abs() < 1e-12);
        assert_eq!(rise(newtons(0.0), t), None);
    }

    #[test]
    fn what_is_not_physical_is_refused() {
        assert!(BreakAngles::new(f64::NAN, 10.0).is_err());
        assert!(BreakAngles::new(0.0, 91.0).is_err());
        assert!(mean_stress(newtons(1.0), [mm(0.0), mm(20.0)]).is_err());
    }

    proptest! {
        /// The two forces are the sum of two pulls of the same size along the string's two sides.
        #[test]
        fn down_force_and_lean_are_one_resultant(t in 1.0..500.0f64, a in -10.0..30.0f64, b in 0.0..60.0f64) {
            let angles = BreakAngles::new(a, b).unwrap();
            let down = down_force(newtons(t), angles).bench();
            let lean = lean_force(newtons(t), angles).bench();
            let half_turn = (a + b).to_radians() / 2.0;
            prop_assert!((down.hypot(lean) - 2.0 * t * half_turn.sin().abs()).abs() < 1e-9 * t);
        }
    }
}
