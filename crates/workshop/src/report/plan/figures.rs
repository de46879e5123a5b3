//! The plan's figures, ready to be drawn and written.

use super::bench::{Bench, OnBench, finite};
use super::does::Does;
use super::solved;
use crate::problem::clean;
use crate::records::{Instrument, Release, Setup};
use crate::report::fretting::Under;
use crate::units::Units;
use serde::Serialize;
use strungwell_physics::quantity::InBenchUnits;

/// A sentence with a fixed word for programs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Said {
    /// The fixed word.
    pub code: &'static str,
    /// The sentence for people.
    pub text: String,
}

impl Said {
    pub(super) fn new(code: &'static str, text: impl Into<String>) -> Self {
        let text = text.into();
        Self { code, text }
    }
}

/// Something that the plan cannot do, and what would be needed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// A fixed word for programs.
    pub code: &'static str,
    /// The sentence for people.
    pub text: String,
    /// Whether it is a job for someone else, unless the shop does such work.
    pub someone_else: bool,
}

/// Where the heights of a plan come from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TargetFigures {
    /// The record's word: `solver`, `practice`, `wish` or `typed`.
    pub word: &'static str,
    /// The target in words.
    pub label: String,
    /// Where it comes from.
    pub source: String,
}

/// The pluck that must stay clear.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlayerFigures {
    /// The player's id; none for the instrument's own pluck.
    pub id: Option<String>,
    /// The player's name; empty for the instrument's own pluck.
    pub name: String,
    /// The force in N.
    pub force_n: f64,
    /// Where, in mm from the saddle; none is a quarter of each course's scale.
    pub from_saddle_mm: Option<f64>,
    /// `away` or `towards`.
    pub release: &'static str,
}

/// The three things that move together, over all courses of the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Standing {
    /// The finger's mean force in N over frets 1 to 12, the strings of a course together, averaged over the courses.
    pub finger_n: f64,
    /// The hardest pluck in N that keeps every note clear; 0 where a note is blocked.
    pub headroom_n: f64,
    /// The course (from 1), the fret pressed (0 is the open string) and the fret that it would touch first.
    pub worst: Option<[u32; 3]>,
    /// The most that a note of frets 1 to 12 is off, in cents with its sign.
    pub cents: Option<f64>,
    /// Its course (from 1) and fret.
    pub cents_at: Option<[u32; 2]>,
    /// How many notes cannot sound.
    pub blocked: u32,
}

/// One course at some heights.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct CourseFigures {
    /// Height of the string at the nut over the line of the fret tops, in mm.
    pub nut_mm: f64,
    /// The same at the saddle's crown.
    pub saddle_mm: f64,
    /// Gap in mm over the first fret in front of its nut.
    pub gap_1_mm: f64,
    /// Gap in mm over the twelfth.
    pub gap_12_mm: f64,
    /// Saddle setback in mm.
    pub saddle_setback_mm: f64,
    /// Nut setback in mm.
    pub nut_setback_mm: f64,
    /// The finger's mean force in N over frets 1 to 12, the strings together.
    pub finger_n: f64,
    /// The hardest pluck in N that keeps every note clear; 0 where one is blocked.
    pub headroom_n: f64,
    /// The fret pressed (0 is the open string) of the note with the least headroom, and the fret that it would touch first.
    pub worst: Option<[u32; 2]>,
    /// The most that a note of frets 1 to 12 is off, in cents with its sign.
    pub cents: Option<f64>,
    /// Its fret.
    pub cents_fret: Option<u32>,
    /// How many notes cannot sound.
    pub blocked: u32,
}

/// One course as found and as left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CoursePlan {
    /// The course, from 1.
    pub course: usize,
    /// Its open note.
    pub note: String,
    /// As found.
    pub found: Option<CourseFigures>,
    /// As left.
    pub left: Option<CourseFigures>,
    /// What stops it from being lower.
    pub binds: Vec<Said>,
}

/// What a step does to the three things, over all courses.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Effect {
    /// Before it.
    pub before: Standing,
    /// After it.
    pub after: Standing,
}

/// How much a step changes at one course.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StepCourse {
    /// The course, from 1.
    pub course: usize,
    /// Its open note.
    pub note: String,
    /// In mm: positive raises, or moves back; negative takes off, or moves forward.
    pub by_mm: f64,
}

/// One step of the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// By which it is ticked off: `dress-7`, `relief`, `saddle`, `slot-3`, `contact-3`. It stays the same while the step is in
    /// the plan.
    pub id: String,
    /// `dress`, `relief`, `saddle`, `slot` or `contact`.
    pub kind: &'static str,
    /// What to do, in bench units.
    pub what: String,
    /// How much at each course; empty where it is not at courses.
    pub courses: Vec<StepCourse>,
    /// The fret that it is at; none elsewhere.
    pub fret: Option<u32>,
    /// What it does.
    pub effect: Effect,
    /// The same in words.
    pub effect_text: String,
    /// What stops it from going further, in sentences.
    pub binds: Vec<String>,
    /// The check to make before the next step.
    pub check: String,
    /// What cannot be put back; none when it can.
    pub warning: Option<String>,
    /// The fields to measure again after it, as [`super::TickOff`] has them: `gap_1_mm`, `gap_12_mm`, `relief_mm`,
    /// `saddle_setback_mm`, `nut_setback_mm`, `fret_mm`.
    pub measure: Vec<&'static str>,
    #[serde(skip)]
    pub(super) does: Does,
}

/// One point of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurveSpot {
    /// The finger's mean force in N, as [`Standing::finger_n`].
    pub finger_n: f64,
    /// Headroom in N, as [`Standing::headroom_n`].
    pub headroom_n: f64,
    /// Relief in mm; none where it is as found.
    pub relief_mm: Option<f64>,
}

/// The trade: the least finger force for every headroom.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CurveFigures {
    /// From a soft pluck to a hard one.
    pub points: Vec<CurveSpot>,
    /// Where the instrument stands.
    pub found: CurveSpot,
    /// Where the plan leaves it.
    pub left: CurveSpot,
    /// The pluck that must stay clear, in N.
    pub pluck_n: f64,
}

/// A setup as the plan leaves it, with the fields of the workshop file.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PlannedSetup {
    /// One entry a course.
    pub courses: Vec<PlannedCourse>,
    /// Depth of the relief.
    pub relief_mm: Option<f64>,
    /// Where it is measured.
    pub relief_fret: Option<u32>,
    /// How far each fret's top stands over the smooth line.
    pub fret_tops_mm: Option<Vec<f64>>,
}

/// One course of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PlannedCourse {
    /// Gap at the first fret before its nut.
    pub gap_1_mm: Option<f64>,
    /// Gap at the twelfth.
    pub gap_12_mm: Option<f64>,
    /// Saddle setback.
    pub saddle_setback_mm: Option<f64>,
    /// Nut setback.
    pub nut_setback_mm: Option<f64>,
}

impl PlannedSetup {
    pub(super) fn of(setup: &Setup) -> Self {
        Self {
            courses: setup
                .courses
                .iter()
                .map(|c| PlannedCourse {
                    gap_1_mm: c.gap_1_mm,
                    gap_12_mm: c.gap_12_mm,
                    saddle_setback_mm: c.saddle_setback_mm,
                    nut_setback_mm: c.nut_setback_mm,
                })
                .collect(),
            relief_mm: setup.relief_mm,
            relief_fret: setup.relief_fret,
            fret_tops_mm: setup.fret_tops_mm.clone(),
        }
    }
}

/// The whole plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanView {
    /// Where the heights come from.
    pub target: TargetFigures,
    /// Whose pluck must stay clear.
    pub player: PlayerFigures,
    /// The limit of cents.
    pub cents_limit: f64,
    /// All courses as found.
    pub found: Standing,
    /// All courses as left.
    pub left: Standing,
    /// Whether every note of the courses in the plan stays clear of the pluck as left.
    pub is_clear: bool,
    /// Whether every note keeps the limit of cents as left.
    pub is_in_tune: bool,
    /// The courses.
    pub courses: Vec<CoursePlan>,
    /// Relief in mm as found; none when not measured.
    pub relief_found_mm: Option<f64>,
    /// Relief in mm as left.
    pub relief_left_mm: Option<f64>,
    /// What to do, in order. Empty when nothing is left to do.
    pub steps: Vec<Step>,
    /// What to loosen where the limits cannot all be met.
    pub loosen: Vec<Said>,
    /// What the plan cannot do.
    pub notes: Vec<Note>,
    /// The setup as left.
    pub setup: PlannedSetup,
    /// The saddle's crown as left; none where it cannot be said.
    pub camber: Option<CamberFigures>,
    /// Why not.
    pub camber_missing: Option<String>,
    /// The trade curve; none unless it was asked for.
    pub curve: Option<CurveFigures>,
    /// What keeps courses, or all of it, out of the plan.
    pub missing: Vec<Said>,
    /// The setup as left, as a record.
    #[serde(skip)]
    pub setup_left: Setup,
}

use super::camber::CamberFigures;

/// A note counts as clear when its headroom reaches this share of the pluck, and in tune within as much over the limit.
const GIVE: f64 = 0.05;

impl PlanView {
    /// A view with nothing planned: what it goes by, and what is missing.
    pub(super) fn empty(bench: &Bench, _units: Units) -> Self {
        let chosen = bench.plan.player.as_deref();
        let players = &bench.instrument.players;
        let player = players.iter().find(|p| Some(p.id.as_str()) == chosen);
        let pluck = &bench.instrument.pluck;
        let missing = bench
            .unknown
            .iter()
            .map(|(course, why)| Said::new("course-not-known", format!("Course {course}: {why}.")));
        Self {
            target: solved::target(bench).figures,
            player: PlayerFigures {
                id: player.map(|p| p.id.clone()),
                name: player.map(|p| clean(&p.name, 60)).unwrap_or_default(),
                force_n: pluck.force_n,
                from_saddle_mm: pluck.from_saddle_mm,
                release: match pluck.release {
                    Release::Away => "away",
                    Release::Towards => "towards",
                },
            },
            cents_limit: bench.plan.cents_limit,
            found: Standing::default(),
            left: Standing::default(),
            is_clear: false,
            is_in_tune: false,
            courses: Vec::new(),
            relief_found_mm: bench.instrument.setup.relief_mm,
            relief_left_mm: bench.instrument.setup.relief_mm,
            steps: Vec::new(),
            loosen: Vec::new(),
            notes: Vec::new(),
            setup: PlannedSetup::of(&bench.instrument.setup),
            camber: None,
            camber_missing: None,
            curve: None,
            missing: missing.collect(),
            setup_left: bench.instrument.setup.clone(),
        }
    }

    /// Whether nothing is left to do and what was asked is kept.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.steps.is_empty() && self.is_clear && self.is_in_tune
    }

    /// Says whether it keeps what was asked.
    pub(super) fn keep_promises(&mut self, bench: &Bench) {
        self.is_clear = self.left.headroom_n >= self.player.force_n * (1.0 - GIVE);
        self.is_in_tune = self
            .left
            .cents
            .is_some_and(|cents| cents.abs() <= bench.plan.cents_limit * (1.0 + GIVE));
    }
}

/// A course at the heights of a record; none where they cannot be.
pub(super) fn course_figures(
    bench: &Bench,
    on: &OnBench,
    record: &Instrument,
) -> Option<CourseFigures> {
    let course = record.courses.get(on.course)?;
    let setup = record.setup.courses.get(on.course)?;
    let under = Under::of(record, course, setup).ok()?;
    let stand = bench.stand(on, record)?;
    let set = under.line.setbacks(&under.board);
    Some(CourseFigures {
        nut_mm: finite(under.line.nut_height())?,
        saddle_mm: finite(under.line.saddle_height())?,
        gap_1_mm: setup.gap_1_mm?,
        gap_12_mm: setup.gap_12_mm?,
        saddle_setback_mm: finite(set.saddle)?,
        nut_setback_mm: finite(set.nut)?,
        finger_n: stand.force.bench(),
        headroom_n: stand.headroom.bench(),
        worst: stand.worst.map(|(fret, touches)| [fret, touches]),
        cents: stand.cents.map(|(_, cents)| cents.0),
        cents_fret: stand.cents.map(|(fret, _)| fret),
        blocked: stand.blocked,
    })
}

/// All courses together.
pub(super) fn standing(bench: &Bench, courses: &[Option<CourseFigures>]) -> Standing {
    let mut all = Standing {
        headroom_n: f64::INFINITY,
        ..Standing::default()
    };
    let (mut sum, mut count) = (0.0, 0.0);
    for (on, figures) in bench.courses.iter().zip(courses) {
        let Some(figures) = figures else { continue };
        let number = u32::try_from(on.course + 1).unwrap_or(u32::MAX);
        sum += figures.finger_n;
        count += 1.0;
        all.blocked += figures.blocked;
        if figures.headroom_n < all.headroom_n {
            all.headroom_n = figures.headroom_n;
            all.worst = figures.worst.map(|[fret, touches]| [number, fret, touches]);
        }
        let more = |c: f64| all.cents.is_none_or(|most| c.abs() > most.abs());
        if figures.cents.is_some_and(more) {
            all.cents = figures.cents;
            all.cents_at = figures.cents_fret.map(|fret| [number, fret]);
        }
    }
    if count > 0.0 {
        all.finger_n = sum / count;
    }
    if !all.headroom_n.is_finite() {
        all.headroom_n = 0.0;
    }
    all
}
