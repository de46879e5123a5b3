//! The workshop file's records as a table: every field, whether it must stand there, and what it takes.
//!
//! The reader walks a file by this table, so that the sentence about a wrong value and the check that found it come from
//! one place. The page asks it for the limits of a field ([`super::limits`]).

use std::fmt;

/// The limits of a number, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The quantity in the trade's words, with its article: `a diameter`.
    pub what: &'static str,
    /// The unit of the limits; empty for a plain number.
    pub unit: &'static str,
    /// The least that is accepted.
    pub low: f64,
    /// The most that is accepted.
    pub high: f64,
    /// Only whole numbers are accepted.
    pub whole: bool,
}

impl Limits {
    /// Whether a number is finite, whole where it must be, and within the limits.
    #[must_use]
    pub fn accept(&self, value: f64) -> bool {
        value.is_finite()
            && value >= self.low
            && value <= self.high
            && !(self.whole && value.fract() != 0.0)
    }
}

impl fmt::Display for Limits {
    /// Writes the limits in words: `a diameter in mm from 0.05 to 10`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.what)?;
        if !self.unit.is_empty() {
            write!(f, " in {}", self.unit)?;
        }
        write!(f, " from {} to {}", self.low, self.high)
    }
}

/// What a field takes.
#[derive(Clone, Copy, Debug)]
pub(super) enum Takes {
    /// Any text of at most so many characters.
    Text(usize),
    /// A text that is not empty, by which other records call this one.
    Id,
    /// A day, such as `2026-01-31`, or an empty text.
    Day,
    /// A moment, such as `2026-01-31T10:00Z`.
    Moment,
    /// A note's name.
    Note,
    /// A material's word.
    Material,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// A number.
    Number(Limits),
    /// A record.
    Record(&'static Kind),
    /// A record with exactly one field, whose name says what kind of record it holds.
    OneOf(&'static [Field]),
    /// A list of records, at least and at most so many; `whats` names them and `what` names one.
    Records {
        of: &'static Kind,
        what: &'static str,
        whats: &'static str,
        least: usize,
        most: usize,
    },
    /// A list of numbers, at most so many.
    Numbers {
        of: Limits,
        whats: &'static str,
        most: usize,
    },
}

/// Whether a field must stand in its record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Presence {
    /// It must.
    Needed,
    /// It may be missing or null; either means that it is not known.
    Optional,
    /// It may be missing or null; either means the usual value: this number, or for a field that takes no number an empty
    /// text, list or record, false, or the first word.
    Usual(f64),
}

/// One field of a record.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) presence: Presence,
    pub(super) takes: Takes,
}

/// A kind of record.
#[derive(Debug)]
pub(super) struct Kind {
    /// Its name in words: `instrument`.
    pub(super) word: &'static str,
    pub(super) fields: &'static [Field],
}

impl Kind {
    pub(super) fn field(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }
}

pub(super) const fn needed(name: &'static str, takes: Takes) -> Field {
    Field {
        name,
        presence: Presence::Needed,
        takes,
    }
}

pub(super) const fn optional(name: &'static str, takes: Takes) -> Field {
    Field {
        name,
        presence: Presence::Optional,
        takes,
    }
}

pub(super) const fn usual(name: &'static str, takes: Takes) -> Field {
    usual_number(name, takes, 0.0)
}

pub(super) const fn usual_number(name: &'static str, takes: Takes, number: f64) -> Field {
    Field {
        name,
        presence: Presence::Usual(number),
        takes,
    }
}

pub(super) const fn number(what: &'static str, unit: &'static str, low: f64, high: f64) -> Takes {
    Takes::Number(Limits {
        what,
        unit,
        low,
        high,
        whole: false,
    })
}

pub(super) const fn whole(what: &'static str, low: f64, high: f64) -> Takes {
    Takes::Number(Limits {
        what,
        unit: "",
        low,
        high,
        whole: true,
    })
}
