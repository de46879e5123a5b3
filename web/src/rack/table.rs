//! The rack as a table of comma-separated values, out and in.

use crate::copies::save;
use crate::files::pick_file;
use crate::markup::prelude::*;
use crate::sections::hand_over::today;
use crate::store::Store;
use strungwell_workshop::rack::table::{Preview, Wrong, read, write};

#[component]
pub(super) fn RackTable() -> Node {
    let store = Store::here();
    let answer = RwSignal::new(None::<Result<Preview, Vec<Wrong>>>);
    let said = RwSignal::new(String::new());
    let out = move |_| {
        let text = store.rack().with_untracked(|rack| write(rack));
        save(&format!("strungwell-rack-{}.csv", today()), &text);
    };
    let take = Callback::new(move |text: Result<String, String>| {
        said.set(String::new());
        match text {
            Ok(text) => answer.set(Some(store.rack().with_untracked(|rack| read(&text, rack)))),
            Err(why) => said.set(format!("Not read: {why}.")),
        }
    });
    let apply = move |_| {
        let done = store.change_shop("Took a table into the rack.", |shop| {
            answer.with_untracked(|a| match a {
                Some(Ok(preview)) => preview.apply(shop),
                _ => Err("there is no table to take in".into()),
            })
        });
        answer.set(None);
        said.set(match done {
            Ok(()) => "The table is in the rack.".to_owned(),
            Err(why) => format!("Nothing was changed: {why}."),
        });
    };
    let shown = move || {
        answer.with(|a| match a {
            None => Node::Nothing,
            Some(Err(wrong)) => {
                let line = |w: &Wrong| view! { <li>{w.to_string()}</li> };
                view! {
                    <p class="message" role="alert"><span class="mark" aria-hidden="true">"!"</span>"Nothing was changed. Mend these lines and read the table again:"</p>
                    <ul data-list="wrong-lines">{wrong.iter().map(line).collect_view()}</ul>
                }
            }
            Some(Ok(preview)) => {
                let names = |label: &'static str, names: Vec<String>| {
                    (!names.is_empty()).then(|| view! { <p class="hint">{format!("{label}: {}", names.join("; "))}</p> })
                };
                view! {
                    <p class="said-line" data-note="preview">{preview.text()}</p>
                    {names("New", preview.added.iter().map(|s| s.name.clone()).collect())}
                    {names("Changed", preview.changed.iter().map(|(_, s)| s.name.clone()).collect())}
                    <p class="buttons">
                        <button type="button" class="main small" data-deed="take-table" on:click=apply>"Take it into the rack"</button>
                        <button type="button" class="quiet small" on:click=move |_| answer.set(None)>"Leave it"</button>
                    </p>
                }
            }
        })
    };
    view! {
        <details class="more rack-table">
            <summary>"The rack as a table"</summary>
            <p class="hint">"Comma-separated values, one string a line: columns in any order, the unit in the heading, such as \"diameter (mm)\" or \"diameter (in)\"."</p>
            <p class="buttons">
                <button type="button" class="quiet small" data-deed="write-table" on:click=out>"Write the rack to a table"</button>
                {pick_file("rack-table", "Read a table:", ".csv,text/csv,text/plain", take)}
            </p>
            <p role="status">{said}</p>
            {shown}
        </details>
    }
}
