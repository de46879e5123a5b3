//! An instrument laid on the bench: what the solver needs of its records.

use crate::families;
use crate::problem::clean;
use crate::records::{Instrument, Plan, Pluck, RackString};
use crate::report::fretting::{Under, departures, pluck, relief_fret};
use crate::report::{OpenString, fitted};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::clearance;
use strungwell_physics::heights::{FretTops, Relief, sagitta};
use strungwell_physics::intonation::NutRule;
use strungwell_physics::press::{Press, StringOnBoard};
use strungwell_physics::quantity::{Cents, InBenchUnits, Length, mm, newtons};
use strungwell_physics::solver::{
    CourseJob, CourseLimits, HeldDown, Job, ReliefRange, Stand, least_at_saddle, stand,
};
use strungwell_physics::strung::Strung;

/// The parts of an instrument that a plan looks at and changes; visits and what hangs on them stay behind.
pub(super) fn lean(instrument: &Instrument) -> Instrument {
    Instrument {
        family: instrument.family.clone(),
        a4_hz: instrument.a4_hz,
        scale_mm: instrument.scale_mm,
        frets: instrument.frets,
        fret_height_mm: instrument.fret_height_mm,
        camber_radius_mm: instrument.camber_radius_mm,
        courses: instrument.courses.clone(),
        press: instrument.press.clone(),
        pluck: playing(instrument),
        setup: instrument.setup.clone(),
        neck: instrument.neck.clone(),
        players: instrument.players.clone(),
        plan: Some(Plan {
            ticks: Vec::new(),
            ..instrument.plan.clone().unwrap_or_default()
        }),
        ..Instrument::default()
    }
}

/// The pluck that a plan goes by: the chosen player's, or the instrument's own.
#[must_use]
pub fn playing(instrument: &Instrument) -> Pluck {
    let chosen = instrument.plan.as_ref().and_then(|p| p.player.as_deref());
    let player = instrument
        .players
        .iter()
        .find(|player| Some(player.id.as_str()) == chosen);
    player.map_or_else(
        || instrument.pluck.clone(),
        |player| Pluck {
            force_n: player.force_n,
            from_saddle_mm: player.from_saddle_mm,
            release: player.release,
            ..Pluck::default()
        },
    )
}

/// One course whose strings and heights are known.
pub(super) struct OnBench {
    /// Its place in the instrument, counted from 0.
    pub(super) course: usize,
    /// Its open note, fit to be shown.
    pub(super) note: String,
    pub(super) strings: Vec<(Strung, u32)>,
    pub(super) under: Under,
    /// The fret tops once the high ones are dressed.
    pub(super) dressed: FretTops,
    pub(super) pluck: clearance::Pluck,
    pub(super) across: Length,
    pub(super) frame: Length,
}

/// An instrument on the bench.
pub(super) struct Bench {
    /// Its record, made lean.
    pub(super) instrument: Instrument,
    pub(super) plan: Plan,
    pub(super) courses: Vec<OnBench>,
    /// Courses of which nothing can be said, counted from 1, and why.
    pub(super) unknown: Vec<(usize, String)>,
    /// Frets to dress, with how far they stand over the smooth line in mm.
    pub(super) high: Vec<(u32, f64)>,
    /// Frets that lie low, likewise.
    pub(super) low: Vec<(u32, f64)>,
    /// No player is chosen, and the pluck is what common practice keeps clear.
    pub(super) is_usual_pluck: bool,
    /// There is a rod, and the relief was measured.
    pub(super) has_rod: bool,
}

impl Bench {
    pub(super) fn of(instrument: &Instrument, rack: &[RackString]) -> Self {
        let instrument = lean(instrument);
        let plan = instrument.plan.clone().unwrap_or_default();
        let stands = departures(&instrument);
        let limit = plan.limits.fret_high_mm;
        let mut bench = Self {
            high: stands.iter().filter(|s| s.1 > limit).copied().collect(),
            low: stands.iter().filter(|s| s.1 < -limit).copied().collect(),
            has_rod: instrument.neck.as_ref().is_some_and(|neck| neck.rod)
                && instrument.setup.relief_mm.is_some(),
            is_usual_pluck: false,
            courses: Vec::new(),
            unknown: Vec::new(),
            plan,
            instrument,
        };
        for course in 0..bench.instrument.courses.len() {
            match bench.course(course, rack) {
                Ok(on) => bench.courses.push(on),
                Err(why) => bench.unknown.push((course + 1, why)),
            }
        }
        if bench.plan.player.is_none()
            && let Some(usual) = bench.usual_headroom_n()
            && usual < bench.instrument.pluck.force_n
        {
            bench.is_usual_pluck = true;
            bench.instrument.pluck.force_n = usual;
            for on in &mut bench.courses {
                if let Ok(softer) = on.pluck.with_force(newtons(usual)) {
                    on.pluck = softer;
                }
            }
        }
        bench
    }

    /// The hardest pluck in N that stays clear at the heights of common practice for the family, high frets dressed. None when
    /// no family is known, or a note is blocked there.
    fn usual_headroom_n(&self) -> Option<f64> {
        let action = &families::of(&self.instrument)?.action;
        let usual = action.setup(self.instrument.courses.len());
        let mut record = self.instrument.clone();
        for (fret, _) in &self.high {
            super::does::smooth(&mut record, *fret, 0.0);
        }
        record.setup.relief_mm = usual.relief_mm;
        record.setup.relief_fret = usual.relief_fret;
        for (setup, usual) in record.setup.courses.iter_mut().zip(&usual.courses) {
            setup.gap_1_mm = usual.gap_1_mm;
            setup.gap_12_mm = usual.gap_12_mm;
        }
        let mut least = f64::INFINITY;
        for on in &self.courses {
            least = least.min(self.stand(on, &record)?.headroom.bench());
        }
        (least.is_finite() && least > 0.05).then_some(least)
    }

    fn course(&self, course: usize, rack: &[RackString]) -> Result<OnBench, String> {
        let instrument = &self.instrument;
        let on = instrument
            .courses
            .get(course)
            .ok_or("there is no such course")?;
        let setup = instrument
            .setup
            .courses
            .get(course)
            .ok_or("its heights are not measured")?;
        let open = OpenString::of(instrument, course, &on.note)?;
        let mut strings: Vec<(Strung, u32)> = Vec::new();
        for string in &on.strings {
            let fitted = fitted(string, rack)?;
            let open = open.raised(string.semitones);
            let at = AtPitch::new(&fitted.make, fitted.measured, open.length, open.pitch)
                .map_err(|why| why.to_string())?;
            let strung = at
                .strung()
                .ok_or("the stretch of its string is not known")?;
            match strings.iter_mut().find(|s| s.0 == strung) {
                Some(same) => same.1 += 1,
                None => strings.push((strung, 1)),
            }
        }
        let under = Under::of(instrument, on, setup)?;
        let mut dressed = under.tops.clone();
        for (fret, _) in &self.high {
            dressed = dressed
                .with_departure(*fret, mm(0.0))
                .map_err(|why| why.to_string())?;
        }
        let across = self.across(course);
        let limits = &self.plan.limits;
        let frame = match (instrument.camber_radius_mm, limits.saddle_spread_mm) {
            (Some(radius), Some(_)) => -sagitta(mm(radius), across),
            _ => mm(0.0),
        };
        Ok(OnBench {
            course,
            note: clean(&on.note, 12),
            strings,
            pluck: pluck(instrument, on)?,
            under,
            dressed,
            across,
            frame,
        })
    }

    /// A course's place across the saddle from its middle; the courses count as evenly spaced over the spread, or a unit
    /// apart where that was not measured.
    fn across(&self, course: usize) -> Length {
        let last = self.instrument.courses.len().saturating_sub(1).max(1) as f64;
        let spread = self.plan.limits.saddle_spread_mm.unwrap_or(last);
        mm(spread * (course as f64 / last - 0.5))
    }

    /// The most gap at fret 12 of a course, in mm.
    pub(super) fn gap_12_most_mm(&self, on: &OnBench) -> f64 {
        let practice = families::of(&self.instrument).and_then(|family| {
            let usual = family.action.setup(self.instrument.courses.len());
            usual.courses.get(on.course)?.gap_12_mm
        });
        self.plan.limits.gap_12_most_mm.unwrap_or_else(|| {
            practice.map_or(0.01 * on.under.board.scale().bench(), |gap| 1.5 * gap)
        })
    }

    /// The height of the string at the saddle at which the gap at fret 12 comes to so much, the slot as found; none for a
    /// board without that fret.
    fn saddle_for_gap_12(&self, on: &OnBench, gap_mm: f64) -> Option<Length> {
        let fret = on.under.board.first_fret() + 12;
        let now = on.under.line.gap(&on.under.board, &on.dressed, fret)?;
        let raise = on
            .under
            .line
            .saddle_raise_for(&on.under.board, fret, mm(gap_mm) - now)?;
        Some(on.under.line.saddle_height() + raise)
    }

    /// The gap at fret 12 in mm with the saddle at a height, the slot as found.
    pub(super) fn gap_12_at(&self, on: &OnBench, saddle: Length) -> Option<f64> {
        let fret = on.under.board.first_fret() + 12;
        let line = on.under.line;
        let now = line.gap(&on.under.board, &on.dressed, fret)?;
        let by = line.gap_by_saddle(&on.under.board, fret, saddle - line.saddle_height())?;
        finite(now + by)
    }

    /// The least and most height of the string at the saddle over a course's own line of fret tops, from where the bridge
    /// stands; none where nobody measured that.
    pub(super) fn saddle_range(&self, on: &OnBench) -> Option<(Length, Length)> {
        let limits = &self.plan.limits;
        let top = limits.bridge_top_mm?;
        let held = limits.tie_behind_mm.map(|behind| HeldDown {
            behind: mm(behind),
            below_top: mm(limits.tie_below_mm),
            least_deg: limits.break_least_deg,
        });
        let least = least_at_saddle(mm(top), mm(limits.saddle_least_mm), held);
        let most = mm(top + limits.saddle_most_mm);
        let most = if most < least { least } else { most };
        Some((least - on.frame, most - on.frame))
    }

    /// The limits of a course.
    pub(super) fn limits(&self, on: &OnBench) -> CourseLimits {
        let limits = &self.plan.limits;
        let saddle = self.saddle_range(on);
        CourseLimits {
            slot_floor: mm(limits.slot_floor_mm),
            saddle_least: saddle.map(|s| s.0),
            saddle_most: match (saddle, self.saddle_for_gap_12(on, self.gap_12_most_mm(on))) {
                (Some((least, most)), Some(by_gap)) => {
                    Some(if by_gap < most { by_gap } else { most })
                        .map(|most| if most < least { least } else { most })
                }
                (Some((_, most)), None) => Some(most),
                (None, by_gap) => by_gap,
            },
            setback: limits
                .blank_front_mm
                .zip(limits.blank_mm)
                .map(|(front, width)| (mm(front), mm(front + width))),
        }
    }

    /// The depth of relief as found.
    pub(super) fn relief_mm(&self) -> f64 {
        self.instrument.setup.relief_mm.unwrap_or(0.0)
    }

    pub(super) fn job(&self) -> Job<'_> {
        let (press, limits) = (&self.instrument.press, &self.plan.limits);
        let courses = self.courses.iter().map(|on| CourseJob {
            board: &on.under.board,
            tops: &on.dressed,
            line: on.under.line,
            strings: &on.strings,
            press: Press {
                finger_behind: mm(press.finger_behind_mm),
                fret_reaction: newtons(press.fret_reaction_n),
            },
            pluck: on.pluck,
            limits: self.limits(on),
            across: on.across,
            frame: on.frame,
        });
        let least = limits.relief_least_mm;
        Job {
            courses: courses.collect(),
            relief: self.has_rod.then(|| ReliefRange {
                found: Relief::over(mm(self.relief_mm()), relief_fret(&self.instrument)),
                least: mm(least),
                most: mm(limits.relief_most_mm.max(least)),
            }),
            crown_radius: limits
                .saddle_radius_mm
                .filter(|_| limits.saddle_spread_mm.is_some())
                .map(mm),
            cents_limit: Cents(self.plan.cents_limit),
            nut: if self.plan.nut_moves {
                NutRule::Free
            } else {
                NutRule::Stays
            },
        }
    }

    /// What a course of the bench does with the heights that a record holds.
    pub(super) fn stand(&self, on: &OnBench, record: &Instrument) -> Option<Stand> {
        let course = record.courses.get(on.course)?;
        let setup = record.setup.courses.get(on.course)?;
        let under = Under::of(record, course, setup).ok()?;
        let strings: Vec<(StringOnBoard<'_>, u32)> = on
            .strings
            .iter()
            .map(|(strung, count)| Ok((under.strung(record, course, strung)?, *count)))
            .collect::<Result<_, String>>()
            .ok()?;
        Some(stand(&strings, &on.pluck))
    }
}

/// A length in mm when it is a number.
pub(super) fn finite(length: Length) -> Option<f64> {
    Some(length.bench()).filter(|l| l.is_finite())
}
