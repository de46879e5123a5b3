//! What each fretted note of a string does: its pitch error, the finger's force, its room to swing; and the best setbacks.

use crate::records::{Course, CourseSetup, Instrument, Release};
use serde::Serialize;
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::clearance::{self, Pluck};
use strungwell_physics::fretboard::{Fretboard, Setbacks};
use strungwell_physics::heights::{
    FretTops, Gap, Relief, Rocking, StringLine, departures_of_rocking,
};
use strungwell_physics::intonation::{
    Aim, Narrows, NoteError, Optimum, narrows_most, optimum_from, residual_of,
};
use strungwell_physics::press::{Press, StringOnBoard};
use strungwell_physics::quantity::{Cents, InBenchUnits, Length, mm, newtons};
use strungwell_physics::range::OutOfRange;
use strungwell_physics::strung::Strung;

/// One note of a string: open (0) or pressed to a fret.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FretFigures {
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// Error against equal temperament counted from the open string, in cents; positive is sharp.
    pub cents: Option<f64>,
    /// Its range.
    pub cents_band: Option<[f64; 2]>,
    /// Error in cents when saddle and nut stand at their best places.
    pub cents_best: Option<f64>,
    /// The finger's force in N; none for the open string.
    pub finger_n: Option<f64>,
    /// The highest pluck in mm that stays clear of every fret ahead; none when none lies ahead.
    pub headroom_mm: Option<f64>,
    /// The same as a force in N.
    pub headroom_n: Option<f64>,
    /// The fret that a harder pluck touches first.
    pub touches_fret: Option<u32>,
    /// Gap in mm under the open string at this fret.
    pub gap_mm: Option<f64>,
    /// Why the note cannot sound; none when it can.
    pub blocked: Option<String>,
}

/// What pressing a string does, over all its frets. Empty where no heights were measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Fretting {
    /// The best saddle setback in mm; positive lengthens.
    pub saddle_setback_mm: Option<f64>,
    /// Its range.
    pub saddle_setback_band_mm: Option<[f64; 2]>,
    /// The best nut setback in mm; negative shortens.
    pub nut_setback_mm: Option<f64>,
    /// Root mean square of the errors at the best setbacks, in cents, over the open string and frets 1 to 12.
    pub rms_cents: Option<f64>,
    /// The same as the instrument stands.
    pub rms_now_cents: Option<f64>,
    /// Height of the string's underside over the line of the fret tops, at the nut's front edge, in mm.
    pub nut_height_mm: Option<f64>,
    /// The same at the saddle's crown.
    pub saddle_height_mm: Option<f64>,
    /// The note with the least headroom: its fret.
    pub worst_fret: Option<u32>,
    /// Its headroom in N.
    pub worst_headroom_n: Option<f64>,
    /// The measurement that would narrow the ranges most, in words.
    pub narrows: Option<&'static str>,
    /// Why there are no best setbacks although the notes were computed; none when there are.
    pub setbacks_missing: Option<String>,
    /// Why nothing can be said; none when something can.
    pub missing: Option<String>,
    /// The notes, the open string first.
    pub frets: Vec<FretFigures>,
    /// How much this course minds a saddle that is not at its best place: for the saddle's straight line.
    #[serde(skip)]
    pub saddle_weight: f64,
    /// The string at pitch: for what else can be asked of it.
    #[serde(skip)]
    pub strung: Option<Strung>,
}

impl Fretting {
    /// The note an octave over the open string; none when it does not sound or nothing was measured.
    #[must_use]
    pub fn octave(&self) -> Option<&FretFigures> {
        // The open string stands first, then the frets in front of this course's own nut, one by one.
        self.frets.get(12).filter(|note| note.cents.is_some())
    }
}

/// A gap's doubt in mm: half a step of a set of feeler gauges, common practice.
const GAP_DOUBT_MM: f64 = 0.05;

/// The share of the scale at which a player plucks when nobody said where, common practice.
const PLUCK_SHARE: f64 = 0.25;

/// Height of a fret's crown in mm where nobody measured it, common practice.
const FRET_HEIGHT_MM: f64 = 1.0;

/// A board, its fret tops and a string's line over them: what stands under one string.
pub(super) struct Under {
    pub(super) board: Fretboard,
    pub(super) tops: FretTops,
    pub(super) line: StringLine,
}

impl Under {
    /// The board under a course with its heights as set up.
    pub(super) fn of(
        instrument: &Instrument,
        course: &Course,
        setup: &CourseSetup,
    ) -> Result<Self, String> {
        let (Some(gap_1), Some(gap_12)) = (setup.gap_1_mm, setup.gap_12_mm) else {
            return Err("the gaps at fret 1 and fret 12 are not measured".into());
        };
        let said = |why: OutOfRange| why.to_string();
        let board = board_of(instrument, course).map_err(said)?;
        let tops = tops_of(instrument, &board).map_err(said)?;
        let setbacks = Setbacks::in_mm(
            setup.saddle_setback_mm.unwrap_or(0.0),
            setup.nut_setback_mm.unwrap_or(0.0),
        );
        let gaps = measured_frets(course);
        let line = StringLine::through_gaps(
            &board,
            &tops,
            setbacks,
            [
                Gap {
                    fret: gaps[0],
                    gap: mm(gap_1),
                },
                Gap {
                    fret: gaps[1],
                    gap: mm(gap_12),
                },
            ],
        )
        .map_err(said)?;
        Ok(Self { board, tops, line })
    }

    /// A string at pitch over it, pressed as the player presses.
    pub(super) fn strung(
        &self,
        instrument: &Instrument,
        course: &Course,
        strung: &Strung,
    ) -> Result<StringOnBoard<'_>, String> {
        let press = Press {
            finger_behind: mm(instrument.press.finger_behind_mm),
            fret_reaction: newtons(instrument.press.fret_reaction_n),
        };
        StringOnBoard::new(strung, &self.board, &self.tops, self.line)
            .and_then(|string| string.pressed_by(press))
            .and_then(|string| string.with_gap_doubt(measured_frets(course), mm(GAP_DOUBT_MM)))
            .map_err(|why| why.to_string())
    }
}

/// The board under a course.
pub(super) fn board_of(instrument: &Instrument, course: &Course) -> Result<Fretboard, OutOfRange> {
    let scale = mm(course.scale_mm.unwrap_or(instrument.scale_mm));
    Fretboard::new(scale, instrument.frets)?.starting_at(course.first_fret)
}

/// Height of an instrument's fret crowns.
pub(super) fn crowns(instrument: &Instrument) -> Length {
    mm(instrument.fret_height_mm.unwrap_or(FRET_HEIGHT_MM))
}

/// The fret at which an instrument's relief is measured: the middle one where nobody said which.
pub(super) fn relief_fret(instrument: &Instrument) -> u32 {
    instrument.setup.relief_fret.unwrap_or(instrument.frets / 2)
}

/// The fret tops of a board as set up.
pub(super) fn tops_of(instrument: &Instrument, board: &Fretboard) -> Result<FretTops, OutOfRange> {
    let relief = instrument.setup.relief_mm.unwrap_or(0.0);
    let mut tops = if relief == 0.0 {
        FretTops::straight(board, crowns(instrument))
    } else {
        let relief = Relief::over(mm(relief), relief_fret(instrument));
        FretTops::relieved(board, &relief, crowns(instrument))
    }?;
    for (fret, top) in (1..=instrument.frets).zip(instrument.setup.fret_tops_mm.iter().flatten()) {
        if *top != 0.0 {
            tops = tops.with_departure(fret, mm(*top))?;
        }
    }
    for (fret, top) in rocking(instrument, board)? {
        tops = tops.with_departure(fret, mm(top))?;
    }
    Ok(tops)
}

/// How far frets stand over the smooth line by a rocker's readings, in mm, where no measured height says it.
fn rocking(instrument: &Instrument, board: &Fretboard) -> Result<Vec<(u32, f64)>, OutOfRange> {
    let Some(plan) = instrument.plan.as_ref().filter(|p| !p.rocking.is_empty()) else {
        return Ok(Vec::new());
    };
    let read: Vec<Rocking> = plan
        .rocking
        .iter()
        .map(|r| Rocking {
            fret: r.fret,
            gap: mm(r.gap_mm),
        })
        .collect();
    let found = departures_of_rocking(board, &read)?;
    let measured = instrument.setup.fret_tops_mm.as_deref().unwrap_or_default();
    let is_measured = |fret: u32| {
        measured
            .get((fret as usize).saturating_sub(1))
            .is_some_and(|z| *z != 0.0)
    };
    let stands = read.iter().zip(&found).map(|(r, z)| (r.fret, z.bench()));
    Ok(stands.filter(|s| !is_measured(s.0)).collect())
}

/// Writes what a rocker says of the frets into their heights and lets the plan go, which has it. A plan stays whose readings
/// cannot be, so that the report says so.
pub(crate) fn let_plan_go(instrument: &mut Instrument) {
    let board = Fretboard::new(mm(instrument.scale_mm), instrument.frets);
    let found = board.and_then(|board| rocking(instrument, &board));
    let Ok(found) = found else {
        return;
    };
    for (fret, stands) in found {
        let tops = instrument.setup.fret_tops_mm.get_or_insert_default();
        let at = (fret as usize).saturating_sub(1);
        if tops.len() <= at {
            tops.resize(at + 1, 0.0);
        }
        tops[at] = stands;
    }
    instrument.plan = None;
}

/// Frets that stand off the smooth line, from measured heights or a rocker's readings: number, and how far in mm.
pub(super) fn departures(instrument: &Instrument) -> Vec<(u32, f64)> {
    let measured = instrument.setup.fret_tops_mm.iter().flatten();
    let mut all: Vec<(u32, f64)> = (1..=instrument.frets)
        .zip(measured)
        .map(|(fret, z)| (fret, *z))
        .collect();
    let board = Fretboard::new(mm(instrument.scale_mm), instrument.frets);
    if let Ok(board) = board
        && let Ok(found) = rocking(instrument, &board)
    {
        all.retain(|a| !found.iter().any(|f| f.0 == a.0));
        all.extend(found);
    }
    all.retain(|a| a.1 != 0.0);
    all.sort_by_key(|a| a.0);
    all
}

/// The frets at which the two gaps of a course are measured: the first and the twelfth in front of its nut.
pub(super) fn measured_frets(course: &Course) -> [u32; 2] {
    [course.first_fret + 1, course.first_fret + 12]
}

/// The player's pluck on a course.
pub(super) fn pluck(instrument: &Instrument, course: &Course) -> Result<Pluck, String> {
    let scale = course.scale_mm.unwrap_or(instrument.scale_mm);
    let from_saddle = instrument
        .pluck
        .from_saddle_mm
        .unwrap_or(PLUCK_SHARE * scale);
    let release = match instrument.pluck.release {
        Release::Away => clearance::Release::Away,
        Release::Towards => clearance::Release::Towards,
    };
    Pluck::new(newtons(instrument.pluck.force_n), mm(from_saddle), release)
        .map_err(|why| why.to_string())
}

/// Presses a string to every fret of a course, counted from 0, as the instrument is set up.
#[must_use]
pub(super) fn fretting(instrument: &Instrument, course: usize, at: &AtPitch) -> Fretting {
    let strung = at.strung();
    let missing = |why: String| Fretting {
        missing: Some(why),
        strung,
        ..Fretting::default()
    };
    let Some(on) = instrument.courses.get(course) else {
        return missing("there is no such course".into());
    };
    let Some(setup) = instrument.setup.courses.get(course) else {
        return missing("the heights of this course are not measured".into());
    };
    let Some(strung) = strung else {
        return missing("the string's stretch is not known".into());
    };
    let found = Under::of(instrument, on, setup).and_then(|under| {
        let string = under.strung(instrument, on, &strung)?;
        let pluck = pluck(instrument, on)?;
        Ok(Fretting {
            strung: Some(strung),
            ..all(&string, &pluck)
        })
    });
    found.unwrap_or_else(missing)
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

fn all(string: &StringOnBoard<'_>, pluck: &Pluck) -> Fretting {
    let aim = Aim::default();
    let notes = string.frets().size_hint().0 + 1;
    let (mut frets, mut errors) = (Vec::with_capacity(notes), Vec::with_capacity(notes));
    for fret in std::iter::once(0).chain(string.frets()) {
        frets.push(note(string, fret, pluck, &mut errors));
    }
    // Both what is left now and where the best place lies begin with the errors just found.
    let known = || {
        let sounding = frets.iter().skip(1);
        sounding.filter_map(|f| Some((f.fret, Cents(f.cents?))))
    };
    let left_now = residual_of(known(), &aim);
    let (best, setbacks_missing) = match optimum_from(string, known(), &aim) {
        Ok(best) => (Some(best), None),
        Err(why) => (None, Some(why.to_string())),
    };
    let mut left_at_best = None;
    if let Some(best) = best
        && let Ok(there) = string.clone().with_setbacks(best.setbacks)
    {
        for figures in frets.iter_mut().filter(|f| f.blocked.is_none()) {
            let pressed = there.press(figures.fret).ok();
            figures.cents_best = pressed.and_then(|p| finite(p.cents().0));
        }
        let at_best = frets
            .iter()
            .filter_map(|f| Some((f.fret, Cents(f.cents_best?))));
        left_at_best = residual_of(at_best, &aim);
    }
    let worst = frets
        .iter()
        .filter_map(|f| Some((f.fret, f.headroom_n?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    Fretting {
        saddle_setback_mm: best.and_then(|b| finite(b.saddle_mm.value)),
        saddle_setback_band_mm: best
            .and_then(|b| Some([finite(b.saddle_mm.low)?, finite(b.saddle_mm.high)?])),
        nut_setback_mm: best.and_then(|b| finite(b.nut_mm.value)),
        rms_cents: left_at_best.and_then(|r| finite(r.rms_with_open().0)),
        rms_now_cents: left_now.and_then(|r| finite(r.rms_with_open().0)),
        nut_height_mm: finite(string.line().nut_height().bench()),
        saddle_height_mm: finite(string.line().saddle_height().bench()),
        worst_fret: worst.map(|w| w.0),
        worst_headroom_n: worst.map(|w| w.1),
        narrows: narrows_most(&errors).map(narrows_words),
        setbacks_missing,
        missing: None,
        frets,
        saddle_weight: best.map_or(0.0, |b: Optimum| b.saddle_weight),
        strung: None,
    }
}

fn note(
    string: &StringOnBoard<'_>,
    fret: u32,
    pluck: &Pluck,
    errors: &mut Vec<NoteError>,
) -> FretFigures {
    let gap_mm = string
        .gap(fret)
        .and_then(|g| finite(g.bench()))
        .filter(|_| fret > 0);
    match string.press(fret) {
        Err(why) => FretFigures {
            fret,
            cents: None,
            cents_band: None,
            cents_best: None,
            finger_n: None,
            headroom_mm: None,
            headroom_n: None,
            touches_fret: None,
            gap_mm,
            blocked: Some(why.to_string()),
        },
        Ok(pressed) => {
            let error = NoteError::of(&pressed);
            let clear = pressed.clearance(pluck);
            errors.push(error);
            FretFigures {
                fret,
                cents: finite(error.cents.0),
                cents_band: finite(error.low.0)
                    .zip(finite(error.high.0))
                    .map(|(low, high)| [low, high]),
                cents_best: None,
                finger_n: (fret > 0)
                    .then(|| pressed.finger_force().bench())
                    .and_then(finite),
                headroom_mm: clear.headroom.and_then(|h| finite(h.bench())),
                headroom_n: clear.headroom_force.and_then(|h| finite(h.bench())),
                touches_fret: clear.worst_fret,
                gap_mm,
                blocked: None,
            }
        }
    }
}

const fn narrows_words(what: Narrows) -> &'static str {
    match what {
        Narrows::PullTest => "a pull test, which gives the string's stretch",
        Narrows::FretReadings => "tuner readings on several frets, high ones among them",
        Narrows::Gaps => "measuring the gaps more closely",
    }
}
