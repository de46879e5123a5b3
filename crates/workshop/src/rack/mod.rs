//! The rack as a stock: what instruments take from it, what is lacking, what a stringing costs, and the rack as a table.
//!
//! A rack string's `on_hand` is what lies on the rack, not what is on instruments. Putting a string on takes one away;
//! whether the one that comes off goes back is the person's to say ([`Old`]). A string that nobody counted stays so.

pub mod table;

use crate::problem::quoted;
use crate::records::{FittedString, Instrument, RackString, Workshop};
use crate::sets::{SetProposal, strung_with};

/// Where strings go that come off an instrument.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Old {
    /// Thrown away, as worn strings are.
    #[default]
    Away,
    /// Back on the rack, as when something is undone or was noted wrongly.
    ToRack,
}

/// A rack string of which there are fewer than were taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lack {
    /// The rack string's id.
    pub id: String,
    /// The string in words.
    pub name: String,
    /// How many were taken.
    pub needed: u32,
    /// How many lay there.
    pub on_hand: u32,
}

impl Lack {
    /// How many must be got.
    #[must_use]
    pub const fn lacking(&self) -> u32 {
        self.needed.saturating_sub(self.on_hand)
    }

    /// A sentence for the person.
    #[must_use]
    pub fn text(&self) -> String {
        format!(
            "{}: {} needed, {} on hand; get {} more.",
            crate::problem::clean(&self.name, 80),
            self.needed,
            self.on_hand,
            self.lacking()
        )
    }
}

/// How many of each rack string an instrument carries, by id, in the order in which they come.
#[must_use]
pub fn used(instrument: &Instrument) -> Vec<(String, u32)> {
    let mut used: Vec<(String, u32)> = Vec::new();
    for id in instrument
        .courses
        .iter()
        .flat_map(|c| &c.strings)
        .filter_map(|s| s.rack.as_ref())
    {
        match used.iter_mut().find(|(other, _)| other == id) {
            Some((_, n)) => *n += 1,
            None => used.push((id.clone(), 1)),
        }
    }
    used
}

/// Moves the counts of the rack from an instrument as it was to the same as it is now, whatever was changed on it; none for
/// one that is new, or gone. What is more than before is taken; what is less goes back under [`Old::ToRack`]. Counts stop at
/// 0; what is lacking then is told.
///
/// Strings that stay on are not counted again: an instrument compared with itself moves nothing.
pub fn recount(
    rack: &mut [RackString],
    before: Option<&Instrument>,
    after: Option<&Instrument>,
    old: Old,
) -> Vec<Lack> {
    let (before, after) = (
        before.map(used).unwrap_or_default(),
        after.map(used).unwrap_or_default(),
    );
    let count = |of: &[(String, u32)], id: &str| {
        of.iter()
            .find(|(other, _)| other == id)
            .map_or(0, |(_, n)| *n)
    };
    let mut lacks = Vec::new();
    for string in rack {
        let (was, is) = (count(&before, &string.id), count(&after, &string.id));
        let Some(on_hand) = string.on_hand else {
            continue;
        };
        let taken = is.saturating_sub(was);
        if taken > on_hand {
            lacks.push(Lack {
                id: string.id.clone(),
                name: string.name.clone(),
                needed: taken,
                on_hand,
            });
        }
        let back = if old == Old::ToRack {
            was.saturating_sub(is)
        } else {
            0
        };
        string.on_hand = Some(
            on_hand
                .saturating_sub(taken)
                .saturating_add(back)
                .min(MOST_ON_HAND),
        );
    }
    lacks
}

/// The most that the file takes as a number on hand.
const MOST_ON_HAND: u32 = 100_000;

/// Puts a rack string on a course of an instrument, both counted from 0, and takes it from the rack. What was measured on the
/// string that comes off is forgotten. Putting on what is on already moves nothing.
///
/// # Errors
/// A sentence when there is no such instrument, course, string or rack string; nothing is changed then.
pub fn fit(
    workshop: &mut Workshop,
    instrument: &str,
    course: usize,
    string: usize,
    rack_id: &str,
    old: Old,
) -> Result<Vec<Lack>, String> {
    if workshop.rack_string(rack_id).is_none() {
        return Err(format!("the rack has no string {}", quoted(rack_id)));
    }
    let at = place_of(workshop, instrument)?;
    let mut strung = workshop.instruments[at].clone();
    let on = strung
        .courses
        .get_mut(course)
        .and_then(|c| c.strings.get_mut(string))
        .ok_or("the instrument has no such course or string")?;
    if on.rack.as_deref() != Some(rack_id) {
        *on = FittedString {
            semitones: on.semitones,
            extra: std::mem::take(&mut on.extra),
            ..FittedString::from_rack(rack_id)
        };
    }
    Ok(put(workshop, at, strung, old))
}

/// Puts a proposed set on an instrument, with the notes that it was planned for, and takes it from the rack.
///
/// # Errors
/// A sentence when there is no such instrument or the rack has lost a string since; nothing is changed then.
pub fn fit_set(
    workshop: &mut Workshop,
    instrument: &str,
    set: &SetProposal,
    notes: Option<&[String]>,
    old: Old,
) -> Result<Vec<Lack>, String> {
    let at = place_of(workshop, instrument)?;
    let strung = strung_with(&workshop.instruments[at], set, notes);
    for (id, _) in used(&strung) {
        if workshop.rack_string(&id).is_none() {
            return Err(format!("the rack has no string {}", quoted(&id)));
        }
    }
    crate::file::check_instrument(&strung).map_err(|why| why.to_string())?;
    Ok(put(workshop, at, strung, old))
}

fn put(workshop: &mut Workshop, at: usize, strung: Instrument, old: Old) -> Vec<Lack> {
    let lacks = recount(
        &mut workshop.rack,
        Some(&workshop.instruments[at]),
        Some(&strung),
        old,
    );
    workshop.instruments[at] = strung;
    lacks
}

pub(crate) fn place_of(workshop: &Workshop, instrument: &str) -> Result<usize, String> {
    workshop
        .instruments
        .iter()
        .position(|i| i.id == instrument)
        .ok_or_else(|| format!("there is no instrument {}", quoted(instrument)))
}

/// What the strings on an instrument cost.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Price {
    /// The sum of those that have a price, in the shop's own currency.
    pub sum: f64,
    /// How many strings have one.
    pub priced: usize,
    /// How many have none: described on the instrument, or without a price on the rack.
    pub unpriced: usize,
}

impl Price {
    /// The price in words: `4.20`, `4.20 for 3 strings; 1 has no price`, or that none is known.
    #[must_use]
    pub fn text(&self) -> String {
        let sum = crate::units::figure(self.sum, 2);
        match (self.priced, self.unpriced) {
            (0, _) => "no string has a price".into(),
            (_, 0) => sum,
            (n, 1) => format!(
                "{sum} for {n} string{}; 1 has no price",
                if n == 1 { "" } else { "s" }
            ),
            (n, m) => format!(
                "{sum} for {n} string{}; {m} have no price",
                if n == 1 { "" } else { "s" }
            ),
        }
    }
}

/// What a stringing costs: the price of every string on an instrument.
#[must_use]
pub fn price(instrument: &Instrument, rack: &[RackString]) -> Price {
    let mut price = Price::default();
    for string in instrument.courses.iter().flat_map(|c| &c.strings) {
        let of = string
            .rack
            .as_ref()
            .and_then(|id| rack.iter().find(|r| r.id == *id)?.price);
        match of.filter(|p| p.is_finite()) {
            Some(p) => {
                price.sum += p;
                price.priced += 1;
            }
            None => price.unpriced += 1,
        }
    }
    price
}

#[cfg(test)]
mod tests;
