//! The saddle seen from above: where each course's contact point would stand best, a straight saddle through these places,
//! what that costs each course, and the cents of every note as it stands and as proposed.

mod figures;
mod line;
mod put;

pub use figures::{NoteCents, SaddleCourse, SaddleView, Strand};
pub use line::{SaddleCourseReport, SaddleReport};
pub use put::{Place, put_saddle, setup_of};

pub(super) use line::saddle_report;
pub(super) use put::filed;

use super::fretting::Under;
use super::{CourseReport, InstrumentReport, StringFigures};
use crate::records::{CourseSetup, Instrument};
use line::{across, offset_and_slant, straight};
use strungwell_physics::fretboard::Setbacks;
use strungwell_physics::intonation::{Aim, NutRule, Optimum, Rule, optimum, residual};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::InBenchUnits;

/// What the proposal is to bring into tune, and by moving what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SaddleAim {
    /// The lowest fret that counts, from 1.
    pub first_fret: u32,
    /// The highest fret that counts.
    pub last_fret: u32,
    /// The least greatest error counts, not the least sum of squares.
    pub minimax: bool,
    /// The nut stays where it stands.
    pub nut_stays: bool,
}

impl Default for SaddleAim {
    /// Frets 1 to 12 by least squares, saddle and nut both: what the report proposes.
    fn default() -> Self {
        Self {
            first_fret: 1,
            last_fret: 12,
            minimax: false,
            nut_stays: false,
        }
    }
}

impl SaddleAim {
    fn aim(self) -> Aim<'static> {
        let first = self.first_fret.max(1);
        Aim {
            frets: first..=self.last_fret.max(first),
            weights: None,
            rule: if self.minimax {
                Rule::Minimax
            } else {
                Rule::LeastSquares
            },
            nut: self.nut(),
        }
    }

    /// Whether the nut may move, as intonation says it.
    pub(super) fn nut(self) -> NutRule {
        if self.nut_stays {
            NutRule::Stays
        } else {
            NutRule::Free
        }
    }
}

/// A string lying over its board, with its best setbacks.
struct Seat<'a> {
    course: usize,
    string: usize,
    on_board: StringOnBoard<'a>,
    best: Result<Optimum, String>,
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// The strings of a course that differ from those before them in it.
fn different(course: &CourseReport) -> impl Iterator<Item = (usize, &StringFigures)> {
    course.strings.iter().enumerate().filter(|(i, string)| {
        !course.strings[..*i].iter().any(|other| {
            other.name == string.name && other.fretting.strung == string.fretting.strung
        })
    })
}

fn course_setup(instrument: &Instrument, course: usize) -> CourseSetup {
    instrument
        .setup
        .courses
        .get(course)
        .cloned()
        .unwrap_or_default()
}

/// The board under each course that has heights and a string at pitch.
fn boards(instrument: &Instrument, courses: &[CourseReport]) -> Vec<Option<Under>> {
    courses
        .iter()
        .enumerate()
        .map(|(i, course)| {
            let is_heard = course
                .strings
                .iter()
                .any(|s| s.fretting.missing.is_none() && s.fretting.strung.is_some());
            let on = instrument.courses.get(i).filter(|_| is_heard)?;
            Under::of(instrument, on, instrument.setup.courses.get(i)?).ok()
        })
        .collect()
}

fn seat<'a>(
    instrument: &Instrument,
    under: &'a Option<Under>,
    course: usize,
    figures: &StringFigures,
) -> Option<StringOnBoard<'a>> {
    let on = instrument.courses.get(course)?;
    let strung = figures
        .fretting
        .strung
        .filter(|_| figures.fretting.missing.is_none())?;
    under.as_ref()?.strung(instrument, on, &strung).ok()
}

/// The saddle of an instrument seen from above, and its map of cents, for an aim. `report` is the same instrument's.
#[must_use]
pub fn saddle_view(
    instrument: &Instrument,
    report: &InstrumentReport,
    aim: &SaddleAim,
) -> SaddleView {
    let under = boards(instrument, &report.courses);
    let wanted = aim.aim();
    let mut seats = Vec::new();
    for (i, course) in report.courses.iter().enumerate() {
        for (string, figures) in different(course) {
            let found = under.get(i).and_then(|u| seat(instrument, u, i, figures));
            seats.extend(found.map(|on_board| Seat {
                course: i,
                string,
                best: optimum(&on_board, &wanted).map_err(|why| why.to_string()),
                on_board,
            }));
        }
    }
    let line = straight(seats.iter().filter_map(|s| {
        let best = s.best.as_ref().ok()?;
        Some((s.course, best.saddle_mm.value, best.saddle_weight))
    }));
    let mut courses: Vec<SaddleCourse> = report
        .courses
        .iter()
        .enumerate()
        .map(|(i, course)| {
            let line_mm = line.as_ref().and_then(|l| finite(l.at(across(i)).bench()));
            at_saddle(
                &course.note,
                &course_setup(instrument, i),
                &seats,
                i,
                line_mm,
            )
        })
        .collect();
    let mut strands = Vec::new();
    for (i, course) in report.courses.iter().enumerate() {
        for (string, figures) in different(course) {
            let seat = seats.iter().find(|s| s.course == i && s.string == string);
            let octave_fret = instrument.frets.min(
                instrument
                    .courses
                    .get(i)
                    .map_or(0, |c| c.first_fret)
                    .saturating_add(12),
            );
            let mut strand = strand(i, string, course, figures, octave_fret);
            if let (Some(seat), Some(at)) = (seat, courses.get_mut(i)) {
                heard(&mut strand, seat, at, &wanted);
            }
            strands.push(strand);
        }
    }
    let ends = line
        .as_ref()
        .and_then(|l| offset_and_slant(l, courses.len()));
    let sharpest = strands
        .iter()
        .enumerate()
        .filter_map(|(i, s)| Some((i, s.octave_cents?)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(i, _)| i);
    SaddleView {
        aim: *aim,
        strands,
        courses,
        offset_mm: ends.map(|e| e.0),
        slant_mm: ends.map(|e| e.1),
        sharpest,
    }
}

/// A course's best place: that of its string, or between those of its strings by how much each minds.
fn at_saddle(
    note: &str,
    setup: &CourseSetup,
    seats: &[Seat<'_>],
    course: usize,
    line_mm: Option<f64>,
) -> SaddleCourse {
    let own: Vec<&Optimum> = seats
        .iter()
        .filter(|s| s.course == course)
        .filter_map(|s| s.best.as_ref().ok())
        .collect();
    let between = |of: fn(&Optimum) -> f64| {
        let place = straight(own.iter().map(|best| (0, of(best), best.saddle_weight)))?;
        finite(place.setback.bench())
    };
    let range =
        |low: fn(&Optimum) -> f64, high: fn(&Optimum) -> f64| Some([between(low)?, between(high)?]);
    SaddleCourse {
        note: note.to_owned(),
        now_mm: setup.saddle_setback_mm.unwrap_or(0.0),
        nut_now_mm: setup.nut_setback_mm.unwrap_or(0.0),
        best_mm: between(|b| b.saddle_mm.value),
        best_band_mm: range(|b| b.saddle_mm.low, |b| b.saddle_mm.high),
        nut_best_mm: between(|b| b.nut_mm.value),
        nut_band_mm: range(|b| b.nut_mm.low, |b| b.nut_mm.high),
        line_mm,
        cost_cents: None,
    }
}

fn strand(
    course: usize,
    string: usize,
    of: &CourseReport,
    figures: &StringFigures,
    octave_fret: u32,
) -> Strand {
    let notes: Vec<NoteCents> = figures
        .fretting
        .frets
        .iter()
        .map(|f| NoteCents {
            fret: f.fret,
            now: f.cents,
            band: f.cents_band,
            best: None,
            blocked: f.blocked.clone(),
        })
        .collect();
    Strand {
        course,
        string,
        note: of.note.clone(),
        name: figures.name.clone(),
        octave_fret,
        octave_cents: notes
            .iter()
            .find(|n| n.fret == octave_fret)
            .and_then(|n| n.now),
        notes,
        rms_now: None,
        rms_best: None,
        rms_line: None,
        worst_best: None,
        missing: figures.fretting.missing.clone(),
    }
}

/// Fills in what a strand does as it stands, at the course's proposed setbacks, and on the straight saddle.
fn heard(strand: &mut Strand, seat: &Seat<'_>, course: &mut SaddleCourse, aim: &Aim<'_>) {
    if let Err(why) = &seat.best {
        strand.missing = Some(why.clone());
    }
    let left = |string: &StringOnBoard<'_>| residual(string, aim);
    strand.rms_now = left(&seat.on_board).and_then(|r| finite(r.rms_with_open().0));
    let (Some(saddle), Some(nut)) = (course.best_mm, course.nut_best_mm) else {
        return;
    };
    if let Ok(there) = seat
        .on_board
        .clone()
        .with_setbacks(Setbacks::in_mm(saddle, nut))
    {
        for note in &mut strand.notes {
            note.best = there
                .press(note.fret)
                .ok()
                .and_then(|p| finite(p.cents().0));
        }
        let left = left(&there);
        strand.rms_best = left.and_then(|r| finite(r.rms_with_open().0));
        strand.worst_best = left.and_then(|r| Some((r.worst.0, finite(r.worst.1.0)?)));
    }
    let on_line = course.line_mm.and_then(|line| {
        seat.on_board
            .clone()
            .with_setbacks(Setbacks::in_mm(line, nut))
            .ok()
    });
    strand.rms_line = on_line.and_then(|there| finite(left(&there)?.rms_with_open().0));
    if let (Some(line), Some(best)) = (strand.rms_line, strand.rms_best) {
        let cost = line - best;
        course.cost_cents = Some(course.cost_cents.map_or(cost, |most| most.max(cost)));
    }
}

#[cfg(test)]
mod tests;
