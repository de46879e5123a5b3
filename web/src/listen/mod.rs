//! Listening: who has the microphone, the mark while it is open, and the button that opens it.
//!
//! One place of the page listens at a time. It ends by a press, when the work is done, and whenever its place goes away or the
//! page is hidden. Sound is looked at and forgotten: nothing is recorded, nothing leaves the machine.

mod ear;
mod plucks;

pub(crate) use ear::Ear;
pub(crate) use plucks::plucks;

use crate::markup::prelude::*;
use leptos::ev;
use leptos::leptos_dom::helpers::{IntervalHandle, set_interval_with_handle};
use std::time::Duration;

/// How often the last half second is looked at.
const BEAT: Duration = Duration::from_millis(100);

/// What is done with each look. True when all is heard.
pub(crate) type Work = Box<dyn FnMut(&mut Ear) -> bool>;

/// How it stands with the microphone, and the number of the place that it concerns.
#[derive(Clone, Debug, PartialEq, Eq)]
enum At {
    Closed,
    Asked(u32),
    Open(u32),
    /// It is closed, and why.
    Said(u32, String),
}

/// An open microphone at work.
struct Session {
    ear: Ear,
    work: Work,
    beat: Option<IntervalHandle>,
}

impl Drop for Session {
    fn drop(&mut self) {
        if let Some(beat) = &self.beat {
            beat.clear();
        }
    }
}

/// The page's one microphone. A handle: copies are the same.
#[derive(Clone, Copy)]
pub(crate) struct Listening {
    at: RwSignal<At>,
    session: StoredValue<Option<Session>, LocalStorage>,
    places: StoredValue<u32>,
    /// Counts what was asked and ended, so that a late answer of the browser is known.
    turn: StoredValue<u32>,
}

impl Listening {
    /// Gives the page its microphone, closed.
    pub(crate) fn provide() {
        let all = Self {
            at: RwSignal::new(At::Closed),
            session: StoredValue::new_local(None),
            places: StoredValue::new(0),
            turn: StoredValue::new(0),
        };
        provide_context(all);
        let hides = ev::Custom::<web_sys::Event>::new("visibilitychange");
        let hidden = window_event_listener(hides, move |_| {
            if document().hidden() {
                all.close(At::Closed);
            }
        });
        on_cleanup(move || hidden.remove());
    }

    fn close(self, at: At) {
        self.turn.update_value(|turn| *turn = turn.wrapping_add(1));
        // Dropped outside, since its end may look here.
        let was = self.session.try_update_value(Option::take);
        drop(was);
        if at != At::Closed || !matches!(self.at.get_untracked(), At::Said(..)) {
            self.at.try_set(at);
        }
    }

    fn start(self, place: u32, work: Work) {
        self.close(At::Asked(place));
        let turn = self.turn.get_value();
        let opened = async move {
            let ear = ear::open().await;
            // Stopped meanwhile: what was opened closes here.
            if self.turn.try_get_value() != Some(turn) {
                return;
            }
            match ear {
                Ok(ear) => self.run(place, ear, work),
                Err(why) => self.close(At::Said(place, why)),
            }
        };
        js_sys::futures::spawn_local(opened);
    }

    fn run(self, place: u32, ear: Ear, work: Work) {
        let beat = set_interval_with_handle(move || self.look(place), BEAT).ok();
        self.session.set_value(Some(Session { ear, work, beat }));
        self.at.set(At::Open(place));
    }

    fn look(self, place: u32) {
        // Taken out while it works, since its work may end it.
        let Some(mut session) = self.session.try_update_value(Option::take).flatten() else {
            return;
        };
        let turn = self.turn.get_value();
        if let Err(why) = session.ear.look() {
            drop(session);
            return self.close(At::Said(place, why.into()));
        }
        let is_done = (session.work)(&mut session.ear);
        if self.turn.try_get_value() == Some(turn) {
            if is_done {
                drop(session);
                self.close(At::Closed);
            } else {
                self.session.set_value(Some(session));
            }
        }
    }
}

/// A place of the page that can listen.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    all: Listening,
    number: u32,
}

impl Place {
    /// A new place, which stops listening when it goes.
    pub(crate) fn new() -> Self {
        let all: Listening = expect_context();
        all.places.update_value(|places| *places += 1);
        let place = Self {
            all,
            number: all.places.get_value(),
        };
        on_cleanup(move || place.stop());
        place
    }

    /// Whether it has the microphone.
    pub(crate) fn is_open(self) -> bool {
        self.all.at.get() == At::Open(self.number)
    }

    /// Stops, if it listens or asked to.
    pub(crate) fn stop(self) {
        let own = matches!(self.all.at.try_get_untracked(), Some(At::Asked(n) | At::Open(n)) if n == self.number);
        if own {
            self.all.close(At::Closed);
        }
    }

    /// Stops and says why.
    pub(crate) fn stop_with(self, why: &str) {
        self.all.close(At::Said(self.number, why.into()));
    }

    /// The button that begins and stops, with what it does, and what there is to say. `deed` is a word for tests.
    pub(crate) fn button(
        self,
        deed: &'static str,
        label: &'static str,
        begin: impl Fn() -> Result<Work, String> + 'static,
    ) -> Node {
        let press = move |_| {
            if matches!(self.all.at.get_untracked(), At::Asked(n) | At::Open(n) if n == self.number)
            {
                return self.stop();
            }
            match begin() {
                Ok(work) => self.all.start(self.number, work),
                Err(why) => self.stop_with(&why),
            }
        };
        let says = move || match self.all.at.get() {
            At::Asked(n) if n == self.number => {
                "Asking the browser for the microphone …".to_owned()
            }
            At::Said(n, why) if n == self.number => why,
            _ => String::new(),
        };
        let label = move || match self.all.at.get() {
            At::Asked(n) | At::Open(n) if n == self.number => "Stop listening",
            _ => label,
        };
        view! {
            <p class="buttons listen">
                <button type="button" class="quiet small" data-deed=deed on:click=press>{label}</button>
                <span class="hint">"Opens the microphone until it is done or stopped. Nothing is recorded, and nothing leaves this machine."</span>
            </p>
            <p class="message" role="status" data-note=deed>{says}</p>
        }
    }
}

/// The mark that the microphone is open, wherever on the page one is.
#[component]
pub(crate) fn Mark() -> Node {
    let all: Listening = expect_context();
    view! {
        <Show when=move || matches!(all.at.get(), At::Open(_))>
            <div class="slip-place listening">
                <p class="slip" role="status">
                    <span class="ear" aria-hidden="true"></span>"The microphone is open. Nothing is recorded or sent."
                    <button type="button" class="main small" data-deed="stop-listening" on:click=move |_| all.close(At::Closed)>"Stop"</button>
                </p>
            </div>
        </Show>
    }
}
