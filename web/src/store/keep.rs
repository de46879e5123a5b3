//! The browser's storage, and what it would not take.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Why the storage did not take a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// There is no storage, or the browser keeps it shut.
    Missing,
    /// It is full.
    Full,
}

impl Refusal {
    /// What the person should know and do.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Missing => {
                "This browser keeps no storage for this page (perhaps a private window, or site data is blocked). What you type \
                 stays on the page, but it will be gone when the page is closed."
            }
            Self::Full => {
                "This browser's storage for the page is full. What you type from here on stays on the page, but it will be gone \
                 when the page is closed. Write your records to a file now (under the bench: Copies of your records); then remove what is no \
                 longer needed, or allow the site more storage."
            }
        }
    }
}

/// A place that keeps texts under keys.
pub(crate) trait Drawer {
    /// The text under a key.
    fn read(&self, key: &str) -> Option<String>;
    /// Puts a text under a key.
    fn write(&self, key: &str, text: &str) -> Result<(), Refusal>;
    /// Takes the text under a key away.
    fn forget(&self, key: &str) -> Result<(), Refusal>;
    /// Every key.
    fn keys(&self) -> Vec<String>;
}

/// The browser's `localStorage`.
pub(crate) struct BrowserDrawer;

impl BrowserDrawer {
    fn storage() -> Result<web_sys::Storage, Refusal> {
        web_sys::window()
            .and_then(|window| window.local_storage().ok().flatten())
            .ok_or(Refusal::Missing)
    }
}

impl Drawer for BrowserDrawer {
    fn read(&self, key: &str) -> Option<String> {
        Self::storage().ok()?.get_item(key).ok().flatten()
    }

    fn write(&self, key: &str, text: &str) -> Result<(), Refusal> {
        Self::storage()?
            .set_item(key, text)
            .map_err(|_| Refusal::Full)
    }

    fn forget(&self, key: &str) -> Result<(), Refusal> {
        Self::storage()?
            .remove_item(key)
            .map_err(|_| Refusal::Missing)
    }

    fn keys(&self) -> Vec<String> {
        let Ok(storage) = Self::storage() else {
            return Vec::new();
        };
        let count = storage.length().unwrap_or(0);
        (0..count)
            .filter_map(|at| storage.key(at).ok().flatten())
            .collect()
    }
}

/// What another window did to a record in the meantime, so that this window's text of it was not written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Clash {
    /// The record's key.
    pub key: String,
    /// What this window wanted to write; none for a removal.
    pub mine: Option<String>,
}

/// A drawer, and over it what the drawer would not take: nothing that was given to it is lost while the page is open.
///
/// A record is only written over the text that this window read or wrote last; where another window changed it, what was to be
/// written becomes a [`Clash`].
pub(crate) struct Keep {
    drawer: Box<dyn Drawer>,
    /// What is not in the drawer yet: the text, or none where the drawer's text should go.
    waiting: RefCell<BTreeMap<String, Option<String>>>,
    /// The records' texts as this window knows them to be in the drawer.
    seen: RefCell<BTreeMap<String, Arc<str>>>,
    clashes: RefCell<Vec<Clash>>,
    refusal: RefCell<Option<Refusal>>,
}

impl Keep {
    /// Keeps texts in a drawer.
    pub(crate) fn new(drawer: Box<dyn Drawer>) -> Self {
        Self {
            drawer,
            waiting: RefCell::default(),
            seen: RefCell::default(),
            clashes: RefCell::default(),
            refusal: RefCell::default(),
        }
    }

    /// The text under a key. A record's is remembered as seen.
    pub(crate) fn read(&self, key: &str) -> Option<String> {
        match self.waiting.borrow().get(key) {
            Some(waiting) => waiting.clone(),
            None => {
                let text = self.drawer.read(key);
                self.see(key, text.as_deref());
                text
            }
        }
    }

    /// Every key.
    pub(crate) fn keys(&self) -> BTreeSet<String> {
        let mut keys: BTreeSet<String> = self.drawer.keys().into_iter().collect();
        for (key, text) in self.waiting.borrow().iter() {
            if text.is_some() {
                keys.insert(key.clone());
            } else {
                keys.remove(key);
            }
        }
        keys
    }

    /// Puts a text under a key; the drawer gets whatever it did not take before once more.
    pub(crate) fn write(&self, key: &str, text: &str) {
        self.put(key, Some(text));
    }

    /// Takes the text under a key away.
    pub(crate) fn forget(&self, key: &str) {
        self.put(key, None);
    }

    /// Puts a text under a key, or takes it away, in the drawer or not at all: nothing waits.
    ///
    /// # Errors
    /// The drawer's.
    pub(super) fn insist(&self, key: &str, text: Option<&str>) -> Result<(), Refusal> {
        match text {
            Some(text) => self.drawer.write(key, text)?,
            None => self.drawer.forget(key)?,
        }
        self.see(key, text);
        self.waiting.borrow_mut().remove(key);
        Ok(())
    }

    /// Why something waits outside the drawer; none when all is kept.
    pub(crate) fn refusal(&self) -> Option<Refusal> {
        *self.refusal.borrow()
    }

    /// What was not written because another window had changed it, since this was last asked.
    pub(super) fn clashes(&self) -> Vec<Clash> {
        self.clashes.take()
    }

    /// How much the drawer holds under keys that begin so, in bytes: two for each unit of UTF-16, as browsers count.
    pub(super) fn bytes(&self, start: &str) -> usize {
        let units = |text: &str| text.encode_utf16().count();
        let ours = self
            .drawer
            .keys()
            .into_iter()
            .filter(|key| key.starts_with(start));
        ours.map(|key| 2 * (units(&key) + self.drawer.read(&key).map_or(0, |text| units(&text))))
            .sum()
    }

    /// Whether another window changed the record under a key since this one read or wrote it.
    pub(super) fn is_stale(&self, key: &str) -> bool {
        !self.waiting.borrow().contains_key(key) && self.changed_elsewhere(key, None)
    }

    /// Whether another window changed or removed any record under a key that begins so; each is then known as it stands.
    pub(super) fn any_stale(&self, start: &str) -> bool {
        let mut keys = self.keys();
        keys.extend(self.seen.borrow().keys().cloned());
        keys.retain(|key| key.starts_with(start) && is_record(key));
        keys.retain(|key| {
            let there = self.drawer.read(key);
            let known = self.seen.borrow().get(key).map(|known| known.to_string());
            let is_stale = !self.waiting.borrow().contains_key(key) && there != known;
            if is_stale {
                self.see(key, there.as_deref());
            }
            is_stale
        });
        !keys.is_empty()
    }

    fn see(&self, key: &str, text: Option<&str>) {
        if is_record(key) {
            let mut seen = self.seen.borrow_mut();
            match text {
                Some(text) if seen.get(key).is_some_and(|old| &**old == text) => {}
                Some(text) => drop(seen.insert(key.to_owned(), text.into())),
                None => drop(seen.remove(key)),
            }
        }
    }

    /// Whether a record in the drawer is not as this window knows it.
    fn changed_elsewhere(&self, key: &str, text: Option<&str>) -> bool {
        if !is_record(key) {
            return false;
        }
        let there = self.drawer.read(key);
        let known = self.seen.borrow().get(key).map(|known| known.to_string());
        let differs = there != known && there.as_deref() != text;
        if differs {
            self.see(key, there.as_deref());
        }
        differs
    }

    fn put(&self, key: &str, text: Option<&str>) {
        let mut waiting = self.waiting.borrow_mut();
        waiting.insert(key.to_owned(), text.map(str::to_owned));
        let mut refusal = None;
        // What should go goes first: it may make room for the rest.
        for removing in [true, false] {
            waiting.retain(|key, text| {
                if text.is_none() != removing {
                    return true;
                }
                if self.changed_elsewhere(key, text.as_deref()) {
                    let (key, mine) = (key.clone(), text.clone());
                    self.clashes.borrow_mut().push(Clash { key, mine });
                    return false;
                }
                let done = match text {
                    None => self.drawer.forget(key),
                    Some(text) => self.drawer.write(key, text),
                };
                match done {
                    Ok(()) => self.see(key, text.as_deref()),
                    Err(why) => refusal = refusal.or(Some(why)),
                }
                done.is_err()
            });
        }
        *self.refusal.borrow_mut() = refusal;
    }
}

/// Whether a key is a record's.
fn is_record(key: &str) -> bool {
    let rest = key.split_once('.').map_or("", |(_, rest)| rest);
    ["instrument.", "rack.", "owner."]
        .iter()
        .any(|kind| rest.starts_with(kind))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use std::rc::Rc;

    /// A drawer with room for so many characters, which may stop for good after so many writes, as if the machine had died there.
    #[derive(Clone, Default)]
    pub(crate) struct TestDrawer {
        pub(crate) texts: Rc<RefCell<BTreeMap<String, String>>>,
        pub(crate) room: Rc<RefCell<Option<usize>>>,
        pub(crate) writes_left: Rc<RefCell<Option<usize>>>,
    }

    impl TestDrawer {
        /// Whether the machine is dead: then what is written is said to be and is not.
        fn is_dead(&self) -> bool {
            let mut left = self.writes_left.borrow_mut();
            match left.as_mut() {
                None => false,
                Some(0) => true,
                Some(left) => {
                    *left -= 1;
                    false
                }
            }
        }
    }

    impl Drawer for TestDrawer {
        fn read(&self, key: &str) -> Option<String> {
            self.texts.borrow().get(key).cloned()
        }

        fn write(&self, key: &str, text: &str) -> Result<(), Refusal> {
            if self.is_dead() {
                return Ok(());
            }
            let taken: usize = self
                .texts
                .borrow()
                .iter()
                .filter(|(k, _)| *k != key)
                .map(|(_, t)| t.len())
                .sum();
            if self
                .room
                .borrow()
                .is_some_and(|room| taken + text.len() > room)
            {
                return Err(Refusal::Full);
            }
            self.texts.borrow_mut().insert(key.into(), text.into());
            Ok(())
        }

        fn forget(&self, key: &str) -> Result<(), Refusal> {
            if self.is_dead() {
                return Ok(());
            }
            self.texts.borrow_mut().remove(key);
            Ok(())
        }

        fn keys(&self) -> Vec<String> {
            self.texts.borrow().keys().cloned().collect()
        }
    }

    #[test]
    fn what_a_full_drawer_refuses_is_kept_and_given_again_when_there_is_room() {
        let drawer = TestDrawer::default();
        *drawer.room.borrow_mut() = Some(10);
        let keep = Keep::new(Box::new(drawer.clone()));
        keep.write("a", "12345678");
        assert_eq!(keep.refusal(), None);
        keep.write("b", "1234");
        assert_eq!(keep.refusal(), Some(Refusal::Full));
        assert_eq!(keep.read("b").as_deref(), Some("1234"));
        assert!(keep.keys().contains("b"));
        assert_eq!(drawer.read("b"), None);
        keep.forget("a");
        assert_eq!(keep.refusal(), None);
        assert_eq!(drawer.read("b").as_deref(), Some("1234"));
        assert_eq!(keep.read("a"), None);
    }

    #[test]
    fn a_record_that_another_window_changed_is_not_written_over() {
        let drawer = TestDrawer::default();
        let here = Keep::new(Box::new(drawer.clone()));
        let there = Keep::new(Box::new(drawer.clone()));
        let key = "strungwell.instrument.a";
        here.write(key, "first");
        assert_eq!(there.read(key).as_deref(), Some("first"));
        there.write(key, "there");
        here.write(key, "here");
        let mine = Some("here".to_owned());
        assert_eq!(
            here.clashes(),
            [Clash {
                key: key.into(),
                mine
            }]
        );
        assert_eq!(drawer.read(key).as_deref(), Some("there"));
        // Told once; from then on it knows the other's text.
        here.write(key, "here again");
        assert_eq!(
            (here.clashes(), drawer.read(key).as_deref()),
            (vec![], Some("here again"))
        );
        there.forget(key);
        assert_eq!(
            there.clashes(),
            [Clash {
                key: key.into(),
                mine: None
            }]
        );
        assert_eq!(drawer.read(key).as_deref(), Some("here again"));
        // The same text from both is no clash; nor is a key that is no record's.
        there.write(key, "both");
        here.write(key, "both");
        here.write("strungwell.last", "a");
        there.write("strungwell.last", "b");
        assert_eq!((here.clashes(), there.clashes()), (vec![], vec![]));
    }

    #[test]
    fn what_waits_does_not_overwrite_another_window_when_there_is_room_again() {
        let drawer = TestDrawer::default();
        let here = Keep::new(Box::new(drawer.clone()));
        let key = "strungwell.rack.a";
        here.write(key, "1234");
        *drawer.room.borrow_mut() = Some(5);
        here.write(key, "longer than the room");
        assert_eq!(here.refusal(), Some(Refusal::Full));
        drawer.texts.borrow_mut().insert(key.into(), "other".into());
        *drawer.room.borrow_mut() = None;
        here.write("strungwell.last", "x");
        assert_eq!(here.clashes().len(), 1);
        assert_eq!(drawer.read(key).as_deref(), Some("other"));
    }
}
