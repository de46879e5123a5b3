//! How low a saddle may come over its bridge.

use crate::quantity::{InBenchUnits, Length, mm};

/// Where a string is held down behind the saddle, and how steeply it must fall there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldDown {
    /// How far behind the saddle's crown.
    pub behind: Length,
    /// How far below the bridge's top; negative is above it.
    pub below_top: Length,
    /// The least angle of the fall against the line of the fret tops, in degrees, from 0 to 60.
    pub least_deg: f64,
}

/// The least height of the string at the saddle over the line of the fret tops: the bridge's top there, and over it the least
/// stand or what the string's fall behind needs, whichever is more: `max(h + s, h - v + u tan(beta))`. Source: plane
/// trigonometry. The string's own rise in front of the saddle, which adds to the fall, is left out.
#[must_use]
pub fn least_at_saddle(bridge_top: Length, stand: Length, held: Option<HeldDown>) -> Length {
    let top = bridge_top.bench();
    let by_stand = top + stand.bench();
    let by_fall = held.map_or(f64::MIN, |held| {
        let slope = held.least_deg.clamp(0.0, 60.0).to_radians().tan();
        top - held.below_top.bench() + held.behind.bench() * slope
    });
    mm(by_stand.max(by_fall))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fall_or_the_stand_decides() {
        let held = HeldDown {
            behind: mm(10.0),
            below_top: mm(1.0),
            least_deg: 45.0,
        };
        let least = |stand, held| least_at_saddle(mm(-0.5), mm(stand), held).bench();
        assert!((least(2.0, None) - 1.5).abs() < 1e-12);
        assert!((least(2.0, Some(held)) - 8.5).abs() < 1e-9);
        assert!((least(12.0, Some(held)) - 11.5).abs() < 1e-9);
    }
}
