//! The swinging string and the frets ahead of it: how hard it can be plucked before it touches one.

pub(crate) mod needed;
mod swing;

use crate::press::{Blocked, Pressed, StringOnBoard};
use crate::quantity::{Force, InBenchUnits, Length, mm, newtons};
use crate::range::{OutOfRange, within};

/// Which way a plucked string was moved before it was let go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Release {
    /// Pulled away from the board.
    #[default]
    Away,
    /// Pushed towards the board: a rest stroke or a thumb.
    Towards,
}

/// A pluck: how hard, where, and which way. Built by [`Pluck::new`], which checks it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pluck {
    force_n: f64,
    from_saddle_mm: f64,
    release: Release,
}

impl Default for Pluck {
    /// 1.5 N at 95 mm from the saddle, let go from away of the board: common practice, without a source.
    fn default() -> Self {
        Self {
            force_n: 1.5,
            from_saddle_mm: 95.0,
            release: Release::Away,
        }
    }
}

impl Pluck {
    /// A pluck of a force at a place, measured from the saddle.
    ///
    /// # Errors
    /// [`OutOfRange`] for a force outside 0 to 100 N or a place outside 1 to 2000 mm.
    pub fn new(force: Force, from_saddle: Length, release: Release) -> Result<Self, OutOfRange> {
        Ok(Self {
            force_n: within("a pluck's force", force.bench(), "N", 0.0, 100.0)?,
            from_saddle_mm: within("a pluck's place", from_saddle.bench(), "mm", 1.0, 2000.0)?,
            release,
        })
    }

    /// The same pluck with another force.
    ///
    /// # Errors
    /// [`OutOfRange`] for a force outside 0 to 100 N.
    pub fn with_force(self, force: Force) -> Result<Self, OutOfRange> {
        Self::new(force, self.from_saddle(), self.release)
    }

    /// Its force.
    #[must_use]
    pub fn force(&self) -> Force {
        newtons(self.force_n)
    }

    /// Its place, from the saddle.
    #[must_use]
    pub fn from_saddle(&self) -> Length {
        mm(self.from_saddle_mm)
    }

    /// Which way it is let go.
    #[must_use]
    pub fn release(&self) -> Release {
        self.release
    }
}

/// A player's hand goes nearer the saddle on notes so high that the plucking place would come near the fretted end: the
/// place is taken as at most this share of the sounding length from the saddle. This project's own rule.
const MOST_OF_LENGTH: f64 = 0.75;

/// The lowest shape that a plucked string swings through, for a pluck of height 1: its depth below rest at a distance from
/// the stop (nut or fret), with `p` the pluck's distance from the saddle and `length` that of the sounding part.
///
/// A string let go without loss stays inside its own pluck triangle and that triangle turned about the string's middle.
/// Pulled away from the board, its lowest shape is the turned triangle, its corner at `p` from the stop; pushed towards the
/// board, it is the pluck triangle itself, its corner at `length - p` from the stop. Source: d'Alembert's solution of the
/// flexible string.
#[must_use]
pub fn lowest_shape(from_stop: f64, length: f64, p: f64, release: Release) -> f64 {
    let corner = corner(length, p, release);
    if from_stop <= corner {
        from_stop / corner
    } else {
        (length - from_stop) / (length - corner)
    }
}

/// Where the lowest shape has its corner, from the stop.
fn corner(length: f64, p: f64, release: Release) -> f64 {
    match release {
        Release::Away => p,
        Release::Towards => length - p,
    }
}

/// Sideways force that holds a string at height `a`, at `p` from one end: `F = T a (1/p + 1/(L - p))`.
///
/// Source: the two sides of a taut string at a corner, for heights small against their lengths.
#[must_use]
pub fn pluck_force(tension: Force, height: Length, from_saddle: Length, length: Length) -> Force {
    tension * (height / from_saddle + height / (length - from_saddle))
}

/// The height to which a force draws a string: the inverse of [`pluck_force`].
#[must_use]
pub fn pluck_height(tension: Force, force: Force, from_saddle: Length, length: Length) -> Length {
    force / tension * from_saddle * ((length - from_saddle) / length)
}

/// How much room a note has to swing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clearance {
    /// The headroom: the greatest height of pluck, at the plucking place, that stays clear of every fret ahead. None when
    /// no fret lies ahead.
    pub headroom: Option<Length>,
    /// The same as a force of the pluck. None when no fret lies ahead.
    pub headroom_force: Option<Force>,
    /// The fret that it would touch first. None when none lies ahead.
    pub worst_fret: Option<u32>,
    /// How high the player's own pluck draws this note.
    pub pluck_height: Length,
    /// The hardest pluck that leaves the string down on the fret it is pressed to; a harder one makes it chatter there.
    /// None for the open string, which its nut holds down by its break angle.
    pub chatter_force: Option<Force>,
    /// Where it was plucked, from the saddle.
    pub from_saddle: Length,
}

impl Clearance {
    /// Whether the player's pluck stays clear of the frets ahead.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.headroom.is_none_or(|room| room >= self.pluck_height)
    }
}

impl Pressed<'_> {
    /// The room that this note has when plucked so: the gap over each fret ahead, divided by [`lowest_shape`] there, the
    /// least of them.
    #[must_use]
    pub fn clearance(&self, pluck: &Pluck) -> Clearance {
        let length = self.path.sounding;
        let p = pluck.from_saddle_mm.min(MOST_OF_LENGTH * length);
        let tension = self.tension_n();
        let force_per_mm = tension * (1.0 / p + 1.0 / (length - p));
        let nearest = self.nearest(corner(length, p, pluck.release));
        Clearance {
            headroom: nearest.map(|(room, _)| mm(room)),
            headroom_force: nearest.map(|(room, _)| newtons(room * force_per_mm)),
            worst_fret: nearest.map(|(_, fret)| crate::press::number(fret)),
            pluck_height: mm(pluck.force_n / force_per_mm),
            chatter_force: (!self.is_open()).then(|| {
                // The steepest upward pull on the fret: the pluck's own side, or the turned triangle's.
                let lever = match pluck.release {
                    Release::Away => length - p,
                    Release::Towards => p,
                };
                newtons(self.reaction_n() / tension * lever * force_per_mm)
            }),
            from_saddle: mm(p),
        }
    }

    /// The least height of pluck, in mm, that reaches a fret ahead when the lowest shape has its corner so far from the
    /// stop, and that fret.
    fn nearest(&self, corner: f64) -> Option<(f64, usize)> {
        let string = self.string;
        let length = self.path.sounding;
        let (stop_x, stop_z) = self.stop();
        let slope = (string.line.saddle_mm - stop_z) / (string.line.saddle_x_mm - stop_x);
        let past = length - corner;
        let next = self.fret + 1;
        let xs = string.board.x_mm().get(next..).unwrap_or_default();
        let zs = string.tops.z_mm().get(next..).unwrap_or_default();
        let mut least = None;
        // The height as a fraction, so that comparing two needs no division.
        let (mut over, mut under) = (f64::INFINITY, 1.0);
        for (fret, (x, z)) in (next..).zip(xs.iter().zip(zs)) {
            let from_stop = x - stop_x;
            let gap = stop_z + slope * from_stop - z;
            let (reach, share) = if from_stop <= corner {
                (corner, from_stop)
            } else {
                (past, length - from_stop)
            };
            // On a straight board all frets before the corner are touched at once: the first of them is named.
            if gap * reach * under < over * share * (1.0 - 1e-9) {
                (over, under) = (gap * reach, share);
                least = Some(fret);
            }
        }
        least.map(|fret| ((over / under).max(0.0), fret))
    }

    /// Where the sounding part begins: the nut's front edge or the fret's top.
    fn stop(&self) -> (f64, f64) {
        let string = self.string;
        if self.is_open() {
            return (string.line.nut_x_mm, string.line.nut_mm);
        }
        let at = |values: &[f64]| values.get(self.fret).copied().unwrap_or(0.0);
        (at(string.board.x_mm()), at(string.tops.z_mm()))
    }
}

impl StringOnBoard<'_> {
    /// The clearance of one note; 0 is the open string.
    ///
    /// # Errors
    /// [`Blocked`], with the reason, when that note cannot sound.
    pub fn clearance(&self, fret: u32, pluck: &Pluck) -> Result<Clearance, Blocked> {
        Ok(self.press(fret)?.clearance(pluck))
    }
}

#[cfg(test)]
mod tests;
