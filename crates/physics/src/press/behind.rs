//! The taut way from the nut to the finger, over the frets between.

use super::StringOnBoard;

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
    pub(super) corner: (f64, f64),
    pub(super) to_corner: f64,
}

impl Behind {
    /// Goes on straight from the last corner to a point.
    pub(super) fn reach(&mut self, to: (f64, f64)) {
        let (dx, fall) = (to.0 - self.corner.0, self.corner.1 - to.1);
        let piece = (dx * dx + fall * fall).sqrt();
        let per_piece = 1.0 / piece;
        self.last_sin = fall * per_piece;
        if self.touched == 0 {
            self.first_cos = dx * per_piece;
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
    /// The corners of the taut way from the nut to a finger at a point behind fret `n`: none, or the frets that stand above
    /// the straight line (the convex hull of their tops). The way ends at the last of them.
    pub(super) fn corners(&self, n: usize, finger: (f64, f64)) -> Behind {
        let (xs, zs) = (self.board.x_mm(), self.tops.z_mm());
        let mut way = Behind {
            corner: (self.line.nut_x_mm, self.line.nut_mm),
            ..Behind::default()
        };
        let mut next = self.board.first() + 1;
        loop {
            let here = way.corner;
            let (mut there, mut fret) = (finger, n);
            let mut to = (there.0 - here.0, there.1 - here.1);
            // Mostly the way is straight, or turns at the fret just behind the finger: try that first.
            let before = n.saturating_sub(1).max(next);
            if let (Some(&x), Some(&z)) = (xs.get(before), zs.get(before))
                && before < n
                && (z - here.1) * to.0 > to.1 * (x - here.0)
            {
                (there, fret) = ((x, z), before);
                to = (x - here.0, z - here.1);
            }
            // Then the fret highest above the line to there, as long as there is one: the last found is the next corner.
            while let Some(highest) = highest_above(xs, zs, next..fret, here, to) {
                let (Some(&x), Some(&z)) = (xs.get(highest), zs.get(highest)) else {
                    break;
                };
                (there, fret) = ((x, z), highest);
                to = (x - here.0, z - here.1);
            }
            if fret == n {
                return way;
            }
            way.reach(there);
            way.turn(fret, there);
            next = fret + 1;
        }
    }
}

/// The fret of a range whose top stands highest above the line from a point on by `to`. None when none stands above.
fn highest_above(
    xs: &[f64],
    zs: &[f64],
    range: std::ops::Range<usize>,
    from: (f64, f64),
    to: (f64, f64),
) -> Option<usize> {
    let start = range.start;
    let above = heights_above(xs.get(range.clone())?, zs.get(range)?, from, to);
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

/// How high each top stands above the line from a point on by `to`, times `to`'s length along the board: what is asked
/// is its sign, and which is highest, and that needs no division.
pub(super) fn heights_above(
    xs: &[f64],
    zs: &[f64],
    from: (f64, f64),
    to: (f64, f64),
) -> impl Iterator<Item = f64> + Clone {
    xs.iter()
        .zip(zs)
        .map(move |(x, z)| (z - from.1) * to.0 - to.1 * (x - from.0))
}
