//! A string over its frets, and what a finger does to it.
//!
//! The string runs straight from nut to saddle when it is open. A finger behind fret `n` bends it into the taut path nut,
//! any frets that this path touches, finger, fret, saddle. That path is longer, so the string is tighter, and what sounds
//! is the part from fret to saddle. A fret that cannot sound is [`Blocked`], with its reason; the others go on.

mod behind;
mod blocked;
mod path;
mod pitch;
mod pressed;
mod shape;

pub use blocked::Blocked;
pub(crate) use path::number;
pub use pitch::CentsPer;
pub use pressed::Pressed;
pub use shape::Place;

use crate::fretboard::{Fretboard, Setbacks};
use crate::heights::{FretTops, StringLine};
use crate::quantity::{Force, InBenchUnits, Length, mm, newtons};
use crate::range::{OutOfRange, within};
use crate::stiffness::{Ends, factor_and_slope};
use crate::strung::{Banded, Strung};

/// How a finger presses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Press {
    /// How far behind the fret the finger lies; at most half the space behind the fret is taken.
    pub finger_behind: Length,
    /// How hard the string is to bear on the fret. Zero is the lightest press that still touches it.
    pub fret_reaction: Force,
}

impl Default for Press {
    /// 6 mm behind the fret, 1 N on the fret: common practice, without a source.
    fn default() -> Self {
        Self {
            finger_behind: mm(6.0),
            fret_reaction: newtons(1.0),
        }
    }
}

/// What part of the string takes up the stretch of pressing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Grip {
    /// Only that between nut and saddle: the string does not slip over them.
    #[default]
    AtNutAndSaddle,
    /// It slips freely, so that the tails behind nut and saddle share the stretch.
    WithTails {
        /// Length from the nut to the tuner's post.
        behind_nut: Length,
        /// Length from the saddle to where the string is tied.
        behind_saddle: Length,
    },
}

/// One string over its frets, ready to be pressed anywhere.
#[derive(Clone, Debug)]
pub struct StringOnBoard<'a> {
    pub(crate) board: &'a Fretboard,
    pub(crate) tops: &'a FretTops,
    pub(crate) line: StringLine,
    pub(crate) tension_n: f64,
    pub(crate) kappa: Banded,
    pub(crate) bending_mm: Banded,
    /// Correlation of the doubts of stretch and bending length, from a fit to readings.
    pub(crate) correlation: f64,
    /// One standard deviation of each measured gap, in mm, and what it does to the heights at nut and saddle.
    pub(crate) gap_doubt: Option<GapDoubt>,
    pub(crate) ends: Ends,
    pub(crate) tails_mm: f64,
    pub(crate) finger_mm: f64,
    pub(crate) reaction_n: f64,
    /// The open string: its length, its rise along the board, and its frequency factor with that factor's slope.
    pub(crate) open_mm: f64,
    pub(crate) open_slope: f64,
    pub(crate) open_factor: (f64, f64),
    /// What follows from the fields above and every note needs: the kink at the fret at the open tension, `R/T0`, and one
    /// over the length that takes up the stretch.
    pub(crate) kink: f64,
    pub(crate) per_whole: f64,
}

/// How the doubt of two measured gaps comes out at nut and saddle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GapDoubt {
    /// One standard deviation of a gap, in mm.
    pub(crate) sd_mm: f64,
    /// For each gap, how far a millimetre of it raises the line at the nut and at the saddle.
    pub(crate) raises: [(f64, f64); 2],
}

impl<'a> StringOnBoard<'a> {
    /// Lays a string at pitch over a board, pressed in the usual way ([`Press::default`]), gripped at nut and saddle, its ends
    /// halfway between hinged and clamped.
    ///
    /// The string's tension must be that on [`Fretboard::open_length`]. Its bending length is taken as a share of that length,
    /// `B0 = b/X0`, which the open string keeps however nut and saddle are moved, as its tension is; a setback would change
    /// it by less than one part in a hundred, far within its doubt.
    ///
    /// # Errors
    /// [`OutOfRange`] for a string that is not physical, tops of another board, or a line that ends among the frets.
    pub fn new(
        string: &Strung,
        board: &'a Fretboard,
        tops: &'a FretTops,
        line: StringLine,
    ) -> Result<Self, OutOfRange> {
        let x = board.x_mm();
        let last = x.len().saturating_sub(1);
        within(
            "a number of fret tops",
            tops.z_mm().len() as f64 - 1.0,
            "",
            last as f64,
            last as f64,
        )?;
        let at = |n: usize| x.get(n).copied().unwrap_or(0.0);
        within(
            "a nut's place",
            line.nut_x_mm,
            "mm",
            -f64::MAX,
            at(board.first() + 1),
        )?;
        within(
            "a saddle's place",
            line.saddle_x_mm,
            "mm",
            at(last),
            f64::MAX,
        )?;
        let press = Press::default();
        let mut laid = Self {
            board,
            tops,
            line,
            tension_n: within("a tension", string.tension.bench(), "N", 0.01, 10_000.0)?,
            kappa: banded("a stretch", string.kappa, "", 1e6)?,
            bending_mm: banded(
                "a bending length",
                string.bending_length_mm,
                "mm",
                0.2 * board.open_length_mm(),
            )?,
            correlation: 0.0,
            gap_doubt: None,
            ends: Ends::default(),
            tails_mm: 0.0,
            finger_mm: press.finger_behind.bench(),
            reaction_n: press.fret_reaction.bench(),
            open_mm: 0.0,
            open_slope: 0.0,
            open_factor: (1.0, 0.0),
            kink: 0.0,
            per_whole: 0.0,
        };
        laid.settle();
        Ok(laid)
    }

    /// The same string pressed another way.
    ///
    /// # Errors
    /// [`OutOfRange`] for a finger at a negative distance or over 100 mm away, or a reaction outside 0 to 100 N.
    pub fn pressed_by(mut self, press: Press) -> Result<Self, OutOfRange> {
        self.finger_mm = within(
            "a finger's distance",
            press.finger_behind.bench(),
            "mm",
            0.0,
            100.0,
        )?;
        self.reaction_n = within(
            "a fret's reaction",
            press.fret_reaction.bench(),
            "N",
            0.0,
            100.0,
        )?;
        self.settle();
        Ok(self)
    }

    /// The same string gripped another way.
    ///
    /// # Errors
    /// [`OutOfRange`] for a tail outside 0 to 1000 mm.
    pub fn gripped(mut self, grip: Grip) -> Result<Self, OutOfRange> {
        self.tails_mm = match grip {
            Grip::AtNutAndSaddle => 0.0,
            Grip::WithTails {
                behind_nut,
                behind_saddle,
            } => {
                within(
                    "a tail behind the nut",
                    behind_nut.bench(),
                    "mm",
                    0.0,
                    1000.0,
                )? + within(
                    "a tail behind the saddle",
                    behind_saddle.bench(),
                    "mm",
                    0.0,
                    1000.0,
                )?
            }
        };
        self.settle();
        Ok(self)
    }

    /// The same string with its ends held another way.
    #[must_use]
    pub fn held(mut self, ends: Ends) -> Self {
        self.ends = ends;
        self.settle();
        self
    }

    /// The same string with nut and saddle moved, their heights kept.
    ///
    /// # Errors
    /// [`OutOfRange`] for setbacks that are not physical.
    pub fn with_setbacks(mut self, setbacks: Setbacks) -> Result<Self, OutOfRange> {
        self.line = self.line.moved(self.board, setbacks)?;
        self.settle();
        Ok(self)
    }

    /// The same string with another stretch and bending length, as found by a fit to readings; `correlation` is that of
    /// their two doubts, -1 to 1.
    ///
    /// # Errors
    /// [`OutOfRange`] for a value or a band that is not physical.
    pub fn with_found(
        mut self,
        kappa: Banded,
        bending_length_mm: Banded,
        correlation: f64,
    ) -> Result<Self, OutOfRange> {
        let most = 0.2 * self.board.open_length_mm();
        self.kappa = banded("a stretch", kappa, "", 1e6)?;
        self.bending_mm = banded("a bending length", bending_length_mm, "mm", most)?;
        self.correlation = within("a correlation", correlation, "", -1.0, 1.0)?.clamp(-1.0, 1.0);
        self.settle();
        Ok(self)
    }

    /// The same string, its line known by two gaps (as over fret 1 and fret 12) that are each good to one standard deviation
    /// `sd`: the bands of the pitch errors then hold that doubt too. Without this the heights count as exact.
    ///
    /// # Errors
    /// [`OutOfRange`] when a fret does not exist, both are the same, or `sd` is outside 0 to 5 mm.
    pub fn with_gap_doubt(mut self, frets: [u32; 2], sd: Length) -> Result<Self, OutOfRange> {
        let sd_mm = within("a gap's doubt", sd.bench(), "mm", 0.0, 5.0)?;
        let raises = |first: f64, second: f64| {
            let gaps = [(frets[0], first), (frets[1], second)]
                .map(|(fret, gap)| crate::heights::Gap { fret, gap: mm(gap) });
            self.line
                .raises_for(self.board, gaps)
                .map(|(nut, saddle)| (nut.bench(), saddle.bench()))
        };
        let (Some(a), Some(b)) = (raises(1.0, 0.0), raises(0.0, 1.0)) else {
            return Err(OutOfRange {
                what: "a second measured fret",
                value: f64::from(frets[1]),
                unit: "",
                low: 1.0,
                high: f64::from(self.board.frets()),
            });
        };
        self.gap_doubt = Some(GapDoubt {
            sd_mm,
            raises: [a, b],
        });
        Ok(self)
    }

    /// Presses the string to a fret; 0 is the open string.
    ///
    /// # Errors
    /// [`Blocked`], with the reason, when that note cannot sound.
    #[inline]
    pub fn press(&self, fret: u32) -> Result<Pressed<'_>, Blocked> {
        Pressed::at(self, fret)
    }

    /// The frets that can be pressed on this course, from the first in front of its nut.
    pub fn frets(&self) -> std::ops::RangeInclusive<u32> {
        self.board.first_fret() + 1..=self.board.frets()
    }

    /// The gap over a fret of the open string. None when there is no such fret.
    #[must_use]
    pub fn gap(&self, fret: u32) -> Option<Length> {
        self.line.gap(self.board, self.tops, fret)
    }

    /// Where nut and saddle stand.
    #[must_use]
    pub fn setbacks(&self) -> Setbacks {
        self.line.setbacks(self.board)
    }

    /// The line of the open string.
    #[must_use]
    pub fn line(&self) -> StringLine {
        self.line
    }

    /// The board under it.
    #[must_use]
    pub fn board(&self) -> &'a Fretboard {
        self.board
    }

    /// The tops of the frets under it.
    #[must_use]
    pub fn tops(&self) -> &'a FretTops {
        self.tops
    }

    /// Its stretch, with its band.
    #[must_use]
    pub fn kappa(&self) -> Banded {
        self.kappa
    }

    /// Its bending length in mm, with its band.
    #[must_use]
    pub fn bending_length_mm(&self) -> Banded {
        self.bending_mm
    }

    /// Tension of the open string.
    #[must_use]
    pub fn tension(&self) -> Force {
        newtons(self.tension_n)
    }

    /// `B0 = b/X0` of the open string.
    #[must_use]
    pub fn open_stiffness(&self) -> f64 {
        self.bending_mm.value / self.board.open_length_mm()
    }

    /// Keeps what follows from the other fields in step with them.
    fn settle(&mut self) {
        let run = self.line.saddle_x_mm - self.line.nut_x_mm;
        let rise = self.line.saddle_mm - self.line.nut_mm;
        self.open_mm = (run * run + rise * rise).sqrt();
        self.open_slope = rise / run;
        self.kink = self.reaction_n / self.tension_n;
        self.per_whole = 1.0 / (self.open_mm + self.tails_mm);
        self.open_factor = factor_and_slope(self.open_stiffness(), 1.0, self.ends);
    }
}

/// Passes a banded value on when it lies from 0 to `most` and its band is in order.
fn banded(
    what: &'static str,
    band: Banded,
    unit: &'static str,
    most: f64,
) -> Result<Banded, OutOfRange> {
    let value = within(what, band.value, unit, 0.0, most)?;
    Ok(Banded {
        value,
        low: within(what, band.low, unit, -most, value)?.max(0.0),
        high: within(what, band.high, unit, value, 2.0 * most)?,
    })
}

#[cfg(test)]
mod tests;
