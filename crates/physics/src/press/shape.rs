//! Where a string lies, point by point: for whoever draws it.

use super::{Pressed, StringOnBoard};
use crate::heights::StringLine;
use crate::quantity::{Length, mm};

/// A place of the side view: along the board from the scale's origin, and above the straight line over the fret tops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Along the board, towards the bridge.
    pub x: Length,
    /// Height, away from the board.
    pub z: Length,
}

impl Place {
    pub(crate) fn in_mm((x, z): (f64, f64)) -> Self {
        Self { x: mm(x), z: mm(z) }
    }
}

impl StringOnBoard<'_> {
    /// Length of the open string, from the nut's front edge to the saddle's crown.
    #[must_use]
    pub fn open_length(&self) -> Length {
        mm(self.open_mm)
    }
}

impl StringLine {
    /// Where it ends: at the nut's front edge and at the saddle's crown.
    #[must_use]
    pub fn ends(&self) -> [Place; 2] {
        [
            (self.nut_x_mm, self.nut_mm),
            (self.saddle_x_mm, self.saddle_mm),
        ]
        .map(Place::in_mm)
    }
}

impl Pressed<'_> {
    /// The corners of the string's underside at rest, from the nut's front edge to the saddle's crown: over any frets that
    /// it touches behind the finger, under the finger, over the fret. The open string has two.
    #[must_use]
    pub fn way(&self) -> Vec<Place> {
        let string = self.string;
        let nut = (string.line.nut_x_mm, string.line.nut_mm);
        let saddle = (string.line.saddle_x_mm, string.line.saddle_mm);
        let tops = |n: usize| Some((*string.board.x_mm().get(n)?, *string.tops.z_mm().get(n)?));
        let mut way = vec![nut];
        if let (false, Some(fret), Some(finger)) =
            (self.is_open(), tops(self.fret), self.finger_mm())
        {
            let mut next = string.board.first() + 1;
            let mut here = nut;
            // A taut string's next corner is the one seen steepest upwards from the last.
            loop {
                let rise = |to: (f64, f64)| (to.1 - here.1) / (to.0 - here.0);
                let corner = (next..self.fret)
                    .filter_map(|n| Some((n, tops(n)?)))
                    .filter(|(_, top)| rise(*top) > rise(finger))
                    .max_by(|a, b| rise(a.1).total_cmp(&rise(b.1)));
                let Some((n, top)) = corner else { break };
                way.push(top);
                (here, next) = (top, n + 1);
            }
            way.extend([finger, fret]);
        }
        way.push(saddle);
        way.into_iter().map(Place::in_mm).collect()
    }

    /// The string that is pressed.
    #[must_use]
    pub fn string(&self) -> &StringOnBoard<'_> {
        self.string
    }

    /// Where the finger holds the string. None for the open string.
    #[must_use]
    pub fn finger(&self) -> Option<Place> {
        self.finger_mm().map(Place::in_mm)
    }

    fn finger_mm(&self) -> Option<(f64, f64)> {
        let string = self.string;
        let x = string.board.x_mm().get(self.fret)?;
        let z = string.tops.z_mm().get(self.fret)?;
        let path = &self.path;
        (!self.is_open()).then(|| {
            let fall = path.finger * path.finger_sin / path.finger_cos;
            (x - path.finger, z - fall)
        })
    }

    /// The sines of the string's fall to the finger, from the nut's side and from the fret's: what [`Pressed::finger_force`]
    /// is made of. Both nothing for the open string.
    #[must_use]
    pub fn falls(&self) -> (f64, f64) {
        if self.is_open() {
            (0.0, 0.0)
        } else {
            (self.path.behind.last_sin, self.path.finger_sin)
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::fretboard::{Fretboard, Setbacks};
    use crate::heights::{FretTops, Gap, StringLine};
    use crate::press::StringOnBoard;
    use crate::quantity::{InBenchUnits, g_per_m, mm, newtons};
    use crate::strung::{Banded, Strung};

    #[test]
    fn the_corners_are_as_far_apart_as_the_string_is_long() {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        let mut tops = FretTops::straight(&board, mm(1.0)).unwrap();
        for (fret, by) in [(2, 0.35), (3, 0.3), (5, 0.2)] {
            tops = tops.with_departure(fret, mm(by)).unwrap();
        }
        let gaps = [(1, 0.6), (12, 2.6)].map(|(fret, gap)| Gap { fret, gap: mm(gap) });
        let line =
            StringLine::through_gaps(&board, &tops, Setbacks::in_mm(1.5, -0.3), gaps).unwrap();
        let strung = Strung {
            tension: newtons(45.0),
            mass_per_length: g_per_m(0.6),
            diameter: mm(0.8),
            kappa: Banded::exact(52.0),
            bending_length_mm: Banded::exact(1.4),
        };
        let string = StringOnBoard::new(&strung, &board, &tops, line).unwrap();
        let open = string.press(0).unwrap();
        assert_eq!(open.way().len(), 2);
        assert_eq!(open.finger(), None);
        let mut most = 0;
        // Nearer the nut the high frets ahead block the note.
        for fret in 6..=18 {
            let note = string.press(fret).unwrap();
            let way = note.way();
            let length: f64 = way
                .windows(2)
                .map(|w| (w[1].x - w[0].x).bench().hypot((w[1].z - w[0].z).bench()))
                .sum();
            let wanted = open.sounding_length().bench() * (1.0 + note.stretch());
            assert!((length - wanted).abs() < 1e-9, "{fret}: {length} {wanted}");
            assert_eq!(note.touches_behind().is_some(), way.len() > 4, "{fret}");
            most = most.max(way.len());
            let (before, behind) = note.falls();
            let force = note.tension().bench() * (before + behind);
            assert!((force - note.finger_force().bench()).abs() < 1e-9);
        }
        assert!(most > 5, "the high frets are corners");
    }
}
