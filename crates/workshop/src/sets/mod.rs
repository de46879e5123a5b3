//! Choosing all courses at once: whole sets from the rack and from stock gauges, ranked, with what each gains and gives up.
//!
//! Each string of each course is a place, and like strings of one course (a pair in unison) are one place that takes several.
//! What can go on a place costs as much as it departs from the profile, and more for each thing that speaks against it;
//! the search ([`search`]) finds the set of least cost under all limits at once. `docs/sets.md` has the method.

mod aim;
pub mod borrow;
mod compare;
pub mod measure;
mod places;
pub mod retune;
mod search;
mod section;
pub mod winding;
mod words;

pub use aim::{Metric, Profile};

use crate::choose::{Finding, From, Verdict};
use crate::records::{Course, FittedString, Instrument, Make, RackString, Workshop};
use crate::report::StringFigures;
use crate::units::Units;

/// What is asked of a whole set.
#[derive(Clone, Debug, PartialEq)]
pub struct Choices {
    /// How the strings shall stand to one another.
    pub profile: Profile,
    /// The level of the profile: N for the tension profiles and for the finger's force, no unit for the stretch. None takes it
    /// from the courses that stay, else from the family or the strings that are on; [`Answer::aim`] says which. Not used by
    /// a profile that holds its own figures.
    pub level: Option<f64>,
    /// How far a string may lie from its aim, as a share of it (0.15 is 15 per cent, up or down): a hard limit.
    pub within: f64,
    /// Courses that keep their strings, counted from 0.
    pub locked: Vec<usize>,
    /// Notes to plan for, one a course; none takes the instrument's.
    pub notes: Option<Vec<String>>,
    /// Take strings from the rack.
    pub from_rack: bool,
    /// Take stock gauges, which would have to be ordered.
    pub from_stock: bool,
    /// Hard limits.
    pub limits: SetLimits,
    /// How many sets to propose, 1 to 12.
    pub sets: usize,
    /// In how many places each must differ from every better one; at least 1.
    pub differ: usize,
    /// The units of the sentences.
    pub units: Units,
}

impl Default for Choices {
    /// Three sets of equal tension within 15 per cent from rack and stock, each with two strings other than in any better one.
    fn default() -> Self {
        Self {
            profile: Profile::Equal,
            level: None,
            within: 0.15,
            locked: Vec::new(),
            notes: None,
            from_rack: true,
            from_stock: true,
            limits: SetLimits::default(),
            sets: 3,
            differ: 2,
            units: Units::default(),
        }
    }
}

/// Hard limits of a set, beside those that hold for every string (slots, tuner holes, breaking, steel among nylon).
#[derive(Clone, Debug, PartialEq)]
pub struct SetLimits {
    /// The largest share of its least breaking load that a string may bear; from 0.90 on none is proposed whatever stands
    /// here. A string without a breaking figure is held to its mark of stress instead.
    pub breaking_most: f64,
    /// The thinnest string in mm; none for no limit.
    pub thinnest_mm: Option<f64>,
    /// The thickest string in mm; none for no limit.
    pub thickest_mm: Option<f64>,
    /// The most that all strings may pull together, those that stay included, in N; none for no limit.
    pub total_n: Option<f64>,
    /// The most that the new strings may cost together. Strings without a price, stock among them, are left out then.
    pub price: Option<f64>,
    /// Take no more of a rack string than are on hand, where they are counted.
    pub on_hand: bool,
}

impl Default for SetLimits {
    fn default() -> Self {
        Self {
            breaking_most: crate::report::WARN_FROM,
            thinnest_mm: None,
            thickest_mm: None,
            total_n: None,
            price: None,
            on_hand: true,
        }
    }
}

/// Whole sets, the best first.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// What the strings are held against, in words with the numbers and where they come from.
    pub aim: String,
    /// What of each string is held against it.
    pub metric: Metric,
    /// The sets, the best first.
    pub sets: Vec<SetProposal>,
    /// True when each is proven to be the best under what was asked; false when the search had to stop before.
    pub proven: bool,
    /// What was left out, and why there are fewer sets than asked for where there are; each a sentence.
    pub notes: Vec<String>,
}

/// One whole set.
#[derive(Clone, Debug, PartialEq)]
pub struct SetProposal {
    /// The strings, in the order of the courses and of the strings of each; those that stay are among them.
    pub strings: Vec<SetString>,
    /// The mean departure from the aim over the new strings (root mean square), as a share.
    pub departs: f64,
    /// The largest departure of a new string, as a share.
    pub departs_most: f64,
    /// The score by which sets are ranked, the least first: the root of the mean cost a string, to be read as a departure with
    /// what speaks against the strings counted in.
    pub score: f64,
    /// The sum of all tensions in N; none when that of a string that stays is not known.
    pub total_n: Option<f64>,
    /// Price of the new strings that have one.
    pub price: f64,
    /// How many new strings have no price.
    pub unpriced: usize,
    /// How many new strings are not on the rack and must be ordered.
    pub to_order: usize,
    /// Why it stands where it stands.
    pub why: String,
    /// What it gains against the first set (the first: against the second), each a sentence.
    pub gains: Vec<String>,
    /// What it gives up against the same.
    pub gives_up: Vec<String>,
}

/// One string of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct SetString {
    /// The course, counted from 0.
    pub course: usize,
    /// The string on its course, counted from 0.
    pub string: usize,
    /// The note that it sounds.
    pub note: String,
    /// It stays as it is.
    pub locked: bool,
    /// Where it comes from; [`From::Fitted`] for one that stays.
    pub from: From,
    /// What it is; none for one that stays and is not known.
    pub make: Option<Make>,
    /// Its figures on the course.
    pub figures: StringFigures,
    /// The aim: N, or no unit for the stretch.
    pub aim: f64,
    /// What it has of it.
    pub has: Option<f64>,
    /// Its departure from the aim as a share; positive is above.
    pub departs: Option<f64>,
    /// Its price; none where it has none or stays.
    pub price: Option<f64>,
    /// Good or fair; never ruled out but where it stays.
    pub verdict: Verdict,
    /// What speaks for and against it, the weightiest first.
    pub findings: Vec<Finding>,
}

/// Proposes whole sets for an instrument of a shop.
///
/// # Errors
/// A sentence when there is no such instrument, what is asked cannot be read, or a profile lacks what it needs (heights for
/// the finger's force, a level where nothing gives one, a liked set of as many courses).
pub fn propose(workshop: &Workshop, instrument: &str, choices: &Choices) -> Result<Answer, String> {
    let instrument = workshop
        .instruments
        .iter()
        .find(|i| i.id == instrument)
        .ok_or("there is no such instrument")?;
    propose_on(instrument, &workshop.rack, &workshop.instruments, choices)
}

/// The same for an instrument that is no record yet; `others` are those that a liked set may lie on.
///
/// # Errors
/// As [`propose`].
pub fn propose_on(
    instrument: &Instrument,
    rack: &[RackString],
    others: &[Instrument],
    choices: &Choices,
) -> Result<Answer, String> {
    let instrument = &tuned_to(instrument, choices.notes.as_deref())?;
    let within = choices.within;
    if !(within.is_finite() && within > 0.0 && within <= 1.0) {
        return Err(
            "how far a string may lie from its aim must be more than 0 and at most 100 %".into(),
        );
    }
    let aim = aim::Aim::of(instrument, rack, others, choices)?;
    let board = places::Board::of(instrument, rack, choices, &aim)?;
    let found = search::solve(&board.puzzle);
    Ok(words::answer(&board, &found))
}

/// The most sets that are proposed.
const MOST_SETS: usize = 12;

/// The instrument with other notes on its courses.
pub(crate) fn tuned_to(
    instrument: &Instrument,
    notes: Option<&[String]>,
) -> Result<Instrument, String> {
    let mut tuned = instrument.clone();
    if let Some(notes) = notes {
        if notes.len() != tuned.courses.len() {
            return Err(format!(
                "{} notes are given for {} courses",
                notes.len(),
                tuned.courses.len()
            ));
        }
        for (course, note) in tuned.courses.iter_mut().zip(notes) {
            course.note.clone_from(note);
        }
    }
    Ok(tuned)
}

/// The instrument as it would be with a set on it, and with the notes that the set was planned for.
#[must_use]
pub fn strung_with(
    instrument: &Instrument,
    set: &SetProposal,
    notes: Option<&[String]>,
) -> Instrument {
    let mut strung = tuned_to(instrument, notes).unwrap_or_else(|_| instrument.clone());
    for string in set.strings.iter().filter(|s| !s.locked) {
        let Some(on) = strung
            .courses
            .get_mut(string.course)
            .and_then(|c: &mut Course| c.strings.get_mut(string.string))
        else {
            continue;
        };
        // What was measured on the string that comes off does not hold for the new one.
        let new = match (&string.from, &string.make) {
            (From::Rack(id), _) => FittedString::from_rack(id.clone()),
            (_, Some(make)) => FittedString::of(make.clone()),
            _ => continue,
        };
        *on = FittedString {
            semitones: on.semitones,
            extra: std::mem::take(&mut on.extra),
            ..new
        };
    }
    strung
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tools_tests;
