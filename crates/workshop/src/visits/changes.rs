//! What changed between two setups, or two visits.

use crate::records::{Course, CourseSetup, Instrument, Reading, Setup, Visit};
use crate::units::{Units, figure};
use crate::words::capital;

/// Which end of a visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// As found.
    Found,
    /// As left; while the visit is open, as it stands now.
    Left,
}

/// One thing that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// What it is, in words: `gap at fret 12`.
    pub what: String,
    /// The course, counted from 0 on the bass side; none for what concerns the whole instrument.
    pub course: Option<usize>,
    /// The value before, in `unit`; none where it was not measured.
    pub before: Option<f64>,
    /// The value after, in `unit`; none where it was not measured.
    pub after: Option<f64>,
    /// `mm`, `cents`, `°C` or `%`.
    pub unit: &'static str,
    /// All of it in one sentence, in the units that are shown.
    pub text: String,
}

/// The least difference that is a change, in mm and in the other units: half of the last digit that is shown.
const LEAST: [(&str, f64); 4] = [("mm", 0.005), ("cents", 0.05), ("°C", 0.05), ("%", 0.05)];

/// The heights and setbacks of a course, with their words.
type Height = (&'static str, fn(&CourseSetup) -> Option<f64>);

const HEIGHTS: [Height; 4] = [
    ("gap at fret 1", |c| c.gap_1_mm),
    ("gap at fret 12", |c| c.gap_12_mm),
    ("saddle setback", |c| c.saddle_setback_mm),
    ("nut setback", |c| c.nut_setback_mm),
];

/// What is not the same in two setups: courses from the bass side, then the relief and the frets' tops. A value that only one of them
/// has is a change too.
#[must_use]
pub fn changes(before: &Setup, after: &Setup, courses: &[Course], units: Units) -> Vec<Change> {
    let mut all = List {
        units,
        courses,
        changes: Vec::new(),
    };
    let none = CourseSetup::default();
    for course in 0..before.courses.len().max(after.courses.len()) {
        let a = before.courses.get(course).unwrap_or(&none);
        let b = after.courses.get(course).unwrap_or(&none);
        for (what, of) in HEIGHTS {
            all.add(what.into(), Some(course), "mm", of(a), of(b));
        }
    }
    let fret = after.relief_fret.or(before.relief_fret);
    let relief = fret.map_or("relief".into(), |fret| format!("relief at fret {fret}"));
    all.add(relief, None, "mm", before.relief_mm, after.relief_mm);
    let tops = |setup: &Setup| setup.fret_tops_mm.clone().unwrap_or_default();
    let (a, b) = (tops(before), tops(after));
    for at in 0..a.len().max(b.len()) {
        let what = format!("top of fret {}", at + 1);
        all.add(what, None, "mm", a.get(at).copied(), b.get(at).copied());
    }
    all.changes
}

/// The setup at one end of a visit of an instrument; none where it was not noted. An open visit ends with the present setup.
#[must_use]
pub fn setup_at<'a>(
    instrument: &'a Instrument,
    (visit, when): (&'a Visit, When),
) -> Option<&'a Setup> {
    match when {
        When::Found => visit.as_found.as_ref(),
        When::Left => visit.as_left.as_ref().or(Some(&instrument.setup)),
    }
}

/// What is not the same at two ends of visits of an instrument: heights, tuner's readings of the same notes, temperature and humidity.
#[must_use]
pub fn between(
    instrument: &Instrument,
    before: (&Visit, When),
    after: (&Visit, When),
    units: Units,
) -> Vec<Change> {
    let nothing = Setup::default();
    let setup = |end| setup_at(instrument, end).unwrap_or(&nothing);
    let mut all = List {
        units,
        courses: &instrument.courses,
        changes: changes(setup(before), setup(after), &instrument.courses, units),
    };
    let ((a, _), (b, _)) = (before, after);
    if a.id == b.id {
        return all.changes;
    }
    let of = |visit: &Visit, like: &Reading| {
        let same = |r: &&Reading| r.course == like.course && r.fret == like.fret;
        visit.readings.iter().find(same).map(|r| r.cents)
    };
    for reading in &b.readings {
        if let Some(cents) = of(a, reading) {
            let course = usize::try_from(reading.course).unwrap_or(usize::MAX);
            let what = format!("reading at fret {}", reading.fret);
            all.add(
                what,
                course.checked_sub(1),
                "cents",
                Some(cents),
                Some(reading.cents),
            );
        }
    }
    all.add("temperature".into(), None, "°C", a.temp_c, b.temp_c);
    all.add("humidity".into(), None, "%", a.rh_percent, b.rh_percent);
    all.changes
}

struct List<'a> {
    units: Units,
    courses: &'a [Course],
    changes: Vec<Change>,
}

impl List<'_> {
    fn add(
        &mut self,
        what: String,
        course: Option<usize>,
        unit: &'static str,
        before: Option<f64>,
        after: Option<f64>,
    ) {
        let least = LEAST
            .iter()
            .find(|row| row.0 == unit)
            .map_or(0.0, |row| row.1);
        let off = match (before, after) {
            (None, None) => return,
            (Some(a), Some(b)) if (b - a).abs() < least => return,
            (a, b) => a.zip(b).map(|(a, b)| b - a),
        };
        let text = self.sentence(&what, course, unit, [before, after, off]);
        self.changes.push(Change {
            what,
            course,
            before,
            after,
            unit,
            text,
        });
    }

    fn sentence(
        &self,
        what: &str,
        course: Option<usize>,
        unit: &str,
        [before, after, off]: [Option<f64>; 3],
    ) -> String {
        let shown = |value: f64| match unit {
            "mm" => self.units.length(value),
            "%" => format!("{} %", figure(value, 1)),
            unit => format!("{} {unit}", figure(value, 1)),
        };
        let of = match course {
            None => String::new(),
            Some(at) => {
                let note = self
                    .courses
                    .get(at)
                    .map_or("", |course| course.note.as_str());
                format!(", course {} {note}", at + 1).trim_end().to_owned()
            }
        };
        let said = match (before, after, off) {
            (Some(a), Some(b), Some(off)) => {
                let word = if off > 0.0 { "more" } else { "less" };
                format!("{} → {} ({} {word})", shown(a), shown(b), shown(off.abs()))
            }
            (Some(a), ..) => format!("{} before, not measured after", shown(a)),
            (_, Some(b), _) => format!("{}, not measured before", shown(b)),
            _ => String::new(),
        };
        format!("{}{of}: {said}", capital(what))
    }
}
