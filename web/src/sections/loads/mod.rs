//! The Loads section: what strings do to bridge and neck, what tuners and warmth do to strings.

mod bridge;
mod neck;
mod tuners;

use crate::explain::Figure;
use crate::fields::words;
use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::near::{near, while_near};
use crate::store::Store;
use strungwell_workshop::report::Reason;
use strungwell_workshop::report::loads::{LoadFigure, Loads, load_reason};
use strungwell_workshop::words::sentence;

/// What the section draws: the loads of the open instrument, worked out while the section is near the eye.
#[derive(Clone, Copy)]
pub(crate) struct Bears(pub(crate) Memo<Option<Loads>>);

impl Bears {
    /// Follows the open instrument while the element is near.
    pub(crate) fn follow(store: Store, place: ElementRef) -> Self {
        let near = near(place);
        let loads = while_near(near, move || {
            store.whole_report().map(|report| report.loads)
        });
        Self(loads)
    }

    /// Something of the loads.
    pub(crate) fn of<T: Default>(self, of: impl Fn(&Loads) -> T) -> T {
        self.0
            .with(|loads| loads.as_ref().map(&of).unwrap_or_default())
    }

    /// A figure that opens to its reason.
    pub(crate) fn figure(
        self,
        name: &'static str,
        label: &'static str,
        which: LoadFigure,
        say: impl Fn(&Loads) -> Option<(String, String)> + Send + Sync + Copy + 'static,
    ) -> Node {
        let said = move || self.of(move |l| say(l).unwrap_or_default());
        let value = Signal::derive(move || {
            let value = said().0;
            if value.is_empty() {
                strungwell_workshop::units::NO_FIGURE.to_owned()
            } else {
                value
            }
        });
        let range = Signal::derive(move || said().1);
        let reason: Signal<Option<Reason>> =
            Signal::derive(move || self.of(|l| load_reason(which, l, 0)));
        view! { <Figure name label=words(label) value range reason /> }
    }

    /// Sentences, one a paragraph.
    pub(crate) fn sentences(self, of: impl Fn(&Loads) -> Vec<String> + Copy + 'static) -> Node {
        view! {
            {move || self.of(of).into_iter().map(|text| view! { <p class="said-line">{text}</p> }).collect_view()}
        }
    }
}

/// What is missing for a part, or nothing.
fn missing(why: Option<String>) -> Node {
    match why {
        Some(why) if !why.is_empty() => view! { <p class="missing">{sentence(&why)}</p> },
        _ => Node::Nothing,
    }
}

/// The Loads section of the open instrument's sheet.
#[component]
pub(crate) fn LoadsSection() -> Node {
    let store = Store::here();
    let place = ElementRef::new();
    let bears = Bears::follow(store, place);
    let warnings = move || {
        let texts = bears.of(|l| {
            l.warnings
                .iter()
                .map(|w| w.text.clone())
                .collect::<Vec<_>>()
        });
        (!texts.is_empty()).then(|| {
            let one = |text: String| view! { <li><span class="mark" aria-hidden="true">"!"</span>{text}</li> };
            view! { <ul class="warnings">{texts.into_iter().map(one).collect_view()}</ul> }
        })
    };
    view! {
        <section id="loads" node_ref=place class="sheet-section" aria-labelledby="loads-title">
            <h2 id="loads-title">"Loads"</h2>
            {bridge::bridge(store, bears)}
            {neck::neck(store, bears)}
            {tuners::tuners(store, bears)}
            {tuners::warmth(store, bears)}
            {warnings}
        </section>
    }
}
