//! A workshop file brought into a shop: what would be added, is the same, changed, or in conflict, record by record, before
//! anything is written; and then all of it or nothing.
//!
//! Records are told by their ids. Each carries in `changed` when it was changed last, which [`stamp`] sets at every edit.
//! Of two that differ:
//! - where both say when they were changed and the moments differ, the newer one counts;
//! - where they do not, neither is known to be newer: it is a conflict. The one with the greater moment, else the greater text,
//!   keeps the id, and the other stays beside it under an id made of its content. So nothing is lost, and two shops that
//!   take in each other's files come to the same records whichever does it first.
//!
//! The visits of an instrument are merged one by one in the same way, and none is dropped because the other file lacks it.
//! A person may choose otherwise for each record ([`Choice`]); what is chosen against the rule gets the present moment, so that
//! it also counts elsewhere. A file never removes a record.

mod part;
mod plan;
mod visits;
mod words;

#[cfg(test)]
mod tests;

pub use part::{stamp, stamp_instrument};
pub use plan::{Merged, Plan, plan};

use crate::problem::Problem;
use crate::records::Workshop;

/// The kind of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An owner.
    Owner,
    /// A rack string.
    RackString,
    /// An instrument.
    Instrument,
}

impl Kind {
    /// Its word: `owner`, `rack string` or `instrument`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::RackString => "rack string",
            Self::Instrument => "instrument",
        }
    }
}

/// Which of two records.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The shop's own.
    Mine,
    /// The file's.
    Theirs,
}

/// How a record of the file stands to the shop's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The shop has none of this id.
    Added,
    /// Nothing differs, or the shop holds the other one beside its own already.
    Same,
    /// Only visits differ; they are merged one by one.
    Visits,
    /// They differ, and this one is the newer.
    Newer(Side),
    /// They differ, and neither is known to be the newer.
    Conflict,
}

/// What is to be done with one record of the file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Choice {
    /// As the rule says: the newer one, or both in a conflict.
    #[default]
    Rule,
    /// The shop's own. Visits that only the file has are added all the same.
    Mine,
    /// The file's. Visits that only the shop has stay all the same.
    Theirs,
    /// The rule's under the id, and the other beside it.
    Both,
}

/// What an import would do with one record of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its kind.
    pub kind: Kind,
    /// Its id.
    pub id: String,
    /// Its name, or words in its place, fit to be shown.
    pub name: String,
    /// How it stands to the shop's own.
    pub standing: Standing,
    /// How many visits would be added to the shop's instrument.
    pub visits_added: usize,
    /// How many of the shop's visits would be replaced by newer ones.
    pub visits_changed: usize,
    /// How many visits would be kept beside another of the same id.
    pub visits_apart: usize,
    /// The fields that differ, in words.
    pub differs: Vec<String>,
    /// All of it in one sentence or two, ready to be shown.
    pub text: String,
}

impl Entry {
    /// Whether something would be written for it under the rule.
    #[must_use]
    pub fn writes(&self) -> bool {
        match self.standing {
            Standing::Added
            | Standing::Visits
            | Standing::Conflict
            | Standing::Newer(Side::Theirs) => true,
            Standing::Same => false,
            Standing::Newer(Side::Mine) => {
                self.visits_added + self.visits_changed + self.visits_apart > 0
            }
        }
    }

    /// Whether the person can choose between the shop's own and the file's.
    #[must_use]
    pub const fn has_choice(&self) -> bool {
        !matches!(self.standing, Standing::Added | Standing::Same)
    }
}

/// Brings a workshop file into a shop by the rule alone.
///
/// # Errors
/// A [`Problem`] when what comes out would be no workshop file (an instrument with too many visits, say).
pub fn merge(mine: &Workshop, theirs: &Workshop) -> Result<Workshop, Problem> {
    plan(mine, theirs)
        .apply(&[], None)
        .map(|merged| merged.workshop)
}
