//! The browser's storage, and what it would not take.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

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
                 when the page is closed. Remove what is no longer needed, or allow the site more storage."
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

/// A drawer, and over it what the drawer would not take: nothing that was given to it is lost while the page is open.
pub(crate) struct Keep {
    drawer: Box<dyn Drawer>,
    /// What is not in the drawer yet: the text, or none where the drawer's text should go.
    waiting: RefCell<BTreeMap<String, Option<String>>>,
    refusal: RefCell<Option<Refusal>>,
}

impl Keep {
    /// Keeps texts in a drawer.
    pub(crate) fn new(drawer: Box<dyn Drawer>) -> Self {
        Self {
            drawer,
            waiting: RefCell::default(),
            refusal: RefCell::default(),
        }
    }

    /// The text under a key.
    pub(crate) fn read(&self, key: &str) -> Option<String> {
        match self.waiting.borrow().get(key) {
            Some(waiting) => waiting.clone(),
            None => self.drawer.read(key),
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

    /// Why something waits outside the drawer; none when all is kept.
    pub(crate) fn refusal(&self) -> Option<Refusal> {
        *self.refusal.borrow()
    }

    fn put(&self, key: &str, text: Option<&str>) {
        let mut waiting = self.waiting.borrow_mut();
        waiting.insert(key.to_owned(), text.map(str::to_owned));
        let mut refusal = None;
        // What should go goes first: it may make room for the rest.
        for removing in [true, false] {
            waiting.retain(|key, text| {
                let done = match text {
                    None if removing => self.drawer.forget(key),
                    Some(text) if !removing => self.drawer.write(key, text),
                    _ => return true,
                };
                refusal = refusal.or(done.err());
                done.is_err()
            });
        }
        *self.refusal.borrow_mut() = refusal;
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use std::rc::Rc;

    /// A drawer with room for so many characters.
    #[derive(Clone, Default)]
    pub(crate) struct TestDrawer {
        pub(crate) texts: Rc<RefCell<BTreeMap<String, String>>>,
        pub(crate) room: Rc<RefCell<Option<usize>>>,
    }

    impl Drawer for TestDrawer {
        fn read(&self, key: &str) -> Option<String> {
            self.texts.borrow().get(key).cloned()
        }

        fn write(&self, key: &str, text: &str) -> Result<(), Refusal> {
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
}
