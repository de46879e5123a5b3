//! From the browser's storage to records, and what could not be read of it.

use super::keep::Keep;
use super::record::Record;
use super::route::Space;
use std::cmp::Ordering;
use strungwell_workshop::problem::{Problem, quoted};
use strungwell_workshop::records::{Instrument, Owner, RackString, Workshop};

/// A stored text that could not be read. It stays where it is; the rest of the page goes on without it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Aside {
    /// Its key in the browser's storage.
    pub key: String,
    /// The text.
    pub text: String,
    /// Why it could not be read, as a sentence.
    pub why: String,
}

/// The records of one space.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shelf {
    /// The instruments, in the bench's order.
    pub instruments: Vec<Instrument>,
    /// The rack, in its order.
    pub rack: Vec<RackString>,
    /// The owners, by name.
    pub owners: Vec<Owner>,
    /// What could not be read.
    pub asides: Vec<Aside>,
}

/// Reads every record of a space.
pub(crate) fn load(keep: &Keep, space: Space) -> Shelf {
    let mut asides = copies_set_aside(keep, space);
    let instruments = read_all::<Instrument>(keep, space, &mut asides);
    let rack = read_all::<RackString>(keep, space, &mut asides);
    let owners = read_all::<Owner>(keep, space, &mut asides);
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
pub(crate) fn write_order<R: Record>(keep: &Keep, space: Space, records: &[R]) {
    let ids: Vec<&str> = records.iter().map(Record::id).collect();
    let text = serde_json::to_string(&ids).unwrap_or_default();
    keep.write(&R::order_key(space), &text);
}

fn write_all<R: Record>(keep: &Keep, space: Space, records: &[R]) {
    for record in records {
        keep.write(&R::key(space, record.id()), &record.write());
    }
    write_order(keep, space, records);
}

fn read_all<R: Record>(keep: &Keep, space: Space, asides: &mut Vec<Aside>) -> Vec<R> {
    let start = R::key(space, "");
    let mut found: Vec<R> = Vec::new();
    for key in keep.keys() {
        let Some(id) = key.strip_prefix(&start) else {
            continue;
        };
        let Some(text) = keep.read(&key) else {
            continue;
        };
        match R::read(&text).and_then(|record| with_id(record, id)) {
            Ok(record) => found.push(record),
            Err(problem) => asides.push(Aside {
                key,
                text,
                why: sentence(&problem.to_string()),
            }),
        }
    }
    let order: Vec<String> = keep
        .read(&R::order_key(space))
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default();
    let place = |record: &R| {
        order
            .iter()
            .position(|id| id == record.id())
            .unwrap_or(usize::MAX)
    };
    let mut placed: Vec<(usize, R)> = found
        .into_iter()
        .map(|record| (place(&record), record))
        .collect();
    placed.sort_by(|(at, a), (bt, b)| match at.cmp(bt) {
        Ordering::Equal => a.name().cmp(b.name()).then_with(|| a.id().cmp(b.id())),
        placed => placed,
    });
    placed.into_iter().map(|(_, record)| record).collect()
}

/// Words with a capital at the front and a stop at the end.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str())
}

/// A record under another's key would be written to its own key, over whatever is there.
fn with_id<R: Record>(record: R, id: &str) -> Result<R, Problem> {
    if record.id() == id {
        return Ok(record);
    }
    Err(Problem {
        record: format!("the stored {} {}", R::KIND, quoted(record.name())),
        field: "id".into(),
        read: quoted(record.id()),
        accept: format!("{}, the id in its key,", quoted(id)),
    })
}

/// Where the copy of a stored text goes that is not a record and could not be read, before it is written over.
pub(crate) fn aside_key(key: &str) -> String {
    format!("{}aside.{key}", Space::Own.prefix())
}

fn copies_set_aside(keep: &Keep, space: Space) -> Vec<Aside> {
    let start = aside_key("");
    if space == Space::Demo {
        return Vec::new();
    }
    keep.keys()
        .into_iter()
        .filter(|key| key.starts_with(&start))
        .filter_map(|key| {
            let what = key.strip_prefix(&start)?;
            Some(Aside {
                why: format!(
                    "The stored text {} could not be read, so the usual values stand in its place.",
                    quoted(what)
                ),
                text: keep.read(&key)?,
                key,
            })
        })
        .collect()
}

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

    #[test]
    fn a_shop_comes_back_as_it_was_put_in() {
        let (_, keep) = filled();
        let shelf = load(&keep, Space::Own);
        let shop = shop();
        assert_eq!(shelf.instruments, shop.instruments);
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
