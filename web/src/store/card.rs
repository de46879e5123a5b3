//! What the page holds of an instrument that is not open: its line on the bench, and its stored text.

use super::BenchEntry;
use super::record::{Line, whole};
use super::stored;
use std::sync::Arc;
use strungwell_workshop::families;
use strungwell_workshop::records::Instrument;
use strungwell_workshop::visits::Place;

/// An instrument as the bench knows it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Card {
    /// Its line on the bench.
    pub entry: BenchEntry,
    /// The name as it stands in the record; may be empty.
    pub name: String,
    /// Its owner's id.
    pub owner: Option<String>,
    /// Where it stands.
    pub place: Place,
    /// The ids of the rack strings that are on it.
    pub strings: Vec<String>,
    /// Its stored text.
    pub text: Arc<str>,
    /// The record that was read from the text, where that was done already.
    read: Option<Arc<Instrument>>,
}

impl Card {
    /// The stored line: name, family's name, notes, owner, where it stands (`bench` or `waits`), since when, what it waits for,
    /// and then the ids of its rack strings. The family's name is the one of the page that wrote it.
    pub(super) fn head(instrument: &Instrument) -> Vec<String> {
        let family =
            families::of(instrument).map_or(instrument.family.as_str(), |family| family.label);
        let notes: Vec<&str> = instrument
            .courses
            .iter()
            .map(|course| course.note.as_str())
            .collect();
        let (place, day, what) = match Place::of(instrument) {
            Place::Away => ("", String::new(), String::new()),
            Place::OnBench(day) => ("bench", day, String::new()),
            Place::Waits(day, what) => ("waits", day, what),
        };
        let mut strings: Vec<String> = instrument
            .courses
            .iter()
            .flat_map(|course| &course.strings)
            .filter_map(|string| string.rack.clone())
            .collect();
        strings.sort_unstable();
        strings.dedup();
        let owner = instrument.owner.clone().unwrap_or_default();
        let mut head = vec![
            instrument.name.clone(),
            family.to_owned(),
            notes.join(" "),
            owner,
            place.to_owned(),
            day,
            what,
        ];
        head.append(&mut strings);
        head
    }
}

impl Card {
    /// Whether a rack string is on the instrument (true), or only among the strings that it carried before (false); none where it
    /// is neither. The stored line does not know of those before.
    pub(super) fn carries(&self, rack_id: &str) -> Option<bool> {
        if self.strings.iter().any(|id| id == rack_id) {
            return Some(true);
        }
        let quoted = serde_json::to_string(rack_id).unwrap_or_default();
        if self.read.is_none() && !stored::readable(&self.text).contains(&quoted) {
            return None;
        }
        let instrument = self.record().ok()?;
        let mut strings = instrument.all_courses().flat_map(|c| &c.strings);
        strings
            .any(|string| string.rack.as_deref() == Some(rack_id))
            .then_some(false)
    }
}

impl Line<Instrument> for Card {
    fn id(&self) -> &str {
        &self.entry.id
    }

    fn name(&self) -> &str {
        &self.name
    }

    fn of(record: Instrument, text: &str) -> Self {
        let of_head = Self::of_head(&record.id, &Self::head(&record), text);
        // The line that was just made has all its parts.
        of_head.unwrap_or_else(|| Self {
            entry: BenchEntry::default(),
            name: record.name,
            owner: record.owner,
            place: Place::Away,
            strings: Vec::new(),
            text: text.into(),
            read: None,
        })
    }

    fn of_read(record: Instrument, text: &str) -> Self {
        let read = Some(Arc::new(record.clone()));
        Self {
            read,
            ..Self::of(record, text)
        }
    }

    fn of_head(id: &str, head: &[String], text: &str) -> Option<Self> {
        let [name, family, notes, owner, place, day, what, strings @ ..] = head else {
            return None;
        };
        Some(Self {
            entry: BenchEntry {
                id: id.to_owned(),
                name: super::called(name, "Instrument without a name"),
                family: family.clone(),
                notes: notes.clone(),
            },
            name: name.clone(),
            owner: Some(owner.clone()).filter(|id| !id.is_empty()),
            place: match place.as_str() {
                "bench" => Place::OnBench(day.clone()),
                "waits" => Place::Waits(day.clone(), what.clone()),
                _ => Place::Away,
            },
            strings: strings.to_vec(),
            text: text.into(),
            read: None,
        })
    }

    fn record(&self) -> Result<Instrument, String> {
        match &self.read {
            Some(read) => Ok(Instrument::clone(read)),
            None => whole(&self.text, self.id()),
        }
    }
}
