//! Show a player: one note at two setups, seen, felt and heard, without the bench round it.

mod share;
mod side;
mod sound;
mod tour;

use crate::app::focus_on;
use crate::markup::prelude::*;
use crate::store::{Place, Store};
use leptos::ev::{self, Event, KeyboardEvent};
use share::Share;
use sound::Player;
use strungwell_workshop::link;
use strungwell_workshop::records::{Instrument, RackString};
use strungwell_workshop::show::{
    Felt, Side, Which, can_be_heard, chord, compared, felt, first_chord, fourth, sides, with_action,
};

type Feeling = Result<Felt, String>;

/// What is on show. A handle.
#[derive(Clone, Copy)]
struct Stage {
    store: Store,
    rack: StoredValue<Vec<RackString>>,
    /// The setups of the instrument itself.
    own: StoredValue<Vec<Side>>,
    /// The other instruments of the bench, id and name; each is read when it is chosen.
    others: StoredValue<Vec<(String, String)>>,
    /// The places of the two setups: among its own, or after them among the others.
    sides: RwSignal<[usize; 2]>,
    /// The instruments so set up; none where a record cannot be read.
    chosen: [Memo<Option<Instrument>>; 2],
    course: RwSignal<usize>,
    fret: RwSignal<u32>,
    /// The first setup's gap at the twelfth fret, where it was moved.
    action: RwSignal<Option<f64>>,
    pluck: RwSignal<f64>,
    /// The chord: a fret for each course, none for one that is not played.
    chord: RwSignal<Vec<Option<u32>>>,
    width: RwSignal<f64>,
    felt: [Memo<Feeling>; 2],
    player: Player,
    /// The setup whose string swings, and the seconds since its pluck.
    swing: RwSignal<Option<(usize, f64)>>,
    /// How often a string was plucked.
    plucks: StoredValue<u32>,
}

impl Stage {
    /// The instrument as one of the two setups has it, followed as it changes.
    fn instrument(self, at: usize) -> Result<Instrument, String> {
        set_up(
            self.chosen[at],
            self.course.get(),
            self.action.get().filter(|_| at == 0),
            self.pluck.get(),
        )
    }

    /// Which setup is on a side.
    fn which(self, at: usize) -> Which {
        let place = self.sides.get()[at];
        let which = self.own.with_value(|own| own.get(place).map(|s| s.which));
        match which {
            Some(_) if at == 0 && self.action.get().is_some() => Which::Tried,
            which => which.unwrap_or(Which::Other),
        }
    }

    fn felt_at(self, at: usize) -> Feeling {
        self.felt[at].get()
    }

    fn press(self, fret: u32) {
        if self.fret.get_untracked() != fret {
            self.fret.set(fret);
        }
    }

    fn pluck_note(self, at: usize, in_tune: bool) {
        let mut frets = vec![None; self.course.get_untracked()];
        frets.push(Some(self.fret.get_untracked()));
        self.play(at, &frets, in_tune);
        let this = self.plucks.get_value().wrapping_add(1);
        self.plucks.set_value(this);
        let is_still = window().match_media("(prefers-reduced-motion: reduce)");
        if !in_tune && !is_still.ok().flatten().is_some_and(|m| m.matches()) {
            self.swing_on(at, this, js_sys::Date::now());
        }
    }

    /// Draws the string as it is now, and again at the next frame, until it has died away or another is plucked.
    fn swing_on(self, at: usize, this: u32, from_ms: f64) {
        if self.plucks.try_get_value() != Some(this) {
            return;
        }
        let seconds = (js_sys::Date::now() - from_ms) / 1000.0;
        if seconds > sound::RINGS_S {
            return self.swing.set(None);
        }
        self.swing.set(Some((at, seconds)));
        request_animation_frame(move || self.swing_on(at, this, from_ms));
    }

    fn hold(self, sides: [usize; 2], course: usize, action: Option<f64>) {
        self.action.set(action);
        self.course.set(course);
        self.sides.set(sides);
    }

    fn play(self, at: usize, frets: &[Option<u32>], in_tune: bool) {
        let notes = untrack(|| {
            let shown = self.instrument(at)?;
            self.rack.with_value(|rack| chord(&shown, rack, frets))
        });
        self.player.play(notes, in_tune);
    }
}

fn set_up(
    chosen: Memo<Option<Instrument>>,
    course: usize,
    action: Option<f64>,
    pluck_n: f64,
) -> Result<Instrument, String> {
    let mut shown = chosen
        .get()
        .ok_or("the record of this instrument cannot be read")?;
    if let Some(gap) = action {
        with_action(&mut shown, course, gap);
    }
    shown.pluck.force_n = pluck_n;
    Ok(shown)
}

/// What an address shows: the setups of an instrument of the bench and the rack, or those of a link.
fn subject(store: Store, what: &str) -> Result<(Vec<Side>, Vec<RackString>), String> {
    if let Some(instrument) = store.other(what) {
        let rack = store.rack().get();
        return Ok((sides(&instrument, Which::Now, &rack, None), rack));
    }
    let shown = link::decode(what).map_err(|why| why.to_string())?;
    let other = shown.other.as_ref().map(|(which, setup)| (*which, setup));
    let own = sides(&shown.instrument, shown.which, &[], other);
    Ok((own, Vec::new()))
}

/// The view for a player of an instrument of the bench, or of a link.
#[component]
pub(crate) fn ShowPlayer(what: String) -> Node {
    let store = Store::here();
    match untrack(|| subject(store, &what)) {
        Ok((own, rack)) => shown(store, what, own, rack),
        Err(why) => view! {
            <article class="sheet welcome">
                <h1>"Nothing to show"</h1>
                <p class="lead" data-show="refused">"Sorry: " {why} "."</p>
                <p class="buttons"><a class="main" href=move || store.address(Place::Home)>"To the start"</a></p>
            </article>
        },
    }
}

fn shown(store: Store, what: String, own: Vec<Side>, rack: Vec<RackString>) -> Node {
    let Some(instrument) = own.first().map(|side| side.instrument.clone()) else {
        return Node::Nothing;
    };
    let is_of_bench = instrument.id == what;
    let bench = store.bench().get_untracked();
    let others: Vec<(String, String)> = bench
        .into_iter()
        .filter(|entry| is_of_bench && entry.id != what)
        .map(|entry| (entry.id, entry.name))
        .collect();
    let mine = own.len();
    let fourth = fourth(&own);
    let second = usize::from(mine + others.len() > 1);
    let (own, others) = (StoredValue::new(own), StoredValue::new(others));
    let rack = StoredValue::new(rack);
    let sides = RwSignal::new([0, second]);
    let course = RwSignal::new(
        instrument.courses.len().min(2) - usize::from(!instrument.courses.is_empty()),
    );
    let fret = RwSignal::new(5_u32.min(instrument.frets));
    let action = RwSignal::new(None::<f64>);
    let pluck = RwSignal::new(instrument.pluck.force_n);
    let chosen = [0, 1].map(|at| {
        Memo::new(move |_| {
            let place = sides.get()[at];
            if let Some(shown) = own.with_value(|own| Some(own.get(place)?.instrument.clone())) {
                return Some(shown);
            }
            let id = others.with_value(|all| Some(all.get(place - mine)?.0.clone()))?;
            let mut shown = untrack(|| store.other(&id))?;
            shown.visits.clear();
            Some(shown)
        })
    });
    let felt = [0, 1].map(|at| {
        Memo::new(move |_| {
            let moved = action.get().filter(|_| at == 0);
            let shown = set_up(chosen[at], course.get(), moved, pluck.get())?;
            rack.with_value(|rack| {
                felt(&shown, rack, course.get(), fret.get(), store.units().get())
            })
        })
    });
    let stage = Stage {
        store,
        rack,
        own,
        others,
        sides,
        chosen,
        course,
        fret,
        action,
        pluck,
        chord: RwSignal::new(first_chord(&instrument)),
        width: RwSignal::new(width()),
        felt,
        player: Player::new(),
        swing: RwSignal::new(None),
        plucks: StoredValue::new(0),
    };
    let on_resize = window_event_listener(ev::resize, move |_| stage.width.set(width()));
    on_cleanup(move || on_resize.remove());
    let notes: Vec<String> = instrument.courses.iter().map(|c| c.note.clone()).collect();
    let frets = instrument.frets;
    let gap = move || {
        stage
            .action
            .get()
            .or_else(|| stage.felt_at(0).ok()?.gap_12_mm)
    };
    let back = if is_of_bench {
        Place::Instrument(what)
    } else {
        Place::Home
    };
    let player = stage.player;
    let string = move |(at, note): (usize, &String)| {
        view! {
            <button type="button" class="note-button" data-course=at + 1 aria-pressed=move || if course.get() == at { "true" } else { "false" }
                on:click=move |_| { action.set(None); course.set(at); }>{note.clone()}</button>
        }
    };
    let apart = move || {
        let (a, b) = (stage.felt_at(0).ok()?, stage.felt_at(1).ok()?);
        let heard = can_be_heard(a.figures.as_ref()?.cents?, b.figures.as_ref()?.cents?);
        Some(format!("{} {heard}", compared(&a, &b, store.units().get())))
    };
    let leave = back.clone();
    let close = move |event: KeyboardEvent| {
        if event.key() == "Escape" {
            store.go(leave.clone());
        }
    };
    Effect::new(move |_| focus_on("show-title"));
    view! {
        <article class="sheet player" aria-labelledby="show-title" on:keydown=close>
            <header class="show-head">
                <h1 id="show-title" tabindex="-1">"Why the height of the strings matters"</h1>
                {slider("show_volume", "Volume", (0.0, 1.0, 0.05), move || Some(player.volume.get()),
                    move || format!("{:.0} %", 100.0 * player.volume.get()), move |share| player.louder(share))}
                <p class="buttons">
                    <button type="button" class="quiet" data-deed="mute" aria-pressed=move || if player.muted.get() { "true" } else { "false" }
                        on:click=move |_| player.mute()>{move || if player.muted.get() { "Muted" } else { "Mute" }}</button>
                    <a class="quiet small" href=move || store.address(back.clone())>"Close"</a>
                </p>
            </header>
            {tour::tour(stage)}
            <div class="note-buttons" role="group" aria-label="String">{notes.iter().enumerate().map(string).collect_view()}
                {fourth.map(|fourth| view! {
                    <button type="button" class="quiet" on:click=move |_| stage.hold([0, fourth], 0, None)>"The low fourth against the high one"</button>
                })}
            </div>
            <div class="show-controls">
                {slider("show_fret", "Where the finger presses", (0.0, f64::from(frets), 1.0), move || Some(f64::from(fret.get())),
                    move || if fret.get() == 0 { "open".into() } else { format!("fret {}", fret.get()) },
                    move |at| if let Some(at) = (0..=frets).find(|n| f64::from(*n) >= at) { stage.press(at); })}
                {slider("show_action", "Height of the strings on the first", (0.4, 5.0, 0.05), gap,
                    move || gap().map_or_else(|| "not measured under this string".into(), |mm| store.units().get().length(mm)), move |mm| action.set(Some(mm)))}
                {slider("show_pluck", "How hard it is plucked", (0.2, 8.0, 0.1), move || Some(pluck.get()),
                    move || store.units().get().force(pluck.get()), move |n| pluck.set(n))}
            </div>
            <p class="hint">"Draw the finger along the neck, and touch the string between neck and bridge to pluck it; or use the sliders and buttons."</p>
            <div class="show-sides">{side::side(stage, 0)}{side::side(stage, 1)}</div>
            <p class="said-line" data-show="apart">{apart}</p>
            {chords(stage, &notes, frets)}
            <p class="message" role="status">{move || player.why_not.get()}</p>
            <Share stage />
        </article>
    }
}

/// The width that one neck is drawn for.
fn width() -> f64 {
    let all = window()
        .inner_width()
        .ok()
        .and_then(|w| w.as_f64())
        .unwrap_or(800.0);
    if all >= 900.0 {
        (all.min(1500.0) - 150.0) / 2.0
    } else {
        all - 50.0
    }
}

/// A slider; without a value it cannot be moved.
fn slider(
    name: &'static str,
    label: &'static str,
    (low, high, step): (f64, f64, f64),
    value: impl Fn() -> Option<f64> + Copy + 'static,
    says: impl Fn() -> String + Clone + 'static,
    put: impl Fn(f64) + 'static,
) -> Node {
    let spoken = says.clone();
    let slide = move |event: Event| {
        if let Ok(value) = event_target_value(&event).parse() {
            put(value);
        }
    };
    view! {
        <div class="field">
            <label for=name>{label} ": " <span class="num">{says}</span></label>
            <input id=name type="range" min=low max=high step=step data-field=name prop:value=move || value().unwrap_or(low).to_string()
                disabled=move || value().is_none() aria-valuetext=spoken on:input=slide />
        </div>
    }
}

/// A chord of the player's choice, at both setups.
fn chords(stage: Stage, notes: &[String], frets: u32) -> Node {
    let one = |(at, note): (usize, &String)| {
        let id = format!("show-chord-{at}");
        let put = move |event: Event| {
            let fret = event_target_value(&event).parse().ok();
            stage.chord.update(|chord| chord[at] = fret);
        };
        let chosen = stage.chord.get_untracked().get(at).copied().flatten();
        view! {
            <div class="field">
                <label for=id.clone()>{note.clone()}</label>
                <select id=id on:change=put>
                    <option value="">"not played"</option>
                    {(0..=frets.min(15)).map(|n| view! { <option value=n selected=chosen == Some(n)>{n}</option> }).collect_view()}
                </select>
            </div>
        }
    };
    let play =
        move |at: usize, in_tune: bool| stage.play(at, &stage.chord.get_untracked(), in_tune);
    view! {
        <section class="show-chord" aria-labelledby="show-chord-title">
            <h2 id="show-chord-title">"A chord at both"</h2>
            <div class="show-frets">{notes.iter().enumerate().map(one).collect_view()}</div>
            <p class="buttons">
                <button type="button" class="main" data-deed="chord-1" on:click=move |_| play(0, false)>"Strum the first"</button>
                <button type="button" class="main" data-deed="chord-2" on:click=move |_| play(1, false)>"Strum the second"</button>
                <button type="button" class="quiet" on:click=move |_| play(0, true)>"The same in tune"</button>
            </p>
        </section>
    }
}
