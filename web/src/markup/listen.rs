//! Listeners: one on the page for each event of an element, whose handler is changed without touching the page.

use leptos::prelude::Owner;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// What is done when an event comes; a trait of its own as [`super::Describe`] is.
pub(super) trait Handle {
    /// Does it.
    fn handle(&mut self, event: web_sys::Event);
}

impl<F: FnMut(web_sys::Event)> Handle for F {
    fn handle(&mut self, event: web_sys::Event) {
        self(event);
    }
}

/// What is done when an event comes, held for the listener.
pub(super) type Handler = Rc<RefCell<dyn Handle>>;

/// A listener on the page.
pub(super) struct Listener {
    event: &'static str,
    handler: Rc<RefCell<(Handler, Option<Owner>)>>,
    closure: Closure<dyn FnMut(web_sys::Event)>,
}

impl Listener {
    /// Listens on an element, for its owner at this moment.
    pub(super) fn new(element: &web_sys::Element, event: &'static str, handler: Handler) -> Self {
        let handler = Rc::new(RefCell::new((handler, Owner::current())));
        let held = Rc::clone(&handler);
        let closure = Closure::<dyn FnMut(web_sys::Event)>::new(move |event| {
            let (handler, owner) = held.borrow().clone();
            // An event inside its own handler (a focus that moves the focus) is not worked on twice.
            let Ok(mut work) = handler.try_borrow_mut() else {
                return;
            };
            match owner {
                Some(owner) => owner.with(|| work.handle(event)),
                None => work.handle(event),
            }
        });
        // Refused only for an event without a name.
        let _ = element.add_event_listener_with_callback(event, closure.as_ref().unchecked_ref());
        Self {
            event,
            handler,
            closure,
        }
    }

    /// From now on something else is done.
    pub(super) fn change(&self, handler: Handler) {
        *self.handler.borrow_mut() = (handler, Owner::current());
    }

    /// Listens no more.
    pub(super) fn stop(&self, element: &web_sys::Element) {
        let _ = element
            .remove_event_listener_with_callback(self.event, self.closure.as_ref().unchecked_ref());
    }
}
