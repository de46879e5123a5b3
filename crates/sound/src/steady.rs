//! Whether the pitch of successive windows has come to rest.

use crate::pitch::{NoPitch, Pitch, cents_over};
use strungwell_physics::quantity::Cents;

/// How many successive windows must agree.
pub const WINDOWS: usize = 4;

/// So many windows from a pluck on are passed over: they still hold the moment of the pluck and what was before it, which bends
/// their pitch by some tenths of a cent, all of them alike.
const ENTERING: usize = 5;

/// The windows may differ by this much, in cents (one standard deviation), and be called steady.
pub const SPREAD_CENTS: f64 = 0.7;

/// A rise of the level by so many decibels is a new pluck.
const NEW_PLUCK_DB: f64 = 4.0;

/// A jump by so many cents is another note.
const OTHER_NOTE_CENTS: f64 = 60.0;

/// A level under the reading's last by so many decibels is a string that has died away: the next pluck may be listened for.
const DIED_DB: f64 = 10.0;

/// A string that rings on and gets louder by so many decibels was plucked again.
const AGAIN_DB: f64 = 3.0;

/// What successive windows say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heard {
    /// No pitch in the latest window.
    Nothing(NoPitch),
    /// The string of the reading that was taken last still sounds.
    Ringing,
    /// A pitch, but too few windows yet, or they still differ.
    Settling {
        /// The latest pitch in Hz.
        hz: f64,
        /// How far the windows since the pluck differ, in cents (one standard deviation); none for a single one.
        spread_cents: Option<f64>,
    },
    /// The last [`WINDOWS`] windows agree.
    Steady(Reading),
}

/// A pitch from windows that agree.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The pitch in Hz, the mean of the windows.
    pub hz: f64,
    /// One standard deviation of it in cents: the windows' own and their spread together. A player's pressing is not in
    /// it; repeats show that.
    pub sd_cents: f64,
    /// The mean inharmonicity coefficient and its standard deviation; none where no window told it.
    pub inharmonicity: Option<(f64, f64)>,
}

impl Reading {
    /// How far this stands over (positive) or under a pitch in Hz, in cents. Zero when `hz` is no pitch.
    #[must_use]
    pub fn cents_over(&self, hz: f64) -> f64 {
        cents_over(self.hz, hz)
    }

    /// How far this stands over an earlier reading, in cents, and one standard deviation of that: both doubts together.
    #[must_use]
    pub fn rise_over(&self, before: &Self) -> (f64, f64) {
        (
            self.cents_over(before.hz),
            self.sd_cents.hypot(before.sd_cents),
        )
    }
}

/// Judges successive windows, about a tenth of a second apart.
#[derive(Clone, Debug, Default)]
pub struct Steady {
    last: Vec<Pitch>,
    /// How many more windows may hold the moment of the pluck.
    entering: usize,
    /// The level at which the last reading was taken, while its string still sounds.
    ringing_db: Option<f64>,
}

impl Steady {
    /// Takes the next window's outcome and judges.
    pub fn next(&mut self, outcome: Result<Pitch, NoPitch>) -> Heard {
        if let Some(taken_db) = self.ringing_db {
            // A new pluck is louder, or comes after the string has died away.
            match outcome {
                Ok(pitch) if pitch.level_db > taken_db + AGAIN_DB => self.ringing_db = None,
                Ok(pitch) if pitch.level_db > taken_db - DIED_DB => {
                    self.ringing_db = Some(taken_db.min(pitch.level_db));
                    return Heard::Ringing;
                }
                Ok(_) | Err(_) => {
                    self.ringing_db = None;
                    self.last.clear();
                    return Heard::Ringing;
                }
            }
        }
        let pitch = match outcome {
            Ok(pitch) => pitch,
            Err(why) => {
                self.last.clear();
                return Heard::Nothing(why);
            }
        };
        if self.last.last().is_some_and(|before| {
            pitch.level_db > before.level_db + NEW_PLUCK_DB
                || pitch.cents_from(before.hz).abs() > OTHER_NOTE_CENTS
        }) {
            self.last.clear();
        }
        if self.last.is_empty() {
            self.entering = ENTERING;
        } else if self.entering > 0 {
            self.entering -= 1;
            // The latest alone, to know a new pluck by.
            self.last.clear();
        }
        self.last.push(pitch);
        if self.last.len() > WINDOWS {
            self.last.remove(0);
        }
        let n = self.last.len() as f64;
        let cents: Vec<f64> = self.last.iter().map(|p| p.cents_from(pitch.hz)).collect();
        let mean = cents.iter().sum::<f64>() / n;
        let spread = (self.last.len() > 1)
            .then(|| (cents.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt());
        let own = self.last.iter().map(|p| p.sd_cents).sum::<f64>() / n;
        match spread {
            Some(spread) if self.last.len() == WINDOWS && spread.hypot(own) <= SPREAD_CENTS => {
                Heard::Steady(Reading {
                    hz: pitch.hz * Cents(mean).ratio(),
                    // The windows overlap, so that their mean is hardly better than one of them.
                    sd_cents: spread.hypot(own),
                    inharmonicity: self.inharmonicity(),
                })
            }
            spread_cents => Heard::Settling {
                hz: pitch.hz,
                spread_cents,
            },
        }
    }

    fn inharmonicity(&self) -> Option<(f64, f64)> {
        let told: Vec<_> = self.last.iter().filter_map(|p| p.inharmonicity).collect();
        let n = told.len() as f64;
        (n > 0.0).then(|| {
            (
                told.iter().map(|i| i.coefficient).sum::<f64>() / n,
                told.iter().map(|i| i.sd).sum::<f64>() / n,
            )
        })
    }

    /// The reading was taken: as long as its string rings on, nothing is told but that.
    pub fn took(&mut self) {
        self.ringing_db = self.last.last().map(|pitch| pitch.level_db);
        self.last.clear();
    }

    /// Forgets the windows, as for another string; one that rings on from a reading is still known.
    pub fn clear(&mut self) {
        self.last.clear();
    }
}

/// Takes one reading from each of so many plucks, of any pitch: for what is measured by a single string before and after.
#[derive(Clone, Debug)]
pub struct Plucks {
    steady: Steady,
    wanted: usize,
    taken: Vec<Reading>,
    heard: Heard,
}

impl Plucks {
    /// Waits for so many plucks; for one at least.
    #[must_use]
    pub fn new(wanted: usize) -> Self {
        Self {
            steady: Steady::default(),
            wanted: wanted.max(1),
            taken: Vec::new(),
            heard: Heard::Nothing(NoPitch::Silent),
        }
    }

    /// Takes the next window's outcome. True when all plucks are taken.
    pub fn hear(&mut self, outcome: Result<Pitch, NoPitch>) -> bool {
        if self.taken.len() < self.wanted {
            self.heard = self.steady.next(outcome);
            if let Heard::Steady(reading) = self.heard {
                self.steady.took();
                self.taken.push(reading);
            }
        }
        self.taken.len() >= self.wanted
    }

    /// What the last window said.
    #[must_use]
    pub const fn heard(&self) -> Heard {
        self.heard
    }

    /// The readings so far.
    #[must_use]
    pub fn taken(&self) -> &[Reading] {
        &self.taken
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pitch::Estimator;
    use crate::tone::{Note, render};
    use strungwell_physics::plucked::Loss;

    fn pitch(cents: f64, level_db: f64) -> Result<Pitch, NoPitch> {
        Ok(Pitch {
            hz: 392.0 * Cents(cents).ratio(),
            sd_cents: 0.05,
            inharmonicity: None,
            level_db,
            partials: 8,
            decay_per_s: 2.0,
        })
    }

    #[test]
    fn windows_that_agree_are_steady_and_their_mean_is_told() {
        let mut steady = Steady::default();
        for cents in [9.0, 8.0, 7.0, 6.0, 4.0, 3.0, 3.1, 2.9] {
            assert!(matches!(
                steady.next(pitch(cents, -20.0)),
                Heard::Settling { .. }
            ));
        }
        let Heard::Steady(reading) = steady.next(pitch(3.0, -21.0)) else {
            panic!("not steady");
        };
        assert!((reading.hz / 392.0 - Cents(3.0).ratio()).abs() < 1e-9);
        assert!((0.08..0.12).contains(&reading.sd_cents));
    }

    #[test]
    fn a_pitch_that_glides_a_new_pluck_and_silence_are_not() {
        let mut steady = Steady::default();
        for k in 0..10 {
            let heard = steady.next(pitch(f64::from(k), -20.0));
            assert!(matches!(heard, Heard::Settling { .. }));
        }
        for k in 0..8 {
            let level = if k % 3 == 0 { -10.0 } else { -20.0 };
            assert!(matches!(
                steady.next(pitch(0.0, level)),
                Heard::Settling { .. }
            ));
        }
        assert_eq!(
            steady.next(Err(NoPitch::Silent)),
            Heard::Nothing(NoPitch::Silent)
        );
        assert!(matches!(
            steady.next(pitch(0.0, -20.0)),
            Heard::Settling {
                spread_cents: None,
                ..
            }
        ));
    }

    #[test]
    fn the_moment_of_the_pluck_is_not_in_the_reading() {
        const RATE: f64 = 44_100.0;
        let note = Note {
            hz: 392.0 * Cents(3.0).ratio(),
            bending: 0.003,
            pluck_at: 0.22,
            loss: Loss::POLYMER,
            pluck: 1.0,
            headroom: None,
            start_s: 0.7,
        };
        let sound = render(&[note], RATE, 2.5).unwrap();
        let mut estimator = Estimator::new(RATE).unwrap();
        // Windows a tenth of a second apart, wherever the first one stands.
        for first in [0, 1_000, 2_000, 3_000] {
            let mut steady = Steady::default();
            let mut heard = sound[first..].windows(22_050).step_by(4_410);
            let read = heard.find_map(|window| match steady.next(estimator.window(window)) {
                Heard::Steady(reading) => Some(reading),
                _ => None,
            });
            let read = read.unwrap();
            let off = read.cents_over(392.0) - 3.0;
            assert!(off.abs() < 0.03 && read.sd_cents < 0.05, "{off} {read:?}");
        }
    }

    #[test]
    fn one_reading_is_taken_of_each_pluck_and_the_rise_has_both_doubts() {
        let mut plucks = Plucks::new(2);
        for k in 0..30 {
            assert!(!plucks.hear(pitch(0.0, -20.0 - 0.2 * f64::from(k))));
        }
        assert_eq!(plucks.taken().len(), 1);
        assert_eq!(plucks.heard(), Heard::Ringing);
        plucks.hear(Err(NoPitch::Silent));
        for k in 0..9 {
            assert_eq!(plucks.hear(pitch(150.0, -25.0)), k == 8);
        }
        let [before, after] = plucks.taken() else {
            panic!("{:?}", plucks.taken());
        };
        let (rise, sd) = after.rise_over(before);
        assert!((rise - 150.0).abs() < 1e-9, "{rise}");
        assert!((sd - 0.05f64.hypot(0.05)).abs() < 1e-9, "{sd}");
        assert_eq!(after.cents_over(f64::NAN), 0.0);
    }
}
