//! The Instrument section: the board, what the instrument is called, and its courses.

mod board;
mod courses;
mod owner;
mod title;
mod tuning;

pub(crate) use tuning::tuning_label;

use crate::fields::Scope;
use crate::markup::prelude::*;
use crate::store::Store;
use board::BoardFigure;
use courses::Courses;
use title::TitleBlock;
use tuning::TuningChooser;

/// The Instrument section of the open instrument's sheet.
#[component]
pub(crate) fn InstrumentSection() -> Node {
    // The course that the hand is at: its string is drawn in the colour of what is chosen.
    let at_course = RwSignal::new(None::<usize>);
    view! {
        <section id="instrument" class="sheet-section" aria-labelledby="instrument-title">
            <h2 id="instrument-title">"Instrument"</h2>
            <BoardFigure at_course />
            <TitleBlock />
            <h3>"Courses"</h3>
            <p class="hint">"From the player's bass side to the treble side, as they lie on the board."</p>
            <TuningChooser />
            <Courses at_course />
        </section>
    }
}

/// The id of the record that the fields belong to.
fn scope() -> String {
    use_context::<Scope>()
        .map(|scope| scope.0)
        .unwrap_or_default()
}

/// The open instrument's family, by its key or its kind.
fn family(store: Store) -> Memo<Option<&'static strungwell_workshop::families::Family>> {
    Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().and_then(strungwell_workshop::families::of))
    })
}
