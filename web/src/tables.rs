//! A table of texts.

use crate::markup::prelude::*;

/// A table that is moved sideways where it is wider than the page. The label is what a screen reader calls it; the first cell
/// of a row is the row's head.
pub(crate) fn table(
    class: &'static str,
    label: &'static str,
    head: &[&str],
    rows: Vec<Vec<String>>,
) -> Node {
    let heads = head
        .iter()
        .map(|text| view! { <th scope="col">{(*text).to_owned()}</th> });
    let row = |row: Vec<String>| {
        let mut cells = row.into_iter();
        let first = cells.next().unwrap_or_default();
        view! { <tr><th scope="row">{first}</th>{cells.map(|text| view! { <td class="num">{text}</td> }).collect_view()}</tr> }
    };
    view! {
        <div class="table-scroll" tabindex="0" role="group" aria-label=label>
            <table class=class>
                <thead><tr>{heads.collect_view()}</tr></thead>
                <tbody>{rows.into_iter().map(row).collect_view()}</tbody>
            </table>
        </div>
    }
}
