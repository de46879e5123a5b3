//! Reading what a bench hand writes: lengths, forces, masses, cents, counts and notes.
//!
//! `381`, `381 mm`, `15 in`, `13 7/8 in`, `13-7/8"`, `.028"`, `0,7 mm`, `38.1 cm`, `13⅞″`, `28 thou`: a comma or a point
//! divides the decimals, a fraction may stand alone or after a whole number, and a unit may be left out where a usual one
//! is known. What cannot be read is said in words ([`Unread`]); no text makes a reader panic, and none gives a number that
//! is not finite. Limits of a quantity are not looked at here: [`crate::file::limits`] knows them.

mod amount;
mod quantity;

pub use quantity::{
    cents, count, degrees, force_n, frequency_hz, length_mm, mass_g, mass_per_length_g_m, number,
    percent,
};

use crate::problem::quoted;
use std::fmt;
use strungwell_physics::pitch::Note;

/// The longest text that is read, in characters.
pub const MOST_CHARACTERS: usize = 40;

/// A text that could not be read, why, and what can be.
///
/// Shown as a sentence: `"381 foo" cannot be read: "foo" is no unit of length here; a length such as 381 mm, 15 in,
/// 13 7/8 in or .028" is accepted`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The text, ready to be shown: in quotes and cut when long, or `nothing`.
    pub read: String,
    /// Why it could not be read, in words.
    pub why: String,
    /// What would be accepted, in words.
    pub accept: String,
}

impl Unread {
    fn new(text: &str, why: impl Into<String>, accept: impl Into<String>) -> Self {
        let read = if text.trim().is_empty() {
            "nothing".to_owned()
        } else {
            quoted(text.trim())
        };
        Self {
            read,
            why: why.into(),
            accept: accept.into(),
        }
    }
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} cannot be read: {}; {} is accepted",
            self.read, self.why, self.accept
        )
    }
}

impl std::error::Error for Unread {}

/// Reads a note: `G3`, `c#4`, `Bb3`, `e♭2`. Middle C is C4.
///
/// # Errors
/// [`Unread`] when the text is no note from C0 to B8.
pub fn note(text: &str) -> Result<Note, Unread> {
    const ACCEPT: &str =
        "a letter A to G, perhaps # or b, and an octave from 0 to 8, such as G3 or Bb2,";
    let why = if text.chars().count() > MOST_CHARACTERS {
        "it is too long for a note".to_owned()
    } else {
        match Note::parse(text) {
            Ok(note) => return Ok(note),
            Err(error) => {
                let said = error.to_string();
                said.split(';').next().unwrap_or_default().to_owned()
            }
        }
    };
    Err(Unread::new(text, crate::problem::clean(&why, 80), ACCEPT))
}

#[cfg(test)]
mod tests;
