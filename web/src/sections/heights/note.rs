//! The finger at a fret: what the note there asks for and gives, each figure opening to its reason.

use super::hand::Hand;
use crate::explain::Figure;
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::report::{FretFigures, NoteFigure, NoteSide, note_reason};
use strungwell_workshop::units::{NO_FIGURE, Units, signed};

/// How many reasons of blocked notes are told at once.
const TOLD: usize = 3;

/// The figures, their labels and words for tests and styles.
const LINES: [(NoteFigure, &str, &str); 5] = [
    (NoteFigure::Finger, "Finger's force", "note_finger"),
    (NoteFigure::Cents, "Sharp or flat", "note_cents"),
    (NoteFigure::HeadroomForce, "Headroom", "note_headroom_n"),
    (
        NoteFigure::Headroom,
        "Headroom as a height",
        "note_headroom_mm",
    ),
    (NoteFigure::Gap, "Gap, string open", "note_gap"),
];

/// A figure of a note as text, and its range where it has one.
fn say(which: NoteFigure, f: &FretFigures, units: Units) -> (String, String) {
    let cents = |c: Option<f64>| match signed(c, 1) {
        none if none == NO_FIGURE => none,
        some => format!("{some} cents"),
    };
    match which {
        NoteFigure::Finger => (units.force(f.finger_n), String::new()),
        NoteFigure::Cents => (
            cents(f.cents),
            f.cents_band
                .filter(|_| f.fret > 0)
                .map_or_else(String::new, |[low, high]| {
                    format!("{} to {}", signed(low, 1), signed(high, 1))
                }),
        ),
        NoteFigure::HeadroomForce => (units.force(f.headroom_n), String::new()),
        NoteFigure::Headroom => (units.length(f.headroom_mm), String::new()),
        NoteFigure::Gap => (units.length(f.gap_mm), String::new()),
    }
}

/// The panel of the pressed note.
#[component]
pub(super) fn NotePanel() -> Node {
    let store = Store::here();
    let hand = Hand::here();
    let units = store.units();
    let figures = Memo::new(move |_| {
        let at = hand.fret.get();
        hand.frets
            .with(|all| all.iter().find(|f| f.fret == at).cloned())
    });
    let note = Memo::new(move |_| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => view.note.clone(),
            _ => None,
        })
    });
    let blocked = Memo::new(move |_| {
        hand.view.with(|v| match v {
            Some(Ok(view)) => view.blocked.clone(),
            _ => None,
        })
    });
    let line = move |(which, label, name): (NoteFigure, &'static str, &'static str)| {
        let said = Memo::new(move |_| {
            figures.with(|f| {
                f.as_ref().map_or_else(
                    || (NO_FIGURE.to_owned(), String::new()),
                    |f| say(which, f, units.get()),
                )
            })
        });
        let value = Signal::derive(move || said.get().0);
        let range = Signal::derive(move || said.get().1);
        let why = Signal::derive(move || {
            note.with(|n| figures.with(|f| Some(note_reason(which, n.as_ref()?, f.as_ref()?))))
        });
        view! { <Figure name label=Signal::stored(label.to_owned()) value range reason=why /> }
    };
    view! {
        <div class="note-panel">
            <FingerSlider />
            <dl class="figures">{LINES.into_iter().map(line).collect_view()}</dl>
            <p class="note-words" aria-live="polite">
                {move || match blocked.get() {
                    Some(why) => view! {
                        <span class="message" data-note="blocked"><span class="mark" aria-hidden="true">"✕"</span>"This note cannot sound: " {why} "."</span>
                    },
                    None => view! { {note.get().map(|n| words(&n, units.get()))} },
                }}
            </p>
        </div>
        <BlockedNotes />
    }
}

/// What there is to say of a note beside its figures.
fn words(note: &NoteSide, units: Units) -> String {
    let mut said = Vec::new();
    let pluck = units.force(note.workings.pluck_n);
    said.push(match (note.nearest, note.is_clear) {
        (None, _) => "No fret lies ahead that the string could touch.".to_owned(),
        (Some((fret, _)), true) => {
            format!("A pluck of {pluck} stays clear of the frets; the nearest is fret {fret}.")
        }
        (Some((fret, _)), false) => {
            format!("A pluck of {pluck} makes it buzz, first on fret {fret}.")
        }
    });
    if let (true, Some(most)) = (note.chatters, note.workings.chatter_n) {
        said.push(format!(
            "Pressed so lightly it chatters on its own fret from {} on: press harder or nearer the fret.",
            units.force(most)
        ));
    }
    if note.on_wood {
        said.push("The string lies on the wood under the finger.".to_owned());
    }
    said.join(" ")
}

/// The finger, moved from fret to fret.
#[component]
fn FingerSlider() -> Node {
    let hand = Hand::here();
    let first = move || hand.span().0;
    let last = move || hand.span().1;
    let said = Signal::derive(move || match hand.fret.get() {
        0 => "open string".to_owned(),
        fret => format!("fret {fret}"),
    });
    // The slider's own count starts at the course's nut.
    let value = move || hand.fret.get().saturating_sub(first()).to_string();
    let on_input = move |event: web_sys::Event| {
        let at: u32 = event_target_value(&event).parse().unwrap_or(0);
        hand.press(if at == 0 { 0 } else { at + first() });
    };
    view! {
        <div class="finger-slider">
            <label for="finger-fret">"Finger at "<strong class="num" data-figure="finger_at">{said}</strong></label>
            <input id="finger-fret" type="range" min="0" step="1" max=move || last().saturating_sub(first()).to_string()
                prop:value=value aria-valuetext=said on:input=on_input />
        </div>
    }
}

/// The notes that cannot sound, in words; all of them stand in the table.
#[component]
fn BlockedNotes() -> Node {
    let hand = Hand::here();
    let blocked = Memo::new(move |_| {
        hand.frets.with(|all| {
            all.iter()
                .filter_map(|f| Some((f.fret, f.blocked.clone()?)))
                .collect::<Vec<(u32, String)>>()
        })
    });
    view! {
        <Show when=move || blocked.with(|b| !b.is_empty())>
            <ul class="warnings" data-heights="blocked" aria-label="Notes that cannot sound">
                {move || {
                    let all = blocked.get();
                    let more = all.len().saturating_sub(TOLD);
                    let told = all.into_iter().take(TOLD).map(|(fret, why)| {
                        let which = if fret == 0 { "Open string".to_owned() } else { format!("Fret {fret}") };
                        view! { <li data-code="blocked"><span class="mark" aria-hidden="true">"✕"</span>{which} ": " {why} "."</li> }
                    }).collect_view();
                    view! {
                        {told}
                        {(more > 0).then(|| view! { <li>{format!("And {more} more; the table below has each with its reason.")}</li> })}
                    }
                }}
            </ul>
        </Show>
    }
}
