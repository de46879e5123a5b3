//! The pitch of a plucked string, from half a second of sound.
//!
//! One transform gives the frequency of every partial; the partials that belong together are found; their first partial
//! and the string's inharmonicity are fitted together. `docs/sound.md` says how and from which published methods.

mod choose;
mod fit;
mod spectrum;

#[cfg(test)]
mod tests;

use crate::{HIGHEST_RATE, LOWEST_RATE};
use spectrum::{Plan, peaks};
use strungwell_physics::quantity::Cents;
use strungwell_physics::range::{OutOfRange, within};

/// The lowest pitch that is looked for, in Hz.
pub const LOWEST_HZ: f64 = 54.0;

/// The highest pitch that is looked for, in Hz.
pub const HIGHEST_HZ: f64 = 1430.0;

/// The shortest window that is looked at, in seconds.
pub const SHORTEST_S: f64 = 0.15;

/// The window that the stated errors hold for, in seconds.
pub const USUAL_S: f64 = 0.5;

/// The longest window that is looked at, in seconds; of a longer one the end is taken.
pub const LONGEST_S: f64 = 1.0;

/// Below this level (mean square against full scale, in dB) there is silence.
pub const SILENCE_DB: f64 = -75.0;

/// What one window says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// The first partial in Hz: the pitch that a tuner is set to, and the one that the report computes.
    pub hz: f64,
    /// One standard deviation of the pitch, in cents, by the noise between the partials and the misfit of the partials.
    pub sd_cents: f64,
    /// The inharmonicity coefficient `B' = pi^2 (b/L)^2` (see `strungwell_physics::stiffness::inharmonicity`); none where
    /// the partials do not tell it.
    pub inharmonicity: Option<Inharmonicity>,
    /// Level of the window: its mean square against full scale, in dB; 0 is a square wave from end to end.
    pub level_db: f64,
    /// How many partials were fitted.
    pub partials: usize,
    /// How fast the strongest of them dies away, as the rate `1/tau` in 1/s; below zero where it grows.
    pub decay_per_s: f64,
}

impl Pitch {
    /// How far the pitch stands over (positive) or under another, in cents. Zero when `true_hz` is no pitch.
    #[must_use]
    pub fn cents_from(&self, true_hz: f64) -> f64 {
        cents_over(self.hz, true_hz)
    }
}

/// How far one pitch in Hz stands over another, in cents; zero when the other is no pitch.
pub(crate) fn cents_over(hz: f64, true_hz: f64) -> f64 {
    if true_hz.is_finite() && true_hz > 0.0 {
        Cents::of_ratio(hz / true_hz).0
    } else {
        0.0
    }
}

/// How stiff the string sounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inharmonicity {
    /// The coefficient `B'`; noise may carry it a little below zero.
    pub coefficient: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// Why a window has no pitch, in words for a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoPitch {
    /// Fewer samples than [`SHORTEST_S`].
    #[error("not enough sound yet")]
    TooShort,
    /// A sample is no number.
    #[error("the sound that came in is broken")]
    Broken,
    /// Under [`SILENCE_DB`].
    #[error("it is silent")]
    Silent,
    /// Nothing stands out of the noise.
    #[error("only noise is heard; pluck harder or hold the microphone nearer")]
    Noise,
    /// Only the mains is heard.
    #[error("only a hum of the mains is heard; pluck the string, away from lamps and chargers")]
    Hum,
    /// Peaks, but no string's.
    #[error("what is heard is not one string; damp the others and pluck one")]
    NotOneString,
}

/// Measures pitch at one sample rate. Keeps its tables from window to window.
pub struct Estimator {
    rate: f64,
    plan: Option<Plan>,
}

impl Estimator {
    /// An estimator at a sample rate in Hz.
    ///
    /// # Errors
    /// When the rate is outside [`LOWEST_RATE`] to [`HIGHEST_RATE`].
    pub fn new(sample_rate: f64) -> Result<Self, OutOfRange> {
        let rate = within(
            "a sample rate",
            sample_rate,
            "Hz",
            LOWEST_RATE,
            HIGHEST_RATE,
        )?;
        Ok(Self { rate, plan: None })
    }

    /// The pitch in a window of samples, [`USUAL_S`] long for the stated errors; of more than [`LONGEST_S`] the end counts.
    ///
    /// # Errors
    /// [`NoPitch`] with the reason.
    pub fn window(&mut self, samples: &[f32]) -> Result<Pitch, NoPitch> {
        let most = crate::count(self.rate * LONGEST_S);
        let samples = &samples[samples.len().saturating_sub(most)..];
        if (samples.len() as f64) < self.rate * SHORTEST_S {
            return Err(NoPitch::TooShort);
        }
        if !samples.iter().all(|sample| sample.abs() <= 1e6) {
            return Err(NoPitch::Broken);
        }
        let level_db = level_db(samples);
        if level_db < SILENCE_DB {
            return Err(NoPitch::Silent);
        }
        if self
            .plan
            .as_ref()
            .is_none_or(|plan| !plan.fits(samples.len()))
        {
            self.plan = Some(Plan::new(samples.len(), self.rate));
        }
        let plan = self.plan.as_ref().ok_or(NoPitch::TooShort)?;
        let found = peaks(plan, samples);
        let chosen = choose::partials(&found, plan)?;
        let fitted = fit::fit(&chosen).ok_or(NoPitch::NotOneString)?;
        if !(LOWEST_HZ..=HIGHEST_HZ).contains(&fitted.hz) {
            return Err(NoPitch::NotOneString);
        }
        Ok(Pitch { level_db, ..fitted })
    }
}

/// Level of samples: the mean square (about their mean) against full scale, in dB; -200 for silence.
#[must_use]
pub fn level_db(samples: &[f32]) -> f64 {
    let n = samples.len().max(1) as f64;
    let mean = samples.iter().map(|s| f64::from(*s)).sum::<f64>() / n;
    let square = samples
        .iter()
        .map(|s| (f64::from(*s) - mean).powi(2))
        .sum::<f64>()
        / n;
    if square.is_finite() {
        10.0 * square.max(1e-20).log10()
    } else {
        -200.0
    }
}
