//! The map's numbers.

use crate::markup::prelude::*;
use crate::opens::opens;
use strungwell_workshop::report::saddle_view::SaddleView;
use strungwell_workshop::units::signed;

/// The numbers of the map, on request.
#[component]
pub(super) fn CentsTable(view: Signal<SaddleView>) -> Node {
    opens(
        "more numbers",
        Node::Text("The numbers of every note".into()),
        move || view! { <Numbers view /> },
    )
}

#[component]
fn Numbers(view: Signal<SaddleView>) -> Node {
    let heads = move || {
        view.with(|v| {
            v.strands
                .iter()
                .map(|s| {
                    let second = (s.string > 0).then(|| format!(" string {}", s.string + 1));
                    view! { <th scope="col">{s.note.clone()}{second}</th> }
                })
                .collect_view()
        })
    };
    let rows = move || {
        view.with(|v| {
            let most = v.strands.iter().flat_map(|s| s.notes.iter().map(|n| n.fret)).max().unwrap_or(0);
            (0..=most)
                .map(|fret| {
                    let cells = v
                        .strands
                        .iter()
                        .map(|strand| {
                            let note = strand.notes.iter().find(|n| n.fret == fret);
                            let now = signed(note.and_then(|n| n.now), 1);
                            let range = note.and_then(|n| n.band).map(|[a, b]| format!("{} to {}", signed(a, 1), signed(b, 1)));
                            let best = signed(note.and_then(|n| n.best), 1);
                            view! {
                                <td>
                                    <span class="now num" data-course=strand.course + 1 data-fret=fret>{now}</span>
                                    <span class="range num">{range}</span>
                                    <span class="then num"><span class="sr-only">"proposed "</span>"→ "{best}</span>
                                </td>
                            }
                        })
                        .collect_view();
                    view! {
                        <tr><th scope="row">{if fret == 0 { "open".to_owned() } else { fret.to_string() }}</th>{cells}</tr>
                    }
                })
                .collect_view()
        })
    };
    view! {
        <div class="table-scroll" tabindex="0" role="group" aria-label="Cents of every note">
            <table class="cents-table">
                <caption>"Cents sharp (+) or flat (−), their range, and → what is left at the proposed setbacks."</caption>
                <thead><tr><th scope="col">"Fret"</th>{heads}</tr></thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}
