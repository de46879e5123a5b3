//! The Playing in section: new strings that settle, and the machine that plays an instrument in.

mod drawn;

use super::entry;
use super::loads::Bears;
use crate::explain::Figure;
use crate::fields::{FieldRow, Quantity, TextField, field_rows, words};
use crate::listen::{Ear, Place, Work, plucks};
use crate::markup::ElementRef;
use crate::markup::prelude::*;
use crate::store::Store;
use drawn::{drawing, progress};
use strungwell_sound::strokes::{Rate, SPAN_S, Strokes};
use strungwell_workshop::records::{Instrument, Look, PlayingIn, StrokeCount};
use strungwell_workshop::report::loads::record::{
    begin_settling, change_strings_after_playing_in, hours_since_strung, put_count, put_look,
    start_playing_in, stop_playing_in, take_stroke_rate,
};
use strungwell_workshop::report::loads::{CourseSettling, LoadFigure, load_reason};
use strungwell_workshop::report::readings::{hundredths, to_hear};
use strungwell_workshop::units::{NO_FIGURE, figure};

static SETTLING: [FieldRow; 2] = [
    FieldRow {
        name: "settling_tolerance_cents",
        label: "Tune again when flat by, cents",
        quantity: Quantity::Number,
        of: ("settling", "tolerance_cents"),
        get: |i| Some(i.settling.as_ref()?.tolerance_cents),
        set: |i, v| {
            if let (Some(s), Some(v)) = (&mut i.settling, v) {
                s.tolerance_cents = v;
            }
        },
    },
    FieldRow {
        name: "settling_settled_cents_per_hour",
        label: "Settled below, cents an hour",
        quantity: Quantity::Number,
        of: ("settling", "settled_cents_per_hour"),
        get: |i| Some(i.settling.as_ref()?.settled_cents_per_hour),
        set: |i, v| {
            if let (Some(s), Some(v)) = (&mut i.settling, v) {
                s.settled_cents_per_hour = v;
            }
        },
    },
];

fn playing(i: &mut Instrument) -> &mut PlayingIn {
    i.playing_in.get_or_insert_default()
}

static PLAYING: [FieldRow; 4] = [
    FieldRow {
        name: "playing_target_strokes",
        label: "Strokes to have",
        quantity: Quantity::Number,
        of: ("playing in", "target_strokes"),
        get: |i| Some(i.playing_in.as_ref()?.target_strokes),
        set: |i, v| playing(i).target_strokes = v.unwrap_or(PlayingIn::default().target_strokes),
    },
    FieldRow {
        name: "playing_strokes_per_turn",
        label: "Strokes a turn",
        quantity: Quantity::Number,
        of: ("playing in", "strokes_per_turn"),
        get: |i| Some(i.playing_in.as_ref()?.strokes_per_turn),
        set: |i, v| playing(i).strokes_per_turn = v.unwrap_or(1.0),
    },
    FieldRow {
        name: "playing_turns_per_minute",
        label: "Turns a minute, counted",
        quantity: Quantity::Number,
        of: ("playing in", "turns_per_minute"),
        get: |i| Some(i.playing_in.as_ref()?.turns_per_minute),
        set: |i, v| playing(i).turns_per_minute = v.unwrap_or(60.0),
    },
    FieldRow {
        name: "playing_hours_per_day",
        label: "Hours a day",
        quantity: Quantity::Number,
        of: ("playing in", "hours_per_day"),
        get: |i| Some(i.playing_in.as_ref()?.hours_per_day),
        set: |i, v| playing(i).hours_per_day = v.unwrap_or(24.0),
    },
];

/// The Playing in section of the open instrument's sheet.
#[component]
pub(crate) fn PlayingInSection() -> Node {
    let store = Store::here();
    let place = ElementRef::new();
    let bears = Bears::follow(store, place);
    view! {
        <section id="playing-in" node_ref=place class="sheet-section" aria-labelledby="playing-in-title">
            <h2 id="playing-in-title">"Playing in"</h2>
            {settling(store, bears)}
            {machine(store, bears)}
        </section>
    }
}

/// A new string may have gone so flat, in cents; what is further away is another string.
const FARTHEST_CENTS: f64 = 250.0;

fn settling(store: Store, bears: Bears) -> Node {
    let is_watched = store.pick(|i| i.settling.as_ref().map(|_| true));
    let begin = move |_| {
        store.edit_with_undo("Began to watch new strings.", |i| {
            begin_settling(i, Store::clock());
        });
    };
    let course = RwSignal::new(1_u32);
    let hours = RwSignal::new(None::<f64>);
    let flat = RwSignal::new(None::<f64>);
    let add = move |retuned: bool| {
        let now = store
            .instrument()
            .with_untracked(|i| hours_since_strung(i.as_ref()?, Store::clock()));
        let (Some(hours), Some(flat_cents)) = (hours.get_untracked().or(now), flat.get_untracked())
        else {
            return;
        };
        let look = Look {
            course: course.get_untracked(),
            hours,
            flat_cents,
            retuned,
            ..Look::default()
        };
        store.edit_with_undo("Noted a look.", |i| put_look(i, None, Some(look)));
        flat.set(None);
    };
    let by_ear = move || {
        plucks(
            "listen-look",
            &["Pluck the open string of the course, the others damped."],
            move |heard| {
                let number = (course.get_untracked() as usize).wrapping_sub(1);
                let asked = store.instrument().with_untracked(|i| {
                    to_hear(i.as_ref().ok_or("no instrument is open")?, number)
                })?;
                let sharp = heard
                    .first()
                    .map_or(0.0, |heard| heard.cents_over(asked.open_hz));
                if sharp.abs() > FARTHEST_CENTS {
                    return Err(format!(
                        "That is not the open {} string: it is {} cents away.",
                        asked.note,
                        figure(sharp, 0)
                    ));
                }
                flat.set(Some(hundredths(-sharp)));
                Ok(())
            },
        )
    };
    let looks = store.pick(|i| Some(i.settling.as_ref()?.looks.clone()));
    let look_row = move |(at, look): (usize, Look)| {
        let remove =
            move |_| store.edit_with_undo("Removed a look.", |i| put_look(i, Some(at), None));
        let said = format!(
            "Course {}: {} cents flat after {} h{}",
            look.course,
            figure(look.flat_cents, 1),
            figure(look.hours, 2),
            if look.retuned { ", tuned again" } else { "" }
        );
        view! { <li>{said}" "<button type="button" class="link" on:click=remove>"Remove"</button></li> }
    };
    let drawn = move || bears.of(|l| l.settling.as_ref().and_then(drawing));
    let one = move |at: usize| {
        let of = move |what: fn(&CourseSettling) -> Option<String>| {
            Signal::derive(move || {
                bears
                    .of(|l| what(l.settling.as_ref()?.courses.get(at)?))
                    .unwrap_or_else(|| NO_FIGURE.to_owned())
            })
        };
        let why = move |which| Signal::derive(move || bears.of(|l| load_reason(which, l, at)));
        let note = move || bears.of(|l| Some(l.settling.as_ref()?.courses.get(at)?.note.clone()));
        let missing = move || bears.of(|l| l.settling.as_ref()?.courses.get(at)?.missing.clone());
        view! {
            <div class="settling-course">
                <p class="note">{note}</p>
                <dl class="figures">
                    <Figure name="settling_rate" label=words("Flatter each hour now") reason=why(LoadFigure::Settling)
                        value=of(|c| Some(format!("{} cents", figure(c.rate_now?, 2)))) />
                    <Figure name="settling_settled" label=words("Settled") reason=why(LoadFigure::SettledAt)
                        value=of(|c| c.settled_at.clone().or_else(|| Some(format!("after {} h", figure(c.settled_hours?, 1))))) />
                    <Figure name="settling_next" label=words("Tune again") reason=why(LoadFigure::NextRetune)
                        value=of(|c| { let Some(next) = c.schedule.first() else { return c.settled_hours.map(|_| "not needed".to_owned()) }; next.at.clone().or_else(|| Some(format!("after {} h", figure(next.hours, 1)))) }) />
                </dl>
                {move || missing().map(|why| view! { <p class="missing">{why}</p> })}
            </div>
        }
    };
    let courses = move || bears.of(|l| l.settling.as_ref().map_or(0, |s| s.courses.len()));
    let count = Memo::new(move |_| courses());
    view! {
        <h3>"New strings"</h3>
        <Show when=move || is_watched.get().is_none()>
            <p class="hint">"Note how flat new strings go, and the tool says when to tune again and when they have settled. It knows nothing of them beforehand."</p>
        </Show>
        {drawn}
        {bears.sentences(|l| l.settling.as_ref().map(|s| s.words.clone()).unwrap_or_default())}
        <div class="settling-courses">{move || (0..count.get()).map(one).collect_view()}</div>
        <Show when=move || is_watched.get().is_some()>
            <div class="fields">
                {entry::count("look_course", "Course", course, ("look", "course"))}
                {entry::number("look_hours", "Hours since at pitch; empty: now", hours, ("look", "hours"))}
                {entry::number("look_flat_cents", "Flat by, cents", flat, ("look", "flat_cents"))}
                <p class="buttons">
                    <button type="button" class="quiet small" data-deed="look-retuned" disabled=move || flat.get().is_none() on:click=move |_| add(true)>"Note it, tuned again"</button>
                    <button type="button" class="quiet small" data-deed="look" disabled=move || flat.get().is_none() on:click=move |_| add(false)>"Note it, left so"</button>
                </p>
            </div>
            {by_ear()}
            <div class="fields">{field_rows(store, &SETTLING)}</div>
            <details class="more"><summary>"What was noted"</summary>
                <ul>{move || looks.get().unwrap_or_default().into_iter().enumerate().map(look_row).collect_view()}</ul>
            </details>
        </Show>
        <p class="buttons">
            <button type="button" class="quiet small" data-deed="begin-settling" on:click=begin>
                {move || if is_watched.get().is_some() { "New strings again, just brought to pitch" } else { "New strings, just brought to pitch" }}
            </button>
        </p>
    }
}

fn machine(store: Store, bears: Bears) -> Node {
    let name = store.pick_text(|i| i.playing_in.as_ref().map_or("", |p| &p.machine));
    let on_name = Callback::new(move |text: String| store.edit(|i| playing(i).machine = text));
    let state = store.pick(|i| {
        let p = i.playing_in.as_ref()?;
        Some((
            p.started.is_some(),
            p.stopped.is_some(),
            p.strings_changed.is_some(),
        ))
    });
    let counted = RwSignal::new(None::<f64>);
    let count = move |_| {
        if let (Some(strokes), Some(at)) = (counted.get_untracked(), Store::clock().text()) {
            let reading = StrokeCount {
                at,
                strokes,
                ..StrokeCount::default()
            };
            store.edit_with_undo("Noted what the counter says.", |i| {
                put_count(i, None, Some(reading));
            });
            counted.set(None);
        }
    };
    let start = move |_| {
        store.edit_with_undo("Started playing in.", |i| {
            start_playing_in(i, Store::clock())
        })
    };
    let stop = move |_| {
        store.edit_with_undo("Stopped playing in.", |i| {
            stop_playing_in(i, Store::clock())
        })
    };
    let changed = move |_| {
        store.edit_with_undo("Noted the change of strings.", |i| {
            change_strings_after_playing_in(i, Store::clock());
        });
    };
    let deeds = move || match state.get() {
        Some((true, false, _)) => view! {
            <button type="button" class="quiet" data-deed="stop-playing" on:click=stop>"Stop it now"</button>
        },
        Some((true, true, false)) => view! {
            <button type="button" class="main" data-deed="strings-changed" on:click=changed>"The strings are changed"</button>
            <button type="button" class="quiet" on:click=start>"Start again from nothing"</button>
        },
        _ => {
            view! { <button type="button" class="main" data-deed="start-playing" on:click=start>"Start it now"</button> }
        }
    };
    let drawn = move || bears.of(|l| l.playing_in.as_ref().map(progress));
    view! {
        <h3>"On the machine"</h3>
        {drawn}
        <div class="fields">
            <TextField name="playing_machine" label=words("Which machine") value=name on_change=on_name />
            {field_rows(store, &PLAYING)}
        </div>
        {strokes(store)}
        <dl class="figures">
            {bears.figure("playing_strokes", "Strokes made", LoadFigure::Strokes, |l| {
                let p = l.playing_in.as_ref()?;
                Some((figure(p.strokes?, 0), p.share.map(|s| format!("{} %", figure(100.0 * s, 1))).unwrap_or_default()))
            })}
            {bears.figure("playing_done", "Done", LoadFigure::Strokes, |l| {
                let p = l.playing_in.as_ref()?;
                let whole = p.days.map(|d| format!("the whole takes {} days", figure(d, 1))).unwrap_or_default();
                Some((p.done_at.clone().unwrap_or_else(|| NO_FIGURE.to_owned()), whole))
            })}
        </dl>
        {bears.sentences(|l| l.playing_in.as_ref().map(|p| p.words.clone()).unwrap_or_default())}
        {move || bears.of(|l| l.playing_in.as_ref()?.missing.clone()).map(|why| view! { <p class="missing">{why}</p> })}
        <p class="buttons">{deeds}</p>
        <Show when=move || state.get().is_some_and(|(started, ..)| started)>
            <div class="fields">
                {entry::number("counted_strokes", "What its counter says now, strokes", counted, ("count", "strokes"))}
                <p class="buttons"><button type="button" class="quiet small" data-deed="count" disabled=move || counted.get().is_none() on:click=count>"Count from this reading"</button></p>
            </div>
        </Show>
    }
}

/// The machine's strokes, counted by ear over a minute.
fn strokes(store: Store) -> Node {
    let place = Place::new();
    let rate = RwSignal::new(None::<Rate>);
    let begin = move || {
        rate.set(None);
        let mut strokes = None;
        let mut seconds = 0.0;
        Ok(Box::new(move |ear: &mut Ear| {
            if strokes.is_none() {
                strokes = Strokes::new(ear.rate()).ok();
            }
            let Some(strokes) = &mut strokes else {
                place.stop_with("This sound card is too slow or too fast to count by.");
                return false;
            };
            if ear.missed() > 0.0 {
                if strokes.miss(ear.missed()) {
                    seconds += ear.missed() / ear.rate();
                } else {
                    seconds = 0.0;
                }
            }
            strokes.listen(ear.fresh());
            seconds += ear.fresh().len() as f64 / ear.rate();
            rate.set(strokes.rate());
            seconds >= SPAN_S
        }) as Work)
    };
    let said = move || match rate.get() {
        Some(found) => format!(
            "{} ± {} strokes a minute, from {} strokes in {} s.",
            figure(found.per_minute, 2),
            figure(found.sd_per_minute, 2),
            found.strokes,
            figure(found.span_s, 0)
        ),
        None if place.is_open() => {
            "Listening for the strokes; a minute gives the best rate.".into()
        }
        None => String::new(),
    };
    let take = move |_| {
        if let Some(found) = rate.get_untracked() {
            store.edit_with_undo("Took the rate heard.", |i| {
                take_stroke_rate(i, found.per_minute);
            });
        }
    };
    view! {
        {place.button("listen-strokes", "Count its strokes by ear", begin)}
        <p class="said-line num" data-figure="strokes_heard">{said}</p>
        <Show when=move || rate.with(Option::is_some)>
            <p class="buttons"><button type="button" class="quiet small" data-deed="take-strokes" on:click=take>"Take this rate"</button></p>
        </Show>
    }
}
