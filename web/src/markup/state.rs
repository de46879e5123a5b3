//! What stands on the page, and how a new description is laid over it.

use super::each::Row;
use super::pattern::{Built, build_element, lay_element};
use super::{Describe, Node, Text};
use leptos::prelude::{Owner, RenderEffect, document, untrack};
use std::mem;
use wasm_bindgen::JsCast;

/// A node that stands on the page, with what keeps it up to date.
pub(super) enum State {
    /// A mark that keeps the place.
    Nothing(web_sys::Node),
    Text(web_sys::Node, Text),
    Element(Box<Built>),
    /// Several, and the mark behind the last.
    Many(Vec<State>, web_sys::Node),
    Live(Live),
    /// Rows of the list with this number, and the mark behind the last.
    Rows(u32, Vec<StandingRow>, web_sys::Node),
    /// For the moment in which another state takes the place.
    Moving,
}

/// What is described anew when a signal in it changes.
pub(super) struct Live(RenderEffect<State>);

impl Drop for Live {
    fn drop(&mut self) {
        // The effect's task holds what stands until it is next run. What lies inside must end now: its signals are gone, and
        // an effect of its own that already waits for its turn would read them.
        drop(self.0.take_value());
    }
}

pub(super) struct StandingRow {
    key: u64,
    state: State,
    owner: Owner,
}

/// Puts a node at the end of an element and leaves it there as long as the page lives.
pub(crate) fn mount(node: Node, into: &web_sys::Element) {
    let state = build(node, false);
    state.put(into, None);
    mem::forget(state);
}

/// A mark in the page that nobody sees.
pub(super) fn mark() -> web_sys::Node {
    document().create_comment("").unchecked_into()
}

/// Builds a node beside the page.
pub(super) fn build(node: Node, is_svg: bool) -> State {
    match node {
        Node::Nothing => State::Nothing(mark()),
        Node::Text(text) => State::Text(document().create_text_node(&text).unchecked_into(), text),
        Node::Element(element) => build_element(element, is_svg),
        Node::Many(all) => {
            let all = all.into_iter().map(|node| build(node, is_svg)).collect();
            State::Many(all, mark())
        }
        Node::Live(describe) => State::Live(live(describe, None, is_svg)),
        Node::Rows(list, rows) => {
            let rows = rows.into_iter().map(|row| build_row(row, is_svg)).collect();
            State::Rows(list, rows, mark())
        }
    }
}

/// Describes now and whenever a signal changes, each time laid over what stands.
fn live(mut describe: Box<dyn Describe>, standing: Option<State>, is_svg: bool) -> Live {
    Live(RenderEffect::new_with_value(
        move |standing: Option<State>| {
            let node = describe.describe();
            match standing {
                Some(standing) => lay(standing, node, is_svg),
                None => build(node, is_svg),
            }
        },
        standing,
    ))
}

fn build_row(row: Row, is_svg: bool) -> StandingRow {
    let owner = row.parent.with(Owner::new);
    let state = owner.with(|| untrack(|| build((row.build)(), is_svg)));
    StandingRow {
        key: row.key,
        state,
        owner,
    }
}

impl State {
    /// The first of its nodes on the page.
    fn first(&self) -> Option<web_sys::Node> {
        match self {
            Self::Nothing(node) | Self::Text(node, _) => Some(node.clone()),
            Self::Element(built) => Some(built.element.clone().unchecked_into()),
            Self::Many(all, end) => all.first().map_or_else(|| Some(end.clone()), Self::first),
            Self::Rows(_, rows, end) => rows
                .first()
                .map_or_else(|| Some(end.clone()), |row| row.state.first()),
            Self::Live(live) => live.0.with_value_mut(|state| state.first()).flatten(),
            Self::Moving => None,
        }
    }

    /// Puts all of its nodes into another, before one of that one's children or at the end.
    pub(super) fn put(&self, into: &web_sys::Node, before: Option<&web_sys::Node>) {
        let put = |node: &web_sys::Node| {
            // Refused only where a node would lie inside itself.
            let _ = into.insert_before(node, before);
        };
        match self {
            Self::Nothing(node) | Self::Text(node, _) => put(node),
            Self::Element(built) => put(&built.element),
            Self::Many(all, end) => {
                for state in all {
                    state.put(into, before);
                }
                put(end);
            }
            Self::Rows(_, rows, end) => {
                for row in rows {
                    row.state.put(into, before);
                }
                put(end);
            }
            Self::Live(live) => {
                live.0.with_value_mut(|state| state.put(into, before));
            }
            Self::Moving => {}
        }
    }

    /// Takes all of its nodes off the page.
    fn take_off(&self) {
        let off = |node: &web_sys::Node| {
            if let Some(parent) = node.parent_node() {
                let _ = parent.remove_child(node);
            }
        };
        match self {
            Self::Nothing(node) | Self::Text(node, _) => off(node),
            Self::Element(built) => off(&built.element),
            Self::Many(all, end) => {
                all.iter().for_each(Self::take_off);
                off(end);
            }
            Self::Rows(_, rows, end) => {
                rows.iter().for_each(|row| row.state.take_off());
                off(end);
            }
            Self::Live(live) => {
                live.0.with_value_mut(|state| state.take_off());
            }
            Self::Moving => {}
        }
    }
}

/// Lays a new description over what stands, and gives what stands then.
pub(super) fn lay(standing: State, node: Node, is_svg: bool) -> State {
    match (standing, node) {
        (State::Nothing(mark), Node::Nothing) => State::Nothing(mark),
        (State::Text(node, was), Node::Text(text)) => {
            if was != text {
                node.set_node_value(Some(&text));
            }
            State::Text(node, text)
        }
        (State::Element(mut built), Node::Element(described))
            if std::ptr::eq(built.pattern, described.pattern) =>
        {
            lay_element(&mut built, described.holes);
            State::Element(built)
        }
        (State::Many(standing, end), Node::Many(all)) => lay_many(standing, all, end, is_svg),
        // The same list described anew. Another list, though of the same rows, is built anew: what its rows stood on is gone.
        (State::Rows(old, standing, end), Node::Rows(list, rows)) if old == list => {
            State::Rows(list, lay_rows(standing, rows, &end, is_svg), end)
        }
        (State::Live(old), Node::Live(describe)) => {
            let standing = old.0.take_value();
            drop(old);
            State::Live(live(describe, standing, is_svg))
        }
        (standing, node) => {
            let fresh = build(node, is_svg);
            if let Some(first) = standing.first()
                && let Some(parent) = first.parent_node()
            {
                fresh.put(&parent, Some(&first));
            }
            standing.take_off();
            fresh
        }
    }
}

fn lay_many(standing: Vec<State>, all: Vec<Node>, end: web_sys::Node, is_svg: bool) -> State {
    let mut standing = standing.into_iter();
    let parent = end.parent_node();
    let mut fresh = Vec::with_capacity(all.len());
    for node in all {
        fresh.push(match standing.next() {
            Some(old) => lay(old, node, is_svg),
            None => {
                let state = build(node, is_svg);
                if let Some(parent) = &parent {
                    state.put(parent, Some(&end));
                }
                state
            }
        });
    }
    for old in standing {
        old.take_off();
    }
    State::Many(fresh, end)
}

/// Rows that stay keep their nodes; what goes is taken off; what is new or moved is put in its place.
fn lay_rows(
    mut standing: Vec<StandingRow>,
    rows: Vec<Row>,
    end: &web_sys::Node,
    is_svg: bool,
) -> Vec<StandingRow> {
    let is_same = standing.len() == rows.len()
        && standing
            .iter()
            .zip(&rows)
            .all(|(old, row)| old.key == row.key);
    if is_same {
        return standing;
    }
    let parent = end.parent_node();
    // Those that go, go first: then a row that follows its neighbour needs no move.
    let keys: Vec<u64> = rows.iter().map(|row| row.key).collect();
    let (mut kept, gone): (Vec<_>, Vec<_>) =
        standing.drain(..).partition(|old| keys.contains(&old.key));
    for old in gone {
        old.state.take_off();
        old.owner.cleanup();
    }
    let mut fresh: Vec<StandingRow> = Vec::with_capacity(rows.len());
    for row in rows {
        match kept.iter().position(|old| old.key == row.key) {
            Some(0) => fresh.push(kept.remove(0)),
            Some(at) => {
                let old = kept.remove(at);
                if let Some(parent) = &parent {
                    let before = kept.first().and_then(|k| k.state.first());
                    old.state.put(parent, before.as_ref().or(Some(end)));
                }
                fresh.push(old);
            }
            None => {
                let new = build_row(row, is_svg);
                if let Some(parent) = &parent {
                    let before = kept.first().and_then(|k| k.state.first());
                    new.state.put(parent, before.as_ref().or(Some(end)));
                }
                fresh.push(new);
            }
        }
    }
    for old in kept {
        old.state.take_off();
        old.owner.cleanup();
    }
    fresh
}
