//! What a set is held against: the profile, its level, and each string's own aim.

use super::Choices;
use crate::families;
use crate::problem::quoted;
use crate::records::{Instrument, RackString};
use crate::report::{Fitted, OpenString, finger_probe, fitted};
use strungwell_physics::at_pitch::AtPitch;
use strungwell_physics::quantity::InBenchUnits;

/// How the strings of a set shall stand to one another.
#[derive(Clone, Debug, PartialEq)]
pub enum Profile {
    /// Every string pulls alike.
    Equal,
    /// The lowest string pulls so many times what the highest does (1.2 is a fifth more), even steps of pitch making even
    /// steps between. By pitch, so that a re-entrant course or a short drone stands where it sounds.
    Graded(f64),
    /// Every string takes the same force of the finger at the fifth fret before its nut, as the instrument is set up.
    FingerForce,
    /// Every string has the same stretch, so that all want nearly the same setback and a straight saddle serves.
    Stretch,
    /// Course by course as on the instrument with this id.
    Like(String),
    /// These tensions in N, one a course.
    Typed(Vec<f64>),
}

/// The fret before the course's nut at which finger forces are compared: the middle of where hands are.
pub(super) const FINGER_FRET: u32 = 5;

/// The stretch that most strings on nylon have (30 of the 36 measured by Anderson & Beausoleil 2024 lie at 52 give or take 5).
const USUAL_STRETCH: f64 = 52.0;

/// The aims of every string.
#[derive(Clone, Debug)]
pub(super) struct Aim {
    /// One a string of each course, in the order of the courses.
    pub(super) targets: Vec<Vec<f64>>,
    /// The tension in N that each is judged against as slack or tight, the same order.
    pub(super) tensions: Vec<Vec<f64>>,
    pub(super) what: Metric,
    pub(super) words: String,
}

/// What is held against the aim.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Metric {
    /// The tension in N.
    Tension,
    /// The finger's force in N.
    Finger,
    /// The stretch, without unit.
    Stretch,
}

impl Metric {
    /// The word for it.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Tension => "tension",
            Self::Finger => "force of the finger",
            Self::Stretch => "stretch",
        }
    }
}

/// A string on the instrument: its course, its pitch in cents, and what is known of it as it stands.
struct On {
    course: usize,
    cents: f64,
    tension_n: Option<f64>,
    kappa: Option<f64>,
    finger_n: Option<f64>,
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0.0), |(s, n), v| (s + v, n + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// A number that a person typed as a level or a tension.
fn physical(value: f64, what: &str) -> Result<f64, String> {
    if value.is_finite() && (0.1..=2000.0).contains(&value) {
        Ok(value)
    } else {
        Err(format!("{what} must be a number from 0.1 to 2000"))
    }
}

impl Aim {
    pub(super) fn of(
        instrument: &Instrument,
        rack: &[RackString],
        others: &[Instrument],
        choices: &Choices,
    ) -> Result<Self, String> {
        let on = strings_on(instrument, rack, choices.profile == Profile::FingerForce)?;
        let locked = |s: &&On| choices.locked.contains(&s.course);
        let units = choices.units;
        let by_course = |of: &dyn Fn(&On) -> f64| -> Vec<Vec<f64>> {
            let mut out: Vec<Vec<f64>> = vec![Vec::new(); instrument.courses.len()];
            for string in &on {
                out[string.course].push(of(string));
            }
            out
        };
        let level = |of: &dyn Fn(&On) -> Option<f64>, usual: Option<(f64, String)>| {
            if let Some(level) = choices.level {
                return physical(level, "the level").map(|n| (n, "as typed".to_owned()));
            }
            if let Some(n) = mean(on.iter().filter(locked).filter_map(of)) {
                return Ok((n, "the mean of the courses that stay".to_owned()));
            }
            usual
                .or_else(|| {
                    Some((
                        mean(on.iter().filter_map(of))?,
                        "the mean of the strings that are on".to_owned(),
                    ))
                })
                .ok_or_else(|| {
                    "nothing tells the level of the set; type the one that is wanted".to_owned()
                })
        };
        let family = families::of(instrument).and_then(|f| {
            let (low, high) = f.tension_n?;
            Some((
                f64::midpoint(low, high),
                format!("the middle of what is usual on a {}", f.label),
            ))
        });
        let made = |targets: Vec<Vec<f64>>, what, words| Self {
            tensions: targets.clone(),
            targets,
            what,
            words,
        };
        match &choices.profile {
            Profile::Equal => {
                let (n, from) = level(&|s| s.tension_n, family)?;
                let words = format!("Equal tension: {} a string, {from}.", units.force(n));
                Ok(made(by_course(&|_| n), Metric::Tension, words))
            }
            Profile::Graded(ratio) => {
                let ratio = *ratio;
                if !(ratio.is_finite() && (0.25..=4.0).contains(&ratio)) {
                    return Err(
                        "a graded set's ratio of lowest to highest string must be from 0.25 to 4"
                            .into(),
                    );
                }
                let (low, high) = on
                    .iter()
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), s| {
                        (l.min(s.cents), h.max(s.cents))
                    });
                let share = |s: &On| {
                    let along = if high > low {
                        (s.cents - low) / (high - low)
                    } else {
                        0.5
                    };
                    ratio.powf(0.5 - along)
                };
                let (n, from) = level(&|s| Some(s.tension_n? / share(s)), family)?;
                let words = format!(
                    "Graded tension: from {} on the lowest string to {} on the highest, about {}, {from}.",
                    units.force(n * ratio.sqrt()),
                    units.force(n / ratio.sqrt()),
                    units.force(n)
                );
                Ok(made(by_course(&|s| n * share(s)), Metric::Tension, words))
            }
            Profile::FingerForce => {
                if let Some(short) = on.iter().find(|s| s.finger_n.is_none()) {
                    return Err(format!(
                        "an equal force of the finger needs the gaps at frets 1 and 12 of course {}, and a string on it whose \
                         stretch is known",
                        short.course + 1
                    ));
                }
                let (n, from) = level(&|s| s.finger_n, None)?;
                let (tension, _) = tension_level(&on, family)?;
                Ok(Self {
                    targets: by_course(&|_| n),
                    tensions: by_course(&|_| tension),
                    what: Metric::Finger,
                    words: format!(
                        "Equal force of the finger at fret {FINGER_FRET} from each nut: {}, {from}.",
                        units.force(n)
                    ),
                })
            }
            Profile::Stretch => {
                let usual = (
                    USUAL_STRETCH,
                    "what most strings on nylon have (Anderson & Beausoleil 2024)".to_owned(),
                );
                let soft = on.iter().all(|s| s.kappa.is_none_or(|k| k < 100.0));
                let (kappa, from) = level(&|s| s.kappa, soft.then_some(usual))?;
                let (tension, _) = tension_level(&on, family)?;
                Ok(Self {
                    targets: by_course(&|_| kappa),
                    tensions: by_course(&|_| tension),
                    what: Metric::Stretch,
                    words: format!("Equal stretch: {kappa:.0}, {from}."),
                })
            }
            Profile::Like(id) => {
                let liked = others.iter().find(|i| i.id == *id).ok_or_else(|| {
                    format!("there is no instrument {} to take a set from", quoted(id))
                })?;
                let theirs = strings_on(liked, rack, false)?;
                let targets = by_course(&|s| {
                    mean(
                        theirs
                            .iter()
                            .filter(|t| t.course == s.course)
                            .filter_map(|t| t.tension_n),
                    )
                    .unwrap_or(f64::NAN)
                });
                if liked.courses.len() != instrument.courses.len()
                    || targets.iter().flatten().any(|t| !t.is_finite())
                {
                    return Err(format!(
                        "the set on {} cannot be followed: it needs {} courses with strings whose tension is known",
                        quoted(&liked.name),
                        instrument.courses.len()
                    ));
                }
                let words = format!("Each course as tight as on {}.", quoted(&liked.name));
                Ok(made(targets, Metric::Tension, words))
            }
            Profile::Typed(tensions) => {
                if tensions.len() != instrument.courses.len() {
                    return Err(format!(
                        "{} tensions are typed for {} courses",
                        tensions.len(),
                        instrument.courses.len()
                    ));
                }
                for n in tensions {
                    physical(*n, "a tension")?;
                }
                Ok(made(
                    by_course(&|s| tensions[s.course]),
                    Metric::Tension,
                    "The tensions as typed, course by course.".into(),
                ))
            }
        }
    }
}

/// The tension that slack and tight are told by where the profile is of something else.
fn tension_level(on: &[On], family: Option<(f64, String)>) -> Result<(f64, String), String> {
    family
        .or_else(|| Some((mean(on.iter().filter_map(|s| s.tension_n))?, String::new())))
        .ok_or_else(|| {
            "nothing tells how tight the strings shall be; string one course first".into()
        })
}

fn strings_on(
    instrument: &Instrument,
    rack: &[RackString],
    finger: bool,
) -> Result<Vec<On>, String> {
    let mut all = Vec::new();
    for (index, course) in instrument.courses.iter().enumerate() {
        let open = OpenString::of(instrument, index, &course.note)
            .map_err(|why| format!("course {}: {why}", index + 1))?;
        let probe = finger
            .then(|| finger_probe(instrument, index).ok())
            .flatten();
        for string in &course.strings {
            let open = open.raised(string.semitones);
            let at = fitted(string, rack).ok().and_then(|f: Fitted| {
                AtPitch::new(&f.make, f.measured, open.length, open.pitch).ok()
            });
            all.push(On {
                course: index,
                cents: 1200.0 * open.pitch.bench().log2(),
                tension_n: at.as_ref().map(|a| a.tension_n.value),
                kappa: at.as_ref().and_then(|a| Some(a.stretch?.kappa.value)),
                finger_n: probe
                    .as_ref()
                    .zip(at.as_ref())
                    .and_then(|(probe, at)| probe.finger_n(at, FINGER_FRET)),
            });
        }
    }
    Ok(all)
}
