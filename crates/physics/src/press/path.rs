//! The taut path of a pressed string, in plain millimetres.

use super::{Blocked, StringOnBoard};

/// The share of the space behind a fret that a finger may lie back at most.
const MOST_OF_SPACE: f64 = 0.5;
/// Passes over the finger's height, and how near the tension must come, as a share. Each pass corrects the tension by
/// Newton's rule from the one before: the second leaves about a part in 10^8.
const PASSES: usize = 4;
const SETTLED: f64 = 1e-7;
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
    /// The nut, or the last fret touched: its place and height, and the length of the way up to it.
    corner: (f64, f64),
    to_corner: f64,
}

impl Behind {
    /// Goes on straight from the last corner to a point.
    fn reach(&mut self, to: (f64, f64)) {
        let (dx, fall) = (to.0 - self.corner.0, self.corner.1 - to.1);
        let piece = (dx * dx + fall * fall).sqrt();
        self.last_sin = fall / piece;
        if self.touched == 0 {
            self.first_cos = dx / piece;
            self.first_sin = self.last_sin;
        }
        self.length = self.to_corner + piece;
    }

    /// Makes the point reached, the top of a fret, the last corner.
    fn turn(&mut self, fret: usize, at: (f64, f64)) {
        self.touched = fret;
        self.corner = at;
        self.to_corner = self.length;
    }
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
        let ahead = heights_above(
            xs.get(n + 1..).unwrap_or_default(),
            zs.get(n + 1..).unwrap_or_default(),
            (x, z),
            rise / run,
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
        for pass in 0..PASSES {
            let wanted = (sin + self.reaction_n / (self.tension_n * path.tighter)).min(STEEPEST);
            path.finger_sin = wanted;
            path.finger_cos = (1.0 - wanted * wanted).sqrt();
            let mut piece = finger / path.finger_cos;
            let mut fall = piece * wanted;
            path.on_wood = z - fall < wood;
            if path.on_wood {
                fall = z - wood;
                piece = (finger * finger + fall * fall).sqrt();
                path.finger_sin = fall / piece;
                path.finger_cos = finger / piece;
            }
            // Later passes move the finger by less than a hundredth of a millimetre: the frets touched stay the same, or
            // as good as the same.
            if pass == 0 {
                path.behind = self.behind(n, (x - finger, z - fall));
            } else {
                path.behind.reach((x - finger, z - fall));
            }
            let length = path.behind.length + piece + sounding;
            path.stretch = ((length - self.open_mm) / whole).max(0.0);
            let tighter = 1.0 + self.kappa.value * path.stretch;
            let off = tighter - path.tighter;
            if path.on_wood || self.reaction_n == 0.0 || off.abs() < SETTLED * tighter {
                path.tighter = tighter;
                break;
            }
            path.tighter += off / (1.0 + self.kappa.value * self.easing(&path) / whole);
        }
        if path.on_wood && path.finger_sin < sin {
            return Err(Blocked::WoodFirst { fret });
        }
        Ok(path)
    }

    /// How fast the path shortens, in mm for a share of tension, because a tighter string needs less fall for the same
    /// reaction; nothing where the wood holds it.
    pub(crate) fn easing(&self, path: &Path) -> f64 {
        path.steeper() * self.reaction_n / (self.tension_n * path.tighter * path.tighter)
    }

    /// The taut way from the nut to a finger at a point behind fret `n`: straight, or over the frets that stand above the
    /// straight line (the convex hull of their tops).
    fn behind(&self, n: usize, finger: (f64, f64)) -> Behind {
        let (xs, zs) = (self.board.x_mm(), self.tops.z_mm());
        let mut way = Behind {
            corner: (self.line.nut_x_mm, self.line.nut_mm),
            ..Behind::default()
        };
        let mut next = self.board.first() + 1;
        loop {
            let here = way.corner;
            let slope = |to: (f64, f64)| (to.1 - here.1) / (to.0 - here.0);
            let (mut there, mut fret) = (finger, n);
            let mut rise = slope(there);
            // Mostly the way is straight, or turns at the fret just behind the finger: try that first.
            let before = n.saturating_sub(1).max(next);
            if let (Some(&x), Some(&z)) = (xs.get(before), zs.get(before))
                && before < n
                && z > here.1 + rise * (x - here.0)
            {
                (there, fret) = ((x, z), before);
                rise = slope(there);
            }
            // Then the fret highest above the line to there, as long as there is one: the last found is the next corner.
            while let Some(highest) = highest_above(xs, zs, next..fret, here, rise) {
                let (Some(&x), Some(&z)) = (xs.get(highest), zs.get(highest)) else {
                    break;
                };
                (there, fret) = ((x, z), highest);
                rise = slope(there);
            }
            way.reach(there);
            if fret == n {
                return way;
            }
            way.turn(fret, there);
            next = fret + 1;
        }
    }
}

/// The fret of a range whose top stands highest above a line through `from` with slope `rise`. None when none stands above.
fn highest_above(
    xs: &[f64],
    zs: &[f64],
    range: std::ops::Range<usize>,
    from: (f64, f64),
    rise: f64,
) -> Option<usize> {
    let start = range.start;
    let above = heights_above(xs.get(range.clone())?, zs.get(range)?, from, rise);
    // Usually none does, and to see that is quicker than to look for the highest.
    if !above.clone().fold(false, |any, h| any | (h > 0.0)) {
        return None;
    }
    let mut highest = (0.0, None);
    for (k, h) in (start..).zip(above) {
        if h > highest.0 {
            highest = (h, Some(k));
        }
    }
    highest.1
}

/// How high each top stands above a line through `from` with slope `rise`.
fn heights_above(
    xs: &[f64],
    zs: &[f64],
    from: (f64, f64),
    rise: f64,
) -> impl Iterator<Item = f64> + Clone {
    xs.iter()
        .zip(zs)
        .map(move |(x, z)| z - from.1 - rise * (x - from.0))
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
