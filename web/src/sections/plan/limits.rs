//! The shop's limits: wood, bone and wire that are not there, or must stay.

use super::plan;
use crate::fields::{FieldRow, Quantity, field_rows};
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::Store;
use strungwell_workshop::records::{Rocking, ShopLimits};

/// A limit that always has a value: an empty field puts the usual one back.
macro_rules! fixed {
    ($($field:ident $label:literal $quantity:ident),*) => {
        [$(FieldRow {
            name: concat!("limit_", stringify!($field)),
            label: $label,
            quantity: Quantity::$quantity,
            of: ("limits", stringify!($field)),
            get: |i| Some(i.plan.as_ref().map_or_else(|| ShopLimits::default().$field, |p| p.limits.$field)),
            set: |i, v| plan(i).limits.$field = v.unwrap_or_else(|| ShopLimits::default().$field),
        }),*]
    };
}

/// A limit that may be unknown.
macro_rules! open {
    ($($field:ident $label:literal $quantity:ident),*) => {
        [$(FieldRow {
            name: concat!("limit_", stringify!($field)),
            label: $label,
            quantity: Quantity::$quantity,
            of: ("limits", stringify!($field)),
            get: |i| i.plan.as_ref()?.limits.$field,
            set: |i, v| plan(i).limits.$field = v,
        }),*]
    };
}

static FIXED: [FieldRow; 9] = fixed![
    slot_floor_mm "Slots stay over fret-top level by" Length,
    saddle_least_mm "Strings over the bridge's top, least" Length,
    saddle_most_mm "Strings over the bridge's top, most" Length,
    tie_below_mm "Held below the bridge's top by" Length,
    break_least_deg "Least fall behind the saddle, °" Number,
    relief_least_mm "Least relief" Length,
    relief_most_mm "Most relief" Length,
    crown_least_mm "Least crown left on a dressed fret" Length,
    fret_high_mm "A fret is high from" Length
];

static OPEN: [FieldRow; 7] = open![
    bridge_top_mm "Bridge's top over the line of the fret tops" Length,
    gap_12_most_mm "Most gap at fret 12" Length,
    tie_behind_mm "Held behind the saddle by" Length,
    blank_front_mm "Setback of the saddle blank's front edge" Length,
    blank_mm "Width of the blank" Length,
    saddle_spread_mm "Outer courses apart at the saddle" Length,
    saddle_radius_mm "Crown to be filed to the radius" Length
];

pub(super) fn limits(store: Store) -> Node {
    let fret = RwSignal::new(1_u32);
    let gap = RwSignal::new(None::<f64>);
    let add = move |_| {
        if let Some(gap_mm) = gap.get_untracked() {
            let reading = Rocking {
                fret: fret.get_untracked(),
                gap_mm,
                ..Rocking::default()
            };
            store.edit_with_undo("Noted a reading of the rocker.", |i| {
                let rocking = &mut plan(i).rocking;
                rocking.retain(|r| r.fret != reading.fret);
                rocking.push(reading);
            });
            gap.set(None);
        }
    };
    let kept = store.pick(|i| Some(i.plan.as_ref()?.rocking.clone()));
    let row = move |r: Rocking| {
        let at = r.fret;
        let remove = move |_| {
            store.edit_with_undo("Removed a reading of the rocker.", |i| {
                plan(i).rocking.retain(|r| r.fret != at);
            });
        };
        view! {
            <li>{format!("Fret {at}: ")}{move || store.units().get().length(r.gap_mm)}" "<button type="button" class="link" on:click=remove>"Remove"</button></li>
        }
    };
    view! {
        <details class="more">
            <summary>"What stops the shop: limits"</summary>
            <p class="hint">"The usual values are common practice, from memory; set your own. An empty length was not measured, and then does not stop the plan."</p>
            <div class="fields">{field_rows(store, &OPEN)}{field_rows(store, &FIXED)}</div>
        </details>
        <details class="more">
            <summary>"High frets by rocking a short straightedge"</summary>
            <p class="hint">"Lay it over three frets. Where it rocks on the middle one, hold it on that one and the one before, and feel the gap under the other end."</p>
            <div class="fields">
                {entry::count("rocking_fret", "Middle fret", fret, ("rocker reading", "fret"))}
                {entry::length("rocking_gap_mm", "Gap under the far end", gap, ("rocker reading", "gap_mm"))}
                <p class="buttons"><button type="button" class="quiet small" data-deed="add-rocking" disabled=move || gap.get().is_none() on:click=add>"Note it"</button></p>
            </div>
            <ul>{move || kept.get().unwrap_or_default().into_iter().map(row).collect_view()}</ul>
        </details>
    }
}
