//! Single frets that stand high or low against the board's smooth line.

use crate::fields::{LengthField, words};
use crate::markup::prelude::*;
use crate::opens::opened;
use crate::store::Store;
use strungwell_workshop::records::Instrument;

/// The list of fret tops, shown when asked for.
#[component]
pub(super) fn SingleTops() -> Node {
    let store = Store::here();
    let open = RwSignal::new(false);
    let count = store.pick(|i| Some(i.frets));
    let off = store.pick(|i| {
        Some(
            i.setup
                .fret_tops_mm
                .iter()
                .flatten()
                .filter(|top| **top != 0.0)
                .count(),
        )
    });
    let field = move |fret: u32| {
        let at = fret.saturating_sub(1) as usize;
        let value = store.pick(move |i| {
            i.setup
                .fret_tops_mm
                .as_ref()?
                .get(at)
                .copied()
                .filter(|top| *top != 0.0)
        });
        let on_change =
            Callback::new(move |mm: Option<f64>| store.edit(|i| set(i, at, mm.unwrap_or(0.0))));
        view! { <LengthField name=format!("fret_top-{fret}") label=words(format!("Fret {fret}")) of=("setup", "fret_tops_mm") value on_change /> }
    };
    view! {
        <details class="more" on:toggle=move |event| opened(open, &event)>
            <summary>
                "Single high or low frets"
                {move || off.get().filter(|n| *n > 0).map(|n| format!(" ({n})"))}
            </summary>
            {move || open.get().then(|| view! {
                <p class="hint">"How far each top stands above the board's smooth line; negative is below. Empty is level."</p>
                <div class="fields fret-tops">
                    {move || (1..=count.get().unwrap_or(0)).map(field).collect_view()}
                </div>
            })}
        </details>
    }
}

/// Sets one fret's top; a board whose tops are all level has no list.
fn set(instrument: &mut Instrument, at: usize, mm: f64) {
    let tops = instrument.setup.fret_tops_mm.get_or_insert_default();
    if tops.len() <= at {
        tops.resize(at + 1, 0.0);
    }
    if let Some(top) = tops.get_mut(at) {
        *top = mm;
    }
    if tops.iter().all(|top| *top == 0.0) {
        instrument.setup.fret_tops_mm = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_board_has_no_list() {
        let mut instrument = Instrument::default();
        set(&mut instrument, 4, 0.1);
        assert_eq!(
            instrument.setup.fret_tops_mm,
            Some(vec![0.0, 0.0, 0.0, 0.0, 0.1])
        );
        set(&mut instrument, 4, 0.0);
        assert_eq!(instrument.setup.fret_tops_mm, None);
    }
}
