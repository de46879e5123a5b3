//! The description of an element.

use super::Node;
use super::listen::Handler;
use super::signals::RwSignal;
use super::value::{IntoValue, Value};
use leptos::prelude::{GetValue as _, LocalStorage, SetValue as _, StoredValue};
use leptos::tachys::html::event::EventDescriptor;
use std::borrow::Cow;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;

/// What fills a hole of a pattern.
pub(super) enum Hole {
    /// A value of an attribute, a class, a style or a property.
    Value(Value),
    /// A listener: the event's name and what is done.
    Listen(&'static str, Handler),
    /// Where the element is remembered.
    Place(ElementRef),
    /// A child.
    Child(Node),
}

/// An element, described and not yet built: the pattern of all that is fixed in it, and what fills its holes in their order.
pub(crate) struct Element {
    pub(super) pattern: &'static str,
    pub(super) holes: Vec<Hole>,
}

impl Element {
    /// An element of this pattern.
    pub(crate) fn new(pattern: &'static str) -> Self {
        Self {
            pattern,
            holes: Vec::new(),
        }
    }

    /// The value of an attribute, a class, a style or a property.
    pub(crate) fn value(&mut self, value: impl IntoValue) {
        self.fill(Hole::Value(value.into_value()));
    }

    /// What is done when an event comes.
    pub(crate) fn on<E>(&mut self, event: E, mut handler: impl FnMut(E::EventType) + 'static)
    where
        E: EventDescriptor,
        E::EventType: JsCast,
    {
        let handler = move |event: web_sys::Event| handler(event.unchecked_into());
        self.listen(event.name(), Rc::new(RefCell::new(handler)));
    }

    fn listen(&mut self, event: Cow<'static, str>, handler: Handler) {
        let event = match event {
            Cow::Borrowed(event) => event,
            // The events of the library have fixed names.
            Cow::Owned(_) => "",
        };
        self.fill(Hole::Listen(event, handler));
    }

    /// Remembers the element that is built from this.
    pub(crate) fn place(&mut self, place: ElementRef) {
        self.fill(Hole::Place(place));
    }

    /// A child.
    pub(crate) fn child(&mut self, child: Node) {
        self.fill(Hole::Child(child));
    }

    fn fill(&mut self, hole: Hole) {
        self.holes.push(hole);
    }

    /// The whole as a node.
    pub(crate) fn done(self) -> Node {
        Node::Element(self)
    }
}

/// Remembers an element of the page once it is built.
#[derive(Clone, Copy)]
pub(crate) struct ElementRef(
    StoredValue<Option<web_sys::Element>, LocalStorage>,
    RwSignal<u32>,
);

impl ElementRef {
    /// No element yet.
    pub(crate) fn new() -> Self {
        Self(StoredValue::new_local(None), RwSignal::new(0))
    }

    /// The element, once it is there. Tracked: an effect that asks runs again when it is built.
    pub(crate) fn get(self) -> Option<web_sys::Element> {
        self.1.track();
        self.get_untracked()
    }

    /// The element, once it is there.
    pub(crate) fn get_untracked(self) -> Option<web_sys::Element> {
        self.0.try_get_value().flatten()
    }

    pub(super) fn put(self, element: &web_sys::Element) {
        self.0.set_value(Some(element.clone()));
        self.1.update(|times| *times = times.wrapping_add(1));
    }
}
