//! What an import would do, and doing it.

use super::part::{Part, Weight, apart, stamp};
use super::visits::{Visits, merged};
use super::words::{differing, sentence};
use super::{Choice, Entry, Kind, Side, Standing};
use crate::file;
use crate::problem::{Problem, clean};
use crate::records::json::Writer;
use crate::records::{Instrument, Owner, RackString, Workshop};
use std::collections::BTreeMap;

/// What an import would do, record by record in the file's order: owners, rack strings, instruments.
#[derive(Clone, Debug)]
pub struct Plan {
    /// One entry for each record of the file.
    pub entries: Vec<Entry>,
    mine: Workshop,
    theirs: Workshop,
}

/// A shop after an import.
#[derive(Clone, Debug, PartialEq)]
pub struct Merged {
    /// The shop.
    pub workshop: Workshop,
    /// The records that are not as they were before: kind and id.
    pub written: Vec<(Kind, String)>,
}

/// Compares a workshop file with a shop; both have been read and checked. Of the shop only the records whose ids stand in the
/// file are looked at, and those kept beside them (`id~…`).
#[must_use]
pub fn plan(mine: &Workshop, theirs: &Workshop) -> Plan {
    let mut entries = Vec::new();
    entries.extend(each(Kind::Owner, &mine.owners, &theirs.owners, &[], None).map(|one| one.entry));
    entries
        .extend(each(Kind::RackString, &mine.rack, &theirs.rack, &[], None).map(|one| one.entry));
    let instruments = each(
        Kind::Instrument,
        &mine.instruments,
        &theirs.instruments,
        &[],
        None,
    );
    entries.extend(instruments.map(|one| one.entry));
    Plan {
        entries,
        mine: mine.clone(),
        theirs: theirs.clone(),
    }
}

impl Plan {
    /// The file that was compared.
    #[must_use]
    pub fn file(&self) -> &Workshop {
        &self.theirs
    }

    /// How many records would be added, replaced, kept side by side, and are the same.
    #[must_use]
    pub fn counts(&self) -> [(&'static str, usize); 4] {
        let count = |of: fn(&Entry) -> bool| self.entries.iter().filter(|e| of(e)).count();
        [
            ("added", count(|e| e.standing == Standing::Added)),
            (
                "changed",
                count(|e| {
                    e.writes() && !matches!(e.standing, Standing::Added | Standing::Conflict)
                }),
            ),
            ("in conflict", count(|e| e.standing == Standing::Conflict)),
            ("unchanged", count(|e| !e.writes())),
        ]
    }

    /// Does it: all of it or nothing. `choices` stand in the entries' order; one that is missing is [`Choice::Rule`]. `now` is the
    /// moment that a record chosen against the rule gets.
    ///
    /// # Errors
    /// A [`Problem`] when what comes out could not be read again.
    pub fn apply(&self, choices: &[Choice], now: Option<&str>) -> Result<Merged, Problem> {
        let (owners, rack) = (self.theirs.owners.len(), self.theirs.rack.len());
        let from = |at: usize| choices.get(at.min(choices.len())..).unwrap_or_default();
        let mut workshop = self.mine.clone();
        let mut written = Vec::new();
        let (mine, theirs) = (&self.mine, &self.theirs);
        let ones = each(Kind::Owner, &mine.owners, &theirs.owners, from(0), now);
        put_all(
            &mut workshop.owners,
            Kind::Owner,
            ones.flat_map(|one| one.out),
            &mut written,
        );
        let ones = each(
            Kind::RackString,
            &mine.rack,
            &theirs.rack,
            from(owners),
            now,
        );
        put_all(
            &mut workshop.rack,
            Kind::RackString,
            ones.flat_map(|one| one.out),
            &mut written,
        );
        let ones = each(
            Kind::Instrument,
            &mine.instruments,
            &theirs.instruments,
            from(owners + rack),
            now,
        );
        put_all(
            &mut workshop.instruments,
            Kind::Instrument,
            ones.flat_map(|one| one.out),
            &mut written,
        );
        for (name, value) in &theirs.extra {
            let text = Writer::text_of(value);
            if workshop
                .extra
                .get(name)
                .is_none_or(|kept| Writer::text_of(kept) < text)
            {
                workshop.extra.insert(name.clone(), value.clone());
            }
        }
        for (kind, id) in &written {
            if *kind == Kind::Instrument
                && let Some(instrument) = workshop.instruments.iter().find(|i| i.id == *id)
            {
                file::check_instrument(instrument)?;
            }
        }
        Ok(Merged { workshop, written })
    }
}

/// One record of the file, compared: what to say of it, and what to write for it.
struct One<P> {
    entry: Entry,
    out: Vec<P>,
}

/// What differs between the kinds: instruments have visits.
pub(super) trait Whole: Part + PartialEq {
    fn visits(_mine: Option<&Self>, _theirs: &Self, _choice: Choice, _now: Option<&str>) -> Visits {
        Visits::default()
    }

    fn set_visits(&mut self, _visits: Visits) {}
}

impl Whole for Owner {}

impl Whole for RackString {}

impl Whole for Instrument {
    fn visits(mine: Option<&Self>, theirs: &Self, choice: Choice, now: Option<&str>) -> Visits {
        let mine = mine.map_or(&[][..], |mine| &mine.visits);
        merged(mine, &theirs.visits, choice, now)
    }

    fn set_visits(&mut self, visits: Visits) {
        self.visits = visits.all;
    }
}

fn each<'a, P: Whole>(
    kind: Kind,
    mine: &'a [P],
    theirs: &'a [P],
    choices: &'a [Choice],
    now: Option<&'a str>,
) -> impl Iterator<Item = One<P>> + 'a {
    let known: BTreeMap<&str, &P> = mine.iter().map(|p| (p.id(), p)).collect();
    let in_file: BTreeMap<&str, &P> = theirs.iter().map(|p| (p.id(), p)).collect();
    theirs.iter().enumerate().map(move |(at, theirs)| {
        let choice = choices.get(at).copied().unwrap_or_default();
        let has = |id: &str| known.contains_key(id) || in_file.contains_key(id);
        one(
            kind,
            known.get(theirs.id()).copied(),
            theirs,
            choice,
            now,
            &has,
        )
    })
}

fn one<P: Whole>(
    kind: Kind,
    mine: Option<&P>,
    theirs: &P,
    choice: Choice,
    now: Option<&str>,
    has: &dyn Fn(&str) -> bool,
) -> One<P> {
    let visits = P::visits(mine, theirs, choice, now);
    let mut entry = Entry {
        kind,
        id: theirs.id().to_owned(),
        name: shown(kind, mine.unwrap_or(theirs).name()),
        standing: Standing::Added,
        visits_added: visits.added,
        visits_changed: visits.changed,
        visits_apart: visits.apart,
        differs: Vec::new(),
        text: String::new(),
    };
    let Some(mine) = mine else {
        entry.text = sentence(&entry);
        return One {
            entry,
            out: vec![theirs.clone()],
        };
    };
    let (a, b) = (Weight::of(mine), Weight::of(theirs));
    let rule = if b > a { Side::Theirs } else { Side::Mine };
    let (differ, decided) = (a.bare != b.bare, a.decides(&b));
    let side = match choice {
        Choice::Mine if differ => Side::Mine,
        Choice::Theirs if differ => Side::Theirs,
        _ => rule,
    };
    let (win, lose, lost) = match side {
        Side::Mine => (mine, theirs, &b),
        Side::Theirs => (theirs, mine, &a),
    };
    let mut kept = win.clone();
    let chosen = differ && matches!(choice, Choice::Mine | Choice::Theirs);
    if let (true, Some(now)) = (chosen && (side != rule || !decided), now) {
        stamp(None, &mut kept, now);
    }
    let beside = apart(lose, &lost.bare);
    let both = differ && (choice == Choice::Both || (choice == Choice::Rule && !decided));
    let is_there = has(beside.id());
    let visits_differ = visits.added + visits.changed + visits.apart > 0;
    kept.set_visits(visits);
    entry.standing = match (differ, decided) {
        (true, true) => Standing::Newer(rule),
        // The greater one is here already, and the other beside it.
        (true, false) if rule == Side::Mine && is_there => settled(visits_differ),
        (true, false) => Standing::Conflict,
        (false, _) => settled(visits_differ),
    };
    if differ && entry.standing != Standing::Same {
        entry.differs = differing(&a.bare, &b.bare);
    }
    entry.text = sentence(&entry);
    let mut out = Vec::new();
    if kept != *mine {
        out.push(kept);
    }
    if both && !is_there {
        out.push(beside);
    }
    One { entry, out }
}

const fn settled(visits_differ: bool) -> Standing {
    if visits_differ {
        Standing::Visits
    } else {
        Standing::Same
    }
}

fn shown(kind: Kind, name: &str) -> String {
    let name = clean(name, 80);
    if name.trim().is_empty() {
        format!("{} without a name", kind.word())
    } else {
        name
    }
}

/// Puts records in the place of those with their ids, or behind the others.
fn put_all<P: Part>(
    list: &mut Vec<P>,
    kind: Kind,
    records: impl Iterator<Item = P>,
    written: &mut Vec<(Kind, String)>,
) {
    let mut places: BTreeMap<String, usize> = list
        .iter()
        .enumerate()
        .map(|(at, p)| (p.id().to_owned(), at))
        .collect();
    for record in records {
        written.push((kind, record.id().to_owned()));
        match places.get(record.id()) {
            Some(at) => list[*at] = record,
            None => {
                places.insert(record.id().to_owned(), list.len());
                list.push(record);
            }
        }
    }
}
