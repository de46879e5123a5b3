//! The same strings at another tuning, scale or pitch standard, and what they can bear.

use super::{against, refusal, verdict};
use crate::fields::{ChoiceField, words};
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use crate::tables::table;
use strungwell_workshop::sets::retune::{
    Retuned, Retuning, changed, retuned, scale_that_feels, tunings,
};
use strungwell_workshop::units::{Units, figure, signed};

pub(super) fn retune(store: Store) -> Node {
    let notes = RwSignal::new(store.instrument().with_untracked(|i| {
        i.iter()
            .flat_map(|i| &i.courses)
            .map(|c| c.note.clone())
            .collect::<Vec<_>>()
            .join(" ")
    }));
    let scale = RwSignal::new(None::<f64>);
    let a4 = RwSignal::new(None::<f64>);
    let units = store.units();
    let asked = move || Retuning {
        notes: Some(notes.get().split_whitespace().map(str::to_owned).collect()),
        scale_mm: scale.get(),
        a4_hz: a4.get(),
    };
    let answer = move || {
        let instrument = store.instrument().get()?;
        let found = store
            .rack()
            .with(|rack| retuned(&instrument, rack, &asked(), units.get()));
        Some(match found {
            Ok(found) => after(&found, units.get()),
            Err(why) => refusal(&why),
        })
    };
    let bears = move || {
        let instrument = store.instrument().get()?;
        let found = store
            .rack()
            .with(|rack| tunings(&instrument, rack, units.get()));
        Some(match found {
            Ok(all) => {
                let rows = all.into_iter().map(|t| {
                    vec![
                        t.label,
                        t.notes.join(" "),
                        units.get().force(t.total_n),
                        verdict(t.verdict).to_owned(),
                        t.said,
                    ]
                });
                table(
                    "loads-table",
                    "Tunings that the set can bear",
                    &["Tuning", "Notes", "Together", "Verdict", "Why"],
                    rows.collect(),
                )
            }
            Err(why) => refusal(&why),
        })
    };
    let like = RwSignal::new(String::new());
    let others = super::none_or_other(store);
    let feels = move || {
        let id = like.get();
        let set = store.instrument().get()?;
        let other = store.other(&id)?;
        let said = store
            .rack()
            .with(|rack| scale_that_feels(&set, &other, rack, units.get()));
        Some(match said {
            Ok(found) => view! { <p class="said-line">{found.said}</p> },
            Err(why) => refusal(&why),
        })
    };
    let can = move || {
        store
            .instrument()
            .with(|i| i.as_ref().is_some_and(|i| changed(i, &asked()).is_ok()))
    };
    let take = move |_| {
        let next = store
            .instrument()
            .with_untracked(|i| i.as_ref().map(|i| changed(i, &asked())));
        if let Some(Ok(next)) = next {
            store.edit_with_undo("Tuned anew.", |i| *i = next);
        }
    };
    view! {
        <div class="fields">
            {entry::text("retune_notes", "Notes, from the bass side", notes)}
            {entry::length("retune_scale_mm", "Scale length; empty: as it is", scale, ("instrument", "scale_mm"))}
            {entry::number("retune_a4_hz", "A4, Hz; empty: as it is", a4, ("instrument", "a4_hz"))}
        </div>
        {answer}
        <p class="buttons"><button type="button" class="quiet small" data-deed="retune" disabled=move || !can() on:click=take>"Tune it so"</button></p>
        <h3>"What this set can bear"</h3>
        {bears}
        <h3>"The scale at which it feels like another"</h3>
        <div class="fields">
            <ChoiceField name="feels_like" label=words("As the strings feel on") value=like options=others
                on_change=Callback::new(move |id: String| like.set(id)) />
        </div>
        {feels}
    }
}

fn after(found: &Retuned, units: Units) -> Node {
    let rows = found.strings.iter().map(|s| {
        vec![
            format!("{} {}", s.course + 1, s.note_before),
            s.note_after.clone(),
            s.before.name.clone(),
            units.force(s.before.tension_n),
            units.force(s.after.tension_n),
            signed(s.change.map(|c| 100.0 * c), 0) + " %",
            s.after
                .breaking_fraction
                .map(|f| format!("{} %", figure(100.0 * f, 0)))
                .unwrap_or_default(),
            against(&s.findings),
        ]
    });
    view! {
        <p class="said-line">{found.said.clone()}</p>
        {table("loads-table", "The set before and after", &["Course", "Then", "String", "Tension", "Then", "Change", "Of breaking", "To know"], rows.collect())}
    }
}
