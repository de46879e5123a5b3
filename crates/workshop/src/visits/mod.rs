//! Visits: begun and closed, compared, found by their words, and which instruments stand on the bench.
//!
//! A visit is open, and its instrument on the bench, until heights as left are noted. One that is open and says what it waits
//! for waits.

mod changes;
mod find;

#[cfg(test)]
mod tests;

pub use changes::{Change, When, between, changes, setup_at};
pub use find::{Searched, fold};

use crate::records::{Instrument, Visit};

/// Begins a visit: the present setup is as found. `date` is a day such as `2026-01-31`. Gives its place in the list.
///
/// # Errors
/// A sentence when a visit is open already.
pub fn open(instrument: &mut Instrument, id: String, date: String) -> Result<usize, String> {
    if let Some(open) = instrument.visits.iter().find(|v| v.as_left.is_none()) {
        return Err(format!(
            "The visit of {} is still open; close that one first",
            day(open)
        ));
    }
    instrument.visits.push(Visit {
        id,
        date,
        as_found: Some(instrument.setup.clone()),
        ..Visit::default()
    });
    Ok(instrument.visits.len() - 1)
}

/// Closes a visit: the present setup is as left, and it waits for nothing any more.
///
/// # Errors
/// A sentence when there is no such visit or it is closed already; nothing is changed then.
pub fn close(instrument: &mut Instrument, id: &str) -> Result<(), String> {
    let left = instrument.setup.clone();
    let visit = instrument.visits.iter_mut().find(|v| v.id == id);
    let visit = visit.ok_or("This instrument has no such visit")?;
    if visit.as_left.is_some() {
        return Err(format!("The visit of {} is closed already", day(visit)));
    }
    visit.as_left = Some(left);
    visit.waits_for.clear();
    Ok(())
}

/// Puts the instrument of a closed visit on the bench again: what was noted as left is forgotten.
///
/// # Errors
/// A sentence when there is no such visit or one is open already; nothing is changed then.
pub fn reopen(instrument: &mut Instrument, id: &str) -> Result<(), String> {
    if let Some(open) = instrument.visits.iter().find(|v| v.as_left.is_none()) {
        return Err(format!(
            "The visit of {} is still open; close that one first",
            day(open)
        ));
    }
    let visit = instrument.visits.iter_mut().find(|v| v.id == id);
    visit.ok_or("This instrument has no such visit")?.as_left = None;
    Ok(())
}

/// A visit's day, or words in its place.
fn day(visit: &Visit) -> &str {
    if visit.date.is_empty() {
        "an unknown day"
    } else {
        &visit.date
    }
}

/// Where an instrument stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// It has no open visit.
    #[default]
    Away,
    /// It is on the bench since this day; empty where that was not noted.
    OnBench(String),
    /// It is in the shop since this day and waits for this.
    Waits(String, String),
}

impl Place {
    /// Where an instrument stands by its visits; of several open ones the one that has been there longest counts.
    #[must_use]
    pub fn of(instrument: &Instrument) -> Self {
        let open = instrument.visits.iter().filter(|v| v.as_left.is_none());
        match open.min_by(|a, b| a.date.cmp(&b.date)) {
            None => Self::Away,
            Some(visit) if visit.waits_for.trim().is_empty() => Self::OnBench(visit.date.clone()),
            Some(visit) => Self::Waits(visit.date.clone(), visit.waits_for.clone()),
        }
    }

    /// In words: `on the bench since 2026-01-31`; empty for an instrument that is not in the shop.
    #[must_use]
    pub fn words(&self) -> String {
        let since = |day: &str| match day {
            "" => String::new(),
            day => format!(" since {day}"),
        };
        match self {
            Self::Away => String::new(),
            Self::OnBench(day) => format!("on the bench{}", since(day)),
            Self::Waits(day, what) => {
                format!(
                    "waits{} for {}",
                    since(day),
                    crate::problem::clean(what.trim(), 120)
                )
            }
        }
    }
}
