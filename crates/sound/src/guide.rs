//! A guided measurement of one course: which note to pluck next, and the reading when it is steady.
//!
//! Pure and without a clock: the page hands in the outcome of each window, about a tenth of a second apart, and shows what
//! [`Guide::say`] says.

mod words;

use crate::pitch::{NoPitch, Pitch};
use crate::steady::{Heard, Steady};
use strungwell_physics::intonation::READING_SD;
use strungwell_physics::plucked::true_pitch;
use strungwell_physics::quantity::{Cents, InBenchUnits, hz};
use strungwell_physics::range::{OutOfRange, within};

/// A pitch further than this from the note that was asked for, in cents, is another note.
pub const OTHER_NOTE_CENTS: f64 = 80.0;

/// The open string may be this far from its pitch before the person is asked to tune it, in cents.
pub const TUNED_CENTS: f64 = 40.0;

/// The most repeats of a note that can be asked for.
pub const MOST_REPEATS: usize = 10;

/// How a note is sounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The open string.
    Open,
    /// The harmonic an octave up: the string touched over the middle.
    Harmonic,
    /// Pressed to this fret.
    Fretted(u32),
}

/// One note to be measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// How it is sounded.
    pub way: Way,
    /// Its pitch in Hz when it is true.
    pub true_hz: f64,
}

/// What is to be measured of a course.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The course, counted from 1 on the bass side, as in a record's reading.
    pub course: u32,
    /// The course's open note in words, such as `G3`.
    pub note: String,
    /// Pitch of the open string in Hz, as it should be.
    pub open_hz: f64,
    /// The fret at which the course's nut stands: 0, or 5 for a banjo's short string.
    pub first_fret: u32,
    /// The frets to press, counted from the instrument's nut.
    pub frets: Vec<u32>,
    /// Whether the harmonic is asked for too.
    pub harmonic: bool,
    /// How often each note is plucked, from 1.
    pub repeats: usize,
}

/// A reading for the record: what a note was, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The course, counted from 1.
    pub course: u32,
    /// How it was sounded.
    pub way: Way,
    /// The fret as the record counts it; 0 for the open string. None for the harmonic, which the record has no place for.
    pub fret: Option<u32>,
    /// How far it is from its true pitch, in cents; positive is sharp.
    pub cents: f64,
    /// One standard deviation of `cents`: the repeats' spread over their root, and what the windows leave in doubt. A fretted note
    /// counts as pressed as unevenly as players press ([`READING_SD`]) until its repeats say otherwise.
    pub sd_cents: f64,
    /// How often it was plucked.
    pub repeats: usize,
    /// The inharmonicity coefficient that it sounded with, and its standard deviation; none where it was not told.
    pub inharmonicity: Option<(f64, f64)>,
}

/// What the guide waits for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stage {
    /// The note is to be plucked.
    Pluck,
    /// It sounds and has not settled; how far it is from its true pitch, and the spread, in cents.
    Listening {
        /// Cents from the true pitch; positive is sharp.
        cents: f64,
        /// Spread of the windows; none for a single one.
        spread_cents: Option<f64>,
    },
    /// Another note than the one asked for sounds, by its distance in cents.
    OtherNote {
        /// Cents from the note asked for.
        cents: f64,
    },
    /// The open string is out of tune by so much; tune it first.
    Tune {
        /// Cents from the true pitch; positive is sharp.
        cents: f64,
    },
    /// Taken; let it die away, then pluck again.
    Again {
        /// How often it was taken.
        taken: usize,
    },
    /// All is measured.
    Done,
}

/// Leads through the measurement of one course.
#[derive(Clone, Debug)]
pub struct Guide {
    plan: Plan,
    asked: Vec<Asked>,
    at: usize,
    steady: Steady,
    stage: Stage,
    why_not: Option<NoPitch>,
    /// Cents and standard deviation of each pluck of the present note, and what it told of the stiffness.
    plucks: Vec<Pluck>,
    readings: Vec<Reading>,
}

#[derive(Clone, Copy, Debug)]
struct Pluck {
    cents: f64,
    sd: f64,
    inharmonicity: Option<(f64, f64)>,
}

impl Guide {
    /// Begins with a plan.
    ///
    /// # Errors
    /// When the open pitch, a fret or the number of repeats is out of its range.
    pub fn new(plan: Plan) -> Result<Self, OutOfRange> {
        within("an open pitch", plan.open_hz, "Hz", 20.0, 2000.0)?;
        within(
            "a number of repeats",
            plan.repeats as f64,
            "",
            1.0,
            MOST_REPEATS as f64,
        )?;
        for fret in &plan.frets {
            let first = f64::from(plan.first_fret) + 1.0;
            within("a fret", f64::from(*fret), "", first, 40.0f64.max(first))?;
        }
        let asked = order(&plan);
        Ok(Self {
            plan,
            asked,
            at: 0,
            steady: Steady::default(),
            stage: Stage::Pluck,
            why_not: None,
            plucks: Vec::new(),
            readings: Vec::new(),
        })
    }

    /// Takes what the next window says. True when it changed what is asked for: a reading was taken.
    pub fn hear(&mut self, outcome: Result<Pitch, NoPitch>) -> bool {
        let Some(asked) = self.asked.get(self.at).copied() else {
            return false;
        };
        self.why_not = outcome.err();
        match self.steady.next(outcome) {
            // The string that was just measured.
            Heard::Ringing => false,
            Heard::Nothing(_) => {
                self.stage = self.waiting();
                false
            }
            Heard::Settling { hz, spread_cents } => {
                let cents = Cents::of_ratio(hz / asked.true_hz).0;
                self.stage = if cents.abs() > OTHER_NOTE_CENTS {
                    Stage::OtherNote { cents }
                } else {
                    Stage::Listening {
                        cents,
                        spread_cents,
                    }
                };
                false
            }
            Heard::Steady(found) => {
                let cents = Cents::of_ratio(found.hz / asked.true_hz).0;
                self.stage = if cents.abs() > OTHER_NOTE_CENTS {
                    Stage::OtherNote { cents }
                } else if asked.way == Way::Open && cents.abs() > TUNED_CENTS {
                    Stage::Tune { cents }
                } else {
                    self.steady.took();
                    self.take(
                        asked,
                        Pluck {
                            cents,
                            sd: found.sd_cents,
                            inharmonicity: found.inharmonicity,
                        },
                    );
                    return true;
                };
                false
            }
        }
    }

    fn take(&mut self, asked: Asked, pluck: Pluck) {
        self.plucks.push(pluck);
        if self.plucks.len() >= self.plan.repeats {
            let reading = self.reading(asked);
            self.readings.push(reading);
            self.plucks.clear();
            self.at += 1;
        }
        self.stage = self.waiting();
    }

    /// The plucks of a note as one reading.
    fn reading(&self, asked: Asked) -> Reading {
        let n = self.plucks.len().max(1) as f64;
        let cents = self.plucks.iter().map(|p| p.cents).sum::<f64>() / n;
        let own = self.plucks.iter().map(|p| p.sd).sum::<f64>() / n;
        let squares: f64 = self.plucks.iter().map(|p| (p.cents - cents).powi(2)).sum();
        let known = match asked.way {
            Way::Fretted(_) => 1.0,
            Way::Open | Way::Harmonic => 0.0,
        };
        let spread = scatter(squares, n, known) / n.sqrt();
        Reading {
            course: self.plan.course,
            way: asked.way,
            fret: match asked.way {
                Way::Open => Some(0),
                Way::Harmonic => None,
                Way::Fretted(fret) => Some(fret),
            },
            cents,
            sd_cents: own.hypot(spread),
            repeats: self.plucks.len(),
            inharmonicity: self.plucks.iter().find_map(|p| p.inharmonicity),
        }
    }

    fn waiting(&self) -> Stage {
        if self.at >= self.asked.len() {
            Stage::Done
        } else if self.plucks.is_empty() {
            Stage::Pluck
        } else {
            Stage::Again {
                taken: self.plucks.len(),
            }
        }
    }

    /// The note that is asked for; none when all is measured.
    #[must_use]
    pub fn asked(&self) -> Option<Asked> {
        self.asked.get(self.at).copied()
    }

    /// What it waits for.
    #[must_use]
    pub const fn stage(&self) -> Stage {
        self.stage
    }

    /// How many notes are done, and of how many.
    #[must_use]
    pub fn progress(&self) -> (usize, usize) {
        (self.at, self.asked.len())
    }

    /// The readings taken so far, in the order in which they were asked for.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// Leaves the present note out.
    pub fn skip(&mut self) {
        self.at = (self.at + 1).min(self.asked.len());
        self.fresh();
    }

    /// Takes the last note back, to be measured again: the one that is under way if a pluck of it was taken, else the one
    /// before.
    pub fn back(&mut self) {
        if self.plucks.is_empty() && self.at > 0 {
            self.at -= 1;
            let way = self.asked[self.at].way;
            self.readings.retain(|reading| reading.way != way);
        }
        self.fresh();
    }

    fn fresh(&mut self) {
        self.plucks.clear();
        self.steady.clear();
        self.stage = self.waiting();
    }

    /// What to do, as one sentence or two for the person.
    #[must_use]
    pub fn say(&self) -> String {
        words::say(self)
    }
}

/// One standard deviation of a single pluck, in cents, from the squares of `n` plucks about their mean and what is known of such
/// plucks before, which counts as `known` squares of [`READING_SD`]: `s^2 = (known sd^2 + squares) / (known + n - 1)`. Zero where
/// nothing is known.
///
/// Source: the mean of the variance under a conjugate prior (a standard result of Bayesian statistics); one square is the least
/// that can be known.
fn scatter(squares: f64, n: f64, known: f64) -> f64 {
    let free = known + n - 1.0;
    if free > 0.0 {
        ((known * READING_SD.0 * READING_SD.0 + squares) / free).sqrt()
    } else {
        0.0
    }
}

/// The order that saves retuning: the open string first, since all else is held against it; then the harmonic, which needs
/// no pressing; then the frets from the lowest up, since the string is pushed down furthest at the high ones, and what slips
/// over the nut by that comes last.
fn order(plan: &Plan) -> Vec<Asked> {
    let up = |frets: u32| true_pitch(hz(plan.open_hz), frets).bench();
    let mut frets = plan.frets.clone();
    frets.sort_unstable();
    frets.dedup();
    let mut asked = vec![Asked {
        way: Way::Open,
        true_hz: plan.open_hz,
    }];
    if plan.harmonic {
        asked.push(Asked {
            way: Way::Harmonic,
            true_hz: up(12),
        });
    }
    asked.extend(frets.into_iter().map(|fret| Asked {
        way: Way::Fretted(fret),
        true_hz: up(fret.saturating_sub(plan.first_fret)),
    }));
    asked
}

#[cfg(test)]
mod tests;
