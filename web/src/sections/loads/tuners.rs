//! Tuners and warmth: how fine a hand must be, and what a hot stage does.

use super::Bears;
use crate::fields::{FieldRow, Quantity, field_rows};
use crate::markup::prelude::*;
use crate::store::Store;
use crate::tables;
use strungwell_workshop::records::WarmReading;
use strungwell_workshop::report::loads::record::put_warm_reading;
use strungwell_workshop::report::loads::{LoadFigure, Loads};
use strungwell_workshop::units::{figure, signed};
use strungwell_workshop::words::sentence;

static FIELDS: [FieldRow; 3] = [
    FieldRow {
        name: "tuner_ratio",
        label: "Turns of the button for one of the post",
        quantity: Quantity::Number,
        of: ("tuner", "ratio"),
        get: |i| i.tuner.as_ref()?.ratio,
        set: |i, v| i.tuner.get_or_insert_default().ratio = v,
    },
    FieldRow {
        name: "tuner_post_mm",
        label: "The post's diameter",
        quantity: Quantity::Length,
        of: ("tuner", "post_mm"),
        get: |i| i.tuner.as_ref()?.post_mm,
        set: |i, v| i.tuner.get_or_insert_default().post_mm = v,
    },
    FieldRow {
        name: "tuner_slack_mm",
        label: "Slack left when stringing",
        quantity: Quantity::Length,
        of: ("tuner", "slack_mm"),
        get: |i| i.tuner.as_ref()?.slack_mm,
        set: |i, v| i.tuner.get_or_insert_default().slack_mm = v,
    },
];

/// A table whose rows come from the loads.
fn table(
    bears: Bears,
    label: &'static str,
    head: &'static [&'static str],
    rows: impl Fn(&Loads) -> Vec<Vec<String>> + Copy + 'static,
) -> Node {
    view! {
        {move || {
            let rows = bears.of(rows);
            (!rows.is_empty()).then(|| tables::table("loads-table", label, head, rows))
        }}
    }
}

pub(super) fn tuners(store: Store, bears: Bears) -> Node {
    view! {
        <h3>"Tuners"</h3>
        <div class="fields">{field_rows(store, &FIELDS)}</div>
        {table(bears, "Tuners of each course", &["Course", "Cents a degree", "Degrees a cent", "Friction peg, degrees a cent", "Turns to pitch"], |l| {
            let row = |t: &strungwell_workshop::report::loads::TunerReport| vec![
                t.note.clone(),
                figure(t.cents_per_degree, 2),
                figure(t.degrees_per_cent, 2),
                figure(t.friction_degrees_per_cent, 2),
                t.turns_to_pitch.map(|n| format!("{}{}", if t.strain_is_least { "at least " } else { "" }, figure(n, 1))).unwrap_or_default(),
            ];
            l.tuners.iter().filter(|t| t.missing.is_none()).map(row).collect()
        })}
        <dl class="figures">
            {bears.figure("cents_per_degree", "First course, a degree of the button", LoadFigure::CentsPerDegree, |l| {
                let t = l.tuners.first()?;
                let band = t.cents_per_degree_band.map(|[a, b]| format!("{}–{}", figure(a, 2), figure(b, 2)));
                Some((format!("{} cents", figure(t.cents_per_degree?, 2)), band.unwrap_or_default()))
            })}
            {bears.figure("turns_to_pitch", "Its turns to pitch", LoadFigure::TurnsToPitch, |l| {
                Some((figure(l.tuners.first()?.turns_to_pitch?, 1), String::new()))
            })}
        </dl>
        {bears.sentences(|l| l.tuners.iter().map(|t| t.missing.clone().unwrap_or_else(|| t.words.clone())).map(|text| sentence(&text)).take(1).collect())}
    }
}

pub(super) fn warmth(store: Store, bears: Bears) -> Node {
    let course = RwSignal::new(1_u32);
    let temp = RwSignal::new(None::<f64>);
    let cents = RwSignal::new(None::<f64>);
    let add = move |_| {
        if let (Some(temp_c), Some(read)) = (temp.get_untracked(), cents.get_untracked()) {
            let reading = WarmReading {
                course: course.get_untracked(),
                temp_c,
                cents: read,
                ..WarmReading::default()
            };
            store.edit_with_undo("Noted a reading at a temperature.", |i| {
                put_warm_reading(i, None, Some(reading));
            });
            cents.set(None);
        }
    };
    let kept = store.pick(|i| Some(i.warm_readings.len()));
    let clear = move |_| {
        store.edit_with_undo("Removed the readings at temperatures.", |i| {
            i.warm_readings.clear()
        });
    };
    view! {
        <h3>"Warmth"</h3>
        {table(bears, "Warmth and each course", &["Course", "Cents a degree Celsius", "10 °C warmer", "Where from"], |l| {
            let row = |c: &strungwell_workshop::report::loads::CourseWarmth| vec![
                c.note.clone(),
                signed(c.cents_per_k, 2),
                signed(c.stage_cents, 1),
                c.missing.clone().unwrap_or_else(|| c.source.clone()),
            ];
            l.temperature.iter().flat_map(|t| &t.courses).map(row).collect()
        })}
        {bears.sentences(|l| l.temperature.as_ref().map(|t| t.words.clone()).unwrap_or_default())}
        <div class="fields warm-reading">
            {super::super::entry::count("warm_course", "Course", course, ("warm reading", "course"))}
            {super::super::entry::number("warm_temp_c", "Temperature, °C", temp, ("warm reading", "temp_c"))}
            {super::super::entry::number("warm_cents", "Open string, cents", cents, ("warm reading", "cents"))}
            <p class="buttons"><button type="button" class="quiet small" data-deed="add-warm" disabled=move || temp.get().is_none() || cents.get().is_none() on:click=add>"Note this reading"</button></p>
        </div>
        <Show when=move || kept.get().unwrap_or(0) != 0>
            <p class="hint">{move || match kept.get() { Some(1) => "One reading noted. ".to_owned(), n => format!("{} readings noted. ", n.unwrap_or(0)) }}
                <button type="button" class="link" on:click=clear>"Remove them"</button></p>
        </Show>
    }
}
