//! Notes, their names and their frequencies in twelve-tone equal temperament.

use crate::quantity::{Cents, Frequency, hz};
use crate::range::{OutOfRange, within};
use std::fmt;

/// A note of the keyboard, C0 to B8, by its number of semitones (C4 is 60, A4 is 69).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Note {
    midi: i32,
}

/// Text that is not a note.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PitchError {
    /// Nothing was written.
    #[error("no note is written; a letter A to G and an octave is needed, such as G3")]
    Empty,
    /// The first letter is not A to G.
    #[error(
        "\"{0}\" is not a note letter; A to G, perhaps # or b, and an octave is needed, such as G3 or Bb2"
    )]
    Letter(char),
    /// No octave, or not a number from 0 to 8.
    #[error(
        "\"{0}\" is not an octave; a whole number from 0 to 8 is needed after the letter, such as G3"
    )]
    Octave(String),
}

const LOWEST: i32 = 12;
const HIGHEST: i32 = 119;
const SHARP_NAMES: [&str; 12] = [
    "C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B",
];

impl Note {
    /// The note A4, to which instruments are tuned.
    pub const A4: Self = Self { midi: 69 };

    /// The note with this number (C4 is 60), from 12 (C0) to 119 (B8), or none.
    #[must_use]
    pub const fn from_midi(midi: i32) -> Option<Self> {
        if midi >= LOWEST && midi <= HIGHEST {
            Some(Self { midi })
        } else {
            None
        }
    }

    /// Reads a note's name: a letter A to G of either case, up to two of `#`, `b`, `♯` or `♭`, and an octave from 0 to 8.
    /// Middle C is C4.
    ///
    /// # Errors
    /// [`PitchError`] says which part could not be read.
    pub fn parse(text: &str) -> Result<Self, PitchError> {
        let mut rest = text.trim().chars();
        let letter = rest.next().ok_or(PitchError::Empty)?;
        let in_octave = match letter.to_ascii_uppercase() {
            'C' => 0,
            'D' => 2,
            'E' => 4,
            'F' => 5,
            'G' => 7,
            'A' => 9,
            'B' => 11,
            _ => return Err(PitchError::Letter(letter)),
        };
        let mut after = rest.as_str();
        let mut altered = 0;
        for _ in 0..2 {
            let Some(sign) = after.chars().next() else {
                break;
            };
            altered += match sign {
                '#' | '♯' => 1,
                'b' | '♭' => -1,
                _ => break,
            };
            after = &after[sign.len_utf8()..];
        }
        let octave_text = after.trim();
        let octave = match octave_text.as_bytes() {
            [digit @ b'0'..=b'8'] => i32::from(digit - b'0'),
            _ => return Err(PitchError::Octave(octave_text.chars().take(12).collect())),
        };
        Self::from_midi(12 * (octave + 1) + in_octave + altered)
            .ok_or_else(|| PitchError::Octave(octave_text.to_owned()))
    }

    /// The note's number of semitones; C4 is 60.
    #[must_use]
    pub const fn midi(self) -> i32 {
        self.midi
    }

    /// The note this many semitones up (down when negative), or none beyond C0 to B8.
    #[must_use]
    pub const fn up(self, semitones: i32) -> Option<Self> {
        Self::from_midi(self.midi.saturating_add(semitones))
    }

    /// The interval from this note up to another; negative when the other is lower.
    #[must_use]
    pub fn to(self, other: Self) -> Cents {
        Cents(100.0 * f64::from(other.midi - self.midi))
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = usize::try_from(self.midi.rem_euclid(12)).map_or("C", |i| SHARP_NAMES[i]);
        write!(f, "{name}{}", self.midi.div_euclid(12) - 1)
    }
}

/// The frequency that A4 is tuned to, from 380 to 500 Hz.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitchStandard {
    a4: Frequency,
}

impl PitchStandard {
    /// A pitch standard with A4 at this frequency.
    ///
    /// # Errors
    /// [`OutOfRange`] outside 380 to 500 Hz, which holds the historical ones known.
    pub fn new(a4: Frequency) -> Result<Self, OutOfRange> {
        let value = within(
            "a pitch standard",
            a4.get::<uom::si::frequency::hertz>(),
            "Hz",
            380.0,
            500.0,
        )?;
        Ok(Self { a4: hz(value) })
    }

    /// The frequency of A4.
    #[must_use]
    pub const fn a4(self) -> Frequency {
        self.a4
    }

    /// The frequency of a note: `f = A4 2^((m - 69)/12)`, shifted by an offset (positive is sharp).
    ///
    /// Source: twelve-tone equal temperament; A4 = 440 Hz is ISO 16:1975.
    #[must_use]
    pub fn frequency(self, note: Note, offset: Cents) -> Frequency {
        let semitones = f64::from(note.midi - Note::A4.midi);
        self.a4 * Cents(100.0 * semitones + offset.0).ratio()
    }

    /// The nearest note to a frequency, and how far the frequency lies above it (negative: below). None beyond C0 to B8.
    #[must_use]
    pub fn nearest(self, frequency: Frequency) -> Option<(Note, Cents)> {
        let from_a4 = Cents::between(self.a4, frequency).0;
        if !from_a4.is_finite() || from_a4.abs() > 12_000.0 {
            return None;
        }
        let semitones = (from_a4 / 100.0).round();
        // At most 120 semitones either way, so the whole number fits.
        #[allow(clippy::cast_possible_truncation)]
        let note = Note::A4.up(semitones as i32)?;
        Some((note, Cents(from_a4 - 100.0 * semitones)))
    }
}

impl Default for PitchStandard {
    /// A4 = 440 Hz (ISO 16:1975).
    fn default() -> Self {
        Self { a4: hz(440.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::InBenchUnits;
    use proptest::prelude::*;

    #[test]
    fn names_are_read_in_either_case_with_either_sign() {
        for (text, midi) in [
            ("G3", 55),
            ("g3", 55),
            ("Bb2", 46),
            ("bb2", 46),
            ("B2", 47),
            ("C#4", 61),
            ("e♭4", 63),
            ("F♯ 5", 78),
            (" A4 ", 69),
            ("Cb4", 59),
            ("B##3", 61),
        ] {
            assert_eq!(Note::parse(text).map(Note::midi), Ok(midi), "{text}");
        }
    }

    #[test]
    fn what_is_no_note_is_said() {
        assert_eq!(Note::parse("H9"), Err(PitchError::Letter('H')));
        assert_eq!(Note::parse(""), Err(PitchError::Empty));
        assert_eq!(Note::parse("G"), Err(PitchError::Octave(String::new())));
        assert_eq!(Note::parse("G9"), Err(PitchError::Octave("9".into())));
        assert!(Note::parse("Cb0").is_err());
        assert!(Note::parse("G-3").is_err());
    }

    #[test]
    fn the_nearest_note_of_a_sharp_string() {
        let standard = PitchStandard::default();
        let (note, off) = standard.nearest(hz(198.0)).unwrap();
        assert_eq!(note.to_string(), "G3");
        assert!((off.0 - 17.6).abs() < 0.1, "{off:?}");
        assert!(standard.nearest(hz(0.0)).is_none());
    }

    proptest! {
        #[test]
        fn a_printed_note_reads_back(midi in LOWEST..=HIGHEST) {
            let note = Note::from_midi(midi).unwrap();
            prop_assert_eq!(Note::parse(&note.to_string()), Ok(note));
        }

        #[test]
        fn any_text_is_read_or_refused(text in ".{0,12}") {
            let _ = Note::parse(&text);
        }

        #[test]
        fn frequency_and_nearest_note_agree(midi in LOWEST..=HIGHEST, off in -49.0..49.0f64) {
            let standard = PitchStandard::default();
            let note = Note::from_midi(midi).unwrap();
            let (back, left) = standard.nearest(standard.frequency(note, Cents(off))).unwrap();
            prop_assert_eq!(back, note);
            prop_assert!((left.0 - off).abs() < 1e-6);
            prop_assert!(standard.frequency(note, Cents(off)).bench() > 0.0);
        }
    }
}
