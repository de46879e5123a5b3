//! The whole trade: the least force of the finger for every headroom.

use super::seat::Seat;
use super::{Job, NoSolution, Solution, crown, relief_range, search, seats, total_at};
use crate::quantity::{Force, InBenchUnits, Length, mm, newtons};

/// One point of the trade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// The pluck that was to stay clear.
    pub pluck: Force,
    /// The hardest pluck that does: more where a limit of the shop keeps the strings higher than they need be, less where one
    /// keeps them too low.
    pub headroom: Force,
    /// The mean over the courses of the finger's mean force, as [`Solution::force`].
    pub force: Force,
    /// The depth of relief; none when there is no rod.
    pub relief: Option<Length>,
}

/// At so many of the plucks the relief is searched for; between them it is taken on a straight line, the heights exactly.
const KNOTS: usize = 5;

/// The least force for `points` plucks of even steps between two forces, the setbacks those of a solution.
///
/// # Errors
/// As [`super::solve`].
pub fn curve(
    job: &Job<'_>,
    solution: &Solution,
    [from, to]: [Force; 2],
    points: usize,
) -> Result<Vec<CurvePoint>, NoSolution> {
    let mut seats = seats(job)?;
    for (seat, solved) in seats.iter_mut().zip(&solution.courses) {
        seat.line = solved.line;
    }
    let (low, high) = (from.bench(), to.bench());
    let last = points.saturating_sub(1).max(1) as f64;
    let knots: Option<Vec<f64>> = match relief_range(job)? {
        None => None,
        Some((least, most)) => {
            let mut found = Vec::with_capacity(KNOTS);
            for knot in 0..KNOTS {
                let share = knot as f64 / (KNOTS - 1) as f64;
                pluck_with(&mut seats, low + (high - low) * share)?;
                found.push(search::least(&mut |r| total_at(&mut seats, r), least, most, 5e-3).0);
            }
            Some(found)
        }
    };
    let mut curve = Vec::with_capacity(points);
    for point in 0..points {
        let share = point as f64 / last;
        let pluck = low + (high - low) * share;
        pluck_with(&mut seats, pluck)?;
        let relief = knots.as_deref().map(|knots| between(knots, share));
        for (i, seat) in seats.iter_mut().enumerate() {
            if let Some(depth) = relief {
                seat.bend(depth);
            }
            seat.settle().ok_or(NoSolution::Silent(i))?;
        }
        if let Some(radius) = job.crown_radius {
            crown::settle(&mut seats, radius.bench(), crown::Look::DRAWN);
        }
        let count = seats.len() as f64;
        let headroom = seats.iter().map(|s| s.stands().headroom.bench());
        curve.push(CurvePoint {
            pluck: newtons(pluck),
            headroom: newtons(headroom.fold(f64::MAX, f64::min)),
            force: newtons(seats.iter().map(|s| s.force).sum::<f64>() / count),
            relief: relief.map(mm),
        });
    }
    Ok(curve)
}

fn pluck_with(seats: &mut [Seat<'_>], force: f64) -> Result<(), NoSolution> {
    for seat in seats {
        seat.pluck = seat.pluck.with_force(newtons(force))?;
    }
    Ok(())
}

/// A value at a share of the way along evenly spaced knots, on the straight line between two.
fn between(knots: &[f64], share: f64) -> f64 {
    let spaces = knots.len().saturating_sub(1) as f64;
    let place = (share * spaces).clamp(0.0, spaces);
    let whole = place.floor().min(spaces - 1.0).max(0.0);
    let at = |i: f64| {
        let same = |n: &usize| (*n as f64 - i).abs() < 0.5;
        let found = (0..knots.len()).find(same).and_then(|n| knots.get(n));
        found.copied().unwrap_or(0.0)
    };
    at(whole) + (at(whole + 1.0) - at(whole)) * (place - whole)
}
