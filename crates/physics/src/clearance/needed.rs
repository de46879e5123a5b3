//! The heights that a pluck needs: the clearance the other way round.

use super::{MOST_OF_LENGTH, Pluck, lowest_shape};
use crate::press::StringOnBoard;

/// The lowest swing of one note under a player's pluck.
struct Swing {
    length: f64,
    from_saddle: f64,
    height: f64,
}

/// An open string over one fret: its underside there must not lie below `least`, and `share` is the fret's place on the way
/// from nut to saddle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpenOver {
    pub(crate) least: f64,
    pub(crate) share: f64,
}

impl OpenOver {
    /// The least height at the nut, in mm, for a height at the saddle: `(least - share saddle)/(1 - share)`.
    pub(crate) fn nut(&self, saddle: f64) -> f64 {
        (self.least - self.share * saddle) / (1.0 - self.share)
    }
}

impl StringOnBoard<'_> {
    fn swing(&self, length: f64, tension_n: f64, pluck: &Pluck) -> Swing {
        let p = pluck.from_saddle_mm.min(MOST_OF_LENGTH * length);
        let force_per_mm = tension_n * (1.0 / p + 1.0 / (length - p));
        Swing {
            length,
            from_saddle: p,
            height: pluck.force_n / force_per_mm,
        }
    }

    /// The least height of the saddle, in mm, at which a note of this tension stays clear of every fret ahead under the
    /// pluck: the greatest over them of `z_n + (z_m - z_n + depth_m)/t_m`, with `depth_m` the pluck's height times
    /// [`lowest_shape`] and `t_m` the fret's share of the way from the fret pressed to the saddle. The length that sounds is
    /// that of the present line. With no fret ahead it is the pressed fret's own height.
    pub(crate) fn saddle_needed(&self, n: usize, tension_n: f64, pluck: &Pluck) -> f64 {
        let (xs, zs) = (self.board.x_mm(), self.tops.z_mm());
        let at = |values: &[f64]| values.get(n).copied().unwrap_or(0.0);
        let (x, z) = (at(xs), at(zs));
        let run = self.line.saddle_x_mm - x;
        let length = run.hypot(self.line.saddle_mm - z);
        let swing = self.swing(length, tension_n, pluck);
        let ahead = xs.iter().zip(zs).skip(n + 1);
        ahead.fold(z, |least, (xm, zm)| {
            let from_stop = xm - x;
            let depth = swing.depth(from_stop, pluck);
            least.max(z + (zm - z + depth) * run / from_stop)
        })
    }

    /// What the open string needs over each fret under the pluck.
    pub(crate) fn open_needs(&self, pluck: &Pluck) -> impl Iterator<Item = OpenOver> {
        let swing = self.swing(self.open_mm, self.tension_n, pluck);
        let (nut_x, run) = (
            self.line.nut_x_mm,
            self.line.saddle_x_mm - self.line.nut_x_mm,
        );
        let ahead = self.board.x_mm().iter().zip(self.tops.z_mm());
        ahead
            .skip(self.board.first() + 1)
            .map(move |(x, z)| OpenOver {
                least: z + swing.depth(x - nut_x, pluck),
                share: (x - nut_x) / run,
            })
    }
}

impl Swing {
    fn depth(&self, from_stop: f64, pluck: &Pluck) -> f64 {
        self.height * lowest_shape(from_stop, self.length, self.from_saddle, pluck.release)
    }
}
