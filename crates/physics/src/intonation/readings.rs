//! What a tuner said, how finely it can be heard, and readings that cannot stand together.

use crate::press::{Blocked, StringOnBoard};
use crate::quantity::{Cents, Frequency, InBenchUnits, hz};
use crate::range::{OutOfRange, within};

/// One standard deviation with which a player repeats a fretted note: 2 cents, the floor of what setup can hear.
///
/// Source: Mottola, same-fretted-note variability study.
pub const READING_SD: Cents = Cents(2.0);

/// A reading of a tuner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The fret; 0 is the open string.
    pub fret: u32,
    /// How far the note was from its true pitch; positive is sharp.
    pub cents: Cents,
    /// One standard deviation of it; none where it is not known, and then it counts as any reading's.
    pub sd: Option<Cents>,
}

/// The doubt of a reading that says its own lies between these, in cents; what lies outside is brought to the nearer.
const LEAST_SD: f64 = 0.01;
const MOST_SD: f64 = 100.0;

impl Reading {
    /// One standard deviation of the reading in cents: its own where it is known and a number, else `usual`.
    pub(super) fn sd_or(&self, usual: f64) -> f64 {
        self.sd
            .map(|sd| sd.0)
            .filter(|sd| sd.is_finite() && *sd > 0.0)
            .map_or(usual, |sd| sd.clamp(LEAST_SD, MOST_SD))
    }
}

/// A reading that was not used, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct SetAside {
    /// Its place in the list that was given, from 0.
    pub place: usize,
    /// The reading.
    pub reading: Reading,
    /// Why it was not used.
    pub why: WhySetAside,
}

/// Why a reading was not used. The words are for a person at the bench.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WhySetAside {
    /// No pitch error is that large, or it is no number.
    #[error(transparent)]
    Outside(#[from] OutOfRange),
    /// The note cannot sound as the instrument is set up, so there is nothing to hold the reading against.
    #[error("{0}")]
    Blocked(#[from] Blocked),
    /// Another reading of the same fret says something else.
    #[error("another reading of this fret says {:+.1} cents: both cannot be right within {within:.1}", other.0)]
    Contradicts {
        /// What the other said.
        other: Cents,
        /// By how much two readings of one fret may differ.
        within: f64,
    },
    /// The other readings together put this note elsewhere.
    #[error("the other readings put this note at {:+.1} cents, {sds:.1} standard deviations away", expected.0)]
    OutOfLine {
        /// Where they put it.
        expected: Cents,
        /// How far off it is.
        sds: f64,
    },
}

/// The least steps of pitch that an ear tells apart on pure tones below 1 kHz, in cents at this pitch: 2 Hz and 3 Hz.
///
/// Source: psychoacoustic glossaries; Rossing (ed.), The Science of String Instruments (2010), gives 2 to 5 Hz over 146 to
/// 1320 Hz. Rich tones, and beats against another string, are told apart more finely.
#[must_use]
pub fn pure_tone_step(pitch: Frequency) -> (Cents, Cents) {
    let step = |df: f64| Cents::between(pitch, hz(pitch.bench() + df));
    (step(2.0), step(3.0))
}

/// Two readings of one fret contradict each other when they differ by more than this many standard deviations of their
/// difference; one is out of line with the rest beyond the other figure. Common practice in adjusting observations.
const CONTRADICT_SDS: f64 = 3.0;
pub(super) const OUT_OF_LINE_SDS: f64 = 3.5;
/// A reading beyond this is a slip, not a pitch error.
const MOST_CENTS: f64 = 600.0;

/// Readings sorted into those that can be used, with their places, and those that cannot.
pub(super) struct Sorted {
    pub(super) used: Vec<(usize, Reading)>,
    pub(super) aside: Vec<SetAside>,
}

pub(super) fn sorted(string: &StringOnBoard<'_>, readings: &[Reading], sd: f64) -> Sorted {
    let mut out = Sorted {
        used: Vec::with_capacity(readings.len()),
        aside: Vec::new(),
    };
    for (place, &reading) in readings.iter().enumerate() {
        let why = within(
            "a reading",
            reading.cents.0,
            "cents",
            -MOST_CENTS,
            MOST_CENTS,
        )
        .map_err(WhySetAside::from)
        .and_then(|_| {
            // The open string was heard whatever the heights say; only a fretted note must be able to sound.
            if reading.fret == 0 {
                return Ok(());
            }
            string
                .press(reading.fret)
                .map(|_| ())
                .map_err(WhySetAside::from)
        });
        match why {
            Ok(()) => out.used.push((place, reading)),
            Err(why) => out.aside.push(SetAside {
                place,
                reading,
                why,
            }),
        }
    }
    let apart = CONTRADICT_SDS * std::f64::consts::SQRT_2 * sd;
    let all = out.used.clone();
    out.used.retain(|&(place, reading)| {
        let Some(other) = contradicted(&all, place, reading, apart) else {
            return true;
        };
        out.aside.push(SetAside {
            place,
            reading,
            why: WhySetAside::Contradicts {
                other,
                within: apart,
            },
        });
        false
    });
    out.aside.sort_by_key(|a| a.place);
    out
}

/// What the other readings of the same fret say against one: the middle one of them all, when it lies too far off.
fn contradicted(
    all: &[(usize, Reading)],
    place: usize,
    reading: Reading,
    apart: f64,
) -> Option<Cents> {
    let mut same: Vec<f64> = all
        .iter()
        .filter(|(_, r)| r.fret == reading.fret)
        .map(|(_, r)| r.cents.0)
        .collect();
    if same.len() == 2 {
        let other = all
            .iter()
            .find(|(p, r)| *p != place && r.fret == reading.fret)?
            .1;
        return ((other.cents.0 - reading.cents.0).abs() > apart).then_some(other.cents);
    }
    same.sort_by(f64::total_cmp);
    let middle = same.get(same.len() / 2).copied()?;
    ((middle - reading.cents.0).abs() > apart).then_some(Cents(middle))
}
