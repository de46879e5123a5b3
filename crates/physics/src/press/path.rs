//! The taut path of a pressed string, in plain millimetres.

use super::{Blocked, StringOnBoard};

/// The share of the space behind a fret that a finger may lie back at most.
const MOST_OF_SPACE: f64 = 0.5;
/// Passes over the finger's height. Each takes the tension of the one before; the error falls about a thousandfold.
const PASSES: usize = 6;
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

/// The way from the nut to the finger, over any frets that it touches.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Behind {
    pub(crate) length: f64,
    /// Of the first piece, at the nut: cosine, and sine of its fall.
    pub(crate) first_cos: f64,
    pub(crate) first_sin: f64,
    /// Sine of the fall of the last piece, to the finger.
    pub(crate) last_sin: f64,
    /// The last fret touched; 0 for none.
    pub(crate) touched: usize,
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
        if self.line.height_mm(x) <= z {
            return Err(Blocked::FretHigh { fret });
        }
        let slope = rise / run;
        for (on, (xa, za)) in xs.iter().zip(zs).enumerate().skip(n + 1) {
            if z + slope * (xa - x) <= *za {
                return Err(Blocked::LiesOnAhead {
                    fret,
                    on: number(on),
                });
            }
        }
        let sounding = (run * run + rise * rise).sqrt();
        let sin = rise / sounding;
        let space = x - before;
        let finger = self.finger_mm.min(MOST_OF_SPACE * space);
        let wood = self.tops.wood_mm(n, 1.0 - finger / space);
        let whole = self.open_mm + self.tails_mm;
        let mut path = Path {
            sounding,
            sin,
            cos: run / sounding,
            stretch: 0.0,
            tighter: 1.0,
            behind: Behind::default(),
            finger,
            finger_sin: sin,
            finger_cos: 1.0,
            on_wood: false,
        };
        for _ in 0..PASSES {
            let wanted = (sin + self.reaction_n / (self.tension_n * path.tighter)).min(STEEPEST);
            let mut fall = finger * wanted / (1.0 - wanted * wanted).sqrt();
            path.on_wood = z - fall < wood;
            if path.on_wood {
                fall = z - wood;
            }
            let piece = (finger * finger + fall * fall).sqrt();
            if piece > 0.0 {
                path.finger_sin = fall / piece;
                path.finger_cos = finger / piece;
            } else {
                path.finger_sin = wanted;
                path.finger_cos = (1.0 - wanted * wanted).sqrt();
            }
            path.behind = self.behind(n, x - finger, z - fall);
            let length = path.behind.length + piece + sounding;
            path.stretch = ((length - self.open_mm) / whole).max(0.0);
            let tighter = 1.0 + self.kappa.value * path.stretch;
            let settled = (tighter - path.tighter).abs() < 1e-12 * tighter;
            path.tighter = tighter;
            if settled || path.on_wood || self.reaction_n == 0.0 {
                break;
            }
        }
        if path.on_wood && path.finger_sin < sin {
            return Err(Blocked::WoodFirst { fret });
        }
        Ok(path)
    }

    /// The taut way from the nut to a finger at a place behind fret `n`: straight, or over the frets that stand above the
    /// straight line (the convex hull of their tops).
    fn behind(&self, n: usize, finger_x: f64, finger_z: f64) -> Behind {
        let (nut_x, nut_z) = (self.line.nut_x_mm, self.line.nut_mm);
        let straight = (finger_z - nut_z) / (finger_x - nut_x);
        let between = self.board.first() + 1..n;
        let (xs, zs) = (self.board.x_mm(), self.tops.z_mm());
        let above = |k: usize| match (xs.get(k), zs.get(k)) {
            (Some(x), Some(z)) => z - nut_z > straight * (x - nut_x),
            _ => false,
        };
        let (dx, fall) = (finger_x - nut_x, nut_z - finger_z);
        if !between.clone().any(above) {
            let length = (dx * dx + fall * fall).sqrt();
            return Behind {
                length,
                first_cos: dx / length,
                first_sin: fall / length,
                last_sin: fall / length,
                touched: 0,
            };
        }
        let mut way = Behind::default();
        let (mut x, mut z, mut from) = (nut_x, nut_z, between.start);
        loop {
            // The next corner is the one seen steepest upwards from here.
            let (mut next_x, mut next_z, mut next) = (finger_x, finger_z, n);
            let mut steepest = (finger_z - z) / (finger_x - x);
            for k in from..n {
                if let (Some(&xk), Some(&zk)) = (xs.get(k), zs.get(k)) {
                    let slope = (zk - z) / (xk - x);
                    if slope > steepest {
                        (steepest, next_x, next_z, next) = (slope, xk, zk, k);
                    }
                }
            }
            let (dx, fall) = (next_x - x, z - next_z);
            let piece = (dx * dx + fall * fall).sqrt();
            if way.length == 0.0 {
                way.first_cos = dx / piece;
                way.first_sin = fall / piece;
            }
            way.length += piece;
            way.last_sin = fall / piece;
            if next == n {
                return way;
            }
            way.touched = next;
            (x, z, from) = (next_x, next_z, next + 1);
        }
    }
}

/// A fret's number as the world counts it; boards have few frets.
pub(crate) fn number(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
