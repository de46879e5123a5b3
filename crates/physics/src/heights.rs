//! Heights over the board: fret tops, relief, the string's line, gaps, and the camber of the saddle's crown.
//!
//! Heights are measured at right angles to the straight line over the fret tops at the ends of the measured span, positive
//! away from the board; places along it are those of [`crate::fretboard`]. A string's height is that of its underside.

mod camber;
pub(crate) mod least;
mod relief;
mod rocking;
mod tops;

pub(crate) use camber::sagitta_mm;
pub use camber::{Camber, CrownPoint, NoCamber, radius_of_chord, sagitta};
pub use relief::{Relief, ReliefShape};
pub use rocking::{Rocking, departures_of_rocking};
pub use tops::FretTops;

use crate::fretboard::{Fretboard, Setbacks};
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// A gap that was measured: between a fret's top and the underside of the open string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Number of the fret on the board.
    pub fret: u32,
    /// The gap; negative would be a string below the fret's top.
    pub gap: Length,
}

/// The straight line of an open string's underside: its height at the nut's front edge and at the saddle's crown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringLine {
    pub(crate) nut_x_mm: f64,
    pub(crate) nut_mm: f64,
    pub(crate) saddle_x_mm: f64,
    pub(crate) saddle_mm: f64,
}

/// Nothing of an instrument stands higher or lower than this against its frets, in mm.
const FAR_MM: f64 = 40.0;

impl StringLine {
    /// A string whose heights at nut and saddle are known.
    ///
    /// # Errors
    /// [`OutOfRange`] for a height beyond 40 mm either way, or setbacks that put the nut beyond the first fret or the saddle
    /// before the last one.
    pub fn new(
        board: &Fretboard,
        setbacks: Setbacks,
        nut_height: Length,
        saddle_height: Length,
    ) -> Result<Self, OutOfRange> {
        let (nut_x_mm, saddle_x_mm) = ends(board, setbacks)?;
        Ok(Self {
            nut_x_mm,
            saddle_x_mm,
            nut_mm: within(
                "a height at the nut",
                nut_height.bench(),
                "mm",
                -FAR_MM,
                FAR_MM,
            )?,
            saddle_mm: within(
                "a height at the saddle",
                saddle_height.bench(),
                "mm",
                -FAR_MM,
                FAR_MM,
            )?,
        })
    }

    /// The line through two measured gaps, as over fret 1 and fret 12.
    ///
    /// # Errors
    /// [`OutOfRange`] when a fret does not exist, both are the same, a gap or the height it means at nut or saddle is beyond
    /// 40 mm, or the setbacks are not physical.
    pub fn through_gaps(
        board: &Fretboard,
        tops: &FretTops,
        setbacks: Setbacks,
        gaps: [Gap; 2],
    ) -> Result<Self, OutOfRange> {
        let [a, b] = gaps;
        let (xa, ya) = over(board, tops, a)?;
        let (xb, yb) = over(board, tops, b)?;
        if a.fret == b.fret {
            return Err(OutOfRange {
                what: "a second measured fret",
                value: f64::from(b.fret),
                unit: "",
                low: f64::from(a.fret) + 1.0,
                high: f64::from(board.frets()),
            });
        }
        let slope = (yb - ya) / (xb - xa);
        let (nut_x, saddle_x) = ends(board, setbacks)?;
        let at = |x: f64| mm(ya + slope * (x - xa));
        Self::new(board, setbacks, at(nut_x), at(saddle_x))
    }

    /// Height at the nut's front edge.
    #[must_use]
    pub fn nut_height(&self) -> Length {
        mm(self.nut_mm)
    }

    /// Height at the saddle's crown.
    #[must_use]
    pub fn saddle_height(&self) -> Length {
        mm(self.saddle_mm)
    }

    /// Where nut and saddle stand against the ends of the scale.
    #[must_use]
    pub fn setbacks(&self, board: &Fretboard) -> Setbacks {
        Setbacks {
            saddle: mm(self.saddle_x_mm) - board.scale(),
            nut: board.scale() - board.open_length() - mm(self.nut_x_mm),
        }
    }

    /// The gap over a fret of the open string: underside less top. None when there is no such fret.
    #[must_use]
    pub fn gap(&self, board: &Fretboard, tops: &FretTops, fret: u32) -> Option<Length> {
        Some(mm(self.height_mm(board.position(fret)?.bench())) - tops.top(fret)?)
    }

    /// How much the gap over a fret grows when the saddle's crown is raised by so much:
    /// `s (x_n - x_nut)/(x_saddle - x_nut)`. The trade's "raise the saddle by twice the difference at fret 12" is this at
    /// one half. None when there is no such fret.
    #[must_use]
    pub fn gap_by_saddle(&self, board: &Fretboard, fret: u32, raise: Length) -> Option<Length> {
        Some(raise * self.share(board, fret)?)
    }

    /// How far to raise the saddle's crown so that the gap over a fret grows by so much, the nut left alone: the inverse of
    /// [`StringLine::gap_by_saddle`]. None when there is no such fret, or it stands at the nut.
    #[must_use]
    pub fn saddle_raise_for(
        &self,
        board: &Fretboard,
        fret: u32,
        more_gap: Length,
    ) -> Option<Length> {
        let share = self.share(board, fret)?;
        (share > 1e-6).then(|| more_gap / share)
    }

    /// The nut's and the saddle's share in a pair of gaps wanted at two frets: the two raises (nut first) that change the
    /// gaps by those amounts. None when a fret does not exist or both are the same.
    #[must_use]
    pub fn raises_for(&self, board: &Fretboard, wanted: [Gap; 2]) -> Option<(Length, Length)> {
        let [a, b] = wanted;
        let (sa, sb) = (self.share(board, a.fret)?, self.share(board, b.fret)?);
        // gap = (1 - share) nut + share saddle, at both frets.
        let between = sb - sa;
        (between.abs() > 1e-9).then(|| {
            let nut = (a.gap * sb - b.gap * sa) / between;
            let saddle = (b.gap * (1.0 - sa) - a.gap * (1.0 - sb)) / between;
            (nut, saddle)
        })
    }

    /// The same string with its nut and saddle moved to other setbacks, their heights kept.
    ///
    /// # Errors
    /// [`OutOfRange`] for setbacks that are not physical.
    pub fn moved(self, board: &Fretboard, setbacks: Setbacks) -> Result<Self, OutOfRange> {
        Self::new(board, setbacks, self.nut_height(), self.saddle_height())
    }

    /// The share of a fret's place in the way from nut to saddle.
    fn share(&self, board: &Fretboard, fret: u32) -> Option<f64> {
        let x = board.position(fret)?.bench();
        Some((x - self.nut_x_mm) / (self.saddle_x_mm - self.nut_x_mm))
    }

    pub(crate) fn height_mm(&self, x_mm: f64) -> f64 {
        let rise = (self.saddle_mm - self.nut_mm) / (self.saddle_x_mm - self.nut_x_mm);
        self.nut_mm + rise * (x_mm - self.nut_x_mm)
    }
}

/// The place and height of the string over a measured fret.
fn over(board: &Fretboard, tops: &FretTops, gap: Gap) -> Result<(f64, f64), OutOfRange> {
    let place = board.position(gap.fret).zip(tops.top(gap.fret));
    let Some((x, top)) = place.filter(|_| gap.fret > board.first_fret()) else {
        return Err(OutOfRange {
            what: "a measured fret",
            value: f64::from(gap.fret),
            unit: "",
            low: f64::from(board.first_fret()) + 1.0,
            high: f64::from(board.frets()),
        });
    };
    let gap = within("a gap", gap.gap.bench(), "mm", -FAR_MM, FAR_MM)?;
    Ok((x.bench(), top.bench() + gap))
}

/// The places of nut and saddle.
fn ends(board: &Fretboard, setbacks: Setbacks) -> Result<(f64, f64), OutOfRange> {
    let x = board.x_mm();
    let at = |n: usize| x.get(n).copied().unwrap_or(0.0);
    let (nut, next) = (at(board.first()), at(board.first() + 1));
    let room = board.scale().bench() - at(x.len().saturating_sub(1));
    // Half the first space, or half of what the last fret leaves, and nothing beyond a few centimetres.
    let nut_setback = within(
        "a nut setback",
        setbacks.nut.bench(),
        "mm",
        -0.5 * (next - nut),
        30.0,
    )?;
    let saddle_setback = within(
        "a saddle setback",
        setbacks.saddle.bench(),
        "mm",
        -(0.5 * room).min(30.0),
        30.0,
    )?;
    Ok((nut - nut_setback, board.scale().bench() + saddle_setback))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn concert() -> Fretboard {
        Fretboard::new(mm(381.0), 18).unwrap()
    }

    fn gap(fret: u32, gap: f64) -> Gap {
        Gap { fret, gap: mm(gap) }
    }

    #[test]
    fn two_gaps_fix_the_line() {
        let board = concert();
        let tops = FretTops::straight(&board, mm(1.0)).unwrap();
        let line = StringLine::through_gaps(
            &board,
            &tops,
            Setbacks::in_mm(1.5, -0.3),
            [gap(1, 0.6), gap(12, 2.6)],
        )
        .unwrap();
        let read = |n| line.gap(&board, &tops, n).unwrap().bench();
        assert!((read(1) - 0.6).abs() < 1e-9 && (read(12) - 2.6).abs() < 1e-9);
        assert!(line.nut_height().bench() < 0.6 && line.saddle_height().bench() > 4.5);
        let back = line.setbacks(&board);
        assert!((back.saddle.bench() - 1.5).abs() < 1e-9 && (back.nut.bench() + 0.3).abs() < 1e-9);
    }

    #[test]
    fn raising_the_saddle_is_shared_out() {
        let board = concert();
        let line = StringLine::new(&board, Setbacks::default(), mm(0.5), mm(4.5)).unwrap();
        let by = line.gap_by_saddle(&board, 12, mm(1.0)).unwrap();
        assert!((by.bench() - 0.5).abs() < 1e-9);
        let longer = line.moved(&board, Setbacks::in_mm(2.0, 0.0)).unwrap();
        let by = longer.gap_by_saddle(&board, 12, mm(1.0)).unwrap();
        assert!((by.bench() - 190.5 / 383.0).abs() < 1e-9);
        let back = longer.saddle_raise_for(&board, 12, by).unwrap();
        assert!((back.bench() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn both_raises_give_both_gaps() {
        let board = concert();
        let line = StringLine::new(&board, Setbacks::in_mm(1.5, -0.4), mm(0.5), mm(4.5)).unwrap();
        let (nut, saddle) = line
            .raises_for(&board, [gap(1, -0.1), gap(12, -0.3)])
            .unwrap();
        for (fret, wanted) in [(1, -0.1), (12, -0.3)] {
            let got = nut + line.gap_by_saddle(&board, fret, saddle - nut).unwrap();
            assert!((got.bench() - wanted).abs() < 1e-9);
        }
        assert_eq!(line.raises_for(&board, [gap(1, 0.1), gap(1, 0.2)]), None);
    }

    #[test]
    fn a_high_fret_eats_its_gap() {
        let board = concert();
        let relief = Relief::over(mm(0.1), 7);
        let tops = FretTops::relieved(&board, &relief, mm(1.0)).unwrap();
        let line = StringLine::new(&board, Setbacks::default(), mm(0.5), mm(4.5)).unwrap();
        let before = line.gap(&board, &tops, 9).unwrap();
        let tops = tops.with_departure(9, mm(0.15)).unwrap();
        let after = line.gap(&board, &tops, 9).unwrap();
        assert!(((before - after).bench() - 0.15).abs() < 1e-9);
        assert!((tops.top(7).unwrap().bench() + 0.1).abs() < 1e-9);
        assert!(tops.with_departure(19, mm(0.1)).is_err());
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let board = concert();
        let tops = FretTops::straight(&board, mm(1.0)).unwrap();
        let none = Setbacks::default();
        assert!(StringLine::through_gaps(&board, &tops, none, [gap(1, 0.5), gap(1, 0.6)]).is_err());
        assert!(
            StringLine::through_gaps(&board, &tops, none, [gap(0, 0.5), gap(12, 2.0)]).is_err()
        );
        assert!(
            StringLine::through_gaps(&board, &tops, none, [gap(1, 0.5), gap(19, 2.0)]).is_err()
        );
        assert!(StringLine::new(&board, Setbacks::in_mm(0.0, -15.0), mm(1.0), mm(4.0)).is_err());
        assert!(FretTops::straight(&board, mm(-0.1)).is_err());
    }

    proptest! {
        #[test]
        fn any_heights_are_answered_or_refused(
            g1 in proptest::num::f64::ANY, g12 in proptest::num::f64::ANY, ds in proptest::num::f64::ANY,
            dn in proptest::num::f64::ANY, depth in proptest::num::f64::ANY, at in 0..30u32,
        ) {
            let board = concert();
            let tops = FretTops::relieved(&board, &Relief::over(mm(depth), at), mm(1.0));
            if let Ok(tops) = tops
                && let Ok(line) = StringLine::through_gaps(&board, &tops, Setbacks::in_mm(ds, dn), [gap(1, g1), gap(12, g12)])
            {
                for fret in 1..=18 {
                    prop_assert!(line.gap(&board, &tops, fret).unwrap().bench().is_finite());
                }
            }
        }
    }
}
