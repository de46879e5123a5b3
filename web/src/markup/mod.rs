//! What the page's markup makes: nodes of one type, put on the page and kept up to date.
//!
//! `view!` describes; this builds. A description that comes again is laid over what stands: elements from the same place of the
//! source are kept, and of their attributes and texts only those that changed are written. So a drawing that is described anew
//! sixty times a second touches the page where it moved and nowhere else, and a field keeps its focus.
//! Signals, memos, effects and their owners are Leptos' own; see `docs/decisions` for why the elements are not.

mod each;
mod element;
mod listen;
mod pattern;
mod signals;
mod state;
mod value;

pub(crate) use each::{rows, show};
pub(crate) use element::{Element, ElementRef};
pub(crate) use state::mount;

/// What every file of the page uses: Leptos' signals and components, and this markup.
pub(crate) mod prelude {
    pub(crate) use super::signals::{Callback, Effect, Memo, RwSignal, Signal};
    pub(crate) use super::{CollectNodes as _, Node};
    pub(crate) use leptos::prelude::*;
    pub(crate) use strungwell_markup::view;
}

use each::Row;
use signals::{Memo, RwSignal, Signal};
use std::borrow::Cow;

/// A text that is written to the page.
pub(crate) type Text = Cow<'static, str>;

/// A piece of the page, described and not yet built.
pub(crate) enum Node {
    /// Nothing, which keeps its place.
    Nothing,
    /// A text, never markup.
    Text(Text),
    /// An element with what is in it.
    Element(Element),
    /// Several, one after the other.
    Many(Vec<Node>),
    /// A piece that is described anew when a signal in it changes.
    Live(Box<dyn Describe>),
    /// Rows of the list with this number, which keep their identity by a key.
    Rows(u32, Vec<Row>),
}

/// What describes a piece of the page anew. Not `FnMut` itself: behind a pointer that is written out twice for each closure, once to
/// be called and once to be used up.
pub(crate) trait Describe {
    /// The piece as it is now.
    fn describe(&mut self) -> Node;
}

impl<F: FnMut() -> N, N: IntoNode> Describe for F {
    fn describe(&mut self) -> Node {
        self().into_node()
    }
}

/// What can stand in braces in the markup.
pub(crate) trait IntoNode {
    /// The node that it makes.
    fn into_node(self) -> Node;
}

impl IntoNode for Node {
    fn into_node(self) -> Node {
        self
    }
}

impl IntoNode for () {
    fn into_node(self) -> Node {
        Node::Nothing
    }
}

impl IntoNode for &'static str {
    fn into_node(self) -> Node {
        Node::Text(Cow::Borrowed(self))
    }
}

impl IntoNode for String {
    fn into_node(self) -> Node {
        Node::Text(Cow::Owned(self))
    }
}

impl IntoNode for Text {
    fn into_node(self) -> Node {
        Node::Text(self)
    }
}

macro_rules! shown {
    ($($number:ty)*) => {$(
        impl IntoNode for $number {
            fn into_node(self) -> Node {
                Node::Text(Cow::Owned(self.to_string()))
            }
        }
    )*};
}
shown!(usize u32 i32 u64 f64 char);

impl<N: IntoNode> IntoNode for Option<N> {
    fn into_node(self) -> Node {
        self.map_or(Node::Nothing, N::into_node)
    }
}

impl<N: IntoNode> IntoNode for Vec<N> {
    fn into_node(self) -> Node {
        Node::Many(self.into_iter().map(N::into_node).collect())
    }
}

impl<A: IntoNode, B: IntoNode> IntoNode for (A, B) {
    fn into_node(self) -> Node {
        Node::Many(vec![self.0.into_node(), self.1.into_node()])
    }
}

impl<F: FnMut() -> N + 'static, N: IntoNode> IntoNode for F {
    fn into_node(self) -> Node {
        Node::Live(Box::new(self))
    }
}

macro_rules! live {
    ($($signal:ident)*) => {$(
        impl<N: IntoNode + Clone + Send + Sync + 'static> IntoNode for $signal<N> {
            fn into_node(self) -> Node {
                Node::Live(Box::new(move || self.get()))
            }
        }
    )*};
}
live!(Signal Memo RwSignal);

/// Nodes from an iterator.
pub(crate) trait CollectNodes: Iterator {
    /// All of them, one after the other.
    fn collect_view(self) -> Node;
}

impl<I: Iterator<Item = N>, N: IntoNode> CollectNodes for I {
    fn collect_view(self) -> Node {
        Node::Many(self.map(N::into_node).collect())
    }
}
