//! The heights that a plan goes to: the solver's, common practice, the owner's wish, or typed.

use super::bench::Bench;
use super::figures::TargetFigures;
use crate::families;
use crate::records::{Setup, Target};
use crate::report::fretting::{measured_frets, tops_of};
use strungwell_physics::heights::{Gap, StringLine};
use strungwell_physics::quantity::{Length, mm};
use strungwell_physics::solver::{self, Solution};

/// A target with its heights; none for the solver's, or where there are none.
pub(super) struct Chosen {
    pub(super) figures: TargetFigures,
    setup: Option<Setup>,
}

/// The target that the record asks for.
pub(super) fn target(bench: &Bench) -> Chosen {
    let plan = &bench.plan;
    let family = families::of(&bench.instrument);
    let said = |label: &str, source: &str| TargetFigures {
        word: plan.target.word(),
        label: label.to_owned(),
        source: source.to_owned(),
    };
    match plan.target {
        Target::Solver => Chosen {
            figures: said(
                "the least finger force that keeps every note clear",
                "computed for this instrument, its strings and this player",
            ),
            setup: None,
        },
        Target::Practice => Chosen {
            figures: match family {
                Some(family) => said(
                    &format!("common practice: {}", family.label),
                    family.action.source,
                ),
                None => said("common practice", "no family of that name is known"),
            },
            setup: family.map(|f| f.action.setup(bench.instrument.courses.len())),
        },
        Target::Wish => Chosen {
            figures: said("the owner's wish", "the owner"),
            setup: plan.wish.clone(),
        },
        Target::Typed => Chosen {
            figures: said("heights typed at the bench", "the bench"),
            setup: plan.typed.clone(),
        },
    }
}

/// The heights of a target, the contact points placed for them.
pub(super) fn solve(bench: &Bench, target: &Chosen) -> Result<Solution, String> {
    if bench.courses.is_empty() {
        return Err(
            "No course has both its heights and its strings known, so nothing can be planned."
                .into(),
        );
    }
    let job = bench.job();
    if bench.plan.target == Target::Solver {
        return solver::solve(&job).map_err(|why| format!("Nothing can be planned: {why}."));
    }
    let Some(wanted) = &target.setup else {
        return Err(match bench.plan.target {
            Target::Practice => {
                "Common practice is known for no family of that name; choose a family, or another target."
            }
            Target::Wish => "The owner's wish is not noted yet: give the heights asked for.",
            Target::Solver | Target::Typed => "No heights are typed yet.",
        }
        .into());
    };
    let mut record = bench.instrument.clone();
    let relief = wanted.relief_mm.filter(|_| bench.has_rod);
    if let Some(depth) = relief {
        record.setup.relief_mm = Some(depth);
    }
    for (fret, _) in &bench.high {
        super::does::smooth(&mut record, *fret, 0.0);
    }
    let mut heights: Vec<(Length, Length)> = Vec::with_capacity(bench.courses.len());
    for on in &bench.courses {
        let found = bench.instrument.setup.courses.get(on.course);
        let asked = wanted.courses.get(on.course);
        let gap = |of: fn(&crate::records::CourseSetup) -> Option<f64>| {
            asked
                .and_then(of)
                .or_else(|| found.and_then(of))
                .unwrap_or(0.0)
        };
        let course = bench.instrument.courses.get(on.course);
        let frets = course.map_or([1, 12], measured_frets);
        let gaps = [
            Gap {
                fret: frets[0],
                gap: mm(gap(|c| c.gap_1_mm)),
            },
            Gap {
                fret: frets[1],
                gap: mm(gap(|c| c.gap_12_mm)),
            },
        ];
        let said = |why: strungwell_physics::range::OutOfRange| {
            format!("Course {}: {why}.", on.course + 1)
        };
        let board = &on.under.board;
        let tops = tops_of(&record, board).map_err(said)?;
        let setbacks = on.under.line.setbacks(board);
        let line = StringLine::through_gaps(board, &tops, setbacks, gaps).map_err(said)?;
        heights.push((line.nut_height(), line.saddle_height()));
    }
    solver::place(&job, &heights, relief.map(mm))
        .map_err(|why| format!("Nothing can be planned: {why}."))
}
