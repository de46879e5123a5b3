//! The lowest shape of a player's own pluck, point by point: for whoever draws it.

use super::{Pluck, corner};
use crate::press::{Place, Pressed};
use crate::quantity::InBenchUnits;

impl Pressed<'_> {
    /// The lowest that the underside comes under the player's pluck: the corners of [`super::lowest_shape`] times the
    /// pluck's height, from the nut or the fret to the saddle. It lies below fret tops where the string would touch them.
    #[must_use]
    pub fn lowest_swing(&self, pluck: &Pluck) -> [Place; 3] {
        let line = self.string.line;
        let saddle = (line.saddle_x_mm, line.saddle_mm);
        let stop = self.stop();
        let own = self.clearance(pluck);
        let along = corner(self.path.sounding, own.from_saddle.bench(), pluck.release);
        let slope = (saddle.1 - stop.1) / (saddle.0 - stop.0);
        let lowest = stop.1 + slope * along - own.pluck_height.bench();
        [stop, (stop.0 + along, lowest), saddle].map(Place::in_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clearance::Release;
    use crate::fretboard::{Fretboard, Setbacks};
    use crate::heights::{FretTops, Gap, Relief, StringLine};
    use crate::press::StringOnBoard;
    use crate::quantity::{g_per_m, mm, newtons};
    use crate::strung::{Banded, Strung};

    #[test]
    fn a_pluck_at_the_headroom_just_reaches_the_fret_that_is_named() {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        let tops = FretTops::relieved(&board, &Relief::over(mm(0.1), 7), mm(1.0)).unwrap();
        let gaps = [(1, 0.6), (12, 2.6)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
        let line =
            StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.5, 0.0), gaps).unwrap();
        let strung = Strung {
            tension: newtons(45.0),
            mass_per_length: g_per_m(0.6),
            diameter: mm(0.8),
            kappa: Banded::exact(52.0),
            bending_length_mm: Banded::exact(1.4),
        };
        let string = StringOnBoard::new(&strung, &board, &tops, line).unwrap();
        for release in [Release::Away, Release::Towards] {
            for fret in 0..18 {
                let note = string.press(fret).unwrap();
                let some = Pluck::new(newtons(1.0), mm(95.0), release).unwrap();
                let room = note.clearance(&some);
                let just = Pluck::new(room.headroom_force.unwrap(), mm(95.0), release).unwrap();
                let [stop, lowest, saddle] =
                    note.lowest_swing(&just).map(|p| (p.x.bench(), p.z.bench()));
                let height = |x: f64| {
                    let (a, b) = if x <= lowest.0 {
                        (stop, lowest)
                    } else {
                        (lowest, saddle)
                    };
                    a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
                };
                let over = |n: u32| {
                    height(board.position(n).unwrap().bench()) - tops.top(n).unwrap().bench()
                };
                let touched = room.worst_fret.unwrap();
                assert!(
                    over(touched).abs() < 2e-3,
                    "{fret} {touched} {}",
                    over(touched)
                );
                for ahead in fret + 1..=18 {
                    assert!(over(ahead) > -2e-3, "{fret} {ahead} {}", over(ahead));
                }
            }
        }
    }
}
