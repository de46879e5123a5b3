//! The Visits section: what was done, and when; as found and as left over each other.

use super::hand_over::today;
use crate::fields::{Quantity, QuantityField, TextField, words};
use crate::markup::prelude::*;
use crate::store::{Store, new_id};
use strungwell_workshop::records::{CourseSetup, Instrument, Setup, Visit};
use strungwell_workshop::units::Units;
use strungwell_workshop::visits::{self, When, between, setup_at};

/// The Visits section of the open instrument's sheet.
#[component]
pub(crate) fn Visits() -> Node {
    let store = Store::here();
    // The newest first: the one on the bench stands on top.
    let ids = Memo::new(move |_| {
        store.instrument().with(|i| {
            let visits = i.iter().flat_map(|i| i.visits.iter().rev());
            visits.map(|visit| visit.id.clone()).collect::<Vec<_>>()
        })
    });
    let is_open = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.iter()
                .flat_map(|i| &i.visits)
                .any(|v| v.as_left.is_none())
        })
    });
    let begin = move |_| {
        store.attempt("Began a visit.", |i| {
            visits::open(i, new_id(), today()).map(drop)
        });
    };
    view! {
        <section id="visits" class="sheet-section" aria-labelledby="visits-title">
            <h2 id="visits-title">"Visits"</h2>
            <p class="hint">"Each time on the bench: how it was found, what was measured and said, how it was left. Photographs are not kept here."</p>
            <Show when=move || !is_open.get()>
                <p class="buttons">
                    <button type="button" class="main" data-deed="begin-visit" on:click=begin>"Begin a visit: keep the heights as found"</button>
                </p>
            </Show>
            <ol class="visit-list">
                <For each=move || ids.get() key=String::clone let:id>
                    <OneVisit id />
                </For>
            </ol>
        </section>
    }
}

/// The visit with this id.
fn visit<'a>(instrument: &'a Instrument, id: &str) -> Option<&'a Visit> {
    instrument.visits.iter().find(|visit| visit.id == id)
}

#[component]
fn OneVisit(id: String) -> Node {
    let store = Store::here();
    let id = StoredValue::new(id);
    let seen = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| id.with_value(|id| i.as_ref().and_then(|i| visit(i, id)).cloned()))
    });
    let edit = move |change: fn(&mut Visit, Typed), typed: Typed| {
        store.edit(|i| {
            if let Some(visit) = id.with_value(|id| i.visits.iter_mut().find(|v| v.id == *id)) {
                change(visit, typed);
            }
        });
    };
    let text = move |name: &'static str,
                     label: &'static str,
                     prose: bool,
                     of: fn(&Visit) -> &String,
                     set: fn(&mut Visit, Typed)| {
        let value = Signal::derive(move || {
            seen.with(|v| v.as_ref().map(|v| of(v).clone()).unwrap_or_default())
        });
        let on_change = Callback::new(move |text: String| edit(set, Typed::Text(text)));
        let name = format!("visit_{name}-{}", id.get_value());
        view! { <TextField name label=words(label) value on_change prose /> }
    };
    let number = move |name: &'static str,
                       label: &'static str,
                       of: fn(&Visit) -> Option<f64>,
                       set: fn(&mut Visit, Typed)| {
        let value = Signal::derive(move || seen.with(|v| v.as_ref().and_then(of)));
        let on_change = Callback::new(move |number: Option<f64>| edit(set, Typed::Number(number)));
        let key = format!("visit_{name}-{}", id.get_value());
        view! { <QuantityField name=key label=words(label) quantity=Quantity::Number value on_change of=("visit", name) /> }
    };
    let close = move |_| {
        store.attempt("Closed the visit.", |i| {
            id.with_value(|id| visits::close(i, id))
        });
    };
    let open_again = move |_| {
        store.attempt("Put the visit back on the bench.", |i| {
            id.with_value(|id| visits::reopen(i, id))
        });
    };
    let remove = move |_| {
        store.edit_with_undo("Removed a visit.", |i| {
            id.with_value(|id| i.visits.retain(|v| v.id != *id));
        });
    };
    let is_open =
        Memo::new(move |_| seen.with(|v| v.as_ref().is_some_and(|v| v.as_left.is_none())));
    let units = store.units();
    // Its two ends, or the end of the visit before and its beginning.
    let compared = move |since: bool| {
        let units = units.get();
        store.instrument().with(|i| {
            let i = i.as_ref()?;
            let at = id.with_value(|id| i.visits.iter().position(|v| v.id == *id))?;
            let this = i.visits.get(at)?;
            let (a, b, words) = if since {
                let last = i.visits.get(at.checked_sub(1)?)?;
                (
                    (last, When::Left),
                    (this, When::Found),
                    ["as left the time before", "as found"],
                )
            } else {
                let then = if this.as_left.is_none() {
                    "now"
                } else {
                    "as left"
                };
                ((this, When::Found), (this, When::Left), ["as found", then])
            };
            let notes: Vec<String> = i.courses.iter().map(|c| c.note.clone()).collect();
            let drawn = changes(
                setup_at(i, a)?,
                setup_at(i, b)?,
                &notes,
                units,
                words[0],
                words[1],
            );
            let said = between(i, a, b, units)
                .into_iter()
                .map(|c| view! { <li>{c.text}</li> });
            Some(view! { {drawn} <ul class="visit-said">{said.collect_view()}</ul> })
        })
    };
    let follows = move || {
        store.instrument().with(|i| {
            let first = i.iter().flat_map(|i| &i.visits).next();
            id.with_value(|id| first.is_some_and(|v| v.id != *id))
        })
    };
    let readings = move || seen.with(|v| v.as_ref().map_or(0, |v| v.readings.len()));
    view! {
        <li class="visit" class:open=move || is_open.get() data-visit=id.get_value()>
            <p class="visit-state">{move || if is_open.get() { "On the bench" } else { "Left the bench" }}</p>
            <div class="fields">
                {text("date", "Day", false, |v| &v.date, |v, t| v.date = t.text())}
                {number("temp_c", "Temperature, °C", |v| v.temp_c, |v, t| v.temp_c = t.number())}
                {number("rh_percent", "Humidity, %", |v| v.rh_percent, |v, t| v.rh_percent = t.number())}
            </div>
            {text("work", "Work done", true, |v| &v.work, |v, t| v.work = t.text())}
            {text("parts", "Parts used", true, |v| &v.parts, |v, t| v.parts = t.text())}
            {text("said", "What was said", true, |v| &v.said, |v, t| v.said = t.text())}
            {text("waits_for", "What it waits for", false, |v| &v.waits_for, |v, t| v.waits_for = t.text())}
            {text("note", "Anything else", true, |v| &v.note, |v, t| v.note = t.text())}
            {move || compared(false)}
            <Show when=follows>
                <details class="more" data-since=id.get_value()><summary>"What changed since the visit before"</summary>{move || compared(true)}</details>
            </Show>
            <p class="hint">{move || match readings() { 0 => String::new(), 1 => "One tuner's reading.".into(), n => format!("{n} tuner's readings.") }}</p>
            <p class="buttons">
                {move || if is_open.get() {
                    view! { <button type="button" class="main" data-deed="close-visit" on:click=close>"Close it: as it stands now is as left"</button> }
                } else {
                    view! { <button type="button" class="quiet small" on:click=open_again>"Put it back on the bench"</button> }
                }}
                <button type="button" class="quiet small" data-deed="remove-visit" on:click=remove>"Remove this visit"</button>
            </p>
        </li>
    }
}

/// What was typed in a field of a visit.
enum Typed {
    Text(String),
    Number(Option<f64>),
}

impl Typed {
    fn text(self) -> String {
        match self {
            Self::Text(text) => text,
            Self::Number(_) => String::new(),
        }
    }

    fn number(self) -> Option<f64> {
        match self {
            Self::Number(number) => number,
            Self::Text(_) => None,
        }
    }
}

/// A height of a course.
type Of = fn(&CourseSetup) -> Option<f64>;

/// What a drawing of changes compares: its title and the height that it takes of a course.
const COMPARED: [(&str, Of); 2] = [
    ("Gap at fret 1", |c| c.gap_1_mm),
    ("Gap at fret 12", |c| c.gap_12_mm),
];

const ROW: f64 = 26.0;
const HEAD: f64 = 50.0;
const WIDTH: f64 = 640.0;

/// A height before and after, or the one height where nothing moved.
fn said(a: Option<f64>, b: Option<f64>, units: Units, to: &str) -> String {
    match (a, b) {
        (Some(a), Some(b)) if (a - b).abs() >= 0.005 => {
            format!("{} {to} {}", units.length_number(a), units.length_number(b))
        }
        (_, b) => units.length_number(b),
    }
}

/// As found and as left over each other: an open ring where a string was found, a full one where it was left.
pub(super) fn changes(
    found: &Setup,
    left: &Setup,
    notes: &[String],
    units: Units,
    was: &str,
    then: &str,
) -> Node {
    let none = CourseSetup::default();
    let side = |of: Of, at: usize| {
        let of_setup = |setup: &Setup| of(setup.courses.get(at).unwrap_or(&none));
        (of_setup(found), of_setup(left))
    };
    let panel = |(which, (title, of)): (usize, (&'static str, Of))| {
        #[allow(clippy::cast_precision_loss)]
        let start = 60.0 + 300.0 * which as f64;
        let values = (0..notes.len()).map(|at| side(of, at));
        let most = values
            .clone()
            .flat_map(|(a, b)| [a, b])
            .flatten()
            .fold(0.0_f64, f64::max)
            .max(0.1);
        let x = move |mm: f64| start + 150.0 * (mm / most).clamp(0.0, 1.0);
        let row = |(at, (a, b)): (usize, (Option<f64>, Option<f64>))| {
            #[allow(clippy::cast_precision_loss)]
            let y = HEAD + ROW * (at as f64 + 0.5);
            let said = said(a, b, units, "→");
            let line = a
                .zip(b)
                .map(|(a, b)| view! { <line class="before-line" x1=x(a) x2=x(b) y1=y y2=y /> });
            let ring = a.map(|a| view! { <circle class="ring" cx=x(a) cy=y r="4.5" /> });
            let dot = b.map(|b| view! { <circle class="dot chosen" cx=x(b) cy=y r="3.2" /> });
            view! {
                <line class="ink-faint" x1=start x2=start + 150.0 y1=y y2=y />
                {line}{ring}{dot}
                <text class="dim-text" x=start + 160.0 y=y + 4.0>{said}</text>
            }
        };
        view! {
            <text class="strand-title" x=start y="18">{title}</text>
            <text class="dim-text" x=start y="39">{format!("0 to {}", units.length(most))}</text>
            {values.enumerate().map(row).collect_view()}
        }
    };
    let named = |(at, note): (usize, &String)| {
        #[allow(clippy::cast_precision_loss)]
        let y = HEAD + ROW * (at as f64 + 0.5) + 4.0;
        view! { <text class="note-text" x="4" y=y>{note.clone()}</text> }
    };
    let heard = notes.iter().enumerate().flat_map(|(at, note)| {
        COMPARED.map(|(title, of)| {
            let (a, b) = side(of, at);
            format!(
                "; {note}, {}: {}",
                title.to_lowercase(),
                said(a, b, units, "to")
            )
        })
    });
    let heard: String = heard.collect();
    #[allow(clippy::cast_precision_loss)]
    let height = HEAD + ROW * notes.len() as f64 + 4.0;
    let relief = |setup: &Setup| units.length(setup.relief_mm);
    view! {
        <figure class="visit-changes">
            <svg class="drawing" viewBox=format!("0 0 {WIDTH} {height:.0}") role="img" aria-label=format!("Heights {was} and {then}, in {}{heard}", units.length.sign())>
                {notes.iter().enumerate().map(named).collect_view()}
                {COMPARED.into_iter().enumerate().map(panel).collect_view()}
            </svg>
            <figcaption>{format!("Ring: {was}. Dot: {then}. Relief {} {was}, {} {then}.", relief(found), relief(left))}</figcaption>
        </figure>
    }
}
