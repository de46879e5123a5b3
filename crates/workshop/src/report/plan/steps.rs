//! The steps from heights as found to heights as left, in the order of the bench: frets, relief, saddle, slots, contact points.

use super::bench::{Bench, OnBench};
use super::does::{Does, apply};
use super::figures::{CourseFigures, Effect, Standing, Step, StepCourse, course_figures, standing};
use super::notes;
use crate::records::Instrument;
use crate::units::{Units, signed};
use strungwell_physics::quantity::InBenchUnits;
use strungwell_physics::solver::Solution;

/// A height that is this near, in mm, stays: feeler gauges tell no more.
const NEAR_MM: f64 = 0.03;
/// A contact point that is this near, in mm, stays: a file and a tuner tell no more.
const NEAR_SETBACK_MM: f64 = 0.1;

/// The steps, and the record as they leave it.
pub(super) struct Planned {
    pub(super) steps: Vec<Step>,
    pub(super) record: Instrument,
}

/// Plans the way to a solution.
pub(super) fn plan(bench: &Bench, solution: &Solution, units: Units) -> Planned {
    let mut way = Way {
        bench,
        units,
        courses: figures(bench, &bench.instrument),
        record: bench.instrument.clone(),
        steps: Vec::new(),
    };
    for (fret, stands) in &bench.high {
        if !notes::is_too_low_to_dress(bench) {
            way.dress(*fret, *stands);
        }
    }
    if let Some(depth) = solution.relief {
        way.relief(depth.bench());
    }
    way.saddle(solution);
    for (on, solved) in bench.courses.iter().zip(&solution.courses) {
        way.slot(on, solved.line.nut_height().bench());
    }
    for (on, solved) in bench.courses.iter().zip(&solution.courses) {
        let to = solved.line.setbacks(&on.under.board);
        way.contact(on, to.saddle.bench(), to.nut.bench());
    }
    for step in &mut way.steps {
        let binds = bench
            .courses
            .iter()
            .zip(&solution.courses)
            .filter(|(on, _)| step.courses.iter().any(|c| c.course == on.course + 1));
        let mut said: Vec<String> = Vec::new();
        for (on, solved) in binds {
            for bind in solved.binds.iter().filter(|b| notes::is_of(**b, step.kind)) {
                let text = notes::binds(bind, on, bench, units).text;
                if !said.contains(&text) {
                    said.push(text);
                }
            }
        }
        step.binds = said;
    }
    Planned {
        steps: way.steps,
        record: way.record,
    }
}

fn figures(bench: &Bench, record: &Instrument) -> Vec<Option<CourseFigures>> {
    let all = bench.courses.iter();
    all.map(|on| course_figures(bench, on, record)).collect()
}

struct Way<'b> {
    bench: &'b Bench,
    units: Units,
    record: Instrument,
    courses: Vec<Option<CourseFigures>>,
    steps: Vec<Step>,
}

/// A step's words.
struct Words {
    id: String,
    kind: &'static str,
    what: String,
    check: String,
    warning: Option<String>,
    measure: &'static [&'static str],
}

impl Way<'_> {
    fn at(&self, on: &OnBench) -> Option<CourseFigures> {
        let place = self
            .bench
            .courses
            .iter()
            .position(|c| c.course == on.course)?;
        self.courses.get(place).copied().flatten()
    }

    /// Does a step to the record and notes what it did. One that cannot be done is left out; the notes say why.
    fn go(&mut self, words: Words, courses: Vec<StepCourse>, fret: Option<u32>, does: Does) {
        let before = standing(self.bench, &self.courses);
        if apply(&mut self.record, &does).is_err() {
            return;
        }
        let touched: Option<usize> = match &does {
            Does::Slot(course, _) | Does::Contact(course, ..) => Some(*course),
            Does::Dress(_) | Does::Relief(_) | Does::Saddle(_) => None,
        };
        for (on, figures) in self.bench.courses.iter().zip(&mut self.courses) {
            if touched.is_none_or(|course| course == on.course) {
                *figures = course_figures(self.bench, on, &self.record);
            }
        }
        let after = standing(self.bench, &self.courses);
        self.steps.push(Step {
            id: words.id,
            kind: words.kind,
            what: words.what,
            courses,
            fret,
            effect_text: effect_text(&before, &after, self.units),
            effect: Effect { before, after },
            binds: Vec::new(),
            check: words.check,
            warning: words.warning,
            measure: words.measure.to_vec(),
            does,
        });
    }

    fn dress(&mut self, fret: u32, stands: f64) {
        let length = self.units.length(stands);
        let least = self.units.length(self.bench.plan.limits.crown_least_mm);
        let crown = match self.bench.instrument.fret_height_mm {
            Some(height) => format!("About {} of crown will be left.", self.units.length(height)),
            None => format!("Measure the fret wire first: at least {least} of crown must be left."),
        };
        let (before, next) = (fret.saturating_sub(1), fret + 1);
        self.go(
            Words {
                id: format!("dress-{fret}"),
                kind: "dress",
                what: format!("Dress fret {fret} down by {length}, level with its neighbours, and crown it again."),
                check: format!(
                    "First see whether the fret is loose and can be pressed home. Afterwards a short straightedge over frets {before} \
                     to {next} must not rock."
                ),
                warning: Some(format!("Metal filed off a fret cannot be put back. {crown}")),
                measure: &["fret_mm"],
            },
            Vec::new(),
            Some(fret),
            Does::Dress(vec![fret]),
        );
    }

    fn relief(&mut self, to: f64) {
        let from = self.bench.relief_mm();
        if (to - from).abs() < NEAR_MM {
            return;
        }
        let fret = crate::report::fretting::relief_fret(&self.record);
        let (a, b) = (self.units.length(from), self.units.length(to));
        let way = if to < from { "Tighten" } else { "Loosen" };
        self.go(
            Words {
                id: "relief".into(),
                kind: "relief",
                what: format!("{way} the rod until the relief at fret {fret} is {b} (it is {a})."),
                check: "Let the neck rest, then measure the relief and all gaps again: the rod moves the heights too.".into(),
                warning: Some("Turn a little at a time, at pitch, and stop where it turns hard: a rod that breaks is a job for someone who replaces rods.".into()),
                measure: &["relief_mm", "gap_1_mm", "gap_12_mm"],
            },
            Vec::new(),
            Some(fret),
            Does::Relief(to),
        );
    }

    fn saddle(&mut self, solution: &Solution) {
        let mut moves = Vec::new();
        for (on, solved) in self.bench.courses.iter().zip(&solution.courses) {
            let Some(now) = self.at(on) else { continue };
            let to = solved.line.saddle_height().bench();
            moves.push((on, to, to - now.saddle_mm));
        }
        if moves.iter().all(|m| m.2.abs() < NEAR_MM) {
            return;
        }
        let is_cut = moves.iter().all(|m| m.2 < NEAR_MM);
        let is_raised = moves.iter().all(|m| m.2 > -NEAR_MM);
        let by: Vec<f64> = moves.iter().map(|m| m.2).collect();
        let amounts = self.amounts(
            &moves.iter().map(|m| (m.0, m.2)).collect::<Vec<_>>(),
            is_cut || is_raised,
        );
        let (what, warning) = if is_cut {
            (format!("Take off the saddle {amounts}."), Some("What is taken off a saddle cannot be put back: stop short, string up and measure.".to_owned()))
        } else if is_raised {
            (
                format!(
                    "Raise the saddle {amounts}: a shim under its whole length, or a new saddle."
                ),
                None,
            )
        } else {
            (
                format!("Shape the saddle anew, {amounts}: a new or shimmed saddle, filed where it is too high."),
                Some("What is taken off a saddle cannot be put back: stop short, string up and measure.".to_owned()),
            )
        };
        let courses = moves.iter().map(|m| step_course(m.0, m.2)).collect();
        let heights = moves.iter().map(|m| (m.0.course, m.1)).collect();
        debug_assert!(!by.is_empty());
        self.go(
            Words {
                id: "saddle".into(),
                kind: "saddle",
                what,
                check: "String up to pitch and measure the gaps at fret 12 and fret 1 again before cutting slots: they move together."
                    .into(),
                warning,
                measure: &["gap_12_mm", "gap_1_mm"],
            },
            courses,
            None,
            Does::Saddle(heights),
        );
    }

    /// Amounts along the saddle: at both sides when the courses between lie on the line from one to the other, else each.
    fn amounts(&self, moves: &[(&OnBench, f64)], is_one_way: bool) -> String {
        let shown = |by: f64| {
            if is_one_way {
                self.units.length(by.abs())
            } else {
                let sign = if by < 0.0 { "−" } else { "+" };
                format!("{sign}{}", self.units.length(by.abs()))
            }
        };
        let ([first, .., last], count) = (moves, moves.len().max(2) as f64 - 1.0) else {
            return moves.first().map_or_else(String::new, |m| {
                format!("{} at course {} ({})", shown(m.1), m.0.course + 1, m.0.note)
            });
        };
        let is_straight = moves.iter().enumerate().all(|(i, m)| {
            let line = first.1 + (last.1 - first.1) * i as f64 / count;
            (m.1 - line).abs() < NEAR_MM
        });
        if is_straight {
            return format!(
                "{} at the bass side and {} at the treble side",
                shown(first.1),
                shown(last.1)
            );
        }
        // A course that stays is not told.
        let each: Vec<String> = moves
            .iter()
            .filter(|m| m.1.abs() >= 0.005)
            .map(|m| format!("{} at course {} ({})", shown(m.1), m.0.course + 1, m.0.note))
            .collect();
        each.join(", ")
    }

    fn slot(&mut self, on: &OnBench, to: f64) {
        let Some(now) = self.at(on) else { return };
        let by = to - now.nut_mm;
        if by.abs() < NEAR_MM {
            return;
        }
        let (number, length) = (on.course + 1, self.units.length(by.abs()));
        let (what, warning) = if by < 0.0 {
            (
                format!("Cut the slot of course {number} ({}) down by {length}.", on.note),
                Some("A slot cut too deep cannot be put back: stop at two thirds, string up and measure.".to_owned()),
            )
        } else {
            (
                format!(
                    "Raise the slot of course {number} ({}) by {length}: fill it and cut it anew, or shim the nut.",
                    on.note
                ),
                None,
            )
        };
        self.go(
            Words {
                id: format!("slot-{number}"),
                kind: "slot",
                what,
                check: format!("String up to pitch and measure the gap at the first fret of course {number} again."),
                warning,
                measure: &["gap_1_mm", "gap_12_mm"],
            },
            vec![step_course(on, by)],
            None,
            Does::Slot(on.course, to),
        );
    }

    fn contact(&mut self, on: &OnBench, saddle: f64, nut: f64) {
        let Some(now) = self.at(on) else { return };
        let (by, by_nut) = (saddle - now.saddle_setback_mm, nut - now.nut_setback_mm);
        let is_nut = by_nut.abs() >= NEAR_SETBACK_MM;
        if by.abs() < NEAR_SETBACK_MM && !is_nut {
            return;
        }
        let number = on.course + 1;
        let way = |by: f64| if by < 0.0 { "forward" } else { "back" };
        let mut what = format!(
            "Move the contact point of course {number} ({}) on the saddle {} by {}, to a setback of {}.",
            on.note,
            way(by),
            self.units.length(by.abs()),
            self.units.length(saddle)
        );
        if is_nut {
            // A nut setback grows away from the bridge.
            let way = if by_nut < 0.0 {
                "towards the bridge"
            } else {
                "away from the bridge"
            };
            what.push_str(&format!(
                " Move the nut's edge under it {way} by {}.",
                self.units.length(by_nut.abs())
            ));
        }
        self.go(
            Words {
                id: format!("contact-{number}"),
                kind: "contact",
                what,
                check: format!(
                    "Tune the open course {number} and read fret 12 and two or three more with a tuner before filing further."
                ),
                warning: Some("Keep the crown's height while its edge is moved: file the slope, not the top.".into()),
                measure: &["saddle_setback_mm", "nut_setback_mm", "gap_12_mm"],
            },
            vec![step_course(on, by)],
            None,
            Does::Contact(on.course, saddle, nut),
        );
    }
}

fn step_course(on: &OnBench, by_mm: f64) -> StepCourse {
    StepCourse {
        course: on.course + 1,
        note: on.note.clone(),
        by_mm,
    }
}

/// A step's effect in words.
fn effect_text(before: &Standing, after: &Standing, units: Units) -> String {
    let mut text = format!(
        "Finger {} → {}, headroom {} → {}",
        units.force_number(before.finger_n),
        units.force(after.finger_n),
        units.force_number(before.headroom_n),
        units.force(after.headroom_n),
    );
    if let (Some(a), Some(b)) = (before.cents, after.cents) {
        text.push_str(&format!(
            ", worst note {} → {} cents",
            signed(a, 1),
            signed(b, 1)
        ));
    }
    text.push('.');
    text
}
