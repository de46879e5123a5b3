//! The saddle seen from above: where each course's contact point would stand best, a straight saddle through these places,
//! what that costs each course, and the cents of every note as it stands and as proposed.

use super::fretting::Under;
use super::{CourseReport, InstrumentReport, StringFigures};
use crate::records::{CourseSetup, Instrument};
use serde::Serialize;
use strungwell_physics::fretboard::Setbacks;
use strungwell_physics::intonation::{
    Aim, CourseAtSaddle, NutRule, Optimum, Rule, SaddleLine, optimum, residual,
};
use strungwell_physics::press::StringOnBoard;
use strungwell_physics::quantity::{InBenchUnits, mm};

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

/// A straight saddle, as the report gives it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaddleReport {
    /// Its setback in mm halfway between the outer courses; positive lengthens the strings.
    pub offset_mm: f64,
    /// Its slant in mm from the bass course to the treble course; positive where the setback grows towards the treble.
    pub slant_mm: f64,
    /// One entry a course.
    pub courses: Vec<SaddleCourseReport>,
}

/// One course on a straight saddle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SaddleCourseReport {
    /// The setback in mm that the straight saddle gives it.
    pub setback_mm: f64,
    /// By how much its root mean square error in cents exceeds that at its best place; none where that is not known. Of
    /// several strings, the one that loses most.
    pub cost_cents: Option<f64>,
}

/// One note of the map of cents.
#[derive(Clone, Debug, PartialEq)]
pub struct NoteCents {
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// Error in cents as it stands; none when it cannot sound.
    pub now: Option<f64>,
    /// Its range.
    pub band: Option<[f64; 2]>,
    /// Error in cents at the proposed setbacks.
    pub best: Option<f64>,
    /// Why the note cannot sound as it stands; none when it can.
    pub blocked: Option<String>,
}

/// One string over the frets. Strings of a course that are alike stand here once.
#[derive(Clone, Debug, PartialEq)]
pub struct Strand {
    /// Its course, counted from 0.
    pub course: usize,
    /// Its place in the course, counted from 0.
    pub string: usize,
    /// The open note.
    pub note: String,
    /// The string in words.
    pub name: String,
    /// The notes, the open string first; none when nothing can be said.
    pub notes: Vec<NoteCents>,
    /// The twelfth fret in front of its nut, or the last where there are fewer.
    pub octave_fret: u32,
    /// Error in cents there as it stands.
    pub octave_cents: Option<f64>,
    /// Root mean square of the errors in cents as it stands, over the frets that count and the open string.
    pub rms_now: Option<f64>,
    /// The same at the proposed setbacks.
    pub rms_best: Option<f64>,
    /// The same on the straight saddle, the nut as proposed.
    pub rms_line: Option<f64>,
    /// The fret that is worst at the proposed setbacks, and its error in cents.
    pub worst_best: Option<(u32, f64)>,
    /// Why nothing can be said or proposed; none when all can.
    pub missing: Option<String>,
}

/// One course at the saddle.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleCourse {
    /// The open note.
    pub note: String,
    /// The saddle's setback in mm as it stands; one that nobody measured counts as none.
    pub now_mm: f64,
    /// The nut's setback in mm as it stands.
    pub nut_now_mm: f64,
    /// The best saddle setback in mm.
    pub best_mm: Option<f64>,
    /// Its range.
    pub best_band_mm: Option<[f64; 2]>,
    /// The best nut setback in mm, or where it stands when it stays.
    pub nut_best_mm: Option<f64>,
    /// Its range.
    pub nut_band_mm: Option<[f64; 2]>,
    /// The setback in mm that the straight saddle gives it.
    pub line_mm: Option<f64>,
    /// What the straight saddle costs it in cents, root mean square.
    pub cost_cents: Option<f64>,
}

/// The saddle seen from above, and the map of cents.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleView {
    /// What was aimed at.
    pub aim: SaddleAim,
    /// Its strings.
    pub strands: Vec<Strand>,
    /// Its courses, from the bass side.
    pub courses: Vec<SaddleCourse>,
    /// Setback in mm of the straight saddle, halfway between the outer courses.
    pub offset_mm: Option<f64>,
    /// Slant in mm from bass to treble; positive where the setback grows towards the treble.
    pub slant_mm: Option<f64>,
    /// The strand that is sharpest at its octave as it stands.
    pub sharpest: Option<usize>,
}

/// Where to put the saddle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Each course at its own best place.
    Best,
    /// All on the straight line.
    Line,
}

/// A string lying over its board, with its best setbacks.
struct Seat<'a> {
    course: usize,
    string: usize,
    on_board: StringOnBoard<'a>,
    best: Result<Optimum, String>,
}

/// Distance of a course across the strings: they count as evenly spaced, one unit apart, for a record says no more. The
/// slant over all of them does not depend on the unit.
fn across(course: usize) -> strungwell_physics::quantity::Length {
    // A record takes 24 courses at most.
    mm(f64::from(u32::try_from(course).unwrap_or(u32::MAX)))
}

/// The straight saddle through the best places of these strings: course from 0, setback in mm, weight.
fn straight(places: impl IntoIterator<Item = (usize, f64, f64)>) -> Option<SaddleLine> {
    let places: Vec<CourseAtSaddle> = places
        .into_iter()
        .map(|(course, setback, weight)| CourseAtSaddle {
            across: across(course),
            setback: mm(setback),
            weight,
        })
        .collect();
    SaddleLine::through(&places).ok()
}

/// Offset in the middle, and slant from the first course to the last, in mm.
fn offset_and_slant(line: &SaddleLine, courses: usize) -> Option<(f64, f64)> {
    let last = across(courses.checked_sub(1)?);
    let (bass, treble) = (line.at(across(0)), line.at(last));
    Some((
        finite(line.at(last / 2.0).bench())?,
        finite((treble - bass).bench())?,
    ))
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

/// The straight saddle through what the report proposes; none when it proposes nothing.
pub(super) fn saddle_report(
    instrument: &Instrument,
    courses: &[CourseReport],
) -> Option<SaddleReport> {
    let places = courses.iter().enumerate().flat_map(|(i, course)| {
        different(course).filter_map(move |(_, s)| {
            Some((i, s.fretting.saddle_setback_mm?, s.fretting.saddle_weight))
        })
    });
    let line = straight(places)?;
    let (offset_mm, slant_mm) = offset_and_slant(&line, courses.len())?;
    let aim = Aim::default();
    let under = boards(instrument, courses);
    let on_line = |i: usize, course: &CourseReport| {
        let saddle = line.at(across(i));
        let cost = different(course).filter_map(|(_, string)| {
            let nut = mm(string.fretting.nut_setback_mm?);
            let there = seat(instrument, under.get(i)?, i, string)?
                .with_setbacks(Setbacks { saddle, nut })
                .ok()?;
            finite(residual(&there, &aim)?.rms_with_open().0 - string.fretting.rms_cents?)
        });
        Some(SaddleCourseReport {
            setback_mm: finite(saddle.bench())?,
            cost_cents: cost.max_by(f64::total_cmp),
        })
    };
    Some(SaddleReport {
        offset_mm,
        slant_mm,
        courses: courses
            .iter()
            .enumerate()
            .map(|(i, c)| on_line(i, c))
            .collect::<Option<_>>()?,
    })
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

/// A length in mm to the hundredth, which is as near as a saddle is filed.
fn filed(length: f64) -> f64 {
    (100.0 * length).round() / 100.0
}

/// Writes a proposal's setbacks, to 0.01 mm, into the heights as they stand. Courses for which nothing is proposed keep
/// theirs, and so does a nut that stays.
pub fn put_saddle(instrument: &mut Instrument, view: &SaddleView, place: Place) {
    let count = instrument.courses.len();
    if instrument.setup.courses.len() < count {
        instrument
            .setup
            .courses
            .resize_with(count, CourseSetup::default);
    }
    for (setup, course) in instrument.setup.courses.iter_mut().zip(&view.courses) {
        let saddle = match place {
            Place::Best => course.best_mm,
            Place::Line => course.line_mm,
        };
        if let Some(saddle) = saddle {
            setup.saddle_setback_mm = Some(filed(saddle));
        }
        if let Some(nut) = course.nut_best_mm.filter(|_| !view.aim.nut_stays) {
            setup.nut_setback_mm = Some(filed(nut));
        }
    }
}

#[cfg(test)]
mod tests;
