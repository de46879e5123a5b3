//! The plan for the bench: from heights as found to heights as left, step by step.
//!
//! [`plan_of`] is costly next to the report of an instrument (milliseconds, not microseconds) and no part of it: whoever shows
//! it calls it when the heights, the strings, the player or the limits change, and [`plan_curve`] when there is time.
//! [`tick_off`] writes a step that was done, with what was measured after it, into the record; the plan of that record is what
//! is left to do.

mod bench;
mod camber;
mod does;
mod figures;
mod notes;
mod solved;
mod steps;
mod tick;

pub use bench::playing;
pub use camber::{CamberCourse, CamberFigures, crown_radius_mm};
pub use figures::{
    CourseFigures, CoursePlan, CurveFigures, CurveSpot, Effect, Note, PlanView, PlannedCourse,
    PlannedSetup, PlayerFigures, Said, Standing, Step, StepCourse, TargetFigures,
};
pub use tick::{MeasuredCourse, TickOff, setup_as_left, tick_off};

use crate::records::{Instrument, RackString};
use crate::units::Units;
use bench::Bench;
use figures::{course_figures, standing};
use steps::Planned;
use strungwell_physics::quantity::{InBenchUnits, newtons};
use strungwell_physics::solver::curve;

/// The plan of an instrument, whose strings may lie on the rack, its sentences in the units that the person chose; figures
/// stay in mm, N and cents. Without the curve, which [`plan_curve`] gives.
///
/// Anything that the records leave out or contradict is said in [`PlanView::missing`] and [`PlanView::notes`]; there is always a
/// view.
#[must_use]
pub fn plan_of(instrument: &Instrument, rack: &[RackString], units: Units) -> PlanView {
    let bench = Bench::of(instrument, rack);
    let target = solved::target(&bench);
    let mut view = PlanView::empty(&bench, units);
    let solution = match solved::solve(&bench, &target) {
        Ok(solution) => solution,
        Err(why) => {
            view.missing.push(Said::new("no-plan", why));
            return view;
        }
    };
    let Planned { steps, record } = steps::plan(&bench, &solution, units);
    let at = |record: &Instrument| -> Vec<Option<CourseFigures>> {
        bench
            .courses
            .iter()
            .map(|on| course_figures(&bench, on, record))
            .collect()
    };
    let (found, left) = (at(&bench.instrument), at(&record));
    view.found = standing(&bench, &found);
    view.left = standing(&bench, &left);
    view.courses = bench
        .courses
        .iter()
        .zip(found.into_iter().zip(left))
        .zip(&solution.courses)
        .map(|((on, (found, left)), solved)| CoursePlan {
            course: on.course + 1,
            note: on.note.clone(),
            found,
            left,
            binds: solved
                .binds
                .iter()
                .map(|b| notes::binds(b, on, &bench, units))
                .collect(),
        })
        .collect();
    view.relief_left_mm = record.setup.relief_mm;
    view.steps = steps;
    view.loosen = solution
        .loosen
        .iter()
        .map(|l| notes::loosen(l, &bench, units))
        .collect();
    view.notes = notes::notes(&bench, &solution, units);
    view.keep_promises(&bench);
    match camber::camber(&bench, &record) {
        Ok(camber) => view.camber = Some(camber),
        Err(why) => view.camber_missing = Some(why),
    }
    view.setup = PlannedSetup::of(&record.setup);
    view.setup_left = record.setup;
    view
}

/// How many points the curve has.
pub const CURVE_POINTS: usize = 40;

/// The trade curve of an instrument: the least finger force against headroom, from a soft pluck to a hard one, with where the
/// instrument stands and where the plan leaves it (the figures of `plan`, which is the same instrument's). None where nothing
/// can be solved.
#[must_use]
pub fn plan_curve(
    instrument: &Instrument,
    rack: &[RackString],
    plan: &PlanView,
) -> Option<CurveFigures> {
    let bench = Bench::of(instrument, rack);
    let job = bench.job();
    let solution = strungwell_physics::solver::solve(&job).ok()?;
    let own = plan.player.force_n;
    let most = [
        own * 2.0,
        plan.found.headroom_n * 1.2,
        plan.left.headroom_n * 1.2,
        1.0,
    ];
    let most = most.into_iter().fold(0.0, f64::max).min(100.0);
    let least = 0.2 * own.clamp(0.25, 50.0);
    let points = curve(
        &job,
        &solution,
        [newtons(least), newtons(most)],
        CURVE_POINTS,
    )
    .ok()?;
    let spot = |finger_n: f64, headroom_n: f64, relief_mm: Option<f64>| CurveSpot {
        finger_n,
        headroom_n,
        relief_mm,
    };
    Some(CurveFigures {
        points: points
            .iter()
            .map(|p| {
                spot(
                    p.force.bench(),
                    p.headroom.bench(),
                    p.relief.and_then(bench::finite),
                )
            })
            .collect(),
        found: spot(
            plan.found.finger_n,
            plan.found.headroom_n,
            plan.relief_found_mm,
        ),
        left: spot(
            plan.left.finger_n,
            plan.left.headroom_n,
            plan.relief_left_mm,
        ),
        pluck_n: own,
    })
}

#[cfg(test)]
mod tests;
