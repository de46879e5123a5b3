//! The figures of every fret, on request.

use super::hand::Hand;
use crate::markup::prelude::*;
use crate::opens::opened;
use crate::store::Store;
use strungwell_workshop::report::FretFigures;
use strungwell_workshop::units::{Units, signed};

/// The table of a string's notes.
#[component]
pub(super) fn FretTable() -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let open = RwSignal::new(false);
    let units = store.units();
    let heads = move || {
        let units = units.get();
        let (length, force) = (units.length.sign(), units.force.sign());
        view! {
            <tr>
                <th scope="col">"Fret"</th>
                <th scope="col">"Gap, " {length}</th>
                <th scope="col">"Finger, " {force}</th>
                <th scope="col">"Cents"</th>
                <th scope="col">"Range"</th>
                <th scope="col">"Headroom, " {length}</th>
                <th scope="col">"Headroom, " {force}</th>
                <th scope="col">"Touches first"</th>
            </tr>
        }
    };
    let rows = move || {
        let units = units.get();
        hand.frets
            .with(|all| all.iter().map(|f| row(f, units)).collect_view())
    };
    view! {
        <details class="more fret-table" on:toggle=move |event| opened(open, &event)>
            <summary>"Figures at every fret"</summary>
            {move || open.get().then(|| view! {
                <div class="table-scroll" tabindex="0" role="region" aria-label="Figures at every fret">
                    <table><thead>{heads}</thead><tbody>{rows}</tbody></table>
                </div>
            })}
        </details>
    }
}

fn row(f: &FretFigures, units: Units) -> Node {
    let name = if f.fret == 0 {
        "open".to_owned()
    } else {
        f.fret.to_string()
    };
    let gap = units.length_number(f.gap_mm);
    let fret = f.fret;
    match &f.blocked {
        Some(why) => view! {
            <tr data-fret=fret class="blocked-row">
                <th scope="row">{name}</th><td class="num">{gap}</td>
                <td colspan="6"><span class="mark" aria-hidden="true">"✕"</span>{why.clone()}</td>
            </tr>
        },
        None => {
            let range = f.cents_band.map_or_else(String::new, |[low, high]| {
                format!("{} to {}", signed(low, 1), signed(high, 1))
            });
            let touches = f
                .touches_fret
                .map_or_else(|| "–".to_owned(), |fret| fret.to_string());
            view! {
                <tr data-fret=fret>
                    <th scope="row">{name}</th>
                    <td class="num">{gap}</td>
                    <td class="num">{units.force_number(f.finger_n)}</td>
                    <td class="num">{signed(f.cents, 1)}</td>
                    <td class="num">{range}</td>
                    <td class="num">{units.length_number(f.headroom_mm)}</td>
                    <td class="num">{units.force_number(f.headroom_n)}</td>
                    <td class="num">{touches}</td>
                </tr>
            }
        }
    }
}
