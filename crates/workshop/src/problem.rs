//! What is wrong with a value that was read, in one sentence.

use std::fmt;

/// A value that could not be used: where it stands, what it reads, and what would be accepted there.
///
/// Shown as one sentence without line breaks, such as
/// `instrument "Concert" (course 4, string 1): diameter_mm reads "abc"; a diameter in mm from 0.05 to 10 is accepted`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The record, in words: `the file`, `owner "Ada"`, `instrument "Concert" (course 4, string 1)`.
    pub record: String,
    /// The field's name in the record, such as `diameter_mm`; empty when the record as a whole is meant.
    pub field: String,
    /// What stands there, ready to be shown: a number, a text in quotes, or words such as `nothing`.
    pub read: String,
    /// What would be accepted, in words: `a diameter in mm from 0.05 to 10`.
    pub accept: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.record)?;
        if !self.field.is_empty() {
            write!(f, ": {}", self.field)?;
        }
        write!(f, " reads {}; {} is accepted", self.read, self.accept)
    }
}

impl std::error::Error for Problem {}

/// The longest text that a problem quotes, in characters.
pub const QUOTED_MOST: usize = 60;

/// A text made fit to stand in a line of words: line breaks and tabs become spaces, other control characters and the
/// marks that turn the direction of writing are left out, and a text longer than `most` characters is cut with `…`.
#[must_use]
pub fn clean(text: &str, most: usize) -> String {
    let mut shown = String::new();
    let mut count = 0;
    for letter in text.chars() {
        let letter = match letter {
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => ' ',
            _ if letter.is_control() || turns_writing(letter) => continue,
            _ => letter,
        };
        if count == most {
            shown.push('…');
            break;
        }
        shown.push(letter);
        count += 1;
    }
    shown
}

/// A text [`clean`]ed and cut, in double quotes.
#[must_use]
pub fn quoted(text: &str) -> String {
    format!("\"{}\"", clean(text, QUOTED_MOST))
}

/// Marks without a shape that change how the letters after them are laid, or hide between them.
const fn turns_writing(letter: char) -> bool {
    matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_problem_is_one_sentence() {
        let problem = Problem {
            record: "instrument \"Concert\" (course 4, string 1)".into(),
            field: "diameter_mm".into(),
            read: quoted("abc"),
            accept: "a diameter in mm from 0.05 to 10".into(),
        };
        assert_eq!(
            problem.to_string(),
            "instrument \"Concert\" (course 4, string 1): diameter_mm reads \"abc\"; \
             a diameter in mm from 0.05 to 10 is accepted"
        );
    }

    #[test]
    fn a_hostile_name_is_made_harmless() {
        assert_eq!(clean("a\u{1b}[31mb\nc\u{202e}d", 60), "a[31mb cd");
        assert_eq!(clean("abcdef", 3), "abc…");
        assert_eq!(clean("abc", 3), "abc");
    }

    proptest! {
        #[test]
        fn no_control_character_is_shown(text in any::<String>(), most in 0..80usize) {
            let shown = clean(&text, most);
            prop_assert!(!shown.chars().any(char::is_control));
            prop_assert!(shown.chars().count() <= most + 1);
        }
    }
}
