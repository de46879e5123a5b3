//! The Intonation section: the map of cents, the saddle from above, and what a tuner's readings say.

mod aim;
mod listen;
mod map;
mod readings;
mod saddle;
mod said;
mod table;

use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::near::{kept_near, near};
use crate::store::Store;
use aim::AimFields;
use listen::ByEar;
use map::Map;
use readings::ReadingsEntry;
use saddle::Saddle;
use said::Said;
use strungwell_workshop::report::saddle_view::{SaddleAim, SaddleView, saddle_view};

/// The Intonation section of the open instrument's sheet.
#[component]
pub(crate) fn Intonation() -> Node {
    let store = Store::here();
    let aim = RwSignal::new(SaddleAim::default());
    let place = ElementRef::new();
    let near = near(place);
    let view = kept_near(near, move || {
        let aim = aim.get();
        store.instrument().with(|instrument| {
            store.report().with(|report| match (instrument, report) {
                (Some(instrument), Some(report)) => saddle_view(instrument, report, &aim),
                _ => SaddleView {
                    aim,
                    strands: Vec::new(),
                    courses: Vec::new(),
                    offset_mm: None,
                    slant_mm: None,
                    sharpest: None,
                },
            })
        })
    });
    view! {
        <section id="intonation" node_ref=place class="sheet-section" aria-labelledby="intonation-title">
            <h2 id="intonation-title">"Intonation"</h2>
            <Map view />
            <h3>"The saddle from above"</h3>
            <AimFields aim />
            <Saddle view />
            <h3>"What the tuner says"</h3>
            <ByEar />
            <ReadingsEntry />
            <Said aim near />
        </section>
    }
}

/// A root mean square, as it is shown everywhere here.
fn rms(cents: Option<f64>) -> String {
    strungwell_workshop::units::figure(cents, 1)
}
