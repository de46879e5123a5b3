//! Steps that were done, written into the record.

use super::does::{Does, apply, measured, smooth};
use super::{PlanView, bench};
use crate::file;
use crate::records::{Instrument, Setup, Tick};
use crate::report::saddle_view::setup_of;

/// What was measured of one course after a step. What is none was not measured and is taken as the step promised.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeasuredCourse {
    /// The course, from 1.
    pub course: usize,
    /// Gap in mm at the first fret before its nut.
    pub gap_1_mm: Option<f64>,
    /// Gap in mm at the twelfth.
    pub gap_12_mm: Option<f64>,
    /// Saddle setback in mm.
    pub saddle_setback_mm: Option<f64>,
    /// Nut setback in mm.
    pub nut_setback_mm: Option<f64>,
}

/// A step done, with what was measured after it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TickOff {
    /// The day, as `2026-01-31`.
    pub date: String,
    /// Relief in mm, where it was measured.
    pub relief_mm: Option<f64>,
    /// How far the fret of a dressing step stands over the smooth line now, in mm, where it was measured.
    pub fret_mm: Option<f64>,
    /// The courses that were measured.
    pub courses: Vec<MeasuredCourse>,
}

impl TickOff {
    /// Every number that was measured.
    fn numbers(&self) -> impl Iterator<Item = f64> {
        let courses = self.courses.iter().flat_map(|c| {
            [
                c.gap_1_mm,
                c.gap_12_mm,
                c.saddle_setback_mm,
                c.nut_setback_mm,
            ]
        });
        courses.chain([self.relief_mm, self.fret_mm]).flatten()
    }

    fn is_measured(&self) -> bool {
        self.numbers().next().is_some()
    }
}

/// Ticks off a step of a plan of this instrument: writes what was measured into the present setup, and for the rest what the
/// step promised, and notes the step in the record's plan. The plan of the record is then what is left to do.
///
/// # Errors
/// A sentence when there is no such step, or something measured cannot be; the record is then as before.
pub fn tick_off(
    instrument: &mut Instrument,
    plan: &PlanView,
    step: &str,
    done: &TickOff,
) -> Result<(), String> {
    let step = plan
        .steps
        .iter()
        .find(|s| s.id == step)
        .ok_or("there is no such step in the plan any more")?;
    if done.numbers().any(|number| !number.is_finite()) {
        return Err("what was measured must be numbers".into());
    }
    let mut next = bench::lean(instrument);
    apply(&mut next, &step.does)?;
    if let Some(relief) = done.relief_mm {
        next.setup.relief_mm = Some(relief);
    }
    if let (Some(stands), Does::Dress(frets)) = (done.fret_mm, &step.does) {
        frets
            .iter()
            .for_each(|fret| smooth(&mut next, *fret, stands));
    }
    for course in &done.courses {
        let at = course.course.checked_sub(1);
        let setup = at.and_then(|at| setup_of(&mut next, at));
        measured(setup.ok_or("there is no such course")?, course);
    }
    let mut whole = instrument.clone();
    whole.setup = next.setup.clone();
    let mut kept = whole.plan.take().unwrap_or_default();
    if let Some(plan) = next.plan {
        kept.rocking = plan.rocking;
    }
    kept.ticks.push(Tick {
        step: step.id.clone(),
        what: step.what.clone(),
        date: done.date.clone(),
        after: next.setup,
        measured: done.is_measured(),
        ..Tick::default()
    });
    whole.plan = Some(kept);
    file::check_instrument(&whole).map_err(|problem| problem.to_string())?;
    *instrument = whole;
    Ok(())
}

/// The setup as a plan leaves it, as a record: for a visit's heights as left, or to be tried in the report.
#[must_use]
pub fn setup_as_left(plan: &PlanView) -> Setup {
    plan.setup_left.clone()
}
