//! Where the frets lie, the scale that measured frets mean, and where nut and saddle stand.
//!
//! Along the board `x` runs from the scale's origin (where the nut's front edge truly belongs) towards the bridge.

mod measured;

pub use measured::{FretDistance, MeasuredScale, NotAScale, Origin, scale_from_two_frets};

use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// The most frets that a board can have here; more than any instrument of the trade.
pub const MOST_FRETS: u32 = 60;

/// The exact divisor of the scale in equal temperament: `1/(1 - 2^(-1/12))`, 17.817154. Each fret lies this part of the
/// rest of the string further on. Source: arithmetic.
#[must_use]
pub fn exact_divisor() -> f64 {
    1.0 / (1.0 - (-1.0_f64 / 12.0).exp2())
}

/// Distance of fret `n` from the nut: `x_n = X0 (1 - 2^(-n/12))`. Source: equal temperament.
#[must_use]
pub fn distance_from_nut(scale: Length, fret: u32) -> Length {
    scale * (1.0 - (-f64::from(fret) / 12.0).exp2())
}

/// Distance of fret `n` from the saddle, setback left out: `X_n = X0 2^(-n/12)`. Source: equal temperament.
#[must_use]
pub fn distance_from_saddle(scale: Length, fret: u32) -> Length {
    scale * (-f64::from(fret) / 12.0).exp2()
}

/// The interval over `frets` frets laid out by dividing what is left of the string by `divisor` each time, in cents:
/// `-1200 n log2(1 - 1/divisor)`. The old rule of 18 falls 12.5 cents short of the octave. The divisor must exceed 1.
#[must_use]
pub fn interval_of_divisor(divisor: f64, frets: u32) -> crate::quantity::Cents {
    crate::quantity::Cents::of_ratio((1.0 - 1.0 / divisor).powf(-f64::from(frets)))
}

/// Where nut and saddle stand against the ends of the scale.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Setbacks {
    /// Of the saddle's crown, `dS`: positive (behind the scale's end) lengthens the string.
    pub saddle: Length,
    /// Of the nut's front edge, `dN`: negative (towards the bridge) shortens the string, positive lengthens it.
    pub nut: Length,
}

impl Setbacks {
    /// Both in millimetres, saddle first.
    #[must_use]
    pub fn in_mm(saddle: f64, nut: f64) -> Self {
        Self {
            saddle: mm(saddle),
            nut: mm(nut),
        }
    }
}

/// The frets of one course: their places, and where the course begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Fretboard {
    scale_mm: f64,
    first: usize,
    /// Place of each fret; the nut's true place is entry 0.
    x_mm: Vec<f64>,
}

impl Fretboard {
    /// A board with its frets at their true places.
    ///
    /// # Errors
    /// [`OutOfRange`] for a scale outside 50 to 2000 mm or a number of frets outside 1 to [`MOST_FRETS`].
    pub fn new(scale: Length, frets: u32) -> Result<Self, OutOfRange> {
        let scale_mm = within("a scale", scale.bench(), "mm", 50.0, 2000.0)?;
        within(
            "a number of frets",
            f64::from(frets),
            "",
            1.0,
            f64::from(MOST_FRETS),
        )?;
        Ok(Self {
            scale_mm,
            first: 0,
            x_mm: (0..=frets)
                .map(|n| distance_from_nut(mm(scale_mm), n).bench())
                .collect(),
        })
    }

    /// The same board for a course whose nut stands at a fret, as a banjo's short fifth string: that fret is its open
    /// string, and only the frets beyond it can be pressed. The scale stays that of the whole board.
    ///
    /// # Errors
    /// [`OutOfRange`] when no fret is left beyond it.
    pub fn starting_at(mut self, first_fret: u32) -> Result<Self, OutOfRange> {
        within(
            "a first fret",
            f64::from(first_fret),
            "",
            0.0,
            f64::from(self.frets()) - 1.0,
        )?;
        self.first = first_fret as usize;
        Ok(self)
    }

    /// The scale length of the whole board.
    #[must_use]
    pub fn scale(&self) -> Length {
        mm(self.scale_mm)
    }

    /// The length of the open course between its nut's true place and the scale's end: the scale, or less for a course
    /// that begins at a fret.
    #[must_use]
    pub fn open_length(&self) -> Length {
        mm(self.open_length_mm())
    }

    pub(crate) fn open_length_mm(&self) -> f64 {
        self.scale_mm - self.x_mm.get(self.first).copied().unwrap_or(0.0)
    }

    /// The number of the last fret.
    #[must_use]
    pub fn frets(&self) -> u32 {
        // The constructor took the number as a u32.
        u32::try_from(self.x_mm.len().saturating_sub(1)).unwrap_or(MOST_FRETS)
    }

    /// The fret at which the course's nut stands; 0 for the instrument's nut.
    #[must_use]
    pub fn first_fret(&self) -> u32 {
        u32::try_from(self.first).unwrap_or(0)
    }

    /// Place of a fret from the nut's true place; fret 0 is that place itself. None when there is no such fret.
    #[must_use]
    pub fn position(&self, fret: u32) -> Option<Length> {
        self.x_mm.get(fret as usize).copied().map(mm)
    }

    /// Places in mm, the nut's first.
    pub(crate) fn x_mm(&self) -> &[f64] {
        &self.x_mm
    }

    pub(crate) fn first(&self) -> usize {
        self.first
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_twelfth_fret_halves_the_string() {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        assert!((board.position(12).unwrap().bench() - 190.5).abs() < 1e-9);
        assert!((distance_from_saddle(mm(381.0), 12).bench() - 190.5).abs() < 1e-9);
        assert_eq!(board.frets(), 18);
        assert_eq!(board.position(19), None);
        assert!((exact_divisor() - 17.817_153_745).abs() < 1e-8);
    }

    #[test]
    fn a_short_course_begins_at_its_fret() {
        let board = Fretboard::new(mm(667.0), 22)
            .unwrap()
            .starting_at(5)
            .unwrap();
        assert!((board.open_length().bench() - 667.0 / 2_f64.powf(5.0 / 12.0)).abs() < 1e-9);
        assert!(
            Fretboard::new(mm(667.0), 5)
                .unwrap()
                .starting_at(5)
                .is_err()
        );
    }

    proptest! {
        #[test]
        fn any_input_is_answered_or_refused(scale in proptest::num::f64::ANY, frets in 0..200u32, first in 0..200u32) {
            if let Ok(board) = Fretboard::new(mm(scale), frets) {
                prop_assert!(board.x_mm().windows(2).all(|w| w[0] < w[1]));
                if let Ok(board) = board.starting_at(first) {
                    prop_assert!(board.open_length().bench() > 0.0 && first < frets);
                }
            }
        }
    }
}
