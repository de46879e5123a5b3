//! Pieces that come and go, and rows that keep their identity.

use super::signals::Memo;
use super::{Describe, Node};
use leptos::prelude::{Owner, untrack};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::atomic::{AtomicU32, Ordering};

/// The number of the next list.
static LISTS: AtomicU32 = AtomicU32::new(0);

/// A row of a list: its key, and what builds it.
pub(crate) struct Row {
    pub(super) key: u64,
    /// Whose child the row's owner becomes: the list's, which outlives each description of it.
    pub(super) parent: Owner,
    pub(super) build: Box<dyn FnOnce() -> Node>,
}

/// A piece that is there as long as a condition holds, and keeps its state meanwhile.
pub(crate) fn show(
    when: impl Fn() -> bool + Send + Sync + 'static,
    shown: impl Fn() -> Node + 'static,
) -> Node {
    let is_there = Memo::new(move |_| when());
    show_when(is_there, Box::new(shown))
}

fn show_when(is_there: Memo<bool>, mut shown: Box<dyn Describe>) -> Node {
    Node::Live(Box::new(move || {
        if is_there.get() {
            untrack(|| shown.describe())
        } else {
            Node::Nothing
        }
    }))
}

/// Rows by a key: a row that stays in the list stays on the page.
pub(crate) fn rows<I, T, K>(
    each: impl Fn() -> I + 'static,
    key: impl Fn(&T) -> K + 'static,
    row: impl Fn(T) -> Node + Clone + 'static,
) -> Node
where
    I: IntoIterator<Item = T>,
    T: 'static,
    K: Hash,
{
    let list = LISTS.fetch_add(1, Ordering::Relaxed);
    let parent = Owner::current().unwrap_or_default();
    Node::Live(Box::new(move || {
        let rows = each().into_iter().map(|item| {
            let mut hasher = DefaultHasher::new();
            key(&item).hash(&mut hasher);
            let row = row.clone();
            Row {
                key: hasher.finish(),
                parent: parent.clone(),
                build: Box::new(move || row(item)),
            }
        });
        Node::Rows(list, rows.collect())
    }))
}
