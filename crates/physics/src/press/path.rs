//! The taut path of a pressed string, in plain millimetres.

use super::behind::{Behind, heights_above};
use super::{Blocked, StringOnBoard};

/// The share of the space behind a fret that a finger may lie back at most.
const MOST_OF_SPACE: f64 = 0.5;
/// Most exact passes over the finger's height, and how near the tension must come to the one before, as a share: the fret
/// then bears what was asked for to as much.
const PASSES: usize = 6;
const SETTLED: f64 = 1e-6;
/// No press bends a string more steeply than this at the fret (as a sine).
const STEEPEST: f64 = 0.9;

/// A pressed string's shape.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Path {
    /// From fret to saddle: length, and the sine and cosine of its rise.
    pub(crate) sounding: f64,
    pub(crate) sin: f64,
    pub(crate) cos: f64,
    /// Relative stretch, and `T_n/T0 = 1 + kappa stretch`.
    pub(crate) stretch: f64,
    pub(crate) tighter: f64,
    /// The way from the nut to the finger.
    pub(crate) behind: Behind,
    /// Finger to fret: how far behind, and sine and cosine of the rise; flat where nothing is pressed.
    pub(crate) finger: f64,
    pub(crate) finger_sin: f64,
    pub(crate) finger_cos: f64,
    /// Whether the wood stopped the finger.
    pub(crate) on_wood: bool,
}

impl StringOnBoard<'_> {
    /// The open string's shape.
    pub(crate) fn open_path(&self) -> Result<Path, Blocked> {
        let first = self.board.first();
        let (x, z) = (self.board.x_mm(), self.tops.z_mm());
        for (on, (x, z)) in x.iter().zip(z).enumerate().skip(first + 1) {
            if self.line.height_mm(*x) <= *z {
                return Err(if self.line.saddle_mm <= *z {
                    Blocked::SaddleLow { fret: number(on) }
                } else {
                    Blocked::OpenLiesOn { on: number(on) }
                });
            }
        }
        let run = self.line.saddle_x_mm - self.line.nut_x_mm;
        Ok(Path {
            sounding: self.open_mm,
            sin: (self.line.saddle_mm - self.line.nut_mm) / self.open_mm,
            cos: run / self.open_mm,
            stretch: 0.0,
            tighter: 1.0,
            behind: Behind::default(),
            finger: 0.0,
            finger_sin: 0.0,
            finger_cos: 1.0,
            on_wood: false,
        })
    }

    /// The shape when pressed at fret `n`, which is one in front of the nut.
    ///
    /// Behind the fret the string falls to the finger with `sin = sin(rise to the saddle) + R/T_n`, so that it bears on the
    /// fret with `R`; the stretch is `path/open path - 1`, shared with the tails where they slip.
    pub(crate) fn path(&self, n: usize) -> Result<Path, Blocked> {
        let fret = number(n);
        let (xs, zs) = (self.board.x_mm(), self.tops.z_mm());
        let (Some(&x), Some(&z)) = (xs.get(n), zs.get(n)) else {
            return Err(Blocked::NoSuchFret {
                fret,
                frets: self.board.frets(),
            });
        };
        let before = n
            .checked_sub(1)
            .and_then(|p| xs.get(p))
            .copied()
            .unwrap_or(0.0);
        let run = self.line.saddle_x_mm - x;
        let rise = self.line.saddle_mm - z;
        if rise <= 0.0 {
            return Err(Blocked::SaddleLow { fret });
        }
        if self.line.nut_mm + self.open_slope * (x - self.line.nut_x_mm) <= z {
            return Err(Blocked::FretHigh { fret });
        }
        let ahead = heights_above(
            xs.get(n + 1..).unwrap_or_default(),
            zs.get(n + 1..).unwrap_or_default(),
            (x, z),
            (run, rise),
        );
        if ahead.clone().fold(false, |any, h| any | (h >= 0.0)) {
            let on = ahead
                .zip(n + 1..)
                .find(|(h, _)| *h >= 0.0)
                .map_or(n, |(_, on)| on);
            return Err(Blocked::LiesOnAhead {
                fret,
                on: number(on),
            });
        }
        let sounding = (run * run + rise * rise).sqrt();
        let per_sounding = 1.0 / sounding;
        let (sin, cos) = (rise * per_sounding, run * per_sounding);
        let space = x - before;
        let finger = self.finger_mm.min(MOST_OF_SPACE * space);
        let lowest = z - self.tops.wood_mm(n, 1.0 - finger / space);
        let mut path = Path {
            sounding,
            sin,
            cos,
            stretch: 0.0,
            tighter: 1.0,
            behind: Behind::default(),
            finger,
            finger_sin: sin,
            finger_cos: 1.0,
            on_wood: false,
        };
        // A first look with the open tension, and slopes taken as small, tells the frets touched and, nearly, the tension.
        let wanted = (sin + self.kink).min(STEEPEST);
        let fall = (finger * wanted * (1.0 + 0.5 * wanted * wanted)).min(lowest);
        path.behind = self.corners(n, (x - finger, z - fall));
        let mut tighter = self.first_look(&path, (x - finger, z - fall), wanted);
        for _ in 0..PASSES {
            let wanted = (sin + self.kink / tighter).min(STEEPEST);
            path.finger_sin = wanted;
            path.finger_cos = (1.0 - wanted * wanted).sqrt();
            let mut piece = finger / path.finger_cos;
            let mut fall = piece * wanted;
            path.on_wood = fall > lowest;
            if path.on_wood {
                fall = lowest;
                piece = (finger * finger + fall * fall).sqrt();
                if piece > 0.0 {
                    path.finger_sin = fall / piece;
                    path.finger_cos = finger / piece;
                }
            }
            path.behind.reach((x - finger, z - fall));
            let length = path.behind.length + piece + sounding;
            path.stretch = ((length - self.open_mm) * self.per_whole).max(0.0);
            path.tighter = 1.0 + self.kappa.value * path.stretch;
            let off = path.tighter - tighter;
            if path.on_wood || self.kink == 0.0 || off.abs() < SETTLED * tighter {
                break;
            }
            tighter += off / (1.0 + self.kappa.value * self.easing(&path) * self.per_whole);
        }
        if path.on_wood && path.finger_sin < sin {
            return Err(Blocked::WoodFirst { fret });
        }
        Ok(path)
    }

    /// The tension, as a share of the open one, that a path comes to whose fall to the finger is `wanted` at the open
    /// tension: lengths to the fourth order of their slopes, and the fall eased by the tension that it makes.
    fn first_look(&self, path: &Path, finger: (f64, f64), wanted: f64) -> f64 {
        let back = path.finger;
        let (dx, fall) = (
            finger.0 - path.behind.corner.0,
            path.behind.corner.1 - finger.1,
        );
        let slope = fall * (1.0 / dx);
        let w2 = wanted * wanted;
        let length = path.behind.to_corner
            + dx
            + 0.5 * fall * slope * (1.0 - 0.25 * slope * slope)
            + back * (1.0 + 0.5 * w2 * (1.0 + 0.75 * w2))
            + path.sounding;
        let kappa = self.kappa.value * self.per_whole;
        let more = kappa * (length - self.open_mm).max(0.0);
        1.0 + more / (1.0 + kappa * self.kink * back * (slope + wanted).max(0.0))
    }

    /// How fast the path shortens, in mm for a share of tension, because a tighter string needs less fall for the same
    /// reaction; nothing where the wood holds it.
    pub(crate) fn easing(&self, path: &Path) -> f64 {
        path.steeper() * self.kink / (path.tighter * path.tighter)
    }
}

impl Path {
    /// How much a steeper fall to the finger lengthens the path, in mm for each unit of its sine; nothing where the wood
    /// holds it.
    pub(crate) fn steeper(&self) -> f64 {
        if self.on_wood {
            return 0.0;
        }
        let cos = self.finger_cos;
        (self.behind.last_sin + self.finger_sin) * self.finger / (cos * cos * cos)
    }
}

/// A fret's number as the world counts it; boards have few frets.
pub(crate) fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
