//! The tops of a board's frets, and the wood below them.

use super::Relief;
use crate::fretboard::Fretboard;
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// The tops of a board's frets.
#[derive(Clone, Debug, PartialEq)]
pub struct FretTops {
    /// Height of each fret's top; entry 0 is the smooth line at the nut.
    z_mm: Vec<f64>,
    /// The smooth line of the board without single high or low frets, for the wood below.
    smooth_mm: Vec<f64>,
    fret_height_mm: f64,
}

impl FretTops {
    /// Tops all on one straight line, their crowns `fret_height` above the wood.
    ///
    /// # Errors
    /// [`OutOfRange`] for a fret height outside 0 to 5 mm.
    pub fn straight(board: &Fretboard, fret_height: Length) -> Result<Self, OutOfRange> {
        let fret_height_mm = within("a fret height", fret_height.bench(), "mm", 0.0, 5.0)?;
        let flat = vec![0.0; board.x_mm().len()];
        Ok(Self {
            z_mm: flat.clone(),
            smooth_mm: flat,
            fret_height_mm,
        })
    }

    /// Tops that follow a relief.
    ///
    /// # Errors
    /// [`OutOfRange`] for a fret height outside 0 to 5 mm, or a relief that this board cannot have.
    pub fn relieved(
        board: &Fretboard,
        relief: &Relief,
        fret_height: Length,
    ) -> Result<Self, OutOfRange> {
        let mut tops = Self::straight(board, fret_height)?;
        let dip = relief.checked(board)?;
        for (x, (z, smooth)) in board
            .x_mm()
            .iter()
            .zip(tops.z_mm.iter_mut().zip(&mut tops.smooth_mm))
        {
            *smooth = -dip.depth_at(*x);
            *z = *smooth;
        }
        Ok(tops)
    }

    /// The same tops with one fret high (positive) or low by so much against the board's smooth line.
    ///
    /// # Errors
    /// [`OutOfRange`] when there is no such fret or it stands off by more than 5 mm.
    pub fn with_departure(mut self, fret: u32, height: Length) -> Result<Self, OutOfRange> {
        within("a fret", f64::from(fret), "", 1.0, self.last())?;
        let by = within("a fret's departure", height.bench(), "mm", -5.0, 5.0)?;
        let at = fret as usize;
        if let (Some(z), Some(smooth)) = (self.z_mm.get_mut(at), self.smooth_mm.get(at)) {
            *z = smooth + by;
        }
        Ok(self)
    }

    /// Height of a fret's top. None when there is no such fret; fret 0 is the board's smooth line at the nut.
    #[must_use]
    pub fn top(&self, fret: u32) -> Option<Length> {
        self.z_mm.get(fret as usize).copied().map(mm)
    }

    /// Height of the board's smooth line over the frets, single high and low ones left out. None when there is no such
    /// fret; fret 0 is at the nut.
    #[must_use]
    pub fn smooth(&self, fret: u32) -> Option<Length> {
        self.smooth_mm.get(fret as usize).copied().map(mm)
    }

    /// Height of the wood under a fret: the smooth line less the crowns. None when there is no such fret.
    #[must_use]
    pub fn wood(&self, fret: u32) -> Option<Length> {
        Some(self.smooth(fret)? - self.fret_height())
    }

    /// How high the frets' crowns stand above the wood.
    #[must_use]
    pub fn fret_height(&self) -> Length {
        mm(self.fret_height_mm)
    }

    fn last(&self) -> f64 {
        self.z_mm.len().saturating_sub(1) as f64
    }

    /// Bends the board to another relief: `unit` is the dip of each fret for a depth of 1 mm. Single frets keep their
    /// departures.
    pub(crate) fn bend(&mut self, unit: &[f64], depth_mm: f64) {
        let all = self.z_mm.iter_mut().zip(&mut self.smooth_mm).zip(unit);
        for ((z, smooth), dip) in all {
            let departure = *z - *smooth;
            *smooth = -depth_mm * dip;
            *z = *smooth + departure;
        }
    }

    /// Height of the smooth line at an entry.
    pub(crate) fn smooth_mm(&self, n: usize) -> f64 {
        self.smooth_mm.get(n).copied().unwrap_or(0.0)
    }

    pub(crate) fn z_mm(&self) -> &[f64] {
        &self.z_mm
    }

    /// Height of the wood at a share `t` of the way from the fret before `fret` to it: the smooth line less the crowns.
    pub(crate) fn wood_mm(&self, fret: usize, t: f64) -> f64 {
        let at = |n: usize| self.smooth_mm.get(n).copied().unwrap_or(0.0);
        let (behind, here) = (at(fret.saturating_sub(1)), at(fret));
        behind + (here - behind) * t - self.fret_height_mm
    }
}
