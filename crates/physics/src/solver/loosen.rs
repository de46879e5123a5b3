//! Which limit to loosen when they cannot all be met, and to what.

use super::search::least;
use super::seat::Seat;
use super::{CourseJob, Job, Solution, total_at};
use crate::quantity::{Cents, Force, InBenchUnits, Length, mm, newtons};

/// A limit that stands in the way, and what it would have to be. Courses count from 0 in the job's order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loosen {
    /// The saddle would have to be this high at the course, against what the shop's limit allows.
    SaddleMost {
        /// The course.
        course: usize,
        /// The least height that would do, over the line of the fret tops.
        to: Length,
    },
    /// The pluck would have to be this soft.
    Pluck {
        /// The course that buzzes first.
        course: usize,
        /// The hardest pluck that stays clear within the limits.
        to: Force,
    },
    /// With a relief of this depth all could be met; there is no rod, or its range ends before.
    Relief {
        /// The depth that would do.
        to: Length,
    },
    /// The crown would have to leave its circle.
    Crown,
    /// The saddle would have to be lower than the shop's limit at the course, to bring the cents within theirs.
    SaddleLeast {
        /// The course.
        course: usize,
    },
    /// The contact point would have to stand here, beyond the blank.
    Blank {
        /// The course.
        course: usize,
        /// The setback that would keep the cents.
        to: Length,
    },
    /// The limit of cents would have to be this wide.
    Cents {
        /// The course.
        course: usize,
        /// The least that can be reached.
        to: Cents,
    },
}

/// A shortfall below this, in mm or cents, is none.
const NOTHING: f64 = 1e-5;

/// What would have to be loosened: empty when every limit is met.
pub(super) fn what(job: &Job<'_>, seats: &[Seat<'_>], solution: &Solution) -> Vec<Loosen> {
    let mut found = Vec::new();
    let mut is_short = false;
    for (course, seat) in seats.iter().enumerate() {
        if seat.short <= NOTHING {
            continue;
        }
        is_short = true;
        let by_own = job.courses.get(course).and_then(|c| needed_for(c, seat));
        found.push(Loosen::SaddleMost {
            course,
            to: mm(by_own.unwrap_or(seat.needed).max(seat.least)),
        });
    }
    if is_short {
        let worst = solution.courses.iter().enumerate().min_by(|a, b| {
            a.1.stand
                .headroom
                .bench()
                .total_cmp(&b.1.stand.headroom.bench())
        });
        if let Some((course, _)) = worst {
            let to = hardest_pluck(job, seats, course);
            found.extend(to.map(|to| Loosen::Pluck { course, to }));
        }
        if job.crown_radius.is_some()
            && seats
                .iter()
                .all(|s| s.needed.max(s.least) <= s.most + NOTHING)
        {
            found.push(Loosen::Crown);
        }
        found.extend(relief_that_would_do(job));
    }
    for (course, seat) in seats.iter().enumerate() {
        let worst = seat.worst_cents();
        if worst > job.cents_limit.0 + NOTHING {
            found.extend(for_cents(job, seat, course));
            found.push(Loosen::Cents {
                course,
                to: Cents(worst),
            });
        }
    }
    found
}

/// The saddle that a course would need for the job's own pluck, in mm.
fn needed_for(job: &CourseJob<'_>, seat: &Seat<'_>) -> Option<f64> {
    let mut other = Seat::new(job, None).ok()?;
    other.tops.clone_from(&seat.tops);
    other.line = seat.line;
    other.settle()?;
    Some(other.needed)
}

/// The hardest pluck with which a course finds room, all else as it is.
fn hardest_pluck(job: &Job<'_>, seats: &[Seat<'_>], course: usize) -> Option<Force> {
    let (job, seat) = (job.courses.get(course)?, seats.get(course)?);
    let mut other = Seat::new(job, None).ok()?;
    other.tops.clone_from(&seat.tops);
    other.line = seat.line;
    let (mut soft, mut hard) = (0.0, job.pluck.force().bench());
    for _ in 0..30 {
        let middle = f64::midpoint(soft, hard);
        other.pluck = other.pluck.with_force(newtons(middle)).ok()?;
        other.settle()?;
        if other.short > 0.0 {
            hard = middle;
        } else {
            soft = middle;
        }
    }
    Some(newtons(soft))
}

/// A relief from none to 1 mm with which every course finds room, where the job's own range has none.
fn relief_that_would_do(job: &Job<'_>) -> Option<Loosen> {
    let found = job.relief?.found;
    let mut seats = job
        .courses
        .iter()
        .map(|course| Seat::new(course, Some(&found)).ok())
        .collect::<Option<Vec<_>>>()?;
    let (depth, total) = least(&mut |r| total_at(&mut seats, r), 0.0, 1.0, 1e-3);
    (total < super::BEYOND * NOTHING.max(1.0)).then(|| Loosen::Relief { to: mm(depth) })
}

/// Whether a wider blank or a lower saddle alone would keep the cents.
fn for_cents(job: &Job<'_>, seat: &Seat<'_>, course: usize) -> Vec<Loosen> {
    let mut found = Vec::new();
    let Some(course_job) = job.courses.get(course) else {
        return found;
    };
    let tried = |change: &dyn Fn(&mut Seat<'_>)| -> Option<Length> {
        let mut other = Seat::new(course_job, None).ok()?;
        other.tops.clone_from(&seat.tops);
        other.line = seat.line;
        change(&mut other);
        other.settle()?;
        other.place(job.nut, job.cents_limit, true);
        (other.short <= NOTHING && other.worst_cents() <= job.cents_limit.0 + NOTHING)
            .then(|| other.line.setbacks(other.board).saddle)
    };
    if seat.is_at_blank
        && let Some(to) = tried(&|seat| seat.setback = None)
    {
        found.push(Loosen::Blank { course, to });
    }
    if seat.line.saddle_mm <= seat.least + 1e-6 && tried(&|seat| seat.least = f64::MIN).is_some() {
        found.push(Loosen::SaddleLeast { course });
    }
    found
}
