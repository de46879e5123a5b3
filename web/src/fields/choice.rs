//! Fields to choose from.

use crate::markup::prelude::*;

/// One of several. `options` gives each one's word in the record and its label; a value that is none of them is shown as it
/// stands.
#[component]
pub(crate) fn ChoiceField(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<String>,
    #[prop(into)] options: Signal<Vec<(String, String)>>,
    on_change: Callback<String>,
    #[prop(into, default = Signal::stored(String::new()))] hint: Signal<String>,
) -> Node {
    let id = format!("field-{name}");
    let all = Memo::new(move |_| {
        let mut all = options.get();
        let value = value.get();
        if !all.iter().any(|(word, _)| *word == value) {
            all.push((
                value.clone(),
                if value.is_empty() {
                    "–".into()
                } else {
                    value
                },
            ));
        }
        all
    });
    let option = move |(word, label): (String, String)| {
        let own = word.clone();
        view! { <option value=word prop:selected=move || value.get() == own>{label}</option> }
    };
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <span class="entry">
                <select id=id.clone() data-field=name aria-describedby=format!("{id}-hint")
                    on:change=move |event| on_change.run(event_target_value(&event))>
                    {move || all.get().into_iter().map(option).collect_view()}
                </select>
            </span>
            <p class="hint" id=format!("{id}-hint")>{hint}</p>
        </div>
    }
}

/// Yes or no.
#[component]
pub(crate) fn Toggle(
    #[prop(into)] name: String,
    #[prop(into)] label: Signal<String>,
    #[prop(into)] value: Signal<bool>,
    on_change: Callback<bool>,
) -> Node {
    let id = format!("field-{name}");
    view! {
        <div class="field toggle">
            <input type="checkbox" id=id.clone() data-field=name prop:checked=value
                on:change=move |event| on_change.run(event_target_checked(&event)) />
            <label for=id>{label}</label>
        </div>
    }
}
