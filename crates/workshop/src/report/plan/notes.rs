//! What stops the plan, what would have to give way, and what is a job for someone else: in words.

use super::bench::{Bench, OnBench};
use super::figures::{Note, Said};
use crate::units::{Units, figure};
use strungwell_physics::quantity::{InBenchUnits, Length};
use strungwell_physics::solver::{Binds, Loosen, Solution, solve};

/// Whether something that binds is about a kind of step.
pub(super) fn is_of(bind: Binds, kind: &str) -> bool {
    match bind {
        Binds::OpenClear { .. } | Binds::SlotFloor => kind == "slot",
        Binds::FrettedClear { .. } | Binds::SaddleLeast | Binds::SaddleMost | Binds::Crown => {
            kind == "saddle"
        }
        Binds::Cents => kind == "saddle" || kind == "contact",
        Binds::Blank => kind == "contact",
    }
}

/// What stops a course from being lower.
pub(super) fn binds(bind: &Binds, on: &OnBench, bench: &Bench, units: Units) -> Said {
    let number = on.course + 1;
    let limits = &bench.plan.limits;
    let (code, text) = match bind {
        Binds::OpenClear { touches } => (
            "open-clear",
            format!("Course {number}: any lower, and the open string would touch fret {touches}."),
        ),
        Binds::FrettedClear { fret, touches } => (
            "fretted-clear",
            format!(
                "Course {number}: any lower, and the note at fret {fret} would touch fret {touches}."
            ),
        ),
        Binds::SlotFloor => (
            "slot-floor",
            format!(
                "Course {number}: the slot is at its floor, {} over the level of the frets.",
                units.length(limits.slot_floor_mm)
            ),
        ),
        Binds::SaddleLeast => (
            "saddle-least",
            format!("Course {number}: the saddle is as low as it may be over the bridge."),
        ),
        Binds::SaddleMost => (
            "saddle-most",
            format!("Course {number}: the saddle is as high as it may be."),
        ),
        Binds::Blank => (
            "blank",
            format!("Course {number}: the contact point is at the edge of the saddle's blank."),
        ),
        Binds::Cents => (
            "cents",
            format!(
                "Course {number}: the limit of {} cents stops it.",
                figure(bench.plan.cents_limit, 1)
            ),
        ),
        Binds::Crown => (
            "crown",
            format!("Course {number}: the saddle's crown is held to one circle."),
        ),
    };
    Said::new(code, text)
}

/// A limit to loosen.
pub(super) fn loosen(loosen: &Loosen, bench: &Bench, units: Units) -> Said {
    let on = |course: &usize| bench.courses.get(*course);
    let number = |course: &usize| on(course).map_or(0, |on| on.course + 1);
    let own = bench.instrument.pluck.force_n;
    match loosen {
        Loosen::SaddleMost { course, to } => {
            let gap = |saddle: Length| on(course).and_then(|on| bench.gap_12_at(on, saddle));
            let most = on(course).and_then(|on| bench.limits(on).saddle_most);
            Said::new(
                "saddle-most",
                format!(
                    "Course {}: to stay clear of its frets the string would have to stand about {} over fret 12; the highest saddle \
                     gives {}. A higher limit, a softer pluck or a heavier string would be needed.",
                    number(course),
                    units.length(gap(*to)),
                    units.length(most.and_then(gap))
                ),
            )
        }
        Loosen::Pluck { course, to } => Said::new(
            "pluck",
            format!(
                "Course {} buzzes first: within the limits a pluck of {} stays clear, not {}.",
                number(course),
                units.force(to.bench()),
                units.force(own)
            ),
        ),
        Loosen::Relief { to } => Said::new(
            "relief",
            format!(
                "With a relief of {} every limit could be met.",
                units.length(to.bench())
            ),
        ),
        Loosen::Crown => Said::new(
            "crown",
            "With a saddle whose crown is not one circle every limit could be met.",
        ),
        Loosen::SaddleLeast { course } => Said::new(
            "saddle-least",
            format!(
                "Course {}: with a saddle lower than {} over the bridge the cents could be kept.",
                number(course),
                units.length(bench.plan.limits.saddle_least_mm)
            ),
        ),
        Loosen::Blank { course, to } => Said::new(
            "blank",
            format!(
                "Course {}: with a contact point at a setback of {}, beyond the saddle's blank, the cents could be kept; a wider or \
                 filled and recut saddle would give it.",
                number(course),
                units.length(to.bench())
            ),
        ),
        Loosen::Cents { course, to } => Said::new(
            "cents",
            format!(
                "Course {}: the least that can be reached is {} cents, not {}. A wider limit, a nut whose edge may move, or other \
                 strings would be needed.",
                number(course),
                figure(to.0, 1),
                figure(bench.plan.cents_limit, 1)
            ),
        ),
    }
}

/// Whether the fret wire is so low that nothing may be filed off it.
pub(super) fn is_too_low_to_dress(bench: &Bench) -> bool {
    let height = bench.instrument.fret_height_mm;
    height.is_some_and(|height| height < bench.plan.limits.crown_least_mm)
}

/// What the plan cannot do, and what would be needed.
pub(super) fn notes(bench: &Bench, solution: &Solution, units: Units) -> Vec<Note> {
    let mut notes = Vec::new();
    let mut say = |code: &'static str, someone_else: bool, text: String| {
        notes.push(Note {
            code,
            text,
            someone_else,
        });
    };
    let limits = &bench.plan.limits;
    if is_too_low_to_dress(bench) && !bench.high.is_empty() {
        let frets: Vec<String> = bench.high.iter().map(|h| h.0.to_string()).collect();
        say(
            "fret-worn",
            true,
            format!(
                "Fret {} stands high, but the fret wire is lower than {} already: new frets are needed, a job for someone who frets.",
                frets.join(", "),
                units.length(limits.crown_least_mm)
            ),
        );
    }
    for (fret, by) in &bench.low {
        say(
            "fret-low",
            false,
            format!(
                "Fret {fret} lies {} low: filing cannot raise it. Where the note before it buzzes, lift and seat it again, or replace it.",
                units.length(-by)
            ),
        );
    }
    let slots: Vec<(usize, f64)> = raised(bench, solution);
    if let [first, ..] = slots.as_slice() {
        let most = slots.iter().fold(first.1, |most, s| most.max(s.1));
        let which: Vec<String> = slots.iter().map(|s| s.0.to_string()).collect();
        say(
            "slot-low",
            false,
            format!(
                "The slot of course {} is too low. A shim of {} under the whole nut raises them all; every other slot must then be cut that \
             much deeper than its step says.",
                which.join(", "),
                units.length(most)
            ),
        );
    }
    let chosen = bench.plan.player.as_deref();
    let pluck = units.force(bench.instrument.pluck.force_n);
    if bench.is_usual_pluck {
        say(
            "player-not-chosen",
            false,
            format!(
                "No player is chosen, so the plan keeps as much room as common practice for the family does: a pluck of {pluck} stays clear. \
             Measure how hard the player plucks, with a spring balance at the string, and keep it."
            ),
        );
    } else if chosen.is_none() {
        say(
            "player-not-chosen",
            false,
            format!(
                "No player is chosen, so the instrument's own pluck of {pluck} must stay clear. Measure how hard the player plucks, with a \
             spring balance at the string, and keep it."
            ),
        );
    } else if !bench
        .instrument
        .players
        .iter()
        .any(|p| Some(p.id.as_str()) == chosen)
    {
        say(
            "player-not-known",
            false,
            format!(
                "The player chosen is not kept with this instrument; its own pluck of {pluck} is taken."
            ),
        );
    }
    relief(bench, units, &mut say);
    saddle(bench, solution, units, &mut say);
    notes
}

/// The courses, from 1, whose slots must come up, and by how much in mm.
fn raised(bench: &Bench, solution: &Solution) -> Vec<(usize, f64)> {
    let all = bench.courses.iter().zip(&solution.courses);
    all.filter_map(|(on, solved)| {
        let by = (solved.line.nut_height() - on.under.line.nut_height()).bench();
        (by >= 0.03).then_some((on.course + 1, by))
    })
    .collect()
}

fn relief(bench: &Bench, units: Units, say: &mut impl FnMut(&'static str, bool, String)) {
    let limits = &bench.plan.limits;
    let has_rod = bench.instrument.neck.as_ref().is_some_and(|neck| neck.rod);
    let Some(relief) = bench.instrument.setup.relief_mm else {
        if has_rod {
            say(
                "relief-not-measured",
                false,
                "The relief is not measured, so the rod is left alone: measure it.".into(),
            );
        }
        return;
    };
    if has_rod
        || (relief >= limits.relief_least_mm - 0.005 && relief <= limits.relief_most_mm + 0.005)
    {
        return;
    }
    let (code, what) = if relief > limits.relief_most_mm {
        ("relief-deep", "more")
    } else {
        ("relief-hump", "less")
    };
    say(
        code,
        true,
        format!(
            "The relief of {} is {what} than wanted ({} to {}) and there is no rod. Fretting with wider tangs, planing the board or bending \
         the neck with heat would change it: a job for someone who does that. The plan takes it as found.",
            units.length(relief),
            units.length_number(limits.relief_least_mm),
            units.length(limits.relief_most_mm)
        ),
    );
}

fn saddle(
    bench: &Bench,
    solution: &Solution,
    units: Units,
    say: &mut impl FnMut(&'static str, bool, String),
) {
    let limits = &bench.plan.limits;
    let Some(top) = limits.bridge_top_mm else {
        say("bridge-not-measured", false,
            "Nobody measured where a straightedge on the frets meets the bridge, so nothing here says how low the saddle may come or \
             whether the neck must be reset.".into());
        return;
    };
    for (on, _) in bench.courses.iter().zip(&solution.courses) {
        let over = (on.under.line.saddle_height() + on.frame).bench() - top;
        if over < limits.saddle_least_mm - 0.03 {
            say(
                "saddle-low",
                false,
                format!(
                    "Course {}: the saddle stands {} over the bridge as found, under the {} wanted.",
                    on.course + 1,
                    units.length(over),
                    units.length(limits.saddle_least_mm)
                ),
            );
        }
    }
    let held = solution
        .courses
        .iter()
        .any(|c| c.binds.contains(&Binds::SaddleLeast));
    if !held {
        return;
    }
    // What the strings would do if the bridge did not stop the saddle tells how far the neck is out.
    let mut job = bench.job();
    for course in &mut job.courses {
        course.limits.saddle_least = None;
    }
    let Ok(free) = solve(&job) else { return };
    let over = solution
        .courses
        .iter()
        .zip(&free.courses)
        .map(|(held, free)| (held.line.saddle_height() - free.line.saddle_height()).bench());
    let most = over.fold(0.0, f64::max);
    if most < 0.1 {
        return;
    }
    say(
        "neck-reset",
        true,
        format!(
            "The saddle may come no lower over the bridge, and the strings stand up to {} higher there than this player needs. A neck reset, \
         or a bridge planed lower, would bring them down: a job for someone who does neck resets. It would leave the finger {} instead \
         of {}.",
            units.length(most),
            units.force(free.force.bench()),
            units.force_number(solution.force.bench())
        ),
    );
}
