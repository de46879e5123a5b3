//! From the browser's storage to records, and what could not be read of it.

use super::card::Card;
use super::keep::Keep;
use super::record::{Line, Record, line};
use super::route::Space;
use super::stored;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use strungwell_workshop::problem::quoted;
use strungwell_workshop::records::{Instrument, Owner, RackString, Workshop};
use strungwell_workshop::words::sentence;

/// A stored text that could not be read. It stays where it is; the rest of the page goes on without it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Aside {
    /// Its key in the browser's storage.
    pub key: String,
    /// Its text, as far as it can be read.
    pub text: String,
    /// Why it could not be read, as a sentence.
    pub why: String,
}

impl Aside {
    /// Whether the text is a whole record, set aside only because another window had changed the same one.
    pub(crate) fn is_whole(&self) -> bool {
        self.key.split('.').nth(1) == Some("mine")
    }
}

/// The records of one space.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shelf {
    /// The instruments, in the bench's order.
    pub instruments: Vec<Card>,
    /// The rack, in its order.
    pub rack: Vec<RackString>,
    /// The owners, by name.
    pub owners: Vec<Owner>,
    /// What could not be read.
    pub asides: Vec<Aside>,
}

/// Reads every record of a space.
pub(crate) fn load(keep: &Keep, space: Space) -> Shelf {
    let keys: Vec<String> = keep.keys().into_iter().collect();
    let mut asides = copies_set_aside(keep, space, &keys);
    let instruments = read_all::<Instrument>(keep, space, &keys, &mut asides);
    let rack = read_all::<RackString>(keep, space, &keys, &mut asides);
    let owners = read_all::<Owner>(keep, space, &keys, &mut asides);
    Shelf {
        instruments,
        rack,
        owners,
        asides,
    }
}

/// Writes a whole shop into a space, over whatever is there under the same ids.
pub(crate) fn fill(keep: &Keep, space: Space, shop: &Workshop) {
    write_all(keep, space, &shop.owners);
    write_all(keep, space, &shop.rack);
    write_all(keep, space, &shop.instruments);
}

/// Takes everything of a space out of the storage.
pub(crate) fn clear(keep: &Keep, space: Space) {
    for key in keep.keys() {
        if key.starts_with(space.prefix()) {
            keep.forget(&key);
        }
    }
}

/// Whether anything was ever kept in a space.
pub(crate) fn is_new(keep: &Keep, space: Space) -> bool {
    keep.read(&Instrument::order_key(space)).is_none()
}

/// Keeps the order of records.
pub(crate) fn write_order<R: Record>(keep: &Keep, space: Space, lines: &[R::Line]) {
    keep.write(
        &R::order_key(space),
        &order_text(lines.iter().map(Line::id)),
    );
}

/// The text of an order.
pub(super) fn order_text<'a>(ids: impl Iterator<Item = &'a str>) -> String {
    serde_json::to_string(&ids.collect::<Vec<_>>()).unwrap_or_default()
}

fn write_all<R: Record>(keep: &Keep, space: Space, records: &[R]) {
    for record in records {
        keep.write(&R::key(space, record.id()), &record.sealed());
    }
    let ids = records.iter().map(Record::id);
    keep.write(&R::order_key(space), &order_text(ids));
}

fn read_all<R: Record>(
    keep: &Keep,
    space: Space,
    keys: &[String],
    asides: &mut Vec<Aside>,
) -> Vec<R::Line> {
    let start = R::key(space, "");
    let order: Vec<String> = keep
        .read(&R::order_key(space))
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default();
    let places: BTreeMap<&str, usize> = order
        .iter()
        .enumerate()
        .map(|(at, id)| (id.as_str(), at))
        .collect();
    let mut placed: Vec<(usize, R::Line)> = Vec::new();
    for key in keys {
        let Some(id) = key.strip_prefix(&start) else {
            continue;
        };
        let Some(text) = keep.read(key) else {
            continue;
        };
        match line::<R>(&text, id) {
            Ok(line) => placed.push((places.get(id).copied().unwrap_or(usize::MAX), line)),
            Err(why) => asides.push(aside(key, &text, &why)),
        }
    }
    placed.sort_by(|(at, a), (bt, b)| match at.cmp(bt) {
        Ordering::Equal => a.name().cmp(b.name()).then_with(|| a.id().cmp(b.id())),
        placed => placed,
    });
    placed.into_iter().map(|(_, line)| line).collect()
}

/// A stored record that could not be read.
pub(super) fn aside(key: &str, text: &str, why: &str) -> Aside {
    Aside {
        key: key.to_owned(),
        text: stored::readable(text),
        why: sentence(why),
    }
}

/// Where the copy of a stored text goes that is not a record and could not be read, before it is written over.
pub(crate) fn aside_key(key: &str) -> String {
    format!("{}aside.{key}", Space::Own.prefix())
}

/// Where this window's text of a record goes when another window had changed the record meanwhile; the same text goes to the
/// same place.
pub(super) fn mine_key(space: Space, record_key: &str, text: &str) -> String {
    let rest = record_key
        .strip_prefix(space.prefix())
        .unwrap_or(record_key);
    let sum = strungwell_workshop::checksum::crc32(text.as_bytes());
    format!("{}mine.{sum:08x}.{rest}", space.prefix())
}

fn copies_set_aside(keep: &Keep, space: Space, keys: &[String]) -> Vec<Aside> {
    let mut asides = Vec::new();
    let (start, mine) = (aside_key(""), format!("{}mine.", space.prefix()));
    for key in keys {
        let why = match key.strip_prefix(&start) {
            Some(what) if space == Space::Own => format!(
                "The stored text {} could not be read, so the usual values stand in its place.",
                quoted(what)
            ),
            _ if key.starts_with(&mine) => MEANWHILE.to_owned(),
            _ => continue,
        };
        let text = keep.read(key).map(|text| stored::readable(&text));
        asides.extend(text.map(|text| Aside {
            key: key.clone(),
            text,
            why,
        }));
    }
    asides
}

/// Why a text that is whole is set aside.
const MEANWHILE: &str = "This is what was typed in one window while another one changed the same record. The other window's \
    stands on the bench; this one is kept here, and nothing of it is lost.";

#[cfg(test)]
mod tests {
    use super::super::keep::tests::TestDrawer;
    use super::*;

    fn shop() -> Workshop {
        strungwell_workshop::file::read(include_str!("../../../demo-data/demo-shop.json")).unwrap()
    }

    fn filled() -> (TestDrawer, Keep) {
        let drawer = TestDrawer::default();
        let keep = Keep::new(Box::new(drawer.clone()));
        fill(&keep, Space::Own, &shop());
        (drawer, keep)
    }

    fn records(shelf: &Shelf) -> Vec<Instrument> {
        shelf
            .instruments
            .iter()
            .map(|card| card.record().unwrap())
            .collect()
    }

    #[test]
    fn a_shop_comes_back_as_it_was_put_in() {
        let (_, keep) = filled();
        let shelf = load(&keep, Space::Own);
        let shop = shop();
        assert_eq!(records(&shelf), shop.instruments);
        assert_eq!(shelf.rack, shop.rack);
        assert_eq!(shelf.asides, Vec::new());
        assert!(load(&keep, Space::Demo).instruments.is_empty());
    }

    #[test]
    fn a_record_that_cannot_be_read_is_set_aside_and_the_rest_opens() {
        let (drawer, keep) = filled();
        let shop = shop();
        let key = Instrument::key(Space::Own, &shop.instruments[1].id);
        let newer = r#"{"id": 5}"#;
        for text in ["", "{", newer, "null", "[]", "\u{0}", "{\"id\":\"other\"}"] {
            drawer.texts.borrow_mut().insert(key.clone(), text.into());
            let shelf = load(&keep, Space::Own);
            assert_eq!(shelf.instruments.len(), shop.instruments.len() - 1);
            assert_eq!(shelf.asides.len(), 1);
            assert_eq!(shelf.asides[0].key, key);
            assert_eq!(shelf.asides[0].text, text);
            assert!(
                shelf.asides[0].why.contains("is accepted."),
                "{}",
                shelf.asides[0].why
            );
            assert_eq!(keep.read(&key).as_deref(), Some(text));
        }
    }

    #[test]
    fn a_record_under_another_s_key_is_set_aside() {
        let (drawer, keep) = filled();
        let shop = shop();
        let key = Instrument::key(Space::Own, "elsewhere");
        drawer
            .texts
            .borrow_mut()
            .insert(key, shop.instruments[0].write());
        let shelf = load(&keep, Space::Own);
        assert_eq!(shelf.instruments.len(), shop.instruments.len());
        assert!(
            shelf.asides[0].why.contains("the id in its key"),
            "{}",
            shelf.asides[0].why
        );
    }

    #[test]
    fn an_order_that_cannot_be_read_loses_no_record() {
        let (drawer, keep) = filled();
        drawer
            .texts
            .borrow_mut()
            .insert(Instrument::order_key(Space::Own), "[1".into());
        assert_eq!(
            load(&keep, Space::Own).instruments.len(),
            shop().instruments.len()
        );
    }

    #[test]
    fn clearing_one_space_leaves_the_other() {
        let (_, keep) = filled();
        fill(&keep, Space::Demo, &shop());
        clear(&keep, Space::Demo);
        assert!(load(&keep, Space::Demo).instruments.is_empty());
        assert_eq!(
            load(&keep, Space::Own).instruments.len(),
            shop().instruments.len()
        );
    }
}
