//! The same strings at another tuning, scale or pitch standard: what gets slack, what comes near breaking, which tunings a
//! set can bear, and the scale at which it feels as another set does.

use super::tuned_to;
use crate::choose::{Finding, Limits, Verdict};
use crate::families;
use crate::records::{Instrument, RackString};
use crate::report::{OpenString, StringFigures, fitted, string_figures};
use crate::units::Units;
use strungwell_physics::pitch::Note;
use strungwell_physics::quantity::{InBenchUnits, g_per_m, newtons};
use strungwell_physics::tension::scale_for_tensions;

/// What is changed; what is none stays.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Retuning {
    /// Other notes, one a course.
    pub notes: Option<Vec<String>>,
    /// Another scale length in mm, 50 to 2000. Courses with a scale of their own keep their share of it.
    pub scale_mm: Option<f64>,
    /// Another frequency of A4 in Hz, 380 to 500.
    pub a4_hz: Option<f64>,
}

/// The set before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct Retuned {
    /// One a string, in the order of the courses.
    pub strings: Vec<RetunedString>,
    /// All tensions together before, in N; none when one is not known.
    pub total_before_n: Option<f64>,
    /// The same after.
    pub total_after_n: Option<f64>,
    /// The worst verdict of a string.
    pub verdict: Verdict,
    /// What to know in a sentence.
    pub said: String,
}

/// One string before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct RetunedString {
    /// The course, counted from 0.
    pub course: usize,
    /// The string on it, counted from 0.
    pub string: usize,
    /// The course's note before.
    pub note_before: String,
    /// The course's note after.
    pub note_after: String,
    /// Its figures before; without what pressing it does.
    pub before: StringFigures,
    /// Its figures after.
    pub after: StringFigures,
    /// The change of tension as a share of what it was; positive is tighter.
    pub change: Option<f64>,
    /// Whether it can be used so, against what it pulled before.
    pub verdict: Verdict,
    /// Why, the weightiest first.
    pub findings: Vec<Finding>,
}

/// The instrument as it would be after a change.
///
/// # Errors
/// A sentence when there are not as many notes as courses, or the instrument's file would refuse a value.
pub fn changed(instrument: &Instrument, retuning: &Retuning) -> Result<Instrument, String> {
    let mut after = tuned_to(instrument, retuning.notes.as_deref())?;
    if let Some(a4) = retuning.a4_hz {
        after.a4_hz = a4;
    }
    if let Some(scale) = retuning.scale_mm {
        let by = scale / instrument.scale_mm;
        after.scale_mm = scale;
        for course in &mut after.courses {
            course.scale_mm = course.scale_mm.map(|own| own * by);
        }
    }
    crate::file::check_instrument(&after).map_err(|why| why.to_string())?;
    Ok(after)
}

/// The table of a change, string by string.
///
/// # Errors
/// As [`changed`].
pub fn retuned(
    instrument: &Instrument,
    rack: &[RackString],
    retuning: &Retuning,
    units: Units,
) -> Result<Retuned, String> {
    table(instrument, &changed(instrument, retuning)?, rack, units)
}

fn table(
    before: &Instrument,
    after: &Instrument,
    rack: &[RackString],
    units: Units,
) -> Result<Retuned, String> {
    let every: Vec<usize> = (0..before.courses.len()).collect();
    let limits = Limits::beside(before, rack, 0, &every);
    let mut strings = Vec::new();
    for (course, on) in before.courses.iter().enumerate() {
        let to = &after.courses[course];
        let said = |why: String| format!("course {}: {why}", course + 1);
        let open = (
            OpenString::of(before, course, &on.note).map_err(said)?,
            OpenString::of(after, course, &to.note).map_err(said)?,
        );
        for (string, fit) in on.strings.iter().enumerate() {
            let Ok(fitted) = fitted(fit, rack) else {
                continue;
            };
            let was = string_figures(&fitted, &open.0.raised(fit.semitones));
            let is = string_figures(&fitted, &open.1.raised(fit.semitones));
            let limits = Limits {
                slot_mm: None,
                hole_mm: None,
                ..limits.clone()
            };
            let wanted = was.tension_n.or(is.tension_n).unwrap_or(1.0);
            let (verdict, findings) = limits.judge(&is, &fitted.make, wanted, None, units);
            strings.push(RetunedString {
                course,
                string,
                note_before: on.note.clone(),
                note_after: to.note.clone(),
                change: was.tension_n.zip(is.tension_n).map(|(a, b)| b / a - 1.0),
                before: was,
                after: is,
                verdict,
                findings,
            });
        }
    }
    let total = |of: &dyn Fn(&RetunedString) -> Option<f64>| strings.iter().map(of).sum();
    let verdict = strings
        .iter()
        .map(|s| s.verdict)
        .max()
        .unwrap_or(Verdict::Good);
    Ok(Retuned {
        total_before_n: total(&|s| s.before.tension_n),
        total_after_n: total(&|s| s.after.tension_n),
        said: said(&strings, verdict),
        verdict,
        strings,
    })
}

fn said(strings: &[RetunedString], verdict: Verdict) -> String {
    let worst: Vec<String> = strings
        .iter()
        .filter(|s| s.verdict == verdict && verdict != Verdict::Good)
        .filter_map(|s| Some(format!("{} {}", s.note_after, s.findings.first()?.text)))
        .take(3)
        .collect();
    match verdict {
        Verdict::Good => "Every string bears it and feels much as before.".into(),
        Verdict::Fair => format!("It can be done. {}", worst.join(" ")),
        Verdict::RuledOut => format!("Not with these strings. {}", worst.join(" ")),
    }
}

/// A tuning and whether a set can bear it.
#[derive(Clone, Debug, PartialEq)]
pub struct Borne {
    /// What the tuning is, in words: `2 semitones lower`, or the family's name for it.
    pub label: String,
    /// Its notes, one a course.
    pub notes: Vec<String>,
    /// Whether the set bears it: the worst verdict of a string.
    pub verdict: Verdict,
    /// What to know in a sentence.
    pub said: String,
    /// All tensions together in N.
    pub total_n: Option<f64>,
}

/// How far up and down tunings are tried, in semitones.
const FAR: i32 = 7;

/// The tunings that the set on an instrument can bear, and those near by that it cannot: the present one moved by up to seven
/// semitones each way, lowest first, then the family's others.
///
/// # Errors
/// A sentence when a note of the instrument cannot be read.
pub fn tunings(
    instrument: &Instrument,
    rack: &[RackString],
    units: Units,
) -> Result<Vec<Borne>, String> {
    let mut now = Vec::new();
    for (n, course) in instrument.courses.iter().enumerate() {
        now.push(Note::parse(&course.note).map_err(|why| format!("course {}: {why}", n + 1))?);
    }
    let names = |notes: &[Note]| {
        notes
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<String>>()
    };
    let mut asked: Vec<(String, Vec<String>)> = Vec::new();
    for by in -FAR..=FAR {
        let moved: Option<Vec<Note>> = now.iter().map(|n| n.up(by)).collect();
        let Some(moved) = moved else { continue };
        let label = match by {
            0 => "as it is".to_owned(),
            _ => format!(
                "{} semitone{} {}",
                by.abs(),
                if by.abs() == 1 { "" } else { "s" },
                if by > 0 { "higher" } else { "lower" }
            ),
        };
        asked.push((label, names(&moved)));
    }
    for tuning in families::of(instrument).map_or(&[] as &[_], |f| f.tunings) {
        let notes: Vec<String> = tuning.courses.iter().map(|c| c.note.to_owned()).collect();
        if notes.len() == now.len() && !asked.iter().any(|(_, other)| *other == notes) {
            asked.push((tuning.label.to_owned(), notes));
        }
    }
    asked
        .into_iter()
        .map(|(label, notes)| {
            let after = tuned_to(instrument, Some(&notes))?;
            let table = table(instrument, &after, rack, units)?;
            Ok(Borne {
                label,
                notes,
                verdict: table.verdict,
                said: table.said,
                total_n: table.total_after_n,
            })
        })
        .collect()
}

/// The scale at which a set feels as another does.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleThatFeels {
    /// The scale length in mm.
    pub scale_mm: f64,
    /// Each string's departure in tension from its counterpart there, as a share, in the order of the courses.
    pub departs: Vec<f64>,
    /// What to know in a sentence.
    pub said: String,
}

/// The scale length at which the strings and notes of `set` pull as those of `like` do on its own scale: the one that makes
/// the sum of squares of the logarithms of the ratios least.
///
/// # Errors
/// A sentence when the two have not the same courses and strings, or a tension is not known.
pub fn scale_that_feels(
    set: &Instrument,
    like: &Instrument,
    rack: &[RackString],
    units: Units,
) -> Result<ScaleThatFeels, String> {
    let of = |instrument: &Instrument| -> Result<Vec<(StringFigures, f64)>, String> {
        let mut all = Vec::new();
        for (n, course) in instrument.courses.iter().enumerate() {
            let open = OpenString::of(instrument, n, &course.note)
                .map_err(|why| format!("course {}: {why}", n + 1))?;
            for string in &course.strings {
                let fitted =
                    fitted(string, rack).map_err(|why| format!("course {}: {why}", n + 1))?;
                let share = open.length.bench() / instrument.scale_mm;
                all.push((
                    string_figures(&fitted, &open.raised(string.semitones)),
                    share,
                ));
            }
        }
        Ok(all)
    };
    let (mine, theirs) = (of(set)?, of(like)?);
    if mine.len() != theirs.len() || set.courses.len() != like.courses.len() {
        return Err(
            "the two sets have not the same courses, so they cannot feel alike course by course"
                .into(),
        );
    }
    let strings: Option<Vec<_>> = mine
        .iter()
        .zip(&theirs)
        .map(|((mine, share), (theirs, _))| {
            Some((
                g_per_m(mine.g_per_m?),
                strungwell_physics::quantity::hz(mine.pitch_hz?),
                newtons(theirs.tension_n?),
                *share,
            ))
        })
        .collect();
    let strings = strings.ok_or("the tension of a string is not known")?;
    let scale_mm = scale_for_tensions(strings)
        .map(|scale| scale.bench())
        .filter(|mm| (50.0..=2000.0).contains(mm))
        .ok_or("no scale from 50 to 2000 mm does that")?;
    let at = changed(
        set,
        &Retuning {
            scale_mm: Some(scale_mm),
            ..Retuning::default()
        },
    )?;
    let departs: Vec<f64> = of(&at)?
        .iter()
        .zip(&theirs)
        .filter_map(|((mine, _), (theirs, _))| Some(mine.tension_n? / theirs.tension_n? - 1.0))
        .collect();
    let worst = departs.iter().copied().map(f64::abs).fold(0.0, f64::max);
    Ok(ScaleThatFeels {
        said: format!(
            "On a scale of {} it pulls as the other does, string by string to within {:.0} %.",
            units.length(scale_mm),
            100.0 * worst
        ),
        scale_mm,
        departs,
    })
}
