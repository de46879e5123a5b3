//! Units and ground.

use crate::fields::{ChoiceField, words};
use crate::markup::prelude::*;
use crate::store::{Ground, Store};
use strungwell_workshop::units::{ForceUnit, LengthUnit};

const LENGTHS: [(LengthUnit, &str, &str); 2] = [
    (LengthUnit::Mm, "mm", "mm"),
    (LengthUnit::Inch, "inch", "inch"),
];
const FORCES: [(ForceUnit, &str, &str); 3] = [
    (ForceUnit::Newton, "n", "N"),
    (ForceUnit::Kgf, "kgf", "kgf"),
    (ForceUnit::Lbf, "lbf", "lbf"),
];

fn options<T>(rows: &[(T, &str, &str)]) -> Signal<Vec<(String, String)>> {
    Signal::stored(
        rows.iter()
            .map(|(_, word, label)| ((*word).to_owned(), (*label).to_owned()))
            .collect(),
    )
}

fn word_of<T: PartialEq>(rows: &[(T, &str, &str)], value: &T) -> String {
    rows.iter()
        .find(|row| row.0 == *value)
        .map(|row| row.1.to_owned())
        .unwrap_or_default()
}

/// The settings, behind one line that says how they stand.
#[component]
pub(crate) fn Preferences() -> Node {
    let store = Store::here();
    let settings = store.settings();
    let on_length = Callback::new(move |word: String| {
        if let Some(row) = LENGTHS.iter().find(|row| row.1 == word) {
            store.set(|settings| settings.units.length = row.0);
        }
    });
    let on_force = Callback::new(move |word: String| {
        if let Some(row) = FORCES.iter().find(|row| row.1 == word) {
            store.set(|settings| settings.units.force = row.0);
        }
    });
    let on_ground = Callback::new(move |word: String| {
        if let Some(row) = Ground::ALL.iter().find(|row| row.1 == word) {
            store.set(|settings| settings.ground = row.0);
        }
    });
    let stand =
        move || settings.with(|s| format!("{}, {}", s.units.length.sign(), s.units.force.sign()));
    view! {
        <details class="preferences">
            <summary><span class="words">"Units and ground"</span> " " <span class="stand num">{stand}</span></summary>
            <div class="fields">
                <ChoiceField name="unit-length" label=words("Lengths in") options=options(&LENGTHS) on_change=on_length
                    value=Signal::derive(move || settings.with(|s| word_of(&LENGTHS, &s.units.length))) />
                <ChoiceField name="unit-force" label=words("Forces in") options=options(&FORCES) on_change=on_force
                    value=Signal::derive(move || settings.with(|s| word_of(&FORCES, &s.units.force))) />
                <ChoiceField name="ground" label=words("Ground") options=options(&Ground::ALL) on_change=on_ground
                    value=Signal::derive(move || settings.with(|s| s.ground.word().to_owned())) />
            </div>
        </details>
    }
}
