//! What the plan goes by: where the heights come from, whose pluck must stay clear, the limit of cents.

use super::plan;
use crate::fields::{ChoiceField, FieldRow, LengthField, Quantity, Toggle, field_rows, words};
use crate::markup::prelude::*;
use crate::sections::entry;
use crate::store::{Store, new_id};
use strungwell_workshop::records::{CourseSetup, Instrument, Plan, Player, Setup, Target};
use strungwell_workshop::report::plan::playing;

const TARGETS: [(Target, &str, &str); 4] = [
    (
        Target::Solver,
        "solver",
        "Worked out: least force, every note clear",
    ),
    (
        Target::Practice,
        "practice",
        "Common practice for its family",
    ),
    (Target::Wish, "wish", "The owner's wish"),
    (Target::Typed, "typed", "Typed here"),
];

static FIELDS: [FieldRow; 1] = [FieldRow {
    name: "plan_cents_limit",
    label: "Notes may be off by, cents",
    quantity: Quantity::Number,
    of: ("plan", "cents_limit"),
    get: |i| {
        Some(
            i.plan
                .as_ref()
                .map_or_else(|| Plan::default().cents_limit, |p| p.cents_limit),
        )
    },
    set: |i, v| plan(i).cents_limit = v.unwrap_or_else(|| Plan::default().cents_limit),
}];

/// The heights that the target asks for, where a person gives them.
fn asked(i: &Instrument) -> Option<&Setup> {
    let plan = i.plan.as_ref()?;
    match plan.target {
        Target::Wish => plan.wish.as_ref(),
        Target::Typed => plan.typed.as_ref(),
        _ => None,
    }
}

fn set_asked(i: &mut Instrument, course: usize, change: impl FnOnce(&mut CourseSetup)) {
    let plan = plan(i);
    let setup = match plan.target {
        Target::Wish => plan.wish.get_or_insert_default(),
        Target::Typed => plan.typed.get_or_insert_default(),
        _ => return,
    };
    if setup.courses.len() <= course {
        setup.courses.resize_with(course + 1, CourseSetup::default);
    }
    if let Some(setup) = setup.courses.get_mut(course) {
        change(setup);
    }
}

pub(super) fn aim(store: Store) -> Node {
    let target = store.pick(|i| Some(i.plan.as_ref().map_or(Target::Solver, |p| p.target)));
    let word = Signal::derive(move || {
        let now = target.get().unwrap_or_default();
        TARGETS
            .iter()
            .find(|t| t.0 == now)
            .map_or("solver", |t| t.1)
            .to_owned()
    });
    let options: Vec<(String, String)> = TARGETS
        .iter()
        .map(|t| (t.1.to_owned(), t.2.to_owned()))
        .collect();
    let on_target = Callback::new(move |word: String| {
        let chosen = TARGETS
            .iter()
            .find(|t| t.1 == word)
            .map_or(Target::Solver, |t| t.0);
        store.edit(|i| plan(i).target = chosen);
    });
    let is_given = Memo::new(move |_| matches!(target.get(), Some(Target::Wish | Target::Typed)));
    let count = store.pick(|i| Some(i.courses.len()));
    let given = move |course: usize| {
        let of = move |which: fn(&CourseSetup) -> Option<f64>| {
            store.pick(move |i| which(asked(i)?.courses.get(course)?))
        };
        let put_1 =
            Callback::new(move |v| store.edit(|i| set_asked(i, course, |c| c.gap_1_mm = v)));
        let put_12 =
            Callback::new(move |v| store.edit(|i| set_asked(i, course, |c| c.gap_12_mm = v)));
        view! {
            <LengthField name=format!("wish_gap_1-{}", course + 1) label=words(format!("Course {}, gap at fret 1", course + 1))
                value=of(|c| c.gap_1_mm) on_change=put_1 of=("course setup", "gap_1_mm") />
            <LengthField name=format!("wish_gap_12-{}", course + 1) label=words(format!("Course {}, gap at fret 12", course + 1))
                value=of(|c| c.gap_12_mm) on_change=put_12 of=("course setup", "gap_12_mm") />
        }
    };
    let nut = store.pick(|i| Some(i.plan.as_ref()?.nut_moves));
    let nut = Signal::derive(move || nut.get().unwrap_or(false));
    let on_nut = Callback::new(move |on| store.edit(|i| plan(i).nut_moves = on));
    view! {
        <h3>"What it goes by"</h3>
        <div class="fields">
            <ChoiceField name="plan_target" label=words("Heights from") value=word options=Signal::stored(options) on_change=on_target />
            {field_rows(store, &FIELDS)}
            <Toggle name="plan_nut_moves" label=words("The nut's edge may be moved") value=nut on_change=on_nut />
        </div>
        <Show when=move || is_given.get()>
            <div class="fields">{move || (0..count.get().unwrap_or(0)).map(given).collect_view()}</div>
        </Show>
        {players(store)}
    }
}

/// Whose pluck must stay clear.
fn players(store: Store) -> Node {
    let options = Memo::new(move |_| {
        let mut options = vec![(String::new(), "The instrument's own pluck".to_owned())];
        store.instrument().with(|i| {
            let all = i.iter().flat_map(|i| &i.players);
            options.extend(all.map(|p| {
                (
                    p.id.clone(),
                    format!("{}, {}", p.name, store.units().get().force(p.force_n)),
                )
            }));
        });
        options
    });
    let chosen = store.pick(|i| i.plan.as_ref()?.player.clone());
    let value = Signal::derive(move || chosen.get().unwrap_or_default());
    let on_choice = Callback::new(move |id: String| {
        store.edit(|i| plan(i).player = Some(id).filter(|id| !id.is_empty()));
    });
    let pluck = store.pick(|i| Some(playing(i).force_n));
    let set_pluck = move |force_n: f64| {
        store.edit(|i| {
            let chosen = i.plan.as_ref().and_then(|p| p.player.clone());
            match i
                .players
                .iter_mut()
                .find(|p| Some(&p.id) == chosen.as_ref())
            {
                Some(player) => player.force_n = force_n,
                None => i.pluck.force_n = force_n,
            }
        });
    };
    let slide = move |event: web_sys::Event| {
        if let Ok(force) = event_target_value(&event).parse::<f64>() {
            set_pluck((force * 20.0).round() / 20.0);
        }
    };
    let name = RwSignal::new(String::new());
    let force = RwSignal::new(None::<f64>);
    let from = RwSignal::new(None::<f64>);
    let add = move |_| {
        let Some(force_n) = force.get_untracked() else {
            return;
        };
        let player = Player {
            id: new_id(),
            name: name.get_untracked(),
            force_n,
            from_saddle_mm: from.get_untracked(),
            ..Player::default()
        };
        store.edit(|i| {
            plan(i).player = Some(player.id.clone());
            i.players.push(player);
        });
        name.set(String::new());
        force.set(None);
        from.set(None);
    };
    let remove = move |_| {
        if let Some(id) = chosen.get_untracked() {
            store.edit_with_undo("Removed a player.", |i| {
                plan(i).player = None;
                i.players.retain(|p| p.id != id);
            });
        }
    };
    view! {
        <div class="fields">
            <ChoiceField name="plan_player" label=words("Whose pluck must stay clear") value=value options on_change=on_choice />
            <div class="field">
                <label for="plan-pluck">{move || format!("Pluck that must stay clear: {}", store.units().get().force(pluck.get()))}</label>
                <input id="plan-pluck" type="range" min="0.2" max="6" step="0.05" data-field="plan_pluck"
                    prop:value=move || pluck.get().unwrap_or(1.5).to_string()
                    aria-valuetext=move || store.units().get().force(pluck.get()) on:input=slide />
            </div>
        </div>
        <details class="more">
            <summary>"Keep another player's pluck"</summary>
            <p class="hint">"As a force and a place: pull the string sideways with a spring scale until it feels like that player's pluck, and read it."</p>
            <div class="fields">
                {entry::text("player_name", "Who: soft fingers, a strummer", name)}
                {entry::force("player_force_n", "Force of the pluck", force, ("player", "force_n"))}
                {entry::length("player_from_saddle_mm", "From the saddle; empty: a quarter of the scale", from, ("player", "from_saddle_mm"))}
                <p class="buttons"><button type="button" class="quiet small" data-deed="add-player" disabled=move || force.get().is_none() on:click=add>"Keep this player"</button></p>
            </div>
            <Show when=move || chosen.get().is_some()>
                <p class="buttons"><button type="button" class="quiet small" on:click=remove>"Remove the chosen player"</button></p>
            </Show>
        </details>
    }
}
