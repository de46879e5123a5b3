//! What is worked out only while it is near the eye: costly sheets that lie far below do not slow typing above them.

use crate::markup::ElementRef;
use crate::markup::prelude::*;
use leptos::ev;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::{IntersectionObserver, IntersectionObserverEntry, IntersectionObserverInit};

thread_local! {
    static PRINTING: Cell<bool> = const { Cell::new(false) };
}

/// Whether the page is being printed.
pub(crate) fn printing() -> bool {
    PRINTING.get()
}

/// Whether an element is on the screen or less than a quarter of a screen away, or is being printed.
pub(crate) fn near(place: ElementRef) -> Memo<bool> {
    let seen = RwSignal::new(false);
    let printing = RwSignal::new(false);
    Effect::new(move |watching: Option<Option<Watch>>| {
        drop(watching);
        place.get().and_then(|element| Watch::new(&element, seen))
    });
    let before = window_event_listener(
        ev::Custom::<web_sys::Event>::new("beforeprint"),
        move |_| {
            PRINTING.set(true);
            printing.set(true);
        },
    );
    let after = window_event_listener(ev::Custom::<web_sys::Event>::new("afterprint"), move |_| {
        PRINTING.set(false);
        printing.set(false);
    });
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
    Memo::new(move |_| seen.get() || printing.get())
}

/// A value that is worked out while something is near, and stays as it was while it is far.
pub(crate) fn while_near<T: Clone + PartialEq + Send + Sync + 'static>(
    near: Memo<bool>,
    work: impl Fn() -> Option<T> + Send + Sync + 'static,
) -> Memo<Option<T>> {
    Memo::new(move |last: Option<&Option<T>>| {
        if near.get() {
            work()
        } else {
            last.cloned().flatten()
        }
    })
}

/// A value that is worked out at first and again while something is near, and stays as it was while that is far.
pub(crate) fn kept_near<T: Clone + PartialEq + Send + Sync + 'static>(
    near: Memo<bool>,
    work: impl Fn() -> T + Send + Sync + 'static,
) -> Memo<T> {
    Memo::new(move |last: Option<&T>| match last {
        Some(last) if !near.get() => last.clone(),
        _ => work(),
    })
}

/// An element that is watched.
struct Watch {
    observer: IntersectionObserver,
    _told: Closure<dyn FnMut(js_sys::Array)>,
}

impl Watch {
    fn new(element: &web_sys::Element, seen: RwSignal<bool>) -> Option<Self> {
        let told = Closure::<dyn FnMut(js_sys::Array)>::new(move |entries: js_sys::Array| {
            let last: IntersectionObserverEntry = entries.pop().unchecked_into();
            seen.try_set(last.is_intersecting());
        });
        let how = IntersectionObserverInit::new();
        how.set_root_margin("25% 0px");
        let observer =
            IntersectionObserver::new_with_options(told.as_ref().unchecked_ref(), &how).ok()?;
        observer.observe(element);
        Some(Self {
            observer,
            _told: told,
        })
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.observer.disconnect();
    }
}
