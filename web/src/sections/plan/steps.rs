//! The steps: what to do, what it does, what to measure next.

use crate::fields::{LengthField, words};
use crate::markup::prelude::*;
use crate::sections::hand_over::today;
use crate::store::Store;
use std::collections::BTreeMap;
use strungwell_workshop::cautions;
use strungwell_workshop::report::plan::{
    MeasuredCourse, PlanView, Step, TickOff, plan_of, tick_off,
};

/// What was measured after a step, by field and course; course 0 is the instrument.
type Measured = BTreeMap<(&'static str, usize), f64>;

pub(super) fn steps(store: Store, plan: Signal<Option<PlanView>>) -> Node {
    let ids = Memo::new(move |_| {
        plan.with(|p| {
            p.iter()
                .flat_map(|p| &p.steps)
                .map(|s| s.id.clone())
                .collect::<Vec<_>>()
        })
    });
    let ticks = store.pick(|i| {
        let ticks = &i.plan.as_ref()?.ticks;
        Some(
            ticks
                .iter()
                .map(|t| (t.date.clone(), t.what.clone(), t.measured))
                .collect::<Vec<_>>(),
        )
    });
    let done = |(date, what, measured): (String, String, bool)| {
        let how = if measured { "measured" } else { "not measured" };
        view! { <li><span class="mark" aria-hidden="true">"✓"</span>{format!("{date}: {what} ({how})")}</li> }
    };
    let forget = move |_| {
        store.edit_with_undo("Put the list of done steps away.", |i| {
            if let Some(plan) = &mut i.plan {
                plan.ticks.clear();
            }
        });
    };
    view! {
        <h3>"Steps"</h3>
        <p class="hint" data-caution="dust">{cautions::DUST}</p>
        <Show when=move || ticks.get().is_some_and(|t| !t.is_empty())>
            <ul class="ticks">{move || ticks.get().unwrap_or_default().into_iter().map(done).collect_view()}</ul>
            <p class="buttons"><button type="button" class="quiet small" on:click=forget>"Put this list away"</button></p>
        </Show>
        <ol class="steps">
            <For each=move || ids.get() key=String::clone let:id>
                {one(store, plan, id)}
            </For>
        </ol>
    }
}

fn one(store: Store, plan: Signal<Option<PlanView>>, id: String) -> Node {
    let id = StoredValue::new(id);
    let measured = RwSignal::new(Measured::new());
    let refused = RwSignal::new(None::<String>);
    let step = Memo::new(move |_| {
        plan.with(|p| {
            let steps = p.iter().flat_map(|p| &p.steps);
            id.with_value(|id| steps.into_iter().find(|s| s.id == *id).cloned())
        })
    });
    let is_first = Memo::new(move |_| {
        plan.with(|p| {
            id.with_value(|id| {
                p.as_ref()
                    .and_then(|p| p.steps.first())
                    .is_some_and(|s| s.id == *id)
            })
        })
    });
    let tick = move |_| {
        let tick = with_measured(&measured.get_untracked(), today());
        let done = store.instrument().with_untracked(|i| {
            let mut next = i.clone()?;
            let rack = store.rack().get_untracked();
            // What is ticked is the plan of the record as it stands now, not one that is still being worked out.
            let plan = plan_of(&next, &rack, store.units().get_untracked());
            Some(
                id.with_value(|id| tick_off(&mut next, &plan, id, &tick))
                    .map(|()| next),
            )
        });
        match done {
            Some(Ok(next)) => {
                refused.set(None);
                // A step that comes again is measured again.
                measured.set(Measured::new());
                store.edit_with_undo("Ticked off a step.", |i| *i = next);
            }
            Some(Err(why)) => refused.set(Some(format!("Not ticked off: {why}."))),
            None => {}
        }
    };
    // The fields stay while what is around them is described anew.
    let asks = Memo::new(move |_| step.with(|s| s.as_ref().map(fields_of).unwrap_or_default()));
    let field = move |(name, course, label): (&'static str, usize, String)| {
        let value = Signal::derive(move || measured.with(|m| m.get(&(name, course)).copied()));
        let on_change = Callback::new(move |mm: Option<f64>| {
            measured.update(|m| {
                match mm {
                    Some(mm) => m.insert((name, course), mm),
                    None => m.remove(&(name, course)),
                };
            });
        });
        let record = if course == 0 { "setup" } else { "course setup" };
        let of = if name == "fret_mm" {
            ("setup", "fret_tops_mm")
        } else {
            (record, name)
        };
        let key = id.with_value(|id| format!("step-{id}-{name}-{course}"));
        view! { <LengthField name=key label=words(label) value on_change of=of /> }
    };
    let text = move |of: fn(&Step) -> Option<String>| step.with(|s| s.as_ref().and_then(of));
    view! {
        <li class="step" class:first=move || is_first.get() data-step=id.get_value()>
            <p class="what">{move || text(|s| Some(s.what.clone()))}</p>
            <p class="effect">{move || text(|s| Some(s.effect_text.clone()))}</p>
            {move || text(|s| Some(s.binds.join(" ")).filter(|t| !t.is_empty())).map(|t| view! { <p class="hint">{t}</p> })}
            {move || text(|s| s.warning.clone()).map(|t| view! { <p class="message"><span class="mark" aria-hidden="true">"!"</span>{t}</p> })}
            <p class="check">{move || text(|s| Some(s.check.clone()))}</p>
            <details class="more" prop:open=move || is_first.get()>
                <summary>"Done: what it measures now"<span class="sr-only">". " {move || text(|s| Some(s.what.clone()))}</span></summary>
                <div class="fields unkept">{move || asks.get().into_iter().map(field).collect_view()}</div>
                {move || refused.get().map(|why| view! { <p class="message" role="alert"><span class="mark" aria-hidden="true">"!"</span>{why}</p> })}
                <p class="buttons"><button type="button" class="main small" data-deed="tick" on:click=tick>"Tick it off"</button></p>
            </details>
        </li>
    }
}

/// What to measure after a step: the field, the course from 1 or 0 for the instrument, and the label.
fn fields_of(step: &Step) -> Vec<(&'static str, usize, String)> {
    let mut all = Vec::new();
    for name in &step.measure {
        let label = match *name {
            "gap_1_mm" => "gap at fret 1",
            "gap_12_mm" => "gap at fret 12",
            "relief_mm" => "Relief",
            "saddle_setback_mm" => "saddle setback",
            "nut_setback_mm" => "nut setback",
            _ => "How far the fret stands over the smooth line",
        };
        if matches!(*name, "relief_mm" | "fret_mm") {
            all.push((*name, 0, label.to_owned()));
        } else {
            let one = |c: &strungwell_workshop::report::plan::StepCourse| {
                (*name, c.course, format!("{}, {label}", c.note))
            };
            all.extend(step.courses.iter().map(one));
        }
    }
    all
}

fn with_measured(measured: &Measured, date: String) -> TickOff {
    let at = |name: &'static str, course: usize| measured.get(&(name, course)).copied();
    let mut courses: Vec<usize> = measured
        .keys()
        .map(|(_, course)| *course)
        .filter(|c| *c > 0)
        .collect();
    courses.sort_unstable();
    courses.dedup();
    TickOff {
        date,
        relief_mm: at("relief_mm", 0),
        fret_mm: at("fret_mm", 0),
        courses: courses
            .into_iter()
            .map(|course| MeasuredCourse {
                course,
                gap_1_mm: at("gap_1_mm", course),
                gap_12_mm: at("gap_12_mm", course),
                saddle_setback_mm: at("saddle_setback_mm", course),
                nut_setback_mm: at("nut_setback_mm", course),
            })
            .collect(),
    }
}
