//! A saddle whose crown is one circle: the courses' heights are then a height, a tilt and the circle.

use super::search::least;
use super::seat::Seat;
use crate::heights::sagitta_mm;

/// Between the outer courses a saddle is tilted by no more than this, in mm.
const MOST_TILT_MM: f64 = 6.0;

/// How near to look, in mm of height and of tilt.
#[derive(Clone, Copy)]
pub(super) struct Look {
    inner: f64,
    tilt: f64,
    last: f64,
}

impl Look {
    /// As near as a solution is wanted.
    pub(super) const CLOSE: Self = Self {
        inner: 1e-4,
        tilt: 1e-4,
        last: 1e-7,
    };
    /// As near as a drawn line shows.
    pub(super) const DRAWN: Self = Self {
        inner: 1e-2,
        tilt: 2e-2,
        last: 1e-3,
    };
}

/// The crown's own part of a course's height: the circle's fall there, and where the course's frets lie.
fn shape(seat: &Seat<'_>, middle: f64, radius: f64) -> f64 {
    -sagitta_mm(radius, seat.across - middle) - seat.frame
}

/// Sets all courses on one circle for the least force: the height and the tilt are searched, each course's slot as low as it
/// may be. A course beyond its limits is brought as near to them as the others allow.
pub(super) fn settle(seats: &mut [Seat<'_>], radius: f64, look: Look) {
    let across = seats.iter().map(|seat| seat.across);
    let (left, right) = across.fold((f64::MAX, f64::MIN), |(l, r), a| (l.min(a), r.max(a)));
    let (middle, half) = (f64::midpoint(left, right), (right - left) / 2.0);
    let own: Vec<(f64, f64, f64, f64)> = seats
        .iter()
        .map(|seat| {
            let arm = if half > 0.0 {
                (seat.across - middle) / half
            } else {
                0.0
            };
            let low = seat.needed.max(seat.least);
            (arm, shape(seat, middle, radius), low, seat.most)
        })
        .collect();
    // The lowest height in the middle at which no course is too low, for a tilt, and by how much one is then too high.
    let lowest = |tilt: f64| {
        let need = |o: &(f64, f64, f64, f64)| o.2 - tilt * o.0 - o.1;
        own.iter().map(need).fold(f64::MIN, f64::max)
    };
    let beyond = |tilt: f64, height: f64| -> f64 {
        let over = |o: &(f64, f64, f64, f64)| (height + tilt * o.0 + o.1 - o.3).max(0.0);
        own.iter().map(over).sum()
    };
    let total = |tilt: f64, height: f64| {
        let force = seats.iter().zip(&own);
        let sum: f64 = force
            .map(|(seat, o)| seat.force_at(height + tilt * o.0 + o.1))
            .sum();
        sum + super::BEYOND * beyond(tilt, height)
    };
    let highest_gain = seats
        .iter()
        .zip(&own)
        .map(|(seat, o)| seat.highest_useful(o.2) - o.2)
        .fold(0.0, f64::max);
    let best_height = |tilt: f64, tolerance: f64| {
        let low = lowest(tilt);
        least(
            &mut |height| total(tilt, height),
            low,
            low + highest_gain,
            tolerance,
        )
    };
    let most = if half > 0.0 { MOST_TILT_MM / 2.0 } else { 0.0 };
    let coarse = least(&mut |tilt| best_height(tilt, 0.04).1, -most, most, 0.1).0;
    let near = 0.2_f64.min(most);
    let mut f = |tilt: f64| best_height(tilt, look.inner).1;
    let tilt = least(&mut f, coarse - near, coarse + near, look.tilt).0;
    let height = best_height(tilt, look.last).0;
    let places: Vec<f64> = own.iter().map(|o| height + tilt * o.0 + o.1).collect();
    for (seat, place) in seats.iter_mut().zip(places) {
        let alone = seat.line.saddle_mm;
        // A height at which nothing sounds keeps the course's own.
        if seat.stand_at(place).is_some() {
            seat.is_at_crown = (place - alone).abs() > 1e-4;
            seat.short = seat.short.max(place - seat.most);
        }
    }
}
