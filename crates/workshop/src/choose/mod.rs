//! Choosing a string for a course: candidates from the rack and from stock gauges, ranked against a wanted tension, each
//! with the reason why it is good or is ruled out.

mod stock;
mod verdict;

pub(crate) use stock::gauges;
pub use verdict::{Finding, Limits, Verdict};

use crate::records::{Instrument, Make, RackString};
use crate::report::{Fitted, OpenString, StringFigures, fitted, seated_figures};
use crate::units::Units;
use strungwell_physics::at_pitch::Measured;
use strungwell_physics::pitch::Note;
use strungwell_physics::string::{Bearer, StringMake};

/// A string that could go on a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Where it comes from.
    pub from: From,
    /// What it is.
    pub make: Make,
    /// The note that it is judged at.
    pub note: String,
    /// Its figures at that note.
    pub figures: StringFigures,
    /// Whether to take it.
    pub verdict: Verdict,
    /// Why, each a sentence with its numbers; the weightiest first.
    pub findings: Vec<Finding>,
}

/// Where a candidate comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum From {
    /// The rack string with this id.
    Rack(String),
    /// A stock gauge, computed for this course.
    Stock,
    /// The string that is on the course now.
    Fitted,
}

/// What is asked of a string for a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// The course, counted from 0.
    pub course: usize,
    /// The note that it shall have.
    pub note: String,
    /// The wanted tension of one string in N; none takes the mean of the neighbours.
    pub tension_n: Option<f64>,
    /// The units of the sentences.
    pub units: Units,
}

/// The answer: what was wanted, and the candidates from best to worst.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The tension that the candidates are ranked against, in N.
    pub wanted_n: f64,
    /// Where it comes from, in words.
    pub wanted_from: String,
    /// The candidates; those ruled out stand last.
    pub candidates: Vec<Candidate>,
}

/// Ranks what could go on a course.
///
/// # Errors
/// A sentence when there is no such course, its note cannot be read, or there is neither a wanted tension nor a neighbour
/// to take one from.
pub fn candidates(
    instrument: &Instrument,
    rack: &[RackString],
    ask: &Ask,
) -> Result<Answer, String> {
    let open = OpenString::of(instrument, ask.course, &ask.note)?;
    let limits = Limits::of(instrument, rack, ask.course);
    let (wanted_n, wanted_from) = match (ask.tension_n, limits.neighbours_mean_n) {
        (Some(n), _) if n.is_finite() && n > 0.0 => (n, "as wanted".to_owned()),
        (_, Some(mean)) => (mean, "the mean of the other courses".to_owned()),
        _ => limits.family_middle_n().ok_or(
            "no other course has a string to take a tension from; type the tension that is wanted",
        )?,
    };
    let mut found: Vec<Candidate> = Vec::new();
    let mut add = |from: From, fitted: &Fitted, on_hand: Option<u32>| {
        let figures = seated_figures(fitted, &open, instrument, ask.course);
        let (verdict, findings) =
            limits.judge(&figures, &fitted.make, wanted_n, on_hand, ask.units);
        found.push(Candidate {
            from,
            make: fitted.record.clone(),
            note: ask.note.clone(),
            figures,
            verdict,
            findings,
        });
    };
    for string in rack {
        // A rack string that is not physical is named where the rack is shown; here it is no candidate.
        if let Ok(fitted) = Fitted::from_rack(string) {
            add(From::Rack(string.id.clone()), &fitted, string.on_hand);
        }
    }
    for make in gauges(limits.soft, wanted_n, &open) {
        if let Ok(fitted) = Fitted::of(&make) {
            add(From::Stock, &fitted, None);
        }
    }
    let distance = |c: &Candidate| {
        c.figures
            .tension_n
            .map_or(f64::MAX, |t| (t / wanted_n).ln().abs())
    };
    found.sort_by(|a, b| {
        a.verdict
            .cmp(&b.verdict)
            .then(distance(a).total_cmp(&distance(b)))
    });
    Ok(Answer {
        wanted_n,
        wanted_from,
        candidates: found,
    })
}

/// The figures of what is on a course now, as if it were tuned to a note; judged as the candidates are.
///
/// # Errors
/// A sentence when there is no such course or string, or its note cannot be read.
pub fn as_fitted(
    instrument: &Instrument,
    rack: &[RackString],
    ask: &Ask,
    string: usize,
) -> Result<Candidate, String> {
    let open = OpenString::of(instrument, ask.course, &ask.note)?;
    let course = instrument
        .courses
        .get(ask.course)
        .ok_or("there is no such course")?;
    let fitted_string = course
        .strings
        .get(string)
        .ok_or("the course has no such string")?;
    let open = open.raised(fitted_string.semitones);
    let on = fitted(fitted_string, rack)?;
    let limits = Limits::of(instrument, rack, ask.course);
    let figures = seated_figures(&on, &open, instrument, ask.course);
    let wanted_n = ask
        .tension_n
        .or(limits.neighbours_mean_n)
        .or(figures.tension_n)
        .unwrap_or(1.0);
    let (verdict, findings) = limits.judge(&figures, &on.make, wanted_n, None, ask.units);
    Ok(Candidate {
        from: From::Fitted,
        make: on.record,
        note: ask.note.clone(),
        figures,
        verdict,
        findings,
    })
}

/// The figures of a string that stays on its course, judged against a wanted tension.
///
/// # Errors
/// As [`as_fitted`].
pub(crate) fn as_fitted_on(
    instrument: &Instrument,
    rack: &[RackString],
    course: usize,
    string: usize,
    wanted_n: f64,
    units: Units,
) -> Result<Candidate, String> {
    let on = instrument
        .courses
        .get(course)
        .ok_or("there is no such course")?;
    let ask = Ask {
        course,
        note: on.note.clone(),
        tension_n: Some(wanted_n).filter(|n| n.is_finite() && *n > 0.0),
        units,
    };
    as_fitted(instrument, rack, &ask, string)
}

/// The notes that a course is most often asked at: an octave below, as it is, and an octave above, each where it exists. On a
/// ukulele's fourth course the lower of two octaves is the low fourth and the upper the re-entrant one.
///
/// # Errors
/// A sentence when the note cannot be read.
pub fn octaves(note: &str) -> Result<Vec<(i32, String)>, String> {
    let note = Note::parse(note).map_err(|e| e.to_string())?;
    Ok([-1, 0, 1]
        .into_iter()
        .filter_map(|octave| Some((octave, note.up(12 * octave)?.to_string())))
        .collect())
}

/// Whether what bears a string's tension is soft (a polymer or gut): strings of nylon, or wound on it.
fn is_soft(make: &StringMake, measured: &Measured) -> bool {
    match make.bearer() {
        Bearer::Whole(material) => material.is_soft(),
        Bearer::Core(core) => core.material().is_soft(),
        // A string that nobody described: steel stretches so little that its kappa lies in the hundreds.
        Bearer::Unknown => measured.kappa.is_none_or(|kappa| kappa < STEEL_KAPPA),
    }
}

/// Above this stretch an undescribed string is taken for a steel one: steel at 2 GPa has 100.
const STEEL_KAPPA: f64 = 100.0;

#[cfg(test)]
mod tests;
