//! One stringing and setup for several instruments at once.

use super::refusal;
use crate::fields::{Toggle, words};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::runs::{Run, RunPlan, apply, plan};

pub(super) fn run(store: Store) -> Node {
    let chosen = RwSignal::new(Vec::<String>::new());
    let answer = RwSignal::new(None::<Result<RunPlan, Vec<String>>>);
    super::forget(store, answer);
    let others = move || {
        let open = store.open_id().get();
        store
            .bench()
            .get()
            .into_iter()
            .filter(move |e| Some(&e.id) != open.as_ref())
    };
    let one = move |(id, name): (String, String)| {
        let mine = id.clone();
        let value = Signal::derive(move || chosen.with(|c| c.contains(&mine)));
        let on_change = Callback::new(move |on: bool| {
            chosen.update(|c| {
                c.retain(|other| *other != id);
                if on {
                    c.push(id.clone());
                }
            });
            answer.set(None);
        });
        let key = format!("run-{name}");
        view! { <Toggle name=key label=words(name) value on_change /> }
    };
    let asked = move || {
        let ids = chosen.get_untracked();
        store
            .instrument()
            .with_untracked(|i| Some(Run::like(i.as_ref()?, ids)))
    };
    let work = move |_| {
        let units = store.units().get_untracked();
        let shop = store.shop(None, String::new());
        answer.set(asked().map(|run| plan(&shop, &run, units)));
    };
    let go = move |_| {
        let done = store.change_shop("Strung a run.", |shop| {
            answer.with_untracked(|a| match a {
                Some(Ok(plan)) => apply(shop, plan),
                _ => Err("the run was not worked out".into()),
            })
        });
        answer.set(done.err().map(|why| Err(vec![why])));
        chosen.set(Vec::new());
    };
    view! {
        <p class="hint">"The strings, the tuning and the heights of this sheet, given to others of as many courses. Nothing is changed before you say so."</p>
        <div class="fields toggles">{move || others().map(|e| one((e.id, e.name))).collect_view()}</div>
        <p class="buttons"><button type="button" class="main" data-deed="plan-run" on:click=work>"Work it out"</button></p>
        {move || answer.with(|a| match a {
            None => Node::Nothing,
            Some(Err(why)) => why.iter().map(|why| refusal(why)).collect_view(),
            Some(Ok(plan)) => view! {
                <p class="said-line">{format!("{} instruments would be changed; their new strings cost {}.", plan.instruments.len(), plan.price.text())}</p>
                {if plan.lacks.is_empty() { "The rack has all of it.".to_owned() } else { "The rack then lacks:".to_owned() }}
                <ul data-list="lacks">{plan.lacks.iter().map(|l| view! { <li>{l.text()}</li> }).collect_view()}</ul>
                {plan.warnings.iter().map(|w| view! { <p class="message"><span class="mark" aria-hidden="true">"!"</span>{w.clone()}</p> }).collect_view()}
                <p class="buttons"><button type="button" class="main" data-deed="do-run" on:click=go>"Do it to all of them"</button></p>
            },
        })}
    }
}
