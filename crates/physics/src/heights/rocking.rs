//! High frets found with a short straightedge that spans three frets.

use crate::fretboard::Fretboard;
use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};

/// One reading of a rocker: a short straightedge over a fret and its two neighbours that stands on the middle one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rocking {
    /// The middle fret, on which it rocks.
    pub fret: u32,
    /// The gap under its far end, over the next fret, while it lies on the middle fret and the one before.
    pub gap: Length,
}

/// How far each fret read stands above the board's smooth line, in the order given.
///
/// A rocker on frets `n - 1` and `n` stands `g` over fret `n + 1`, so fret `n` stands
/// `g (x_n - x_(n-1))/(x_(n+1) - x_(n-1))` over the straight line of its neighbours. Frets that were not read count as
/// smooth; neighbours that were both read are solved together. Source: similar triangles. The dip of a relief between three
/// frets, a few thousandths of a millimetre, is left out.
///
/// # Errors
/// [`OutOfRange`] for a fret without two neighbours, or a gap outside 0 to 5 mm.
pub fn departures_of_rocking(
    board: &Fretboard,
    readings: &[Rocking],
) -> Result<Vec<Length>, OutOfRange> {
    let x = board.x_mm();
    let mut rows: Vec<(usize, f64, f64)> = Vec::with_capacity(readings.len());
    for reading in readings {
        let last = f64::from(board.frets()) - 1.0;
        within(
            "a rocker's middle fret",
            f64::from(reading.fret),
            "",
            2.0,
            last,
        )?;
        let gap = within("a rocker's gap", reading.gap.bench(), "mm", 0.0, 5.0)?;
        let n = reading.fret as usize;
        let at = |n: usize| x.get(n).copied().unwrap_or(0.0);
        let share = (at(n) - at(n - 1)) / (at(n + 1) - at(n - 1));
        rows.push((n, gap * share, share));
    }
    let mut stands: Vec<f64> = rows.iter().map(|row| row.1).collect();
    // Each neighbour counts by about a half, so the sums settle quickly; readings of one fret twice share one row.
    for _ in 0..200 {
        for i in 0..rows.len() {
            let Some(&(n, over, share)) = rows.get(i) else {
                continue;
            };
            let of = |fret: usize| {
                let place = rows.iter().position(|row| row.0 == fret);
                place.and_then(|p| stands.get(p)).copied().unwrap_or(0.0)
            };
            let chord = of(n - 1) * (1.0 - share) + of(n + 1) * share;
            if let Some(stand) = stands.get_mut(i) {
                *stand = over + chord;
            }
        }
    }
    Ok(stands.into_iter().map(mm).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_made_from_known_frets_give_them_back() {
        let board = Fretboard::new(mm(381.0), 18).unwrap();
        let mut z = [0.0; 19];
        (z[7], z[8], z[12]) = (0.15, 0.22, 0.1);
        let x = board.x_mm();
        let readings: Vec<Rocking> = [7, 8, 12]
            .into_iter()
            .map(|n: u32| {
                let i = n as usize;
                let rise = (z[i] - z[i - 1]) / (x[i] - x[i - 1]);
                let over = z[i - 1] + rise * (x[i + 1] - x[i - 1]) - z[i + 1];
                Rocking {
                    fret: n,
                    gap: mm(over.max(0.0)),
                }
            })
            .collect();
        let found = departures_of_rocking(&board, &readings).unwrap();
        // Fret 8 hides part of fret 7, whose rocker therefore shows less; solved together they come out.
        for (reading, stand) in readings.iter().zip(&found) {
            let wanted = z[reading.fret as usize];
            let hidden = reading.gap.bench() == 0.0;
            assert!(
                hidden || (stand.bench() - wanted).abs() < 1e-9,
                "{reading:?} {stand:?}"
            );
        }
        let at = |fret, gap| departures_of_rocking(&board, &[Rocking { fret, gap: mm(gap) }]);
        assert!(at(1, 0.1).is_err() && at(18, 0.1).is_err() && at(5, f64::NAN).is_err());
        assert!(at(5, 6.0).is_err());
    }
}
