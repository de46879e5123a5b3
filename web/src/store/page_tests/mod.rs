//! The store as the page uses it, over a drawer of the test's own.

mod files;
mod finding;
mod strings;
mod undo;

use super::keep::Keep;
use super::keep::tests::TestDrawer;
use super::{Space, Store, around, demo, shelf};
use crate::markup::prelude::Owner as Scope;
use strungwell_workshop::file;
use strungwell_workshop::records::{Instrument, Workshop};

const DAY_MS: f64 = 86_400_000.0;

/// A window of the page over a drawer, as long as this lives.
struct Window {
    store: Store,
    _scope: Scope,
}

impl Window {
    fn open(drawer: &TestDrawer) -> Self {
        around::set_address("");
        let scope = Scope::new();
        let store = scope.with(|| {
            let store = Store::over(Box::new(drawer.clone()));
            store.reload();
            store
        });
        Self {
            store,
            _scope: scope,
        }
    }

    /// With an instrument open.
    fn at(drawer: &TestDrawer, id: &str) -> Self {
        let window = Self::open(drawer);
        window.store.open(id);
        window
    }

    fn shop(&self) -> Workshop {
        self.store.shop(None, String::new())
    }

    fn name(&self, id: &str) -> String {
        self.store.other(id).unwrap().name
    }

    fn slip(&self) -> Option<String> {
        let removed = self.store.removed().get_untracked();
        removed.map(|removed| removed.said)
    }

    fn refused(&self) -> String {
        self.store.refused().get_untracked().unwrap_or_default()
    }
}

/// A drawer that holds the demo shop as the person's own.
fn filled() -> (TestDrawer, Workshop) {
    let drawer = TestDrawer::default();
    let shop = demo::shop().unwrap();
    shelf::fill(&Keep::new(Box::new(drawer.clone())), Space::Own, &shop);
    (drawer, shop)
}

/// A shop's records without the moments at which they were changed.
fn unstamped(mut shop: Workshop) -> Workshop {
    for instrument in &mut shop.instruments {
        instrument.changed = None;
        instrument.visits.iter_mut().for_each(|v| v.changed = None);
    }
    shop.rack.iter_mut().for_each(|r| r.changed = None);
    shop.owners.iter_mut().for_each(|o| o.changed = None);
    shop
}

/// The records in no order.
fn set(shop: &Workshop) -> Vec<String> {
    let mut all: Vec<String> = shop.owners.iter().map(file::write_owner).collect();
    all.extend(shop.rack.iter().map(file::write_rack_string));
    all.extend(shop.instruments.iter().map(file::write_instrument));
    all.sort();
    all
}

/// An instrument with a visit, and a rack string that no instrument carries.
fn two(shop: &Workshop) -> (String, String) {
    let visited = shop.instruments.iter().find(|i| !i.visits.is_empty());
    let fitted = |id: &str| {
        let courses = shop.instruments.iter().flat_map(Instrument::all_courses);
        let mut strings = courses.flat_map(|course| &course.strings);
        strings.any(|string| string.rack.as_deref() == Some(id))
    };
    let free = shop.rack.iter().find(|string| !fitted(&string.id));
    (visited.unwrap().id.clone(), free.unwrap().id.clone())
}
