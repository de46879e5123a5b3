//! What action trades: the heights and setbacks that keep every note clear under a pluck, and within a limit of cents, for the
//! least force of the finger; and the whole curve of that force against headroom.
//!
//! The force that is made least is [`Stand::force`]: the mean over frets 1 to 12 in front of each course's nut, the strings of
//! a course together, averaged over the courses. Lower strings always take less force, so the answer lies on what stops
//! them: a fret that the pluck would touch, or a limit of the shop. Gaps are linear in the heights at nut and saddle, so
//! for each height of the saddle the lowest slot follows at once; what is searched is the height of the saddle alone, along
//! the corners of that line. Courses meet only in the relief and in a saddle whose crown must be one circle.
//!
//! Setbacks do not serve to save force: each course's contact point goes where it is best in tune, within its limits.

mod bridge_top;
mod crown;
mod curve;
mod loosen;
mod search;
mod seat;
mod setbacks;
mod stand;

pub use bridge_top::{HeldDown, least_at_saddle};
pub use curve::{CurvePoint, curve};
pub use loosen::Loosen;
pub use stand::{Stand, stand};

use crate::clearance::Pluck;
use crate::fretboard::Fretboard;
use crate::heights::{FretTops, Relief, StringLine};
use crate::intonation::NutRule;
use crate::press::Press;
use crate::quantity::{Cents, Force, InBenchUnits, Length, mm, newtons};
use crate::range::{OutOfRange, within};
use crate::strung::Strung;
use seat::Seat;

/// What stops the heights of a course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseLimits {
    /// How far the slot must stay over the level of the fret tops at the nut (the board's smooth line).
    pub slot_floor: Length,
    /// Least height of the string at the saddle over the line of the fret tops. None when nothing stops it.
    pub saddle_least: Option<Length>,
    /// Most height of the string at the saddle. None when nothing stops it.
    pub saddle_most: Option<Length>,
    /// Least and most saddle setback that the blank allows. None when it is not known.
    pub setback: Option<(Length, Length)>,
}

/// A course to be set.
#[derive(Clone, Debug)]
pub struct CourseJob<'a> {
    /// The board under it.
    pub board: &'a Fretboard,
    /// The fret tops as they are to be left, at the relief as found.
    pub tops: &'a FretTops,
    /// The string's line as found.
    pub line: StringLine,
    /// Its different strings, each with how many such there are.
    pub strings: &'a [(Strung, u32)],
    /// How a finger presses.
    pub press: Press,
    /// The pluck that must stay clear.
    pub pluck: Pluck,
    /// What stops it.
    pub limits: CourseLimits,
    /// Its place across the saddle.
    pub across: Length,
    /// How high its own line of fret tops lies at the saddle against that of the board's middle: negative on the outside of a
    /// board with camber.
    pub frame: Length,
}

/// A relief that may be changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReliefRange {
    /// The relief as found: its shape, and where it was measured.
    pub found: Relief,
    /// The least depth.
    pub least: Length,
    /// The most.
    pub most: Length,
}

/// An instrument to be set.
#[derive(Clone, Debug)]
pub struct Job<'a> {
    /// Its courses.
    pub courses: Vec<CourseJob<'a>>,
    /// The relief, when there is a rod to change it. None leaves it as found.
    pub relief: Option<ReliefRange>,
    /// The radius to which the saddle's crown must be filed. None lets each course have its own height.
    pub crown_radius: Option<Length>,
    /// The most cents by which a note of frets 1 to 12 may be off.
    pub cents_limit: Cents,
    /// Whether the nut's edge may move.
    pub nut: NutRule,
}

/// Something that stops a course from being lower.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binds {
    /// The open string would touch this fret.
    OpenClear {
        /// The fret that it would touch.
        touches: u32,
    },
    /// A fretted note would touch a fret ahead.
    FrettedClear {
        /// The fret pressed.
        fret: u32,
        /// The fret that it would touch.
        touches: u32,
    },
    /// The slot is at its floor.
    SlotFloor,
    /// The saddle is as low as it may be.
    SaddleLeast,
    /// The saddle is as high as it may be.
    SaddleMost,
    /// The contact point is at an edge of the blank.
    Blank,
    /// The cents.
    Cents,
    /// The saddle's crown must be one circle.
    Crown,
}

/// A course as it should be left.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// The string's line.
    pub line: StringLine,
    /// What it does there.
    pub stand: Stand,
    /// What stops it from being lower.
    pub binds: Vec<Binds>,
}

/// An instrument as it should be left.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// The depth of relief. None when there is no rod: as found.
    pub relief: Option<Length>,
    /// The fret tops under each course at that relief.
    pub tops: Vec<FretTops>,
    /// The courses, in the job's order.
    pub courses: Vec<Solved>,
    /// The mean over the courses of the finger's mean force.
    pub force: Force,
    /// What to loosen where the limits cannot all be met; each entry alone would do, or would bring it nearest. Empty when
    /// all are met. The heights are then the nearest that the shop's limits allow: a course that finds no room for the
    /// pluck is set for the hardest one that it has room for.
    pub loosen: Vec<Loosen>,
}

impl Solution {
    /// The least headroom of all courses.
    #[must_use]
    pub fn headroom(&self) -> Force {
        let all = self.courses.iter().map(|c| c.stand.headroom.bench());
        newtons(all.fold(f64::MAX, f64::min))
    }
}

/// Why nothing can be solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoSolution {
    /// No course.
    #[error("no course has both its heights and its strings known")]
    NoCourse,
    /// A number that is not physical.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
    /// No height can make a course play.
    #[error("course {} of those that are known cannot sound at any height", .0 + 1)]
    Silent(usize),
}

/// How often heights and setbacks are found in turn: each time leaves a hundredth of the difference.
const ROUNDS: usize = 3;

/// Solves an instrument: see the module. Heights are good to about a thousandth of a millimetre, and the force to a part in a
/// million.
///
/// # Errors
/// [`NoSolution`] when nothing is known, a number is not physical, or a course cannot sound. Limits that contradict one
/// another are no error: [`Solution::loosen`] names them.
pub fn solve(job: &Job<'_>) -> Result<Solution, NoSolution> {
    let mut seats = seats(job)?;
    let mut range = relief_range(job)?;
    let mut depth = None;
    for round in 0..ROUNDS {
        if let Some((least, most)) = range {
            let tolerance = if round == 0 { 2e-3 } else { 1e-6 };
            let found = search::least(&mut |r| total_at(&mut seats, r), least, most, tolerance).0;
            depth = Some(found);
            // The setbacks hardly move it: next time look near it.
            let near = if round == 0 { 0.05 } else { 0.005 };
            range = Some(((found - near).max(least), (found + near).min(most)));
            seats.iter_mut().for_each(|seat| seat.bend(found));
        }
        for (i, seat) in seats.iter_mut().enumerate() {
            seat.settle().ok_or(NoSolution::Silent(i))?;
        }
        if let Some(radius) = job.crown_radius {
            crown::settle(&mut seats, radius.bench(), crown::Look::CLOSE);
        }
        if round + 1 < ROUNDS {
            for seat in &mut seats {
                seat.place(job.nut, job.cents_limit, job.crown_radius.is_none());
            }
        }
    }
    for (i, seat) in seats.iter_mut().enumerate() {
        if seat.short > 0.0 && job.crown_radius.is_none() {
            seat.soften().ok_or(NoSolution::Silent(i))?;
            seat.place(job.nut, job.cents_limit, false);
        }
    }
    // Setbacks that moved by a thousandth more leave the heights the last word.
    let mut solution = gathered(&seats, depth.map(mm));
    solution.loosen = loosen::what(job, &seats, &solution);
    Ok(solution)
}

/// The same for heights that are given, nut and saddle of each course over the line of the fret tops, and a relief where it
/// is to change: only the contact points are placed. What the heights break is not said here but in each course's
/// [`Stand`]; [`Solution::loosen`] is empty.
///
/// # Errors
/// As [`solve`].
pub fn place(
    job: &Job<'_>,
    heights: &[(Length, Length)],
    relief: Option<Length>,
) -> Result<Solution, NoSolution> {
    let mut seats = seats(job)?;
    let depth = job.relief.and(relief);
    for (seat, (nut, saddle)) in seats.iter_mut().zip(heights) {
        if let Some(depth) = depth {
            seat.bend(depth.bench());
        }
        let line = seat.line;
        seat.line = StringLine::new(seat.board, line.setbacks(seat.board), *nut, *saddle)?;
        seat.place(job.nut, job.cents_limit, false);
    }
    Ok(gathered(&seats, depth))
}

/// What the courses have come to.
fn gathered(seats: &[Seat<'_>], relief: Option<Length>) -> Solution {
    let courses: Vec<Solved> = seats.iter().map(Seat::solved).collect();
    let force = courses.iter().map(|c| c.stand.force.bench()).sum::<f64>() / courses.len() as f64;
    Solution {
        relief,
        tops: seats.iter().map(|seat| seat.tops.clone()).collect(),
        courses,
        force: newtons(force),
        loosen: Vec::new(),
    }
}

fn seats<'a>(job: &Job<'a>) -> Result<Vec<Seat<'a>>, NoSolution> {
    if job.courses.is_empty() {
        return Err(NoSolution::NoCourse);
    }
    if let Some(radius) = job.crown_radius {
        within(
            "a radius of the saddle",
            radius.bench(),
            "mm",
            20.0,
            100_000.0,
        )?;
    }
    within("a limit of cents", job.cents_limit.0, "cents", 0.0, 1200.0)?;
    let relief = job.relief.as_ref().map(|r| &r.found);
    let mut seats = Vec::with_capacity(job.courses.len());
    for course in &job.courses {
        seats.push(Seat::new(course, relief)?);
    }
    Ok(seats)
}

fn relief_range(job: &Job<'_>) -> Result<Option<(f64, f64)>, OutOfRange> {
    let Some(range) = &job.relief else {
        return Ok(None);
    };
    let least = within("a least relief", range.least.bench(), "mm", -5.0, 5.0)?;
    let most = within("a greatest relief", range.most.bench(), "mm", least, 5.0)?;
    Ok(Some((least, most)))
}

/// How much worse than any force a height beyond the shop's limits is, in N a mm: what cannot be met is brought nearest.
const BEYOND: f64 = 1e4;

/// The sum of the courses' least forces at a depth of relief.
fn total_at(seats: &mut [Seat<'_>], depth_mm: f64) -> f64 {
    let mut total = 0.0;
    for seat in seats {
        seat.bend(depth_mm);
        match seat.settle() {
            Some(()) => total += seat.force + BEYOND * seat.short,
            None => return f64::MAX,
        }
    }
    total
}

#[cfg(test)]
mod tests;
