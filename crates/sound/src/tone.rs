//! The tone of plucked strings, rendered from what the physics says of them.
//!
//! Pitch, inharmonicity, the place of the pluck and the buzz come from the instrument's figures. How fast a tone dies away
//! is from memory of such strings, not measured ([`Loss`]); a body's own resonances are left out.

use crate::noise::Noise;
use crate::{HIGHEST_RATE, LOWEST_RATE, count, sample};
use std::f64::consts::{PI, TAU};
use strungwell_physics::plucked::{Loss, partial, pull_at_saddle};
use strungwell_physics::quantity::{InBenchUnits, hz};
use strungwell_physics::range::{OutOfRange, within};

/// The largest sample of a rendered tone: half of full scale, so that a start is never loud and nothing clips.
pub const PEAK: f64 = 0.5;

/// The longest sound that is rendered, in seconds.
pub const LONGEST_S: f64 = 10.0;

/// At most so many notes sound together.
pub const MOST_NOTES: usize = 12;

/// A usual delay from string to string of a slow strum, in seconds; common practice.
pub const STRUM_S: f64 = 0.028;

/// The finger leaves the string within this time, in seconds: softer than a plectrum.
const ATTACK_S: f64 = 0.003;

/// The end is drawn down to nothing within this time, in seconds.
const RELEASE_S: f64 = 0.03;

/// Partials are rendered up to here, in Hz, and so many of them.
const TOP_HZ: f64 = 8_000.0;
const MOST_PARTIALS: u32 = 24;

/// A partial that has fallen to this share of the note's loudest is let go.
const FAINTEST: f64 = 3e-4;

/// One plucked note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Note {
    /// The pitch in Hz, which becomes the first partial.
    pub hz: f64,
    /// Bending length over sounding length, `B = b/L` (0 for a string without stiffness).
    pub bending: f64,
    /// Where it is plucked, as a share of the sounding length from the saddle, between 0 and 1.
    pub pluck_at: f64,
    /// How it dies away.
    pub loss: Loss,
    /// How hard it is plucked, in N or mm, the same unit as `headroom`.
    pub pluck: f64,
    /// The hardest pluck that stays clear of every fret; none where it is not known, and then it does not buzz.
    pub headroom: Option<f64>,
    /// When it is plucked, in seconds from the start of the sound.
    pub start_s: f64,
}

impl Note {
    /// Whether the string touches a fret as it swings: exactly when the pluck is harder than the headroom.
    #[must_use]
    pub fn buzzes(&self) -> bool {
        self.headroom.is_some_and(|headroom| self.pluck > headroom)
    }

    /// The same pluck in tune and clear of the frets, at the pitch that the note should have: what a shown note is held
    /// against.
    #[must_use]
    pub const fn in_tune(self, hz: f64) -> Self {
        Self {
            hz,
            headroom: None,
            ..self
        }
    }

    fn checked(&self) -> Result<(), OutOfRange> {
        within("a pitch", self.hz, "Hz", 20.0, 5000.0)?;
        within(
            "a bending length over the length",
            self.bending,
            "",
            0.0,
            0.05,
        )?;
        within("a place of the pluck", self.pluck_at, "", 0.001, 0.999)?;
        within(
            "a rate of decay",
            self.loss.steady_per_s,
            "1/s",
            0.0,
            1000.0,
        )?;
        within(
            "a rate of decay",
            self.loss.rising_per_s,
            "1/s",
            0.0,
            1000.0,
        )?;
        within("a pluck", self.pluck, "", 0.0, 1000.0)?;
        if let Some(headroom) = self.headroom {
            // A string that lies on a fret has none, or less than none.
            within("a headroom", headroom, "", -1000.0, 1e6)?;
        }
        within("a start", self.start_s, "s", 0.0, LONGEST_S)?;
        Ok(())
    }
}

/// Notes one after the other by `delay_s` seconds, as a strum from the first to the last.
#[must_use]
pub fn strummed(notes: &[Note], delay_s: f64) -> Vec<Note> {
    notes
        .iter()
        .enumerate()
        .map(|(place, note)| Note {
            start_s: note.start_s + place as f64 * delay_s,
            ..*note
        })
        .collect()
}

/// Renders notes into one sound: one channel, from -[`PEAK`] to [`PEAK`], `seconds` long. The loudest sample of any sound but
/// silence is [`PEAK`]; no notes give silence.
///
/// # Errors
/// When the rate, the length or a note's figure is out of its range, in words; more than [`MOST_NOTES`] notes count as a
/// figure out of range too.
pub fn render(notes: &[Note], sample_rate: f64, seconds: f64) -> Result<Vec<f32>, OutOfRange> {
    let rate = within(
        "a sample rate",
        sample_rate,
        "Hz",
        LOWEST_RATE,
        HIGHEST_RATE,
    )?;
    let seconds = within("a length of sound", seconds, "s", 0.0, LONGEST_S)?;
    within(
        "a number of notes",
        notes.len() as f64,
        "",
        0.0,
        MOST_NOTES as f64,
    )?;
    for note in notes {
        note.checked()?;
    }
    let mut sound = vec![0.0; count(rate * seconds)];
    for (place, note) in notes.iter().enumerate() {
        let from = count(note.start_s * rate).min(sound.len());
        pluck(&mut sound[from..], note, rate, place as u64);
    }
    let release = count(RELEASE_S * rate).min(sound.len());
    for (place, value) in sound.iter_mut().rev().take(release).enumerate() {
        *value *= place as f64 / release as f64;
    }
    let loudest = sound
        .iter()
        .fold(0.0f64, |most, value| most.max(value.abs()));
    let scale = if loudest > 0.0 { PEAK / loudest } else { 0.0 };
    Ok(sound
        .into_iter()
        .map(|value| sample(value * scale))
        .collect())
}

/// Adds one note to a sound, its loudest partial about 1.
fn pluck(sound: &mut [f64], note: &Note, rate: f64, seed: u64) {
    let partials: Vec<(f64, f64, f64)> = (1..=MOST_PARTIALS)
        .map(|q| {
            let frequency = partial(hz(note.hz), note.bending, q);
            let size = pull_at_saddle(note.pluck_at, q);
            (frequency.bench(), size, note.loss.rate_per_s(frequency))
        })
        .take_while(|(frequency, ..)| *frequency < TOP_HZ.min(0.45 * rate) || *frequency <= note.hz)
        .filter(|(frequency, ..)| *frequency < 0.5 * rate)
        .collect();
    let loudest = partials
        .iter()
        .fold(1e-12f64, |most, (_, size, _)| most.max(size.abs()));
    let mut own = vec![0.0; sound.len()];
    for (frequency, size, decay) in partials {
        let size = size / loudest;
        if size.abs() < FAINTEST {
            continue;
        }
        let life = (size.abs() / FAINTEST).ln() / decay.max(1e-6);
        swing(&mut own, [size, frequency, decay], rate, life);
    }
    let attack = count(ATTACK_S * rate).max(1);
    for (place, value) in own.iter_mut().take(attack).enumerate() {
        *value *= 0.5 - 0.5 * (PI * place as f64 / attack as f64).cos();
    }
    if note.buzzes() {
        rattle(&mut own, note, rate, seed);
    }
    for (value, own) in sound.iter_mut().zip(own) {
        *value += own;
    }
}

/// Adds `size exp(-decay t) cos(2 pi f t)` for as long as it lives, turned on from sample to sample.
fn swing(sound: &mut [f64], [size, frequency, decay]: [f64; 3], rate: f64, life_s: f64) {
    let (ts, tc) = (TAU * frequency / rate).sin_cos();
    let fall = (-decay / rate).exp();
    let (turn_c, turn_s) = (fall * tc, fall * ts);
    let (mut c, mut s) = (size, 0.0);
    let lives = count(life_s * rate).min(sound.len());
    for value in &mut sound[..lives] {
        *value += c;
        (c, s) = (c * turn_c - s * turn_s, c * turn_s + s * turn_c);
    }
}

/// How loud a knock on a fret is when the swing goes far beyond it, against the note's loudest partial.
const KNOCK: f64 = 0.5;

/// How long a knock rings, in seconds.
const KNOCK_S: f64 = 0.0012;

/// Adds the knocks of the string on a fret: one in each turn of its swing, for as long as the swing, dying away with the first
/// partial, reaches beyond the headroom. How a knock sounds is a sketch by ear: a short ring of uneven pitch.
fn rattle(own: &mut [f64], note: &Note, rate: f64, seed: u64) {
    let mut noise = Noise::new(seed);
    let decay = note.loss.rate_per_s(hz(note.hz));
    let headroom = note.headroom.unwrap_or(f64::INFINITY).max(0.0);
    let mut at = ATTACK_S;
    loop {
        let place = count(at * rate);
        let beyond = 1.0 - headroom / (note.pluck * (-decay * at).exp());
        if place >= own.len() || beyond.is_nan() || beyond <= 0.0 {
            return;
        }
        let size = KNOCK * beyond.sqrt() * (0.6 + 0.4 * noise.even());
        let pitch = (2200.0 + 1800.0 * noise.even()).min(0.4 * rate);
        swing(
            &mut own[place..],
            [size, pitch, 1.0 / KNOCK_S],
            rate,
            6.0 * KNOCK_S,
        );
        at += 1.0 / note.hz;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const RATE: f64 = 48_000.0;

    fn note(hz: f64) -> Note {
        Note {
            hz,
            bending: 0.003,
            pluck_at: 0.22,
            loss: Loss::POLYMER,
            pluck: 1.5,
            headroom: Some(2.0),
            start_s: 0.0,
        }
    }

    #[test]
    fn the_loudest_sample_is_the_stated_peak_and_the_ends_are_soft() {
        let notes = [196.0, 261.6, 329.6, 440.0].map(note);
        for notes in [&notes[..1], &strummed(&notes, STRUM_S)] {
            let sound = render(notes, RATE, 1.0).unwrap();
            assert_eq!(sound.len(), 48_000);
            let loudest = sound.iter().fold(0.0f32, |most, s| most.max(s.abs()));
            assert!((loudest - 0.5).abs() < 1e-6);
            assert!(sound[0].abs() < 1e-3 && sound[47_999].abs() < 1e-3);
            let step = sound
                .windows(2)
                .map(|w| (w[1] - w[0]).abs())
                .fold(0.0, f32::max);
            assert!(step < 0.3, "a click of {step}");
        }
    }

    /// Sound above the partials' reach of a dull string: the knocks' alone.
    fn knocking(headroom: Option<f64>) -> f64 {
        let dull = Note {
            headroom,
            loss: Loss {
                steady_per_s: 2.0,
                rising_per_s: 60.0,
            },
            ..note(196.0)
        };
        let sound = render(&[dull], RATE, 0.5).unwrap();
        // The second difference lifts what is high.
        let late = &sound[9_600..];
        late.windows(3)
            .map(|w| f64::from(w[0] - 2.0 * w[1] + w[2]).powi(2))
            .sum()
    }

    #[test]
    fn it_buzzes_when_the_pluck_is_harder_than_the_headroom_and_not_otherwise() {
        let at = |headroom| Note {
            headroom,
            ..note(196.0)
        };
        // The pluck is 1.5.
        assert!(!at(None).buzzes() && !at(Some(1.5)).buzzes() && at(Some(1.499)).buzzes());
        let clear = knocking(None);
        assert_eq!(knocking(Some(1.5)), clear);
        assert_eq!(knocking(Some(1.500_001)), clear);
        assert!(knocking(Some(0.5)) > 20.0 * clear);
        assert!(knocking(Some(-0.1)) > knocking(Some(0.5)));
        // Just beyond, it knocks at the beginning only: the samples differ all the same.
        let just = render(
            &[Note {
                headroom: Some(1.49),
                ..note(196.0)
            }],
            RATE,
            0.5,
        )
        .unwrap();
        let none = render(&[note(196.0)], RATE, 0.5).unwrap();
        assert_ne!(just, none);
    }

    #[test]
    fn what_cannot_be_rendered_is_refused_in_words() {
        let error = render(&[note(f64::NAN)], RATE, 1.0).unwrap_err();
        assert!(error.to_string().starts_with("a pitch of NaN"), "{error}");
        assert!(render(&[note(440.0); 13], RATE, 1.0).is_err());
        assert!(render(&[note(440.0)], 1.0, 1.0).is_err());
        assert!(render(&[note(440.0)], RATE, 1e9).is_err());
        assert!(render(&[], RATE, 0.1).unwrap().iter().all(|s| *s == 0.0));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn no_figure_makes_a_sample_that_clips(
            hz in 20.0..5000.0, bending in 0.0..0.05, at in 0.001..0.999, pluck in 0.0..1000.0,
            headroom in -1.0..10.0, start in 0.0..0.3, rate in 8000.0..96_000.0
        ) {
            let note = Note { hz, bending, pluck_at: at, pluck, headroom: Some(headroom), start_s: start, ..note(440.0) };
            let sound = render(&[note], rate, 0.2).unwrap();
            prop_assert!(sound.iter().all(|s| s.is_finite() && s.abs() <= 0.500_001));
        }
    }
}
