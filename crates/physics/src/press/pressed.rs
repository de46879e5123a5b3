//! One note: a string pressed to a fret, or open.

use super::path::{Path, number};
use super::{Blocked, CentsPer, StringOnBoard};
use crate::quantity::{Cents, Force, Length, mm, newtons};

/// A string pressed to a fret (or open), at rest.
#[derive(Clone, Copy, Debug)]
pub struct Pressed<'a> {
    pub(crate) string: &'a StringOnBoard<'a>,
    pub(crate) fret: usize,
    pub(crate) path: Path,
}

impl<'a> Pressed<'a> {
    #[inline]
    pub(super) fn at(string: &'a StringOnBoard<'a>, fret: u32) -> Result<Self, Blocked> {
        let board = string.board;
        let first = board.first_fret();
        if fret == 0 {
            return Ok(Self {
                string,
                fret: board.first(),
                path: string.open_path()?,
            });
        }
        if fret <= first {
            return Err(Blocked::BehindNut { fret, first });
        }
        let fret = fret as usize;
        Ok(Self {
            string,
            fret,
            path: string.path(fret)?,
        })
    }

    /// Whether it is the open string.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.fret == self.string.board.first()
    }

    /// The fret pressed; 0 for the open string, on a short course too.
    #[must_use]
    pub fn fret(&self) -> u32 {
        if self.is_open() { 0 } else { number(self.fret) }
    }

    /// Frets between the nut and the one pressed, that one included.
    pub(crate) fn steps(&self) -> f64 {
        (self.fret - self.string.board.first()) as f64
    }

    /// Its error in cents against equal temperament counted from the open string: positive is sharp.
    #[must_use]
    pub fn cents(&self) -> Cents {
        Cents(self.string.cents(&self.path, self.steps()))
    }

    /// How that error moves with what it depends on.
    #[must_use]
    pub fn cents_per(&self) -> CentsPer {
        if self.is_open() {
            return CentsPer::default();
        }
        self.string.cents_per(&self.path)
    }

    /// Length of the part that sounds.
    #[must_use]
    pub fn sounding_length(&self) -> Length {
        mm(self.path.sounding)
    }

    /// Relative stretch `eps` against the open string.
    #[must_use]
    pub fn stretch(&self) -> f64 {
        self.path.stretch
    }

    /// Tension: `T_n = T0 (1 + kappa eps)`.
    #[must_use]
    pub fn tension(&self) -> Force {
        newtons(self.tension_n())
    }

    pub(crate) fn tension_n(&self) -> f64 {
        self.string.tension_n * self.path.tighter
    }

    /// Force of the finger: `F = T_n` times the sum of the sines of the string's fall to it on both sides. When the string
    /// lies on the wood ([`Pressed::on_wood`]) this is what it takes to get there; the board bears whatever is pressed more.
    /// Zero for the open string.
    #[must_use]
    pub fn finger_force(&self) -> Force {
        if self.is_open() {
            return newtons(0.0);
        }
        newtons(self.tension_n() * (self.path.behind.last_sin + self.path.finger_sin))
    }

    /// How hard the string bears on the fret: `R = T_n (sin of the fall behind it - sin of the rise ahead)`. Less than was
    /// asked for when the wood stops the finger. Zero for the open string.
    #[must_use]
    pub fn fret_reaction(&self) -> Force {
        newtons(self.reaction_n())
    }

    pub(crate) fn reaction_n(&self) -> f64 {
        if self.is_open() {
            return 0.0;
        }
        self.tension_n() * (self.path.finger_sin - self.path.sin).max(0.0)
    }

    /// Whether the string lies on the wood under the finger.
    #[must_use]
    pub fn on_wood(&self) -> bool {
        self.path.on_wood
    }

    /// The last fret behind the finger that the string touches on its way from the nut. None when it runs free.
    #[must_use]
    pub fn touches_behind(&self) -> Option<u32> {
        (self.path.behind.touched > 0).then(|| number(self.path.behind.touched))
    }
}
